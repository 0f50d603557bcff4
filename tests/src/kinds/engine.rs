//! Station m to 3: breathing, fuel, combustion, friction.

use super::{Kind, gas};
use crate::row::Inputs;
use airpath::air_way::engine::breathing::Breathing;
use airpath::air_way::engine::combustion::{ideal_efficiency, released_share};
use airpath::air_way::engine::friction::{Friction, mean_piston_speed};
use airpath::air_way::engine::fuel::Fuel;
use airpath::fields::Field;
use airpath::gas::{HumidAir, stoichiometric_ratio};
use airpath::quantity::{AbsolutePressure, PressureDifference, Temperature};

const FUEL: &str = "Fuel: air demand, heating value, density, vapour";
const CYCLE: &str = "Ideal cycle efficiency";
const FRICTION: &str = "Friction and pumping";

/// The kinds of this station.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "dry_air_flow",
        result: "Air flow of the engine",
        run: |inputs| breathing(inputs, 0.0),
    },
    Kind {
        name: "volumetric_efficiency",
        result: "Volumetric efficiency with back pressure",
        run: |inputs| {
            let slope =
                1.0 / (inputs.number("gamma")? * (inputs.number("compression_ratio")? - 1.0));
            let breathing = plain_breathing(slope, 1e-3, 0.0);
            let pm = AbsolutePressure::new(inputs.number("manifold_pressure")?);
            let p3 = AbsolutePressure::new(inputs.number("exhaust_pressure")?);
            Ok(breathing
                .charge(
                    3000.0,
                    inputs.number("efficiency")?,
                    pm,
                    Temperature::new(340.0),
                    p3,
                    1005.0,
                )
                .efficiency)
        },
    },
    Kind {
        name: "stoichiometric_ratio",
        result: FUEL,
        run: |inputs| Ok(stoichiometric_ratio(&gas::elements(inputs)?)),
    },
    Kind {
        name: "molar_mass_of_fuel",
        result: FUEL,
        run: |inputs| Ok(gas::elements(inputs)?.molar_mass()),
    },
    Kind {
        name: "fuel_stoichiometric_ratio",
        result: FUEL,
        run: |inputs| Ok(fuel(inputs)?.stoichiometric_ratio),
    },
    Kind {
        name: "fuel_heating_value",
        result: FUEL,
        run: |inputs| Ok(fuel(inputs)?.heating_value),
    },
    Kind {
        name: "fuel_density",
        result: FUEL,
        run: |inputs| Ok(fuel(inputs)?.density),
    },
    Kind {
        name: "fuel_vaporisation_heat",
        result: FUEL,
        run: |inputs| Ok(fuel(inputs)?.vaporisation_heat),
    },
    Kind {
        name: "fuel_vapour_molar_mass",
        result: FUEL,
        run: |inputs| Ok(fuel(inputs)?.vapour_molar_mass),
    },
    Kind {
        name: "released_share",
        result: "Heat released by a rich mixture",
        run: |inputs| {
            Ok(released_share(
                inputs.number("lambda")?,
                1.0,
                default(Field::RichSlope)?,
            ))
        },
    },
    Kind {
        name: "ideal_cycle_with_compression",
        result: CYCLE,
        run: |inputs| {
            let exponent = default(Field::CycleExponent)?;
            Ok(ideal_efficiency(
                inputs.number("efficiency_at_9")?,
                inputs.number("compression_ratio")?,
                exponent,
            ))
        },
    },
    Kind {
        name: "ideal_cycle",
        result: CYCLE,
        run: |inputs| {
            let build = airpath::example_build().ok_or("there is no example build")?;
            let lambda = inputs.number("lambda")?;
            let at_nine = build.ideal_cycle().curve.at(lambda);
            let ideal = ideal_efficiency(
                at_nine,
                inputs.number("compression_ratio")?,
                default(Field::CycleExponent)?,
            );
            Ok(ideal * released_share(lambda, 1.0, default(Field::RichSlope)?))
        },
    },
    Kind {
        name: "mean_piston_speed",
        result: FRICTION,
        run: |inputs| {
            Ok(mean_piston_speed(
                inputs.number("speed")?,
                inputs.number("stroke")?,
            ))
        },
    },
    Kind {
        name: "friction",
        result: FRICTION,
        run: |inputs| {
            let friction = Friction {
                constant: inputs.number("constant")? * 1e-5,
                peak: inputs.number("peak")?,
                speed: inputs.number("linear")?,
                speed_squared: inputs.number("square")?,
                ..plain_friction()
            };
            let peak = AbsolutePressure::new(inputs.number("peak_pressure")?);
            Ok(friction.fmep(inputs.number("piston_speed")?, peak))
        },
    },
    Kind {
        name: "default_friction",
        result: FRICTION,
        run: |inputs| {
            let friction = Friction {
                factor: default(Field::FrictionFactor)?,
                constant: default(Field::FrictionConstant)? * 1e-5,
                peak: default(Field::FrictionPeak)?,
                speed: default(Field::FrictionSpeed)?,
                speed_squared: default(Field::FrictionSpeedSquared)?,
                valve_loss: PressureDifference::new(default(Field::PumpingLoss)?),
                valve_speed: default(Field::PumpingReferenceSpeed)?,
                valve_density: default(Field::PumpingReferenceDensity)?,
                peak_base: 0.0,
                peak_slope: 0.0,
            };
            let up = mean_piston_speed(inputs.number("speed")?, inputs.number("stroke")?);
            let atmosphere = AbsolutePressure::new(1e5);
            let peak = AbsolutePressure::new(inputs.number("peak_pressure")?);
            let density = inputs.number("density")?;
            Ok(friction.fmep(up, peak) + friction.pmep(up, atmosphere, atmosphere, density))
        },
    },
    Kind {
        name: "pumping",
        result: FRICTION,
        run: |inputs| {
            let friction = Friction {
                valve_loss: PressureDifference::new(inputs.number("valve_loss")?),
                valve_speed: inputs.number("valve_speed")?,
                valve_density: inputs.number("valve_density")?,
                ..plain_friction()
            };
            let pressure = |name| inputs.number(name).map(AbsolutePressure::new);
            Ok(friction.pmep(
                inputs.number("piston_speed")?,
                pressure("exhaust_pressure")?,
                pressure("manifold_pressure")?,
                inputs.number("density")?,
            ))
        },
    },
];

