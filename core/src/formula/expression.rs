//! The part of the language that formulas are written in, read back into a tree.

use std::fmt;

/// A relation's right-hand side.
#[derive(Debug, Clone, PartialEq)]
pub enum Expression {
    /// A number as it was written, and its value.
    Number(f64),
    /// An argument, or `PI`.
    Name(String),
    /// −a.
    Negative(Box<Expression>),
    /// a + b.
    Sum(Box<Expression>, Box<Expression>),
    /// a − b.
    Difference(Box<Expression>, Box<Expression>),
    /// a b.
    Product(Box<Expression>, Box<Expression>),
    /// a / b.
    Quotient(Box<Expression>, Box<Expression>),
    /// a to the power b.
    Power(Box<Expression>, Box<Expression>),
    /// √a.
    Root(Box<Expression>),
    /// ln a.
    Logarithm(Box<Expression>),
    /// e to the power a.
    Exponential(Box<Expression>),
    /// The smaller of two.
    Least(Box<Expression>, Box<Expression>),
    /// The larger of two.
    Most(Box<Expression>, Box<Expression>),
}

/// What could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the formula cannot be read at “{0}”")]
pub struct ParseError(String);

#[derive(Debug, Clone, PartialEq)]
enum Token {
    Number(f64),
    Name(String),
    Sign(char),
}

impl fmt::Display for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Token::Number(number) => write!(f, "{number}"),
            Token::Name(name) => f.write_str(name),
            Token::Sign(sign) => write!(f, "{sign}"),
        }
    }
}

fn tokens(text: &str) -> Result<Vec<Token>, ParseError> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let length = if first.is_ascii_digit() {
            number_length(rest)
        } else if first.is_alphabetic() || first == '_' {
            rest.find(|c: char| !(c.is_alphanumeric() || c == '_'))
                .unwrap_or(rest.len())
        } else {
            first.len_utf8()
        };
        let (word, after) = rest.split_at(length);
        tokens.push(if first.is_ascii_digit() {
            let digits: String = word.chars().filter(|c| *c != '_').collect();
            Token::Number(digits.parse().map_err(|_| ParseError(word.to_owned()))?)
        } else if first.is_alphabetic() || first == '_' {
            Token::Name(word.to_owned())
        } else if "+-*/(),.".contains(first) {
            Token::Sign(first)
        } else {
            return Err(ParseError(word.to_owned()));
        });
        // A number may name its type.
        let after = if first.is_ascii_digit() {
            after.strip_prefix("f64").unwrap_or(after)
        } else {
            after
        };
        rest = after.trim_start();
    }
    Ok(tokens)
}

/// Length of the number at the start of `text`: digits, a point with digits behind it, an exponent.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |mut at: usize| {
        while bytes
            .get(at)
            .is_some_and(|b| b.is_ascii_digit() || *b == b'_')
        {
            at += 1;
        }
        at
    };
    let mut end = digits(0);
    if bytes.get(end) == Some(&b'.') && bytes.get(end + 1).is_some_and(u8::is_ascii_digit) {
        end = digits(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        if bytes.get(end + 1 + sign).is_some_and(u8::is_ascii_digit) {
            end = digits(end + 1 + sign);
        }
    }
    end
}

struct Reader {
    tokens: Vec<Token>,
    place: usize,
}

impl Reader {
    fn takes(&mut self, sign: char) -> bool {
        let is = self.tokens.get(self.place) == Some(&Token::Sign(sign));
        self.place += usize::from(is);
        is
    }

    fn wrong<T>(&self) -> Result<T, ParseError> {
        let here = self.tokens.get(self.place);
        Err(ParseError(
            here.map_or("its end".to_owned(), ToString::to_string),
        ))
    }

    fn needs(&mut self, sign: char) -> Result<(), ParseError> {
        if self.takes(sign) {
            Ok(())
        } else {
            self.wrong()
        }
    }

    fn sum(&mut self) -> Result<Expression, ParseError> {
        let mut left = self.product()?;
        loop {
            let (a, make): (_, fn(_, _) -> _) = if self.takes('+') {
                (self.product()?, Expression::Sum)
            } else if self.takes('-') {
                (self.product()?, Expression::Difference)
            } else {
                return Ok(left);
            };
            left = make(Box::new(left), Box::new(a));
        }
    }

    fn product(&mut self) -> Result<Expression, ParseError> {
        let mut left = self.signed()?;
        loop {
            let (a, make): (_, fn(_, _) -> _) = if self.takes('*') {
                (self.signed()?, Expression::Product)
            } else if self.takes('/') {
                (self.signed()?, Expression::Quotient)
            } else {
                return Ok(left);
            };
            left = make(Box::new(left), Box::new(a));
        }
    }

