//! Which voice of a tune is read as the melody, and which there are to choose from.

use super::{Tune, Voice};
use crate::diagnostic::{excerpt, listed};
use crate::read::{ReadError, ReadOptions};

impl Tune {
    /// The place of the voice to read as the melody.
    pub fn chosen(&self, options: &ReadOptions) -> Result<usize, ReadError> {
        let Some(wanted) = &options.part else {
            return Ok(self.voices.iter().position(|v| !v.is_empty()).unwrap_or(0));
        };
        self.found(wanted).ok_or_else(|| ReadError::NoSuchPart {
            wanted: wanted.clone(),
            held: (1..).zip(&self.voices).map(|(i, v)| if v.id.is_empty() { i.to_string() } else { v.id.clone() }).collect(),
        })
    }

    /// A voice by its id, its name or its place from 1.
    fn found(&self, wanted: &str) -> Option<usize> {
        let by_id = self.voices.iter().position(|v| v.id == wanted);
        let by_name = || self.voices.iter().position(|v| v.name.as_deref() == Some(wanted));
        let by_place = || wanted.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|n| *n < self.voices.len());
        by_id.or_else(by_name).or_else(by_place)
    }

    /// The voices with notes, each by the first of its name, its id and its place that finds it; none where there is no choice.
    pub fn parts(&self) -> Vec<(usize, String)> {
        let named = |(place, voice): (usize, &Voice)| {
            let texts = [voice.name.clone().unwrap_or_default(), voice.id.clone(), (place + 1).to_string()];
            texts.into_iter().find(|t| !t.is_empty() && self.found(t) == Some(place)).map(|text| (place, text))
        };
        let parts: Vec<(usize, String)> = self.voices.iter().enumerate().filter(|(_, v)| !v.is_empty()).filter_map(named).collect();
        if parts.len() > 1 { parts } else { Vec::new() }
    }

    pub fn say_which(&mut self, chosen: usize, options: &ReadOptions) {
        if self.voices.len() > 1 && options.part.is_none() {
            let others: Vec<String> = self.voices.iter().enumerate().filter(|(i, _)| *i != chosen).map(|(_, v)| v.id.clone()).collect();
            let message = format!("voice \"{}\" is read as the melody; left out: {}", excerpt(&self.voices[chosen].id), listed(&others));
            let span = self.voices[chosen].measures.first().and_then(|d| d.span).unwrap_or(self.last);
            self.remarks.note(span, message);
        }
    }
}
