//! The harmony of each measure: chord symbols become stretches of time, cut at bar lines, without gaps.
//!
//! A chord goes on until the next symbol, in the order in which the measures are first played: a second ending takes up the chord of the
//! measure before the first ending, or that of the first ending where its melody has more of it. Chords too short to be struck are kept as spans, marked, and listed with the reason.

use music::order::playing_order;
use music::{Beats, Chord, Clock, Frame, Harmony, LeadSheet, MeasureNumber, Meter, Place, Seconds};
use std::collections::BTreeSet;
use std::fmt;

/// The harmony of a whole tune in written order, and the chord symbols that are not struck.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Spans {
    /// In written order; those of a measure fill it.
    pub spans: Vec<ChordSpan>,
    /// Symbols at which nothing is plucked, in written order.
    pub left_out: Vec<LeftOut>,
}

/// One harmony within one measure. The spans of a measure are in order and fill it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChordSpan {
    /// Index of the written measure.
    pub measure: usize,
    /// Place in the measure.
    pub at: Beats,
    /// Until the next, or to the end of the measure.
    pub length: Beats,
    /// `None` in a silence of chords.
    pub chord: Option<Chord>,
    /// The symbol as its source wrote it; empty before the first symbol.
    pub text: String,
    /// How it comes to its chord.
    pub begin: Begin,
    /// Whether chords are silent.
    pub silence: Silence,
    /// Whether anything is plucked.
    pub struck: Struck,
}

impl ChordSpan {
    fn place(&self) -> Place {
        Place { measure: self.measure, at: self.at }
    }
}

/// How a span comes to its chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Begin {
    /// A symbol stands at its start.
    Symbol,
    /// It goes on from the measure written before (or nothing has been said yet).
    CarriedOver,
    /// It goes on from the measure played before, which is not the one written before (a second ending, a coda): a page does well to
    /// print the symbol again.
    Resumed,
}

/// Whether chords are silent here, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Silence {
    /// A chord holds.
    No,
    /// The tune has had no chord symbol yet.
    BeforeFirstChord,
    /// The source says N.C.
    NoChord,
}

/// Whether anything new is plucked within a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Struck {
    /// The chord is plucked.
    Yes,
    /// Silent, or too short: what was plucked before may ring on.
    No,
}

/// A chord symbol at which nothing is plucked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// Index of the written measure.
    pub measure: usize,
    /// Its printed number.
    pub number: MeasureNumber,
    /// Where in that measure.
    pub at: Beats,
    /// The symbol as its source wrote it.
    pub text: String,
    /// Why.
    pub reason: LeftOutReason,
}

/// Why nothing is plucked at a symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeftOutReason {
    /// It lasts this long only, under a beat or under [`SHORTEST`].
    TooShort(Beats),
    /// Another symbol stands before it at the same place and holds instead (see [`mod@crate::spread`]).
    SamePlace,
    /// It stands at or behind the end of its measure, and the next measure does not take it up.
    OutsideMeasure,
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {} is not played: ", self.number.in_words(), music::as_read(&self.text))?;
        match self.reason {
            LeftOutReason::TooShort(length) => match note_value(length) {
                Some(name) => write!(f, "it lasts only {name}"),
                None => write!(f, "it lasts only {length} of a quarter note"),
            },
            LeftOutReason::SamePlace => f.write_str("another symbol stands at the same place"),
            LeftOutReason::OutsideMeasure => f.write_str("it stands outside its measure"),
        }
    }
}

/// The name of a plain or dotted note value.
fn note_value(length: Beats) -> Option<&'static str> {
    match length.fraction() {
        (2, 1) => Some("a half note"),
        (3, 2) => Some("a dotted quarter"),
        (1, 1) => Some("a quarter note"),
        (3, 4) => Some("a dotted eighth"),
        (1, 2) => Some("an eighth"),
        (1, 4) => Some("a sixteenth"),
        _ => None,
    }
}

/// A chord shorter than this is never struck, whatever the meter. Ours: half of [`COMFORTABLE`].
pub const SHORTEST: Seconds = Seconds::from_millis(300);
/// Strikes of chords shorter than a beat keep this distance from every other strike. Ours.
pub const COMFORTABLE: Seconds = Seconds::from_millis(600);

