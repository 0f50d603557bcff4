//! Which way every result moves when an input is raised. Facts of the trade, no source; the
//! causes are in the model's equations.

use airpath::build::Build;
use airpath::fields::Field;
use airpath::run::{Match, SpeedReport};
use airpath::{example_build, solve_at};

#[derive(Debug, Clone, Copy, PartialEq)]
enum Sign {
    Up,
    Down,
    /// Moves by less than a thousandth.
    Same,
}
use Sign::{Down, Same, Up};

/// A thing to look at, and the way it must go.
type Look = (&'static str, fn(&Match) -> f64, Sign);

/// The report nearest to 6,500 rev/min, where the gate holds the boost.
fn top(found: &Match) -> &SpeedReport {
    found
        .speeds
        .iter()
        .min_by(|a, b| {
            (a.engine_speed_rev_min - 6500.0)
                .abs()
                .total_cmp(&(b.engine_speed_rev_min - 6500.0).abs())
        })
        .expect("speeds")
}

fn boost(m: &Match) -> f64 {
    top(m).boost_pa
}
fn power(m: &Match) -> f64 {
    top(m).power_w
}
fn shaft(m: &Match) -> f64 {
    top(m).shaft_speed_rev_min
}
fn ratio(m: &Match) -> f64 {
    top(m).pressure_ratio
}
fn back(m: &Match) -> f64 {
    top(m).back_pressure_ratio
}
fn t3(m: &Match) -> f64 {
    top(m).turbine_inlet.temperature_k
}
fn tm(m: &Match) -> f64 {
    top(m).manifold.temperature_k
}
fn air(m: &Match) -> f64 {
    top(m).outside.flow_kg_s
}
fn gate(m: &Match) -> f64 {
    top(m).gate_share
}
fn bsfc(m: &Match) -> f64 {
    top(m).bsfc_kg_j.expect("makes power")
}
fn threshold(m: &Match) -> f64 {
    m.drive_threshold_rev_min.expect("boost is reached")
}
fn efficiency(m: &Match) -> f64 {
    top(m).volumetric_efficiency
}

fn solve(build: &Build) -> Match {
    let found = solve_at(build, 61).expect("solves");
    assert!(found.unsolved.is_empty(), "{:?}", found.unsolved);
    found
}

fn build() -> Build {
    example_build().expect("the example is sound")
}

fn check(field: Field, low: &str, high: &str, looks: &[Look]) {
    let at = |text: &str| {
        solve(
            &build()
                .with_text(field, text, field.spec().unit())
                .expect("in range"),
        )
    };
    let (before, after) = (at(low), at(high));
    assert_signs(
        &format!("{} {low} → {high}", field.spec().id),
        &before,
        &after,
        looks,
    );
}

fn assert_signs(what: &str, before: &Match, after: &Match, looks: &[Look]) {
    for (name, look, sign) in looks {
        let (a, b) = (look(before), look(after));
        let change = b / a - 1.0;
        let found = if change.abs() < 1e-3 {
            Same
        } else if change > 0.0 {
            Up
        } else {
            Down
        };
        assert_eq!(found, *sign, "{what}: {name} went from {a:.6} to {b:.6}");
    }
}

#[test]
fn altitude() {
    check(
        Field::Altitude,
        "0 m",
        "1500 m",
        &[
            ("boost", boost, Same),
            ("pressure ratio", ratio, Up),
            ("shaft speed", shaft, Up),
            ("air", air, Down),
            ("power", power, Down),
            ("threshold", threshold, Up),
        ],
    );
}

#[test]
fn boost_asked() {
    check(
        Field::BoostTarget,
        "1.0 bar",
        "1.3 bar",
        &[
            ("boost", boost, Up),
            ("power", power, Up),
            ("air", air, Up),
            ("shaft speed", shaft, Up),
            ("manifold temperature", tm, Up),
            ("share past the gate", gate, Down),
            ("threshold", threshold, Up),
        ],
    );
}

#[test]
fn housing() {
    let turbocharger = build().turbocharger().clone();
    let last = turbocharger.turbine.housings.len() - 1;
    let with = |housing| {
        solve(
            &build()
                .with_turbocharger(turbocharger.clone(), housing)
                .expect("has it"),
        )
    };
    assert_signs(
        "smallest → largest housing",
        &with(0),
        &with(last),
        &[
            ("threshold", threshold, Up),
            ("back pressure", back, Down),
            ("share past the gate", gate, Down),
            ("power", power, Up),
            ("boost", boost, Same),
        ],
    );
}

#[test]
fn lambda() {
    check(
        Field::Lambda,
        "0.80",
        "0.88",
        &[
            ("exhaust temperature", t3, Up),
            ("fuel for power", bsfc, Down),
            ("boost", boost, Same),
        ],
    );
}

#[test]
fn compression_ratio() {
    check(
        Field::CompressionRatio,
        "8.5",
        "10",
        &[
            ("power", power, Up),
            ("fuel for power", bsfc, Down),
            ("exhaust temperature", t3, Down),
        ],
    );
}

#[test]
fn cooler_effectiveness() {
    check(
        Field::CoolerEffectiveness,
        "60 %",
        "80 %",
        &[
            ("manifold temperature", tm, Down),
            ("air", air, Up),
            ("power", power, Up),
            ("boost", boost, Same),
        ],
    );
}

#[test]
fn exhaust_loss() {
    check(
        Field::ExhaustLoss,
        "5 kPa",
        "40 kPa",
        &[
            ("back pressure", back, Up),
            ("power", power, Down),
            ("threshold", threshold, Up),
            ("share past the gate", gate, Down),
        ],
    );
}

#[test]
fn overlap_slope() {
    check(
        Field::OverlapSlope,
        "0.05",
        "0.25",
        // Back pressure is above manifold pressure at the top of the example.
        &[
            ("volumetric efficiency", efficiency, Down),
            ("power", power, Down),
        ],
    );
}

#[test]
fn filter_loss() {
    check(
        Field::FilterLoss,
        "1 kPa",
        "6 kPa",
        &[
            ("pressure ratio", ratio, Up),
            ("shaft speed", shaft, Up),
            ("power", power, Down),
        ],
    );
}

#[test]
fn bearing_loss_delays_boost() {
    check(
        Field::BearingPower,
        "0.3 kW",
        "0.9 kW",
        &[("threshold", threshold, Up)],
    );
}
