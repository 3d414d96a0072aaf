//! Signs at a note: slurs, fermatas, articulations, ornaments, bowings, dynamics; and its words.
//!
//! Signs the model has no name for are kept by their MusicXML element name.

use super::element::{Element, children, text};
use super::lyrics;
use super::remarks::Remarks;
use crate::diagnostic::excerpt;
use music::{Decoration, Note};

/// The most signs that are kept at one note.
const MOST_SIGNS: usize = 32;

/// What becomes of fingering.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Fingering {
    /// A melody has none; it is said.
    LeftOut,
    /// The caller reads it.
    ReadElsewhere,
}

/// Adds what stands at one note (or chord note) to the note of the line.
pub fn put(element: Element, note: &mut Note, fingering: Fingering, remarks: &mut Remarks) {
    for notations in children(element, "notations") {
        for sign in notations.children().filter(|c| c.is_element()) {
            sign_of(sign, note, fingering, remarks);
        }
    }
    lyrics::put(element, note, remarks);
}

fn sign_of(sign: Element, note: &mut Note, fingering: Fingering, remarks: &mut Remarks) {
    match sign.tag_name().name() {
        "tied" | "tuplet" | "accidental-mark" => {}
        "slur" => match sign.attribute("type") {
            Some("start") => note.slurs_start = note.slurs_start.saturating_add(1),
            Some("stop") => note.slurs_stop = note.slurs_stop.saturating_add(1),
            _ => {}
        },
        "articulations" | "ornaments" => {
            for inner in sign.children().filter(|c| c.is_element()) {
                decorate(note, named(inner));
            }
        }
        "technical" => technical(sign, note, fingering, remarks),
        "fermata" => decorate(note, Some(Decoration::Fermata)),
        "arpeggiate" if note.pitches.len() > 1 => note.rolled = true,
        "arpeggiate" => {}
        "dynamics" => dynamics(sign).into_iter().for_each(|d| decorate(note, Some(d))),
        "other-notation" => decorate(note, Some(Decoration::Other(text(sign)))),
        name if sign.attribute("type") != Some("stop") => decorate(note, Some(Decoration::Other(name.to_owned()))),
        _ => {}
    }
}

/// Signs of other instruments' playing technique mean nothing to a harp; the bowings are kept by name.
fn technical(sign: Element, note: &mut Note, fingering: Fingering, remarks: &mut Remarks) {
    for inner in sign.children().filter(|c| c.is_element()) {
        match inner.tag_name().name() {
            "up-bow" => decorate(note, Some(Decoration::UpBow)),
            "down-bow" => decorate(note, Some(Decoration::DownBow)),
            "fingering" if fingering == Fingering::ReadElsewhere => {}
            name => remarks.note(inner, format!("the playing sign \"{}\" of another instrument is left out", excerpt(name)), ""),
        }
    }
}

fn decorate(note: &mut Note, decoration: Option<Decoration>) {
    if let Some(decoration) = decoration.filter(|d| note.decorations.len() < MOST_SIGNS && !note.decorations.contains(d)) {
        note.decorations.push(decoration);
    }
}

fn named(sign: Element) -> Option<Decoration> {
    Some(match sign.tag_name().name() {
        "staccato" => Decoration::Staccato,
        "tenuto" => Decoration::Tenuto,
        "accent" => Decoration::Accent,
        "strong-accent" => Decoration::Marcato,
        "breath-mark" => Decoration::Breath,
        "trill-mark" => Decoration::Trill,
        "turn" => Decoration::Turn,
        "mordent" => Decoration::Mordent,
        "inverted-mordent" => Decoration::InvertedMordent,
        "accidental-mark" => return None,
        "wavy-line" if sign.attribute("type") != Some("start") => return None,
        name => Decoration::Other(name.to_owned()),
    })
}

/// The dynamics in a `dynamics` element, by their names.
pub fn dynamics(element: Element) -> Vec<Decoration> {
    let name = |mark: Element| match mark.tag_name().name() {
        "other-dynamics" => text(mark),
        name => name.to_owned(),
    };
    let marks = element.children().filter(|c| c.is_element()).map(name);
    marks.filter(|m| !m.is_empty()).map(Decoration::Dynamic).collect()
}
