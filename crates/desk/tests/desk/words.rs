//! What the page is told in words: a measure to be read aloud, and what she should know first.

use crate::asking::Asked;
use serde_json::json;

impl Asked {
    fn with(text: &str) -> Asked {
        let asked = Asked::new();
        std::fs::write(asked.folder.path().join("door.abc"), text).expect("the folder takes a tune");
        asked
    }

    async fn in_words(&self, index: usize) -> String {
        let measure = self.get(&format!("/api/tunes/door.abc/measures/{index}")).await.json();
        measure["in_words"].as_str().expect("a text").to_owned()
    }

    async fn remarks(&self) -> Vec<String> {
        let remarks = self.tune().await["remarks"].clone();
        remarks.as_array().expect("a list").iter().map(|r| r.as_str().expect("a sentence").to_owned()).collect()
    }
}

/// A tune of one kind of measure with the left hand resting, so that the words are the melody's.
async fn melody_in_words(meter: &str, music: &str) -> String {
    let asked = Asked::with(&format!("X:1\nT:Quay\nM:{meter}\nL:1/8\nQ:1/4=80\nK:C\n{music}\n"));
    asked.choose("fullness", json!([0])).await;
    let words = asked.in_words(0).await;
    let fingers = [1, 2, 3, 4].map(|f| format!(" finger {f}"));
    fingers.iter().fold(words, |words, finger| words.replace(finger, ""))
}

/// The letters and lengths stand in the tunes; beats as in theory books. The last is a pickup: it is the end of a measure.
#[tokio::test]
async fn a_measure_read_aloud() {
    for (meter, music, expected) in [
        (
            "4/4",
            "\"C\"c2 de c/d/e/f/ (3ede|\"G\"d8|\"C\"c8|",
            "Beat 1: right C5. Beat 2: right D5. Beat 2 and a half: right E5. Beat 3: right C5. Beat 3, second sixteenth: right D5. \
             Beat 3 and a half: right E5. Beat 3, fourth sixteenth: right F5. Beat 4: right E5. Beat 4, second of the triplet: right D5. \
             Beat 4, third of the triplet: right E5.",
        ),
        ("3/4", "\"C\"c2 d3 e|\"G\"d6|\"C\"c6|", "Beat 1: right C5. Beat 2: right D5. Beat 3 and a half: right E5."),
        (
            "6/8",
            "\"C\"cde c2d|\"G\"d6|\"C\"c6|",
            "Beat 1: right C5. Beat 1, second eighth: right D5. Beat 1, third eighth: right E5. Beat 2: right C5. \
             Beat 2, third eighth: right D5.",
        ),
        (
            "9/8",
            "\"C\"cde c2d e3|\"G\"d9|\"C\"c9|",
            "Beat 1: right C5. Beat 1, second eighth: right D5. Beat 1, third eighth: right E5. Beat 2: right C5. \
             Beat 2, third eighth: right D5. Beat 3: right E5.",
        ),
        ("4/4", "G2|\"C\"c8|\"G\"d8|\"C\"c6|", "Beat 4: right G4."),
    ] {
        let words = melody_in_words(meter, music).await;
        assert!(words.contains(&format!(" {expected} Levers up: A natural")), "{words}");
    }
}

/// Too far for the harp; lying low; without a tempo; a book in one file; more lever moves than there is time for.
#[tokio::test]
async fn remarks_name_what_stands_on_the_page() {
    for (text, named) in [
        ("K:C\n\"C\"C,,, c'''' C c|\"G\"D4|\"C\"C4|\n", "Try another key from the list under Whole tune."),
        ("K:C\n\"C\"C G C E|\"G\"D4|\"C\"C4|\n", "an octave higher (Octave up, under Whole tune)"),
        ("K:C\n\"C\"C G C E|\"G\"D4|\"C\"C4|\n", "you can set yours under Whole tune."),
        ("K:C\n\"C\"c4|\"G\"d4|\n\nX:2\nT:Pier\nK:C\nC4|\n", "The file has 2 tunes and this is the first."),
        ("Q:1/4=600\nK:C\n\"C\"C^C=C^C|\"G\"G^G=G^G|\"C\"C4|\n", "choose it under Whole tune, Key."),
    ] {
        let remarks = Asked::with(&format!("X:1\nT:Quay\nM:4/4\nL:1/4\n{text}")).remarks().await;
        assert!(remarks.iter().any(|r| r.contains(named)), "{named}: {remarks:#?}");
        assert!(remarks.iter().all(|r| !r.contains("--") && !r.contains("undersong ")), "{remarks:#?}");
    }
}

#[tokio::test]
async fn refusals_name_what_stands_on_the_page() {
    let asked = Asked::new();
    for (name, value) in [("holds", json!({"2": "opn-fifth"})), ("use", json!(["zzz"])), ("key", json!("H")), ("tempo", json!("fast"))] {
        let error = asked.choose(name, value).await.error();
        assert!(!error.contains("--") && !error.contains("undersong "), "{error}");
    }
    let error = asked.choose("use", json!(["zzz"])).await.error();
    assert_eq!(error, "there is no figure \"zzz\" (all of them are listed under Whole tune)");
}
