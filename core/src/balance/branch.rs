//! The boost at one engine speed: the lowest stable balance of the shaft, and what caps it.
//!
//! With the gate shut, the power left over on the shaft is a function of manifold pressure. Where
//! it is above zero the rotor gains speed and boost climbs; the rotor comes to rest where it first
//! falls through zero from above. That is the lowest stable root, and it is found by marching up
//! from where the compressor hardly turns, with a closer look wherever the surplus has a dip, so
//! that a dip that touches zero between two steps is not stepped over. If the surplus stays above
//! zero up to the boost asked for, the gate opens and holds it.

use super::plant::{Plant, SpeedPoint};
use super::settle::{Accuracy, CLOSE, Gate, Guess, ROUGH, ShaftState};
use super::Unsettled;
use crate::numeric::bracketed_root;
use crate::quantity::AbsolutePressure;
use crate::run::{Effort, Held};

/// Largest step of the march, Pa.
const STEP: f64 = 12_000.0;
/// Step of the march up a creeping boost, Pa.
const CREEP_STEP: f64 = 5_000.0;
/// Fewest steps of the march.
const FEWEST_STEPS: f64 = 5.0;
/// Share of the head lost at standstill that is left where a march begins.
const STANDING_SHARE: f64 = 0.6;
/// Highest pressure before the turbine considered, times the manifold's, plus a bar.
const CEILING: f64 = 12.0;
/// A rotor slower than this stands, rev/min.
const LEAST_SPEED: f64 = 10.0;
/// Highest manifold pressure that a creeping boost is followed to, Pa.
const HIGHEST_CREEP: f64 = 9e5;
/// Room that must be left before choke.
const CHOKE_ROOM: f64 = 0.003;
/// Accuracy of manifold pressure, Pa.
const ACCURACY: f64 = 1e-4;

/// The answer at one engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// The state that can be had.
    pub state: ShaftState,
    /// What decides it.
    pub held: Held,
    /// Manifold pressure the turbine can drive up to what was asked, without the caps of surge,
    /// choke and shaft speed.
    pub drivable: AbsolutePressure,
    /// Gate area in use, m² each.
    pub gate_area: f64,
}

fn ceiling(pm: AbsolutePressure) -> f64 {
    CEILING * pm.pa() + 1e5
}

/// Carries a guess on from the last two states.
fn carry(before: Option<&ShaftState>, last: &ShaftState, pm: f64) -> Guess {
    let Some(before) = before else { return last.guess() };
    let span = last.pm.pa() - before.pm.pa();
    if span.abs() < 1.0 {
        return last.guess();
    }
    let t = ((pm - last.pm.pa()) / span).clamp(-2.0, 2.0);
    let on = |a: f64, b: f64| b + t * (b - a);
    Guess {
        p3: on(before.p3.pa(), last.p3.pa()).max(0.5 * last.p3.pa()),
        tm: on(before.tm.kelvin(), last.tm.kelvin()).clamp(200.0, 1500.0),
        t4: on(before.t4.kelvin(), last.t4.kelvin()).clamp(250.0, 2500.0),
    }
}

struct March<'a> {
    plant: &'a Plant,
    point: &'a SpeedPoint,
    gate: Gate,
    effort: &'a mut Effort,
    states: Vec<ShaftState>,
}

