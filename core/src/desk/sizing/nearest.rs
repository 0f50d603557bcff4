//! Which of a shelf come closest to sizes that were worked out.

use super::Sizing;
use crate::air_way::compressor::rated_flow;
use crate::build::{Arrangement, Turbocharger};
use serde::Serialize;
use std::sync::Arc;

/// A turbocharger of the shelf beside the sizes proposed. Differences are shares: 0.05 is 5 % more than
/// proposed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Near {
    /// Its place on the shelf that was given.
    pub on_shelf: usize,
    /// Which of its housings, from 0.
    pub housing: usize,
    /// One, or a pair.
    pub arrangement: Arrangement,
    /// Largest flow of its map, against that of the wheel proposed.
    pub flow: f64,
    /// Inducer's diameter.
    pub inducer: f64,
    /// Exducer's diameter.
    pub exducer: f64,
    /// Turbine wheel's inducer.
    pub turbine: f64,
    /// Swallowing.
    pub swallowing: f64,
    /// How far off altogether: the root of the squares of the logarithms of flow and swallowing.
    pub distance: f64,
}

impl Sizing {
    /// Every way to fit a turbocharger of `shelf`, against what is proposed for one or for a pair, the
    /// closest first: by the largest flow of its map and by what its housing swallows. Equals stay in the
    /// shelf's order.
    #[must_use]
    pub fn nearest(&self, shelf: &[Arc<Turbocharger>]) -> Vec<Near> {
        let mut all = Vec::new();
        for proposal in self.proposals() {
            let own = rated_flow(&proposal.turbocharger.compressor.map);
            let sizes = &proposal.sizes;
            for (on_shelf, turbocharger) in shelf.iter().enumerate() {
                let wheel = &turbocharger.compressor.wheel;
                let flow = rated_flow(&turbocharger.compressor.map) / own;
                for housing in 0..turbocharger.turbine.housings.len() {
                    let known = turbocharger.knowledge(housing);
                    let swallowing = known.swallowing.value / sizes.swallowing;
                    all.push(Near {
                        on_shelf,
                        housing,
                        arrangement: proposal.arrangement,
                        flow: flow - 1.0,
                        inducer: wheel.inducer_m / sizes.inducer_m - 1.0,
                        exducer: wheel.exducer_m / sizes.exducer_m - 1.0,
                        turbine: turbocharger.turbine.inducer_m / sizes.turbine_inducer_m - 1.0,
                        swallowing: swallowing - 1.0,
                        distance: flow.ln().hypot(swallowing.ln()),
                    });
                }
            }
        }
        crate::numeric::put_in_order(&mut all, |near| near.distance);
        all
    }
}
