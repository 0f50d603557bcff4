//! The build as a file: versioned JSON, keyed, with units, every constant in it if wished.
//!
//! A type of its own: what is in memory may change, what is in files may not. A field that is not
//! in the file has its default.

use super::{
    Arrangement, Build, BuildError, CurveField, FieldError, FuelKind, HOUSING_RATIO,
    HOUSING_SWALLOWING, POINT_RATIO, RECORD, RailReference, RecordPart, RecordSpec, Turbocharger,
    in_front, read_curve, read_entry, shelf,
};
use crate::fields::{Default, FIELDS, Field};
use crate::quantity;
use serde::de::value::MapAccessDeserializer;
use serde::de::{Error, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;
use std::sync::Arc;

/// The version of the file format that is written.
pub const FILE_VERSION: u32 = 1;

/// Largest file read, bytes. A record with the most map points, indented, has about 800,000.
const LARGEST_FILE: usize = 1_000_000;

/// Most mistakes that are listed; a file of another kind could hold a hundred thousand.
const MOST_MISTAKES: usize = 100;

/// Most keys or points read of one object or curve: beyond what any build has, below what takes long.
const MOST_KEYS: usize = 1000;

/// Longest part of a file's own text that a message repeats, characters.
const LONGEST_QUOTE: usize = 80;

/// Longest account of what the reader met, characters.
const LONGEST_DETAIL: usize = 600;

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
    #[serde(default, deserialize_with = "each_once")]
    pub fields: BTreeMap<String, String>,
    /// Curve key to points, each a pair of numbers with units.
    #[serde(default, deserialize_with = "curves_once")]
    pub curves: BTreeMap<String, Vec<(String, String)>>,
}

/// A turbocharger named from the shelf, or given in full.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum TurbochargerChoice {
    /// The key of one on the shelf.
    Shelf(String),
    /// A record.
    Record(Box<Turbocharger>),
}

/// Reads a text as a key and an object as a record, so that what is wrong inside a record is said;
/// trying one after the other would only say that neither fits, and hold the whole text meanwhile.
impl<'de> Deserialize<'de> for TurbochargerChoice {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Choice;
        impl<'de> Visitor<'de> for Choice {
            type Value = TurbochargerChoice;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("the key of a turbocharger on the shelf, or a record in full")
            }
            fn visit_str<E: Error>(self, key: &str) -> Result<Self::Value, E> {
                Ok(TurbochargerChoice::Shelf(key.to_owned()))
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Self::Value, A::Error> {
                let record = Turbocharger::deserialize(MapAccessDeserializer::new(map))?;
                Ok(TurbochargerChoice::Record(Box::new(record)))
            }
        }
        deserializer.deserialize_any(Choice)
    }
}

/// Reads an object whose keys may each stand there once: of two the reader would drop one in
/// silence.
fn each_once<'de, D, T>(deserializer: D) -> Result<BTreeMap<String, T>, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    struct Once<T>(PhantomData<T>);
    impl<'de, T: Deserialize<'de>> Visitor<'de> for Once<T> {
        type Value = BTreeMap<String, T>;
        fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
            f.write_str("an object of keys, each with its value")
        }
        fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
            let mut all = BTreeMap::new();
            while let Some(key) = map.next_key::<String>()? {
                if all.contains_key(&key) {
                    let key = quoted(&key);
                    return Err(A::Error::custom(format!(
                        "the key “{key}” stands there twice; keep one of them"
                    )));
                }
                if all.len() >= MOST_KEYS {
                    return Err(A::Error::custom(format!(
                        "more than {MOST_KEYS} keys in one object; keep those that the schema lists"
                    )));
                }
                all.insert(key, map.next_value()?);
            }
            Ok(all)
        }
    }
    deserializer.deserialize_map(Once(PhantomData))
}

/// The points of a curve as a file has them.
type Pairs = Vec<(String, String)>;

/// As [`each_once`], for curves: each a list of pairs of texts, no longer than can be meant.
fn curves_once<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<BTreeMap<String, Pairs>, D::Error> {
    struct Points(Pairs);
    impl<'de> Deserialize<'de> for Points {
        fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
            struct List;
            impl<'de> Visitor<'de> for List {
                type Value = Points;
                fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                    f.write_str("a list of points, each a pair of texts such as [\"3000 rev/min\", \"95 %\"]")
                }
                fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Points, A::Error> {
                    let mut points = Vec::new();
                    while let Some(point) = list.next_element()? {
                        if points.len() >= MOST_KEYS {
                            return Err(A::Error::custom(format!(
                                "more than {MOST_KEYS} points in one curve; at most {} are taken",
                                super::MOST_POINTS
                            )));
                        }
                        points.push(point);
                    }
                    Ok(Points(points))
                }
            }
            deserializer.deserialize_seq(List)
        }
    }
    let curves: BTreeMap<String, Points> = each_once(deserializer)?;
    Ok(curves
        .into_iter()
        .map(|(key, points)| (key, points.0))
        .collect())
}

