//! How long a candidate takes to be looked at: `cargo bench -p airpath-tests --bench shortlist`.
//!
//! The whole shelf is gone through again and again, so that easy and hard candidates count alike; beside
//! it one full match of the same candidates. Report ratios within one run; machines are noisy.
#![allow(missing_docs)]

use airpath::build::{Build, BuildFile, whole_shelf};
use airpath::desk::shortlist::{Screen, Wishes};
use airpath::desk::sizing::{Asked, Sizing};
use airpath::{example_build, solve};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::sync::Arc;

fn kept(name: &str) -> Build {
    let path = format!("{}/builds/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a build that is kept");
    let file = BuildFile::from_json(&text).expect("a build file");
    file.into_build().expect("a sound build")
}

fn shortlist(c: &mut Criterion) {
    let shelf: Vec<_> = whole_shelf().into_iter().map(Arc::new).collect();
    for (name, build) in [
        (
            "the example",
            example_build().expect("the example is sound"),
        ),
        ("a power asked", kept("25-power-asked")),
    ] {
        let screen = Screen::new(&build, Wishes::default()).expect("sound");
        let all = screen.candidates(&shelf);
        let count = all.len();
        let mut group = c.benchmark_group(name);
        group.sample_size(10);
        group.bench_function(format!("{count} candidates looked at"), |b| {
            b.iter(|| screen.looks(black_box(&all)));
        });
        // A sixth of them, spread over the shelf: a full match for each.
        let builds: Vec<Build> = all
            .iter()
            .step_by(6)
            .map(|candidate| candidate.on(&build).expect("sound"))
            .collect();
        group.bench_function(
            format!("{} candidates matched in full", builds.len()),
            |b| {
                b.iter(|| -> Vec<_> { builds.iter().map(solve).collect() });
            },
        );
        let looks = screen.looks(&all);
        group.bench_function(format!("{count} candidates ranked"), |b| {
            b.iter(|| screen.rank(black_box(&looks)));
        });
        group.bench_function("sizes from the demand", |b| {
            b.iter(|| Sizing::new(black_box(&build), &Asked::default()));
        });
        group.finish();
    }
}

criterion_group!(benches, shortlist);
criterion_main!(benches);
