//! A compressor map fitted to scattered points: traced from a picture, or typed from a table.
//!
//! 1. [`MapTrace`] holds what was traced, in any order, and says what is wrong with it.
//! 2. `lines` fits each speed line's curve (`ellipse`), then all with a trend over speed.
//! 3. `span` cuts the curves at surge and at the last point, and sees that no two cross.
//! 4. `efficiency` turns values at points, on islands and at single places into work input, and
//!    `work` fits that.
//! 5. [`fit`] puts the [`MapData`] together and tells the [`Residuals`].
//!
//! Nothing is carried on beyond the points but to a surge line close by; what lies beyond the fitted
//! lines [`CompressorMap`] flags as extrapolated. The order of the points makes no difference, and
//! every iteration is bounded.

mod efficiency;
mod ellipse;
mod error;
mod lines;
mod of_file;
mod residuals;
mod span;
mod trace;
mod work;

pub use error::{MapFitError, TracePlace};
pub use of_file::{MapOfFile, MapOfFileError, map_of_file};
pub use residuals::{LineResiduals, Residual, Residuals, Worst};
pub use trace::{EfficiencyIsland, MapTrace, TracedLine, TracedPlace, TracedPoint};

use crate::air_way::compressor::{CompressorMap, MapData, MapError, MapPoint, SpeedLine};
use crate::fields::Field;
use efficiency::Efficiency;
use ellipse::Axes;
use lines::LinePoints;
use span::{SAMPLES, Span};
use trace::SortedLine;

/// Lines that cross are fitted again this often, each time twice as close to their trend.
const STIFFENINGS: i32 = 5;
/// Lines that cross by the scatter of their points come apart within it; where a line has to leave its
/// points further than this (root of the mean square, a share of the axes), the points themselves
/// cross.
const STIFFEST: f64 = 0.02;
/// How often the largest efficiency is lowered until nothing between the lines exceeds what was
/// given.
const CAPPINGS: usize = 12;
/// How far below the largest efficiency given the map stays where it was looked at: between those
/// places it may be a trace higher.
const CAP_MARGIN: f64 = 2e-4;

/// A map fitted to a trace, and how well.
#[derive(Debug, Clone, PartialEq)]
pub struct MapFit {
    /// The map; it makes a [`CompressorMap`].
    pub map: MapData,
    /// Whether no efficiency was given and the map's is estimated from the wheel's sizes.
    pub efficiency_estimated: bool,
    /// Residuals of all points. Those of efficiency hold islands and single places too.
    pub total: Residuals,
    /// Residuals of each line's points, slowest first.
    pub lines: Vec<LineResiduals>,
    /// Residuals of efficiency of each island's places, in the order given.
    pub islands: Vec<Residual>,
    /// Places with an efficiency, of islands and single ones, that lie outside of the lines and were
    /// not used.
    pub places_outside: usize,
    /// Lines, from 1 as given, that begin right of the surge line because their points end too far
    /// right of it.
    pub short_of_surge: Vec<usize>,
}

/// Makes a map ready with the usual continuation left of surge and below standstill, for a wheel of
/// this exducer diameter, m.
///
/// # Errors
/// What is wrong with the map.
pub fn ready(map: &MapData, exducer: f64) -> Result<CompressorMap, MapError> {
    // Every field of the continuation has a default; a missing one would show as a map that reads
    // wrong, and a test rules it out.
    let default = |field: Field| field.spec().default_si(false).unwrap_or(f64::NAN);
    CompressorMap::new(
        map,
        exducer,
        default(Field::ShutoffHead),
        default(Field::LockedRotorLoss),
    )
}

