//! The addresses of a whole book of the shelf or of a set: begun, looked at, given up, taken home. It is made in the background, one at a time, and told when it is ready; the last one is kept until the
//! program ends or another takes its place.

use super::attachment::disposition;
use super::desk::Desk;
use super::memory::locked;
use super::news::News;
use super::refusal::{Answer, Refusal};
use super::{from_json, work};
use crate::book::MOST;
use crate::book::facts::Facts;
use crate::book::make::{BookWishes, Made, Tunes, Undrawn, Watching, make, why, workers};
use crate::book::sorted::{Order, Wished};
use crate::book::words;
use crate::bring;
use crate::failure::Failure;
use crate::names;
use crate::sets::TuneSet;
use crate::worktable::{Arranged, arranged};
use axum::Json;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use formats::musicxml;
use serde::Deserialize;
use serde_json::{Value, json};
use std::path::Path;
use std::sync::{Arc, Mutex};

/// So many draw for a book; the engraver has one more for the page she looks at.
const WORKERS: usize = 2;

/// The book of this desk.
#[derive(Default)]
pub struct Bindery(Mutex<Book>);

#[derive(Default)]
struct Book {
    /// How many were begun: a worker whose number is another one works for nobody.
    number: u64,
    stands: Stands,
}

#[derive(Default)]
enum Stands {
    #[default]
    None,
    Working {
        title: String,
        done: usize,
        of: usize,
    },
    Ready {
        title: String,
        pdf: Bytes,
        words: String,
        left_out: Vec<String>,
    },
    Failed {
        title: String,
        why: String,
    },
}

impl Stands {
    fn facts(&self) -> Value {
        match self {
            Stands::None => json!({"state": "none"}),
            Stands::Working { title, done, of } => json!({"state": "working", "title": title, "done": done, "of": of}),
            Stands::Ready { title, words, left_out, .. } => json!({"state": "ready", "title": title, "words": words, "left_out": left_out}),
            Stands::Failed { title, why } => json!({"state": "failed", "title": title, "why": why}),
        }
    }
}

#[derive(Deserialize)]
struct Begun {
    title: String,
    /// The file of a set; without one all tunes of the shelf.
    set: Option<String>,
    /// "given", "title", "key" or "levers"; without one the set's own, or by title.
    order: Option<String>,
}

/// Begins a book. One that is being made is not disturbed.
pub async fn begin(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let begun: Begun = from_json(&bytes)?;
        let ids = ids(&desk, begun.set.as_deref())?;
        let usual = if begun.set.is_some() { Order::Given } else { Order::Title };
        let order = Wished::read(begun.order.as_deref(), usual)?;
        order.check(ids.len())?;
        let title = if begun.title.trim().is_empty() { "Tunes".to_owned() } else { begun.title.trim().to_owned() };
        let number = {
            let bindery = desk.memory.of::<Bindery>();
            let mut book = locked(&bindery.0);
            if let Stands::Working { .. } = book.stands {
                return Err(Refusal::conflict("a book is being made", book.stands.facts()).hint("wait for it, or give it up"));
            }
            book.number += 1;
            book.stands = Stands::Working { title: title.clone(), done: 0, of: ids.len() };
            book.number
        };
        desk.tell(News::Book);
        let wishes = BookWishes { title, order, workers: workers().min(WORKERS) };
        let making = Making { desk: desk.clone(), ids, number };
        std::thread::spawn(move || making.run(&wishes));
        Ok(Json(look_at(&desk)))
    })
    .await
}

