//! Where each candidate gains and loses, over which speeds, by how much and why, and whom it suits.

use super::{Causes, Contender, Contest};
use crate::numeric::put_in_order;
use crate::run::{LimitKind, Match, SpeedReport};
use serde::Serialize;

/// From which difference on something is worth a word. All judgements, no source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noted {
    /// Where boost begins, rev/min.
    pub boost_from_rev_min: f64,
    /// Torque, as a share of the most of the two.
    pub torque: f64,
    /// Most power, as a share of the larger.
    pub power: f64,
    /// Pressure before the turbine at the same boost, Pa.
    pub before_turbine_pa: f64,
    /// Boost that still counts as the same, Pa.
    pub same_boost_pa: f64,
    /// Time to boost, as a share of the longer.
    pub time: f64,
    /// Room left before a limit, as a share of the limit.
    pub room: f64,
    /// Length of a stretch of engine speeds, as a share of the whole range.
    pub stretch: f64,
}

/// What is noted.
pub const NOTED: Noted = Noted {
    boost_from_rev_min: 50.0,
    torque: 0.02,
    power: 0.01,
    before_turbine_pa: 4000.0,
    same_boost_pa: 2000.0,
    time: 0.08,
    room: 0.03,
    stretch: 0.05,
};

/// What a claim is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Lowest engine speed with 90 % of the boost within all limits, rev/min; none where never.
    BoostFrom,
    /// Torque at one engine speed, N m, the largest difference of a stretch.
    Torque,
    /// Most power, W.
    MostPower,
    /// Pressure before the turbine at the same boost, Pa, at the highest engine speed with it.
    BeforeTurbine,
    /// Time from light load to 90 % of the boost, s; none where it never comes.
    TimeToBoost,
    /// Room left before a limit, as a share of it.
    Room(LimitKind),
    /// A limit that is passed, or that holds boost down, over a stretch; no other is held against it.
    Past(LimitKind),
}

/// One thing that a candidate gains or gives up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Claim {
    /// What it is about, and so the unit of its figures.
    pub measure: Measure,
    /// Whether it speaks for the candidate.
    pub gain: bool,
    /// The contender that it is held against, by its place; `None` where it stands alone.
    pub against: Option<usize>,
    /// The candidate's figure.
    pub mine: Option<f64>,
    /// The other's.
    pub theirs: Option<f64>,
    /// The engine speed that the figures belong to, rev/min; of the candidate's where each has its own.
    pub at_rev_min: Option<f64>,
    /// The engine speed of the other's figure, where it has its own, rev/min.
    pub their_rev_min: Option<f64>,
    /// It is a limit that stops the candidate where boost is wanted.
    pub stops: bool,
    /// The engine speeds over which it holds, rev/min.
    pub over_rev_min: Option<(f64, f64)>,
    /// How much of the difference, mine less theirs, the compressor and the turbine make.
    pub shares: Option<(f64, f64)>,
    /// The difference over what is noted, for an order; a limit's is larger than any.
    pub weight: f64,
}

/// On what engine a candidate is at home, among those it stands beside.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suits {
    /// Engine speeds, rev/min, at which none of the others comes near its torque.
    pub alone_over_rev_min: Vec<(f64, f64)>,
    /// Engine speeds at which its torque is the best or near it.
    pub best_over_rev_min: Vec<(f64, f64)>,
    /// The least room before what would hold boost down, with that limit, where it has clearly more
    /// than any other: boost could be raised, or the day be hotter and the road higher.
    pub in_hand: Option<(LimitKind, f64)>,
    /// The limit that it passes or that holds boost down, if one does.
    pub past: Option<LimitKind>,
}

/// What is to be said of one candidate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Account {
    /// What it gains, the weightiest first.
    pub gains: Vec<Claim>,
    /// What it gives up, the weightiest first.
    pub losses: Vec<Claim>,
    /// Whom it suits.
    pub suits: Suits,
}

impl Contest {
    /// The account of every contender. The first is held against each of the others, of which the
    /// weightiest claim of a kind stands; the others are held against the first.
    #[must_use]
    pub fn account(&self) -> Vec<Account> {
        let count = self.contenders.len();
        let mut of: Vec<Vec<Claim>> = vec![Vec::new(); count];
        for other in 1..count {
            let against = self.claims(other, 0, self.causes(other));
            of[0].extend(against.iter().map(Claim::mirrored(other)));
            of[other].extend(against);
        }
        if let Some(first) = of.first_mut() {
            strongest(first);
        }
        let accounts = of.into_iter().enumerate().map(|(place, mut claims)| {
            claims.extend(self.past(place));
            put_in_order(&mut claims, |c| -c.weight);
            let (gains, losses) = claims.into_iter().partition(|c| c.gain);
            Account {
                gains,
                losses,
                suits: self.suits(place),
            }
        });
        accounts.collect()
    }

