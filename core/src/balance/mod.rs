//! The shaft at one engine speed: what the turbine gives against what the compressor takes.
//!
//! [`Plant`] couples the rooms of the air's way; `settle` finds a steady state at a given manifold
//! pressure; `branch` finds the manifold pressure itself: the lowest stable one, capped.

mod branch;
mod plant;
mod settle;

pub use branch::{Answer, Trail, answer, drivable};
pub(crate) use branch::{room, uncapped};
pub(crate) use plant::Burned;
pub use plant::{Engine, Plant, PressurePoint, SpeedPoint};
pub use settle::{Guess, ShaftState};

/// An equation that did not settle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unsettled {
    /// Which equation.
    pub equation: &'static str,
    /// What is left of it, relative.
    pub residual: f64,
}
