//! One displacement at one boost: how far each limit is.

use super::{InHand, Survey};
use crate::air_way::compressor::CompressorMap;
use crate::balance::{Plant, ShaftState, room};
use crate::build::Build;
use crate::fields::Field;
use crate::quantity::AbsolutePressure;
use crate::run::limits::{room as share_left, warm_room};
use crate::run::speed::power_at_crank;
use crate::run::{Held, LimitKind, Run, THRESHOLD_SHARE};
use serde::{Deserialize, Serialize};

/// Slack beyond which it does not matter how much: keeps what is written finite.
const MOST_SLACK: f64 = 10.0;

/// Share of the map's largest flow that the engine takes where a search begins: the middle of what
/// such matches run at, a judgement. Decides how long a search takes, not where it ends.
const BEGIN_SHARE: f64 = 0.6;

/// Manifold pressure over that outside for which that is reckoned.
const BEGIN_RATIO: f64 = 2.0;

/// What bounds a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bound {
    /// Boost is not there at the beginning of the working range.
    LateBoost,
    /// The turbine does not drive the boost later in the working range.
    BoostFalls,
    /// Compressor surge.
    Surge,
    /// Compressor choke; also boost that falls short with the compressor past choke.
    Choke,
    /// Largest shaft speed.
    ShaftSpeed,
    /// Gate too small.
    Gate,
    /// Turbine inlet temperature.
    TurbineInlet,
    /// Compressor outlet temperature.
    CompressorOutlet,
    /// Pressure before the turbine over manifold pressure.
    BackPressure,
    /// An engine speed did not settle, so that it is not known.
    Unsettled,
    /// The end of what was searched: no limit.
    Search,
}

/// Every limit, in the order of [`Look::slack`].
pub const BOUNDS: [Bound; 9] = [
    Bound::LateBoost,
    Bound::BoostFalls,
    Bound::Surge,
    Bound::Choke,
    Bound::ShaftSpeed,
    Bound::Gate,
    Bound::TurbineInlet,
    Bound::CompressorOutlet,
    Bound::BackPressure,
];

impl Bound {
    /// What the page calls it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Bound::LateBoost => "Boost too late",
            Bound::BoostFalls => "Boost falls off",
            Bound::Unsettled => "No answer",
            Bound::Search => "End of the search",
            Bound::Surge => LimitKind::Surge.label(),
            Bound::Choke => LimitKind::Choke.label(),
            Bound::ShaftSpeed => LimitKind::ShaftSpeed.label(),
            Bound::Gate => LimitKind::Gate.label(),
            Bound::TurbineInlet => LimitKind::TurbineInlet.label(),
            Bound::CompressorOutlet => LimitKind::CompressorOutlet.label(),
            Bound::BackPressure => LimitKind::BackPressure.label(),
        }
    }

    /// Whether a larger engine gets away from it; from the others a smaller one does.
    pub(super) const fn wants_larger(self) -> bool {
        matches!(self, Bound::LateBoost | Bound::Surge)
    }
}

/// How far each limit is at one displacement and boost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Displacement, m³.
    pub displacement_m3: f64,
    /// Boost asked, Pa gauge.
    pub boost_pa: f64,
    /// Room beyond what is to be kept in hand before each of [`BOUNDS`], at the engine speed where it is
    /// least, as a share of the limit (for boost: of the boost that must be there); below 0 too near.
    /// Goes on smoothly past a limit. Held to ±10.
    pub slack: [f64; BOUNDS.len()],
    /// Most power at the wheels in the working range, W.
    pub wheel_power_w: f64,
    /// Every engine speed settled.
    pub settled: bool,
}

impl Look {
    /// The limit with the least slack, and that slack.
    #[must_use]
    pub fn tightest(&self) -> (Bound, f64) {
        if !self.settled {
            return (Bound::Unsettled, -1.0);
        }
        let mut least = (Bound::LateBoost, f64::INFINITY);
        for (bound, slack) in BOUNDS.iter().zip(self.slack) {
            if slack < least.1 {
                least = (*bound, slack);
            }
        }
        least
    }

    /// Whether nothing is too near.
    #[must_use]
    pub fn suits(&self) -> bool {
        self.tightest().1 >= 0.0
    }

    fn note(&mut self, bound: Bound, slack: f64) {
        let slack = if slack.is_nan() { -MOST_SLACK } else { slack };
        if let Some(place) = self.slack.get_mut(bound as usize) {
            *place = place.min(slack.clamp(-MOST_SLACK, MOST_SLACK));
        }
    }
}

