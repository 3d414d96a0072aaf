//! Decisions that speak: what was chosen for a slot, why, what came second and why it lost.
//!
//! Why a way was chosen is said by [`crate::reasons`] from the notes themselves; why another lost comes from the differences between whole plans, so a principle that did
//! not matter is not mentioned. How much worse it is, is said in words ([`Worth`]). Made on demand, outside the planner's clock.

use crate::candidates::{Candidate, Reason};
use crate::figures::spaced;
use crate::hand_time::Pluck;
use crate::joins::Joins;
use crate::plan::Plan;
use crate::price::{PRINCIPLES, Price, Principle};
use crate::principles::weight::weights;
use crate::reasons;
use crate::search::{Search, State};
use crate::slots::Slot;
use crate::task::Task;
use crate::view::Manner;
use crate::worth::Worth;
use music::{Beats, Hand, MeasureNumber};
use std::cmp::Ordering;

/// One decision in words and numbers.
#[derive(Clone, Debug)]
pub struct Decision {
    /// Index of the laid-out measure, its printed number, and the place in it.
    pub measure: usize,
    pub number: MeasureNumber,
    pub at: Beats,
    /// The hand that plucks; the other has the melody.
    pub hand: Hand,
    pub chord: String,
    pub figure: String,
    /// The plucks in the short form: `C3 G3 C4`, together `C3+G3`.
    pub notes: String,
    pub price: Price,
    pub held: bool,
    /// The musical reasons, a sentence; what has been said a moment before is not said again.
    pub why: String,
    /// What came second and how good it would be, a sentence.
    pub second: Option<String>,
    pub alternatives: Vec<Alternative>,
    /// Figures that could not be played here, with the reason.
    pub left_out: Vec<(String, String)>,
}

/// Another figure for a slot, and how much dearer the whole plan would be with it.
#[derive(Clone, Debug)]
pub struct Alternative {
    pub figure: String,
    pub notes: String,
    pub extra: i64,
    /// The same in words.
    pub worth: Worth,
    pub why_not: String,
}

/// How many alternatives a decision lists, each another figure.
const ALTERNATIVES: usize = 6;

/// All decisions of a plan.
pub fn decisions(task: &Task, plan: &Plan) -> Vec<Decision> {
    let stages = plan.stages();
    let joins = Joins::new(&stages, task.player);
    let search = Search::new(&stages, &joins, task.player, task.wishes.patience());
    let teller =
        Teller { task, plan, search: &search, prices: search.prices(&plan.found.chosen), states: search.states(&plan.found.chosen) };
    let written = |slot: usize, candidate: usize| teller.why_not(slot, candidate).1;
    let reasons = reasons::all(task, plan, &written);
    reasons.into_iter().enumerate().map(|(slot, why)| teller.decision(slot, why)).collect()
}

struct Teller<'a> {
    task: &'a Task<'a>,
    plan: &'a Plan,
    search: &'a Search<'a>,
    prices: Vec<Price>,
    states: Vec<State>,
}

