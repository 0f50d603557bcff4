//! Checks of Airpath against sources outside the project.
//!
//! `rows/` holds the reference rows, one file a stage of the air's way; [`kinds`] says what each
//! kind of row asks of the core; [`run`] runs them all. The same code runs natively and in a
//! browser, so the files are compiled in. [`measured`] compares whole maps with measurements,
//! and [`table`] writes the table in `README.md`.

pub mod hostile;
pub mod kinds;
pub mod measured;
pub mod row;
pub mod table;
pub mod trade;

use row::{Inputs, Row, RowFile};
use std::collections::{BTreeMap, BTreeSet};

/// Fewest rows that count as a check of the air's way.
pub const LEAST_ROWS: usize = 500;

/// Name and text of every file of rows.
pub const FILES: &[(&str, &str)] = &[
    ("01_ambient.json", include_str!("../rows/01_ambient.json")),
    (
        "02_humid_air.json",
        include_str!("../rows/02_humid_air.json"),
    ),
    (
        "03_gas_properties.json",
        include_str!("../rows/03_gas_properties.json"),
    ),
    ("04_losses.json", include_str!("../rows/04_losses.json")),
    (
        "05_compression.json",
        include_str!("../rows/05_compression.json"),
    ),
    ("06_slip.json", include_str!("../rows/06_slip.json")),
    (
        "07_charge_cooler.json",
        include_str!("../rows/07_charge_cooler.json"),
    ),
    (
        "08_air_demand.json",
        include_str!("../rows/08_air_demand.json"),
    ),
    ("09_fuel.json", include_str!("../rows/09_fuel.json")),
    (
        "10_combustion_products.json",
        include_str!("../rows/10_combustion_products.json"),
    ),
    (
        "11_ideal_cycle.json",
        include_str!("../rows/11_ideal_cycle.json"),
    ),
    ("12_friction.json", include_str!("../rows/12_friction.json")),
    (
        "13_expansion_and_nozzle.json",
        include_str!("../rows/13_expansion_and_nozzle.json"),
    ),
    ("14_turbine.json", include_str!("../rows/14_turbine.json")),
    (
        "15_shaft_balance.json",
        include_str!("../rows/15_shaft_balance.json"),
    ),
    (
        "16_power_correction.json",
        include_str!("../rows/16_power_correction.json"),
    ),
    ("17_units.json", include_str!("../rows/17_units.json")),
    (
        "18_worked_examples.json",
        include_str!("../rows/18_worked_examples.json"),
    ),
    ("19_measured.json", include_str!("../rows/19_measured.json")),
    (
        "20_statistics.json",
        include_str!("../rows/20_statistics.json"),
    ),
];

/// What came of one row.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The file.
    pub file: &'static str,
    /// The row.
    pub row: Row,
    /// What the core says, SI.
    pub value: f64,
    /// What the source says, SI.
    pub expected: f64,
    /// Deviation over what is allowed.
    pub share: f64,
    /// Deviation over the expected value; `None` where that is zero.
    pub relative: Option<f64>,
}

