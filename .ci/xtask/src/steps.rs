//! `cargo xtask test`: the list of steps, and running them one after the other.
//!
//! A step that fails does not stop the next ones, so that one run shows everything that is wrong.

use crate::bench;
use crate::fuzz;
use crate::one_file;
use crate::page;
use crate::reference;
use crate::shell::Shell;
use crate::tidy;
use crate::tools::Toolbox;
use anyhow::{Context, Result, bail};
use serde_json::Value;
use std::time::{Duration, Instant};

/// What to run.
#[derive(Default)]
pub struct Options {
    /// Adds the slow steps.
    pub long: bool,
    /// Runs one step only, by name.
    pub only: Option<String>,
}

/// What became of the steps so far: name, time taken, outcome.
type Outcomes<'a> = Vec<(&'a str, Duration, Result<()>)>;

/// A step that the sources give no reason to run, and what is missing for it.
type Absent = (&'static str, String);

/// One step: its name on the command line, its heading, the tools it takes, and what it does.
#[derive(Clone, Copy)]
struct Step {
    name: &'static str,
    heading: &'static str,
    tools: &'static [&'static str],
    run: fn(&Shell, &Toolbox) -> Result<()>,
}

/// The example that writes the JSON schema, and checks with `--check` that the stored one is fresh.
const SCHEMA: &str = "core/examples/schema.rs";

/// A package that depends on this crate has tests that run in a browser.
const WASM_TEST_CRATE: &str = "wasm-bindgen-test";

/// How many cases each property test tries in a long run; proptest's own default is 256.
const LONG_CASES: &str = "20000";

const FORMAT: Step = Step {
    name: "fmt",
    heading: "layout of the code (rustfmt)",
    tools: &["rustfmt"],
    run: |shell, _| {
        let mut command = shell.cargo();
        command.args(["fmt", "--all", "--check"]);
        if !shell.has_colour() {
            command.args(["--", "--color", "never"]);
        }
        shell.run(&mut command)
    },
};

const CLIPPY: Step = Step {
    name: "clippy",
    heading: "common mistakes (clippy), on this machine and for browsers",
    tools: &["clippy", "wasm-target"],
    run: clippy,
};

const TIDY: Step = Step {
    name: "tidy",
    heading: "house rules (tidy)",
    tools: &[],
    run: |shell, _| tidy::check(shell),
};

/// Where cargo-deny says that its configuration lets in what nothing needs.
const UNUSED_IN_DENY: &[&str] = &[
    "license-not-encountered",
    "unmatched-skip",
    "unnecessary-skip",
];

const DENY: Step = Step {
    name: "deny",
    heading: "licences, duplicates and sources of the dependencies (cargo-deny)",
    tools: &["cargo-deny"],
    run: deny,
};

const TESTS: Step = Step {
    name: "test",
    heading: "tests on this machine",
    tools: &[],
    run: |shell, _| {
        let mut command = shell.cargo();
        command.args(["test", "--locked", "--workspace", "--no-fail-fast"]);
        at_least_one(shell.run_tests(&mut command)?)
    },
};

const WASM: Step = Step {
    name: "wasm",
    heading: "tests in the browser's own arithmetic (wasm)",
    tools: &["wasm-target", "wasm-bindgen", "chromium", "chromedriver"],
    run: wasm_tests,
};

const SCHEMA_CHECK: Step = Step {
    name: "schema",
    heading: "schemas and turbochargers in core/data are fresh",
    tools: &[],
    run: |shell, _| {
        // Each example writes data; with --check it compares and fails where the data is stale.
        for (example, features) in [("schema", "schema"), ("shelf", "")] {
            shell.run(shell.cargo().args([
                "run",
                "--quiet",
                "--locked",
                "-p",
                "airpath",
                "--features",
                features,
                "--example",
                example,
                "--",
                "--check",
            ]))?;
        }
        Ok(())
    },
};

const BUILD: Step = Step {
    name: "build",
    heading: "the page, and what a first visit downloads",
    tools: page::TOOLS,
    run: |shell, toolbox| {
        page::build(shell, toolbox)?;
        page::size(shell)
    },
};

/// Runs a script that looks at the page.
fn node(shell: &Shell, toolbox: &Toolbox, arguments: &[&str]) -> Result<()> {
    let mut command = shell.command(toolbox.program("node"));
    toolbox.equip(&mut command);
    shell.run(command.args(arguments))
}

