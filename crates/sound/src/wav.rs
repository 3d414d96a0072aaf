//! Samples as a WAV file, through the `hound` library.

use crate::error::SoundError;
use crate::samples::Samples;
use hound::{SampleFormat, WavSpec, WavWriter};
use std::io::{Cursor, Seek, Write};

/// How finely each sample is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Depth {
    /// 16 bits: the smallest, which everything plays.
    #[default]
    Sixteen,
    /// 24 bits: quiet endings keep their fineness. Older players refuse the heading that such files must have.
    TwentyFour,
}

impl Depth {
    fn bits(self) -> u16 {
        match self {
            Depth::Sixteen => 16,
            Depth::TwentyFour => 24,
        }
    }
}

/// Writes samples as whole numbers, each rounded to the nearest; what lies beyond full scale is cut there.
pub fn write(samples: &Samples, depth: Depth, to: impl Write + Seek) -> Result<(), SoundError> {
    let bits_per_sample = depth.bits();
    let channels = samples.channels.len() as u16;
    let spec = WavSpec { channels, sample_rate: samples.rate.hertz(), bits_per_sample, sample_format: SampleFormat::Int };
    let full = f64::from((1i32 << (bits_per_sample - 1)) - 1);
    let mut writer = WavWriter::new(to, spec)?;
    for i in 0..samples.length() {
        for channel in &samples.channels {
            writer.write_sample((f64::from(channel[i]).clamp(-1.0, 1.0) * full).round() as i32)?;
        }
    }
    writer.finalize()?;
    Ok(())
}

/// The whole file in memory.
pub fn bytes(samples: &Samples, depth: Depth) -> Result<Vec<u8>, SoundError> {
    let mut file = Cursor::new(Vec::new());
    write(samples, depth, &mut file)?;
    Ok(file.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::Rate;

    fn samples(channels: Vec<Vec<f32>>) -> Samples {
        Samples { rate: Rate::default(), channels }
    }

    /// RIFF WAVE: 44 bytes of heading for 16 bits, then the channels in turn, lowest byte first (Multimedia Programming Interface and Data Specifications
    /// 1.0, 1991).
    #[test]
    fn sixteen_bits_in_turn() {
        let file = bytes(&samples(vec![vec![0.0, 1.0], vec![-1.0, 0.5]]), Depth::Sixteen).expect("written");
        assert_eq!((&file[..4], &file[8..12], file.len()), (b"RIFF".as_slice(), b"WAVE".as_slice(), 52));
        assert_eq!(file[44..], [0, 0, 1, 0x80, 0xff, 0x7f, 0, 0x40]);
    }

    #[test]
    fn a_file_reads_back() {
        let file = bytes(&samples(vec![vec![0.25, -0.125, 2.0]]), Depth::TwentyFour).expect("written");
        let mut reader = hound::WavReader::new(Cursor::new(file)).expect("a WAV file");
        assert_eq!((reader.spec().channels, reader.spec().sample_rate, reader.spec().bits_per_sample), (1, 48_000, 24));
        let read: Vec<i32> = reader.samples().map(|s| s.expect("a sample")).collect();
        assert_eq!(read, [2_097_152, -1_048_576, 8_388_607]);
    }
}
