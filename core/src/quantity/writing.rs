//! SI values into text that [`read`](super::read) understands.

use super::reading::could_be_grouped;
use super::units::{CommaRule, Unit};

/// Text for a value that is not finite; [`read`](super::read) refuses it.
const NOT_FINITE: &str = "not finite";
/// Most decimals written; a double holds no more.
const MOST_DECIMALS: u8 = 17;
/// From this size on, and below [`SMALLEST_PLAIN`], numbers are written with an exponent.
const LARGEST_PLAIN: f64 = 1.0e15;
/// See [`LARGEST_PLAIN`].
const SMALLEST_PLAIN: f64 = 1.0e-5;

/// Writes the SI value `si` in `unit`, rounded to `decimals`, with the unit's symbol.
///
/// The decimal mark is a point, thousands are not separated and minus is a plain hyphen, so
/// that the text can be read back. More than 17 decimals are cut to 17. A value that is not
/// finite gives "not finite".
///
/// ```
/// use airpath::quantity::{Kind, write};
///
/// assert_eq!(write(124_106.0, Kind::GaugePressure.metric(), 2), "1.24 bar"); // from Pa
/// assert_eq!(write(0.765, Kind::Fraction.metric(), 1), "76.5 %");
/// assert_eq!(write(9.5, Kind::Ratio.metric(), 1), "9.5");
/// ```
pub fn write(si: f64, unit: &Unit, decimals: u8) -> String {
    with_symbol(write_number(si, unit, decimals), unit)
}

/// Writes the SI value `si` in `unit`, rounded to `decimals`, as a number alone.
///
/// Otherwise as [`write()`]. Where a point and three digits would look like thousands
/// ([`CommaRule::Thousands`]) one more zero is written.
///
/// ```
/// use airpath::quantity::{Kind, write_number};
///
/// let rev_per_min = Kind::EngineSpeed.metric();
/// assert_eq!(write_number(rev_per_min.to_si(7_200.0), rev_per_min, 0), "7200");
/// assert_eq!(write_number(-0.001, Kind::Ratio.metric(), 2), "0.00");
/// ```
pub fn write_number(si: f64, unit: &Unit, decimals: u8) -> String {
    let value = unit.from_si(si);
    if !value.is_finite() {
        return NOT_FINITE.to_owned();
    }
    let decimals = usize::from(decimals.min(MOST_DECIMALS));
    let mut text = if value.abs() < LARGEST_PLAIN {
        format!("{value:.decimals$}")
    } else {
        format!("{value:.decimals$e}")
    };
    // A small negative number rounds to "-0.00", which asks a question that has no answer.
    if text.starts_with('-') && !text.bytes().any(|byte| matches!(byte, b'1'..=b'9')) {
        text.remove(0);
    }
    not_grouped(text, unit)
}

/// Writes the SI value `si` in `unit` with as many digits as it takes to read the same back.
///
/// The shortest number that [`read`](super::read) turns into the same SI value, to the bit. In
/// some units not every SI value can be reached (a unit much larger than the SI unit has wider
/// gaps between its numbers); then the nearest that can. Valid for 1e-290 < |`si`| < 1e290 and
/// for zero. A value that is not finite gives "not finite".
///
/// ```
/// use airpath::quantity::{Kind, read, write_exact};
///
/// let kind = Kind::GaugePressure;
/// let psi = kind.imperial();
/// assert_eq!(write_exact(psi.to_si(18.0), psi), "18 psi");
/// let text = write_exact(100_000.0 / 3.0, psi);
/// assert_eq!(read(&text, kind, psi)?.si, 100_000.0 / 3.0);
/// # Ok::<(), airpath::quantity::ReadError>(())
/// ```
pub fn write_exact(si: f64, unit: &Unit) -> String {
    let value = unit.from_si(si);
    if !value.is_finite() {
        return NOT_FINITE.to_owned();
    }
    let value = shortest(si, value, unit);
    let plain = value == 0.0 || (SMALLEST_PLAIN..LARGEST_PLAIN).contains(&value.abs());
    // `+ 0.0` turns minus zero into zero.
    let text = if plain {
        format!("{}", value + 0.0)
    } else {
        format!("{value:e}")
    };
    with_symbol(not_grouped(text, unit), unit)
}

/// The number of fewest digits near `value` that gives `si`, or else the one that comes nearest.
fn shortest(si: f64, value: f64, unit: &Unit) -> f64 {
    for digits_after_first in 0..17_usize {
        let rounded = format!("{value:.digits_after_first$e}").parse();
        if let Ok(rounded) = rounded
            && unit.to_si(rounded) == si
        {
            return rounded;
        }
    }
    // Rounding in `from_si` may have missed by a step or two.
    let error = |candidate: f64| (unit.to_si(candidate) - si).abs();
    let mut best = value;
    let (mut below, mut above) = (value, value);
    for _ in 0..4 {
        below = below.next_down();
        above = above.next_up();
        for candidate in [below, above] {
            if error(candidate) < error(best) {
                best = candidate;
            }
        }
    }
    best
}

fn not_grouped(mut text: String, unit: &Unit) -> String {
    if unit.comma == CommaRule::Thousands
        && let Some((whole, fraction)) = text.trim_start_matches('-').split_once('.')
        && could_be_grouped(whole, fraction)
    {
        text.push('0');
    }
    text
}

fn with_symbol(mut text: String, unit: &Unit) -> String {
    if !unit.symbol.is_empty() && text != NOT_FINITE {
        text.push(' ');
        text.push_str(unit.symbol);
    }
    text
}
