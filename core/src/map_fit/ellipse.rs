//! The curve of one speed line: a quarter of a superellipse, and a parabola left of its top.
//!
//! Leufvén & Eriksson (Control Engineering Practice 21, 2013, 1871, "A surge and choke capable
//! compressor flow model"; form from memory): between the flow of zero slope and the flow of choke
//! a line is ((W − W_top)/(W_choke − W_top))^C + ((Π − Π_choke)/(Π_top − Π_choke))^C = 1. Left of the
//! top, where some lines fall again towards surge, a parabola goes on from it; below the choking
//! end the line is vertical.

/// How many numbers describe a line.
pub(super) const PARAMETERS: usize = 6;

/// Which of them is the superellipse's exponent.
pub(super) const EXPONENT: usize = 4;

/// The numbers that describe a line, chosen so that each changes slowly from line to line and that
/// none has a forbidden value: ln(choke flow/speed), logit(flow at the top/choke flow),
/// ln(head at the top/speed²), ln(fall from top to choke/(ratio at the top − 1)), ln(C − 1),
/// ln(fall of the parabola at no flow/(ratio at the top − 1)).
pub(super) type Parameters = [f64; PARAMETERS];

/// Head is Π^(2/7) − 1: a coordinate in which lines of constant throttling are parabolas.
const HEAD_EXPONENT: f64 = 2.0 / 7.0;

/// Where a line ends for the search of the nearest point: the quarter ellipse runs from 0 to 1, the
/// parabola from −1, the vertical to here.
const VERTICAL_END: f64 = 1.25;
/// Nodes of the first, coarse search.
const COARSE: usize = 32;

/// Head coordinate of a pressure ratio.
pub(super) fn head(pressure_ratio: f64) -> f64 {
    pressure_ratio.max(1e-3).powf(HEAD_EXPONENT) - 1.0
}

/// Pressure ratio of a head coordinate.
pub(super) fn ratio_of_head(head: f64) -> f64 {
    (1.0 + head).powf(1.0 / HEAD_EXPONENT)
}

/// What one unit of each axis is: the picture's largest flow and largest pressure rise, so that
/// distances count alike along both.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axes {
    /// kg/s.
    pub flow: f64,
    /// Pressure ratio above 1.
    pub rise: f64,
}

impl Axes {
    /// A point in units of the axes.
    pub fn scaled(&self, (flow, ratio): (f64, f64)) -> (f64, f64) {
        (flow / self.flow, (ratio - 1.0) / self.rise)
    }
}

/// One speed line's curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ellipse {
    /// Flow where the line is vertical, kg/s.
    pub choke_flow: f64,
    /// Flow at the top, kg/s.
    pub top_flow: f64,
    /// Pressure ratio at the top.
    pub top_ratio: f64,
    /// Fall of pressure ratio from the top to the choking end.
    fall: f64,
    /// The superellipse's exponent C.
    exponent: f64,
    /// Fall of pressure ratio from the top to no flow, on the parabola.
    left_fall: f64,
}

/// The nearest point of a curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Foot {
    /// Where along the curve.
    pub along: f64,
    /// Flow in kg/s and pressure ratio there.
    pub place: (f64, f64),
    /// Distance from the curve in units of the axes, above it and to its right positive.
    pub distance: f64,
    /// The direction that the distance is taken in, of length 1 in units of the axes.
    pub normal: (f64, f64),
}

impl Ellipse {
    /// The curve that `parameters` describe at `speed` in rev/min. Parameters beyond what any map
    /// has are held at the edge of it, so that no step of a fit can overflow.
    pub fn new(parameters: &Parameters, speed: f64) -> Self {
        let [choke, top, head, fall, exponent, left] = *parameters;
        let choke_flow = speed * choke.clamp(-80.0, 20.0).exp();
        let rise =
            ratio_of_head((speed * speed * head.clamp(-80.0, 20.0).exp()).clamp(1e-6, 4.0)) - 1.0;
        Self {
            choke_flow,
            top_flow: choke_flow / (1.0 + (-top.clamp(-4.0, 6.0)).exp()),
            top_ratio: 1.0 + rise,
            fall: rise * fall.clamp(-5.0, 3.0).exp(),
            exponent: 1.0 + exponent.clamp(-3.0, 3.0).exp(),
            left_fall: rise * left.clamp(-8.0, 2.0).exp(),
        }
    }

