//! How long solving takes: `cargo bench -p airpath`.
//!
//! One map reading, one engine speed (building, held by the gate), the whole example at 30, 60 and
//! 120 speeds. Report ratios within one run; machines are noisy.
#![allow(missing_docs)]

use airpath::balance::{Plant, Trail, answer};
use airpath::quantity::AbsolutePressure;
use airpath::run::Effort;
use airpath::{example_build, solve_at};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use std::hint::black_box;

fn solving(c: &mut Criterion) {
    let build = example_build().expect("the example is sound");
    let plant = Plant::new(&build).expect("sound");
    c.bench_function("map reading", |b| {
        b.iter(|| plant.map.read(black_box(0.2), black_box(2.3)));
    });
    c.bench_function("plant from build", |b| {
        b.iter(|| Plant::new(black_box(&build)))
    });
    let asked = AbsolutePressure::new(plant.outside.pressure.pa() + 125_000.0);
    for (name, speed) in [("building", 2300.0), ("held by the gate", 5000.0)] {
        let point = plant.at_speed(&build, speed);
        c.bench_with_input(BenchmarkId::new("one speed", name), &point, |b, point| {
            b.iter(|| {
                answer(
                    &plant,
                    black_box(point),
                    asked,
                    &Trail::default(),
                    &mut Effort::default(),
                )
            });
        });
    }
    for count in [30, 60, 120] {
        c.bench_with_input(
            BenchmarkId::new("whole match", count),
            &count,
            |b, count| {
                b.iter(|| solve_at(black_box(&build), *count));
            },
        );
    }
}

criterion_group!(benches, solving);
criterion_main!(benches);
