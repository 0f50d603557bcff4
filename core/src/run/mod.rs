//! All engine speeds: thresholds, limits and margins, energy account.

mod csv;
pub(crate) mod limits;
mod report;
pub(crate) mod speed;

pub use report::*;

use crate::air_way::ambient::{iso_1585_compression, iso_1585_spark, sae_j1349};
use crate::air_way::compressor::{CompressorMap, MapError};
use crate::balance::{Answer, Plant, ShaftState, Trail, Unsettled, answer, drivable, uncapped};
use crate::build::{Build, FuelKind};
use crate::fields::Field;
use crate::formula;
use crate::numeric::bracketed_root;
use crate::quantity::{AbsolutePressure, GaugePressure};

/// Engine speeds worked out from idle to redline.
pub const SPEEDS: usize = 120;

/// Share of the boost asked that counts as there.
pub const THRESHOLD_SHARE: f64 = 0.9;

/// Accuracy of thresholds and folds, rev/min.
const SPEED_ACCURACY: f64 = 0.5;

/// Boost, Pa, that a threshold may be off by.
const THRESHOLD_ACCURACY: f64 = 2.0;

/// A jump of boost between neighbouring speeds that is looked into, Pa, and the one that counts
/// as a fold once it has been narrowed to [`SPEED_ACCURACY`].
const JUMP_SEEN: f64 = 12_000.0;
const JUMP_KEPT: f64 = 5_000.0;

/// Highest boost tried for a power that was asked, Pa gauge, and how close to come to it.
pub(crate) const HIGHEST_BOOST: f64 = 4e5;
const POWER_ACCURACY_PA: f64 = 5.0;

formula! {
    /// Boost that the gate is set to hold, Pa gauge: never less than its spring alone holds.
    pub fn boost_asked(goal, spring) = goal.max(spring);
    source "how a wastegate works";
}

/// Why a build cannot be solved at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SolveError {
    /// The compressor map cannot be used.
    #[error(transparent)]
    Map(#[from] MapError),
}

/// A build on its way to a match.
pub(crate) struct Run<'a> {
    build: &'a Build,
    plant: Plant,
    /// One boost for all speeds, Pa gauge, in place of what the build asks.
    boost: Option<f64>,
    /// What the last speed came by: the next begins there.
    trail: Trail,
    effort: Effort,
}

/// Boost asked at an engine speed in rev/min, Pa gauge: never below the gate's spring. `boost`, where
/// there is one, takes the place of what the build asks.
pub(crate) fn asked(build: &Build, boost: Option<f64>, speed: f64) -> f64 {
    let asked = boost.unwrap_or_else(|| {
        build.boost_curve().map_or_else(
            || build.get(Field::BoostTarget),
            |curve| curve.curve.at(speed * std::f64::consts::TAU / 60.0),
        )
    });
    boost_asked(asked, build.get(Field::GateSpring))
}

/// Engine speeds one after another, without what only the full report tells.
pub(crate) struct Outline {
    /// What settled, by engine speed in rev/min.
    pub solved: Vec<(f64, Answer)>,
    /// What did not.
    pub unsolved: Vec<Unsolved>,
    /// As in [`Match`].
    pub drive_threshold_rev_min: Option<f64>,
    /// As in [`Match`].
    pub usable_threshold_rev_min: Option<f64>,
}

impl<'a> Run<'a> {
    /// A build and the plant that was made of it, ready to be solved.
    pub(crate) fn new(build: &'a Build, plant: Plant) -> Self {
        Self {
            build,
            plant,
            boost: None,
            trail: Trail::default(),
            effort: Effort::default(),
        }
    }

    /// The plant.
    pub(crate) fn plant(&self) -> &Plant {
        &self.plant
    }

    /// How much work it was so far.
    pub(crate) fn effort(&self) -> Effort {
        self.effort
    }

    /// Asks for one boost at all speeds, Pa gauge, in place of what the build asks.
    pub(crate) fn ask(&mut self, boost: f64) {
        self.boost = Some(boost);
    }

    /// The answer at an engine speed in rev/min.
    ///
    /// # Errors
    /// What did not settle.
    pub(crate) fn at(&mut self, speed: f64) -> Result<Answer, Unsettled> {
        self.answer(speed)
    }

    /// Power at the crank at an engine speed in rev/min, W; `None` where it does not settle.
    pub(crate) fn power_at(&mut self, speed: f64) -> Option<f64> {
        let answer = self.answer(speed).ok()?;
        Some(speed::power_at_crank(&self.plant, speed, &answer.state))
    }

