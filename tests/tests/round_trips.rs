//! What goes out comes back: numbers through every unit, builds through their file, and the same
//! build entered in metric and in imperial units.
#![cfg(not(target_arch = "wasm32"))]

mod random;

use airpath::build::{Build, BuildFile, CurveField, EnteredCurve, RailReference, Turbocharger};
use airpath::fields::{FIELDS, Field};
use airpath::numeric::Curve;
use airpath::quantity::{AbsolutePressure, GaugePressure, Kind, Unit, read, write_exact};
use airpath::solve_at;
use proptest::prelude::*;
use proptest::sample::Index;
use random::{Draw, close, draws, text, try_cases};
use serde_json::Value;
use std::cell::Cell;
use std::sync::Arc;

/// Every unit of every kind, typed and worked out: the number comes back, to the bit where the
/// unit's numbers are dense enough, else to the last digit; the unit comes back itself, whatever
/// unit stands beside the box.
#[test]
fn every_unit_of_every_kind_comes_back() {
    let any = (-9.999_99..9.999_99f64, -4..5i32, any::<Index>());
    try_cases(256, 20_000, &any, |(mantissa, exponent, beside)| {
        for kind in Kind::ALL {
            let beside = beside.get(kind.units());
            for unit in kind.units() {
                // As a person types it: six digits.
                let typed = if kind == Kind::Count {
                    format!("{:.0}", mantissa * 10f64.powi(exponent))
                } else {
                    format!("{}", (mantissa * 1e5).round() / 1e5 * 10f64.powi(exponent))
                };
                let number: f64 = typed.parse().expect("a number");
                let si = unit.to_si(number);
                let shown = write_exact(si, unit);
                let Ok(back) = read(&shown, kind, unit) else {
                    // Below absolute zero, below vacuum, a negative length: refused as typed too.
                    let as_typed = format!("{typed} {}", unit.symbol);
                    prop_assert!(read(&as_typed, kind, unit).is_err(), "{kind:?} {shown}");
                    continue;
                };
                close!(format!("{kind:?} {shown}"), back.si, si, 4.0 * f64::EPSILON);
                prop_assert_eq!(back.unit, unit, "{:?} {}", kind, shown);
                // The text is what was typed, not a neighbour with seventeen digits.
                prop_assert_eq!(&write_exact(back.si, back.unit), &shown);
                close!(
                    shown,
                    unit.from_si(back.si),
                    number,
                    number.abs() + unit.offset.abs() / unit.scale,
                    1e-13
                );
                // A symbol says its unit whatever stands beside the box. Two kinds of units share a
                // symbol with none: there the one beside is meant.
                if !unit.symbol.is_empty() {
                    let elsewhere = read(&shown, kind, beside);
                    prop_assert_eq!(elsewhere.map(|r| r.si), Ok(back.si), "{:?} {}", kind, shown);
                }
                // Worked out values, with all their digits.
                let calculated = si * (1.0 + 1.0 / 3.0);
                let shown = write_exact(calculated, unit);
                if let Ok(back) = read(&shown, kind, unit) {
                    close!(
                        shown,
                        back.si,
                        calculated,
                        calculated.abs() + unit.offset.abs(),
                        4.0 * f64::EPSILON
                    );
                }
            }
        }
        Ok(())
    });
}

/// Gauge to absolute and back in any air, and by way of any two units.
#[test]
fn gauge_pressure_goes_and_comes_back() {
    let any = (0.0..4e5f64, 50e3..110e3f64, any::<Index>(), any::<Index>());
    try_cases(256, 20_000, &any, |(boost, outside, gauge, absolute)| {
        let outside = AbsolutePressure::new(outside);
        let (gauge, absolute) = (
            gauge.get(Kind::GaugePressure.units()),
            absolute.get(Kind::AbsolutePressure.units()),
        );
        let typed = read(&write_exact(boost, gauge), Kind::GaugePressure, gauge).expect("typed");
        let manifold = GaugePressure::new(typed.si).above(outside);
        close!("above", manifold.pa(), boost + outside.pa(), 1e-15);
        let shown = write_exact(manifold.pa(), absolute);
        let back = read(&shown, Kind::AbsolutePressure, absolute).expect("shown");
        close!(
            shown,
            AbsolutePressure::new(back.si).gauge(outside).pa(),
            boost,
            manifold.pa(),
            1e-15
        );
        Ok(())
    });
}

