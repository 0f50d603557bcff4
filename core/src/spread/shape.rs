//! How a guess is spread: where its values lie, and the value at a share of them.

/// How likely the values between low and high are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Half of all values lie on either side of the middle, which is the likeliest; they thin out
    /// evenly on both sides (a triangle over each). Low and high hold nine tenths of them: a
    /// twentieth lies beyond each.
    Peaked,
    /// Nothing between low and high is likelier than anything else, and nothing lies beyond.
    Even,
}

/// Share of a triangle's side that lies within its twentieth: 1 − √(2 × 0.05).
const TWENTIETH: f64 = 0.683_772_233_983_162_1;

/// The values that a guess may have: low and high, never outside of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Values {
    /// How they lie.
    pub shape: Shape,
    /// The value that stands without a spread.
    pub middle: f64,
    /// Low: a twentieth lies below it, none if [`Shape::Even`].
    pub low: f64,
    /// High: a twentieth lies above it, none if [`Shape::Even`].
    pub high: f64,
    /// Least and largest value there can be.
    pub range: (f64, f64),
}

impl Values {
    /// The value that a share of all (0 to 1) lies below; rises with it, and stays in the range. What
    /// would lie outside of the range is shared out over the rest.
    #[must_use]
    pub fn at(&self, share: f64) -> f64 {
        if self.is_fixed() {
            return self.middle;
        }
        let (least, most) = self.range;
        match self.shape {
            Shape::Even => {
                let (low, high) = (self.low.max(least), self.high.min(most));
                low + share * (high - low)
            }
            Shape::Peaked => {
                let (from, to) = (self.share_below(least), self.share_below(most));
                let share = from + share * (to - from);
                let value = if share < 0.5 {
                    self.middle - self.side(self.low) * (1.0 - (2.0 * share).sqrt())
                } else {
                    self.middle + self.side(self.high) * (1.0 - (2.0 * (1.0 - share)).sqrt())
                };
                value.max(least).min(most)
            }
        }
    }

    /// Whether there is but one value.
    #[must_use]
    pub fn is_fixed(&self) -> bool {
        self.low == self.high
    }

    /// How far from the middle a side of the triangle ends.
    fn side(&self, end: f64) -> f64 {
        (end - self.middle).abs() / TWENTIETH
    }

    /// Share of all values below one, without regard to the range.
    fn share_below(&self, value: f64) -> f64 {
        let end = if value < self.middle {
            self.low
        } else {
            self.high
        };
        let side = self.side(end);
        if side <= 0.0 {
            return if value < self.middle { 0.0 } else { 1.0 };
        }
        let left = (1.0 - (value - self.middle).abs() / side).max(0.0);
        let beyond = 0.5 * left * left;
        if value < self.middle {
            beyond
        } else {
            1.0 - beyond
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn peaked(low: f64, middle: f64, high: f64, range: (f64, f64)) -> Values {
        Values {
            shape: Shape::Peaked,
            middle,
            low,
            high,
            range,
        }
    }

    #[test]
    fn a_twentieth_lies_beyond_each_end_and_half_beyond_the_middle() {
        let values = peaked(4.0, 10.0, 13.0, (-100.0, 100.0));
        for (share, value) in [(0.05, 4.0), (0.5, 10.0), (0.95, 13.0)] {
            assert!((values.at(share) - value).abs() < 1e-12, "{share}");
        }
        let even = Values {
            shape: Shape::Even,
            ..values
        };
        assert_eq!((even.at(0.0), even.at(0.5), even.at(1.0)), (4.0, 8.5, 13.0));
    }

    #[test]
    fn what_has_no_spread_is_the_middle() {
        let fixed = peaked(7.5, 7.5, 7.5, (0.0, 10.0));
        assert!((0..=10).all(|i| fixed.at(0.1 * f64::from(i)) == 7.5));
    }

    proptest! {
        #[test]
        fn values_rise_with_the_share_and_stay_in_the_range(
            below in 0.0..5.0f64, above in 0.0..5.0f64,
            least in 0.0..1.0f64, most in 0.0..1.0f64,
            even in any::<bool>(), a in 0.0..1.0f64, b in 0.0..1.0f64,
        ) {
            let values = Values {
                shape: if even { Shape::Even } else { Shape::Peaked },
                middle: 3.0,
                low: 3.0 - below,
                high: 3.0 + above,
                range: (3.0 - 6.0 * least, 3.0 + 6.0 * most),
            };
            let (low, high) = (values.at(a.min(b)), values.at(a.max(b)));
            prop_assert!(low <= high);
            for value in [low, high] {
                prop_assert!(value >= values.range.0 && value <= values.range.1);
            }
        }
    }
}
