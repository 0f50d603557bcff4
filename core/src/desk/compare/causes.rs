//! What a difference between two turbochargers comes from: the compressor or the turbine.

use super::{Contender, Contest};
use crate::build::{Build, Turbocharger};
use crate::run::{Match, solve_at};
use std::sync::Arc;

/// The two that lie between a pair of turbochargers: the one's compressor on the other's turbine, and
/// the other way round. No such thing need exist: they tell the causes of a difference apart.
///
/// What changes with the compressor alone is worked out twice, on either turbine, and the mean of the
/// two is its share; the turbine's likewise (Shapley's value for two). The two shares add up to the
/// difference.
#[derive(Debug, Clone)]
pub struct Causes {
    /// This turbine with the other's compressor.
    turbine_kept: Match,
    /// This compressor with the other's turbine.
    compressor_kept: Match,
}

impl Causes {
    /// Solves what lies between two contenders; `None` where they differ in number, in the compressor
    /// alone or in the turbine alone (the cause is then plain), or where it cannot be solved.
    #[must_use]
    pub fn between(this: &Contender, other: &Contender) -> Option<Self> {
        let (a, b) = (&this.candidate, &other.candidate);
        let alike = a.turbocharger.compressor == b.turbocharger.compressor
            || (a.turbocharger.turbine == b.turbocharger.turbine && a.housing == b.housing);
        if a.arrangement != b.arrangement || alike {
            return None;
        }
        let speeds = this.found.speeds.len() + this.found.unsolved.len();
        let of = |turbine: &Contender, compressor: &Contender| {
            let build = crossed(turbine, compressor)?;
            solve_at(&build, speeds).ok()
        };
        Some(Self {
            turbine_kept: of(this, other)?,
            compressor_kept: of(other, this)?,
        })
    }

    /// The shares of the compressor and of the turbine in the difference of a figure, this less the
    /// other; `None` where the figure is not had of all four.
    #[must_use]
    pub fn shares(
        &self,
        this: &Match,
        other: &Match,
        figure: impl Fn(&Match) -> Option<f64>,
    ) -> Option<(f64, f64)> {
        let (here, there) = (figure(this)?, figure(other)?);
        let turbine_kept = figure(&self.turbine_kept)?;
        let compressor_kept = figure(&self.compressor_kept)?;
        let compressor = 0.5 * ((here - turbine_kept) + (compressor_kept - there));
        let turbine = 0.5 * ((here - compressor_kept) + (turbine_kept - there));
        Some((compressor, turbine))
    }
}

/// A build with the turbine side of one contender and the compressor side of the other. The largest
/// shaft speed goes with the compressor, whose wheel sets it as a rule; bearing, gate and flanges go
/// with the turbine.
fn crossed(turbine: &Contender, compressor: &Contender) -> Option<Build> {
    let of = &compressor.candidate.turbocharger;
    let record = Turbocharger {
        compressor: of.compressor.clone(),
        largest_speed_rev_min: of.largest_speed_rev_min,
        inertia_kg_m2: None,
        ..(*turbine.candidate.turbocharger).clone()
    };
    turbine
        .build
        .with_turbocharger(Arc::new(record), turbine.candidate.housing)
        .ok()
}

impl Contest {
    /// What lies between a contender, by its place, and the first; `None` where the cause is plain or
    /// cannot be told (see [`Causes::between`]).
    #[must_use]
    pub fn causes(&self, place: usize) -> Option<&Causes> {
        self.causes.get(place)?.as_deref()
    }
}
