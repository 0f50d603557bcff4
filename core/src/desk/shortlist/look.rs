//! One candidate looked at: few engine speeds, and the figures and rejections that they give.

use super::figures::{BEFORE_MOST_POWER, BEFORE_MOST_TORQUE, mean, most};
use super::reasons::{Goal, Seen, rejections};
use super::sweep::{Sweep, THRESHOLD_BOOST, boost_for_power, span, sweep};
use super::wishes::{LIMIT_ROWS, RANGES, Wishes};
use crate::balance::{Answer, Plant};
use crate::build::{Arrangement, Build};
use crate::fields::Field;
use crate::run::{LimitKind, Run, SpeedReport, engine_speeds};
use serde::{Deserialize, Serialize};

/// Torque and power in one of [`RANGES`], means over engine speed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Mean {
    /// N m.
    pub torque_nm: f64,
    /// W.
    pub power_w: f64,
}

/// Least room before a limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Room {
    /// Which limit.
    pub kind: LimitKind,
    /// As in [`LimitReport::room`].
    pub room: f64,
    /// Engine speed where it is least, rev/min.
    pub at_rev_min: f64,
}

/// Why a candidate is rejected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// Too little room before a limit; `by` is the room that is missing.
    Room(LimitKind),
    /// The gate is too small; `by` is the boost above what was asked, Pa.
    Creep,
    /// The boost asked is never there; `by` is how far the most falls short, Pa.
    NeverReached,
    /// The boost asked is there too late; `by` is how much, rev/min.
    Late,
    /// The boost asked is there and is lost again; `by` is the most that is missing, Pa.
    Short,
    /// Too little power; `by` is what is missing, W.
    Power,
    /// Engine speeds did not settle; `by` is how many.
    Unsolved,
    /// It cannot be fitted: its record or its housing is wrong.
    Unfit,
}

/// A reason why a candidate is rejected.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rejection {
    /// Which reason.
    pub why: Why,
    /// Engine speed from which it holds, rev/min; `None` from the lowest on.
    pub from_rev_min: Option<f64>,
    /// Engine speed up to which it holds, rev/min; `None` up to the redline.
    pub to_rev_min: Option<f64>,
    /// By how much, in the unit that [`Why`] names.
    pub by: f64,
    /// By how much, as a share of what was asked or of the limit: what different reasons are compared by.
    pub outside: f64,
}

/// A candidate as it was looked at. Everything that ranking takes, so that other weights rank anew
/// without solving.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Look {
    /// Key of the turbocharger.
    pub turbocharger: String,
    /// Which of its housings, from 0.
    pub housing: usize,
    /// One or a pair.
    pub arrangement: Arrangement,
    /// Early, middle and top.
    pub means: [Mean; 3],
    /// Most power, W, and its engine speed, rev/min.
    pub most_power: (f64, f64),
    /// Most torque, N m, and its engine speed, rev/min.
    pub most_torque: (f64, f64),
    /// As in [`crate::run::Match`].
    pub drive_threshold_rev_min: Option<f64>,
    /// As in [`crate::run::Match`].
    pub usable_threshold_rev_min: Option<f64>,
    /// Boost over boost asked, at most 1, mean from where the early range begins to the redline.
    pub boost_share: f64,
    /// Boost solved for a power that was asked, Pa gauge.
    pub boost_for_power_pa: Option<f64>,
    /// Least room before every limit that applies.
    pub rooms: Vec<Room>,
    /// What rejects it, worst first; empty where it is accepted.
    pub rejections: Vec<Rejection>,
    /// Turbocharger states that it took.
    pub states: u64,
}

impl Look {
    /// Room left before the limit where it is the smallest part of the way from the least that is
    /// asked to what is ample, that part (at most 1), and which limit. Below 0 past the least.
    #[must_use]
    pub fn margin(&self, wishes: &Wishes) -> Option<(f64, LimitKind)> {
        let parts = LIMIT_ROWS.iter().filter_map(|row| {
            let least = wishes.least_room(row.kind).unwrap_or(0.0);
            // A person may ask for more than is ample; the way has to keep a length.
            let ample = row.ample?.max(least + SHORTEST_WAY);
            let room = self.rooms.iter().find(|room| room.kind == row.kind)?;
            Some(((room.room - least) / (ample - least), row.kind))
        });
        let tightest = parts.min_by(|a, b| a.0.total_cmp(&b.0));
        tightest.map(|(part, kind)| (part.min(1.0), kind))
    }
}

