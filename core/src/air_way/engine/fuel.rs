//! Fuels: what burns, how much air it takes, what it gives.

use crate::gas::{Elements, stoichiometric_ratio};

/// A fuel, as the engine needs to know it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fuel {
    /// Mean molecule.
    pub elements: Elements,
    /// Lower heating value of the liquid, J/kg.
    pub heating_value: f64,
    /// Mass of dry air that burns one mass of fuel.
    pub stoichiometric_ratio: f64,
    /// Density of the liquid at 15 °C, kg/m³.
    pub density: f64,
    /// Heat of vaporisation, J/kg.
    pub vaporisation_heat: f64,
    /// Molar mass of the vapour, kg/mol.
    pub vapour_molar_mass: f64,
}

/// A pure component: mean molecule per carbon atom, lower heating value MJ/kg, density kg/m³,
/// heat of vaporisation MJ/kg, molar mass of the vapour kg/mol.
struct Component {
    elements: Elements,
    heating_value: f64,
    density: f64,
    vaporisation_heat: f64,
    vapour_molar_mass: f64,
}

/// Petrol without ethanol: hydrogen to carbon 1.90 and 43.45 MJ/kg, so that the pump's E10 has
/// 41.7 MJ/kg; density, vaporisation heat and molar mass after Heywood 1988, table D.4 (from
/// memory).
const PETROL: Component = Component {
    elements: Elements {
        carbon: 1.0,
        hydrogen: 1.90,
        oxygen: 0.0,
    },
    heating_value: 43.45e6,
    density: 745.0,
    vaporisation_heat: 0.35e6,
    vapour_molar_mass: 0.105,
};

/// Ethanol, C₂H₆O: Heywood 1988, table D.4; density at 15 °C by CoolProp 8.0.0; heat of vaporisation at 25 °C 42.3 kJ/mol (NIST
/// Chemistry WebBook).
const ETHANOL: Component = Component {
    elements: Elements {
        carbon: 2.0,
        hydrogen: 6.0,
        oxygen: 1.0,
    },
    heating_value: 26.9e6,
    density: 793.7,
    vaporisation_heat: 0.919e6,
    vapour_molar_mass: 0.046_07,
};

/// Light diesel: Heywood 1988, table D.4 (CH1.8, 42.5 MJ/kg, 14.5); density after EN 590.
const DIESEL: Component = Component {
    elements: Elements {
        carbon: 1.0,
        hydrogen: 1.80,
        oxygen: 0.0,
    },
    heating_value: 42.5e6,
    density: 835.0,
    vaporisation_heat: 0.27e6,
    vapour_molar_mass: 0.17,
};

impl Fuel {
    fn mix(parts: &[(&Component, f64)]) -> Self {
        let mass: f64 = parts.iter().map(|(c, volume)| c.density * volume).sum();
        let volume: f64 = parts.iter().map(|(_, volume)| volume).sum();
        let mut elements = Elements {
            carbon: 0.0,
            hydrogen: 0.0,
            oxygen: 0.0,
        };
        let (mut heating_value, mut vaporisation_heat, mut vapour_moles) = (0.0, 0.0, 0.0);
        for (component, part) in parts {
            let share = component.density * part / mass;
            let moles = share / component.elements.molar_mass();
            elements.carbon += moles * component.elements.carbon;
            elements.hydrogen += moles * component.elements.hydrogen;
            elements.oxygen += moles * component.elements.oxygen;
            heating_value += share * component.heating_value;
            vaporisation_heat += share * component.vaporisation_heat;
            vapour_moles += share / component.vapour_molar_mass;
        }
        Self {
            elements,
            heating_value,
            stoichiometric_ratio: stoichiometric_ratio(&elements),
            density: mass / volume,
            vaporisation_heat,
            vapour_molar_mass: 1.0 / vapour_moles,
        }
    }

    /// Petrol with a share of ethanol by volume (0 to 1; held to that range).
    ///
    /// ```
    /// let e10 = airpath::air_way::engine::fuel::Fuel::petrol(0.10);
    /// assert!((e10.heating_value / 1e6 - 41.7).abs() < 0.05);
    /// assert!((e10.stoichiometric_ratio - 14.1).abs() < 0.1);
    /// ```
    #[must_use]
    pub fn petrol(ethanol_share: f64) -> Self {
        let ethanol = ethanol_share.clamp(0.0, 1.0);
        Self::mix(&[(&PETROL, 1.0 - ethanol), (&ETHANOL, ethanol)])
    }

    /// Diesel.
    #[must_use]
    pub fn diesel() -> Self {
        Self::mix(&[(&DIESEL, 1.0)])
    }
}
