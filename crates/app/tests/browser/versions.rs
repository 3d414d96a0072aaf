//! Versions of a tune: a pupil's copy is made, changed, laid beside hers, named, taken away and brought back; levels by one touch; by mouse and by keyboard, at three widths, and looked at by the accessibility checker.

use crate::browser_page::{BrowserPage, WINDOWS, in_browser};
use crate::desk::PIER;
use crate::keyboard::Keyboard;
use fantoccini::key::Key;
use serde_json::json;

const FILE: &str = "Down to the Pier.abc.undersong.toml";

async fn shows(page: &BrowserPage, version: &str) {
    let shown = format!("document.querySelector('.version-link[aria-current]')?.textContent === {}", json!(version));
    page.until(&format!("{version} is on the worktable"), &shown).await;
    page.until("its page is drawn", "document.querySelector('.page-room g.measure')").await;
}

async fn types(page: &BrowserPage, key: &str, text: &str) {
    page.fill(&format!("input[data-key={key}]"), text).await;
}

async fn fullness(page: &BrowserPage, value: &str) {
    page.press("Whole tune").await;
    let before = page.revision().await;
    page.choose("[data-key=fullness-0]", value).await;
    page.redrawn(&before).await;
    page.press("Versions").await;
}

#[test]
fn a_pupils_version_by_mouse() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Versions").await;
        types(&page, "version-new", "for the pupil").await;
        page.press("Make a copy").await;
        shows(&page, "for the pupil").await;
        fullness(&page, "1").await;
        page.press("mine").await;
        shows(&page, "mine").await;
        fullness(&page, "4").await;
        let kept = page.desk.borrow().text(FILE);
        assert!(kept.contains("fullness = [4]") && kept.contains("[[version]]\n") && kept.contains("fullness = [1]"), "{kept}");
        page.press("Compare with for the pupil").await;
        page.until("both are drawn", "document.querySelectorAll('.beside-sheet[data-drawn]').length === 2 && document.querySelector('.room.beside').dataset.compared").await;
        let marks = page
            .run(
                "return [...document.querySelectorAll('.beside-column')].map((one) => one.querySelectorAll('.changed-mark').length)",
                Vec::new(),
            )
            .await;
        let told = page.run("return document.querySelectorAll('.beside-measure').length", Vec::new()).await;
        assert!(told.as_u64() > Some(3) && marks[0] == told && marks[1] == told, "{marks} framed, {told} told");
        page.press("Measure 2").await;
        let chosen = page
            .run("return [...document.querySelectorAll('.chosen-mark')].map((one) => one.closest('g.measure').dataset.index)", Vec::new())
            .await;
        assert_eq!(chosen, json!(["1", "1"]), "the same measure in both");
        page.press("for the pupil: to its worktable").await;
        page.press("Versions").await;
        shows(&page, "for the pupil").await;
        types(&page, "version-name", "for Ann").await;
        page.press("Change the name").await;
        shows(&page, "for Ann").await;
        page.press("Take it home alone").await;
        let home = String::from_utf8(page.taken_home("abc").await).expect("text");
        assert!(
            home.contains("T:Down to the Pier") && home.contains("%undersong name = \"for Ann\"") && home.contains("fullness = [1]"),
            "{home}"
        );
        page.press("Take it away").await;
        shows(&page, "mine").await;
        page.until("it is gone", "document.querySelectorAll('.version').length === 1").await;
        page.press("Undo").await;
        page.until("it is back", "document.querySelectorAll('.version').length === 2").await;
        // The stand is of the version whose address it has.
        page.go("#/stand/Down%20to%20the%20Pier.abc%3Afor%20Ann").await;
        page.until("its page", "document.querySelector('.stand-sheet svg')").await;
    });
}

#[test]
fn levels_by_one_touch_and_by_keys_alone() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let keys = Keyboard::of(page.clone());
        keys.tab_to("This measure").await;
        for _ in 0..4 {
            keys.press(Key::Right).await;
        }
        keys.enter("Make levels").await;
        page.until("levels are made", "document.querySelectorAll('.version').length === 3 && document.querySelector('.together')").await;
        page.sees("They sound together: the same measures, time, chords and tune, and no two left hands rub anywhere.").await;
        let levels =
            page.run("return [...document.querySelectorAll('.version .badge')].map((one) => one.textContent).sort()", Vec::new()).await;
        assert_eq!(levels, json!(["level 1", "level 2", "level 3"]));
        let name = page.run("return document.querySelectorAll('.version-link')[1].textContent", Vec::new()).await;
        let name = name.as_str().expect("a name").to_owned();
        keys.enter_back(&name).await;
        shows(&page, &name).await;
        keys.enter("Compare with mine").await;
        page.until("both are drawn", "document.querySelector('.room.beside')?.dataset.compared").await;
        page.run("document.querySelector('.beside-sheet').focus()", Vec::new()).await;
        keys.press(Key::Right).await;
        page.until("a measure is chosen in both", "document.querySelectorAll('.chosen-mark').length === 2").await;
    });
}

#[test]
fn nobody_is_shut_out_and_everything_fits() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Versions").await;
        page.press("Make levels").await;
        page.until("levels are made", "document.querySelector('.together')").await;
        let mut found = Vec::new();
        for window in WINDOWS {
            page.shown_in(window).await;
            for place in ["#/worktable/Down%20to%20the%20Pier.abc", "#/beside/Down%20to%20the%20Pier.abc/level%201"] {
                page.go(place).await;
                if place.contains("worktable") {
                    // On a narrow window the row of the sound may lie over the panel until she scrolls.
                    page.run(
                        "[...document.querySelectorAll('[role=tab]')].find((tab) => tab.textContent === 'Versions').click()",
                        Vec::new(),
                    )
                    .await;
                    page.run("document.querySelector('[data-key=version-together]').click()", Vec::new()).await;
                    page.until("it is told", "document.querySelector('.together')").await;
                } else {
                    page.until("both are drawn", "document.querySelector('.room.beside')?.dataset.compared").await;
                }
                found.extend(page.barriers_in(window, place).await);
            }
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}
