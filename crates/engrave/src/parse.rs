//! The engraving library's SVG → systems of shapes.
//!
//! Only what that library writes is understood (its drawing calls are few: lines, curves, polygons, ellipses, rectangles,
//! music signs, text); groups that nobody asks for are dissolved, so that pages stay small.

use crate::drawing::{Ends, Fill, Group, Ink, Path, Shape, Sign, Stroke, Transform};
use crate::error::EngraveError;
use crate::face::Face;
use crate::font::{Segment, quadratic};
use crate::lettering::{self, RawRun, RawText};
use crate::rewrite::ITALIC;
use crate::text::Anchor;
use roxmltree::Node;
use std::collections::BTreeSet;

/// One line of music across the page.
#[derive(Clone, Debug)]
pub(crate) struct System {
    pub group: Group,
    pub ink: Ink,
    pub measures: Vec<Span>,
}

impl System {
    /// The height of the uppermost staff line.
    pub fn place(&self) -> f64 {
        self.measures.first().map_or(self.ink[1], |m| m.top)
    }

    /// The drawn group of each measure with where it stands.
    pub fn each_measure(&mut self, mut visit: impl FnMut(&mut Group, &Span)) {
        let groups = self.group.shapes.iter_mut().filter_map(|shape| match shape {
            Shape::Group(group) if group.class == "measure" => Some(group),
            _ => None,
        });
        groups.zip(&self.measures).for_each(|(group, span)| visit(group, span));
    }
}

/// Where a measure stands in its system: the ends of its staff lines, the top and the bottom line.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Span {
    pub id: Option<String>,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// Classes of groups that are kept; all others are dissolved into what they hold.
const KEPT: [&str; 17] = [
    "measure",
    "staff",
    "note",
    "chord",
    "rest",
    "harm",
    "tempo",
    "dir",
    "dynam",
    "reh",
    "ending",
    "repeatMark",
    "fermata",
    "fing",
    "syl",
    "mNum",
    "arpeg",
];

/// The systems of one page as the library drew it. `ids` are those of the source; other ids are dropped.
pub(crate) fn systems(svg: &str, ids: &BTreeSet<String>) -> Result<Vec<System>, EngraveError> {
    let document = roxmltree::Document::parse(svg).map_err(|e| EngraveError::NoPage(e.to_string()))?;
    let reader = Reader { ids };
    let found = document.descendants().filter(|n| class(*n) == "system");
    found.map(|node| reader.system(node)).collect()
}

fn class<'a>(node: Node<'a, '_>) -> &'a str {
    node.attribute("class").and_then(|c| c.split(' ').next()).unwrap_or_default()
}

struct Reader<'a> {
    ids: &'a BTreeSet<String>,
}

impl Reader<'_> {
    fn system(&self, node: Node) -> Result<System, EngraveError> {
        let mut shapes = Vec::new();
        self.children(node, "system", &mut shapes);
        let group = Group { class: "system".into(), shapes: joined(shapes), ..Group::default() };
        let ink = group.ink().ok_or_else(|| EngraveError::NoPage("a system without ink".into()))?;
        let measures = node.descendants().filter(|n| class(*n) == "measure").filter_map(|n| self.span(n)).collect();
        Ok(System { group, ink, measures })
    }

    fn span(&self, measure: Node) -> Option<Span> {
        let staves = measure.children().filter(|n| class(*n) == "staff");
        let lines = staves.flat_map(|s| s.children().filter(|n| n.has_tag_name("path")).filter_map(|n| n.attribute("d")));
        let inks = lines.filter_map(|d| Path { segments: segments(d), stroke: None, fill: Fill::Empty }.bounds());
        let [left, top, right, bottom] = inks.reduce(crate::drawing::join)?;
        Some(Span { id: self.id(measure), left, right, top, bottom })
    }

    fn id(&self, node: Node) -> Option<String> {
        node.attribute("id").filter(|id| self.ids.contains(*id)).map(str::to_owned)
    }

    fn children(&self, node: Node, class: &str, out: &mut Vec<Shape>) {
        for child in node.children().filter(Node::is_element) {
            self.element(child, class, out);
        }
    }

    fn element(&self, node: Node, inherited: &str, out: &mut Vec<Shape>) {
        match node.tag_name().name() {
            "g" => self.group(node, inherited, out),
            "use" => out.extend(sign(node).map(Shape::Sign)),
            "text" => {
                let lines = lettering::lines(inherited, &raw_text(node));
                out.extend(lines.into_iter().map(Shape::Text));
            }
            _ => out.extend(path(node).map(Shape::Path)),
        }
    }

    fn group(&self, node: Node, inherited: &str, out: &mut Vec<Shape>) {
        let own = class(node);
        let italic = || node.attribute("class").is_some_and(|c| c.split(' ').any(|word| word == ITALIC));
        let named = match own {
            "harm" if italic() => lettering::ITALIC_CHORD,
            _ if lettering::decides(own) => own,
            _ => inherited,
        };
        let place = node.attribute("transform").map_or(Transform::Here, turned);
        let kept = KEPT.contains(&own) || place != Transform::Here;
        let mut shapes = Vec::new();
        self.children(node, named, &mut shapes);
        if shapes.is_empty() {
            return;
        }
        if kept {
            let group = Group { class: own.into(), id: self.id(node), place, shapes: joined(shapes) };
            out.push(Shape::Group(group));
        } else {
            out.extend(shapes);
        }
    }
}

