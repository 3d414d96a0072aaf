//! How levers or pedals stand all through a set, and what is moved between two tunes.
//!
//! A tune asks only for what it plucks: what it never touches stays as the tune before has left it. Before the first note everything can be set, so what a later tune is the
//! first to need stands ready from the beginning.

use super::SetTune;
use harp::page::Opening;
use harp::settings::Part;
use music::{Mark, Pitch, PitchName};
use std::collections::BTreeMap;

/// A lever or pedal moved between two tunes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Change {
    pub part: Part,
    pub from: i32,
    pub to: i32,
}

impl Change {
    /// The mark that tells it on a page.
    pub fn mark(&self) -> Mark {
        match self.part {
            Part::Lever(position) => Mark::Lever(Pitch::at_position(position, self.to)),
            Part::Pedal(step) => Mark::Pedal(PitchName::new(step, self.to)),
        }
    }
}

/// A set from its first note to its last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Course {
    /// How everything stands when each tune begins.
    pub stands: Vec<Opening>,
    /// And when it is over.
    pub after: Vec<Opening>,
    /// What is moved after each tune but the last, lowest string first.
    pub changes: Vec<Vec<Change>>,
}

impl Course {
    /// All that is moved between tunes.
    pub fn moves(&self) -> usize {
        self.changes.iter().map(Vec::len).sum()
    }
}

/// Follows the tunes in their order.
pub fn course(tunes: &[&SetTune]) -> Course {
    let mut stands = before(tunes);
    let (mut at, mut after, mut changes) = (Vec::new(), Vec::new(), Vec::new());
    for (place, tune) in tunes.iter().enumerate() {
        if place > 0 {
            changes.push(moved(&stands, &tune.needs));
            stands.extend(&tune.needs);
        }
        at.push(Opening::default().with(&stands));
        stands.extend(&tune.leaves);
        after.push(Opening::default().with(&stands));
    }
    Course { stands: at, after, changes }
}

/// How everything is set before the set begins: each part as the first tune that needs it wants it, the others as the first tune's page says.
fn before(tunes: &[&SetTune]) -> BTreeMap<Part, i32> {
    let mut all = tunes.first().map(|t| t.opening.parts().clone()).unwrap_or_default();
    for tune in tunes.iter().rev() {
        all.extend(&tune.needs);
    }
    all
}

fn moved(stands: &BTreeMap<Part, i32>, needs: &BTreeMap<Part, i32>) -> Vec<Change> {
    let other = |(part, to): (&Part, &i32)| {
        let from = *stands.get(part)?;
        (from != *to).then_some(Change { part: *part, from, to: *to })
    };
    needs.iter().filter_map(other).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::set::tests::tune;
    use harmony::kind::KindOfTune::Air;
    use music::Step;

    fn part(name: &str) -> Part {
        Part::Lever(Pitch::parse(name).expect("a pitch").position())
    }

    /// By hand: D wants F♯ and C♯, G wants F♯ and C natural, C wants F natural. G5 is first needed by the last tune: it stands so from the start.
    #[test]
    fn only_what_is_plucked_is_moved() {
        let d = tune(Step::D, Air, &["F#4", "C#5"]);
        let g = tune(Step::G, Air, &["F#4", "C5"]);
        let c = tune(Step::C, Air, &["F4", "G5"]);
        let course = course(&[&d, &g, &c]);
        assert_eq!(course.changes[0], [Change { part: part("C5"), from: 1, to: 0 }]);
        assert_eq!(course.changes[1], [Change { part: part("F4"), from: 1, to: 0 }]);
        assert_eq!(course.stands[0].parts()[&part("G5")], 0);
        assert_eq!(course.stands[2].parts()[&part("C5")], 0, "C5 stays as the tune before has left it");
        assert_eq!(course.moves(), 2);
    }
}
