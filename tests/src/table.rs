//! The table in `README.md`: every result, the checks behind it, and the largest deviation found.

use crate::measured::{self, Errors, MapErrors, USUAL_EXPANSION};
use crate::{Run, kinds};
use std::collections::BTreeSet;
use std::fmt::Write;

/// Where the generated part of `README.md` begins.
pub const BEGIN: &str = "<!-- generated: cargo run -p airpath-tests --example readme -->";
/// Where it ends.
pub const END: &str = "<!-- end of the generated part -->";

/// `README.md` with its generated part made anew.
///
/// # Errors
/// The marks are missing, or the measurements cannot be read.
pub fn renew(readme: &str, run: &Run) -> Result<String, String> {
    let (before, rest) = readme
        .split_once(BEGIN)
        .ok_or("the mark of the generated part's begin is missing")?;
    let (_, after) = rest
        .split_once(END)
        .ok_or("the mark of the generated part's end is missing")?;
    Ok(format!(
        "{before}{BEGIN}\n\n{}\n{END}{after}",
        generated(run)?
    ))
}

fn generated(run: &Run) -> Result<String, String> {
    let mut text = String::new();
    results(&mut text, run);
    disagreements(&mut text, run);
    maps(&mut text)?;
    estimate(&mut text)?;
    turbine(&mut text)?;
    sources(&mut text, run);
    Ok(text)
}

/// A share as a percentage of two digits.
fn percent(share: f64) -> String {
    let value = 100.0 * share;
    if value < 1e-4 {
        return "< 0.0001 %".to_owned();
    }
    let decimals = (1.0 - value.log10().floor()).clamp(0.0, 4.0) as usize;
    format!("{value:.decimals$} %")
}

fn results(text: &mut String, run: &Run) {
    let mut order: Vec<&str> = Vec::new();
    for kind in kinds::KINDS.iter().copied().flatten() {
        if !order.contains(&kind.result) {
            order.push(kind.result);
        }
    }
    let numbers = source_numbers(run);
    let _ = writeln!(text, "## Results and the checks behind them\n");
    let _ = writeln!(
        text,
        "{} rows. The largest deviation is that of core from source as a share of the source's value, and beside it \
         as a share of the row's own tolerance. Rows that are marked as disagreeing are left out of both and listed below.\n",
        run.outcomes.len()
    );
    let _ = writeln!(
        text,
        "| Result | Rows | Checks (file: kind) | Sources | Largest deviation | Of the tolerance |"
    );
    let _ = writeln!(text, "| --- | ---: | --- | --- | ---: | ---: |");
    for result in order {
        let of_result = |kind: &str| kinds::find(kind).is_some_and(|kind| kind.result == result);
        let mut checks: Vec<(&str, Vec<&str>)> = Vec::new();
        let mut cited = BTreeSet::new();
        let (mut rows, mut relative, mut share) = (0, 0.0f64, 0.0f64);
        for outcome in run
            .outcomes
            .iter()
            .filter(|outcome| of_result(&outcome.row.kind))
        {
            rows += 1;
            let kind = outcome.row.kind.as_str();
            match checks.iter_mut().find(|(file, _)| *file == outcome.file) {
                Some((_, kinds)) if !kinds.contains(&kind) => kinds.push(kind),
                Some(_) => {}
                None => checks.push((outcome.file, vec![kind])),
            }
            cited.extend(
                numbers
                    .iter()
                    .position(|key| *key == (outcome.file, outcome.row.source.as_str()))
                    .map(|n| n + 1),
            );
            if outcome.row.disagrees.is_none() {
                relative = relative.max(outcome.relative.unwrap_or(0.0));
                share = share.max(outcome.share);
            }
        }
        let checks: Vec<String> = checks
            .iter()
            .map(|(file, kinds)| format!("`{file}`: {}", kinds.join(", ")))
            .collect();
        let cited: Vec<String> = cited.iter().map(usize::to_string).collect();
        let _ = writeln!(
            text,
            "| {result} | {rows} | {} | {} | {} | {} |",
            checks.join("; "),
            cited.join(", "),
            percent(relative),
            percent(share)
        );
    }
}

fn disagreements(text: &mut String, run: &Run) {
    let _ = writeln!(text, "\n## Rows that disagree, and why\n");
    let _ = writeln!(
        text,
        "| Row | Kind | Core | Source | Deviation | Why |\n| --- | --- | ---: | ---: | ---: | --- |"
    );
    for outcome in &run.outcomes {
        if let Some(why) = &outcome.row.disagrees {
            let _ = writeln!(
                text,
                "| {} | {} | {:.4e} | {:.4e} | {} | {why} |",
                outcome.row.id,
                outcome.row.kind,
                outcome.value,
                outcome.expected,
                percent(outcome.relative.unwrap_or(0.0))
            );
        }
    }
    let _ = writeln!(text, "\nValues are in SI units.");
}

fn error_row(text: &mut String, what: &str, errors: &Errors) {
    if errors.count == 0 {
        return;
    }
    let unanswered = if errors.unanswered > 0 {
        format!(", {} without an answer", errors.unanswered)
    } else {
        String::new()
    };
    let _ = writeln!(
        text,
        "| {what} | {}{unanswered} | {:+.2} % | {:.2} % | {:.2} % |",
        errors.count,
        100.0 * errors.mean(),
        100.0 * errors.root_mean_square(),
        100.0 * errors.largest
    );
}

fn error_head(text: &mut String) {
    let _ = writeln!(
        text,
        "| Error | Points | Mean | Root mean square | Largest |\n| --- | ---: | ---: | ---: | ---: |"
    );
}

