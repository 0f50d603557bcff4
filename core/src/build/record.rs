//! The one table of a turbocharger's numbers: label, unit, range, help.
//!
//! Checking a record, its messages, its schema, its entries in a link and the page's form all come
//! from this table. Lists (the map, the housings) and words (names, flanges) stand beside it in
//! [`Turbocharger`]. Values are SI in the record, but for shaft speed, which is in rev/min; for
//! people they are in the unit named here.

use super::turbocharger::{RecordError, Turbocharger};
use crate::air_way::compressor::{Estimate, FlowClaim, estimate_with_claim};
use crate::quantity::{Kind, Unit};

/// The part of a turbocharger that a number belongs to, in the order of a data sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordPart {
    /// Compressor wheel and housing.
    Compressor,
    /// What the compressor map refers to.
    Map,
    /// Turbine wheel.
    Turbine,
    /// Shaft and bearings.
    Shaft,
    /// Wastegate.
    Gate,
    /// What has to be joined to the engine and the vehicle.
    Connections,
}

impl RecordPart {
    /// What the page and messages call it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            RecordPart::Compressor => "Compressor",
            RecordPart::Map => "Compressor map",
            RecordPart::Turbine => "Turbine",
            RecordPart::Shaft => "Shaft",
            RecordPart::Gate => "Gate",
            RecordPart::Connections => "Connections",
        }
    }
}

/// One row of the table.
pub struct RecordSpec {
    /// Key in a record's file, within its part.
    pub id: &'static str,
    /// Key in a link; it never changes its meaning.
    pub link: &'static str,
    /// Where it belongs.
    pub part: RecordPart,
    /// Short name.
    pub label: &'static str,
    /// What is measured.
    pub kind: Kind,
    /// Symbol of the unit that `range` is written in.
    pub unit: &'static str,
    /// Least and greatest value taken, in `unit`.
    pub range: (f64, f64),
    /// Whether a record must have it.
    pub needed: bool,
    /// What it is and where to find it.
    pub help: &'static str,
    /// What one of the record is in SI units: 1 but for shaft speed.
    pub si: f64,
    /// The value in a record, as it stands there.
    pub get: fn(&Turbocharger) -> Option<f64>,
    /// Puts a value into a record, as it stands there; one that must be there is not taken away.
    pub set: fn(&mut Turbocharger, Option<f64>),
}

impl RecordSpec {
    /// The unit that the row is written in.
    #[must_use]
    pub fn unit(&self) -> &'static Unit {
        let units = self.kind.units();
        units
            .iter()
            .find(|u| u.symbol == self.unit)
            .unwrap_or(self.kind.metric())
    }

    /// A value of the record in the unit of the row.
    #[must_use]
    pub fn in_unit(&self, value: f64) -> f64 {
        self.unit().from_si(value * self.si)
    }

    /// A value in the unit of the row as the record holds it.
    #[must_use]
    pub fn in_record(&self, value: f64) -> f64 {
        self.unit().to_si(value) / self.si
    }

    /// Whether a value of the record is within the range.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        // Half a part in a billion: what converting to the unit and back may lose.
        let value = self.in_unit(value);
        let slack = 5e-10 * value.abs();
        value.is_finite() && value >= self.range.0 - slack && value <= self.range.1 + slack
    }
}

macro_rules! needed {
    ($id:literal, $link:expr, $part:ident, $label:literal, $kind:ident $unit:literal, $range:expr, $help:literal, $($at:ident).+) => {
        RecordSpec {
            id: $id, link: $link, part: RecordPart::$part, label: $label, kind: Kind::$kind, unit: $unit,
            range: $range, needed: true, help: $help, si: 1.0,
            get: |t| Some(t.$($at).+),
            set: |t, value| if let Some(value) = value { t.$($at).+ = value; },
        }
    };
}

