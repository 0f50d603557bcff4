//! How a working is written: figures and formulas.

use super::{Measure, Origin, Step, Working};
use crate::formula::{self, Put, equation, symbol};
use crate::quantity::{Kind, Unit};

/// Figures that a value is written with in an equation: enough that a reader with a calculator gets
/// the result, few enough to read.
const FIGURES: i32 = 5;

/// The unit in which values of a kind stand in equations: coherent, and the same for all
/// pressures. `None` where the plain SI number is put in.
#[must_use]
pub fn in_equations(kind: Kind) -> Option<&'static Unit> {
    let symbol = match kind {
        Kind::AbsolutePressure | Kind::GaugePressure | Kind::PressureDifference => "kPa",
        Kind::Temperature | Kind::TemperatureDifference => "K",
        Kind::Fraction | Kind::Ratio | Kind::Count => return None,
        other => return Some(other.metric()),
    };
    kind.unit(symbol)
}

/// A number with so many significant figures, thousands set apart, trailing zeros dropped.
#[must_use]
pub fn significant(value: f64, figures: i32) -> String {
    if !value.is_finite() {
        return format!("{value}");
    }
    // What the solver leaves of a zero is a zero.
    if value.abs() < 1e-9 {
        return "0".to_owned();
    }
    let decimals = (figures - 1 - value.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => ("−", rest),
        None => ("", text),
    };
    let (whole, rest) = digits.split_at(digits.find('.').unwrap_or(digits.len()));
    let mut grouped = String::new();
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && whole.len() > 4 && (whole.len() - place) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{sign}{grouped}{rest}")
}

/// A step's value as it stands in an equation: figure and unit.
#[must_use]
pub fn figure(step: &Step) -> (String, &'static str) {
    match step.measure {
        Measure::In(unit) => (significant(step.value, FIGURES), unit),
        Measure::Kind(kind) => match in_equations(kind) {
            Some(unit) => (significant(unit.from_si(step.value), FIGURES), unit.symbol),
            None => (significant(step.value, FIGURES), ""),
        },
    }
}

fn value(step: &Step) -> Put {
    let (number, unit) = figure(step);
    formula::value(&number, unit)
}

fn math(rows: &str) -> String {
    format!("<math display=\"block\">{rows}</math>")
}

/// A formula in symbols, and with its values put in.
pub(super) fn mathml(working: &Working, step: &Step) -> Option<(String, String)> {
    let left = symbol(step.symbol).mathml;
    let result = value(step).mathml;
    match &step.origin {
        Origin::Formula {
            formula,
            inputs,
            bound,
        } => {
            let expression = formula.parse().ok()?;
            let input = |name: &str| {
                let place = formula.arguments.iter().position(|a| *a == name)?;
                working.step(inputs.get(place)?)
            };
            let unknown = || symbol("?");
            let symbols = equation(&expression, &|name| {
                input(name).map_or_else(unknown, |s| symbol(s.symbol))
            });
            let values = equation(&expression, &|name| input(name).map_or_else(unknown, value));
            // A value held at its bound is not what the formula gives.
            let is = if bound.is_some() { "≠" } else { "=" };
            Some((
                math(&format!("<mrow>{left}<mo>=</mo>{symbols}</mrow>")),
                math(&format!(
                    "<mrow><mo>=</mo>{values}<mo>{is}</mo>{result}</mrow>"
                )),
            ))
        }
        Origin::Meeting { left, right, .. } => {
            let (left, right) = (working.step(left)?, working.step(right)?);
            Some((
                math(&format!(
                    "<mrow>{}<mo>=</mo>{}</mrow>",
                    symbol(left.symbol).mathml,
                    symbol(right.symbol).mathml
                )),
                math(&format!(
                    "<mrow>{}<mo>=</mo>{}</mrow>",
                    value(left).mathml,
                    value(right).mathml
                )),
            ))
        }
        Origin::Read { inputs, .. } => {
            let places: Vec<_> = inputs.iter().filter_map(|key| working.step(key)).collect();
            let list = |put: &dyn Fn(&Step) -> String| {
                let each: Vec<String> = places.iter().map(|s| put(s)).collect();
                each.join("<mo>,</mo>")
            };
            Some((
                math(&format!(
                    "<mrow>{left}<mo>=</mo>{left}<mo>(</mo>{}<mo>)</mo></mrow>",
                    list(&|s| symbol(s.symbol).mathml)
                )),
                math(&format!(
                    "<mrow>{left}<mo>(</mo>{}<mo>)</mo><mo>=</mo>{result}</mrow>",
                    list(&|s| value(s).mathml)
                )),
            ))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::significant;

    fn rounded(value: f64) -> String {
        significant(value, 5)
    }

    #[test]
    fn figures_are_few_and_grouped() {
        assert_eq!(rounded(101_325.0), "101,325");
        assert_eq!(rounded(0.278_214_9), "0.27821");
        assert_eq!(rounded(-3.0), "−3");
        assert_eq!(rounded(7200.0), "7200");
        assert_eq!(rounded(0.0), "0");
    }
}
