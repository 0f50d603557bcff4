//! One target of `airpath_tests::hostile`, named by `AIRPATH_TARGET`, driven by coverage.
//!
//! Every case is held to the same limits as in the tests. Half of the new texts come from the
//! target's own way of making them, half from the driver's.

#![cfg_attr(fuzzing, no_main)]

#[cfg(fuzzing)]
mod driven {
    use airpath_tests::hostile::{Dice, Target, target, within_limits};
    use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};
    use std::sync::LazyLock;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[global_allocator]
    static ALLOCATOR: peak_alloc::PeakAlloc = peak_alloc::PeakAlloc;

    static TARGET: LazyLock<&'static Target> = LazyLock::new(|| {
        let name = std::env::var("AIRPATH_TARGET").unwrap_or_default();
        target(&name).unwrap_or_else(|| panic!("there is no target \"{name}\""))
    });

    /// Most microseconds and bytes of any case so far.
    static MOST_MICROS: AtomicUsize = AtomicUsize::new(0);
    static MOST_BYTES: AtomicUsize = AtomicUsize::new(0);

    /// Whether a value is the most so far, and by enough to be worth a line.
    fn leads(most: &AtomicUsize, value: usize) -> bool {
        let before = most.fetch_max(value, Ordering::Relaxed);
        value > before + before / 10
    }

    fuzz_target!(|bytes: &[u8]| {
        let target = *TARGET;
        let cost = within_limits(target, bytes);
        let micros = usize::try_from(cost.time.as_micros()).unwrap_or(usize::MAX);
        let slower = leads(&MOST_MICROS, micros);
        if leads(&MOST_BYTES, cost.memory) || slower {
            eprintln!(
                "{}: slowest case {:.3} ms, most memory of a case {} kB",
                target.name,
                MOST_MICROS.load(Ordering::Relaxed) as f64 / 1000.0,
                MOST_BYTES.load(Ordering::Relaxed) / 1000
            );
        }
    });

    fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
        if seed.is_multiple_of(2) {
            return fuzzer_mutate(data, size, max_size);
        }
        let mut dice = Dice::new(u64::from(seed));
        let new = (TARGET.mutate)(&mut dice, &data[..size]);
        let length = new.len().min(max_size);
        data[..length].copy_from_slice(&new[..length]);
        length
    });
}

#[cfg(not(fuzzing))]
fn main() {
    eprintln!("`cargo xtask test --only fuzz` builds this with what counts coverage");
    std::process::exit(2);
}
