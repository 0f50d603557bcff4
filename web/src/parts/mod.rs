//! What places are made of.

pub mod answer;
pub mod beside;
pub mod canvas;
pub mod choices;
pub mod curve;
pub mod field;
pub mod figure;
pub mod header;
pub mod hint;
pub mod in_turn;
pub mod keys;
pub mod map_file;
pub mod own;
pub mod part;
pub mod picture;
pub mod response;
pub mod room;
pub mod shapes;
pub mod share;
pub mod slide;
pub mod tables;
pub mod tracing;
pub mod visitor;
pub mod way;
pub mod when_near;
pub mod working;
