//! Maps fitted to scattered points: measured maps, and known ones that are traced again.
//!
//! The measured tables in `rows/measured` name their sources. They are measured, not traced: what
//! they show is how well the curves' shapes suit real lines. A known map that is traced shows what
//! scatter does.

#![cfg(not(target_arch = "wasm32"))]

mod traces;

use airpath::air_way::compressor::MapPoint;
use airpath::map_fit::{MapFit, MapTrace, TracedLine, TracedPlace, TracedPoint, fit};
use airpath_tests::measured::{self, Compressor};
use traces::{REFERENCE, Scatter, WHEEL, axes, distance, island, known, ready, trace_of};

/// Scatter of a traced point, a share of the axes (standard deviation).
const SCATTER: f64 = 0.005;
/// How close a known map must come back: distance as a share of the axes, efficiency in points
/// over 100; root of the mean square of each line.
const DISTANCE: f64 = 0.01;
const EFFICIENCY: f64 = 0.015;

/// A trace of a measured compressor's points, a line left out.
fn trace_of_measured(compressor: &Compressor, left_out: Option<usize>) -> MapTrace {
    let lines = compressor
        .lines
        .iter()
        .enumerate()
        .filter(|(place, _)| Some(*place) != left_out)
        .map(|(_, points)| TracedLine {
            speed_rev_min: points.iter().map(|p| p.speed).sum::<f64>() / points.len() as f64,
            points: points
                .iter()
                .map(|p| TracedPoint {
                    flow_kg_s: p.flow,
                    pressure_ratio: p.pressure_ratio,
                    efficiency: Some(p.efficiency),
                })
                .collect(),
        })
        .collect();
    MapTrace {
        reference: compressor.reference,
        exducer_m: compressor.exducer_m,
        wheel: None,
        lines,
        islands: Vec::new(),
        efficiency_points: Vec::new(),
        surge_line: Vec::new(),
    }
}

/// Root mean square residuals of all lines: distance as a share of the axes, efficiency. A seventh
/// more than what was found, rounded up: room for another fit that is as good, none for a worse.
const MEASURED: [(&str, f64, f64); 3] = [
    ("vaned stage", 0.0019, 0.0013),
    ("vaneless stage", 0.0027, 0.0023),
    ("radial impeller", 0.0019, 0.0025),
];

#[test]
fn measured_maps_are_fitted_closely() {
    for ((name, text), (expected, most_distance, most_efficiency)) in
        measured::COMPRESSORS.iter().zip(MEASURED)
    {
        assert_eq!(*name, expected);
        let compressor = Compressor::read(text).expect("a sound table");
        let found = fit(&trace_of_measured(&compressor, None)).expect("a sound map");
        let total = &found.total;
        let (off, efficiency) = (
            total.distance.root_mean_square(),
            total.efficiency.root_mean_square(),
        );
        println!(
            "{name}: distance {:.2} % of the axes, flow {:.4} kg/s, pressure ratio {:.4}, efficiency {:.2} points",
            100.0 * off,
            total.flow.root_mean_square(),
            total.pressure_ratio.root_mean_square(),
            100.0 * efficiency
        );
        assert!(off <= most_distance, "{name}: {off}");
        assert!(efficiency <= most_efficiency, "{name}: {efficiency}");
        assert_eq!(found.lines.len(), compressor.lines.len());
        assert!(!found.efficiency_estimated && !found.map.estimated);
    }
}

