//! The stretch of a plot that is in view: zoomed about a point, moved, never beyond the data.

use super::geometry::Axis;

/// The narrowest view, as a share of the whole.
const LEAST: f64 = 1.0 / 16.0;
/// What a step of the keys or a double tap zooms by.
pub const STEP: f64 = 1.6;

/// A stretch of one axis, as shares of the whole from low to high.
pub type Stretch = (f64, f64);

/// What is in view of a plot's two axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Of the axis across, left to right.
    pub across: Stretch,
    /// Of the axis up, bottom to top.
    pub up: Stretch,
}

impl Default for View {
    fn default() -> Self {
        Self {
            across: (0.0, 1.0),
            up: (0.0, 1.0),
        }
    }
}

/// A stretch of `width` that holds `low`, pushed back inside the whole.
fn held(low: f64, width: f64) -> Stretch {
    let low = low.clamp(0.0, 1.0 - width);
    (low, low + width)
}

fn zoomed((low, high): Stretch, by: f64, about: f64) -> Stretch {
    let width = high - low;
    let wanted = (width / by).clamp(LEAST, 1.0);
    // What is under the finger stays there.
    held(low + about * (width - wanted), wanted)
}

fn moved((low, high): Stretch, by: f64) -> Stretch {
    let width = high - low;
    held(low + by * width, width)
}

impl View {
    /// Everything is in view.
    pub fn is_whole(&self) -> bool {
        *self == Self::default()
    }

    /// Larger by `by` (smaller below 1) about a place given as shares of what is in view, from the
    /// left and from the bottom. What is not a number changes nothing.
    pub fn zoomed(&self, by: f64, about: (f64, f64)) -> Self {
        if !(by.is_finite() && by > 0.0 && about.0.is_finite() && about.1.is_finite()) {
            return *self;
        }
        let next = Self {
            across: zoomed(self.across, by, about.0.clamp(0.0, 1.0)),
            up: zoomed(self.up, by, about.1.clamp(0.0, 1.0)),
        };
        // All but whole is whole: no reset is left to press for a hair's breadth.
        let most = |s: Stretch| s.1 - s.0 > 0.995;
        if most(next.across) && most(next.up) {
            Self::default()
        } else {
            next
        }
    }

    /// Moved by shares of what is in view, to the right and up.
    pub fn moved(&self, across: f64, up: f64) -> Self {
        if !(across.is_finite() && up.is_finite()) {
            return *self;
        }
        Self {
            across: moved(self.across, across),
            up: moved(self.up, up),
        }
    }
}

/// The part of an axis that is in view, on the same pixels.
pub fn seen(whole: (f64, f64), stretch: Stretch, pixels: (f64, f64)) -> Axis {
    let (low, high) = whole;
    let at = |share: f64| low + share * (high - low);
    Axis::new((at(stretch.0), at(stretch.1)), pixels)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_zoomed_about_stays_where_it_is() {
        let about = (0.3, 0.8);
        let view = View::default().zoomed(2.0, about);
        let value = |s: Stretch, share: f64| s.0 + share * (s.1 - s.0);
        assert!((value(view.across, 0.3) - 0.3).abs() < 1e-12);
        assert!((value(view.up, 0.8) - 0.8).abs() < 1e-12);
        assert!((view.across.1 - view.across.0 - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_view_stays_on_the_data_and_is_never_inverted() {
        // Every order of zooms and moves, far beyond what a hand does.
        let mut view = View::default();
        for i in 0..400_u32 {
            let share = f64::from(i * 37 % 101) / 100.0;
            view = match i % 4 {
                0 => view.zoomed(1.0 + 9.0 * share, (share, 1.0 - share)),
                1 => view.moved(40.0 * (share - 0.5), 3.0),
                2 => view.zoomed(0.2 + share, (1.0 - share, share)),
                _ => view.moved(-2.0, 9.0 * (0.5 - share)),
            };
            for (low, high) in [view.across, view.up] {
                assert!(low >= 0.0 && high <= 1.0 + 1e-12, "{low} {high}");
                assert!(high - low >= LEAST - 1e-12, "{low} {high}");
            }
        }
    }

    #[test]
    fn zooming_out_comes_back_to_the_whole() {
        let view = View::default().zoomed(8.0, (0.9, 0.1));
        assert!(!view.is_whole());
        assert!(view.zoomed(0.01, (0.5, 0.5)).is_whole());
        assert!(View::default().moved(0.4, -0.4).is_whole());
    }

    #[test]
    fn what_is_not_a_number_changes_nothing() {
        let view = View::default().zoomed(3.0, (0.5, 0.5));
        for by in [f64::NAN, f64::INFINITY, 0.0, -1.0] {
            assert_eq!(view.zoomed(by, (0.5, 0.5)), view);
        }
        assert_eq!(view.zoomed(2.0, (f64::NAN, 0.5)), view);
        assert_eq!(view.moved(f64::NAN, 0.0), view);
    }
}
