//! A pull in gear: full throttle from one engine speed to another, and the same with boost at once.
//!
//! The vehicle sets how fast engine speed rises, and engine speed what the shaft is given. Where boost
//! has caught up with what the match holds at that speed, the gate makes it follow the match, for as
//! long as the turbine can turn the shaft up as fast as the match's rises; else the gate is shut and
//! boost falls behind again.

use super::instant::{Instants, Rig};
use super::integrate::{Accuracy, Go, Step, Work, integrate};
use super::spool::moment;
use super::start::{Start, start};
use super::{Response, ResponseError, Sample};
use crate::balance::SpeedPoint;
use crate::build::Build;
use crate::fields::Field;
use crate::formula;
use crate::numeric::Curve;
use crate::quantity::GaugePressure;
use crate::run::{Held, speed};
use serde::Serialize;
use std::f64::consts::PI;

/// Standard acceleration of free fall, m/s² (ISO 80000-3).
const GRAVITY: f64 = 9.806_65;
/// Engine speeds at which the match is worked out.
const SPEEDS: usize = 48;
/// Longest pull that is followed, s.
const LONGEST: f64 = 300.0;
/// Most turns between following the shut gate and following the match.
const MOST_TURNS: usize = 100;
/// Samples within each step in time while boost is coming, and while the match is followed.
const SAMPLES: usize = 2;
const SAMPLES_FOLLOWING: usize = 8;
/// Share of its speed, each second, that a shaft may fall short of the match's before it counts as
/// behind.
const SLACK: f64 = 0.005;
/// Of shaft speed in rad/s, pressure in Pa, wall temperature in K, engine speed in rad/s, way in m.
const ACCURACY: Accuracy<5> = Accuracy {
    relative: 1e-5,
    absolute: [0.1, 2.0, 0.1, 1e-3, 1e-3],
};
/// Of wall temperature, engine speed, way.
const FOLLOWING: Accuracy<3> = Accuracy {
    relative: 1e-6,
    absolute: [0.1, 1e-3, 1e-3],
};

formula! {
    /// Speed of the vehicle, m/s, at engine speed in rad/s.
    pub fn road_speed(engine, radius, ratio) = engine * radius / ratio;
    source "geometry, no slip";

    /// Force at the wheels, N, from torque at the crank in N m.
    pub fn wheel_force(torque, efficiency, ratio, radius) = torque * efficiency * ratio / radius;
    source "power through the driveline";

    /// Force against the vehicle, N: air of a density in kg/m³ at a speed in m/s, and rolling.
    pub fn resistance(density, drag_area, speed, rolling, mass, gravity) =
        0.5 * density * drag_area * speed.powi(2) + rolling * mass * gravity;
    source "Heywood 1988, eq. 2.16";

    /// Acceleration of the vehicle, m/s², with a share of its mass allowed for what turns.
    pub fn acceleration(force, against, mass, turning) = (force - against) / (mass * (1.0 + turning));
    source "second law";
}

/// One instant of a pull.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PullSample {
    /// Seconds after the throttle was opened.
    pub time_s: f64,
    /// Engine speed, rev/min.
    pub engine_speed_rev_min: f64,
    /// Speed of the vehicle, m/s.
    pub road_speed_m_s: f64,
    /// Way from where the throttle was opened, m.
    pub distance_m: f64,
    /// Boost, Pa gauge.
    pub boost_pa: f64,
    /// Shaft speed, rev/min.
    pub shaft_speed_rev_min: f64,
    /// Torque at the crank, N m.
    pub torque_nm: f64,
    /// The gate is shut and boost is still coming; if not, it is that of the match.
    pub lagging: bool,
    /// Left of the surge line, where it counts; known while boost is coming.
    pub surging: bool,
}

/// A pull in gear, beside the same with boost at once.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Pull {
    /// The pull.
    pub samples: Vec<PullSample>,
    /// The same with the match's boost at every speed.
    pub at_once: Vec<PullSample>,
    /// How long it takes, s.
    pub time_s: f64,
    /// How long it takes with boost at once, s.
    pub time_at_once_s: f64,
    /// What waiting for boost costs, s.
    pub lost_s: f64,
    /// How far behind the vehicle is when the one with boost at once is through, m.
    pub lost_m: f64,
    /// Moment of inertia of one rotor, kg m².
    pub inertia_kg_m2: f64,
    /// It is estimated from the wheels' sizes.
    pub inertia_estimated: bool,
    /// How much work it was.
    pub work: Work,
}

