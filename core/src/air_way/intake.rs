//! Station 0 to 1: filter, airbox and inlet duct.

use super::State;
use crate::formula;
use crate::quantity::{PressureDifference, TemperatureDifference};

formula! {
    /// Density of a gas, kg/m³, at pressure in Pa, specific gas constant in J/(kg K) and
    /// temperature in K.
    pub fn density(pressure, gas_constant, temperature) = pressure / (gas_constant * temperature);
    source "ideal gas law";

    /// Pressure lost in filter, airbox and duct, Pa: turbulent losses rise with dynamic head.
    pub fn filter_loss(rated_loss, flow, rated_flow, reference_density, density) =
        rated_loss * (flow / rated_flow).powi(2) * (reference_density / density);
    source "turbulent flow, loss ∝ dynamic head (any fluid mechanics text)";
}

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
        let density = density(
            outside.pressure.pa(),
            gas_constant,
            outside.temperature.kelvin(),
        );
        let loss = filter_loss(
            self.rated_loss.pa(),
            outside.flow,
            self.rated_flow,
            self.reference_density,
            density,
        )
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
