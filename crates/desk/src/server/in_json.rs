//! Every error is JSON, the router's own too: an address or a question that it could not take apart is told by it in plain text.

use super::refusal::Refusal;
use axum::body::to_bytes;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

/// The most of a plain text that is told.
const LONGEST: usize = 2000;

/// An answer as it is, or an error in plain text as a refusal.
pub async fn errors(response: Response) -> Response {
    let status = response.status();
    let fails = status.is_client_error() || status.is_server_error();
    let is_json = response.headers().get(CONTENT_TYPE).is_some_and(|kind| kind.as_bytes().starts_with(b"application/json"));
    if !fails || is_json {
        return response;
    }
    let text = to_bytes(response.into_body(), LONGEST).await.unwrap_or_default();
    let text = String::from_utf8_lossy(&text);
    let why = if text.is_empty() { "it cannot be read" } else { &text };
    Refusal::new(status, format!("the request was not understood: {why}")).into_response()
}
