//! Files that another version of the program wrote: those of 0.1.0 are read, what is newer or damaged is left byte for byte and said, an empty file holds nothing.
//!
//! `fixtures/0.1.0` is a folder as 0.1.0 left it, written by that program through its own addresses: two versions of a tune with their steps, the usual harp, a harp of her
//! own, a set, places in a recording, a diary. The quay's files are as the first programs of that number wrote them: "pins" for holds, "spare" for fingers left out, and
//! what was practised in a file beside the tune.

use crate::asking::Asked;
use axum::body::Body;
use axum::http::{Method, StatusCode};
use desk::practice::diary::Diary;
use desk::save::{Disk, RealDisk};
use rusqlite::Connection;
use serde_json::{Value, json};
use std::fs::File;
use std::io::Error;
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

const FIXTURES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/0.1.0");
const CHOICES: &str = "door.abc.undersong.toml";
const STEPS: &str = "door.abc.undersong-history.json";
const PLACES: &str = "door.abc.undersong-recording.json";
const USUAL: &str = "undersong.toml";
const HARP: &str = "the small one.toml";
const SET: &str = "Evening.undersong-set.toml";
const DIARY: &str = "undersong-diary.sqlite";
const ALL: [&str; 7] = [CHOICES, STEPS, PLACES, USUAL, HARP, SET, DIARY];

impl Asked {
    /// A folder of 0.1.0, opened by this program.
    fn earlier(disk: Box<dyn Disk>) -> Asked {
        let folder = tempfile::tempdir().expect("a folder for the test");
        for file in std::fs::read_dir(FIXTURES).expect("the fixtures").flatten() {
            std::fs::copy(file.path(), folder.path().join(file.file_name())).expect("a copy");
        }
        Asked { desk: Asked::desk(folder.path(), disk), folder }
    }

    /// The same with other bytes in one of its files.
    fn with_file(name: &str, bytes: &[u8]) -> Asked {
        let asked = Asked::earlier(Box::new(RealDisk));
        std::fs::write(asked.file(name), bytes).expect("the folder takes a file");
        asked
    }

    fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.file(name)).expect("it is there")
    }

    async fn json(&self, path: &str) -> Value {
        self.get(path).await.json()
    }

    /// Everything that would write the files, each tried once; what was refused, in words.
    async fn everything_is_tried(&self) -> Vec<String> {
        let mut answers = vec![self.ask(Method::DELETE, "/api/tunes/door.abc%3Afor%20the%20pupil/version", Body::empty()).await];
        let now = self.get("/api/tunes/door.abc").await;
        if now.status == StatusCode::OK {
            answers.push(self.choose("octave", json!(1)).await);
        } else {
            answers.push(now);
        }
        let usual = self.json("/api/shelf").await["usual"].clone();
        answers.push(self.put("/api/usual", &json!({"usual": usual})).await);
        let form = json!({"name": "the small one", "lowest": "C3", "strings": 27, "tuning": "Bb Eb", "levers": ["F"], "pedals": false});
        answers.push(self.post("/api/harps", &json!({"form": form, "file": HARP})).await);
        let set = json!({"format": 1, "title": "Evening", "hold_first": false, "hold_last": false, "tunes": []});
        let seen = self.json(&format!("/api/sets/{SET}")).await["seen"].clone();
        answers.push(self.put(&format!("/api/sets/{SET}"), &json!({"set": set, "seen": seen.as_str().unwrap_or_default()})).await);
        let stay = json!({"day": "2026-11-03", "began": 1_793_707_200_000_i64, "tune": "door.abc", "tune_title": "x", "what": "step", "title": "Roots", "seconds": 60});
        answers.push(self.put("/api/diary/stay", &stay).await);
        answers.push(self.post("/api/tunes/door.abc/places", &json!({"name": "none.wav", "in_folder": true})).await);
        answers.push(self.ask(Method::DELETE, "/api/tunes/door.abc/recording", Body::empty()).await);
        answers.iter().filter(|answer| answer.status != StatusCode::OK).map(|answer| answer.error()).collect()
    }

    /// All that is said where she looks: of the tune, of the shelf, of the sets, in the practice room, or in place of them.
    async fn said(&self) -> String {
        let paths = ["/api/tunes/door.abc", "/api/shelf", "/api/sets", "/api/tunes/door.abc/practice"];
        let mut all = String::new();
        for path in paths {
            all += &String::from_utf8_lossy(&self.get(path).await.body).replace("\\\"", "\"");
        }
        all
    }
}

