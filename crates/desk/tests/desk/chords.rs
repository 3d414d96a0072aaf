//! Where the chords of a tune come from, chords that were taken away and brought back, and a whole measure of hers.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::{Value, json};

/// Four voices, a chord on every beat of the second measure. Our own.
const HYMN: &str = "X:1\nT:The Ferry Waits\nM:4/4\nL:1/4\nQ:1/4=90\nK:C\n\
V:S\nG4|A G F E|D2 C2|]\nV:A\nE4|F D C C|B,2 C2|]\nV:T\nC4|C B, A, G,|G,2 E,2|]\nV:B\nC,4|F,, G,, A,, C,|G,,2 C,2|]\n";

impl Asked {
    /// With the hymn in the place of the tune.
    fn with_hymn() -> Asked {
        let asked = Asked::new();
        std::fs::write(asked.folder.path().join("door.abc"), HYMN).expect("the folder takes a tune");
        asked
    }

    async fn chords_of(&self, measure: usize) -> Value {
        self.get(&format!("/api/tunes/door.abc/measures/{measure}")).await.json()["chords"].clone()
    }

    async fn type_chords(&self, place: &str, chord: Value) -> (StatusCode, String) {
        let seen = self.tune().await["revision"].clone();
        let answer = self.post("/api/tunes/door.abc/chord", &json!({"place": place, "chord": chord, "seen": seen})).await;
        (answer.status, if answer.status == StatusCode::OK { String::new() } else { answer.error() })
    }
}

#[tokio::test]
async fn a_dropped_chord_comes_back_and_goes_again() {
    let asked = Asked::with_hymn();
    let facts = asked.tune().await["report"]["chords"].clone();
    assert_eq!((&facts["from"], &facts["voices"], &facts["a_measure"]), (&json!("voices"), &json!(4), &json!(2)));
    let now = asked.tune().await;
    let mut said = now["remarks"].as_array().expect("remarks").iter().filter_map(Value::as_str);
    let own = "The tune has no chord symbols of its own: ";
    assert!(said.any(|text| text.starts_with(own) && text.ends_with("can be brought back.")), "{}", now["remarks"]);
    let here = asked.chords_of(1).await;
    let dropped = here["dropped"].as_array().expect("a list").clone();
    assert_eq!((&here["text"], dropped.len()), (&json!("F@1 C@4"), 2), "{here}");
    let keep = dropped[0]["keep"].clone();
    assert_eq!((&dropped[0]["chord"], &keep), (&json!("G"), &json!("2@1")));
    assert_eq!(asked.choose("keep", json!([keep])).await.status, StatusCode::OK);
    let here = asked.chords_of(1).await;
    assert!(here["text"].as_str().is_some_and(|t| t.contains("G@2")) && here["kept"] == json!(["2@1"]), "{here}");
    assert_eq!(asked.choose("keep", json!(["2"])).await.status, StatusCode::OK);
    assert_eq!(asked.chords_of(1).await["dropped"], json!([]));
    asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    assert_eq!(asked.chords_of(1).await["text"], "F@1 C@4");
    assert_eq!(asked.choose("keep", json!(["two"])).await.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_source_of_the_chords_is_one_touch() {
    let asked = Asked::with_hymn();
    assert_eq!(asked.choose("chords_from", json!("written")).await.status, StatusCode::OK);
    let now = asked.tune().await;
    assert_eq!((&now["report"]["chords"]["from"], &now["report"]["chords"]["voices"]), (&json!("nowhere"), &json!(4)));
    let none = "The tune has no chord symbols, so the left hand has nothing to play. Its 4 voices can give it chords: \"Chords from its voices\", under Whole tune.";
    assert!(now["remarks"].as_array().is_some_and(|r| r.contains(&json!(none))), "{}", now["remarks"]);
    assert_eq!(asked.choose("chords_from", json!("voices")).await.status, StatusCode::OK);
    assert_eq!(asked.choose("chords_a_measure", json!(1)).await.json()["report"]["chords"]["stand"], json!(3));
    let plain = Asked::new();
    let refused = plain.choose("chords_from", json!("voices")).await;
    assert!(refused.status == StatusCode::UNPROCESSABLE_ENTITY && refused.error().contains("too few voices"), "{}", refused.error());
    assert_eq!(plain.choose("chords_from", json!("mine")).await.status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// Typed in the key of the page and kept whole in the tune's own, or refused with its place and nothing saved.
#[tokio::test]
async fn a_measure_takes_several_chords() {
    let asked = Asked::with_hymn();
    asked.choose("key", json!("D")).await;
    assert_eq!(asked.type_chords("1", json!("G Em A D")).await.0, StatusCode::OK);
    assert_eq!(asked.tune().await["choices"]["chords"], json!({"1": "F Dm G C"}));
    let here = asked.chords_of(1).await;
    assert_eq!((&here["text"], &here["hers"], &here["dropped"]), (&json!("G@1 Em@2 A@3 D@4"), &json!(true), &json!([])));
    let (status, why) = asked.type_chords("1", json!("G@1 Zounds@3")).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && why.starts_with("measure 2, chord 2, \"Zounds@3\": "), "{why}");
    assert_eq!(asked.tune().await["choices"]["chords"], json!({"1": "F Dm G C"}));
    assert_eq!(asked.type_chords("1@0", json!("Bm")).await.0, StatusCode::OK);
    assert_eq!(asked.type_chords("1", json!("G@1 A@3")).await.0, StatusCode::OK);
    assert_eq!(asked.tune().await["choices"]["chords"], json!({"1": "F@1 G@3"}), "the single one is part of the measure");
    assert_eq!(asked.type_chords("1", Value::Null).await.0, StatusCode::OK);
    assert_eq!(asked.tune().await["choices"]["chords"], json!({}));
    assert_eq!(asked.type_chords("77", json!("G")).await, (StatusCode::UNPROCESSABLE_ENTITY, "there is no such measure".into()));
}
