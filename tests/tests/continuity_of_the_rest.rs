//! No jumps in what `continuity.rs` does not move: fields that stand blank, every point of every
//! curve, the turbocharger's own numbers, thresholds; and usual builds at random.
//!
//! A blank field that stands for a value is the same as that value entered.
#![cfg(not(target_arch = "wasm32"))]

mod random;

use airpath::air_way::ambient::standard_atmosphere;
use airpath::air_way::engine::fuel::Fuel;
use airpath::air_way::turbine::estimated_swallowing;
use airpath::build::{Build, BuildFile, CurveField, EnteredCurve, Entry, FuelKind, Turbocharger};
use airpath::fields::{Default, FIELDS, Field, Part};
use airpath::numeric::Curve;
use airpath::quantity::Kind;
use airpath::run::{Held, Match};
use airpath::solve_at;
use proptest::prelude::*;
use random::{close, draws, text, try_cases};
use std::cell::Cell;
use std::collections::BTreeSet;
use std::f64::consts::TAU;
use std::sync::Arc;

/// Relative step of the input.
const STEP: f64 = 1e-6;
/// Most a result may move, as a multiple of the step; 16 was found in 10,000 builds. The steepest places are where
/// boost builds, just below a fold. A jump would be thousands of steps.
const MOST: f64 = 100.0;
/// Distance from a fold, rev/min, within which a jump is what was reported.
const FOLD: f64 = 150.0;
/// Speeds of a match.
const SPEEDS: usize = 30;

fn builds() -> Vec<Build> {
    [
        airpath::example_file(),
        include_str!("../builds/03-four-2.0-quick.json"),
        include_str!("../builds/05-v8-5.0-pair.json"),
        include_str!("../builds/07-diesel-four-2.0.json"),
        include_str!("../builds/10-gate-too-small.json"),
        include_str!("../builds/29-surge-and-speed-caps.json"),
    ]
    .iter()
    .map(|text| {
        BuildFile::from_json(text)
            .and_then(BuildFile::into_build)
            .expect("sound")
    })
    .collect()
}

fn solve(build: &Build) -> Match {
    solve_at(build, SPEEDS).expect("sound")
}

fn set(build: &Build, field: Field, si: f64) -> Build {
    let unit = field.spec().unit();
    build
        .with(field, Some(Entry { si, unit }))
        .unwrap_or_else(|e| panic!("{e}"))
}

/// How far two matches lie apart at most, relative, and where; folds left out.
fn moved(a: &Match, b: &Match) -> (f64, String) {
    let mut worst = (0.0, String::new());
    let mut look = |what: &str, x: f64, y: f64, scale: f64, speed: f64| {
        let change = (x - y).abs() / scale;
        if change > worst.0 || !change.is_finite() {
            worst = (change, format!("{what} at {speed:.0} rev/min: {x} {y}"));
        }
    };
    for (x, y) in a.speeds.iter().zip(&b.speeds) {
        let speed = x.engine_speed_rev_min;
        let folds = a.folds.iter().chain(&b.folds);
        if folds
            .into_iter()
            .any(|fold| (fold.at_rev_min - speed).abs() < FOLD)
        {
            continue;
        }
        let pressure = x.manifold.pressure_pa;
        look(
            "manifold",
            pressure,
            y.manifold.pressure_pa,
            pressure,
            speed,
        );
        let (p, q) = (x.turbine_inlet.pressure_pa, y.turbine_inlet.pressure_pa);
        look("before turbine", p, q, p, speed);
        let (p, q) = (x.turbine_inlet.temperature_k, y.turbine_inlet.temperature_k);
        look("exhaust heat", p, q, p, speed);
        look(
            "air",
            x.outside.flow_kg_s,
            y.outside.flow_kg_s,
            x.outside.flow_kg_s,
            speed,
        );
        look("power", x.bmep_pa, y.bmep_pa, x.bmep_pa.abs() + 2e5, speed);
        let (p, q) = (x.shaft_speed_rev_min, y.shaft_speed_rev_min);
        look("shaft", p, q, p + 5e3, speed);
        look("gate", x.gate_share, y.gate_share, 1.0, speed);
    }
    worst
}

