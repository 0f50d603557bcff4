//! Any trace of a map: what must hold whatever its points, and bad ones refused by name.

#![cfg(not(target_arch = "wasm32"))]

#[allow(unused_imports, unused_macros)]
mod random;
mod traces;

use airpath::air_way::compressor::{CompressorMap, MapPoint, MapReference, WheelSizes, estimate};
use airpath::map_fit::{
    EfficiencyIsland, MapFitError, MapTrace, TracedLine, TracedPlace, TracedPoint, fit,
};
use proptest::prelude::*;
use random::try_cases;
use std::cell::Cell;
use traces::{REFERENCE, Scatter, WHEEL, known, ready, trace_of};

/// A random wheel's map, some of its lines and points, scattered.
fn traces() -> impl Strategy<Value = MapTrace> {
    (
        (0.035..0.09_f64, 0.68..0.8_f64, 6_u32..15, 0.0..45.0_f64),
        2_usize..10,
        4_usize..14,
        0.0..0.008_f64,
        any::<u64>(),
    )
        .prop_map(
            |((exducer, trim, blades, backsweep), lines, points, share, seed)| {
                let wheel = WheelSizes {
                    exducer_m: exducer,
                    inducer_m: trim * exducer,
                    blades: f64::from(blades),
                    backsweep_deg: backsweep,
                    ..WHEEL
                };
                let mut map = estimate(&wheel, REFERENCE, 530.0);
                map.lines.drain(..1);
                let mut scatter = Scatter::new(seed);
                while map.lines.len() > lines {
                    let place = (scatter.uniform() * map.lines.len() as f64) as usize;
                    map.lines.remove(place.min(map.lines.len() - 1));
                }
                for line in &mut map.lines {
                    while line.points.len() > points {
                        let place = (scatter.uniform() * line.points.len() as f64) as usize;
                        line.points.remove(place.min(line.points.len() - 1));
                    }
                }
                trace_of(&map, exducer, share, seed, false)
            },
        )
}

fn shuffle<T>(things: &mut [T], scatter: &mut Scatter) {
    for end in (1..things.len()).rev() {
        let other = (scatter.uniform() * (end + 1) as f64) as usize;
        things.swap(end, other.min(end));
    }
}

#[test]
fn the_order_of_points_does_not_matter() {
    try_cases(12, 200, &(traces(), any::<u64>()), |(trace, seed)| {
        let mut other = trace.clone();
        let mut scatter = Scatter::new(seed);
        shuffle(&mut other.lines, &mut scatter);
        for line in &mut other.lines {
            shuffle(&mut line.points, &mut scatter);
        }
        match (fit(&trace), fit(&other)) {
            // To the bit.
            (Ok(a), Ok(b)) => {
                prop_assert_eq!(&a.map, &b.map);
                let both = (
                    a.total.distance.root_mean_square(),
                    b.total.distance.root_mean_square(),
                );
                prop_assert_eq!(both.0, both.1);
            }
            (Err(_), Err(_)) => {}
            (a, b) => prop_assert!(false, "{:?} {:?}", a.err(), b.err()),
        }
        Ok(())
    });
}

#[test]
fn flow_in_another_unit_gives_the_same_map() {
    try_cases(12, 200, &(traces(), 0.3..3.0_f64), |(trace, factor)| {
        let mut other = trace.clone();
        for point in other.lines.iter_mut().flat_map(|line| &mut line.points) {
            point.flow_kg_s *= factor;
        }
        if let (Ok(a), Ok(b)) = (fit(&trace), fit(&other)) {
            for (line, scaled) in a.map.lines.iter().zip(&b.map.lines) {
                prop_assert_eq!(line.points.len(), scaled.points.len());
                for (p, q) in line.points.iter().zip(&scaled.points) {
                    // The optimiser ends where a step gains less than 1e-9 of the squares, which
                    // leaves places uncertain by the root of it.
                    let off = [
                        q.flow_kg_s / p.flow_kg_s / factor - 1.0,
                        q.pressure_ratio / p.pressure_ratio - 1.0,
                        q.efficiency - p.efficiency,
                    ];
                    prop_assert!(off.iter().all(|o| o.abs() < 1e-4), "{p:?} {q:?}");
                }
            }
        }
        Ok(())
    });
}