impl March<'_> {
    fn at(&mut self, pm: f64) -> Result<ShaftState, Unsettled> {
        let pm = AbsolutePressure::new(pm);
        let n = self.states.len();
        let guess = match n {
            0 => Guess {
                p3: 1.02 * self.plant.outside.pressure.pa(),
                tm: self.plant.outside.temperature.kelvin() + 10.0,
                t4: 900.0,
            },
            1 => self.states[0].guess(),
            _ => carry(Some(&self.states[n - 2]), &self.states[n - 1], pm.pa()),
        };
        self.plant.settle(self.point, pm, self.gate, guess, ceiling(pm), ROUGH, self.effort)
    }

    fn near(&mut self, pm: f64, guess: Guess, accuracy: Accuracy) -> Result<ShaftState, Unsettled> {
        let pm = AbsolutePressure::new(pm);
        self.plant.settle(self.point, pm, self.gate, guess, ceiling(pm), accuracy, self.effort)
    }

    /// The root between two states with surplus of opposite sign.
    fn root(&mut self, low: &ShaftState, high: &ShaftState) -> Result<ShaftState, Unsettled> {
        let mut failed = None;
        let (mut before, mut last) = (*low, *high);
        let found = bracketed_root(
            (low.pm.pa(), low.surplus),
            (high.pm.pa(), high.surplus),
            ACCURACY,
            120,
            |pm| match self.near(pm, carry(Some(&before), &last, pm), CLOSE) {
                Ok(state) => {
                    (before, last) = (last, state);
                    state.surplus
                }
                Err(error) => {
                    failed = Some(error);
                    f64::NAN
                }
            },
        );
        if let Some(error) = failed {
            return Err(error);
        }
        if !found.converged {
            return Err(Unsettled { equation: "the power balance of the shaft", residual: found.residual });
        }
        self.near(found.root, last.guess(), CLOSE)
    }

    /// The lowest place in (low, high) where the surplus is not above zero, if it dips that far
    /// between: golden section down the dip.
    fn dip(&mut self, low: &ShaftState, middle: &ShaftState, high: &ShaftState) -> Result<Option<ShaftState>, Unsettled> {
        const GOLDEN: f64 = 0.381_966;
        let (mut a, mut b, mut c) = (*low, *middle, *high);
        let scale = |s: &ShaftState| s.compressor_power.abs() + s.bearing_power + 1.0;
        for _ in 0..18 {
            if b.surplus <= 0.0 {
                return Ok(Some(b));
            }
            // A parabola through the three bounds how deep the dip can be; far above zero it is
            // not worth a closer look.
            let depth = parabola_minimum(&a, &b, &c);
            if depth > 0.25 * b.surplus && b.surplus > 0.02 * scale(&b) || c.pm.pa() - a.pm.pa() < 20.0 {
                return Ok(None);
            }
            let (left, right) = (b.pm.pa() - a.pm.pa(), c.pm.pa() - b.pm.pa());
            let pm = if left > right { b.pm.pa() - GOLDEN * left } else { b.pm.pa() + GOLDEN * right };
            let trial = self.near(pm, b.guess(), CLOSE)?;
            if trial.surplus < b.surplus {
                if pm < b.pm.pa() { c = b } else { a = b }
                b = trial;
            } else if pm < b.pm.pa() {
                a = trial;
            } else {
                c = trial;
            }
        }
        Ok(None)
    }

    /// Marches from `low` to `high` and returns the lowest stable root between, if there is one.
    fn lowest_root(&mut self, low: f64, high: f64, step: f64) -> Result<Option<ShaftState>, Unsettled> {
        let start = self.at(low)?;
        self.states.push(start);
        if start.surplus <= 0.0 {
            // Already short of power where the march begins.
            return Ok(Some(start));
        }
        let steps = ((high - low) / step).ceil().max(FEWEST_STEPS);
        for i in 1..=steps as usize {
            let pm = if i as f64 == steps { high } else { low + (high - low) * i as f64 / steps };
            let here = self.at(pm)?;
            let last = self.states[self.states.len() - 1];
            if here.surplus <= 0.0 {
                return self.root(&last, &here).map(Some);
            }
            let n = self.states.len();
            if n >= 2 {
                let before = self.states[n - 2];
                if last.surplus < before.surplus && last.surplus < here.surplus
                    && let Some(under) = self.dip(&before, &last, &here)?
                {
                    let from = if under.pm < last.pm { before } else { last };
                    let from = if from.surplus > 0.0 && from.pm < under.pm { from } else { before };
                    return self.root(&from, &under).map(Some);
                }
            }
            self.states.push(here);
        }
        Ok(None)
    }
}

/// Least height of the parabola through three states' surplus over manifold pressure.
fn parabola_minimum(a: &ShaftState, b: &ShaftState, c: &ShaftState) -> f64 {
    let (xa, xb, xc) = (a.pm.pa(), b.pm.pa(), c.pm.pa());
    let ab = (b.surplus - a.surplus) / (xb - xa);
    let bc = (c.surplus - b.surplus) / (xc - xb);
    let curve = (bc - ab) / (xc - xa);
    if curve <= 0.0 {
        return a.surplus.min(b.surplus).min(c.surplus);
    }
    let slope_at_b = (ab * (xc - xb) + bc * (xb - xa)) / (xc - xa);
    b.surplus - slope_at_b * slope_at_b / (4.0 * curve)
}

/// Manifold pressure at which the compressor hardly turns while the engine draws `air` in kg/s,
/// Pa: where a march begins.
fn standing(plant: &Plant, air: f64) -> f64 {
    let p0 = plant.outside.pressure;
    let (inlet, corrected) = plant.inlet_at(air);
    let p2 = inlet.pa() * plant.map.standing_ratio(corrected, STANDING_SHARE);
    // The cooler's loss depends on the manifold pressure it leads to: pm² − p2 pm + loss·pm = 0.
    let loss = plant.cooler.loss(air, p0).pa() * p0.pa();
    let root = p2 * p2 - 4.0 * loss;
    let pm = if root > 0.0 { 0.5 * (p2 + root.sqrt()) } else { 0.5 * p2 };
    pm.clamp(0.2 * p0.pa(), p0.pa() * 0.9999)
}

/// How far a state is within a cap; below zero beyond it.
fn room(plant: &Plant, state: &ShaftState, cap: Held) -> f64 {
    let reading = plant.reading(&state.engine);
    match cap {
        Held::Surge => 1.0 - reading.surge_flow / state.engine.corrected_flow,
        Held::Choke => 1.0 - CHOKE_ROOM - state.engine.corrected_flow / reading.choke_flow,
        Held::ShaftSpeed => 1.0 - state.engine.shaft_speed / plant.shaft_speed_limit,
        Held::Drive | Held::Gate | Held::Creep => 1.0,
    }
}

