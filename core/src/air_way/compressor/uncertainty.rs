//! How far to trust a map: each figure with where it comes from.

use super::{MapData, WheelSizes};

/// What a figure's half width counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// A share of the value: 0.06 is ±6 %.
    Share,
    /// The value's own unit: 0.025 of an efficiency is ±2.5 points.
    Same,
}

/// Half of the range about a value that should hold nine in ten, and why it is believed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// Above 0.
    pub half_width: f64,
    /// What it counts in.
    pub spread: Spread,
    /// Where it comes from.
    pub source: &'static str,
}

impl Uncertainty {
    /// A share of the value.
    #[must_use]
    pub const fn share(half_width: f64, source: &'static str) -> Self {
        Self {
            half_width,
            spread: Spread::Share,
            source,
        }
    }

    /// In the value's own unit.
    #[must_use]
    pub const fn same(half_width: f64, source: &'static str) -> Self {
        Self {
            half_width,
            spread: Spread::Same,
            source,
        }
    }

    /// Least and greatest of the range about `value`.
    #[must_use]
    pub fn range(&self, value: f64) -> (f64, f64) {
        let half = match self.spread {
            Spread::Share => self.half_width * value.abs(),
            Spread::Same => self.half_width,
        };
        (value - half, value + half)
    }
}

/// Uncertainty of a compressor map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapUncertainty {
    /// Flow at a speed and pressure ratio, and at choke: a share.
    pub flow: Uncertainty,
    /// Pressure ratio at a speed and flow: a share.
    pub pressure_ratio: Uncertainty,
    /// Efficiency: 1 is 100 points.
    pub efficiency: Uncertainty,
    /// Flow on the surge line: a share.
    pub surge_flow: Uncertainty,
    /// Work input: a share.
    pub work: Uncertainty,
}

/// Largest wheel, m, of the estimator's table of efficiency by size.
const LARGEST_OF_TABLE: f64 = 0.088;

/// Flow of a map estimated from sizes alone.
pub(super) const SIZES_FLOW: Uncertainty = Uncertainty::share(
    0.06,
    "throat 0.56 to 0.63 of the annulus, a judgement; a measured stage (NASA HECC) chokes at 3.5 % more, at most 6.3 % from a tip-speed Mach number of 1.4",
);
/// Flow of one that is scaled to a claim.
const CLAIMED_FLOW: Uncertainty = Uncertainty::share(
    0.03,
    "choke and the flow at 60 % efficiency are up to 3 % apart, and a claim means the one or the other; a judgement, no source",
);

impl MapUncertainty {
    /// Of a map from a gas stand.
    pub const MEASURED: Self = Self {
        flow: Uncertainty::share(0.015, "gas-stand practice; a judgement, no source"),
        pressure_ratio: Uncertainty::share(0.01, "gas-stand practice; a judgement, no source"),
        efficiency: Uncertainty::same(
            0.02,
            "gas-stand practice, heat and reading of the map included; a judgement, no source",
        ),
        surge_flow: Uncertainty::share(0.05, "another intake moves surge; a judgement, no source"),
        work: Uncertainty::share(0.02, "gas-stand practice; a judgement, no source"),
    };

    /// Of a map estimated from these sizes: less where more is known.
    #[must_use]
    pub fn estimated(wheel: &WheelSizes) -> Self {
        let width = wheel.outlet_width_m.is_some();
        let claimed = wheel.claimed_flow_kg_s.is_some();
        let flow = if claimed { CLAIMED_FLOW } else { SIZES_FLOW };
        let efficiency = if wheel.peak_efficiency.is_some() {
            Uncertainty::same(
                0.015,
                "best efficiency given, its fall over the map estimated; a judgement, no source",
            )
        } else if wheel.exducer_m > LARGEST_OF_TABLE {
            Uncertainty::same(
                0.05,
                "beyond the table of sizes; a measured stage (NASA HECC) is better by 3.1 points, at most 4.9",
            )
        } else {
            Uncertainty::same(
                0.025,
                "best efficiency by size, ±2.5 points; a judgement, no source",
            )
        };
        // Pressure ratio at 2.5, from work and efficiency: d ln PR = 3.5 y/(1 + y) d ln(η Δh) with
        // y = PR^(1/3.5) − 1, which is 0.8.
        let (work, pressure_ratio, surge_flow) = if width {
            (
                Uncertainty::share(
                    0.04,
                    "measured wheels (NASA HECC, Eckardt O) at equal flow: at most 3.8 %",
                ),
                Uncertainty::share(0.04, "that of work and of efficiency, at a ratio of 2.5"),
                Uncertainty::share(
                    0.12,
                    "ranges of surge over choke, a judgement; a measured vaneless stage (NASA HECC) begins at most 5.4 % from it",
                ),
            )
        } else {
            (
                Uncertainty::share(
                    0.06,
                    "slip, outlet flow coefficient 0.25 to 0.30, disc friction; a judgement. A wheel with a wider outlet (NASA HECC) works 9 % more",
                ),
                Uncertainty::share(0.055, "that of work and of efficiency, at a ratio of 2.5"),
                Uncertainty::share(
                    0.15,
                    "ranges of surge over choke, a judgement. A wheel with a wider outlet (NASA HECC) begins at half as much flow again",
                ),
            )
        };
        Self {
            flow,
            pressure_ratio,
            efficiency,
            surge_flow,
            work,
        }
    }
}

impl MapData {
    /// How far to trust the map, `wheel` being the one that it belongs to.
    #[must_use]
    pub fn uncertainty(&self, wheel: &WheelSizes) -> MapUncertainty {
        if self.estimated {
            MapUncertainty::estimated(wheel)
        } else {
            MapUncertainty::MEASURED
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::shelf;

    #[test]
    fn more_known_is_less_uncertain() {
        let turbocharger = shelf().swap_remove(1);
        let (map, wheel) = (turbocharger.compressor.map, turbocharger.compressor.wheel);
        let bare = WheelSizes {
            peak_efficiency: None,
            ..wheel
        };
        let with = |change: fn(&mut WheelSizes)| {
            let mut wheel = bare;
            change(&mut wheel);
            map.uncertainty(&wheel)
        };
        let plain = map.uncertainty(&bare);
        let width = with(|w| w.outlet_width_m = Some(0.005));
        let claimed = with(|w| w.claimed_flow_kg_s = Some(0.35));
        assert!(claimed.flow.half_width < plain.flow.half_width);
        let efficient = with(|w| w.peak_efficiency = Some(0.77));
        let large = with(|w| w.exducer_m = 0.2);
        assert!(width.work.half_width < plain.work.half_width);
        assert!(width.surge_flow.half_width < plain.surge_flow.half_width);
        assert!(efficient.efficiency.half_width < plain.efficiency.half_width);
        assert!(large.efficiency.half_width > plain.efficiency.half_width);
        let measured = MapData {
            estimated: false,
            ..map
        }
        .uncertainty(&bare);
        for (best, other) in [
            (measured.flow, claimed.flow),
            (measured.pressure_ratio, width.pressure_ratio),
            (measured.efficiency, plain.efficiency),
            (measured.surge_flow, width.surge_flow),
            (measured.work, width.work),
        ] {
            assert!(best.half_width < other.half_width, "{}", best.source);
        }
    }

    #[test]
    fn a_range_is_about_its_value() {
        assert_eq!(Uncertainty::share(0.1, "").range(2.0), (1.8, 2.2));
        assert_eq!(
            Uncertainty::same(0.1, "").range(0.7),
            (0.6, 0.799_999_999_999_999_9)
        );
    }
}
