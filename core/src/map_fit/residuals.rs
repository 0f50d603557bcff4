//! How far the points lie from what was fitted.

use super::ellipse::Axes;
use super::span::Span;
use super::trace::SortedLine;

/// The largest residual and where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worst {
    /// The residual, point less fit, in the unit of its quantity.
    pub value: f64,
    /// Which line, from 1 as given; `None` for a point of no line.
    pub line: Option<usize>,
    /// Flow of the point, kg/s.
    pub flow_kg_s: f64,
    /// Pressure ratio of the point.
    pub pressure_ratio: f64,
}

/// Residuals of one quantity.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Residual {
    /// How many points.
    pub count: usize,
    sum_of_squares: f64,
    /// The largest; `None` without points.
    pub worst: Option<Worst>,
}

impl Residual {
    pub(super) fn add(&mut self, worst: Worst) {
        self.count += 1;
        self.sum_of_squares += worst.value * worst.value;
        if self
            .worst
            .is_none_or(|before| worst.value.abs() > before.value.abs())
        {
            self.worst = Some(worst);
        }
    }

    /// Root of the mean square; 0 without points.
    #[must_use]
    pub fn root_mean_square(&self) -> f64 {
        (self.sum_of_squares / self.count.max(1) as f64).sqrt()
    }
}

/// Residuals of a line or of all.
///
/// The way from the nearest point of the fitted curve (nearest in units of the axes) to the given
/// one, in flow and in pressure ratio: on the flat of a line it is all pressure ratio, where it is
/// vertical all flow.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Residuals {
    /// kg/s.
    pub flow: Residual,
    /// Pressure ratio.
    pub pressure_ratio: Residual,
    /// The distance itself: shares of the axes, which reach from 0 to the largest flow and from 1 to
    /// the largest pressure ratio.
    pub distance: Residual,
    /// Efficiency, as a share of 1.
    pub efficiency: Residual,
}

/// Residuals of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineResiduals {
    /// Which line, from 1 as given.
    pub line: usize,
    /// Its corrected speed, rev/min.
    pub speed_rev_min: f64,
    /// Its points'.
    pub residuals: Residuals,
}

/// Residuals of each line's points, in the order of the spans; `efficiency` says what was fitted at a
/// place of line `j`.
pub(super) fn of_lines(
    spans: &[Span],
    lines: &[SortedLine],
    axes: &Axes,
    efficiency: impl Fn(usize, (f64, f64)) -> f64,
    total: &mut Residuals,
) -> Vec<LineResiduals> {
    let mut all = Vec::with_capacity(lines.len());
    for (j, (span, line)) in spans.iter().zip(lines).enumerate() {
        let mut residuals = Residuals::default();
        let nodes = span.curve.nodes(axes);
        for point in &line.points {
            let place = (point.flow_kg_s, point.pressure_ratio);
            let foot = span.curve.foot(axes, &nodes, place);
            let worst = |value: f64| Worst {
                value,
                line: Some(line.number),
                flow_kg_s: place.0,
                pressure_ratio: place.1,
            };
            for sum in [&mut residuals, total] {
                sum.flow.add(worst(place.0 - foot.place.0));
                sum.pressure_ratio.add(worst(place.1 - foot.place.1));
                sum.distance.add(worst(foot.distance));
                if let Some(given) = point.efficiency {
                    sum.efficiency.add(worst(given - efficiency(j, foot.place)));
                }
            }
        }
        all.push(LineResiduals {
            line: line.number,
            speed_rev_min: line.speed,
            residuals,
        });
    }
    all
}
