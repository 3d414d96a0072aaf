//! What a stretch of moments is worth as one chord.
//!
//! value = Σ of the moments (accent × (inside × notes in the chord − outside × figuration × notes outside it)) + what the bass is to the chord
//!         − tones of the chord that do not sound − the price of a seventh − the strangeness of the chord in its key.
//! Sums run over prefix tables, so that a stretch costs the same however long it is.

use super::keys::LocalKey;
use super::labels::{Label, Quality};
use super::moments::Moment;
use super::weights::{self as w, Weights};

/// Sums up to each moment, by pitch class.
pub(super) struct Sums {
    inside: Vec<[i64; 12]>,
    outside: Vec<[i64; 12]>,
    /// Time in which a class sounds at all, and in which it is no mere figuration.
    sounds: Vec<[i64; 12]>,
    firm: Vec<[i64; 12]>,
    bass: Vec<[i64; 12]>,
    /// Time, times how often the name of a class lies twelve fifths above its plainest.
    names: Vec<[i64; 12]>,
    time: Vec<i64>,
    notes: Vec<i64>,
}

/// A stretch, ready for its labels.
pub(super) struct Stretch {
    inside: [i64; 12],
    outside: [i64; 12],
    all_outside: i64,
    sounds: [i64; 12],
    firm: [i64; 12],
    bass: [i64; 12],
    all_bass: i64,
    /// In hundredths of a fifth.
    fifths: [i64; 12],
    first_bass: usize,
    time: i64,
    level: usize,
    key: LocalKey,
    few: bool,
}

impl Sums {
    pub fn of(moments: &[Moment], weights: &Weights) -> Sums {
        let zero = || vec![[0i64; 12]];
        let mut sums = Sums {
            inside: zero(),
            outside: zero(),
            sounds: zero(),
            firm: zero(),
            bass: zero(),
            names: zero(),
            time: vec![0],
            notes: vec![0],
        };
        for moment in moments {
            sums.push(moment, weights);
        }
        sums
    }

    fn push(&mut self, moment: &Moment, weights: &Weights) {
        let last = self.time.len() - 1;
        let (mut inside, mut outside, mut sounds, mut firm, mut bass, mut names) =
            (self.inside[last], self.outside[last], self.sounds[last], self.firm[last], self.bass[last], self.names[last]);
        let share = moment.length * weights.accent(moment.level) / 100 / moment.notes.len().max(1) as i64;
        let mut heard = [0i64; 12];
        let mut lowest: Option<&super::moments::Sounding> = None;
        for note in &moment.notes {
            let class = note.pitch.rem_euclid(12) as usize;
            let figured = weights.figured(note);
            inside[class] += share * weights.of(w::INSIDE) / 1000;
            outside[class] += share * weights.of(w::OUTSIDE) * figured / 100_000;
            heard[class] = heard[class].max(figured.min(100));
            if lowest.is_none_or(|l| note.pitch < l.pitch) {
                lowest = Some(note);
            }
        }
        let mut seen = [false; 12];
        for note in &moment.notes {
            let class = note.pitch.rem_euclid(12) as usize;
            if !std::mem::replace(&mut seen[class], true) {
                names[class] += moment.length * (i64::from(note.name.fifths()) - plainest(class)) / 12;
            }
        }
        for class in 0..12 {
            if heard[class] > 0 {
                sounds[class] += moment.length;
                firm[class] += moment.length * heard[class] / 100;
            }
        }
        if let Some(low) = lowest {
            bass[low.pitch.rem_euclid(12) as usize] += share * moment.notes.len() as i64 * weights.figured(low).min(100) / 100;
        }
        self.inside.push(inside);
        self.outside.push(outside);
        self.sounds.push(sounds);
        self.firm.push(firm);
        self.bass.push(bass);
        self.names.push(names);
        self.time.push(self.time[last] + moment.length);
        self.notes.push(self.notes[last] + moment.notes.iter().filter(|n| n.begins).count() as i64);
    }

    pub fn length(&self, from: usize, to: usize) -> i64 {
        self.time[to] - self.time[from]
    }

    pub fn stretch(&self, moments: &[Moment], from: usize, to: usize, key: LocalKey) -> Stretch {
        let between = |sums: &Vec<[i64; 12]>| std::array::from_fn(|c| sums[to][c] - sums[from][c]);
        let outside: [i64; 12] = between(&self.outside);
        let bass: [i64; 12] = between(&self.bass);
        let (sounds, names): ([i64; 12], [i64; 12]) = (between(&self.sounds), between(&self.names));
        let fifths = std::array::from_fn(|c| 100 * plainest(c) + if sounds[c] > 0 { 1200 * names[c] / sounds[c] } else { 0 });
        let lowest = moments[from].notes.iter().map(|n| n.pitch).min();
        Stretch {
            inside: between(&self.inside),
            outside,
            all_outside: outside.iter().sum(),
            sounds,
            fifths,
            firm: between(&self.firm),
            bass,
            all_bass: bass.iter().sum(),
            first_bass: lowest.map_or(12, |p| p.rem_euclid(12) as usize),
            time: self.length(from, to),
            level: moments[from].level,
            key,
            few: self.notes[to] - self.notes[from] <= 1,
        }
    }
}

