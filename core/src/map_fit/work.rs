//! Efficiency, by way of the work input.
//!
//! Work input over the square of tip speed, λ = Δh/U₂², falls nearly straight with flow along a line
//! (Euler's equation; Dixon & Hall, ch. 7), from surge into the vertical at choke. A short polynomial
//! in flow over choke flow is therefore fitted to it, and efficiency follows from pressure ratio: it
//! falls to 0 by itself where pressure ratio falls to 1. The polynomials of all lines are
//! found at once by linear least squares; a value between two lines tells of both.

use nalgebra::{DMatrix, DVector};

/// Terms of a line's polynomial.
const TERMS: usize = 4;
/// Expected slope, curvature and third term over the mean work input, and how far they may be from it
/// where no value tells otherwise. Judgement: work falls by some 20 % along a line.
const EXPECTED: [f64; TERMS] = [0.0, -0.12, 0.0, 0.0];
const UNCERTAINTY: [f64; TERMS] = [f64::INFINITY, 0.15, 0.08, 0.03];
/// How far a line's terms may leave the straight connection of its neighbours' in speed, over the
/// mean work input. Judgement.
const SPREAD: [f64; TERMS] = [0.02, 0.03, 0.03, 0.015];
/// How far a line's level may be from its neighbour's: only there so that lines without a value have
/// one. Judgement.
const NEIGHBOUR_SPREAD: f64 = 0.1;

/// A value of efficiency, as the work input it means.
#[derive(Debug, Clone, Copy)]
pub(super) struct Observation {
    /// Corrected speed, rev/min.
    pub speed: f64,
    /// Flow over the choke flow of that speed.
    pub share: f64,
    /// Work input over the square of tip speed.
    pub work: f64,
    /// Uncertainty of it, relative.
    pub uncertainty: f64,
}

/// Work input over speed and flow.
#[derive(Debug, Clone, Default)]
pub(super) struct Work {
    speeds: Vec<f64>,
    coefficients: Vec<[f64; TERMS]>,
}

/// Legendre's polynomials, over flow from a fifth of choke flow to choke.
fn terms(share: f64) -> [f64; TERMS] {
    let s = ((share - 0.6) / 0.4).clamp(-1.5, 1.2);
    [1.0, s, 1.5 * s * s - 0.5, 2.5 * s.powi(3) - 1.5 * s]
}

/// Between which two lines a speed lies, and how far from the slower to the faster.
fn between(speeds: &[f64], speed: f64) -> (usize, f64) {
    let low = speeds
        .partition_point(|&n| n <= speed)
        .clamp(1, speeds.len() - 1)
        - 1;
    let share = (speed - speeds[low]) / (speeds[low + 1] - speeds[low]);
    (low, share.clamp(0.0, 1.0))
}

impl Work {
    /// Fits lines of `speeds` (rising, at least two) to `observations`; `None` where the equations
    /// have no finite solution.
    pub fn fit(speeds: &[f64], observations: &[Observation]) -> Option<Self> {
        let size = speeds.len() * TERMS;
        let mut normal = DMatrix::<f64>::zeros(size, size);
        let mut right = DVector::<f64>::zeros(size);
        let mut add = |row: &[(usize, f64)], value: f64, uncertainty: f64| {
            let weight = uncertainty.powi(-2);
            for &(i, a) in row {
                right[i] += weight * a * value;
                for &(j, b) in row {
                    normal[(i, j)] += weight * a * b;
                }
            }
        };
        let mean = observations.iter().map(|o| o.work).sum::<f64>() / observations.len() as f64;
        for observation in observations {
            let (low, share) = between(speeds, observation.speed);
            let mut row = Vec::with_capacity(2 * TERMS);
            for (i, term) in terms(observation.share).into_iter().enumerate() {
                row.push((low * TERMS + i, (1.0 - share) * term));
                row.push(((low + 1) * TERMS + i, share * term));
            }
            add(
                &row,
                observation.work,
                observation.uncertainty * observation.work,
            );
        }
        for line in 0..speeds.len() {
            for i in 1..TERMS {
                add(
                    &[(line * TERMS + i, 1.0)],
                    EXPECTED[i] * mean,
                    UNCERTAINTY[i] * mean,
                );
            }
            if line > 0 {
                let row = [(line * TERMS, 1.0), ((line - 1) * TERMS, -1.0)];
                add(&row, 0.0, NEIGHBOUR_SPREAD * mean);
            }
            if line > 0 && line + 1 < speeds.len() {
                let share =
                    (speeds[line] - speeds[line - 1]) / (speeds[line + 1] - speeds[line - 1]);
                for (i, spread) in SPREAD.into_iter().enumerate() {
                    let row = [
                        (line * TERMS + i, 1.0),
                        ((line - 1) * TERMS + i, share - 1.0),
                        ((line + 1) * TERMS + i, -share),
                    ];
                    add(&row, 0.0, spread * mean);
                }
            }
        }
        let solution = normal.cholesky()?.solve(&right);
        let coefficients = solution
            .as_slice()
            .chunks_exact(TERMS)
            .map(|c| std::array::from_fn(|i| c[i]))
            .collect();
        solution.iter().all(|v| v.is_finite()).then(|| Self {
            speeds: speeds.to_vec(),
            coefficients,
        })
    }

    /// Work input over the square of tip speed, at a speed in rev/min and a flow over the choke flow
    /// of that speed.
    pub fn at(&self, speed: f64, share: f64) -> f64 {
        let (low, along) = between(&self.speeds, speed);
        let terms = terms(share);
        let line = |j: usize| -> f64 {
            self.coefficients[j]
                .iter()
                .zip(&terms)
                .map(|(c, t)| c * t)
                .sum()
        };
        (1.0 - along) * line(low) + along * line(low + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Straight work input of two lines comes back from values between them.
    #[test]
    fn values_between_lines_tell_of_both() {
        let work = |speed: f64, share: f64| 0.7 - 0.15 * share + 0.05 * (speed / 1e5 - 1.0);
        let observations: Vec<Observation> = (0..40)
            .map(|i| {
                let (speed, share) = (
                    6e4 + 1e3 * f64::from(i),
                    0.4 + 0.6 * f64::from(i * 7 % 40) / 40.0,
                );
                Observation {
                    speed,
                    share,
                    work: work(speed, share),
                    uncertainty: 1e-4,
                }
            })
            .collect();
        let fit = Work::fit(&[6e4, 1e5], &observations);
        let Some(fit) = fit else { panic!("solvable") };
        for (speed, share) in [(6e4, 0.5), (8e4, 0.7), (1e5, 0.9)] {
            let off = fit.at(speed, share) - work(speed, share);
            assert!(off.abs() < 1e-4, "{speed} {share}: {off}");
        }
    }
}
