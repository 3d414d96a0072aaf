//! Slots: one decision each, one chord within one measure, with everything about the place that the principles ask for.

use crate::chord_facts::ChordFacts;
use crate::measures::LaidMeasure;
use crate::tune::{Origin, Sung, Tune, long_note};
use harmony::cadences::{CadenceKind, cadences};
use harmony::likeness::first_alike;
use harmony::phrases::{PhrasePlace, Phrases, Pickup};
use harmony::spans::{Begin, ChordSpan, Silence, Spans, Struck};
use music::{Beats, Chord, Hand, Key, Meter, PitchName, Place, Seconds, Tempo};
use std::collections::{BTreeMap, BTreeSet};

/// One decision of the planner.
#[derive(Clone, Debug)]
pub struct Slot {
    pub measure: LaidMeasure,
    /// Place in the measure.
    pub at: Beats,
    /// Absolute place.
    pub start: Beats,
    pub length: Beats,
    /// The length in thousandths of a measure ([`counted_measure`]).
    pub measures: i64,
    /// `None` where nothing may be plucked: pickups, before the first chord, N.C., chords too short to strike.
    pub chord: Option<Chord>,
    /// The symbol as printed.
    pub text: String,
    pub meter: Meter,
    pub key: Key,
    pub full_measure: bool,
    /// Measures this chord has already lasted when the slot begins.
    pub lasted: u32,
    /// Places of the strong beats within the slot, from its start.
    pub strong_beats: Vec<Beats>,
    pub duty: Duty,
    /// How many chords are struck in this measure.
    pub chords_in_measure: usize,
    /// Index of the phrase; a new figure is welcome where it begins.
    pub phrase: usize,
    pub opens_phrase: bool,
    /// First slot of its measure.
    pub opens_measure: bool,
    /// The slots of measures with equal tune, chords and place in the measure share a class.
    pub class: Option<usize>,
    pub fullness: u8,
    /// The hand that plucks here; the other has the melody.
    pub hand: Hand,
    /// Which part of the whole: a verse, or what was added to the tune.
    pub part: usize,
    /// How much time a measure takes.
    pub pace: Pace,
    /// The source asks for silence of chords here.
    pub silence: Silence,
    /// What the place itself adds to the wished fullness, in thousandths of a note a measure.
    pub offset: i64,
    /// The top note of the tune that begins or sounds at the start of the slot, as a MIDI number.
    pub tune: Option<i32>,
    /// Where the chord is a new one: its pitch classes that the last one lacked, a bit each.
    pub new_tones: Option<u16>,
    /// Inside a measure, where the tones of the chord before are the same: only the bass is written anew.
    pub rings_on: bool,
    /// The chord's third as the tune contradicts it wherever this chord stands: its letter, and the pitch class that the tune has.
    pub doubted: Option<(i32, i32)>,
    /// Where the phrase ends inside the slot, from its start: what comes after is the next phrase's pickup.
    pub phrase_ends: Option<Beats>,
    /// The bass that the next phrase begins with, in the last slot of a phrase: what a tone may lead to.
    pub next_bass: Option<PitchName>,
}

/// How much time a measure takes: a long one has room for more notes (habits, "Fullness").
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// 1.7 seconds or more.
    Broad,
    Brisk,
}

const BROAD: Seconds = Seconds::from_millis(1_700);

/// What is special about a slot's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Duty {
    /// The first chord of a section: root position, third heard.
    pub section_first: bool,
    /// In the last measure of a phrase.
    pub phrase_end: bool,
    /// One of the last two chords of a phrase.
    pub cadence: bool,
    /// The last of them, where the phrase closes.
    pub arrival: bool,
    /// An arrival that closes a section, where its chord begins.
    pub closes: bool,
    /// The chord before an arrival.
    pub approach: bool,
    /// The last chord of all.
    pub last: bool,
    /// Under the highest note of a section, where that is a long one.
    pub peak: bool,
    /// Before the dominant of a close, on a chord whose fifth is its root: six-four, then the dominant on the same bass.
    pub six_four: bool,
    /// The same, where the phrase comes from another chord and has not just begun: its root would be home too soon.
    pub prepares: bool,
    /// The chord before an approach: what the close must not fall behind.
    pub before_close: bool,
}

