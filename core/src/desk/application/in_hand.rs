//! Room that is to be kept before each limit.

use serde::{Deserialize, Serialize};

/// Room to keep in hand: how late boost may come, and how near each limit may be. Shares as
/// [`crate::run::LimitReport::room`] has them; 0 goes up to the limit itself.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InHand {
    /// Boost must be there at this share of the redline: where the working range begins.
    pub late: f64,
    /// Of the flow, right of the surge line.
    pub surge: f64,
    /// Of the choke flow.
    pub choke: f64,
    /// Of the largest shaft speed.
    pub shaft_speed: f64,
    /// Of the gate's largest opening.
    pub gate: f64,
    /// Of the hottest gas at the turbine's inlet, from 0 °C.
    pub turbine_inlet: f64,
    /// Of the hottest air at the compressor's outlet, from 0 °C.
    pub compressor_outlet: f64,
    /// Of the largest back pressure ratio.
    pub back_pressure: f64,
}

/// A row of the table of [`InHand`].
pub struct InHandSpec {
    /// What the page calls it.
    pub label: &'static str,
    /// Range, a share.
    pub range: (f64, f64),
    /// What stands in it to begin with.
    pub default: f64,
    /// Where that comes from.
    pub source: &'static str,
    /// The value.
    pub get: fn(&InHand) -> f64,
    /// Its place.
    pub place: fn(&mut InHand) -> &mut f64,
}

/// A row, by the name of its member.
macro_rules! spec {
    ($member:ident, $label:literal, $low:literal .. $high:literal, $default:literal, $source:literal) => {
        InHandSpec {
            label: $label,
            range: ($low, $high),
            default: $default,
            source: $source,
            get: |in_hand| in_hand.$member,
            place: |in_hand| &mut in_hand.$member,
        }
    };
}

/// Room to keep in hand, a row a limit.
pub static IN_HAND: [InHandSpec; 8] = [
    spec!(
        late,
        "Boost there by",
        0.15..0.95,
        0.5,
        "A judgement, no source: half of the redline leaves one change of gear within boost."
    ),
    spec!(
        surge,
        "Surge",
        0.0..0.5,
        0.0,
        "A judgement, no source: a gate that is set holds boost down to the surge line while it builds, which costs time and no parts."
    ),
    spec!(
        choke,
        "Choke",
        0.0..0.5,
        0.03,
        "A judgement, no source: efficiency falls away over the last few per cent of the flow; as much as a claimed flow is known to."
    ),
    spec!(
        shaft_speed,
        "Shaft speed",
        0.0..0.5,
        0.03,
        "A judgement, no source: what boost that swings a tenth of a bar over its mark adds."
    ),
    spec!(
        gate,
        "Gate opening",
        0.0..0.9,
        0.1,
        "A judgement, no source: a gate that stands wide open no longer controls."
    ),
    spec!(
        turbine_inlet,
        "Turbine inlet heat",
        0.0..0.5,
        0.0,
        "A judgement, no source: the limit is for long running, which full load seldom is."
    ),
    spec!(
        compressor_outlet,
        "Compressor heat",
        0.0..0.5,
        0.0,
        "A judgement, no source: the limit is one already."
    ),
    spec!(
        back_pressure,
        "Back pressure",
        0.0..0.5,
        0.0,
        "A judgement, no source: the limit is one already."
    ),
];

impl Default for InHand {
    fn default() -> Self {
        let mut in_hand = Self {
            late: 0.0,
            surge: 0.0,
            choke: 0.0,
            shaft_speed: 0.0,
            gate: 0.0,
            turbine_inlet: 0.0,
            compressor_outlet: 0.0,
            back_pressure: 0.0,
        };
        for spec in &IN_HAND {
            *(spec.place)(&mut in_hand) = spec.default;
        }
        in_hand
    }
}

impl InHand {
    /// The same with every value within its range; one that is no number at its default.
    #[must_use]
    pub fn held(&self) -> Self {
        let mut held = *self;
        for spec in &IN_HAND {
            let place = (spec.place)(&mut held);
            *place = match place.is_nan() {
                true => spec.default,
                false => place.clamp(spec.range.0, spec.range.1),
            };
        }
        held
    }
}
