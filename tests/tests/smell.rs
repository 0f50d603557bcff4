//! Smell tests: whole builds against bands of what such engines do.
//!
//! The bands are 5 to 95 % over the ranges of the closure, computed by an independent solution and
//! an experienced judgement; no published source. The closure constants set here are the middle of
//! each range. No constant is tuned to a band: a build that falls outside one says so here, with
//! the cause.

use airpath::build::{Arrangement, Build, CurveField, EnteredCurve, FuelKind, shelf};
use airpath::fields::Field;
use airpath::response;
use airpath::run::{Match, SpeedReport};
use airpath::solve_at;
use airpath::spread::Study;
use airpath::spread::statistics::{percentile, rising};
use airpath_tests::trade::{HP, LB_PER_MIN, single_for_two_litres};
use std::sync::Arc;

/// A build on a turbocharger of the shelf, with the closure that the bands were made with.
fn build(turbocharger: &str, settings: &[(Field, &str)], breathing: &[(f64, f64)]) -> Build {
    let record = shelf()
        .into_iter()
        .find(|t| t.id == turbocharger)
        .expect("on the shelf");
    let mut build = Build::new("smell", Arc::new(record)).expect("sound");
    let closure = [
        (Field::AirTemperature, "25 °C"),
        (Field::RelativeHumidity, "40.4 %"),
        (Field::BreathingTemperatureExponent, "0"),
        (Field::CoolerFlowExponent, "0"),
        (Field::CoolerCapacityRatio, "0"),
        (Field::EvaporatedShare, "34 %"),
        // The gate is never in the way of these builds.
        (Field::GateDiameter, "60 mm"),
        (Field::GateLift, "15 mm"),
    ];
    for (field, text) in closure.iter().chain(settings) {
        build = build
            .with_text(*field, text, field.spec().unit())
            .expect("in range");
    }
    let spec = CurveField::Breathing.spec();
    let (x_unit, y_unit) = (
        spec.x.0.unit("rev/min").expect("unit"),
        spec.y.0.unit("%").expect("unit"),
    );
    let points: Vec<(f64, f64)> = breathing
        .iter()
        .map(|(n, ev)| (x_unit.to_si(*n), y_unit.to_si(ev * 100.0)))
        .collect();
    let curve = airpath::numeric::Curve::new(&points).expect("rising");
    build
        .with_curve(
            CurveField::Breathing,
            Some(EnteredCurve {
                curve,
                x_unit,
                y_unit,
            }),
        )
        .expect("sound")
}

/// Breathing of the revving four.
const REVVING: [(f64, f64); 7] = [
    (1000.0, 0.82),
    (2000.0, 0.90),
    (3000.0, 0.95),
    (5000.0, 1.00),
    (6500.0, 1.02),
    (7500.0, 1.00),
    (9000.0, 0.93),
];

/// Breathing of the revving four up to 5,000 rev/min, then falling ever faster to `top` at 9,000:
/// only the height at the top is given with the bands.
fn falling(top: f64) -> Vec<(f64, f64)> {
    let mut points = REVVING[..4].to_vec();
    for speed in [6000.0, 7000.0, 8000.0, 9000.0] {
        let share = (speed - 5000.0) / 4000.0;
        points.push((speed, 1.0 - (1.0 - top) * share * share));
    }
    points
}

/// The match over even hundreds of rev/min up to `redline`, and the report at `speed`.
fn at(build: &Build, redline: f64, speed: f64) -> (Match, SpeedReport) {
    let build = build
        .with_text(Field::IdleSpeed, "1000", Field::IdleSpeed.spec().unit())
        .and_then(|b| {
            b.with_text(
                Field::Redline,
                &redline.to_string(),
                Field::Redline.spec().unit(),
            )
        })
        .expect("in range");
    let found = solve_at(&build, ((redline - 1000.0) / 100.0) as usize + 1).expect("solves");
    assert!(found.unsolved.is_empty(), "{:?}", found.unsolved);
    let report = found
        .speeds
        .iter()
        .find(|s| (s.engine_speed_rev_min - speed).abs() < 1.0)
        .expect("a speed of the sweep")
        .clone();
    (found, report)
}

