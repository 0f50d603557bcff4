//! Rows put together: the shape of the window, and what is said of it in a few numbers.

use super::{Bound, Row, Setting, Span, Survey};
use crate::numeric::{Curve, put_in_order};
use serde::Serialize;

/// A place in the plane of displacement and boost.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Place {
    /// Displacement, m³.
    pub displacement_m3: f64,
    /// Boost asked, Pa gauge.
    pub boost_pa: f64,
}

/// Which way a wall of the window looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// It stands against smaller engines.
    Smaller,
    /// It stands against larger ones.
    Larger,
    /// It is the least boost.
    Below,
    /// It is the most boost, where that is not a corner.
    Above,
}

/// A piece of wall.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Segment {
    /// From here.
    pub from: Place,
    /// To here, straight.
    pub to: Place,
    /// The limit that it is.
    pub bound: Bound,
    /// What it stands against.
    pub side: Side,
}

/// A number of the summary: where, and which limit sets it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mark {
    /// The number, in the unit of its name.
    pub value: f64,
    /// Where in the window.
    pub at: Place,
    /// The limit that sets it.
    pub bound: Bound,
}

/// What a limit takes from the window: a stretch of wall that is one limit throughout.
///
/// With [`Side::Larger`] "over 2.1 litre the most boost falls, to 0.6 bar at 3.0 litre, because of
/// choke"; with [`Side::Smaller`] "below 1.8 litre boost comes too late, and below 1.4 litre whatever
/// boost is asked".
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fact {
    /// The limit.
    pub bound: Bound,
    /// What it stands against.
    pub side: Side,
    /// Its end with less boost.
    pub low: Place,
    /// Its end with more.
    pub high: Place,
}

/// The window in a few numbers. Lowest and highest of each, over all of the window.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Displacement, m³.
    pub displacement_m3: (Mark, Mark),
    /// Boost, Pa gauge.
    pub boost_pa: (Mark, Mark),
    /// Engine speed, rev/min, from the earliest usable threshold to the redline; `None` where no
    /// threshold was found.
    pub engine_speed_rev_min: Option<(f64, f64)>,
    /// Most power at the wheels, W.
    pub wheel_power_w: (Mark, Mark),
    /// What it gives up, wall by wall from the lowest boost upwards.
    pub gives_up: Vec<Fact>,
}

/// Power at the wheels over displacement and boost, for contours. It goes on beyond the window's wall as
/// it does inside, so that contours meet the wall; cut it off there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PowerGrid {
    /// Displacements, m³, rising.
    pub displacement_m3: Vec<f64>,
    /// Boosts, Pa gauge, rising.
    pub boost_pa: Vec<f64>,
    /// Power at the wheels, W: for boost `i` and displacement `j` at `i * displacements + j`.
    pub wheel_power_w: Vec<f64>,
}

/// The window of one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Window {
    /// The setting.
    pub setting: Setting,
    /// Every row, rising in boost.
    pub rows: Vec<Row>,
    /// The wall around the window, piece after piece: up against larger engines, down against smaller
    /// ones, back along the least boost. Empty where nothing suits.
    pub outline: Vec<Segment>,
    /// The window in a few numbers; `None` where nothing suits.
    pub summary: Option<Summary>,
}

/// A row's end as a corner of the outline.
#[derive(Clone, Copy)]
struct Corner {
    at: Place,
    bound: Bound,
    power: f64,
    threshold: Option<f64>,
}

impl Window {
    pub(super) fn new(survey: &Survey, rows: &[Row]) -> Self {
        let mut rows = rows.to_vec();
        put_in_order(&mut rows, |row| row.boost_pa);
        let (first, run) = longest_run(&rows);
        let below = first.checked_sub(1).and_then(|i| rows.get(i));
        let below = below.and_then(|row| row.closest);
        let redline = survey.setting().redline_rev_min;
        let walls = Walls::new(run, below.map_or(Bound::Search, |c| c.larger));
        Self {
            setting: survey.setting().clone(),
            outline: walls.as_ref().map_or_else(Vec::new, Walls::outline),
            summary: walls.as_ref().map(|walls| walls.summary(redline)),
            rows,
        }
    }

    /// Least and most boost, Pa gauge, that suit an engine of a displacement in m³, each with its limit;
    /// `None` outside of the window.
    #[must_use]
    pub fn boost_at(&self, displacement: f64) -> Option<((f64, Bound), (f64, Bound))> {
        let mut found: Option<((f64, Bound), (f64, Bound))> = None;
        for piece in &self.outline {
            let (a, b) = (piece.from, piece.to);
            let span = b.displacement_m3 - a.displacement_m3;
            let share = (displacement - a.displacement_m3) / span;
            if !(0.0..=1.0).contains(&share) {
                continue;
            }
            let here = (a.boost_pa + share * (b.boost_pa - a.boost_pa), piece.bound);
            found = Some(match found {
                None => (here, here),
                Some((low, high)) => (
                    if here.0 < low.0 { here } else { low },
                    if here.0 > high.0 { here } else { high },
                ),
            });
        }
        found
    }

