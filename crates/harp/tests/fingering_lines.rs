//! Whole lines a harpist would finger without thinking, worked examples 43 to 52 of the fact sheet, and the sharing between the hands.

use harp::fingering::{
    Fingering, FingeringError, HandPrices, Line, LineError, Onset, Placed, Pluck, Prices, Strike, finger, hands, price, share,
};
use harp::{Fluency, HandLimit, Player, Reach};
use music::{Hand, Pitch, Seconds};

fn string(name: &str) -> i32 {
    Pitch::parse(name).map(Pitch::position).unwrap_or_else(|| panic!("{name} is no pitch"))
}

/// Plucks an equal time apart: "C3 G3 [C4,E4]" is written `C3 G3 C4,E4`.
fn line(text: &str, millis: i64) -> Line {
    let strings = |word: &str| word.split(',').map(string).collect::<Vec<i32>>();
    let plucks = text.split_whitespace().enumerate().map(|(i, w)| Pluck::of(Seconds::from_millis(millis * i as i64), &strings(w)));
    Line::new(plucks.collect()).expect("in order")
}

fn fingered(text: &str, millis: i64, player: &Player) -> Result<Fingering, FingeringError> {
    finger(&line(text, millis), Hand::Left, player, &Prices::default())
}

/// Fingers of one line, `|` between groups, the strings of one pluck without a blank.
fn shown(text: &str, millis: i64, player: &Player) -> String {
    let found = fingered(text, millis, player).expect("playable");
    let mut out = String::new();
    for (i, pluck) in found.plucks.iter().enumerate() {
        let joint = if i == 0 {
            ""
        } else if found.plucks[i - 1].group == pluck.group {
            " "
        } else {
            " | "
        };
        out.push_str(joint);
        out.extend(pluck.fingers.iter().map(u8::to_string));
    }
    out
}

fn check(text: &str, millis: i64, expected: &str) {
    assert_eq!(shown(text, millis, &Player::default()), expected, "{text}");
}

/// Common practice (harp facts 3.2): open shapes 4-2-1, arpeggios in groups of up to four, scales joined by the fourth finger crossing
/// under going up and the thumb over coming down.
#[test]
fn lines_of_the_trade() {
    check("C3 G3 C4", 300, "4 2 1");
    check("C3 G3 E4", 300, "4 2 1");
    check("C3 E3 G3 C4", 250, "4 3 2 1");
    check("C4 G3 E3 C3", 250, "1 2 3 4");
    check("C3,E3,G3 E3,G3,C4", 1000, "321 | 321");
    check("C3,G3 C3,G3", 1000, "31 | 31");
    check("C3 D3 E3 F3 G3 A3 B3 C4", 250, "4 3 2 1 | 4 3 2 1");
    check("C4 B3 A3 G3 F3 E3 D3 C3", 250, "1 2 3 4 | 1 2 3 4");
}

/// Common practice: the fingers follow the strings also where the hand leaps, a repeated string keeps its finger, and a line that turns goes on with the finger that lies there.
#[test]
fn lines_that_were_fingered_oddly() {
    check("G2 B3 D4", 385, "4 | 2 1");
    check("E5 D5 B4 B4 B4", 600, "1 2 3 | 3 | 3");
    check("A4 D5 F5 A5 F5 D5 G5 B5 A5 F5", 300, "4 3 2 1 | 3 4 2 1 | 2 3");
}

/// The same shape keeps its fingering wherever it lies.
#[test]
fn same_shape_same_fingering() {
    check("C3 G3 C4 D3 A3 D4 F3 C4 F4 G3 D4 G4", 400, "4 2 1 | 4 2 1 | 4 2 1 | 4 2 1");
}

/// Figures: "Finger 4 unwell: three strings".
#[test]
fn a_spared_finger_is_never_used() {
    let player = Player { fingers_left_out: vec![4], ..Player::default() };
    assert_eq!(shown("C3 G3 C4", 300, &player), "3 2 1");
    assert!(!shown("C3 D3 E3 F3 G3 A3 B3 C4", 300, &player).contains('4'));
    let limit = HandLimit::TooManyNotes { notes: 4, fingers: 3 };
    assert_eq!(fingered("C3,E3,G3,C4", 300, &player), Err(FingeringError::Pluck { pluck: 0, limit }));
}

/// Harp facts 9, examples 43 (1-5-8 is 8 strings wide), 44 (1-5-10 is 10), 45 to 48 (close triads: the hand holds them; their muddiness is
/// the low intervals' matter) and 49 (C3 D3 E3 E4 lies well, C3 C4 D4 E4 strains).
#[test]
fn worked_examples_that_a_hand_holds() {
    for (chord, fingers) in [("C2,G2,C3", "421"), ("C2,G2,E3", "421"), ("C3,E3,G3", "321"), ("A2,C3,E3", "321"), ("F2,A2,C3", "321")] {
        check(chord, 0, fingers);
    }
    check("C3,E3,A3", 0, "321");
    let wide = |chord| fingered(chord, 0, &Player::default()).map(|f| f.groups[0].parts.wide);
    assert_eq!(wide("C3,D3,E3,E4"), Ok(0));
    assert_eq!(wide("C3,C4,D4,E4"), Ok(Prices::default().strain));
}

