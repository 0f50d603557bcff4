//! Which way results move when one input is raised and all else stays, on random builds in usual
//! ranges.
//!
//! Each rule states where physics makes it hold, looks at every speed where that is so, and counts
//! them: a rule that hardly ever applied would prove nothing. Facts of the trade, no source; the
//! reasons are with each.
#![cfg(not(target_arch = "wasm32"))]

mod random;

use airpath::air_way::ambient::standard_atmosphere;
use airpath::build::{Arrangement, Build};
use airpath::fields::Field;
use airpath::run::{Held, Match, SpeedReport};
use airpath::solve_at;
use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;
use random::{Draw, close, draws, text, try_cases, with};
use std::cell::Cell;

/// Speeds of a match; the same in both.
const SPEEDS: usize = 12;
/// Solved results are the same to this.
const SOLVED: f64 = 1e-6;

fn solve(build: &Build) -> Match {
    let found = solve_at(build, SPEEDS).expect("sound");
    assert!(
        found.unsolved.is_empty(),
        "{:?}\n{}",
        found.unsolved,
        text(build)
    );
    found
}

/// How often a rule applied.
#[derive(Default)]
struct Seen {
    applied: Cell<u32>,
    all: Cell<u32>,
}

impl Seen {
    fn count(&self, applies: bool) -> bool {
        self.all.set(self.all.get() + 1);
        self.applied.set(self.applied.get() + u32::from(applies));
        applies
    }

    fn at_least(&self, share: f64) {
        let (applied, all) = (self.applied.get(), self.all.get());
        println!("applied at {applied} of {all}");
        assert!(
            f64::from(applied) >= share * f64::from(all),
            "applied at {applied} of {all} only"
        );
    }
}

/// Pairs of speeds of two matches.
fn pairs<'a>(
    a: &'a Match,
    b: &'a Match,
) -> impl Iterator<Item = (&'a SpeedReport, &'a SpeedReport)> {
    a.speeds.iter().zip(&b.speeds)
}

/// The gate holds what was asked in both.
fn both_held(a: &SpeedReport, b: &SpeedReport) -> bool {
    a.held == Held::Gate && b.held == Held::Gate
}

/// Fails unless the second is above the first, by more than what is solved.
macro_rules! rises {
    ($what:expr, $a:expr, $b:expr, $where:expr) => {{
        let (a, b): (f64, f64) = ($a, $b);
        prop_assert!(
            b > a + SOLVED * a.abs(),
            "{} went from {a:.9e} to {b:.9e} {}",
            $what,
            $where
        );
    }};
}

/// A threshold that must not move down: where it is reached after, it was reached before.
fn no_earlier(
    what: &str,
    before: Option<f64>,
    after: Option<f64>,
    build: &Build,
) -> TestCaseResult {
    if let Some(after) = after {
        // A threshold is known to half a turn a minute.
        prop_assert!(
            before.is_some_and(|before| before <= after + 1.0),
            "{what}: threshold {before:?} before, {after} after\n{}",
            text(build)
        );
    }
    Ok(())
}

fn place(s: &SpeedReport, build: &Build) -> String {
    format!("at {:.1} rev/min\n{}", s.engine_speed_rev_min, text(build))
}

/// A build, and the same with one field moved by a share of its usual range.
fn moved(draw: &Draw, field: Field, share: f64) -> (Build, Build) {
    let build = draw.build();
    let spec = field.spec();
    let span = spec.usual.1 - spec.usual.0;
    let now = build.get(field) - spec.unit().offset;
    let value = now / spec.unit().scale + share * span;
    let value = value.clamp(spec.range.0, spec.range.1);
    let after = with(&build, field, value);
    (build, after)
}

/// Where both hold what was asked: more manifold pressure, more air, a faster shaft, hotter at the
/// compressor, more before the turbine. Power follows as long as the pressure before the turbine
/// has not run away from the manifold's.
#[test]
fn more_boost_gives_more_air() {
    let (held, powerful) = (Seen::default(), Seen::default());
    try_cases(60, 2000, &(draws(), 0.05..0.4f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::BoostTarget, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || x.boost_asked_pa >= y.boost_asked_pa {
                continue;
            }
            if !held.count(both_held(x, y)) {
                // What stops it is a cap or a turbine that gives out, never a loss of boost.
                prop_assert!(
                    y.boost_pa >= x.boost_pa * (1.0 - SOLVED),
                    "{:?} {} {}",
                    y.held,
                    y.boost_pa,
                    place(x, &before)
                );
                continue;
            }
            let at = place(x, &before);
            rises!(
                "manifold",
                x.manifold.pressure_pa,
                y.manifold.pressure_pa,
                at
            );
            rises!("air", x.dry_air_kg_s, y.dry_air_kg_s, at);
            rises!("ratio", x.pressure_ratio, y.pressure_ratio, at);
            rises!("shaft", x.shaft_speed_rev_min, y.shaft_speed_rev_min, at);
            rises!(
                "outlet",
                x.compressor_outlet.temperature_k,
                y.compressor_outlet.temperature_k,
                at
            );
            rises!(
                "before turbine",
                x.turbine_inlet.pressure_pa,
                y.turbine_inlet.pressure_pa,
                at
            );
            rises!("peak", x.peak_pressure_pa, y.peak_pressure_pa, at);
            if powerful.count(y.back_pressure_ratio < 2.0) {
                rises!("power", x.power_w, y.power_w, at);
            }
        }
        no_earlier(
            "boost",
            a.drive_threshold_rev_min,
            b.drive_threshold_rev_min,
            &before,
        )
    });
    held.at_least(0.5);
    powerful.at_least(0.8);
}

