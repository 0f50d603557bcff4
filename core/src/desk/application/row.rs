//! One boost: the displacements that suit, from the lowest to the highest.

use super::{Bound, Look, Survey, THRESHOLD_SPEEDS};
use crate::balance::Plant;
use crate::numeric::bracketed_root;
use crate::run::Run;
use serde::{Deserialize, Serialize};

/// Step of a search over displacement: its ratio.
const STEP: f64 = 1.25;
/// Accuracy of a bound: half the share of the displacement that is left of its bracket.
const ACCURACY: f64 = 0.002;
/// Slack that is none: a twentieth of what a limit is known to.
const NO_SLACK: f64 = 5e-4;
/// Accuracy of the most boost, Pa.
const BOOST_ACCURACY: f64 = 500.0;
/// Displacements between the ends at which power is worked out.
const BETWEEN: usize = 3;
/// How far from where it begins a search goes over the range, as a ratio: from the middle of a map's flow
/// at 1 bar of boost to its end without any is a factor of 3.3, to its beginning at 4 bar one of 5.
const FAR: f64 = 6.0;
/// Slack gained for each unit of the logarithm of displacement, at most: over the shelf late boost comes to
/// 9.9 where the shaft's balance all but folds. Where more is lacking than a bracket can hold, it is not
/// searched.
const STEEPEST: f64 = 10.0;
/// Most looks of one search.
const MOST_LOOKS: usize = 60;
/// 2 less the golden ratio.
const GOLDEN: f64 = 0.381_966;

/// An end of a row.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct End {
    /// Displacement, m³.
    pub displacement_m3: f64,
    /// The limit that sets it.
    pub bound: Bound,
    /// Lowest engine speed with 90 % of the boost asked within all limits that cap, rev/min.
    pub usable_threshold_rev_min: Option<f64>,
    /// Most power at the wheels in the working range, W.
    pub wheel_power_w: f64,
}

/// The displacements that suit at one boost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// The lowest.
    pub low: End,
    /// The highest.
    pub high: End,
    /// Displacement, m³, and most power at the wheels, W, from the lowest to the highest.
    pub power: Vec<(f64, f64)>,
}

/// Where a row that has no window comes closest to one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Closest {
    /// Displacement, m³.
    pub displacement_m3: f64,
    /// Slack of the limit nearest there, below 0.
    pub slack: f64,
    /// What stands against a smaller engine.
    pub smaller: Bound,
    /// What stands against a larger one.
    pub larger: Bound,
}

/// Where a window closes above a row, below the next.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Top {
    /// The most boost, Pa gauge.
    pub boost_pa: f64,
    /// Displacement, m³.
    pub displacement_m3: f64,
    /// What stands against a smaller engine.
    pub smaller: Bound,
    /// What stands against a larger one, or against more boost.
    pub larger: Bound,
    /// Lowest engine speed with 90 % of the boost asked within all limits that cap, rev/min.
    pub usable_threshold_rev_min: Option<f64>,
    /// Most power at the wheels in the working range, W.
    pub wheel_power_w: f64,
}

/// One boost of a survey.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// Boost asked, Pa gauge.
    pub boost_pa: f64,
    /// Displacements that suit, if any do.
    pub span: Option<Span>,
    /// Where none does: how close it comes.
    pub closest: Option<Closest>,
    /// Where the next row's boost is too much for any: up to how much it is not.
    pub top: Option<Top>,
}

/// A search along displacement that found a place inside, or none.
enum Found {
    Inside(Look),
    Nowhere(Closest),
}

impl Survey {
    /// Works out one row, by its place in [`Survey::boosts`]; `None` where there is none.
    #[must_use]
    pub fn row(&self, place: usize) -> Option<Row> {
        let boost = *self.boosts.get(place)?;
        let mut row = Row {
            boost_pa: boost,
            span: None,
            closest: None,
            top: None,
        };
        match self.find(boost) {
            Found::Nowhere(closest) => row.closest = Some(closest),
            Found::Inside(inside) => {
                row.span = Some(self.span(&inside));
                row.top = match self.boosts.get(place + 1) {
                    Some(next) => self.top(&inside, *next),
                    None => None,
                };
            }
        }
        Some(row)
    }

