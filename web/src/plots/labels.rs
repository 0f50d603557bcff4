//! Labels that keep out of each other's way: the most important are placed first, each on the
//! first of its places that is free; what finds none is left out, but never a limit.

use super::geometry::{Point, Rect};
use airpath::numeric::put_in_order;

/// Free space kept around a label, CSS pixels: two that touch read as one.
const GAP: f64 = 2.0;

/// What a label names, the most important first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rank {
    /// A limit: it is always said.
    Limit,
    /// A wall: surge, choke, the largest speed.
    Wall,
    /// A value of a contour or a line.
    Contour,
    /// A spot along the route, and what it is called there.
    Spot,
}

/// Room for labels: what is taken is taken.
pub struct Labels {
    bounds: Rect,
    taken: Vec<Rect>,
}

impl Labels {
    /// No label yet, inside of `bounds`.
    pub fn new(bounds: Rect) -> Self {
        Self {
            bounds,
            taken: Vec::new(),
        }
    }

    /// Keeps a box free of labels.
    pub fn block(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Keeps a line free of labels.
    pub fn block_line(&mut self, points: &[Point], thickness: f64) {
        for pair in points.windows(2) {
            let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
            // A slanting piece is covered by small boxes along it, not by the one box around it.
            let pieces = ((x2 - x1).abs().max((y2 - y1).abs()) / 6.0).ceil().max(1.0) as usize;
            for i in 0..pieces {
                let t = (i as f64 + 0.5) / pieces as f64;
                let centre = (x1 + t * (x2 - x1), y1 + t * (y2 - y1));
                let width = (x2 - x1).abs() / pieces as f64 + thickness;
                let height = (y2 - y1).abs() / pieces as f64 + thickness;
                self.taken.push(Rect::around(centre, width, height));
            }
        }
    }

    fn is_free(&self, place: &Rect) -> bool {
        let wide = place.grown(GAP);
        place.inside(&self.bounds) && !self.taken.iter().any(|t| t.meets(&wide))
    }

    /// Takes the first place that is free; none is free: `None`, and the label is left out.
    pub fn place(&mut self, candidates: &[Rect]) -> Option<Rect> {
        let free = candidates.iter().find(|c| self.is_free(c))?;
        self.taken.push(*free);
        Some(*free)
    }

    /// The same for a label that may not be left out: where none of its places is free it takes
    /// the one that covers least, moved inside the bounds.
    pub fn place_always(&mut self, candidates: &[Rect]) -> Option<Rect> {
        if let Some(place) = self.place(candidates) {
            return Some(place);
        }
        let covered = |c: &Rect| -> f64 { self.taken.iter().map(|t| t.shared(c)).sum() };
        let least = candidates
            .iter()
            .map(|c| c.pushed_into(&self.bounds))
            .min_by(|a, b| covered(a).total_cmp(&covered(b)))?;
        self.taken.push(least);
        Some(least)
    }

    /// How far a point is from everything that is taken, at most `most`.
    pub fn clearance(&self, point: Point, most: f64) -> f64 {
        self.taken.iter().fold(most, |least, t| {
            let dx = (t.x - point.0).max(point.0 - t.x - t.width).max(0.0);
            let dy = (t.y - point.1).max(point.1 - t.y - t.height).max(0.0);
            least.min(dx.hypot(dy))
        })
    }
}

/// A label that asks for a place.
pub struct Wanted<T> {
    /// How important it is.
    pub rank: Rank,
    /// Where it may stand, the best first.
    pub places: Vec<Rect>,
    /// What is drawn there.
    pub what: T,
}

/// Places labels by rank, and within a rank in the order given; what is returned is drawn.
pub fn settle<T>(labels: &mut Labels, mut wanted: Vec<Wanted<T>>) -> Vec<(Rect, T)> {
    put_in_order(&mut wanted, |w| f64::from(w.rank as u8));
    wanted
        .into_iter()
        .filter_map(|w| {
            let place = if w.rank == Rank::Limit {
                labels.place_always(&w.places)
            } else {
                labels.place(&w.places)
            };
            Some((place?, w.what))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOUNDS: Rect = Rect {
        x: 0.0,
        y: 0.0,
        width: 100.0,
        height: 100.0,
    };

    fn wanted(rank: Rank, places: &[Rect], what: &'static str) -> Wanted<&'static str> {
        Wanted {
            rank,
            places: places.to_vec(),
            what,
        }
    }

    #[test]
    fn a_label_yields_to_one_placed_before() {
        let mut labels = Labels::new(BOUNDS);
        let place = Rect::around((50.0, 50.0), 20.0, 10.0);
        assert_eq!(labels.place(&[place]), Some(place));
        assert_eq!(labels.place(&[place]), None);
        // Hard by it is too near; a gap away is free.
        let touching = Rect::around((50.0, 60.5), 20.0, 10.0);
        let below = Rect::around((50.0, 63.5), 20.0, 10.0);
        assert_eq!(labels.place(&[touching, below]), Some(below));
    }

    #[test]
    fn limits_come_first_and_spots_are_dropped_first() {
        let one = Rect::around((50.0, 50.0), 20.0, 10.0);
        let two = Rect::around((50.0, 70.0), 20.0, 10.0);
        let mut labels = Labels::new(BOUNDS);
        let placed = settle(
            &mut labels,
            vec![
                wanted(Rank::Spot, &[one, two], "spot"),
                wanted(Rank::Contour, &[two, one], "contour"),
                wanted(Rank::Limit, &[one], "limit"),
            ],
        );
        assert_eq!(placed, [(one, "limit"), (two, "contour")]);
    }

    #[test]
    fn a_limit_is_never_left_out() {
        let mut labels = Labels::new(BOUNDS);
        labels.block(Rect {
            height: 60.0,
            ..BOUNDS
        });
        labels.block(Rect {
            y: 62.0,
            height: 30.0,
            ..BOUNDS
        });
        // Both are taken; the second, half outside, covers less once it is pushed inside.
        let covered = Rect::around((50.0, 30.0), 40.0, 20.0);
        let outside = Rect::around((95.0, 95.0), 40.0, 20.0);
        let placed = settle(
            &mut labels,
            vec![wanted(Rank::Limit, &[covered, outside], "limit")],
        );
        assert_eq!(placed.len(), 1);
        assert!(placed[0].0.inside(&BOUNDS));
        assert_eq!(placed[0].0.y, 80.0);
    }

    #[test]
    fn nothing_that_may_be_left_out_covers_the_route_or_another() {
        let mut labels = Labels::new(BOUNDS);
        let route = [(0.0, 90.0), (40.0, 50.0), (100.0, 40.0)];
        labels.block_line(&route, 7.0);
        let many: Vec<Wanted<usize>> = (0..60)
            .map(|i| Wanted {
                rank: [Rank::Wall, Rank::Contour, Rank::Spot][i % 3],
                places: (0..5)
                    .map(|k| {
                        let x = (i * 17 + k * 29) % 97;
                        let y = (i * 31 + k * 13) % 89;
                        Rect::around((x as f64, y as f64), 18.0, 12.0)
                    })
                    .collect(),
                what: i,
            })
            .collect();
        let placed = settle(&mut labels, many);
        assert!(placed.len() > 3, "{}", placed.len());
        for (at, (place, _)) in placed.iter().enumerate() {
            assert!(place.inside(&BOUNDS));
            for (other, _) in &placed[at + 1..] {
                assert!(!place.meets(other), "{place:?} {other:?}");
            }
            for pair in route.windows(2) {
                for step in 0..=100 {
                    let t = f64::from(step) / 100.0;
                    let x = pair[0].0 + t * (pair[1].0 - pair[0].0);
                    let y = pair[0].1 + t * (pair[1].1 - pair[0].1);
                    assert!(!place.meets(&Rect::around((x, y), 0.2, 0.2)));
                }
            }
        }
    }

    #[test]
    fn a_label_stays_off_a_slanting_line_but_may_stand_beside_it() {
        let mut labels = Labels::new(BOUNDS);
        labels.block_line(&[(0.0, 0.0), (100.0, 100.0)], 4.0);
        assert_eq!(
            labels.place(&[Rect::around((50.0, 50.0), 10.0, 10.0)]),
            None
        );
        assert!(
            labels
                .place(&[Rect::around((75.0, 25.0), 30.0, 20.0)])
                .is_some()
        );
    }

    #[test]
    fn clearance_is_the_way_to_the_nearest_box() {
        let mut labels = Labels::new(BOUNDS);
        labels.block(Rect::around((50.0, 50.0), 10.0, 10.0));
        assert_eq!(labels.clearance((50.0, 52.0), 40.0), 0.0);
        assert!((labels.clearance((58.0, 59.0), 40.0) - 5.0).abs() < 1e-9);
        assert_eq!(labels.clearance((99.0, 50.0), 40.0), 40.0);
    }
}
