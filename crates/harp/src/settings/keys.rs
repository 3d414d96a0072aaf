//! What each key needs on a harp: the letters whose levers or pedals leave the open tuning, and whether it can be set at all.
//!
//! A key can be set when every tone of its scale has a string of its own and no string must stand two ways (harp facts 2.3). On levers the scale
//! is spelled as written or, for the whole key, enharmonically.

use crate::instrument::{Instrument, Mechanism};
use music::{Key, Mode, PitchName, Step};

/// Which scale of a key is to be set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scale {
    /// Seven tones.
    Major,
    /// With its raised seventh.
    HarmonicMinor,
}

/// A key on a harp.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeySetting {
    /// The tone at home.
    pub tonic: PitchName,
    /// Which scale.
    pub scale: Scale,
    /// The alteration of each letter, C to B; `None` where the key cannot be set.
    pub setting: Option<[i32; 7]>,
    /// The letters that leave the open tuning, in the order of sharps (F C G D A E B).
    pub moved: Vec<Step>,
}

/// The scale of a key, letter by letter, C to B.
pub fn alterations(tonic: PitchName, scale: Scale) -> [i32; 7] {
    let mode = if scale == Scale::Major { Mode::Major } else { Mode::Minor };
    let key = Key::of(tonic, mode);
    let mut alter = Step::ALL.map(|s| key.alter(s));
    if scale == Scale::HarmonicMinor {
        alter[(tonic.step as usize + 6) % 7] += 1;
    }
    alter
}

/// What one key needs on this harp, spelled so.
///
/// ```
/// use harp::Instrument;
/// use harp::settings::keys::{Scale, setting};
/// use music::{PitchName, Step};
///
/// // Harp facts 9, example 27: C major on E-flat tuning raises B, E and A.
/// let key = setting(&Instrument::lever_34(), PitchName::new(Step::C, 0), Scale::Major);
/// assert_eq!(key.moved.iter().map(|step| step.letter()).collect::<String>(), "AEB");
/// ```
pub fn setting(harp: &Instrument, tonic: PitchName, scale: Scale) -> KeySetting {
    let wanted = alterations(tonic, scale);
    let can = |step: Step| {
        let (open, want) = (harp.tuning.alter(step), wanted[step as usize]);
        match &harp.mechanism {
            Mechanism::Levers(letters) => want == open || want == open + 1 && letters.contains(&step),
            Mechanism::Pedals { .. } => want.abs() <= 1,
        }
    };
    let setting = Step::ALL.into_iter().all(can).then_some(wanted);
    let moved = match setting {
        Some(set) => Step::SHARPS.into_iter().filter(|s| set[*s as usize] != harp.tuning.alter(*s)).collect(),
        None => Vec::new(),
    };
    KeySetting { tonic, scale, setting, moved }
}

/// Every key of the circle of fifths, from C-flat to C-sharp major or from A-flat to A-sharp minor: those that can be set first, with the fewest
/// letters moved before others and flat keys before sharp ones (flat keys ring best, harp facts 1.3).
pub fn ranked(harp: &Instrument, scale: Scale) -> Vec<KeySetting> {
    let shift = if scale == Scale::Major { 0 } else { 3 };
    let mut keys: Vec<KeySetting> = (-7..=7).map(|f| setting(harp, PitchName::from_fifths(f + shift), scale)).collect();
    keys.sort_by_key(|k| (k.setting.is_none(), k.moved.len(), k.tonic.fifths()));
    keys
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::Pitch;

    fn majors(tuned: PitchName) -> Vec<String> {
        let low = Pitch::new(Step::C, 0, 2);
        let levers = Mechanism::Levers(Step::ALL.to_vec());
        let harp = Instrument::new("a harp".into(), low, 34, crate::Tuning::of_major(tuned), levers).expect("a harp");
        let settable = ranked(&harp, Scale::Major).into_iter().filter(|k| k.setting.is_some());
        settable.map(|k| k.moved.iter().map(|s| s.letter()).collect()).collect()
    }

    /// Harp facts 2.3 (arithmetic): E-flat tuning has its own key and the seven sharpwards; C tuning likewise.
    #[test]
    fn keys_of_the_tunings() {
        let e_flat = majors(PitchName::new(Step::E, -1));
        assert_eq!(e_flat, ["", "A", "AE", "AEB", "FAEB", "FCAEB", "FCGAEB", "FCGDAEB"]);
        let c = majors(PitchName::new(Step::C, 0));
        assert_eq!(c, ["", "F", "FC", "FCG", "FCGD", "FCGDA", "FCGDAE", "FCGDAEB"]);
    }

    /// Harp facts 9, examples 27, 30, 31, 32 (arithmetic; 27 also read in a teaching page on setting levers).
    #[test]
    fn keys_of_e_flat_tuning() {
        let need = |step, alter| setting(&Instrument::lever_34(), PitchName::new(step, alter), Scale::Major);
        assert_eq!(need(Step::C, 0).moved, [Step::A, Step::E, Step::B]);
        assert_eq!(need(Step::D, 0).moved.len(), 5);
        assert_eq!(need(Step::E, 0).moved.len(), 7);
        assert_eq!(need(Step::A, -1).setting, None);
    }

    /// Harp facts 2.3 (arithmetic): the harmonic minors of E-flat tuning are C, G, D, A and E.
    #[test]
    fn harmonic_minors_of_e_flat_tuning() {
        let keys = ranked(&Instrument::lever_34(), Scale::HarmonicMinor);
        let mut settable: Vec<i32> = keys.iter().filter(|k| k.setting.is_some()).map(|k| k.tonic.fifths()).collect();
        settable.sort_unstable();
        assert_eq!(settable, [0, 1, 2, 3, 4]);
    }
}
