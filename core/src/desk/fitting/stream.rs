//! How fast air and exhaust run through a pipe, and how fast is customary.

use crate::air_way::ambient::Outside;
use crate::air_way::engine::fuel::Fuel;
use crate::build::{Build, FuelKind};
use crate::fields::Field;
use crate::formula;
use crate::gas::{Mixture, Products};
use crate::numeric::bracketed_root;
use crate::quantity::{AbsolutePressure, Temperature};
use crate::run::{Match, SpeedReport, StationReport};
use std::f64::consts::PI;

formula! {
    /// Area of a round bore, m², from its diameter in m.
    pub fn bore_area(diameter) = PI * diameter.powi(2) / 4.0;
    source "geometry";

    /// Diameter of a round bore, m, from its area in m².
    pub fn bore_of_area(area) = (4.0 * area / PI).sqrt();
    source "geometry";

    /// Flow through a pipe without units: flow in kg/s, total temperature in K, pressure in Pa, area in m².
    pub fn flow_number(flow, gas_constant, temperature, pressure, area) =
        flow * (gas_constant * temperature).sqrt() / (pressure * area);
    source "definition";

    /// Flow number at a Mach number up to 1, where the pressure is the total one.
    pub fn flow_number_of_total(mach, gamma) = gamma.sqrt() * mach
        * (1.0 + (gamma - 1.0) / 2.0 * mach.powi(2)).powf(-(gamma + 1.0) / (2.0 * (gamma - 1.0)));
    source "continuity with the isentropic relations of NACA Report 1135 (1953)";

    /// Flow number at a Mach number, where the pressure is the static one.
    pub fn flow_number_of_static(mach, gamma) =
        gamma.sqrt() * mach * (1.0 + (gamma - 1.0) / 2.0 * mach.powi(2)).sqrt();
    source "continuity with the energy equation (NACA Report 1135, 1953)";

    /// Mach number of a flow number, where the pressure is the static one.
    pub fn mach_from_static(number, gamma) =
        (((1.0 + 2.0 * (gamma - 1.0) * number.powi(2) / gamma).sqrt() - 1.0) / (gamma - 1.0)).sqrt();
    source "flow_number_of_static solved for the Mach number";

    /// Static temperature, K, from the total one.
    pub fn static_temperature(total, mach, gamma) = total / (1.0 + (gamma - 1.0) / 2.0 * mach.powi(2));
    source "NACA Report 1135 (1953), isentropic relations";

    /// Static pressure, Pa, from the total one.
    pub fn static_pressure(total, mach, gamma) =
        total * (1.0 + (gamma - 1.0) / 2.0 * mach.powi(2)).powf(-gamma / (gamma - 1.0));
    source "NACA Report 1135 (1953), isentropic relations";

    /// Velocity, m/s, at a static temperature in K.
    pub fn velocity(mach, gamma, gas_constant, temperature) =
        mach * (gamma * gas_constant * temperature).sqrt();
    source "definition of the Mach number; speed of sound of an ideal gas";

    /// Dynamic head, Pa, of a static pressure: what a pipe's losses go with.
    pub fn dynamic_head(pressure, mach, gamma) = gamma / 2.0 * pressure * mach.powi(2);
    source "half of density times velocity squared, for an ideal gas";
}

/// How fast is customary, as a Mach number, and who says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ceiling {
    /// Mach number.
    pub mach: f64,
    /// Where it comes from.
    pub source: &'static str,
}

/// Between filter and compressor.
pub const INTAKE_CEILING: Ceiling = Ceiling {
    mach: 0.25,
    source: "a judgement, no source: the dynamic head is then 4 % of the pressure",
};

/// From the compressor to the throttle.
pub const CHARGE_CEILING: Ceiling = Ceiling {
    mach: 0.3,
    source: "common practice, no source: Mach 0.3, some 100 m/s in a cold pipe; up to 0.4 is let pass by Bell, Maximum Boost (1997), from memory",
};

/// After the turbine.
pub const EXHAUST_CEILING: Ceiling = Ceiling {
    mach: 0.3,
    source: "a judgement, no source: the dynamic head is then 6 % of the pressure",
};

