//! A hand that is faster than the program, and news that comes under the hand: nothing is lost, and the focus stays where it is.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use crate::keyboard::Keyboard;
use fantoccini::key::Key;
use serde_json::json;

/// Holds back what is asked at addresses with these words in them until `window.let_go()`; what is given up meanwhile is refused as the browser does it.
async fn hold_back(page: &BrowserPage, words: &str) {
    let script = "const ask = window.fetch, held = (window.held = []), words = arguments[0];
        window.fetch = (path, wish = {}) => (window.free || !path.includes(words) ? ask(path, wish) : new Promise((come, fail) => {
            wish.signal?.addEventListener('abort', () => fail(wish.signal.reason));
            held.push(() => ask(path, wish).then(come, fail));
        }));
        window.let_go = () => { window.free = true; for (const one of held) one(); };";
    page.run(script, vec![json!(words)]).await;
}

async fn asked(page: &BrowserPage, times: usize) {
    page.until(&format!("asked {times} times"), &format!("window.held.length >= {times}")).await;
}

#[test]
fn a_size_chosen_before_the_stand_is_drawn() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        hold_back(&page, "/page?for=stand").await;
        page.press("To the stand").await;
        asked(&page, 1).await;
        page.press("Sizes and turns").await;
        page.choose("select[data-key=staff]", "12").await;
        asked(&page, 2).await;
        page.run("window.let_go()", Vec::new()).await;
        page.until("the page is drawn", "document.querySelector('.stand-sheet g.measure')").await;
    });
}

#[test]
fn a_measure_chosen_before_the_first_is_told() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        hold_back(&page, "/measures/").await;
        page.press("Shelf").await;
        page.press("Down to the Pier").await;
        asked(&page, 1).await;
        page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
        page.point_at("g.measure#m2").await;
        asked(&page, 2).await;
        page.run("window.let_go()", Vec::new()).await;
        page.sees("Measure 3").await;
        page.sees("Left hand").await;
    });
}

#[test]
fn a_tune_that_comes_to_the_shelf_leaves_the_focus_where_it_is() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.go("#/").await;
        let hand = Keyboard::of(page.clone());
        for name in ["Down to the Pier", "Down to the Pier: its text"] {
            hand.tab_to(name).await;
            let title = format!("Harbour {}", hand.pressed());
            std::fs::write(page.desk.borrow().file(&format!("{title}.abc")), PIER.replace("Down to the Pier", &title))
                .expect("a tune from elsewhere");
            page.sees(&title).await;
            page.until(
                "the focus is where it was",
                &format!("[document.activeElement.innerText, document.activeElement.ariaLabel].includes('{name}')"),
            )
            .await;
        }
    });
}

#[test]
fn what_is_typed_is_there_again_after_a_look_elsewhere() {
    in_browser(|page| async move {
        page.press("Paste or type a tune").await;
        page.until("the field has the focus", "document.activeElement.tagName === 'TEXTAREA'").await;
        page.paste(PIER).await;
        page.press("Shelf").await;
        page.press("Paste or type a tune").await;
        page.until("the text is there", &format!("document.querySelector('textarea').value === {}", json!(PIER))).await;
        page.client.refresh().await.expect("a reload");
        page.until("and after loading anew", &format!("document.querySelector('textarea').value === {}", json!(PIER))).await;
        page.press("Keep and arrange").await;
        page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
        page.press("Shelf").await;
        page.press("Paste or type a tune").await;
        page.until("the next one begins empty", "document.querySelector('textarea').value === ''").await;
    });
}

#[test]
fn many_measures_stepped_through_at_once_end_at_the_last() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let hand = Keyboard::of(page.clone());
        hand.press_times(Key::Right, 12).await;
        page.sees("Measure 8").await;
        page.until("the last is spoken", "document.getElementById('said').textContent.startsWith('Measure 8: ')").await;
    });
}
