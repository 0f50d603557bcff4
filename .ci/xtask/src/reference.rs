//! `cargo xtask reference`: makes the reference rows and the second solution of the match again,
//! from libraries outside the project, and fails where they differ from what is kept.
//!
//! The programs are Python and stand in `tests/reference/`; each also runs on its own. Here they get
//! their libraries, in the versions that the requirements pin, and are run one after the other.

use crate::shell::Shell;
use crate::steps;
use crate::tools::Toolbox;
use anyhow::{Context, Result, bail};
use std::fs;
use std::path::Path;
use std::process::Command;

/// The tools that this takes.
pub const TOOLS: &[&str] = &["python", "reference-packages"];

/// Makes the rows in `tests/rows`.
const ROWS: &str = "tests/reference/rows/regenerate.py";

/// Solves each build a second time, in Python.
const FREEZE: &str = "tests/reference/match/freeze.py";

/// Follows the way to boost a second time, in Python.
const RESPONSE: &str = "tests/reference/match/response.py";

/// Compares the second solution with that of the core.
const COMPARE: &str = "tests/reference/match/compare.py";

/// The builds that both solutions solve.
const BUILDS: &str = "tests/builds";

/// The name that `--only` takes for the rows; any other is that of a build.
const ONLY_ROWS: &str = "rows";

/// What to make again.
#[derive(Default)]
pub struct Options {
    /// The rows alone, or one build alone by the name of its file.
    pub only: Option<String>,
    /// Writes what was made instead of comparing it with what is kept.
    pub write: bool,
}

/// Makes rows and matches again and compares them with what is kept, then compares the core with
/// the second solution. One part that fails does not stop the next.
///
/// # Errors
/// When there is no build of the name asked for, something differs, or a program does not run.
pub fn run(shell: &Shell, toolbox: &Toolbox, options: &Options) -> Result<()> {
    let only = options.only.as_deref();
    let build = match only {
        None | Some(ONLY_ROWS) => None,
        Some(name) => Some(build_file(name, &build_names(&shell.root)?)?),
    };
    let program = |path: &str| {
        let mut command = shell.command(toolbox.program("reference-packages"));
        command.env("PYTHONDONTWRITEBYTECODE", "1").arg(path);
        command
    };
    let mut failures = Vec::new();
    let mut part = |command: &mut Command| {
        if let Err(error) = shell.run(command) {
            failures.push(format!("{error:#}"));
        }
    };

    if build.is_none() {
        let mut rows = program(ROWS);
        if !options.write {
            rows.arg("--check");
        }
        part(&mut rows);
    }
    if only != Some(ONLY_ROWS) {
        let times = times_file(shell)?;
        let mut freeze = program(FREEZE);
        if !options.write {
            freeze.arg("--check");
        }
        part(freeze.arg("--times").arg(&times).args(&build));
        // Its times are there unless a build could not be solved.
        let mut compare = program(COMPARE);
        if times.is_file() {
            compare.arg("--times").arg(&times);
        }
        part(compare.args(&build));
    }
    if build.is_none() && only != Some(ONLY_ROWS) {
        let mut response = program(RESPONSE);
        if !options.write {
            response.arg("--check");
        }
        part(&mut response);
    }
    if failures.is_empty() {
        return Ok(());
    }
    bail!(
        "{}\nIf a difference is meant: `cargo xtask reference --write`, and say why in the commit",
        failures.join("\n")
    )
}

/// Where the seconds of each build go from one program to the next; what an earlier run left there
/// is removed.
fn times_file(shell: &Shell) -> Result<std::path::PathBuf> {
    let metadata = steps::metadata(shell)?;
    let folder = metadata["target_directory"]
        .as_str()
        .context("cargo does not name the target folder")?;
    fs::create_dir_all(folder).with_context(|| format!("{folder} cannot be made"))?;
    let file = Path::new(folder).join("reference-seconds.json");
    match fs::remove_file(&file) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(error).with_context(|| format!("{} cannot be removed", file.display()))
        }
        _ => Ok(file),
    }
}

/// The names of all builds, in order.
fn build_names(root: &Path) -> Result<Vec<String>> {
    let entries =
        fs::read_dir(root.join(BUILDS)).with_context(|| format!("{BUILDS} cannot be read"))?;
    let mut names = Vec::new();
    for entry in entries {
        let name = entry?.file_name().to_string_lossy().into_owned();
        names.extend(name.strip_suffix(".json").map(str::to_owned));
    }
    names.sort();
    Ok(names)
}

fn build_file(name: &str, names: &[String]) -> Result<String> {
    if names.iter().any(|other| other == name) {
        Ok(format!("{BUILDS}/{name}.json"))
    } else {
        bail!(
            "there is no build \"{name}\" in {BUILDS}; --only takes \"{ONLY_ROWS}\" or one of {}",
            names.join(", ")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::build_file;

    #[test]
    fn a_build_goes_by_the_name_of_its_file() {
        let names = ["a".to_owned(), "b".to_owned()];
        assert_eq!(build_file("b", &names).unwrap(), "tests/builds/b.json");
        let error = build_file("c", &names).unwrap_err().to_string();
        assert!(error.contains("\"c\"") && error.contains("a, b"), "{error}");
    }
}
