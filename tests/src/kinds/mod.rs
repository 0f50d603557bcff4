//! What each kind of row asks of the core, and which published result it stands behind.

mod air;
mod bands;
mod engine;
mod exhaust;
mod gas;
mod intake;
mod units;
mod worked;

use crate::row::Inputs;

/// A kind of row.
pub struct Kind {
    /// Its name in the row files.
    pub name: &'static str,
    /// The result of a match that it stands behind.
    pub result: &'static str,
    /// Asks the core; the answer is in SI units, with speeds in rev/min.
    pub run: fn(&Inputs) -> Result<f64, String>,
}

/// Every kind, by station.
pub const KINDS: &[&[Kind]] = &[
    air::KINDS,
    gas::KINDS,
    intake::KINDS,
    engine::KINDS,
    exhaust::KINDS,
    units::KINDS,
    worked::KINDS,
    bands::KINDS,
];

/// The kind of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Kind> {
    KINDS
        .iter()
        .copied()
        .flatten()
        .find(|kind| kind.name == name)
}