/// Shortest way from the least room to the ample.
const SHORTEST_WAY: f64 = 0.01;
/// What lies further outside than anything solved or not.
const UNFIT_OUTSIDE: f64 = 100.0;
/// Boost, Pa, that a shortfall is at least held against.
const LEAST_BOOST: f64 = 1e3;

/// A candidate that cannot be fitted.
pub(super) fn unfit(turbocharger: String, housing: usize, arrangement: Arrangement) -> Look {
    Look {
        turbocharger,
        housing,
        arrangement,
        means: [Mean::default(); 3],
        most_power: (0.0, 0.0),
        most_torque: (0.0, 0.0),
        drive_threshold_rev_min: None,
        usable_threshold_rev_min: None,
        boost_share: 0.0,
        boost_for_power_pa: None,
        rooms: Vec::new(),
        rejections: vec![Rejection {
            why: Why::Unfit,
            from_rev_min: None,
            to_rev_min: None,
            by: 0.0,
            outside: UNFIT_OUTSIDE,
        }],
        states: 0,
    }
}

/// Looks at what is fitted in a build. `guess` is where the boost for a power is looked for first.
pub(super) fn look(
    build: &Build,
    plant: Plant,
    wishes: &Wishes,
    guess: f64,
    speeds: usize,
) -> Look {
    let mut run = Run::new(build, plant);
    let power = build.optional(Field::PowerTarget);
    let boost_for_power_pa = power.map(|power| boost_for_power(&mut run, build, power, guess));
    let (low, high) = span(build);
    let at = |share: f64| low + share * (high - low);
    let speeds: Vec<f64> = engine_speeds(build, speeds).collect();
    let Sweep { solved, unsolved } = sweep(&mut run, &speeds);
    let first = |kind: fn((f64, f64)) -> f64| {
        let enough = |s: &&(f64, Answer)| kind(run.over_threshold(s.0, &s.1)) >= -THRESHOLD_BOOST;
        solved.iter().find(enough).map(|s| s.0)
    };
    let drive_threshold_rev_min = first(|over| over.0);
    let usable_threshold_rev_min = first(|over| over.1);
    let seen: Seen = solved
        .iter()
        .filter_map(|one| {
            let (reports, limits) = run.reports(std::slice::from_ref(one));
            Some((reports.into_iter().next()?, limits))
        })
        .collect();
    let along = |value: &dyn Fn(&SpeedReport) -> f64| -> Vec<(f64, f64)> {
        seen.iter()
            .map(|(s, _)| (s.engine_speed_rev_min, value(s)))
            .collect()
    };
    let (torques, powers) = (along(&|s| s.torque_nm), along(&|s| s.power_w));
    let means = RANGES.map(|range| {
        let (from, to) = (at(range.shares.0), at(range.shares.1));
        Mean {
            torque_nm: mean(&torques, from, to),
            power_w: mean(&powers, from, to),
        }
    });
    let reached = along(&|s| {
        if s.boost_asked_pa > 0.0 {
            (s.boost_pa / s.boost_asked_pa).clamp(0.0, 1.0)
        } else {
            1.0
        }
    });
    let mut rooms: Vec<Room> = Vec::new();
    for (s, limits) in &seen {
        for limit in limits {
            let here = Room {
                kind: limit.kind,
                room: limit.room,
                at_rev_min: s.engine_speed_rev_min,
            };
            match rooms.iter_mut().find(|room| room.kind == limit.kind) {
                Some(room) if here.room < room.room => *room = here,
                Some(_) => (),
                None => rooms.push(here),
            }
        }
    }
    let swap = |(place, value): (f64, f64)| (value, place);
    let boosts = seen.iter().map(|(s, _)| s.boost_asked_pa);
    let goal = Goal {
        power,
        highest_boost: boosts.fold(LEAST_BOOST, f64::max),
    };
    let mut look = Look {
        turbocharger: build.turbocharger().id.clone(),
        housing: build.housing_index(),
        arrangement: build.arrangement(),
        means,
        most_power: swap(most(powers.iter().copied(), BEFORE_MOST_POWER)),
        most_torque: swap(most(torques.iter().copied(), BEFORE_MOST_TORQUE)),
        drive_threshold_rev_min,
        usable_threshold_rev_min,
        boost_share: mean(&reached, at(RANGES[0].shares.0), high),
        boost_for_power_pa,
        rooms,
        rejections: Vec::new(),
        states: run.effort().states,
    };
    look.rejections = rejections(&look, &seen, unsolved, wishes, goal);
    look
}
