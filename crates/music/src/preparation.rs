//! What is done before the first note: the strings a page wants, and how its levers or pedals stand.
//!
//! How they stand is data; [`Setting::line`] is how a page says it in words.

use crate::pitch::{Pitch, Step};

/// Order of the pedals, left foot and right foot (harp facts 1.3).
const LEFT_FOOT: [Step; 3] = [Step::D, Step::C, Step::B];
const RIGHT_FOOT: [Step; 4] = [Step::E, Step::F, Step::G, Step::A];

/// What stands at the top left of a page for two hands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Preparation {
    /// In words: "34 strings, C2 to A6, tuned in E♭".
    pub lines: Vec<String>,
    /// Before the first note; `None` where the page does not say.
    pub setting: Option<Setting>,
}

/// How all levers or pedals of a harp stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Setting {
    /// Every string that has a lever, lowest first.
    Levers(Vec<LeverString>),
    /// Alterations from C to B, -1 to 1.
    Pedals([i32; 7]),
}

/// A string with a lever.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeverString {
    /// What it sounds now.
    pub sounds: Pitch,
    /// Where its lever stands.
    pub lever: Lever,
}

/// Where a lever stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lever {
    /// The string sounds as it is tuned.
    Down,
    /// The string sounds a half step higher.
    Up,
}

impl Preparation {
    /// All of it in words, a line each.
    pub fn in_words(&self) -> Vec<String> {
        self.lines.iter().cloned().chain(self.setting.as_ref().map(Setting::line)).collect()
    }
}

impl Setting {
    /// "Levers up: F♯ C♯ (not C4), G♯5", "All levers down" or "Pedals: D C B♭ | E♭ F G A". A letter is named alone where most of its levers are up; strings that
    /// differ from their letter and single strings are named with their octave.
    ///
    /// ```
    /// use music::Setting;
    ///
    /// // Common practice: pedals are told from left to right as they lie; B-flat major has two flats.
    /// assert_eq!(Setting::Pedals([0, 0, -1, 0, 0, 0, -1]).line(), "Pedals: D C B♭ | E♭ F G A");
    /// ```
    pub fn line(&self) -> String {
        match self {
            Setting::Pedals(alter) => {
                let names = |steps: &[Step]| steps.iter().map(|s| named(*s, alter[*s as usize], "")).collect::<Vec<_>>().join(" ");
                format!("Pedals: {} | {}", names(&LEFT_FOOT), names(&RIGHT_FOOT))
            }
            Setting::Levers(strings) if strings.is_empty() => "No levers".into(),
            Setting::Levers(strings) => lever_line(strings),
        }
    }
}

fn lever_line(strings: &[LeverString]) -> String {
    let (mut letters, mut single) = (Vec::new(), Vec::new());
    for step in Step::SHARPS {
        let (up, down): (Vec<Pitch>, Vec<Pitch>) = {
            let (up, down): (Vec<&LeverString>, Vec<&LeverString>) =
                strings.iter().filter(|s| s.sounds.step == step).partition(|s| s.lever == Lever::Up);
            let sounds = |all: Vec<&LeverString>| all.into_iter().map(|s| s.sounds).collect();
            (sounds(up), sounds(down))
        };
        match up.first() {
            Some(first) if up.len() > down.len() => {
                let letter = named(step, first.alter, "♮");
                let not: Vec<String> = down.iter().map(|p| format!("{}{}", step.letter(), p.octave)).collect();
                letters.push(if not.is_empty() { letter } else { format!("{letter} (not {})", not.join(" ")) });
            }
            _ => single.extend(up.iter().map(|p| format!("{}{}", named(step, p.alter, "♮"), p.octave))),
        }
    }
    let all: Vec<String> = [letters.join(" "), single.join(" ")].into_iter().filter(|l| !l.is_empty()).collect();
    if all.is_empty() { "All levers down".into() } else { format!("Levers up: {}", all.join(", ")) }
}

fn named(step: Step, alter: i32, natural: &str) -> String {
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

    fn levers(down: &[&str], up: &[&str]) -> Setting {
        let string = |lever: Lever| move |p: &&str| LeverString { sounds: Pitch::parse(p).expect("a pitch"), lever };
        let mut strings: Vec<LeverString> = down.iter().map(string(Lever::Down)).chain(up.iter().map(string(Lever::Up))).collect();
        strings.sort_by_key(|s| s.sounds.position());
        Setting::Levers(strings)
    }

    /// Common practice: a letter for all its octaves, an octave that differs from its letter by its name.
    #[test]
    fn levers_in_words() {
        assert_eq!(levers(&["C4", "E4"], &["C#3", "C#5", "B4"]).line(), "Levers up: C♯ (not C4) B♮");
        assert_eq!(levers(&["G3", "G4"], &["G#5"]).line(), "Levers up: G♯5");
        assert_eq!(levers(&["C4"], &[]).line(), "All levers down");
        assert_eq!(levers(&[], &[]).line(), "No levers");
    }

    /// Harp facts 9, examples 4 and 5: C natural minor and A major.
    #[test]
    fn pedals_in_words() {
        assert_eq!(Setting::Pedals([0, 0, -1, 0, 0, -1, -1]).line(), "Pedals: D C B♭ | E♭ F G A♭");
        assert_eq!(Setting::Pedals([1, 0, 0, 1, 1, 0, 0]).line(), "Pedals: D C♯ B | E F♯ G♯ A");
    }
}
