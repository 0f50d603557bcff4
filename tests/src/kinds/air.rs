//! Station 0: the air outside, and what a dyno's correction makes of it.

use super::Kind;
use crate::row::Inputs;
use airpath::air_way::ambient::{
    Outside, iso_1585_compression, iso_1585_spark, sae_j1349, standard_atmosphere,
};
use airpath::gas::{HumidAir, saturation_pressure};
use airpath::quantity::{AbsolutePressure, Temperature};

/// The kinds of this station.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "standard_atmosphere_pressure",
        result: "Pressure outside, from altitude",
        run: |inputs| Ok(standard_atmosphere(inputs.number("altitude")?).0.pa()),
    },
    Kind {
        name: "standard_atmosphere_temperature",
        result: "Pressure outside, from altitude",
        run: |inputs| Ok(standard_atmosphere(inputs.number("altitude")?).1.kelvin()),
    },
    Kind {
        name: "standard_atmosphere_density",
        result: "Pressure outside, from altitude",
        run: |inputs| {
            let (p, t) = standard_atmosphere(inputs.number("altitude")?);
            Ok(p.pa() / (HumidAir::new(0.0).mixture.gas_constant() * t.kelvin()))
        },
    },
    Kind {
        name: "saturation_pressure",
        result: "Humidity of the air outside",
        run: |inputs| Ok(saturation_pressure(temperature(inputs)?).pa()),
    },
    Kind {
        name: "humidity_ratio",
        result: "Humidity of the air outside",
        run: |inputs| Ok(humid_air(inputs)?.humidity_ratio),
    },
    Kind {
        name: "dry_share",
        result: "Humidity of the air outside",
        run: |inputs| Ok(humid_air(inputs)?.dry_share()),
    },
    Kind {
        name: "humid_air_density",
        result: "Density of the air outside",
        run: |inputs| {
            let air = humid_air(inputs)?;
            Ok(inputs.number("pressure")?
                / (air.mixture.gas_constant() * temperature(inputs)?.kelvin()))
        },
    },
    Kind {
        name: "humid_air_heat_capacity",
        result: "Heat capacity, γ, enthalpy and entropy of air",
        run: |inputs| {
            let air = humid_air(inputs)?;
            Ok(air.mixture.heat_capacity(temperature(inputs)?.kelvin()))
        },
    },
    Kind {
        name: "dry_pressure",
        result: "Dry pressure outside, for the power corrections",
        run: |inputs| {
            let pressure = AbsolutePressure::new(inputs.number("pressure")?);
            let humidity = inputs.number("relative_humidity")?;
            Ok(
                Outside::new(0.0, Some(pressure), temperature(inputs)?, humidity)
                    .dry_pressure()
                    .pa(),
            )
        },
    },
    Kind {
        name: "sae_j1349",
        result: "Dyno correction factors",
        run: |inputs| Ok(sae_j1349(dry(inputs)?, temperature(inputs)?)),
    },
    Kind {
        name: "iso_1585_spark",
        result: "Dyno correction factors",
        run: |inputs| Ok(iso_1585_spark(dry(inputs)?, temperature(inputs)?)),
    },
    Kind {
        name: "iso_1585_compression",
        result: "Dyno correction factors",
        run: |inputs| {
            let water_cooled = match inputs.name("cooler")? {
                "water" => true,
                "air" => false,
                other => return Err(format!("a cooler is cooled by air or water, not {other}")),
            };
            Ok(iso_1585_compression(
                dry(inputs)?,
                temperature(inputs)?,
                inputs.number("fuel_per_cycle")?,
                water_cooled,
            ))
        },
    },
];

fn temperature(inputs: &Inputs) -> Result<Temperature, String> {
    inputs.number("temperature").map(Temperature::new)
}

fn dry(inputs: &Inputs) -> Result<AbsolutePressure, String> {
    inputs.number("dry_pressure").map(AbsolutePressure::new)
}

fn humid_air(inputs: &Inputs) -> Result<HumidAir, String> {
    let pressure = AbsolutePressure::new(inputs.number("pressure")?);
    Ok(HumidAir::from_relative_humidity(
        pressure,
        temperature(inputs)?,
        inputs.number("relative_humidity")?,
    ))
}
