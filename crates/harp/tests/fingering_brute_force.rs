//! The search against every grouping and every choice of fingers, on random short lines.

mod dice;

use dice::Dice;
use harp::fingering::{Liked, Line, Placed, Pluck, Prices, Strike, finger, price};
use harp::{Fluency, Player, Reach};
use music::{Hand, Seconds};

fn random_line(dice: &mut Dice) -> Line {
    let (mut at, mut plucks) = (0, Vec::new());
    let most = 1 + dice.throw(4) + dice.throw(8) / 7;
    for _ in 0..most {
        at += [60, 130, 250, 400, 900, 2000][dice.throw(6) as usize];
        let notes = [1, 1, 1, 1, 2, 2, 3, 4][dice.throw(8) as usize];
        let mut strings: Vec<i32> = (0..notes).map(|_| 14 + dice.throw(12) as i32).collect();
        strings.sort_unstable();
        strings.dedup();
        let strike = if dice.throw(3) == 0 { Strike::Rolled } else { Strike::Together };
        let anew = dice.throw(4) == 0;
        let liked =
            (dice.throw(6) == 0).then(|| Liked { fingers: vec![(strings[0], 1 + dice.throw(4) as u8)], begins: dice.throw(2) == 0 });
        plucks.push(Pluck { at: Seconds::from_millis(at), strings, strike, anew, wanted: Vec::new(), liked });
    }
    Line::new(plucks).expect("in order")
}

fn random_player(dice: &mut Dice) -> Player {
    let fluency = [Fluency::Slow, Fluency::Fluent, Fluency::Advanced][dice.throw(3) as usize];
    let mut reach = || Reach { block: 8 + dice.throw(3) as u32, rolled: 11 + dice.throw(2) as u32 };
    let (left, right) = (reach(), reach());
    let fingers_left_out = if dice.throw(4) == 0 { vec![1 + dice.throw(4) as u8] } else { Vec::new() };
    Player { left, right, fluency, fingers_left_out, ..Player::default() }
}

/// Every set of fingers for so many strings, thumb on the highest side.
fn sets(notes: usize, left_out: &[u8]) -> Vec<Vec<u8>> {
    let mut all = vec![Vec::new()];
    for finger in [4, 3, 2, 1] {
        let with: Vec<Vec<u8>> = all.iter().map(|s: &Vec<u8>| s.iter().copied().chain([finger]).collect()).collect();
        all.extend(with);
    }
    all.retain(|s| s.len() == notes && s.iter().all(|f| !left_out.contains(f)));
    all
}

/// All ways to place the plucks from `first` on, put behind `begun`; the cheapest whole price.
fn cheapest(line: &Line, hand: Hand, player: &Player, begun: &mut Vec<Placed>, group: usize) -> Option<i64> {
    let plucks = line.plucks();
    let first = begun.len();
    if first == plucks.len() {
        return price(line, hand, player, &Prices::default(), begun).ok().map(|g| g.iter().map(|g| g.parts.total()).sum());
    }
    let mut best: Option<i64> = None;
    for end in first + 1..=plucks.len() {
        let mut strings: Vec<i32> = plucks[first..end].iter().flat_map(|p| p.strings.iter().copied()).collect();
        strings.sort_unstable();
        if strings.len() > 4 {
            break;
        }
        for set in sets(strings.len(), &player.fingers_left_out) {
            let of = |s: &i32| strings.iter().position(|t| t == s).map_or(0, |i| set[i]);
            begun.extend(plucks[first..end].iter().map(|p| Placed { fingers: p.strings.iter().map(of).collect(), group }));
            let whole = cheapest(line, hand, player, begun, group + 1);
            best = best.into_iter().chain(whole).min();
            begun.truncate(first);
        }
    }
    best
}

#[test]
fn the_search_finds_what_trying_everything_finds() {
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let mut placed = 0;
    for case in 0..8_000 {
        let (line, player) = (random_line(&mut dice), random_player(&mut dice));
        let hand = if case % 2 == 0 { Hand::Left } else { Hand::Right };
        let found = finger(&line, hand, &player, &Prices::default());
        let tried = cheapest(&line, hand, &player, &mut Vec::new(), 0);
        assert_eq!(found.as_ref().ok().map(|f| f.total()), tried, "case {case}: {line:?} {player:?}");
        if let Ok(found) = found {
            placed += 1;
            let again = price(&line, hand, &player, &Prices::default(), &found.plucks);
            assert_eq!(again, Ok(found.groups), "case {case}");
        }
    }
    assert!(placed >= 6_000, "only {placed} of the lines can be placed");
}
