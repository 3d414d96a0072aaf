//! Her usual harp and hands: they hold for tunes in which she chose nothing, and for no other.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::{Value, json};

async fn usual(asked: &Asked) -> Value {
    asked.get("/api/shelf").await.json()["usual"].clone()
}

#[tokio::test]
async fn new_tunes_begin_with_her_harp_and_chosen_ones_stay() {
    let asked = Asked::new();
    asked.post("/api/shelf", &json!({"text": crate::asking::TUNE.replace("Bakery Door", "Harbour Door")})).await;
    asked.choose("fullness", json!([4])).await;
    let mut hers = usual(&asked).await;
    assert_eq!(hers["harp"], json!("lever-34"));
    hers["harp"] = json!("pedal-47");
    hers["player"]["fluency"] = json!("slow");
    assert_eq!(asked.put("/api/usual", &json!({"usual": hers})).await.status, StatusCode::OK);
    let asked = asked.again();
    assert_eq!(usual(&asked).await, hers, "it outlives the program");
    let other = asked.get("/api/tunes/The%20Harbour%20Door.abc").await.json();
    assert_eq!((&other["choices"]["harp"], &other["choices"]["player"]["fluency"]), (&json!("pedal-47"), &json!("slow")));
    assert_eq!(asked.tune().await["choices"]["harp"], json!("lever-34"), "the other tune was chosen for");
    assert!(
        !asked.names().iter().any(|n| n.starts_with("The Harbour Door.abc.")),
        "nothing is written beside a tune that was only looked at"
    );
}

#[tokio::test]
async fn what_cannot_be_is_refused_and_a_mistake_in_the_file_is_said() {
    let asked = Asked::new();
    let before = usual(&asked).await;
    for (field, value) in
        [("harp", json!("../x.toml")), ("harp", json!("lute")), ("concert", json!("500")), ("player", json!({"fluency": "quick"}))]
    {
        let mut hers = before.clone();
        hers[field] = value.clone();
        let refused = asked.put("/api/usual", &json!({"usual": hers})).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{field} {value}");
    }
    std::fs::write(asked.folder.path().join("undersong.toml"), "harp = 3\n").expect("a mistake of hers");
    let shelf = asked.get("/api/shelf").await.json();
    assert!(shelf["usual_mistake"].as_str().is_some_and(|m| m.starts_with("undersong.toml:1:")), "{}", shelf["usual_mistake"]);
    assert_eq!(asked.tune().await["choices"]["harp"], json!("lever-34"), "the tunes can still be opened");
}
