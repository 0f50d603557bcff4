//! Builds drawn from the spreads of their guesses, and what comes of each.

use super::sequence::Sequence;
use super::table::{Spread, Subject, spreads};
use crate::air_way::compressor::{CompressorMap, MapScale};
use crate::balance::Plant;
use crate::build::Build;
use crate::compressor_map;
use crate::fields::Field;
use crate::run::{
    Effort, LimitKind, LimitReport, Outline, Run, SolveError, SpeedReport, engine_speeds,
    solve_with_map,
};
use serde::{Deserialize, Serialize};

/// Engine speeds worked out for each sample, from idle to redline.
pub const SPEEDS: usize = 24;

/// Every limit, in the order of [`SampleResult::room`].
pub const LIMITS: [LimitKind; 10] = [
    LimitKind::Surge,
    LimitKind::Choke,
    LimitKind::ShaftSpeed,
    LimitKind::Gate,
    LimitKind::TurbineInlet,
    LimitKind::CompressorOutlet,
    LimitKind::BackPressure,
    LimitKind::Injectors,
    LimitKind::PeakPressure,
    LimitKind::Sensor,
];

/// What is kept of one sample. Curves are kept to seven digits, far more than they are worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SampleResult {
    /// Its number.
    pub sample: u32,
    /// Power at the crank at each of [`Study::speeds`], W; `None` where it did not settle.
    pub power_w: Vec<Option<f32>>,
    /// Boost at each of them, Pa gauge.
    pub boost_pa: Vec<Option<f32>>,
    /// Most power, W; 0 where nothing settled.
    pub peak_power_w: f64,
    /// Most torque, N m; 0 where nothing settled.
    pub peak_torque_nm: f64,
    /// Lowest engine speed at which the turbine drives 90 % of the boost asked, rev/min.
    pub drive_threshold_rev_min: Option<f64>,
    /// Lowest engine speed with 90 % of the boost asked within all limits, rev/min.
    pub usable_threshold_rev_min: Option<f64>,
    /// Room left before each of [`LIMITS`], as a share of it; `None` where it does not apply.
    pub room: [Option<f64>; LIMITS.len()],
    /// Which of [`LIMITS`] holds boost down (or, for the gate, lets it creep), by place.
    pub holds: [bool; LIMITS.len()],
    /// Time to boost, s, if it was asked for and boost comes.
    pub time_to_boost_s: Option<f64>,
    /// States that it took: how much work it was.
    pub states: u64,
}

impl SampleResult {
    /// The limit with the least room, by its place in [`LIMITS`].
    #[must_use]
    pub fn tightest(&self) -> Option<usize> {
        let room = |i: &usize| self.room.get(*i).copied().flatten();
        (0..LIMITS.len())
            .filter_map(|i| Some((i, room(&i)?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(i, _)| i)
    }

    /// Whether every engine speed settled.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.power_w.iter().all(Option::is_some)
    }
}

/// Samples as a text that goes from a worker to the page.
#[must_use]
pub fn write_samples(samples: &[SampleResult]) -> String {
    serde_json::to_string(samples).unwrap_or_default()
}

/// Samples back from their text; `None` if it is none.
#[must_use]
pub fn read_samples(text: &str) -> Option<Vec<SampleResult>> {
    serde_json::from_str(text).ok()
}

/// A build as it was drawn.
#[derive(Debug, Clone)]
pub struct Sampled {
    /// The build; its turbocharger is still that of the middle.
    pub build: Build,
    /// How its compressor map differs from that turbocharger's.
    pub scale: MapScale,
}

/// A build with its spreads, ready for samples to be drawn.
///
/// The same build and seed give the same samples, to the bit, on the same target, in whatever order
/// they are drawn; so a study may be made in each of several workers, and samples shared out by
/// number.
#[derive(Debug, Clone)]
pub struct Study {
    build: Build,
    spreads: Vec<Spread>,
    sequence: Sequence,
    /// The map without a spread.
    map: CompressorMap,
    /// Boost solved for a power that was asked, Pa gauge.
    boost: Option<f64>,
    speeds: Vec<f64>,
    middle: SampleResult,
}

impl Study {
    /// Makes a build ready: solves it as it stands. `seed` picks the samples.
    ///
    /// Where the build asks for a power, the boost that gives it with nothing spread is asked of every
    /// sample: a gate is set once, whatever the engine turns out to be.
    ///
    /// # Errors
    /// A compressor map that cannot be used.
    pub fn new(build: &Build, seed: u32) -> Result<Self, SolveError> {
        Self::with_spreads(build, spreads(build), seed)
    }

