//! How long one solve takes here, for comparison with the browser's: reads edits of the worked
//! example from standard input and answers each with the time, so that both can take turns.
//!
//! A line is the number of engine speeds, then fields, all between tabs:
//! `120<tab>redline=6950 rev/min<tab>boost_target=1.13 bar`. The answer is a line with the
//! milliseconds of the solve and the most power found in kW. `cargo xtask bench` runs it.

use airpath::build::Build;
use airpath::fields::Field;
use std::io::{BufRead, Write};
use std::process::ExitCode;
use std::time::Instant;

fn edited(build: &Build, edit: &str) -> Result<Build, String> {
    let (id, text) = edit
        .split_once('=')
        .ok_or_else(|| format!("{edit}: write FIELD=VALUE"))?;
    let field = Field::by_id(id).ok_or_else(|| format!("there is no field {id}"))?;
    build
        .with_text(field, text, build.unit(field))
        .map_err(|error| error.to_string())
}

fn answer(example: &Build, line: &str) -> Result<String, String> {
    let mut parts = line.split('\t');
    let speeds = parts.next().unwrap_or_default();
    let speeds: usize = speeds
        .parse()
        .map_err(|_| format!("{speeds} is no number of engine speeds"))?;
    let build = parts.try_fold(example.clone(), |build, edit| edited(&build, edit))?;
    let began = Instant::now();
    let found = airpath::solve_at(&build, speeds);
    let took = began.elapsed().as_secs_f64() * 1e3;
    let found = found.map_err(|error| error.to_string())?;
    if !found.unsolved.is_empty() {
        return Err(format!("{} speeds did not settle", found.unsolved.len()));
    }
    let power = found.speeds[found.most_power].power_w * 1e-3;
    Ok(format!("{took} {power}"))
}

fn run() -> Result<(), String> {
    let example = airpath::example_build().ok_or("the example is broken")?;
    let mut output = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let line = line.map_err(|error| error.to_string())?;
        let answer = answer(&example, &line)?;
        writeln!(output, "{answer}").map_err(|error| error.to_string())?;
        output.flush().map_err(|error| error.to_string())?;
    }
    Ok(())
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}
