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
    let rungs: Vec<String> = stroke.rungs.iter().map(u8::to_string).collect();
    let together = match rungs.len() {
        0 => "rest".to_owned(),
        1 => rungs[0].clone(),
        _ => format!("{}[{}]", if stroke.rolled { "~" } else { "" }, rungs.join(" ")),
    };
    format!("{together}({})", crate::wishes::tempo::value(stroke.length))
}
