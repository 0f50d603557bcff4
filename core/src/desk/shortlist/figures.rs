//! Figures of a few points: their top, their mean, where they are beyond.

use crate::numeric::Curve;

/// Share of the largest that the one before must have for a vertex to be looked for, of power and of
/// torque. Judgements: torque leaps up to boost, power goes on rising.
pub(super) const BEFORE_MOST_POWER: f64 = 0.85;
pub(super) const BEFORE_MOST_TORQUE: f64 = 0.95;

/// Share of the largest that a vertex may lie above it: more is a corner, not a curve. A judgement.
const MOST_MORE: f64 = 0.02;

/// The most of a few values over rising places: the vertex of the parabola through the largest and its
/// neighbours, where it has both. Place, value.
pub(super) fn most(points: impl Iterator<Item = (f64, f64)>, least_before: f64) -> (f64, f64) {
    let points: Vec<(f64, f64)> = points.collect();
    let Some(top) = (0..points.len()).max_by(|a, b| points[*a].1.total_cmp(&points[*b].1)) else {
        return (0.0, 0.0);
    };
    let here = points[top];
    let sides = top
        .checked_sub(1)
        .and_then(|left| points.get(left))
        .zip(points.get(top + 1));
    let Some((left, right)) = sides else {
        return here;
    };
    // Beside the ramp up to boost a parabola shoots over.
    if left.1 < least_before * here.1 {
        return here;
    }
    let (a, b) = (here.0 - left.0, right.0 - here.0);
    let (down, up) = ((here.1 - left.1) / a, (right.1 - here.1) / b);
    let bend = (up - down) / (a + b);
    let slope = (down * b + up * a) / (a + b);
    if bend >= 0.0 || !bend.is_finite() {
        return here;
    }
    let step = (-0.5 * slope / bend).clamp(-a, b);
    let more = 0.5 * slope * step;
    if more > MOST_MORE * here.1 {
        return here;
    }
    (here.0 + step, here.1 + more)
}

/// Mean from `low` to `high` of the smooth curve through points of rising place; of the straight lines
/// between them where there is none.
pub(super) fn mean(points: &[(f64, f64)], low: f64, high: f64) -> f64 {
    let curve = Curve::new(points).ok();
    let mut area = 0.0;
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        let (a, b) = (x0.max(low), x1.min(high));
        if b > a {
            let at = |x: f64| match &curve {
                Some(curve) => curve.at(x),
                None => y0 + (x - x0) / (x1 - x0) * (y1 - y0),
            };
            // Simpson's rule, exact for the cubic between two points.
            area += (b - a) / 6.0 * (at(a) + 4.0 * at(0.5 * (a + b)) + at(b));
        }
    }
    area / (high - low)
}

/// Where what is above zero begins and ends and how much of it there is at most, over points that
/// rise in place: `None` where nothing is.
pub(super) fn beyond(points: &[(f64, f64)]) -> Option<(Option<f64>, Option<f64>, f64)> {
    let first = points.iter().position(|p| p.1 > 0.0)?;
    let last = points.iter().rposition(|p| p.1 > 0.0)?;
    let cross = |inside: (f64, f64), outside: (f64, f64)| {
        let share = inside.1 / (inside.1 - outside.1);
        inside.0 + share * (outside.0 - inside.0)
    };
    let from = first
        .checked_sub(1)
        .map(|before| cross(points[first], points[before]));
    let to = points
        .get(last + 1)
        .map(|after| cross(points[last], *after));
    let by = points.iter().map(|p| p.1).fold(0.0, f64::max);
    Some((from, to, by))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_most_is_the_top_of_a_parabola() {
        let parabola = |x: f64| (x, 7.0 - 0.1 * (x - 3.3).powi(2));
        let (place, value) = most([0.0, 2.0, 3.0, 5.0, 6.0].map(parabola).into_iter(), 0.5);
        assert!((place - 3.3).abs() < 1e-9 && (value - 7.0).abs() < 1e-12);
        // Beside the ramp up to boost, what was solved.
        let ramp = [(1.0, 150.0), (2.0, 380.0), (3.0, 375.0)];
        assert_eq!(most(ramp.into_iter(), BEFORE_MOST_TORQUE), (2.0, 380.0));
        // At an end, the end.
        let rising = [(1.0, 1.0), (2.0, 4.0)];
        assert_eq!(most(rising.into_iter(), 0.5), (2.0, 4.0));
        assert_eq!(most(std::iter::empty(), 0.5), (0.0, 0.0));
    }

    #[test]
    fn a_mean_is_over_its_range_alone() {
        let line: Vec<(f64, f64)> = (0..=4).map(|x| (f64::from(x), f64::from(x))).collect();
        assert!((mean(&line, 0.0, 4.0) - 2.0).abs() < 1e-12);
        assert!((mean(&line, 1.5, 2.5) - 2.0).abs() < 1e-12);
        assert!((mean(&line, 3.0, 4.0) - 3.5).abs() < 1e-12);
        assert_eq!(mean(&[], 0.0, 1.0), 0.0);
    }

    #[test]
    fn what_lies_beyond_is_told_with_its_ends() {
        let points =
            |values: [f64; 4]| -> Vec<(f64, f64)> { (1..=4).map(f64::from).zip(values).collect() };
        assert_eq!(beyond(&points([-1.0, -1.0, -2.0, -1.0])), None);
        let top = beyond(&points([-1.0, -1.0, 1.0, 3.0]));
        assert_eq!(top, Some((Some(2.5), None, 3.0)));
        let middle = beyond(&points([-1.0, 1.0, 1.0, -3.0]));
        assert_eq!(middle, Some((Some(1.5), Some(3.25), 1.0)));
        let all = beyond(&points([1.0, 1.0, 1.0, 2.0]));
        assert_eq!(all, Some((None, None, 2.0)));
    }
}
