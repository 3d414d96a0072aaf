//! What the tune alone, without a left hand, promises in each key: which to look at first, and which need not be looked at.
//!
//! The tune is laid out once and read in every key. What its notes say there without a search ([`harp::settings::least`]) is never more than what its settings
//! come to, so the keys are planned in the order of that, and what cannot be the best any more is not planned at all (best first, as in A*: Hart, Nilsson and
//! Raphael 1968). The best is the same as if all had been planned. One purse of counted states holds for the whole question, so that it has an end on every
//! machine, and the same.

use super::Patience;
use crate::arrangement::{ArrangeError, octaves_for, prepared};
use crate::moves;
use crate::tune::Tune;
use crate::wishes::Wishes;
use harmony::melody;
use harp::page::{Laid, SettingsWish};
use harp::settings::{AtLeast, Choice, MoveTimes, Passage, at_least, plan_within};
use harp::{Instrument, Player};
use music::{Interval, Key, LeadSheet, Mode, Pitch, PitchName};

/// What a semitone counts against lever moves in the search for a key that works: a fifth of one. OURS.
const FAR_AWAY: u64 = 300;
/// The farthest a tune is moved, in semitones.
const FARTHEST: i32 = 7;

/// What the tune alone promises in a key.
pub(super) struct Outlook {
    pub wished: Interval,
    /// What its settings come to; while they are not planned, what they come to at least.
    pub least: AtLeast,
    /// From the tune's own notes, octaves that the harp asks for included.
    semitones: i32,
    /// What is to be planned yet.
    passage: Option<Passage>,
}

impl Outlook {
    /// A key that works before one that does not; few moves and a short way. `None` where some note cannot be played.
    pub fn by_distance(&self) -> Option<(u64, i32)> {
        let away = self.wished.semitones.abs();
        (self.least.missing == 0).then(|| (self.least.price + FAR_AWAY * u64::from(away.unsigned_abs()), away))
    }

    pub fn is_planned(&self) -> bool {
        self.passage.is_none()
    }
}

/// The keys that are still open.
pub(super) struct Outlooks<'a, 'w> {
    harp: &'a Instrument,
    times: MoveTimes,
    wish: SettingsWish,
    open: Vec<Outlook>,
    patience: &'a mut Patience<'w>,
    /// Whether every key that was given up is known to lack a note.
    pub none: bool,
}

impl<'a, 'w> Outlooks<'a, 'w> {
    pub fn new(
        sheet: &LeadSheet,
        harp: &'a Instrument,
        player: &Player,
        wishes: &Wishes,
        patience: &'a mut Patience<'w>,
    ) -> Result<Outlooks<'a, 'w>, ArrangeError> {
        let own = Wishes { transpose: Some(Interval::UNISON), fullness: vec![1], ..wishes.clone() };
        let ready = prepared(sheet, (harp, player), &own)?;
        let range = melody::range(&ready.tune.sheet).ok_or(ArrangeError::Empty)?;
        let wish = moves::wish_alone(harp, player);
        let laid = Laid::of(&moves::tune_alone(&ready.tune), player, &wish);
        let times = MoveTimes::of(player.fluency);
        let outlook = |wished: Interval| {
            let by = wished + -ready.moved;
            let (low, high) = (range.lowest.position() + by.steps, range.highest.position() + by.steps);
            let by = by + Interval::octaves(octaves_for((low, high), harp).unwrap_or(0));
            let (passage, least) = match laid.passage(harp, &wish, by) {
                Ok(passage) => {
                    let least = at_least(harp, &passage, &times, &wish.prices);
                    (Some(passage), least)
                }
                Err(_) => (None, without_passage(&ready.tune, by, harp, player)),
            };
            Outlook { wished, least, semitones: by.semitones, passage }
        };
        let open = intervals(sheet).into_iter().map(outlook).collect();
        Ok(Outlooks { harp, times, wish, open, patience, none: true })
    }