    /// What one gains and loses against another.
    fn claims(&self, place: usize, other: usize, causes: Option<&Causes>) -> Vec<Claim> {
        let (Some(this), Some(that)) = (self.contenders.get(place), self.contenders.get(other))
        else {
            return Vec::new();
        };
        let pair = Pair {
            this,
            that,
            against: other,
            causes,
            reference: self.reference_rev_min,
        };
        let mut claims = Vec::new();
        claims.extend(pair.boost_from());
        claims.extend(pair.torque(&self.speeds()));
        claims.extend(pair.most_power());
        claims.extend(pair.before_turbine(&self.speeds()));
        claims.extend(pair.time());
        claims.extend(pair.room());
        claims
    }

    /// Limits that a contender passes, and those that hold its boost down.
    fn past(&self, place: usize) -> Vec<Claim> {
        let Some(this) = self.contenders.get(place) else {
            return Vec::new();
        };
        let limits = this.found.limits.iter();
        let past = limits.filter(|l| l.room < 0.0 || (l.kind.caps() && l.holds_boost.is_some()));
        let claims = past.map(|limit| {
            let stops = this.is_stopped_by(limit);
            Claim {
                measure: Measure::Past(limit.kind),
                gain: false,
                against: None,
                mine: Some(limit.room),
                theirs: None,
                at_rev_min: Some(limit.at_rev_min),
                their_rev_min: None,
                stops,
                over_rev_min: limit.holds_boost,
                shares: None,
                // Limits come before what it is like, and what stops it before what delays it.
                weight: if stops { 200.0 } else { 100.0 } + (-limit.room).max(0.0) / NOTED.room,
            }
        });
        claims.collect()
    }

    fn suits(&self, place: usize) -> Suits {
        // Before any of them has boost they are alike.
        let boost = self.contenders.iter();
        let boost = boost.filter_map(|c| c.found.usable_threshold_rev_min);
        let from = boost.fold(f64::INFINITY, f64::min);
        let mut speeds = self.speeds();
        if from.is_finite() {
            speeds.retain(|speed| *speed >= from);
        }
        let torque = |contender: &Contender, speed: f64| contender.at(speed).map(|s| s.torque_nm);
        let others = |speed: f64| {
            let all = self.contenders.iter().enumerate();
            all.filter(|(i, _)| *i != place)
                .filter_map(|(_, c)| torque(c, speed))
                .fold(f64::NEG_INFINITY, f64::max)
        };
        let most = self
            .contenders
            .iter()
            .filter_map(|c| c.found.speeds.get(c.found.most_torque))
            .map(|s| s.torque_nm)
            .fold(0.0, f64::max);
        let noted = NOTED.torque * most;
        let over = |test: &dyn Fn(f64, f64) -> bool| {
            let good = |speed: f64| {
                let mine = self.contenders.get(place).and_then(|c| torque(c, speed));
                mine.is_some_and(|mine| test(mine, others(speed)))
            };
            stretches(&speeds, good)
        };
        let room = |c: &Contender| least_room(c).map(|(_, room)| room);
        let mine = self.contenders.get(place).and_then(least_room);
        let next = self
            .contenders
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != place)
            .filter_map(|(_, c)| room(c))
            .fold(f64::NEG_INFINITY, f64::max);
        let past = self.contenders.get(place).and_then(|c| {
            let stops = c.gives_out_first().filter(|l| c.is_stopped_by(l));
            stops.map(|l| l.kind)
        });
        let boosted = self
            .contenders
            .get(place)
            .is_some_and(|c| c.found.usable_threshold_rev_min.is_some());
        Suits {
            alone_over_rev_min: over(&|mine, best| mine - best > noted),
            best_over_rev_min: over(&|mine, best| mine - best > -noted),
            // Room that is left because boost is not there is none.
            in_hand: mine.filter(|(_, room)| {
                past.is_none() && boosted && *room > NOTED.room && room - next > NOTED.room
            }),
            past,
        }
    }
}

