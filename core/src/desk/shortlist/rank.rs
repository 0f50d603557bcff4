//! Which candidate comes where, and why.

use super::Screen;
use super::look::{Look, Rejection};
use super::wishes::Wish;
use crate::build::Arrangement;
use serde::Serialize;
use std::cmp::Ordering;

/// What sets a candidate apart from a neighbour in the ranking.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Beside {
    /// The neighbour: index into the looks.
    pub look: usize,
    /// The wish that speaks most for this candidate, weighted, and by how much of the total.
    pub carries: Option<(Wish, f64)>,
    /// The wish that speaks most against it, and by how much (above 0).
    pub costs: Option<(Wish, f64)>,
}

/// An accepted candidate in its place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placed {
    /// Index into the looks.
    pub look: usize,
    /// Its place, from 1.
    pub place: usize,
    /// Score for each of [`Wish::ALL`]: 0 and 1 are the anchors; it may lie beyond them.
    pub scores: [f64; 4],
    /// Their mean by weight.
    pub total: f64,
    /// Against the one a place above.
    pub above: Option<Beside>,
    /// Against the one a place below.
    pub below: Option<Beside>,
}

/// A rejected candidate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rejected {
    /// Index into the looks.
    pub look: usize,
    /// Why, worst first.
    pub reasons: Vec<Rejection>,
}

/// Puts indices in order; equals stay as they stood. By insertion, as
/// [`crate::numeric::put_in_order`] and for the same reason.
fn put_in_order(indices: &mut [usize], order: impl Fn(usize, usize) -> Ordering) {
    for end in 1..indices.len() {
        let mut place = end;
        while place > 0 && order(indices[place - 1], indices[place]).is_gt() {
            indices.swap(place - 1, place);
            place -= 1;
        }
    }
}

/// An order that depends on what is looked at and not on where it stands.
fn by_key(a: &Look, b: &Look) -> Ordering {
    let pair = |look: &Look| look.arrangement == Arrangement::Pair;
    a.turbocharger
        .cmp(&b.turbocharger)
        .then(a.housing.cmp(&b.housing))
        .then(pair(a).cmp(&pair(b)))
}

impl Screen {
    /// Score of a candidate for each of [`Wish::ALL`].
    ///
    /// Torque and power are shares of what the ideal turbocharger would give this engine with the boost
    /// asked, between the anchors of the range, and not held between them; room left is
    /// [`Look::margin`], which more than is ample does not raise. None of it depends on any other
    /// candidate.
    #[must_use]
    pub fn scores(&self, look: &Look) -> [f64; 4] {
        let share = |i: usize, value: f64, ideal: f64| {
            let (nothing, all) = super::RANGES[i].anchors;
            (value / ideal - nothing) / (all - nothing)
        };
        let (means, ideal) = (&look.means, self.ideal());
        [
            share(0, means[0].torque_nm, ideal[0].torque_nm),
            share(1, means[1].torque_nm, ideal[1].torque_nm),
            share(2, means[2].power_w, ideal[2].power_w),
            look.margin(self.wishes()).map_or(0.0, |(part, _)| part),
        ]
    }

    /// The accepted candidates in order, best first. Ties by key, housing and arrangement, so that the
    /// order in which they were looked at does not matter.
    #[must_use]
    pub fn rank(&self, looks: &[Look]) -> Vec<Placed> {
        let weights = self.wishes().weights.of();
        let scored: Vec<([f64; 4], f64)> = looks
            .iter()
            .map(|look| {
                let scores = self.scores(look);
                let total = scores.iter().zip(&weights).map(|(s, w)| s * w).sum();
                (scores, total)
            })
            .collect();
        let mut order: Vec<usize> = (0..looks.len())
            .filter(|i| looks[*i].rejections.is_empty())
            .collect();
        put_in_order(&mut order, |a, b| {
            scored[b]
                .1
                .total_cmp(&scored[a].1)
                .then(by_key(&looks[a], &looks[b]))
        });
        let beside = |this: usize, other: usize| {
            let gains = Wish::ALL.iter().enumerate().map(|(i, wish)| {
                let gain = weights[i] * (scored[this].0[i] - scored[other].0[i]);
                (*wish, gain)
            });
            let gains: Vec<(Wish, f64)> = gains.collect();
            let best = gains.iter().max_by(|a, b| a.1.total_cmp(&b.1));
            let worst = gains.iter().min_by(|a, b| a.1.total_cmp(&b.1));
            Beside {
                look: other,
                carries: best.filter(|g| g.1 > 0.0).copied(),
                costs: worst.filter(|g| g.1 < 0.0).map(|g| (g.0, -g.1)),
            }
        };
        order
            .iter()
            .enumerate()
            .map(|(i, this)| Placed {
                look: *this,
                place: i + 1,
                scores: scored[*this].0,
                total: scored[*this].1,
                above: i.checked_sub(1).map(|above| beside(*this, order[above])),
                below: order.get(i + 1).map(|below| beside(*this, *below)),
            })
            .collect()
    }

