use super::*;
use crate::choices::Choices;
use crate::job::{Asked, Setup};
use formats::ReadOptions;

/// Four voices in the manner of a hymnal: our own, with a pickup, a chord on every beat and a six-four before the close.
const HYMN: &str = "X:1\nT:The Ferry Waits\nM:4/4\nL:1/4\nQ:1/4=90\nK:C\nV:1\nE|EDCD|E2G2|FEDC|D2C|]\n\
    V:2\nC|CB,CB,|C2D2|CCB,C|B,2C|]\nV:3\nG,|G,G,E,G,|G,2B,2|A,G,G,G,|G,2E,|]\nV:4\nC,|C,G,,A,,G,,|C,2G,,2|F,,G,,G,,C,|G,,2C,|]\n";

fn supplied(text: &str, choices: Choices) -> (Imported, ChordsOf) {
    supplied_from(text, &Asked::of(choices))
}

fn supplied_from(text: &str, asked: &Asked) -> (Imported, ChordsOf) {
    let setup = Setup::of(asked, harp::Player::default()).expect("plain wishes");
    let options = ReadOptions { tune: asked.tune, part: asked.choices.part.clone() };
    let mut imported = formats::read(text.as_bytes(), &options).expect("our own tune reads");
    let chords = setup.supply(&mut imported, text.as_bytes()).expect("plain chords");
    (imported, chords)
}

fn show(imported: &Imported) -> String {
    let chords =
        |m: &music::SheetMeasure| m.frame.chords.iter().map(|c| format!("{}@{}", c.symbol.harmony, c.at)).collect::<Vec<_>>().join(" ");
    imported.sheet.measures.iter().map(chords).collect::<Vec<_>>().join(" | ")
}

#[test]
fn a_hymn_has_the_chords_of_its_voices_thinned() {
    let (imported, chords) = supplied(HYMN, Choices::default());
    assert_eq!((chords.from, chords.written, chords.voices, chords.most), (From::Voices(4), 0, Some(4), Some(2)));
    assert_eq!((chords.found, chords.stand, chords.said.len()), (10, 9, 0));
    assert!(imported.sheet.measures.iter().flat_map(|m| &m.frame.chords).all(|c| c.origin == ChordOrigin::Ours));
    assert_eq!(show(&imported), "C@0 | G@1 Am@2 | C@0 G@2 | F@0 C/G@1 | G@0 C@2");
    assert_eq!(chords.dropped.iter().map(ToString::to_string).collect::<Vec<_>>(), ["measure 1: G stands on a weak beat"]);
}

#[test]
fn her_wish_decides() {
    let (imported, chords) = supplied(HYMN, Choices { chords_from: Some("written".into()), ..Choices::default() });
    assert_eq!((show(&imported).replace(" | ", ""), chords.from, chords.voices), (String::new(), From::Nowhere, Some(4)));
    let (imported, chords) = supplied(HYMN, Choices { chords_a_measure: Some(1), ..Choices::default() });
    assert_eq!((show(&imported).as_str(), chords.most_wished), ("C@0 |  | G@2 |  | C@2", true));
    let (_, chords) = supplied(HYMN, Choices { chords_a_measure: Some(4), ..Choices::default() });
    assert_eq!((chords.found, chords.stand), (10, 10));
}

#[test]
fn chords_in_the_file_go_before_those_of_its_voices() {
    let text = HYMN.replace("E|EDCD", "\"C\"E|EDCD");
    let (imported, chords) = supplied(&text, Choices::default());
    assert_eq!((show(&imported).as_str(), chords.from, chords.most), ("C@0 |  |  |  | ", From::File, None));
    let (_, chords) = supplied(&text, Choices { chords_from: Some("voices".into()), ..Choices::default() });
    assert_eq!((chords.from, chords.written), (From::Voices(4), 1));
}

