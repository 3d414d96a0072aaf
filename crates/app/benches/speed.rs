//! How long the work takes: reading, the chords of a hymn, planning a tune of 64 slots beside engraving the same page, and planning longer and longer tunes.
//!
//! Run with `scripts/bench`; the profile must be the one of everything else, or the engraving library is compiled again.

use arrange::{Arrangement, Figures, Wishes, arrange};
use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use desk::choices::Choices;
use desk::job::{Asked, Setup};
use engrave::{Engraver, PageLayout};
use harp::page::fingers::fingered;
use harp::{Instrument, Player};
use music::LeadSheet;

/// A tune in ABC of so many measures, two chords in each; invented, and varied enough that no two phrases are alike.
fn tune(measures: usize) -> String {
    const CHORDS: [&str; 7] = ["G", "Em", "C", "D7", "Am", "Bm", "G/B"];
    const FIGURES: [&str; 5] = ["G2AB", "d2cB", "e3d", "BAGA", "c4"];
    let mut text = String::from("X:1\nT:The Ferry at Every Hour\nM:4/4\nL:1/8\nK:G\n");
    for measure in 0..measures {
        for half in 0..2 {
            let at = measure * 2 + half;
            text += &format!("\"{}\"{} ", CHORDS[(at * 5 + at / 7) % 7], FIGURES[(at * 3 + at / 5) % 5]);
        }
        text += if measure % 4 == 3 { "|\n" } else { "| " };
    }
    text
}

fn sheet(measures: usize) -> LeadSheet {
    formats::read(tune(measures).as_bytes(), &formats::ReadOptions::default()).expect("our own tune reads").sheet
}

fn planned(sheet: &LeadSheet, figures: &Figures) -> Arrangement {
    arrange(sheet, figures, &Instrument::lever_34(), &Player::default(), &Wishes::default()).expect("our own tune is arranged")
}

/// Planning against engraving, the same 32 measures of 64 slots in the same run.
fn plan_and_page(criterion: &mut Criterion) {
    let figures = Figures::own();
    let sheet = sheet(32);
    let mut group = criterion.benchmark_group("64 slots");
    group.sample_size(30);
    group.bench_function("plan", |b| b.iter(|| planned(&sheet, &figures)));
    let made = planned(&sheet, &figures);
    assert_eq!(made.plan.slots.len(), 64);
    let (harp, player, wishes) = (Instrument::lever_34(), Player::default(), Wishes::default());
    group.bench_function("reasons", |b| b.iter(|| made.decisions(&figures, &harp, &player, &wishes)));
    let wish = arrange::moves::wish(&harp, &player);
    group.bench_function("settings of the page", |b| b.iter(|| harp::page::settings(&made.score, &harp, &player, &wish)));
    let both = [music::Hand::Right, music::Hand::Left];
    group.bench_function("fingers of both hands", |b| b.iter(|| both.map(|hand| fingered(&made.score, hand, &player))));
    let text = formats::musicxml::write::write(&made.score);
    group.bench_function("write MusicXML", |b| b.iter(|| formats::musicxml::write::write(&made.score)));
    let engraver = Engraver::start();
    let layout = PageLayout::default();
    // The engraver keeps what it drew, so each page is one that it has not seen: its notes have another colour each time.
    let mut drawn = 0;
    let mut unseen = || {
        drawn += 1;
        text.replace("<note id", &format!("<note color=\"#{drawn:06X}\" id"))
    };
    group.bench_function("engrave", |b| {
        b.iter_batched(&mut unseen, |text| engraver.pages(&text, &layout).expect("pages"), BatchSize::PerIteration)
    });
    group.bench_function("engrave again", |b| b.iter(|| engraver.pages(&text, &layout).expect("pages")));
    group.finish();
}

/// The cost grows with the length and no faster.
fn growth(criterion: &mut Criterion) {
    let figures = Figures::own();
    let mut group = criterion.benchmark_group("plan, by measures");
    group.sample_size(10);
    for measures in [125, 500, 2_000] {
        let sheet = sheet(measures);
        group.throughput(Throughput::Elements(measures as u64));
        group.bench_with_input(BenchmarkId::from_parameter(measures), &sheet, |b, sheet| b.iter(|| planned(sheet, &figures)));
    }
    group.finish();
}

fn reading(criterion: &mut Criterion) {
    let abc = tune(32);
    let music = formats::musicxml::write::write(&planned(&sheet(32), &Figures::own()).score);
    let mut group = criterion.benchmark_group("read 32 measures");
    let options = formats::ReadOptions::default();
    group.bench_function("ABC", |b| b.iter(|| formats::read(abc.as_bytes(), &options)));
    group.bench_function("MusicXML", |b| b.iter(|| formats::read(music.as_bytes(), &options)));
    group.finish();
}

/// The chords of a hymn in four voices, a hundred measures with an onset on every half beat; invented.
fn chords(criterion: &mut Criterion) {
    const LINES: [[&str; 4]; 4] = [
        ["ed c2 d2 BA", "g4 fe d2", "c2 Bc d2 e2", "f2 ed c4"],
        ["c2 cB A2 G2", "e2 d2 dc B2", "G2 GA B2 c2", "A2 cB G4"],
        ["G2 G2 FE D2", "c2 B2 AG G2", "E2 D2 GF E2", "F2 G2 E4"],
        ["C2 E2 F2 GF", "EF G2 A2 G2", "C2 G,A, B,2 C2", "F,2 G,2 C4"],
    ];
    let voice = |(place, line): (usize, &[&str; 4])| {
        let music: String = (0..100).map(|m| format!("{} |", line[(m * 7 + m / 5) % 4])).collect();
        format!("V:{place}\n{music}\n")
    };
    let text: String = LINES.iter().enumerate().map(voice).collect();
    let abc = format!("X:1\nM:4/4\nL:1/8\nK:C\n{text}");
    let voices = formats::read_voices(abc.as_bytes(), &formats::ReadOptions::default()).expect("our own hymn reads").voices;
    let weights = harmony::voices::Weights::ours();
    criterion.bench_function("chords of 100 measures in four voices", |b| b.iter(|| harmony::voices::chords(&voices, &weights)));
    let asked = Asked::of(Choices::default());
    let setup = Setup::of(&asked, Player::default()).expect("plain wishes");
    let read = || formats::read(abc.as_bytes(), &formats::ReadOptions::default()).expect("our own hymn reads");
    // Both readings of the file, the chords, and thinning to two a measure.
    let supplied = || setup.supply(&mut read(), abc.as_bytes()).expect("nothing of hers");
    assert!(supplied().dropped.len() > 100, "a chord on most beats");
    criterion.bench_function("a hymn of 100 measures from its file to thinned chords", |b| b.iter(supplied));
}

criterion_group!(benches, plan_and_page, growth, reading, chords);
criterion_main!(benches);
