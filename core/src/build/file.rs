//! The build as a file: versioned JSON, keyed, with units, every constant in it if wished.
//!
//! A type of its own: what is in memory may change, what is in files may not. A field that is not
//! in the file has its default.

use super::{
    Arrangement, Build, BuildError, CurveField, FieldError, FuelKind, RailReference, Turbocharger,
    read_curve, read_entry, shelf,
};
use crate::fields::{Default, FIELDS, Field};
use crate::quantity;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The version of the file format that is written.
pub const FILE_VERSION: u32 = 1;

/// Largest file read, bytes.
const LARGEST_FILE: usize = 2_000_000;

/// A build file, version 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuildFile {
    /// Always 1.
    pub airpath_build: u32,
    /// The build's name.
    pub name: String,
    /// One turbocharger or two alike.
    #[serde(default = "single")]
    pub arrangement: Arrangement,
    /// What burns.
    #[serde(default = "petrol")]
    pub fuel: FuelKind,
    /// What the fuel pressure regulator follows.
    #[serde(default = "manifold")]
    pub rail_reference: RailReference,
    /// The turbocharger.
    pub turbocharger: TurbochargerChoice,
    /// Which housing, by its A/R.
    pub housing_a_over_r: f64,
    /// Field key to number with unit, such as `"displacement": "2.2 litre"`.
    #[serde(default)]
    pub fields: BTreeMap<String, String>,
    /// Curve key to points, each a pair of numbers with units.
    #[serde(default)]
    pub curves: BTreeMap<String, Vec<(String, String)>>,
}

/// A turbocharger named from the shelf, or given in full.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum TurbochargerChoice {
    /// The key of one on the shelf.
    Shelf(String),
    /// A record.
    Record(Box<Turbocharger>),
}

fn single() -> Arrangement {
    Arrangement::Single
}
fn petrol() -> FuelKind {
    FuelKind::Petrol
}
fn manifold() -> RailReference {
    RailReference::Manifold
}

/// Why a file could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FileError {
    /// Not JSON, or not of this shape.
    #[error(
        "This is not a build file: {detail} (line {line}, column {column}). Export one to compare."
    )]
    Shape {
        /// What the reader met.
        detail: String,
        /// Where.
        line: usize,
        /// Where in the line.
        column: usize,
    },
    /// Another version.
    #[error(
        "The file is of version {found}; this app reads version {FILE_VERSION}. Update the app, or export the build again from where it came."
    )]
    Version {
        /// What the file says.
        found: u32,
    },
    /// Too large.
    #[error("The file has {bytes} bytes; at most {LARGEST_FILE} are read.")]
    TooLarge {
        /// How large.
        bytes: usize,
    },
    /// A turbocharger that the shelf does not hold.
    #[error(
        "There is no turbocharger “{id}” on the shelf; it holds {known}. Name one of them or give the record in full."
    )]
    NotOnShelf {
        /// What was named.
        id: String,
        /// What there is.
        known: String,
    },
    /// A housing that the turbocharger does not have.
    #[error("Turbocharger “{name}” has no housing of A/R {asked}; it has {known}.")]
    Housing {
        /// Whose.
        name: String,
        /// What was asked.
        asked: f64,
        /// What there is.
        known: String,
    },
    /// What it says.
    #[error(transparent)]
    Build(#[from] BuildError),
}

impl BuildFile {
    /// Reads the text of a file.
    ///
    /// # Errors
    /// Where the text stops being a build file.
    pub fn from_json(text: &str) -> Result<Self, FileError> {
        if text.len() > LARGEST_FILE {
            return Err(FileError::TooLarge { bytes: text.len() });
        }
        if !text.trim_start().starts_with('{') {
            return Err(FileError::Shape {
                detail: "it does not begin with {".to_owned(),
                line: 1,
                column: 1,
            });
        }
        #[derive(Deserialize)]
        struct Version {
            airpath_build: u32,
        }
        // The version first: a newer file may have another shape.
        if let Ok(Version { airpath_build }) = serde_json::from_str(text)
            && airpath_build != FILE_VERSION
        {
            return Err(FileError::Version {
                found: airpath_build,
            });
        }
        serde_json::from_str(text).map_err(|error| FileError::Shape {
            detail: error
                .to_string()
                .split(" at line ")
                .next()
                .unwrap_or_default()
                .to_owned(),
            line: error.line(),
            column: error.column(),
        })
    }

