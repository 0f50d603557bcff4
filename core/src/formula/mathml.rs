//! Formulas in textbook notation, as MathML Core.

use super::Expression;

/// What stands in the place of a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Put {
    /// Its MathML.
    pub mathml: String,
    /// It carries an exponent without brackets.
    pub single: bool,
    /// It is a figure, so that a sign of multiplication must stand beside it.
    pub figure: bool,
}

/// How tightly a piece holds together.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Holds {
    Sum,
    Product,
    Whole,
    Single,
}

struct Piece {
    mathml: String,
    holds: Holds,
    /// Begins or ends with a figure.
    figure: bool,
}

/// A symbol such as `T_1` or `ṁ_air`: what follows the underline is set below it.
#[must_use]
pub fn symbol(text: &str) -> Put {
    let letters = |part: &str| {
        let tag = if part.bytes().all(|b| b.is_ascii_digit()) {
            "mn"
        } else {
            "mi"
        };
        // A subscript of several letters is a word and stands upright.
        format!("<{tag}>{part}</{tag}>")
    };
    let mathml = match text.split_once('_') {
        Some((base, below)) => format!("<msub>{}{}</msub>", letters(base), letters(below)),
        None => letters(text),
    };
    Put {
        mathml,
        single: true,
        figure: false,
    }
}

/// A figure with its unit.
#[must_use]
pub fn value(number: &str, unit: &str) -> Put {
    let negative = number.starts_with('−') || number.starts_with('-');
    let figure = format!("<mn>{number}</mn>");
    let mathml = match unit {
        "" => figure,
        unit => format!("<mrow>{figure}<mspace width=\"0.2em\"/><mtext>{unit}</mtext></mrow>"),
    };
    let mathml = if negative { bracketed(&mathml) } else { mathml };
    Put {
        mathml,
        single: unit.is_empty() || negative,
        figure: true,
    }
}

fn bracketed(inner: &str) -> String {
    format!("<mrow><mo>(</mo>{inner}<mo>)</mo></mrow>")
}

/// A number of the formula itself: plain, or a power of ten.
fn number(value: f64) -> String {
    let power = value.log10();
    if value >= 1e4 && power == power.trunc() || value > 0.0 && value < 1e-3 {
        let exponent = power.floor();
        let share = value / 10f64.powf(exponent);
        let share = (share * 1e9).round() / 1e9;
        let sign = if exponent < 0.0 { "−" } else { "" };
        let ten = format!("<msup><mn>10</mn><mn>{sign}{}</mn></msup>", exponent.abs());
        return if share == 1.0 {
            ten
        } else {
            format!("<mrow><mn>{share}</mn><mo>×</mo>{ten}</mrow>")
        };
    }
    format!("<mn>{value}</mn>")
}

fn piece(e: &Expression, put: &dyn Fn(&str) -> Put) -> Piece {
    nested(e, put, false)
}

