//! A compressor's map: from lines of constant speed to any point on it, and beyond.
//!
//! Coordinates. A line of constant corrected speed N is described by how its speed-to-flow ratio
//! ν = N/W changes with the throttle coefficient k = y/W², where y = PR^(2/7) − 1 measures head.
//! Along a resistance y ∝ W², k stays put while speed changes: at low tip-speed Mach number all
//! lines collapse onto one (the affinity laws), so ν varies slowly from line to line. It is single
//! valued and smooth from surge to the vertical part at choke, where neither flow nor pressure
//! ratio is. A point (W, PR) has its k at once; what remains is one equation in speed,
//! N = W ν(k, N).
//!
//! Work input is kept as τ = ν Δh/U₂²: nearly linear in ν along a line (Euler's equation), finite
//! at standstill, and what is interpolated instead of efficiency.

use super::heat::Heat;
use super::ideal_work::IdealWork;
use crate::gas::HumidAir;
use crate::numeric::{Curve, bracketed_root, hermite, monotone_slopes, put_in_order};
use serde::{Deserialize, Serialize};

/// Exponent of pressure ratio in the head coordinate y: (γ − 1)/γ with γ = 1.4. A coordinate, not
/// physics: enthalpies use the real gas.
const HEAD_EXPONENT: f64 = 2.0 / 7.0;

/// Nodes along each line.
const NODES: usize = 72;

/// How many times the largest throttle coefficient at surge the table goes on to the left.
const LEFT_REACH: f64 = 10.0;

/// Least flow of a line over that of the next slower one, at the same throttle coefficient, where
/// one of them is only carried on.
const LEAST_SPREAD: f64 = 1.000_5;

/// How far, as a share of its speed-to-flow ratio, a line runs on past its last point until the
/// head is gone.
const LONGEST_RUN_OUT: f64 = 0.2;

/// Choke is where one per cent more flow costs this many per cent of head.
pub const CHOKE_SLOPE: f64 = 10.0;

/// The state of the air that a map's corrected flow and speed refer to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MapReference {
    /// K.
    pub temperature_k: f64,
    /// Pa.
    pub pressure_pa: f64,
}

/// One measured or estimated point of a map.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MapPoint {
    /// Corrected mass flow, kg/s.
    pub flow_kg_s: f64,
    /// Total-to-total pressure ratio.
    pub pressure_ratio: f64,
    /// Total-to-total isentropic efficiency, 0 to 1.
    pub efficiency: f64,
}

/// A line of constant corrected speed, from surge to choke.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpeedLine {
    /// Corrected shaft speed, rev/min.
    pub speed_rev_min: f64,
    /// Points in order of rising flow; the first is the surge point.
    pub points: Vec<MapPoint>,
}

/// A compressor map as it is kept: lines and what they refer to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MapData {
    /// Reference state of corrected flow and speed.
    pub reference: MapReference,
    /// Whether the map was estimated from wheel sizes rather than measured.
    pub estimated: bool,
    /// Lines in order of rising speed.
    pub lines: Vec<SpeedLine>,
}

/// Why a map cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MapError {
    /// Fewer than two lines.
    #[error("The compressor map has {count} speed line(s); at least two are needed.")]
    TooFewLines {
        /// How many there are.
        count: usize,
    },
    /// A line with fewer than three points.
    #[error(
        "Speed line {line} of the compressor map has {count} point(s); at least three are needed."
    )]
    TooFewPoints {
        /// Which line, from 1.
        line: usize,
        /// How many points it has.
        count: usize,
    },
    /// A value that is not finite or not in its range.
    #[error(
        "{what} of speed line {line}, point {point} of the compressor map is {value}; it must lie between {low} and {high}."
    )]
    OutOfRange {
        /// What is wrong.
        what: &'static str,
        /// Which line, from 1.
        line: usize,
        /// Which point, from 1; 0 for the line's own speed.
        point: usize,
        /// What was given.
        value: f64,
        /// Least value.
        low: f64,
        /// Largest value.
        high: f64,
    },
    /// Lines or points out of order.
    #[error(
        "{what} of the compressor map must rise from one to the next; entry {entry} of line {line} does not."
    )]
    NotRising {
        /// What is out of order.
        what: &'static str,
        /// Which line, from 1.
        line: usize,
        /// Which point, from 1; 0 for the line's own speed.
        entry: usize,
    },
    /// Two lines that meet.
    #[error(
        "Speed lines {line} and {next} of the compressor map cross or touch; correct the points of one of them."
    )]
    LinesCross {
        /// The slower line, from 1.
        line: usize,
        /// The faster line.
        next: usize,
    },
    /// The reference state is absurd.
    #[error(
        "The compressor map's reference state ({temperature_k} K, {pressure_pa} Pa) must lie between 250 and 350 K and between 50,000 and 120,000 Pa."
    )]
    Reference {
        /// K.
        temperature_k: f64,
        /// Pa.
        pressure_pa: f64,
    },
}

