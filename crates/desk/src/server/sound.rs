//! The page as sound: when each string is plucked, and each string rendered once for the browser to schedule.

use super::desk::Desk;
use super::refusal::Refusal;
use super::sounds::Wanted;
use super::work;
use crate::choices::Choices;
use crate::failure::Failure;
use crate::worktable::Worktable;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use music::{Hand, Pitch, Score};
use serde::Deserialize;
use serde_json::{Value, json};
use sound::{Performance, Performing, Pluck, SoundError, perform};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

/// An arrangement as it is played, and the factor for all its plucks that makes it as loud as a file of it.
pub(super) struct Played {
    performance: Performance,
    /// Indices of the measures in which the left hand has the melody.
    below: Vec<usize>,
    /// The note value that is counted in the tempo at the start, in quarter notes.
    counted: f64,
    level: f32,
    /// What stands behind the address of every sample.
    of: String,
    /// Why our own strings are heard instead of the sound she chose.
    instead: Option<String>,
}

fn no_sound(error: &SoundError) -> Refusal {
    Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, format!("the sound could not be made: {error}"))
}

impl Played {
    pub fn of(desk: &Desk, worktable: &Worktable) -> Result<Played, Refusal> {
        Played::of_score(desk, &worktable.job.arrangement.score, &worktable.choices)
    }

    /// Another page of a tune, with the sound of its choices.
    pub fn of_score(desk: &Desk, score: &Score, choices: &Choices) -> Result<Played, Refusal> {
        let performance = perform(score, &Performing::default());
        let strings = performance.strings();
        let chosen = desk.sounds.of(&desk.shelf, choices).and_then(|sound| {
            let level = sound.strings(&strings).map_err(|error| Failure::wrong(error.to_string()))?.loud(&performance);
            Ok((level, sound.of.clone()))
        });
        let (level, of, instead) = match chosen {
            Ok((level, of)) => (level, of, None),
            Err(failure) => {
                let own = desk.sounds.own(choices.concert.clone())?;
                let level = own.strings(&strings).map_err(|error| no_sound(&error))?.loud(&performance);
                (level, own.of.clone(), failure.text())
            }
        };
        let below = (0..score.measures.len()).filter(|m| score.measures[*m].melody == Hand::Left).collect();
        Ok(Played { performance, below, counted: score.tempo.unit().as_f64(), level, of, instead })
    }

    /// The passes in which measures are played for the first time, one after another.
    pub fn first_time(&self, measures: &Range<usize>) -> Result<Range<usize>, Refusal> {
        let passes = &self.performance.passes;
        let first = passes.iter().position(|p| p.measure == measures.start).ok_or_else(no_measure)?;
        let inside = passes[first..].iter().take_while(|p| measures.contains(&p.measure)).count();
        Ok(first..first + inside.max(1))
    }

    /// The same with the pass before and the one after.
    pub fn with_neighbours(&self, measures: &Range<usize>) -> Result<Range<usize>, Refusal> {
        let passes = self.first_time(measures)?;
        Ok(passes.start.saturating_sub(1)..(passes.end + 1).min(self.performance.passes.len()))
    }

    fn pluck(&self, p: &Pluck) -> Value {
        json!({
            "t": p.at.as_f64(),
            "sample": p.pitch.to_string(),
            "hand": if p.hand == Hand::Left { "left" } else { "right" },
            "measure": p.place.measure,
            "at": p.place.at.as_f64(),
            "stop": p.stopped.map(|s| s.as_f64()),
            "gain": p.strength.gain() * self.level,
            "pan": sound::voicing::pan(p.pitch),
            "pass": p.pass,
        })
    }
}

pub async fn sound(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let played = Played::of(&desk, &*desk.worktable(&look)?)?;
        Ok(Json(sounded(&played, &look.revision)))
    })
    .await
}