/// What holds at the end of a measure.
#[derive(Clone, Default)]
struct Held {
    harmony: Option<Harmony>,
    text: String,
}

/// The spans of a tune; its clock decides what is too short to be struck.
///
/// ```
/// use harmony::spans::spans;
/// use music::{Beats, Clock, Tempo, text};
///
/// // Common practice: a chord holds until the next symbol, over the bar line too.
/// let tune = text::sheet(r#"4/4 C | "C"C5:2 "G7"B4:2 | D5:4 |"#);
/// let clock = Clock::of_sheet(&tune, Tempo::of(Beats::QUARTER, 90).expect("a tempo in range"));
/// let told: Vec<(usize, String)> = spans(&tune, &clock).spans.iter().map(|s| (s.measure, s.text.clone())).collect();
/// assert_eq!(told, [(0, "C".into()), (0, "G7".into()), (1, "G7".into())]);
/// ```
pub fn spans(sheet: &LeadSheet, clock: &Clock) -> Spans {
    let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
    let before = played_before(&frames);
    let begins_new = |m: usize| frames.get(m).is_none_or(|f| f.chords.iter().any(|c| c.at <= Beats::ZERO));
    let mut held: Vec<Option<Held>> = vec![None; frames.len()];
    let mut cut: Vec<Vec<ChordSpan>> = vec![Vec::new(); frames.len()];
    let mut left_out = Vec::new();
    for &(measure, before) in &before {
        let mut start = before.and_then(|b| held[b].clone()).unwrap_or_default();
        if let Some(first) = first_ending(&frames, measure).and_then(|first| cut[first].first()) {
            let said = Held { harmony: first.chord.clone().map(Harmony::Chord), text: first.text.clone() };
            if in_chord(sheet, measure, &said) > in_chord(sheet, measure, &start) {
                start = said;
            }
        }
        let begin = if before.is_none_or(|b| b + 1 == measure) { Begin::CarriedOver } else { Begin::Resumed };
        let (spans, end) = cut_measure(measure, frames[measure], start, begin, begins_new(measure + 1), &mut left_out);
        cut[measure] = spans;
        held[measure] = Some(end);
    }
    let mut spans: Vec<ChordSpan> = cut.into_iter().flatten().collect();
    strike(&mut spans, &frames, clock, &mut left_out);
    left_out.sort_by_key(|l| (l.measure, l.at));
    Spans { spans, left_out }
}

/// Where a later ending begins without a symbol: the measure in which the first of these endings begins. What is written there often stands for both.
fn first_ending(frames: &[&Frame], measure: usize) -> Option<usize> {
    let begins = |m: &usize| frames[*m].ending.as_ref().is_some_and(|e| e.starts);
    let later = begins(&measure) && frames[measure].chords.is_empty();
    let first = |m: &usize| begins(m) && frames[*m].ending.as_ref().is_some_and(|e| e.passes.contains(&1));
    (0..measure).rev().filter(|_| later).find(first)
}

/// How long the melody of a measure sounds tones of a chord.
fn in_chord(sheet: &LeadSheet, measure: usize, held: &Held) -> Beats {
    let Some(Harmony::Chord(chord)) = &held.harmony else { return Beats::ZERO };
    let classes = chord.pitch_classes();
    let inside = sheet.measures[measure].notes.iter().filter(|n| n.pitches.iter().any(|p| classes.contains(&p.pitch_class())));
    inside.map(|n| n.length).sum()
}

/// Every measure with the one played before its first playing, in an order in which the latter always comes first. Measures that no
/// sign leads to follow the one written before.
fn played_before(frames: &[&Frame]) -> Vec<(usize, Option<usize>)> {
    let order = playing_order(frames).measures;
    let mut seen = vec![false; frames.len()];
    let mut found = Vec::new();
    for (k, &measure) in order.iter().enumerate() {
        if !std::mem::replace(&mut seen[measure], true) {
            found.push((measure, k.checked_sub(1).map(|k| order[k])));
        }
    }
    let unplayed = (0..frames.len()).filter(|m| !seen[*m]);
    found.extend(unplayed.map(|m| (m, m.checked_sub(1))));
    found
}