    /// Takes out the key with the lowest rank; those without one are passed over, and of equals the nearer is taken. A rank must not fall when [`Outlook::least`]
    /// rises. When the purse is empty the best of those that are planned, or one that is not, goes for it. `None` where no key has a rank, or nobody waits any
    /// more.
    pub fn best<R: Ord>(&mut self, rank: impl Fn(&Outlook) -> Option<R>) -> Option<Outlook> {
        while self.patience.states > 0 && (self.patience.wanted)() {
            let best = self.first(&rank, |_| true)?;
            if self.open[best].is_planned() {
                return Some(self.open.remove(best));
            }
            self.plan(best);
        }
        self.none = false;
        let likeliest = self.first(&rank, Outlook::is_planned).or_else(|| self.first(&rank, |_| true));
        likeliest.filter(|_| (self.patience.wanted)()).map(|index| self.open.remove(index))
    }

    fn first<R: Ord>(&self, rank: &impl Fn(&Outlook) -> Option<R>, among: fn(&Outlook) -> bool) -> Option<usize> {
        let open = self.open.iter().enumerate().filter(|(_, outlook)| among(outlook));
        let ranked = open.filter_map(|(index, outlook)| Some((rank(outlook)?, index)));
        ranked.min().map(|(_, index)| index)
    }

    fn plan(&mut self, index: usize) {
        let Some(passage) = self.open[index].passage.take() else { return };
        let Outlooks { harp, times, wish, .. } = self;
        let plan = plan_within(harp, &passage, times, &wish.prices, wish.width, &mut self.patience.states);
        let missing = plan.choices.iter().filter(|c| **c == Choice::Missing).count();
        self.open[index].least = AtLeast { missing, price: plan.price };
        // Other prices are small beside that of a note: so many no plan can do without.
        let surely = usize::try_from(plan.least / wish.prices.missing).unwrap_or(0);
        self.none &= missing == 0 || surely > 0;
        let least = AtLeast { missing: surely, price: plan.least / wish.prices.missing * wish.prices.missing };
        let semitones = self.open[index].semitones;
        // The same strings under other names lack the same notes.
        for other in self.open.iter_mut().filter(|o| o.semitones == semitones) {
            if other.passage.as_ref().is_some_and(|p| on_the_same_strings(self.harp, &passage, p)) {
                other.least = other.least.max(least);
            }
        }
    }
}

/// A tune of which no passage can be made lacks what no string gives.
fn without_passage(tune: &Tune, by: Interval, harp: &Instrument, player: &Player) -> AtLeast {
    let mut moved = tune.clone();
    moved.sheet = tune.sheet.up(by);
    let page = moves::of_the_tune(&moved, harp, player);
    AtLeast { missing: page.missing.len(), price: page.price }
}

/// Whether every note of one passage can be had on the same strings as that of the other.
fn on_the_same_strings(harp: &Instrument, one: &Passage, other: &Passage) -> bool {
    let strings = |used: &harp::settings::Use| {
        let mut had: Vec<Pitch> = used.spellings.iter().map(|s| s.pitch).filter(|p| harp.can_sound(*p)).collect();
        had.sort();
        had
    };
    one.uses().len() == other.uses().len() && one.uses().iter().zip(other.uses()).all(|(a, b)| strings(a) == strings(b))
}

