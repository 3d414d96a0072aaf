//! Whatever the bytes, the reader comes back; and what it hands back holds together.

use crate::page::page;
use crate::spoiled::spoils;
use formats::musicxml::{ImportedScore, ScoreOptions, read_score};
use music::{Beats, Hand};
use proptest::prelude::*;

/// A page with something of everything.
fn rich() -> String {
    let grace = "<note><grace/><pitch><step>D</step><octave>5</octave></pitch><voice>2</voice></note>";
    let damp = "<direction><direction-type><damp/></direction-type><offset>12</offset><staff>2</staff></direction>";
    let pedals = "<direction><direction-type><harp-pedals><pedal-tuning><pedal-step>D</pedal-step><pedal-alter>-1</pedal-alter>\
                  </pedal-tuning></harp-pedals></direction-type><staff>1</staff></direction>";
    let words = "<direction><direction-type><words>F♯4</words></direction-type><staff>2</staff></direction>";
    let middle = "<barline location=\"middle\"><repeat direction=\"backward\" times=\"2\"/></barline>";
    let ending = "<barline location=\"left\"><ending number=\"1\" type=\"start\"/></barline>";
    let finger = "<notations><arpeggiate/><technical><fingering>2</fingering></technical><tied type=\"let-ring\"/></notations>";
    page(&format!(
        "{{C5+E5 2 tie}} {grace} {{C5 2 untie}} {{< 4}} {{A4 3 v2}} {{B4 1 v2 tie}} {{< 4}} {damp} {{C3+G3 4 v5 s2 tie {finger}}} \
         | {pedals} {{D5 2}} {middle} {{E5 2}} {{< 4}} {{B4 2 v2 untie}} {{< 2}} {words} {{C3 4 v5 s2 untie}} | {ending} {{F5 1/3}} {{G5 11/3}}"
    ))
}

/// The promises: lines fill their measures in order, every note all plucked or all held, marks and holds within the piece.
fn holds_together(imported: &ImportedScore) {
    let score = &imported.score;
    assert_eq!(imported.sources.measures.len(), score.measures.len());
    for measure in &score.measures {
        for hand in [Hand::Right, Hand::Left] {
            let mut at = Beats::ZERO;
            for note in measure.hand(hand) {
                assert!(note.at == at && note.length > Beats::ZERO, "notes follow one another");
                assert!(note.fingers.is_empty() || note.fingers.len() == note.pitches.len());
                at = note.end();
            }
            assert_eq!(at, measure.frame.length, "notes fill the measure");
        }
        assert!(measure.marks.iter().all(|m| m.at >= Beats::ZERO && m.at <= measure.frame.length));
    }
    for hold in &imported.holds {
        let mut line = score.measures[hold.measure].hand(hold.hand).iter();
        assert!(line.any(|n| n.at == hold.at && n.is_plucked() && n.pitches.contains(&hold.pitch)), "a hold is plucked");
    }
}

fn survives(bytes: &[u8]) {
    for staves in [None, Some((1, 2)), Some((2, 1)), Some((1, 1))] {
        if let Ok(imported) = read_score(bytes, &ScoreOptions { staves, part: None }) {
            holds_together(&imported);
        }
    }
}

#[test]
fn the_rich_page_itself_is_read() {
    let imported = read_score(rich().as_bytes(), &ScoreOptions::default()).expect("a page");
    holds_together(&imported);
    assert_eq!(imported.score.measures.len(), 4);
    assert!(!imported.holds.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn spoiled_pages(ways in proptest::collection::vec(spoils(), 1..3)) {
        let spoiled = ways.iter().try_fold(rich(), |whole, way| String::from_utf8(way.apply(whole)).map_err(|e| e.into_bytes()));
        survives(&spoiled.map_or_else(|bytes| bytes, String::into_bytes));
    }
}
