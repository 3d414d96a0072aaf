//! The desk's state: the shelf, what was arranged and drawn lately, and who listens. The files are the truth; everything here can be made again from them.

use super::end_asked::End;
use super::memory::{Memory, Recent, hash, locked};
use super::news::News;
use super::sounds::Sounds;
use super::turns::Turns;
use crate::choices::Choices;
use crate::drawing::{Drawing, Drawn, Layout, NoPage};
use crate::failure::Failure;
use crate::harps::PRESETS;
use crate::plain_file;
use crate::safe_svg::is_safe;
use crate::shelf::{FIGURES, Shelf};
use crate::versions::{self, Versions};
use crate::worktable::Worktable;
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};
use tokio::sync::broadcast;

/// News that a slow tab may be behind.
const BEHIND: usize = 256;

/// A page, drawn or given up because it takes too long, which it would again.
type Page = Arc<Mutex<Option<Result<Arc<Drawn>, NoPage>>>>;

pub struct Desk {
    pub shelf: Shelf,
    pub drawing: Arc<dyn Drawing>,
    worktablees: Recent<String, Arc<Worktable>>,
    pages: Recent<String, Page>,
    /// The layout asked for last, drawn ahead while a choice is saved.
    pub layout: Mutex<Option<Layout>>,
    saving: Mutex<()>,
    /// Whoever has waited for a turn asks then whether the page is still wanted.
    turns: Turns,
    /// How many pages were begun ahead; only the latest is wanted.
    ahead: AtomicU64,
    news: broadcast::Sender<News>,
    pub sounds: Sounds,
    pub end: End,
    /// What the rooms that answer remember, each its own.
    pub memory: Memory,
}

/// A tune as its files stand now.
#[derive(Clone)]
pub struct Look {
    pub id: String,
    pub bytes: Vec<u8>,
    pub choices: Choices,
    /// The name of the version that is looked at, and all there are.
    pub version: String,
    pub versions: Versions,
    /// The same files have the same revision, before and after a restart.
    pub revision: String,
}

thread_local! {
    /// Whether this thread holds the files.
    static SAVES: Cell<bool> = const { Cell::new(false) };
}

/// The files are held.
pub struct Saving<'a> {
    _held: MutexGuard<'a, ()>,
}

impl Drop for Saving<'_> {
    fn drop(&mut self) {
        SAVES.set(false);
    }
}

/// Before anything that may take long.
fn no_files_held() {
    assert!(!SAVES.get(), "a tune is arranged and drawn without holding the files");
}

impl Desk {
    pub fn new(shelf: Shelf, drawing: Arc<dyn Drawing>) -> Desk {
        Desk {
            shelf,
            drawing,
            worktablees: Recent::default(),
            pages: Recent::default(),
            layout: Mutex::new(None),
            saving: Mutex::new(()),
            turns: Turns::default(),
            ahead: AtomicU64::new(0),
            news: broadcast::Sender::new(BEHIND),
            sounds: Sounds::default(),
            end: End::default(),
            memory: Memory::default(),
        }
    }

    /// With other sounds than our own strings alone.
    pub fn sounding(self, sounds: Sounds) -> Desk {
        Desk { sounds, ..self }
    }

