//! Changes of single notes by her own hand, and repairs of findings that she takes.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::{Value, json};

/// Chromatic, in C: the levers cannot follow it. Our own.
const GULLS: &str = "X:1\nT:Gulls\nM:4/4\nL:1/4\nQ:1/4=120\nK:C\n\"C\"c ^c d ^d|\"D7\"^f d c A|\"G7\"B ^G _B G|\"C\"c4|\n";
/// Quick, and full enough for the left hand to run out of time. Our own.
const GALE: &str =
    "X:1\nT:Gale\nM:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"GABc dedB|\"C\"e2c2 \"D7\"dcAF|\"G\"GABc \"Em\"dedB|\"Am\"c2A2 \"D7\"F2D2|\"G\"G8|\n";

/// The strings of the left hand at a place of a measure, as they sound.
async fn left_hand(asked: &Asked, measure: usize, at: f64) -> Vec<String> {
    let facts = asked.get(&format!("/api/tunes/door.abc/measures/{measure}")).await.json();
    let hands = facts["hands"].as_array().expect("moments").clone();
    let here = hands.iter().find(|h| h["at"] == json!(at)).map(|h| h["left"].as_array().expect("touches").clone());
    here.unwrap_or_default().iter().map(|t| t["pitch"].as_str().expect("a pitch").to_owned()).collect()
}

#[tokio::test]
async fn a_note_left_out_stays_out_in_every_key_until_it_is_taken_back() {
    let asked = Asked::new();
    let before = left_hand(&asked, 1, 0.0).await;
    let lowest = before.first().expect("the left hand plucks on beat 1 of the second measure").clone();
    assert_eq!(asked.choose("changes", json!([format!("1@0 leave out {lowest}")])).await.status, StatusCode::OK);
    assert!(!left_hand(&asked, 1, 0.0).await.contains(&lowest), "{lowest} is out");
    assert_eq!(asked.tune().await["by_hand"][0]["text"], json!(format!("leave out {lowest}")));
    let asked = asked.again();
    assert_eq!(asked.tune().await["by_hand"][0]["found"], json!(true), "after a restart too");
    asked.choose("key", json!("A")).await;
    let moved = &asked.tune().await["by_hand"][0];
    assert!(moved["text"] != json!(format!("leave out {lowest}")), "the note has moved with the key: {moved}");
    for _ in 0..2 {
        asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    }
    assert_eq!(left_hand(&asked, 1, 0.0).await, before);
}

#[tokio::test]
async fn a_change_that_finds_nothing_does_nothing_and_says_so() {
    let asked = Asked::new();
    let before = asked.get("/api/tunes/door.abc/take/musicxml").await.body;
    for line in ["1@0 leave out C1", "40@0 roll"] {
        assert_eq!(asked.choose("changes", json!([line])).await.status, StatusCode::OK);
        assert_eq!(asked.tune().await["by_hand"][0]["found"], json!(false), "{line}");
        assert_eq!(asked.get("/api/tunes/door.abc/take/musicxml").await.body, before, "{line}");
    }
    let refused = asked.choose("changes", json!(["1@0 dance"])).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.error().contains("1@0 dance") && refused.error().contains("expected"), "{}", refused.error());
}

#[tokio::test]
async fn she_changes_a_note_in_the_key_she_sees() {
    let asked = Asked::new();
    asked.choose("key", json!("A")).await;
    let lowest = left_hand(&asked, 1, 0.0).await.first().expect("a note").replace('♯', "#");
    let change = |line: String, seen: &Value| json!({"change": line, "seen": seen});
    let now = asked.tune().await;
    let changed = asked.post("/api/tunes/door.abc/by-hand", &change(format!("1@0 {lowest} by octaves 1"), &now["revision"])).await;
    assert_eq!(changed.status, StatusCode::OK);
    assert_eq!(changed.json()["by_hand"][0]["found"], json!(true));
    assert!(!left_hand(&asked, 1, 0.0).await.iter().any(|p| p.replace('♯', "#") == lowest));
    for (line, why) in [("1@0 leave out C1", "nothing to change"), ("1@0 dance", "no change")] {
        let now = asked.tune().await;
        let refused = asked.post("/api/tunes/door.abc/by-hand", &change(line.into(), &now["revision"])).await;
        assert!(refused.status == StatusCode::UNPROCESSABLE_ENTITY && refused.error().contains(why), "{line}: {}", refused.error());
    }
}

/// Whether a finding is about the same as another (measure, beat and rule) and as grave or graver.
fn still(now: &Value, before: &Value) -> bool {
    let gravity = |f: &Value| ["cannot", "hard", "look"].iter().position(|g| f["gravity"] == json!(g));
    ["index", "beat", "rule"].iter().all(|part| now[part] == before[part]) && gravity(now) <= gravity(before)
}

