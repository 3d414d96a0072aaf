//! The values of the fields that change the music: `M:`, `L:`, `Q:`, and the clef words of `K:` and `V:` (ABC 2.1, chapters 3, 4.6 and 7).
//! The key itself is in [`super::keys`].

use super::text;
use crate::diagnostic::excerpt;
use crate::read::LONGEST_MEASURE;
use music::{Beats, Meter, MeterSign, Tempo};

/// `M:` (3.1.6): `6/8`, `C`, `C|`, `none`, `2+3/8`, `(2+3)/8`.
pub fn meter(value: &str) -> Result<Meter, String> {
    let value: String = value.chars().filter(|c| !c.is_whitespace()).collect();
    let made = match value.as_str() {
        "C" | "c" => Meter::new(vec![4], 4, MeterSign::Common),
        "C|" | "c|" => Meter::new(vec![2], 2, MeterSign::Cut),
        "" => Some(free_meter()),
        v if v.eq_ignore_ascii_case("none") || v.eq_ignore_ascii_case("free") => Some(free_meter()),
        v => numbers(v),
    };
    let shown = excerpt(&value);
    let made = made
        .ok_or_else(|| format!("the meter \"{shown}\" is not understood: expected two numbers like \"6/8\", \"C\", \"C|\" or \"none\""))?;
    if made.length() > Beats::WHOLE * LONGEST_MEASURE {
        return Err(format!("a measure of the meter \"{shown}\" is longer than {LONGEST_MEASURE} whole notes, the most that is read"));
    }
    Ok(made)
}

/// The meter of a tune without `M:`.
pub fn free_meter() -> Meter {
    Meter::new(vec![4], 4, MeterSign::Free).expect("four quarters are in range")
}

fn numbers(value: &str) -> Option<Meter> {
    let (above, below) = value.rsplit_once('/')?;
    let above = above.trim_start_matches('(').trim_end_matches(')');
    let groups: Option<Vec<u32>> = above.split('+').map(|g| g.parse().ok()).collect();
    Meter::new(groups?, below.parse().ok()?, MeterSign::Numbers)
}

/// `L:` (3.1.7): `1/8`, `1`.
pub fn unit(value: &str) -> Result<Beats, String> {
    let (above, below) = value.trim().split_once('/').unwrap_or((value.trim(), "1"));
    let number = |t: &str| t.trim().parse::<i64>().ok().filter(|n| (1..=1024).contains(n));
    let made = number(above).zip(number(below)).and_then(|(a, b)| Beats::whole(a, b)).filter(|b| *b <= Beats::WHOLE * 4);
    made.ok_or_else(|| format!("the unit note length \"{}\" is not understood: expected a fraction like \"1/8\"", excerpt(value.trim())))
}

/// The unit of a tune without `L:` (3.1.7): a sixteenth where the meter is less than three quarters, else an eighth.
pub fn default_unit(meter: &Meter) -> Beats {
    let sixteenth = meter.sign != MeterSign::Free && meter.length() < Beats::QUARTER * 3;
    if sixteenth { Beats::EIGHTH.scaled(1, 2).expect("a sixteenth is exact") } else { Beats::EIGHTH }
}

/// A tempo: the number, the words, and whether the number counts unit note lengths as the old form does.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct TempoText {
    pub tempo: Option<Tempo>,
    pub words: Option<String>,
    pub note: Option<String>,
}

/// `Q:` (3.1.8): `1/4=120`, `"Allegro" 3/8=50`, `1/4 1/8=40`; and the old `120`, `C=120`, `C3=40`, which count unit note lengths (10.1).
pub fn tempo(value: &str, unit: Beats) -> Result<TempoText, String> {
    let mut found = TempoText::default();
    let mut rest = String::new();
    for (i, piece) in value.split('"').enumerate() {
        if i % 2 == 1 && !piece.trim().is_empty() {
            found.words = Some(text::clean(piece));
        } else if i % 2 == 0 {
            rest.push_str(piece);
        }
    }
    let rest = rest.trim();
    if rest.is_empty() {
        return Ok(found);
    }
    let fail = || format!("the tempo \"{}\" is not understood: expected something like \"1/4=120\"", excerpt(value.trim()));
    let (lengths, count) = rest.rsplit_once('=').unwrap_or(("", rest));
    let beat = if lengths.trim().is_empty() { Some(unit) } else { tempo_unit(lengths, unit) };
    if !lengths.contains('/') {
        found.note = Some(format!("the tempo \"{}\" counts unit note lengths, as the standard says of this old form", excerpt(rest)));
    }
    let made = beat.zip(milli(count)).and_then(|(beat, milli)| Tempo::new(beat, milli)).ok_or_else(fail)?;
    found.tempo = Some(made);
    Ok(found)
}

