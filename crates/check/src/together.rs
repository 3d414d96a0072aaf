//! Whether pages of one tune sound together: played at the same time, each on a harp of its own, they clash nowhere.
//!
//! Five things are asked of every two pages, at every moment: the same measures in the same playing order; the same time; the same chord; the same tune (octaves apart is the same); and no rub, which
//! is two tones a half step apart, or that with octaves between, in the accompaniments of two pages, that sound together for half a beat or longer and are not both in the chord. What the tune
//! itself rubs against is in every page and no clash between them. Each harp has its own levers or pedals: that one player has F♯ where another has F natural is a rub where both sound, and
//! none where they do not.
//!
//! Lengths are as written: how long a string rings on is each player's to muffle. The half beat is our own value: a passing tone shorter than that is heard as passing.

use music::{Beats, Chord, ChordSymbol, Hand, MeasureNumber, Pitch, Place, Score, ScoreMeasure, order};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// One page of several, and what it is called: "for the pupil".
#[derive(Clone, Copy, Debug)]
pub struct Part<'a> {
    pub name: &'a str,
    pub score: &'a Score,
}

/// What two pages do not have in common, or what rubs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Against {
    /// Another number of measures, or a measure of another length or with other signs of repetition.
    Form,
    Order,
    Tempo,
    /// The chords of the two.
    Chords(String, String),
    /// Other notes of the tune, or others in length.
    Tune,
    /// The two tones, and the chord in which they are not both.
    Rub(Pitch, Pitch, String),
}

/// A clash: between which two of the parts, where, and what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clash {
    pub parts: (usize, usize),
    pub place: Place,
    pub number: MeasureNumber,
    pub against: Against,
    /// The names of the two.
    pub names: (String, String),
}

/// The most clashes between two pages that are told.
const MOST: usize = 50;

impl fmt::Display for Clash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (a, b) = (&self.names.0, &self.names.1);
        let here = self.number.in_words();
        match &self.against {
            Against::Form => write!(f, "{here}: \"{a}\" and \"{b}\" do not have the same measures from here on"),
            Against::Order => write!(f, "{here}: \"{a}\" and \"{b}\" go on to other measures after it"),
            Against::Tempo => write!(f, "{here}: \"{a}\" and \"{b}\" do not have the same tempo"),
            Against::Chords(one, other) => {
                write!(f, "{here}: \"{a}\" has {} where \"{b}\" has {}", music::as_read(one), music::as_read(other))
            }
            Against::Tune => write!(f, "{here}: the tune is not the same in \"{a}\" and \"{b}\""),
            Against::Rub(one, other, chord) => {
                write!(f, "{here}: {one:#} in \"{a}\" rubs against {other:#} in \"{b}\", over {}", music::as_read(chord))
            }
        }
    }
}

/// Every clash between any two of the parts, in the order of the pages. Where two pages are not of one form, that alone is said of them.
pub fn clashes(parts: &[Part]) -> Vec<Clash> {
    let heard: Vec<Heard> = parts.iter().map(|p| Heard::of(p.score)).collect();
    let mut all = Vec::new();
    for b in 1..parts.len() {
        for a in 0..b {
            let pair = Pair { parts, of: (a, b) };
            let mut found = pair.form();
            if found.is_empty() {
                found = pair.chords(&heard[a], &heard[b]);
                found.extend(pair.tunes(&heard[a], &heard[b]));
                found.extend(pair.rubs(&heard[a], &heard[b]));
                found.sort_by_key(|clash| clash.place);
            }
            found.truncate(MOST);
            all.extend(found);
        }
    }
    all
}

/// A tone as it sounds, from its pluck to the end of its written length, ties followed; times in beats of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Tone {
    pitch: Pitch,
    from: Beats,
    to: Beats,
    measure: usize,
    /// The hand that has the tune plucks it.
    with_the_tune: bool,
}

