//! The speed lines' curves by least squares: each by itself, then together.
//!
//! Distances are taken normal to the curve in units of the axes, so that vertical choking parts
//! count like the flat ones (total least squares as Llamas & Eriksson fit the same form: J. Eng. Gas
//! Turbines Power 139, 012601, 2017; from memory). The optimiser is Levenberg and Marquardt's as in
//! MINPACK. First every line is fitted by itself, held by wide expectations only. Then each of its
//! numbers gets a trend over speed, and lines are fitted again with the trend as an expectation. How
//! far a number may leave its trend is what the lines' own numbers scatter around it beyond
//! their uncertainty (the method of moments of random-effects models, DerSimonian & Laird, Controlled
//! Clinical Trials 7, 1986, 177, from memory): lines with many good points follow their points, thin ones the
//! trend.

use super::ellipse::{Axes, EXPONENT, Ellipse, PARAMETERS, Parameters, head};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt, TerminationReason};
use nalgebra::storage::Owned;
use nalgebra::{Const, DMatrix, DVector, Dyn, OMatrix, OVector};

/// Scatter of traced points that is expected until the points tell, in units of the axes. Half a
/// per cent is what tracing a picture leaves.
const EXPECTED_SCATTER: f64 = 0.005;
/// Bounds of the scatter that the points tell.
const SCATTER: (f64, f64) = (0.000_3, 0.02);
/// Uncertainty of the first expectation of each parameter, of a line by itself. Wide: judgement.
const FIRST_UNCERTAINTY: Parameters = [0.15, 1.2, 0.1, 0.5, 0.6, 1.0];
/// What every line's own number may differ from the trend at least. Judgement.
const LEAST_SPREAD: Parameters = [0.004, 0.04, 0.003, 0.04, 0.05, 0.2];
/// Expectations before anything is known: fall from top to choke over the rise, C − 1, fall of the
/// parabola over the rise. Judgement: a line about halves its rise before it is vertical, is a little
/// fuller than an ellipse, and hardly falls towards surge.
const FIRST_FALL: f64 = 0.7;
const FIRST_EXPONENT: f64 = 1.6;
const FIRST_LEFT_FALL: f64 = 0.15;
/// Exponents C − 1 that a line's own fit is started from.
const STARTS: [f64; 3] = [1.0, 2.2, 6.0];
/// How often trend and lines are found in turn.
const ROUNDS: usize = 3;
/// Relative change of the squares and of the parameters at which a fit has come to its end: while the
/// expectations still change, and in the last round.
const ROUGH: f64 = 1e-6;
const FINE: f64 = 1e-10;
/// Most evaluations of one line's fit, for each parameter.
const PATIENCE: usize = 40;

/// One line's points, in a fixed order.
pub(super) struct LinePoints {
    /// Corrected speed, rev/min.
    pub speed: f64,
    /// Flow in kg/s, and pressure ratio.
    pub points: Vec<(f64, f64)>,
}

/// What a line's parameters are expected to be.
#[derive(Clone, Copy)]
struct Expectation {
    centre: Parameters,
    uncertainty: Parameters,
}

/// A line's fit.
#[derive(Clone, Copy)]
struct Fitted {
    parameters: Parameters,
    /// Uncertainty (variance) of each parameter from the points alone.
    variance: Parameters,
    /// Half the sum of squares.
    objective: f64,
    /// Whether the optimiser came to an end.
    settled: bool,
}

/// All lines' curves.
pub(super) struct Lines {
    /// One a line.
    pub parameters: Vec<Parameters>,
    /// Scatter of the points around the lines, in units of the axes.
    pub scatter: f64,
}

struct Problem<'a> {
    line: &'a LinePoints,
    axes: &'a Axes,
    expectation: Expectation,
    scatter: f64,
    parameters: Parameters,
}

impl LeastSquaresProblem<f64, Dyn, Const<PARAMETERS>> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Const<PARAMETERS>>;
    type ParameterStorage = Owned<f64, Const<PARAMETERS>>;

    fn set_params(&mut self, parameters: &OVector<f64, Const<PARAMETERS>>) {
        self.parameters = (*parameters).into();
    }

    fn params(&self) -> OVector<f64, Const<PARAMETERS>> {
        self.parameters.into()
    }

    fn residuals(&self) -> Option<OVector<f64, Dyn>> {
        let curve = Ellipse::new(&self.parameters, self.line.speed);
        let nodes = curve.nodes(self.axes);
        let Expectation {
            centre,
            uncertainty,
        } = self.expectation;
        let values = self
            .line
            .points
            .iter()
            .map(|point| curve.foot(self.axes, &nodes, *point).distance / self.scatter)
            .chain((0..PARAMETERS).map(|i| (self.parameters[i] - centre[i]) / uncertainty[i]));
        let count = self.line.points.len() + PARAMETERS;
        let values = OVector::<f64, Dyn>::from_iterator(count, values);
        values.iter().all(|v| v.is_finite()).then_some(values)
    }

    fn jacobian(&self) -> Option<OMatrix<f64, Dyn, Const<PARAMETERS>>> {
        let count = self.line.points.len();
        let mut jacobian = OMatrix::<f64, Dyn, Const<PARAMETERS>>::zeros(count + PARAMETERS);
        let rows = slopes(&self.parameters, self.line, self.axes);
        for (row, slope) in rows.iter().enumerate() {
            for i in 0..PARAMETERS {
                jacobian[(row, i)] = slope[i] / self.scatter;
            }
        }
        for i in 0..PARAMETERS {
            jacobian[(count + i, i)] = 1.0 / self.expectation.uncertainty[i];
        }
        jacobian.iter().all(|v| v.is_finite()).then_some(jacobian)
    }
}