/// What the map says of a point (corrected flow, pressure ratio).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Corrected shaft speed, rev/min.
    pub speed: f64,
    /// Work input of the gas at the map's reference state, J/kg; below zero when it windmills. What
    /// the outlet's temperature shows: heat from the turbine included.
    pub work: f64,
    /// Of it the heat from the turbine, J/kg, that a measured map's slow lines hold: not taken from
    /// the shaft. 0 on an estimated map.
    pub heat: f64,
    /// Flow on the surge line at this pressure ratio, kg/s corrected.
    pub surge_flow: f64,
    /// Flow at which this speed's line chokes, kg/s corrected.
    pub choke_flow: f64,
    /// Left of the surge line.
    pub surging: bool,
    /// Outside of what was measured: faster than the fastest line, slower than the slowest,
    /// left of surge, or beyond the last point of the lines.
    pub extrapolated: bool,
}

/// What a person reads off the map at a spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Corrected shaft speed, rev/min.
    pub speed_rev_min: f64,
    /// Total-to-total isentropic efficiency, 0 to 1; `None` where the wheel gives the air no
    /// pressure or takes no work.
    pub efficiency: Option<f64>,
    /// Room right of the surge line as a share of the flow; below 0 left of it.
    pub surge_room: f64,
    /// Room left of where the line of this speed chokes as a share of that; below 0 beyond.
    pub choke_room: f64,
    /// Outside of what was measured, as in [`Reading::extrapolated`].
    pub extrapolated: bool,
}

/// How a map differs from another of the same shape: factors, 1 for no difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapScale {
    /// Corrected flow at a speed and a pressure ratio.
    pub flow: f64,
    /// Efficiency at every point.
    pub efficiency: f64,
    /// Flow on the surge line, beside that; the lines themselves stay.
    pub surge: f64,
}

impl MapScale {
    /// The map itself.
    pub const NONE: Self = Self {
        flow: 1.0,
        efficiency: 1.0,
        surge: 1.0,
    };
}

/// A place on a line of constant speed, all at the map's reference state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinePlace {
    /// Coordinate along the line.
    pub kappa: f64,
    /// Corrected flow, kg/s.
    pub flow: f64,
    /// Total-to-total pressure ratio.
    pub pressure_ratio: f64,
    /// Work input, J/kg; below zero where it windmills.
    pub work: f64,
}

/// A compressor map made ready to answer.
#[derive(Debug, Clone, PartialEq)]
pub struct CompressorMap {
    reference: MapReference,
    estimated: bool,
    scale: MapScale,
    /// (U₂/N)², (m/s)² per (rev/min)².
    tip_speed_squared: f64,
    speeds: Vec<f64>,
    k_scale: f64,
    k_locked: f64,
    kappa: (f64, f64),
    kappa_step: f64,
    /// For node i and line j at [i * lines + j].
    cells: Vec<Node>,
    /// Surge line: flow over √head, from √head.
    surge: Curve,
    /// Coordinate along the line at surge, choke, and the last point given, each over speed.
    surge_kappa: Curve,
    end_kappa: Curve,
    choke_nu: Curve,
    choke_kappa: Curve,
    ideal_work: IdealWork,
    /// Heat from the turbine in a measured map's work.
    heat: Option<Heat>,
}

#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Node {
    nu: f64,
    nu_kappa: f64,
    nu_speed: f64,
    tau: f64,
    tau_kappa: f64,
    tau_speed: f64,
}

fn head(pressure_ratio: f64) -> f64 {
    pressure_ratio.powf(HEAD_EXPONENT) - 1.0
}

fn check(
    what: &'static str,
    (line, point): (usize, usize),
    value: f64,
    (low, high): (f64, f64),
) -> Result<(), MapError> {
    if value.is_finite() && value >= low && value <= high {
        Ok(())
    } else {
        Err(MapError::OutOfRange {
            what,
            line,
            point,
            value,
            low,
            high,
        })
    }
}

impl MapData {
    /// Whether the map can be used.
    ///
    /// # Errors
    /// The first thing that is wrong with it, by line and point.
    pub fn check(&self) -> Result<(), MapError> {
        let MapReference {
            temperature_k,
            pressure_pa,
        } = self.reference;
        if !((250.0..=350.0).contains(&temperature_k) && (5e4..=1.2e5).contains(&pressure_pa)) {
            return Err(MapError::Reference {
                temperature_k,
                pressure_pa,
            });
        }
        if self.lines.len() < 2 {
            return Err(MapError::TooFewLines {
                count: self.lines.len(),
            });
        }
        let mut speed_before = 0.0;
        for (l, line) in self.lines.iter().enumerate() {
            let number = l + 1;
            check(
                "The speed in rev/min",
                (number, 0),
                line.speed_rev_min,
                (500.0, 600_000.0),
            )?;
            if line.speed_rev_min <= speed_before {
                return Err(MapError::NotRising {
                    what: "The speeds",
                    line: number,
                    entry: 0,
                });
            }
            speed_before = line.speed_rev_min;
            if line.points.len() < 3 {
                return Err(MapError::TooFewPoints {
                    line: number,
                    count: line.points.len(),
                });
            }
            let mut before: Option<&MapPoint> = None;
            for (p, point) in line.points.iter().enumerate() {
                let at = (number, p + 1);
                check("The flow in kg/s", at, point.flow_kg_s, (1e-4, 20.0))?;
                check(
                    "The pressure ratio",
                    at,
                    point.pressure_ratio,
                    (1.0 + 1e-6, 12.0),
                )?;
                check("The efficiency", at, point.efficiency, (0.02, 0.95))?;
                if let Some(before) = before {
                    if point.flow_kg_s <= before.flow_kg_s {
                        return Err(MapError::NotRising {
                            what: "The flows along a line",
                            line: number,
                            entry: p + 1,
                        });
                    }
                    let k = |q: &MapPoint| head(q.pressure_ratio) / (q.flow_kg_s * q.flow_kg_s);
                    if k(point) >= k(before) {
                        return Err(MapError::NotRising {
                            what: "The throttle openings (flow² over head) along a line",
                            line: number,
                            entry: p + 1,
                        });
                    }
                }
                before = Some(point);
            }
        }
        Ok(())
    }
}

