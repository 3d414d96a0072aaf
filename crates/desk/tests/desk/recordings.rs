//! A recording of a tune: listened to and let go, places kept beside the tune, found again, forgotten; the tune's own sound is the recording.

use crate::asking::{Asked, request};
use axum::body::Body;
use axum::http::{Method, StatusCode};
use serde_json::{Value, json};

const AT: &str = "/api/tunes/door.abc/recording";
const KEPT: &str = "door.abc.undersong-recording.json";

impl Asked {
    async fn wav(&self) -> Vec<u8> {
        self.get("/api/tunes/door.abc/take/wav").await.body
    }

    /// Sends a recording as the page does, and gives its mark.
    async fn sent(&self, bytes: Vec<u8>) -> String {
        let asked = request(Method::POST, AT).header("x-name", "from%20a%20friend.wav").body(Body::from(bytes)).expect("a request");
        let answer = self.send(asked).await;
        assert_eq!((answer.status, answer.json()["name"].clone()), (StatusCode::OK, json!("from a friend.wav")));
        answer.json()["mark"].as_str().expect("a mark").to_owned()
    }

    async fn places(&self, mark: &str, given: Value) -> crate::asking::Answer {
        self.post("/api/tunes/door.abc/places", &json!({"name": "from a friend.wav", "mark": mark, "given": given})).await
    }
}

/// Four measures of four beats at 90 a minute: 2.667 s each.
#[tokio::test]
async fn places_are_found_and_kept_and_the_recording_is_not() {
    let asked = Asked::new();
    let mark = asked.sent(asked.wav().await).await;
    assert_eq!(asked.names(), ["door.abc"], "nothing of a recording is written");
    let found = asked.places(&mark, json!([])).await.json();
    let passes = found["kept"]["passes"].as_array().expect("passes").clone();
    assert_eq!(passes.iter().map(|p| p["page"].clone()).collect::<Vec<_>>(), [0, 1, 2, 3]);
    for (i, pass) in passes.iter().enumerate() {
        // Half a second of silence comes first.
        let begins = pass["beats"][0][1].as_f64().expect("seconds");
        assert!((begins - 0.5 - 2.667 * i as f64).abs() < 0.1, "measure {} at {begins}", i + 1);
    }
    assert_eq!(asked.names(), ["door.abc", KEPT]);
    let again = asked.again();
    assert_eq!(again.get(AT).await.json()["kept"]["passes"], json!(passes), "the places outlive the program");
    let gone = again.places(&mark, json!([])).await;
    assert_eq!((gone.status, gone.error().as_str()), (StatusCode::GONE, "Undersong has not heard this recording since it was started"));
    assert_eq!(again.ask(Method::DELETE, AT, Body::empty()).await.json()["kept"], Value::Null);
    assert_eq!(again.names(), ["door.abc"]);
}

#[tokio::test]
async fn a_first_beat_of_hers_is_kept_to() {
    let asked = Asked::new();
    let mark = asked.sent(asked.wav().await).await;
    let found = asked.places(&mark, json!([{"measure": 2, "seconds": 5.5}])).await.json();
    assert_eq!((&found["kept"]["passes"][2]["beats"][0][1], &found["kept"]["passes"][2]["sure"]), (&json!(5.5), &json!("given")));
    assert_eq!(found["kept"]["given"], json!([{"measure": 2, "number": 3, "seconds": 5.5}]));
    let refused = asked.places(&mark, json!([{"measure": 2, "seconds": 1.5}, {"measure": 3, "seconds": 1.9}])).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.error().starts_with("the places you gave cannot all be right: "), "{}", refused.error());
    assert_eq!(asked.get(AT).await.json()["kept"]["given"], found["kept"]["given"], "what was kept stays");
}

#[tokio::test]
async fn the_page_in_another_key_is_told_from_the_recording() {
    let asked = Asked::new();
    let mark = asked.sent(asked.wav().await).await;
    assert_eq!(asked.places(&mark, json!([])).await.json()["kept"]["above"], 0);
    assert_eq!(asked.choose("key", json!("A")).await.status, StatusCode::OK);
    let kept = asked.get(AT).await.json()["kept"].clone();
    assert_eq!((&kept["above"], &kept["key_there"]), (&json!(-2), &json!("G major")));
    assert!(kept["said"].as_array().expect("sentences").contains(&json!("It sounds 2 half steps below what is written.")));
}

#[tokio::test]
async fn places_of_another_text_are_stale() {
    let asked = Asked::new();
    let mark = asked.sent(asked.wav().await).await;
    asked.places(&mark, json!([])).await;
    std::fs::write(asked.folder.path().join("door.abc"), crate::asking::TUNE.replace("|\"G\"G4|", "|\"G\"G2 B2|")).expect("another text");
    let kept = asked.get(AT).await.json()["kept"].clone();
    assert_eq!((&kept["stale"], &kept["passes"]), (&json!(true), &json!([])));
}

#[tokio::test]
async fn a_recording_in_the_folder_is_read_there() {
    let asked = Asked::new();
    let wav = asked.wav().await;
    std::fs::write(asked.folder.path().join("door.WAV"), &wav).expect("a recording");
    std::fs::write(asked.folder.path().join("notes.txt"), "none").expect("another file");
    assert_eq!(asked.get(AT).await.json()["folder"], json!(["door.WAV"]));
    let played = asked.get("/api/recordings/door.WAV").await;
    assert_eq!((played.headers["content-type"].to_str().expect("text"), played.body), ("audio/wav", wav));
    let found = asked.post("/api/tunes/door.abc/places", &json!({"name": "door.WAV", "in_folder": true})).await.json();
    assert_eq!(found["kept"]["recording"]["in_folder"], true);
    for name in ["notes.txt", "none.wav", "..%2Fdoor.wav", "door.abc"] {
        assert_eq!(asked.get(&format!("/api/recordings/{name}")).await.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
    }
}

#[tokio::test]
async fn what_is_no_recording_is_refused() {
    let asked = Asked::new();
    let answer = asked.ask(Method::POST, AT, b"RIFF but no more".to_vec()).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(answer.error(), "the recording is no recording that can be read: expected WAV, MP3, FLAC or Ogg Vorbis");
    assert_eq!(asked.get("/api/tunes/none.abc/recording").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn what_is_too_large_is_refused() {
    let asked = Asked::new();
    let answer = asked.ask(Method::POST, AT, vec![0; desk::recordings::MOST_SENT + 1]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(answer.error(), "the recording is larger than 200 MiB, the most that is sent");
}

#[tokio::test]
async fn places_go_to_the_bin_with_their_tune() {
    let asked = Asked::new();
    let mark = asked.sent(asked.wav().await).await;
    asked.places(&mark, json!([])).await;
    assert_eq!(asked.ask(Method::DELETE, "/api/tunes/door.abc", Body::empty()).await.status, StatusCode::OK);
    assert!(asked.folder.path().join("bin").join(KEPT).exists() && asked.names() == ["bin"]);
}