/// A page as it is heard.
struct Heard {
    starts: Vec<Beats>,
    /// The highest tones of the staff that has the tune.
    tune: Vec<Tone>,
    /// The other staff, and what the hand with the tune plucks below it.
    under: Vec<Tone>,
    /// What the hand with the tune plucks, high and low: when, and which tone in any octave.
    plucked: BTreeSet<(Beats, i32)>,
    /// Each chord with the time from which it holds.
    chords: Vec<(Beats, ChordSymbol)>,
}

impl Heard {
    fn of(score: &Score) -> Heard {
        let mut heard = Heard { starts: Vec::new(), tune: Vec::new(), under: Vec::new(), plucked: BTreeSet::new(), chords: Vec::new() };
        let mut start = Beats::ZERO;
        for (index, measure) in score.measures.iter().enumerate() {
            heard.starts.push(start);
            heard.chords.extend(measure.frame.chords.iter().map(|c| (start + c.at, c.symbol.clone())));
            for hand in [Hand::Right, Hand::Left] {
                heard.hand(measure, hand, start, index);
            }
            start += measure.frame.length;
        }
        heard
    }

    fn hand(&mut self, measure: &ScoreMeasure, hand: Hand, start: Beats, index: usize) {
        let with_the_tune = hand == measure.melody;
        for note in measure.hand(hand) {
            // A note of the tune that one harp cannot give is missing there, and no other tune.
            let top = note.top().filter(|_| with_the_tune);
            for pitch in note.pitches.iter().copied().filter(|p| Some(*p) == top || !note.unplayable.contains(p)) {
                let tone = Tone { pitch, from: start + note.at, to: start + note.end(), measure: index, with_the_tune };
                if with_the_tune {
                    self.plucked.insert((tone.from, pitch.pitch_class()));
                }
                let line = if Some(pitch) == top { &mut self.tune } else { &mut self.under };
                // The tied string may have been the tune's before and be below it now, or the other way round.
                match line.iter_mut().rev().find(|t| note.tie.from_before && t.pitch == pitch && t.to == tone.from) {
                    Some(held) => held.to = tone.to,
                    None => line.push(tone),
                }
            }
        }
    }

    /// The chord that holds at a time.
    fn chord(&self, at: Beats) -> Option<&ChordSymbol> {
        self.chords.iter().rev().find(|(from, _)| *from <= at).map(|(_, symbol)| symbol)
    }

    /// A second tone of the tune itself, which this page has too: it is in every page.
    fn has_in_the_tune(&self, tone: &Tone) -> bool {
        tone.with_the_tune && self.plucked.contains(&(tone.from, tone.pitch.pitch_class()))
    }

    fn place(&self, measure: usize, at: Beats) -> Place {
        Place { measure, at: at - self.starts[measure] }
    }
}

struct Pair<'a> {
    parts: &'a [Part<'a>],
    of: (usize, usize),
}