impl Slot {
    pub fn end(&self) -> Beats {
        self.start + self.length
    }

    /// At least one beat long; where the beat is longer than a half note, a half note.
    pub fn counts(&self) -> bool {
        self.length >= self.meter.beat().min(Beats::HALF)
    }

    /// The chord's pitch classes, a bit each.
    pub fn chord_bits(&self) -> Option<u16> {
        self.chord.as_ref().map(|c| c.pitch_classes().iter().fold(0, |bits, class| bits | 1 << class))
    }

    /// Whether the root (or the written bass) is asked for: where a section begins or closes, and at the end.
    pub fn freedom(&self) -> Freedom {
        let duty = &self.duty;
        let corner = duty.last || self.lasted == 0 && (duty.section_first || duty.closes);
        if corner { Freedom::Stated } else { Freedom::Free }
    }
}

/// Which basses a place allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Freedom {
    /// The root, or the bass that is written.
    Stated,
    /// Any tone of the chord.
    Free,
}

/// The wished fullness of each verse and the length of a measure in time decide how many notes a slot aims at.
pub struct Setting<'a> {
    pub fullness: &'a [u8],
}

impl Setting<'_> {
    /// The wished fullness of a verse; further verses are like the last. Beside a verse that is the melody alone nothing is, but what the left hand has alone.
    fn level(&self, origin: Origin) -> u8 {
        let verse = self.fullness[origin.verse().min(self.fullness.len() - 1)];
        match origin {
            Origin::Tune { .. } => verse,
            Origin::Added { least, .. } if verse == 0 => {
                if least > 1 {
                    least
                } else {
                    0
                }
            }
            Origin::Added { fuller, least, .. } => verse.saturating_add_signed(fuller).max(least).clamp(1, 6),
        }
    }
}

/// Lays the slots along the tune.
pub fn slots(tune: &Tune, spans: &Spans, phrases: &Phrases, setting: &Setting) -> Vec<Slot> {
    let mut all: Vec<Slot> = Vec::new();
    let classes = classes(tune, spans, phrases, setting);
    let usual = usual_rate(tune);
    for (index, span) in spans.spans.iter().enumerate() {
        let place = &phrases.measures[span.measure];
        all.push(slot(tune, &spans.spans, index, place, setting, &classes, usual));
    }
    mark_pickups(&mut all, phrases);
    mark_lasting(&mut all, &spans.spans);
    mark_sections(&mut all, phrases);
    mark_cadences(&mut all, tune, spans, phrases);
    mark_last(&mut all);
    mark_seams(&mut all, phrases);
    mark_changes(&mut all);
    mark_peaks(&mut all, tune, phrases);
    mark_doubted(&mut all, tune);
    all.iter_mut().for_each(|s| s.offset += BY_CHORDS[s.chords_in_measure.clamp(1, 3) - 1]);
    shape_the_whole(&mut all, tune, usual);
    all
}

