//! Sizes of a turbocharger that does not exist yet, and the record of it.

use crate::air_way::compressor::{MapData, MapReference, WheelSizes};
use crate::air_way::turbine::estimated_swallowing;
use crate::build::{
    Bearing, CompressorRecord, Connections, GateKind, GateRecord, Housing, HousingEntry,
    RecordError, TurbineRecord, Turbocharger,
};
use crate::formula;
use crate::numeric::Curve;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

formula! {
    /// Flow at choke that leaves `room` of it before a flow.
    pub fn choke_flow_needed(flow, room) = flow / (1.0 - room);
    source "definition";

    /// Exducer's diameter, m, of a wheel with an inducer in m and a trim.
    pub fn exducer(inducer, trim) = inducer / (trim / 100.0).sqrt();
    source "SAE J922: trim is 100 × (inducer / exducer)²";

    /// Diameter, m, of a turbine wheel whose tip runs at a share of the speed of the gas in m/s, at a
    /// shaft speed in rev/min.
    pub fn wheel_for_gas(speed_ratio, gas_speed, shaft_speed) = 60.0 * speed_ratio * gas_speed / (PI * shaft_speed);
    source "geometry";

    /// Gas, kg/s, that gives a power in W with a work in J/kg.
    pub fn gas_for_power(power, work) = power / work;
    source "power balance of the shaft";

    /// Share of the exhaust past the gate: what the turbine does not take.
    pub fn gate_share(turbine, exhaust) = 1.0 - turbine / exhaust;
    source "conservation of mass";

    /// Largest m√T3/p3, kg √K/(s Pa), of the turbine that passes a flow at its inlet's and outlet's
    /// state: the turbine's law of flow turned round.
    pub fn swallowing_for(flow, temperature, inlet, outlet, exponent) =
        flow * temperature.sqrt() / (inlet * (1.0 - (outlet / inlet).powf(exponent)).sqrt());
    source "form: Eriksson & Nielsen 2014, Modeling and Control of Engines and Drivelines";

    /// A/R of the housing with a swallowing, from that of the same wheel with an A/R of 1.
    pub fn a_over_r_for(swallowing, at_one) = (swallowing / at_one).powi(2);
    source "the estimate of swallowing from wheel and A/R, turned round";
}

/// Least and largest trim seen in practice, and the one that is taken: common practice, no source.
pub const TRIMS: (f64, f64) = (45.0, 65.0);
/// See [`TRIMS`].
pub const USUAL_TRIM: f64 = 57.0;
/// Turbine wheel's inducer over compressor wheel's exducer: common practice, no source.
pub const WHEEL_RATIOS: (f64, f64) = (0.80, 0.95);
/// A/R that housings are made in, in the trade's inches: common practice, no source.
pub const HOUSINGS: (f64, f64) = (0.35, 1.45);
/// Turbine wheel's exducer over its inducer: common practice, no source. Nothing is worked out from it.
const TURBINE_EXDUCER: f64 = 0.87;
/// Best total-to-static efficiency over the turbine wheel's inducer in mm: a judgement, no source.
const TURBINE_EFFICIENCY: [(f64, f64); 4] =
    [(33.0, 0.615), (43.5, 0.655), (54.0, 0.68), (82.0, 0.69)];
/// Largest tip speed of a compressor wheel, m/s: a judgement for cast aluminium, as in the record's help.
pub const LARGEST_TIP_SPEED: f64 = 545.0;
/// The rest of a compressor wheel such as is usual: hub, blades, backsweep, throat. A judgement.
const HUB_RATIO: f64 = 0.3;
const BLADES: f64 = 12.0;
const BACKSWEEP_DEG: f64 = 35.0;
const THROAT_SHARE: f64 = 0.59;
/// Hottest gas that a usual wheel bears for long, K: 950 °C. Common practice, no source.
const INLET_LIMIT: f64 = 1223.15;

/// Smallest and largest gate, m: of those that a record takes.
pub(super) const GATES: (f64, f64) = (0.008, 0.15);
/// Fastest shaft that a record takes, rev/min: the smallest wheels are held to it.
const FASTEST_SHAFT: f64 = 5e5;

/// Sizes of a turbocharger.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Sizes {
    /// Compressor wheel's inducer, m.
    pub inducer_m: f64,
    /// Compressor wheel's exducer, m.
    pub exducer_m: f64,
    /// Turbine wheel's inducer, m.
    pub turbine_inducer_m: f64,
    /// Turbine wheel's exducer, m.
    pub turbine_exducer_m: f64,
    /// Largest m√T3/p3 of the turbine, kg √K/(s Pa).
    pub swallowing: f64,
    /// A/R of the housing that swallows that much.
    pub a_over_r: f64,
    /// Diameter of the gate's valve, which lifts by a quarter of it, m.
    pub gate_m: f64,
}

impl Sizes {
    /// Sizes from what decides them; the gate as large as the turbine wheel, until it is known how much
    /// has to pass it.
    pub(super) fn new(inducer_m: f64, trim: f64, turbine_inducer_m: f64, swallowing: f64) -> Self {
        Self {
            inducer_m,
            exducer_m: exducer(inducer_m, trim),
            turbine_inducer_m,
            turbine_exducer_m: TURBINE_EXDUCER * turbine_inducer_m,
            swallowing,
            a_over_r: a_over_r_for(swallowing, estimated_swallowing(turbine_inducer_m, 1.0)),
            gate_m: turbine_inducer_m.min(GATES.1),
        }
    }

