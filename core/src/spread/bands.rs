//! From samples to what a person reads: bands, shares, and which guess matters most.

use super::statistics::{percentile, rank_regression, rising};
use super::study::{LIMITS, SampleResult, Study};
use crate::fields::Field;
use crate::run::LimitKind;
use serde::Serialize;

/// Three percentiles; rising.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// A tenth of the samples lie below it. `None`, here and below: never reached, or no sample.
    pub p10: Option<f64>,
    /// Half of them.
    pub p50: Option<f64>,
    /// Nine tenths of them.
    pub p90: Option<f64>,
}

impl Band {
    /// Of values in any order; what was never reached counts as infinite.
    #[must_use]
    pub fn of(values: &[f64]) -> Self {
        let rising = rising(values);
        let at = |share| percentile(&rising, share).filter(|value| value.is_finite());
        Self {
            p10: at(0.1),
            p50: at(0.5),
            p90: at(0.9),
        }
    }
}

/// How often a limit does something.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LimitShare {
    /// Which.
    pub kind: LimitKind,
    /// Room left before it, as a share of the limit, over the samples in which it applies.
    pub room: Band,
    /// Share of the samples that are past it.
    pub past: f64,
    /// Share of the samples in which it holds boost down (or, for the gate, lets it creep).
    pub holds_boost: f64,
    /// Share of the samples in which it has the least room of all.
    pub tightest: f64,
}

/// What guesses are ranked by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Most power.
    PeakPower,
    /// Lowest engine speed at which the turbine drives the boost.
    DriveThreshold,
    /// Lowest engine speed with the boost within all limits.
    UsableThreshold,
    /// Time to boost.
    TimeToBoost,
}

/// How much a guess matters.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Matter {
    /// Key of the guess.
    pub id: &'static str,
    /// What the page calls it.
    pub label: &'static str,
    /// Standardised rank regression coefficient: above 0 if the outcome rises with the guess; its
    /// square is about the share of the outcome's variance that the guess accounts for.
    pub coefficient: f64,
    /// What would settle it, in plain words.
    pub settled_by: &'static str,
}

/// Which guess matters most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ranking {
    /// To what.
    pub outcome: Outcome,
    /// Share of the variance of the outcome's ranks that all guesses together account for by rising
    /// or falling with it: near 1, the order below is to be trusted. `None` where the outcome does not
    /// vary.
    pub r_squared: Option<f64>,
    /// Every guess, the one that matters most first; empty where the outcome does not vary.
    pub guesses: Vec<Matter>,
}

/// How sure a match is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bands {
    /// How many samples.
    pub samples: usize,
    /// Engine speeds of the curves, rev/min.
    pub speeds_rev_min: Vec<f64>,
    /// Power at the crank at each, W, over the samples that settled there.
    pub power_w: Vec<Band>,
    /// Boost at each, Pa gauge, over the same.
    pub boost_pa: Vec<Band>,
    /// Most power, W, over the samples in which anything settled; as is the next.
    pub peak_power_w: Band,
    /// Most torque, N m.
    pub peak_torque_nm: Band,
    /// Lowest engine speed at which the turbine drives 90 % of the boost asked, rev/min, over all
    /// samples; where it never does, it counts as beyond the redline.
    pub drive_threshold_rev_min: Band,
    /// Lowest engine speed with 90 % of the boost asked within all limits, rev/min, the same.
    pub usable_threshold_rev_min: Band,
    /// Time to boost, s, over all samples; `None` where none has one. Where boost never comes, it
    /// counts as longer than any.
    pub time_to_boost_s: Option<Band>,
    /// Every limit that applies in any sample.
    pub limits: Vec<LimitShare>,
    /// Share of the samples in which the goal is missed: the power asked, or, if none was, 90 % of the
    /// boost asked at any engine speed.
    pub target_missed: f64,
    /// Share of the samples in which some engine speed did not settle.
    pub unsettled: f64,
    /// Share of the samples in which another limit has the least room than with nothing spread.
    pub another_limit_rules: f64,
    /// Which guess matters most.
    pub rankings: Vec<Ranking>,
}

