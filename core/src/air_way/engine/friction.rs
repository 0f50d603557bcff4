//! What the engine keeps for itself: rubbing, pumping; and the peak pressure that rubbing depends
//! on.

use crate::quantity::{AbsolutePressure, PressureDifference};

/// Inputs of friction and pumping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// Multiplies the whole formula.
    pub factor: f64,
    /// Constant, bar.
    pub constant: f64,
    /// For each bar of peak pressure, bar.
    pub peak: f64,
    /// For each m/s of mean piston speed, bar.
    pub speed: f64,
    /// For each (m/s)², bar.
    pub speed_squared: f64,
    /// Pumping in the valves at the reference speed and density, Pa.
    pub valve_loss: PressureDifference,
    /// Reference mean piston speed, m/s.
    pub valve_speed: f64,
    /// Reference density, kg/m³.
    pub valve_density: f64,
    /// Peak pressure with 1 bar in the manifold, bar.
    pub peak_base: f64,
    /// Rise of peak pressure for each bar in the manifold.
    pub peak_slope: f64,
}

impl Friction {
    /// Peak cylinder pressure: base + slope (pm − 1 bar), at least manifold pressure.
    #[must_use]
    pub fn peak_pressure(&self, pm: AbsolutePressure) -> AbsolutePressure {
        let bar = self.peak_base + self.peak_slope * (pm.pa() * 1e-5 - 1.0);
        AbsolutePressure::new((bar * 1e5).max(pm.pa()))
    }

    /// Friction mean effective pressure, Pa, at mean piston speed `up` in m/s:
    /// factor × (c₀ + c₁ p_max + c₂ U_p + c₃ U_p²) bar (form of Chen & Flynn 1965, SAE 650733).
    #[must_use]
    pub fn fmep(&self, up: f64, peak: AbsolutePressure) -> f64 {
        let bar = self.constant
            + self.peak * peak.pa() * 1e-5
            + up * (self.speed + up * self.speed_squared);
        self.factor * bar * 1e5
    }

    /// Pumping mean effective pressure, Pa (a loss above 0): p3 − pm + c (U_p/U_ref)² ρ_m/ρ_ref,
    /// with `density` of the charge in kg/m³.
    #[must_use]
    pub fn pmep(&self, up: f64, p3: AbsolutePressure, pm: AbsolutePressure, density: f64) -> f64 {
        let speed = up / self.valve_speed;
        p3.pa() - pm.pa() + self.valve_loss.pa() * speed * speed * density / self.valve_density
    }
}

/// Mean piston speed, m/s, at `speed` in rev/min and `stroke` in m: 2 s N/60.
#[must_use]
pub fn mean_piston_speed(speed: f64, stroke: f64) -> f64 {
    2.0 * stroke * speed / 60.0
}
