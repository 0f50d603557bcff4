//! From the ports to the turbine: what the manifold takes out of the gas.

use crate::formula;
use crate::quantity::{Temperature, TemperatureDifference};

formula! {
    /// What the manifold takes out of the gas, K, at a gas flow in kg/s and a temperature at the
    /// ports in K; `quoted` is that at the rated flow, `span` above `wall`.
    pub fn manifold_drop(quoted, flow, rated_flow, exponent, ports, wall, span) =
        quoted * (flow / rated_flow).powf(-exponent) * ((ports - wall) / span);
    source "form: heat transfer in turbulent pipe flow; constants a judgement";
}

/// Inputs of the exhaust manifold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExhaustManifold {
    /// Drop at the rated flow, `span` above `wall`.
    pub drop: TemperatureDifference,
    /// Exponent of its fall with flow.
    pub flow_exponent: f64,
    /// Gas temperature without a drop.
    pub wall: Temperature,
    /// Where above that the drop is quoted.
    pub span: TemperatureDifference,
    /// Largest drop over the quoted one.
    pub cap: f64,
    /// Rated flow, kg/s.
    pub rated_flow: f64,
}

impl ExhaustManifold {
    /// Temperature at the turbine from that at the ports, at a gas flow in kg/s:
    /// ΔT (ṁ/ṁ_rated)^−e (T − T_wall)/span, at most `cap` ΔT. Form: heat transfer in turbulent
    /// pipe flow; constants a judgement.
    #[must_use]
    pub fn cool(&self, port: Temperature, flow: f64) -> Temperature {
        let most = self.cap * self.drop.kelvin();
        let drop = manifold_drop(
            self.drop.kelvin(),
            flow.max(1e-6 * self.rated_flow),
            self.rated_flow,
            self.flow_exponent,
            port.kelvin(),
            self.wall.kelvin(),
            self.span.kelvin(),
        )
        .clamp(-most, most);
        // Never past the wall, whichever side it comes from.
        let room = port.kelvin() - self.wall.kelvin();
        let drop = if room >= 0.0 {
            drop.min(room)
        } else {
            drop.max(room)
        };
        Temperature::new(port.kelvin() - drop)
    }

    /// The same drop as a share of the way from the ports' temperature to the wall's, 0 to 1, after
    /// long running at a gas flow in kg/s.
    #[must_use]
    pub fn share(&self, port: Temperature, flow: f64) -> f64 {
        // Where there is no way to go the share is that of a short one.
        let way = port.kelvin() - self.wall.kelvin();
        let port = if way.abs() < 1.0 {
            self.wall + TemperatureDifference::new(1.0)
        } else {
            port
        };
        let way = port.kelvin() - self.wall.kelvin();
        (port.kelvin() - self.cool(port, flow).kelvin()) / way
    }
}
