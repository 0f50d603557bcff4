//! Where it begins: light load at the engine's speed, the shaft in balance, then the throttle open.

use super::instant::{Guess, Instant, Rig, Way};
use super::{ResponseError, joined_pressure};
use crate::balance::{ShaftState, SpeedPoint};
use crate::build::Build;
use crate::fields::Field;
use crate::numeric::bracketed_root;
use std::cell::Cell;
use std::f64::consts::PI;

/// Slowest shaft that a balance is looked for at, rev/min.
const SLOWEST: f64 = 150.0;
/// Accuracy of the shaft's balance, in the logarithm of its speed.
const ACCURACY: f64 = 1e-9;

/// The states that are followed, at the moment the throttle opens.
#[derive(Debug, Clone, Copy)]
pub(super) struct Start {
    /// Shaft speed in rad/s, pressure in Pa, wall temperature in K.
    pub states: [f64; 3],
    pub guess: Guess,
}

/// The shaft in balance at light load, and the volumes joined.
pub(super) fn start(
    rig: Rig,
    build: &Build,
    point: &SpeedPoint,
    steady: &ShaftState,
) -> Result<Start, ResponseError> {
    let engine = &steady.engine;
    let hot = rig.settled_wall(engine.port_temperature, engine.exhaust);
    let cold = rig.plant.outside.temperature.kelvin();
    let wall = cold + build.get(Field::WarmManifold) * (hot - cold);
    let light = build.get(Field::LightLoad);
    let found = light_load(rig, point, light, wall).ok_or(ResponseError::Lost {
        speed: point.speed,
        time: 0.0,
        equation: "the power balance of the shaft at light load",
    })?;
    let pressure = joined_pressure(
        found.compressor.delivered,
        rig.constants.pipes,
        light,
        rig.constants.plenum,
    );
    Ok(Start {
        states: [found.shaft_speed * PI / 30.0, pressure, wall],
        guess: found.guess(),
    })
}

/// The instant at which the shaft is in balance, the manifold held at `light` in Pa by the throttle.
fn light_load(rig: Rig, point: &SpeedPoint, light: f64, wall: f64) -> Option<Instant> {
    let near: Cell<Option<Guess>> = Cell::new(None);
    let at = |log_speed: f64| {
        let spin = log_speed.exp() * PI / 30.0;
        let states = [spin, light, wall];
        let found = rig.instant(point, states, Way::Throttled, near.get())?;
        near.set(Some(found.guess()));
        Some(found)
    };
    let surplus = |log_speed: f64| at(log_speed).map_or(f64::NAN, |found| found.surplus());
    let (low, high) = (SLOWEST.ln(), rig.plant.shaft_speed_limit.ln());
    let ends = (surplus(low), surplus(high));
    let root = if ends.0 <= 0.0 {
        // Not even a creeping rotor is kept going.
        low
    } else {
        let found = bracketed_root((low, ends.0), (high, ends.1), ACCURACY, 100, surplus);
        found.converged.then_some(found.root)?
    };
    at(root)
}
