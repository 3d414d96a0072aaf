//! The smallest SoundFont, made here byte by byte.

use std::f64::consts::TAU;

/// A RIFF chunk: four letters, the length, what is inside.
pub fn chunk(name: &[u8; 4], inside: &[u8]) -> Vec<u8> {
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
pub fn font() -> Vec<u8> {
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
