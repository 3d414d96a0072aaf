//! The page as sound: when each string is plucked, and each string rendered once for the browser to schedule.

use super::desk::{Desk, locked};
use super::refusal::Refusal;
use super::work;
use crate::bench::Bench;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use music::{Hand, Pitch};
use serde::Deserialize;
use serde_json::{Value, json};
use sound::{Performance, Performing, Pluck, Samples, SoundError, Strings, Voicing, perform};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex};

/// The strings rendered so far, and each as a WAV file once it was asked for.
#[derive(Default)]
pub struct Rendered {
    strings: Mutex<Option<Known>>,
    files: Mutex<BTreeMap<String, Arc<Vec<u8>>>>,
}

#[derive(Clone)]
struct Known {
    pitches: BTreeSet<Pitch>,
    strings: Arc<Strings>,
}

/// Strings that are kept at once: the whole of a large harp with some of its settings.
const KEPT: usize = 100;

impl Rendered {
    /// All strings of a performance; those that are known already are not rendered again unless new ones come.
    fn strings(&self, performance: &Performance) -> Result<Arc<Strings>, SoundError> {
        let mut known = locked(&self.strings);
        let wanted = performance.strings();
        if let Some(known) = known.as_ref().filter(|k| k.pitches.is_superset(&wanted)) {
            return Ok(known.strings.clone());
        }
        let strings = Arc::new(Strings::of(performance, &Voicing::default())?);
        if wanted.len() <= KEPT {
            *known = Some(Known { pitches: wanted, strings: strings.clone() });
        }
        Ok(strings)
    }
}

/// An arrangement as it is played, and the factor for all its plucks: a thick page is a little softer as a whole, so that nothing is ever cut.
struct Played {
    performance: Performance,
    level: f32,
}

impl Played {
    fn of(desk: &Desk, bench: &Bench) -> Result<Played, Refusal> {
        let performance = perform(&bench.job.arrangement.score, &Performing::default());
        let no_sound = |e: SoundError| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, format!("the sound could not be made: {e}"));
        let level = desk.sounds.strings(&performance).map_err(no_sound)?.level(&performance);
        Ok(Played { performance, level })
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
        let played = Played::of(&desk, &*desk.bench(&look)?)?;
        let performance = &played.performance;
        let beats = performance.passes.iter().enumerate().flat_map(|(number, pass)| {
            pass.beats.iter().map(move |(at, t)| json!({"t": t.as_f64(), "measure": pass.measure, "at": at.as_f64(), "pass": number}))
        });
        let passes = performance.passes.iter().map(|p| json!({"measure": p.measure, "start": p.start.as_f64(), "end": p.end.as_f64()}));
        let samples: Vec<String> = performance.strings().into_iter().map(|p| p.to_string()).collect();
        Ok(Json(json!({
            "revision": look.revision,
            "plucks": performance.plucks.iter().map(|p| played.pluck(p)).collect::<Vec<_>>(),
            "samples": samples,
            "of": "",
            "length": performance.end.as_f64(),
            "beats": beats.collect::<Vec<_>>(),
            "passes": passes.collect::<Vec<_>>(),
        })))
    })
    .await
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
        let bench = match tried.figure {
            None => desk.bench(&look)?,
            Some(figure) => {
                let bench = desk.bench(&look)?;
                let number = bench.job.arrangement.score.measures.get(index).ok_or_else(no_measure)?.frame.number;
                let mut choices = look.choices.clone();
                choices.pins.insert(number.to_string(), figure);
                desk.bench(&desk.with(&look, choices))?
            }
        };
        let played = Played::of(&desk, &bench)?;
        let pass = played.performance.passes.iter().position(|p| p.measure == index).ok_or_else(no_measure)?;
        Ok(Json(heard(&played, pass)))
    })
    .await
}

fn no_measure() -> Refusal {
    Refusal::missing("such measure")
}

/// The plucks of one pass with their times in the whole; a roll or grace note may begin before the measure does.
fn heard(played: &Played, pass: usize) -> Value {
    let plucks: Vec<&Pluck> = played.performance.plucks.iter().filter(|p| p.pass == pass).collect();
    let strings: BTreeSet<Pitch> = plucks.iter().map(|p| p.pitch).collect();
    let here = &played.performance.passes[pass];
    let from = plucks.iter().map(|p| p.at).min().map_or(here.start, |first| first.min(here.start));
    json!({
        "plucks": plucks.iter().map(|p| played.pluck(p)).collect::<Vec<_>>(),
        "samples": strings.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "of": "",
        "from": from.as_f64(),
        "to": here.end.as_f64(),
    })
}

/// `C#4.wav`: one string, plucked once and left alone.
pub async fn sample(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Result<impl IntoResponse, Refusal> {
    let wav = work(move || {
        let missing = || Refusal::missing("such string");
        let pitch = name.strip_suffix(".wav").and_then(Pitch::parse).ok_or_else(missing)?;
        let name = pitch.to_string();
        if let Some(known) = locked(&desk.sounds.files).get(&name) {
            return Ok(known.clone());
        }
        let known = locked(&desk.sounds.strings).clone();
        let samples = match known.as_ref().and_then(|k| k.strings.sound(pitch)) {
            Some(sound) => Samples { rate: Voicing::default().rate, channels: vec![sound.to_vec()] },
            None => sound::string(pitch, &Voicing::default()).map_err(|_| missing())?,
        };
        let failed = |e: SoundError| Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, e.to_string());
        let wav = Arc::new(sound::wav::bytes(&samples, sound::wav::Depth::Sixteen).map_err(failed)?);
        locked(&desk.sounds.files).insert(name, wav.clone());
        Ok(wav)
    })
    .await?;
    let headers = [(header::CONTENT_TYPE, "audio/wav"), (header::CACHE_CONTROL, "private, max-age=3600")];
    Ok((headers, wav.to_vec()))
}