/// Harp facts 9, examples 50 (five notes: at most four) and 51 (C3-F4, 11 strings: not as a block, but rolled).
#[test]
fn worked_examples_that_no_hand_holds() {
    let player = Player::default();
    let limit = HandLimit::TooManyNotes { notes: 5, fingers: 4 };
    assert_eq!(fingered("C3,D3,E3,F3,G3", 0, &player), Err(FingeringError::Pluck { pluck: 0, limit }));
    let limit = HandLimit::Reach { strings: 11, most: 10 };
    assert_eq!(fingered("C3,F4", 0, &player), Err(FingeringError::Pluck { pluck: 0, limit }));
    let rolled = Pluck { strike: Strike::Rolled, ..Pluck::of(Seconds::ZERO, &[string("C3"), string("F4")]) };
    let line = Line::new(vec![rolled]).expect("one pluck");
    assert!(finger(&line, Hand::Left, &player, &Prices::default()).is_ok());
}

#[test]
fn a_line_out_of_order_is_refused() {
    let pluck = |ms, strings: &[i32]| Pluck::of(Seconds::from_millis(ms), strings);
    assert_eq!(Line::new(vec![pluck(0, &[])]), Err(LineError::Empty(0)));
    assert_eq!(Line::new(vec![pluck(0, &[21, 21])]), Err(LineError::Strings(0)));
    assert_eq!(Line::new(vec![pluck(10, &[21]), pluck(10, &[22])]), Err(LineError::Time(1)));
    assert_eq!(Line::new(vec![pluck(0, &[i32::MAX])]), Err(LineError::Bounds(0)));
    let nothing = finger(&Line::default(), Hand::Left, &Player::default(), &Prices::default());
    assert_eq!(nothing, Ok(Fingering::default()));
}

/// Moving a line along the harp moves nothing in its fingering; more time never costs more than less for the same line without long waits.
#[test]
fn laws_of_the_price() {
    let player = Player::default();
    let low = fingered("C2 G2 C3 E3 C3 G2 D2,A2 D3", 300, &player).expect("playable");
    let high = fingered("C3 G3 C4 E4 C4 G3 D3,A3 D4", 300, &player).expect("playable");
    assert_eq!(low, high);
    let slower = fingered("C2 G2 C3 E3 C3 G2 D2,A2 D3", 600, &player).expect("playable");
    assert!(slower.total() <= low.total());
    let fast = Player { fluency: Fluency::Advanced, ..Player::default() };
    let same = fingered("C2 G2 C3 E3 C3 G2 D2,A2 D3", 300, &fast).expect("playable");
    assert!(same.total() <= low.total());
}

fn onset(millis: i64, names: &str, staff: Option<Hand>) -> Onset {
    Onset { at: Seconds::from_millis(millis), strings: names.split(',').map(|n| (string(n), staff)).collect() }
}

/// Harp facts 3.1: a tenth a hand, so six strings over two octaves are three and three at most a tenth each; and example 52 (harp
/// facts 9): the right hand does not go to E2.
#[test]
fn hands_share_what_lies_between_them() {
    let player = Player::default();
    let page =
        [onset(0, "C3,G3,C4,E4,G4,C5", None), onset(1000, "E2,B2", Some(Hand::Right)), onset(2000, "C3,D3,E3,F3,G3,A3,B3,C4,D4", None)];
    let shared = share(&page, &player, &HandPrices::default());
    assert!((2..=4).contains(&shared.left[0]), "{shared:?}");
    assert_eq!(shared.left[1], 2, "both strings are the left hand's, whatever the staff says");
    assert_eq!(shared.beyond, vec![2], "nine strings are more than two hands have fingers for");
}

/// A tune above and a bass below, all on one staff: each hand keeps its own, also where they alternate fast.
#[test]
fn alternating_hands_are_kept_apart() {
    let notes = ["C3", "E5", "G3", "D5", "C3", "C5", "G3", "E5"];
    let page: Vec<Onset> = (0..).zip(notes).map(|(i, n)| onset(150 * i, n, Some(Hand::Right))).collect();
    let shared = share(&page, &Player::default(), &HandPrices::default());
    assert_eq!(shared.left, vec![1, 0, 1, 0, 1, 0, 1, 0]);
}

