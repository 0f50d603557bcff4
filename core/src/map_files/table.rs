//! Reads the table (CSV).
//!
//! Lines are taken one by one, so that every message has the line that a text editor shows, and a
//! quotation mark left open cannot swallow the rest of the file.

use super::assemble::{Row, Rows};
use super::head::{Head, Key};
use super::problems::quoted;
use super::{
    Column, LONGEST_LINE, MAP_VERSION, MapFileError, MapReading, MapUnits, Mistake, Place, Problem,
    units,
};
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use std::borrow::Cow;

/// Longest cell that can be a number or a name.
pub(super) const LONGEST_CELL: usize = 64;

/// A name without what people write in different ways: small letters, single spaces.
pub(super) fn plain_name(text: &str) -> String {
    let spaced = text.replace(['_', '-', '–'], " ").to_ascii_lowercase();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Which mark stands before decimals, and where each was seen first.
#[derive(Default)]
pub(super) struct Decimals {
    comma_allowed: bool,
    comma: Option<usize>,
    point: Option<usize>,
}

impl Decimals {
    /// A number as the table has it: digits, one decimal mark, an exponent; no marks between
    /// thousands, which in another country are decimal marks. `None` where it is none.
    pub fn number(&mut self, line: usize, text: &str) -> Result<Option<f64>, MapFileError> {
        let allowed = |sign: char| {
            sign.is_ascii_digit() || matches!(sign, '.' | '+' | '-' | 'e' | 'E' | ',' | '−')
        };
        if text.len() > LONGEST_CELL
            || !text.chars().all(allowed)
            || (text.contains(',') && !self.comma_allowed)
        {
            return Ok(None);
        }
        let plain = text.replace(',', ".").replace('−', "-");
        let Ok(number) = plain.parse::<f64>() else {
            return Ok(None);
        };
        if text.contains(',') {
            self.comma.get_or_insert(line);
        } else if text.contains('.') {
            self.point.get_or_insert(line);
        }
        match (self.comma, self.point) {
            (Some(comma), Some(point)) => Err(MapFileError::MixedDecimals {
                line: comma.max(point),
                mark: if comma > point { "comma" } else { "point" },
                other: comma.min(point),
            }),
            _ => Ok(Some(number)),
        }
    }
}

/// Cells of one line after another.
struct Cells {
    separator: u8,
    reader: Reader,
    output: Vec<u8>,
    ends: Vec<usize>,
}

impl Cells {
    fn new(separator: u8) -> Self {
        Self {
            separator,
            reader: ReaderBuilder::new().delimiter(separator).build(),
            output: vec![0; 2 * LONGEST_LINE],
            ends: vec![0; LONGEST_LINE + 1],
        }
    }

    /// The cells of a line of at most [`LONGEST_LINE`] bytes, without spaces around them.
    fn of<'a>(&'a mut self, line: &str) -> Vec<&'a str> {
        self.reader.reset();
        let line = quotes_at_the_beginning(line, self.separator);
        let (mut input, mut wrote, mut cells) = (line.as_bytes(), 0, 0);
        loop {
            let (result, read, written, ended) =
                self.reader
                    .read_record(input, &mut self.output[wrote..], &mut self.ends[cells..]);
            input = input.get(read..).unwrap_or_default();
            wrote += written;
            cells += ended;
            match result {
                // Nothing is left to read: asking once more ends the record.
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::OutputFull
                | ReadRecordResult::OutputEndsFull
                | ReadRecordResult::Record
                | ReadRecordResult::End => break,
            }
        }
        let mut begin = 0;
        let mut texts = Vec::with_capacity(cells);
        for end in self.ends.iter().take(cells) {
            let bytes = self.output.get(begin..*end).unwrap_or_default();
            texts.push(std::str::from_utf8(bytes).unwrap_or_default().trim());
            begin = *end;
        }
        texts
    }
}

/// A line without spaces between a separator and a quotation mark: a quoted cell begins with the mark.
fn quotes_at_the_beginning(line: &str, separator: u8) -> Cow<'_, str> {
    if !line.contains('"') {
        return Cow::Borrowed(line);
    }
    let mut kept = String::with_capacity(line.len());
    let mut quoted = false;
    for sign in line.chars() {
        if sign == '"' {
            if !quoted {
                let before = kept.trim_end_matches(' ');
                if before.is_empty() || before.as_bytes().last() == Some(&separator) {
                    kept.truncate(before.len());
                }
            }
            quoted = !quoted;
        }
        kept.push(sign);
    }
    Cow::Owned(kept)
}

