//! Reads JSON; the shape is also what is written.

use super::assemble::{Row, Rows};
use super::head::{out_of_range, wrong_basis};
use super::problems::{quoted, shown};
use super::{
    Column, MAP_VERSION, MapFile, MapFileError, MapReading, MapUnits, OUTLET_DIAMETER, Place,
    PressureBasis, Problem, REFERENCE_PRESSURE, REFERENCE_TEMPERATURE, check_name, units,
};
use crate::air_way::compressor::MapReference;
use crate::quantity::{self, Kind, Unit};
use serde::{Deserialize, Serialize};

/// Longest account of what the reader met, characters.
const LONGEST_DETAIL: usize = 240;

/// A map file in JSON, version 1.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JsonMap {
    /// Always 1.
    pub airpath_map: u32,
    /// What the map is called.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// What speeds and flows are corrected to.
    pub reference: JsonReference,
    /// "total-to-total" or "total-to-static".
    pub basis: String,
    /// Such as "51 mm".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outlet_diameter: Option<String>,
    /// Units of the numbers below.
    pub units: JsonUnits,
    /// Speed lines.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<JsonLine>,
    /// Points of surge that belong to no speed line.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub surge_line: Vec<JsonPoint>,
}

/// Total temperature and absolute total pressure, with units.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JsonReference {
    /// Such as "25 °C".
    pub temperature: String,
    /// Such as "100 kPa".
    pub pressure: String,
}

/// Units of the numbers in lines.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JsonUnits {
    /// Such as "rev/min".
    pub speed: String,
    /// Such as "kg/s".
    pub flow: String,
    /// "%" or "fraction".
    #[serde(default)]
    pub efficiency: Option<String>,
}

/// A speed line.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JsonLine {
    /// Corrected speed.
    pub speed: f64,
    /// Its points.
    pub points: Vec<JsonPoint>,
}

/// A point of a line.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JsonPoint {
    /// Corrected flow.
    pub flow: f64,
    /// Of pressures.
    pub pressure_ratio: f64,
    /// Isentropic efficiency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Whether it is the brink of surge.
    #[serde(default, skip_serializing_if = "is_false")]
    pub surge: bool,
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
fn is_false(value: &bool) -> bool {
    !value
}

/// A number as JSON has it.
pub(super) fn number(value: f64) -> String {
    serde_json::to_string(&value).unwrap_or_default()
}

/// What the library says, without the place, and not longer than can be read.
fn detail(error: &serde_json::Error) -> String {
    let said = error.to_string();
    // The place stands at the end; the words may come from the file, and hold anything.
    let said = said
        .rsplit_once(" at line ")
        .map_or(said.as_str(), |(words, _)| words);
    let length = said.chars().count();
    let half = LONGEST_DETAIL / 2;
    if length <= LONGEST_DETAIL {
        return said.chars().map(shown).collect();
    }
    // What was met stands first, what was expected last.
    let first = said.chars().take(half);
    let last = said.chars().skip(length - half);
    first.chain(" … ".chars()).chain(last).map(shown).collect()
}