/// Collects what falls outside, so that one run tells everything.
#[derive(Default)]
struct Bands {
    outside: Vec<String>,
}

impl Bands {
    fn check(&mut self, what: &str, value: f64, low: f64, high: f64) {
        println!("{what}: {value:.4} in {low} to {high}");
        if !(value >= low && value <= high) {
            self.outside
                .push(format!("{what} is {value:.4}, not {low} to {high}"));
        }
    }

    /// A value known to fall outside its band by at most `by`, for a stated `cause`. Fails when it
    /// strays further, and when it has come inside, so that the note here does not go stale.
    fn known_outside(
        &mut self,
        what: &str,
        value: f64,
        (low, high): (f64, f64),
        by: f64,
        cause: &str,
    ) {
        println!("{what}: {value:.4}, outside {low} to {high}: {cause}");
        let beyond = (low - value).max(value - high);
        if !(beyond > 0.0 && beyond <= by) {
            self.outside.push(format!(
                "{what} is {value:.4}, {beyond:.4} beyond {low} to {high}"
            ));
        }
    }

    fn finish(self) {
        assert!(
            self.outside.is_empty(),
            "outside the band:\n{}",
            self.outside.join("\n")
        );
    }
}

fn air(s: &SpeedReport) -> f64 {
    s.outside.flow_kg_s / LB_PER_MIN
}

fn celsius(kelvin: f64) -> f64 {
    kelvin - 273.15
}

fn bsfc(s: &SpeedReport) -> f64 {
    s.bsfc_kg_j.map_or(f64::NAN, |b| b * 3.6e9)
}

fn cm3_per_min(s: &SpeedReport) -> f64 {
    s.injector_needed_m3_s * 6e7
}

fn unit_a(extra: &[(Field, &str)]) -> Build {
    let mut settings = vec![
        (Field::Displacement, "2.0 litre"),
        (Field::CompressionRatio, "9"),
        (Field::Stroke, "90 mm"),
        (Field::Lambda, "0.82"),
        (Field::EthanolShare, "10 %"),
        (Field::BoostTarget, "1.7 bar"),
        (Field::TurbineSwallowing, "2.70"),
        (Field::TurbinePeakEfficiency, "68.5 %"),
    ];
    settings.extend_from_slice(extra);
    build("rowan", &settings, &REVVING)
}

#[test]
fn unit_a_on_two_litres_at_7000() {
    let (found, s) = at(&unit_a(&[]), 9000.0, 7000.0);
    let mut bands = Bands::default();
    bands.check("air lb/min", air(&s), 41.0, 46.0);
    bands.check("shaft k rev/min", s.shaft_speed_rev_min / 1e3, 124.0, 137.0);
    bands.check(
        "T2 °C",
        celsius(s.compressor_outlet.temperature_k),
        169.0,
        195.0,
    );
    bands.check("p3/pm", s.back_pressure_ratio, 1.16, 1.38);
    bands.check(
        "EGT °C",
        celsius(s.turbine_inlet.temperature_k),
        820.0,
        950.0,
    );
    bands.check("gate %", s.gate_share * 100.0, 26.0, 36.0);
    bands.check("BSFC g/kWh", bsfc(&s), 313.0, 372.0);
    bands.check("hp", s.power_w / HP, 372.0, 447.0);
    bands.check("injectors cm³/min", cm3_per_min(&s), 620.0, 720.0);
    bands.check(
        "wheel hp per lb/min at 7000",
        s.wheel_power_w / HP / air(&s),
        7.4,
        8.7,
    );
    let top = &found.speeds[found.speeds.len() - 1];
    bands.check(
        "wheel hp per lb/min at 9000",
        top.wheel_power_w / HP / air(top),
        6.4,
        7.9,
    );
    bands.finish();
}

