//! The program's own tunes, played by another sound source: the sheet is found in the recording. `cargo run --release -p outside --example recordings FOLDER` gives figures for a folder of tunes.

use formats::{ReadOptions, read};
use outside::recordings::{Chance, Compared, Tried, Wanted, agrees_with_another, tried};
use std::path::Path;

/// Six recordings by violin, flute, piano and voice in turn. The bounds are those that are aimed at for many recordings (median 60 ms, 95 percent of beats within 200 ms, order and key
/// in 90 percent); of six, one may be wrong.
#[test]
fn sheets_are_found_in_recordings_of_another_source() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data/tunes");
    let tunes = ["bakery-before-six", "ferry-reel", "lighthouse-in-mist", "regatta-morning"].map(|name| {
        let bytes = std::fs::read(folder.join(name).with_extension("abc")).expect("the program's own tunes");
        read(&bytes, &ReadOptions::default()).expect("they can be read").sheet
    });
    let mut all: Vec<Compared> = Vec::new();
    for number in 0..6 {
        let mut chance = Chance::new(100 + number as u64);
        let wanted = Wanted::any(number % 4, &mut chance);
        let Tried { played, heard, found, seconds } = tried(&tunes[(number + number / 4) % 4], &wanted, &mut chance).expect("a tempo");
        let found = found.unwrap_or_else(|e| panic!("recording {number}: {e}"));
        assert!(!found.is_doubted(), "recording {number} agrees with its sheet: {}", found.agrees);
        all.push(Compared::of(&played, &wanted, Some(&found), seconds));
        if number == 0 {
            let another = agrees_with_another(&tunes[(number + 2) % 4], &heard);
            assert!(another.is_none_or(|f| f.is_doubted()), "recording {number} is of another tune");
        }
    }
    let mut errors: Vec<f64> = all.iter().flat_map(|c| &c.beats).map(|b| b.0.abs()).collect();
    errors.sort_by(f64::total_cmp);
    let (median, ninety_five) = (errors[errors.len() / 2], errors[errors.len() * 95 / 100]);
    assert!(median < 0.06 && ninety_five < 0.2, "median {median:.3} s, 95 percent within {ninety_five:.3} s");
    let right = |of: fn(&Compared) -> bool| all.iter().filter(|c| of(c)).count();
    assert!(right(|c| c.order) >= 5 && right(|c| c.key) >= 5, "order in {}, key in {} of 6", right(|c| c.order), right(|c| c.key));
}
