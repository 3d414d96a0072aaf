//! What the words of a wish mean, wherever they were written: figures by name, fullness, tempo, kind; the key has its own file because it needs the tune. Which wishes
//! there are: [`crate::choices`].

pub mod form;
pub mod key;
pub mod tempo;
pub mod ways;

use crate::failure::Failure;
use crate::plain_file;
use crate::reader::Reader;
use arrange::keys::Voice;
use arrange::{Figures, WrittenBass};
use harmony::PhraseHere;
use harmony::kind::KindOfTune;
use harp::page::fingers::Shown;
use harp::strings::ConcertPitch;
use music::{MeasureNumber, Pitch};
use std::cmp::Ordering;
use std::ops::RangeInclusive;
use std::path::Path;

/// The figures that come with the program, with those of the player's file in place of their namesakes or behind them.
pub fn figures(path: Option<&Path>) -> Result<Figures, Failure> {
    let mut figures = Figures::own();
    let Some(path) = path else { return Ok(figures) };
    let text = plain_file::text(path, plain_file::FIGURES)?;
    let own = Figures::read(&text).map_err(|error| Failure::in_file(format_args!("{}:{}", path.display(), error.line), error.what))?;
    for figure in own.all {
        match figures.find(&figure.name) {
            Some(place) => figures.all[place] = figure,
            None => figures.all.push(figure),
        }
    }
    Ok(figures)
}

/// What any voice has ever sung, as MIDI keys: from the lowest notes written for basses to above the highest for sopranos (G1 and G6 are rare; from memory), with room.
const SUNG: RangeInclusive<i32> = 24..=96;

/// A singer's range: "A3-D5".
pub fn voice(text: &str) -> Result<Voice, Failure> {
    let wrong = |why: &str| Failure::wrong(format!("voice \"{text}\": {why}"));
    let expected = || wrong("expected its lowest and its highest note, like A3-D5");
    let (low, high) = text.split_once('-').ok_or_else(expected)?;
    let pitch = |text: &str| Pitch::parse(&text.trim().replace('♭', "b").replace('♯', "#")).ok_or_else(expected);
    let (low, high) = (pitch(low)?, pitch(high)?);
    if [low, high].iter().any(|note| !SUNG.contains(&note.midi())) {
        return Err(wrong("no voice sings so low or so high: expected notes between C1 and C7, like A3-D5"));
    }
    match low.midi().cmp(&high.midi()) {
        Ordering::Less => Ok((low, high)),
        Ordering::Equal => Err(wrong("its lowest note is its highest: expected two notes, like A3-D5")),
        Ordering::Greater => Err(wrong("its lowest note comes first, like A3-D5")),
    }
}

/// The frequency of A4 in hertz: "442", "441.5".
pub fn concert(text: &str) -> Result<ConcertPitch, Failure> {
    let hertz = text.trim().trim_end_matches("Hz").trim_end().parse().ok();
    hertz
        .and_then(ConcertPitch::new)
        .ok_or_else(|| Failure::wrong(format!("concert pitch \"{text}\": expected the frequency of A4 in hertz, 390 to 470, usually 440")))
}

pub fn fingers(text: &str) -> Result<Shown, Failure> {
    match text.trim().to_lowercase().as_str() {
        "none" => Ok(Shown::None),
        "few" => Ok(Shown::Few),
        "all" => Ok(Shown::All),
        _ => Err(Failure::wrong(format!("fingers \"{text}\": expected none, few or all"))),
    }
}

pub fn bass(text: &str) -> Result<WrittenBass, Failure> {
    match text.trim().to_lowercase().as_str() {
        "suggestion" => Ok(WrittenBass::Suggestion),
        "kept" => Ok(WrittenBass::Kept),
        _ => Err(Failure::wrong(format!("bass \"{text}\": expected kept (a written bass, as in C/E, is always played) or suggestion"))),
    }
}

pub fn kind(text: &str) -> Result<KindOfTune, Failure> {
    KindOfTune::parse(&text.replace('-', " ")).ok_or_else(|| {
        let names: Vec<&str> = KindOfTune::ALL.iter().map(|k| k.name()).collect();
        Failure::wrong(format!("there is no kind of tune \"{text}\": expected {}", names.join(", ")))
    })
}

pub fn fullness(text: &str) -> Result<u8, Failure> {
    let number = text.trim().parse().ok().filter(|n| *n <= 6);
    number
        .ok_or_else(|| Failure::wrong(format!("fullness \"{text}\": expected 0 (nothing) to 6, or one number a verse with commas between")))
}

/// The figure's name as the program has it; spaces may stand for hyphens.
pub fn figure(text: &str, figures: &Figures, reader: Reader) -> Result<String, Failure> {
    let name = text.trim().to_lowercase().replace(' ', "-");
    if figures.find(&name).is_some() {
        return Ok(name);
    }
    let nearest = figures
        .all
        .iter()
        .map(|f| (likeness(&name, &f.name), &f.name))
        .max_by_key(|(likeness, name)| (*likeness, std::cmp::Reverse(name.len())));
    let all = reader.either("\"undersong figures\" lists them all", "all of them are listed under Whole tune");
    let hint = match nearest {
        Some((likeness, nearest)) if likeness >= 400 => format!("perhaps {nearest}; {all}"),
        _ => all.to_owned(),
    };
    Err(Failure::wrong(format!("there is no figure \"{}\" ({hint})", text.trim())))
}

