//! From a settled state to the report of one engine speed.

use super::limits::{room, surge_room};
use super::{EnergyAccount, Run, SpeedReport, StationReport};
use crate::air_way::engine::friction::mean_piston_speed;
use crate::balance::{Answer, Plant, ShaftState};
use crate::build::RailReference;
use crate::fields::Field;
use crate::formula;
use crate::quantity::{AbsolutePressure, Temperature};
use std::f64::consts::PI;

formula! {
    /// Volume that a four-stroke engine sweeps while it breathes, m³/s, at engine speed in rev/min.
    pub fn swept_rate(displacement, speed) = displacement * speed / 120.0;
    source "one intake stroke in two turns";

    /// Power at the crank, W, from mean effective pressures in Pa.
    pub fn brake_power(gross, pumping, friction, swept) = (gross - pumping - friction) * swept;
    source "Heywood 1988, section 2.4";

    /// Heat that a stream gives away, W, between two enthalpies in J/kg.
    pub fn heat_given(flow, before, after) = flow * (before - after);
    source "first law, steady flow";

    /// Warmth of the exhaust above the air outside, W.
    pub fn exhaust_warmth(exhaust, after_turbine, air, outside) =
        exhaust * after_turbine - air * outside;
    source "first law, steady flow";

    /// Heat of exhaust manifold and bearings, less what the intake took up, W.
    pub fn other_losses(exhaust, ports, turbine, count, bearing, air, inlet, outside) =
        exhaust * (ports - turbine) + count * bearing - air * (inlet - outside);
    source "first law, steady flow";

    /// Torque at the crank, N m, at engine speed in rev/min.
    pub fn torque(power, speed) = power / (2.0 * PI * speed / 60.0);
    source "definition";

    /// Fuel that each injector must pass while it is open all the time, m³/s at its rated pressure:
    /// flow goes with the root of the pressure across.
    pub fn injector_flow(fuel, density, cylinders, rated_pressure, across) =
        fuel / (density * cylinders) * (rated_pressure / across).sqrt();
    source "Bernoulli's equation; one injector a cylinder";
}

/// Least pressure across an injector that is reckoned with, Pa.
const LEAST_RAIL: f64 = 1e4;

/// Mean effective pressures (gross indicated, friction) and brake power, Pa, Pa, W.
fn mean_pressures(plant: &Plant, speed: f64, state: &ShaftState) -> (f64, f64, f64) {
    let swept = swept_rate(plant.displacement, speed);
    let gross = state.engine.gross / swept;
    let peak = plant.friction.peak_pressure(state.pm);
    let fmep = plant
        .friction
        .fmep(mean_piston_speed(speed, plant.stroke), peak);
    (
        gross,
        fmep,
        brake_power(gross, state.engine.pmep, fmep, swept),
    )
}

/// Power at the crank, W.
pub(crate) fn power_at_crank(plant: &Plant, speed: f64, state: &ShaftState) -> f64 {
    mean_pressures(plant, speed, state).2
}