/// Chords of the file are hers: they are thinned on her wish only.
#[test]
fn written_chords_are_thinned_on_wish() {
    let text = "X:1\nT:Steps\nM:4/4\nL:1/4\nK:C\n\"C\"c\"G\"d\"Am\"c\"Em\"B|\"C\"c4|]\n";
    let at_will = |choices: Choices| show(&supplied(text, choices).0);
    assert_eq!(at_will(Choices::default()), "C@0 G@1 Am@2 Em@3 | C@0");
    assert_eq!(at_will(Choices { chords_a_measure: Some(2), ..Choices::default() }), "C@0 Am@2 | C@0");
    assert_eq!(at_will(Choices { chords_a_measure: Some(2), keep: vec!["1@3".into()], ..Choices::default() }), "C@0 Em@3 | C@0");
    assert_eq!(at_will(Choices { chords_a_measure: Some(2), keep: vec!["1".into()], ..Choices::default() }), "C@0 G@1 Am@2 Em@3 | C@0");
}

/// Double stops here and there are no voices that make chords; a wish for them is not met, and said.
#[test]
fn a_tune_with_double_stops_has_no_voices() {
    let text = "X:1\nT:Stops\nM:4/4\nL:1/4\nK:C\n[CEG]2DE|FGAB|c4|]\n";
    let (_, chords) = supplied(text, Choices::default());
    assert_eq!((chords.from, chords.voices, chords.unmet), (From::Melody(Version::ThreeChord), None, None));
    let (_, chords) = supplied(text, Choices { chords_from: Some("voices".into()), ..Choices::default() });
    let why = "The file has too few voices to give chords (a hymn has four): it has none.";
    assert_eq!(chords.unmet.as_deref(), Some(why));
}

/// The number in the X: line counts for both readings; so does a part of her choice for the melody alone.
#[test]
fn the_tune_and_the_part_of_her_choice_have_the_chords() {
    let book = format!("X:7\nT:Alone\nM:4/4\nL:1/4\nK:G\nG4|]\n\n{}", HYMN.replace("X:1", "X:8"));
    let (imported, chords) =
        supplied_from(&book, &Asked { tune: Some(8), ..Asked::of(Choices { part: Some("4".into()), ..Choices::default() }) });
    assert_eq!((chords.from, imported.part.as_deref()), (From::Voices(4), Some("4")));
    assert_eq!(chords.found, supplied(HYMN, Choices::default()).1.found);
    assert_eq!(supplied(&book, Choices::default()).1.from, From::Melody(Version::ThreeChord));
}

/// A measure longer than is read becomes several for the melody, and stays one for the voices: the chords come at their time.
#[test]
fn chords_of_a_measure_that_was_cut_come_in_time() {
    let long = |note: &str| format!("{}|", format!("{note}16 ").repeat(3));
    let voice = |n: usize, note: &str, last: &str| format!("V:{n}\n{}{last}16|]\n", long(note));
    let text = format!(
        "X:1\nT:Long\nM:none\nL:1/4\nK:C\n{}{}{}{}",
        voice(1, "e", "d"),
        voice(2, "c", "B"),
        voice(3, "G", "G"),
        voice(4, "C,", "G,")
    );
    let (imported, chords) = supplied(&text, Choices::default());
    let lengths: Vec<String> = imported.sheet.measures.iter().map(|m| m.frame.length.to_string()).collect();
    assert_eq!((lengths.join(" ").as_str(), show(&imported).as_str()), ("16 32 16", "C@0 |  | G@0"));
    assert!(
        chords.said[0].starts_with("From measure 1 on the other voices do not have the same measures as the melody"),
        "{:?}",
        chords.said
    );
}

/// A melody that ends before the others has the same measures: nothing is placed by time, and nothing said.
#[test]
fn a_last_measure_of_another_length_is_no_other_measure() {
    let (imported, chords) = supplied(&HYMN.replace("D2C|]\nV:2", "D2C/|]\nV:2"), Choices::default());
    let lengths: Vec<String> = imported.sheet.measures.iter().map(|m| m.frame.length.to_string()).collect();
    assert_eq!((lengths.join(" ").as_str(), chords.said.len()), ("1 4 4 4 5/2", 0));
    assert_eq!(show(&imported), show(&supplied(HYMN, Choices::default()).0));
}

