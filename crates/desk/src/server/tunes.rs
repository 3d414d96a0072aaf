//! Addresses about one tune: what was chosen, choosing, undo and redo, its measures and strings.

use super::desk::{Desk, Look};
use super::refusal::{Answer, Refusal};
use super::shelf::tell_of;
use super::{from_json, work};
use crate::by_hand::{self, ByHand};
use crate::choices::Choices;
use crate::history::{self, Stepped, Way};
use crate::number::Named;
use crate::recordings::kept;
use crate::usual::Usual;
use crate::worktable::Worktable;
use crate::{difference, measure, report};
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

pub async fn tune(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        let mut facts = facts(&desk, &look)?;
        facts["way_words"] = way_words(&desk, &look)?.into();
        Ok(Json(facts))
    })
    .await
}

/// What is different in another way of the whole from the way before it.
fn way_words(desk: &Desk, look: &Look) -> Result<Option<String>, Refusal> {
    if look.choices.variant < 2 {
        return Ok(None);
    }
    let before = desk.with(look, Choices { variant: look.choices.variant - 1, ..look.choices.clone() });
    Ok(difference::difference(&*desk.worktable(&before)?, &*desk.worktable(look)?).map(|d| d.words))
}

/// Everything the page shows around the music.
fn facts(desk: &Desk, look: &Look) -> Result<Value, Refusal> {
    let worktable = desk.worktable(look)?;
    let steps = history::history(&desk.shelf, &look.id).of(&look.id, &look.versions);
    Ok(json!({
        "id": look.id,
        "title": worktable.job.title(),
        "revision": look.revision,
        "choices": look.choices.json(),
        "version": look.version,
        "versions": super::versions::list(look),
        "can_undo": steps.peek(Way::Back, &look.choices, &look.versions).is_some(),
        "can_redo": steps.peek(Way::Forward, &look.choices, &look.versions).is_some(),
        "harps": desk.harps(),
        "harp_names": desk.harp_names(),
        "usual": Usual::understood(&desk.shelf),
        "by_hand": changes_by_hand(&worktable),
        "figures": worktable.setup.figures.all.iter().map(figure).collect::<Vec<_>>(),
        "lists": crate::lists::lists(),
        "remarks": remarks(desk, look, &worktable),
        "sounds": desk.shelf.fonts(),
        "usual_sound": desk.sounds.has_usual(),
        "parts": worktable.job.imported.parts,
        "part": worktable.job.imported.part,
        "written_basses": worktable.job.imported.sheet.measures.iter().flat_map(|m| &m.frame.chords).any(|c| c.symbol.chord().is_some_and(|c| c.bass.is_some())),
        "report": worktable.report,
    }))
}

/// Her changes of single notes, in the order of her choices.
fn changes_by_hand(worktable: &Worktable) -> Vec<Value> {
    let fact = |one: &ByHand| {
        let place = one.change.place().unwrap_or_default();
        let number = worktable.job.arrangement.score.measures.get(place.measure).map(|m| m.frame.number);
        json!({"index": place.measure, "number": number.map(Named), "at": place.at.as_f64(), "text": by_hand::said(&one.change), "found": one.found})
    };
    worktable.by_hand.iter().map(fact).collect()
}

/// What she should know first: files beside the tune that are left as they are, the arrangement, and a sound she chose whose file is gone.
fn remarks(desk: &Desk, look: &Look, worktable: &Worktable) -> Vec<String> {
    let font = worktable.choices.sound.as_deref().filter(|name| !name.is_empty());
    let gone = font.filter(|name| desk.shelf.font(name).is_err()).map(|name| {
        format!("There is no SoundFont \"{name}\" in your folder any more: Undersong's strings are heard. Choose a sound under Whole tune.")
    });
    let left = [history::kept(&desk.shelf, &look.id).err(), kept::read(&desk.shelf, &look.id).err()];
    let left = left.into_iter().flatten().map(|failure| format!("{failure}."));
    look.versions.said(&look.version).into_iter().chain(left).chain(worktable.report.remarks.iter().cloned()).chain(gone).collect()
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
    Err(changed_elsewhere(desk, &now)?)
}

fn changed_elsewhere(desk: &Desk, now: &Look) -> Result<Refusal, Refusal> {
    Ok(Refusal::conflict("this tune was changed elsewhere", facts(desk, now)?))
}

/// Takes new choices over: arranges with them first, then saves them if the tune still stands as it was seen.
pub(super) fn take(desk: &Arc<Desk>, now: &Look, choices: Choices) -> Answer {
    let new = desk.with(now, choices);
    let worktable = desk.worktable(&new)?;
    if let Some(why) = worktable.no_part.as_ref().filter(|_| new.choices.part != now.choices.part) {
        return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why.as_str()));
    }
    if let Some(why) = worktable.job.chords.unmet.as_ref().filter(|_| new.choices.chords_from != now.choices.chords_from) {
        return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why.as_str()));
    }
    if new.choices.sound != now.choices.sound {
        desk.sounds.of(&desk.shelf, &new.choices)?;
    }
    new.choices.check_size()?;
    desk.draw_ahead(&worktable);
    let meanwhile = {
        let _saving = desk.saving();
        let meanwhile = desk.look(&now.id)?;
        if meanwhile.revision == now.revision {
            history::choose(&desk.shelf, &now.id, &now.choices, &new.choices)?;
        }
        meanwhile
    };
    if meanwhile.revision != now.revision {
        return Err(changed_elsewhere(desk, &meanwhile)?);
    }
    tell_of(desk, &now.id);
    changed(desk, now, &new).map(Json)
}

