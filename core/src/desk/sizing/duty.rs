//! Sizes and what they do, found together.

use super::wheels::{
    HOUSINGS, LARGEST_TIP_SPEED, Sizes, WHEEL_RATIOS, choke_flow_needed, exducer, gas_for_power,
    swallowing_for, wheel_for_gas,
};
use super::{Asked, SizingError};
use crate::air_way::compressor::{CompressorMap, MapReference, estimate, shaft_speed};
use crate::air_way::turbine::{Turbine, estimated_swallowing, ideal_gas_speed};
use crate::balance::Plant;
use crate::build::Build;
use crate::desk::demand::{Assumed, Need, boost_for_power, need};
use crate::fields::Field;
use crate::numeric::bracketed_root;
use crate::quantity::{AbsolutePressure, Temperature};
use crate::run::{HIGHEST_BOOST, SolveError, engine_speeds};

/// Where the flow is greatest, and what the sizes do there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Duty {
    pub need: Need,
    pub assumed: Assumed,
    pub boost_pa: f64,
    pub reference: MapReference,
    pub air_each: f64,
    /// Pa, K.
    pub inlet: (f64, f64),
    pub choke_room: f64,
    pub shaft_speed_rev_min: f64,
    pub ideal_j_kg: f64,
    pub best_wheel_m: f64,
    pub turbine_power_w: f64,
    pub turbine_work_j_kg: f64,
    pub turbine_flow: f64,
    pub exhaust_each: f64,
    pub swallowing_with_pulses: f64,
    pub sizes: Sizes,
}

/// Where the search begins.
const FIRST: Assumed = Assumed {
    efficiency: 0.7,
    back_pressure_ratio: 1.3,
};
const FIRST_FLUX: f64 = 150.0;
/// Engine speeds at which the greatest flow is looked for, and those that a proposal is solved back at.
pub(super) const SPEEDS: usize = 24;
/// Rounds of the search, and how close they come, as a share.
const ROUNDS: usize = 80;
const CLOSE: f64 = 1e-6;
/// Highest ratio of pressure before the turbine to manifold pressure that is looked at.
const MOST_BACK_PRESSURE: f64 = 6.0;

/// The largest of a few by a value.
fn largest(needs: &[Need], value: fn(&Need) -> f64) -> Option<Need> {
    let largest = needs.iter().max_by(|a, b| value(a).total_cmp(&value(b)));
    largest.copied()
}

/// What the turbine does with the gas of a need: its work, J/kg, the power asked of it, W, and the gas
/// that gives it, kg/s.
fn turbine_at(plant: &Plant, turbine: &Turbine, need: &Need, shaft_speed: f64) -> (f64, f64, f64) {
    let (p3, t3) = need.before_turbine;
    let expansion = turbine.expand(
        plant.gas(),
        AbsolutePressure::new(p3),
        Temperature::new(t3),
        AbsolutePressure::new(need.behind_turbine_pa),
        shaft_speed,
    );
    let power = need.air_kg_s / plant.count * need.work_j_kg + turbine.bearing_power(shaft_speed);
    let flow = if expansion.work > 0.0 {
        gas_for_power(power, expansion.work)
    } else {
        f64::INFINITY
    };
    (expansion.work, power, flow)
}

