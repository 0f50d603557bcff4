//! `cargo xtask bench`: measures how fast the core and the page are, and keeps the figures in
//! `tests/BENCHMARKS.md`.
//!
//! Three parts: machine instructions counted under Valgrind, which do not jitter and so can be
//! checked; times on this machine (criterion); and the page in Chromium, in turns with a native
//! program. The prose of the document is kept by hand, the tables between markers are written here.

use crate::page;
use crate::shell::Shell;
use crate::steps;
use crate::tools::Toolbox;
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The tools that counting instructions takes.
pub const COUNTING_TOOLS: &[&str] = &["valgrind", "gungraun-runner"];

/// The tools that measuring the page takes, besides those that make it.
const PAGE_TOOLS: &[&str] = &["chromium", "browser-packages"];

const DOCUMENT: &str = "tests/BENCHMARKS.md";

/// The counts that a check compares with.
const KEPT: &str = "tests/benchmarks/instructions.json";

/// How far a count may rise above the kept one, as a share of it.
///
/// The same program gives the same count to the instruction, and [`PLAIN_PROCESSOR`] takes away what
/// depends on the processor. Another version of the C library has another `pow`, and a change
/// elsewhere may tip what is inlined: a per cent or two. Five leave room for that, and a slip by less
/// nobody would notice.
const MAY_RISE: f64 = 0.05;

/// Makes the C library take the `exp`, `pow` and copying that every x86-64 processor has. Left to
/// choose, it takes others where there are fused multiply-add and wide registers, and a whole match
/// is 8 % fewer instructions. The names differ between versions; those unknown are passed over.
const PLAIN_PROCESSOR: &str = "GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2,-FMA,-FMA4,-ERMS,-AVX512VL,\
                               -AVX2_Usable,-FMA_Usable,-FMA4_Usable,-AVX512VL_Usable";

/// Where counts mean the same as the kept ones.
pub const COUNTS_HERE: bool = cfg!(all(target_os = "linux", target_arch = "x86_64"));

/// What is counted: its name in `core/benches/instructions.rs`, in the table, and how many times
/// it is done in one go. The whole match at several numbers of speeds has a table of its own.
const COUNTED: &[(&str, &str, u64)] = &[
    ("map_readings.ten_by_ten", "compressor map reading", 100),
    ("gas_enthalpies.a_hundred", "gas enthalpy", 100),
    (
        "gas_temperatures_from_enthalpy.a_hundred",
        "gas temperature from enthalpy",
        100,
    ),
    (
        "one_engine_speed.building",
        "one engine speed, boost building",
        1,
    ),
    (
        "one_engine_speed.held_by_gate",
        "one engine speed, held by the gate",
        1,
    ),
    (
        "plant_from_build.example",
        "making a build ready (plant)",
        1,
    ),
    ("build_from_file.example", "reading a build file", 1),
    (WHOLE_MATCH, "whole match, 120 speeds", 1),
];

/// The whole match as the page asks for it.
const WHOLE_MATCH: &str = "whole_match.speeds_120";

/// What is timed natively: criterion's name, its name in the table, and the budget in nanoseconds.
const TIMED: &[(&str, &str, Option<f64>)] = &[
    ("map reading", "compressor map reading", Some(300.0)),
    (
        "map lookup",
        "the same with efficiency and margins",
        Some(300.0),
    ),
    ("gas enthalpy", "gas enthalpy", None),
    (
        "gas temperature from enthalpy",
        "gas temperature from enthalpy",
        None,
    ),
    (
        "one speed/building",
        "one engine speed, boost building",
        None,
    ),
    (
        "one speed/held by the gate",
        "one engine speed, held by the gate",
        None,
    ),
    ("plant from build", "making a build ready (plant)", None),
    ("build from file", "reading a build file", None),
    ("whole match/120", "whole match, 120 speeds", Some(1e6)),
    ("map fit/islands", "fitting a map traced with islands", None),
    (
        "map fit/efficiencies at points",
        "fitting a map with efficiencies at its points",
        None,
    ),
];

