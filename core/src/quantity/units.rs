//! The kinds of quantity and the units each may be entered in, with their factors.
//!
//! Every factor is the one of NIST Special Publication 811 (2008), Appendix B, carried to all
//! the digits that its definition gives. The definitions behind them are the constants at the
//! top of this file.

use serde::{Deserialize, Serialize};

/// Standard acceleration of free fall, m/s², exact (NIST SP 811, B.8).
const STANDARD_GRAVITY: f64 = 9.806_65;
/// Metres in an inch, exact (NIST SP 811, B.8).
const INCH: f64 = 0.025_4;
/// Metres in a foot, exact (NIST SP 811, B.8).
const FOOT: f64 = 0.304_8;
/// Kilograms in an avoirdupois pound, exact (NIST SP 811, B.8).
const POUND: f64 = 0.453_592_37;
/// Newtons in a pound-force, exact: one pound under the standard acceleration of free fall.
const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// Pascals in a pound-force per square inch (NIST SP 811, B.8: 6.894 757 E+03).
const PSI: f64 = 6_894.757_293_168_361;
/// Pascals in a conventional inch of mercury, 13 595.1 kg/m³ (NIST SP 811, B.8: 3.386 389 E+03).
const INCH_OF_MERCURY: f64 = 3_386.388_640_341;
/// Pascals in a conventional inch of water, 1000 kg/m³ (NIST SP 811, B.8: 2.490 889 E+02).
const INCH_OF_WATER: f64 = 249.088_91;
/// Pascals in a standard atmosphere, exact (NIST SP 811, B.8).
const ATMOSPHERE: f64 = 101_325.0;
/// Watts in a mechanical horsepower, 550 ft·lbf/s (NIST SP 811, B.8: 7.456 999 E+02).
const HORSEPOWER: f64 = 745.699_871_582_270_2;
/// Watts in a metric horsepower, 75 kgf·m/s, exact (NIST SP 811, B.8: 7.354 988 E+02).
const METRIC_HORSEPOWER: f64 = 735.498_75;
/// Joules per kilogram in a Btu (International Table) per pound, exact (NIST SP 811, B.8).
const BTU_PER_POUND: f64 = 2_326.0;
/// Cubic metres in a US gallon, 231 in³, exact (NIST SP 811, B.8: 3.785 412 E-03).
const US_GALLON: f64 = 3.785_411_784e-3;
/// Radians per second in one revolution per minute (NIST SP 811, B.8: 1.047 198 E-01).
pub(super) const REV_PER_MIN: f64 = core::f64::consts::TAU / 60.0;
/// Kelvins in a degree Fahrenheit, exact (NIST SP 811, B.8).
const FAHRENHEIT_STEP: f64 = 5.0 / 9.0;
/// Kelvins at 0 °C, exact (NIST SP 811, B.8).
const CELSIUS_ZERO: f64 = 273.15;
/// Kelvins at 0 °F: 459.67 / 1.8 (NIST SP 811, B.8).
const FAHRENHEIT_ZERO: f64 = 459.67 / 1.8;

/// What is measured; decides which units a text may carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Kind {
    /// Pressure above vacuum, Pa.
    AbsolutePressure,
    /// Pressure above the ambient pressure, Pa.
    GaugePressure,
    /// Difference of two pressures, such as a pressure loss, Pa.
    PressureDifference,
    /// Thermodynamic temperature, K.
    Temperature,
    /// Difference of two temperatures, K.
    TemperatureDifference,
    /// Length, m.
    Length,
    /// Height above mean sea level, m.
    Altitude,
    /// Volume, such as an engine's displacement, m³.
    Volume,
    /// Crankshaft speed, rad/s.
    EngineSpeed,
    /// Turbocharger shaft speed, rad/s.
    ShaftSpeed,
    /// Mass flow, kg/s.
    MassFlow,
    /// Mass flow for each unit of volume, such as injector flow a litre of displacement,
    /// kg/(s m³).
    MassFlowPerVolume,
    /// Volume flow, m³/s.
    VolumeFlow,
    /// Power, W.
    Power,
    /// Torque, N m.
    Torque,
    /// Energy for each unit of mass, such as a heating value, J/kg.
    SpecificEnergy,
    /// Fuel mass for each unit of work, kg/J.
    SpecificConsumption,
    /// Density, kg/m³.
    Density,
    /// Area, m².
    Area,
    /// Speed of travel or of flow, m/s.
    Speed,
    /// Mass, kg.
    Mass,
    /// Moment of inertia, kg m².
    Inertia,
    /// Reduced turbine mass flow, kg √K / (s Pa).
    Swallowing,
    /// A share of a whole, 1; entered in percent.
    Fraction,
    /// A number without a unit, 1.
    Ratio,
    /// A whole number of things, 1.
    Count,
}

