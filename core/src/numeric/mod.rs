//! The little numerical analysis that the air's way needs: a monotone curve and a bracketed root.

mod curve;
mod root;

pub use curve::{Curve, CurveError, hermite, monotone_slopes};
pub use root::{Bracket, bracketed_root};
