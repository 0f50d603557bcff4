//! Where the numbers of a turbocharger come from, and how far to trust each.

use super::{Build, Turbocharger};
use crate::air_way::compressor::{MapUncertainty, Uncertainty};
use crate::air_way::turbine::{estimated_inertia, estimated_swallowing};
use crate::fields::Field;

/// Where a number comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// Worked out from sizes.
    Estimated,
    /// Given by a person as a single number.
    Entered,
    /// From measured points.
    Measured,
}

/// A number of a turbocharger, where it comes from and how far to trust it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// SI; for the map, whose numbers are many, the figure that stands for them: the largest flow in
    /// kg/s, the highest efficiency.
    pub value: f64,
    /// Where it comes from.
    pub origin: Origin,
    /// How far to trust it.
    pub uncertainty: Uncertainty,
}

/// What is known of a turbocharger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knowledge {
    /// Flow of the compressor's map: its largest, kg/s corrected.
    pub map_flow: Known,
    /// Efficiency of the compressor: the map's highest.
    pub efficiency: Known,
    /// Largest m√T3/p3 of the turbine, kg √K/(s Pa).
    pub swallowing: Known,
    /// Best total-to-static efficiency of the turbine.
    pub turbine_efficiency: Known,
    /// Moment of inertia of shaft and wheels, kg m².
    pub inertia: Known,
    /// All of the compressor map's uncertainties.
    pub map: MapUncertainty,
}

const SWALLOWING_ESTIMATED: Uncertainty = Uncertainty::share(
    0.08,
    "from wheel and A/R by a rule from memory, ±8 %; no source",
);
const SWALLOWING_MEASURED: Uncertainty = Uncertainty::share(
    0.015,
    "gas-stand practice, a judgement, no source; and what the points leave of their law",
);
const SWALLOWING_ENTERED: Uncertainty = Uncertainty::share(
    0.03,
    "gas-stand practice for a figure read off a turbine map; a judgement, no source",
);
/// A record always has this number and does not say from where.
const TURBINE_EFFICIENCY_OF_RECORD: Uncertainty = Uncertainty::same(
    0.055,
    "wheels of 50 to 70 mm have 0.70, 0.64 to 0.75; a judgement, no source",
);
const TURBINE_EFFICIENCY_ENTERED: Uncertainty =
    Uncertainty::same(0.03, "gas-stand practice; a judgement, no source");
const INERTIA_ESTIMATED: Uncertainty = Uncertainty::share(
    0.35,
    "from the wheels' diameters, ±35 %; a judgement, no source",
);
const INERTIA_ENTERED: Uncertainty =
    Uncertainty::share(0.05, "a swing test or a drawing; a judgement, no source");

