//! The guide in the browser: the steps that its pictures are made by, Help from every place, and every page looked at by the accessibility checker.
//!
//! The steps are walked in every run, so that a label that changes is noticed; only where `UNDERSONG_PICTURES` names a folder (`scripts/guide-pictures` does) are the pictures kept.

use crate::browser_page::{BrowserPage, in_browser};
use serde_json::json;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// With what the browser keeps for itself, a screen as many have it; and one in which every part is seen to its foot.
const WINDOW: (u32, u32) = (1400, 1043);
const TALL: (u32, u32) = (1400, 2400);

/// Where pictures go, and which were taken.
struct Album {
    folder: Option<PathBuf>,
    taken: RefCell<BTreeSet<String>>,
}

impl Album {
    /// All that is seen at once.
    async fn whole(&self, page: &BrowserPage, name: &str) {
        self.quiet(page, WINDOW).await;
        self.keep(name, page.client.screenshot().await.expect("a picture"));
    }

    /// One part of the page, to its foot.
    async fn part(&self, page: &BrowserPage, name: &str, selector: &str) {
        self.quiet(page, TALL).await;
        let part = page.find(selector).await;
        assert!(part.is_displayed().await.expect("it can be asked"), "{selector} is not seen");
        self.keep(name, part.screenshot().await.unwrap_or_else(|e| panic!("{selector}: {e}")));
    }

    /// What passes by itself, and where the folder of this run lies, is nothing to show.
    async fn quiet(&self, page: &BrowserPage, size: (u32, u32)) {
        window(page, size).await;
        page.until("nothing is worked at", "!document.getElementById('busy')?.textContent").await;
        let script = "document.getElementById('notice')?.replaceChildren();
            const folder = document.querySelector('.folder'); if (folder) folder.textContent = 'Undersong';
            document.activeElement?.blur();";
        page.run(script, Vec::new()).await;
    }

    fn keep(&self, name: &str, png: Vec<u8>) {
        assert!(png.starts_with(b"\x89PNG"), "{name} is no picture");
        let file = format!("{name}.png");
        if let Some(folder) = &self.folder {
            std::fs::write(folder.join(&file), png).expect("the folder takes a picture");
        }
        self.taken.borrow_mut().insert(file);
    }
}

fn docs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/guide")
}

fn pages() -> Vec<String> {
    let entries = std::fs::read_dir(docs()).expect("the guide").flatten();
    let mut names: Vec<String> =
        entries.filter_map(|entry| Some(entry.file_name().into_string().ok()?.strip_suffix(".md")?.to_owned())).collect();
    names.sort();
    names
}

/// The pictures that the guide names.
fn named() -> BTreeSet<String> {
    let text: String = pages().iter().map(|name| std::fs::read_to_string(docs().join(format!("{name}.md"))).expect("a page")).collect();
    text.split("](pictures/").skip(1).filter_map(|rest| rest.split(')').next()).map(str::to_owned).collect()
}

async fn window(page: &BrowserPage, (wide, high): (u32, u32)) {
    page.client.set_window_size(wide, high).await.expect("a window");
}

async fn whole_tune(page: &BrowserPage) {
    page.press("Whole tune").await;
    page.until("the panel", "document.querySelector('.whole-panel select')?.checkVisibility()").await;
    page.until("the keys are tried", "document.querySelector('.keys-part') && !document.querySelector('.keys-part .waiting')").await;
}

#[test]
fn the_pictures_are_what_is_seen() {
    in_browser(|page| async move {
        let album = Album { folder: std::env::var_os("UNDERSONG_PICTURES").map(PathBuf::from), taken: RefCell::default() };
        page.run("localStorage.setItem('undersong.theme', 'light')", Vec::new()).await;
        shelf_and_harp(&page, &album).await;
        worktable(&page, &album).await;
        whole(&page, &album).await;
        playing(&page, &album).await;
        others(&page, &album).await;
        assert_eq!(album.taken.take(), named(), "the pictures that are taken, and those that the guide names");
    });
}

