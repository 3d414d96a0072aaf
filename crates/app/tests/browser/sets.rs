//! A set of five tunes: made, put in another order, linked, printed, and played through on the stand, by mouse and by the keyboard alone; looked at by the accessibility checker.

use crate::browser_page::{BrowserPage, WINDOWS, in_browser};
use crate::keyboard::Keyboard;
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use fantoccini::key::Key;
use serde_json::json;

/// Title, kind, key, and four measures that pluck what the key has.
const FIVE: [(&str, &str, &str, &str); 5] = [
    ("Anchor Down", "air", "D", "\"D\"D F A d|\"A\"c A E C|\"G\"B G d B|\"D\"d4|"),
    ("Buoy and Bell", "reel", "C", "\"C\"C E G c|\"F\"f a f c|\"G\"B G d B|\"C\"c4|"),
    ("Crab Pots", "jig", "G", "\"G\"G B d g|\"C\"e c G c|\"D\"d A F A|\"G\"G4|"),
    ("Dry Dock", "song", "D", "\"D\"d f a f|\"A\"e c A c|\"G\"d B G B|\"D\"d4|"),
    ("Evening Tide", "waltz", "A", "\"A\"A c e c|\"D\"d f a d|\"E\"B G E G|\"A\"A4|"),
];
const EVENING: &str = "Evening.undersong-set.toml";

async fn five_on_the_shelf(page: &BrowserPage) {
    for (title, kind, key, notes) in FIVE {
        let text = format!("X:1\nT:{title}\nR:{kind}\nM:4/4\nL:1/4\nQ:1/4=100\nK:{key}\n{notes}\n");
        std::fs::write(page.desk.borrow().file(&format!("{title}.abc")), text).expect("the folder takes a tune");
    }
    page.go("#/").await;
    page.until("five tunes", "document.querySelectorAll('.shelf .tune-title').length === 5").await;
}

/// The titles of the set's rows.
async fn order(page: &BrowserPage) -> Vec<String> {
    let titles = page.run("return [...document.querySelectorAll('.set-row .tune-title')].map((one) => one.innerText)", Vec::new()).await;
    titles.as_array().expect("titles").iter().map(|t| t.as_str().expect("a title").to_owned()).collect()
}

async fn order_is(page: &BrowserPage, wanted: &[String]) {
    let now = "JSON.stringify([...document.querySelectorAll('.set-row .tune-title')].map((one) => one.innerText))";
    page.until(&format!("the order {wanted:?}"), &format!("{now} === {}", json!(json!(wanted).to_string()))).await;
}

async fn set_is_shown(page: &BrowserPage) {
    page.until("the set with its page", "document.querySelectorAll('.set-row').length === 5 && document.querySelector('.set-page svg')")
        .await;
}

/// Drags a row's handle to the middle of another row.
async fn drag(page: &BrowserPage, from: usize, to: usize) {
    let script = "const rows = [...document.querySelectorAll('.set-row')];
        rows[0].scrollIntoView({ block: 'start' });
        const middle = (node) => { const box = node.getBoundingClientRect(); return [Math.round(box.x + box.width / 2), Math.round(box.y + box.height / 2)]; };
        return [middle(rows[arguments[0]].querySelector('.set-handle')), middle(rows[arguments[1]].querySelector('.set-tune'))];";
    let places = page.run(script, vec![json!(from), json!(to)]).await;
    let at = |i: usize, j: usize| places[i][j].as_f64().expect("a place");
    let mouse = MouseActions::new("mouse".into())
        .then(PointerAction::MoveTo { duration: None, x: at(0, 0), y: at(0, 1) })
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(PointerAction::MoveTo { duration: None, x: at(0, 0), y: (at(0, 1) + at(1, 1)) / 2.0 })
        .then(PointerAction::MoveTo { duration: None, x: at(0, 0), y: at(1, 1) })
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    page.client.perform_actions(mouse).await.expect("the mouse moves");
}

/// Puts the page's clock on by a second, so that the test need not wait for a foot to settle.
async fn later(page: &BrowserPage) {
    let script = "const on = (window.waited = (window.waited ?? 0) + 1000);
        window.clock ??= performance.now.bind(performance);
        performance.now = () => window.clock() + on;";
    page.run(script, Vec::new()).await;
}

/// Goes on by the same act until the last page of the last tune; gives the titles of the cards in between.
async fn played_through(page: &BrowserPage, mut go_on: impl AsyncFnMut(&BrowserPage)) -> Vec<String> {
    let mut titles = Vec::new();
    for _ in 0..40 {
        let shown = page
            .until("a card or a page", "document.querySelector('.stand-sheet > .set-card, .stand-sheet > svg') && [document.querySelector('.set-card h2')?.innerText ?? '', document.querySelector('.page-count').innerText, document.querySelectorAll('.stand-sheet > svg').length]")
            .await;
        let (title, count) = (shown[0].as_str().unwrap_or_default(), shown[1].as_str().unwrap_or_default().to_owned());
        if !title.is_empty() && titles.last().is_none_or(|t| t != title) {
            titles.push(title.to_owned());
        }
        let pages: Vec<&str> = count.split(" · ").nth(1).unwrap_or_default().split(" / ").collect();
        if count.starts_with("5 of 5") && pages.len() == 2 && pages[0] == pages[1] {
            return titles;
        }
        later(page).await;
        go_on(page).await;
        page.until(
            "it goes on",
            &format!(
                "document.querySelector('.page-count')?.innerText !== {} && document.querySelector('.page-count')?.innerText",
                json!(count)
            ),
        )
        .await;
    }
    panic!("the set never ends: {titles:?}");
}

