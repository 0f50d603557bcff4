//! How long the hardest builds take: `cargo bench -p airpath-tests --bench hard_builds`.
//!
//! Of a million random builds, those that took most turbocharger states; absurd cars, every one.
//! They are the bound on how long a page can be kept waiting. The worked example stands beside them.
#![allow(missing_docs)]

use airpath::build::BuildFile;
use airpath::{example_build, solve_at};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use std::fs;
use std::hint::black_box;
use std::path::Path;
use std::time::Duration;

/// As many engine speeds as the random builds are solved at.
const SPEEDS: usize = 5;

fn hard_builds(c: &mut Criterion) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("builds/hard");
    let mut builds = vec![(
        "worked example".to_owned(),
        example_build().expect("the example is sound"),
    )];
    let mut paths: Vec<_> = fs::read_dir(folder)
        .expect("a folder of hard builds")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    for path in paths {
        let text = fs::read_to_string(&path).expect("text");
        let build = BuildFile::from_json(&text)
            .and_then(BuildFile::into_build)
            .expect("a sound build");
        let name = path.file_stem().expect("a name").to_string_lossy();
        builds.push((name.into_owned(), build));
    }
    let mut group = c.benchmark_group("hard builds");
    group
        .sample_size(10)
        .measurement_time(Duration::from_secs(10));
    for (name, build) in &builds {
        group.bench_with_input(BenchmarkId::from_parameter(name), build, |b, build| {
            b.iter(|| solve_at(black_box(build), SPEEDS));
        });
    }
    group.finish();
}

criterion_group!(benches, hard_builds);
criterion_main!(benches);
