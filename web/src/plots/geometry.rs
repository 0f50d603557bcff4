//! Plane geometry of the plots: boxes, dashes, hatching, axes.

use plotters::coord::ranged1d::{Ranged, ReversibleRanged};
use plotters::coord::types::RangedCoordf64;

/// A point, x to the right and y down, CSS pixels.
pub type Point = (f64, f64);

/// A box, CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left.
    pub x: f64,
    /// Top.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Rect {
    /// A box around a middle.
    pub fn around(centre: Point, width: f64, height: f64) -> Self {
        Self {
            x: centre.0 - width / 2.0,
            y: centre.1 - height / 2.0,
            width,
            height,
        }
    }

    /// Whether two boxes share more than an edge.
    pub fn meets(&self, other: &Rect) -> bool {
        self.x < other.x + other.width
            && other.x < self.x + self.width
            && self.y < other.y + other.height
            && other.y < self.y + self.height
    }

    /// Whether it lies inside of another.
    pub fn inside(&self, other: &Rect) -> bool {
        self.x >= other.x
            && self.y >= other.y
            && self.x + self.width <= other.x + other.width
            && self.y + self.height <= other.y + other.height
    }

    /// Larger by as much on every side.
    pub fn grown(&self, by: f64) -> Self {
        Self {
            x: self.x - by,
            y: self.y - by,
            width: self.width + 2.0 * by,
            height: self.height + 2.0 * by,
        }
    }

    /// The area that two boxes share.
    pub fn shared(&self, other: &Rect) -> f64 {
        let width = (self.x + self.width).min(other.x + other.width) - self.x.max(other.x);
        let height = (self.y + self.height).min(other.y + other.height) - self.y.max(other.y);
        width.max(0.0) * height.max(0.0)
    }

    /// Moved by as little as brings it inside of another, where it fits there.
    pub fn pushed_into(&self, other: &Rect) -> Self {
        let most = |room: f64| room.max(0.0);
        Self {
            x: other.x + (self.x - other.x).clamp(0.0, most(other.width - self.width)),
            y: other.y + (self.y - other.y).clamp(0.0, most(other.height - self.height)),
            ..*self
        }
    }

    /// Whether a point lies inside.
    pub fn holds(&self, (x, y): Point) -> bool {
        x >= self.x && x <= self.x + self.width && y >= self.y && y <= self.y + self.height
    }

    /// The middle.
    pub fn centre(&self) -> Point {
        (self.x + self.width / 2.0, self.y + self.height / 2.0)
    }
}

/// A linear axis: values to CSS pixels and back, with round marks.
#[derive(Clone)]
pub struct Axis {
    coord: RangedCoordf64,
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

/// Pixels are counted in thousandths here, as plotters' coordinates are whole numbers.
const MILLI: f64 = 1000.0;

impl Axis {
    /// Values `low` to `high` on pixels `from` to `to`.
    pub fn new((low, high): (f64, f64), (from, to): (f64, f64)) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        Self {
            coord: (low..high).into(),
            low,
            high,
            from,
            to,
        }
    }

    fn limits(&self) -> (i32, i32) {
        ((self.from * MILLI) as i32, (self.to * MILLI) as i32)
    }

    /// Where a value stands.
    pub fn at(&self, value: f64) -> f64 {
        f64::from(self.coord.map(&value, self.limits())) / MILLI
    }

    /// The value at a place, held inside the axis.
    pub fn value(&self, place: f64) -> f64 {
        let (low, high) = (self.from.min(self.to), self.from.max(self.to));
        let place = (place.clamp(low, high) * MILLI) as i32;
        self.coord.unmap(place, self.limits()).unwrap_or(self.low)
    }

    /// At most `most` round values on it.
    pub fn marks(&self, most: usize) -> Vec<f64> {
        self.coord.key_points(most)
    }

    /// Its ends.
    pub fn range(&self) -> (f64, f64) {
        (self.low, self.high)
    }
}

