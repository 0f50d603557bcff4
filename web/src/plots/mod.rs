//! The plots and the canvas under them.

pub mod chart;
pub mod colours;
pub mod frame;
pub mod geometry;
pub mod labels;
pub mod map;
pub mod map_shape;
pub mod overlay;
pub mod pen;
pub mod sharp;
pub mod traces;
pub mod view;
pub mod way;