#[test]
fn unit_a_low_end() {
    let (found, s) = at(&unit_a(&[]), 9000.0, 3000.0);
    let mut bands = Bands::default();
    bands.check(
        "drive threshold",
        found.drive_threshold_rev_min.unwrap_or(f64::NAN),
        2600.0,
        3300.0,
    );
    bands.check(
        "right of surge from",
        found.usable_threshold_rev_min.unwrap_or(f64::NAN),
        3250.0,
        3800.0,
    );
    bands.check("p3/pm at 3000", s.back_pressure_drivable_ratio, 0.75, 0.92);
    bands.finish();
}

#[test]
fn unit_a_on_e85() {
    let e85 = [
        (Field::EthanolShare, "85 %"),
        (Field::Lambda, "0.85"),
        (Field::SparkFactor, "0.985"),
        (Field::EvaporatedShare, "32 %"),
    ];
    let (_, s) = at(&unit_a(&e85), 9000.0, 7000.0);
    let mut bands = Bands::default();
    bands.check("air lb/min", air(&s), 43.0, 48.0);
    bands.check(
        "EGT °C",
        celsius(s.turbine_inlet.temperature_k),
        735.0,
        863.0,
    );
    bands.check("BSFC g/kWh", bsfc(&s), 425.0, 484.0);
    bands.check("hp", s.power_w / HP, 388.0, 455.0);
    bands.check("injectors cm³/min", cm3_per_min(&s), 840.0, 970.0);
    bands.finish();
}

/// How far each spread moves unit A's power, against the bands: they were made over the same ranges by
/// another solution, so at least half of either lies in the other, and neither is twice as wide.
#[test]
fn spread_of_unit_a_at_7000() {
    let e85 = [
        (Field::EthanolShare, "85 %"),
        (Field::Lambda, "0.85"),
        (Field::SparkFactor, "0.985"),
        (Field::EvaporatedShare, "32 %"),
    ];
    for (settings, low, high) in [(&[][..], 372.0, 447.0), (&e85[..], 388.0, 455.0)] {
        // So that a speed of the samples is the one of the bands.
        let build = unit_a(settings)
            .with_text(Field::Redline, "7000", Field::Redline.spec().unit())
            .expect("in range");
        let study = Study::new(&build, 1).expect("solves");
        let powers: Vec<f64> = (0..400)
            .filter_map(|i| study.sample(i).power_w.last().copied().flatten())
            .map(|power| f64::from(power) / HP)
            .collect();
        let powers = rising(&powers);
        let at = |share| percentile(&powers, share).expect("samples");
        let (least, most) = (at(0.05), at(0.95));
        let middle = study.middle().power_w.last().copied().flatten();
        println!(
            "5 to 95 %: {least:.0} to {most:.0} hp, half {:.0}, middle {:.0}; the band is {low} to {high}",
            at(0.5),
            middle.map_or(f64::NAN, f64::from) / HP,
        );
        let shared = most.min(high) - least.max(low);
        assert!(shared > 0.5 * (most - least).max(high - low), "{shared}");
    }
}

