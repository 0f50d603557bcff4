//! What a person entered: a complete build, valid by construction.
//!
//! A [`Build`] never changes: an edit is a new one. The same build gives the same match, to the
//! bit, on the same target.

mod file;
mod knowledge;
mod link;
mod record;
mod record_file;
mod shelf;
mod turbocharger;
mod varied;

pub use file::{BuildFile, FILE_VERSION, FileError, file_schema};
pub use knowledge::{Knowledge, Known, Origin};
pub use link::{LINK_VERSION, LONGEST_LINK, LinkError, from_link, to_link};
pub use record::{HOUSING_RATIO, HOUSING_SWALLOWING, POINT_RATIO, RECORD, RecordPart, RecordSpec};
pub use record_file::{RECORD_FILE_VERSION, RecordFile, RecordFileError};
pub use shelf::{in_front, on_shelf, shelf, whole_shelf};
pub use turbocharger::{
    Bearing, CompressorRecord, Connections, Entry as HousingEntry, GateKind, GateRecord, Housing,
    RecordError, TurbineRecord, Turbocharger,
};

use crate::air_way::turbine::{SwallowingFit, estimated_swallowing};
use crate::fields::{Field, Spec};
use crate::numeric::Curve;
use crate::quantity::{self, Kind, ReadError, Unit};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// How many turbochargers and how they stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Arrangement {
    /// One.
    Single,
    /// Two alike in parallel, each with half of the flow.
    Pair,
}

impl Arrangement {
    /// How many turbochargers.
    #[must_use]
    pub const fn count(self) -> f64 {
        match self {
            Arrangement::Single => 1.0,
            Arrangement::Pair => 2.0,
        }
    }
}

/// What burns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FuelKind {
    /// Petrol with any share of ethanol.
    Petrol,
    /// Diesel.
    Diesel,
}

/// What the fuel pressure regulator holds constant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RailReference {
    /// Rail above manifold: the regulator has a hose to the manifold.
    Manifold,
    /// Rail above the air outside: boost takes away from the pressure across the injector.
    Outside,
}

/// The law of a turbine's flow, without pulses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurbineLaw {
    /// Largest m√T3/p3, kg √K/(s Pa).
    pub swallowing: f64,
    /// k in √(1 − ER^−k).
    pub exponent: f64,
    /// How well the housing's points are met, where they are what counts.
    pub fit: Option<SwallowingFit>,
}

/// A number as it was entered: its value, and the unit it was entered in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// SI.
    pub si: f64,
    /// The unit it is shown and kept in.
    pub unit: &'static Unit,
}

/// A curve as it was entered, SI inside.
#[derive(Debug, Clone, PartialEq)]
pub struct EnteredCurve {
    /// The curve, SI on both axes.
    pub curve: Curve,
    /// Unit of the first coordinate.
    pub x_unit: &'static Unit,
    /// Unit of the second.
    pub y_unit: &'static Unit,
}

/// What is wrong with an entry, in words for the person who made it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{label}: {problem}")]
pub struct FieldError {
    /// The field's or curve's key.
    pub id: &'static str,
    /// What the page calls it.
    pub label: &'static str,
    /// What was typed.
    pub typed: String,
    /// What is wrong, the range, the remedy: a sentence or two.
    pub problem: String,
    /// What the remedy suggests, if there is something obvious.
    pub suggestion: Option<Entry>,
}

/// The curves of a build.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CurveField {
    /// Volumetric efficiency over engine speed.
    Breathing,
    /// Boost asked over engine speed.
    BoostCurve,
    /// Ideal cycle efficiency per heat released over λ, at compression ratio 9.
    IdealCycle,
}