impl Pair<'_> {
    fn scores(&self) -> (&Score, &Score) {
        (self.parts[self.of.0].score, self.parts[self.of.1].score)
    }

    fn clash(&self, place: Place, against: Against) -> Clash {
        let frame = |score: &Score| score.measures.get(place.measure).map(|m| m.frame.number);
        let number = frame(self.scores().0).or_else(|| frame(self.scores().1)).unwrap_or_else(|| 0.into());
        let names = (self.parts[self.of.0].name.to_owned(), self.parts[self.of.1].name.to_owned());
        Clash { parts: self.of, place, number, against, names }
    }

    /// The first place where the two are not of one form, order or tempo.
    fn form(&self) -> Vec<Clash> {
        let (a, b) = self.scores();
        let at = |measure: usize| Place { measure, at: Beats::ZERO };
        let frames = || a.measures.iter().zip(&b.measures).map(|(m, n)| (&m.frame, &n.frame));
        let other_form = frames().position(|(m, n)| {
            let of = |f: &music::Frame| (f.number, f.length, f.meter.clone(), f.repeat_start, f.repeat_end, f.ending.clone());
            of(m) != of(n)
        });
        let longer = (a.measures.len() != b.measures.len()).then(|| a.measures.len().min(b.measures.len()));
        if let Some(measure) = other_form.or(longer) {
            return vec![self.clash(at(measure), Against::Form)];
        }
        let order = |score: &Score| order::playing_order(&score.measures.iter().map(|m| &m.frame).collect::<Vec<_>>()).measures;
        let (one, other) = (order(a), order(b));
        if let Some(step) =
            one.iter().zip(&other).position(|(m, n)| m != n).or((one.len() != other.len()).then(|| one.len().min(other.len())))
        {
            let before = step.checked_sub(1).and_then(|s| one.get(s)).copied().unwrap_or_default();
            return vec![self.clash(at(before), Against::Order)];
        }
        let other_tempo = (a.tempo != b.tempo).then_some(0).or_else(|| frames().position(|(m, n)| m.tempos != n.tempos));
        other_tempo.map(|measure| self.clash(at(measure), Against::Tempo)).into_iter().collect()
    }

    /// Two different chords at once, each said where it begins.
    fn chords(&self, a: &Heard, b: &Heard) -> Vec<Clash> {
        let mut times: Vec<Beats> = a.chords.iter().chain(&b.chords).map(|(at, _)| *at).collect();
        times.sort_unstable();
        times.dedup();
        let differ = |at: &Beats| !is_same(a.chord(*at), b.chord(*at));
        let clash = |at: Beats| {
            let measure = a.starts.partition_point(|start| *start <= at).saturating_sub(1);
            let name = |heard: &Heard| heard.chord(at).map_or("no chord".to_owned(), |c| c.source.clone());
            self.clash(a.place(measure, at), Against::Chords(name(a), name(b)))
        };
        times.into_iter().filter(differ).map(clash).collect()
    }

    /// The measures in which the tune of one is not that of the other, octaves left out.
    fn tunes(&self, a: &Heard, b: &Heard) -> Vec<Clash> {
        let by_measure = |heard: &Heard| {
            let mut all: BTreeMap<usize, Vec<(Beats, Beats, i32)>> = BTreeMap::new();
            for tone in &heard.tune {
                all.entry(tone.measure).or_default().push((tone.from, tone.to, tone.pitch.pitch_class()));
            }
            all
        };
        let (one, other) = (by_measure(a), by_measure(b));
        let measures: BTreeSet<usize> = one.keys().chain(other.keys()).copied().filter(|m| one.get(m) != other.get(m)).collect();
        measures.into_iter().map(|measure| self.clash(Place { measure, at: Beats::ZERO }, Against::Tune)).collect()
    }

    /// Half steps between the accompaniments that are not in the chord.
    fn rubs(&self, a: &Heard, b: &Heard) -> Vec<Clash> {
        let mut found = Vec::new();
        let mut begin = 0;
        for one in a.under.iter().filter(|tone| !b.has_in_the_tune(tone)) {
            // Tones of a measure stand hand by hand: only whole measures that are over are passed.
            while begin < b.under.len() && b.under[begin].measure < one.measure && b.under[begin].to <= one.from {
                begin += 1;
            }
            let near = b.under[begin..].iter().take_while(|t| t.measure <= one.measure || t.from < one.to);
            for other in near {
                let (from, to) = (one.from.max(other.from), one.to.min(other.to));
                let is_half_step = matches!((one.pitch.midi() - other.pitch.midi()).rem_euclid(12), 1 | 11);
                if !is_half_step || to <= from || a.has_in_the_tune(other) || !self.is_held(one, to - from) {
                    continue;
                }
                let chord = a.chord(from);
                if chord.and_then(ChordSymbol::chord).is_some_and(|c| has_both(c, one.pitch, other.pitch)) {
                    continue;
                }
                let over = chord.map_or("no chord".to_owned(), |c| c.source.clone());
                let measure = one.measure.max(other.measure);
                found.push(self.clash(a.place(measure, from), Against::Rub(one.pitch, other.pitch, over)));
            }
        }
        found
    }

    /// Whether two tones sound together for half a beat or longer.
    fn is_held(&self, one: &Tone, together: Beats) -> bool {
        let beat = self.scores().0.measures[one.measure].frame.meter.beat();
        together + together >= beat
    }
}