    /// Lowest and highest displacement, m³, that suit at a boost in Pa gauge, each with its limit; `None`
    /// outside of the window.
    #[must_use]
    pub fn displacement_at(&self, boost: f64) -> Option<((f64, Bound), (f64, Bound))> {
        let along = |side: Side| {
            let mut pieces = self.outline.iter().filter(|piece| piece.side == side);
            pieces.find_map(|piece| {
                let (a, b) = (piece.from, piece.to);
                let share = (boost - a.boost_pa) / (b.boost_pa - a.boost_pa);
                let way = b.displacement_m3 - a.displacement_m3;
                let inside = (0.0..=1.0).contains(&share);
                inside.then_some((a.displacement_m3 + share * way, piece.bound))
            })
        };
        along(Side::Smaller).zip(along(Side::Larger))
    }

    /// Power at the wheels over the window, at `displacements` (2 to 200; held to that) places from its
    /// lowest to its highest and at the boosts of its rows and its top; `None` where nothing suits.
    #[must_use]
    pub fn power_grid(&self, displacements: usize) -> Option<PowerGrid> {
        let summary = self.summary.as_ref()?;
        let (low, high) = summary.displacement_m3;
        let count = displacements.clamp(2, 200);
        let along: Vec<f64> = (0..count)
            .map(|i| low.value + (high.value - low.value) * i as f64 / (count - 1) as f64)
            .collect();
        let (_, run) = longest_run(&self.rows);
        let lines: Vec<(f64, &Span)> = run
            .iter()
            .filter_map(|row| Some((row.boost_pa, row.span.as_ref()?)))
            .collect();
        let mut boosts: Vec<f64> = lines.iter().map(|line| line.0).collect();
        let mut power: Vec<f64> = Vec::new();
        for (_, span) in &lines {
            power.extend(along.iter().map(|v| power_on(span, *v)));
        }
        let top = summary.boost_pa.1.value;
        let last = boosts.len();
        // The part above the last row goes on as between the last two.
        if let Some(before) = last.checked_sub(2)
            && let (Some(a), Some(b)) =
                (boosts.get(before).copied(), boosts.get(before + 1).copied())
            && top > b
        {
            let share = (top - b) / (b - a);
            let more: Vec<f64> = (0..count)
                .filter_map(|j| {
                    let (p, q) = (
                        power.get(before * count + j)?,
                        power.get((before + 1) * count + j)?,
                    );
                    Some(q + share * (q - p))
                })
                .collect();
            power.extend(more);
            boosts.push(top);
        }
        Some(PowerGrid {
            displacement_m3: along,
            boost_pa: boosts,
            wheel_power_w: power,
        })
    }
}

/// Power at the wheels, W, of a row at a displacement; beyond its ends as power for each litre stays.
fn power_on(span: &Span, displacement: f64) -> f64 {
    let each: Vec<(f64, f64)> = span.power.iter().map(|(v, p)| (*v, p / v)).collect();
    match Curve::new(&each) {
        Ok(curve) => displacement * curve.at(displacement),
        // A window of no width.
        Err(_) => each.first().map_or(f64::NAN, |(_, p)| p * displacement),
    }
}

/// The longest run of neighbouring rows in which something suits (the first of equals), and where it
/// begins.
fn longest_run(rows: &[Row]) -> (usize, &[Row]) {
    let mut best = (0, 0);
    let mut from = 0;
    for place in 0..=rows.len() {
        if rows.get(place).is_some_and(|row| row.span.is_some()) {
            continue;
        }
        if place - from > best.1 - best.0 {
            best = (from, place);
        }
        from = place + 1;
    }
    (best.0, rows.get(best.0..best.1).unwrap_or_default())
}

/// The corners of a window: against smaller engines and against larger ones, rising in boost.
struct Walls {
    smaller: Vec<Corner>,
    larger: Vec<Corner>,
    /// What stands below the first row, and above the last.
    below: Bound,
    above: Bound,
}