async fn shelf_and_harp(page: &BrowserPage, album: &Album) {
    page.go("#/").await;
    page.press("Put in four tunes to try").await;
    page.until("four tunes", "document.querySelectorAll('.tune').length === 4").await;
    page.until("how they fit is told", "[...document.querySelectorAll('.tune-fit')].every((one) => !one.innerText.includes('looking'))")
        .await;
    album.whole(page, "shelf").await;
    page.press("My harp and hands").await;
    page.press("A harp of my own").await;
    page.choose("select[data-key=harp-from]", "lever-26").await;
    page.until("26 strings from C3", "/26 strings, C3 to G6/.test(document.querySelector('.harp-form').innerText)").await;
    page.fill("input[data-key=harp-name]", "Marta's small harp").await;
    for letter in ["D", "E", "G", "A", "B"] {
        page.click(&format!("input[data-key=lever-{letter}]")).await;
    }
    page.until("levers on two letters", "document.querySelectorAll('.harp-form fieldset input:checked').length === 2").await;
    album.part(page, "harp", ".harp-form").await;
    page.press("Keep this harp").await;
    page.sees("Marta's small harp: kept").await;
    page.press("My harp and hands").await;
    page.choose("select[data-key=harp]", "lever-34").await;
    page.sees("Used from now on").await;
}

async fn worktable(page: &BrowserPage, album: &Album) {
    window(page, WINDOW).await;
    page.press("The Bakery before Six").await;
    page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
    page.point_at("#m5").await;
    page.until("measure 5", "document.querySelector('.measure-panel h2')?.innerText === 'Measure 5'").await;
    album.whole(page, "worktable").await;
    page.click("summary[data-key=other-ways]").await;
    page.until("other ways", "document.querySelector('.other-ways').dataset.told").await;
    for button in ["Listen", "Only this measure", "This phrase"] {
        page.until(button, &format!("[...document.querySelectorAll('.offer button')].some((one) => one.innerText === {})", json!(button)))
            .await;
    }
    album.part(page, "ways", ".offer").await;
    page.click("summary[data-key=other-ways]").await;
    page.click("summary[data-key=change-notes]").await;
    page.until("the notes", "document.querySelector('.change-notes .one-note')").await;
    album.part(page, "notes", ".change-notes").await;
    page.click("summary[data-key=change-notes]").await;
    page.press("Take home").await;
    album.part(page, "take-home", ".take .drop-panel").await;
    page.press("Take home").await;
}

async fn whole(page: &BrowserPage, album: &Album) {
    whole_tune(page).await;
    page.choose("select[data-key=voice-low]", "A3").await;
    page.until("a singer", "document.querySelector('select[data-key=voice-high]').value === 'D5'").await;
    page.until(
        "the keys are tried",
        "document.querySelectorAll('.keys-part .key-choice').length > 2 && !document.querySelector('.keys-part .waiting')",
    )
    .await;
    album.part(page, "keys", ".keys-part").await;
    page.press("Add a verse").await;
    page.until("two verses", "document.querySelector('select[data-key=fullness-1]')").await;
    album.part(page, "verses", ".whole-panel fieldset:has(select[data-key=fullness-1])").await;
    page.press("Undo").await;
    page.until("one verse", "!document.querySelector('select[data-key=fullness-1]')").await;
    page.press("Versions").await;
    page.fill("input[data-key=version-new]", "for the pupil").await;
    page.press("Make a copy").await;
    page.until("two versions", "document.querySelectorAll('.version').length === 2").await;
    album.part(page, "versions", ".versions-panel").await;
}

async fn playing(page: &BrowserPage, album: &Album) {
    window(page, WINDOW).await;
    page.press("To the stand").await;
    page.until("a page", "document.querySelector('.stand-sheet svg')").await;
    page.until("the next line", "document.querySelector('.stand-next svg')").await;
    album.whole(page, "stand").await;
    page.go("#/practice/lighthouse-in-mist.abc").await;
    page.until("the step lies there", "document.querySelector('.practice-bar').dataset.heard").await;
    page.run("document.querySelector('.ladder-panel .step-button').scrollIntoView({ block: 'nearest' })", Vec::new()).await;
    album.whole(page, "ladder").await;
}

async fn others(page: &BrowserPage, album: &Album) {
    page.go("#/").await;
    page.until("four tunes", "document.querySelectorAll('.tune').length === 4").await;
    page.press("Make a set").await;
    for tune in ["bakery-before-six", "ferry-reel", "lighthouse-in-mist", "regatta-morning"] {
        page.click(&format!("input[data-key='of-set-{tune}.abc']")).await;
    }
    page.fill("input[data-key=new-set-title]", "At the bakery").await;
    page.press("Make the set of 4 tunes").await;
    page.until("the set", "document.querySelectorAll('.set-row').length === 4 && document.querySelector('.set-page svg')").await;
    album.whole(page, "set").await;
    let melody: String = include_str!("../../../../data/tunes/lighthouse-in-mist.abc").split('"').step_by(2).collect();
    std::fs::write(page.desk.borrow().file("bare.abc"), melody).expect("the folder takes a tune");
    page.go("#/worktable/bare.abc").await;
    page.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
    whole_tune(page).await;
    album.part(page, "chords", ".whole-panel fieldset:has(button[data-key=chords-three])").await;
}

