//! Sounds of her own: SoundFonts in her folder, chosen for a tune or for all; damaged ones are refused and our own strings stay.

use crate::asking::{Asked, Plain};
use crate::font::font;
use axum::http::StatusCode;
use desk::save::RealDisk;
use desk::server::desk::Desk;
use desk::server::sounds::Sounds;
use desk::shelf::Shelf;
use serde_json::{Value, json};
use std::sync::Arc;

const NAME: &str = "My harp & more.sf2";

impl Asked {
    fn put_font(&self, name: &str, bytes: &[u8]) {
        std::fs::write(self.folder.path().join(name), bytes).expect("the folder takes a font");
    }

    async fn sound(&self) -> Value {
        self.get("/api/tunes/door.abc/sound").await.json()
    }

    /// The first string of the tune, as the page would ask for it.
    async fn first_string(&self) -> Vec<u8> {
        let sound = self.sound().await;
        let (name, of) = (sound["samples"][0].as_str().expect("a string"), sound["of"].as_str().expect("a text"));
        let answer = self.get(&format!("/api/sample/{name}.wav{of}")).await;
        assert_eq!((answer.status, &answer.body[..4]), (StatusCode::OK, b"RIFF".as_slice()), "{of}");
        answer.body
    }
}

#[tokio::test]
async fn a_font_in_her_folder_is_chosen() {
    let asked = Asked::new();
    assert_eq!(asked.tune().await["sounds"], json!([]));
    let own = asked.first_string().await;
    let own_file = asked.get("/api/tunes/door.abc/take/wav").await.body;
    asked.put_font(NAME, &font());
    assert_eq!(asked.tune().await["sounds"], json!([NAME]));
    let chosen = asked.choose("sound", json!(NAME)).await;
    assert_eq!((chosen.status, &chosen.json()["choices"]["sound"]), (StatusCode::OK, &json!(NAME)));
    let of = asked.sound().await["of"].as_str().expect("a text").to_owned();
    assert!(of.starts_with("?of=My%20harp%20%26%20more.sf2&"), "{of}");
    assert_eq!(asked.get("/api/tunes/door.abc/measures/0/hear").await.json()["of"], of);
    assert_ne!(asked.first_string().await, own);
    assert_ne!(asked.get("/api/tunes/door.abc/take/wav").await.body, own_file);
    assert_eq!(asked.choose("sound", Value::Null).await.status, StatusCode::OK);
    assert_eq!((asked.first_string().await, asked.get("/api/tunes/door.abc/take/wav").await.body), (own, own_file));
}

#[tokio::test]
async fn a_damaged_font_is_refused_and_our_own_strings_stay() {
    let asked = Asked::new();
    let own = asked.first_string().await;
    let whole = font();
    for (bytes, why) in [(&whole[..whole.len() - 10], "is cut short"), (b"RIFF", "this is no SoundFont"), (b"", "this is no SoundFont")] {
        asked.put_font("a.sf2", bytes);
        let answer = asked.choose("sound", json!("a.sf2")).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer.error().starts_with("a.sf2: ") && answer.error().contains(why), "{}", answer.error());
    }
    assert_eq!((asked.tune().await["choices"]["sound"].clone(), asked.first_string().await), (Value::Null, own));
}

#[tokio::test]
async fn a_font_that_is_gone_or_damaged_later_is_said_and_our_own_strings_are_heard() {
    let asked = Asked::new();
    let own = asked.first_string().await;
    asked.put_font("a.sf2", &font());
    asked.choose("sound", json!("a.sf2")).await;
    assert_eq!(asked.sound().await["instead"], Value::Null);
    asked.put_font("a.sf2", b"no font any more");
    assert_eq!(asked.sound().await["instead"], "a.sf2: this is no SoundFont: expected an SF2 file, which begins with RIFF and sfbk");
    assert_eq!(asked.first_string().await, own);
    std::fs::remove_file(asked.folder.path().join("a.sf2")).expect("removed outside");
    assert!(asked.sound().await["instead"].as_str().is_some_and(|why| why.starts_with("there is no SoundFont \"a.sf2\"")));
    let remarks = asked.tune().await["remarks"].clone();
    let said = "There is no SoundFont \"a.sf2\" in your folder any more: Undersong's strings are heard. Choose a sound under Whole tune.";
    assert!(remarks.as_array().is_some_and(|r| r.contains(&json!(said))), "{remarks}");
    assert_eq!(
        asked.get("/api/tunes/door.abc/take/wav").await.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "a file to keep is not made otherwise"
    );
}

#[tokio::test]
async fn fonts_stay_in_the_folder() {
    let asked = Asked::new();
    std::fs::create_dir(asked.folder.path().join("in")).expect("a folder");
    asked.put_font("in/a.sf2", &font());
    asked.put_font("font.txt", &font());
    for name in ["in/a.sf2", "../a.sf2", "/a.sf2", "font.txt", "b.sf2", "usual", ""] {
        assert_eq!(asked.choose("sound", json!(name)).await.status == StatusCode::OK, name.is_empty(), "{name}");
    }
    for of in ["in%2Fa.sf2", "..%2Fa.sf2", "font.txt", "usual"] {
        assert_eq!(asked.get(&format!("/api/sample/C4.wav?of={of}")).await.status, StatusCode::NOT_FOUND, "{of}");
    }
}

/// A font the program was opened with is heard where a tune chooses none.
#[tokio::test]
async fn a_font_for_every_tune() {
    let asked = Asked::new();
    let own = asked.first_string().await;
    let elsewhere = tempfile::tempdir().expect("a folder");
    let path = elsewhere.path().join("usual harp.sf2");
    let desk = || Desk::new(Shelf::open(asked.folder.path(), Box::new(RealDisk)).expect("the folder is there"), Arc::new(Plain));
    assert!(Sounds::with_usual(&path).is_err());
    std::fs::write(&path, font()).expect("written");
    let desk = Arc::new(desk().sounding(Sounds::with_usual(&path).expect("a font")));
    let asked = Asked { desk, folder: asked.folder };
    assert!(asked.sound().await["of"].as_str().is_some_and(|of| of.starts_with("?of=usual&")));
    assert_ne!(asked.first_string().await, own);
}

#[tokio::test]
async fn the_concert_pitch_is_hers() {
    let asked = Asked::new();
    let usual = (asked.first_string().await, asked.get("/api/tunes/door.abc/take/wav").await.body);
    assert_eq!(asked.choose("concert", json!("415")).await.status, StatusCode::OK);
    assert_eq!(asked.sound().await["of"], json!("?concert=415"));
    let low = (asked.first_string().await, asked.get("/api/tunes/door.abc/take/wav").await.body);
    assert!(low.0 != usual.0 && low.1 != usual.1, "another pitch is another sound");
    let refused = asked.choose("concert", json!("500")).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.error().contains("390 to 470"), "{}", refused.error());
    assert_eq!(asked.get("/api/sample/C4.wav?concert=500").await.status, StatusCode::NOT_FOUND);
}
