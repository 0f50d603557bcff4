//! Station 3 to the open air: manifold, turbine, gate, exhaust system; and the shaft.

use super::{Kind, gas};
use crate::row::Inputs;
use airpath::air_way::exhaust::Exhaust;
use airpath::air_way::exhaust_manifold::ExhaustManifold;
use airpath::air_way::turbine::Turbine;
use airpath::air_way::wastegate::{largest_area, nozzle_flux};
use airpath::gas::{HumidAir, Mixture, stoichiometric_ratio};
use airpath::numeric::bracketed_root;
use airpath::quantity::{AbsolutePressure, PressureDifference, Temperature, TemperatureDifference};

const EXPANSION: &str = "Turbine power and outlet temperature";
const BALANCE: &str = "Pressure before the turbine, from the shaft's balance";

/// The kinds of these stations.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "manifold_drop_ratio",
        result: "Gas temperature at the turbine",
        run: |inputs| {
            let manifold = ExhaustManifold {
                drop: TemperatureDifference::new(1.0),
                flow_exponent: inputs.number("exponent")?,
                wall: Temperature::new(400.0),
                span: TemperatureDifference::new(800.0),
                cap: 100.0,
                rated_flow: 1.0,
            };
            let port = Temperature::new(inputs.number("temperature")?);
            Ok(port.kelvin() - manifold.cool(port, inputs.number("flow_ratio")?).kelvin())
        },
    },
    Kind {
        name: "isentropic_expansion_work",
        result: EXPANSION,
        run: |inputs| Ok(-ideal_work(inputs)?),
    },
    Kind {
        name: "isentropic_expansion_temperature",
        result: EXPANSION,
        run: |inputs| {
            let ratio = 1.0 / inputs.number("expansion_ratio")?;
            Ok(gas::mixture(inputs)?.isentropic_temperature(inputs.number("temperature")?, ratio))
        },
    },
    Kind {
        name: "turbine_outlet_temperature",
        result: EXPANSION,
        run: |inputs| {
            let gas = gas::mixture(inputs)?;
            let from = inputs.number("temperature")?;
            let work = -ideal_work(inputs)? * inputs.number("efficiency")?;
            Ok(gas.temperature_from_enthalpy(gas.enthalpy(from) - work, from))
        },
    },
    Kind {
        name: "nozzle_flux",
        result: "Wastegate flow",
        run: |inputs| {
            let back = inputs.number("pressure")? * inputs.number("back_ratio")?;
            Ok(nozzle_flux(
                AbsolutePressure::new(inputs.number("pressure")?),
                Temperature::new(inputs.number("temperature")?),
                AbsolutePressure::new(back),
                inputs.number("gamma")?,
                inputs.number("gas_constant")?,
            ))
        },
    },
    Kind {
        name: "nozzle_flux_of_gas",
        result: "Wastegate flow",
        run: |inputs| {
            let gas = gas::mixture(inputs)?;
            let t = inputs.number("temperature")?;
            let p = inputs.number("pressure")?;
            Ok(nozzle_flux(
                AbsolutePressure::new(p),
                Temperature::new(t),
                AbsolutePressure::new(p * inputs.number("back_ratio")?),
                gas.gamma(t),
                gas.gas_constant(),
            ))
        },
    },
    Kind {
        name: "largest_gate_area",
        result: "Wastegate flow",
        run: |inputs| {
            Ok(largest_area(
                inputs.number("diameter")?,
                inputs.number("lift")?,
            ))
        },
    },
    Kind {
        name: "turbine_flow",
        result: "Turbine flow",
        run: |inputs| {
            let p3 = AbsolutePressure::new(inputs.number("inlet_pressure")?);
            let p4 = AbsolutePressure::new(inputs.number("outlet_pressure")?);
            Ok(turbine(inputs)?.flow(p3, Temperature::new(inputs.number("temperature")?), p4))
        },
    },
    Kind {
        name: "turbine_inlet_pressure",
        result: "Turbine flow",
        run: |inputs| {
            let p4 = AbsolutePressure::new(inputs.number("outlet_pressure")?);
            let t3 = Temperature::new(inputs.number("temperature")?);
            Ok(turbine(inputs)?
                .inlet_pressure(inputs.number("flow")?, t3, p4)
                .pa())
        },
    },
    Kind {
        name: "speed_ratio",
        result: "Turbine efficiency and U/C0",
        run: |inputs| Ok(expand(inputs)?.speed_ratio),
    },
    Kind {
        name: "turbine_efficiency",
        result: "Turbine efficiency and U/C0",
        run: |inputs| Ok(expand(inputs)?.efficiency),
    },
    Kind {
        name: "efficiency_from_power",
        result: "Turbine efficiency and U/C0",
        run: |inputs| Ok(inputs.number("power")? / (inputs.number("flow")? * -ideal_work(inputs)?)),
    },
    Kind {
        name: "exhaust_loss",
        result: "Pressure lost after the turbine",
        run: |inputs| {
            let exhaust = Exhaust {
                rated_loss: PressureDifference::new(inputs.number("rated_loss")?),
                rated_flow: inputs.number("rated_flow")?,
            };
            let t4 = Temperature::new(inputs.number("temperature")?);
            let outside = AbsolutePressure::new(inputs.number("pressure")?);
            Ok(exhaust.loss(inputs.number("flow")?, t4, outside).pa())
        },
    },
    Kind {
        name: "balanced_inlet_pressure",
        result: BALANCE,
        run: balanced_inlet_pressure,
    },
    Kind {
        name: "power_ratio",
        result: BALANCE,
        run: |inputs| {
            let air = HumidAir::new(0.0).mixture;
            let compressor = air.isentropic_work(
                inputs.number("air_temperature")?,
                inputs.number("pressure_ratio")?,
            ) / inputs.number("compressor_efficiency")?;
            let turbine = -ideal_work(inputs)? * inputs.number("efficiency")?;
            let gas_per_air = 1.0 + 1.0 / inputs.number("air_fuel_ratio")?;
            Ok(compressor / (gas_per_air * turbine))
        },
    },
];

