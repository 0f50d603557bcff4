//! The table of differences.

use super::{Contender, Contest};
use crate::quantity::Kind;
use crate::run::{Held, LimitKind, LimitReport, Match, THRESHOLD_SHARE};
use serde::Serialize;

/// What a row tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum RowKind {
    /// Lowest engine speed with 90 % of the boost within all limits.
    FullBoostFrom,
    /// Lowest engine speed at which the turbine can drive 90 % of the boost.
    DrivenFrom,
    /// Most power at the crank, and where.
    MostPower,
    /// Most torque at the crank, and where.
    MostTorque,
    /// Torque at the engine speed chosen.
    Torque,
    /// Power at the engine speed chosen.
    Power,
    /// Boost at the engine speed chosen.
    Boost,
    /// Pressure before the turbine at the engine speed chosen.
    BeforeTurbine,
    /// That over manifold pressure.
    BackPressure,
    /// Shaft speed at the engine speed chosen.
    ShaftSpeed,
    /// Compressor efficiency at the engine speed chosen.
    Efficiency,
    /// Compressor outlet temperature at the engine speed chosen.
    OutletHeat,
    /// Temperature before the turbine at the engine speed chosen.
    TurbineHeat,
    /// Share of the exhaust past the gate at the engine speed chosen.
    GateShare,
    /// Time from light load to 90 % of the boost at the contest's reference speed.
    TimeToBoost,
    /// Moment of inertia of one rotor.
    Inertia,
    /// Mass of all turbochargers.
    Mass,
}

impl RowKind {
    /// Every row, in the order of the table.
    pub const ALL: [RowKind; 17] = [
        RowKind::FullBoostFrom,
        RowKind::TimeToBoost,
        RowKind::MostPower,
        RowKind::MostTorque,
        RowKind::DrivenFrom,
        RowKind::Torque,
        RowKind::Power,
        RowKind::Boost,
        RowKind::BeforeTurbine,
        RowKind::BackPressure,
        RowKind::ShaftSpeed,
        RowKind::Efficiency,
        RowKind::OutletHeat,
        RowKind::TurbineHeat,
        RowKind::GateShare,
        RowKind::Inertia,
        RowKind::Mass,
    ];

    /// What the page calls it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            RowKind::FullBoostFrom => "Boost from",
            RowKind::DrivenFrom => "Driven from",
            RowKind::MostPower => "Most power",
            RowKind::MostTorque => "Most torque",
            RowKind::Torque => "Torque",
            RowKind::Power => "Power",
            RowKind::Boost => "Boost",
            RowKind::BeforeTurbine => "Pressure before turbine",
            RowKind::BackPressure => "… over manifold",
            RowKind::ShaftSpeed => "Shaft speed",
            RowKind::Efficiency => "Compressor efficiency",
            RowKind::OutletHeat => "Compressor outlet",
            RowKind::TurbineHeat => "Turbine inlet",
            RowKind::GateShare => "Past the gate",
            RowKind::TimeToBoost => "Time to boost",
            RowKind::Inertia => "Rotor inertia, each",
            RowKind::Mass => "Mass, all",
        }
    }

    /// What is measured; `None` for engine and shaft speeds in rev/min and for seconds.
    #[must_use]
    pub const fn kind(self) -> Option<Kind> {
        Some(match self {
            RowKind::FullBoostFrom
            | RowKind::DrivenFrom
            | RowKind::ShaftSpeed
            | RowKind::TimeToBoost => return None,
            RowKind::MostPower | RowKind::Power => Kind::Power,
            RowKind::MostTorque | RowKind::Torque => Kind::Torque,
            RowKind::Boost => Kind::GaugePressure,
            RowKind::BeforeTurbine => Kind::AbsolutePressure,
            RowKind::BackPressure => Kind::Ratio,
            RowKind::Efficiency | RowKind::GateShare => Kind::Fraction,
            RowKind::OutletHeat | RowKind::TurbineHeat => Kind::Temperature,
            RowKind::Inertia => Kind::Inertia,
            RowKind::Mass => Kind::Mass,
        })
    }

    /// Whether it is read at the engine speed chosen.
    #[must_use]
    pub const fn at_cursor(self) -> bool {
        matches!(
            self,
            RowKind::Torque
                | RowKind::Power
                | RowKind::Boost
                | RowKind::BeforeTurbine
                | RowKind::BackPressure
                | RowKind::ShaftSpeed
                | RowKind::Efficiency
                | RowKind::OutletHeat
                | RowKind::TurbineHeat
                | RowKind::GateShare
        )
    }

    /// The value of a contender, SI but for speeds in rev/min, and the engine speed that it belongs to
    /// where that is the contender's own.
    fn of(self, contender: &Contender, cursor: f64, reference: f64) -> (Option<f64>, Option<f64>) {
        let found = &contender.found;
        let at = || contender.near(cursor);
        let here = |value: Option<f64>| (value, None);
        let own = |place: usize, value: fn(&crate::run::SpeedReport) -> f64| {
            let report = found.speeds.get(place);
            (report.map(value), report.map(|r| r.engine_speed_rev_min))
        };
        let turbochargers = contender.candidate.arrangement.count();
        match self {
            RowKind::FullBoostFrom => here(found.usable_threshold_rev_min),
            RowKind::DrivenFrom => here(found.drive_threshold_rev_min),
            RowKind::TimeToBoost => here(contender.time_to_boost(reference)),
            RowKind::MostPower => own(found.most_power, |s| s.power_w),
            RowKind::MostTorque => own(found.most_torque, |s| s.torque_nm),
            RowKind::Torque => here(at().map(|s| s.torque_nm)),
            RowKind::Power => here(at().map(|s| s.power_w)),
            RowKind::Boost => here(at().map(|s| s.boost_pa)),
            RowKind::BeforeTurbine => here(at().map(|s| s.turbine_inlet.pressure_pa)),
            RowKind::BackPressure => here(at().map(|s| s.back_pressure_ratio)),
            RowKind::ShaftSpeed => here(at().map(|s| s.shaft_speed_rev_min)),
            RowKind::Efficiency => here(at().and_then(|s| s.compressor_efficiency)),
            RowKind::OutletHeat => here(at().map(|s| s.compressor_outlet.temperature_k)),
            RowKind::TurbineHeat => here(at().map(|s| s.turbine_inlet.temperature_k)),
            RowKind::GateShare => here(at().map(|s| s.gate_share)),
            RowKind::Inertia => here(Some(crate::response::inertia(&contender.build).0)),
            RowKind::Mass => here(
                contender
                    .candidate
                    .turbocharger
                    .mass_kg
                    .map(|mass| mass * turbochargers),
            ),
        }
    }
}

