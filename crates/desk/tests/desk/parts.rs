//! Scores of several parts: which there are, which is taken, choosing one, and one that is gone.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::{Value, json};

/// A score with one measure of one whole note in each part.
fn score(parts: &[(&str, char)]) -> String {
    let listed: String = parts
        .iter()
        .enumerate()
        .map(|(i, (name, _))| format!("<score-part id=\"P{i}\"><part-name>{name}</part-name></score-part>"))
        .collect();
    let part = |(i, (_, step)): (usize, &(&str, char))| {
        let note = format!("<note><pitch><step>{step}</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note>");
        let signs = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>";
        format!("<part id=\"P{i}\"><measure number=\"1\">{signs}{note}</measure></part>")
    };
    let music: String = parts.iter().enumerate().map(part).collect();
    format!("<?xml version=\"1.0\"?><score-partwise version=\"4.0\"><part-list>{listed}</part-list>{music}</score-partwise>")
}

impl Asked {
    /// With a score of these parts in the place of the tune "door.musicxml".
    fn scored(&self, parts: &[(&str, char)]) {
        std::fs::write(self.folder.path().join("door.musicxml"), score(parts)).expect("the folder takes a score");
    }

    async fn score(&self) -> Value {
        self.get("/api/tunes/door.musicxml").await.json()
    }

    async fn choose_part(&self, part: &str) -> (StatusCode, Value) {
        let mut now = self.score().await;
        now["choices"]["part"] = part.into();
        let answer = self.put("/api/tunes/door.musicxml/choices", &json!({"choices": now["choices"], "seen": now["revision"]})).await;
        (answer.status, answer.json())
    }

    async fn melody(&self) -> Value {
        self.get("/api/tunes/door.musicxml/measures/0").await.json()["hands"][0]["right"][0]["pitch"].clone()
    }
}

#[tokio::test]
async fn a_part_is_chosen_by_its_name() {
    let asked = Asked::new();
    asked.scored(&[("Flute", 'C'), ("Oboe", 'D')]);
    let now = asked.score().await;
    assert_eq!((&now["parts"], &now["part"], &now["choices"]["part"]), (&json!(["Flute", "Oboe"]), &json!("Flute"), &Value::Null));
    let said = "The melody is taken from \"Flute\", one of 2 parts; you can choose another under Whole tune.";
    assert!(now["remarks"].as_array().is_some_and(|r| r.contains(&json!(said))), "{}", now["remarks"]);
    assert_eq!(asked.melody().await, "C5");
    let (status, now) = asked.choose_part("Oboe").await;
    assert_eq!((status, &now["part"], asked.melody().await), (StatusCode::OK, &json!("Oboe"), json!("D5")));
}

/// Two parts of one name: the second goes by what tells it apart.
#[tokio::test]
async fn parts_of_the_same_name_are_told_apart() {
    let asked = Asked::new();
    asked.scored(&[("Violin", 'C'), ("Violin", 'D')]);
    assert_eq!(asked.score().await["parts"], json!(["Violin", "P1"]));
    assert_eq!((asked.choose_part("P1").await.0, asked.melody().await), (StatusCode::OK, json!("D5")));
}

#[tokio::test]
async fn a_part_that_is_not_there_is_refused() {
    let asked = Asked::new();
    asked.scored(&[("Flute", 'C'), ("Oboe", 'D')]);
    let (status, answer) = asked.choose_part("Horn").await;
    let why = "There is no part \"Horn\" with a melody in this file: \"Flute\" is taken. Choose one of Flute, Oboe under Whole tune.";
    assert_eq!((status, &answer["error"]), (StatusCode::UNPROCESSABLE_ENTITY, &json!(why)));
    assert_eq!(asked.score().await["choices"]["part"], Value::Null);
}

#[tokio::test]
async fn a_chosen_part_that_is_gone_is_said_and_the_tune_still_shown() {
    let asked = Asked::new();
    asked.scored(&[("Flute", 'C'), ("Oboe", 'D')]);
    asked.choose_part("Oboe").await;
    asked.scored(&[("Flute", 'E'), ("Horn", 'F')]);
    let now = asked.score().await;
    let why = "There is no part \"Oboe\" with a melody in this file: \"Flute\" is taken. Choose one of Flute, Horn under Whole tune.";
    assert_eq!((&now["remarks"][0], &now["part"], asked.melody().await), (&json!(why), &json!("Flute"), json!("E5")));
    assert_eq!((asked.choose_part("Horn").await.0, asked.melody().await), (StatusCode::OK, json!("F5")));
}

#[tokio::test]
async fn a_tune_of_one_part_has_no_choice_of_them() {
    let now = Asked::new().tune().await;
    assert_eq!((&now["parts"], &now["part"]), (&json!([]), &Value::Null));
}

/// Voices of a tune in ABC are parts (ABC 2.1, chapter 7).
#[tokio::test]
async fn voices_are_parts() {
    let asked = Asked::new();
    let text = "X:1\nT:Quay\nM:4/4\nL:1/4\nV:1 name=\"Upper\"\nV:2\nK:C\nV:1\n\"C\"c4|\nV:2\nG4|\n";
    std::fs::write(asked.folder.path().join("door.abc"), text).expect("written");
    let now = asked.tune().await;
    assert_eq!((&now["parts"], &now["part"]), (&json!(["Upper", "2"]), &json!("Upper")));
    assert_eq!(asked.choose("part", json!("2")).await.json()["part"], "2");
}
