//! Where on a picture a flow and a pressure ratio lie.

/// A spot on a picture: pixels from its left and from its top.
pub type Spot = (f64, f64);

/// Least height and width of the marked area as a share of the picture's longer side: less cannot be
/// marked well (a judgement).
const LEAST_SHARE: f64 = 0.02;

/// Corners, from that of the low flow and low pressure ratio along the flow axis and round.
pub(super) const CORNERS: [&str; 4] = [
    "low flow, low pressure ratio",
    "high flow, low pressure ratio",
    "high flow, high pressure ratio",
    "low flow, high pressure ratio",
];

/// Why the corners do not place the map.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PlaneError {
    /// A value that is not finite.
    #[error("A corner or a value on the axes is no number; mark it or enter it again.")]
    NotFinite,
    /// Two values of an axis that do not rise.
    #[error(
        "{axis}: the low value {low} and the high value {high} must rise; enter two different values that stand on the axis."
    )]
    NotRising {
        /// Which axis.
        axis: &'static str,
        /// Its low value as entered.
        low: f64,
        /// Its high value as entered.
        high: f64,
    },
    /// Corners that span no four-sided area with straight sides seen from one side.
    #[error(
        "The corner “{corner}” does not lie where it must beside the other three; drag the four corners onto the crossings of the map's grid that their values name."
    )]
    Folded {
        /// The corner that turns the wrong way.
        corner: &'static str,
    },
    /// Corners that lie close together.
    #[error(
        "The four corners lie too close together; drag them onto crossings far apart, best those at the ends of the axes."
    )]
    TooSmall,
}

/// A picture's map put in its place: a projective map between spots and (flow, pressure ratio).
///
/// Four points and their images determine it (Heckbert, "Fundamentals of Texture Mapping and Image
/// Warping", UC Berkeley 1989, section 2.2.3). Straight lines stay straight; that is all that a flat
/// page seen at an angle through a good lens does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// From shares of the marked area to spots, row by row.
    forward: [f64; 9],
    /// And back, up to a factor that is positive in front of the camera.
    back: [f64; 9],
    flows: (f64, f64),
    ratios: (f64, f64),
}

fn apply(m: &[f64; 9], (x, y): (f64, f64)) -> Option<(f64, f64)> {
    let over = m[6] * x + m[7] * y + m[8];
    // On the horizon or behind it.
    if over.is_nan() || over <= 1e-9 * (m[8].abs() + (m[6] * x).abs() + (m[7] * y).abs()) {
        return None;
    }
    Some((
        (m[0] * x + m[1] * y + m[2]) / over,
        (m[3] * x + m[4] * y + m[5]) / over,
    ))
}

fn adjugate(m: &[f64; 9]) -> [f64; 9] {
    let [a, b, c, d, e, f, g, h, i] = *m;
    [
        e * i - f * h,
        c * h - b * i,
        b * f - c * e,
        f * g - d * i,
        a * i - c * g,
        c * d - a * f,
        d * h - e * g,
        b * g - a * h,
        a * e - b * d,
    ]
}

