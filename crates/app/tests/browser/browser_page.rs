//! A browser of its own for each test, with what a hand does in it: press, point, type, wait until something is seen.

use crate::desk::Desk;
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use fantoccini::elements::Element;
use fantoccini::key::Key;
use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder, Locator, error::CmdError};
use http::Method;
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use std::cell::{Cell, RefCell};
use std::future::Future;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::rc::Rc;
use std::sync::{PoisonError, RwLock};
use tempfile::TempDir;
use url::Url;

/// What is taken home: the words on its button, the file's ending, and its first bytes (PDF 32000, XML 1.0, Standard MIDI File 1.0, RIFF).
pub const TAKEN_HOME: [(&str, &str, &[u8]); 4] = [
    ("The page to print (PDF)", "pdf", b"%PDF"),
    ("The sound (WAV)", "wav", b"RIFF"),
    ("The music for other programs (MusicXML)", "musicxml", b"<?xml"),
    ("The notes as MIDI", "mid", b"MThd"),
];

const AXE: &str = "the checker is missing: scripts/install fetches it and scripts/test says where it is (UNDERSONG_AXE)";
/// A window: its width and height, the colours, and whether the checker looks at what stands in it. Every page fits into each; the checker looks at it once in either
/// colours, once wide and once narrow.
pub type Window = (u32, u32, &'static str, bool);

pub const WINDOWS: [Window; 4] =
    [(1440, 900, "light", true), (1024, 768, "dark", false), (768, 1024, "light", false), (500, 844, "dark", true)];

/// The lines and heads within an engraved page are one picture: they are taken out while the checker looks, and put back. (Left out by a selector they would
/// be compared with it one by one, which takes several times as long as everything else.)
const LOOK: &str = "const done = arguments[arguments.length - 1];
    const drawn = [...document.querySelectorAll('.sheet > svg')].map((svg) => [svg, [...svg.childNodes]]);
    const shown = (all) => drawn.forEach(([svg, nodes]) => svg.replaceChildren(...nodes.filter((one) => all || /^(title|desc)$/i.test(one.nodeName))));
    shown(false);
    axe.run({ resultTypes: ['violations'] }).then((found) => {
        shown(true);
        done(found.violations.map((one) => `${one.id}: ${one.nodes[0].html.slice(0, 200)}`));
    });";

/// Where something can be pressed, once it lies still for a moment; else, after a while, what stands in the way. `pressed` becomes true when it is.
const PRESS: &str = "const done = arguments[arguments.length - 1], end = performance.now() + 15000;
    let before = '';
    const found = () => {expression};
    const place = () => {
        const node = found();
        if (!node?.checkVisibility()) return 'it is not seen';
        node.scrollIntoViewIfNeeded();
        const box = [...node.getClientRects()].find((one) => one.width && one.height);
        if (!box) return 'it has no size';
        const at = [Math.floor(box.x + box.width / 2), Math.floor(box.y + box.height / 2)], moved = before !== String(at);
        before = String(at);
        if (moved) return 'it moves';
        const over = document.elementFromPoint(...at);
        if (!node.contains(over)) return `over it lies ${over?.outerHTML.slice(0, 120)}`;
        window.pressed = false;
        // It may have been drawn anew since, and be pressed all the same.
        window.addEventListener('click', ({ target }) => { window.pressed = found()?.contains(target) ?? false; }, { capture: true, once: true });
        return at;
    };
    const look = () => {
        const seen = place();
        if (typeof seen === 'string' && performance.now() < end) setTimeout(look, 20); else done(seen);
    };
    look();";

const HINT: &str = "the tests of the page need chromium-headless-shell and chromium-driver: scripts/install installs them";

/// Chromium without the window around the page: the same engine, started with a sixth of the work. What stands in the path is a script that would be ended
/// in its place and leave it running.
const BROWSER: &str = "/usr/lib/chromium/chromium-headless-shell";
const FLAGS: [&str; 10] = [
    "--headless",
    // Colours that go over into each other are painted many times, a third of all work here. The walks have them again.
    "--force-prefers-reduced-motion",
    "--window-size=1440,900",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
];

#[derive(Clone)]
pub struct BrowserPage {
    pub client: Client,
    pub desk: Rc<RefCell<Desk>>,
    pub downloads: Rc<TempDir>,
    /// The address of the program that has let this browser in, and how many times a page was loaded.
    known: Rc<RefCell<String>>,
    loads: Rc<Cell<u32>>,
}

struct Driver(Child, String);

impl Driver {
    fn start() -> Driver {
        // It takes any free port of one kind of address and then the same of the other, which something else may have by then.
        (0..9).find_map(|_| Driver::started()).expect(HINT)
    }

    fn started() -> Option<Driver> {
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|e| panic!("{e}: {HINT}"));
        let lines = BufReader::new(driver.stdout.take().expect("its output")).lines();
        let mut driver = Driver(driver, String::new());
        driver.1 = lines
            .map_while(Result::ok)
            .find_map(|line| Some(line.split("successfully on port ").nth(1)?.trim_end_matches('.').to_owned()))?;
        Some(driver)
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A command of the browser's own, for which WebDriver has none.
#[derive(Debug)]
struct OfTheBrowser(&'static str, Value);

impl WebDriverCompatibleCommand for OfTheBrowser {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, url::ParseError> {
        base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &Url) -> (Method, Option<String>) {
        (Method::POST, Some(json!({"cmd": self.0, "params": self.1}).to_string()))
    }
}

/// A browser that lays what is taken home into this folder and lets the page use the clipboard, as a browser with a window does.
async fn connect(driver: &Driver, downloads: &TempDir) -> Client {
    let options = json!({"binary": BROWSER, "args": FLAGS});
    let mut builder = ClientBuilder::new(HttpConnector::new());
    builder.capabilities([("goog:chromeOptions".to_owned(), options)].into_iter().collect());
    let client = builder.connect(&format!("http://127.0.0.1:{}", driver.1)).await.unwrap_or_else(|e| panic!("{e}: {HINT}"));
    let downloads = json!({"behavior": "allow", "downloadPath": downloads.path()});
    let clipboard = json!({"permissions": ["clipboardReadWrite", "clipboardSanitizedWrite"]});
    for command in [OfTheBrowser("Browser.setDownloadBehavior", downloads), OfTheBrowser("Browser.grantPermissions", clipboard)] {
        client.issue_cmd(command).await.expect("a command of the browser");
    }
    client
}

/// Held by every test while it runs: by one that measures time alone, by the others together.
static MACHINE: RwLock<()> = RwLock::new(());

/// Runs a test in a browser that shows the shelf of a new folder; the browser is closed whatever happens.
pub fn in_browser<F: Future<Output = ()> + 'static>(test: impl FnOnce(BrowserPage) -> F + 'static) {
    let _others = MACHINE.read().unwrap_or_else(PoisonError::into_inner);
    run(test);
}

/// The same while no other test of these runs, for what measures time.
pub fn alone_in_browser<F: Future<Output = ()> + 'static>(test: impl FnOnce(BrowserPage) -> F + 'static) {
    let _alone = MACHINE.write().unwrap_or_else(PoisonError::into_inner);
    run(test);
}

fn run<F: Future<Output = ()> + 'static>(test: impl FnOnce(BrowserPage) -> F + 'static) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    let local = tokio::task::LocalSet::new();
    local.block_on(&runtime, async {
        let driver = Driver::start();
        let downloads = Rc::new(tempfile::tempdir().expect("a folder for downloads"));
        let client = connect(&driver, &downloads).await;
        client.set_window_size(1440, 900).await.expect("a window");
        let page = BrowserPage {
            client: client.clone(),
            desk: Rc::new(RefCell::new(Desk::open())),
            downloads,
            known: Rc::default(),
            loads: Rc::default(),
        };
        page.go("#/").await;
        let outcome = tokio::task::spawn_local(test(page)).await;
        let _ = client.close().await;
        if let Err(failed) = outcome {
            std::panic::resume_unwind(failed.into_panic());
        }
    });
}

