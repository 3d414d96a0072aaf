//! The end, asked for on the shelf: nothing is asked where nothing is unsaved, and the page says what happened.

use crate::browser_page::in_browser;
use crate::desk::PIER;
use serde_json::json;

const ENDED: &str = "document.querySelector('h1')?.innerText === 'Undersong has ended'";

#[test]
fn the_program_ends_and_the_page_says_so() {
    in_browser(|page| async move {
        page.press("End Undersong").await;
        page.until("the end is told", ENDED).await;
        page.sees("You can close this tab").await;
        assert_eq!(page.desk.borrow_mut().ended(), Some(0));
        assert_eq!(page.run("return document.getElementById('notice').innerText", Vec::new()).await, json!(""), "no mishap is told");
        assert_eq!(page.barriers("the end").await, Vec::<String>::new());
    });
}

/// What was typed in this tab and never saved is named first; she may end all the same.
#[test]
fn text_that_is_not_saved_is_told_first() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.go("#/text/Down%20to%20the%20Pier.abc").await;
        page.type_into("textarea", "% not saved").await;
        page.until("the draft is kept", "Object.keys(sessionStorage).some((name) => name.includes('Pier'))").await;
        // As a click on Shelf: the page is not loaded anew.
        page.run("location.hash = '#/'", Vec::new()).await;
        page.until("the shelf", "document.querySelector('.shelf .tune-title')").await;
        page.press("End Undersong").await;
        page.sees("What you typed in “Down to the Pier.abc” is not saved yet.").await;
        assert_eq!(page.run(&format!("return {ENDED}"), Vec::new()).await, json!(false));
        page.press("End without it").await;
        page.until("the end is told", ENDED).await;
        assert_eq!(page.desk.borrow_mut().ended(), Some(0));
        assert_eq!(page.desk.borrow().text("Down to the Pier.abc"), PIER, "her file is as it was saved");
    });
}
