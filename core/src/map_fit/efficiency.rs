//! Efficiencies of points, islands and single places, brought together as work input.

use super::ellipse::{Axes, Ellipse};
use super::error::MapFitError;
use super::lines::{LinePoints, fit_lines};
use super::residuals::{Residual, Residuals, Worst};
use super::span::{SAMPLES, Span};
use super::trace::{MapTrace, SortedLine};
use super::work::{Observation, Work};
use crate::air_way::compressor::{CompressorMap, estimate};
use crate::gas::{HumidAir, Mixture};
use crate::numeric::put_in_order;

/// Scatter of efficiency values that is expected until they tell: half a point.
const EXPECTED_SCATTER: f64 = 0.005;
/// Bounds of the scatter that they tell.
const SCATTER: (f64, f64) = (0.001, 0.02);
/// How far outside of the lines a place with an efficiency may lie, in units of the axes: what
/// tracing leaves.
const SLACK: f64 = 0.015;
/// Width over which efficiency bends to the largest given, as a share of 1.
const BEND: f64 = 0.002;
/// Efficiency this far above the largest given is held down by values at the largest, of this relative
/// uncertainty, in at most so many rounds; what is left is bent.
const HOLD_FROM: f64 = 0.002;
const HOLD: f64 = 0.02;
const HOLDS: usize = 12;
/// Work input over the square of tip speed that compressors have: slip, backsweep and flow leave some
/// 0.4 to 0.9 of radial blades' 1. Judgement, wide.
const WORK_INPUTS: (f64, f64) = (0.15, 1.4);
/// Right of this share of choke flow an estimate's efficiency is not used: there it falls with
/// pressure ratio, and a traced line's falls elsewhere.
const ESTIMATED_TO: f64 = 0.96;

/// Efficiency over the map, fitted.
pub(super) struct Efficiency {
    work: Work,
    /// Choke flow over speed, by speed.
    choke: Vec<(f64, f64)>,
    exducer: f64,
    temperature: f64,
    air: Mixture,
    /// The largest efficiency given.
    pub peak: f64,
    /// Whether none was given and all is estimated.
    pub estimated: bool,
    /// How many values there are.
    pub count: usize,
}

/// A value of efficiency at a place.
struct Value {
    flow: f64,
    ratio: f64,
    efficiency: f64,
    speed: f64,
    /// How much efficiency changes for a place traced wrong by the scatter of the places.
    from_place: f64,
}