#[tokio::test]
async fn everything_of_0_1_0_is_found() {
    let asked = Asked::earlier(Box::new(RealDisk));
    let tune = asked.tune().await;
    let chosen = &tune["choices"];
    assert_eq!((&chosen["key"], &chosen["fullness"], &chosen["variant"]), (&json!("A"), &json!([2, 4]), &json!(2)));
    assert_eq!((&chosen["holds"], &chosen["harp"]), (&json!({"2": "open-fifth"}), &json!("lever-36 in E-flat")));
    let pupil = asked.json("/api/tunes/door.abc%3Afor%20the%20pupil").await;
    assert_eq!((&pupil["choices"]["octave"], &pupil["choices"]["chords"]), (&json!(-1), &json!({"1": "Am"})));
    let back = asked.post("/api/tunes/door.abc/undo", &json!({})).await.json();
    assert_eq!((&back["choices"]["variant"], &back["can_undo"]), (&json!(1), &json!(true)));
    let shelf = asked.json("/api/shelf").await;
    assert_eq!((&shelf["usual"]["harp"], &shelf["usual"]["player"]["fluency"]), (&json!("lever-36 in E-flat"), &json!("slow")));
    assert_eq!((&shelf["usual_mistake"], &shelf["harps_left"]), (&Value::Null, &json!([])));
    let harp = asked.json("/api/harps/the%20small%20one.toml").await;
    assert_eq!((&harp["form"]["strings"], &harp["form"]["levers"]), (&json!(26), &json!(["C5", "F"])));
    let set = asked.json(&format!("/api/sets/{SET}")).await;
    assert_eq!(
        (&set["title"], &set["set"]["tunes"][0]["times"], set["rows"].as_array().map(Vec::len)),
        (&json!("Evening"), &json!(2), Some(2))
    );
    let kept = asked.json("/api/tunes/door.abc/recording").await["kept"].clone();
    assert_eq!((&kept["stale"], kept["passes"].as_array().map(Vec::len)), (&json!(false), Some(8)), "the tune is known again");
    let diary = asked.json("/api/diary?day=2026-11-02").await;
    assert_eq!(diary["days"][0]["tunes"][0]["stays"][0]["words"], "Roots: 12 min, last at 84 beats a minute (80 % of the tune's tempo)");
    assert_eq!(asked.json("/api/tunes/door.abc/practice").await["practised"]["steps"]["roots"], "passed");
    let tunes = Diary::of(&asked.desk.shelf).tunes().expect("the diary can be read");
    assert_eq!(tunes.iter().map(|t| (t.name.as_str(), t.resting)).collect::<Vec<_>>(), [("bell.abc", true), ("door.abc", false)]);
    let quay = asked.json("/api/tunes/quay.abc").await;
    assert_eq!((&quay["choices"]["holds"], &quay["choices"]["player"]["leave_out"]), (&json!({"2": "open-fifth"}), &json!([4])));
    assert_eq!(asked.json("/api/tunes/quay.abc/practice").await["practised"]["steps"]["roots"], "not yet");
    assert!(!asked.said().await.contains("left as it is"));
}

