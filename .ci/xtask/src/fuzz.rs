//! The long run against the parsers, driven by coverage: ten million texts.
//!
//! The compiler counts coverage by options of its stable release; sanitizers, which need another
//! one, find what safe Rust does not have. Every target of `tests/src/hostile.rs` gets its share of
//! the cases in two jobs with seeds of their own. Each begins from the texts kept in `tests/corpus`
//! and gathers new ones under the build's own folder. A text that fails is left beside them: it
//! belongs into `tests/corpus` with the repair, where every test run replays it.

use crate::shell::Shell;
use anyhow::{Context, Result, bail};
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// A target's share of the run.
struct Share {
    /// Its name in `tests/src/hostile.rs`.
    target: &'static str,
    /// How many cases it gets.
    cases: u64,
    /// Longest text, bytes. Much larger ones are among the tests.
    longest: u32,
}

/// Every target: ten million cases in all. A build file takes twenty times as long as a number, and a
/// map, which is written in every form and read again, some hundred times.
const SHARES: &[Share] = &[
    Share {
        target: "quantity",
        cases: 8_400_000,
        longest: 1024,
    },
    Share {
        target: "build_file",
        cases: 1_000_000,
        longest: 4096,
    },
    Share {
        target: "map_table",
        cases: 250_000,
        longest: 4096,
    },
    Share {
        target: "map_json",
        cases: 250_000,
        longest: 4096,
    },
    Share {
        target: "records",
        cases: 100_000,
        longest: 8192,
    },
];

/// Seeds of the jobs of a target; they run side by side and share its cases.
const SEEDS: [u32; 2] = [1, 2];

/// What makes the compiler count which branches are taken, and show what is compared with what.
const COVERAGE: &str = "--cfg fuzzing -C passes=sancov-module \
    -C llvm-args=-sanitizer-coverage-level=4 -C llvm-args=-sanitizer-coverage-trace-compares \
    -C llvm-args=-sanitizer-coverage-inline-8bit-counters \
    -C llvm-args=-sanitizer-coverage-pc-table";

/// Builds the driver, then runs every target.
///
/// # Errors
/// When the driver does not build, or a text fails; the text's file is then named.
pub fn run(shell: &Shell) -> Result<()> {
    let folder = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| shell.root.join("target"), PathBuf::from)
        .join("fuzz");
    let host = host(shell)?;
    let mut build = shell.cargo();
    build
        .args(["build", "--release", "--locked", "--target", &host])
        .args(["--manifest-path", "tests/fuzz/Cargo.toml", "--target-dir"])
        .arg(&folder)
        // With a target named, the options do not reach what runs while building.
        .env("RUSTFLAGS", COVERAGE);
    shell.run(&mut build)?;
    let driver = folder.join(&host).join("release").join("airpath-fuzz");
    for share in SHARES {
        run_target(shell, &driver, &folder, share)?;
    }
    Ok(())
}

fn run_target(shell: &Shell, driver: &Path, folder: &Path, share: &Share) -> Result<()> {
    let Share {
        target,
        cases,
        longest,
    } = share;
    println!("{target}: {cases} cases in {} jobs", SEEDS.len());
    let failed = folder.join("failed").join(target);
    fs::create_dir_all(&failed)?;
    let mut jobs: Vec<(u32, PathBuf, Child)> = Vec::new();
    for seed in SEEDS {
        // A fixed seed repeats a run only from the same beginning.
        let gathered = folder.join("gathered").join(format!("{target}-{seed}"));
        if gathered.is_dir() {
            fs::remove_dir_all(&gathered)?;
        }
        fs::create_dir_all(&gathered)?;
        let log = folder.join(format!("{target}-{seed}.log"));
        let mut command: Command = shell.command(driver);
        command
            .env("AIRPATH_TARGET", target)
            .arg(format!("-runs={}", cases / SEEDS.len() as u64))
            .args([format!("-seed={seed}"), format!("-max_len={longest}")])
            // The target's own limits are far tighter; these catch what never comes back.
            .args(["-timeout=20", "-rss_limit_mb=1024", "-print_final_stats=1"])
            .arg(prefix(&failed))
            .arg(&gathered)
            .arg(Path::new("tests/corpus").join(target))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(fs::File::create(&log)?);
        let child = command
            .spawn()
            .with_context(|| format!("{} does not start", driver.display()))?;
        jobs.push((seed, log, child));
    }
    let mut broken = Vec::new();
    for (seed, log, mut child) in jobs {
        let status = child.wait()?;
        let text = String::from_utf8_lossy(&fs::read(&log)?).into_owned();
        for line in closing_lines(&text, target) {
            println!("  seed {seed}: {line}");
        }
        if !status.success() {
            broken.push(log);
        }
    }
    if let Some(log) = broken.first() {
        let text = String::from_utf8_lossy(&fs::read(log)?).into_owned();
        let lines: Vec<&str> = text.lines().collect();
        for line in &lines[lines.len().saturating_sub(40)..] {
            println!("  {line}");
        }
        bail!(
            "a text failed; it is kept in {}, and all that was said in {}",
            failed.display(),
            log.display()
        );
    }
    Ok(())
}

/// Where the driver writes a text that fails; the end of the path is the beginning of its name.
fn prefix(folder: &Path) -> std::ffi::OsString {
    let mut argument = std::ffi::OsString::from("-artifact_prefix=");
    argument.push(folder);
    argument.push(OsStr::new("/"));
    argument
}

/// What a run comes to: its cases and coverage, the slowest case and the one with most memory.
fn closing_lines<'a>(log: &'a str, target: &str) -> Vec<&'a str> {
    let last = |wanted: &dyn Fn(&str) -> bool| log.lines().rfind(|line| wanted(line));
    [
        last(&|line| line.split_whitespace().nth(1) == Some("DONE")),
        last(&|line| line.starts_with(&format!("{target}: "))),
        last(&|line| line.starts_with("stat::number_of_executed_units")),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The target triple of this machine, as its compiler names it.
fn host(shell: &Shell) -> Result<String> {
    let output = shell.command("rustc").arg("-vV").output();
    let output = output.context("`rustc` does not start")?;
    String::from_utf8_lossy(&output.stdout)
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .map(str::to_owned)
        .context("`rustc -vV` does not name the machine")
}

#[cfg(test)]
mod tests {
    use super::{SHARES, closing_lines};

    #[test]
    fn ten_million_cases_in_all() {
        let cases: u64 = SHARES.iter().map(|share| share.cases).sum();
        assert_eq!(cases, 10_000_000);
    }

    #[test]
    fn the_last_lines_count() {
        let log = "a: slowest case 1\n#1 pulse\na: slowest case 2\n#9\tDONE   cov: 3\n\
                   stat::number_of_executed_units: 9\n";
        assert_eq!(
            closing_lines(log, "a"),
            [
                "#9\tDONE   cov: 3",
                "a: slowest case 2",
                "stat::number_of_executed_units: 9"
            ]
        );
    }
}
