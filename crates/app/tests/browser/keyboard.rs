//! A keyboard and nothing else: real presses that go to whatever has the focus, counted. The focus is never set from a script.

use crate::browser_page::BrowserPage;
use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::key::Key;
use serde_json::json;
use std::cell::Cell;

/// What a screen reader calls the thing that has the focus.
const NAME: &str = "const node = document.activeElement;
    return node.getAttribute('aria-label') ?? node.labels?.[0]?.innerText.trim() ?? node.innerText.trim();";
/// More than there are stops on any page.
const STOPS: usize = 150;

pub struct Keyboard {
    pub page: BrowserPage,
    pressed: Cell<u32>,
}

impl Keyboard {
    pub fn of(page: BrowserPage) -> Keyboard {
        Keyboard { page, pressed: Cell::new(0) }
    }

    /// How many times a key was pressed so far; one held for another, as Shift for Tab, is not counted.
    pub fn pressed(&self) -> u32 {
        self.pressed.get()
    }

    /// Presses one key and lets it go.
    pub async fn press(&self, key: impl Into<char>) {
        self.down_and_up(&[key.into()]).await;
    }

    pub async fn press_times(&self, key: Key, times: u32) {
        for _ in 0..times {
            self.press(key).await;
        }
    }

    /// Presses a key while another is held.
    pub async fn press_with(&self, held: Key, key: impl Into<char>) {
        self.down_and_up(&[held.into(), key.into()]).await;
    }

    async fn down_and_up(&self, keys: &[char]) {
        self.pressed.set(self.pressed.get() + 1);
        let down = keys.iter().map(|&value| KeyAction::Down { value });
        let up = keys.iter().rev().map(|&value| KeyAction::Up { value });
        let all = down.chain(up).fold(KeyActions::new("keyboard".into()), |all, one| all.then(one));
        self.page.client.perform_actions(all).await.expect("the keyboard is there");
    }

    /// Presses Tab until the focus is on what has this name; the first line of a longer name is enough.
    pub async fn tab_to(&self, name: &str) {
        self.walk_to(name, None).await;
    }

    /// The same backwards, with Shift held.
    pub async fn tab_back_to(&self, name: &str) {
        self.walk_to(name, Some(Key::Shift)).await;
    }

    async fn walk_to(&self, name: &str, held: Option<Key>) {
        let mut passed = Vec::new();
        for _ in 0..STOPS {
            match held {
                Some(held) => self.press_with(held, Key::Tab).await,
                None => self.press(Key::Tab).await,
            }
            let found = self.page.run(NAME, Vec::new()).await;
            let found = found.as_str().unwrap_or_default().to_owned();
            if found.lines().next().is_some_and(|first| first.trim() == name) {
                return;
            }
            passed.push(found.lines().next().unwrap_or_default().to_owned());
        }
        panic!("Tab never came to {name}; it passed {passed:?}");
    }

    /// Goes to what has this name and presses Enter on it.
    pub async fn enter(&self, name: &str) {
        self.tab_to(name).await;
        self.press(Key::Enter).await;
    }

    /// The same, going backwards.
    pub async fn enter_back(&self, name: &str) {
        self.tab_back_to(name).await;
        self.press(Key::Enter).await;
    }

    /// Presses Control V with this text on the clipboard, where another program has put it.
    pub async fn paste(&self, text: &str) {
        let script = "const done = arguments[arguments.length - 1];
            navigator.clipboard.writeText(arguments[0]).then(() => done(null), (refused) => done(String(refused)));";
        let refused = self.page.client.execute_async(script, vec![json!(text)]).await.expect("a clipboard");
        assert!(refused.is_null(), "the clipboard did not take the text: {refused}");
        self.press_with(Key::Control, 'v').await;
    }
}
