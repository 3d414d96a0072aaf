//! Windows of three sizes: what has a name is read whole, what is opened lies within the window.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use serde_json::json;

const TITLE: &str = "The Long Way Round by the Old Lighthouse and Home Again with Lanterns";
/// Inside the window from left to right.
const WITHIN: &str = "((box) => box.width > 0 && box.left >= 0 && box.right <= innerWidth)";

async fn sized(page: &BrowserPage, width: u32, height: u32) {
    page.client.set_window_size(width, height).await.expect("a window");
}

#[test]
fn title_and_tabs_of_the_worktable_are_read_whole() {
    in_browser(|page| async move {
        // Without a tempo the tab of the whole tune has something to count.
        page.bring(&PIER.replace("Down to the Pier", TITLE).replace("Q:1/4=100\n", "")).await;
        page.until("something is counted", "document.querySelector('[role=tab][data-count]')").await;
        for (width, height) in [(1440, 900), (1024, 768), (500, 844)] {
            sized(&page, width, height).await;
            page.until("the tabs stand in one row", "new Set([...document.querySelectorAll('.worktable [role=tab]')].map((tab) => Math.round(tab.getBoundingClientRect().top))).size === 1").await;
            page.until(
                "no name runs into the next",
                "[...document.querySelectorAll('.worktable [role=tab]')].every((tab) => tab.scrollWidth <= tab.clientWidth + 1)",
            )
            .await;
            page.until(
                "the title is whole",
                "((title) => title.scrollWidth <= title.clientWidth + 1)(document.querySelector('.worktable-title h1'))",
            )
            .await;
        }
    });
}

#[test]
fn what_the_stand_and_the_worktable_open_lies_within_the_window() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        for (width, height) in [(1440, 900), (1024, 768), (500, 844)] {
            sized(&page, width, height).await;
            page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
            page.press("Take home").await;
            page.until("the list of files", &format!("{WITHIN}(document.querySelector('.take-list').getBoundingClientRect())")).await;
            page.until(
                "each is read whole",
                "[...document.querySelectorAll('.take-list .button')].every((one) => one.scrollWidth <= one.clientWidth + 1)",
            )
            .await;
            page.go("#/stand/Down%20to%20the%20Pier.abc").await;
            for (name, panel) in [("Sizes and turns", ".sizes-panel"), ("Sound", ".sound-panel")] {
                page.press(name).await;
                page.until(name, &format!("{WITHIN}(document.querySelector('{panel}').getBoundingClientRect())")).await;
                page.press(name).await;
            }
        }
    });
}

/// A long title in the list of tunes pushes nothing under the page beside it; links that there are none of are not printed.
#[test]
fn a_set_keeps_to_its_columns() {
    in_browser(|page| async move {
        page.bring(&PIER.replace("Down to the Pier", &TITLE.repeat(2))).await;
        page.go("#/").await;
        page.press("Make a set").await;
        page.click(".set-ticks input").await;
        page.press("Make the set of 1 tune").await;
        page.until("its page", "document.querySelector('.set-page svg')").await;
        let side = "document.querySelector('.set-page').getBoundingClientRect().left";
        page.until(
            "the columns are kept",
            &format!("[...document.querySelectorAll('.set-tools *')].every((one) => one.getBoundingClientRect().right <= {side})"),
        )
        .await;
        let links = "return [...document.querySelectorAll('a')].find(({ textContent }) => textContent === 'Print the links (PDF)').checkVisibility()";
        assert_eq!(page.run(links, Vec::new()).await, json!(false));
    });
}

#[test]
fn on_a_telephone_the_touched_music_and_what_is_told_of_it_are_seen_together() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        sized(&page, 390, 844).await;
        page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
        page.until("the page", "document.querySelector('g.measure#m3')").await;
        page.point_at("g.measure#m3").await;
        page.sees("Measure 4").await;
        let seen = "((music, step, why, foot) => music.top >= 0 && music.bottom <= step.top && why.bottom <= foot.top)(...['g.measure#m3', '.measure-step', '.decision .chord-line', '.worktable-foot'].map((part) => document.querySelector(part).getBoundingClientRect()))";
        page.until("music above, what is told below", seen).await;
    });
}

/// What stands in the panel until the new measure has come is of the old one: it cannot be pressed any more.
#[test]
fn what_is_pressed_is_never_of_the_measure_before() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.until("a chord to change", "document.querySelector('.own-chord > summary')").await;
        let held = "const real = window.fetch; window.fetch = (what, ...more) => String(what).includes('/measures/')
            ? new Promise((go) => { window.goOn = () => { window.fetch = real; go(real(what, ...more)); }; }) : real(what, ...more);";
        page.run(held, Vec::new()).await;
        page.click(".measure-step [data-key=next]").await;
        page.until("the measure is on its way", "window.goOn && document.querySelector('.measure-panel[aria-busy=true]')").await;
        page.click(".own-chord > summary").await;
        assert_eq!(page.run("return document.querySelector('.own-chord').open", Vec::new()).await, false, "the old measure's form opened");
        page.run("window.goOn()", Vec::new()).await;
        page.sees("Measure 2").await;
        page.click(".own-chord > summary").await;
        page.until("the form of the new measure", "document.querySelector('.own-chord').open").await;
    });
}
