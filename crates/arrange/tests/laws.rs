//! The laws of the search, on random short tunes: it equals trying everything, its parts add up, a hold costs what the search said it would, what was
//! rejected does not matter, and fullness only ever adds.
//!
//! A slow oracle stands beside the fast search: [`everything`] prices every path with the plain pricing function and knows no table.

use arrange::candidates::Candidate;
use arrange::joins::Joins;
use arrange::plan::Plan;
use arrange::planning::plan;
use arrange::principles;
use arrange::register::Register;
use arrange::search::Search;
use arrange::slots::{Setting, Slot, slots};
use arrange::stages::Stage;
use arrange::task::Task;
use arrange::tune::Tune;
use arrange::view::{Manner, View};
use arrange::{Extra, Figures, Price, Principle, Wishes};
use harmony::kind::KindOfTune;
use harp::{Instrument, Player};
use music::{Beats, LeadSheet, Pitch, Step, Tempo};
use proptest::prelude::*;

const PATIENCE: u32 = 3;

/// A short tune: measures of a few notes each under one or two chords.
fn tunes() -> impl Strategy<Value = LeadSheet> {
    let note = prop::sample::select(vec!["G4", "A4", "B4", "C5", "D5", "E5", "F5", "G5"]);
    let chord = prop::sample::select(vec!["C", "F", "G7", "Am", "Dm", "Em", "C/E"]);
    let rhythm = prop::sample::select(vec!["4", "2 2", "1 1 2", "1 1 1 1", "1.5 0.5 2", "0.5 0.5 0.5 0.5 1 1"]);
    let measure = (rhythm, prop::collection::vec(note, 6), chord.clone(), chord, any::<bool>());
    prop::collection::vec(measure, 2..=4).prop_map(|measures| {
        let mut text = "4/4 C |".to_owned();
        for (rhythm, notes, first, second, two) in measures {
            text += &format!(" \"{first}\"@0");
            if two {
                text += &format!(" \"{second}\"@2");
            }
            for (length, note) in rhythm.split(' ').zip(notes) {
                text += &format!(" {note}:{length}");
            }
            text += " |";
        }
        music::text::sheet(&text)
    })
}

struct Trial {
    tune: Tune,
    figures: Figures,
    harp: Instrument,
    player: Player,
    register: Register,
}

impl Trial {
    fn new(sheet: &LeadSheet) -> Trial {
        Trial {
            tune: Tune::lay_out(sheet, 1, Tempo::of(Beats::QUARTER, 92).expect("in range")),
            figures: Figures::own(),
            harp: Instrument::lever_34(),
            player: Player::default(),
            register: Register::default(),
        }
    }

    fn slots(&self, fullness: u8) -> Vec<Slot> {
        let spans = harmony::spans::spans(&self.tune.sheet, &self.tune.clock);
        let phrases = harmony::phrases::phrases(&self.tune.sheet);
        slots(&self.tune, &spans, &phrases, &Setting { fullness: &[fullness] })
    }

    fn plan(&self, fullness: u8, wishes: &Wishes) -> Plan {
        let task = Task {
            tune: &self.tune,
            figures: &self.figures,
            harp: &self.harp,
            player: &self.player,
            wishes,
            kind: KindOfTune::Song,
            manner: Manner::Song,
            register: self.register,
        };
        plan(&task, self.slots(fullness), &arrange::moves::of_the_tune(&self.tune, &self.harp, &self.player))
    }
}

/// A few candidates of each slot, spread over what there is.
fn thinned(plan: &Plan, keep: usize) -> Vec<Vec<Candidate>> {
    let thin = |all: &Vec<Candidate>| all.iter().step_by(all.len().div_ceil(keep).max(1)).cloned().collect();
    plan.choices.iter().map(|c| thin(&c.candidates)).collect()
}

fn extras(rows: &[Vec<Candidate>]) -> Vec<Vec<Extra>> {
    rows.iter().map(|row| vec![Extra::default(); row.len()]).collect()
}

fn stages<'a>(slots: &'a [Slot], rows: &'a [Vec<Candidate>], extras: &'a [Vec<Extra>]) -> Vec<Stage<'a>> {
    slots.iter().zip(rows).zip(extras).map(|((slot, candidates), extra)| Stage::new(slot, candidates, extra)).collect()
}