/// Cuts one measure at its symbols; equal chords one after another make one span. Also what holds at its end: a symbol on the closing bar
/// line belongs to the next measure, if that does not begin with one of its own (`next_is_new`).
fn cut_measure(
    measure: usize,
    frame: &Frame,
    start: Held,
    begin: Begin,
    next_is_new: bool,
    left_out: &mut Vec<LeftOut>,
) -> (Vec<ChordSpan>, Held) {
    let mut marks = vec![(Beats::ZERO, start, begin)];
    let mut chords: Vec<_> = frame.chords.iter().collect();
    chords.sort_by_key(|c| c.at);
    let mut end = None;
    for (i, chord) in chords.iter().enumerate() {
        let place = chord.at.max(Beats::ZERO);
        let (harmony, source) = (&chord.symbol.harmony, &chord.symbol.source);
        let text = if source.is_empty() { harmony.to_string() } else { source.clone() };
        let said = Held { harmony: Some(harmony.clone()), text: text.clone() };
        let mut leave = |reason| left_out.push(LeftOut { measure, number: frame.number, at: chord.at, text: text.clone(), reason });
        if place >= frame.length {
            if next_is_new || i + 1 < chords.len() {
                leave(LeftOutReason::OutsideMeasure);
            }
            end = Some(said);
        } else if i.checked_sub(1).is_some_and(|j| chords[j].at.max(Beats::ZERO) == place) {
            leave(LeftOutReason::SamePlace);
        } else {
            marks.push((place, said, Begin::Symbol));
        }
    }
    let last = marks.last().map(|m| m.1.clone()).unwrap_or_default();
    (fill(measure, frame.length, marks), end.unwrap_or(last))
}

/// From places where a harmony begins to spans that fill the measure.
fn fill(measure: usize, length: Beats, marks: Vec<(Beats, Held, Begin)>) -> Vec<ChordSpan> {
    let ends: Vec<Beats> = marks.iter().skip(1).map(|m| m.0).chain([length]).collect();
    let mut spans: Vec<ChordSpan> = Vec::new();
    for ((at, held, begin), end) in marks.into_iter().zip(ends) {
        if end <= at {
            continue;
        }
        let silence = match held.harmony {
            None => Silence::BeforeFirstChord,
            Some(Harmony::NoChord) => Silence::NoChord,
            Some(Harmony::Chord(_)) => Silence::No,
        };
        let chord = held.harmony.and_then(|h| if let Harmony::Chord(chord) = h { Some(chord) } else { None });
        match spans.last_mut() {
            Some(last) if last.chord == chord && last.silence == silence => last.length += end - at,
            _ => spans.push(ChordSpan { measure, at, length: end - at, chord, text: held.text, begin, silence, struck: Struck::No }),
        }
    }
    spans
}

/// How surely a span is struck; the surer ones take their places first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Claim {
    /// A beat or more, or the only harmony of its measure.
    Certain,
    /// Under a beat but of [`COMFORTABLE`] length.
    Slow,
    /// Shorter, but it falls on a beat.
    OnBeat,
}

