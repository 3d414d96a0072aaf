//! Writes pages for the tests in short and shows both hands.
//!
//! `{C4 1 v1 s2}` is a note of a quarter in voice 1 on staff 2 (voice and staff 1 unless said), `{r 1/2}` a rest, `{C4+E4 1}` a chord, `{< 2}` steps
//! back two quarters; `tie`, `untie` and `retie` begin, end and pass on a tie. Anything else inside the braces goes into the note as it is, and all
//! outside them into the measure. `|` parts measures; there are 24 divisions to a quarter.

use expect_test::Expect;
use formats::musicxml::{ImportedScore, ScoreOptions, read_score};
use music::{Hand, Note, Pitch, text};

/// A part of two staves around these measures in four-four.
pub fn page(measures: &str) -> String {
    format!("<score-partwise>{}</score-partwise>", part("P1", 2, measures))
}

pub fn part(id: &str, staves: u32, measures: &str) -> String {
    let start = format!(
        "<attributes><divisions>24</divisions><key><fifths>0</fifths><mode>major</mode></key>\
         <time><beats>4</beats><beat-type>4</beat-type></time><staves>{staves}</staves></attributes>"
    );
    let measure = |(i, body): (usize, &str)| format!("<measure>{}{}</measure>\n", if i == 0 { &start } else { "" }, notes(body));
    format!("<part id=\"{id}\">{}</part>", measures.split('|').enumerate().map(measure).collect::<String>())
}

fn notes(body: &str) -> String {
    let mut out = String::new();
    for (i, piece) in body.split('{').enumerate() {
        match piece.split_once('}').filter(|_| i > 0) {
            Some((inside, after)) => out += &(note(inside) + after),
            None => out += piece,
        }
    }
    out
}

fn note(inside: &str) -> String {
    let mut words = inside.splitn(3, ' ');
    let (what, length) = (words.next().expect("a pitch"), words.next().expect("a length"));
    let (n, d) = length.split_once('/').unwrap_or((length, "1"));
    let duration = 24 * n.parse::<u32>().expect("a length") / d.parse::<u32>().expect("a length");
    if what == "<" {
        return format!("<backup><duration>{duration}</duration></backup>");
    }
    let (mut voice, mut staff, mut ties, mut rest) = ("1", "1", "", String::new());
    for word in words.next().unwrap_or("").split(' ') {
        match word {
            "tie" => ties = "<tie type=\"start\"/>",
            "untie" => ties = "<tie type=\"stop\"/>",
            "retie" => ties = "<tie type=\"stop\"/><tie type=\"start\"/>",
            v if v.len() == 2 && v.starts_with('v') => voice = &v[1..],
            s if s.len() == 2 && s.starts_with('s') => staff = &s[1..],
            other => rest += &format!(" {other}"),
        }
    }
    let one = |(i, name): (usize, &str)| {
        let chord = if i > 0 { "<chord/>" } else { "" };
        let rest = if i > 0 { "" } else { rest.trim() };
        let pitch = pitch(name);
        format!("<note>{chord}{pitch}<duration>{duration}</duration>{ties}<voice>{voice}</voice><staff>{staff}</staff>{rest}</note>")
    };
    what.split('+').enumerate().map(one).collect()
}

fn pitch(name: &str) -> String {
    if name == "r" {
        return "<rest/>".into();
    }
    let pitch = Pitch::parse(name).expect("a pitch");
    format!("<pitch><step>{}</step><alter>{}</alter><octave>{}</octave></pitch>", pitch.step.letter(), pitch.alter, pitch.octave)
}

pub fn read(page: &str) -> ImportedScore {
    read_score(page.as_bytes(), &ScoreOptions::default()).expect("a page that can be read")
}

pub fn check(measures: &str, expected: Expect) {
    expected.assert_eq(&show(&read(&page(measures))));
}

/// Measures, right hand above left; then holds and remarks.
pub fn show(imported: &ImportedScore) -> String {
    let mut out = String::new();
    for measure in &imported.score.measures {
        let line = |hand| measure.hand(hand).iter().map(signs).collect::<Vec<_>>().join(" ");
        out += &format!("{} R {}\n  L {}\n", measure.frame.number, line(Hand::Right), line(Hand::Left));
        measure.heading.iter().for_each(|h| out += &format!("  heading {h}\n"));
        for mark in &measure.marks {
            out += &format!("  {:?} {:?} at {}\n", mark.mark, mark.hand, mark.at);
        }
    }
    for hold in &imported.holds {
        out += &format!("hold {:?} {} measure {} at {} for {}\n", hold.hand, hold.pitch, hold.measure, hold.at, hold.length);
    }
    for remark in imported.diagnostics.iter().filter(|d| !d.message.contains("no tempo")) {
        out += &format!("{}\n", remark.message);
    }
    out
}

/// A note in the short form, ties as `<` and `>`, then rolls, fingers and other signs.
fn signs(note: &Note) -> String {
    let mut out: String = note.grace.iter().flat_map(|g| &g.pitches).map(|p| format!(",{p} ")).collect();
    out += &text::show(std::slice::from_ref(note));
    out += if note.tie.from_before { "<" } else { "" };
    out += if note.tie.to_next { ">" } else { "" };
    out += if note.rolled { " rolled" } else { "" };
    if !note.fingers.is_empty() {
        out += &format!(" fingers {:?}", note.fingers);
    }
    note.decorations.iter().for_each(|d| out += &format!(" *{d:?}"));
    out
}