/// The place where a map reads an efficiency: its speed, if the lines reach there.
fn speed_inside(map: &CompressorMap, axes: &Axes, flow: f64, ratio: f64) -> Option<f64> {
    let reading = map.read(flow, ratio);
    let moved = [(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
    let inside = moved.iter().any(|(right, up)| {
        let place = (
            flow + right * SLACK * axes.flow,
            ratio + up * SLACK * axes.rise,
        );
        place.0 > 0.0 && place.1 > 1.0 && !map.read(place.0, place.1).extrapolated
    });
    inside.then_some(reading.speed)
}

impl Efficiency {
    /// Fits work input to every value given.
    pub fn fit(
        trace: &MapTrace,
        lines: &[SortedLine],
        spans: &[Span],
        flows: &CompressorMap,
        axes: &Axes,
        scatter: f64,
    ) -> Result<Self, MapFitError> {
        let speeds: Vec<f64> = spans.iter().map(|span| span.speed).collect();
        let air = HumidAir::new(0.0).mixture;
        let temperature = trace.reference.temperature_k;
        let mut values = line_values(lines, spans, axes, scatter, &air, temperature);
        values.extend(place_values(
            trace,
            flows,
            axes,
            scatter,
            values.is_empty(),
        )?);
        let estimated = values.is_empty();
        if estimated {
            values = estimated_values(trace, spans)?;
        }
        put_in_order(&mut values, |v| v.efficiency);
        put_in_order(&mut values, |v| v.ratio);
        put_in_order(&mut values, |v| v.flow);
        let count = values.len();
        let choke = spans
            .iter()
            .map(|span| (span.speed, span.curve.choke_flow / span.speed))
            .collect();
        let mut all = Self {
            work: Work::default(),
            choke,
            exducer: trace.exducer_m,
            temperature,
            air,
            peak: values.iter().map(|v| v.efficiency).fold(0.0, f64::max),
            estimated,
            count,
        };
        let mut expected = EXPECTED_SCATTER;
        let mut told = Vec::new();
        // The second time with the scatter that the first one told.
        for _ in 0..2 {
            let mut observations = Vec::with_capacity(count);
            for value in &values {
                let ideal = all.air.isentropic_work(temperature, value.ratio);
                if ideal <= 0.0 {
                    continue;
                }
                let uncertainty = (expected * expected + value.from_place.powi(2)).sqrt();
                observations.push(Observation {
                    speed: value.speed,
                    share: all.share(value.speed, value.flow),
                    work: ideal / value.efficiency / all.tip_speed_squared(value.speed),
                    uncertainty: uncertainty / value.efficiency,
                });
            }
            let used = observations.len().max(1) as f64;
            if observations.is_empty() {
                return Err(MapFitError::EfficiencyNotSettled { count });
            }
            let mean = observations.iter().map(|o| o.work).sum::<f64>() / used;
            if !(WORK_INPUTS.0..=WORK_INPUTS.1).contains(&mean) {
                return Err(MapFitError::WorkInput {
                    exducer_mm: trace.exducer_m * 1e3,
                    work: mean,
                    low: WORK_INPUTS.0,
                    high: WORK_INPUTS.1,
                });
            }
            all.work = Work::fit(&speeds, &observations)
                .ok_or(MapFitError::EfficiencyNotSettled { count })?;
            let squares: f64 = observations
                .iter()
                .map(|o| {
                    let off = all.work.at(o.speed, o.share) / o.work - 1.0;
                    // In units of what was expected of each.
                    (off / o.uncertainty).powi(2)
                })
                .sum();
            expected = (expected * (squares / used).sqrt()).clamp(SCATTER.0, SCATTER.1);
            told = observations;
        }
        all.hold_below_peak(&speeds, spans, told);
        Ok(all)
    }

    /// Where no value is near, work input may come out so low that efficiency exceeds the largest
    /// given: there it is held, by values of our own at the largest, until it stays below.
    fn hold_below_peak(&mut self, speeds: &[f64], spans: &[Span], mut told: Vec<Observation>) {
        let mut places = Vec::new();
        for span in spans {
            let tip_speed_squared = self.tip_speed_squared(span.speed);
            for (flow, ratio) in span.samples(SAMPLES) {
                let ideal = self.air.isentropic_work(self.temperature, ratio);
                if ideal > 0.0 {
                    places.push(Observation {
                        speed: span.speed,
                        share: self.share(span.speed, flow),
                        work: ideal / self.peak / tip_speed_squared,
                        uncertainty: HOLD,
                    });
                }
            }
        }
        for _ in 0..HOLDS {
            let before = told.len();
            let low = |o: &&Observation| {
                self.work.at(o.speed, o.share) < o.work * (1.0 - HOLD_FROM / self.peak)
            };
            told.extend(places.iter().filter(low));
            if told.len() == before {
                break;
            }
            // Each round adds to the weight of what is still too high.
            match Work::fit(speeds, &told) {
                Some(work) => self.work = work,
                None => break,
            }
        }
    }

    fn tip_speed_squared(&self, speed: f64) -> f64 {
        (std::f64::consts::PI * self.exducer * speed / 60.0).powi(2)
    }

    /// Flow over the choke flow of a speed.
    fn share(&self, speed: f64, flow: f64) -> f64 {
        share_of_choke(&self.choke, speed, flow)
    }

    /// Efficiency of a line at a place of it (flow in kg/s, pressure ratio), bent to stay below `cap`;
    /// 0 where there is no pressure.
    pub fn at(&self, span: &Span, (flow, ratio): (f64, f64), cap: f64) -> f64 {
        let ideal = self.air.isentropic_work(self.temperature, ratio);
        if ideal <= 0.0 {
            return 0.0;
        }
        let work = self.work.at(span.speed, self.share(span.speed, flow))
            * self.tip_speed_squared(span.speed);
        // Less work than the cap allows, or none: the cap.
        let excess = if work > 0.0 { ideal / work - cap } else { 1.0 };
        let bend = BEND * (-(excess.abs()) / BEND).exp().ln_1p();
        cap + excess.min(0.0) - bend
    }

    /// Residuals of each island's places, and of single places, against the finished map; and how
    /// many lie outside of the lines.
    pub fn of_islands(
        &self,
        trace: &MapTrace,
        map: &CompressorMap,
        axes: &Axes,
        total: &mut Residuals,
    ) -> (Vec<Residual>, usize) {
        let mut outside = 0;
        let mut read = |flow: f64, ratio: f64, given: f64, of: &mut [&mut Residual]| {
            if speed_inside(map, axes, flow, ratio).is_none() {
                outside += 1;
                return;
            }
            let ideal = self.air.isentropic_work(self.temperature, ratio);
            let value = given - ideal / map.read(flow, ratio).work;
            for residual in of {
                residual.add(Worst {
                    value,
                    line: None,
                    flow_kg_s: flow,
                    pressure_ratio: ratio,
                });
            }
        };
        let mut islands = Vec::with_capacity(trace.islands.len());
        for island in &trace.islands {
            let mut own = Residual::default();
            let mut places = island.places.clone();
            put_in_order(&mut places, |p| p.pressure_ratio);
            put_in_order(&mut places, |p| p.flow_kg_s);
            for p in &places {
                let of = &mut [&mut own, &mut total.efficiency];
                read(p.flow_kg_s, p.pressure_ratio, island.efficiency, of);
            }
            islands.push(own);
        }
        let mut points = trace.efficiency_points.clone();
        put_in_order(&mut points, |p| p.efficiency);
        put_in_order(&mut points, |p| p.pressure_ratio);
        put_in_order(&mut points, |p| p.flow_kg_s);
        for p in &points {
            let of = &mut [&mut total.efficiency];
            read(p.flow_kg_s, p.pressure_ratio, p.efficiency, of);
        }
        (islands, outside)
    }
}

/// Flow over the choke flow of a speed, which between lines is interpolated; `choke` is choke flow
/// over speed of each line, by speed.
fn share_of_choke(choke: &[(f64, f64)], speed: f64, flow: f64) -> f64 {
    let last = choke.len() - 1;
    let high = choke.partition_point(|c| c.0 <= speed).clamp(1, last);
    let (a, b) = (choke[high - 1], choke[high]);
    let along = ((speed - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
    flow / (speed * (a.1 + along * (b.1 - a.1)))
}

/// Values at points of the lines, taken at the nearest place of the fitted curve.
fn line_values(
    lines: &[SortedLine],
    spans: &[Span],
    axes: &Axes,
    scatter: f64,
    air: &Mixture,
    temperature: f64,
) -> Vec<Value> {
    let mut values = Vec::new();
    for (line, span) in lines.iter().zip(spans) {
        let nodes = span.curve.nodes(axes);
        for point in &line.points {
            let Some(efficiency) = point.efficiency else {
                continue;
            };
            let place = (point.flow_kg_s, point.pressure_ratio);
            let foot = span.curve.foot(axes, &nodes, place);
            // Along the curve the place is uncertain: there efficiency goes with pressure.
            let up = foot.normal.0.abs() * scatter * axes.rise;
            let ideal = |ratio: f64| air.isentropic_work(temperature, ratio);
            let change = (ideal(foot.place.1 + up) - ideal(foot.place.1)) / ideal(foot.place.1);
            if foot.place.1 > 1.0 {
                values.push(Value {
                    flow: foot.place.0,
                    ratio: foot.place.1,
                    efficiency,
                    speed: span.speed,
                    from_place: efficiency * change,
                });
            }
        }
    }
    values
}

/// Values on islands and at single places, at the speed where they lie between the lines; `alone` if
/// there are no others.
fn place_values(
    trace: &MapTrace,
    flows: &CompressorMap,
    axes: &Axes,
    scatter: f64,
    alone: bool,
) -> Result<Vec<Value>, MapFitError> {
    let air = HumidAir::new(0.0).mixture;
    let temperature = trace.reference.temperature_k;
    // What efficiency goes with at constant work input: isentropic work over the square of speed.
    let loading = |flow: f64, ratio: f64| {
        let speed = flows.speed_and_work(flow, ratio).0;
        (air.isentropic_work(temperature, ratio) / (speed * speed)).ln()
    };
    let value = |flow: f64, ratio: f64, efficiency: f64| -> Option<Value> {
        let speed = speed_inside(flows, axes, flow, ratio)?;
        let step = (0.002 * axes.flow, 0.002 * axes.rise.min(ratio - 1.0));
        let across = (loading(flow + step.0, ratio)
            - loading((flow - step.0).max(0.5 * flow), ratio))
            / (step.0 + step.0.min(0.5 * flow))
            * axes.flow;
        let up = (loading(flow, ratio + step.1) - loading(flow, ratio)) / step.1 * axes.rise;
        let change = scatter * (across * across + up * up).sqrt();
        Some(Value {
            flow,
            ratio,
            efficiency,
            speed,
            from_place: if change.is_finite() {
                efficiency * change
            } else {
                efficiency
            },
        })
    };
    let mut values = Vec::new();
    for (i, island) in trace.islands.iter().enumerate() {
        let before = values.len();
        let places = &island.places;
        values.extend(
            places
                .iter()
                .filter_map(|p| value(p.flow_kg_s, p.pressure_ratio, island.efficiency)),
        );
        if let (Some(first), true) = (places.first(), values.len() == before) {
            return Err(MapFitError::IslandOutside {
                island: i + 1,
                efficiency: island.efficiency,
                flow: first.flow_kg_s,
                ratio: first.pressure_ratio,
            });
        }
    }
    let points = &trace.efficiency_points;
    values.extend(
        points
            .iter()
            .filter_map(|p| value(p.flow_kg_s, p.pressure_ratio, p.efficiency)),
    );
    if alone && values.is_empty() && !points.is_empty() {
        return Err(MapFitError::EfficiencyNotSettled {
            count: points.len(),
        });
    }
    Ok(values)
}

/// Efficiencies that the wheel's sizes suggest, at the same share of each line's choke flow. The
/// estimate's own lines are fitted like the traced ones, so that choke means the same for both.
fn estimated_values(trace: &MapTrace, spans: &[Span]) -> Result<Vec<Value>, MapFitError> {
    let Some(wheel) = &trace.wheel else {
        return Err(MapFitError::EfficiencyNotSettled { count: 0 });
    };
    let fastest = spans.iter().map(|span| span.speed).fold(0.0, f64::max);
    let tip_speed = std::f64::consts::PI * trace.exducer_m * fastest / 60.0;
    let data = estimate(wheel, trace.reference, tip_speed);
    let estimate = super::ready(&data, wheel.exducer_m)?;
    // Slower lines than were traced would only pull at the trend.
    let scale = trace.exducer_m / wheel.exducer_m;
    let slowest = spans
        .iter()
        .map(|span| span.speed)
        .fold(f64::INFINITY, f64::min)
        * scale;
    let first = data
        .lines
        .partition_point(|line| line.speed_rev_min < 0.95 * slowest)
        .min(data.lines.len().saturating_sub(2));
    let lines: Vec<LinePoints> = data.lines[first..]
        .iter()
        .map(|line| LinePoints {
            speed: line.speed_rev_min,
            points: line
                .points
                .iter()
                .map(|p| (p.flow_kg_s, p.pressure_ratio))
                .collect(),
        })
        .collect();
    let points = || lines.iter().flat_map(|line| &line.points);
    let axes = Axes {
        flow: points().map(|p| p.0).fold(0.0, f64::max),
        rise: points().map(|p| p.1 - 1.0).fold(0.01, f64::max),
    };
    let unsettled = |_| MapFitError::EfficiencyNotSettled { count: 0 };
    let fitted = fit_lines(&lines, &axes, 1.0).map_err(unsettled)?;
    let choke: Vec<(f64, f64)> = lines
        .iter()
        .zip(&fitted.parameters)
        .map(|(line, parameters)| {
            let curve = Ellipse::new(parameters, line.speed);
            (line.speed, curve.choke_flow / line.speed)
        })
        .collect();
    let mut values = Vec::new();
    for span in spans {
        // The same tip speed.
        let speed = span.speed * scale;
        let speed = speed.clamp(choke[0].0, choke[choke.len() - 1].0);
        let samples = span.samples(60);
        for part in 0..=16 {
            let point = estimate.on_line(speed, f64::from(part) / 16.0);
            let share = share_of_choke(&choke, speed, point.flow_kg_s);
            let flow = share * span.curve.choke_flow;
            // The line's pressure ratio at that flow.
            let ratio = samples
                .windows(2)
                .find(|pair| pair[0].0 <= flow && flow <= pair[1].0)
                .map(|pair| {
                    let along = (flow - pair[0].0) / (pair[1].0 - pair[0].0);
                    pair[0].1 + along * (pair[1].1 - pair[0].1)
                });
            let sound = share <= ESTIMATED_TO && (0.1..0.95).contains(&point.efficiency);
            if let (Some(ratio), true) = (ratio, sound) {
                values.push(Value {
                    flow,
                    ratio,
                    efficiency: point.efficiency,
                    speed: span.speed,
                    from_place: 0.0,
                });
            }
        }
    }
    Ok(values)
}
