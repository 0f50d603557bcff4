//! Worked examples that take more than one station.

use super::Kind;
use crate::row::Inputs;
use airpath::gas::HumidAir;

/// The kinds of worked examples.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "blown_filling",
        result: "Air flow of the engine",
        run: |inputs| {
            let (t2, _) = blow(inputs)?;
            Ok(inputs.number("pressure_ratio")? * inputs.number("temperature")? / t2)
        },
    },
    Kind {
        name: "blower_gain",
        result: "Compressor outlet temperature and power",
        run: blower_gain,
    },
];

/// Temperature after a blower and its work, J/kg.
fn blow(inputs: &Inputs) -> Result<(f64, f64), String> {
    let air = HumidAir::new(0.0).mixture;
    let t1 = inputs.number("temperature")?;
    let work =
        air.isentropic_work(t1, inputs.number("pressure_ratio")?) / inputs.number("efficiency")?;
    Ok((
        air.temperature_from_enthalpy(air.enthalpy(t1) + work, t1),
        work,
    ))
}

/// What a four-stroke engine gains, W, from a blower that it drives itself: indicated power in
/// proportion to the free air that it takes (`specific_power` in kW for each m³/min), the work of
/// the higher pressure on the intake stroke, less what the blower takes.
fn blower_gain(inputs: &Inputs) -> Result<f64, String> {
    let (t2, work) = blow(inputs)?;
    let (t1, p1) = (inputs.number("temperature")?, inputs.number("pressure")?);
    let ratio = inputs.number("pressure_ratio")?;
    let mechanical = inputs.number("mechanical_efficiency")?;
    let swept = inputs.number("displacement")? * inputs.number("speed")? / 2.0;
    let free = swept * ratio * t1 / t2;
    let flow = p1 * free / 60.0 / (HumidAir::new(0.0).mixture.gas_constant() * t1);
    let more_air = free - inputs.number("filling")? * swept;
    let indicated =
        inputs.number("specific_power")? * 1e3 * more_air + (ratio - 1.0) * p1 * swept / 60.0;
    Ok(mechanical * indicated - flow * work / mechanical)
}