    /// Boost above [`THRESHOLD_SHARE`] of what is asked, Pa: what the turbine can drive, and what can
    /// be had within all limits that cap.
    pub(crate) fn over_threshold(&self, speed: f64, answer: &Answer) -> (f64, f64) {
        let enough = THRESHOLD_SHARE * self.asked(speed);
        (self.drivable(answer) - enough, self.boost(answer) - enough)
    }

    /// Solves `count` engine speeds from idle to redline, and finds the thresholds.
    pub(crate) fn outline(&mut self, count: usize) -> Outline {
        let mut solved = Vec::with_capacity(count);
        let mut unsolved = Vec::new();
        for speed in engine_speeds(self.build, count) {
            match self.answer(speed) {
                Ok(answer) => solved.push((speed, answer)),
                Err(error) => unsolved.push(Unsolved {
                    engine_speed_rev_min: speed,
                    equation: error.equation,
                    residual: error.residual,
                }),
            }
        }
        let drive = self.threshold(&solved, Run::drivable, Run::drivable_at);
        let usable = self.threshold(&solved, Run::boost, Run::boost_at);
        Outline {
            solved,
            unsolved,
            drive_threshold_rev_min: drive,
            usable_threshold_rev_min: usable,
        }
    }

    /// The reports of speeds that were solved, and every limit over them.
    pub(crate) fn reports(&self, solved: &[(f64, Answer)]) -> (Vec<SpeedReport>, Vec<LimitReport>) {
        let speeds: Vec<SpeedReport> = solved
            .iter()
            .map(|(speed, answer)| speed::report(self, *speed, answer))
            .collect();
        let limits = limits::limits(self, &speeds);
        (speeds, limits)
    }

    /// Boost asked at an engine speed in rev/min, Pa gauge: never below the gate's spring.
    fn asked(&self, speed: f64) -> f64 {
        asked(self.build, self.boost, speed)
    }

    fn asked_pressure(&self, speed: f64) -> AbsolutePressure {
        GaugePressure::new(self.asked(speed)).above(self.plant.outside.pressure)
    }

    fn answer(&mut self, speed: f64) -> Result<Answer, Unsettled> {
        let point = self.plant.at_speed(self.build, speed);
        let asked = self.asked_pressure(speed);
        let (answer, trail) = answer(&self.plant, &point, asked, &self.trail, &mut self.effort)?;
        self.trail = trail;
        Ok(answer)
    }

    /// The state that the turbine can drive at an engine speed in rev/min, up to the boost asked: past
    /// every cap, and with a gate as large as it takes.
    pub(crate) fn uncapped(&mut self, speed: f64) -> Result<ShaftState, Unsettled> {
        let point = self.plant.at_speed(self.build, speed);
        let asked = self.asked_pressure(speed);
        let (state, trail) = uncapped(&self.plant, &point, asked, &self.trail, &mut self.effort)?;
        self.trail = trail;
        Ok(state)
    }

    /// Boost the turbine can drive at an engine speed in rev/min, Pa gauge; not a number where it
    /// does not settle.
    fn drivable_at(&mut self, speed: f64) -> f64 {
        let point = self.plant.at_speed(self.build, speed);
        let asked = self.asked_pressure(speed);
        drivable(&self.plant, &point, asked, &self.trail, &mut self.effort)
            .map_or(f64::NAN, |pm| pm.gauge(self.plant.outside.pressure).pa())
    }

    fn boost_at(&mut self, speed: f64) -> f64 {
        self.answer(speed)
            .map_or(f64::NAN, |answer| self.boost(&answer))
    }

    fn boost(&self, answer: &Answer) -> f64 {
        answer.state.pm.gauge(self.plant.outside.pressure).pa()
    }

    fn drivable(&self, answer: &Answer) -> f64 {
        answer.drivable.pm.gauge(self.plant.outside.pressure).pa()
    }

