//! What stands before the first measure: titles, creators, rights, and the one part.

use super::xml::Xml;
use music::{Lever, LeverString, Preparation, Score, Setting, Words};

pub const PART: &str = "P1";
/// Fields with the strings whose levers are up, and down, before the first note.
pub const LEVERS_UP: &str = "levers-up";
pub const LEVERS_DOWN: &str = "levers-down";

/// Writes everything from the work title to the part list. No dates and no versions: the same score gives the same bytes.
pub fn write(xml: &mut Xml, score: &Score) {
    let words = &score.words;
    if !words.title.is_empty() {
        xml.within("work", &[], |xml| xml.text("work-title", &words.title));
    }
    xml.within("identification", &[], |xml| identification(xml, words, &score.preparation));
    credits(xml, score);
    xml.within("part-list", &[], part);
}

/// What is printed around the music, a credit for each: `<credit-type>` says which is which, the page maker where it goes.
fn credits(xml: &mut Xml, score: &Score) {
    let words = &score.words;
    let or_nothing = |text: &Option<String>| text.clone().unwrap_or_default();
    let credits = [
        ("title", "center", "top", words.title.clone()),
        ("subtitle", "center", "top", words.subtitles.join("\n")),
        ("composer", "right", "top", or_nothing(&words.composer)),
        ("lyricist", "left", "top", or_nothing(&words.lyricist)),
        ("preparation", "left", "top", score.preparation.in_words().join("\n")),
        ("verses", "left", "bottom", words.verses.join("\n")),
        ("signs", "left", "bottom", words.signs.join("\n")),
        ("rights", "center", "bottom", or_nothing(&words.rights)),
    ];
    for (kind, justify, valign, text) in credits.iter().filter(|c| !c.3.trim().is_empty()) {
        xml.within("credit", &[("page", &1)], |xml| {
            xml.text("credit-type", kind);
            xml.text_with("credit-words", &[("justify", justify), ("valign", valign)], text);
        });
    }
}

fn identification(xml: &mut Xml, words: &Words, preparation: &Preparation) {
    for (kind, name) in [("composer", &words.composer), ("lyricist", &words.lyricist)] {
        if let Some(name) = name {
            xml.text_with("creator", &[("type", &kind)], name);
        }
    }
    if let Some(rights) = &words.rights {
        xml.text("rights", rights);
    }
    xml.within("encoding", &[], |xml| {
        xml.text("software", super::SOFTWARE);
        xml.empty("supports", &[("element", &"accidental"), ("type", &"yes")]);
        xml.empty("supports", &[("element", &"beam"), ("type", &"yes")]);
        xml.empty("supports", &[("element", &"stem"), ("type", &"no")]);
    });
    if let Some(source) = &words.source {
        xml.text("source", source);
    }
    miscellaneous(xml, words, preparation);
}

/// What the standard has no element for, a field for each. How levers stand is a field of data beside the words of the credit; pedals have the standard's
/// diagram at the first note.
fn miscellaneous(xml: &mut Xml, words: &Words, preparation: &Preparation) {
    let levers = |wanted: Lever| match &preparation.setting {
        Some(Setting::Levers(strings)) => named(strings, wanted),
        _ => String::new(),
    };
    let fields = [
        ("origin", words.origin.clone().unwrap_or_default()),
        ("rhythm", words.rhythm.clone().unwrap_or_default()),
        ("preparation", preparation.lines.join("\n")),
        (LEVERS_UP, levers(Lever::Up)),
        (LEVERS_DOWN, levers(Lever::Down)),
    ];
    if fields.iter().all(|(_, text)| text.is_empty()) {
        return;
    }
    xml.within("miscellaneous", &[], |xml| {
        for (name, text) in fields.iter().filter(|(_, text)| !text.is_empty()) {
            xml.text_with("miscellaneous-field", &[("name", name)], text);
        }
    });
}

/// Strings by what they sound: "F#4 C#5".
fn named(strings: &[LeverString], wanted: Lever) -> String {
    let names: Vec<String> = strings.iter().filter(|s| s.lever == wanted).map(|s| s.sounds.to_string()).collect();
    names.join(" ")
}

/// One harp; program 47 is the orchestral harp of General MIDI, counted from 1 as the standard wants it.
fn part(xml: &mut Xml) {
    xml.within("score-part", &[("id", &PART)], |xml| {
        xml.text_with("part-name", &[("print-object", &"no")], "Harp");
        xml.within("score-instrument", &[("id", &"P1-I1")], |xml| {
            xml.text("instrument-name", "Harp");
            xml.text("instrument-sound", "pluck.harp");
        });
        xml.within("midi-instrument", &[("id", &"P1-I1")], |xml| {
            xml.text("midi-channel", 1);
            xml.text("midi-program", 47);
        });
    });
}
