//! On the stand the pages go with a recording whose measures were found: measures 5 to 8 again and again, slower, and the next page when it comes.

use crate::browser_page::in_browser;
use crate::desk::{PIER, long};
use fantoccini::key::Key;
use std::process::Command;

const AUDIO: &str = "document.querySelector('.stand-recording audio')";

#[test]
fn the_stand_goes_with_the_recording() {
    in_browser(|page| async move {
        let folder = tempfile::tempdir().expect("a folder");
        let tune = folder.path().join("pier.abc");
        std::fs::write(&tune, long(PIER)).expect("a tune");
        let mut made = Command::new(env!("CARGO_BIN_EXE_undersong"));
        let made = made.args(["arrange", "--write", "wav", "--out"]).arg(folder.path()).arg(&tune).output().expect("the program starts");
        assert!(made.status.success());
        page.bring(&long(PIER)).await;
        page.press("Recording").await;
        page.sees("Bring a recording").await;
        // In her own folder the program finds it again by itself.
        std::fs::copy(folder.path().join("Down to the Pier.wav"), page.desk.borrow().file("pier.wav")).expect("a copy");
        page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
        page.press("Recording").await;
        page.press("pier.wav").await;
        page.press("Find the places").await;
        page.sees("The measures played: 1 to 40.").await;
        page.go("#/stand/Down%20to%20the%20Pier.abc").await;
        page.until("a page", "document.querySelector('.stand-sheet g.measure')").await;
        page.until("several pages", "/^1 \\/ [2-9]/.test(document.querySelector('.page-count').innerText)").await;
        page.press("Sound").await;
        page.until("its measures are known", "document.querySelector('[data-key=stand-recording-play]')").await;
        page.on("[data-key=stand-recording-tempo]", Key::Home).await;
        page.click("[data-key=stand-recording-play]").await;
        page.until("slower at the same pitch", &format!("!{AUDIO}.paused && {AUDIO}.playbackRate === 0.3 && {AUDIO}.preservesPitch")).await;
        page.until("the first measure is marked", "document.querySelector('g.measure#m0 .marker')").await;
        // Three-four at a hundred: 1.8 s a measure after half a second of silence, so measures 5 to 8 are from 7.7 s to 14.9 s.
        page.tick("Repeat measures").await;
        for (which, measure) in [("first", "4"), ("last", "7")] {
            let choose = "const list = document.querySelector(`[data-key=stand-recording-${arguments[0]}]`); list.value = arguments[1]; list.dispatchEvent(new Event('change'))";
            page.run(choose, vec![which.into(), measure.into()]).await;
        }
        page.until(
            "from measure 5",
            &format!("{AUDIO}.currentTime > 7 && {AUDIO}.currentTime < 9 && document.querySelector('g.measure#m4 .marker')"),
        )
        .await;
        page.run(&format!("{AUDIO}.currentTime = 14.7"), Vec::new()).await;
        page.until(
            "back at measure 5",
            &format!("{AUDIO}.currentTime > 7 && {AUDIO}.currentTime < 9 && document.querySelector('g.measure#m4 .marker')"),
        )
        .await;
        page.tick("Repeat measures").await;
        page.run(&format!("{AUDIO}.currentTime = 0.5 + 38.5 * 1.8"), Vec::new()).await;
        page.until(
            "the page has turned",
            "!/^1 /.test(document.querySelector('.page-count').innerText) && document.querySelector('g.measure#m38 .marker')",
        )
        .await;
    });
}