/// The beginning of a text of the file's, for a message.
fn quoted(text: &str) -> String {
    text.chars().take(LONGEST_QUOTE).collect()
}

/// The last key that begins before a place in a text of JSON, the place counted from 1 as a reader
/// of JSON counts it: lines, and bytes in the line.
fn key_before(text: &str, line: usize, column: usize) -> Option<String> {
    let line_start = text
        .split_inclusive('\n')
        .take(line.saturating_sub(1))
        .map(str::len)
        .sum::<usize>();
    let end = line_start.saturating_add(column).min(text.len());
    let before = text.as_bytes().get(..end)?;
    let (mut key, mut string) = (None, None);
    let mut at = 0;
    while let Some(byte) = before.get(at) {
        match byte {
            b'"' => {
                let start = at + 1;
                at = start;
                while let Some(inside) = before.get(at)
                    && *inside != b'"'
                {
                    at += if *inside == b'\\' { 2 } else { 1 };
                }
                string = Some(start..at);
            }
            b':' => key = string.take().or(key),
            b' ' | b'\t' | b'\r' | b'\n' => {}
            _ => string = None,
        }
        at += 1;
    }
    text.get(key?).map(quoted)
}

/// What a reader of JSON says of a text, without the place, with the key it was at, and not longer
/// than can be read.
pub(super) fn detail(error: &serde_json::Error, text: &str) -> String {
    let said = error.to_string();
    // The place stands at the end; the words may come from the file, and hold anything.
    let said = said
        .rsplit_once(" at line ")
        .map_or(said.as_str(), |(words, _)| words);
    let length = said.chars().count();
    let mut detail: String = if length > LONGEST_DETAIL {
        // What was met stands first, what was expected last.
        let half = LONGEST_DETAIL / 2;
        let first = said.chars().take(half);
        let last = said.chars().skip(length - half);
        first.chain(" … ".chars()).chain(last).collect()
    } else {
        said.to_owned()
    };
    if !error.is_eof()
        && let Some(key) = key_before(text, error.line(), error.column())
    {
        detail += &format!(", at “{key}”");
    }
    detail
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
        match serde_json::from_str::<Self>(text) {
            Ok(file) if file.airpath_build == FILE_VERSION => Ok(file),
            Ok(file) => Err(FileError::Version {
                found: file.airpath_build,
            }),
            Err(error) => {
                // A newer file may have another shape; then the version is what matters. What is no
                // JSON at all has none.
                if error.is_data()
                    && let Ok(Version { airpath_build }) = serde_json::from_str(text)
                    && airpath_build != FILE_VERSION
                {
                    return Err(FileError::Version {
                        found: airpath_build,
                    });
                }
                Err(FileError::Shape {
                    detail: detail(&error, text),
                    line: error.line(),
                    column: error.column(),
                })
            }
        }
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
        self.into_build_from(in_front)
    }

    /// The same, with a turbocharger that is named by its key found by `find`, such as
    /// [`on_shelf`](super::on_shelf).
    ///
    /// # Errors
    /// As for [`BuildFile::into_build`].
    pub fn into_build_from(
        self,
        find: fn(&str) -> Option<Turbocharger>,
    ) -> Result<Build, FileError> {
        if self.airpath_build != FILE_VERSION {
            return Err(FileError::Version {
                found: self.airpath_build,
            });
        }
        let turbocharger = match self.turbocharger {
            TurbochargerChoice::Record(record) => *record,
            TurbochargerChoice::Shelf(id) => find(&id).ok_or_else(|| {
                let shelf = shelf();
                let known: Vec<&str> = shelf.iter().map(|t| t.id.as_str()).collect();
                FileError::NotOnShelf {
                    id: quoted(&id),
                    known: known.join(", "),
                }
            })?,
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
            if errors.len() >= MOST_MISTAKES {
                break;
            }
            match Field::by_id(id) {
                Some(field) => match read_entry(field.spec(), text, field.spec().unit()) {
                    Ok(entry) => build.entries[field as usize] = Some(entry),
                    Err(error) => errors.push(error),
                },
                None => errors.push(unknown(id)),
            }
        }
        for (id, pairs) in &self.curves {
            if errors.len() >= MOST_MISTAKES {
                break;
            }
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
        if errors.len() >= MOST_MISTAKES {
            errors.push(unlisted());
        }
        if errors.is_empty() {
            Ok(build.checked()?)
        } else {
            Err(BuildError::Fields(errors).into())
        }
    }

    /// The file of a build: every entry in the unit it was made in; the turbocharger in full
    /// unless the front of the shelf holds the very same.
    #[must_use]
    pub fn from_build(build: &Build) -> Self {
        let turbocharger = build.turbocharger.as_ref();
        let on_shelf = in_front(&turbocharger.id).as_ref() == Some(turbocharger);
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
    let typed = quoted(id);
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
        suggestion: None,
    }
}

