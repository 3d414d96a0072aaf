//! What comes after the last verse: one chord, the last two measures once more, or a close that fades. Common practice.

use super::home::{Home, placed};
use super::opening::fit;
use super::played::Played;
use super::why::Why;
use super::{Ending, Highest, Made};
use music::{Beats, Frame, MeasureNumber, Note, Part, Pitch, PitchName, SheetMeasure};

/// The lowest place of a last chord of the right hand, C5: below it is the left hand's room.
const ROOM_FROM: i32 = 35;

/// The measures after the last of the tune; where that is short, a short one first that fills it up.
pub fn ending(played: &Played, home: &Home, ending: Ending, highest: Highest) -> Made {
    let close = Close { played, home, highest };
    let (mut measures, fuller, why) = match ending {
        Ending::Short => close.short(),
        Ending::Usual => close.usual(),
        Ending::Fading => close.fading(),
    };
    let lead = !played.gap.is_zero();
    let first = u32::from(!lead);
    for (count, measure) in (first..).zip(&mut measures) {
        measure.frame.number = MeasureNumber { part: Part::Ending, count };
    }
    Made { part: Part::Ending, heading: "Ending".into(), measures, fuller, least: 1, why }
}

struct Close<'a> {
    played: &'a Played,
    home: &'a Home,
    highest: Highest,
}

type Parts = (Vec<SheetMeasure>, Vec<i8>, Vec<Why>);