impl Walls {
    fn new(run: &[Row], below: Bound) -> Option<Self> {
        let mut walls = Self {
            smaller: Vec::new(),
            larger: Vec::new(),
            below,
            above: Bound::Search,
        };
        for row in run {
            let span = row.span.as_ref()?;
            for (end, wall) in [
                (&span.low, &mut walls.smaller),
                (&span.high, &mut walls.larger),
            ] {
                wall.push(Corner {
                    at: Place {
                        displacement_m3: end.displacement_m3,
                        boost_pa: row.boost_pa,
                    },
                    bound: end.bound,
                    power: end.wheel_power_w,
                    threshold: end.usable_threshold_rev_min,
                });
            }
        }
        if let Some(top) = run.last()?.top {
            for (bound, wall) in [
                (top.smaller, &mut walls.smaller),
                (top.larger, &mut walls.larger),
            ] {
                wall.push(Corner {
                    at: Place {
                        displacement_m3: top.displacement_m3,
                        boost_pa: top.boost_pa,
                    },
                    bound,
                    power: top.wheel_power_w,
                    threshold: top.usable_threshold_rev_min,
                });
            }
            walls.above = top.larger;
        }
        Some(walls)
    }

    fn outline(&self) -> Vec<Segment> {
        let mut outline = Vec::new();
        let mut flat = |ends: (Option<&Corner>, Option<&Corner>), bound, side| {
            if let (Some(from), Some(to)) = ends
                && from.at != to.at
            {
                outline.push(Segment {
                    from: from.at,
                    to: to.at,
                    bound,
                    side,
                });
            }
        };
        let (smaller, larger) = (&self.smaller, &self.larger);
        flat((smaller.first(), larger.first()), self.below, Side::Below);
        flat((larger.last(), smaller.last()), self.above, Side::Above);
        let mut whole = Vec::new();
        whole.extend(pieces(&self.larger, Side::Larger));
        whole.extend(outline.iter().filter(|s| s.side == Side::Above));
        let mut down = self.smaller.clone();
        down.reverse();
        whole.extend(pieces(&down, Side::Smaller));
        whole.extend(outline.iter().filter(|s| s.side == Side::Below));
        whole
    }

    fn summary(&self, redline: f64) -> Summary {
        let corners = || self.smaller.iter().chain(&self.larger);
        let least = |value: fn(&Corner) -> f64| {
            let mut least: Option<(f64, &Corner)> = None;
            for corner in corners() {
                let here = value(corner);
                if least.is_none_or(|(so_far, _)| here < so_far) {
                    least = Some((here, corner));
                }
            }
            least
        };
        let mark = |found: Option<(f64, &Corner)>, sign: f64, bound: Option<Bound>| Mark {
            value: found.map_or(f64::NAN, |f| sign * f.0),
            at: found.map_or(
                Place {
                    displacement_m3: f64::NAN,
                    boost_pa: f64::NAN,
                },
                |f| f.1.at,
            ),
            bound: bound.unwrap_or(found.map_or(Bound::Search, |f| f.1.bound)),
        };
        let threshold = least(|c| c.threshold.unwrap_or(f64::INFINITY));
        let threshold = threshold.map(|t| t.0).filter(|t| t.is_finite());
        let mut gives_up = facts(&self.smaller, Side::Smaller);
        gives_up.extend(facts(&self.larger, Side::Larger));
        Summary {
            displacement_m3: (
                mark(least(|c| c.at.displacement_m3), 1.0, None),
                mark(least(|c| -c.at.displacement_m3), -1.0, None),
            ),
            boost_pa: (
                mark(least(|c| c.at.boost_pa), 1.0, Some(self.below)),
                mark(least(|c| -c.at.boost_pa), -1.0, Some(self.above)),
            ),
            engine_speed_rev_min: threshold.map(|from| (from, redline)),
            wheel_power_w: (
                mark(least(|c| c.power), 1.0, None),
                mark(least(|c| -c.power), -1.0, None),
            ),
            gives_up,
        }
    }
}

/// The pieces of a wall between its corners; where two corners are of different limits each has half of
/// the way.
fn pieces(corners: &[Corner], side: Side) -> Vec<Segment> {
    let mut pieces = Vec::new();
    for pair in corners.windows(2) {
        let [a, b] = pair else { continue };
        let piece = |from, to, bound| Segment {
            from,
            to,
            bound,
            side,
        };
        if a.bound == b.bound {
            pieces.push(piece(a.at, b.at, a.bound));
            continue;
        }
        let middle = Place {
            displacement_m3: 0.5 * (a.at.displacement_m3 + b.at.displacement_m3),
            boost_pa: 0.5 * (a.at.boost_pa + b.at.boost_pa),
        };
        pieces.push(piece(a.at, middle, a.bound));
        pieces.push(piece(middle, b.at, b.bound));
    }
    pieces
}

/// Stretches of a wall that are one limit throughout.
fn facts(corners: &[Corner], side: Side) -> Vec<Fact> {
    let mut facts: Vec<Fact> = Vec::new();
    for corner in corners {
        match facts.last_mut() {
            Some(last) if last.bound == corner.bound => last.high = corner.at,
            _ => facts.push(Fact {
                bound: corner.bound,
                side,
                low: corner.at,
                high: corner.at,
            }),
        }
    }
    facts
}
