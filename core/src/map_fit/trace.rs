//! What a person traced from a picture or typed from a table, and what can be wrong with it.

use super::error::{MapFitError, TracePlace};
use crate::air_way::compressor::{MapPoint, MapReference, WheelSizes};
use crate::numeric::put_in_order;
use serde::{Deserialize, Serialize};

/// Most points and lines together that a fit takes: a bound on its time. A full map has some 200.
const MOST_POINTS: usize = 2000;
const MOST_LINES: usize = 40;
/// Fewest values of efficiency that work input can be fitted through.
const FEWEST_EFFICIENCIES: usize = 3;
/// Points of a line closer than this share of the axes are the same point.
const SAME: f64 = 1e-6;

const SPEEDS: (f64, f64) = (500.0, 600_000.0);
const FLOWS: (f64, f64) = (1e-4, 20.0);
/// From a little below 1, where the scatter of a slow line's end may lie.
const RATIOS: (f64, f64) = (0.8, 12.0);
/// Least that a line's highest point must reach: below, scatter is all there is.
const LEAST_TOP: f64 = 1.01;
const EFFICIENCIES: (f64, f64) = (0.02, 0.95);
const EXDUCERS: (f64, f64) = (0.01, 1.0);
const REFERENCE_TEMPERATURES: (f64, f64) = (250.0, 350.0);
const REFERENCE_PRESSURES: (f64, f64) = (5e4, 1.2e5);

/// A place on a map.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TracedPlace {
    /// Corrected mass flow, kg/s; 0.0001 to 20.
    pub flow_kg_s: f64,
    /// Total-to-total pressure ratio; 0.8 to 12.
    pub pressure_ratio: f64,
}

/// A point of a speed line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TracedPoint {
    /// Corrected mass flow, kg/s; 0.0001 to 20.
    pub flow_kg_s: f64,
    /// Total-to-total pressure ratio; 0.8 to 12.
    pub pressure_ratio: f64,
    /// Total-to-total isentropic efficiency, 0.02 to 0.95, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
}

/// A line of constant corrected speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TracedLine {
    /// Corrected shaft speed, rev/min; 500 to 600,000.
    pub speed_rev_min: f64,
    /// Its points, in any order.
    pub points: Vec<TracedPoint>,
}

/// A contour of one efficiency, closed or open.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EfficiencyIsland {
    /// Total-to-total isentropic efficiency on it, 0.02 to 0.95.
    pub efficiency: f64,
    /// Places on it, in any order.
    pub places: Vec<TracedPlace>,
}

/// A compressor map as it was traced: scattered points, in any order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MapTrace {
    /// Reference state of corrected flow and speed.
    pub reference: MapReference,
    /// Exducer (outlet) diameter of the wheel, m; 0.01 to 1. Work input counts in squares of its
    /// tip speed.
    pub exducer_m: f64,
    /// Sizes of the wheel: where no efficiency at all is given, it is estimated from them.
    pub wheel: Option<WheelSizes>,
    /// Speed lines; at least two.
    pub lines: Vec<TracedLine>,
    /// Efficiency islands, if there are any.
    pub islands: Vec<EfficiencyIsland>,
    /// Single places where efficiency is known, such as the best point.
    pub efficiency_points: Vec<MapPoint>,
    /// Places on the surge line; none where each line's first point is its surge point.
    pub surge_line: Vec<TracedPlace>,
}

fn check(
    what: &'static str,
    place: TracePlace,
    value: f64,
    (low, high): (f64, f64),
) -> Result<(), MapFitError> {
    // Not a number lies between nothing.
    if value >= low && value <= high {
        Ok(())
    } else {
        Err(MapFitError::OutOfRange {
            what,
            place,
            value,
            low,
            high,
        })
    }
}

fn check_place(place: TracePlace, flow: f64, ratio: f64) -> Result<(), MapFitError> {
    check("The flow in kg/s", place, flow, FLOWS)?;
    check("The pressure ratio", place, ratio, RATIOS)
}

fn check_efficiency(place: TracePlace, efficiency: f64) -> Result<(), MapFitError> {
    check(
        "The efficiency (as a share, not in per cent)",
        place,
        efficiency,
        EFFICIENCIES,
    )
}

/// A line with its number as given, its points in order of flow.
#[derive(Debug, Clone)]
pub(super) struct SortedLine {
    pub number: usize,
    pub speed: f64,
    pub points: Vec<TracedPoint>,
}