/// The same root and tones; what stands in the bass is each player's own.
fn is_same(a: Option<&ChordSymbol>, b: Option<&ChordSymbol>) -> bool {
    match (a.and_then(ChordSymbol::chord), b.and_then(ChordSymbol::chord)) {
        (Some(a), Some(b)) => (a.root, a.kind, &a.degrees) == (b.root, b.kind, &b.degrees),
        (None, None) => true,
        _ => false,
    }
}

fn has_both(chord: &Chord, one: Pitch, other: Pitch) -> bool {
    let mut classes = chord.pitch_classes();
    classes.extend(chord.bass.map(|bass| bass.pitch_class()));
    [one, other].iter().all(|pitch| classes.contains(&pitch.pitch_class()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::PlacedChord;
    use music::text::{page, sheet};

    /// Measures of 4/4 in C major, each a chord, the tune and what is under it.
    fn of(measures: &[(&str, &str, &str)]) -> Score {
        let mut score = page(&measures.iter().map(|(_, right, left)| (*right, *left)).collect::<Vec<_>>(), 90);
        for (measure, (chord, ..)) in score.measures.iter_mut().zip(measures) {
            let with = sheet(&format!("4/4 C | \"{chord}\"C4:4"));
            measure.frame.chords = vec![PlacedChord::new(Beats::ZERO, with.measures[0].frame.chords[0].symbol.clone())];
        }
        score
    }

    fn said(a: &Score, b: &Score) -> Vec<String> {
        clashes(&[Part { name: "mine", score: a }, Part { name: "pupil", score: b }]).iter().map(ToString::to_string).collect()
    }

    const FULL: (&str, &str, &str) = ("C", "E5:4", "C3:1 G3:1 E4:2");

    // Worked by hand from the rule at the head of this file: C E G against C G, no two a half step apart.
    #[test]
    fn the_same_chord_more_and_less_full_is_no_clash() {
        assert_eq!(said(&of(&[FULL]), &of(&[("C", "E5:4", "[C3+G3]:4")])), [""; 0]);
        assert_eq!(said(&of(&[FULL]), &of(&[("C", "E4:4", "r:4")])), [""; 0], "the tune an octave lower");
    }

    // B3 against C3 is a major seventh, eleven half steps; C E G has no B (Open Music Theory, triads); C E G B has (seventh chords).
    #[test]
    fn a_half_step_is_a_rub_where_the_chord_has_not_both() {
        let seventh = ("C", "E5:4", "G3:2 B3:2");
        assert_eq!(
            said(&of(&[FULL]), &of(&[("C", "E5:4", "B3:2 G3:2")])),
            ["measure 1: C3 in \"mine\" rubs against B3 in \"pupil\", over C"]
        );
        // C3 has ended when B3 comes; E4 and B3 are a fifth.
        assert_eq!(said(&of(&[FULL]), &of(&[seventh])), [""; 0]);
        let full = ("Cmaj7", "E5:4", "[C3+E4]:4");
        assert_eq!(said(&of(&[full]), &of(&[("Cmaj7", "E5:4", "B3:4")])), [""; 0]);
    }

    // Half a beat of 4/4 is an eighth: a sixteenth of F♯ beside G passes, an eighth does not.
    #[test]
    fn what_passes_quickly_is_no_rub() {
        let held = of(&[("C", "E5:4", "G3:4")]);
        assert_eq!(said(&held, &of(&[("C", "E5:4", "C3:3.75 F#3:1/4")])), [""; 0]);
        assert_eq!(
            said(&held, &of(&[("C", "E5:4", "C3:3.5 F#3:1/2")])),
            ["measure 1: G3 in \"mine\" rubs against F♯3 in \"pupil\", over C"]
        );
    }

    // F on one harp while another has F♯: a half step.
    #[test]
    fn levers_at_odds_are_heard_as_a_rub() {
        let natural = of(&[("Dm", "A4:4", "[D3+F3]:4")]);
        assert_eq!(said(&natural, &of(&[("Dm", "A4:4", "F#3:4")])), ["measure 1: F3 in \"mine\" rubs against F♯3 in \"pupil\", over Dm"]);
        assert_eq!(said(&natural, &of(&[("Dm", "A4:4", "r:4")])), [""; 0]);
    }

    #[test]
    fn other_chords_other_tune_other_form() {
        let two = of(&[FULL, ("G", "D5:4", "G2:4")]);
        assert_eq!(said(&two, &of(&[FULL, ("Em", "D5:4", "r:4")])), ["measure 2: \"mine\" has G where \"pupil\" has Em"]);
        assert_eq!(said(&two, &of(&[FULL, ("G", "D5:3 E5:1", "G2:4")])), ["measure 2: the tune is not the same in \"mine\" and \"pupil\""]);
        assert_eq!(said(&two, &of(&[FULL])), ["measure 2: \"mine\" and \"pupil\" do not have the same measures from here on"]);
        let mut again = two.clone();
        again.measures[1].frame.repeat_end = Some(2);
        assert_eq!(said(&two, &again), ["measure 2: \"mine\" and \"pupil\" do not have the same measures from here on"]);
        let quicker = Score { tempo: music::Tempo::of(Beats::QUARTER, 91).expect("a tempo"), ..two.clone() };
        assert_eq!(said(&two, &quicker), ["measure 1: \"mine\" and \"pupil\" do not have the same tempo"]);
    }

    // A tone tied over the bar line still sounds: C3 of four beats and four more, against B2 in the second measure.
    #[test]
    fn tied_tones_sound_on() {
        let mut held = of(&[("C", "E5:4", "C3:4"), ("C", "E5:4", "C3:4")]);
        held.measures[0].left[0].tie.to_next = true;
        held.measures[1].left[0].tie.from_before = true;
        let low = of(&[("C", "E5:4", "r:4"), ("C", "E5:4", "B2:4")]);
        assert_eq!(said(&held, &low), ["measure 2: C3 in \"mine\" rubs against B2 in \"pupil\", over C"]);
    }

    // The lower tone of a fuller right hand counts as under the tune: C5 below E5 against B4 of the pupil.
    #[test]
    fn what_the_right_hand_adds_below_the_tune_counts() {
        let full = of(&[("C", "[C5+E5]:4", "C3:4")]);
        assert_eq!(said(&full, &of(&[("C", "E5:4", "B3:4")])).len(), 2, "C3 and C5 both rub against B3");
    }

    // A tune of two tones at once has both in every page: B4 below E5 is the tune's own, and so is its half step with C3.
    #[test]
    fn a_second_tone_of_the_tune_is_no_clash() {
        let doubled = of(&[("C", "[B4+E5]:4", "C3:4")]);
        assert_eq!(said(&doubled, &of(&[("C", "[B4+E5]:4", "[C3+G3]:4")])), [""; 0]);
    }

    #[test]
    fn three_are_compared_two_by_two() {
        let (a, b, c) = (of(&[FULL]), of(&[("C", "E5:4", "C3:4")]), of(&[("C", "E5:4", "B2:4")]));
        let parts = [Part { name: "a", score: &a }, Part { name: "b", score: &b }, Part { name: "c", score: &c }];
        assert_eq!(clashes(&parts).iter().map(|c| c.parts).collect::<Vec<_>>(), [(0, 2), (1, 2)]);
    }
}
