//! The engine speeds of a look, and the boost for a power.

use super::figures::{BEFORE_MOST_POWER, most};
use crate::balance::Answer;
use crate::build::Build;
use crate::fields::Field;
use crate::numeric::bracketed_root;
use crate::run::{HIGHEST_BOOST, Run, engine_speeds};

/// Accuracy of thresholds, as a share of the range of engine speeds, and most looks for one.
const THRESHOLD_ACCURACY: f64 = 0.002;
const THRESHOLD_LOOKS: usize = 7;
/// Boost, Pa, that a threshold may be off by.
pub(super) const THRESHOLD_BOOST: f64 = 400.0;
/// Engine speeds, as shares of the range, at which the most power is looked for when a boost is to be
/// found for a power: the most power is rarely below the first.
const POWER_FROM: f64 = 0.4;
const POWER_SPEEDS: usize = 7;
/// Accuracy of that power, as a share, and most boosts tried.
const POWER_ACCURACY: f64 = 1e-3;
const MOST_BOOSTS: usize = 9;
/// Shortest and longest step of that boost while there is too little, Pa, and how far beyond the best
/// boost more of it is tried.
const BOOST_STEPS: (f64, f64) = (8_000.0, 60_000.0);

/// Lowest engine speed and redline, rev/min.
pub(super) fn span(build: &Build) -> (f64, f64) {
    let mut ends = engine_speeds(build, 2);
    match (ends.next(), ends.next()) {
        (Some(low), Some(high)) => (low, high),
        _ => (0.0, 1.0),
    }
}

/// Finds the boost that gives the power asked, and asks for it: as [`crate::solve`] does, but at few
/// engine speeds and from a guess. Pa gauge.
pub(super) fn boost_for_power(run: &mut Run, build: &Build, power: f64, guess: f64) -> f64 {
    let (low, high) = span(build);
    let outside = run.plant().outside.pressure.pa();
    let speed = |i: usize| {
        let share = POWER_FROM + (1.0 - POWER_FROM) * i as f64 / (POWER_SPEEDS - 1) as f64;
        low + (high - low) * share
    };
    let mut excess = |boost: f64| {
        run.ask(boost);
        let points: Vec<(f64, f64)> = (0..POWER_SPEEDS)
            .filter_map(|i| Some((speed(i), run.power_at(speed(i))?)))
            .collect();
        most(points.into_iter(), BEFORE_MOST_POWER).1 / power - 1.0
    };
    let spring = build.get(Field::GateSpring);
    let mut boost = guess.clamp(spring, HIGHEST_BOOST);
    // Boost and what it leaves over, on either side.
    let mut below: Option<(f64, f64)> = None;
    let mut above: Option<(f64, f64)> = None;
    let mut best = (f64::NEG_INFINITY, boost);
    for _ in 0..MOST_BOOSTS {
        let here = excess(boost);
        if here > best.0 {
            best = (here, boost);
        }
        if here.abs() < POWER_ACCURACY {
            best = (here, boost);
            break;
        }
        // Power goes about as the pressure in the manifold.
        let step = -here * (boost + outside);
        if here < 0.0 {
            // The more boost, the less more of it gives: what a straight line does not reach is out of
            // reach.
            let line =
                |(b, f): (f64, f64)| here + (here - f) / (boost - b) * (HIGHEST_BOOST - boost);
            if above.is_none() && below.is_some_and(|last| last.0 < boost && line(last) < 0.0) {
                break;
            }
            below = Some((boost, here));
        } else {
            above = Some((boost, here));
        }
        boost = match (below, above) {
            (Some((b, fb)), Some((a, fa))) => {
                let share = (fb / (fb - fa)).clamp(0.1, 0.9);
                b + share * (a - b)
            }
            (None, _) => {
                if boost <= spring {
                    break;
                }
                (boost + 1.1 * step).max(spring)
            }
            (_, None) => {
                let beyond = boost - best.1 >= BOOST_STEPS.1;
                if boost >= HIGHEST_BOOST || beyond {
                    break;
                }
                (boost + (1.1 * step).clamp(BOOST_STEPS.0, BOOST_STEPS.1)).min(HIGHEST_BOOST)
            }
        };
    }
    // With enough on one side and too little on the other, the last that was nearest to it.
    let chosen = match (below, above) {
        _ if best.0.abs() < POWER_ACCURACY => best.1,
        (Some((b, fb)), Some((a, fa))) => b + fb / (fb - fa) * (a - b),
        (None, Some((a, _))) => a,
        _ => best.1,
    };
    run.ask(chosen);
    chosen
}

/// What was solved, rising in engine speed.
pub(super) struct Sweep {
    /// Engine speed, rev/min, and its answer.
    pub solved: Vec<(f64, Answer)>,
    /// How many did not settle.
    pub unsolved: usize,
}

/// Solves engine speeds, and around each threshold a few more until it is known well enough.
pub(super) fn sweep(run: &mut Run, speeds: &[f64]) -> Sweep {
    let mut sweep = Sweep {
        solved: Vec::with_capacity(speeds.len() + 8),
        unsolved: 0,
    };
    let range = speeds.last().copied().unwrap_or(0.0) - speeds.first().copied().unwrap_or(0.0);
    let drive = |over: (f64, f64)| over.0;
    let usable = |over: (f64, f64)| over.1;
    let kinds: [fn((f64, f64)) -> f64; 2] = [drive, usable];
    let mut found = [false; 2];
    for speed in speeds {
        let Ok(answer) = run.at(*speed) else {
            sweep.unsolved += 1;
            continue;
        };
        sweep.solved.push((*speed, answer));
        for (kind, found) in kinds.iter().zip(&mut found) {
            if *found {
                continue;
            }
            let over = |run: &Run, at: &(f64, Answer)| kind(run.over_threshold(at.0, &at.1));
            let Some(first) = sweep.solved.iter().position(|s| over(run, s) >= 0.0) else {
                continue;
            };
            *found = true;
            let Some(before) = first.checked_sub(1) else {
                continue;
            };
            let (low, high) = (sweep.solved[before], sweep.solved[first]);
            let ends = ((low.0, over(run, &low)), (high.0, over(run, &high)));
            let mut more = Vec::with_capacity(THRESHOLD_LOOKS);
            bracketed_root(
                ends.0,
                ends.1,
                0.5 * THRESHOLD_ACCURACY * range,
                THRESHOLD_LOOKS,
                |speed| {
                    let Ok(answer) = run.at(speed) else {
                        return f64::NAN;
                    };
                    let left = kind(run.over_threshold(speed, &answer));
                    more.push((speed, answer));
                    if left.abs() < THRESHOLD_BOOST {
                        0.0
                    } else {
                        left
                    }
                },
            );
            for one in more {
                let place = sweep.solved.partition_point(|s| s.0 < one.0);
                sweep.solved.insert(place, one);
            }
        }
    }
    sweep
}
