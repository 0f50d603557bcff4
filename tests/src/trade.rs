//! What the trade offers, for checks against its claims. Common practice, no source.

use airpath::build::{Turbocharger, shelf};

/// A pound a minute, kg/s.
pub const LB_PER_MIN: f64 = 0.453_592_37 / 60.0;
/// A mechanical horsepower, W.
pub const HP: f64 = 745.699_871_582_270_2;

/// A single that the trade offers for fours of about two litres: exducer 72.3 mm, turbine wheel 60 mm,
/// about 55 lb/min. What is not known of it is as one of the shelf has it that is a hair smaller.
///
/// # Panics
/// If the shelf lacks that one, or the claim is not believed.
#[must_use]
pub fn single_for_two_litres() -> Turbocharger {
    let record = shelf().into_iter().find(|t| t.id == "rowan");
    let mut record = record.expect("on the shelf");
    record.compressor.wheel.exducer_m = 0.072_3;
    record.compressor.wheel.claimed_flow_kg_s = Some(55.0 * LB_PER_MIN);
    record.turbine.inducer_m = 0.060;
    record.largest_speed_rev_min *= 71.0 / 72.3;
    record.with_estimated_map().expect("the claim is believed")
}