/// Lines that say something, each with its number; a line ends as on any system.
fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut number = 0;
    let mut rest = text;
    let all = std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let (line, after) = rest.split_at(end);
        let after_return = after.strip_prefix("\r\n");
        rest = after_return.unwrap_or_else(|| after.get(1..).unwrap_or_default());
        number += 1;
        Some((number, line))
    });
    all.filter(|(_, line)| {
        let line = line.trim_start();
        // A spreadsheet puts a comment with commas in quotation marks.
        !(line.is_empty() || line.starts_with('#') || line.starts_with("\"#"))
    })
}

/// The separator of the first row: a tab, a semicolon or a comma.
fn separator(first: &str) -> u8 {
    let found = [b'\t', b';']
        .into_iter()
        .find(|mark| first.as_bytes().contains(mark));
    found.unwrap_or(b',')
}

/// A column of the table and where it stands.
struct Header {
    at: Vec<Option<Column>>,
    units: MapUnits,
}

/// Reads the text of a table; its size was checked.
pub(super) fn read(text: &str) -> Result<MapReading, MapFileError> {
    let mut all = lines(text);
    let Some((number, first)) = all.next() else {
        return Err(MapFileError::Empty);
    };
    let mark = separator(first.get(..LONGEST_LINE).unwrap_or(first));
    let mut cells = Cells::new(mark);
    check_line(number, first)?;
    version(number, &cells.of(first))?;
    let mut decimals = Decimals {
        comma_allowed: mark != b',',
        ..Decimals::default()
    };
    let mut head = Head::default();
    let header = loop {
        let Some((number, line)) = all.next() else {
            return Err(MapFileError::Lacking {
                what: "header",
                remedy: "add a row that names the columns, such as “speed [rev/min], flow [kg/s], pressure ratio, efficiency [%]”",
            });
        };
        check_line(number, line)?;
        let row = cells.of(line);
        if row.iter().all(|cell| cell.is_empty()) {
            continue;
        }
        let found = plain_name(&quoted(row[0]));
        if let Some(key) = Key::ALL.into_iter().find(|key| key.name() == found) {
            head.row(number, key, &row, &mut decimals)?;
        } else if row.iter().any(|cell| column_of(cell).is_some()) {
            break read_header(number, &row)?;
        } else {
            return Err(MapFileError::UnknownKey {
                line: number,
                found: quoted(row[0]),
                known: Key::ALL.map(Key::name).join(", "),
            });
        }
    };
    let (mut map, mut rows) = head.done(header.units)?;
    for (cell, column) in header.at.iter().enumerate() {
        if let Some(column) = column {
            rows.cells.insert(column.name(), cell + 1);
        }
    }
    for (number, line) in all {
        check_line(number, line)?;
        let row = cells.of(line);
        if row.iter().any(|cell| !cell.is_empty()) {
            read_row(number, &row, &header, &mut decimals, &mut rows)?;
        }
    }
    let assembled = rows.finish()?;
    map.lines = assembled.lines;
    map.surge_line = assembled.surge_line;
    Ok(MapReading {
        map,
        warnings: assembled.warnings,
    })
}

fn check_line(number: usize, line: &str) -> Result<(), MapFileError> {
    if line.len() > LONGEST_LINE {
        return Err(MapFileError::LineTooLong {
            line: number,
            bytes: line.len(),
        });
    }
    // A quotation mark in a quoted cell is doubled, so that their number is even.
    let quotes = line.bytes().filter(|byte| *byte == b'"').count();
    if quotes % 2 != 0 {
        return Err(MapFileError::OpenQuote { line: number });
    }
    Ok(())
}

fn version(number: usize, row: &[&str]) -> Result<(), MapFileError> {
    let first = row.first().copied().unwrap_or_default();
    if plain_name(&quoted(first)) != "airpath map" {
        return Err(MapFileError::FirstRow {
            line: number,
            found: quoted(first),
        });
    }
    let found = row.get(1).copied().unwrap_or_default();
    if found == MAP_VERSION.to_string() {
        Ok(())
    } else {
        Err(MapFileError::Version {
            found: format!("“{}”", quoted(found)),
        })
    }
}

/// A header cell taken apart: the column's name and the unit in brackets, if there is one.
fn column_parts(cell: &str) -> (&str, Option<&str>) {
    let Some(open) = cell.find(['[', '(']) else {
        return (cell, None);
    };
    let (name, unit) = cell.split_at(open);
    let inside = unit.get(1..).unwrap_or_default().trim_end();
    let inside = inside.strip_suffix([']', ')']).unwrap_or(inside);
    (name, Some(inside.trim()))
}

/// The column that a header cell names.
fn column_of(cell: &str) -> Option<Column> {
    if cell.len() > LONGEST_CELL {
        return None;
    }
    let name = plain_name(column_parts(cell).0);
    let name = name.strip_prefix("corrected ").unwrap_or(&name);
    Some(match name {
        "speed" | "shaft speed" => Column::Speed,
        "flow" | "mass flow" | "volume flow" => Column::Flow,
        "pressure ratio" => Column::PressureRatio,
        "efficiency" | "isentropic efficiency" => Column::Efficiency,
        "surge" => Column::Surge,
        _ => return None,
    })
}