/// What to measure.
#[derive(Default)]
pub struct Options {
    /// Measures one part only: `instructions`, `native` or `page`.
    pub only: Option<String>,
    /// Compares the instructions with the kept ones and writes nothing.
    pub check: bool,
}

/// Measures, and writes the figures into the document; with `check`, compares instead.
///
/// # Errors
/// When a tool is missing, something does not build or run, or a count has risen too far.
pub fn bench(shell: &Shell, options: &Options) -> Result<()> {
    if !COUNTS_HERE {
        bail!("benchmarks are kept for Linux on x86-64, where Valgrind counts instructions");
    }
    if options.check {
        if options.only.as_deref().unwrap_or("instructions") != "instructions" {
            bail!("--check compares instructions; times are too noisy to be checked");
        }
        return check(shell, &Toolbox::ready(shell, COUNTING_TOOLS)?);
    }
    let parts = ["instructions", "native", "page"];
    if let Some(only) = &options.only
        && !parts.contains(&only.as_str())
    {
        bail!(
            "there is no part \"{only}\"; the parts are {}",
            parts.join(", ")
        );
    }
    let wanted = |part: &str| options.only.as_deref().is_none_or(|only| only == part);
    if wanted("instructions") {
        instructions(shell, &Toolbox::ready(shell, COUNTING_TOOLS)?)?;
    }
    if wanted("native") {
        native(shell)?;
    }
    if wanted("page") {
        let names = [page::TOOLS, PAGE_TOOLS].concat();
        in_the_page(shell, &Toolbox::ready(shell, &names)?)?;
    }
    println!("The figures are in {DOCUMENT}.");
    Ok(())
}

/// Counts instructions and fails where one has risen by more than [`MAY_RISE`].
///
/// # Errors
/// As said, and when the list of what is counted is not that of the kept file.
pub fn check(shell: &Shell, toolbox: &Toolbox) -> Result<()> {
    let text = fs::read_to_string(shell.root.join(KEPT))
        .with_context(|| format!("{KEPT} cannot be read"))?;
    let kept: Value = serde_json::from_str(&text).with_context(|| format!("{KEPT} is not JSON"))?;
    let counts: BTreeMap<String, u64> = serde_json::from_value(kept["instructions"].clone())
        .with_context(|| format!("{KEPT} has no list of instructions"))?;
    let found = count(shell, toolbox)?;
    let (lines, problems) = compare(&counts, &found);
    for line in lines {
        println!("{line}");
    }
    let (then, now) = (&kept["rustc"], rustc(shell)?);
    if *then != json!(now) {
        println!("The kept counts are those of {then}; this is {now}.");
    }
    if problems.is_empty() {
        return Ok(());
    }
    bail!(
        "{}\nIf this is meant: `cargo xtask bench --only instructions`, and say why in the commit",
        problems.join("\n")
    )
}

/// A line for each count, and what is wrong.
fn compare(
    kept: &BTreeMap<String, u64>,
    found: &BTreeMap<String, u64>,
) -> (Vec<String>, Vec<String>) {
    let (mut lines, mut problems) = (Vec::new(), Vec::new());
    for (name, now) in found {
        let Some(then) = kept.get(name) else {
            problems.push(format!("{name} is counted and not kept in {KEPT}"));
            continue;
        };
        let change = *now as f64 / *then as f64 - 1.0;
        lines.push(format!(
            "{:>14} {:>+7.2} %  {name}",
            grouped(*now),
            change * 100.0
        ));
        if *now as f64 > *then as f64 * (1.0 + MAY_RISE) {
            problems.push(format!(
                "{name} takes {} instructions, {:.1} % more than the {} that are kept",
                grouped(*now),
                change * 100.0,
                grouped(*then)
            ));
        } else if change < -MAY_RISE {
            lines.push(format!(
                "{:>25} keep the gain: cargo xtask bench --only instructions",
                ""
            ));
        }
    }
    for name in kept.keys().filter(|name| !found.contains_key(*name)) {
        problems.push(format!("{name} is kept in {KEPT} and no longer counted"));
    }
    (lines, problems)
}

