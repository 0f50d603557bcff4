//! Oil at the turbocharger's bearing: what practice asks for, and what a simple model says beside it.
//!
//! The model is an orifice in series with a clearance. It stands or falls with the oil that the bearing
//! passes, which hardly anybody knows; where it was not measured a figure is taken that may be off by a
//! factor of two, and the bore that follows by its root. Nothing of it decides: practice does.

use super::stream::{bore_area, bore_of_area};
use crate::build::{Bearing, Build};
use crate::fields::Field;
use crate::formula;

formula! {
    /// Oil through a bearing, m³/s, at a pressure at its inlet, from what it passes at another.
    pub fn bearing_flow(pressure, quoted_flow, quoted_pressure) =
        quoted_flow * pressure / quoted_pressure;
    source "laminar flow through a clearance (any lubrication text)";

    /// How much pressure a restrictor takes, 1/Pa, over the square of the pressure behind it;
    /// conductance of the bearing in m³/(s Pa), area in m².
    pub fn restrictor_factor(density, conductance, discharge, area) =
        density / 2.0 * (conductance / (discharge * area)).powi(2);
    source "orifice equation (ISO 5167-2), a bore much narrower than its line";

    /// Pressure at the bearing's inlet, Pa, behind a restrictor.
    pub fn bearing_pressure(feed, factor) = 2.0 * feed / (1.0 + (1.0 + 4.0 * factor * feed).sqrt());
    source "orifice and laminar clearance in series: feed = p + factor p²";

    /// Area of the restrictor, m², that passes a flow with a pressure drop in Pa.
    pub fn restrictor_area(flow, discharge, density, drop) =
        flow / (discharge * (2.0 * drop / density).sqrt());
    source "orifice equation (ISO 5167-2), a bore much narrower than its line";
}

/// Feed pressure above which a ball bearing takes a restrictor, Pa gauge: 40 psi. Common practice, no
/// source.
pub const BALL_BEARING_FEED: f64 = 275_790.0;

/// The restrictor's bore then, m: 0.030 in. Common practice, no source.
pub const BALL_BEARING_RESTRICTOR: f64 = 0.000_762;

/// What practice says of oil, in words.
pub const OIL_PRACTICE: &str = "common practice, no source: a ball bearing fed at over 40 psi (2.8 bar) takes a 0.030 in (0.76 mm) restrictor, a journal bearing usually none";

/// Pressure at the bearing's inlet that its oil flow is quoted at, Pa gauge; the field says so too.
const QUOTED_AT: f64 = 3e5;

/// Density of hot oil, kg/m³. Mineral oil at 100 °C, from memory.
const OIL_DENSITY: f64 = 820.0;

/// Oil through a bearing at that pressure, m³/s, where it was not measured: 1 and 2.5 litre/min. Rough
/// figures from memory, no source.
const BALL_FLOW: f64 = 1.0e-3 / 60.0;
const JOURNAL_FLOW: f64 = 2.5e-3 / 60.0;

/// By what factor those may be off, either way. A judgement, no source.
const OFF_BY: f64 = 2.0;

/// What reaches one bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtBearing {
    /// Pressure at its inlet, Pa gauge.
    pub pressure_pa: f64,
    /// Oil, m³/s.
    pub flow_m3_s: f64,
}

/// A bore with how far it is trusted, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreRange {
    /// What the figures give.
    pub bore_m: f64,
    /// Least it may be.
    pub least_m: f64,
    /// Most it may be.
    pub most_m: f64,
}

/// The model of oil of one turbocharger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oil {
    /// What carries the shaft.
    pub bearing: Bearing,
    /// Pressure of the feed, Pa gauge.
    pub feed_pa: f64,
    /// The bearing's flow was entered; else it is a rough figure for the kind of bearing.
    pub flow_entered: bool,
    /// What reaches the bearing with no restrictor.
    pub without: AtBearing,
    /// Bore of the restrictor that the record states or practice asks for, m, and what reaches the
    /// bearing behind it.
    pub with: Option<(f64, AtBearing)>,
    /// Pressure that the bearing wants at most, Pa gauge.
    pub wanted_pa: Option<f64>,
    /// Bore that brings the feed down to it; `None` where the feed is no higher.
    pub bore_for_wanted: Option<BoreRange>,
}

impl Oil {
    /// The model with numbers, SI, pressures gauge: `flow` is the bearing's at 3 bar, entered or rough.
    #[must_use]
    pub fn new(
        bearing: Bearing,
        feed_pa: f64,
        entered_flow: Option<f64>,
        discharge: f64,
        restrictor_m: Option<f64>,
    ) -> Self {
        let flow = entered_flow.unwrap_or(match bearing {
            Bearing::Ball => BALL_FLOW,
            Bearing::Journal => JOURNAL_FLOW,
        });
        let reaches = |pressure_pa: f64| AtBearing {
            pressure_pa,
            flow_m3_s: bearing_flow(pressure_pa, flow, QUOTED_AT),
        };
        let wanted_pa = match bearing {
            Bearing::Ball => Some(BALL_BEARING_FEED),
            Bearing::Journal => None,
        };
        let bore_for_wanted = wanted_pa.filter(|wanted| feed_pa > *wanted).map(|wanted| {
            let bore = |flow: f64| {
                let through = bearing_flow(wanted, flow, QUOTED_AT);
                bore_of_area(restrictor_area(
                    through,
                    discharge,
                    OIL_DENSITY,
                    feed_pa - wanted,
                ))
            };
            let off = if entered_flow.is_some() { 1.0 } else { OFF_BY };
            BoreRange {
                bore_m: bore(flow),
                least_m: bore(flow / off),
                most_m: bore(flow * off),
            }
        });
        Self {
            bearing,
            feed_pa,
            flow_entered: entered_flow.is_some(),
            without: reaches(feed_pa),
            with: restrictor_m.map(|bore_m| {
                let factor =
                    restrictor_factor(OIL_DENSITY, flow / QUOTED_AT, discharge, bore_area(bore_m));
                (bore_m, reaches(bearing_pressure(feed_pa, factor)))
            }),
            wanted_pa,
            bore_for_wanted,
        }
    }

