//! Small things that were stumbled over: Esc and Space, a notice that goes, a measure shown by a click, the tempo of the stand, a beat that is counted.

use crate::browser_page::in_browser;
use crate::desk::PIER;
use crate::keyboard::Keyboard;
use fantoccini::key::Key;
use serde_json::json;

#[test]
fn space_plays_and_escape_goes_back_step_by_step() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let keys = Keyboard::of(page.clone());
        page.run("document.activeElement.blur()", Vec::new()).await;
        keys.press(' ').await;
        page.until("it plays", "document.querySelector('.play').innerText === 'Pause'").await;
        keys.press(' ').await;
        page.until("it is quiet", "document.querySelector('.play').innerText === 'Play'").await;
        page.press("Another chord here").await;
        page.type_into(".own-chord input", " ").await;
        assert_eq!(page.run("return document.querySelector('.play').innerText", Vec::new()).await, "Play", "while typing it is a space");
        page.click(".measure-step button").await;
        keys.press(Key::Escape).await;
        page.until("back on the page", "document.activeElement.matches('.page-room')").await;
        keys.press(Key::Escape).await;
        page.until("back on the shelf", "document.querySelector('.room.shelf')").await;
    });
}

#[test]
fn a_click_on_a_measure_shows_it_whatever_panel_is_open() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Whole tune").await;
        page.until("the panel", "document.querySelector('.whole-panel select')?.checkVisibility()").await;
        let order =
            "return document.querySelector('[data-key=fullness-0]').compareDocumentPosition(document.querySelector('.keys-part')) & 4";
        assert_eq!(page.run(order, Vec::new()).await, 4, "fullness stands above the keys");
        page.point_at("g.measure#m2").await;
        page.until("its panel", "document.querySelector('.measure-panel').checkVisibility()").await;
        page.sees("Measure 3").await;
    });
}

#[test]
fn a_notice_goes_when_its_matter_is_settled() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Another chord here").await;
        page.fill(".own-chord input", "Hq9").await;
        page.press("Use this chord").await;
        page.until("refused", "document.querySelector('#notice p')").await;
        let before = page.revision().await;
        page.fill(".own-chord input", "Am7").await;
        page.press("Use this chord").await;
        page.redrawn(&before).await;
        page.until("the notice is gone", "!document.querySelector('#notice p')").await;
    });
}

/// What was taken is the chosen figure now: the focus is on it.
#[test]
fn the_focus_stays_with_what_was_taken() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let before = page.revision().await;
        page.click(".ways .way:first-child button:last-child").await;
        page.redrawn(&before).await;
        page.sees("held by you").await;
        page.until("the focus", "document.activeElement.matches('[data-key^=hear-chosen-]')").await;
    });
}

/// With two verses a chord is said to hold in both, and a hold in one.
#[test]
fn what_holds_for_every_verse_and_what_for_one_is_said() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Another chord here").await;
        page.until("one verse needs no word", "!document.querySelector('.for-this-verse')").await;
        // What stands open stays as it is; closed, it is drawn anew.
        page.press("Another chord here").await;
        page.press("Whole tune").await;
        let before = page.revision().await;
        page.press("Add a verse").await;
        page.redrawn(&before).await;
        page.point_at("g.measure#m0").await;
        page.sees("for this verse alone").await;
        page.press("Another chord here").await;
        page.sees("A chord of yours holds in every verse").await;
    });
}

#[test]
fn the_stand_keeps_its_tempo_and_the_count_is_seen() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.go("#/stand/Down%20to%20the%20Pier.abc").await;
        page.press("Sound").await;
        page.run(
            "const slider = document.querySelector('[data-key=sound-tempo]'); slider.value = 80; slider.dispatchEvent(new Event('input'))",
            Vec::new(),
        )
        .await;
        page.go("#/stand/Down%20to%20the%20Pier.abc").await;
        page.press("Sound").await;
        assert_eq!(page.run("return document.querySelector('[data-key=sound-tempo]').value", Vec::new()).await, json!("80"));
        page.tick("Count-in").await;
        page.press("Play").await;
        page.until("a beat is counted", "document.querySelector('.sound .count').innerText === '2'").await;
        page.until(
            "and no more when the music plays",
            "document.querySelector('.sound .count').innerText === '' && document.querySelector('.marker')",
        )
        .await;
    });
}
