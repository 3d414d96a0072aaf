//! One measure heard with a figure tried in it: the same plucks as if it were taken, and nothing is changed by hearing.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::{Value, json};

impl Asked {
    async fn heard(&self, asked: &str) -> Value {
        self.get(&format!("/api/tunes/door.abc/measures/{asked}")).await.json()
    }

    /// The plucks of the first pass of the second measure in the whole sound.
    async fn second_measure(&self) -> Vec<Value> {
        let sound = self.get("/api/tunes/door.abc/sound").await.json();
        sound["plucks"].as_array().expect("a list").iter().filter(|p| p["pass"] == 1).cloned().collect()
    }
}

fn left(plucks: &Value) -> Vec<Value> {
    plucks.as_array().expect("a list").iter().filter(|p| p["hand"] == "left").map(|p| p["sample"].clone()).collect()
}

#[tokio::test]
async fn as_it_stands_it_is_that_stretch_of_the_whole() {
    let asked = Asked::new();
    let heard = asked.heard("1/hear").await;
    assert_eq!(heard["plucks"].as_array().expect("a list"), &asked.second_measure().await);
    // Four beats at 90 a minute are 2.666,666,7 s; its two ends are whole microseconds, told as fractions of a second.
    let length = heard["to"].as_f64().expect("seconds") - heard["from"].as_f64().expect("seconds");
    assert!((2.666_665..3.1).contains(&length), "{length}: the measure, and what a roll begins earlier");
    assert_eq!(heard["of"], "");
    let samples = heard["samples"].as_array().expect("a list");
    assert!(heard["plucks"].as_array().expect("a list").iter().all(|p| samples.contains(&p["sample"])));
}

#[tokio::test]
async fn a_figure_is_heard_as_it_would_be_taken() {
    let asked = Asked::new();
    let ways = asked.get("/api/tunes/door.abc/measures/1").await.json()["decisions"][0]["alternatives"].clone();
    let way = ways.as_array().expect("a list").iter().find(|w| !w["notes"].as_str().unwrap_or("").is_empty()).expect("another way");
    let figure = way["figure"].as_str().expect("a name");
    let now = asked.tune().await;
    let stands = asked.heard("1/hear").await;
    let heard = asked.heard(&format!("1/hear?figure={figure}")).await;
    assert_ne!(left(&heard["plucks"]), left(&stands["plucks"]));
    assert_eq!((asked.tune().await, asked.names()), (now, vec!["door.abc".to_owned()]), "nothing was changed");
    assert_eq!(asked.choose("holds", json!({"2": figure})).await.status, StatusCode::OK);
    assert_eq!(heard["plucks"].as_array().expect("a list"), &asked.second_measure().await);
}

/// The tune is repeated: each measure is played twice, and heard as it comes first.
#[tokio::test]
async fn the_first_time_a_measure_is_played() {
    let asked = Asked::new();
    std::fs::write(asked.folder.path().join("door.abc"), "X:1\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n|:\"C\"c4|\"F\"A4:|\n").expect("written");
    let heard = asked.heard("1/hear").await;
    assert!(heard["plucks"].as_array().is_some_and(|p| !p.is_empty() && p.iter().all(|p| p["pass"] == 1)), "{heard}");
}

#[tokio::test]
async fn what_cannot_be_heard_is_refused() {
    let asked = Asked::new();
    for (path, status) in [("99/hear", 404), ("99/hear?figure=drone", 404), ("1/hear?figure=no-such-figure", 422), ("x/hear", 400)] {
        assert_eq!(asked.get(&format!("/api/tunes/door.abc/measures/{path}")).await.status, status, "{path}");
    }
}