/// The vehicle.
#[derive(Debug, Clone, Copy)]
struct Vehicle {
    mass: f64,
    ratio: f64,
    radius: f64,
    drag_area: f64,
    rolling: f64,
    turning: f64,
    efficiency: f64,
    /// Density of the air outside, kg/m³.
    density: f64,
}

impl Vehicle {
    /// Engine's acceleration, rad/s², and road speed, m/s, at engine speed in rad/s and torque in N m.
    fn rates(&self, engine: f64, torque: f64) -> [f64; 2] {
        let speed = road_speed(engine, self.radius, self.ratio);
        let force = wheel_force(torque, self.efficiency, self.ratio, self.radius);
        let against = resistance(
            self.density,
            self.drag_area,
            speed,
            self.rolling,
            self.mass,
            GRAVITY,
        );
        let gain = acceleration(force, against, self.mass, self.turning);
        [gain * self.ratio / self.radius, speed]
    }
}

/// What the match holds over engine speed in rad/s.
struct Match {
    /// Pa.
    pressure: Curve,
    /// Where the gate opens, Pa: what the match holds, or what is asked where it never gets there.
    opens: Curve,
    /// rad/s.
    shaft: Curve,
    /// N m.
    torque: Curve,
    /// Gas at the ports: temperature in K, flow in kg/s.
    ports: Curve,
    exhaust: Curve,
}

/// Engine speed in rev/min.
fn turns(engine: f64) -> f64 {
    engine * 30.0 / PI
}

/// A vehicle that no longer gains speed never comes to the end.
fn gains<const N: usize>(engine: f64, rates: [f64; N]) -> Result<[f64; N], ResponseError> {
    // Its gain of speed is the last but one of the rates.
    if rates[N - 2] > 0.0 {
        Ok(rates)
    } else {
        Err(ResponseError::Stalls {
            speed: turns(engine),
        })
    }
}

/// A pull on its way.
struct Way<'a> {
    build: &'a Build,
    rig: Rig<'a>,
    vehicle: Vehicle,
    held: Match,
    /// Engine speed at which it ends, rad/s.
    end: f64,
    samples: Vec<PullSample>,
    work: Work,
}

