//! Map files: what is read, in which units, and that what is written reads back the same.

mod conversions;
mod refusals;
mod repairs;
mod round_trips;

use super::{MapFile, MapFileError, MapReading, MapWarning, read};

/// The rows before the table, but for the first.
const HEAD: &str =
    "reference temperature,298.15,K\nreference pressure,100,kPa\nbasis,total-to-total\n";

/// Two small lines that are sound.
const ROWS: &str = "60000,0.1,1.4,0.7\n60000,0.15,1.35,0.72\n60000,0.2,1.2,0.6\n\
                    90000,0.2,2,0.7\n90000,0.25,1.9,0.74\n90000,0.3,1.6,0.65\n";

/// A file of a head, a header and rows.
fn file(header: &str, rows: &str) -> String {
    format!("airpath_map,1\n{HEAD}{header}\n{rows}")
}

/// The usual header.
const HEADER: &str = "speed [rev/min],flow [kg/s],pressure ratio,efficiency";

fn sound(text: &str) -> MapReading {
    read(text.as_bytes()).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn map(text: &str) -> MapFile {
    sound(text).map
}

fn refused(text: &str) -> MapFileError {
    match read(text.as_bytes()) {
        Ok(reading) => panic!("taken: {reading:?}\n{text}"),
        Err(error) => error,
    }
}

/// The message about a text that is refused.
fn message(text: &str) -> String {
    refused(text).to_string()
}

fn warnings(text: &str) -> Vec<String> {
    sound(text)
        .warnings
        .iter()
        .map(MapWarning::to_string)
        .collect()
}
