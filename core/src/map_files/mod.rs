//! Compressor maps as files: a table for a spreadsheet (CSV), and JSON.
//!
//! # The table
//!
//! ```csv
#![doc = include_str!("example.csv")]
//! ```
//!
//! First come rows of a key, its value and its unit, then a header, then one row a point:
//!
//! | key | value |
//! | --- | --- |
//! | `airpath_map` | 1, the version; always the first row |
//! | `name` | what the map is called; may be left out |
//! | `reference temperature` | total temperature that speeds and flows are corrected to: 250 to 350 K |
//! | `reference pressure` | absolute total pressure that flows are corrected to: 50 to 120 kPa |
//! | `basis` | `total-to-total` or `total-to-static`: what pressure ratio and efficiency are made of |
//! | `outlet diameter` | inside diameter where the outlet pressure was measured, 5 to 500 mm; only needed to turn total-to-static into total-to-total |
//!
//! | column | what it holds |
//! | --- | --- |
//! | `speed` | corrected shaft speed, 500 to 600,000 rev/min. Rows of the same speed are one line |
//! | `flow` | corrected flow, 0.0001 to 20 kg/s; a volume flow is that of dry air at the reference state |
//! | `pressure ratio` | above 1, at most 12 |
//! | `efficiency` | isentropic, 0.02 to 0.95; a cell may be blank, but not all |
//! | `surge` | `yes` where the compressor is at the brink of surge, else blank; the column may be left out |
//!
//! A header cell holds a column's name and, in square or round brackets, its unit; `[%]` or nothing
//! for efficiency. Columns stand in any order. A row that is marked as surge and has no speed is a
//! point of the surge line alone. Cells are set apart by commas, semicolons or tabs, whichever the
//! first row has. With semicolons or tabs decimals may have a comma, all of them; there are no marks
//! between thousands. Cells may stand in quotation marks. Blank lines, and lines that begin with
//! `#`, mean nothing. The text is UTF-8.
//!
//! # JSON
//!
//! The same with the same keys; every key that is not among these is refused:
//!
//! ```json
#![doc = include_str!("example.json")]
//! ```
//!
//! | key | type | what it holds |
//! | --- | --- | --- |
//! | `airpath_map` | number | 1, the version |
//! | `name` | text, may be left out | as above |
//! | `reference` | object | `temperature` and `pressure`, each a text of number and unit |
//! | `basis` | text | as above |
//! | `outlet_diameter` | text of number and unit, may be left out | as above |
//! | `units` | object | `speed`, `flow` and (or else a fraction) `efficiency`, each a text |
//! | `lines` | list of objects | `speed`, a number, and `points`, a list |
//! | `points` | list of objects | `flow` and `pressure_ratio`, numbers; `efficiency`, a number, and `surge`, true or false, may be left out |
//! | `surge_line` | list of points, may be left out | points of surge whose speed is not known |
//!
//! Texts of number and unit are read by [`crate::quantity::read`].
//!
//! # What is done with it
//!
//! [`read`] gives a [`MapFile`], in SI and in order, with [`MapWarning`]s that say what was repaired;
//! or a [`MapFileError`] that says where, what and what to do. Nothing that is missing is put in.
//! [`MapFile::to_map_data`] makes a map where nothing is missing; [`MapFile::to_csv`] and
//! [`MapFile::to_json`] write what reads back as the same to the bit.
//!
//! ```
//! use airpath::map_files::{CsvStyle, read};
//!
//! let text = airpath::map_files::EXAMPLE_CSV;
//! let read_map = read(text.as_bytes())?;
//! assert_eq!(read_map.warnings.len(), 1); // one point has no efficiency
//! let again = read(read_map.map.to_csv(CsvStyle::Semicolons)?.as_bytes())?;
//! assert_eq!(again, read_map);
//! # Ok::<(), airpath::map_files::MapFileError>(())
//! ```

mod assemble;
mod convert;
mod crossing;
mod errors;
mod head;
mod json;
mod problems;
mod table;
mod units;
mod warnings;
mod write;

#[cfg(test)]
mod tests;

pub(crate) use convert::Outlet;
pub use convert::{mach_squared, outlet_flow_squared, total_over_static};
pub use errors::{ConversionError, MapFileError};
pub use problems::{Column, Mistake, Place, Problem};
pub use units::{MapUnits, flow_factor, flow_units};
pub use warnings::MapWarning;
pub use write::CsvStyle;

use crate::air_way::compressor::MapReference;
use problems::quoted;

/// The version of the formats that is read and written.
pub const MAP_VERSION: u32 = 1;

/// Largest file read, bytes: 50,000 points with all their digits have some 6,500,000 in JSON.
pub const LARGEST_FILE: usize = 8_000_000;

/// Most points of a map. A turbocharger's record takes fewer; scattered points may be fitted first.
pub const MOST_POINTS: usize = 50_000;

/// Most speed lines of a map.
pub const MOST_LINES: usize = 200;

/// Longest line of a table, bytes.
pub const LONGEST_LINE: usize = 4096;

/// Longest name of a map, characters; as long as that of a turbocharger.
pub const LONGEST_NAME: usize = 80;

/// Least and largest reference temperature, K: those that a map takes.
const REFERENCE_TEMPERATURE: (f64, f64) = (250.0, 350.0);

/// Least and largest reference pressure, Pa: those that a map takes.
const REFERENCE_PRESSURE: (f64, f64) = (50_000.0, 120_000.0);