/// Which family of units a unit belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum System {
    /// Metric units.
    Metric,
    /// US customary and imperial units.
    Imperial,
    /// At home in both.
    Both,
}

/// What a comma followed by exactly three digits means in a unit, as in "7,200".
///
/// Where the comma is followed by another number of digits it is a decimal comma in every unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CommaRule {
    /// A decimal comma: "1,250 bar" is 1.25 bar.
    Decimal,
    /// A thousands separator: "7,200 rev/min" is 7200 rev/min. "7.200 rev/min" is refused, as
    /// the point could be meant in either way.
    Thousands,
    /// Refused, because both readings are usual: "1,998 cm³" could be two litres or two
    /// thousandths of one. A point is a decimal point.
    Refused,
}

/// A unit of one kind of quantity: SI value = value × `scale` + `offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// What the page shows, such as "rev/min"; empty where there is no unit.
    pub symbol: &'static str,
    /// Other ways to type it.
    pub aliases: &'static [&'static str],
    /// SI units in one of this unit.
    pub scale: f64,
    /// SI value at zero of this unit.
    pub offset: f64,
    /// Family of units.
    pub system: System,
    /// Decimals that suit a typical value of this kind.
    pub decimals: u8,
    /// What "7,200" means in this unit.
    pub comma: CommaRule,
}

impl Unit {
    const fn new(symbol: &'static str, scale: f64, system: System, decimals: u8) -> Unit {
        Unit {
            symbol,
            aliases: &[],
            scale,
            offset: 0.0,
            system,
            decimals,
            comma: CommaRule::Decimal,
        }
    }

    const fn aliases(mut self, aliases: &'static [&'static str]) -> Unit {
        self.aliases = aliases;
        self
    }

    const fn offset(mut self, offset: f64) -> Unit {
        self.offset = offset;
        self
    }

    const fn comma(mut self, comma: CommaRule) -> Unit {
        self.comma = comma;
        self
    }

    /// SI value of `value` in this unit: `value × scale + offset`.
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// let celsius = Kind::Temperature.metric();
    /// assert_eq!(celsius.to_si(25.0), 298.15); // K
    /// ```
    pub fn to_si(&self, value: f64) -> f64 {
        value * self.scale + self.offset
    }

    /// Value in this unit of the SI value `si`: `(si − offset) / scale`.
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// let bar = Kind::AbsolutePressure.metric();
    /// assert_eq!(bar.from_si(250_000.0), 2.5); // from Pa
    /// ```
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) / self.scale
    }
}

use CommaRule::{Refused, Thousands};
use System::{Both, Imperial, Metric};

// In every table the first metric unit and the first imperial unit are those that the page
// shows when a person asks for that system.

static ABSOLUTE_PRESSURE: &[Unit] = &[
    Unit::new("bar", 1.0e5, Metric, 3).aliases(&["bar abs", "bara", "bar absolute"]),
    Unit::new("kPa", 1.0e3, Metric, 1).aliases(&["kPa abs", "kPaa", "kPa absolute"]),
    Unit::new("psi", PSI, Imperial, 2).aliases(&[
        "psi abs",
        "psia",
        "psi absolute",
        "lbf/in²",
        "lb/in²",
    ]),
    Unit::new("inHg", INCH_OF_MERCURY, Imperial, 2).aliases(&[
        "inHg abs",
        "inch Hg",
        "inches Hg",
        "″Hg",
        "\"Hg",
    ]),
    Unit::new("mbar", 1.0e2, Metric, 0)
        .aliases(&["hPa", "mbar abs", "mbara", "hPa abs", "millibar"])
        .comma(Refused),
    Unit::new("Pa", 1.0, Metric, 0)
        .aliases(&["Pa abs", "N/m²"])
        .comma(Thousands),
    Unit::new("atm", ATMOSPHERE, Both, 3),
];

