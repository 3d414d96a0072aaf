//! The order of a set: keys vary, and least is moved between tunes.
//!
//! The search takes one tune after another. After so many tunes, two beginnings that have played the same tunes and end alike are compared: which tune came last, whether its
//! key and its kind were heard twice running, and how the levers stand. One that is dearer by at least what it would cost to bring the levers of the other to its own is dropped: whatever
//! follows it can follow the other for no more. Where never more is open than may be followed, the cheapest order that is left is the cheapest there is ([`Proof::Cheapest`]); else the dearest
//! beginnings are dropped too and the order is a good one ([`Proof::Good`]).
//!
//! The prices are our own, after what players say goes wrong in a set (silences while levers are set, four tunes in one key): whole numbers, one for each lever or pedal.

use super::SetTune;
use super::standing::course;
use harp::settings::Part;
use std::collections::{BTreeMap, BTreeSet};

/// A lever or pedal moved between two tunes.
pub const MOVE: u32 = 1;
/// A tune in the key of the one before.
pub const SAME_KEY: u32 = 3;
/// The third in one key and each further one: no more than two neighbours are in one key if anything else can be had.
pub const THIRD_IN_KEY: u32 = 15;
/// The third of one kind and each further one.
pub const THIRD_OF_KIND: u32 = 4;

/// So many tunes are ordered with so many beginnings followed at once, larger sets with fewer: work is counted, never timed.
const PROVED_UP_TO: usize = 14;
const WIDTH: usize = 150_000;
const NARROW: usize = 2_000;

/// Places that she keeps, by the index of the tune.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Held {
    pub first: Option<usize>,
    pub last: Option<usize>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// No order is cheaper.
    Cheapest,
    /// A good one; not all were looked at.
    Good,
}

/// The order that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ordered {
    /// Indices of the tunes.
    pub order: Vec<usize>,
    pub price: u32,
    pub proof: Proof,
}

/// What a tune costs after those before it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Price {
    pub moves: u32,
    pub key: u32,
    pub kind: u32,
}

impl Price {
    pub fn total(self) -> u32 {
        self.moves + self.key + self.kind
    }
}

/// The price of each tune of an order but the first, played through from its beginning.
pub fn prices(tunes: &[&SetTune]) -> Vec<Price> {
    let course = course(tunes);
    let (mut keys, mut kinds) = (Run::Once, Run::Once);
    let mut all = Vec::new();
    for (pair, changes) in tunes.windows(2).zip(&course.changes) {
        let (key, keys_now) = keys.then(pair[0].key == pair[1].key, [SAME_KEY, THIRD_IN_KEY]);
        let (kind, kinds_now) = kinds.then(pair[0].kind == pair[1].kind, [0, THIRD_OF_KIND]);
        (keys, kinds) = (keys_now, kinds_now);
        all.push(Price { moves: MOVE * changes.len() as u32, key, kind });
    }
    all
}

/// How often running something was heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Run {
    Once,
    Twice,
}

impl Run {
    fn then(self, same: bool, [second, third]: [u32; 2]) -> (u32, Run) {
        match (self, same) {
            (_, false) => (0, Run::Once),
            (Run::Once, true) => (second, Run::Twice),
            (Run::Twice, true) => (third, Run::Twice),
        }
    }
}

/// Two bits a part: its position from the lowest it can have.
type Bits = u128;

/// A tune in bits: which parts it needs, how, and how it leaves them.
struct Wants {
    mask: Bits,
    needs: Bits,
    leaves: Bits,
}

fn wants(tunes: &[SetTune]) -> Vec<Wants> {
    let parts: BTreeSet<Part> = tunes.iter().flat_map(|t| t.needs.keys().copied()).collect();
    let place: BTreeMap<Part, usize> = parts.into_iter().enumerate().map(|(at, part)| (part, 2 * at)).collect();
    let bits = |all: &BTreeMap<Part, i32>| all.iter().map(|(part, alter)| Bits::from((alter + 1).clamp(0, 3) as u8) << place[part]).sum();
    let mask = |all: &BTreeMap<Part, i32>| all.keys().map(|part| 3 << place[part]).sum();
    tunes.iter().map(|t| Wants { mask: mask(&t.needs), needs: bits(&t.needs), leaves: bits(&t.leaves) }).collect()
}

/// In how many parts two standings differ.
fn differ(one: Bits, other: Bits) -> u32 {
    const LOW: Bits = Bits::MAX / 3;
    let different = one ^ other;
    ((different | different >> 1) & LOW).count_ones()
}

