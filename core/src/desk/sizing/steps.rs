//! How sizes came about, step by step.

use super::Asked;
use super::duty::Duty;
use super::wheels::{
    a_over_r_for, choke_flow_needed, exducer, gas_for_power, gate_share, swallowing_for,
    wheel_for_gas,
};
use crate::air_way::compressor::corrected_flow;
use crate::air_way::turbine::{estimated_swallowing, ideal_gas_speed, tip_speed};
use crate::build::Build;
use crate::fields::Field;
use crate::formula::Formula;
use crate::quantity::Kind;

/// What a step's value measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// SI, of this kind.
    Kind(Kind),
    /// rev/min, of engine or shaft.
    RevPerMin,
    /// J/kg.
    Work,
}

/// Where a step's value comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum How {
    /// Worked out.
    Formula {
        /// By this.
        formula: &'static Formula,
        /// Keys of the steps put in, in the order of the formula's arguments.
        inputs: Vec<&'static str>,
    },
    /// From the build.
    Build(Field),
    /// Assumed, or asked for with the sizing.
    Assumed(&'static str),
    /// Solved for, or read off: how.
    Solved(&'static str),
}

/// One number on the way to sizes.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its key, unique in a sizing.
    pub key: &'static str,
    /// What it is.
    pub name: &'static str,
    /// Its symbol: what follows an underline is set below.
    pub symbol: &'static str,
    /// What it measures.
    pub unit: Unit,
    /// Its value.
    pub value: f64,
    /// Where it comes from.
    pub how: How,
}