/// Each line but the slowest and the fastest left out and read from a fit of the others: within
/// 1.5 % in pressure ratio where it does not choke, and 1.5 points in efficiency, root mean square
/// (what a matching calculation can bear; a judgement, no source). Where it chokes flow is compared,
/// and may be off by what the interpolation between the measured lines themselves is
/// (`measured.rs`), a seventh more: the vaneless stage chokes by line elsewhere.
#[test]
fn a_measured_line_left_out_is_read_from_the_others() {
    for (name, text) in measured::COMPRESSORS {
        let compressor = Compressor::read(text).expect("a sound table");
        for place in 1..compressor.lines.len() - 1 {
            let found = fit(&trace_of_measured(&compressor, Some(place))).expect("a sound map");
            let map = ready(&found.map, compressor.exducer_m);
            let errors = measured::compare(&map, &compressor.lines[place]);
            let (ratio, flow, efficiency) = (
                errors.pressure_ratio.root_mean_square(),
                errors.choking_flow.root_mean_square(),
                errors.efficiency.root_mean_square(),
            );
            println!(
                "{name}, {:.0} rev/min: pressure ratio {:.2} %, choking flow {:.2} %, efficiency {:.2} points",
                compressor.lines[place][0].speed,
                100.0 * ratio,
                100.0 * flow,
                100.0 * efficiency
            );
            assert!(ratio < 0.015, "{name}, line {place}: {ratio}");
            assert!(efficiency < 0.015, "{name}, line {place}: {efficiency}");
            assert!(flow < 0.0325, "{name}, line {place}: {flow}");
        }
    }
}

/// Compares a fit with the known map, line by line. Efficiency counts from `least_efficiency` up:
/// below, the trace says nothing.
fn compare_with_known(found: &MapFit, what: &str, least_efficiency: f64) {
    let known = known();
    let axes = axes(&known);
    let map = ready(&found.map, WHEEL.exducer_m);
    for line in &known.lines {
        let (mut squares, mut worst, mut efficiencies, mut count) = (0.0, 0.0_f64, 0.0, 0.0);
        for point in &line.points {
            let off = distance(&map, axes, line.speed_rev_min, point);
            squares += off * off;
            worst = worst.max(off);
            if point.efficiency >= least_efficiency {
                let spot = map.spot(point.flow_kg_s, point.pressure_ratio);
                let read = spot.efficiency.unwrap_or(0.0);
                efficiencies += (read - point.efficiency).powi(2);
                count += 1.0;
            }
        }
        let off = (squares / line.points.len() as f64).sqrt();
        let efficiency = (efficiencies / count).sqrt();
        println!(
            "{what}, {:.0} rev/min: distance {:.2} %, largest {:.2} %; efficiency {:.2} points",
            line.speed_rev_min,
            100.0 * off,
            100.0 * worst,
            100.0 * efficiency
        );
        assert!(off < DISTANCE, "{what}, {}: {off}", line.speed_rev_min);
        // A line's ends hang on a few points, whose scatter little levels out: three standard
        // deviations.
        assert!(
            worst < 3.0 * SCATTER,
            "{what}, {}: {worst}",
            line.speed_rev_min
        );
        assert!(
            efficiency < EFFICIENCY,
            "{what}, {}: {efficiency}",
            line.speed_rev_min
        );
    }
}

#[test]
fn a_known_map_comes_back_from_scattered_points() {
    let known = known();
    for seed in 1..=6 {
        let trace = trace_of(&known, WHEEL.exducer_m, SCATTER, seed, false);
        let found = fit(&trace).expect("a sound trace");
        // The residuals tell the scatter: between a half and one and a half of it, as six numbers of
        // a line follow its points.
        let told = found.total.distance.root_mean_square() / SCATTER;
        assert!((0.5..1.5).contains(&told), "seed {seed}: {told}");
        compare_with_known(&found, &format!("points, seed {seed}"), 0.2);
    }
}

/// Contours as a picture shows them, the lowest at 0.6.
const CONTOURS: [f64; 8] = [0.60, 0.65, 0.70, 0.72, 0.74, 0.76, 0.775, 0.785];

fn trace_with_islands(seed: u64) -> MapTrace {
    let known = known();
    let truth = ready(&known, WHEEL.exducer_m);
    let mut scatter = Scatter::new(seed + 100);
    let mut trace = trace_of(&known, WHEEL.exducer_m, SCATTER, seed, true);
    for efficiency in CONTOURS {
        let contour = island(&truth, axes(&known), efficiency, SCATTER, &mut scatter);
        assert!(contour.places.len() > 8, "{efficiency}");
        trace.islands.push(contour);
    }
    trace
}