/// Thinner air outside at the same boost by the gauge: a higher pressure ratio and a faster shaft.
#[test]
fn altitude_speeds_the_shaft_up() {
    let held = Seen::default();
    try_cases(60, 2000, &(draws(), 0.1..0.6f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::Altitude, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!("ratio", x.pressure_ratio, y.pressure_ratio, at);
            rises!("shaft", x.shaft_speed_rev_min, y.shaft_speed_rev_min, at);
            rises!("air", y.outside.flow_kg_s, x.outside.flow_kg_s, at);
            close!("boost", x.boost_pa, y.boost_pa, SOLVED);
        }
        no_earlier(
            "altitude",
            a.drive_threshold_rev_min,
            b.drive_threshold_rev_min,
            &before,
        )
    });
    held.at_least(0.6);
}

/// The same pressure in the manifold, absolute: again a higher ratio and a faster shaft.
#[test]
fn altitude_at_the_same_manifold_pressure_speeds_the_shaft_up() {
    let held = Seen::default();
    try_cases(60, 2000, &(draws(), 0.1..0.6f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::Altitude, share);
        // No spring in the way of the boost that is worked out.
        let (before, after) = (
            with(&before, Field::GateSpring, 0.0),
            with(&after, Field::GateSpring, 0.0),
        );
        let outside = |build: &Build| standard_atmosphere(build.get(Field::Altitude)).0.pa();
        let boost = before.get(Field::BoostTarget) + outside(&before) - outside(&after);
        let after = with(&after, Field::BoostTarget, boost / 1e5);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            close!(
                "manifold",
                x.manifold.pressure_pa,
                y.manifold.pressure_pa,
                SOLVED
            );
            rises!("ratio", x.pressure_ratio, y.pressure_ratio, at);
            rises!("shaft", x.shaft_speed_rev_min, y.shaft_speed_rev_min, at);
        }
        Ok(())
    });
    held.at_least(0.5);
}

/// A larger housing: less pressure before the turbine and more power where both hold; never an
/// earlier threshold.
#[test]
fn a_larger_housing_comes_in_later_and_breathes_better() {
    let (held, later) = (Seen::default(), Seen::default());
    try_cases(80, 2000, &(draws(), 0usize..2), |(draw, small)| {
        let build = draw.build();
        let turbocharger = build.turbocharger().clone();
        let housing = |i| {
            build
                .with_turbocharger(turbocharger.clone(), i)
                .expect("has it")
        };
        let (a, b) = (solve(&housing(small)), solve(&housing(small + 1)));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &build);
            rises!(
                "before turbine",
                y.turbine_inlet.pressure_pa,
                x.turbine_inlet.pressure_pa,
                at
            );
            rises!(
                "back pressure",
                y.back_pressure_ratio,
                x.back_pressure_ratio,
                at
            );
            rises!("gate", y.gate_share, x.gate_share, at);
            rises!("power", x.power_w, y.power_w, at);
        }
        let (small, large) = (a.drive_threshold_rev_min, b.drive_threshold_rev_min);
        if later.count(small.is_some_and(|s| s > a.speeds[0].engine_speed_rev_min + 1.0)) {
            // Not only no earlier: truly later, or never.
            prop_assert!(
                large.is_none_or(|l| l > small.unwrap_or(0.0) + 1.0),
                "{small:?} {large:?}\n{}",
                text(&build)
            );
        }
        no_earlier("housing", small, large, &build)
    });
    held.at_least(0.6);
    later.at_least(0.5);
}

