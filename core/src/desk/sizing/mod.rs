//! Sizes from the demand: which wheels and which housing a goal asks for, before any turbocharger is
//! chosen.
//!
//! The engine's side of a match does not depend on the turbocharger but for its compressor's efficiency
//! and the pressure before its turbine. Both follow from sizes, and sizes from them, so they are found
//! together: the compressor wheel whose estimated map chokes as far off as is asked, the turbine that
//! drives it while the gate passes the share asked. What is proposed is then solved back as any build
//! is, and made smaller and larger until a limit stops it: the ends of the ranges.

mod duty;
mod nearest;
mod ranges;
mod search;
mod show;
mod steps;
mod wheels;

pub use nearest::Near;
pub use ranges::{End, Span};
pub use steps::{How, Step, Unit};
pub use wheels::{
    HOUSINGS, LARGEST_TIP_SPEED, Sizes, TRIMS, USUAL_TRIM, WHEEL_RATIOS, a_over_r_for,
    choke_flow_needed, exducer, gas_for_power, gate_share, swallowing_for, wheel_for_gas,
};

use super::shortlist::{Look, Wishes};
use crate::balance::Plant;
use crate::build::{Arrangement, Build, BuildError, RecordError, Turbocharger};
use crate::fields::Field;
use crate::run::SolveError;
use search::Search;
use std::sync::Arc;

/// What is asked of sizes beside the build's goal.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// Hard limits and what must be reached; the weights do not count here.
    pub wishes: Wishes,
    /// Least share of the exhaust past the gate where the flow is greatest, 0 to 0.6: what is left to
    /// hold boost with on a worse day. More of it goes past a smaller turbine, which has boost earlier;
    /// so it is raised as far as [`Asked::boost_by_share`] takes, and as far as brings the housing down
    /// to one that is made.
    pub gate_share: f64,
    /// Trim of the compressor wheel, 40 to 70.
    pub trim: f64,
    /// Share of the redline by which the boost asked is to be there: it ends what may be larger.
    pub boost_by_share: f64,
}

impl Default for Asked {
    /// A quarter past the gate and boost by half the redline: judgements, no source.
    fn default() -> Self {
        Self {
            wishes: Wishes::default(),
            gate_share: 0.25,
            trim: USUAL_TRIM,
            boost_by_share: 0.5,
        }
    }
}

/// Why no sizes can be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SizingError {
    /// The build's own map.
    #[error(transparent)]
    Solve(#[from] SolveError),
    /// Sizes that no record takes.
    #[error(transparent)]
    Record(Box<RecordError>),
    /// A build that cannot take them.
    #[error(transparent)]
    Build(Box<BuildError>),
    /// The search for sizes did not come to an end.
    #[error(
        "No sizes were found for this goal: it asks for more pressure than one compressor wheel gives, or for more power than the exhaust has. Ask for less boost or power."
    )]
    NotFound,
}

impl From<RecordError> for SizingError {
    fn from(error: RecordError) -> Self {
        Self::Record(Box::new(error))
    }
}

impl From<BuildError> for SizingError {
    fn from(error: BuildError) -> Self {
        Self::Build(Box::new(error))
    }
}

/// Sizes for one turbocharger or for each of a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// One, or a pair.
    pub arrangement: Arrangement,
    /// The sizes.
    pub sizes: Sizes,
    /// A turbocharger of these sizes, its map estimated.
    pub turbocharger: Arc<Turbocharger>,
    /// That turbocharger on the engine, as the shortlist looks at any: what it gives, and what the goal
    /// or a limit has against it (empty where it meets both).
    pub look: Look,
    /// Engine speed at which the flow is greatest, rev/min.
    pub at_rev_min: f64,
    /// Air there, kg/s, all turbochargers together.
    pub air_kg_s: f64,
    /// Pressure ratio of the compressor there.
    pub pressure_ratio: f64,
    /// Compressor inducers, m, from the smallest that makes the goal to the largest with boost early
    /// enough, the turbine as proposed.
    pub inducer: Span,
    /// Swallowing, kg √K/(s Pa), likewise, the compressor as proposed.
    pub swallowing: Span,
    /// How the sizes came about.
    pub steps: Vec<Step>,
}

/// Why one or a pair is proposed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Because {
    /// Only it meets the goal within the limits.
    OnlyOne,
    /// It has the boost asked at a clearly lower engine speed.
    Earlier,
    /// Neither is clearly earlier, and two small rotors gain speed sooner than a large one.
    LighterRotors,
    /// Neither is clearly earlier, and one is simpler.
    Simpler,
}

