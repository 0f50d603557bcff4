//! Station 3 to 4: the turbine.

use crate::gas::Mixture;
use crate::quantity::{AbsolutePressure, Temperature};

/// Swallowing from wheel size and A/R: 0.0076 D² √((A/R)/0.8), ±8 % (from memory, no source).
const SWALLOWING_PER_AREA: f64 = 0.0076;
/// A/R at which that holds.
const SWALLOWING_A_OVER_R: f64 = 0.8;

/// Largest m√T3/p3 of a turbine in kg √K/(s Pa), estimated from its wheel's inducer tip diameter
/// in m and its housing's A/R. ±8 %.
///
/// ```
/// let w = airpath::air_way::turbine::estimated_swallowing(0.059, 0.83);
/// assert!((w - 2.69e-5).abs() < 0.02e-5);
/// ```
#[must_use]
pub fn estimated_swallowing(wheel: f64, a_over_r: f64) -> f64 {
    SWALLOWING_PER_AREA * wheel * wheel * (a_over_r / SWALLOWING_A_OVER_R).sqrt()
}

/// Inputs of the turbine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turbine {
    /// Largest m√T3/p3, kg √K/(s Pa), pulses included.
    pub swallowing: f64,
    /// k in √(1 − ER^−k).
    pub exponent: f64,
    /// Best total-to-static efficiency.
    pub peak_efficiency: f64,
    /// U/C0 of the best efficiency, U at the wheel's inducer tip.
    pub best_speed_ratio: f64,
    /// a in the pulse factor 1 + a/ER.
    pub pulse_gain: f64,
    /// Tip speed for each rev/min of the shaft, m/s.
    pub tip_speed_per_rev_min: f64,
    /// Bearing loss for each (rev/min)², W; 0 where the efficiency holds it already.
    pub bearing: f64,
}

/// What the turbine does at a state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expansion {
    /// Work without pulses, J/kg; below 0 when it brakes.
    pub steady_work: f64,
    /// Work with pulses, J/kg: what turns the shaft and what the gas loses.
    pub work: f64,
    /// Total-to-static efficiency without pulses.
    pub efficiency: f64,
    /// U/C0.
    pub speed_ratio: f64,
}

impl Turbine {
    /// Flow, kg/s, that the turbine passes at total inlet state (p3, t3) and static outlet p4:
    /// W p3/√T3 √(1 − (p4/p3)^k); 0 where p3 is not above p4. Form: Eriksson & Nielsen 2014,
    /// *Modeling and Control of Engines and Drivelines*; k = 2 is Stodola's.
    #[must_use]
    pub fn flow(&self, p3: AbsolutePressure, t3: Temperature, p4: AbsolutePressure) -> f64 {
        if p3.pa() <= p4.pa() {
            return 0.0;
        }
        let drop = 1.0 - (p4.pa() / p3.pa()).powf(self.exponent);
        self.swallowing * p3.pa() / t3.kelvin().sqrt() * drop.sqrt()
    }

    /// How far, relative, inlet pressure `p3` is below the one at which the turbine passes `flow`
    /// in kg/s: one Newton step of p3² [1 − (p4/p3)^k] = (ṁ/W)² T3, which is monotone in p3, has
    /// one root, and is regular at p3 = p4. Zero at the root.
    #[must_use]
    pub fn pressure_miss(
        &self,
        flow: f64,
        t3: Temperature,
        p4: AbsolutePressure,
        p3: AbsolutePressure,
    ) -> f64 {
        let asked = (flow / self.swallowing).powi(2) * t3.kelvin();
        let kept = (p4.pa() / p3.pa()).powf(self.exponent);
        let square = p3.pa() * p3.pa();
        // Below p4 there is no such flow; the miss stays above zero there.
        (asked / square - (1.0 - kept)) / (2.0 - (2.0 - self.exponent) * kept.min(1.0))
    }

    /// Inlet pressure at which the turbine passes `flow` in kg/s.
    ///
    /// Newton's method on [`Turbine::pressure_miss`] inside a bracket.
    #[must_use]
    pub fn inlet_pressure(
        &self,
        flow: f64,
        t3: Temperature,
        p4: AbsolutePressure,
    ) -> AbsolutePressure {
        let asked = (flow / self.swallowing).powi(2) * t3.kelvin();
        // 1 − (p4/p3)^k is at least 1 − p4/p3 for k above 1, which bounds the root from above.
        let (mut low, mut high) = (p4.pa(), p4.pa() + asked.sqrt());
        let mut p3 = high;
        for _ in 0..100 {
            let miss = self.pressure_miss(flow, t3, p4, AbsolutePressure::new(p3));
            if miss > 0.0 {
                low = p3
            } else {
                high = p3
            }
            let mut next = p3 * (1.0 + miss);
            if !(next >= low && next <= high) {
                next = 0.5 * (low + high);
            }
            let step = (next - p3).abs();
            p3 = next;
            if step <= 1e-14 * p3 {
                break;
            }
        }
        AbsolutePressure::new(p3)
    }

    /// Work and efficiency at total inlet state (p3, t3), static outlet p4 and shaft speed in
    /// rev/min.
    ///
    /// C0 = √(2 Δh_s) from total p3 to static p4; η = η_max [2x − x²] with x = (U/C0)/b: a parabola
    /// with no clamp, so the wheel brakes beyond twice the best speed ratio (Watson & Janota 1982;
    /// Dixon, ch. 8). Work is η C0²/2, written so that it is regular without expansion. Pulses
    /// multiply it by 1 + a/ER.
    #[must_use]
    pub fn expand(
        &self,
        gas: &Mixture,
        p3: AbsolutePressure,
        t3: Temperature,
        p4: AbsolutePressure,
        shaft_speed: f64,
    ) -> Expansion {
        let ratio = (p4.pa() / p3.pa()).min(1.0);
        let ideal = -gas.isentropic_work(t3.kelvin(), ratio).min(0.0);
        let c0 = (2.0 * ideal).sqrt();
        let u = self.tip_speed_per_rev_min * shaft_speed;
        let b = self.best_speed_ratio;
        let steady_work = self.peak_efficiency * (u * c0 / b - 0.5 * u * u / (b * b));
        Expansion {
            steady_work,
            work: steady_work * (1.0 + self.pulse_gain * ratio),
            efficiency: if ideal > 0.0 {
                steady_work / ideal
            } else {
                0.0
            },
            speed_ratio: if c0 > 0.0 { u / c0 } else { 0.0 },
        }
    }

    /// Loss in the bearings, W, at a shaft speed in rev/min: c N².
    #[must_use]
    pub fn bearing_power(&self, shaft_speed: f64) -> f64 {
        self.bearing * shaft_speed * shaft_speed
    }
}
