//! Whatever the bytes, the reader comes back; and what it hands back holds together.

use crate::show::score;
use crate::spoiled::spoils;
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

proptest! {
    #![proptest_config(ProptestConfig { cases: 1200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        survives(&bytes);
    }

    #[test]
    fn spoiled_scores(ways in proptest::collection::vec(spoils(), 1..3)) {
        let spoiled = ways.iter().try_fold(rich(), |whole, way| String::from_utf8(way.apply(whole)).map_err(|e| e.into_bytes()));
        survives(&spoiled.map_or_else(|bytes| bytes, String::into_bytes));
    }
}
