//! What burning gives: work, heat to the walls, hot gas.

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

/// Share of a fuel's heating value released at λ: completeness × [1 − slope (1 − λ)] when rich,
/// completeness when lean; never below 0.
#[must_use]
pub fn released_share(lambda: f64, completeness: f64, rich_slope: f64) -> f64 {
    completeness * (1.0 - rich_slope * (1.0 - lambda).max(0.0)).max(0.0)
}

/// Ideal efficiency at compression ratio `r` from that at 9: times (1 − r^−e)/(1 − 9^−e).
#[must_use]
pub fn ideal_efficiency(at_nine: f64, r: f64, exponent: f64) -> f64 {
    at_nine * (1.0 - r.powf(-exponent)) / (1.0 - 9f64.powf(-exponent))
}

impl Combustion {
    /// Share of the released heat that goes into the walls at `speed` in rev/min and manifold
    /// pressure `pm` in Pa: reference share × (N pm/(N_ref p_ref))^−e, at most 60 %.
    #[must_use]
    pub fn wall_share(&self, speed: f64, pm: f64) -> f64 {
        let load = speed * pm / (self.wall_speed * self.wall_pressure);
        (self.wall_share * load.powf(-self.wall_exponent)).min(0.6)
    }
}
