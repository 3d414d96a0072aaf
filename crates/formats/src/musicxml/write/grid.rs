//! Where a measure may be cut: the places of its strong beats, beats and smaller parts, and which notes may sound across them.
//!
//! Common practice, kept simple. A note of one value stands as it is where it begins and ends on beats, or begins on a beat and stays within
//! its strong beat, or is an ordinary syncopation (begins and ends halfway, one beat inside), but the last beat of three is always seen; in compound and
//! grouped meters it may cross a beat only from beat to beat. Rests never hide a strong beat, and a beat only where they fill everything between two strong
//! beats. The tune itself is written as its author wrote it. Nothing stands longer than a dotted breve. The lists of places are in order, so that a measure of any length is cut quickly, without going deeper and deeper.

use super::value::Value;
use music::{Beats, Meter, MeterSign};

/// The places of one meter, counted from the start of a full measure.
pub struct Grid {
    /// Strong beats and starts of groups.
    strong: Vec<Beats>,
    beats: Vec<Beats>,
    /// Where the measure ends, and the first beat that is there or would come after it.
    end: Beats,
    next: Beats,
    /// The note value below the line of the meter.
    unit: Beats,
    /// Beats of three parts, or groups of unlike length.
    uneven: Uneven,
    /// Places at which beams end.
    pub beam_ends: Vec<Beats>,
    /// Places between which plain eighths share one beam.
    pub eighth_ends: Vec<Beats>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Uneven {
    Yes,
    No,
}

/// The longest value that is still in use, in whole notes.
const BREVE: i64 = 2;
/// A note longer than a dotted breve is cut into breves: nobody reads a long or a maxima any more.
const DOTTED_BREVE: i64 = 3;

/// Notes may hide more of the meter than rests, and those of the tune what their author let them hide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    Tune,
    Note,
    Rest,
}

/// A stretch of a note that is written as one value, or, where no value is that short, as a bare length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    pub at: Beats,
    pub length: Beats,
    pub value: Option<Value>,
}

impl Grid {
    /// The grid of a meter, carried on to at least `length`.
    pub fn new(meter: &Meter, length: Beats) -> Grid {
        let unit = meter.unit_length();
        let groups = groups(meter);
        let uneven =
            if meter.is_compound() || (meter.unit >= 8 && (groups.len() > 1 || groups[0] == 3)) { Uneven::Yes } else { Uneven::No };
        let strong = if groups.len() > 1 && !meter.is_compound() { starts(&groups, unit, length) } else { strong_beats(meter, length) };
        let beats_within = |length| match (uneven, meter.is_compound()) {
            (Uneven::Yes, false) => starts(&groups, unit, length),
            (Uneven::Yes, true) => every(unit * 3, length),
            (Uneven::No, _) => every(plain_beat(meter), length),
        };
        let mut beats = beats_within(length + meter.length());
        let next = beats.split_off(beats.partition_point(|b| *b < length)).first().copied().unwrap_or(length);
        let quarters = every(Beats::QUARTER, length);
        let long_beats = beats.get(1).is_some_and(|b| *b > Beats::QUARTER + Beats::EIGHTH);
        let (beam_ends, eighth_ends) = match long_beats {
            true => (quarters, beats.clone()),
            false if uneven == Uneven::Yes => (beats.clone(), beats.clone()),
            false if meter.sign == MeterSign::Free || has_wide_gap(&strong, length) => (beats.clone(), beats.clone()),
            false => (beats.clone(), strong.clone()),
        };
        Grid { strong, beats, end: length, next, unit, uneven, beam_ends, eighth_ends }
    }

    /// Cuts a note or rest from `from` to `to` into written values, first to last.
    pub fn cut(&self, from: Beats, to: Beats, sort: Sort) -> Vec<Cut> {
        let mut cuts = Vec::new();
        // What is still to be cut, the first stretch on top.
        let mut open = vec![(from, to)];
        while let Some((from, to)) = open.pop() {
            let value = Value::of(to - from);
            let parts = if to - from > Beats::WHOLE * DOTTED_BREVE {
                Some(from + Beats::WHOLE * BREVE)
            } else if value.is_some() && (self.stands(from, to, sort) || !on_binary_place(from)) {
                None
            } else if let Some(at) = self.best_cut(from, to).filter(|_| on_binary_place(from) && on_binary_place(to)) {
                Some(at)
            } else {
                cuts.extend(longest_first(from, to - from));
                continue;
            };
            match parts {
                Some(at) => open.extend([(at, to), (from, at)]),
                None => cuts.push(Cut { at: from, length: to - from, value }),
            }
        }
        cuts
    }

