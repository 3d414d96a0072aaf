//! Writes scores for the tests in short and shows what was read, a line a measure.
//!
//! In a test's score `|` parts measures, `{C4 1}` is a note of a quarter, `{r 1/2}` a rest, `{C4+E4 1}` a chord; what follows the length inside the
//! braces goes into the note as it is. A measure that begins with `@` is implicit. There are 24 divisions to a quarter.

use expect_test::Expect;
use formats::{Imported, ReadError, ReadOptions, musicxml};
use music::{Barline, Decoration, Frame, Note, SheetMeasure, TupletEdge, text};

/// A whole score around the measures of one part; `meter` like "3/4".
pub fn score(meter: &str, measures: &str) -> String {
    let (beats, unit) = meter.split_once('/').expect("a meter");
    let start = format!(
        "<attributes><divisions>24</divisions><key><fifths>0</fifths><mode>major</mode></key>\
         <time><beats>{beats}</beats><beat-type>{unit}</beat-type></time></attributes>"
    );
    format!("<score-partwise>{}<part id=\"P1\">{}</part></score-partwise>", listed(&["P1"]), part(&start, measures))
}

/// The part list of these ids, each named after its id.
pub fn listed(ids: &[&str]) -> String {
    let entry = |id: &&str| format!("<score-part id=\"{id}\"><part-name>Part {id}</part-name></score-part>");
    format!("<part-list>{}</part-list>", ids.iter().map(entry).collect::<String>())
}

/// The measures of a part, `start` at the head of the first.
pub fn part(start: &str, measures: &str) -> String {
    let measure = |(i, body): (usize, &str)| {
        let body = body.trim();
        let implicit = if body.starts_with('@') { " implicit=\"yes\"" } else { "" };
        let start = if i == 0 { start } else { "" };
        format!("<measure number=\"{}\"{implicit}>{start}{}</measure>\n", i + 1, notes(body.trim_start_matches('@')))
    };
    measures.split('|').enumerate().map(measure).collect()
}

/// Writes the notes in braces out.
pub fn notes(body: &str) -> String {
    let mut out = String::new();
    for (i, piece) in body.split('{').enumerate() {
        match piece.split_once('}').filter(|_| i > 0) {
            Some((inside, after)) => {
                out.push_str(&note(inside));
                out.push_str(after);
            }
            None => out.push_str(piece),
        }
    }
    out
}

fn note(inside: &str) -> String {
    let (what, rest) = inside.split_once(' ').expect("a pitch and a length");
    let (length, extra) = rest.split_once(' ').unwrap_or((rest, ""));
    let (n, d) = length.split_once('/').unwrap_or((length, "1"));
    let duration = 24 * n.parse::<u32>().expect("a length") / d.parse::<u32>().expect("a length");
    let one = |(i, name): (usize, &str)| {
        let chord = if i > 0 { "<chord/>" } else { "" };
        let extra = if i > 0 { "" } else { extra };
        format!("<note>{chord}{}<duration>{duration}</duration>{extra}</note>", pitch(name))
    };
    what.split('+').enumerate().map(one).collect()
}

fn pitch(name: &str) -> String {
    if name == "r" {
        return "<rest/>".into();
    }
    let pitch = music::Pitch::parse(name).expect("a pitch");
    let (step, alter, octave) = (pitch.step.letter(), pitch.alter, pitch.octave);
    format!("<pitch><step>{step}</step><alter>{alter}</alter><octave>{octave}</octave></pitch>")
}

pub fn read(score: &str) -> Result<Imported, ReadError> {
    musicxml::read(score.as_bytes(), &ReadOptions::default())
}

/// Reads a score of one part and compares what is shown of it.
pub fn check(meter: &str, measures: &str, expected: Expect) {
    check_score(&score(meter, measures), expected);
}

pub fn check_score(score: &str, expected: Expect) {
    expected.assert_eq(&show(read(score)));
}

/// Measures, then remarks.
pub fn show(result: Result<Imported, ReadError>) -> String {
    let imported = match result {
        Ok(imported) => imported,
        Err(error) => return format!("{error}\n"),
    };
    let mut out: String = imported.sheet.measures.iter().map(measure).collect();
    for remark in &imported.diagnostics {
        out.push_str(&format!("{remark}\n"));
    }
    out
}

fn measure(measure: &SheetMeasure) -> String {
    let frame = &measure.frame;
    let chords: String = frame.chords.iter().map(|c| format!("\"{}\"@{} ", c.symbol.harmony, c.at)).collect();
    let notes: Vec<String> = measure.notes.iter().map(signs).collect();
    format!("{} {}{}{}{}\n", frame.number, opening(frame), chords, notes.join(" "), closing(frame))
}

fn opening(frame: &Frame) -> String {
    let mut out = String::new();
    if frame.left != Barline::None {
        out.push_str(&format!("{:?} ", frame.left));
    }
    if frame.repeat_start {
        out.push_str("|: ");
    }
    if let Some(ending) = &frame.ending {
        let passes: Vec<String> = ending.passes.iter().map(u32::to_string).collect();
        let (start, stop) = (if ending.starts { "[" } else { "" }, if ending.stops { "]" } else { "" });
        out.push_str(&format!("{start}{}{stop} ", passes.join(",")));
    }
    if let Some(section) = &frame.section {
        out.push_str(&format!("<{section}> "));
    }
    out
}

fn closing(frame: &Frame) -> String {
    let mut out = String::new();
    for jump in &frame.jumps {
        out.push_str(&format!(" {jump:?}"));
    }
    for (at, tempo) in &frame.tempos {
        out.push_str(&format!(" {}={}@{at}", tempo.unit(), tempo.milli_per_minute() / 1000));
    }
    for (at, words) in &frame.words {
        out.push_str(&format!(" '{words}'@{at}"));
    }
    if let Some(times) = frame.repeat_end {
        out.push_str(&format!(" :|x{times}"));
    }
    if frame.right != Barline::Plain {
        out.push_str(&format!(" {:?}", frame.right));
    }
    out
}

/// A note in the short form with its signs behind it.
fn signs(note: &Note) -> String {
    let mut out = String::new();
    for grace in &note.grace {
        let pitches: Vec<String> = grace.pitches.iter().map(ToString::to_string).collect();
        out.push_str(&format!("{}{}/{} ", if grace.slashed { "/" } else { "," }, pitches.join("+"), grace.value));
    }
    out.push_str(&text::show(std::slice::from_ref(note)));
    if let Some(tuplet) = note.tuplet {
        let edge = match tuplet.edge {
            TupletEdge::Start => "<",
            TupletEdge::Inside => "-",
            TupletEdge::Stop => ">",
        };
        out.push_str(&format!("({}:{}{edge})", tuplet.actual, tuplet.normal));
    }
    if note.tie.from_before {
        out.push('<');
    }
    if note.tie.to_next {
        out.push('>');
    }
    out.push_str(&")".repeat(note.slurs_stop.into()));
    out.push_str(&"(".repeat(note.slurs_start.into()));
    for syllable in &note.syllables {
        let held = if syllable.held { "_" } else { "" };
        out.push_str(&format!(" {}:{}{held}/{:?}", syllable.verse, syllable.text, syllable.hyphen));
    }
    for decoration in &note.decorations {
        match decoration {
            Decoration::Dynamic(name) => out.push_str(&format!(" !{name}")),
            Decoration::Other(name) => out.push_str(&format!(" *{name}")),
            named => out.push_str(&format!(" *{named:?}")),
        }
    }
    out
}
