//! How each tune fits her harp, worked out in the background and remembered by what the tune's files hold; [`kept`] remembers it from one start to the next.

mod kept;

use super::desk::{Desk, Look};
use super::memory::locked;
use super::news::News;
use crate::chords_of::From;
use crate::worktable::Worktable;
use arrange::keys::{Nearest, Patience, nearest_that_works};
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
    let known = desk.memory.of::<Known>();
    let ready = |sentence: String| Fits { state: READY, sentence };
    locked(&known.found).extend(kept::read(&desk.shelf).into_iter().map(|(revision, sentence)| (revision, ready(sentence))));
    let (sender, receiver) = channel();
    *locked(&known.asked) = Some(sender);
    let desk = desk.clone();
    std::thread::spawn(move || look_at_each(&desk, receiver));
}

fn look_at_each(desk: &Desk, asked: Receiver<Look>) {
    let known = desk.memory.of::<Known>();
    for look in asked {
        match fits(desk, &look) {
            Some(fits) => locked(&known.found).insert(look.revision, fits),
            // It is asked for again if the tune should stand so again.
            None => locked(&known.found).remove(&look.revision),
        };
        let (done, of) = {
            let mut count = locked(&known.count);
            count.0 += 1;
            let now = *count;
            if now.0 == now.1 {
                *count = (0, 0);
            }
            now
        };
        if done == of {
            kept::write(desk, known.ready());
        }
        desk.tell(News::Working { what: "Looking how the tunes fit your harp", done, of });
        if done == of || done % 16 == 0 {
            desk.tell(News::Shelf);
        }
    }
}

/// How a tune fits; `None` where it has changed meanwhile or is gone, so that nobody wants to know any more. Nothing is held while it is looked for.
fn fits(desk: &Desk, look: &Look) -> Option<Fits> {
    let wanted = || desk.look(&look.id).is_ok_and(|now| now.revision == look.revision);
    if !wanted() {
        return None;
    }
    // A tune that brings the arranger down must not end the thread for the others.
    let made = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        Worktable::new(desk.shelf.folder(), &look.id, &look.bytes, &look.choices).map(|worktable| sentence(&worktable, &wanted))
    }));
    let failed = |sentence: String| Some(Fits { state: "failed", sentence });
    match made {
        Ok(Ok(sentence)) => sentence.map(|sentence| Fits { state: READY, sentence }),
        Ok(Err(failure)) => failed(failure.to_string()),
        Err(_) => failed("Undersong could not work out this tune".into()),
    }
}

/// "as written", "two lever moves", "better in G"; `None` where it is wanted no more.
fn sentence(worktable: &Worktable, wanted: &dyn Fn() -> bool) -> Option<String> {
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
            &mut Patience { wanted, ..Patience::default() },
        );
        return match found {
            Ok(Nearest::Key(key)) => Some(format!("better in {:#}", key.key.tonic())),
            Ok(Nearest::GivenUp) => None,
            _ => Some("some notes cannot be played on this harp".into()),
        };
    }
    let levers = matches!(worktable.setup.harp.mechanism, harp::Mechanism::Levers(_));
    let thing = if levers { "lever" } else { "pedal" };
    let moved = match &worktable.choices.key {
        Some(_) => format!("in {}", arrangement.tune.sheet.measures.first().map_or(String::new(), |m| format!("{:#}", m.frame.key))),
        None => "as written".into(),
    };
    let moved = match worktable.job.chords.from {
        From::File => moved,
        From::Voices(_) => format!("{moved}, chords from its voices"),
        From::Melody(_) => format!("{moved}, chords made for its melody"),
        From::Nowhere => format!("{moved}, no chords yet: open it to give it some"),
    };
    Some(match page.moves.len() {
        0 => moved,
        1 => format!("{moved}, one {thing} move"),
        2 => format!("{moved}, two {thing} moves"),
        n => format!("{moved}, {n} {thing} moves"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Drawing, Drawn, Layout, NoPage};
    use crate::save::RealDisk;
    use crate::shelf::Shelf;
    use std::cell::Cell;

    struct Nothing;

    impl Drawing for Nothing {
        fn draw(&self, _: &str, _: &Layout) -> Result<Drawn, NoPage> {
            Err(NoPage::Failed)
        }

        fn pdf(&self, _: &str, _: &Layout) -> Result<Vec<u8>, NoPage> {
            Err(NoPage::Failed)
        }
    }

    /// A tune that her harp does not wholly have as written: on E-flat tuning the D flat is had as C sharp only, and there is no time for the C beside it.
    const IN_THE_WAY: &str = "X:1\nT:The Gate\nQ:1/4=120\nL:1/8\nK:Ab\n\"Ab\"c/d/c/d/ e2 A4|\n";

    fn desk(folder: &std::path::Path) -> Desk {
        std::fs::write(folder.join("gate.abc"), IN_THE_WAY).expect("the folder takes a tune");
        Desk::new(Shelf::open(folder, Box::new(RealDisk)).expect("the folder is there"), Arc::new(Nothing))
    }

    #[test]
    fn a_tune_that_changed_or_is_gone_is_looked_at_no_longer() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = desk(folder.path());
        let look = desk.look("gate.abc").expect("the tune is there");
        let found = fits(&desk, &look).expect("it is wanted");
        assert!(found.state == READY && found.sentence.starts_with("better in "), "{found:?}");
        std::fs::write(folder.path().join("gate.abc"), IN_THE_WAY.replace("e2", "f2")).expect("the folder takes it");
        assert_eq!(fits(&desk, &look), None);
        std::fs::remove_file(folder.path().join("gate.abc")).expect("it goes");
        assert_eq!(fits(&desk, &look), None);
    }

    /// Between two keys it is asked whether the tune still stands so; and no save waits meanwhile.
    #[test]
    fn looking_for_a_key_stops_between_two_and_holds_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = desk(folder.path());
        let look = desk.look("gate.abc").expect("the tune is there");
        let worktable = Worktable::new(desk.shelf.folder(), &look.id, &look.bytes, &look.choices).expect("it can be arranged");
        let asked = Cell::new(0);
        let until = |times: usize| {
            asked.set(0);
            sentence(&worktable, &|| {
                let _saves_beside = std::thread::scope(|scope| scope.spawn(|| drop(desk.saving())).join());
                asked.set(asked.get() + 1);
                asked.get() < times
            })
        };
        assert!(until(usize::MAX).is_some() && asked.get() > 1, "asked {} times", asked.get());
        assert_eq!((until(1), asked.get() < 4), (None, true));
        assert_eq!(until(2), None);
    }
}
