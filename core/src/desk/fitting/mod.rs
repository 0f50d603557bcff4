//! What carries over and what must change when a turbocharger is fitted in place of another.
//!
//! The swap sheet goes from a build that is there to another on the same engine. It reads what is
//! entered, the two records and the two matches. What is not known it says so; nothing is guessed.
//! A part that is beyond what is customary already is not told to change by a swap that makes it no
//! worse: the sheet tells what the swap asks for.

mod air;
mod item;
mod joints;
mod lines;
mod oil;
mod stream;

pub use item::{Action, Because, Item, ItemKind, Value, Verdict};
pub use oil::{
    AtBearing, BALL_BEARING_FEED, BALL_BEARING_RESTRICTOR, BoreRange, OIL_PRACTICE, Oil,
    bearing_flow, bearing_pressure, restrictor_area, restrictor_factor,
};
pub use stream::{
    CHARGE_CEILING, Carries, Ceiling, EXHAUST_CEILING, INTAKE_CEILING, Stream, bore_area,
    bore_of_area, dynamic_head, flow_number, flow_number_of_static, flow_number_of_total,
    mach_from_static, static_pressure, static_temperature, velocity,
};

use crate::build::{Arrangement, Build, GateKind, Turbocharger};
use crate::fields::Field;
use crate::run::{LimitKind, Match, SpeedReport};
use stream::Gases;

/// Figures of the match, before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Most power at the crank, W.
    pub power_w: f64,
    /// Most torque, N m.
    pub torque_nm: f64,
    /// Most air, kg/s.
    pub flow_kg_s: f64,
    /// Lowest engine speed at which the turbine can drive 90 % of the boost asked, rev/min.
    pub drive_threshold_rev_min: Option<f64>,
    /// Lowest engine speed with 90 % of the boost asked within all limits, rev/min.
    pub usable_threshold_rev_min: Option<f64>,
    /// The limit with the least room, and that room as a share of it.
    pub least_room: Option<(LimitKind, f64)>,
}

impl Figures {
    fn of(found: &Match) -> Self {
        let most = |value: fn(&SpeedReport) -> f64| most(found, value).unwrap_or(0.0);
        Self {
            power_w: most(|s| s.power_w),
            torque_nm: most(|s| s.torque_nm),
            flow_kg_s: most(|s| s.compressor_inlet.flow_kg_s),
            drive_threshold_rev_min: found.drive_threshold_rev_min,
            usable_threshold_rev_min: found.usable_threshold_rev_min,
            least_room: found.limits.first().map(|l| (l.kind, l.room)),
        }
    }
}

/// The most of something over engine speed; `None` where nothing settled.
fn most(found: &Match, value: fn(&SpeedReport) -> f64) -> Option<f64> {
    found.speeds.iter().map(value).reduce(f64::max)
}

/// A build, its match, and what is often asked of them.
struct Side<'a> {
    build: &'a Build,
    found: &'a Match,
    gases: Gases,
    count: u8,
}

impl<'a> Side<'a> {
    fn new((build, found): (&'a Build, &'a Match)) -> Self {
        Self {
            build,
            found,
            gases: Gases::of(build),
            count: match build.arrangement() {
                Arrangement::Single => 1,
                Arrangement::Pair => 2,
            },
        }
    }

    fn turbocharger(&self) -> &'a Turbocharger {
        self.build.turbocharger()
    }

    /// Whether boost creeps with the gate wide open.
    fn creeps(&self) -> bool {
        let mut gates = self.found.limits.iter();
        gates.any(|l| l.kind == LimitKind::Gate && l.holds_boost.is_some())
    }

    /// Boost asked, Pa gauge, least and most, before the gate's spring has its say.
    fn boost_asked(&self) -> (f64, f64) {
        if let Some(boost) = self.found.boost_for_power_pa {
            return (boost, boost);
        }
        match self.build.boost_curve() {
            Some(curve) => {
                let speeds = self.found.speeds.iter();
                let asked = speeds.map(|s| {
                    curve
                        .curve
                        .at(s.engine_speed_rev_min * std::f64::consts::TAU / 60.0)
                });
                asked.fold((f64::INFINITY, 0.0), |(least, most), boost| {
                    (boost.min(least), boost.max(most))
                })
            }
            None => {
                let boost = self.build.get(Field::BoostTarget);
                (boost, boost)
            }
        }
    }

    /// The gate in use: where it sits and the diameter of its seat, m.
    fn gate(&self) -> (GateKind, f64) {
        let gate = self.turbocharger().gate;
        let entered = self.build.optional(Field::GateDiameter);
        (gate.kind, entered.unwrap_or(gate.diameter_m))
    }
}

/// The swap sheet: what carries over from one build to another on the same engine, what must change
/// and to what.
#[derive(Debug, Clone, PartialEq)]
pub struct SwapSheet {
    /// Its rows, in the order the air meets them.
    pub items: Vec<Item>,
    /// Figures of the match before and after.
    pub figures: (Figures, Figures),
    /// The model of oil before and after; `None` where the oil pressure is not known. It decides
    /// nothing: practice stands in the items.
    pub oil: (Option<Oil>, Option<Oil>),
}

impl SwapSheet {
    /// The sheet from one build and its match to another on the same engine. What is entered of the
    /// vehicle counts as it stands on each side.
    #[must_use]
    pub fn new(from: (&Build, &Match), to: (&Build, &Match)) -> Self {
        let (a, b) = (Side::new(from), Side::new(to));
        let mut items = vec![joints::turbochargers(&a, &b)];
        items.extend(air::items(&a, &b));
        items.extend(joints::exhaust(&a, &b));
        items.extend(lines::lines(&a, &b));
        items.extend(lines::room(&a, &b));
        Self {
            items: items.into_iter().map(counted).collect(),
            figures: (Figures::of(a.found), Figures::of(b.found)),
            oil: (Oil::of(a.build), Oil::of(b.build)),
        }
    }

    /// The row of a kind.
    #[must_use]
    pub fn item(&self, kind: ItemKind) -> Option<&Item> {
        self.items.iter().find(|item| item.kind == kind)
    }

    /// How many rows have a verdict.
    #[must_use]
    pub fn count(&self, verdict: Verdict) -> usize {
        let rows = self.items.iter();
        rows.filter(|item| item.verdict == verdict).count()
    }
}

/// A row whose part would carry over, where there are more or fewer of it after the swap.
fn counted(item: Item) -> Item {
    let (before, after) = item.count;
    if before == after || item.verdict != Verdict::CarriesOver || item.to == Value::Nothing {
        return item;
    }
    let action = match after.checked_sub(before) {
        Some(count) => Action::Add { count },
        None => Action::TakeOff {
            count: before - after,
        },
    };
    Item {
        verdict: Verdict::Change,
        action,
        ..item
    }
}

#[cfg(test)]
mod tests;
