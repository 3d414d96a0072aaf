//! How every lever or pedal stands before the first note, and the lines at the top left of the page that say so.
//!
//! A lever line names letters whose levers are all up, strings that differ from their letter, and single strings: "Levers up: F♯ C♯ (not C4), G♯5". The line can
//! be read back, so that what is printed can be played through.

use crate::instrument::{Instrument, Mechanism, Tuning};
use crate::settings::Part;
use music::{Key, Pitch, PitchName, Step};
use std::collections::BTreeMap;

/// Order of the pedals, left foot and right foot (harp facts 1.3).
const LEFT_FOOT: [Step; 3] = [Step::D, Step::C, Step::B];
const RIGHT_FOOT: [Step; 4] = [Step::E, Step::F, Step::G, Step::A];

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

    /// How a string stands.
    pub fn alter(&self, harp: &Instrument, position: i32) -> Option<i32> {
        let can = harp.settings_of(position);
        let open = *can.first()?;
        let pitch = Pitch::at_position(position, open);
        Some(Part::of(harp, pitch).and_then(|part| self.0.get(&part).copied()).unwrap_or(open))
    }

    pub fn parts(&self) -> &BTreeMap<Part, i32> {
        &self.0
    }

    /// The letters' alterations, C to B, where the harp has pedals.
    pub fn pedals(&self) -> Option<[i32; 7]> {
        let stands = |step: Step| self.0.get(&Part::Pedal(step)).copied();
        let all: Option<Vec<i32>> = Step::ALL.into_iter().map(stands).collect();
        all.and_then(|a| a.try_into().ok())
    }

    /// "Levers up: F♯ C♯ (not C4), G♯5", "All levers down" or "Pedals: D C B♭ | E♭ F G A".
    pub fn line(&self, harp: &Instrument) -> String {
        match (&harp.mechanism, self.pedals()) {
            (Mechanism::Levers(letters), _) if letters.is_empty() => "No levers".into(),
            (Mechanism::Pedals { .. }, Some(alter)) => {
                let names = |steps: &[Step]| steps.iter().map(|s| sign(*s, alter[*s as usize], "")).collect::<Vec<_>>().join(" ");
                format!("Pedals: {} | {}", names(&LEFT_FOOT), names(&RIGHT_FOOT))
            }
            _ => self.lever_line(harp),
        }
    }

    fn lever_line(&self, harp: &Instrument) -> String {
        let (mut letters, mut single) = (Vec::new(), Vec::new());
        for step in Step::SHARPS {
            let open = harp.tuning.alter(step);
            let strings: Vec<(i32, bool)> =
                self.0.iter().filter_map(|(part, alter)| lever(*part, step).map(|p| (p, *alter > open))).collect();
            let up = strings.iter().filter(|s| s.1).count();
            let named =
                |position: i32, alter: i32, natural| format!("{}{}", sign(step, alter, natural), Pitch::at_position(position, 0).octave);
            if up * 2 > strings.len() {
                let not: Vec<String> = strings.iter().filter(|s| !s.1).map(|s| named(s.0, 0, "")).collect();
                let letter = sign(step, open + 1, "♮");
                letters.push(if not.is_empty() { letter } else { format!("{letter} (not {})", not.join(" ")) });
            } else {
                single.extend(strings.iter().filter(|s| s.1).map(|s| named(s.0, open + 1, "♮")));
            }
        }
        let all: Vec<String> = [letters.join(" "), single.join(" ")].into_iter().filter(|l| !l.is_empty()).collect();
        if all.is_empty() { "All levers down".into() } else { format!("Levers up: {}", all.join(", ")) }
    }

    /// Reads what [`Opening::line`] writes; `None` where no line says it.
    pub fn read(lines: &[String], harp: &Instrument) -> Option<Opening> {
        lines.iter().find_map(|line| {
            if let Some(rest) = line.strip_prefix("Pedals:") {
                return read_pedals(rest);
            }
            let down = Opening(parts(harp).into_iter().map(|(part, _, can)| (part, can[0])).collect());
            match line.strip_prefix("Levers up:") {
                Some(rest) => Some(read_levers(rest, down, harp)),
                None => (line == "All levers down" || line == "No levers").then_some(down),
            }
        })
    }
}

fn lever(part: Part, step: Step) -> Option<i32> {
    match part {
        Part::Lever(position) if Step::from_index(position) == step => Some(position),
        _ => None,
    }
}

fn read_pedals(text: &str) -> Option<Opening> {
    let named = text.split([' ', '|']).filter(|t| !t.is_empty()).map(|token| {
        let step = Step::from_letter(token.chars().next()?)?;
        let alter = match &token[1..] {
            "♭" => -1,
            "♯" => 1,
            _ => 0,
        };
        Some((Part::Pedal(step), alter))
    });
    named.collect::<Option<BTreeMap<_, _>>>().filter(|all| all.len() == 7).map(Opening)
}

fn read_levers(text: &str, mut all: Opening, harp: &Instrument) -> Opening {
    let mut raise = 1;
    for token in text.split([' ', ',']).filter(|t| !t.is_empty()) {
        if token.starts_with('(') {
            raise = 0;
        }
        let mut letters = token.trim_matches(['(', ')']).chars();
        let octave = token.trim_end_matches(')').chars().last().and_then(|c| c.to_digit(10)).map(|d| d as i32);
        if let Some(step) = letters.next().and_then(Step::from_letter) {
            for (part, alter) in &mut all.0 {
                if lever(*part, step).is_some_and(|p| octave.is_none_or(|o| Pitch::at_position(p, 0).octave == o)) {
                    *alter = harp.tuning.alter(step) + raise;
                }
            }
        }
        if token.ends_with(')') {
            raise = 1;
        }
    }
    all
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
        (Some(tonic), Mechanism::Levers(_)) => format!("{range}, tuned in {}", sign(tonic.step, tonic.alter, "")),
        _ => range,
    }
}

fn sign(step: Step, alter: i32, natural: &str) -> String {
    let accidental = match alter {
        -1 => "♭",
        1 => "♯",
        _ => natural,
    };
    format!("{}{accidental}", step.letter())
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
        let line = |key: Key| Opening::for_key(&harp, &key).line(&harp);
        assert_eq!(strings_line(&harp), "34 strings, C2 to A6, tuned in E♭");
        assert_eq!(line(major(Step::C, 0)), "Levers up: A♮ E♮ B♮");
        assert_eq!(line(major(Step::D, 0)), "Levers up: F♯ C♯ A♮ E♮ B♮");
        assert_eq!(line(major(Step::E, -1)), "All levers down");
    }

    /// Harp facts 9, examples 4 and 5: C natural minor and A major on pedals.
    #[test]
    fn pedals_for_the_key() {
        let harp = pedal_harp();
        let line = |key: Key| Opening::for_key(&harp, &key).line(&harp);
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
        assert_eq!(opening.line(&harp), "Levers up: F♯ C♯ (not C4) A♮ E♮ B♮, G♯5");
        assert_eq!(Opening::read(&[opening.line(&harp)], &harp), Some(opening));
        let pedals = Opening::for_key(&pedal_harp(), &major(Step::E, -1));
        assert_eq!(Opening::read(&["a line".into(), pedals.line(&pedal_harp())], &pedal_harp()), Some(pedals));
    }
}