static GAUGE_PRESSURE: &[Unit] = &[
    Unit::new("bar", 1.0e5, Metric, 2).aliases(&["bar g", "bar gauge"]),
    Unit::new("kPa", 1.0e3, Metric, 1).aliases(&["kPa g", "kPa gauge"]),
    Unit::new("psi", PSI, Imperial, 1).aliases(&["psi g", "psi gauge", "lbf/in²", "lb/in²"]),
    Unit::new("inHg", INCH_OF_MERCURY, Imperial, 1).aliases(&[
        "inHg g",
        "inHg gauge",
        "inch Hg",
        "inches Hg",
        "″Hg",
        "\"Hg",
    ]),
    Unit::new("kgf/cm²", 1.0e4 * STANDARD_GRAVITY, Metric, 2).aliases(&["kg/cm²", "kp/cm²"]),
    Unit::new("mbar", 1.0e2, Metric, 0)
        .aliases(&["hPa", "mbar g", "mbar gauge", "hPa g", "millibar"])
        .comma(Refused),
    Unit::new("Pa", 1.0, Metric, 0)
        .aliases(&["Pa g", "Pa gauge", "N/m²"])
        .comma(Thousands),
];

static PRESSURE_DIFFERENCE: &[Unit] = &[
    Unit::new("kPa", 1.0e3, Metric, 2),
    Unit::new("mbar", 1.0e2, Metric, 0)
        .aliases(&["hPa", "millibar"])
        .comma(Refused),
    Unit::new("psi", PSI, Imperial, 2).aliases(&["psid", "lbf/in²", "lb/in²"]),
    Unit::new("inH2O", INCH_OF_WATER, Imperial, 1).aliases(&[
        "inH₂O",
        "in water",
        "inches water",
        "inches H2O",
        "inwc",
        "″H2O",
        "\"H2O",
    ]),
    Unit::new("inHg", INCH_OF_MERCURY, Imperial, 2).aliases(&[
        "inch Hg",
        "inches Hg",
        "″Hg",
        "\"Hg",
    ]),
    Unit::new("bar", 1.0e5, Metric, 3),
    Unit::new("Pa", 1.0, Metric, 0)
        .aliases(&["N/m²"])
        .comma(Thousands),
];

static TEMPERATURE: &[Unit] = &[
    Unit::new("°C", 1.0, Metric, 1)
        .aliases(&["deg C", "degree C", "degrees C", "Celsius", "℃"])
        .offset(CELSIUS_ZERO),
    Unit::new("°F", FAHRENHEIT_STEP, Imperial, 0)
        .aliases(&["deg F", "degree F", "degrees F", "Fahrenheit", "℉"])
        .offset(FAHRENHEIT_ZERO),
    Unit::new("K", 1.0, Metric, 1).aliases(&["kelvin", "deg K"]),
];

static TEMPERATURE_DIFFERENCE: &[Unit] = &[
    Unit::new("K", 1.0, Metric, 1).aliases(&["kelvin", "deg K"]),
    Unit::new("°C", 1.0, Metric, 1).aliases(&["deg C", "degree C", "degrees C", "Celsius", "℃"]),
    Unit::new("°F", FAHRENHEIT_STEP, Imperial, 1).aliases(&[
        "deg F",
        "degree F",
        "degrees F",
        "Fahrenheit",
        "℉",
    ]),
];

static LENGTH: &[Unit] = &[
    Unit::new("mm", 1.0e-3, Metric, 1).aliases(&["millimetre", "millimeter"]),
    Unit::new("cm", 1.0e-2, Metric, 2).aliases(&["centimetre", "centimeter"]),
    Unit::new("in", INCH, Imperial, 3).aliases(&["inch", "inches", "\"", "″", "”"]),
    Unit::new("m", 1.0, Metric, 3).aliases(&["metre", "meter", "metres", "meters"]),
];

static ALTITUDE: &[Unit] = &[
    Unit::new("m", 1.0, Metric, 0)
        .aliases(&["metre", "meter", "metres", "meters"])
        .comma(Thousands),
    Unit::new("ft", FOOT, Imperial, 0)
        .aliases(&["foot", "feet", "'", "′", "’"])
        .comma(Thousands),
];

static VOLUME: &[Unit] = &[
    Unit::new("litre", 1.0e-3, Metric, 3)
        .aliases(&["L", "litres", "liter", "liters", "ltr", "dm³"]),
    Unit::new("cm³", 1.0e-6, Metric, 0)
        .aliases(&["cc", "ccm", "mL"])
        .comma(Refused),
    Unit::new("in³", INCH * INCH * INCH, Imperial, 1).aliases(&[
        "ci",
        "cid",
        "cu in",
        "cubic inch",
        "cubic inches",
    ]),
];