/// What a blank field stands for, SI; `None` for those that ask for nothing when blank.
fn stands_for(build: &Build, field: Field) -> Option<f64> {
    let turbocharger = build.turbocharger();
    let fuel = match build.fuel() {
        FuelKind::Petrol => Fuel::petrol(build.get(Field::EthanolShare)),
        FuelKind::Diesel => Fuel::diesel(),
    };
    let compression = build.get(Field::CompressionRatio);
    Some(match field {
        Field::Barometer => standard_atmosphere(build.get(Field::Altitude)).0.pa(),
        // Taylor, The Internal-Combustion Engine: residual gas without valve overlap.
        Field::OverlapSlope => 1.0 / (build.get(Field::ResidualGamma) * (compression - 1.0)),
        Field::HeatingValue => fuel.heating_value,
        Field::StoichiometricRatio => fuel.stoichiometric_ratio,
        Field::TurbineSwallowing => build.housing().swallowing.unwrap_or_else(|| {
            estimated_swallowing(turbocharger.turbine.inducer_m, build.housing().a_over_r)
        }),
        Field::TurbinePeakEfficiency => turbocharger.turbine.peak_efficiency,
        Field::ShaftSpeedLimit => turbocharger.largest_speed_rev_min * TAU / 60.0,
        Field::TurbineInletLimit => turbocharger.turbine.inlet_limit_k,
        Field::GateLift => match build.optional(Field::GateDiameter) {
            Some(diameter) => diameter / 4.0,
            None => turbocharger.gate.lift_m,
        },
        // The lift is then no longer the turbocharger's own; it is entered first.
        Field::GateDiameter => turbocharger.gate.diameter_m,
        Field::RotorInertia => airpath::response::inertia(build).0,
        Field::PullTo => build.get(Field::Redline),
        Field::PowerTarget | Field::InjectorFlow | Field::DynoBsfc | Field::WarmManifold => {
            return None;
        }
        other if other.spec().part == Part::Fitting => return None,
        other => panic!("{} is never blank", other.spec().id),
    })
}

/// Every field that may be blank, entered with what it stands for: the same match; then moved by a
/// hair's breadth: no jump. Those that stand for no one value are moved around their usual middle.
#[test]
fn blank_fields_are_what_they_stand_for_and_do_not_jump() {
    let mut looked = BTreeSet::new();
    for build in builds() {
        let before = solve(&build);
        for spec in &FIELDS {
            if !matches!(spec.default, Default::Blank(_)) || build.entry(spec.field).is_some() {
                continue;
            }
            let mut build = build.clone();
            if spec.field == Field::GateDiameter && build.entry(Field::GateLift).is_none() {
                build = set(&build, Field::GateLift, build.turbocharger().gate.lift_m);
            }
            let entered = match stands_for(&build, spec.field) {
                Some(si) => {
                    let entered = set(&build, spec.field, si);
                    let (change, place) = moved(&before, &solve(&entered));
                    // Only the last digit of the value may differ; the search settles to 1e-9.
                    assert!(change < 1e-7, "{}, {}: {place}", build.name(), spec.id);
                    entered
                }
                None => {
                    let unit = spec.unit();
                    let middle = 0.5 * (spec.usual.0 + spec.usual.1);
                    set(&build, spec.field, unit.to_si(middle))
                }
            };
            let si = entered.get(spec.field);
            let (a, b) = (
                solve(&entered),
                solve(&set(&entered, spec.field, si * (1.0 + STEP))),
            );
            // The boost for a power is found to a few pascal: that is what it may step by.
            let most = if spec.field == Field::PowerTarget {
                1e-3
            } else {
                MOST * STEP
            };
            let (change, place) = moved(&a, &b);
            assert!(change <= most, "{}, {}: {place}", build.name(), spec.id);
            looked.insert(spec.id);
        }
    }
    // Together with those that have a default, that is every field: `continuity.rs` moves the rest.
    let blank = FIELDS
        .iter()
        .filter(|spec| matches!(spec.default, Default::Blank(_)))
        .count();
    assert_eq!(looked.len(), blank, "{looked:?}");
}

