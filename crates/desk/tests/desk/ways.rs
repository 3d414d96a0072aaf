//! Other ways for a phrase as the page asks for them: what is offered is what is played when it is taken, what was said to change changes, and looking changes nothing.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::{Value, json};

const AT: &str = "/api/tunes/door.abc";

impl Asked {
    async fn ways(&self, index: usize) -> Value {
        self.get(&format!("{AT}/measures/{index}/ways")).await.json()
    }

    /// The first sounding of every pluck of the left hand: measure, place, string.
    async fn left(&self) -> Vec<String> {
        let sound = self.get(&format!("{AT}/sound")).await.json();
        plucks(&sound)
            .into_iter()
            .filter(|p| p["hand"] == "left")
            .map(|p| format!("{} {} {}", p["measure"], p["at"], p["sample"]))
            .collect()
    }
}

fn plucks(sound: &Value) -> Vec<Value> {
    sound["plucks"].as_array().expect("a list").clone()
}

fn all(value: &Value) -> Vec<Value> {
    value.as_array().expect("a list").clone()
}

/// What the page sends to try a way for the whole stretch.
fn tried(tune: &Value, offered: &Value, way: &Value) -> Value {
    let mut choices = tune["choices"].clone();
    choices["ways"] = way["ways"].clone();
    json!({"choices": choices, "seen": tune["revision"], "from": offered["from"], "to": offered["to"]})
}

#[tokio::test]
async fn what_is_offered_is_different_drawn_and_told_without_numbers() {
    let asked = Asked::new();
    let offered = asked.ways(1).await;
    assert_eq!((offered["from"].as_u64(), offered["to"].as_u64(), offered["phrase"].as_str()), (Some(0), Some(4), Some("measures 1-4")));
    let ways = all(&offered["ways"]);
    assert!((3..=5).contains(&ways.len()), "{}", ways.len());
    for way in &ways {
        assert!(way["svg"].as_str().is_some_and(|svg| svg.starts_with("<svg")));
        assert_eq!(way["ways"].as_object().map(serde_json::Map::len), Some(4));
        let worth = way["worth"].as_str().unwrap_or_default();
        assert!(["as good", "a little less good", "clearly less good", "would clash"].contains(&worth), "{worth}");
    }
    for (i, way) in ways.iter().enumerate() {
        assert!(ways[i + 1..].iter().all(|other| other["ways"] != way["ways"]));
    }
    assert_eq!(asked.names(), ["door.abc"], "nothing is saved");
}

/// The page asks by itself what else would change; where she was faster that is no failure.
#[tokio::test]
async fn a_question_about_a_tune_as_it_was_is_stale() {
    let asked = Asked::new();
    let (tune, offered) = (asked.tune().await, asked.ways(1).await);
    let way = all(&offered["ways"]).into_iter().next().expect("another way");
    let wish = tried(&tune, &offered, &way);
    assert_eq!(asked.choose("octave", json!(1)).await.status, StatusCode::OK);
    let answer = asked.post(&format!("{AT}/would"), &wish).await;
    assert_eq!((answer.status, answer.json()), (StatusCode::OK, json!({"stale": true})));
}

#[tokio::test]
async fn what_was_told_to_change_changes_and_one_step_brings_it_back() {
    let asked = Asked::new();
    let (tune, before) = (asked.tune().await, asked.left().await);
    let offered = asked.ways(1).await;
    for way in all(&offered["ways"]) {
        let wish = tried(&tune, &offered, &way);
        let would = asked.post(&format!("{AT}/would"), &wish).await.json();
        assert_eq!((&asked.tune().await["revision"], &would["outside"]), (&tune["revision"], &json!([])), "all four measures are meant");
        assert!(would["words"].as_str().is_some_and(|w| w.starts_with("Nothing else changes")), "{would}");
        let heard = asked.post(&format!("{AT}/hear"), &wish).await.json();
        let taken = asked.put(&format!("{AT}/choices"), &wish).await.json();
        assert!(taken["changed"]["measures"].as_array().is_some_and(|m| !m.is_empty()), "{}", taken["changed"]);
        assert!(taken["changed"]["words"].as_str().is_some_and(|w| w.contains("differ")));
        let sound = asked.get(&format!("{AT}/sound")).await.json();
        assert_eq!(plucks(&heard), plucks(&sound), "four measures are the whole tune");
        let undone = asked.post(&format!("{AT}/undo"), &json!({})).await.json();
        assert_eq!(undone["changed"]["measures"], taken["changed"]["measures"]);
        assert_eq!(asked.left().await, before);
    }
}

/// One measure of the phrase is taken alone: exactly its line is in the file, readable, and its plucks are played.
#[tokio::test]
async fn a_way_for_one_measure_is_a_line_in_the_file() {
    let asked = Asked::new();
    let offered = asked.ways(1).await;
    let way = all(&offered["ways"]).into_iter().find(|way| way["here"] == true).expect("one that differs here");
    let line = way["ways"]["2"].as_str().expect("a line").to_owned();
    assert_eq!(asked.choose("ways", json!({"2": line})).await.status, StatusCode::OK);
    let file = std::fs::read_to_string(asked.folder.path().join("door.abc.undersong.toml")).expect("it is kept");
    assert!(file.contains(&format!("[ways]\n2 = \"{line}\"\n")), "{file}");
    let strings: Vec<String> = line
        .split(", ")
        .flat_map(|p| p.split(' ').nth(1).unwrap_or_default().trim_start_matches('~').split('+'))
        .map(|p| format!("\"{p}\""))
        .collect();
    let played: Vec<String> =
        asked.left().await.into_iter().filter_map(|p| Some(p.strip_prefix("1 ")?.split(' ').nth(1)?.to_owned())).collect();
    assert_eq!(played, strings);
    let measure = asked.get(&format!("{AT}/measures/1")).await.json();
    assert_eq!(measure["decisions"][0]["held"], true);
    assert!(measure["decisions"][0]["alternatives"].as_array().is_some_and(|a| !a.is_empty()), "what it is weighed against");
}

#[tokio::test]
async fn what_cannot_be_tried_is_refused() {
    let asked = Asked::new();
    let tune = asked.tune().await;
    let (offered, way) = (json!({"from": 0, "to": 4}), json!({"ways": {"2": "0 H2"}}));
    let refused = asked.post(&format!("{AT}/would"), &tried(&tune, &offered, &way)).await;
    assert_eq!(refused.error(), "way \"2 = 0 H2\": expected a measure and what is plucked when, like 5 = \"0 G2, 1 D3+B3\"");
    let nowhere = tried(&tune, &json!({"from": 3, "to": 3}), &json!({"ways": {}}));
    assert_eq!(asked.post(&format!("{AT}/hear"), &nowhere).await.status, StatusCode::NOT_FOUND);
    assert_eq!(asked.get(&format!("{AT}/measures/99/ways")).await.status, StatusCode::NOT_FOUND);
}
