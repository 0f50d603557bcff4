//! Sizes solved back, corrected, and moved until they suit.

use super::duty::{Duty, SPEEDS, duty};
use super::wheels::{GATES, HOUSINGS, Sizes};
use super::{Asked, IN_HAND, SizingError};
use crate::air_way::compressor::{CompressorMap, MapReference};
use crate::balance::Plant;
use crate::build::{Arrangement, Build, Turbocharger};
use crate::compressor_map;
use crate::desk::shortlist::{Rejection, Screen, Why, Wishes};
use crate::fields::Field;
use crate::run::{LimitKind, Match, SolveError, solve_with_map};
use std::sync::Arc;

/// Share of a gate's opening that is kept in hand. A judgement, no source.
const GATE_IN_HAND: f64 = 0.25;
/// Engine speeds of a look at a size.
const LOOK_SPEEDS: usize = 16;
/// Largest share of the exhaust past the gate that is tried, the steps towards it, and the halvings of
/// the step in which the least lies that will do.
const MOST_PAST_THE_GATE: f64 = 0.6;
const SHARE_STEP: f64 = 0.05;
const SHARE_HALVINGS: usize = 4;
/// How far beyond what is made a housing may seem to be, as a share.
const HOUSING_SLACK: f64 = 2e-3;
/// How often what was solved back corrects what was aimed at.
const CORRECTIONS: usize = 3;

/// A turbocharger of some sizes on the engine.
pub(super) struct Fitted {
    pub turbocharger: Arc<Turbocharger>,
    pub build: Build,
    pub map: CompressorMap,
}

/// The least room before choke of a match, and the gate's share where the flow is greatest.
fn solved_back(found: &Match) -> Option<(f64, f64, f64)> {
    let choke = found.limits.iter().find(|l| l.kind == LimitKind::Choke)?;
    let flow = |i: &usize| found.speeds[*i].corrected_flow_kg_s;
    let most = (0..found.speeds.len()).max_by(|a, b| flow(a).total_cmp(&flow(b)))?;
    let share = found.speeds[most].gate_share;
    let areas = found.speeds.iter().map(|s| s.gate_area_m2);
    Some((choke.room, share, areas.fold(0.0, f64::max)))
}

/// A build in which sizes are looked for.
pub(super) struct Search<'a> {
    pub build: Build,
    plant: Plant,
    asked: &'a Asked,
    /// As asked.
    pub screen: Screen,
    /// As asked, and boost by the share of the redline.
    pub prompt: Screen,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        build: &Build,
        asked: &'a Asked,
        arrangement: Arrangement,
    ) -> Result<Self, SizingError> {
        let build = build.with_arrangement(arrangement);
        let per_min = 60.0 / std::f64::consts::TAU;
        let by = asked.boost_by_share * build.get(Field::Redline) * per_min;
        let own = asked.wishes.boost_by_rev_min;
        let wishes = Wishes {
            boost_by_rev_min: Some(own.map_or(by, |own| own.min(by))),
            ..asked.wishes.clone()
        };
        let screen = Screen::new(&build, asked.wishes.clone())?.with_speeds(LOOK_SPEEDS);
        Ok(Self {
            plant: Plant::new(&build).map_err(SolveError::from)?,
            prompt: screen.clone().with_wishes(wishes),
            screen,
            build,
            asked,
        })
    }

    fn reference(&self) -> MapReference {
        self.plant.map.reference()
    }

    pub(super) fn fit(&self, sizes: &Sizes) -> Result<Fitted, SizingError> {
        let turbocharger = Arc::new(sizes.turbocharger(self.reference())?);
        let build = self.build.fitted_with(turbocharger.clone(), 0)?;
        let map = compressor_map(&build).map_err(SolveError::from)?;
        Ok(Fitted {
            turbocharger,
            build,
            map,
        })
    }

    /// Sizes for a share past the gate, solved back and corrected until room before choke and share
    /// are what was asked over all engine speeds; the gate as large as it then has to be.
    pub(super) fn corrected(&self, share_asked: f64) -> Result<Duty, SizingError> {
        let least = self.asked.wishes.least_room(LimitKind::Choke);
        let choke_asked = least.unwrap_or(0.0) + IN_HAND;
        let (mut choke, mut share) = (choke_asked, share_asked);
        let mut found = duty(&self.plant, &self.build, self.asked, choke, share)?;
        let mut gate = 0.0;
        for round in 0..=CORRECTIONS {
            let fitted = self.fit(&found.sizes)?;
            let back = solve_with_map(&fitted.build, fitted.map, SPEEDS);
            let Some((choke_left, share_left, area)) = solved_back(&back) else {
                break;
            };
            gate = area;
            if round == CORRECTIONS {
                break;
            }
            choke = (choke + choke_asked - choke_left).clamp(-0.2, 0.6);
            share = (share + share_asked - share_left).clamp(0.0, 0.7);
            found = duty(&self.plant, &self.build, self.asked, choke, share)?;
        }
        // A valve that lifts by a quarter of its diameter opens as far as its seat.
        let area = gate / (1.0 - GATE_IN_HAND);
        let gate_m = (4.0 * area / std::f64::consts::PI).sqrt();
        found.sizes.gate_m = gate_m.clamp(GATES.0, GATES.1);
        Ok(found)
    }

    /// Whether the housing is one that is made, and whether boost is early enough.
    fn suits(&self, share: f64) -> Result<(bool, bool), SizingError> {
        let least = self.asked.wishes.least_room(LimitKind::Choke);
        let choke = least.unwrap_or(0.0) + IN_HAND;
        let sizes = duty(&self.plant, &self.build, self.asked, choke, share)?.sizes;
        if sizes.a_over_r > HOUSINGS.1 * (1.0 + HOUSING_SLACK) {
            return Ok((false, false));
        }
        let Fitted { build, map, .. } = self.fit(&sizes)?;
        let look = self
            .prompt
            .look_at_build(&build, Plant::with_map(&build, map));
        let late = |r: &Rejection| matches!(r.why, Why::Late | Why::NeverReached);
        Ok((true, !look.rejections.iter().any(late)))
    }

    /// The least share past the gate, from that asked on, that gives a housing that is made and boost
    /// early enough; where none does, a housing that is made; else what was asked.
    pub(super) fn share(&self) -> Result<f64, SizingError> {
        let asked = self.asked.gate_share.clamp(0.0, MOST_PAST_THE_GATE);
        let both = |(made, early): (bool, bool)| made && early;
        if both(self.suits(asked)?) {
            return Ok(asked);
        }
        let (mut low, mut made) = (asked, None);
        while low < MOST_PAST_THE_GATE {
            let next = (low + SHARE_STEP).min(MOST_PAST_THE_GATE);
            let Ok(suits) = self.suits(next) else {
                // So little gas cannot drive the compressor.
                break;
            };
            if suits.0 && made.is_none() {
                made = Some(next);
            }
            if !both(suits) {
                low = next;
                continue;
            }
            let mut high = next;
            for _ in 0..SHARE_HALVINGS {
                let middle = 0.5 * (low + high);
                if both(self.suits(middle)?) {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            return Ok(high);
        }
        Ok(made.unwrap_or(asked))
    }
}
