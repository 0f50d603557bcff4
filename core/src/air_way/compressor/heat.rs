//! Heat from the turbine in the work that a measured map's slow lines show.
//!
//! A gas stand takes work from the rise of temperature. On a slow line, where there is little of it,
//! heat that the casing carries over from the turbine is a good part. By Euler's equation all lines of
//! a wheel share one work coefficient over the flow coefficient at the wheel's outlet, so the fast
//! lines tell what the slow ones work; what those show beyond that is heat: it belongs in the outlet's
//! temperature and not in the shaft's power.
//!
//! At one speed heat flow hardly depends on the air's flow, so it is kept as one number a line.

use super::MapUncertainty;
use super::map::{MapData, SpeedLine};
use crate::gas::Mixture;
use crate::numeric::Curve;

/// Lines from this tip-speed Mach number on are taken to be without heat. Judgement: their work is
/// some ten times the heat of a water-cooled casing.
const FAST: f64 = 0.8;
/// Fewest fast lines that make a trend.
const FEWEST: usize = 2;
/// Efficiency of the impeller against its outlet's static state, for the density there. Judgement; it
/// hardly matters, as it is the same for all lines.
const IMPELLER_EFFICIENCY: f64 = 0.88;
/// Fast lines that reach over this much in Mach number tell a trend over it. Judgement.
const MACH_REACH: f64 = 0.3;
/// How many times the fast lines' scatter a slow line has to be beyond their trend, on the mean, for
/// it to be heat. Judgement.
const BEYOND: f64 = 2.0;
/// Most of the work that is taken to be heat: what is read off far from any point. Judgement.
const MOST: f64 = 0.8;

/// What each line's work coefficient times flow coefficient has beyond the trend, over speed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heat {
    over_speed: Curve,
}

/// A point: flow over speed, the same at the wheel's outlet, tip-speed Mach number, and work over the
/// square of tip speed.
struct Point {
    flow: f64,
    outlet_flow: f64,
    mach: f64,
    work: f64,
}

impl Heat {
    /// What a map's slow lines have; `None` where they have nothing beyond the fast lines' scatter, or
    /// where there is no trend to tell it by.
    pub fn of(data: &MapData, tip_speed_squared: f64, air: &Mixture) -> Option<Self> {
        let t_ref = data.reference.temperature_k;
        let gamma = air.gamma(t_ref);
        let sound = (gamma * air.gas_constant() * t_ref).sqrt();
        let mach = |line: &SpeedLine| tip_speed_squared.sqrt() * line.speed_rev_min / sound;
        let (slow, fast): (Vec<&SpeedLine>, Vec<&SpeedLine>) =
            data.lines.iter().partition(|line| mach(line) < FAST);
        if slow.is_empty() || fast.len() < FEWEST {
            return None;
        }
        let work = |line: &SpeedLine| -> Vec<(f64, f64)> {
            let u2 = tip_speed_squared * line.speed_rev_min * line.speed_rev_min;
            let points = line.points.iter();
            points
                .map(|p| {
                    let work = air.isentropic_work(t_ref, p.pressure_ratio) / p.efficiency / u2;
                    (p.flow_kg_s / line.speed_rev_min, work)
                })
                .collect()
        };
        // Density at the wheel's outlet over that at its inlet.
        let density = |mach: f64, work: f64| {
            let rise = (gamma - 1.0) * mach * mach * (work - 0.5 * work * work).max(0.0);
            (1.0 + IMPELLER_EFFICIENCY * rise).powf(gamma / (gamma - 1.0)) / (1.0 + rise)
        };
        let points = |line: &SpeedLine| -> Vec<Point> {
            let mach = mach(line);
            let point = |(flow, work)| Point {
                flow,
                outlet_flow: flow / density(mach, work),
                mach,
                work,
            };
            work(line).into_iter().map(point).collect()
        };
        let of_fast: Vec<Point> = fast.iter().flat_map(|line| points(line)).collect();
        let trend = Trend::through(&of_fast)?;

        let mut over_speed = Vec::with_capacity(slow.len() + 1);
        for line in &slow {
            // Where the fast lines have points too: towards no head a slow line goes on far to the right.
            let mut points = points(line);
            points.retain(|p| p.outlet_flow <= trend.greatest_flow);
            let count = points.len() as f64;
            let excess = |p: &Point| p.work - trend.at(p);
            let mean = points.iter().map(excess).sum::<f64>() / count;
            let heat = points.iter().map(|p| excess(p) * p.flow).sum::<f64>() / count;
            let reading = MapUncertainty::MEASURED.work.half_width * trend.mean_work;
            let is_heat = mean > reading.max(BEYOND * trend.scatter) && heat > 0.0;
            over_speed.push((line.speed_rev_min, if is_heat { heat } else { 0.0 }));
        }
        over_speed.push((fast.first()?.speed_rev_min, 0.0));
        if over_speed.iter().all(|(_, heat)| *heat == 0.0) {
            return None;
        }
        let over_speed = Curve::new(&over_speed).ok()?;
        Some(Self { over_speed })
    }

