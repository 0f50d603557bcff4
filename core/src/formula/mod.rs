//! Formulas that can be read: a relation's function and its written form are the same tokens.
//!
//! [`formula!`](crate::formula) declares a function of `f64`s and, in a module of the same name, its
//! [`Formula`]: the very expression that is compiled, as text. What is shown to a reader can
//! therefore not drift from what is computed.

mod expression;
mod mathml;

pub use expression::{Expression, ParseError};
pub use mathml::{Put, equation, symbol, value};

/// A relation in writing.
#[derive(Debug, PartialEq, Eq)]
pub struct Formula {
    /// Its name, as in the code.
    pub name: &'static str,
    /// Names of its arguments, in order.
    pub arguments: &'static [&'static str],
    /// The expression, as it was compiled.
    pub expression: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

impl Formula {
    /// The expression, parsed.
    ///
    /// # Errors
    /// An expression that uses more of the language than is written out; a test reads every
    /// formula there is.
    pub fn parse(&self) -> Result<Expression, ParseError> {
        Expression::parse(self.expression)
    }

    /// The written expression's value with `values` for the arguments, in their order: what a
    /// reader with a calculator would get.
    ///
    /// # Errors
    /// As [`Formula::parse`], and a name that is no argument.
    pub fn evaluate(&self, values: &[f64]) -> Result<f64, ParseError> {
        self.parse()?.evaluate(&|name| {
            let place = self.arguments.iter().position(|a| *a == name)?;
            values.get(place).copied()
        })
    }
}

/// Declares formulas: functions of `f64`s, each with its written form beside it.
///
/// ```
/// airpath::formula! {
///     /// Speed of a falling stone, m/s, after `height` in m.
///     pub fn falling_speed(gravity, height) = (2.0 * gravity * height).sqrt();
///     source "any mechanics text";
/// }
/// assert_eq!(falling_speed(9.81, 2.0), (2.0_f64 * 9.81 * 2.0).sqrt());
/// assert_eq!(falling_speed::FORMULA.arguments, ["gravity", "height"]);
/// assert_eq!(falling_speed::FORMULA.evaluate(&[9.81, 2.0]), Ok(falling_speed(9.81, 2.0)));
/// ```
#[macro_export]
macro_rules! formula {
    ($( $(#[$about:meta])* pub fn $name:ident($($argument:ident),* $(,)?) = $body:expr;
        source $source:literal; )*) => { $(
        $(#[$about])*
        #[doc = concat!("\n\nSource: ", $source)]
        #[must_use]
        #[inline]
        #[allow(clippy::too_many_arguments, clippy::suboptimal_flops)]
        pub fn $name($($argument: f64),*) -> f64 {
            $body
        }

        #[doc = concat!("The written form of [`", stringify!($name), "()`].")]
        pub mod $name {
            /// The written form.
            pub static FORMULA: $crate::formula::Formula = $crate::formula::Formula {
                name: stringify!($name),
                arguments: &[$(stringify!($argument)),*],
                expression: stringify!($body),
                source: $source,
            };
        }
    )* };
}
