//! How much air the cylinders take.

use crate::gas::{SPECIES, UNIVERSAL_GAS_CONSTANT};
use crate::quantity::{AbsolutePressure, Temperature};

/// Least factor that back pressure leaves of the breathing: beyond, residual gas fills the
/// cylinder and the linear relation has no meaning.
const LEAST_FACTOR: f64 = 0.05;

/// Inputs of the breathing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breathing {
    /// Swept volume, m³.
    pub displacement: f64,
    /// s in 1 + s (1 − p3/pm).
    pub overlap_slope: f64,
    /// n in (Tm/Tref)^n.
    pub temperature_exponent: f64,
    /// Tref.
    pub reference_temperature: Temperature,
    /// Specific gas constant of dry air, J/(kg K).
    pub dry_gas_constant: f64,
    /// Water with each kilogram of dry air, kg.
    pub humidity_ratio: f64,
    /// Fuel vapour with each kilogram of dry air as the intake valve closes, kg.
    pub vapour_ratio: f64,
    /// Molar mass of that vapour, kg/mol.
    pub vapour_molar_mass: f64,
    /// Heat that its evaporation takes from each kilogram of dry air, J.
    pub evaporation_heat: f64,
}

/// What the cylinders take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// Dry air, kg/s.
    pub dry_air: f64,
    /// Volumetric efficiency with back pressure and temperature.
    pub efficiency: f64,
}

impl Breathing {
    /// What the cylinders take at `speed` in rev/min, with `efficiency` from the breathing curve,
    /// manifold pressure `pm` and temperature `tm`, pressure before the turbine `p3`.
    ///
    /// ev = curve [1 + s (1 − p3/pm)] (Tm/Tref)^n (Taylor's residual-gas relation; exponent after
    /// Heywood 1988, 6.2.4); flow = ev ρ V N/120 with ρ the density of the mixture of dry air,
    /// water and fuel vapour, cooled by the fuel's evaporation by Δh/cp. `heat_capacity` of the
    /// charge in J/(kg K).
    #[must_use]
    pub fn charge(
        &self,
        speed: f64,
        efficiency: f64,
        pm: AbsolutePressure,
        tm: Temperature,
        p3: AbsolutePressure,
        heat_capacity: f64,
    ) -> Charge {
        let pressure_factor =
            (1.0 + self.overlap_slope * (1.0 - p3.pa() / pm.pa())).max(LEAST_FACTOR);
        let heat = if self.temperature_exponent > 0.0 {
            (tm.kelvin() / self.reference_temperature.kelvin()).powf(self.temperature_exponent)
        } else {
            1.0
        };
        let efficiency = efficiency * pressure_factor * heat;
        let mixed = (tm.kelvin() - self.evaporation_heat / heat_capacity).max(150.0);
        let gas = self.dry_gas_constant
            + self.humidity_ratio * UNIVERSAL_GAS_CONSTANT / SPECIES[4].molar_mass
            + self.vapour_ratio * UNIVERSAL_GAS_CONSTANT / self.vapour_molar_mass;
        let dry_air = efficiency * self.displacement * speed / 120.0 * pm.pa() / (gas * mixed);
        Charge {
            dry_air,
            efficiency,
        }
    }
}
