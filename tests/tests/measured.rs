//! The map's interpolation and the turbine's laws against measurements, natively.

#![cfg(not(target_arch = "wasm32"))]

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
