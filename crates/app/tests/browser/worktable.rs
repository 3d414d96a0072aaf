//! The worktable looked at closely: the picture of the strings, a way heard without being taken, a chord of her own, a measure in words.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use fantoccini::key::Key;
use serde_json::json;

#[test]
fn the_worktable_answers_what_a_harpist_asks() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.point_at("g.measure#m1").await;
        page.sees("Measure 2").await;
        strings_under_the_hand(&page).await;
        a_way_is_heard_and_not_taken(&page).await;
        a_chord_of_her_own(&page).await;
        a_phrase_begins_where_she_says(&page).await;
        page.press("This measure in words").await;
        page.until("words", "/Measure 2.*Left hand.*finger/s.test(document.querySelector('.in-words p').innerText)").await;
    });
}

/// C2 to A6 are 34 strings; the chord of C has a finger on a C string, named by letter as well.
async fn strings_under_the_hand(page: &BrowserPage) {
    page.until("34 strings", "document.querySelectorAll('.strings-svg line.string').length === 34").await;
    page.until("fingers", "document.querySelector('.strings-svg .finger-number')").await;
    page.until("told in words", "/Left hand: C\\d.* finger \\d/.test(document.querySelector('.strings-svg').getAttribute('aria-label'))")
        .await;
    let letters =
        page.run("return [...document.querySelectorAll('.strings-svg .letter')].map((one) => one.textContent).join('')", Vec::new()).await;
    assert_eq!(letters, json!("CDEFGABCDEFGABCDEFGABCDEFGABCDEFGA"));
}

async fn a_way_is_heard_and_not_taken(page: &BrowserPage) {
    page.run("window.plucked = 0; const start = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (when) { window.plucked += 1; return start.call(this, when); };", Vec::new()).await;
    let before = page.revision().await;
    page.click(".ways .way:first-child button:first-child").await;
    page.until("strings sound", "window.plucked > 2").await;
    assert_eq!(page.revision().await, before, "the page stays as it is");
}

async fn a_chord_of_her_own(page: &BrowserPage) {
    page.press("Another chord here").await;
    let before = page.revision().await;
    page.fill(".own-chord input", "Am7").await;
    page.press("Use this chord").await;
    page.redrawn(&before).await;
    page.until("the chord", "document.querySelector('.chord-line .chord').innerText === 'Am7'").await;
    let changed = page.revision().await;
    page.press("Undo").await;
    page.redrawn(&changed).await;
    page.until("the tune's own", "document.querySelector('.chord-line .chord').innerText === 'C'").await;
}

async fn a_phrase_begins_where_she_says(page: &BrowserPage) {
    let before = page.revision().await;
    page.press("Begin a phrase here").await;
    page.redrawn(&before).await;
    page.until("said by you", "/A phrase begins here.*said by you/s.test(document.querySelector('.phrase-line').innerText)").await;
    let said = page.revision().await;
    page.press("As the tune tells").await;
    page.redrawn(&said).await;
    page.until("as before", "/The phrase goes on here/.test(document.querySelector('.phrase-line').innerText)").await;
}

/// A note of the left hand goes up a string by key, is heard at once, told with its new name, and comes back; then it is taken away by mouse.
#[test]
fn a_single_note_is_changed_by_key_and_by_mouse_and_taken_back() {
    const NOTES: &str = "document.querySelectorAll('.page-room g.measure#m0 .note').length";
    const KEPT: &str = "Down to the Pier.abc.undersong.toml";
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.run("window.plucked = 0; const start = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (when) { window.plucked += 1; return start.call(this, when); };", Vec::new()).await;
        page.press("Change single notes").await;
        let was = page
            .run("const one = document.querySelector('.one-note[aria-pressed=true]'); one.focus(); return one.firstChild.data", Vec::new())
            .await;
        let before = page.revision().await;
        page.keys(&char::from(Key::Up).to_string()).await;
        page.redrawn(&before).await;
        page.until(
            "the focus is on the changed note",
            &format!("document.activeElement.matches('.one-note[aria-pressed=true]') && document.activeElement.firstChild.data !== {was}"),
        )
        .await;
        page.until("it is heard", "window.plucked > 0").await;
        page.until("it is checked", "document.querySelector('.note-check')?.checkVisibility()").await;
        let now = page.run("return document.activeElement.firstChild.data", Vec::new()).await;
        page.until("old notes are gone from the text", &format!("!document.querySelector('.decision .strings-line').innerText.includes({was}) && document.querySelector('.decision .strings-line').innerText.includes({now})")).await;
        assert!(page.desk.borrow().text(KEPT).contains("becomes"), "kept beside the tune");
        let changed = page.revision().await;
        page.keys(&format!("{}z", char::from(Key::Control))).await;
        page.redrawn(&changed).await;
        page.until(
            "the note is back",
            &format!("document.querySelector('.one-note').firstChild.data === {was} && !document.querySelector('.by-hand')"),
        )
        .await;

        let notes = page.run(&format!("return {NOTES}"), Vec::new()).await.as_u64().expect("notes");
        let before = page.revision().await;
        page.press("Take away").await;
        page.redrawn(&before).await;
        page.until("one note fewer", &format!("{NOTES} === {}", notes - 1)).await;
        page.until("it is told", "document.querySelector('.measure-panel .by-hand li')?.checkVisibility()").await;
        let changed = page.revision().await;
        page.click(".measure-panel .by-hand li button").await;
        page.redrawn(&changed).await;
        page.until("the note is back", &format!("{NOTES} === {notes} && !document.querySelector('.by-hand')")).await;
        page.until("single notes stand before other ways", "document.querySelector('.change-notes').compareDocumentPosition(document.querySelector('.other-ways')) & Node.DOCUMENT_POSITION_FOLLOWING").await;
    });
}