static ENGINE_SPEED: &[Unit] = &[
    Unit::new("rev/min", REV_PER_MIN, Both, 0)
        .aliases(&[
            "rpm", "revs/min", "r/min", "1/min", "/min", "U/min", "min⁻¹",
        ])
        .comma(Thousands),
    Unit::new("k rev/min", 1.0e3 * REV_PER_MIN, Both, 2).aliases(&["krpm", "k"]),
];

static SHAFT_SPEED: &[Unit] = &[
    Unit::new("rev/min", REV_PER_MIN, Both, 0)
        .aliases(&[
            "rpm", "revs/min", "r/min", "1/min", "/min", "U/min", "min⁻¹",
        ])
        .comma(Thousands),
    Unit::new("k rev/min", 1.0e3 * REV_PER_MIN, Both, 1).aliases(&["krpm", "k"]),
];

static MASS_FLOW: &[Unit] = &[
    Unit::new("kg/s", 1.0, Metric, 4).aliases(&["kg/sec"]),
    Unit::new("g/s", 1.0e-3, Metric, 1).aliases(&["g/sec"]),
    Unit::new("kg/h", 1.0 / 3_600.0, Metric, 1)
        .aliases(&["kg/hr", "kg/hour"])
        .comma(Refused),
    Unit::new("lb/min", POUND / 60.0, Imperial, 2).aliases(&["lbs/min", "lbm/min"]),
];

static MASS_FLOW_PER_VOLUME: &[Unit] = &[
    Unit::new("kg/s per litre", 1.0e3, Metric, 4).aliases(&["kg/s per L", "kg/s per liter"]),
    Unit::new("lb/min per litre", 1.0e3 * POUND / 60.0, Imperial, 2).aliases(&[
        "lb/min per L",
        "lb/min per liter",
        "lbs/min per litre",
        "lbs/min per L",
        "lbs/min per liter",
    ]),
];

static VOLUME_FLOW: &[Unit] = &[
    Unit::new("cm³/min", 1.0e-6 / 60.0, Both, 0)
        .aliases(&["cc/min", "cc", "mL/min", "ccm"])
        .comma(Refused),
    Unit::new("litre/min", 1.0e-3 / 60.0, Metric, 3).aliases(&[
        "L/min",
        "litres/min",
        "liter/min",
        "liters/min",
    ]),
    Unit::new("litre/h", 1.0e-3 / 3_600.0, Metric, 1).aliases(&[
        "L/h",
        "L/hr",
        "litres/h",
        "liter/h",
        "liters/h",
        "litre/hour",
        "liter/hour",
    ]),
];

static POWER: &[Unit] = &[
    Unit::new("kW", 1.0e3, Metric, 1).aliases(&["kilowatt", "kilowatts"]),
    Unit::new("hp", HORSEPOWER, Imperial, 0)
        .aliases(&["bhp", "horsepower"])
        .comma(Refused),
    Unit::new("PS", METRIC_HORSEPOWER, Metric, 0)
        .aliases(&["cv", "ch"])
        .comma(Refused),
    Unit::new("W", 1.0, Metric, 0)
        .aliases(&["watt", "watts"])
        .comma(Refused),
];

static TORQUE: &[Unit] = &[
    Unit::new("N m", 1.0, Metric, 0)
        .aliases(&["newton metre", "newton metres"])
        .comma(Refused),
    Unit::new("lb ft", POUND_FORCE * FOOT, Imperial, 0)
        .aliases(&[
            "lbs ft",
            "lbf ft",
            "ft lb",
            "ft lbs",
            "ft lbf",
            "pound feet",
            "foot pounds",
        ])
        .comma(Refused),
    Unit::new("kgf m", STANDARD_GRAVITY, Metric, 1).aliases(&["kg m", "m kg", "kp m"]),
];

static SPECIFIC_ENERGY: &[Unit] = &[
    Unit::new("MJ/kg", 1.0e6, Metric, 2),
    Unit::new("kJ/kg", 1.0e3, Metric, 0).comma(Refused),
    Unit::new("BTU/lb", BTU_PER_POUND, Imperial, 0)
        .aliases(&["BTU/lbm"])
        .comma(Refused),
];

