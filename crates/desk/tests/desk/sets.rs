//! The addresses of sets: made, put in order, changed, followed to the end, printed, taken away.

use crate::asking::Asked;
use axum::http::{Method, StatusCode};
use serde_json::{Value, json};

/// Three tunes beside the Bakery Door in G: two airs in D and C, a reel in D. Each plucks what its key has.
fn shelf() -> Asked {
    let asked = Asked::new();
    let tune = |title: &str, kind: &str, key: &str, notes: &str| {
        let text = format!("X:1\nT:{title}\nR:{kind}\nM:4/4\nL:1/4\nQ:1/4=90\nK:{key}\n{notes}\n");
        let file = format!("{}.abc", title.to_lowercase().replace(' ', "-"));
        std::fs::write(asked.folder.path().join(file), text).expect("the folder takes a tune");
    };
    tune("The Gate", "air", "D", "\"D\"D F A d|\"A\"c A E C|\"G\"B G d B|\"D\"d4|");
    tune("The Wall", "air", "C", "\"C\"C E G c|\"F\"f a f c|\"G\"B G d B|\"C\"c4|");
    tune("The Rope", "reel", "D", "\"D\"d f a f|\"A\"e c A c|\"G\"d B G B|\"D\"d4|");
    asked
}

fn entries(ids: &[&str]) -> Value {
    json!(ids.iter().map(|id| json!({"tune": id})).collect::<Vec<_>>())
}

async fn made(asked: &Asked, ids: &[&str], order: &str) -> Value {
    let answer = asked.post("/api/sets", &json!({"set": {"title": "Evening", "tunes": entries(ids)}, "order": order})).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", String::from_utf8_lossy(&answer.body));
    answer.json()
}

fn titles(facts: &Value) -> Vec<&str> {
    facts["rows"].as_array().expect("rows").iter().map(|row| row["title"].as_str().expect("a title")).collect()
}

const EVENING: &str = "/api/sets/Evening.undersong-set.toml";
const ALL: [&str; 4] = ["the-wall.abc", "the-gate.abc", "door.abc", "the-rope.abc"];

#[tokio::test]
async fn a_set_is_made_in_the_best_order_and_kept() {
    let asked = shelf();
    let given = made(&asked, &ALL, "given").await;
    assert_eq!(titles(&given), ["The Wall", "The Gate", "The Bakery Door", "The Rope"]);
    assert_eq!(given["better"], true, "{}", given["order"]);
    let facts = asked.post(&format!("{EVENING}/order"), &json!({"seen": given["seen"]})).await.json();
    // By hand: G stands between C and D, for it has F♯ of the one and C of the other; the two in D are parted by nothing or stand at its side.
    assert_eq!((facts["better"].clone(), facts["rows"].as_array().map(Vec::len)), (json!(false), Some(4)));
    let moves = |facts: &Value| facts["rows"].as_array().expect("rows").iter().filter_map(|r| r["between"]["moves"].as_u64()).sum::<u64>();
    assert!(moves(&facts) < moves(&given), "{} {}", moves(&facts), moves(&given));
    let again = asked.again();
    let mut kept = again.get(EVENING).await.json();
    assert_eq!(kept, facts, "it outlives the program");
    kept["seen"] = json!("");
    let list = again.get("/api/sets").await.json();
    assert_eq!(list["sets"], json!([{"name": "Evening.undersong-set.toml", "title": "Evening", "tunes": 4, "mistake": null}]));
}

