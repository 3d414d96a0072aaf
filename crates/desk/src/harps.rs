//! Harps: the ones that come with the program, and the player's own file.
//!
//! Both are the same short TOML file (`data/instruments/`), read by [`read`]; a mistake is shown at its own line.

mod called;
pub mod form;

pub use called::{called, is_preset, on};

use crate::failure::Failure;
use crate::file_form;
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
    "lever-22",
    "lever-26",
    "lever-27",
    "lever-29",
    "lever-30",
    "lever-30-full",
    "lever-33",
    "lever-34",
    "lever-36",
    "lever-38",
    "lever-40",
    "pedal-40",
    "pedal-44",
    "pedal-46",
    "pedal-47",
];

/// The text of a harp's file: a preset by its name, else a file.
pub fn file(wanted: &str) -> Result<TomlFile, Failure> {
    let named = wanted.trim().to_lowercase();
    if let Some(preset) = PRESETS.iter().find(|p| p.name == named) {
        return Ok(TomlFile { name: preset.name.into(), text: preset.text.into() });
    }
    if let Some((name, changes)) = wanted.trim().split_once(' ')
        && let Some(preset) = PRESETS.iter().find(|p| p.name == name.to_lowercase())
    {
        return changed(preset, changes.trim());
    }
    let path = Path::new(wanted);
    let is_named = path.components().count() > 1 && path.exists();
    if path.is_file() || is_named || path.extension().is_some_and(|e| e == "toml") {
        return TomlFile::open(path);
    }
    let names: Vec<&str> = PRESETS.iter().map(|p| p.name).collect();
    Err(Failure::wrong(format!("there is no harp \"{wanted}\": expected {}, or a file of your own", names.join(", "))))
}

