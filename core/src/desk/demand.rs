//! What the engine asks of a turbocharger that nobody has chosen yet.
//!
//! Losses, breathing and combustion do not depend on the turbocharger but for two things: how hot its
//! compressor makes the air, and the pressure before its turbine. Both are assumed here, as an
//! efficiency and as a ratio to manifold pressure; the rest is the same rooms that a match runs.

use crate::air_way::wastegate::mixed_enthalpy;
use crate::balance::Plant;
use crate::build::Build;
use crate::fields::Field;
use crate::numeric::bracketed_root;
use crate::quantity::{AbsolutePressure, GaugePressure, Temperature};
use crate::run::speed::{brake_power, swept_rate, torque};
use crate::run::{HIGHEST_BOOST, asked, engine_speeds};

/// What is assumed of a turbocharger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Assumed {
    /// Compressor efficiency, total-to-total.
    pub efficiency: f64,
    /// Pressure before the turbine over manifold pressure.
    pub back_pressure_ratio: f64,
}

/// What the ideal turbocharger is that candidates are held against: the pressure before the turbine
/// is that in the manifold, the compressor as good as they come. A judgement, no source.
pub(crate) const IDEAL: Assumed = Assumed {
    efficiency: 0.76,
    back_pressure_ratio: 1.0,
};

/// Engine speeds at which the boost for a power is looked for.
const POWER_SPEEDS: usize = 24;
/// Accuracy of that boost, Pa.
const BOOST_ACCURACY: f64 = 20.0;
/// Rounds in which manifold temperature is found; each leaves some twentieth of the miss.
const ROUNDS: usize = 40;
/// Accuracy of it, K.
const ACCURACY: f64 = 1e-7;

/// What one engine speed asks for. Flows are of all turbochargers together unless they say so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Need {
    /// Engine speed, rev/min.
    pub speed_rev_min: f64,
    /// Manifold pressure, Pa.
    pub manifold_pa: f64,
    /// Humid air, kg/s.
    pub air_kg_s: f64,
    /// Exhaust gas, kg/s.
    pub exhaust_kg_s: f64,
    /// Flow of one compressor, kg/s corrected to the reference of the build's map.
    pub corrected_flow_kg_s: f64,
    /// Compressor pressure ratio.
    pub pressure_ratio: f64,
    /// Work of the compressor, J/kg.
    pub work_j_kg: f64,
    /// Its outlet's temperature, K.
    pub outlet_k: f64,
    /// Gas before the turbine: Pa, K.
    pub before_turbine: (f64, f64),
    /// Pressure behind it, Pa.
    pub behind_turbine_pa: f64,
    /// Power at the crank, W.
    pub power_w: f64,
    /// Torque at the crank, N m.
    pub torque_nm: f64,
}