impl Turbocharger {
    /// What is known of it, with its housing `housing` (from 0; one that it does not have reads as
    /// its last).
    #[must_use]
    pub fn knowledge(&self, housing: usize) -> Knowledge {
        let compressor = &self.compressor;
        let map = compressor.map.uncertainty(&compressor.wheel);
        let points = || compressor.map.lines.iter().flat_map(|line| &line.points);
        let of_map = match compressor.map.estimated {
            true => Origin::Estimated,
            false => Origin::Measured,
        };
        let given = |given: Option<f64>| match given {
            Some(_) if compressor.map.estimated => Origin::Entered,
            _ => of_map,
        };
        let housings = &self.turbine.housings;
        let housing = housings.get(housing).or(housings.last());
        let exponent = Field::TurbineExponent.spec().default_si(false);
        let fit = housing.and_then(|h| h.fitted(exponent?, false));
        let swallowing = match (fit, housing.and_then(|h| h.swallowing)) {
            (Some(fit), _) => Known {
                value: fit.swallowing,
                origin: Origin::Measured,
                uncertainty: Uncertainty::share(
                    SWALLOWING_MEASURED.half_width + fit.root_mean_square,
                    SWALLOWING_MEASURED.source,
                ),
            },
            (None, Some(value)) => Known {
                value,
                origin: Origin::Entered,
                uncertainty: SWALLOWING_ENTERED,
            },
            (None, None) => Known {
                value: estimated_swallowing(
                    self.turbine.inducer_m,
                    housing.map_or(0.0, |h| h.a_over_r),
                ),
                origin: Origin::Estimated,
                uncertainty: SWALLOWING_ESTIMATED,
            },
        };
        // Both fields have a default, the same for every fuel.
        let usual = |field: Field| field.spec().default_si(false).unwrap_or(f64::NAN);
        let inertia = match self.inertia_kg_m2 {
            Some(value) => Known {
                value,
                origin: Origin::Entered,
                uncertainty: INERTIA_ENTERED,
            },
            None => Known {
                value: estimated_inertia(
                    usual(Field::CompressorWheelInertia),
                    compressor.wheel.exducer_m,
                    usual(Field::TurbineWheelInertia),
                    self.turbine.inducer_m,
                ),
                origin: Origin::Estimated,
                uncertainty: INERTIA_ESTIMATED,
            },
        };
        Knowledge {
            map_flow: Known {
                value: points().map(|p| p.flow_kg_s).fold(0.0, f64::max),
                origin: of_map,
                uncertainty: map.flow,
            },
            efficiency: Known {
                value: points().map(|p| p.efficiency).fold(0.0, f64::max),
                origin: given(compressor.wheel.peak_efficiency),
                uncertainty: map.efficiency,
            },
            swallowing,
            turbine_efficiency: Known {
                value: self.turbine.peak_efficiency,
                origin: Origin::Entered,
                uncertainty: TURBINE_EFFICIENCY_OF_RECORD,
            },
            inertia,
            map,
        }
    }
}

impl Build {
    /// What is known of its turbocharger with the housing chosen, and what the build's own entries
    /// put in place of it.
    #[must_use]
    pub fn knowledge(&self) -> Knowledge {
        let mut known = self.turbocharger().knowledge(self.housing_index());
        for (field, place, uncertainty) in [
            (
                Field::TurbineSwallowing,
                &mut known.swallowing,
                SWALLOWING_ENTERED,
            ),
            (
                Field::TurbinePeakEfficiency,
                &mut known.turbine_efficiency,
                TURBINE_EFFICIENCY_ENTERED,
            ),
            (Field::RotorInertia, &mut known.inertia, INERTIA_ENTERED),
        ] {
            if let Some(value) = self.optional(field) {
                *place = Known {
                    value,
                    origin: Origin::Entered,
                    uncertainty,
                };
            }
        }
        known
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_build;
    use std::sync::Arc;

    #[test]
    fn what_is_entered_is_known_better() {
        let build = example_build().expect("ours");
        let mut record = build.turbocharger().as_ref().clone();
        record.inertia_kg_m2 = None;
        let before = record.knowledge(0);
        assert_eq!(before.map_flow.origin, Origin::Estimated);
        assert_eq!(before.inertia.origin, Origin::Estimated);
        assert_eq!(before.swallowing.origin, Origin::Estimated);
        record.inertia_kg_m2 = Some(9e-5);
        record.turbine.housings[0].swallowing = Some(2.7e-5);
        record.compressor.map.estimated = false;
        let after = record.knowledge(0);
        assert_eq!(after.map_flow.origin, Origin::Measured);
        assert_eq!(after.efficiency.origin, Origin::Measured);
        assert_eq!(
            (after.inertia.origin, after.inertia.value),
            (Origin::Entered, 9e-5)
        );
        assert_eq!(after.swallowing.origin, Origin::Entered);
        for (a, b) in [
            (after.map_flow, before.map_flow),
            (after.swallowing, before.swallowing),
            (after.inertia, before.inertia),
        ] {
            assert!(a.uncertainty.half_width < b.uncertainty.half_width);
        }
        let text = "64 %";
        let field = Field::TurbinePeakEfficiency;
        let build = build
            .with_turbocharger(Arc::new(record), 0)
            .and_then(|b| b.with_text(field, text, field.spec().unit()))
            .expect("in range");
        let known = build.knowledge().turbine_efficiency;
        assert!((known.value - 0.64).abs() < 1e-12);
        assert!(known.uncertainty.half_width < after.turbine_efficiency.uncertainty.half_width);
    }
}