/// One line in the coordinates of the table.
struct Traced {
    /// (κ, ν) from the far left end of the table's reach to head zero, κ rising.
    nu: Curve,
    /// λ = Δh/U₂² over 1/ν, with the slopes it goes on with.
    lambda: Curve,
    lambda_ends: ((f64, f64), (f64, f64)),
    surge: (f64, f64),
    end_kappa: f64,
    choke_kappa: f64,
    choke_nu: f64,
}

impl CompressorMap {
    /// Makes a map ready: checks it, and lays it out on a table along each line.
    ///
    /// `exducer` is the compressor wheel's outlet diameter, m; `shutoff_head` the head at no flow
    /// over that at surge; `locked_rotor_loss` the loss at standstill in dynamic heads at the
    /// throat.
    ///
    /// # Errors
    /// What is wrong with the map, by line and point.
    pub fn new(
        data: &MapData,
        exducer: f64,
        shutoff_head: f64,
        locked_rotor_loss: f64,
    ) -> Result<Self, MapError> {
        data.check()?;
        let tip_speed_squared = (std::f64::consts::PI * exducer / 60.0).powi(2);
        let air = HumidAir::new(0.0).mixture;
        let t_ref = data.reference.temperature_k;

        // The scale of k: the geometric mean of its range over all points.
        let k_of = |p: &MapPoint| head(p.pressure_ratio) / (p.flow_kg_s * p.flow_kg_s);
        let all = || data.lines.iter().flat_map(|l| l.points.iter());
        let k_surge = data
            .lines
            .iter()
            .map(|l| k_of(&l.points[0]))
            .fold(0.0, f64::max);
        let k_low = all().map(k_of).fold(f64::INFINITY, f64::min);
        let k_scale = (k_surge * k_low.max(1e-3 * k_surge)).sqrt();
        let kappa_of = |k: f64| k / (k.abs() + k_scale);

        // Standstill: loss coefficient × half the dynamic head at the throat, the throat's area
        // from the largest flow (a choking throat passes 0.7 ρ a A with the wheel at full speed).
        let largest_flow = all().map(|p| p.flow_kg_s).fold(0.0, f64::max);
        let sound = (air.gamma(t_ref) * air.gas_constant() * t_ref).sqrt();
        let throat_speed_per_flow = 0.7 * sound / largest_flow;
        let k_locked = locked_rotor_loss * 0.5 * throat_speed_per_flow * throat_speed_per_flow
            / (air.heat_capacity(t_ref) * t_ref);
        let kappa_low = kappa_of(-k_locked);
        let kappa_high = kappa_of(LEFT_REACH * k_surge);
        let kappa_step = (kappa_high - kappa_low) / (NODES - 1) as f64;

        let mut traced = Vec::with_capacity(data.lines.len());
        for line in &data.lines {
            traced.push(trace(
                line,
                &air,
                t_ref,
                tip_speed_squared,
                shutoff_head,
                &kappa_of,
            ));
        }

        let speeds: Vec<f64> = data.lines.iter().map(|l| l.speed_rev_min).collect();
        let count = speeds.len();
        let kappas: Vec<f64> = (0..NODES)
            .map(|i| kappa_low + i as f64 * kappa_step)
            .collect();
        // ν of each line at each node, the slowest first.
        let mut nus: Vec<Vec<f64>> = Vec::with_capacity(count);
        for (j, line) in traced.iter().enumerate() {
            let nu_zero = line.nu.at(0.0);
            let mut nu = Vec::with_capacity(NODES);
            for &kappa in &kappas {
                let mut here = if kappa >= 0.0 {
                    line.nu.at(kappa)
                } else {
                    // From no head down to standstill: straight in k.
                    let k = k_scale * kappa / (1.0 + kappa);
                    nu_zero * (1.0 + k / k_locked).max(0.0)
                };
                if let Some(slower) = nus.last() {
                    let most = speeds[j] / speeds[j - 1] * slower[nu.len()] / LEAST_SPREAD;
                    if here > most {
                        let given = |line: &Traced| {
                            kappa >= line.end_kappa && kappa <= kappa_of(line.surge_k())
                        };
                        if given(&traced[j - 1]) && given(line) {
                            return Err(MapError::LinesCross {
                                line: j,
                                next: j + 1,
                            });
                        }
                        // Where a line is only carried on, it keeps its distance from the slower.
                        here = most;
                    }
                }
                nu.push(here);
            }
            nus.push(nu);
        }
        let mut cells = vec![Node::default(); NODES * count];
        for (j, (line, nu)) in traced.iter().zip(&nus).enumerate() {
            let tau: Vec<f64> = nu.iter().map(|&nu| line.tau(nu)).collect();
            let nu_slope = monotone_slopes(&kappas, nu);
            let tau_slope = monotone_slopes(&kappas, &tau);
            for i in 0..NODES {
                let node = &mut cells[i * count + j];
                node.nu = nu[i];
                node.nu_kappa = nu_slope[i];
                node.tau = tau[i];
                node.tau_kappa = tau_slope[i];
            }
        }
        for row in cells.chunks_exact_mut(count) {
            let nu: Vec<f64> = row.iter().map(|n| n.nu).collect();
            let tau: Vec<f64> = row.iter().map(|n| n.tau).collect();
            let nu_slope = monotone_slopes(&speeds, &nu);
            let tau_slope = monotone_slopes(&speeds, &tau);
            for (j, node) in row.iter_mut().enumerate() {
                node.nu_speed = nu_slope[j];
                node.tau_speed = tau_slope[j];
            }
        }

        let over_speed = |pick: &dyn Fn(&Traced) -> f64| {
            let points: Vec<(f64, f64)> = speeds
                .iter()
                .zip(&traced)
                .map(|(n, t)| (*n, pick(t)))
                .collect();
            Curve::new(&points)
        };
        // Every pick is finite and the speeds rise, so these cannot fail; if they did, a crossing
        // is what it would mean.
        let crossed = |_| MapError::LinesCross { line: 1, next: 2 };
        let mut surge_points: Vec<(f64, f64)> = traced
            .iter()
            .map(|t| (t.surge.1.max(0.0).sqrt(), t.surge.0 / t.surge.1.sqrt()))
            .collect();
        surge_points.dedup_by(|b, a| b.0 <= a.0);
        Ok(Self {
            reference: data.reference,
            heat: match data.estimated {
                true => None,
                false => Heat::of(data, tip_speed_squared, &air),
            },
            ideal_work: IdealWork::new(&air, t_ref, |y| (1.0 + y).powf(1.0 / HEAD_EXPONENT)),
            estimated: data.estimated,
            scale: MapScale::NONE,
            tip_speed_squared,
            k_scale,
            k_locked,
            kappa: (kappa_low, kappa_high),
            kappa_step,
            cells,
            surge: Curve::new(&surge_points).map_err(crossed)?,
            surge_kappa: over_speed(&|t| kappa_of(t.surge_k())).map_err(crossed)?,
            end_kappa: over_speed(&|t| t.end_kappa).map_err(crossed)?,
            choke_nu: over_speed(&|t| t.choke_nu).map_err(crossed)?,
            choke_kappa: over_speed(&|t| t.choke_kappa).map_err(crossed)?,
            speeds,
        })
    }