/// Key, name, symbol.
type Label = (&'static str, &'static str, &'static str);

/// The steps of a sizing, in the order of the air's way.
pub(super) fn steps(build: &Build, asked: &Asked, duty: &Duty) -> Vec<Step> {
    let mut all: Vec<Step> = Vec::new();
    let mut push = |(key, name, symbol): Label, unit, value, how| {
        all.push(Step {
            key,
            name,
            symbol,
            unit,
            value,
            how,
        });
    };
    let by = |formula, inputs: &[&'static str]| How::Formula {
        formula,
        inputs: inputs.to_vec(),
    };
    let kind = Unit::Kind;
    let need = &duty.need;
    let goal = if build.optional(Field::PowerTarget).is_some() {
        How::Solved("the boost that gives the power asked, with these sizes")
    } else if build.boost_curve().is_some() {
        How::Solved("read off the boost asked over engine speed")
    } else {
        How::Build(Field::BoostTarget)
    };
    push(
        ("boost", "Boost asked", "p_boost"),
        kind(Kind::GaugePressure),
        duty.boost_pa,
        goal,
    );
    push(
        ("engine_speed", "Engine speed with the most flow", "n"),
        Unit::RevPerMin,
        need.speed_rev_min,
        How::Solved("the most corrected flow from the lowest engine speed to the redline"),
    );
    push(
        (
            "back_pressure_ratio",
            "Pressure before the turbine over manifold pressure",
            "r",
        ),
        kind(Kind::Ratio),
        duty.assumed.back_pressure_ratio,
        How::Solved(
            "the one at which the gate passes its share: the least that is asked, more where boost is to be earlier or the housing one that is made",
        ),
    );
    push(
        ("efficiency", "Compressor efficiency", "η_c"),
        kind(Kind::Fraction),
        duty.assumed.efficiency,
        How::Solved("read off the map estimated for the wheel"),
    );
    push(
        ("air", "Air of the engine", "m_air"),
        kind(Kind::MassFlow),
        need.air_kg_s,
        How::Solved("breathing, losses and cooler of the engine at that boost, as in a match"),
    );
    push(
        ("pressure_ratio", "Pressure ratio of the compressor", "Π"),
        kind(Kind::Ratio),
        need.pressure_ratio,
        How::Solved("boost with the losses of filter and cooler at that flow"),
    );
    push(
        ("air_each", "Air of one compressor", "m_1"),
        kind(Kind::MassFlow),
        duty.air_each,
        How::Solved("shared alike by all turbochargers"),
    );
    push(
        ("inlet_temperature", "Air at the inlet", "T_1"),
        kind(Kind::Temperature),
        duty.inlet.1,
        How::Solved("outside, and what it warms under the bonnet"),
    );
    push(
        ("inlet_pressure", "Pressure at the inlet", "p_1"),
        kind(Kind::AbsolutePressure),
        duty.inlet.0,
        How::Solved("outside, less what the filter loses"),
    );
    push(
        ("reference_temperature", "Map's temperature", "T_ref"),
        kind(Kind::Temperature),
        duty.reference.temperature_k,
        How::Assumed("the reference state of the map that is fitted"),
    );
    push(
        ("reference_pressure", "Map's pressure", "p_ref"),
        kind(Kind::AbsolutePressure),
        duty.reference.pressure_pa,
        How::Assumed("the reference state of the map that is fitted"),
    );
    push(
        ("corrected_flow", "Corrected flow", "m_c"),
        kind(Kind::MassFlow),
        need.corrected_flow_kg_s,
        by(
            &corrected_flow::FORMULA,
            &[
                "air_each",
                "inlet_temperature",
                "reference_temperature",
                "inlet_pressure",
                "reference_pressure",
            ],
        ),
    );
    push(
        ("choke_room", "Room before choke", "ρ"),
        kind(Kind::Fraction),
        duty.choke_room,
        How::Assumed("the least room asked, some in hand, and what other engine speeds take of it"),
    );
    push(
        ("choke_flow", "Flow at choke", "m_choke"),
        kind(Kind::MassFlow),
        choke_flow_needed(need.corrected_flow_kg_s, duty.choke_room),
        by(
            &choke_flow_needed::FORMULA,
            &["corrected_flow", "choke_room"],
        ),
    );
    push(
        ("inducer", "Compressor inducer", "d_1"),
        kind(Kind::Length),
        duty.sizes.inducer_m,
        How::Solved("the wheel whose estimated map chokes there: the estimate turned round"),
    );
    push(
        ("trim", "Trim", "t"),
        kind(Kind::Ratio),
        asked.trim,
        How::Assumed("common practice, no source: 45 to 65"),
    );
    push(
        ("exducer", "Compressor exducer", "d_2"),
        kind(Kind::Length),
        duty.sizes.exducer_m,
        by(&exducer::FORMULA, &["inducer", "trim"]),
    );
    push(
        ("shaft_speed", "Shaft speed", "n_shaft"),
        Unit::RevPerMin,
        duty.shaft_speed_rev_min,
        How::Solved("read off the estimated map at that flow and pressure ratio"),
    );
    push(
        ("tip_speed", "Compressor tip speed", "u_2"),
        kind(Kind::Speed),
        tip_speed(duty.sizes.exducer_m, duty.shaft_speed_rev_min),
        by(&tip_speed::FORMULA, &["exducer", "shaft_speed"]),
    );
    push(
        ("turbine_pressure", "Pressure before the turbine", "p_3"),
        kind(Kind::AbsolutePressure),
        need.before_turbine.0,
        How::Solved("that ratio of the manifold's"),
    );
    push(
        ("turbine_temperature", "Gas before the turbine", "T_3"),
        kind(Kind::Temperature),
        need.before_turbine.1,
        How::Solved("combustion and exhaust manifold, as in a match"),
    );
    push(
        ("outlet_pressure", "Pressure behind the turbine", "p_4"),
        kind(Kind::AbsolutePressure),
        need.behind_turbine_pa,
        How::Solved("outside, and what the tailpipe loses"),
    );
    push(
        ("ideal_work", "Work of an ideal expansion", "Δh_s"),
        Unit::Work,
        duty.ideal_j_kg,
        How::Solved("the gas from there to the pressure behind the turbine"),
    );
    push(
        ("gas_speed", "Gas speed after it", "C_0"),
        kind(Kind::Speed),
        ideal_gas_speed(duty.ideal_j_kg),
        by(&ideal_gas_speed::FORMULA, &["ideal_work"]),
    );
    push(
        ("best_speed_ratio", "Best U/C0", "b"),
        kind(Kind::Ratio),
        build.get(Field::TurbineBestSpeedRatio),
        How::Build(Field::TurbineBestSpeedRatio),
    );
    push(
        ("best_wheel", "Turbine wheel that runs at it", "d_best"),
        kind(Kind::Length),
        duty.best_wheel_m,
        by(
            &wheel_for_gas::FORMULA,
            &["best_speed_ratio", "gas_speed", "shaft_speed"],
        ),
    );
    push(
        ("turbine_wheel", "Turbine inducer", "d_3"),
        kind(Kind::Length),
        duty.sizes.turbine_inducer_m,
        How::Solved(
            "the best wheel, held to 0.80 to 0.95 of the compressor's exducer, and moved between them where its housing would be none that is made",
        ),
    );
    push(
        ("turbine_power", "Power of one turbine", "P_t"),
        kind(Kind::Power),
        duty.turbine_power_w,
        How::Solved("the compressor's and the bearings'"),
    );
    push(
        ("turbine_work", "Work of the gas in it", "w_t"),
        Unit::Work,
        duty.turbine_work_j_kg,
        How::Solved("the turbine's efficiency at that blade speed, with pulses"),
    );
    push(
        ("turbine_flow", "Gas through one turbine", "m_t"),
        kind(Kind::MassFlow),
        duty.turbine_flow,
        by(&gas_for_power::FORMULA, &["turbine_power", "turbine_work"]),
    );
    push(
        ("exhaust_each", "Exhaust for each", "m_g"),
        kind(Kind::MassFlow),
        duty.exhaust_each,
        How::Solved("air and fuel, shared alike"),
    );
    push(
        ("gate_share", "Past the gate", "g"),
        kind(Kind::Fraction),
        gate_share(duty.turbine_flow, duty.exhaust_each),
        by(&gate_share::FORMULA, &["turbine_flow", "exhaust_each"]),
    );
    push(
        ("exponent", "Swallowing exponent", "k"),
        kind(Kind::Ratio),
        build.get(Field::TurbineExponent),
        How::Build(Field::TurbineExponent),
    );
    push(
        ("swallowing", "Swallowing", "W"),
        kind(Kind::Swallowing),
        duty.swallowing_with_pulses,
        by(
            &swallowing_for::FORMULA,
            &[
                "turbine_flow",
                "turbine_temperature",
                "turbine_pressure",
                "outlet_pressure",
                "exponent",
            ],
        ),
    );
    push(
        ("pulse_flow", "Pulses, flow", "f"),
        kind(Kind::Ratio),
        build.get(Field::PulseFlow),
        How::Build(Field::PulseFlow),
    );
    push(
        ("steady_swallowing", "Swallowing, steady", "W_s"),
        kind(Kind::Swallowing),
        duty.sizes.swallowing,
        by(&gas_for_power::FORMULA, &["swallowing", "pulse_flow"]),
    );
    push(
        ("one", "A/R of one", "a_1"),
        kind(Kind::Ratio),
        1.0,
        How::Assumed("what the next is quoted at"),
    );
    push(
        ("at_one", "Swallowing of that wheel at an A/R of 1", "W_1"),
        kind(Kind::Swallowing),
        estimated_swallowing(duty.sizes.turbine_inducer_m, 1.0),
        by(&estimated_swallowing::FORMULA, &["turbine_wheel", "one"]),
    );
    push(
        ("a_over_r", "Housing A/R", "a"),
        kind(Kind::Ratio),
        duty.sizes.a_over_r,
        by(&a_over_r_for::FORMULA, &["steady_swallowing", "at_one"]),
    );
    all
}
