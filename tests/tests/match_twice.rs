//! The whole match against a second solution of the same equations.
//!
//! The second solution is `reference/match/` in Python: gas properties from Cantera, roots by
//! SciPy, its own reading of the compressor map, its own search for the branch. Its results for
//! every file in `builds/` are kept in `builds/expected/`; `reference/match/freeze.py` writes them
//! again. Shared are the closure equations and the data alone.
//!
//! Tolerances. Where boost is held, 1 %: the two read a map of some ten points a line in different
//! coordinates, and readings of such a table differ by up to that near choke. Where boost is
//! building it is steep in engine speed, so that a pressure says little: there the boost curves
//! must meet within 1 % of engine speed. Thresholds 1 %. Differences of large numbers count
//! against those: pumping against the pressure before the turbine, the gate's share against all of
//! the exhaust.
#![cfg(not(target_arch = "wasm32"))]

use airpath::build::BuildFile;
use airpath::run::Match;
use airpath::solve_at;
use serde::Deserialize;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

const TOLERANCE: f64 = 0.01;
/// Boost that is as good as the same, as a share of manifold pressure: off boost the curve is so
/// level that speed says little.
const SAME_BOOST: f64 = 1e-4;
/// Engine speeds kept, and steps of the boost curve for each of their steps.
const SPEEDS: usize = 40;
const FINER: usize = 10;
/// Fewest builds that count as a check.
const LEAST_BUILDS: usize = 24;

#[derive(Deserialize)]
struct Expected {
    drive_threshold_rev_min: Option<f64>,
    usable_threshold_rev_min: Option<f64>,
    boost_for_power_pa: Option<f64>,
    columns: Vec<String>,
    speeds: Vec<Vec<Value>>,
}

/// One engine speed of the second solution.
struct Row<'a> {
    columns: &'a [String],
    values: &'a [Value],
}

impl Row<'_> {
    fn value(&self, column: &str) -> &Value {
        let place = self.columns.iter().position(|c| c == column);
        &self.values[place.unwrap_or_else(|| panic!("no column {column}"))]
    }

    fn number(&self, column: &str) -> f64 {
        self.value(column)
            .as_f64()
            .unwrap_or_else(|| panic!("{column} is no number"))
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("builds")
}

fn builds() -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder())
        .expect("a folder of builds")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "json"))
        .collect();
    paths.sort();
    paths
}

fn solved(path: &Path) -> Match {
    let text = fs::read_to_string(path).expect("a build file");
    let build = BuildFile::from_json(&text)
        .and_then(BuildFile::into_build)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    solve_at(&build, FINER * (SPEEDS - 1) + 1).expect("a sound map")
}

fn expected(path: &Path) -> Expected {
    let kept = folder()
        .join("expected")
        .join(path.file_name().expect("a name"));
    let text = fs::read_to_string(&kept).unwrap_or_else(|e| panic!("{}: {e}", kept.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", kept.display()))
}

/// Reads `turbine_inlet.pressure_pa` and the like.
fn pick<'a>(report: &'a Value, column: &str) -> &'a Value {
    column.split('.').fold(report, |value, key| &value[key])
}

/// What a deviation counts against.
fn scale(column: &str, row: &Row) -> f64 {
    match column {
        "pmep_pa" => row.number("turbine_inlet.pressure_pa"),
        "boost_pa" | "boost_drivable_pa" => row.number("manifold.pressure_pa"),
        "gate_share" => 1.0,
        _ => match row.number(column).abs() {
            0.0 => 1.0,
            size => size,
        },
    }
}

/// Least relative change of engine speed at which the boost curve has `boost`.
fn shift(curve: &Match, speed: f64, boost: f64) -> Option<f64> {
    let meets = curve.speeds.windows(2).filter_map(|pair| {
        let (a, b) = (&pair[0], &pair[1]);
        let (low, high) = (a.boost_pa.min(b.boost_pa), a.boost_pa.max(b.boost_pa));
        if boost < low || boost > high {
            return None;
        }
        let width = b.boost_pa - a.boost_pa;
        let t = if width == 0.0 {
            0.0
        } else {
            (boost - a.boost_pa) / width
        };
        let (from, to) = (a.engine_speed_rev_min, b.engine_speed_rev_min);
        Some(((from + t * (to - from)) / speed - 1.0).abs())
    });
    meets.min_by(f64::total_cmp)
}

