//! The practice room's addresses: the ladder with its pages and sounds, drills, what was passed, sheets to read at sight.

use crate::asking::Asked;
use axum::http::{Method, StatusCode};
use serde_json::{Value, json};

/// On a Thursday.
const KEEP: &str = "/api/tunes/door.abc/practice?at=1795687200000&day=2026-11-26";

async fn room(asked: &Asked) -> Value {
    asked.get("/api/tunes/door.abc/practice").await.json()
}

fn names(room: &Value) -> Vec<String> {
    room["steps"].as_array().expect("steps").iter().map(|s| s["name"].as_str().expect("a name").to_owned()).collect()
}

#[tokio::test]
async fn every_step_has_its_page_and_its_sound() {
    let asked = Asked::new();
    let facts = room(&asked).await;
    let steps = names(&facts);
    assert_eq!(steps.first().map(String::as_str), Some("roots"));
    assert_eq!(steps.last().map(String::as_str), Some("free"));
    for step in facts["steps"].as_array().expect("steps") {
        let path = format!("/api/tunes/door.abc/practice/steps/{}", step["name"].as_str().expect("a name"));
        let sound = asked.get(&format!("{path}/sound")).await.json();
        assert!(sound["plucks"].as_array().is_some_and(|p| !p.is_empty()), "{step}");
        if step["page"] != "cues" {
            let page = asked.get(&format!("{path}/page?for=worktable")).await.json();
            assert_eq!(page["measures"].as_array().map(Vec::len), Some(4), "{step}");
        }
    }
    // Roots under four measures: a string for each, and the melody above them.
    let roots = asked.get("/api/tunes/door.abc/practice/steps/roots/sound").await.json();
    let left = roots["plucks"].as_array().expect("plucks").iter().filter(|p| p["hand"] == "left").count();
    assert_eq!(left, 4);
    let refused = asked.get("/api/tunes/door.abc/practice/steps/nonsense/page").await;
    assert_eq!((refused.status, refused.error()), (StatusCode::NOT_FOUND, "there is no such step".to_owned()));
}

#[tokio::test]
async fn what_was_passed_outlives_the_program_and_goes_with_the_tune() {
    let asked = Asked::new();
    let practised = json!({"at": "open-fifths", "steps": {"roots": "passed", "open-fifths": "not yet"}});
    let facts = asked.put(KEEP, &practised).await.json();
    assert_eq!((&facts["steps"][0]["state"], &facts["steps"][1]["state"]), (&json!("passed"), &json!("not yet")));
    let asked = asked.again();
    assert_eq!(room(&asked).await["practised"]["at"], "open-fifths");
    assert_eq!(asked.ask(Method::DELETE, "/api/tunes/door.abc", "").await.status, StatusCode::OK);
    assert_eq!(asked.post("/api/bin/door.abc/back", &json!({})).await.status, StatusCode::OK);
    assert_eq!(room(&asked).await["practised"]["steps"]["roots"], "passed");
}

#[tokio::test]
async fn a_teacher_changes_the_ladder() {
    let asked = Asked::new();
    let own = names(&room(&asked).await);
    let added = json!({"name": "hum", "title": "Hum the bass", "words": "Hum the lowest strings.", "pass": "Once.", "page_of": "roots"});
    let changes = json!({"order": ["free", "hum"], "without": ["open-fifths"], "added": [added]});
    let facts = asked.put(KEEP, &changes).await.json();
    assert_eq!(names(&facts)[..2], ["free", "hum"]);
    assert!(!names(&facts).contains(&"open-fifths".to_owned()) && names(&facts).len() == own.len());
    assert!(facts["left_out"].as_array().expect("a list").iter().any(|l| l["name"] == "open-fifths"));
    let page = asked.get("/api/tunes/door.abc/practice/steps/hum/page").await.json();
    assert_eq!(page["measures"].as_array().map(Vec::len), Some(4));
    for (bad, why) in [
        (json!({"steps": {"roots": "perhaps"}}), "step roots: \"perhaps\": expected passed or not yet"),
        (json!({"added": [{"name": "x", "title": " "}]}), "a step of your own has no title: give it one"),
    ] {
        let refused = asked.put(KEEP, &bad).await;
        assert_eq!((refused.status, refused.error()), (StatusCode::UNPROCESSABLE_ENTITY, why.to_owned()));
    }
}

#[tokio::test]
async fn drills_lie_inside_the_tune() {
    let asked = Asked::new();
    let facts = room(&asked).await;
    let drills = facts["drills"].as_array().expect("drills");
    assert!(drills.iter().any(|d| d["kind"] == "change") && drills.iter().any(|d| d["kind"] == "find-the-shape"));
    for drill in drills {
        assert!(drill["first"].as_u64() <= drill["last"].as_u64() && drill["last"].as_u64() < Some(4), "{drill}");
        for shape in drill["shapes"].as_array().expect("shapes") {
            assert!(!shape["strings"].as_array().expect("strings").is_empty() && !shape["plucks"].as_array().expect("plucks").is_empty());
        }
    }
}

#[tokio::test]
async fn sheets_come_back_by_their_numbers() {
    let asked = Asked::new();
    let levels = asked.get("/api/sight").await.json();
    assert_eq!(levels["levels"].as_array().map(Vec::len), Some(5));
    let (one, again) = (asked.get("/api/sight/2/17/page").await.json(), asked.get("/api/sight/2/17/page").await.json());
    assert_eq!(one, again);
    assert_ne!(one["svgs"], asked.get("/api/sight/2/18/page").await.json()["svgs"]);
    let sound = asked.get("/api/sight/2/17/sound").await.json();
    assert!(sound["plucks"].as_array().expect("plucks").iter().all(|p| p["hand"] == "right"));
    assert_eq!(asked.get("/api/sight/2/17/take").await.headers["content-type"], "application/pdf");
    let refused = asked.get("/api/sight/9/1/page").await;
    assert_eq!((refused.status, refused.error()), (StatusCode::UNPROCESSABLE_ENTITY, "there is no level 9: expected 1 to 5".to_owned()));
}
