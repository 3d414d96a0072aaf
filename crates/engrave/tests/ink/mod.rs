//! The ink of a page, read back from its SVG: every glyph as a box, every drawn line as straight pieces, each with the groups it stands in.
//!
//! Only what the engraver writes is understood: paths in absolute M, L, C and Z, glyphs used from the definitions, translate, scale and rotate.

use roxmltree::{Document, Node};
use std::collections::BTreeMap;

/// Left, top, right, bottom, in page units.
pub type Ink = [f64; 4];

/// One drawn thing.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// The classes of the groups it stands in, the innermost last.
    pub classes: Vec<String>,
    /// A number for the innermost group with a class: things of one group share it.
    pub group: usize,
    pub shape: Shape,
}

#[derive(Clone, Debug)]
pub enum Shape {
    Glyph(Ink),
    Lines(Vec<(Point, Point)>),
}

pub type Point = (f64, f64);

impl Shape {
    pub fn ink(&self) -> Ink {
        match self {
            Shape::Glyph(ink) => *ink,
            Shape::Lines(lines) => bounds(lines),
        }
    }
}

/// x' = a x + c y + e, y' = b x + d y + f.
#[derive(Clone, Copy)]
struct Matrix([f64; 6]);

impl Matrix {
    fn then(self, inner: Matrix) -> Matrix {
        let (Matrix([a, b, c, d, e, f]), Matrix([g, h, i, j, k, l])) = (self, inner);
        Matrix([a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * l + e, b * k + d * l + f])
    }

    fn of(&self, (x, y): Point) -> Point {
        let Matrix([a, b, c, d, e, f]) = *self;
        (a * x + c * y + e, b * x + d * y + f)
    }
}

/// Everything drawn on a page.
pub fn drawn(svg: &str) -> Vec<Drawn> {
    let document = Document::parse(svg).expect("the page is XML");
    let defs = document.descendants().find(|n| n.has_tag_name("defs")).expect("the page defines its glyphs");
    let outlines = defs.children().filter(Node::is_element);
    let glyphs = outlines.map(|n| (n.attribute("id").unwrap_or_default(), bounds(&flattened(n.attribute("d").unwrap_or_default()))));
    let mut reader = Reader { glyphs: glyphs.collect(), found: Vec::new(), groups: 0 };
    let page = document.root_element().children().filter(|n| n.has_tag_name("g"));
    page.for_each(|g| reader.group(g, Matrix([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]), &[], 0));
    reader.found
}

struct Reader<'a> {
    glyphs: BTreeMap<&'a str, Ink>,
    found: Vec<Drawn>,
    groups: usize,
}

impl Reader<'_> {
    fn group(&mut self, node: Node, outer: Matrix, classes: &[String], group: usize) {
        let matrix = node.attribute("transform").map_or(outer, |t| outer.then(transform(t)));
        let mut classes = classes.to_vec();
        let mut group = group;
        if let Some(class) = node.attribute("class") {
            classes.push(class.to_owned());
            self.groups += 1;
            group = self.groups;
        }
        for child in node.children().filter(Node::is_element) {
            let shape = match child.tag_name().name() {
                "g" => {
                    self.group(child, matrix, &classes, group);
                    continue;
                }
                "use" => self.glyph(child, matrix),
                _ => {
                    let lines = flattened(child.attribute("d").unwrap_or_default());
                    Shape::Lines(lines.into_iter().map(|(a, b)| (matrix.of(a), matrix.of(b))).collect())
                }
            };
            self.found.push(Drawn { classes: classes.clone(), group, shape });
        }
    }

    fn glyph(&self, node: Node, outer: Matrix) -> Shape {
        let matrix = node.attribute("transform").map_or(outer, |t| outer.then(transform(t)));
        let x: f64 = node.attribute("x").map_or(0.0, |x| x.parse().expect("a number"));
        let name = node.attribute("href").unwrap_or_default().trim_start_matches('#');
        let [left, top, right, bottom] = self.glyphs[name];
        let corners = [(left + x, top), (right + x, top), (left + x, bottom), (right + x, bottom)].map(|p| matrix.of(p));
        Shape::Glyph(bounds(&corners.map(|c| (c, c))))
    }
}