/// From each place to its page, at a heading that is there.
#[test]
fn help_leads_to_the_page_of_the_place() {
    in_browser(|page| async move {
        page.press("Put in four tunes to try").await;
        page.until("four tunes", "document.querySelectorAll('.tune').length === 4").await;
        page.press("Make a set").await;
        page.click("input[data-key='of-set-ferry-reel.abc']").await;
        page.press("Make the set of 1 tune").await;
        page.until("the set", "document.querySelector('.set-row')").await;
        let set = page.run("return location.hash", Vec::new()).await.as_str().expect("an address").to_owned();
        let stand = set.replace("#/set/", "#/stand/");
        let places = [
            ("#/", "Your first tune in two minutes"),
            ("#/new", "Your first tune in two minutes"),
            ("#/text/ferry-reel.abc", "Your first tune in two minutes"),
            ("#/worktable/ferry-reel.abc", "Why a measure is as it is, and other ways"),
            ("#/stand/ferry-reel.abc", "Printing, sound, and taking everything along"),
            (&stand, "Printing, sound, and taking everything along"),
            ("#/practice/ferry-reel.abc", "Practising"),
            ("#/diary", "Practising"),
            (&set, "Sets for an occasion"),
        ];
        for (place, title) in places {
            page.go(place).await;
            page.until("help for a place", "document.getElementById('help').getAttribute('href') !== '/guide/'").await;
            let script = "const [done] = arguments, help = document.getElementById('help');
                if (!help.checkVisibility()) { done('help is not seen'); return; }
                fetch(help.href).then((answer) => answer.text()).then((text) => {
                    const there = new DOMParser().parseFromString(text, 'text/html'), id = new URL(help.href).hash.slice(1);
                    done(!id || there.getElementById(id) ? there.querySelector('h1')?.innerText : `${help.href} has no such heading`);
                });";
            let seen = page.client.execute_async(script, Vec::new()).await.expect("the page is asked for");
            assert_eq!(seen, title, "{place}");
        }
    });
}

/// Help opens in a tab of its own, and the same tab once more; what was begun stays.
#[test]
fn help_leaves_what_she_does_as_it_is() {
    in_browser(|page| async move {
        page.go("#/new").await;
        page.until("the field has the focus", "document.activeElement.tagName === 'TEXTAREA'").await;
        page.paste("X:1\nT:Half a thought\n").await;
        let here = page.client.window().await.expect("this tab");
        for _ in 0..2 {
            page.press("Help").await;
            let mut tabs = page.client.windows().await.expect("the tabs");
            tabs.retain(|tab| *tab != here);
            let [help] = &tabs[..] else { panic!("one tab for help: {tabs:?}") };
            page.client.switch_to_window(help.clone()).await.expect("the other tab");
            page.until("the guide", "location.pathname === '/guide/first-tune' && location.hash === '#a-tune-of-your-own'").await;
            page.until("its heading", "document.querySelector('h1')?.innerText === 'Your first tune in two minutes'").await;
            page.client.switch_to_window(here.clone()).await.expect("back");
            let text = page.run("return document.querySelector('textarea').value", Vec::new()).await;
            assert_eq!(text, "X:1\nT:Half a thought\n");
        }
    });
}

#[test]
fn no_page_of_the_guide_shuts_anyone_out() {
    in_browser(|page| async move {
        let address = page.desk.borrow().address.clone();
        let (origin, _) = address.split_once("/?").expect("a pass stands in the address");
        let mut found = Vec::new();
        for (width, theme) in [(1440, "light"), (500, "dark")] {
            page.shown_in((width, 900, theme, false)).await;
            for (index, name) in pages().into_iter().enumerate() {
                page.client.goto(&format!("{origin}/guide/{}", name.replace("index", ""))).await.expect("a page of the guide");
                assert_eq!(page.run("return document.documentElement.dataset.theme", Vec::new()).await, theme, "{name} has her colours");
                page.until("its pictures", "[...document.images].every((one) => { one.loading = 'eager'; return one.complete; })").await;
                let broken =
                    page.run("return [...document.images].filter((one) => !one.naturalWidth).map((one) => one.src)", Vec::new()).await;
                assert_eq!(broken, json!([]), "{name}");
                // The pages are of one make: the checker looks at one wide and light and at the next narrow and dark.
                let window = (width, 900, theme, (index % 2 == 0) == (theme == "light"));
                found.extend(page.barriers_in(window, &name).await);
            }
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}