/// One field as it is typed: where in its range, in which of its units, with how many digits.
type Typed = (bool, f64, Index, usize);

/// A curve's points: gaps along the first axis and heights, 0 to 1, and units.
type Drawn = Option<(Vec<(f64, f64)>, Index, Index)>;

fn curve() -> impl Strategy<Value = Drawn> {
    prop::option::of((
        prop::collection::vec((0.05..1.0f64, 0.0..=1.0f64), 1..12),
        any::<Index>(),
        any::<Index>(),
    ))
}

/// The curve of a drawing, over its whole range.
fn laid_out(field: CurveField, drawn: &Drawn) -> Option<EnteredCurve> {
    let (points, x_unit, y_unit) = drawn.as_ref()?;
    let spec = field.spec();
    let (x_table, y_table) = (
        spec.x.0.unit(spec.x.1).expect("a unit"),
        spec.y.0.unit(spec.y.1).expect("a unit"),
    );
    let (x_unit, y_unit) = (x_unit.get(spec.x.0.units()), y_unit.get(spec.y.0.units()));
    // As it is typed: numbers of the unit, which not every SI value is.
    let typed =
        |value: f64, table: &Unit, unit: &Unit| unit.to_si(unit.from_si(table.to_si(value)));
    let all: f64 = points.iter().map(|p| p.0).sum();
    let mut so_far = 0.0;
    let si: Vec<(f64, f64)> = points
        .iter()
        .map(|(gap, height)| {
            so_far += gap / all;
            let x = spec.x_range.0 + so_far * (spec.x_range.1 - spec.x_range.0) * 0.999;
            let y = spec.y_range.0 + height * (spec.y_range.1 - spec.y_range.0);
            (typed(x, x_table, x_unit), typed(y, y_table, y_unit))
        })
        .collect();
    Some(EnteredCurve {
        curve: Curve::new(&si).expect("rising"),
        x_unit,
        y_unit,
    })
}

/// A record of one's own: the shelf's with other sizes, so that the file must hold it in full.
fn own(shelf: &Turbocharger, by: f64) -> Turbocharger {
    let mut own = shelf.clone();
    own.name = format!("{} “zwei” \\ 2", shelf.name);
    own.turbine.peak_efficiency *= 1.0 - 0.1 * by;
    own.turbine.housings[0].swallowing = Some(1.3e-5 * (1.0 + by));
    own.gate.lift_m *= 1.0 + by;
    own.compressor.wheel.exducer_m *= 1.0 + 0.05 * by;
    for line in &mut own.compressor.map.lines {
        for point in &mut line.points {
            point.flow_kg_s *= 1.0 + by / 3.0;
        }
    }
    own
}

