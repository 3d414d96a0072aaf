//! Whatever the bytes, the reader comes back; and what it hands back holds together.

use crate::show::score;
use formats::{Imported, ReadOptions, musicxml};
use music::Beats;
use proptest::prelude::*;

/// A score with something of everything.
fn rich() -> String {
    let symbol = "<harmony><root><root-step>A</root-step></root><kind text=\"m7\">minor-seventh</kind><degree><degree-value>9</degree-value>\
                  <degree-alter>0</degree-alter><degree-type>add</degree-type></degree><bass><bass-step>G</bass-step></bass><offset>12</offset></harmony>";
    let back = "<barline location=\"right\"><ending number=\"1\" type=\"stop\"/><repeat direction=\"backward\" times=\"2\"/></barline>";
    let tuplet = "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>\
                  <notations><tuplet type=\"start\"/><slur type=\"start\"/></notations><lyric><text>oh</text></lyric>";
    let direction = "<direction><direction-type><words>D.C. al Fine</words></direction-type><sound tempo=\"90\"/></direction>";
    let change = "<attributes><key><fifths>-2</fifths></key><time><beats>3+2</beats><beat-type>8</beat-type></time>\
                  <transpose><chromatic>-2</chromatic></transpose></attributes>";
    let grace = "<note><grace slash=\"yes\"/><pitch><step>D</step><octave>5</octave></pitch></note>";
    score(
        "3/4",
        &format!(
            "{{C4 1}} | {symbol} {{C4+E4 3 <tie type=\"start\"/>}} <backup><duration>24</duration></backup> {{E4 1 <voice>2</voice>}} {back} \
             | {{C4 1/3 {tuplet}}} {{D4 2/3}} {grace} {{E4 2}} {direction} | {change} {{F4 5/2}} <sound fine=\"yes\"/>"
        ),
    )
}

/// The promises of the model: notes fill their measure in order, everything stands inside it.
fn holds_together(imported: &Imported) {
    let sheet = &imported.sheet;
    assert_eq!(imported.sources.measures.len(), sheet.measures.len());
    for measure in &sheet.measures {
        let mut at = Beats::ZERO;
        for note in &measure.notes {
            assert!(note.at == at && note.length > Beats::ZERO, "notes follow one another");
            at = note.end();
        }
        assert_eq!(at, measure.frame.length, "notes fill the measure");
        assert!(measure.frame.chords.iter().all(|c| c.at >= Beats::ZERO && c.at < measure.frame.length));
        assert!(measure.frame.chords.windows(2).all(|w| w[0].at < w[1].at), "one chord symbol a place");
        assert!(measure.frame.words.iter().all(|w| w.0 <= measure.frame.length));
        assert!(measure.frame.tempos.iter().all(|t| t.0 <= measure.frame.length));
    }
}

fn survives(bytes: &[u8]) {
    musicxml::survives(bytes);
    if let Ok(imported) = musicxml::read(bytes, &ReadOptions::default()) {
        holds_together(&imported);
    }
}

#[test]
fn the_rich_score_itself_is_read() {
    let imported = musicxml::read(rich().as_bytes(), &ReadOptions::default()).map(|i| (i.sheet.measures.len(), i.sheet.has_chords()));
    assert_eq!(imported, Ok((4, true)));
}

/// Numbers and names that a mutated score may hold.
const PIECES: [&str; 24] = [
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
    "é",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        survives(&bytes);
    }

    #[test]
    fn cut_and_overwritten_scores(cut in 0..4000usize, changes in proptest::collection::vec((0..4000usize, any::<u8>()), 0..4)) {
        let mut bytes = rich().into_bytes();
        for (at, byte) in changes {
            let at = at % bytes.len();
            bytes[at] = byte;
        }
        survives(&bytes);
        bytes.truncate(cut % bytes.len());
        survives(&bytes);
    }

    /// Well-formed scores with other values in them.
    #[test]
    fn other_values(changes in proptest::collection::vec((any::<prop::sample::Index>(), prop::sample::select(&PIECES[..])), 1..8)) {
        let mut whole = rich();
        for (index, piece) in changes {
            let texts: Vec<(usize, usize)> = values(&whole);
            let (start, end) = texts[index.index(texts.len())];
            whole.replace_range(start..end, piece);
        }
        survives(whole.as_bytes());
    }

    /// Well-formed scores with elements doubled or taken out.
    #[test]
    fn other_elements(changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<bool>()), 1..6)) {
        let mut whole = rich();
        for (index, double) in changes {
            let all = notes_of(&whole);
            if all.is_empty() {
                break;
            }
            let (start, end) = all[index.index(all.len())];
            let piece = if double { whole[start..end].repeat(2) } else { String::new() };
            whole.replace_range(start..end, &piece);
        }
        survives(whole.as_bytes());
    }
}

/// The places of texts and attribute values.
fn values(whole: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut start = None;
    for (i, letter) in whole.char_indices() {
        match (letter, start) {
            ('>' | '"', None) => start = Some(i + 1),
            ('<' | '"', Some(from)) if from < i => {
                found.push((from, i));
                start = None;
            }
            ('<' | '"', Some(_)) => start = None,
            _ => {}
        }
    }
    found
}

/// The places of whole elements that hold no element of the same name.
fn notes_of(whole: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for name in ["note", "measure", "harmony", "backup", "barline", "attributes", "direction", "duration", "pitch", "kind", "root"] {
        let (open, close) = (format!("<{name}"), format!("</{name}>"));
        for (start, _) in
            whole.match_indices(&open).filter(|(i, _)| !whole[i + open.len()..].starts_with(|c: char| c.is_alphabetic() || c == '-'))
        {
            if let Some(end) = whole[start..].find(&close) {
                found.push((start, start + end + close.len()));
            }
        }
    }
    found
}
