//! A typed text, such as "1,25 bar" or "7,200 rpm", into an SI value.

use super::units::{CommaRule, Kind, Unit, is_space};

/// Longest text that is read, in characters, spaces at its ends not counted.
pub const LONGEST_TEXT: usize = 64;

/// Largest size of a number that is read. Leaves room to calculate.
const LARGEST: f64 = 1.0e300;
/// Smallest size of a number that is read and is not zero.
const SMALLEST: f64 = 1.0e-300;

/// A text that was understood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The value in the SI unit of its kind.
    pub si: f64,
    /// The number as typed, in `unit`.
    pub value: f64,
    /// The unit it was typed in, or else the default.
    pub unit: &'static Unit,
    /// Whether the text named its unit.
    pub unit_was_typed: bool,
}

/// Why a text was not understood. Every message says what to type instead.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReadError {
    /// Nothing but spaces.
    #[error("Nothing was entered: type a number, and its unit if it is not the one shown.")]
    Empty,
    /// No number at the start, or something that only looks like one ("3/4", "0x10").
    #[error(
        "“{text}” is not a number: type digits, with a point or a comma for decimals, then the \
         unit; 3/4 is typed 0.75."
    )]
    NotANumber {
        /// What was typed.
        text: String,
    },
    /// Infinite, or too large or too small to calculate with.
    #[error(
        "“{text}” is too large or too small to calculate with: type zero or a number between \
         1e-300 and 1e300 in size."
    )]
    NotFinite {
        /// What was typed.
        text: String,
    },
    /// A unit that this kind of quantity does not have.
    #[error("{}", unknown_unit(unit, *kind, known))]
    UnknownUnit {
        /// The unit as typed.
        unit: String,
        /// What is measured.
        kind: Kind,
        /// Symbols of the units it may have, joined by commas; empty if it has none.
        known: String,
    },
    /// Points and commas that can be read in more than one way, or in none.
    #[error(
        "“{text}” can be read in more than one way: leave out the marks between thousands and \
         type a decimal point, as in 7200 or 7.2."
    )]
    AmbiguousSeparator {
        /// What was typed.
        text: String,
    },
    /// A count with a fraction.
    #[error("“{text}” is not a whole number: type one without decimals, such as 4.")]
    NotWhole {
        /// What was typed.
        text: String,
    },
    /// More characters than a number and a unit need.
    #[error(
        "The text has {length} characters and at most {limit} are read: type only a number and \
         its unit."
    )]
    TooLong {
        /// Its length in characters.
        length: usize,
        /// The longest that is read, [`LONGEST_TEXT`].
        limit: usize,
    },
}

fn unknown_unit(unit: &str, kind: Kind, known: &str) -> String {
    let name = kind.name();
    let has = |other: Kind| other.unit(unit).is_some();
    if known.is_empty() {
        format!("“{unit}” follows the number, and a {name} has no unit: type the number alone.")
    } else if kind == Kind::GaugePressure && has(Kind::AbsolutePressure) {
        format!(
            "“{unit}” is absolute pressure, and gauge pressure is asked for: take the ambient \
             pressure off and type the rest in {known}."
        )
    } else if kind == Kind::AbsolutePressure && has(Kind::GaugePressure) {
        format!(
            "“{unit}” is gauge pressure, and absolute pressure is asked for: add the ambient \
             pressure and type the sum in {known}."
        )
    } else {
        format!("“{unit}” is not a unit of {name} known here: type one of {known}.")
    }
}

