//! What there is to choose from on the page, each value with the words that stand beside it: the page has no list of its own, so that a new value is
//! written here and in the reading of its word.

use harmony::kind::KindOfTune;
use serde::Serialize;

/// A value as the file of choices has it, and its words; an empty value is no choice.
pub type Worded = (&'static str, &'static str);

#[derive(Serialize)]
pub struct Lists {
    /// The kinds of tune, by name.
    pub kinds: Vec<&'static str>,
    /// What each fullness is, from 0.
    pub fullness: [&'static str; 7],
    pub fingers: [Worded; 3],
    pub fluency: [Worded; 3],
    pub bass: [Worded; 2],
    /// Of an introduction, a vamp, an interlude.
    pub measures: [Worded; 3],
    pub ending: [Worded; 4],
    pub ways_out: [Worded; 2],
    pub repeats: [Worded; 2],
}

pub fn lists() -> Lists {
    let mut kinds = KindOfTune::ALL.map(KindOfTune::name).to_vec();
    kinds.sort_unstable();
    Lists {
        kinds,
        fullness: ["the melody alone", "a bass note now and then", "plain", "gentle", "flowing", "full", "very full"],
        fingers: [("none", "none"), ("few", "where the hand is placed anew"), ("all", "all")],
        fluency: [("slow", "slow"), ("fluent", "fluent"), ("advanced", "advanced")],
        bass: [("", "a strong suggestion"), ("kept", "always kept")],
        measures: [("", "none"), ("2", "2 measures"), ("4", "4 measures")],
        ending: [
            ("", "none"),
            ("short", "short: one chord"),
            ("usual", "usual: the last two measures once more"),
            ("fading", "fading: four measures"),
        ],
        ways_out: [("", "not printed"), ("printed", "printed at the ends of phrases")],
        repeats: [("", "with their signs"), ("written-out", "written out")],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choices::{Choices, PlayerChoices};
    use crate::job::Setup;
    use crate::wishes::form::FormWords;
    use std::path::Path;

    /// Every value that is offered is read.
    #[test]
    fn what_is_offered_can_be_chosen() {
        let lists = lists();
        let some = |value: &str| Some(value.to_owned()).filter(|v| !v.is_empty());
        let form = |form: FormWords| Choices { form, ..Choices::default() };
        let mut all: Vec<Choices> = Vec::new();
        all.extend(lists.kinds.iter().map(|kind| Choices { kind: some(kind), ..Choices::default() }));
        all.extend((0..lists.fullness.len() as u8).map(|n| Choices { fullness: vec![n], ..Choices::default() }));
        all.extend(lists.fingers.map(|(v, _)| Choices { fingers: v.into(), ..Choices::default() }));
        all.extend(
            lists
                .fluency
                .map(|(v, _)| Choices { player: PlayerChoices { fluency: v.into(), ..PlayerChoices::default() }, ..Choices::default() }),
        );
        all.extend(lists.bass.map(|(v, _)| Choices { bass: some(v), ..Choices::default() }));
        all.extend(lists.measures.map(|(v, _)| form(FormWords { vamp: some(v), ..FormWords::default() })));
        all.extend(lists.ending.map(|(v, _)| form(FormWords { ending: some(v), ..FormWords::default() })));
        all.extend(lists.ways_out.map(|(v, _)| form(FormWords { ways_out: some(v), ..FormWords::default() })));
        all.extend(lists.repeats.map(|(v, _)| form(FormWords { repeats: some(v), ..FormWords::default() })));
        for choices in all {
            let read = choices.player.player().and_then(|player| Setup::of(&choices.asked(Path::new("tunes"))?, player));
            assert!(read.is_ok(), "{choices:?}");
        }
        let seven = Choices { fullness: vec![lists.fullness.len() as u8], ..Choices::default() };
        let asked = seven.asked(Path::new("tunes")).expect("a number");
        assert!(Setup::new(&asked).is_err(), "no more fullness than there are words for");
    }
}
