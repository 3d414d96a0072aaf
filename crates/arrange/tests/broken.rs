//! How broken chords open: counted in left hands made by hand for sixteen tunes, 57 of a hundred go from the bass to the fifth and 7 to an octave or a tenth.

use arrange::{Arrangement, Figures, Wishes, arrange};
use formats::{ReadOptions, read};
use harp::{Instrument, Player};
use music::Hand;

const DEMOS: [&str; 4] = [
    include_str!("../../../data/tunes/bakery-before-six.abc"),
    include_str!("../../../data/tunes/ferry-reel.abc"),
    include_str!("../../../data/tunes/lighthouse-in-mist.abc"),
    include_str!("../../../data/tunes/regatta-morning.abc"),
];

fn all() -> Vec<Arrangement> {
    let made = |tune: &&str| {
        let sheet = read(tune.as_bytes(), &ReadOptions::default()).expect("a demo tune reads").sheet;
        let made = |fullness| {
            let wishes = Wishes { fullness: vec![fullness], ..Wishes::default() };
            arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("a demo tune is arranged")
        };
        [3, 4].map(made)
    };
    DEMOS.iter().flat_map(made).collect()
}

#[test]
fn a_broken_chord_opens_on_the_fifth_sooner_than_on_the_octave_or_the_tenth() {
    let (mut fifths, mut wide) = (0, 0);
    for made in all() {
        for slot in made.plan.slots.iter().zip(&made.plan.choices).zip(&made.plan.found.chosen).filter(|((s, _), _)| s.hand == Hand::Left) {
            let ((_, choices), chosen) = slot;
            let [first, next, ..] = choices.candidates[*chosen].plucks.as_slice() else { continue };
            if first.pitches.len() == 1 {
                match next.low() - first.low() {
                    4 => fifths += 1,
                    7 | 9 => wide += 1,
                    _ => {}
                }
            }
        }
    }
    assert!(fifths > 3 * wide && fifths > 20, "{fifths} fifths, {wide} octaves and tenths");
}