    /// Lowest speed at which `boost` reaches [`THRESHOLD_SHARE`] of what is asked: the first of the
    /// speeds solved where it does, narrowed towards the one before.
    fn threshold(
        &mut self,
        solved: &[(f64, Answer)],
        known: fn(&Self, &Answer) -> f64,
        at: fn(&mut Self, f64) -> f64,
    ) -> Option<f64> {
        let over = |run: &Self, speed: f64, boost: f64| boost - THRESHOLD_SHARE * run.asked(speed);
        let left = |run: &Self, i: usize| over(run, solved[i].0, known(run, &solved[i].1));
        let first = (0..solved.len()).find(|i| left(self, *i) >= 0.0)?;
        let high = solved[first].0;
        if first == 0 {
            return Some(high);
        }
        let ends = (
            (solved[first - 1].0, left(self, first - 1)),
            (high, left(self, first)),
        );
        let found = bracketed_root(ends.0, ends.1, 0.5 * SPEED_ACCURACY, 40, |speed| {
            let boost = at(self, speed);
            let left = over(self, speed, boost);
            // A few pascal are far less than the speed's accuracy: no need to close the bracket.
            if left.abs() < THRESHOLD_ACCURACY {
                0.0
            } else {
                left
            }
        });
        // At a jump there is no speed with just enough: the bracket's end is the answer either way.
        Some(if found.converged { found.root } else { high })
    }

    /// Jumps of the drivable boost between neighbouring speeds that do not close as the speeds
    /// come together.
    fn folds(&mut self, solved: &[(f64, Answer)]) -> Vec<Fold> {
        let mut folds = Vec::new();
        for pair in solved.windows(2) {
            let ((mut low, below), (mut high, above)) = (pair[0], pair[1]);
            let (mut from, mut to) = (self.drivable(&below), self.drivable(&above));
            // What was asked may itself rise with speed: that is no fold.
            if to - from < JUMP_SEEN || self.asked(high) - self.asked(low) > 0.5 * (to - from) {
                continue;
            }
            while high - low > SPEED_ACCURACY {
                let middle = 0.5 * (low + high);
                let boost = self.drivable_at(middle);
                if !boost.is_finite() {
                    break;
                }
                if boost - from > to - boost {
                    (high, to) = (middle, boost);
                } else {
                    (low, from) = (middle, boost);
                }
                if to - from < JUMP_KEPT {
                    break;
                }
            }
            if high - low <= SPEED_ACCURACY && to - from >= JUMP_KEPT {
                folds.push(Fold {
                    at_rev_min: high,
                    from_boost_pa: from,
                    to_boost_pa: to,
                });
            }
        }
        folds
    }

    /// Most power over a coarse sweep of speeds, W.
    fn most_power(&mut self, speeds: usize) -> f64 {
        let mut most = f64::NEG_INFINITY;
        for speed in engine_speeds(self.build, speeds) {
            if let Ok(answer) = self.answer(speed) {
                most = most.max(speed::power_at_crank(&self.plant, speed, &answer.state));
            }
        }
        most
    }

    /// Finds the boost that gives the power asked, and sets it.
    fn boost_for_power(&mut self, power: f64) -> (f64, Option<String>) {
        const COARSE: usize = 24;
        let spring = self.build.get(Field::GateSpring);
        let excess = |run: &mut Self, boost: f64| {
            run.boost = Some(boost);
            run.most_power(COARSE) - power
        };
        let at_spring = excess(self, spring);
        if at_spring >= 0.0 {
            self.boost = Some(spring);
            let text = (at_spring > 0.0).then(|| {
                "The wastegate's spring alone gives more than the power asked; a softer spring is needed for less.".to_owned()
            });
            return (spring, text);
        }
        // Upwards until there is enough, or more boost no longer helps.
        let (mut low, mut f_low) = (spring, at_spring);
        let mut boost = spring;
        let mut best = (at_spring, spring);
        while boost < HIGHEST_BOOST {
            boost = (boost + 25_000.0).min(HIGHEST_BOOST);
            let f = excess(self, boost);
            if f >= 0.0 {
                let found = bracketed_root((low, f_low), (boost, f), POWER_ACCURACY_PA, 40, |b| {
                    excess(self, b)
                });
                self.boost = Some(found.root);
                return (found.root, None);
            }
            if f > best.0 + 1.0 {
                best = (f, boost);
            } else if boost - best.1 > 60_000.0 {
                break;
            }
            (low, f_low) = (boost, f);
        }
        self.boost = Some(best.1);
        let text = format!(
            "The power asked cannot be had: {:.0} kW is the most, at {:.2} bar asked. What stops it is named below.",
            (best.0 + power) * 1e-3,
            best.1 * 1e-5
        );
        (best.1, Some(text))
    }
}

