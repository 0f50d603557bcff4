//! Every reference row and every measurement in the browser's own arithmetic.

#![cfg(target_arch = "wasm32")]

use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
fn every_row_agrees() {
    let run = airpath_tests::run();
    assert!(
        run.problems.is_empty(),
        "{} problems:\n{}",
        run.problems.len(),
        run.problems.join("\n")
    );
    assert!(run.outcomes.len() >= airpath_tests::LEAST_ROWS);
}

#[wasm_bindgen_test]
fn every_measurement_agrees() {
    let problems = airpath_tests::measured::problems();
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}
