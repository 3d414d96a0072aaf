//! The local page: answers on this machine only, asks nothing of the network.
//!
//! [`router`] has every address; [`guard`] decides who may ask, by a [`pass`] among other things; [`visit`] asks a desk that is open already; [`wanted`] is the port, [`listen`] keeps connections, [`in_json`] the form of errors; [`desk`] is the state, [`turns`] the order at the engraver.
//! The addresses by what they are about: [`guide`], [`shelf`], [`bin`], [`tunes`], [`own`], [`versions`], [`page`], [`findings`], [`ways`], [`sound`], [`recording`], [`take`], [`practice`], [`sight`], [`sets`], [`diary`], [`export`], [`bindery`], [`end`], [`events`]; [`sounds`] keeps strings. Work runs off the
//! threads that answer.

pub mod refusal;
pub mod pass;
pub mod visit;
pub mod guard;
pub mod harps;
pub mod wanted;
pub mod listen;
pub mod in_json;
pub mod assets;
pub mod guide;
pub mod news;
pub mod events;
pub mod memory;
pub mod desk;
pub mod end;
pub mod end_asked;
pub mod turns;
pub mod fits;
pub mod shelf;
pub mod books;
pub mod usual;
pub mod bin;
pub mod tunes;
pub mod own;
pub mod page;
pub mod findings;
pub mod ways;
pub mod sound;
pub mod sounds;
pub mod recording;
pub mod practice;
pub mod sight;
pub mod diary;
pub mod export;
pub mod bindery;
pub mod sets;
pub mod percent;
pub mod attachment;
pub mod take;
pub mod versions;
pub mod watch;

use crate::failure::{Failure, Hindrance};
use crate::recordings::MOST_SENT;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware::{from_fn, from_fn_with_state, map_response};
use axum::routing::{get, post};
use desk::Desk;
use formats::read::LARGEST_FILE;
use guard::Door;
use news::News;
use pass::{Pass, Port};
use refusal::Refusal;
use serde::de::DeserializeOwned;
use std::sync::Arc;
use wanted::Wanted;

/// Every address, behind a door.
pub fn router(desk: Arc<Desk>, door: Door) -> Router {
    let ticket = door.clone();
    Router::new()
        .route("/", get(assets::index))
        .route("/assets/{edition}/{name}", get(assets::asset))
        .route("/guide", get(guide::folder))
        .route("/guide/", get(guide::first))
        .route("/guide/{name}", get(guide::page))
        .route("/guide/pictures/{name}", get(guide::picture))
        .route("/api/shelf", get(shelf::list).post(shelf::take_in))
        .route("/api/demo", post(harps::demo))
        .route("/api/harps", post(harps::keep))
        .route("/api/harps/{name}", get(harps::form))
        .route("/api/usual", axum::routing::put(usual::keep))
        .route("/api/bin", get(bin::list))
        .route("/api/bin/{name}/back", post(bin::back))
        .route("/api/try", post(shelf::try_text))
        .route("/api/events", get(events::events))
        .route("/api/ticket", post(move || async move { ticket.ticket() }))
        .route("/api/tunes/{id}", get(tunes::tune).delete(bin::put_in))
        .route("/api/tunes/{id}/open-book", post(books::open))
        .route("/api/tunes/{id}/text", get(shelf::text).put(shelf::save_text))
        .route("/api/tunes/{id}/choices", axum::routing::put(tunes::choose))
        .route("/api/tunes/{id}/chord", post(own::chord))
        .route("/api/tunes/{id}/by-hand", post(own::change_by_hand))
        .route("/api/tunes/{id}/undo", post(tunes::undo))
        .route("/api/tunes/{id}/redo", post(tunes::redo))
        .route("/api/tunes/{id}/versions", post(versions::copy))
        .route("/api/tunes/{id}/version", axum::routing::put(versions::rename).delete(versions::remove))
        .route("/api/tunes/{id}/levels", post(versions::levels))
        .route("/api/tunes/{id}/together", get(versions::together))
        .route("/api/tunes/{id}/beside/{name}", get(versions::beside))
        .route("/api/tunes/{id}/page", get(page::page))
        .route("/api/tunes/{id}/measures/{index}", get(tunes::measure))
        .route("/api/tunes/{id}/measures/{index}/hear", get(sound::hear))
        .route("/api/tunes/{id}/measures/{index}/ways", get(ways::ways))
        .route("/api/tunes/{id}/would", post(ways::would))
        .route("/api/tunes/{id}/hear", post(ways::hear))
        .route("/api/tunes/{id}/strings", get(tunes::strings))
        .route("/api/tunes/{id}/keys", get(findings::keys))
        .route("/api/tunes/{id}/check", get(findings::check))
        .route("/api/tunes/{id}/sound", get(sound::sound))
        .route("/api/tunes/{id}/practice", get(practice::room).put(practice::keep))
        .route("/api/tunes/{id}/practice/cues", get(practice::cues))
        .route("/api/tunes/{id}/practice/steps/{step}/page", get(practice::page))
        .route("/api/tunes/{id}/practice/steps/{step}/sound", get(practice::sound))
        .route("/api/diary", get(diary::diary))
        .route("/api/diary/stay", axum::routing::put(diary::stay))
        .route("/api/diary/take-out", post(diary::take_out))
        .route("/api/diary/rest", axum::routing::put(diary::rest))
        .route("/api/export", get(export::export))
        .route("/api/book", get(bindery::look).post(bindery::begin).delete(bindery::give_up))
        .route("/api/book/take", get(bindery::take))
        .route("/api/end", post(end::end))
        .route("/api/sight", get(sight::levels))
        .route("/api/sight/{level}/{number}/page", get(sight::page))
        .route("/api/sight/{level}/{number}/sound", get(sight::sound))
        .route("/api/sight/{level}/{number}/take", get(sight::take))
        .route("/api/sets", get(sets::list).post(sets::make))
        .route("/api/sets/fill", post(sets::fill))
        .route("/api/sets/{name}", get(sets::set).put(sets::keep).delete(sets::remove))
        .route("/api/sets/{name}/order", post(sets::order))
        .route("/api/sets/{name}/page", get(sets::page))
        .route("/api/sets/{name}/links/{index}", get(sets::link))
        .route("/api/sets/{name}/take/{kind}", get(sets::take))
        .route("/api/sample/{name}", get(sound::sample))
        .route("/api/recordings/{name}", get(recording::of_folder))
        .route("/api/tunes/{id}/places", post(recording::find))
        .route("/api/tunes/{id}/take/{kind}", get(take::take))
        .fallback(|| async { Refusal::missing("such page") })
        .method_not_allowed_fallback(|| async { Refusal::new(StatusCode::METHOD_NOT_ALLOWED, "this address does not do that") })
        .layer(from_fn(listen::whole_body))
        .layer(DefaultBodyLimit::max(LARGEST_FILE + 64 * 1024))
        .merge(recordings())
        .merge(archives())
        .layer(map_response(in_json::errors))
        .layer(from_fn_with_state(door, guard::guard))
        .with_state(desk)
}