fn slot(tune: &Tune, spans: &[ChordSpan], index: usize, place: &PhrasePlace, setting: &Setting, classes: &Classes, usual: i64) -> Slot {
    let span = &spans[index];
    let here = LaidMeasure::at(span.measure);
    let frame = tune.frame(here);
    // The last chord of all is struck, however short.
    let closes = index + 1 == spans.len() && span.silence == Silence::No;
    let leads_in = place.pickup != Pickup::No && !has_its_own_chord(span, frame);
    let silent = span.struck == Struck::No && !closes || leads_in;
    let chord = if silent { None } else { span.chord.clone() };
    let end = span.at + span.length;
    let strong_beats = frame.meter.strong_beats().into_iter().filter(|p| *p >= span.at && *p < end).map(|p| p - span.at).collect();
    let opens_measure = index == 0 || spans[index - 1].measure != span.measure;
    let part = tune.part[here];
    let same_measure = |s: &&ChordSpan| s.measure == span.measure && s.struck == Struck::Yes;
    Slot {
        measure: here,
        at: span.at,
        start: tune.on_page(span.measure, span.at),
        length: span.length,
        measures: span.length.thousandths_of(counted_measure(&frame.meter)).max(1),
        text: span.text.clone(),
        full_measure: span.at.is_zero() && frame.is_full() && span.length == frame.meter.length(),
        key: frame.key.clone(),
        meter: frame.meter.clone(),
        lasted: 0,
        strong_beats: if frame.is_full() { strong_beats } else { short_measure_strong_beats(tune, span) },
        duty: Duty { phrase_end: place.last_of_phrase, ..Duty::default() },
        chords_in_measure: spans.iter().filter(same_measure).count(),
        phrase: place.phrase,
        opens_phrase: place.first_of_phrase && opens_measure,
        opens_measure,
        class: classes.of.get(&(span.measure, span.at)).copied(),
        fullness: setting.level(tune.origin[here]),
        hand: tune.melody_in[here].other(),
        part,
        offset: offset(tune, span, place, usual),
        pace: if tempo(tune, span).seconds(counted_measure(&frame.meter)) >= BROAD { Pace::Broad } else { Pace::Brisk },
        silence: span.silence,
        tune: tune
            .around(
                tune.on_page(span.measure, span.at),
                tune.on_page(span.measure, span.at) + Beats::EIGHTH.scaled(1, 8).unwrap_or(Beats::EIGHTH),
            )
            .last()
            .map(|n| n.top_midi),
        new_tones: None,
        rings_on: false,
        doubted: None,
        phrase_ends: place.ends_at.map(|end| end - span.at).filter(|end| *end > Beats::ZERO && *end < span.length),
        next_bass: None,
        chord,
    }
}

/// Half a measure or more between two strains, with a chord written there: more than a pickup's one tone is led by it.
fn has_its_own_chord(span: &ChordSpan, frame: &music::Frame) -> bool {
    span.measure > 0 && span.begin == Begin::Symbol && span.length * 2 >= frame.meter.length()
}

/// The tempo that holds where a span begins.
fn tempo(tune: &Tune, span: &ChordSpan) -> Tempo {
    tune.clock.tempo(Place { measure: span.measure, at: span.at })
}

/// The length that counts as a measure: 12/8 is two of them.
pub fn counted_measure(meter: &Meter) -> Beats {
    let length = meter.length();
    if meter.unit == 8 && meter.numerator() == 12 { length.scaled(1, 2).unwrap_or(length) } else { length }
}

/// The start of a short measure is a strong beat unless it is a pickup; its other strong beats are uncertain and left alone.
fn short_measure_strong_beats(tune: &Tune, span: &ChordSpan) -> Vec<Beats> {
    let frame = tune.frame(LaidMeasure::at(span.measure));
    if frame.number == 0 || !span.at.is_zero() { Vec::new() } else { vec![Beats::ZERO] }
}

/// What the tune does to the wished notes of a measure, in thousandths (OURS): still tune, moving hand; moving tune, still hand.
const UNDER_A_PHRASE_END: i64 = -500;
const UNDER_A_RUN: i64 = -1_100;
/// In thousandths of a note.
const A_NOTE_A_BEAT: i64 = 1_000;
/// How busy the tune is, in hundredths of what it usually is, up to which an offset is taken.
const BY_ACTIVITY: [(i64, i64); 4] = [(40, 2_000), (60, 1_500), (80, 500), (125, -100)];

/// A phrase end and a busy tune ask for less than the phrase's peak, a held tune for more (habits, "Fullness"). Busy is what is busier than the tune
/// usually is. The offset never depends on the wished level, which is what makes fullness rise from level to level.
fn offset(tune: &Tune, span: &ChordSpan, place: &PhrasePlace, usual: i64) -> i64 {
    let per_beat = rate(tune, LaidMeasure::at(span.measure), span.at, span.length);
    let ends = place.last_of_phrase && place.ends_at.is_none_or(|end| span.at < end);
    let mut offset = if ends && per_beat > 1_000 { UNDER_A_PHRASE_END } else { 0 };
    let share = per_beat * 100 / usual.max(1);
    offset += BY_ACTIVITY.iter().find(|(most, _)| share <= *most).map_or(UNDER_A_RUN, |(_, by)| *by);
    offset
}