const BROWSER: Step = Step {
    name: "browser",
    heading: "the page in a browser",
    tools: &["node", "npm", "chromium", "browser-packages", "esbuild"],
    run: |shell, toolbox| {
        one_file::pack(shell, toolbox)?;
        node(shell, toolbox, &["tests/browser/run.mjs"])
    },
};

const ENGINES: Step = Step {
    name: "engines",
    heading: "the page in the two other engines that phones have",
    tools: &[
        "node",
        "npm",
        "firefox",
        "webkit-driver",
        "xvfb",
        "browser-packages",
        "esbuild",
    ],
    run: |shell, toolbox| {
        one_file::pack(shell, toolbox)?;
        node(shell, toolbox, &["tests/browser/engines.mjs"])
    },
};

const LIGHTHOUSE: Step = Step {
    name: "lighthouse",
    heading: "how well the page is made, and how fast it starts on a phone (Lighthouse)",
    tools: &["node", "npm", "chromium", "browser-packages"],
    run: |shell, toolbox| node(shell, toolbox, &["tests/browser/lighthouse.mjs"]),
};

/// Not for every run: a busy machine is slow, which says nothing of the page.
const START: Step = Step {
    name: "start",
    heading: "how fast it starts on a phone, judged",
    tools: LIGHTHOUSE.tools,
    run: |shell, toolbox| node(shell, toolbox, &["tests/browser/lighthouse.mjs", "--times"]),
};

/// The steps that look at the page that [`BUILD`] has made.
const ON_THE_PAGE: &[&str] = &[BROWSER.name, ENGINES.name, LIGHTHOUSE.name, START.name];

/// What `--long` adds. Such a step may take many minutes, and nothing else depends on it.
const LONG: &[Step] = &[
    Step {
        name: "long",
        heading: "slow tests, and property tests with many more cases",
        tools: &[],
        run: |shell, _| {
            let mut command = shell.cargo();
            command.args([
                "test",
                "--locked",
                "--workspace",
                "--no-fail-fast",
                "--release",
            ]);
            // As fast as what is shipped, but without what makes the page small: that takes long to
            // build and gains nothing here. Sums that overflow are still found.
            for setting in ["lto=\"off\"", "codegen-units=16", "overflow-checks=true"] {
                command.args(["--config", &format!("profile.release.{setting}")]);
            }
            command.args(["--lib", "--bins", "--tests", "--", "--include-ignored"]);
            command.arg("--show-output");
            command.env("PROPTEST_CASES", LONG_CASES);
            at_least_one(shell.run_tests(&mut command)?)
        },
    },
    Step {
        name: "fuzz",
        heading: "ten million hostile texts for the parsers",
        tools: &[],
        run: |shell, _| fuzz::run(shell),
    },
    Step {
        name: "reference",
        heading: "rows and second solution made again from outside libraries",
        tools: reference::TOOLS,
        run: |shell, toolbox| reference::run(shell, toolbox, &reference::Options::default()),
    },
    LIGHTHOUSE,
    INSTRUCTIONS,
    START,
];

/// Not for every run: building it as it ships takes longer than all the counting.
const INSTRUCTIONS: Step = Step {
    name: "instructions",
    heading: "no part takes more machine instructions than it did",
    tools: bench::COUNTING_TOOLS,
    run: bench::check,
};

