//! The wastegate: a way past the turbine.

use crate::formula;
use crate::quantity::{AbsolutePressure, Temperature};
use std::f64::consts::PI;

formula! {
    /// Largest opening of a gate, m²: the smaller of curtain area and seat area, for seat diameter
    /// and lift in m.
    ///
    /// ```
    /// let open = airpath::air_way::wastegate::largest_area(0.040, 0.004);
    /// assert!((open - std::f64::consts::PI * 0.040 * 0.004).abs() < 1e-12);
    /// ```
    pub fn largest_area(diameter, lift) = (PI * diameter * lift).min(PI * diameter.powi(2) / 4.0);
    source "geometry of a poppet valve (Heywood 1988, section 6.3.2)";

    /// Pressure ratio at which the flow through a throat is sonic.
    pub fn critical_ratio(gamma) = (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0));
    source "Heywood 1988, appendix C";

    /// Pressure ratio that counts for the flow: no lower than the critical one.
    pub fn throat_ratio(outlet, inlet, critical) = (outlet / inlet).max(critical);
    source "Heywood 1988, appendix C";

    /// Mass flow for each m² of ideal nozzle, kg/(s m²), at a throat's pressure ratio.
    pub fn flux_at(pressure, temperature, gas_constant, gamma, ratio) =
        pressure / (gas_constant * temperature).sqrt()
            * (2.0 * gamma / (gamma - 1.0)
                * (ratio.powf(2.0 / gamma) - ratio.powf((gamma + 1.0) / gamma)).max(0.0)).sqrt();
    source "Heywood 1988, appendix C";

    /// Enthalpy after the turbine, J/kg, the gate's stream mixed in: `share` of the gas has given
    /// its work.
    pub fn mixed_enthalpy(before, share, work) = before - share * work;
    source "first law over turbine and gate";

    /// Area of the gate that passes a flow in kg/s, m².
    pub fn gate_area(flow, discharge, flux) = flow / (discharge * flux);
    source "definition of the discharge coefficient";
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
    let ratio = throat_ratio(back.pa(), p.pa(), critical_ratio(gamma));
    flux_at(p.pa(), t.kelvin(), gas_constant, gamma, ratio)
}