/// Displacement, m³, at which the engine takes [`BEGIN_SHARE`] of the map's flow at its redline.
pub(super) fn begin(build: &Build, map: &CompressorMap, redline: f64) -> f64 {
    let plant = Plant::with_map(build, map.clone());
    let point = plant.at_speed(build, redline);
    let pm = AbsolutePressure::new(BEGIN_RATIO * plant.outside.pressure.pa());
    let air = plant.plain_air_flow(&point, pm, plant.outside.temperature);
    let lines = &build.turbocharger().compressor.map.lines;
    let flows = lines.iter().flat_map(|l| &l.points).map(|p| p.flow_kg_s);
    let most = flows.fold(0.0, f64::max) * plant.count;
    let found = plant.displacement * BEGIN_SHARE * most / air;
    if found.is_finite() {
        found
    } else {
        plant.displacement
    }
}

impl Survey {
    /// How far each limit is at a displacement, m³ (held to [`Survey::range`]), and a boost, Pa gauge.
    #[must_use]
    pub fn look(&self, displacement: f64, boost: f64) -> Look {
        let displacement = displacement.max(self.range.0).min(self.range.1);
        let build = self.engine(displacement, boost);
        let mut run = Run::new(&build, Plant::with_map(&build, self.map.clone()));
        let mut look = Look {
            displacement_m3: displacement,
            boost_pa: boost,
            slack: [MOST_SLACK; BOUNDS.len()],
            wheel_power_w: 0.0,
            settled: true,
        };
        let mut powers = Vec::with_capacity(self.speeds.len());
        for (place, speed) in self.speeds.iter().enumerate() {
            match run.uncapped(*speed) {
                Ok(state) => {
                    note(
                        &mut look,
                        &build,
                        run.plant(),
                        &self.in_hand,
                        (place, &state),
                    );
                    powers.push(power_at_crank(run.plant(), *speed, &state));
                }
                Err(_) => look.settled = false,
            }
        }
        look.wheel_power_w = peak(&powers) * build.get(Field::DrivelineEfficiency);
        look
    }
}

/// The most of values at even steps: of the parabola through the highest and its neighbours, as a peak
/// seldom lies on a step.
fn peak(values: &[f64]) -> f64 {
    let mut most = values.iter().copied().fold(0.0, f64::max);
    for three in values.windows(3) {
        let [a, b, c] = *three else { continue };
        let bend = 2.0 * b - a - c;
        if b >= a && b >= c && bend > 0.0 {
            most = most.max(b + (c - a).powi(2) / (8.0 * bend));
        }
    }
    most
}

/// Notes what the state at one of the speeds, by its place among them, leaves before each limit.
fn note(
    look: &mut Look,
    build: &Build,
    plant: &Plant,
    keep: &InHand,
    (place, state): (usize, &ShaftState),
) {
    let engine = &state.engine;
    let boost = state.pm.gauge(plant.outside.pressure).pa();
    let there = -share_left(boost, THRESHOLD_SHARE * look.boost_pa.max(1.0));
    let at_work = engine.pressure_ratio > plant.surge_from_ratio;
    let choke = if at_work {
        room(plant, state, Held::Choke)
    } else {
        f64::INFINITY
    };
    // As in a match: boost that falls short past choke, choke is the cause of.
    let cause = match (choke < 0.0, place) {
        (true, _) => Bound::Choke,
        (false, 0) => Bound::LateBoost,
        (false, _) => Bound::BoostFalls,
    };
    look.note(cause, there);
    look.note(Bound::Choke, choke - keep.choke);
    look.note(Bound::Surge, room(plant, state, Held::Surge) - keep.surge);
    look.note(
        Bound::ShaftSpeed,
        room(plant, state, Held::ShaftSpeed) - keep.shaft_speed,
    );
    let open = share_left(plant.gate_area_needed(state), plant.gate_area);
    look.note(Bound::Gate, open - keep.gate);
    let hottest = build
        .optional(Field::TurbineInletLimit)
        .unwrap_or(build.turbocharger().turbine.inlet_limit_k);
    look.note(
        Bound::TurbineInlet,
        warm_room(engine.turbine_temperature.kelvin(), hottest) - keep.turbine_inlet,
    );
    let hottest = build.get(Field::CompressorOutletLimit);
    look.note(
        Bound::CompressorOutlet,
        warm_room(engine.outlet.temperature.kelvin(), hottest) - keep.compressor_outlet,
    );
    let ratio = state.p3.pa() / state.pm.pa();
    look.note(
        Bound::BackPressure,
        share_left(ratio, build.get(Field::BackPressureLimit)) - keep.back_pressure,
    );
}
