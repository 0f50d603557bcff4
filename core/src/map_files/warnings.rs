//! What was repaired in a map file, and what a person should look at.

use super::Place;
use super::problems::figure;

/// Something that was repaired in a file, or that a person should look at.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MapWarning {
    /// Lines in another order.
    #[error(
        "The speed lines were not in order of rising speed ({place} is slower than what stands before it); they were sorted."
    )]
    LinesSorted {
        /// The first that is out of order.
        place: Place,
    },
    /// Points in another order.
    #[error(
        "The points of the line of {speed} rev/min were not in order of rising flow (first at {place}); they were sorted.",
        speed = figure(*speed)
    )]
    PointsSorted {
        /// Speed, rev/min.
        speed: f64,
        /// The first that is out of order.
        place: Place,
    },
    /// Points more than once.
    #[error(
        "{count} point(s) stood in the file before (the first at {place}, the same as {first}); each was kept once."
    )]
    Merged {
        /// How many were dropped.
        count: usize,
        /// The first that was dropped.
        place: Place,
        /// Where the same point stands.
        first: Place,
    },
    /// A line that a map cannot be made from.
    #[error(
        "The line of {speed} rev/min has {count} point(s) and a map needs three on each; add points, or leave the line out.",
        speed = figure(*speed)
    )]
    FewPoints {
        /// Speed, rev/min.
        speed: f64,
        /// How many points.
        count: usize,
    },
    /// Efficiencies that are missing.
    #[error("{count} of {points} points have no efficiency; nothing was put in their place.")]
    EfficienciesMissing {
        /// How many.
        count: usize,
        /// Of how many.
        points: usize,
    },
    /// A surge mark in the middle of a line.
    #[error(
        "The point at {place} is marked as surge, but the line of {speed} rev/min has points at less flow; they are taken to lie left of surge.",
        speed = figure(*speed)
    )]
    SurgeNotFirst {
        /// Where.
        place: Place,
        /// Speed, rev/min.
        speed: f64,
    },
    /// Lines that hardly differ in speed.
    #[error(
        "The lines of {slower} and {faster} rev/min differ by less than half a per cent; if they are one line, give its points one speed.",
        slower = figure(*slower),
        faster = figure(*faster)
    )]
    NearlyOneLine {
        /// Slower line, rev/min.
        slower: f64,
        /// Faster line, rev/min.
        faster: f64,
    },
    /// Lines that cross if they are straight between points.
    #[error(
        "The lines of {slower} and {faster} rev/min would cross near {place} if they were straight between their points; check that point, or add points around it.",
        slower = figure(*slower),
        faster = figure(*faster)
    )]
    MayCross {
        /// Slower line, rev/min.
        slower: f64,
        /// Faster line, rev/min.
        faster: f64,
        /// Where.
        place: Place,
    },
    /// Warnings that are not listed.
    #[error("There are {count} more remarks of these kinds.")]
    More {
        /// How many.
        count: usize,
    },
}