/// Colder charge is denser.
#[test]
fn a_better_cooler_gives_more_air_and_power() {
    let held = Seen::default();
    try_cases(60, 2000, &(draws(), 0.1..0.8f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::CoolerEffectiveness, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!(
                "manifold",
                y.manifold.temperature_k,
                x.manifold.temperature_k,
                at
            );
            rises!("air", x.outside.flow_kg_s, y.outside.flow_kg_s, at);
            rises!("power", x.power_w, y.power_w, at);
        }
        Ok(())
    });
    held.at_least(0.8);
}

/// A dirty filter: the compressor makes up for it, and the turbine pays.
#[test]
fn a_filter_that_loses_more_costs_power() {
    let held = Seen::default();
    try_cases(60, 2000, &(draws(), 0.2..2.0f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::FilterLoss, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!("ratio", x.pressure_ratio, y.pressure_ratio, at);
            rises!("shaft", x.shaft_speed_rev_min, y.shaft_speed_rev_min, at);
            rises!(
                "before turbine",
                x.turbine_inlet.pressure_pa,
                y.turbine_inlet.pressure_pa,
                at
            );
            rises!("power", y.power_w, x.power_w, at);
        }
        Ok(())
    });
    held.at_least(0.8);
}

/// A tighter tailpipe: all of its pressure stands before the turbine as well, and boost comes later.
#[test]
fn an_exhaust_that_loses_more_costs_power() {
    let held = Seen::default();
    try_cases(60, 2000, &(draws(), 0.1..0.6f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::ExhaustLoss, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!(
                "after turbine",
                x.turbine_outlet.pressure_pa,
                y.turbine_outlet.pressure_pa,
                at
            );
            rises!(
                "before turbine",
                x.turbine_inlet.pressure_pa,
                y.turbine_inlet.pressure_pa,
                at
            );
            rises!("gate", y.gate_share, x.gate_share, at);
            rises!("power", y.power_w, x.power_w, at);
        }
        no_earlier(
            "exhaust",
            a.drive_threshold_rev_min,
            b.drive_threshold_rev_min,
            &before,
        )
    });
    held.at_least(0.8);
}

/// A better turbine needs less pressure for the same work and comes in earlier; so does a freer
/// bearing.
#[test]
fn a_turbine_that_wastes_less_comes_in_earlier() {
    let (held, earlier) = (Seen::default(), Seen::default());
    let any = (
        draws(),
        prop_oneof![
            Just((Field::TurbinePeakEfficiency, 1.0)),
            Just((Field::PulseGain, 1.0)),
            Just((Field::BearingPower, -1.0)),
        ],
        0.1..0.8f64,
    );
    try_cases(80, 2000, &any, |(draw, (field, sign), share)| {
        let (before, after) = moved(&draw, field, sign * share);
        if before.get(field) == after.get(field) {
            return Ok(());
        }
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!(
                "before turbine",
                y.turbine_inlet.pressure_pa,
                x.turbine_inlet.pressure_pa,
                at
            );
            rises!("gate", x.gate_share, y.gate_share, at);
            rises!("power", x.power_w, y.power_w, at);
        }
        let (old, new) = (a.drive_threshold_rev_min, b.drive_threshold_rev_min);
        earlier.count(old.is_some_and(|old| new.is_some_and(|new| new < old - 1.0)));
        no_earlier("waste", new, old, &before)
    });
    held.at_least(0.8);
    earlier.at_least(0.4);
}

/// More compression: more work from the same heat, colder exhaust.
#[test]
fn more_compression_gives_more_work_and_colder_exhaust() {
    let held = Seen::default();
    try_cases(60, 2000, &(draws(), 0.1..0.6f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::CompressionRatio, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!(
                "exhaust heat",
                y.turbine_inlet.temperature_k,
                x.turbine_inlet.temperature_k,
                at
            );
            rises!(
                "work",
                x.gross_imep_pa / x.fuel_kg_s,
                y.gross_imep_pa / y.fuel_kg_s,
                at
            );
            rises!("power", x.power_w, y.power_w, at);
        }
        Ok(())
    });
    held.at_least(0.8);
}

/// Leaner, and still rich: hotter exhaust and less fuel for the power.
#[test]
fn a_richer_mixture_cools_and_costs_fuel() {
    let held = Seen::default();
    let petrol = draws().prop_filter("rich", |draw| draw.tank != random::Tank::Diesel);
    try_cases(60, 2000, &(petrol, 0.1..0.7f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::Lambda, share);
        let after = if after.get(Field::Lambda) > 0.95 {
            with(&after, Field::Lambda, 0.95)
        } else {
            after
        };
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!(
                "exhaust heat",
                x.turbine_inlet.temperature_k,
                y.turbine_inlet.temperature_k,
                at
            );
            let (x, y) = (x.bsfc_kg_j, y.bsfc_kg_j);
            if let (Some(x), Some(y)) = (x, y) {
                rises!("consumption", y, x, at);
            }
        }
        Ok(())
    });
    held.at_least(0.8);
}