    /// The same map with flows, efficiencies and surge line scaled, beside what has been scaled
    /// before. Factors above 0.
    ///
    /// Exact for flow and efficiency: everything here is homogeneous in both, so the map made of the
    /// scaled points is this one, read at a flow over the factor, with work over the other.
    #[must_use]
    pub fn scaled(&self, scale: MapScale) -> Self {
        let mut map = self.clone();
        map.scale.flow *= scale.flow;
        map.scale.efficiency *= scale.efficiency;
        map.scale.surge *= scale.surge;
        map
    }

    /// Reference state of corrected flow and speed.
    #[must_use]
    pub fn reference(&self) -> MapReference {
        self.reference
    }

    /// Whether the map was estimated from wheel sizes.
    #[must_use]
    pub fn estimated(&self) -> bool {
        self.estimated
    }

    /// Corrected speeds of the lines given, rev/min, rising.
    #[must_use]
    pub fn speeds(&self) -> &[f64] {
        &self.speeds
    }

    /// Corrected shaft speed in rev/min and work input in J/kg at the map's reference state, at a
    /// corrected flow in kg/s (above 0) and a total-to-total pressure ratio (above 0): the part of
    /// [`CompressorMap::read`] that a search needs.
    #[must_use]
    pub fn speed_and_work(&self, flow: f64, pressure_ratio: f64) -> (f64, f64) {
        let flow = (flow / self.scale.flow).max(1e-9);
        let k = head(pressure_ratio) / (flow * flow);
        let (speed, tau) = self.speed_and_tau(flow, k, k / (k.abs() + self.k_scale));
        (speed, self.work(speed, flow, tau))
    }

    /// [`Reading::heat`] at a corrected speed in rev/min and flow in kg/s with the work there.
    #[must_use]
    pub fn heat(&self, speed: f64, flow: f64, work: f64) -> f64 {
        match &self.heat {
            None => 0.0,
            Some(heat) => {
                let MapScale {
                    flow: by,
                    efficiency,
                    ..
                } = self.scale;
                let inside = work * efficiency;
                heat.at(self.tip_speed_squared, speed, flow / by, inside) / efficiency
            }
        }
    }