static SPECIFIC_CONSUMPTION: &[Unit] = &[
    Unit::new("g/kWh", 1.0e-3 / 3.6e6, Metric, 0).aliases(&["g/kW/h", "g/kW hr"]),
    Unit::new("lb/(hp h)", POUND / (3_600.0 * HORSEPOWER), Imperial, 3).aliases(&[
        "lb/hp hr",
        "lbs/hp h",
        "lbs/hp hr",
        "lb/bhp h",
        "lb/bhp hr",
        "lb/hp/h",
    ]),
];

static DENSITY: &[Unit] = &[
    Unit::new("kg/m³", 1.0, Metric, 3),
    Unit::new("kg/litre", 1.0e3, Metric, 3)
        .aliases(&["kg/L", "kg/liter", "kg/dm³", "g/cm³", "g/cc"]),
    Unit::new("lb/ft³", POUND / (FOOT * FOOT * FOOT), Imperial, 4)
        .aliases(&["lbs/ft³", "lbm/ft³", "lb/cu ft"]),
    Unit::new("lb/US gal", POUND / US_GALLON, Imperial, 3).aliases(&["lbs/US gal"]),
];

static AREA: &[Unit] = &[
    Unit::new("mm²", 1.0e-6, Metric, 0)
        .aliases(&["sq mm"])
        .comma(Refused),
    Unit::new("cm²", 1.0e-4, Metric, 2).aliases(&["sq cm"]),
    Unit::new("m²", 1.0, Metric, 2).aliases(&["sq m"]),
    Unit::new("in²", INCH * INCH, Imperial, 3).aliases(&["sq in", "square inch", "square inches"]),
    Unit::new("ft²", FOOT * FOOT, Imperial, 2).aliases(&["sq ft", "square foot", "square feet"]),
];

static SPEED: &[Unit] = &[
    Unit::new("m/s", 1.0, Metric, 1).aliases(&["m/sec"]),
    Unit::new("ft/s", FOOT, Imperial, 0).aliases(&["ft/sec", "fps"]),
    Unit::new("km/h", 1.0 / 3.6, Metric, 0).aliases(&["kph", "km/hr", "kmh"]),
    Unit::new("mph", 5_280.0 * FOOT / 3_600.0, Imperial, 0).aliases(&["Mph", "mile/h", "miles/h"]),
];

static MASS: &[Unit] = &[
    Unit::new("kg", 1.0, Metric, 1).comma(Refused),
    Unit::new("g", 1.0e-3, Metric, 0).comma(Refused),
    Unit::new("lb", POUND, Imperial, 1)
        .aliases(&["lbs", "lbm", "pound", "pounds"])
        .comma(Refused),
];

static INERTIA: &[Unit] = &[
    Unit::new("kg m²", 1.0, Metric, 7),
    Unit::new("g cm²", 1.0e-7, Metric, 1),
    Unit::new("kg mm²", 1.0e-6, Metric, 2),
    Unit::new("lb in²", POUND * INCH * INCH, Imperial, 4).aliases(&["lbs in²", "lbm in²"]),
];

static SWALLOWING: &[Unit] = &[
    Unit::new("×10⁻⁵ kg√K/(s Pa)", 1.0e-5, Both, 3).aliases(&[
        "e-5 kg√K/(s Pa)",
        "×10⁻⁵ kg sqrt(K)/(s Pa)",
        "e-5 kg sqrt(K)/(s Pa)",
    ]),
    Unit::new("kg√K/(s Pa)", 1.0, Both, 8).aliases(&["kg sqrt(K)/(s Pa)"]),
];

static FRACTION: &[Unit] = &[Unit::new("%", 1.0e-2, Both, 1).aliases(&["percent", "pct"])];

static RATIO: &[Unit] = &[Unit::new("", 1.0, Both, 2).aliases(&[":1"])];

static COUNT: &[Unit] = &[Unit::new("", 1.0, Both, 0).comma(Thousands)];

