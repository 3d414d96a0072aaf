//! The diary's addresses: what was practised and what needs a visit, a diary of another program or a newer one, and everything taken along.

use crate::asking::Asked;
use axum::http::{Method, StatusCode};
use desk::practice::diary::FILE;
use rusqlite::Connection;
use serde_json::{Value, json};

/// Noon in Greenwich of a day in November 2026, in milliseconds since 1970: the first was a Sunday, 20758 days after 1 January 1970.
fn noon(day: i64) -> i64 {
    (20_757 + day) * 86_400_000 + 43_200_000
}

fn stay(day: i64, title: &str, seconds: u32) -> Value {
    json!({"day": format!("2026-11-{day:02}"), "began": noon(day), "tune": "door.abc", "tune_title": "The Bakery Door", "what": "step", "title": title,
        "seconds": seconds, "beats": 84, "percent": 80})
}

/// An hour later.
fn later(mut stay: Value) -> Value {
    stay["began"] = json!(stay["began"].as_i64().expect("a moment") + 3_600_000);
    stay
}

async fn diary(asked: &Asked, day: i64) -> Value {
    asked.get(&format!("/api/diary?day=2026-11-{day:02}")).await.json()
}

async fn mark(asked: &Asked, day: i64, state: &str) {
    let path = format!("/api/tunes/door.abc/practice?at={}&day=2026-11-{day:02}", noon(day));
    let answer = asked.put(&path, &json!({"steps": {"roots": state}})).await;
    assert_eq!(answer.status, StatusCode::OK);
}

#[tokio::test]
async fn a_tune_needs_a_visit_after_pauses_that_grow() {
    let asked = Asked::new();
    assert_eq!(diary(&asked, 2).await["due"], json!([]));
    assert!(!asked.folder.path().join(FILE).exists(), "looking makes no diary");
    assert_eq!(asked.put("/api/diary/stay", &stay(2, "Roots", 30)).await.status, StatusCode::OK);
    assert_eq!(diary(&asked, 5).await["due"], json!([]), "half a minute is no visit");
    // The same stay, longer by now.
    asked.put("/api/diary/stay", &stay(2, "Roots", 720)).await;
    let facts = diary(&asked, 2).await;
    assert_eq!(facts["coming"], json!([{"tune": "door.abc", "title": "The Bakery Door", "pause": 1, "last": "today", "due": "tomorrow"}]));
    assert_eq!(facts["days"][0]["tunes"][0]["stays"][0]["words"], "Roots: 12 min, last at 84 beats a minute (80 % of the tune's tempo)");
    asked.put("/api/diary/stay", &later(stay(2, "Roots", 60))).await;
    let again = diary(&asked, 2).await;
    assert_eq!(again["days"][0]["tunes"][0]["stays"].as_array().map(Vec::len), Some(1), "the same thing once more is told with it");
    assert_eq!(again["days"][0]["tunes"][0]["stays"][0]["words"], "Roots: 13 min, last at 84 beats a minute (80 % of the tune's tempo)");
    asked.post("/api/diary/take-out", &later(stay(2, "Roots", 60))).await;
    assert_eq!((&facts["days"][0]["words"], &facts["days"][0]["length"]), (&json!("Today"), &json!("12 min")));
    assert_eq!(diary(&asked, 3).await["due"][0]["due"], "today");
    mark(&asked, 3, "passed").await;
    let facts = diary(&asked, 6).await;
    assert_eq!(
        facts["due"],
        json!([{"tune": "door.abc", "title": "The Bakery Door", "pause": 2, "last": "3 days ago", "due": "yesterday"}])
    );
    assert_eq!(facts["weeks"]["said"], "From 28 September to 6 November: 2 days with practice, 12 min in all, 1 step passed.");
    assert_eq!(facts["weeks"]["rows"][5]["days"][1], json!({"minutes": 0, "passed": 1}));
    mark(&asked, 6, "not yet").await;
    assert_eq!(diary(&asked, 6).await["coming"][0]["pause"], 1);
    let rest = |resting: bool| json!({"tune": "door.abc", "title": "The Bakery Door", "resting": resting});
    asked.put("/api/diary/rest", &rest(true)).await;
    let facts = diary(&asked, 20).await;
    assert_eq!((&facts["due"], facts["resting"][0]["tune"].as_str()), (&json!([]), Some("door.abc")));
    asked.put("/api/diary/rest", &rest(false)).await;
    assert_eq!(diary(&asked, 20).await["due"][0]["tune"], "door.abc");
    // In the bin nothing asks for a visit; it comes back with its tune.
    asked.ask(Method::DELETE, "/api/tunes/door.abc", "").await;
    assert_eq!(diary(&asked, 20).await["due"], json!([]));
    asked.post("/api/bin/door.abc/back", &json!({})).await;
    assert_eq!(diary(&asked, 20).await["due"][0]["tune"], "door.abc");
    asked.post("/api/diary/take-out", &stay(2, "Roots", 1)).await;
    let days = diary(&asked, 20).await["days"].as_array().expect("days").clone();
    assert!(days.iter().all(|day| day["tunes"][0]["stays"] == json!([])), "{days:?}");
}