/// A row of the table of curves.
pub struct CurveSpec {
    /// Key in build files.
    pub id: &'static str,
    /// What the page calls it.
    pub label: &'static str,
    /// What the axes measure and the units the rows are written in.
    pub x: (Kind, &'static str),
    /// Second axis.
    pub y: (Kind, &'static str),
    /// Range of the first coordinate, in its unit.
    pub x_range: (f64, f64),
    /// Range of the second, in its unit.
    pub y_range: (f64, f64),
    /// What it is.
    pub help: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

impl CurveField {
    /// Every curve.
    pub const ALL: [CurveField; 3] = [
        CurveField::Breathing,
        CurveField::BoostCurve,
        CurveField::IdealCycle,
    ];

    /// The curve's row.
    #[must_use]
    pub const fn spec(self) -> CurveSpec {
        match self {
            CurveField::Breathing => CurveSpec {
                id: "breathing",
                label: "Breathing",
                x: (Kind::EngineSpeed, "rev/min"),
                y: (Kind::Fraction, "%"),
                x_range: (200.0, 20_000.0),
                y_range: (30.0, 140.0),
                help: "Volumetric efficiency: how full the cylinders get, against the air in the manifold, with no more pressure before the turbine than in the manifold. From a dyno log, or a shape by valve gear.",
                source: "Common practice, no source: 85 to 105 % at best.",
            },
            CurveField::BoostCurve => CurveSpec {
                id: "boost_curve",
                label: "Boost over engine speed",
                x: (Kind::EngineSpeed, "rev/min"),
                y: (Kind::GaugePressure, "bar"),
                x_range: (200.0, 20_000.0),
                y_range: (0.0, 4.0),
                help: "Boost asked at each engine speed; takes the place of the one value.",
                source: "Common practice, no source.",
            },
            CurveField::IdealCycle => CurveSpec {
                id: "ideal_cycle",
                label: "Ideal cycle over λ",
                x: (Kind::Ratio, ""),
                y: (Kind::Fraction, "%"),
                x_range: (0.5, 6.0),
                y_range: (20.0, 75.0),
                help: "Efficiency of the ideal fuel-air cycle at compression ratio 9, for each joule of heat released.",
                source: "Fuel-air cycles with equilibrium products; compare Heywood 1988, figure 5-9.",
            },
        }
    }
}

/// Why a build could not be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BuildError {
    /// Entries that are wrong, all of them.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Fields(Vec<FieldError>),
    /// The turbocharger's record.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// A housing that the turbocharger does not have.
    #[error(
        "Housing {number} was chosen, but turbocharger “{name}” has {count}; choose one of them."
    )]
    Housing {
        /// Which, from 1.
        number: usize,
        /// Whose.
        name: String,
        /// How many it has.
        count: usize,
    },
    /// A name that is too long.
    #[error("The name has {length} characters; at most {most} are kept. Shorten it.")]
    NameTooLong {
        /// How long.
        length: usize,
        /// How long it may be.
        most: usize,
    },
}

/// Longest name of a build.
pub const LONGEST_NAME: usize = 120;

/// A complete build: engine, turbocharger, goal, and every constant of the model.
#[derive(Debug, Clone, PartialEq)]
pub struct Build {
    name: String,
    arrangement: Arrangement,
    fuel: FuelKind,
    rail_reference: RailReference,
    turbocharger: Arc<Turbocharger>,
    housing: usize,
    entries: [Option<Entry>; Field::COUNT],
    breathing: EnteredCurve,
    boost_curve: Option<EnteredCurve>,
    ideal_cycle: EnteredCurve,
}

fn entered(field: CurveField, points: &[(f64, f64)]) -> EnteredCurve {
    let spec = field.spec();
    let x_unit = spec.x.0.unit(spec.x.1).unwrap_or_else(|| spec.x.0.metric());
    let y_unit = spec.y.0.unit(spec.y.1).unwrap_or_else(|| spec.y.0.metric());
    let si: Vec<(f64, f64)> = points
        .iter()
        .map(|(x, y)| (x_unit.to_si(*x), y_unit.to_si(*y)))
        .collect();
    let level = si.first().map_or(0.0, |p| p.1);
    EnteredCurve {
        curve: Curve::new(&si).unwrap_or_else(|_| Curve::level(level)),
        x_unit,
        y_unit,
    }
}