/// What came of all rows.
#[derive(Debug, Default)]
pub struct Run {
    /// Every row that could be run.
    pub outcomes: Vec<Outcome>,
    /// Everything that is wrong: a file or a row that cannot be read, a deviation beyond its
    /// tolerance, a known disagreement that is none.
    pub problems: Vec<String>,
    /// Citations by file and key.
    pub sources: BTreeMap<(&'static str, String), String>,
}

/// Reads a file of rows.
///
/// # Errors
/// What is wrong with it.
pub fn read(name: &str, text: &str) -> Result<RowFile, String> {
    let file: RowFile = serde_json::from_str(text).map_err(|error| format!("{name}: {error}"))?;
    if file.rows.is_empty() {
        return Err(format!("{name}: has no rows"));
    }
    Ok(file)
}

/// Runs one row.
///
/// # Errors
/// What is wrong with the row itself; a deviation is none.
pub fn run_row(file: &'static str, row: &Row) -> Result<Outcome, String> {
    let kind =
        kinds::find(&row.kind).ok_or_else(|| format!("the kind \"{}\" is unknown", row.kind))?;
    let inputs = Inputs::new(row);
    let value = (kind.run)(&inputs)?;
    let unused = inputs.unused();
    if !unused.is_empty() {
        return Err(format!(
            "nobody asked for the input(s) {}",
            unused.join(", ")
        ));
    }
    if !value.is_finite() {
        return Err(format!("the core answers {value}"));
    }
    let expected = row.expected.si()?;
    let deviation = (value - expected).abs();
    Ok(Outcome {
        file,
        row: row.clone(),
        value,
        expected,
        share: deviation / row.allowed()?,
        relative: (expected != 0.0).then(|| deviation / expected.abs()),
    })
}

/// Runs every row of the files given.
#[must_use]
pub fn run_files(files: &[(&'static str, &str)]) -> Run {
    let mut run = Run::default();
    let mut ids = BTreeSet::new();
    for (name, text) in files {
        let file = match read(name, text) {
            Ok(file) => file,
            Err(problem) => {
                run.problems.push(problem);
                continue;
            }
        };
        for (key, citation) in &file.sources {
            if !file.rows.iter().any(|row| row.source == *key) {
                run.problems.push(format!("{name}: no row cites \"{key}\""));
            }
            run.sources.insert((name, key.clone()), citation.clone());
        }
        for row in &file.rows {
            let id = &row.id;
            if !ids.insert(id.clone()) {
                run.problems
                    .push(format!("{name} {id}: there is another row of this id"));
            }
            if !file.sources.contains_key(&row.source) {
                run.problems.push(format!(
                    "{name} {id}: cites \"{}\", which the file does not list",
                    row.source
                ));
            }
            if !file.reasons.contains_key(&row.tolerance.reason) {
                run.problems.push(format!(
                    "{name} {id}: the reason \"{}\" of its tolerance is not listed",
                    row.tolerance.reason
                ));
            }
            match run_row(name, row) {
                Ok(outcome) => {
                    run.problems.extend(judge(&outcome));
                    run.outcomes.push(outcome);
                }
                Err(problem) => run.problems.push(format!("{name} {id}: {problem}")),
            }
        }
    }
    run
}

/// Runs every row there is.
#[must_use]
pub fn run() -> Run {
    run_enough(FILES)
}

/// Runs every row of the files given, and minds if there are fewer than [`LEAST_ROWS`].
#[must_use]
pub fn run_enough(files: &[(&'static str, &str)]) -> Run {
    let mut run = run_files(files);
    let count = run.outcomes.len();
    if count < LEAST_ROWS {
        run.problems.push(format!(
            "only {count} rows ran; at least {LEAST_ROWS} are asked for"
        ));
    }
    run
}

fn judge(outcome: &Outcome) -> Option<String> {
    let Outcome {
        file,
        row,
        value,
        expected,
        share,
        relative,
    } = outcome;
    let size = relative.map_or_else(String::new, |relative| format!(" ({:.3e} of it)", relative));
    let said = format!(
        "{file} {}: {} is {value:.9e}, the source has {expected:.9e}{size}, {share:.2} of the tolerance",
        row.id, row.kind
    );
    match (&row.disagrees, *share <= 1.0) {
        (None, true) | (Some(_), false) => None,
        (None, false) => Some(said),
        (Some(why), true) => Some(format!(
            "{said}; it is marked as disagreeing ({why}), but agrees"
        )),
    }
}

/// The largest deviation of a group of rows.
#[derive(Debug, Clone)]
pub struct Group {
    /// The file.
    pub file: &'static str,
    /// The kind of row.
    pub kind: String,
    /// How many rows.
    pub rows: usize,
    /// How many of them are marked as disagreeing; the largest deviations leave those out.
    pub disagreeing: usize,
    /// Largest deviation over the expected value.
    pub largest_relative: f64,
    /// Largest deviation over what is allowed.
    pub largest_share: f64,
}

impl Run {
    /// Groups of rows by file and kind, in the order of the files.
    #[must_use]
    pub fn groups(&self) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        for outcome in &self.outcomes {
            let found = groups
                .iter()
                .position(|g| g.file == outcome.file && g.kind == outcome.row.kind);
            let place = found.unwrap_or_else(|| {
                groups.push(Group {
                    file: outcome.file,
                    kind: outcome.row.kind.clone(),
                    rows: 0,
                    disagreeing: 0,
                    largest_relative: 0.0,
                    largest_share: 0.0,
                });
                groups.len() - 1
            });
            let group = &mut groups[place];
            group.rows += 1;
            if outcome.row.disagrees.is_some() {
                group.disagreeing += 1;
                continue;
            }
            group.largest_relative = group.largest_relative.max(outcome.relative.unwrap_or(0.0));
            group.largest_share = group.largest_share.max(outcome.share);
        }
        groups
    }

    /// A line for each group, and one for each row that is marked as disagreeing.
    #[must_use]
    pub fn summary(&self) -> String {
        let mut text = String::new();
        for group in self.groups() {
            text.push_str(&format!(
                "{:32} {:34} {:4} rows, largest deviation {:9.2e}, {:5.1} % of the tolerance\n",
                group.file,
                group.kind,
                group.rows,
                group.largest_relative,
                100.0 * group.largest_share
            ));
        }
        for outcome in &self.outcomes {
            if let Some(why) = &outcome.row.disagrees {
                text.push_str(&format!(
                    "{} {} disagrees by {:.2e}: {why}\n",
                    outcome.file,
                    outcome.row.id,
                    outcome.relative.unwrap_or(0.0)
                ));
            }
        }
        text.push_str(&format!("{} rows\n", self.outcomes.len()));
        text
    }
}