    /// What the map says of corrected flow `flow` in kg/s (above 0) at total-to-total pressure
    /// ratio `pressure_ratio` (above 0). Always answers; `extrapolated` says how far to trust it.
    #[must_use]
    pub fn read(&self, flow: f64, pressure_ratio: f64) -> Reading {
        self.read_at(flow, pressure_ratio).0
    }

    /// The same, and the head coordinate.
    fn read_at(&self, flow: f64, pressure_ratio: f64) -> (Reading, f64) {
        let y = head(pressure_ratio);
        let flow = flow.max(1e-9 * self.scale.flow);
        let inside = flow / self.scale.flow;
        let k = y / (inside * inside);
        let kappa = k / (k.abs() + self.k_scale);
        let (speed, tau) = self.speed_and_tau(inside, k, kappa);
        let surge_flow = self.surge_flow_at_head(y);
        let choke_flow = self.choke_flow(speed);
        // A point that is held on the line is not left of it, whichever way its last digit fell.
        let surging = flow < surge_flow * (1.0 - 1e-9);
        let last = self.speeds.len() - 1;
        let work = self.work(speed, inside, tau);
        let reading = Reading {
            speed,
            work,
            heat: self.heat(speed, flow, work),
            surge_flow,
            choke_flow,
            surging,
            extrapolated: surging
                || speed < self.speeds[0]
                || speed > self.speeds[last] * (1.0 + 1e-9)
                || kappa < self.end_kappa.at(speed),
        };
        (reading, y)
    }

    /// Work input, J/kg, of the line of `speed` at a flow before it is scaled.
    fn work(&self, speed: f64, flow: f64, tau: f64) -> f64 {
        self.tip_speed_squared * speed * flow * tau / self.scale.efficiency
    }

    /// ν, its derivative with respect to speed, and τ at line-coordinate κ within cell `j`.
    fn row(&self, kappa: f64) -> (usize, f64) {
        let place = ((kappa - self.kappa.0) / self.kappa_step).clamp(0.0, (NODES - 1) as f64);
        let i = (place as usize).min(NODES - 2);
        (i, place - i as f64)
    }

    fn nu_on_line(&self, i: usize, t: f64, j: usize) -> f64 {
        let count = self.speeds.len();
        let (a, b) = (&self.cells[i * count + j], &self.cells[(i + 1) * count + j]);
        hermite(t, self.kappa_step, (a.nu, a.nu_kappa), (b.nu, b.nu_kappa)).0
    }

    fn tau_on_line(&self, i: usize, t: f64, j: usize) -> f64 {
        let count = self.speeds.len();
        let (a, b) = (&self.cells[i * count + j], &self.cells[(i + 1) * count + j]);
        hermite(
            t,
            self.kappa_step,
            (a.tau, a.tau_kappa),
            (b.tau, b.tau_kappa),
        )
        .0
    }

    /// Slopes over speed, blended along κ with the same cubic weights (no twist).
    fn speed_slopes(&self, i: usize, t: f64, j: usize) -> (f64, f64) {
        let count = self.speeds.len();
        let (a, b) = (&self.cells[i * count + j], &self.cells[(i + 1) * count + j]);
        let w = t * t * (3.0 - 2.0 * t);
        (
            a.nu_speed + w * (b.nu_speed - a.nu_speed),
            a.tau_speed + w * (b.tau_speed - a.tau_speed),
        )
    }

    fn speed_and_tau(&self, flow: f64, k: f64, kappa: f64) -> (f64, f64) {
        let (i, t) = self.row(kappa);
        // Left of the table's reach head no longer depends on flow: ν² rises as k.
        let stretch = if kappa > self.kappa.1 {
            let k_edge = self.k_scale * self.kappa.1 / (1.0 - self.kappa.1);
            (k / k_edge).sqrt()
        } else {
            1.0
        };
        let last = self.speeds.len() - 1;
        // The line of speed j has this flow or more at κ: no division, sound where ν is 0.
        let stretched = flow * stretch;
        let reaches = |j: usize| self.speeds[j] >= stretched * self.nu_on_line(i, t, j);
        if reaches(0) {
            return (
                flow * stretch * self.nu_on_line(i, t, 0),
                stretch * self.tau_on_line(i, t, 0),
            );
        }
        if !reaches(last) {
            return (
                flow * stretch * self.nu_on_line(i, t, last),
                stretch * self.tau_on_line(i, t, last),
            );
        }
        let (mut low, mut high) = (0, last);
        while high - low > 1 {
            let middle = (low + high) / 2;
            if reaches(middle) {
                high = middle
            } else {
                low = middle
            }
        }
        let width = self.speeds[high] - self.speeds[low];
        let (nu_a, nu_b) = (
            stretch * self.nu_on_line(i, t, low),
            stretch * self.nu_on_line(i, t, high),
        );
        let (slope_a, tau_slope_a) = self.speed_slopes(i, t, low);
        let (slope_b, tau_slope_b) = self.speed_slopes(i, t, high);
        let (slope_a, slope_b) = (stretch * slope_a, stretch * slope_b);
        // speed = flow × ν(speed): one root between the two lines, found by a guarded Newton.
        let excess = |s: f64| {
            let (nu, slope) = hermite(s, width, (nu_a, slope_a), (nu_b, slope_b));
            (
                self.speeds[low] + s * width - flow * nu,
                width * (1.0 - flow * slope),
            )
        };
        let (mut left, mut right) = (0.0, 1.0);
        let (at_left, at_right) = (
            self.speeds[low] - flow * nu_a,
            self.speeds[high] - flow * nu_b,
        );
        let mut s = (at_left / (at_left - at_right)).clamp(0.0, 1.0);
        for _ in 0..60 {
            let (value, slope) = excess(s);
            if value < 0.0 {
                left = s
            } else {
                right = s
            }
            let mut next = s - value / slope;
            if !(next >= left && next <= right) {
                next = 0.5 * (left + right);
            }
            let step = (next - s).abs();
            s = next;
            if step < 1e-14 {
                break;
            }
        }
        let tau_a = self.tau_on_line(i, t, low);
        let tau_b = self.tau_on_line(i, t, high);
        let tau = hermite(s, width, (tau_a, tau_slope_a), (tau_b, tau_slope_b)).0;
        (self.speeds[low] + s * width, stretch * tau)
    }

