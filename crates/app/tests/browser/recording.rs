//! A recording brought to the worktable: its measures are found, it is played slower and measures of it again, a first beat is moved, and the next day its places are still there.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use fantoccini::key::Key;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// The tune's own sound, in a folder that is not hers.
fn recorded(folder: &Path) -> PathBuf {
    let tune = folder.join("pier.abc");
    std::fs::write(&tune, PIER).expect("a tune");
    let made = Command::new(env!("CARGO_BIN_EXE_undersong")).args(["arrange", "--write", "wav", "--out"]).arg(folder).arg(&tune).output();
    assert!(made.expect("the program starts").status.success());
    folder.join("Down to the Pier.wav")
}

async fn bring_recording(page: &BrowserPage, folder: &TempDir) {
    page.bring(PIER).await;
    page.press("Recording").await;
    page.sees("Bring a recording").await;
    let path = recorded(folder.path());
    page.type_into("input[aria-label='Choose a recording']", &path.display().to_string()).await;
    page.press("Find the places").await;
    page.sees("The measures played: 1 to 8.").await;
}

const AUDIO: &str = "document.querySelector('.recording-panel audio')";

#[test]
fn a_recording_is_played_along_to() {
    in_browser(|page| async move {
        let folder = tempfile::tempdir().expect("a folder");
        bring_recording(&page, &folder).await;
        page.until("eight measures along the recording", "document.querySelectorAll('.strip-measure').length === 8").await;
        // Slower, and the pitch stays.
        page.on("[data-key=recording-tempo]", Key::Home).await;
        page.until("30 percent", &format!("{AUDIO}.playbackRate === 0.3 && {AUDIO}.preservesPitch")).await;
        page.on("[data-key=recording-tempo]", Key::End).await;
        page.until("120 percent", &format!("{AUDIO}.playbackRate === 1.2")).await;
        // Measures 5 to 8 again and again. Three-four at a hundred: 1.8 s a measure after half a second of silence, so from 7.7 s to 14.9 s.
        page.point_at("g.measure#m4").await;
        page.until("from measure 5", &format!("Math.abs({AUDIO}.currentTime - 7.7) < 0.2")).await;
        page.tick("Repeat measures").await;
        page.until("measures 5 to 8", "document.querySelector('[data-key=recording-first]').value === '4' && document.querySelector('[data-key=recording-last]').value === '7'").await;
        page.click("[data-key=recording-play]").await;
        page.until("the page follows", "document.querySelector('g.measure#m4 .marker')").await;
        page.run(&format!("{AUDIO}.currentTime = 14.5"), Vec::new()).await;
        page.until("and the end is near", "document.querySelector('g.measure#m7 .marker')").await;
        page.until("back at measure 5", &format!("{AUDIO}.currentTime > 7 && {AUDIO}.currentTime < 9 && !{AUDIO}.paused")).await;
        page.until("the page with it", "document.querySelector('g.measure#m4 .marker')").await;
        page.click("[data-key=recording-play]").await;
        page.until("it pauses", &format!("{AUDIO}.paused")).await;
    });
}

#[test]
fn a_place_is_corrected_and_is_there_the_next_day() {
    in_browser(|page| async move {
        let folder = tempfile::tempdir().expect("a folder");
        bring_recording(&page, &folder).await;
        // By the keyboard: the first beat of measure 3 a little later.
        page.run("document.querySelector('[data-grip=\"2\"]').focus()", Vec::new()).await;
        for _ in 0..4 {
            page.keys(&char::from(Key::Right).to_string()).await;
        }
        page.sees("First beats you gave").await;
        page.until("measure 3 is hers", "/given by you/.test(document.querySelector('[data-grip=\"2\"]').getAttribute('aria-valuetext'))")
            .await;
        // By a press at the moment: measure 6, at its first beat and a little more.
        page.point_at("g.measure#m5").await;
        page.sees("Measure 6 begins now").await;
        page.run(&format!("{AUDIO}.currentTime = 9.6"), Vec::new()).await;
        page.press("Measure 6 begins now").await;
        page.sees("Measure 6 at 0:09.6").await;
        page.press("Find the places anew").await;
        page.until("measure 6 is hers", "/given by you/.test(document.querySelector('[data-grip=\"5\"]').getAttribute('aria-valuetext'))")
            .await;
        let kept = page.desk.borrow().text("Down to the Pier.abc.undersong-recording.json");
        assert!(kept.contains("\"seconds\":9.6"), "{kept}");
        page.desk.borrow_mut().restart();
        page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
        page.press("Recording").await;
        page.sees("Measure 6 at 0:09.6").await;
        page.sees("bring it again to hear it").await;
        page.press("Forget this recording").await;
        page.sees("It stays where it lies").await;
        assert!(!page.desk.borrow().file("Down to the Pier.abc.undersong-recording.json").exists());
        assert!(folder.path().join("Down to the Pier.wav").exists(), "the recording is never touched");
    });
}

#[test]
fn the_recording_shuts_nobody_out() {
    in_browser(|page| async move {
        let folder = tempfile::tempdir().expect("a folder");
        bring_recording(&page, &folder).await;
        page.press("Measure 1 begins now").await;
        page.sees("First beats you gave").await;
        page.press("Find the places anew").await;
        page.sees("Find the places again").await;
        for theme in ["light", "dark"] {
            page.client.set_window_size(1440, 900).await.expect("a window");
            page.run("localStorage.setItem('undersong.theme', arguments[0])", vec![theme.into()]).await;
            page.go("#/worktable/Down%20to%20the%20Pier.abc").await;
            page.press("Recording").await;
            page.sees("bring it again to hear it").await;
            for (width, height) in [(1440, 900), (1024, 768), (500, 844)] {
                page.client.set_window_size(width, height).await.expect("a window");
                let looked_at = (theme == "light") == (width == 1440);
                assert_eq!(page.barriers_in((width, height, theme, looked_at), "recording").await, Vec::<String>::new());
            }
        }
    });
}
