//! The principles of accompaniment, asked of the page: the arranger's own prices of what accompanies the tune, where the page has chord symbols.
//!
//! The upper staff is taken as the tune, or the lower where a heading says so. Without chord symbols only what needs none is said: a figure kept beyond patience.

use super::{Scene, the_hand};
use crate::change::Change;
use crate::finding::{Finding, Gravity, Rule};
use arrange::hand_time::Pluck;
use arrange::principles;
use arrange::register::Register;
use arrange::slots::{Setting, Slot, slots};
use arrange::tune::Tune;
use arrange::view::{Manner, View};
use arrange::{Price, Principle};
use harmony::kind::guess;
use music::{Beats, Chord, Hand, LeadSheet, Mark, Pitch, Place, Score, SheetMeasure};

/// What is asked, from which price on it is said, and in which words.
const ASKED: [(Principle, i64, Rule, &str); 7] = [
    (Principle::StrongBeats, 3_500, Rule::StrongBeats, "neither hand sounds on a strong beat, or the chord is not played"),
    (Principle::GiveAndTake, 3_900, Rule::GiveAndTake, "the left hand is busy where the melody is busy"),
    (Principle::Pace, 1_600, Rule::Pace, "more plucks than the chord has time for"),
    (Principle::PhraseEnd, 420, Rule::PhraseEnd, "the left hand goes on where the phrase ends"),
    (Principle::BassLine, 6_000, Rule::BassLine, "the bass is neither the root nor the written bass"),
    (Principle::RoomForTheTune, 4_400, Rule::ClearTune, "the left hand is on the melody's strings or right beside them"),
    (
        Principle::GoodDoubling,
        1_400,
        Rule::Doubling,
        "one tone of the chord is all that is heard, or its third is missing where it matters",
    ),
];

/// Measures that one figure may go on without a change before it is said.
const PATIENCE: usize = 16;

pub fn look(scene: &Scene, found: &mut Vec<Finding>) {
    sameness(scene, found);
    growth(scene, found);
    let mut sheet = tune_of(scene.score);
    if !sheet.has_chords() || sheet.measures.iter().all(|m| m.notes.iter().all(music::Note::is_rest)) {
        return;
    }
    harmony::spread(&mut sheet);
    let manner = if guess(&sheet).kind.is_dance() { Manner::Dance } else { Manner::Song };
    let tune = Tune::of_page(&sheet, scene.score.measures.iter().map(|m| m.melody).collect(), scene.score.tempo);
    let phrases = harmony::phrases::phrases(&tune.sheet);
    let spans = harmony::spans::spans(&tune.sheet, &tune.clock);
    let all = slots(&tune, &spans, &phrases, &Setting { fullness: &[3] });
    // A page on which nothing accompanies the melody has nothing to speak of.
    if all.iter().all(|s| plucks(scene.score, s).is_empty()) {
        return;
    }
    for slot in all.iter().filter(|s| s.chord.is_some()) {
        let view = View::new(&tune, slot, scene.player, manner, Register::default());
        let plucks = plucks(scene.score, slot);
        let price = principles::own(&view, &plucks);
        say(scene, &view, &plucks, &price, found);
    }
}

/// The melody as a tune with chord symbols.
fn tune_of(score: &Score) -> LeadSheet {
    let measures = score.measures.iter().map(|m| SheetMeasure { frame: m.frame.clone(), notes: m.tune().to_vec() }).collect();
    LeadSheet { words: score.words.clone(), tempo: Some(score.tempo), measures }
}

/// What accompanies the melody in a slot.
fn plucks(score: &Score, slot: &Slot) -> Vec<Pluck> {
    let Some(measure) = score.measures.get(slot.measure.index()) else { return Vec::new() };
    let inside = measure.accompaniment().iter().filter(|n| n.is_plucked() && n.at >= slot.at && n.at < slot.at + slot.length);
    inside
        .map(|n| {
            let mut pitches = n.pitches.clone();
            pitches.sort_by_key(|p| p.position());
            Pluck { at: n.at - slot.at, length: n.length, pitches: pitches.into(), rolled: n.rolled }
        })
        .collect()
}

