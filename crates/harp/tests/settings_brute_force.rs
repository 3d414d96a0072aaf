//! The search against every opening, every choice of strings and every set of signs, on random short passages with repeats.

mod dice;

use dice::Dice;
use harp::settings::{Choice, Mark, MoveTimes, Omission, Part, Passage, Place, Plan, Prices, Proof, Spelling, Use, plan, walk};
use harp::{Fluency, Instrument, Mechanism, Tuning};
use music::{Pitch, Seconds, Step};
use std::collections::BTreeMap;

fn passage(dice: &mut Dice, harp: &Instrument, letters: u64) -> Passage {
    let n = 1 + dice.throw(6) as usize;
    let mut at = 0;
    let mut places = Vec::new();
    for _ in 0..n {
        let (room, awkward) = (Seconds::from_millis([0, 400, 600, 900][dice.throw(4) as usize]), dice.throw(3) * 100);
        places.push(Place { at: Seconds::from_millis(at), room, awkward });
        at += [200, 400, 600][dice.throw(3) as usize];
    }
    let mut uses: Vec<Use> = (0..1 + dice.throw(6)).map(|_| note(dice, harp, letters, n)).collect();
    uses.sort_by_key(|u| u.place);
    let half = dice.throw(n as u64) as usize;
    let order = match dice.throw(4) {
        0 => vec![0..n, 0..n],
        1 if half > 0 => vec![0..half, 0..n],
        2 => vec![0..n, half..n],
        _ => vec![0..n, half..half + 1],
    };
    let order = if dice.throw(4) == 0 { std::iter::once(0..n).collect() } else { order };
    Passage::new(places, Seconds::from_millis(at), uses, order).expect("a passage")
}

fn note(dice: &mut Dice, harp: &Instrument, letters: u64, n: usize) -> Use {
    let place = dice.throw(n as u64) as usize;
    let position = 28 + dice.throw(letters) as i32;
    let stands = harp.settings_of(position);
    let pitch = Pitch::at_position(position, stands[dice.throw(stands.len() as u64) as usize]);
    let mut spellings = vec![Spelling { pitch, price: 0 }];
    let price = dice.throw(2) * 300;
    let others = harp::settings::ways_out::neighbours(harp, pitch).into_iter();
    spellings
        .extend(others.filter(|p| *p != pitch && (28..28 + letters as i32).contains(&p.position())).map(|pitch| Spelling { pitch, price }));
    let omission = if dice.throw(4) == 0 { Omission::Never } else { Omission::Price(500 + 500 * dice.throw(5)) };
    Use { place, until: place + 1 + dice.throw(2) as usize, spellings, omission }
}

struct Brute<'a> {
    harp: &'a Instrument,
    passage: &'a Passage,
    prices: Prices,
    marks: Vec<Mark>,
    best: u64,
}

impl Brute<'_> {
    /// Whether some plan is cheaper than the bound.
    fn cheaper(&self) -> bool {
        let mut choices: Vec<Vec<Choice>> = vec![vec![]];
        for u in self.passage.uses() {
            let mut ways: Vec<Choice> = (0..u.spellings.len()).map(Choice::Plucked).collect();
            ways.push(if u.omission == Omission::Never { Choice::Missing } else { Choice::LeftOut });
            choices = choices.iter().flat_map(|c| ways.iter().map(move |w| [&c[..], &[*w]].concat())).collect();
        }
        choices.into_iter().any(|c| self.with_choices(c))
    }

    fn with_choices(&self, choices: Vec<Choice>) -> bool {
        let price: u64 = self.passage.uses().iter().zip(&choices).map(|(u, c)| self.price(u, *c)).sum();
        if price >= self.best {
            return false;
        }
        let most = (self.best - price - 1) / (self.prices.a_move + self.prices.sign);
        let mut openings = vec![BTreeMap::new()];
        for (part, stands) in parts(self.harp, self.passage) {
            openings = openings
                .iter()
                .flat_map(|o| {
                    stands.iter().map(move |s| {
                        let mut o: BTreeMap<Part, i32> = o.clone();
                        o.insert(part, *s);
                        o
                    })
                })
                .collect();
        }
        openings.into_iter().any(|opening| {
            let mut plan = Plan { opening, marks: Vec::new(), choices: choices.clone(), price: 0, proof: Proof::Best };
            self.with_marks(&mut plan, 0, most)
        })
    }

    fn price(&self, u: &Use, choice: Choice) -> u64 {
        match (choice, u.omission) {
            (Choice::Plucked(i), _) => u.spellings[i].price,
            (_, Omission::Price(p)) => p,
            (_, Omission::Never) => self.prices.missing,
        }
    }

    fn with_marks(&self, plan: &mut Plan, from: usize, most: u64) -> bool {
        let times = MoveTimes::of(Fluency::Fluent);
        if walk(self.harp, self.passage, &times, &self.prices, plan).is_ok_and(|w| w.price < self.best) {
            return true;
        }
        most.min(3) > 0
            && (from..self.marks.len()).any(|i| {
                plan.marks.push(self.marks[i]);
                let found = self.with_marks(plan, i + 1, most.min(3) - 1);
                plan.marks.pop();
                found
            })
    }
}

