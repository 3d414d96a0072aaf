//! What is made of the dear places: one function a kind of drill, each with its steps in words for the player.

use super::places::Change;
use super::{Call, Drill, Kind, START, Stretch, beat_in_words, measures_in_words};
use crate::cues::{CueSheet, picture};
use crate::lesson::Lesson;
use arrange::ways_out::Way;
use music::{Mark, Place};

/// So many changes of chord are drilled, at most.
const CHANGES: usize = 3;
/// So many levers.
const LEVERS: usize = 3;
/// So many times "end now" is called.
const ENDS: usize = 3;
/// So many shapes are looked for.
const SHAPES: usize = 6;

/// What is about no single place.
const WHOLE: &str = "the whole tune";

fn title(lesson: &Lesson, what: &str, stretch: Stretch) -> String {
    let words = measures_in_words(lesson.number(stretch.first), lesson.number(stretch.last));
    if what.is_empty() { words } else { format!("{what}, {words}") }
}

/// Two chords: place, pluck, let go, place without a sound.
pub fn changes(lesson: &Lesson, dear: &[Change]) -> Vec<Drill> {
    let one = |change: &Change| {
        let names = [&change.from.text, &change.to.text].map(|t| music::as_read(t));
        let steps = vec![
            format!("Place the fingers for {} and pluck. Lift them a finger's breadth off the strings.", names[0]),
            format!("Go to {} in the air and place it without a sound. Look: is every finger on its string?", names[1]),
            format!("Pluck {}. Go back the same way. Four times, with no hurry.", names[1]),
            "Now with the click: one chord a measure, the new one placed on the beat before it.".to_owned(),
        ];
        let mut drill = Drill::new(lesson, Kind::Change, title(lesson, &change.chords(), change.stretch()), change.stretch(), steps);
        drill.shapes = vec![picture::of(lesson, change.from), picture::of(lesson, change.to)];
        drill
    };
    dear.iter().take(CHANGES).map(one).collect()
}

/// The dearest place at which the right hand has something to do.
fn dearest_with_melody<'a, 'b>(lesson: &Lesson, dear: &'b [Change<'a>]) -> Option<&'b Change<'a>> {
    let plucks = |measure: usize| lesson.made.score.measures[measure].right.iter().filter(|n| n.is_plucked()).count();
    dear.iter().find(|c| plucks(c.from.measure.index()) + plucks(c.to.measure.index()) >= 2).or(dear.first())
}

/// One hand whole, of the other the top note, then the lowest, then all.
pub fn add_a_note(lesson: &Lesson, dear: &[Change]) -> Vec<Drill> {
    let Some(change) = dearest_with_melody(lesson, dear) else { return Vec::new() };
    let steps = [
        "Left hand whole; of the melody only the first note of each measure.",
        "Left hand whole; of the melody the notes on the beats.",
        "Left hand whole with the whole melody.",
        "The other way round: melody whole; of the left hand only the lowest strings.",
        "Melody whole; of the left hand the first pluck of each beat. Then all.",
    ];
    let steps = steps.map(str::to_owned).to_vec();
    vec![Drill::new(lesson, Kind::AddANote, title(lesson, "", change.stretch()), change.stretch(), steps)]
}

/// The last beat, then the last two, up to the whole.
pub fn backward_chain(lesson: &Lesson, dear: &[Change]) -> Vec<Drill> {
    let Some(change) = dear.first() else { return Vec::new() };
    let stretch = change.stretch();
    let mut chain: Vec<Place> = Vec::new();
    for measure in stretch.first..=stretch.last {
        let frame = &lesson.made.score.measures[measure].frame;
        chain.extend(frame.meter.beats().into_iter().filter(|at| *at < frame.length).map(|at| Place { measure, at }));
    }
    chain.reverse();
    let steps = vec![
        format!("Both hands, only the last beat of {}.", lesson.number(stretch.last).in_words()),
        "The last two beats; then the last three: each time begin one beat earlier and stop at the same place.".to_owned(),
        "Go on until you begin at the first beat. Where it will not go, take that beat and the next one by themselves.".to_owned(),
    ];
    let mut drill = Drill::new(lesson, Kind::BackwardChain, title(lesson, "", stretch), stretch, steps);
    drill.chain = chain;
    vec![drill]
}

/// Each lever or pedal move as a counted note.
pub fn lever_beats(lesson: &Lesson) -> Vec<Drill> {
    let score = &lesson.made.score;
    let mut all: Vec<Drill> = Vec::new();
    for (measure, here) in score.measures.iter().enumerate() {
        for placed in &here.marks {
            let (name, what) = match &placed.mark {
                Mark::Lever(pitch) => (format!("{pitch:#}"), "lever"),
                Mark::Pedal(name) => (format!("{name:#}"), "pedal"),
                _ => continue,
            };
            let known = all.iter().any(|d| d.title.starts_with(&format!("{name},")));
            if known || all.len() == LEVERS {
                continue;
            }
            let stretch = Stretch { first: measure.saturating_sub(1), last: (measure + 1).min(score.measures.len() - 1) };
            let beat = beat_in_words(lesson, Place { measure, at: placed.at });
            let steps = vec![
                format!(
                    "Count the measure aloud and move only the {what}: {name} at {beat} of {}. Eight times, always on the same count.",
                    here.frame.number.in_words()
                ),
                format!("The melody alone with the {what} on its count."),
                format!("Both hands with the {what}, slowly; the hand that moves it knows where it goes back to."),
            ];
            all.push(Drill::new(lesson, Kind::LeverBeat, title(lesson, &name, stretch), stretch, steps));
        }
    }
    all
}