/// A build to its file, to text, and back: identical, the unit of each entry included.
#[test]
fn a_build_comes_back_from_its_file() {
    let fields = prop::collection::vec(
        (any::<bool>(), 0.0..=1.0f64, any::<Index>(), 0..17usize),
        Field::COUNT,
    );
    let any = (
        draws(),
        fields,
        (curve(), curve(), curve()),
        (".{0,40}", any::<bool>(), prop::option::of(0.0..1.0f64)),
    );
    let (set, refused) = (Cell::new(0u32), Cell::new(0u32));
    try_cases(150, 4000, &any, |(draw, typed, curves, rest)| {
        let (name, outside, own_record) = rest;
        let mut build = draw.build().with_name(&name).expect("short");
        if outside {
            build = build.with_rail_reference(RailReference::Outside);
        }
        if let Some(by) = own_record {
            let record = own(build.turbocharger(), by);
            build = build
                .with_turbocharger(Arc::new(record), build.housing_index())
                .expect("sound");
        }
        for (spec, (typed, place, unit, digits)) in FIELDS.iter().zip::<&Vec<Typed>>(&typed) {
            if !typed {
                continue;
            }
            let unit: &'static Unit = unit.get(spec.kind.units());
            let (low, high) = spec.range_si();
            let value = unit.from_si(low + (high - low) * place);
            let value = if spec.kind == Kind::Count {
                format!("{value:.0}")
            } else {
                format!("{value:.digits$e}")
                    .parse::<f64>()
                    .expect("a number")
                    .to_string()
            };
            // Rounded out of its range, a redline below idle, a comma's rules: refused, and the
            // build before stands.
            match build.with_text(spec.field, &format!("{value} {}", unit.symbol), unit) {
                Ok(next) => {
                    set.set(set.get() + 1);
                    prop_assert_eq!(next.unit(spec.field), unit);
                    build = next;
                }
                Err(_) => refused.set(refused.get() + 1),
            }
        }
        for (field, drawn) in CurveField::ALL
            .into_iter()
            .zip([&curves.0, &curves.1, &curves.2])
        {
            if let Some(curve) = laid_out(field, drawn) {
                build = build
                    .with_curve(field, Some(curve))
                    .unwrap_or_else(|e| panic!("{e}"));
            }
        }
        let json = BuildFile::from_build(&build).to_json();
        let file = BuildFile::from_json(&json).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let back = file
            .into_build()
            .map_err(|e| TestCaseError::fail(format!("{e}\n{json}")))?;
        for spec in &FIELDS {
            let (a, b) = (build.entry(spec.field), back.entry(spec.field));
            prop_assert_eq!(a.is_some(), b.is_some(), "{}", spec.id);
            if let (Some(a), Some(b)) = (a, b) {
                prop_assert_eq!(a.si.to_bits(), b.si.to_bits(), "{}\n{}", spec.id, &json);
                prop_assert_eq!(a.unit, b.unit, "{}", spec.id);
            }
        }
        for field in CurveField::ALL {
            let (a, b) = (build.curve(field), back.curve(field));
            prop_assert!(a == b, "{:?}\n{:?}", a, b);
        }
        prop_assert_eq!(back.name(), build.name());
        prop_assert!(back.turbocharger() == build.turbocharger(), "{}", &json);
        prop_assert!(back == build, "{}", &json);
        prop_assert_eq!(BuildFile::from_build(&back).to_json(), json);
        Ok(())
    });
    let (set, refused) = (set.get(), refused.get());
    assert!(refused * 20 < set, "{refused} refused, {set} set");
}

