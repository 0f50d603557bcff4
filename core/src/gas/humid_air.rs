//! Dry and humid air.

use super::mixture::Mixture;
use super::species::{AR, CO2, H2O, N2, O2, SPECIES};
use crate::formula;
use crate::quantity::{AbsolutePressure, Temperature};

formula! {
    /// Saturation pressure of water vapour over ice, Pa, at `t` in K (173.15 to 273.15).
    pub fn saturation_over_ice(t) = (-5.674_535_9e3 / t + 6.392_524_7 - 9.677_843_0e-3 * t
        + 6.221_570_1e-7 * t.powi(2) + 2.074_782_5e-9 * t.powi(3) - 9.484_024_0e-13 * t.powi(4)
        + 4.163_501_9 * t.ln()).exp();
    source "Hyland & Wexler 1983, as in ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 5";

    /// Saturation pressure of water vapour over water, Pa, at `t` in K (273.15 to 473.15).
    pub fn saturation_over_water(t) = (-5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t
        + 4.176_476_8e-5 * t.powi(2) - 1.445_209_3e-8 * t.powi(3) + 6.545_967_3 * t.ln()).exp();
    source "Hyland & Wexler 1983, as in ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 6";

    /// Pressure of the water vapour in air, Pa, at relative humidity 0 to 1.
    pub fn vapour_pressure(relative_humidity, saturation) = relative_humidity * saturation;
    source "definition of relative humidity (ASHRAE Handbook, Fundamentals, ch. 1)";

    /// Water with each kilogram of dry air, kg; `molar_ratio` is water's molar mass over that of
    /// dry air.
    pub fn humidity_ratio(molar_ratio, vapour, pressure) = molar_ratio * (vapour / (pressure - vapour));
    source "ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 20";
}

/// Mole fractions of dry air: US Standard Atmosphere 1976, table 3, the trace gases counted as
/// nitrogen.
pub const DRY_AIR: [f64; 7] = [0.780_87, 0.209_476, 0.009_34, 0.000_314, 0.0, 0.0, 0.0];

/// Humid air: its composition, and the share of it that is dry.
#[derive(Debug, Clone, PartialEq)]
pub struct HumidAir {
    /// The mixture.
    pub mixture: Mixture,
    /// Kilogram of water vapour with each kilogram of dry air.
    pub humidity_ratio: f64,
}

impl HumidAir {
    /// Air with `humidity_ratio` kg of water for each kg of dry air (0 for dry air; below 0 and
    /// not finite count as 0).
    #[must_use]
    pub fn new(humidity_ratio: f64) -> Self {
        let humidity_ratio = if humidity_ratio > 0.0 && humidity_ratio.is_finite() {
            humidity_ratio
        } else {
            0.0
        };
        let mut moles = DRY_AIR;
        moles[H2O] = humidity_ratio * dry_air_molar_mass() / SPECIES[H2O].molar_mass;
        Self {
            mixture: Mixture::from_moles(moles),
            humidity_ratio,
        }
    }

    /// Air at pressure, temperature and relative humidity (0 to 1).
    ///
    /// w = (M_w/M_a) φ p_s/(p − φ p_s), with the saturation pressure of Hyland & Wexler 1983.
    /// Vapour is never more than half of the pressure.
    #[must_use]
    pub fn from_relative_humidity(
        p: AbsolutePressure,
        t: Temperature,
        relative_humidity: f64,
    ) -> Self {
        let vapour = vapour_pressure(
            relative_humidity.clamp(0.0, 1.0),
            saturation_pressure(t).pa(),
        )
        .min(0.5 * p.pa());
        let ratio = SPECIES[H2O].molar_mass / dry_air_molar_mass();
        Self::new(humidity_ratio(ratio, vapour, p.pa()))
    }

    /// Kilogram of dry air in one kilogram of humid air.
    #[must_use]
    pub fn dry_share(&self) -> f64 {
        1.0 / (1.0 + self.humidity_ratio)
    }
}

/// Molar mass of dry air, kg/mol.
#[must_use]
pub fn dry_air_molar_mass() -> f64 {
    let total: f64 = DRY_AIR.iter().sum();
    [N2, O2, AR, CO2]
        .iter()
        .map(|&i| DRY_AIR[i] * SPECIES[i].molar_mass)
        .sum::<f64>()
        / total
}

/// Saturation pressure of water vapour, over ice below 0 °C.
///
/// Hyland & Wexler 1983, as in ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 5 and 6. Valid
/// from −100 to 200 °C; the temperature is held to that range.
#[must_use]
pub fn saturation_pressure(t: Temperature) -> AbsolutePressure {
    let t = t.kelvin().clamp(173.15, 473.15);
    AbsolutePressure::new(if t < 273.15 {
        saturation_over_ice(t)
    } else {
        saturation_over_water(t)
    })
}