/// Does something with an element, and again where it was drawn anew under the hand.
async fn again(what: &str, doing: impl AsyncFn() -> Result<(), CmdError>) {
    for _ in 0..9 {
        match doing().await {
            Err(e) if e.is_stale_element_reference() => {}
            done => return done.unwrap_or_else(|e| panic!("{what}: {e}")),
        }
    }
    panic!("{what} is drawn anew without end");
}

/// Whatever is pressed, with these words on it or this name.
fn of_name(name: &str) -> String {
    format!(
        "//*[self::button or self::a or self::summary][normalize-space()=\"{name}\" or @aria-label=\"{name}\"][not(ancestor-or-self::*[@hidden])]"
    )
}

/// The first element of an XPath, as an expression of the page's language.
fn by_path(path: &str) -> String {
    format!("document.evaluate({}, document, null, XPathResult.FIRST_ORDERED_NODE_TYPE, null).singleNodeValue", json!(path))
}

impl BrowserPage {
    /// Loads a place of the page anew: with the pass where the program is new to this browser, else from an address that differs in its question, because one that
    /// differs after # is no other page.
    pub async fn go(&self, place: &str) {
        let address = self.desk.borrow().address.clone();
        let known = self.known.replace(address.clone()) == address;
        let (origin, _) = address.split_once("/?").expect("a pass stands in the address");
        self.loads.set(self.loads.get() + 1);
        let address = if known { format!("{origin}/?load={}{place}", self.loads.get()) } else { format!("{address}{place}") };
        self.client.goto(&address).await.expect("the page loads");
        self.until("the page has come", "document.querySelector('h1')").await;
    }

