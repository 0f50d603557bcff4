//! No jumps: a hair's breadth in any input moves every result by a hair's breadth, except at a fold
//! that the match itself reports.

use airpath::build::{Build, BuildFile, Entry};
use airpath::fields::FIELDS;
use airpath::quantity::Kind;
use airpath::run::Match;
use airpath::solve_at;

/// Relative step of the input.
const STEP: f64 = 1e-6;
/// Most a result may move, as a multiple of the step; 8 was found. The steepest places are where boost builds,
/// just below a fold. A jump would be millions of steps.
const MOST: f64 = 200.0;
/// Distance from a fold, rev/min, within which a jump is what was reported.
const FOLD: f64 = 150.0;

fn builds() -> Vec<Build> {
    let texts = [
        airpath::example_file(),
        include_str!("../builds/03-four-2.0-quick.json"),
        include_str!("../builds/05-v8-5.0-pair.json"),
        include_str!("../builds/07-diesel-four-2.0.json"),
        include_str!("../builds/10-gate-too-small.json"),
    ];
    texts
        .iter()
        .map(|text| {
            BuildFile::from_json(text)
                .and_then(BuildFile::into_build)
                .expect("sound")
        })
        .collect()
}

fn moved(before: &Match, after: &Match) -> (f64, String) {
    let mut worst = (0.0, String::new());
    for (a, b) in before.speeds.iter().zip(&after.speeds) {
        let near_fold = before
            .folds
            .iter()
            .chain(&after.folds)
            .any(|fold| (fold.at_rev_min - a.engine_speed_rev_min).abs() < FOLD);
        if near_fold {
            continue;
        }
        for (what, x, y) in [
            (
                "manifold pressure",
                a.manifold.pressure_pa,
                b.manifold.pressure_pa,
            ),
            (
                "turbine inlet pressure",
                a.turbine_inlet.pressure_pa,
                b.turbine_inlet.pressure_pa,
            ),
            (
                "turbine inlet temperature",
                a.turbine_inlet.temperature_k,
                b.turbine_inlet.temperature_k,
            ),
            ("air", a.outside.flow_kg_s, b.outside.flow_kg_s),
            ("bmep", a.bmep_pa + 2e5, b.bmep_pa + 2e5),
            (
                "shaft speed",
                a.shaft_speed_rev_min + 5e3,
                b.shaft_speed_rev_min + 5e3,
            ),
        ] {
            let change = (y / x - 1.0).abs();
            if change > worst.0 {
                worst = (
                    change,
                    format!("{what} at {:.0} rev/min", a.engine_speed_rev_min),
                );
            }
        }
    }
    worst
}

#[test]
fn results_are_continuous_in_every_input() {
    let mut problems = Vec::new();
    let mut steepest: f64 = 0.0;
    for build in builds() {
        let before = solve_at(&build, 40).expect("solves");
        for spec in &FIELDS {
            let Some(value) = build.optional(spec.field) else {
                continue;
            };
            if spec.kind == Kind::Count {
                continue;
            }
            let (low, high) = spec.range_si();
            let step = STEP * value.abs().max(1e-3 * (high - low));
            let si = if value + step <= high {
                value + step
            } else {
                value - step
            };
            let Ok(changed) = build.with(
                spec.field,
                Some(Entry {
                    si,
                    unit: spec.unit(),
                }),
            ) else {
                continue;
            };
            let after = solve_at(&changed, 40).expect("solves");
            let (change, place) = moved(&before, &after);
            steepest = steepest.max(change / STEP);
            if change > MOST * STEP {
                problems.push(format!(
                    "{}, {}: {place} moved by {change:.2e}",
                    build.name(),
                    spec.id
                ));
            }
        }
    }
    println!("steepest: {steepest:.0} times the step");
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}
