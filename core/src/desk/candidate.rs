//! A turbocharger as it could be fitted: which housing, one or two of them.

use crate::build::{Arrangement, Build, BuildError, Turbocharger};
use std::sync::Arc;

/// A turbocharger with one of its housings, alone or as one of a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// The turbocharger.
    pub turbocharger: Arc<Turbocharger>,
    /// Which of its housings, from 0.
    pub housing: usize,
    /// One, or a pair.
    pub arrangement: Arrangement,
}

impl Candidate {
    /// What is fitted in a build.
    #[must_use]
    pub fn of(build: &Build) -> Self {
        Self {
            turbocharger: build.turbocharger().clone(),
            housing: build.housing_index(),
            arrangement: build.arrangement(),
        }
    }

    /// The same engine, place and goal with this candidate. A swallowing number and a gate that were
    /// entered for the turbocharger that was fitted do not go along.
    ///
    /// # Errors
    /// What is wrong with the record, or a housing that it does not have.
    pub fn on(&self, build: &Build) -> Result<Build, BuildError> {
        if *self == Self::of(build) {
            return Ok(build.clone());
        }
        build
            .fitted_with(self.turbocharger.clone(), self.housing)
            .map(|build| build.with_arrangement(self.arrangement))
    }

    /// Its housing's A/R.
    #[must_use]
    pub fn a_over_r(&self) -> f64 {
        let housings = &self.turbocharger.turbine.housings;
        housings.get(self.housing).map_or(f64::NAN, |h| h.a_over_r)
    }

    /// Every way that turbochargers of a shelf can be fitted: each housing, one and a pair.
    #[must_use]
    pub fn all(shelf: &[Arc<Turbocharger>]) -> Vec<Self> {
        let mut all = Vec::new();
        for turbocharger in shelf {
            for housing in 0..turbocharger.turbine.housings.len() {
                for arrangement in [Arrangement::Single, Arrangement::Pair] {
                    all.push(Self {
                        turbocharger: turbocharger.clone(),
                        housing,
                        arrangement,
                    });
                }
            }
        }
        all
    }
}
