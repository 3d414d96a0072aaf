//! The addresses of sets: the list, making one, its tunes with what is moved between them, the best order, its page, its links.

use super::attachment::disposition;
use super::desk::Desk;
use super::memory::{hash, locked};
use super::news::News;
use super::page::{Wished, measures};
use super::refusal::Answer;
use super::refusal::Refusal;
use super::{from_json, work};
use crate::drawing::{Layout, NoPage, Purpose};
use crate::failure::Failure;
use crate::names;
use crate::plain_file;
use crate::safe_svg::is_safe;
use crate::sets::fill::{self, Wished as Time};
use crate::sets::laid::{Laid, Row};
use crate::sets::source::{Known, Source};
use crate::sets::{TuneSet, links, page as set_page, words};
use crate::worktable::Worktable;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use formats::musicxml;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

/// So many tunes are remembered.
const REMEMBERED: usize = 4_000;

/// What sets know of tunes, by tune and revision.
#[derive(Default)]
pub struct Members(Mutex<BTreeMap<String, Arc<Known>>>);

impl Source for Desk {
    fn known(&self, id: &str) -> Result<Arc<Known>, Failure> {
        let look = self.look(id)?;
        let key = format!("{id}/{}", look.revision);
        let members = self.memory.of::<Members>();
        if let Some(known) = locked(&members.0).get(&key) {
            return Ok(known.clone());
        }
        let known = Arc::new(Known::of(&*self.worktable(&look)?));
        let mut all = locked(&members.0);
        if all.len() >= REMEMBERED {
            all.clear();
        }
        all.insert(key, known.clone());
        Ok(known)
    }

    fn worktable(&self, id: &str) -> Result<Arc<Worktable>, Failure> {
        Desk::worktable(self, &self.look(id)?)
    }
}

pub async fn list(State(desk): State<Arc<Desk>>) -> Answer {
    work(move || {
        let facts = |name: String| match TuneSet::read(&desk.shelf, &name) {
            Ok(set) => json!({"title": set.named(&name), "tunes": set.tunes.len(), "mistake": null, "name": name}),
            Err(failure) => json!({"title": TuneSet::default().named(&name), "tunes": 0, "mistake": failure.text(), "name": name}),
        };
        Ok(Json(json!({"sets": desk.shelf.sets().into_iter().map(facts).collect::<Vec<_>>()})))
    })
    .await
}

#[derive(Deserialize)]
struct Wanted {
    minutes: u32,
    mood: String,
}

/// Tunes of the shelf for a time; nothing is kept.
pub async fn fill(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let wanted: Wanted = from_json(&bytes)?;
        let time = Time::of(wanted.minutes, &wanted.mood)?;
        let ids: Vec<String> = desk.shelf.tunes()?.into_iter().map(|spine| spine.id).collect();
        let filled = fill::fill(&ids, time, &*desk)?;
        Ok(Json(json!({"tunes": filled.tunes, "words": filled.words})))
    })
    .await
}

#[derive(Deserialize)]
struct Made {
    set: TuneSet,
    /// Put in order at once: "best", or "given".
    order: String,
}

pub async fn make(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let Made { mut set, order } = from_json(&bytes)?;
        set.check()?;
        if order == "best" {
            set = Laid::of(set, &*desk).in_order();
        }
        let title = if set.title.trim().is_empty() { "Set" } else { set.title.trim() };
        let name = {
            let _saving = desk.saving();
            desk.shelf.take_in_set(title, set.toml().as_bytes())?
        };
        desk.tell(News::Shelf);
        let seen = hash(&[set.toml().as_bytes()]);
        Ok(Json(facts(&name, &Laid::of(set, &*desk), &seen)))
    })
    .await
}

pub async fn set(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Answer {
    work(move || {
        let seen = seen(&desk, &name)?;
        Ok(Json(facts(&name, &laid(&desk, &name)?, &seen)))
    })
    .await
}

fn laid(desk: &Desk, name: &str) -> Result<Laid, Refusal> {
    Ok(Laid::of(TuneSet::read(&desk.shelf, name)?, desk))
}

/// How the file stands.
fn seen(desk: &Desk, name: &str) -> Result<String, Refusal> {
    Ok(hash(&[&plain_file::bytes(&desk.shelf.set(name)?, plain_file::SETTINGS)?]))
}

#[derive(Deserialize)]
struct Changed {
    set: TuneSet,
    seen: String,
}

pub async fn keep(State(desk): State<Arc<Desk>>, Path(name): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let changed: Changed = from_json(&bytes)?;
        save(&desk, &name, changed)
    })
    .await
}

#[derive(Deserialize)]
struct Seen {
    seen: String,
}

/// Puts the tunes into the order that asks for least.
pub async fn order(State(desk): State<Arc<Desk>>, Path(name): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let Seen { seen } = from_json(&bytes)?;
        let set = laid(&desk, &name)?.in_order();
        save(&desk, &name, Changed { set, seen })
    })
    .await
}

