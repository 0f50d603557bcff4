//! Tests of reading, writing and converting.

use insta::assert_snapshot;
use proptest::prelude::*;

use super::*;

/// Reads with the kind's metric unit as default, as a metric page does.
fn metric(text: &str, kind: Kind) -> Result<Reading, ReadError> {
    read(text, kind, kind.metric())
}

fn value(text: &str, kind: Kind) -> Option<f64> {
    metric(text, kind).ok().map(|reading| reading.value)
}

fn message(text: &str, kind: Kind) -> String {
    match metric(text, kind) {
        Ok(reading) => format!("{text:?} was read as {reading:?}"),
        Err(error) => error.to_string(),
    }
}

/// Factors as printed in NIST Special Publication 811 (2008), Appendix B.8. The last column is
/// half a unit of the last printed digit; zero where the table prints the factor in bold, as
/// exact.
const NIST_SP_811: &[(Kind, &str, f64, f64)] = &[
    (Kind::AbsolutePressure, "atm", 1.013_25e5, 0.0),
    (Kind::AbsolutePressure, "bar", 1.0e5, 0.0),
    (Kind::AbsolutePressure, "mbar", 1.0e2, 0.0),
    (Kind::AbsolutePressure, "psi", 6.894_757e3, 0.5e-3),
    (Kind::AbsolutePressure, "inHg", 3.386_389e3, 0.5e-3),
    (Kind::GaugePressure, "psi", 6.894_757e3, 0.5e-3),
    (Kind::GaugePressure, "inHg", 3.386_389e3, 0.5e-3),
    (Kind::GaugePressure, "kgf/cm²", 9.806_65e4, 0.0),
    (Kind::PressureDifference, "psi", 6.894_757e3, 0.5e-3),
    (Kind::PressureDifference, "inHg", 3.386_389e3, 0.5e-3),
    (Kind::PressureDifference, "inH2O", 2.490_889e2, 0.5e-4),
    (Kind::TemperatureDifference, "°F", 5.555_556e-1, 0.5e-7),
    (Kind::Length, "in", 2.54e-2, 0.0),
    (Kind::Altitude, "ft", 3.048e-1, 0.0),
    (Kind::Volume, "litre", 1.0e-3, 0.0),
    (Kind::Volume, "in³", 1.638_706e-5, 0.5e-11),
    (Kind::EngineSpeed, "rev/min", 1.047_198e-1, 0.5e-7),
    (Kind::ShaftSpeed, "rev/min", 1.047_198e-1, 0.5e-7),
    (Kind::MassFlow, "lb/min", 7.559_873e-3, 0.5e-9),
    (Kind::Power, "hp", 7.456_999e2, 0.5e-4),
    (Kind::Power, "PS", 7.354_988e2, 0.5e-4),
    (Kind::Torque, "lb ft", 1.355_818, 0.5e-6),
    (Kind::Torque, "kgf m", 9.806_65, 0.0),
    (Kind::SpecificEnergy, "BTU/lb", 2.326e3, 0.0),
    (
        Kind::SpecificConsumption,
        "lb/(hp h)",
        1.689_659e-7,
        0.5e-13,
    ),
    (Kind::Density, "lb/ft³", 1.601_846e1, 0.5e-5),
    (Kind::Density, "lb/US gal", 1.198_264e2, 0.5e-4),
    (Kind::Area, "in²", 6.451_6e-4, 0.0),
    (Kind::Speed, "ft/s", 3.048e-1, 0.0),
    (Kind::Speed, "km/h", 2.777_778e-1, 0.5e-7),
    (Kind::Speed, "mph", 4.470_4e-1, 0.0),
    (Kind::Mass, "lb", 4.535_924e-1, 0.5e-7),
    (Kind::Inertia, "lb in²", 2.926_397e-4, 0.5e-10),
];

#[test]
fn factors_agree_with_nist_sp_811() {
    for &(kind, symbol, printed, half_last_digit) in NIST_SP_811 {
        let si = metric(&format!("1 {symbol}"), kind).expect(symbol).si;
        // An exact factor may still be a product here, rounded once or twice.
        let tolerance = half_last_digit + 2.0 * f64::EPSILON * printed;
        assert!(
            (si - printed).abs() <= tolerance,
            "{kind:?} {symbol}: {si} for {printed}"
        );
    }
}

