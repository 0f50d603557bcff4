//! How much smaller and larger sizes may be: found by solving, each end named by what sets it.

use super::search::{Fitted, Search};
use super::wheels::{GATES, HOUSINGS};
use super::{Sizes, SizingError};
use crate::balance::Plant;
use crate::desk::shortlist::{Look, Rejection, Screen, Why};

/// An end of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// The size there, in the unit of the range.
    pub size: f64,
    /// What stands against the next size beyond; `None` where nothing did as far as was looked: for
    /// the smallest swallowing, down to the smallest housing that is made.
    pub set_by: Option<Rejection>,
}

/// From the smallest to the largest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// The smallest size that makes the goal within the limits.
    pub smallest: End,
    /// The largest that still has boost early enough.
    pub largest: End,
}

/// How far sizes are followed, as factors on the inducer's diameter and on the swallowing, and in how
/// many steps.
const INDUCERS: (f64, f64) = (0.6, 1.7);
const SWALLOWINGS: (f64, f64) = (0.35, 3.0);
const STEPS: usize = 6;
/// Halvings of the step in which the end lies.
const HALVINGS: usize = 6;

/// What is looked at along a range.
struct Along<'a> {
    search: &'a Search<'a>,
    /// Reasons that stand against the proposal itself: a range does not end by them.
    known: Vec<Why>,
}

impl Along<'_> {
    /// What is against a size, worst first, if anything new is.
    fn against(&self, screen: &Screen, sizes: &Sizes) -> Result<Option<Rejection>, SizingError> {
        let Fitted { build, map, .. } = self.search.fit(sizes)?;
        let look = screen.look_at_build(&build, Plant::with_map(&build, map));
        let mut new = look.rejections.into_iter();
        Ok(new.find(|rejection| !self.known.contains(&rejection.why)))
    }

    /// The last factor from 1 towards `end` that nothing is against, and what is against the next.
    fn end(
        &self,
        screen: &Screen,
        end: f64,
        scaled: &dyn Fn(f64) -> Sizes,
    ) -> (f64, Option<Rejection>) {
        // A size that no record takes ends a range too, with nothing to name.
        let at = |factor: f64| match self.against(screen, &scaled(factor)) {
            Ok(against) => against,
            Err(_) => Some(Rejection {
                why: Why::Unfit,
                from_rev_min: None,
                to_rev_min: None,
                by: 0.0,
                outside: 0.0,
            }),
        };
        let mut good = 1.0;
        let mut set_by = at(good);
        if set_by.is_some() {
            return (good, set_by);
        }
        if end == 1.0 {
            return (good, None);
        }
        let stride = end.powf(1.0 / STEPS as f64);
        for _ in 0..STEPS {
            set_by = at(good * stride);
            if set_by.is_some() {
                break;
            }
            good *= stride;
        }
        if set_by.is_none() {
            return (good, None);
        }
        let mut bad = good * stride;
        for _ in 0..HALVINGS {
            let middle = (good * bad).sqrt();
            match at(middle) {
                None => good = middle,
                Some(against) => (bad, set_by) = (middle, Some(against)),
            }
        }
        (good, set_by)
    }
}

/// Ranges of the inducer's diameter and of the swallowing about a proposal that was looked at.
pub(super) fn ranges(search: &Search, sizes: &Sizes, look: &Look) -> (Span, Span) {
    let along = Along {
        search,
        known: look.rejections.iter().map(|r| r.why).collect(),
    };
    // A gate is chosen for the housing: here it is never in the way.
    let sizes = Sizes {
        gate_m: sizes.turbine_inducer_m.min(GATES.1),
        ..*sizes
    };
    let compressor = |factor: f64| sizes.scaled(factor, 1.0);
    let turbine = |factor: f64| sizes.scaled(1.0, factor);
    let span = |size: f64, (low, high): (f64, f64), scaled: &dyn Fn(f64) -> Sizes| {
        let (small, small_by) = along.end(&search.screen, low, scaled);
        let (large, large_by) = along.end(&search.prompt, high, scaled);
        Span {
            smallest: End {
                size: small * size,
                set_by: small_by,
            },
            largest: End {
                size: large * size,
                set_by: large_by,
            },
        }
    };
    // A smaller housing than is made is not looked at; swallowing goes as the root of A/R.
    let made = (HOUSINGS.0 / sizes.a_over_r).sqrt().min(1.0);
    let swallowings = (SWALLOWINGS.0.max(made), SWALLOWINGS.1);
    (
        span(sizes.inducer_m, INDUCERS, &compressor),
        span(sizes.swallowing, swallowings, &turbine),
    )
}
