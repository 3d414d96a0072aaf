//! What can go wrong when a page becomes sound.

use music::Pitch;
use thiserror::Error;

#[derive(Debug, Error)]
pub enum SoundError {
    #[error("no string sounds {0:#}: expected a pitch from B0 to C8")]
    Pitch(Pitch),
    #[error("the performance lasts {0} minutes: expected at most {1}; choose fewer measures or a faster tempo")]
    TooLong(i64, i64),
    #[error("the samples cannot be written as a WAV file: {0}")]
    Wav(#[from] hound::Error),
    #[error("this is no SoundFont: expected an SF2 file, which begins with RIFF and sfbk")]
    NoSoundFont,
    #[error("the SoundFont is cut short: expected a whole file; copy or download it again")]
    SoundFontCut,
    #[error("the SoundFont cannot be read: {0}")]
    SoundFont(rustysynth::SoundFontError),
    #[error("the SoundFont has no sound in it: expected at least one preset")]
    SoundFontEmpty,
    #[error("the SoundFont is damaged: its tables contradict each other; copy or download it again")]
    SoundFontDamaged,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pitches_have_their_signs() {
        let error = SoundError::Pitch(Pitch::parse("C#9").expect("a pitch"));
        assert_eq!(error.to_string(), "no string sounds C♯9: expected a pitch from B0 to C8");
    }
}