/// Melody plucks a beat in a stretch of a measure, in thousandths.
fn rate(tune: &Tune, measure: LaidMeasure, at: Beats, length: Beats) -> i64 {
    let from = tune.starts[measure] + at;
    let begun = tune.around(from, from + length).iter().filter(|n| n.on >= from).count() as i64;
    begun * 1_000_000 / length.thousandths_of(tune.frame(measure).meter.beat()).max(1)
}

/// A note on every beat, or none so long that the hand would fill under it.
fn tune_moves(tune: &Tune, slot: &Slot) -> bool {
    let sung = tune.around(slot.start, slot.end());
    let onsets = sung.iter().map(|n| n.on).filter(|on| *on > slot.start).chain([slot.end()]);
    let longest = onsets.scan(slot.start, |last, on| Some(on - std::mem::replace(last, on))).max();
    rate(tune, slot.measure, slot.at, slot.length) >= A_NOTE_A_BEAT || longest.is_some_and(|longest| longest < long_note(&slot.meter))
}

/// The median rate of the measures in which the tune sounds.
fn usual_rate(tune: &Tune) -> i64 {
    let whole = |m: LaidMeasure| rate(tune, m, Beats::ZERO, tune.frame(m).length);
    let mut rates: Vec<i64> = tune.measures().map(whole).filter(|r| *r > 0).collect();
    rates.sort();
    rates.get(rates.len() / 2).copied().unwrap_or(1_000)
}

fn mark_lasting(all: &mut [Slot], spans: &[ChordSpan]) {
    for index in 1..all.len() {
        let (before, here) = (&spans[index - 1], &spans[index]);
        let carried = here.begin == Begin::CarriedOver && before.chord == here.chord && all[index - 1].chord.is_some();
        if carried && all[index].opens_measure && here.chord.is_some() {
            all[index].lasted = all[index - 1].lasted + 1;
        }
    }
}

/// A chord in the pickup of a phrase belongs to it; where it is half a measure long, the phrase opens with it.
fn mark_pickups(all: &mut [Slot], phrases: &Phrases) {
    for slot in all.iter_mut() {
        let ended = phrases.measures[slot.measure.index()].ends_at.is_some_and(|end| slot.at >= end);
        if let Some(next) = phrases.measures.get(slot.measure.next().index()).filter(|_| ended) {
            slot.phrase = next.phrase;
            slot.duty.phrase_end = false;
            slot.opens_phrase = slot.chord.is_some() && slot.length * 2 >= slot.meter.length();
        }
    }
    for index in 1..all.len() {
        let same = all[index - 1].phrase == all[index].phrase && all[index - 1].opens_phrase;
        all[index].opens_phrase &= !same || all[index - 1].measure.next() != all[index].measure;
    }
}

fn mark_sections(all: &mut [Slot], phrases: &Phrases) {
    let mut section = None;
    for slot in all.iter_mut().filter(|s| s.chord.is_some()) {
        let here = phrases.measures[slot.measure.index()].section;
        slot.duty.section_first = section != Some(here);
        section = Some(here);
    }
}

/// The last two chords of each phrase; slots and spans are counted alike.
fn mark_cadences(all: &mut [Slot], tune: &Tune, spans: &Spans, phrases: &Phrases) {
    for cadence in cadences(&tune.sheet, spans, phrases) {
        let approach = cadence.approach;
        // A phrase may close in another key than the one that is written: a dominant seventh that falls a fifth.
        let falls = approach.is_some_and(|a| closes_elsewhere(&all[a], &all[cadence.arrival]));
        let authentic = cadence.kind == CadenceKind::Authentic || falls;
        all[cadence.arrival].duty.cadence = true;
        all[cadence.arrival].duty.arrival = falls || !matches!(cadence.kind, CadenceKind::Half | CadenceKind::Other);
        all[cadence.arrival].duty.closes = all[cadence.arrival].duty.arrival && phrases.measures[cadence.measure].last_of_section;
        let Some(approach) = approach else { continue };
        all[approach].duty.cadence = true;
        all[approach].duty.approach = authentic;
        let dominant = all[approach].chord.as_ref().map(|c| c.root.pitch_class());
        if let Some(before) = approach.checked_sub(1).map(|b| &mut all[b]) {
            let fifth = before.chord.as_ref().and_then(|c| c.fifth().map(|t| c.name_of(t).pitch_class()));
            before.duty.before_close = authentic;
            before.duty.six_four = authentic && fifth.is_some() && fifth == dominant;
        }
        // A tonic that has lasted or that opens the phrase is no preparation of the close but where the phrase is at home.
        let prepares = approach.checked_sub(1).filter(|b| all[*b].duty.six_four && !all[*b].opens_phrase).and_then(|b| b.checked_sub(1));
        let root = |s: &Slot| s.chord.as_ref().map(|c| c.root.pitch_class());
        if let Some(earlier) = prepares {
            all[earlier + 1].duty.prepares = root(&all[earlier]) != root(&all[earlier + 1]);
        }
    }
}

