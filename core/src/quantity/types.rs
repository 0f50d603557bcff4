//! Pressures, temperatures and angular speed as types of their own, SI inside.
//!
//! Only what makes physical sense compiles. Gauge pressure cannot be added to absolute pressure:
//!
//! ```compile_fail,E0308
//! use airpath::quantity::{AbsolutePressure, GaugePressure};
//! let ambient = AbsolutePressure::new(101_325.0);
//! let boost = GaugePressure::new(124_106.0);
//! let _ = ambient + boost;
//! ```
//!
//! nor absolute to gauge:
//!
//! ```compile_fail,E0369
//! use airpath::quantity::{AbsolutePressure, GaugePressure};
//! let ambient = AbsolutePressure::new(101_325.0);
//! let boost = GaugePressure::new(124_106.0);
//! let _ = boost + ambient;
//! ```
//!
//! nor two temperatures:
//!
//! ```compile_fail,E0308
//! use airpath::quantity::Temperature;
//! let _ = Temperature::new(298.15) + Temperature::new(40.0);
//! ```
//!
//! while this does:
//!
//! ```
//! use airpath::quantity::{
//!     AbsolutePressure, GaugePressure, PressureDifference, Temperature, TemperatureDifference,
//! };
//! let ambient = AbsolutePressure::new(101_325.0);
//! let boost = GaugePressure::new(124_106.0);
//! let manifold = boost.above(ambient) + PressureDifference::new(500.0);
//! assert_eq!(manifold.pa(), 225_931.0);
//! let heated = Temperature::new(298.15) + TemperatureDifference::new(40.0);
//! assert_eq!(heated.kelvin(), 338.15);
//! ```

use core::ops::{Add, Sub};

use serde::{Deserialize, Serialize};

use super::units::REV_PER_MIN;

/// Declares a quantity held as one `f64` in its SI unit.
macro_rules! quantity {
    ($(#[$about:meta])* $name:ident, $getter:ident, $unit:literal, $example:literal) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("From a value in ", $unit, "; the value is taken as it is, unchecked.")]
            ///
            /// ```
            #[doc = concat!("use airpath::quantity::", stringify!($name), ";")]
            ///
            #[doc = concat!("const VALUE: ", stringify!($name), " = ", stringify!($name), "::new(", $example, ");")]
            #[doc = concat!("assert_eq!(VALUE.", stringify!($getter), "(), ", $example, ");")]
            /// ```
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("The value in ", $unit, ".")]
            ///
            /// ```
            #[doc = concat!("use airpath::quantity::", stringify!($name), ";")]
            ///
            #[doc = concat!("assert_eq!(", stringify!($name), "::new(", $example, ").", stringify!($getter), "(), ", $example, ");")]
            /// ```
            pub const fn $getter(self) -> f64 {
                self.0
            }
        }
    };
}

/// Declares `$point - $point = $step`, `$point + $step = $point` and `$point - $step = $point`.
macro_rules! point_and_step {
    ($point:ident, $step:ident) => {
        impl Sub for $point {
            type Output = $step;
            fn sub(self, other: $point) -> $step {
                $step(self.0 - other.0)
            }
        }

        impl Add<$step> for $point {
            type Output = $point;
            fn add(self, step: $step) -> $point {
                $point(self.0 + step.0)
            }
        }

        impl Sub<$step> for $point {
            type Output = $point;
            fn sub(self, step: $step) -> $point {
                $point(self.0 - step.0)
            }
        }
    };
}

quantity! {
    /// Pressure above vacuum, held in Pa.
    AbsolutePressure, pa, "Pa", "101_325.0"
}
quantity! {
    /// Pressure above the ambient pressure, held in Pa. Negative in a vacuum.
    GaugePressure, pa, "Pa", "124_106.0"
}
quantity! {
    /// Difference of two absolute pressures, held in Pa.
    PressureDifference, pa, "Pa", "2_500.0"
}
quantity! {
    /// Thermodynamic temperature, held in K.
    Temperature, kelvin, "K", "298.15"
}
quantity! {
    /// Difference of two temperatures, held in K.
    TemperatureDifference, kelvin, "K", "40.0"
}
quantity! {
    /// Angular speed, of a crankshaft or of a turbocharger's shaft, held in rad/s.
    AngularSpeed, rad_per_s, "rad/s", "12_500.0"
}

point_and_step!(AbsolutePressure, PressureDifference);
point_and_step!(Temperature, TemperatureDifference);

impl AbsolutePressure {
    /// This pressure as a gauge shows it, above the pressure `ambient`: `p − ambient`.
    ///
    /// ```
    /// use airpath::quantity::AbsolutePressure;
    ///
    /// let manifold = AbsolutePressure::new(250_000.0);
    /// assert_eq!(manifold.gauge(AbsolutePressure::new(100_000.0)).pa(), 150_000.0);
    /// ```
    pub const fn gauge(self, ambient: AbsolutePressure) -> GaugePressure {
        GaugePressure(self.0 - ambient.0)
    }
}

impl GaugePressure {
    /// The absolute pressure, where the gauge stands in the pressure `ambient`: `p + ambient`.
    ///
    /// ```
    /// use airpath::quantity::{AbsolutePressure, GaugePressure};
    ///
    /// let boost = GaugePressure::new(150_000.0);
    /// assert_eq!(boost.above(AbsolutePressure::new(100_000.0)).pa(), 250_000.0);
    /// ```
    pub const fn above(self, ambient: AbsolutePressure) -> AbsolutePressure {
        AbsolutePressure(self.0 + ambient.0)
    }
}

impl AngularSpeed {
    /// From revolutions per minute: `ω = 2π n / 60`.
    ///
    /// ```
    /// use airpath::quantity::AngularSpeed;
    ///
    /// let speed = AngularSpeed::from_rev_per_min(7_200.0);
    /// assert!((speed.rad_per_s() - 753.982_2).abs() < 0.000_1);
    /// ```
    pub const fn from_rev_per_min(rev_per_min: f64) -> Self {
        Self(rev_per_min * REV_PER_MIN)
    }

    /// The value in revolutions per minute: `n = 60 ω / 2π`.
    ///
    /// ```
    /// use airpath::quantity::AngularSpeed;
    ///
    /// let speed = AngularSpeed::new(753.982_2);
    /// assert!((speed.rev_per_min() - 7_200.0).abs() < 0.001);
    /// ```
    pub const fn rev_per_min(self) -> f64 {
        self.0 / REV_PER_MIN
    }
}