/// NIST SP 811 (2008), B.8: °C + 273.15 and (°F + 459.67) / 1.8, both exact, give K; the fixed
/// points below follow by hand.
#[test]
fn temperatures_agree_with_nist_sp_811() {
    let fixed_points = [
        ("0 °C", 273.15),
        ("32 °F", 273.15),
        ("100 °C", 373.15),
        ("212 °F", 373.15),
        ("-40 °C", 233.15),
        ("-40 °F", 233.15),
        ("-459.67 °F", 0.0),
        ("-273,15 °C", 0.0),
        ("300 K", 300.0),
        ("90 C", 363.15),
        ("59 F", 288.15),
    ];
    for (text, kelvin) in fixed_points {
        let si = metric(text, Kind::Temperature).expect(text).si;
        // Two roundings of numbers of the size of 460 / 1.8.
        assert!(
            (si - kelvin).abs() <= 4.0 * 460.0 * f64::EPSILON,
            "{text}: {si}"
        );
    }
    let step = metric("18 °F", Kind::TemperatureDifference)
        .expect("a difference")
        .si;
    assert_eq!(step, 10.0);
}

/// Each factor follows from the definition of its prefix or of the hour; no table needed.
#[test]
fn metric_multiples() {
    let multiples = [
        (Kind::VolumeFlow, "60 cm³/min", 1.0e-6),
        (Kind::VolumeFlow, "60 litre/min", 1.0e-3),
        (Kind::VolumeFlow, "3600 litre/h", 1.0e-3),
        (Kind::MassFlow, "3600 kg/h", 1.0),
        (Kind::MassFlow, "250 g/s", 0.25),
        (Kind::MassFlowPerVolume, "0.1 kg/s per litre", 100.0),
        (Kind::MassFlowPerVolume, "60 lb/min per litre", 453.592_37),
        (Kind::SpecificEnergy, "43 MJ/kg", 43.0e6),
        (Kind::SpecificConsumption, "3600 g/kWh", 1.0e-6),
        (Kind::Density, "0.745 kg/litre", 745.0),
        (Kind::Inertia, "250 g cm²", 2.5e-5),
        (Kind::Inertia, "25 kg mm²", 2.5e-5),
        (Kind::Swallowing, "3 ×10⁻⁵ kg√K/(s Pa)", 3.0e-5),
        (Kind::Swallowing, "3 e-5 kg√K/(s Pa)", 3.0e-5),
        (Kind::Swallowing, "3e-5 kg√K/(s Pa)", 3.0e-5),
        (
            Kind::ShaftSpeed,
            "60 k rev/min",
            2_000.0 * core::f64::consts::PI,
        ),
        (Kind::Fraction, "77 %", 0.77),
        (Kind::Fraction, "0.77", 0.007_7),
    ];
    for (kind, text, expected) in multiples {
        let si = metric(text, kind).expect(text).si;
        assert!(
            (si - expected).abs() <= 4.0 * f64::EPSILON * expected,
            "{text}: {si}"
        );
    }
}

