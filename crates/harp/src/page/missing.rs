//! A note that cannot be played, and why: found and said here, for the arranger's remark, the check's finding, the page's foot and the worktable.
//!
//! The plan says which notes are missing; this says what forbids each. A string beyond the harp, or a pitch no string has, is arithmetic; so are two notes that
//! want one string otherwise at one instant. Else it is time: from where the string is free to the note that needs it, and from that note to the next that
//! needs it otherwise, in every pass.

use crate::instrument::Instrument;
use crate::player::MoveTimes;
use crate::settings::walk::first;
use crate::settings::{Choice, Part, Passage, Use};
use music::{Beats, Hand, MeasureNumber, Pitch, Seconds};
use std::collections::BTreeMap;
use std::fmt;
use std::ops::Range;

/// Less than this is no time at all, in words.
const A_MOMENT: Seconds = Seconds::from_millis(50);

/// The most kinds of notes that a sentence names.
const NAMED: usize = 4;

/// A written pitch that the plan of a page gives up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MissingNote {
    /// Index of the use.
    pub used: usize,
    /// The hand it is written for.
    pub hand: Hand,
    /// Index into the measures of the page.
    pub measure: usize,
    /// Where in it.
    pub at: Beats,
    /// As it is written.
    pub pitch: Pitch,
    /// It is a grace note.
    pub grace: bool,
    /// What forbids it.
    pub why: Why,
}

/// What forbids a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// It lies below this string, the harp's lowest.
    Below(Pitch),
    /// It lies above this string, the harp's highest.
    Above(Pitch),
    /// No string can be set to it.
    NoString,
    /// Its string is wanted otherwise at the same instant, and no other has the pitch.
    Together,
    /// There is less time than its lever or pedal takes.
    Late {
        /// What would have to be moved.
        part: Part,
        /// The time there is.
        has: Seconds,
        /// The time that it takes.
        needs: Seconds,
    },
    /// There is time only while the string is written to sound.
    Sounding(Part),
    /// There is time, but the hand or foot has others to move in it.
    Busy(Part),
}

impl Why {
    /// For a pitch that no string of the harp has.
    pub fn never(harp: &Instrument, written: Pitch) -> Why {
        let (low, high) = (harp.lowest(), harp.highest());
        match written.position() {
            p if p < low => Why::Below(Pitch::at_position(low, 0)),
            p if p > high => Why::Above(Pitch::at_position(high, 0)),
            _ => Why::NoString,
        }
    }

    /// No moment of the page could change it.
    pub fn is_never(self) -> bool {
        matches!(self, Why::Below(_) | Why::Above(_) | Why::NoString)
    }
}

impl fmt::Display for MissingNote {
    /// A sentence without its place, lower case, no full stop.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let pitch = self.pitch;
        match self.why {
            Why::Below(lowest) => write!(f, "this harp has no string for {pitch:#}: it lies below the lowest, {}", string(lowest)),
            Why::Above(highest) => write!(f, "this harp has no string for {pitch:#}: it lies above the highest, {}", string(highest)),
            Why::NoString => write!(f, "no string of this harp can be set to {pitch:#}"),
            Why::Together => {
                write!(
                    f,
                    "{pitch:#} cannot be played together with the other notes: they need its string set otherwise, and no other has it"
                )
            }
            Why::Late { part, has, .. } if has < A_MOMENT => write!(f, "there is no free moment to move the {} for {pitch:#}", name(part)),
            Why::Late { part, has, needs } => {
                let (has, needs) = (hundredths(has), hundredths(needs));
                write!(f, "there are only {has} s to move the {} for {pitch:#}, where {needs} s are wanted", name(part))
            }
            Why::Sounding(part) => {
                write!(f, "the {} for {pitch:#} would have to be moved while its string should still sound", name(part))
            }
            Why::Busy(part @ Part::Lever(_)) => {
                write!(f, "there is no time to move the {} for {pitch:#}: the hand has other levers to move", name(part))
            }
            Why::Busy(part) => write!(f, "there is no time to move the {} for {pitch:#}: the foot has another to move", name(part)),
        }
    }
}

