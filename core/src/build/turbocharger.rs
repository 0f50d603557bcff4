//! A turbocharger's record.

use crate::air_way::compressor::{MapData, WheelSizes};
use serde::{Deserialize, Serialize};

/// A turbocharger: compressor, turbine with its housings, shaft, gate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Turbocharger {
    /// Key: lower case letters, digits and hyphens.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// The compressor.
    pub compressor: CompressorRecord,
    /// The turbine.
    pub turbine: TurbineRecord,
    /// Largest shaft speed, rev/min.
    pub largest_speed_rev_min: f64,
    /// What carries the shaft.
    pub bearing: Bearing,
    /// Whether the turbine's efficiency already holds the bearing's loss, as gas-stand figures
    /// usually do.
    pub bearing_in_efficiency: bool,
    /// The wastegate that comes with it.
    pub gate: GateRecord,
    /// Anything worth saying.
    pub notes: String,
}

/// The compressor's sizes and map.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CompressorRecord {
    /// Wheel sizes.
    pub wheel: WheelSizes,
    /// Its map.
    pub map: MapData,
}

impl CompressorRecord {
    /// Trim (SAE J922): 100 × (inducer/exducer diameter)².
    #[must_use]
    pub fn trim(&self) -> f64 {
        100.0 * (self.wheel.inducer_m / self.wheel.exducer_m).powi(2)
    }
}

/// The turbine's sizes and housings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TurbineRecord {
    /// Wheel diameter at its inducer tip (the larger, where the gas enters), m.
    pub inducer_m: f64,
    /// Wheel diameter where the gas leaves, m.
    pub exducer_m: f64,
    /// Best total-to-static efficiency, 0 to 1.
    pub peak_efficiency: f64,
    /// Hottest gas for long, K.
    pub inlet_limit_k: f64,
    /// Housings it can have.
    pub housings: Vec<Housing>,
}

/// A turbine housing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Housing {
    /// Area over radius of the volute, as its maker states it (a number of the trade in inches).
    pub a_over_r: f64,
    /// Largest m√T3/p3, kg √K/(s Pa); `None` for what wheel and A/R suggest.
    pub swallowing: Option<f64>,
}

/// What carries the shaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bearing {
    /// Ball bearings.
    Ball,
    /// Journal (floating sleeve) bearings.
    Journal,
}

/// A wastegate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GateRecord {
    /// Valve seat diameter, m.
    pub diameter_m: f64,
    /// Largest lift, m.
    pub lift_m: f64,
}

/// Why a record cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RecordError {
    /// A number out of its range.
    #[error("{what} of turbocharger “{name}” is {value}; it must lie between {low} and {high}.")]
    OutOfRange {
        /// Which number.
        what: &'static str,
        /// Whose.
        name: String,
        /// What was given.
        value: f64,
        /// Least.
        low: f64,
        /// Largest.
        high: f64,
    },
    /// No housing.
    #[error("Turbocharger “{name}” has no turbine housing; add at least one.")]
    NoHousing {
        /// Whose.
        name: String,
    },
    /// Too long a text or list.
    #[error("{what} of the turbocharger is longer than {most}; shorten it.")]
    TooLong {
        /// Which.
        what: &'static str,
        /// How long it may be.
        most: usize,
    },
    /// The compressor's map.
    #[error("Turbocharger “{name}”: {error}")]
    Map {
        /// Whose.
        name: String,
        /// What is wrong with it.
        error: crate::air_way::compressor::MapError,
    },
}

impl Turbocharger {
    /// Whether the record can be used.
    ///
    /// # Errors
    /// The first thing wrong with it.
    pub fn check(&self) -> Result<(), RecordError> {
        for (what, text, most) in [
            ("The key", &self.id, 80),
            ("The name", &self.name, 80),
            ("The note", &self.notes, 2000),
        ] {
            if text.len() > most {
                return Err(RecordError::TooLong { what, most });
            }
        }
        if self.turbine.housings.is_empty() {
            return Err(RecordError::NoHousing {
                name: self.name.clone(),
            });
        }
        if self.turbine.housings.len() > 16 {
            return Err(RecordError::TooLong {
                what: "The list of housings",
                most: 16,
            });
        }
        let points: usize = self
            .compressor
            .map
            .lines
            .iter()
            .map(|l| l.points.len())
            .sum();
        if self.compressor.map.lines.len() > 40 || points > 4000 {
            return Err(RecordError::TooLong {
                what: "The compressor map",
                most: 4000,
            });
        }
        let wheel = &self.compressor.wheel;
        let mut numbers = vec![
            ("The compressor's inducer in m", wheel.inducer_m, 0.01, 0.3),
            ("The compressor's exducer in m", wheel.exducer_m, 0.015, 0.4),
            ("The compressor's hub ratio", wheel.hub_ratio, 0.1, 0.8),
            ("The compressor's number of blades", wheel.blades, 4.0, 40.0),
            (
                "The compressor's backsweep in degrees",
                wheel.backsweep_deg,
                0.0,
                70.0,
            ),
            (
                "The compressor's throat share",
                wheel.throat_share,
                0.2,
                1.0,
            ),
            (
                "The turbine's inducer in m",
                self.turbine.inducer_m,
                0.015,
                0.4,
            ),
            (
                "The turbine's exducer in m",
                self.turbine.exducer_m,
                0.01,
                0.4,
            ),
            (
                "The turbine's best efficiency",
                self.turbine.peak_efficiency,
                0.3,
                0.9,
            ),
            (
                "The turbine's inlet limit in K",
                self.turbine.inlet_limit_k,
                700.0,
                1500.0,
            ),
            (
                "The largest shaft speed in rev/min",
                self.largest_speed_rev_min,
                1e4,
                5e5,
            ),
            (
                "The gate's diameter in m",
                self.gate.diameter_m,
                0.004,
                0.15,
            ),
            ("The gate's lift in m", self.gate.lift_m, 0.0005, 0.08),
        ];
        if let Some(peak) = wheel.peak_efficiency {
            numbers.push(("The compressor's best efficiency", peak, 0.3, 0.92));
        }
        if let Some(mach) = wheel.design_mach {
            numbers.push(("The compressor's design Mach number", mach, 0.6, 2.0));
        }
        for housing in &self.turbine.housings {
            numbers.push(("A housing's A/R", housing.a_over_r, 0.1, 4.0));
            if let Some(swallowing) = housing.swallowing {
                numbers.push((
                    "A housing's swallowing in kg √K/(s Pa)",
                    swallowing,
                    1e-6,
                    3e-4,
                ));
            }
        }
        for (what, value, low, high) in numbers {
            if !(value.is_finite() && value >= low && value <= high) {
                return Err(RecordError::OutOfRange {
                    what,
                    name: self.name.clone(),
                    value,
                    low,
                    high,
                });
            }
        }
        self.compressor
            .map
            .check()
            .map_err(|error| RecordError::Map {
                name: self.name.clone(),
                error,
            })
    }
}