/// Stands after the last mistake that is listed.
fn unlisted() -> FieldError {
    FieldError {
        id: "",
        label: "Not listed",
        problem: format!(
            "{MOST_MISTAKES} mistakes are listed and there may be more. Correct these, then read the file again."
        ),
        typed: String::new(),
        suggestion: None,
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
    // A number of a record, from its row; one that need not be there may be null.
    let row = |spec: &RecordSpec| {
        let kind = match spec.needed {
            true => json!("number"),
            false => json!(["number", "null"]),
        };
        json!({
            "type": kind, "minimum": spec.in_record(spec.range.0), "maximum": spec.in_record(spec.range.1),
            "title": spec.label, "description": spec.help,
        })
    };
    let object = |required: &[&str], properties: Map<String, Value>| json!({ "type": "object", "additionalProperties": false, "required": required, "properties": properties });
    // The rows of a part, with the keys of those that must be there.
    let rows = |part: RecordPart| {
        let all = RECORD.iter().filter(move |spec| spec.part == part);
        let needed: Vec<&str> = all.clone().filter(|s| s.needed).map(|s| s.id).collect();
        let properties: Map<String, Value> = all.map(|s| (s.id.to_owned(), row(s))).collect();
        (needed, properties)
    };
    let words = json!({ "type": "string", "maxLength": 80 });
    let (needed, properties) = rows(RecordPart::Map);
    let reference = object(&needed, properties);
    let map = json!({ "type": "object", "additionalProperties": false, "required": ["reference", "estimated", "lines"],
                        "properties": {
                            "reference": reference,
                            "estimated": { "type": "boolean" },
                            "lines": { "type": "array", "minItems": 2, "maxItems": 40, "items": { "type": "object",
                                "additionalProperties": false, "required": ["speed_rev_min", "points"],
                                "properties": { "speed_rev_min": number(500.0, 6e5), "points": { "type": "array", "minItems": 3,
                                    "items": { "type": "object", "additionalProperties": false,
                                        "required": ["flow_kg_s", "pressure_ratio", "efficiency"],
                                        "properties": { "flow_kg_s": number(1e-4, 20.0), "pressure_ratio": number(1.0, 12.0),
                                            "efficiency": number(0.02, 0.95) } } } } } },
                        } });
    let (needed, mut wheel) = rows(RecordPart::Compressor);
    let splitters = wheel.remove("splitters");
    let compressor = json!({ "type": "object", "additionalProperties": false, "required": ["wheel", "map"],
        "properties": { "wheel": object(&needed, wheel), "splitters": splitters, "map": map } });
    let needs = |spec: &RecordSpec| {
        let mut row = row(spec);
        row["type"] = json!("number");
        row
    };
    let points = Map::from_iter([
        (POINT_RATIO.id.to_owned(), needs(&POINT_RATIO)),
        ("flow_parameter".to_owned(), needs(&HOUSING_SWALLOWING)),
    ]);
    let (mut needed, mut turbine) = rows(RecordPart::Turbine);
    needed.push("housings");
    turbine.insert(
        "housings".to_owned(),
        json!({ "type": "array", "minItems": 1, "maxItems": 16, "items": { "type": "object",
            "additionalProperties": false, "required": [HOUSING_RATIO.id],
            "properties": {
                HOUSING_RATIO.id: row(&HOUSING_RATIO),
                HOUSING_SWALLOWING.id: row(&HOUSING_SWALLOWING),
                "swallowing_points": { "type": "array", "maxItems": 64,
                    "description": "Measured points of the turbine's flow; three or more tell its whole law, and go before its one number.",
                    "items": object(&[POINT_RATIO.id, "flow_parameter"], points) },
                "entry": { "enum": ["single", "twin"] },
            } } }),
    );
    let turbine = object(&needed, turbine);
    let (needed, mut gate) = rows(RecordPart::Gate);
    gate.insert(
        "kind".to_owned(),
        json!({ "enum": ["internal", "external"] }),
    );
    let gate = object(&needed, gate);
    let (_, mut connections) = rows(RecordPart::Connections);
    let mass = connections.remove("mass_kg");
    for key in ["turbine_flange", "exhaust_flange", "oil_feed", "coolant"] {
        connections.insert(key.to_owned(), words.clone());
    }
    let (_, mut shaft) = rows(RecordPart::Shaft);
    let record: Value = json!({
        "type": "object",
        "additionalProperties": false,
        "required": ["id", "name", "compressor", "turbine", "largest_speed_rev_min", "bearing", "bearing_in_efficiency", "gate", "notes"],
        "properties": {
            "id": words,
            "name": words,
            "notes": { "type": "string", "maxLength": 2000 },
            "price": words,
            "availability": words,
            "largest_speed_rev_min": shaft.remove("largest_speed_rev_min"),
            "inertia_kg_m2": shaft.remove("inertia_kg_m2"),
            "bearing": { "enum": ["ball", "journal"] },
            "bearing_in_efficiency": { "type": "boolean" },
            "gate": gate,
            "turbine": turbine,
            "compressor": compressor,
            "connections": object(&[], connections),
            "mass_kg": mass,
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

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(inside: &str) -> String {
        let text = format!("{{\"airpath_build\": 1, \"name\": \"\", {inside}}}");
        match BuildFile::from_json(&text).and_then(BuildFile::into_build) {
            Ok(_) => "taken".to_owned(),
            Err(error) => error.to_string(),
        }
    }

    const ROWAN: &str = "\"turbocharger\": \"rowan\", \"housing_a_over_r\": 0.83";

    #[test]
    fn a_key_that_stands_twice_is_refused() {
        let fields = r#""fields": {"lambda": "0.8", "lambda": "0.9"}"#;
        assert_eq!(
            refused(&format!("{ROWAN}, {fields}")),
            "This is not a build file: the key “lambda” stands there twice; keep one of them, at \
             “lambda” (line 1, column 120). Export one to compare."
        );
        let curves = r#""curves": {"breathing": [], "breathing": []}"#;
        assert!(refused(&format!("{ROWAN}, {curves}")).contains("“breathing” stands there twice"));
    }

    #[test]
    fn what_is_of_another_kind_is_named_with_its_key() {
        let message = refused(&format!("{ROWAN}, \"fields\": {{\"lambda\": 0.82}}"));
        assert!(message.contains("0.82"), "{message}");
        assert!(message.contains("at “lambda”"), "{message}");
    }

    #[test]
    fn what_is_wrong_inside_a_record_is_said() {
        let message = refused(r#""housing_a_over_r": 1, "turbocharger": {"id": "a", "nme": 1}"#);
        assert!(message.contains("unknown field `nme`"), "{message}");
        let message = refused(r#""housing_a_over_r": 1, "turbocharger": [1]"#);
        assert!(
            message.contains("the key of a turbocharger on the shelf, or a record in full"),
            "{message}"
        );
    }

    #[test]
    fn the_words_of_a_file_are_not_taken_for_a_place() {
        let message = refused(&format!("{ROWAN}, \"a at line 7 b\": 1"));
        assert!(
            message.contains("unknown field `a at line 7 b`"),
            "{message}"
        );
    }

    #[test]
    fn a_message_can_be_read_whatever_the_file_holds() {
        let long = "x".repeat(100_000);
        assert!(refused(&format!("{ROWAN}, \"{long}\": 1")).len() < 1200);
        let keys: Vec<String> = (0..900).map(|n| format!("\"k{n}\": \"\"")).collect();
        let message = refused(&format!("{ROWAN}, \"fields\": {{{}}}", keys.join(", ")));
        assert_eq!(message.lines().count(), MOST_MISTAKES + 1);
        assert!(message.ends_with("then read the file again."), "{message}");
        let keys: Vec<String> = (0..=MOST_KEYS).map(|n| format!("\"k{n}\": \"\"")).collect();
        let message = refused(&format!("{ROWAN}, \"fields\": {{{}}}", keys.join(", ")));
        assert!(message.contains("more than 1000 keys"), "{message}");
        let points = vec!["[\"1\", \"1\"]"; MOST_KEYS + 1].join(", ");
        let message = refused(&format!(
            "{ROWAN}, \"curves\": {{\"breathing\": [{points}]}}"
        ));
        assert!(message.contains("at most 64 are taken"), "{message}");
    }
}