    /// Flow in kg/s and pressure ratio at `along`: −1 is no flow, 0 the top, 1 the choking end,
    /// beyond it straight down.
    pub fn at(&self, along: f64) -> (f64, f64) {
        self.with_tangent(along).0
    }

    /// The place at `along`, and how flow and pressure ratio change with `along`.
    fn with_tangent(&self, along: f64) -> ((f64, f64), (f64, f64)) {
        let (across, down) = (self.choke_flow - self.top_flow, self.fall);
        if along < 0.0 {
            let fall = self.left_fall * along;
            (
                (self.top_flow * (1.0 + along), self.top_ratio - fall * along),
                (self.top_flow, -2.0 * fall),
            )
        } else if along < 1.0 {
            // In polar coordinates, which space points evenly along a curve with a corner.
            let quarter = std::f64::consts::FRAC_PI_2;
            let (right, up) = (along * quarter).sin_cos();
            let c = self.exponent;
            let (right_c, up_c) = (right.powf(c), up.powf(c));
            let radius = (right_c + up_c).powf(-1.0 / c);
            // d(radius)/d(angle); the powers vanish faster than what they are divided by.
            let slope = -radius / (right_c + up_c)
                * (right_c / right.max(1e-300) * up - up_c / up.max(1e-300) * right);
            (
                (
                    self.top_flow + across * radius * right,
                    self.top_ratio - down * (1.0 - radius * up),
                ),
                (
                    quarter * across * (slope * right + radius * up),
                    quarter * down * (slope * up - radius * right),
                ),
            )
        } else {
            // Steep enough that the vertical reaches the flow axis from any pressure ratio.
            let steep = 20.0 * (self.top_ratio - 1.0);
            (
                (
                    self.choke_flow,
                    self.top_ratio - down - steep * (along - 1.0),
                ),
                (0.0, -steep),
            )
        }
    }

    /// Place and tangent at `along` in units of the axes.
    fn scaled(&self, axes: &Axes, along: f64) -> ((f64, f64), (f64, f64)) {
        let (place, tangent) = self.with_tangent(along);
        (
            axes.scaled(place),
            (tangent.0 / axes.flow, tangent.1 / axes.rise),
        )
    }

    /// Where the curve is at `along` within its own frame: the part of its width and of its fall. It
    /// hangs on the exponent alone, which is why [`Ellipse::place`] takes it.
    pub fn shape(&self, along: f64) -> (f64, f64) {
        let (right, up) = (along.clamp(0.0, 1.0) * std::f64::consts::FRAC_PI_2).sin_cos();
        let c = self.exponent;
        let radius = (right.powf(c) + up.max(0.0).powf(c)).powf(-1.0 / c);
        (radius * right, radius * up)
    }

    /// [`Ellipse::at`], the shape at `along` being known.
    pub fn place(&self, along: f64, shape: (f64, f64)) -> (f64, f64) {
        if (0.0..1.0).contains(&along) {
            (
                self.top_flow + (self.choke_flow - self.top_flow) * shape.0,
                self.top_ratio - self.fall * (1.0 - shape.1),
            )
        } else {
            self.at(along)
        }
    }

    /// Coarse nodes for [`Ellipse::foot`]: where along the curve, and the place there in units of
    /// the axes.
    pub fn nodes(&self, axes: &Axes) -> Vec<(f64, (f64, f64))> {
        (0..=COARSE)
            .map(|i| {
                let along = -1.0 + (1.0 + VERTICAL_END) * i as f64 / COARSE as f64;
                (along, axes.scaled(self.at(along)))
            })
            .collect()
    }

