//! The diary: she comes back the next day and finds her place and what needs a visit, by the mouse and by keys alone; everything is taken along and brought back; nobody is shut out.

use crate::browser_page::{BrowserPage, WINDOWS, in_browser};
use crate::desk::PIER;
use crate::keyboard::Keyboard;
use fantoccini::key::Key;
use serde_json::json;

const ROOM: &str = "#/practice/Down%20to%20the%20Pier.abc";
/// A Thursday, at noon in Greenwich.
const THURSDAY: i64 = 1_795_694_400_000;
const DAY: i64 = 86_400_000;

/// From now on the page's clock shows another moment; it goes on from there as fast as ever.
async fn clock_at(page: &BrowserPage, moment: i64) {
    let script =
        "const own = Date.now.own ?? Date.now, by = arguments[0] - own(); Date.now = () => own() + by; Date.now.own = own; return true";
    page.run(script, vec![json!(moment)]).await;
}

/// Another place of the same page: the clock stays as it is set.
async fn go_on(page: &BrowserPage, place: &str) {
    page.run("location.hash = arguments[0]", vec![json!(place)]).await;
}

async fn laid(page: &BrowserPage, step: &str) {
    page.until(&format!("{step} lies there"), &format!("document.querySelector('.practice-bar')?.dataset.heard === {}", json!(step))).await;
}

#[test]
fn the_next_day_she_finds_her_place_and_what_needs_a_visit() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        clock_at(&page, THURSDAY).await;
        go_on(&page, ROOM).await;
        laid(&page, "roots").await;
        page.press("Play").await;
        page.until("it plays", "document.querySelector('.practice-bar .play').innerText === 'Pause'").await;
        page.press("Passed").await;
        page.sees("1 of 11 steps passed").await;
        // Twelve minutes later, with the music still playing, as far as the clock knows: a minute at most counts of a leap, and the step is a visit by itself.
        clock_at(&page, THURSDAY + 12 * 60_000).await;
        page.press("Next: Open fifths").await;
        laid(&page, "open-fifths").await;
        go_on(&page, "#/diary").await;
        page.sees("No tune needs a visit today").await;
        page.sees("✓ passed: Roots").await;
        page.until("how long and how fast", "/Roots: .*, last at 100 beats a minute/.test(document.querySelector('.diary-day').innerText)")
            .await;
        // The next day, in a program started anew.
        page.desk.borrow_mut().restart();
        page.go("#/").await;
        clock_at(&page, THURSDAY + DAY).await;
        page.press("Diary").await;
        page.sees("One tune needs a visit").await;
        page.sees("due today; last visited yesterday").await;
        page.press("Down to the Pier").await;
        laid(&page, "open-fifths").await;
        page.sees("1 of 11 steps passed").await;
        let file = page.desk.borrow().file("undersong-diary.sqlite");
        assert!(file.exists() && !page.desk.borrow().file("Down to the Pier.abc.undersong-practice.toml").exists());
    });
}

#[test]
fn the_diary_by_keys_alone() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        clock_at(&page, THURSDAY).await;
        go_on(&page, "#/diary").await;
        page.sees("Nothing is written down yet").await;
        let keys = Keyboard::of(page.clone());
        keys.enter("Write down what you practised away from here").await;
        keys.tab_to("What").await;
        page.keys("Scales at the window").await;
        keys.tab_to("Minutes").await;
        keys.press(Key::Up).await;
        keys.press(Key::Enter).await;
        page.sees("Scales at the window: 21 min").await;
        assert_eq!(
            page.run("return document.querySelector('.weeks-picture').getAttribute('aria-label')", Vec::new()).await,
            json!("From 19 October to 26 November: 1 day with practice, 21 min in all.")
        );
        keys.enter("Take out: Scales at the window: 21 min").await;
        page.sees("Nothing is written down yet").await;
        page.press("Put it back").await;
        page.sees("Scales at the window: 21 min").await;
    });
}

#[test]
fn everything_is_taken_along_and_brought_back() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.go(ROOM).await;
        laid(&page, "roots").await;
        page.press("Passed").await;
        page.sees("1 of 11 steps passed").await;
        page.go("#/diary").await;
        page.press("Take everything along (zip)").await;
        let archive = page.taken_home("zip").await;
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("along.zip");
        std::fs::write(&path, &archive).expect("the archive");
        // In a folder where the tune is another one, and nothing was practised.
        std::fs::remove_file(page.desk.borrow().file("undersong-diary.sqlite")).expect("the diary was there");
        std::fs::write(page.desk.borrow().file("Down to the Pier.abc"), PIER.replace("K:G", "K:D")).expect("the tune was there");
        page.go("#/diary").await;
        page.sees("Nothing is written down yet").await;
        page.type_into("input[aria-label='Choose an archive to bring in']", &path.display().to_string()).await;
        page.sees("1 file is here with other contents").await;
        page.press("Bring in what is new").await;
        page.sees("✓ passed: Roots").await;
        assert!(page.desk.borrow().text("Down to the Pier.abc").contains("K:D"), "nothing is written over by itself");
        page.type_into("input[aria-label='Choose an archive to bring in']", &path.display().to_string()).await;
        page.press("Bring in all of it, over what is here").await;
        page.sees("there with other contents, now replaced").await;
        assert!(page.desk.borrow().text("Down to the Pier.abc").contains("K:G"));
    });
}