/// A beginning: which tunes, the last of them, what was heard twice running, the price, how the parts that are known stand, and the beginning that it goes on from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Beginning {
    played: u64,
    last: usize,
    keys: Run,
    kinds: Run,
    price: u32,
    before: usize,
    stands: Bits,
    known: Bits,
}

impl Beginning {
    fn alike(&self, other: &Beginning) -> bool {
        (self.played, self.last, self.keys, self.kinds) == (other.played, other.last, other.keys, other.kinds)
    }
}

/// The cheapest order of the tunes, at most [`super::MOST`].
pub fn best_order(tunes: &[SetTune], held: Held) -> Ordered {
    let width = if tunes.len() <= PROVED_UP_TO { WIDTH } else { NARROW };
    order_within(tunes, held, width)
}

fn order_within(tunes: &[SetTune], held: Held, width: usize) -> Ordered {
    let count = tunes.len();
    let wants = wants(tunes);
    let mut proof = Proof::Cheapest;
    let mut layers = vec![first(&wants, held, count)];
    while layers.len() < count {
        let here = layers.last().expect("there is a first layer");
        let mut next: Vec<Beginning> = Vec::new();
        for (before, beginning) in here.iter().enumerate() {
            let free = (0..count).filter(|t| beginning.played >> t & 1 == 0 && (held.last != Some(*t) || layers.len() + 1 == count));
            next.extend(free.map(|t| beginning.then(before, (t, tunes), &wants[t])));
        }
        let mut next = cheapest(next);
        if next.len() > width {
            proof = Proof::Good;
            next.sort_by_key(|b| (b.price, *b));
            next.truncate(width);
        }
        layers.push(next);
    }
    back(&layers, proof)
}

fn first(wants: &[Wants], held: Held, count: usize) -> Vec<Beginning> {
    let may = |t: &usize| held.first.is_none_or(|f| f == *t) && (held.last != Some(*t) || count == 1);
    let begin = |t: usize| Beginning {
        played: 1 << t,
        last: t,
        keys: Run::Once,
        kinds: Run::Once,
        price: 0,
        before: 0,
        stands: wants[t].leaves,
        known: wants[t].mask,
    };
    (0..count).filter(may).map(begin).collect()
}

impl Beginning {
    fn then(&self, before: usize, (tune, tunes): (usize, &[SetTune]), wants: &Wants) -> Beginning {
        let (was, is) = (&tunes[self.last], &tunes[tune]);
        let (key, keys) = self.keys.then(was.key == is.key, [SAME_KEY, THIRD_IN_KEY]);
        let (kind, kinds) = self.kinds.then(was.kind == is.kind, [0, THIRD_OF_KIND]);
        let known = self.known & wants.mask;
        let moves = MOVE * differ(self.stands & known, wants.needs & known);
        Beginning {
            played: self.played | 1 << tune,
            last: tune,
            keys,
            kinds,
            price: self.price + moves + key + kind,
            before,
            stands: self.stands & !wants.mask | wants.leaves,
            known: self.known | wants.mask,
        }
    }
}

/// Without those that another makes needless.
fn cheapest(mut all: Vec<Beginning>) -> Vec<Beginning> {
    all.sort_unstable();
    let mut kept: Vec<Beginning> = Vec::new();
    let mut group = 0;
    for beginning in all {
        if !kept.last().is_some_and(|k| k.alike(&beginning)) {
            group = kept.len();
        }
        if !kept[group..].iter().any(|k| k.price + MOVE * differ(k.stands, beginning.stands) <= beginning.price) {
            kept.push(beginning);
        }
    }
    kept
}

