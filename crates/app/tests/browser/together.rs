//! What changes elsewhere is on the worktable at once: in another tab, in the file of her choices, in the tune's own file.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;

const WORKTABLE: &str = "#/worktable/Down%20to%20the%20Pier.abc";
const CHOICES: &str = "Down to the Pier.abc.undersong.toml";

/// Opens the tune in a second tab and stays there; gives the first.
async fn second_tab(page: &BrowserPage) -> fantoccini::wd::WindowHandle {
    let first = page.client.window().await.expect("a tab");
    let second = page.client.new_window(true).await.expect("another tab").handle;
    page.client.switch_to_window(second).await.expect("to it");
    page.go(WORKTABLE).await;
    page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
    first
}

async fn shows(page: &BrowserPage, revision: &str) {
    page.until("this tab has it too", &format!("document.querySelector('.page-room').dataset.revision === '{revision}'")).await;
}

#[test]
fn two_tabs_agree_both_ways() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let first = second_tab(&page).await;
        let second = page.client.window().await.expect("a tab");
        let before = page.revision().await;
        page.press("Hold this").await;
        page.redrawn(&before).await;
        let held = page.revision().await;
        page.client.switch_to_window(first).await.expect("to the first tab");
        shows(&page, &held).await;
        page.sees("held by you").await;
        page.press("Undo").await;
        page.redrawn(&held).await;
        let undone = page.revision().await;
        page.client.switch_to_window(second).await.expect("to the second tab");
        shows(&page, &undone).await;
        page.until("the hold is out here as well", "!document.body.innerText.includes('held by you')").await;
    });
}

#[test]
fn choices_changed_by_hand_are_taken_over() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Hold this").await;
        page.sees("held by you").await;
        let before = page.revision().await;
        let file = page.desk.borrow().file(CHOICES);
        let kept = page.desk.borrow().text(CHOICES);
        let by_hand = kept.replace("harp = \"lever-34\"", "harp = \"lever-36\"");
        assert_ne!(by_hand, kept, "the harp stands in {kept}");
        std::fs::write(file, &by_hand).expect("changed by hand");
        page.redrawn(&before).await;
        // A1 to A6: `undersong harps`.
        page.until("the other harp's strings", "document.querySelectorAll('.strings-svg line.string').length === 36").await;
        page.sees("held by you").await;
        assert_eq!(page.desk.borrow().text(CHOICES), by_hand, "the file is left as she wrote it");
        page.press("Undo").await;
        page.until("it can be undone", "document.querySelectorAll('.strings-svg line.string').length === 34").await;
    });
}

#[test]
fn a_tune_changed_outside_is_drawn_anew() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let before = page.revision().await;
        let file = page.desk.borrow().file("Down to the Pier.abc");
        std::fs::write(file, PIER.replace("T:Down to the Pier", "T:Up from the Pier").replace("|]", "|\"C\"c3|]"))
            .expect("changed outside");
        page.redrawn(&before).await;
        page.until("the ninth measure", "document.querySelector('.page-room g.measure#m8')").await;
        page.until("the new title", "document.querySelector('.worktable h1, #top h1').innerText === 'Up from the Pier'").await;
    });
}
