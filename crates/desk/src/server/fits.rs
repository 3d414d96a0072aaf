//! How each tune fits her harp, worked out in the background and remembered by what the tune's files hold; [`kept`] remembers it from one start to the next.

mod kept;

use super::desk::{Desk, Look, locked};
use super::events::News;
use crate::worktable::Worktable;
use arrange::keys::nearest_that_works;
use arrange::{Remark, Wishes};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

/// How far the work is, and the sentence.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fits {
    pub state: &'static str,
    pub sentence: String,
}

const READY: &str = "ready";

/// What is known, by revision; tunes to look at go to the thread in the background.
#[derive(Default)]
pub struct Known {
    found: Mutex<BTreeMap<String, Fits>>,
    asked: Mutex<Option<Sender<Look>>>,
    /// Done and asked for since nothing was left to do.
    count: Mutex<(usize, usize)>,
}

impl Known {
    /// The sentences that are ready, by revision.
    fn ready(&self) -> BTreeMap<String, String> {
        let found = locked(&self.found);
        found.iter().filter(|(_, fits)| fits.state == READY).map(|(revision, fits)| (revision.clone(), fits.sentence.clone())).collect()
    }

    /// How a tune fits; asks for it where it is not known yet.
    pub fn of(&self, look: &Look) -> Fits {
        if let Some(found) = locked(&self.found).get(&look.revision) {
            return found.clone();
        }
        let working = Fits { state: "working", sentence: String::new() };
        locked(&self.found).insert(look.revision.clone(), working.clone());
        if let Some(asked) = &*locked(&self.asked) {
            locked(&self.count).1 += 1;
            // The thread ends only with the program.
            let _ = asked.send(look.clone());
        }
        working
    }
}

/// Starts the thread in the background.
pub fn start(desk: &Arc<Desk>) {
    let ready = |sentence: String| Fits { state: READY, sentence };
    locked(&desk.fits.found).extend(kept::read(&desk.shelf).into_iter().map(|(revision, sentence)| (revision, ready(sentence))));
    let (sender, receiver) = channel();
    *locked(&desk.fits.asked) = Some(sender);
    let desk = desk.clone();
    std::thread::spawn(move || look_at_each(&desk, receiver));
}

fn look_at_each(desk: &Desk, asked: Receiver<Look>) {
    for look in asked {
        let fits = fits(desk, &look);
        locked(&desk.fits.found).insert(look.revision, fits);
        let (done, of) = {
            let mut count = locked(&desk.fits.count);
            count.0 += 1;
            let now = *count;
            if now.0 == now.1 {
                *count = (0, 0);
            }
            now
        };
        if done == of {
            kept::write(desk, desk.fits.ready());
        }
        desk.tell(News::Working { what: "Looking how the tunes fit your harp", done, of });
        if done == of || done % 16 == 0 {
            desk.tell(News::Shelf);
        }
    }
}

fn fits(desk: &Desk, look: &Look) -> Fits {
    // A tune that brings the arranger down must not end the thread for the others.
    let made = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        Worktable::new(desk.shelf.folder(), &look.id, &look.bytes, &look.choices).map(|worktable| sentence(&worktable))
    }));
    match made {
        Ok(Ok(sentence)) => Fits { state: READY, sentence },
        Ok(Err(failure)) => Fits { state: "failed", sentence: failure.text().unwrap_or_default().to_owned() },
        Err(_) => Fits { state: "failed", sentence: "Undersong could not work out this tune".into() },
    }
}

/// "as written", "two lever moves", "better in G".
fn sentence(worktable: &Worktable) -> String {
    let arrangement = &worktable.job.arrangement;
    let page = &arrangement.plan.settled.page;
    let leaves = arrangement.remarks.iter().any(|r| matches!(r, Remark::LeavesTheHarp(_)));
    if !page.missing.is_empty() || leaves {
        let wishes = Wishes { transpose: None, ..worktable.job.wishes.clone() };
        let found = nearest_that_works(
            &worktable.job.imported.sheet,
            &worktable.setup.figures,
            &worktable.setup.harp,
            &worktable.setup.player,
            &wishes,
        );
        return match found {
            Ok(Some(key)) => format!("better in {:#}", key.key.tonic()),
            _ => "some notes cannot be played on this harp".into(),
        };
    }
    let levers = matches!(worktable.setup.harp.mechanism, harp::Mechanism::Levers(_));
    let thing = if levers { "lever" } else { "pedal" };
    let moved = match &worktable.choices.key {
        Some(_) => format!("in {}", arrangement.tune.sheet.measures.first().map_or(String::new(), |m| format!("{:#}", m.frame.key))),
        None => "as written".into(),
    };
    match page.moves.len() {
        0 => moved,
        1 => format!("{moved}, one {thing} move"),
        2 => format!("{moved}, two {thing} moves"),
        n => format!("{moved}, {n} {thing} moves"),
    }
}