    /// The strongest place inside: the first one where the note does not begin on a place so strong, else the last.
    fn best_cut(&self, from: Beats, to: Beats) -> Option<Beats> {
        let pick = |inside: &[Beats], begins: bool| if begins { inside.last().copied() } else { inside.first().copied() };
        for list in [&self.strong, &self.beats] {
            let found = pick(between(list, from, to), holds(list, from));
            if found.is_some() {
                return found;
            }
        }
        let period = self.period_inside(from, to)?;
        let first = period * (from.div_floor(period) + 1);
        let last = if (to % period).is_zero() { to - period } else { period * to.div_floor(period) };
        Some(if (from % period).is_zero() { last } else { first })
    }

    /// The longest part of the beat, by halves from the meter's unit, of which a border lies strictly inside.
    fn period_inside(&self, from: Beats, to: Beats) -> Option<Beats> {
        let halves = (0..=10).filter_map(|i| self.unit.scaled(1, 1 << i));
        halves.into_iter().find(|period| *period * (from.div_floor(*period) + 1) < to)
    }

    fn stands(&self, from: Beats, to: Beats, sort: Sort) -> bool {
        match sort {
            Sort::Tune => Value::of(to - from).is_some_and(|v| v.dots < 2) || self.note_stands(from, to),
            Sort::Note => self.note_stands(from, to),
            Sort::Rest => self.rest_stands(from, to),
        }
    }

    fn note_stands(&self, from: Beats, to: Beats) -> bool {
        let on = holds;
        let crosses_strong = !between(&self.strong, from, to).is_empty();
        if self.in_halves(from, to) {
            return true;
        }
        if crosses_strong && Value::of(to - from).is_some_and(|v| v.dots > 1) {
            return false;
        }
        let crossed = between(&self.beats, from, to).len();
        match (self.uneven, crosses_strong) {
            (Uneven::Yes, true) => on(&self.strong, from) && self.is_beat(to),
            (Uneven::Yes, false) if crossed > 0 => on(&self.beats, from) && self.is_beat(to),
            (Uneven::No, true) => on(&self.beats, from) && self.is_beat(to),
            (Uneven::No, false) if crossed > 0 => on(&self.beats, from) || crossed == 1 && self.is_syncopation(from, to),
            (_, false) => self.within_beat(from, to),
        }
    }

    /// In six-four a note may also follow the three halves of the measure, for that is how many tunes in it go.
    fn in_halves(&self, from: Beats, to: Beats) -> bool {
        let compound_in_quarters = self.uneven == Uneven::Yes && self.unit == Beats::QUARTER;
        compound_in_quarters && (from % Beats::HALF).is_zero() && (to % Beats::HALF).is_zero()
    }

    fn is_beat(&self, to: Beats) -> bool {
        holds(&self.beats, to) || to >= self.next
    }

    fn ends_beat(&self, to: Beats) -> bool {
        holds(&self.beats, to) || to >= self.end
    }

    /// From the middle of a beat to the middle of the next, or, in half a measure of two beats, to its end; never over the last of three beats.
    fn is_syncopation(&self, from: Beats, to: Beats) -> bool {
        let Some(half) = self.beats.get(1).and_then(|beat| beat.scaled(1, 2)) else { return false };
        let halfway = (from % half).is_zero() && (to % half).is_zero();
        let (group, crossed) = self.group(from);
        match group {
            1 | 2 => halfway && (self.strong.len() > 1 || to - from == half * 2),
            3 => halfway && to - from == half * 2 && crossed < 2,
            _ => halfway && to - from == half * 2,
        }
    }

    /// How many beats there are from the strong beat before a place to the next one, and which of them, from 0, is the first after the place.
    fn group(&self, from: Beats) -> (usize, usize) {
        let begun = self.strong.partition_point(|s| *s <= from);
        let start = begun.checked_sub(1).map_or(Beats::ZERO, |i| self.strong[i]);
        let end = self.strong.get(begun).copied().unwrap_or(self.next);
        let count = |to: Beats| self.beats.partition_point(|b| *b < to) - self.beats.partition_point(|b| *b < start);
        (count(end), self.beats.partition_point(|b| *b <= from) - self.beats.partition_point(|b| *b < start))
    }

