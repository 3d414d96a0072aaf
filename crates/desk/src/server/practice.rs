//! The practice room's addresses: the ladder of a tune, the page and the sound of a step, drills, the cue sheet, and what she has passed.

use super::desk::{Desk, Look};
use super::memory::Recent;
use super::page::{Wished, measures};
use super::refusal::Answer;
use super::refusal::Refusal;
use super::sound::{Played, sounded};
use super::{from_json, work};
use crate::drawing::NoPage;
use crate::failure::Failure;
use crate::number::Named;
use crate::one_staff::{self, Tempo};
use crate::practice::diary::{Diary, Moment};
use crate::practice::record::{Change, Keeper, Practised};
use crate::practice::{cue_page, lesson};
use crate::safe_svg::is_safe;
use crate::shelf::tune_of;
use crate::worktable::Worktable;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, Query, State};
use music::Score;
use practice::cues::ShapePicture;
use practice::drills::{Drill, drills, note};
use practice::ladder::StepPage;
use practice::{Ladder, Step};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// A tune's ladder, made once for each state of the tune.
pub(super) struct Steps {
    pub ladder: Ladder,
    pub drills: Vec<Drill>,
}

/// The ladders that were made lately.
type Ladders = Recent<String, Arc<Steps>>;

impl Desk {
    /// The ladder and the drills of a tune as its files stand, a teacher's changes not laid over.
    fn steps(&self, look: &Look, worktable: &Worktable) -> Arc<Steps> {
        let key = format!("{}/{}", look.id, look.revision);
        let ladders = self.memory.of::<Ladders>();
        ladders.get(&key).unwrap_or_else(|| {
            let lesson = lesson(&worktable.setup, &worktable.job);
            let made = Steps { ladder: Ladder::of(&lesson), drills: drills(&lesson) };
            ladders.put(key, Arc::new(made))
        })
    }
}

/// What lies behind most addresses here.
struct Room {
    look: Look,
    worktable: Arc<Worktable>,
    steps: Arc<Steps>,
    practised: Practised,
    /// Why nothing of it can be read or written down.
    trouble: Option<Failure>,
    ladder: Ladder,
}

impl Room {
    fn open(desk: &Desk, id: &str) -> Result<Room, Refusal> {
        let look = desk.look(id)?;
        let worktable = desk.worktable(&look)?;
        let steps = desk.steps(&look, &worktable);
        let (practised, trouble) = match Diary::of(&desk.shelf).read(tune_of(id)) {
            Ok(practised) => (practised, None),
            Err(failure) => (Practised::default(), Some(failure)),
        };
        let ladder = steps.ladder.clone().changed(&practised.changes());
        Ok(Room { look, worktable, steps, practised, trouble, ladder })
    }

    fn step(&self, name: &str) -> Result<&Step, Refusal> {
        self.ladder
            .step(name)
            .ok_or_else(|| Refusal::missing("such step").hint("the ladder of this tune has changed: open the practice room again"))
    }

    /// The score of a step: its own, or the tune's.
    fn score<'a>(&'a self, step: &'a Step) -> &'a Score {
        match &step.page {
            StepPage::BothHands(made) => &made.score,
            StepPage::LeadSheet => self.steps.ladder.lead(&self.worktable.job.arrangement),
            StepPage::CueSheet => &self.worktable.job.arrangement.score,
        }
    }

    fn facts(&self) -> Value {
        let numbers = self.worktable.job.arrangement.score.measures.iter().map(|m| Named(m.frame.number)).collect::<Vec<_>>();
        json!({
            "id": self.look.id,
            "title": self.worktable.job.title(),
            "revision": self.look.revision,
            "steps": self.ladder.steps.iter().map(|s| self.step_facts(s)).collect::<Vec<_>>(),
            "left_out": self.ladder.left_out.iter().map(|l| json!({"name": l.name, "title": l.title, "why": l.why})).collect::<Vec<_>>(),
            "drills": self.steps.drills.iter().map(drill).collect::<Vec<_>>(),
            "ladder_note": self.ladder.note,
            "drills_note": note(&lesson(&self.worktable.setup, &self.worktable.job), &self.steps.drills),
            "practised": self.practised,
            "trouble": self.trouble.as_ref().and_then(Failure::text),
            "measures": numbers,
        })
    }

    fn step_facts(&self, step: &Step) -> Value {
        let page = match step.page {
            StepPage::BothHands(_) => "hands",
            StepPage::LeadSheet => "lead",
            StepPage::CueSheet => "cues",
        };
        json!({
            "name": step.name,
            "title": step.title,
            "new": step.new,
            "listen": step.listen,
            "pass": step.pass,
            "page": page,
            "ways_in": step.ways_in(),
            "state": self.practised.steps.get(&step.name),
            "hers": step.difficulty.is_none(),
        })
    }
}

