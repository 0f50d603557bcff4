//! The map's interpolation and the turbine's laws against measurements, natively.

#![cfg(not(target_arch = "wasm32"))]

use airpath::air_way::compressor::{CompressorMap, MapReference, WheelSizes, estimate};
use airpath::map_files::{CsvStyle, MapFile, read};
use airpath::quantity::Kind;
use airpath_tests::measured;

#[test]
fn maps_and_turbine_are_as_good_as_they_were() {
    let problems = measured::problems();
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn a_map_needs_its_lines() {
    let (_, text) = measured::COMPRESSORS[0];
    assert!(measured::Compressor::read(&text.replace("corrected_flow_kg_s", "flow")).is_err());
    assert!(measured::Compressor::read("").is_err());
}

/// The measured compressors as files of every form, and in other units, are the same maps.
#[test]
fn measured_maps_pass_through_files() {
    for (name, text) in measured::COMPRESSORS {
        let measured = measured::Compressor::read(text).expect("a table");
        let data = measured.map_data();
        let mut file = MapFile::from_map_data(name, &data).expect("measured");
        for inches in [false, true] {
            if inches {
                file.outlet_diameter_m = Some(0.0254 * 4.0);
                file.units.length = Kind::Length.unit("in").expect("a unit");
                file.units.pressure = Kind::AbsolutePressure.unit("inHg").expect("a unit");
                file.units.temperature = Kind::Temperature.unit("°F").expect("a unit");
            }
            let mut texts = vec![file.to_json().expect("sound")];
            for style in [CsvStyle::Commas, CsvStyle::Semicolons, CsvStyle::Tabs] {
                texts.push(file.to_csv(style).expect("sound"));
            }
            for text in texts {
                let again = read(text.as_bytes()).unwrap_or_else(|error| panic!("{name}: {error}"));
                assert_eq!(again.map.lines, file.lines, "{name}");
                assert_eq!(again.map.to_map_data().as_ref(), Ok(&data), "{name}");
                for warning in &again.warnings {
                    println!("{name}: {warning}");
                }
            }
        }
    }
}

/// An outlet's width from the narrowest to the widest that is taken gives a map that the core takes,
/// for small wheels and large, and one with a wider outlet surges at more flow.
#[test]
fn any_outlet_width_gives_a_map() {
    let reference = MapReference {
        temperature_k: 298.15,
        pressure_pa: 100_000.0,
    };
    for exducer_m in [0.035, 0.071, 0.16, 0.3] {
        for inducer in [0.55, 0.76, 0.9] {
            for backsweep_deg in [0.0, 35.0, 45.0] {
                for design_mach in [None, Some(0.8), Some(1.6)] {
                    let mut before: Option<f64> = None;
                    for width in [0.001, 0.03, 0.04, 0.055, 0.13, 0.3] {
                        let sizes = WheelSizes {
                            inducer_m: inducer * exducer_m,
                            exducer_m,
                            hub_ratio: 0.3,
                            blades: 14.0,
                            backsweep_deg,
                            throat_share: 0.59,
                            peak_efficiency: None,
                            design_mach,
                            outlet_width_m: Some(width * exducer_m),
                            claimed_flow_kg_s: None,
                        };
                        let data = estimate(&sizes, reference, 545.0);
                        let map = CompressorMap::new(&data, exducer_m, 0.9, 1.5)
                            .unwrap_or_else(|error| panic!("{sizes:?}: {error}"));
                        // Wider ones surge close to choke, and that falls.
                        if (0.03..0.1).contains(&width) && design_mach.is_none() {
                            let speed = data.lines[6].speed_rev_min;
                            let now = map.on_line(speed, 0.0).flow_kg_s;
                            assert!(before.is_none_or(|before| now > before), "{sizes:?}");
                            before = Some(now);
                        }
                    }
                }
            }
        }
    }
}
