//! A steady state of air, gas and temperatures at a given manifold pressure.
//!
//! Unknown are the pressure before the turbine, the manifold temperature and the temperature
//! after the turbine. The two temperatures feed back weakly, so they are carried along while a
//! secant step finds the pressure; where that does not settle, a bracketed search with the
//! temperatures settled inside it does.

use super::Unsettled;
use super::plant::{Engine, Plant, PressurePoint, SpeedPoint};
use crate::air_way::turbine::Expansion;
use crate::air_way::wastegate::{gate_area, mixed_enthalpy, nozzle_flux};
use crate::numeric::bracketed_root;
use crate::quantity::{AbsolutePressure, PressureDifference, Temperature};
use crate::run::Effort;

/// Where to begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guess {
    /// Pressure before the turbine, Pa.
    pub p3: f64,
    /// Manifold temperature, K.
    pub tm: f64,
    /// Temperature after the turbine, K.
    pub t4: f64,
    /// What a neighbour has learned of how the unknowns answer to one another.
    pub slopes: Option<Slopes>,
}

/// Inverse of the slopes of what must vanish over ln p3, tm and t4 (relative), as Broyden's method
/// has learned them.
pub type Slopes = [[f64; 3]; 3];

/// What decides the pressure before the turbine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gate {
    /// A gate open by this area, m² each: flow decides, and power may be left over.
    Area(f64),
    /// As far open as makes the shaft's power balance.
    Balancing,
}

/// A steady state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShaftState {
    /// Manifold pressure.
    pub pm: AbsolutePressure,
    /// Pressure before the turbine.
    pub p3: AbsolutePressure,
    /// Static pressure after it.
    pub p4: AbsolutePressure,
    /// Lost in the exhaust system.
    pub exhaust_loss: PressureDifference,
    /// Temperature after the turbine, gate stream mixed in.
    pub t4: Temperature,
    /// Manifold temperature.
    pub tm: Temperature,
    /// Compressor, cooler, engine.
    pub engine: Engine,
    /// Turbine.
    pub expansion: Expansion,
    /// Gas through one turbine, kg/s.
    pub turbine_flow: f64,
    /// Share of the exhaust past the gate.
    pub gate_share: f64,
    /// Power left over on one shaft, W.
    pub surplus: f64,
    /// Power of one compressor, W.
    pub compressor_power: f64,
    /// Power of one turbine, W.
    pub turbine_power: f64,
    /// Bearing loss of one shaft, W.
    pub bearing_power: f64,
    /// What was learned on the way here.
    slopes: Option<Slopes>,
}

impl ShaftState {
    /// Where a neighbour may begin.
    #[must_use]
    pub fn guess(&self) -> Guess {
        Guess {
            p3: self.p3.pa(),
            tm: self.tm.kelvin(),
            t4: self.t4.kelvin(),
            slopes: self.slopes,
        }
    }
}

/// One look at the three unknowns.
struct Trial {
    state: ShaftState,
    /// Manifold temperature, temperature after the turbine that follow.
    tm: f64,
    t4: f64,
    /// What must vanish; falls (area) or rises (balancing) with ln p3.
    residual: f64,
}

/// A miss too large to tell more than its sign.
const FAR: f64 = 4.0;

/// What the logarithms of power given and power taken miss each other by: nearly straight over
/// the logarithm of p3 − p4, since turbine power rises about as its power 1.5. Where one of them
/// is not above zero, a large miss of the right sign.
fn power_residual(given: f64, taken: f64) -> f64 {
    if taken <= 0.0 {
        FAR
    } else if given <= taken * 0.02 {
        -FAR
    } else {
        (given / taken).ln()
    }
}

/// Broyden's update (Math. Comp. 19, 1965, 577) of the inverse slopes: makes them agree with the
/// last step.
fn learn(inverse: &mut Slopes, moved: [f64; 3], changed: [f64; 3]) {
    let told: [f64; 3] = std::array::from_fn(|r| (0..3).map(|c| inverse[r][c] * changed[c]).sum());
    let back: [f64; 3] = std::array::from_fn(|c| (0..3).map(|r| moved[r] * inverse[r][c]).sum());
    let scale: f64 = (0..3).map(|i| moved[i] * told[i]).sum();
    let length: f64 = moved.iter().map(|m| m * m).sum();
    if scale.abs() > 1e-8 * length && length > 0.0 {
        for r in 0..3 {
            for c in 0..3 {
                inverse[r][c] += (moved[r] - told[r]) * back[c] / scale;
            }
        }
    }
}

/// How closely a state is settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Accuracy {
    /// Of pressure and power, relative.
    pressure: f64,
    /// Of temperatures, relative.
    temperature: f64,
}

/// How a search for a state begins and ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Search {
    /// Where it begins.
    pub guess: Guess,
    /// The largest pressure before the turbine that comes into question, Pa.
    pub ceiling: f64,
    /// How closely to settle.
    pub accuracy: Accuracy,
}

