//! How every lever or pedal stands before the first note; and what the page says of it, there and back.

use crate::instrument::{Instrument, Mechanism, Tuning};
use crate::settings::Part;
use music::{Key, Lever, LeverString, Pitch, PitchName, Setting, Step};
use std::collections::BTreeMap;

/// The alteration at which every lever or pedal of a harp stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Opening(BTreeMap<Part, i32>);

impl Opening {
    /// Set for a key as far as the harp can be; letters that cannot stay as tuned (pedals: natural).
    pub fn for_key(harp: &Instrument, key: &Key) -> Opening {
        let stands = |part: Part, step: Step, can: &[i32]| {
            let wanted = key.alter(step);
            let open = if matches!(part, Part::Lever(_)) { can[0] } else { 0 };
            (part, if can.contains(&wanted) { wanted } else { open })
        };
        Opening(parts(harp).into_iter().map(|(part, step, can)| stands(part, step, &can)).collect())
    }

    /// The same with what a plan says in place of the key.
    pub fn with(mut self, planned: &BTreeMap<Part, i32>) -> Opening {
        self.0.extend(planned);
        self
    }

    /// Sets levers or pedals; how many of them moved.
    pub(super) fn set(&mut self, to: &[(Part, i32)]) -> usize {
        to.iter().filter(|(part, alter)| self.0.insert(*part, *alter).is_some_and(|stood| stood != *alter)).count()
    }

    /// How a string stands.
    pub fn alter(&self, harp: &Instrument, position: i32) -> Option<i32> {
        let can = harp.settings_of(position);
        let open = *can.first()?;
        let pitch = Pitch::at_position(position, open);
        Some(Part::of(harp, pitch).and_then(|part| self.0.get(&part).copied()).unwrap_or(open))
    }

    /// Each lever or pedal with its alteration.
    pub fn parts(&self) -> &BTreeMap<Part, i32> {
        &self.0
    }

    /// The letters' alterations, C to B, where the harp has pedals.
    pub fn pedals(&self) -> Option<[i32; 7]> {
        let stands = |step: Step| self.0.get(&Part::Pedal(step)).copied();
        let all: Option<Vec<i32>> = Step::ALL.into_iter().map(stands).collect();
        all.and_then(|a| a.try_into().ok())
    }

    /// The same as a page has it.
    pub fn setting(&self, harp: &Instrument) -> Setting {
        match self.pedals().filter(|_| matches!(harp.mechanism, Mechanism::Pedals { .. })) {
            Some(alters) => Setting::Pedals(alters),
            None => Setting::Levers(self.0.iter().filter_map(|(part, alter)| lever(harp, *part, *alter)).collect()),
        }
    }

    /// What a page says, where it says it of this harp: its kind, and for levers its strings.
    pub fn read(setting: &Setting, harp: &Instrument) -> Option<Opening> {
        let all = parts(harp);
        let can = |part: &Part, alter: &i32| all.iter().any(|(own, _, can)| own == part && can.contains(alter));
        let stands: BTreeMap<Part, i32> = match (setting, &harp.mechanism) {
            (Setting::Pedals(alters), Mechanism::Pedals { .. }) => {
                Step::ALL.into_iter().map(|s| (Part::Pedal(s), alters[s as usize])).collect()
            }
            (Setting::Levers(strings), Mechanism::Levers(_)) => {
                strings.iter().map(|s| (Part::Lever(s.sounds.position()), s.sounds.alter)).collect()
            }
            _ => return None,
        };
        (stands.len() == all.len() && stands.iter().all(|(part, alter)| can(part, alter))).then_some(Opening(stands))
    }
}

fn lever(harp: &Instrument, part: Part, alter: i32) -> Option<LeverString> {
    let Part::Lever(position) = part else { return None };
    let lever = if alter == harp.open(position) { Lever::Down } else { Lever::Up };
    Some(LeverString { sounds: Pitch::at_position(position, alter), lever })
}

/// Every lever or pedal of a harp with its letter and how it can stand, lowest first.
pub fn parts(harp: &Instrument) -> Vec<(Part, Step, Vec<i32>)> {
    match &harp.mechanism {
        Mechanism::Pedals { .. } => Step::ALL.into_iter().map(|s| (Part::Pedal(s), s, vec![-1, 0, 1])).collect(),
        Mechanism::Levers(_) => {
            let strings = (harp.lowest()..=harp.highest()).map(|p| (Part::Lever(p), Step::from_index(p), harp.settings_of(p)));
            strings.filter(|s| s.2.len() > 1).collect()
        }
    }
}