impl Plane {
    /// A plane of four corners: at (low, low), (high, low), (high, high) and (low, high) of flow and
    /// pressure ratio. `flows` and `ratios` are the low and the high value of each axis, in any
    /// unit; answers are in the same.
    ///
    /// `picture` is its width and height in pixels: what counts as small is measured by it.
    ///
    /// # Errors
    /// Values that do not rise, and corners that are no picture of a rectangle.
    pub fn new(
        corners: &[Spot; 4],
        flows: (f64, f64),
        ratios: (f64, f64),
        picture: (f64, f64),
    ) -> Result<Self, PlaneError> {
        let ends = [flows.0, flows.1, ratios.0, ratios.1, picture.0, picture.1];
        let places = corners.iter().flat_map(|c| [c.0, c.1]);
        if !ends.into_iter().chain(places).all(f64::is_finite) {
            return Err(PlaneError::NotFinite);
        }
        for (axis, (low, high)) in [("Flow axis", flows), ("Pressure ratio axis", ratios)] {
            if high <= low {
                return Err(PlaneError::NotRising { axis, low, high });
            }
        }
        let least = LEAST_SHARE * picture.0.max(picture.1);
        let far = |a: Spot, b: Spot| (a.0 - b.0).hypot(a.1 - b.1);
        let [p0, p1, p2, p3] = *corners;
        if [far(p0, p1), far(p1, p2), far(p2, p3), far(p3, p0)]
            .iter()
            .any(|side| *side < least)
        {
            return Err(PlaneError::TooSmall);
        }
        // Up on a map is left of its flow axis; a picture counts down, so every corner turns left
        // there. Each must, by a share of its sides' product (some 2 degrees), or the area is folded.
        for at in 0..4 {
            let (a, b, c) = (corners[(at + 3) % 4], corners[at], corners[(at + 1) % 4]);
            let turn = (b.1 - a.1) * (c.0 - b.0) - (b.0 - a.0) * (c.1 - b.1);
            if turn < 0.04 * far(a, b) * far(b, c) {
                return Err(PlaneError::Folded {
                    corner: CORNERS[at],
                });
            }
        }
        let (dx1, dy1) = (p1.0 - p2.0, p1.1 - p2.1);
        let (dx2, dy2) = (p3.0 - p2.0, p3.1 - p2.1);
        let (sx, sy) = (p0.0 - p1.0 + p2.0 - p3.0, p0.1 - p1.1 + p2.1 - p3.1);
        let over = dx1 * dy2 - dy1 * dx2;
        let g = (sx * dy2 - sy * dx2) / over;
        let h = (dx1 * sy - dy1 * sx) / over;
        let forward = [
            p1.0 - p0.0 + g * p1.0,
            p3.0 - p0.0 + h * p3.0,
            p0.0,
            p1.1 - p0.1 + g * p1.1,
            p3.1 - p0.1 + h * p3.1,
            p0.1,
            g,
            h,
            1.0,
        ];
        let mut back = adjugate(&forward);
        let middle = (
            0.25 * (p0.0 + p1.0 + p2.0 + p3.0),
            0.25 * (p0.1 + p1.1 + p2.1 + p3.1),
        );
        if back[6] * middle.0 + back[7] * middle.1 + back[8] < 0.0 {
            back = back.map(|value| -value);
        }
        Ok(Self {
            forward,
            back,
            flows,
            ratios,
        })
    }

    /// Flow and pressure ratio at a spot; `None` where the picture shows nothing of the page.
    #[must_use]
    pub fn value(&self, spot: Spot) -> Option<(f64, f64)> {
        let (across, up) = apply(&self.back, spot)?;
        Some((
            self.flows.0 + across * (self.flows.1 - self.flows.0),
            self.ratios.0 + up * (self.ratios.1 - self.ratios.0),
        ))
    }

