//! Choices that look like chance and are the same every time (SplitMix64, G. Steele, D. Lea and C. Flood, OOPSLA 2014).

pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Chance {
        Chance(seed)
    }

    pub fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.word() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.share() * (high - low)
    }

    pub fn in_hundred(&mut self, percent: u32) -> bool {
        self.share() * 100.0 < f64::from(percent)
    }

    pub fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[(self.word() % of.len() as u64) as usize]
    }

    /// About a bell curve of deviation 1 (twelve even ones, minus their mean).
    pub fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}