/// The answer at one engine speed, for the manifold pressure `asked`.
///
/// # Errors
/// The equation that did not settle, with what is left of it.
pub fn answer(
    plant: &Plant,
    point: &SpeedPoint,
    asked: AbsolutePressure,
    effort: &mut Effort,
) -> Result<Answer, Unsettled> {
    effort.speeds += 1;
    let mut march = March { plant, point, gate: Gate::Area(0.0), effort, states: Vec::with_capacity(24) };
    // How much the engine draws depends on the pressure before the turbine, so the place to begin
    // is found in a few rounds. A rotor that stands still balances anything: begin above it.
    let air = plant.plain_air_flow(point, plant.outside.pressure, plant.outside.temperature);
    let mut low = standing(plant, air).min(0.999 * asked.pa());
    for _ in 0..6 {
        let state = march.at(low)?;
        if state.engine.shaft_speed > LEAST_SPEED {
            break;
        }
        low = standing(plant, state.engine.air).max(low + 10.0).min(0.999 * asked.pa());
    }
    let root = march.lowest_root(low, asked.pa(), STEP)?;
    let samples = std::mem::take(&mut march.states);

    // What the turbine can drive, and the state there: gate shut at the root, or holding.
    let regulated = |pm: f64, near: &ShaftState, effort: &mut Effort| {
        let pm = AbsolutePressure::new(pm);
        let need = (near.compressor_power + near.bearing_power) / near.turbine_power.max(1e-9);
        let over = near.p3.pa() - near.p4.pa();
        let guess = Guess { p3: near.p4.pa() + over * need.clamp(0.02, 1.0).powf(0.65), ..near.guess() };
        plant.settle(point, pm, Gate::Balancing, guess, near.p3.pa().max(near.p4.pa() * 1.001) * 1.02, CLOSE, effort)
    };
    let (mut state, mut held) = match root {
        Some(state) => (state, Held::Drive),
        None => (regulated(asked.pa(), &samples[samples.len() - 1], effort)?, Held::Gate),
    };
    let drivable = state.pm;

    // Caps: the lowest manifold pressure that any of them allows.
    for cap in [Held::ShaftSpeed, Held::Surge, Held::Choke] {
        if room(plant, &state, cap) >= 0.0 {
            continue;
        }
        // The highest sample below that is within the cap, if there is one.
        let inside = samples.iter().rev().find(|s| s.pm < state.pm && s.surplus > 0.0 && room(plant, s, cap) >= 0.0);
        let Some(inside) = inside else { continue };
        let mut failed = None;
        let mut last = *inside;
        let at_inside = regulated(inside.pm.pa(), inside, effort);
        let Ok(at_inside) = at_inside else { continue };
        let found = bracketed_root(
            (inside.pm.pa(), room(plant, &at_inside, cap)),
            (state.pm.pa(), room(plant, &state, cap)),
            ACCURACY,
            80,
            |pm| {
                // A shut-gate state near by bounds the pressure before the turbine from above.
                let near = nearest(&samples, pm).unwrap_or(&last);
                match regulated(pm, near, effort) {
                    Ok(state) => {
                        last = state;
                        room(plant, &state, cap)
                    }
                    Err(error) => {
                        failed = Some(error);
                        f64::NAN
                    }
                }
            },
        );
        if let Some(error) = failed {
            return Err(error);
        }
        if found.converged {
            let near = *nearest(&samples, found.root).unwrap_or(&last);
            state = regulated(found.root, &near, effort)?;
            held = cap;
        }
    }

    // A gate too small to hold it lets boost creep: the lowest stable root with it wide open.
    let mut gate_area = if held == Held::Drive { 0.0 } else { plant.gate_area_needed(&state) };
    if gate_area > plant.gate_area {
        let mut march = March { plant, point, gate: Gate::Area(plant.gate_area), effort, states: vec![] };
        let from = march.near(state.pm.pa(), state.guess(), CLOSE)?;
        march.states.push(from);
        let mut before = from;
        let mut crept = None;
        while before.pm.pa() < HIGHEST_CREEP.min(drive_end(&root)) {
            let here = march.at((before.pm.pa() + CREEP_STEP).min(drive_end(&root)))?;
            if here.surplus <= 0.0 {
                crept = Some(march.root(&before, &here)?);
                break;
            }
            if here.pm.pa() >= drive_end(&root) {
                crept = Some(here);
                break;
            }
            march.states.push(here);
            before = here;
        }
        state = crept.unwrap_or(before);
        held = Held::Creep;
        gate_area = plant.gate_area;
    }
    Ok(Answer { state, held, drivable, gate_area })
}

/// Where a creeping boost ends at the latest: the root with the gate shut, if there is one.
fn drive_end(root: &Option<ShaftState>) -> f64 {
    root.as_ref().map_or(f64::INFINITY, |r| r.pm.pa())
}

/// The shut-gate sample just above a manifold pressure, else the last.
fn nearest(samples: &[ShaftState], pm: f64) -> Option<&ShaftState> {
    samples.iter().find(|s| s.pm.pa() >= pm && s.surplus > 0.0).or(samples.last())
}