    /// The model of a build; `None` where its oil pressure is not known.
    pub(super) fn of(build: &Build) -> Option<Self> {
        let restrictor = match restrictor(build) {
            Restrictor::Stated(bore_m) | Restrictor::Practice(bore_m) => Some(bore_m),
            Restrictor::None | Restrictor::NotKnown => None,
        };
        Some(Self::new(
            build.turbocharger().bearing,
            build.optional(Field::OilPressure)?,
            build.optional(Field::BearingOilFlow),
            build.get(Field::RestrictorDischarge),
            restrictor,
        ))
    }
}

/// Which restrictor a build's turbocharger takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Restrictor {
    /// The record states its bore, m.
    Stated(f64),
    /// Practice asks for this bore, m.
    Practice(f64),
    /// None.
    None,
    /// Oil pressure or record do not tell.
    NotKnown,
}

/// What a record states goes before practice; a blank bore in a record that tells of its other
/// connections means none for a journal bearing.
pub(super) fn restrictor(build: &Build) -> Restrictor {
    let turbocharger = build.turbocharger();
    if let Some(bore_m) = turbocharger.connections.oil_restrictor_m {
        return Restrictor::Stated(bore_m);
    }
    match (turbocharger.bearing, build.optional(Field::OilPressure)) {
        (Bearing::Ball, Some(feed)) if feed > BALL_BEARING_FEED => {
            Restrictor::Practice(BALL_BEARING_RESTRICTOR)
        }
        (Bearing::Ball, Some(_)) => Restrictor::None,
        (Bearing::Journal, _) if !turbocharger.connections.is_blank() => Restrictor::None,
        _ => Restrictor::NotKnown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, without the closed form: the pressure at which orifice and bearing pass the same.
    fn balanced(feed: f64, flow: f64, discharge: f64, bore: f64) -> f64 {
        let (mut low, mut high) = (0.0, feed);
        for _ in 0..200 {
            let p = 0.5 * (low + high);
            let area = std::f64::consts::PI / 4.0 * bore * bore;
            let orifice = discharge * area * (2.0 * (feed - p) / OIL_DENSITY).sqrt();
            if orifice > flow * p / QUOTED_AT {
                low = p;
            } else {
                high = p;
            }
        }
        low
    }

    #[test]
    fn orifice_and_bearing_pass_the_same() {
        for (feed, flow, bore) in [
            (5e5, BALL_FLOW, 1e-3),
            (3e5, 6e-6, 0.8e-3),
            (9e5, 1e-4, 2e-3),
        ] {
            let oil = Oil::new(Bearing::Ball, feed, Some(flow), 0.7, Some(bore));
            let (_, with) = oil.with.expect("a restrictor");
            let by_hand = balanced(feed, flow, 0.7, bore);
            assert!((with.pressure_pa / by_hand - 1.0).abs() < 1e-9, "{with:?}");
            assert!(with.pressure_pa < oil.without.pressure_pa);
        }
    }

    #[test]
    fn the_bore_wanted_gives_the_pressure_wanted() {
        let oil = Oil::new(Bearing::Ball, 5.5e5, None, 0.65, None);
        let range = oil.bore_for_wanted.expect("the feed is too high");
        let again = Oil::new(Bearing::Ball, 5.5e5, None, 0.65, Some(range.bore_m));
        let (_, with) = again.with.expect("a restrictor");
        assert!((with.pressure_pa / BALL_BEARING_FEED - 1.0).abs() < 1e-9);
        // Area goes with flow: half and twice the flow is the root of two in diameter.
        let root = 2.0_f64.sqrt();
        assert!((range.most_m / range.bore_m / root - 1.0).abs() < 1e-9);
        assert!((range.bore_m / range.least_m / root - 1.0).abs() < 1e-9);
        let low = Oil::new(Bearing::Ball, 2e5, None, 0.65, None);
        assert_eq!(low.bore_for_wanted, None);
        let journal = Oil::new(Bearing::Journal, 5.5e5, None, 0.65, None);
        assert_eq!((journal.wanted_pa, journal.bore_for_wanted), (None, None));
    }

    #[test]
    fn practice_is_in_its_own_units() {
        assert!((BALL_BEARING_FEED / 6_894.757_293_168 - 40.0).abs() < 1e-3);
        assert!((BALL_BEARING_RESTRICTOR / 0.0254 - 0.030).abs() < 1e-12);
    }
}