impl Study {
    /// Sums samples up; they must be this study's. Samples that are given in another order give the
    /// same, to rounding.
    #[must_use]
    pub fn summarise(&self, results: &[SampleResult]) -> Bands {
        let share = |holds: &dyn Fn(&SampleResult) -> bool| {
            let count = results.iter().filter(|r| holds(r)).count();
            count as f64 / results.len().max(1) as f64
        };
        let band = |value: &dyn Fn(&SampleResult) -> Option<f64>| {
            Band::of(&results.iter().filter_map(value).collect::<Vec<_>>())
        };
        let along = |curve: fn(&SampleResult) -> &[Option<f32>]| -> Vec<Band> {
            (0..self.speeds().len())
                .map(|i| band(&|r| curve(r).get(i).copied().flatten().map(f64::from)))
                .collect()
        };
        let settled = |r: &SampleResult| r.power_w.iter().any(Option::is_some);
        let timed = results.iter().any(|r| r.time_to_boost_s.is_some());
        let power_asked = self.build().optional(Field::PowerTarget);
        let middle = self.middle().tightest();
        let mut outcomes = vec![
            Outcome::PeakPower,
            Outcome::DriveThreshold,
            Outcome::UsableThreshold,
        ];
        if timed {
            outcomes.push(Outcome::TimeToBoost);
        }
        Bands {
            samples: results.len(),
            speeds_rev_min: self.speeds().to_vec(),
            power_w: along(|r| &r.power_w),
            boost_pa: along(|r| &r.boost_pa),
            peak_power_w: band(&|r| settled(r).then_some(r.peak_power_w)),
            peak_torque_nm: band(&|r| settled(r).then_some(r.peak_torque_nm)),
            drive_threshold_rev_min: band(&|r| Some(Outcome::DriveThreshold.of(r))),
            usable_threshold_rev_min: band(&|r| Some(Outcome::UsableThreshold.of(r))),
            time_to_boost_s: timed.then(|| band(&|r| Some(Outcome::TimeToBoost.of(r)))),
            limits: LIMITS
                .iter()
                .enumerate()
                .filter(|(i, _)| results.iter().any(|r| r.room[*i].is_some()))
                .map(|(i, kind)| LimitShare {
                    kind: *kind,
                    room: band(&|r| r.room[i]),
                    past: share(&|r| r.room[i].is_some_and(|room| room < 0.0)),
                    holds_boost: share(&|r| r.holds[i]),
                    tightest: share(&|r| r.tightest() == Some(i)),
                })
                .collect(),
            target_missed: share(&|r| match power_asked {
                Some(power) => r.peak_power_w < power,
                None => r.usable_threshold_rev_min.is_none(),
            }),
            unsettled: share(&|r| !r.is_settled()),
            another_limit_rules: share(&|r| r.tightest() != middle),
            rankings: self.rank(results, &outcomes),
        }
    }

    /// Which guess matters most, to each outcome.
    fn rank(&self, results: &[SampleResult], outcomes: &[Outcome]) -> Vec<Ranking> {
        let drawn: Vec<Vec<f64>> = results.iter().map(|r| self.values(r.sample)).collect();
        let inputs: Vec<Vec<f64>> = (0..self.spreads().len())
            .map(|d| drawn.iter().map(|values| values[d]).collect())
            .collect();
        let rank = |outcome: &Outcome| {
            let values: Vec<f64> = results.iter().map(|r| outcome.of(r)).collect();
            let found = rank_regression(&inputs, &values);
            let pairs = self.spreads().iter().zip(&found.coefficients);
            let mut guesses: Vec<Matter> = pairs
                .map(|(spread, coefficient)| Matter {
                    id: spread.guess.subject.id(),
                    label: spread.guess.subject.label(),
                    coefficient: *coefficient,
                    settled_by: spread.guess.settled_by,
                })
                .collect();
            crate::numeric::put_in_order(&mut guesses, |m| -m.coefficient.abs());
            if found.r_squared.is_none() {
                guesses.clear();
            }
            Ranking {
                outcome: *outcome,
                r_squared: found.r_squared,
                guesses,
            }
        };
        outcomes.iter().map(rank).collect()
    }
}

impl Outcome {
    /// Its value in a sample, infinite where it is never reached.
    fn of(self, result: &SampleResult) -> f64 {
        match self {
            Outcome::PeakPower => result.peak_power_w,
            Outcome::DriveThreshold => result.drive_threshold_rev_min.unwrap_or(f64::INFINITY),
            Outcome::UsableThreshold => result.usable_threshold_rev_min.unwrap_or(f64::INFINITY),
            Outcome::TimeToBoost => result.time_to_boost_s.unwrap_or(f64::INFINITY),
        }
    }
}
