//! A turbocharger's record.

use super::record::{HOUSING_RATIO, HOUSING_SWALLOWING, POINT_RATIO, RECORD, RecordSpec};
use crate::air_way::compressor::{FlowClaim, MapData, WheelSizes};
use crate::air_way::turbine::{SwallowingFit, SwallowingPoint, fit_swallowing};
use crate::fields::Field;
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
    /// Moment of inertia of shaft and wheels, kg m²; `None` to have it estimated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inertia_kg_m2: Option<f64>,
    /// What has to be joined to the engine and the vehicle.
    #[serde(default, skip_serializing_if = "Connections::is_blank")]
    pub connections: Connections,
    /// Mass with housings, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
    /// What it costs, in the person's own words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub price: String,
    /// Whether and where it can be had, in the person's own words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub availability: String,
    /// Anything worth saying.
    pub notes: String,
}

/// What has to be joined to the engine and the vehicle. Lengths in m; words as a person of the
/// trade would say them; blank where it is not known.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Connections {
    /// Outside diameter of the compressor's inlet, for the hose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inlet_m: Option<f64>,
    /// Outside diameter of the compressor's outlet, for the hose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outlet_m: Option<f64>,
    /// Flange between manifold and turbine: shape, bolts, opening.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub turbine_flange: String,
    /// Joint between turbine and downpipe: shape, bolts or clamp.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub exhaust_flange: String,
    /// Inside diameter of the turbine's outlet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turbine_outlet_m: Option<f64>,
    /// Thread or fitting of the oil feed.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub oil_feed: String,
    /// Bore of the restrictor in the oil feed; `None` where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oil_restrictor_m: Option<f64>,
    /// Inside diameter of the oil drain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oil_drain_m: Option<f64>,
    /// Thread or fitting of the coolant; blank where there is none.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub coolant: String,
    /// Length along the shaft, from the air inlet's end to the exhaust outlet's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// Height square to the shaft with the oil drain down, from its flange to the top.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Largest width of the compressor housing across the shaft, outlet left aside.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compressor_housing_m: Option<f64>,
    /// Largest width of the turbine housing across the shaft, inlet left aside.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turbine_housing_m: Option<f64>,
}

impl Connections {
    /// Whether nothing is known of them.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        *self == Self::default()
    }
}

/// The compressor's sizes and map.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CompressorRecord {
    /// Wheel sizes.
    pub wheel: WheelSizes,
    /// How many of the wheel's blades are splitters, which begin behind the inlet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub splitters: Option<f64>,
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
    /// What it swallows at several expansion ratios, from a gas stand; they go before `swallowing`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub swallowing_points: Vec<SwallowingPoint>,
    /// Whether the exhaust comes in by one passage or by two.
    #[serde(default, skip_serializing_if = "Entry::is_single")]
    pub entry: Entry,
}

/// Most swallowing points of a housing.
const MOST_SWALLOWING_POINTS: usize = 64;

impl Housing {
    /// The law of flow fitted to the housing's swallowing points, `None` where it has none;
    /// `exponent` is that of the law where the points do not tell one, or `keep_exponent` asks for it.
    #[must_use]
    pub fn fitted(&self, exponent: f64, keep_exponent: bool) -> Option<SwallowingFit> {
        fit_swallowing(&self.swallowing_points, exponent, keep_exponent)
    }
}

/// How the exhaust comes into a turbine housing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Entry {
    /// By one passage.
    #[default]
    Single,
    /// By two, each for half of the cylinders.
    Twin,
}

impl Entry {
    fn is_single(&self) -> bool {
        *self == Self::Single
    }
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

/// Where a wastegate sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GateKind {
    /// In the turbine housing.
    #[default]
    Internal,
    /// On the manifold, in a body of its own.
    External,
}

impl GateKind {
    fn is_internal(&self) -> bool {
        *self == Self::Internal
    }
}

/// A wastegate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GateRecord {
    /// Where it sits.
    #[serde(default, skip_serializing_if = "GateKind::is_internal")]
    pub kind: GateKind,
    /// Valve seat diameter, m.
    pub diameter_m: f64,
    /// Largest lift, m.
    pub lift_m: f64,
    /// Boost that the spring of its actuator holds alone, Pa gauge; for a gate in the turbine housing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spring_pa: Option<f64>,
}

/// A number to six digits, without the noise of a conversion.
fn six_digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    rounded.to_string()
}