macro_rules! optional {
    ($id:literal, $link:expr, $part:ident, $label:literal, $kind:ident $unit:literal, $range:expr, $help:literal, $($at:ident).+) => {
        RecordSpec {
            id: $id, link: $link, part: RecordPart::$part, label: $label, kind: Kind::$kind, unit: $unit,
            range: $range, needed: false, help: $help, si: 1.0,
            get: |t| t.$($at).+,
            set: |t, value| t.$($at).+ = value,
        }
    };
}

/// The table.
pub const RECORD: [RecordSpec; 32] = [
    needed!("inducer_m", "Wi", Compressor, "Inducer", Length "mm", (10.0, 300.0),
        "Diameter of the compressor wheel where the air enters, over the blade tips.",
        compressor.wheel.inducer_m),
    needed!("exducer_m", "We", Compressor, "Exducer", Length "mm", (15.0, 400.0),
        "Diameter of the compressor wheel where the air leaves: its largest, over the blades.",
        compressor.wheel.exducer_m),
    needed!("hub_ratio", "Wh", Compressor, "Hub ratio", Ratio "", (0.1, 0.8),
        "Diameter of the nose at the inducer over the inducer's.",
        compressor.wheel.hub_ratio),
    needed!("blades", "Wb", Compressor, "Blades", Count "", (4.0, 40.0),
        "Full blades and splitters together, counted at the outlet.",
        compressor.wheel.blades),
    optional!("splitters", "Wx", Compressor, "Splitters", Count "", (0.0, 20.0),
        "How many of them are splitters, which begin behind the inlet.",
        compressor.splitters),
    needed!("backsweep_deg", "Ws", Compressor, "Backsweep", Ratio "", (0.0, 70.0),
        "Angle of the blades at the outlet, degrees from radial.",
        compressor.wheel.backsweep_deg),
    needed!("throat_share", "Wt", Compressor, "Throat share", Ratio "", (0.2, 1.0),
        "Narrowest area between the full blades over the open area of the inducer.",
        compressor.wheel.throat_share),
    optional!("peak_efficiency", "Wp", Compressor, "Best efficiency", Fraction "%", (30.0, 92.0),
        "Highest total-to-total efficiency on its map; blank for what the size suggests.",
        compressor.wheel.peak_efficiency),
    optional!("design_mach", "Wm", Compressor, "Design Mach number", Ratio "", (0.6, 2.0),
        "Tip-speed Mach number at which inducer and diffuser choke together; blank for 1.25.",
        compressor.wheel.design_mach),
    optional!("outlet_width_m", "Ww", Compressor, "Outlet width", Length "mm", (0.3, 60.0),
        "Width of the blades where the air leaves, on the wheel; blank for what is usual. An estimated map's work, choke at part speed and surge hang on it.",
        compressor.wheel.outlet_width_m),
    optional!("claimed_flow_kg_s", CLAIMED_FLOW, Compressor, "Claimed flow", MassFlow "kg/s", (0.01, 15.0),
        "Largest flow that its maker states; an estimated map is scaled to it. Blank for what the sizes give.",
        compressor.wheel.claimed_flow_kg_s),
    needed!("temperature_k", "Mt", Map, "Reference temperature", Temperature "°C", (-23.15, 76.85),
        "Air temperature that corrected flow and speed refer to; it stands on the map.",
        compressor.map.reference.temperature_k),
    needed!("pressure_pa", "Mp", Map, "Reference pressure", AbsolutePressure "kPa", (50.0, 120.0),
        "Air pressure that corrected flow refers to; it stands on the map.",
        compressor.map.reference.pressure_pa),
    needed!("inducer_m", "Ui", Turbine, "Inducer", Length "mm", (15.0, 400.0),
        "Diameter of the turbine wheel where the gas enters: the larger one.",
        turbine.inducer_m),
    needed!("exducer_m", "Ue", Turbine, "Exducer", Length "mm", (10.0, 400.0),
        "Diameter of the turbine wheel where the gas leaves, over the blade tips.",
        turbine.exducer_m),
    needed!("peak_efficiency", "Up", Turbine, "Best efficiency", Fraction "%", (30.0, 90.0),
        "Highest total-to-static efficiency of the turbine.",
        turbine.peak_efficiency),
    needed!("inlet_limit_k", "Ul", Turbine, "Largest inlet temperature", Temperature "°C", (426.85, 1226.85),
        "Hottest gas that wheel and housing bear for long; a data sheet states it by material.",
        turbine.inlet_limit_k),
    RecordSpec {
        id: "largest_speed_rev_min",
        link: LARGEST_SPEED,
        part: RecordPart::Shaft,
        label: "Largest speed",
        kind: Kind::ShaftSpeed,
        unit: "rev/min",
        range: (1e4, 5e5),
        needed: true,
        help: "Largest shaft speed that its maker allows; without one, what a tip speed near 545 m/s gives.",
        si: std::f64::consts::PI / 30.0,
        get: |t| Some(t.largest_speed_rev_min),
        set: |t, value| {
            if let Some(value) = value {
                t.largest_speed_rev_min = value;
            }
        },
    },
    optional!("inertia_kg_m2", "Bj", Shaft, "Rotor inertia", Inertia "g cm²", (1.0, 2e5),
        "Moment of inertia of shaft and wheels; blank to have it estimated.",
        inertia_kg_m2),
    needed!("diameter_m", "Gd", Gate, "Valve", Length "mm", (4.0, 150.0),
        "Diameter of the wastegate's valve seat.",
        gate.diameter_m),
    needed!("lift_m", "Gl", Gate, "Opens by", Length "mm", (0.5, 80.0),
        "Largest lift of the valve off its seat.",
        gate.lift_m),
    optional!("spring_pa", "Gs", Gate, "Actuator spring", GaugePressure "bar", (0.03, 4.0),
        "Boost that the actuator's spring holds alone. For a gate in the turbine housing: one of its own has its spring chosen with it.",
        gate.spring_pa),
    optional!("inlet_m", "Ci", Connections, "Air inlet", Length "mm", (15.0, 300.0),
        "Outside diameter of the compressor's inlet, for the hose.",
        connections.inlet_m),
    optional!("outlet_m", "Co", Connections, "Air outlet", Length "mm", (10.0, 250.0),
        "Outside diameter of the compressor's outlet, for the hose.",
        connections.outlet_m),
    optional!("turbine_outlet_m", "Cx", Connections, "Exhaust outlet", Length "mm", (15.0, 300.0),
        "Inside diameter of the turbine's outlet, for the downpipe.",
        connections.turbine_outlet_m),
    optional!("oil_restrictor_m", "Cr", Connections, "Oil restrictor", Length "mm", (0.4, 10.0),
        "Bore of the restrictor in the oil feed; blank for none. Ball bearings usually need one.",
        connections.oil_restrictor_m),
    optional!("oil_drain_m", "Cd", Connections, "Oil drain", Length "mm", (6.0, 60.0),
        "Inside diameter of the oil drain. It falls all the way, with no restriction.",
        connections.oil_drain_m),
    optional!("length_m", "Ca", Connections, "Length", Length "mm", (40.0, 1200.0),
        "Along the shaft, from the end of the air inlet to the end of the exhaust outlet.",
        connections.length_m),
    optional!("height_m", "Ch", Connections, "Height", Length "mm", (40.0, 1000.0),
        "Square to the shaft with the oil drain down, from the drain's flange to the top.",
        connections.height_m),
    optional!("compressor_housing_m", "Cc", Connections, "Compressor housing", Length "mm", (30.0, 1000.0),
        "Its largest width across the shaft, the outlet left aside.",
        connections.compressor_housing_m),
    optional!("turbine_housing_m", "Ct", Connections, "Turbine housing", Length "mm", (30.0, 1000.0),
        "Its largest width across the shaft, the inlet left aside.",
        connections.turbine_housing_m),
    optional!("mass_kg", "Cm", Connections, "Mass", Mass "kg", (0.3, 200.0),
        "Mass of the whole turbocharger with housings.",
        mass_kg),
];

