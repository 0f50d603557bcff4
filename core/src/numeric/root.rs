//! A root between two ends of opposite sign.

/// Where a search for a root ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    /// The root.
    pub root: f64,
    /// What is left of the function there.
    pub residual: f64,
    /// How often the function was worked out.
    pub evaluations: usize,
    /// Whether the bracket shrank below the tolerance, or the function vanished.
    pub converged: bool,
}

/// A root of `function` between `low` and `high`, each given as (place, value), the values of
/// opposite sign.
///
/// Chandrupatla's method (Advances in Engineering Software 28, 1997, 145): inverse quadratic
/// steps where they are safe, bisection where they are not. Ends when the bracket is narrower
/// than twice `tolerance` or the function vanishes, or after `most` evaluations. With ends of the
/// same sign, or a value that is not a number, the better end is returned and `converged` is
/// false.
pub fn bracketed_root(
    low: (f64, f64),
    high: (f64, f64),
    tolerance: f64,
    most: usize,
    mut function: impl FnMut(f64) -> f64,
) -> Bracket {
    let better = |p: (f64, f64), q: (f64, f64)| if q.1.abs() < p.1.abs() { q } else { p };
    let end = |p: (f64, f64), evaluations, converged| Bracket {
        root: p.0,
        residual: p.1,
        evaluations,
        converged,
    };
    let (mut a, mut b) = (high, low);
    if a.1 == 0.0 || b.1 == 0.0 {
        return end(better(a, b), 0, true);
    }
    let opposite = a.1 * b.1 < 0.0;
    if !opposite {
        return end(better(a, b), 0, false);
    }
    let mut t = 0.5;
    for evaluations in 1..=most {
        let x = a.0 + t * (b.0 - a.0);
        let here = (x, function(x));
        if !here.1.is_finite() {
            return end(here, evaluations, false);
        }
        let c;
        if here.1 * a.1 > 0.0 {
            c = a;
        } else {
            c = b;
            b = a;
        }
        a = here;
        let width = (b.0 - a.0).abs();
        if a.1 == 0.0 || width <= 2.0 * tolerance {
            return end(better(a, b), evaluations, true);
        }
        let limit = tolerance / width;
        let xi = (a.0 - b.0) / (c.0 - b.0);
        let phi = (a.1 - b.1) / (c.1 - b.1);
        t = if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            a.1 / (b.1 - a.1) * c.1 / (b.1 - c.1)
                + (c.0 - a.0) / (b.0 - a.0) * a.1 / (c.1 - a.1) * b.1 / (c.1 - b.1)
        } else {
            0.5
        };
        t = if t.is_finite() {
            t.clamp(limit, 1.0 - limit)
        } else {
            0.5
        };
    }
    end(better(a, b), most, false)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_roots_of_awkward_functions() {
        type Case = (f64, f64, f64, fn(f64) -> f64);
        let cases: [Case; 4] = [
            (0.0, 2.0, std::f64::consts::SQRT_2, |x| x * x - 2.0),
            (-1.0, 4.0, 0.0, |x| x.powi(9)),
            (0.0, 1.0, 0.567_143_290_409_783_8, |x| x - (-x).exp()),
            (0.0, 10.0, 1e-3, |x| (1e3 * (x - 1e-3)).tanh()),
        ];
        for (low, high, root, f) in cases {
            let found = bracketed_root((low, f(low)), (high, f(high)), 1e-12, 200, f);
            assert!(found.converged, "{found:?}");
            assert!(
                (found.root - root).abs() < 1e-9 || found.residual.abs() < 1e-80,
                "{found:?} {root}"
            );
        }
    }

    #[test]
    fn says_when_there_is_no_sign_change() {
        assert!(!bracketed_root((0.0, 1.0), (1.0, 2.0), 1e-9, 50, |x| x + 1.0).converged);
    }
}
