//! Why a map file cannot be read or written, or makes no map.

use super::problems::figure;
use super::{
    LARGEST_FILE, LONGEST_LINE, LONGEST_NAME, MAP_VERSION, MOST_LINES, MOST_POINTS, Mistake, Place,
};
use crate::air_way::compressor::MapError;

/// Why a map file cannot be read or written. Every message says where, what and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MapFileError {
    /// Nothing in it.
    #[error(
        "The file is empty; a map file begins with “airpath_map, {MAP_VERSION}” or, as JSON, with {{."
    )]
    Empty,
    /// Too large to be a map.
    #[error(
        "The file has {bytes} bytes and at most {LARGEST_FILE} are read; leave out what is not the map."
    )]
    TooLarge {
        /// How large.
        bytes: usize,
    },
    /// Bytes that are no text.
    #[error(
        "Line {line} of the file holds a byte (0x{byte:02X}) that is no text in UTF-8; save it as “CSV UTF-8” or as JSON."
    )]
    NotText {
        /// Where.
        line: usize,
        /// Which byte.
        byte: u8,
    },
    /// Another kind of file.
    #[error(
        "Line {line} of the file is “{found}”; the first row of a map file must be “airpath_map, {MAP_VERSION}”. Add that row."
    )]
    FirstRow {
        /// Where.
        line: usize,
        /// What stands there.
        found: String,
    },
    /// Another version.
    #[error(
        "The map file is of version {found}; this program reads version {MAP_VERSION}. Update the program, or write the file again as version {MAP_VERSION}."
    )]
    Version {
        /// What the file says.
        found: String,
    },
    /// A line that no table has.
    #[error(
        "Line {line} of the file has {bytes} bytes and at most {LONGEST_LINE} are read; break it into rows."
    )]
    LineTooLong {
        /// Where.
        line: usize,
        /// How long.
        bytes: usize,
    },
    /// A quotation mark without its other.
    #[error(
        "Line {line} of the file has a quotation mark that is not closed; close it in the same line or remove it."
    )]
    OpenQuote {
        /// Where.
        line: usize,
    },
    /// A row before the table that nobody knows.
    #[error(
        "Line {line} of the file begins with “{found}”, which is neither a key nor the header of the table; keys are {known}, and a header names speed, flow and pressure ratio. Correct it, or begin the line with # to make it a comment."
    )]
    UnknownKey {
        /// Where.
        line: usize,
        /// What stands there.
        found: String,
        /// The keys there are.
        known: String,
    },
    /// A key or a column twice.
    #[error("Line {line} of the file gives {what} a second time; keep one of them.")]
    Twice {
        /// Where.
        line: usize,
        /// What.
        what: &'static str,
    },
    /// Something that every map file has.
    #[error("The file has no {what}; {remedy}.")]
    Lacking {
        /// What.
        what: &'static str,
        /// What to add.
        remedy: &'static str,
    },
    /// A value before the table.
    #[error("{place}: {what} is “{found}”; {wanted}.")]
    Head {
        /// Where.
        place: String,
        /// Which value.
        what: &'static str,
        /// What stands there.
        found: String,
        /// What is allowed, and what to do.
        wanted: String,
    },
    /// A column that nobody knows.
    #[error(
        "Line {line} of the file, column {column}: there is no column “{found}”; columns are speed, flow, pressure ratio, efficiency and surge. Rename or remove it."
    )]
    UnknownColumn {
        /// Where.
        line: usize,
        /// Which column, from 1.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// A unit that is missing or not known.
    #[error(
        "{place}: {}; it must be one of {known}{example}.",
        unit_in_words(what, found)
    )]
    Unit {
        /// Where.
        place: String,
        /// Of what.
        what: &'static str,
        /// What stands there; empty where there is none.
        found: String,
        /// What there is.
        known: String,
        /// How to write it, with what stands before it.
        example: &'static str,
    },
    /// Decimal points and decimal commas in one file.
    #[error(
        "Line {line} of the file has a decimal {mark} and line {other} the other mark; write all decimals in one way, and no marks between thousands."
    )]
    MixedDecimals {
        /// Where.
        line: usize,
        /// "comma" or "point".
        mark: &'static str,
        /// Where the other one stands first.
        other: usize,
    },
    /// Values of the table.
    #[error("{}", mistakes_in_words(mistakes, *more))]
    Mistakes {
        /// The first of them.
        mistakes: Vec<Mistake>,
        /// How many more there are.
        more: usize,
    },
    /// Too many rows.
    #[error(
        "The map has more than {MOST_POINTS} points; leave points out until {MOST_POINTS} or fewer are left."
    )]
    TooManyPoints,
    /// Too many speeds.
    #[error(
        "The map has {count} different speeds and at most {MOST_LINES} are read; give the points of one speed line the same speed."
    )]
    TooManyLines {
        /// How many.
        count: usize,
    },
    /// A map has more than one speed.
    #[error(
        "The map has {count} speed line(s) and needs at least 2; add the points of another speed."
    )]
    TooFewLines {
        /// How many.
        count: usize,
    },
    /// No efficiency at all.
    #[error(
        "None of the {points} points has an efficiency, and a map needs some; fill the column “efficiency” where it is known."
    )]
    NoEfficiency {
        /// How many points.
        points: usize,
    },
    /// One point twice, with two efficiencies.
    #[error(
        "The points at {first} and at {second} are one point ({speed} rev/min, {flow} kg/s) with efficiencies {one} and {two}; keep one of them.",
        speed = figure(*speed),
        flow = figure(*flow),
        one = figure(*one),
        two = figure(*two)
    )]
    Contradiction {
        /// Where the one stands.
        first: Place,
        /// Where the other stands.
        second: Place,
        /// Speed of the line, rev/min.
        speed: f64,
        /// Flow, kg/s.
        flow: f64,
        /// The one efficiency, 0 to 1.
        one: f64,
        /// The other.
        two: f64,
    },
    /// Lines that cross.
    #[error(
        "The speed lines of {slower} and {faster} rev/min cross: at {place}, {flow} kg/s, the pressure ratio {ratio} of the {} both neighbours on the other, {low} and {high}. Correct one of them, or give both lines one speed if they are one.",
        if *of_slower { "slower line lies above" } else { "faster line lies below" }, flow = figure(*flow), slower = figure(*slower), faster = figure(*faster), ratio = figure(*ratio), low = figure(*low), high = figure(*high))]
    LinesCross {
        /// Slower line, rev/min.
        slower: f64,
        /// Faster line, rev/min.
        faster: f64,
        /// Where the point stands.
        place: Place,
        /// Its flow, kg/s.
        flow: f64,
        /// Its pressure ratio.
        ratio: f64,
        /// Whether the point is one of the slower line.
        of_slower: bool,
        /// Neighbours on the other line: the lower pressure ratio.
        low: f64,
        /// The higher.
        high: f64,
    },
    /// Not JSON, or not of this shape.
    #[error("This is not a map file: {detail} (line {line}, column {column}). Correct it there.")]
    Shape {
        /// What the reader met.
        detail: String,
        /// Where.
        line: usize,
        /// Where in the line.
        column: usize,
    },
    /// A map in memory that reading would change.
    #[error(
        "The map cannot be written as it is: {what}. Put lines in order of rising speed, points in order of rising flow, each once."
    )]
    NotInOrder {
        /// What reading would change.
        what: String,
    },
}