async fn findings(asked: &Asked) -> Vec<Value> {
    asked.get("/api/tunes/door.abc/check").await.json()["findings"].as_array().expect("findings").clone()
}

/// Sharps after sharps at a pace at which the levers cannot all follow. Our own.
const FOG_BELL: &str = "X:1\nT:Fog Bell\nM:3/4\nL:1/4\nQ:1/4=160\nK:C\n\"C\"c e g|\"C#dim\"^c e g|\"Dm\"d f a|\"D#dim\"^d ^f a|\"E\"e ^g b|\"F\"f a c'|\"F#\"^f ^a ^c'|\"G7\"g3|\"C\"c3|]\n";

/// A note that cannot be played is said in the same words above the music, among the findings, in its measure in words, and at the foot of the page.
#[tokio::test]
async fn a_note_that_cannot_be_played_says_the_same_everywhere() {
    let asked = Asked::new();
    std::fs::write(asked.folder.path().join("door.abc"), FOG_BELL).expect("another tune");
    let first = asked.tune().await["remarks"][0].as_str().expect("a remark").to_owned();
    assert!(first.starts_with("Some notes cannot be played on this harp: in measure"), "{first}");
    let found = findings(&asked).await;
    let rule = |f: &Value, begins: &str| f["rule"].as_str().is_some_and(|r| r.starts_with(begins));
    assert!(!found.iter().any(|f| rule(f, "the printed")), "{found:?}");
    let of_levers: Vec<&Value> = found.iter().filter(|f| rule(f, "time to move") || rule(f, "a lever or pedal")).collect();
    assert!(!of_levers.is_empty());
    for finding in of_levers {
        let why = finding["text"].as_str().and_then(|t| t.split(';').next()).expect("a reason");
        assert!(first.contains(why), "{first} does not say {why}");
        let told = asked.get(&format!("/api/tunes/door.abc/measures/{}", finding["index"])).await.json();
        let words = told["in_words"].as_str().expect("the measure in words");
        let aloud = why.replace('\u{266f}', " sharp ").replace('\u{266d}', " flat ");
        assert!(words.contains(&format!("(cannot be played on this harp: {aloud})")), "{words} does not say {aloud}");
    }
}

/// Takes every repair that can be taken, one after another, each from the page as it was; gives how many there were of single notes and of other kinds.
async fn every_repair_helps(asked: &Asked) -> (usize, usize) {
    let (mut notes, mut others) = (0, 0);
    for finding in findings(asked).await {
        for repair in finding["repairs"].as_array().expect("repairs") {
            let Some(take) = repair["take"].as_object() else { continue };
            for (name, value) in take {
                if name == "changes" {
                    notes += 1
                } else {
                    others += 1
                }
                let taken = asked.choose(name, value.clone()).await;
                assert_eq!(taken.status, StatusCode::OK, "{repair}");
            }
            let left = findings(asked).await;
            assert!(!left.iter().any(|f| still(f, &finding)), "{repair} left {finding}");
            asked.post("/api/tunes/door.abc/undo", &json!({})).await;
        }
    }
    (notes, others)
}

#[tokio::test]
async fn every_repair_that_can_be_taken_takes_its_finding_away() {
    let mut taken = (0, 0);
    for (tune, fullness) in [(GULLS, 2), (GULLS, 4), (GALE, 5), (GALE, 6)] {
        let asked = Asked::new();
        std::fs::write(asked.folder.path().join("door.abc"), tune).expect("another tune");
        asked.choose("fullness", json!([fullness])).await;
        let (notes, others) = every_repair_helps(&asked).await;
        taken = (taken.0 + notes, taken.1 + others);
    }
    assert!(taken.0 > 0 && taken.1 > 0, "{} repairs of notes and {} of other kinds", taken.0, taken.1);
}

/// An introduction and an ending come with one choice each and go again; what she holds and changed in the tune stays on its measures, and so does what she
/// changed in the introduction.
#[tokio::test]
async fn what_she_changed_stays_on_its_measure_when_an_introduction_comes() {
    let asked = Asked::new();
    let lowest = left_hand(&asked, 1, 0.0).await.first().expect("the left hand plucks on beat 1 of the second measure").clone();
    asked.choose("changes", json!([format!("1@0 leave out {lowest}"), "introduction-0@0 leave out C1"])).await;
    let of = |tune: &Value, index: usize| (tune["by_hand"][index]["index"].clone(), tune["by_hand"][index]["number"].clone());
    let number = of(&asked.tune().await, 0).1;
    assert_eq!(asked.choose("form", json!({"introduction": "2", "ending": "short"})).await.status, StatusCode::OK);
    let tune = asked.tune().await;
    let added = tune["report"]["form"].as_array().expect("what was added").clone();
    assert_eq!(added.iter().map(|part| part["part"].clone()).collect::<Vec<_>>(), ["introduction", "ending"]);
    assert!(added.iter().all(|part| part["why"].as_array().is_some_and(|why| !why.is_empty())), "{added:?}");
    let (index, same) = of(&tune, 0);
    assert_eq!(same, number);
    assert_eq!(tune["by_hand"][0]["found"], json!(true));
    assert!(index.as_u64() >= Some(3), "two measures stand before it: {index}");
    assert_eq!(of(&tune, 1).0, json!(0));
    let first = asked.get("/api/tunes/door.abc/measures/0").await.json();
    assert!(first["number"].as_str().is_some_and(|n| n.starts_with("introduction ")), "{first}");
    let refused = asked.choose("form", json!({"introduction": "3"})).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.error().contains("introduction \"3\": expected 2 or 4 measures"), "{}", refused.error());
    asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    assert_eq!(asked.tune().await["report"]["form"], Value::Null);
}

