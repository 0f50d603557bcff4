//! How long fitting a compressor map takes: `cargo bench -p airpath --bench map_fit`.
//!
//! `cargo xtask bench` keeps the figures in `tests/BENCHMARKS.md`.
//!
//! A trace of some 200 points: eight lines of an estimated map, shifted a little to and fro as
//! tracing does, and six efficiency islands; and lines with efficiencies at their points.
#![allow(missing_docs)]

use airpath::air_way::compressor::{MapData, MapReference, WheelSizes, estimate};
use airpath::map_fit::{EfficiencyIsland, MapTrace, TracedLine, TracedPlace, TracedPoint, fit};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use std::hint::black_box;

fn known() -> MapData {
    let wheel = WheelSizes {
        inducer_m: 0.054,
        exducer_m: 0.071,
        hub_ratio: 0.3,
        blades: 14.0,
        backsweep_deg: 35.0,
        throat_share: 0.59,
        peak_efficiency: None,
        design_mach: None,
        outlet_width_m: None,
        claimed_flow_kg_s: None,
    };
    let reference = MapReference {
        temperature_k: 298.15,
        pressure_pa: 100_000.0,
    };
    let mut map = estimate(&wheel, reference, 545.0);
    map.lines.drain(..2);
    map
}

/// A shift of half a per cent that looks like scatter.
fn shift(number: usize) -> f64 {
    1.0 + 0.005 * (number as f64 * 2.399_963).sin()
}

fn trace(with_islands: bool) -> MapTrace {
    let map = known();
    let mut number = 0;
    let mut place = |flow: f64, ratio: f64| {
        number += 2;
        (
            flow * shift(number),
            1.0 + (ratio - 1.0) * shift(number + 1),
        )
    };
    let mut lines = Vec::new();
    for line in &map.lines {
        let mut points = Vec::new();
        for p in &line.points {
            let (flow_kg_s, pressure_ratio) = place(p.flow_kg_s, p.pressure_ratio);
            points.push(TracedPoint {
                flow_kg_s,
                pressure_ratio,
                efficiency: (!with_islands).then_some(p.efficiency),
            });
        }
        lines.push(TracedLine {
            speed_rev_min: line.speed_rev_min,
            points,
        });
    }
    let mut islands = Vec::new();
    for efficiency in [0.60, 0.65, 0.70, 0.74, 0.76, 0.78] {
        let mut places = Vec::new();
        for line in &map.lines {
            for pair in line.points.windows(2) {
                let (a, b) = (
                    pair[0].efficiency - efficiency,
                    pair[1].efficiency - efficiency,
                );
                if a * b < 0.0 {
                    let mix = |p: f64, q: f64| p + a / (a - b) * (q - p);
                    let (flow_kg_s, pressure_ratio) = place(
                        mix(pair[0].flow_kg_s, pair[1].flow_kg_s),
                        mix(pair[0].pressure_ratio, pair[1].pressure_ratio),
                    );
                    places.push(TracedPlace {
                        flow_kg_s,
                        pressure_ratio,
                    });
                }
            }
        }
        islands.push(EfficiencyIsland { efficiency, places });
    }
    MapTrace {
        reference: map.reference,
        exducer_m: 0.071,
        wheel: None,
        lines,
        islands: if with_islands { islands } else { Vec::new() },
        efficiency_points: Vec::new(),
        surge_line: Vec::new(),
    }
}

fn fitting(c: &mut Criterion) {
    let mut group = c.benchmark_group("map fit");
    group.sample_size(20);
    for (name, with_islands) in [("islands", true), ("efficiencies at points", false)] {
        let trace = trace(with_islands);
        group.bench_with_input(BenchmarkId::from_parameter(name), &trace, |b, trace| {
            b.iter(|| fit(black_box(trace)).expect("a sound trace"));
        });
    }
    group.finish();
}

criterion_group!(benches, fitting);
criterion_main!(benches);