impl Way<'_> {
    fn point(&self, engine: f64) -> SpeedPoint {
        self.rig.plant.at_speed(self.build, turns(engine))
    }

    /// A sample while the match is followed.
    fn following(&self, time: f64, engine: f64, distance: f64) -> PullSample {
        let outside = self.rig.plant.outside.pressure.pa();
        PullSample {
            time_s: time,
            engine_speed_rev_min: turns(engine),
            road_speed_m_s: road_speed(engine, self.vehicle.radius, self.vehicle.ratio),
            distance_m: distance,
            boost_pa: self.held.pressure.at(engine) - outside,
            shaft_speed_rev_min: turns(self.held.shaft.at(engine)),
            torque_nm: self.held.torque.at(engine),
            lagging: false,
            surging: false,
        }
    }

    /// Follows the shut gate from `states` at `time` in s until boost has caught up with the match or
    /// the pull is through; the time and the states there.
    fn lag(
        &mut self,
        time: f64,
        states: [f64; 5],
        instants: &Instants,
    ) -> Result<(f64, [f64; 5]), ResponseError> {
        let mut end = (time, states);
        let mut samples = Vec::new();
        let (held, vehicle) = (&self.held, &self.vehicle);
        let behind = |s: &[f64; 5]| s[1] - held.opens.at(s[3]);
        let work = integrate(
            |after, s: &[f64; 5]| {
                let found = instants.at(&self.point(s[3]), [s[0], s[1], s[2]], time + after)?;
                let [engine, road] = vehicle.rates(s[3], found.torque(self.rig.plant));
                let [shaft, pressure, wall] = found.rates;
                gains(s[3], [shaft, pressure, wall, engine, road])
            },
            &states,
            LONGEST,
            &ACCURACY,
            |step: &Step<'_, 5>| {
                let through = moment(step, |s| s[3], self.end);
                let caught = if step.to > step.from && behind(&step.at(step.from)) < 0.0 {
                    moment(step, behind, 0.0)
                } else {
                    None
                };
                let stop = [through, caught].into_iter().flatten().reduce(f64::min);
                let to = stop.unwrap_or(step.to);
                let count = if step.to > step.from { SAMPLES } else { 1 };
                for i in 1..=count {
                    let after = step.from + (to - step.from) * i as f64 / count as f64;
                    let s = step.at(after);
                    let found = instants.at(&self.point(s[3]), [s[0], s[1], s[2]], time + after)?;
                    let sample = Sample::of(self.rig, time + after, &found);
                    samples.push(PullSample {
                        time_s: sample.time_s,
                        engine_speed_rev_min: sample.engine_speed_rev_min,
                        road_speed_m_s: road_speed(s[3], vehicle.radius, vehicle.ratio),
                        distance_m: s[4],
                        boost_pa: sample.boost_pa,
                        shaft_speed_rev_min: sample.shaft_speed_rev_min,
                        torque_nm: sample.torque_nm,
                        lagging: true,
                        surging: sample.surging,
                    });
                }
                end = (time + to, step.at(to));
                Ok(if stop.is_some() {
                    Go::NoFurther
                } else {
                    Go::On
                })
            },
        )?;
        self.work = self.work.and(work);
        self.samples.append(&mut samples);
        Ok(end)
    }

    /// Whether the turbine, its gate shut, gives too little to turn the shaft up as fast as that of
    /// the match.
    fn falls_behind(
        &self,
        time: f64,
        [wall, engine, _]: [f64; 3],
        instants: &Instants,
    ) -> Result<bool, ResponseError> {
        let (shaft, slope) = self.held.shaft.at_with_slope(engine);
        let states = [shaft, self.held.pressure.at(engine), wall];
        let found = instants.at(&self.point(engine), states, time)?;
        let [gain, _] = self.vehicle.rates(engine, self.held.torque.at(engine));
        // The volume takes some of the shaft's power too, which is in the rate with the gate shut.
        Ok(found.rates[0] < slope * gain - SLACK * shaft)
    }

    /// Follows the match from `states` (wall, engine, way) at `time` in s until the turbine falls
    /// behind or the pull is through.
    fn follow(
        &mut self,
        time: f64,
        states: [f64; 3],
        instants: Option<&Instants>,
    ) -> Result<(f64, [f64; 3]), ResponseError> {
        let mut end = (time, states);
        let mut samples = Vec::new();
        let (held, vehicle) = (&self.held, &self.vehicle);
        let work = integrate(
            |_, s: &[f64; 3]| {
                let [engine, road] = vehicle.rates(s[1], held.torque.at(s[1]));
                let ports = crate::quantity::Temperature::new(held.ports.at(s[1]));
                let (_, wall) = self.rig.beside_wall(ports, held.exhaust.at(s[1]), s[0]);
                gains(s[1], [wall, engine, road])
            },
            &states,
            LONGEST,
            &FOLLOWING,
            |step: &Step<'_, 3>| {
                let through = moment(step, |s| s[1], self.end);
                let to = through.unwrap_or(step.to);
                let count = if step.to > step.from {
                    SAMPLES_FOLLOWING
                } else {
                    1
                };
                for i in 1..=count {
                    let after = step.from + (to - step.from) * i as f64 / count as f64;
                    let s = step.at(after);
                    samples.push(self.following(time + after, s[1], s[2]));
                    end = (time + after, s);
                    if let Some(instants) = instants
                        && self.falls_behind(time + after, s, instants)?
                    {
                        return Ok(Go::NoFurther);
                    }
                }
                Ok(if through.is_some() {
                    Go::NoFurther
                } else {
                    Go::On
                })
            },
        )?;
        self.work = self.work.and(work);
        self.samples.append(&mut samples);
        Ok(end)
    }

    fn through(&self, engine: f64) -> bool {
        // The end is found to a moment, not to the last digit.
        engine >= self.end * (1.0 - 1e-6)
    }
}

/// Way at a time, between the samples around it.
fn way_at(samples: &[PullSample], time: f64) -> f64 {
    let pair = samples
        .windows(2)
        .find(|pair| pair[1].time_s >= time && pair[1].time_s > pair[0].time_s);
    match pair {
        Some([a, b]) => {
            // The road speed is known at both ends.
            let width = b.time_s - a.time_s;
            let share = (time - a.time_s) / width;
            let ends = (
                (a.distance_m, a.road_speed_m_s),
                (b.distance_m, b.road_speed_m_s),
            );
            crate::numeric::hermite(share, width, ends.0, ends.1).0
        }
        _ => samples.last().map_or(0.0, |s| s.distance_m),
    }
}