/// A recording is larger than a tune.
fn recordings() -> Router<Arc<Desk>> {
    Router::new()
        .route("/api/tunes/{id}/recording", get(recording::look).post(recording::hear).delete(recording::forget))
        .layer(from_fn(listen::whole_recording))
        .layer(DefaultBodyLimit::max(MOST_SENT))
}

/// Everything together too.
fn archives() -> Router<Arc<Desk>> {
    Router::new()
        .route("/api/import", post(export::import))
        .layer(from_fn(listen::whole_archive))
        .layer(DefaultBodyLimit::max(export::MOST_SENT))
}

fn too_large() -> Refusal {
    crate::bring::NoTune::TooLarge.into()
}

fn from_json<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Refusal> {
    serde_json::from_slice(bytes).map_err(|error| Refusal::new(StatusCode::BAD_REQUEST, format!("the request was not understood: {error}")))
}

/// Work off the threads that answer.
async fn work<T: Send + 'static>(job: impl FnOnce() -> Result<T, Refusal> + Send + 'static) -> Result<T, Refusal> {
    match tokio::task::spawn_blocking(job).await {
        Ok(done) => done,
        Err(_) => Err(Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, "Undersong could not work out this tune")
            .hint("its file and your choices are as they were")),
    }
}

/// Where the page is open, and what lets her in.
pub struct Opened(Door);

impl Opened {
    /// The address for her eyes.
    pub fn address(&self) -> String {
        self.0.pass.address(self.0.port)
    }

    /// The address for a browser's command line, which others can see: good for once. Errors: the system gives no randomness.
    pub fn address_for_once(&self) -> Result<String, Failure> {
        self.0.pass.address_for_once(self.0.port)
    }
}

/// Answers on this machine until `ended` is over. `ready` hears where.
pub async fn serve(
    desk: Arc<Desk>,
    port: Wanted,
    ready: impl FnOnce(&Opened),
    ended: impl Future<Output = ()> + Send + 'static,
) -> Result<(), Failure> {
    let listener = port.listen().await?;
    let own = listener.local_addr().map_err(|error| Failure::World(format!("cannot answer on this machine: {}", Hindrance::of(&error))))?;
    let port = Port(own.port());
    let door = Door { port, pass: Arc::new(Pass::new()?) };
    tokio::spawn(watch::watch(desk.clone()));
    fits::start(&desk);
    ready(&Opened(door.clone()));
    let last = desk.clone();
    let over = async move {
        ended.await;
        last.tell(News::End);
    };
    listen::answer(listener, router(desk, door), over).await;
    Ok(())
}