/// Counts the instructions of each benchmark of `core/benches/instructions.rs`.
fn count(shell: &Shell, toolbox: &Toolbox) -> Result<BTreeMap<String, u64>> {
    let home = target_folder(shell)?.join("gungraun");
    clear(&home)?;
    let mut command = optimised(shell);
    toolbox.equip(&mut command);
    command
        .args(["bench", "--locked", "-p", "airpath"])
        .args(["--bench", "instructions", "--"])
        .args(["--save-summary=json", "--nosummary=true"])
        .arg(format!("--envs={PLAIN_PROCESSOR}"))
        .arg(format!("--home={}", home.display()));
    shell.run(&mut command)?;
    let mut counts = BTreeMap::new();
    for file in files_named("summary.json", &home)? {
        let summary = read_json(&file)?;
        let profile = summary["profiles"]
            .as_array()
            .into_iter()
            .flatten()
            .find(|profile| profile["tool"] == "Callgrind");
        let count = profile
            .and_then(|p| p["data"]["total"]["metrics"]["Ir"]["values"]["new"].as_u64())
            .with_context(|| format!("{} has no count of instructions", file.display()))?;
        let part = |name: &str| summary[name].as_str().unwrap_or_default().to_owned();
        counts.insert(format!("{}.{}", part("function_name"), part("id")), count);
    }
    if counts.is_empty() {
        bail!("nothing was counted");
    }
    Ok(counts)
}

/// Counts, keeps the counts, and writes their tables.
fn instructions(shell: &Shell, toolbox: &Toolbox) -> Result<()> {
    let counts = count(shell, toolbox)?;
    let whole = counts.get(WHOLE_MATCH).copied();
    let whole = whole.with_context(|| format!("{WHOLE_MATCH} was not counted"))?;
    let kept = json!({ "rustc": rustc(shell)?, "instructions": counts });
    let file = shell.root.join(KEPT);
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder)?;
    }
    fs::write(&file, format!("{}\n", serde_json::to_string_pretty(&kept)?))
        .with_context(|| format!("{KEPT} cannot be written"))?;

    let mut text = measured_on(shell, &toolbox_version(toolbox)?)?;
    text.push_str("| what | instructions | of the whole match |\n| --- | ---: | ---: |\n");
    for (name, label, times) in COUNTED {
        let count = counts
            .get(*name)
            .with_context(|| format!("{name} was not counted"))?;
        let each = *count as f64 / *times as f64;
        text.push_str(&format!(
            "| {label} | {} | {} |\n",
            grouped(each.round() as u64),
            share(each / whole as f64)
        ));
    }
    write_between(shell, "instructions", &text)?;

    let points: Vec<(f64, f64)> = counts
        .iter()
        .filter_map(|(name, count)| {
            let speeds = name.strip_prefix("whole_match.speeds_")?.parse().ok()?;
            Some((speeds, *count as f64))
        })
        .collect();
    let table = growth(
        points,
        "instructions",
        |count| grouped(count.round() as u64),
    )?;
    write_between(shell, "growth in instructions", &table)
}

