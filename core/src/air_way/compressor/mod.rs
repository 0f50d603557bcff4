//! Station 1 to 2: the compressor, from its map.

mod estimate;
mod map;

pub use estimate::{WheelSizes, estimate, wiesner_slip};
pub use map::{
    CHOKE_SLOPE, CompressorMap, MapData, MapError, MapPoint, MapReference, Reading, SpeedLine,
};
