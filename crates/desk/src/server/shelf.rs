//! Addresses about the folder: the list, taking in, the text of a tune and her own save of it, and a drawing while she types.

use super::books;
use super::desk::{Desk, Look};
use super::memory::{hash, locked};
use super::news::News;
use super::refusal::Refusal;
use super::{from_json, too_large, work};
use crate::bring::{self, NoTune, in_letters, read};
use crate::drawing::{Layout, Purpose};
use crate::one_staff;
use crate::shelf::tune_of;
use crate::usual::Usual;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use formats::read::LARGEST_FILE;
use formats::{Diagnostic, Imported, Severity, Span};
use music::{Note, Score, ScoreMeasure, Tempo};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

type Answer = Result<Json<Value>, Refusal>;

pub async fn list(State(desk): State<Arc<Desk>>) -> Answer {
    work(move || {
        let tunes: Vec<Value> = desk.shelf.tunes()?.into_iter().map(|spine| spine_facts(&desk, spine)).collect();
        let (usual, mistake) = (Usual::understood(&desk.shelf), Usual::read(&desk.shelf).err().and_then(|failure| failure.text()));
        let folder = desk.shelf.folder().display().to_string();
        Ok(Json(json!({"folder": folder, "tunes": tunes, "usual": usual, "usual_mistake": mistake, "harps": desk.harps(), "harp_names": desk.harp_names(), "harps_left": desk.shelf.harps_left(), "fluency": crate::lists::lists().fluency})))
    })
    .await
}

/// What the tunes themselves say, by the hash of their bytes.
#[derive(Default)]
pub struct Spines(Mutex<BTreeMap<String, Value>>);

/// A tune's facts by the hash of its bytes; one without a title has its file's name for it.
pub fn known_facts(desk: &Desk, name: &str, bytes: &[u8]) -> Value {
    let key = hash(&[bytes]);
    let spines = desk.memory.of::<Spines>();
    let known = locked(&spines.0).get(&key).cloned();
    let mut facts = known.unwrap_or_else(|| {
        let facts = sheet_facts(bytes);
        locked(&spines.0).insert(key, facts.clone());
        facts
    });
    if facts["title"].is_null() {
        facts["title"] = name.rsplit_once('.').map_or(name, |(stem, _)| stem).into();
    }
    facts
}

fn spine_facts(desk: &Desk, spine: crate::shelf::Spine) -> Value {
    let mut facts = known_facts(desk, &spine.id, &desk.shelf.bytes(&spine.id).unwrap_or_default());
    let fits = match desk.look(&spine.id) {
        Ok(look) => desk.memory.of::<super::fits::Known>().of(&look),
        Err(failure) => super::fits::Fits { state: "failed", sentence: failure.to_string() },
    };
    facts["id"] = spine.id.into();
    facts["changed"] = spine.changed.into();
    facts["worked_on"] = spine.worked_on.into();
    facts["fits"] = json!(fits);
    facts
}

/// Title, key, meter and length, as far as they can be read, and how many things there are to mend.
fn sheet_facts(bytes: &[u8]) -> Value {
    let (sheet, problems) = match read(bytes) {
        Ok(imported) => (Some(imported.sheet), imported.diagnostics),
        Err(problem) => (None, vec![problem]),
    };
    let first = sheet.as_ref().and_then(|s| s.measures.first());
    json!({
        "title": sheet.as_ref().map(|s| s.words.title.trim()).filter(|t| !t.is_empty()),
        "key": first.map(|m| m.frame.key.to_string()),
        "meter": first.map(|m| m.frame.meter.to_string()),
        "measures": sheet.as_ref().map_or(0, |s| s.measures.iter().map(|m| m.frame.number.count).max().unwrap_or(0)),
        "book": bring::book(bytes).map_or(0, |tunes| tunes.len()),
        "problems": problems.iter().filter(|p| p.severity != Severity::Note).count(),
    })
}

/// Everything there is to say about the reading.
fn problems(bytes: &[u8]) -> Vec<Value> {
    bring::problems(bytes).iter().map(problem).collect()
}

fn problem(diagnostic: &Diagnostic) -> Value {
    let severity = match diagnostic.severity {
        Severity::Note => "note",
        Severity::Warning => "warning",
        Severity::Error => "error",
    };
    let Span { line, column, width } = diagnostic.span;
    json!({"line": line, "column": column, "length": width, "severity": severity, "message": diagnostic.message, "hint": diagnostic.hint})
}

#[derive(Deserialize)]
struct Pasted {
    name: Option<String>,
    text: String,
}

/// A file as it is (its name in `X-Name`), or text.
pub async fn take_in(State(desk): State<Arc<Desk>>, headers: HeaderMap, bytes: Bytes) -> Answer {
    let name = headers.get("x-name").map(|n| decoded(n.as_bytes()));
    work(move || {
        let (name, bytes) = match name {
            Some(name) => (Some(name), bytes.to_vec()),
            None => {
                let pasted: Pasted = from_json(&bytes)?;
                (pasted.name, pasted.text.into_bytes())
            }
        };
        let ending = bring::ending(name.as_deref(), &bytes)?;
        let stem = match &name {
            Some(name) => name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem).to_owned(),
            None => read(&bytes).map(|i| i.sheet.words.title).unwrap_or_default(),
        };
        let ids = match bring::book(&bytes) {
            Some(tunes) => books::take_in(&desk, &tunes)?,
            None => {
                let _saving = desk.saving();
                vec![desk.shelf.take_in(&stem, ending, &bytes)?]
            }
        };
        desk.tell(News::Shelf);
        Ok(Json(json!({"id": ids.first(), "ids": ids, "problems": problems(&bytes)})))
    })
    .await
}