/// A preset in another tuning or with levers on some letters only: "lever-34 in F", "lever-26 in C with F C". The text is the preset's with its
/// lines changed, so that it can be shown and copied as any other.
fn changed(preset: &Preset, changes: &str) -> Result<TomlFile, Failure> {
    let name = format!("{} {changes}", preset.name);
    let changes = changes.to_lowercase();
    let (tuning, levers) = match changes.split_once("with ") {
        Some((tuning, levers)) => (tuning.trim(), Some(levers)),
        None => (&changes[..], None),
    };
    let tuning = match tuning.strip_prefix("in ") {
        Some(tuning) => Some(tuning.trim()),
        None if tuning.is_empty() && levers.is_some() => None,
        None => {
            let text = format!(
                "\"{} {changes}\" is no harp: expected a name like \"{} in F\" or \"{} in C with F C\"",
                preset.name, preset.name, preset.name
            );
            return Err(Failure::wrong(text));
        }
    };
    let mut text = String::new();
    for line in preset.text.lines() {
        let key = line.split('=').next().unwrap_or("").trim();
        match (key, tuning, levers) {
            ("name", _, _) => text += &format!("name = \"{name}\""),
            ("tuning", Some(tuning), _) => text += &format!("tuning = \"{}\"", capital(tuning)),
            ("levers", _, Some(levers)) => text += &format!("levers = {}", lever_line(levers)),
            _ => text += line,
        }
        text.push('\n');
    }
    if levers.is_some() && !preset.text.contains("levers =") {
        return Err(Failure::wrong(format!("{} has pedals, not levers: expected only another tuning", preset.name)));
    }
    Ok(TomlFile { name, text })
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// "all" or "none" as they are, else a list of letters.
fn lever_line(levers: &str) -> String {
    let words: Vec<&str> = levers.split([' ', ',']).filter(|w| !w.is_empty() && *w != "levers" && *w != "on" && *w != "and").collect();
    match words[..] {
        [one @ ("all" | "none")] => format!("\"{one}\""),
        _ => format!("[{}]", words.iter().map(|w| format!("\"{}\"", capital(w))).collect::<Vec<_>>().join(", ")),
    }
}

/// A harp by the name of a preset or of a file.
pub fn harp(wanted: &str) -> Result<Instrument, Failure> {
    read(&file(wanted)?)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HarpTable {
    name: Spanned<String>,
    lowest: Spanned<String>,
    strings: Spanned<u32>,
    tuning: Spanned<NameOrList>,
    levers: Option<Spanned<NameOrList>>,
    #[serde(default)]
    pedals: bool,
    fixed: Option<Vec<Spanned<String>>>,
    #[serde(rename = "form-of-file")]
    _form: file_form::Field,
}

#[derive(Deserialize)]
#[serde(untagged, expecting = "expected a name in quotes or a list of letters")]
enum NameOrList {
    Name(String),
    List(Vec<String>),
}

/// The form of a harp's file.
const FORM: i64 = 1;

/// Refuses a file of a newer form.
pub fn check_form(file: &TomlFile) -> Result<(), Failure> {
    file_form::check(file, file_form::KEY, FORM, "this harp cannot be chosen here")
}

/// Reads a harp's file.
pub fn read(file: &TomlFile) -> Result<Instrument, Failure> {
    check_form(file)?;
    let table: HarpTable = file.table()?;
    let lowest = pitch(table.lowest.get_ref()).map_err(|e| file.wrong(&table.lowest.span(), e))?;
    let tuning = tuning(table.tuning.get_ref()).map_err(|e| file.wrong(&table.tuning.span(), e))?;
    let mechanism = mechanism(file, &table)?;
    if table.name.get_ref().trim().is_empty() {
        return Err(file.wrong(&table.name.span(), "the harp has no name: expected a name in quotes"));
    }
    let harp = Instrument::new(table.name.into_inner(), lowest, *table.strings.get_ref(), tuning, mechanism);
    let harp = harp.map_err(|error| {
        let place = match error {
            harp::InstrumentError::Strings(_) => table.strings.span(),
            harp::InstrumentError::Alteration(_) => table.tuning.span(),
            _ => table.lowest.span(),
        };
        file.wrong(&place, error)
    })?;
    let singles =
        table.levers.as_ref().map_or(Ok(Vec::new()), |levers| singles(levers.get_ref()).map_err(|e| file.wrong(&levers.span(), e)))?;
    let span = table.levers.as_ref().map_or(0..0, |levers| levers.span());
    let harp = singles.iter().try_fold(harp, |harp, string| harp.with_lever(*string).map_err(|e| file.wrong(&span, e)))?;
    table.fixed.unwrap_or_default().iter().try_fold(harp, |harp, text| {
        let pitch = pitch(text.get_ref()).map_err(|e| file.wrong(&text.span(), e))?;
        harp.with_fixed(pitch).map_err(|e| file.wrong(&text.span(), e))
    })
}

fn mechanism(file: &TomlFile, table: &HarpTable) -> Result<Mechanism, Failure> {
    match (&table.levers, table.pedals) {
        (Some(levers), true) => Err(file.wrong(&levers.span(), "a harp with levers and pedals: expected one of them")),
        (Some(levers), false) => Ok(Mechanism::Levers(letters(levers.get_ref()).map_err(|e| file.wrong(&levers.span(), e))?)),
        (None, true) => Ok(Mechanism::Pedals { fixed: Vec::new() }),
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
        .filter(|text| single(text).is_none())
        .map(|text| match note_name(text) {
            Some(PitchName { step, alter: 0 }) => Ok(step),
            _ => Err(format!("\"{text}\" is no letter: expected letters from A to G, or single strings like F4")),
        })
        .collect()
}

/// Positions of single strings among the levers.
fn singles(given: &NameOrList) -> Result<Vec<i32>, String> {
    match given {
        NameOrList::Name(_) => Ok(Vec::new()),
        NameOrList::List(list) => Ok(list.iter().filter_map(|text| single(text)).map(|pitch| pitch.position()).collect()),
    }
}

/// "F4": one string, named without a sign.
fn single(text: &str) -> Option<Pitch> {
    Pitch::parse(text.trim()).filter(|pitch| pitch.alter == 0)
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
            Err(failure) => failure.to_string(),
        }
    }

    /// Harp facts 1.1, 1.2 and 2.1: the highest string of each size.
    #[test]
    fn the_presets_have_the_ranges_of_the_trade() {
        let highest = ["C6", "G6", "A6", "G6", "A6", "A6", "G6", "A6", "A6", "C7", "C7", "E7", "E7", "G7", "G7"];
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

    /// The same harp tuned otherwise, or with fewer levers, by name.
    #[test]
    fn a_preset_in_another_tuning() {
        let named = |name: &str| match file(name).and_then(|f| read(&f)) {
            Ok(harp) => format!("{} {:?} {:?}", harp.name, harp.tuning.0, harp.mechanism),
            Err(failure) => failure.to_string(),
        };
        assert_eq!(named("lever-34 in C with F C"), "lever-34 in C with F C [0, 0, 0, 0, 0, 0, 0] Levers([F, C])");
        assert_eq!(named("Lever-22 in E-flat"), "lever-22 in E-flat [0, 0, -1, 0, 0, -1, -1] Levers([C, D, E, F, G, A, B])");
        assert_eq!(
            named("lever-26 with levers on B, F and C"),
            "lever-26 with levers on B, F and C [0, 0, 0, 0, 0, 0, 0] Levers([B, F, C])"
        );
        assert_eq!(named("lever-26 with none").split(' ').next_back(), Some("Levers([])"));
        assert_eq!(
            named("lever-34 in h"),
            "lever-34 in h:11:10: error: \"H\" is no tuning: expected one like \"E-flat\", or a list of letters"
        );
        assert_eq!(
            named("lever-34 as new"),
            "\"lever-34 as new\" is no harp: expected a name like \"lever-34 in F\" or \"lever-34 in C with F C\""
        );
        assert_eq!(named("pedal-47 with F"), "pedal-47 has pedals, not levers: expected only another tuning");
    }

    /// Harp facts 1.1: strings without discs are tuned before the piece.
    #[test]
    fn fixed_strings_have_their_own_pitch() {
        let with = |fixed: &str| {
            let text = format!("name = \"mine\"\nlowest = \"C1\"\nstrings = 47\ntuning = \"C-flat\"\npedals = true\nfixed = {fixed}\n");
            match read(&TomlFile { name: "harp.toml".into(), text }) {
                Ok(harp) => format!("{:?} {:?} {:?}", harp.settings_of(7), harp.settings_of(8), harp.settings_of(53)),
                Err(failure) => failure.to_string(),
            }
        };
        assert_eq!(with("[]"), "[-1, 0, 1] [-1, 0, 1] [-1, 0, 1]");
        assert_eq!(with("[\"C1\", \"Db1\", \"G7\"]"), "[0] [-1] [0]");
        assert_eq!(with("[\"C1\", \"C8\"]"), "harp.toml:6:16: error: the fixed string C8 is not on this harp: expected one from C1 to G7");
        assert_eq!(
            with("[\"low\"]"),
            "harp.toml:6:10: error: \"low\" is no string: expected a letter and an octave, like C2 (C4 is middle C)"
        );
        assert_eq!(
            with("[\"Cbb1\"]"),
            "harp.toml:6:10: error: the fixed string C♭♭1 is tuned more than a semitone from its letter: expected a flat, a natural or a sharp"
        );
    }

    #[test]
    fn levers_on_single_strings() {
        let with = |levers: &str| {
            let text = format!("name = \"mine\"\nlowest = \"C3\"\nstrings = 26\ntuning = \"C\"\nlevers = {levers}\n");
            match read(&TomlFile { name: "harp.toml".into(), text }) {
                Ok(harp) => {
                    (21..47).filter(|p| harp.has_lever(*p)).map(|p| Pitch::at_position(p, 0).to_string()).collect::<Vec<_>>().join(" ")
                }
                Err(failure) => failure.to_string(),
            }
        };
        assert_eq!(with("[\"F\", \"C5\"]"), "F3 F4 C5 F5 F6");
        assert_eq!(with("[\"C2\"]"), "harp.toml:5:10: error: the lever on C2 has no string: expected one from C3 to G6");
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
            harp("C6", 34, "levers = \"all\""),
            "harp.toml:2:10: error: the lowest string C6 is out of reach of any harp: expected A0 to C5"
        );
        assert_eq!(
            harp("C2", 34, "levers = [\"X\"]"),
            "harp.toml:5:10: error: \"X\" is no letter: expected letters from A to G, or single strings like F4"
        );
        assert_eq!(
            harp("C2", 34, "levers = \"all\"\npedals = true"),
            "harp.toml:5:10: error: a harp with levers and pedals: expected one of them"
        );
        assert_eq!(
            harp("C2", 34, "levers = \"all\"\nfixed = [\"C2\"]"),
            "harp.toml:6:10: error: a fixed string on a harp without pedals: expected strings without discs on a pedal harp only"
        );
        assert_eq!(
            check("name = \" \"\nlowest = \"C2\"\nstrings = 34\ntuning = \"C\"\nlevers = \"all\"\n"),
            "harp.toml:1:8: error: the harp has no name: expected a name in quotes"
        );
        assert_eq!(
            harp("C2", 34, ""),
            "harp.toml:1:1: error: a harp with neither levers nor pedals: expected a line like levers = \"all\" or pedals = true"
        );
    }
}
