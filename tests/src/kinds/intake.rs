//! Station 0 to m: filter, compressor, charge cooler.

use super::{Kind, gas};
use crate::row::Inputs;
use airpath::air_way::State;
use airpath::air_way::charge_cooler::{ChargeCooler, crossflow_effectiveness};
use airpath::air_way::compressor::wiesner_slip;
use airpath::air_way::intake::Intake;
use airpath::balance::Plant;
use airpath::build::Build;
use airpath::fields::Field;
use airpath::quantity::{AbsolutePressure, PressureDifference, Temperature, TemperatureDifference};
use std::sync::Arc;

const COMPRESSION: &str = "Compressor outlet temperature and power";
const COOLER: &str = "Charge cooler: effectiveness, manifold temperature, loss";

/// The kinds of these stations.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "filter_loss",
        result: "Pressure lost in the filter",
        run: |inputs| {
            let intake = Intake {
                rated_loss: PressureDifference::new(inputs.number("rated_loss")?),
                rated_flow: inputs.number("rated_flow")?,
                reference_density: inputs.number("reference_density")?,
                rise: TemperatureDifference::new(0.0),
            };
            let outside = State {
                pressure: AbsolutePressure::new(inputs.number("pressure")?),
                temperature: Temperature::new(inputs.number("temperature")?),
                flow: inputs.number("flow")?,
            };
            Ok(intake
                .pass(outside, gas::mixture(inputs)?.gas_constant())
                .1
                .pa())
        },
    },
    Kind {
        name: "corrected_flow",
        result: "Corrected flow and speed at the map's reference",
        run: corrected_flow,
    },
    Kind {
        name: "isentropic_outlet_temperature",
        result: COMPRESSION,
        run: |inputs| {
            let from = inputs.number("temperature")?;
            Ok(
                gas::mixture(inputs)?
                    .isentropic_temperature(from, inputs.number("pressure_ratio")?),
            )
        },
    },
    Kind {
        name: "isentropic_compression_work",
        result: COMPRESSION,
        run: |inputs| {
            let from = inputs.number("temperature")?;
            Ok(gas::mixture(inputs)?.isentropic_work(from, inputs.number("pressure_ratio")?))
        },
    },
    Kind {
        name: "compressor_outlet_temperature",
        result: COMPRESSION,
        run: |inputs| {
            let gas = gas::mixture(inputs)?;
            let from = inputs.number("temperature")?;
            Ok(gas.temperature_from_enthalpy(gas.enthalpy(from) + compressor_work(inputs)?, from))
        },
    },
    Kind {
        name: "compressor_power",
        result: COMPRESSION,
        run: |inputs| Ok(inputs.number("flow")? * compressor_work(inputs)?),
    },
    Kind {
        name: "compressor_efficiency",
        result: "Compressor efficiency",
        run: |inputs| {
            let gas = gas::mixture(inputs)?;
            let from = inputs.number("temperature")?;
            let rise = gas.enthalpy(inputs.number("outlet_temperature")?) - gas.enthalpy(from);
            Ok(gas.isentropic_work(from, inputs.number("pressure_ratio")?) / rise)
        },
    },
    Kind {
        name: "wiesner_slip",
        result: "Work of a wheel without a map (slip)",
        run: |inputs| {
            Ok(wiesner_slip(
                inputs.number("blades")?,
                inputs.number("backsweep")?,
                inputs.number("radius_ratio")?,
            ))
        },
    },
    Kind {
        name: "crossflow_effectiveness",
        result: COOLER,
        run: |inputs| {
            Ok(crossflow_effectiveness(
                inputs.number("transfer_units")?,
                inputs.number("capacity_ratio")?,
            ))
        },
    },
    Kind {
        name: "cooler_effectiveness",
        result: COOLER,
        run: |inputs| Ok(cooler(inputs, 300.0, 0.0)?.effectiveness(inputs.number("flow")?)),
    },
    Kind {
        name: "cooler_outlet_temperature",
        result: COOLER,
        run: |inputs| {
            let cooler = cooler(inputs, inputs.number("coolant")?, 0.0)?;
            let outlet = Temperature::new(inputs.number("temperature")?);
            Ok(cooler.cool(inputs.number("flow")?, outlet).kelvin())
        },
    },
    Kind {
        name: "cooler_loss",
        result: COOLER,
        run: |inputs| {
            let cooler = ChargeCooler::new(
                0.7,
                0.2,
                0.4,
                inputs.number("rated_flow")?,
                PressureDifference::new(inputs.number("rated_loss")?),
                Temperature::new(300.0),
            );
            let pressure = AbsolutePressure::new(inputs.number("pressure")?);
            Ok(cooler.loss(inputs.number("flow")?, pressure).pa())
        },
    },
];

fn compressor_work(inputs: &Inputs) -> Result<f64, String> {
    let ideal = gas::mixture(inputs)?.isentropic_work(
        inputs.number("temperature")?,
        inputs.number("pressure_ratio")?,
    );
    Ok(ideal / inputs.number("efficiency")?)
}

fn cooler(inputs: &Inputs, coolant: f64, loss: f64) -> Result<ChargeCooler, String> {
    Ok(ChargeCooler::new(
        inputs.number("rated_effectiveness")?,
        inputs.number("capacity_ratio")?,
        inputs.optional("exponent")?.unwrap_or(0.4),
        inputs.number("rated_flow")?,
        PressureDifference::new(loss),
        Temperature::new(coolant),
    ))
}

/// The example build, moved to the row's air and its map to the row's reference state.
fn corrected_flow(inputs: &Inputs) -> Result<f64, String> {
    let mut build = airpath::example_build().ok_or("there is no example build")?;
    let entries = [
        (Field::Barometer, inputs.number("pressure")?),
        (Field::AirTemperature, inputs.number("temperature")?),
        (Field::InletAirRise, 0.0),
        (Field::FilterLoss, 0.0),
    ];
    for (field, si) in entries {
        let unit = field.spec().unit();
        build = build
            .with(field, Some(airpath::build::Entry { si, unit }))
            .map_err(|error| error.to_string())?;
    }
    let mut turbocharger = (**build.turbocharger()).clone();
    turbocharger.compressor.map.reference.temperature_k = inputs.number("reference_temperature")?;
    turbocharger.compressor.map.reference.pressure_pa = inputs.number("reference_pressure")?;
    let housing = build.housing_index();
    let build: Build = build
        .with_turbocharger(Arc::new(turbocharger), housing)
        .map_err(|error| error.to_string())?;
    let plant = Plant::new(&build).map_err(|error| error.to_string())?;
    Ok(plant.inlet_at(inputs.number("flow")?).1)
}
