//! What a book's lists have to know of a tune: a few numbers of its page, kept when everything else of it is let go.

use crate::job::{Job, Setup};
use crate::versions::together::demands;
use music::{Key, Lever, Pitch, Score, Setting};
use practice::level::moves;
use practice::set::SetTune;

#[derive(Clone, Debug, PartialEq)]
pub struct Facts {
    pub title: String,
    pub by: String,
    /// As printed.
    pub key: Key,
    pub harp: String,
    /// "Levers up: F♯ C♯", as it stands at the top of the page, and how many levers that are, or pedals that are not natural.
    pub setting: String,
    pub set: usize,
    /// Levers or pedals moved while playing, as printed.
    pub moves: usize,
    /// The lowest and the highest string of both hands; none where nothing is played.
    pub strings: Option<(Pitch, Pitch)>,
    /// Strings from the lowest to the highest that the left hand has ahead at once, both counted.
    pub wide: i32,
    /// The most strings that it plucks at once.
    pub together: usize,
    /// 1, 2 or 3 ([`practice::level`]).
    pub level: u8,
    /// For the order that moves least.
    pub in_a_set: SetTune,
}

impl Facts {
    pub fn of(setup: &Setup, job: &Job) -> Facts {
        let made = &job.arrangement;
        let opening = &made.plan.settled.page.opening;
        let setting = opening.setting(&setup.harp);
        let demands = demands(setup, job);
        let in_a_set = SetTune::of(&made.score, opening, made.kind.kind, &setup.harp);
        Facts {
            title: job.title(),
            by: job.imported.sheet.words.composer.clone().unwrap_or_default().trim().to_owned(),
            key: in_a_set.key.clone(),
            harp: setup.harp.name.clone(),
            setting: setting.line(),
            set: set(&setting),
            moves: moves(&made.score),
            strings: strings(&made.score),
            wide: demands.wide,
            together: demands.together,
            level: demands.level(),
            in_a_set,
        }
    }
}

/// How many levers are up, or pedals not natural.
fn set(setting: &Setting) -> usize {
    match setting {
        Setting::Levers(strings) => strings.iter().filter(|string| string.lever == Lever::Up).count(),
        Setting::Pedals(alters) => alters.iter().filter(|alter| **alter != 0).count(),
    }
}

fn strings(score: &Score) -> Option<(Pitch, Pitch)> {
    let notes = score.measures.iter().flat_map(|m| m.left.iter().chain(&m.right));
    let positions: Vec<i32> = notes.flat_map(|note| note.playable()).map(Pitch::position).collect();
    let string = |position: i32| Pitch::at_position(position, 0);
    Some((string(*positions.iter().min()?), string(*positions.iter().max()?)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::typed::tests::gate;

    // The melody reaches up to D5 and has F♯ and C♯; the harp's open strings are those of E♭ (data/instruments), so that A, E and B are raised too.
    #[test]
    fn a_page_is_looked_at() {
        let (setup, job) = gate();
        let facts = Facts::of(&setup, &job);
        assert_eq!((facts.title.as_str(), facts.by.as_str(), facts.key.to_string().as_str()), ("The Gate", "Undersong", "D major"));
        assert!(facts.setting.starts_with("Levers up: F♯") && facts.set > 5, "{} {}", facts.setting, facts.set);
        let (low, high) = facts.strings.expect("it plays");
        assert_eq!(high.to_string(), "D5");
        assert!(low.position() < high.position() - 7, "a left hand below the melody: {low}");
        assert_eq!(facts.moves, 0);
        assert!((1..=3).contains(&facts.level) && facts.wide >= 5 && (1..=4).contains(&facts.together));
    }
}