/// The trade offers a single with a 72.3 mm exducer, a 60 mm turbine wheel and about 55 lb/min for 480
/// to 530 horsepower at the wheels of a two-litre four at up to 25 psi (common practice, no source).
/// What comes out here stands beside it, on pump fuel and on E85; no constant is tuned to it.
///
/// The claim is higher on both. 55 lb/min times the 8.7 to 9.6 wheel horsepower for each lb/min that
/// the claim asks is what is reckoned there; the account of energy gives fewer for each lb/min, as the
/// other bands have it (7.4 to 8.7), and at 25 psi a two-litre four takes less than 55 lb/min below its
/// redline.
#[test]
fn the_trades_claim_for_a_two_litre_four() {
    let record = Arc::new(single_for_two_litres());
    let e85 = [
        (Field::EthanolShare, "85 %"),
        (Field::Lambda, "0.85"),
        (Field::SparkFactor, "0.985"),
        (Field::EvaporatedShare, "32 %"),
    ];
    for (name, settings) in [("E10", &[][..]), ("E85", &e85[..])] {
        let build = unit_a(settings)
            .with_turbocharger(record.clone(), 1)
            .expect("sound")
            .with_text(
                Field::BoostTarget,
                "25 psi",
                Field::BoostTarget.spec().unit(),
            )
            .expect("in range");
        let study = Study::new(&build, 1).expect("solves");
        let reaches = build.get(Field::DrivelineEfficiency);
        let powers: Vec<f64> = (0..400)
            .map(|i| study.sample(i).peak_power_w * reaches / HP)
            .collect();
        let powers = rising(&powers);
        let at = |share| percentile(&powers, share).expect("samples");
        let (found, _) = self::at(&build, 9000.0, 7000.0);
        let best = &found.speeds[found.most_power];
        let each = best.wheel_power_w / HP / air(best);
        println!(
            "{name}: P10 {:.0}, P50 {:.0}, P90 {:.0} wheel hp; {:.1} lb/min at {:.0} rev/min, {each:.2} wheel hp for each; the trade says 480 to 530",
            at(0.1),
            at(0.5),
            at(0.9),
            air(best),
            best.engine_speed_rev_min,
        );
        // The claim asks 8.7 (480/55) at least for each lb/min; the account gives less.
        assert!(each < 480.0 / 55.0, "{each}");
        assert!(at(0.9) < 480.0, "{}", at(0.9));
        assert!(air(best) < 55.0, "{}", air(best));
    }
}

fn small_four() -> Build {
    let settings = [
        (Field::Displacement, "2.0 litre"),
        (Field::CompressionRatio, "9.6"),
        (Field::Stroke, "86 mm"),
        (Field::Lambda, "0.86"),
        (Field::SparkFactor, "0.935"),
        (Field::BoostTarget, "0.97 bar"),
        (Field::TurbineSwallowing, "1.30"),
        (Field::TurbinePeakEfficiency, "65.5 %"),
    ];
    let breathing = [
        (1000.0, 0.82),
        (2000.0, 0.90),
        (3000.0, 0.94),
        (4000.0, 0.95),
        (5000.0, 0.93),
        (6000.0, 0.88),
    ];
    build("hazel", &settings, &breathing)
}

#[test]
fn small_four_at_5500() {
    let (found, s) = at(&small_four(), 6000.0, 5500.0);
    let mut bands = Bands::default();
    bands.check("air lb/min", air(&s), 21.0, 23.0);
    bands.check("shaft k rev/min", s.shaft_speed_rev_min / 1e3, 172.0, 198.0);
    bands.check("p3/pm", s.back_pressure_ratio, 1.45, 1.73);
    bands.check(
        "EGT °C",
        celsius(s.turbine_inlet.temperature_k),
        790.0,
        935.0,
    );
    bands.check("hp", s.power_w / HP, 178.0, 210.0);
    bands.check(
        "90 % at",
        found.drive_threshold_rev_min.unwrap_or(f64::NAN),
        1500.0,
        1900.0,
    );
    bands.finish();
}

#[test]
fn hill_climb_four_at_7000() {
    let settings = [
        (Field::Altitude, "900 m"),
        (Field::AirTemperature, "14.15 °C"),
        (Field::RelativeHumidity, "71 %"),
        (Field::Displacement, "2.2 litre"),
        (Field::CompressionRatio, "9"),
        (Field::Stroke, "94 mm"),
        (Field::Lambda, "0.82"),
        (Field::BoostTarget, "1.25 bar"),
        (Field::TurbineSwallowing, "2.70"),
    ];
    let (found, s) = at(&build("rowan", &settings, &falling(0.85)), 7200.0, 7000.0);
    let mut bands = Bands::default();
    bands.check("air lb/min", air(&s), 36.0, 41.0);
    bands.check("shaft k rev/min", s.shaft_speed_rev_min / 1e3, 114.0, 125.0);
    bands.check("p3/pm", s.back_pressure_ratio, 1.20, 1.39);
    bands.check("hp", s.power_w / HP, 315.0, 377.0);
    bands.check(
        "90 % at",
        found.drive_threshold_rev_min.unwrap_or(f64::NAN),
        2270.0,
        3030.0,
    );
    bands.finish();
}

