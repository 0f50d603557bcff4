//! Where a turbocharger belongs: engines, boost and power, each bound with the limit that sets it.
//!
//! The sheet of one turbocharger with one housing. For each [`Setting`] (alone on a four, a pair on a
//! six) displacement and boost are swept through the solver, and the window that comes out is drawn
//! from what was solved; no table of rules has a say in it.
//!
//! **What "suits" means.** A turbocharger suits an engine of some displacement at some boost where, at
//! every engine speed of the working range — from a share of the redline ([`InHand::late`]) up to the
//! redline itself — the turbine drives at least [`crate::run::THRESHOLD_SHARE`] of the boost asked, and neither
//! surge, choke, shaft speed, a gate too small, turbine inlet heat, compressor outlet heat nor back
//! pressure is nearer than the room that is to be kept in hand. So boost is there in time and stays
//! there: boost that sags by less than a tenth towards the redline still counts, as it does for the
//! usable threshold.
//!
//! Surge mostly stands against smaller engines: the turbine would drive the boost soon enough, but the
//! compressor must be held down to its surge line until more air flows. Boost that is late because of it
//! is named surge; late boost is what the turbine cannot drive.
//!
//! Peak cylinder pressure, the pressure sensor and injectors are the engine's business, not the
//! turbocharger's: they bound nothing here. The engine is the build's in everything but what the
//! setting changes: cylinders, arrangement, redline (the breathing curve's speeds go with it: a
//! judgement), displacement, and with it the stroke, whose ratio to the bore stays. Losses of filter,
//! cooler and tailpipe grow with displacement as their rated flow does. Pulses are as the build has
//! them, whatever the number of cylinders. An external gate that was entered stays on its manifold.
//! The gate's spring is never stronger than the boost asked: it is chosen to suit.

mod in_hand;
mod look;
mod row;
mod window;

pub use in_hand::{IN_HAND, InHand, InHandSpec};
pub use look::{BOUNDS, Bound, Look};
pub use row::{Closest, End, Row, Span, Top};
pub use window::{Fact, Mark, Place, PowerGrid, Segment, Side, Summary, Window};

use super::Candidate;
use crate::air_way::compressor::{CompressorMap, MapError};
use crate::build::{Arrangement, Build, BuildError};
use crate::compressor_map;
use crate::fields::Field;
use serde::{Deserialize, Serialize};

/// Engine speeds worked out at each displacement and boost, over the working range. Measured over the
/// whole shelf, one on a four and a pair on a six, against 61 speeds, which stand as close as 120 from idle
/// to redline: a bound moves by 0.02 % of the displacement at most, power by 0.25 %. With seven a bound
/// moves by 0.5 %, with five by 1.2 %.
pub const SPEEDS: usize = 9;

/// Engine speeds from idle to redline that a bound's usable threshold is first looked for at; it is then
/// narrowed down, so that it does not depend on them.
const THRESHOLD_SPEEDS: usize = 20;

/// Boosts of the rows: from, to (Pa gauge), and how many. What pump fuel and a street engine begin with
/// up to what drag racing asks: common practice, no source.
const BOOSTS: (f64, f64, usize) = (0.3e5, 3.0e5, 19);

/// Most rows of a survey.
pub const MOST_ROWS: usize = 200;

/// An engine that a turbocharger may be fitted to, but for its displacement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Setting {
    /// What it is called.
    pub name: String,
    /// Cylinders, 1 to 16.
    pub cylinders: f64,
    /// One turbocharger or a pair.
    pub arrangement: Arrangement,
    /// Redline, rev/min, within the range of its field.
    pub redline_rev_min: f64,
}

impl Setting {
    /// The settings to begin with, at the build's own redline, as no other is known.
    #[must_use]
    pub fn usual(build: &Build) -> [Self; 3] {
        let redline_rev_min = build.get(Field::Redline) * 60.0 / std::f64::consts::TAU;
        let setting = |name: &str, cylinders, arrangement| Self {
            name: name.to_owned(),
            cylinders,
            arrangement,
            redline_rev_min,
        };
        [
            setting("One on a four", 4.0, Arrangement::Single),
            setting("A pair on a six", 6.0, Arrangement::Pair),
            setting("A pair on an eight", 8.0, Arrangement::Pair),
        ]
    }
}

/// Why there is no sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ApplicationError {
    /// The turbocharger, or a setting that an engine cannot have.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// The compressor map cannot be used.
    #[error(transparent)]
    Map(#[from] MapError),
}

/// One turbocharger with one housing in one setting, ready to be swept.
///
/// Rows are worked out each by itself, in any order and in several workers; the same survey gives the
/// same rows, to the bit, on the same target.
#[derive(Debug, Clone)]
pub struct Survey {
    /// The engine, but for its displacement and boost.
    build: Build,
    map: CompressorMap,
    setting: Setting,
    in_hand: InHand,
    boosts: Vec<f64>,
    /// Engine speeds of the working range, rev/min.
    speeds: Vec<f64>,
    /// Displacements searched, m³.
    range: (f64, f64),
    /// Where the search begins, m³.
    begin: f64,
    /// Stroke, m, over the cube root of displacement in m³.
    stroke: f64,
}