/// The next figure, called a measure ahead.
pub fn pattern_call(lesson: &Lesson) -> Vec<Drill> {
    let sheet = CueSheet::of(lesson);
    let mut calls: Vec<Call> = Vec::new();
    let mut last: Option<String> = None;
    for phrase in &sheet.phrases {
        let Some(verse) = phrase.verses.first() else { continue };
        let Some(first) = phrase.measures.iter().find(|m| !m.pickup) else { continue };
        if last.as_ref() != Some(&verse.figure) {
            calls.push(Call {
                said: Place { measure: first.index.saturating_sub(1), at: START },
                holds: first.index,
                words: verse.figure.clone(),
            });
        }
        last = Some(verse.figure.clone());
    }
    let (Some(first), Some(end)) = (calls.first(), calls.last()) else { return Vec::new() };
    if calls.len() < 2 {
        return Vec::new();
    }
    let final_measure = sheet.phrase_of(end.holds).and_then(|p| p.measures.last()).map_or(end.holds, |m| m.index);
    let stretch = Stretch { first: first.holds, last: final_measure };
    let steps = vec![
        "Play from the cue sheet. A measure before the figure changes its name is called and shown.".to_owned(),
        "Change at the bar line, not before and not a beat late. A wrong string does not matter here.".to_owned(),
    ];
    let mut drill = Drill::new(lesson, Kind::PatternCall, WHOLE.to_owned(), stretch, steps);
    drill.calls = calls;
    vec![drill]
}

/// "End now" at places from which the way out is not the same.
pub fn interruption(lesson: &Lesson) -> Vec<Drill> {
    let outs = lesson.made.ways_out();
    let mut calls: Vec<Call> = Vec::new();
    let mut ways: Vec<&Way> = Vec::new();
    // Not where the tune closes anyway, and spread over the tune.
    let asked: Vec<_> = outs.iter().filter(|o| o.measures > 0 && o.way != Way::Stop && lesson.number(o.measure).count > 0).collect();
    for turn in 0..asked.len() {
        // Every third measure in turn, so that the calls do not come one after another.
        let out = asked[turn * 3 % asked.len()];
        if calls.len() < ENDS && !ways.contains(&&out.way) {
            ways.push(&out.way);
            let words = format!("End now: {}", out.way);
            calls.push(Call { said: Place { measure: out.measure, at: START }, holds: out.measure, words });
        }
    }
    let (Some(_), Some(first)) = (calls.first(), outs.first()) else { return Vec::new() };
    let stretch = Stretch { first: first.measure, last: outs.last().map_or(first.measure, |o| o.measure) };
    let named: Vec<String> = calls
        .iter()
        .map(|c| format!("Called in {}: {}.", lesson.number(c.holds).in_words(), c.words.trim_start_matches("End now: ")))
        .collect();
    let mut steps = vec!["Play. When \"End now\" is called, finish the measure you are in and take the way out that lights up. Keep the pulse to the last chord.".to_owned()];
    steps.extend(named);
    let mut drill = Drill::new(lesson, Kind::Interruption, WHOLE.to_owned(), stretch, steps);
    drill.calls = calls;
    vec![drill]
}

/// Each chord of the tune: first the symbol, then its shape.
pub fn find_the_shape(lesson: &Lesson) -> Vec<Drill> {
    let mut shapes = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    let mut last = 0;
    let mut first = None;
    for (slot, ..) in lesson.played().filter(|(slot, ..)| slot.chord.is_some()) {
        if seen.contains(&slot.text.as_str()) || seen.len() == SHAPES || lesson.printed(slot).next().is_none() {
            continue;
        }
        seen.push(&slot.text);
        shapes.push(picture::of(lesson, slot));
        first = first.or(Some(slot.measure.index()));
        last = slot.measure.index();
    }
    let Some(first) = first else { return Vec::new() };
    let steps = vec![
        "A chord symbol, and the strings are dark. Put your fingers where you would play it, without a sound.".to_owned(),
        "Look: the shape of this page lights up. Another place of the same chord is no mistake; say which string is the root.".to_owned(),
    ];
    let stretch = Stretch { first, last };
    let mut drill = Drill::new(
        lesson,
        Kind::FindTheShape,
        if shapes.len() == 1 { "the chord of the tune".to_owned() } else { format!("{} chords of the tune", shapes.len()) },
        stretch,
        steps,
    );
    drill.shapes = shapes;
    vec![drill]
}