#[test]
fn pair_on_a_v8_at_6500() {
    let settings = [
        (Field::Displacement, "5.0 litre"),
        (Field::Cylinders, "8"),
        (Field::CompressionRatio, "10"),
        (Field::Stroke, "90 mm"),
        (Field::Lambda, "0.82"),
        (Field::BoostTarget, "0.83 bar"),
        (Field::TurbineSwallowing, "2.70"),
    ];
    let build = build("rowan", &settings, &falling(0.75)).with_arrangement(Arrangement::Pair);
    let (found, s) = at(&build, 7000.0, 6500.0);
    let mut bands = Bands::default();
    bands.check("air lb/min", air(&s), 64.0, 71.0);
    bands.check("shaft k rev/min", s.shaft_speed_rev_min / 1e3, 94.0, 102.0);
    bands.check("p3/pm", s.back_pressure_ratio, 1.17, 1.32);
    bands.check("hp", s.power_w / HP, 572.0, 684.0);
    bands.check(
        "90 % at",
        found.drive_threshold_rev_min.unwrap_or(f64::NAN),
        2170.0,
        2650.0,
    );
    bands.finish();
}

fn six_on_e85() -> Build {
    let settings = [
        (Field::Displacement, "3.0 litre"),
        (Field::Cylinders, "6"),
        (Field::CompressionRatio, "9.5"),
        (Field::Stroke, "86 mm"),
        (Field::EthanolShare, "85 %"),
        (Field::Lambda, "0.84"),
        (Field::SparkFactor, "0.985"),
        (Field::EvaporatedShare, "32 %"),
        (Field::BoostTarget, "1.52 bar"),
        (Field::TurbineSwallowing, "4.10"),
    ];
    build("hornbeam", &settings, &falling(0.85))
}

#[test]
fn six_on_e85_at_7000() {
    let (_, s) = at(&six_on_e85(), 7500.0, 7000.0);
    let mut bands = Bands::default();
    bands.check("air lb/min", air(&s), 59.0, 67.0);
    bands.check("shaft k rev/min", s.shaft_speed_rev_min / 1e3, 95.0, 102.0);
    bands.check("hp", s.power_w / HP, 536.0, 636.0);
    bands.finish();
}

#[test]
fn diesel_four_at_4000() {
    let settings = [
        (Field::Displacement, "2.0 litre"),
        (Field::CompressionRatio, "16"),
        (Field::Stroke, "95 mm"),
        (Field::Lambda, "1.35"),
        (Field::EvaporatedShare, "0 %"),
        (Field::BoostTarget, "1.5 bar"),
        // The bands were made with petrol's peak pressure, which only friction sees.
        (Field::PeakPressureBase, "60 bar"),
        (Field::PeakPressureSlope, "45"),
        (Field::TurbineSwallowing, "1.05"),
        (Field::TurbinePeakEfficiency, "65.5 %"),
    ];
    let breathing = [
        (1000.0, 0.84),
        (2000.0, 0.90),
        (3000.0, 0.90),
        (4000.0, 0.87),
        (4500.0, 0.84),
    ];
    let build = build("hazel", &settings, &breathing).with_fuel(FuelKind::Diesel);
    let (_, s) = at(&build, 4500.0, 4000.0);
    let mut bands = Bands::default();
    bands.check("air lb/min", air(&s), 18.6, 20.7);
    bands.check("p3/pm", s.back_pressure_ratio, 1.3, 1.5);
    bands.check(
        "EGT °C",
        celsius(s.turbine_inlet.temperature_k),
        610.0,
        760.0,
    );
    bands.check("BSFC g/kWh", bsfc(&s), 214.0, 237.0);
    bands.check("hp", s.power_w / HP, 150.0, 174.0);
    bands.finish();
}

/// Instead of a time, where boost never comes, s.
const NEVER: f64 = 99.0;

