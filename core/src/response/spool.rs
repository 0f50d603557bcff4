//! The way to boost at a constant engine speed.

use super::instant::{Instants, Rig};
use super::integrate::{Accuracy, Go, Step, Work, integrate};
use super::start::start;
use super::{CurvePoint, Detail, Reach, Response, ResponseError, Sample, Spool, SpoolCurve};
use crate::balance::{Answer, answer};
use crate::numeric::bracketed_root;
use crate::quantity::GaugePressure;
use crate::run::{Held, THRESHOLD_SHARE, engine_speeds};

/// Longest way that is followed, s.
const LONGEST: f64 = 20.0;
/// Way that is followed where boost settles below what is asked, s.
const LONGEST_TO_NEVER: f64 = 10.0;
/// Samples of a trace within each step in time.
const SAMPLES: usize = 4;
/// Of shaft speed in rad/s, pressure in Pa, wall temperature in K.
pub(super) const ACCURACY: Accuracy<3> = Accuracy {
    relative: 1e-5,
    absolute: [0.1, 2.0, 0.1],
};
/// Accuracy of the moment at which something is reached, s.
const MOMENT: f64 = 1e-7;

/// When, within a step, `value` of the states first comes to `goal`, if it does.
pub(super) fn moment<const N: usize>(
    step: &Step<'_, N>,
    value: impl Fn(&[f64; N]) -> f64,
    goal: f64,
) -> Option<f64> {
    let end = value(&step.state) - goal;
    if end < 0.0 {
        return None;
    }
    if step.to <= step.from {
        return Some(step.to);
    }
    let start = value(&step.at(step.from)) - goal;
    if start >= 0.0 {
        return Some(step.from);
    }
    let ends = ((step.from, start), (step.to, end));
    let found = bracketed_root(ends.0, ends.1, MOMENT, 60, |t| value(&step.at(t)) - goal);
    Some(found.root)
}

impl Response<'_> {
    pub(super) fn rig(&self) -> Rig<'_> {
        Rig {
            plant: &self.plant,
            constants: &self.constants,
        }
    }

    /// The match at an engine speed in rev/min.
    pub(super) fn steady(&mut self, speed: f64) -> Result<Answer, ResponseError> {
        let point = self.plant.at_speed(self.build, speed);
        let asked = GaugePressure::new(self.asked(speed)).above(self.plant.outside.pressure);
        let (answer, trail) = answer(&self.plant, &point, asked, &self.trail, &mut self.effort)
            .map_err(super::unsettled(speed))?;
        self.trail = trail;
        Ok(answer)
    }

    /// The way to boost at an engine speed in rev/min.
    ///
    /// # Errors
    /// What did not settle, by name.
    pub fn time_to_boost(&mut self, speed: f64, detail: Detail) -> Result<Spool, ResponseError> {
        let steady = self.steady(speed)?;
        let outside = self.plant.outside.pressure;
        let asked = self.asked(speed);
        let settled = steady.drivable.pm.gauge(outside).pa();
        // The state that the gate holds is the asked one to the last digits.
        let never = settled < THRESHOLD_SHARE * asked;
        let mut spool = Spool {
            engine_speed_rev_min: speed,
            boost_asked_pa: asked,
            boost_settled_pa: settled,
            reach: Reach::Never {
                boost_pa: settled,
                why: match steady.held {
                    Held::Choke => Held::Choke,
                    _ => Held::Drive,
                },
            },
            trace: Vec::new(),
            through_surge: false,
            inertia_kg_m2: self.constants.inertia,
            inertia_estimated: self.constants.inertia_estimated,
            work: Work::default(),
        };
        if never && detail == Detail::Time {
            return Ok(spool);
        }
        let point = self.plant.at_speed(self.build, speed);
        let rig = self.rig();
        let begin = start(rig, self.build, &point, &steady.drivable)?;
        let (goal, full) = (outside.pa() + THRESHOLD_SHARE * asked, outside.pa() + asked);
        let instants = Instants::new(rig, begin.guess);
        let longest = if never { LONGEST_TO_NEVER } else { LONGEST };
        let (mut reached, mut last) = (None, (0.0, begin.states[1]));
        let mut trace = Vec::new();
        let watch = |step: &Step<'_, 3>| {
            let pressure = |states: &[f64; 3]| states[1];
            last = (step.to, pressure(&step.state));
            if reached.is_none() {
                reached = moment(step, pressure, goal);
            }
            if detail == Detail::Time {
                return Ok(match reached {
                    Some(_) => Go::NoFurther,
                    None => Go::On,
                });
            }
            let end = moment(step, pressure, full);
            let to = end.unwrap_or(step.to);
            let count = if step.to > step.from { SAMPLES } else { 1 };
            for i in 1..=count {
                let time = step.from + (to - step.from) * i as f64 / count as f64;
                let found = instants.at(&point, step.at(time), time)?;
                trace.push(Sample::of(rig, time, &found));
            }
            Ok(if end.is_some() { Go::NoFurther } else { Go::On })
        };
        spool.work = integrate(
            |time, states: &[f64; 3]| Ok(instants.at(&point, *states, time)?.rates),
            &begin.states,
            longest,
            &ACCURACY,
            watch,
        )?;
        spool.through_surge = trace.iter().any(|sample: &Sample| sample.surging);
        spool.trace = trace;
        if let Some(time_s) = reached {
            spool.reach = Reach::At { time_s };
        } else if !never {
            spool.reach = Reach::Later {
                after_s: last.0,
                boost_pa: last.1 - outside.pa(),
            };
        }
        Ok(spool)
    }

    /// The time to boost at `count` engine speeds from idle to redline (2 to 200; held to that
    /// range). A speed without an answer says why.
    pub fn curve(&mut self, count: usize) -> SpoolCurve {
        let mut work = Work::default();
        let points = engine_speeds(self.build, count.clamp(2, 200))
            .map(|speed| {
                let found = self.time_to_boost(speed, Detail::Time);
                let (reach, problem) = match found {
                    Ok(spool) => {
                        work = work.and(spool.work);
                        (Some(spool.reach), None)
                    }
                    Err(error) => (None, Some(error.to_string())),
                };
                CurvePoint {
                    engine_speed_rev_min: speed,
                    boost_asked_pa: self.asked(speed),
                    reach,
                    problem,
                }
            })
            .collect();
        SpoolCurve {
            points,
            inertia_kg_m2: self.constants.inertia,
            inertia_estimated: self.constants.inertia_estimated,
            work,
        }
    }

    /// Boost, Pa gauge, and shaft speed, rev/min, after `seconds` of following the shut gate at an
    /// engine speed in rev/min, however much boost that is: where it settles, if one waits.
    ///
    /// # Errors
    /// What did not settle, by name.
    pub fn after(&mut self, speed: f64, seconds: f64) -> Result<Sample, ResponseError> {
        let steady = self.steady(speed)?;
        let point = self.plant.at_speed(self.build, speed);
        let rig = self.rig();
        let begin = start(rig, self.build, &point, &steady.drivable)?;
        let instants = Instants::new(rig, begin.guess);
        let mut last = begin.states;
        integrate(
            |time, states: &[f64; 3]| Ok(instants.at(&point, *states, time)?.rates),
            &begin.states,
            seconds,
            &ACCURACY,
            |step| {
                last = step.state;
                Ok(Go::On)
            },
        )?;
        Ok(Sample::of(
            rig,
            seconds,
            &instants.at(&point, last, seconds)?,
        ))
    }
}
