//! Other ways for a phrase or a measure: a handful that are really different, the rest of the tune held as it is.
//!
//! Each is the cheapest plan of the stretch with a price on likeness to what there is and to what was offered before, and mostly with one wish besides: another
//! bass, another rhythm, more plucks or fewer. What they are worth is told without those prices.

use crate::apart::{Heard, WHOLE};
use crate::arrangement::Arrangement;
use crate::explain::why_less;
use crate::hand_time::Pluck;
use crate::hands;
use crate::joins::Joins;
use crate::kept::before;
use crate::measures::LaidMeasure;
use crate::plan::Plan;
use crate::price::{Extra, Price};
use crate::search::Search;
use crate::stages::Stage;
use crate::task::Task;
use crate::wishes::HeldPluck;
use crate::worth::Worth;
use crate::{Figures, Wishes};
use harp::{Instrument, Player};
use music::{MeasureNumber, Note, Pitch};
use std::collections::BTreeMap;
use std::ops::Range;

/// The most ways that are offered, and the fewest where there are so many at all.
pub const MOST: usize = 5;
const FEWEST: usize = 3;
/// Ways nearer to each other than this are twins, and only one of them is offered.
const TWINS: i64 = 380;
/// What full likeness to one other way costs in each slot: little at first, more where twins come all the same.
const STRENGTHS: [i64; 4] = [180, 600, 2_000, 6_000];
/// What it costs to rest where something is plucked now: silence is no way.
const A_REST: i64 = 4_000;
/// What the one wish besides is worth in each slot.
const ANOTHER: i64 = 700;
const A_PLUCK: i64 = 260;
/// A way may be dearer by this for each measure, and by [`IN_ALL`], before others come first: a thousand is a fault that anybody would notice.
const A_MEASURE: i64 = 1_000;
const IN_ALL: i64 = 2_000;

/// One other way.
#[derive(Clone, Debug)]
pub struct OtherWay {
    /// The slots of the stretch with what is plucked in each, from the start of the slot.
    plucks: BTreeMap<usize, Vec<Pluck>>,
    /// The names of its figures in the order they come.
    pub figures: Vec<String>,
    /// How much dearer the whole is with it, everything else held.
    pub extra: i64,
    pub worth: Worth,
    /// The main reason why it is not the one chosen.
    pub why_not: String,
}

/// What is wished besides being different.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Besides {
    Nothing,
    Bass,
    Rhythm,
    More,
    Fewer,
}

const TRIES: [Besides; 9] = [
    Besides::Nothing,
    Besides::Bass,
    Besides::Rhythm,
    Besides::More,
    Besides::Fewer,
    Besides::Nothing,
    Besides::Rhythm,
    Besides::Bass,
    Besides::Nothing,
];

impl Arrangement {
    /// Ways for a stretch of measures that differ from `present`, an arrangement of the same tune, and from each other, the best first.
    pub fn other_ways(
        &self,
        (figures, harp, player, wishes): (&Figures, &Instrument, &Player, &Wishes),
        present: &Arrangement,
        stretch: Range<usize>,
    ) -> Vec<OtherWay> {
        let task = self.task(figures, harp, player, wishes);
        let inside: Vec<usize> = (0..self.plan.slots.len()).filter(|s| stretch.contains(&self.plan.slots[*s].measure.index())).collect();
        let plucked = inside.iter().any(|s| self.plan.choices[*s].candidates.len() > 1);
        if !plucked || present.plan.slots.len() != self.plan.slots.len() {
            return Vec::new();
        }
        let own = Stretch::new(&task, &self.plan, &inside);
        own.ways(&present.plan, stretch.len() as i64)
    }

    /// The plucks of a way by the printed number of their measures, as they are held: in the tune's own key.
    pub fn held(&self, way: &OtherWay) -> BTreeMap<MeasureNumber, Vec<HeldPluck>> {
        let mut all: BTreeMap<MeasureNumber, Vec<HeldPluck>> = BTreeMap::new();
        let back = music::Interval::new(-self.moved.steps, -self.moved.semitones);
        let number = |slot: usize| self.tune.frame(self.plan.slots[slot].measure).number;
        let touched: Vec<MeasureNumber> = way.plucks.keys().map(|slot| number(*slot)).collect();
        // A repeat inside a measure makes two of one; what the way does not say of it stays as it is.
        for index in (0..self.plan.slots.len()).filter(|s| touched.contains(&number(*s))) {
            let slot = &self.plan.slots[index];
            let plucks = way.plucks.get(&index).map_or_else(|| chosen(&self.plan, index), Vec::as_slice);
            let from = before(&self.tune, slot.measure) + slot.at;
            let held = |p: &Pluck| HeldPluck {
                at: from + p.at,
                pitches: p.pitches.iter().map(|pitch: &Pitch| pitch.up(back)).collect(),
                rolled: p.rolled,
            };
            all.entry(number(index)).or_default().extend(plucks.iter().map(held));
        }
        all
    }