fn unit_in_words(what: &str, found: &str) -> String {
    if found.is_empty() {
        format!("{what} has no unit")
    } else {
        format!("the unit of {what} is “{found}”")
    }
}

fn mistakes_in_words(mistakes: &[Mistake], more: usize) -> String {
    let mut text: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
    if more > 0 {
        text.push(format!("And {more} more of the kind."));
    }
    text.join("\n")
}

/// What the name of a map may be, for a message.
pub(super) fn name_rule() -> String {
    format!("write at most {LONGEST_NAME} characters, none of them a control sign")
}

/// Why what was read does not make a map directly.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ConversionError {
    /// Total-to-static, without the diameter.
    #[error(
        "The map's pressure ratios are total-to-static and its outlet diameter is not given, so that they cannot be made total-to-total; add the row “outlet diameter”, such as 50 mm."
    )]
    NoOutletDiameter,
    /// Faster than sound at the outlet.
    #[error(
        "At {flow} kg/s{} the flow through an outlet of {diameter} mm would have a Mach number of {mach}, and at most 0.8 can be; correct the outlet diameter or the flow.",
        at_speed(*speed),
        flow = figure(*flow),
        diameter = figure(*diameter),
        mach = figure(*mach)
    )]
    OutletTooSmall {
        /// Speed, rev/min, where it is known.
        speed: Option<f64>,
        /// Flow, kg/s.
        flow: f64,
        /// Diameter, mm.
        diameter: f64,
        /// Mach number.
        mach: f64,
    },
    /// Efficiencies are missing.
    #[error(
        "{count} point(s) have no efficiency, the first at {speed} rev/min and {flow} kg/s; fill them in, leave them out, or have the map fitted.",
        speed = figure(*speed),
        flow = figure(*flow)
    )]
    EfficiencyMissing {
        /// How many.
        count: usize,
        /// Speed of the first, rev/min.
        speed: f64,
        /// Flow of the first, kg/s.
        flow: f64,
    },
    /// An estimate is no measurement.
    #[error(
        "The map was estimated from wheel sizes; a map file holds measured maps only. Write the build or the turbocharger instead."
    )]
    Estimated,
    /// What the map itself says.
    #[error("{0} Correct those points, or have the map fitted.")]
    Map(#[from] MapError),
}

fn at_speed(speed: Option<f64>) -> String {
    speed.map_or_else(String::new, |speed| {
        format!(" and {} rev/min", figure(speed))
    })
}
