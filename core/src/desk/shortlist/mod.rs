//! A whole shelf screened for an engine and for what the person values.
//!
//! Hard limits come first: what keeps too little room, or does not reach what was asked, is rejected
//! with its reason. What is left is ranked by wishes that a person weighs. Each candidate is solved at a
//! few engine speeds and more of them around its thresholds; other weights rank anew without solving.
//!
//! Candidates are independent of one another: a list may be cut anywhere and shared out to workers by
//! ranges of index. What they send back are [`Look`]s.

mod figures;
mod look;
mod rank;
mod reasons;
mod sweep;
mod wishes;

pub use look::{Look, Mean, Rejection, Room, Why};
pub use rank::{Beside, Placed, Rejected};
pub use wishes::{
    CREEP_LET_PASS, LIMIT_ROWS, LeastRoom, LimitRow, POWER_REACHED, RANGES, Range, Weights, Wish,
    Wishes,
};

use super::Candidate;
use super::demand::{IDEAL, boost_for_power, need};
use crate::balance::Plant;
use crate::build::{Build, Turbocharger};
use crate::compressor_map;
use crate::fields::Field;
use crate::run::{SolveError, engine_speeds};
use std::sync::Arc;

/// Engine speeds of a look, from the lowest to the redline, before those around the thresholds.
///
/// Measured over the whole shelf on the worked example and on a V8 with a pair, against 120: see
/// `tests/tests/shortlist.rs`.
pub const SPEEDS: usize = 12;

/// Engine speeds at which the ideal turbocharger is worked out: it costs next to nothing.
const IDEAL_SPEEDS: usize = 60;

/// An engine, its goal and what is wished of it, ready for candidates to be looked at.
#[derive(Debug, Clone)]
pub struct Screen {
    build: Build,
    wishes: Wishes,
    speeds: usize,
    ideal: [Mean; 3],
    /// Where the boost for a power is looked for first, Pa gauge.
    guess: f64,
}

impl Screen {
    /// Makes an engine, place and goal ready. What is fitted in the build decides nothing, but that what
    /// was entered of it counts where it is itself a candidate.
    ///
    /// A build that asks for a power has the boost for it found for each candidate, from the boost that
    /// the ideal turbocharger would take.
    ///
    /// # Errors
    /// A compressor map of the build that cannot be used.
    pub fn new(build: &Build, wishes: Wishes) -> Result<Self, SolveError> {
        let plant = Plant::new(build)?;
        let boost = boost_for_power(&plant, build, IDEAL);
        let needs: Vec<_> = engine_speeds(build, IDEAL_SPEEDS)
            .map(|speed| need(&plant, build, boost, speed, IDEAL))
            .collect();
        let (low, high) = match (needs.first(), needs.last()) {
            (Some(low), Some(high)) => (low.speed_rev_min, high.speed_rev_min),
            _ => (0.0, 1.0),
        };
        let at = |share: f64| low + share * (high - low);
        let along = |value: fn(&super::demand::Need) -> f64| -> Vec<(f64, f64)> {
            needs.iter().map(|n| (n.speed_rev_min, value(n))).collect()
        };
        let (torques, powers) = (along(|n| n.torque_nm), along(|n| n.power_w));
        let ideal = RANGES.map(|range| {
            let (from, to) = (at(range.shares.0), at(range.shares.1));
            Mean {
                torque_nm: figures::mean(&torques, from, to),
                power_w: figures::mean(&powers, from, to),
            }
        });
        Ok(Self {
            build: build.clone(),
            wishes,
            speeds: SPEEDS,
            ideal,
            guess: boost.unwrap_or_else(|| build.get(Field::BoostTarget)),
        })
    }

    /// The same with another number of engine speeds (4 to 2,000; held to that range).
    #[must_use]
    pub fn with_speeds(mut self, speeds: usize) -> Self {
        self.speeds = speeds.clamp(4, 2000);
        self
    }

    /// The same with other weights: looks that were taken before may be ranked by it.
    #[must_use]
    pub fn with_weights(mut self, weights: Weights) -> Self {
        self.wishes.weights = weights;
        self
    }

    /// The same with other wishes: what was looked at before has to be looked at again.
    #[must_use]
    pub fn with_wishes(mut self, wishes: Wishes) -> Self {
        self.wishes = wishes;
        self
    }

    /// The build.
    #[must_use]
    pub fn build(&self) -> &Build {
        &self.build
    }

    /// What is wished.
    #[must_use]
    pub fn wishes(&self) -> &Wishes {
        &self.wishes
    }

    /// What the ideal turbocharger would give early, in the middle and at the top: the boost asked at
    /// every speed, no more pressure before the turbine than in the manifold, and a good compressor.
    #[must_use]
    pub fn ideal(&self) -> &[Mean; 3] {
        &self.ideal
    }

    /// Every way that turbochargers can be fitted, in the order in which they are given: each housing,
    /// one and a pair.
    #[must_use]
    pub fn candidates(&self, shelf: &[Arc<Turbocharger>]) -> Vec<Candidate> {
        Candidate::all(shelf)
    }

    /// Looks at one candidate.
    #[must_use]
    pub fn look(&self, candidate: &Candidate) -> Look {
        let mut looks = self.looks(std::slice::from_ref(candidate));
        looks.pop().unwrap_or_else(|| unfit(candidate))
    }

    /// Looks at several, in order; the same as one after the other, but a compressor map is made ready
    /// once for those beside each other that share a turbocharger.
    #[must_use]
    pub fn looks(&self, candidates: &[Candidate]) -> Vec<Look> {
        let mut ready = None;
        let mut looks = Vec::with_capacity(candidates.len());
        for candidate in candidates {
            let turbocharger = &candidate.turbocharger;
            let build = candidate.on(&self.build).ok();
            let same = |(of, _): &(&Arc<Turbocharger>, _)| Arc::ptr_eq(of, turbocharger);
            if !ready.as_ref().is_some_and(same) {
                ready = build
                    .as_ref()
                    .and_then(|build| compressor_map(build).ok())
                    .map(|map| (turbocharger, map));
            }
            looks.push(match (&build, &ready) {
                (Some(build), Some((of, map))) if Arc::ptr_eq(of, turbocharger) => {
                    self.look_at_build(build, Plant::with_map(build, map.clone()))
                }
                _ => unfit(candidate),
            });
        }
        looks
    }

    /// Looks at what is fitted in a build of the same engine.
    pub(crate) fn look_at_build(&self, build: &Build, plant: Plant) -> Look {
        look::look(build, plant, &self.wishes, self.guess, self.speeds)
    }
}

fn unfit(candidate: &Candidate) -> Look {
    look::unfit(
        candidate.turbocharger.id.clone(),
        candidate.housing,
        candidate.arrangement,
    )
}
