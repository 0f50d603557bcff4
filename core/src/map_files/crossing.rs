//! Whether speed lines next to each other cross, as no measured lines can.

use super::assemble::{Line, Placed, Warnings};
use super::{MapFileError, MapWarning};

/// Lines that differ by less than this share of their speed may be meant as one: a gas stand holds
/// speed within some tenths of a per cent (common practice, no source).
const NEARLY_ONE: f64 = 0.005;

/// What a line has at one flow: the highest and the lowest pressure ratio.
struct At {
    flow: f64,
    high: f64,
    low: f64,
}

fn by_flow(points: &[Placed]) -> Vec<At> {
    let mut all: Vec<At> = Vec::new();
    for Placed { point, .. } in points {
        match all.last_mut() {
            Some(last) if last.flow == point.flow_kg_s => last.low = point.pressure_ratio,
            _ => all.push(At {
                flow: point.flow_kg_s,
                high: point.pressure_ratio,
                low: point.pressure_ratio,
            }),
        }
    }
    all
}

/// Whether two neighbouring lines cross. A point of the slower above both neighbours on the faster,
/// or one of the faster below both on the slower, leaves no doubt; one beyond the straight line
/// between the neighbours may only show that points are far apart, and is a warning.
pub(super) fn look_at_pair(
    (slow, slow_points): &Line,
    (fast, fast_points): &Line,
    warnings: &mut Warnings,
) -> Result<(), MapFileError> {
    let (slower, faster) = (*slow, *fast);
    if fast - slow < NEARLY_ONE * fast {
        warnings.add(MapWarning::NearlyOneLine { slower, faster });
    }
    let mut doubtful = None;
    for (points, others, of_slower) in [
        (slow_points, by_flow(fast_points), true),
        (fast_points, by_flow(slow_points), false),
    ] {
        let mut right = 0;
        for Placed { point, place } in points {
            // The first of the other line that has more flow, and the one before it.
            while others
                .get(right)
                .is_some_and(|at| at.flow <= point.flow_kg_s)
            {
                right += 1;
            }
            let Some([a, b]) = right.checked_sub(1).and_then(|at| others.get(at..at + 2)) else {
                continue;
            };
            let (one, two) = if of_slower {
                (a.high, b.high)
            } else {
                (a.low, b.low)
            };
            let (low, high) = (one.min(two), one.max(two));
            let ratio = point.pressure_ratio;
            let straight = one + (two - one) * (point.flow_kg_s - a.flow) / (b.flow - a.flow);
            let (sure, maybe) = if of_slower {
                (ratio >= high, ratio >= straight)
            } else {
                (ratio <= low, ratio <= straight)
            };
            if sure {
                return Err(MapFileError::LinesCross {
                    slower,
                    faster,
                    place: *place,
                    flow: point.flow_kg_s,
                    ratio,
                    of_slower,
                    low,
                    high,
                });
            }
            if maybe {
                doubtful = doubtful.or(Some(*place));
            }
        }
    }
    if let Some(place) = doubtful {
        warnings.add(MapWarning::MayCross {
            slower,
            faster,
            place,
        });
    }
    Ok(())
}
