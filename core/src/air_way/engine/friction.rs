//! What the engine keeps for itself: rubbing, pumping; and the peak pressure that rubbing depends
//! on.

use crate::formula;
use crate::quantity::{AbsolutePressure, PressureDifference};

formula! {
    /// Mean piston speed, m/s, at `speed` in rev/min and `stroke` in m.
    pub fn mean_piston_speed(speed, stroke) = 2.0 * stroke * speed / 60.0;
    source "Heywood 1988, eq. 2.9";

    /// Peak cylinder pressure, Pa, at a manifold pressure in Pa; `base` is that at 100 kPa.
    pub fn peak_pressure(base, slope, manifold) = base + slope * (manifold - 100_000.0);
    source "a judgement, no source";

    /// Friction mean effective pressure, Pa, at mean piston speed `piston` in m/s; the last two
    /// coefficients are in bar for each m/s and (m/s)².
    pub fn friction_pressure(factor, constant, with_peak, peak, with_speed, with_square, piston) =
        factor * (constant + with_peak * peak
            + 100_000.0 * (with_speed * piston + with_square * piston.powi(2)));
    source "form of Chen & Flynn 1965, SAE 650733";

    /// Pumping mean effective pressure, Pa (a loss above 0).
    pub fn pumping_pressure(before_turbine, manifold, valves, piston, quoted_piston, density, quoted_density) =
        before_turbine - manifold
            + valves * (piston / quoted_piston).powi(2) * (density / quoted_density);
    source "Heywood 1988, section 13.3; valve losses ∝ dynamic head";
}

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
        let peak = peak_pressure(self.peak_base * 1e5, self.peak_slope, pm.pa());
        AbsolutePressure::new(peak.max(pm.pa()))
    }

    /// Friction mean effective pressure, Pa, at mean piston speed `up` in m/s:
    /// factor × (c₀ + c₁ p_max + c₂ U_p + c₃ U_p²) bar (form of Chen & Flynn 1965, SAE 650733).
    #[must_use]
    pub fn fmep(&self, up: f64, peak: AbsolutePressure) -> f64 {
        friction_pressure(
            self.factor,
            self.constant * 1e5,
            self.peak,
            peak.pa(),
            self.speed,
            self.speed_squared,
            up,
        )
    }

    /// Pumping mean effective pressure, Pa (a loss above 0): p3 − pm + c (U_p/U_ref)² ρ_m/ρ_ref,
    /// with `density` of the charge in kg/m³.
    #[must_use]
    pub fn pmep(&self, up: f64, p3: AbsolutePressure, pm: AbsolutePressure, density: f64) -> f64 {
        pumping_pressure(
            p3.pa(),
            pm.pa(),
            self.valve_loss.pa(),
            up,
            self.valve_speed,
            density,
            self.valve_density,
        )
    }
}
