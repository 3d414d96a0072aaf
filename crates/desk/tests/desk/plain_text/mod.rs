//! What stands on a page comes back from its text, in every order: over our own tunes at several fullnesses, and over invented pages that have some of everything.

#[path = "../../../../formats/tests/write_scores/mod.rs"]
#[allow(dead_code, reason = "the writers' tests make single scores too")]
mod write_scores;
mod facts;

use arrange::form::{Ending, Form, Length};
use arrange::{Figures, Wishes, arrange};
use desk::plain_text::{Order, read, told, write};
use facts::{facts, same};
use formats::ReadOptions;
use harp::{Instrument, Player};
use music::Score;
use proptest::prelude::*;
use std::path::Path;

/// Reads the text of a page and compares all of it.
fn comes_back(name: &str, score: &Score, phrases: &[usize]) {
    for order in Order::ALL {
        let text = write(score, phrases, order);
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{name}: a line longer than 80");
        let found = read(&text).unwrap_or_else(|mistake| panic!("{name}, by {order}: {mistake}\n{text}"));
        assert_eq!((found.order, found.phrases.as_slice()), (order, phrases), "{name}");
        same(name, &facts(score), &facts(&found.score));
        assert_eq!(found.score, told(score), "{name}, by {order}");
    }
}

fn demo_tunes() -> Vec<music::LeadSheet> {
    let folder = Path::new("../../data/tunes");
    let mut files: Vec<_> = std::fs::read_dir(folder).expect("the demo tunes").map(|f| f.expect("a file").path()).collect();
    files.sort();
    let abc = files.into_iter().filter(|f| f.extension().is_some_and(|e| e == "abc"));
    abc.map(|f| formats::read(&std::fs::read(f).expect("a tune"), &ReadOptions::default()).expect("a tune").sheet).collect()
}

#[test]
fn our_tunes_come_back_at_several_fullnesses() {
    let tunes = demo_tunes();
    assert!(tunes.len() >= 4);
    let form = Form {
        introduction: Some(Length::Four),
        vamp: Some(Length::Two),
        interlude: Some(Length::Two),
        ending: Some(Ending::Usual),
        ..Form::default()
    };
    let pedals = desk::harps::harp("pedal-47").expect("a harp of ours");
    for sheet in tunes {
        let plain = |fullness: Vec<u8>| Wishes { fullness, ..Wishes::default() };
        let mut wishes: Vec<Wishes> = [0, 2, 3, 5, 6].map(|level| plain(vec![level])).into();
        wishes.push(Wishes { form, fullness: vec![2, 4], melody_below: [1].into(), ..Wishes::default() });
        for wishes in wishes {
            for harp in [Instrument::lever_34(), pedals.clone()] {
                let made = arrange(&sheet, &Figures::own(), &harp, &Player::default(), &wishes).expect("a demo tune can be arranged");
                let phrases: Vec<usize> = made.phrases.measures.iter().map(|p| p.phrase).collect();
                assert_eq!(phrases.len(), made.score.measures.len());
                comes_back(&format!("{} {:?}", sheet.words.title, wishes.fullness), &made.score, &phrases);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn invented_pages_come_back(score in write_scores::scores(), phrase in 1usize..4) {
        let phrases: Vec<usize> = (0..score.measures.len()).map(|i| i / phrase).collect();
        comes_back("an invented page", &score, &phrases);
    }

    /// Any text is read or refused with a place in it, and never panics.
    #[test]
    fn a_spoiled_text_is_refused_with_its_line(score in write_scores::scores(), at in any::<prop::sample::Index>(), with in "[ -~\n]{0,3}") {
        let phrases = vec![0; score.measures.len()];
        let mut text: Vec<char> = write(&score, &phrases, Order::Measure).chars().collect();
        let at = at.index(text.len());
        text.splice(at..at + 1, with.chars());
        let text: String = text.into_iter().collect();
        if let Err(mistake) = read(&text) {
            prop_assert!((1..=text.lines().count().max(1)).contains(&mistake.line), "{mistake}");
        }
    }
}

/// What one takes away from a text by a word is never read as the page it was: the reader is strict.
#[test]
fn a_changed_note_is_another_page_or_a_mistake() {
    let score = write_scores::score(&[7; 400]);
    let phrases = vec![0; score.measures.len()];
    let text = write(&score, &phrases, Order::Measure);
    let body = text.find("Phrase 1").expect("a phrase");
    let words: Vec<usize> = text[body..].match_indices(' ').map(|(i, _)| body + i).collect();
    assert!(words.len() > 50, "{text}");
    for at in words {
        let end = text[at + 1..].find([' ', '\n']).map_or(text.len(), |i| at + 1 + i);
        let without = format!("{}{}", &text[..at], &text[end..]);
        assert!(read(&without).map_or(true, |found| found.score != told(&score)), "without \"{}\"", &text[at..end]);
    }
}