/// Breathing of a four-valve engine with sporting cams, to begin with. Judgement.
const BREATHING: [(f64, f64); 7] = [
    (1000.0, 82.0),
    (2000.0, 90.0),
    (3000.0, 95.0),
    (5000.0, 100.0),
    (6500.0, 102.0),
    (7500.0, 100.0),
    (9000.0, 93.0),
];

/// Ideal cycle efficiency per heat released, compression ratio 9, over λ.
const IDEAL_CYCLE: [(f64, f64); 10] = [
    (0.70, 49.0),
    (0.75, 48.1),
    (0.80, 47.3),
    (0.85, 46.6),
    (0.90, 45.8),
    (1.00, 43.9),
    (1.10, 45.0),
    (1.20, 45.9),
    (1.40, 47.5),
    (1.80, 50.0),
];

impl Build {
    /// A build around a turbocharger, everything else at its default.
    ///
    /// # Errors
    /// What is wrong with the turbocharger's record.
    pub fn new(name: &str, turbocharger: Arc<Turbocharger>) -> Result<Self, BuildError> {
        let build = Self {
            name: shown_signs(name),
            arrangement: Arrangement::Single,
            fuel: FuelKind::Petrol,
            rail_reference: RailReference::Manifold,
            turbocharger,
            housing: 0,
            entries: [None; Field::COUNT],
            breathing: entered(CurveField::Breathing, &BREATHING),
            boost_curve: None,
            ideal_cycle: entered(CurveField::IdealCycle, &IDEAL_CYCLE),
        };
        build.turbocharger.check()?;
        build.checked()
    }

    /// Everything that concerns more than one entry.
    fn checked(self) -> Result<Self, BuildError> {
        if self.name.chars().count() > LONGEST_NAME {
            return Err(BuildError::NameTooLong {
                length: self.name.chars().count(),
                most: LONGEST_NAME,
            });
        }
        let count = self.turbocharger.turbine.housings.len();
        if self.housing >= count {
            return Err(BuildError::Housing {
                number: self.housing + 1,
                name: self.turbocharger.name.clone(),
                count,
            });
        }
        let (idle, redline) = (self.get(Field::IdleSpeed), self.get(Field::Redline));
        if idle >= redline {
            let spec = Field::Redline.spec();
            let unit = self.unit(Field::Redline);
            return Err(BuildError::Fields(vec![FieldError {
                id: spec.id,
                label: spec.label,
                typed: quantity::write(redline, unit, unit.decimals),
                problem: format!(
                    "{} is not above the lowest engine speed worked out, {}. Raise the redline or lower “{}”.",
                    quantity::write(redline, unit, unit.decimals),
                    quantity::write(idle, unit, unit.decimals),
                    Field::IdleSpeed.spec().label
                ),
                suggestion: None,
            }]));
        }
        Ok(self)
    }

