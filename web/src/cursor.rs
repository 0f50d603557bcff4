//! The shared engine speed: which of the match's speeds it is at, and the steps between them.

use airpath::run::Match;

/// The report nearest to an engine speed in rev/min.
pub fn nearest(found: &Match, rev_min: f64) -> Option<usize> {
    let far = |i: &usize| (found.speeds[*i].engine_speed_rev_min - rev_min).abs();
    (0..found.speeds.len()).min_by(|a, b| far(a).total_cmp(&far(b)))
}

/// The engine speed one or more steps of at least `least` rev/min up or down.
pub fn step(found: &Match, rev_min: f64, least: f64) -> f64 {
    let speeds = found.speeds.iter().map(|s| s.engine_speed_rev_min);
    let goal = rev_min + least;
    let next = if least > 0.0 {
        speeds
            .clone()
            .find(|s| *s >= goal - 1e-6)
            .or(speeds.clone().next_back())
    } else {
        speeds
            .clone()
            .rev()
            .find(|s| *s <= goal + 1e-6)
            .or(speeds.clone().next())
    };
    next.unwrap_or(rev_min)
}
