//! What burning gives: work, heat to the walls, hot gas.

use crate::formula;

/// Inputs of the combustion at one λ and compression ratio.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combustion {
    /// Share of the heating value released.
    pub released_share: f64,
    /// Gross indicated work over heat released.
    pub work_share: f64,
    /// Share of the released heat that goes into the walls at the reference speed and pressure.
    pub wall_share: f64,
    /// Exponent of its fall with speed × pressure.
    pub wall_exponent: f64,
    /// Reference speed, rev/min.
    pub wall_speed: f64,
    /// Reference manifold pressure, Pa.
    pub wall_pressure: f64,
}

formula! {
    /// Share of a fuel's heating value released at λ (0.6 and above): all but what leaves as carbon
    /// monoxide and hydrogen when rich, times completeness.
    pub fn released_share(lambda, completeness, rich_slope) =
        completeness * (1.0 - rich_slope * (1.0 - lambda).max(0.0));
    source "slope derived from water-gas-shift-frozen CO and H₂ (Heywood 1988, section 4.9)";

    /// Ideal efficiency at compression ratio `r` from that at 9.
    pub fn ideal_efficiency(at_nine, r, exponent) =
        at_nine * ((1.0 - r.powf(-exponent)) / (1.0 - (9.0f64).powf(-exponent)));
    source "form of the air cycle (Heywood 1988, eq. 5.31); exponent fitted to fuel-air cycles";

    /// Gross indicated work over the heat released.
    pub fn work_share(ideal, real_over_ideal, spark) = ideal * real_over_ideal * spark;
    source "Taylor, vol. 1, ch. 5: real over fuel-air cycle";

    /// Fuel, kg/s, for dry air in kg/s at λ and the air that one kilogram of fuel needs.
    pub fn fuel_flow(dry_air, lambda, air_to_burn) = dry_air / (lambda * air_to_burn);
    source "definition of λ";

    /// Heat released, W.
    pub fn heat_released(fuel, heating_value, share) = fuel * heating_value * share;
    source "definition of the lower heating value";

    /// Gross indicated power, W.
    pub fn gross_power(heat, share) = heat * share;
    source "definition of the gross indicated efficiency";

    /// Share of the heat released that goes into the walls, at engine speed in rev/min and manifold
    /// pressure in Pa.
    pub fn wall_share(quoted, speed, pressure, quoted_speed, quoted_pressure, exponent) =
        quoted * (speed * pressure / (quoted_speed * quoted_pressure)).powf(-exponent);
    source "turbulent heat transfer, Nu ∝ Re^0.8, softened: a judgement";

    /// Enthalpy of the exhaust at the ports, J/kg above 298.15 K: what is left of heat and charge
    /// once work and wall heat are gone.
    pub fn port_enthalpy(heat, air, air_enthalpy, gross, pumping, wall, exhaust) =
        (heat + air * air_enthalpy - (gross - pumping) - wall) / exhaust;
    source "first law over the cylinders";
}

impl Combustion {
    /// Share of the released heat that goes into the walls at `speed` in rev/min and manifold
    /// pressure `pm` in Pa: reference share × (N pm/(N_ref p_ref))^−e, at most 60 %.
    #[must_use]
    pub fn wall_share(&self, speed: f64, pm: f64) -> f64 {
        wall_share(
            self.wall_share,
            speed,
            pm,
            self.wall_speed,
            self.wall_pressure,
            self.wall_exponent,
        )
        .min(0.6)
    }
}