    /// Lets things move, for who has not asked the system for less of it.
    pub async fn with_motion(&self) {
        let usual = json!({"features": [{"name": "prefers-reduced-motion", "value": "no-preference"}]});
        self.client.issue_cmd(OfTheBrowser("Emulation.setEmulatedMedia", usual)).await.expect("a command of the browser");
        self.until("things move", "matchMedia('(prefers-reduced-motion: no-preference)').matches").await;
    }

    /// Evaluates a script's text in the page.
    pub async fn run(&self, script: &str, values: Vec<Value>) -> Value {
        self.client.execute(script, values).await.unwrap_or_else(|e| panic!("{script}: {e}"))
    }

    /// Waits until an expression is true in the page and gives its value; `what` is said when it never is.
    pub async fn until(&self, what: &str, expression: &str) -> Value {
        let script = format!(
            "const done = arguments[arguments.length - 1], end = performance.now() + 15000;
            const look = () => {{
                let seen = null;
                try {{ seen = ({expression}); }} catch {{ seen = null; }}
                if (seen) done(seen instanceof Node ? true : seen); else if (performance.now() > end) done(null); else setTimeout(look, 15);
            }};
            look();"
        );
        let seen = self.client.execute_async(&script, Vec::new()).await.unwrap_or_else(|e| panic!("{what}: {e}"));
        if seen.is_null() {
            let shown = self.run("return document.body.innerText.slice(0, 3000)", Vec::new()).await;
            panic!("never seen: {what}\nthe page says: {}", shown.as_str().unwrap_or_default());
        }
        seen
    }

    /// Waits until words are on the page.
    pub async fn sees(&self, words: &str) {
        self.until(words, &format!("document.body.innerText.includes({})", json!(words))).await;
    }

    /// Waits until a button, link or summary with these words or this name is there.
    pub async fn named(&self, name: &str) {
        self.until(&format!("something named {name}"), &by_path(&of_name(name))).await;
    }

    /// Presses what has this name.
    pub async fn press(&self, name: &str) {
        self.press_on(name, &by_path(&of_name(name))).await;
    }

    /// Presses something.
    pub async fn click(&self, selector: &str) {
        self.press_on(selector, &format!("document.querySelector({})", json!(selector))).await;
    }

    /// Moves the mouse to the middle of what an expression gives and presses it, as soon as it is there, seen, at rest and under nothing else; once more where it
    /// was drawn anew under the hand. (WebDriver's own command for this asks the browser so many things that it takes three times as long, much of the time of
    /// these tests.)
    async fn press_on(&self, what: &str, expression: &str) {
        let script = PRESS.replace("{expression}", expression);
        for _ in 0..9 {
            let place = self.client.execute_async(&script, Vec::new()).await.unwrap_or_else(|e| panic!("{what}: {e}"));
            let Some([x, y]) = place.as_array().map(Vec::as_slice) else {
                let shown = self.run("return document.body.innerText.slice(0, 3000)", Vec::new()).await;
                panic!("{what} cannot be pressed: {place}\nthe page says: {}", shown.as_str().unwrap_or_default());
            };
            self.mouse_at([x, y].map(|value| value.as_f64().expect("a place"))).await;
            // Null is another page, to which it led.
            if self.run("return window.pressed ?? null", Vec::new()).await != false {
                return;
            }
        }
        panic!("{what} is drawn anew without end");
    }

    /// Presses the mouse at a place in the window.
    async fn mouse_at(&self, [x, y]: [f64; 2]) {
        let mouse = MouseActions::new("mouse".into())
            .then(PointerAction::MoveTo { duration: None, x, y })
            .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
            .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
        self.client.perform_actions(mouse).await.expect("the mouse moves");
    }

    /// Chooses an entry of a list by its value.
    pub async fn choose(&self, selector: &str, value: &str) {
        again(selector, async || self.find(selector).await.select_by_value(value).await).await;
    }

    /// Types into something, after what stands in it.
    pub async fn type_into(&self, selector: &str, keys: &str) {
        again(selector, async || self.find(selector).await.send_keys(keys).await).await;
    }

    /// Types into a field instead of what stands in it.
    pub async fn fill(&self, selector: &str, text: &str) {
        let typed = async || {
            let field = self.find(selector).await;
            field.clear().await?;
            field.send_keys(text).await
        };
        again(selector, typed).await;
    }

    pub async fn find(&self, selector: &str) -> Element {
        self.client.wait().for_element(Locator::Css(selector)).await.unwrap_or_else(|e| panic!("{selector} is not there: {e}"))
    }

    /// Points at the middle of something drawn and presses the mouse.
    pub async fn point_at(&self, selector: &str) {
        self.point_in(selector, 0.5).await;
    }