#[test]
fn a_known_map_comes_back_from_islands_alone() {
    for seed in 1..=6 {
        let trace = trace_with_islands(seed);
        let found = fit(&trace).expect("a sound trace");
        assert_eq!(found.islands.len(), CONTOURS.len());
        let places: usize = trace.islands.iter().map(|i| i.places.len()).sum();
        let used: usize = found.islands.iter().map(|i| i.count).sum();
        assert_eq!(used + found.places_outside, places);
        assert!(
            found.places_outside < places / 20,
            "{}",
            found.places_outside
        );
        compare_with_known(&found, &format!("islands, seed {seed}"), CONTOURS[0]);
    }
}

#[test]
fn the_order_of_islands_does_not_matter() {
    let trace = trace_with_islands(3);
    let mut other = trace.clone();
    other.islands.reverse();
    for island in &mut other.islands {
        island.places.reverse();
    }
    let (a, b) = (fit(&trace), fit(&other));
    let (a, mut b) = (a.expect("a sound trace"), b.expect("a sound trace"));
    b.islands.reverse();
    // To the bit; islands keep the order they were given in.
    assert_eq!(a.map, b.map);
    assert_eq!(a.islands, b.islands);
}

/// A line of which only four points in the middle are traced keeps to the known line there: its own
/// scatter is levelled out by the trend of the others.
#[test]
fn a_thin_line_is_steadied_by_its_neighbours() {
    let known = known();
    let axes = axes(&known);
    let mut trace = trace_of(&known, WHEEL.exducer_m, SCATTER, 3, false);
    let thin = 4;
    trace.lines[thin].points = trace.lines[thin].points[4..8].to_vec();
    let found = fit(&trace).expect("a sound trace");
    let map = ready(&found.map, WHEEL.exducer_m);
    let line = &known.lines[thin];
    for point in &line.points[4..8] {
        let off = distance(&map, axes, line.speed_rev_min, point);
        assert!(off < DISTANCE, "{off}");
    }
}

/// Lines traced from a tenth right of surge, and the surge line traced by itself: lines begin on it.
#[test]
fn lines_begin_on_the_surge_line() {
    let known = known();
    let axes = axes(&known);
    let mut trace = trace_of(&known, WHEEL.exducer_m, SCATTER, 5, false);
    let mut scatter = Scatter::new(77);
    for (line, given) in known.lines.iter().zip(&mut trace.lines) {
        given.points.remove(0);
        let surge = &line.points[0];
        trace.surge_line.push(TracedPlace {
            flow_kg_s: surge.flow_kg_s + SCATTER * axes.0 * scatter.normal(),
            pressure_ratio: surge.pressure_ratio + SCATTER * axes.1 * scatter.normal(),
        });
    }
    let found = fit(&trace).expect("a sound trace");
    assert!(
        found.short_of_surge.is_empty(),
        "{:?}",
        found.short_of_surge
    );
    let truth = ready(&known, WHEEL.exducer_m);
    for line in &found.map.lines {
        let first = &line.points[0];
        let off = (first.flow_kg_s - truth.surge_flow(first.pressure_ratio)) / axes.0;
        println!(
            "{:.0} rev/min: {:.2} % off",
            line.speed_rev_min,
            100.0 * off
        );
        // A cubic through eight scattered places.
        assert!(off.abs() < 2.0 * SCATTER, "{}: {off}", line.speed_rev_min);
    }
}