/// Decides what is struck. A chord alone in its measure always is, and a chord of a beat or more if it lasts [`SHORTEST`]. A shorter
/// chord is struck if it lasts [`COMFORTABLE`], or falls on a beat and lasts [`SHORTEST`]; in both cases only where no other strike
/// lies nearer than [`COMFORTABLE`], the surer claims being served first. So of two quick chords in a beat the first is struck and rings through the
/// second; of four quick chords in two beats, the first and the third; and a quick chord just before a long one gives way to it.
/// What goes on across a bar line from a strike is not struck again for less than a beat. Ours, after common practice.
fn strike(spans: &mut [ChordSpan], frames: &[&Frame], clock: &Clock, left_out: &mut Vec<LeftOut>) {
    let alone: Vec<bool> = (0..spans.len()).map(|i| is_alone(spans, i)).collect();
    let mut taken: BTreeSet<Beats> = BTreeSet::new();
    for wanted in [Claim::Certain, Claim::Slow, Claim::OnBeat] {
        for i in 0..spans.len() {
            let from = clock.beats(spans[i].place());
            let closes = closes_a_strain(spans, i, frames) && clock.between(from, from + spans[i].length) >= SHORTEST;
            if claim(&spans[i], &frames[spans[i].measure].meter, alone[i] || closes, clock) != Some(wanted) {
                continue;
            }
            let at = clock.beats(spans[i].place());
            let free = wanted == Claim::Certain || is_free(&taken, at, clock) && !goes_on(spans, i);
            if free {
                spans[i].struck = Struck::Yes;
                taken.insert(at);
            }
        }
    }
    for i in 0..spans.len() {
        let span = &spans[i];
        let is_lost = span.silence == Silence::No && span.struck == Struck::No && span.begin == Begin::Symbol;
        if is_lost && !is_taken_up(spans, i) {
            let (measure, number) = (span.measure, frames[span.measure].number);
            left_out.push(LeftOut { measure, number, at: span.at, text: span.text.clone(), reason: LeftOutReason::TooShort(span.length) });
        }
    }
}

fn is_alone(spans: &[ChordSpan], i: usize) -> bool {
    let same = |other: Option<&ChordSpan>| other.is_some_and(|s| s.measure == spans[i].measure);
    !same(i.checked_sub(1).map(|j| &spans[j])) && !same(spans.get(i + 1))
}

/// The last chord before a repeat sign, another ending or the end of the tune, on a beat: where a strain arrives is never left empty.
fn closes_a_strain(spans: &[ChordSpan], i: usize, frames: &[&Frame]) -> bool {
    let span = &spans[i];
    let frame = frames[span.measure];
    let last = spans.get(i + 1).is_none_or(|next| next.measure != span.measure);
    let ends = frame.repeat_end.is_some() || span.measure + 1 == frames.len();
    last && ends && (span.at % frame.meter.beat()).is_zero()
}

fn claim(span: &ChordSpan, meter: &Meter, alone: bool, clock: &Clock) -> Option<Claim> {
    let from = clock.beats(span.place());
    let lasts = clock.between(from, from + span.length);
    if span.silence != Silence::No {
        None
    } else if alone || span.length >= meter.beat() && lasts >= SHORTEST {
        Some(Claim::Certain)
    } else if lasts >= COMFORTABLE {
        Some(Claim::Slow)
    } else {
        let on_beat = (span.at % meter.beat()).is_zero();
        (on_beat && lasts >= SHORTEST).then_some(Claim::OnBeat)
    }
}

/// No strike lies nearer than [`COMFORTABLE`] on either side.
fn is_free(taken: &BTreeSet<Beats>, at: Beats, clock: &Clock) -> bool {
    let far = |other: Option<&Beats>| other.is_none_or(|o| clock.between(at.min(*o), at.max(*o)) >= COMFORTABLE);
    far(taken.range(..at).next_back()) && far(taken.range(at..).next())
}

/// The chord goes on over the bar line and is struck there.
fn is_taken_up(spans: &[ChordSpan], i: usize) -> bool {
    let next = spans.get(i + 1);
    next.is_some_and(|n| n.at.is_zero() && n.begin == Begin::CarriedOver && n.chord == spans[i].chord && n.struck == Struck::Yes)
}

