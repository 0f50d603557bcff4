//! How quickly boost comes: against a second solution, against the match, against energy, and which
//! way it moves.
//!
//! The second solution is `reference/match/response.py`: the same equations written again in Python
//! around the car of `match_twice.rs` (gas properties from Cantera, its own reading of the map),
//! integrated by SciPy's `solve_ivp` with its method of order 8; `cargo xtask reference` makes it
//! again. What it found is kept in `builds/response/expected.json`.
#![cfg(not(target_arch = "wasm32"))]

mod random;

use airpath::build::{Build, BuildFile};
use airpath::fields::Field;
use airpath::response::{self, Detail, Reach, Response, ResponseError, Spool};
use airpath::run::Held;
use airpath::{example_build, solve_at};
use proptest::prelude::*;
use random::{close, draws, try_cases};
use serde::Deserialize;
use std::cell::Cell;
use std::f64::consts::PI;
use std::path::Path;

#[derive(Deserialize)]
struct Expected {
    build: String,
    speed_rev_min: f64,
    warm: Option<f64>,
    start_shaft_rev_min: f64,
    start_pressure_pa: f64,
    time_s: f64,
    shaft_rev_min: f64,
    wall_k: f64,
}

fn text(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("builds")
        .join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn build(name: &str) -> Build {
    BuildFile::from_json(&text(&format!("{name}.json")))
        .and_then(BuildFile::into_build)
        .unwrap_or_else(|e| panic!("{name}: {e}"))
}

fn with(build: &Build, field: Field, text: &str) -> Build {
    build
        .with_text(field, text, field.spec().unit())
        .expect("in range")
}

fn time(build: &Build, speed: f64) -> Option<f64> {
    let spool = Response::new(build)
        .and_then(|mut ready| ready.time_to_boost(speed, Detail::Time))
        .expect("settles");
    spool.reach.time()
}

#[test]
fn two_solutions_agree() {
    let rows: Vec<Expected> = serde_json::from_str(&text("response/expected.json")).expect("rows");
    assert!(rows.len() >= 16);
    let mut problems = Vec::new();
    let mut worst = 0.0_f64;
    for row in rows {
        let build = match row.warm {
            Some(warm) => with(
                &build(&row.build),
                Field::WarmManifold,
                &format!("{} %", 100.0 * warm),
            ),
            None => build(&row.build),
        };
        let spool = response::time_to_boost(&build, row.speed_rev_min).expect("settles");
        let found = spool.reach.time().unwrap_or(f64::NAN);
        let outside = airpath::balance::Plant::new(&build)
            .expect("sound")
            .outside
            .pressure
            .pa();
        let first = &spool.trace[0];
        // The sample nearest to the moment is close enough for the shaft's speed and the wall.
        let there = spool
            .trace
            .iter()
            .min_by(|a, b| {
                (a.time_s - found)
                    .abs()
                    .total_cmp(&(b.time_s - found).abs())
            })
            .expect("a sample");
        let place = format!("{} at {}", row.build, row.speed_rev_min);
        // Just above a threshold the time is steep in engine speed, and so in how a map is read: there
        // the times must meet within a five-hundredth of engine speed.
        let around = [0.998, 1.002].map(|s| time(&build, s * row.speed_rev_min));
        let meets =
            matches!(around, [Some(slow), Some(quick)] if slow > row.time_s && quick < row.time_s);
        let closely = if meets { 0.02 } else { 0.005 };
        for (what, value, other, within) in [
            ("time", found, row.time_s, closely),
            (
                "shaft at the start",
                first.shaft_speed_rev_min,
                row.start_shaft_rev_min,
                0.005,
            ),
            (
                "pressure at the start",
                first.boost_pa + outside,
                row.start_pressure_pa,
                0.001,
            ),
            ("shaft", there.shaft_speed_rev_min, row.shaft_rev_min, 0.02),
            ("wall", there.manifold_wall_k, row.wall_k, 0.005),
        ] {
            let miss = (value / other - 1.0).abs();
            if what == "time" {
                println!(
                    "{place}: {value:.4} s, second solution {other:.4} s, {:.2} %",
                    100.0 * miss
                );
                worst = worst.max(miss);
            }
            if miss.is_nan() || miss > within {
                problems.push(format!("{place}: {what} {value}, second solution {other}"));
            }
        }
    }
    println!("largest deviation of time {:.3} %", 100.0 * worst);
    assert!(problems.is_empty(), "\n{}", problems.join("\n"));
}

/// A speed line read along itself gives the pressure ratio and the work that the map gave for it.
#[test]
fn a_map_is_read_the_other_way_round() {
    for turbocharger in airpath::build::shelf() {
        let wheel = turbocharger.compressor.wheel.exducer_m;
        let map = airpath::air_way::compressor::CompressorMap::new(
            &turbocharger.compressor.map,
            wheel,
            0.9,
            1.5,
        )
        .expect("sound");
        let (low, high) = map.kappa_span();
        let top = map.speeds()[map.speeds().len() - 1];
        for speed in (1..=24).map(|i| top * f64::from(i) / 20.0) {
            for kappa in (1..40).map(|i| low + (high - low) * f64::from(i) / 40.0) {
                let place = map.place(speed, kappa);
                // Where the line has left all pressure behind, nothing is to be read back.
                if place.pressure_ratio < 0.05 {
                    continue;
                }
                let (again, work) = map.speed_and_work(place.flow, place.pressure_ratio);
                let close = |a: f64, b: f64, scale: f64| (a - b).abs() < 1e-8 * scale;
                assert!(
                    close(again, speed, speed) && close(place.work, work, work.abs() + 1000.0),
                    "{}: {place:?}, {speed} rev/min, {again} rev/min {work} J/kg",
                    turbocharger.id
                );
                // By its flow alone it is found as far as the line is not upright there.
                let found = map.place_at_flow(speed, place.flow, 0.3, 1e-12);
                assert!(
                    close(found.flow, place.flow, place.flow),
                    "{found:?} {place:?}"
                );
            }
        }
    }
}

/// The net work done on the rotor is what its kinetic energy gained (mechanics).
#[test]
fn work_on_the_rotor_is_its_gain_of_energy() {
    for (name, speed) in [
        ("01-four-2.0-e10-1.7-bar", 4000.0),
        ("03-four-2.0-quick", 2500.0),
        ("05-v8-5.0-pair", 3500.0),
    ] {
        let spool = response::time_to_boost(&build(name), speed).expect("settles");
        let net =
            |s: &response::Sample| s.turbine_power_w - s.compressor_power_w - s.bearing_power_w;
        let work: f64 = spool
            .trace
            .windows(2)
            .map(|p| 0.5 * (net(&p[0]) + net(&p[1])) * (p[1].time_s - p[0].time_s))
            .sum();
        let energy = |s: &response::Sample| {
            0.5 * spool.inertia_kg_m2 * (s.shaft_speed_rev_min * PI / 30.0).powi(2)
        };
        let gain = energy(&spool.trace[spool.trace.len() - 1]) - energy(&spool.trace[0]);
        assert!(
            (work / gain - 1.0).abs() < 1e-3,
            "{name}: {work} J, {gain} J"
        );
    }
}

/// What is stored in the volume is what the compressor passes and the engine does not take.
#[test]
fn what_fills_the_volume_is_kept() {
    let build = build("01-four-2.0-e10-1.7-bar");
    let spool = response::time_to_boost(&build, 4500.0).expect("settles");
    let volume = 4.0 * build.get(Field::Displacement);
    let air = airpath::balance::Plant::new(&build)
        .expect("sound")
        .outside
        .air;
    // Filling at the charge's temperature: p V/(R T) gains what flows in, less what flows out.
    let (mut flowed, mut stored) = (0.0, 0.0);
    for pair in spool.trace.windows(2) {
        let width = pair[1].time_s - pair[0].time_s;
        let net = |s: &response::Sample| s.compressor_flow_kg_s - s.engine_flow_kg_s;
        flowed += 0.5 * (net(&pair[0]) + net(&pair[1])) * width;
        let warm = 0.5 * (pair[0].charge_k + pair[1].charge_k);
        stored +=
            (pair[1].boost_pa - pair[0].boost_pa) * volume / (air.mixture.gas_constant() * warm);
    }
    assert!((flowed / stored - 1.0).abs() < 0.01, "{flowed} {stored}");
}

/// With the manifold hot, waiting leads to the match, where the turbine gives out below what is
/// asked: also left of surge, where the speed lines are level.
#[test]
fn waiting_leads_to_the_match() {
    let mut surging = 0;
    for (name, speeds) in [
        ("01-four-2.0-e10-1.7-bar", [1500.0, 2200.0, 2800.0]),
        ("03-four-2.0-quick", [1100.0, 1300.0, 1450.0]),
        ("08-too-large-a-turbine", [2500.0, 3500.0, 4500.0]),
    ] {
        let build = with(&build(name), Field::WarmManifold, "100 %");
        let mut ready = Response::new(&build).expect("sound");
        for speed in speeds {
            let spool = ready.time_to_boost(speed, Detail::Time).expect("settles");
            let Reach::Never { boost_pa, why } = spool.reach else {
                panic!("{name} at {speed}: {:?}", spool.reach)
            };
            assert!(matches!(why, Held::Drive | Held::Choke));
            // The wall takes minutes to settle with the shaft.
            let last = ready.after(speed, 600.0).expect("settles");
            surging += usize::from(last.surging);
            let miss = (last.boost_pa - boost_pa).abs() / (boost_pa + 1e5);
            assert!(
                miss < 1e-4,
                "{name} at {speed}: {} Pa after a while, {boost_pa} Pa in the match",
                last.boost_pa
            );
        }
    }
    println!("{surging} left of surge");
    assert!(surging > 0);
}

/// More inertia is never quicker; a larger housing never sooner; nor a larger volume, nor a colder
/// manifold.
#[test]
fn what_makes_boost_wait() {
    for name in [
        "01-four-2.0-e10-1.7-bar",
        "03-four-2.0-quick",
        "06-six-3.0-e85",
        "07-diesel-four-2.0",
    ] {
        let build = build(name);
        let redline = build.get(Field::Redline) * 30.0 / PI;
        let later = |slow: &Build, quick: &Build, speed: f64, what: &str| {
            if let Some(slow) = time(slow, speed) {
                let quick = time(quick, speed);
                assert!(
                    quick.is_some_and(|quick| quick < slow),
                    "{name} at {speed}: {what}: {slow} against {quick:?}"
                );
                return 1;
            }
            0
        };
        let mut seen = 0;
        for speed in [0.5 * redline, 0.7 * redline, 0.95 * redline] {
            let field = |field: Field, low: &str, high: &str| {
                (with(&build, field, low), with(&build, field, high))
            };
            let (light, heavy) = field(Field::RotorInertia, "400", "700");
            seen += later(&heavy, &light, speed, "inertia");
            let (small, large) = field(Field::PipeVolume, "2", "6");
            seen += later(&large, &small, speed, "volume");
            let (cold, hot) = field(Field::WarmManifold, "0", "100");
            seen += later(&cold, &hot, speed, "cold manifold");
            let (close, wide) = field(Field::TurbineSwallowing, "1.4", "1.7");
            seen += later(&wide, &close, speed, "swallowing");
            let turbocharger = build.turbocharger().clone();
            for i in 1..turbocharger.turbine.housings.len() {
                let at = |i| {
                    let clear = build.with(Field::TurbineSwallowing, None).expect("blank");
                    clear
                        .with_turbocharger(turbocharger.clone(), i)
                        .expect("has it")
                };
                seen += later(&at(i), &at(i - 1), speed, "housing");
            }
        }
        println!("{name}: {seen}");
        assert!(seen > 8, "{name}: {seen}");
    }
}

/// The answer does not hang on how closely a trace is kept, nor on what was asked before.
#[test]
fn the_same_however_it_is_asked() {
    let build = example_build().expect("sound");
    let found = solve_at(&build, 20).expect("sound");
    let mut ready = Response::beside(&build, &found).expect("sound");
    for speed in [3500.0, 5000.0, 6500.0] {
        let alone = response::time_to_boost(&build, speed).expect("settles");
        let short = ready.time_to_boost(speed, Detail::Time).expect("settles");
        let close = |a: &Spool, b: &Spool| {
            let (a, b) = (a.reach.time(), b.reach.time());
            a.zip(b).is_some_and(|(a, b)| (a / b - 1.0).abs() < 1e-4)
        };
        assert!(close(&alone, &short), "{:?} {:?}", alone.reach, short.reach);
        assert!(short.trace.is_empty() && alone.trace.len() > 40);
        // It ends where the boost asked is there, and rises all the way.
        let last = &alone.trace[alone.trace.len() - 1];
        assert!((last.boost_pa / alone.boost_asked_pa - 1.0).abs() < 1e-3);
        for pair in alone.trace.windows(2) {
            assert!(pair[1].time_s > pair[0].time_s && pair[1].boost_pa > pair[0].boost_pa);
        }
    }
}

#[test]
fn a_curve_has_every_speed() {
    let build = example_build().expect("sound");
    let curve = response::curve(&build, 20).expect("sound");
    assert_eq!(curve.points.len(), 20);
    assert!(curve.points.iter().all(|p| p.problem.is_none()));
    let first = curve.points[0].reach.expect("an answer");
    assert!(matches!(first, Reach::Never { .. }), "{first:?}");
    let times: Vec<f64> = curve
        .points
        .iter()
        .filter_map(|p| p.reach.and_then(|r| r.time()))
        .collect();
    assert!(times.len() > 8);
    for pair in times.windows(2) {
        assert!(pair[1] < pair[0], "{times:?}");
    }
}

/// A pull that waits for boost is slower than one that has it at once, and gains the same speed on
/// less way than the other; without lag they are the same.
#[test]
fn a_pull_loses_what_it_waits_for() {
    let build = example_build().expect("sound");
    let pull = response::pull(&build).expect("settles");
    assert!(pull.lost_s > 0.1 && pull.lost_s < 3.0, "{}", pull.lost_s);
    assert!(pull.lost_m > 1.0, "{}", pull.lost_m);
    assert!((pull.time_s - pull.time_at_once_s - pull.lost_s).abs() < 1e-12);
    for samples in [&pull.samples, &pull.at_once] {
        for pair in samples.windows(2) {
            assert!(pair[1].time_s >= pair[0].time_s);
            assert!(pair[1].engine_speed_rev_min >= pair[0].engine_speed_rev_min);
            assert!(pair[1].distance_m >= pair[0].distance_m);
        }
        let last = &samples[samples.len() - 1];
        assert!((last.engine_speed_rev_min / 7200.0 - 1.0).abs() < 1e-6);
        // Way is speed over time.
        let way: f64 = samples
            .windows(2)
            .map(|p| {
                0.5 * (p[0].road_speed_m_s + p[1].road_speed_m_s) * (p[1].time_s - p[0].time_s)
            })
            .sum();
        assert!((way / last.distance_m - 1.0).abs() < 1e-3);
    }
    let quick = ["RotorInertia", "PipeVolume", "PlenumVolume"]
        .into_iter()
        .zip([Field::RotorInertia, Field::PipeVolume, Field::PlenumVolume])
        .fold(with(&build, Field::WarmManifold, "100"), |b, (_, field)| {
            let least = field.spec().range.0.to_string();
            with(&b, field, &least)
        });
    let none = response::pull(&quick).expect("settles");
    assert!(
        none.lost_s < 0.1 * pull.lost_s,
        "{} {}",
        none.lost_s,
        pull.lost_s
    );
}

/// A vehicle without air or rolling resistance that is pulled by constant torque: v = a t (mechanics).
#[test]
fn a_pull_keeps_the_account_of_its_energy() {
    let build = example_build().expect("sound");
    let pull = response::pull(&build).expect("settles");
    let (mass, ratio) = (
        build.get(Field::VehicleMass),
        build.get(Field::OverallRatio),
    );
    let radius = build.get(Field::TyreRadius);
    let outside = airpath::balance::Plant::new(&build).expect("sound").outside;
    let density =
        outside.pressure.pa() / (outside.air.mixture.gas_constant() * outside.temperature.kelvin());
    // Work at the wheels, less that against air and rolling, is the gain of kinetic energy.
    let power = |s: &response::PullSample| {
        let drag = 0.5 * density * build.get(Field::DragArea) * s.road_speed_m_s.powi(2);
        let rolling = build.get(Field::RollingResistance) * mass * 9.806_65;
        s.torque_nm * build.get(Field::DrivelineEfficiency) * s.engine_speed_rev_min * PI / 30.0
            - (drag + rolling) * s.road_speed_m_s
    };
    for samples in [&pull.samples, &pull.at_once] {
        let work: f64 = samples
            .windows(2)
            .map(|p| 0.5 * (power(&p[0]) + power(&p[1])) * (p[1].time_s - p[0].time_s))
            .sum();
        let energy = |s: &response::PullSample| {
            0.5 * mass * (1.0 + build.get(Field::RotatingMass)) * s.road_speed_m_s.powi(2)
        };
        let last = &samples[samples.len() - 1];
        let gain = energy(last) - energy(&samples[0]);
        assert!((work / gain - 1.0).abs() < 2e-3, "{work} {gain}");
        let speed = last.engine_speed_rev_min * PI / 30.0 * radius / ratio;
        assert!((last.road_speed_m_s / speed - 1.0).abs() < 1e-9);
    }
}

#[test]
fn refuses_a_pull_by_name() {
    let build = example_build().expect("sound");
    let backwards = with(
        &with(&build, Field::PullFrom, "5000"),
        Field::PullTo,
        "4000",
    );
    let error = response::pull(&backwards).expect_err("backwards");
    assert!(matches!(error, ResponseError::PullSpeeds { .. }));
    assert!(error.to_string().contains("“Pull to”"), "{error}");
    let heavy = with(
        &with(&build, Field::VehicleMass, "20000"),
        Field::RollingResistance,
        "15",
    );
    let error = response::pull(&heavy).expect_err("too heavy");
    assert!(matches!(error, ResponseError::Stalls { .. }), "{error}");
}

/// Builds drawn from the usual ranges of every field: each speed has an answer, each pull one or a
/// reason that names what to change, in bounded work. Waiting never ends above what the match holds.
#[test]
fn any_usual_build_has_an_answer() {
    let (reached, pulled) = (Cell::new(0_u32), Cell::new(0_u32));
    try_cases(60, 2000, &draws(), |draw| {
        let build = draw.build();
        let curve = response::curve(&build, 7).expect("sound");
        for point in &curve.points {
            prop_assert!(
                point.problem.is_none(),
                "{:?}\n{}",
                point.problem,
                random::text(&build)
            );
            if let Some(Reach::At { time_s }) = point.reach {
                reached.set(reached.get() + 1);
                prop_assert!((0.0..=20.0).contains(&time_s), "{time_s}");
            }
        }
        prop_assert!(curve.work.evaluations < 60_000, "{:?}", curve.work);
        match response::pull(&build) {
            Ok(pull) => {
                pulled.set(pulled.get() + 1);
                close!("time", pull.time_at_once_s + pull.lost_s, pull.time_s, 1e-9);
                prop_assert!(pull.work.evaluations < 20_000, "{:?}", pull.work);
                prop_assert!(
                    pull.lost_s > -0.02 * pull.time_s,
                    "{} of {} s\n{}",
                    pull.lost_s,
                    pull.time_s,
                    random::text(&build)
                );
            }
            Err(ResponseError::PullSpeeds { .. } | ResponseError::Stalls { .. }) => {}
            Err(error) => prop_assert!(false, "{error}\n{}", random::text(&build)),
        }
        Ok(())
    });
    println!("{} speeds reach it, {} pulls", reached.get(), pulled.get());
    assert!(reached.get() > 100 && pulled.get() > 30);
}