    fn within_beat(&self, from: Beats, to: Beats) -> bool {
        let Some(period) = self.period_inside(from, to) else { return true };
        let one_inside = period * (from.div_floor(period) + 2) >= to;
        let halfway = period.scaled(1, 2).is_some_and(|half| (from % half).is_zero() && (to % half).is_zero());
        (from % period).is_zero() || one_inside && halfway
    }

    fn rest_stands(&self, from: Beats, to: Beats) -> bool {
        if !between(&self.strong, from, to).is_empty() {
            return false;
        }
        let whole_beat = holds(&self.beats, from) && self.ends_beat(to);
        if !between(&self.beats, from, to).is_empty() {
            let fills = holds(&self.strong, from) && (holds(&self.strong, to) || to >= self.end);
            return fills && self.strong.len() > 1;
        }
        let begun = self.beats.partition_point(|b| *b <= from);
        let beat = begun.checked_sub(1).map(|i| self.beats[i]).unwrap_or_default();
        let undotted = Value::of(to - from).is_some_and(|v| v.dots == 0);
        whole_beat || undotted && ((from - beat) % (to - from)).is_zero()
    }
}

/// The numerator as beats are grouped. Five and seven without written groups count as 3+2 and 2+2+3 (4+3 over quarters): ours.
fn groups(meter: &Meter) -> Vec<u32> {
    match (meter.groups.as_slice(), meter.unit) {
        ([5], _) => vec![3, 2],
        ([7], unit) if unit >= 8 => vec![2, 2, 3],
        ([7], _) => vec![4, 3],
        (groups, _) => groups.to_vec(),
    }
}

/// The beat of an even meter: two units where the unit is shorter than a quarter, a quarter in cut time.
fn plain_beat(meter: &Meter) -> Beats {
    match (meter.sign, meter.unit) {
        (MeterSign::Free, _) => Beats::QUARTER,
        (_, 2) if meter.numerator() == 2 => Beats::QUARTER,
        (_, unit) if unit >= 8 && meter.numerator().is_multiple_of(2) => meter.unit_length() * 2,
        _ => meter.unit_length(),
    }
}

fn strong_beats(meter: &Meter, length: Beats) -> Vec<Beats> {
    if meter.sign == MeterSign::Free { vec![Beats::ZERO] } else { meter.strong_beats().into_iter().filter(|p| *p < length).collect() }
}

fn every(step: Beats, length: Beats) -> Vec<Beats> {
    (0..).map(|i| step * i).take_while(|at| *at < length).collect()
}

/// Where groups of units start, over and over.
fn starts(groups: &[u32], unit: Beats, length: Beats) -> Vec<Beats> {
    let sizes = groups.iter().cycle().map(|g| unit * i64::from(*g));
    let places = sizes.scan(Beats::ZERO, |at, size| {
        let here = *at;
        *at += size;
        Some(here)
    });
    places.take_while(|at| *at < length).collect()
}

/// Further apart than three quarters: too many eighths for one beam.
fn has_wide_gap(places: &[Beats], length: Beats) -> bool {
    let ends = places.iter().skip(1).copied().chain([length]);
    places.iter().zip(ends).any(|(from, to)| to - *from > Beats::QUARTER * 3)
}

/// Those of the places, which are in order, that lie strictly inside.
fn between(places: &[Beats], from: Beats, to: Beats) -> &[Beats] {
    let inside = &places[places.partition_point(|p| *p <= from)..];
    &inside[..inside.partition_point(|p| *p < to)]
}

/// Whether a place is among these, which are in order.
fn holds(places: &[Beats], at: Beats) -> bool {
    places.binary_search(&at).is_ok()
}

/// Halving a quarter often enough comes to this place; places inside tuplets are not.
fn on_binary_place(at: Beats) -> bool {
    at.fraction().1.count_ones() == 1
}

