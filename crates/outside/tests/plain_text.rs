//! The plain text of tunes of the corpus, arranged: what stands on the page comes back from it in every order.

#[path = "../../desk/tests/desk/plain_text/facts.rs"]
mod page_facts;

use arrange::{Figures, Wishes, arrange};
use desk::plain_text::{Order, read as read_text, told, write};
use formats::{ReadOptions, read};
use harp::{Instrument, Player};
use outside::facts::{self, Facts};
use page_facts::{facts as of_page, same};

/// Every how manieth tune is taken: all would take minutes.
const EVERY: usize = 7;

#[test]
fn arranged_tunes_of_the_corpus_come_back_from_their_text() {
    let (mut tunes, mut notes) = (0, 0);
    for format in ["abc", "musicxml"] {
        let facts: Facts = facts::load(format);
        for tune in facts.tunes.iter().filter(|t| t.error.is_none()).step_by(EVERY) {
            let bytes = std::fs::read(facts.root.join(&tune.file)).expect("a file of the corpus");
            let Ok(imported) = read(&bytes, &ReadOptions { tune: tune.tune, part: None }) else { continue };
            let harp = Instrument::lever_34();
            let Ok(made) = arrange(&imported.sheet, &Figures::own(), &harp, &Player::default(), &Wishes::default()) else { continue };
            let phrases: Vec<usize> = made.phrases.measures.iter().map(|p| p.phrase).collect();
            let name = format!("{} {}", tune.file, tune.tune.unwrap_or(1));
            for order in Order::ALL {
                let text = write(&made.score, &phrases, order);
                let found = read_text(&text).unwrap_or_else(|mistake| panic!("{name}, by {order}: {mistake}"));
                same(&name, &of_page(&made.score), &of_page(&found.score));
                assert_eq!(found.score, told(&made.score), "{name}, by {order}");
            }
            tunes += 1;
            notes += of_page(&made.score).0.len();
        }
    }
    println!("{tunes} tunes with {notes} notes and rests came back in three orders");
    assert!(tunes >= 80, "only {tunes} tunes: too few to show anything");
}