fn closes_elsewhere(approach: &Slot, arrival: &Slot) -> bool {
    let (Some(from), Some(to)) = (&approach.chord, &arrival.chord) else { return false };
    ChordFacts::of(from).leads && (from.root.pitch_class() - to.root.pitch_class()).rem_euclid(12) == 7
}

fn mark_last(all: &mut [Slot]) {
    if let Some(last) = all.iter_mut().rev().find(|s| s.chord.is_some()) {
        last.duty.last = true;
    }
}

/// A note of the tune this long leaves a roll its time. Ours.
const LONG: Seconds = Seconds::from_millis(800);

/// The slots that begin with the highest note of their section, where it is a long one.
fn mark_peaks(all: &mut [Slot], tune: &Tune, phrases: &Phrases) {
    let section = |slot: &Slot| (slot.part, phrases.measures[slot.measure.index()].section);
    let highest = |slot: &Slot| tune.around(slot.start, slot.end()).iter().filter(|n| n.on >= slot.start).map(|n| n.top_midi).max();
    let mut tops: BTreeMap<(usize, usize), i32> = BTreeMap::new();
    for slot in all.iter().filter(|s| s.chord.is_some()) {
        let top = tops.entry(section(slot)).or_insert(i32::MIN);
        *top = (*top).max(highest(slot).unwrap_or(i32::MIN));
    }
    for slot in all.iter_mut().filter(|s| s.chord.is_some() && s.counts()) {
        let first = tune.around(slot.start, slot.end()).iter().find(|n| n.on == slot.start);
        let long = |n: &&Sung| tune.clock.at_beats(n.off) - tune.clock.at_beats(n.on) >= LONG;
        let peak = first.filter(long).is_some_and(|n| tops.get(&section(slot)) == Some(&n.top_midi));
        slot.duty.peak = peak && !slot.duty.last && !slot.duty.section_first;
    }
}

/// A symbol whose third the tune never has, wherever the chord stands, while it has the other form of that letter: "D" in a tune in D minor. Its third is left to the
/// tune, but where the piece ends. A seventh chord is doubted only where that is so in half of its places or more: one passing tone makes no dominant minor.
fn mark_doubted(all: &mut [Slot], tune: &Tune) {
    #[derive(Default)]
    struct Heard {
        places: usize,
        /// Letter and pitch class, and in how many places.
        tones: BTreeMap<(i32, i32), usize>,
    }
    let mut heard: BTreeMap<String, Heard> = BTreeMap::new();
    let named = |slot: &Slot| slot.chord.as_ref().map(|c| Chord { bass: None, ..c.clone() }.to_string());
    for slot in all.iter() {
        let Some(name) = named(slot) else { continue };
        let single = tune.around(slot.start, slot.end()).iter().filter(|n| n.strings.len() == 1);
        let tones: BTreeSet<(i32, i32)> = single.map(|n| (n.low().rem_euclid(7), n.top_midi.rem_euclid(12))).collect();
        let of = heard.entry(name).or_default();
        of.places += 1;
        tones.into_iter().for_each(|tone| *of.tones.entry(tone).or_default() += 1);
    }
    let end = all.iter().rev().find_map(|s| s.chord.clone());
    let at_the_end = all.iter().rev().take_while(|s| s.chord.is_none() || s.chord == end).count();
    let before_the_end = all.len() - at_the_end;
    for slot in &mut all[..before_the_end] {
        let Some((name, chord)) = named(slot).zip(slot.chord.as_ref()) else { continue };
        let Some(third) = chord.third().map(|t| chord.name_of(t)) else { continue };
        let of = &heard[&name];
        let forms: Vec<(i32, usize)> =
            of.tones.iter().filter(|((letter, _), _)| *letter == third.step.index()).map(|((_, class), n)| (*class, *n)).collect();
        if let [(other, count)] = forms[..]
            && other != third.pitch_class()
            && (chord.seventh().is_none() || count * 2 >= of.places)
        {
            slot.doubted = Some((third.step.index(), other));
        }
    }
}