/// A housing's A/R: a row for the members of the list of housings.
pub const HOUSING_RATIO: RecordSpec = RecordSpec {
    id: "a_over_r",
    link: "Uh",
    part: RecordPart::Turbine,
    label: "A/R",
    kind: Kind::Ratio,
    unit: "",
    range: (0.1, 4.0),
    needed: true,
    si: 1.0,
    help: "Area of the volute over the radius of its centre, as its maker states it (a number of the trade in inches).",
    get: |_| None,
    set: |_, _| (),
};

/// What a housing swallows: a row for the members of the list of housings.
pub const HOUSING_SWALLOWING: RecordSpec = RecordSpec {
    id: "swallowing",
    label: "Swallowing",
    kind: Kind::Swallowing,
    unit: "×10⁻⁵ kg√K/(s Pa)",
    range: (0.1, 30.0),
    needed: false,
    help: "Largest m√T3/p3 that the turbine passes; blank for what wheel and A/R suggest.",
    ..HOUSING_RATIO
};

/// Expansion ratio of a swallowing point: a row for the members of that list. What it swallows there has
/// the range of [`HOUSING_SWALLOWING`].
pub const POINT_RATIO: RecordSpec = RecordSpec {
    id: "expansion_ratio",
    label: "Expansion ratio",
    kind: Kind::Ratio,
    unit: "",
    range: (1.02, 12.0),
    help: "Total pressure before the turbine over static pressure behind it.",
    ..HOUSING_RATIO
};

