//! What the person values, and what comes before it.

use crate::run::LimitKind;
use serde::{Deserialize, Serialize};

/// Something a person may value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Wish {
    /// Torque low in the range.
    Early,
    /// Torque in the middle of it.
    Middle,
    /// Power at its top.
    Top,
    /// Room left before the limits.
    Margin,
}

impl Wish {
    /// Every wish, in the order of [`Weights::of`].
    pub const ALL: [Wish; 4] = [Wish::Early, Wish::Middle, Wish::Top, Wish::Margin];

    /// What the page calls it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Wish::Early => "Early torque",
            Wish::Middle => "Middle",
            Wish::Top => "Top end",
            Wish::Margin => "Room left",
        }
    }
}

/// A part of the engine's speed range, and what torque or power in it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Where it begins and ends, as shares of the way from the lowest engine speed to the redline.
    pub shares: (f64, f64),
    /// Share of what the ideal turbocharger gives that scores 0, and that scores 1.
    pub anchors: (f64, f64),
}

/// Early, middle and top, in the order of [`Wish::ALL`].
///
/// Where they begin and end is a judgement, no source: below the first nobody asks for full load, and
/// the last is where an engine is kept that is driven hard. The anchors are judgements too: candidates
/// differ by half of the torque early and by a twentieth of the power at the top, and a scale has to be
/// as wide as what there is to choose from. They depend on the engine and the goal alone, so that no
/// candidate's score depends on which others there are.
pub const RANGES: [Range; 3] = [
    Range {
        shares: (0.2, 0.45),
        anchors: (0.4, 1.0),
    },
    Range {
        shares: (0.45, 0.75),
        anchors: (0.8, 1.0),
    },
    Range {
        shares: (0.75, 1.0),
        anchors: (0.8, 1.0),
    },
];

/// A row of the table of limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitRow {
    /// Which limit.
    pub kind: LimitKind,
    /// Room that must be left, as in [`crate::run::LimitReport::room`], unless a person says otherwise;
    /// `None` where the limit does not reject.
    pub least: Option<f64>,
    /// Room that is plenty: more of it is worth no more. `None` where the limit says nothing of the
    /// turbocharger's size.
    pub ample: Option<f64>,
    /// Where the figures come from.
    pub source: &'static str,
}

/// Every limit that may reject.
pub const LIMIT_ROWS: [LimitRow; 10] = [
    LimitRow {
        kind: LimitKind::ShaftSpeed,
        least: Some(0.02),
        ample: Some(0.15),
        source: "a judgement, no source: a cold day or a dirty filter takes some 2 %",
    },
    LimitRow {
        kind: LimitKind::Choke,
        least: Some(0.02),
        ample: Some(0.15),
        source: "a judgement, no source: an estimated map is unsure of its flow by 6 %",
    },
    LimitRow {
        kind: LimitKind::Surge,
        least: Some(0.0),
        ample: None,
        source: "boost is held down to the surge line while it builds; what that costs shows early",
    },
    LimitRow {
        kind: LimitKind::CompressorOutlet,
        least: Some(0.0),
        ample: Some(0.25),
        source: "a judgement, no source: the limit itself has its room",
    },
    LimitRow {
        kind: LimitKind::TurbineInlet,
        least: Some(0.0),
        ample: Some(0.1),
        source: "a judgement, no source: some 90 K",
    },
    LimitRow {
        kind: LimitKind::BackPressure,
        least: Some(0.0),
        ample: Some(0.4),
        source: "a judgement, no source: 1.2 before a limit of 2.0",
    },
    LimitRow {
        kind: LimitKind::Gate,
        least: Some(0.0),
        ample: Some(0.4),
        source: "a judgement, no source",
    },
    LimitRow {
        kind: LimitKind::Injectors,
        least: None,
        ample: None,
        source: "the engine's own: hardly another with another turbocharger",
    },
    LimitRow {
        kind: LimitKind::PeakPressure,
        least: None,
        ample: None,
        source: "the engine's own: hardly another with another turbocharger",
    },
    LimitRow {
        kind: LimitKind::Sensor,
        least: None,
        ample: None,
        source: "the engine's own: hardly another with another turbocharger",
    },
];

/// Boost above what was asked, Pa, up to which a gate is taken to hold it. A judgement, no source:
/// what a boost gauge's needle does not show.
pub const CREEP_LET_PASS: f64 = 5_000.0;

/// Share of a power asked for that counts as reached: what the coarse look may be off by.
pub const POWER_REACHED: f64 = 0.995;

/// How much each wish counts, each 0 to 1. Others are held to that.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Weights {
    /// Mean torque in the early range.
    pub early: f64,
    /// Mean torque in the middle.
    pub middle: f64,
    /// Mean power at the top.
    pub top: f64,
    /// Room left before the tightest limit.
    pub margin: f64,
}

impl Default for Weights {
    /// All alike but for the room left, which the hard limits have already seen to. A judgement.
    fn default() -> Self {
        Self {
            early: 0.5,
            middle: 0.5,
            top: 0.5,
            margin: 0.25,
        }
    }
}

impl Weights {
    /// In the order of [`Wish::ALL`], as shares of their sum; all alike where none counts.
    #[must_use]
    pub fn of(&self) -> [f64; 4] {
        let held = [self.early, self.middle, self.top, self.margin].map(|w| {
            if w.is_finite() {
                w.clamp(0.0, 1.0)
            } else {
                0.0
            }
        });
        let sum: f64 = held.iter().sum();
        if sum > 0.0 {
            held.map(|w| w / sum)
        } else {
            [0.25; 4]
        }
    }
}

/// Room that must be left before a limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LeastRoom {
    /// Which limit.
    pub kind: LimitKind,
    /// As in [`crate::run::LimitReport::room`].
    pub room: f64,
}

/// What a person values, and what comes before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Wishes {
    /// How much each wish counts.
    pub weights: Weights,
    /// Room that must be left; a limit that is not named does not reject.
    pub rooms: Vec<LeastRoom>,
    /// Engine speed by which the boost asked must be there (as by
    /// [`crate::run::THRESHOLD_SHARE`]), rev/min; `None` where any will do.
    pub boost_by_rev_min: Option<f64>,
    /// Whether the boost asked must still be there at the redline.
    pub boost_to_redline: bool,
    /// Least power at the crank, W. A power that the build asks for must be reached whatever this is.
    pub least_power_w: Option<f64>,
}

impl Default for Wishes {
    fn default() -> Self {
        let rooms = LIMIT_ROWS.iter().filter_map(|row| {
            Some(LeastRoom {
                kind: row.kind,
                room: row.least?,
            })
        });
        Self {
            weights: Weights::default(),
            rooms: rooms.collect(),
            boost_by_rev_min: None,
            boost_to_redline: true,
            least_power_w: None,
        }
    }
}

impl Wishes {
    /// Room that must be left before a limit; `None` where it does not reject.
    #[must_use]
    pub fn least_room(&self, kind: LimitKind) -> Option<f64> {
        let found = self.rooms.iter().find(|least| least.kind == kind);
        found.map(|least| least.room)
    }
}
