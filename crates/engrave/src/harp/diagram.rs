//! The pedal diagram: seven short strokes on a line, D C B, a long divider, E F G A (harp facts 1.5). A stroke above the line is flat, on it natural, below
//! it sharp: the shapes of SMuFL's harpPedalRaised, -Centered, -Lowered and -Divider, which the music font of these pages does not have.

use crate::drawing::{Ends, Fill, Group, Path, Shape, Stroke};
use crate::font::Segment;

/// Places of the pedals' letters among C D E F G A B, left foot and right foot.
const LEFT: [usize; 3] = [1, 0, 6];
const RIGHT: [usize; 4] = [2, 3, 4, 5];

/// From one stroke to the next, in parts of the em of the letters beside it.
const STEP: f64 = 0.3;
/// Half the length of a stroke.
const HALF: f64 = 0.2;

/// The accidental; `natural` where there is none.
pub(crate) fn sign(alter: i32, natural: &str) -> &str {
    match alter {
        0 => natural,
        a if a < 0 => "♭",
        _ => "♯",
    }
}

/// "D C B♭ | E♭ F G A".
pub(crate) fn letters(alters: &[i32; 7]) -> String {
    let names = |steps: &[usize]| {
        let name = |s: &usize| format!("{}{}", &"CDEFGAB"[*s..=*s], sign(alters[*s], ""));
        steps.iter().map(name).collect::<Vec<_>>().join(" ")
    };
    format!("{} | {}", names(&LEFT), names(&RIGHT))
}

/// How wide the diagram is beside letters of this em.
pub(crate) fn width(em: f64) -> f64 {
    9.0 * STEP * em
}

/// The diagram with its line's left end at a place.
pub(crate) fn draw(alters: &[i32; 7], em: f64, x: f64, y: f64) -> Shape {
    let stroke = |x: f64, top: f64, bottom: f64, width: f64| line((x, top), (x, bottom), width * em);
    let mut shapes = vec![line((x, y), (x + width(em), y), 0.05 * em)];
    let places = (1..=3).chain(5..=8).zip(LEFT.iter().chain(&RIGHT));
    for (place, step) in places {
        let middle = y + f64::from(alters[*step]) * (HALF + 0.02) * em;
        shapes.push(stroke(x + f64::from(place) * STEP * em, middle - HALF * em, middle + HALF * em, 0.11));
    }
    shapes.push(stroke(x + 4.0 * STEP * em, y - 0.5 * em, y + 0.5 * em, 0.06));
    Shape::Group(Group { class: "pedals".into(), shapes, ..Group::default() })
}

fn line(from: (f64, f64), to: (f64, f64), width: f64) -> Shape {
    let segments = vec![Segment::Move(from.0, from.1), Segment::Line(to.0, to.1)];
    Shape::Path(Path { segments, stroke: Some(Stroke { width, ends: Ends::Flat, dash: None }), fill: Fill::Empty })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Harp facts 9, example 3: E major is D♯ C♯ B | E F♯ G♯ A.
    #[test]
    fn letters_stand_in_the_order_of_the_pedals() {
        let e_major = [1, 1, 0, 1, 1, 0, 0];
        assert_eq!(letters(&e_major), "D♯ C♯ B | E F♯ G♯ A");
    }

    /// Harp facts 1.5: above the line flat, below it sharp.
    #[test]
    fn flat_is_above_the_line_and_sharp_below() {
        let Shape::Group(group) = draw(&[0, 1, -1, 0, 0, 0, 0], 100.0, 0.0, 0.0) else { panic!("a group") };
        let middle = |i: usize| group.shapes[i].ink().map(|ink| (ink[1] + ink[3]) / 2.0).expect("ink");
        // The line, then D (sharp) and, after C and B, E (flat).
        assert!(middle(1) > 15.0 && middle(4) < -15.0);
        assert!(middle(2).abs() < 0.01);
    }
}
