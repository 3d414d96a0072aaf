//! `undersong keys`: every key for a tune on this harp, best first, with what each asks.

use crate::arguments::KeysArguments;
use crate::failure::Failure;
use crate::harps;
use crate::job::Setup;
use crate::opener::Opener;
use crate::screen;
use arrange::keys::KeyChoice;
use serde::Serialize;

/// One key as the JSON has it.
#[derive(Serialize)]
struct KeyFacts {
    key: String,
    semitones: i32,
    works: bool,
    moves: usize,
    opening: String,
    lowest: String,
    highest: String,
    strings_for_the_left_hand: i32,
    bare_measures: usize,
    open_strings_percent: i64,
    semitones_outside_the_voice: Option<i32>,
    missing_notes: usize,
    price: i64,
    sentence: String,
}

pub fn run(arguments: &KeysArguments) -> Result<(), Failure> {
    let (setup, ranked) = Opener::new(&arguments.choices)?.keys(&arguments.tune)?;
    if arguments.json {
        let facts: Vec<KeyFacts> = ranked.keys.iter().map(|k| facts(k, &setup)).collect();
        return screen::print(&crate::report::decisions::json(&facts));
    }
    let mut text = format!("{}: the keys on {}, best first\n", ranked.title, harps::on(&setup.harp.name));
    let widest = ranked.keys.iter().map(|k| named(k).chars().count()).max().unwrap_or(0);
    for key in &ranked.keys {
        let name = named(key);
        let far = match key.by.semitones {
            0 => "as written".to_owned(),
            n if n > 0 => half_steps(n, "up"),
            n => half_steps(-n, "down"),
        };
        let name = format!("{name}{}", " ".repeat(widest - name.chars().count()));
        text += &format!("  {name}  {far:<18}  {:#} to {:#}  {}\n", key.lowest, key.highest, key.sentence(&setup.harp));
        if key.works() {
            text += &format!("  {}  {}\n", " ".repeat(widest), key.opening);
        }
    }
    if ranked.keys.iter().all(|k| !k.works()) {
        text += &format!("The tune cannot all be played on this harp in any key. {}\n", setup.what_would(&arguments.tune)?);
    }
    screen::print(&text)
}

fn half_steps(number: i32, way: &str) -> String {
    format!("{number} half step{} {way}", if number == 1 { "" } else { "s" })
}

fn named(key: &KeyChoice) -> String {
    format!("{:#}", key.key)
}

fn facts(key: &KeyChoice, setup: &Setup) -> KeyFacts {
    KeyFacts {
        key: key.key.to_string(),
        semitones: key.by.semitones,
        works: key.works(),
        moves: key.moves,
        opening: key.opening.clone(),
        lowest: key.lowest.to_string(),
        highest: key.highest.to_string(),
        strings_for_the_left_hand: key.hand_room,
        bare_measures: key.bare,
        open_strings_percent: key.open_strings / 10,
        semitones_outside_the_voice: key.outside_voice,
        missing_notes: key.missing,
        price: key.price,
        sentence: key.sentence(&setup.harp),
    }
}