/// Runs the criterion benchmarks and writes their tables.
fn native(shell: &Shell) -> Result<()> {
    let home = target_folder(shell)?.join("criterion");
    clear(&home)?;
    let benches = [
        "bench", "--locked", "-p", "airpath", "--bench", "solving", "--bench", "map_fit",
    ];
    let mut build = optimised(shell);
    build.args(benches);
    build.arg("--no-run");
    shell.run(&mut build)?;
    let mut text = measured_on(shell, "criterion")?;
    let mut command = optimised(shell);
    command.args(benches);
    command.env("CRITERION_HOME", &home);
    shell.run(&mut command)?;

    let mut times = BTreeMap::new();
    for file in files_named("estimates.json", &home)? {
        let Some(folder) = file.parent().filter(|folder| folder.ends_with("new")) else {
            continue;
        };
        let name = read_json(&folder.join("benchmark.json"))?["full_id"]
            .as_str()
            .map(str::to_owned)
            .with_context(|| format!("{} has no name", folder.display()))?;
        let median = read_json(&file)?["median"].clone();
        let number = |value: &Value| {
            value
                .as_f64()
                .with_context(|| format!("{name} has no median"))
        };
        let bounds = &median["confidence_interval"];
        let times_of = (
            number(&median["point_estimate"])?,
            number(&bounds["lower_bound"])?,
            number(&bounds["upper_bound"])?,
        );
        times.insert(name.clone(), times_of);
    }
    let time = |name: &str| {
        times
            .get(name)
            .copied()
            .with_context(|| format!("\"{name}\" was not timed"))
    };
    let whole = time("whole match/120")?.0;
    text.push_str(
        "| what | median | 95 % interval | of the whole match | budget |\n\
         | --- | ---: | ---: | ---: | ---: |\n",
    );
    for (name, label, budget) in TIMED {
        let (median, low, high) = time(name)?;
        let budget = budget.map_or_else(String::new, |budget| {
            let word = if median <= budget { "kept" } else { "missed" };
            format!("{}: {word}", duration(budget))
        });
        text.push_str(&format!(
            "| {label} | {} | {} to {} | {} | {budget} |\n",
            duration(median),
            duration(low),
            duration(high),
            share(median / whole)
        ));
    }
    write_between(shell, "native", &text)?;

    let points: Vec<(f64, f64)> = times
        .iter()
        .filter_map(|(name, (median, ..))| {
            let speeds = name.strip_prefix("whole match/")?.parse().ok()?;
            Some((speeds, *median))
        })
        .collect();
    write_between(shell, "growth in time", &growth(points, "time", duration)?)
}

/// Builds the page and the native program, lets them take turns in Chromium and here, and writes
/// the tables.
fn in_the_page(shell: &Shell, toolbox: &Toolbox) -> Result<()> {
    page::build(shell, toolbox)?;
    let mut build = optimised(shell);
    build.args(["build", "--locked", "--release", "-p", "airpath"]);
    shell.run(build.args(["--example", "pace"]))?;
    let target = target_folder(shell)?;
    let program = target.join("release").join("examples").join("pace");
    let results = target.join("bench-page.json");
    let head = measured_on(shell, "")?;
    let mut command = shell.command(toolbox.program("node"));
    toolbox.equip(&mut command);
    command.arg("tests/browser/bench.mjs");
    shell.run(command.arg(&program).arg(&results))?;
    let found = read_json(&results)?;
    write_between(shell, "page", &page_text(&head, &found)?)
}