/// How much of the engine's flow a pipe carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carries {
    /// All of it.
    All,
    /// Half of it: each turbocharger of a pair has its own.
    Half,
}

/// What runs through a bore, at the engine speed where its Mach number is highest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stream {
    /// Bore, m.
    pub bore_m: f64,
    /// How much of the flow it carries.
    pub carries: Carries,
    /// Mean velocity over the bore, m/s.
    pub velocity_m_s: f64,
    /// Mach number; 1 where the bore cannot pass the flow.
    pub mach: f64,
    /// Dynamic head, Pa.
    pub head_pa: f64,
    /// Engine speed, rev/min.
    pub at_rev_min: f64,
    /// The bore cannot pass the flow at the pressure that stands before it.
    pub choked: bool,
    /// Least bore that keeps within the ceiling at every engine speed, m.
    pub bore_wanted_m: f64,
}

/// A place in the air's way that a pipe stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// Before the compressor: total state of station 1.
    Intake,
    /// After it: total state of station 2.
    Hot,
    /// Before the throttle: temperature of the manifold, and its pressure as the static one, as a pipe
    /// has that opens into it.
    Cold,
    /// After the turbine: static pressure of station 4.
    Exhaust,
}

impl Place {
    pub(super) const fn ceiling(self) -> Ceiling {
        match self {
            Place::Intake => INTAKE_CEILING,
            Place::Hot | Place::Cold => CHARGE_CEILING,
            Place::Exhaust => EXHAUST_CEILING,
        }
    }

    fn station(self, s: &SpeedReport) -> &StationReport {
        match self {
            Place::Intake => &s.compressor_inlet,
            Place::Hot => &s.compressor_outlet,
            Place::Cold => &s.manifold,
            Place::Exhaust => &s.turbine_outlet,
        }
    }

    /// Whether the pressure of its station is the static one.
    const fn is_static(self) -> bool {
        matches!(self, Place::Cold | Place::Exhaust)
    }

    /// Whether each turbocharger has its own.
    pub(super) const fn is_own(self) -> bool {
        !matches!(self, Place::Cold)
    }
}

/// The gases of a build: air, and exhaust.
#[derive(Debug, Clone)]
pub(super) struct Gases {
    air: Mixture,
    exhaust: Mixture,
}

impl Gases {
    pub(super) fn of(build: &Build) -> Self {
        let outside = Outside::new(
            build.get(Field::Altitude),
            build.optional(Field::Barometer).map(AbsolutePressure::new),
            Temperature::new(build.get(Field::AirTemperature)),
            build.get(Field::RelativeHumidity),
        );
        let fuel = match build.fuel() {
            FuelKind::Petrol => Fuel::petrol(build.get(Field::EthanolShare)),
            FuelKind::Diesel => Fuel::diesel(),
        };
        let products = Products::new(&fuel.elements, build.get(Field::Lambda), &outside.air);
        Self {
            air: outside.air.mixture,
            exhaust: products.mixture,
        }
    }
}

/// Mach number up to 1 and whether the bore chokes, from a flow number with the total pressure.
fn mach_from_total(number: f64, gamma: f64) -> (f64, bool) {
    let most = flow_number_of_total(1.0, gamma) - number;
    if most <= 0.0 {
        return (1.0, true);
    }
    let excess = |mach: f64| flow_number_of_total(mach, gamma) - number;
    let found = bracketed_root((0.0, -number), (1.0, most), 1e-12, 200, excess);
    (found.root, false)
}