impl Kind {
    /// Every kind there is.
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// assert!(Kind::ALL.iter().all(|kind| !kind.units().is_empty()));
    /// ```
    pub const ALL: [Kind; 26] = [
        Kind::AbsolutePressure,
        Kind::GaugePressure,
        Kind::PressureDifference,
        Kind::Temperature,
        Kind::TemperatureDifference,
        Kind::Length,
        Kind::Altitude,
        Kind::Volume,
        Kind::EngineSpeed,
        Kind::ShaftSpeed,
        Kind::MassFlow,
        Kind::MassFlowPerVolume,
        Kind::VolumeFlow,
        Kind::Power,
        Kind::Torque,
        Kind::SpecificEnergy,
        Kind::SpecificConsumption,
        Kind::Density,
        Kind::Area,
        Kind::Speed,
        Kind::Mass,
        Kind::Inertia,
        Kind::Swallowing,
        Kind::Fraction,
        Kind::Ratio,
        Kind::Count,
    ];

    /// The units that a text of this kind may carry; never empty.
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// let symbols: Vec<&str> = Kind::Altitude.units().iter().map(|unit| unit.symbol).collect();
    /// assert_eq!(symbols, ["m", "ft"]);
    /// ```
    pub fn units(self) -> &'static [Unit] {
        match self {
            Kind::AbsolutePressure => ABSOLUTE_PRESSURE,
            Kind::GaugePressure => GAUGE_PRESSURE,
            Kind::PressureDifference => PRESSURE_DIFFERENCE,
            Kind::Temperature => TEMPERATURE,
            Kind::TemperatureDifference => TEMPERATURE_DIFFERENCE,
            Kind::Length => LENGTH,
            Kind::Altitude => ALTITUDE,
            Kind::Volume => VOLUME,
            Kind::EngineSpeed => ENGINE_SPEED,
            Kind::ShaftSpeed => SHAFT_SPEED,
            Kind::MassFlow => MASS_FLOW,
            Kind::MassFlowPerVolume => MASS_FLOW_PER_VOLUME,
            Kind::VolumeFlow => VOLUME_FLOW,
            Kind::Power => POWER,
            Kind::Torque => TORQUE,
            Kind::SpecificEnergy => SPECIFIC_ENERGY,
            Kind::SpecificConsumption => SPECIFIC_CONSUMPTION,
            Kind::Density => DENSITY,
            Kind::Area => AREA,
            Kind::Speed => SPEED,
            Kind::Mass => MASS,
            Kind::Inertia => INERTIA,
            Kind::Swallowing => SWALLOWING,
            Kind::Fraction => FRACTION,
            Kind::Ratio => RATIO,
            Kind::Count => COUNT,
        }
    }

    /// The unit shown to a person who works in metric units.
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// assert_eq!(Kind::Power.metric().symbol, "kW");
    /// ```
    pub fn metric(self) -> &'static Unit {
        self.first_of(System::Metric)
    }

    /// The unit shown to a person who works in US customary or imperial units.
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// assert_eq!(Kind::Power.imperial().symbol, "hp");
    /// assert_eq!(Kind::EngineSpeed.imperial().symbol, "rev/min");
    /// ```
    pub fn imperial(self) -> &'static Unit {
        self.first_of(System::Imperial)
    }

    fn first_of(self, system: System) -> &'static Unit {
        let units = self.units();
        units
            .iter()
            .find(|unit| unit.system == system || unit.system == System::Both)
            .unwrap_or(&units[0])
    }

    /// The unit of this kind that `symbol_or_alias` names, if there is one.
    ///
    /// Spaces, dots, hyphens, brackets and degree signs do not matter; "³" may be typed "3" and
    /// "/" may be typed "per". Capitals matter only where they tell a prefix: "mJ/kg" is not
    /// "MJ/kg".
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// assert_eq!(Kind::Torque.unit("N·m").map(|unit| unit.symbol), Some("N m"));
    /// assert_eq!(Kind::Volume.unit("CC").map(|unit| unit.symbol), Some("cm³"));
    /// assert_eq!(Kind::Volume.unit("psi"), None);
    /// ```
    pub fn unit(self, symbol_or_alias: &str) -> Option<&'static Unit> {
        unit_named(self.units(), symbol_or_alias)
    }

    /// What this kind is called in a sentence.
    ///
    /// ```
    /// use airpath::quantity::Kind;
    ///
    /// assert_eq!(Kind::GaugePressure.name(), "gauge pressure");
    /// ```
    pub fn name(self) -> &'static str {
        match self {
            Kind::AbsolutePressure => "absolute pressure",
            Kind::GaugePressure => "gauge pressure",
            Kind::PressureDifference => "pressure difference",
            Kind::Temperature => "temperature",
            Kind::TemperatureDifference => "temperature difference",
            Kind::Length => "length",
            Kind::Altitude => "altitude",
            Kind::Volume => "volume",
            Kind::EngineSpeed => "engine speed",
            Kind::ShaftSpeed => "shaft speed",
            Kind::MassFlow => "mass flow",
            Kind::MassFlowPerVolume => "mass flow per volume",
            Kind::VolumeFlow => "volume flow",
            Kind::Power => "power",
            Kind::Torque => "torque",
            Kind::SpecificEnergy => "specific energy",
            Kind::SpecificConsumption => "specific consumption",
            Kind::Density => "density",
            Kind::Area => "area",
            Kind::Speed => "speed",
            Kind::Mass => "mass",
            Kind::Inertia => "moment of inertia",
            Kind::Swallowing => "reduced mass flow",
            Kind::Fraction => "fraction",
            Kind::Ratio => "ratio",
            Kind::Count => "count",
        }
    }
}

