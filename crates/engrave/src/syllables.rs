//! Words under the notes, set apart by the letters that are really drawn, and hyphens in the middle between their syllables.
//!
//! The engraving library reckons with letters of its own: beside ours, which are moved off bar lines too (`clear`), words run into each other and hyphens into
//! words. Neighbours on one line of words push each other apart a little, half each, as far as bar lines leave room; a hyphen without room is left out, for its
//! syllables then stand as one word.

use crate::drawing::{Group, Ink, Shape};
use crate::font::Segment;
use crate::parse::{Span, System};

/// Least distance of two words, of two syllables with a hyphen between them, and of two without one, in library units.
const WORDS: f64 = 100.0;
const HYPHEN: f64 = 160.0;
const SYLLABLES: f64 = 20.0;
/// Least distance from a bar line, and the farthest that a syllable is moved from where its note has it.
const BAR: f64 = 40.0;
const FARTHEST: f64 = 160.0;
/// How often neighbours push each other.
const ROUNDS: usize = 6;

/// One syllable with its hyphens.
struct Word {
    y: f64,
    ink: Ink,
    hyphens: usize,
    /// How far it may go to the left and to the right, and how far it has gone.
    room: (f64, f64),
    moved: f64,
}

impl Word {
    fn left(&self) -> f64 {
        self.ink[0] + self.moved
    }

    fn right(&self) -> f64 {
        self.ink[2] + self.moved
    }
}

/// Sets the words of a system apart.
pub(crate) fn set(system: &mut System) {
    let mut words = Vec::new();
    system.each_measure(|group, span| each(group, &mut |syllable| words.extend(word(syllable, span))));
    let lines = lines(&words);
    for line in &lines {
        for _ in 0..ROUNDS {
            line.windows(2).for_each(|pair| push(&mut words, pair[0], pair[1]));
        }
    }
    let next = |index: usize| lines.iter().find_map(|line| Some(line[line.iter().position(|i| *i == index)? + 1..].first().copied()));
    let ends: Vec<Option<f64>> = (0..words.len()).map(|index| next(index).flatten().map(|after| words[after].left())).collect();
    let mut index = 0;
    system.each_measure(|group, span| {
        each(group, &mut |syllable| {
            if word(syllable, span).is_some() {
                place(syllable, &words[index], ends[index]);
                index += 1;
            }
        });
    });
}

fn each(group: &mut Group, visit: &mut impl FnMut(&mut Group)) {
    for shape in &mut group.shapes {
        let Shape::Group(inner) = shape else { continue };
        if inner.class == "syl" { visit(inner) } else { each(inner, visit) }
    }
}

/// `None` for a group without letters: what goes on from the line before.
fn word(syllable: &Group, span: &Span) -> Option<Word> {
    let (y, ink) = syllable.shapes.iter().find_map(|shape| match shape {
        Shape::Text(line) => line.ink().map(|ink| (line.y, ink)),
        _ => None,
    })?;
    let hyphens = syllable.shapes.iter().filter(|shape| is_hyphen(shape)).count();
    let room = |free: f64| free.clamp(0.0, FARTHEST);
    Some(Word { y, ink, hyphens, room: (room(ink[0] - span.left - BAR), room(span.right - BAR - ink[2])), moved: 0.0 })
}

/// A short filled bar; the line of a held syllable is longer.
fn is_hyphen(shape: &Shape) -> bool {
    matches!(shape, Shape::Path(_)) && shape.ink().is_some_and(|ink| ink[2] - ink[0] < 200.0)
}

/// The words of each line, from left to right.
fn lines(words: &[Word]) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..words.len()).collect();
    order.sort_by(|a, b| words[*a].y.total_cmp(&words[*b].y).then(words[*a].ink[0].total_cmp(&words[*b].ink[0])));
    order.chunk_by(|a, b| (words[*a].y - words[*b].y).abs() < 1.0).map(<[usize]>::to_vec).collect()
}

fn push(words: &mut [Word], before: usize, after: usize) {
    let wanted = if words[before].hyphens > 0 { HYPHEN } else { WORDS };
    let lack = wanted - (words[after].left() - words[before].right());
    if lack <= 0.0 {
        return;
    }
    let back = (lack / 2.0).min(words[before].room.0 + words[before].moved).max(0.0);
    let on = (lack - back).min(words[after].room.1 - words[after].moved).max(0.0);
    words[before].moved -= back;
    words[after].moved += on;
}