fn bounds(lines: &[(Point, Point)]) -> Ink {
    let points = lines.iter().flat_map(|(a, b)| [*a, *b]);
    points.fold([f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY], |ink, (x, y)| {
        [ink[0].min(x), ink[1].min(y), ink[2].max(x), ink[3].max(y)]
    })
}

fn numbers(text: &str) -> Vec<f64> {
    let words = text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    words.filter_map(|w| w.parse().ok()).collect()
}

fn transform(text: &str) -> Matrix {
    let mut all = Matrix([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
    for part in text.split_inclusive(')') {
        let (name, rest) = part.split_once('(').expect("a transform");
        let v = numbers(rest);
        all = all.then(match name.trim() {
            "translate" => Matrix([1.0, 0.0, 0.0, 1.0, v[0], v[1]]),
            "scale" => Matrix([v[0], 0.0, 0.0, *v.get(1).unwrap_or(&v[0]), 0.0, 0.0]),
            "rotate" => {
                let (sin, cos) = v[0].to_radians().sin_cos();
                let (x, y) = (v[1], v[2]);
                Matrix([cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y])
            }
            other => panic!("an unknown transform {other}"),
        });
    }
    all
}

/// Path data as straight pieces.
fn flattened(data: &str) -> Vec<(Point, Point)> {
    let (mut lines, mut start, mut last) = (Vec::new(), (0.0, 0.0), (0.0, 0.0));
    let starts: Vec<usize> = data.char_indices().filter(|(_, c)| c.is_ascii_alphabetic()).map(|(i, _)| i).collect();
    for (n, at) in starts.iter().enumerate() {
        let piece = &data[*at..starts.get(n + 1).copied().unwrap_or(data.len())];
        let v = numbers(&piece[1..]);
        match &piece[..1] {
            "M" => (start, last) = ((v[0], v[1]), (v[0], v[1])),
            "L" => {
                lines.push((last, (v[0], v[1])));
                last = (v[0], v[1]);
            }
            "C" => {
                let from = last;
                for i in 1..=16 {
                    let (t, u) = (f64::from(i) / 16.0, 1.0 - f64::from(i) / 16.0);
                    let at = |p: f64, a: f64, b: f64, q: f64| u * u * u * p + 3.0 * u * u * t * a + 3.0 * u * t * t * b + t * t * t * q;
                    let next = (at(from.0, v[0], v[2], v[4]), at(from.1, v[1], v[3], v[5]));
                    lines.push((last, next));
                    last = next;
                }
            }
            _ => {
                lines.push((last, start));
                last = start;
            }
        }
    }
    lines
}

/// Whether two drawn things touch.
pub fn touch(a: &Shape, b: &Shape) -> bool {
    match (a, b) {
        (Shape::Glyph(a), Shape::Glyph(b)) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3],
        (Shape::Glyph(ink), Shape::Lines(lines)) | (Shape::Lines(lines), Shape::Glyph(ink)) => lines.iter().any(|l| enters(*l, *ink)),
        (Shape::Lines(a), Shape::Lines(b)) => a.iter().any(|a| b.iter().any(|b| cross(*a, *b))),
    }
}

/// Whether a straight piece has a point inside a box (the box's own edges do not count).
fn enters((a, b): (Point, Point), [left, top, right, bottom]: Ink) -> bool {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for (start, delta, low, high) in [(a.0, b.0 - a.0, left, right), (a.1, b.1 - a.1, top, bottom)] {
        if delta.abs() < 1e-9 {
            if start <= low || start >= high {
                return false;
            }
            continue;
        }
        let (t1, t2) = ((low - start) / delta, (high - start) / delta);
        (from, to) = (from.max(t1.min(t2)), to.min(t1.max(t2)));
    }
    from < to
}

fn cross((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