/// The tables of the page's figures, from what `tests/browser/bench.mjs` wrote.
fn page_text(head: &str, found: &Value) -> Result<String> {
    let number = |value: &Value| value.as_f64().context("a figure of the page is missing");
    let slower = number(&found["slower"])?;
    let desktop = &found["desktop"];
    let mut text = head.replacen(
        ".\n",
        &format!(
            "; Chromium {}.\n",
            found["chromium"].as_str().unwrap_or_default()
        ),
        1,
    );
    text.push_str(&format!(
        "| the same {} speeds, in turns | median | least | p95 | n |\n| --- | ---: | ---: | ---: | ---: |\n",
        number(&found["speeds"])?
    ));
    for (label, summary) in [
        ("native", &desktop["native"]),
        ("wasm, in the page", &desktop["page"]["solve"]),
    ] {
        text.push_str(&format!(
            "| {label} | {} | {} | {} | {} |\n",
            milliseconds(number(&summary["median"])?),
            milliseconds(number(&summary["least"])?),
            milliseconds(number(&summary["p95"])?),
            number(&summary["count"])?
        ));
    }
    text.push_str(&format!(
        "\nwasm over native: **{:.2}** (medians of all; by round from {:.2} to {:.2})\n",
        number(&desktop["ratio"])?,
        number(&desktop["ratios"]["least"])?,
        number(&desktop["ratios"]["most"])?
    ));

    text.push_str(&format!(
        "\n| one edit, median (p95) | desktop | desktop, {slower} times slower | phone, {slower} times slower |\n\
         | --- | ---: | ---: | ---: |\n"
    ));
    let both = |summary: &Value| -> Result<String> {
        Ok(format!(
            "{} ({})",
            milliseconds(number(&summary["median"])?),
            milliseconds(number(&summary["p95"])?)
        ))
    };
    for (name, label) in [
        ("solve", "`airpath: solve`"),
        ("draw", "`airpath: draw`"),
        ("input to paint", "`airpath: input to paint`"),
        ("key to drawn", "key received to end of drawing"),
        ("key to shown", "key received to frame handed on"),
    ] {
        text.push_str(&format!(
            "| {label} | {} | {} | {} |\n",
            both(&desktop["page"][name])?,
            both(&found["desktop slowed"][name])?,
            both(&found["phone slowed"][name])?
        ));
    }

    text.push_str("\n| once | median | least | most |\n| --- | ---: | ---: | ---: |\n");
    let once = |label: &str, summary: &Value| -> Result<String> {
        Ok(format!(
            "| {label} | {} | {} | {} |\n",
            milliseconds(number(&summary["median"])?),
            milliseconds(number(&summary["least"])?),
            milliseconds(number(&summary["most"])?)
        ))
    };
    for label in [
        "opened to first answer",
        "first solve",
        "first trace of the map",
    ] {
        text.push_str(&once(label, &found["loads"][label])?);
    }
    text.push_str(&once(
        "`airpath: trace map`, warm",
        &found["traces"]["trace map"],
    )?);

    let memory = &found["memory"];
    text.push_str(&format!(
        "\n| memory, MB | opened | after {} edits |\n| --- | ---: | ---: |\n",
        number(&memory["edits"])?
    ));
    for (label, name) in [
        ("wasm, all that it holds", "wasm"),
        ("script heap in use, after a collection", "script"),
    ] {
        text.push_str(&format!(
            "| {label} | {:.1} | {:.1} |\n",
            number(&memory["opened"][name])? / 1e6,
            number(&memory["later"][name])? / 1e6
        ));
    }
    Ok(text)
}

/// A table of the whole match over the number of speeds, and the straight line through it.
fn growth(
    mut points: Vec<(f64, f64)>,
    unit: &str,
    write: impl Fn(f64) -> String,
) -> Result<String> {
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let line = Line::through(&points)
        .with_context(|| format!("too few points for a line of {unit} over speeds"))?;
    let mut text =
        format!("| speeds | {unit} | for each | line |\n| ---: | ---: | ---: | ---: |\n");
    for (speeds, value) in &points {
        text.push_str(&format!(
            "| {speeds} | {} | {} | {:+.1} % |\n",
            write(*value),
            write(value / speeds),
            (line.at(*speeds) / value - 1.0) * 100.0
        ));
    }
    text.push_str(&format!(
        "\nLeast squares: {} for each speed and {} for the whole, R² = {:.4}.\n",
        write(line.slope),
        write(line.intercept),
        line.determination
    ));
    Ok(text)
}

/// A straight line.
struct Line {
    slope: f64,
    intercept: f64,
    /// R², the share of the variance that the line explains.
    determination: f64,
}