    /// [`CompressorMap::read`] in the terms that the map is drawn in: corrected flow `flow` in kg/s
    /// (above 0), total-to-total pressure ratio `pressure_ratio` (above 0).
    #[must_use]
    pub fn spot(&self, flow: f64, pressure_ratio: f64) -> Spot {
        let flow = flow.max(1e-9);
        let (reading, y) = self.read_at(flow, pressure_ratio);
        let ideal = self.ideal_work.at(y);
        let efficiency = ideal / reading.work;
        Spot {
            speed_rev_min: reading.speed,
            efficiency: (ideal > 0.0 && efficiency > 0.0 && efficiency < 1.0).then_some(efficiency),
            surge_room: 1.0 - reading.surge_flow / flow,
            choke_room: 1.0 - flow / reading.choke_flow,
            extrapolated: reading.extrapolated,
        }
    }

    fn surge_flow_at_head(&self, y: f64) -> f64 {
        let root = y.max(0.0).sqrt();
        root * self.surge.at(root) * (self.scale.flow * self.scale.surge)
    }

    /// Flow on the surge line at a pressure ratio, kg/s corrected; 0 at and below a ratio of 1.
    #[must_use]
    pub fn surge_flow(&self, pressure_ratio: f64) -> f64 {
        self.surge_flow_at_head(head(pressure_ratio))
    }

    /// Flow at which the line of `speed` (corrected, rev/min) chokes, kg/s corrected: where one
    /// per cent more flow costs [`CHOKE_SLOPE`] per cent of head.
    #[must_use]
    pub fn choke_flow(&self, speed: f64) -> f64 {
        speed / self.choke_nu.at(speed) * self.scale.flow
    }

    /// Pressure ratio at which a corrected flow in kg/s passes the wheel with it hardly turning:
    /// `share` (0 to 1) of the head lost at standstill.
    #[must_use]
    pub fn standing_ratio(&self, flow: f64, share: f64) -> f64 {
        let flow = flow / self.scale.flow;
        (1.0 - share * self.k_locked * flow * flow)
            .max(0.05)
            .powf(1.0 / HEAD_EXPONENT)
    }

    /// The place on the line of `speed` (corrected, rev/min, above 0) at the line coordinate κ,
    /// which rises from the wheel held still (flow without end) to no flow.
    #[must_use]
    pub fn place(&self, speed: f64, kappa: f64) -> LinePlace {
        let kappa = kappa.clamp(self.kappa.0, 1.0 - 1e-9);
        let k = self.k_scale * kappa / (1.0 - kappa.abs());
        let (nu, tau) = self.nu_and_tau(kappa, speed);
        // Left of the table's reach head no longer depends on flow: ν² rises as k.
        let stretch = if kappa > self.kappa.1 {
            let k_edge = self.k_scale * self.kappa.1 / (1.0 - self.kappa.1);
            (k / k_edge).sqrt()
        } else {
            1.0
        };
        // At standstill any flow passes; a ton each second is enough.
        let flow = speed / (stretch * nu).max(1e-3 * speed);
        // To the power 7/2, without a logarithm.
        let base = (1.0 + k * flow * flow).max(1e-9);
        LinePlace {
            kappa,
            flow: flow * self.scale.flow,
            pressure_ratio: base.powi(3) * base.sqrt(),
            work: self.work(speed, flow * stretch, tau),
        }
    }

    /// The place on the line of `speed` (corrected, rev/min, above 0) at a corrected flow in kg/s
    /// (above 0), to `enough` of it: there is one for every flow. `near` is a guess at its κ.
    #[must_use]
    pub fn place_at_flow(&self, speed: f64, flow: f64, near: f64, enough: f64) -> LinePlace {
        let excess = |place: &LinePlace| 1.0 - place.flow / flow;
        self.seek(speed, near, self.kappa_span(), enough, excess)
    }

