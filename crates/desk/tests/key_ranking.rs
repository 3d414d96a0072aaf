//! Which key suits: cases as a harpist would rank them, on harps of 22 to 47 strings, tuned in C and in E-flat, with levers on some letters, with a singer and without.
//!
//! The tunes are made up for the tests. Each case says why its order is the one a player would want; that is common practice, and ours where two would do.

use arrange::keys::{KeyChoice, keys};
use arrange::{Figures, Wishes};
use desk::{harps, wishes};
use harp::Player;

/// A sixth and a bit, diatonic, in G.
const CAROL: &str = "X:1\nM:4/4\nL:1/4\nQ:1/4=88\nK:G\n\"G\"GABG|\"C\"cBA2|\"D\"ABcA|\"G\"B2G2|\"G\"Bcd2|\"C\"edc2|\"D\"dcBA|\"G\"G4|]\n";
/// The same in D, an octave and a third wide.
const AIR: &str = "X:1\nM:3/4\nL:1/4\nQ:1/4=80\nK:D\n\"D\"D2F|\"G\"GAB|\"A\"A2e|\"D\"d3|\"Bm\"f2e|\"G\"d2B|\"A\"A2F|\"D\"D3|]\n";
/// A dorian, the sixth and the seventh without sharps of their own.
const DORIAN: &str = "X:1\nM:6/8\nL:1/8\nQ:3/8=96\nK:ADor\n\"Am\"A2Bc2d|\"G\"B2GG2A|\"Am\"e2dc2B|\"G\"ABGG3|\"Am\"c2de2g|\"G\"d2BG2B|\"Am\"c2B\"G\"d2B|\"Am\"A3A3|]\n";
/// A minor with its leading tone.
const MINOR: &str =
    "X:1\nM:4/4\nL:1/4\nQ:1/4=80\nK:Am\n\"Am\"ABce|\"Dm\"f2d2|\"E\"e^GAB|\"Am\"c2A2|\"Dm\"dfed|\"Am\"c2e2|\"E\"B^GAB|\"Am\"A4|]\n";
/// B flat, low.
const HYMN: &str =
    "X:1\nM:4/4\nL:1/4\nQ:1/4=72\nK:Bb\n\"Bb\"BBAG|\"F\"F2F2|\"Eb\"GFED|\"F\"F4|\"Bb\"BBcd|\"Eb\"c2G2|\"F\"BAcB|\"Bb\"B4|]\n";

struct Ranked(Vec<KeyChoice>);

fn ranked(tune: &str, harp: &str, voice: Option<&str>) -> Ranked {
    let sheet = formats::read(tune.as_bytes(), &formats::ReadOptions::default()).expect("our own tune reads").sheet;
    let harp = harps::harp(harp).expect("a harp of ours");
    let voice = voice.map(|voice| wishes::voice(voice).expect("a voice"));
    Ranked(keys(&sheet, &Figures::own(), &harp, &Player::default(), &Wishes::default(), voice).expect("our own tune is arranged"))
}

impl Ranked {
    fn tonics(&self) -> Vec<String> {
        self.0.iter().map(|c| c.key.tonic().to_string()).collect()
    }

    fn place(&self, tonic: &str) -> usize {
        self.tonics().iter().position(|t| t == tonic).unwrap_or_else(|| panic!("no {tonic} among {:?}", self.tonics()))
    }

    fn first_is(&self, any: &[&str]) {
        assert!(any.contains(&self.tonics()[0].as_str()), "{any:?} first, but {:?}", self.tonics());
    }

    fn before(&self, better: &str, worse: &str) {
        assert!(self.place(better) < self.place(worse), "{better} before {worse}: {:?}", self.tonics());
    }
}

/// A small harp in C: no lever, or one or two, and never five; B major came first once.
#[test]
fn a_carol_on_26_strings_in_c() {
    let all = ranked(CAROL, "lever-26 in C", None);
    all.first_is(&["G", "C", "D"]);
    for rare in ["B", "F#", "C#"] {
        all.before("A", rare);
    }
}