/// What was kept stays with what is kept from now on.
#[tokio::test]
async fn what_is_changed_keeps_the_rest_of_0_1_0() {
    let asked = Asked::earlier(Box::new(RealDisk));
    // The tune named in a set on the way: the one refusal is that there is no such recording.
    assert_eq!(asked.everything_is_tried().await, ["there is no recording \"none.wav\" in your folder"]);
    let asked = asked.again();
    let tune = asked.tune().await;
    assert_eq!((&tune["choices"]["octave"], &tune["choices"]["key"], &tune["can_undo"]), (&json!(1), &json!("A"), &json!(true)));
    asked.post("/api/tunes/door.abc/undo", &json!({})).await;
    let back = asked.post("/api/tunes/door.abc/undo", &json!({})).await.json();
    assert_eq!(back["versions"][1]["id"], "door.abc:for the pupil", "the version that was taken away comes back with its choices");
    assert_eq!(asked.json("/api/tunes/door.abc%3Afor%20the%20pupil").await["choices"]["octave"], -1);
    assert!(String::from_utf8_lossy(&asked.bytes(CHOICES)).contains("form-of-file = 1\n"));
    assert!(String::from_utf8_lossy(&asked.bytes(STEPS)).starts_with("{\"form\":1,"));
    assert_eq!(Diary::of(&asked.desk.shelf).stays("").expect("the diary can be read").len(), 2);
}

/// As a newer program may write them: the number of their form, and things that nobody knows yet.
#[tokio::test]
async fn what_is_newer_is_left_byte_for_byte_and_said() {
    let texts = [
        (CHOICES, "form-of-file = 2\nkey = \"D\"\nfullness = \"rising\"\n"),
        (STEPS, "{\"form\":2,\"undo\":\"elsewhere\"}"),
        (PLACES, "{\"form\":2,\"where\":[]}"),
        (USUAL, "form-of-file = 2\nharp = \"lever-27\"\nstool = 46\n\n[player]\nfluency = \"advanced\"\nbreath = 3\n"),
        (HARP, "form-of-file = 2\nname = \"the small one\"\nrows = 2\n"),
        (SET, "format = 2\ntitle = \"Evening\"\nparts = [\"a\"]\n"),
    ];
    for (name, text) in texts {
        let asked = Asked::with_file(name, text.as_bytes());
        let said = asked.said().await;
        let refused = asked.everything_is_tried().await;
        assert_eq!(String::from_utf8_lossy(&asked.bytes(name)), text);
        assert!(said.contains("a newer Undersong (form 2"), "{name}: {said}");
        if name != STEPS && name != HARP {
            assert!(refused.iter().any(|error| error.contains("a newer Undersong (form 2; this one knows form 1)")), "{name}: {refused:?}");
        }
        if name == USUAL {
            let usual = asked.json("/api/shelf").await["usual"].clone();
            assert_eq!(
                (&usual["harp"], &usual["player"]["fluency"]),
                (&json!("lever-27"), &json!("advanced")),
                "as far as it is understood"
            );
        }
    }
}

/// The database keeps its form in its head, and may keep another journal.
#[tokio::test]
async fn a_newer_diary_is_not_even_opened() {
    let asked = Asked::earlier(Box::new(RealDisk));
    let newer = Connection::open(asked.file(DIARY)).expect("the diary");
    newer.pragma_update(None, "journal_mode", "WAL").expect("another journal");
    newer.pragma_update(None, "user_version", 2).expect("its form");
    newer.close().expect("it is closed");
    let before = asked.bytes(DIARY);
    let refused = asked.everything_is_tried().await;
    let said = "undersong-diary.sqlite was written by a newer Undersong (form 2; this one knows form 1): it is left as it is, and nothing that you practise is written down. Open it with the newer one";
    assert!(refused.iter().any(|error| error == said) && asked.said().await.contains(said), "{refused:?}");
    let beside: Vec<String> = asked.names().into_iter().filter(|name| name.starts_with(DIARY)).collect();
    assert!(asked.bytes(DIARY) == before && beside == [DIARY], "nothing is written, nor put beside it: {beside:?}");
}

