//! Bar lines, repeats and ending brackets.

use super::xml::Xml;
use music::{Barline, Ending, Frame};

/// Writes the left bar line of a measure where it is more than a plain one.
pub fn left(xml: &mut Xml, frame: &Frame) {
    let ending = frame.ending.as_ref().filter(|e| e.starts);
    let style = if frame.repeat_start { Some("heavy-light") } else { style(frame.left) };
    if style.is_none() && ending.is_none() {
        return;
    }
    xml.within("barline", &[("location", &"left")], |xml| {
        style.iter().for_each(|s| xml.text("bar-style", s));
        ending.iter().for_each(|e| bracket(xml, e, "start"));
        if frame.repeat_start {
            xml.empty("repeat", &[("direction", &"forward")]);
        }
    });
}

/// Where a measure stands in the piece: the last one ends in a final bar line if it has no other.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    Inside,
    Last,
}

/// Writes the right bar line of a measure where it is more than a plain one.
pub fn right(xml: &mut Xml, frame: &Frame, standing: Standing) {
    let ending = frame.ending.as_ref().filter(|e| e.stops);
    let style = match (frame.repeat_end, frame.right, standing) {
        (Some(_), ..) | (_, Barline::Plain, Standing::Last) => Some("light-heavy"),
        (None, Barline::None, _) => Some("none"),
        (None, other, _) => style(other),
    };
    if style.is_none() && ending.is_none() {
        return;
    }
    xml.within("barline", &[("location", &"right")], |xml| {
        style.iter().for_each(|s| xml.text("bar-style", s));
        // A bracket that leads on is left open; before a repeat or a heavy line it has its hook.
        ending.iter().for_each(|e| bracket(xml, e, if style.is_some() { "stop" } else { "discontinue" }));
        match frame.repeat_end {
            Some(2) => xml.empty("repeat", &[("direction", &"backward")]),
            Some(times) => xml.empty("repeat", &[("direction", &"backward"), ("times", &times.max(1))]),
            None => {}
        }
    });
}

fn style(barline: Barline) -> Option<&'static str> {
    match barline {
        Barline::None | Barline::Plain => None,
        Barline::Double => Some("light-light"),
        Barline::Final => Some("light-heavy"),
        Barline::Dotted => Some("dotted"),
    }
}

fn bracket(xml: &mut Xml, ending: &Ending, kind: &str) {
    let numbers: Vec<String> = ending.passes.iter().filter(|p| **p > 0).map(u32::to_string).collect();
    let text: Vec<String> = numbers.iter().map(|n| format!("{n}.")).collect();
    let number = numbers.join(", ");
    match kind {
        "start" => xml.text_with("ending", &[("number", &number), ("type", &kind)], text.join(" ")),
        _ => xml.empty("ending", &[("number", &number), ("type", &kind)]),
    }
}
