//! A step's formula as it is read: symbols, and below them the values.

use super::{How, Step, Unit};
use crate::formula::{self, Put, equation, symbol};
use crate::working::{in_equations, significant};

/// Figures that a value is written with in an equation.
const FIGURES: i32 = 5;

fn value(step: &Step) -> Put {
    let (si, unit) = match step.unit {
        Unit::Kind(kind) => match in_equations(kind) {
            Some(unit) => (unit.from_si(step.value), unit.symbol),
            None => (step.value, ""),
        },
        Unit::RevPerMin => (step.value, "rev/min"),
        Unit::Work => (step.value, "J/kg"),
    };
    formula::value(&significant(si, FIGURES), unit)
}

impl Step {
    /// The formula that the step was worked out by, in MathML: in symbols, and with its values put in;
    /// `None` where it was not worked out by one. `all` are the steps of the same proposal.
    #[must_use]
    pub fn mathml(&self, all: &[Step]) -> Option<(String, String)> {
        let How::Formula { formula, inputs } = &self.how else {
            return None;
        };
        let expression = formula.parse().ok()?;
        let input = |name: &str| {
            let place = formula.arguments.iter().position(|a| *a == name)?;
            let key = inputs.get(place)?;
            all.iter().find(|step| step.key == *key)
        };
        let unknown = || symbol("?");
        let left = symbol(self.symbol).mathml;
        let symbols = equation(&expression, &|name| {
            input(name).map_or_else(unknown, |s| symbol(s.symbol))
        });
        let values = equation(&expression, &|name| input(name).map_or_else(unknown, value));
        let math = |rows: String| format!("<math display=\"block\">{rows}</math>");
        let result = value(self).mathml;
        Some((
            math(format!("<mrow>{left}<mo>=</mo>{symbols}</mrow>")),
            math(format!("<mrow><mo>=</mo>{values}<mo>=</mo>{result}</mrow>")),
        ))
    }
}
