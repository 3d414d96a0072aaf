//! Pieces drawn before, kept so that a changed score costs only what changed.

use crate::error::EngraveError;
use crate::library::Breaks;
use crate::parse::System;
use std::fmt::Debug;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::{Arc, Mutex, PoisonError};

/// Pieces that are kept: several scores, or a long one in two layouts.
const KEPT: usize = 200;

/// A text and how it is broken into lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Key(u64, u64, usize);

impl Key {
    /// Two hashes of different beginnings and the length: texts that differ have different keys, as good as certainly. `set` is what we set on it ourselves.
    pub fn of(text: &str, breaks: Breaks, set: &impl Debug) -> Key {
        let how = format!("{breaks:?} {set:?}");
        let hash = |salt: u8| {
            let mut hasher = DefaultHasher::new();
            (salt, text, &how).hash(&mut hasher);
            hasher.finish()
        };
        Key(hash(0), hash(1), text.len())
    }
}

/// The pieces drawn last, the latest used at the end.
#[derive(Default)]
pub(crate) struct Drawn(Mutex<Vec<(Key, Arc<Vec<System>>)>>);

impl Drawn {
    /// A piece drawn before, or made now; a failure is not kept.
    pub fn once(&self, key: Key, make: impl FnOnce() -> Result<Vec<System>, EngraveError>) -> Result<Arc<Vec<System>>, EngraveError> {
        match self.find(key) {
            Some(systems) => Ok(systems),
            None => make().map(|systems| self.keep(key, systems)),
        }
    }

    fn find(&self, key: Key) -> Option<Arc<Vec<System>>> {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let place = all.iter().rposition(|(k, _)| *k == key)?;
        let found = all.remove(place);
        let systems = found.1.clone();
        all.push(found);
        Some(systems)
    }

    fn keep(&self, key: Key, systems: Vec<System>) -> Arc<Vec<System>> {
        let systems = Arc::new(systems);
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.push((key, systems.clone()));
        let over = all.len().saturating_sub(KEPT);
        all.drain(..over);
        systems
    }
}