    /// The build's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }
    /// How many turbochargers.
    #[must_use]
    pub fn arrangement(&self) -> Arrangement {
        self.arrangement
    }
    /// What burns.
    #[must_use]
    pub fn fuel(&self) -> FuelKind {
        self.fuel
    }
    /// What the fuel pressure regulator follows.
    #[must_use]
    pub fn rail_reference(&self) -> RailReference {
        self.rail_reference
    }
    /// The turbocharger.
    #[must_use]
    pub fn turbocharger(&self) -> &Arc<Turbocharger> {
        &self.turbocharger
    }
    /// Which of its housings, from 0.
    #[must_use]
    pub fn housing_index(&self) -> usize {
        self.housing
    }
    /// The housing chosen.
    #[must_use]
    pub fn housing(&self) -> &Housing {
        &self.turbocharger.turbine.housings[self.housing]
    }
    /// The law of the turbine's flow, W √(1 − ER^−k), steady: W as entered for the build, else of the
    /// housing's points, its number, or its A/R; k as entered, else of the points where W is and there
    /// are enough, else the usual.
    #[must_use]
    pub fn turbine_law(&self) -> TurbineLaw {
        let housing = self.housing();
        let entered = self.optional(Field::TurbineSwallowing);
        let exponent = self.get(Field::TurbineExponent);
        let keep = self.entry(Field::TurbineExponent).is_some();
        let fit = match entered {
            None => housing.fitted(exponent, keep),
            Some(_) => None,
        };
        TurbineLaw {
            swallowing: fit
                .map(|fit| fit.swallowing)
                .or(entered)
                .or(housing.swallowing)
                .unwrap_or_else(|| {
                    estimated_swallowing(self.turbocharger.turbine.inducer_m, housing.a_over_r)
                }),
            exponent: fit.map_or(exponent, |fit| fit.exponent),
            fit,
        }
    }

    /// Volumetric efficiency (1) over engine speed (rad/s).
    #[must_use]
    pub fn breathing(&self) -> &EnteredCurve {
        &self.breathing
    }
    /// Boost asked (Pa gauge) over engine speed (rad/s), if it is not one value.
    #[must_use]
    pub fn boost_curve(&self) -> Option<&EnteredCurve> {
        self.boost_curve.as_ref()
    }
    /// Ideal cycle efficiency (1) over λ.
    #[must_use]
    pub fn ideal_cycle(&self) -> &EnteredCurve {
        &self.ideal_cycle
    }
    /// A curve by its key.
    #[must_use]
    pub fn curve(&self, field: CurveField) -> Option<&EnteredCurve> {
        match field {
            CurveField::Breathing => Some(&self.breathing),
            CurveField::BoostCurve => self.boost_curve.as_ref(),
            CurveField::IdealCycle => Some(&self.ideal_cycle),
        }
    }

    /// What was entered in a field; `None` where its default stands.
    #[must_use]
    pub fn entry(&self, field: Field) -> Option<Entry> {
        self.entries[field as usize]
    }

    /// A field's value, SI: what was entered, else its default; for a field left blank, `None`.
    #[must_use]
    pub fn optional(&self, field: Field) -> Option<f64> {
        self.entries[field as usize]
            .map(|e| e.si)
            .or_else(|| field.spec().default_si(self.fuel == FuelKind::Diesel))
    }

    /// A field's value, SI: what was entered, else its default. Only for fields that have one; a
    /// field that may stay blank reads as its least value, so use [`Build::optional`] for it.
    #[must_use]
    pub fn get(&self, field: Field) -> f64 {
        self.optional(field)
            .unwrap_or_else(|| field.spec().range_si().0)
    }

