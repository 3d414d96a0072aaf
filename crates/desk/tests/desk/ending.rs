//! The end of the program, asked for on the page: only by our own page, which says so in so many words.

use crate::asking::{Asked, with_pass};
use axum::body::Body;
use axum::http::{Method, StatusCode};
use serde_json::json;
use std::time::Duration;
use tokio::time::timeout;

/// A wish that was given is heard at once; nothing is waited for.
const MOMENT: Duration = Duration::ZERO;

#[tokio::test]
async fn the_page_ends_the_program_and_says_where_everything_is() {
    let asked = Asked::new();
    for (method, status) in [(Method::GET, StatusCode::METHOD_NOT_ALLOWED), (Method::PUT, StatusCode::METHOD_NOT_ALLOWED)] {
        assert_eq!(asked.ask(method, "/api/end", Body::empty()).await.status, status);
    }
    // A page of another site that her browser shows too.
    let foreign = with_pass(Method::POST, "/api/end").header("host", "127.0.0.1:4711").header("origin", "http://example.org");
    assert_eq!(asked.send(foreign.body(Body::empty()).expect("a request")).await.status, StatusCode::FORBIDDEN);
    assert!(timeout(MOMENT, asked.desk.end.asked()).await.is_err(), "nobody who may has asked");
    let answer = asked.post("/api/end", &json!({})).await;
    assert_eq!((answer.status, answer.json()), (StatusCode::OK, json!({"folder": asked.desk.shelf.folder().display().to_string()})));
    assert!(timeout(MOMENT, asked.desk.end.asked()).await.is_ok(), "whoever keeps the server open hears of it");
}