fn parts(harp: &Instrument, passage: &Passage) -> BTreeMap<Part, Vec<i32>> {
    let pitches = passage.uses().iter().flat_map(|u| &u.spellings);
    pitches.filter_map(|s| Part::of(harp, s.pitch).map(|p| (p, harp.settings_of(s.pitch.position())))).collect()
}

fn agree(harp: &Instrument, seed: u64, letters: u64, cases: usize) {
    let mut dice = Dice(seed);
    let (times, prices) = (MoveTimes::of(Fluency::Fluent), Prices::default());
    for case in 0..cases {
        let passage = passage(&mut dice, harp, letters);
        let plan = plan(harp, &passage, &times, &prices, 100_000);
        assert_eq!(plan.proof, Proof::Best);
        let walked = walk(harp, &passage, &times, &prices, &plan).unwrap_or_else(|f| panic!("case {case}: {f:?} {passage:?} {plan:?}"));
        assert_eq!(walked.price, plan.price, "case {case}: {passage:?} {plan:?}");
        let places = 0..passage.places().len();
        let marks = places.flat_map(|place| {
            parts(harp, &passage).into_iter().flat_map(move |(part, s)| s.into_iter().map(move |to| Mark { place, part, to }))
        });
        let brute = Brute { harp, passage: &passage, prices, marks: marks.collect(), best: plan.price };
        assert!(!brute.cheaper(), "case {case}: {passage:?} {plan:?}");
    }
}

#[test]
fn levers_as_brute_force() {
    agree(&Instrument::lever_34(), 7, 4, 300);
}

#[test]
fn pedals_as_brute_force() {
    let harp = Instrument::new("pedals".into(), Pitch::new(Step::C, 0, 1), 47, Tuning([-1; 7]), Mechanism::Pedals { fixed: vec![] });
    agree(&harp.expect("a harp"), 11, 3, 300);
}

/// With too few states followed there is still a plan that can be walked; it is dearer or equal, and not called proved unless it is.
#[test]
fn a_narrow_search_still_has_a_plan() {
    let harp = Instrument::lever_34();
    let mut dice = Dice(23);
    let (times, prices) = (MoveTimes::of(Fluency::Fluent), Prices::default());
    for case in 0..300 {
        let passage = passage(&mut dice, &harp, 4);
        let best = plan(&harp, &passage, &times, &prices, 100_000);
        for width in [1, 2, 5] {
            let narrow = plan(&harp, &passage, &times, &prices, width);
            let walked =
                walk(&harp, &passage, &times, &prices, &narrow).unwrap_or_else(|f| panic!("case {case}: {f:?} {passage:?} {narrow:?}"));
            assert_eq!(walked.price, narrow.price, "case {case}: {passage:?} {narrow:?}");
            assert!(narrow.price >= best.price && (narrow.proof == Proof::NotProved || narrow.price == best.price), "case {case}");
        }
    }
}