#[test]
fn points_commas_and_other_marks() {
    use Kind::{Altitude, Count, EngineSpeed, GaugePressure, Ratio, ShaftSpeed, Volume};
    let table = [
        (GaugePressure, "1.25", Some(1.25)),
        (GaugePressure, "1,25 bar", Some(1.25)),
        (GaugePressure, "1,250 bar", Some(1.25)),
        (GaugePressure, "0,500", Some(0.5)),
        (GaugePressure, ",5", Some(0.5)),
        (GaugePressure, ".5", Some(0.5)),
        (GaugePressure, "5.", Some(5.0)),
        (GaugePressure, "+3", Some(3.0)),
        (GaugePressure, "-0,3", Some(-0.3)),
        (GaugePressure, "−0.3", Some(-0.3)),
        (GaugePressure, "- 0.3", Some(-0.3)),
        (GaugePressure, "1e-5", Some(1.0e-5)),
        (GaugePressure, "1,5E−5", Some(1.5e-5)),
        (GaugePressure, "1e+2bar", Some(100.0)),
        (GaugePressure, "1,234.5 kPa", Some(1_234.5)),
        (GaugePressure, "1.234,5 kPa", Some(1_234.5)),
        (GaugePressure, "1 234.5 kPa", Some(1_234.5)),
        (GaugePressure, "1\u{2009}234,567 kPa", Some(1_234.567)),
        (GaugePressure, "1’234.5 kPa", Some(1_234.5)),
        (GaugePressure, "124_106 Pa", Some(124_106.0)),
        (GaugePressure, "124,106 Pa", Some(124_106.0)),
        (GaugePressure, "1,234,567 Pa", Some(1_234_567.0)),
        (GaugePressure, "1.234.567 Pa", Some(1_234_567.0)),
        (GaugePressure, "1,234,567.8 Pa", Some(1_234_567.8)),
        (GaugePressure, "1,013 mbar", None),
        (GaugePressure, "1.013 mbar", Some(1.013)),
        (GaugePressure, "1,2.3", None),
        (GaugePressure, "1.2.3", None),
        (GaugePressure, "1,23,456", None),
        (GaugePressure, "1.234,567.8", None),
        (GaugePressure, "1 234,567.8", None),
        (GaugePressure, "0,123,456", None),
        (EngineSpeed, "7,200", Some(7_200.0)),
        (EngineSpeed, "7,200 rev/min", Some(7_200.0)),
        (EngineSpeed, "7 200 rpm", Some(7_200.0)),
        (EngineSpeed, "7'200/min", Some(7_200.0)),
        (EngineSpeed, "7200 1/min", Some(7_200.0)),
        (EngineSpeed, "7,2 k rev/min", Some(7.2)),
        (EngineSpeed, "7200,5", Some(7_200.5)),
        (EngineSpeed, "7.200", None),
        (EngineSpeed, "7.200 k rev/min", Some(7.2)),
        (ShaftSpeed, "125,000", Some(125_000.0)),
        (ShaftSpeed, "125,5 krpm", Some(125.5)),
        (ShaftSpeed, "125k", Some(125.0)),
        (Altitude, "1,500 m", Some(1_500.0)),
        (Altitude, "0,500 m", Some(0.5)),
        (Altitude, "5,280 ft", Some(5_280.0)),
        (Volume, "1,998", Some(1.998)),
        (Volume, "1,998 cm³", None),
        (Volume, "1998 cc", Some(1_998.0)),
        (Volume, "499,5 cm3", Some(499.5)),
        (Ratio, "9.5:1", Some(9.5)),
        (Ratio, "9,5", Some(9.5)),
        (Count, "4", Some(4.0)),
        (Count, "1,000", Some(1_000.0)),
    ];
    for (kind, text, expected) in table {
        assert_eq!(value(text, kind), expected, "{text}");
        if expected.is_none() {
            let error = metric(text, kind);
            assert!(
                matches!(error, Err(ReadError::AmbiguousSeparator { .. })),
                "{error:?}"
            );
        }
    }
}

