//! What a page asks of the left hand, and which of three levels that is.
//!
//! Everything is counted on the page itself: strings at once, strings placed ahead, how wide, how soon after each other, how far the hand goes in what time, levers or pedals moved in mid-piece. The three levels
//! follow the markers of a harp festival's graded classes (level 1: few or no chords, no lever moves; level 2: three fingers used steadily, accidentals only set before; level 3: moves in
//! mid-piece, hands that go their own ways); the numbers are our own values, said with each level and never as facts about a pupil.

use harp::Player;
use harp::page::fingers::fingered;
use music::{Clock, Hand, Mark, Place, Score, Seconds};
use std::collections::BTreeSet;
use std::fmt;

/// What the left hand has to do, at most.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Demands {
    /// Strings plucked together.
    pub together: usize,
    /// Strings placed ahead as one group.
    pub placed: usize,
    /// Strings from the lowest to the highest of a group, both counted: an octave is 8.
    pub wide: i32,
    /// The shortest time from one pluck to the next; none where there are not two.
    pub soon: Option<Seconds>,
    /// Plucks in one measure.
    pub plucks: usize,
    /// The most strings the hand goes on from one group to the next in less than [`QUICK`], from the lowest of the one to the lowest of the other, both counted.
    pub leap: i32,
    /// Levers or pedals moved after the beginning, the tune's own left out.
    pub moves: usize,
    /// The same for the tune alone.
    pub moves_of_the_tune: usize,
    /// The left hand has the melody somewhere.
    pub melody: bool,
}

/// A time in which a way from group to group is a leap. Ours.
pub const QUICK: Seconds = Seconds::from_millis(1000);

/// What a level asks at most.
struct Limits {
    together: usize,
    placed: usize,
    wide: i32,
    soon: Seconds,
    leap: i32,
}

/// Levels 1 and 2; whatever asks for more is level 3.
const LIMITS: [Limits; 2] = [
    Limits { together: 2, placed: 2, wide: 8, soon: Seconds::from_millis(500), leap: 8 },
    Limits { together: 3, placed: 3, wide: 10, soon: Seconds::from_millis(250), leap: 10 },
];

/// The level that is meant by a number, in a few words.
pub fn meaning(level: u8) -> &'static str {
    match level {
        1 => "one or two strings at once, slowly, no wider than an octave, and no lever or pedal to move",
        2 => "up to three strings at once, no wider than a tenth, and no lever or pedal to move",
        _ => "four strings, quick plucks, wide shapes or leaps, or levers or pedals to move in mid-piece",
    }
}

/// One thing that a measure asks.
#[derive(Clone, Copy)]
enum Ask {
    Together(usize),
    Group { placed: usize, wide: i32 },
    Soon(Seconds),
    Leap(i32),
}

impl Ask {
    fn is_within(self, limits: &Limits) -> bool {
        match self {
            Ask::Together(strings) => strings <= limits.together,
            Ask::Group { placed, wide } => placed <= limits.placed && wide <= limits.wide,
            Ask::Soon(apart) => apart >= limits.soon,
            Ask::Leap(far) => far <= limits.leap,
        }
    }
}