impl Teller<'_> {
    fn decision(&self, slot: usize, why: String) -> Decision {
        let here = &self.plan.slots[slot];
        let chosen = self.chosen(slot);
        let figures = self.task.figures;
        let number = self.task.tune.frame(here.measure).number;
        let held = self.task.wishes.ways.contains_key(&number)
            || self.task.wishes.holds.get(&number).is_some_and(|p| *p == figures.all[chosen.figure].name);
        let alternatives = self.alternatives(slot);
        let named = |(figure, reason): (&usize, &Reason)| (figures.all[*figure].name.clone(), reason.to_string());
        Decision {
            measure: here.measure.index(),
            number,
            at: here.at,
            hand: here.hand,
            chord: here.text.clone(),
            figure: figures.all[chosen.figure].name.clone(),
            notes: notes(chosen),
            price: self.prices[slot],
            held,
            why: if held { format!("held by you; {why}") } else { why },
            // To rest is no way of playing.
            second: self.second(slot, held, alternatives.iter().find(|a| a.notes != "rest")),
            alternatives,
            left_out: self.plan.choices[slot].left_out.iter().map(named).collect(),
        }
    }

    fn chosen(&self, slot: usize) -> &Candidate {
        &self.plan.choices[slot].candidates[self.plan.found.chosen[slot]]
    }

    /// The cheapest whole plan with each other figure, cheapest first.
    fn alternatives(&self, slot: usize) -> Vec<Alternative> {
        let candidates = &self.plan.choices[slot].candidates;
        let marginals = &self.plan.found.min_marginals[slot];
        let mut order: Vec<usize> = (0..candidates.len()).collect();
        order.sort_by_key(|c| (marginals[*c], *c));
        let mut seen = vec![self.chosen(slot).figure];
        let mut made = Vec::new();
        for c in order {
            if made.len() == ALTERNATIVES || seen.contains(&candidates[c].figure) || marginals[c] > self.plan.found.total + 40_000 {
                continue;
            }
            seen.push(candidates[c].figure);
            let (worth, why_not) = self.why_not(slot, c);
            made.push(Alternative {
                figure: self.task.figures.all[candidates[c].figure].name.clone(),
                notes: notes(&candidates[c]),
                extra: marginals[c] - self.plan.found.total,
                worth,
                why_not,
            });
        }
        made
    }

    /// How good the cheapest plan with another candidate is, and why it loses: the principle with the largest difference, and where.
    fn why_not(&self, slot: usize, candidate: usize) -> (Worth, String) {
        let detour = self.search.detour(&self.states, slot, candidate);
        let differences = self.search.differences(&self.states, &detour);
        let sum = differences.iter().fold(Price::default(), |sum, (_, theirs, ours)| sum + *theirs - *ours);
        let worth = Worth::of(sum.total(), &sum);
        let amount = |i: usize| {
            let theirs = detour.state(i).map_or(self.plan.found.chosen[i], |state| state.0);
            let plucks = |c: usize| self.plan.choices[i].candidates[c].plucks.len();
            plucks(theirs).cmp(&plucks(self.plan.found.chosen[i]))
        };
        let Some((fault, there)) = worst(self.task, self.plan, &differences, &amount) else { return (worth, GOOD.into()) };
        let near = there == slot || there == slot + 1 && fault.between;
        if near {
            return (worth, fault.said.into());
        }
        let measure = self.plan.slots[there].measure;
        if measure == self.plan.slots[slot].measure {
            return (worth, format!("in the rest of the measure {}", fault.said));
        }
        let at_slot: i64 = differences.iter().filter(|d| d.0 == slot).map(|(_, theirs, ours)| theirs.total() - ours.total()).sum();
        let lead = if at_slot < 0 { "better here, but " } else { "" };
        (worth, format!("{lead}in {} {}", self.task.tune.frame(measure).number.in_words(), fault.said))
    }

    fn second(&self, slot: usize, held: bool, second: Option<&Alternative>) -> Option<String> {
        self.plan.slots[slot].chord.as_ref()?;
        let chosen = self.chosen(slot);
        Some(match second {
            Some(second) => {
                let notes = music::as_read(&second.notes);
                let why = if second.worth == Worth::AsGood { String::new() } else { format!(": {}", second.why_not) };
                format!("Second came {} ({notes}), {}{why}.", spaced(&second.figure), second.worth)
            }
            None if held => return None,
            None if self.plan.choices[slot].candidates.iter().any(|c| c.figure != chosen.figure) => {
                "Every other figure would be much worse.".into()
            }
            None => "Nothing else can be played here.".into(),
        })
    }
}

/// Why a plan of other prices loses, where: for ways of a whole stretch.
pub(crate) fn why_less(task: &Task, plan: &Plan, differences: &[(usize, Price, Price)], amount: &dyn Fn(usize) -> Ordering) -> String {
    let Some((fault, there)) = worst(task, plan, differences, amount) else { return GOOD.into() };
    let number = task.tune.frame(plan.slots[there].measure).number.in_words();
    format!("in {number} {}", fault.said)
}

const GOOD: &str = "it would be just as good";

/// What is worst about another plan.
struct Fault {
    said: &'static str,
    /// It lies between two slots.
    between: bool,
}

/// The principle by which another plan loses most, and the slot where; `amount` compares its plucks in a slot with ours.
fn worst(task: &Task, plan: &Plan, differences: &[(usize, Price, Price)], amount: &dyn Fn(usize) -> Ordering) -> Option<(Fault, usize)> {
    let mut by_principle = [0i64; PRINCIPLES];
    for (_, theirs, ours) in differences {
        Principle::ALL.into_iter().for_each(|p| by_principle[p as usize] += theirs.part(p) - ours.part(p));
    }
    // What returns ask for follows from the other principles, so it speaks only when nothing else does.
    let rank = |p: Principle| (by_principle[p as usize] >= 60 && p != Principle::Return, by_principle[p as usize], -(p as i64));
    let principle = Principle::ALL.into_iter().max_by_key(|p| rank(*p)).filter(|p| by_principle[*p as usize] > 0)?;
    let difference = |(_, theirs, ours): &(usize, Price, Price)| theirs.part(principle) - ours.part(principle);
    let (there, theirs, _) = *differences.iter().max_by_key(|d| (difference(d), usize::MAX - d.0))?;
    let slot = &plan.slots[there];
    let said = match principle {
        Principle::SteadyFigure => kept_or_changed(theirs.part(principle), slot),
        Principle::Curve if amount(there) == Ordering::Greater => "it would be fuller than the place wants",
        Principle::Curve if amount(there) == Ordering::Less => "it would be thinner than the place wants",
        _ => fault(principle, slot, task),
    };
    let between = matches!(
        principle,
        Principle::BassLine | Principle::NearestWay | Principle::HandTravel | Principle::Ring | Principle::SteadyFigure
    );
    Some((Fault { said, between }, there))
}