#[test]
fn made_played_and_printed_by_mouse() {
    in_browser(|page| async move {
        five_on_the_shelf(&page).await;
        page.press("Make a set").await;
        for (title, ..) in FIVE {
            page.tick(title).await;
        }
        page.type_into("[data-key=new-set-title]", "Evening").await;
        page.press("Make the set of 5 tunes").await;
        set_is_shown(&page).await;
        page.sees("asks for less").await;
        let best = order(&page).await;
        let mut moved = best.clone();
        let first = moved.remove(0);
        moved.insert(2, first);
        drag(&page, 0, 2).await;
        order_is(&page, &moved).await;
        if page.run("return document.querySelector('[data-key=best-order]') !== null", Vec::new()).await == true {
            page.press("Put them in that order").await;
            page.until("no better one", "!document.querySelector('[data-key=best-order]')").await;
        }
        page.choose("[data-key=all-links]", "2").await;
        page.sees("Link of 2 measures").await;
        page.press("Print its page (PDF)").await;
        assert!(page.taken_home("pdf").await.starts_with(b"%PDF"));
        let order = order(&page).await;
        page.press("To the stand").await;
        page.until("the first card", "document.querySelector('.set-card h2')").await;
        page.press("Hide the buttons").await;
        let titles = played_through(&page, async |page: &BrowserPage| page.point_in(".stand-sheet", 0.6).await).await;
        assert_eq!(titles, order);
        page.until("still alone on the screen", "!document.getElementById('top').checkVisibility()").await;
        later(&page).await;
        page.on(".stand-sheet", Key::Left).await;
        page.until("back to the last card", "document.querySelector('.set-card h2')").await;
        later(&page).await;
        page.on(".stand-sheet", Key::Left).await;
        page.until("and to the tune before", "document.querySelector('.page-count').innerText.startsWith('4 of 5 · ')").await;
        assert!(page.desk.borrow().text(EVENING).contains("link = 2"));
    });
}

#[test]
fn made_and_played_by_the_keyboard() {
    in_browser(|page| async move {
        five_on_the_shelf(&page).await;
        let keys = Keyboard::of(page.clone());
        keys.enter("Make a set").await;
        keys.tab_to("Minutes").await;
        keys.press_with(Key::Control, 'a').await;
        for digit in "3".chars() {
            keys.press(digit).await;
        }
        keys.enter("Choose for me").await;
        page.until("they are ticked", "document.querySelectorAll('.set-ticks input:checked').length === 5").await;
        page.sees("nearest to 3:00").await;
        keys.tab_to("Its title").await;
        for letter in "Evening".chars() {
            keys.press(letter).await;
        }
        keys.enter("Make the set of 5 tunes").await;
        set_is_shown(&page).await;
        let best = order(&page).await;
        let mut moved = best.clone();
        moved.swap(0, 1);
        keys.tab_to(&format!("{}, 1 of 5: drag it or use the arrow keys to move it", best[0])).await;
        keys.press(Key::Down).await;
        order_is(&page, &moved).await;
        page.until(
            "the focus goes with it",
            "document.activeElement.matches('.set-handle') && document.activeElement.closest('.set-row').dataset.at === '1'",
        )
        .await;
        keys.press(Key::Up).await;
        order_is(&page, &best).await;
        keys.enter_back("To the stand").await;
        page.until(
            "the first card has the focus",
            "document.activeElement.matches('.stand-sheet') && document.querySelector('.set-card h2')",
        )
        .await;
        let titles = played_through(&page, async |_: &BrowserPage| keys.press(' ').await).await;
        assert_eq!(titles, best);
        keys.press(Key::Escape).await;
        keys.enter_back("Back to the set").await;
        set_is_shown(&page).await;
    });
}

#[test]
fn sets_shut_nobody_out() {
    in_browser(|page| async move {
        five_on_the_shelf(&page).await;
        let tunes: String = FIVE.iter().map(|(title, ..)| format!("[[tunes]]\ntune = \"{title}.abc\"\nlink = 2\n")).collect();
        std::fs::write(page.desk.borrow().file(EVENING), format!("title = \"Evening\"\n{tunes}")).expect("a set");
        let mut found = Vec::new();
        for window in WINDOWS {
            page.shown_in(window).await;
            for place in ["#/", &format!("#/set/{EVENING}"), &format!("#/stand/{EVENING}")] {
                page.go(place).await;
                match place {
                    "#/" => {
                        page.until("the set", "document.querySelector('.set-title')").await;
                        page.run("document.querySelector('.set-maker').open = true", Vec::new()).await;
                    }
                    stand if stand.contains("stand") => drop(page.until("a card", "document.querySelector('.set-card h2')").await),
                    _ => set_is_shown(&page).await,
                }
                found.extend(page.barriers_in(window, place).await);
            }
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}
