//! Station 0: the air outside.

use crate::formula;
use crate::gas::{HumidAir, saturation_pressure};
use crate::quantity::{AbsolutePressure, Temperature};

formula! {
    /// Standard temperature, K, at a geopotential altitude in m.
    pub fn standard_temperature(altitude) = 288.15 - 0.0065 * altitude;
    source "ISO 2533:1975, Standard Atmosphere";

    /// Standard pressure, Pa, at a geopotential altitude in m; the exponent is g/(R · lapse).
    pub fn standard_pressure(altitude) =
        101_325.0 * (1.0 - 0.0065 * altitude / 288.15).powf(9.806_65 / (287.052_87 * 0.0065));
    source "ISO 2533:1975, Standard Atmosphere";
}

/// Standard atmosphere at a geopotential altitude in m: pressure and temperature.
///
/// ISO 2533:1975, the layer below 11,000 m: T = 288.15 K − 0.0065 H, p = 101,325 Pa
/// (T/288.15)^5.25588. Valid from −5,000 to 11,000 m; the altitude is held to that range.
///
/// ```
/// let (p, t) = airpath::air_way::ambient::standard_atmosphere(1000.0);
/// assert!((p.pa() - 89_874.6).abs() < 0.1 && (t.kelvin() - 281.65).abs() < 1e-9);
/// ```
#[must_use]
pub fn standard_atmosphere(altitude: f64) -> (AbsolutePressure, Temperature) {
    let held = altitude.clamp(-5000.0, 11_000.0);
    (
        AbsolutePressure::new(standard_pressure(held)),
        Temperature::new(standard_temperature(held)),
    )
}

formula! {
    /// Correction factor of SAE J1349 for spark ignition, from dry pressure in Pa and temperature
    /// in K.
    pub fn sae_j1349_factor(dry, t) = 1.18 * (99_000.0 / dry) * (t / 298.0).sqrt() - 0.18;
    source "SAE J1349 (August 2004)";

    /// Correction factor of ISO 1585 for spark ignition, from dry pressure in Pa and temperature
    /// in K.
    pub fn iso_1585_spark_factor(dry, t) = (99_000.0 / dry).powf(1.2) * (t / 298.0).powf(0.6);
    source "ISO 1585";
}

/// The air outside.
#[derive(Debug, Clone, PartialEq)]
pub struct Outside {
    /// Pressure.
    pub pressure: AbsolutePressure,
    /// Temperature.
    pub temperature: Temperature,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: f64,
    /// The air itself.
    pub air: HumidAir,
}

impl Outside {
    /// The air outside at an altitude in m, or by a barometer, which wins.
    #[must_use]
    pub fn new(
        altitude: f64,
        barometer: Option<AbsolutePressure>,
        temperature: Temperature,
        relative_humidity: f64,
    ) -> Self {
        let pressure = barometer.unwrap_or_else(|| standard_atmosphere(altitude).0);
        let air = HumidAir::from_relative_humidity(pressure, temperature, relative_humidity);
        Self {
            pressure,
            temperature,
            relative_humidity,
            air,
        }
    }

    /// Pressure of the dry part of the air.
    #[must_use]
    pub fn dry_pressure(&self) -> AbsolutePressure {
        let vapour =
            self.relative_humidity.clamp(0.0, 1.0) * saturation_pressure(self.temperature).pa();
        AbsolutePressure::new(self.pressure.pa() - vapour.min(0.5 * self.pressure.pa()))
    }
}

/// Power correction of SAE J1349 (August 2004) for spark ignition without boost:
/// 1.18 (99 kPa/pd) √(T/298 K) − 0.18, with the dry pressure `dry` and air temperature `t`.
///
/// The factor must not be applied to an engine whose boost control holds absolute manifold
/// pressure. Meant for 0.93 to 1.07 (bounds from memory).
#[must_use]
pub fn sae_j1349(dry: AbsolutePressure, t: Temperature) -> f64 {
    sae_j1349_factor(dry.pa(), t.kelvin())
}

/// Power correction of ISO 1585 for spark ignition, with or without boost:
/// (99 kPa/pd)^1.2 (T/298 K)^0.6. Meant for 0.93 to 1.07.
#[must_use]
pub fn iso_1585_spark(dry: AbsolutePressure, t: Temperature) -> f64 {
    iso_1585_spark_factor(dry.pa(), t.kelvin())
}

/// Power correction of ISO 1585 for a diesel: f_a^f_m.
///
/// f_a = (99 kPa/pd)^0.7 (T/298 K)^n, n = 1.2 with an air-to-air charge cooler or none and 0.7
/// with a water-cooled one (exponents from memory); f_m = 0.036 q_c − 1.14, held between 0.3 and
/// 1.2, where `fuel_per_cycle` q_c is the fuel in mg for each cycle and litre of engine over the
/// boost pressure ratio. Meant for 0.9 to 1.1.
#[must_use]
pub fn iso_1585_compression(
    dry: AbsolutePressure,
    t: Temperature,
    fuel_per_cycle: f64,
    water_cooled: bool,
) -> f64 {
    let exponent = if water_cooled { 0.7 } else { 1.2 };
    let fa = (99_000.0 / dry.pa()).powf(0.7) * (t.kelvin() / 298.0).powf(exponent);
    fa.powf((0.036 * fuel_per_cycle - 1.14).clamp(0.3, 1.2))
}