/// What the price of keeping or changing a figure was for.
fn kept_or_changed(price: i64, slot: &Slot) -> &'static str {
    if price == weights().too_long_the_same {
        "the same figure would go on for too long"
    } else if slot.opens_phrase {
        "it would change the figure too soon"
    } else {
        "it would change the figure inside the phrase"
    }
}

/// What is wrong with a plan that is dearer by a principle.
fn fault(principle: Principle, slot: &Slot, task: &Task) -> &'static str {
    match principle {
        Principle::StrongBeats if slot.duty.phrase_end => "a strong beat or the chord would not be heard",
        Principle::StrongBeats => "a strong beat or the chord would not be heard, or a long note would stand bare",
        Principle::GiveAndTake => "it would be busy while the melody is busy",
        Principle::Pace => "it has more notes than so short a chord has time for",
        Principle::SteadyFigure => kept_or_changed(0, slot),
        Principle::PhraseEnd => "it would go on where the phrase ends",
        Principle::Curve if task.manner == Manner::Dance => "it is further from the fullness wished for this dance",
        Principle::Curve => "it is further from the fullness wished here",
        Principle::BassLine if slot.duty.last => "the last chord would be less low or less full",
        Principle::BassLine => "its bass would make less of a line",
        Principle::NearestWay => "the strings above the bass would move further",
        Principle::HandTravel => "the hand would have further to travel",
        Principle::OpenBelow => "it would be muddy low down",
        Principle::RoomForTheTune => "it would come too close to the melody, or stay too far from it",
        Principle::GoodDoubling => "less of the chord would be heard",
        Principle::Manner => "it belongs less to this kind of tune or to this register",
        Principle::Return if slot.fullness > 2 => "it would only repeat what the same melody had before",
        Principle::Return => "the same melody has another figure elsewhere",
        Principle::Settings if matches!(task.harp.mechanism, harp::Mechanism::Levers(_)) => {
            "it would need another lever move, or leave no hand free for one"
        }
        Principle::Settings => "it would need another pedal move",
        Principle::Ring => "what rings on from the chord before would clash",
        Principle::Wish => "an earlier way has it",
    }
}

/// Plucks in the short form.
pub fn notes(candidate: &Candidate) -> String {
    if candidate.plucks.is_empty() {
        return "rest".into();
    }
    let one = |p: &Pluck| {
        let names: Vec<String> = p.pitches.iter().map(|q| q.to_string()).collect();
        format!("{}{}", if p.rolled { "~" } else { "" }, names.join("+"))
    };
    candidate.plucks.iter().map(one).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use crate::{Figures, Wishes, arrange};
    use harp::{Instrument, Player};
    use music::text::sheet;

    /// A change of figure inside the phrase is called that; in four measures no figure can outstay its time.
    #[test]
    fn keeping_and_changing_are_told_apart() {
        let tune = sheet(
            r#"3/4 G | "G" G4:1 B4:1 D5:1 | "Em" E5:2 D5:1 | "C" C5:1 D5:1 E5:1 | "G" D5:3 | "G" B4:1 D5:1 G5:1 | "Em" E5:2 D5:1 | "D7" C5:1 B4:1 A4:1 | "G" G4:3 |"#,
        );
        let (figures, harp, player, wishes) = (Figures::own(), Instrument::lever_34(), Player::default(), Wishes::default());
        let made = arrange(&tune, &figures, &harp, &player, &wishes).expect("a short tune is arranged");
        let decisions = made.decisions(&figures, &harp, &player, &wishes);
        let said: Vec<&str> = decisions.iter().flat_map(|d| &d.alternatives).map(|a| a.why_not.as_str()).collect();
        assert!(said.iter().any(|s| s.contains("change the figure inside the phrase")), "{said:?}");
    }
}