/// Common practice: a second ending follows the measure before the first, whose chord is another than the one written before.
#[test]
fn a_second_ending_says_its_chord_again() {
    let voice = |n: usize, body: &str| format!("V:{n}\n{body}\n");
    let text = format!(
        "X:1\nT:Again\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n{}{}{}{}",
        voice(1, "|:e4|[1d4:|[2d4|e4|]"),
        voice(2, "|:c4|[1B4:|[2B4|c4|]"),
        voice(3, "|:G4|[1G4:|[2G4|G4|]"),
        voice(4, "|:C,4|[1G,4:|[2G,4|C,4|]")
    );
    assert_eq!(show(&supplied(&text, Choices::default()).0), "C@0 | G@0 | G@0 | C@0");
}

fn typed(text: &str) -> Result<String, String> {
    let tune = music::text::sheet("4/4 C | C4:4 |");
    let show = |all: Vec<(music::Beats, music::ChordSymbol)>| {
        all.iter().map(|(at, symbol)| format!("{}@{at}", symbol.harmony)).collect::<Vec<_>>().join(" ")
    };
    hers::chords(text, &tune.measures[0].frame).map(show)
}

#[test]
fn a_measure_takes_several_chords_whole() {
    for (text, laid) in [
        ("Am", "Am@0"),
        ("C F", "C@0 F@2"),
        ("C F G7", "C@0 F@2 G7@3"),
        ("C F C Am", "C@0 F@1 C@2 Am@3"),
        ("C F C Am F", "C@0 F@1 C@2 Am@5/2 F@7/2"),
        ("C@1 F@3.5", "C@0 F@5/2"),
        ("D/F#@2", "D/F#@1"),
    ] {
        assert_eq!(typed(text).as_deref(), Ok(laid), "{text}");
    }
}

/// What a measure has is typed as it is shown, in quarters and in dotted beats.
#[test]
fn what_is_shown_can_be_typed() {
    for (meter, text) in [("4/4 C | C4:4 |", "C@1 F@2.5 G7@4"), ("6/8 C | C4:3 |", "C@1 F@5/3 G@2.5"), ("4/4 C | C4:4 |", "Am")] {
        let mut frame = music::text::sheet(meter).measures[0].frame.clone();
        let laid = hers::chords(text, &frame).expect("chords");
        frame.chords = laid.into_iter().map(|(at, symbol)| music::PlacedChord::new(at, symbol)).collect();
        assert_eq!(hers::written(&frame), text);
    }
}

#[test]
fn what_cannot_be_kept_whole_is_refused_with_its_place() {
    let expected = "expected a beat from 1, before the end of the measure (4 beats), as C@1";
    for (text, why) in [
        ("", "there is no chord in it".to_owned()),
        ("C@1 F", "give every chord its beat, as C@1 F@3, or none of them".to_owned()),
        ("C@3 F@2", "chord 2, \"F@2\": expected a later beat than the chord before it".to_owned()),
        ("C@5", format!("chord 1, \"C@5\": {expected}")),
        ("C@1 F@x", format!("chord 2, \"F@x\": {expected}")),
        ("C F C F C F C F C", "9 chords are too many for a measure of 4 beats: give each its beat, as C@1 F@2.5".to_owned()),
    ] {
        assert_eq!(typed(text), Err(why));
    }
    assert!(typed("C Xyz").expect_err("no chord").starts_with("chord 2, \"Xyz\": "));
}

/// A whole measure of hers, and one chord over it; in a file whose measure has become too short hers are told and the tune's stand.
#[test]
fn her_chords_lie_over_the_others() {
    let own = |pairs: &[(&str, &str)]| pairs.iter().map(|(a, b)| (a.to_string(), b.to_string())).collect();
    let (imported, chords) = supplied(HYMN, Choices { chords: own(&[("1", "F G Am Em"), ("1@2", "D7")]), ..Choices::default() });
    assert_eq!(show(&imported).split(" | ").nth(1), Some("F@0 G@1 D7@2 Em@3"));
    assert!(imported.sheet.measures[1].frame.chords.iter().all(|c| c.origin == ChordOrigin::Hers) && chords.said.is_empty());
    let (_, chords) = supplied(HYMN, Choices { chords: own(&[("0", "F@1 G@2")]), ..Choices::default() });
    assert_eq!(
        chords.said,
        [
            "Your chords for the pickup do not fit it any more (chord 2, \"G@2\": expected a beat from 1, before the end of the measure (1 beats), as C@1): those of the tune stand."
        ]
    );
}

