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
/// Most rounds for a wall that settles, and its accuracy, K.
const MOST_ROUNDS: usize = 20;
const WALL_ACCURACY: f64 = 1e-3;
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
    let light = build.get(Field::LightLoad);
    let lost = || ResponseError::Lost {
        speed: point.speed,
        time: 0.0,
        equation: "the power balance of the shaft at light load",
    };
    let cold = rig.plant.outside.temperature.kelvin();
    let (found, wall) = match build.optional(Field::WarmManifold) {
        Some(warm) => {
            let engine = &steady.engine;
            let hot = rig.settled_wall(engine.port_temperature, engine.exhaust);
            let wall = cold + warm * (hot - cold);
            (light_load(rig, point, light, wall).ok_or_else(lost)?, wall)
        }
        None => settled(rig, point, light).ok_or_else(lost)?,
    };
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

/// The same with the wall as warm as that light load makes it in the end. The gas at the ports hardly
/// knows of the wall, so that a few rounds settle it.
fn settled(rig: Rig, point: &SpeedPoint, light: f64) -> Option<(Instant, f64)> {
    let mut wall = rig.plant.manifold.wall.kelvin();
    for _ in 0..MOST_ROUNDS {
        let found = light_load(rig, point, light, wall)?;
        let burned = &found.burned;
        let next = rig.settled_wall(burned.port_temperature, burned.exhaust);
        if (next - wall).abs() <= WALL_ACCURACY {
            return Some((found, wall));
        }
        wall = next;
    }
    None
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