fn total(search: &Search, path: &[usize]) -> i64 {
    search.prices(path).iter().map(Price::total).sum()
}

/// Every path and its price.
fn everything(search: &Search, rows: &[Vec<Candidate>]) -> Vec<(Vec<usize>, i64)> {
    let mut paths: Vec<Vec<usize>> = vec![Vec::new()];
    for row in rows {
        paths = paths.iter().flat_map(|p| (0..row.len()).map(|c| p.iter().copied().chain([c]).collect())).collect();
    }
    paths.into_iter().map(|p| (p.clone(), total(search, &p))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// Equals trying everything, every min-marginal compared; the least is the same in every slot; the parts add up.
    #[test]
    fn the_search_equals_trying_everything(sheet in tunes(), fullness in 1u8..=6) {
        let trial = Trial::new(&sheet);
        let plan = trial.plan(fullness, &Wishes::default());
        let keep = if plan.slots.len() > 6 { 3 } else { 5 };
        let rows = thinned(&plan, keep);
        let extras = extras(&rows);
        let stages = stages(&plan.slots, &rows, &extras);
        let joins = Joins::new(&stages, &trial.player);
        let search = Search::new(&stages, &joins, &trial.player, PATIENCE);
        let found = search.found();
        let all = everything(&search, &rows);
        for (slot, marginals) in found.min_marginals.iter().enumerate() {
            for (candidate, marginal) in marginals.iter().enumerate() {
                let least = all.iter().filter(|(p, _)| p[slot] == candidate).map(|(_, price)| *price).min();
                prop_assert_eq!(Some(*marginal), least);
            }
            prop_assert_eq!(marginals.iter().min(), Some(&found.total));
        }
        prop_assert_eq!(total(&search, &found.chosen), found.total);
    }

    /// The best plan through a candidate costs its min-marginal, and so does holding it; removing what was rejected leaves the plan alone.
    #[test]
    fn holds_cost_what_was_said(sheet in tunes(), pick in any::<prop::sample::Index>(), which in any::<prop::sample::Index>()) {
        let trial = Trial::new(&sheet);
        let plan = trial.plan(3, &Wishes::default());
        let rows = thinned(&plan, 12);
        let extra = extras(&rows);
        let row_stages = stages(&plan.slots, &rows, &extra);
        let joins = Joins::new(&row_stages, &trial.player);
        let search = Search::new(&row_stages, &joins, &trial.player, PATIENCE);
        let found = search.found();
        let slot = pick.index(rows.len());
        let candidate = which.index(rows[slot].len());
        let path = search.plan_through(Some((slot, candidate)));
        prop_assert_eq!(path[slot], candidate);
        prop_assert_eq!(total(&search, &path), found.min_marginals[slot][candidate]);

        // A detour is that plan, told only where it leaves the best one.
        let best = search.states(&found.chosen);
        let detour = search.detour(&best, slot, candidate);
        let whole: Vec<usize> = (0..rows.len()).map(|i| detour.state(i).unwrap_or(best[i]).0).collect();
        prop_assert_eq!(total(&search, &whole), found.min_marginals[slot][candidate]);
        let differences: i64 = search.differences(&best, &detour).iter().map(|(_, theirs, ours)| theirs.total() - ours.total()).sum();
        prop_assert_eq!(differences, found.min_marginals[slot][candidate] - found.total);

        let mut held = rows.clone();
        held[slot] = vec![rows[slot][candidate].clone()];
        let held_extra = extras(&held);
        let held_stages = stages(&plan.slots, &held, &held_extra);
        let held_joins = Joins::new(&held_stages, &trial.player);
        let again = Search::new(&held_stages, &held_joins, &trial.player, PATIENCE).found();
        prop_assert_eq!(again.total, found.min_marginals[slot][candidate]);

        if candidate != found.chosen[slot] {
            let mut without = rows.clone();
            without[slot].remove(candidate);
            let without_extra = extras(&without);
            let without_stages = stages(&plan.slots, &without, &without_extra);
            let without_joins = Joins::new(&without_stages, &trial.player);
            let left = Search::new(&without_stages, &without_joins, &trial.player, PATIENCE).found();
            prop_assert_eq!(left.total, found.total);
            let kept = &without[slot][left.chosen[slot]];
            prop_assert_eq!(&kept.plucks, &rows[slot][found.chosen[slot]].plucks);
        }
    }

    /// A walker that knows no candidates finds the same price in the notes: own prices from the plucks of each slot, ways between them from
    /// how the hand leaves and enters.
    #[test]
    fn the_notes_alone_have_the_same_price(sheet in tunes(), fullness in 1u8..=6) {
        let trial = Trial::new(&sheet);
        let plan = trial.plan(fullness, &Wishes::default());
        let fluency = trial.player.fluency;
        for (i, (slot, chosen)) in plan.slots.iter().zip(&plan.found.chosen).enumerate() {
            let candidate = &plan.choices[i].candidates[*chosen];
            let view = View::new(&trial.tune, slot, &trial.player, Manner::Song, Register::default());
            let walked = principles::own(&view, &candidate.plucks);
            for principle in Principle::ALL.into_iter().filter(|p| *p != Principle::Manner) {
                prop_assert_eq!(walked.part(principle), candidate.price.part(principle));
            }
            let groove = principles::Groove::of(slot, candidate.job, &candidate.plucks);
            prop_assert_eq!(&principles::exit(slot, &candidate.plucks, (candidate.lead, groove), &view.clock, fluency, Register::default()), &candidate.exit);
            prop_assert_eq!(&principles::entry(slot, &candidate.plucks, groove, &view.clock, fluency), &candidate.entry);
        }
    }

    /// Tune, harp, register and low-interval table an octave higher: the same plan an octave higher, at the same price.
    #[test]
    fn an_octave_higher_moves_the_plan_an_octave(sheet in tunes(), fullness in 1u8..=6) {
        let low = Trial::new(&sheet);
        let octave = music::Interval::OCTAVE;
        let harp = Instrument::new("an octave up".into(), Pitch::new(Step::C, 0, 3), 34, low.harp.tuning, low.harp.mechanism.clone());
        let high = Trial { harp: harp.expect("a harp"), register: Register::default().up(1), ..Trial::new(&sheet.up(octave)) };
        let (below, above) = (low.plan(fullness, &Wishes::default()), high.plan(fullness, &Wishes::default()));
        prop_assert_eq!(below.found.total, above.found.total);
        for (i, (a, b)) in below.found.chosen.iter().zip(&above.found.chosen).enumerate() {
            let moved = |p: &Pitch| p.up(octave);
            let (a, b) = (&below.choices[i].candidates[*a].plucks, &above.choices[i].candidates[*b].plucks);
            let raised: Vec<Vec<Pitch>> = a.iter().map(|p| p.pitches.iter().map(moved).collect()).collect();
            prop_assert_eq!(raised, b.iter().map(|p| p.pitches.to_vec()).collect::<Vec<_>>());
        }
    }

    /// Plucks and notes never fall when the level rises.
    #[test]
    fn fullness_only_adds(sheet in tunes()) {
        let trial = Trial::new(&sheet);
        let amount = |level: u8| trial.plan(level, &Wishes::default()).density();
        let all: Vec<i64> = (0..=6).map(amount).collect();
        prop_assert_eq!(all[0], 0);
        prop_assert!(all.windows(2).all(|w| w[0] <= w[1]), "{all:?}");
    }

    /// The same input gives the same plan.
    #[test]
    fn the_same_twice(sheet in tunes(), fullness in 1u8..=6) {
        let trial = Trial::new(&sheet);
        let plans: Vec<_> = (0..2).map(|_| trial.plan(fullness, &Wishes::default()).found.chosen).collect();
        prop_assert_eq!(&plans[0], &plans[1]);
    }
}

/// A measure too short for the whole of a way that walks to the next phrase (an eighth is kept for the pickup) is played without it.
#[test]
fn a_short_measure_before_a_phrase_does_not_walk() {
    let sheet = music::text::sheet(
        r#"6/8 C |: ( G5:0.5 | "C" C5:1.5 E5:1.5 | "F" A5:1.5 F5:1.5 | "G" G5:1.5 D5:1.5 | "C" C5:2.5 :|: "F" A5:1.5 F5:1.5 | "G" G5:1.5 B5:1.5 | "C" C5:2.5 :|"#,
    );
    let trial = Trial::new(&sheet);
    for figure in ["bass-and-dyad", "open-broken-chord", "alternating-bass", "bass-and-tone"] {
        let wishes = Wishes { only: vec![figure.to_owned()], ..Wishes::default() };
        let plan = trial.plan(4, &wishes);
        assert!(plan.choices.iter().flat_map(|c| &c.candidates).flat_map(|c| &c.plucks).all(|p| !p.pitches.is_empty()), "{figure}");
    }
}

/// "Tenths and sixths" are tenths, sixths and their octave, whatever else the shapes would allow.
#[test]
fn a_figure_has_the_intervals_of_its_name() {
    let sheet = music::text::sheet(r#"4/4 C | "C" G4:4 | "Am" A4:2 C5:2 | "F" A4:4 | "G7" B4:2 D5:2 | "C" C5:4 |"#);
    let plan = Trial::new(&sheet).plan(3, &Wishes { only: vec!["tenths-and-sixths".to_owned()], ..Wishes::default() });
    let figure = Figures::own().find("tenths-and-sixths");
    let mut seen = 0;
    for candidate in plan.choices.iter().flat_map(|c| &c.candidates).filter(|c| Some(c.figure) == figure) {
        let Some(first) = candidate.plucks.first().filter(|p| p.pitches.len() == 2) else { continue };
        assert!([6, 10, 13].contains(&(first.high() - first.low() + 1)), "{:?}", first.pitches);
        seen += 1;
    }
    assert!(seen > 20, "{seen}");
}

/// The top of a section, where it is a long note, may be rolled like the end of a phrase; a low tone that leads steps into the next bass.
#[test]
fn the_top_may_be_rolled_and_phrases_are_joined() {
    let sheet = music::text::sheet(
        r#"3/4 G | "G" B4:2 D5:1 | "C" E5:2 C5:1 | "D7" A4:2 C5:1 | "G" B4:2 D5:1 | "C" E5:2 G5:1 | "G" B5:3 | "D7" A5:1 F#5:1 C5:1 | "G" G4:2 D5:1 | "Em" E5:2 B4:1 | "C" E5:2 C5:1 | "D7" D5:2 C5:1 | "G" G4:3 |"#,
    );
    let plan = Trial::new(&sheet).plan(3, &Wishes::default());
    let chosen = |slot: usize| &plan.choices[slot].candidates[plan.found.chosen[slot]];
    let peaks: Vec<usize> = (0..plan.slots.len()).filter(|s| plan.slots[*s].duty.peak).collect();
    assert_eq!(peaks, [5]);
    let closing = Figures::own().find("closing-chord");
    let may_be_rolled = |slot: usize| plan.choices[slot].candidates.iter().any(|c| Some(c.figure) == closing && c.plucks[0].rolled);
    assert!(may_be_rolled(5) && !may_be_rolled(1));
    let led: Vec<usize> = (0..plan.slots.len()).filter(|s| chosen(*s).lead.is_some()).collect();
    assert!(!led.is_empty());
    for slot in led {
        let (last, next) = (chosen(slot).plucks.last().expect("it leads").low(), chosen(slot + 1).plucks[0].low());
        assert_eq!((next - last).abs(), 1);
    }
}

/// A held figure is played, whatever the search would have liked.
#[test]
fn a_hold_is_kept() {
    let sheet = music::text::sheet(r#"4/4 C | "C" G4:1 A4:1 B4:1 C5:1 | "F" A4:4 | "G" B4:2 D5:2 | "C" C5:4 |"#);
    let trial = Trial::new(&sheet);
    for figure in ["octave", "open-broken-chord", "bass-and-dyad", "rest"] {
        let wishes = Wishes { holds: [(2.into(), figure.to_owned())].into(), ..Wishes::default() };
        let plan = trial.plan(3, &wishes);
        let chosen = &plan.choices[1].candidates[plan.found.chosen[1]];
        assert_eq!(trial.figures.all[chosen.figure].name, figure);
    }
}

/// Another way is another plan, and the first way is the best.
#[test]
fn another_way_differs() {
    let sheet = music::text::sheet(r#"3/4 G | "G" G4:2 B4:1 | "C" C5:3 | "D7" A4:2 F#4:1 | "G" G4:3 |"#);
    let trial = Trial::new(&sheet);
    let ways: Vec<_> = (1..=3).map(|variant| trial.plan(3, &Wishes { variant, ..Wishes::default() }).found.chosen).collect();
    assert!(ways[0] != ways[1] && ways[1] != ways[2], "{ways:?}");
}