    /// The accompanying hand of a measure with a way, as it would be written.
    pub fn accompaniment(&self, way: &OtherWay, measure: usize) -> Vec<Note> {
        let here = way.plucks.iter().filter(|(slot, _)| self.plan.slots[**slot].measure == LaidMeasure::at(measure));
        let begins = here.flat_map(|(slot, plucks)| {
            let at = self.plan.slots[*slot].at;
            plucks.iter().map(move |p| (at + p.at, Some((p.pitches.to_vec(), p.rolled))))
        });
        hands::line(begins.collect(), self.tune.frame(LaidMeasure::at(measure)).length)
    }

    /// Whether a way plucks otherwise than the arrangement in a measure.
    pub fn differs_in(&self, way: &OtherWay, measure: usize) -> bool {
        let here = way.plucks.iter().filter(|(slot, _)| self.plan.slots[**slot].measure == LaidMeasure::at(measure));
        here.into_iter().any(|(slot, plucks)| Heard::of(plucks) != Heard::of(chosen(&self.plan, *slot)))
    }
}

impl OtherWay {
    /// All plucks in their order.
    pub fn plucks(&self) -> impl Iterator<Item = &Pluck> {
        self.plucks.values().flatten()
    }

    /// The lowest string of each slot in which anything is plucked.
    pub fn basses(&self) -> Vec<Pitch> {
        self.plucks.values().filter_map(|plucks| plucks.first().map(|p| p.pitches[0])).collect()
    }
}

fn chosen(plan: &Plan, slot: usize) -> &[Pluck] {
    &plan.choices[slot].candidates[plan.found.chosen[slot]].plucks
}

/// A plan in which only some slots are open.
struct Stretch<'a> {
    task: &'a Task<'a>,
    plan: &'a Plan,
    inside: &'a [usize],
    joins: Joins,
    heard: BTreeMap<usize, Vec<Heard>>,
}

