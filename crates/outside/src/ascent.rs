//! The way up to the likeliest worths: a gradient ascent with strides by mean and spread of the slopes (Kingma and Ba 2015, Adam), the same numbers every time.

/// How many steps, how long the first stride is, and by which share strides have shortened at the last.
pub struct Ascent {
    pub steps: usize,
    pub stride: f64,
    pub shortens: f64,
    /// How strongly worths are kept small.
    pub small: f64,
}

impl Ascent {
    /// The worths; `add_slope` adds to a slope what the cases say at some worths.
    pub fn climb(&self, count: usize, add_slope: impl Fn(&[f64], &mut [f64])) -> Vec<f64> {
        let (mut worths, mut mean, mut spread) = (vec![0.0; count], vec![0.0; count], vec![0.0; count]);
        for step in 1..=self.steps {
            let mut slope: Vec<f64> = worths.iter().map(|w| -self.small * w).collect();
            add_slope(&worths, &mut slope);
            let stride = self.stride * (1.0 - self.shortens * step as f64 / self.steps as f64);
            for i in 0..count {
                mean[i] = 0.9 * mean[i] + 0.1 * slope[i];
                spread[i] = 0.99 * spread[i] + 0.01 * slope[i] * slope[i];
                let mean = mean[i] / (1.0 - 0.9_f64.powi(step as i32));
                let spread = spread[i] / (1.0 - 0.99_f64.powi(step as i32));
                worths[i] += stride * mean / (spread.sqrt() + 1e-6);
            }
        }
        worths
    }
}