#[test]
fn units_in_many_spellings() {
    let spellings = [
        (
            Kind::GaugePressure,
            "psi",
            "18psi|18 PSI|18 Psi|18 psig|18 psi(g)|18 lbf/in²|18 lb/in2",
        ),
        (
            Kind::GaugePressure,
            "kgf/cm²",
            "1 kgf/cm2|1 KGF/CM²|1 kg/cm^2",
        ),
        (Kind::AbsolutePressure, "psi", "18psia|18 psi abs|18 psi(a)"),
        (
            Kind::AbsolutePressure,
            "inHg",
            "29.92 in Hg|29.92 inhg|29.92 in. Hg|29.92\"Hg",
        ),
        (
            Kind::AbsolutePressure,
            "mbar",
            "1013 hPa|1013 mBar|1013 MBAR",
        ),
        (
            Kind::PressureDifference,
            "inH2O",
            "10 inH₂O|10 in H2O|10 inches water",
        ),
        (
            Kind::Temperature,
            "°C",
            "90 C|90 °C|90ºc|90 deg C|90 degrees C|90 ℃|90\u{A0}°C",
        ),
        (Kind::Temperature, "°F", "90 F|90 °F|90 deg. F|90 ℉"),
        (
            Kind::Temperature,
            "K",
            "300 k|300 K|300 \u{212A}|300 kelvin",
        ),
        (
            Kind::Torque,
            "N m",
            "400 Nm|400 N·m|400 N⋅m|400 n m|400 N-m|400 N*m",
        ),
        (
            Kind::Torque,
            "lb ft",
            "300 lb·ft|300 lbft|300 ft lb|300 ft-lb|300 lb-ft|300 ft-lbs",
        ),
        (Kind::Volume, "litre", "2 l|2 L|2 liter|2 Litres"),
        (
            Kind::Volume,
            "cm³",
            "1998 cc|1998 CC|1998 cm3|1998 cm^3|1998 mL",
        ),
        (
            Kind::Volume,
            "in³",
            "350 ci|350 CID|350 cu in|350 cu. in.|350 in3",
        ),
        (
            Kind::MassFlow,
            "lb/min",
            "40 lb/min|40 lbs/min|40 lb per min|40 LB / MIN",
        ),
        (
            Kind::MassFlowPerVolume,
            "kg/s per litre",
            "1 kg/s/L|1 (kg/s)/litre|1 kg/s per liter",
        ),
        (
            Kind::SpecificConsumption,
            "g/kWh",
            "240 g/kW h|240 g/(kW h)|240 g/kW·h|240 g/kwh",
        ),
        (
            Kind::SpecificConsumption,
            "lb/(hp h)",
            "0.5 lb/hp h|0.5 lb/hph|0.5 lb/hp-hr",
        ),
        (Kind::Density, "lb/US gal", "6.2 lb/us gal|6.2 lb/USgal"),
        (Kind::Length, "mm", "86 mm|86 MM"),
        (Kind::Length, "in", "3.5 in|3.5 inch|3.5\"|3.5 in."),
        (
            Kind::SpecificEnergy,
            "MJ/kg",
            "43 MJ/kg|43 mj/kg|43 MJ/KG|43 Mj/kg",
        ),
    ];
    for (kind, symbol, texts) in spellings {
        for text in texts.split('|') {
            let reading = metric(text, kind);
            assert_eq!(
                reading.map(|reading| reading.unit.symbol),
                Ok(symbol),
                "{text}"
            );
        }
    }
    // A thousand million times too small, a thousand million times too large, or no unit at all.
    for (kind, text) in [
        (Kind::SpecificEnergy, "43 mJ/kg"),
        (Kind::GaugePressure, "1 Mbar"),
        (Kind::Length, "86 Mm"),
        (Kind::Ratio, "9.5 -"),
        (Kind::Count, "4 cylinders"),
    ] {
        let error = metric(text, kind);
        assert!(
            matches!(error, Err(ReadError::UnknownUnit { .. })),
            "{text}: {error:?}"
        );
    }
}

#[test]
fn a_reading_keeps_what_was_typed() {
    let psi = Kind::GaugePressure.imperial();
    let reading = read("18", Kind::GaugePressure, psi).expect("a number");
    assert_eq!((reading.value, reading.unit.symbol), (18.0, "psi"));
    assert!(!reading.unit_was_typed);
    let reading = read("1.2 bar", Kind::GaugePressure, psi).expect("a number and a unit");
    assert_eq!((reading.value, reading.unit.symbol), (1.2, "bar"));
    assert!(reading.unit_was_typed);
}

#[test]
fn every_name_of_a_unit_leads_to_that_unit() {
    for kind in Kind::ALL {
        for unit in kind.units() {
            for name in unit.aliases.iter().chain([&unit.symbol]) {
                assert_eq!(kind.unit(name), Some(unit), "{kind:?} {name}");
            }
            assert!(
                unit.scale.is_finite() && unit.scale > 0.0,
                "{kind:?} {}",
                unit.symbol
            );
        }
        assert_ne!(kind.metric().system, System::Imperial, "{kind:?}");
        assert_ne!(kind.imperial().system, System::Metric, "{kind:?}");
    }
}

#[test]
fn what_is_not_a_finite_number_is_refused() {
    for text in [
        "nan", "NaN", "abc", "-", ".", ",", "psi", "0x10", "0X1F", "3/4", "1 1/2", "10-20", "1__0",
    ] {
        let error = metric(text, Kind::Length);
        assert!(
            matches!(error, Err(ReadError::NotANumber { .. })),
            "{text}: {error:?}"
        );
    }
    for text in [
        "inf",
        "-Infinity",
        "∞",
        "1e999",
        "1e-999",
        "1e301",
        "-1e301",
        "1e-301",
    ] {
        let error = metric(text, Kind::Length);
        assert!(
            matches!(error, Err(ReadError::NotFinite { .. })),
            "{text}: {error:?}"
        );
    }
    // Finite as typed, but not in pascals.
    let error = metric("1e299 bar", Kind::GaugePressure);
    assert!(
        matches!(error, Err(ReadError::NotFinite { .. })),
        "{error:?}"
    );
    // The ends that the message names are within.
    assert_eq!(value("1e-300", Kind::Ratio), Some(1.0e-300));
    assert_eq!(value("1e300", Kind::Ratio), Some(1.0e300));
    // Zero is zero with any exponent.
    assert_eq!(value("0e-999", Kind::Length), Some(0.0));
}

