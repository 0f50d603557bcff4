//! One kept build as a text: a line about it, then the build's file.
//!
//! ```text
//! airpath-kept 1 7 1764078000000 0.1.0 231500
//!              |  |  |            |     most power, W, as that version of the page worked it out
//!              |  |  when it was changed, ms
//!              |  how often it was written: what a tab compares before it writes
//!              schema
//! ```

use airpath::build::{Build, BuildFile};

/// The schema that is written.
pub const SCHEMA: u32 = 1;

const MARK: &str = "airpath-kept";

/// The page's own version: what another one worked out is not shown as an answer of this one.
const VERSION: &str = env!("CARGO_PKG_VERSION");

/// A kept build and what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Rises by one with each write.
    pub revision: u64,
    /// When it was changed, ms since 1970.
    pub changed_ms: f64,
    /// Its most power, W, if this version of the page worked it out.
    pub power_w: Option<f64>,
    /// The text of its file.
    pub file: String,
}

/// What a kept text turns out to be.
#[derive(Clone, Debug, PartialEq)]
pub enum Kept {
    /// A build's entry; its file may still be unreadable.
    Entry(Entry),
    /// Written by a newer version of the page, in this schema.
    Newer(u32),
    /// Nothing that is known.
    Unknown,
}

/// Reads what is kept, of this schema or an older one.
pub fn read(text: &str) -> Kept {
    // Schema 0, the first: nothing but the file.
    if text.trim_start().starts_with('{') {
        return Kept::Entry(Entry {
            revision: 0,
            changed_ms: 0.0,
            power_w: None,
            file: text.to_owned(),
        });
    }
    let (head, file) = text.split_once('\n').unwrap_or((text, ""));
    let mut words = head.split(' ');
    if words.next() != Some(MARK) {
        return Kept::Unknown;
    }
    let Some(schema) = words.next().and_then(|w| w.parse::<u32>().ok()) else {
        return Kept::Unknown;
    };
    if schema > SCHEMA {
        return Kept::Newer(schema);
    }
    let revision = words.next().and_then(|w| w.parse().ok());
    let changed = words.next().and_then(|w| w.parse::<f64>().ok());
    let same = words.next() == Some(VERSION);
    let power: Option<f64> = words.next().and_then(|w| w.parse().ok());
    match (revision, changed.filter(|c| c.is_finite())) {
        (Some(revision), Some(changed_ms)) => Kept::Entry(Entry {
            revision,
            changed_ms,
            power_w: power.filter(|p| same && p.is_finite()),
            file: file.to_owned(),
        }),
        _ => Kept::Unknown,
    }
}

impl Entry {
    /// The text that is kept.
    pub fn write(&self) -> String {
        let power = self.power_w.map_or("-".to_owned(), |p| format!("{p:.0}"));
        format!(
            "{MARK} {SCHEMA} {} {:.0} {VERSION} {power}\n{}",
            self.revision, self.changed_ms, self.file
        )
    }

    /// The build.
    ///
    /// # Errors
    /// Why its file cannot be read.
    pub fn build(&self) -> Result<Build, String> {
        BuildFile::from_json(&self.file)
            .and_then(BuildFile::into_build)
            .map_err(|error| error.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> Entry {
        Entry {
            revision: 7,
            changed_ms: 1_764_078_000_000.0,
            power_w: Some(231_500.0),
            file: airpath::example_file().to_owned(),
        }
    }

    #[test]
    fn what_is_written_is_read() {
        assert_eq!(read(&entry().write()), Kept::Entry(entry()));
        let unsolved = Entry {
            power_w: None,
            ..entry()
        };
        assert_eq!(read(&unsolved.write()), Kept::Entry(unsolved));
    }

    #[test]
    fn schema_0_is_a_bare_file() {
        let Kept::Entry(old) = read(airpath::example_file()) else {
            panic!("schema 0 is no longer read");
        };
        assert_eq!(old.revision, 0);
        assert_eq!(old.build().ok(), airpath::example_build());
    }

    #[test]
    fn schema_1_as_it_was_first_written_is_read() {
        // Frozen: this text lies in somebody's browser.
        let text = "airpath-kept 1 3 1764078000000 0.1.0 -\n{\"airpath_build\":1,\"name\":\"Mine\",\
                    \"turbocharger\":\"rowan\",\"housing_a_over_r\":0.83,\"fields\":{\"altitude\":\"900 m\"}}";
        let Kept::Entry(kept) = read(text) else {
            panic!("schema 1 is no longer read");
        };
        assert_eq!((kept.revision, kept.changed_ms), (3, 1_764_078_000_000.0));
        assert_eq!(
            kept.build().map(|b| b.name().to_owned()),
            Ok("Mine".to_owned())
        );
    }

    #[test]
    fn a_newer_schema_and_rubbish_are_told_apart() {
        assert_eq!(read("airpath-kept 2 whatever comes"), Kept::Newer(2));
        for text in [
            "",
            "rubbish",
            "airpath-kept",
            "airpath-kept x 1 1",
            "airpath-kept 1 1 inf 0 -\n{}",
        ] {
            assert_eq!(read(text), Kept::Unknown, "{text}");
        }
    }

    #[test]
    fn power_of_another_version_is_not_shown() {
        let text = entry().write().replacen(VERSION, "0.0.1", 1);
        let Kept::Entry(kept) = read(&text) else {
            panic!("not read");
        };
        assert_eq!(kept.power_w, None);
    }
}
