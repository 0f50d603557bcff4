//! What rejects a candidate.

use super::figures::beyond;
use super::look::{Look, Rejection, Why};
use super::sweep::THRESHOLD_BOOST;
use super::wishes::{CREEP_LET_PASS, POWER_REACHED, Wishes};
use crate::run::{Held, LimitKind, LimitReport, SpeedReport, THRESHOLD_SHARE};

/// Room that a state on a cap may seem to miss.
const ON_THE_CAP: f64 = 1e-6;
/// What lies further outside than anything solved.
const UNSOLVED_OUTSIDE: f64 = 10.0;

/// Everything that was seen at the engine speeds of a look.
pub(super) type Seen = Vec<(SpeedReport, Vec<LimitReport>)>;

/// What the build asks for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goal {
    /// Power asked, W.
    pub power: Option<f64>,
    /// Highest boost asked at any speed, Pa, at least a little.
    pub highest_boost: f64,
}

/// What rejects a candidate, worst first.
pub(super) fn rejections(
    look: &Look,
    seen: &Seen,
    unsolved: usize,
    wishes: &Wishes,
    goal: Goal,
) -> Vec<Rejection> {
    let mut all = Vec::new();
    let mut push = |why, from_rev_min, to_rev_min, by: f64, outside: f64| {
        all.push(Rejection {
            why,
            from_rev_min,
            to_rev_min,
            by,
            outside,
        });
    };
    let over = |value: &dyn Fn(&SpeedReport) -> f64| {
        let points = seen.iter().map(|(s, _)| (s.engine_speed_rev_min, value(s)));
        beyond(&points.collect::<Vec<_>>())
    };
    for least in &wishes.rooms {
        let points: Vec<(f64, f64)> = seen
            .iter()
            .filter_map(|(s, limits)| {
                let limit = limits.iter().find(|limit| limit.kind == least.kind)?;
                Some((s.engine_speed_rev_min, least.room - limit.room - ON_THE_CAP))
            })
            .collect();
        if let Some((from, to, by)) = beyond(&points) {
            push(Why::Room(least.kind), from, to, by, by);
        }
    }
    if wishes.least_room(LimitKind::Gate).is_some() {
        let creep = over(&|s| match s.held {
            Held::Creep => s.boost_pa - s.boost_asked_pa - CREEP_LET_PASS,
            _ => -CREEP_LET_PASS,
        });
        if let Some((from, to, by)) = creep {
            let by = by + CREEP_LET_PASS;
            push(Why::Creep, from, to, by, by / goal.highest_boost);
        }
    }
    let short = |s: &SpeedReport| THRESHOLD_SHARE * s.boost_asked_pa - s.boost_pa;
    match look.usable_threshold_rev_min {
        None => {
            let missing = |s: &SpeedReport| s.boost_asked_pa - s.boost_pa;
            let least = seen
                .iter()
                .map(|(s, _)| missing(s))
                .fold(f64::INFINITY, f64::min);
            if least.is_finite() {
                push(
                    Why::NeverReached,
                    None,
                    None,
                    least,
                    least / goal.highest_boost,
                );
            }
        }
        Some(threshold) => {
            if let Some(by) = wishes.boost_by_rev_min.filter(|by| threshold > *by) {
                let late = threshold - by;
                push(Why::Late, Some(by), Some(threshold), late, late / by);
            }
            let after: Vec<(f64, f64)> = seen
                .iter()
                .filter(|(s, _)| s.engine_speed_rev_min > threshold)
                .map(|(s, _)| (s.engine_speed_rev_min, short(s) - THRESHOLD_BOOST))
                .collect();
            if let Some((from, to, by)) = beyond(&after).filter(|_| wishes.boost_to_redline) {
                let missing = seen
                    .iter()
                    .filter(|(s, _)| s.engine_speed_rev_min > threshold)
                    .map(|(s, _)| s.boost_asked_pa - s.boost_pa)
                    .fold(0.0, f64::max);
                push(Why::Short, from, to, missing, by / goal.highest_boost);
            }
        }
    }
    let asked = goal.power.map(|power| POWER_REACHED * power);
    let least_power = wishes
        .least_power_w
        .into_iter()
        .chain(asked)
        .fold(0.0, f64::max);
    if look.most_power.0 < least_power {
        let missing = least_power - look.most_power.0;
        push(Why::Power, None, None, missing, missing / least_power);
    }
    if unsolved > 0 {
        push(Why::Unsolved, None, None, unsolved as f64, UNSOLVED_OUTSIDE);
    }
    // Where a power was asked for and is not had, the boost that was tried for it says nothing.
    let of_boost = |why: Why| matches!(why, Why::NeverReached | Why::Short | Why::Late);
    if asked.is_some() && all.iter().any(|r| r.why == Why::Power) {
        all.retain(|r| !of_boost(r.why));
    }
    crate::numeric::put_in_order(&mut all, |rejection| -rejection.outside);
    all
}
