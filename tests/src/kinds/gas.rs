//! Properties of air, of its species, and of combustion products.

use super::Kind;
use crate::row::Inputs;
use airpath::gas::{
    Elements, HumidAir, Mixture, Products, REFERENCE_TEMPERATURE, SPECIES, WATER_GAS_CONSTANT,
};

const AIR: &str = "Heat capacity, γ, enthalpy and entropy of air";
const PRODUCTS: &str = "Composition and properties of the exhaust gas";

/// The kinds about gases.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "gas_constant",
        result: AIR,
        run: |inputs| Ok(mixture(inputs)?.gas_constant()),
    },
    Kind {
        name: "heat_capacity",
        result: AIR,
        run: |inputs| Ok(mixture(inputs)?.heat_capacity(inputs.number("temperature")?)),
    },
    Kind {
        name: "gamma",
        result: AIR,
        run: |inputs| Ok(mixture(inputs)?.gamma(inputs.number("temperature")?)),
    },
    Kind {
        name: "enthalpy",
        result: AIR,
        run: enthalpy,
    },
    Kind {
        name: "entropy",
        result: AIR,
        run: entropy,
    },
    Kind {
        name: "temperature_from_enthalpy",
        result: AIR,
        run: |inputs| {
            Ok(mixture(inputs)?.temperature_from_enthalpy(inputs.number("enthalpy")?, 600.0))
        },
    },
    Kind {
        name: "pressure_ratio_of_isentrope",
        result: AIR,
        run: |inputs| {
            let gas = mixture(inputs)?;
            let rise =
                gas.entropy(inputs.number("temperature")?) - gas.entropy(inputs.number("from")?);
            Ok((rise / gas.gas_constant()).exp())
        },
    },
    Kind {
        name: "products_fraction",
        result: PRODUCTS,
        run: |inputs| {
            let formula = inputs.name("species")?;
            let place = SPECIES
                .iter()
                .position(|species| species.formula == formula);
            let place = place.ok_or_else(|| format!("there is no species {formula}"))?;
            Ok(mixture(inputs)?.mole_fractions()[place])
        },
    },
    Kind {
        name: "products_molar_mass",
        result: PRODUCTS,
        run: |inputs| Ok(mixture(inputs)?.molar_mass()),
    },
    Kind {
        name: "products_gas_constant",
        result: PRODUCTS,
        run: |inputs| Ok(mixture(inputs)?.gas_constant()),
    },
    Kind {
        name: "products_heat_capacity",
        result: PRODUCTS,
        run: |inputs| Ok(mixture(inputs)?.heat_capacity(inputs.number("temperature")?)),
    },
    Kind {
        name: "products_gamma",
        result: PRODUCTS,
        run: |inputs| Ok(mixture(inputs)?.gamma(inputs.number("temperature")?)),
    },
    Kind {
        name: "products_enthalpy",
        result: PRODUCTS,
        run: enthalpy,
    },
    Kind {
        name: "products_entropy",
        result: PRODUCTS,
        run: entropy,
    },
    Kind {
        name: "water_gas_constant",
        result: PRODUCTS,
        run: |_| Ok(WATER_GAS_CONSTANT),
    },
    Kind {
        name: "water_gas_quotient",
        result: PRODUCTS,
        run: |inputs| {
            let gas = mixture(inputs)?;
            let fraction = |formula: &str| {
                let place = SPECIES
                    .iter()
                    .position(|species| species.formula == formula);
                place.map_or(f64::NAN, |place| gas.mole_fractions()[place])
            };
            Ok(fraction("CO") * fraction("H2O") / (fraction("CO2") * fraction("H2")))
        },
    },
];

fn enthalpy(inputs: &Inputs) -> Result<f64, String> {
    let gas = mixture(inputs)?;
    let from = inputs.optional("from")?.unwrap_or(REFERENCE_TEMPERATURE);
    Ok(gas.enthalpy(inputs.number("temperature")?) - gas.enthalpy(from))
}

fn entropy(inputs: &Inputs) -> Result<f64, String> {
    let gas = mixture(inputs)?;
    let from = inputs.optional("from")?.unwrap_or(REFERENCE_TEMPERATURE);
    Ok(gas.entropy(inputs.number("temperature")?) - gas.entropy(from))
}

/// The atoms of the fuel in a row.
///
/// # Errors
/// They are missing.
pub fn elements(inputs: &Inputs) -> Result<Elements, String> {
    Ok(Elements {
        carbon: inputs.number("carbon")?,
        hydrogen: inputs.number("hydrogen")?,
        oxygen: inputs.number("oxygen")?,
    })
}

/// The gas of a row: "air" (with a humidity ratio, or dry), "products" of a fuel, or a species.
///
/// # Errors
/// There is no such gas.
pub fn mixture(inputs: &Inputs) -> Result<Mixture, String> {
    let humidity = inputs.optional("humidity_ratio")?.unwrap_or(0.0);
    match inputs.name("gas")? {
        "air" => Ok(HumidAir::new(humidity).mixture),
        "products" => {
            let fuel = elements(inputs)?;
            Ok(Products::new(&fuel, inputs.number("lambda")?, &HumidAir::new(humidity)).mixture)
        }
        formula => {
            let mut moles = [0.0; 7];
            match SPECIES
                .iter()
                .position(|species| species.formula == formula)
            {
                Some(place) => moles[place] = 1.0,
                None => return Err(format!("there is no gas {formula}")),
            }
            Ok(Mixture::from_moles(moles))
        }
    }
}
