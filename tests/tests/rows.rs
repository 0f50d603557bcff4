//! Every reference row, natively; and that the harness sees what is wrong with a row.

#![cfg(not(target_arch = "wasm32"))]

use airpath_tests::{FILES, LEAST_ROWS, run, run_enough, run_files};
use std::collections::BTreeSet;

#[test]
fn every_row_agrees() {
    let run = run();
    println!("{}", run.summary());
    assert!(
        run.problems.is_empty(),
        "{} problems:\n{}",
        run.problems.len(),
        run.problems.join("\n")
    );
    assert!(run.outcomes.len() >= LEAST_ROWS);
}

#[test]
fn every_kind_has_rows() {
    let run = run();
    let used: BTreeSet<&str> = run
        .outcomes
        .iter()
        .map(|outcome| outcome.row.kind.as_str())
        .collect();
    for kind in airpath_tests::kinds::KINDS.iter().copied().flatten() {
        assert!(used.contains(kind.name), "no row asks for {}", kind.name);
    }
}

/// A file that nobody reads would prove nothing.
#[test]
fn every_file_is_read() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/rows");
    let there: BTreeSet<String> = std::fs::read_dir(folder)
        .expect("the folder of rows")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".json"))
        .collect();
    let read: BTreeSet<String> = FILES.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(there, read);
}

/// What is wrong with a file of one row: the altitude of 1000 m, pressure 89 874.6 Pa.
fn problems(change: (&str, &str)) -> Vec<String> {
    let good = r#"{ "stage": "s", "sources": { "a": "A" }, "reasons": { "r": "R" }, "rows": [
        { "id": "1", "kind": "standard_atmosphere_pressure", "inputs": { "altitude": [1000, "m"] },
          "expected": [89874.6, "Pa"], "tolerance": { "absolute": 0.05, "reason": "r" }, "source": "a" } ] }"#;
    assert!(
        change.0.is_empty() || good.contains(change.0),
        "{} is not in the row",
        change.0
    );
    let text = good.replacen(change.0, change.1, 1);
    run_files(&[("one.json", &text)]).problems
}

#[test]
fn a_good_row_has_no_problems() {
    assert_eq!(problems(("", "")), Vec::<String>::new());
}

#[test]
fn what_is_wrong_with_a_row_is_seen() {
    let cases = [
        (("89874.6", "89874.7"), "of the tolerance"),
        (
            (
                "\"source\": \"a\"",
                "\"source\": \"a\", \"disagrees\": \"why\"",
            ),
            "but agrees",
        ),
        (
            ("standard_atmosphere_pressure", "no_such_kind"),
            "is unknown",
        ),
        (("\"altitude\"", "\"height\""), "is missing"),
        (
            ("[1000, \"m\"]", "[1000, \"m\"], \"extra\": [1, \"1\"]"),
            "nobody asked",
        ),
        (("\"Pa\"", "\"pound\""), "is unknown"),
        (("[1000, \"m\"]", "[1e999, \"m\"]"), "one.json"),
        (("[1000, \"m\"]", "\"1000 m\""), "not a number"),
        (("\"absolute\": 0.05", "\"absolute\": 0.0"), "above 0"),
        (("\"absolute\": 0.05, ", ""), "either relative or absolute"),
        (
            ("\"absolute\"", "\"relative\": 1, \"absolute\""),
            "either relative or absolute",
        ),
        (("\"reason\": \"r\"", "\"reason\": \"x\""), "is not listed"),
        (("\"source\": \"a\"", "\"source\": \"b\""), "does not list"),
        (("\"id\"", "\"name\""), "unknown field"),
        (("{ \"stage\"", "\"stage\""), "one.json"),
    ];
    for (change, said) in cases {
        let problems = problems(change);
        assert!(
            problems.iter().any(|problem| problem.contains(said)),
            "{change:?}: {problems:?}"
        );
    }
}

#[test]
fn an_empty_file_too_few_rows_and_a_second_id_are_seen() {
    let empty = r#"{ "stage": "s", "sources": {}, "reasons": {}, "rows": [] }"#;
    assert!(run_files(&[("e.json", empty)]).problems[0].contains("no rows"));
    assert!(!run_files(&[("e.json", "")]).problems.is_empty());
    let few = run_enough(&FILES[..1]).problems;
    assert!(
        few.iter().any(|problem| problem.contains("at least 500")),
        "{few:?}"
    );
    let (name, text) = FILES[0];
    let twice = run_files(&[(name, text), (name, text)]);
    assert!(
        twice
            .problems
            .iter()
            .any(|problem| problem.contains("another row of this id"))
    );
}

/// `README.md` shows what the rows and the measurements say today.
#[test]
fn the_table_is_fresh() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let readme = std::fs::read_to_string(path).expect("tests/README.md");
    let fresh = airpath_tests::table::renew(&readme, &run()).expect("the marks are there");
    let stale = readme
        .lines()
        .zip(fresh.lines())
        .find(|(old, new)| old != new);
    assert!(
        readme == fresh,
        "tests/README.md is stale, first at {stale:?}: run `cargo run -p airpath-tests --example readme`"
    );
}