/// How each point's distance changes with each parameter. The nearest point moves along the curve,
/// which changes the distance in second order only, so it is held.
fn slopes(parameters: &Parameters, line: &LinePoints, axes: &Axes) -> Vec<Parameters> {
    let curve = Ellipse::new(parameters, line.speed);
    let nodes = curve.nodes(axes);
    let step = 1e-5;
    let moved: Vec<(Ellipse, Ellipse)> = (0..PARAMETERS)
        .map(|i| {
            let (mut down, mut up) = (*parameters, *parameters);
            down[i] -= step;
            up[i] += step;
            (
                Ellipse::new(&down, line.speed),
                Ellipse::new(&up, line.speed),
            )
        })
        .collect();
    line.points
        .iter()
        .map(|point| {
            let foot = curve.foot(axes, &nodes, *point);
            let shape = curve.shape(foot.along);
            let mut slope = [0.0; PARAMETERS];
            for (i, (slope, (down, up))) in slope.iter_mut().zip(&moved).enumerate() {
                let (a, b) = if i == EXPONENT {
                    (down.at(foot.along), up.at(foot.along))
                } else {
                    (down.place(foot.along, shape), up.place(foot.along, shape))
                };
                let (a, b) = (axes.scaled(a), axes.scaled(b));
                *slope =
                    -((b.0 - a.0) * foot.normal.0 + (b.1 - a.1) * foot.normal.1) / (2.0 * step);
            }
            slope
        })
        .collect()
}

fn fit_line(
    line: &LinePoints,
    axes: &Axes,
    expectation: Expectation,
    scatter: f64,
    start: Parameters,
    tolerance: f64,
) -> Fitted {
    let problem = Problem {
        line,
        axes,
        expectation,
        scatter,
        parameters: start,
    };
    let (problem, report) = LevenbergMarquardt::new()
        .with_tol(tolerance)
        .with_patience(PATIENCE)
        .minimize(problem);
    // Rounding left nothing to gain: that is an end too.
    let settled = report.termination.was_successful()
        || matches!(
            report.termination,
            TerminationReason::NoImprovementPossible(_)
        );
    let parameters = problem.parameters;
    Fitted {
        parameters,
        variance: variance(&parameters, line, axes, scatter),
        objective: report.objective_function,
        settled: settled && parameters.iter().all(|p| p.is_finite()),
    }
}

/// Variance of each parameter, from how the points' distances change with all of them; only the
/// widest of expectations beside, so that a number no point tells of is finitely uncertain.
fn variance(parameters: &Parameters, line: &LinePoints, axes: &Axes, scatter: f64) -> Parameters {
    let mut information = nalgebra::SMatrix::<f64, PARAMETERS, PARAMETERS>::zeros();
    for slope in slopes(parameters, line, axes) {
        for i in 0..PARAMETERS {
            for j in 0..PARAMETERS {
                information[(i, j)] += slope[i] * slope[j] / (scatter * scatter);
            }
        }
    }
    for i in 0..PARAMETERS {
        information[(i, i)] += FIRST_UNCERTAINTY[i].powi(-2);
    }
    let wide = FIRST_UNCERTAINTY.map(|u| u * u);
    information.cholesky().map_or(wide, |factors| {
        let inverse = factors.inverse();
        std::array::from_fn(|i| inverse[(i, i)])
    })
}

/// What a line alone lets expect.
fn first_expectation(line: &LinePoints) -> Expectation {
    let top = line.points.iter().fold(
        (0.0, 0.0),
        |best: (f64, f64), p| if p.1 > best.1 { *p } else { best },
    );
    let (mut least, mut largest) = (f64::INFINITY, 0.0_f64);
    for (flow, _) in &line.points {
        least = least.min(*flow);
        largest = largest.max(*flow);
    }
    let choke = 1.02 * largest;
    // A little right of the leftmost point even where that is the highest.
    let share = (top.0.max(least + 0.05 * (largest - least)) / choke).clamp(0.1, 0.95);
    Expectation {
        centre: [
            (choke / line.speed).ln(),
            (share / (1.0 - share)).ln(),
            (head(top.1).max(1e-4) / (line.speed * line.speed)).ln(),
            FIRST_FALL.ln(),
            FIRST_EXPONENT.ln(),
            FIRST_LEFT_FALL.ln(),
        ],
        uncertainty: FIRST_UNCERTAINTY,
    }
}

