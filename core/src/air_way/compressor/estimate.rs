//! A compressor map estimated from wheel sizes alone.
//!
//! Work from Euler's equation with Wiesner's slip and a disc friction term; efficiency along a line
//! in the manner of Casey & Robinson (J. Turbomach. 135, 021034, 2013; shape constants from
//! memory); choke as the smaller of what the inducer's throat and the diffuser and volute pass;
//! surge as a share of choke. Sizes, shares and peak efficiencies are an experienced judgement
//! with no source. An estimate: expect ±6 % in flow, ±0.025 in efficiency.
//!
//! What else is known of a wheel is put in where it is given. The outlet's width sets the flow
//! coefficient at the outlet, hence the work, the gas that the diffuser's throat has to pass, and the
//! flow at which the diffuser stalls.

use super::map::{MapData, MapPoint, MapReference, SpeedLine};
use super::uncertainty::SIZES_FLOW;
use crate::gas::HumidAir;
use crate::numeric::Curve;
use serde::{Deserialize, Serialize};

/// A compressor wheel, as far as its sizes tell.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WheelSizes {
    /// Inducer tip diameter, m.
    pub inducer_m: f64,
    /// Exducer (outlet) diameter, m.
    pub exducer_m: f64,
    /// Hub diameter at the inducer over inducer tip diameter.
    pub hub_ratio: f64,
    /// Full blades and splitters together.
    pub blades: f64,
    /// Backsweep at the outlet, degrees from radial.
    pub backsweep_deg: f64,
    /// Throat area over annulus area of the inducer.
    pub throat_share: f64,
    /// Best total-to-total efficiency; `None` for what the size suggests.
    pub peak_efficiency: Option<f64>,
    /// Tip-speed Mach number that the stage was designed for, at which inducer and diffuser choke
    /// together; `None` for 1.25, a pressure ratio of about 2.6.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub design_mach: Option<f64>,
    /// Width of the blades at the outlet, m; `None` for what an outlet flow coefficient of 0.28 at
    /// best efficiency gives.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outlet_width_m: Option<f64>,
    /// Largest flow that its maker states, kg/s corrected: what [`rated_flow`] finds on a map. The
    /// estimate is scaled to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub claimed_flow_kg_s: Option<f64>,
}

/// A stated largest flow beside that which the wheel's sizes give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowClaim {
    /// As stated, kg/s corrected.
    pub claimed_kg_s: f64,
    /// From sizes, kg/s corrected.
    pub from_sizes_kg_s: f64,
    /// The first over the second.
    pub ratio: f64,
    /// How far apart they may be, as a share, for the estimate to bear the claim out.
    pub expected: f64,
}

impl FlowClaim {
    /// Whether the two agree within what the estimate is unsure of; else one of them is likely wrong,
    /// or the wheel is unlike others of its size.
    #[must_use]
    pub fn agrees(&self) -> bool {
        (1.0 - self.expected..=1.0 + self.expected).contains(&self.ratio)
    }

    /// The claims that are believed, kg/s corrected: least and greatest.
    #[must_use]
    pub fn believed(&self) -> (f64, f64) {
        let (least, most) = BELIEVED_CLAIMS;
        (least * self.from_sizes_kg_s, most * self.from_sizes_kg_s)
    }

    /// Whether the claim is one that a wheel of these sizes can have at all.
    #[must_use]
    pub fn is_believed(&self) -> bool {
        (BELIEVED_CLAIMS.0..=BELIEVED_CLAIMS.1).contains(&self.ratio)
    }
}

/// A map estimated from wheel sizes, and how a claimed flow compares.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The map; scaled to the claim if that is believed.
    pub map: MapData,
    /// The comparison, where there is a claim.
    pub claim: Option<FlowClaim>,
}

/// Claims over the flow from sizes that are believed: beyond, a unit is mistaken or a wheel's
/// diameter. Throat 0.56 to 0.63 of the annulus, hub 0.25 to 0.4 of the inducer and another design
/// point explain a quarter, not two fifths. Judgement.
const BELIEVED_CLAIMS: (f64, f64) = (0.6, 1.6);
/// Efficiency at which the right-hand edge of a published map is drawn. Common practice, no source:
/// 0.60 to 0.65.
const EDGE_EFFICIENCY: f64 = 0.60;
/// How far below a map's best efficiency its edge is where the best is too low for that. Judgement.
const EDGE_BELOW_BEST: f64 = 0.10;

