//! Chord symbols: `root`, `kind`, `degree`, `bass`, `inversion`; and chords by function or numeral, resolved in the key.
//!
//! The kinds and degrees are the model's own, because the model took them from the standard.

use super::element::{Element, child, child_text, child_whole, children, is_hidden, rounded, text};
use super::measure::PlacedHarmony;
use super::numeral;
use super::remarks::Remarks;
use crate::chord_text;
use crate::diagnostic::excerpt;
use music::{Chord, ChordKind, ChordSymbol, Degree, DegreeChange, Harmony, Interval, PitchName, Step};

/// The most changed degrees of one chord that are looked at.
const MOST_DEGREES: usize = 32;

/// One chord of a `harmony` element, which may hold several (V of II).
struct Group<'a> {
    head: Element<'a>,
    rest: Vec<Element<'a>>,
}

/// What the element asks for at sounding pitch; `None` where it is left out.
pub fn symbol(placed: &PlacedHarmony, remarks: &mut Remarks) -> Option<ChordSymbol> {
    let element = placed.element;
    if element.attribute("type") == Some("alternate") {
        remarks.note(element, "an alternate chord symbol is left out", "");
        return None;
    }
    let groups = groups(element);
    let Some(first) = groups.first() else {
        remarks.warn(element, "a chord symbol without a root is left out", "");
        return None;
    };
    let (kind, text_of_kind) = kind_of(first, remarks);
    if kind == KindFound::None {
        return Some(ChordSymbol { harmony: Harmony::NoChord, source: text_of_kind.filter(|t| !t.is_empty()).unwrap_or("N.C.".into()) });
    }
    let root = root_of(&groups, placed, remarks)?;
    let chord = chord(first, root, &kind, remarks);
    let source = source_text(first, &chord, text_of_kind.as_deref());
    Some(ChordSymbol { harmony: Harmony::Chord(chord), source }.up(within_octave(placed.transposition)))
}

/// Octaves mean nothing to a chord symbol, so its printed text stays.
pub fn within_octave(interval: Interval) -> Interval {
    let octaves = interval.steps.div_euclid(7);
    interval + Interval::octaves(-octaves)
}

fn groups(element: Element) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for inner in element.children().filter(|c| c.is_element()) {
        match inner.tag_name().name() {
            "root" | "numeral" | "function" => groups.push(Group { head: inner, rest: Vec::new() }),
            _ => {
                if let Some(group) = groups.last_mut() {
                    group.rest.push(inner);
                }
            }
        }
    }
    groups
}

impl<'a> Group<'a> {
    fn first(&self, name: &str) -> Option<Element<'a>> {
        self.rest.iter().find(|e| e.has_tag_name(name)).copied()
    }

    fn all(&self, name: &'a str) -> impl Iterator<Item = Element<'a>> {
        self.rest.iter().filter(move |e| e.has_tag_name(name)).copied()
    }
}

/// What stands in `kind`.
#[derive(Clone, Debug, PartialEq, Eq)]
enum KindFound {
    Standard(ChordKind),
    /// Not a kind of the standard, but its text is a chord suffix that can be read.
    Read(ChordKind, Vec<Degree>),
    None,
}

/// The kind and the text the source prints for it. A kind outside the standard is read from its text where that can be read.
fn kind_of(group: &Group, remarks: &mut Remarks) -> (KindFound, Option<String>) {
    let Some(element) = group.first("kind") else {
        remarks.warn(group.head, "a chord symbol without a kind is taken as major", "");
        return (KindFound::Standard(ChordKind::Major), None);
    };
    let printed = element.attribute("text").map(|t| t.trim().to_owned());
    let name = text(element);
    let known = ChordKind::all().find(|k| k.standard_name().eq_ignore_ascii_case(&name));
    let open = known == Some(ChordKind::Other) && group.all("degree").next().is_none();
    if known == Some(ChordKind::Pedal) {
        remarks.note(element, "a pedal point is no chord: only its bass note is read", "write the chord that sounds above it");
    }
    let found = match known {
        Some(ChordKind::None) => KindFound::None,
        Some(kind) if !open => KindFound::Standard(kind),
        _ => match from_text(printed.as_deref().filter(|t| !t.is_empty()).unwrap_or(&name)) {
            Some(read) => read,
            None => {
                remarks.warn(element, format!("the chord kind \"{}\" is not known, taken as major", excerpt(&name)), "");
                KindFound::Standard(ChordKind::Major)
            }
        },
    };
    (found, printed)
}

/// A chord suffix as text, read after a root of C.
fn from_text(suffix: &str) -> Option<KindFound> {
    if suffix == "other" {
        return None;
    }
    let mut symbols = chord_text::parse(&format!("C{suffix}")).ok()?.symbols;
    match symbols.pop()?.harmony {
        Harmony::Chord(chord) if symbols.is_empty() && chord.bass.is_none() => Some(KindFound::Read(chord.kind, chord.degrees)),
        _ => None,
    }
}