    /// Heat in the work, J/kg, at a corrected speed in rev/min and flow in kg/s.
    pub fn at(&self, tip_speed_squared: f64, speed: f64, flow: f64, work: f64) -> f64 {
        let heat = tip_speed_squared * speed.powi(3) * self.over_speed.at(speed) / flow;
        heat.clamp(0.0, (MOST * work).max(0.0))
    }
}

/// Work coefficient, straight over the outlet's flow coefficient and, where the fast lines reach far
/// enough, over Mach number: what the outlet's density is estimated wrong by.
struct Trend {
    mean_flow: f64,
    mean_mach: f64,
    mean_work: f64,
    flow_slope: f64,
    mach_slope: f64,
    /// Greatest flow of its points.
    greatest_flow: f64,
    /// Root of the mean square of the points' distances from it.
    scatter: f64,
}

impl Trend {
    /// By least squares; never rising with flow, as no blades lean forward.
    fn through(points: &[Point]) -> Option<Self> {
        let count = points.len() as f64;
        let mean = |of: fn(&Point) -> f64| points.iter().map(of).sum::<f64>() / count;
        let mut trend = Self {
            mean_flow: mean(|p| p.outlet_flow),
            mean_mach: mean(|p| p.mach),
            mean_work: mean(|p| p.work),
            flow_slope: 0.0,
            mach_slope: 0.0,
            greatest_flow: points.iter().map(|p| p.outlet_flow).fold(0.0, f64::max),
            scatter: 0.0,
        };
        let least = points.iter().map(|p| p.mach).fold(f64::INFINITY, f64::min);
        let greatest = points.iter().map(|p| p.mach).fold(0.0, f64::max);
        let (mut ff, mut fm, mut mm, mut fw, mut mw) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for point in points {
            let flow = point.outlet_flow - trend.mean_flow;
            let mach = point.mach - trend.mean_mach;
            let work = point.work - trend.mean_work;
            ff += flow * flow;
            fm += flow * mach;
            mm += mach * mach;
            fw += flow * work;
            mw += mach * work;
        }
        let far = greatest - least > MACH_REACH;
        let determinant = ff * mm - fm * fm;
        (trend.flow_slope, trend.mach_slope) = if far {
            (
                (fw * mm - mw * fm) / determinant,
                (mw * ff - fw * fm) / determinant,
            )
        } else {
            (fw / ff, 0.0)
        };
        if trend.flow_slope > 0.0 {
            trend.flow_slope = 0.0;
            trend.mach_slope = if far { mw / mm } else { 0.0 };
        }
        let squares = points.iter().map(|p| (p.work - trend.at(p)).powi(2));
        trend.scatter = (squares.sum::<f64>() / count).sqrt();
        trend.scatter.is_finite().then_some(trend)
    }

    fn at(&self, point: &Point) -> f64 {
        self.mean_work
            + self.flow_slope * (point.outlet_flow - self.mean_flow)
            + self.mach_slope * (point.mach - self.mean_mach)
    }
}