/// Runs the steps, prints what each took, and fails if any of them did.
///
/// # Errors
/// When a step fails, or there is no step of the name asked for.
pub fn test(shell: &Shell, options: &Options) -> Result<()> {
    let (mut steps, absent) = list(shell, options)?;
    if let Some(only) = &options.only {
        if let Some((_, reason)) = absent.iter().find(|(name, _)| name == only) {
            bail!("the step \"{only}\" does not exist yet: {reason}");
        }
        let names: Vec<&str> = steps.iter().map(|step| step.name).collect();
        if !names.contains(&only.as_str()) {
            bail!(
                "there is no step \"{only}\"; the steps are {}",
                names.join(", ")
            );
        }
        // The browser tests look at the page, so the page has to be that of the present sources.
        let page_first = ON_THE_PAGE.contains(&only.as_str());
        steps.retain(|step| step.name == only || (page_first && step.name == BUILD.name));
    }

    let mut outcomes: Outcomes = Vec::new();
    heading(shell, "tools", "what the steps need");
    let start = Instant::now();
    let mut names: Vec<&str> = steps.iter().flat_map(|step| step.tools).copied().collect();
    names.sort_unstable();
    names.dedup();
    let toolbox = Toolbox::prepare(shell, &names)?;
    let complete = toolbox.report(shell);
    let outcome = if complete {
        Ok(())
    } else {
        toolbox.require(&names)
    };
    finish(shell, &mut outcomes, "tools", start, outcome);

    for step in &steps {
        heading(shell, step.name, step.heading);
        let start = Instant::now();
        let outcome = toolbox
            .require(step.tools)
            .and_then(|()| page_is_there(step, &outcomes))
            .and_then(|()| (step.run)(shell, &toolbox));
        finish(shell, &mut outcomes, step.name, start, outcome);
    }
    summary(shell, &outcomes, &absent)
}

/// The steps of this run in their order, and those that do not exist yet with the reason.
fn list(shell: &Shell, options: &Options) -> Result<(Vec<Step>, Vec<Absent>)> {
    let mut steps = vec![FORMAT, CLIPPY, TIDY, DENY, TESTS];
    let mut absent = Vec::new();
    if wasm_packages(shell)?.is_empty() {
        absent.push((
            WASM.name,
            format!("no package of the workspace depends on {WASM_TEST_CRATE}"),
        ));
    } else {
        steps.push(WASM);
    }
    if shell.root.join(SCHEMA).is_file() {
        steps.push(SCHEMA_CHECK);
    } else {
        absent.push((SCHEMA_CHECK.name, format!("there is no {SCHEMA}")));
    }
    steps.push(BUILD);
    steps.extend([BROWSER, ENGINES, LIGHTHOUSE]);
    if !bench::COUNTS_HERE {
        absent.push((
            INSTRUCTIONS.name,
            "the counts are kept for Linux on x86-64 only".to_owned(),
        ));
    }
    let asked = |step: &Step| options.long || options.only.as_deref() == Some(step.name);
    let possible = |step: &Step| step.name != INSTRUCTIONS.name || bench::COUNTS_HERE;
    steps.extend(
        LONG.iter()
            .copied()
            .filter(|step| asked(step) && possible(step)),
    );
    Ok((steps, absent))
}

/// The steps on the page would look at an old one, or at none, when building it failed.
fn page_is_there(step: &Step, outcomes: &Outcomes) -> Result<()> {
    let failed = |name: &str| {
        outcomes
            .iter()
            .any(|(done, _, outcome)| *done == name && outcome.is_err())
    };
    if ON_THE_PAGE.contains(&step.name) && failed(BUILD.name) {
        bail!("not run, because the step \"{}\" failed", BUILD.name);
    }
    Ok(())
}

fn clippy(shell: &Shell, _: &Toolbox) -> Result<()> {
    let strict = ["--", "-D", "warnings"];
    shell.run(
        shell
            .cargo()
            .args(["clippy", "--locked", "--workspace", "--all-targets"])
            .args(strict),
    )?;
    shell.run(
        shell
            .cargo()
            .args(["clippy", "--locked", "-p", "airpath-web", "--all-targets"])
            .args(["--target", "wasm32-unknown-unknown"])
            .args(strict),
    )
}

/// Checks the workspace, and the fuzz driver, which is one of its own with its own lock file.
///
/// Known faults (advisories) are a list from the network, so they are not looked up here.
fn deny(shell: &Shell, toolbox: &Toolbox) -> Result<()> {
    // The configuration is the workspace's, and what it lets in for nothing is struck off it. The
    // driver needs only a part, and has a licence that the workspace has not.
    let (mut workspace, mut driver) = (Vec::new(), Vec::new());
    for lint in UNUSED_IN_DENY {
        workspace.extend(["--deny", lint]);
        driver.extend(["--allow", lint]);
    }
    workspace.extend(["--allow", "license-exception-not-encountered"]);
    for (manifest, lints) in [("Cargo.toml", workspace), ("tests/fuzz/Cargo.toml", driver)] {
        let mut command = shell.command(toolbox.program("cargo-deny"));
        command.args(["--manifest-path", manifest, "--locked"]);
        command.args(["--config", ".ci/deny.toml", "check"]);
        shell.run(command.args(lints).args(["bans", "licenses", "sources"]))?;
    }
    Ok(())
}

