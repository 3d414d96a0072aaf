//! Small strokes of a sheet: the pen that blocks are drawn with.

use crate::drawing::{Item, Stands, Style};

/// What has been drawn so far.
#[derive(Default)]
pub struct Pen {
    pub items: Vec<Item>,
}

/// How words look.
#[derive(Clone, Copy)]
pub struct Hand {
    pub points: f64,
    pub style: Style,
    pub stands: Stands,
    pub most: Option<f64>,
}

impl Hand {
    pub fn plain(points: f64) -> Hand {
        Hand { points, style: Style::Plain, stands: Stands::Left, most: None }
    }

    pub fn bold(points: f64) -> Hand {
        Hand { style: Style::Bold, ..Hand::plain(points) }
    }

    pub fn italic(points: f64) -> Hand {
        Hand { style: Style::Italic, ..Hand::plain(points) }
    }

    pub fn middle(self) -> Hand {
        Hand { stands: Stands::Middle, ..self }
    }

    pub fn right(self) -> Hand {
        Hand { stands: Stands::Right, ..self }
    }

    pub fn within(self, most: f64) -> Hand {
        Hand { most: Some(most), ..self }
    }
}

/// Millimetres of a printer's point.
pub const POINT: f64 = 25.4 / 72.0;

/// About how wide words are, in millimetres: the letters of the page's face are half as wide as they are tall on average.
pub fn about(text: &str, points: f64) -> f64 {
    text.chars().count() as f64 * points * POINT * 0.5
}

/// How wide a chord symbol is in bold letters, in millimetres: a little more than it takes.
pub fn chord_width(text: &str, points: f64) -> f64 {
    let em = |c: char| match c {
        'm' => 0.85,
        'A'..='Z' => 0.73,
        '♯' | '♭' => 0.64,
        '/' | '(' | ')' => 0.34,
        _ => 0.52,
    };
    text.chars().map(em).sum::<f64>() * points * POINT
}

impl Pen {
    pub fn words(&mut self, at: (f64, f64), text: impl Into<String>, hand: Hand) {
        let Hand { points, style, stands, most } = hand;
        let text = text.into();
        if !text.is_empty() {
            self.items.push(Item::Words { at, text, points, style, stands, most });
        }
    }

    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64) {
        self.items.push(Item::Line { from, to, width, dashed: false });
    }

    pub fn dashed(&mut self, from: (f64, f64), to: (f64, f64), width: f64) {
        self.items.push(Item::Line { from, to, width, dashed: true });
    }

    pub fn dot(&mut self, at: (f64, f64), radius: f64) {
        self.items.push(Item::Dot { at, radius, filled: true });
    }

    pub fn ring(&mut self, at: (f64, f64), radius: f64) {
        self.items.push(Item::Dot { at, radius, filled: false });
    }

    pub fn frame(&mut self, left_top: (f64, f64), right_bottom: (f64, f64), width: f64) {
        self.items.push(Item::Frame { left_top, right_bottom, width });
    }

    /// How full: six small signs, as many of them filled.
    pub fn fullness(&mut self, (x, y): (f64, f64), level: u8, radius: f64) {
        for sign in 0..6 {
            let at = (x + f64::from(sign) * radius * 2.7, y);
            if sign < level { self.dot(at, radius) } else { self.ring(at, radius * 0.88) }
        }
    }
}
