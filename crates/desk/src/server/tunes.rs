//! Addresses about one tune: what was chosen, choosing, undo and redo, its measures and strings.

use super::desk::{Desk, Look};
use super::refusal::Refusal;
use super::shelf::tell_of;
use super::{from_json, work};
use crate::by_hand::ByHand;
use crate::choices::Choices;
use crate::history::{self, Way};
use crate::usual::Usual;
use crate::worktable::Worktable;
use crate::{measure, report};
use arrange::figures::Figure;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use harp::{Mechanism, Shoulder};
use music::{Pitch, Step};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

pub(super) type Answer = Result<Json<Value>, Refusal>;

pub async fn tune(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        facts(&desk, &look).map(Json)
    })
    .await
}

/// Everything the page shows around the music.
fn facts(desk: &Desk, look: &Look) -> Result<Value, Refusal> {
    let worktable = desk.worktable(look)?;
    let history = history::history(&desk.shelf, &look.id);
    Ok(json!({
        "id": look.id,
        "title": worktable.job.title(),
        "revision": look.revision,
        "choices": look.choices.json(),
        "can_undo": history.peek(Way::Back, &look.choices).is_some(),
        "can_redo": history.peek(Way::Forward, &look.choices).is_some(),
        "harps": desk.harps(),
        "usual": Usual::read(&desk.shelf).unwrap_or_default(),
        "by_hand": changes_by_hand(&worktable),
        "figures": worktable.setup.figures.all.iter().map(figure).collect::<Vec<_>>(),
        "remarks": remarks(desk, &worktable),
        "sounds": desk.shelf.fonts(),
        "usual_sound": desk.sounds.has_usual(),
        "parts": worktable.job.imported.parts,
        "part": worktable.job.imported.part,
        "report": worktable.report,
    }))
}

/// Her changes of single notes, in the order of her choices.
fn changes_by_hand(worktable: &Worktable) -> Vec<Value> {
    let fact = |one: &ByHand| {
        let place = one.change.place().unwrap_or_default();
        let number = worktable.job.arrangement.score.measures.get(place.measure).map(|m| m.frame.number);
        json!({"index": place.measure, "number": number, "at": place.at.as_f64(), "text": one.change.say(), "found": one.found})
    };
    worktable.by_hand.iter().map(fact).collect()
}

/// What she should know first: about the arrangement, and a sound she chose whose file is gone.
fn remarks(desk: &Desk, worktable: &Worktable) -> Vec<String> {
    let font = worktable.choices.sound.as_deref().filter(|name| !name.is_empty());
    let gone = font.filter(|name| desk.shelf.font(name).is_err()).map(|name| {
        format!("There is no SoundFont \"{name}\" in your folder any more: Undersong's strings are heard. Choose a sound under Whole tune.")
    });
    worktable.report.remarks.iter().cloned().chain(gone).collect()
}

fn figure(figure: &Figure) -> Value {
    json!({"name": figure.name, "pattern": report::figures::pattern(figure), "level": figure.level, "fullness": figure.fullness})
}

#[derive(Deserialize)]
struct Chosen {
    choices: Choices,
    seen: String,
}

/// New choices: arranged first, so that what cannot be is refused and nothing saved.
pub async fn choose(State(desk): State<Arc<Desk>>, Path(id): Path<String>, bytes: Bytes) -> Answer {
    work(move || {
        let chosen: Chosen = from_json(&bytes)?;
        let _saving = desk.saving();
        let now = seen(&desk, &id, &chosen.seen)?;
        take(&desk, &now, chosen.choices)
    })
    .await
}

/// The tune as it stands, if it is as the page saw it.
pub(super) fn seen(desk: &Desk, id: &str, seen: &str) -> Result<Look, Refusal> {
    let now = desk.look(id)?;
    if now.revision == seen {
        return Ok(now);
    }
    Err(Refusal::conflict("this tune was changed elsewhere", facts(desk, &now)?))
}

pub(super) fn take(desk: &Arc<Desk>, now: &Look, choices: Choices) -> Answer {
    let new = desk.with(now, choices);
    let worktable = desk.worktable(&new)?;
    if let Some(why) = worktable.no_part.as_ref().filter(|_| new.choices.part != now.choices.part) {
        return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why.as_str()));
    }
    if new.choices.sound != now.choices.sound {
        desk.sounds.of(&desk.shelf, &new.choices)?;
    }
    desk.draw_ahead(&worktable);
    history::choose(&desk.shelf, &now.id, &now.choices, &new.choices)?;
    tell_of(desk, &now.id);
    facts(desk, &new).map(Json)
}

pub async fn undo(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || step(&desk, &id, Way::Back)).await
}

pub async fn redo(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || step(&desk, &id, Way::Forward)).await
}

fn step(desk: &Arc<Desk>, id: &str, way: Way) -> Answer {
    let _saving = desk.saving();
    let now = desk.look(id)?;
    if let Some(choices) = history::step(&desk.shelf, id, &now.choices, way)? {
        let new = desk.with(&now, choices);
        if let Ok(worktable) = desk.worktable(&new) {
            desk.draw_ahead(&worktable);
        }
        tell_of(desk, id);
        return facts(desk, &new).map(Json);
    }
    facts(desk, &now).map(Json)
}

pub async fn measure(State(desk): State<Arc<Desk>>, Path((id, index)): Path<(String, usize)>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        let worktable = desk.worktable(&look)?;
        let free = without_hold(&desk, &look, &worktable, index);
        let facts = measure::facts(&worktable, free.as_deref(), index).ok_or_else(|| Refusal::missing("such measure"))?;
        let mut facts = serde_json::to_value(facts).expect("texts and numbers have a JSON form");
        facts["revision"] = look.revision.into();
        Ok(Json(facts))
    })
    .await
}

/// The same tune without the hold of a measure, where it has one.
fn without_hold(desk: &Desk, look: &Look, worktable: &Worktable, index: usize) -> Option<Arc<Worktable>> {
    let number = worktable.job.arrangement.score.measures.get(index)?.frame.number;
    let mut choices = look.choices.clone();
    choices.holds.remove(&number.to_string())?;
    desk.worktable(&desk.with(look, choices)).ok()
}

/// The strings of her harp from the lowest, as they stand in front of her.
pub async fn strings(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        let worktable = desk.worktable(&look)?;
        let harp = &worktable.setup.harp;
        let string = |position: i32| {
            let pitch = Pitch::at_position(position, 0);
            // Harp facts: C strings are red, F strings black or blue, the others plain.
            let colour = match pitch.step {
                Step::C => "red",
                Step::F => "black",
                _ => "plain",
            };
            let lever = matches!(harp.mechanism, Mechanism::Levers(_)) && harp.settings_of(position).len() > 1;
            json!({"name": format!("{}{}", pitch.step.letter(), pitch.octave), "colour": colour, "lever": lever})
        };
        let strings: Vec<Value> = (harp.lowest()..=harp.highest()).map(string).collect();
        let shoulder = if worktable.setup.player.shoulder == Shoulder::Right { "right" } else { "left" };
        let pedals = matches!(harp.mechanism, Mechanism::Pedals { .. });
        Ok(Json(json!({"strings": strings, "shoulder": shoulder, "pedals": pedals})))
    })
    .await
}
