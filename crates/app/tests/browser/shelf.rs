//! The shelf: files dropped on it, tunes found and sorted, and the bin.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use serde_json::{Value, json};
use std::fs::File;
use std::time::{Duration, SystemTime};

/// Three tunes of PIER's form whose titles, keys and meters differ.
fn three() -> [(&'static str, String); 3] {
    let named = |title: &str| PIER.replace("Down to the Pier", title);
    [
        ("pier.abc", named("Down to the Pier")),
        ("wall.abc", named("Harbour Wall").replace("K:G", "K:C").replace("F2 A", "=F2 A")),
        ("anchor.abc", named("An Anchor").replace("M:3/4", "M:6/8").replace("L:1/4", "L:1/8").replace("K:G", "K:D")),
    ]
}

/// Drops files where the mouse is let go, as the browser tells a page of it; says whether the page showed beforehand that it would take them.
async fn drop(page: &BrowserPage, files: &[(&str, String)]) -> Value {
    let script = "const load = new DataTransfer(), place = document.querySelector('main');
        for (const [name, text] of arguments[0]) load.items.add(new File([text], name));
        const send = (name) => place.dispatchEvent(new DragEvent(name, { bubbles: true, cancelable: true, dataTransfer: load }));
        const refused = send('dragover'), shown = document.querySelector('.dropping') !== null;
        send('drop');
        return [!refused, shown, document.querySelector('.dropping') === null];";
    page.run(script, vec![json!(files)]).await
}

async fn titles(page: &BrowserPage) -> Value {
    page.run("return [...document.querySelectorAll('.tune-title')].map((one) => one.innerText)", Vec::new()).await
}

async fn titles_are(page: &BrowserPage, wanted: &[&str]) {
    let now = "JSON.stringify([...document.querySelectorAll('.tune-title')].map((one) => one.innerText))";
    page.until(&format!("the titles {wanted:?}"), &format!("{now} === {}", json!(json!(wanted).to_string()))).await;
}

#[test]
fn a_file_dropped_is_opened() {
    in_browser(|page| async move {
        let [pier, ..] = three();
        assert_eq!(drop(&page, std::slice::from_ref(&pier)).await, json!([true, true, true]), "it is taken, and shown that it would be");
        page.until("the worktable shows it", "document.querySelector('.room.worktable g.measure')").await;
        assert_eq!(page.desk.borrow().text("pier.abc"), pier.1, "the file is in her folder, letter for letter");
    });
}

/// Every progress that the shelf shows is remembered.
const WATCH: &str = "window.told = []; const line = document.querySelector('.room.shelf > p[role=status]');
    new MutationObserver(() => window.told.push(line.textContent)).observe(line, { childList: true, characterData: true, subtree: true }); return true";

#[test]
fn a_book_comes_in_as_its_tunes_and_says_how_far_it_is() {
    in_browser(|page| async move {
        let book: String =
            (1..=40).map(|n| PIER.replace("X:1", &format!("X:{n}")).replace("Down to the Pier", &format!("Pier {n}")) + "\n").collect();
        page.run(WATCH, Vec::new()).await;
        drop(&page, &[("piers.abc", book)]).await;
        page.sees("40 tunes came in").await;
        page.until("forty tunes", "document.querySelectorAll('.tune-title').length === 40").await;
        page.until("it said how far it was", "window.told.some((one) => /bringing the tunes of the book in: \\d+ of 40/.test(one))").await;
    });
}

#[test]
fn a_file_that_cannot_be_read_is_kept_and_its_text_opened() {
    in_browser(|page| async move {
        let begun = "X:1\nT:Down to the Pier\nM:3/4\n";
        drop(&page, &[("pier.abc", begun.to_owned())]).await;
        page.until("its text", "document.querySelector('.room.text textarea')?.value.includes('Down to the Pier')").await;
        page.until("what is wrong", "document.querySelector('.problems .badge.error')").await;
        assert_eq!(page.desk.borrow().text("pier.abc"), begun);
    });
}

#[test]
fn tunes_are_found_and_sorted() {
    in_browser(|page| async move {
        drop(&page, &three()).await;
        page.sees("3 tunes came in").await;
        page.until("three tunes", "document.querySelectorAll('.tune-title').length === 3").await;
        let sort = page.find(".find-row select").await;
        sort.select_by_label("title").await.expect("by title");
        titles_are(&page, &["An Anchor", "Down to the Pier", "Harbour Wall"]).await;
        sort.select_by_label("key").await.expect("by key");
        titles_are(&page, &["Harbour Wall", "An Anchor", "Down to the Pier"]).await;
        page.client.refresh().await.expect("a reload");
        titles_are(&page, &["Harbour Wall", "An Anchor", "Down to the Pier"]).await;
        let find = page.find("input[type=search]").await;
        find.send_keys("harb").await.expect("part of a title");
        titles_are(&page, &["Harbour Wall"]).await;
        find.clear().await.expect("an empty field");
        find.send_keys("6/8").await.expect("a meter");
        titles_are(&page, &["An Anchor"]).await;
        find.send_keys("7").await.expect("what no tune has");
        page.sees("No tune has that").await;
        assert_eq!(titles(&page).await, json!([]));
    });
}

#[test]
fn what_was_worked_on_last_stands_first() {
    in_browser(|page| async move {
        for (name, text) in three() {
            let file = page.desk.borrow().file(name);
            std::fs::write(&file, text).expect("a tune");
            let an_hour_ago = SystemTime::now() - Duration::from_secs(3600);
            File::options().write(true).open(file).and_then(|file| file.set_modified(an_hour_ago)).expect("an older file");
        }
        page.desk.borrow_mut().restart();
        page.go("#/").await;
        page.until("three tunes", "document.querySelectorAll('.tune-title').length === 3").await;
        page.press("Harbour Wall").await;
        page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
        page.press("Hold this").await;
        page.sees("held by you").await;
        page.go("#/").await;
        page.until("it stands first", "document.querySelector('.tune-title')?.innerText === 'Harbour Wall'").await;
        page.until("and says so", "document.querySelector('.tune-when').innerText.startsWith('worked on ')").await;
    });
}

/// Takes the only tune into the bin and looks after its file.
async fn into_the_bin(page: &BrowserPage) {
    page.press("Down to the Pier: into the bin").await;
    page.until("the shelf is empty", "document.querySelectorAll('.tune-title').length === 0").await;
    let folder = page.desk.borrow();
    assert!(!folder.file("Down to the Pier.abc").exists(), "not among her tunes");
    let bin = std::fs::read_dir(folder.file("bin")).expect("the bin");
    let kept: Vec<String> = bin.filter_map(Result::ok).filter_map(|file| std::fs::read_to_string(file.path()).ok()).collect();
    assert!(kept.iter().any(|text| text == PIER), "its file is in the bin as it was: {kept:?}");
}

async fn back_on_the_shelf(page: &BrowserPage) {
    page.until("it is on the shelf again", "document.querySelectorAll('.tune-title').length === 1").await;
    assert_eq!(page.desk.borrow().text("Down to the Pier.abc"), PIER);
}

#[test]
fn into_the_bin_and_back_with_its_choices() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Hold this").await;
        page.sees("held by you").await;
        page.go("#/").await;
        into_the_bin(&page).await;
        page.until("a way back at once", "document.querySelector('#notice button').innerText === 'Put it back'").await;
        page.click("#notice button").await;
        back_on_the_shelf(&page).await;
        into_the_bin(&page).await;
        page.press("In the bin (1)").await;
        page.press("Put it back: Down to the Pier").await;
        back_on_the_shelf(&page).await;
        page.press("Down to the Pier").await;
        page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
        page.sees("held by you").await;
    });
}

/// 36 strings from A1 to A6, 40 from F1 to C7: `undersong harps`.
#[test]
fn her_usual_harp_holds_for_every_tune_without_its_own() {
    in_browser(|page| async move {
        let strings = |count: u32| format!("document.querySelectorAll('.strings-svg line.string').length === {count}");
        let choose = |harp: &'static str| {
            let page = page.clone();
            async move { page.choose("select[data-key=harp]", harp).await }
        };
        page.until("the list of harps", "document.querySelector('.shelf-harp select')").await;
        choose("lever-36").await;
        page.sees("Used from now on for every tune where you have not chosen another harp").await;
        page.bring(PIER).await;
        page.until("her usual harp", &strings(36)).await;
        page.press("Whole tune").await;
        let before = page.revision().await;
        choose("lever-40").await;
        page.redrawn(&before).await;
        page.press("Shelf").await;
        page.bring(&PIER.replace("Down to the Pier", "Harbour Wall")).await;
        page.until("the usual one again", &strings(36)).await;
        page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
        page.until("its own", &strings(40)).await;
    });
}