/// The largest flow that a map's wheel is said to have, kg/s corrected: the trade's single figure,
/// such as "55 lb/min".
///
/// It is the right-hand edge of the map as published: the largest flow of any line at which
/// efficiency is still 60 % (common practice, no source), or a tenth below the best where that is
/// less than 70 %. On an estimated map it is 2 to 3 % below the choke flow of the fastest line. 0 for
/// a map without points.
#[must_use]
pub fn rated_flow(map: &MapData) -> f64 {
    let points = || map.lines.iter().flat_map(|line| &line.points);
    let best = points().map(|p| p.efficiency).fold(0.0, f64::max);
    let edge = EDGE_EFFICIENCY.min(best - EDGE_BELOW_BEST);
    let of_line = |line: &SpeedLine| {
        let at = line.points.iter().rposition(|p| p.efficiency >= edge)?;
        let inside = line.points.get(at)?;
        Some(match line.points.get(at + 1) {
            Some(outside) => {
                let share = (inside.efficiency - edge) / (inside.efficiency - outside.efficiency);
                inside.flow_kg_s + share * (outside.flow_kg_s - inside.flow_kg_s)
            }
            None => inside.flow_kg_s,
        })
    };
    map.lines.iter().filter_map(of_line).fold(0.0, f64::max)
}

/// Best efficiency over exducer diameter in mm. Judgement, ±0.025.
const PEAK_BY_SIZE: [(f64, f64); 6] = [
    (38.0, 0.72),
    (50.0, 0.745),
    (60.0, 0.77),
    (72.0, 0.785),
    (80.0, 0.785),
    (88.0, 0.79),
];
/// Beyond the largest wheel of [`PEAK_BY_SIZE`], 1 − efficiency falls as Reynolds number to this
/// power: ASME PTC 10-1965 for centrifugal compressors, from memory. Reynolds number goes with size
/// at equal tip speed.
const REYNOLDS_EXPONENT: f64 = 0.1;
/// Change of best efficiency with tip-speed Mach number. Judgement.
const PEAK_BY_MACH: [(f64, f64); 6] = [
    (0.6, -0.025),
    (0.95, 0.0),
    (1.15, 0.0),
    (1.35, -0.02),
    (1.5, -0.04),
    (1.7, -0.08),
];
/// Flow at surge over flow at choke with a vaneless diffuser. Judgement, middle of each range; the
/// first carries their trend on.
const SURGE_BY_MACH: [(f64, f64); 5] = [
    (0.3, 0.23),
    (0.6, 0.30),
    (0.9, 0.37),
    (1.2, 0.45),
    (1.5, 0.55),
];
/// Flow at best efficiency over flow at choke. In the manner of Casey & Robinson: wide at low
/// Mach number, narrow at high.
const PEAK_FLOW_BY_MACH: [(f64, f64); 5] = [
    (0.3, 0.58),
    (0.6, 0.60),
    (0.9, 0.65),
    (1.2, 0.73),
    (1.5, 0.81),
];
/// Tip-speed Mach number that inducer and diffuser are matched at, unless given: below it the
/// diffuser and volute are the narrower. A stage is matched at its design point: a research stage
/// designed for a Mach number of 1.45 (NASA HECC) shows its effective throat shrink below that.
/// Wheels for cars are laid out for a pressure ratio of about 2.6: judgement.
const DESIGN_MACH: f64 = 1.25;
/// Tip-speed Mach number at which the outlet's width is set: near the largest speed, where the
/// outlet is widest in flow.
const OUTLET_MACH: f64 = 1.45;
/// Work coefficient and efficiency up to the diffuser's throat as it chokes. Judgement.
const CHOKING_WORK: f64 = 0.5;
const CHOKING_EFFICIENCY: f64 = 0.75;
/// Meridional outlet velocity over tip speed at best efficiency and [`OUTLET_MACH`]:
/// sets the outlet's width. Judgement, within the usual 0.25 to 0.30.
const OUTLET_FLOW_COEFFICIENT: f64 = 0.28;
/// Share of a known outlet's area that blades and boundary layers take. Judgement, within the usual
/// 0.05 to 0.15.
const OUTLET_BLOCKAGE: f64 = 0.1;
/// Narrowest and widest outlet, over the exducer's diameter, and least and largest share of choke
/// flow at surge: beyond them nothing of this holds.
const OUTLET_WIDTHS: (f64, f64) = (0.03, 0.15);
const SURGE_SHARES: (f64, f64) = (0.1, 0.92);
/// Disc friction and recirculation as a work coefficient at best efficiency, falling with flow.
/// Judgement, within the usual 0.01 to 0.04.
const PARASITIC_WORK: f64 = 0.02;
/// Efficiency of the impeller itself against its outlet's static state. Judgement.
const IMPELLER_EFFICIENCY: f64 = 0.88;
/// Speed lines, as shares of the largest tip speed.
const LINES: [f64; 10] = [0.28, 0.38, 0.48, 0.57, 0.65, 0.73, 0.81, 0.88, 0.94, 1.0];
/// Points on a line, as shares of the way from surge to choke.
const SHARES: [f64; 14] = [
    0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.78, 0.85, 0.91, 0.955, 0.985, 1.0,
];