fn tempo_unit(lengths: &str, unit: Beats) -> Option<Beats> {
    let mut sum = Beats::ZERO;
    for piece in lengths.split_whitespace() {
        sum += match piece.strip_prefix(['C', 'c']) {
            Some("") => unit,
            Some(times) => unit.scaled(times.parse().ok().filter(|t| (1..=64).contains(t))?, 1)?,
            None => self::unit(piece).ok()?,
        };
        if sum > Beats::WHOLE * 4 {
            return None;
        }
    }
    (sum > Beats::ZERO).then_some(sum)
}

/// A number with up to three places after the point, in thousandths.
fn milli(text: &str) -> Option<i64> {
    let (whole, part) = text.trim().split_once('.').unwrap_or((text.trim(), ""));
    let part = part.get(..part.len().min(3))?;
    let whole: i64 = whole.parse().ok().filter(|w| (0..=100_000).contains(w))?;
    let part: i64 = if part.is_empty() { 0 } else { part.parse::<u32>().ok()?.into() } * 10_i64.pow(3 - part.len() as u32);
    Some(whole * 1000 + part)
}

/// What the words after a key or a voice's name say.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Parameters {
    pub octaves: Option<i32>,
    pub name: Option<String>,
    pub notes: Vec<String>,
    /// Words that are no clef and no known parameter.
    pub unknown: Vec<String>,
}

const CLEFS: [&str; 12] = ["treble", "bass", "alto", "tenor", "perc", "none", "soprano", "mezzosoprano", "baritone", "auto", "g", "f"];
/// Parameters that only change how the page looks or sounds elsewhere.
const PAGE: [&str; 22] = [
    "clef",
    "middle",
    "m",
    "stafflines",
    "staffscale",
    "stem",
    "stems",
    "up",
    "down",
    "score",
    "sound",
    "shift",
    "style",
    "gstem",
    "dyn",
    "lyrics",
    "bracket",
    "brace",
    "merge",
    "cue",
    "program",
    "v",
];

/// The words after a key or a voice's name (4.6, 7.1): `clef=treble-8`, `octave=-1`, `name="Tenor"`, `bass`.
pub fn parameters(words: &[String]) -> Parameters {
    let mut found = Parameters::default();
    let add = |octaves: i32, found: &mut Parameters| found.octaves = Some(found.octaves.unwrap_or(0) + octaves);
    for word in words {
        let (name, value) = word.split_once('=').unwrap_or((word, ""));
        let value = value.trim_matches('"');
        match name.to_lowercase().as_str() {
            "clef" => add(clef_octaves(value), &mut found),
            "octave" | "o" => match value.parse::<i32>() {
                Ok(octaves @ -4..=4) => add(octaves, &mut found),
                _ => found.notes.push(format!("octave \"{}\" is not understood: expected a whole number from -4 to 4", excerpt(value))),
            },
            "transpose" | "t" | "transposition" => {
                if value != "0" {
                    found.notes.push(format!("the written notes are kept: transpose={} would change only what sounds", excerpt(value)));
                }
            }
            "name" | "nm" => found.name = Some(text::clean(value)),
            // How older files write that the music sounds an octave away.
            "-8va" | "-8" | "8vb" => add(-1, &mut found),
            "+8va" | "+8" | "8va" => add(1, &mut found),
            "snm" | "subname" | "sname" => {}
            lower if PAGE.contains(&lower) => {}
            lower if is_clef(lower) => add(clef_octaves(lower), &mut found),
            _ => found.unknown.push(word.clone()),
        }
    }
    found
}

/// Whether a word is a clef or begins a parameter, so that its first letter is no key.
pub fn is_parameter(word: &str) -> bool {
    let name = word.split_once('=').map_or(word, |(name, _)| name).to_lowercase();
    // The clefs of one letter are keys too.
    name.chars().nth(1).is_some() && (is_clef(&name) || PAGE.contains(&name.as_str()))
}

fn is_clef(word: &str) -> bool {
    let plain = word.trim_end_matches(|c: char| c.is_ascii_digit() || "+-".contains(c));
    CLEFS.contains(&plain)
}

/// "8" below or above a clef makes the music sound an octave lower or higher (4.6).
fn clef_octaves(clef: &str) -> i32 {
    match clef {
        c if c.ends_with("-8") => -1,
        c if c.ends_with("+8") => 1,
        _ => 0,
    }
}

/// Splits at white space, but not inside quotation marks.
pub fn words(value: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    let mut quoted = Inside::Words;
    for c in value.chars() {
        match (c, quoted) {
            ('"', Inside::Words) => quoted = Inside::Quotes,
            ('"', Inside::Quotes) => quoted = Inside::Words,
            _ => {}
        }
        if c.is_whitespace() && quoted == Inside::Words {
            all.push(String::new());
        } else if let Some(last) = all.last_mut() {
            last.push(c);
        }
    }
    all.retain(|w| !w.is_empty());
    all
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Inside {
    Words,
    Quotes,
}
