//! Fitted lines from surge to their last point.

use super::ellipse::{Axes, Ellipse, Parameters, head};
use super::error::MapFitError;
use super::lines::LinePoints;
use super::trace::{SortedLine, TracedPlace};
use crate::numeric::{bracketed_root, put_in_order};
use nalgebra::{DMatrix, DVector};

/// Points of a fitted line.
pub(super) const SAMPLES: usize = 28;
/// How far a line is carried on to meet the surge line, as a share of the flow its points span.
const REACH_TO_SURGE: f64 = 0.15;
/// Least pressure ratio that a map's line is kept to.
const LEAST_RATIO: f64 = 1.001;
/// Least rise of flow from one point to the next, relative: a vertical line leans that little.
const LEAST_RISE: f64 = 2e-5;
/// Least flow of a faster line over that of a slower one on the same resistance.
const LEAST_DISTANCE: f64 = 1.002;

/// A speed line's curve, and the part of it that was traced.
#[derive(Debug, Clone)]
pub(super) struct Span {
    /// Corrected speed, rev/min.
    pub speed: f64,
    /// The curve.
    pub curve: Ellipse,
    /// Where along it surge lies.
    pub start: f64,
    /// Where along it the last point lies.
    pub end: f64,
}

impl Span {
    /// From the leftmost to the rightmost point.
    pub fn new(parameters: &Parameters, line: &LinePoints, axes: &Axes) -> Self {
        let curve = Ellipse::new(parameters, line.speed);
        let nodes = curve.nodes(axes);
        let (mut start, mut end) = (f64::INFINITY, f64::NEG_INFINITY);
        for point in &line.points {
            let along = curve.foot(axes, &nodes, *point).along;
            start = start.min(along);
            end = end.max(along);
        }
        Self {
            speed: line.speed,
            curve,
            start: start.min(0.98),
            end: end.max(start + 0.01),
        }
    }

    /// Flow in kg/s and pressure ratio of points from surge to the end: flows rise strictly, and so
    /// does the throttle's opening.
    pub fn samples(&self, count: usize) -> Vec<(f64, f64)> {
        let mut points: Vec<(f64, f64)> = Vec::with_capacity(count);
        for i in 0..count {
            let along = self.start + (self.end - self.start) * i as f64 / (count - 1) as f64;
            let (mut flow, ratio) = self.curve.at(along);
            if ratio < LEAST_RATIO && points.len() >= 3 {
                break;
            }
            if let Some(before) = points.last() {
                flow = flow.max(before.0 * (1.0 + LEAST_RISE));
            }
            points.push((flow, ratio));
        }
        // Where a line rises so fast from the left that the throttle would close along it, it
        // starts later.
        let throttle = |p: &(f64, f64)| head(p.1) / (p.0 * p.0);
        let first = (1..points.len())
            .rev()
            .find(|&i| throttle(&points[i]) >= throttle(&points[i - 1]))
            .unwrap_or(0);
        points.drain(..first.min(points.len().saturating_sub(3)));
        points
    }
}

/// The slower of two lines that cross or touch, from 0, if any do: on the same resistance a faster
/// line has more flow.
pub(super) fn crossing(spans: &[Span]) -> Option<usize> {
    let lines: Vec<Vec<(f64, f64)>> = spans
        .iter()
        .map(|span| {
            // (ln throttle, ln flow), throttle rising.
            let samples = span.samples(4 * SAMPLES);
            let point = |p: &(f64, f64)| ((head(p.1) / (p.0 * p.0)).ln(), p.0.ln());
            samples.iter().rev().map(point).collect()
        })
        .collect();
    (0..lines.len().saturating_sub(1)).find(|&j| {
        let (slow, fast) = (&lines[j], &lines[j + 1]);
        fast.iter().any(|&(throttle, flow)| {
            let right = slow.partition_point(|p| p.0 <= throttle);
            if right == 0 || right == slow.len() {
                return false;
            }
            let (a, b) = (slow[right - 1], slow[right]);
            let share = (throttle - a.0) / (b.0 - a.0);
            flow < a.1 + share * (b.1 - a.1) + LEAST_DISTANCE.ln()
        })
    })
}

