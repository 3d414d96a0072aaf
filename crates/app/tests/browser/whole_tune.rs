//! What is chosen for the whole tune on the worktable: another harp with its strings, pedals, the shoulder, figures to leave out; the findings and their repairs.

use crate::browser_page::{BrowserPage, in_browser};
use crate::desk::PIER;

/// One string plucked twice in less than a tenth of a second, in measure 4. Our own.
const TWICE: &str = "X:1\nT:Twice\nM:4/4\nL:1/8\nQ:1/4=200\nK:C\n\"C\"c4 e4|\"F\"f4 a4|\"G\"g4 b4|\"C\"c/c/ z e2 g4|\"G\"B4 d4|\"C\"c8|]\n";

async fn whole_tune(page: &BrowserPage, tune: &str) {
    page.bring(tune).await;
    page.press("Whole tune").await;
    page.until("the panel", "document.querySelector('.whole-panel select')?.checkVisibility()").await;
}

/// Chooses one of a list by the list's name in the page, and waits for the page.
async fn choose(page: &BrowserPage, list: &str, value: &str) {
    let before = page.revision().await;
    page.choose(&format!("select[data-key={list}]"), value).await;
    page.redrawn(&before).await;
}

/// The letters below the strings from left to right.
async fn letters(page: &BrowserPage) -> String {
    let script = "const place = (one) => one.getBoundingClientRect().left;
        const letters = [...document.querySelectorAll('.strings-svg .letter')].sort((a, b) => place(a) - place(b));
        return letters.map((one) => one.textContent).join('');";
    page.run(script, Vec::new()).await.as_str().unwrap_or_default().to_owned()
}

/// The strings are drawn from the lowest to the highest.
const LOWEST_ON_THE_RIGHT: &str = "(([lowest, ...rest]) => lowest.getBoundingClientRect().left > rest.at(-1).getBoundingClientRect().left)
    ([...document.querySelectorAll('.strings-svg .letter')])";

/// C2 to A6, the longest string nearest to the harpist's face: on the left of the picture when the harp leans on the right shoulder.
#[test]
fn the_left_shoulder_turns_the_picture_round() {
    in_browser(|page| async move {
        whole_tune(&page, PIER).await;
        let right = letters(&page).await;
        assert!(right.starts_with("CDEFGABC") && right.ends_with("EFGA"), "{right}");
        page.press("Your hands").await;
        choose(&page, "shoulder", "left").await;
        page.until("the lowest string stands on the right", LOWEST_ON_THE_RIGHT).await;
        assert_eq!(letters(&page).await, right.chars().rev().collect::<String>());
        page.until("the left hand has gone there with its strings", "document.querySelector('.strings-svg .finger').cx.baseVal.value > document.querySelector('.strings-svg').viewBox.baseVal.width / 2").await;
    });
}

/// 47 strings from C1 to G7 and 36 from A1 to A6: `undersong harps`.
#[test]
fn another_harp_has_its_own_strings_and_pedals() {
    in_browser(|page| async move {
        whole_tune(&page, PIER).await;
        page.until("levers", "/lever/i.test(document.querySelector('.levers-now').innerText)").await;
        for (harp, strings) in [("lever-36", 36), ("pedal-47", 47)] {
            choose(&page, "harp", harp).await;
            page.until(harp, &format!("document.querySelectorAll('.strings-svg line.string').length === {strings}")).await;
        }
        // G major: every pedal in the middle but F, which is down.
        page.until("pedals in words", "/^Pedals: .*F♯/.test(document.querySelector('.levers-now').innerText.replaceAll('#', '♯'))").await;
        page.until("pedals as harp parts write them", "document.querySelectorAll('.pedal-stroke').length === 7 && /F sharp, G natural/.test(document.querySelector('.pedals svg').getAttribute('aria-label'))").await;
        page.until("and for a screen reader", "/Pedals: .*F/.test(document.querySelector('.strings-svg').getAttribute('aria-label'))")
            .await;
    });
}

/// The figures of all eight measures.
async fn figures_used(page: &BrowserPage) -> Vec<String> {
    let script = "const done = arguments[arguments.length - 1], at = `/api/tunes/${location.hash.split('/')[2]}/measures/`;
        const measures = [...Array(8).keys()].map((index) => fetch(at + index).then((answer) => answer.json()));
        Promise.all(measures).then((all) => done(all.flatMap(({ decisions }) => decisions.map(({ figure }) => figure))));";
    let used = page.client.execute_async(script, Vec::new()).await.expect("eight measures");
    serde_json::from_value(used).expect("names of figures")
}

#[test]
fn a_figure_left_out_is_played_nowhere() {
    in_browser(|page| async move {
        whole_tune(&page, PIER).await;
        let before = figures_used(&page).await;
        let out = before.iter().find(|name| *name != "rest").expect("a figure").clone();
        page.press("Figures to use or leave out").await;
        choose(&page, &format!("figure-{out}"), "without").await;
        let after = figures_used(&page).await;
        assert!(!after.contains(&out), "{out} is still in {after:?}");
        page.sees("Figures (1 chosen by you)").await;
        choose(&page, &format!("figure-{out}"), "use").await;
        let only = figures_used(&page).await;
        // A phrase and the tune still end as they must.
        assert!(only[..3].iter().all(|name| *name == out), "only {out}: {only:?}");
    });
}

/// How many findings the panel shows of one gravity.
fn findings(badge: &str) -> String {
    format!("[...document.querySelectorAll('.finding .badge')].filter((one) => one.innerText === '{badge}').length")
}

#[test]
fn a_repair_taken_takes_the_finding_away() {
    in_browser(|page| async move {
        page.bring(TWICE).await;
        page.press("Findings").await;
        page.until("a hard place is found", &format!("{} === 1", findings("hard"))).await;
        page.press("Measure 4").await;
        page.until("its measure is chosen", "document.querySelector('g.measure#m3 .chosen-mark')").await;
        let before = page.revision().await;
        page.press("Do this").await;
        page.redrawn(&before).await;
        page.until("it is gone", &format!("document.querySelector('.findings-panel h2') && {} === 0", findings("hard"))).await;
        page.press("Undo").await;
        page.until("undone, it is back", &format!("{} === 1", findings("hard"))).await;
    });
}

#[test]
fn escape_closes_take_home_and_gives_the_focus_back() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.press("Take home").await;
        page.named("The notes as MIDI").await;
        page.keys(&char::from(fantoccini::key::Key::Tab).to_string()).await;
        page.keys(&char::from(fantoccini::key::Key::Escape).to_string()).await;
        page.until(
            "closed",
            "![...document.querySelectorAll('a')].some((one) => one.innerText === 'The notes as MIDI' && one.checkVisibility())",
        )
        .await;
        page.until("the focus is on it", "document.activeElement.innerText === 'Take home'").await;
    });
}