/// Everything that the left hand of a page is asked, each with its measure.
fn asks(score: &Score, player: &Player) -> Vec<(usize, Ask)> {
    let clock = Clock::of_score(score);
    let hand = fingered(score, Hand::Left, player);
    let strings =
        |(measure, note): (usize, usize)| -> Vec<i32> { score.measures[measure].left[note].playable().map(|p| p.position()).collect() };
    let time = |(measure, note): (usize, usize)| clock.at(Place { measure, at: score.measures[measure].left[note].at });
    // What no hand of this player can place is asked all the same.
    let mut all: Vec<(usize, Ask)> = hand.places.iter().chain(&hand.beyond).map(|p| (p.0, Ask::Together(strings(*p).len()))).collect();
    all.extend(hand.places.windows(2).map(|pair| (pair[1].0, Ask::Soon(time(pair[1]) - time(pair[0])))));
    for group in &hand.fingering.groups {
        let places = &hand.places[group.first..group.end];
        let mut placed: Vec<i32> = places.iter().flat_map(|p| strings(*p)).collect();
        placed.sort_unstable();
        placed.dedup();
        let wide = placed.last().zip(placed.first()).map_or(0, |(high, low)| high - low + 1);
        all.extend(places.iter().map(|p| (p.0, Ask::Group { placed: placed.len(), wide })));
    }
    let lowest = |first: usize, end: usize| hand.places[first..end].iter().flat_map(|p| strings(*p)).min();
    for pair in hand.fingering.groups.windows(2) {
        let (last, next) = (hand.places[pair[0].end - 1], hand.places[pair[1].first]);
        if let Some((from, to)) =
            lowest(pair[0].first, pair[0].end).zip(lowest(pair[1].first, pair[1].end)).filter(|_| time(next) - time(last) < QUICK)
        {
            all.push((next.0, Ask::Leap((to - from).abs() + 1)));
        }
    }
    all
}

/// The measures that ask more than a level does.
pub fn beyond(score: &Score, player: &Player, level: u8) -> BTreeSet<usize> {
    let Some(limits) = LIMITS.get(usize::from(level).saturating_sub(1)) else { return BTreeSet::new() };
    asks(score, player).into_iter().filter(|(_, ask)| !ask.is_within(limits)).map(|(measure, _)| measure).collect()
}

impl Demands {
    /// Counts a page. `moves_of_the_tune` are those of the same tune without a left hand ([`moves`]).
    pub fn of(score: &Score, player: &Player, moves_of_the_tune: usize) -> Demands {
        let plucks = score.measures.iter().map(|m| m.left.iter().filter(|n| n.is_plucked()).count());
        let mut most = Demands {
            plucks: plucks.max().unwrap_or(0),
            moves: moves(score).saturating_sub(moves_of_the_tune),
            moves_of_the_tune,
            melody: score.measures.iter().any(|m| m.melody == Hand::Left && m.left.iter().any(|n| !n.is_rest())),
            ..Demands::default()
        };
        for (_, ask) in asks(score, player) {
            match ask {
                Ask::Together(strings) => most.together = most.together.max(strings),
                Ask::Group { placed, wide } => (most.placed, most.wide) = (most.placed.max(placed), most.wide.max(wide)),
                Ask::Soon(apart) => most.soon = Some(most.soon.map_or(apart, |soon| soon.min(apart))),
                Ask::Leap(far) => most.leap = most.leap.max(far),
            }
        }
        most
    }

    fn asks(&self) -> impl Iterator<Item = Ask> {
        let group = Ask::Group { placed: self.placed, wide: self.wide };
        [Ask::Together(self.together), group, Ask::Leap(self.leap)].into_iter().chain(self.soon.map(Ask::Soon))
    }

    /// 1, 2 or 3.
    pub fn level(&self) -> u8 {
        let within = |limits: &Limits| self.asks().all(|ask| ask.is_within(limits)) && self.moves == 0 && !self.melody;
        LIMITS.iter().position(within).map_or(3, |level| level as u8 + 1)
    }
}

/// Levers or pedals that a page moves after its beginning.
pub fn moves(score: &Score) -> usize {
    let is_move = |mark: &Mark| matches!(mark, Mark::Lever(_) | Mark::Pedal(_) | Mark::Pedals(_));
    score.measures.iter().flat_map(|m| &m.marks).filter(|m| is_move(&m.mark)).count()
}

