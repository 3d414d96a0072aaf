//! The whole job with the keyboard alone: Tab, arrows, Enter, Space.

use crate::desk::PIER;
use crate::page::{Page, in_browser};
use fantoccini::key::Key;

fn key(key: Key) -> String {
    char::from(key).to_string()
}

async fn enter(page: &Page, name: &str) {
    page.tab_to(name).await;
    page.keys(&key(Key::Enter)).await;
}

#[test]
fn the_whole_job_with_the_keyboard() {
    in_browser(|page| async move {
        enter(&page, "Paste or type a tune").await;
        page.until("the field has the focus", "document.activeElement.tagName === 'TEXTAREA'").await;
        page.paste(PIER).await;
        enter(&page, "Keep and arrange").await;
        page.until("the page has the focus", "document.activeElement.matches('.page-room')").await;
        choose_and_take(&page).await;
        play_and_stop(&page).await;
        whole_tune(&page).await;
        stand_and_back(&page).await;
        enter(&page, "Take home").await;
        enter(&page, "The page to print (PDF)").await;
        assert!(page.taken_home("pdf").await.starts_with(b"%PDF"));
    });
}

async fn choose_and_take(page: &Page) {
    page.keys(&key(Key::Right).repeat(3)).await;
    page.sees("Measure 4").await;
    page.until("the measure is spoken", "document.getElementById('said').textContent.startsWith('Measure 4')").await;
    let before = page.revision().await;
    page.keys(&key(Key::Enter)).await;
    page.until("a way has the focus", "document.activeElement.closest('.ways')").await;
    page.keys(&key(Key::Tab)).await;
    page.keys(&key(Key::Enter)).await;
    page.redrawn(&before).await;
    page.sees("pinned by you").await;
    let pinned = page.revision().await;
    page.keys(&format!("{}z", key(Key::Control))).await;
    page.redrawn(&pinned).await;
    let undone = page.revision().await;
    page.keys(&format!("{}y", key(Key::Control))).await;
    page.redrawn(&undone).await;
    page.sees("pinned by you").await;
}

async fn play_and_stop(page: &Page) {
    page.run("document.querySelector('.page-room').focus()", Vec::new()).await;
    page.keys(" ").await;
    page.until("the marker stands on the music", "document.querySelector('.marker')").await;
    page.keys(" ").await;
    page.until("it is quiet", "document.querySelector('.play').innerText === 'Play'").await;
}

async fn whole_tune(page: &Page) {
    page.tab_to("This measure").await;
    page.keys(&key(Key::Right)).await;
    page.until("the whole tune", "document.querySelector('.whole-panel select')?.checkVisibility()").await;
    page.tab_to("All through").await;
    let before = page.revision().await;
    page.keys(&key(Key::Down)).await;
    page.redrawn(&before).await;
    page.until("the focus stays", "document.activeElement.dataset.key === 'fullness-0'").await;
}

async fn stand_and_back(page: &Page) {
    page.run("document.querySelector('.brand').focus()", Vec::new()).await;
    enter(page, "To the stand").await;
    page.until("the stand has the focus", "document.activeElement.matches('.stand-sheet') && document.querySelector('.stand-sheet svg')")
        .await;
    page.run("document.querySelector('.brand').focus()", Vec::new()).await;
    enter(page, "Back to the bench").await;
    page.until("the page has the focus", "document.activeElement.matches('.page-room')").await;
    page.run("document.querySelector('.brand').focus()", Vec::new()).await;
}
