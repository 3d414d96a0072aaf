//! Tunes become a book: arranged and drawn by several workers at once, sorted, bound. One that fails is left out and told; whoever finishes first, the book is the same.

use super::bound::{Book, Bound, LeftOut, Tune};
use super::facts::Facts;
use super::sorted::{Wished, sorted};
use super::words;
use crate::drawing::{Drawing, Leaves, boxes};
use crate::failure::Failure;
use std::num::NonZeroUsize;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// The most workers: as many as an engraver draws for at once.
const WORKERS: usize = 3;

/// The most bytes of drawn pages that a book is made of: some twenty thousand pages.
const LARGEST: usize = 512 * 1024 * 1024;

/// A tune's page before it is drawn.
pub struct Undrawn {
    pub musicxml: String,
    pub facts: Facts,
}

/// Gives tunes to arrange, whatever order they are asked for in.
pub trait Tunes: Sync {
    fn count(&self) -> usize;
    /// Errors: it cannot be read or arranged.
    fn page(&self, at: usize) -> Result<Undrawn, Failure>;
    /// What a tune that failed is called.
    fn name(&self, at: usize) -> String;
}

/// What happens meanwhile.
pub trait Watching: Sync {
    /// So many of so many are done, this one last.
    fn done(&self, _done: usize, _of: usize, _title: &str) {}

    /// `false` says that nobody wants the book any more.
    fn wanted(&self) -> bool {
        true
    }
}

/// How many work at once on this machine.
pub fn workers() -> usize {
    std::thread::available_parallelism().map_or(1, NonZeroUsize::get).min(WORKERS)
}

/// What is wished of a book.
pub struct BookWishes {
    pub title: String,
    pub order: Wished,
    pub workers: usize,
}

/// A book that was made.
#[derive(Clone, Debug)]
pub struct Made {
    pub bound: Bound,
    /// Of its tunes, in its order.
    pub facts: Vec<Facts>,
    /// Tunes that are not in it, with what each failed by.
    pub failed: Vec<(String, Failure)>,
    /// What else there is to know about a tune, with its title.
    pub remarks: Vec<(String, String)>,
}

/// Makes a book. Errors: there is no tune, none of them can be arranged, it is wanted no more, it cannot be bound.
pub fn make(tunes: &dyn Tunes, drawing: &dyn Drawing, wishes: &BookWishes, watching: &dyn Watching) -> Result<Made, Failure> {
    if tunes.count() == 0 {
        return Err(Failure::wrong("a book without a tune: expected ABC or MusicXML files, or a folder with some"));
    }
    wishes.order.check(tunes.count())?;
    let (mut facts, mut leaves, mut failed) = (Vec::new(), Vec::new(), Vec::new());
    for (at, result) in drawn(tunes, drawing, wishes.workers, watching).into_iter().enumerate() {
        match result {
            Some(Ok((known, drawn))) => {
                facts.push(known);
                leaves.push(drawn);
            }
            Some(Err(failure)) => failed.push((tunes.name(at), failure)),
            None if watching.wanted() => return Err(too_large()),
            None => return Err(Failure::World("the book was given up".into())),
        }
    }
    if facts.is_empty() {
        return Err(none(failed));
    }
    if leaves.iter().map(size).sum::<usize>() > LARGEST {
        return Err(too_large());
    }
    let order = sorted(&facts, wishes.order.order);
    let facts: Vec<Facts> = order.iter().map(|at| facts[*at].clone()).collect();
    let leaves: Vec<Leaves> = order.iter().map(|at| std::mem::take(&mut leaves[*at])).collect();
    let remarks = facts.iter().zip(&leaves).filter_map(|(f, l)| Some((f.title.clone(), boxes(&l.boxed)?))).collect();
    let book = book(wishes, &facts, leaves, &failed);
    Ok(Made { bound: drawing.bind(&book)?, facts, failed, remarks })
}

fn size(drawn: &Leaves) -> usize {
    drawn.leaves.iter().map(|leaf| leaf.0.len()).sum()
}