/// For an answer.
pub(super) const CLOSE: Accuracy = Accuracy {
    pressure: 1e-10,
    temperature: 1e-9,
};
/// For the march, which only asks how much power is left over.
pub(super) const ROUGH: Accuracy = Accuracy {
    pressure: 4e-3,
    temperature: 1e-2,
};

impl Plant {
    fn look(&self, at: &PressurePoint, gate: Gate, guess: Guess, effort: &mut Effort) -> Trial {
        effort.states += 1;
        let p3 = AbsolutePressure::new(guess.p3);
        let tm = Temperature::new(guess.tm);
        let engine = self.engine(at, p3, tm, effort);
        let t3 = engine.turbine_temperature;
        let exhaust_loss = self.exhaust.loss(
            engine.exhaust,
            Temperature::new(guess.t4),
            self.outside.pressure,
        );
        let p4 = self.outside.pressure + exhaust_loss;
        let each = engine.exhaust / self.count;
        let expansion = self
            .turbine
            .expand(self.gas(), p3, t3, p4, engine.shaft_speed);
        let (turbine_flow, flow_residual) = match gate {
            Gate::Area(area) if area > 0.0 => {
                let gate_flow = self.gate_flow(area, p3, t3, p4);
                let flow = self.turbine.flow(p3, t3, p4);
                // Squared flows, so that the residual is regular where p3 meets p4.
                let sum = flow + gate_flow;
                let share = if sum > 0.0 { flow / sum } else { 0.0 };
                (
                    share * each,
                    0.5 * ((each * each) / (sum * sum).max(1e-30))
                        .ln()
                        .clamp(-40.0, 40.0),
                )
            }
            Gate::Area(_) => (each, self.turbine.pressure_miss(each, t3, p4, p3)),
            Gate::Balancing => (self.turbine.flow(p3, t3, p4).min(each), 0.0),
        };
        let share = turbine_flow / each;
        // What the casing carries over to the compressor's air, the exhaust loses.
        let carried = engine.air * engine.compressor_heat / engine.exhaust;
        let h4 = mixed_enthalpy(self.gas().enthalpy(t3.kelvin()), share, expansion.work) - carried;
        let t4 = self.gas().temperature_from_enthalpy(h4, guess.t4);
        effort.gas_states += 2;
        let compressor_power =
            engine.air / self.count * (engine.compressor_work - engine.compressor_heat);
        let bearing_power = self.turbine.bearing_power(engine.shaft_speed);
        let turbine_power = turbine_flow * expansion.work;
        let surplus = turbine_power - compressor_power - bearing_power;
        let residual = match gate {
            Gate::Area(_) => flow_residual,
            Gate::Balancing => power_residual(turbine_power, compressor_power + bearing_power),
        };
        let state = ShaftState {
            pm: at.pm,
            p3,
            p4,
            exhaust_loss,
            t4: Temperature::new(t4),
            tm,
            engine,
            expansion,
            turbine_flow,
            gate_share: 1.0 - share,
            surplus,
            compressor_power,
            turbine_power,
            bearing_power,
            slopes: None,
        };
        Trial {
            state,
            tm: engine.manifold_temperature.kelvin(),
            t4,
            residual,
        }
    }

    /// Flow past one gate of `area` m², kg/s.
    #[must_use]
    pub fn gate_flow(
        &self,
        area: f64,
        p3: AbsolutePressure,
        t3: Temperature,
        p4: AbsolutePressure,
    ) -> f64 {
        let gas = self.gas();
        self.gate_discharge
            * area
            * nozzle_flux(p3, t3, p4, gas.gamma(t3.kelvin()), gas.gas_constant())
    }

    /// Gate area, m² each, that passes what the turbine does not; infinite where the pressure
    /// drop is gone.
    #[must_use]
    pub fn gate_area_needed(&self, state: &ShaftState) -> f64 {
        let past = state.engine.exhaust / self.count * state.gate_share;
        if past <= 0.0 {
            return 0.0;
        }
        let gas = self.gas();
        let t3 = state.engine.turbine_temperature;
        let flux = nozzle_flux(
            state.p3,
            t3,
            state.p4,
            gas.gamma(t3.kelvin()),
            gas.gas_constant(),
        );
        gate_area(past, self.gate_discharge, flux)
    }