fn map_rows(text: &mut String, prefix: &str, errors: &MapErrors) {
    error_row(text, &format!("{prefix}: speed"), &errors.speed);
    error_row(
        text,
        &format!("{prefix}: pressure ratio"),
        &errors.pressure_ratio,
    );
    error_row(
        text,
        &format!("{prefix}: flow where it chokes"),
        &errors.choking_flow,
    );
    error_row(
        text,
        &format!("{prefix}: efficiency, in points"),
        &errors.efficiency,
    );
    error_row(text, &format!("{prefix}: power"), &errors.power);
    error_row(
        text,
        &format!("{prefix}: outlet temperature"),
        &errors.outlet_temperature,
    );
}

fn maps(text: &mut String) -> Result<(), String> {
    let _ = writeln!(text, "\n## Compressor maps against measurements\n");
    let _ = writeln!(
        text,
        "Speed lines of three measured compressors (`rows/measured`). One line after the other is left out, and its \
         points are read from a map of the others: between lines where there is one on both sides, beyond where it \
         was the slowest or the fastest."
    );
    for report in measured::compressors()? {
        let _ = writeln!(text, "\n### {}\n", report.name);
        if report.refused > 0 {
            let _ = writeln!(
                text,
                "The core refuses the whole table, though no measured lines cross: {} point(s) at the end of a line had \
                 to go before it took the map.\n",
                report.refused
            );
        }
        error_head(text);
        map_rows(text, "own points", &report.own_points);
        map_rows(text, "between lines", &report.between_lines);
        map_rows(text, "beyond the slowest line", &report.beyond_lines[0]);
        map_rows(text, "beyond the fastest line", &report.beyond_lines[1]);
    }
    Ok(())
}

fn estimate(text: &mut String) -> Result<(), String> {
    let _ = writeln!(
        text,
        "\n## A map estimated from wheel sizes against the measured wheels\n"
    );
    let _ = writeln!(
        text,
        "The inducer's throat is the usual 0.59 of the annulus, for it is not published. With the outlet's width given \
         the estimate knows the flow coefficient there; without, it takes that of a wheel for cars. The sizes of the \
         radial impeller are from memory.\n\n\
         Beyond 88 mm the best efficiency grows with Reynolds number, (1 − η) as its power −0.1. What then stays: the \
         radial impeller was measured without a volute, and its lines' ends are neither its choke nor its surge. The \
         vaned stage's slow lines choke in the diffuser: without the outlet's width the work on the gas before it is not known."
    );
    for report in measured::estimate_from_sizes()? {
        let _ = writeln!(text, "\n**{}**\n", report.name);
        error_head(text);
        for (what, errors) in [
            (
                "choking flow, tip-speed Mach number from 1.4",
                &report.choke_fast,
            ),
            ("choking flow, slower", &report.choke_slow),
            ("flow at surge, vaneless diffuser", &report.surge_flow),
            ("work at equal speed and flow", &report.work),
            (
                "best efficiency of a line, in points",
                &report.best_efficiency,
            ),
        ] {
            if errors.count > 0 {
                error_row(text, what, errors);
            }
        }
    }
    Ok(())
}

fn turbine(text: &mut String) -> Result<(), String> {
    let report = measured::turbine()?;
    let _ = writeln!(text, "\n## The turbine's laws against measurements\n");
    let _ = writeln!(
        text,
        "A measured axial turbine (`rows/measured/axial_turbine.json`). Constants are found on every other point, \
         errors are those of the rest. A single-stage axial turbine with choked blades is hard on these laws: a \
         radial one swallows more gradually.\n"
    );
    error_head(text);
    let fit = |fit: &measured::FlowFit| {
        format!(
            "flow, k = {:.2}, W = {:.3}×10⁻⁵ kg√K/(s Pa)",
            fit.exponent,
            fit.swallowing * 1e5
        )
    };
    error_row(
        text,
        &fit(&report.default_exponent),
        &report.default_exponent.errors,
    );
    error_row(
        text,
        &format!("{}, k fitted", fit(&report.free_exponent)),
        &report.free_exponent.errors,
    );
    let usual = format!("expansion up to {USUAL_EXPANSION}");
    error_row(
        text,
        &format!("{}, {usual}", fit(&report.usual[0])),
        &report.usual[0].errors,
    );
    error_row(
        text,
        &format!("{}, k fitted, {usual}", fit(&report.usual[1])),
        &report.usual[1].errors,
    );
    error_row(
        text,
        &format!(
            "flow by a housing's points, k = {:.2}, {usual}",
            report.housing.exponent
        ),
        &report.housing_errors,
    );
    let best = format!("best {:.3} at U/C0 {:.3}", report.best.0, report.best.1);
    error_row(
        text,
        &format!("efficiency in points, {best}"),
        &report.efficiency,
    );
    error_row(
        text,
        &format!("efficiency in points, {best}, from 70 % speed up"),
        &report.efficiency_at_speed,
    );
    error_row(
        text,
        "the table's own torque × speed against its efficiency, in points",
        &report.own_figures,
    );
    Ok(())
}

fn source_numbers(run: &Run) -> Vec<(&'static str, &str)> {
    run.sources
        .keys()
        .map(|(file, key)| (*file, key.as_str()))
        .collect()
}

fn sources(text: &mut String, run: &Run) {
    let _ = writeln!(text, "\n## Sources\n");
    for (number, ((file, _), citation)) in run.sources.iter().enumerate() {
        let _ = writeln!(text, "{}. {citation} (`{file}`)", number + 1);
    }
}