/// The melody in the left hand is one choice: told in the report, by the hand of each decision, and kept in the file of choices; a verse cannot have its left hand an
/// octave higher too.
#[tokio::test]
async fn the_melody_goes_into_the_left_hand_and_back() {
    let asked = Asked::new();
    asked.choose("tempo", json!("1/4=50")).await;
    let before = asked.get("/api/tunes/door.abc/measures/1").await.json();
    assert_eq!(before["decisions"][0]["hand"], json!("left"));
    let answer = asked.choose("form", json!({"melody_below": [1]})).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.error());
    let tune = asked.tune().await;
    let told = tune["report"]["melody_below"][0].as_str().expect("it is told").to_owned();
    assert!(told.contains("chords above it in the right hand"), "{told}");
    let after = asked.get("/api/tunes/door.abc/measures/1").await.json();
    assert_eq!(
        (&after["decisions"][0]["hand"], &after["decisions"][0]["tune"]),
        (&json!("right"), &lowered(&before["decisions"][0]["tune"]))
    );
    let both = asked.choose("form", json!({"melody_below": [1], "high": [1]})).await;
    assert_eq!(both.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(both.error().contains("expected one of the two"), "{}", both.error());
    asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    assert_eq!(asked.get("/api/tunes/door.abc/measures/1").await.json()["decisions"][0]["hand"], json!("left"));
}

/// The names of notes an octave lower.
fn lowered(notes: &Value) -> Value {
    let lower = |c: char| c.to_digit(10).map_or(c, |octave| char::from_digit(octave - 1, 10).unwrap_or(c));
    json!(notes.as_str().expect("what the melody does").chars().map(lower).collect::<String>())
}

/// Does a change as the page sends it; it is taken.
async fn by_hand(asked: &Asked, line: &str) -> Value {
    let seen = asked.tune().await["revision"].clone();
    let answer = asked.post("/api/tunes/door.abc/by-hand", &json!({"change": line, "seen": seen})).await;
    assert_eq!(answer.status, StatusCode::OK, "{line}: {}", answer.error());
    answer.json()
}

async fn measure(asked: &Asked, index: usize) -> Value {
    asked.get(&format!("/api/tunes/door.abc/measures/{index}")).await.json()
}

fn plain(pitch: &str) -> String {
    pitch.replace('♯', "#").replace('♭', "b")
}

/// A note goes up two strings, is made shorter, plucked again, has a finger of hers, and a note beside it; each is told at once and checked, and undone one by one.
#[tokio::test]
async fn a_note_is_changed_in_every_way_and_each_step_is_undone() {
    let asked = Asked::new();
    let before = measure(&asked, 1).await;
    let touch = &before["hands"][0]["left"][0];
    let lowest = plain(touch["pitch"].as_str().expect("a note on beat 1"));
    let up = plain(touch["beside"][1].as_str().expect("a string above it"));
    assert_eq!(before["checked"], Value::Null, "nothing of hers is there yet");
    by_hand(&asked, &format!("1@0 lower staff: {lowest} becomes {up}")).await;
    let once = measure(&asked, 1).await;
    assert_eq!(plain(once["hands"][0]["left"][0]["pitch"].as_str().expect("a note")), up);
    let told = &once["decisions"][0];
    assert!(told["notes"].as_str().is_some_and(|n| n.starts_with(&up) && !n.contains(&lowest)), "old notes stand in {told}");
    assert_eq!(told["why"], json!("these notes are your own"));
    assert!(once["checked"].is_array(), "{}", once["checked"]);
    let above = plain(once["hands"][0]["left"][0]["beside"][1].as_str().expect("a string above it"));
    let tune = by_hand(&asked, &format!("1@0 lower staff: {up} becomes {above}")).await;
    assert_eq!(tune["choices"]["changes"], json!([format!("1@0 lower staff: {lowest} becomes {above}")]), "one line for one note");
    let length = before["hands"][0]["lengths"][0].as_f64().expect("a length");
    assert!(length >= 1.0, "{length}");
    by_hand(&asked, "1@0 lower staff: again after 1/2").await;
    assert_eq!(measure(&asked, 1).await["hands"][1]["at"], json!(0.5));
    by_hand(&asked, "1@0 lower staff: lasts 1/4").await;
    assert_eq!(measure(&asked, 1).await["hands"][0]["lengths"][0], json!(0.25));
    let finger = if measure(&asked, 1).await["hands"][0]["left"][0]["finger"] == json!(2) { 3 } else { 2 };
    by_hand(&asked, &format!("1@0 lower staff: finger {finger} on {above}")).await;
    assert_eq!(measure(&asked, 1).await["hands"][0]["left"][0]["finger"], json!(finger));
    let tune = by_hand(&asked, "1@1/4 lower staff: pluck C4").await;
    assert_eq!(measure(&asked, 1).await["hands"][1]["left"][0]["pitch"], json!("C4"));
    assert!(
        tune["by_hand"].as_array().is_some_and(|all| all.len() == 5 && all.iter().all(|one| one["found"] == json!(true))),
        "{}",
        tune["by_hand"]
    );
    let asked = asked.again();
    assert_eq!(asked.tune().await["by_hand"], tune["by_hand"], "after a restart too");
    for _ in 0..6 {
        asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    }
    let back = measure(&asked, 1).await;
    assert_eq!((&back["hands"], &back["decisions"]), (&before["hands"], &before["decisions"]));
}