/// Metric units and their imperial counterparts, `imperial = metric × factor + offset`: NIST
/// Special Publication 811 (2008), appendix B, from its exact definitions (inch 25.4 mm, pound
/// 0.453 592 37 kg, pound-force 4.448 221 615 260 5 N, BTU 1 055.055 852 62 J).
fn imperial(kind: Kind, metric: &str, value: f64) -> Option<(f64, &'static str)> {
    const POUND: f64 = 0.453_592_37;
    const FOOT: f64 = 0.304_8;
    const PSI: f64 = 4.448_221_615_260_5 / (0.025_4 * 0.025_4);
    const HORSEPOWER: f64 = 550.0 * 4.448_221_615_260_5 * FOOT;
    Some(match (kind, metric) {
        (_, "bar") => (value * 1e5 / PSI, "psi"),
        (_, "kPa") => (value * 1e3 / PSI, "psi"),
        (Kind::Temperature, "°C") => (value * 9.0 / 5.0 + 32.0, "°F"),
        (Kind::Temperature, "K") => (value * 9.0 / 5.0 - 459.67, "°F"),
        (Kind::TemperatureDifference, "K") => (value * 9.0 / 5.0, "°F"),
        (Kind::Length, "mm") => (value / 25.4, "in"),
        (Kind::Altitude, "m") => (value / FOOT, "ft"),
        (Kind::Volume, "litre") => (value * 1e6 / 25.4f64.powi(3), "in³"),
        (Kind::MassFlowPerVolume, "kg/s per litre") => (value * 60.0 / POUND, "lb/min per litre"),
        (Kind::Power, "kW") => (value * 1e3 / HORSEPOWER, "hp"),
        (Kind::SpecificEnergy, "MJ/kg") => (value * 1e6 * POUND / 1_055.055_852_62, "BTU/lb"),
        (Kind::SpecificConsumption, "g/kWh") => (value * HORSEPOWER / (1e6 * POUND), "lb/(hp h)"),
        (Kind::Density, "kg/m³") => (value * FOOT.powi(3) / POUND, "lb/ft³"),
        (Kind::Speed, "m/s") => (value / FOOT, "ft/s"),
        (Kind::Mass, "kg") => (value / POUND, "lb"),
        (Kind::Inertia, "g cm²") => (value / (POUND * 1e3 * 2.54 * 2.54), "lb in²"),
        (Kind::Area, "m²") => (value / (FOOT * FOOT), "ft²"),
        _ => return None,
    })
}

/// Kinds of which the trade has no imperial unit of its own: rev/min, cm³/min, percent, ratios.
const SHARED: [Kind; 7] = [
    Kind::EngineSpeed,
    Kind::ShaftSpeed,
    Kind::VolumeFlow,
    Kind::Swallowing,
    Kind::Fraction,
    Kind::Ratio,
    Kind::Count,
];

#[test]
fn every_field_has_an_imperial_unit_or_shares_one() {
    for spec in &FIELDS {
        assert_eq!(
            imperial(spec.kind, spec.unit, 1.0).is_none(),
            SHARED.contains(&spec.kind),
            "{}",
            spec.id
        );
    }
}

/// The same build typed in metric and in imperial units.
fn twice(draw: &Draw) -> (Build, Build) {
    let metric = draw.build();
    let mut other = metric.clone();
    for spec in &FIELDS {
        let Some(entry) = metric.entry(spec.field) else {
            continue;
        };
        let value = entry.unit.from_si(entry.si);
        if let Some((value, symbol)) = imperial(spec.kind, entry.unit.symbol, value) {
            let unit = spec.kind.imperial();
            // Seventeen digits: as the number is, not as it is shown.
            let text = format!("{value:.17} {symbol}");
            let text = match text.split_once(' ') {
                Some((number, symbol)) => {
                    format!("{} {symbol}", number.parse::<f64>().expect("a number"))
                }
                None => text,
            };
            other = other
                .with_text(spec.field, &text, unit)
                .unwrap_or_else(|e| panic!("{}: {e}", spec.id));
        }
    }
    (metric, other)
}

/// The largest relative difference between two answers, and where.
fn apart(path: &str, a: &Value, b: &Value, worst: &mut (f64, String)) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            let (x, y) = (x.as_f64().unwrap_or(0.0), y.as_f64().unwrap_or(0.0));
            let difference = (x - y).abs() / x.abs().max(y.abs()).max(1e-300);
            if x != y && difference > worst.0 {
                *worst = (difference, format!("{path}: {x} {y}"));
            }
        }
        (Value::Object(x), Value::Object(y)) => {
            for (key, value) in x {
                apart(&format!("{path}.{key}"), value, &y[key], worst);
            }
        }
        _ if a == b => {}
        _ => *worst = (f64::INFINITY, format!("{path}: {a} {b}")),
    }
}

