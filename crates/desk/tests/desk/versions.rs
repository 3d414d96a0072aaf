//! Versions of a tune as the page asks for them: a copy, its own choices, a name, one taken away and back, two side by side, levels, one taken home alone.

use crate::asking::{Asked, TUNE};
use axum::http::{Method, StatusCode, header};
use serde_json::{Value, json};

const PUPIL: &str = "/api/tunes/door.abc%3Afor%20the%20pupil";

async fn with_a_pupil() -> Asked {
    let asked = Asked::new();
    let made = asked.post("/api/tunes/door.abc/versions", &json!({"name": "for the pupil"})).await;
    assert_eq!((made.status, made.json()["id"].clone()), (StatusCode::OK, json!("door.abc:for the pupil")));
    asked
}

async fn choose(asked: &Asked, path: &str, name: &str, value: Value) -> Value {
    let mut now = asked.get(path).await.json();
    now["choices"][name] = value;
    let answer = asked.put(&format!("{path}/choices"), &json!({"choices": now["choices"], "seen": now["revision"]})).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", String::from_utf8_lossy(&answer.body));
    answer.json()
}

fn names(facts: &Value) -> Vec<String> {
    facts["versions"].as_array().expect("versions").iter().map(|v| v["name"].as_str().expect("a name").to_owned()).collect()
}