/// The least round number (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten) that is not
/// below `value`.
pub fn round_up(value: f64) -> f64 {
    if !(value > 0.0 && value.is_finite()) {
        return 1.0;
    }
    let power = 10f64.powf(value.log10().floor());
    [1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0]
        .into_iter()
        .map(|step| step * power)
        .find(|round| *round >= value * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// Cuts a line through points into dashes of length `on` with gaps of `off`.
pub fn dashes(points: &[Point], on: f64, off: f64) -> Vec<Vec<Point>> {
    let mut dashes = Vec::new();
    let Some(&first) = points.first() else {
        return dashes;
    };
    let (mut drawing, mut left) = (true, on);
    let mut current = vec![first];
    for pair in points.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        let mut length = (to.0 - from.0).hypot(to.1 - from.1);
        while length > left {
            let t = left / length;
            let cut = (from.0 + t * (to.0 - from.0), from.1 + t * (to.1 - from.1));
            if drawing {
                current.push(cut);
                dashes.push(std::mem::take(&mut current));
            } else {
                current = vec![cut];
            }
            length -= left;
            from = cut;
            drawing = !drawing;
            left = if drawing { on } else { off }.max(0.1);
        }
        left -= length;
        if drawing {
            current.push(to);
        }
    }
    if drawing && current.len() > 1 {
        dashes.push(current);
    }
    dashes
}

/// Short strokes along the left side of a line, as seen going along it: the side you cannot
/// enter. One every `gap` pixels, `length` long, leaning forward.
pub fn hatching(points: &[Point], gap: f64, length: f64) -> Vec<[Point; 2]> {
    let mut strokes = Vec::new();
    let mut to_next = gap / 2.0;
    for pair in points.windows(2) {
        let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
        let whole = (x2 - x1).hypot(y2 - y1);
        if whole < 1e-9 {
            continue;
        }
        let (ux, uy) = ((x2 - x1) / whole, (y2 - y1) / whole);
        let mut done = 0.0;
        while whole - done >= to_next {
            done += to_next;
            to_next = gap;
            let foot = (x1 + ux * done, y1 + uy * done);
            // Left of the direction of travel with y down is (uy, −ux); leaning 45° forward.
            let (lx, ly) = (0.707 * (uy + ux), 0.707 * (-ux + uy));
            strokes.push([foot, (foot.0 + lx * length, foot.1 + ly * length)]);
        }
        to_next -= whole - done;
    }
    strokes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_cover_their_share_of_the_line() {
        let dashes = dashes(&[(0.0, 0.0), (30.0, 40.0), (60.0, 80.0)], 6.0, 4.0);
        let drawn: f64 = dashes
            .iter()
            .flat_map(|d| d.windows(2))
            .map(|p| (p[1].0 - p[0].0).hypot(p[1].1 - p[0].1))
            .sum();
        // 100 long: ten times six on, four off.
        assert!((drawn - 60.0).abs() < 1e-6, "{drawn}");
    }

    #[test]
    fn hatching_stands_left_of_the_way() {
        // Going right with y down, left is up: smaller y.
        let strokes = hatching(&[(0.0, 50.0), (100.0, 50.0)], 10.0, 6.0);
        assert_eq!(strokes.len(), 10);
        assert!(strokes.iter().all(|[foot, tip]| tip.1 < foot.1));
    }

    #[test]
    fn an_axis_goes_there_and_back() {
        let axis = Axis::new((1.0, 3.5), (300.0, 20.0));
        assert!((axis.at(1.0) - 300.0).abs() < 0.01 && (axis.at(3.5) - 20.0).abs() < 0.01);
        assert!((axis.value(axis.at(2.25)) - 2.25).abs() < 1e-4);
        assert!(axis.marks(6).len() <= 6);
        assert_eq!(round_up(0.43), 0.5);
        assert_eq!(round_up(236.0), 250.0);
        assert_eq!(round_up(0.0), 1.0);
    }
}