/// Reads the text of a JSON file; its size was checked.
pub(super) fn read(text: &str) -> Result<MapReading, MapFileError> {
    #[derive(Deserialize)]
    struct Version {
        airpath_map: u32,
    }
    let wrong_version = |found: u32| MapFileError::Version {
        found: found.to_string(),
    };
    let file: JsonMap = serde_json::from_str(text).map_err(|error| {
        // A newer file may have another shape; then the version is what matters.
        if error.is_data()
            && let Ok(Version { airpath_map }) = serde_json::from_str(text)
            && airpath_map != MAP_VERSION
        {
            return wrong_version(airpath_map);
        }
        MapFileError::Shape {
            detail: detail(&error),
            line: error.line(),
            column: error.column(),
        }
    })?;
    if file.airpath_map != MAP_VERSION {
        return Err(wrong_version(file.airpath_map));
    }
    check_name("“name”", &file.name)?;
    let basis = PressureBasis::by_name(&quoted(&file.basis))
        .ok_or_else(|| wrong_basis("“basis”".to_owned(), &file.basis))?;
    let mut units = read_units(&file.units)?;
    let (temperature_k, unit) = read_head(
        &file.reference.temperature,
        Kind::Temperature,
        ("reference temperature", "“reference.temperature”"),
        REFERENCE_TEMPERATURE,
    )?;
    units.temperature = unit;
    let (pressure_pa, unit) = read_head(
        &file.reference.pressure,
        Kind::AbsolutePressure,
        ("reference pressure", "“reference.pressure”"),
        REFERENCE_PRESSURE,
    )?;
    units.pressure = unit;
    let mut outlet_diameter_m = None;
    if let Some(text) = &file.outlet_diameter {
        let (diameter, unit) = read_head(
            text,
            Kind::Length,
            ("outlet diameter", "“outlet_diameter”"),
            OUTLET_DIAMETER,
        )?;
        outlet_diameter_m = Some(diameter);
        units.length = unit;
    }
    let reference = MapReference {
        temperature_k,
        pressure_pa,
    };
    let mut rows = Rows::new(units, reference);
    for (l, line) in file.lines.iter().enumerate() {
        if line.points.is_empty() {
            rows.mistake(Place::SpeedLine(l + 1), Column::Flow, Problem::Missing);
        }
        for (p, point) in line.points.iter().enumerate() {
            let place = Place::Point(l + 1, p + 1);
            rows.push(row(place, Some(line.speed), point, point.surge))?;
        }
    }
    for (p, point) in file.surge_line.iter().enumerate() {
        rows.push(row(Place::SurgePoint(p + 1), None, point, true))?;
    }
    let assembled = rows.finish()?;
    Ok(MapReading {
        map: MapFile {
            name: file.name,
            reference,
            basis,
            outlet_diameter_m,
            lines: assembled.lines,
            surge_line: assembled.surge_line,
            units,
        },
        warnings: assembled.warnings,
    })
}

fn row(place: Place, speed: Option<f64>, point: &JsonPoint, at_surge: bool) -> Row {
    Row {
        place,
        speed,
        flow: point.flow,
        pressure_ratio: point.pressure_ratio,
        efficiency: point.efficiency,
        at_surge,
    }
}

fn read_units(given: &JsonUnits) -> Result<MapUnits, MapFileError> {
    let wrong = |what, text: &str, known| MapFileError::Unit {
        place: format!("“units.{what}”"),
        what,
        found: quoted(text),
        known,
        example: "",
    };
    // A longer text than is shown is no unit.
    let (speed, flow) = (quoted(&given.speed), quoted(&given.flow));
    let efficiency = quoted(given.efficiency.as_deref().unwrap_or_default());
    let mut units = MapUnits::plain();
    units.speed = units::speed_unit(&speed)
        .ok_or_else(|| wrong("speed", &given.speed, units::known_speed()))?;
    units.flow =
        units::flow_unit(&flow).ok_or_else(|| wrong("flow", &given.flow, units::known_flow()))?;
    units.efficiency = units::efficiency_unit(&efficiency)
        .ok_or_else(|| wrong("efficiency", &efficiency, units::known_efficiency()))?;
    Ok(units)
}

/// A text with a unit, in SI.
fn read_head(
    text: &str,
    kind: Kind,
    (what, place): (&'static str, &str),
    range: (f64, f64),
) -> Result<(f64, &'static Unit), MapFileError> {
    let reading =
        quantity::read(text, kind, kind.metric()).map_err(|error| MapFileError::Head {
            place: place.to_owned(),
            what,
            found: quoted(text),
            wanted: error
                .to_string()
                .trim_end_matches('.')
                .chars()
                .map(shown)
                .collect(),
        })?;
    if !reading.unit_was_typed {
        return Err(MapFileError::Unit {
            place: place.to_owned(),
            what,
            found: String::new(),
            known: units::known(kind),
            example: ", in the text after the number",
        });
    }
    check_head(
        (reading.value, reading.unit),
        (what, place.to_owned()),
        range,
    )?;
    Ok((reading.si, reading.unit))
}

/// Whether a value before the lines can be.
pub(super) fn check_head(
    (value, unit): (f64, &'static Unit),
    (what, place): (&'static str, String),
    (low, high): (f64, f64),
) -> Result<(), MapFileError> {
    let si = unit.to_si(value);
    if si >= low && si <= high {
        return Ok(());
    }
    Err(out_of_range(place, what, (value, unit), (low, high)))
}

/// Whether a reference state can be.
pub(super) fn check_reference(reference: MapReference, place: &str) -> Result<(), MapFileError> {
    let plain = MapUnits::plain();
    check_head(
        (reference.temperature_k, plain.temperature),
        ("reference temperature", place.to_owned()),
        REFERENCE_TEMPERATURE,
    )?;
    check_head(
        (reference.pressure_pa, plain.pressure),
        ("reference pressure", place.to_owned()),
        REFERENCE_PRESSURE,
    )
}
