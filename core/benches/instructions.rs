//! How many machine instructions solving takes: `cargo xtask bench --only instructions`.
//!
//! Counted under Valgrind, so a busy machine changes nothing. What is measured and how far it may
//! rise stands in `tests/BENCHMARKS.md`; setting up is not counted.
#![allow(missing_docs)]

use airpath::balance::{Answer, Plant, SpeedPoint, Trail, Unsettled, answer};
use airpath::build::{Build, BuildFile, FileError};
use airpath::quantity::AbsolutePressure;
use airpath::run::{Effort, Match};
use airpath::{SolveError, example_build, example_file, solve_at};
use gungraun::{library_benchmark, library_benchmark_group, main};
use std::hint::black_box;

/// Engine speeds, rev/min, at which the example's boost still builds and is held by the gate.
const BUILDING: f64 = 2300.0;
const HELD: f64 = 5000.0;

fn build() -> Build {
    example_build().expect("the example is sound")
}

fn plant() -> Plant {
    Plant::new(&build()).expect("the example's map is sound")
}

fn one_speed(speed: f64) -> (Plant, SpeedPoint, AbsolutePressure) {
    let plant = plant();
    let point = plant.at_speed(&build(), speed);
    let asked = AbsolutePressure::new(plant.outside.pressure.pa() + 125_000.0);
    (plant, point, asked)
}

fn speeds(count: usize) -> (Build, usize) {
    (build(), count)
}

// A function that takes something large gives it back, so that freeing it is not counted.

#[library_benchmark]
#[bench::ten_by_ten(plant())]
fn map_readings(plant: Plant) -> (Plant, f64) {
    let mut sum = 0.0;
    for flow in 1..=10 {
        for ratio in 1..=10 {
            let (flow, ratio) = (0.03 * f64::from(flow), 1.0 + 0.2 * f64::from(ratio));
            sum += plant.map.read(black_box(flow), black_box(ratio)).work;
        }
    }
    (plant, sum)
}

#[library_benchmark]
#[bench::a_hundred(plant())]
fn gas_enthalpies(plant: Plant) -> (Plant, f64) {
    let mut sum = 0.0;
    for step in 0..100 {
        sum += plant
            .gas()
            .enthalpy(black_box(300.0 + 10.0 * f64::from(step)));
    }
    (plant, sum)
}

#[library_benchmark]
#[bench::a_hundred(plant())]
fn gas_temperatures_from_enthalpy(plant: Plant) -> (Plant, f64) {
    let mut sum = 0.0;
    for step in 0..100 {
        let enthalpy = black_box(10_000.0 * f64::from(step));
        sum += plant.gas().temperature_from_enthalpy(enthalpy, 900.0);
    }
    (plant, sum)
}

#[library_benchmark]
#[bench::building(one_speed(BUILDING))]
#[bench::held_by_gate(one_speed(HELD))]
fn one_engine_speed(
    (plant, point, asked): (Plant, SpeedPoint, AbsolutePressure),
) -> (Plant, Result<(Answer, Trail), Unsettled>) {
    let found = answer(
        &plant,
        black_box(&point),
        black_box(asked),
        &Trail::default(),
        &mut Effort::default(),
    );
    (plant, found)
}

#[library_benchmark]
#[bench::speeds_15(speeds(15))]
#[bench::speeds_30(speeds(30))]
#[bench::speeds_60(speeds(60))]
#[bench::speeds_120(speeds(120))]
#[bench::speeds_240(speeds(240))]
fn whole_match((build, count): (Build, usize)) -> (Build, Result<Match, SolveError>) {
    let found = solve_at(black_box(&build), black_box(count));
    (build, found)
}

#[library_benchmark]
#[bench::example(build())]
fn plant_from_build(build: Build) -> (Build, Plant) {
    let plant = Plant::new(black_box(&build)).expect("the example's map is sound");
    (build, plant)
}

#[library_benchmark]
#[bench::example(example_file())]
fn build_from_file(text: &str) -> Result<Build, FileError> {
    BuildFile::from_json(black_box(text))?.into_build()
}

library_benchmark_group!(
    name = counts,
    benchmarks = [
        map_readings,
        gas_enthalpies,
        gas_temperatures_from_enthalpy,
        one_engine_speed,
        whole_match,
        plant_from_build,
        build_from_file,
    ]
);
main!(library_benchmark_groups = counts);
