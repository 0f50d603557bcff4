//! Candidates side by side on the same engine and goal.
//!
//! A [`Contest`] solves each candidate at the same engine speeds; [`Contest::rows`] is the table of
//! differences, [`Contest::account`] says where each gains and loses against the others, over which
//! speeds, by how much and why. Nothing in it is written beforehand: a claim is made of numbers of two
//! matches, and of a third and a fourth where a cause is named ([`Causes`]).

mod account;
mod causes;
mod rows;

pub use account::{Account, Claim, Measure, NOTED, Suits};
pub use causes::Causes;
pub use rows::{Row, RowKind, stopped_by};

use super::Candidate;
use crate::build::{Build, BuildError};
use crate::response::{Detail, Reach, Response, reference_speed};
use crate::run::{Match, SolveError, SpeedReport, THRESHOLD_SHARE, solve_at};
use std::sync::Arc;

/// Most candidates side by side.
pub const MOST: usize = 4;

/// A candidate with what comes of it.
#[derive(Debug, Clone)]
pub struct Contender {
    /// What is fitted.
    pub candidate: Candidate,
    /// The engine with it.
    pub build: Build,
    /// Its match.
    pub found: Match,
    /// Time to boost at the contest's reference speed, once it was worked out; `None` inside where
    /// there is no answer.
    pub reach: Option<Option<Reach>>,
}

/// Why there is nothing to put side by side.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ContestError {
    /// A candidate's record does not go with the build.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// A candidate's map cannot be used.
    #[error("{name}: {error}")]
    Solve {
        /// Which.
        name: String,
        /// Why.
        error: SolveError,
    },
}

/// Candidates on one engine, the first of which the others are held against.
#[derive(Debug, Clone)]
pub struct Contest {
    /// The candidates, in the order they were given.
    pub contenders: Vec<Contender>,
    /// Engine speed at which time to boost is compared, rev/min.
    pub reference_rev_min: f64,
    /// What lies between each and the first: two matches more, so they are worked out once.
    causes: Vec<Option<Arc<Causes>>>,
}

impl Contest {
    /// Solves each candidate at `speeds` engine speeds from idle to redline (2 to 2,000).
    ///
    /// # Errors
    /// The first candidate that cannot be fitted or solved.
    pub fn new(
        build: &Build,
        candidates: &[Candidate],
        speeds: usize,
    ) -> Result<Self, ContestError> {
        let contenders = candidates.iter().map(|candidate| {
            let build = candidate.on(build)?;
            let found = solve_at(&build, speeds).map_err(|error| ContestError::Solve {
                name: candidate.turbocharger.name.clone(),
                error,
            })?;
            Ok(Contender {
                candidate: candidate.clone(),
                build,
                found,
                reach: None,
            })
        });
        let contenders = contenders.collect::<Result<Vec<_>, ContestError>>()?;
        let between = |one| Causes::between(one, contenders.first()?).map(Arc::new);
        Ok(Self {
            causes: contenders.iter().map(between).collect(),
            contenders,
            reference_rev_min: reference_speed(build),
        })
    }

    /// Works out the time to boost of the contender at `place`: some milliseconds.
    pub fn time(&mut self, place: usize) {
        let speed = self.reference_rev_min;
        if let Some(contender) = self.contenders.get_mut(place) {
            let spool = Response::beside(&contender.build, &contender.found)
                .and_then(|mut response| response.time_to_boost(speed, Detail::Time));
            contender.reach = Some(spool.ok().map(|spool| spool.reach));
        }
    }

    /// Every engine speed that was asked for and settled for at least one of them, rev/min, rising.
    #[must_use]
    pub fn speeds(&self) -> Vec<f64> {
        let mut all: Vec<f64> = self
            .contenders
            .iter()
            .flat_map(|c| c.found.speeds.iter().map(|s| s.engine_speed_rev_min))
            .collect();
        crate::numeric::put_in_order(&mut all, |speed| *speed);
        all.dedup();
        all
    }
}

impl Contender {
    /// The report at an engine speed of the contest, rev/min; `None` where it did not settle.
    #[must_use]
    pub fn at(&self, speed: f64) -> Option<&SpeedReport> {
        let speeds = &self.found.speeds;
        let next = speeds.partition_point(|s| s.engine_speed_rev_min < speed);
        speeds.get(next).filter(|s| s.engine_speed_rev_min == speed)
    }

    /// The solved speed nearest to one in rev/min.
    #[must_use]
    pub fn near(&self, speed: f64) -> Option<&SpeedReport> {
        let far = |s: &&SpeedReport| (s.engine_speed_rev_min - speed).abs();
        let speeds = self.found.speeds.iter();
        speeds.min_by(|a, b| far(a).total_cmp(&far(b)))
    }

    /// The report with the most power.
    #[must_use]
    pub fn peak(&self) -> Option<&SpeedReport> {
        self.found.speeds.get(self.found.most_power)
    }

    /// Time to boost at the contest's reference speed in rev/min, s; `None` where it is not worked out,
    /// where boost never comes, or where a limit holds it below [`THRESHOLD_SHARE`] of what is asked: a
    /// time to a boost that is not let in is none.
    #[must_use]
    pub fn time_to_boost(&self, reference: f64) -> Option<f64> {
        self.has_boost(reference)
            .then(|| self.reach.as_ref()?.as_ref()?.time())
            .flatten()
    }

    /// Whether [`THRESHOLD_SHARE`] of the boost asked is there within all limits at the solved speed
    /// nearest to one in rev/min.
    #[must_use]
    pub fn has_boost(&self, speed: f64) -> bool {
        self.near(speed)
            .is_some_and(|s| s.boost_pa >= THRESHOLD_SHARE * s.boost_asked_pa)
    }
}