    /// Trim of the compressor wheel.
    #[must_use]
    pub fn trim(&self) -> f64 {
        100.0 * (self.inducer_m / self.exducer_m).powi(2)
    }

    /// The same with another compressor wheel of the same trim, and another swallowing, by factors on
    /// the inducer's diameter and on the swallowing. The turbine wheel and the gate stay.
    #[must_use]
    pub fn scaled(&self, inducer: f64, swallowing: f64) -> Self {
        let gate_m = self.gate_m;
        let inducer = self.inducer_m * inducer;
        let swallowing = self.swallowing * swallowing;
        Self {
            gate_m,
            ..Self::new(inducer, self.trim(), self.turbine_inducer_m, swallowing)
        }
    }

    /// The compressor wheel.
    pub(super) fn wheel(&self) -> WheelSizes {
        WheelSizes {
            inducer_m: self.inducer_m,
            exducer_m: self.exducer_m,
            hub_ratio: HUB_RATIO,
            blades: BLADES,
            backsweep_deg: BACKSWEEP_DEG,
            throat_share: THROAT_SHARE,
            peak_efficiency: None,
            design_mach: None,
            outlet_width_m: None,
            claimed_flow_kg_s: None,
        }
    }

    /// Best efficiency of the turbine.
    pub(super) fn turbine_efficiency(&self) -> f64 {
        Curve::new(&TURBINE_EFFICIENCY).map_or(TURBINE_EFFICIENCY[0].1, |curve| {
            curve.at((self.turbine_inducer_m * 1e3).clamp(
                TURBINE_EFFICIENCY[0].0,
                TURBINE_EFFICIENCY[TURBINE_EFFICIENCY.len() - 1].0,
            ))
        })
    }

    /// A turbocharger of these sizes, its map estimated for a reference state.
    ///
    /// # Errors
    /// Sizes that no record takes.
    pub fn turbocharger(&self, reference: MapReference) -> Result<Turbocharger, RecordError> {
        Turbocharger {
            id: "sized".to_owned(),
            name: "Sized from the demand".to_owned(),
            compressor: CompressorRecord {
                wheel: self.wheel(),
                splitters: Some(0.5 * BLADES),
                map: MapData {
                    reference,
                    estimated: true,
                    lines: Vec::new(),
                },
            },
            turbine: TurbineRecord {
                inducer_m: self.turbine_inducer_m,
                exducer_m: self.turbine_exducer_m,
                peak_efficiency: self.turbine_efficiency(),
                inlet_limit_k: INLET_LIMIT,
                housings: vec![Housing {
                    a_over_r: self.a_over_r,
                    swallowing: None,
                    swallowing_points: Vec::new(),
                    entry: HousingEntry::Single,
                }],
            },
            largest_speed_rev_min: (LARGEST_TIP_SPEED * 60.0 / (PI * self.exducer_m))
                .min(FASTEST_SHAFT),
            bearing: Bearing::Journal,
            bearing_in_efficiency: false,
            gate: GateRecord {
                kind: GateKind::Internal,
                diameter_m: self.gate_m,
                lift_m: 0.25 * self.gate_m,
                spring_pa: None,
            },
            inertia_kg_m2: None,
            connections: Connections::default(),
            mass_kg: None,
            notes: String::new(),
            price: String::new(),
            availability: String::new(),
        }
        .with_estimated_map()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air_way::compressor::rated_flow;

    const REFERENCE: MapReference = MapReference {
        temperature_k: 302.8,
        pressure_pa: 96_200.0,
    };

    #[test]
    fn the_turned_round_housing_swallows_what_it_should() {
        let sizes = Sizes::new(0.054, 57.0, 0.059, 2.7e-5);
        let again = estimated_swallowing(sizes.turbine_inducer_m, sizes.a_over_r);
        assert!((again / 2.7e-5 - 1.0).abs() < 1e-12);
        assert!((sizes.trim() - 57.0).abs() < 1e-9);
        let more = sizes.scaled(1.0, 1.1);
        assert!((more.a_over_r / sizes.a_over_r - 1.21).abs() < 1e-9);
        assert_eq!(more.inducer_m, sizes.inducer_m);
    }

    #[test]
    fn a_record_of_sizes_flows_as_its_inducers_area() {
        let flow = |scale: f64| {
            let sizes = Sizes::new(0.054, 57.0, 0.059, 2.7e-5).scaled(scale, 1.0);
            let record = sizes.turbocharger(REFERENCE).expect("sound");
            assert_eq!(record.check(), Ok(()));
            rated_flow(&record.compressor.map)
        };
        assert!((flow(1.1) / flow(1.0) / 1.21 - 1.0).abs() < 0.01);
        // No wheel is so small that a record takes it.
        assert!(
            Sizes::new(0.005, 57.0, 0.006, 1e-6)
                .turbocharger(REFERENCE)
                .is_err()
        );
    }
}
