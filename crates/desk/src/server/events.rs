//! What changes is told to every open tab: by another tab, in the folder, or by work in the background.

use super::desk::Desk;
use super::news::News;
use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use std::convert::Infallible;
use std::sync::Arc;
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::{Stream, StreamExt};

/// The stream of news. A tab that was too slow is told to look at the shelf again.
pub async fn events(State(desk): State<Arc<Desk>>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let news = BroadcastStream::new(desk.listen()).map(|news| news.unwrap_or(News::Shelf));
    let stream = news.take_while(|news| *news != News::End).map(|news| Ok(Event::default().data(news.json().to_string())));
    Sse::new(stream).keep_alive(KeepAlive::default())
}