    /// Held while files are changed, so that two tabs do not change them at once: for as long as that takes and no longer, because every other save waits.
    pub fn saving(&self) -> Saving<'_> {
        let held = locked(&self.saving);
        SAVES.set(true);
        Saving { _held: held }
    }

    pub fn tell(&self, news: News) {
        // Nobody may be listening.
        let _ = self.news.send(news);
    }

    pub fn listen(&self) -> broadcast::Receiver<News> {
        self.news.subscribe()
    }

    /// The harps there are: the program's own, then hers.
    pub fn harps(&self) -> Vec<String> {
        PRESETS.iter().map(|p| p.name.to_owned()).chain(self.shelf.harps()).collect()
    }

    /// What her own harps are called in their files.
    pub fn harp_names(&self) -> BTreeMap<String, String> {
        let name = |file: String| {
            let harp = crate::harps::harp(&self.shelf.folder().join(&file).display().to_string()).ok()?;
            Some((file, harp.name))
        };
        self.shelf.harps().into_iter().filter_map(name).collect()
    }

    /// The tunes that were arranged lately: those that open tabs may show.
    pub fn lately(&self) -> BTreeSet<String> {
        let id = |key: &String| key.rsplit_once('/').map(|(id, _)| id.to_owned());
        self.worktablees.keys().iter().filter_map(id).collect()
    }

    /// A tune's files as they stand now.
    pub fn look(&self, id: &str) -> Result<Look, Failure> {
        let bytes = self.shelf.bytes(id)?;
        let versions = versions::of(&self.shelf, id, &bytes)?;
        let (choices, version) = versions.at(id).map(|v| (v.choices.clone(), v.name.clone()))?;
        let revision = self.revision(&bytes, &choices);
        Ok(Look { id: id.into(), bytes, choices, version, versions, revision })
    }

    /// The same tune with other choices, not saved.
    pub fn with(&self, look: &Look, choices: Choices) -> Look {
        let revision = self.revision(&look.bytes, &choices);
        Look { choices, revision, ..look.clone() }
    }

    /// Her own figures and harp are part of what a page is made from.
    fn revision(&self, bytes: &[u8], choices: &Choices) -> String {
        let own = |name: &str| {
            let plain = crate::shelf::is_plain(name) && (name == FIGURES || name.ends_with(".toml"));
            let read = || plain_file::bytes(&self.shelf.folder().join(name), plain_file::SETTINGS).unwrap_or_default();
            if plain { read() } else { Vec::new() }
        };
        hash(&[bytes, choices.toml().as_bytes(), &own(FIGURES), &own(&choices.harp)])
    }

    /// The arrangement of a tune with its choices.
    pub fn worktable(&self, look: &Look) -> Result<Arc<Worktable>, Failure> {
        let key = format!("{}/{}", look.id, look.revision);
        if let Some(worktable) = self.worktablees.get(&key) {
            return Ok(worktable);
        }
        no_files_held();
        let worktable = Worktable::new(self.shelf.folder(), &look.id, &look.bytes, &look.choices)?;
        Ok(self.worktablees.put(key, Arc::new(worktable)))
    }

    /// The same if it was made lately.
    pub fn made(&self, look: &Look) -> Option<Arc<Worktable>> {
        self.worktablees.get(&format!("{}/{}", look.id, look.revision))
    }

    /// Draws the worktable's page while its choice is still being saved; a newer choice makes it stale.
    pub fn draw_ahead(self: &Arc<Self>, worktable: &Arc<Worktable>) {
        let Some(layout) = locked(&self.layout).clone() else { return };
        let number = self.ahead.fetch_add(1, Ordering::SeqCst) + 1;
        let (desk, worktable) = (self.clone(), worktable.clone());
        std::thread::spawn(move || {
            // What cannot be drawn is said when it is asked for.
            let _ = desk.pages(worktable.musicxml(), &layout, &|| desk.ahead.load(Ordering::SeqCst) == number);
        });
    }

    /// The pages of a text, drawn once for each layout. `wanted` is asked when the engraver is free: `false` says that nobody waits any more.
    pub fn pages(&self, musicxml: &str, layout: &Layout, wanted: &dyn Fn() -> bool) -> Result<Option<Arc<Drawn>>, Failure> {
        no_files_held();
        let key = hash(&[musicxml.as_bytes(), format!("{layout:?}").as_bytes()]);
        let page = self.pages.get(&key).unwrap_or_else(|| self.pages.put(key, Page::default()));
        let mut page = locked(&page);
        if let Some(drawn) = &*page {
            return drawn.clone().map(Some).map_err(Failure::from);
        }
        let _turn = self.turns.wait();
        if !wanted() {
            return Ok(None);
        }
        let drawn = match self.drawing.draw(musicxml, layout) {
            Err(no_page @ NoPage::TooLong(_)) => return page.insert(Err(no_page)).clone().map(Some).map_err(Failure::from),
            drawn => drawn?,
        };
        if !drawn.svgs.iter().all(|svg| is_safe(svg)) {
            return Err(Failure::from(NoPage::Refused("the engraver made something that is no page".into())));
        }
        let drawn = Arc::new(drawn);
        *page = Some(Ok(drawn.clone()));
        Ok(Some(drawn))
    }
}