/// Values one after another, longest first, and what is left as a bare length: for time that no meter divides.
pub fn longest_first(mut at: Beats, mut length: Beats) -> Vec<Cut> {
    let mut cuts = Vec::new();
    while length > Beats::ZERO {
        let short = length <= Beats::WHOLE * DOTTED_BREVE;
        let whole = Value::of(length).filter(|_| short).or_else(|| Value::longest_within(length));
        let part = whole.and_then(Value::length).unwrap_or(length);
        cuts.push(Cut { at, length: part, value: whole });
        at += part;
        length -= part;
    }
    cuts
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn beats(numerator: i64, denominator: i64) -> Beats {
        Beats::quarters(numerator, denominator).expect("exact")
    }

    /// How a note or rest is written: its values with dots, joined by `~`.
    fn written(meter: Meter, sort: Sort, from: (i64, i64), length: (i64, i64)) -> String {
        let from = beats(from.0, from.1);
        let grid = Grid::new(&meter, meter.length());
        let cuts = grid.cut(from, from + beats(length.0, length.1), sort);
        let name = |c: &Cut| c.value.map_or("?".to_owned(), |v| format!("{}{}", v.name(), ".".repeat(v.dots as usize)));
        cuts.iter().map(name).collect::<Vec<_>>().join("~")
    }

    /// Common practice.
    #[test]
    fn notes_show_the_strong_beats() {
        let note = |n, u, from, length| written(Meter::simple(n, u), Sort::Note, from, length);
        assert_eq!(note(4, 4, (1, 1), (2, 1)), "half");
        assert_eq!(note(4, 4, (1, 1), (3, 1)), "half.");
        assert_eq!(note(4, 4, (3, 2), (1, 1)), "eighth~eighth");
        assert_eq!(note(4, 4, (1, 1), (3, 2)), "quarter~eighth");
        assert_eq!(note(4, 4, (0, 1), (7, 2)), "half~quarter.");
        assert_eq!(note(4, 4, (1, 2), (1, 1)), "quarter");
        assert_eq!(note(4, 4, (3, 4), (1, 2)), "16th~16th");
        assert_eq!(note(4, 4, (1, 4), (1, 2)), "eighth");
        assert_eq!(note(3, 4, (0, 1), (5, 2)), "half~eighth");
        assert_eq!(note(3, 4, (1, 2), (2, 1)), "eighth~quarter.");
        assert_eq!(note(2, 2, (1, 1), (2, 1)), "half");
    }

    /// Common practice: in three the last beat is seen, in two the second, in four the middle of the measure.
    #[test]
    fn every_main_beat_is_seen() {
        let note = |n, u, from, length| written(Meter::simple(n, u), Sort::Note, from, length);
        assert_eq!(note(3, 4, (3, 2), (3, 2)), "eighth~quarter", "after three eighths");
        assert_eq!(note(3, 4, (3, 2), (1, 1)), "eighth~eighth");
        assert_eq!(note(3, 4, (1, 2), (3, 2)), "eighth~quarter");
        assert_eq!(note(3, 4, (1, 2), (1, 1)), "quarter", "an ordinary syncopation over the second of three");
        assert_eq!(note(3, 4, (1, 1), (3, 2)), "quarter.", "it begins on a beat");
        assert_eq!(note(3, 2, (3, 1), (3, 1)), "quarter~half");
        assert_eq!(note(2, 4, (1, 2), (3, 2)), "eighth~quarter");
        assert_eq!(note(2, 4, (1, 2), (1, 1)), "quarter");
        assert_eq!(note(4, 4, (1, 2), (3, 2)), "quarter.", "the middle of the measure is seen");
        let short = Grid::new(&Meter::simple(6, 8), beats(2, 1));
        assert_eq!(short.cut(beats(0, 1), beats(2, 1), Sort::Note).len(), 2, "a measure that a pickup completes");
    }

    /// The tune is the player's: a rhythm that hides a beat is written as it stands in what was read.
    #[test]
    fn the_tune_is_written_as_its_author_wrote_it() {
        let tune = |n, u, from, length| written(Meter::simple(n, u), Sort::Tune, from, length);
        assert_eq!(tune(4, 4, (3, 2), (1, 1)), "quarter");
        assert_eq!(tune(3, 4, (3, 2), (3, 2)), "quarter.");
        assert_eq!(tune(4, 4, (0, 1), (7, 2)), "half~quarter.", "two dots hide the middle of the measure");
        assert_eq!(tune(4, 4, (0, 1), (5, 2)), "half~eighth", "no value lasts so long");
    }

    /// Common practice: a breve, plain or dotted, is the longest value in use (four-two, three-one); what lasts longer is tied.
    #[test]
    fn very_long_notes_are_tied_breves() {
        let note = |n, u, length| written(Meter::simple(n, u), Sort::Note, (0, 1), length);
        assert_eq!(note(4, 2, (8, 1)), "breve");
        assert_eq!(note(3, 1, (12, 1)), "breve.");
        assert_eq!(note(4, 1, (16, 1)), "breve~breve");
        assert_eq!(note(4, 4, (30, 1)), "breve~breve~breve~whole.");
        let free = Meter::new(vec![4], 4, MeterSign::Free).expect("in range");
        assert_eq!(written(free, Sort::Note, (0, 1), (32, 1)), "breve~breve~breve~breve");
    }

    /// Ten hours at a hundred to the minute, in one measure: cut at once, and without running out of room.
    #[test]
    fn an_endless_note_is_cut_too() {
        let longest = beats(60_000, 1);
        for (meter, sort) in [(Meter::simple(6, 8), Sort::Rest), (Meter::simple(64, 64), Sort::Note)] {
            let cuts = Grid::new(&meter, longest).cut(beats(1, 64), longest, sort);
            assert_eq!(Beats::checked_sum(cuts.iter().map(|c| c.length)), Some(longest - beats(1, 64)));
        }
    }

    /// Common practice: a dotted beat stays visible.
    #[test]
    fn compound_and_grouped_meters_show_their_beats() {
        let note = |n, u, from, length| written(Meter::simple(n, u), Sort::Note, from, length);
        assert_eq!(note(6, 8, (0, 1), (3, 1)), "half.");
        assert_eq!(note(6, 8, (0, 1), (2, 1)), "quarter.~eighth");
        assert_eq!(note(6, 8, (1, 1), (1, 1)), "eighth~eighth");
        assert_eq!(note(6, 8, (1, 2), (1, 1)), "quarter");
        assert_eq!(note(6, 4, (2, 1), (2, 1)), "half");
        assert_eq!(note(6, 4, (1, 1), (3, 1)), "half~quarter");
        assert_eq!(note(9, 8, (0, 1), (9, 2)), "half.~quarter.");
        assert_eq!(note(12, 8, (3, 2), (3, 1)), "quarter.~quarter.");
        assert_eq!(note(3, 8, (1, 2), (1, 1)), "quarter");
        assert_eq!(note(5, 8, (0, 1), (5, 2)), "quarter.~quarter");
        assert_eq!(note(7, 8, (0, 1), (7, 2)), "half~quarter.");
    }

    /// Common practice: rests are stricter than notes.
    #[test]
    fn rests_show_every_beat() {
        let rest = |n, u, from, length| written(Meter::simple(n, u), Sort::Rest, from, length);
        assert_eq!(rest(4, 4, (0, 1), (2, 1)), "half");
        assert_eq!(rest(4, 4, (1, 1), (2, 1)), "quarter~quarter");
        assert_eq!(rest(4, 4, (3, 2), (5, 2)), "eighth~half");
        assert_eq!(rest(3, 4, (1, 1), (2, 1)), "quarter~quarter");
        assert_eq!(rest(6, 8, (0, 1), (1, 1)), "quarter");
        assert_eq!(rest(6, 8, (1, 2), (1, 1)), "eighth~eighth");
        assert_eq!(rest(6, 8, (3, 2), (3, 2)), "quarter.");
    }

    fn meters() -> impl Strategy<Value = Meter> {
        let written = (1u32..=16, 0u32..=4).prop_map(|(n, u)| Meter::simple(n, 1 << u));
        let grouped = proptest::collection::vec(1u32..=4, 2..4).prop_map(|g| Meter::new(g, 8, MeterSign::Numbers).expect("in range"));
        prop_oneof![written, grouped]
    }

    proptest! {
        /// In 64ths of a quarter, anywhere in any meter: the values follow each other, add up, and last what their names say.
        #[test]
        fn cuts_add_up_to_printable_values(meter in meters(), from in 0i64..512, length in 1i64..512, is_rest in any::<bool>()) {
            let (from, length) = (beats(from, 64), beats(length, 64));
            let grid = Grid::new(&meter, from + length);
            let cuts = grid.cut(from, from + length, if is_rest { Sort::Rest } else { Sort::Note });
            let mut at = from;
            for cut in &cuts {
                prop_assert_eq!(cut.at, at);
                prop_assert_eq!(cut.value.and_then(Value::length), Some(cut.length));
                at += cut.length;
            }
            prop_assert_eq!(at, from + length);
        }

        /// Times no meter divides are written all the same.
        #[test]
        fn odd_times_add_up_too(from in 0i64..200, length in 1i64..200, parts in 1i64..20) {
            prop_assume!(parts != 16 && parts != 18);
            let (from, length) = (beats(from, parts), beats(length, parts));
            let cuts = Grid::new(&Meter::simple(4, 4), from + length).cut(from, from + length, Sort::Note);
            prop_assert_eq!(cuts.iter().map(|c| c.length).sum::<Beats>(), length);
        }
    }
}