/// What the build asks at an engine speed in rev/min. `boost`, Pa gauge, takes the place of what the
/// build asks.
pub(crate) fn need(
    plant: &Plant,
    build: &Build,
    boost: Option<f64>,
    speed: f64,
    assumed: Assumed,
) -> Need {
    let outside = plant.outside.pressure;
    let pm = GaugePressure::new(asked(build, boost, speed)).above(outside);
    let p3 = AbsolutePressure::new(assumed.back_pressure_ratio * pm.pa());
    let point = plant.at_speed(build, speed);
    let at = plant.at_pressure(&point, pm);
    let gas = &plant.outside.air.mixture;
    let inlet_k = plant.map_temperatures().0;
    let mut tm = Temperature::new(plant.outside.temperature.kelvin() + 20.0);
    let mut round = || {
        let (charge, air) = plant.breathe(&at, p3, tm);
        let (inlet, corrected) = plant.inlet_at(air);
        let p2 = pm + plant.cooler.loss(air, pm);
        let pressure_ratio = p2.pa() / inlet.pa();
        let work = gas.isentropic_work(inlet_k, pressure_ratio) / assumed.efficiency;
        let t2 = plant.outlet_temperature(work);
        let next = plant.cooler.cool(air, t2);
        let moved = next.kelvin() - tm.kelvin();
        tm = next;
        (charge, air, corrected, pressure_ratio, work, t2, moved)
    };
    let mut found = round();
    for _ in 0..ROUNDS {
        if found.6.abs() < ACCURACY {
            break;
        }
        found = round();
    }
    let (charge, air, corrected, pressure_ratio, work, t2, _) = found;
    let burned = plant.burn(&at, p3, tm, &charge, air);
    let t3 = plant.manifold.cool(burned.port_temperature, burned.exhaust);
    // The gas gives the compressor its work, whichever share of it the gate passes.
    let products = plant.gas();
    let h4 = mixed_enthalpy(
        products.enthalpy(t3.kelvin()),
        air / burned.exhaust,
        work.max(0.0),
    );
    let t4 = products.temperature_from_enthalpy(h4, t3.kelvin() - 100.0);
    let loss = plant
        .exhaust
        .loss(burned.exhaust, Temperature::new(t4), outside);
    let swept = swept_rate(plant.displacement, speed);
    let fmep = plant
        .friction
        .fmep(point.piston_speed, plant.friction.peak_pressure(pm));
    let power = brake_power(burned.gross / swept, burned.pmep, fmep, swept);
    Need {
        speed_rev_min: speed,
        manifold_pa: pm.pa(),
        air_kg_s: air,
        exhaust_kg_s: burned.exhaust,
        corrected_flow_kg_s: corrected,
        pressure_ratio,
        work_j_kg: work,
        outlet_k: t2.kelvin(),
        before_turbine: (p3.pa(), t3.kelvin()),
        behind_turbine_pa: (outside + loss).pa(),
        power_w: power,
        torque_nm: torque(power, speed),
    }
}

/// Boost, Pa gauge, with which an assumed turbocharger gives the power that the build asks for;
/// `None` where it asks for none. The most that is tried where even that is not enough.
pub(crate) fn boost_for_power(plant: &Plant, build: &Build, assumed: Assumed) -> Option<f64> {
    let power = build.optional(Field::PowerTarget)?;
    let excess = |boost: f64| {
        engine_speeds(build, POWER_SPEEDS)
            .map(|speed| need(plant, build, Some(boost), speed, assumed).power_w)
            .fold(f64::NEG_INFINITY, f64::max)
            - power
    };
    let low = build.get(Field::GateSpring);
    let (at_low, at_high) = (excess(low), excess(HIGHEST_BOOST));
    if at_low >= 0.0 {
        return Some(low);
    }
    if at_high <= 0.0 {
        return Some(HIGHEST_BOOST);
    }
    let found = bracketed_root(
        (low, at_low),
        (HIGHEST_BOOST, at_high),
        BOOST_ACCURACY,
        60,
        excess,
    );
    Some(found.root)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::balance::Plant;
    use crate::{example_build, solve};

    /// With what a match settled at put in, the demand is the match.
    #[test]
    fn with_a_matchs_own_figures_it_is_the_match() {
        let build = example_build().expect("ours");
        let plant = Plant::new(&build).expect("sound");
        let found = solve(&build).expect("solves");
        let mut seen = 0;
        for s in &found.speeds {
            let Some(efficiency) = s.compressor_efficiency else {
                continue;
            };
            let assumed = Assumed {
                efficiency,
                back_pressure_ratio: s.back_pressure_ratio,
            };
            let n = need(
                &plant,
                &build,
                Some(s.boost_pa),
                s.engine_speed_rev_min,
                assumed,
            );
            // The spring holds more than is built at the lowest speeds.
            if s.boost_pa < build.get(Field::GateSpring) {
                continue;
            }
            seen += 1;
            let near = |a: f64, b: f64, by: f64| assert!((a / b - 1.0).abs() < by, "{a} {b}");
            near(n.air_kg_s, s.outside.flow_kg_s, 1e-5);
            near(n.pressure_ratio, s.pressure_ratio, 1e-5);
            near(n.power_w, s.power_w, 1e-5);
            near(n.outlet_k, s.compressor_outlet.temperature_k, 1e-5);
            near(n.before_turbine.1, s.turbine_inlet.temperature_k, 1e-5);
            // Bearings take a little more from the gas than the compressor does.
            near(n.behind_turbine_pa, s.turbine_outlet.pressure_pa, 1e-3);
        }
        assert!(seen > 50, "{seen}");
    }
}