#[test]
fn every_message_says_what_to_type() {
    assert_snapshot!(message("  ", Kind::Length), @"Nothing was entered: type a number, and its unit if it is not the one shown.");
    assert_snapshot!(message("abc", Kind::Length), @"“abc” is not a number: type digits, with a point or a comma for decimals, then the unit; 3/4 is typed 0.75.");
    assert_snapshot!(message("3/4 in", Kind::Length), @"“3/4 in” is not a number: type digits, with a point or a comma for decimals, then the unit; 3/4 is typed 0.75.");
    assert_snapshot!(message("nan", Kind::Length), @"“nan” is not a number: type digits, with a point or a comma for decimals, then the unit; 3/4 is typed 0.75.");
    assert_snapshot!(message("inf", Kind::Length), @"“inf” is too large or too small to calculate with: type zero or a number between 1e-300 and 1e300 in size.");
    assert_snapshot!(message("1e999 mm", Kind::Length), @"“1e999 mm” is too large or too small to calculate with: type zero or a number between 1e-300 and 1e300 in size.");
    assert_snapshot!(message("18 psia", Kind::GaugePressure), @"“psia” is absolute pressure, and gauge pressure is asked for: take the ambient pressure off and type the rest in bar, kPa, psi, inHg, kgf/cm², mbar, Pa.");
    assert_snapshot!(message("18 psig", Kind::AbsolutePressure), @"“psig” is gauge pressure, and absolute pressure is asked for: add the ambient pressure and type the sum in bar, kPa, psi, inHg, mbar, Pa, atm.");
    assert_snapshot!(message("2 furlongs", Kind::Length), @"“furlongs” is not a unit of length known here: type one of mm, cm, in, m.");
    assert_snapshot!(message("2 %", Kind::Ratio), @"“%” follows the number, and a ratio has no unit: type the number alone.");
    assert_snapshot!(message("7.200 rpm", Kind::EngineSpeed), @"“7.200 rpm” can be read in more than one way: leave out the marks between thousands and type a decimal point, as in 7200 or 7.2.");
    assert_snapshot!(message("1,998 cc", Kind::Volume), @"“1,998 cc” can be read in more than one way: leave out the marks between thousands and type a decimal point, as in 7200 or 7.2.");
    assert_snapshot!(message("4.5", Kind::Count), @"“4.5” is not a whole number: type one without decimals, such as 4.");
    assert_snapshot!(message(&"9".repeat(65), Kind::Length), @"The text has 65 characters and at most 64 are read: type only a number and its unit.");
}

#[test]
fn writing() {
    let bar = Kind::GaugePressure.metric();
    let rev_per_min = Kind::EngineSpeed.metric();
    let ratio = Kind::Ratio.metric();
    assert_eq!(write(125_000.0, bar, 2), "1.25 bar");
    assert_eq!(write(-30_000.0, bar, 2), "-0.30 bar");
    assert_eq!(write_number(-1.0, bar, 2), "0.00");
    assert_eq!(write(1.0e25, bar, 2), "1.00e20 bar");
    assert_eq!(write_number(0.1, ratio, 255), "0.10000000000000001");
    assert_eq!(write(1.8, ratio, 1), "1.8");
    assert_eq!(write(f64::NAN, bar, 2), "not finite");
    assert_eq!(write_exact(f64::INFINITY, bar), "not finite");
    assert!(metric("not finite", Kind::GaugePressure).is_err());
    assert_eq!(write_exact(-0.0, bar), "0 bar");
    assert_eq!(write_exact(1.5e-7, ratio), "1.5e-7");
    // A point before three digits would be refused as a thousands separator.
    let si = rev_per_min.to_si(7.125);
    assert_eq!(write_exact(si, rev_per_min), "7.1250 rev/min");
    assert_eq!(write_number(si, rev_per_min, 3), "7.1250");
    assert_eq!(write_number(si, rev_per_min, 2), "7.12");
}