fn too_large() -> Failure {
    Failure::wrong(format!("the pages of this book take more than {} MiB: make several books", LARGEST / (1024 * 1024)))
}

/// No tune is left: the one reason of the only one, or all of them.
fn none(failed: Vec<(String, Failure)>) -> Failure {
    let said = |(name, failure): &(String, Failure)| format!("{name}: {}", why(failure));
    match &failed[..] {
        [only] => Failure::wrong(format!("no book, for its only tune cannot be arranged: {}", said(only))),
        all => Failure::wrong(format!("no book, for none of its {} tunes can be arranged; the first: {}", all.len(), said(&all[0]))),
    }
}

fn book(wishes: &BookWishes, facts: &[Facts], leaves: Vec<Leaves>, failed: &[(String, Failure)]) -> Book {
    let tune = |(facts, leaves): (&Facts, Leaves)| Tune { title: facts.title.clone(), by: facts.by.clone(), leaves: leaves.leaves };
    Book {
        title: wishes.title.clone(),
        below: words::below(facts),
        foot: words::FOOT.into(),
        tunes: facts.iter().zip(leaves).map(tune).collect(),
        places: wishes.order.places,
        indices: words::indices(facts),
        left_out: failed.iter().map(|(name, failure)| LeftOut { title: name.clone(), why: why(failure) }).collect(),
    }
}

/// A failure as a sentence for a list.
pub fn why(failure: &Failure) -> String {
    failure.text().unwrap_or_else(|| "it cannot be arranged".to_owned())
}

type Drawn = Option<Result<(Facts, Leaves), Failure>>;

/// Every tune arranged and drawn, each at its place; none where it was given up.
fn drawn(tunes: &dyn Tunes, drawing: &dyn Drawing, workers: usize, watching: &dyn Watching) -> Vec<Drawn> {
    let count = tunes.count();
    let results: Mutex<Vec<Drawn>> = Mutex::new((0..count).map(|_| None).collect());
    let (next, done, bytes) = (AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0));
    let work = || {
        while watching.wanted() && bytes.load(Ordering::Relaxed) <= LARGEST {
            let at = next.fetch_add(1, Ordering::Relaxed);
            if at >= count {
                break;
            }
            let result = one(tunes, drawing, at);
            bytes.fetch_add(result.as_ref().map_or(0, |(_, drawn)| size(drawn)), Ordering::Relaxed);
            let title = result.as_ref().map_or_else(|_| tunes.name(at), |(facts, _)| facts.title.clone());
            results.lock().unwrap_or_else(PoisonError::into_inner)[at] = Some(result);
            watching.done(done.fetch_add(1, Ordering::Relaxed) + 1, count, &title);
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..workers.clamp(1, count.max(1)) {
            scope.spawn(work);
        }
        work();
    });
    results.into_inner().unwrap_or_else(PoisonError::into_inner)
}