impl Path {
    fn bounds(&self) -> Option<Ink> {
        Shape::Path(self.clone()).ink()
    }
}

/// Neighbouring unfilled paths with the same stroke become one path: the five lines of a staff, say.
fn joined(shapes: Vec<Shape>) -> Vec<Shape> {
    let mut out: Vec<Shape> = Vec::new();
    for shape in shapes {
        match (out.last_mut(), shape) {
            (Some(Shape::Path(last)), Shape::Path(next))
                if last.fill == Fill::Empty && next.fill == Fill::Empty && last.stroke == next.stroke =>
            {
                last.segments.extend(next.segments);
            }
            (_, shape) => out.push(shape),
        }
    }
    out
}

fn number(node: Node, name: &str) -> Option<f64> {
    node.attribute(name)?.trim_end_matches("px").parse().ok().filter(|v: &f64| v.is_finite())
}

/// The numbers in a text, whatever stands between them.
fn numbers(text: &str) -> Vec<f64> {
    let words = text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    words.filter_map(|w| w.parse().ok()).collect()
}

/// `rotate(degrees x,y)` or `translate(x, y)`.
fn turned(text: &str) -> Transform {
    match (text.starts_with("rotate"), numbers(text).as_slice()) {
        (true, &[degrees, x, y, ..]) => Transform::Turned { degrees, x, y },
        (false, &[x, y, ..]) => Transform::Shifted { x, y },
        _ => Transform::Here,
    }
}

/// `translate(x, y) scale(a, b)` of a sign named by its SMuFL code point; the em of the font is 1000 of these units.
fn sign(node: Node) -> Option<Sign> {
    let target = node.attribute(("http://www.w3.org/1999/xlink", "href")).or_else(|| node.attribute("href"))?;
    let code = target.trim_start_matches('#').split('-').next()?;
    let character = u32::from_str_radix(code, 16).ok().and_then(char::from_u32)?;
    let glyph = Face::Music.font().glyph(character)?;
    match numbers(node.attribute("transform")?).as_slice() {
        &[x, y, a, b, ..] => Some(Sign { glyph, x, y, width: a * 1000.0, height: b * 1000.0 }),
        _ => None,
    }
}

fn path(node: Node) -> Option<Path> {
    if node.attribute("opacity") == Some("0.0") {
        return None;
    }
    let segments = match node.tag_name().name() {
        "path" => segments(node.attribute("d")?),
        "polygon" | "polyline" => polygon(&numbers(node.attribute("points")?), node.tag_name().name() == "polygon"),
        "ellipse" => ellipse(number(node, "cx")?, number(node, "cy")?, number(node, "rx")?, number(node, "ry")?),
        "rect" => {
            let (x, y, w, h) = (number(node, "x")?, number(node, "y")?, number(node, "width")?, number(node, "height")?);
            polygon(&[x, y, x + w, y, x + w, y + h, x, y + h], true)
        }
        _ => return None,
    };
    let ends = if node.attribute("stroke-linecap") == Some("round") { Ends::Round } else { Ends::Flat };
    let dash = node.attribute("stroke-dasharray").map(numbers).and_then(|d| Some((*d.first()?, *d.get(1)?)));
    let stroke = number(node, "stroke-width").filter(|w| *w > 0.0).map(|width| Stroke { width, ends, dash });
    let straight = segments.len() == 2 && matches!(segments[1], Segment::Line(..));
    let none = node.attribute("fill") == Some("none") || number(node, "fill-opacity") == Some(0.0);
    let fill = if straight || none { Fill::Empty } else { Fill::Solid };
    Some(Path { segments, stroke, fill })
}