    /// Least and greatest κ that a search along a line looks at.
    #[must_use]
    pub fn kappa_span(&self) -> (f64, f64) {
        (self.kappa.0, 1.0 - 1e-4)
    }

    /// The place on the line of `speed` where `excess`, which rises with κ within `span`, is at most
    /// `enough` either way; the span's end where it never is. `near` is a guess at its κ: the closer
    /// it is, the less work.
    pub fn seek(
        &self,
        speed: f64,
        near: f64,
        span: (f64, f64),
        enough: f64,
        excess: impl Fn(&LinePlace) -> f64,
    ) -> LinePlace {
        const CLOSE: f64 = 1e-6;
        const NARROW: f64 = 1e-3;
        let at = |kappa: f64| {
            let place = self.place(speed, kappa);
            (excess(&place), place)
        };
        let middle = at(near.clamp(span.0, span.1));
        if middle.0.abs() <= enough {
            return middle.1;
        }
        // By secants as long as each is worth it.
        let mut last = middle;
        let mut next = middle.1.kappa + if middle.0 > 0.0 { -CLOSE } else { CLOSE };
        for _ in 0..6 {
            if !(next >= span.0 && next <= span.1) {
                break;
            }
            let here = at(next);
            if here.0.abs() <= enough {
                return here.1;
            }
            if here.0.abs() >= last.0.abs() {
                break;
            }
            let slope = (here.0 - last.0) / (here.1.kappa - last.1.kappa);
            next = here.1.kappa - here.0 / slope;
            last = here;
        }
        // Outwards from the guess to the side where the root lies.
        let near = middle.1.kappa;
        let (mut low, mut high) = (middle, middle);
        let mut width = NARROW;
        loop {
            if middle.0 > 0.0 {
                high = low;
                low = at((near - width).max(span.0));
            } else {
                low = high;
                high = at((near + width).min(span.1));
            }
            if low.0 * high.0 <= 0.0 {
                break;
            }
            if low.1.kappa <= span.0 || high.1.kappa >= span.1 {
                return if middle.0 > 0.0 { low.1 } else { high.1 };
            }
            width *= 8.0;
        }
        let ends = ((low.1.kappa, low.0), (high.1.kappa, high.0));
        let found = bracketed_root(ends.0, ends.1, 1e-14, 100, |kappa| {
            let excess = at(kappa).0;
            if excess.abs() <= enough { 0.0 } else { excess }
        });
        self.place(speed, found.root)
    }

    /// A point of the line of `speed` (corrected, rev/min): `along` 0 is surge, 1 the end of the
    /// line at choke. Between, κ runs evenly.
    #[must_use]
    pub fn on_line(&self, speed: f64, along: f64) -> MapPoint {
        let surge = self.surge_kappa.at(speed);
        let end = self.end_kappa.at(speed).min(self.choke_kappa.at(speed));
        let kappa = surge + along * (end - surge);
        let k = self.k_scale * kappa / (1.0 - kappa.abs()).max(1e-9);
        let (nu, tau) = self.nu_and_tau(kappa, speed);
        let flow = speed / nu.max(1e-300);
        let y = k * flow * flow;
        let pressure_ratio = (1.0 + y).max(1e-6).powf(1.0 / HEAD_EXPONENT);
        let work = self.work(speed, flow, tau);
        let air = HumidAir::new(0.0).mixture;
        let ideal = air.isentropic_work(self.reference.temperature_k, pressure_ratio);
        MapPoint {
            flow_kg_s: flow * self.scale.flow,
            pressure_ratio,
            efficiency: ideal / work,
        }
    }

    fn nu_and_tau(&self, kappa: f64, speed: f64) -> (f64, f64) {
        let (i, t) = self.row(kappa);
        let last = self.speeds.len() - 1;
        if speed <= self.speeds[0] {
            return (self.nu_on_line(i, t, 0), self.tau_on_line(i, t, 0));
        }
        if speed >= self.speeds[last] {
            return (self.nu_on_line(i, t, last), self.tau_on_line(i, t, last));
        }
        let high = self.speeds.partition_point(|&n| n <= speed).clamp(1, last);
        let low = high - 1;
        let width = self.speeds[high] - self.speeds[low];
        let s = (speed - self.speeds[low]) / width;
        let (slope_a, tau_slope_a) = self.speed_slopes(i, t, low);
        let (slope_b, tau_slope_b) = self.speed_slopes(i, t, high);
        let nu = hermite(
            s,
            width,
            (self.nu_on_line(i, t, low), slope_a),
            (self.nu_on_line(i, t, high), slope_b),
        )
        .0;
        let tau = hermite(
            s,
            width,
            (self.tau_on_line(i, t, low), tau_slope_a),
            (self.tau_on_line(i, t, high), tau_slope_b),
        )
        .0;
        (nu, tau)
    }
}

impl Traced {
    /// Throttle coefficient at surge.
    fn surge_k(&self) -> f64 {
        self.surge.1 / (self.surge.0 * self.surge.0)
    }

