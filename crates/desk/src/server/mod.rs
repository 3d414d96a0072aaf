//! The local page: answers on this machine only, asks nothing of the network.
//!
//! [`router`] has every address; [`guard`] decides who may ask; [`desk`] is the state. The addresses by what they are about: [`shelf`], [`bin`], [`tunes`], [`own`], [`page`],
//! [`findings`], [`sound`], [`take`], [`events`]; [`sounds`] keeps strings. Work runs off the threads that answer.

pub mod refusal;
pub mod guard;
pub mod assets;
pub mod events;
pub mod desk;
pub mod fits;
pub mod shelf;
pub mod books;
pub mod usual;
pub mod bin;
pub mod tunes;
pub mod own;
pub mod page;
pub mod findings;
pub mod sound;
pub mod sounds;
pub mod percent;
pub mod take;
pub mod watch;

use crate::failure::Failure;
use axum::Router;
use axum::body::Bytes;
use axum::extract::DefaultBodyLimit;
use axum::extract::rejection::BytesRejection;
use axum::http::StatusCode;
use axum::routing::{get, post};
use desk::Desk;
use events::News;
use formats::read::LARGEST_FILE;
use guard::Port;
use refusal::Refusal;
use serde::de::DeserializeOwned;
use std::net::Ipv4Addr;
use std::sync::Arc;
use tokio::net::TcpListener;

/// Every address. `port` is the one the server answers on.
pub fn router(desk: Arc<Desk>, port: Port) -> Router {
    Router::new()
        .route("/", get(assets::index))
        .route("/assets/{name}", get(assets::asset))
        .route("/api/shelf", get(shelf::list).post(shelf::take_in))
        .route("/api/usual", axum::routing::put(usual::keep))
        .route("/api/bin", get(bin::list))
        .route("/api/bin/{name}/back", post(bin::back))
        .route("/api/try", post(shelf::try_text))
        .route("/api/events", get(events::events))
        .route("/api/tunes/{id}", get(tunes::tune).delete(bin::put_in))
        .route("/api/tunes/{id}/open-book", post(books::open))
        .route("/api/tunes/{id}/text", get(shelf::text).put(shelf::save_text))
        .route("/api/tunes/{id}/choices", axum::routing::put(tunes::choose))
        .route("/api/tunes/{id}/chord", post(own::chord))
        .route("/api/tunes/{id}/by-hand", post(own::change_by_hand))
        .route("/api/tunes/{id}/undo", post(tunes::undo))
        .route("/api/tunes/{id}/redo", post(tunes::redo))
        .route("/api/tunes/{id}/page", get(page::page))
        .route("/api/tunes/{id}/measures/{index}", get(tunes::measure))
        .route("/api/tunes/{id}/measures/{index}/hear", get(sound::hear))
        .route("/api/tunes/{id}/strings", get(tunes::strings))
        .route("/api/tunes/{id}/keys", get(findings::keys))
        .route("/api/tunes/{id}/check", get(findings::check))
        .route("/api/tunes/{id}/sound", get(sound::sound))
        .route("/api/sample/{name}", get(sound::sample))
        .route("/api/tunes/{id}/take/{kind}", get(take::take))
        .fallback(|| async { Refusal::missing("such page") })
        .method_not_allowed_fallback(|| async { Refusal::new(StatusCode::METHOD_NOT_ALLOWED, "this address does not do that") })
        .layer(DefaultBodyLimit::max(LARGEST_FILE + 64 * 1024))
        .layer(axum::middleware::from_fn_with_state(port, guard::guard))
        .with_state(desk)
}

/// A body, or why there is none.
type Body = Result<Bytes, BytesRejection>;

fn body(body: Body) -> Result<Bytes, Refusal> {
    body.map_err(|rejection| match rejection.status() {
        StatusCode::PAYLOAD_TOO_LARGE => too_large(),
        status => Refusal::new(status, "the request broke off"),
    })
}

fn too_large() -> Refusal {
    Refusal::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        format!("the file is larger than {} MiB, the most that is read", LARGEST_FILE / (1024 * 1024)),
    )
}

fn from_json<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Refusal> {
    serde_json::from_slice(bytes).map_err(|error| Refusal::new(StatusCode::BAD_REQUEST, format!("the request was not understood: {error}")))
}

/// Work off the threads that answer.
async fn work<T: Send + 'static>(job: impl FnOnce() -> Result<T, Refusal> + Send + 'static) -> Result<T, Refusal> {
    match tokio::task::spawn_blocking(job).await {
        Ok(done) => done,
        Err(_) => Err(Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, "the program made a mistake with this tune")
            .hint("its file and your choices are as they were")),
    }
}

/// Answers on this machine until `ended` is over. `ready` hears the address.
pub async fn serve(
    desk: Arc<Desk>,
    port: u16,
    ready: impl FnOnce(&str),
    ended: impl Future<Output = ()> + Send + 'static,
) -> Result<(), Failure> {
    let taken = |error: std::io::Error| Failure::World(format!("cannot answer on port {port} of this machine: {error}"));
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await.map_err(taken)?;
    let port = listener.local_addr().map_err(taken)?.port();
    tokio::spawn(watch::watch(desk.clone()));
    fits::start(&desk);
    ready(&format!("http://127.0.0.1:{port}/"));
    let last = desk.clone();
    let over = async move {
        ended.await;
        last.tell(News::End);
    };
    axum::serve(listener, router(desk, Port(port))).with_graceful_shutdown(over).await.map_err(taken)
}
