//! A turbine's swallowing from measured points.

use super::turbine_flow;
use serde::{Deserialize, Serialize};

/// What a turbine passes at one expansion ratio.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SwallowingPoint {
    /// Total inlet over static outlet pressure, above 1.
    pub expansion_ratio: f64,
    /// m√T3/p3, kg √K/(s Pa).
    pub flow_parameter: f64,
}

/// The law of flow fitted to points, W √(1 − ER^−k).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwallowingFit {
    /// W: largest m√T3/p3, kg √K/(s Pa).
    pub swallowing: f64,
    /// k.
    pub exponent: f64,
    /// Whether k is from the points too.
    pub exponent_fitted: bool,
    /// Root of the mean square of law over point, less 1.
    pub root_mean_square: f64,
    /// Largest of it, without its sign.
    pub largest: f64,
    /// The point that it is at, from 0.
    pub worst: usize,
}

/// From so many points on the exponent is fitted too.
const ENOUGH: usize = 3;
/// Points have to be this far apart in expansion ratio, greatest over least, to tell of an exponent.
const APART: f64 = 1.2;
/// Exponents that are looked at. Above 1, as the solving of the inlet pressure takes; a choked axial
/// stage has 4.6.
const EXPONENTS: (f64, f64) = (1.05, 6.0);
/// Places that the best is looked for between.
const PLACES: usize = 40;

/// The law at W = 1.
fn unit(exponent: f64, point: &SwallowingPoint) -> f64 {
    turbine_flow(1.0, 1.0, 1.0, 1.0 / point.expansion_ratio, exponent)
}

/// W of least squares at an exponent: relative errors, in which W is linear.
fn linear(points: &[SwallowingPoint], exponent: f64) -> f64 {
    let (mut above, mut below) = (0.0, 0.0);
    for point in points {
        let share = unit(exponent, point) / point.flow_parameter;
        above += share;
        below += share * share;
    }
    above / below
}

fn squares(points: &[SwallowingPoint], exponent: f64) -> f64 {
    let swallowing = linear(points, exponent);
    let miss = |p: &SwallowingPoint| swallowing * unit(exponent, p) / p.flow_parameter - 1.0;
    points.iter().map(|p| miss(p).powi(2)).sum()
}

/// Exponent of the least squares: W is put in, so there is one unknown. Bracketed on a row of places,
/// then by golden section.
fn best_exponent(points: &[SwallowingPoint]) -> f64 {
    let (low, high) = EXPONENTS;
    let place = |i: usize| low + (high - low) * i as f64 / (PLACES - 1) as f64;
    let (mut best, mut least) = (0, f64::INFINITY);
    for i in 0..PLACES {
        let here = squares(points, place(i));
        if here < least {
            (best, least) = (i, here);
        }
    }
    let mut left = place(best.saturating_sub(1));
    let mut right = place((best + 1).min(PLACES - 1));
    let golden = (5_f64.sqrt() - 1.0) / 2.0;
    for _ in 0..60 {
        let (a, b) = (
            right - golden * (right - left),
            left + golden * (right - left),
        );
        if squares(points, a) < squares(points, b) {
            right = b;
        } else {
            left = a;
        }
    }
    0.5 * (left + right)
}