/// The written key of a plain carol stays among the first three on a harp that can be set to it.
#[test]
fn the_written_key_is_near_the_top() {
    assert!(ranked(CAROL, "lever-34", None).place("G") < 3);
    assert!(ranked(CAROL, "lever-26 in C", None).place("G") < 3);
}

/// With 22 strings there is little below the tune: C or D, high enough for the left hand, before A or G an octave too low.
#[test]
fn a_carol_on_22_strings() {
    let all = ranked(CAROL, "lever-22 in C", None);
    all.first_is(&["C", "D", "G"]);
    all.before("D", "B");
}

/// In E-flat tuning the flat keys ring; E, with four sharps and every lever up, is for those who must.
#[test]
fn an_air_on_34_strings_in_e_flat() {
    let all = ranked(AIR, "lever-34", None);
    all.before("D", "E");
    all.before("F", "E");
    all.before("Eb", "E");
    all.first_is(&["D", "Eb", "F", "C", "Bb"]);
}

/// In C tuning flats cannot be set but by levers of their neighbours: G and D before F.
#[test]
fn an_air_on_34_strings_in_c() {
    let all = ranked(AIR, "lever-34 in C", None);
    all.first_is(&["D", "C", "G", "A"]);
    all.before("G", "F");
}

/// A dorian is the white notes from D in other clothes: A, D and E are what players have; C sharp is not.
#[test]
fn a_dorian_tune_in_c() {
    let all = ranked(DORIAN, "lever-26 in C", None);
    all.first_is(&["D", "A"]);
    all.before("A", "C#");
    all.before("E", "C#");
    all.before("A", "D#");
}

/// The leading tone of a minor key wants a lever in most keys: those first in which the fewest are moved.
#[test]
fn a_minor_tune_asks_for_few_moves() {
    let all = ranked(MINOR, "lever-34", None);
    let moves: Vec<usize> = all.0.iter().filter(|c| c.works()).map(|c| c.moves).collect();
    assert_eq!(moves.first(), moves.iter().min(), "{moves:?}");
    all.before("A", "F#");
}

/// Levers on F and C only: C, G and D, and nothing that needs another.
#[test]
fn levers_on_f_and_c_only() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mine.toml");
    std::fs::write(&path, "name = \"My harp\"\nlowest = \"C3\"\nstrings = 27\ntuning = \"C\"\nlevers = [\"F\", \"C\"]\n")
        .expect("it takes a file");
    let all = ranked(CAROL, path.to_str().expect("a path"), None);
    all.first_is(&["G", "C", "D"]);
    for needs_more in ["A", "E", "F"] {
        all.before("D", needs_more);
    }
}

/// On pedals every key can be set: flats ring, but nobody reads C flat major for a carol in G without a reason.
#[test]
fn a_carol_on_pedals() {
    let all = ranked(CAROL, "pedal-47", None);
    all.before("G", "B");
    all.before("F", "F#");
    assert!(all.0[0].key.fifths.abs() <= 4, "{:?}", all.tonics());
}

/// A singer from A3 to D5 decides: the carol spans G to E, a sixth, and every key within her range comes before every key outside it.
#[test]
fn a_singer_comes_before_levers() {
    let all = ranked(CAROL, "lever-34", Some("A3-D5"));
    let outside: Vec<i32> = all.0.iter().filter(|c| c.works()).map(|c| c.outside_voice.expect("a voice was given")).collect();
    assert!(outside.is_sorted(), "{outside:?}");
}

/// A low voice on a small harp: what cannot be played comes last even where it suits the singer best.
#[test]
fn a_note_that_is_missing_is_worse_than_a_key_too_high() {
    let all = ranked(HYMN, "lever-26 in C", Some("G3-C5"));
    let missing: Vec<usize> = all.0.iter().map(|c| c.missing).collect();
    assert!(missing.is_sorted(), "{missing:?}");
}

/// A hymn in B flat on E-flat tuning stays where it is written, or goes to a neighbour that rings as well.
#[test]
fn a_hymn_in_b_flat() {
    let all = ranked(HYMN, "lever-36", None);
    all.first_is(&["Bb", "Eb", "C", "F"]);
    assert!(all.place("Bb") < 3, "{:?}", all.tonics());
    all.before("Bb", "B");
}