    /// The same at a share of its width, 0 at the left and 1 at the right.
    pub async fn point_in(&self, selector: &str, share: f64) {
        let script = "const node = document.querySelector(arguments[0]); node.scrollIntoView({ block: 'center' });
            const box = node.getBoundingClientRect(); return [Math.round(box.x + box.width * arguments[1]), Math.round(box.y + box.height / 2)];";
        let place = self.run(script, vec![json!(selector), json!(share)]).await;
        self.mouse_at([0, 1].map(|i| place[i].as_f64().expect("a place"))).await;
    }

    /// Presses the box with this name beside it, which ticks it or takes the tick away.
    pub async fn tick(&self, name: &str) {
        self.press_on(name, &by_path(&format!("//label[normalize-space()=\"{name}\"]/input"))).await;
    }

    /// Puts the focus on something and presses a key.
    pub async fn on(&self, selector: &str, key: Key) {
        self.type_into(selector, &char::from(key).to_string()).await;
    }

    /// Types into whatever has the focus.
    pub async fn keys(&self, keys: &str) {
        let focused = self.client.active_element().await.expect("something has the focus");
        focused.send_keys(keys).await.expect("keys are taken");
    }

    /// Puts text where the cursor is, as pasting does.
    pub async fn paste(&self, text: &str) {
        self.run("document.execCommand('insertText', false, arguments[0])", vec![json!(text)]).await;
    }

    /// Brings a tune in as text and waits for its page on the worktable.
    pub async fn bring(&self, text: &str) {
        self.press("Paste or type a tune").await;
        self.until("the field has the focus", "document.activeElement.tagName === 'TEXTAREA'").await;
        self.paste(text).await;
        self.press("Keep and arrange").await;
        self.until("the page is drawn", "document.querySelector('.page-room g.measure')").await;
        self.sees("Left hand").await;
    }

    /// The number that changes with every redrawing.
    pub async fn revision(&self) -> String {
        self.find(".page-room[data-revision]").await.attr("data-revision").await.expect("an attribute").unwrap_or_default()
    }

    /// Waits until the page is drawn anew.
    pub async fn redrawn(&self, before: &str) {
        self.until("the page is drawn anew", &format!("document.querySelector('.page-room').dataset.revision !== {}", json!(before))).await;
    }

    /// The window and the colours, for the pages loaded from now on.
    pub async fn shown_in(&self, (width, height, theme, _): Window) {
        self.client.set_window_size(width, height).await.expect("a window");
        self.run("localStorage.setItem('undersong.theme', arguments[0])", vec![theme.into()]).await;
    }

    /// [`Self::barriers`] where the checker looks in this window; else only that the page is no wider than it.
    pub async fn barriers_in(&self, (_, _, theme, looked_at): Window, said: &str) -> Vec<String> {
        if looked_at {
            return self.barriers(&format!("{said} {theme}")).await;
        }
        self.fits(said).await;
        Vec::new()
    }

    /// What an accessibility checker (axe-core) says against the page as it is shown now; it is no wider than its window. `said` names the place.
    pub async fn barriers(&self, said: &str) -> Vec<String> {
        let checker = std::fs::read_to_string(std::env::var("UNDERSONG_AXE").expect(AXE)).expect(AXE);
        self.run(&format!("{checker}; return true"), Vec::new()).await;
        let found = self.client.execute_async(LOOK, Vec::new()).await.expect("the checker looks");
        self.fits(said).await;
        found.as_array().into_iter().flatten().map(|one| format!("{said} {one}")).collect()
    }

    /// The page is no wider than its window.
    async fn fits(&self, said: &str) {
        let [over, width] = ["document.documentElement.scrollWidth > innerWidth", "innerWidth"].map(|what| format!("return {what}"));
        assert_eq!(self.run(&over, Vec::new()).await, false, "{said} is wider than a window of {}", self.run(&width, Vec::new()).await);
    }

    /// Waits for a file that was taken home, by its ending, gives its bytes and clears it away.
    pub async fn taken_home(&self, ending: &str) -> Vec<u8> {
        for _ in 0..2000 {
            let files = std::fs::read_dir(self.downloads.path()).expect("the folder for downloads");
            let found = files.filter_map(Result::ok).map(|f| f.path()).find(|path| path.extension().is_some_and(|e| e == ending));
            if let Some(path) = found
                && let Ok(bytes) = std::fs::read(&path)
                && !bytes.is_empty()
            {
                std::fs::remove_file(&path).expect("cleared away");
                return bytes;
            }
            // One look a frame of the browser.
            self.client.execute_async("requestAnimationFrame(() => arguments[0]())", Vec::new()).await.expect("a frame");
        }
        panic!("no .{ending} came home");
    }
}
