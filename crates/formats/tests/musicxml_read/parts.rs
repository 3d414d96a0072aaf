//! Which part and staff the melody is read from.

use crate::show::{check_score, listed, part, show};
use expect_test::expect;
use formats::{ReadError, ReadOptions, musicxml};

const START: &str = "<attributes><divisions>24</divisions><key><fifths>0</fifths><mode>major</mode></key>\
                     <time><beats>1</beats><beat-type>4</beat-type></time></attributes>";

/// A score of parts P1, P2 … with these measures.
fn parts(all: &[&str]) -> String {
    let ids: Vec<String> = (1..=all.len()).map(|n| format!("P{n}")).collect();
    let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
    let parts: String = ids.iter().zip(all).map(|(id, m)| format!("<part id=\"{id}\">{}</part>\n", part(START, m))).collect();
    format!("<score-partwise>{}{parts}</score-partwise>", listed(&ids))
}

const SYMBOL: &str = "<harmony><root><root-step>F</root-step></root><kind>major</kind></harmony>";
const DRUM: &str = "<note><unpitched/><duration>24</duration></note>";

#[test]
fn the_part_under_the_chord_symbols_is_the_melody() {
    check_score(
        &parts(&["{C4 1}", &format!("{SYMBOL} {{D4 1}}"), "{E4 1}"]),
        expect![[r#"
        1 "F"@0 D4:1
        3:15: note: the melody is read from the part "Part P2", one of 3 (another can be asked for by name or number)
    "#]],
    );
}

#[test]
fn without_chord_symbols_it_is_the_first_pitched_part() {
    check_score(
        &parts(&[DRUM, "{D4 1}", "{E4 1}"]),
        expect![[r#"
        1 D4:1
        3:15: note: the melody is read from the part "Part P2", one of 3 (another can be asked for by name or number)
    "#]],
    );
}

#[test]
fn words_before_a_piano_with_the_symbols_are_the_melody() {
    let sung = "{C4 1 <lyric><text>oh</text></lyric>}";
    check_score(
        &parts(&[sung, &format!("{SYMBOL} {{D4 1}}")]),
        expect![[r#"
        1 "F"@0 C4:1 1:oh/Single
        1:180: note: the melody is read from the part "Part P1", one of 2 (another can be asked for by name or number)
        3:15: note: the chord symbols are read from the part "Part P2"
    "#]],
    );
}

#[test]
fn a_part_can_be_asked_for() {
    let score = parts(&["{C4 1}", "{D4 1}", DRUM]);
    let read = |part: &str| musicxml::read(score.as_bytes(), &ReadOptions { part: Some(part.into()), ..ReadOptions::default() });
    let second = expect![[r#"
        1 D4:1
        3:15: note: the melody is read from the part "Part P2", one of 3 (another can be asked for by name or number)
    "#]];
    second.assert_eq(&show(read("P2")));
    assert_eq!(show(read("part p2")), show(read("P2")));
    assert_eq!(show(read("2")), show(read("P2")));
    let held = vec!["Part P1".to_owned(), "Part P2".to_owned(), "Part P3".to_owned()];
    assert_eq!(read("flute"), Err(ReadError::NoSuchPart { wanted: "flute".into(), held }));
    expect![[r#"
        1:1: error: this part has no notes with pitches, expected a melody (choose a part with a melody)
    "#]]
    .assert_eq(&show(read("3")));
}

#[test]
fn tempo_and_sections_come_from_the_top_part() {
    let top = "<direction><direction-type><rehearsal>A</rehearsal></direction-type><sound tempo=\"90\"/></direction> {C4 1} \
               | <sound tempo=\"60\"/> {C4 1}";
    let below = format!("{SYMBOL} {{D4 1}} | {{D4 1}}");
    check_score(
        &parts(&[top, &below]),
        expect![[r#"
        1 <A> "F"@0 D4:1
        2 D4:1 1=60@0
        4:15: note: the melody is read from the part "Part P2", one of 2 (another can be asked for by name or number)
    "#]],
    );
}

#[test]
fn the_top_staff_is_the_melody() {
    let staff = |n: u32| format!("<voice>{n}</voice><staff>{n}</staff>");
    let back = "<backup><duration>24</duration></backup>";
    check_score(
        &parts(&[&format!("{{C5 1 {}}} {back} {{C3 1 {}}}", staff(1), staff(2))]),
        expect![[r#"
        1 C5:1
        1:460: note: a note of staff 2 is left out: the melody is on staff 1
    "#]],
    );
}

#[test]
fn a_voice_that_crosses_to_the_other_staff_stays_whole() {
    let on = |staff: u32| format!("<voice>1</voice><staff>{staff}</staff>");
    check_score(
        &parts(&[&format!("{{C4 1/2 {}}} {{G3 1/2 {}}}", on(1), on(2))]),
        expect![[r#"
        1 C4:1/2 G3:1/2
    "#]],
    );
}

#[test]
fn a_score_of_drums_is_refused() {
    check_score(
        &parts(&[DRUM]),
        expect![[r#"
        1:1: error: the score has no notes with pitches, expected a melody (choose a part with a melody)
    "#]],
    );
}

/// Each text finds its part again: the name, where that is another's the id, where both are the place.
#[test]
fn parts_to_choose_from() {
    let listed = |names: [&str; 4]| -> String {
        let part = |(i, name): (usize, &&str)| format!("<score-part id=\"P{}\"><part-name>{name}</part-name></score-part>", i + 1);
        names.iter().enumerate().map(part).collect()
    };
    let music: String = ["{C4 1}", "{D4 1}", DRUM, "{E4 1}"]
        .iter()
        .enumerate()
        .map(|(i, measures)| format!("<part id=\"P{}\">{}</part>", i + 1, part(START, measures)))
        .collect();
    let score = format!("<score-partwise><part-list>{}</part-list>{music}</score-partwise>", listed(["Violin", "Violin", "Drum", ""]));
    let read = |part: Option<&str>| {
        let options = ReadOptions { part: part.map(Into::into), ..ReadOptions::default() };
        musicxml::read(score.as_bytes(), &options).map(|i| (i.parts, i.part))
    };
    let names: Vec<String> = ["Violin", "P2", "P4"].map(Into::into).into();
    assert_eq!(read(None), Ok((names.clone(), Some("Violin".into()))));
    for name in names.clone() {
        assert_eq!(read(Some(&name)), Ok((names.clone(), Some(name))));
    }
    let one = musicxml::read(parts(&["{C4 1}", DRUM]).as_bytes(), &ReadOptions::default()).map(|i| (i.parts, i.part));
    assert_eq!(one, Ok((Vec::new(), None)));
}
