//! The page as sound: when each string is plucked, and each string rendered once for the browser to schedule.

use super::desk::{Desk, locked};
use super::refusal::Refusal;
use super::work;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::IntoResponse;
use music::{Hand, Pitch};
use serde_json::{Value, json};
use sound::{Performing, Voicing, perform};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

/// Rendered strings as WAV files, by pitch.
#[derive(Default)]
pub struct Rendered(Mutex<BTreeMap<String, Arc<Vec<u8>>>>);

pub async fn sound(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let bench = desk.bench(&look)?;
        let performance = perform(&bench.job.arrangement.score, &Performing::default());
        let pluck = |p: &sound::Pluck| {
            json!({
                "t": p.at.as_f64(),
                "sample": p.pitch.to_string(),
                "hand": if p.hand == Hand::Left { "left" } else { "right" },
                "measure": p.place.measure,
                "at": p.place.at.as_f64(),
                "stop": p.stopped.map(|s| s.as_f64()),
                "gain": p.strength.gain(),
                "pan": sound::voicing::pan(p.pitch),
                "pass": p.pass,
            })
        };
        let beats = performance.passes.iter().enumerate().flat_map(|(number, pass)| {
            pass.beats.iter().map(move |(at, t)| json!({"t": t.as_f64(), "measure": pass.measure, "at": at.as_f64(), "pass": number}))
        });
        let passes = performance.passes.iter().map(|p| json!({"measure": p.measure, "start": p.start.as_f64(), "end": p.end.as_f64()}));
        let samples: Vec<String> = performance.strings().into_iter().map(|p| p.to_string()).collect();
        Ok(Json(json!({
            "revision": look.revision,
            "plucks": performance.plucks.iter().map(pluck).collect::<Vec<_>>(),
            "samples": samples,
            "length": performance.end.as_f64(),
            "beats": beats.collect::<Vec<_>>(),
            "passes": passes.collect::<Vec<_>>(),
        })))
    })
    .await
}

/// `C#4.wav`: one string, plucked once and left alone.
pub async fn sample(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Result<impl IntoResponse, Refusal> {
    let wav = work(move || {
        let missing = || Refusal::missing("such string");
        let pitch = name.strip_suffix(".wav").and_then(Pitch::parse).ok_or_else(missing)?;
        let name = pitch.to_string();
        if let Some(known) = locked(&desk.sounds.0).get(&name) {
            return Ok(known.clone());
        }
        let samples = sound::string(pitch, &Voicing::default()).map_err(|_| missing())?;
        let failed = |e: sound::SoundError| Refusal::new(axum::http::StatusCode::INTERNAL_SERVER_ERROR, e.to_string());
        let wav = Arc::new(sound::wav::bytes(&samples, sound::wav::Depth::Sixteen).map_err(failed)?);
        locked(&desk.sounds.0).insert(name, wav.clone());
        Ok(wav)
    })
    .await?;
    let headers = [(header::CONTENT_TYPE, "audio/wav"), (header::CACHE_CONTROL, "private, max-age=3600")];
    Ok((headers, wav.to_vec()))
}