    /// The steady state at manifold pressure `pm` with the gate as said.
    ///
    /// # Errors
    /// The equation that did not settle, with what is left of it.
    pub(super) fn settle(
        &self,
        point: &SpeedPoint,
        pm: AbsolutePressure,
        gate: Gate,
        search: Search,
        effort: &mut Effort,
    ) -> Result<ShaftState, Unsettled> {
        let Search {
            guess,
            ceiling,
            accuracy,
        } = search;
        let at = self.at_pressure(point, pm);
        let floor = self.outside.pressure.pa() * 1.000_001;
        let mut here = guess;
        here.p3 = here.p3.clamp(floor, ceiling);
        let mut inverse = guess.slopes;
        let mut before: Option<(f64, [f64; 2], [f64; 3])> = None;
        for _ in 0..24 {
            let trial = self.look(&at, gate, here, effort);
            // What must vanish.
            let error = [
                trial.residual,
                trial.tm / here.tm - 1.0,
                trial.t4 / here.t4 - 1.0,
            ];
            if !error.iter().all(|e| e.is_finite()) {
                break;
            }
            if error[0].abs() <= accuracy.pressure
                && error[1].abs().max(error[2].abs()) <= accuracy.temperature
            {
                return Ok(ShaftState {
                    slopes: inverse,
                    ..trial.state
                });
            }
            if gate == Gate::Balancing && error[0].abs() >= FAR {
                // Too far off to learn anything: move the pressure drop and look again.
                let p4 = trial.state.p4.pa();
                let over =
                    (here.p3 - p4).max(1e-4 * here.p3) * if error[0] > 0.0 { 0.4 } else { 2.5 };
                here = Guess {
                    p3: (p4 + over).clamp(floor, ceiling),
                    tm: trial.tm,
                    t4: trial.t4,
                    slopes: None,
                };
                (inverse, before) = (None, None);
                continue;
            }
            // Pressure counts by its logarithm, or with the shaft to be balanced by that of the
            // pressure drop, over which turbine power is nearly straight.
            let base = if gate == Gate::Balancing {
                trial.state.p4.pa()
            } else {
                0.0
            };
            let over = (here.p3 - base).max(1e-6 * here.p3);
            // Temperatures count by what they have moved, relative, since the last look.
            let place = over.ln();
            let mut guessed = inverse.unwrap_or_else(|| {
                let slope = match gate {
                    Gate::Area(area) if area > 0.0 => -1.5,
                    Gate::Area(_) => -1.1,
                    Gate::Balancing => 1.5,
                };
                [[1.0 / slope, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]]
            });
            if let Some((place_before, temperatures_moved, error_before)) = before {
                let moved = [
                    place - place_before,
                    temperatures_moved[0],
                    temperatures_moved[1],
                ];
                learn(
                    &mut guessed,
                    moved,
                    std::array::from_fn(|i| error[i] - error_before[i]),
                );
            }
            inverse = Some(guessed);
            let step = |row: usize, most: f64| -> f64 {
                -(0..3)
                    .map(|i| guessed[row][i] * error[i])
                    .sum::<f64>()
                    .clamp(-most, most)
            };
            let (dm, d4) = (step(1, 0.2), step(2, 0.3));
            before = Some((place, [dm, d4], error));
            here = Guess {
                p3: (base + over * step(0, 0.7).exp()).clamp(floor, ceiling),
                tm: here.tm * (1.0 + dm),
                t4: here.t4 * (1.0 + d4),
                slopes: None,
            };
        }
        self.settle_slowly(&at, gate, guess, ceiling, effort)
    }

    /// The same by brackets: safe, slow.
    fn settle_slowly(
        &self,
        at: &PressurePoint,
        gate: Gate,
        guess: Guess,
        ceiling: f64,
        effort: &mut Effort,
    ) -> Result<ShaftState, Unsettled> {
        let equation = match gate {
            Gate::Area(_) => "the flow balance of turbine and gate",
            Gate::Balancing => "the power balance of the shaft",
        };
        if effort.states > effort.give_up_at {
            return Err(Unsettled {
                equation,
                residual: 1.0,
            });
        }
        let temperatures = std::cell::Cell::new((guess.tm, guess.t4));
        let mut inside = |x: f64| -> Trial {
            let mut here = Guess {
                p3: x.exp(),
                tm: temperatures.get().0,
                t4: temperatures.get().1,
                slopes: None,
            };
            let mut trial = self.look(at, gate, here, effort);
            for round in 0..60 {
                let (dm, d4) = (trial.tm - here.tm, trial.t4 - here.t4);
                if dm.abs() <= CLOSE.temperature * here.tm
                    && d4.abs() <= CLOSE.temperature * here.t4
                {
                    break;
                }
                // Damped once plain substitution has had its chance.
                let share = if round < 20 { 1.0 } else { 0.4 };
                here.tm = (here.tm + share * dm).clamp(150.0, 2000.0);
                here.t4 = (here.t4 + share * d4).clamp(150.0, 3000.0);
                trial = self.look(at, gate, here, effort);
            }
            temperatures.set((here.tm, here.t4));
            trial
        };
        let low = (self.outside.pressure.pa() * 1.000_001).ln();
        let high = ceiling.max(self.outside.pressure.pa() * 1.01).ln();
        let at_low = inside(low);
        let at_high = inside(high);
        let found = bracketed_root(
            (low, at_low.residual),
            (high, at_high.residual),
            1e-13,
            200,
            |x| inside(x).residual,
        );
        let last = inside(found.root);
        let settled = (last.tm - last.state.tm.kelvin()).abs() <= 1e-7 * last.tm;
        if (found.converged && last.residual.abs() <= 1e-7 || last.residual.abs() <= 1e-9)
            && settled
        {
            Ok(last.state)
        } else {
            Err(Unsettled {
                equation,
                residual: last.residual,
            })
        }
    }
}