#[test]
fn numbers_in_files_are_bare() {
    let json = serde_json::to_string(&AbsolutePressure::new(101_325.0)).expect("a number");
    assert_eq!(json, "101325.0");
    let read: AbsolutePressure = serde_json::from_str("101325.0").expect("a number");
    assert_eq!(read.pa(), 101_325.0);
}

#[test]
fn a_gauge_reading_goes_and_comes_back() {
    let ambient = AbsolutePressure::new(100_000.0);
    let boost = GaugePressure::new(120_000.0);
    assert_eq!(boost.above(ambient), AbsolutePressure::new(220_000.0));
    assert_eq!(boost.above(ambient).gauge(ambient), boost);
    assert_eq!(
        boost.above(ambient) - ambient,
        PressureDifference::new(120_000.0)
    );
    assert_eq!(
        ambient - PressureDifference::new(2_000.0),
        AbsolutePressure::new(98_000.0)
    );
    let step = Temperature::new(330.0) - Temperature::new(300.0);
    assert_eq!(step, TemperatureDifference::new(30.0));
    assert_eq!(Temperature::new(330.0) - step, Temperature::new(300.0));
}

proptest! {
    /// What was read is written so that it reads the same, to the bit, in every unit.
    #[test]
    fn what_was_typed_comes_back(mantissa in -10.0..10.0_f64, exponent in -12..12_i32) {
        for kind in Kind::ALL {
            for unit in kind.units() {
                let typed = mantissa * 10.0_f64.powi(exponent);
                let typed = if kind == Kind::Count { typed.round() } else { typed };
                let si = unit.to_si(typed);
                let text = write_exact(si, unit);
                prop_assert!(text.chars().count() <= LONGEST_TEXT, "{text}");
                let back = read(&text, kind, kind.metric());
                prop_assert_eq!(back.map(|back| (back.si, back.unit)), Ok((si, unit)), "{}", text);
            }
        }
    }

    /// Any SI value is written so that it reads the same to the last bit or two: reading a unit
    /// with an offset rounds twice.
    #[test]
    fn what_was_calculated_comes_back(mantissa in -10.0..10.0_f64, exponent in -12..12_i32) {
        for kind in Kind::ALL {
            for unit in kind.units().iter().filter(|_| kind != Kind::Count) {
                let si = mantissa * 10.0_f64.powi(exponent);
                let text = write_exact(si, unit);
                let back = read(&text, kind, kind.metric()).map(|back| back.si);
                // Beside an offset, as in °C, the last bit is that of the larger number.
                let last_bit = 2.0 * f64::EPSILON * si.abs().max(unit.offset);
                prop_assert!(
                    back.as_ref().is_ok_and(|back| (back - si).abs() <= last_bit),
                    "{} from {} gave {:?}", text, si, back
                );
            }
        }
    }

    /// What the page shows can be typed back in, and is off by no more than the rounding.
    #[test]
    fn what_is_shown_can_be_typed(value in -1.0e6..1.0e6_f64, decimals in 0..6_u8) {
        for kind in Kind::ALL {
            for unit in kind.units().iter().filter(|_| kind != Kind::Count) {
                let text = write(unit.to_si(value), unit, decimals);
                let back = read(&text, kind, kind.metric()).map(|back| back.value);
                // Half of the last decimal, and the rounding of a number of this size.
                let half = 0.5 * 10.0_f64.powi(-i32::from(decimals)) + 1.0e-9;
                prop_assert!(
                    back.as_ref().is_ok_and(|back| (back - value).abs() <= half),
                    "{} from {} gave {:?}", text, value, back
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10_000))]

    /// No text makes `read` panic, and what it reads is finite.
    #[test]
    fn any_text_is_read_or_refused(
        text in prop_oneof![
            any::<String>(),
            "\\PC{0,80}",
            "[-+−]?[0-9.,'_ \u{2009}]{0,20}([eE][-+−]?[0-9]{0,4})?[ -~°³²·√⁻×]{0,12}",
        ],
        kind in proptest::sample::select(Kind::ALL.to_vec()),
    ) {
        match read(&text, kind, kind.metric()) {
            Ok(reading) => {
                prop_assert!(reading.si.is_finite() && reading.value.is_finite());
                prop_assert!(kind.units().contains(reading.unit));
            }
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}
