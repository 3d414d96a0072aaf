//! The notes of a link: a broken chord a measure for one hand, roots for the hand that moves levers.

use super::Plan;
use crate::set::standing::Change;
use harp::settings::Part;
use music::{Beats, Chord, Frame, Hand, Meter, Note, Pitch, PitchName};

/// How the hands share a link, the fullest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shape {
    chords: Chords,
    roots: Roots,
    tones: Tones,
}

/// Which strings the chords are played on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tones {
    /// All that the chord has.
    All,
    /// Those that no move touches, where they are enough.
    Still,
    /// All that the chord has; where no string is set to its third it goes without.
    Open,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Chords {
    /// One tone after another.
    Broken,
    /// All of them at the beginning of the measure, spread.
    Rolled,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Roots {
    EachMeasure,
    /// The levers first.
    AfterTheFirst,
    FirstMeasure,
    None,
}

impl Shape {
    /// All ways, in the order in which they are tried.
    pub fn all() -> impl Iterator<Item = Shape> {
        let each = [Chords::Broken, Chords::Rolled].into_iter();
        let with_roots = [
            (Roots::EachMeasure, Tones::All),
            (Roots::AfterTheFirst, Tones::All),
            (Roots::EachMeasure, Tones::Still),
            (Roots::FirstMeasure, Tones::All),
            (Roots::FirstMeasure, Tones::Still),
        ];
        let bare = [(Roots::None, Tones::All), (Roots::None, Tones::Still)];
        let open = [(Roots::EachMeasure, Tones::Open), (Roots::AfterTheFirst, Tones::Open), (Roots::None, Tones::Open)];
        let rows = [with_roots.to_vec(), bare.to_vec(), open.to_vec()];
        let shapes =
            rows.into_iter().flat_map(move |row| each.clone().flat_map(move |chords| row.clone().into_iter().map(move |r| (chords, r))));
        shapes.map(|(chords, (roots, tones))| Shape { chords, roots, tones })
    }
}

/// Both hands, a measure each.
pub struct Lines {
    /// The hand that plays chords, and the one that moves levers.
    pub measures: Vec<(Vec<Note>, Vec<Note>)>,
    /// What lies under each chord; `None` where nothing does.
    pub basses: Vec<Option<PitchName>>,
    /// The last tone of the chords.
    pub leads: Option<Pitch>,
}

/// Strings between the root and the chord above it.
const APART: i32 = 3;
/// The place below which a root stands, G3, and the most tones of a chord in a measure.
const ROOT_BELOW: i32 = 25;
const TONES: usize = 4;
/// With fewer tones a chord says too little.
const LEAST: usize = 3;
/// The chords lie no higher than so many strings over the first note of the tune, or up to A4 where that is lower; around C5 where it has none.
const ABOVE: i32 = 2;
const UP_TO: i32 = 33;
const MIDDLE: i32 = 35;

/// `None` where the harp does not have the chords.
pub fn lines(plan: &Plan, frames: &[Frame], shape: Shape) -> Option<Lines> {
    let strings = Strings::of(plan, shape.tones);
    let last = frames.len() - 1;
    let (mut measures, mut basses, mut leads) = (Vec::new(), Vec::new(), None);
    for (index, (frame, chord)) in frames.iter().zip(plan.chords).enumerate() {
        let places = places(&frame.meter, frame.length);
        let top = if index == last { strings.beside(chord) } else { None }.unwrap_or(strings.top);
        // What is too short for a chord in tones is one chord.
        let chords = if places.len() < LEAST { Chords::Rolled } else { shape.chords };
        let count = if chords == Chords::Rolled { TONES } else { places.len().min(TONES) };
        let tones = strings.below(chord, top, count);
        let lowest = tones.first()?.position();
        leads = tones.last().copied();
        let names: Vec<PitchName> = tones.iter().map(|t| t.name()).collect();
        let busy = match chords {
            Chords::Broken => broken(&tones, &places, frame.length),
            Chords::Rolled => vec![Note { rolled: true, ..Note::of(Beats::ZERO, frame.length, tones) }],
        };
        let plucks = match shape.roots {
            Roots::EachMeasure => true,
            Roots::AfterTheFirst => index > 0,
            Roots::FirstMeasure => index == 0,
            Roots::None => false,
        };
        let root = if plucks { Some(strings.root(chord, lowest)?) } else { None };
        let free = root.map_or_else(|| Note::rest(Beats::ZERO, frame.length), |r| Note::of(Beats::ZERO, frame.length, vec![r]));
        // Without its root a chord is another one, and without its third it says little.
        let heard = |degree: i32| {
            let tone = chord.tones().into_iter().find(|t| t.degree == degree).map(|t| chord.name_of(t));
            tone.is_none_or(|name| names.contains(&name) || root.is_some_and(|r| r.name() == name))
        };
        if !heard(1) || shape.tones != Tones::Open && !heard(3) {
            return None;
        }
        basses.push(root.filter(|r| r.position() < lowest).map(Pitch::name));
        measures.push((busy, vec![free]));
    }
    Some(Lines { measures, basses, leads })
}

/// Where tones begin: the beats, or where there are two of them four places in the first half of the measure and its middle, so that the last tone is long.
fn places(meter: &Meter, length: Beats) -> Vec<Beats> {
    let beats = meter.beats();
    let all = match (beats.len(), meter.is_compound()) {
        (2, true) => (0..4).map(|i| meter.unit_length() * i).collect(),
        (2, false) => (0..4).filter_map(|i| Some(meter.beat().scaled(1, 2)? * i)).collect(),
        _ => beats,
    };
    all.into_iter().filter(|at| *at < length).collect()
}

/// Tones from the bottom up; fewer than places and the last is held, and what is left of many places is held too.
fn broken(tones: &[Pitch], places: &[Beats], length: Beats) -> Vec<Note> {
    let begins: Vec<Beats> = places.iter().copied().take(tones.len()).collect();
    let ends = begins.iter().skip(1).copied().chain([length]);
    begins.iter().zip(ends).zip(tones).map(|((at, end), tone)| Note::of(*at, end - *at, vec![*tone])).collect()
}

/// The strings that a link may pluck.
struct Strings<'a> {
    plan: &'a Plan<'a>,
    tones: Tones,
    first: i32,
    top: i32,
}