/// What runs through a bore of a build at the engine speed where it is fastest; `None` without one.
pub(super) fn fastest(
    place: Place,
    bore_m: f64,
    build: &Build,
    gases: &Gases,
    found: &Match,
) -> Option<Stream> {
    let count = build.arrangement().count();
    let (share, carries) = if place.is_own() && count > 1.0 {
        (1.0 / count, Carries::Half)
    } else {
        (1.0, Carries::All)
    };
    let gas = match place {
        Place::Exhaust => &gases.exhaust,
        _ => &gases.air,
    };
    let ceiling = place.ceiling().mach;
    let mut fastest: Option<Stream> = None;
    let mut wanted: f64 = 0.0;
    for s in &found.speeds {
        let station = place.station(s);
        // The heat capacities' ratio hardly moves between total and static temperature.
        let (gamma, r) = (gas.gamma(station.temperature_k), gas.gas_constant());
        let flow = share * station.flow_kg_s;
        let number_at =
            |area: f64| flow_number(flow, r, station.temperature_k, station.pressure_pa, area);
        let number = number_at(bore_area(bore_m));
        let (mach, choked) = match place.is_static() {
            true => {
                let mach = mach_from_static(number, gamma);
                (mach.min(1.0), mach > 1.0)
            }
            false => mach_from_total(number, gamma),
        };
        let pressure = match place.is_static() {
            true => station.pressure_pa,
            false => static_pressure(station.pressure_pa, mach, gamma),
        };
        let at_ceiling = match place.is_static() {
            true => flow_number_of_static(ceiling, gamma),
            false => flow_number_of_total(ceiling, gamma),
        };
        wanted = wanted.max(bore_of_area(number_at(1.0) / at_ceiling));
        let temperature = static_temperature(station.temperature_k, mach, gamma);
        if mach.is_finite() && fastest.is_none_or(|f| (choked, mach) > (f.choked, f.mach)) {
            fastest = Some(Stream {
                bore_m,
                carries,
                velocity_m_s: velocity(mach, gamma, r, temperature),
                mach,
                head_pa: dynamic_head(pressure, mach, gamma),
                at_rev_min: s.engine_speed_rev_min,
                choked,
                bore_wanted_m: 0.0,
            });
        }
    }
    fastest.map(|stream| Stream {
        bore_wanted_m: wanted,
        ..stream
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mach_numbers_are_those_of_the_table() {
        // NACA Report 1135 (1953), table I, γ = 1.4: Mach number, p/p_t, T/T_t, A/A*.
        for (mach, pressure, temperature, area) in [
            (0.10, 0.9930, 0.9980, 5.822),
            (0.15, 0.9844, 0.9955, 3.910),
            (0.20, 0.9725, 0.9921, 2.964),
            (0.24, 0.9607, 0.9886, 2.496),
            (0.30, 0.9395, 0.9823, 2.035),
            (0.50, 0.8430, 0.9524, 1.340),
            (0.90, 0.5913, 0.8606, 1.009),
        ] {
            assert!((static_pressure(1.0, mach, 1.4) - pressure).abs() < 6e-5);
            assert!((static_temperature(1.0, mach, 1.4) - temperature).abs() < 6e-5);
            let number = flow_number_of_total(1.0, 1.4) / area;
            let (found, choked) = mach_from_total(number, 1.4);
            // The table's areas have four digits; near Mach 1 they tell the Mach number badly.
            let tolerance = if mach > 0.8 { 5e-3 } else { 3e-4 };
            assert!(
                (found - mach).abs() < tolerance && !choked,
                "{mach}: {found}"
            );
            // The same state by its static pressure.
            let by_static = mach_from_static(number / static_pressure(1.0, found, 1.4), 1.4);
            assert!((by_static - found).abs() < 1e-9, "{mach}: {by_static}");
        }
        assert_eq!(mach_from_total(1.0, 1.4), (1.0, true));
    }

    #[test]
    fn velocity_is_continuity() {
        // By hand: 0.1 kg/s at 100 kPa and 300 K static through 0.01 m² of air (R 287): density
        // 1.1614 kg/m³, so 8.610 m/s.
        let gamma = 1.4;
        let mach = 8.610 / (gamma * 287.0 * 300.0_f64).sqrt();
        let number = flow_number(0.1, 287.0, 300.0, 1e5, 0.01);
        assert!((mach_from_static(number, gamma) / mach - 1.0).abs() < 1e-3);
        let found = velocity(mach_from_static(number, gamma), gamma, 287.0, 300.0);
        assert!((found - 8.610).abs() < 0.005, "{found}");
        // Half of density times velocity squared.
        let head = dynamic_head(1e5, mach, gamma);
        assert!((head / (0.5 * 1.1614 * 8.610_f64.powi(2)) - 1.0).abs() < 1e-3);
        assert!((bore_of_area(bore_area(0.05)) - 0.05).abs() < 1e-15);
    }
}
