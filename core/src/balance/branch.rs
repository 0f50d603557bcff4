//! The boost at one engine speed: the lowest stable balance of the shaft, and what caps it.
//!
//! With the gate shut, the power left over on the shaft is a function of manifold pressure. Where
//! it is above zero the rotor gains speed and boost climbs; the rotor comes to rest where it first
//! falls through zero from above. That is the lowest stable root, and it is found by marching up
//! from where the compressor hardly turns, with a closer look wherever the surplus has a dip, so
//! that a dip that touches zero between two steps is not stepped over. If the surplus stays above
//! zero up to the boost asked for, the gate opens and holds it.

use super::Unsettled;
use super::plant::{Plant, SpeedPoint};
use super::settle::{Accuracy, CLOSE, Gate, Guess, ROUGH, Search, ShaftState};
use crate::numeric::bracketed_root;
use crate::quantity::AbsolutePressure;
use crate::run::{Effort, Held};

/// Largest step of the march, Pa.
const STEP: f64 = 12_000.0;
/// Step of the march up a creeping boost, Pa.
const CREEP_STEP: f64 = 5_000.0;
/// The first step is at most this share of the way.
const FEWEST_STEPS: f64 = 5.0;
/// How much longer a step may be, at most, and for each unit of surplus over the power taken.
const LONGEST: f64 = 3.0;
const PLENTY: f64 = 8.0;
/// Share of the head lost at standstill that is left where a march begins.
const STANDING_SHARE: f64 = 0.2;
/// Highest pressure before the turbine considered, times the manifold's, plus a bar.
const CEILING: f64 = 400.0;
/// Surplus, as a share of the power taken, below which a state of the march is settled closely.
const CLOSE_CALL: f64 = 0.1;
/// Most states worked out for one engine speed; a usual one takes 20 to 90.
const MOST_STATES: u64 = 5000;
/// Relative difference of manifold pressure up to which a neighbour's state serves as it is.
const NEAR: f64 = 0.02;
/// How far beyond a cap a state with the gate shut may be for its balanced state to be looked at.
const NEAR_CAP: f64 = 0.15;
/// Power that may be left over at a root, over the power taken.
const ROOT_ACCURACY: f64 = 1e-6;
/// First step down from a state short of power, Pa.
const FIRST_STEP_DOWN: f64 = 100.0;
/// A rotor slower than this stands, rev/min.
const LEAST_SPEED: f64 = 10.0;
/// Highest manifold pressure that a creeping boost is followed to, Pa.
const HIGHEST_CREEP: f64 = 9e5;
/// Accuracy of manifold pressure, Pa.
const ACCURACY: f64 = 1e-7;

/// The answer at one engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// The state that can be had.
    pub state: ShaftState,
    /// What decides it.
    pub held: Held,
    /// The state the turbine can drive up to what was asked, without the caps of surge, choke and
    /// shaft speed.
    pub drivable: ShaftState,
    /// Gate area in use, m² each.
    pub gate_area: f64,
}

fn ceiling(pm: AbsolutePressure) -> f64 {
    CEILING * pm.pa() + 1e5
}

/// Carries a guess on from the last two states.
fn carry(before: Option<&ShaftState>, last: &ShaftState, pm: f64) -> Guess {
    let Some(before) = before else {
        return last.guess();
    };
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
        slopes: last.guess().slopes,
    }
}

/// What a neighbouring engine speed came by: where to begin looking, never where to end.
#[derive(Debug, Clone, Default)]
pub struct Trail {
    /// States with the gate shut, rising in manifold pressure.
    samples: Vec<ShaftState>,
    /// The state with the gate holding, if it did.
    held: Option<ShaftState>,
}