/// Reads a number, with or without a unit, as a quantity of `kind`; without one it is in
/// `default`, which should be one of the kind's units.
///
/// Decimals follow a point or a comma. Thousands may be set apart by commas, points, spaces,
/// apostrophes or underscores: "1,234.5", "1.234,5" and "1 234.5" are one number. A single comma
/// before exactly three digits goes by the unit's [`CommaRule`]. Exponents ("1e-5") are
/// understood; fractions and hexadecimal numbers are not. How units may be spelled: see
/// [`Kind::unit`].
///
/// # Errors
/// Every [`ReadError`]. The value read is always finite: zero, or 1e-300 to 1e300 in size both
/// as typed and in SI units.
///
/// ```
/// use airpath::quantity::{Kind, ReadError, read};
///
/// let kind = Kind::AbsolutePressure;
/// assert_eq!(read("2,5", kind, kind.metric())?.si, 250_000.0); // Pa
/// assert_eq!(read("250 kPa", kind, kind.metric())?.si, 250_000.0);
///
/// let kind = Kind::EngineSpeed;
/// assert_eq!(read("7,200 rpm", kind, kind.metric())?.value, 7_200.0);
///
/// let kind = Kind::GaugePressure;
/// assert!(matches!(read("18 psia", kind, kind.metric()), Err(ReadError::UnknownUnit { .. })));
/// # Ok::<(), ReadError>(())
/// ```
pub fn read(text: &str, kind: Kind, default: &'static Unit) -> Result<Reading, ReadError> {
    let text = text.trim_matches(is_space);
    if text.is_empty() {
        return Err(ReadError::Empty);
    }
    let length = text.chars().count();
    if length > LONGEST_TEXT {
        return Err(ReadError::TooLong {
            length,
            limit: LONGEST_TEXT,
        });
    }
    let not_a_number = || ReadError::NotANumber {
        text: text.to_owned(),
    };
    let not_finite = || ReadError::NotFinite {
        text: text.to_owned(),
    };

    let split = split(text);
    let rest = split.rest.trim_matches(is_space);
    if split.digits.is_empty() {
        return Err(if is_infinite(rest) {
            not_finite()
        } else {
            not_a_number()
        });
    }
    let unit_was_typed = !rest.is_empty();
    let unit = if unit_was_typed {
        match kind.unit(rest) {
            Some(unit) => unit,
            None if continues_number(&split, rest) => return Err(not_a_number()),
            None => {
                return Err(ReadError::UnknownUnit {
                    unit: rest.to_owned(),
                    kind,
                    known: known_units(kind),
                });
            }
        }
    } else {
        default
    };

    let number = number(&split, unit.comma).ok_or_else(|| ReadError::AmbiguousSeparator {
        text: text.to_owned(),
    })?;
    let value: f64 = number.parse().map_err(|_| not_a_number())?;
    let si = unit.to_si(value);
    // A text such as "1e-999" must not turn into zero in silence.
    let typed_zero = !split.digits.bytes().any(|byte| matches!(byte, b'1'..=b'9'));
    let si_may_be_zero = typed_zero || unit.offset != 0.0;
    if !(in_range(value, typed_zero) && in_range(si, si_may_be_zero)) {
        return Err(not_finite());
    }
    if kind == Kind::Count && value.fract() != 0.0 {
        return Err(ReadError::NotWhole {
            text: text.to_owned(),
        });
    }
    Ok(Reading {
        si,
        value,
        unit,
        unit_was_typed,
    })
}

fn in_range(number: f64, may_be_zero: bool) -> bool {
    (SMALLEST..=LARGEST).contains(&number.abs()) || (may_be_zero && number == 0.0)
}

/// A text taken apart, nothing yet decided about points and commas.
struct Split<'a> {
    negative: bool,
    /// Digits, points and commas; [`MARK`] for every other mark between groups of three digits.
    digits: String,
    /// "e-5", or nothing.
    exponent: String,
    /// What follows the number.
    rest: &'a str,
}

/// Stands for a space, an apostrophe or an underscore between groups of three digits.
const MARK: char = '_';

fn is_mark(sign: char) -> bool {
    is_space(sign) || matches!(sign, '\'' | '’' | '‘' | 'ʼ' | '_')
}

fn is_minus(sign: char) -> bool {
    // The last two are a small and a full-width hyphen.
    matches!(sign, '-' | '−' | '–' | '‒' | '\u{FE63}' | '\u{FF0D}')
}