fn back(layers: &[Vec<Beginning>], proof: Proof) -> Ordered {
    let Some(end) = layers.last().and_then(|l| l.iter().min_by_key(|b| (b.price, b.last, b.before))) else {
        return Ordered { order: Vec::new(), price: 0, proof };
    };
    let (mut order, mut here) = (vec![end.last], end);
    for layer in layers.iter().rev().skip(1) {
        here = &layer[here.before];
        order.push(here.last);
    }
    order.reverse();
    Ordered { order, price: end.price, proof }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::set::tests::tune;
    use harmony::kind::KindOfTune::{self, Air, Jig, Waltz};
    use music::{Pitch, Step};
    use proptest::prelude::*;

    fn price(tunes: &[SetTune], order: &[usize]) -> u32 {
        prices(&order.iter().map(|t| &tunes[*t]).collect::<Vec<_>>()).into_iter().map(Price::total).sum()
    }

    fn orders(count: usize) -> Vec<Vec<usize>> {
        if count == 0 {
            return vec![Vec::new()];
        }
        let shorter = orders(count - 1);
        shorter.iter().flat_map(|o| (0..count).map(|at| [&o[..at], &[count - 1], &o[at..]].concat())).collect()
    }

    /// By hand. D needs F♯ C♯, G needs F♯ C, C needs F C. D G C moves C♯ then F♯: 2. With C between, C♯ and F♯ go down and F♯ up again: 3. C G D is as cheap.
    #[test]
    fn neighbours_in_the_circle_stand_together() {
        let tunes = [tune(Step::D, Air, &["F#4", "C#5"]), tune(Step::C, Jig, &["F4", "C5"]), tune(Step::G, Waltz, &["F#4", "C5"])];
        let found = best_order(&tunes, Held::default());
        assert_eq!((found.price, found.proof), (2, Proof::Cheapest));
        assert_eq!(found.order[1], 2);
        assert_eq!(price(&tunes, &[0, 1, 2]), 3);
        let held = Held { first: Some(2), last: None };
        let found = best_order(&tunes, held);
        assert_eq!((found.order[0], found.price), (2, 3), "G first: to D and then to C moves C up, C and F down");
    }

    /// Needs 2 and 1.2: no more than two neighbours in one key. Four tunes in G and two in D, a lever between: G G D G G D costs 3 moves and two doubles, 9; four G running would cost 3 + 15 + 15.
    #[test]
    fn no_third_in_one_key() {
        let g = |kind: KindOfTune| tune(Step::G, kind, &["C5"]);
        let d = |kind: KindOfTune| tune(Step::D, kind, &["C#5"]);
        let tunes = [g(Air), g(Jig), g(Waltz), g(Air), d(Jig), d(Waltz)];
        let found = best_order(&tunes, Held::default());
        let names: String = found.order.iter().map(|t| tunes[*t].key.tonic().step.letter()).collect();
        assert!(!names.contains("GGG"), "{names}");
        assert_eq!(found.price, price(&tunes, &found.order));
        assert!(found.price <= price(&tunes, &[0, 1, 4, 2, 3, 5]));
    }

    #[test]
    fn a_large_set_is_good_and_says_so() {
        let letters = [Step::C, Step::G, Step::D, Step::A];
        let needs = [["F4", "C5"], ["F#4", "C5"], ["F#4", "C#5"], ["F#5", "C#5"]];
        let tunes: Vec<SetTune> = (0..30).map(|i| tune(letters[i * 7 % 4], KindOfTune::ALL[i % 5], &needs[i * 7 % 4])).collect();
        let found = order_within(&tunes, Held { first: Some(3), last: Some(4) }, 40);
        assert_eq!((found.proof, found.order[0], found.order[29]), (Proof::Good, 3, 4));
        let mut all = found.order.clone();
        all.sort_unstable();
        assert_eq!(all, (0..30).collect::<Vec<_>>());
        let given: Vec<usize> = (0..30).collect();
        assert!(found.price < price(&tunes, &given));
    }

    fn any_tune() -> impl Strategy<Value = SetTune> {
        let lever = |name: &'static str| prop_oneof![Just(None), Just(Some(0)), Just(Some(1))].prop_map(move |to| to.map(|to| (name, to)));
        let levers = (lever("F4"), lever("C5"), lever("G4"), lever("D5"));
        (0..3_usize, 0..2_usize, levers, any::<bool>()).prop_map(|(key, kind, levers, leaves)| {
            let mut made = tune([Step::C, Step::G, Step::D][key], [Air, Jig][kind], &[]);
            for (name, to) in [levers.0, levers.1, levers.2, levers.3].into_iter().flatten() {
                let part = Part::Lever(Pitch::parse(name).expect("a pitch").position());
                made.needs.insert(part, to);
                made.leaves.insert(part, if leaves { 1 - to } else { to });
            }
            made
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        /// Every order tried: the search finds none dearer than the cheapest, and says its true price.
        #[test]
        fn as_cheap_as_the_cheapest_of_all(tunes in prop::collection::vec(any_tune(), 1..7), first in any::<bool>(), last in any::<bool>()) {
            let held = Held { first: first.then_some(0), last: (last && tunes.len() > 1).then_some(tunes.len() - 1) };
            let may = |o: &Vec<usize>| held.first.is_none_or(|f| o[0] == f) && held.last.is_none_or(|l| o[o.len() - 1] == l);
            let least = orders(tunes.len()).into_iter().filter(may).map(|o| price(&tunes, &o)).min().expect("an order");
            let found = best_order(&tunes, held);
            prop_assert_eq!(found.proof, Proof::Cheapest);
            prop_assert!(may(&found.order));
            prop_assert_eq!(price(&tunes, &found.order), found.price);
            prop_assert_eq!(found.price, least);
        }
    }
}
