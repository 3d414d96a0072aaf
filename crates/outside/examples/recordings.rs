//! How well a sheet is found in recordings that another sound source plays.
//!
//!     recordings [--count N] [--tell] [FOLDER …]
//!
//! Each FOLDER holds ABC or MusicXML files with chord symbols; without one, the program's own tunes are played. Every tune is played by violin, flute, piano and voice in turn, at most
//! N recordings in all (100), in another key, tuning and tempo, with or without its repeats, after an introduction of any length, with wrong notes. Needs `fluidsynth` and its SoundFont.

use formats::{ReadOptions, read};
use music::LeadSheet;
use outside::recordings::{Chance, Compared, Figures, Tried, Wanted, agrees_with_another, played::TUNE, tried};
use std::path::{Path, PathBuf};

fn main() {
    let mut arguments: Vec<String> = std::env::args().skip(1).collect();
    let told = arguments.iter().position(|a| a == "--tell").map(|i| arguments.remove(i)).is_some();
    let count = arguments.iter().position(|a| a == "--count").map(|i| arguments.drain(i..i + 2).nth(1).expect("a number"));
    let count: usize = count.map_or(100, |c| c.parse().expect("a number"));
    let mut folders: Vec<PathBuf> = arguments.iter().map(PathBuf::from).collect();
    if folders.is_empty() {
        folders.push(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data/tunes"));
    }
    let tunes: Vec<(String, LeadSheet)> = folders.iter().flat_map(|f| tunes(f)).collect();
    assert!(!tunes.is_empty(), "no tune with chord symbols in {folders:?}");
    let mut all: Vec<Compared> = Vec::new();
    let mut others: Vec<(f32, bool)> = Vec::new();
    for number in 0..count {
        let (name, sheet) = &tunes[(number * 7) % tunes.len()];
        let mut chance = Chance::new(number as u64 + 1);
        let wanted = Wanted::any(number % TUNE.len(), &mut chance);
        let Some(Tried { played, heard, found, seconds }) = tried(sheet, &wanted, &mut chance) else { continue };
        let (other, another) = &tunes[(number * 7 + 3) % tunes.len()];
        if other != name {
            others.push(agrees_with_another(another, &heard).map_or((0.0, true), |f| (f.agrees, f.is_doubted())));
        }
        let compared = Compared::of(&played, &wanted, found.as_ref().ok(), seconds);
        if told {
            let why = found.as_ref().err().map(ToString::to_string).unwrap_or_default();
            let of = found
                .as_ref()
                .ok()
                .map(|f| (f.shift, f.cents, (f.agrees * 100.0) as i32, (f.key_before_next * 100.0) as i32, f.passes.len()));
            let begins = found.as_ref().ok().and_then(|f| f.passes.first()).map_or(0.0, |p| p.start().as_f64());
            println!(
                "{} {name} {} {:.0} s in {seconds:.2} s: near {:.2} order {} key {} {of:?} begins {begins:.1} {wanted:?} truth begins {:.1} ends {:.1} passes {} {why}",
                if compared.near() < 0.9 || !compared.order || !compared.key { "!" } else { " " },
                TUNE[wanted.instrument].1,
                played.ends,
                compared.near(),
                compared.order,
                compared.key,
                played.begins,
                played.ends,
                played.truth.len(),
            );
        }
        if told && !compared.order {
            let found: Vec<usize> = found.iter().flat_map(|f| &f.passes).map(|p| p.measure).collect();
            println!("  found  {found:?}\n  played {:?}", played.truth.iter().map(|t| t.0).collect::<Vec<_>>());
        }
        if told {
            let beats = compared.beats.iter().enumerate().filter(|(_, b)| b.0.abs() > 0.2 && !b.1);
            beats.for_each(|(i, b)| println!("  beat {i} of {} is {:.2} s off and said to be sure", compared.beats.len(), b.0));
        }
        all.push(compared);
    }
    println!("{} recordings of {} tunes", all.len(), tunes.len());
    print!("{}", Figures(all.iter().collect()).in_words());
    others.sort_by(|a, b| a.0.total_cmp(&b.0));
    let doubted = others.iter().filter(|o| o.1).count();
    println!(
        "  of {} recordings beside another tune's sheet {doubted} were doubted; the agreements: {:.1?}",
        others.len(),
        others.iter().map(|o| o.0).collect::<Vec<_>>()
    );
    for (i, (_, name)) in TUNE.iter().enumerate() {
        println!("{name}");
        print!("{}", Figures(all.iter().filter(|c| c.instrument == i).collect()).in_words());
    }
}

/// Tunes with chord symbols that last at most four minutes.
fn tunes(folder: &Path) -> Vec<(String, LeadSheet)> {
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())).filter_map(|f| Some(f.ok()?.path())).collect();
    files.retain(|p| p.extension().is_some_and(|e| ["abc", "mxl", "xml", "musicxml"].iter().any(|x| e == *x)));
    files.sort();
    let tune = |file: &PathBuf| {
        let sheet = read(&std::fs::read(file).ok()?, &ReadOptions::default()).ok()?.sheet;
        let clock = music::Clock::of_sheet(&sheet, outside::recordings::tempo(&sheet)?);
        let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        (sheet.has_chords() && clock.played_end().as_f64() < 240.0).then_some((name, sheet))
    };
    files.iter().filter_map(tune).collect()
}
