//! Station 4 to the open air: exhaust system, catalyst or filter included.

use crate::formula;
use crate::quantity::{AbsolutePressure, PressureDifference, Temperature};

formula! {
    /// Pressure lost after the turbine, Pa, at a gas flow in kg/s; quoted at the rated flow,
    /// 1,000 K and 101.325 kPa outside.
    pub fn exhaust_loss(rated_loss, flow, rated_flow, temperature, outside) =
        rated_loss * (flow / rated_flow).powi(2) * (temperature / 1000.0) * (101_325.0 / outside);
    source "turbulent flow, loss ∝ flow²/density (any fluid mechanics text)";
}

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
        PressureDifference::new(exhaust_loss(
            self.rated_loss.pa(),
            flow,
            self.rated_flow,
            t4.kelvin(),
            outside.pa(),
        ))
    }
}