fn save(desk: &Desk, name: &str, changed: Changed) -> Answer {
    changed.set.check()?;
    let text = changed.set.toml();
    let now = {
        let _saving = desk.saving();
        let now = seen(desk, name)?;
        if now == changed.seen {
            // What cannot be read here is not written over.
            TuneSet::read(&desk.shelf, name)?;
            desk.shelf.rewrite_set(name, text.as_bytes())?;
        }
        now
    };
    if now != changed.seen {
        return Err(Refusal::conflict("this set was changed elsewhere; nothing was saved", facts(name, &laid(desk, name)?, &now)));
    }
    desk.tell(News::Shelf);
    Ok(Json(facts(name, &Laid::of(changed.set, desk), &hash(&[text.as_bytes()]))))
}

pub async fn remove(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Answer {
    work(move || {
        let _saving = desk.saving();
        desk.shelf.remove_set(&name)?;
        desk.tell(News::Shelf);
        Ok(Json(json!({})))
    })
    .await
}

fn facts(name: &str, laid: &Laid, seen: &str) -> Value {
    json!({
        "name": name,
        "title": laid.set.named(name),
        "seen": seen,
        "set": laid.set,
        "length": words::length_of(laid.seconds()),
        "before": words::before(laid),
        "order": words::order(laid),
        "better": laid.best.least < laid.best.price,
        "rows": laid.rows.iter().map(row).collect::<Vec<_>>(),
    })
}

fn row(row: &Row) -> Value {
    let tune = match &row.tune {
        Ok(tune) => tune,
        Err(why) => return json!({"id": row.entry.tune, "title": row.entry.tune, "problem": why}),
    };
    let between = row.between.as_ref().map(|step| {
        let (link, missing) = match &step.link {
            Some(Ok(link)) => (Some(link), None),
            Some(Err(no)) => (None, Some(*no)),
            None => (None, None),
        };
        json!({
            "moves": step.changes.len(),
            "words": words::moves(&step.changes),
            "changes": words::changes(&step.changes),
            "reasons": words::reasons(step, tune),
            "link": link.map(|l| json!({"words": words::link(l), "why": words::link_why(l)})),
            "no_link": missing.map(words::no_link),
        })
    });
    json!({
        "id": row.entry.tune,
        "title": tune.known.title,
        "key": format!("{:#}", tune.known.tune.key),
        "facts": words::facts(tune, row.entry.times),
        "stands": tune.stands.setting(&tune.known.harp).line(),
        "again": (!tune.again.is_empty()).then(|| words::changes(&tune.again)),
        "ways_out": tune.known.ways_out,
        "lacks": tune.known.lacks,
        "problem": null,
        "between": between,
    })
}

/// The set page as a picture.
pub async fn page(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Answer {
    work(move || {
        let laid = laid(&desk, &name)?;
        let drawn = desk.drawing.sheet(&set_page::page(&laid, &laid.set.named(&name))).map_err(Failure::from)?;
        if drawn.svgs.iter().all(|svg| is_safe(svg)) {
            return Ok(Json(json!({"svgs": drawn.svgs})));
        }
        Err(Failure::from(NoPage::Refused("the engraver made something that is no page".into())).into())
    })
    .await
}

/// The link that leads to the tune in a place, from 0.
pub async fn link(State(desk): State<Arc<Desk>>, Path((name, at)): Path<(String, usize)>, Query(wished): Query<Wished>) -> Answer {
    let layout = wished.layout()?;
    work(move || {
        let laid = laid(&desk, &name)?;
        let missing = || Refusal::missing("link to this tune");
        let score = laid.links().find(|(place, _)| *place == at).map(|(_, link)| links::one(link)).ok_or_else(missing)?;
        let drawn = desk.pages(&musicxml::write::write(&score), &layout, &|| true)?.ok_or_else(missing)?;
        Ok(Json(json!({"svgs": drawn.svgs, "measures": measures(&score, &drawn)})))
    })
    .await
}

/// The set page or its links to print.
pub async fn take(State(desk): State<Arc<Desk>>, Path((name, kind)): Path<(String, String)>) -> Result<Response, Refusal> {
    work(move || {
        let laid = laid(&desk, &name)?;
        let title = laid.set.named(&name);
        let (pdf, what) = match kind.as_str() {
            "page" => (desk.drawing.sheet_pdf(&set_page::page(&laid, &title)), "set"),
            "links" => {
                let score = links::all(&laid, &title).ok_or_else(|| Refusal::missing("link in this set"))?;
                let layout = Layout { purpose: Purpose::Print, ..Layout::default() };
                (desk.drawing.pdf(&musicxml::write::write(&score), &layout), "links")
            }
            _ => return Err(Refusal::new(StatusCode::NOT_FOUND, "there is no such kind of file").hint("page or links")),
        };
        let file = format!("{}.pdf", names::safe(&format!("{title} - {what}")));
        let headers = [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition(&file))];
        Ok((headers, pdf.map_err(Failure::from)?).into_response())
    })
    .await
}
