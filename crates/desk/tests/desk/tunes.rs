//! One tune: choosing, undo and redo across restarts, tabs that agree, files changed outside.

use crate::asking::Asked;
use axum::http::StatusCode;
use desk::server::news::News;
use serde_json::{Value, json};

#[tokio::test]
async fn a_choice_is_kept_in_a_file_she_can_read_and_outlives_the_program() {
    let asked = Asked::new();
    let before = std::fs::read(asked.folder.path().join("door.abc")).expect("the tune");
    let chosen = asked.choose("holds", json!({"2": "open-fifth"})).await;
    assert_eq!(chosen.status, StatusCode::OK);
    let file = std::fs::read_to_string(asked.folder.path().join("door.abc.undersong.toml")).expect("the choices");
    assert!(file.contains("[holds]\n2 = \"open-fifth\""), "{file}");
    assert_eq!(std::fs::read(asked.folder.path().join("door.abc")).expect("the tune"), before);
    let asked = asked.again();
    let now = asked.tune().await;
    assert_eq!((&now["choices"]["holds"]["2"], &now["can_undo"], &now["can_redo"]), (&json!("open-fifth"), &json!(true), &json!(false)));
    assert_eq!(now["revision"], chosen.json()["revision"], "the same files have the same revision after a restart");
}

/// Eight measures without signs: the phrases are fours until she says otherwise, and the measure tells it.
#[tokio::test]
async fn where_a_phrase_begins_is_hers() {
    let asked = Asked::new();
    let phrase = async |measure: &str| asked.get(&format!("/api/tunes/door.abc/measures/{measure}")).await.json()["phrase"].clone();
    let begins = async |measure: &str| phrase(measure).await["begins"].clone();
    let first = phrase("0").await;
    assert_eq!((&first["begins"], &first["always"], &first["hers"]), (&json!(true), &json!(true), &json!(false)), "{first}");
    assert_eq!(begins("2").await, json!(false));
    assert_eq!(asked.choose("phrases", json!({"3": "begins"})).await.status, StatusCode::OK);
    let third = phrase("2").await;
    assert_eq!((&third["begins"], &third["hers"]), (&json!(true), &json!(true)), "{third}");
    let refused = asked.choose("phrases", json!({"3": "ends"})).await;
    assert!(refused.error().starts_with("phrase \"3=ends\": expected a measure"), "{}", refused.error());
}

#[tokio::test]
async fn undo_and_redo_of_everything_across_restarts() {
    let asked = Asked::new();
    let first = asked.tune().await["choices"].clone();
    for (name, value) in [("key", json!("D")), ("harp", json!("lever-36")), ("fullness", json!([4]))] {
        assert_eq!(asked.choose(name, value).await.status, StatusCode::OK, "{name}");
    }
    let last = asked.tune().await["choices"].clone();
    let asked = asked.again();
    for _ in 0..4 {
        assert_eq!(asked.post("/api/tunes/door.abc/undo", &json!({})).await.status, StatusCode::OK);
    }
    let now = asked.tune().await;
    assert_eq!((&now["choices"], &now["can_undo"], &now["can_redo"]), (&first, &json!(false), &json!(true)));
    let asked = asked.again();
    for _ in 0..3 {
        asked.post("/api/tunes/door.abc/redo", &json!({})).await;
    }
    let now = asked.tune().await;
    assert_eq!((&now["choices"], &now["can_redo"]), (&last, &json!(false)));
}

#[tokio::test]
async fn of_two_tabs_the_slower_one_is_told_how_it_stands() {
    let asked = Asked::new();
    let mut news = asked.desk.listen();
    let seen = asked.tune().await;
    asked.choose("octave", json!(1)).await;
    let told = news.recv().await.expect("the other tab is told");
    assert!(matches!(told, News::Tune { ref id, ref revision } if id == "door.abc" && seen["revision"] != revision[..]), "{told:?}");
    let late = asked.put("/api/tunes/door.abc/choices", &json!({"choices": seen["choices"], "seen": seen["revision"]})).await;
    assert_eq!((late.status, &late.json()["choices"]["octave"]), (StatusCode::CONFLICT, &json!(1)));
    assert_eq!(asked.tune().await["choices"]["octave"], 1, "nothing was overwritten");
}

#[tokio::test]
async fn what_cannot_be_is_refused_and_not_saved() {
    let asked = Asked::new();
    for (name, value) in [
        ("key", json!("Em")),
        ("harp", json!("../../secret.toml")),
        ("tempo", json!("fast")),
        ("holds", json!({"2": "no-such-figure"})),
        ("fullness", json!([9])),
        ("voice", json!("D5-A3")),
    ] {
        let answer = asked.choose(name, value).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}: {}", answer.error());
    }
    assert_eq!(asked.choose("colour", json!("red")).await.status, StatusCode::BAD_REQUEST);
    assert_eq!(asked.names(), ["door.abc"]);
}