/// Finds sizes: compressor, turbine and what is assumed of both, until they agree.
pub(super) fn duty(
    plant: &Plant,
    build: &Build,
    asked: &Asked,
    choke_room: f64,
    share: f64,
) -> Result<Duty, SizingError> {
    let reference = plant.map.reference();
    let mut assumed = FIRST;
    let mut inducer: Option<f64> = None;
    let mut wheel_ratio = 0.5 * (WHEEL_RATIOS.0 + WHEEL_RATIOS.1);
    let pulse_flow = build.get(Field::PulseFlow);
    let power = build.optional(Field::PowerTarget);
    let mut boost = boost_for_power(plant, build, assumed);
    let outside = plant.outside.pressure.pa();
    for _ in 0..ROUNDS {
        let needs: Vec<Need> = engine_speeds(build, SPEEDS)
            .map(|speed| need(plant, build, boost, speed, assumed))
            .collect();
        let most = largest(&needs, |need| need.corrected_flow_kg_s).ok_or(SizingError::NotFound)?;
        // Power goes about as the pressure in the manifold.
        let next_boost = boost.zip(power).map(|(boost, power)| {
            let most = needs.iter().map(|need| need.power_w).fold(1.0, f64::max);
            let factor = (power / most).clamp(0.7, 1.4);
            let (low, high) = (build.get(Field::GateSpring), HIGHEST_BOOST);
            ((boost + outside) * factor - outside).max(low).min(high)
        });
        // Compressor: choke of a wheel goes as its inducer's area.
        let flow = choke_flow_needed(most.corrected_flow_kg_s, choke_room);
        let d =
            inducer.unwrap_or_else(|| (4.0 * flow / (std::f64::consts::PI * FIRST_FLUX)).sqrt());
        let sizes = Sizes::new(d, asked.trim, wheel_ratio * exducer(d, asked.trim), 1e-5);
        let data = estimate(&sizes.wheel(), reference, LARGEST_TIP_SPEED);
        let map = CompressorMap::new(
            &data,
            sizes.exducer_m,
            build.get(Field::ShutoffHead),
            build.get(Field::LockedRotorLoss),
        )
        .map_err(SolveError::from)?;
        let reading = map.read(most.corrected_flow_kg_s, most.pressure_ratio);
        let (inlet_k, reference_k) = (plant.map_temperatures().0, reference.temperature_k);
        let ideal = plant
            .outside
            .air
            .mixture
            .isentropic_work(inlet_k, most.pressure_ratio);
        let efficiency = ideal / (reading.work * inlet_k / reference_k);
        let turns = shaft_speed(reading.speed, inlet_k, reference_k);
        let next_inducer = d * (flow / reading.choke_flow).sqrt().clamp(0.8, 1.25);
        // Turbine: the pressure before it at which the gate passes its share.
        let turbine = Turbine {
            swallowing: 1.0,
            exponent: build.get(Field::TurbineExponent),
            peak_efficiency: sizes.turbine_efficiency(),
            best_speed_ratio: build.get(Field::TurbineBestSpeedRatio),
            pulse_gain: build.get(Field::PulseGain),
            wheel: sizes.turbine_inducer_m,
            bearing: build.get(Field::BearingPower),
        };
        let at = |ratio: f64| {
            let assumed = Assumed {
                back_pressure_ratio: ratio,
                ..assumed
            };
            need(plant, build, boost, most.speed_rev_min, assumed)
        };
        let missing = |ratio: f64| {
            let need = at(ratio);
            let (_, _, flow) = turbine_at(plant, &turbine, &need, turns);
            let exhaust = need.exhaust_kg_s / plant.count;
            // The flow and not the share, which has no bound where the work vanishes.
            exhaust * (1.0 - share) / flow - 1.0
        };
        let low = 1.001 * most.behind_turbine_pa / most.manifold_pa;
        let found = bracketed_root(
            (low, missing(low)),
            (MOST_BACK_PRESSURE, missing(MOST_BACK_PRESSURE)),
            1e-10,
            80,
            missing,
        );
        if !found.converged || !efficiency.is_finite() || efficiency <= 0.0 {
            return Err(SizingError::NotFound);
        }
        let ratio = found.root;
        let here = at(ratio);
        let (work, power, turbine_flow) = turbine_at(plant, &turbine, &here, turns);
        let (p3, t3) = here.before_turbine;
        let expanded = plant.gas().isentropic_work(t3, here.behind_turbine_pa / p3);
        let ideal_j_kg = -expanded;
        let best_wheel_m =
            wheel_for_gas(turbine.best_speed_ratio, ideal_gas_speed(ideal_j_kg), turns);
        let with_pulses = swallowing_for(
            turbine_flow,
            t3,
            p3,
            here.behind_turbine_pa,
            turbine.exponent,
        );
        let swallowing = with_pulses / pulse_flow;
        // The wheel: the best for the gas, within what is usual, in a housing that is made.
        let smallest = (swallowing / estimated_swallowing(1.0, HOUSINGS.1)).sqrt();
        let widest = (swallowing / estimated_swallowing(1.0, HOUSINGS.0)).sqrt();
        let (least, most_ratio) = WHEEL_RATIOS;
        let chosen = best_wheel_m.min(widest).max(smallest) / sizes.exducer_m;
        let next_ratio = chosen.clamp(least, most_ratio);
        let sizes = Sizes::new(d, asked.trim, wheel_ratio * sizes.exducer_m, swallowing);
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < CLOSE;
        let settled = near(next_inducer, d)
            && near(efficiency, assumed.efficiency)
            && near(ratio, assumed.back_pressure_ratio)
            && near(next_ratio, wheel_ratio)
            && near(
                next_boost.unwrap_or(0.0) + outside,
                boost.unwrap_or(0.0) + outside,
            );
        let duty = Duty {
            need: here,
            assumed: Assumed {
                efficiency: assumed.efficiency,
                back_pressure_ratio: ratio,
            },
            boost_pa: here.manifold_pa - outside,
            reference,
            air_each: here.air_kg_s / plant.count,
            inlet: (plant.inlet_at(here.air_kg_s).0.pa(), inlet_k),
            choke_room,
            shaft_speed_rev_min: turns,
            ideal_j_kg,
            best_wheel_m,
            turbine_power_w: power,
            turbine_work_j_kg: work,
            turbine_flow,
            exhaust_each: here.exhaust_kg_s / plant.count,
            swallowing_with_pulses: with_pulses,
            sizes,
        };
        if settled {
            return Ok(duty);
        }
        inducer = Some(next_inducer);
        boost = next_boost;
        // The wheel feeds back on the pressure before it: not all of the way at once.
        wheel_ratio += 0.7 * (next_ratio - wheel_ratio);
        assumed = Assumed {
            efficiency,
            back_pressure_ratio: ratio,
        };
    }
    Err(SizingError::NotFound)
}
