//! A steady state of air, gas and temperatures at a given manifold pressure.
//!
//! Unknown are the pressure before the turbine, the manifold temperature and the temperature
//! after the turbine. The two temperatures feed back weakly, so they are carried along while a
//! secant step finds the pressure; where that does not settle, a bracketed search with the
//! temperatures settled inside it does.

use super::plant::{Engine, Plant, PressurePoint, SpeedPoint};
use super::Unsettled;
use crate::air_way::turbine::Expansion;
use crate::air_way::wastegate::nozzle_flux;
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
}

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
}

impl ShaftState {
    /// Where a neighbour may begin.
    #[must_use]
    pub fn guess(&self) -> Guess {
        Guess { p3: self.p3.pa(), tm: self.tm.kelvin(), t4: self.t4.kelvin() }
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

/// How closely a state is settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Accuracy {
    /// Of pressure and power, relative.
    pressure: f64,
    /// Of temperatures, relative.
    temperature: f64,
}

/// For an answer.
pub(super) const CLOSE: Accuracy = Accuracy { pressure: 1e-11, temperature: 1e-10 };
/// For the march, which only asks how much power is left over.
pub(super) const ROUGH: Accuracy = Accuracy { pressure: 1e-4, temperature: 1e-4 };

impl Plant {
    fn look(
        &self,
        at: &PressurePoint,
        gate: Gate,
        guess: Guess,
        effort: &mut Effort,
    ) -> Trial {
        effort.states += 1;
        let p3 = AbsolutePressure::new(guess.p3);
        let tm = Temperature::new(guess.tm);
        let engine = self.engine(at, p3, tm, effort);
        let t3 = engine.turbine_temperature;
        let exhaust_loss = self.exhaust.loss(engine.exhaust, Temperature::new(guess.t4), self.outside.pressure);
        let p4 = self.outside.pressure + exhaust_loss;
        let each = engine.exhaust / self.count;
        let expansion = self.turbine.expand(self.gas(), p3, t3, p4, engine.shaft_speed);
        let (turbine_flow, flow_residual) = match gate {
            Gate::Area(area) if area > 0.0 => {
                let gate_flow = self.gate_flow(area, p3, t3, p4);
                let flow = self.turbine.flow(p3, t3, p4);
                // Squared flows, so that the residual is regular where p3 meets p4.
                let sum = flow + gate_flow;
                let share = if sum > 0.0 { flow / sum } else { 0.0 };
                (share * each, 0.5 * ((each * each) / (sum * sum).max(1e-30)).ln().clamp(-40.0, 40.0))
            }
            Gate::Area(_) => {
                let target = self.turbine.inlet_pressure(each, t3, p4, p3);
                (each, (target.pa() / p3.pa()).ln())
            }
            Gate::Balancing => (self.turbine.flow(p3, t3, p4).min(each), 0.0),
        };
        let share = turbine_flow / each;
        let h4 = self.gas().enthalpy(t3.kelvin()) - share * expansion.work;
        let t4 = self.gas().temperature_from_enthalpy(h4, guess.t4);
        effort.gas_states += 2;
        let compressor_power = engine.air / self.count * engine.compressor_work;
        let bearing_power = self.turbine.bearing_power(engine.shaft_speed);
        let turbine_power = turbine_flow * expansion.work;
        let surplus = turbine_power - compressor_power - bearing_power;
        let residual = match gate {
            Gate::Area(_) => flow_residual,
            Gate::Balancing => surplus / (compressor_power.abs() + bearing_power + 1e-3),
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
        };
        Trial { state, tm: engine.manifold_temperature.kelvin(), t4, residual }
    }

    /// Flow past one gate of `area` m², kg/s.
    #[must_use]
    pub fn gate_flow(&self, area: f64, p3: AbsolutePressure, t3: Temperature, p4: AbsolutePressure) -> f64 {
        let gas = self.gas();
        self.gate_discharge * area * nozzle_flux(p3, t3, p4, gas.gamma(t3.kelvin()), gas.gas_constant())
    }