/// The search against every sharing, on random short pages.
#[test]
fn sharing_equals_trying_everything() {
    let mut seed = 88_172_645_463_325_252_u64;
    let mut throw = |sides: u64| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        seed % sides
    };
    for case in 0..10_000 {
        let mut at = 0;
        let mut page = Vec::new();
        for _ in 0..1 + throw(5) {
            at += [100, 200, 450, 700, 1800][throw(5) as usize];
            let mut strings: Vec<i32> = (0..1 + throw(4)).map(|_| 10 + throw(30) as i32).collect();
            strings.sort_unstable();
            strings.dedup();
            let staff = [None, Some(Hand::Left), Some(Hand::Right)][throw(3) as usize];
            page.push(Onset { at: Seconds::from_millis(at), strings: strings.into_iter().map(|s| (s, staff)).collect() });
        }
        let reach = Reach { block: 8 + throw(3) as u32, rolled: 12 };
        let player = Player { left: reach, ..Player::default() };
        let prices = HandPrices::default();
        let found = share(&page, &player, &prices);
        let mut all = vec![Vec::new()];
        for o in &page {
            all = all
                .into_iter()
                .flat_map(|w: Vec<usize>| (0..=o.strings.len()).map(move |k| w.iter().copied().chain([k]).collect()))
                .collect();
        }
        let tried = all.iter().filter_map(|w| hands::price(&page, &player, &prices, w)).min();
        assert_eq!(Some(found.total), tried, "case {case}: {page:?}");
        assert_eq!(hands::price(&page, &player, &prices, &found.left), tried, "case {case}");
    }
}

/// The price of two single strings with these fingers, each a group of its own, their shapes left aside.
fn written(text: &str, millis: i64, fingers: [u8; 2]) -> i64 {
    let placed: Vec<Placed> = (0..).zip(fingers).map(|(group, f)| Placed { fingers: vec![f], group }).collect();
    let groups = price(&line(text, millis), Hand::Left, &Player::default(), &Prices::default(), &placed).expect("a hand can do it");
    groups.iter().map(|g| g.parts.total() - g.parts.shape).sum()
}

/// Harp facts 3.2: the thumb can slide down to its neighbour, the fourth finger up is tricky; any other finger that comes again at once is worse.
#[test]
fn slides_are_cheaper_than_a_finger_that_comes_again() {
    let thumb_down = written("C4 B3", 180, [1, 1]);
    let fourth_up = written("C3 D3", 180, [4, 4]);
    let third_up = written("C3 D3", 180, [3, 3]);
    let thumb_up = written("B3 C4", 180, [1, 1]);
    assert!(thumb_down < fourth_up && fourth_up < third_up, "{thumb_down:?} {fourth_up:?} {third_up:?}");
    assert_eq!(thumb_up, third_up);
    assert!(written("B3 C4", 180, [1, 4]) < written("B3 C4", 180, [2, 3]), "under the thumb is the usual crossing");
}

/// Harp facts 3.1: pitch ascends 4 3 2 1; and one string is one finger's within a group.
#[test]
fn a_written_fingering_that_no_hand_forms_is_refused() {
    let one_group = |text: &str, fingers: &[u8]| {
        let placed: Vec<Placed> = fingers.iter().map(|f| Placed { fingers: vec![*f], group: 0 }).collect();
        price(&line(text, 300), Hand::Left, &Player::default(), &Prices::default(), &placed).map(|g| g.len())
    };
    assert_eq!(one_group("C3 E3 G3", &[3, 2, 1]), Ok(1));
    assert_eq!(one_group("C3 E3 G3", &[1, 2, 3]), Err(FingeringError::Written(0)));
    assert_eq!(one_group("C3 E3 C3", &[3, 2, 1]), Err(FingeringError::Written(0)));
    assert_eq!(one_group("C3 E3", &[2]), Err(FingeringError::Written(1)));
}

/// Harp facts 3.1: same numbering in both hands, both thumbs uppermost. Only the reach can differ.
#[test]
fn both_hands_finger_alike() {
    let page = line("C4 E4 G4 C5 G4,B4 F4 E4,C5,E5", 250);
    let player = Player::default();
    let both = [Hand::Left, Hand::Right].map(|hand| finger(&page, hand, &player, &Prices::default()));
    assert!(both[0].is_ok());
    assert_eq!(both[0], both[1]);
    let limit = HandLimit::Reach { strings: 8, most: 7 };
    let narrow = finger(&page, Hand::Right, &Player { right: Reach { block: 7, rolled: 8 }, ..player }, &Prices::default());
    assert_eq!(narrow, Err(FingeringError::Pluck { pluck: 6, limit }));
}

/// The cost of each part adds up, and no part is a discount.
#[test]
fn parts_add_up() {
    let found = fingered("C3 G3,C4 G3,C4 F2 C3,F3 C3,F3", 250, &Player::default()).expect("playable");
    let sum: i64 = found.groups.iter().map(|g| g.parts.total()).sum();
    assert_eq!(sum, found.total());
    for g in &found.groups {
        let p = g.parts;
        let parts = [p.placing, p.shape, p.own_shape, p.wide, p.turn, p.wait, p.over, p.travel, p.late, p.finger_again, p.string_again];
        assert_eq!(parts.iter().sum::<i64>(), p.total());
        assert!(parts.iter().all(|part| *part >= 0), "{p:?}");
    }
}
