//! The stretch of a picture that the board shows.

use crate::plots::geometry::Point;

/// Largest size of a picture's pixel, CSS pixels.
const LARGEST: f64 = 12.0;
/// The picture may be this much smaller than the board.
const SMALLEST: f64 = 0.7;

/// How a picture lies on the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// CSS pixels in one pixel of the picture.
    pub scale: f64,
    /// Where the picture's upper left corner lies, CSS pixels.
    pub origin: Point,
}

impl Look {
    /// All of a picture on a board of this size.
    pub fn whole(board: (f64, f64), picture: (f64, f64)) -> Self {
        let scale = (board.0 / picture.0.max(1.0)).min(board.1 / picture.1.max(1.0));
        let scale = if scale.is_finite() && scale > 0.0 {
            scale
        } else {
            1.0
        };
        Self {
            scale,
            origin: (
                0.5 * (board.0 - scale * picture.0),
                0.5 * (board.1 - scale * picture.1),
            ),
        }
    }

    /// A spot of the picture on the board.
    pub fn board(&self, spot: Point) -> Point {
        (
            self.origin.0 + self.scale * spot.0,
            self.origin.1 + self.scale * spot.1,
        )
    }

    /// A point of the board on the picture.
    pub fn picture(&self, point: Point) -> Point {
        (
            (point.0 - self.origin.0) / self.scale,
            (point.1 - self.origin.1) / self.scale,
        )
    }

    /// Larger by `by` about a point of the board.
    pub fn zoomed(&self, by: f64, about: Point, board: (f64, f64), picture: (f64, f64)) -> Self {
        if !(by.is_finite() && by > 0.0) {
            return *self;
        }
        let least = SMALLEST * Self::whole(board, picture).scale;
        let scale = (self.scale * by).clamp(least, LARGEST.max(least));
        let spot = self.picture(about);
        Self {
            scale,
            origin: (about.0 - scale * spot.0, about.1 - scale * spot.1),
        }
        .held(board, picture)
    }

    /// Moved by CSS pixels.
    pub fn moved(&self, by: Point, board: (f64, f64), picture: (f64, f64)) -> Self {
        Self {
            origin: (self.origin.0 + by.0, self.origin.1 + by.1),
            ..*self
        }
        .held(board, picture)
    }

    /// The middle of the board stays on the picture.
    fn held(&self, board: (f64, f64), picture: (f64, f64)) -> Self {
        let held = |origin: f64, board: f64, picture: f64| {
            let middle = 0.5 * board;
            origin.clamp(middle - self.scale * picture, middle)
        };
        Self {
            origin: (
                held(self.origin.0, board.0, picture.0),
                held(self.origin.1, board.1, picture.1),
            ),
            ..*self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOARD: (f64, f64) = (390.0, 420.0);
    const PICTURE: (f64, f64) = (1600.0, 1200.0);

    #[test]
    fn there_and_back() {
        let look = Look::whole(BOARD, PICTURE).zoomed(3.0, (100.0, 200.0), BOARD, PICTURE);
        let spot = look.picture((77.0, 301.0));
        let back = look.board(spot);
        assert!((back.0 - 77.0).abs() < 1e-9 && (back.1 - 301.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_zoomed_about_stays_and_the_picture_is_never_lost() {
        let look = Look::whole(BOARD, PICTURE);
        let before = look.picture((150.0, 210.0));
        let near = look.zoomed(2.0, (150.0, 210.0), BOARD, PICTURE);
        let after = near.picture((150.0, 210.0));
        assert!((before.0 - after.0).abs() < 1e-9 && (before.1 - after.1).abs() < 1e-9);
        let mut look = near;
        for i in 0..60 {
            look = look
                .moved((900.0, -700.0), BOARD, PICTURE)
                .zoomed(
                    if i % 2 == 0 { 40.0 } else { 0.01 },
                    (0.0, 0.0),
                    BOARD,
                    PICTURE,
                )
                .zoomed(f64::NAN, (0.0, 0.0), BOARD, PICTURE);
            let middle = look.picture((195.0, 210.0));
            assert!((-1e-6..=PICTURE.0 + 1e-6).contains(&middle.0), "{middle:?}");
            assert!((-1e-6..=PICTURE.1 + 1e-6).contains(&middle.1), "{middle:?}");
        }
    }
}
