//! How much air the cylinders take.

use crate::formula;
use crate::gas::{H2O, SPECIES, UNIVERSAL_GAS_CONSTANT};
use crate::quantity::{AbsolutePressure, Temperature};

formula! {
    /// How breathing answers to back pressure: residual gas that is left at `before_turbine` and
    /// `manifold` pressure in Pa.
    pub fn residual_factor(slope, before_turbine, manifold) =
        1.0 + slope * (1.0 - before_turbine / manifold);
    source "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6";

    /// s in it without valve overlap, at compression ratio `compression_ratio` and ratio of heat
    /// capacities `gamma` of the residual gas.
    pub fn slope_without_overlap(gamma, compression_ratio) = 1.0 / (gamma * (compression_ratio - 1.0));
    source "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6";

    /// How breathing gains from a hot charge, which takes up less heat on its way in.
    pub fn heat_factor(manifold, reference, exponent) = (manifold / reference).powf(exponent);
    source "Heywood 1988, Internal Combustion Engine Fundamentals, section 6.2.4";

    /// Volumetric efficiency as it is at work.
    pub fn volumetric_efficiency(curve, residual, heat) = curve * residual * heat;
    source "definition";

    /// Temperature of the charge, K, once the fuel has taken heat for its evaporation: `heat` J
    /// for each kilogram of air of heat capacity `capacity` in J/(kg K).
    pub fn charge_temperature(manifold, heat, capacity) = manifold - heat / capacity;
    source "first law at constant pressure";

    /// Fuel vapour with each kilogram of dry air as the intake valve closes, kg.
    pub fn vapour_ratio(evaporated_share, lambda, air_to_burn) =
        evaporated_share / (lambda * air_to_burn);
    source "definition of λ";

    /// Air with its water vapour, kg/s, from the dry air in it.
    pub fn humid_air_flow(dry_air, humidity_ratio) = dry_air * (1.0 + humidity_ratio);
    source "definition of the humidity ratio";

    /// Gas constant of the charge for each kilogram of dry air in it, J/(kg K): dry air, water,
    /// fuel vapour.
    pub fn charge_gas_constant(dry, humidity_ratio, water, vapour_ratio, vapour) =
        dry + humidity_ratio * water + vapour_ratio * vapour;
    source "Dalton's law";

    /// Dry air that the cylinders take, kg/s, four-stroke, at engine speed in rev/min.
    pub fn dry_air_flow(efficiency, displacement, speed, pressure, gas_constant, temperature) =
        efficiency * (displacement * speed / 120.0) * (pressure / (gas_constant * temperature));
    source "Heywood 1988, eq. 2.27";
}

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
            residual_factor(self.overlap_slope, p3.pa(), pm.pa()).max(LEAST_FACTOR);
        let heat = if self.temperature_exponent > 0.0 {
            heat_factor(
                tm.kelvin(),
                self.reference_temperature.kelvin(),
                self.temperature_exponent,
            )
        } else {
            1.0
        };
        let efficiency = volumetric_efficiency(efficiency, pressure_factor, heat);
        let mixed =
            charge_temperature(tm.kelvin(), self.evaporation_heat, heat_capacity).max(150.0);
        let gas = charge_gas_constant(
            self.dry_gas_constant,
            self.humidity_ratio,
            UNIVERSAL_GAS_CONSTANT / SPECIES[H2O].molar_mass,
            self.vapour_ratio,
            UNIVERSAL_GAS_CONSTANT / self.vapour_molar_mass,
        );
        let dry_air = dry_air_flow(efficiency, self.displacement, speed, pm.pa(), gas, mixed);
        Charge {
            dry_air,
            efficiency,
        }
    }
}
