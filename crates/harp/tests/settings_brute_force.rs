//! The search against every opening, every choice of strings and every set of signs, on random short passages with repeats.

mod dice;

use dice::Dice;
use harp::settings::{
    AtLeast, Choice, GridPlace, MoveTimes, Omission, Part, Passage, Plan, Prices, Proof, SettingSign, Spelling, Use, at_least, plan,
    plan_within, walk,
};
use harp::{Fluency, Instrument, Mechanism, Tuning};
use music::{Pitch, Seconds, Step};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

fn passage(dice: &mut Dice, harp: &Instrument, letters: u64) -> Passage {
    // Pedals have three positions: fewer of their cases have six instants, for the time the comparison takes.
    let instants = if letters == 3 { [1, 2, 3, 3, 4, 4, 5, 6] } else { [1, 2, 3, 4, 5, 6, 6, 6] };
    let n = instants[dice.throw(8) as usize];
    let letters = 1 + dice.throw(letters);
    let mut at = 0;
    let mut places = Vec::new();
    for _ in 0..n {
        let (room, awkward) = (Seconds::from_millis([0, 600, 900, 1500][dice.throw(4) as usize]), dice.throw(3) * 100);
        places.push(GridPlace { at: Seconds::from_millis(at), room, awkward });
        at += [200, 400, 600, 900][dice.throw(4) as usize];
    }
    let mut uses: Vec<Use> = (0..[1, 2, 3, 4, 5, 6, 6, 6][dice.throw(8) as usize]).map(|_| note(dice, harp, letters, n)).collect();
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
    let others = harp::settings::remedies::neighbours(harp, pitch).into_iter();
    spellings
        .extend(others.filter(|p| *p != pitch && (28..28 + letters as i32).contains(&p.position())).map(|pitch| Spelling { pitch, price }));
    let omission = if dice.throw(2) == 0 { Omission::Never } else { Omission::Price(500 + 900 * dice.throw(5)) };
    Use { place, until: place + 1 + [0, 0, 1, 2][dice.throw(4) as usize], spellings, omission }
}

struct Brute<'a> {
    harp: &'a Instrument,
    passage: &'a Passage,
    prices: Prices,
    parts: BTreeMap<Part, Vec<i32>>,
    /// The price to be beaten.
    best: u64,
    /// The ways of a part for what the chosen notes want of it.
    known: BTreeMap<(Part, Vec<Choice>), Rc<Vec<Way>>>,
}

/// How one part stands at first, its signs, what they cost: all that can be played for the part alone.
#[derive(Clone)]
struct Way {
    opening: i32,
    marks: Vec<SettingSign>,
    price: u64,
}