impl Survey {
    /// Makes a sheet ready: `build` stands for the place, the day, the fuel and the kind of engine; of
    /// `candidate` its arrangement does not count, the setting has its own. Values in `in_hand` are held
    /// to their ranges.
    ///
    /// # Errors
    /// What is wrong with the record or the setting; a compressor map that cannot be used.
    pub fn new(
        build: &Build,
        candidate: &Candidate,
        setting: &Setting,
        in_hand: &InHand,
    ) -> Result<Self, ApplicationError> {
        let fitted = Candidate {
            arrangement: setting.arrangement,
            ..candidate.clone()
        };
        let redline = setting.redline_rev_min * std::f64::consts::TAU / 60.0;
        let engine = fitted.on(build)?.as_engine(setting.cylinders, redline)?;
        let map = compressor_map(&engine)?;
        let in_hand = in_hand.held();
        let stroke = build.get(Field::Stroke)
            / (build.get(Field::Displacement) / build.get(Field::Cylinders)).cbrt()
            / setting.cylinders.cbrt();
        let range = range(stroke);
        let idle = engine.get(Field::IdleSpeed) * 60.0 / std::f64::consts::TAU;
        let redline = setting.redline_rev_min;
        let from = (in_hand.late * redline).max(idle);
        let speeds = working_range(from, redline);
        let boosts = (0..BOOSTS.2)
            .map(|i| BOOSTS.0 + (BOOSTS.1 - BOOSTS.0) * i as f64 / (BOOSTS.2 - 1) as f64)
            .collect();
        Ok(Self {
            begin: look::begin(&engine, &map, redline).clamp(range.0, range.1),
            build: engine,
            map,
            setting: setting.clone(),
            in_hand,
            boosts,
            speeds,
            range,
            stroke,
        })
    }

    /// The same with other boosts for its rows, Pa gauge: held to the range of the boost asked, put in
    /// order, doubles and all beyond [`MOST_ROWS`] left out.
    #[must_use]
    pub fn with_boosts(mut self, boosts: &[f64]) -> Self {
        let (low, high) = Field::BoostTarget.spec().range_si();
        let finite = boosts.iter().filter(|b| b.is_finite());
        self.boosts = finite.take(MOST_ROWS).map(|b| b.clamp(low, high)).collect();
        crate::numeric::put_in_order(&mut self.boosts, |b| *b);
        self.boosts.dedup();
        self
    }

    /// The setting.
    #[must_use]
    pub fn setting(&self) -> &Setting {
        &self.setting
    }

    /// Room to keep in hand, as it is used.
    #[must_use]
    pub fn in_hand(&self) -> &InHand {
        &self.in_hand
    }

    /// Boost of each row, Pa gauge, rising.
    #[must_use]
    pub fn boosts(&self) -> &[f64] {
        &self.boosts
    }

    /// Least and greatest displacement searched, m³: the field's range, as far as the stroke that goes
    /// with it stays within its own.
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        self.range
    }

    /// How many rows.
    #[must_use]
    pub fn len(&self) -> usize {
        self.boosts.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.boosts.is_empty()
    }

    /// The window that rows of this survey make, in whatever order they come.
    #[must_use]
    pub fn window(&self, rows: &[Row]) -> Window {
        Window::new(self, rows)
    }

    /// The engine at a displacement, m³ (held to [`Survey::range`]), and a boost, Pa gauge: a build that
    /// can be solved in full.
    #[must_use]
    pub fn engine(&self, displacement: f64, boost: f64) -> Build {
        let displacement = displacement.max(self.range.0).min(self.range.1);
        let spring = self.build.get(Field::GateSpring).min(boost);
        let fields = [
            (Field::Displacement, displacement),
            (Field::Stroke, self.stroke * displacement.cbrt()),
            (Field::GateSpring, spring),
        ];
        self.build.varied(fields, 1.0, Some(boost))
    }
}

/// Engine speeds of the working range, evenly.
fn working_range(from: f64, redline: f64) -> Vec<f64> {
    (0..SPEEDS)
        .map(|i| from + (redline - from) * i as f64 / (SPEEDS - 1) as f64)
        .collect()
}

/// Displacements, m³, for which both the displacement and the stroke lie in the range of their fields.
fn range(stroke: f64) -> (f64, f64) {
    let (low, high) = Field::Displacement.spec().range_si();
    let (short, long) = Field::Stroke.spec().range_si();
    let low = low.max((short / stroke).powi(3));
    let high = high.min((long / stroke).powi(3));
    // An odd base engine (a stroke at the end of its range) leaves nothing between: then one place.
    (low.min(high), high)
}

/// Rows as a text that goes from a worker to the page.
#[must_use]
pub fn write_rows(rows: &[Row]) -> String {
    serde_json::to_string(rows).unwrap_or_default()
}

/// Rows back from their text; `None` if it is none.
#[must_use]
pub fn read_rows(text: &str) -> Option<Vec<Row>> {
    serde_json::from_str(text).ok()
}

#[cfg(test)]
mod tests;