/// The same build in metric and in imperial units gets the same answer: the entries to the last
/// digit, what is worked out from them to 1e-9 in nearly all, and always to 1e-8, since
/// temperatures are settled to 1e-9 and a loss goes as the square of a flow.
#[test]
fn metric_and_imperial_give_the_same_answer() {
    let (steepest, seen) = (Cell::new(0.0f64), Cell::new((0u32, 0u32)));
    try_cases(100, 5000, &draws(), |draw| {
        let (metric, other) = twice(&draw);
        for spec in &FIELDS {
            if let (Some(a), Some(b)) = (metric.entry(spec.field), other.entry(spec.field)) {
                close!(
                    spec.id,
                    a.si,
                    b.si,
                    a.si.abs() + a.unit.offset.abs(),
                    1e-15 * 4.0
                );
            }
        }
        let (a, b) = (
            solve_at(&metric, 10).expect("sound"),
            solve_at(&other, 10).expect("sound"),
        );
        for (x, y) in a.speeds.iter().zip(&b.speeds) {
            let (mut x, mut y) = (
                serde_json::to_value(x).expect("plain"),
                serde_json::to_value(y).expect("plain"),
            );
            // Differences of nearly equal numbers, whose last digits are round-off: rooms, the
            // gate's share as it closes, pumping. What they are made of is compared.
            for object in [&mut x, &mut y] {
                let object = object.as_object_mut().expect("an object");
                for difference in [
                    "surge_room",
                    "choke_room",
                    "pmep_pa",
                    "gate_share",
                    "gate_area_m2",
                    "gate_opening",
                    "energy",
                ] {
                    prop_assert!(object.remove(difference).is_some());
                }
            }
            let mut worst = (0.0, String::new());
            apart("", &x, &y, &mut worst);
            steepest.set(steepest.get().max(worst.0));
            seen.set((seen.get().0 + 1, seen.get().1 + u32::from(worst.0 <= 1e-9)));
            prop_assert!(worst.0 <= 1e-8, "{:?}\n{}", worst, text(&metric));
        }
        Ok(())
    });
    let (all, close) = seen.get();
    println!(
        "largest difference {:.1e}; {close} of {all} within 1e-9",
        steepest.get()
    );
    assert!(close * 100 >= all * 99, "{close} of {all} within 1e-9");
    assert!(
        steepest.get() > 0.0,
        "the two were the same to the bit: nothing was converted"
    );
}

/// Shown in another unit and otherwise left alone: the same to the bit. Kept in a file in that unit
/// a number may lose its last digit, where the unit has no number for it.
#[test]
fn the_unit_shown_changes_nothing() {
    let seen = Cell::new((0u32, 0u32));
    try_cases(40, 2000, &(draws(), any::<Index>()), |(draw, unit)| {
        let build = draw.build();
        let mut other = build.clone();
        for spec in &FIELDS {
            if let Some(mut entry) = build.entry(spec.field) {
                entry.unit = unit.get(spec.kind.units());
                other = other
                    .with(spec.field, Some(entry))
                    .unwrap_or_else(|e| panic!("{}: {e}", spec.id));
            }
        }
        prop_assert!(
            solve_at(&build, 6) == solve_at(&other, 6),
            "{}",
            text(&other)
        );
        let back = BuildFile::from_build(&other)
            .into_build()
            .map_err(|e| TestCaseError::fail(e.to_string()))?;
        for spec in &FIELDS {
            if let (Some(a), Some(b)) = (other.entry(spec.field), back.entry(spec.field)) {
                let scale = a.si.abs() + a.unit.offset.abs();
                close!(spec.id, a.si, b.si, scale, f64::EPSILON);
                prop_assert_eq!(a.unit, b.unit);
                let (all, exact) = seen.get();
                seen.set((all + 1, exact + u32::from(a.si == b.si)));
            }
        }
        Ok(())
    });
    let (all, exact) = seen.get();
    println!("{exact} of {all} numbers kept to the bit");
    assert!(exact * 10 > all * 9, "{exact} of {all}");
}