/// The least room at the top end before what would hold boost down: surge is of the low end.
fn least_room(contender: &Contender) -> Option<(LimitKind, f64)> {
    let limits = contender.found.limits.iter();
    limits
        .filter(|l| matches!(l.kind, LimitKind::ShaftSpeed | LimitKind::Choke))
        .map(|l| (l.kind, if l.holds_boost.is_some() { 0.0 } else { l.room }))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Runs of speeds that are long enough to be worth a word.
fn stretches(speeds: &[f64], good: impl Fn(f64) -> bool) -> Vec<(f64, f64)> {
    let whole = match (speeds.first(), speeds.last()) {
        (Some(first), Some(last)) => last - first,
        _ => return Vec::new(),
    };
    let mut runs: Vec<(f64, f64)> = Vec::new();
    let mut open = false;
    for speed in speeds {
        let here = good(*speed);
        match (here, open, runs.last_mut()) {
            (true, true, Some(last)) => last.1 = *speed,
            (true, ..) => runs.push((*speed, *speed)),
            _ => {}
        }
        open = here;
    }
    runs.retain(|(from, to)| to - from >= NOTED.stretch * whole);
    runs
}

/// Of claims of one kind and sense, the weightiest.
fn strongest(claims: &mut Vec<Claim>) {
    put_in_order(claims, |c| -c.weight);
    let mut kept: Vec<Claim> = Vec::new();
    for claim in claims.drain(..) {
        let same = |k: &Claim| k.measure == claim.measure && k.gain == claim.gain;
        if !kept.iter().any(same) {
            kept.push(claim);
        }
    }
    *claims = kept;
}

impl Claim {
    /// The same as the other side says it.
    fn mirrored(against: usize) -> impl Fn(&Claim) -> Claim {
        move |claim| Claim {
            gain: !claim.gain,
            against: Some(against),
            mine: claim.theirs,
            theirs: claim.mine,
            at_rev_min: claim.their_rev_min.or(claim.at_rev_min),
            their_rev_min: claim.their_rev_min.and(claim.at_rev_min),
            shares: claim.shares.map(|(a, b)| (-a, -b)),
            ..claim.clone()
        }
    }

    /// Mine less theirs; `None` where one has no figure.
    #[must_use]
    pub fn difference(&self) -> Option<f64> {
        Some(self.mine? - self.theirs?)
    }
}

/// One held against another.
struct Pair<'a> {
    this: &'a Contender,
    that: &'a Contender,
    against: usize,
    causes: Option<&'a Causes>,
    reference: f64,
}

