//! What the arranger noticed, in sentences for a harpist; a tune moved by octaves comes first.

use super::chords;
use super::melody;
use super::phrases::spaced;
use crate::job::{Job, Setup};
use crate::reader::Reader;
use crate::wishes::tempo;
use arrange::Remark;
use music::{Interval, Key, MeasureNumber, Mode};

/// The remarks worth a sentence. The assumed tempo and the tunes of a file have lines of their own in the report of the command line, not on the page.
pub fn sentences(job: &Job, setup: &Setup) -> Vec<String> {
    let mut remarks: Vec<&Remark> = job.arrangement.remarks.iter().collect();
    remarks.sort_by_key(|remark| {
        !matches!(remark, Remark::MovedByOctaves(_) | Remark::LeavesTheHarp(_) | Remark::Missing(_) | Remark::MelodyStays { .. })
    });
    let reader = setup.reader();
    let mut made: Vec<String> = remarks.into_iter().filter_map(|remark| sentence(remark, reader)).collect();
    made.extend(job.arrangement.remarks.contains(&Remark::NoChords).then(|| chords::none(job, reader)));
    made.extend(chords::sentences(job, reader));
    made.extend(setup.instead(job));
    made.extend(moved(job));
    made.extend([first_of_several(job), likeliest_part(job, setup)].into_iter().flatten().filter(|_| reader == Reader::Page));
    made
}

fn sentence(remark: &Remark, reader: Reader) -> Option<String> {
    Some(match remark {
        Remark::MovedByOctaves(octaves) => {
            let way = if *octaves > 0 { "up" } else { "down" };
            let count = match octaves.unsigned_abs() {
                1 => "an octave".to_owned(),
                n => format!("{n} octaves"),
            };
            format!("The melody goes beyond this harp as written, so the whole tune is moved {way} {count}.")
        }
        Remark::LeavesTheHarp(measures) => {
            format!(
                "The melody goes beyond this harp in {}, and another octave does not help: the harp has no strings for those notes. Try another {}.",
                in_measures(measures),
                reader.either("--key", "key from the list under Whole tune")
            )
        }
        Remark::Missing(said) => format!("{said}."),
        Remark::LiesLow => format!(
            "The melody lies low and leaves the left hand little room; {} it would have more.",
            reader.either("with --octave 1", "an octave higher (Octave up, under Whole tune)")
        ),
        // Said by `chords::none`, which knows what else the file has.
        Remark::NoChords => return None,
        Remark::TempoAssumed(_) if reader == Reader::CommandLine => return None,
        Remark::TempoAssumed(assumed) => format!(
            "No tempo is written, so {} is assumed for a tune of this kind; you can set yours under Whole tune.",
            tempo::in_words(*assumed)
        ),
        Remark::TempoInWords(measures) => format!(
            "Words change the tempo in {}, and how much is a guess: after rit. the music goes at three quarters of its tempo, after accel. a quarter faster. \
             A metronome mark there says it exactly.",
            in_measures(measures)
        ),
        Remark::NoInterlude => format!(
            "An interlude stands between two verses, and there is only one: {}.",
            reader.either("--fullness 3,3 makes two", "Add a verse, under Whole tune, makes two")
        ),
        Remark::HoldNotPlayable { measure, figure } => {
            let figure = spaced(figure);
            format!(
                "You hold {figure} in {}, and it cannot be played in all of the measure: the nearest figure that can be played stands in.",
                measure.in_words()
            )
        }
        Remark::WayNotPlayable { measure } => format!(
            "The way you took for {} cannot be played there any more: another stands in. Let it go, or take another.",
            measure.in_words()
        ),
        Remark::HoldNowhere { measure } => format!("You hold a figure in measure {measure}, but no measure has that number."),
        Remark::PhraseStays { measure, begins: true } => {
            format!("You let a phrase begin at {}, and it cannot: only a whole measure of the tune begins one.", measure.in_words())
        }
        Remark::PhraseStays { measure, begins: false } => format!(
            "You let the phrase go on at {}, but a section begins there (a repeat, a double bar or a label), or the phrase would be longer than sixteen measures: it begins there still.",
            measure.in_words()
        ),
        Remark::PhraseNowhere { measure } => format!("You say how the phrases go at measure {measure}, but no measure has that number."),
        Remark::MelodyStays { verses, why } => melody::stays(verses, why, reader),
        Remark::NoSuchVerse(verses) => {
            format!("The left hand is to have the melody of {}, and there is no such verse.", melody::of_verses(verses))
        }
        Remark::NoRoom(measures) => {
            format!("There is no room for the left hand under the melody in {}: it rests there.", in_measures(measures))
        }
    })
}

/// A file of several tunes, of which only the first is shown.
fn first_of_several(job: &Job) -> Option<String> {
    let count = job.imported.tunes.len();
    (count > 1)
        .then(|| format!("The file has {count} tunes and this is the first. Bring it in on the shelf, and each becomes a tune of its own."))
}

/// A score of several parts, of which she has chosen none.
fn likeliest_part(job: &Job, setup: &Setup) -> Option<String> {
    let imported = &job.imported;
    let part = imported.part.as_ref().filter(|_| setup.options().part.is_none())?;
    Some(format!("The melody is taken from \"{part}\", one of {} parts; you can choose another under Whole tune.", imported.parts.len()))
}

/// A wished key is met with the tune's own mode, so both keys are named.
fn moved(job: &Job) -> Option<String> {
    let by = job.wishes.transpose.filter(|by| *by != Interval::UNISON)?;
    let from: &Key = &job.imported.sheet.measures.first()?.frame.key;
    let way = if by.semitones > 0 { "up" } else { "down" };
    let octaves = by.semitones.abs() / 12;
    let far = match (by.semitones % 12, octaves) {
        (0, 1) => " an octave".to_owned(),
        (0, n) => format!(" {n} octaves"),
        _ if from.mode == Mode::Other => String::new(),
        _ => format!(" from {from:#} to {:#}", from.up(by)),
    };
    Some(format!("Moved {way}{far}, as you asked."))
}