/// A file that is none of a tune.
impl From<NoTune> for Refusal {
    fn from(why: NoTune) -> Refusal {
        let status = match why {
            NoTune::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            NoTune::Empty => StatusCode::UNPROCESSABLE_ENTITY,
            NoTune::OtherFile | NoTune::Damaged | NoTune::NoText => StatusCode::UNSUPPORTED_MEDIA_TYPE,
        };
        let refusal = Refusal::new(status, why.to_string());
        why.hint().map_or(refusal.clone(), |hint| refusal.hint(hint))
    }
}

/// A percent-encoded name.
pub(super) fn decoded(text: &[u8]) -> String {
    let mut bytes = Vec::new();
    let mut rest = text;
    while let [first, tail @ ..] = rest {
        let hex = |b: u8| (b as char).to_digit(16);
        match (first, tail) {
            (b'%', [high, low, after @ ..]) if hex(*high).is_some() && hex(*low).is_some() => {
                bytes.push((hex(*high).unwrap_or(0) * 16 + hex(*low).unwrap_or(0)) as u8);
                rest = after;
            }
            _ => {
                bytes.push(*first);
                rest = tail;
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

pub async fn text(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || Ok(Json(text_facts(&desk.shelf.bytes(&id)?)))).await
}

fn text_facts(bytes: &[u8]) -> Value {
    let packed = bytes.starts_with(b"PK");
    let kind = match (packed, formats::musicxml::looks_like(bytes)) {
        (true, _) => "packed",
        (_, true) => "musicxml",
        _ => "abc",
    };
    let text = if packed { String::new() } else { in_letters(bytes) };
    json!({"text": text, "kind": kind, "seen": hash(&[bytes]), "problems": problems(bytes)})
}

#[derive(Deserialize)]
struct NewText {
    text: String,
    seen: String,
}

/// Her explicit save; refused where the file is not what she saw.
pub async fn save_text(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let new: NewText = from_json(&bytes)?;
        if new.text.len() > LARGEST_FILE {
            return Err(too_large());
        }
        let newer = {
            let _saving = desk.saving();
            let now = desk.shelf.bytes(&id)?;
            if now.starts_with(b"PK") {
                return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, "a packed score has no text to save"));
            }
            if hash(&[&now]) == new.seen {
                desk.shelf.rewrite(&id, new.text.as_bytes())?;
                None
            } else {
                Some(now)
            }
        };
        if let Some(newer) = newer {
            return Err(Refusal::conflict("the file was changed elsewhere; nothing was saved", text_facts(&newer)));
        }
        tell_of(&desk, &id);
        Ok(Json(text_facts(new.text.as_bytes())))
    })
    .await
}

/// Tells every tab of a tune as it stands now, whichever version it shows.
pub fn tell_of(desk: &Desk, id: &str) {
    let lately = desk.lately().into_iter().filter(|other| other != id && tune_of(other) == tune_of(id));
    for id in std::iter::once(id.to_owned()).chain(lately) {
        if let Ok(Look { revision, .. }) = desk.look(&id) {
            desk.tell(News::Tune { id, revision });
        }
    }
    desk.tell(News::Shelf);
}

#[derive(Deserialize)]
struct Typed {
    text: String,
}

/// The melody alone, as she types.
pub async fn try_text(State(desk): State<Arc<Desk>>, bytes: Bytes) -> Answer {
    work(move || {
        let typed: Typed = from_json(&bytes)?;
        let text = typed.text.as_bytes();
        let svgs = match read(text) {
            Ok(imported) if imported.sheet.measures.iter().any(|m| !m.notes.is_empty()) => {
                let tempo = if imported.sheet.tempo.is_some() { one_staff::Tempo::Written } else { one_staff::Tempo::Assumed };
                let music = one_staff::upper(&formats::musicxml::write::write(&melody(&imported)), tempo);
                let layout = Layout { purpose: Purpose::Worktable, ..Layout::default() };
                desk.pages(&music, &layout, &|| true)?.map(|drawn| drawn.svgs.clone()).unwrap_or_default()
            }
            _ => Vec::new(),
        };
        Ok(Json(json!({"svgs": svgs, "problems": problems(text)})))
    })
    .await
}

/// The tune for the right hand, the left hand resting.
fn melody(imported: &Imported) -> Score {
    let sheet = &imported.sheet;
    let measure = |(source, m): (usize, &music::SheetMeasure)| ScoreMeasure {
        frame: m.frame.clone(),
        right: m.notes.clone(),
        left: vec![Note::rest(music::Beats::ZERO, m.frame.length)],
        heading: None,
        marks: Vec::new(),
        source: Some(source),
        melody: music::Hand::Right,
    };
    let assumed = || Tempo::of(music::Beats::QUARTER, 90).expect("90 quarter notes a minute are a tempo");
    Score {
        words: sheet.words.clone(),
        tempo: sheet.tempo.unwrap_or_else(assumed),
        preparation: music::Preparation::default(),
        measures: sheet.measures.iter().enumerate().map(measure).collect(),
    }
}