/// Everything in which the two solutions of a build disagree.
fn disagreements(path: &Path) -> Vec<String> {
    let (ours, kept) = (solved(path), expected(path));
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    let mut problems = Vec::new();
    for error in &ours.unsolved {
        problems.push(format!("{name}: {error}"));
    }
    for (what, value, other) in [
        (
            "drive threshold",
            ours.drive_threshold_rev_min,
            kept.drive_threshold_rev_min,
        ),
        (
            "usable threshold",
            ours.usable_threshold_rev_min,
            kept.usable_threshold_rev_min,
        ),
        (
            "boost for the power asked",
            ours.boost_for_power_pa,
            kept.boost_for_power_pa,
        ),
    ] {
        let agree = match (value, other) {
            (None, None) => true,
            (Some(a), Some(b)) => (a / b - 1.0).abs() <= TOLERANCE,
            _ => false,
        };
        if !agree {
            problems.push(format!(
                "{name}: {what} {value:?}, second solution {other:?}"
            ));
        }
    }
    assert_eq!(kept.speeds.len(), SPEEDS, "{name}");
    for values in &kept.speeds {
        let row = Row {
            columns: &kept.columns,
            values,
        };
        let speed = row.number("engine_speed_rev_min");
        let found = ours
            .speeds
            .iter()
            .find(|s| (s.engine_speed_rev_min / speed - 1.0).abs() < 1e-5);
        let Some(report) = found else {
            problems.push(format!("{name} {speed:.0}: no answer"));
            continue;
        };
        let json = serde_json::to_value(report).expect("plain data");
        let held = row.value("held");
        let same = held == pick(&json, "held");
        if same && held != "drive" && held != "surge" {
            for column in kept.columns.iter().filter(|c| *c != "held") {
                let (value, other) = (pick(&json, column).as_f64(), row.number(column));
                let deviation = value.map(|v| (v - other).abs() / scale(column, &row));
                if deviation.is_none_or(|d| d.is_nan() || d > TOLERANCE) {
                    problems.push(format!(
                        "{name} {speed:.0} {held}: {column} {value:?}, second solution {other}"
                    ));
                }
            }
            continue;
        }
        let boost = row.number("boost_pa");
        let near =
            (report.boost_pa - boost).abs() <= SAME_BOOST * row.number("manifold.pressure_pa");
        if !near && shift(&ours, speed, boost).is_none_or(|s| s > TOLERANCE) {
            problems.push(format!(
                "{name} {speed:.0}: boost {:.0} Pa by {:?}, second solution {boost:.0} Pa by {held}, and the curves do not meet within 1 % of speed",
                report.boost_pa, report.held
            ));
        }
    }
    problems
}

#[test]
fn two_solutions_agree() {
    let paths = builds();
    assert!(paths.len() >= LEAST_BUILDS, "only {} builds", paths.len());
    let problems: Vec<String> = paths.iter().flat_map(|path| disagreements(path)).collect();
    assert!(problems.is_empty(), "\n{}", problems.join("\n"));
}

/// The builds are worth the name: every way in which boost can be decided is among them.
#[test]
fn builds_cover_every_way_of_holding() {
    let mut seen = std::collections::BTreeSet::new();
    for path in builds() {
        let kept = expected(&path);
        let place = kept.columns.iter().position(|c| c == "held").expect("held");
        seen.extend(
            kept.speeds
                .iter()
                .map(|row| row[place].as_str().unwrap_or_default().to_owned()),
        );
    }
    for held in ["drive", "gate", "creep", "surge", "choke", "shaft_speed"] {
        assert!(seen.contains(held), "no build is held by {held}");
    }
}
