//! What can be wrong with a value of a map file, and where it stands.

use std::fmt;

/// Longest part of a file's own text that a message repeats, characters.
const LONGEST_QUOTE: usize = 60;

/// A sign for a message: what does not show or turns text round is replaced.
pub(super) fn shown(sign: char) -> char {
    let turns = matches!(
        sign,
        '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}'
    );
    if sign.is_control() || turns {
        '\u{FFFD}'
    } else {
        sign
    }
}

/// The beginning of a text of the file's, for a message.
pub(super) fn quoted(text: &str) -> String {
    let mut signs = text.chars();
    let mut start: String = signs.by_ref().take(LONGEST_QUOTE).map(shown).collect();
    if signs.next().is_some() {
        start.push('…');
    }
    start
}

/// A number for a message: seven digits, and never a long row of zeros.
pub(super) fn figure(value: f64) -> String {
    let rounded = format!("{value:.6e}").parse().unwrap_or(value);
    if rounded == 0.0 || (1e-5..1e9).contains(&rounded.abs()) {
        format!("{rounded}")
    } else {
        format!("{rounded:e}")
    }
}

/// Where in a file something stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// A line of a CSV file, from 1, as a text editor and (but for cells that hold line breaks) a
    /// spreadsheet count.
    Line(usize),
    /// Of a JSON file or a map in memory: which speed line and which point of it, from 1.
    Point(usize, usize),
    /// Of a JSON file or a map in memory: which speed line, from 1.
    SpeedLine(usize),
    /// Of a JSON file or a map in memory: which point of the surge line, from 1.
    SurgePoint(usize),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(f, "line {line} of the file"),
            Self::Point(line, point) => write!(f, "speed line {line}, point {point}"),
            Self::SpeedLine(line) => write!(f, "speed line {line}"),
            Self::SurgePoint(point) => write!(f, "surge line, point {point}"),
        }
    }
}

/// What a cell of the table holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Corrected shaft speed.
    Speed,
    /// Corrected flow.
    Flow,
    /// Pressure ratio.
    PressureRatio,
    /// Isentropic efficiency.
    Efficiency,
    /// Whether the compressor is at surge there.
    Surge,
}

impl Column {
    /// Its name in a header and in messages.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Speed => "speed",
            Self::Flow => "flow",
            Self::PressureRatio => "pressure ratio",
            Self::Efficiency => "efficiency",
            Self::Surge => "surge",
        }
    }

    /// What to do about a value that cannot be.
    fn remedy(self) -> &'static str {
        match self {
            Self::Efficiency => "correct it or its unit, or leave it out where it is not known",
            Self::PressureRatio => "correct it, or leave this point out",
            _ => "correct it or its unit",
        }
    }
}

/// What is wrong with a value.
#[derive(Debug, Clone, PartialEq)]
pub enum Problem {
    /// There is none.
    Missing,
    /// It is no number.
    NotANumber {
        /// What stands there.
        text: String,
    },
    /// Neither yes nor no.
    NotYesOrNo {
        /// What stands there.
        text: String,
    },
    /// A number that cannot be.
    OutOfRange {
        /// The number, in the file's unit.
        value: f64,
        /// Least, in the same unit.
        low: f64,
        /// Largest, in the same unit.
        high: f64,
        /// The unit's symbol.
        unit: &'static str,
    },
    /// A cell right of the last column of the header.
    BeyondHeader {
        /// What stands there.
        text: String,
    },
}

/// One value that is wrong. Its text says where, what, what is allowed and what to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Mistake {
    /// Where.
    pub place: Place,
    /// The column's number in a CSV file, from 1.
    pub cell: Option<usize>,
    /// What should stand there; `None` beyond the last column.
    pub column: Option<Column>,
    /// What is wrong.
    pub problem: Problem,
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = self.place.to_string();
        let mut letters = place.chars();
        let first = letters.next().unwrap_or(' ').to_ascii_uppercase();
        write!(f, "{first}{}", letters.as_str())?;
        if let Some(cell) = self.cell {
            write!(f, ", column {cell}")?;
        }
        let name = self.column.map_or("", Column::name);
        if !name.is_empty() {
            write!(f, " ({name})")?;
        }
        f.write_str(": ")?;
        let remedy = self.column.map_or("correct it", Column::remedy);
        match &self.problem {
            Problem::Missing => write!(
                f,
                "the {name} is missing; write it, or delete the whole row."
            ),
            Problem::NotANumber { text } => write!(
                f,
                "“{text}” is not a number; write digits and one decimal mark, without marks between thousands and without a unit."
            ),
            Problem::NotYesOrNo { text } => write!(
                f,
                "“{text}” is neither yes nor no; write yes where the compressor is at surge, else nothing."
            ),
            Problem::OutOfRange {
                value,
                low,
                high,
                unit,
            } => {
                let space = if unit.is_empty() { "" } else { " " };
                write!(
                    f,
                    "{}{space}{unit} cannot be; it must lie between {} and {}{space}{unit}: {remedy}.",
                    figure(*value),
                    figure(*low),
                    figure(*high),
                )
            }
            Problem::BeyondHeader { text } => write!(
                f,
                "“{text}” stands right of the last column of the header; remove it, or, where decimals have a comma, set cells apart with semicolons."
            ),
        }
    }
}
