//! How long it takes to say how quickly boost comes: `cargo bench -p airpath --bench response`.
//!
//! One time to boost (with and without its trace), a curve over 20 engine speeds, a pull; all on a
//! plant that is ready. Report ratios within one run; machines are noisy.
#![allow(missing_docs)]

use airpath::example_build;
use airpath::response::{Detail, Response};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

fn response(c: &mut Criterion) {
    let build = example_build().expect("the example is sound");
    c.bench_function("response from build", |b| {
        b.iter(|| Response::new(black_box(&build)));
    });
    let mut ready = Response::new(&build).expect("sound");
    // Just above the threshold the way is longest.
    for speed in [3500.0, 4500.0, 6500.0] {
        c.bench_function(&format!("time to boost/{speed}"), |b| {
            b.iter(|| ready.time_to_boost(black_box(speed), Detail::Time));
        });
    }
    c.bench_function("time to boost with its trace/4500", |b| {
        b.iter(|| ready.time_to_boost(black_box(4500.0), Detail::Trace));
    });
    c.bench_function("curve of 20 speeds", |b| {
        b.iter(|| ready.curve(black_box(20)))
    });
    c.bench_function("pull", |b| b.iter(|| ready.pull()));
}

criterion_group!(benches, response);
criterion_main!(benches);
