//! Files that are too large or no ordinary files: refused in words, waited for by nobody, and nobody is locked out by what the program itself has saved.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::{Value, json};

#[tokio::test]
async fn choices_that_could_not_be_read_again_are_not_saved() {
    let asked = Asked::new();
    asked.choose("octave", json!(1)).await;
    let names = asked.names();
    // Chord symbols for measures that the tune does not have, which are kept for a longer text: each fills at least ten bytes, and 256 KiB are read.
    let chords: serde_json::Map<String, Value> = (10_000..40_000).map(|measure| (format!("{measure}@0"), json!("C"))).collect();
    let answer = asked.choose("chords", json!(chords)).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let expected = "your choices for this tune would fill more than 256 KiB, the most that is read again: nothing was saved; \
        take some changes by hand, chord symbols, held figures or versions back";
    assert_eq!(answer.error(), expected);
    assert_eq!(asked.names(), names);
    assert_eq!(asked.again().tune().await["choices"]["octave"], 1);
}

#[cfg(unix)]
#[tokio::test]
async fn a_pipe_in_her_folder_is_waited_for_by_nobody() {
    let pipes = ["figures.txt", "mine.toml", "undersong.toml", "large.sf2", "pipe.abc"];
    let asked = Asked::new();
    let pipe = |name: &str| {
        let made = std::process::Command::new("mkfifo").arg(asked.folder.path().join(name)).status().expect("the system can make pipes");
        assert!(made.success());
    };
    pipes.iter().for_each(|name| pipe(name));
    let shelf = asked.get("/api/shelf").await.json();
    let ids: Vec<&str> = shelf["tunes"].as_array().expect("tunes").iter().filter_map(|t| t["id"].as_str()).collect();
    assert_eq!(ids, ["door.abc"]);
    assert!(shelf["usual_mistake"].as_str().is_some_and(|m| m.contains("is no ordinary file")), "{shelf}");
    assert!(!shelf["harps"].to_string().contains("mine.toml"), "{shelf}");
    let tune = asked.get("/api/tunes/door.abc").await;
    let folder = asked.folder.path().canonicalize().expect("the folder is there");
    let figures = format!("{} is no ordinary file (a pipe or a device): expected a file of figures", folder.join("figures.txt").display());
    assert_eq!((tune.status, tune.error()), (StatusCode::UNPROCESSABLE_ENTITY, figures));
    std::fs::remove_file(asked.folder.path().join("figures.txt")).expect("removed");
    assert_eq!(asked.choose("harp", json!("mine.toml")).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(asked.choose("sound", json!("large.sf2")).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    ["door.abc.undersong.toml", "door.abc.undersong-history.json"].iter().for_each(|name| pipe(name));
    assert_eq!(asked.get("/api/tunes/door.abc").await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(asked.get("/api/tunes/pipe.abc").await.status, StatusCode::NOT_FOUND);
}
