//! The working behind every number: formula, values put in, source, and the numbers it came from,
//! down to what a person typed.
//!
//! [`Working::at`] lays out one engine speed of a match as a list of [`Step`]s. A step that is
//! worked out names the [`Formula`] that the solver itself ran (the same tokens, see
//! [`crate::formula`]) and the steps whose values went in. A few numbers are not worked out one
//! after the other but found together, where balances meet; they say which two sides met.

mod show;
mod steps;

pub use show::{figure, in_equations, significant};

use crate::build::Build;
use crate::fields::{Field, Part};
use crate::formula::Formula;
use crate::quantity::Kind;
use crate::run::{Match, SolveError, SpeedReport};

/// What a step's value measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// SI, of this kind: written in the reader's units.
    Kind(Kind),
    /// In this unit, whatever the reader's units are.
    In(&'static str),
}

/// Where a step's value comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// Worked out.
    Formula {
        /// By this.
        formula: &'static Formula,
        /// Keys of the steps put in, in the order of the formula's arguments.
        inputs: Vec<&'static str>,
        /// The value is not the formula's but held at a bound, and at which.
        bound: Option<&'static str>,
    },
    /// A person entered it.
    Entered(Field),
    /// Nobody entered it: the field's default.
    Assumed(Field),
    /// Chosen, or part of the turbocharger's record: by what.
    Given(String),
    /// A constant of nature, or a definition.
    Constant(&'static str),
    /// Read off a curve, a map or a table of properties.
    Read {
        /// Off what.
        off: String,
        /// Where that comes from.
        source: String,
        /// At the values of these steps.
        inputs: Vec<&'static str>,
    },
    /// Found where two sides meet.
    Meeting {
        /// One side.
        left: &'static str,
        /// The other.
        right: &'static str,
        /// In words.
        why: &'static str,
    },
}

impl Origin {
    /// Keys of the steps that it came from.
    #[must_use]
    pub fn inputs(&self) -> Vec<&'static str> {
        match self {
            Origin::Formula { inputs, .. } | Origin::Read { inputs, .. } => inputs.clone(),
            Origin::Meeting { left, right, .. } => vec![left, right],
            _ => Vec::new(),
        }
    }
}

/// One number, and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its key, unique in a working.
    pub key: &'static str,
    /// What it is.
    pub name: &'static str,
    /// Its symbol: what follows an underline is set below.
    pub symbol: &'static str,
    /// What it measures.
    pub measure: Measure,
    /// Its value.
    pub value: f64,
    /// Where that comes from.
    pub origin: Origin,
    /// It is one of the unknowns that are found together: the way back through its inputs comes
    /// round to itself, and closes to one part in 10⁹.
    pub together: bool,
    /// The part of the car it belongs to.
    pub part: Part,
}

/// The working of one engine speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Engine speed, rev/min.
    pub engine_speed_rev_min: f64,
    /// Every step, in the order the air meets them.
    pub steps: Vec<Step>,
}

impl Working {
    /// The working of one speed of a match.
    ///
    /// # Errors
    /// As [`crate::solve`].
    pub fn at(build: &Build, found: &Match, report: &SpeedReport) -> Result<Self, SolveError> {
        Ok(Self {
            engine_speed_rev_min: report.engine_speed_rev_min,
            steps: steps::steps(build, found, report)?,
        })
    }

    /// The step of a key.
    #[must_use]
    pub fn step(&self, key: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.key == key)
    }

    /// The values put into a step's formula, in their order.
    #[must_use]
    pub fn values(&self, inputs: &[&str]) -> Option<Vec<f64>> {
        inputs
            .iter()
            .map(|key| Some(self.step(key)?.value))
            .collect()
    }

    /// A step's formula as MathML: the symbols, and below them the values.
    #[must_use]
    pub fn mathml(&self, step: &Step) -> Option<(String, String)> {
        show::mathml(self, step)
    }
}
