//! Sound as numbers.

/// Samples a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rate(u32);

impl Rate {
    /// `None` outside 44,100 to 96,000: below, the highest strings lose their overtones; above, nothing is gained.
    pub fn new(hertz: u32) -> Option<Rate> {
        (44_100..=96_000).contains(&hertz).then_some(Rate(hertz))
    }

    pub fn hertz(self) -> u32 {
        self.0
    }

    pub fn as_f64(self) -> f64 {
        f64::from(self.0)
    }

    /// The sample nearest to an instant; the first for instants before zero.
    pub fn index(self, at: music::Seconds) -> usize {
        let parts = i128::from(at.micros()) * i128::from(self.0) + 500_000;
        usize::try_from(parts / 1_000_000).unwrap_or(0)
    }

    /// How many samples a length in seconds takes, rounded to the nearest.
    pub fn count(self, seconds: f64) -> usize {
        (seconds * self.as_f64()).round().max(0.0) as usize
    }
}

impl Default for Rate {
    /// 48,000, the usual rate of sound cards (common practice).
    fn default() -> Rate {
        Rate(48_000)
    }
}

/// One channel for a string, two (left, right) for a page, of equal length; full scale is 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Samples {
    pub rate: Rate,
    pub channels: Vec<Vec<f32>>,
}

impl Samples {
    /// The largest sample, sign left aside.
    pub fn peak(&self) -> f32 {
        self.channels.iter().flatten().fold(0.0, |most, s| most.max(s.abs()))
    }

    /// The root of the mean of all squares, 0 where there are no samples.
    pub fn mean(&self) -> f64 {
        let all = self.channels.iter().flatten();
        let squares: f64 = all.map(|s| f64::from(*s).powi(2)).sum();
        (squares / (self.length() * self.channels.len()).max(1) as f64).sqrt()
    }

    /// Samples in each channel.
    pub fn length(&self) -> usize {
        self.channels.first().map_or(0, Vec::len)
    }

    pub fn seconds(&self) -> f64 {
        self.length() as f64 / self.rate.as_f64()
    }
}
