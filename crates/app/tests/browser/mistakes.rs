//! A tune with mistakes shows them at their places, is kept as it is, and can be mended there.

use crate::browser_page::in_browser;
use crate::desk::BROKEN;

#[test]
fn mistakes_are_shown_where_they_are_and_nothing_is_lost() {
    in_browser(|page| async move {
        page.press("Paste or type a tune").await;
        page.until("the field has the focus", "document.activeElement.tagName === 'TEXTAREA'").await;
        page.paste(BROKEN).await;
        page.until("the places are marked", "document.querySelectorAll('.text-copy mark').length >= 2").await;
        page.until("the problems are told", "document.querySelectorAll('.problems li button').length >= 2").await;
        page.until("what can be read is drawn", "document.querySelector('.drawn g.measure')").await;
        page.press("Keep and arrange").await;
        page.until("it went on", "!location.hash.startsWith('#/new')").await;
        assert_eq!(page.desk.borrow().text("Low Tide.abc"), BROKEN, "kept as it was typed");
        page.go("#/text/Low%20Tide.abc").await;
        page.until("the text is there", "document.querySelector('textarea').value.includes('Hq9')").await;
        page.until("the marks are there", "document.querySelector('.text-copy mark')").await;
    });
}

#[test]
fn a_file_changed_outside_is_not_overwritten() {
    in_browser(|page| async move {
        page.bring(crate::desk::PIER).await;
        page.go("#/text/Down%20to%20the%20Pier.abc").await;
        let outside = crate::desk::PIER.replace("\"Em\"e2 B", "\"C\"e2 c");
        std::fs::write(page.desk.borrow().file("Down to the Pier.abc"), &outside).expect("changed outside");
        page.paste("%mine\n").await;
        page.press("Save the text").await;
        page.sees("nothing was written over").await;
        assert_eq!(page.desk.borrow().text("Down to the Pier.abc"), outside);
    });
}
