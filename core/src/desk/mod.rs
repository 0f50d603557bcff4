//! The specialist's desk: which turbocharger, for whom, giving up what, and what else must change.
//!
//! Everything here solves builds and reads their matches; nothing here is physics of its own but for what
//! a pipe and an oil restrictor do, in [`fitting`].

pub mod application;
mod candidate;
pub mod compare;
mod demand;
pub mod fitting;
pub mod job;
pub mod shortlist;
pub mod sizing;

pub use candidate::Candidate;
