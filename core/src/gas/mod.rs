//! Air, humid air and combustion products: h(T), cp(T), entropy.
//!
//! A mixture of fixed composition is one pair of polynomials (the species' own,
//! mixed once), so a property costs a handful of multiplications. Enthalpy counts
//! from 298.15 K and holds no heat of formation: what burning releases is the
//! engine's business.

mod humid_air;
mod mixture;
mod products;
mod species;

pub use humid_air::{
    HumidAir, dry_air_molar_mass, humidity_ratio, saturation_over_ice, saturation_over_water,
    saturation_pressure, vapour_pressure,
};
pub use mixture::{Mixture, REFERENCE_TEMPERATURE};
pub use products::{Elements, Products, WATER_GAS_CONSTANT, stoichiometric_ratio};
pub use species::{H2O, SPECIES, Species, UNIVERSAL_GAS_CONSTANT};