/// "Some notes cannot be played on this harp: in measure 3 no string of this harp can be set to F♯5; …", without a full stop. `number` gives a measure's printed
/// number.
pub fn sentence(notes: &[MissingNote], number: impl Fn(usize) -> MeasureNumber) -> String {
    let which = if notes.len() == 1 { "One note cannot" } else { "Some notes cannot" };
    format!("{which} be played on this harp: {}", reasons(notes, number))
}

/// What the sign at such notes means, for the foot of the page.
pub fn of_the_sign(notes: &[MissingNote], number: impl Fn(usize) -> MeasureNumber) -> String {
    format!("× cannot be played on this harp: {}", reasons(notes, number))
}

/// Notes of one kind together, with their measures.
fn reasons(notes: &[MissingNote], number: impl Fn(usize) -> MeasureNumber) -> String {
    let mut kinds: Vec<(&MissingNote, Vec<MeasureNumber>)> = Vec::new();
    for note in notes {
        let kind = kinds.iter_mut().find(|k| k.0.pitch == note.pitch && k.0.to_string() == note.to_string());
        match kind {
            Some((_, measures)) => measures.push(number(note.measure)),
            None => kinds.push((note, vec![number(note.measure)])),
        }
    }
    let more: usize = kinds.iter().skip(NAMED).map(|k| k.1.len()).sum();
    let mut said: Vec<String> = kinds.iter().take(NAMED).map(|(note, measures)| format!("in {} {note}", in_measures(measures))).collect();
    said.extend((more > 0).then(|| format!("and {more} more")));
    said.join("; ")
}

/// "measure 3", "measures 3, 4 and 7", "measures 3, 4, 7 and 5 more".
fn in_measures(numbers: &[MeasureNumber]) -> String {
    let mut numbers = numbers.to_vec();
    numbers.dedup();
    let more = numbers.len().saturating_sub(NAMED);
    let named = numbers.iter().take(NAMED).map(MeasureNumber::to_string);
    music::number::listed(&named.chain((more > 0).then(|| format!("{more} more"))).collect::<Vec<_>>())
}

/// A string by its letter and octave, however it is set.
fn string(pitch: Pitch) -> String {
    format!("{}{}", pitch.step.letter(), pitch.octave)
}

fn name(part: Part) -> &'static str {
    match part {
        Part::Lever(_) => "lever",
        Part::Pedal(_) => "pedal",
    }
}

fn hundredths(time: Seconds) -> String {
    let hundredths = (time.micros() + 5_000) / 10_000;
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// What a planned passage shows of the notes it gives up.
pub(super) struct Reasons<'a> {
    pub harp: &'a Instrument,
    pub passage: &'a Passage,
    pub times: &'a MoveTimes,
    pub choices: &'a [Choice],
}