pub(super) fn report(run: &Run, speed: f64, answer: &Answer) -> SpeedReport {
    let (plant, build, state) = (&run.plant, run.build, &answer.state);
    let engine = &state.engine;
    let reading = plant.reading(engine);
    let station = |p: AbsolutePressure, t: Temperature, flow: f64| StationReport {
        pressure_pa: p.pa(),
        temperature_k: t.kelvin(),
        flow_kg_s: flow,
    };
    let outside = plant.outside.pressure;
    let swept = swept_rate(plant.displacement, speed);
    let (gross_imep, fmep, power) = mean_pressures(plant, speed, state);
    let air = &plant.outside.air.mixture;
    let inlet_t = engine.inlet.temperature.kelvin();
    let ideal = air.isentropic_work(inlet_t, engine.pressure_ratio);
    let efficiency =
        (engine.compressor_work > 0.0 && ideal > 0.0).then(|| ideal / engine.compressor_work);

    let boost = state.pm.gauge(outside).pa();
    let across = match build.rail_reference() {
        RailReference::Manifold => build.get(Field::RailPressure),
        RailReference::Outside => build.get(Field::RailPressure) - boost,
    }
    .max(LEAST_RAIL);
    let each = injector_flow(
        engine.fuel,
        plant.fuel.density,
        build.get(Field::Cylinders),
        build.get(Field::InjectorRatedPressure),
        across,
    );

    SpeedReport {
        engine_speed_rev_min: speed,
        held: answer.held,
        boost_asked_pa: run.asked(speed),
        boost_pa: boost,
        boost_drivable_pa: run.drivable(answer),
        back_pressure_drivable_ratio: answer.drivable.p3.pa() / answer.drivable.pm.pa(),
        outside: station(outside, plant.outside.temperature, engine.air),
        compressor_inlet: station(engine.inlet.pressure, engine.inlet.temperature, engine.air),
        compressor_outlet: station(
            engine.outlet.pressure,
            engine.outlet.temperature,
            engine.air,
        ),
        manifold: station(state.pm, state.tm, engine.air),
        turbine_inlet: station(state.p3, engine.turbine_temperature, engine.exhaust),
        turbine_outlet: station(state.p4, state.t4, engine.exhaust),
        pressure_ratio: engine.pressure_ratio,
        corrected_flow_kg_s: engine.corrected_flow,
        corrected_speed_rev_min: reading.speed,
        compressor_efficiency: efficiency,
        shaft_speed_rev_min: engine.shaft_speed,
        surge_room: surge_room(reading.surge_flow, engine.corrected_flow),
        choke_room: if reading.choke_flow > 0.0 {
            room(engine.corrected_flow, reading.choke_flow)
        } else {
            1.0
        },
        extrapolated: reading.extrapolated,
        compressor_power_w: state.compressor_power,
        turbine_power_w: state.turbine_power,
        bearing_power_w: state.bearing_power,
        turbine_efficiency: state.expansion.efficiency,
        turbine_speed_ratio: state.expansion.speed_ratio,
        expansion_ratio: state.p3.pa() / state.p4.pa(),
        back_pressure_ratio: state.p3.pa() / state.pm.pa(),
        gate_share: state.gate_share.max(0.0),
        gate_area_m2: answer.gate_area,
        gate_opening: answer.gate_area / plant.gate_area,
        cooler_effectiveness: plant.cooler.effectiveness(engine.air),
        filter_loss_pa: engine.filter_loss.pa(),
        cooler_loss_pa: engine.cooler_loss.pa(),
        exhaust_loss_pa: state.exhaust_loss.pa(),
        volumetric_efficiency: engine.volumetric_efficiency,
        dry_air_kg_s: engine.dry_air,
        fuel_kg_s: engine.fuel,
        torque_nm: torque(power, speed),
        power_w: power,
        wheel_power_w: power * build.get(Field::DrivelineEfficiency),
        bmep_pa: power / swept,
        gross_imep_pa: gross_imep,
        pmep_pa: engine.pmep,
        fmep_pa: fmep,
        bsfc_kg_j: (power > 0.0).then(|| engine.fuel / power),
        peak_pressure_pa: plant.friction.peak_pressure(state.pm).pa(),
        injector_needed_m3_s: each / build.get(Field::InjectorDuty),
        injector_duty: build.optional(Field::InjectorFlow).map(|flow| each / flow),
        energy: account(plant, state, power, fmep * swept),
    }
}

/// Where the fuel's energy goes. Nothing here is a remainder: `imbalance` is what the parts miss.
fn account(plant: &Plant, state: &ShaftState, brake: f64, friction: f64) -> EnergyAccount {
    let engine = &state.engine;
    let (air, gas) = (&plant.outside.air.mixture, plant.gas());
    let fuel = engine.fuel * plant.fuel.heating_value;
    let outside = air.enthalpy(plant.outside.temperature.kelvin());
    let cooler = heat_given(
        engine.air,
        air.enthalpy(engine.outlet.temperature.kelvin()),
        air.enthalpy(state.tm.kelvin()),
    );
    let exhaust = exhaust_warmth(
        engine.exhaust,
        gas.enthalpy(state.t4.kelvin()),
        engine.air,
        outside,
    );
    let losses = other_losses(
        engine.exhaust,
        gas.enthalpy(engine.port_temperature.kelvin()),
        gas.enthalpy(engine.turbine_temperature.kelvin()),
        plant.count,
        state.bearing_power,
        engine.air,
        air.enthalpy(engine.inlet.temperature.kelvin()),
        outside,
    );
    let unburned = fuel - engine.released;
    // What the shaft has left over while boost creeps or before it has settled would show here.
    let sum = brake + friction + engine.wall + cooler + exhaust + unburned + losses;
    EnergyAccount {
        fuel_w: fuel,
        brake_w: brake,
        friction_w: friction,
        coolant_w: engine.wall,
        charge_cooler_w: cooler,
        exhaust_sensible_w: exhaust,
        exhaust_unburned_w: unburned,
        other_losses_w: losses,
        imbalance: (fuel - sum) / fuel,
    }
}