#[tokio::test]
async fn changes_are_kept_and_links_lead_over() {
    let asked = shelf();
    let facts = made(&asked, &["the-gate.abc", "door.abc"], "given").await;
    let mut set = facts["set"].clone();
    set["tunes"][0]["link"] = json!(2);
    set["tunes"][1]["times"] = json!(2);
    let changed = asked.put(EVENING, &json!({"set": set, "seen": facts["seen"]})).await.json();
    let step = &changed["rows"][1]["between"];
    assert_eq!(step["changes"], "C♮5 C♮4", "{step}");
    assert!(step["link"]["words"].as_str().is_some_and(|w| w.starts_with("link of 2 measures: ")), "{step}");
    assert!(changed["rows"][1]["facts"].as_array().expect("facts").iter().any(|f| f.as_str().is_some_and(|f| f.starts_with("twice "))));
    let link = asked.get(&format!("{EVENING}/links/1?for=stand")).await.json();
    assert_eq!(link["measures"].as_array().map(Vec::len), Some(2));
    let pdf = asked.get(&format!("{EVENING}/take/links")).await;
    assert_eq!(pdf.headers["content-type"], "application/pdf");
    let none = asked.get(&format!("{EVENING}/links/0")).await;
    assert_eq!((none.status, none.error()), (StatusCode::NOT_FOUND, "there is no link to this tune".to_owned()));
    // Who saw the older state saves nothing.
    let late = asked.put(EVENING, &json!({"set": facts["set"], "seen": facts["seen"]})).await;
    assert_eq!((late.status, late.json()["rows"][1]["between"]["changes"].clone()), (StatusCode::CONFLICT, json!("C♮5 C♮4")));
    let gone = asked.ask(Method::DELETE, EVENING, "").await;
    assert_eq!(gone.status, StatusCode::OK);
    let missing = asked.get(EVENING).await;
    assert_eq!((missing.status, missing.error().starts_with("there is no set ")), (StatusCode::NOT_FOUND, true));
    assert!(asked.names().contains(&"the-gate.abc".to_owned()), "its tunes stay");
}

#[tokio::test]
async fn tunes_for_a_time() {
    let asked = shelf();
    let wished = |minutes: u32, mood: &str| json!({"minutes": minutes, "mood": mood});
    let quiet = asked.post("/api/sets/fill", &wished(1, "quiet")).await.json();
    let chosen: Vec<&str> = quiet["tunes"].as_array().expect("tunes").iter().map(|t| t["tune"].as_str().expect("an id")).collect();
    assert!(chosen.iter().all(|id| ["the-gate.abc", "the-wall.abc", "door.abc"].contains(id)) && !chosen.is_empty(), "{chosen:?}");
    assert!(quiet["words"].as_str().is_some_and(|w| w.contains("nearest to 1:00")), "{}", quiet["words"]);
    for (minutes, mood, why) in
        [(0, "any", "0 minutes: expected 1 to 240"), (5, "loud", "music that is \"loud\": expected one of any, quiet, lively")]
    {
        let refused = asked.post("/api/sets/fill", &wished(minutes, mood)).await;
        assert_eq!((refused.status, refused.error()), (StatusCode::UNPROCESSABLE_ENTITY, why.to_owned()));
    }
}

#[tokio::test]
async fn a_tune_that_is_gone_or_on_another_harp_keeps_its_place() {
    let asked = shelf();
    std::fs::write(asked.folder.path().join("door.abc.undersong.toml"), "harp = \"pedal-47\"\n").expect("choices");
    made(&asked, &["the-gate.abc", "door.abc", "the-wall.abc"], "given").await;
    std::fs::remove_file(asked.folder.path().join("the-wall.abc")).expect("it goes");
    let facts = asked.get(EVENING).await.json();
    let problem = |at: usize| facts["rows"][at]["problem"].as_str().unwrap_or_default().to_owned();
    assert_eq!(problem(0), "");
    assert!(problem(1).starts_with("it is arranged for another harp (a pedal harp with 47 strings)"), "{}", problem(1));
    assert_eq!(problem(2), "there is no tune \"the-wall.abc\" on the shelf");
}

#[tokio::test]
async fn what_cannot_be_is_refused() {
    let asked = shelf();
    let refused = asked.post("/api/sets", &json!({"set": {"tunes": [{"tune": "door.abc", "link": 9}]}, "order": "given"})).await;
    let why = "a link of 9 measures after door.abc: expected 0 (none) to 4";
    assert_eq!((refused.status, refused.error()), (StatusCode::UNPROCESSABLE_ENTITY, why.to_owned()));
    let unknown = asked.post("/api/sets", &json!({"set": {"colour": 1}, "order": "given"})).await;
    assert_eq!(unknown.status, StatusCode::BAD_REQUEST);
    for name in ["..%2Fdoor.undersong-set.toml", "door.abc", ".undersong-set.toml"] {
        assert_eq!(asked.get(&format!("/api/sets/{name}")).await.status, StatusCode::NOT_FOUND, "{name}");
    }
    std::fs::write(asked.folder.path().join("a.undersong-set.toml"), "tunes = 3\n").expect("a mistake of hers");
    let list = asked.get("/api/sets").await.json();
    assert!(list["sets"][0]["mistake"].as_str().is_some_and(|m| m.starts_with("a.undersong-set.toml:1:")), "{list}");
}