/// Shape of an efficiency line: exponents below and above the best point, and how far it falls at
/// choke, blended over tip-speed Mach number (Casey & Robinson 2013, constants from memory).
struct Shape {
    below: f64,
    above: f64,
    fall: f64,
}

impl Shape {
    fn at(mach: f64) -> Self {
        let blend = 1.0 / (1.0 + (-(mach - 1.1) / 0.14).exp());
        let mix = |low: f64, high: f64| low + blend * (high - low);
        Self {
            below: mix(2.1, 1.7),
            above: mix(2.0, 3.5),
            fall: mix(2.0, 0.35),
        }
    }

    /// Efficiency over the best of the line, at flow over choke flow `x`, best at `peak`.
    fn efficiency(&self, x: f64, peak: f64) -> f64 {
        if x < peak {
            (1.0 - (1.0 - x / peak).powf(self.below)).powf(1.0 / self.below)
        } else {
            let over = ((x - peak) / (1.0 - peak)).min(1.0);
            (1.0 - self.fall) + self.fall * (1.0 - over.powf(self.above)).powf(1.0 / self.above)
        }
    }
}

/// Best efficiency of a wheel with an exducer of `mm`.
fn best_by_size(mm: f64) -> f64 {
    let (largest, best) = PEAK_BY_SIZE[PEAK_BY_SIZE.len() - 1];
    if mm > largest {
        1.0 - (1.0 - best) * (largest / mm).powf(REYNOLDS_EXPONENT)
    } else {
        table(&PEAK_BY_SIZE).at(mm)
    }
}

fn table(points: &[(f64, f64)]) -> Curve {
    Curve::new(points).unwrap_or_else(|_| Curve::level(points[0].1))
}

/// Wiesner's slip factor (J. Eng. Power 89, 558, 1967): 1 − √cos β / Z^0.7 with β from radial, less
/// where the blades are short.
///
/// `blades` above 1, `backsweep_deg` 0 to 80, `radius_ratio` mean inducer over exducer radius.
#[must_use]
pub fn wiesner_slip(blades: f64, backsweep_deg: f64, radius_ratio: f64) -> f64 {
    let cosine = backsweep_deg.to_radians().cos();
    let slip = 1.0 - cosine.sqrt() / blades.powf(0.7);
    let limit = (-8.16 * cosine / blades).exp();
    if radius_ratio > limit {
        slip * (1.0 - ((radius_ratio - limit) / (1.0 - limit)).powi(3))
    } else {
        slip
    }
}

/// Estimates a map from wheel sizes.
///
/// `reference` is the state that the map's flows and speeds refer to; `largest_tip_speed` in m/s
/// (about 545 for a modern aluminium wheel) sets the fastest line. Exducers must lie between 20
/// and 450 mm with the inducer the smaller; outside, they are held there.
///
/// A claimed flow scales the flows of all lines, if it is believed ([`FlowClaim::is_believed`]);
/// [`estimate_with_claim`] tells how it compares.
#[must_use]
pub fn estimate(sizes: &WheelSizes, reference: MapReference, largest_tip_speed: f64) -> MapData {
    estimate_with_claim(sizes, reference, largest_tip_speed).map
}