    /// Every row, one after another.
    #[must_use]
    pub fn rows(&self) -> Vec<Row> {
        (0..self.len()).filter_map(|i| self.row(i)).collect()
    }

    /// Finds a displacement that suits at a boost. Fast first: from where the search begins, to the side
    /// that the nearest limit points to. Where that passes over, a scan.
    fn find(&self, boost: f64) -> Found {
        let mut here = self.look(self.begin, boost);
        let up = here.tightest().0.wants_larger();
        for _ in 0..MOST_LOOKS {
            let (bound, slack) = here.tightest();
            if slack >= 0.0 {
                return Found::Inside(here);
            }
            let next = if up {
                here.displacement_m3 * STEP
            } else {
                here.displacement_m3 / STEP
            };
            let outside = next < self.range.0 || next > self.range.1;
            if outside || bound.wants_larger() != up {
                break;
            }
            here = self.look(next, boost);
        }
        self.scan(boost)
    }

    /// Looks over the range of displacement, and closer around the best.
    fn scan(&self, boost: f64) -> Found {
        let mut looks = Vec::new();
        let mut displacement = self.range.0.max(self.begin / FAR);
        let end = self.range.1.min(self.begin * FAR);
        while displacement < end {
            looks.push(self.look(displacement, boost));
            displacement *= STEP;
        }
        looks.push(self.look(end, boost));
        let mut best = 0;
        for (place, look) in looks.iter().enumerate() {
            if looks
                .get(best)
                .is_none_or(|b| look.tightest().1 > b.tightest().1)
            {
                best = place;
            }
        }
        let last = looks.len() - 1;
        let at = |place: usize| looks.get(place).copied();
        match (
            at(best.saturating_sub(1)),
            at(best),
            at((best + 1).min(last)),
        ) {
            (Some(left), Some(middle), Some(right)) => self.peak(left, middle, right),
            // There is always one look at least.
            _ => Found::Inside(self.look(self.range.1, boost)),
        }
    }

    /// The place with the most slack between two displacements, `middle` between them having more than
    /// either: golden section, which ends where it is inside.
    fn peak(&self, mut left: Look, mut middle: Look, mut right: Look) -> Found {
        let place = |look: &Look| look.displacement_m3.ln();
        for _ in 0..MOST_LOOKS {
            if middle.suits() {
                return Found::Inside(middle);
            }
            let width = place(&right) - place(&left);
            if width < 2.0 * ACCURACY || middle.tightest().1 < -STEEPEST * width {
                break;
            }
            let (below, above) = (
                place(&middle) - place(&left),
                place(&right) - place(&middle),
            );
            let next = if above > below {
                place(&middle) + GOLDEN * above
            } else {
                place(&middle) - GOLDEN * below
            };
            let here = self.look(next.exp(), middle.boost_pa);
            let better = here.tightest().1 > middle.tightest().1;
            match (next > place(&middle), better) {
                (true, true) => (left, middle) = (middle, here),
                (false, true) => (right, middle) = (middle, here),
                (true, false) => right = here,
                (false, false) => left = here,
            }
        }
        Found::Nowhere(Closest {
            displacement_m3: middle.displacement_m3,
            slack: middle.tightest().1,
            smaller: left.tightest().0,
            larger: right.tightest().0,
        })
    }

    /// The displacements around one that suits which do so too.
    fn span(&self, inside: &Look) -> Span {
        let (low, low_look) = self.end(inside, 1.0 / STEP);
        let (high, high_look) = self.end(inside, STEP);
        let mut power = vec![(low.displacement_m3, low_look.wheel_power_w)];
        let (from, to) = (low.displacement_m3.ln(), high.displacement_m3.ln());
        for i in 1..=BETWEEN {
            let place = from + (to - from) * i as f64 / (BETWEEN + 1) as f64;
            let look = self.look(place.exp(), inside.boost_pa);
            power.push((look.displacement_m3, look.wheel_power_w));
        }
        power.push((high.displacement_m3, high_look.wheel_power_w));
        Span { low, high, power }
    }

