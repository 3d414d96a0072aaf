//! Why a request came to nothing, as the page is told: a status, a sentence, what to do, and where another tab was faster, how it stands now.

use crate::failure::Failure;
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    pub status: StatusCode,
    pub error: String,
    pub hint: Option<String>,
    /// The newer state, for a conflict.
    pub now: Option<Value>,
}

impl Refusal {
    pub fn new(status: StatusCode, error: impl Into<String>) -> Refusal {
        Refusal { status, error: error.into(), hint: None, now: None }
    }

    pub fn hint(self, hint: &str) -> Refusal {
        Refusal { hint: Some(hint.into()), ..self }
    }

    pub fn missing(what: &str) -> Refusal {
        Refusal::new(StatusCode::NOT_FOUND, format!("there is no {what}"))
    }

    /// Something changed meanwhile; the answer holds the newer state.
    pub fn conflict(what: &str, now: Value) -> Refusal {
        Refusal { now: Some(now), ..Refusal::new(StatusCode::CONFLICT, what) }
    }
}

impl From<Failure> for Refusal {
    fn from(failure: Failure) -> Refusal {
        match failure {
            Failure::Wrong(text)
                if ["there is no tune ", "there is no set ", "there is no version "].iter().any(|start| text.starts_with(start)) =>
            {
                Refusal::new(StatusCode::NOT_FOUND, text)
            }
            Failure::Wrong(text) => Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, text),
            Failure::World(text) if text.contains("the disk is full") => Refusal::new(StatusCode::INSUFFICIENT_STORAGE, text)
                .hint("make room on the disk, then choose again; nothing that was saved is lost"),
            Failure::World(text) if text.contains("permission denied") || text.contains("read-only") => {
                Refusal::new(StatusCode::FORBIDDEN, text)
                    .hint("open a folder in which you may write, or ask for the right to write in this one")
            }
            Failure::World(text) => Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, text),
            Failure::Said { .. } => Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, "Undersong could not do this"),
        }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut body = match self.now {
            Some(Value::Object(now)) => Value::Object(now),
            _ => json!({}),
        };
        body["error"] = self.error.into();
        body["hint"] = self.hint.into();
        (self.status, Json(body)).into_response()
    }
}