impl MapTrace {
    /// Whether the trace can be fitted at all.
    ///
    /// # Errors
    /// The first thing that is wrong, with its place as given.
    pub fn check(&self) -> Result<(), MapFitError> {
        let whole = TracePlace::Whole;
        check("The exducer diameter in m", whole, self.exducer_m, EXDUCERS)?;
        let MapReference {
            temperature_k,
            pressure_pa,
        } = self.reference;
        check(
            "The reference temperature in K",
            whole,
            temperature_k,
            REFERENCE_TEMPERATURES,
        )?;
        check(
            "The reference pressure in Pa",
            whole,
            pressure_pa,
            REFERENCE_PRESSURES,
        )?;
        let count = self.lines.len();
        if !(2..=MOST_LINES).contains(&count) {
            return Err(MapFitError::LineCount {
                count,
                most: MOST_LINES,
            });
        }
        let on_lines = self.lines.iter().map(|line| line.points.len());
        let on_islands = self.islands.iter().map(|island| island.places.len());
        let count = on_lines.chain(on_islands).sum::<usize>()
            + self.efficiency_points.len()
            + self.surge_line.len();
        if count > MOST_POINTS {
            return Err(MapFitError::TooManyPoints {
                count,
                most: MOST_POINTS,
            });
        }
        let mut efficiencies = self.efficiency_points.len();
        for (l, line) in self.lines.iter().enumerate() {
            let number = l + 1;
            check(
                "The speed in rev/min",
                TracePlace::Line(number),
                line.speed_rev_min,
                SPEEDS,
            )?;
            for (p, point) in line.points.iter().enumerate() {
                let place = TracePlace::Point(number, p + 1);
                check_place(place, point.flow_kg_s, point.pressure_ratio)?;
                if let Some(efficiency) = point.efficiency {
                    check_efficiency(place, efficiency)?;
                    efficiencies += 1;
                }
            }
        }
        for (i, island) in self.islands.iter().enumerate() {
            check_efficiency(TracePlace::Island(i + 1), island.efficiency)?;
            for (p, place) in island.places.iter().enumerate() {
                let at = TracePlace::IslandPlace(i + 1, p + 1);
                check_place(at, place.flow_kg_s, place.pressure_ratio)?;
            }
            efficiencies += island.places.len();
        }
        for (p, point) in self.efficiency_points.iter().enumerate() {
            let place = TracePlace::EfficiencyPoint(p + 1);
            check_place(place, point.flow_kg_s, point.pressure_ratio)?;
            check_efficiency(place, point.efficiency)?;
        }
        for (p, place) in self.surge_line.iter().enumerate() {
            check_place(
                TracePlace::Surge(p + 1),
                place.flow_kg_s,
                place.pressure_ratio,
            )?;
        }
        if self.surge_line.len() == 1 {
            return Err(MapFitError::ShortSurgeLine);
        }
        let estimable = efficiencies == 0 && self.wheel.is_some();
        if efficiencies < FEWEST_EFFICIENCIES && !estimable {
            return Err(MapFitError::NoEfficiency {
                count: efficiencies,
                fewest: FEWEST_EFFICIENCIES,
            });
        }
        self.check_lines()
    }

    /// Whether each line is one.
    fn check_lines(&self) -> Result<(), MapFitError> {
        let lines = self.sorted_lines();
        for pair in lines.windows(2) {
            if pair[1].speed - pair[0].speed <= 1e-6 * pair[0].speed {
                return Err(MapFitError::SameSpeed {
                    line: pair[0].number,
                    other: pair[1].number,
                    speed: pair[0].speed,
                });
            }
        }
        let all = || self.lines.iter().flat_map(|line| &line.points);
        let flow_axis = all().map(|p| p.flow_kg_s).fold(1e-9, f64::max);
        let ratio_axis = all().map(|p| p.pressure_ratio - 1.0).fold(1e-9, f64::max);
        for line in &lines {
            let mut different: Vec<TracedPoint> = Vec::new();
            for point in &line.points {
                let same = |other: &TracedPoint| {
                    (point.flow_kg_s - other.flow_kg_s).abs() < SAME * flow_axis
                        && (point.pressure_ratio - other.pressure_ratio).abs() < SAME * ratio_axis
                };
                if !different.iter().any(same) {
                    different.push(*point);
                }
            }
            if different.len() < 3 {
                return Err(MapFitError::TooFewPoints {
                    line: line.number,
                    speed: line.speed,
                    count: different.len(),
                });
            }
            let top = line
                .points
                .iter()
                .map(|p| p.pressure_ratio)
                .fold(0.0, f64::max);
            check(
                "The largest pressure ratio",
                TracePlace::Line(line.number),
                top,
                (LEAST_TOP, RATIOS.1),
            )?;
            let (first, last) = (different[0], different[different.len() - 1]);
            let falls = different
                .iter()
                .any(|p| p.pressure_ratio < first.pressure_ratio.max(last.pressure_ratio) - SAME);
            if last.flow_kg_s - first.flow_kg_s < 0.002 * flow_axis || !falls {
                return Err(MapFitError::NoLine {
                    line: line.number,
                    speed: line.speed,
                    low: first.flow_kg_s,
                    high: last.flow_kg_s,
                });
            }
        }
        Ok(())
    }

    /// Lines in order of speed with their points in order of flow: the fit then does not depend on
    /// the order they came in, not even by rounding.
    pub(super) fn sorted_lines(&self) -> Vec<SortedLine> {
        let mut lines: Vec<SortedLine> = self
            .lines
            .iter()
            .enumerate()
            .map(|(place, line)| {
                let mut points = line.points.clone();
                put_in_order(&mut points, |p| p.efficiency.unwrap_or(0.0));
                put_in_order(&mut points, |p| p.pressure_ratio);
                put_in_order(&mut points, |p| p.flow_kg_s);
                SortedLine {
                    number: place + 1,
                    speed: line.speed_rev_min,
                    points,
                }
            })
            .collect();
        put_in_order(&mut lines, |line| line.speed);
        lines
    }
}