    /// The unit a field is shown in: the one it was entered in, else the table's.
    #[must_use]
    pub fn unit(&self, field: Field) -> &'static Unit {
        self.entry(field)
            .map_or_else(|| field.spec().unit(), |e| e.unit)
    }

    /// The same build with one field set, or put back to its default with `None`.
    ///
    /// # Errors
    /// Names the field, the value, the range and the remedy.
    pub fn with(&self, field: Field, entry: Option<Entry>) -> Result<Self, BuildError> {
        if let Some(entry) = entry {
            let shown = quantity::write(entry.si, entry.unit, entry.unit.decimals);
            check_range(field.spec(), entry.si, entry.unit, &shown)
                .map_err(|e| BuildError::Fields(vec![e]))?;
        }
        let mut build = self.clone();
        build.entries[field as usize] = entry;
        build.checked()
    }

    /// The same build with one field set from what a person typed; blank puts the default back
    /// where a field may stay blank, and is an error elsewhere. A number without a unit is taken
    /// in `unit`.
    ///
    /// # Errors
    /// Names the field, what was typed, the range and the remedy.
    pub fn with_text(
        &self,
        field: Field,
        text: &str,
        unit: &'static Unit,
    ) -> Result<Self, BuildError> {
        if text.trim().is_empty()
            && matches!(field.spec().default, crate::fields::Default::Blank(_))
        {
            return self.with(field, None);
        }
        let entry =
            read_entry(field.spec(), text, unit).map_err(|e| BuildError::Fields(vec![e]))?;
        self.with(field, Some(entry))
    }

    /// The same build with one curve set; `None` puts its default back (or takes the boost curve
    /// away).
    ///
    /// # Errors
    /// What is wrong with its points.
    pub fn with_curve(
        &self,
        field: CurveField,
        curve: Option<EnteredCurve>,
    ) -> Result<Self, BuildError> {
        if let Some(curve) = &curve {
            check_curve(field, curve).map_err(|e| BuildError::Fields(vec![e]))?;
        }
        let mut build = self.clone();
        match field {
            CurveField::Breathing => {
                build.breathing = curve.unwrap_or_else(|| entered(field, &BREATHING))
            }
            CurveField::BoostCurve => build.boost_curve = curve,
            CurveField::IdealCycle => {
                build.ideal_cycle = curve.unwrap_or_else(|| entered(field, &IDEAL_CYCLE))
            }
        }
        build.checked()
    }

    /// The same build with another name.
    ///
    /// # Errors
    /// A name that is too long.
    pub fn with_name(&self, name: &str) -> Result<Self, BuildError> {
        let mut build = self.clone();
        build.name = shown_signs(name);
        build.checked()
    }

    /// The same build with another number of turbochargers.
    #[must_use]
    pub fn with_arrangement(&self, arrangement: Arrangement) -> Self {
        Self {
            arrangement,
            ..self.clone()
        }
    }

    /// The same build with another fuel. What was entered stays; what was not takes the new
    /// fuel's defaults.
    #[must_use]
    pub fn with_fuel(&self, fuel: FuelKind) -> Self {
        Self {
            fuel,
            ..self.clone()
        }
    }

    /// The same build with another reference for the fuel rail.
    #[must_use]
    pub fn with_rail_reference(&self, rail_reference: RailReference) -> Self {
        Self {
            rail_reference,
            ..self.clone()
        }
    }

    /// The same build with another turbocharger and housing (from 0).
    ///
    /// # Errors
    /// What is wrong with its record, or a housing that it does not have.
    pub fn with_turbocharger(
        &self,
        turbocharger: Arc<Turbocharger>,
        housing: usize,
    ) -> Result<Self, BuildError> {
        turbocharger.check()?;
        let mut build = self.clone();
        build.turbocharger = turbocharger;
        build.housing = housing;
        build.checked()
    }

    /// The same engine, place and goal with another turbocharger or housing (from 0) fitted: what was
    /// entered about the one that comes off does not go along. An external gate stays on its manifold.
    ///
    /// # Errors
    /// What is wrong with its record, or a housing that it does not have.
    pub fn fitted_with(
        &self,
        turbocharger: Arc<Turbocharger>,
        housing: usize,
    ) -> Result<Self, BuildError> {
        let mut gone = Vec::new();
        if turbocharger != self.turbocharger {
            gone.extend(OF_THE_TURBOCHARGER);
            let external = |t: &Turbocharger| t.gate.kind == GateKind::External;
            if !(external(&turbocharger) && external(&self.turbocharger)) {
                gone.extend(OF_THE_GATE);
            }
        } else if housing != self.housing {
            gone.push(Field::TurbineSwallowing);
        }
        let mut build = self.with_turbocharger(turbocharger, housing)?;
        for field in gone {
            build.entries[field as usize] = None;
        }
        build.checked()
    }
}

