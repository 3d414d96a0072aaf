//! The whole job with the keyboard alone, as [`crate::walk_mouse`] does it with the mouse: Tab and Shift Tab, arrows, Enter, Space, Control Z and Y.
//! How many presses the walk takes is printed.

use crate::browser_page::{BrowserPage, TAKEN_HOME, in_browser};
use crate::desk::{PIER, long};
use crate::keyboard::Keyboard;
use fantoccini::key::Key;

#[test]
fn the_whole_job_with_the_keyboard() {
    in_browser(|page| async move {
        page.with_motion().await;
        let hand = Keyboard::of(page.clone());
        in_by_paste(&hand).await;
        in_by_file(&hand).await;
        another_way(&hand).await;
        let first = hand.pressed();
        still_there(&hand).await;
        for_the_whole_tune(&hand).await;
        hear_it(&hand).await;
        play_from_it(&hand).await;
        take_home(&hand).await;
        println!("the whole job took {} presses of a key, {first} of them to the first other way", hand.pressed());
    });
}

async fn on_the_page(page: &BrowserPage) {
    page.until(
        "the page has the focus",
        "document.activeElement.matches('.page-room') && document.activeElement.querySelector('g.measure')",
    )
    .await;
}

async fn in_by_paste(hand: &Keyboard) {
    hand.enter("Paste or type a tune").await;
    hand.page.until("the field has the focus", "document.activeElement.tagName === 'TEXTAREA'").await;
    hand.paste(&long(PIER)).await;
    hand.page.until("the melody is drawn", "document.querySelector('.drawn g.measure')").await;
    hand.enter("Keep and arrange").await;
    on_the_page(&hand.page).await;
    assert_eq!(hand.page.desk.borrow().text("Down to the Pier.abc"), long(PIER), "the tune is in her folder as it was pasted");
}

/// Enter opens the browser's own window for files, which no page sees; the file chosen in it is handed to the field that asked for it.
async fn in_by_file(hand: &Keyboard) {
    let page = &hand.page;
    let file = page.downloads.path().join("harbour.abc");
    std::fs::write(&file, PIER.replace("Down to the Pier", "Harbour Wall")).expect("a file to bring in");
    hand.enter_back("Shelf").await;
    page.until("the shelf", "document.querySelector('.shelf .tune-title')").await;
    let asked = "addEventListener('click', ({ target }) => { window.asked ||= target.matches('input[type=file]') && navigator.userActivation.isActive; }, true)";
    page.run(asked, Vec::new()).await;
    hand.enter("Choose files").await;
    page.until("files are asked for", "window.asked").await;
    page.type_into("input[type=file]", &file.display().to_string()).await;
    page.until("the worktable shows it", "document.querySelector('.worktable h1')?.innerText === 'Harbour Wall'").await;
    on_the_page(page).await;
    hand.enter_back("Shelf").await;
    page.until("both are on the shelf", "document.querySelectorAll('.shelf .tune-title').length === 2").await;
    hand.tab_to("Harbour Wall").await;
    let above = page.run("return document.querySelector('.tune-title').innerText === 'Harbour Wall'", Vec::new()).await == true;
    hand.press(if above { Key::Down } else { Key::Up }).await;
    page.until("the other title", "document.activeElement.innerText === 'Down to the Pier'").await;
    hand.press(Key::Enter).await;
    on_the_page(page).await;
}

async fn another_way(hand: &Keyboard) {
    let page = &hand.page;
    hand.press_times(Key::Right, 3).await;
    page.sees("Measure 4").await;
    page.until("the measure is spoken", "/^Measure 4: D7, /.test(document.getElementById('said').textContent)").await;
    page.until("why", "document.querySelector('.decision')?.innerText.includes('Why')").await;
    let before = page.revision().await;
    hand.press(Key::Enter).await;
    page.until("a way has the focus", "document.activeElement.closest('.ways')").await;
    hand.press(Key::Tab).await;
    page.until("it can be taken", "document.activeElement.getAttribute('aria-label').startsWith('Take it: ')").await;
    hand.press(Key::Enter).await;
    page.redrawn(&before).await;
    page.sees("held by you").await;
    for (key, held) in [('z', false), ('y', true)] {
        let before = page.revision().await;
        hand.press_with(Key::Control, key).await;
        page.redrawn(&before).await;
        page.until("undone and done again", &format!("document.body.innerText.includes('held by you') === {held}")).await;
    }
}

