//! Station 2 to m: charge cooler, pipes, open throttle.

use crate::formula;
use crate::numeric::{Curve, bracketed_root, put_in_order};
use crate::quantity::{AbsolutePressure, PressureDifference, Temperature};

formula! {
    /// Pressure lost from compressor to manifold, Pa, quoted at the rated flow and 200 kPa. The
    /// charge's temperature is within the quoted figure.
    pub fn cooler_loss(rated_loss, flow, rated_flow, manifold) =
        rated_loss * (flow / rated_flow).powi(2) * (200_000.0 / manifold);
    source "turbulent flow, loss ∝ flow²/density (any fluid mechanics text)";

    /// Temperature after the cooler, K, from that before it and that of the cooling stream.
    pub fn cooled(outlet, effectiveness, coolant) = outlet - effectiveness * (outlet - coolant);
    source "definition of effectiveness (Incropera & DeWitt, ch. 11)";
}

/// Largest number of transfer units considered.
const MOST_UNITS: f64 = 60.0;
/// Flows over the rated one between which effectiveness is tabulated.
const FLOW_SPAN: (f64, f64) = (0.01, 9.0);

/// Effectiveness of a crossflow exchanger with both streams unmixed, exact.
///
/// ε = (1/(C N)) Σ_k [1 − e^−N Σ_{m≤k} N^m/m!] [1 − e^−CN Σ_{m≤k} (CN)^m/m!] (Mason 1955; Shah &
/// Sekulić, *Fundamentals of Heat Exchanger Design*, table 3.3), N transfer units (0 to 60), C the
/// ratio of heat capacities (0 to 1). The usual closed approximation is off by up to 3.7 %.
#[must_use]
pub fn crossflow_effectiveness(units: f64, capacity_ratio: f64) -> f64 {
    let units = units.clamp(0.0, MOST_UNITS);
    let c = capacity_ratio.clamp(0.0, 1.0);
    if units <= 0.0 {
        return 0.0;
    }
    if c < 1e-9 {
        return 1.0 - (-units).exp();
    }
    let (mut term_a, mut term_b) = ((-units).exp(), (-c * units).exp());
    let (mut tail_a, mut tail_b) = (1.0 - term_a, 1.0 - term_b);
    let mut sum = tail_a * tail_b;
    for k in 1..400 {
        let k = f64::from(k);
        term_a *= units / k;
        term_b *= c * units / k;
        tail_a = (tail_a - term_a).max(0.0);
        tail_b = (tail_b - term_b).max(0.0);
        let step = tail_a * tail_b;
        sum += step;
        if step < 1e-16 * sum {
            break;
        }
    }
    (sum / (c * units)).clamp(0.0, 1.0)
}

/// A charge cooler with its pipes, ready to answer.
#[derive(Debug, Clone, PartialEq)]
pub struct ChargeCooler {
    /// Effectiveness over the square root of flow over rated flow.
    effectiveness: Curve,
    rated_flow: f64,
    rated_loss: PressureDifference,
    coolant: Temperature,
}

impl ChargeCooler {
    /// A cooler of `effectiveness` (0 to 0.98) at `rated_flow` in kg/s and `capacity_ratio` (0 to
    /// 1), whose transfer units fall as flow to the power `exponent`; the cooling stream, at
    /// temperature `coolant`, flows steadily. `rated_loss` is quoted at the rated flow and 2 bar.
    #[must_use]
    pub fn new(
        effectiveness: f64,
        capacity_ratio: f64,
        exponent: f64,
        rated_flow: f64,
        rated_loss: PressureDifference,
        coolant: Temperature,
    ) -> Self {
        let excess = |units: f64| crossflow_effectiveness(units, capacity_ratio) - effectiveness;
        let most = excess(MOST_UNITS);
        let units = if most <= 0.0 {
            MOST_UNITS
        } else {
            bracketed_root(
                (0.0, -effectiveness),
                (MOST_UNITS, most),
                1e-12,
                200,
                excess,
            )
            .root
        };
        // Exact at the rated flow even where no finite size reaches what was entered.
        let scale = effectiveness / crossflow_effectiveness(units, capacity_ratio).max(1e-300);
        let (low, high) = (FLOW_SPAN.0.sqrt(), FLOW_SPAN.1.sqrt());
        let mut points: Vec<(f64, f64)> = (0..=48)
            .map(|i| low + (high - low) * f64::from(i) / 48.0)
            .chain([1.0])
            .map(|root| {
                let share = root * root;
                let c = capacity_ratio * share;
                let n = units * share.powf(-exponent);
                // Beyond a ratio of 1 the cooling stream is the smaller: the relation is written
                // for the smaller stream, so its effectiveness counts by the ratio.
                let e = if c <= 1.0 {
                    crossflow_effectiveness(n, c)
                } else {
                    crossflow_effectiveness(n * c, 1.0 / c) / c
                };
                (root, (scale * e).min(0.999))
            })
            .collect();
        put_in_order(&mut points, |p| p.0);
        points.dedup_by(|b, a| b.0 - a.0 < 1e-9);
        let effectiveness = if effectiveness > 0.0 {
            Curve::new(&points).unwrap_or_else(|_| Curve::level(effectiveness))
        } else {
            Curve::level(0.0)
        };
        Self {
            effectiveness,
            rated_flow,
            rated_loss,
            coolant,
        }
    }

    /// Effectiveness at a flow in kg/s.
    #[must_use]
    pub fn effectiveness(&self, flow: f64) -> f64 {
        self.effectiveness
            .at((flow / self.rated_flow).max(0.0).sqrt())
    }

    /// Pressure lost between compressor and manifold at a flow in kg/s:
    /// Δp = Δp_rated (ṁ/ṁ_rated)² (2 bar/p_m). The charge's temperature is within the quoted
    /// figure.
    #[must_use]
    pub fn loss(&self, flow: f64, manifold: AbsolutePressure) -> PressureDifference {
        PressureDifference::new(cooler_loss(
            self.rated_loss.pa(),
            flow,
            self.rated_flow,
            manifold.pa(),
        ))
    }

    /// Temperature in the manifold from that at the compressor's outlet, at a flow in kg/s:
    /// T_m = T_2 − ε (T_2 − T_cooling).
    #[must_use]
    pub fn cool(&self, flow: f64, outlet: Temperature) -> Temperature {
        Temperature::new(cooled(
            outlet.kelvin(),
            self.effectiveness(flow),
            self.coolant.kelvin(),
        ))
    }
}
