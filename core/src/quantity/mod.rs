//! Units at the edge only: read "18 psi", write it back, convert.
//!
//! Inside the core every value is in SI units. A text that a person typed becomes SI here
//! ([`read`]), and SI becomes text here ([`write()`], [`write_exact`]); nothing else knows what
//! a pound per square inch is. Pressures, temperatures and shaft speeds then travel in types of
//! their own ([`AbsolutePressure`], [`GaugePressure`], [`Temperature`], …), so that gauge and
//! absolute pressure, or a temperature and a difference of two, cannot be mixed up.
//!
//! Conversion factors: B. N. Taylor and A. Thompson, *Guide for the Use of the International
//! System of Units (SI)*, NIST Special Publication 811, 2008 edition, Appendix B.
//!
//! ```
//! use airpath::quantity::{Kind, read, write};
//!
//! let kind = Kind::GaugePressure;
//! let boost = read("18 psi", kind, kind.metric())?;
//! assert_eq!(write(boost.si, kind.metric(), 2), "1.24 bar");
//! # Ok::<(), airpath::quantity::ReadError>(())
//! ```

mod reading;
mod types;
mod units;
mod writing;

#[cfg(test)]
mod tests;

pub use reading::{LONGEST_TEXT, ReadError, Reading, read};
pub use types::{
    AbsolutePressure, AngularSpeed, GaugePressure, PressureDifference, Temperature,
    TemperatureDifference,
};
pub(crate) use units::unit_named;
pub use units::{CommaRule, Kind, System, Unit};
pub use writing::{write, write_exact, write_number};
