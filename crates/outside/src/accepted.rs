//! Differences that were looked into and are not ours: where music21 leaves the standard, or where the standard leaves a choice.
//!
//! They stand in `accepted.toml`, each kind with its reason and its places, so that a new difference fails the test and one that is gone does too.

use crate::compare::{Aspect, Difference};
use serde::Deserialize;
use std::collections::BTreeSet;

#[derive(Debug, Deserialize)]
pub struct Accepted {
    #[serde(default)]
    kind: Vec<Kind>,
    #[serde(skip)]
    met: BTreeSet<(usize, String)>,
}

#[derive(Debug, Deserialize)]
struct Kind {
    reason: String,
    aspects: Vec<Aspect>,
    /// "FILE NUMBER: COUNT": the file below music21's folder, the number of the tune or part, how many values differ.
    places: Vec<String>,
}

impl Accepted {
    /// Reads the list of one format: "abc" or "musicxml". Tests run in the folder of their crate, wherever it was built.
    pub fn load(format: &str) -> Accepted {
        let path = format!("accepted/{format}.toml");
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
        let list: Accepted = toml::from_str(&text).unwrap_or_else(|e| panic!("{path}: {e}"));
        for kind in &list.kind {
            assert!(kind.reason.len() > 20, "every accepted kind of difference has its reason");
        }
        list
    }

    /// Whether this difference of this tune is listed; remembers that it was met.
    pub fn covers(&mut self, tune: &str, difference: &Difference) -> bool {
        let place = format!("{tune}: {}", difference.count);
        let holding = |k: &Kind| k.aspects.contains(&difference.aspect) && k.places.contains(&place);
        let Some(index) = self.kind.iter().position(holding) else {
            return false;
        };
        self.met.insert((index, place));
        true
    }

    /// Listed places where nothing of the kind was met.
    pub fn gone(&self) -> Vec<String> {
        let mut gone = Vec::new();
        for (index, kind) in self.kind.iter().enumerate() {
            let unmet = kind.places.iter().filter(|p| !self.met.contains(&(index, (*p).clone())));
            gone.extend(unmet.map(|place| format!("{place} differing: {}", kind.reason)));
        }
        gone
    }
}