#[tokio::test]
async fn what_is_no_entry_is_refused() {
    let asked = Asked::new();
    for (field, value, why) in [
        ("day", json!("2026-02-30"), "\"2026-02-30\" is not the day of this moment: expected a day as 2026-11-26"),
        ("day", json!("2026-11-05"), "\"2026-11-05\" is not the day of this moment: expected a day as 2026-11-26"),
        ("seconds", json!(0), "how long was it? Between a minute and a day is written down"),
        ("what", json!("sleep"), "\"sleep\" is nothing that is practised: expected step, drill, sight, cues, recording, elsewhere"),
        ("beats", json!(5000), "a tempo is between 1 and 1000"),
    ] {
        let mut bad = stay(2, "Roots", 60);
        bad[field] = value;
        let refused = asked.put("/api/diary/stay", &bad).await;
        assert_eq!((refused.status, refused.error()), (StatusCode::UNPROCESSABLE_ENTITY, why.to_owned()));
    }
    assert_eq!(asked.get("/api/diary?day=today").await.error(), "\"today\" is no day: expected one as 2026-11-26");
    assert!(!asked.folder.path().join(FILE).exists());
}

#[tokio::test]
async fn a_newer_diary_is_left_alone_and_so_is_what_is_none() {
    let asked = Asked::new();
    asked.put("/api/diary/stay", &stay(2, "Roots", 720)).await;
    let path = asked.folder.path().join(FILE);
    Connection::open(&path).expect("the diary").pragma_update(None, "user_version", 2).expect("its form");
    let newer = std::fs::read(&path).expect("the diary");
    let said = "undersong-diary.sqlite was written by a newer Undersong (form 2; this one knows form 1): it is left as it is, and nothing that you practise is written down. Open it with the newer one";
    assert_eq!(asked.get("/api/diary?day=2026-11-02").await.error(), said);
    assert_eq!(asked.put("/api/diary/stay", &stay(2, "Roots", 721)).await.error(), said);
    // The practice room is open all the same, and says so.
    let room = asked.get("/api/tunes/door.abc/practice").await.json();
    assert_eq!((&room["trouble"], room["steps"][0]["name"].as_str()), (&json!(said), Some("roots")));
    assert_eq!(std::fs::read(&path).expect("the diary"), newer);
    for (other, begins) in [(&b"My dear diary"[..], true), (b"", false)] {
        std::fs::write(&path, other).expect("a file");
        let answer = asked.put("/api/diary/stay", &stay(2, "Roots", 60)).await;
        assert_eq!(answer.status == StatusCode::UNPROCESSABLE_ENTITY, begins, "{}", String::from_utf8_lossy(&answer.body));
        assert_eq!(std::fs::read(&path).expect("a file") == other, begins, "what is no diary is left as it is; an empty file becomes one");
    }
}

#[tokio::test]
async fn a_copy_is_the_same_diary_on_another_machine() {
    let asked = Asked::new();
    asked.put("/api/diary/stay", &stay(2, "Roots", 720)).await;
    mark(&asked, 2, "passed").await;
    let other = Asked::new();
    std::fs::copy(asked.folder.path().join(FILE), other.folder.path().join(FILE)).expect("a copy");
    assert_eq!(diary(&other, 3).await, diary(&asked, 3).await);
    assert_eq!(other.get("/api/tunes/door.abc/practice").await.json()["steps"][0]["state"], "passed");
    let bytes = std::fs::read(other.folder.path().join(FILE)).expect("the file");
    let path = asked.folder.path().display().to_string();
    assert!(!bytes.windows(path.len()).any(|part| part == path.as_bytes()), "no place of a machine stands in it");
}

#[tokio::test]
async fn everything_goes_along_and_comes_back() {
    let asked = Asked::new();
    asked.choose("tempo", json!("72")).await;
    asked.put("/api/diary/stay", &stay(2, "Roots", 720)).await;
    let along = asked.get("/api/export").await;
    assert!(along.status == StatusCode::OK && along.headers["content-type"] == "application/zip");
    let other = Asked::new();
    std::fs::write(other.folder.path().join("door.abc"), "X:1\nK:D\nD4|\n").expect("another tune of this name");
    let bring = async |how: &str| other.ask(Method::POST, &format!("/api/import?bring={how}"), along.body.clone()).await.json();
    let would = bring("look").await;
    assert_eq!((&would["comparison"]["other"], would["comparison"]["new"].as_array().map(Vec::len)), (&json!(["door.abc"]), Some(2)));
    assert!(!other.folder.path().join(FILE).exists());
    bring("new").await;
    assert!(other.get("/api/tunes/door.abc/text").await.json()["text"].as_str().is_some_and(|t| t.contains("K:D")));
    assert_eq!(diary(&other, 3).await["due"][0]["tune"], "door.abc");
    bring("all").await;
    assert_eq!(other.get("/api/export").await.body, along.body);
    let refused = other.ask(Method::POST, "/api/import?bring=look", "no archive").await;
    assert!(refused.status == StatusCode::UNPROCESSABLE_ENTITY && refused.error().starts_with("this is no zip archive that can be read"));
}