/// Up a string and down again is no change and leaves no line; what her hand or the page cannot do is refused and nothing is kept.
#[tokio::test]
async fn what_changes_nothing_is_not_kept_and_what_cannot_be_is_refused() {
    let asked = Asked::new();
    let before = measure(&asked, 1).await;
    let touch = &before["hands"][0]["left"][0];
    let [lowest, up] = [&touch["pitch"], &touch["beside"][1]].map(|p| plain(p.as_str().expect("a pitch")));
    by_hand(&asked, &format!("1@0 lower staff: {lowest} becomes {up}")).await;
    by_hand(&asked, &format!("1@0 lower staff: {up} becomes {lowest}")).await;
    assert_eq!(asked.tune().await["by_hand"], json!([]));
    asked.choose("player", json!({"leave_out": [4]})).await;
    let kept = asked.tune().await["choices"]["changes"].clone();
    let lines = [
        (format!("1@0 lower staff: finger 4 on {lowest}"), "your hand cannot place it so"),
        ("1@0 lower staff: lasts 12".into(), "nothing to change there"),
        (format!("1@0 lower staff: B0 becomes {up}"), "nothing to change there"),
        ("1@0 move lever F#1".into(), "nothing to change there"),
    ];
    for (line, why) in lines {
        let seen = asked.tune().await["revision"].clone();
        let refused = asked.post("/api/tunes/door.abc/by-hand", &json!({"change": line, "seen": seen})).await;
        assert!(refused.status == StatusCode::UNPROCESSABLE_ENTITY && refused.error().contains(why), "{line}: {}", refused.error());
    }
    assert_eq!(asked.tune().await["choices"]["changes"], kept);
}

/// An F sharp in the third measure of four, slow enough for a lever at many moments. Our own.
const LANTERN: &str = "X:1\nT:Lantern\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n\"C\"c e g e|\"F\"f a c' a|\"D7\"^f a d a|\"G\"g4|]\n";

/// A lever moves at another moment of hers: every note sounds as before, the place is kept, and the way back is one step.
#[tokio::test]
async fn a_lever_moves_where_she_says() {
    let asked = Asked::new();
    std::fs::write(asked.folder.path().join("door.abc"), LANTERN).expect("another tune");
    let mut found = None;
    for index in 0..4 {
        let moves = measure(&asked, index).await["moves"].as_array().expect("moves").clone();
        let can = moves.into_iter().find_map(|m| Some((m["at"].clone(), m["earlier"].as_str().or(m["later"].as_str())?.to_owned())));
        found = found.or(can.map(|(at, line)| (index, at, line)));
    }
    let (index, at, line) = found.expect("a lever that could move at another moment");
    let before = measure(&asked, index).await;
    let tune = by_hand(&asked, &line).await;
    assert_eq!(tune["by_hand"][0]["found"], json!(true));
    assert!(tune["by_hand"][0]["text"].as_str().is_some_and(|t| t.starts_with("move lever F")), "{}", tune["by_hand"]);
    let after = measure(&asked, index).await;
    assert!(after["moves"].as_array().is_some_and(|all| all.iter().all(|m| m["at"] != at)), "{after}");
    assert_eq!(after["hands"], before["hands"]);
    assert_eq!(tune["remarks"], asked.tune().await["remarks"]);
    asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    assert_eq!(measure(&asked, index).await["moves"], before["moves"]);
}