/// Seconds to 90 % of the boost asked; [`NEVER`] where it does not come.
fn spool(build: &Build, speed: f64) -> f64 {
    let spool = response::time_to_boost(build, speed).expect("settles");
    println!(
        "{speed}: {:?}, left of surge {}",
        spool.reach, spool.through_surge
    );
    spool.reach.time().unwrap_or(NEVER)
}

/// The manifold as warm as long light load makes it, as it is on the road.
#[test]
fn time_to_boost_from_a_shut_gate() {
    let a = unit_a(&[]);
    let mut bands = Bands::default();
    bands.check("A at 4000, s", spool(&a, 4000.0), 0.75, 1.9);
    bands.check("A at 5000, s", spool(&a, 5000.0), 0.47, 1.0);
    bands.check("A at 3000, s", spool(&a, 3000.0), 2.2, NEVER);
    bands.check(
        "small four at 2000, s",
        spool(&small_four(), 2000.0),
        0.6,
        1.5,
    );
    bands.check("six at 4000, s", spool(&six_on_e85(), 4000.0), 0.8, 1.9);
    bands.finish();
}

/// The same with a manifold as cold as the air outside. Beside a cold wall the gas loses a quarter of
/// its heat or more, so just above its threshold an engine hardly gets there before the wall is warm.
#[test]
fn time_to_boost_with_a_stone_cold_manifold() {
    let cold = |build: Build| {
        let unit = Field::WarmManifold.spec().unit();
        let build = build.with_text(Field::WarmManifold, "0 %", unit);
        build.expect("in range")
    };
    let a = cold(unit_a(&[]));
    let mut bands = Bands::default();
    bands.known_outside(
        "A at 4000, s",
        spool(&a, 4000.0),
        (0.75, 1.9),
        0.15,
        "the band's manifold is not said to be as cold as the air; with one that light load has \
         warmed the time is in the middle of the band",
    );
    bands.check("A at 5000, s", spool(&a, 5000.0), 0.47, 1.0);
    bands.check("A at 3000, s", spool(&a, 3000.0), 2.2, NEVER);
    bands.known_outside(
        "small four at 2000, s",
        spool(&cold(small_four()), 2000.0),
        (0.6, 1.5),
        6.0,
        "the band says nothing of the manifold; at this small flow a cold one takes 300 K, which \
         leaves no boost to speak of until it is warm",
    );
    bands.check(
        "six at 4000, s",
        spool(&cold(six_on_e85()), 4000.0),
        0.8,
        1.9,
    );
    bands.finish();
}

/// At fixed air and best spark without charge cooling by fuel, power peaks a little rich; richer
/// still costs a few per cent and cools the exhaust.
#[test]
fn lambda_sweep() {
    let run = |lambda: f64| {
        let text = lambda.to_string();
        let build = unit_a(&[
            (Field::Lambda, &text),
            (Field::SparkFactor, "1"),
            (Field::EvaporatedShare, "0 %"),
        ]);
        at(&build, 8000.0, 7000.0).1
    };
    let per_air = |s: &SpeedReport| s.power_w / s.outside.flow_kg_s;
    let lambdas: Vec<f64> = (0..=30).map(|i| 0.75 + 0.01 * f64::from(i)).collect();
    let best = lambdas
        .iter()
        .copied()
        .max_by(|a, b| per_air(&run(*a)).total_cmp(&per_air(&run(*b))))
        .expect("some");
    let loss = 100.0 * (per_air(&run(0.8)) / per_air(&run(best)) - 1.0);
    let fall = run(1.0).turbine_inlet.temperature_k - run(0.82).turbine_inlet.temperature_k;
    let mut bands = Bands::default();
    bands.check("λ of most power", best, 0.90, 0.97);
    bands.check("loss at λ 0.8, %", loss, -3.0, -1.0);
    bands.known_outside(
        "EGT fall from λ 1.0 to 0.82, K",
        fall,
        (60.0, 130.0),
        6.0,
        "the band names no speed; at 4,000 rev/min and less the fall is inside, and it grows with the \
         gas flow because the manifold then takes out a smaller share",
    );
    bands.finish();
}