impl<'a> Stretch<'a> {
    fn new(task: &'a Task<'a>, plan: &'a Plan, inside: &'a [usize]) -> Stretch<'a> {
        let joins = Joins::new(&stages(plan, inside, &plan.extra), task.player);
        let heard = |slot: &usize| (*slot, plan.choices[*slot].candidates.iter().map(|c| Heard::of(&c.plucks)).collect());
        Stretch { task, plan, inside, joins, heard: inside.iter().map(heard).collect() }
    }

    fn ways(&self, present: &Plan, measures: i64) -> Vec<OtherWay> {
        let now: BTreeMap<usize, Heard> = self.inside.iter().map(|s| (*s, Heard::of(chosen(present, *s)))).collect();
        let stages = stages(self.plan, self.inside, &self.plan.extra);
        let plain = Search::new(&stages, &self.joins, self.task.player, self.task.wishes.patience());
        let best = plain.prices(&self.at_rest());
        let mut taken = vec![now.clone()];
        let mut made: Vec<OtherWay> = Vec::new();
        let mut dearer: Vec<OtherWay> = Vec::new();
        for besides in TRIES {
            if made.len() == MOST {
                break;
            }
            for strength in STRENGTHS {
                let found = self.searched(&taken, &now, besides, strength);
                let heard: BTreeMap<usize, Heard> = self.inside.iter().map(|s| (*s, self.heard[s][found[*s]].clone())).collect();
                if taken.iter().any(|other| self.apart(other, &heard) < TWINS) {
                    continue;
                }
                let price: Vec<Price> = plain.prices(&found);
                let way = self.told(&found, &best, &price, measures);
                let fair = way.extra <= IN_ALL + A_MEASURE * measures;
                if fair {
                    made.push(way)
                } else {
                    dearer.push(way)
                }
                taken.push(heard);
                break;
            }
        }
        dearer.sort_by_key(|way| way.extra);
        let short = FEWEST.saturating_sub(made.len());
        made.extend(dearer.into_iter().take(short));
        made.sort_by_key(|way| way.extra);
        made
    }

    /// What is chosen now, as places among the candidates that are open.
    fn at_rest(&self) -> Vec<usize> {
        let place = |slot: usize| if self.inside.contains(&slot) { self.plan.found.chosen[slot] } else { 0 };
        (0..self.plan.slots.len()).map(place).collect()
    }

    /// The mean over the slots that have a chord.
    fn apart(&self, one: &BTreeMap<usize, Heard>, other: &BTreeMap<usize, Heard>) -> i64 {
        let counted = self.inside.iter().filter(|s| self.plan.slots[**s].chord.is_some());
        let (sum, count) = counted.fold((0, 0), |(sum, count), slot| (sum + one[slot].apart(&other[slot]), count + 1));
        sum / count.max(1)
    }

    fn searched(&self, taken: &[BTreeMap<usize, Heard>], now: &BTreeMap<usize, Heard>, besides: Besides, strength: i64) -> Vec<usize> {
        let mut extra = self.plan.extra.clone();
        for slot in self.inside {
            let candidates = self.plan.choices[*slot].candidates.iter().zip(&self.heard[slot]);
            for ((candidate, heard), price) in candidates.zip(&mut extra[*slot]) {
                let likeness: i64 = taken.iter().map(|other| WHOLE - other[slot].apart(heard)).sum();
                let wish = match besides {
                    Besides::Bass if now[slot].same_bass(heard) => ANOTHER,
                    Besides::Rhythm if now[slot].same_rhythm(heard) => ANOTHER,
                    Besides::More => -A_PLUCK * candidate.plucks.len() as i64,
                    Besides::Fewer => A_PLUCK * candidate.plucks.len() as i64,
                    _ => 0,
                };
                let rest = if candidate.plucks.is_empty() && now[slot] != Heard::of(&[]) { A_REST } else { 0 };
                price.wish += likeness * strength / WHOLE + wish + rest;
            }
        }
        let stages = stages(self.plan, self.inside, &extra);
        Search::again(&stages, &self.joins, self.task.player, self.task.wishes.patience()).plan_through(None)
    }

    fn told(&self, found: &[usize], best: &[Price], price: &[Price], measures: i64) -> OtherWay {
        let candidate = |slot: &usize| &self.plan.choices[*slot].candidates[found[*slot]];
        let mut figures: Vec<String> = Vec::new();
        for slot in self.inside.iter().filter(|s| !candidate(s).plucks.is_empty()) {
            let name = &self.task.figures.all[candidate(slot).figure].name;
            if !figures.contains(name) {
                figures.push(name.clone());
            }
        }
        let differences: Vec<(usize, Price, Price)> = (0..price.len()).map(|i| (i, price[i], best[i])).collect();
        let difference = differences.iter().fold(Price::default(), |sum, (_, theirs, ours)| sum + *theirs - *ours);
        let extra = difference.total();
        OtherWay {
            plucks: self.inside.iter().map(|s| (*s, candidate(s).plucks.clone())).collect(),
            figures,
            extra,
            // A phrase may have a little more against it than one measure.
            worth: Worth::of(extra * 2 / measures.max(2), &difference),
            why_not: why_less(self.task, self.plan, &differences, &|slot| {
                let ours = chosen(self.plan, slot).len();
                if self.inside.contains(&slot) { candidate(&slot).plucks.len().cmp(&ours) } else { std::cmp::Ordering::Equal }
            }),
        }
    }
}

/// All slots; those outside have only what is chosen.
fn stages<'p>(plan: &'p Plan, inside: &[usize], extra: &'p [Vec<Extra>]) -> Vec<Stage<'p>> {
    let open = |slot: usize| -> Range<usize> {
        let chosen = plan.found.chosen[slot];
        if inside.contains(&slot) { 0..plan.choices[slot].candidates.len() } else { chosen..chosen + 1 }
    };
    (0..plan.slots.len()).map(|s| Stage::new(&plan.slots[s], &plan.choices[s].candidates[open(s)], &extra[s][open(s)])).collect()
}
