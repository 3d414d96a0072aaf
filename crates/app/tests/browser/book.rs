//! A book to print, made on the shelf while the shelf stays in use, taken home, put away; nobody is shut out of it.

use crate::browser_page::in_browser;
use serde_json::json;

#[test]
fn a_book_of_the_shelf_is_taken_home() {
    in_browser(|page| async move {
        for (title, key) in [("Anchor Down", "D"), ("Buoy and Bell", "C"), ("Crab Pots", "G")] {
            let text = format!("X:1\nT:{title}\nM:4/4\nL:1/4\nQ:1/4=100\nK:{key}\n\"{key}\"G G G G|\"{key}\"G4|\n");
            std::fs::write(page.desk.borrow().file(&format!("{title}.abc")), text).expect("the folder takes a tune");
        }
        std::fs::write(page.desk.borrow().file("Empty.abc"), "X:1\nT:Empty\nK:C\n").expect("the folder takes a text");
        page.go("#/").await;
        page.until("all of them", "document.querySelectorAll('.shelf .tune-title').length === 4").await;
        page.run("[...document.querySelectorAll('summary')].find((one) => one.innerText === 'Make a book to print').click()", Vec::new())
            .await;
        page.fill("[data-key=book-title]", "Low Water").await;
        page.choose("[data-key=book-order]", "key").await;
        page.press("Make the book").await;
        page.until("it is ready", "document.querySelector('[data-key=take-book]')").await;
        page.sees("“Low Water” is ready: 3 tunes on").await;
        page.run("document.querySelectorAll('details').forEach((one) => { one.open = true; })", Vec::new()).await;
        page.sees("Empty.abc: ").await;
        let barriers = page.barriers("a book").await;
        assert!(barriers.is_empty(), "{}", barriers.join("\n"));
        page.click("[data-key=take-book]").await;
        let pdf = page.taken_home("pdf").await;
        let text = String::from_utf8_lossy(&pdf);
        assert!(pdf.starts_with(b"%PDF") && text.contains("/Title (Low Water)") && text.contains("(1  Buoy and Bell)"));
        page.press("Put it away").await;
        page.until("it is away", "!document.querySelector('[data-key=take-book]')").await;
        assert_eq!(page.run("return fetch('/api/book').then((answer) => answer.json())", Vec::new()).await, json!({"state": "none"}));
    });
}
