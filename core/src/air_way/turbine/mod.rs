//! Station 3 to 4: the turbine.

mod swallowing;

pub use swallowing::{SwallowingFit, SwallowingPoint, fit_swallowing};

use crate::formula;
use crate::gas::Mixture;
use crate::quantity::{AbsolutePressure, Temperature};
use std::f64::consts::PI;

formula! {
    /// Largest m√T3/p3 of a turbine in kg √K/(s Pa), estimated from its wheel's inducer tip
    /// diameter in m and its housing's A/R. ±8 %.
    ///
    /// ```
    /// let w = airpath::air_way::turbine::estimated_swallowing(0.059, 0.83);
    /// assert!((w - 2.69e-5).abs() < 0.02e-5);
    /// ```
    pub fn estimated_swallowing(wheel, a_over_r) = 0.0076 * wheel.powi(2) * (a_over_r / 0.8).sqrt();
    source "from memory, no source";

    /// Moment of inertia of a rotor, kg m², estimated from the largest diameters of its wheels in m
    /// and the inertia of each for the fifth power of that in kg/m³. ±35 %.
    ///
    /// ```
    /// let i = airpath::air_way::turbine::estimated_inertia(18.0, 0.071, 55.0, 0.059);
    /// assert!((i - 7.2e-5).abs() < 0.05e-5);
    /// ```
    pub fn estimated_inertia(of_compressor, compressor, of_turbine, turbine) =
        of_compressor * compressor.powi(5) + of_turbine * turbine.powi(5);
    source "wheels alike in shape have inertia ∝ density × size⁵; figures a judgement, from memory";

    /// Flow, kg/s, that the turbine passes at total inlet state and static outlet pressure.
    pub fn turbine_flow(swallowing, inlet, temperature, outlet, exponent) =
        swallowing * (inlet / temperature.sqrt()) * (1.0 - (outlet / inlet).powf(exponent)).sqrt();
    source "form: Eriksson & Nielsen 2014, Modeling and Control of Engines and Drivelines; exponent 2 is Stodola's";

    /// Speed of a wheel's tip, m/s, at its diameter in m and shaft speed in rev/min.
    pub fn tip_speed(diameter, shaft_speed) = PI * diameter * shaft_speed / 60.0;
    source "geometry";

    /// Speed of the gas after an ideal expansion, m/s, of `ideal` work in J/kg.
    pub fn ideal_gas_speed(ideal) = (2.0 * ideal).sqrt();
    source "Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, ch. 8 (spouting velocity)";

    /// Work of the turbine without pulses, J/kg: efficiency is a parabola over U/C0 with its peak
    /// at `best`, times C0²/2.
    pub fn steady_work(peak, tip, gas_speed, best) =
        peak * (tip * gas_speed / best - 0.5 * (tip / best).powi(2));
    source "Watson & Janota 1982; Dixon, ch. 8";

    /// Work with exhaust pulses, J/kg.
    pub fn pulsed_work(steady, gain, expansion_ratio) = steady * (1.0 + gain / expansion_ratio);
    source "a judgement, no source";

    /// Loss in the bearings, W, quoted for a 60 mm turbine wheel at 100,000 rev/min.
    pub fn bearing_loss(quoted, wheel, shaft_speed) =
        quoted * (wheel / 0.06).powi(3) * (shaft_speed / 100_000.0).powi(2);
    source "viscous drag ∝ speed² and size³; the quoted loss is a judgement";
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
    /// Diameter of the wheel at its inducer tip, m.
    pub wheel: f64,
    /// Bearing loss quoted for a 60 mm wheel at 100,000 rev/min, W; 0 where the efficiency holds it
    /// already.
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
        turbine_flow(
            self.swallowing,
            p3.pa(),
            t3.kelvin(),
            p4.pa(),
            self.exponent,
        )
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
        let c0 = ideal_gas_speed(ideal);
        let u = tip_speed(self.wheel, shaft_speed);
        let steady_work = steady_work(self.peak_efficiency, u, c0, self.best_speed_ratio);
        Expansion {
            steady_work,
            work: pulsed_work(steady_work, self.pulse_gain, 1.0 / ratio),
            efficiency: if ideal > 0.0 {
                steady_work / ideal
            } else {
                0.0
            },
            speed_ratio: if c0 > 0.0 { u / c0 } else { 0.0 },
        }
    }

    /// Loss in the bearings, W, at a shaft speed in rev/min.
    #[must_use]
    pub fn bearing_power(&self, shaft_speed: f64) -> f64 {
        bearing_loss(self.bearing, self.wheel, shaft_speed)
    }
}