impl Reasons<'_> {
    /// Why each of these notes is missing, `notes` in order.
    pub fn of(&self, notes: &[usize]) -> Vec<Why> {
        let uses = self.passage.uses();
        let tracks = self.tracks();
        let mut together: BTreeMap<usize, usize> = BTreeMap::new();
        let mut why = Vec::with_capacity(notes.len());
        for note in notes {
            let own = &uses[*note];
            let written = own.spellings[0].pitch;
            let left = together.entry(own.place).or_insert_with(|| self.at_once(own.place));
            why.push(match self.never(own, written) {
                Some(never) => never,
                None if *left > 0 => {
                    *left -= 1;
                    Why::Together
                }
                None => self.in_time(*note, &tracks),
            });
        }
        why
    }

    fn never(&self, own: &Use, written: Pitch) -> Option<Why> {
        let can = own.spellings.iter().any(|s| self.harp.can_sound(s.pitch));
        (!can).then(|| Why::never(self.harp, written))
    }

    /// How many of the notes of one instant no setting gives, those left aside that none ever gives.
    fn at_once(&self, place: usize) -> usize {
        let strings = |note: &Use| {
            let own = note.spellings.iter().map(|s| s.pitch).filter(|p| self.harp.can_sound(*p));
            own.map(|p| Part::of(self.harp, p).map(|part| (part, p.alter))).collect::<Vec<Option<(Part, i32)>>>()
        };
        let uses = self.passage.uses();
        let first = uses.partition_point(|u| u.place < place);
        let here = uses[first..].iter().take_while(|u| u.place == place);
        let mut notes: Vec<Vec<Option<(Part, i32)>>> = here.map(strings).filter(|s| !s.is_empty() && !s.contains(&None)).collect();
        notes.sort();
        let mut least = notes.len();
        lost(&notes, &mut BTreeMap::new(), 0, &mut least);
        least
    }

    /// For each lever or pedal what is plucked on it, in playing order: when, until when it is written to sound, how the part stands, and by which note.
    fn tracks(&self) -> BTreeMap<Part, Vec<Touch>> {
        let mut tracks: BTreeMap<Part, Vec<Touch>> = BTreeMap::new();
        for (note, on, until) in self.played() {
            let Choice::Plucked(spelling) = self.choices[note] else { continue };
            let pitch = self.passage.uses()[note].spellings[spelling].pitch;
            if let Some(part) = Part::of(self.harp, pitch) {
                tracks.entry(part).or_default().push(Touch { on, until, alter: pitch.alter });
            }
        }
        tracks
    }

    /// Every note in every pass: when it is plucked, and until when it is written to sound.
    fn played(&self) -> impl Iterator<Item = (usize, i64, i64)> + '_ {
        self.passes().flat_map(move |(range, ahead)| {
            let uses = self.passage.uses();
            let from = uses.partition_point(|u| u.place < range.start);
            let here = uses[from..].iter().enumerate().take_while(move |(_, u)| u.place < range.end);
            here.map(move |(i, u)| (from + i, self.passage.time(u.place) + ahead, self.passage.time(u.until) + ahead))
        })
    }

    /// The stretches of the playing order, each with how far its playing is ahead of the printed page.
    fn passes(&self) -> impl Iterator<Item = (Range<usize>, i64)> + '_ {
        let mut now = 0;
        self.passage.order.iter().map(move |range| {
            let ahead = now - self.passage.time(range.start);
            now = self.passage.time(range.end) + ahead;
            (range.clone(), ahead)
        })
    }

    /// Of the strings that have the note, the one with most time.
    fn in_time(&self, note: usize, tracks: &BTreeMap<Part, Vec<Touch>>) -> Why {
        let own: Vec<(i64, i64)> = self.played().filter(|p| p.0 == note).map(|p| (p.1, p.2)).collect();
        let strings = self.passage.uses()[note].spellings.iter().map(|s| s.pitch).filter(|p| self.harp.can_sound(*p));
        let moved = strings.filter_map(|pitch| Part::of(self.harp, pitch).map(|part| (part, pitch.alter)));
        let rooms = moved.map(|(part, alter)| {
            let touches = tracks.get(&part).map_or(&[][..], Vec::as_slice);
            let least = |sounded: i64| own.iter().map(|o| self.room(part, alter, *o, touches, sounded)).min().unwrap_or(0);
            (least(MoveTimes::SOUNDED.micros()), least(i64::MAX), part)
        });
        let Some((loose, strict, part)) = rooms.max_by_key(|r| (r.0, r.1)) else { return Why::Together };
        let takes = first(self.times, part);
        // A pedal can be moved at the very instant of its note.
        let needs = if matches!(part, Part::Pedal(_)) { 0 } else { takes };
        match () {
            // There is time for this one; for others too only while strings sound, or not even then.
            () if strict >= needs && loose.saturating_sub(strict) < takes => Why::Busy(part),
            () if loose >= needs => Why::Sounding(part),
            () => Why::Late { part, has: Seconds::from_micros(loose.max(0)), needs: Seconds::from_micros(takes) },
        }
    }

    /// The least time for moving a part to a note and from it on; `sounded` is how long a string must sound before it is moved although written longer.
    fn room(&self, part: Part, alter: i32, (on, until): (i64, i64), touches: &[Touch], sounded: i64) -> i64 {
        let release = |on: i64, until: i64| until.min(on.saturating_add(sounded));
        let next = touches.partition_point(|t| t.on <= on);
        let before = touches[..next].last().filter(|t| t.alter != alter).map(|t| (release(t.on, t.until), on));
        let after = touches.get(next).filter(|t| t.alter != alter).map(|t| (release(on, until), t.on));
        let windows = before.into_iter().chain(after);
        windows.map(|window| self.free(part, window)).min().unwrap_or(i64::MAX)
    }

    /// How long the hand is free at some instant between two times; a foot always is. Below zero where the first time comes after the second.
    fn free(&self, part: Part, (from, to): (i64, i64)) -> i64 {
        if matches!(part, Part::Pedal(_)) {
            return to - from;
        }
        let instants = self.passes().flat_map(|(range, ahead)| {
            let end = self.passage.time(range.end) + ahead;
            range.map(move |place| (self.passage.time(place) + ahead, self.passage.places[place].room.micros(), end))
        });
        let inside = instants.skip_while(|i| i.0 < from).take_while(|i| i.0 < to);
        inside.map(|(at, room, end)| room.min(to.min(end) - at)).max().unwrap_or(0).max(0)
    }
}

