//! Other ways for a phrase: different from what there is and from each other, quickly made; one that was taken is plucked exactly as it was offered.

use arrange::ways::OtherWay;
use arrange::{Arrangement, Figures, Wishes, arrange};
use harp::{Instrument, Player};
use music::Interval;
use std::collections::BTreeSet;
use std::time::Instant;

const PHRASE: &str = r#" | "G" G4:1 B4:1 D5:1 G5:1 | "C" E5:2 D5:1 C5:1 | "Am" C5:1 B4:1 A4:1 B4:1 | "D7" F#4:2 A4:2 | "G" B4:1 D5:1 G5:1 D5:1 | "Em" E5:2 B4:2 | "D7" C5:1 A4:1 F#4:1 A4:1 | "G" G4:4"#;

struct Bench {
    figures: Figures,
    harp: Instrument,
    player: Player,
    wishes: Wishes,
}

impl Bench {
    fn new() -> Bench {
        Bench { figures: Figures::own(), harp: Instrument::lever_34(), player: Player::default(), wishes: Wishes::default() }
    }

    fn arranged(&self, wishes: &Wishes) -> Arrangement {
        let sheet = music::text::sheet(&format!("4/4 G{} |", PHRASE.repeat(4)));
        arrange(&sheet, &self.figures, &self.harp, &self.player, wishes).expect("arranged")
    }

    fn ways(&self, made: &Arrangement, stretch: std::ops::Range<usize>) -> Vec<OtherWay> {
        made.other_ways((&self.figures, &self.harp, &self.player, &self.wishes), made, stretch)
    }
}

fn plucked(way: &OtherWay) -> BTreeSet<String> {
    way.plucks().map(|p| format!("{:?} {:?}", p.at, p.pitches)).collect()
}

#[test]
fn a_phrase_has_a_handful_of_ways_that_are_no_twins() {
    let bench = Bench::new();
    let made = bench.arranged(&bench.wishes);
    for stretch in [0..4, 4..8, 16..20, 5..6] {
        let began = Instant::now();
        let ways = bench.ways(&made, stretch.clone());
        println!("{} ways for measures {stretch:?} of 32 in {} ms", ways.len(), began.elapsed().as_millis());
        assert!((3..=5).contains(&ways.len()), "{stretch:?}: {}", ways.len());
        assert!(ways.iter().all(|w| stretch.clone().any(|m| made.differs_in(w, m))));
        assert!(ways.windows(2).all(|w| w[0].extra <= w[1].extra), "the best first");
        for (i, way) in ways.iter().enumerate() {
            for other in &ways[i + 1..] {
                let (here, there) = (plucked(way), plucked(other));
                let shared = here.intersection(&there).count() * 100 / here.union(&there).count();
                assert!(shared <= 70, "{stretch:?}: two ways share {shared} of a hundred plucks");
            }
        }
    }
}

#[test]
fn a_way_that_was_taken_is_plucked_as_it_was_offered() {
    let bench = Bench::new();
    let made = bench.arranged(&bench.wishes);
    for way in bench.ways(&made, 4..8) {
        let wishes = Wishes { ways: made.held(&way), ..Wishes::default() };
        assert_eq!(wishes.ways.keys().map(|n| n.count).collect::<Vec<u32>>(), [5, 6, 7, 8]);
        let held = bench.arranged(&wishes);
        for measure in 4..8 {
            let notes = |notes: &[music::Note]| notes.iter().map(|n| (n.at, n.pitches.clone())).collect::<Vec<_>>();
            assert_eq!(notes(&held.score.measures[measure].left), notes(&made.accompaniment(&way, measure)), "measure {measure}");
        }
        assert!(!held.remarks.iter().any(|r| matches!(r, arrange::Remark::WayNotPlayable { .. })), "{:?}", held.remarks);
    }
}

/// Up a tone and back (common practice: a major second), the plucks go along; what no hand can play is said.
#[test]
fn a_way_goes_along_into_another_key_and_one_without_strings_is_said() {
    let bench = Bench::new();
    let made = bench.arranged(&bench.wishes);
    let way = bench.ways(&made, 4..8).remove(0);
    let tone = Interval::new(1, 2);
    let wishes = Wishes { ways: made.held(&way), transpose: Some(tone), ..Wishes::default() };
    let moved = bench.arranged(&wishes);
    let pitches = |notes: &[music::Note]| notes.iter().flat_map(|n| n.pitches.clone()).collect::<Vec<_>>();
    for measure in 4..8 {
        let up: Vec<_> = pitches(&made.accompaniment(&way, measure)).into_iter().map(|p| p.up(tone)).collect();
        assert_eq!(
            pitches(&moved.score.measures[measure].left).iter().map(|p| p.midi()).collect::<Vec<_>>(),
            up.iter().map(|p| p.midi()).collect::<Vec<_>>()
        );
    }
    let mut high = made.held(&way);
    high.values_mut().flatten().flat_map(|p| &mut p.pitches).for_each(|p| *p = p.up(Interval::octaves(3)));
    let said = bench.arranged(&Wishes { ways: high, ..Wishes::default() }).remarks;
    assert!(said.iter().any(|r| matches!(r, arrange::Remark::WayNotPlayable { measure } if *measure == 5)), "{said:?}");
}

/// Her fullness stays hers: another way of the whole has as many plucks as the first, within a tenth.
#[test]
fn another_way_of_the_whole_is_as_full() {
    let bench = Bench::new();
    let plucks = |variant| {
        let made = bench.arranged(&Wishes { variant, ..Wishes::default() });
        made.score.measures.iter().flat_map(|m| &m.left).filter(|n| n.is_plucked()).count()
    };
    let first = plucks(1);
    for variant in 2..=4 {
        let other = plucks(variant);
        println!("way {variant}: {other} plucks, the first {first}");
        assert!(other.abs_diff(first) * 10 <= first, "{other} and {first}");
    }
}
