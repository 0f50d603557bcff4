//! What leaves the cylinder: combustion products, rich or lean.

use super::HumidAir;
use super::humid_air::{DRY_AIR, dry_air_molar_mass};
use super::mixture::Mixture;
use super::species::{AR, CO, CO2, H2, H2O, N2, O2, SPECIES};

/// Atoms in one molecule of fuel (or in a mean molecule of a blend): `CcHhOo`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elements {
    /// Carbon.
    pub carbon: f64,
    /// Hydrogen.
    pub hydrogen: f64,
    /// Oxygen.
    pub oxygen: f64,
}

impl Elements {
    /// Molar mass, kg/mol (IUPAC standard atomic weights).
    #[must_use]
    pub fn molar_mass(&self) -> f64 {
        (12.011 * self.carbon + 1.008 * self.hydrogen + 15.999 * self.oxygen) * 1e-3
    }

    /// Moles of O₂ that burn one mole completely.
    #[must_use]
    pub fn oxygen_demand(&self) -> f64 {
        self.carbon + self.hydrogen / 4.0 - self.oxygen / 2.0
    }
}

/// Mass of dry air that burns one mass of fuel completely.
#[must_use]
pub fn stoichiometric_ratio(fuel: &Elements) -> f64 {
    let total: f64 = DRY_AIR.iter().sum();
    fuel.oxygen_demand() * total / DRY_AIR[O2] * dry_air_molar_mass() / fuel.molar_mass()
}

/// Equilibrium constant [CO][H₂O]/([CO₂][H₂]) at which the water-gas shift is taken to freeze
/// as the gas expands (Heywood 1988, section 4.9: 3.5).
pub const WATER_GAS_CONSTANT: f64 = 3.5;

/// Combustion products.
#[derive(Debug, Clone, PartialEq)]
pub struct Products {
    /// The mixture.
    pub mixture: Mixture,
}

impl Products {
    /// Products of `fuel` burned with humid air at `lambda` (above 0): complete with oxygen left
    /// over when lean; CO and H₂ by the frozen water-gas shift when rich. A mixture too rich to
    /// turn all carbon into CO is taken at the richest that does.
    #[must_use]
    pub fn new(fuel: &Elements, lambda: f64, air: &HumidAir) -> Self {
        let total: f64 = DRY_AIR.iter().sum();
        let demand = fuel.oxygen_demand();
        let floor = (fuel.carbon / 2.0 - fuel.oxygen / 2.0).max(0.0) / demand * 1.02;
        let oxygen = lambda.max(floor) * demand;
        let air_moles = oxygen * total / DRY_AIR[O2];
        let mut moles = [0.0; 7];
        moles[N2] = air_moles * DRY_AIR[N2] / total;
        moles[AR] = air_moles * DRY_AIR[AR] / total;
        let carbon = fuel.carbon + air_moles * DRY_AIR[CO2] / total;
        let vapour =
            air_moles * air.humidity_ratio * dry_air_molar_mass() / SPECIES[H2O].molar_mass;
        let hydrogen = fuel.hydrogen / 2.0 + vapour;
        if oxygen >= demand {
            moles[CO2] = carbon;
            moles[H2O] = hydrogen;
            moles[O2] = oxygen - demand;
        } else {
            // Unknown: x moles of CO2. CO = C − x; oxygen atoms: 2x + (C − x) + H2O = O, so
            // H2O = O − C − x and H2 = H − H2O. (C − x)(O − C − x) = K x (H − O + C + x).
            let atoms =
                fuel.oxygen + 2.0 * oxygen + vapour + 2.0 * air_moles * DRY_AIR[CO2] / total;
            let k = WATER_GAS_CONSTANT;
            let spare = atoms - carbon;
            let a = 1.0 - k;
            let b = -(carbon + spare) - k * (hydrogen - spare);
            let c = carbon * spare;
            let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
            // a < 0 and c > 0: exactly one root is positive. This form does not cancel.
            let x = (-2.0 * c / (b - root)).clamp(0.0, carbon.min(spare));
            moles[CO2] = x;
            moles[CO] = carbon - x;
            moles[H2O] = spare - x;
            moles[H2] = (hydrogen - moles[H2O]).max(0.0);
        }
        Self {
            mixture: Mixture::from_moles(moles),
        }
    }
}