/// Along every resistance (constant throttling) the map's speed rises with flow, from a little
/// above the slowest line to a little below the fastest: lines do not cross, and any line between
/// two stays between them.
fn speeds_rise(
    map: &CompressorMap,
    lines: &[airpath::air_way::compressor::SpeedLine],
) -> Result<(), TestCaseError> {
    let head = |p: &MapPoint| p.pressure_ratio.powf(2.0 / 7.0) - 1.0;
    for line in lines {
        for point in &line.points {
            let throttle = head(point) / point.flow_kg_s.powi(2);
            let mut before = 0.0;
            for step in 0..=60 {
                let flow = point.flow_kg_s * (0.5 + f64::from(step) / 60.0);
                let ratio = (1.0 + throttle * flow * flow).powf(3.5);
                let speed = map.read(flow, ratio).speed;
                prop_assert!(speed > before, "{flow} {ratio}: {speed} after {before}");
                before = speed;
            }
        }
    }
    Ok(())
}

#[test]
fn lines_do_not_cross_and_efficiency_stays_below_its_peak() {
    let (fitted, all) = (Cell::new(0), Cell::new(0));
    try_cases(40, 400, &traces(), |trace| {
        all.set(all.get() + 1);
        let Ok(found) = fit(&trace) else {
            return Ok(());
        };
        fitted.set(fitted.get() + 1);
        let map = ready(&found.map, trace.exducer_m);
        speeds_rise(&map, &found.map.lines)?;
        let peak = trace
            .lines
            .iter()
            .flat_map(|line| &line.points)
            .filter_map(|p| p.efficiency)
            .fold(0.0, f64::max);
        let speeds = map.speeds();
        for pair in speeds.windows(2) {
            for part in 0..=23 {
                let speed = pair[0] + (pair[1] - pair[0]) * f64::from(part) / 23.0;
                for along in 0..=97 {
                    let point = map.on_line(speed, f64::from(along) / 97.0);
                    prop_assert!(point.efficiency <= peak, "{point:?} above {peak}");
                }
            }
        }
        Ok(())
    });
    println!("fitted {} of {}", fitted.get(), all.get());
    // Scattered lines close to each other may well cross; most do not.
    assert!(
        fitted.get() * 10 >= all.get() * 9,
        "{} of {}",
        fitted.get(),
        all.get()
    );
}

