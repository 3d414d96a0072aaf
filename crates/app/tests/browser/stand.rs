//! The stand: turns by key, pedal and tap, double hits, forwards only, first and last page, the next line, the whole screen, the screen kept awake, and
//! large print to take home.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::{PIER, long};
use fantoccini::key::Key;
use serde_json::{Value, json};

async fn shown(page: &BrowserPage, number: u32) {
    page.until(&format!("page {number}"), &format!("document.querySelector('.page-count').innerText.startsWith('{number} /')")).await;
}

/// A key as a pedal sends it.
async fn pedal(page: &BrowserPage, key: Key) {
    page.keys(&char::from(key).to_string()).await;
}

/// Puts the page's clock on by a second, so that the test need not wait for a foot to settle.
async fn later(page: &BrowserPage) {
    let script = "const on = (window.waited = (window.waited ?? 0) + 1000);
        window.clock ??= performance.now.bind(performance);
        performance.now = () => window.clock() + on;";
    page.run(script, Vec::new()).await;
}

/// Goes to the stand with a staff so large that the tune has more than two pages.
async fn at_the_stand(page: &BrowserPage) {
    page.bring(&long(PIER)).await;
    page.press("To the stand").await;
    page.until("the page is drawn", "document.querySelector('.stand-sheet g.measure')").await;
    page.press("Sizes and turns").await;
    staff(page, "12").await;
    page.until("more pages", "Number(document.querySelector('.page-count').innerText.split('/')[1]) > 2").await;
}

/// Chooses another size of the staff and waits for the music laid out anew.
async fn staff(page: &BrowserPage, millimetres: &str) {
    mark_the_page(page).await;
    page.choose("select[data-key=staff]", millimetres).await;
    laid_out_anew(page).await;
}

async fn mark_the_page(page: &BrowserPage) {
    page.run("document.querySelector('.stand-sheet > svg').dataset.before = 'yes'", Vec::new()).await;
}

/// Waits until the page that was marked is replaced.
async fn laid_out_anew(page: &BrowserPage) {
    page.until("laid out anew", "document.querySelector('.stand-sheet > svg:not([data-before])')").await;
}

/// Taps the page at a share of its width.
async fn tap(page: &BrowserPage, share: f64) {
    later(page).await;
    page.point_in(".stand-sheet", share).await;
}

#[test]
fn pages_turn_by_pedal_tap_and_key() {
    in_browser(|page| async move {
        at_the_stand(&page).await;
        mark_the_page(&page).await;
        page.press("Hide the buttons").await;
        laid_out_anew(&page).await;
        shown(&page, 1).await;
        pedal(&page, Key::PageDown).await;
        shown(&page, 2).await;
        pedal(&page, Key::PageDown).await;
        shown(&page, 2).await;
        later(&page).await;
        pedal(&page, Key::Right).await;
        shown(&page, 3).await;
        later(&page).await;
        pedal(&page, Key::PageUp).await;
        shown(&page, 2).await;
        tap(&page, 0.5).await;
        shown(&page, 3).await;
        tap(&page, 0.1).await;
        shown(&page, 2).await;
        pedal(&page, Key::Escape).await;
        page.sees("Back to the worktable").await;
    });
}

/// How many times a page was shown since this was asked last: what does nothing shows none.
async fn turns(page: &BrowserPage) -> Value {
    let script = "const turned = window.turned ?? 0;
        window.turned = 0;
        window.watch ??= new MutationObserver(() => { window.turned += 1; });
        window.watch.observe(document.querySelector('.stand-sheet'), { childList: true });
        return turned;";
    page.run(script, Vec::new()).await
}

#[test]
fn only_forwards_never_goes_back() {
    in_browser(|page| async move {
        at_the_stand(&page).await;
        page.named("Page before").await;
        page.tick("Taps and pedals never turn back").await;
        page.until("no way back", "!document.querySelector('.turn-back').checkVisibility()").await;
        page.press("Next page").await;
        shown(&page, 2).await;
        turns(&page).await;
        for back in [Key::Left, Key::PageUp, Key::Up] {
            later(&page).await;
            page.on(".stand-sheet", back).await;
            assert_eq!(turns(&page).await, 0, "{back:?} turned the page");
        }
        // The left third turns forward like the rest of the page.
        tap(&page, 0.1).await;
        shown(&page, 3).await;
    });
}