#[test]
fn a_call_is_answered_and_the_answer_timed() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.go(ROOM).await;
        laid(&page, "roots").await;
        page.run("[...document.querySelectorAll('[role=tab]')].find((tab) => tab.innerText === 'Drills').click()", Vec::new()).await;
        page.run("[...document.querySelectorAll('.drills button')].find((one) => one.innerText.startsWith('End now')).click()", Vec::new())
            .await;
        page.until("the drill lies there", "document.querySelector('.practice-bar').dataset.heard?.startsWith('end-now')").await;
        page.press("Play").await;
        page.until("it is called", "document.querySelector('.call').innerText.startsWith('End now: ')").await;
        page.run("document.querySelector('.practice-sheet').focus()", Vec::new()).await;
        Keyboard::of(page.clone()).press(Key::Enter).await;
        // The way out begins when the measure is over: an answer at the call is early by most of its three beats.
        page.until("it is told", "/beats? early\\./.test(document.querySelector('.answers').innerText)").await;
        assert_eq!(
            page.run("return document.querySelector('[data-key=answer]').getAttribute('aria-disabled')", Vec::new()).await,
            json!("true")
        );
    });
}

/// The clock and the timer are the test's: a minute goes by with each turn.
#[test]
fn time_counts_with_a_sign_of_her_and_a_break_is_suggested() {
    in_browser(|page| async move {
        let script = "const done = arguments[arguments.length - 1];
            let moment = 1795694400000, turn = null, music = true;
            const said = [], kept = [];
            Date.now = () => moment;
            window.setInterval = (act) => { turn = act; return 1; };
            window.fetch = async (path, { body }) => { kept.push(JSON.parse(body).seconds); return new Response('{}'); };
            import(document.querySelector('link[href$=\"/practice-time.js\"]').href).then(({ practiceTime }) => {
                const time = practiceTime({ playing: () => music, breakTime: (minutes) => said.push(minutes), failed: (refusal) => said.push(String(refusal)) });
                const minutes = (n) => { for (let i = 0; i < n; i++) { moment += 60000; turn(); } };
                time.at({ tune: 'a.abc', tune_title: 'A', what: 'step', title: 'Roots' });
                minutes(30);
                const playing = [...said];
                music = false;
                minutes(20);
                const away = [...said];
                dispatchEvent(new KeyboardEvent('keydown', { key: 'a' }));
                minutes(2);
                time.at(null);
                done([playing, away, kept.at(-1)]);
            });";
        let seen = page.client.execute_async(script, Vec::new()).await.expect("the clock runs");
        // A word after 25 minutes; with the music over, four more of them count and the break takes the word back; the last two are counted from the key on.
        assert_eq!(seen, json!([[25], [25, null], (30 + 4 + 2) * 60]));
    });
}

#[test]
fn the_diary_shuts_nobody_out() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let noon = "new Date(new Date().setHours(12, 0, 0, 0)).getTime()";
        let script = format!("const done = arguments[arguments.length - 1], noon = {noon}, all = [];
            const day = (moment) => {{ const d = new Date(moment); return `${{d.getFullYear()}}-${{String(d.getMonth() + 1).padStart(2, '0')}}-${{String(d.getDate()).padStart(2, '0')}}`; }};
            for (let n = 0; n < 30; n += 2) {{ const began = noon - n * 86400000 - (n === 0 ? 43000000 : 0);
              all.push(fetch('/api/diary/stay', {{ method: 'PUT', headers: {{ 'Content-Type': 'application/json' }}, body: JSON.stringify({{ day: day(began), began, tune: n % 4 ? '' : 'Down to the Pier.abc', tune_title: n % 4 ? '' : 'Down to the Pier', what: n % 4 ? 'sight' : 'step', title: n % 4 ? 'Sight reading 2, number 17' : 'Open fifths', seconds: 300 + 240 * n, beats: 84, percent: 80 }}) }})); }}
            Promise.all(all).then((answers) => done(answers.filter((one) => !one.ok).length));");
        assert_eq!(page.client.execute_async(&script, Vec::new()).await.expect("stays"), json!(0));
        let mut found = Vec::new();
        for window in WINDOWS {
            page.shown_in(window).await;
            page.go("#/diary").await;
            page.sees("Day by day").await;
            page.run("document.querySelectorAll('details').forEach((one) => { one.open = true; })", Vec::new()).await;
            found.extend(page.barriers_in(window, "diary").await);
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}