impl Response<'_> {
    fn vehicle(&self) -> Vehicle {
        let get = |field| self.build.get(field);
        let outside = &self.plant.outside;
        Vehicle {
            mass: get(Field::VehicleMass),
            ratio: get(Field::OverallRatio),
            radius: get(Field::TyreRadius),
            drag_area: get(Field::DragArea),
            rolling: get(Field::RollingResistance),
            turning: get(Field::RotatingMass),
            efficiency: get(Field::DrivelineEfficiency),
            density: crate::air_way::intake::density(
                outside.pressure.pa(),
                outside.air.mixture.gas_constant(),
                outside.temperature.kelvin(),
            ),
        }
    }

    /// The match between two engine speeds in rad/s, and where the shaft begins at the first.
    fn held_between(&mut self, from: f64, to: f64) -> Result<(Match, Start), ResponseError> {
        let mut columns: [Vec<(f64, f64)>; 6] = Default::default();
        let mut begin = None;
        for i in 0..SPEEDS {
            let engine = from + (to - from) * i as f64 / (SPEEDS - 1) as f64;
            let answer = self.steady(turns(engine))?;
            let state = &answer.state;
            if begin.is_none() {
                let point = self.plant.at_speed(self.build, turns(engine));
                begin = Some(start(self.rig(), self.build, &point, &answer.drivable)?);
            }
            let power = speed::power_at_crank(&self.plant, turns(engine), state);
            let asked = GaugePressure::new(self.asked(turns(engine)));
            let opens = match answer.held {
                Held::Drive | Held::Choke => asked.above(self.plant.outside.pressure),
                _ => state.pm,
            };
            let row = [
                state.pm.pa(),
                opens.pa(),
                state.engine.shaft_speed * PI / 30.0,
                speed::torque(power, turns(engine)),
                state.engine.port_temperature.kelvin(),
                state.engine.exhaust,
            ];
            for (column, value) in columns.iter_mut().zip(row) {
                column.push((engine, value));
            }
        }
        let lost = ResponseError::PullSpeeds {
            from: turns(from),
            to: turns(to),
        };
        let curve = |column: &[(f64, f64)]| Curve::new(column).map_err(|_| lost.clone());
        let [pressure, opens, shaft, torque, ports, exhaust] = &columns;
        let held = Match {
            pressure: curve(pressure)?,
            opens: curve(opens)?,
            shaft: curve(shaft)?,
            torque: curve(torque)?,
            ports: curve(ports)?,
            exhaust: curve(exhaust)?,
        };
        Ok((held, begin.ok_or(lost)?))
    }

    /// A pull in gear, beside the same with boost at once.
    ///
    /// # Errors
    /// What did not settle, by name; speeds that make no pull; a vehicle that does not gain speed.
    pub fn pull(&mut self) -> Result<Pull, ResponseError> {
        let from = self.build.get(Field::PullFrom);
        let to = self
            .build
            .optional(Field::PullTo)
            .unwrap_or_else(|| self.build.get(Field::Redline));
        if from >= to {
            return Err(ResponseError::PullSpeeds {
                from: turns(from),
                to: turns(to),
            });
        }
        let vehicle = self.vehicle();
        let (held, begin) = self.held_between(from, to)?;
        let rig = self.rig();
        let mut way = Way {
            build: self.build,
            rig,
            vehicle,
            held,
            end: to,
            samples: Vec::new(),
            work: Work::default(),
        };
        let [shaft, pressure, wall] = begin.states;
        // Light load may be more than a match that is held down by surge.
        let there = pressure >= way.held.opens.at(from);

        let (time_at_once_s, _) = way.follow(0.0, [wall, from, 0.0], None)?;
        let at_once = std::mem::take(&mut way.samples);

        let instants = Instants::new(rig, begin.guess);
        let (mut time, mut states) = (0.0, [shaft, pressure, wall, from, 0.0]);
        for turn in 0.. {
            if turn > 0 || !there {
                (time, states) = way.lag(time, states, &instants)?;
            }
            let [_, _, wall, engine, distance] = states;
            if way.through(engine) {
                break;
            }
            let (later, [wall, engine, distance]) =
                way.follow(time, [wall, engine, distance], Some(&instants))?;
            time = later;
            if way.through(engine) {
                break;
            }
            if turn >= MOST_TURNS {
                return Err(ResponseError::TooManySteps {
                    time,
                    steps: way.work.steps,
                });
            }
            let (shaft, pressure) = (way.held.shaft.at(engine), way.held.pressure.at(engine));
            states = [shaft, pressure, wall, engine, distance];
        }
        let lost_m = way_at(&at_once, time_at_once_s) - way_at(&way.samples, time_at_once_s);
        Ok(Pull {
            time_s: time,
            time_at_once_s,
            lost_s: time - time_at_once_s,
            lost_m,
            samples: way.samples,
            at_once,
            inertia_kg_m2: self.constants.inertia,
            inertia_estimated: self.constants.inertia_estimated,
            work: way.work,
        })
    }
}