#[tokio::test]
async fn a_file_changed_outside_is_noticed_and_not_overwritten() {
    let asked = Asked::new();
    let text = asked.get("/api/tunes/door.abc/text").await.json();
    assert_eq!((&text["kind"], &text["problems"]), (&json!("abc"), &json!([])));
    let outside = "X:1\nT:Changed outside\nK:C\n\"C\"C4|\n";
    std::fs::write(asked.folder.path().join("door.abc"), outside).expect("written outside");
    let save = json!({"text": "X:1\nT:Mine\nK:C\nC4|\n", "seen": text["seen"]});
    let answer = asked.put("/api/tunes/door.abc/text", &save).await;
    assert_eq!((answer.status, &answer.json()["text"]), (StatusCode::CONFLICT, &json!(outside)));
    assert_eq!(std::fs::read_to_string(asked.folder.path().join("door.abc")).expect("the tune"), outside);
    let again = json!({"text": "X:1\nT:Mine\nK:C\n\"C\"C4|\n", "seen": answer.json()["seen"]});
    assert_eq!(asked.put("/api/tunes/door.abc/text", &again).await.status, StatusCode::OK);
    assert_eq!(asked.tune().await["title"], "Mine");
}

#[tokio::test]
async fn the_folder_is_looked_at_for_changes() {
    let asked = Asked::new();
    let before = desk::server::watch::marks(&asked.desk);
    std::fs::write(asked.folder.path().join("door.abc"), "X:1\nT:A\nK:C\n\"C\"C4 D4|\n").expect("written outside");
    let mut news = asked.desk.listen();
    desk::server::watch::tell_changes(&asked.desk, &before, &desk::server::watch::marks(&asked.desk));
    assert!(matches!(news.try_recv(), Ok(News::Tune { id, .. }) if id == "door.abc"));
}

#[tokio::test]
async fn a_mistake_in_the_file_of_choices_is_said_with_its_place() {
    let asked = Asked::new();
    let path = asked.folder.path().join("door.abc.undersong.toml");
    std::fs::write(&path, "harp = \"lever-34\"\noctave = \"high\"\n").expect("written outside");
    let answer = asked.get("/api/tunes/door.abc").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.error().starts_with("door.abc.undersong.toml:2:10: error: "), "{}", answer.error());
    assert!(std::fs::read_to_string(&path).expect("the choices").contains("high"), "it is left as it is");
}

#[tokio::test]
async fn everything_about_a_tune_is_answered() {
    let asked = Asked::new();
    let page = asked.get("/api/tunes/door.abc/page?for=worktable").await.json();
    assert_eq!(page["measures"].as_array().map(Vec::len), Some(4));
    assert!(page["measures"][1]["ids"].as_array().is_some_and(|ids| ids.contains(&json!("m1-r0")) && !ids.contains(&json!("m2"))));
    let measure = asked.get("/api/tunes/door.abc/measures/1").await.json();
    assert_eq!(
        (&measure["number"], &measure["decisions"][0]["chord"], &measure["decisions"][0]["tune"]),
        (&json!(2), &json!("C"), &json!("E5 D5 C5; the last is long"))
    );
    assert!(
        measure["hands"][0]["right"][0]["finger"].is_u64()
            && measure["in_words"].as_str().is_some_and(|w| w.starts_with("Measure 2, C. Left hand: "))
    );
    let strings = asked.get("/api/tunes/door.abc/strings").await.json();
    assert_eq!((strings["strings"].as_array().map(Vec::len), &strings["strings"][0]["colour"]), (Some(34), &json!("red")));
    assert_eq!(asked.get("/api/tunes/door.abc/keys").await.json()["keys"].as_array().map(Vec::len), Some(12));
    assert!(asked.get("/api/tunes/door.abc/check").await.json()["findings"].is_array());
    let sound = asked.get("/api/tunes/door.abc/sound").await.json();
    assert!(sound["plucks"].as_array().is_some_and(|p| p.len() > 12) && sound["length"].as_f64().is_some_and(|l| l > 10.0));
    let sample = asked.get(&format!("/api/sample/{}.wav", sound["samples"][0].as_str().expect("a string"))).await;
    assert_eq!((sample.status, &sample.body[..4]), (StatusCode::OK, b"RIFF".as_slice()));
    for (path, status) in [("measures/99", 404), ("measures/x", 400), ("page?for=wall", 400), ("take/exe", 404), ("nothing", 404)] {
        assert_eq!(asked.get(&format!("/api/tunes/door.abc/{path}")).await.status, status, "{path}");
    }
}

