//! What a worker does of a study, and how it is asked.

use airpath::build::{Build, BuildFile, on_shelf};
use airpath::response::{Detail, Response, reference_speed};
use airpath::spread::{SampleResult, Study, write_samples};

/// Samples told at once.
const PIECE: u32 = 20;

/// Asks for the samples from `from` up to `to`.
pub fn job(build: &Build, seed: u32, from: u32, to: u32) -> String {
    format!(
        "{seed} {from} {to}\n{}",
        BuildFile::from_build(build).to_json()
    )
}

/// One sample with its time to boost at the reference speed.
pub fn sample(study: &Study, number: u32) -> SampleResult {
    let speed = reference_speed(study.build());
    study.sample_timed(number, |build, plant| {
        let mut response = Response::with_plant(build, plant.clone(), None);
        let spool = response.time_to_boost(speed, Detail::Time).ok()?;
        spool.reach.time()
    })
}

/// The study of a build, its middle timed.
///
/// # Errors
/// What is wrong with the build.
pub fn study(build: &Build, seed: u32) -> Result<Study, String> {
    let study = Study::new(build, seed).map_err(|error| error.to_string())?;
    let middle = Response::new(build)
        .and_then(|mut response| response.time_to_boost(reference_speed(build), Detail::Time))
        .ok()
        .and_then(|spool| spool.reach.time());
    Ok(study.with_middle_time(middle))
}

/// Does a job; tells the samples piece by piece.
///
/// # Errors
/// What is wrong with the job or its build.
pub fn work(job: &str, tell: &dyn Fn(&str)) -> Result<(), String> {
    let (head, file) = job.split_once('\n').ok_or("no job")?;
    let numbers: Vec<u32> = head.split(' ').filter_map(|n| n.parse().ok()).collect();
    let &[seed, from, to] = numbers.as_slice() else {
        return Err("no job".to_owned());
    };
    let build = BuildFile::from_json(file)
        .and_then(|file| file.into_build_from(on_shelf))
        .map_err(|error| error.to_string())?;
    let study = Study::new(&build, seed).map_err(|error| error.to_string())?;
    let mut number = from;
    while number < to {
        let end = (number + PIECE).min(to);
        let samples: Vec<SampleResult> = (number..end).map(|n| sample(&study, n)).collect();
        tell(&write_samples(&samples));
        number = end;
    }
    Ok(())
}
