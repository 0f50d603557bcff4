//! Station 0 to 1: filter, airbox and inlet duct.

use super::State;
use crate::quantity::{PressureDifference, TemperatureDifference};

/// Share of the pressure that is always left, so that an absurd filter starves the engine and
/// does not turn pressure negative.
const LEAST_SHARE_LEFT: f64 = 0.1;

/// Inputs of the intake.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Intake {
    /// Loss at the rated flow and reference density.
    pub rated_loss: PressureDifference,
    /// Rated flow, kg/s.
    pub rated_flow: f64,
    /// Density that the loss is quoted at, kg/m³.
    pub reference_density: f64,
    /// How much the air warms.
    pub rise: TemperatureDifference,
}

impl Intake {
    /// The state at the compressor's inlet and the pressure lost, from the air outside.
    ///
    /// Δp = Δp_rated (ṁ/ṁ_rated)² ρ_ref/ρ (turbulent losses rise with dynamic head); never more
    /// than nine tenths of the pressure. `gas_constant` in J/(kg K).
    #[must_use]
    pub fn pass(&self, outside: State, gas_constant: f64) -> (State, PressureDifference) {
        let density = outside.pressure.pa() / (gas_constant * outside.temperature.kelvin());
        let share = outside.flow / self.rated_flow;
        let loss = (self.rated_loss.pa() * share * share * self.reference_density / density)
            .min((1.0 - LEAST_SHARE_LEFT) * outside.pressure.pa());
        let loss = PressureDifference::new(loss);
        let state = State {
            pressure: outside.pressure - loss,
            temperature: outside.temperature + self.rise,
            flow: outside.flow,
        };
        (state, loss)
    }
}