    /// The nearest point to `point` (flow in kg/s, pressure ratio), in units of the axes; `nodes`
    /// are those of [`Ellipse::nodes`].
    pub fn foot(&self, axes: &Axes, nodes: &[(f64, (f64, f64))], point: (f64, f64)) -> Foot {
        let p = axes.scaled(point);
        let mut best = (f64::INFINITY, 0.0);
        for pair in nodes.windows(2) {
            let ((along, a), (next, b)) = (pair[0], pair[1]);
            let chord = (b.0 - a.0, b.1 - a.1);
            let length = (chord.0 * chord.0 + chord.1 * chord.1).max(1e-300);
            let share = (((p.0 - a.0) * chord.0 + (p.1 - a.1) * chord.1) / length).clamp(0.0, 1.0);
            let off = (p.0 - a.0 - share * chord.0, p.1 - a.1 - share * chord.1);
            let distance = off.0 * off.0 + off.1 * off.1;
            if distance < best.0 {
                best = (distance, along + share * (next - along));
            }
        }
        let cell = (1.0 + VERTICAL_END) / COARSE as f64;
        let mut along = best.1;
        // Gauss and Newton's steps towards where the connection stands upright on the curve.
        for _ in 0..12 {
            let (here, tangent) = self.scaled(axes, along);
            let length = (tangent.0 * tangent.0 + tangent.1 * tangent.1).max(1e-300);
            let step = ((p.0 - here.0) * tangent.0 + (p.1 - here.1) * tangent.1) / length;
            along = (along + step.clamp(-cell, cell)).clamp(-0.999, VERTICAL_END);
            if step.abs() < 1e-8 {
                break;
            }
        }
        let (here, tangent) = self.scaled(axes, along);
        let length = (tangent.0 * tangent.0 + tangent.1 * tangent.1)
            .sqrt()
            .max(1e-150);
        let normal = (-tangent.1 / length, tangent.0 / length);
        Foot {
            along,
            place: self.at(along),
            distance: (p.0 - here.0) * normal.0 + (p.1 - here.1) * normal.1,
            normal,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle() -> (Ellipse, Axes) {
        // C = 2, top at the middle of the flows: a quarter of a circle of radius 1 around (1, 1).
        let ellipse = Ellipse {
            choke_flow: 2.0,
            top_flow: 1.0,
            top_ratio: 2.0,
            fall: 1.0,
            exponent: 2.0,
            left_fall: 0.1,
        };
        (
            ellipse,
            Axes {
                flow: 1.0,
                rise: 1.0,
            },
        )
    }

    #[test]
    fn an_exponent_of_two_is_a_circle() {
        let (ellipse, axes) = circle();
        let nodes = ellipse.nodes(&axes);
        for (radius, angle) in [(0.7_f64, 0.3_f64), (1.2, 1.0), (1.05, 1.5)] {
            let point = (1.0 + radius * angle.sin(), 1.0 + radius * angle.cos());
            let foot = ellipse.foot(&axes, &nodes, point);
            assert!((foot.distance - (radius - 1.0)).abs() < 1e-8, "{foot:?}");
            assert!((foot.along - angle / std::f64::consts::FRAC_PI_2).abs() < 1e-7);
        }
    }

    #[test]
    fn goes_on_smoothly_to_both_sides() {
        let (ellipse, axes) = circle();
        for along in [-0.3, 0.0, 0.2, 0.7, 1.0, 1.1] {
            // The tangent is the curve's own, by differences.
            let (_, tangent) = ellipse.with_tangent(along);
            let (a, b) = (ellipse.at(along - 1e-6), ellipse.at(along + 1e-6));
            let seen = ((b.0 - a.0) / 2e-6, (b.1 - a.1) / 2e-6);
            let turn = (tangent.0 * seen.1 - tangent.1 * seen.0).abs()
                / (tangent.0.hypot(tangent.1) * seen.0.hypot(seen.1));
            assert!(turn < 1e-4, "{along}: {tangent:?} {seen:?}");
        }
        // A point beside the vertical is as far away as its flow says.
        let nodes = ellipse.nodes(&axes);
        let beside = ellipse.foot(&axes, &nodes, (2.1, 0.8));
        assert!((beside.distance - 0.1).abs() < 1e-6, "{beside:?}");
    }
}
