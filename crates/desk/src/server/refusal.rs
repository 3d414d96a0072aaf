//! Why a request came to nothing, as the page is told: a status, a sentence, what to do, and where another tab was faster, how it stands now.

use crate::drawing::NoPage;
use crate::failure::{Failure, Hindrance};
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

/// What most addresses answer.
pub type Answer = Result<Json<Value>, Refusal>;

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
        let (status, hint) = match &failure {
            Failure::Missing(_) => (StatusCode::NOT_FOUND, None),
            Failure::Wrong(_) | Failure::InFile { .. } | Failure::NoPage(NoPage::TooLong(_) | NoPage::Failed) => {
                (StatusCode::UNPROCESSABLE_ENTITY, None)
            }
            Failure::File { why: Hindrance::DiskFull | Hindrance::DiskFullOrBroken, .. } => {
                (StatusCode::INSUFFICIENT_STORAGE, Some("make room on the disk, then choose again; nothing that was saved is lost"))
            }
            Failure::File { why: Hindrance::NotAllowed | Hindrance::ReadOnly, .. } => {
                (StatusCode::FORBIDDEN, Some("open a folder in which you may write, or ask for the right to write in this one"))
            }
            Failure::File { .. }
            | Failure::NotWrittenOver { .. }
            | Failure::NoPage(NoPage::Refused(_) | NoPage::NoEngraver(_))
            | Failure::World(_)
            | Failure::Said { .. } => (StatusCode::INTERNAL_SERVER_ERROR, None),
        };
        let refusal = Refusal::new(status, failure.to_string());
        hint.map_or(refusal.clone(), |hint| refusal.hint(hint))
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
