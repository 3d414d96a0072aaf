//! Lengths and numbers of measures, meters, keys, transposition.

use crate::show::{check, read, score, show};
use expect_test::{Expect, expect};
use std::collections::BTreeSet;

#[test]
fn a_pickup_is_number_nought() {
    check(
        "3/4",
        "{C4 1} | {D4 3} | {E4 2}",
        expect![[r#"
        0 C4:1
        1 D4:3
        2 E4:2
    "#]],
    );
}

#[test]
fn halves_of_a_split_measure_share_its_number() {
    check(
        "4/4",
        "{C4 4} | {D4 3} | @{E4 1} | {F4 4}",
        expect![[r#"
        1 C4:4
        2 D4:3
        2 E4:1
        3 F4:4
    "#]],
    );
    let bar = "<barline location=\"right\"><bar-style>light-light</bar-style></barline>";
    check(
        "4/4",
        &format!("{{C4 4}} | {{D4 3}} {bar} | {{E4 1}} | {{F4 4}}"),
        expect![[r#"
        1 C4:4
        2 D4:3 Double
        2 E4:1
        3 F4:4
    "#]],
    );
}

#[test]
fn a_short_measure_inside_is_filled_up_and_a_long_one_kept() {
    check(
        "4/4",
        "{C4 4} | {D4 2} | {E4 4} | {F4 5} | {G4 4}",
        expect![[r#"
        1 C4:4
        2 D4:2 r:2
        3 E4:4
        4 F4:5
        5 G4:4
        2:1: warning: a measure shorter than its meter 4/4 is filled up with a rest
        4:1: warning: a measure longer than its meter 4/4 is kept as it is
    "#]],
    );
}

#[test]
fn an_empty_measure_is_a_rest() {
    check(
        "3/4",
        "{C4 3} | | {D4 3}",
        expect![[r#"
        1 C4:3
        2 r:3
        3 D4:3
    "#]],
    );
}

#[test]
fn a_whole_rest_is_never_longer_than_its_measure() {
    let rest = "<note><rest measure=\"yes\"/><duration>96</duration></note>";
    check(
        "3/4",
        &format!("{{C4 3}} | {rest} | {{D4 3}}"),
        expect![[r#"
        1 C4:3
        2 r:3
        3 D4:3
    "#]],
    );
}

#[test]
fn a_backup_to_before_the_measure_is_mended() {
    check(
        "2/4",
        "{C4 1} <backup><duration>48</duration></backup> {r 2 <voice>2</voice>}",
        expect![[r#"
        1 C4:1 r:1
        1:387: warning: a backup to before the measure, taken as to its start
    "#]],
    );
}

/// The meter and key of every measure.
fn check_frames(attributes: &[&str], expected: Expect) {
    let measures: Vec<String> = attributes.iter().map(|a| format!("<attributes>{a}</attributes> {{C4 1}}")).collect();
    let measures: Vec<String> = measures.iter().map(|m| format!("@{m}")).collect();
    let imported = match read(&score("1/4", &measures.join("|"))) {
        Ok(imported) => imported,
        Err(error) => panic!("{error}"),
    };
    let line = |f: &music::Frame| format!("{} {:?}, {} {:?}\n", f.meter, f.meter.sign, f.key, f.key.explicit);
    let mut out: String = imported.sheet.measures.iter().map(|m| line(&m.frame)).collect();
    out.extend(imported.diagnostics.iter().map(|d| format!("{d}\n")));
    expected.assert_eq(&out);
}

#[test]
fn meters() {
    let time = |pairs: &[(&str, &str)], sign: &str| {
        let pair = |(b, t): &(&str, &str)| format!("<beats>{b}</beats><beat-type>{t}</beat-type>");
        format!("<time {sign}>{}</time>", pairs.iter().map(pair).collect::<String>())
    };
    let all = [
        time(&[("4", "4")], "symbol=\"common\""),
        time(&[("2", "2")], "symbol=\"cut\""),
        time(&[("3", "8")], "symbol=\"cut\""),
        time(&[("3+2", "8")], ""),
        time(&[("3", "8"), ("3", "4")], ""),
        "<time><senza-misura/></time>".to_owned(),
        time(&[("0", "4")], ""),
        time(&[("3", "5")], ""),
    ];
    check_frames(
        &all.each_ref().map(String::as_str),
        expect![[r#"
        4/4 Common, C major []
        2/2 Cut, C major []
        3/8 Numbers, C major []
        3+2/8 Numbers, C major []
        3+6/8 Numbers, C major []
        free meter Free, C major []
        free meter Free, C major []
        free meter Free, C major []
        7:48: warning: a meter that cannot be read is left out: expected up to 64 beats of a note value up to a 64th, 2 times
    "#]],
    );
}

#[test]
fn keys() {
    let key = |fifths: &str, mode: &str| format!("<key><fifths>{fifths}</fifths><mode>{mode}</mode></key>");
    let all = [
        key("2", "dorian"),
        key("-3", "minor"),
        key("1", "none"),
        key("0", "blues"),
        "<key><fifths>4</fifths></key>".to_owned(),
        "<key><key-step>F</key-step><key-alter>1</key-alter><key-step>B</key-step><key-alter>-1</key-alter></key>".to_owned(),
        key("99", "major"),
    ];
    check_frames(
        &all.each_ref().map(String::as_str),
        expect![[r#"
        1/4 Numbers, E dorian []
        1/4 Numbers, C minor []
        1/4 Numbers, signature of G []
        1/4 Numbers, signature of C []
        1/4 Numbers, E major []
        1/4 Numbers, signature of C [(F, 1), (B, -1)]
        1/4 Numbers, C major []
        4:48: warning: the mode "blues" is not known, only the signature is kept
        5:48: note: a key signature without a mode, taken as major
        7:48: warning: a key of 99 fifths is left out: expected -14 to 14
    "#]],
    );
}

/// A B-flat trumpet sounds a major second lower than written, an E-flat alto saxophone a major sixth: any orchestration book.
#[test]
fn a_transposing_part_is_read_as_it_sounds() {
    let head = |fifths: i32, transpose: &str| {
        format!(
            "<attributes><key><fifths>{fifths}</fifths><mode>major</mode></key><transpose>{transpose}</transpose></attributes>\
             <harmony><root><root-step>D</root-step></root><kind text=\"7\">dominant</kind></harmony>"
        )
    };
    let trumpet = head(2, "<diatonic>-1</diatonic><chromatic>-2</chromatic>");
    let key = |score: &str| read(score).map(|i| i.sheet.measures[0].frame.key.to_string());
    let written = score("4/4", &format!("{trumpet} {{D5 2}} {{F#5 2}}"));
    assert_eq!(key(&written), Ok("C major".into()));
    expect![[r#"
        1 "C7"@0 C5:2 E5:2
        1:346: note: a transposing part (-2 semitones) is read as it sounds
    "#]]
    .assert_eq(&show(read(&written)));
    let saxophone = head(3, "<chromatic>-9</chromatic>");
    let written = score("4/4", &format!("{saxophone} {{A5 2}} {{F#5 2}}"));
    assert_eq!(key(&written), Ok("C major".into()));
    expect![[r#"
        1 "F7"@0 C5:2 A4:2
        1:346: note: a transposing part (-9 semitones) is read as it sounds
    "#]]
    .assert_eq(&show(read(&written)));
}

#[test]
fn a_key_change_inside_a_measure_is_shown_from_the_next() {
    let change = "<attributes><key><fifths>1</fifths><mode>major</mode></key></attributes>";
    check(
        "2/4",
        &format!("{{C4 1}} {change} {{D4 1}} | {{F#4 2}}"),
        expect![[r#"
        1 C4:1 D4:1
        2 F#4:2
        1:117: note: a key change 1 quarters into a measure is shown from the next measure on
    "#]],
    );
}

/// A score that says nothing of its meter.
fn check_without_meter(measures: &str, expected: Expect) {
    let with = score("1/64", measures);
    let imported = read(&with.replace("<time><beats>1</beats><beat-type>64</beat-type></time>", "")).expect("a tune");
    let meters: BTreeSet<String> = imported.sheet.measures.iter().map(|m| m.frame.meter.to_string()).collect();
    let meters: Vec<String> = meters.into_iter().collect();
    expected.assert_eq(&format!("{}\n{}", meters.join(" "), show(Ok(imported))));
}

/// Common practice: what the measures last is their meter; a pickup and a short last measure say nothing of it.
#[test]
fn without_a_time_signature_the_measures_tell_the_meter() {
    check_without_meter(
        "{G4 1} | {C4 3} | {D4 2} {E4 1} | {C4 2}",
        expect![[r#"
            3/4
            0 G4:1
            1 C4:3
            2 D4:2 E4:1
            3 C4:2
            1:117: note: no time signature at the start, taken as 3/4 from the length of the measures
        "#]],
    );
    check_without_meter(
        "{C4 1} {D4 1/2} {E4 1} {F4 1/2} | {C4 1} {D4 1/2} {E4 3/2}",
        expect![[r#"
            6/8
            1 C4:1 D4:1/2 E4:1 F4:1/2
            2 C4:1 D4:1/2 E4:3/2
            1:117: note: no time signature at the start, taken as 6/8 from the length of the measures
        "#]],
    );
    let beam = |kind: &str| format!("<beam number=\"1\">{kind}</beam>");
    let jig = format!("{{C4 1/2 {0}}} {{D4 1/2}} {{E4 1/2}} {{F4 1/2 {0}}} {{G4 1/2}} {{A4 1/2}}", beam("begin"));
    check_without_meter(
        &format!("{jig} | {jig}"),
        expect![[r#"
            6/8
            1 C4:1/2 D4:1/2 E4:1/2 F4:1/2 G4:1/2 A4:1/2
            2 C4:1/2 D4:1/2 E4:1/2 F4:1/2 G4:1/2 A4:1/2
            1:117: note: no time signature at the start, taken as 6/8 from the length of the measures
        "#]],
    );
    let meter_of = |length: &str| {
        let with = score("1/64", &vec![format!("{{C4 {length}}}"); 3].join("|"));
        let imported = read(&with.replace("<time><beats>1</beats><beat-type>64</beat-type></time>", "")).expect("a tune");
        imported.sheet.measures[0].frame.meter.to_string()
    };
    let meters = ["2", "4", "5", "6", "3/2", "5/2", "9/2", "3/4", "8", "1/3"].map(meter_of);
    assert_eq!(meters, ["2/4", "4/4", "5/4", "6/4", "3/8", "5/8", "9/8", "3/16", "8/4", "free meter"]);
}

#[test]
fn a_meter_that_is_only_assumed_fills_nothing_up() {
    check_without_meter(
        "{C4 4} | {D4 4} | {E4 3} | {F4 4} | {r 4} | {G4 4}",
        expect![[r#"
            4/4
            1 C4:4
            2 D4:4
            3 E4:3
            4 F4:4
            5 r:4
            6 G4:4
            1:117: note: no time signature at the start, taken as 4/4 from the length of the measures
            3:1: warning: a measure shorter than its meter 4/4 is kept as it is
        "#]],
    );
    check_without_meter(
        "{C4 4} | {D4 2} | {E4 3} | {F4 6} | {G4 5} | {A4 4}",
        expect![[r#"
            free meter
            1 C4:4
            2 D4:2
            3 E4:3
            4 F4:6
            5 G4:5
            6 A4:4
            1:117: note: no time signature at the start, and the measures differ in length: they are read as long as they are written
        "#]],
    );
}

#[test]
fn a_meter_longer_than_a_measure_is_left_out() {
    check(
        "64/2",
        "{C4 4} | {D4 4}",
        expect![[r#"
            1 C4:4
            2 D4:4
            1:117: note: no time signature at the start, taken as 4/4 from the length of the measures
            1:221: warning: a meter of more than 8 whole notes is left out
        "#]],
    );
}