    /// The spot of a flow and a pressure ratio; `None` where it is not on the picture's side.
    #[must_use]
    pub fn spot(&self, (flow, ratio): (f64, f64)) -> Option<Spot> {
        apply(
            &self.forward,
            (
                (flow - self.flows.0) / (self.flows.1 - self.flows.0),
                (ratio - self.ratios.0) / (self.ratios.1 - self.ratios.0),
            ),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PICTURE: (f64, f64) = (1000.0, 800.0);
    /// A page seen from below left, turned a little.
    const SKEWED: [Spot; 4] = [(120.0, 720.0), (900.0, 640.0), (820.0, 90.0), (190.0, 60.0)];

    fn plane(corners: &[Spot; 4]) -> Result<Plane, PlaneError> {
        Plane::new(corners, (0.05, 0.45), (1.0, 4.0), PICTURE)
    }

    #[test]
    fn corners_have_their_values_and_back() {
        let plane = plane(&SKEWED).expect("a page");
        let values = [(0.05, 1.0), (0.45, 1.0), (0.45, 4.0), (0.05, 4.0)];
        for (corner, value) in SKEWED.iter().zip(values) {
            let (flow, ratio) = plane.value(*corner).expect("in sight");
            assert!((flow - value.0).abs() < 1e-12 && (ratio - value.1).abs() < 1e-11);
            let (x, y) = plane.spot(value).expect("in sight");
            assert!((x - corner.0).abs() < 1e-9 && (y - corner.1).abs() < 1e-9);
        }
    }

    /// A pinhole camera by its own matrices, which is what the picture of a flat page is: the plane
    /// knows four of its points and must know all others.
    #[test]
    fn a_page_before_a_camera_comes_out_flat() {
        let (yaw, pitch, roll) = (0.35_f64, -0.2_f64, 0.12_f64);
        let photographed = |flow: f64, ratio: f64| {
            let (x, y) = (flow / 0.5 - 0.5, (ratio - 1.0) / 3.0 - 0.5);
            let (x, y) = (
                x * roll.cos() - y * roll.sin(),
                x * roll.sin() + y * roll.cos(),
            );
            let (x, z) = (x * yaw.cos(), 2.2 + x * yaw.sin());
            let (y, z) = (
                y * pitch.cos() - (z - 2.2) * pitch.sin(),
                z + y * pitch.sin(),
            );
            (500.0 + 1500.0 * x / z, 400.0 - 1500.0 * y / z)
        };
        let corners = [
            photographed(0.05, 1.0),
            photographed(0.45, 1.0),
            photographed(0.45, 4.0),
            photographed(0.05, 4.0),
        ];
        let plane = plane(&corners).expect("a page");
        for i in 0..=10 {
            for j in 0..=10 {
                let (flow, ratio) = (0.05 * f64::from(i), 1.0 + 0.3 * f64::from(j));
                let found = plane.value(photographed(flow, ratio)).expect("in sight");
                assert!(
                    (found.0 - flow).abs() < 1e-11 && (found.1 - ratio).abs() < 1e-10,
                    "{found:?} for {flow} {ratio}"
                );
            }
        }
    }

    #[test]
    fn a_picture_on_its_side_is_read_too() {
        // A quarter turn to the left and to the right, and upside down.
        let upright: [Spot; 4] = [
            (100.0, 700.0),
            (900.0, 700.0),
            (900.0, 100.0),
            (100.0, 100.0),
        ];
        for turn in 0..4 {
            let turned: [Spot; 4] = core::array::from_fn(|at| upright[(at + turn) % 4]);
            let plane = plane(&turned).expect("a page");
            let middle = plane.value((500.0, 400.0)).expect("in sight");
            assert!((middle.0 - 0.25).abs() < 1e-12 && (middle.1 - 2.5).abs() < 1e-12);
        }
    }

    #[test]
    fn what_is_no_picture_of_a_grid_is_refused() {
        let swapped = [SKEWED[0], SKEWED[2], SKEWED[1], SKEWED[3]];
        let mirrored = [SKEWED[1], SKEWED[0], SKEWED[3], SKEWED[2]];
        for corners in [swapped, mirrored] {
            assert!(matches!(plane(&corners), Err(PlaneError::Folded { .. })));
        }
        let dented = [SKEWED[0], SKEWED[1], (300.0, 500.0), SKEWED[3]];
        assert!(matches!(plane(&dented), Err(PlaneError::Folded { .. })));
        let small: [Spot; 4] = [(5.0, 9.0), (9.0, 9.0), (9.0, 5.0), (5.0, 5.0)];
        assert_eq!(plane(&small), Err(PlaneError::TooSmall));
        let not_there = [SKEWED[0], (f64::NAN, 1.0), SKEWED[2], SKEWED[3]];
        assert_eq!(plane(&not_there), Err(PlaneError::NotFinite));
        let error = Plane::new(&SKEWED, (0.4, 0.4), (1.0, 4.0), PICTURE).expect_err("no axis");
        assert_eq!(
            error.to_string(),
            "Flow axis: the low value 0.4 and the high value 0.4 must rise; enter two different values that stand on the axis."
        );
    }

    #[test]
    fn beyond_the_horizon_there_is_nothing() {
        // A page that runs away upward: its horizon lies above the picture's top.
        let corners: [Spot; 4] = [
            (0.0, 800.0),
            (1000.0, 800.0),
            (600.0, 300.0),
            (400.0, 300.0),
        ];
        let plane = plane(&corners).expect("a page");
        assert_eq!(plane.value((500.0, 100.0)), None);
        assert!(plane.value((500.0, 290.0)).is_some());
    }
}