/// Values from anywhere: fitted to a map that can be used, or refused; never a panic.
#[test]
fn no_trace_makes_it_panic() {
    let value = prop_oneof![
        6 => 0.001..3.0_f64,
        3 => 1.0..4.0_f64,
        1 => any::<f64>(),
        1 => Just(0.5),
    ];
    let speed = prop_oneof![4 => 1e4..2e5_f64, 1 => Just(9e4), 1 => any::<f64>()];
    let place = (value.clone(), value.clone());
    let point = (value.clone(), value.clone(), prop::option::of(0.0..1.0_f64));
    let line = (speed, prop::collection::vec(point, 0..9));
    let island = (0.0..1.0_f64, prop::collection::vec(place.clone(), 0..5));
    let any_trace = (
        prop::collection::vec(line, 0..5),
        prop::collection::vec(island, 0..3),
        prop::collection::vec(place, 0..4),
        prop_oneof![4 => 0.03..0.5_f64, 1 => any::<f64>()],
        any::<bool>(),
    );
    try_cases(
        300,
        20_000,
        &any_trace,
        |(lines, islands, surge, exducer_m, wheel)| {
            let places = |places: Vec<(f64, f64)>| {
                places
                    .into_iter()
                    .map(|(flow_kg_s, pressure_ratio)| TracedPlace {
                        flow_kg_s,
                        pressure_ratio,
                    })
                    .collect::<Vec<_>>()
            };
            let trace = MapTrace {
                reference: REFERENCE,
                exducer_m,
                wheel: wheel.then_some(WHEEL),
                lines: lines
                    .into_iter()
                    .map(|(speed_rev_min, points)| TracedLine {
                        speed_rev_min,
                        points: points
                            .into_iter()
                            .map(|(flow_kg_s, pressure_ratio, efficiency)| TracedPoint {
                                flow_kg_s,
                                pressure_ratio,
                                efficiency,
                            })
                            .collect(),
                    })
                    .collect(),
                islands: islands
                    .into_iter()
                    .map(|(efficiency, on)| EfficiencyIsland {
                        efficiency,
                        places: places(on),
                    })
                    .collect(),
                efficiency_points: Vec::new(),
                surge_line: places(surge),
            };
            match fit(&trace) {
                Ok(found) => {
                    ready(&found.map, exducer_m);
                }
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
            Ok(())
        },
    );
}

fn refused(change: impl FnOnce(&mut MapTrace)) -> String {
    let mut trace = trace_of(&known(), WHEEL.exducer_m, 0.0, 1, false);
    change(&mut trace);
    match fit(&trace) {
        Ok(_) => "it was taken".to_owned(),
        Err(error) => error.to_string(),
    }
}

#[test]
fn bad_traces_are_refused_by_name() {
    let none = |trace: &mut MapTrace| {
        for point in trace.lines.iter_mut().flat_map(|line| &mut line.points) {
            point.efficiency = None;
        }
    };
    let cases: [(String, &str); 15] = [
        (
            refused(|t| t.lines.truncate(1)),
            "The traced map has 1 speed line(s); between 2 and 40 are needed. Trace another, or leave some out.",
        ),
        (
            refused(|t| t.lines[1].points.truncate(2)),
            "Speed line 2 (83563 rev/min) has 2 point(s) that differ; at least 3 are needed. Trace more points from surge to choke.",
        ),
        (
            refused(|t| {
                let point = t.lines[0].points[0];
                t.lines[0].points.fill(point);
            }),
            "Speed line 1 (70369 rev/min) has 1 point(s) that differ; at least 3 are needed. Trace more points from surge to choke.",
        ),
        (
            refused(|t| t.lines[2].points[3].flow_kg_s = f64::NAN),
            "The flow in kg/s of speed line 3, point 4 is NaN; it must lie between 0.0001 and 20. Correct it or remove the point.",
        ),
        (
            refused(|t| t.lines[2].points[3].pressure_ratio = 250.0),
            "The pressure ratio of speed line 3, point 4 is 250; it must lie between 0.8 and 12. Correct it or remove the point.",
        ),
        (
            refused(|t| t.lines[0].points[1].efficiency = Some(72.0)),
            "The efficiency (as a share, not in per cent) of speed line 1, point 2 is 72; it must lie between 0.02 and 0.95. Correct it or remove the point.",
        ),
        (
            refused(|t| t.lines[3].speed_rev_min = f64::INFINITY),
            "The speed in rev/min of speed line 4 is inf; it must lie between 500 and 600000. Correct it or remove the point.",
        ),
        (
            refused(|t| t.lines[3].speed_rev_min = t.lines[1].speed_rev_min),
            "Speed lines 2 and 4 both have 83563 rev/min; each speed may stand once. Join their points or correct a speed.",
        ),
        (
            refused(none),
            "The traced map has 0 value(s) of efficiency; at least 3 are needed. Trace efficiency islands or enter efficiencies at points, or give the wheel's sizes to have it estimated.",
        ),
        (
            refused(|t| {
                t.islands.push(EfficiencyIsland {
                    efficiency: 0.7,
                    places: vec![TracedPlace {
                        flow_kg_s: 1.5,
                        pressure_ratio: 1.5,
                    }],
                });
            }),
            "Efficiency island 1 (0.7) lies outside of the speed lines with every point, the first at 1.5 kg/s and 1.5. Trace the speed lines there, or remove the island.",
        ),
        (
            refused(|t| {
                let (a, b) = (t.lines[3].speed_rev_min, t.lines[4].speed_rev_min);
                t.lines[3].speed_rev_min = b;
                t.lines[4].speed_rev_min = a;
            }),
            "The points of speed lines 5 (107019 rev/min) and 4 (118748 rev/min) cross: the faster must lie above and to the right of the slower. Check both speeds and points.",
        ),
        (
            refused(|t| t.exducer_m = 0.71),
            "With an exducer of 710 mm the efficiencies mean a work input of 0.006 of the square of tip speed; compressors have between 0.15 and 1.4. Check the exducer's diameter, the speeds and the efficiencies.",
        ),
        (
            refused(|t| t.exducer_m = 71.0),
            "The exducer diameter in m of the map is 71; it must lie between 0.01 and 1. Correct it or remove the point.",
        ),
        (
            refused(|t| {
                t.reference = MapReference {
                    temperature_k: 25.0,
                    ..REFERENCE
                }
            }),
            "The reference temperature in K of the map is 25; it must lie between 250 and 350. Correct it or remove the point.",
        ),
        (
            refused(|t| {
                t.surge_line = vec![TracedPlace {
                    flow_kg_s: 0.1,
                    pressure_ratio: 2.0,
                }];
            }),
            "The surge line has 1 point; at least 2 are needed, or none. Trace another or remove it.",
        ),
    ];
    let mut differing = Vec::new();
    for (found, expected) in &cases {
        if found != expected {
            differing.push(format!("{found}\n  instead of\n{expected}"));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n\n"));
}

#[test]
fn a_surge_line_right_of_the_lines_is_refused() {
    let mut trace = trace_of(&known(), WHEEL.exducer_m, 0.0, 1, false);
    trace.surge_line = vec![
        TracedPlace {
            flow_kg_s: 0.6,
            pressure_ratio: 1.2,
        },
        TracedPlace {
            flow_kg_s: 0.9,
            pressure_ratio: 3.0,
        },
    ];
    assert!(matches!(
        fit(&trace),
        Err(MapFitError::SurgeOffLine { line: 1, .. })
    ));
}