fn say(scene: &Scene, view: &View, plucks: &[Pluck], price: &Price, found: &mut Vec<Finding>) {
    let slot = view.slot;
    let Some(chord) = &slot.chord else { return };
    for (principle, least, rule, text) in ASKED {
        // A long note left bare and a last chord that is thin are matters of taste on somebody's page; a strong beat that nobody sounds and a foreign bass are not.
        let taste = match rule {
            Rule::StrongBeats => principles::bare_holds(view, plucks),
            Rule::BassLine => principles::last_chord(view, plucks),
            _ => 0,
        };
        let amount = price.part(principle) - taste;
        if amount < least || rule == Rule::StrongBeats && silent_for_a_lever(scene, slot, view) {
            continue;
        }
        let place = Place { measure: slot.measure.index(), at: slot.at };
        let text = text.replace(the_hand(Hand::Left), the_hand(slot.hand));
        let text = format!("{}: {text}", music::as_read(&slot.text));
        let tries = repairs(scene, slot, chord, plucks, rule);
        found.push(Finding::new(place, Gravity::Look, rule, text).weighing(amount).trying(tries));
    }
}

/// The left hand is silent because it moves a lever here, and the tune sounds on the strong beats.
fn silent_for_a_lever(scene: &Scene, slot: &Slot, view: &View) -> bool {
    let here = slot.measure.index();
    let near = here.saturating_sub(1)..(here + 2).min(scene.score.measures.len());
    let moved = scene.score.measures[near].iter().flat_map(|m| &m.marks).any(|m| matches!(m.mark, Mark::Lever(_)));
    moved && slot.strong_beats.iter().all(|p| view.melody_plucks_at(*p))
}

fn repairs(scene: &Scene, slot: &Slot, chord: &Chord, plucks: &[Pluck], rule: Rule) -> Vec<Change> {
    let staff = slot.hand;
    let here = Place { measure: slot.measure.index(), at: slot.at };
    let first = plucks.first().map(|p| Place { at: slot.at + p.at, ..here });
    let second = plucks.get(1).map(|p| Place { at: slot.at + p.at, ..here });
    let simpler = || first.map(|place| Change::OnlyFirst { place, to: slot.at + slot.length, staff });
    let mut tries = Vec::new();
    match rule {
        // Over a melody in the left hand nothing is mended from below.
        Rule::StrongBeats | Rule::BassLine | Rule::ClearTune | Rule::Doubling if staff == Hand::Right => tries.extend(simpler()),
        Rule::StrongBeats => {
            let strong_beats = std::iter::once(Beats::ZERO).chain(slot.strong_beats.iter().copied());
            let mut places: Vec<Place> = strong_beats.map(|at| Place { at: slot.at + at, ..here }).collect();
            places.dedup();
            for place in places {
                tries.extend(tone(scene, chord.bass_name(), 14).map(|p| Change::Pluck { place, staff, pitches: vec![p] }));
                let pairs = [(14, 4), (14, 9), (21, 2)].into_iter().filter_map(|(low, apart)| pair(scene, chord, low, apart));
                tries.extend(pairs.map(|pitches| Change::Pluck { place, staff, pitches }));
            }
        }
        Rule::GiveAndTake | Rule::Pace => {
            tries.extend(simpler());
            tries.extend(plucks.iter().skip(1).step_by(2).map(|p| Change::Drop { place: Place { at: slot.at + p.at, ..here }, staff }));
        }
        Rule::PhraseEnd => {
            tries.extend(second.map(|place| Change::OnlyFirst { place, to: slot.at + slot.length, staff }));
            tries.extend(simpler());
            tries.extend(plucks.last().map(|p| Change::Drop { place: Place { at: slot.at + p.at, ..here }, staff }));
        }
        Rule::BassLine => {
            let place = first.unwrap_or(here);
            tries.extend([14, 21].into_iter().filter_map(|low| tone(scene, chord.bass_name(), low)).map(|p| Change::Pluck {
                place,
                staff,
                pitches: vec![p],
            }));
        }
        Rule::ClearTune => {
            tries.extend(plucks.iter().map(|p| Change::WholeOctave { place: Place { at: slot.at + p.at, ..here }, staff, octaves: -1 }));
            tries.extend(simpler());
            tries.extend(plucks.iter().map(|p| Change::Drop { place: Place { at: slot.at + p.at, ..here }, staff }));
        }
        _ => {
            let place = first.unwrap_or(here);
            let third = chord.third().map(|t| chord.name_of(t));
            tries.extend(third.and_then(|t| tone(scene, t, 21)).map(|p| Change::Pluck { place, staff, pitches: vec![p] }));
            tries.extend(pair(scene, chord, 14, 4).map(|pitches| Change::Pluck { place, staff, pitches }));
        }
    }
    tries
}

