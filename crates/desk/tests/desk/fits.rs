//! How tunes fit, kept from one start to the next, for the tunes as they stand.

use crate::asking::Asked;
use desk::save::Disk;
use desk::server::fits;
use desk::server::news::News;
use serde_json::{Value, json};
use std::fs::File;
use std::io::{Error, ErrorKind};

const KEPT: &str = ".undersong-fits.json";

struct Full;

impl Disk for Full {
    fn fill(&self, _: &mut File, _: &[u8]) -> Result<(), Error> {
        Err(Error::from(ErrorKind::StorageFull))
    }
}

impl Asked {
    /// The tunes of the shelf as they are told first after a start.
    async fn fits_at_first(&self) -> Vec<Value> {
        fits::start(&self.desk);
        self.fits().await
    }

    async fn fits(&self) -> Vec<Value> {
        let tunes = self.get("/api/shelf").await.json()["tunes"].as_array().expect("a list").clone();
        tunes.into_iter().map(|tune| tune["fits"].clone()).collect()
    }

    /// The same when the work in the background rests.
    async fn fits_at_last(&self) -> Vec<Value> {
        let mut news = self.desk.listen();
        let first = self.fits_at_first().await;
        while first.iter().any(|f| f["state"] == "working") {
            if matches!(news.recv().await.expect("the thread lives"), News::Working { done, of, .. } if done == of) {
                break;
            }
        }
        self.fits().await
    }

    fn kept(&self) -> Value {
        serde_json::from_slice(&std::fs::read(self.folder.path().join(KEPT)).expect("the file")).expect("JSON")
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.folder.path().join(name), text).expect("written");
    }
}

fn ready(sentence: &str) -> Value {
    json!({"state": "ready", "sentence": sentence})
}

#[tokio::test]
async fn it_is_known_at_once_after_a_restart() {
    let asked = Asked::new();
    let found = asked.fits_at_last().await;
    assert_eq!(found, [ready("as written")]);
    assert_eq!(asked.again().fits_at_first().await, found);
}

/// Said by the file and not worked out: the sentence is one that no tune would get.
#[tokio::test]
async fn another_version_or_a_broken_file_asks_anew() {
    let asked = Asked::new();
    asked.fits_at_last().await;
    let mut kept = asked.kept();
    let revision = asked.tune().await["revision"].as_str().expect("a text").to_owned();
    kept["fits"][revision] = "kept from before".into();
    asked.write(KEPT, &kept.to_string());
    let asked = asked.again();
    assert_eq!(asked.fits_at_first().await, [ready("kept from before")]);
    kept["version"] = "0.0.0".into();
    for text in [&kept.to_string()[..], "", "{", "[1]", "{\"version\": 3}"] {
        asked.write(KEPT, text);
        let again = Asked {
            desk: Asked::desk(asked.folder.path(), Box::new(desk::save::RealDisk)),
            folder: tempfile::tempdir().expect("a folder"),
        };
        assert_eq!(again.fits_at_last().await, [ready("as written")], "{text}");
    }
}

#[tokio::test]
async fn what_is_gone_or_changed_is_dropped() {
    let asked = Asked::new();
    asked.write("other.abc", "X:1\nT:Other\nM:4/4\nL:1/4\nK:C\n\"C\"C4|\n");
    asked.fits_at_last().await;
    assert_eq!(asked.kept()["fits"].as_object().map(serde_json::Map::len), Some(2));
    std::fs::remove_file(asked.folder.path().join("other.abc")).expect("removed outside");
    asked.choose("harp", json!("lever-36")).await;
    let asked = asked.again();
    asked.fits_at_last().await;
    let revision = asked.tune().await["revision"].as_str().expect("a text").to_owned();
    assert_eq!(asked.kept()["fits"], json!({revision: "as written"}));
}

#[tokio::test]
async fn where_nothing_can_be_kept_it_is_worked_out_again() {
    let asked = Asked::on(Box::new(Full));
    assert_eq!(asked.fits_at_last().await, [ready("as written")]);
    assert_eq!(asked.names(), ["door.abc"]);
}
