//! Repeats, endings, jumps.

use crate::show::{check, read, score};
use expect_test::expect;
use music::{Frame, order};

fn bar(side: &str, inside: &str) -> String {
    format!("<barline location=\"{side}\">{inside}</barline>")
}

const FORWARD: &str = "<repeat direction=\"forward\"/>";
const BACK: &str = "<repeat direction=\"backward\"/>";

fn ending(number: &str, kind: &str) -> String {
    format!("<ending number=\"{number}\" type=\"{kind}\"/>")
}

#[test]
fn repeats_and_endings() {
    let measures = format!(
        "{} {{C4 1}} | {} {{D4 1}} {} | {} {{E4 1}} {} | {{F4 1}} {}",
        bar("left", FORWARD),
        bar("left", &ending("1, 2", "start")),
        bar("right", &format!("{}<repeat direction=\"backward\" times=\"3\"/>", ending("1, 2", "stop"))),
        bar("left", &ending("3", "start")),
        bar("right", &ending("3", "discontinue")),
        bar("right", "<bar-style>light-heavy</bar-style>"),
    );
    check(
        "1/4",
        &measures,
        expect![[r#"
        1 |: C4:1
        2 [1,2] D4:1 :|x3
        3 [3] E4:1
        4 F4:1 Final
    "#]],
    );
}

#[test]
fn an_ending_over_several_measures_that_never_stops() {
    let measures = format!("{{C4 1}} | {} {{D4 1}} | {{E4 1}} {} | {{F4 1}}", bar("left", &ending("1", "start")), bar("right", BACK));
    check(
        "1/4",
        &measures,
        expect![[r#"
        1 C4:1
        2 [1 D4:1
        3 1] E4:1 :|x2
        4 F4:1
    "#]],
    );
}

#[test]
fn endings_that_make_no_sense_are_said() {
    let measures = format!(
        "{{C4 1}} {} | {} {{D4 1}} | {} {{E4 1}}",
        bar("right", &ending("1", "stop")),
        bar("left", &ending("1", "start")),
        bar("left", &ending("x", "start"))
    );
    check(
        "1/4",
        &measures,
        expect![[r#"
        1 C4:1
        2 [1] D4:1
        3 E4:1
        1:413: warning: an ending that stops but never began is left out
        3:46: warning: an ending begins before the one before it has stopped
        3:46: warning: an ending with the number "x" is left out (numbers like "1, 2" are expected)
    "#]],
    );
}

#[test]
fn a_forward_repeat_on_a_right_bar_line_opens_the_next_measure() {
    check(
        "1/4",
        &format!("{{C4 1}} {} | {{D4 1}} {}", bar("right", FORWARD), bar("right", BACK)),
        expect![[r#"
        1 C4:1
        2 |: D4:1 :|x2
    "#]],
    );
}

#[test]
fn a_repeat_inside_a_measure_splits_it() {
    let middle = bar("middle", BACK);
    check(
        "4/4",
        &format!("{{C4 4}} | {{D4 2}} {middle} {{E4 2}} | {{F4 4}}"),
        expect![[r#"
        1 C4:4
        2 D4:2 :|x2
        2 E4:2
        3 F4:4
    "#]],
    );
    let cut = format!(
        "{{C4 4}} | {{D4 3}} <backup><duration>24</duration></backup> {middle} <forward><duration>24</duration></forward> {{E4 1}}"
    );
    check(
        "4/4",
        &cut,
        expect![[r#"
        1 C4:4
        2 D4:2> :|x2
        2 D4:1< E4:1
    "#]],
    );
}

#[test]
fn bar_lines() {
    let styles = ["light-light", "dotted", "dashed", "none", "regular", "light-heavy"];
    let measures: Vec<String> =
        styles.iter().map(|s| format!("{{C4 1}} {}", bar("right", &format!("<bar-style>{s}</bar-style>")))).collect();
    check(
        "1/4",
        &measures.join("|"),
        expect![[r#"
        1 C4:1 Double
        2 C4:1 Dotted
        3 C4:1 Dotted
        4 C4:1 None
        5 C4:1
        6 C4:1 Final
    "#]],
    );
}

fn words(text: &str) -> String {
    format!("<direction><direction-type><words>{text}</words></direction-type></direction>")
}

fn sign(name: &str) -> String {
    format!("<direction><direction-type><{name}/></direction-type></direction>")
}

fn sound(attribute: &str) -> String {
    format!("<sound {attribute}/>")
}

/// The measures' notes in playing order.
fn played(measures: &str) -> String {
    let imported = match read(&score("1/4", measures)) {
        Ok(imported) => imported,
        Err(error) => panic!("{error}"),
    };
    let frames: Vec<&Frame> = imported.sheet.measures.iter().map(|m| &m.frame).collect();
    let name = |i: &usize| imported.sheet.measures[*i].notes[0].pitches.first().map_or('r', |p| p.step.letter());
    order::playing_order(&frames).measures.iter().map(name).collect()
}

#[test]
fn jumps_in_words() {
    assert_eq!(played(&format!("{{C4 1}} | {{D4 1}} {} | {{E4 1}} {}", words("Fine"), words("D.C. al Fine"))), "CDECD");
}

#[test]
fn jumps_in_sound_attributes() {
    let measures = format!(
        "{{C4 1}} | {} {{D4 1}} | {{E4 1}} {} | {{F4 1}} {} | {} {{G4 1}}",
        sound("segno=\"s\""),
        sound("tocoda=\"c\""),
        sound("dalsegno=\"s\""),
        sound("coda=\"c\"")
    );
    assert_eq!(played(&measures), "CDEFDEG");
}

#[test]
fn drawn_signs_without_sound() {
    let measures = format!(
        "{{C4 1}} | {} {{D4 1}} | {{E4 1}} {} | {{F4 1}} {} | {} {{G4 1}}",
        sign("segno"),
        sign("coda"),
        words("D.S. al Coda"),
        sign("coda")
    );
    assert_eq!(played(&measures), "CDEFDEG");
}

#[test]
fn places_at_the_end_of_a_measure_belong_to_the_next() {
    let measures = format!("{{C4 1}} {} | {{D4 1}} | {{E4 1}} {} | {{F4 1}}", sign("segno"), words("D.S. al Fine"));
    check(
        "1/4",
        &measures,
        expect![[r#"
        1 C4:1
        2 D4:1 Segno
        3 E4:1 DalSegno
        4 F4:1
    "#]],
    );
}

#[test]
fn jumps_to_nowhere_are_said() {
    let measures = format!("{{C4 1}} | {{D4 1}} {} | {{E4 1}} {}", words("To Coda"), words("D.S. al Coda"));
    check(
        "1/4",
        &measures,
        expect![[r#"
        1 C4:1
        2 D4:1 ToCoda
        3 E4:1 DalSegno
        2:1: warning: a way to a coda that is not there is passed over
        3:1: warning: dal segno without a segno goes back to the beginning
    "#]],
    );
}

#[test]
fn words_and_sign_in_one_measure_are_one_jump() {
    let measures = format!(
        "{{C4 1}} | {{D4 1/2}} {} {{D4 1/2}} {} | {{E4 1}} {} | {} {{F4 1}}",
        sign("coda"),
        words("To Coda"),
        words("D.C. al Coda"),
        sign("coda")
    );
    check(
        "1/4",
        &measures,
        expect![[r#"
        1 C4:1
        2 D4:1/2 D4:1/2 ToCoda
        3 E4:1 DaCapo
        4 F4:1 Coda
    "#]],
    );
}
