//! A sheet of the desk as the engraver takes it.

use desk::drawing::{Item, Sheet, Stands, Style};
use engrave::sheet as drawn;

/// The same sheet.
pub fn engraved(sheet: &Sheet) -> drawn::Sheet {
    drawn::Sheet {
        title: sheet.title.clone(),
        author: sheet.author.clone(),
        paper: sheet.paper,
        items: sheet.items.iter().map(item).collect(),
    }
}

fn item(item: &Item) -> drawn::Item {
    match item.clone() {
        Item::Words { at, text, points, style, stands, most } => {
            let style = match style {
                Style::Plain => drawn::Style::Plain,
                Style::Bold => drawn::Style::Bold,
                Style::Italic => drawn::Style::Italic,
            };
            let stands = match stands {
                Stands::Left => drawn::Stands::Left,
                Stands::Middle => drawn::Stands::Middle,
                Stands::Right => drawn::Stands::Right,
            };
            drawn::Item::Words(drawn::Words { at, text, points, style, stands, most })
        }
        Item::Line { from, to, width, dashed } => {
            let dashed = if dashed { drawn::Dashed::Yes } else { drawn::Dashed::No };
            drawn::Item::Line { from, to, width, dashed }
        }
        Item::Dot { at, radius, filled } => {
            let inside = if filled { drawn::Inside::Filled } else { drawn::Inside::Empty };
            drawn::Item::Dot { at, radius, inside }
        }
        Item::Frame { left_top, right_bottom, width } => drawn::Item::Frame { left_top, right_bottom, width },
        Item::Music { at, staff, most, musicxml } => drawn::Item::Music { at, staff, most, musicxml },
    }
}