impl Close<'_> {
    fn short(&self) -> Parts {
        let mut measures: Vec<SheetMeasure> = self.filled(None).into_iter().collect();
        measures.push(self.last_chord());
        let fuller = vec![0; measures.len()];
        (measures, fuller, vec![Why::LastChord(self.home.close.clone())])
    }

    fn usual(&self) -> Parts {
        let Some(tail) = self.played.tail(2) else { return self.short() };
        let mut measures: Vec<SheetMeasure> = self.filled(tail.lead).into_iter().collect();
        let mut once_more = tail.measures;
        fit(&mut once_more[1], self.meter_length());
        let at = measures.len();
        measures.extend(once_more);
        measures[at].frame.words.push((Beats::ZERO, "rit.".into()));
        measures.push(self.answer());
        let mut fuller = vec![-1; measures.len()];
        *fuller.last_mut().expect("just pushed") = 0;
        (measures, fuller, vec![Why::OnceMore, Why::LastChord(self.home.close.clone()), Why::OctaveHigher])
    }

    /// Up the chord: third, fifth and octave, or by way of the chord a fourth above: fifth, sixth and octave.
    fn fading(&self) -> Parts {
        let mut measures: Vec<SheetMeasure> = self.filled(None).into_iter().collect();
        let mut why = vec![Why::Climbs];
        let tonic = self.tonic_under_the_last();
        let chord = &self.home.close;
        let tone = |degree: i32| chord.tones().into_iter().find(|t| t.degree == degree).map(|t| chord.name_of(t));
        let third = tone(3).unwrap_or(chord.root);
        let fifth = tone(5).unwrap_or(chord.root);
        let lead = measures.len();
        let steps = match &self.home.plagal {
            Some(fourth) => {
                why.push(Why::Plagal(fourth.clone()));
                let sixth = fourth.third().map_or(chord.root, |t| fourth.name_of(t));
                [(chord, fifth), (fourth, sixth), (chord, chord.root), (chord, chord.root)]
            }
            None => [(chord, third), (chord, fifth), (chord, chord.root), (chord, chord.root)],
        };
        let mut before = tonic;
        for (chord, name) in steps {
            let note = if name == before.name() { before } else { above(name, before) };
            before = note;
            measures.push(self.measure(chord, vec![Note::of(Beats::ZERO, self.meter_length(), vec![note])]));
        }
        measures[lead].frame.words.push((Beats::ZERO, "dim.".into()));
        measures[lead + 2].frame.words.push((Beats::ZERO, "rit.".into()));
        let mut fuller = vec![-1; lead];
        fuller.extend([-1, -2, -3, -3]);
        why.push(Why::LastChord(chord.clone()));
        (measures, fuller, why)
    }

    fn frame(&self) -> Frame {
        let last = &self.played.last().frame;
        Frame::plain(0, last.meter.clone(), last.key.clone())
    }

    fn meter_length(&self) -> Beats {
        self.played.last().frame.meter.length()
    }

    fn measure(&self, chord: &music::Chord, notes: Vec<Note>) -> SheetMeasure {
        let mut frame = self.frame();
        frame.chords.push(placed(chord));
        SheetMeasure { frame, notes }
    }

    /// What fills up a short last measure: the pickup of what comes, if it is as long, else the last note rings on.
    fn filled(&self, lead: Option<SheetMeasure>) -> Option<SheetMeasure> {
        let gap = self.played.gap;
        if gap.is_zero() {
            return None;
        }
        let rest = || SheetMeasure { frame: Frame { length: gap, ..self.frame() }, notes: vec![Note::rest(Beats::ZERO, gap)] };
        Some(lead.filter(|l| l.frame.length == gap).unwrap_or_else(rest))
    }

    /// The root of the last chord at or below the last note of the tune.
    fn tonic_under_the_last(&self) -> Pitch {
        let root = self.home.close.root;
        let last = self.played.last_note.unwrap_or(root.at_octave(5));
        let below = |octave: i32| Some(root.at_octave(octave)).filter(|p| p.position() <= last.position());
        let mut found = (2..=6).rev().find_map(below).unwrap_or(root.at_octave(4));
        // The climb is an octave: it has to find its strings.
        while found.position() + 7 > self.highest.0 && found.octave > 3 {
            found.octave -= 1;
        }
        found
    }

    /// Where the right hand has its last note: the root, out of the left hand's room.
    fn top(&self) -> Pitch {
        let mut top = self.tonic_under_the_last();
        if top.position() < ROOM_FROM && top.position() + 7 <= self.highest.0 {
            top.octave += 1;
        }
        top
    }

    /// The whole chord in the right hand under its root.
    fn last_chord(&self) -> SheetMeasure {
        let top = self.top();
        let chord = &self.home.close;
        let names = [5, 3].into_iter().filter_map(|d| chord.tones().into_iter().find(|t| t.degree == d)).map(|t| chord.name_of(t));
        let mut pitches: Vec<Pitch> = names.map(|name| under(name, top)).collect();
        pitches.push(top);
        pitches.sort_by_key(|p| p.position());
        let note = Note { rolled: true, ..Note::of(Beats::ZERO, self.meter_length(), pitches) };
        self.measure(chord, vec![note])
    }

    /// The root, and an octave higher its answer; where the harp has no such string, the chord.
    fn answer(&self) -> SheetMeasure {
        let low = self.tonic_under_the_last();
        let high = Pitch { octave: low.octave + 1, ..low };
        let meter = &self.frame().meter;
        let middle = meter.strong_beats().get(1).copied().unwrap_or(meter.beat());
        let length = self.meter_length();
        if high.position() > self.highest.0 || middle >= length {
            return self.last_chord();
        }
        let notes = vec![Note::of(Beats::ZERO, middle, vec![low]), Note::of(middle, length - middle, vec![high])];
        self.measure(&self.home.close, notes)
    }
}

/// The next pitch of a name above another, and below it.
fn above(name: PitchName, low: Pitch) -> Pitch {
    let found = name.at_octave(low.octave);
    if found.position() > low.position() { found } else { name.at_octave(low.octave + 1) }
}

fn under(name: PitchName, high: Pitch) -> Pitch {
    let found = name.at_octave(high.octave);
    if found.position() < high.position() { found } else { name.at_octave(high.octave - 1) }
}