/// How many pairs of neighbouring letters two names share, in thousandths of all.
fn likeness(a: &str, b: &str) -> usize {
    let pairs = |text: &str| text.as_bytes().windows(2).map(<[u8]>::to_vec).collect::<Vec<_>>();
    let (a, mut b) = (pairs(a), pairs(b));
    let all = a.len() + b.len();
    let shared = a.iter().filter(|pair| b.iter().position(|other| other == *pair).map(|at| b.swap_remove(at)).is_some()).count();
    2000 * shared / all.max(1)
}

/// A measure and what is wished of it, as the command line has both: "5=open-fifth". Errors: no such pair; what was expected instead.
pub fn pair(what: &str, text: &str, expected: &str) -> Result<(String, String), Failure> {
    let (measure, wish) = text.split_once('=').ok_or_else(|| Failure::wrong(format!("{what} \"{text}\": {expected}")))?;
    Ok((measure.trim().to_owned(), wish.trim().to_owned()))
}

/// What a figure that is held needs.
pub const HOLD: &str = "expected a measure and a figure, like 5=open-fifth";

/// A figure held in a measure.
pub fn hold(measure: &str, name: &str, figures: &Figures, reader: Reader) -> Result<(MeasureNumber, String), Failure> {
    let number = measure.trim().parse().map_err(|_| Failure::wrong(format!("hold \"{measure}={name}\": {HOLD}")))?;
    Ok((number, figure(name, figures, reader)?))
}

/// What is said of a phrase needs.
pub const PHRASE: &str = "expected a measure, and whether a phrase begins or goes on there, like 9=begins or 13=goes-on";

/// What she says of a phrase at a measure: "begins", "goes on".
pub fn phrase(measure: &str, here: &str) -> Result<(MeasureNumber, PhraseHere), Failure> {
    let expected = || Failure::wrong(format!("phrase \"{measure}={here}\": {PHRASE}"));
    let said = match here.trim().to_lowercase().replace('-', " ").as_str() {
        "begins" => PhraseHere::Begins,
        "goes on" => PhraseHere::GoesOn,
        _ => return Err(expected()),
    };
    Ok((measure.trim().parse().map_err(|_| expected())?, said))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn says<T: std::fmt::Debug>(outcome: Result<T, Failure>) -> String {
        match outcome {
            Err(Failure::Wrong(text)) => text,
            other => format!("{other:?}"),
        }
    }

    #[test]
    fn figures_by_name() {
        let figures = Figures::own();
        assert_eq!(figure("Open Fifth", &figures, Reader::CommandLine), Ok("open-fifth".into()));
        assert_eq!(
            says(figure("opn-fifth", &figures, Reader::CommandLine)),
            "there is no figure \"opn-fifth\" (perhaps open-fifth; \"undersong figures\" lists them all)"
        );
        assert_eq!(says(figure("zzz", &figures, Reader::CommandLine)), "there is no figure \"zzz\" (\"undersong figures\" lists them all)");
        assert_eq!(says(figure("zzz", &figures, Reader::Page)), "there is no figure \"zzz\" (all of them are listed under Whole tune)");
    }

    #[test]
    fn voices_and_fingers() {
        assert_eq!(voice("A3 - D♭5").map(|v| (v.0.to_string(), v.1.to_string())), Ok(("A3".into(), "Db5".into())));
        assert_eq!(says(voice("D5-A3")), "voice \"D5-A3\": its lowest note comes first, like A3-D5");
        assert_eq!(says(voice("A3-A3")), "voice \"A3-A3\": its lowest note is its highest: expected two notes, like A3-D5");
        for bad in ["A9-A2", "A2-A9", "C0-C4"] {
            assert_eq!(
                says(voice(bad)),
                format!("voice \"{bad}\": no voice sings so low or so high: expected notes between C1 and C7, like A3-D5")
            );
        }
        for bad in ["zz", "", "-", "A3", "A3-", "H3-D5", "A3-D5-E6"] {
            assert_eq!(says(voice(bad)), format!("voice \"{bad}\": expected its lowest and its highest note, like A3-D5"));
        }
        assert_eq!(says(fingers("some")), "fingers \"some\": expected none, few or all");
    }

    /// ISO 16:1975: 440 Hz; the limits are those of [`ConcertPitch::new`].
    #[test]
    fn concert_pitches() {
        assert_eq!(concert(" 440 Hz"), Ok(ConcertPitch::default()));
        assert_eq!(concert("441.5").ok(), ConcertPitch::new(441.5));
        let expected = "expected the frequency of A4 in hertz, 390 to 470, usually 440";
        for bad in ["500", "A", ""] {
            assert_eq!(says(concert(bad)), format!("concert pitch \"{bad}\": {expected}"));
        }
    }

    #[test]
    fn phrases_by_measure() {
        assert_eq!(phrase("9 ", " begins"), Ok((9.into(), PhraseHere::Begins)));
        assert_eq!(phrase("13", "goes-on"), Ok((13.into(), PhraseHere::GoesOn)));
        for (measure, here) in [("9", "ends"), ("x", "begins")] {
            assert_eq!(says(phrase(measure, here)), format!("phrase \"{measure}={here}\": {PHRASE}"));
        }
        assert_eq!(says(pair("phrase", "9", PHRASE)), format!("phrase \"9\": {PHRASE}"));
        assert_eq!(pair("phrase", "9 = begins", PHRASE), Ok(("9".into(), "begins".into())));
    }

    #[test]
    fn holds_and_fullness() {
        let figures = Figures::own();
        assert_eq!(hold("5", "drone", &figures, Reader::Page), Ok((5.into(), "drone".into())));
        assert_eq!(says(hold("x", "drone", &figures, Reader::Page)), format!("hold \"x=drone\": {HOLD}"));
        assert_eq!(says(fullness("7")), "fullness \"7\": expected 0 (nothing) to 6, or one number a verse with commas between");
    }
}
