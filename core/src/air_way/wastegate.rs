//! The wastegate: a way past the turbine.

use crate::quantity::{AbsolutePressure, Temperature};
use std::f64::consts::{FRAC_PI_4, PI};

/// Largest opening of a gate, m²: the smaller of curtain area π d l and seat area π d²/4, for
/// seat diameter and lift in m.
///
/// ```
/// let open = airpath::air_way::wastegate::largest_area(0.040, 0.004);
/// assert!((open - std::f64::consts::PI * 0.040 * 0.004).abs() < 1e-12);
/// ```
#[must_use]
pub fn largest_area(diameter: f64, lift: f64) -> f64 {
    (PI * diameter * lift).min(FRAC_PI_4 * diameter * diameter)
}

/// Mass flow for each m² of ideal nozzle, kg/(s m²), from total (p, t) to back pressure:
/// p/√(R T) √(2γ/(γ−1) [pr^(2/γ) − pr^((γ+1)/γ)]), with pr held at its critical value once the
/// throat is sonic (any compressible-flow text; Heywood 1988, appendix C). 0 without a pressure
/// drop.
#[must_use]
pub fn nozzle_flux(
    p: AbsolutePressure,
    t: Temperature,
    back: AbsolutePressure,
    gamma: f64,
    gas_constant: f64,
) -> f64 {
    if back.pa() >= p.pa() {
        return 0.0;
    }
    let critical = (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0));
    let pr = (back.pa() / p.pa()).max(critical);
    let shape =
        2.0 * gamma / (gamma - 1.0) * (pr.powf(2.0 / gamma) - pr.powf((gamma + 1.0) / gamma));
    p.pa() / (gas_constant * t.kelvin()).sqrt() * shape.max(0.0).sqrt()
}
