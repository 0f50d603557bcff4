//! A compressor map traced from a picture: a scan, a page, a photograph.
//!
//! 1. [`Plane`] knows where on the picture a flow and a pressure ratio lie, from four corners of the
//!    map's grid: a picture that is turned, skewed or taken at an angle is put right by it. A lens
//!    that bends straight lines is not.
//! 2. [`Tracing`] holds what was marked: the corners and their values, speed lines, the surge line,
//!    islands of efficiency, each as spots on the picture.
//! 3. [`Tracing::to_trace`] turns that into flows and pressure ratios for [`crate::map_fit::fit`].
//!
//! The picture itself never comes here.

mod plane;
mod tracing;

pub use plane::{Plane, PlaneError, Spot};
pub use tracing::{Grip, Meaning, Stroke, Tracing, TracingError};
