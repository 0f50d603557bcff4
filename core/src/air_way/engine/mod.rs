//! Station m to 3: the four-stroke engine.

pub mod breathing;
pub mod combustion;
pub mod friction;
pub mod fuel;