/// Water in the air takes the place of what burns.
#[test]
fn humid_air_carries_less_oxygen() {
    let held = Seen::default();
    try_cases(60, 2000, &(draws(), 0.2..1.0f64), |(draw, share)| {
        let (before, after) = moved(&draw, Field::RelativeHumidity, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            if x.held != Held::Gate || !held.count(both_held(x, y)) {
                continue;
            }
            let at = place(x, &before);
            rises!("dry air", y.dry_air_kg_s, x.dry_air_kg_s, at);
            rises!("power", y.power_w, x.power_w, at);
        }
        Ok(())
    });
    held.at_least(0.8);
}

/// What rubs, the gate's size where it is large enough, its spring below what is asked, limits that
/// only warn, and the driveline: none of them moves the air.
#[test]
fn what_the_air_does_not_meet_does_not_move_it() {
    let fields = [
        Field::FrictionFactor,
        Field::FrictionConstant,
        Field::GateDiameter,
        Field::GateDischarge,
        Field::DrivelineEfficiency,
        Field::CompressorOutletLimit,
        Field::TurbineInletLimit,
        Field::BackPressureLimit,
        Field::PeakPressureLimit,
        Field::SensorLimit,
        Field::InjectorFlow,
        Field::RailPressure,
        Field::DynoBsfc,
        Field::PeakPressureBase,
    ];
    let held = Seen::default();
    let rubbing = Seen::default();
    let any = (draws(), prop::sample::select(fields.to_vec()), 0.1..0.9f64);
    try_cases(80, 2000, &any, |(draw, field, share)| {
        let (before, after) = moved(&draw, field, share);
        let (a, b) = (solve(&before), solve(&after));
        for (x, y) in pairs(&a, &b) {
            // A gate too small lets boost creep, by its size.
            let creeps = x.held == Held::Creep || y.held == Held::Creep;
            if !held.count(!creeps) {
                continue;
            }
            close!(
                "manifold",
                x.manifold.pressure_pa,
                y.manifold.pressure_pa,
                SOLVED
            );
            close!(
                "before turbine",
                x.turbine_inlet.pressure_pa,
                y.turbine_inlet.pressure_pa,
                SOLVED
            );
            close!("air", x.outside.flow_kg_s, y.outside.flow_kg_s, SOLVED);
            prop_assert_eq!(x.held, y.held);
            if rubbing.count(field == Field::FrictionFactor || field == Field::FrictionConstant) {
                rises!("power", y.power_w, x.power_w, place(x, &before));
                close!(
                    "friction",
                    x.bmep_pa - y.bmep_pa,
                    y.fmep_pa - x.fmep_pa,
                    x.gross_imep_pa,
                    SOLVED
                );
            }
        }
        Ok(())
    });
    held.at_least(0.85);
    rubbing.at_least(0.08);
}

/// Two turbochargers on an engine of twice the size are one on one: the same at every station,
/// twice the flow and power.
#[test]
fn a_pair_on_twice_the_engine_is_two_of_one() {
    try_cases(50, 2000, &draws(), |draw| {
        let one = draw.build().with_arrangement(Arrangement::Single);
        let size = (one.get(Field::Displacement) * 1e3).min(7.0);
        let one = with(&one, Field::Displacement, size);
        let two = with(&one, Field::Displacement, 2.0 * size).with_arrangement(Arrangement::Pair);
        let (a, b) = (solve(&one), solve(&two));
        for (x, y) in pairs(&a, &b) {
            close!(
                "flow",
                2.0 * x.outside.flow_kg_s,
                y.outside.flow_kg_s,
                SOLVED
            );
            close!(
                "power",
                2.0 * x.power_w,
                y.power_w,
                2.0 * x.gross_imep_pa * size * x.engine_speed_rev_min / 120e3,
                SOLVED
            );
            for (a, b) in [
                (&x.manifold, &y.manifold),
                (&x.turbine_inlet, &y.turbine_inlet),
                (&x.turbine_outlet, &y.turbine_outlet),
                (&x.compressor_outlet, &y.compressor_outlet),
            ] {
                close!("pressure", a.pressure_pa, b.pressure_pa, SOLVED);
                close!("temperature", a.temperature_k, b.temperature_k, SOLVED);
            }
            close!(
                "shaft",
                x.shaft_speed_rev_min + 1e3,
                y.shaft_speed_rev_min + 1e3,
                SOLVED
            );
            close!("each gate", x.gate_opening, y.gate_opening, 1.0, SOLVED);
            prop_assert_eq!(x.held, y.held);
        }
        Ok(())
    });
}
