//! Invented pages for the tests and the benchmark.

use music::Score;
use music::text::page;

/// Chords of eight strings, four in each hand, rolled fast on every half beat, the lowest strings among them: thicker than anything that is played.
#[allow(dead_code)]
pub fn thick() -> Score {
    let right = "~[C4+E4+G4+C5]:1/2 ~[D4+F4+A4+D5]:1/2 ~[E4+G4+B4+E5]:1/2 ~[F4+A4+C5+F5]:1/2 ~[G4+B4+D5+G5]:1/2 ~[A4+C5+E5+A5]:1/2 \
                 ~[B4+D5+F5+B5]:1/2 ~[C5+E5+G5+C6]:1/2";
    let left = "~[C1+G1+C2+E2]:1/2 ~[D1+A1+D2+F2]:1/2 ~[E1+B1+E2+G2]:1/2 ~[F1+C2+F2+A2]:1/2 ~[G1+D2+G2+B2]:1/2 ~[A1+E2+A2+C3]:1/2 \
                ~[B1+F2+B2+D3]:1/2 ~[C2+G2+C3+E3]:1/2";
    page(&[(right, left); 4], 120)
}

/// An arpeggio under a tune, in a harp's usual manner: 90 measures, three minutes at 120 a minute.
#[allow(dead_code)]
pub fn three_minutes() -> Score {
    let bars = [
        ("C5:1 E5:1/2 D5:1/2 C5:1 G4:1", "C3:1/2 G3:1/2 C4:1/2 E4:1/2 G4:1/2 E4:1/2 C4:1/2 G3:1/2"),
        ("A4:1 C5:1 F5:2", "F2:1/2 C3:1/2 F3:1/2 A3:1/2 C4:1/2 A3:1/2 F3:1/2 C3:1/2"),
        ("[D5+G5]:1 F5:1/2 E5:1/2 D5:2", "G2:1/2 D3:1/2 G3:1/2 B3:1/2 D4:1/2 B3:1/2 G3:1/2 D3:1/2"),
        ("~[E4+G4+C5]:4", "~[C2+G2+C3+E3]:4"),
    ];
    let measures: Vec<(&str, &str)> = bars.into_iter().cycle().take(90).collect();
    page(&measures, 120)
}