    /// The bound that is met from a displacement that suits, going by steps of a ratio.
    fn end(&self, inside: &Look, ratio: f64) -> (End, Look) {
        let mut suits = *inside;
        let edge = if ratio > 1.0 {
            self.range.1
        } else {
            self.range.0
        };
        let mut found = None;
        for _ in 0..MOST_LOOKS {
            let next = suits.displacement_m3 * ratio;
            let next = next.max(self.range.0).min(self.range.1);
            let look = self.look(next, inside.boost_pa);
            if !look.suits() {
                found = Some(look);
                break;
            }
            suits = look;
            if next == edge {
                break;
            }
        }
        let Some(outside) = found else {
            return (self.end_at(&suits, Bound::Search), suits);
        };
        let (at, bound) = self.bound(
            suits,
            outside,
            |place| self.look(place.exp(), inside.boost_pa),
            |look| look.displacement_m3.ln(),
            ACCURACY,
        );
        (self.end_at(&at, bound), at)
    }

    /// The last look that suits between one that does and one that does not, and what stops it there.
    fn bound(
        &self,
        suits: Look,
        outside: Look,
        look: impl Fn(f64) -> Look,
        place: impl Fn(&Look) -> f64,
        accuracy: f64,
    ) -> (Look, Bound) {
        let (mut inside, mut beyond) = (suits, outside);
        let ends = (
            (place(&inside), inside.tightest().1.max(f64::MIN_POSITIVE)),
            (place(&beyond), beyond.tightest().1),
        );
        bracketed_root(ends.0, ends.1, accuracy, MOST_LOOKS, |at| {
            let here = look(at);
            let slack = here.tightest().1;
            // Of another limit, on the far side of a narrow window, little slack says nothing.
            if slack.abs() < NO_SLACK && here.tightest().0 == beyond.tightest().0 {
                (inside, beyond) = (here, here);
                return 0.0;
            }
            if slack > 0.0 {
                inside = here;
            } else {
                beyond = here;
            }
            slack
        });
        (inside, beyond.tightest().0)
    }

    fn end_at(&self, look: &Look, bound: Bound) -> End {
        End {
            displacement_m3: look.displacement_m3,
            bound,
            usable_threshold_rev_min: self.usable_threshold(look),
            wheel_power_w: look.wheel_power_w,
        }
    }

    /// Lowest engine speed, rev/min, with 90 % of the boost within all limits that cap.
    fn usable_threshold(&self, look: &Look) -> Option<f64> {
        let build = self.engine(look.displacement_m3, look.boost_pa);
        let plant = Plant::with_map(&build, self.map.clone());
        Run::new(&build, plant)
            .outline(THRESHOLD_SPEEDS)
            .usable_threshold_rev_min
    }

    /// Where the window closes between a row, in which `inside` suits, and `next`, if nothing suits there.
    fn top(&self, inside: &Look, next: f64) -> Option<Top> {
        let Found::Nowhere(closest) = self.find(next) else {
            return None;
        };
        let (mut best, mut against) = (*inside, closest);
        bracketed_root(
            (inside.boost_pa, NO_SLACK),
            (next, closest.slack),
            BOOST_ACCURACY,
            MOST_LOOKS,
            |boost| match self.find(boost) {
                Found::Inside(look) => {
                    best = look;
                    // A search ends at the first that suits: how much slack the best has is not known.
                    look.tightest().1.max(NO_SLACK)
                }
                Found::Nowhere(closest) => {
                    against = closest;
                    closest.slack
                }
            },
        );
        Some(Top {
            boost_pa: best.boost_pa,
            displacement_m3: best.displacement_m3,
            smaller: against.smaller,
            larger: against.larger,
            usable_threshold_rev_min: self.usable_threshold(&best),
            wheel_power_w: best.wheel_power_w,
        })
    }
}
