//! A page played with a SoundFont: one of our own making, and damaged ones.

mod page;

use music::Pitch;
use sound::{Performing, SoundError, SoundFont, Strings, Voicing, perform, soundfont};
use std::f64::consts::TAU;

fn chunk(name: &[u8; 4], inside: &[u8]) -> Vec<u8> {
    [name.as_slice(), &(inside.len() as u32).to_le_bytes(), inside].concat()
}

fn list(kind: &[u8; 4], chunks: &[Vec<u8>]) -> Vec<u8> {
    chunk(b"LIST", &[kind.to_vec(), chunks.concat()].concat())
}

fn named(name: &str) -> Vec<u8> {
    let mut bytes = name.as_bytes().to_vec();
    bytes.resize(20, 0);
    bytes
}

fn words(numbers: &[u16]) -> Vec<u8> {
    numbers.iter().flat_map(|n| n.to_le_bytes()).collect()
}

/// A preset: its name, number, bank, first zone; library, genre and morphology are empty.
fn preset(name: &str, number: u16, zone: u16) -> Vec<u8> {
    [named(name), words(&[number, 0, zone]), vec![0; 12]].concat()
}

/// The smallest font with a piano and a harp, both of one looped sine at A4 (SoundFont Technical Specification 2.04, sections 5 to 7: the last record of each
/// table ends it; generator 41 names the instrument, 53 the sample, 54 makes it loop).
fn font() -> Vec<u8> {
    let period = 480;
    let sine = |i: usize| (8_000.0 * (TAU * 440.0 * i as f64 / 44_000.0).sin()) as i16;
    let mut wave: Vec<u8> = (0..period).flat_map(|i| sine(i).to_le_bytes()).collect();
    wave.extend([0; 92]);
    let sample = |name: &str, end: u32, rate: u32| {
        let numbers = [0, end, 100, 300, rate].map(u32::to_le_bytes).concat();
        [named(name), numbers, vec![69, 0], words(&[0, 1])].concat()
    };
    let tables = [
        chunk(b"phdr", &[preset("Piano", 0, 0), preset("Harp", 46, 1), preset("EOP", 0, 2)].concat()),
        chunk(b"pbag", &words(&[0, 0, 1, 0, 2, 0])),
        chunk(b"pmod", &[0; 10]),
        chunk(b"pgen", &words(&[41, 0, 41, 0, 0, 0])),
        chunk(b"inst", &[named("Sine"), words(&[0]), named("EOI"), words(&[1])].concat()),
        chunk(b"ibag", &words(&[0, 0, 2, 0])),
        chunk(b"imod", &[0; 10]),
        chunk(b"igen", &words(&[54, 1, 53, 0, 0, 0])),
        chunk(b"shdr", &[sample("Sine", period as u32, 44_000), sample("EOS", 0, 0)].concat()),
    ];
    let lists = [list(b"INFO", &[chunk(b"ifil", &words(&[2, 4]))]), list(b"sdta", &[chunk(b"smpl", &wave)]), list(b"pdta", &tables)];
    chunk(b"RIFF", &[b"sfbk".to_vec(), lists.concat()].concat())
}

#[test]
fn the_harp_of_a_font_plays_the_page() {
    let font = font();
    assert_eq!(SoundFont::read(&font).expect("a font").sound(), "Harp");
    let performance = perform(&page::thick(), &Performing::default());
    let samples = soundfont::render(&performance, &font, &Voicing::default()).expect("rendered");
    assert!(samples.peak() < 1.0 && samples.peak() > 0.1, "peak {}", samples.peak());
    assert!(samples == soundfont::render(&performance, &font, &Voicing::default()).expect("rendered"), "the same twice");
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
    let performance = perform(&page::page(&[("A6:4", "r:4")], 120), &Performing::default());
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