fn ideal_work(inputs: &Inputs) -> Result<f64, String> {
    let ratio = 1.0 / inputs.number("expansion_ratio")?;
    Ok(gas::mixture(inputs)?.isentropic_work(inputs.number("temperature")?, ratio))
}

fn turbine(inputs: &Inputs) -> Result<Turbine, String> {
    Ok(Turbine {
        swallowing: inputs.number("swallowing")?,
        exponent: inputs.number("exponent")?,
        ..plain_turbine()
    })
}

fn plain_turbine() -> Turbine {
    Turbine {
        swallowing: 1.0,
        exponent: 2.0,
        peak_efficiency: 1.0,
        best_speed_ratio: 0.66,
        pulse_gain: 0.0,
        wheel: 60.0 / std::f64::consts::PI,
        bearing: 0.0,
    }
}

fn expand(inputs: &Inputs) -> Result<airpath::air_way::turbine::Expansion, String> {
    let gas = gas::mixture(inputs)?;
    let turbine = Turbine {
        peak_efficiency: inputs.optional("peak_efficiency")?.unwrap_or(0.7),
        best_speed_ratio: inputs.optional("best_speed_ratio")?.unwrap_or(0.66),
        ..plain_turbine()
    };
    let p4 = 1e5;
    let p3 = p4 * inputs.number("expansion_ratio")?;
    let t3 = Temperature::new(inputs.number("temperature")?);
    // One m/s of tip speed for each rev/min.
    let speed = inputs.number("tip_speed")?;
    Ok(turbine.expand(
        &gas,
        AbsolutePressure::new(p3),
        t3,
        AbsolutePressure::new(p4),
        speed,
    ))
}

/// The inlet pressure at which a turbine of fixed efficiency drives the compressor.
fn balanced_inlet_pressure(inputs: &Inputs) -> Result<f64, String> {
    let air = HumidAir::new(0.0).mixture;
    let flow = inputs.number("flow")?;
    let compressor =
        flow * air.isentropic_work(
            inputs.number("air_temperature")?,
            inputs.number("pressure_ratio")?,
        ) / inputs.number("compressor_efficiency")?;
    let ratio = stoichiometric_ratio(&gas::elements(inputs)?) * inputs.number("lambda")?;
    let through_turbine =
        flow * (1.0 + 1.0 / ratio) * (1.0 - inputs.optional("gate_share")?.unwrap_or(0.0));
    let products: Mixture = gas::mixture(inputs)?;
    let t3 = Temperature::new(inputs.number("temperature")?);
    let p4 = AbsolutePressure::new(inputs.number("outlet_pressure")?);
    let mechanical = inputs.number("mechanical_efficiency")?;
    let turbine = Turbine {
        peak_efficiency: inputs.number("efficiency")?,
        ..plain_turbine()
    };
    let surplus = |p3: f64| {
        // At the best blade speed, so that the efficiency is the best one.
        let ideal = -products.isentropic_work(t3.kelvin(), p4.pa() / p3);
        let best = turbine.best_speed_ratio * (2.0 * ideal).sqrt();
        let expansion = turbine.expand(&products, AbsolutePressure::new(p3), t3, p4, best);
        through_turbine * expansion.work * mechanical - compressor
    };
    let (low, high) = (p4.pa() * 1.001, p4.pa() * 12.0);
    let found = bracketed_root(
        (low, surplus(low)),
        (high, surplus(high)),
        1e-6,
        200,
        surplus,
    );
    if found.converged {
        Ok(found.root)
    } else {
        Err(format!("no balance: {} W left", found.residual))
    }
}