/// "measure 3", "measures 3, 4 and 7", runs joined: "measures 3-6 and 9".
pub fn in_measures(numbers: &[MeasureNumber]) -> String {
    music::number::listed(&runs(numbers))
}

fn runs(numbers: &[MeasureNumber]) -> Vec<String> {
    let mut runs: Vec<(MeasureNumber, MeasureNumber)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *number == *last || last.count > 0 && number.follows(*last) => *last = *number,
            _ => runs.push((*number, *number)),
        }
    }
    runs.iter().map(|(first, last)| if first == last { first.to_string() } else { format!("{first}-{}", last.count) }).collect()
}

/// How the tempo was come by.
pub fn tempo_line(job: &Job) -> String {
    let arrangement = &job.arrangement;
    let words = tempo::in_words(arrangement.score.tempo);
    match (arrangement.tempo_assumed, job.wishes.tempo.is_some()) {
        (true, _) => format!("{words}, assumed for a tune of this kind because none is written (--tempo changes it)"),
        (_, true) => format!("{words}, as you wish{}", later_marks(job)),
        _ => format!("{words}, as written{}", later_marks(job)),
    }
}

/// How many later marks are named.
const MARKS: usize = 3;

/// "; in measure 9 quarter note = 60", for each mark after the first.
fn later_marks(job: &Job) -> String {
    let frames = job.arrangement.tune.sheet.measures.iter().map(|m| &m.frame);
    let marks: Vec<String> =
        frames.flat_map(|f| f.tempos.iter().map(|(_, mark)| format!("; in {} {}", f.number.in_words(), tempo::in_words(*mark)))).collect();
    let more = marks.len().saturating_sub(MARKS);
    let rest = if more > 0 { format!("; and {more} more") } else { String::new() };
    marks[..marks.len() - more].concat() + &rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use arrange::below::{Help, Refused};
    use harp::fingering::alone::Why;
    use music::Seconds;

    /// Every remark, in words that name something on the page and nothing to type.
    #[test]
    fn the_page_names_no_option() {
        let tempo = music::Tempo::of(music::Beats::QUARTER, 96).expect("a tempo");
        let told = |remark: Remark, reader| sentence(&remark, reader).unwrap_or_default();
        let all = || {
            [
                Remark::MovedByOctaves(1),
                Remark::LeavesTheHarp(vec![3.into()]),
                Remark::Missing("One note cannot be played on this harp: in measure 3 no string of this harp can be set to F♯4".into()),
                Remark::LiesLow,
                Remark::TempoAssumed(tempo),
                Remark::TempoInWords(vec![4.into()]),
                Remark::HoldNotPlayable { measure: 2.into(), figure: "drone".into() },
                Remark::WayNotPlayable { measure: 2.into() },
                Remark::HoldNowhere { measure: 99.into() },
                Remark::PhraseStays { measure: 1.into(), begins: false },
                Remark::PhraseStays { measure: 1.into(), begins: true },
                Remark::PhraseNowhere { measure: 99.into() },
                Remark::NoRoom(vec![1.into()]),
                Remark::NoSuchVerse(vec![2]),
                Remark::MelodyStays { verses: vec![0], why: Refused::NoOctave { strings: 40, harp: 26 } },
                Remark::MelodyStays {
                    verses: vec![0, 1],
                    why: Refused::Levers { measures: vec![4.into()], help: vec![Help::LeversRight, Help::AnotherKey] },
                },
                Remark::MelodyStays {
                    verses: vec![1],
                    why: Refused::Hand {
                        first: 3.into(),
                        places: 2,
                        why: Why::Run { time: Seconds::from_millis(120), wanted: Seconds::from_millis(167) },
                        help: vec![Help::Slower(tempo), Help::Fluency(harp::Fluency::Advanced)],
                    },
                },
            ]
        };
        for remark in all() {
            let text = told(remark, Reader::Page);
            assert!(!text.is_empty() && !text.contains("--"), "{text}");
        }
        assert_eq!(
            told(Remark::TempoAssumed(tempo), Reader::Page),
            "No tempo is written, so quarter note = 96 is assumed for a tune of this kind; you can set yours under Whole tune."
        );
        assert_eq!(
            told(Remark::LiesLow, Reader::Page),
            "The melody lies low and leaves the left hand little room; an octave higher (Octave up, under Whole tune) it would have more."
        );
        assert!(told(Remark::LiesLow, Reader::CommandLine).contains("with --octave 1 it"));
    }

    #[test]
    fn measures_in_words() {
        let said = |numbers: &[u32]| in_measures(&numbers.iter().map(|n| (*n).into()).collect::<Vec<_>>());
        assert_eq!(said(&[3]), "measure 3");
        assert_eq!(said(&[3, 4, 5, 9]), "measures 3-5 and 9");
        assert_eq!(said(&[1, 3, 5]), "measures 1, 3 and 5");
        assert_eq!(said(&[1, 2]), "measures 1-2");
        assert_eq!(said(&[0, 1, 2]), "the pickup and measures 1-2");
        let added = |part, count| MeasureNumber { part, count };
        let ending = |count| added(music::Part::Ending, count);
        assert_eq!(
            in_measures(&[added(music::Part::Introduction, 4), 1.into(), ending(1), ending(2)]),
            "measures introduction 4, 1 and ending 1-2"
        );
    }
}