    /// The same with other spreads than the table's.
    ///
    /// # Errors
    /// A compressor map that cannot be used.
    pub fn with_spreads(
        build: &Build,
        spreads: Vec<Spread>,
        seed: u32,
    ) -> Result<Self, SolveError> {
        let map = compressor_map(build)?;
        let asks_for_power = build.optional(Field::PowerTarget).is_some();
        let boost = asks_for_power
            .then(|| solve_with_map(build, map.clone(), 2).boost_for_power_pa)
            .flatten();
        let middle_build = build.varied([], 1.0, boost);
        let mut run = Run::new(&middle_build, Plant::with_map(&middle_build, map.clone()));
        let outline = run.outline(SPEEDS);
        let speeds = engine_speeds(build, SPEEDS).collect::<Vec<f64>>();
        let middle = result(0, &run, &outline, &speeds);
        Ok(Self {
            build: build.clone(),
            spreads,
            sequence: Sequence::new(seed),
            map,
            boost,
            speeds,
            middle,
        })
    }

    /// The build.
    #[must_use]
    pub fn build(&self) -> &Build {
        &self.build
    }

    /// Every guess that is spread.
    #[must_use]
    pub fn spreads(&self) -> &[Spread] {
        &self.spreads
    }

    /// Engine speeds of each sample, rev/min, rising.
    #[must_use]
    pub fn speeds(&self) -> &[f64] {
        &self.speeds
    }

    /// What the build gives with nothing spread.
    #[must_use]
    pub fn middle(&self) -> &SampleResult {
        &self.middle
    }

    /// Time to boost of the build with nothing spread, for [`Study::middle`].
    #[must_use]
    pub fn with_middle_time(mut self, time: Option<f64>) -> Self {
        self.middle.time_to_boost_s = time;
        self
    }

    /// Value of each of [`Study::spreads`] in a sample, SI or a factor.
    #[must_use]
    pub fn values(&self, sample: u32) -> Vec<f64> {
        let spreads = self.spreads.iter().enumerate();
        spreads
            .map(|(d, spread)| spread.values.at(self.sequence.at(sample, d)))
            .collect()
    }

    /// The build of a sample.
    #[must_use]
    pub fn sampled(&self, sample: u32) -> Sampled {
        let values = self.values(sample);
        let value = |subject: Subject| {
            let mut spreads = self.spreads.iter().zip(&values);
            let found = spreads.find(|(spread, _)| spread.guess.subject == subject);
            found.map_or(1.0, |(_, value)| *value)
        };
        let fields = self.spreads.iter().zip(&values);
        let fields = fields.filter_map(|(spread, value)| match spread.guess.subject {
            Subject::Field(field) => Some((field, *value)),
            _ => None,
        });
        Sampled {
            build: self
                .build
                .varied(fields, value(Subject::Breathing), self.boost),
            scale: MapScale {
                flow: value(Subject::MapFlow),
                efficiency: value(Subject::MapEfficiency),
                surge: value(Subject::MapSurge),
            },
        }
    }

    /// The compressor map of a sample.
    #[must_use]
    pub fn map(&self, sampled: &Sampled) -> CompressorMap {
        self.map.scaled(sampled.scale)
    }

    /// Solves a sample: 0 to 65,535, after which the numbers go on in another sequence.
    #[must_use]
    pub fn sample(&self, sample: u32) -> SampleResult {
        self.sample_timed(sample, |_, _| None)
    }

    /// Solves a sample; `time` gives its time to boost, s, from its build and its plant.
    #[must_use]
    pub fn sample_timed(
        &self,
        sample: u32,
        time: impl FnOnce(&Build, &Plant) -> Option<f64>,
    ) -> SampleResult {
        let sampled = self.sampled(sample);
        let plant = Plant::with_map(&sampled.build, self.map(&sampled));
        let mut run = Run::new(&sampled.build, plant);
        let outline = run.outline(SPEEDS);
        SampleResult {
            time_to_boost_s: time(&sampled.build, run.plant()).filter(|t| t.is_finite()),
            ..result(sample, &run, &outline, &self.speeds)
        }
    }
}

/// What is kept of a run.
fn result(sample: u32, run: &Run, outline: &Outline, speeds: &[f64]) -> SampleResult {
    let (reports, limits) = run.reports(&outline.solved);
    let Effort { states, .. } = run.effort();
    let along = |value: fn(&SpeedReport) -> f64| -> Vec<Option<f32>> {
        let mut left = reports.iter().peekable();
        speeds
            .iter()
            .map(|speed| {
                left.next_if(|s| s.engine_speed_rev_min == *speed)
                    .map(|s| value(s) as f32)
            })
            .collect()
    };
    let most = |value: fn(&SpeedReport) -> f64| reports.iter().map(value).fold(0.0, f64::max);
    let of = |kind: LimitKind| -> Option<&LimitReport> { limits.iter().find(|l| l.kind == kind) };
    SampleResult {
        sample,
        power_w: along(|s| s.power_w),
        boost_pa: along(|s| s.boost_pa),
        peak_power_w: most(|s| s.power_w),
        peak_torque_nm: most(|s| s.torque_nm),
        drive_threshold_rev_min: outline.drive_threshold_rev_min,
        usable_threshold_rev_min: outline.usable_threshold_rev_min,
        room: LIMITS.map(|kind| of(kind).map(|limit| limit.room)),
        holds: LIMITS.map(|kind| of(kind).is_some_and(|limit| limit.holds_boost.is_some())),
        time_to_boost_s: None,
        states,
    }
}