fn one(tunes: &dyn Tunes, drawing: &dyn Drawing, at: usize) -> Result<(Facts, Leaves), Failure> {
    // A tune that brings the arranger down must not take the others along.
    let page = catch_unwind(AssertUnwindSafe(|| tunes.page(at)));
    let page = page.unwrap_or_else(|_| Err(Failure::wrong("Undersong could not work out this tune")))?;
    let leaves = drawing.leaves(&page.musicxml)?;
    Ok((page.facts, leaves))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::bound::{Leaf, Places};
    use crate::book::sorted::Order;
    use crate::book::typed::tests::gate;
    use crate::drawing::{Drawn as Pages, Layout, NoPage};
    use std::sync::Condvar;

    /// Tunes of these titles; one called "bad" cannot be arranged, one called "worse" brings the arranger down.
    struct Titled(Vec<&'static str>);

    impl Tunes for Titled {
        fn count(&self) -> usize {
            self.0.len()
        }

        fn page(&self, at: usize) -> Result<Undrawn, Failure> {
            let title = self.0[at];
            assert_ne!(title, "worse");
            if title == "bad" {
                return Err(Failure::wrong("there is no note in it"));
            }
            let (setup, job) = gate();
            Ok(Undrawn { musicxml: title.to_owned(), facts: Facts { title: title.to_owned(), ..Facts::of(&setup, &job) } })
        }

        fn name(&self, at: usize) -> String {
            format!("{at}.abc")
        }
    }

    /// Draws a tune's title; the first only when the second is done, where there are two workers.
    struct Slow {
        second: Mutex<bool>,
        done: Condvar,
        both: bool,
    }

    impl Drawing for Slow {
        fn draw(&self, _: &str, _: &Layout) -> Result<Pages, NoPage> {
            Ok(Pages::default())
        }

        fn pdf(&self, _: &str, _: &Layout) -> Result<Vec<u8>, NoPage> {
            Ok(Vec::new())
        }

        fn leaves(&self, musicxml: &str) -> Result<Leaves, NoPage> {
            let mut second = self.second.lock().expect("nobody panics with it");
            if musicxml == "Fog" {
                *second = true;
                self.done.notify_all();
            } else if musicxml == "The Ferry" && self.both {
                drop(self.done.wait_while(second, |second| !*second));
            }
            Ok(Leaves { leaves: vec![Leaf(musicxml.as_bytes().to_vec())], boxed: Vec::new() })
        }

        fn bind(&self, book: &Book) -> Result<Bound, NoPage> {
            let leaves: Vec<&[u8]> = book.tunes.iter().flat_map(|tune| &tune.leaves).map(|leaf| &leaf.0[..]).collect();
            let left_out: Vec<String> = book.left_out.iter().map(|left| format!("{}: {}", left.title, left.why)).collect();
            let pdf = [&leaves.join(&b", "[..])[..], b"; ", left_out.join(", ").as_bytes()].concat();
            Ok(Bound { pdf, pages: book.tunes.len(), ..Bound::default() })
        }
    }

    struct Nothing;

    impl Watching for Nothing {}

    fn made(titles: &[&'static str], workers: usize) -> Result<String, String> {
        let drawing = Slow { second: Mutex::default(), done: Condvar::new(), both: workers > 1 };
        let wishes = BookWishes { title: "Evening".into(), order: Wished { order: Order::Title, places: Places::Kept }, workers };
        let made = make(&Titled(titles.to_vec()), &drawing, &wishes, &Nothing).map_err(|failure| failure.to_string())?;
        Ok(String::from_utf8(made.bound.pdf).expect("titles"))
    }

    #[test]
    fn whoever_is_first_the_book_is_the_same() {
        let titles = ["The Ferry", "Fog", "An Anchor", "bad"];
        let expected = "An Anchor, The Ferry, Fog; 3.abc: there is no note in it";
        for workers in [1, 2, 3] {
            assert_eq!(made(&titles, workers).as_deref(), Ok(expected), "{workers}");
        }
    }

    #[test]
    fn no_tune_stops_the_others() {
        assert_eq!(made(&["worse", "Fog"], 1).as_deref(), Ok("Fog; 0.abc: Undersong could not work out this tune"));
        let only = "no book, for its only tune cannot be arranged: 0.abc: there is no note in it";
        assert_eq!(made(&["bad"], 2).expect_err("nothing is left"), only);
        assert!(made(&[], 2).is_err_and(|why| why.starts_with("a book without a tune")));
    }

    #[test]
    fn a_book_that_nobody_wants_is_given_up() {
        struct Unwanted;
        impl Watching for Unwanted {
            fn wanted(&self) -> bool {
                false
            }
        }
        let drawing = Slow { second: Mutex::default(), done: Condvar::new(), both: false };
        let wishes = BookWishes { title: String::new(), order: Wished { order: Order::Given, places: Places::Kept }, workers: 2 };
        assert!(make(&Titled(vec!["Fog"]), &drawing, &wishes, &Unwanted).is_err());
    }
}