/// The root of the first group. Groups after it name the key it is heard in, last first; a second root is a chord over a chord.
fn root_of(groups: &[Group], placed: &PlacedHarmony, remarks: &mut Remarks) -> Option<PitchName> {
    let mut key = placed.key.clone();
    for group in groups[1..].iter().rev() {
        if group.head.has_tag_name("root") {
            remarks.warn(group.head, "the lower chord of a chord over a chord is left out", "");
            continue;
        }
        let minor = matches!(kind_of(group, remarks).0, KindFound::Standard(kind) if kind.tones().contains(&(3, 3)));
        if let Some(root) = numeral::root(group.head, &key) {
            key = numeral::key_on(root, if minor { music::Mode::Minor } else { music::Mode::Major });
        }
    }
    let first = &groups[0];
    let root = match first.head.tag_name().name() {
        "root" => pitch_name(first.head, "root-step", "root-alter"),
        _ => numeral::root(first.head, &key),
    };
    if root.is_none() {
        remarks.warn(first.head, "a chord symbol whose root cannot be read is left out", "a letter A to G is expected");
    }
    root
}

/// A letter and an alteration in two child elements.
fn pitch_name(element: Element, step: &str, alter: &str) -> Option<PitchName> {
    let step = child_text(element, step)?.chars().next().and_then(Step::from_letter)?;
    let alter = child_text(element, alter).and_then(|t| super::element::decimal(&t)).map_or(0, rounded);
    (alter.abs() <= 2).then(|| PitchName::new(step, alter as i32))
}

fn chord(group: &Group, root: PitchName, kind: &KindFound, remarks: &mut Remarks) -> Chord {
    let (kind, mut degrees) = match kind {
        KindFound::Standard(kind) => (*kind, Vec::new()),
        KindFound::Read(kind, degrees) => (*kind, degrees.clone()),
        KindFound::None => (ChordKind::None, Vec::new()),
    };
    degrees.extend(group.all("degree").take(MOST_DEGREES).filter_map(|d| degree(d, remarks)));
    let mut chord = Chord { degrees, ..Chord::new(root, kind) };
    chord.bass = bass(group, &chord, remarks);
    chord
}

fn degree(element: Element, remarks: &mut Remarks) -> Option<Degree> {
    let value = child_whole(element, "degree-value").filter(|v| (1..=15).contains(v));
    let change = match child_text(element, "degree-type").as_deref() {
        Some("add") => Some(DegreeChange::Add),
        Some("alter") => Some(DegreeChange::Alter),
        Some("subtract") => Some(DegreeChange::Subtract),
        _ => None,
    };
    let alter = child_whole(element, "degree-alter").unwrap_or(0).clamp(-2, 2);
    let made = value.zip(change).map(|(value, change)| Degree { change, value: value as i32, alter: alter as i32 });
    if made.is_none() {
        remarks.warn(element, "a changed degree that cannot be read is left out", "add, alter or subtract and a number are expected");
    }
    made
}

/// The slash note, else the tone that an inversion puts lowest.
fn bass(group: &Group, chord: &Chord, remarks: &mut Remarks) -> Option<PitchName> {
    if let Some(element) = group.first("bass") {
        let bass = pitch_name(element, "bass-step", "bass-alter");
        if bass.is_none() {
            remarks.warn(element, "a bass note that cannot be read is left out", "a letter A to G is expected");
        }
        return bass.filter(|b| *b != chord.root);
    }
    let element = group.first("inversion")?;
    let number = super::element::whole(&text(element)).and_then(|n| usize::try_from(n).ok())?;
    let tones = chord.tones();
    if number >= tones.len() {
        remarks.warn(element, format!("inversion {number} of a chord of {} tones is left out", tones.len()), "");
    }
    tones.get(number).filter(|_| number > 0).map(|t| chord.name_of(*t))
}

/// The symbol as the source prints it: root, the kind's text, degrees not yet in that text, bass. Without a text, the plain spelling.
fn source_text(group: &Group, chord: &Chord, printed: Option<&str>) -> String {
    let Some(printed) = printed.filter(|_| group.head.has_tag_name("root")) else {
        return chord.to_string();
    };
    let degrees: String = group.all("degree").take(MOST_DEGREES).filter(|d| !is_hidden(*d)).map(degree_text).collect();
    let bass = chord.bass.map(|b| format!("/{b}")).unwrap_or_default();
    format!("{}{printed}{degrees}{bass}", chord.root)
}

fn degree_text(element: Element) -> String {
    let own = |name| child(element, name).and_then(|e| e.attribute("text")).map(str::to_owned);
    let kind = own("degree-type").unwrap_or_else(|| match child_text(element, "degree-type").as_deref() {
        Some("add") => "add".into(),
        Some("subtract") => "no".into(),
        _ => String::new(),
    });
    let sign = match child_whole(element, "degree-alter").unwrap_or(0) {
        0 => "",
        alter if alter < 0 => "b",
        _ => "#",
    };
    let value = own("degree-value").or_else(|| children(element, "degree-value").map(text).next()).unwrap_or_default();
    format!("{kind}{sign}{value}")
}