    fn signed(&mut self) -> Result<Expression, ParseError> {
        if self.takes('-') {
            return Ok(Expression::Negative(Box::new(self.signed()?)));
        }
        self.called()
    }

    /// An atom and the methods called on it.
    fn called(&mut self) -> Result<Expression, ParseError> {
        let mut inner = self.atom()?;
        while self.takes('.') {
            let Some(Token::Name(method)) = self.tokens.get(self.place).cloned() else {
                return self.wrong();
            };
            self.place += 1;
            self.needs('(')?;
            let argument = if self.takes(')') {
                None
            } else {
                let argument = self.sum()?;
                self.needs(')')?;
                Some(Box::new(argument))
            };
            let on = Box::new(inner);
            inner = match (method.as_str(), argument) {
                ("sqrt", None) => Expression::Root(on),
                ("ln", None) => Expression::Logarithm(on),
                ("exp", None) => Expression::Exponential(on),
                ("powi" | "powf", Some(power)) => Expression::Power(on, power),
                ("min", Some(other)) => Expression::Least(on, other),
                ("max", Some(other)) => Expression::Most(on, other),
                (other, _) => return Err(ParseError(other.to_owned())),
            };
        }
        Ok(inner)
    }

    fn atom(&mut self) -> Result<Expression, ParseError> {
        let atom = match self.tokens.get(self.place) {
            Some(Token::Number(number)) => Expression::Number(*number),
            Some(Token::Name(name)) => Expression::Name(name.clone()),
            Some(Token::Sign('(')) => {
                self.place += 1;
                let inner = self.sum()?;
                self.needs(')')?;
                return Ok(inner);
            }
            _ => return self.wrong(),
        };
        self.place += 1;
        Ok(atom)
    }
}

impl Expression {
    /// Reads an expression.
    ///
    /// # Errors
    /// The first place that is no sum, product, quotient, power, root, logarithm, exponential,
    /// least or most of numbers and names.
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        let mut reader = Reader {
            tokens: tokens(text)?,
            place: 0,
        };
        let whole = reader.sum()?;
        if reader.place == reader.tokens.len() {
            Ok(whole)
        } else {
            reader.wrong()
        }
    }

    /// Its value, `value` telling that of a name.
    ///
    /// # Errors
    /// A name without a value.
    pub fn evaluate(&self, value: &dyn Fn(&str) -> Option<f64>) -> Result<f64, ParseError> {
        let of = |e: &Expression| e.evaluate(value);
        Ok(match self {
            Expression::Number(number) => *number,
            Expression::Name(name) if name == "PI" => std::f64::consts::PI,
            Expression::Name(name) => value(name).ok_or_else(|| ParseError(name.clone()))?,
            Expression::Negative(a) => -of(a)?,
            Expression::Sum(a, b) => of(a)? + of(b)?,
            Expression::Difference(a, b) => of(a)? - of(b)?,
            Expression::Product(a, b) => of(a)? * of(b)?,
            Expression::Quotient(a, b) => of(a)? / of(b)?,
            Expression::Power(a, b) => of(a)?.powf(of(b)?),
            Expression::Root(a) => of(a)?.sqrt(),
            Expression::Logarithm(a) => of(a)?.ln(),
            Expression::Exponential(a) => of(a)?.exp(),
            Expression::Least(a, b) => of(a)?.min(of(b)?),
            Expression::Most(a, b) => of(a)?.max(of(b)?),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> f64 {
        Expression::parse(text)
            .and_then(|e| e.evaluate(&|name| (name == "x").then_some(3.0)))
            .expect(text)
    }

    #[test]
    fn reads_as_the_compiler_does() {
        assert_eq!(
            value("1.0 - 2.0 - x * 2.0 / 4.0"),
            1.0 - 2.0 - 3.0 * 2.0 / 4.0
        );
        assert_eq!(value("-x.powi(2) + (x + 1.0).sqrt()"), -9.0 + 2.0);
        assert_eq!(value("2.0 / x / 4.0"), 2.0 / 3.0 / 4.0);
        assert_eq!(value("1_000.5e-3 * x.max(4.0).min(5.0)"), 1.0005 * 4.0);
        assert_eq!(
            value("(x - 1.0).powf(-0.5).ln().exp()"),
            (2.0f64.powf(-0.5)).ln().exp()
        );
    }

    #[test]
    fn says_where_it_cannot_read() {
        for (text, at) in [
            ("1.0 +", "its end"),
            ("x x", "x"),
            ("x.tan()", "tan"),
            ("x % 2.0", "%"),
            ("(x", "its end"),
            ("y", "y"),
        ] {
            let found =
                Expression::parse(text).and_then(|e| e.evaluate(&|n| (n == "x").then_some(1.0)));
            assert_eq!(found, Err(ParseError(at.to_owned())), "{text}");
        }
    }
}