/// "34 strings, C2 to A6, tuned in E♭".
pub fn strings_line(harp: &Instrument) -> String {
    let name = |position: i32| {
        let pitch = Pitch::at_position(position, 0);
        format!("{}{}", pitch.step.letter(), pitch.octave)
    };
    let range = format!("{} strings, {} to {}", harp.strings(), name(harp.lowest()), name(harp.highest()));
    let tonic = (-7..=7).map(PitchName::from_fifths).find(|tonic| Tuning::of_major(*tonic) == harp.tuning);
    match (tonic, &harp.mechanism) {
        (Some(tonic), Mechanism::Levers(_)) => {
            let sign = ["♭", "", "♯"][(tonic.alter + 1).clamp(0, 2) as usize];
            format!("{range}, tuned in {}{sign}", tonic.step.letter())
        }
        _ => range,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::Mode;

    fn major(step: Step, alter: i32) -> Key {
        Key::of(PitchName::new(step, alter), Mode::Major)
    }

    fn pedal_harp() -> Instrument {
        let flat = Tuning::of_major(PitchName::new(Step::C, -1));
        let low = Pitch::new(Step::C, 0, 1);
        Instrument::new("pedal-47".into(), low, 47, flat, Mechanism::Pedals { fixed: Vec::new() }).expect("a harp")
    }

    /// Harp facts 2.3 (levers raised from E-flat tuning).
    #[test]
    fn levers_for_the_key() {
        let harp = Instrument::lever_34();
        let line = |key: Key| Opening::for_key(&harp, &key).setting(&harp).line();
        assert_eq!(strings_line(&harp), "34 strings, C2 to A6, tuned in E♭");
        assert_eq!(line(major(Step::C, 0)), "Levers up: A♮ E♮ B♮");
        assert_eq!(line(major(Step::D, 0)), "Levers up: F♯ C♯ A♮ E♮ B♮");
        assert_eq!(line(major(Step::E, -1)), "All levers down");
    }

    /// Harp facts 9, examples 4 and 5: C natural minor and A major on pedals.
    #[test]
    fn pedals_for_the_key() {
        let harp = pedal_harp();
        let line = |key: Key| Opening::for_key(&harp, &key).setting(&harp).line();
        assert_eq!(strings_line(&harp), "47 strings, C1 to G7");
        assert_eq!(line(Key::of(PitchName::new(Step::C, 0), Mode::Minor)), "Pedals: D C B♭ | E♭ F G A♭");
        assert_eq!(line(major(Step::A, 0)), "Pedals: D C♯ B | E F♯ G♯ A");
    }

    /// Common practice: an octave that differs from its letter is named.
    #[test]
    fn strings_that_differ_are_named_and_read_back() {
        let harp = Instrument::lever_34();
        let at = |text: &str| Part::Lever(Pitch::parse(text).expect("a pitch").position());
        let planned = BTreeMap::from([(at("C4"), 0), (at("G5"), 1)]);
        let opening = Opening::for_key(&harp, &major(Step::D, 0)).with(&planned);
        let setting = opening.setting(&harp);
        assert_eq!(setting.line(), "Levers up: F♯ C♯ (not C4) A♮ E♮ B♮, G♯5");
        assert_eq!(Opening::read(&setting, &harp), Some(opening));
        let pedals = Opening::for_key(&pedal_harp(), &major(Step::E, -1));
        assert_eq!(Opening::read(&pedals.setting(&pedal_harp()), &pedal_harp()), Some(pedals.clone()));
        assert_eq!(Opening::read(&pedals.setting(&pedal_harp()), &harp), None, "a page for pedals says nothing of levers");
        let other = Instrument::new("in C".into(), Pitch::new(Step::C, 0, 2), 34, Tuning([0; 7]), harp.mechanism.clone()).expect("a harp");
        let flat = Opening::for_key(&harp, &major(Step::E, -1)).setting(&harp);
        assert_eq!(Opening::read(&flat, &other), None, "a harp in C has no E flat");
    }
}
