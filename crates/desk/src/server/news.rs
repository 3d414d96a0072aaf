//! What may be told to every open tab, and its JSON.

use serde_json::{Value, json};

/// One thing to tell.
#[derive(Clone, Debug, PartialEq)]
pub enum News {
    /// The shelf changed.
    Shelf,
    /// A tune or its choices changed.
    Tune { id: String, revision: String },
    /// Work in the background goes on: `done` of `of`.
    Working { what: &'static str, done: usize, of: usize },
    /// A whole book is begun, ready or given up.
    Book,
    /// The program ends: streams close.
    End,
}

impl News {
    pub(super) fn json(&self) -> Value {
        match self {
            News::Shelf => json!({"shelf": true}),
            News::Tune { id, revision } => json!({"tune": id, "revision": revision}),
            News::Working { what, done, of } => json!({"working": what, "done": done, "of": of}),
            News::Book => json!({"book": true}),
            News::End => json!({}),
        }
    }
}