impl Line {
    /// The line of least squares; `None` for fewer than three points, or all at one place.
    fn through(points: &[(f64, f64)]) -> Option<Self> {
        let count = points.len() as f64;
        let mean = |pick: fn(&(f64, f64)) -> f64| points.iter().map(pick).sum::<f64>() / count;
        let (x, y) = (mean(|p| p.0), mean(|p| p.1));
        let sum = |term: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(term).sum::<f64>();
        let spread = sum(&|p| (p.0 - x).powi(2));
        let variance = sum(&|p| (p.1 - y).powi(2));
        if points.len() < 3 || spread == 0.0 || variance == 0.0 {
            return None;
        }
        let slope = sum(&|p| (p.0 - x) * (p.1 - y)) / spread;
        let intercept = y - slope * x;
        let left = sum(&|p| (p.1 - intercept - slope * p.0).powi(2));
        Some(Self {
            slope,
            intercept,
            determination: 1.0 - left / variance,
        })
    }

    fn at(&self, x: f64) -> f64 {
        self.intercept + self.slope * x
    }
}

/// Cargo for a release build as the page's core is compiled, with the names that Valgrind needs.
fn optimised(shell: &Shell) -> Command {
    let mut command = shell.cargo();
    command.env("CARGO_PROFILE_RELEASE_STRIP", "none");
    command
}

/// Cargo's folder for what it makes.
fn target_folder(shell: &Shell) -> Result<PathBuf> {
    steps::metadata(shell)?["target_directory"]
        .as_str()
        .map(PathBuf::from)
        .context("`cargo metadata` names no target folder")
}

/// A line on the machine, without its name.
fn measured_on(shell: &Shell, with: &str) -> Result<String> {
    let line = |file: &str| fs::read_to_string(file).with_context(|| format!("{file}: not read"));
    let processors = line("/proc/cpuinfo")?;
    let model = processors
        .lines()
        .find_map(|line| line.strip_prefix("model name")?.split_once(':'))
        .map_or("unknown processor", |(_, model)| model.trim());
    let cores = std::thread::available_parallelism()?;
    let load = line("/proc/loadavg")?;
    let load = load.split(' ').next().unwrap_or_default();
    let date = Command::new("date").args(["-u", "+%F"]).output()?;
    let date = String::from_utf8_lossy(&date.stdout);
    let with = if with.is_empty() {
        String::new()
    } else {
        format!("; {with}")
    };
    Ok(format!(
        "{}: {model}, {cores} cores, load {load} before; {}{with}.\n\n",
        date.trim(),
        rustc(shell)?
    ))
}

/// What the counts were made with.
fn toolbox_version(toolbox: &Toolbox) -> Result<String> {
    let program = PathBuf::from(toolbox.program("valgrind"));
    crate::shell::version_line(&program).context("valgrind does not run")
}

/// The compiler and its version: `rustc 1.95.0`.
fn rustc(shell: &Shell) -> Result<String> {
    let output = shell.command("rustc").arg("--version").output()?;
    let text = String::from_utf8_lossy(&output.stdout);
    Ok(text
        .split(' ')
        .take(2)
        .collect::<Vec<_>>()
        .join(" ")
        .trim()
        .to_owned())
}

fn clear(folder: &Path) -> Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(error).with_context(|| format!("{} cannot be removed", folder.display()))
        }
        _ => Ok(()),
    }
}

/// All files of a name in a folder, however deep.
fn files_named(name: &str, folder: &Path) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in
        fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))?
    {
        let path = entry?.path();
        if path.is_dir() {
            files.extend(files_named(name, &path)?);
        } else if path.ends_with(name) {
            files.push(path);
        }
    }
    Ok(files)
}

fn read_json(file: &Path) -> Result<Value> {
    let text =
        fs::read_to_string(file).with_context(|| format!("{} cannot be read", file.display()))?;
    serde_json::from_str(&text).with_context(|| format!("{} is not JSON", file.display()))
}

/// Puts the text between the markers of the name in the document.
fn write_between(shell: &Shell, name: &str, text: &str) -> Result<()> {
    let file = shell.root.join(DOCUMENT);
    let before = fs::read_to_string(&file).with_context(|| format!("{DOCUMENT} cannot be read"))?;
    let after = between(&before, name, text)
        .with_context(|| format!("{DOCUMENT} has no place for \"{name}\""))?;
    fs::write(&file, after).with_context(|| format!("{DOCUMENT} cannot be written"))
}

