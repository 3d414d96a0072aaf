//! What she has in her hand while something arrives: a list that stands open, words half typed, notes changed faster than the page is drawn.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use crate::keyboard::Keyboard;
use fantoccini::key::Key;
use serde_json::json;

const PIER_FILE: &str = "Down%20to%20the%20Pier.abc";
const KEYS_CAME: &str = "performance.getEntriesByType('resource').some(({ name }) => name.endsWith('/keys'))";
const RANKED: &str = "document.querySelectorAll('.key-choice').length > 5";

/// Another tab makes the left hand fuller.
async fn changed_elsewhere(page: &BrowserPage) {
    let before = page.revision().await;
    let script = "const [at, done] = arguments, asked = (way, body) => fetch(at + way, body);
        asked('').then((answer) => answer.json()).then(({ choices, revision }) => asked('/choices', { method: 'PUT', headers: { 'Content-Type': 'application/json' },
            body: JSON.stringify({ choices: { ...choices, fullness: [5] }, seen: revision }) })).then(({ status }) => done(status))";
    let status = page.client.execute_async(script, vec![json!(format!("/api/tunes/{PIER_FILE}"))]).await.expect("it is sent");
    assert_eq!(status, json!(200));
    page.redrawn(&before).await;
}

#[test]
fn an_open_list_is_left_alone_when_the_keys_have_been_ranked() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Whole tune").await;
        page.until("the panel", "document.querySelector('[data-key=voice-low]')?.checkVisibility()").await;
        page.point_at("[data-key=voice-low]").await;
        page.until("the list is open", "(window.list = document.querySelector('[data-key=voice-low]')).matches(':open')").await;
        page.until("the keys have come", KEYS_CAME).await;
        changed_elsewhere(&page).await;
        let alone = "return window.list.isConnected && window.list.matches(':open')";
        assert_eq!(page.run(alone, Vec::new()).await, json!(true), "neither the keys nor another tab close it");
        Keyboard::of(page.clone()).press(Key::Escape).await;
        page.until("closed, the keys are there", RANKED).await;
        page.until("the focus is where it was", "document.activeElement.dataset.key === 'voice-low'").await;
        page.until(
            "and so is what was changed elsewhere",
            "document.querySelector('[data-key=fullness-0]').value === '5' && !window.list.isConnected",
        )
        .await;
    });
}

#[test]
fn a_chord_half_typed_stays_while_the_page_is_drawn_anew() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Another chord here").await;
        page.until("it is typed in at once", "document.activeElement.matches('.own-chord input')").await;
        page.keys("Em").await;
        page.run("window.form = document.querySelector('.own-chord')", Vec::new()).await;
        changed_elsewhere(&page).await;
        page.until("it is drawn anew", "!window.form.isConnected").await;
        page.until(
            "what she typed is there, and she goes on",
            "document.activeElement.matches('.own-chord[open] input') && document.activeElement.value === 'Em'",
        )
        .await;
        let before = page.revision().await;
        page.keys("7\n").await;
        page.redrawn(&before).await;
        page.until("her chord", "document.querySelector('.decision .chord').innerText === 'Em7'").await;
        page.until("the form has done its work", "!document.querySelector('.own-chord').open").await;
    });
}

/// Each key is about the note as the one before has left it.
#[test]
fn notes_are_changed_as_fast_as_she_presses() {
    const PICKED: &str = "document.querySelector('.one-note[aria-pressed=true]')";
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Change single notes").await;
        page.run(&format!("{PICKED}.focus(); window.from = {PICKED}.firstChild.data"), Vec::new()).await;
        let keys = Keyboard::of(page.clone());
        keys.press_times(Key::Up, 2).await;
        keys.press('2').await;
        page.until(
            "all three are done",
            &format!("{PICKED}.dataset.finger === '2' && document.querySelectorAll('.by-hand li').length >= 2"),
        )
        .await;
        // The white keys of a piano: two strings up is a third.
        let third = format!("'CDEFGAB'.indexOf({PICKED}.firstChild.data[0]) === ('CDEFGAB'.indexOf(window.from[0]) + 2) % 7");
        assert_eq!(page.run(&format!("return {third}"), Vec::new()).await, json!(true));
        assert_eq!(page.run("return document.getElementById('notice').innerText", Vec::new()).await, json!(""), "nothing was refused");
    });
}
