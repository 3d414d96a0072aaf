//! One tune arranged with one set of choices: everything the page can ask about it, each made once when it is first asked for.

use crate::by_hand::{self, ByHand};
use crate::choices::Choices;
use crate::failure::Failure;
use crate::job::{Asked, Job, Setup};
use crate::report::{self, Report};
use arrange::Decision;
use arrange::keys::KeyChoice;
use check::rules::{self, Scene};
use formats::{Imported, ReadError, ReadOptions};
use harp::page::fingers::{FingeredHand, fingered};
use music::{Beats, Hand, Interval};
use std::path::Path;
use std::sync::OnceLock;

/// An arranged tune.
pub struct Worktable {
    pub setup: Setup,
    pub job: Job,
    pub report: Report,
    pub choices: Choices,
    /// Her changes of single notes, in the order of her lines.
    pub by_hand: Vec<ByHand>,
    /// Her choice of a part was not met: why, and what there is to choose.
    pub no_part: Option<String>,
    musicxml: OnceLock<String>,
    decisions: OnceLock<Vec<Decision>>,
    fingers: OnceLock<[FingeredHand; 2]>,
    keys: OnceLock<Result<Vec<KeyChoice>, Failure>>,
    check: OnceLock<check::Report>,
    said: OnceLock<Vec<check::Finding>>,
}

/// A tune as read, and why it is not read from the part she chose, where it is not.
struct Read {
    imported: Imported,
    no_part: Option<String>,
}

/// Reads a tune's bytes; what hinders it is a sentence. A chosen part that is not there, or has no melody, does not: the likeliest takes its place.
fn read(bytes: &[u8], options: &ReadOptions) -> Result<Read, Failure> {
    let sentence = |error| match error {
        ReadError::Unusable(diagnostic) => Failure::wrong(format!("line {}: {}", diagnostic.span.line, diagnostic.message)),
        other => Failure::wrong(other),
    };
    match (formats::read(bytes, options), &options.part) {
        (Ok(imported), _) => Ok(Read { imported, no_part: None }),
        (Err(error), None) => Err(sentence(error)),
        (Err(_), Some(wanted)) => {
            let imported = formats::read(bytes, &ReadOptions { part: None, ..options.clone() }).map_err(sentence)?;
            let no_part = Some(no_part(wanted, &imported));
            Ok(Read { imported, no_part })
        }
    }
}

fn no_part(wanted: &str, imported: &Imported) -> String {
    match &imported.part {
        Some(part) => format!(
            "There is no part \"{wanted}\" with a melody in this file: \"{part}\" is taken. Choose one of {} under Whole tune.",
            imported.parts.join(", ")
        ),
        None => format!("There is no part \"{wanted}\" with a melody in this file any more: it has only one part."),
    }
}

/// A tune as it was arranged with a set of choices.
pub struct Arranged {
    pub setup: Setup,
    pub job: Job,
    pub by_hand: Vec<ByHand>,
    /// Her choice of a part was not met: why, and what there is to choose.
    pub no_part: Option<String>,
}

/// Arranges a tune's bytes as a set of choices asks ([`Choices::asked`]), changes of single notes laid over.
pub fn arranged(asked: &Asked, path: &Path, bytes: &[u8]) -> Result<Arranged, Failure> {
    let choices = &asked.choices;
    let setup = Setup::of(asked, choices.player.player()?)?;
    let Read { mut imported, no_part } = read(bytes, &setup.options())?;
    let chords = setup.supply(&mut imported, bytes)?;
    let mut job = setup.arrange_read(path, imported, chords)?;
    let mut by_hand = by_hand::read_all(&choices.changes, job.arrangement.moved, &job.arrangement.tune)?;
    by_hand::lay(&setup, &mut job, &mut by_hand);
    Ok(Arranged { setup, job, by_hand, no_part })
}