/// The default of a field with spark ignition, SI.
fn default(field: Field) -> Result<f64, String> {
    let spec = field.spec();
    spec.default_si(false)
        .ok_or_else(|| format!("{} has no default", spec.id))
}

fn plain_friction() -> Friction {
    Friction {
        factor: 1.0,
        constant: 0.0,
        peak: 0.0,
        speed: 0.0,
        speed_squared: 0.0,
        valve_loss: PressureDifference::new(0.0),
        valve_speed: 1.0,
        valve_density: 1.0,
        peak_base: 0.0,
        peak_slope: 0.0,
    }
}

fn plain_breathing(overlap_slope: f64, displacement: f64, humidity_ratio: f64) -> Breathing {
    Breathing {
        displacement,
        overlap_slope,
        temperature_exponent: 0.0,
        reference_temperature: Temperature::new(340.0),
        dry_gas_constant: HumidAir::new(0.0).mixture.gas_constant(),
        humidity_ratio,
        vapour_ratio: 0.0,
        vapour_molar_mass: 0.1,
        evaporation_heat: 0.0,
    }
}

fn breathing(inputs: &Inputs, overlap_slope: f64) -> Result<f64, String> {
    let humidity_ratio = inputs.optional("humidity_ratio")?.unwrap_or(0.0);
    let mut breathing = plain_breathing(
        overlap_slope,
        inputs.number("displacement")?,
        humidity_ratio,
    );
    if let Some(ratio) = inputs.optional("vapour_ratio")? {
        breathing.vapour_ratio = ratio;
        breathing.vapour_molar_mass = inputs.number("vapour_molar_mass")?;
    }
    let pm = AbsolutePressure::new(inputs.number("manifold_pressure")?);
    let tm = Temperature::new(inputs.number("manifold_temperature")?);
    Ok(breathing
        .charge(
            inputs.number("speed")?,
            inputs.number("efficiency")?,
            pm,
            tm,
            pm,
            1005.0,
        )
        .dry_air)
}

fn fuel(inputs: &Inputs) -> Result<Fuel, String> {
    match inputs.name("fuel")? {
        "petrol" => Ok(Fuel::petrol(inputs.number("ethanol_share")?)),
        "diesel" => Ok(Fuel::diesel()),
        other => Err(format!("there is no fuel {other}")),
    }
}
