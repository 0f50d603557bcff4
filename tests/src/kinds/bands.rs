//! Bands: percentiles, ranks, regression on ranks, spreads, evenly filled boxes.

use super::Kind;
use crate::row::Inputs;
use airpath::spread::statistics::{Regression, percentile, rank_regression, ranks, rising};
use airpath::spread::{Sequence, Shape, Values};

const STATISTICS: &str = "Bands: percentiles and which guess matters most";
const SAMPLING: &str = "Bands: what is drawn from a guess's spread";

/// The kinds about bands.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "percentile",
        result: STATISTICS,
        run: |inputs| {
            let values = rising(&numbers(inputs, "factor")?);
            percentile(&values, inputs.number("share")?).ok_or_else(|| "no values".to_owned())
        },
    },
    Kind {
        name: "rank",
        result: STATISTICS,
        run: |inputs| {
            let ranks = ranks(&numbers(inputs, "factor")?);
            let place = inputs.number("place")? as usize;
            ranks.get(place).copied().ok_or_else(|| "no place".into())
        },
    },
    Kind {
        name: "rank_regression",
        result: STATISTICS,
        run: |inputs| {
            let which = inputs.number("which")? as usize;
            let found = regression(inputs)?.coefficients;
            found.get(which).copied().ok_or_else(|| "no input".into())
        },
    },
    Kind {
        name: "rank_r_squared",
        result: STATISTICS,
        run: |inputs| {
            let found = regression(inputs)?.r_squared;
            found.ok_or_else(|| "the outcome does not vary".to_owned())
        },
    },
    Kind {
        name: "spread_value",
        result: SAMPLING,
        run: |inputs| {
            let (low, high) = (inputs.number("low")?, inputs.number("high")?);
            let shape = match inputs.name("shape")? {
                "peaked" => Shape::Peaked,
                "even" => Shape::Even,
                other => return Err(format!("there is no shape {other}")),
            };
            let values = Values {
                shape,
                middle: 0.5 * (low + high),
                low,
                high,
                range: (f64::NEG_INFINITY, f64::INFINITY),
            };
            Ok(values.at(inputs.number("share")?))
        },
    },
    Kind {
        name: "centred_discrepancy",
        result: SAMPLING,
        run: |inputs| {
            let dimensions = inputs.number("dimensions")? as usize;
            let count = inputs.number("count")? as u32;
            Ok(centred_discrepancy(dimensions, count))
        },
    },
];

/// The numbers that the rows are about: places times a factor, modulo another.
fn multiples(count: f64, factor: f64, modulus: f64) -> Vec<f64> {
    (0..count as u32)
        .map(|i| f64::from(i) * factor % modulus)
        .collect()
}

fn numbers(inputs: &Inputs, factor: &str) -> Result<Vec<f64>, String> {
    let number = |name| inputs.number(name);
    Ok(multiples(
        number("count")?,
        number(factor)?,
        number("modulus")?,
    ))
}

fn regression(inputs: &Inputs) -> Result<Regression, String> {
    let mut columns = Vec::new();
    for factor in ["factor0", "factor1", "factor2"] {
        columns.push(multiples(500.0, inputs.number(factor)?, 997.0));
    }
    let bend = inputs.number("bend")?;
    let outcome: Vec<f64> = (0..500)
        .map(|i| {
            let x = |d: usize| columns[d][i];
            4.0 * x(0) - 2.0 * x(1) + x(2) + bend * x(0) * x(0)
        })
        .collect();
    Ok(rank_regression(&columns, &outcome))
}

/// How unevenly the first points of the sequence fill a box: Hickernell's centred L2 discrepancy,
/// squared (Math. Comp. 67, 1998, 299).
fn centred_discrepancy(dimensions: usize, count: u32) -> f64 {
    let sequence = Sequence::new(1);
    let points: Vec<Vec<f64>> = (0..count)
        .map(|i| {
            let from_middle = |d| sequence.at(i, d) - 0.5;
            (0..dimensions).map(from_middle).collect()
        })
        .collect();
    let n = f64::from(count);
    let one: f64 = points
        .iter()
        .map(|p| {
            p.iter()
                .map(|x| 1.0 + 0.5 * x.abs() - 0.5 * x * x)
                .product::<f64>()
        })
        .sum();
    let two: f64 = points
        .iter()
        .flat_map(|p| points.iter().map(move |q| (p, q)))
        .map(|(p, q)| {
            let pairs = p.iter().zip(q);
            pairs
                .map(|(x, y)| 1.0 + 0.5 * x.abs() + 0.5 * y.abs() - 0.5 * (x - y).abs())
                .product::<f64>()
        })
        .sum();
    (13.0_f64 / 12.0).powi(dimensions as i32) - 2.0 / n * one + two / (n * n)
}