#[tokio::test]
async fn a_version_has_its_own_choices_at_every_address() {
    let asked = with_a_pupil().await;
    let mine = asked.tune().await;
    assert_eq!((mine["version"].clone(), names(&mine)), (json!("mine"), vec!["mine".to_owned(), "for the pupil".to_owned()]));
    let pupil = choose(&asked, PUPIL, "fullness", json!([1])).await;
    assert_eq!((pupil["version"].clone(), pupil["choices"]["fullness"].clone()), (json!("for the pupil"), json!([1])));
    assert_eq!(asked.tune().await["choices"]["fullness"], json!([]));
    let plucks = |sound: Value| sound["plucks"].as_array().expect("plucks").iter().filter(|p| p["hand"] == "left").count();
    let [full, plain] =
        [plucks(asked.get("/api/tunes/door.abc/sound").await.json()), plucks(asked.get(&format!("{PUPIL}/sound")).await.json())];
    assert!(plain < full, "{plain} of the pupil, {full} of mine");
    for rest in ["/page?for=stand", "/check", "/practice", "/keys", "/strings", "/measures/1", "/measures/1/ways", "/text", "/take/midi"] {
        let answer = asked.get(&format!("{PUPIL}{rest}")).await;
        assert_eq!(answer.status, StatusCode::OK, "{rest}: {}", String::from_utf8_lossy(&answer.body));
    }
    let answer = asked.get(&format!("{PUPIL}/take/pdf")).await;
    assert!(answer.headers[header::CONTENT_DISPOSITION].to_str().expect("text").contains("\"The Bakery Door (for the pupil).pdf\""));
    // All of it is in the one file beside the tune, and outlives the program.
    let asked = asked.again();
    assert_eq!(asked.get(PUPIL).await.json()["choices"]["fullness"], json!([1]));
    assert_eq!(
        asked.get("/api/tunes/door.abc%3Anobody").await.error(),
        "there is no version \"nobody\" of this tune: it has \"mine\", \"for the pupil\""
    );
    assert_eq!(asked.get("/api/tunes/door.abc%3Anobody").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn named_taken_away_and_back() {
    let asked = with_a_pupil().await;
    choose(&asked, PUPIL, "octave", json!(-1)).await;
    let named = asked.put(&format!("{PUPIL}/version"), &json!({"name": "for Ann"})).await.json();
    assert_eq!((named["id"].clone(), names(&named)), (json!("door.abc:for Ann"), vec!["mine".to_owned(), "for Ann".to_owned()]));
    let gone = asked.ask(Method::DELETE, "/api/tunes/door.abc%3Afor%20Ann/version", "").await.json();
    assert_eq!((gone["id"].clone(), names(&gone)), (json!("door.abc"), vec!["mine".to_owned()]));
    assert_eq!(asked.tune().await["can_undo"], true);
    let back = asked.post("/api/tunes/door.abc/undo", &json!({})).await.json();
    assert_eq!((back["changed"]["words"].clone(), names(&back).len()), (json!("The version \"for Ann\" is back."), 2));
    let ann = asked.get("/api/tunes/door.abc%3Afor%20Ann").await.json();
    assert_eq!((ann["choices"]["octave"].clone(), ann["can_undo"].clone()), (json!(-1), json!(true)));
    let first = asked.ask(Method::DELETE, "/api/tunes/door.abc/version", "").await;
    assert_eq!((first.status, first.error().contains("stays with the tune")), (StatusCode::UNPROCESSABLE_ENTITY, true));
    let taken = asked.post("/api/tunes/door.abc/versions", &json!({"name": "FOR ANN"})).await;
    assert_eq!(taken.error(), "there is a version \"for Ann\" already: take another name");
}

#[tokio::test]
async fn two_side_by_side() {
    let asked = with_a_pupil().await;
    let same = asked.get("/api/tunes/door.abc/beside/for%20the%20pupil").await.json();
    assert_eq!(
        (same["words"].clone(), same["measures"].clone(), same["chosen"].clone()),
        (json!("The notes are the same."), json!([]), json!([]))
    );
    choose(&asked, PUPIL, "fullness", json!([1])).await;
    choose(&asked, PUPIL, "harp", json!("lever-27")).await;
    let apart = asked.get("/api/tunes/door.abc/beside/for%20the%20pupil").await.json();
    assert_eq!(apart["names"], json!(["mine", "for the pupil"]));
    assert_eq!(apart["chosen"][0], json!({"about": "harp", "each": ["lever harp with 34 strings", "lever harp with 27 strings"]}));
    assert_eq!(apart["chosen"][1], json!({"about": "fullness", "each": ["not chosen", "1"]}));
    let measures = apart["measures"].as_array().expect("measures");
    assert!(!measures.is_empty());
    for measure in measures {
        let index = measure["index"].as_u64().expect("a number");
        let [mine, pupil] = ["/api/tunes/door.abc", PUPIL].map(|path| format!("{path}/measures/{index}"));
        let (mine, pupil) = (asked.get(&mine).await.json(), asked.get(&pupil).await.json());
        assert_ne!(mine["hands"], pupil["hands"], "measure {index} differs");
    }
}

#[tokio::test]
async fn levels_by_one_touch() {
    let asked = Asked::new();
    let made = asked.post("/api/tunes/door.abc/levels", &json!({})).await.json();
    assert!(made["words"].as_str().expect("words").ends_with("no two left hands rub anywhere.\n"), "{made}");
    let together = asked.get("/api/tunes/door.abc/together").await.json();
    let mut levels: Vec<u64> =
        together["versions"].as_array().expect("versions").iter().map(|v| v["level"].as_u64().expect("a level")).collect();
    levels.sort_unstable();
    assert!(levels.len() >= 2 && levels.windows(2).all(|pair| pair[0] < pair[1]), "{together}");
    assert_eq!((together["clashes"].clone(), together["told"].clone()), (json!(0), json!([])));
    // Another chord in one of them, and it is said where.
    let other = made["versions"][1]["id"].as_str().expect("an address").replace(':', "%3A").replace(' ', "%20");
    choose(&asked, &format!("/api/tunes/{other}"), "chords", json!({"1@0": "Am"})).await;
    let together = asked.get("/api/tunes/door.abc/together").await.json();
    let told = together["told"].as_array().expect("clashes").iter().map(|t| t.as_str().unwrap_or_default().to_owned()).collect::<Vec<_>>();
    assert!(told.iter().any(|t| t.starts_with("Measure 2: \"mine\" has C where ") && t.ends_with(" has Am.")), "{told:?}");
}

#[tokio::test]
async fn one_taken_home_alone_opens_elsewhere() {
    let asked = with_a_pupil().await;
    choose(&asked, PUPIL, "fullness", json!([1])).await;
    let alone = asked.get(&format!("{PUPIL}/take/version")).await;
    assert!(alone.headers[header::CONTENT_DISPOSITION].to_str().expect("text").contains("\"The Bakery Door (for the pupil).abc\""));
    let text = String::from_utf8(alone.body).expect("text");
    assert!(text.starts_with(TUNE));
    let elsewhere = Asked::new();
    std::fs::write(elsewhere.folder.path().join("pupil.abc"), &text).expect("the folder takes a tune");
    let there = elsewhere.get("/api/tunes/pupil.abc").await.json();
    assert_eq!(
        (there["version"].clone(), there["choices"]["fullness"].clone(), names(&there).len()),
        (json!("for the pupil"), json!([1]), 1)
    );
    choose(&elsewhere, "/api/tunes/pupil.abc", "fullness", json!([2])).await;
    assert_eq!(
        elsewhere.get("/api/tunes/pupil.abc").await.json()["choices"]["fullness"],
        json!([2]),
        "her own file comes first from then on"
    );
}

#[tokio::test]
async fn what_a_newer_program_wrote_is_left_alone() {
    let asked = Asked::new();
    let file = asked.folder.path().join("door.abc.undersong.toml");
    std::fs::write(&file, "form-of-file = 7\nkey = \"D\"\n").expect("the folder takes a file");
    let tune = asked.tune().await;
    assert!(tune["remarks"][0].as_str().expect("a remark").contains("a newer Undersong (form 7)"));
    assert_eq!(tune["choices"]["key"], "D");
    let refused = asked.choose("octave", json!(1)).await;
    assert_eq!((refused.status, refused.error().contains("nothing was saved")), (StatusCode::UNPROCESSABLE_ENTITY, true));
    assert_eq!(std::fs::read_to_string(&file).expect("it is there"), "form-of-file = 7\nkey = \"D\"\n");
    std::fs::write(&file, "key = \"D\"\nsheen = \"gold\"\n").expect("the folder takes a file");
    assert!(asked.tune().await["remarks"][0].as_str().expect("a remark").contains("\"sheen\""));
    assert_eq!(asked.choose("octave", json!(1)).await.status, StatusCode::OK);
    assert!(std::fs::read_to_string(&file).expect("it is there").contains("sheen = \"gold\""));
}

#[tokio::test]
async fn what_is_practised_in_a_version_is_the_tunes() {
    let asked = with_a_pupil().await;
    let practised = json!({"at": "roots", "steps": {"roots": "passed"}});
    let kept = asked.put(&format!("{PUPIL}/practice?at=1795737600000&day=2026-11-27"), &practised).await;
    assert_eq!(kept.status, StatusCode::OK, "{}", String::from_utf8_lossy(&kept.body));
    assert_eq!(asked.get("/api/tunes/door.abc/practice").await.json()["practised"]["steps"]["roots"], "passed");
    assert_eq!(asked.get(&format!("{PUPIL}/practice")).await.json()["practised"]["steps"]["roots"], "passed");
}