/// The span only goes on with what was struck in the measure before.
fn goes_on(spans: &[ChordSpan], i: usize) -> bool {
    let before = i.checked_sub(1).map(|j| &spans[j]);
    spans[i].begin == Begin::CarriedOver && before.is_some_and(|b| b.chord == spans[i].chord && b.struck == Struck::Yes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::Tempo;
    use music::measure::Ending;
    use music::text::sheet;

    /// One line a measure: place+length, chord, `~` for carried over, `^` for resumed, `*` for struck.
    fn show(tune: &LeadSheet, found: &Spans) -> String {
        let word = |s: &ChordSpan| {
            let begin = match s.begin {
                Begin::Symbol => "",
                Begin::CarriedOver => "~",
                Begin::Resumed => "^",
            };
            let what = match s.silence {
                Silence::No => s.text.as_str(),
                Silence::BeforeFirstChord => "-",
                Silence::NoChord => "N.C.",
            };
            let struck = if s.struck == Struck::Yes { "*" } else { "" };
            format!("{}+{} {begin}{what}{struck}", s.at, s.length)
        };
        let line = |m| found.spans.iter().filter(|s| s.measure == m).map(word).collect::<Vec<_>>().join(", ");
        (0..tune.measures.len()).map(line).collect::<Vec<_>>().join(" | ")
    }

    fn at(tune: &LeadSheet, quarters: i64) -> Spans {
        spans(tune, &Clock::of_sheet(tune, Tempo::of(Beats::QUARTER, quarters).expect("in range")))
    }

    fn check(text: &str, quarters: i64, expected: &str) {
        let tune = sheet(text);
        assert_eq!(show(&tune, &at(&tune, quarters)), expected);
    }

    fn left_out(text: &str, quarters: i64) -> Vec<String> {
        at(&sheet(text), quarters).left_out.iter().map(LeftOut::to_string).collect()
    }

    /// Common practice: a chord holds until the next symbol.
    #[test]
    fn chords_go_on_over_bar_lines_and_are_cut_there() {
        check(r#"4/4 C |( G4 | "C"C4:2 "F"F4:2 | A4:4 | "C"@3 G4:4 |"#, 100, "0+1 ~- | 0+2 C*, 2+2 F* | 0+4 ~F* | 0+3 ~F*, 3+1 C*");
    }

    #[test]
    fn a_chord_said_again_goes_on() {
        check(r#"4/4 C | "C"C4:2 "C"E4:1 "G7"D4:1 | "G7"D4:4 |"#, 100, "0+3 C*, 3+1 G7* | 0+4 G7*");
    }

    #[test]
    fn no_chord_is_a_silence_until_the_next_symbol() {
        check(r#"3/4 G | "G"G4:3 | "N.C."@1 A4:3 | A4:1 "D7"A4:2 |"#, 100, "0+3 G* | 0+1 ~G*, 1+2 N.C. | 0+1 ~N.C., 1+2 D7*");
    }

    /// Four eighths, a chord each, at 100: an eighth lasts 0.3 s.
    #[test]
    fn of_quick_chords_those_on_the_beats_are_struck() {
        let text = r#"4/4 C | "C"C4:1/2 "G"D4:1/2 "Am"E4:1/2 "F"F4:1/2 "G7"G4:2 |"#;
        check(text, 100, "0+1/2 C*, 1/2+1/2 G, 1+1/2 Am*, 3/2+1/2 F, 2+2 G7*");
        check(text, 120, "0+1/2 C, 1/2+1/2 G, 1+1/2 Am, 3/2+1/2 F, 2+2 G7*");
        check(text, 50, "0+1/2 C*, 1/2+1/2 G*, 1+1/2 Am*, 3/2+1/2 F*, 2+2 G7*");
        assert_eq!(
            left_out(text, 100),
            ["measure 1: G is not played: it lasts only an eighth", "measure 1: F is not played: it lasts only an eighth",]
        );
    }

    #[test]
    fn a_quick_chord_gives_way_to_a_long_one_just_after_it() {
        check(r#"4/4 C | "C"C4:1/2 "F"D4:3/2 "G7"G4:2 |"#, 100, "0+1/2 C, 1/2+3/2 F*, 2+2 G7*");
    }

    /// Where a strain arrives the chord is struck on its beat, short as it is in a measure that keeps an eighth for the pickup; the same chord inside the strain is not.
    #[test]
    fn the_last_chord_of_a_strain_is_struck() {
        let strain = |end: &str| format!(r#"9/8 Em | "G"D5:3/2 "B7"A4:3/2 "Em"E4:1 {end}"#);
        check(&strain(":|"), 156, "0+3/2 G*, 3/2+3/2 B7*, 3+1 Em*");
        check(&strain(r#"| "D"D4:9/2 |"#), 156, "0+3/2 G*, 3/2+3/2 B7*, 3+1 Em | 0+9/2 D*");
    }

    /// A jig at dotted quarter 100: a quarter lasts 0.4 s, an eighth 0.2 s.
    #[test]
    fn in_a_jig_half_a_beat_is_too_short() {
        let text = r#"6/8 D | "D"F4:3/2 "G"G4:1 "A7"A4:1/2 | "D"D4:1 "A7"C#4:1/2 "D"D4:3/2 |"#;
        check(text, 150, "0+3/2 D*, 3/2+1 G*, 5/2+1/2 A7 | 0+1 D*, 1+1/2 A7, 3/2+3/2 D*");
    }

    #[test]
    fn an_anticipated_chord_is_struck_at_the_bar_line_and_not_left_out() {
        let text = r#"4/4 C | "C"C4:3.5 "G"D4:1/2 | D4:4 |"#;
        check(text, 120, "0+7/2 C*, 7/2+1/2 G | 0+4 ~G*");
        assert!(left_out(text, 120).is_empty());
    }

    #[test]
    fn what_was_struck_is_not_struck_again_for_less_than_a_beat() {
        check(r#"4/4 C | "C"C4:4 | C4:1/2 "G"D4:3.5 |"#, 60, "0+4 C* | 0+1/2 ~C, 1/2+7/2 G*");
    }

    #[test]
    fn the_only_harmony_of_a_measure_is_struck_however_short() {
        check(r#"4/4 C |( "G7"G4:1/2 | "C"C4:4 |"#, 200, "0+1/2 G7* | 0+4 C*");
    }

    /// Common practice: a second ending follows the measure before the first.
    #[test]
    fn a_second_ending_takes_up_the_chord_before_the_first() {
        let mut tune = sheet(r#"2/4 C |: "C"C4:2 | "F"F4:2 | "G7"G4:2 :| A4:2 | C4:2 |"#);
        for (i, pass) in [(2, 1), (3, 2)] {
            tune.measures[i].frame.ending = Some(Ending { passes: vec![pass], starts: true, stops: true });
        }
        assert_eq!(show(&tune, &at(&tune, 100)), "0+2 C* | 0+2 F* | 0+2 G7* | 0+2 ^F* | 0+2 ~F*");
    }

    /// Common practice: a chord that both endings share is often written in the first alone. Here D and F sharp are tones of D and not of the A before.
    #[test]
    fn a_second_ending_without_a_symbol_takes_the_chord_of_the_first_where_its_melody_fits_better() {
        let mut tune = sheet(r#"2/4 D |: "A"A4:2 | "D"D4:2 :| D4:1 F#4:1 |"#);
        for (i, pass) in [(1, 1), (2, 2)] {
            tune.measures[i].frame.ending = Some(Ending { passes: vec![pass], starts: true, stops: true });
        }
        assert_eq!(show(&tune, &at(&tune, 100)), "0+2 A* | 0+2 D* | 0+2 ^D*");
    }

    #[test]
    fn nothing_is_carried_from_the_end_to_the_repeat() {
        check(r#"2/4 C |: C4:2 | "F"F4:2 :| G4:2 |"#, 100, "0+2 ~- | 0+2 F* | 0+2 ~F*");
    }

    #[test]
    fn misplaced_symbols_are_told() {
        let mut tune = sheet(r#"2/4 C | "C"C4:2 | "F"@0 F4:2 |"#);
        let mut late = tune.measures[0].frame.chords[0].clone();
        (late.at, late.symbol.source) = (Beats::WHOLE, "late".into());
        tune.measures[0].frame.chords.push(late);
        let mut twice = tune.measures[1].frame.chords[0].clone();
        twice.symbol.source = "second".into();
        tune.measures[1].frame.chords.push(twice);
        let found = at(&tune, 100);
        assert_eq!(show(&tune, &found), "0+2 C* | 0+2 F*");
        assert_eq!(
            found.left_out.iter().map(LeftOut::to_string).collect::<Vec<_>>(),
            [
                "measure 1: late is not played: it stands outside its measure",
                "measure 2: second is not played: another symbol stands at the same place",
            ]
        );
    }
}
