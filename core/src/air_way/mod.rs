//! The stations, one room each, in the order the air meets them.
//!
//! A station takes a [`State`] and its own inputs and gives the next state or a report. Rooms do
//! not know each other; only the balance couples them. Numbering follows SAE J922: 0 outside,
//! 1 compressor inlet, 2 compressor outlet, m intake manifold, 3 turbine inlet, 4 turbine outlet.

pub mod ambient;
pub mod charge_cooler;
pub mod compressor;
pub mod engine;
pub mod exhaust;
pub mod exhaust_manifold;
pub mod intake;
pub mod turbine;
pub mod wastegate;

use crate::quantity::{AbsolutePressure, Temperature};

/// The gas at a station: total pressure, total temperature, and how much flows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Total pressure.
    pub pressure: AbsolutePressure,
    /// Total temperature.
    pub temperature: Temperature,
    /// Mass flow, kg/s.
    pub flow: f64,
}