/// Intervals to every key of at most seven signs, the written one first.
fn intervals(sheet: &LeadSheet) -> Vec<Interval> {
    let own = sheet.measures.first().map_or(Key::C_MAJOR, |m| m.frame.key.clone());
    let own = if own.mode == Mode::Other { Key { mode: Mode::Major, ..own } } else { own };
    let mut all = Vec::new();
    for fifths in -7..=7 {
        let tonic = PitchName::from_fifths(fifths + own.mode.fifths_above_major());
        let plain = Interval::between(own.tonic().at_octave(4), tonic.at_octave(4));
        all.extend([1, 0, -1].map(|octaves| plain + Interval::octaves(octaves)).into_iter().filter(|by| by.semitones.abs() <= FARTHEST));
    }
    all.sort_by_key(|by| (by.semitones.abs(), -by.semitones, by.steps));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;
    use music::{Beats, SheetMeasure};

    /// Every key planned, as it was before anything was foreseen: the interval and what the tune alone comes to.
    fn all_planned(sheet: &LeadSheet, harp: &Instrument) -> Vec<(Interval, AtLeast)> {
        let player = Player::default();
        let planned = |wished: Interval| {
            let wishes = Wishes { transpose: Some(wished), fullness: vec![1], ..Wishes::default() };
            let page = moves::of_the_tune(&prepared(sheet, (harp, &player), &wishes).expect("a tune").tune, harp, &player);
            (wished, AtLeast { missing: page.missing.len(), price: page.price })
        };
        intervals(sheet).into_iter().map(planned).collect()
    }

    fn outlooks<'a, 'w>(sheet: &LeadSheet, harp: &'a Instrument, patience: &'a mut Patience<'w>) -> Outlooks<'a, 'w> {
        Outlooks::new(sheet, harp, &Player::default(), &Wishes::default(), patience).expect("a tune")
    }

    fn patient(states: usize) -> Patience<'static> {
        Patience { states, ..Patience::default() }
    }

    fn small_harp() -> Instrument {
        let tuning = harp::Tuning::of_major(PitchName::from_fifths(0));
        let levers = harp::Mechanism::Levers(vec![music::Step::F, music::Step::C, music::Step::B]);
        Instrument::new("22 strings, levers on F, C and B".into(), Pitch::parse("C3").expect("a pitch"), 22, tuning, levers)
            .expect("a harp")
    }

    fn pedal_harp() -> Instrument {
        let flats = harp::Tuning::of_major(PitchName::from_fifths(-7));
        let pedals = harp::Mechanism::Pedals { fixed: Vec::new() };
        Instrument::new("pedals".into(), Pitch::parse("C1").expect("a pitch"), 47, flats, pedals).expect("a harp")
    }

    /// Tunes of a few measures by a small generator (xorshift, Marsaglia 2003): steps and leaps, of which some are a semitone.
    fn tune(seed: u64, measures: u32) -> LeadSheet {
        let mut state = seed;
        let mut throw = |sides: u64| {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            state % sides
        };
        let mut tune = sheet("4/4 G | G4:4 |");
        let frame = tune.measures[0].frame.clone();
        let (mut position, mut all) = (32, Vec::new());
        for number in 1..=measures {
            let mut text = Vec::new();
            for _ in 0..4 {
                position = (position + [-2, -1, -1, 0, 1, 1, 2, 4][throw(8) as usize]).clamp(27, 42);
                let alter = [0, 0, 0, 0, 1, -1][throw(6) as usize];
                text.push(format!("{}:1", Pitch::at_position(position, alter)));
            }
            all.push(SheetMeasure {
                frame: music::Frame { number: number.into(), ..frame.clone() },
                notes: music::text::notes(&text.join(" ")),
            });
        }
        all[0].frame.tempos.push((Beats::ZERO, music::Tempo::of(Beats::QUARTER, 60 + 40 * throw(3) as i64).expect("a tempo")));
        tune.measures = all;
        tune
    }

    /// No key is thrown out that planning all of them would have found, and none comes before its time: the whole order is the same.
    #[test]
    fn the_best_first_is_the_best_of_all() {
        let (mut found, mut missed) = (0, 0);
        for harp in [Instrument::lever_34(), small_harp(), pedal_harp()] {
            for seed in 1..=40 {
                let tune = tune(seed, 2 + (seed % 5) as u32);
                let planned = all_planned(&tune, &harp);
                let mut by_distance: Vec<(u64, i32, Interval)> = planned
                    .iter()
                    .filter(|(_, least)| least.missing == 0)
                    .map(|(wished, least)| {
                        (least.price + FAR_AWAY * u64::from(wished.semitones.unsigned_abs()), wished.semitones.abs(), *wished)
                    })
                    .collect();
                by_distance.sort_by_key(|o| (o.0, o.1));
                let mut patience = patient(usize::MAX);
                let mut open = outlooks(&tune, &harp, &mut patience);
                let order: Vec<Interval> = std::iter::from_fn(|| open.best(Outlook::by_distance)).map(|o| o.wished).collect();
                assert_eq!(order, by_distance.iter().map(|o| o.2).collect::<Vec<_>>(), "{} {seed}", harp.name);
                (found, missed) = (found + usize::from(!order.is_empty()), missed + usize::from(order.is_empty()));
                for sound in 0..12 {
                    let mut of_sound: Vec<&(Interval, AtLeast)> =
                        planned.iter().filter(|p| p.0.semitones.rem_euclid(12) == sound).collect();
                    of_sound.sort_by_key(|p| (p.1, p.0.semitones.abs(), -p.0.semitones));
                    let mut patience = patient(usize::MAX);
                    let mut open = outlooks(&tune, &harp, &mut patience);
                    let rank = |o: &Outlook| {
                        (o.wished.semitones.rem_euclid(12) == sound).then_some((o.least, o.wished.semitones.abs(), -o.wished.semitones))
                    };
                    let best = open.best(rank).map(|o| (o.wished, o.least));
                    assert_eq!(best, of_sound.first().map(|p| **p), "{} {seed} {sound}", harp.name);
                }
            }
        }
        assert!(found > 20 && missed > 20, "{found} with a key that works, {missed} without");
    }

    /// What is read off the notes leaves few keys to plan: of thirty, on most tunes not ten.
    #[test]
    fn few_keys_are_planned() {
        let harp = Instrument::lever_34();
        let planned = |seed: u64| {
            let mut patience = Patience::default();
            let mut open = outlooks(&tune(seed, 6), &harp, &mut patience);
            let all = open.open.len();
            open.best(Outlook::by_distance);
            all - open.open.iter().filter(|o| o.passage.is_some()).count()
        };
        let mut counts: Vec<usize> = (1..=40).map(planned).collect();
        counts.sort();
        assert!(counts[30] < 10, "{counts:?}");
    }

    /// A purse is spent by counted work, so the same question has the same answer and an end; without one nothing is planned, and the likeliest key goes.
    #[test]
    fn a_question_has_an_end() {
        let harp = pedal_harp();
        let tune = tune(3, 40);
        let ask = |purse: usize| {
            let mut patience = patient(purse);
            let mut open = outlooks(&tune, &harp, &mut patience);
            let best = open.best(Outlook::by_distance).map(|o| o.wished);
            let (unplanned, none) = (open.open.iter().filter(|o| !o.is_planned()).count(), open.none);
            (best, patience.states, unplanned, none)
        };
        let (nothing, some, much) = (ask(0), ask(20_000), ask(usize::MAX));
        assert!(nothing.0.is_some() && nothing.2 + 1 == intervals(&tune).len() && !nothing.3);
        assert!(some.1 == 0 && some.2 > much.2 && some.0.is_some(), "{some:?} {much:?}");
        assert_eq!(some, ask(20_000));
    }

    /// Who does not wait any more gets no answer, and nothing is worked out for her.
    #[test]
    fn nobody_waits() {
        let harp = Instrument::lever_34();
        let tune = sheet("4/4 G | G4:4 |");
        let mut patience = Patience { wanted: &|| false, ..Patience::default() };
        let mut open = outlooks(&tune, &harp, &mut patience);
        assert!(open.best(Outlook::by_distance).is_none());
        assert!(open.open.len() == intervals(&tune).len() && open.open.iter().all(|o| !o.is_planned()));
        assert_eq!(patience.states, Patience::default().states);
        let mut patience = Patience::default();
        assert!(outlooks(&tune, &harp, &mut patience).best(Outlook::by_distance).is_some());
    }
}