/// Fits a map to a trace: each line's curve is a quarter of a superellipse by total least squares,
/// efficiency follows from a fitted work input. Sources are with the modules.
///
/// ```
/// use airpath::air_way::compressor::MapReference;
/// use airpath::map_fit::{MapTrace, TracedLine, TracedPoint, fit};
///
/// let line = |speed_rev_min, points: [(f64, f64, f64); 4]| TracedLine {
///     speed_rev_min,
///     points: points
///         .map(|(flow_kg_s, pressure_ratio, efficiency)| TracedPoint {
///             flow_kg_s,
///             pressure_ratio,
///             efficiency: Some(efficiency),
///         })
///         .to_vec(),
/// };
/// let trace = MapTrace {
///     reference: MapReference { temperature_k: 298.0, pressure_pa: 100_000.0 },
///     exducer_m: 0.071,
///     wheel: None,
///     lines: vec![
///         line(90_000.0, [
///             (0.12, 1.78, 0.70), (0.18, 1.77, 0.76), (0.24, 1.65, 0.75), (0.30, 1.32, 0.58),
///         ]),
///         line(130_000.0, [
///             (0.22, 3.10, 0.70), (0.30, 3.09, 0.75), (0.37, 2.80, 0.74), (0.42, 2.00, 0.60),
///         ]),
///     ],
///     islands: Vec::new(),
///     efficiency_points: Vec::new(),
///     surge_line: Vec::new(),
/// };
/// let found = fit(&trace)?;
/// assert_eq!(found.map.lines.len(), 2);
/// assert!(found.total.distance.root_mean_square() < 0.01);
/// # Ok::<(), airpath::map_fit::MapFitError>(())
/// ```
///
/// # Errors
/// What is wrong with the trace, by place; or what could not be settled.
pub fn fit(trace: &MapTrace) -> Result<MapFit, MapFitError> {
    trace.check()?;
    let lines = trace.sorted_lines();
    let points = || lines.iter().flat_map(|line| &line.points);
    let axes = Axes {
        flow: points().map(|p| p.flow_kg_s).fold(0.0, f64::max),
        rise: points()
            .map(|p| p.pressure_ratio - 1.0)
            .fold(0.01, f64::max),
    };
    let given: Vec<LinePoints> = lines
        .iter()
        .map(|line| LinePoints {
            speed: line.speed,
            points: line
                .points
                .iter()
                .map(|p| (p.flow_kg_s, p.pressure_ratio))
                .collect(),
        })
        .collect();
    let (spans, scatter, short_of_surge) = fit_spans(trace, &lines, &given, &axes)?;

    // Where efficiencies of islands lie between the lines, the map of flows alone tells.
    let flows = ready(&map_of(trace, &spans, |_, _| 0.7), trace.exducer_m)
        .map_err(|error| named(error, &lines))?;
    let efficiency = Efficiency::fit(trace, &lines, &spans, &flows, &axes, scatter)?;

    // Efficiency between lines comes from work and pressure ratio there, each interpolated: it may
    // exceed both neighbours by a little. The cap is lowered by as much.
    let mut cap = efficiency.peak;
    let mut settled = None;
    for _ in 0..CAPPINGS {
        let map = map_of(trace, &spans, |j, place| {
            efficiency.at(&spans[j], place, cap)
        });
        let made = ready(&map, trace.exducer_m).map_err(|error| named(error, &lines))?;
        let excess = largest_efficiency(&made, efficiency.peak - 0.01) - efficiency.peak;
        if excess <= -CAP_MARGIN {
            settled = Some((map, made));
            break;
        }
        cap -= 1.05 * excess.max(0.0) + CAP_MARGIN;
    }
    let (map, made) = settled.ok_or(MapFitError::EfficiencyNotSettled {
        count: efficiency.count,
    })?;

    let mut total = Residuals::default();
    let by_line = residuals::of_lines(
        &spans,
        &lines,
        &axes,
        |j, place| efficiency.at(&spans[j], place, cap),
        &mut total,
    );
    let (islands, places_outside) = efficiency.of_islands(trace, &made, &axes, &mut total);
    Ok(MapFit {
        map,
        efficiency_estimated: efficiency.estimated,
        total,
        lines: by_line,
        islands,
        places_outside,
        short_of_surge,
    })
}

/// Curves that do not cross, from surge to the last point; the points' scatter around them; and lines
/// that end short of the surge line.
fn fit_spans(
    trace: &MapTrace,
    lines: &[SortedLine],
    given: &[LinePoints],
    axes: &Axes,
) -> Result<(Vec<Span>, f64, Vec<usize>), MapFitError> {
    let mut crossed = 0;
    for stiffening in 0..=STIFFENINGS {
        let fitted = lines::fit_lines(given, axes, 2_f64.powi(stiffening)).map_err(|j| {
            MapFitError::NotSettled {
                line: lines[j].number,
                speed: lines[j].speed,
            }
        })?;
        let mut spans: Vec<Span> = fitted
            .parameters
            .iter()
            .zip(given)
            .map(|(parameters, line)| Span::new(parameters, line, axes))
            .collect();
        let short = span::begin_at_surge(&mut spans, lines, &trace.surge_line)?;
        let Some(slower) = span::crossing(&spans) else {
            match ready(&map_of(trace, &spans, |_, _| 0.7), trace.exducer_m) {
                Err(MapError::LinesCross { line, .. }) => {
                    crossed = line - 1;
                    continue;
                }
                _ if stiffening > 0 && furthest(&spans, lines, axes) > STIFFEST => break,
                _ => return Ok((spans, fitted.scatter, short)),
            }
        };
        crossed = slower;
    }
    Err(cross(lines, crossed))
}

