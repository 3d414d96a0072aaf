//! How long pages take with the library warm: 32 and 64 measures to SVG, and 32 measures on to PDF and PNG.

#[path = "../tests/sample/mod.rs"]
mod sample;

use criterion::{Criterion, criterion_group, criterion_main};
use engrave::{Engraver, PageLayout};
use sample::Sample;

fn pages(criterion: &mut Criterion) {
    let engraver = Engraver::start();
    let layout = PageLayout::default();
    let mut group = criterion.benchmark_group("pages");
    group.sample_size(20);
    for measures in [32, 64] {
        let music = Sample { title: "The Bakery at Five", measures, verses: 1 }.musicxml();
        group.bench_function(format!("{measures} measures"), |b| b.iter(|| engraver.pages(&music, &layout).expect("pages")));
    }
    let music = Sample { title: "The Bakery at Five", measures: 32, verses: 1 }.musicxml();
    let made = engraver.pages(&music, &layout).expect("pages");
    group.bench_function("to PDF", |b| b.iter(|| made.pdf()));
    group.bench_function("to PNG", |b| b.iter(|| made.png(1, 100).expect("a picture")));
    group.finish();
}

criterion_group!(benches, pages);
criterion_main!(benches);