/// The tunes of a set, each once, or of the shelf.
fn ids(desk: &Desk, set: Option<&str>) -> Result<Vec<String>, Failure> {
    let mut ids: Vec<String> = Vec::new();
    let all = match set {
        Some(name) => TuneSet::read(&desk.shelf, name)?.tunes.into_iter().map(|entry| entry.tune).collect::<Vec<_>>(),
        None => desk.shelf.tunes()?.into_iter().map(|spine| spine.id).collect(),
    };
    for id in all {
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    match ids.len() {
        0 => Err(Failure::wrong("there is no tune for a book")),
        many if many > MOST => {
            Err(Failure::wrong(format!("{many} tunes for a book: expected at most {MOST}; make sets, and a book of each")))
        }
        _ => Ok(ids),
    }
}

fn look_at(desk: &Desk) -> Value {
    locked(&desk.memory.of::<Bindery>().0).stands.facts()
}

/// How it stands.
pub async fn look(State(desk): State<Arc<Desk>>) -> Answer {
    Ok(Json(look_at(&desk)))
}

/// Gives up the one that is being made, or forgets the one that is ready.
pub async fn give_up(State(desk): State<Arc<Desk>>) -> Answer {
    let bindery = desk.memory.of::<Bindery>();
    {
        let mut book = locked(&bindery.0);
        book.number += 1;
        book.stands = Stands::None;
    }
    desk.tell(News::Book);
    Ok(Json(look_at(&desk)))
}

/// The book that is ready.
pub async fn take(State(desk): State<Arc<Desk>>) -> Result<Response, Refusal> {
    let bindery = desk.memory.of::<Bindery>();
    let (title, pdf) = match &locked(&bindery.0).stands {
        Stands::Ready { title, pdf, .. } => (title.clone(), pdf.clone()),
        _ => return Err(Refusal::missing("book that is ready")),
    };
    let file = format!("{}.pdf", names::safe(&title));
    let headers = [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition(&file))];
    Ok((headers, pdf).into_response())
}

/// One book in the making.
struct Making {
    desk: Arc<Desk>,
    ids: Vec<String>,
    number: u64,
}

impl Making {
    fn run(&self, wishes: &BookWishes) {
        let made = make(self, &*self.desk.drawing, wishes, self);
        let title = wishes.title.clone();
        let stands = match made {
            Ok(Made { bound, facts, failed, remarks }) => {
                let said = |(name, failure): &(String, Failure)| format!("{name}: {}", why(failure));
                let left_out = failed.iter().map(said).chain(remarks.into_iter().map(|(title, remark)| format!("{title}: {remark}")));
                let words = format!("{} on {} pages", words::tunes(facts.len()), bound.pages);
                Stands::Ready { title, words, left_out: left_out.chain(self.books()).collect(), pdf: bound.pdf.into() }
            }
            Err(failure) => Stands::Failed { title, why: why(&failure) },
        };
        let bindery = self.desk.memory.of::<Bindery>();
        let mut book = locked(&bindery.0);
        if book.number == self.number {
            book.stands = stands;
            drop(book);
            self.desk.tell(News::Book);
        }
    }

    /// Files of several tunes, of which a book has the one that the shelf shows.
    fn books(&self) -> Vec<String> {
        let said = |id: &String| {
            let tunes = bring::book(&self.desk.shelf.bytes(id).ok()?)?.len();
            Some(format!("{id}: a file of {tunes} tunes, of which the first is here: take it apart on the shelf to have them all"))
        };
        self.ids.iter().filter_map(said).collect()
    }
}

impl Tunes for Making {
    fn count(&self) -> usize {
        self.ids.len()
    }

    fn page(&self, at: usize) -> Result<Undrawn, Failure> {
        let look = self.desk.look(&self.ids[at])?;
        let asked = look.choices.asked(self.desk.shelf.folder())?;
        let Arranged { setup, job, .. } = arranged(&asked, Path::new(&look.id), &look.bytes)?;
        Ok(Undrawn { musicxml: musicxml::write::write(&job.arrangement.score), facts: Facts::of(&setup, &job) })
    }

    fn name(&self, at: usize) -> String {
        self.ids[at].clone()
    }
}

impl Watching for Making {
    fn done(&self, done: usize, of: usize, _title: &str) {
        let bindery = self.desk.memory.of::<Bindery>();
        let mut book = locked(&bindery.0);
        if book.number == self.number {
            if let Stands::Working { done: so_far, .. } = &mut book.stands {
                // Whoever is later may have counted before.
                *so_far = done.max(*so_far);
            }
            drop(book);
            self.desk.tell(News::Working { what: "Making the book", done, of });
        }
    }

    fn wanted(&self) -> bool {
        locked(&self.desk.memory.of::<Bindery>().0).number == self.number
    }
}
