//! Turbochargers as a file of their own: one, or all that a person has.

use super::Turbocharger;
use super::file::detail;
use super::turbocharger::RecordError;
use serde::{Deserialize, Serialize};

/// The version of the file that is written.
pub const RECORD_FILE_VERSION: u32 = 1;

/// Largest file read, bytes. A record has some 20,000 with a usual map.
const LARGEST_FILE: usize = 4_000_000;

/// Most turbochargers of a file.
const MOST_RECORDS: usize = 500;

/// A file of turbochargers, version 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordFile {
    /// Always 1.
    pub airpath_turbochargers: u32,
    /// The turbochargers.
    pub turbochargers: Vec<Turbocharger>,
}

/// Why a file of turbochargers could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RecordFileError {
    /// Not JSON, or not of this shape.
    #[error(
        "This is not a file of turbochargers: {detail} (line {line}, column {column}). Export one to compare."
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
        "The file is of version {found}; this app reads version {RECORD_FILE_VERSION}. Update the app, or export it again from where it came."
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
    /// None in it, or too many.
    #[error("The file has {count} turbochargers; between 1 and {MOST_RECORDS} are read.")]
    Count {
        /// How many.
        count: usize,
    },
    /// What one of them says.
    #[error("Turbocharger {number} of the file: {error}")]
    Record {
        /// Which, from 1.
        number: usize,
        /// What is wrong with it.
        error: Box<RecordError>,
    },
}

impl RecordFile {
    /// A file of these.
    #[must_use]
    pub fn new(turbochargers: Vec<Turbocharger>) -> Self {
        Self {
            airpath_turbochargers: RECORD_FILE_VERSION,
            turbochargers,
        }
    }

    /// Reads the text of a file; every turbocharger in it can be used.
    ///
    /// # Errors
    /// Where the text stops being such a file, or the first turbocharger that cannot be used.
    pub fn from_json(text: &str) -> Result<Self, RecordFileError> {
        if text.len() > LARGEST_FILE {
            return Err(RecordFileError::TooLarge { bytes: text.len() });
        }
        #[derive(Deserialize)]
        struct Version {
            airpath_turbochargers: u32,
        }
        let file: Self = serde_json::from_str(text).map_err(|error| {
            // A newer file may have another shape; then the version is what matters.
            if error.is_data()
                && let Ok(Version {
                    airpath_turbochargers: found,
                }) = serde_json::from_str(text)
                && found != RECORD_FILE_VERSION
            {
                return RecordFileError::Version { found };
            }
            RecordFileError::Shape {
                detail: detail(&error, text),
                line: error.line(),
                column: error.column(),
            }
        })?;
        if file.airpath_turbochargers != RECORD_FILE_VERSION {
            return Err(RecordFileError::Version {
                found: file.airpath_turbochargers,
            });
        }
        let count = file.turbochargers.len();
        if !(1..=MOST_RECORDS).contains(&count) {
            return Err(RecordFileError::Count { count });
        }
        for (at, turbocharger) in file.turbochargers.iter().enumerate() {
            turbocharger
                .check()
                .map_err(|error| RecordFileError::Record {
                    number: at + 1,
                    error: Box::new(error),
                })?;
        }
        Ok(file)
    }

    /// The file's text, with a last newline.
    #[must_use]
    pub fn to_json(&self) -> String {
        serde_json::to_string(self)
            .map(|text| text + "\n")
            .unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{shelf, whole_shelf};

    #[test]
    fn what_is_written_is_read() {
        let file = RecordFile::new(whole_shelf());
        assert_eq!(RecordFile::from_json(&file.to_json()), Ok(file));
    }

    #[test]
    fn what_is_wrong_is_told() {
        let one = RecordFile::new(shelf());
        let newer = one.to_json().replacen(
            "\"airpath_turbochargers\":1,",
            "\"airpath_turbochargers\":2,\"more\":3,",
            1,
        );
        assert_eq!(
            RecordFile::from_json(&newer),
            Err(RecordFileError::Version { found: 2 })
        );
        assert_eq!(
            RecordFile::from_json(&RecordFile::new(Vec::new()).to_json()),
            Err(RecordFileError::Count { count: 0 })
        );
        let mut wrong = shelf();
        wrong[1].turbine.inducer_m = 9.0;
        let error = RecordFile::from_json(&RecordFile::new(wrong).to_json()).expect_err("9 m");
        assert!(
            error
                .to_string()
                .starts_with("Turbocharger 2 of the file: ")
        );
        for text in [
            "",
            "[]",
            "{\"airpath_turbochargers\":1}",
            "{\"airpath_build\":1}",
        ] {
            let error = RecordFile::from_json(text).expect_err(text);
            assert!(
                error.to_string().contains("Export one to compare"),
                "{error}"
            );
        }
    }
}
