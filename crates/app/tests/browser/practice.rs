//! The practice room: three steps climbed, the melody played with the left hand silent, a loop chosen by dragging and by keys, passed, and found again after the program was started anew.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;
use crate::keyboard::Keyboard;
use crate::listening::{Heard, heard, listen};
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use fantoccini::key::Key;
use serde_json::{Value, json};
use std::time::Duration;

const ROOM: &str = "#/practice/Down%20to%20the%20Pier.abc";

/// Waits until a step's page and its sound are there.
async fn laid(page: &BrowserPage, step: &str) {
    let ready = format!(
        "document.querySelector('.practice-sheet').dataset.stand === {0} && document.querySelector('.practice-bar').dataset.heard === {0}",
        json!(step)
    );
    page.until(&format!("{step} lies on the stand"), &ready).await;
}

async fn in_the_room(page: &BrowserPage) {
    page.bring(PIER).await;
    page.go(ROOM).await;
    laid(page, "roots").await;
}

/// The strings of one hand in some measures, as the program says the music of a step is.
async fn strings(page: &BrowserPage, step: &str, hand: &str, measures: std::ops::Range<u64>) -> Vec<String> {
    let script = "const done = arguments[arguments.length - 1];
        fetch(`/api/tunes/${location.hash.split('/')[2]}/practice/steps/${arguments[0]}/sound`).then((answer) => answer.json()).then(done);";
    let music = page.client.execute_async(script, vec![json!(step)]).await.expect("the music of a step");
    let inside = |p: &&Value| p["hand"] == hand && p["measure"].as_u64().is_some_and(|m| measures.contains(&m));
    music["plucks"].as_array().expect("plucks").iter().filter(inside).map(|p| p["sample"].as_str().expect("a string").to_owned()).collect()
}

/// Drags over the music from a share of one measure's width to one of another.
async fn drag(page: &BrowserPage, from: (usize, f64), to: (usize, f64)) {
    let script = "const box = (index) => document.querySelector(`.practice-sheet g.measure#m${index}`).getBoundingClientRect();
        document.querySelector('.practice-sheet g.measure').scrollIntoView({ block: 'center' });
        return [...arguments].map(([index, share]) => { const b = box(index); return [Math.round(b.x + b.width * share), Math.round(b.y + b.height / 2)]; });";
    let places = page.run(script, vec![json!([from.0, from.1]), json!([to.0, to.1])]).await;
    let at = |i: usize, j: usize| places[i][j].as_f64().expect("a place");
    let duration = Some(Duration::from_millis(20));
    let mouse = MouseActions::new("mouse".into())
        .then(PointerAction::MoveTo { duration: None, x: at(0, 0), y: at(0, 1) })
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(PointerAction::MoveTo { duration, x: (at(0, 0) + at(1, 0)) / 2.0, y: at(1, 1) })
        .then(PointerAction::MoveTo { duration, x: at(1, 0), y: at(1, 1) })
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    page.client.perform_actions(mouse).await.expect("the mouse moves");
}

fn plucked(heard: &[Heard]) -> Vec<String> {
    heard.iter().filter_map(|h| h.string.clone()).collect()
}

#[test]
fn three_steps_against_the_melody() {
    in_browser(|page| async move {
        in_the_room(&page).await;
        // PIER is in three-four: measures 2 and 3 of the page, from 0, are six beats.
        drag(&page, (1, 0.05), (2, 0.95)).await;
        page.sees("from measure 2, beat 1 to measure 3, beat 3").await;
        assert_eq!(page.run("return document.querySelectorAll('.loop-mark').length", Vec::new()).await, 6);
        listen(&page).await;
        page.press("Play").await;
        page.until("it is counted in", "Number(document.querySelector('.count').innerText) > 0").await;
        page.until("it goes round", "window.heard.filter((one) => one.string).length >= 10").await;
        page.press("Pause").await;
        let heard = heard(&page).await;
        let (melody, left) = (strings(&page, "roots", "right", 1..3).await, strings(&page, "roots", "left", 1..3).await);
        assert_eq!(left.len(), 2, "a root for each measure");
        let played = plucked(&heard);
        assert_eq!(played[..melody.len()], melody[..], "the melody of the two measures, and no left hand");
        assert_eq!(played[melody.len()], melody[0], "and from the beginning");
        assert_eq!(heard.iter().take_while(|h| h.string.is_none()).count(), 3, "a measure is counted in");
        for (step, next) in [("roots", "Open fifths"), ("open-fifths", "One shape"), ("one-shape", "Nearby inversions")] {
            laid(&page, step).await;
            page.press("Passed").await;
            page.press(&format!("Next: {next}")).await;
        }
        laid(&page, "nearby-inversions").await;
        page.sees("3 of 11 steps passed").await;
        page.until("it is kept where she is", "document.querySelector('.step-button[aria-current]').innerText.includes('Nearby')").await;
        page.desk.borrow_mut().restart();
        page.go(ROOM).await;
        laid(&page, "nearby-inversions").await;
        page.sees("3 of 11 steps passed").await;
    });
}

#[test]
fn by_keys_alone() {
    in_browser(|page| async move {
        in_the_room(&page).await;
        let keys = Keyboard::of(page.clone());
        page.run("document.querySelector('.practice-sheet').focus()", Vec::new()).await;
        keys.press(Key::Right).await;
        page.sees("measure 1, beat 1").await;
        keys.press(Key::Right).await;
        page.sees("measure 1, beat 2").await;
        keys.press_with(Key::Shift, Key::Right).await;
        keys.press_with(Key::Shift, Key::Right).await;
        page.sees("from measure 1, beat 2 to measure 2, beat 1").await;
        listen(&page).await;
        keys.press(' ').await;
        page.until("it plays", "window.heard.some((one) => one.string)").await;
        // Three beats are counted for the measure, and one for the beat before the loop.
        let heard = heard(&page).await;
        assert_eq!(heard.iter().take_while(|h| h.string.is_none()).count(), 4);
        keys.press(' ').await;
        keys.press(Key::Escape).await;
        page.until("no loop", "document.querySelectorAll('.loop-mark').length === 0").await;
    });
}

#[test]
fn drills_sheets_and_the_cue_sheet() {
    in_browser(|page| async move {
        in_the_room(&page).await;
        page.run("[...document.querySelectorAll('[role=tab]')].find((tab) => tab.innerText === 'Drills').click()", Vec::new()).await;
        page.run("document.querySelector('.drills button').click()", Vec::new()).await;
        page.until("its measures go round", "document.querySelectorAll('.loop-mark').length > 0").await;
        assert_eq!(page.run("return document.querySelectorAll('.practice-words .shape-picture').length", Vec::new()).await, 2);
        page.run("[...document.querySelectorAll('.drills button')].find((one) => one.innerText.startsWith('Find')).click()", Vec::new())
            .await;
        page.press("Light it up").await;
        page.until("the shape", "document.querySelector('.shape-ring')").await;
        page.run("[...document.querySelectorAll('[role=tab]')].find((tab) => tab.innerText === 'At sight').click()", Vec::new()).await;
        page.press("Lay it on the stand").await;
        laid(&page, "sight 1 1").await;
        page.press("Another").await;
        laid(&page, "sight 1 2").await;
        page.run("[...document.querySelectorAll('[role=tab]')].find((tab) => tab.innerText === 'Cue sheet').click()", Vec::new()).await;
        page.run("document.querySelector('.cue-panel button').click()", Vec::new()).await;
        laid(&page, "cues").await;
        page.press("Take it home (PDF)").await;
        assert!(page.taken_home("pdf").await.starts_with(b"%PDF"));
    });
}