/// `continuity.rs` moves every field that has a value and is not a count. The one count there is
/// moves no air: an engine of the same size with another number of cylinders has the same match.
#[test]
fn cylinders_only_share_the_fuel() {
    let counts: Vec<_> = FIELDS.iter().filter(|s| s.kind == Kind::Count).collect();
    assert_eq!(counts.len(), 1);
    for build in builds() {
        let other = set(&build, counts[0].field, build.get(counts[0].field) + 1.0);
        let (a, b) = (solve(&build), solve(&other));
        assert_eq!(moved(&a, &b).0, 0.0);
        for (x, y) in a.speeds.iter().zip(&b.speeds) {
            let all = |s: f64, build: &Build| s * build.get(Field::Cylinders);
            let (x, y) = (
                all(x.injector_needed_m3_s, &build),
                all(y.injector_needed_m3_s, &other),
            );
            assert!((x / y - 1.0).abs() < 1e-12);
        }
    }
}

/// The curve of a build with one coordinate of one point moved; its boost curve, where it has
/// none, at what is asked.
fn curve_of(build: &Build, field: CurveField) -> EnteredCurve {
    build.curve(field).cloned().unwrap_or_else(|| {
        let spec = field.spec();
        let boost = build.get(Field::BoostTarget);
        let points: Vec<(f64, f64)> = [1500.0, 3000.0, 4500.0, 6000.0]
            .iter()
            .zip([0.8, 1.0, 1.05, 0.95])
            .map(|(speed, share)| (speed * TAU / 60.0, share * boost))
            .collect();
        EnteredCurve {
            curve: Curve::new(&points).expect("rising"),
            x_unit: spec.x.0.metric(),
            y_unit: spec.y.0.metric(),
        }
    })
}

/// Every point of every curve, both coordinates.
#[test]
fn curves_do_not_jump() {
    let mut looked = 0;
    for build in builds() {
        for field in CurveField::ALL {
            let curve = curve_of(&build, field);
            let build = build
                .with_curve(field, Some(curve.clone()))
                .unwrap_or_else(|e| panic!("{e}"));
            let before = solve(&build);
            let points = curve.curve.points();
            for i in 0..points.len() {
                for step in [(1.0 + STEP, 1.0), (1.0, 1.0 - STEP)] {
                    let mut points = points.clone();
                    points[i] = (points[i].0 * step.0, points[i].1 * step.1);
                    let other = EnteredCurve {
                        curve: Curve::new(&points).expect("rising"),
                        ..curve.clone()
                    };
                    let other = build
                        .with_curve(field, Some(other))
                        .unwrap_or_else(|e| panic!("{e}"));
                    let (change, place) = moved(&before, &solve(&other));
                    assert!(
                        change <= MOST * STEP,
                        "{}, {} point {i}: {place}",
                        build.name(),
                        field.spec().id
                    );
                    looked += 1;
                }
            }
        }
    }
    assert!(looked > 100, "{looked}");
}

/// The numbers of a turbocharger's record, each alone.
#[test]
fn the_turbochargers_own_numbers_do_not_jump() {
    let changes: [fn(&mut Turbocharger, usize); 8] = [
        |t, _| t.turbine.inducer_m *= 1.0 + STEP,
        |t, _| t.turbine.peak_efficiency *= 1.0 + STEP,
        |t, _| t.largest_speed_rev_min *= 1.0 + STEP,
        |t, _| t.compressor.wheel.exducer_m *= 1.0 + STEP,
        |t, housing| t.turbine.housings[housing].a_over_r *= 1.0 + STEP,
        |t, _| {
            for line in &mut t.compressor.map.lines {
                line.points[0].flow_kg_s *= 1.0 + STEP;
            }
        },
        |t, _| {
            for line in &mut t.compressor.map.lines {
                let middle = line.points.len() / 2;
                line.points[middle].efficiency *= 1.0 + STEP;
            }
        },
        |t, _| {
            for line in &mut t.compressor.map.lines {
                let middle = line.points.len() / 2;
                line.points[middle].pressure_ratio *= 1.0 + 0.1 * STEP;
            }
        },
    ];
    let mut moves = [false; 8];
    for build in builds() {
        let before = solve(&build);
        for (number, change) in changes.iter().enumerate() {
            let mut other = build.turbocharger().as_ref().clone();
            change(&mut other, build.housing_index());
            let other = build
                .with_turbocharger(Arc::new(other), build.housing_index())
                .unwrap_or_else(|e| panic!("{e}"));
            let after = solve(&other);
            let (change, place) = moved(&before, &after);
            assert!(change <= MOST * STEP, "{}, {number}: {place}", build.name());
            moves[number] |= change > 0.0;
        }
    }
    // What a build overrides in one is looked at in another.
    assert_eq!(moves, [true; 8]);
}

