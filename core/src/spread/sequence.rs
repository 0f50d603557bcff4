//! Points that fill a box more evenly than random ones would, the same each time.

/// How many dimensions there are at most.
pub const DIMENSIONS: usize = sobol_burley::NUM_DIMENSIONS as usize;

/// A Sobol sequence with Owen's scrambling (Burley, J. Computer Graphics Techniques 9(4), 2020): any
/// point at once, by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sequence {
    seed: u32,
}

impl Sequence {
    /// A sequence; another seed gives another one.
    #[must_use]
    pub const fn new(seed: u32) -> Self {
        Self { seed }
    }

    /// Coordinate of a point, 0 to below 1. After 65,536 points another sequence begins; a dimension
    /// beyond [`DIMENSIONS`] begins again at the first with another seed.
    #[must_use]
    pub fn at(&self, point: u32, dimension: usize) -> f64 {
        let round = (dimension / DIMENSIONS) as u32;
        // Odd multipliers, so that no two of the seeds meet within what anyone will draw.
        let seed = self
            .seed
            .wrapping_add((point >> 16).wrapping_mul(0x9E37_79B1))
            .wrapping_add(round.wrapping_mul(0x85EB_CA6B));
        let dimension = (dimension % DIMENSIONS) as u32;
        f64::from(sobol_burley::sample(point & 0xFFFF, dimension, seed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What makes it a Sobol sequence: of the first 2ⁿ points, one lies in each of 2ⁿ equal slices,
    /// in every dimension.
    #[test]
    fn every_slice_has_its_point() {
        for seed in [0, 1, 77] {
            let sequence = Sequence::new(seed);
            for dimension in [0, 1, 7, 30, 255] {
                let mut slices = [0; 256];
                for point in 0..256 {
                    slices[(sequence.at(point, dimension) * 256.0) as usize] += 1;
                }
                assert!(slices.iter().all(|n| *n == 1), "{seed} {dimension}");
            }
        }
    }

    #[test]
    fn goes_on_beyond_its_ends() {
        let sequence = Sequence::new(5);
        let far = sequence.at(u32::MAX, 5 * DIMENSIONS + 3);
        assert!((0.0..1.0).contains(&far));
        assert_ne!(sequence.at(3, 0), sequence.at(3 + 65_536, 0));
        assert_ne!(sequence.at(3, 0), sequence.at(3, DIMENSIONS));
        assert_ne!(sequence.at(3, 0), Sequence::new(6).at(3, 0));
    }
}