impl Brute<'_> {
    /// Whether some plan is cheaper than the one found.
    fn cheaper(&mut self) -> bool {
        let mut choices: Vec<(Vec<Choice>, u64)> = vec![(vec![], 0)];
        for u in self.passage.uses() {
            let mut ways: Vec<(Choice, u64)> = u.spellings.iter().enumerate().map(|(i, s)| (Choice::Plucked(i), s.price)).collect();
            ways.push(match u.omission {
                Omission::Never => (Choice::Missing, self.prices.missing),
                Omission::Price(price) => (Choice::LeftOut, price),
            });
            let longer = choices.iter().flat_map(|c| ways.iter().map(move |w| ([&c.0[..], &[w.0]].concat(), c.1 + w.1)));
            choices = longer.filter(|c| c.1 < self.best).collect();
        }
        choices.into_iter().any(|(choices, price)| self.with_choices(&choices, self.best - price))
    }

    /// Whether these choices can be had with signs and moves for less than a price.
    fn with_choices(&mut self, choices: &[Choice], below: u64) -> bool {
        let uses = self.passage.uses().iter().zip(choices);
        let used: BTreeSet<Part> = uses.filter_map(|(u, c)| self.part_of(u, *c)).collect();
        let mut ways = Vec::new();
        for part in used {
            let found = self.ways(part, choices, below);
            if found.is_empty() {
                return false;
            }
            ways.push((part, found));
        }
        let plan = Plan { opening: BTreeMap::new(), marks: Vec::new(), choices: choices.to_vec(), price: 0, least: 0, proof: Proof::Best };
        self.with_parts(&plan, &ways, below)
    }

    fn part_of(&self, note: &Use, choice: Choice) -> Option<Part> {
        match choice {
            Choice::Plucked(i) => Part::of(self.harp, note.spellings[i].pitch),
            _ => None,
        }
    }

    fn played(&self, plan: &Plan) -> Option<u64> {
        walk(self.harp, self.passage, &MoveTimes::of(Fluency::Fluent), &self.prices, plan).ok().map(|w| w.price)
    }

    /// The choices with every note left out that is not on one of these parts, and what that leaves to pay for choices.
    fn only(&self, choices: &[Choice], parts: &[Part]) -> (Vec<Choice>, u64) {
        let uses = self.passage.uses().iter().zip(choices);
        let own = uses.map(|(u, c)| if self.part_of(u, *c).is_some_and(|p| parts.contains(&p)) { *c } else { Choice::LeftOut });
        let own: Vec<Choice> = own.collect();
        let price = self.passage.uses().iter().zip(&own).map(|(u, c)| match (c, u.omission) {
            (Choice::Plucked(i), _) => u.spellings[*i].price,
            (_, Omission::Price(price)) => price,
            _ => self.prices.missing,
        });
        let price = price.sum();
        (own, price)
    }

    /// Every way of one part alone below a price.
    fn ways(&mut self, part: Part, choices: &[Choice], below: u64) -> Rc<Vec<Way>> {
        let (own, paid) = self.only(choices, &[part]);
        let key = (part, own.clone());
        if !self.known.contains_key(&key) {
            let mut found = Vec::new();
            for opening in &self.parts[&part] {
                let plan = Plan {
                    opening: BTreeMap::from([(part, *opening)]),
                    marks: vec![],
                    choices: own.clone(),
                    price: 0,
                    least: 0,
                    proof: Proof::Best,
                };
                self.signs(part, plan, 0, paid, &mut found);
            }
            found.sort_by_key(|w| w.price);
            self.known.insert(key.clone(), Rc::new(found));
        }
        let all = &self.known[&key];
        if all.last().is_none_or(|w| w.price < below) {
            all.clone()
        } else {
            Rc::new(all.iter().filter(|w| w.price < below).map(Way::clone).collect())
        }
    }

    /// A sign to any position, or none, at each place from this one on.
    fn signs(&self, part: Part, plan: Plan, place: usize, paid: u64, found: &mut Vec<Way>) {
        if plan.marks.len() as u64 * (self.prices.a_move + self.prices.sign) >= self.best {
            return;
        }
        if place == self.passage.places().len() {
            if let Some(price) = self.played(&plan).map(|p| p - paid).filter(|p| *p < self.best) {
                found.push(Way { opening: plan.opening[&part], marks: plan.marks, price });
            }
            return;
        }
        for to in &self.parts[&part] {
            let mut more = plan.clone();
            more.marks.push(SettingSign { place, part, to: *to });
            self.signs(part, more, place + 1, paid, found);
        }
        self.signs(part, plan, place + 1, paid, found);
    }

    /// Whether the parts can be played together for less than a price, each in one of its ways.
    fn with_parts(&self, plan: &Plan, ways: &[(Part, Rc<Vec<Way>>)], below: u64) -> bool {
        let Some(((part, own), others)) = ways.split_first() else {
            return self.played(plan).is_some_and(|price| price < self.best);
        };
        let least: u64 = others.iter().map(|(_, ways)| ways[0].price).sum();
        own.iter().take_while(|w| w.price + least < below).any(|way| {
            let mut more = plan.clone();
            more.opening.insert(*part, way.opening);
            more.marks.extend(&way.marks);
            let parts: Vec<Part> = more.opening.keys().copied().collect();
            let alone = Plan { choices: self.only(&plan.choices, &parts).0, ..more.clone() };
            self.played(&alone).is_some() && self.with_parts(&more, others, below - way.price)
        })
    }
}

fn parts(harp: &Instrument, passage: &Passage) -> BTreeMap<Part, Vec<i32>> {
    let pitches = passage.uses().iter().flat_map(|u| &u.spellings);
    pitches.filter_map(|s| Part::of(harp, s.pitch).map(|p| (p, harp.settings_of(s.pitch.position())))).collect()
}

/// How many of the cases had a note that cannot be had, and how many had a move.
fn agree(harp: &Instrument, seed: u64, letters: u64, cases: usize) -> (usize, usize) {
    let mut dice = Dice(seed);
    let (times, prices) = (MoveTimes::of(Fluency::Fluent), Prices::default());
    let (mut infeasible, mut moved) = (0, 0);
    for case in 0..cases {
        let passage = passage(&mut dice, harp, letters);
        let plan = plan(harp, &passage, &times, &prices, 100_000);
        assert_eq!(plan.proof, Proof::Best);
        let walked = walk(harp, &passage, &times, &prices, &plan).unwrap_or_else(|f| panic!("case {case}: {f:?} {passage:?} {plan:?}"));
        assert_eq!(walked.price, plan.price, "case {case}: {passage:?} {plan:?}");
        let parts = parts(harp, &passage);
        let mut brute = Brute { harp, passage: &passage, prices, parts, best: plan.price, known: BTreeMap::new() };
        assert!(!brute.cheaper(), "case {case}: {passage:?} {plan:?}");
        infeasible += usize::from(!plan.is_feasible());
        moved += usize::from(!walked.moves.is_empty());
    }
    (infeasible, moved)
}