impl Pair<'_> {
    fn claim(&self, measure: Measure, figures: (Option<f64>, Option<f64>)) -> Claim {
        Claim {
            measure,
            gain: false,
            against: Some(self.against),
            mine: figures.0,
            theirs: figures.1,
            at_rev_min: None,
            their_rev_min: None,
            stops: false,
            over_rev_min: None,
            shares: None,
            weight: 0.0,
        }
    }

    fn shares(&self, figure: impl Fn(&Match) -> Option<f64>) -> Option<(f64, f64)> {
        let causes = self.causes?;
        causes.shares(&self.this.found, &self.that.found, figure)
    }

    /// A claim about what is the better the lower it is; one that never comes is worst.
    fn sooner(
        &self,
        measure: Measure,
        figures: (Option<f64>, Option<f64>),
        noted: f64,
    ) -> Option<Claim> {
        let (gain, weight) = match figures {
            (None, None) => return None,
            (Some(_), None) => (true, 50.0),
            (None, Some(_)) => (false, 50.0),
            (Some(mine), Some(theirs)) => (mine < theirs, (mine - theirs).abs() / noted),
        };
        (weight >= 1.0).then(|| Claim {
            gain,
            weight,
            ..self.claim(measure, figures)
        })
    }

    fn boost_from(&self) -> Option<Claim> {
        let of = |found: &Match| found.usable_threshold_rev_min;
        let figures = (of(&self.this.found), of(&self.that.found));
        let claim = self.sooner(Measure::BoostFrom, figures, NOTED.boost_from_rev_min)?;
        Some(Claim {
            shares: self.shares(of),
            ..claim
        })
    }

    fn time(&self) -> Option<Claim> {
        // Both were worked out, and neither was lost on the way.
        let reach = |c: &Contender| {
            let known = c.reach.as_ref().is_some_and(Option::is_some);
            known.then(|| c.time_to_boost(self.reference))
        };
        let figures = (reach(self.this)?, reach(self.that)?);
        let longer = figures.0.unwrap_or(0.0).max(figures.1.unwrap_or(0.0));
        let claim = self.sooner(Measure::TimeToBoost, figures, NOTED.time * longer)?;
        Some(Claim {
            at_rev_min: Some(self.reference),
            ..claim
        })
    }

    /// The stretch with the most torque gained, and that with the most given up.
    fn torque(&self, speeds: &[f64]) -> Vec<Claim> {
        let most = |c: &Contender| c.found.speeds.get(c.found.most_torque).map(|s| s.torque_nm);
        let (Some(a), Some(b)) = (most(self.this), most(self.that)) else {
            return Vec::new();
        };
        let noted = NOTED.torque * a.max(b);
        let both: Vec<(f64, f64, f64)> = speeds
            .iter()
            .filter_map(|speed| {
                let torque = |c: &Contender| c.at(*speed).map(|s| s.torque_nm);
                Some((*speed, torque(self.this)?, torque(self.that)?))
            })
            .collect();
        let mut claims = Vec::new();
        for sign in [1.0, -1.0] {
            let mut runs: Vec<&[(f64, f64, f64)]> = both
                .split(|(_, mine, theirs)| sign * (mine - theirs) < noted)
                .filter(|run| !run.is_empty())
                .collect();
            let area =
                |run: &&[(f64, f64, f64)]| run.iter().map(|p| (p.1 - p.2).abs()).sum::<f64>();
            put_in_order(&mut runs, |run| -area(run));
            let Some(run) = runs.first() else { continue };
            let apart = |p: &&(f64, f64, f64)| (p.1 - p.2).abs();
            let largest = run.iter().max_by(|a, b| apart(a).total_cmp(&apart(b)));
            if let (Some(from), Some(to), Some(at)) = (run.first(), run.last(), largest) {
                let speed = at.0;
                let torque = |found: &Match| near(found, speed).map(|s| s.torque_nm);
                claims.push(Claim {
                    gain: sign > 0.0,
                    at_rev_min: Some(speed),
                    over_rev_min: Some((from.0, to.0)),
                    shares: self.shares(torque),
                    weight: (at.1 - at.2).abs() / noted,
                    ..self.claim(Measure::Torque, (Some(at.1), Some(at.2)))
                });
            }
        }
        claims
    }

    fn most_power(&self) -> Option<Claim> {
        let (mine, theirs) = (self.this.peak()?, self.that.peak()?);
        let noted = NOTED.power * mine.power_w.max(theirs.power_w);
        let weight = (mine.power_w - theirs.power_w).abs() / noted;
        let most = |found: &Match| Some(found.speeds.get(found.most_power)?.power_w);
        (weight >= 1.0).then(|| Claim {
            gain: mine.power_w > theirs.power_w,
            at_rev_min: Some(mine.engine_speed_rev_min),
            their_rev_min: Some(theirs.engine_speed_rev_min),
            shares: self.shares(most),
            weight,
            ..self.claim(
                Measure::MostPower,
                (Some(mine.power_w), Some(theirs.power_w)),
            )
        })
    }

    /// At the highest engine speed at which both hold the same boost: what it costs to drive it.
    fn before_turbine(&self, speeds: &[f64]) -> Option<Claim> {
        let same = |speed: &f64| {
            let (a, b) = (self.this.at(*speed)?, self.that.at(*speed)?);
            ((a.boost_pa - b.boost_pa).abs() < NOTED.same_boost_pa).then_some((a, b))
        };
        let (mine, theirs) = speeds.iter().rev().find_map(same)?;
        let pressure = |s: &SpeedReport| s.turbine_inlet.pressure_pa;
        let apart = pressure(mine) - pressure(theirs);
        let weight = apart.abs() / NOTED.before_turbine_pa;
        let speed = mine.engine_speed_rev_min;
        (weight >= 1.0).then(|| Claim {
            gain: apart < 0.0,
            at_rev_min: Some(speed),
            shares: self.shares(|found| near(found, speed).map(pressure)),
            weight,
            ..self.claim(
                Measure::BeforeTurbine,
                (Some(pressure(mine)), Some(pressure(theirs))),
            )
        })
    }

    /// Of the limits of the turbocharger that neither passes, the one where the rooms differ most.
    fn room(&self) -> Option<Claim> {
        let kinds = [
            LimitKind::ShaftSpeed,
            LimitKind::Choke,
            LimitKind::CompressorOutlet,
            LimitKind::TurbineInlet,
            LimitKind::Gate,
        ];
        let room = |c: &Contender, kind: LimitKind| {
            let limit = c.found.limits.iter().find(|l| l.kind == kind)?;
            (limit.room >= 0.0 && limit.holds_boost.is_none())
                .then_some((limit.room, limit.at_rev_min))
        };
        let claims = kinds.into_iter().filter_map(|kind| {
            let (mine, theirs) = (room(self.this, kind)?, room(self.that, kind)?);
            // Far from a limit the room says little: it is held against what is left.
            let weight = (mine.0 - theirs.0).abs() / NOTED.room.max(mine.0.min(theirs.0));
            (weight >= 1.0).then(|| Claim {
                gain: mine.0 > theirs.0,
                at_rev_min: Some(mine.1),
                weight,
                ..self.claim(Measure::Room(kind), (Some(mine.0), Some(theirs.0)))
            })
        });
        claims.max_by(|a, b| a.weight.total_cmp(&b.weight))
    }
}

/// The report at an engine speed of a match, or the next above where that did not settle.
fn near(found: &Match, speed: f64) -> Option<&SpeedReport> {
    let next = found
        .speeds
        .partition_point(|s| s.engine_speed_rev_min < speed);
    found.speeds.get(next)
}