/// All of it: plucks, beats, passes, and which samples they need.
pub(super) fn sounded(played: &Played, revision: &str) -> Value {
    let performance = &played.performance;
    let beats = performance.passes.iter().enumerate().flat_map(|(number, pass)| {
        pass.beats.iter().map(move |(at, t)| json!({"t": t.as_f64(), "measure": pass.measure, "at": at.as_f64(), "pass": number}))
    });
    let passes = performance.passes.iter().map(|p| json!({"measure": p.measure, "start": p.start.as_f64(), "end": p.end.as_f64()}));
    let samples: Vec<String> = performance.strings().into_iter().map(|p| p.to_string()).collect();
    json!({
        "revision": revision,
        "plucks": performance.plucks.iter().map(|p| played.pluck(p)).collect::<Vec<_>>(),
        "samples": samples,
        "below": played.below,
        "counted": played.counted,
        "of": played.of,
        "instead": played.instead,
        "length": performance.end.as_f64(),
        "beats": beats.collect::<Vec<_>>(),
        "passes": passes.collect::<Vec<_>>(),
    })
}

#[derive(Deserialize)]
pub struct Tried {
    figure: Option<String>,
}

/// One measure as it is played the first time, with a figure tried in it or as it stands. What is tried is arranged like a choice, so that taking it
/// afterwards finds it made.
pub async fn hear(
    State(desk): State<Arc<Desk>>,
    Path((id, index)): Path<(String, usize)>,
    Query(tried): Query<Tried>,
) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let worktable = match tried.figure {
            None => desk.worktable(&look)?,
            Some(figure) => {
                let worktable = desk.worktable(&look)?;
                let number = worktable.job.arrangement.score.measures.get(index).ok_or_else(no_measure)?.frame.number;
                let mut choices = look.choices.clone();
                choices.holds.insert(number.to_string(), figure);
                desk.worktable(&desk.with(&look, choices))?
            }
        };
        let played = Played::of(&desk, &worktable)?;
        Ok(Json(heard(&played, played.first_time(&(index..index + 1))?)))
    })
    .await
}

pub(super) fn no_measure() -> Refusal {
    Refusal::missing("such measure")
}

/// The plucks of some passes with their times in the whole; a roll or grace note may begin before the measure does.
pub(super) fn heard(played: &Played, passes: Range<usize>) -> Value {
    let plucks: Vec<&Pluck> = played.performance.plucks.iter().filter(|p| passes.contains(&p.pass)).collect();
    let strings: BTreeSet<Pitch> = plucks.iter().map(|p| p.pitch).collect();
    let (first, last) = (&played.performance.passes[passes.start], &played.performance.passes[passes.end - 1]);
    let from = plucks.iter().map(|p| p.at).min().map_or(first.start, |pluck| pluck.min(first.start));
    json!({
        "plucks": plucks.iter().map(|p| played.pluck(p)).collect::<Vec<_>>(),
        "samples": strings.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "of": played.of,
        "from": from.as_f64(),
        "to": last.end.as_f64(),
    })
}

#[derive(Deserialize)]
pub struct Of {
    of: Option<String>,
    concert: Option<String>,
}

/// `C#4.wav`: one string of a sound, plucked once and left alone.
pub async fn sample(
    State(desk): State<Arc<Desk>>,
    Path(name): Path<String>,
    Query(Of { of, concert }): Query<Of>,
) -> Result<impl IntoResponse, Refusal> {
    let wav = work(move || {
        let missing = || Refusal::missing("such string");
        let pitch = name.strip_suffix(".wav").and_then(Pitch::parse).ok_or_else(missing)?;
        let sound = desk.sounds.named(&desk.shelf, &Wanted { name: of.unwrap_or_default(), concert });
        let sound = sound.map_err(|failure| Refusal { status: StatusCode::NOT_FOUND, ..failure.into() })?;
        sound.wav(pitch).map_err(|error| match error {
            SoundError::Pitch(_) => missing(),
            other => no_sound(&other),
        })
    })
    .await?;
    let headers = [(header::CONTENT_TYPE, "audio/wav"), (header::CACHE_CONTROL, "private, max-age=3600")];
    Ok((headers, wav.to_vec()))
}
