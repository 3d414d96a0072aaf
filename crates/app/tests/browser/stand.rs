//! The stand: large print laid out anew, turns by key, pedal and tap, double hits, forwards only.

use crate::desk::PIER;
use crate::page::{Page, in_browser};
use fantoccini::key::Key;

async fn shown(page: &Page, number: u32) {
    page.until(&format!("page {number}"), &format!("document.querySelector('.page-count').innerText.startsWith('{number} /')")).await;
}

/// A key as a pedal sends it, at a time of its own: the page's clock is put on so that the test need not wait.
async fn pedal(page: &Page, key: Key) {
    page.keys(&char::from(key).to_string()).await;
}

async fn later(page: &Page) {
    page.run("const now = performance.now.bind(performance); const on = (window.waited = (window.waited ?? 0) + 1000); window.clock ??= now; performance.now = () => window.clock() + on;", Vec::new()).await;
}

#[test]
fn pages_turn_by_pedal_tap_and_key() {
    in_browser(|page| async move {
        let long = PIER.replace("|]\n", "|\n") + &"\"G\"G B d | \"C\"e2 d | \"Am\"c B A | \"D7\"F2 A |\n".repeat(8);
        page.bring(&long).await;
        page.press("To the stand").await;
        page.until("the page is drawn", "document.querySelector('.stand-sheet g.measure')").await;
        page.press("Sizes and turns").await;
        page.find("select[data-key=staff]").await.select_by_value("12").await.expect("a large staff");
        page.until("more pages", "Number(document.querySelector('.page-count').innerText.split('/')[1]) > 2").await;
        page.press("Hide the bar").await;
        shown(&page, 1).await;
        pedal(&page, Key::PageDown).await;
        shown(&page, 2).await;
        pedal(&page, Key::PageDown).await;
        shown(&page, 2).await;
        later(&page).await;
        pedal(&page, Key::Right).await;
        shown(&page, 3).await;
        later(&page).await;
        pedal(&page, Key::PageUp).await;
        shown(&page, 2).await;
        later(&page).await;
        page.point_at(".stand-sheet").await;
        shown(&page, 3).await;
        pedal(&page, Key::Escape).await;
        page.sees("Back to the bench").await;
    });
}