/// The facts after a change, with what it changed on the page.
fn changed(desk: &Desk, was: &Look, is: &Look) -> Result<Value, Refusal> {
    let mut facts = facts(desk, is)?;
    let before = desk.made(was);
    let difference = before.and_then(|before| difference::difference(&before, &*desk.worktable(is).ok()?));
    facts["changed"] = serde_json::to_value(difference).expect("texts and numbers have a JSON form");
    Ok(facts)
}

pub async fn undo(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || step(&desk, &id, Way::Back)).await
}

pub async fn redo(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || step(&desk, &id, Way::Forward)).await
}

fn step(desk: &Arc<Desk>, id: &str, way: Way) -> Answer {
    let (now, step) = {
        let _saving = desk.saving();
        let now = desk.look(id)?;
        let step = history::step(&desk.shelf, id, way)?;
        (now, step)
    };
    let Some(step) = step else { return facts(desk, &now).map(Json) };
    tell_of(desk, id);
    let new = desk.look(id)?;
    desk.draw_ahead(&desk.worktable(&new)?);
    let mut facts = changed(desk, &now, &new)?;
    let said = |name: &str, what: &str| json!({"measures": [], "of": 0, "words": format!("The version \"{name}\" {what}."), "marks": null});
    match step {
        Stepped::Chosen(_) => {}
        Stepped::CameBack(name) => facts["changed"] = said(&name, "is back"),
        Stepped::Went(name) => facts["changed"] = said(&name, "is gone again"),
    }
    Ok(Json(facts))
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
    let number = number.to_string();
    let held = [choices.holds.remove(&number), choices.ways.remove(&number)];
    held.into_iter().flatten().next()?;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Drawing, Drawn, Layout, NoPage};
    use crate::save::RealDisk;
    use crate::shelf::Shelf;

    struct None;

    impl Drawing for None {
        fn draw(&self, _: &str, _: &Layout) -> Result<Drawn, NoPage> {
            Err(NoPage::Failed)
        }

        fn pdf(&self, _: &str, _: &Layout) -> Result<Vec<u8>, NoPage> {
            Err(NoPage::Failed)
        }
    }

    fn desk(folder: &std::path::Path) -> Arc<Desk> {
        std::fs::write(folder.join("door.abc"), "X:1\nT:The Door\nK:C\n\"C\"C4|\n").expect("the folder takes a tune");
        Arc::new(Desk::new(Shelf::open(folder, Box::new(RealDisk)).expect("the folder is there"), Arc::new(None)))
    }

    #[test]
    fn what_was_changed_while_the_tune_was_arranged_is_not_overwritten() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = desk(folder.path());
        let octave = |octave| Choices { octave, ..Choices::default() };
        let seen_by_both = desk.look("door.abc").expect("the tune is there");
        assert!(take(&desk, &seen_by_both, octave(1)).is_ok(), "the first is saved");
        let slower = take(&desk, &seen_by_both, octave(-1)).expect_err("the second has seen what holds no more");
        assert_eq!((slower.status, slower.now.expect("how it stands")["choices"]["octave"].clone()), (StatusCode::CONFLICT, json!(1)));
        assert_eq!(desk.look("door.abc").expect("the tune is there").choices, octave(1));
    }

    /// A save in another tab waits for no arranging, and arranging for no save; who arranges while holding the files is stopped by an assertion, which names it.
    #[test]
    fn nothing_is_arranged_while_the_files_are_held() {
        let folders = [(); 2].map(|()| tempfile::tempdir().expect("a folder"));
        let [beside, within] = [&folders[0], &folders[1]].map(|folder| desk(folder.path()));
        let look = beside.look("door.abc").expect("the tune is there");
        std::thread::scope(|scope| {
            let _held = beside.saving();
            assert!(
                scope.spawn(|| beside.worktable(&look).is_ok()).join().expect("another does not hold them"),
                "it goes on beside a save"
            );
        });
        let stopped = std::thread::spawn(move || {
            let look = within.look("door.abc").expect("the tune is there");
            let _held = within.saving();
            within.worktable(&look).is_ok()
        });
        let stopped = stopped.join().expect_err("who holds them does not arrange");
        let said = stopped.downcast_ref::<&str>().expect("an assertion's words");
        assert!(said.contains("without holding the files"), "{said}");
    }

    #[test]
    fn files_let_go_are_held_no_more() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = desk(folder.path());
        let look = desk.look("door.abc").expect("the tune is there");
        drop(desk.saving());
        assert!(desk.worktable(&look).is_ok());
    }
}