/// The largest root of the mean square distance of a line from its points.
fn furthest(spans: &[Span], lines: &[SortedLine], axes: &Axes) -> f64 {
    let none = |_: usize, _: (f64, f64)| 0.0;
    residuals::of_lines(spans, lines, axes, none, &mut Residuals::default())
        .iter()
        .map(|line| line.residuals.distance.root_mean_square())
        .fold(0.0, f64::max)
}

fn cross(lines: &[SortedLine], slower: usize) -> MapFitError {
    let (line, next) = (&lines[slower], &lines[slower + 1]);
    MapFitError::LinesCross {
        line: line.number,
        speed: line.speed,
        next: next.number,
        next_speed: next.speed,
    }
}

/// What the map refuses, in terms of the lines as given.
fn named(error: MapError, lines: &[SortedLine]) -> MapFitError {
    match error {
        MapError::LinesCross { line, .. } if line < lines.len() => cross(lines, line - 1),
        other => MapFitError::Map(other),
    }
}

/// The map of all lines, `efficiency` being that of line `j` at a place.
fn map_of(
    trace: &MapTrace,
    spans: &[Span],
    efficiency: impl Fn(usize, (f64, f64)) -> f64,
) -> MapData {
    let lines = spans
        .iter()
        .enumerate()
        .map(|(j, span)| {
            let mut points: Vec<MapPoint> = span
                .samples(SAMPLES)
                .iter()
                .map(|&(flow, ratio)| MapPoint {
                    flow_kg_s: flow,
                    pressure_ratio: ratio,
                    efficiency: efficiency(j, (flow, ratio)),
                })
                .collect();
            // A line ends where it hardly compresses any more.
            let end = points
                .iter()
                .position(|p| p.efficiency < LEAST_EFFICIENCY)
                .unwrap_or(points.len());
            points.truncate(end.max(3));
            for point in &mut points {
                point.efficiency = point.efficiency.max(LEAST_EFFICIENCY);
            }
            SpeedLine {
                speed_rev_min: span.speed,
                points,
            }
        })
        .collect();
    MapData {
        reference: trace.reference,
        estimated: false,
        lines,
    }
}

/// Least efficiency that a map's line is kept to.
const LEAST_EFFICIENCY: f64 = 0.03;

/// The largest efficiency of a map between its slowest and fastest line, from surge to their ends:
/// on a grid between each two lines, and from the tops of each row above `near` uphill.
fn largest_efficiency(map: &CompressorMap, near: f64) -> f64 {
    let mut largest = 0.0_f64;
    for pair in map.speeds().windows(2) {
        let (slower, width) = (pair[0], pair[1] - pair[0]);
        let efficiency =
            |part: f64, along: f64| map.on_line(slower + part * width, along).efficiency;
        for row in 0..=6 {
            let part = f64::from(row) / 6.0;
            let mut heights = [0.0; 41];
            for (along, height) in heights.iter_mut().enumerate() {
                *height = efficiency(part, along as f64 / 40.0);
            }
            for (along, height) in heights.iter().enumerate() {
                let left = along.checked_sub(1).map_or(0.0, |i| heights[i]);
                let right = heights.get(along + 1).copied().unwrap_or(0.0);
                // Far below the largest there is nothing to climb to.
                if *height >= left && *height >= right && *height > near {
                    let top = climb(&efficiency, (*height, part, along as f64 / 40.0));
                    largest = largest.max(top);
                }
            }
        }
    }
    largest
}

/// Uphill from (height, part, along) in steps that halve.
fn climb(efficiency: &impl Fn(f64, f64) -> f64, mut best: (f64, f64, f64)) -> f64 {
    let (mut across, mut on) = (1.0 / 12.0, 1.0 / 80.0);
    for _ in 0..12 {
        let (height, part, along) = best;
        for step in [(across, 0.0), (-across, 0.0), (0.0, on), (0.0, -on)] {
            let (part, along) = (
                (part + step.0).clamp(0.0, 1.0),
                (along + step.1).clamp(0.0, 1.0),
            );
            let here = efficiency(part, along);
            if here > best.0 {
                best = (here, part, along);
            }
        }
        if best.0 <= height {
            (across, on) = (0.5 * across, 0.5 * on);
        }
    }
    best.0
}
