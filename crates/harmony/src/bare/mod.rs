//! Chords for a bare melody: what a player at the fireside or an organist would put under it.
//!
//! [`places`] says where a chord may begin and what part the place has in its phrase; [`tonic`] finds the tonic of each section; [`palette`] are the chords as
//! degrees above it; [`mod@line`] is the melody as a chord hears it. [`cues`] say what speaks for a chord at a place, the tables ([`table`]) what each is worth, and
//! [`search`] takes the dearest row for the whole tune. [`given`] puts the result into chord symbols with their reasons and the others that might stand there.
//! [`mod@fill`] does the same for a tune of which only some measures have chords.

use music::{Chord, LeadSheet};
use palette::{Numeral, threes};
use places::Ground;
use search::{Allowed, Values, best};
use std::ops::Range;
use table::{Habits, Worths};

pub mod palette;
pub mod tonic;
pub mod line;
pub mod places;
pub mod cues;
pub mod table;
pub mod search;
pub mod reasons;
pub mod given;
pub mod fill;

pub use fill::fill;
pub use given::{Found, Given, Other, Outside};
pub use reasons::Reason;

/// How many chords a tune gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Version {
    /// At most three different ones in a section: first, fourth and fifth degree in major; in modal tunes what the mode has in their place.
    ThreeChord,
    /// The others of the key too, and what leads to them.
    Fuller,
}

/// A tune laid out, with the worth of everything; one search for each version.
pub struct Plan {
    /// The places and their notes.
    pub ground: Ground,
    /// What every chord is worth at each.
    pub values: Values,
}

impl Plan {
    /// Lays a tune out and weighs everything by these tables.
    pub fn of(sheet: &LeadSheet, worths: &Worths, habits: &Habits) -> Plan {
        let ground = Ground::of(sheet);
        let values = Values::of(&ground, worths, habits);
        Plan { ground, values }
    }

    /// The chord at each place.
    pub fn row(&self, version: Version) -> Vec<Numeral> {
        best(&self.values, &self.allowed(version)).1
    }

    /// The same, spelled.
    pub fn chords(&self, version: Version) -> Vec<Chord> {
        self.spelled(&self.row(version))
    }

    fn spelled(&self, row: &[Numeral]) -> Vec<Chord> {
        self.ground.spots.iter().zip(row).map(|(s, n)| n.chord(self.ground.tonic(s))).collect()
    }

    /// What may stand at each place.
    pub fn allowed(&self, version: Version) -> Allowed {
        let sections = self.sections();
        let mut allowed: Allowed = Vec::new();
        for section in &sections {
            let three = (version == Version::ThreeChord).then(|| self.three(section.clone()));
            let of = |i: usize| three.clone().unwrap_or_else(|| palette::of_mode(self.ground.tonic(&self.ground.spots[i]).key().mode));
            allowed.extend(section.clone().map(of));
        }
        for (spot, allowed) in self.ground.spots.iter().zip(&mut allowed) {
            if spot.is_last {
                *allowed = vec![Numeral::TONIC];
            }
        }
        allowed
    }

    /// The three chords under which a section is worth most.
    fn three(&self, places: Range<usize>) -> Vec<Numeral> {
        let tonic = self.ground.tonic(&self.ground.spots[places.start]);
        let family = tonic.family();
        let here =
            Values { at: self.values.at[places.clone()].to_vec(), between: self.values.between[places.start..places.end - 1].to_vec() };
        let mut most: Option<(i64, Vec<Numeral>)> = None;
        for names in threes(tonic.key().mode) {
            let set: Vec<Numeral> = names.iter().filter_map(|n| Numeral::named(n, family)).collect();
            let allowed: Allowed =
                self.ground.spots[places.clone()].iter().map(|s| if s.is_last { vec![Numeral::TONIC] } else { set.clone() }).collect();
            let worth = best(&here, &allowed).0;
            if most.as_ref().is_none_or(|(m, _)| worth > *m) {
                most = Some((worth, set));
            }
        }
        most.map_or_else(|| vec![Numeral::TONIC], |m| m.1)
    }

    /// The places of each section that has any, cut where the tonic changes inside.
    fn sections(&self) -> Vec<Range<usize>> {
        let spots = &self.ground.spots;
        let is_new = |i: usize| {
            let (before, here) = (&spots[i - 1], &spots[i]);
            before.section != here.section || self.ground.tonic(before) != self.ground.tonic(here)
        };
        let starts: Vec<usize> = (0..spots.len()).filter(|i| *i == 0 || is_new(*i)).collect();
        let ends = starts.iter().skip(1).copied().chain([spots.len()]);
        starts.iter().zip(ends).map(|(a, b)| *a..b).collect()
    }
}

/// Chords for a melody that has none, or whose own are left aside.
///
/// ```
/// use harmony::bare::{Version, chords};
/// use music::text;
///
/// // Common practice: a tune that ends at home ends on its tonic chord.
/// let tune = text::sheet("4/4 C | C5:1 E5:1 G5:1 E5:1 | D5:2 B4:2 | C5:4 ||");
/// let found = chords(&tune, Version::ThreeChord);
/// assert_eq!(found.given.last().map(|given| given.chord.to_string()).as_deref(), Some("C"));
/// ```
pub fn chords(sheet: &LeadSheet, version: Version) -> Found {
    let plan = Plan::of(sheet, Worths::ours(), Habits::ours());
    let row = plan.row(version);
    let chords = plan.spelled(&row);
    given::tell(&plan, &row, &chords, &given::Told::All)
}