/// Engine speeds from idle to redline, rev/min, evenly.
pub(crate) fn engine_speeds(build: &Build, count: usize) -> impl Iterator<Item = f64> + use<> {
    let per_min = 60.0 / std::f64::consts::TAU;
    let (low, high) = (
        build.get(Field::IdleSpeed) * per_min,
        build.get(Field::Redline) * per_min,
    );
    (0..count).map(move |i| low + (high - low) * i as f64 / (count - 1) as f64)
}

/// Solves a build at [`SPEEDS`] engine speeds.
///
/// # Errors
/// A compressor map that cannot be used. A speed that does not settle is no error: it is named in
/// the match, and the rest stands.
pub fn solve(build: &Build) -> Result<Match, SolveError> {
    solve_at(build, SPEEDS)
}

/// Solves a build at `count` engine speeds from idle to redline (2 to 2,000; held to that range).
///
/// # Errors
/// As [`solve`].
pub fn solve_at(build: &Build, count: usize) -> Result<Match, SolveError> {
    Ok(solve_plant(build, Plant::new(build)?, count))
}

/// Solves a build with a compressor map that was made ready before, which takes the place of its
/// turbocharger's, at `count` engine speeds (2 to 2,000; held to that range).
#[must_use]
pub fn solve_with_map(build: &Build, map: CompressorMap, count: usize) -> Match {
    solve_plant(build, Plant::with_map(build, map), count)
}

fn solve_plant(build: &Build, plant: Plant, count: usize) -> Match {
    let mut run = Run::new(build, plant);
    let (mut boost_for_power, mut power_out_of_reach) = (None, None);
    if let Some(power) = build.optional(Field::PowerTarget) {
        let (boost, text) = run.boost_for_power(power);
        (boost_for_power, power_out_of_reach) = (Some(boost), text);
    }
    let count = count.clamp(2, 2000);
    let Outline {
        solved,
        unsolved,
        drive_threshold_rev_min,
        usable_threshold_rev_min,
    } = run.outline(count);
    let folds = run.folds(&solved);
    let (speeds, limits) = run.reports(&solved);
    let highest = |value: fn(&SpeedReport) -> f64| {
        (0..speeds.len())
            .max_by(|a, b| value(&speeds[*a]).total_cmp(&value(&speeds[*b])))
            .unwrap_or(0)
    };
    let (most_power, most_torque) = (highest(|s| s.power_w), highest(|s| s.torque_nm));
    let dyno_power = build
        .optional(Field::DynoBsfc)
        .zip(speeds.get(most_power))
        .map(|(bsfc, s)| {
            let power_w = s.fuel_kg_s / bsfc;
            DynoPower {
                power_w,
                disagreement: power_w / s.power_w - 1.0,
            }
        });
    let dyno_corrections = dyno_corrections(&run, speeds.get(most_power));
    Match {
        drive_threshold_rev_min,
        usable_threshold_rev_min,
        boost_for_power_pa: boost_for_power,
        power_out_of_reach,
        most_power,
        most_torque,
        limits,
        folds,
        unsolved,
        estimated_map: run.plant.map.estimated(),
        dyno_corrections,
        dyno_power,
        effort: run.effort,
        speeds,
    }
}

fn dyno_corrections(run: &Run, peak: Option<&SpeedReport>) -> Vec<DynoCorrection> {
    let dry = run.plant.outside.dry_pressure();
    let t = run.plant.outside.temperature;
    let bounded = |standard, factor: f64, low: f64, high: f64| DynoCorrection {
        standard,
        factor,
        in_bounds: (low..=high).contains(&factor),
    };
    match run.build.fuel() {
        FuelKind::Petrol => vec![
            bounded(
                "ISO 1585, spark ignition",
                iso_1585_spark(dry, t),
                0.93,
                1.07,
            ),
            bounded(
                "SAE J1349, without boost control",
                sae_j1349(dry, t),
                0.93,
                1.07,
            ),
        ],
        FuelKind::Diesel => peak
            .map(|s| {
                let litres = run.plant.displacement * 1e3;
                let per_cycle = 120_000.0 * s.fuel_kg_s * 1e3 / (litres * s.engine_speed_rev_min);
                let factor =
                    iso_1585_compression(dry, t, per_cycle / s.pressure_ratio.max(1.0), false);
                bounded("ISO 1585, compression ignition, boosted", factor, 0.9, 1.1)
            })
            .into_iter()
            .collect(),
    }
}