/// The unit of a table that a text names, by the rules of [`Kind::unit`].
pub(crate) fn unit_named(units: &'static [Unit], symbol_or_alias: &str) -> Option<&'static Unit> {
    let typed = plain(symbol_or_alias);
    if typed.is_empty() && !symbol_or_alias.trim().is_empty() {
        return None; // only signs that do not matter, such as "-": not a unit
    }
    let names_it = |unit: &&Unit, same: fn(&str, &str) -> bool| {
        same(&plain(unit.symbol), &typed)
            || unit.aliases.iter().any(|alias| same(&plain(alias), &typed))
    };
    let units = units.iter();
    units
        .clone()
        .find(|unit| names_it(unit, |name, typed| name == typed))
        .or_else(|| {
            units
                .clone()
                .find(|unit| names_it(unit, same_but_for_capitals))
        })
}

/// A unit's name without the signs that people leave out or type in different ways.
fn plain(name: &str) -> String {
    let mut plain = String::with_capacity(name.len());
    let mut signs = name.chars().peekable();
    while let Some(sign) = signs.next() {
        match sign {
            '.' | '·' | '⋅' | '∙' | '*' | '^' | '(' | ')' | '[' | ']' | '°' | 'º' | '˚' => {
            }
            '-' | '−' | '⁻' | '‐' | '‑' => {
                // A hyphen joins ("lb-ft"); a minus sign belongs to an exponent ("10-5").
                if matches!(
                    signs.peek(),
                    Some('0'..='9' | '⁰' | '¹' | '²' | '³' | '⁴'..='⁹')
                ) {
                    plain.push('-');
                }
            }
            '⁰' => plain.push('0'),
            '¹' => plain.push('1'),
            '²' | '₂' => plain.push('2'),
            '³' => plain.push('3'),
            '⁴' => plain.push('4'),
            '⁵' => plain.push('5'),
            '⁶' => plain.push('6'),
            '⁷' => plain.push('7'),
            '⁸' => plain.push('8'),
            '⁹' => plain.push('9'),
            '×' => plain.push('x'),
            '⁄' | '∕' | '÷' => plain.push('/'),
            '\u{212A}' => plain.push('K'), // the kelvin sign looks like the letter and is not
            invisible if is_space(invisible) => {}
            other => plain.push(other),
        }
    }
    plain.replace("per", "/")
}

/// Whether a character takes room and means nothing, Unicode's spaces of no width included.
pub(super) fn is_space(sign: char) -> bool {
    sign.is_whitespace() || matches!(sign, '\u{200B}' | '\u{2060}' | '\u{FEFF}')
}

/// Whether two plain names differ only in capitals that tell nothing.
///
/// In a text that mixes small letters and capitals, a leading "m" or "M" is read as a prefix,
/// milli or mega, and has to match. A text in capitals only ("MBAR") or in small letters only
/// ("mj/kg") tells nothing by them.
fn same_but_for_capitals(name: &str, typed: &str) -> bool {
    if !name.eq_ignore_ascii_case(typed) {
        return false;
    }
    let mixed = typed.bytes().any(|byte| byte.is_ascii_lowercase())
        && typed.bytes().any(|byte| byte.is_ascii_uppercase());
    let prefix = |text: &str| {
        text.bytes()
            .next()
            .filter(|byte| matches!(byte, b'm' | b'M'))
    };
    !mixed || prefix(name) == prefix(typed)
}
