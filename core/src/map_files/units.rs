//! The units that a map file may name, and exact numbers in them.
//!
//! Temperature, pressure and length are read in the units of [`crate::quantity`]. Speed and flow
//! have tables of their own here: a map's speeds are in rev/min inside, and its flows may be volume
//! flows that no field of a build has. Names are understood by the same rules ([`Kind::unit`]).

use crate::air_way::compressor::MapReference;
use crate::gas::HumidAir;
use crate::quantity::{CommaRule, Kind, System, Unit, unit_named};

/// Kilograms in an avoirdupois pound, exact (NIST SP 811, B.8).
const POUND: f64 = 0.453_592_37;
/// Cubic metres in a cubic foot, exact (NIST SP 811, B.8: 2.831 685 E-02).
const CUBIC_FOOT: f64 = 0.304_8 * 0.304_8 * 0.304_8;

const fn unit(
    symbol: &'static str,
    aliases: &'static [&'static str],
    scale: f64,
    system: System,
    decimals: u8,
) -> Unit {
    Unit {
        symbol,
        aliases,
        scale,
        offset: 0.0,
        system,
        decimals,
        comma: CommaRule::Decimal,
    }
}

/// Shaft speeds; the scale is rev/min in one of the unit.
static SPEED: &[Unit] = &[
    unit(
        "rev/min",
        &["rpm", "revs/min", "r/min", "1/min", "U/min", "min⁻¹"],
        1.0,
        System::Both,
        0,
    ),
    unit(
        "k rev/min",
        &["krpm", "1000 rev/min", "1000 rpm"],
        1e3,
        System::Both,
        1,
    ),
    unit("rev/s", &["rps", "1/s", "Hz", "s⁻¹"], 60.0, System::Both, 1),
    // NIST SP 811, B.8: 1 rev/min is 2π/60 rad/s.
    unit(
        "rad/s",
        &[],
        60.0 / core::f64::consts::TAU,
        System::Metric,
        0,
    ),
];

/// Mass flows; the scale is kg/s in one of the unit.
static MASS_FLOW: &[Unit] = &[
    unit("kg/s", &["kg/sec"], 1.0, System::Metric, 4),
    unit("g/s", &["g/sec"], 1e-3, System::Metric, 1),
    unit("kg/min", &[], 1.0 / 60.0, System::Metric, 2),
    unit(
        "kg/h",
        &["kg/hr", "kg/hour"],
        1.0 / 3600.0,
        System::Metric,
        0,
    ),
    unit(
        "lb/min",
        &["lbs/min", "lbm/min"],
        POUND / 60.0,
        System::Imperial,
        2,
    ),
    unit(
        "lb/s",
        &["lbs/s", "lbm/s", "lb/sec"],
        POUND,
        System::Imperial,
        3,
    ),
];

/// Volume flows at the map's reference state; the scale is m³/s in one of the unit.
static VOLUME_FLOW: &[Unit] = &[
    unit("m³/s", &["m³/sec", "cu m/s"], 1.0, System::Metric, 4),
    unit("m³/min", &["cu m/min"], 1.0 / 60.0, System::Metric, 2),
    unit(
        "m³/h",
        &["m³/hr", "cu m/h"],
        1.0 / 3600.0,
        System::Metric,
        0,
    ),
    unit(
        "litre/s",
        &["L/s", "liter/s", "litres/s", "liters/s", "dm³/s"],
        1e-3,
        System::Metric,
        1,
    ),
    unit(
        "ft³/min",
        &["cfm", "cu ft/min", "cubic feet/min"],
        CUBIC_FOOT / 60.0,
        System::Imperial,
        0,
    ),
    unit(
        "ft³/s",
        &["cfs", "cu ft/s"],
        CUBIC_FOOT,
        System::Imperial,
        2,
    ),
];

/// Efficiencies; the scale is the share in one of the unit.
static EFFICIENCY: &[Unit] = &[
    unit("fraction", &["1", "share"], 1.0, System::Both, 3),
    unit("%", &["percent", "pct"], 1e-2, System::Both, 1),
];

/// No unit at all, for pressure ratio.
pub(super) static NO_UNIT: Unit = unit("", &[], 1.0, System::Both, 3);

/// Every flow unit that a map may have, mass flows first.
pub fn flow_units() -> impl Iterator<Item = &'static Unit> {
    MASS_FLOW.iter().chain(VOLUME_FLOW)
}

/// kg/s in one of a flow unit of [`flow_units`]. A volume flow is that of dry air at the reference
/// state: its density is p/(R T), the ideal gas.
#[must_use]
pub fn flow_factor(unit: &'static Unit, reference: MapReference) -> f64 {
    if VOLUME_FLOW.contains(unit) {
        unit.scale * density(reference)
    } else {
        unit.scale
    }
}