/// Fits W and k to points by least squares of relative errors; W alone, with `exponent`, where there
/// are fewer than three points or they lie too close together, or where `keep_exponent` asks for it.
/// `None` without points, or with one that is no number.
///
/// Expansion ratios above 1, flow parameters above 0. Points in any order.
///
/// ```
/// use airpath::air_way::turbine::{SwallowingPoint, fit_swallowing};
///
/// let points = [1.2_f64, 1.8, 3.0].map(|expansion_ratio| SwallowingPoint {
///     expansion_ratio,
///     flow_parameter: 2.7e-5 * (1.0 - expansion_ratio.powf(-2.0)).sqrt(),
/// });
/// let fit = fit_swallowing(&points, 1.6, false).expect("three points");
/// assert!((fit.swallowing / 2.7e-5 - 1.0).abs() < 1e-6 && (fit.exponent - 2.0).abs() < 1e-5);
/// ```
#[must_use]
pub fn fit_swallowing(
    points: &[SwallowingPoint],
    exponent: f64,
    keep_exponent: bool,
) -> Option<SwallowingFit> {
    let ratios = || points.iter().map(|p| p.expansion_ratio);
    let least = ratios().fold(f64::INFINITY, f64::min);
    let greatest = ratios().fold(0.0, f64::max);
    let exponent_fitted = !keep_exponent && points.len() >= ENOUGH && greatest > APART * least;
    let exponent = if exponent_fitted {
        best_exponent(points)
    } else {
        exponent
    };
    let swallowing = linear(points, exponent);
    if !(swallowing.is_finite() && swallowing > 0.0) {
        return None;
    }
    let (mut sum, mut largest, mut worst) = (0.0, 0.0, 0);
    for (place, point) in points.iter().enumerate() {
        let miss = swallowing * unit(exponent, point) / point.flow_parameter - 1.0;
        sum += miss * miss;
        if miss.abs() > largest {
            (largest, worst) = (miss.abs(), place);
        }
    }
    Some(SwallowingFit {
        swallowing,
        exponent,
        exponent_fitted,
        root_mean_square: (sum / points.len() as f64).sqrt(),
        largest,
        worst,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
    use nalgebra::storage::Owned;
    use nalgebra::{Dyn, Matrix, OMatrix, OVector, U2, Vector2};

    /// The same least squares for MINPACK's method: ln W and k.
    struct Both<'a>(&'a [SwallowingPoint], Vector2<f64>);

    impl LeastSquaresProblem<f64, Dyn, U2> for Both<'_> {
        type ResidualStorage = Owned<f64, Dyn>;
        type JacobianStorage = Owned<f64, Dyn, U2>;
        type ParameterStorage = Owned<f64, U2>;
        fn set_params(&mut self, x: &Vector2<f64>) {
            self.1 = *x;
        }
        fn params(&self) -> Vector2<f64> {
            self.1
        }
        fn residuals(&self) -> Option<Matrix<f64, Dyn, nalgebra::U1, Owned<f64, Dyn>>> {
            let (w, k) = (self.1[0].exp(), self.1[1]);
            let all = self.0.iter();
            let all = all.map(|p| w * unit(k, p) / p.flow_parameter - 1.0);
            Some(OVector::<f64, Dyn>::from_iterator(self.0.len(), all))
        }
        fn jacobian(&self) -> Option<OMatrix<f64, Dyn, U2>> {
            let (w, k) = (self.1[0].exp(), self.1[1]);
            Some(OMatrix::<f64, Dyn, U2>::from_fn(self.0.len(), |i, j| {
                let p = &self.0[i];
                let law = w * unit(k, p) / p.flow_parameter;
                let kept = p.expansion_ratio.powf(-k);
                match j {
                    0 => law,
                    _ => law * 0.5 * kept * p.expansion_ratio.ln() / (1.0 - kept),
                }
            }))
        }
    }

    fn scattered() -> Vec<SwallowingPoint> {
        [1.15_f64, 1.3, 1.5, 1.8, 2.1, 2.6, 3.2]
            .iter()
            .enumerate()
            .map(|(i, ratio)| SwallowingPoint {
                expansion_ratio: *ratio,
                flow_parameter: 2.1e-5
                    * (1.0 - ratio.powf(-1.83)).sqrt()
                    * (1.0 + 0.02 * (2.4 * i as f64).sin()),
            })
            .collect()
    }

    #[test]
    fn the_least_squares_are_those_of_minpack() {
        let points = scattered();
        let fit = fit_swallowing(&points, 1.6, false).expect("seven points");
        let start = Both(&points, Vector2::new(2e-5_f64.ln(), 1.6));
        let (found, report) = LevenbergMarquardt::new().minimize(start);
        assert!(report.termination.was_successful());
        assert!((fit.swallowing / found.1[0].exp() - 1.0).abs() < 1e-7);
        assert!((fit.exponent / found.1[1] - 1.0).abs() < 1e-6);
        let squares = fit.root_mean_square.powi(2) * points.len() as f64;
        assert!((squares / (2.0 * report.objective_function) - 1.0).abs() < 1e-9);
        assert!(fit.largest < 0.03 && fit.exponent_fitted);
    }

    #[test]
    fn few_points_or_close_ones_leave_the_exponent() {
        let points = scattered();
        for few in [&points[..2], &points[..1]] {
            let fit = fit_swallowing(few, 1.6, false).expect("a point");
            assert!(!fit.exponent_fitted && fit.exponent == 1.6);
        }
        let close: Vec<SwallowingPoint> = (0..4)
            .map(|i| SwallowingPoint {
                expansion_ratio: 2.0 + 0.05 * f64::from(i),
                ..points[4]
            })
            .collect();
        assert!(
            !fit_swallowing(&close, 1.6, false)
                .expect("four")
                .exponent_fitted
        );
        assert!(
            !fit_swallowing(&points, 1.6, true)
                .expect("seven")
                .exponent_fitted
        );
        assert_eq!(fit_swallowing(&[], 1.6, false), None);
    }

    #[test]
    fn the_worst_point_is_named() {
        let mut points = scattered();
        points[4].flow_parameter *= 1.3;
        let fit = fit_swallowing(&points, 1.6, false).expect("seven points");
        assert_eq!(fit.worst, 4);
        assert!(fit.largest > 0.1, "{}", fit.largest);
    }
}
