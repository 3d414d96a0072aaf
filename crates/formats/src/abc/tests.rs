//! Written-out cases: a little ABC in, the measures in a short form out.
//!
//! A measure is `number: signs notes signs`; a note is `decorations grace pitches:length` in quarters, with `(` `)` for slurs, `-` for a
//! tie to the
//! next note, `^3/2` for a tuplet, and `'words` below. Chord symbols stand before the note at whose place they are.

mod files;
mod form;
mod limits;
mod notes;

use super::*;
use expect_test::{Expect, expect};
use music::{Barline, Hyphen, Note, Pitch, SheetMeasure, TupletEdge};

fn check(abc: &str, expected: Expect) {
    survives(abc.as_bytes());
    expected.assert_eq(&shown(abc, &ReadOptions::default()));
}

fn shown(abc: &str, options: &ReadOptions) -> String {
    let imported = match read(abc.as_bytes(), options) {
        Ok(imported) => imported,
        Err(error) => return format!("error: {error}\n"),
    };
    let mut lines = head(&imported);
    let mut before: Option<&SheetMeasure> = None;
    for measure in &imported.sheet.measures {
        let changed = before.is_none_or(|b| b.frame.meter != measure.frame.meter || b.frame.key != measure.frame.key);
        if changed {
            let explicit: String = measure.frame.key.explicit.iter().map(|(s, a)| format!(" {}{a:+}", s.letter())).collect();
            lines.push(format!("[{} {}{explicit}]", measure.frame.meter, measure.frame.key));
        }
        lines.push(line(measure));
        before = Some(measure);
    }
    lines.extend(imported.diagnostics.iter().map(ToString::to_string));
    lines.join("\n") + "\n"
}

fn head(imported: &Imported) -> Vec<String> {
    let tempo = imported.sheet.tempo.map(|t| format!(" {}={}", t.unit(), t.milli_per_minute() / 1000)).unwrap_or_default();
    let title = format!("{}{tempo}", imported.sheet.words.title);
    if title.is_empty() { Vec::new() } else { vec![title] }
}

fn line(measure: &SheetMeasure) -> String {
    let frame = &measure.frame;
    let mut words = vec![format!("{}:", frame.number)];
    words.extend(frame.section.iter().map(|s| format!("<{s}>")));
    words.extend(frame.repeat_start.then(|| "|:".to_owned()));
    if let Some(ending) = &frame.ending {
        let passes: Vec<String> = ending.passes.iter().map(u32::to_string).collect();
        words.push(format!("{}{}{}", if ending.starts { "[" } else { "" }, passes.join(","), if ending.stops { "]" } else { "" }));
    }
    for note in &measure.notes {
        words.extend(frame.words.iter().filter(|w| w.0 == note.at).map(|w| format!("^{}^", w.1)));
        words.extend(frame.tempos.iter().filter(|t| t.0 == note.at).map(|t| format!("<{}={}>", t.1.unit(), t.1.milli_per_minute() / 1000)));
        words.extend(frame.chords.iter().filter(|c| c.at == note.at).map(|c| format!("\"{}\"", c.symbol.harmony)));
        words.push(word(note));
    }
    words.extend(frame.jumps.iter().map(|j| format!("{j:?}")));
    words.extend(frame.repeat_end.map(|times| if times == 2 { ":|".to_owned() } else { format!(":|x{times}") }));
    match frame.right {
        Barline::Plain => {}
        other => words.push(format!("{other:?}")),
    }
    words.join(" ")
}

fn word(note: &Note) -> String {
    let mut out = String::new();
    for decoration in &note.decorations {
        out.push_str(&format!("!{decoration:?}!"));
    }
    for grace in &note.grace {
        let pitches: Vec<String> = grace.pitches.iter().map(Pitch::to_string).collect();
        out.push_str(&format!("{{{}{}/{}}}", if grace.slashed { "/" } else { "" }, pitches.join("+"), grace.value));
    }
    out.push_str(&"(".repeat(note.slurs_start.into()));
    out.push_str(&music::text::show(std::slice::from_ref(note)));
    if note.tie.to_next {
        out.push('-');
    }
    assert!(!note.fingers.iter().any(|f| *f > 4), "fingers are numbered 1 to 4");
    out.push_str(&")".repeat(note.slurs_stop.into()));
    if let Some(tuplet) = note.tuplet.filter(|t| t.edge == TupletEdge::Start) {
        out.push_str(&format!("^{}/{}", tuplet.actual, tuplet.normal));
    }
    for syllable in &note.syllables {
        let hyphen = if matches!(syllable.hyphen, Hyphen::Begin | Hyphen::Middle) { "-" } else { "" };
        out.push_str(&format!("'{}{hyphen}{}", syllable.text, if syllable.held { "_" } else { "" }));
    }
    out
}

/// A tune in C with these lines as its body, and `M:4/4`, `L:1/4`.
fn body(lines: &str, expected: Expect) {
    check(&format!("X:1\nM:4/4\nL:1/4\nK:C\n{lines}\n"), expected);
}
