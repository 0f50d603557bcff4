//! Station 1 to 2: the compressor, from its map.

mod estimate;
mod heat;
mod ideal_work;
mod map;
mod uncertainty;

pub use estimate::{
    Estimate, FlowClaim, WheelSizes, estimate, estimate_with_claim, rated_flow, wiesner_slip,
};
pub use map::{
    CHOKE_SLOPE, CompressorMap, LinePlace, MapData, MapError, MapPoint, MapReference, MapScale,
    Reading, SpeedLine, Spot,
};
pub use uncertainty::{MapUncertainty, Spread, Uncertainty};

use crate::formula;

formula! {
    /// Flow as the map's test stand would have measured it, kg/s, from that of one compressor in
    /// kg/s, its inlet's total temperature in K and pressure in Pa.
    pub fn corrected_flow(flow, inlet_temperature, reference_temperature, inlet_pressure, reference_pressure) =
        flow * ((inlet_temperature / reference_temperature).sqrt()
            / (inlet_pressure / reference_pressure));
    source "SAE J1826, J922: corrected flow";

    /// Shaft speed from corrected speed, rev/min.
    pub fn shaft_speed(corrected, inlet_temperature, reference_temperature) =
        corrected * (inlet_temperature / reference_temperature).sqrt();
    source "SAE J1826, J922: corrected speed";

    /// Work of the compressor, J/kg, from that at the map's reference state: work over the square
    /// of tip speed stays put.
    pub fn compressor_work(at_reference, inlet_temperature, reference_temperature) =
        at_reference * (inlet_temperature / reference_temperature);
    source "similarity of compressors (Dixon, ch. 2)";
}
