//! A page as loud as other music, so that nobody has to turn it up, and a moment of silence before it, so that nothing of its first note is swallowed.
//!
//! The mean of the whole is raised to [`LEVEL`]. What would then go beyond full scale is turned down by a soft limiter that looks ahead: it is down when a peak
//! comes, stays as long as peaks follow, and comes back slowly, so that the waves keep their shape. It works on blocks of a millisecond: their peaks and
//! energies say how far, and between two blocks the factor goes along a straight line. All figures are ours.

use crate::samples::Samples;
use crate::strings::CEILING;
use music::Seconds;

/// The silence before a page begins, in a file and where a page is played.
pub const BEFORE: Seconds = Seconds::from_millis(500);

/// The root mean square of a page, full scale being 1: 16 dB below it.
pub const LEVEL: f64 = 0.158_489_319;

/// The farthest a page is raised beyond the point at which its highest peak reaches full scale, about 12 dB: a page of a few far-off plucks stays quieter.
pub(crate) const BEYOND: f64 = 4.0;

/// Samples of a block at 48,000 a second: a millisecond.
const BLOCK: usize = 48;

/// Blocks the limiter looks ahead, over which it goes down.
const AHEAD: usize = 6;

/// The share of what is missing that comes back in a block: most of it after a fifth of a second.
const BACK: f64 = 0.005;

/// How often the raising is corrected by what the limiter took away.
const ROUNDS: usize = 8;

struct Block {
    peak: f64,
    energy: f64,
}

/// The page with the silence before it, at its level; a silent page stays silent.
pub fn finished(samples: Samples) -> Samples {
    let blocks = blocks(&samples);
    let lift = lift(&blocks, samples.length() * samples.channels.len());
    let factors = factors(&blocks, lift);
    let before = samples.rate.index(BEFORE);
    let channels = samples.channels.into_iter().map(|channel| {
        let mut all = vec![0.0f32; before];
        all.reserve(channel.len());
        all.extend(channel.iter().enumerate().map(|(i, s)| {
            let (block, share) = (i / BLOCK, (i % BLOCK) as f64 / BLOCK as f64);
            let factor = factors[block] + (factors[block + 1] - factors[block]) * share;
            (f64::from(*s) * lift * factor) as f32
        }));
        all
    });
    Samples { channels: channels.collect(), rate: samples.rate }
}

fn blocks(samples: &Samples) -> Vec<Block> {
    let block = |from: usize| {
        let all = samples.channels.iter().flat_map(|c| &c[from..(from + BLOCK).min(c.len())]).map(|s| f64::from(*s));
        let (peak, energy) = all.fold((0.0f64, 0.0), |(peak, energy), s| (peak.max(s.abs()), energy + s * s));
        Block { peak, energy }
    };
    (0..samples.length()).step_by(BLOCK).map(block).collect()
}

/// The factor that brings the page to its level, limiter included.
fn lift(blocks: &[Block], count: usize) -> f64 {
    let mean = |lift: f64, factors: &[f64]| {
        let energy = |(i, block): (usize, &Block)| block.energy * (lift * f64::midpoint(factors[i], factors[i + 1])).powi(2);
        (blocks.iter().enumerate().map(energy).sum::<f64>() / count.max(1) as f64).sqrt()
    };
    let peak = blocks.iter().fold(0.0f64, |most, block| most.max(block.peak));
    if peak == 0.0 {
        return 1.0;
    }
    let most = BEYOND * f64::from(CEILING) / peak;
    (0..ROUNDS).fold(1.0, |lift: f64, _| (lift * LEVEL / mean(lift, &factors(blocks, lift))).min(most))
}

/// The limiter's factor, at most 1, at every edge of a block. Within a block it lies between those of its edges, and neither lets the block's peak through.
fn factors(blocks: &[Block], lift: f64) -> Vec<f64> {
    let peak = |block: Option<&Block>| block.map_or(0.0, |b| b.peak * lift);
    let edge =
        |i: usize| (f64::from(CEILING) / peak(blocks.get(i)).max(peak(i.checked_sub(1).and_then(|b| blocks.get(b)))).max(1e-9)).min(1.0);
    let wanted: Vec<f64> = (0..=blocks.len()).map(edge).collect();
    let mut last = 1.0f64;
    let held: Vec<f64> = (0..wanted.len())
        .map(|i| {
            let coming = wanted[i..(i + AHEAD + 1).min(wanted.len())].iter().fold(1.0f64, |least, w| least.min(*w));
            last = coming.min(last + (1.0 - last) * BACK);
            last
        })
        .collect();
    let softened = |i: usize| {
        let around = &held[i.saturating_sub(AHEAD)..=i];
        around.iter().sum::<f64>() / around.len() as f64
    };
    (0..held.len()).map(softened).collect()
}
