//! Harps: the ones that come with the program, and the player's own file.
//!
//! Both are the same short TOML file (`data/instruments/`), read by [`read`]; a mistake is shown at its own line.

use crate::failure::Failure;
use crate::toml_file::TomlFile;
use harp::{Instrument, Mechanism, Tuning};
use music::{Pitch, PitchName, Step};
use serde::Deserialize;
use std::path::Path;
use toml::Spanned;

/// A harp that comes with the program.
pub struct Preset {
    pub name: &'static str,
    pub text: &'static str,
}

macro_rules! presets {
    ($($name:literal),* $(,)?) => {
        /// From the smallest to the largest, lever harps first.
        pub const PRESETS: &[Preset] = &[$(Preset { name: $name, text: include_str!(concat!("../../../data/instruments/", $name, ".toml")) }),*];
    };
}

presets![
    "lever-22", "lever-26", "lever-27", "lever-29", "lever-30", "lever-33", "lever-34", "lever-36", "lever-38", "pedal-40", "pedal-44",
    "pedal-46", "pedal-47",
];

/// The text of a harp's file: a preset by its name, else a file.
pub fn file(wanted: &str) -> Result<TomlFile, Failure> {
    if let Some(preset) = PRESETS.iter().find(|p| p.name == wanted.trim().to_lowercase()) {
        return Ok(TomlFile { name: preset.name.into(), text: preset.text.into() });
    }
    let path = Path::new(wanted);
    if path.is_file() || path.extension().is_some_and(|e| e == "toml") {
        return TomlFile::open(path);
    }
    let names: Vec<&str> = PRESETS.iter().map(|p| p.name).collect();
    Err(Failure::wrong(format!("there is no harp \"{wanted}\": expected {}, or a file of your own", names.join(", "))))
}

