//! How long three minutes of music take to render, how long to lay over each other once the strings are there, and how long one low string takes.
//!
//! Run with `scripts/bench`, in the one profile everything is built in. Fifty times faster than real time is 3.6 s for the three minutes.

#[path = "../tests/page/mod.rs"]
mod page;

use criterion::{Criterion, criterion_group, criterion_main};
use music::Pitch;
use sound::{Performing, Strings, Voicing, perform, render, string};
use std::hint::black_box;

fn speed(c: &mut Criterion) {
    let voicing = Voicing::default();
    let performance = perform(&page::three_minutes(), &Performing::default());
    let thick = perform(&page::thick(), &Performing::default());
    let strings = Strings::of(&performance, &voicing).expect("strings of the harp");
    let mut group = c.benchmark_group("sound");
    group.sample_size(10);
    group.bench_function("three minutes", |b| b.iter(|| black_box(render(&performance, &voicing).expect("rendered"))));
    group.bench_function("three minutes, strings at hand", |b| b.iter(|| black_box(strings.mix(&performance).expect("mixed"))));
    group.bench_function("thick page of eight seconds", |b| b.iter(|| black_box(render(&thick, &voicing).expect("rendered"))));
    group.bench_function("string C1", |b| b.iter(|| black_box(string(Pitch::at_position(7, 0), &voicing).expect("a string"))));
    group.bench_function("performance", |b| b.iter(|| black_box(perform(&page::three_minutes(), &Performing::default()))));
    group.finish();
}

criterion_group!(benches, speed);
criterion_main!(benches);