impl fmt::Display for Demands {
    /// "at most 2 strings at once, 2 placed ahead and 8 strings wide; 4 plucks in a measure, none closer than 0.6 seconds; no lever or pedal to move".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.together == 0 {
            return f.write_str("the left hand does not play");
        }
        let many = |count: usize, one: &str, more: &str| if count == 1 { format!("1 {one}") } else { format!("{count} {more}") };
        write!(f, "at most {} at once, {} placed ahead", many(self.together, "string", "strings"), self.placed)?;
        if self.placed > 1 {
            write!(f, " over {} strings", self.wide)?;
        }
        write!(f, "; at most {} in a measure", many(self.plucks, "pluck", "plucks"))?;
        if let Some(soon) = self.soon {
            write!(f, ", {} seconds apart or more", tenths(soon))?;
        }
        if self.leap > 8 {
            write!(f, "; a leap of {} strings within a second", self.leap)?;
        }
        match self.moves {
            0 => f.write_str("; no lever or pedal to move for it")?,
            moves => write!(f, "; {} of levers or pedals for it", many(moves, "move", "moves"))?,
        }
        if self.melody {
            f.write_str("; the left hand has the melody in places")?;
        }
        match self.moves_of_the_tune {
            0 => Ok(()),
            moves => write!(f, " (the tune itself asks for {})", many(moves, "move", "moves")),
        }
    }
}

fn tenths(time: Seconds) -> String {
    let tenths = (time.micros() + 50_000) / 100_000;
    format!("{}.{}", tenths / 10, tenths % 10)
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::page;

    fn demands(left: &[&str], per_minute: i64) -> Demands {
        let measures: Vec<(&str, &str)> = left.iter().map(|left| ("C6:4", *left)).collect();
        Demands::of(&page(&measures, per_minute), &Player::default(), 0)
    }

    // Counted by hand; at 60 quarters a minute a quarter is a second.
    #[test]
    fn a_page_is_counted() {
        let roots = demands(&["C3:4", "F3:4", "G3:4", "C3:4"], 60);
        assert_eq!((roots.together, roots.plucks, roots.soon, roots.level()), (1, 1, Some(Seconds::from_micros(4_000_000)), 1));
        let fifths = demands(&["[C3+G3]:2 [C3+G3]:2", "[F3+C4]:4"], 60);
        assert_eq!((fifths.together, fifths.placed, fifths.wide, fifths.plucks, fifths.level()), (2, 2, 5, 2, 1));
        let blocks = demands(&["[C3+E3+G3]:2 [C3+E3+G3]:2", "[F3+A3+C4]:4"], 60);
        assert_eq!((blocks.together, blocks.level()), (3, 2));
        let wide = demands(&["[C3+G3+C4+E4]:4"], 60);
        assert_eq!((wide.together, wide.wide, wide.level()), (4, 10, 3));
    }

    // The same fifths at 240 quarters a minute: half a measure is half a second, a quarter of it a quarter of a second; at 300 these are less than the limits.
    #[test]
    fn quick_is_harder() {
        let (halves, quarters) = ("[C3+G3]:2 [C3+G3]:2", "[C3+G3]:1 [C3+G3]:1 [C3+G3]:2");
        assert_eq!([240, 300].map(|tempo| demands(&[halves], tempo).level()), [1, 2]);
        assert_eq!([240, 300].map(|tempo| demands(&[quarters], tempo).level()), [2, 3]);
    }

    #[test]
    fn the_measures_that_ask_too_much_are_known() {
        let lefts = [("C6:4", "C3:4"), ("C6:4", "[C3+E3+G3]:4"), ("C6:4", "[C3+G3+C4+E4]:4")];
        let score = page(&lefts, 60);
        let found = |level| beyond(&score, &Player::default(), level).into_iter().collect::<Vec<_>>();
        assert_eq!((found(1), found(2), found(3)), (vec![1, 2], vec![2], vec![]));
    }

    #[test]
    fn it_is_said_in_words() {
        assert_eq!(
            demands(&["[C3+G3]:2 [C3+G3]:2", "[F3+C4]:4"], 60).to_string(),
            "at most 2 strings at once, 2 placed ahead over 5 strings; at most 2 plucks in a measure, 2.0 seconds apart or more; no lever or pedal to move for it"
        );
        assert_eq!(demands(&["r:4"], 60).to_string(), "the left hand does not play");
        let moved = Demands { moves: 1, moves_of_the_tune: 2, ..demands(&["C3:4"], 60) };
        assert_eq!(moved.level(), 3);
        assert!(moved.to_string().ends_with("; 1 move of levers or pedals for it (the tune itself asks for 2 moves)"), "{moved}");
    }
}
