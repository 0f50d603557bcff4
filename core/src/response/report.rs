//! What is told of the way to boost: plain data, SI, speeds in rev/min.
//!
//! Pressures are absolute unless the name says `boost`. Powers are those of one turbocharger, flows
//! those of all together.

use super::instant::{Instant, Rig};
use super::integrate::Work;
use crate::run::Held;
use serde::Serialize;

/// One instant of the way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sample {
    /// Seconds after the throttle was opened.
    pub time_s: f64,
    /// Engine speed, rev/min.
    pub engine_speed_rev_min: f64,
    /// Boost, Pa gauge.
    pub boost_pa: f64,
    /// Shaft speed, rev/min.
    pub shaft_speed_rev_min: f64,
    /// Pressure before the turbine, Pa.
    pub turbine_inlet_pa: f64,
    /// Temperature before the turbine, K.
    pub turbine_inlet_k: f64,
    /// Temperature of the exhaust manifold's wall, K.
    pub manifold_wall_k: f64,
    /// Temperature of the charge, K.
    pub charge_k: f64,
    /// Air through the compressors, kg/s.
    pub compressor_flow_kg_s: f64,
    /// Air into the engine, kg/s; what is between the two fills the volume.
    pub engine_flow_kg_s: f64,
    /// Pressure ratio of the compressor.
    pub pressure_ratio: f64,
    /// Corrected flow of one compressor, kg/s at its map's reference.
    pub corrected_flow_kg_s: f64,
    /// Torque at the crank, N m.
    pub torque_nm: f64,
    /// Power of one turbine, W.
    pub turbine_power_w: f64,
    /// Power of one compressor, W.
    pub compressor_power_w: f64,
    /// Loss in one turbocharger's bearings, W.
    pub bearing_power_w: f64,
    /// Left of the surge line, where it counts (see the field `surge_from_ratio`).
    pub surging: bool,
    /// Outside of what the map covers.
    pub extrapolated: bool,
}

impl Sample {
    pub(super) fn of(rig: Rig, time: f64, at: &Instant) -> Self {
        let place = &at.compressor.place;
        let reading = rig.plant.map.read(place.flow, place.pressure_ratio);
        Self {
            time_s: time,
            engine_speed_rev_min: at.speed,
            boost_pa: at.pressure.gauge(rig.plant.outside.pressure).pa(),
            shaft_speed_rev_min: at.shaft_speed,
            turbine_inlet_pa: at.p3.pa(),
            turbine_inlet_k: at.t3.kelvin(),
            manifold_wall_k: at.wall,
            charge_k: at.compressor.cooled.kelvin(),
            compressor_flow_kg_s: at.compressor.flow,
            engine_flow_kg_s: at.air,
            pressure_ratio: place.pressure_ratio,
            corrected_flow_kg_s: place.flow,
            torque_nm: at.torque(rig.plant),
            turbine_power_w: at.turbine_power,
            compressor_power_w: at.compressor_power,
            bearing_power_w: at.bearing_power,
            surging: reading.surging && place.pressure_ratio > rig.plant.surge_from_ratio,
            extrapolated: reading.extrapolated,
        }
    }
}

/// Whether and when boost comes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// 90 % of the boost asked is there.
    At {
        /// Seconds after the throttle was opened.
        time_s: f64,
    },
    /// It settles below that, however long one waits.
    Never {
        /// Boost that it settles at, Pa gauge.
        boost_pa: f64,
        /// What holds it there.
        why: Held,
    },
    /// It would come, but had not after a time that nobody waits for.
    Later {
        /// That time, s.
        after_s: f64,
        /// Boost by then, Pa gauge.
        boost_pa: f64,
    },
}

impl Reach {
    /// The time, s, if boost comes.
    #[must_use]
    pub fn time(&self) -> Option<f64> {
        match self {
            Reach::At { time_s } => Some(*time_s),
            Reach::Never { .. } | Reach::Later { .. } => None,
        }
    }
}

/// The way to boost at one engine speed.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Spool {
    /// Engine speed, rev/min.
    pub engine_speed_rev_min: f64,
    /// Boost asked, Pa gauge.
    pub boost_asked_pa: f64,
    /// Boost that the turbine can drive in the end, up to what is asked, Pa gauge.
    pub boost_settled_pa: f64,
    /// When 90 % of it is there.
    pub reach: Reach,
    /// The way, from the moment the throttle is opened until the boost asked is there; empty where
    /// only the time was asked for. From its end the gate holds.
    pub trace: Vec<Sample>,
    /// The rotor passes left of the surge line on its way; known with a trace.
    pub through_surge: bool,
    /// Moment of inertia of one rotor, kg m².
    pub inertia_kg_m2: f64,
    /// It is estimated from the wheels' sizes.
    pub inertia_estimated: bool,
    /// How much work it was.
    pub work: Work,
}

/// The time to boost at one engine speed of a curve.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CurvePoint {
    /// Engine speed, rev/min.
    pub engine_speed_rev_min: f64,
    /// Boost asked, Pa gauge.
    pub boost_asked_pa: f64,
    /// When 90 % of it is there; `None` where there is no answer.
    pub reach: Option<Reach>,
    /// Why there is no answer.
    pub problem: Option<String>,
}

/// The time to boost over engine speed.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SpoolCurve {
    /// From idle to redline, rising.
    pub points: Vec<CurvePoint>,
    /// Moment of inertia of one rotor, kg m².
    pub inertia_kg_m2: f64,
    /// It is estimated from the wheels' sizes.
    pub inertia_estimated: bool,
    /// How much work it was.
    pub work: Work,
}
