//! What changes is told to every open tab: by another tab, in the folder, or by work in the background.

use super::desk::Desk;
use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use serde_json::{Value, json};
use std::convert::Infallible;
use std::sync::Arc;
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::{Stream, StreamExt};

/// One thing to tell.
#[derive(Clone, Debug, PartialEq)]
pub enum News {
    /// The shelf changed.
    Shelf,
    /// A tune or its choices changed.
    Tune { id: String, revision: String },
    /// Work in the background goes on: `done` of `of`.
    Working { what: &'static str, done: usize, of: usize },
    /// The program ends: streams close.
    End,
}

impl News {
    fn json(&self) -> Value {
        match self {
            News::Shelf => json!({"shelf": true}),
            News::Tune { id, revision } => json!({"tune": id, "revision": revision}),
            News::Working { what, done, of } => json!({"working": what, "done": done, "of": of}),
            News::End => json!({}),
        }
    }
}

/// The stream of news. A tab that was too slow is told to look at the shelf again.
pub async fn events(State(desk): State<Arc<Desk>>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let news = BroadcastStream::new(desk.listen()).map(|news| news.unwrap_or(News::Shelf));
    let stream = news.take_while(|news| *news != News::End).map(|news| Ok(Event::default().data(news.json().to_string())));
    Sse::new(stream).keep_alive(KeepAlive::default())
}