/// A waltz of our own without chord symbols.
const QUAY: &str = "X:1\nT:The Quay at Evening\nM:3/4\nL:1/4\nQ:1/4=96\nK:G\n\
    D|G2B|A2G|E2G|D2D|G2B|d2B|A3-|A2B|c2e|d2B|A2G|E2D|G2B|A2F|G3-|G2|]\n";

/// Of itself a bare melody gets three chords to a section, all of them ours; on wish more, or none.
#[test]
fn a_bare_melody_has_chords_made_for_it() {
    let (imported, chords) = supplied(QUAY, Choices::default());
    assert_eq!((chords.from, chords.written), (From::Melody(Version::ThreeChord), 0));
    let all = || imported.sheet.measures.iter().flat_map(|m| &m.frame.chords);
    assert!(all().all(|c| c.origin == ChordOrigin::Ours));
    let names: std::collections::BTreeSet<String> = all().map(|c| c.symbol.harmony.to_string()).collect();
    assert!(names.len() <= 3 && names.contains("G"), "{names:?}");
    assert_eq!(all().last().map(|c| c.symbol.harmony.to_string()).as_deref(), Some("G"));
    assert_eq!(supplied(QUAY, Choices { chords_from: Some("fuller".into()), ..Choices::default() }).1.from, From::Melody(Version::Fuller));
    let (imported, chords) = supplied(QUAY, Choices { chords_from: Some("written".into()), ..Choices::default() });
    assert_eq!((chords.from, super::all(&imported.sheet), chords.made), (From::Nowhere, 0, None));
}

/// A chord of hers changes its measure and not those that went on with ours.
#[test]
fn a_chord_of_hers_over_one_of_ours_stays_in_its_measure() {
    let (before, _) = supplied(QUAY, Choices::default());
    let (after, chords) = supplied(QUAY, Choices { chords: [("7@0".to_owned(), "Am".to_owned())].into(), ..Choices::default() });
    let made = chords.made.expect("they were made");
    let holds = |sheet: &LeadSheet, m: usize| {
        let all = sheet.measures[..=m].iter().flat_map(|m| &m.frame.chords);
        all.last().map(|c| c.symbol.harmony.to_string()).unwrap_or_default()
    };
    for m in 1..before.sheet.measures.len() {
        let expected = if m == 7 { "Am".to_owned() } else { holds(&before.sheet, m) };
        assert_eq!(holds(&after.sheet, m), expected, "measure {m}");
        assert_eq!(holds(&before.sheet, m), made.at(m, music::Beats::ZERO).map(|g| g.chord.to_string()).unwrap_or_default());
    }
}

/// Chords in the first strain only: the second, where the last of them is held against the tune, gets its own; the written ones stay.
#[test]
fn missing_chords_are_made_and_written_ones_stay() {
    let text = "X:1\nT:Half\nM:3/4\nL:1/4\nK:G\n\"G\"G2B|\"D7\"A2F|\"G\"G3|G3:|\n|:A2c|F2A|D2F|A3|B2G|d2B|A2F|G3:|\n";
    let (imported, chords) = supplied(text, Choices::default());
    assert_eq!((chords.from, chords.written), (From::File, 3));
    let of = |m: usize, origin| imported.sheet.measures[m].frame.chords.iter().filter(|c| c.origin == origin).count();
    assert_eq!((0..4).map(|m| of(m, ChordOrigin::Source)).collect::<Vec<_>>(), [1, 1, 1, 0]);
    assert_eq!((0..4).map(|m| of(m, ChordOrigin::Ours)).sum::<usize>(), 0);
    assert!((4..12).all(|m| of(m, ChordOrigin::Source) == 0) && of(4, ChordOrigin::Ours) == 1);
    let (_, chords) = supplied(text, Choices { chords_from: Some("written".into()), ..Choices::default() });
    assert_eq!(chords.made, None);
}

#[test]
fn a_melody_of_rests_gets_none() {
    let text = "X:1\nT:Still\nM:3/4\nL:1/4\nK:G\nz3|z3|]\n";
    assert_eq!(supplied(text, Choices::default()).1.from, From::Nowhere);
    let (_, chords) = supplied(text, Choices { chords_from: Some("three".into()), ..Choices::default() });
    assert_eq!(chords.unmet.as_deref(), Some("The melody has no notes to make chords for."));
}
