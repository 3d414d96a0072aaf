//! The page as sound: when each string is plucked, and each string rendered once for the browser to schedule.

use super::desk::{Desk, locked};
use super::refusal::Refusal;
use super::work;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use music::{Hand, Pitch};
use serde_json::{Value, json};
use sound::{Performance, Performing, Samples, SoundError, Strings, Voicing, perform};
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

pub async fn sound(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Result<Json<Value>, Refusal> {
    work(move || {
        let look = desk.look(&id)?;
        let bench = desk.bench(&look)?;
        let performance = perform(&bench.job.arrangement.score, &Performing::default());
        let no_sound = |e: SoundError| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, format!("the sound could not be made: {e}"));
        // A thick page is a little softer as a whole, so that nothing is ever cut.
        let level = desk.sounds.strings(&performance).map_err(no_sound)?.level(&performance);
        let pluck = |p: &sound::Pluck| {
            json!({
                "t": p.at.as_f64(),
                "sample": p.pitch.to_string(),
                "hand": if p.hand == Hand::Left { "left" } else { "right" },
                "measure": p.place.measure,
                "at": p.place.at.as_f64(),
                "stop": p.stopped.map(|s| s.as_f64()),
                "gain": p.strength.gain() * level,
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
