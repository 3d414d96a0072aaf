//! Recordings of tunes made with another sound source, and how well the program finds the sheet in them.
//!
//! [`chance`] makes the same choices every time, [`played`] decides how a tune is played, [`midi`] writes it down, [`rendered`] lets a synthesizer play it and adds what
//! else is heard in a room, [`score`] compares what was found with what was played.

pub mod chance;
pub mod played;
pub mod midi;
pub mod rendered;
pub mod score;

use harmony::kind::{assumed_tempo, guess, main_meter};
use music::{LeadSheet, Tempo};
use recording::{Followed, Heard, RecordingError, follow, listen};

pub use chance::Chance;
pub use played::{Played, Wanted};
pub use score::{Compared, Figures};

/// The tempo the sheet would have in the program.
pub fn tempo(sheet: &LeadSheet) -> Option<Tempo> {
    let assumed = || Some(assumed_tempo(guess(sheet).kind, &main_meter(sheet)?));
    sheet.opening_tempo().or_else(assumed)
}

/// A recording, what is known of it and what was found in it.
pub struct Tried {
    pub played: Played,
    pub heard: Heard,
    pub found: Result<Followed, RecordingError>,
    /// How long listening and following took.
    pub seconds: f64,
}

/// Plays a tune as wanted, listens, and follows its sheet.
pub fn tried(sheet: &LeadSheet, wanted: &Wanted, chance: &mut Chance) -> Option<Tried> {
    let tempo = tempo(sheet)?;
    let played = Played::of(sheet, tempo, wanted, chance);
    let sound = rendered::sound(&played, wanted, chance);
    let begun = std::time::Instant::now();
    let heard = listen(&sound);
    let found = follow(sheet, tempo, &heard, &[]);
    Some(Tried { played, heard, found, seconds: begun.elapsed().as_secs_f64() })
}

/// How much a recording agrees with a sheet that it is not of.
pub fn agrees_with_another(sheet: &LeadSheet, heard: &Heard) -> Option<Followed> {
    follow(sheet, tempo(sheet)?, heard, &[]).ok()
}