/// Loading anew and starting again belong to the browser and the desktop: no key of the page does them.
async fn still_there(hand: &Keyboard) {
    let page = &hand.page;
    page.client.refresh().await.expect("a reload");
    held_at_four(hand).await;
    page.desk.borrow_mut().restart();
    page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
    held_at_four(hand).await;
    let before = page.revision().await;
    hand.press_with(Key::Control, 'z').await;
    page.redrawn(&before).await;
    page.until("the hold is out", "!document.body.innerText.includes('held by you')").await;
}

async fn held_at_four(hand: &Keyboard) {
    on_the_page(&hand.page).await;
    hand.press_times(Key::Right, 3).await;
    hand.page.sees("held by you").await;
}

async fn for_the_whole_tune(hand: &Keyboard) {
    let page = &hand.page;
    hand.tab_to("This measure").await;
    hand.press(Key::Right).await;
    page.until("the keys are ranked", "document.querySelectorAll('.key-choice').length > 5").await;
    for (name, key) in [("All through", "fullness-0"), ("As written", "key-"), ("Harp", "harp")] {
        hand.tab_to(name).await;
        let before = page.revision().await;
        hand.press(Key::Down).await;
        page.redrawn(&before).await;
        page.until("the focus stays", &format!("document.activeElement.matches('[data-key^={key}]')")).await;
    }
    page.until("another key", "!document.querySelector('.worktable-title').innerText.includes('G major')").await;
    let kept = page.desk.borrow().text("Down to the Pier.abc.undersong.toml");
    for line in ["harp = \"lever-36\"", "key = ", "fullness = "] {
        assert!(kept.contains(line), "{line} in {kept}");
    }
}

/// True once the marker stood in measure 3 and later stood further left in it.
const GONE_BACK: &str = "(() => {
    const x = Number(document.querySelector('g#m2 .marker').getAttribute('x1')), before = window.x ?? 0;
    window.x = x;
    return x < before;
})()";

async fn hear_it(hand: &Keyboard) {
    let page = &hand.page;
    hand.enter("Play").await;
    page.until("the marker stands on the music", "document.querySelector('.page-room .marker')").await;
    hand.press(Key::Enter).await;
    page.until("it is quiet", "document.activeElement.innerText === 'Play'").await;
    hand.tab_to("Tempo in percent").await;
    hand.press_times(Key::Left, 2).await;
    page.sees("90 %").await;
    hand.tab_to("Repeat").await;
    hand.press(Key::Space).await;
    hand.tab_to("Repeat from measure").await;
    hand.press(Key::Up).await;
    hand.tab_to("Repeat to measure").await;
    hand.press_times(Key::Up, 2).await;
    page.until("measure 3 alone", "['loop-first', 'loop-last'].every((key) => document.querySelector(`[data-key=${key}]`).value === '2')")
        .await;
    hand.enter_back("Play").await;
    page.until("the marker goes back to the beginning of measure 3", GONE_BACK).await;
    hand.press(Key::Enter).await;
    page.until("it is quiet again", "document.activeElement.innerText === 'Play'").await;
}

async fn play_from_it(hand: &Keyboard) {
    let page = &hand.page;
    hand.enter_back("To the stand").await;
    page.until("the stand has the focus", "document.activeElement.matches('.stand-sheet') && document.querySelector('.stand-sheet svg')")
        .await;
    page.until("several pages", "Number(document.querySelector('.page-count').innerText.split('/')[1]) > 1").await;
    hand.press(Key::Right).await;
    page.until("the next page", "document.querySelector('.page-count').innerText.startsWith('2 /')").await;
    hand.press(Key::Home).await;
    page.until("the first page", "document.querySelector('.page-count').innerText.startsWith('1 /')").await;
    hand.press(Key::Escape).await;
    page.until("the bar has the focus", "document.activeElement.closest('#top')").await;
    hand.enter_back("Back to the worktable").await;
    on_the_page(page).await;
}

async fn take_home(hand: &Keyboard) {
    hand.enter_back("Take home").await;
    for (name, ending, first) in TAKEN_HOME {
        hand.enter(name).await;
        let bytes = hand.page.taken_home(ending).await;
        assert!(bytes.starts_with(first), "{name}: {:?}", bytes.get(..8));
    }
}