/// Scatter of the points around their curves, in units of the axes.
fn scatter_of(lines: &[LinePoints], fitted: &[Fitted], axes: &Axes) -> f64 {
    let (mut squares, mut count) = (0.0, 0.0);
    for (line, fit) in lines.iter().zip(fitted) {
        let curve = Ellipse::new(&fit.parameters, line.speed);
        let nodes = curve.nodes(axes);
        for point in &line.points {
            squares += curve.foot(axes, &nodes, *point).distance.powi(2);
        }
        // Four of the six numbers are what points usually tell; a third of the points stays.
        let points = line.points.len() as f64;
        count += (points - 4.0).max(points / 3.0);
    }
    (squares / count).sqrt().clamp(SCATTER.0, SCATTER.1)
}

/// The trend of one parameter over speed: a polynomial by weighted least squares, and how far lines
/// leave it beyond their uncertainty (variance).
fn trend(speeds: &[f64], values: &[(f64, f64)]) -> Option<(Vec<f64>, f64)> {
    let count = speeds.len();
    let degree = match count {
        0..=2 => 0,
        3 => 1,
        4..=6 => 2,
        _ => 3,
    };
    let fastest = speeds[count - 1];
    let terms = |speed: f64, i: usize| (2.0 * speed / fastest - 1.0).powi(i as i32);
    let design = DMatrix::from_fn(count, degree + 1, |row, i| terms(speeds[row], i));
    let mut spread = 0.0;
    let mut heights = Vec::new();
    // The spread sets the weights and the weights the spread.
    for _ in 0..8 {
        let weights = DVector::from_fn(count, |row, _| 1.0 / (values[row].1 + spread + 1e-12));
        let weighted =
            DMatrix::from_fn(count, degree + 1, |row, i| design[(row, i)] * weights[row]);
        let right = DVector::from_fn(count, |row, _| values[row].0);
        let normal = (weighted.transpose() * &design).cholesky()?;
        let coefficients = normal.solve(&(weighted.transpose() * right));
        heights = (&design * coefficients).iter().copied().collect();
        let freedom = (count - degree - 1).max(1) as f64;
        let mut excess = 0.0;
        let mut weight = 0.0;
        for row in 0..count {
            let off: f64 = values[row].0 - heights[row];
            excess += weights[row] * (off * off * count as f64 / freedom - values[row].1);
            weight += weights[row];
        }
        let next = (excess / weight).max(0.0);
        if (next - spread).abs() <= 1e-6 * spread {
            break;
        }
        spread = next;
    }
    Some((heights, spread))
}

/// Fits all lines, slowest first. `stiffness` 1 lets lines leave the trend as far as they do by
/// themselves; more holds them closer to it.
///
/// # Errors
/// The line, from 0, whose fit did not come to an end.
pub(super) fn fit_lines(lines: &[LinePoints], axes: &Axes, stiffness: f64) -> Result<Lines, usize> {
    let speeds: Vec<f64> = lines.iter().map(|line| line.speed).collect();
    let mut fitted = Vec::with_capacity(lines.len());
    for (number, line) in lines.iter().enumerate() {
        let expectation = first_expectation(line);
        let mut best: Option<Fitted> = None;
        for exponent in STARTS {
            let mut start = expectation.centre;
            start[EXPONENT] = f64::ln(exponent);
            let fit = fit_line(line, axes, expectation, EXPECTED_SCATTER, start, ROUGH);
            if fit.settled && best.is_none_or(|b| fit.objective < b.objective) {
                best = Some(fit);
            }
        }
        fitted.push(best.ok_or(number)?);
    }
    let mut scatter = scatter_of(lines, &fitted, axes);
    for round in 1..=ROUNDS {
        let tolerance = if round < ROUNDS { ROUGH } else { FINE };
        let mut expectations = Vec::with_capacity(lines.len());
        for (line, fit) in lines.iter().zip(&mut fitted) {
            fit.variance = variance(&fit.parameters, line, axes, scatter);
            expectations.push(Expectation {
                centre: fit.parameters,
                uncertainty: FIRST_UNCERTAINTY,
            });
        }
        for i in 0..PARAMETERS {
            let values: Vec<(f64, f64)> = fitted
                .iter()
                .map(|fit| (fit.parameters[i], fit.variance[i]))
                .collect();
            let Some((heights, spread)) = trend(&speeds, &values) else {
                continue;
            };
            // Two lines alone make no trend: what one tells the other is vague.
            let least = if lines.len() > 2 {
                LEAST_SPREAD[i]
            } else {
                0.3 * FIRST_UNCERTAINTY[i]
            };
            for (expectation, height) in expectations.iter_mut().zip(heights) {
                expectation.centre[i] = height;
                expectation.uncertainty[i] = spread.sqrt().max(least) / stiffness;
            }
        }
        for (number, line) in lines.iter().enumerate() {
            let start = fitted[number].parameters;
            let fit = fit_line(line, axes, expectations[number], scatter, start, tolerance);
            if !fit.settled {
                return Err(number);
            }
            fitted[number] = fit;
        }
        scatter = scatter_of(lines, &fitted, axes);
    }
    Ok(Lines {
        parameters: fitted.iter().map(|fit| fit.parameters).collect(),
        scatter,
    })
}