fn drill(drill: &Drill) -> Value {
    let place = |p: &music::Place| json!({"measure": p.measure, "at": p.at.as_f64()});
    json!({
        "kind": drill.kind.name(),
        "name": drill.kind.title(),
        "title": drill.title,
        "steps": drill.steps,
        "first": drill.stretch.first,
        "last": drill.stretch.last,
        "numbers": [Named(drill.numbers.0), Named(drill.numbers.1)],
        "shapes": drill.shapes.iter().map(shape).collect::<Vec<_>>(),
        "calls": drill.calls.iter().map(|c| json!({"said": place(&c.said), "holds": c.holds, "words": c.words})).collect::<Vec<_>>(),
        "chain": drill.chain.iter().map(place).collect::<Vec<_>>(),
    })
}

/// A shape for the picture of the strings: names as people read them.
fn shape(picture: &ShapePicture) -> Value {
    let letter = |string: i32| music::Step::from_index(string).letter().to_string();
    let strings: Vec<Value> = (picture.lowest..=picture.highest).map(|s| json!({"position": s, "letter": letter(s)})).collect();
    let pluck = |p: &practice::cues::picture::PicturePluck| {
        let touches: Vec<Value> = p
            .touches
            .iter()
            .map(|t| json!({"position": t.pitch.position(), "name": format!("{:#}", t.pitch), "finger": t.finger}))
            .collect();
        let beat = picture.beats.iter().position(|b| *b == p.at).map(|b| b + 1);
        json!({"beat": beat, "rolled": p.rolled, "touches": touches})
    };
    json!({"chord": picture.chord, "strings": strings, "plucks": picture.plucks.iter().map(pluck).collect::<Vec<_>>()})
}

pub async fn room(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || Ok(Json(Room::open(&desk, &id)?.facts()))).await
}

/// When something was marked, as the page says it.
#[derive(Deserialize)]
pub struct At {
    /// Milliseconds since 1970.
    at: i64,
    /// The day where she sits.
    day: String,
}

/// What she has passed, where she is, and a teacher's changes, all of it at once.
pub async fn keep(State(desk): State<Arc<Desk>>, Path(id): Path<String>, Query(when): Query<At>, bytes: Bytes) -> Answer {
    work(move || {
        let practised: Practised = from_json(&bytes)?;
        let moment = Moment::of(when.at, &when.day)?;
        let room = Room::open(&desk, &id)?;
        let title_of = |name: &str| room.ladder.step(name).map_or_else(|| name.to_owned(), |step| step.title.clone());
        {
            let _saving = desk.saving();
            let change =
                Change { tune: tune_of(&id), tune_title: &room.worktable.job.title(), practised: &practised, title_of: &title_of, moment };
            Diary::of(&desk.shelf).keep(&change)?;
        }
        Ok(Json(Room::open(&desk, &id)?.facts()))
    })
    .await
}

pub async fn page(State(desk): State<Arc<Desk>>, Path((id, step)): Path<(String, String)>, Query(wished): Query<Wished>) -> Answer {
    let layout = wished.layout()?;
    work(move || {
        let room = Room::open(&desk, &id)?;
        let step = room.step(&step)?;
        if matches!(step.page, StepPage::CueSheet) {
            return Ok(Json(json!({"revision": room.look.revision, "svgs": cue_sheet(&desk, &room.worktable)?, "measures": []})));
        }
        let whole = formats::musicxml::write::write(room.score(step));
        let musicxml = if matches!(step.page, StepPage::LeadSheet) { one_staff::upper(&whole, Tempo::Written) } else { whole };
        let drawn = desk.pages(&musicxml, &layout, &|| true)?.ok_or_else(|| Refusal::missing("such page"))?;
        Ok(Json(json!({"revision": room.look.revision, "svgs": drawn.svgs, "measures": measures(room.score(step), &drawn)})))
    })
    .await
}

pub async fn sound(State(desk): State<Arc<Desk>>, Path((id, step)): Path<(String, String)>) -> Answer {
    work(move || {
        let room = Room::open(&desk, &id)?;
        let played = Played::of_score(&desk, room.score(room.step(&step)?), &room.worktable.choices)?;
        Ok(Json(sounded(&played, &room.look.revision)))
    })
    .await
}

/// The cue sheet of a tune.
pub async fn cues(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Answer {
    work(move || {
        let look = desk.look(&id)?;
        let worktable = desk.worktable(&look)?;
        Ok(Json(json!({"revision": look.revision, "svgs": cue_sheet(&desk, &worktable)?, "measures": []})))
    })
    .await
}

fn cue_sheet(desk: &Desk, worktable: &Worktable) -> Result<Vec<String>, Refusal> {
    let drawn = desk.drawing.sheet(&cue_page::page(&worktable.setup, &worktable.job)).map_err(Failure::from)?;
    if drawn.svgs.iter().all(|svg| is_safe(svg)) {
        return Ok(drawn.svgs);
    }
    Err(Failure::from(NoPage::Refused("the engraver made something that is no page".into())).into())
}
