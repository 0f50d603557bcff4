//! The little statistics that bands take: percentiles, ranks, regression on ranks.

use nalgebra::{DMatrix, DVector, SymmetricEigen};

/// Part of the largest eigenvalue of the inputs' correlations below which a direction counts as not
/// there: inputs that move together cannot be told apart.
const NOTHING: f64 = 1e-9;

/// The value below which a share (0 to 1) of values lies, the values in rising order: straight between
/// neighbours (Hyndman & Fan 1996, definition 7). Infinities may stand at the ends; between a finite
/// and an infinite value lies the infinite one. `None` of no values.
#[must_use]
pub fn percentile(rising: &[f64], share: f64) -> Option<f64> {
    let last = rising.len().checked_sub(1)?;
    let place = share.clamp(0.0, 1.0) * last as f64;
    let below = (place.floor() as usize).min(last);
    let (low, part) = (*rising.get(below)?, place - below as f64);
    match rising.get(below + 1) {
        Some(high) if part > 0.0 && high != &low => Some(if high.is_finite() && low.is_finite() {
            low + part * (high - low)
        } else if low.is_finite() {
            *high
        } else {
            low
        }),
        _ => Some(low),
    }
}

/// Places of the values in rising order, from 1; equals share the mean of their places.
#[must_use]
pub fn ranks(values: &[f64]) -> Vec<f64> {
    let order = in_order(values);
    let mut ranks = vec![0.0; values.len()];
    let mut from = 0;
    while from < order.len() {
        let value = values[order[from]];
        let to = order[from..]
            .iter()
            .position(|&i| values[i] != value)
            .map_or(order.len(), |n| from + n.max(1));
        let mean = 0.5 * (from + 1 + to) as f64;
        for &index in &order[from..to] {
            ranks[index] = mean;
        }
        from = to;
    }
    ranks
}

/// Indices of the values in rising order; equals stay as they stood.
fn in_order(values: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]).then(a.cmp(&b)));
    order
}

/// The values in rising order.
#[must_use]
pub fn rising(values: &[f64]) -> Vec<f64> {
    let order = in_order(values);
    order.into_iter().map(|i| values[i]).collect()
}

/// How an outcome goes with each input.
#[derive(Debug, Clone, PartialEq)]
pub struct Regression {
    /// Standardised regression coefficient of each input, −1 to 1 where inputs do not go together:
    /// its square is about the share of the outcome's variance that the input accounts for. 0 of an
    /// input that does not vary.
    pub coefficients: Vec<f64>,
    /// Share of the outcome's variance that all of them together account for; `None` where the
    /// outcome does not vary.
    pub r_squared: Option<f64>,
}

/// Standardised regression coefficients of an outcome's ranks on those of the inputs (Saltelli,
/// Chan & Scott, *Sensitivity Analysis*, 2000, ch. 6; from memory): sound where the outcome rises or
/// falls with each input, straight or not.
///
/// `inputs` holds, for each input, a value for each value of `outcome`. Inputs that do not vary get
/// 0; inputs that go together share what they have in common (the least coefficients that do).
#[must_use]
pub fn rank_regression(inputs: &[Vec<f64>], outcome: &[f64]) -> Regression {
    let none = Regression {
        coefficients: vec![0.0; inputs.len()],
        r_squared: None,
    };
    let Some(y) = standard(&ranks(outcome)) else {
        return none;
    };
    let columns: Vec<(usize, DVector<f64>)> = inputs
        .iter()
        .enumerate()
        .filter(|(_, values)| values.len() == outcome.len())
        .filter_map(|(i, values)| Some((i, standard(&ranks(values))?)))
        .collect();
    let count = columns.len();
    if count == 0 {
        return none;
    }
    // Correlations among the inputs, and of each with the outcome.
    let among = DMatrix::from_fn(count, count, |r, c| columns[r].1.dot(&columns[c].1));
    let with = DVector::from_fn(count, |r, _| columns[r].1.dot(&y));
    let eigen = SymmetricEigen::new(among);
    let largest = eigen.eigenvalues.iter().copied().fold(0.0, f64::max);
    let mut along = eigen.eigenvectors.tr_mul(&with);
    for (part, value) in along.iter_mut().zip(eigen.eigenvalues.iter()) {
        *part = if *value > NOTHING * largest {
            *part / value
        } else {
            0.0
        };
    }
    let found = &eigen.eigenvectors * along;
    let mut coefficients = none.coefficients;
    for ((place, _), coefficient) in columns.iter().zip(found.iter()) {
        coefficients[*place] = *coefficient;
    }
    Regression {
        coefficients,
        r_squared: Some(found.dot(&with).clamp(0.0, 1.0)),
    }
}