    /// Gate area, m² each, that passes what the turbine does not; infinite where the pressure
    /// drop is gone.
    #[must_use]
    pub fn gate_area_needed(&self, state: &ShaftState) -> f64 {
        let past = state.engine.exhaust / self.count * state.gate_share;
        if past <= 0.0 {
            return 0.0;
        }
        past / self.gate_flow(1.0, state.p3, state.engine.turbine_temperature, state.p4)
    }

    /// The steady state at manifold pressure `pm` with the gate as said.
    ///
    /// `ceiling` is the largest pressure before the turbine that comes into question, Pa;
    /// `accuracy` how closely to settle.
    ///
    /// # Errors
    /// The equation that did not settle, with what is left of it.
    pub(super) fn settle(
        &self,
        point: &SpeedPoint,
        pm: AbsolutePressure,
        gate: Gate,
        guess: Guess,
        ceiling: f64,
        accuracy: Accuracy,
        effort: &mut Effort,
    ) -> Result<ShaftState, Unsettled> {
        let at = self.at_pressure(point, pm);
        let sign = if gate == Gate::Balancing { -1.0 } else { 1.0 };
        let floor = self.outside.pressure.pa();
        let mut here = guess;
        here.p3 = here.p3.clamp(floor * 1.000_001, ceiling);
        let mut before: Option<(f64, f64)> = None;
        for _ in 0..24 {
            let trial = self.look(&at, gate, here, effort);
            if !(trial.residual.is_finite() && trial.tm.is_finite() && trial.t4.is_finite()) {
                break;
            }
            let settled = (trial.tm - here.tm).abs() <= accuracy.temperature * here.tm
                && (trial.t4 - here.t4).abs() <= accuracy.temperature * here.t4;
            if settled && trial.residual.abs() <= accuracy.pressure {
                return Ok(trial.state);
            }
            let x = here.p3.ln();
            let first_slope = match gate {
                Gate::Area(area) if area > 0.0 => -1.5,
                Gate::Area(_) => -1.1,
                // Turbine power rises about as (p3 − p4)^1.5.
                Gate::Balancing => {
                    let over = (here.p3 - trial.state.p4.pa()).max(1e-3 * here.p3);
                    1.5 * here.p3 / over
                }
            };
            let slope = match before {
                Some((x0, r0)) if (x - x0).abs() > 1e-14 => {
                    let slope = (trial.residual - r0) / (x - x0);
                    // A secant through temperatures still on the move can mislead: keep its sign
                    // and size sane.
                    let low = 0.4 * first_slope.abs();
                    -sign * (-sign * slope).clamp(low, 8.0 * first_slope.abs())
                }
                _ => first_slope,
            };
            before = Some((x, trial.residual));
            let step = (-trial.residual / slope).clamp(-0.5, 0.5);
            here = Guess {
                p3: (x + step).exp().clamp(floor * 1.000_001, ceiling),
                tm: trial.tm,
                t4: trial.t4,
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
        let temperatures = std::cell::Cell::new((guess.tm, guess.t4));
        let mut inside = |x: f64| -> Trial {
            let mut here = Guess { p3: x.exp(), tm: temperatures.get().0, t4: temperatures.get().1 };
            let mut trial = self.look(at, gate, here, effort);
            for round in 0..200 {
                let (dm, d4) = (trial.tm - here.tm, trial.t4 - here.t4);
                if dm.abs() <= CLOSE.temperature * here.tm && d4.abs() <= CLOSE.temperature * here.t4 {
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
        let equation = match gate {
            Gate::Area(_) => "the flow balance of turbine and gate",
            Gate::Balancing => "the power balance of the shaft",
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
        if (found.converged && last.residual.abs() <= 1e-7 || last.residual.abs() <= 1e-9) && settled {
            Ok(last.state)
        } else {
            Err(Unsettled { equation, residual: last.residual })
        }
    }
}
