//! What can go wrong when a page becomes sound.

use music::Pitch;
use thiserror::Error;

#[derive(Debug, Error)]
pub enum SoundError {
    #[error("no string sounds {0}: expected a pitch from B0 to C8")]
    Pitch(Pitch),
    #[error("the performance lasts {0} minutes: expected at most {1}; choose fewer measures or a faster tempo")]
    TooLong(i64, i64),
    #[error("the samples cannot be written as a WAV file: {0}")]
    Wav(#[from] hound::Error),
}
