//! What every reader of other people's text promises of any bytes, one plain function for each: it comes back, with something within the limits or with an error.
//!
//! `scripts/fuzz TARGET` looks for bytes that break a promise; what it finds is kept in `kept/TARGET` and tried again by the tests, which need no engine.

use arrange::Figures;
use desk::choices::Choices;
use desk::job::Setup;
use desk::toml_file::TomlFile;
use desk::{harps, player, versions};
use formats::musicxml::{ScoreOptions, read_score};
use std::path::Path;

/// A promise: it panics where it is broken.
pub type Target = fn(&[u8]);

/// The targets by name.
pub const TARGETS: [(&str, Target); 7] = [
    ("abc", formats::abc::survives),
    ("musicxml", musicxml),
    ("chords", chords),
    ("choices", choices),
    ("harps", harps),
    ("hands", hands),
    ("figures", figures),
];

pub fn target(name: &str) -> Option<Target> {
    TARGETS.iter().find(|(known, _)| *known == name).map(|(_, target)| *target)
}

/// Melodies, voices and pages of two hands.
fn musicxml(bytes: &[u8]) {
    formats::musicxml::survives(bytes);
    let _ = read_score(bytes, &ScoreOptions::default());
}

/// A chord is read again from its plain spelling.
fn chords(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(parsed) = formats::chord_text::parse(text) else { return };
    for chord in parsed.symbols.iter().filter_map(|symbol| symbol.chord()) {
        let plain = chord.to_string();
        let again = formats::chord_text::parse(&plain).unwrap_or_else(|error| panic!("{plain:?}, made of {text:?}: {error}"));
        let same = again.symbols.iter().filter_map(|symbol| symbol.chord()).eq([chord]);
        assert!(same, "{text:?} is {plain:?}, which is something else");
    }
}

/// What a file of choices says is kept as it was read, and every version of it is a set of wishes or is refused.
fn choices(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let file = |text: &str| versions::file::named("ferry.abc.undersong.toml", text.to_owned());
    let Ok(read) = versions::file::read(&file(text)) else { return };
    let again = versions::file::read(&file(&read.toml())).expect("our own text is read");
    assert_eq!(again.toml(), read.toml(), "what is kept stays as it is");
    for version in read.all() {
        // No harp and no figures of hers: nothing is looked for on the disk.
        let plain = Choices { harp: Choices::default().harp, ..version.choices.clone() };
        let Ok(asked) = plain.asked(Path::new("/no such folder")) else { continue };
        let Ok(player) = plain.player.player() else { continue };
        let _ = Setup::of(&asked, player);
        let json = serde_json::from_value::<Choices>(plain.json()).expect("our own JSON is read");
        assert_eq!(json, plain, "the page has the same");
    }
}

/// A harp that is read has strings, in order.
fn harps(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(harp) = harps::read(&TomlFile { name: "harp.toml".into(), text: text.to_owned() }) else { return };
    assert!(harp.lowest() <= harp.highest(), "{text:?}");
}

fn hands(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(player) = player::read(&TomlFile { name: "hands.toml".into(), text: text.to_owned() }) else { return };
    player.check().expect("hands that are read can play");
}

/// Every figure that is read can be found by its name.
fn figures(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(figures) = Figures::read(text) else { return };
    assert!(figures.all.iter().all(|figure| figures.find(&figure.name).is_some()));
}
