//! Other ways for a phrase on the worktable: shown as notes, heard between their neighbours, told what else they change, taken for the phrase or for one measure, marked
//! afterwards, one step back; and another way for the whole tune.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use serde_json::{Value, json};

const TOML: &str = "Down to the Pier.abc.undersong.toml";

/// Opens the ways of the measure that is chosen and waits until all is told of them.
async fn open_ways(page: &BrowserPage) -> u64 {
    page.point_at("g.measure#m1").await;
    page.sees("Measure 2").await;
    page.click(".other-ways > summary").await;
    page.until("ways with notes", "document.querySelectorAll('.offer').length && [...document.querySelectorAll('.offer')].every((one) => one.querySelector('svg .note'))").await;
    page.until("what else would change is told", "document.querySelector('.other-ways').dataset.told").await;
    page.run("return document.querySelectorAll('.offer').length", Vec::new()).await.as_u64().expect("a number")
}

/// The left hand's lowest notes do not matter here: the places of all notes of the page, measure by measure.
async fn pictures(page: &BrowserPage) -> Value {
    page.run(
        "return [...document.querySelectorAll('.page-room g.measure')].map((m) => [...m.querySelectorAll('.note use')].map((u) => u.getAttribute('transform') ?? `${u.getAttribute('x')} ${u.getAttribute('y')}`).length)",
        Vec::new(),
    )
    .await
}

async fn held(page: &BrowserPage) -> Vec<String> {
    let text = page.desk.borrow().text(TOML);
    let ways = text.split_once("[ways]").map_or("", |(_, rest)| rest.split("\n[").next().unwrap_or_default());
    ways.lines().filter_map(|line| line.split_once(" = ").map(|(number, _)| number.trim_matches('"').to_owned())).collect()
}

#[test]
fn a_way_for_the_phrase_is_seen_heard_taken_and_undone() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        assert!((3..=5).contains(&open_ways(&page).await));
        page.until("two staves in each", "[...document.querySelectorAll('.offer svg')].every((one) => one.querySelectorAll('g.measure').length === 4 && one.querySelectorAll('g.system').length >= 1)").await;
        page.until("words", "[...document.querySelectorAll('.offer')].every((one) => /as good|less good|would clash/.test(one.innerText) && /This phrase: .*(Nothing else changes|changes? with it)/.test(one.innerText) && !/\\d{3}/.test(one.innerText))").await;
        is_heard_with_its_neighbours(&page).await;

        let before = (page.revision().await, pictures(&page).await);
        page.click("[data-key=phrase-0]").await;
        page.redrawn(&before.0).await;
        assert_eq!(held(&page).await, ["1", "2", "3", "4"]);
        page.sees("held by you").await;
        page.until("marked", "document.querySelectorAll('.page-room .changed-mark').length > 0").await;
        page.until("told in words", "/Changed just now: .*(of 8 measures differ|differs)/.test(document.querySelector('.changed-line').innerText.replaceAll('\\n', ' '))").await;
        page.until("and spoken", "/differ/.test(document.getElementById('said').textContent)").await;

        let taken = page.revision().await;
        page.press("Undo").await;
        page.redrawn(&taken).await;
        assert_eq!((page.revision().await, pictures(&page).await), before, "one step brings all of it back");
        page.press("Take the marks off").await;
        page.until("no marks", "!document.querySelector('.changed-mark') && !document.querySelector('.changed-line')").await;
    });
}

async fn is_heard_with_its_neighbours(page: &BrowserPage) {
    page.run("window.plucked = 0; const start = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (when) { window.plucked += 1; return start.call(this, when); };", Vec::new()).await;
    let before = page.revision().await;
    page.click("[data-key=listen-0]").await;
    page.until("strings sound", "window.plucked > 8").await;
    assert_eq!(page.revision().await, before, "the page stays as it is");
}

#[test]
fn a_way_for_one_measure_is_held_there_alone_and_let_go() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        open_ways(&page).await;
        let before = page.revision().await;
        page.click("[data-key^=only-]").await;
        page.redrawn(&before).await;
        assert_eq!(held(&page).await, ["2"]);
        page.until("the list is there again", "document.querySelectorAll('.offer').length").await;
        let taken = page.revision().await;
        page.press("Let it go").await;
        page.redrawn(&taken).await;
        assert_eq!(held(&page).await, Vec::<String>::new());
    });
}

#[test]
fn another_way_for_the_whole_tune_counts_tells_and_steps_back() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Whole tune").await;
        let first = page.revision().await;
        let mut now = first.clone();
        for way in [2, 3] {
            page.press("Another way").await;
            page.redrawn(&now).await;
            now = page.revision().await;
            page.until(
                "it is counted and told",
                &format!("/Way {way}\\. +\\d+ of 8 measures differ/.test(document.querySelector('.way-words').innerText)"),
            )
            .await;
        }
        page.press("The way before").await;
        page.redrawn(&now).await;
        page.until("counted back", "/Way 2/.test(document.querySelector('.way-words').innerText)").await;
        page.client.refresh().await.expect("a reload");
        page.press("Whole tune").await;
        page.until("still told", "/Way 2\\. +\\d+ of 8 measures differ/.test(document.querySelector('.way-words').innerText)").await;
        let second = page.revision().await;
        page.press("The way before").await;
        page.redrawn(&second).await;
        assert_eq!(page.revision().await, first);
        assert_eq!(page.run("return document.querySelectorAll('[data-key=variant-less]').length", Vec::new()).await, json!(0));
    });
}

/// A written bass: asked only where the tune has one, kept in the file.
#[test]
fn written_basses_are_kept_on_wish() {
    in_browser(|page| async move {
        page.bring(&PIER.replace("\"C\"e2", "\"C/E\"e2")).await;
        page.press("Whole tune").await;
        page.choose("select[data-key=bass]", "kept").await;
        page.until("it is said", "/written basses kept/.test(document.getElementById('said').textContent)").await;
        assert!(page.desk.borrow().text(TOML).contains("bass = \"kept\""));
    });
}