/// Sizes for a goal.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizing {
    /// With one turbocharger; `None` where no such sizes are found.
    pub single: Option<Proposal>,
    /// With a pair; likewise. At least one of them is there.
    pub pair: Option<Proposal>,
    /// Which is proposed.
    pub proposed: Arrangement,
    /// Why.
    pub because: Because,
}

/// From so many cylinders on the exhaust is usually collected on two sides, and a pair is no trouble.
/// Common practice, no source.
const CYLINDERS_FOR_A_PAIR: f64 = 6.0;
/// Thresholds that differ by less, as a share, are alike. A judgement.
const CLEARLY: f64 = 0.04;
/// Room before choke beyond the least that is asked. A judgement, no source: less than one wheel of a
/// family is from the next, so that the wheel proposed is the smallest that is made.
pub const IN_HAND: f64 = 0.025;

fn propose(
    build: &Build,
    asked: &Asked,
    arrangement: Arrangement,
) -> Result<Proposal, SizingError> {
    let search = Search::new(build, asked, arrangement)?;
    let found = search.corrected(search.share()?)?;
    let fitted = search.fit(&found.sizes)?;
    let plant = Plant::with_map(&fitted.build, fitted.map);
    let look = search.screen.look_at_build(&fitted.build, plant);
    let (inducer, swallowing) = ranges::ranges(&search, &found.sizes, &look);
    Ok(Proposal {
        arrangement,
        sizes: found.sizes,
        turbocharger: fitted.turbocharger,
        look,
        at_rev_min: found.need.speed_rev_min,
        air_kg_s: found.need.air_kg_s,
        pressure_ratio: found.need.pressure_ratio,
        inducer,
        swallowing,
        steps: steps::steps(&search.build, asked, &found),
    })
}

impl Sizing {
    /// Works out sizes for a build's engine, place and goal; what is fitted in it does not count, but
    /// for the reference state of its map.
    ///
    /// # Errors
    /// A map of the build that cannot be used, or a goal beyond what sizes can be given for.
    pub fn new(build: &Build, asked: &Asked) -> Result<Self, SizingError> {
        let asked = Asked {
            trim: asked.trim.clamp(40.0, 70.0),
            ..asked.clone()
        };
        let single = propose(build, &asked, Arrangement::Single);
        let pair = propose(build, &asked, Arrangement::Pair);
        let (proposed, because) = match (&single, &pair) {
            (Ok(single), Ok(pair)) => better(build, single, pair),
            (Ok(_), Err(_)) => (Arrangement::Single, Because::OnlyOne),
            (Err(_), Ok(_)) => (Arrangement::Pair, Because::OnlyOne),
            (Err(error), Err(_)) => return Err(error.clone()),
        };
        Ok(Self {
            single: single.ok(),
            pair: pair.ok(),
            proposed,
            because,
        })
    }

    /// Those there are, one turbocharger first.
    pub fn proposals(&self) -> impl Iterator<Item = &Proposal> {
        self.single.iter().chain(&self.pair)
    }

    /// The one that is proposed.
    #[must_use]
    pub fn proposal(&self) -> Option<&Proposal> {
        match self.proposed {
            Arrangement::Single => self.single.as_ref(),
            Arrangement::Pair => self.pair.as_ref(),
        }
    }
}

fn better(build: &Build, single: &Proposal, pair: &Proposal) -> (Arrangement, Because) {
    let meets = |p: &Proposal| p.look.rejections.is_empty();
    match (meets(single), meets(pair)) {
        (true, false) => return (Arrangement::Single, Because::OnlyOne),
        (false, true) => return (Arrangement::Pair, Because::OnlyOne),
        _ => (),
    }
    let by = |p: &Proposal| p.look.usable_threshold_rev_min.unwrap_or(f64::INFINITY);
    if by(single) < (1.0 - CLEARLY) * by(pair) {
        return (Arrangement::Single, Because::Earlier);
    }
    if by(pair) < (1.0 - CLEARLY) * by(single) {
        return (Arrangement::Pair, Because::Earlier);
    }
    if build.get(Field::Cylinders) >= CYLINDERS_FOR_A_PAIR {
        (Arrangement::Pair, Because::LighterRotors)
    } else {
        (Arrangement::Single, Because::Simpler)
    }
}
