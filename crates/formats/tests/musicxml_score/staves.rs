//! Which staves are the hands.

use crate::page::{page, part, show};
use formats::musicxml::{ScoreOptions, read_score};

fn song() -> String {
    let piano = "{C5 4} {< 4} {C3 4 v2 s2}";
    format!("<score-partwise>{}{}{}</score-partwise>", part("V", 1, "{G5 4}"), part("P", 2, piano), part("B", 1, "{C2 4}"))
}

/// The first notes of both hands.
fn hands(score: &str, options: &ScoreOptions) -> String {
    match read_score(score.as_bytes(), options) {
        Ok(imported) => {
            let first = |line: &[music::Note]| line[0].top().map_or("rest".to_owned(), |p| p.to_string());
            let measure = &imported.score.measures[0];
            format!("{} over {}", first(&measure.right), first(&measure.left))
        }
        Err(error) => error.to_string(),
    }
}

fn staves(upper: u32, lower: u32) -> ScoreOptions {
    ScoreOptions { staves: Some((upper, lower)), part: None }
}

#[test]
fn the_part_with_two_staves_is_the_page() {
    assert_eq!(hands(&song(), &ScoreOptions::default()), "C5 over C3");
}

#[test]
fn staves_count_from_the_top_of_the_page() {
    assert_eq!(hands(&song(), &staves(1, 3)), "G5 over C3");
    assert_eq!(hands(&song(), &staves(2, 4)), "C5 over C2");
    assert_eq!(hands(&song(), &staves(2, 5)), "1:1: error: there is no staff 5 here: found 4 (count from the top, from 1)");
    assert_eq!(hands(&song(), &staves(0, 1)), "1:1: error: there is no staff 0 here: found 4 (count from the top, from 1)");
}

#[test]
fn staves_count_within_the_part_that_is_asked_for() {
    let within = |part: &str, staves| ScoreOptions { staves, part: Some(part.to_owned()) };
    assert_eq!(hands(&song(), &within("P", Some((2, 1)))), "C3 over C5");
    assert_eq!(hands(&song(), &within("B", None)), "C2 over rest");
    assert_eq!(hands(&song(), &within("X", None)), "there is no part \"X\" in this score: it has V, P, B");
}

#[test]
fn two_parts_of_one_staff_are_a_page() {
    let score = format!("<score-partwise>{}{}</score-partwise>", part("A", 1, "{G5 4} | {A5 4}"), part("B", 1, "{C3 2} {D3 2}"));
    let imported = read_score(score.as_bytes(), &ScoreOptions::default()).expect("a page");
    let expected = "1 R G5:4\n  L C3:2 D3:2\n2 R A5:4\n  L r:4\n\
                    the two hands are read from the parts \"A\" and \"B\"\n\
                    the two parts have 2 and 1 measures, as many as the upper one has are read\n";
    assert_eq!(show(&imported), expected);
}

#[test]
fn nothing_to_pluck_is_refused() {
    let silent = hands(&page("{r 4}"), &ScoreOptions::default());
    assert_eq!(silent, "1:1: error: no notes with pitches, expected two staves with notes (choose another part)");
    assert_eq!(
        hands("<score-partwise><part id=\"P\"/></score-partwise>", &staves(1, 1)),
        "1:1: error: the part \"P\" has no measures (choose another part)"
    );
}
