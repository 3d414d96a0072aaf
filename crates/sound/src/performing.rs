//! How a page is played: everything that is the player's to choose. All defaults are ours unless a source is named; each can be changed.

use harp::ring::RingModel;
use music::Seconds;
use music::clock::LONGER;

/// The choices for one performance.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Performing {
    /// How long each string rings when it is left alone.
    pub ring: RingModel,
    pub rolls: Rolls,
    /// Default 100 percent of the page's tempo.
    pub tempo: TempoShare,
    /// Default both.
    pub hands: Hands,
    pub holds: Holds,
    pub graces: Graces,
}

/// How chords with a roll sign are spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rolls {
    /// From one string to the next. Default 70 ms, the slow end of brisk (harp facts 3.3, marked ASSUME: 40 to 70 brisk, 90 to 150 lush).
    pub step: Seconds,
    /// The roll takes at most this share of the chord's written length. Default 40 percent (harp facts 3.3, marked ASSUME).
    pub most: Percent,
    pub landing: Landing,
}

/// What of a roll falls on the beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Landing {
    /// The top string: the usual way (harp facts 3.3).
    #[default]
    Last,
    /// The bottom string.
    First,
}

impl Default for Rolls {
    fn default() -> Rolls {
        Rolls { step: Seconds::from_millis(70), most: Percent(40), landing: Landing::Last }
    }
}

/// How much longer a fermata makes its note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Holds {
    /// Added to the note's length. Default: what planning counts with, 50 percent.
    pub longer: Percent,
}

impl Default for Holds {
    fn default() -> Holds {
        Holds { longer: Percent(LONGER) }
    }
}

/// How grace notes are played: before the beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Graces {
    /// For each. Default 80 ms; less where the note before leaves no room.
    pub each: Seconds,
}

impl Default for Graces {
    fn default() -> Graces {
        Graces { each: Seconds::from_millis(80) }
    }
}

/// A share in percent, 0 to 200.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Percent(u8);

impl Percent {
    /// `None` above 200.
    pub fn new(percent: u8) -> Option<Percent> {
        (percent <= 200).then_some(Percent(percent))
    }

    pub fn hundredths(self) -> u8 {
        self.0
    }

    /// This share of a time, rounded down.
    pub fn of(self, time: Seconds) -> Seconds {
        Seconds::from_micros(time.micros() * i64::from(self.0) / 100)
    }
}

/// How fast, compared with the page's tempo.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TempoShare(u8);

impl TempoShare {
    /// In percent: `None` outside 25 to 150.
    pub fn new(percent: u8) -> Option<TempoShare> {
        (25..=150).contains(&percent).then_some(TempoShare(percent))
    }

    pub fn percent(self) -> u8 {
        self.0
    }

    /// How long a time of the page takes at this share.
    pub fn stretch(self, time: Seconds) -> Seconds {
        Seconds::from_micros(time.micros().saturating_mul(100) / i64::from(self.0))
    }
}

impl Default for TempoShare {
    fn default() -> TempoShare {
        TempoShare(100)
    }
}

/// Which hands are heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Hands {
    #[default]
    Both,
    Left,
    Right,
    /// The top notes of the right hand.
    Melody,
}