/// Several chords in a measure want their notes: what two and more add to the wished notes, in thousandths (left hands made by hand).
const BY_CHORDS: [i64; 3] = [0, 600, 1_300];

fn mark_changes(all: &mut [Slot]) {
    for index in 1..all.len() {
        let (Some(before), Some(here)) = (all[index - 1].chord_bits(), all[index].chord_bits()) else { continue };
        let new = here & !before;
        all[index].new_tones = (new != 0).then_some(new);
        all[index].rings_on = new == 0 && all[index].measure == all[index - 1].measure;
    }
}

/// The last slot of a phrase knows the bass of the next phrase.
fn mark_seams(all: &mut [Slot], phrases: &Phrases) {
    for index in 1..all.len() {
        // A short pickup leads by itself; the seam is where the phrase's own measures begin.
        let short_pickup = phrases.measures[all[index].measure.index()].ends_at.is_some() && !all[index].opens_phrase;
        let opens = all[index].opens_phrase || all[index].phrase != all[index - 1].phrase && !short_pickup;
        if opens && all[index - 1].chord.is_some() && !all[index - 1].duty.last {
            all[index - 1].next_bass = all[index].chord.as_ref().map(Chord::bass_name);
        }
    }
}

/// The curve over a verse: plain at first, open, fullest from three fifths on; only the last chord closes it. In thousandths of a note a measure, by eighths of the
/// verse (left hands made by hand: the fullest four measures have 1.3 to 2.5 times the attacks of the thinnest; the numbers are OURS).
const CURVE: [i64; 8] = [-700, -350, 100, 400, 300, 1_150, 1_600, 1_150];

fn shape_the_whole(all: &mut [Slot], tune: &Tune, usual: i64) {
    let parts = all.iter().map(|s| s.part).max().unwrap_or(0);
    for part in 0..=parts {
        let measures: Vec<LaidMeasure> = tune.measures().filter(|m| tune.part[*m] == part).collect();
        let (Some(first), count) = (measures.first().copied(), measures.len()) else { continue };
        if count < 8 {
            continue;
        }
        for slot in all.iter_mut().filter(|s| s.part == part) {
            let by = CURVE[((slot.measure.index() - first.index()) * 8 / count).min(7)];
            // Under a run the hand stays light to the end, and in a tune that has long notes nearly so where it moves.
            let runs = slot.offset <= UNDER_A_PHRASE_END;
            let moves = usual <= A_NOTE_A_BEAT && tune_moves(tune, slot);
            slot.offset += match by > 0 {
                true if runs => by / 2,
                true if moves => by * 5 / 8,
                _ => by,
            };
        }
    }
}

/// Which slots must be answered alike: those at one place of measures with equal tune and chords, in one verse, at one fullness and one tempo; phrase ends
/// apart.
struct Classes {
    of: BTreeMap<(usize, Beats), usize>,
}

fn classes(tune: &Tune, spans: &Spans, phrases: &Phrases, setting: &Setting) -> Classes {
    let alike = first_alike(&tune.sheet, spans);
    let mut ids = BTreeMap::new();
    let mut of = BTreeMap::new();
    for span in &spans.spans {
        let here = LaidMeasure::at(span.measure);
        let (part, level) = (tune.part[here], setting.level(tune.origin[here]));
        let tempo = tempo(tune, span).milli_quarters_per_minute();
        let place = &phrases.measures[span.measure];
        let last_of_phrase = place.last_of_phrase && place.ends_at.is_none_or(|end| span.at < end);
        let key = (alike[span.measure], span.at, level, part, tempo, last_of_phrase);
        let next = ids.len();
        of.insert((span.measure, span.at), *ids.entry(key).or_insert(next));
    }
    Classes { of }
}