#[tokio::test]
async fn files_to_take_away() {
    let asked = Asked::new();
    for (kind, begins, name) in [
        ("pdf", "%PDF", "The Bakery Door.pdf"),
        ("musicxml", "<?xml", "The Bakery Door.musicxml"),
        ("midi", "MThd", "The Bakery Door.mid"),
        ("wav", "RIFF", "The Bakery Door.wav"),
        ("json", "{", "The Bakery Door.json"),
    ] {
        let file = asked.get(&format!("/api/tunes/door.abc/take/{kind}")).await;
        assert!(file.body.starts_with(begins.as_bytes()), "{kind}");
        let said = file.headers["content-disposition"].to_str().expect("plain letters");
        assert!(said.starts_with(&format!("attachment; filename=\"{name}\"")), "{said}");
    }
}

#[tokio::test]
async fn a_pinned_measure_still_has_its_other_ways() {
    let asked = Asked::new();
    let ways = |measure: &Value| -> Vec<String> {
        let all = measure["decisions"][0]["alternatives"].as_array().expect("a list").iter();
        all.map(|a| a["figure"].as_str().expect("a name").to_owned()).collect()
    };
    let before = asked.get("/api/tunes/door.abc/measures/1").await.json();
    let other = ways(&before)[0].clone();
    assert_eq!(asked.choose("holds", json!({"2": other})).await.status, StatusCode::OK);
    let after = asked.get("/api/tunes/door.abc/measures/1").await.json();
    assert_eq!((&after["decisions"][0]["held"], &after["decisions"][0]["figure"]), (&json!(true), &json!(other)));
    assert!(ways(&after).contains(&before["decisions"][0]["figure"].as_str().expect("a name").to_owned()));
}

#[tokio::test]
async fn a_chord_of_her_own_follows_the_key() {
    let asked = Asked::new();
    asked.choose("key", json!("D")).await;
    let own = json!({"place": "1@0", "chord": "Em", "seen": asked.tune().await["revision"]});
    let answer = asked.post("/api/tunes/door.abc/chord", &own).await;
    assert_eq!((answer.status, &answer.json()["choices"]["chords"]["1@0"]), (StatusCode::OK, &json!("Am")), "kept in the tune's own key");
    assert_eq!(asked.get("/api/tunes/door.abc/measures/1").await.json()["decisions"][0]["chord"], "Em");
    let bad = json!({"place": "1@0", "chord": "Zounds", "seen": asked.tune().await["revision"]});
    assert_eq!(asked.post("/api/tunes/door.abc/chord", &bad).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    let away = json!({"place": "1@0", "chord": null, "seen": asked.tune().await["revision"]});
    asked.post("/api/tunes/door.abc/chord", &away).await;
    assert_eq!(asked.tune().await["choices"]["chords"], json!({}));
}

/// The tune spans ten semitones (F♯4 to E5), as does the voice from A3 to G4 (interval arithmetic): a key lies wholly within it.
#[tokio::test]
async fn keys_for_a_singer_come_first() {
    let asked = Asked::new();
    let first = |keys: Value| keys["keys"][0].clone();
    let without = first(asked.get("/api/tunes/door.abc/keys").await.json());
    assert_eq!(asked.choose("voice", json!("A3-G4")).await.status, StatusCode::OK);
    let with = first(asked.get("/api/tunes/door.abc/keys").await.json());
    assert!(with["sentence"].as_str().is_some_and(|s| s.contains("within the singer's range")), "{with}");
    assert!(!without["sentence"].as_str().is_some_and(|s| s.contains("singer")), "{without}");
}

/// The page names the letters in the order of the sharps (`Setting::line`); what stands under it does the same.
#[tokio::test]
async fn levers_are_told_in_the_order_of_the_page() {
    let asked = Asked::new();
    for key in ["G", "D", "A"] {
        assert_eq!(asked.choose("key", json!(key)).await.status, StatusCode::OK);
        let told = asked.get("/api/tunes/door.abc/measures/0").await.json()["levers"].clone();
        let told: Vec<&str> = told.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
        assert!(told.len() > 3, "{key}: a harp tuned in E♭ has levers up: {told:?}");
        assert_eq!(asked.tune().await["report"]["settings"]["opening"], json!(format!("Levers up: {}", told.join(" "))), "{key}");
    }
}