/// A harp by the name of a preset or of a file.
pub fn harp(wanted: &str) -> Result<Instrument, Failure> {
    read(&file(wanted)?)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HarpTable {
    name: String,
    lowest: Spanned<String>,
    strings: Spanned<u32>,
    tuning: Spanned<NameOrList>,
    levers: Option<Spanned<NameOrList>>,
    #[serde(default)]
    pedals: bool,
    fixed: Option<Spanned<Vec<String>>>,
}

#[derive(Deserialize)]
#[serde(untagged, expecting = "expected a name in quotes or a list of letters")]
enum NameOrList {
    Name(String),
    List(Vec<String>),
}

/// Reads a harp's file.
pub fn read(file: &TomlFile) -> Result<Instrument, Failure> {
    let table: HarpTable = file.table()?;
    let lowest = pitch(table.lowest.get_ref()).map_err(|e| file.wrong(&table.lowest.span(), e))?;
    let tuning = tuning(table.tuning.get_ref()).map_err(|e| file.wrong(&table.tuning.span(), e))?;
    let mechanism = mechanism(file, &table)?;
    let harp = Instrument::new(table.name, lowest, *table.strings.get_ref(), tuning, mechanism);
    harp.map_err(|error| {
        let place = match error {
            harp::InstrumentError::Strings(_) => table.strings.span(),
            harp::InstrumentError::Lowest(_) => table.lowest.span(),
            harp::InstrumentError::Alteration(_) => table.tuning.span(),
        };
        file.wrong(&place, error)
    })
}

fn mechanism(file: &TomlFile, table: &HarpTable) -> Result<Mechanism, Failure> {
    match (&table.levers, table.pedals) {
        (Some(levers), true) => Err(file.wrong(&levers.span(), "a harp with levers and pedals: expected one of them")),
        (Some(levers), false) => Ok(Mechanism::Levers(letters(levers.get_ref()).map_err(|e| file.wrong(&levers.span(), e))?)),
        (None, true) => {
            let Some(fixed) = &table.fixed else { return Ok(Mechanism::Pedals { fixed: Vec::new() }) };
            let strings: Result<Vec<i32>, String> = fixed.get_ref().iter().map(|text| Ok(pitch(text)?.position())).collect();
            Ok(Mechanism::Pedals { fixed: strings.map_err(|e| file.wrong(&fixed.span(), e))? })
        }
        (None, false) => {
            Err(file.wrong(&(0..0), "a harp with neither levers nor pedals: expected a line like levers = \"all\" or pedals = true"))
        }
    }
}

fn pitch(text: &str) -> Result<Pitch, String> {
    Pitch::parse(text.trim()).ok_or_else(|| format!("\"{text}\" is no string: expected a letter and an octave, like C2 (C4 is middle C)"))
}

fn letters(given: &NameOrList) -> Result<Vec<Step>, String> {
    let list = match given {
        NameOrList::Name(name) if name == "all" => return Ok(Step::ALL.to_vec()),
        NameOrList::Name(name) if name == "none" => return Ok(Vec::new()),
        NameOrList::Name(other) => return Err(format!("levers \"{other}\": expected \"all\", \"none\" or a list of letters")),
        NameOrList::List(list) => list,
    };
    list.iter()
        .map(|text| match note_name(text) {
            Some(PitchName { step, alter: 0 }) => Ok(step),
            _ => Err(format!("\"{text}\" is no letter: expected letters from A to G")),
        })
        .collect()
}

fn tuning(given: &NameOrList) -> Result<Tuning, String> {
    match given {
        NameOrList::Name(name) => {
            let tonic =
                note_name(name).ok_or_else(|| format!("\"{name}\" is no tuning: expected one like \"E-flat\", or a list of letters"))?;
            let tuning = Tuning::of_major(tonic);
            let good = tuning.0.iter().all(|a| a.abs() <= 1);
            if good { Ok(tuning) } else { Err(format!("no harp is tuned to {name} major: expected one like \"C\" or \"E-flat\"")) }
        }
        NameOrList::List(list) => {
            let mut tuning = Tuning([0; 7]);
            let mut seen: Vec<Step> = Vec::new();
            for text in list {
                let name = note_name(text).ok_or_else(|| format!("\"{text}\" is no note: expected a letter with its sign, like \"Eb\""))?;
                if seen.contains(&name.step) {
                    return Err(format!("{} stands twice in the tuning", name.step.letter()));
                }
                seen.push(name.step);
                tuning.0[name.step as usize] = name.alter;
            }
            Ok(tuning)
        }
    }
}

/// "E", "Eb", "E♭", "E-flat", "e flat", "F#", "F-sharp".
pub fn note_name(text: &str) -> Option<PitchName> {
    let text = text.trim();
    let mut letters = text.chars();
    let step = Step::from_letter(letters.next()?)?;
    let alter = match letters.as_str().trim_start_matches(['-', ' ']).to_lowercase().as_str() {
        "" => 0,
        "b" | "♭" | "flat" => -1,
        "#" | "♯" | "sharp" => 1,
        _ => return None,
    };
    Some(PitchName::new(step, alter))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str) -> String {
        match read(&TomlFile { name: "harp.toml".into(), text: text.into() }) {
            Ok(harp) => format!("{} {}-{} {:?}", harp.name, harp.lowest(), harp.highest(), harp.tuning.0),
            Err(Failure::Wrong(text)) => text,
            Err(other) => format!("{other:?}"),
        }
    }

    /// Harp facts 1.1, 1.2 and 2.1: the highest string of each size.
    #[test]
    fn the_presets_have_the_ranges_of_the_trade() {
        let highest = ["C6", "G6", "A6", "G6", "A6", "G6", "A6", "A6", "C7", "E7", "E7", "G7", "G7"];
        for (preset, highest) in PRESETS.iter().zip(highest) {
            let harp = harp(preset.name).unwrap_or_else(|e| panic!("{}: {e:?}", preset.name));
            assert_eq!(harp.name, preset.name);
            assert_eq!(Pitch::at_position(harp.highest(), 0).to_string(), highest, "{}", preset.name);
        }
    }

    #[test]
    fn the_default_is_the_one_the_harp_crate_knows() {
        assert_eq!(harp("lever-34"), Ok(Instrument::lever_34()));
    }

    #[test]
    fn tunings_by_name_and_by_letters() {
        let with = |tuning: &str| check(&format!("name = \"mine\"\nlowest = \"C2\"\nstrings = 34\ntuning = {tuning}\nlevers = \"all\"\n"));
        assert_eq!(with("\"E-flat\""), "mine 14-47 [0, 0, -1, 0, 0, -1, -1]");
        assert_eq!(with("[\"Bb\", \"E flat\", \"Ab\"]"), "mine 14-47 [0, 0, -1, 0, 0, -1, -1]");
        assert_eq!(with("\"H\""), "harp.toml:4:10: error: \"H\" is no tuning: expected one like \"E-flat\", or a list of letters");
        assert_eq!(with("[\"Bb\", \"B\"]"), "harp.toml:4:10: error: B stands twice in the tuning");
        assert_eq!(with("7"), "harp.toml:4:10: error: expected a name in quotes or a list of letters");
    }

    #[test]
    fn mistakes_have_their_lines() {
        let harp = |lowest: &str, strings: u32, rest: &str| {
            check(&format!("name = \"mine\"\nlowest = \"{lowest}\"\nstrings = {strings}\ntuning = \"C\"\n{rest}\n"))
        };
        assert_eq!(harp("C2", 60, "levers = \"all\""), "harp.toml:3:11: error: a harp of 60 strings: expected 15 to 47");
        assert_eq!(
            harp("2C", 34, "levers = \"all\""),
            "harp.toml:2:10: error: \"2C\" is no string: expected a letter and an octave, like C2 (C4 is middle C)"
        );
        assert_eq!(
            harp("C2", 34, "levers = \"some\""),
            "harp.toml:5:10: error: levers \"some\": expected \"all\", \"none\" or a list of letters"
        );
        assert_eq!(harp("C2", 34, "lever = \"all\"").split(", expected").next(), Some("harp.toml:5:1: error: unknown field `lever`"));
        assert_eq!(
            harp("C2", 34, ""),
            "harp.toml:1:1: error: a harp with neither levers nor pedals: expected a line like levers = \"all\" or pedals = true"
        );
    }
}
