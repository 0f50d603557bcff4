//! Isentropic work at a map's reference state, quickly.

use crate::gas::Mixture;

/// Nodes of the interpolation.
const NODES: usize = 8;
/// Largest head coordinate PR^(2/7) − 1 that the nodes reach: a pressure ratio of 12, the largest of
/// any map, is 1.03.
const REACH: f64 = 1.1;

/// Isentropic work over head, which hardly varies, as a polynomial through exact values at
/// Chebyshev's nodes, in Newton's form. Within 1e-8 of the exact up to a pressure ratio of 12.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct IdealWork {
    nodes: [f64; NODES],
    differences: [f64; NODES],
}

impl IdealWork {
    /// For `air` at `temperature` in K; `ratio` gives the pressure ratio at a head coordinate.
    pub fn new(air: &Mixture, temperature: f64, ratio: impl Fn(f64) -> f64) -> Self {
        let nodes: [f64; NODES] = std::array::from_fn(|i| {
            let angle = std::f64::consts::PI * (i as f64 + 0.5) / NODES as f64;
            0.5 * REACH * (1.0 + angle.cos())
        });
        let mut differences = nodes.map(|y| air.isentropic_work(temperature, ratio(y)) / y);
        for order in 1..NODES {
            for i in (order..NODES).rev() {
                differences[i] =
                    (differences[i] - differences[i - 1]) / (nodes[i] - nodes[i - order]);
            }
        }
        Self { nodes, differences }
    }

    /// J/kg at a head coordinate; below a pressure ratio of 1 only its sign is right.
    pub fn at(&self, y: f64) -> f64 {
        let mut value = 0.0;
        for (node, difference) in self.nodes.iter().zip(&self.differences).rev() {
            value = value * (y - node) + difference;
        }
        value * y
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gas::HumidAir;

    #[test]
    fn it_is_the_exact_work() {
        let air = HumidAir::new(0.0).mixture;
        for temperature in [255.0, 288.15, 345.0] {
            let quick = IdealWork::new(&air, temperature, |y| (1.0 + y).powf(3.5));
            for i in 1..240 {
                let ratio = 1.0 + f64::from(i) * 0.05;
                let y = ratio.powf(2.0 / 7.0) - 1.0;
                let off = quick.at(y) / air.isentropic_work(temperature, ratio) - 1.0;
                assert!(off.abs() < 1e-8, "{temperature} {ratio}: {off}");
            }
        }
    }
}
