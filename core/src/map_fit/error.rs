//! Why no map could be fitted to a trace.

use crate::air_way::compressor::MapError;

/// Where in a trace something is wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TracePlace {
    /// The wheel's or the reference state's own value.
    Whole,
    /// The speed of a line, from 1 as given.
    Line(usize),
    /// A point of a line, both from 1 as given.
    Point(usize, usize),
    /// The value of an island, from 1 as given.
    Island(usize),
    /// A place of an island, both from 1 as given.
    IslandPlace(usize, usize),
    /// A single place with an efficiency, from 1 as given.
    EfficiencyPoint(usize),
    /// A place of the surge line, from 1 as given.
    Surge(usize),
}

impl std::fmt::Display for TracePlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Whole => write!(f, "the map"),
            Self::Line(line) => write!(f, "speed line {line}"),
            Self::Point(line, point) => write!(f, "speed line {line}, point {point}"),
            Self::Island(island) => write!(f, "efficiency island {island}"),
            Self::IslandPlace(island, place) => {
                write!(f, "efficiency island {island}, point {place}")
            }
            Self::EfficiencyPoint(point) => write!(f, "efficiency point {point}"),
            Self::Surge(place) => write!(f, "the surge line, point {place}"),
        }
    }
}

/// Why no map could be fitted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MapFitError {
    /// A value that is not finite or not in its range.
    #[error(
        "{what} of {place} is {value}; it must lie between {low} and {high}. Correct it or remove the point."
    )]
    OutOfRange {
        /// What is wrong, with its unit.
        what: &'static str,
        /// Where.
        place: TracePlace,
        /// What was given.
        value: f64,
        /// Least value.
        low: f64,
        /// Largest value.
        high: f64,
    },
    /// Fewer than two lines, or more than a fit takes.
    #[error(
        "The traced map has {count} speed line(s); between 2 and {most} are needed. Trace another, or leave some out."
    )]
    LineCount {
        /// How many there are.
        count: usize,
        /// How many a fit takes.
        most: usize,
    },
    /// More points than a fit takes.
    #[error(
        "The traced map has {count} points in all; at most {most} can be fitted. Leave some out: 10 to 20 a line are enough."
    )]
    TooManyPoints {
        /// How many there are.
        count: usize,
        /// How many a fit takes.
        most: usize,
    },
    /// A line with fewer than three points that differ.
    #[error(
        "Speed line {line} ({speed:.0} rev/min) has {count} point(s) that differ; at least 3 are needed. Trace more points from surge to choke."
    )]
    TooFewPoints {
        /// Which line, from 1 as given.
        line: usize,
        /// Its speed, rev/min.
        speed: f64,
        /// How many of its points differ.
        count: usize,
    },
    /// A line whose points all lie on one resistance: it says nothing of how flow and pressure ratio
    /// change along it.
    #[error(
        "The points of speed line {line} ({speed:.0} rev/min) reach only from {low} to {high} kg/s, at no falling pressure ratio; a line must run from surge towards choke. Trace more of it."
    )]
    NoLine {
        /// Which line, from 1 as given.
        line: usize,
        /// Its speed, rev/min.
        speed: f64,
        /// Least flow, kg/s.
        low: f64,
        /// Largest flow, kg/s.
        high: f64,
    },
    /// Two lines of the same speed.
    #[error(
        "Speed lines {line} and {other} both have {speed:.0} rev/min; each speed may stand once. Join their points or correct a speed."
    )]
    SameSpeed {
        /// One line, from 1 as given.
        line: usize,
        /// The other.
        other: usize,
        /// Their speed, rev/min.
        speed: f64,
    },
    /// No efficiency at all, and no wheel to estimate it from.
    #[error(
        "The traced map has {count} value(s) of efficiency; at least {fewest} are needed. Trace efficiency islands or enter efficiencies at points, or give the wheel's sizes to have it estimated."
    )]
    NoEfficiency {
        /// How many there are.
        count: usize,
        /// How many are needed.
        fewest: usize,
    },
    /// A surge line of one place.
    #[error(
        "The surge line has 1 point; at least 2 are needed, or none. Trace another or remove it."
    )]
    ShortSurgeLine,
    /// A surge line that does not lie left of a speed line.
    #[error(
        "The surge line does not meet speed line {line} ({speed:.0} rev/min) near its left end: at {ratio:.2} it lies at {flow:.4} kg/s, and the line's points at {low:.4} to {high:.4} kg/s. Correct the surge line or remove it."
    )]
    SurgeOffLine {
        /// Which line, from 1 as given.
        line: usize,
        /// Its speed, rev/min.
        speed: f64,
        /// Pressure ratio at the left end.
        ratio: f64,
        /// Flow of the surge line there, kg/s.
        flow: f64,
        /// Least flow of the line's points, kg/s.
        low: f64,
        /// Largest flow, kg/s.
        high: f64,
    },
    /// An island without a single place between the lines.
    #[error(
        "Efficiency island {island} ({efficiency}) lies outside of the speed lines with every point, the first at {flow} kg/s and {ratio}. Trace the speed lines there, or remove the island."
    )]
    IslandOutside {
        /// Which island, from 1 as given.
        island: usize,
        /// Its efficiency.
        efficiency: f64,
        /// Flow of one of its places, kg/s.
        flow: f64,
        /// Pressure ratio there.
        ratio: f64,
    },
    /// Lines that cross.
    #[error(
        "The points of speed lines {line} ({speed:.0} rev/min) and {next} ({next_speed:.0} rev/min) cross: the faster must lie above and to the right of the slower. Check both speeds and points."
    )]
    LinesCross {
        /// The slower line, from 1 as given.
        line: usize,
        /// Its speed, rev/min.
        speed: f64,
        /// The faster line, from 1 as given.
        next: usize,
        /// Its speed, rev/min.
        next_speed: f64,
    },
    /// Work input that no compressor has: a unit or the diameter is wrong.
    #[error(
        "With an exducer of {exducer_mm} mm the efficiencies mean a work input of {work:.3} of the square of tip speed; compressors have between {low} and {high}. Check the exducer's diameter, the speeds and the efficiencies."
    )]
    WorkInput {
        /// Exducer diameter, mm.
        exducer_mm: f64,
        /// Mean work input.
        work: f64,
        /// Least that a compressor has.
        low: f64,
        /// Largest.
        high: f64,
    },
    /// The optimiser did not come to an end.
    #[error(
        "No curve could be settled for speed line {line} ({speed:.0} rev/min). Check its points, or trace more of them."
    )]
    NotSettled {
        /// Which line, from 1 as given.
        line: usize,
        /// Its speed, rev/min.
        speed: f64,
    },
    /// Work input could not be fitted.
    #[error(
        "No efficiency could be settled from the {count} value(s) given. Give more of them, between the slowest and the fastest speed line."
    )]
    EfficiencyNotSettled {
        /// How many values there are.
        count: usize,
    },
    /// The fitted map was refused.
    #[error("The fitted map cannot be used. {0}")]
    Map(#[from] MapError),
}