/// The place of a class on the line of fifths between D-flat and F-sharp.
fn plainest(class: usize) -> i64 {
    (class as i64 * 7 + 5) % 12 - 5
}

impl Stretch {
    /// Whether enough of a chord sounds to weigh it at all: its root, or third and fifth without it; and its seventh if it has one.
    pub fn may_be(&self, label: Label) -> bool {
        let above = label.quality.above_root();
        let sounds = |semitones: usize| self.sounds[(label.root + semitones) % 12] > 0;
        (sounds(0) || sounds(above[0]) && sounds(above[1])) && above.get(2).is_none_or(|seventh| sounds(*seventh))
    }

    pub fn value(&self, label: Label, weights: &Weights) -> i64 {
        let mut sum = -self.all_outside;
        for class in label.tones() {
            sum += self.inside[class] + self.outside[class];
        }
        sum + self.bass(label, weights)
            - self.missing(label, weights)
            - self.seventh(label, weights)
            - self.strange(label, weights)
            - self.misspelled(label, weights)
            - if self.few { weights.of(w::ONE_NOTE) } else { 0 }
    }

    fn bass(&self, label: Label, weights: &Weights) -> i64 {
        let above = label.quality.above_root();
        let share = |class: usize, place: usize| self.bass[class] * weights.of(place) / 1000;
        let mut sum = share(label.root, w::BASS_ROOT);
        let mut known = self.bass[label.root];
        for (semitones, place) in above.iter().zip([w::BASS_THIRD, w::BASS_FIFTH, w::BASS_SEVENTH]) {
            let class = (label.root + semitones) % 12;
            sum += share(class, place);
            known += self.bass[class];
        }
        sum += (self.all_bass - known) * weights.of(w::BASS_STRANGE) / 1000;
        if self.first_bass == label.root {
            sum += weights.of(w::BASS_FIRST);
        } else if self.first_bass < 12 && label.tones().all(|c| c != self.first_bass) {
            sum -= weights.of(w::BASS_OUT);
        } else if self.first_bass == (label.root + above[1]) % 12 && self.level > 1 {
            sum -= weights.of(w::WEAK_SIX_FOUR);
        }
        sum
    }

    fn missing(&self, label: Label, weights: &Weights) -> i64 {
        let mut sum = 0;
        let mut complete = true;
        for (class, place) in label.tones().zip([w::NO_ROOT, w::NO_THIRD, w::NO_FIFTH, w::NO_SEVENTH]) {
            if self.sounds[class] == 0 {
                complete = false;
                let dear =
                    place == w::NO_FIFTH && matches!(label.quality, Quality::Diminished | Quality::Augmented | Quality::HalfDiminished7);
                sum += weights.of(if dear { w::NO_THIRD } else { place });
            }
        }
        if complete { sum - weights.of(w::ALL_TONES) } else { sum }
    }

    fn seventh(&self, label: Label, weights: &Weights) -> i64 {
        let triad = match label.quality {
            Quality::Diminished => weights.of(w::DIM),
            Quality::Augmented => weights.of(w::AUG),
            _ => 0,
        };
        let Some(semitones) = label.quality.above_root().get(2) else { return triad };
        let class = (label.root + semitones) % 12;
        let place = label.quality as usize - Quality::Dominant7 as usize;
        // The lighter the seventh, the less it is one.
        let light = 1000 - 1000 * self.firm[class] / self.time.max(1);
        let fleeting =
            if self.firm[class] * 100 < self.sounds[class] * weights.of(w::SEVENTH_FIG) { weights.of(w::LIGHT_SEVENTH) } else { 0 };
        weights.of(w::SEVENTH + place) + light * weights.of(w::LIGHT_SEVENTH) / 1000 + fleeting
    }

    /// Tones whose names do not fit together as thirds.
    fn misspelled(&self, label: Label, weights: &Weights) -> i64 {
        let tones = label.tones().zip(std::iter::once(0).chain(label.quality.spelled().iter().copied()));
        let mut first: Option<i64> = None;
        let mut off = 0;
        for (class, apart) in tones.filter(|(class, _)| self.sounds[*class] > 0) {
            let root = self.fifths[class] - 100 * apart;
            off += (root - *first.get_or_insert(root)).abs();
        }
        off * weights.of(w::MISSPELLED) / 1200
    }

    fn strange(&self, label: Label, weights: &Weights) -> i64 {
        let above = (label.root + 12 - self.key.tonic) % 12;
        weights.degrees[self.key.mode][above][label.quality as usize] * weights.of(w::DEGREE) / 100
    }
}
