//! Writes the JSON Schemas of build file and answer, made from the tables and types:
//! `cargo run -p airpath --features schema --example schema`.
//!
//! With `--check` it compares instead, and fails where a schema is stale.

use airpath::build::file_schema;
use airpath::run::AnswerFile;
use std::process::ExitCode;

fn main() -> ExitCode {
    let check = std::env::args().any(|a| a == "--check");
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/");
    let answer = schemars::schema_for!(AnswerFile);
    let mut stale = false;
    for (name, text) in [
        (
            "build.schema.json",
            serde_json::to_string_pretty(&file_schema()),
        ),
        ("answer.schema.json", serde_json::to_string_pretty(&answer)),
    ] {
        let Ok(text) = text else {
            return ExitCode::FAILURE;
        };
        let (path, text) = (format!("{folder}{name}"), text + "\n");
        if check {
            if std::fs::read_to_string(&path).is_ok_and(|kept| kept == text) {
                continue;
            }
            eprintln!(
                "core/data/{name} is stale; run: cargo run -p airpath --features schema --example schema"
            );
            stale = true;
        } else if let Err(error) = std::fs::write(&path, text) {
            eprintln!("{path}: {error}");
            return ExitCode::FAILURE;
        }
    }
    if stale {
        ExitCode::FAILURE
    } else {
        ExitCode::SUCCESS
    }
}