/// Fields that tell of the turbocharger that is fitted, and of no other.
const OF_THE_TURBOCHARGER: [Field; 5] = [
    Field::TurbineSwallowing,
    Field::TurbinePeakEfficiency,
    Field::ShaftSpeedLimit,
    Field::RotorInertia,
    Field::BearingOilFlow,
];

/// Fields that tell of its gate.
const OF_THE_GATE: [Field; 2] = [Field::GateDiameter, Field::GateLift];

/// A value in words, without zeros at its end.
fn plain(si: f64, unit: &Unit) -> String {
    let number = bare(si, unit);
    if unit.symbol.is_empty() {
        number
    } else {
        format!("{number} {}", unit.symbol)
    }
}

/// The number alone, without zeros at its end.
fn bare(si: f64, unit: &Unit) -> String {
    let text = quantity::write_number(si, unit, unit.decimals + 1);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A value to six digits in its unit: what moving a decimal point leaves is not to be shown.
fn rounded(si: f64, unit: &Unit) -> f64 {
    let value = unit.from_si(si);
    unit.to_si(format!("{value:.5e}").parse().unwrap_or(value))
}

/// Reads one entry and checks its range.
pub(crate) fn read_entry(
    spec: &'static Spec,
    text: &str,
    unit: &'static Unit,
) -> Result<Entry, FieldError> {
    let typed: String = text.chars().take(80).collect();
    let (low, high) = spec.range_si();
    let shown = |unit: &Unit| format!("{} to {}", bare(low, unit), plain(high, unit));
    let reading = quantity::read(text, spec.kind, unit).map_err(|error| {
        let problem = match error {
            ReadError::Empty => {
                format!("It is empty. Enter a value from {}.", shown(unit))
            }
            other => format!("{other} It takes {}.", shown(unit)),
        };
        FieldError {
            id: spec.id,
            label: spec.label,
            typed: typed.clone(),
            problem,
            suggestion: None,
        }
    })?;
    check_range(spec, reading.si, reading.unit, &typed)?;
    Ok(Entry {
        si: reading.si,
        unit: reading.unit,
    })
}

fn check_range(
    spec: &'static Spec,
    si: f64,
    unit: &'static Unit,
    typed: &str,
) -> Result<(), FieldError> {
    if spec.holds(si) {
        return Ok(());
    }
    let (low, high) = spec.range_si();
    let above = si > high;
    let end = if above { high } else { low };
    // A slipped decimal point is the likeliest slip: offer the value moved by ten or a hundred.
    let value = unit.from_si(si);
    let usual = (
        spec.unit().to_si(spec.usual.0),
        spec.unit().to_si(spec.usual.1),
    );
    let slipped = [0.1, 10.0, 0.01, 100.0, 0.001, 1000.0]
        .iter()
        .map(|factor| unit.to_si(value * factor))
        .filter(|moved| spec.holds(*moved))
        .min_by(|a, b| {
            let far = |x: &f64| {
                if *x < usual.0 {
                    usual.0 - x
                } else if *x > usual.1 {
                    x - usual.1
                } else {
                    0.0
                }
            };
            far(a).total_cmp(&far(b))
        })
        .filter(|_| value != 0.0)
        .map(|moved| rounded(moved, unit));
    // A number that is usual in the field's own unit was most likely meant in that one.
    let own = spec.unit();
    let meant = own.to_si(value);
    let in_own = unit != own && meant >= usual.0 && meant <= usual.1;
    let suggestion = if in_own {
        Some(Entry {
            si: meant,
            unit: own,
        })
    } else {
        slipped.map(|si| Entry { si, unit })
    };
    let remedy = match suggestion {
        Some(entry) if in_own => {
            format!(
                "Another unit may be meant: {}?",
                plain(entry.si, entry.unit)
            )
        }
        Some(entry) => format!(
            "A {} may be missing: {}?",
            if above { "decimal point" } else { "digit" },
            plain(entry.si, entry.unit)
        ),
        None => format!(
            "Enter a value from {} to {}.",
            bare(low, unit),
            plain(high, unit)
        ),
    };
    Err(FieldError {
        id: spec.id,
        label: spec.label,
        typed: typed.to_owned(),
        problem: format!(
            "{} is {} {}, the {} this field takes. {remedy}",
            if typed.is_empty() {
                quantity::write_exact(si, unit)
            } else {
                typed.to_owned()
            },
            if above { "above" } else { "below" },
            plain(end, unit),
            if above { "most" } else { "least" },
        ),
        suggestion,
    })
}

/// A name without what is not seen but turns the words around it: control characters and those
/// that override the direction of writing (Unicode Standard Annex 9, explicit formatting).
fn shown_signs(name: &str) -> String {
    let turns = |sign: char| matches!(sign, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    name.chars()
        .filter(|sign| !sign.is_control() && !turns(*sign))
        .collect()
}

/// Most points of a curve.
const MOST_POINTS: usize = 64;

fn check_curve(field: CurveField, curve: &EnteredCurve) -> Result<(), FieldError> {
    let spec = field.spec();
    let fail = |typed: String, problem: String| {
        Err(FieldError {
            id: spec.id,
            label: spec.label,
            typed,
            problem,
            suggestion: None,
        })
    };
    let points = curve.curve.points();
    if points.len() > MOST_POINTS {
        return fail(
            String::new(),
            format!(
                "It has {} points; at most {MOST_POINTS} are taken. Leave some out.",
                points.len()
            ),
        );
    }
    let x = spec.x.0.unit(spec.x.1).unwrap_or_else(|| spec.x.0.metric());
    let y = spec.y.0.unit(spec.y.1).unwrap_or_else(|| spec.y.0.metric());
    for (number, (px, py)) in points.iter().enumerate() {
        for (value, unit, range) in [
            (x.from_si(*px), x, spec.x_range),
            (y.from_si(*py), y, spec.y_range),
        ] {
            let slack = 1e-9 * range.1.abs();
            if !(value >= range.0 - slack && value <= range.1 + slack) {
                return fail(
                    format!("{value}"),
                    format!(
                        "Point {} has {value} {}; it must lie between {} and {} {}. Correct the point.",
                        number + 1,
                        unit.symbol,
                        range.0,
                        range.1,
                        unit.symbol
                    ),
                );
            }
        }
    }
    Ok(())
}

/// Reads a curve from pairs of texts.
pub(crate) fn read_curve(
    field: CurveField,
    pairs: &[(String, String)],
) -> Result<EnteredCurve, FieldError> {
    let spec = field.spec();
    let fail = |typed: String, problem: String| FieldError {
        id: spec.id,
        label: spec.label,
        typed,
        problem,
        suggestion: None,
    };
    let x = spec.x.0.unit(spec.x.1).unwrap_or_else(|| spec.x.0.metric());
    let y = spec.y.0.unit(spec.y.1).unwrap_or_else(|| spec.y.0.metric());
    let (mut x_unit, mut y_unit) = (x, y);
    let mut points = Vec::with_capacity(pairs.len().min(MOST_POINTS + 1));
    for (number, (left, right)) in pairs.iter().take(MOST_POINTS + 1).enumerate() {
        let read = |text: &str, kind, unit| {
            quantity::read(text, kind, unit).map_err(|e| {
                fail(
                    text.chars().take(80).collect(),
                    format!("Point {}: {e}", number + 1),
                )
            })
        };
        let (a, b) = (read(left, spec.x.0, x)?, read(right, spec.y.0, y)?);
        if number == 0 {
            (x_unit, y_unit) = (a.unit, b.unit);
        }
        points.push((a.si, b.si));
    }
    let curve = Curve::new(&points).map_err(|e| fail(String::new(), e.to_string()))?;
    let curve = EnteredCurve {
        curve,
        x_unit,
        y_unit,
    };
    check_curve(field, &curve)?;
    Ok(curve)
}
