//! The limits of what is arranged and of what the check reads agree: the check reads the fullest page that the program makes.

use arrange::{ArrangeError, Arrangement, Figures, Wishes, arrange};
use formats::musicxml::{ScoreOptions, read_score, write};
use formats::read::MOST_ON_PAGE;
use harp::{Instrument, Player};
use music::Note;

/// A hundred measures of fifty sixteenths, each of two strings; four verses of it are 40,000 notes, the most that is laid out.
fn verses(number: usize) -> Result<Arrangement, ArrangeError> {
    let notes = "[ce][df][eg][fa][gb][ac'][bd'][c'e'][bd'][gb]".repeat(5);
    let measures: String = ["C", "F", "G7", "Am"].iter().cycle().take(100).map(|chord| format!("\"{chord}\"{notes}|\n")).collect();
    let tune = format!("X:1\nT:The Longest Quay\nM:25/8\nL:1/16\nQ:1/4=60\nK:C\n{measures}");
    let sheet = formats::read(tune.as_bytes(), &formats::ReadOptions::default()).expect("our own tune reads").sheet;
    let wishes = Wishes { fullness: vec![6; number], ..Wishes::default() };
    arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes)
}

/// Notes and rests of a page, every string counted.
fn strings<'a>(notes: impl Iterator<Item = &'a Note>) -> usize {
    notes.map(|n| n.pitches.len().max(1)).sum()
}

#[test]
fn the_check_reads_the_fullest_page_that_is_made() {
    let made = verses(4).expect("as much as is arranged");
    let plucked = made.score.measures.iter().flat_map(|m| m.right.iter().chain(&m.left));
    let text = write::write(&made.score);
    let written = text.matches("<note ").count();
    assert!(strings(plucked) > 40_000, "the tune and a left hand");
    assert!(written < MOST_ON_PAGE / 2, "{written} notes: as much again is left for what is tied and for a fuller left hand");
    let page = read_score(text.as_bytes(), &ScoreOptions::default()).expect("our own page reads").score;
    assert_eq!(page.measures.len(), made.score.measures.len());
    assert_eq!(verses(5).err(), Some(ArrangeError::TooManyNotes(50_000)));
}
