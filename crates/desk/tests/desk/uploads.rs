//! Taking tunes in: by text and by file, with mistakes, too large, broken.

use crate::asking::{Answer, Asked, TUNE, request};
use axum::body::Body;
use axum::http::{Method, StatusCode};
use desk::server::news::News;
use formats::read::LARGEST_FILE;
use serde_json::json;

async fn file(asked: &Asked, name: &str, bytes: &[u8]) -> Answer {
    asked.send(request(Method::POST, "/api/shelf").header("x-name", name).body(Body::from(bytes.to_vec())).expect("a request")).await
}

#[tokio::test]
async fn a_tune_comes_in_by_text_and_nothing_is_overwritten() {
    let asked = Asked::new();
    for name in ["The Bakery Door.abc", "The Bakery Door 2.abc"] {
        let answer = asked.post("/api/shelf", &json!({"text": TUNE})).await;
        assert_eq!((answer.status, &answer.json()["id"], &answer.json()["problems"]), (StatusCode::OK, &json!(name), &json!([])));
    }
    let tunes = asked.get("/api/shelf").await.json()["tunes"].clone();
    assert_eq!(
        (tunes.as_array().map(Vec::len), &tunes[1]["title"], &tunes[1]["key"]),
        (Some(3), &json!("The Bakery Door"), &json!("G major"))
    );
}

#[tokio::test]
async fn a_book_comes_in_as_its_tunes_and_says_how_far_it_is() {
    let asked = Asked::new();
    let mut news = asked.desk.listen();
    let book: String = (1..=3).map(|n| format!("X:{n}\nT:Quay {n}\nM:4/4\nK:C\n\"C\"C4 D4|\n\n")).collect();
    let answer = file(&asked, "quays.abc", book.as_bytes()).await.json();
    assert_eq!((&answer["id"], &answer["ids"]), (&json!("Quay 1.abc"), &json!(["Quay 1.abc", "Quay 2.abc", "Quay 3.abc"])));
    assert!(matches!(news.try_recv(), Ok(News::Working { done: 1, of: 3, .. })));
    assert_eq!(asked.get("/api/tunes/Quay%203.abc").await.json()["title"], "Quay 3");
}

#[tokio::test]
async fn a_tune_with_mistakes_shows_them_and_loses_nothing() {
    let asked = Asked::new();
    let text = "X:1\nT:Half a Tune\nK:C\n\"C\"C2 ?? D\n";
    let answer = asked.post("/api/shelf", &json!({"text": text})).await.json();
    let problems = answer["problems"].as_array().expect("a list");
    assert!(problems.iter().any(|p| p["line"] == 4 && p["message"].is_string()), "{problems:?}");
    let id = answer["id"].as_str().expect("an id").replace(' ', "%20");
    assert_eq!(asked.get(&format!("/api/tunes/{id}/text")).await.json()["text"], text);
    let no_tune = asked.post("/api/shelf", &json!({"text": "only some words"})).await;
    assert_eq!((no_tune.status, &no_tune.json()["problems"][0]["severity"]), (StatusCode::OK, &json!("error")));
}

#[tokio::test]
async fn names_of_files_are_made_safe() {
    let asked = Asked::new();
    for (name, id) in [
        ("..%2F..%2Fevil.abc", "evil.abc"),
        ("C%3A%5CTunes%5CReel.abc", "C Tunes Reel.abc"),
        (".hidden.abc", "hidden.abc"),
        ("%C3%92ran.abc", "Òran.abc"),
        ("door.abc", "door 2.abc"),
    ] {
        let answer = file(&asked, name, TUNE.as_bytes()).await;
        assert_eq!((answer.status, &answer.json()["id"]), (StatusCode::OK, &json!(id)), "{name}");
    }
    assert_eq!(asked.names().len(), 6);
}

#[tokio::test]
async fn what_is_no_tune_is_refused() {
    let asked = Asked::new();
    for (name, bytes, status) in [
        ("a.exe", TUNE.as_bytes(), 415),
        ("a.abc", b"\x7fELF\x01\x00\x00".as_slice(), 415),
        ("a.mxl", b"PK\x03\x04 broken", 415),
        ("a.abc", b" \n ", 422),
        ("a.abc", b"", 422),
    ] {
        assert_eq!(file(&asked, name, bytes).await.status, status, "{name}");
    }
    for body in ["", "{", "[]", "{\"name\": 3}", "null"] {
        assert_eq!(asked.ask(Method::POST, "/api/shelf", body.to_owned()).await.status, StatusCode::BAD_REQUEST, "{body}");
    }
    assert_eq!(asked.names(), ["door.abc"]);
}

#[tokio::test]
async fn what_is_too_large_is_refused() {
    let asked = Asked::new();
    for size in [LARGEST_FILE + 1, LARGEST_FILE + 1024 * 1024] {
        let answer = file(&asked, "large.abc", &vec![b'%'; size]).await;
        assert_eq!(
            (answer.status, answer.error()),
            (StatusCode::PAYLOAD_TOO_LARGE, "the file is larger than 8 MiB, the most that is read".into())
        );
    }
    let text = json!({"text": "x".repeat(LARGEST_FILE + 1024 * 1024), "seen": ""});
    assert_eq!(asked.put("/api/tunes/door.abc/text", &text).await.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(asked.names(), ["door.abc"]);
}

#[tokio::test]
async fn a_tune_is_tried_as_she_types() {
    let asked = Asked::new();
    let drawn = asked.post("/api/try", &json!({"text": TUNE})).await.json();
    assert!(drawn["svgs"][0].as_str().is_some_and(|svg| svg.contains("id=\"m3\"")));
    let half = asked.post("/api/try", &json!({"text": "X:1\nK:"})).await;
    assert_eq!((half.status, &half.json()["svgs"]), (StatusCode::OK, &json!([])));
}

#[tokio::test]
async fn a_book_in_her_folder_is_taken_apart() {
    let asked = Asked::new();
    let book = ["Quay", "Slip", "Crane"].map(|title| TUNE.replace("The Bakery Door", title)).join("\n");
    std::fs::write(asked.folder.path().join("session.abc"), &book).expect("a book copied into the folder");
    let shelf = asked.get("/api/shelf").await.json();
    let of = |id: &str| shelf["tunes"].as_array().expect("tunes").iter().find(|t| t["id"] == json!(id)).map(|t| t["book"].clone());
    assert_eq!((of("session.abc"), of("door.abc")), (Some(json!(3)), Some(json!(0))));
    let opened = asked.post("/api/tunes/session.abc/open-book", &json!({})).await;
    assert_eq!(opened.json()["ids"], json!(["Quay.abc", "Slip.abc", "Crane.abc"]));
    assert_eq!(asked.names(), ["Crane.abc", "Quay.abc", "Slip.abc", "bin", "door.abc"]);
    assert_eq!(std::fs::read_to_string(asked.folder.path().join("bin/session.abc")).expect("the book"), book, "as it was");
    let one = asked.post("/api/tunes/door.abc/open-book", &json!({})).await;
    assert_eq!(one.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(one.error().contains("holds one tune"), "{}", one.error());
}