fn read_header(number: usize, row: &[&str]) -> Result<Header, MapFileError> {
    let mut header = Header {
        at: Vec::with_capacity(row.len()),
        units: MapUnits::plain(),
    };
    for (place, cell) in row.iter().enumerate() {
        if cell.is_empty() {
            header.at.push(None);
            continue;
        }
        let column = column_of(cell).ok_or_else(|| MapFileError::UnknownColumn {
            line: number,
            column: place + 1,
            found: quoted(cell),
        })?;
        if header.at.contains(&Some(column)) {
            return Err(MapFileError::Twice {
                line: number,
                what: column.name(),
            });
        }
        header.at.push(Some(column));
        let unit = column_parts(cell).1.unwrap_or_default();
        let wrong = |known: String, example| MapFileError::Unit {
            place: format!("Line {number} of the file, column {}", place + 1),
            what: column.name(),
            found: quoted(unit),
            known,
            example,
        };
        match column {
            Column::Speed => {
                header.units.speed = units::speed_unit(unit)
                    .ok_or_else(|| wrong(units::known_speed(), ", such as “speed [rev/min]”"))?;
            }
            Column::Flow => {
                header.units.flow = units::flow_unit(unit)
                    .ok_or_else(|| wrong(units::known_flow(), ", such as “flow [kg/s]”"))?;
            }
            Column::Efficiency => {
                header.units.efficiency = units::efficiency_unit(unit).ok_or_else(|| {
                    wrong(units::known_efficiency(), ", such as “efficiency [%]”")
                })?;
            }
            Column::PressureRatio | Column::Surge => {
                if !matches!(unit, "" | "-" | "–" | "1") {
                    return Err(wrong(
                        "1, -".to_owned(),
                        ": a ratio has no unit, so leave the brackets out",
                    ));
                }
            }
        }
    }
    for (column, what, remedy) in [
        (
            Column::Speed,
            "column “speed”",
            "add it to the header with its unit, such as “speed [rev/min]”",
        ),
        (
            Column::Flow,
            "column “flow”",
            "add it to the header with its unit, such as “flow [kg/s]”",
        ),
        (
            Column::PressureRatio,
            "column “pressure ratio”",
            "add it to the header",
        ),
        (
            Column::Efficiency,
            "column “efficiency”",
            "add it to the header with its unit, such as “efficiency [%]”; cells may be blank, but not all",
        ),
    ] {
        if !header.at.contains(&Some(column)) {
            return Err(MapFileError::Lacking { what, remedy });
        }
    }
    Ok(header)
}

fn read_row(
    number: usize,
    row: &[&str],
    header: &Header,
    decimals: &mut Decimals,
    rows: &mut Rows,
) -> Result<(), MapFileError> {
    let place = Place::Line(number);
    let mut values: [Option<f64>; 4] = [None; 4];
    let mut at_surge = false;
    let mut sound = true;
    for (cell, text) in row.iter().enumerate() {
        if text.is_empty() {
            continue;
        }
        let Some(column) = header.at.get(cell).copied().flatten() else {
            let problem = Problem::BeyondHeader { text: quoted(text) };
            rows.mistakes.add(Mistake {
                place,
                cell: Some(cell + 1),
                column: None,
                problem,
            });
            sound = false;
            continue;
        };
        let slot = match column {
            Column::Speed => 0,
            Column::Flow => 1,
            Column::PressureRatio => 2,
            Column::Efficiency => 3,
            Column::Surge => {
                match text.to_ascii_lowercase().as_str() {
                    "yes" => at_surge = true,
                    "no" => {}
                    _ => {
                        let problem = Problem::NotYesOrNo { text: quoted(text) };
                        rows.mistake(place, column, problem);
                        sound = false;
                    }
                }
                continue;
            }
        };
        values[slot] = decimals.number(number, text)?;
        if values[slot].is_none() {
            let problem = Problem::NotANumber { text: quoted(text) };
            rows.mistake(place, column, problem);
            sound = false;
        }
    }
    if !sound {
        return Ok(());
    }
    let [speed, flow, pressure_ratio, efficiency] = values;
    for (column, value) in [
        (Column::Flow, flow),
        (Column::PressureRatio, pressure_ratio),
    ] {
        if value.is_none() {
            rows.mistake(place, column, Problem::Missing);
        }
    }
    if let (Some(flow), Some(pressure_ratio)) = (flow, pressure_ratio) {
        rows.push(Row {
            place,
            speed,
            flow,
            pressure_ratio,
            efficiency,
            at_surge,
        })?;
    }
    Ok(())
}
