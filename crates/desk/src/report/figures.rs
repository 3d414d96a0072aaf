//! A figure's pattern in a line of text.

use arrange::figures::{Figure, Fits, Stroke};

/// The first pattern of a figure, behind its meter.
pub fn pattern(figure: &Figure) -> String {
    let Some(first) = figure.patterns.first() else { return String::new() };
    let meter = match first.fits {
        Fits::Meter(above, below) => format!("{above}/{below}"),
        Fits::Half => "half a measure".into(),
    };
    let strokes: Vec<String> = first.strokes.iter().map(stroke).collect();
    format!("{meter}: {}", strokes.join(" "))
}

fn stroke(stroke: &Stroke) -> String {
    let tones: Vec<String> = stroke.tones.iter().map(|t| t.sign()).collect();
    let together = match tones.len() {
        0 => "rest".to_owned(),
        1 => tones[0].clone(),
        _ => format!("{}[{}]", if stroke.rolled { "~" } else { "" }, tones.join(" ")),
    };
    format!("{together}({})", crate::wishes::tempo::value(stroke.length))
}
