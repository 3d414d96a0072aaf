//! What stands before the first measure: the title and who made it, key, meter, tempo, the harp and how it is set, which measures there are and in which order they are played; and what the
//! words of this very text mean. `read_head` reads it.

use super::frame::pedals;
use super::keys::{key, meter};
use super::lengths::{length, tempo};
use super::pitches::{in_words, name, pitch};
use super::tokens::plain;
use music::order::playing_order;
use music::{Frame, Lever, LeverString, MeasureNumber, Part, Pitch, Score, Setting, Step};

/// The heading over what the words mean.
pub const HOW: &str = "How to read this";
/// A tune without a title.
pub const NO_TITLE: &str = "A tune without a title";
/// More stretches than this in the playing order are counted only.
const MOST_STRETCHES: usize = 60;

/// The lines of the head but the title.
pub fn lines(score: &Score) -> Vec<String> {
    let words = &score.words;
    let mut lines: Vec<String> =
        words.subtitles.iter().filter(|s| !s.trim().is_empty()).map(|s| format!("Subtitle: {}", plain(s))).collect();
    let named = [("Composer", &words.composer), ("Words by", &words.lyricist), ("From", &words.origin), ("Rights", &words.rights)];
    for (label, text) in named {
        let text = text.as_deref().map(plain).filter(|t| !t.is_empty());
        lines.extend(text.map(|text| format!("{label}: {text}")));
    }
    if let Some(first) = score.measures.first() {
        lines.push(format!("Key: {}", key(&first.frame.key)));
        lines.push(format!("Meter: {}", meter(&first.frame.meter)));
    }
    lines.push(format!("Tempo: {}", tempo(score.tempo)));
    let in_words_too = words.tempo_words.as_deref().map(plain).filter(|t| !t.is_empty());
    lines.extend(in_words_too.map(|text| format!("Marked: {text}")));
    lines.extend(score.preparation.lines.iter().filter(|l| !l.trim().is_empty()).map(|l| format!("Harp: {}", in_words(&plain(l)))));
    lines.extend(score.preparation.setting.iter().flat_map(setting));
    lines.push(format!("Measures: {}", measures(score)));
    lines.push(format!("Playing order: {}", order(score)));
    lines
}

/// How levers or pedals stand before the first note.
fn setting(setting: &Setting) -> Vec<String> {
    match setting {
        Setting::Pedals(alter) => {
            let all = pedals(alter);
            let all: Vec<&str> = all.split(", ").collect();
            let of = |steps: &[Step]| steps.iter().map(|s| all[*s as usize]).collect::<Vec<_>>().join(", ");
            let left = of(&[Step::D, Step::C, Step::B]);
            let right = of(&[Step::E, Step::F, Step::G, Step::A]);
            vec![format!("Pedals, left foot: {left}"), format!("Pedals, right foot: {right}")]
        }
        Setting::Levers(strings) if strings.is_empty() => vec!["Levers: none on this harp".into()],
        Setting::Levers(strings) => vec![format!("Levers: {}", levers(strings))],
    }
}

/// "up at every F-sharp, every C-sharp but C4, G-sharp 5": a letter is named alone where most of its levers are up.
fn levers(strings: &[LeverString]) -> String {
    let (mut letters, mut single) = (Vec::new(), Vec::new());
    for step in Step::SHARPS {
        let of = |lever: Lever| -> Vec<Pitch> {
            strings.iter().filter(|s| s.sounds.step == step && s.lever == lever).map(|s| s.sounds).collect()
        };
        let (up, down) = (of(Lever::Up), of(Lever::Down));
        match up.first() {
            Some(first) if up.len() > down.len() => {
                let letter = if first.alter == 0 { format!("{}-natural", step.letter()) } else { name(first.name()) };
                let but: Vec<String> = down.iter().map(|p| pitch(*p)).collect();
                letters.push(if but.is_empty() { format!("every {letter}") } else { format!("every {letter} but {}", but.join(" and ")) });
            }
            _ => single.extend(up.iter().map(|p| pitch(*p))),
        }
    }
    letters.extend(single);
    if letters.is_empty() { "all down".into() } else { format!("up at {}", letters.join(", ")) }
}

/// Which measures there are: "pickup, 1 to 16, ending 1 to 2".
pub fn measures(score: &Score) -> String {
    let all: Vec<usize> = (0..score.measures.len()).collect();
    stretches(score, &all).join(", ")
}

