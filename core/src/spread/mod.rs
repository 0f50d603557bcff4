//! How sure a match is: the build solved again and again, each guess drawn from its spread.
//!
//! [`table`](GUESSES) says how far off each guess may be; a [`Study`] draws builds from it, any one by
//! its number, so that several workers can share them; [`Study::summarise`] makes [`Bands`] of what
//! came out: percentiles, how often the goal is missed, and which guess matters most.
//!
//! ```
//! let build = airpath::example_build().ok_or("the example is sound")?;
//! let study = airpath::spread::Study::new(&build, 1)?;
//! let results: Vec<_> = (0..64).map(|i| study.sample(i)).collect();
//! let bands = study.summarise(&results);
//! assert!(bands.peak_power_w.p10 <= bands.peak_power_w.p90);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod bands;
mod sequence;
mod shape;
pub mod statistics;
mod study;
mod table;

pub use bands::{Band, Bands, LimitShare, Matter, Outcome, Ranking};
pub use sequence::{DIMENSIONS, Sequence};
pub use shape::{Shape, Values};
pub use study::{LIMITS, SPEEDS, SampleResult, Sampled, Study, read_samples, write_samples};
pub use table::{GUESSES, Guess, Measure, Spread, SpreadReport, Subject, share_left, spreads};