impl Trail {
    /// A guess at manifold pressure `pm`, Pa, between the states around it.
    fn guess(&self, pm: f64) -> Option<Guess> {
        let above = self
            .samples
            .iter()
            .position(|s| s.pm.pa() >= pm)
            .unwrap_or(self.samples.len().checked_sub(1)?);
        let right = &self.samples[above];
        Some(match above.checked_sub(1) {
            Some(left) => carry(Some(&self.samples[left]), right, pm),
            None => right.guess(),
        })
    }
}

struct March<'a> {
    plant: &'a Plant,
    point: &'a SpeedPoint,
    neighbour: &'a Trail,
    gate: Gate,
    /// How closely states are settled that only tell how much power is left over.
    accuracy: Accuracy,
    effort: &'a mut Effort,
    states: Vec<ShaftState>,
}

impl March<'_> {
    fn at(&mut self, pm: f64) -> Result<ShaftState, Unsettled> {
        let pm = AbsolutePressure::new(pm);
        let last = self.states.last();
        let guess = match (self.neighbour.guess(pm.pa()), last) {
            // The neighbour's state, moved by as much as the last one lay beside the neighbour's.
            (Some(there), Some(last)) => {
                let beside = self.neighbour.guess(last.pm.pa()).unwrap_or(there);
                let moved = last.guess();
                Guess {
                    p3: there.p3 * moved.p3 / beside.p3,
                    tm: there.tm * moved.tm / beside.tm,
                    t4: there.t4 * moved.t4 / beside.t4,
                    slopes: there.slopes,
                }
            }
            (Some(there), None) => there,
            (None, Some(last)) => {
                let before = self.states.len().checked_sub(2).map(|i| &self.states[i]);
                carry(before, last, pm.pa())
            }
            (None, None) => Guess {
                p3: 1.02 * self.plant.outside.pressure.pa(),
                tm: self.plant.outside.temperature.kelvin() + 10.0,
                t4: 900.0,
                slopes: None,
            },
        };
        let rough = self.near(pm.pa(), guess, self.accuracy)?;
        // Where little is left over its sign matters: look closely.
        if self.accuracy == CLOSE
            || rough.surplus.abs()
                > CLOSE_CALL * (rough.compressor_power.abs() + rough.bearing_power)
        {
            return Ok(rough);
        }
        self.near(pm.pa(), rough.guess(), CLOSE)
    }

    fn near(&mut self, pm: f64, guess: Guess, accuracy: Accuracy) -> Result<ShaftState, Unsettled> {
        let pm = AbsolutePressure::new(pm);
        let search = Search {
            guess,
            ceiling: ceiling(pm),
            accuracy,
        };
        self.plant
            .settle(self.point, pm, self.gate, search, self.effort)
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
                    vanished(
                        state.surplus,
                        state.compressor_power.abs() + state.bearing_power,
                    )
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
        let scale = last.compressor_power.abs() + last.bearing_power;
        if !found.converged || found.residual.abs() > ROOT_ACCURACY * scale {
            return Err(Unsettled {
                equation: "the power balance of the shaft",
                residual: found.residual / scale.max(1e-9),
            });
        }
        let state = if last.pm.pa() == found.root {
            last
        } else {
            self.near(found.root, last.guess(), CLOSE)?
        };
        if state.surplus.abs() > ROOT_ACCURACY * scale {
            return Err(Unsettled {
                equation: "the power balance of the shaft",
                residual: state.surplus / scale.max(1e-9),
            });
        }
        Ok(state)
    }

    /// The lowest place in (low, high) where the surplus is not above zero, if it dips that far
    /// between: golden section down the dip.
    fn dip(
        &mut self,
        low: &ShaftState,
        middle: &ShaftState,
        high: &ShaftState,
    ) -> Result<Option<ShaftState>, Unsettled> {
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
            if depth > 0.25 * b.surplus && b.surplus > 0.02 * scale(&b)
                || c.pm.pa() - a.pm.pa() < 20.0
            {
                return Ok(None);
            }
            let (left, right) = (b.pm.pa() - a.pm.pa(), c.pm.pa() - b.pm.pa());
            let pm = if left > right {
                b.pm.pa() - GOLDEN * left
            } else {
                b.pm.pa() + GOLDEN * right
            };
            let trial = self.near(pm, b.guess(), CLOSE)?;
            if trial.surplus < b.surplus {
                if pm < b.pm.pa() {
                    c = b
                } else {
                    a = b
                }
                b = trial;
            } else if pm < b.pm.pa() {
                a = trial;
            } else {
                c = trial;
            }
        }
        Ok(None)
    }

    /// The balance below a state that is short of power: further down the compressor windmills
    /// more and takes less, until the rotor stands.
    fn downwards(&mut self, start: &ShaftState) -> Result<ShaftState, Unsettled> {
        let mut above = *start;
        let mut step = FIRST_STEP_DOWN;
        loop {
            let pm = (above.pm.pa() - step).max(0.05 * self.plant.outside.pressure.pa());
            let below = self.near(pm, above.guess(), CLOSE)?;
            if below.surplus > 0.0 {
                return self.root(&below, &above);
            }
            if below.engine.shaft_speed <= LEAST_SPEED {
                return Ok(below);
            }
            if pm >= above.pm.pa() {
                // The engine draws its intake empty before the shaft finds its balance.
                let taken = below.compressor_power.abs() + below.bearing_power;
                return Err(Unsettled {
                    equation: "the power balance of the shaft, above a twentieth of the outside pressure,",
                    residual: below.surplus / taken.max(1e-9),
                });
            }
            above = below;
            step *= 1.5;
        }
    }

    /// Marches from a state up to `high` and returns the lowest stable root between, if there is
    /// one.
    fn lowest_root(
        &mut self,
        start: ShaftState,
        high: f64,
        step: f64,
    ) -> Result<Option<ShaftState>, Unsettled> {
        let low = start.pm.pa();
        if start.surplus <= 0.0 {
            // Already short of power where the march would begin: the rotor is slower yet.
            return self.downwards(&start).map(Some);
        }
        self.states.push(start);
        let mut pm = low;
        let mut stride = (step).min((high - low) / FEWEST_STEPS);
        while pm < high {
            // With plenty left over the next step may be longer; a last step never very short.
            let left = high - pm;
            pm = if left <= 1.3 * stride {
                high
            } else {
                pm + stride
            };
            let here = self.at(pm)?;
            let last = self.states[self.states.len() - 1];
            if here.surplus <= 0.0 {
                return self.root(&last, &here).map(Some);
            }
            let n = self.states.len();
            if n >= 2 {
                let before = self.states[n - 2];
                if last.surplus < before.surplus
                    && last.surplus < here.surplus
                    && let Some(under) = self.dip(&before, &last, &here)?
                {
                    let from = if under.pm < last.pm { before } else { last };
                    let from = if from.surplus > 0.0 && from.pm < under.pm {
                        from
                    } else {
                        before
                    };
                    return self.root(&from, &under).map(Some);
                }
            }
            self.states.push(here);
            let plenty = here.surplus / (here.compressor_power.abs() + here.bearing_power + 1.0);
            stride = step * (plenty * PLENTY).clamp(1.0, LONGEST);
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
    let pm = if root > 0.0 {
        0.5 * (p2 + root.sqrt())
    } else {
        0.5 * p2
    };
    pm.clamp(0.2 * p0.pa(), p0.pa() * 0.9999)
}

/// A value, or zero where it is nothing against its scale: ends a search.
fn vanished(value: f64, scale: f64) -> f64 {
    if value.abs() <= 1e-10 * scale {
        0.0
    } else {
        value
    }
}

/// How far a state is within a cap; below zero beyond it.
pub(crate) fn room(plant: &Plant, state: &ShaftState, cap: Held) -> f64 {
    let reading = plant.reading(&state.engine);
    match cap {
        // Right of the surge line, or where hardly any pressure is made and nothing surges that
        // anybody would notice.
        Held::Surge => (1.0 - reading.surge_flow / state.engine.corrected_flow)
            .max(1.0 - state.engine.pressure_ratio / plant.surge_from_ratio),
        Held::Choke => 1.0 - state.engine.corrected_flow / reading.choke_flow,
        Held::ShaftSpeed => 1.0 - state.engine.shaft_speed / plant.shaft_speed_limit,
        Held::Drive | Held::Gate | Held::Creep => 1.0,
    }
}

/// What the turbine can drive at one engine speed, up to the manifold pressure `asked`, on the map
/// continued left of surge and past the other caps; and what the march there came by.
struct Driven {
    state: ShaftState,
    held: Held,
    /// Where the turbine gives out, if that is below what is asked.
    root: Option<ShaftState>,
    /// States with the gate shut on the way there, rising.
    samples: Vec<ShaftState>,
}

impl Plant {
    /// The state at manifold pressure `pm`, the gate as far open as balances the shaft.
    fn held_at(
        &self,
        point: &SpeedPoint,
        samples: &[ShaftState],
        pm: f64,
        guess: Guess,
        effort: &mut Effort,
    ) -> Result<ShaftState, Unsettled> {
        let pm = AbsolutePressure::new(pm);
        // The gate shut bounds the pressure before the turbine from above.
        let shut = nearest(samples, pm.pa()).map_or(ceiling(pm), |s| s.p3.pa() * 1.05);
        let search = Search {
            guess,
            ceiling: shut,
            accuracy: CLOSE,
        };
        self.settle(point, pm, Gate::Balancing, search, effort)
    }
}

/// A guess at a balanced state from one with the gate shut at the same manifold pressure.
fn throttled(shut: &ShaftState) -> Guess {
    let need = (shut.compressor_power + shut.bearing_power) / shut.turbine_power.max(1e-9);
    let over = shut.p3.pa() - shut.p4.pa();
    let p3 = shut.p4.pa() + over * need.clamp(0.02, 1.0).powf(0.65);
    Guess {
        p3,
        slopes: None,
        ..shut.guess()
    }
}

/// The lowest stable root with the gate shut, if it lies below what is asked, and the states on the
/// way there.
type Climb = (Option<ShaftState>, Vec<ShaftState>);

fn climb(
    plant: &Plant,
    point: &SpeedPoint,
    asked: AbsolutePressure,
    (neighbour, accuracy): (&Trail, Accuracy),
    effort: &mut Effort,
) -> Result<Climb, Unsettled> {
    let states = Vec::with_capacity(24);
    let mut march = March {
        plant,
        point,
        neighbour,
        gate: Gate::Area(0.0),
        accuracy,
        effort,
        states,
    };
    // How much the engine draws depends on the pressure before the turbine, so the place to begin
    // is found in a few rounds. A rotor that stands still balances anything: begin above it.
    let air = plant.plain_air_flow(point, plant.outside.pressure, plant.outside.temperature);
    let mut low = standing(plant, air).min(0.999 * asked.pa());
    let mut start = march.at(low)?;
    for _ in 0..6 {
        if start.engine.shaft_speed > LEAST_SPEED {
            break;
        }
        low = standing(plant, start.engine.air)
            .max(low + 10.0)
            .min(0.999 * asked.pa());
        start = march.at(low)?;
    }
    let root = march.lowest_root(start, asked.pa(), STEP)?;
    Ok((root, std::mem::take(&mut march.states)))
}

fn drive(
    plant: &Plant,
    point: &SpeedPoint,
    asked: AbsolutePressure,
    neighbour: &Trail,
    effort: &mut Effort,
) -> Result<Driven, Unsettled> {
    effort.speeds += 1;
    effort.give_up_at = effort.states + MOST_STATES;
    // Fast first; safe where that does not settle: a rough look can mistake the sign of what is
    // left over where the rotor hardly turns.
    let (root, samples) = match climb(plant, point, asked, (neighbour, ROUGH), effort) {
        Ok(found) => found,
        Err(_) => climb(plant, point, asked, (&Trail::default(), CLOSE), effort)?,
    };
    let (state, held) = match (&root, samples.last()) {
        (Some(state), _) => (*state, Held::Drive),
        (None, last) => {
            let Some(shut) = last else {
                return Err(Unsettled {
                    equation: "the power balance of the shaft",
                    residual: 1.0,
                });
            };
            let guess = match neighbour.held {
                Some(held) if (held.pm.pa() / asked.pa() - 1.0).abs() < NEAR => held.guess(),
                _ => throttled(shut),
            };
            (
                plant.held_at(point, &samples, asked.pa(), guess, effort)?,
                Held::Gate,
            )
        }
    };
    Ok(Driven {
        state,
        held,
        root,
        samples,
    })
}

/// The manifold pressure that the turbine can drive at one engine speed, up to `asked`: the answer
/// without the caps.
///
/// # Errors
/// As [`answer`].
pub fn drivable(
    plant: &Plant,
    point: &SpeedPoint,
    asked: AbsolutePressure,
    neighbour: &Trail,
    effort: &mut Effort,
) -> Result<AbsolutePressure, Unsettled> {
    drive(plant, point, asked, neighbour, effort).map(|driven| driven.state.pm)
}

/// The state that the turbine can drive at one engine speed, up to the manifold pressure `asked`: past
/// the caps, and with a gate as large as it takes. Its trail as that of [`answer`].
///
/// How far it lies beyond a limit goes on smoothly where the limit is passed, which the answer's state,
/// held down to it, does not.
///
/// # Errors
/// As [`answer`].
pub(crate) fn uncapped(
    plant: &Plant,
    point: &SpeedPoint,
    asked: AbsolutePressure,
    neighbour: &Trail,
    effort: &mut Effort,
) -> Result<(ShaftState, Trail), Unsettled> {
    let driven = drive(plant, point, asked, neighbour, effort)?;
    let trail = Trail {
        samples: driven.samples,
        held: (driven.held == Held::Gate).then_some(driven.state),
    };
    Ok((driven.state, trail))
}

/// The state with the most boost within a cap that `over` is beyond; no boost at all where even
/// that is beyond it. `None` where no gate can hold so little: the compressor windmills.
fn capped(
    plant: &Plant,
    point: &SpeedPoint,
    samples: &[ShaftState],
    (over, cap): (&ShaftState, Held),
    effort: &mut Effort,
) -> Result<Option<ShaftState>, Unsettled> {
    let outside = plant.outside.pressure;
    if over.pm <= outside {
        // Boost is held down, not vacuum.
        return Ok(None);
    }
    // Down the samples to the first whose balanced state is within the cap. The gate shut is near
    // enough to pass over those far beyond it.
    let mut high = *over;
    let mut low = None;
    for sample in samples.iter().rev() {
        let below = sample.pm < high.pm && sample.pm > outside && sample.surplus > 0.0;
        if !below || room(plant, sample, cap) < -NEAR_CAP {
            continue;
        }
        let guess = throttled(sample);
        let Ok(state) = plant.held_at(point, samples, sample.pm.pa(), guess, effort) else {
            continue;
        };
        if room(plant, &state, cap) >= 0.0 {
            low = Some(state);
            break;
        }
        high = state;
    }
    let low = match low {
        Some(low) => low,
        None => {
            let guess = nearest(samples, outside.pa()).map_or(high.guess(), throttled);
            match plant.held_at(point, samples, outside.pa(), guess, effort) {
                Ok(state) if room(plant, &state, cap) < 0.0 => return Ok(Some(state)),
                Ok(state) => state,
                Err(_) => return Ok(None),
            }
        }
    };
    let mut failed = None;
    let (mut before, mut last) = (low, high);
    let found = bracketed_root(
        (low.pm.pa(), room(plant, &low, cap)),
        (high.pm.pa(), room(plant, &high, cap)),
        ACCURACY,
        80,
        |pm| match plant.held_at(point, samples, pm, carry(Some(&before), &last, pm), effort) {
            Ok(state) => {
                (before, last) = (last, state);
                vanished(room(plant, &state, cap), 1.0)
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
        return Err(Unsettled {
            equation: "the boost within a cap",
            residual: found.residual,
        });
    }
    if last.pm.pa() == found.root {
        return Ok(Some(last));
    }
    plant
        .held_at(point, samples, found.root, last.guess(), effort)
        .map(Some)
}

/// The answer at one engine speed, for the manifold pressure `asked`, and its trail. The trail of a
/// `neighbour` saves work; an empty one gives the same answer to the accuracy of the solution.
///
/// # Errors
/// The equation that did not settle, with what is left of it.
pub fn answer(
    plant: &Plant,
    point: &SpeedPoint,
    asked: AbsolutePressure,
    neighbour: &Trail,
    effort: &mut Effort,
) -> Result<(Answer, Trail), Unsettled> {
    let Driven {
        mut state,
        mut held,
        root,
        samples,
    } = drive(plant, point, asked, neighbour, effort)?;
    let held_state = (held == Held::Gate).then_some(state);
    let drivable = state;

    // Caps: the lowest manifold pressure that any of them allows.
    for cap in [Held::ShaftSpeed, Held::Surge] {
        if room(plant, &state, cap) >= 0.0 {
            continue;
        }
        if let Some(capped) = capped(plant, point, &samples, (&state, cap), effort)? {
            state = capped;
            held = cap;
        }
    }

    // A gate too small to hold it lets boost creep: the lowest stable root with it wide open.
    let mut gate_area = if held == Held::Drive {
        0.0
    } else {
        plant.gate_area_needed(&state)
    };
    if gate_area > plant.gate_area {
        let mut march = March {
            plant,
            point,
            neighbour: &Trail::default(),
            gate: Gate::Area(plant.gate_area),
            accuracy: CLOSE,
            effort,
            states: vec![],
        };
        let from = march.near(state.pm.pa(), state.guess(), CLOSE)?;
        march.states.push(from);
        let mut before = from;
        let mut crept = None;
        let mut end = HIGHEST_CREEP.min(drive_end(&root));
        while before.pm.pa() < end {
            let here = march.at((before.pm.pa() + CREEP_STEP).min(end))?;
            if here.surplus <= 0.0 {
                crept = Some(march.root(&before, &here)?);
                break;
            }
            // An open gate also takes pressure off the engine's exhaust, which may leave more power
            // on the shaft than the shut one did: the balance then lies beyond its root.
            if here.pm.pa() >= end {
                end = HIGHEST_CREEP;
            }
            march.states.push(here);
            before = here;
        }
        state = crept.unwrap_or(before);
        held = Held::Creep;
        gate_area = plant.gate_area;
    }
    // Choke is no wall at a boost: past it every gram costs so much work and speed that the turbine
    // or the shaft gives out. Where one of them does, past choke, choke is the cause.
    if matches!(held, Held::Drive | Held::ShaftSpeed)
        && state.engine.pressure_ratio > plant.surge_from_ratio
        && room(plant, &state, Held::Choke) < 0.0
    {
        held = Held::Choke;
    }
    let answer = Answer {
        state,
        held,
        drivable,
        gate_area,
    };
    Ok((
        answer,
        Trail {
            samples,
            held: held_state,
        },
    ))
}

/// Where a creeping boost is looked for first: up to the root with the gate shut, if there is one.
fn drive_end(root: &Option<ShaftState>) -> f64 {
    root.as_ref().map_or(f64::INFINITY, |r| r.pm.pa())
}

/// The shut-gate sample at or just above a manifold pressure, if the march came that far.
fn nearest(samples: &[ShaftState], pm: f64) -> Option<&ShaftState> {
    samples.iter().find(|s| s.pm.pa() >= pm)
}