impl Worktable {
    /// Arranges a tune of a folder.
    pub fn new(folder: &Path, id: &str, bytes: &[u8], choices: &Choices) -> Result<Worktable, Failure> {
        let Arranged { setup, job, by_hand, no_part } = arranged(&choices.asked(folder)?, Path::new(id), bytes)?;
        let mut report = report::report(&job, &setup);
        report.remarks.splice(0..0, no_part.clone());
        Ok(Worktable {
            report,
            setup,
            job,
            choices: choices.clone(),
            by_hand,
            no_part,
            musicxml: OnceLock::new(),
            decisions: OnceLock::new(),
            fingers: OnceLock::new(),
            keys: OnceLock::new(),
            check: OnceLock::new(),
            said: OnceLock::new(),
        })
    }

    /// The page as MusicXML.
    pub fn musicxml(&self) -> &str {
        self.musicxml.get_or_init(|| formats::musicxml::write::write(&self.job.arrangement.score))
    }

    pub fn decisions(&self) -> &[Decision] {
        self.decisions.get_or_init(|| {
            let mut all = self.setup.decisions(&self.job);
            by_hand::told(&mut all, &self.job.arrangement.score, &self.by_hand);
            all
        })
    }

    /// The fingers of a hand, all of them, whatever is printed.
    pub fn fingers(&self, hand: Hand) -> &FingeredHand {
        let score = &self.job.arrangement.score;
        let both = self.fingers.get_or_init(|| [Hand::Left, Hand::Right].map(|hand| fingered(score, hand, &self.setup.player)));
        &both[usize::from(hand == Hand::Right)]
    }

    /// Every key, best first.
    pub fn keys(&self) -> Result<&[KeyChoice], Failure> {
        let ranked = self.keys.get_or_init(|| self.setup.keys_read(&self.job.path, &self.job.imported).map(|r| r.keys));
        ranked.as_deref().map_err(Clone::clone)
    }

    /// From the page's key to the tune's own.
    pub fn back(&self) -> Interval {
        let moved = self.job.arrangement.moved;
        Interval::new(-moved.steps, -moved.semitones)
    }

    /// Everything that is said about the page, one finding a place, without repairs.
    pub fn said(&self) -> &[check::Finding] {
        let score = &self.job.arrangement.score;
        self.said.get_or_init(|| rules::all(&Scene::new(score, &self.setup.harp, &self.setup.player)))
    }

    /// What the check says about the page.
    pub fn check(&self) -> &check::Report {
        let score = &self.job.arrangement.score;
        self.check.get_or_init(|| check::check_on(score, &self.setup.harp, check::Because::Asked, &self.setup.player))
    }
}

/// A place for a chord symbol of her own: the measure of the file from 0, and the place in it.
pub fn chord_place(text: &str) -> Option<(usize, Beats)> {
    let (measure, at) = text.split_once('@')?;
    Some((measure.parse().ok()?, beats(at)?))
}

/// A length in quarter notes: "3", "3/2", "1.5".
pub fn beats(text: &str) -> Option<Beats> {
    let found = match text.split_once('/') {
        Some((above, below)) => Beats::quarters(above.parse().ok()?, below.parse().ok()?)?,
        None => match text.split_once('.') {
            Some((whole, part)) if part.len() <= 4 => {
                let scale = 10_i64.pow(part.len() as u32);
                Beats::quarters(whole.parse::<i64>().ok()?.checked_mul(scale)?.checked_add(part.parse().ok()?)?, scale)?
            }
            Some(_) => return None,
            None => Beats::quarters(text.parse().ok()?, 1)?,
        },
    };
    (found >= Beats::ZERO).then_some(found)
}

/// The name of a place for a chord symbol; [`chord_place`] reads it.
pub fn chord_name(measure: usize, at: Beats) -> String {
    match at.fraction() {
        (above, 1) => format!("{measure}@{above}"),
        (above, below) => format!("{measure}@{above}/{below}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_of_chords() {
        for text in ["3@2", "0@0", "12@3/2"] {
            let (measure, at) = chord_place(text).expect("a place");
            assert_eq!(chord_name(measure, at), text);
        }
        assert_eq!(chord_place("1@1.5"), chord_place("1@3/2"));
        for bad in ["", "3", "3@", "a@1", "3@-1", "3@1/0", "3@0.33333"] {
            assert_eq!(chord_place(bad), None, "{bad}");
        }
    }
}
