//! Connections: each is answered on a task of its own, and none is held for ever. A head must come within [`HEAD`], a body within [`BODY`]; an answer, such as the stream of news, may
//! last as long as it likes.

use super::refusal::Refusal;
use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::pin::pin;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::time::{sleep, timeout};

/// How long a connection may be without a whole head of a question: a new one, and one that has had its answer.
pub const HEAD: Duration = Duration::from_secs(20);
/// How long the body of a question may take: the largest file comes over this machine's own wire in less than a second.
pub const BODY: Duration = Duration::from_secs(30);
/// Where the system has no connection left to give, it is asked again after a while.
const PAUSE: Duration = Duration::from_millis(500);

/// Answers until `ended` is over; then questions that are being answered are finished.
pub async fn answer(listener: TcpListener, router: Router, ended: impl Future<Output = ()>) {
    let open = GracefulShutdown::new();
    let mut ended = pin!(ended);
    loop {
        let stream = tokio::select! {
            accepted = listener.accept() => match accepted {
                Ok((stream, _)) => stream,
                Err(_) => { sleep(PAUSE).await; continue }
            },
            () = &mut ended => break,
        };
        let mut http = http1::Builder::new();
        http.timer(TokioTimer::new()).header_read_timeout(HEAD);
        let connection = http.serve_connection(TokioIo::new(stream), TowerToHyperService::new(router.clone()));
        tokio::spawn(open.watch(connection));
    }
    drop(listener);
    open.shutdown().await;
}

/// Reads the whole body before anything is done about it.
pub async fn whole_body(request: Request, next: Next) -> Response {
    whole(request, next, super::too_large).await
}

/// The same for a recording.
pub async fn whole_recording(request: Request, next: Next) -> Response {
    whole(request, next, super::recording::too_large).await
}

/// The same for everything together.
pub async fn whole_archive(request: Request, next: Next) -> Response {
    whole(request, next, super::export::too_large).await
}

async fn whole(request: Request, next: Next, too_large: fn() -> Refusal) -> Response {
    let (head, body) = request.into_parts();
    let read = Bytes::from_request(Request::from_parts(head.clone(), body), &());
    let refusal = match timeout(BODY, read).await {
        Ok(Ok(bytes)) => return next.run(Request::from_parts(head, Body::from(bytes))).await,
        Ok(Err(rejection)) if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE => too_large(),
        Ok(Err(rejection)) => Refusal::new(rejection.status(), "the request broke off"),
        Err(_) => Refusal::new(StatusCode::REQUEST_TIMEOUT, "the request took too long to come"),
    };
    refusal.into_response()
}