fn split(text: &str) -> Split<'_> {
    let signs: Vec<(usize, char)> = text.char_indices().collect();
    let sign_at = |index: usize| signs.get(index).map(|&(_, sign)| sign);
    let digit_at = |index: usize| sign_at(index).is_some_and(|sign| sign.is_ascii_digit());

    let mut at = 0;
    let negative = sign_at(0).is_some_and(is_minus);
    if negative || sign_at(0) == Some('+') {
        at += 1;
        while sign_at(at).is_some_and(is_space) {
            at += 1;
        }
    }

    let mut digits = String::new();
    while let Some(sign) = sign_at(at) {
        let after_digit = at > 0 && digit_at(at - 1);
        let separates = matches!(sign, '.' | ',') && (after_digit || digit_at(at + 1));
        if sign.is_ascii_digit() || separates {
            digits.push(sign);
        } else if is_mark(sign)
            && after_digit
            && (1..=3).all(|ahead| digit_at(at + ahead))
            && !digit_at(at + 4)
        {
            digits.push(MARK);
        } else {
            break;
        }
        at += 1;
    }

    let mut exponent = String::new();
    if !digits.is_empty() && matches!(sign_at(at), Some('e' | 'E')) {
        let minus = sign_at(at + 1).is_some_and(is_minus);
        let first = if minus || sign_at(at + 1) == Some('+') {
            at + 2
        } else {
            at + 1
        };
        if digit_at(first) {
            exponent.push_str(if minus { "e-" } else { "e" });
            at = first;
            while let Some(sign) = sign_at(at).filter(char::is_ascii_digit) {
                exponent.push(sign);
                at += 1;
            }
        }
    }

    let rest = signs
        .get(at)
        .map_or("", |&(start, _)| text.get(start..).unwrap_or(""));
    Split {
        negative,
        digits,
        exponent,
        rest,
    }
}

/// The number as Rust writes it, or nothing if its points and commas do not make sense.
fn number(split: &Split, comma: CommaRule) -> Option<String> {
    let digits = split.digits.as_str();
    let points = digits.matches('.').count();
    let commas = digits.matches(',').count();
    let last = digits.rfind(['.', ',']);
    // Which of the marks, if any, sets the decimals apart.
    let decimal = match (points, commas) {
        (0, 0) => None,
        (1, 0) | (0, 1) => {
            let (whole, fraction) = digits.split_once(['.', ','])?;
            if split.exponent.is_empty() && could_be_grouped(whole, fraction) {
                match (comma, commas) {
                    (CommaRule::Decimal, _) | (CommaRule::Refused, 0) => last,
                    (CommaRule::Thousands, 1) => None,
                    (CommaRule::Thousands, _) | (CommaRule::Refused, _) => return None,
                }
            } else {
                last
            }
        }
        (0, _) | (_, 0) => None,
        // Both: the one that comes last, once, is the decimal mark.
        _ => {
            let last = last?;
            let mark = digits.get(last..=last)?;
            if digits.matches(mark).count() != 1 {
                return None;
            }
            Some(last)
        }
    };
    let (whole, fraction) = match decimal {
        Some(at) => (digits.get(..at)?, digits.get(at + 1..)?),
        None => (digits, ""),
    };
    if !fraction.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let whole = join_groups(whole)?;
    let sign = if split.negative { "-" } else { "" };
    Some(format!("{sign}{whole}.{fraction}{}", split.exponent))
}

/// The digits of a whole number whose groups of three are all set apart by the same mark.
fn join_groups(whole: &str) -> Option<String> {
    let Some(mark) = whole.chars().find(|sign| !sign.is_ascii_digit()) else {
        return Some(whole.to_owned());
    };
    let mut groups = whole.split(mark);
    let first = groups.next()?;
    let valid = |group: &str| group.len() == 3 && group.bytes().all(|byte| byte.is_ascii_digit());
    if (1..=3).contains(&first.len()) && !first.starts_with('0') && groups.all(valid) {
        Some(whole.replace(mark, ""))
    } else {
        None
    }
}

/// Whether `whole` and `fraction`, set apart by one mark, could as well be one grouped number.
pub(super) fn could_be_grouped(whole: &str, fraction: &str) -> bool {
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    (1..=3).contains(&whole.len())
        && !whole.starts_with('0')
        && fraction.len() == 3
        && all_digits(whole)
        && all_digits(fraction)
}

/// Whether what follows the digits is more of a number ("3/4", "10-20", "0x10"), not a unit.
fn continues_number(split: &Split, rest: &str) -> bool {
    let after_signs = rest.trim_start_matches(|sign: char| !sign.is_alphanumeric());
    after_signs.starts_with(|sign: char| sign.is_ascii_digit())
        || (split.digits == "0" && rest.starts_with(['x', 'X']))
}

fn is_infinite(text: &str) -> bool {
    ["inf", "infinity", "∞"]
        .iter()
        .any(|name| text.eq_ignore_ascii_case(name))
}

fn known_units(kind: Kind) -> String {
    let symbols: Vec<&str> = kind.units().iter().map(|unit| unit.symbol).collect();
    symbols.join(", ")
}