/// Why a record cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RecordError {
    /// A number out of its range.
    #[error("Turbocharger “{name}”: {what}: {value} does not lie between {low} and {high}.")]
    OutOfRange {
        /// Which number.
        what: String,
        /// Whose.
        name: String,
        /// What was given, with its unit.
        value: String,
        /// Least.
        low: String,
        /// Largest.
        high: String,
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
    /// A claimed flow that a wheel of these sizes cannot have.
    #[error(
        "Turbocharger “{name}”: Compressor, claimed flow: {:.3} kg/s does not lie between {:.3} and {:.3} kg/s; the wheel’s sizes give {:.3} kg/s. Check the claim’s unit and the wheel’s diameters, or leave the claim blank.",
        .claim.claimed_kg_s, .claim.believed().0, .claim.believed().1, .claim.from_sizes_kg_s
    )]
    Claim {
        /// Whose.
        name: String,
        /// What was claimed, and what the sizes give.
        claim: FlowClaim,
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
        self.check_all_but_map()?;
        let lines = &self.compressor.map.lines;
        let points: usize = lines.iter().map(|l| l.points.len()).sum();
        if lines.len() > 40 || points > 4000 {
            return Err(RecordError::TooLong {
                what: "The compressor map",
                most: 4000,
            });
        }
        self.compressor
            .map
            .check()
            .map_err(|error| RecordError::Map {
                name: self.name.clone(),
                error,
            })
    }

    /// Whether all of the record but its map's lines can be used: a map can be estimated for it.
    pub(super) fn check_all_but_map(&self) -> Result<(), RecordError> {
        for (what, text, most) in [
            ("The key", &self.id, 80),
            ("The name", &self.name, 80),
            ("The note", &self.notes, 2000),
            ("The turbine flange", &self.connections.turbine_flange, 80),
            ("The exhaust flange", &self.connections.exhaust_flange, 80),
            ("The oil feed", &self.connections.oil_feed, 80),
            ("The coolant", &self.connections.coolant, 80),
            ("The price", &self.price, 80),
            ("The availability", &self.availability, 80),
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
        for spec in &RECORD {
            let Some(value) = (spec.get)(self) else {
                continue;
            };
            if !spec.holds(value) {
                return Err(self.out_of_range(spec, spec.part.label(), value));
            }
        }
        for housing in &self.turbine.housings {
            for (spec, value) in [
                (&HOUSING_RATIO, Some(housing.a_over_r)),
                (&HOUSING_SWALLOWING, housing.swallowing),
            ] {
                if let Some(value) = value.filter(|value| !spec.holds(*value)) {
                    return Err(self.out_of_range(spec, "Housing", value));
                }
            }
            self.check_points(housing)?;
        }
        Ok(())
    }

    fn check_points(&self, housing: &Housing) -> Result<(), RecordError> {
        if housing.swallowing_points.len() > MOST_SWALLOWING_POINTS {
            return Err(RecordError::TooLong {
                what: "The list of a housing’s swallowing points",
                most: MOST_SWALLOWING_POINTS,
            });
        }
        for (place, point) in housing.swallowing_points.iter().enumerate() {
            for (spec, value) in [
                (&POINT_RATIO, point.expansion_ratio),
                (&HOUSING_SWALLOWING, point.flow_parameter),
            ] {
                if !spec.holds(value) {
                    let part = format!("Housing {}, point {}", housing.a_over_r, place + 1);
                    return Err(self.out_of_range(spec, &part, value));
                }
            }
        }
        // Points close to no expansion may still mean an absurd turbine.
        let exponent = Field::TurbineExponent.spec().default_si(false);
        match housing.fitted(exponent.unwrap_or(f64::NAN), false) {
            Some(fit) if !HOUSING_SWALLOWING.holds(fit.swallowing) => {
                let part = format!("Housing {}, fitted to its points", housing.a_over_r);
                Err(self.out_of_range(&HOUSING_SWALLOWING, &part, fit.swallowing))
            }
            _ => Ok(()),
        }
    }

    fn out_of_range(&self, spec: &RecordSpec, part: &str, value: f64) -> RecordError {
        let unit = spec.unit();
        let written = |value: f64| {
            let number = six_digits(value);
            match unit.symbol {
                "" => number,
                symbol => format!("{number} {symbol}"),
            }
        };
        RecordError::OutOfRange {
            what: format!("{}, {}", part, spec.label.to_lowercase()),
            name: self.name.clone(),
            value: written(spec.in_unit(value)),
            low: written(spec.range.0),
            high: written(spec.range.1),
        }
    }
}
