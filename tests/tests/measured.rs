//! The map's interpolation and the turbine's laws against measurements, natively.

#![cfg(not(target_arch = "wasm32"))]

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