/// The document with the text between `<!-- written: NAME -->` and the next `<!-- end -->`.
fn between(document: &str, name: &str, text: &str) -> Option<String> {
    let opening = format!("<!-- written: {name} -->\n");
    let from = document.find(&opening)? + opening.len();
    let to = from + document[from..].find("<!-- end -->")?;
    Some(format!(
        "{}{}\n{}",
        &document[..from],
        text.trim_end(),
        &document[to..]
    ))
}

/// A count with its digits in threes: 1,234,567.
fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut text = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// Nanoseconds in the unit that suits them.
fn duration(nanoseconds: f64) -> String {
    match nanoseconds {
        few if few < 1e3 => format!("{few:.0} ns"),
        more if more < 1e6 => format!("{:.1} µs", more * 1e-3),
        many => format!("{:.2} ms", many * 1e-6),
    }
}

fn milliseconds(value: f64) -> String {
    if value < 100.0 {
        format!("{value:.1} ms")
    } else {
        format!("{value:.0} ms")
    }
}

fn share(value: f64) -> String {
    if value < 1e-3 {
        format!("{:.4} %", value * 100.0)
    } else {
        format!("{:.1} %", value * 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::{Line, between, compare, duration, grouped};
    use std::collections::BTreeMap;

    fn counts(list: &[(&str, u64)]) -> BTreeMap<String, u64> {
        let named = list
            .iter()
            .map(|(name, count)| ((*name).to_owned(), *count));
        named.collect()
    }

    #[test]
    fn a_count_may_rise_by_a_twentieth() {
        let kept = counts(&[("a", 1000), ("b", 1000), ("c", 1000)]);
        let found = counts(&[("a", 1050), ("b", 900), ("c", 1051)]);
        let (lines, problems) = compare(&kept, &found);
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert!(problems[0].starts_with("c takes 1,051 instructions, 5.1 % more"));
        assert!(lines.iter().any(|line| line.contains("keep the gain")));
    }

    #[test]
    fn kept_and_counted_are_the_same_list() {
        let (_, problems) = compare(&counts(&[("old", 1)]), &counts(&[("new", 1)]));
        assert_eq!(problems.len(), 2, "{problems:?}");
    }

    #[test]
    fn a_line_goes_through_points_on_it() {
        let line = Line::through(&[(1.0, 5.0), (2.0, 7.0), (4.0, 11.0)]).expect("three points");
        assert!((line.slope - 2.0).abs() < 1e-12 && (line.intercept - 3.0).abs() < 1e-12);
        assert!((line.determination - 1.0).abs() < 1e-12);
        assert!(Line::through(&[(1.0, 5.0), (1.0, 6.0), (1.0, 7.0)]).is_none());
    }

    #[test]
    fn a_bent_row_of_points_is_not_called_straight() {
        // y = x² at 0, 1, 2, 3: slope 3, intercept -1, residuals 1, -1, -1, 1, variance 49 in all.
        let line = Line::through(&[(0.0, 0.0), (1.0, 1.0), (2.0, 4.0), (3.0, 9.0)]).expect("four");
        assert!((line.determination - 45.0 / 49.0).abs() < 1e-12);
    }

    #[test]
    fn only_what_is_between_the_markers_changes() {
        let document = "# A\n<!-- written: x -->\nold\n<!-- end -->\nB\n";
        assert_eq!(
            between(document, "x", "new\n\n").as_deref(),
            Some("# A\n<!-- written: x -->\nnew\n<!-- end -->\nB\n")
        );
        assert_eq!(between(document, "y", "new"), None);
    }

    #[test]
    fn numbers_are_written_to_be_read() {
        assert_eq!(grouped(7), "7");
        assert_eq!(grouped(1_234_567), "1,234,567");
        assert_eq!(duration(212.4), "212 ns");
        assert_eq!(duration(1_250_000.0), "1.25 ms");
    }
}
