//! A reference row as it is written in `tests/rows`: inputs, expected value, tolerance, citation.

use serde::Deserialize;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// A file of rows: one stage of the air's way.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RowFile {
    /// Which stage.
    pub stage: String,
    /// Citations, by key.
    pub sources: BTreeMap<String, String>,
    /// Reasons for tolerances, by key.
    pub reasons: BTreeMap<String, String>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// One check: a value from outside the project, and how closely the core must meet it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Unique name.
    pub id: String,
    /// What of the core is asked; a name of [`crate::kinds::KINDS`].
    pub kind: String,
    /// What it is asked with.
    pub inputs: BTreeMap<String, Input>,
    /// What the source says.
    pub expected: Quantity,
    /// How close is close enough.
    pub tolerance: Tolerance,
    /// Key of the citation.
    pub source: String,
    /// What else a reader should know.
    #[serde(default)]
    pub note: Option<String>,
    /// Why core and source are known to differ by more than the tolerance. Such a row must go on
    /// differing: once it agrees, the mark has to go.
    #[serde(default)]
    pub disagrees: Option<String>,
}

/// A number with its unit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Quantity(pub f64, pub String);

/// An input: a number with its unit, or a name.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Input {
    /// A number with its unit.
    Number(Quantity),
    /// A name, such as that of a gas.
    Name(String),
}

/// How far the core may be from the source; one of the two sizes.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tolerance {
    /// As a share of the expected value.
    #[serde(default)]
    pub relative: Option<f64>,
    /// In the unit of the expected value.
    #[serde(default)]
    pub absolute: Option<f64>,
    /// Key of the reason.
    pub reason: String,
}

/// SI value = value × scale + offset, for the units that rows are written in. Shaft and engine
/// speed stay in rev/min and angles in degrees, as the core takes them.
///
/// Exact by definition: NIST Special Publication 811 (2008), Appendix B.
const UNITS: &[(&str, f64, f64)] = &[
    ("1", 1.0, 0.0),
    ("%", 1e-2, 0.0),
    ("K", 1.0, 0.0),
    ("degC", 1.0, 273.15),
    ("Pa", 1.0, 0.0),
    ("kPa", 1e3, 0.0),
    ("bar", 1e5, 0.0),
    ("atm", 101_325.0, 0.0),
    ("m", 1.0, 0.0),
    ("mm", 1e-3, 0.0),
    ("m2", 1.0, 0.0),
    ("m3", 1.0, 0.0),
    ("m/s", 1.0, 0.0),
    ("rev/min", 1.0, 0.0),
    ("deg", 1.0, 0.0),
    ("kg", 1.0, 0.0),
    ("kg/s", 1.0, 0.0),
    ("kg/h", 1.0 / 3600.0, 0.0),
    ("kg/m3", 1.0, 0.0),
    ("kg/mol", 1.0, 0.0),
    ("kg/(s m2)", 1.0, 0.0),
    ("kg K^0.5/(s Pa)", 1.0, 0.0),
    ("J/kg", 1.0, 0.0),
    ("kJ/kg", 1e3, 0.0),
    ("MJ/kg", 1e6, 0.0),
    ("J/(kg K)", 1.0, 0.0),
    ("W", 1.0, 0.0),
    ("kW", 1e3, 0.0),
    ("SI", 1.0, 0.0),
];

impl Quantity {
    fn unit(&self) -> Result<(f64, f64), String> {
        UNITS
            .iter()
            .find(|(name, _, _)| *name == self.1)
            .map(|(_, scale, offset)| (*scale, *offset))
            .ok_or_else(|| format!("the unit \"{}\" is unknown", self.1))
    }

    /// The value in SI units.
    ///
    /// # Errors
    /// A unit that rows do not have, or a value that is not finite.
    pub fn si(&self) -> Result<f64, String> {
        let (scale, offset) = self.unit()?;
        let si = self.0 * scale + offset;
        if si.is_finite() {
            Ok(si)
        } else {
            Err(format!("{} is not finite", self.0))
        }
    }
}

impl Row {
    /// Largest deviation allowed, SI.
    ///
    /// # Errors
    /// Neither or both sizes, or one that is not above zero.
    pub fn allowed(&self) -> Result<f64, String> {
        let allowed = match (self.tolerance.relative, self.tolerance.absolute) {
            (Some(share), None) => share * self.expected.si()?.abs(),
            (None, Some(size)) => size * self.expected.unit()?.0,
            _ => return Err("a tolerance is either relative or absolute".to_owned()),
        };
        if allowed > 0.0 && allowed.is_finite() {
            Ok(allowed)
        } else {
            Err(format!("the tolerance is {allowed}; it must be above 0"))
        }
    }
}

/// A row's inputs, which remember what was asked for: one that nobody asks for is a mistake in
/// the row.
pub struct Inputs<'a> {
    given: &'a BTreeMap<String, Input>,
    used: RefCell<BTreeSet<&'a str>>,
}

impl<'a> Inputs<'a> {
    /// The inputs of a row.
    #[must_use]
    pub fn new(row: &'a Row) -> Self {
        Self {
            given: &row.inputs,
            used: RefCell::new(BTreeSet::new()),
        }
    }

    fn look(&self, name: &str) -> Option<&'a Input> {
        let (key, value) = self.given.get_key_value(name)?;
        self.used.borrow_mut().insert(key);
        Some(value)
    }

    /// A number, SI.
    ///
    /// # Errors
    /// It is missing, or not a number.
    pub fn number(&self, name: &str) -> Result<f64, String> {
        self.optional(name)?
            .ok_or_else(|| format!("the input \"{name}\" is missing"))
    }

    /// A number, SI, that may be missing.
    ///
    /// # Errors
    /// It is not a number.
    pub fn optional(&self, name: &str) -> Result<Option<f64>, String> {
        match self.look(name) {
            None => Ok(None),
            Some(Input::Number(quantity)) => quantity.si().map(Some),
            Some(Input::Name(_)) => Err(format!("the input \"{name}\" is not a number")),
        }
    }

    /// A name.
    ///
    /// # Errors
    /// It is missing, or not a name.
    pub fn name(&self, name: &str) -> Result<&'a str, String> {
        match self.look(name) {
            Some(Input::Name(text)) => Ok(text),
            Some(Input::Number(_)) => Err(format!("the input \"{name}\" is not a name")),
            None => Err(format!("the input \"{name}\" is missing")),
        }
    }

    /// A name that may be missing.
    ///
    /// # Errors
    /// It is not a name.
    pub fn optional_name(&self, name: &str) -> Result<Option<&'a str>, String> {
        if self.given.contains_key(name) {
            self.name(name).map(Some)
        } else {
            Ok(None)
        }
    }

    /// The inputs that nobody asked for.
    #[must_use]
    pub fn unused(&self) -> Vec<&'a str> {
        let used = self.used.borrow();
        self.given
            .keys()
            .map(String::as_str)
            .filter(|key| !used.contains(key))
            .collect()
    }
}