/// The first such tone from a string upward that this harp has.
fn tone(scene: &Scene, name: music::PitchName, from: i32) -> Option<Pitch> {
    let from = from.max(scene.harp.lowest());
    (from..from + 8).map(|p| Pitch::at_position(p, name.alter)).find(|p| p.step == name.step).and_then(|p| scene.tuned.spelled(p))
}

/// The bass from a string upward, and the nearest other tone of the chord at least so many strings above it.
fn pair(scene: &Scene, chord: &Chord, low: i32, apart: i32) -> Option<Vec<Pitch>> {
    let bass = tone(scene, chord.bass_name(), low)?;
    let names = chord.tones().into_iter().map(|t| chord.name_of(t)).filter(|n| n.pitch_class() != bass.pitch_class());
    let above = names.filter_map(|n| tone(scene, n, bass.position() + apart)).min_by_key(|p| p.position())?;
    Some(vec![bass, above])
}

/// What accompanies the melody in a measure, pitches left aside: when it plucks, how many strings, and which way it moves.
fn shape(score: &Score, measure: usize) -> Vec<(Beats, usize, i32)> {
    let mut before: Option<i32> = None;
    let plucked = score.measures[measure].accompaniment().iter().filter(|n| n.is_plucked());
    plucked
        .map(|n| {
            let low = n.bottom().map_or(0, |p| p.position());
            let way = before.map_or(0, |b| (low - b).signum());
            before = Some(low);
            (n.at, n.pitches.len(), way)
        })
        .collect()
}

/// A figure that goes on unchanged for long. One pluck a measure is no figure.
fn sameness(scene: &Scene, found: &mut Vec<Finding>) {
    let shapes: Vec<_> = (0..scene.score.measures.len()).map(|m| shape(scene.score, m)).collect();
    let mut from = 0;
    while from < shapes.len() {
        let run = shapes[from..].iter().take_while(|s| **s == shapes[from]).count();
        if run > PATIENCE && shapes[from].len() > 1 {
            let place = Place { measure: from + PATIENCE, at: Beats::ZERO };
            let staff = scene.score.measures[from].melody.other();
            let text = format!("{} has kept one figure for {PATIENCE} measures and goes on for {} more", the_hand(staff), run - PATIENCE);
            let change = |measure: usize| Change::OnlyFirst {
                place: Place { measure, at: Beats::ZERO },
                to: scene.score.measures[measure].frame.length,
                staff,
            };
            let tries = vec![change(from + PATIENCE), change(from + PATIENCE / 2)];
            found.push(Finding::new(place, Gravity::Look, Rule::SteadyFigure, text).weighing(run as i64).trying(tries));
        }
        from += run;
    }
}

/// Verses under headings: the last one thinner than the first.
fn growth(scene: &Scene, found: &mut Vec<Finding>) {
    let starts: Vec<usize> = (0..scene.score.measures.len()).filter(|m| scene.score.measures[*m].heading.is_some()).collect();
    let [first, .., last] = starts.as_slice() else { return };
    let ends = starts.iter().skip(1).copied().chain([scene.score.measures.len()]);
    let per_measure = |from: usize, to: usize| {
        let notes: usize =
            scene.score.measures[from..to].iter().flat_map(|m| m.accompaniment()).filter(|n| n.is_plucked()).map(|n| n.pitches.len()).sum();
        notes * 1000 / (to - from).max(1)
    };
    let lengths: Vec<usize> = starts.iter().zip(ends).map(|(from, to)| per_measure(*from, to)).collect();
    if let (Some(opening), Some(closing)) = (lengths.first(), lengths.last())
        && closing * 5 < opening * 4
        && first != last
    {
        let text = "the last verse is lighter than the first; later verses mostly grow fuller".to_owned();
        found.push(Finding::new(Place { measure: *last, at: Beats::ZERO }, Gravity::Look, Rule::Curve, text));
    }
}