/// Moves a syllable, and its hyphens to the middle of what is free up to the next one; at the end of a line they stay.
fn place(syllable: &mut Group, word: &Word, next: Option<f64>) {
    for shape in &mut syllable.shapes {
        if let Shape::Text(line) = shape {
            line.x += word.moved;
        }
    }
    let Some(next) = next.filter(|_| word.hyphens > 0) else { return };
    let free = next - word.right();
    let width =
        syllable.shapes.iter().filter(|shape| is_hyphen(shape)).filter_map(Shape::ink).map(|ink| ink[2] - ink[0]).fold(0.0, f64::max);
    if free < width + 2.0 * SYLLABLES {
        syllable.shapes.retain(|shape| !is_hyphen(shape));
        return;
    }
    let hyphens = syllable.shapes.iter_mut().filter(|shape| is_hyphen(shape));
    for (number, shape) in hyphens.enumerate() {
        let middle = word.right() + free * (number + 1) as f64 / (word.hyphens + 1) as f64;
        let by = shape.ink().map_or(0.0, |ink| middle - (ink[0] + ink[2]) / 2.0);
        move_right(shape, by);
    }
}

fn move_right(shape: &mut Shape, by: f64) {
    let Shape::Path(path) = shape else { return };
    for segment in &mut path.segments {
        match segment {
            Segment::Move(x, _) | Segment::Line(x, _) => *x += by,
            Segment::Curve([a, _, b, _, c, _]) => [a, b, c].into_iter().for_each(|x| *x += by),
            Segment::Close => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Fill, Path};
    use crate::face::Face;
    use crate::text::{Anchor, Run, TextLine};

    fn hyphen(x: f64) -> Shape {
        let corners = [Segment::Move(x, -100.0), Segment::Line(x + 90.0, -100.0), Segment::Line(x + 90.0, -80.0), Segment::Close];
        Shape::Path(Path { segments: corners.to_vec(), stroke: None, fill: Fill::Solid })
    }

    fn syllable(text: &str, x: f64, hyphens: &[f64]) -> Shape {
        let line = TextLine { x, y: 0.0, anchor: Anchor::Start, runs: vec![Run::new(text, Face::Regular, 400.0)] };
        let shapes = [Shape::Text(line)].into_iter().chain(hyphens.iter().map(|x| hyphen(*x))).collect();
        Shape::Group(Group { class: "syl".into(), shapes, ..Group::default() })
    }

    /// The inks of the syllables and of the hyphens of one measure, set apart.
    fn after(shapes: Vec<Shape>) -> (Vec<Ink>, Vec<Ink>) {
        let measure = Group { class: "measure".into(), shapes, ..Group::default() };
        let group = Group { class: "system".into(), shapes: vec![Shape::Group(measure)], ..Group::default() };
        let span = Span { id: None, left: 1000.0, right: 9000.0, top: 0.0, bottom: 720.0 };
        let mut system = System { group, ink: [0.0; 4], measures: vec![span] };
        set(&mut system);
        let (mut words, mut hyphens) = (Vec::new(), Vec::new());
        each(&mut system.group, &mut |group| {
            for shape in &group.shapes {
                if is_hyphen(shape) { hyphens.extend(shape.ink()) } else { words.extend(shape.ink()) }
            }
        });
        (words, hyphens)
    }

    fn middle(ink: Ink) -> f64 {
        (ink[0] + ink[2]) / 2.0
    }

    #[test]
    fn a_hyphen_stands_in_the_middle_and_several_share_the_way() {
        let (words, hyphens) =
            after(vec![syllable("har", 2000.0, &[2500.0]), syllable("bour", 3500.0, &[4100.0, 4200.0]), syllable("ed", 6000.0, &[])]);
        let free = |n: usize| words[n + 1][0] - words[n][2];
        assert!((middle(hyphens[0]) - (words[0][2] + words[1][0]) / 2.0).abs() < 1.0);
        assert!(
            (middle(hyphens[1]) - words[1][2] - free(1) / 3.0).abs() < 1.0
                && (words[2][0] - middle(hyphens[2]) - free(1) / 3.0).abs() < 1.0
        );
    }

    #[test]
    fn neighbours_push_each_other_apart_and_a_hyphen_has_room() {
        let (words, hyphens) = after(vec![syllable("cud", 2000.0, &[2400.0]), syllable("dle", 2560.0, &[]), syllable("up", 3000.0, &[])]);
        assert!(words.windows(2).all(|pair| pair[1][0] - pair[0][2] > WORDS - 15.0), "{words:?}");
        assert!(hyphens[0][0] > words[0][2] && hyphens[0][2] < words[1][0], "{hyphens:?} between {words:?}");
    }

    #[test]
    fn where_there_is_no_room_the_syllables_stand_as_one_word() {
        let (_, hyphens) =
            after(vec![syllable("through", 1040.0, &[1900.0]), syllable("through", 1900.0, &[]), syllable("through", 2800.0, &[])]);
        assert_eq!(hyphens, Vec::<Ink>::new());
    }
}
