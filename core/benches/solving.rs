//! How long solving takes: `cargo bench -p airpath --bench solving`.
//!
//! One map reading, one with efficiency and margins, one gas property, one engine speed (building, held by the gate), the whole
//! example at 15 to 240 speeds, and what comes before it. `cargo xtask bench` keeps the figures in
//! `tests/BENCHMARKS.md`. Report ratios within one run; machines are noisy.
#![allow(missing_docs)]

use airpath::balance::{Plant, Trail, answer};
use airpath::build::BuildFile;
use airpath::quantity::AbsolutePressure;
use airpath::run::Effort;
use airpath::{example_build, example_file, solve_at};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use std::hint::black_box;

fn solving(c: &mut Criterion) {
    let build = example_build().expect("the example is sound");
    let plant = Plant::new(&build).expect("sound");
    c.bench_function("map reading", |b| {
        b.iter(|| plant.map.read(black_box(0.2), black_box(2.3)));
    });
    c.bench_function("map lookup", |b| {
        b.iter(|| plant.map.spot(black_box(0.2), black_box(2.3)));
    });
    c.bench_function("gas enthalpy", |b| {
        b.iter(|| plant.gas().enthalpy(black_box(1100.0)));
    });
    c.bench_function("gas temperature from enthalpy", |b| {
        b.iter(|| plant.gas().temperature_from_enthalpy(black_box(9e5), 900.0));
    });
    c.bench_function("plant from build", |b| {
        b.iter(|| Plant::new(black_box(&build)));
    });
    c.bench_function("build from file", |b| {
        b.iter(|| BuildFile::from_json(black_box(example_file())).and_then(BuildFile::into_build));
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
    for count in [15, 30, 60, 120, 240] {
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
