//! Station 4 to the open air: exhaust system, catalyst or filter included.

use crate::quantity::{AbsolutePressure, PressureDifference, Temperature};

/// Temperature that the loss is quoted at, K.
const QUOTED_TEMPERATURE: f64 = 1000.0;
/// Outside pressure that the loss is quoted at, Pa.
const QUOTED_PRESSURE: f64 = 101_325.0;

/// Inputs of the exhaust system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exhaust {
    /// Loss at the rated flow, 1,000 K and 101.3 kPa outside.
    pub rated_loss: PressureDifference,
    /// Rated flow of exhaust gas, kg/s.
    pub rated_flow: f64,
}

impl Exhaust {
    /// Pressure lost at a gas flow in kg/s and temperature `t4`:
    /// Δp = Δp_rated (ṁ/ṁ_rated)² (T4/1000 K)(101.3 kPa/p0): turbulent loss, flow²/density.
    #[must_use]
    pub fn loss(
        &self,
        flow: f64,
        t4: Temperature,
        outside: AbsolutePressure,
    ) -> PressureDifference {
        let share = flow / self.rated_flow;
        PressureDifference::new(
            self.rated_loss.pa()
                * share
                * share
                * (t4.kelvin() / QUOTED_TEMPERATURE)
                * (QUOTED_PRESSURE / outside.pa()),
        )
    }
}