fn wasm_tests(shell: &Shell, toolbox: &Toolbox) -> Result<()> {
    let mut passed = 0;
    for package in wasm_packages(shell)? {
        let mut command = shell.cargo();
        toolbox.equip(&mut command);
        command
            .args(["test", "--locked", "-p", &package, "--tests"])
            .args(["--target", "wasm32-unknown-unknown"])
            .env("WASM_BINDGEN_USE_BROWSER", "1")
            .env("WASM_BINDGEN_TEST_TIMEOUT", "300");
        passed += shell.run_tests(&mut command)?;
    }
    at_least_one(passed)
}

/// The packages of the workspace with tests for the browser: those that depend on
/// `wasm-bindgen-test`.
fn wasm_packages(shell: &Shell) -> Result<Vec<String>> {
    let metadata = metadata(shell)?;
    let mut names = Vec::new();
    for package in metadata["packages"].as_array().into_iter().flatten() {
        let dependencies = package["dependencies"].as_array();
        let tests = dependencies
            .into_iter()
            .flatten()
            .any(|dependency| dependency["name"] == WASM_TEST_CRATE);
        if let (true, Some(name)) = (tests, package["name"].as_str()) {
            names.push(name.to_owned());
        }
    }
    Ok(names)
}

/// What cargo knows of the workspace's own packages.
///
/// # Errors
/// When a manifest does not parse.
pub fn metadata(shell: &Shell) -> Result<Value> {
    metadata_of(shell, "Cargo.toml")
}

/// What cargo knows of the own packages of the workspace with this manifest.
///
/// # Errors
/// When a manifest does not parse.
pub fn metadata_of(shell: &Shell, manifest: &str) -> Result<Value> {
    let output = shell
        .cargo()
        .args(["metadata", "--no-deps", "--format-version", "1"])
        .args(["--manifest-path", manifest])
        .output()
        .context("`cargo metadata` does not start")?;
    if !output.status.success() {
        bail!(
            "`cargo metadata` failed\n{}",
            String::from_utf8_lossy(&output.stderr)
        );
    }
    serde_json::from_slice(&output.stdout).context("`cargo metadata` did not write JSON")
}

/// A test run that ran nothing proves nothing.
fn at_least_one(passed: u64) -> Result<()> {
    if passed == 0 {
        bail!("no test ran");
    }
    println!("{passed} tests passed in all");
    Ok(())
}

fn heading(shell: &Shell, name: &str, text: &str) {
    println!("\n{}", shell.bold(&format!("── {name}: {text} ──")));
}

fn finish<'a>(
    shell: &Shell,
    outcomes: &mut Outcomes<'a>,
    name: &'a str,
    start: Instant,
    outcome: Result<()>,
) {
    if let Err(error) = &outcome {
        println!("{} {name}: {error:#}", shell.red("FAILED"));
    }
    outcomes.push((name, start.elapsed(), outcome));
}

/// The closing table: the seconds of each step, and the counts on the last line.
fn summary(shell: &Shell, outcomes: &Outcomes, absent: &[Absent]) -> Result<()> {
    println!("\n{}", shell.bold("── summary ──"));
    let mut total = Duration::ZERO;
    for (name, time, outcome) in outcomes {
        total += *time;
        let word = match outcome {
            Ok(()) => shell.green("passed"),
            Err(_) => shell.red("FAILED"),
        };
        println!("{:>9.1} s  {word}  {name}", time.as_secs_f64());
    }
    println!("{:>9.1} s  in all", total.as_secs_f64());
    for (name, reason) in absent {
        println!("There is no step \"{name}\" yet: {reason}.");
    }
    let failed: Vec<&str> = outcomes
        .iter()
        .filter(|(_, _, outcome)| outcome.is_err())
        .map(|(name, _, _)| *name)
        .collect();
    println!(
        "steps: {} passed, {} failed",
        outcomes.len() - failed.len(),
        failed.len()
    );
    if failed.is_empty() {
        Ok(())
    } else {
        bail!("failed: {}", failed.join(", "))
    }
}