/// Enough of the cases must say something: a note that cannot be had, a lever or pedal moved.
fn agree_often(harp: &Instrument, seed: u64, letters: u64) {
    let (infeasible, moved) = agree(harp, seed, letters, 2_000);
    assert!(infeasible > 200 && moved > 100, "{infeasible} infeasible, {moved} with moves");
}

#[test]
fn levers_as_brute_force() {
    agree_often(&Instrument::lever_34(), 7, 4);
}

#[test]
fn pedals_as_brute_force() {
    let harp = Instrument::new("pedals".into(), Pitch::new(Step::C, 0, 1), 47, Tuning([-1; 7]), Mechanism::Pedals { fixed: vec![] });
    agree_often(&harp.expect("a harp"), 11, 3);
}

/// With too few states followed there is still a plan that can be walked; it is dearer or equal, not called proved unless it is, and what it says no plan is
/// cheaper than is true.
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
            assert!(narrow.least <= best.price && best.price <= narrow.price, "case {case}");
            assert!(narrow.proof == Proof::NotProved || narrow.price == best.price, "case {case}");
        }
    }
}

/// What is said without a search holds for the plan that the search proves, which brute force confirms above; and it says something: for most passages with
/// missing notes how many, for many with moves that there are some.
#[test]
fn no_plan_is_cheaper_than_the_notes_say() {
    let pedals = Instrument::new("pedals".into(), Pitch::new(Step::C, 0, 1), 47, Tuning([-1; 7]), Mechanism::Pedals { fixed: vec![] });
    // A pedal has more ways to a note, so that fewer of the missing ones can be told without a search.
    for (harp, seed, letters, told) in [(Instrument::lever_34(), 31, 4, 4), (pedals.expect("a harp"), 37, 3, 2)] {
        let mut dice = Dice(seed);
        let (times, prices) = (MoveTimes::of(Fluency::Fluent), Prices::default());
        let (mut missing, mut moved) = ([0, 0], [0, 0]);
        for case in 0..10_000 {
            let passage = passage(&mut dice, &harp, letters);
            let best = plan(&harp, &passage, &times, &prices, 100_000);
            let least = at_least(&harp, &passage, &times, &prices);
            let lacks = best.choices.iter().filter(|c| **c == Choice::Missing).count();
            assert!(least <= AtLeast { missing: lacks, price: best.price }, "case {case}: {least:?} {passage:?} {best:?}");
            assert!(least.price <= best.price, "case {case}: {least:?} {passage:?} {best:?}");
            let moves = walk(&harp, &passage, &times, &prices, &best).expect("it can be played").moves.len();
            if lacks > 0 {
                missing[usize::from(least.missing == lacks)] += 1;
            } else if moves > 0 {
                moved[usize::from(least.price >= prices.a_move)] += 1;
            }
        }
        assert!(missing[1] > told * missing[0] && moved[1] > 100, "{}: {missing:?} {moved:?}", harp.name);
    }
}

/// However little is left, there is a plan that can be walked; what it took is counted, and the same each time.
#[test]
fn a_purse_for_several_plans_is_kept() {
    let harp = Instrument::lever_34();
    let mut dice = Dice(41);
    let (times, prices) = (MoveTimes::of(Fluency::Fluent), Prices::default());
    for case in 0..300 {
        let passage = passage(&mut dice, &harp, 4);
        let best = plan(&harp, &passage, &times, &prices, 100_000);
        let with = |purse: usize| {
            let mut left = purse;
            (plan_within(&harp, &passage, &times, &prices, 100_000, &mut left), left)
        };
        let (rich, left) = with(1_000_000);
        assert_eq!(rich, best, "case {case}");
        assert!(left <= 1_000_000 && with(1_000_000).1 == left, "case {case}");
        let (poor, left) = with(0);
        assert!(left == 0 && poor.price >= best.price && poor.least <= best.price, "case {case}");
        assert!(walk(&harp, &passage, &times, &prices, &poor).is_ok(), "case {case}");
    }
}