/// Flow units, mass and volume together.
pub(super) fn flow_unit(text: &str) -> Option<&'static Unit> {
    unit_named(MASS_FLOW, text).or_else(|| unit_named(VOLUME_FLOW, text))
}

/// Speed units.
pub(super) fn speed_unit(text: &str) -> Option<&'static Unit> {
    unit_named(SPEED, text)
}

/// Efficiency units; nothing and a dash are a fraction.
pub(super) fn efficiency_unit(text: &str) -> Option<&'static Unit> {
    if matches!(text.trim(), "" | "-" | "–") {
        return Some(&EFFICIENCY[0]);
    }
    unit_named(EFFICIENCY, text)
}

/// The symbols of several units, for a message.
fn symbols(units: &[&[Unit]]) -> String {
    let all: Vec<&str> = units
        .iter()
        .flat_map(|units| units.iter())
        .map(|unit| unit.symbol)
        .collect();
    all.join(", ")
}

/// Every flow unit, for a message.
pub(super) fn known_flow() -> String {
    symbols(&[MASS_FLOW, VOLUME_FLOW])
}

/// Every speed unit, for a message.
pub(super) fn known_speed() -> String {
    symbols(&[SPEED])
}

/// Every efficiency unit, for a message.
pub(super) fn known_efficiency() -> String {
    symbols(&[EFFICIENCY])
}

/// The units of a kind of quantity, for a message.
pub(super) fn known(kind: Kind) -> String {
    symbols(&[kind.units()])
}

/// The units that a file is written in; what is inside is always SI (speed: rev/min).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapUnits {
    /// Of shaft speed; its `scale` is rev/min in one of the unit.
    pub speed: &'static Unit,
    /// Of flow: a mass flow, or a volume flow at the reference state (m³/s as SI).
    pub flow: &'static Unit,
    /// Of efficiency: "fraction" or "%".
    pub efficiency: &'static Unit,
    /// Of the reference temperature.
    pub temperature: &'static Unit,
    /// Of the reference pressure, absolute.
    pub pressure: &'static Unit,
    /// Of the outlet diameter.
    pub length: &'static Unit,
}

impl MapUnits {
    /// Units in which nothing is converted: rev/min, kg/s, fraction, K, Pa, m.
    #[must_use]
    pub fn plain() -> Self {
        let named = |kind: Kind, symbol: &str| kind.unit(symbol).unwrap_or(kind.metric());
        Self {
            speed: &SPEED[0],
            flow: &MASS_FLOW[0],
            efficiency: &EFFICIENCY[0],
            temperature: named(Kind::Temperature, "K"),
            pressure: named(Kind::AbsolutePressure, "Pa"),
            length: named(Kind::Length, "m"),
        }
    }

    /// Whether flows are volume flows.
    #[must_use]
    pub fn flow_is_volume(&self) -> bool {
        VOLUME_FLOW.contains(self.flow)
    }

    /// kg/s in one unit of flow. A volume flow is that of dry air at the reference state: its
    /// density is p/(R T), the ideal gas.
    #[must_use]
    pub fn flow_factor(&self, reference: MapReference) -> f64 {
        flow_factor(self.flow, reference)
    }
}

/// Density of dry air at a map's reference state, kg/m³: p/(R T).
fn density(reference: MapReference) -> f64 {
    let gas_constant = HumidAir::new(0.0).mixture.gas_constant();
    reference.pressure_pa / (gas_constant * reference.temperature_k)
}

/// The number that, times `scale` plus `offset`, gives `si` to the bit; of few digits where there is
/// one. `None` where rounding leaves no such number.
pub(super) fn exact_number(si: f64, scale: f64, offset: f64) -> Option<f64> {
    if scale == 1.0 && offset == 0.0 {
        return Some(si);
    }
    let gives = |number: &f64| number * scale + offset == si;
    let near = (si - offset) / scale;
    // What a person typed has no more than 15 digits; 17 tell every number apart.
    let rounded = [14_usize, 15, 16]
        .into_iter()
        .filter_map(|digits| format!("{near:.digits$e}").parse::<f64>().ok());
    if let Some(found) = rounded.into_iter().find(gives) {
        return Some(found);
    }
    let (mut below, mut above) = (near, near);
    for _ in 0..8 {
        below = below.next_down();
        above = above.next_up();
        if let Some(found) = [below, above].into_iter().find(gives) {
            return Some(found);
        }
    }
    None
}
