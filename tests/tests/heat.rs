//! Heat from the turbine in the work of a measured map's slow lines.

#![cfg(not(target_arch = "wasm32"))]

mod traces;

use airpath::air_way::compressor::{CompressorMap, MapData, estimate};
use airpath::build::Build;
use airpath::gas::HumidAir;
use airpath_tests::measured::{COMPRESSORS, Compressor};
use std::f64::consts::PI;
use std::sync::Arc;
use traces::{REFERENCE, WHEEL, ready};

/// Tip-speed Mach number from which lines are without heat.
const FAST: f64 = 0.8;

fn mach(speed: f64, exducer: f64) -> f64 {
    let air = HumidAir::new(0.0).mixture;
    let t = REFERENCE.temperature_k;
    PI * exducer * speed / 60.0 / (air.gamma(t) * air.gas_constant() * t).sqrt()
}

/// A map as if it had been measured, its slow lines with `watts` of heat in them at a tip-speed Mach
/// number of 0.5, more below and none at 0.8, as a gas stand with a hot turbine gives it.
fn heated(watts: f64) -> MapData {
    let air = HumidAir::new(0.0).mixture;
    let mut map = estimate(&WHEEL, REFERENCE, 545.0);
    map.estimated = false;
    for line in &mut map.lines {
        let heat = added(watts, line.speed_rev_min);
        for point in &mut line.points {
            let ideal = air.isentropic_work(REFERENCE.temperature_k, point.pressure_ratio);
            let work = ideal / point.efficiency + heat / point.flow_kg_s;
            point.efficiency = ideal / work;
        }
        // A cold end of the line may have next to no efficiency left.
        line.points.retain(|point| point.efficiency > 0.1);
    }
    map
}

fn added(watts: f64, speed: f64) -> f64 {
    watts * ((FAST - mach(speed, WHEEL.exducer_m)) / (FAST - 0.5)).max(0.0)
}

/// What is read as heat at a line's first point, W, and the power that it shows there.
fn found(map: &CompressorMap, data: &MapData, line: usize) -> (f64, f64) {
    let point = &data.lines[line].points[0];
    let reading = map.read(point.flow_kg_s, point.pressure_ratio);
    (
        reading.heat * point.flow_kg_s,
        reading.work * point.flow_kg_s,
    )
}

/// Heat that was put in comes back: within a tenth of it and what the trend misses without any.
#[test]
fn known_heat_comes_back() {
    let (plain, hot) = (heated(0.0), heated(500.0));
    let (cold_map, hot_map) = (ready(&plain, WHEEL.exducer_m), ready(&hot, WHEEL.exducer_m));
    let mut slow = 0;
    for place in 0..hot.lines.len() {
        let speed = hot.lines[place].speed_rev_min;
        let put = added(500.0, speed);
        let ((without, power), (with, _)) = (
            found(&cold_map, &plain, place),
            found(&hot_map, &hot, place),
        );
        println!(
            "Mach {:.2}, {power:.0} W: put {put:.0} W, found {with:.0} W, without {without:.0} W",
            mach(speed, WHEEL.exducer_m)
        );
        if put > 0.0 {
            slow += 1;
            assert!((with - put).abs() < 0.05 * power, "{speed}: {with}, {put}");
        } else {
            // The line's own speed is read back to the last digits only.
            assert!(with < 1e-3, "{speed}");
        }
        assert!(without < 0.05 * power, "{speed}: {without}");
    }
    assert!(slow >= 3, "{slow}");
}

/// The outlet is as hot as measured, the shaft is spared the heat, the exhaust loses it.
#[test]
fn heat_is_in_the_outlet_and_not_in_the_shaft() {
    let example = airpath::example_build().expect("ours");
    let with = |data: MapData| -> Build {
        let mut record = example.turbocharger().as_ref().clone();
        record.id = "my-own".to_owned();
        record.compressor.wheel = WHEEL;
        record.compressor.map = data;
        example
            .with_turbocharger(Arc::new(record), example.housing_index())
            .expect("sound")
    };
    let hot = heated(500.0);
    let total = MapData {
        estimated: true,
        ..hot.clone()
    };
    let (hot, total) = (with(hot), with(total));
    let map = airpath::compressor_map(&hot).expect("sound");
    let (a, b) = (
        airpath::solve(&hot).expect("solves"),
        airpath::solve(&total).expect("solves"),
    );
    let mut some = 0;
    for (s, t) in a.speeds.iter().zip(&b.speeds) {
        let reading = map.read(s.corrected_flow_kg_s, s.pressure_ratio);
        let air = s.compressor_inlet.flow_kg_s;
        let theta = s.compressor_inlet.temperature_k / map.reference().temperature_k;
        let shaft = air * (reading.work - reading.heat) * theta;
        assert!((s.compressor_power_w / shaft - 1.0).abs() < 1e-6);
        // The account closes as well as without heat: what the air takes the exhaust has lost.
        assert!(
            s.energy.imbalance.abs() < 1e-6 + 2.0 * t.energy.imbalance.abs(),
            "{}: {}",
            s.engine_speed_rev_min,
            s.energy.imbalance
        );
        if reading.heat > 0.1 * reading.work {
            some += 1;
            // With the same map, less of it from the shaft: never less boost.
            println!(
                "{} {:.0} {:.0} heat {:.2}",
                s.engine_speed_rev_min,
                s.boost_pa,
                t.boost_pa,
                reading.heat / reading.work
            );
        }
    }
    assert!(some > 0, "no speed is in the slow lines");
}

/// The measured research wheels: no line but those of the radial impeller is below a Mach number of
/// 0.8, and what those are beyond the trend of the others is 1.8 and 1.5 % of their work on the mean:
/// within the 2 % that a gas stand's readings leave of work, so that it is not taken for heat. Without
/// that floor up to 2.6 % of the work at a point would be.
#[test]
fn measured_wheels_have_no_heat_to_speak_of() {
    for (name, text) in COMPRESSORS {
        let measured = Compressor::read(text).expect("a table");
        let data = measured.map_data();
        let (map, _) = measured.map_without(None).expect("sound");
        let mut largest = 0.0_f64;
        for line in &data.lines {
            for point in &line.points {
                let reading = map.read(point.flow_kg_s, point.pressure_ratio);
                largest = largest.max(reading.heat / reading.work);
            }
        }
        println!("{name}: {:.2} % of the work", 100.0 * largest);
        let most = if *name == "radial impeller" {
            0.02
        } else {
            0.0
        };
        assert!(largest <= most, "{name}: {largest}");
    }
}
