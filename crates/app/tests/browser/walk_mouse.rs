//! The whole job with the mouse: in by paste and by file, see, choose, read why, take another way, reload, restart, undo, key, harp, fullness, play, stand,
//! take home.

use crate::browser_page::{BrowserPage, TAKEN_HOME, in_browser};
use crate::desk::{PIER, long};

#[test]
fn the_whole_job_with_the_mouse() {
    in_browser(|page| async move {
        page.with_motion().await;
        page.bring(&long(PIER)).await;
        assert!(page.desk.borrow().text("Down to the Pier.abc").contains("T:Down to the Pier"), "the tune is in her folder");
        a_file_comes_in(&page).await;
        page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
        another_way(&page).await;
        still_there(&page).await;
        for_the_whole_tune(&page).await;
        hear_it(&page).await;
        play_from_it(&page).await;
        take_home(&page).await;
    });
}

async fn a_file_comes_in(page: &BrowserPage) {
    let file = page.downloads.path().join("harbour.abc");
    std::fs::write(&file, PIER.replace("Down to the Pier", "Harbour Wall")).expect("a file to bring in");
    page.go("#/").await;
    page.type_into("input[type=file]", &file.display().to_string()).await;
    page.until("the worktable shows it", "document.querySelector('.worktable h1')?.innerText === 'Harbour Wall'").await;
}

async fn another_way(page: &BrowserPage) {
    page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
    page.point_at("g.measure#m2").await;
    page.sees("Measure 3").await;
    page.until("why", "document.querySelector('.decision')?.innerText.includes('Why')").await;
    let before = page.revision().await;
    page.click(".ways .way:first-child button:last-child").await;
    page.redrawn(&before).await;
    page.sees("held by you").await;
    assert!(page.desk.borrow().text("Down to the Pier.abc.undersong.toml").contains("[holds]"), "the hold is kept beside the tune");
}

async fn still_there(page: &BrowserPage) {
    page.client.refresh().await.expect("a reload");
    held_at_three(page).await;
    page.desk.borrow_mut().restart();
    page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
    held_at_three(page).await;
    let before = page.revision().await;
    page.press("Undo").await;
    page.redrawn(&before).await;
    page.until("the hold is out", "!document.body.innerText.includes('held by you')").await;
}

async fn held_at_three(page: &BrowserPage) {
    page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
    page.point_at("g.measure#m2").await;
    page.sees("held by you").await;
}

async fn for_the_whole_tune(page: &BrowserPage) {
    page.press("Whole tune").await;
    page.until("the keys are ranked", "document.querySelectorAll('.key-choice').length > 5").await;
    let before = page.revision().await;
    page.click("[data-key=keysOpen]").await;
    page.click("input[data-key='key-C']").await;
    page.redrawn(&before).await;
    page.until("the key", "document.querySelector('.worktable-title').innerText.includes('C major')").await;
    for (control, value) in [("harp", "lever-36"), ("fullness-0", "5")] {
        let before = page.revision().await;
        page.choose(&format!("select[data-key={control}]"), value).await;
        page.redrawn(&before).await;
    }
    let kept = page.desk.borrow().text("Down to the Pier.abc.undersong.toml");
    assert!(kept.contains("lever-36") && kept.contains("\"C\"") && kept.contains('5'), "{kept}");
}

async fn hear_it(page: &BrowserPage) {
    page.press("Play").await;
    page.until("the marker stands on the music", "document.querySelector('.page-room .marker')").await;
    page.press("Pause").await;
    page.point_at("g.measure#m1").await;
    page.click("[data-key=repeat]").await;
    for key in ["loop-first", "loop-last"] {
        page.choose(&format!("select[data-key={key}]"), "1").await;
    }
    page.point_at("[data-key=sound-tempo]").await;
    page.until("slower", "Number(document.querySelector('[data-key=sound-tempo]').value) < 100").await;
    page.press("Play").await;
    page.until("the marker stands in measure 2", "document.querySelector('g.measure#m1 .marker')").await;
    page.press("Pause").await;
}

async fn play_from_it(page: &BrowserPage) {
    page.press("To the stand").await;
    page.until("several pages", "Number(document.querySelector('.page-count').innerText.split('/')[1]) > 1").await;
    page.press("Next page").await;
    page.until("the next page", "document.querySelector('.page-count').innerText.startsWith('2 /')").await;
    page.press("Back to the worktable").await;
    page.until("the worktable", "document.querySelector('.page-room g.measure')").await;
}

async fn take_home(page: &BrowserPage) {
    for (name, ending, first) in TAKEN_HOME {
        if page.run("return document.querySelector('.take').open", Vec::new()).await != true {
            page.press("Take home").await;
        }
        page.press(name).await;
        let bytes = page.taken_home(ending).await;
        assert!(bytes.starts_with(first), "{name}: {:?}", bytes.get(..8));
    }
}
