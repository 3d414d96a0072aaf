//! Written-out MusicXML spoiled in every way that a reader must survive: cut, overwritten, other values, elements doubled or taken out.

use proptest::prelude::*;
use proptest::sample::Index;

/// Numbers and names that a spoiled document may hold.
const PIECES: [&str; 25] = [
    "0",
    "-1",
    "1",
    "2",
    "7",
    "24",
    "29",
    "1.5",
    "999999999",
    "",
    "x",
    "start",
    "stop",
    "backward",
    "forward",
    "yes",
    "no",
    "left",
    "right",
    "middle",
    "&amp;",
    "1,2",
    "quarter",
    "let-ring",
    "é",
];

const NAMES: [&str; 14] = [
    "note",
    "measure",
    "harmony",
    "backup",
    "barline",
    "attributes",
    "direction",
    "duration",
    "pitch",
    "kind",
    "root",
    "staff",
    "voice",
    "notations",
];

/// One way to spoil a document.
#[derive(Clone, Debug)]
pub enum Spoil {
    /// Bytes overwritten, places counted round the document.
    Overwrite(Vec<(usize, u8)>),
    /// Cut after so many bytes, counted round the document.
    Cut(usize),
    /// Other texts and attribute values.
    Values(Vec<(Index, &'static str)>),
    /// Whole elements doubled, or taken out.
    Elements(Vec<(Index, Fate)>),
}

#[derive(Clone, Copy, Debug)]
pub enum Fate {
    Doubled,
    TakenOut,
}

/// Any way to spoil a document.
pub fn spoils() -> impl Strategy<Value = Spoil> {
    let fate = prop_oneof![Just(Fate::Doubled), Just(Fate::TakenOut)];
    prop_oneof![
        proptest::collection::vec((0..6000usize, any::<u8>()), 1..4).prop_map(Spoil::Overwrite),
        (1..6000usize).prop_map(Spoil::Cut),
        proptest::collection::vec((any::<Index>(), prop::sample::select(&PIECES[..])), 1..8).prop_map(Spoil::Values),
        proptest::collection::vec((any::<Index>(), fate), 1..6).prop_map(Spoil::Elements),
    ]
}

impl Spoil {
    pub fn apply(&self, whole: String) -> Vec<u8> {
        match self {
            Spoil::Overwrite(changes) => {
                let mut bytes = whole.into_bytes();
                let length = bytes.len().max(1);
                changes.iter().for_each(|(at, byte)| bytes.iter_mut().skip(at % length).take(1).for_each(|b| *b = *byte));
                bytes
            }
            Spoil::Cut(at) => {
                let mut bytes = whole.into_bytes();
                bytes.truncate(at % bytes.len().max(1));
                bytes
            }
            Spoil::Values(changes) => changes.iter().fold(whole, other_value).into_bytes(),
            Spoil::Elements(changes) => changes.iter().fold(whole, other_element).into_bytes(),
        }
    }
}

fn other_value(mut whole: String, (index, piece): &(Index, &'static str)) -> String {
    let all = values(&whole);
    if all.is_empty() {
        return whole;
    }
    let (start, end) = all[index.index(all.len())];
    whole.replace_range(start..end, piece);
    whole
}

fn other_element(mut whole: String, (index, fate): &(Index, Fate)) -> String {
    let all = elements(&whole);
    if all.is_empty() {
        return whole;
    }
    let (start, end) = all[index.index(all.len())];
    let piece = match fate {
        Fate::Doubled => whole[start..end].repeat(2),
        Fate::TakenOut => String::new(),
    };
    whole.replace_range(start..end, &piece);
    whole
}

/// The places of texts between tags, and of attribute values.
fn values(whole: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut start = None;
    for (i, letter) in whole.char_indices() {
        match (letter, start) {
            ('>' | '"', None) => start = Some(i + 1),
            ('<' | '"', Some(from)) => {
                found.extend((from < i).then_some((from, i)));
                start = None;
            }
            _ => {}
        }
    }
    found
}

/// The places of whole elements, each to the first end of its name.
fn elements(whole: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for name in NAMES {
        let (open, close) = (format!("<{name}"), format!("</{name}>"));
        let longer_name = |start: usize| whole[start + open.len()..].starts_with(|c: char| c.is_alphabetic() || c == '-');
        for (start, _) in whole.match_indices(&open).filter(|(start, _)| !longer_name(*start)) {
            found.extend(whole[start..].find(&close).map(|end| (start, start + end + close.len())));
        }
    }
    found
}