fn polygon(points: &[f64], closed: bool) -> Vec<Segment> {
    let mut out: Vec<Segment> = points.chunks_exact(2).map(|p| Segment::Line(p[0], p[1])).collect();
    if let Some(Segment::Line(x, y)) = out.first().copied() {
        out[0] = Segment::Move(x, y);
    }
    if closed {
        out.push(Segment::Close);
    }
    out
}

fn ellipse(cx: f64, cy: f64, rx: f64, ry: f64) -> Vec<Segment> {
    // The usual four cubic curves; the constant is 4/3 (√2 − 1).
    let (kx, ky) = (rx * 0.552_284_75, ry * 0.552_284_75);
    vec![
        Segment::Move(cx + rx, cy),
        Segment::Curve([cx + rx, cy + ky, cx + kx, cy + ry, cx, cy + ry]),
        Segment::Curve([cx - kx, cy + ry, cx - rx, cy + ky, cx - rx, cy]),
        Segment::Curve([cx - rx, cy - ky, cx - kx, cy - ry, cx, cy - ry]),
        Segment::Curve([cx + kx, cy - ry, cx + rx, cy - ky, cx + rx, cy]),
        Segment::Close,
    ]
}

/// Path data in absolute M, L, C, Q and Z, which is all that the library writes for drawn lines.
fn segments(data: &str) -> Vec<Segment> {
    let mut out = Vec::new();
    let mut at = (0.0, 0.0);
    let starts: Vec<usize> = data.char_indices().filter(|(_, c)| c.is_ascii_alphabetic()).map(|(i, _)| i).collect();
    for (n, &start) in starts.iter().enumerate() {
        let piece = &data[start..starts.get(n + 1).copied().unwrap_or(data.len())];
        let v = numbers(&piece[1..]);
        match piece.as_bytes()[0] {
            b'M' => out.extend(v.chunks_exact(2).map(|p| Segment::Move(p[0], p[1]))),
            b'L' => out.extend(v.chunks_exact(2).map(|p| Segment::Line(p[0], p[1]))),
            b'C' => out.extend(v.chunks_exact(6).map(|p| Segment::Curve([p[0], p[1], p[2], p[3], p[4], p[5]]))),
            b'Q' => out.extend(v.chunks_exact(4).map(|p| quadratic(at, (p[0], p[1]), (p[2], p[3])))),
            b'Z' | b'z' => out.push(Segment::Close),
            _ => out.extend(v.rchunks_exact(2).next().map(|p| Segment::Line(p[0], p[1]))),
        }
        if let [.., x, y] = v[..] {
            at = (x, y);
        }
    }
    out
}

/// The text's runs with what they inherit.
fn raw_text(node: Node) -> RawText {
    let anchor = |n: Node| n.attribute("text-anchor").map(anchor);
    let mut raw = RawText::default();
    collect(node, &RawRun::default(), &mut raw);
    if let Some(found) = node.descendants().find_map(anchor) {
        raw.anchor = found;
    }
    raw
}

fn anchor(text: &str) -> Anchor {
    match text {
        "middle" => Anchor::Middle,
        "end" => Anchor::End,
        _ => Anchor::Start,
    }
}

fn collect(node: Node, inherited: &RawRun, out: &mut RawText) {
    let mut run = inherited.clone();
    if let Some(size) = number(node, "font-size") {
        run.size = size;
    }
    run.bold = node.attribute("font-weight").map_or(run.bold, |w| Some(w == "bold"));
    run.italic = node.attribute("font-style").map_or(run.italic, |s| Some(s == "italic"));
    run.music |= node.attribute("font-family") == Some("Leipzig");
    run.x = number(node, "x").or(run.x);
    run.y = number(node, "y").or(run.y);
    for child in node.children() {
        if child.is_element() {
            collect(child, &run, out);
            // A place holds for the first run only; what follows goes on from there.
            continue;
        }
        let text = child.text().unwrap_or_default();
        if !text.is_empty() && run.size > 0.0 {
            out.runs.push(RawRun { text: text.replace('\u{a0}', " "), ..run.clone() });
        }
    }
}
