//! How long a sample of a study takes: `cargo bench -p airpath --bench spread`.
//!
//! Beside it, what it is made of and what it is instead of: the full match at as many speeds and at
//! 120, the same without a guide, a map made anew. Report ratios within one run; machines are noisy.
#![allow(missing_docs)]

use airpath::air_way::compressor::MapScale;
use airpath::balance::Plant;
use airpath::run::{SPEEDS, solve_with_map};
use airpath::spread::{SPEEDS as SAMPLED, SampleResult, Study};
use airpath::{compressor_map, example_build, solve, solve_at};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

fn spread(c: &mut Criterion) {
    let build = example_build().expect("the example is sound");
    let study = Study::new(&build, 1).expect("sound");
    let drawn: Vec<_> = (0..64).map(|i| study.sampled(i)).collect();
    // Each in turn, so that easy and hard ones count alike.
    let mut turn = (0..64_usize).cycle();
    let mut next = move || turn.next().unwrap_or(0);

    c.bench_function(&format!("the example, full match, {SPEEDS} speeds"), |b| {
        b.iter(|| solve(black_box(&build)));
    });
    c.bench_function(&format!("the example, full match, {SAMPLED} speeds"), |b| {
        b.iter(|| solve_at(black_box(&build), SAMPLED));
    });
    c.bench_function("one sample", |b| b.iter(|| study.sample(next() as u32)));
    c.bench_function(
        &format!("one sample as a full match, {SAMPLED} speeds"),
        |b| {
            b.iter(|| {
                let sampled = &drawn[next()];
                solve_with_map(&sampled.build, study.map(sampled), SAMPLED)
            });
        },
    );
    c.bench_function(
        &format!("one sample as a full match, {SPEEDS} speeds"),
        |b| {
            b.iter(|| {
                let sampled = &drawn[next()];
                solve_with_map(&sampled.build, study.map(sampled), SPEEDS)
            });
        },
    );
    c.bench_function("drawing one sample", |b| {
        b.iter(|| study.sampled(black_box(next() as u32)));
    });
    c.bench_function("compressor map made anew", |b| {
        b.iter(|| compressor_map(black_box(&build)));
    });
    let map = compressor_map(&build).expect("sound");
    c.bench_function("compressor map scaled", |b| {
        b.iter(|| {
            black_box(&map).scaled(MapScale {
                flow: 1.01,
                ..MapScale::NONE
            })
        });
    });
    c.bench_function("plant with a map", |b| {
        b.iter(|| Plant::with_map(black_box(&build), map.clone()));
    });
    c.bench_function("making a study", |b| {
        b.iter(|| Study::new(black_box(&build), 1))
    });
    let results: Vec<SampleResult> = (0..1000).map(|i| study.sample(i)).collect();
    c.bench_function("summarising 1,000 samples", |b| {
        b.iter(|| study.summarise(black_box(&results)));
    });
    let text = serde_json::to_string(&results).expect("numbers");
    println!("1,000 samples as JSON: {} kB", text.len() / 1000);
}

criterion_group!(benches, spread);
criterion_main!(benches);