#[test]
fn beyond_the_lines_is_flagged() {
    let found = fit(&trace_with_islands(1)).expect("a sound trace");
    let map = ready(&found.map, WHEEL.exducer_m);
    let line = &found.map.lines[4];
    let inside = &line.points[line.points.len() / 2];
    let read = |p: &MapPoint, flow: f64, rise: f64| {
        let ratio = 1.0 + rise * (p.pressure_ratio - 1.0);
        map.read(flow * p.flow_kg_s, ratio).extrapolated
    };
    assert!(!read(inside, 1.0, 1.0));
    let last = &line.points[line.points.len() - 1];
    let first = &line.points[0];
    assert!(read(last, 1.05, 0.7), "right of the end");
    assert!(read(first, 0.8, 1.0), "left of surge");
    let fastest = &found.map.lines[found.map.lines.len() - 1].points[5];
    assert!(read(fastest, 1.1, 1.25), "faster than the fastest");
    let slowest = &found.map.lines[0].points[5];
    assert!(read(slowest, 0.8, 0.6), "slower than the slowest");
}

/// Without any efficiency it is the estimator's, and marked so. The trace is of the estimator's own
/// map, so that it must come back where efficiency does not fall off.
#[test]
fn without_efficiency_it_is_estimated_from_the_wheel() {
    let known = known();
    // Without scatter: on a slow line half a per cent of the axis is a twentieth of the head.
    let mut trace = trace_of(&known, WHEEL.exducer_m, 0.0, 2, true);
    trace.wheel = Some(WHEEL);
    let found = fit(&trace).expect("a sound trace");
    assert!(found.efficiency_estimated && !found.map.estimated);
    assert_eq!(found.total.efficiency.count, 0);
    let map = ready(&found.map, WHEEL.exducer_m);
    for line in &known.lines {
        let (mut squares, mut count) = (0.0, 0.0);
        for point in line.points.iter().filter(|p| p.efficiency > 0.68) {
            let spot = map.spot(point.flow_kg_s, point.pressure_ratio);
            squares += (spot.efficiency.unwrap_or(0.0) - point.efficiency).powi(2);
            count += 1.0;
        }
        let off = f64::sqrt(squares / count);
        println!(
            "{:.0} rev/min: {:.2} points",
            line.speed_rev_min,
            100.0 * off
        );
        // What the curves' shape leaves; the estimator itself is good for 2.5 points.
        assert!(off < 0.01, "{}: {off}", line.speed_rev_min);
    }
    // A given efficiency is never mixed with an estimated one.
    let mut given = trace_of(&known, WHEEL.exducer_m, SCATTER, 2, false);
    given.wheel = Some(WHEEL);
    assert!(!fit(&given).expect("sound").efficiency_estimated);
}

/// Two lines of three points each are the least that makes a map.
#[test]
fn the_least_trace_makes_a_map() {
    let point = |flow_kg_s, pressure_ratio, efficiency| TracedPoint {
        flow_kg_s,
        pressure_ratio,
        efficiency: Some(efficiency),
    };
    let trace = MapTrace {
        reference: REFERENCE,
        exducer_m: 0.071,
        wheel: None,
        lines: vec![
            TracedLine {
                speed_rev_min: 130_000.0,
                points: vec![
                    point(0.42, 2.0, 0.62),
                    point(0.22, 3.1, 0.70),
                    point(0.36, 2.9, 0.75),
                ],
            },
            TracedLine {
                speed_rev_min: 90_000.0,
                points: vec![
                    point(0.12, 1.8, 0.70),
                    point(0.30, 1.3, 0.60),
                    point(0.22, 1.72, 0.76),
                ],
            },
        ],
        islands: Vec::new(),
        efficiency_points: Vec::new(),
        surge_line: Vec::new(),
    };
    let found = fit(&trace).expect("a sound trace");
    // Lines come back by speed and keep their numbers.
    assert_eq!(found.map.lines[0].speed_rev_min, 90_000.0);
    assert_eq!(found.lines[0].line, 2);
    assert!(found.total.distance.worst.expect("points").value.abs() < DISTANCE);
    ready(&found.map, 0.071);
}