/// The fewest of some notes that are lost where each wants one of its parts to stand so; all ways are tried.
fn lost(notes: &[Vec<Option<(Part, i32)>>], stands: &mut BTreeMap<Part, i32>, so_far: usize, least: &mut usize) {
    if so_far >= *least {
        return;
    }
    let Some((note, others)) = notes.split_first() else {
        *least = so_far;
        return;
    };
    for (part, alter) in note.iter().flatten() {
        match stands.get(part) {
            Some(stood) if stood == alter => lost(others, stands, so_far, least),
            Some(_) => {}
            None => {
                stands.insert(*part, *alter);
                lost(others, stands, so_far, least);
                stands.remove(part);
            }
        }
    }
    lost(others, stands, so_far + 1, least);
}

/// A note on a string, in one pass.
struct Touch {
    on: i64,
    until: i64,
    alter: i32,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(measure: usize, why: Why) -> MissingNote {
        let pitch = Pitch::parse("F#5").expect("a pitch");
        MissingNote { used: 0, hand: Hand::Right, measure, at: Beats::ZERO, pitch, grace: false, why }
    }

    /// One kind of note is said once, with its measures.
    #[test]
    fn notes_in_one_sentence() {
        let late = |millis| Why::Late { part: Part::Lever(38), has: Seconds::from_millis(millis), needs: Seconds::from_millis(400) };
        let said =
            sentence(&[note(2, late(180)), note(6, Why::NoString), note(8, late(180)), note(9, late(10))], |m| (m as u32 + 1).into());
        let late = "there are only 0.18 s to move the lever for F♯5, where 0.40 s are wanted";
        let none = "in measure 7 no string of this harp can be set to F♯5; in measure 10 there is no free moment to move the lever for F♯5";
        assert_eq!(said, format!("Some notes cannot be played on this harp: in measures 3 and 9 {late}; {none}"));
    }

    #[test]
    fn many_measures_are_counted() {
        let many: Vec<MissingNote> = (0..9).map(|m| note(m, Why::NoString)).collect();
        let said = sentence(&many, |m| (m as u32 + 1).into());
        assert!(said.ends_with("in measures 1, 2, 3, 4 and 5 more no string of this harp can be set to F♯5"), "{said}");
    }
}
