//! The bin: out of the shelf and back, with what was chosen, and nothing overwritten or deleted.

use crate::asking::{Answer, Asked, TUNE};
use axum::body::Body;
use axum::http::{Method, StatusCode};
use desk::server::news::News;
use serde_json::{Value, json};

impl Asked {
    async fn to_bin(&self, id: &str) -> Answer {
        self.ask(Method::DELETE, &format!("/api/tunes/{id}"), Body::empty()).await
    }

    async fn back(&self, name: &str) -> Answer {
        self.ask(Method::POST, &format!("/api/bin/{name}/back"), Body::empty()).await
    }

    /// The names of the tunes in the bin, in no order.
    async fn binned(&self) -> Vec<String> {
        let tunes = self.get("/api/bin").await.json()["tunes"].as_array().expect("a list").clone();
        let mut names: Vec<String> = tunes.iter().map(|t| t["name"].as_str().expect("a name").to_owned()).collect();
        names.sort();
        names
    }

    fn another(&self, text: &str) {
        std::fs::write(self.folder.path().join("door.abc"), text).expect("a new tune of the same name");
    }
}

#[tokio::test]
async fn a_tune_goes_to_the_bin_with_its_choices_and_nothing_is_deleted() {
    let asked = Asked::new();
    assert_eq!(asked.get("/api/bin").await.json(), json!({"tunes": []}));
    asked.choose("octave", json!(1)).await;
    for _ in 0..2 {
        assert_eq!(asked.to_bin("door.abc").await.status, StatusCode::OK);
        asked.another("X:1\nT:Another\nK:C\nC4|\n");
    }
    let bin = asked.folder.path().join("bin");
    for name in ["door.abc", "door 2.abc", "door.abc.undersong.toml", "door.abc.undersong-history.json"] {
        assert!(bin.join(name).exists(), "{name}");
    }
    assert_eq!(asked.binned().await, ["door 2.abc", "door.abc"]);
    let tunes = asked.get("/api/bin").await.json()["tunes"].clone();
    let door: &Value = tunes.as_array().expect("a list").iter().find(|t| t["name"] == "door.abc").expect("in the bin");
    assert_eq!((&door["title"], &door["key"], &door["meter"]), (&json!("The Bakery Door"), &json!("G major"), &json!("4/4")));
    // 2001-09-09: a billion seconds since 1970 are long past.
    assert!(door["binned"].as_u64().is_some_and(|s| s > 1_000_000_000), "{door}");
}

#[tokio::test]
async fn a_tune_comes_back_with_its_choices_and_undo_steps() {
    let asked = Asked::new();
    asked.choose("octave", json!(1)).await;
    let before = asked.tune().await;
    asked.to_bin("door.abc").await;
    let mut news = asked.desk.listen();
    let answer = asked.back("door.abc").await;
    assert_eq!((answer.status, answer.json()), (StatusCode::OK, json!({"id": "door.abc"})));
    assert!(matches!(news.try_recv(), Ok(News::Shelf)));
    let now = asked.tune().await;
    assert_eq!((&now["choices"], &now["revision"], &now["can_undo"]), (&before["choices"], &before["revision"], &json!(true)));
    assert!(asked.binned().await.is_empty());
}

#[tokio::test]
async fn where_the_name_is_taken_it_comes_back_under_another() {
    let asked = Asked::new();
    asked.choose("octave", json!(1)).await;
    asked.to_bin("door.abc").await;
    let other = "X:1\nT:Another\nK:C\n\"C\"C4|\n";
    asked.another(other);
    assert_eq!(asked.back("door.abc").await.json(), json!({"id": "door 2.abc"}));
    assert_eq!(std::fs::read_to_string(asked.folder.path().join("door.abc")).expect("the new tune"), other);
    assert_eq!(std::fs::read_to_string(asked.folder.path().join("door 2.abc")).expect("the old tune"), TUNE);
    assert_eq!(asked.get("/api/tunes/door%202.abc").await.json()["choices"]["octave"], 1);
    assert_eq!(asked.tune().await["choices"]["octave"], 0);
}

#[tokio::test]
async fn choices_left_alone_are_not_overwritten_either() {
    let asked = Asked::new();
    asked.choose("octave", json!(1)).await;
    let bin = asked.folder.path().join("bin");
    std::fs::create_dir(&bin).expect("the bin");
    std::fs::write(bin.join("door.abc.undersong.toml"), "octave = 2\n").expect("choices of a tune that is gone");
    asked.to_bin("door.abc").await;
    assert_eq!(std::fs::read_to_string(bin.join("door.abc.undersong.toml")).expect("left"), "octave = 2\n");
    assert!(bin.join("door 2.abc.undersong.toml").exists());
}

#[tokio::test]
async fn names_stay_in_the_bin() {
    let asked = Asked::new();
    asked.to_bin("door.abc").await;
    std::fs::write(asked.folder.path().join("bin/notes.txt"), "no tune").expect("a text in the bin");
    for name in ["..%2Fdoor.abc", "..", "notes.txt", ".door.abc", "%2Fetc%2Fpasswd", "bin%5Cdoor.abc", "window.abc"] {
        assert_eq!(asked.back(name).await.status, StatusCode::NOT_FOUND, "{name}");
    }
    assert_eq!((asked.binned().await, asked.names()), (vec!["door.abc".to_owned()], vec!["bin".to_owned()]));
}

#[cfg(unix)]
#[tokio::test]
async fn a_link_out_of_the_bin_is_no_tune_in_it() {
    let asked = Asked::new();
    let bin = asked.folder.path().join("bin");
    std::fs::create_dir(&bin).expect("the bin");
    std::os::unix::fs::symlink(asked.folder.path().join("door.abc"), bin.join("link.abc")).expect("a link");
    assert!(asked.binned().await.is_empty());
    assert_eq!(asked.back("link.abc").await.status, StatusCode::NOT_FOUND);
}