impl Turbocharger {
    /// The same with another number, as the record holds it; an estimated map is estimated anew from
    /// the sizes where they have changed, up to the largest shaft speed.
    ///
    /// # Errors
    /// What is wrong with the number; a claimed flow that a wheel of these sizes cannot have.
    pub fn with_number(&self, spec: &RecordSpec, value: Option<f64>) -> Result<Self, RecordError> {
        let mut changed = self.clone();
        (spec.set)(&mut changed, value);
        changed.check()?;
        let sized = matches!(spec.part, RecordPart::Compressor | RecordPart::Map)
            || spec.link == LARGEST_SPEED;
        if changed.compressor.map.estimated && sized && changed != *self {
            return changed.with_estimated_map();
        }
        Ok(changed)
    }

    /// The same with its compressor map estimated from the wheel's sizes, up to the largest shaft
    /// speed, for the reference state that the map had.
    ///
    /// # Errors
    /// What is wrong with the record, before or after.
    pub fn with_estimated_map(&self) -> Result<Self, RecordError> {
        // Before anything is reckoned with it.
        self.check_all_but_map()?;
        let mut changed = self.clone();
        let estimate = changed.estimate();
        if let Some(claim) = estimate.claim.filter(|claim| !claim.is_believed()) {
            return Err(RecordError::Claim {
                name: changed.name.clone(),
                claim,
            });
        }
        changed.compressor.map = estimate.map;
        changed.check()?;
        Ok(changed)
    }

    /// How the claimed flow compares with that from the wheel's sizes; `None` where none is claimed.
    #[must_use]
    pub fn flow_claim(&self) -> Option<FlowClaim> {
        self.compressor.wheel.claimed_flow_kg_s?;
        self.estimate().claim
    }

    /// The map estimated from the sizes, up to the largest shaft speed.
    fn estimate(&self) -> Estimate {
        let wheel = &self.compressor.wheel;
        let turns = self.largest_speed_rev_min / 60.0;
        let tip_speed = std::f64::consts::PI * wheel.exducer_m * turns;
        estimate_with_claim(wheel, self.compressor.map.reference, tip_speed)
    }
}

/// Key of the largest shaft speed.
const LARGEST_SPEED: &str = "Bs";