/// Random builds in usual ranges, one field moved by a hair's breadth: no jump of any result, nor of
/// a threshold.
#[test]
fn usual_builds_do_not_jump() {
    let (steepest, seen) = (Cell::new(0.0f64), Cell::new((0u32, 0u32)));
    let any = (draws(), 0..Field::COUNT);
    try_cases(200, 10_000, &any, |(draw, index)| {
        let build = draw.build();
        let spec = &FIELDS[index];
        let Some(now) = build
            .optional(spec.field)
            .filter(|_| spec.kind != Kind::Count)
        else {
            return Ok(());
        };
        let (low, high) = spec.range_si();
        let step = STEP * now.abs().max(1e-3 * (high - low));
        let si = if now + step <= high {
            now + step
        } else {
            now - step
        };
        let (a, b) = (
            solve_at(&build, 16).expect("sound"),
            solve_at(&set(&build, spec.field, si), 16).expect("sound"),
        );
        let (change, place) = moved(&a, &b);
        steepest.set(steepest.get().max(change / STEP));
        prop_assert!(
            change <= MOST * STEP,
            "{}: {place}\n{}",
            spec.id,
            text(&build)
        );
        let thresholds = (a.drive_threshold_rev_min, b.drive_threshold_rev_min);
        if a.folds.is_empty() {
            prop_assert_eq!(thresholds.0.is_some(), thresholds.1.is_some());
            if let (Some(x), Some(y)) = thresholds {
                // Known to half a turn a minute.
                close!("threshold", x, y, 1.0, 1.0);
            }
        }
        let gate = a.speeds.iter().any(|s| s.held == Held::Gate);
        seen.set((seen.get().0 + 1, seen.get().1 + u32::from(gate)));
        Ok(())
    });
    println!("steepest: {:.0} times the step", steepest.get());
    let (all, gate) = seen.get();
    assert!(gate * 2 > all && all > 150, "{gate} of {all}");
    assert!(steepest.get() > 1.0, "nothing moved");
}

/// The other way round: over a tenth of a field's usual range, halved again and again towards
/// whichever half moves a result more. A jump anywhere in it stays as large as it is while the step
/// shrinks; anything steep and smooth shrinks with it. Halved twelve times and no more: closer to a
/// fold too small to be reported, boost moves as the root of the step. Sees jumps of 0.25 % and more.
#[test]
fn no_jump_hides_between_two_values() {
    let steepest = Cell::new(0.0f64);
    let any = (draws(), 0..Field::COUNT, 0.0..0.9f64);
    try_cases(40, 400, &any, |(draw, index, place)| {
        let spec = &FIELDS[index];
        let build = draw.build();
        if spec.kind == Kind::Count || build.optional(spec.field).is_none() {
            return Ok(());
        }
        let unit = spec.unit();
        let now = unit.from_si(build.get(spec.field));
        let span = 0.1 * (spec.usual.1 - spec.usual.0);
        let from = (now + (place - 0.5) * span).clamp(spec.range.0, spec.range.1 - span);
        let at = |value: f64| {
            let build = set(&build, spec.field, unit.to_si(value));
            solve_at(&build, 12).expect("sound")
        };
        let (mut low, mut high) = ((from, at(from)), (from + span, at(from + span)));
        for _ in 0..12 {
            let value = 0.5 * (low.0 + high.0);
            let middle = (value, at(value));
            if moved(&low.1, &middle.1).0 > moved(&middle.1, &high.1).0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        let (change, place) = moved(&low.1, &high.1);
        // Relative to what it was at first: the usual range is about as large as the value.
        let step = 0.1 / f64::from(1 << 12);
        steepest.set(steepest.get().max(change / step));
        prop_assert!(
            change <= MOST * step,
            "{} from {} to {}: {place}\n{}",
            spec.id,
            low.0,
            high.0,
            text(&build)
        );
        Ok(())
    });
    println!("steepest: {:.1} times the step", steepest.get());
    assert!(steepest.get() > 0.1, "nothing moved");
}
