//! Writes the generated part of `tests/README.md`; with `--check`, only says whether it is fresh.

use std::process::ExitCode;

fn main() -> ExitCode {
    let check = std::env::args()
        .skip(1)
        .any(|argument| argument == "--check");
    match renew(check) {
        Ok(said) => {
            println!("{said}");
            ExitCode::SUCCESS
        }
        Err(problem) => {
            eprintln!("{problem}");
            ExitCode::FAILURE
        }
    }
}

fn renew(check: bool) -> Result<String, String> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let old = std::fs::read_to_string(path).map_err(|error| format!("tests/README.md: {error}"))?;
    let new = airpath_tests::table::renew(&old, &airpath_tests::run())?;
    if new == old {
        return Ok("tests/README.md is fresh".to_owned());
    }
    if check {
        return Err(
            "tests/README.md is stale: run `cargo run -p airpath-tests --example readme`"
                .to_owned(),
        );
    }
    std::fs::write(path, new).map_err(|error| format!("tests/README.md: {error}"))?;
    Ok("tests/README.md was written".to_owned())
}