/// Key of the claimed flow.
const CLAIMED_FLOW: &str = "Wc";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air_way::compressor::rated_flow;

    #[test]
    fn every_row_has_its_unit_and_its_own_key() {
        for (at, spec) in RECORD.iter().enumerate() {
            assert_eq!(spec.unit().symbol, spec.unit, "{}", spec.label);
            assert!(spec.range.0 < spec.range.1, "{}", spec.label);
            assert!(
                RECORD[..at].iter().all(|other| other.link != spec.link),
                "{}",
                spec.link
            );
        }
    }

    #[test]
    fn what_is_put_is_got() {
        let mut turbocharger = super::super::shelf().swap_remove(0);
        for spec in &RECORD {
            let middle = spec.in_record(0.5 * (spec.range.0 + spec.range.1));
            (spec.set)(&mut turbocharger, Some(middle));
            assert_eq!((spec.get)(&turbocharger), Some(middle), "{}", spec.label);
            (spec.set)(&mut turbocharger, None);
            assert_eq!(
                (spec.get)(&turbocharger).is_some(),
                spec.needed,
                "{}",
                spec.label
            );
            assert!(
                spec.holds(spec.in_record(spec.range.0))
                    && spec.holds(spec.in_record(spec.range.1))
            );
            assert!(!spec.holds(spec.in_record(spec.range.1 + spec.range.1.abs() * 0.01 + 0.01)));
        }
    }

    #[test]
    fn an_estimated_map_follows_its_wheel() {
        let turbocharger = super::super::shelf().swap_remove(1);
        let spec = |link: &str| RECORD.iter().find(|s| s.link == link).expect("a row");
        let flow = |t: &Turbocharger| {
            let lines = t.compressor.map.lines.iter();
            lines
                .flat_map(|l| l.points.iter().map(|p| p.flow_kg_s))
                .fold(0.0, f64::max)
        };
        let larger = turbocharger
            .with_number(spec("Wi"), Some(0.0567))
            .expect("in range");
        // Flow goes with the area of the inducer, and where that chokes also with
        // (1 + 0.2 u²)³, u its mean blade speed over that of sound, at most 0.9 here (Dixon & Hall,
        // eq. 7.47): a twentieth more diameter gives up to 4.2 % beyond the area.
        let ratio = flow(&larger) / flow(&turbocharger);
        let beyond_area = ratio / (56.7_f64 / 54.0).powi(2) - 1.0;
        assert!((0.0..0.042).contains(&beyond_area), "{beyond_area}");
        let heavier = turbocharger
            .with_number(spec("Cm"), Some(9.0))
            .expect("in range");
        assert_eq!(heavier.compressor.map, turbocharger.compressor.map);
        let error = turbocharger
            .with_number(spec("Wi"), Some(0.5))
            .expect_err("too large");
        assert!(
            error
                .to_string()
                .contains("500 mm does not lie between 10 mm and 300 mm"),
            "{error}"
        );
        // A claim scales the map, is told where the sizes do not bear it out, and refused where they
        // cannot.
        let from_sizes = turbocharger
            .with_number(spec("We"), Some(0.0711))
            .expect("in range");
        let rated = rated_flow(&from_sizes.compressor.map);
        for (share, agrees) in [(0.97, true), (1.05, true), (1.2, false), (0.8, false)] {
            let claimed = from_sizes
                .with_number(spec("Wc"), Some(share * rated))
                .expect("believed");
            let found = rated_flow(&claimed.compressor.map);
            assert!((found / (share * rated) - 1.0).abs() < 1e-12);
            let claim = claimed.flow_claim().expect("claimed");
            assert!((claim.ratio - share).abs() < 1e-12);
            assert_eq!(claim.agrees(), agrees, "{share}");
            let without = claimed.with_number(spec("Wc"), None).expect("blank");
            assert_eq!(without, from_sizes);
        }
        let error = from_sizes
            .with_number(spec("Wc"), Some(2.2 * rated))
            .expect_err("pounds for kilograms");
        assert!(
            error
                .to_string()
                .contains("claimed flow: 0.918 kg/s does not lie between 0.250 and 0.668 kg/s"),
            "{error}"
        );
        // A measured map belongs to its wheel.
        let mut measured = turbocharger.clone();
        measured.compressor.map.estimated = false;
        let other = measured
            .with_number(spec("We"), Some(0.073))
            .expect("in range");
        assert_eq!(other.compressor.map, measured.compressor.map);
    }
}
