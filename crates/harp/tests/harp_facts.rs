//! The worked examples of the harp facts, section 9, as far as they concern the instrument, its settings and one hand; each with its source. Examples 43 to 48
//! and 52 are the check's (low intervals, the right hand's lowest string), 60 is MusicXML's, 56 and 57 are the chord symbols'.

#[path = "harp_facts/hands.rs"]
mod hands;
#[path = "harp_facts/levers.rs"]
mod levers;
#[path = "harp_facts/pedals.rs"]
mod pedals;
#[path = "harp_facts/pitches.rs"]
mod pitches;

use harp::{Instrument, Mechanism, Tuning};
use music::{Pitch, PitchName, Step};

fn pitch(text: &str) -> Pitch {
    Pitch::parse(text).expect("a pitch")
}

fn tonic(text: &str) -> PitchName {
    pitch(&format!("{text}4")).name()
}

fn harp(lowest: &str, strings: u32, tuned: &str, mechanism: Mechanism) -> Instrument {
    Instrument::new("a harp".into(), pitch(lowest), strings, Tuning::of_major(tonic(tuned)), mechanism).expect("a harp")
}

fn lever_harp(lowest: &str, strings: u32, tuned: &str) -> Instrument {
    harp(lowest, strings, tuned, Mechanism::Levers(Step::ALL.to_vec()))
}

fn pedal_harp(lowest: &str, strings: u32) -> Instrument {
    harp(lowest, strings, "Cb", Mechanism::Pedals { fixed: Vec::new() })
}
