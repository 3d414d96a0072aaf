//! Whole pages as samples: below full scale, the same twice, no clicks, silence at the end.

mod page;

use music::{Beats, Hand, Mark, Pitch, PlacedMark};
use sound::{Performing, Samples, Strings, Voicing, perform, render, wav};

fn rendered(score: &music::Score) -> Samples {
    render(&perform(score, &Performing::default()), &Voicing::default()).expect("rendered")
}

#[test]
fn the_thickest_page_stays_below_full_scale() {
    let thick = perform(&page::thick(), &Performing::default());
    let strings = Strings::of(&thick, &Voicing::default()).expect("strings of the harp");
    let samples = strings.mix(&thick).expect("mixed");
    println!("thick: level {}, peak {}", strings.level(&thick), samples.peak());
    assert!(samples.peak() < 1.0 && samples.peak() > 0.2, "peak {}", samples.peak());
}

#[test]
fn an_ordinary_page_needs_no_lowering() {
    let usual = perform(&page::three_minutes(), &Performing::default());
    let strings = Strings::of(&usual, &Voicing::default()).expect("strings of the harp");
    println!("usual: level {}, peak {}", strings.level(&usual), strings.mix(&usual).expect("mixed").peak());
    assert_eq!(strings.level(&usual), 1.0);
}