/// `small`: inside a fraction, a root or an exponent, where another bar would be too small to read.
fn nested(e: &Expression, put: &dyn Fn(&str) -> Put, small: bool) -> Piece {
    let whole = |mathml: String, holds: Holds| Piece {
        mathml,
        holds,
        figure: false,
    };
    let at_least = |e: &Expression, least: Holds| {
        let inner = nested(e, put, small);
        if inner.holds < least {
            Piece {
                mathml: bracketed(&inner.mathml),
                holds: Holds::Single,
                figure: inner.figure,
            }
        } else {
            inner
        }
    };
    match e {
        Expression::Number(value) => Piece {
            mathml: number(*value),
            holds: Holds::Single,
            figure: true,
        },
        Expression::Name(name) if name == "PI" => whole("<mi>π</mi>".to_owned(), Holds::Single),
        Expression::Name(name) => {
            let put = put(name);
            Piece {
                mathml: put.mathml,
                holds: if put.single {
                    Holds::Single
                } else {
                    Holds::Whole
                },
                figure: put.figure,
            }
        }
        Expression::Negative(a) => whole(
            format!(
                "<mrow><mo>−</mo>{}</mrow>",
                at_least(a, Holds::Product).mathml
            ),
            Holds::Sum,
        ),
        Expression::Sum(a, b) | Expression::Difference(a, b) => {
            let sign = if matches!(e, Expression::Sum(..)) {
                '+'
            } else {
                '−'
            };
            let (a, b) = (nested(a, put, small), at_least(b, Holds::Product));
            whole(
                format!("<mrow>{}<mo>{sign}</mo>{}</mrow>", a.mathml, b.mathml),
                Holds::Sum,
            )
        }
        Expression::Product(a, b) => {
            let (a, b) = (at_least(a, Holds::Product), at_least(b, Holds::Product));
            let times = if a.figure || b.figure {
                "×"
            } else {
                "&#x2062;"
            };
            Piece {
                mathml: format!("<mrow>{}<mo>{times}</mo>{}</mrow>", a.mathml, b.mathml),
                holds: Holds::Product,
                figure: b.figure,
            }
        }
        Expression::Quotient(a, b) if small => {
            let (a, b) = (at_least(a, Holds::Product), at_least(b, Holds::Whole));
            Piece {
                mathml: format!("<mrow>{}<mo>/</mo>{}</mrow>", a.mathml, b.mathml),
                holds: Holds::Product,
                figure: b.figure,
            }
        }
        Expression::Quotient(a, b) => {
            let (a, b) = (nested(a, put, true), nested(b, put, true));
            Piece {
                mathml: format!("<mfrac>{}{}</mfrac>", a.mathml, b.mathml),
                holds: Holds::Whole,
                figure: a.figure && b.figure,
            }
        }
        Expression::Power(a, b) => {
            if matches!(**b, Expression::Number(half) if half == 0.5) {
                return nested(&Expression::Root(a.clone()), put, small);
            }
            let a = at_least(a, Holds::Single);
            Piece {
                mathml: format!("<msup>{}{}</msup>", a.mathml, nested(b, put, true).mathml),
                holds: Holds::Whole,
                figure: a.figure,
            }
        }
        Expression::Root(a) => whole(
            format!("<msqrt>{}</msqrt>", nested(a, put, true).mathml),
            Holds::Single,
        ),
        Expression::Logarithm(a) => whole(
            format!(
                "<mrow><mi>ln</mi><mo>&#x2061;</mo>{}</mrow>",
                at_least(a, Holds::Whole).mathml
            ),
            Holds::Whole,
        ),
        Expression::Exponential(a) => whole(
            format!("<msup><mi>e</mi>{}</msup>", nested(a, put, true).mathml),
            Holds::Whole,
        ),
        Expression::Least(a, b) | Expression::Most(a, b) => {
            let name = if matches!(e, Expression::Least(..)) {
                "min"
            } else {
                "max"
            };
            whole(
                format!(
                    "<mrow><mi>{name}</mi><mo>(</mo>{}<mo>,</mo>{}<mo>)</mo></mrow>",
                    nested(a, put, true).mathml,
                    nested(b, put, true).mathml
                ),
                Holds::Single,
            )
        }
    }
}

/// The expression in MathML, `put` giving what stands for each name.
#[must_use]
pub fn equation(e: &Expression, put: &dyn Fn(&str) -> Put) -> String {
    piece(e, put).mathml
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> String {
        equation(&Expression::parse(text).expect(text), &|name| {
            if name == "five" {
                value("5", "kPa")
            } else {
                symbol(name)
            }
        })
    }

    #[test]
    fn brackets_stand_where_they_are_needed_and_only_there() {
        assert_eq!(
            written("a * (b / c) * d"),
            "<mrow><mrow><mi>a</mi><mo>&#x2062;</mo><mfrac><mi>b</mi><mi>c</mi></mfrac></mrow><mo>&#x2062;</mo><mi>d</mi></mrow>"
        );
        assert_eq!(
            written("(a / b).powi(2) - (c - d)"),
            "<mrow><msup><mrow><mo>(</mo><mfrac><mi>a</mi><mi>b</mi></mfrac><mo>)</mo></mrow><mn>2</mn></msup><mo>−</mo><mrow><mo>(</mo><mrow><mi>c</mi><mo>−</mo><mi>d</mi></mrow><mo>)</mo></mrow></mrow>"
        );
        // A second bar would be too small to read.
        assert_eq!(
            written("(a / b).sqrt() / (c / d)"),
            "<mfrac><msqrt><mrow><mi>a</mi><mo>/</mo><mi>b</mi></mrow></msqrt><mrow><mi>c</mi><mo>/</mo><mi>d</mi></mrow></mfrac>"
        );
        assert_eq!(
            written("a.powi(2) * five.powi(2)"),
            "<mrow><msup><mi>a</mi><mn>2</mn></msup><mo>×</mo><msup><mrow><mo>(</mo><mrow><mn>5</mn><mspace width=\"0.2em\"/><mtext>kPa</mtext></mrow><mo>)</mo></mrow><mn>2</mn></msup></mrow>"
        );
    }

    #[test]
    fn numbers_of_a_formula_are_written_as_a_book_would() {
        assert_eq!(number(120.0), "<mn>120</mn>");
        assert_eq!(number(1e5), "<msup><mn>10</mn><mn>5</mn></msup>");
        assert_eq!(
            number(2.5e-6),
            "<mrow><mn>2.5</mn><mo>×</mo><msup><mn>10</mn><mn>−6</mn></msup></mrow>"
        );
        assert_eq!(number(0.0065), "<mn>0.0065</mn>");
        assert_eq!(symbol("Δp_1").mathml, "<msub><mi>Δp</mi><mn>1</mn></msub>");
    }
}
