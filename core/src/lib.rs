//! Airpath's core: matches a turbocharger to an engine.
//!
//! Air comes in at one end and leaves at the other. What a person entered is a [`build::Build`];
//! [`solve`] makes a [`run::Match`] of it. On the way:
//!
//! 1. [`quantity`] reads "18 psi" and writes it back; inside, everything is SI.
//! 2. [`formula`] lets a relation be computed and read from the same tokens; [`fields`] is the one
//!    table of inputs.
//! 3. [`build`] holds a complete, valid build, and its file.
//! 4. [`gas`] knows air and combustion products.
//! 5. [`air_way`] has one room a station, in the order the air meets them.
//! 6. [`map_files`] reads and writes measured compressor maps as files; [`map_picture`] reads points
//!    off a picture of one; [`map_fit`] makes a map of scattered points.
//! 7. [`balance`] finds, at one engine speed, the boost the shaft settles at.
//! 8. [`run`] does all speeds, thresholds, limits, and the energy account.
//! 9. [`response`] follows the shaft in time: how long boost takes, and a pull in gear.
//! 10. [`spread`] says how sure that is: bands, and which guess matters most.
//! 11. [`working`] opens any of its numbers: formula, values, source, and where each came from.
//! 12. [`desk`] chooses: candidates side by side, a shortlist, sizes from the demand, where a
//!     turbocharger belongs, what must change to fit it.
//!
//! Each may use those above it, never one below. Nothing here reads a file, a clock or the page,
//! and nothing panics on input.

#![forbid(unsafe_code)]

pub mod air_way;
pub mod balance;
pub mod build;
pub mod desk;
pub mod fields;
pub mod formula;
pub mod gas;
pub mod map_files;
pub mod map_fit;
pub mod map_picture;
pub mod numeric;
pub mod quantity;
pub mod response;
pub mod run;
pub mod spread;
pub mod working;

pub use run::{SolveError, solve, solve_at};

use air_way::compressor::{CompressorMap, MapError};
use build::{Build, BuildFile};

/// The build that the page opens on: a club hill-climb car at 900 m. Invented.
const EXAMPLE: &str = include_str!("../data/hill-climb-2.2.json");

/// The worked example as the text of a build file.
#[must_use]
pub fn example_file() -> &'static str {
    EXAMPLE
}

/// The build that the page opens on; `None` only if the data shipped with the crate were broken,
/// which a test rules out.
#[must_use]
pub fn example_build() -> Option<Build> {
    BuildFile::from_json(EXAMPLE).ok()?.into_build().ok()
}

/// The compressor map of a build, ready to be drawn or asked.
///
/// # Errors
/// What is wrong with the map.
pub fn compressor_map(build: &Build) -> Result<CompressorMap, MapError> {
    CompressorMap::new(
        &build.turbocharger().compressor.map,
        build.turbocharger().compressor.wheel.exducer_m,
        build.get(fields::Field::ShutoffHead),
        build.get(fields::Field::LockedRotorLoss),
    )
}