    /// The file's text, indented, with a last newline.
    #[must_use]
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self)
            .map(|text| text + "\n")
            .unwrap_or_default()
    }

    /// The build that the file holds.
    ///
    /// # Errors
    /// Every field that is wrong, all together; or what is wrong with the turbocharger.
    pub fn into_build(self) -> Result<Build, FileError> {
        if self.airpath_build != FILE_VERSION {
            return Err(FileError::Version {
                found: self.airpath_build,
            });
        }
        let turbocharger = match self.turbocharger {
            TurbochargerChoice::Record(record) => *record,
            TurbochargerChoice::Shelf(id) => {
                let shelf = shelf();
                let known = shelf
                    .iter()
                    .map(|t| t.id.as_str())
                    .collect::<Vec<_>>()
                    .join(", ");
                shelf
                    .into_iter()
                    .find(|t| t.id == id)
                    .ok_or_else(|| FileError::NotOnShelf {
                        id: id.chars().take(80).collect(),
                        known,
                    })?
            }
        };
        turbocharger.check().map_err(BuildError::from)?;
        let housing = turbocharger
            .turbine
            .housings
            .iter()
            .position(|h| (h.a_over_r - self.housing_a_over_r).abs() < 1e-6)
            .ok_or_else(|| FileError::Housing {
                name: turbocharger.name.clone(),
                asked: self.housing_a_over_r,
                known: turbocharger
                    .turbine
                    .housings
                    .iter()
                    .map(|h| h.a_over_r.to_string())
                    .collect::<Vec<_>>()
                    .join(", "),
            })?;
        let mut build = Build::new(&self.name, Arc::new(turbocharger))?;
        build.housing = housing;
        build.arrangement = self.arrangement;
        build.fuel = self.fuel;
        build.rail_reference = self.rail_reference;
        let mut errors = Vec::new();
        for (id, text) in &self.fields {
            match Field::by_id(id) {
                Some(field) => match read_entry(field.spec(), text, field.spec().unit()) {
                    Ok(entry) => build.entries[field as usize] = Some(entry),
                    Err(error) => errors.push(error),
                },
                None => errors.push(unknown(id)),
            }
        }
        for (id, pairs) in &self.curves {
            match CurveField::ALL.into_iter().find(|c| c.spec().id == id) {
                Some(field) => match read_curve(field, pairs) {
                    Ok(curve) => match field {
                        CurveField::Breathing => build.breathing = curve,
                        CurveField::BoostCurve => build.boost_curve = Some(curve),
                        CurveField::IdealCycle => build.ideal_cycle = curve,
                    },
                    Err(error) => errors.push(error),
                },
                None => errors.push(unknown(id)),
            }
        }
        if errors.is_empty() {
            Ok(build.checked()?)
        } else {
            Err(BuildError::Fields(errors).into())
        }
    }

    /// The file of a build: every entry in the unit it was made in; the turbocharger in full
    /// unless the shelf holds the very same.
    #[must_use]
    pub fn from_build(build: &Build) -> Self {
        let on_shelf = shelf().iter().any(|t| t == build.turbocharger.as_ref());
        let turbocharger = if on_shelf {
            TurbochargerChoice::Shelf(build.turbocharger.id.clone())
        } else {
            TurbochargerChoice::Record(Box::new(build.turbocharger.as_ref().clone()))
        };
        let fields = FIELDS
            .iter()
            .filter_map(|spec| {
                build
                    .entry(spec.field)
                    .map(|e| (spec.id.to_owned(), quantity::write_exact(e.si, e.unit)))
            })
            .collect();
        let plain = Build::new("", build.turbocharger.clone()).ok();
        let curves = CurveField::ALL
            .into_iter()
            .filter_map(|field| {
                let curve = build.curve(field)?;
                if plain.as_ref().and_then(|p| p.curve(field)) == Some(curve) {
                    return None;
                }
                let pairs = curve
                    .curve
                    .points()
                    .iter()
                    .map(|(x, y)| {
                        (
                            quantity::write_exact(*x, curve.x_unit),
                            quantity::write_exact(*y, curve.y_unit),
                        )
                    })
                    .collect();
                Some((field.spec().id.to_owned(), pairs))
            })
            .collect();
        Self {
            airpath_build: FILE_VERSION,
            name: build.name.clone(),
            arrangement: build.arrangement,
            fuel: build.fuel,
            rail_reference: build.rail_reference,
            turbocharger,
            housing_a_over_r: build.housing().a_over_r,
            fields,
            curves,
        }
    }
}

