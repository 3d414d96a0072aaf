//! A disk that is full or may not be written: a clear message, and what was there stays.

use crate::asking::{Asked, TUNE};
use axum::body::Body;
use axum::http::{Method, StatusCode};
use desk::save::Disk;
use serde_json::json;
use std::fs::File;
use std::io::{Error, ErrorKind, Write};

/// Takes half of what is written, then fails.
struct Failing(ErrorKind);

impl Disk for Failing {
    fn fill(&self, file: &mut File, bytes: &[u8]) -> Result<(), Error> {
        file.write_all(&bytes[..bytes.len() / 2])?;
        Err(Error::from(self.0))
    }
}

async fn every_save(kind: ErrorKind) -> Vec<(StatusCode, String)> {
    let asked = Asked::on(Box::new(Failing(kind)));
    let text = asked.get("/api/tunes/door.abc/text").await.json();
    let answers = [
        asked.choose("octave", json!(1)).await,
        asked.post("/api/shelf", &json!({"text": TUNE})).await,
        asked.put("/api/tunes/door.abc/text", &json!({"text": "X:1\nK:C\nC4|\n", "seen": text["seen"]})).await,
    ];
    assert_eq!(asked.names(), ["door.abc"], "nothing half-written is left");
    assert_eq!(std::fs::read_to_string(asked.folder.path().join("door.abc")).expect("the tune"), TUNE);
    assert_eq!(asked.tune().await["choices"]["octave"], 0);
    answers.iter().map(|answer| (answer.status, answer.error())).collect()
}

#[tokio::test]
async fn a_full_disk() {
    for (status, error) in every_save(ErrorKind::StorageFull).await {
        assert_eq!(status, StatusCode::INSUFFICIENT_STORAGE);
        assert!(error.starts_with("cannot save ") && error.ends_with(": the disk is full"), "{error}");
    }
}

#[tokio::test]
async fn a_folder_that_may_not_be_written() {
    for kind in [ErrorKind::PermissionDenied, ErrorKind::ReadOnlyFilesystem] {
        for (status, error) in every_save(kind).await {
            assert_eq!(status, StatusCode::FORBIDDEN);
            assert!(error.contains("permission denied") || error.contains("read-only"), "{error}");
        }
    }
}

#[tokio::test]
async fn a_tune_that_went_away_meanwhile() {
    let asked = Asked::new();
    std::fs::remove_file(asked.folder.path().join("door.abc")).expect("removed outside");
    for (method, path) in [(Method::GET, ""), (Method::GET, "/page"), (Method::POST, "/undo"), (Method::DELETE, "")] {
        let answer = asked.ask(method, &format!("/api/tunes/door.abc{path}"), Body::empty()).await;
        assert_eq!((answer.status, answer.error()), (StatusCode::NOT_FOUND, "there is no tune \"door.abc\" on the shelf".into()));
    }
}