/// Values less their mean, of length 1; `None` where they do not vary.
fn standard(values: &[f64]) -> Option<DVector<f64>> {
    let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
    let vector = DVector::from_iterator(values.len(), values.iter().map(|v| v - mean));
    let length = vector.norm();
    (length > 1e-9 * values.len() as f64).then(|| vector / length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn equals_share_their_rank() {
        assert_eq!(
            ranks(&[3.0, 1.0, f64::INFINITY, 3.0, f64::INFINITY, f64::INFINITY]),
            [2.5, 1.0, 5.0, 2.5, 5.0, 5.0]
        );
        assert!(ranks(&[]).is_empty());
    }

    #[test]
    fn percentiles_meet_infinities() {
        let values = [1.0, 2.0, f64::INFINITY];
        assert_eq!(percentile(&values, 0.25), Some(1.5));
        assert_eq!(percentile(&values, 0.75), Some(f64::INFINITY));
        assert_eq!(percentile(&[], 0.5), None);
        assert_eq!(percentile(&[4.0], 0.9), Some(4.0));
    }

    #[test]
    fn an_input_that_stands_still_and_one_that_stands_twice_are_borne() {
        let x: Vec<f64> = (0..200).map(|i| f64::from(i * 37 % 200)).collect();
        let z: Vec<f64> = (0..200).map(|i| f64::from(i * 113 % 199)).collect();
        let y: Vec<f64> = x.iter().zip(&z).map(|(x, z)| x - 0.2 * z).collect();
        let still = vec![4.0; 200];
        let found = rank_regression(&[x.clone(), still, x.clone(), z.clone()], &y);
        let alone = rank_regression(&[x, z], &y);
        let c = &found.coefficients;
        assert_eq!(c[1], 0.0);
        assert!((c[0] - c[2]).abs() < 1e-9, "{c:?}");
        assert!((c[0] + c[2] - alone.coefficients[0]).abs() < 1e-9, "{c:?}");
        assert!((c[3] - alone.coefficients[1]).abs() < 1e-9, "{c:?}");
        assert!(alone.r_squared > Some(0.95));
    }

    #[test]
    fn an_outcome_that_does_not_vary_has_no_cause() {
        let x: Vec<f64> = (0..50).map(f64::from).collect();
        let found = rank_regression(&[x], &[7.0; 50]);
        assert_eq!(found.coefficients, [0.0]);
        assert_eq!(found.r_squared, None);
        assert_eq!(rank_regression(&[], &[]).r_squared, None);
    }

    proptest! {
        #[test]
        fn percentiles_are_in_order_and_within_the_values(
            values in prop::collection::vec(-1e6..1e6f64, 1..80), a in 0.0..1.0f64, b in 0.0..1.0f64,
        ) {
            let values = rising(&values);
            let low = percentile(&values, a.min(b)).expect("there are values");
            let high = percentile(&values, a.max(b)).expect("there are values");
            prop_assert!(low <= high);
            prop_assert!(low >= values[0] && high <= values[values.len() - 1]);
        }

        #[test]
        fn ranks_add_up(values in prop::collection::vec(0..20i32, 0..60)) {
            let values: Vec<f64> = values.into_iter().map(f64::from).collect();
            let n = values.len() as f64;
            prop_assert!((ranks(&values).iter().sum::<f64>() - 0.5 * n * (n + 1.0)).abs() < 1e-9);
        }
    }
}