    /// The rejected candidates, the furthest outside first.
    #[must_use]
    pub fn rejected(&self, looks: &[Look]) -> Vec<Rejected> {
        let outside = |i: usize| looks[i].rejections.first().map_or(0.0, |r| r.outside);
        let mut order: Vec<usize> = (0..looks.len())
            .filter(|i| !looks[*i].rejections.is_empty())
            .collect();
        put_in_order(&mut order, |a, b| {
            outside(b)
                .total_cmp(&outside(a))
                .then(by_key(&looks[a], &looks[b]))
        });
        order
            .into_iter()
            .map(|look| Rejected {
                look,
                reasons: looks[look].rejections.clone(),
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::look::{Mean, Room, unfit};
    use super::super::{Weights, Wishes};
    use super::*;
    use crate::example_build;
    use crate::run::LimitKind;

    /// A look with shares of the ideal early, in the middle and at the top, and some room.
    fn look(screen: &Screen, key: &str, shares: [f64; 3], room: f64) -> Look {
        let mut look = unfit(key.to_owned(), 0, Arrangement::Single);
        look.rejections.clear();
        for (i, share) in shares.iter().enumerate() {
            look.means[i] = Mean {
                torque_nm: share * screen.ideal()[i].torque_nm,
                power_w: share * screen.ideal()[i].power_w,
            };
        }
        look.rooms = vec![Room {
            kind: LimitKind::Choke,
            room,
            at_rev_min: 7000.0,
        }];
        look
    }

    #[test]
    fn scores_run_from_anchor_to_anchor() {
        let screen =
            Screen::new(&example_build().expect("ours"), Wishes::default()).expect("sound");
        let ranges = super::super::RANGES;
        let all = look(&screen, "a", ranges.map(|r| r.anchors.1), 0.15);
        let nothing = look(&screen, "b", ranges.map(|r| r.anchors.0), 0.02);
        for (score, of) in [(1.0, &all), (0.0, &nothing)] {
            for got in screen.scores(of) {
                assert!((got - score).abs() < 1e-12, "{got}");
            }
        }
    }

    #[test]
    fn places_come_with_their_reasons() {
        let weights = Weights {
            early: 1.0,
            middle: 0.0,
            top: 1.0,
            margin: 0.0,
        };
        let screen = Screen::new(&example_build().expect("ours"), Wishes::default())
            .expect("sound")
            .with_weights(weights);
        let looks = [
            look(&screen, "early", [0.9, 0.95, 0.9], 0.1),
            look(&screen, "twin-b", [0.5, 0.9, 0.95], 0.1),
            look(&screen, "twin-a", [0.5, 0.9, 0.95], 0.1),
        ];
        let ranked = screen.rank(&looks);
        let order: Vec<usize> = ranked.iter().map(|p| p.look).collect();
        // Equals by key.
        assert_eq!(order, [0, 2, 1]);
        let below = ranked[0].below.expect("two more");
        assert!(
            matches!(below.carries, Some((Wish::Early, by)) if (by - 0.5 * 0.4 / 0.6).abs() < 1e-9)
        );
        assert!(
            matches!(below.costs, Some((Wish::Top, by)) if (by - 0.5 * 0.05 / 0.2).abs() < 1e-9)
        );
        let even = ranked[1].below.expect("its twin");
        assert_eq!((even.carries, even.costs), (None, None));
        assert!(ranked[0].above.is_none() && ranked[2].below.is_none());
    }

    #[test]
    fn weights_that_are_none_count_alike() {
        let none = Weights {
            early: 0.0,
            middle: f64::NAN,
            top: -1.0,
            margin: 0.0,
        };
        assert_eq!(none.of(), [0.25; 4]);
        let sum: f64 = Weights::default().of().iter().sum();
        assert!((sum - 1.0).abs() < 1e-12);
    }
}