impl<'a> Strings<'a> {
    fn of(plan: &'a Plan<'a>, tones: Tones) -> Strings<'a> {
        let first = plan.played.first_note.map_or(MIDDLE, |p| p.position());
        // The line is in the left hand where the right one moves levers.
        let first = if plan.between.player.lever_hand == Hand::Left { first } else { first.min(ROOT_BELOW + TONES as i32) };
        let top = first + ABOVE;
        Strings { plan, tones, first, top: if plan.between.player.lever_hand == Hand::Left { top.max(UP_TO) } else { top } }
    }

    fn change(&self, pitch: Pitch) -> Option<&Change> {
        let part = Part::of(self.plan.between.harp, pitch)?;
        self.plan.between.changes.iter().find(|c| c.part == part)
    }

    /// Whether the string sounds so at some time of the link.
    fn sounds(&self, pitch: Pitch) -> bool {
        let (harp, stands) = (self.plan.between.harp, self.plan.between.stands);
        let now = stands.alter(harp, pitch.position()) == Some(pitch.alter);
        now || self.change(pitch).is_some_and(|c| c.to == pitch.alter)
    }

    /// Its tones in a stretch of strings from the lowest.
    fn tones(&self, chord: &Chord, from: i32, to: i32, enough: usize) -> Vec<Pitch> {
        let names: Vec<_> = chord.tones().into_iter().map(|t| chord.name_of(t)).collect();
        let at = |position: i32| {
            let place = Pitch::at_position(position, 0);
            let name = names.iter().find(|n| n.step == place.step)?;
            Some(Pitch { alter: name.alter, ..place }).filter(|p| self.sounds(*p))
        };
        let all: Vec<Pitch> = (from..=to).filter_map(at).collect();
        let still: Vec<Pitch> = all.iter().copied().filter(|p| self.change(*p).is_none()).collect();
        if self.tones == Tones::Still && still.len() >= enough { still } else { all }
    }

    /// So many tones of a chord that end at a place or below it.
    fn below(&self, chord: &Chord, top: i32, count: usize) -> Vec<Pitch> {
        let mut tones = self.tones(chord, top - 3 * TONES as i32, top, count.min(3));
        tones.drain(..tones.len().saturating_sub(count));
        tones
    }

    /// The tone of the chord beside the first note of the tune: the same, else below, else above.
    fn beside(&self, chord: &Chord) -> Option<i32> {
        let near = self.tones(chord, self.first - 4, self.first + ABOVE, 1);
        near.iter().min_by_key(|p| ((p.position() - self.first).abs(), p.position())).map(|p| p.position())
    }

    /// A root for the hand that is free afterwards, below the chord: the third or the fifth where no string is set to it; in the right hand a tone above the chord.
    fn root(&self, chord: &Chord, lowest: i32) -> Option<Pitch> {
        let harp = self.plan.between.harp;
        if self.plan.between.player.lever_hand == Hand::Right {
            let above = self.tones(chord, self.first + 2 * APART, self.first + 2 * APART + 7, 1);
            return above.first().copied();
        }
        let below = (lowest - APART).min(ROOT_BELOW);
        let bass = |name: PitchName| {
            let at = (harp.lowest()..=below).rev().map(|p| Pitch::at_position(p, name.alter)).filter(|p| p.step == name.step);
            at.take(2).filter(|p| self.sounds(*p)).min_by_key(|p| self.change(*p).is_some())
        };
        let degrees = [1, 3, 5].into_iter().filter_map(|d| chord.tones().into_iter().find(|t| t.degree == d));
        degrees.map(|t| chord.name_of(t)).find_map(bass)
    }
}