    /// τ = ν λ at a speed-to-flow ratio ν; λ goes on straight in flow beyond the line's ends.
    fn tau(&self, nu: f64) -> f64 {
        let ((left, left_slope), (right, right_slope)) = self.lambda_ends;
        // λ = a + b φ with φ = 1/ν, so τ = a ν + b: no division, finite at standstill.
        if nu * left >= 1.0 {
            (self.lambda.at(left) - left_slope * left) * nu + left_slope
        } else if nu * right <= 1.0 {
            (self.lambda.at(right) - right_slope * right) * nu + right_slope
        } else {
            nu * self.lambda.at(1.0 / nu)
        }
    }
}

/// Lays one line out: ν over κ, from far left of surge to no head, and work over flow.
fn trace(
    line: &SpeedLine,
    air: &crate::gas::Mixture,
    t_ref: f64,
    tip_speed_squared: f64,
    shutoff_head: f64,
    kappa_of: &dyn Fn(f64) -> f64,
) -> Traced {
    let speed = line.speed_rev_min;
    let u2 = tip_speed_squared * speed * speed;
    let flow: Vec<f64> = line.points.iter().map(|p| p.flow_kg_s).collect();
    let y: Vec<f64> = line.points.iter().map(|p| head(p.pressure_ratio)).collect();
    let slope = monotone_slopes(&flow, &y);
    let last = flow.len() - 1;

    // (κ, ν), κ falling from left to right along the line.
    let mut points: Vec<(f64, f64)> = Vec::new();
    let surge_slope = slope[0].clamp(-0.5 * y[0] / flow[0], y[0] / flow[0]);
    for share in [
        0.04, 0.07, 0.12, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95,
    ] {
        let (height, _) = hermite(
            share,
            flow[0],
            (shutoff_head * y[0], 0.0),
            (y[0], surge_slope),
        );
        let w = share * flow[0];
        points.push((kappa_of(height / (w * w)), speed / w));
    }
    // The given points and three between each two, on the line's own smooth curve: ν over κ then
    // follows the line and not chords of it.
    for i in 0..=last {
        points.push((kappa_of(y[i] / (flow[i] * flow[i])), speed / flow[i]));
        if i < last {
            for share in [0.25, 0.5, 0.75] {
                let width = flow[i + 1] - flow[i];
                let (height, _) = hermite(share, width, (y[i], slope[i]), (y[i + 1], slope[i + 1]));
                let w = flow[i] + share * width;
                points.push((kappa_of(height / (w * w)), speed / w));
            }
        }
    }
    put_in_order(&mut points, |p| p.0);
    points.dedup_by(|b, a| b.0 - a.0 < 1e-12);
    let end = points[0];
    // Beyond the last point the line steepens to vertical where the head is gone.
    let next = points[1];
    let end_slope = ((next.1 - end.1) / (next.0 - end.0))
        .max(0.0)
        .min(2.0 * LONGEST_RUN_OUT * end.1 / end.0.max(1e-9));
    if end.0 > 1e-6 {
        for share in [0.0, 0.25, 0.5, 0.75] {
            let kappa = share * end.0;
            points.push((
                kappa,
                end.1 - end_slope * end.0 * (0.5 - share + 0.5 * share * share),
            ));
        }
        put_in_order(&mut points, |p| p.0);
    }
    let nu = curve_or_level(&points);

    let lambda_points: Vec<(f64, f64)> = line
        .points
        .iter()
        .map(|p| {
            (
                p.flow_kg_s / speed,
                air.isentropic_work(t_ref, p.pressure_ratio) / p.efficiency / u2,
            )
        })
        .collect();
    let lambda = curve_or_level(&lambda_points);
    // Straight on from the mean slope near the ends, never rising with flow.
    let mean = |a: usize, b: usize| {
        let (p, q) = (lambda_points[a], lambda_points[b]);
        ((q.1 - p.1) / (q.0 - p.0)).min(0.0)
    };
    let reach = 2.min(last);
    let lambda_ends = (
        (lambda_points[0].0, mean(0, reach)),
        (lambda_points[last].0, mean(last - reach, last)),
    );

    // Choke: the first place to the right where the head falls fast enough.
    let mut choke = (end.0, end.1);
    let mut steepness_before = f64::INFINITY;
    for pair in points.windows(2).rev() {
        let (left, right) = (pair[1], pair[0]);
        let (w0, w1) = (speed / left.1, speed / right.1);
        let height = |kappa: f64, w: f64| kappa / (1.0 - kappa).max(1e-12) * w * w;
        let (y0, y1) = (height(left.0, w0), height(right.0, w1));
        let steepness = -((y1.max(1e-12) / y0).ln()) / (w1 / w0).ln().max(1e-12);
        if steepness >= CHOKE_SLOPE && w1 > flow[0] && steepness_before.is_finite() {
            choke = left;
            break;
        }
        steepness_before = steepness;
        choke = right;
    }
    Traced {
        nu,
        lambda,
        lambda_ends,
        surge: (flow[0], y[0]),
        end_kappa: end.0,
        choke_kappa: choke.0,
        choke_nu: choke.1,
    }
}

/// A curve through points known to be sound; should they not be, their first height.
fn curve_or_level(points: &[(f64, f64)]) -> Curve {
    Curve::new(points).unwrap_or_else(|_| Curve::level(points.first().map_or(0.0, |p| p.1)))
}
