//! The places of the page.

pub mod matching;
