//! A smooth curve through points that never overshoots them.

use serde::{Deserialize, Serialize};

/// A curve through given points: piecewise cubic, monotone between neighbours, level beyond the
/// ends.
///
/// Slopes after Fritsch & Butland 1984 (SIAM J. Sci. Stat. Comput. 5, 300), the same rule as the
/// usual "PCHIP".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<(f64, f64)>", into = "Vec<(f64, f64)>")]
pub struct Curve {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

/// Why points do not make a curve.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// No point at all.
    #[error("A curve needs at least one point; add one.")]
    NoPoints,
    /// A coordinate that is not a finite number.
    #[error("Point {number} of the curve is not a finite number; correct or remove it.")]
    NotFinite {
        /// Which point, from 1.
        number: usize,
    },
    /// The first coordinate does not rise.
    #[error(
        "Point {number} of the curve does not lie to the right of the one before; sort the points and remove doubles."
    )]
    NotRising {
        /// Which point, from 1.
        number: usize,
    },
}

impl Curve {
    /// A curve through `points` (x, y), x strictly rising.
    ///
    /// # Errors
    /// Names the first point that is not finite or not right of its neighbour.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, CurveError> {
        if points.is_empty() {
            return Err(CurveError::NoPoints);
        }
        for (i, (x, y)) in points.iter().enumerate() {
            if !(x.is_finite() && y.is_finite()) {
                return Err(CurveError::NotFinite { number: i + 1 });
            }
            if i > 0 && *x <= points[i - 1].0 {
                return Err(CurveError::NotRising { number: i + 1 });
            }
        }
        let x: Vec<f64> = points.iter().map(|p| p.0).collect();
        let y: Vec<f64> = points.iter().map(|p| p.1).collect();
        let slope = monotone_slopes(&x, &y);
        Ok(Self { x, y, slope })
    }

    /// The same height everywhere.
    #[must_use]
    pub fn level(height: f64) -> Self {
        Self {
            x: vec![0.0],
            y: vec![height],
            slope: vec![0.0],
        }
    }

    /// The same curve with its height times a factor above 0.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        let times = |values: &[f64]| values.iter().map(|v| v * factor).collect();
        Self {
            x: self.x.clone(),
            y: times(&self.y),
            slope: times(&self.slope),
        }
    }

    /// The points.
    #[must_use]
    pub fn points(&self) -> Vec<(f64, f64)> {
        self.x.iter().copied().zip(self.y.iter().copied()).collect()
    }

    /// Height at `x`; beyond the ends that of the end.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        self.at_with_slope(x).0
    }

    /// Height and slope at `x`; level beyond the ends.
    #[must_use]
    pub fn at_with_slope(&self, x: f64) -> (f64, f64) {
        let last = self.x.len() - 1;
        if x <= self.x[0] {
            return (self.y[0], 0.0);
        }
        if x >= self.x[last] {
            return (self.y[last], 0.0);
        }
        let right = self.x.partition_point(|&p| p <= x).clamp(1, last);
        let left = right - 1;
        let width = self.x[right] - self.x[left];
        hermite(
            (x - self.x[left]) / width,
            width,
            (self.y[left], self.slope[left]),
            (self.y[right], self.slope[right]),
        )
    }

    /// Slope at the left and at the right end.
    #[must_use]
    pub fn end_slopes(&self) -> (f64, f64) {
        (self.slope[0], self.slope[self.slope.len() - 1])
    }
}

impl TryFrom<Vec<(f64, f64)>> for Curve {
    type Error = CurveError;
    fn try_from(points: Vec<(f64, f64)>) -> Result<Self, CurveError> {
        Curve::new(&points)
    }
}

impl From<Curve> for Vec<(f64, f64)> {
    fn from(curve: Curve) -> Self {
        curve.points()
    }
}

/// Cubic through two ends with given (height, slope), at `t` of the way; height and slope there.
#[must_use]
pub fn hermite(t: f64, width: f64, left: (f64, f64), right: (f64, f64)) -> (f64, f64) {
    let rise = right.0 - left.0;
    let (a, b) = (left.1 * width, right.1 * width);
    // y = left + t (a + t (c2 + t c3))
    let c2 = 3.0 * rise - 2.0 * a - b;
    let c3 = a + b - 2.0 * rise;
    let height = left.0 + t * (a + t * (c2 + t * c3));
    let slope = (a + t * (2.0 * c2 + 3.0 * t * c3)) / width;
    (height, slope)
}

/// Slopes at the points of a monotone cubic (Fritsch & Butland 1984; three-point ends, limited).
#[must_use]
pub fn monotone_slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len().min(y.len());
    if n < 2 {
        return vec![0.0; n];
    }
    let width: Vec<f64> = (1..n).map(|i| x[i] - x[i - 1]).collect();
    let chord: Vec<f64> = (1..n).map(|i| (y[i] - y[i - 1]) / width[i - 1]).collect();
    if n == 2 {
        return vec![chord[0]; 2];
    }
    let mut slope = vec![0.0; n];
    for i in 1..n - 1 {
        let (before, after) = (chord[i - 1], chord[i]);
        if before * after > 0.0 {
            let w1 = 2.0 * width[i] + width[i - 1];
            let w2 = width[i] + 2.0 * width[i - 1];
            slope[i] = (w1 + w2) / (w1 / before + w2 / after);
        }
    }
    slope[0] = end_slope(width[0], width[1], chord[0], chord[1]);
    slope[n - 1] = end_slope(width[n - 2], width[n - 3], chord[n - 2], chord[n - 3]);
    slope
}

fn end_slope(near: f64, far: f64, chord_near: f64, chord_far: f64) -> f64 {
    let slope = ((2.0 * near + far) * chord_near - near * chord_far) / (near + far);
    if slope * chord_near <= 0.0 {
        0.0
    } else if chord_near * chord_far <= 0.0 && slope.abs() > 3.0 * chord_near.abs() {
        3.0 * chord_near
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `scipy.interpolate.PchipInterpolator` 1.17.1 through the same points.
    #[test]
    fn agrees_with_scipy() {
        let curve = Curve::new(&[(0.0, 0.0), (1.0, 2.0), (2.5, 2.5), (3.0, 1.0), (5.0, 1.5)]);
        let Ok(curve) = curve else {
            panic!("points are sound")
        };
        for (x, expected) in SCIPY {
            assert!(
                (curve.at(x) - expected).abs() < 1e-12,
                "{x}: {} {expected}",
                curve.at(x)
            );
        }
    }

    const SCIPY: [(f64, f64); 4] = include!("curve_scipy.in");

    #[test]
    fn refuses_points_that_make_no_curve() {
        assert_eq!(Curve::new(&[]), Err(CurveError::NoPoints));
        assert_eq!(
            Curve::new(&[(0.0, f64::NAN)]),
            Err(CurveError::NotFinite { number: 1 })
        );
        assert_eq!(
            Curve::new(&[(1.0, 0.0), (1.0, 2.0)]),
            Err(CurveError::NotRising { number: 2 })
        );
    }
}
