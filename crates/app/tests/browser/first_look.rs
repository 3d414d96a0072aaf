//! The first look: an empty folder says what this is and has tunes to try; her harp and hands are a form.

use crate::browser_page::{BrowserPage, in_browser};

const USUAL: &str = "undersong.toml";

#[test]
fn an_empty_folder_says_what_this_is_and_has_tunes_to_try() {
    in_browser(|page| async move {
        page.sees("a left hand for your harp").await;
        assert_eq!(page.barriers("an empty shelf").await, Vec::<String>::new());
        page.press("Put in four tunes to try").await;
        page.until("four tunes", "document.querySelectorAll('.tune').length === 4").await;
        page.until("the first look has gone", "!document.querySelector('.first-look')").await;
        page.until("the focus is on the first of them", "document.activeElement.matches('.tune:first-child .tune-title')").await;
        assert!(page.desk.borrow().text("ferry-reel.abc").starts_with("X:"), "they are files of her folder");
    });
}

/// A harp of 26 strings from C3 with levers on F, C and one B is filled in: it is a file, it is used, and it goes by its name on the worktable.
#[test]
fn her_harp_and_hands_are_filled_in() {
    in_browser(|page| async move {
        page.press("Put in four tunes to try").await;
        page.until("four tunes", "document.querySelectorAll('.tune').length === 4").await;
        page.press("My harp and hands").await;
        page.press("A harp of my own").await;
        page.choose("select[data-key=harp-from]", "lever-26").await;
        page.until("26 strings from C3", "/26 strings, C3 to G6/.test(document.querySelector('.harp-form').innerText)").await;
        fill(&page, "harp-name", "Marta's harp").await;
        page.choose("select[data-key=harp-tuning]", "Bb Eb").await;
        for letter in ["D", "E", "G", "A", "B"] {
            page.click(&format!("input[data-key=lever-{letter}]")).await;
        }
        page.press("String by string").await;
        page.press("Lever on B4").await;
        page.until("one B has a lever", "document.querySelector('.harp-form').innerText.includes('B (1 of ')").await;
        assert_eq!(page.barriers("the form of a harp").await, Vec::<String>::new());
        page.press("Keep this harp").await;
        page.sees("Marta's harp: kept").await;
        let file = page.desk.borrow().text("Marta's harp.toml");
        for line in
            ["name = \"Marta's harp\"", "lowest = \"C3\"", "strings = 26", "tuning = [\"Bb\", \"Eb\"]", "levers = [\"C\", \"F\", \"B4\"]"]
        {
            assert!(file.contains(line), "{line} in {file}");
        }
        page.until("the form is folded again", "!document.querySelector('.harp-form')").await;
        page.until("what opens it has the focus", "document.activeElement.dataset.key === 'own-harp'").await;
        page.choose("select[data-key=left_block]", "7").await;
        page.sees("Your hands: kept").await;
        let usual = page.desk.borrow().text(USUAL);
        assert!(usual.contains("left_block = 7") && usual.contains("Marta's harp.toml"), "{usual}");
        page.press("The Ferry Reel").await;
        page.until("the harp goes by its name", "document.querySelector('.worktable-title p')?.innerText.includes('Marta\\'s harp')").await;
        page.until("26 strings", "document.querySelectorAll('.strings-svg line.string').length === 26").await;
    });
}

async fn fill(page: &BrowserPage, key: &str, words: &str) {
    page.fill(&format!("input[data-key={key}]"), words).await;
}