/// Least and largest outlet diameter, m.
pub(crate) const OUTLET_DIAMETER: (f64, f64) = (0.005, 0.5);

/// The example of the documentation, as a table. Invented.
pub const EXAMPLE_CSV: &str = include_str!("example.csv");

/// The example of the documentation, as JSON. Invented.
pub const EXAMPLE_JSON: &str = include_str!("example.json");

/// What pressure ratio and efficiency are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PressureBasis {
    /// Total pressure at the outlet over total pressure at the inlet.
    TotalToTotal,
    /// Static pressure at the outlet over total pressure at the inlet.
    TotalToStatic,
}

impl PressureBasis {
    /// Its name in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::TotalToTotal => "total-to-total",
            Self::TotalToStatic => "total-to-static",
        }
    }

    /// The basis of a name; spaces, underscores and capitals do not matter.
    fn by_name(text: &str) -> Option<Self> {
        let plain = table::plain_name(text);
        [Self::TotalToTotal, Self::TotalToStatic]
            .into_iter()
            .find(|basis| table::plain_name(basis.name()) == plain)
    }
}

/// A point of a speed line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilePoint {
    /// Corrected mass flow, kg/s.
    pub flow_kg_s: f64,
    /// Pressure ratio, on the map's basis.
    pub pressure_ratio: f64,
    /// Isentropic efficiency on the map's basis, 0 to 1; `None` where the file has none.
    pub efficiency: Option<f64>,
    /// Whether it is marked as the brink of surge.
    pub at_surge: bool,
}

/// The points of one corrected speed.
#[derive(Debug, Clone, PartialEq)]
pub struct FileLine {
    /// Corrected shaft speed, rev/min.
    pub speed_rev_min: f64,
    /// Points in order of rising flow, those of one flow in order of falling pressure ratio.
    pub points: Vec<FilePoint>,
}

/// A point of the surge line whose speed is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurgePoint {
    /// Corrected mass flow, kg/s.
    pub flow_kg_s: f64,
    /// Pressure ratio, on the map's basis.
    pub pressure_ratio: f64,
}

/// A compressor map as a file holds it: in SI and in order, with what is missing left missing.
#[derive(Debug, Clone, PartialEq)]
pub struct MapFile {
    /// What it is called; may be empty. At most [`LONGEST_NAME`] characters.
    pub name: String,
    /// Reference state of corrected flow and speed.
    pub reference: MapReference,
    /// What pressure ratio and efficiency are made of.
    pub basis: PressureBasis,
    /// Inside diameter where the outlet pressure was measured, m.
    pub outlet_diameter_m: Option<f64>,
    /// Lines in order of rising speed, at least two.
    pub lines: Vec<FileLine>,
    /// Points of the surge line that belong to no speed line, in order of rising flow.
    pub surge_line: Vec<SurgePoint>,
    /// The units of the file, for showing it and writing it again.
    pub units: MapUnits,
}

impl MapFile {
    /// Every point marked as surge, with its speed in rev/min where that is known: those of the
    /// speed lines first.
    pub fn surge_points(&self) -> impl Iterator<Item = (Option<f64>, SurgePoint)> {
        let of_lines = self.lines.iter().flat_map(|line| {
            let marked = line.points.iter().filter(|point| point.at_surge);
            marked.map(|point| {
                let surge = SurgePoint {
                    flow_kg_s: point.flow_kg_s,
                    pressure_ratio: point.pressure_ratio,
                };
                (Some(line.speed_rev_min), surge)
            })
        });
        of_lines.chain(self.surge_line.iter().map(|point| (None, *point)))
    }

    /// How many points the speed lines have.
    #[must_use]
    pub fn point_count(&self) -> usize {
        self.lines.iter().map(|line| line.points.len()).sum()
    }
}

/// A map file that was read, and what there is to say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct MapReading {
    /// The map.
    pub map: MapFile,
    /// What was repaired, and what a person should look at.
    pub warnings: Vec<MapWarning>,
}

/// Reads a map file of either format: what begins with `{` is JSON, all else a table.
///
/// # Errors
/// Every [`MapFileError`]; values of the table that are wrong come together, up to twenty.
pub fn read(bytes: &[u8]) -> Result<MapReading, MapFileError> {
    if bytes.len() > LARGEST_FILE {
        return Err(MapFileError::TooLarge { bytes: bytes.len() });
    }
    let line_at = |end: usize| 1 + bytes[..end].iter().filter(|byte| **byte == b'\n').count();
    let not_text = |at: usize| MapFileError::NotText {
        line: line_at(at),
        byte: bytes.get(at).copied().unwrap_or(0),
    };
    let text = std::str::from_utf8(bytes).map_err(|error| not_text(error.valid_up_to()))?;
    // Zeros are valid UTF-8, but only what is no text has them (and text in UTF-16).
    if let Some(at) = bytes.iter().position(|byte| *byte == 0) {
        return Err(not_text(at));
    }
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(MapFileError::Empty);
    }
    if text.trim_start().starts_with('{') {
        json::read(text)
    } else {
        table::read(text)
    }
}

/// Whether a name can be kept.
fn check_name(place: &str, name: &str) -> Result<(), MapFileError> {
    let short = name.chars().take(LONGEST_NAME + 1).count() <= LONGEST_NAME;
    if short && name.trim() == name && !name.chars().any(char::is_control) {
        return Ok(());
    }
    Err(MapFileError::Head {
        place: place.to_owned(),
        what: "the name",
        found: quoted(name),
        wanted: errors::name_rule(),
    })
}
