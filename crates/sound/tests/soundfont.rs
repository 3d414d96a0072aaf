//! A page played with a SoundFont: one of our own making, and damaged ones.

mod font;
mod page;

use font::{chunk, font};
use music::Pitch;
use sound::{Performing, SoundError, SoundFont, Strings, Voicing, perform, soundfont};

#[test]
fn the_harp_of_a_font_plays_the_page() {
    let font = font();
    assert_eq!(SoundFont::read(&font).expect("a font").sound(), "Harp");
    let performance = perform(&page::thick(), &Performing::default());
    let samples = soundfont::render(&performance, &font, &Voicing::default()).expect("rendered");
    assert!(samples.peak() < 1.0 && samples.peak() > 0.1, "peak {}", samples.peak());
    assert!(samples == soundfont::render(&performance, &font, &Voicing::default()).expect("rendered"), "the same twice");
}

/// A string of a font is as loud alone as among others.
#[test]
fn strings_of_a_font_are_added_to_a_set() {
    let font = SoundFont::read(&font()).expect("a font");
    let all = perform(&page::thick(), &Performing::default());
    let whole = Strings::of_font(&all, &Voicing::default(), &font).expect("strings of the font");
    let strings = all.strings();
    let first = strings.first().copied().into_iter().collect();
    let added = Strings::font(&Voicing::default(), &font).with(&first).and_then(|s| s.with(&strings)).expect("strings of the font");
    assert!(strings.iter().all(|p| added.sound(*p) == whole.sound(*p) && added.sound(*p).is_some()));
}

/// Crossings of zero in a second: twice the frequency. A4 at 442 Hz, and the octave below.
#[test]
fn a_font_is_tuned_to_the_concert_pitch() {
    let concert = harp::strings::ConcertPitch::new(442.0).expect("in use");
    let voicing = Voicing { concert, ..Voicing::default() };
    let font = SoundFont::read(&font()).expect("a font");
    for (name, expected) in [("A4", 442.0), ("A3", 221.0)] {
        let sound = font.string(Pitch::parse(name).expect("a pitch"), &voicing).expect("a string").channels.swap_remove(0);
        let crossings = sound[2_400..50_400].windows(2).filter(|w| (w[0] < 0.0) != (w[1] < 0.0)).count();
        assert!((crossings as f64 / 2.0 - expected).abs() <= 1.0, "{name}: {crossings} crossings in a second");
    }
}

#[test]
fn what_is_no_font_is_said_so() {
    let font = font();
    let read = |bytes: &[u8]| SoundFont::read(bytes).map(|_| ());
    assert!(matches!(read(b""), Err(SoundError::NoSoundFont)));
    assert!(matches!(read(b"RIFF\0\0\0\0WAVE"), Err(SoundError::NoSoundFont)));
    assert!(matches!(read(&font[..font.len() - 10]), Err(SoundError::SoundFontCut)));
    assert!(matches!(read(&chunk(b"RIFF", b"sfbk")), Err(SoundError::SoundFont(_))));
}

/// Every byte of the font in turn set to each of four values: an error or a sound, never a panic and never a sample that is no number.
#[test]
fn damaged_fonts_break_nothing() {
    // What the library says when it gives up is no failure of this test.
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |said| {
        if said.location().is_none_or(|l| !l.file().contains("rustysynth")) {
            before(said);
        }
    }));
    let whole = font();
    let performance = perform(&music::text::page(&[("A6:4", "r:4")], 120), &Performing::default());
    let (mut refused, mut played) = (0, 0);
    let waves = 60..60 + 960;
    for at in (0..whole.len()).filter(|at| !waves.contains(at)) {
        for value in [0, 1, 0x7f, 0xff] {
            let mut bytes = whole.clone();
            bytes[at] = value;
            let strings = SoundFont::read(&bytes).and_then(|font| Strings::of_font(&performance, &Voicing::default(), &font));
            match strings.and_then(|s| s.mix(&performance)) {
                Err(_) => refused += 1,
                Ok(samples) => {
                    played += 1;
                    assert!(samples.channels.iter().flatten().all(|s| s.is_finite()), "byte {at} set to {value}");
                }
            }
        }
    }
    assert!(refused > 100 && played > 100, "{refused} refused, {played} played");
}