/// The order in which they are played, with its repeats: "1 to 8, then 1 to 7, then 9 to 16".
pub fn order(score: &Score) -> String {
    let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
    let order = playing_order(&frames).measures;
    if order.iter().copied().eq(0..score.measures.len()) {
        return "straight through, once".into();
    }
    let runs = order.chunk_by(|a, b| a + 1 == *b);
    let said: Vec<String> = runs.map(|run| stretches(score, run).join(", ")).collect();
    if said.len() > MOST_STRETCHES {
        return format!("{} measures in all, by the signs at the measures", order.len());
    }
    said.join(", then ")
}

/// Measures in a row, told by their numbers.
fn stretches(score: &Score, indices: &[usize]) -> Vec<String> {
    let numbers: Vec<MeasureNumber> = indices.iter().map(|i| score.measures[*i].frame.number).collect();
    numbers.chunk_by(|a, b| b.follows(*a)).map(|run| stretch(run[0], run[run.len() - 1])).collect()
}

fn stretch(first: MeasureNumber, last: MeasureNumber) -> String {
    let count = |n: MeasureNumber| if n.count == 0 { "pickup".to_owned() } else { n.count.to_string() };
    let part = if first.part == Part::Tune { String::new() } else { format!("{} ", first.part.name()) };
    if first == last { format!("{part}{}", count(first)) } else { format!("{part}{} to {}", count(first), count(last)) }
}

/// "measures 5 to 8", "measure 5", "pickup to measure 4", "measures 1 to 4 of the introduction".
pub fn from_to(first: MeasureNumber, last: MeasureNumber) -> String {
    let whole = |n: MeasureNumber| n.in_words().replace("the pickup", "pickup");
    if first == last {
        return whole(first);
    }
    if first.part == last.part && first.count > 0 && last.count > 0 {
        let of = if first.part == Part::Tune { String::new() } else { format!(" of the {}", first.part.name()) };
        return format!("measures {} to {}{of}", first.count, last.count);
    }
    format!("{} to {}", whole(first), whole(last))
}

/// What the words of a text mean, and by which words one sees that it has to be said.
const MEANINGS: [(&str, &str); 19] = [
    ("", "A line that begins with two spaces goes on from the line before it."),
    ("", "The number after a letter is its octave. C4 is middle C; each octave begins with C."),
    ("", "A length holds for the notes after it until another length comes."),
    (" and ", "Notes with \"and\" between them are plucked together."),
    ("rolled ", "Rolled: one after another, from the first note named to the last."),
    ("tied on", "Tied on: the note goes on into the next. Still: it is not plucked again."),
    (" finger ", "Finger 1 is the thumb."),
    (
        " place",
        "Place: the fingers are put on all strings from here to the note that says \"placed\", before the first of them is plucked.",
    ),
    ("triplet ", "Triplet: three notes in the time of two, until \"end triplet\"."),
    ("group of ", "Group of 5 in 4: five notes in the time of four, until \"end group\"."),
    ("grace ", "A grace note comes before the note after it and takes no time of its own."),
    ("unplayable", "Unplayable: this harp cannot give the note there."),
    (": as measure", "As measure 1: the hand does exactly what it did in measure 1."),
    ("Lever ", "Lever at beat 2: F-sharp 4 means that a lever is moved at beat 2, so that its string sounds F-sharp 4."),
    ("Pedal ", "Pedal at beat 2: F-sharp means that the F pedal is moved to sharp at beat 2."),
    ("Muffle", "Muffle: stop these strings."),
    (
        "Verse ",
        "Words of the song: a hyphen ends a syllable inside a word; (skip 2) passes over two notes; (3 notes) says how many notes the syllable before it has.",
    ),
    (": yours ", "Yours: you put the chord there."),
    (": ours ", "Ours: the chord was found or made by the program."),
];

/// What has to be said so that this text can be read.
pub fn how(score: &Score, body: &[String]) -> Vec<String> {
    let says = |needle: &str| body.iter().any(|line| line.contains(needle));
    let mut lines: Vec<String> =
        MEANINGS.iter().filter(|(needle, _)| needle.is_empty() || says(needle)).map(|(_, s)| (*s).to_owned()).collect();
    if let Some(first) = score.measures.first() {
        lines.insert(3, format!("A beat is one {} long and is named after a rest.", length(first.frame.meter.beat())));
    }
    lines
}