/// Half of what stood there, or what is none of it.
#[tokio::test]
async fn what_is_damaged_is_left_byte_for_byte_and_said() {
    for name in ALL {
        let whole = std::fs::read(format!("{FIXTURES}/{name}")).expect("a fixture");
        let damaged = match name {
            STEPS | PLACES => whole[..whole.len() / 2].to_vec(),
            DIARY => [&whole[..16], &[7; 4096][..]].concat(),
            _ => [&whole[..], b"\n[[[\n"].concat(),
        };
        let asked = Asked::with_file(name, &damaged);
        let said = asked.said().await;
        let refused = asked.everything_is_tried().await;
        assert!(asked.bytes(name) == damaged, "{name}: {refused:?}");
        // A text that is no table is no harp: it may be anything of hers.
        let is_said = said.contains(&format!("{name} cannot be read")) || said.contains(&format!("{name}:"));
        assert!(is_said || name == HARP, "{name}: {said}");
    }
}

#[tokio::test]
async fn an_empty_file_holds_nothing_and_is_written_anew() {
    for name in ALL {
        let asked = Asked::with_file(name, b"");
        assert!(!asked.said().await.contains("left as it is"), "{name}");
        let refused = asked.everything_is_tried().await;
        // With no choices there is no second version, and an empty file is no harp that would be changed.
        let expected: &[&str] =
            if name == CHOICES { &["there is no version", "there is no recording"] } else { &["there is no recording"] };
        assert!(
            refused.len() == expected.len() && refused.iter().zip(expected).all(|(said, begins)| said.starts_with(begins)),
            "{name}: {refused:?}"
        );
        // The places were forgotten, which is one of the things that were tried.
        let written = asked.file(name).metadata().is_ok_and(|file| file.len() > 0);
        assert_eq!(written, ![HARP, PLACES].contains(&name), "{name}");
    }
}

/// Takes so many files, then none.
struct Few(AtomicUsize);

impl Disk for Few {
    fn fill(&self, file: &mut File, bytes: &[u8]) -> Result<(), Error> {
        let left = self.0.fetch_update(Ordering::SeqCst, Ordering::SeqCst, |left| left.checked_sub(1));
        left.map_err(|_| Error::other("no more"))?;
        RealDisk.fill(file, bytes)
    }
}

/// Choices are two files, the step back and then what holds: stopped between them, both forms of before are there.
#[tokio::test]
async fn stopped_between_two_files_nothing_is_lost() {
    let choose = async |asked: &Asked| {
        let mut now = asked.json("/api/tunes/quay.abc").await;
        now["choices"]["octave"] = json!(1);
        asked.put("/api/tunes/quay.abc/choices", &json!({"choices": now["choices"], "seen": now["revision"]})).await.status
    };
    let asked = Asked::earlier(Box::new(Few(AtomicUsize::new(1))));
    let before = asked.bytes("quay.abc.undersong.toml");
    assert!(choose(&asked).await.is_server_error());
    assert!(asked.file("quay.abc.undersong-history.json").exists() && asked.bytes("quay.abc.undersong.toml") == before);
    let asked = asked.again();
    let tune = asked.json("/api/tunes/quay.abc").await;
    assert_eq!((&tune["choices"]["holds"], &tune["can_undo"]), (&json!({"2": "open-fifth"}), &json!(false)));
    assert_eq!(choose(&asked).await, StatusCode::OK);
    let back = asked.post("/api/tunes/quay.abc/undo", &json!({})).await.json();
    assert_eq!((&back["choices"]["octave"], &back["choices"]["holds"]), (&json!(0), &json!({"2": "open-fifth"})));
    // What was practised moves into the diary when she goes on; the file beside the tune stays for a program that knows no diary.
    let old = asked.bytes("quay.abc.undersong-practice.toml");
    let path = "/api/tunes/quay.abc/practice?at=1793707200000&day=2026-11-03";
    assert_eq!(asked.put(path, &json!({"steps": {"roots": "passed"}})).await.status, StatusCode::OK);
    assert_eq!(asked.json("/api/tunes/quay.abc/practice").await["practised"]["steps"]["roots"], "passed");
    assert!(asked.bytes("quay.abc.undersong-practice.toml") == old);
}
