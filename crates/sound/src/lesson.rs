//! A lesson for the ear: parts of performances one after another, each announced, counted in and followed by silence.
//!
//! It knows no phrases and no words: what a part is, and what is said before it, comes from elsewhere. A part is cut out of a whole performance, so that its tempo and its strength are those of the whole.

use crate::click::{Beat, click};
use crate::error::SoundError;
use crate::loudness::{BEFORE, finished};
use crate::performance::{Performance, Pluck};
use crate::samples::{Rate, Samples};
use crate::strings::Strings;
use harp::ring::RingModel;
use music::Seconds;
use std::ops::Range;

/// From the end of a part to what comes next. Ours: time to lift the hands and to set them anew.
pub const BETWEEN: Seconds = Seconds::from_millis(2_000);
/// How long strings ring on when a part that is not the last is over, of that silence.
const RINGING: Seconds = Seconds::from_millis(1_000);
/// From what is said to the count-in.
const AFTER_WORDS: Seconds = Seconds::from_millis(500);
/// How loud a click is beside [`click()`]: it may not drown the music.
const SOFT: f32 = 0.4;

/// One part of a lesson before it has its place in time.
#[derive(Clone, Debug)]
pub struct Part {
    /// What is heard, from its first pass at zero; [`cut`] makes it.
    pub performance: Performance,
    /// The beats of the count-in, from zero, and how long it is.
    pub count_in: Vec<(Beat, Seconds)>,
    pub counted: Seconds,
    /// What is said before: one channel.
    pub said: Option<Samples>,
}

/// A lesson in time. Times are counted from the beginning of the sound, the silence before it included.
#[derive(Clone, Debug)]
pub struct Lesson {
    /// All plucks of all parts.
    pub performance: Performance,
    pub clicks: Vec<(Beat, Seconds)>,
    pub parts: Vec<Times>,
    said: Vec<(Seconds, Samples)>,
}

/// When one part comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Times {
    /// What is said before it, or its count-in.
    pub begins: Seconds,
    pub counts_in: Seconds,
    /// Its first measure.
    pub plays: Seconds,
    /// The end of its last measure.
    pub ends: Seconds,
}

/// Some passes of a performance, the first of them at zero; strings that were plucked before are not heard.
pub fn cut(whole: &Performance, passes: Range<usize>, ring: &RingModel) -> Performance {
    let Some(first) = whole.passes.get(passes.start) else {
        return Performance { plucks: Vec::new(), passes: Vec::new(), end: Seconds::ZERO };
    };
    let zero = first.start;
    let here = whole.plucks.iter().filter(|p| passes.contains(&p.pass));
    let pluck = |p: &Pluck| Pluck { at: p.at - zero, stopped: p.stopped.map(|s| s - zero), pass: p.pass - passes.start, ..*p };
    let plucks: Vec<Pluck> = here.map(pluck).collect();
    let own = whole.passes[passes.start..passes.end.min(whole.passes.len())].iter().cloned().map(|mut pass| {
        pass.start = pass.start - zero;
        pass.end = pass.end - zero;
        pass.beats.iter_mut().for_each(|beat| beat.1 = beat.1 - zero);
        pass
    });
    let passes: Vec<_> = own.collect();
    let rung = plucks.iter().map(|p| p.until(ring)).max();
    let end = passes.last().map(|p| p.end).max(rung).unwrap_or(Seconds::ZERO);
    Performance { plucks, passes, end }
}

/// Lays the parts one after another.
pub fn laid(parts: Vec<Part>) -> Lesson {
    let mut lesson = Lesson {
        performance: Performance { plucks: Vec::new(), passes: Vec::new(), end: Seconds::ZERO },
        clicks: Vec::new(),
        parts: Vec::new(),
        said: Vec::new(),
    };
    let (mut now, count) = (BEFORE, parts.len());
    for (i, part) in parts.into_iter().enumerate() {
        now = lesson.add(part, now, if i + 1 == count { Last::Yes } else { Last::No });
    }
    lesson
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Last {
    Yes,
    No,
}

impl Lesson {
    /// Adds a part; gives the time at which the next may begin.
    fn add(&mut self, part: Part, begins: Seconds, last: Last) -> Seconds {
        let mut counts_in = begins;
        if let Some(words) = part.said {
            counts_in = begins + Seconds::from_micros((words.seconds() * 1e6) as i64) + AFTER_WORDS;
            self.said.push((begins, words));
        }
        self.clicks.extend(part.count_in.iter().map(|(beat, at)| (*beat, counts_in + *at)));
        let plays = counts_in + part.counted;
        let ends = plays + part.performance.passes.last().map_or(Seconds::ZERO, |p| p.end);
        let silent = ends + RINGING;
        let first = self.performance.passes.len();
        for pluck in part.performance.plucks {
            let stopped = pluck.stopped.map(|s| s + plays);
            let stopped = if last == Last::Yes { stopped } else { Some(stopped.map_or(silent, |s| s.min(silent))) };
            self.performance.plucks.push(Pluck { at: pluck.at + plays, stopped, pass: pluck.pass + first, ..pluck });
        }
        for mut pass in part.performance.passes {
            (pass.start, pass.end) = (pass.start + plays, pass.end + plays);
            pass.beats.iter_mut().for_each(|beat| beat.1 = beat.1 + plays);
            self.performance.passes.push(pass);
        }
        self.performance.end = if last == Last::Yes { plays + part.performance.end } else { ends + BETWEEN };
        self.parts.push(Times { begins, counts_in, plays, ends });
        ends + BETWEEN
    }

    /// All of it as stereo samples: the music as loud as any page of ours, over it the clicks and what is said. Errors: longer than half an hour.
    pub fn samples(&self, strings: &Strings) -> Result<Samples, SoundError> {
        // What is finished has its silence before it already.
        let earlier = |time: Seconds| time - BEFORE;
        let mut music = self.performance.clone();
        for pluck in &mut music.plucks {
            pluck.at = earlier(pluck.at);
            pluck.stopped = pluck.stopped.map(earlier);
        }
        music.end = earlier(music.end);
        let mut samples = finished(strings.mix(&music)?);
        let rate = samples.rate;
        for (beat, at) in &self.clicks {
            add(&mut samples, &click(*beat, rate), *at, SOFT);
        }
        for (at, words) in &self.said {
            add(&mut samples, words, *at, 1.0);
        }
        Ok(samples)
    }
}

/// Adds one channel to both of a page; what goes beyond its end is left out.
fn add(page: &mut Samples, sound: &Samples, at: Seconds, gain: f32) {
    let from = page.rate.index(at);
    let Some(sound) = sound.channels.first() else { return };
    for channel in &mut page.channels {
        for (sample, more) in channel.iter_mut().skip(from).zip(sound) {
            *sample = (*sample + more * gain).clamp(-1.0, 1.0);
        }
    }
}

/// One channel at another rate, along straight lines between its samples: good enough for a voice.
pub fn at_rate(sound: &[f32], hertz: u32, rate: Rate) -> Samples {
    let step = f64::from(hertz) / rate.as_f64();
    let count = (sound.len() as f64 / step) as usize;
    let sample = |i: usize| {
        let at = i as f64 * step;
        let (before, share) = (at as usize, (at - at.floor()) as f32);
        let here = sound.get(before).copied().unwrap_or(0.0);
        here + (sound.get(before + 1).copied().unwrap_or(0.0) - here) * share
    };
    Samples { rate, channels: vec![(0..count).map(sample).collect()] }
}