/// As [`estimate`], and how the claimed flow compares with that from sizes.
#[must_use]
pub fn estimate_with_claim(
    sizes: &WheelSizes,
    reference: MapReference,
    largest_tip_speed: f64,
) -> Estimate {
    let mut map = from_sizes(sizes, reference, largest_tip_speed);
    let claim = sizes.claimed_flow_kg_s.map(|claimed_kg_s| {
        let from_sizes_kg_s = rated_flow(&map);
        FlowClaim {
            claimed_kg_s,
            from_sizes_kg_s,
            ratio: claimed_kg_s / from_sizes_kg_s,
            expected: SIZES_FLOW.half_width,
        }
    });
    if let Some(claim) = claim.filter(FlowClaim::is_believed) {
        // All flows alike: speeds, pressure ratios and efficiencies stay where they were along a line.
        for point in map.lines.iter_mut().flat_map(|line| &mut line.points) {
            point.flow_kg_s *= claim.ratio;
        }
    }
    Estimate { map, claim }
}

fn from_sizes(sizes: &WheelSizes, reference: MapReference, largest_tip_speed: f64) -> MapData {
    let exducer = sizes.exducer_m.clamp(0.02, 0.45);
    let inducer = sizes.inducer_m.clamp(0.4 * exducer, 0.95 * exducer);
    let hub = sizes.hub_ratio.clamp(0.1, 0.7);
    let air = HumidAir::new(0.0).mixture;
    let t0 = reference.temperature_k;
    let (gamma, r, cp) = (air.gamma(t0), air.gas_constant(), air.heat_capacity(t0));
    let sound = (gamma * r * t0).sqrt();
    let density = reference.pressure_pa / (r * t0);
    let expo = gamma / (gamma - 1.0);

    let annulus = std::f64::consts::FRAC_PI_4 * inducer * inducer * (1.0 - hub * hub);
    let throat = annulus * sizes.throat_share;
    let mean_inducer = inducer * ((1.0 + hub * hub) / 2.0).sqrt();
    let tip = |mach: f64| mach * sound;

    // Choke of the rotating inducer (Dixon & Hall, eq. 7.47: relative stagnation conditions).
    let inducer_choke = |mach: f64| {
        let u1 = mach * mean_inducer / exducer;
        let base = (2.0 + (gamma - 1.0) * u1 * u1) / (gamma + 1.0);
        throat * density * sound * base.powf((gamma + 1.0) / (2.0 * (gamma - 1.0)))
    };
    // Choke of a fixed throat behind the impeller: m ∝ p02/√T02.
    let behind = |mach: f64, work: f64| {
        let rise = (gamma - 1.0) * work * mach * mach;
        (1.0 + CHOKING_EFFICIENCY * rise).powf(expo) / (1.0 + rise).sqrt()
    };
    let matched = sizes.design_mach.unwrap_or(DESIGN_MACH).clamp(0.6, 2.0);
    // The smaller of the two, rounded where they meet.
    let smaller = |a: f64, b: f64| (a.powi(-32) + b.powi(-32)).powf(-1.0 / 32.0);
    let usual_choke = |mach: f64| {
        let behind = |mach| behind(mach, CHOKING_WORK);
        let diffuser = inducer_choke(matched) * behind(mach) / behind(matched);
        smaller(inducer_choke(mach), diffuser)
    };

    let peak_by_mach = table(&PEAK_BY_MACH);
    let surge_by_mach = table(&SURGE_BY_MACH);
    let peak_flow_by_mach = table(&PEAK_FLOW_BY_MACH);
    let best = sizes
        .peak_efficiency
        .unwrap_or_else(|| best_by_size(exducer * 1e3));

    let slip = wiesner_slip(sizes.blades, sizes.backsweep_deg, mean_inducer / exducer);
    let lean = sizes.backsweep_deg.to_radians().tan();
    // Density at the impeller's outlet over that at its inlet, for a work coefficient and an
    // outlet flow coefficient.
    let outlet_density = |mach: f64, work: f64, phi2: f64| {
        let rise = (gamma - 1.0) * mach * mach * (work - 0.5 * (work * work + phi2 * phi2));
        (1.0 + IMPELLER_EFFICIENCY * rise).max(0.1).powf(expo) / (1.0 + rise).max(0.1)
    };
    // The outlet's flow area, from the outlet flow coefficient at the design point.
    let design_flow = peak_flow_by_mach.at(OUTLET_MACH) * usual_choke(OUTLET_MACH);
    let design_work = slip - OUTLET_FLOW_COEFFICIENT * lean;
    let usual_area = design_flow
        / (density
            * outlet_density(OUTLET_MACH, design_work, OUTLET_FLOW_COEFFICIENT)
            * OUTLET_FLOW_COEFFICIENT
            * tip(OUTLET_MACH));
    let known_area = sizes.outlet_width_m.map(|width| {
        let (narrowest, widest) = OUTLET_WIDTHS;
        let width = width.clamp(narrowest * exducer, widest * exducer);
        std::f64::consts::PI * exducer * width * (1.0 - OUTLET_BLOCKAGE)
    });
    let outlet_area = known_area.unwrap_or(usual_area);
    // Euler work at a flow: outlet density and outlet velocity depend on each other.
    let euler_work = |mach: f64, flow: f64| {
        let mut phi2 = OUTLET_FLOW_COEFFICIENT;
        for _ in 0..60 {
            let work = slip - phi2 * lean;
            let next =
                flow / (density * outlet_density(mach, work, phi2) * outlet_area * tip(mach));
            phi2 = 0.5 * (phi2 + next.min(0.8));
        }
        slip - phi2 * lean
    };
    let work_at = |mach: f64, flow: f64, flow_at_best: f64| {
        euler_work(mach, flow) + PARASITIC_WORK * flow_at_best / flow
    };
    // With the outlet known, so is the work done on the gas that the throat behind has to pass.
    let own_choke = |mach: f64| {
        let behind = |mach: f64, flow: f64| behind(mach, euler_work(mach, flow));
        let inducer = inducer_choke(matched);
        let unit = inducer / behind(matched, inducer);
        let mut flow = inducer_choke(mach);
        for _ in 0..20 {
            flow = 0.5 * (flow + unit * behind(mach, flow));
        }
        smaller(inducer_choke(mach), flow)
    };
    let choke = |mach: f64| match known_area {
        Some(_) => own_choke(mach),
        None => usual_choke(mach),
    };
    // A vaneless diffuser stalls where the flow leaves the wheel at a certain angle (Senoo &
    // Kinoshita, J. Fluids Eng. 99, 104, 1977; from memory), that is at a certain outlet flow coefficient: another
    // outlet surges at a flow as much larger as its area.
    let shares = |mach: f64, choke_flow: f64| {
        let (surge, peak) = (surge_by_mach.at(mach), peak_flow_by_mach.at(mach));
        match known_area {
            Some(area) => {
                let flow = surge * usual_choke(mach) * area / usual_area;
                let own = (flow / choke_flow).clamp(SURGE_SHARES.0, SURGE_SHARES.1);
                (own, own + (peak - surge) / (1.0 - surge) * (1.0 - own))
            }
            None => (surge, peak),
        }
    };

    let lines = LINES
        .iter()
        .map(|share| {
            let u2 = share * largest_tip_speed;
            let mach = u2 / sound;
            let choke_flow = choke(mach);
            let (surge_share, peak_share) = shares(mach, choke_flow);
            let peak = best + peak_by_mach.at(mach);
            let shape = Shape::at(mach);
            let mut points = Vec::with_capacity(SHARES.len());
            for along in SHARES {
                let x = surge_share + along * (1.0 - surge_share);
                let flow = x * choke_flow;
                let efficiency = peak * shape.efficiency(x, peak_share);
                let work = work_at(mach, flow, peak_share * choke_flow);
                let ideal = efficiency * work * u2 * u2 / (cp * t0);
                // A line is kept while it still compresses; what follows is the vertical at choke
                // or the run-out to no head, which any map leaves out.
                if efficiency < 0.12 || ideal <= 0.004 {
                    break;
                }
                // Pressure ratio by the real gas: find where the isentropic work is the ideal one.
                let target = efficiency * work * u2 * u2;
                let t2 =
                    air.temperature_from_enthalpy(air.enthalpy(t0) + target, t0 * (1.0 + ideal));
                let pressure_ratio = ((air.entropy(t2) - air.entropy(t0)) / r).exp();
                points.push(MapPoint {
                    flow_kg_s: flow,
                    pressure_ratio,
                    efficiency,
                });
            }
            SpeedLine {
                speed_rev_min: u2 / (std::f64::consts::PI * exducer) * 60.0,
                points,
            }
        })
        .collect();
    MapData {
        reference,
        estimated: true,
        lines,
    }
}