/// A row: what it tells, and a value for each contender.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// What it tells.
    pub kind: RowKind,
    /// A value for each contender, SI but for speeds in rev/min; `None` where there is none.
    pub values: Vec<Option<f64>>,
    /// The engine speed, rev/min, that each belongs to, where each has its own.
    pub at: Vec<Option<f64>>,
}

impl Row {
    /// How far a contender's value lies above the first's.
    #[must_use]
    pub fn difference(&self, place: usize) -> Option<f64> {
        let first = self.values.first().copied().flatten()?;
        Some(self.values.get(place).copied().flatten()? - first)
    }
}

impl Contest {
    /// The table of differences with the engine speed chosen, rev/min.
    #[must_use]
    pub fn rows(&self, cursor: f64) -> Vec<Row> {
        let row = |kind: RowKind| {
            let (values, at) = self
                .contenders
                .iter()
                .map(|contender| kind.of(contender, cursor, self.reference_rev_min))
                .unzip();
            Row { kind, values, at }
        };
        RowKind::ALL.into_iter().map(row).collect()
    }
}

/// The limit that stops a match where boost is wanted, the tightest first, if one does.
#[must_use]
pub fn stopped_by(found: &Match) -> Option<&LimitReport> {
    found.limits.iter().find(|limit| stops(found, limit))
}

/// Whether a limit stops a match where boost is wanted: [`Contender::is_stopped_by`].
fn stops(found: &Match, limit: &LimitReport) -> bool {
    if limit.kind == LimitKind::Surge {
        let from = found.usable_threshold_rev_min.unwrap_or(0.0);
        return found.speeds.iter().any(|s| {
            s.held == Held::Surge
                && s.engine_speed_rev_min > from
                && s.boost_pa < THRESHOLD_SHARE * s.boost_asked_pa
        });
    }
    limit.room < 0.0 || (limit.kind.caps() && limit.holds_boost.is_some())
}

impl Contender {
    /// Whether a limit stops it where boost is wanted. Surge that holds boost down on the way up, before
    /// boost is there, is why it comes no sooner, not what ends a pull.
    #[must_use]
    pub fn is_stopped_by(&self, limit: &LimitReport) -> bool {
        stops(&self.found, limit)
    }

    /// What gives out first: a limit that stops it, else the one with the least room, surge on the way up to
    /// boost left aside.
    #[must_use]
    pub fn gives_out_first(&self) -> Option<&LimitReport> {
        let limits = &self.found.limits;
        let apart = |l: &&LimitReport| {
            l.kind != LimitKind::Surge || l.holds_boost.is_none() && l.room >= 0.0
        };
        limits
            .iter()
            .find(|l| self.is_stopped_by(l))
            .or_else(|| limits.iter().find(apart))
    }
}
