//! A headless door: `cargo run --release -p airpath --example solve -- build.json [SPEEDS]`.
//!
//! Reads a build file (`-` for standard input), prints the answer as JSON on standard output. A
//! refused build prints an answer with `refused` filled and exits with status 2. `SPEEDS` is how
//! many engine speeds from idle to redline, 120 if left out.

use airpath::build::{BuildFile, on_shelf};
use airpath::run::{ANSWER_VERSION, AnswerFile, SPEEDS};
use std::io::{Read, Write};
use std::process::ExitCode;

fn answer(text: &str, speeds: usize) -> AnswerFile {
    let refused = |build: String, why: String| AnswerFile {
        airpath_answer: ANSWER_VERSION,
        build,
        refused: Some(why),
        r#match: None,
    };
    let build = match BuildFile::from_json(text).and_then(|file| file.into_build_from(on_shelf)) {
        Ok(build) => build,
        Err(error) => return refused(String::new(), error.to_string()),
    };
    let name = build.name().to_owned();
    match airpath::solve_at(&build, speeds) {
        Ok(solved) => AnswerFile {
            airpath_answer: ANSWER_VERSION,
            build: name,
            refused: None,
            r#match: Some(solved),
        },
        Err(error) => refused(name, error.to_string()),
    }
}

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let Some(path) = arguments.next() else {
        eprintln!("Name a build file, or - for standard input.");
        return ExitCode::FAILURE;
    };
    let speeds = arguments
        .next()
        .and_then(|n| n.parse().ok())
        .unwrap_or(SPEEDS);
    let mut text = String::new();
    let read = if path == "-" {
        std::io::stdin().read_to_string(&mut text).map(|_| ())
    } else {
        std::fs::read_to_string(&path).map(|read| text = read)
    };
    if let Err(error) = read {
        eprintln!("{path}: {error}");
        return ExitCode::FAILURE;
    }
    let answer = answer(&text, speeds);
    let written = serde_json::to_string_pretty(&answer)
        .map_err(std::io::Error::other)
        .and_then(|json| writeln!(std::io::stdout(), "{json}"));
    match (written, answer.refused) {
        (Err(error), _) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
        (Ok(()), Some(_)) => ExitCode::from(2),
        (Ok(()), None) => ExitCode::SUCCESS,
    }
}