fn unknown(id: &str) -> FieldError {
    let typed: String = id.chars().take(80).collect();
    // The nearest key by shared letters helps with a slip of the finger.
    let near = FIELDS.iter().map(|s| s.id).max_by_key(|known| {
        let common = known
            .chars()
            .zip(typed.chars())
            .take_while(|(a, b)| a == b)
            .count();
        (common, usize::MAX - known.len().abs_diff(typed.len()))
    });
    FieldError {
        id: "",
        label: "Unknown key",
        problem: format!(
            "there is no field or curve “{typed}”. {}Remove it or correct its spelling; the schema lists every key.",
            near.map(|n| format!("Was “{n}” meant? "))
                .unwrap_or_default()
        ),
        typed,
        suggestion_si: None,
    }
}

/// JSON Schema (2020-12) of the build file, made from the tables of inputs.
#[must_use]
pub fn file_schema() -> serde_json::Value {
    use serde_json::{Map, Value, json};
    let mut fields = Map::new();
    for spec in &FIELDS {
        let default = match spec.default {
            Default::Value(v) => format!("{v} {}", spec.unit).trim().to_owned(),
            Default::ByIgnition { spark, compression } => {
                format!("{spark} {u}, diesel {compression} {u}", u = spec.unit)
            }
            Default::Blank(meaning) => format!("blank: {meaning}"),
        };
        let units: Vec<&str> = spec
            .kind
            .units()
            .iter()
            .map(|u| u.symbol)
            .filter(|s| !s.is_empty())
            .collect();
        fields.insert(
            spec.id.to_owned(),
            json!({
                "type": "string",
                "maxLength": quantity::LONGEST_TEXT,
                "title": format!("{}: {}", spec.part.label(), spec.label),
                "description": format!(
                    "{} From {} to {} {}. Usual {} to {}. Default {}. Units: {}. Source: {}",
                    spec.help, spec.range.0, spec.range.1, spec.unit, spec.usual.0, spec.usual.1, default,
                    if units.is_empty() { "none".to_owned() } else { units.join(", ") }, spec.source
                ),
            }),
        );
    }
    let mut curves = Map::new();
    for field in CurveField::ALL {
        let spec = field.spec();
        curves.insert(
            spec.id.to_owned(),
            json!({
                "type": "array", "minItems": 1, "maxItems": super::MOST_POINTS,
                "items": { "type": "array", "prefixItems": [{"type": "string"}, {"type": "string"}], "minItems": 2, "maxItems": 2 },
                "title": spec.label,
                "description": format!("{} First number in {}, second in {} unless a unit is written. Source: {}",
                    spec.help, if spec.x.1.is_empty() { "no unit" } else { spec.x.1 }, spec.y.1, spec.source),
            }),
        );
    }
    let number = |low: f64, high: f64| json!({ "type": "number", "minimum": low, "maximum": high });
    let map = json!({ "type": "object", "additionalProperties": false, "required": ["reference", "estimated", "lines"],
                        "properties": {
                            "reference": { "type": "object", "additionalProperties": false, "required": ["temperature_k", "pressure_pa"],
                                "properties": { "temperature_k": number(250.0, 350.0), "pressure_pa": number(5e4, 1.2e5) } },
                            "estimated": { "type": "boolean" },
                            "lines": { "type": "array", "minItems": 2, "maxItems": 40, "items": { "type": "object",
                                "additionalProperties": false, "required": ["speed_rev_min", "points"],
                                "properties": { "speed_rev_min": number(500.0, 6e5), "points": { "type": "array", "minItems": 3,
                                    "items": { "type": "object", "additionalProperties": false,
                                        "required": ["flow_kg_s", "pressure_ratio", "efficiency"],
                                        "properties": { "flow_kg_s": number(1e-4, 20.0), "pressure_ratio": number(1.0, 12.0),
                                            "efficiency": number(0.02, 0.95) } } } } } },
                        } });
    let compressor = json!({ "type": "object", "additionalProperties": false, "required": ["wheel", "map"],
                "properties": {
                    "wheel": { "type": "object", "additionalProperties": false,
                        "required": ["inducer_m", "exducer_m", "hub_ratio", "blades", "backsweep_deg", "throat_share"],
                        "properties": { "inducer_m": number(0.01, 0.3), "exducer_m": number(0.015, 0.4), "hub_ratio": number(0.1, 0.8),
                            "blades": number(4.0, 40.0), "backsweep_deg": number(0.0, 70.0), "throat_share": number(0.2, 1.0),
                            "peak_efficiency": { "type": ["number", "null"] }, "design_mach": { "type": ["number", "null"] } } },
                    "map": map,
                } });
    let turbine = json!({ "type": "object", "additionalProperties": false,
                "required": ["inducer_m", "exducer_m", "peak_efficiency", "inlet_limit_k", "housings"],
                "properties": {
                    "inducer_m": number(0.015, 0.4), "exducer_m": number(0.01, 0.4),
                    "peak_efficiency": number(0.3, 0.9), "inlet_limit_k": number(700.0, 1500.0),
                    "housings": { "type": "array", "minItems": 1, "maxItems": 16, "items": { "type": "object",
                        "additionalProperties": false, "required": ["a_over_r"],
                        "properties": { "a_over_r": number(0.1, 4.0), "swallowing": { "type": ["number", "null"] } } } },
                } });
    let record: Value = json!({
        "type": "object",
        "additionalProperties": false,
        "required": ["id", "name", "compressor", "turbine", "largest_speed_rev_min", "bearing", "bearing_in_efficiency", "gate", "notes"],
        "properties": {
            "id": { "type": "string", "maxLength": 80 },
            "name": { "type": "string", "maxLength": 80 },
            "notes": { "type": "string", "maxLength": 2000 },
            "largest_speed_rev_min": number(1e4, 5e5),
            "bearing": { "enum": ["ball", "journal"] },
            "bearing_in_efficiency": { "type": "boolean" },
            "gate": { "type": "object", "additionalProperties": false, "required": ["diameter_m", "lift_m"],
                "properties": { "diameter_m": number(0.004, 0.15), "lift_m": number(0.0005, 0.08) } },
            "turbine": turbine,
            "compressor": compressor,
        },
    });
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Airpath build, version 1",
        "description": "An engine, a turbocharger and a goal. Numbers are texts with a unit, such as \"2.2 litre\" or \"18 psi\"; without a unit they are taken in the unit named in the field's description. What is left out has its default.",
        "type": "object",
        "additionalProperties": false,
        "required": ["airpath_build", "name", "turbocharger", "housing_a_over_r"],
        "properties": {
            "airpath_build": { "const": FILE_VERSION },
            "name": { "type": "string", "maxLength": super::LONGEST_NAME },
            "arrangement": { "enum": ["single", "pair"] },
            "fuel": { "enum": ["petrol", "diesel"] },
            "rail_reference": { "enum": ["manifold", "outside"] },
            "turbocharger": { "oneOf": [{ "type": "string", "description": "Key of a turbocharger on the shelf." }, record] },
            "housing_a_over_r": number(0.1, 4.0),
            "fields": { "type": "object", "additionalProperties": false, "properties": fields },
            "curves": { "type": "object", "additionalProperties": false, "properties": curves },
        },
    })
}