/// The surge line: flow over √head, a cubic in √head (of less degree through few places), by least
/// squares. At low tip-speed Mach number it is a parabola of constant throttling,
/// flow over √head constant.
fn surge_line(places: &[TracedPlace]) -> Option<impl Fn(f64) -> f64 + use<>> {
    let mut places: Vec<(f64, f64)> = places
        .iter()
        .map(|p| (head(p.pressure_ratio).max(1e-4).sqrt(), p.flow_kg_s))
        .collect();
    put_in_order(&mut places, |p| p.1);
    put_in_order(&mut places, |p| p.0);
    let (low, high) = (places[0].0, places[places.len() - 1].0);
    let terms = match places.len() {
        ..4 => 2,
        4..6 => 3,
        _ => 4,
    };
    let middle = 0.5 * (low + high);
    let design = DMatrix::from_fn(places.len(), terms, |row, i| {
        // Least squares of the flow itself, so that a slow line's small flows do not rule.
        places[row].0 * (places[row].0 - middle).powi(i as i32)
    });
    let right = DVector::from_fn(places.len(), |row, _| places[row].1);
    let mut normal = design.transpose() * &design;
    // All places at one pressure ratio: the line's lean is taken as none.
    for i in 0..terms {
        normal[(i, i)] *= 1.0 + 1e-9;
        normal[(i, i)] += 1e-12 * normal[(0, 0)];
    }
    let solution = normal.cholesky()?.solve(&(design.transpose() * right));
    Some(move |ratio: f64| {
        let root = head(ratio).max(0.0).sqrt();
        // Level beyond the places given.
        let off = root.clamp(low, high) - middle;
        let share: f64 = (0..terms).map(|i| solution[i] * off.powi(i as i32)).sum();
        root * share
    })
}

/// Lets each line begin on the surge line. Gives the numbers, as given, of lines whose points begin
/// too far right of it for the line to be carried on that far.
pub(super) fn begin_at_surge(
    spans: &mut [Span],
    lines: &[SortedLine],
    places: &[TracedPlace],
) -> Result<Vec<usize>, MapFitError> {
    let mut short = Vec::new();
    if places.len() < 2 {
        return Ok(short);
    }
    let Some(surge_flow) = surge_line(places) else {
        return Ok(short);
    };
    for (span, line) in spans.iter_mut().zip(lines) {
        let low = line.points[0].flow_kg_s;
        let high = line.points[line.points.len() - 1].flow_kg_s;
        let excess = |along: f64| {
            let (flow, ratio) = span.curve.at(along);
            flow - surge_flow(ratio)
        };
        // How far left the line may be carried on.
        let least_flow = low - REACH_TO_SURGE * (high - low);
        let mut left = span.start;
        while left > -0.95 && span.curve.at(left).0 > least_flow {
            left -= 0.01;
        }
        // The first place from there where the line leaves the surge line to the right.
        let latest = span.start + 0.7 * (span.end - span.start);
        let count = 60;
        let place = |i: usize| left + (latest - left) * i as f64 / count as f64;
        let crossing = (1..=count).find(|&i| excess(place(i - 1)) <= 0.0 && excess(place(i)) > 0.0);
        if let Some(i) = crossing {
            let ends = (place(i - 1), place(i));
            span.start = bracketed_root(
                (ends.0, excess(ends.0)),
                (ends.1, excess(ends.1)),
                1e-10,
                100,
                excess,
            )
            .root;
        } else if excess(left) > 0.0 {
            span.start = left;
            short.push(line.number);
        } else {
            let ratio = span.curve.at(span.start).1;
            return Err(MapFitError::SurgeOffLine {
                line: line.number,
                speed: line.speed,
                ratio,
                flow: surge_flow(ratio),
                low,
                high,
            });
        }
    }
    Ok(short)
}