const NEXT_LINE: &str = "document.querySelector('.stand-next svg g.system')?.checkVisibility()";

#[test]
fn first_and_last_page_and_the_line_that_comes_next() {
    in_browser(|page| async move {
        at_the_stand(&page).await;
        let count = page.run("return Number(document.querySelector('.page-count').innerText.split('/')[1])", Vec::new()).await;
        let count = u32::try_from(count.as_u64().expect("a number of pages")).expect("few pages");
        page.until("the next line is shown", NEXT_LINE).await;
        page.on(".stand-sheet", Key::End).await;
        shown(&page, count).await;
        page.until("nothing comes after the last", "!document.querySelector('.stand-next svg')").await;
        page.on(".stand-sheet", Key::Home).await;
        shown(&page, 1).await;
        page.until("the next line again", NEXT_LINE).await;
        page.tick("Show the next page's first line").await;
        page.until("not wished any more", "!document.querySelector('.stand-next svg')").await;
    });
}

#[test]
fn the_page_fills_the_screen_and_gives_it_back() {
    in_browser(|page| async move {
        at_the_stand(&page).await;
        page.press("Full screen").await;
        page.until("the whole screen", "document.fullscreenElement === document.documentElement").await;
        page.until("no bar", "!document.getElementById('top').checkVisibility()").await;
        page.on(".stand-sheet", Key::Escape).await;
        page.sees("Hide the buttons").await;
        if page.run("return document.fullscreenElement !== null", Vec::new()).await == true {
            page.press("Full screen").await;
        }
        page.until("the screen is given back", "document.fullscreenElement === null").await;
        page.press("Full screen").await;
        page.until("the whole screen again", "document.fullscreenElement").await;
        page.run("location.hash = '#/'", Vec::new()).await;
        page.until(
            "leaving gives it back too",
            "document.querySelector('.tune') && !document.fullscreenElement && document.getElementById('top').checkVisibility()",
        )
        .await;
    });
}

#[test]
fn the_screen_stays_awake_as_long_as_the_stand_is_shown() {
    const WATCHER: &str = "window.asked = []; window.released = 0;
        const lock = { release: async () => { window.released += 1; } };
        const request = async (what) => { window.asked.push(what); return lock; };
        Object.defineProperty(navigator, 'wakeLock', { configurable: true, value: { request } });";
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.run(WATCHER, Vec::new()).await;
        page.press("To the stand").await;
        page.until("the page is drawn", "document.querySelector('.stand-sheet g.measure')").await;
        let asked = page.run("return [window.asked, window.released]", Vec::new()).await;
        assert_eq!(asked, json!([["screen"], 0]), "asked for once, and held");
        page.press("Back to the worktable").await;
        page.until("it may sleep again", "window.released === 1").await;
    });
}

#[test]
fn large_print_comes_home_in_the_stands_sizes() {
    in_browser(|page| async move {
        page.bring(&long(PIER)).await;
        page.press("Take home").await;
        page.press("The page to print (PDF)").await;
        let plain = page.taken_home("pdf").await;
        page.go("#/stand/Down%20to%20the%20Pier.abc").await;
        page.until("the page is drawn", "document.querySelector('.stand-sheet g.measure')").await;
        page.press("Sizes and turns").await;
        staff(&page, "14").await;
        page.press("Large print to take home (PDF)").await;
        let large = page.taken_home("pdf").await;
        assert!(large.starts_with(b"%PDF"));
        assert!(leaves(&large) > leaves(&plain), "{} leaves large, {} plain", leaves(&large), leaves(&plain));
    });
}

/// How many leaves a PDF has, by the largest count its tree of pages gives.
fn leaves(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    text.split("/Count ")
        .skip(1)
        .filter_map(|rest| rest.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok())
        .max()
        .expect("a count of pages")
}
