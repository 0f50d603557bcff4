//! The one table of guesses: how far off each may be, why, and what would settle it.
//!
//! A spread is told as the reach that nine tenths of all cases lie in, about the value that stands in
//! the build. Constants that are not here would not show: how a map goes on left of surge and at
//! standstill moves the drive threshold by 25 rev/min at most where the others move it by 300; the
//! rest only say at which speed, pressure or temperature another constant is quoted.

use super::shape::{Shape, Values};
use crate::air_way::compressor::{MapData, Spread as Counts, Uncertainty};
use crate::air_way::engine::breathing::slope_without_overlap;
use crate::build::{Build, CurveField, FuelKind, Known};
use crate::fields::Field;
use crate::quantity::Unit;
use crate::response::inertia;
use serde::Serialize;

/// What is guessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Subject {
    /// A field of the build.
    Field(Field),
    /// The whole breathing curve: a factor on it.
    Breathing,
    /// Flow of the compressor map at a speed and pressure ratio: a factor.
    MapFlow,
    /// Efficiency of the compressor map: a factor.
    MapEfficiency,
    /// Flow on the surge line, beside that of the map: a factor.
    MapSurge,
}

/// What a distance from the middle is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// The field's unit in the table of fields.
    Unit,
    /// The middle itself.
    Share,
}

/// One row of the table.
#[derive(Debug, Clone, Copy)]
pub struct Guess {
    /// What is guessed.
    pub subject: Subject,
    /// How its values lie.
    pub shape: Shape,
    /// What `below` and `above` are measured in.
    pub measure: Measure,
    /// How far low lies below the middle, with spark ignition and with a diesel.
    pub below: (f64, f64),
    /// How far high lies above the middle, the same.
    pub above: (f64, f64),
    /// Share of the spread that is left where the person gave a value of their own: see
    /// [`share_left`].
    pub known: f64,
    /// What would settle it, in plain words.
    pub settled_by: &'static str,
    /// Where the spread comes from.
    pub source: &'static str,
}

/// Share of its spread that a value keeps which a gauge, a thermometer or a flow bench gave.
const MEASURED: f64 = 0.25;
/// The same for one that nothing on a car shows by itself: an entry is then a better guess.
const INFERRED: f64 = 0.5;

macro_rules! guesses {
    ($( $subject:expr, $shape:ident, $measure:ident, -$below:literal +$above:literal, $known:ident $(, diesel -$dbelow:literal +$dabove:literal)?; $settled:literal, $source:literal; )*) => {
        /// Guesses that every build has; those of the turbocharger are what is stated of it ([`Build::knowledge`]).
        pub const GUESSES: &[Guess] = &[ $( Guess {
            subject: $subject, shape: Shape::$shape, measure: Measure::$measure,
            below: guesses!(@pair $below $($dbelow)?), above: guesses!(@pair $above $($dabove)?),
            known: $known, settled_by: $settled, source: $source,
        }, )* ];
    };
    (@pair $spark:literal) => { ($spark, $spark) };
    (@pair $spark:literal $diesel:literal) => { ($spark, $diesel) };
}

use Subject::Field as Of;

guesses! {
    Of(Field::FilterLoss), Peaked, Unit, -1.0 +2.0, MEASURED;
        "A vacuum gauge between filter and compressor, read at full load near the redline.",
        "Common practice, no source: 1 to 4 kPa.";
    Of(Field::InletAirRise), Peaked, Unit, -5.0 +7.0, MEASURED;
        "A thermometer in the duct at the compressor, read at full load.",
        "Common practice, no source: 3 to 15 K.";
    Of(Field::CoolerEffectiveness), Peaked, Unit, -7.0 +8.0, MEASURED;
        "Thermometers before and behind the charge cooler, read at full load.",
        "Common practice, no source: 70 to 85 % for air coolers.";
    Of(Field::CoolerLoss), Peaked, Unit, -5.0 +7.0, MEASURED;
        "Pressure taps at the compressor's outlet and in the manifold, read at full load near the redline.",
        "Common practice, no source: 6 to 18 kPa.";
    Of(Field::CoolingRise), Peaked, Unit, -6.0 +6.0, MEASURED;
        "A thermometer in the air (or water) that meets the charge cooler.",
        "Common practice, no source: 3 to 15 K.";
    Subject::Breathing, Peaked, Share, -0.06 +0.04, INFERRED;
        "A dyno run on this engine with fuel flow and λ logged, which tell its air; or an air-flow meter.",
        "A judgement, no source: four-valve engines reach 0.96 to 1.06 at best without boost.";
    Of(Field::OverlapSlope), Peaked, Unit, -0.02 +0.08, INFERRED;
        "The cams' timing card: how long both valves are open together.",
        "Taylor's relation without overlap; up to 0.25 with long overlap, a judgement.";
    Of(Field::BreathingTemperatureExponent), Peaked, Unit, -0.1 +0.1, INFERRED;
        "Two dyno runs, one with a hot and one with a cold charge, air flow logged.",
        "A judgement: 0.3 to 0.5; Heywood 1988, section 6.2.4 has 0.5 at most.";
    Of(Field::EvaporatedShare), Peaked, Unit, -15.0 +25.0, INFERRED, diesel -0.0 +0.0;
        "Where the injectors sit: about 30 % at the ports, 60 % in the cylinders.",
        "A judgement, no source: 30 to 60 %.";
    Of(Field::CombustionCompleteness), Peaked, Unit, -1.5 +1.0, INFERRED;
        "An exhaust gas analyser at λ 1: carbon monoxide and unburned fuel.",
        "Heywood 1988, figure 3-9 (from memory): 97 to 99.5 %.";
    Of(Field::RichSlope), Peaked, Unit, -0.1 +0.1, INFERRED;
        "An exhaust gas analyser at full load: carbon monoxide and hydrogen.",
        "Frozen water-gas shift gives 1.34 for petrol; ethanol leaves a tenth less unburned.";
    Of(Field::RealCycleFactor), Peaked, Unit, -0.035 +0.035, INFERRED;
        "A dyno figure of this engine: power with fuel flow, at a known boost.",
        "Taylor: about 0.85 to 0.92; diesel 0.80 to 0.87.";
    Of(Field::SparkFactor), Peaked, Unit, -0.03 +0.03, INFERRED, diesel -0.025 +0.025;
        "A dyno run that swings the spark: how much torque is lost against the best timing.",
        "A judgement, no source: 0.92 to 0.98 on pump fuel; diesel 0.95 to 1.0.";
    Of(Field::FrictionFactor), Peaked, Unit, -0.13 +0.12, INFERRED;
        "A dyno's run-down or motored run of this engine.",
        "A judgement, no source: 0.75 to 1.0.";
    Of(Field::PumpingLoss), Peaked, Unit, -0.1 +0.1, INFERRED;
        "Flow-bench figures of the cylinder head, or pressure logged in a cylinder.",
        "A judgement, no source: 0.1 to 0.3 bar.";
    Of(Field::PeakPressureSlope), Peaked, Unit, -10.0 +10.0, INFERRED;
        "Pressure logged in a cylinder.",
        "A judgement, no source: 35 to 60 bar for each bar.";
    Of(Field::WallHeat), Peaked, Unit, -3.5 +3.5, INFERRED, diesel -3.0 +3.0;
        "A thermometer in the exhaust manifold beside a dyno figure; or coolant flow and its rise in temperature.",
        "A judgement, no source: 18 to 25 % petrol, 16 to 22 % diesel.";
    Of(Field::WallHeatExponent), Peaked, Unit, -0.06 +0.06, INFERRED;
        "Exhaust temperature at full load at 2,000 rev/min beside that near the redline.",
        "A judgement, no source: 0.28 to 0.35 of the heat at 1,500 to 2,000 rev/min.";
    Of(Field::ManifoldDrop), Peaked, Unit, -27.0 +28.0, INFERRED;
        "Thermometers at a port and before the turbine.",
        "A judgement, no source: 35 to 90 K.";
    Of(Field::TurbineExponent), Peaked, Unit, -0.1 +0.4, INFERRED;
        "The turbine's flow chart from its maker: how flow rises with expansion ratio.",
        "A judgement, no source: 1.5 to 2.0.";
    Of(Field::TurbineBestSpeedRatio), Peaked, Unit, -0.04 +0.04, INFERRED;
        "The turbine's efficiency chart from its maker, over blade speed ratio.",
        "A judgement: 0.62 to 0.70.";
    Of(Field::PulseGain), Peaked, Unit, -0.05 +0.1, INFERRED;
        "Boost over engine speed logged on this engine: at what speed it comes.",
        "A judgement, no source: four cylinders on one entry 0.05 to 0.2.";
    Of(Field::PulseFlow), Even, Unit, -0.07 +0.0, INFERRED;
        "A pressure tap before the turbine, read at full load.",
        "A judgement, no source: 0.93 to 1.0.";
    Of(Field::BearingPower), Peaked, Unit, -0.3 +0.3, INFERRED;
        "What carries the shaft: ball bearings lose 0.3 to 0.5 kW, journal bearings 0.6 to 0.9.",
        "A judgement, no source: 0.3 to 0.9 kW.";
    Of(Field::PipeVolume), Peaked, Unit, -1.0 +2.0, MEASURED;
        "A tape measure along the pipes and the cooler.",
        "Common practice, no source: 2 to 5 times the capacity.";
    Of(Field::ManifoldMass), Peaked, Unit, -4.0 +7.0, MEASURED;
        "The exhaust manifold on a scale.",
        "Common practice, no source: 2 to 4 kg for each litre.";
    Of(Field::GateDischarge), Peaked, Unit, -0.1 +0.1, INFERRED;
        "Flow-bench figures of the wastegate.",
        "A judgement, no source: 0.6 to 0.8.";
    Of(Field::ExhaustLoss), Peaked, Unit, -8.0 +17.0, MEASURED;
        "A pressure tap behind the turbine, read at full load near the redline.",
        "Common practice, no source: open 5 to 15 kPa, large bore with catalyst 15 to 30.";
}

/// The rows for what is known of the turbocharger: how far off its map may be as a whole, its own shape
/// staying, and the numbers of its turbine and rotor. The figures are those that are stated with it
/// ([`Build::knowledge`]); they are smaller already for what someone gave.
fn known_guesses(build: &Build) -> [Guess; 6] {
    let known = build.knowledge();
    let map = match build.turbocharger().compressor.map.estimated {
        true => [
            "A measured map of this compressor.",
            "A measured map of this compressor; or a thermometer at the compressor's outlet, read at full load.",
            "A measured map of this compressor.",
        ],
        false => [
            "Shaft speed logged on this car at a known air flow.",
            "A thermometer at the compressor's outlet, read at full load.",
            "A pull at low engine speed with the boost logged: where it begins to flutter.",
        ],
    };
    let row = |subject, value: f64, of: Uncertainty, settled_by| {
        // Points of efficiency count at the best of the map; elsewhere in proportion.
        let share = match of.spread {
            Counts::Share => of.half_width,
            Counts::Same => of.half_width / value.max(0.02),
        };
        Guess {
            subject,
            shape: Shape::Peaked,
            measure: Measure::Share,
            below: (share, share),
            above: (share, share),
            known: 1.0,
            settled_by,
            source: of.source,
        }
    };
    let of = |subject, known: Known, settled_by| {
        row(subject, known.value, known.uncertainty, settled_by)
    };
    [
        of(Subject::MapFlow, known.map_flow, map[0]),
        of(Subject::MapEfficiency, known.efficiency, map[1]),
        row(Subject::MapSurge, 1.0, known.map.surge_flow, map[2]),
        of(
            Of(Field::TurbineSwallowing),
            known.swallowing,
            "The turbine's flow chart from its maker; or a pressure tap before the turbine on a car like this.",
        ),
        of(
            Of(Field::TurbinePeakEfficiency),
            known.turbine_efficiency,
            "The turbine's efficiency chart from its maker; or a pressure tap before the turbine with boost held by the gate shut.",
        ),
        of(
            Of(Field::RotorInertia),
            known.inertia,
            "The rotor's inertia from its maker; or the shaft with its wheels swung on two threads.",
        ),
    ]
}

fn efficiencies(map: &MapData) -> impl Iterator<Item = f64> {
    map.lines
        .iter()
        .flat_map(|line| line.points.iter().map(|point| point.efficiency))
}

impl Subject {
    /// Key: the field's, or one of its own.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Subject::Field(field) => field.spec().id,
            Subject::Breathing => CurveField::Breathing.spec().id,
            Subject::MapFlow => "map_flow",
            Subject::MapEfficiency => "map_efficiency",
            Subject::MapSurge => "map_surge",
        }
    }

    /// What the page calls it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Subject::Field(field) => field.spec().label,
            Subject::Breathing => CurveField::Breathing.spec().label,
            Subject::MapFlow => "Compressor map, flow",
            Subject::MapEfficiency => "Compressor map, efficiency",
            Subject::MapSurge => "Compressor map, surge line",
        }
    }

    /// The unit that its values are shown in; `None` for a factor.
    #[must_use]
    pub fn unit(self, build: &Build) -> Option<&'static Unit> {
        match self {
            Subject::Field(field) => Some(build.unit(field)),
            _ => None,
        }
    }

    /// Least and largest value there can be, SI or a factor.
    fn range(self, build: &Build) -> (f64, f64) {
        let map = &build.turbocharger().compressor.map;
        match self {
            Subject::Field(field) => field.spec().range_si(),
            // So that the curve stays in its own range.
            Subject::Breathing => {
                let spec = CurveField::Breathing.spec();
                let unit = spec.y.0.unit(spec.y.1).unwrap_or(spec.y.0.metric());
                let (low, high) = (unit.to_si(spec.y_range.0), unit.to_si(spec.y_range.1));
                let points = build.breathing().curve.points();
                let least = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
                let most = points.iter().map(|p| p.1).fold(0.0, f64::max);
                factors(low / least, high / most)
            }
            // What a map's points may be.
            Subject::MapEfficiency => {
                let least = efficiencies(map).fold(f64::INFINITY, f64::min);
                let most = efficiencies(map).fold(0.0, f64::max);
                factors(0.02 / least, 0.95 / most)
            }
            Subject::MapFlow | Subject::MapSurge => (0.2, 5.0),
        }
    }

    /// The value that stands without a spread, SI; 1 for a factor. `None` where there is no such
    /// thing in this build.
    fn middle(self, build: &Build) -> Option<f64> {
        let Subject::Field(field) = self else {
            return Some(1.0);
        };
        // Points of a housing give its exponent, whatever the field's default.
        if field == Field::TurbineExponent {
            return Some(build.turbine_law().exponent);
        }
        build.optional(field).or_else(|| match field {
            Field::OverlapSlope => Some(slope_without_overlap(
                build.get(Field::ResidualGamma),
                build.get(Field::CompressionRatio),
            )),
            Field::TurbineSwallowing => Some(build.turbine_law().swallowing),
            Field::TurbinePeakEfficiency => Some(build.turbocharger().turbine.peak_efficiency),
            Field::RotorInertia => Some(inertia(build).0),
            _ => None,
        })
    }

    /// Whether it changes anything in this build.
    fn counts(self, build: &Build) -> bool {
        match self {
            Subject::Field(Field::BearingPower) => !build.turbocharger().bearing_in_efficiency,
            Subject::Field(Field::RichSlope) => build.get(Field::Lambda) < 1.0,
            _ => true,
        }
    }

    /// Whether someone gave a value, rather than the program.
    fn is_given(self, build: &Build) -> bool {
        match self {
            Subject::Field(field) => match build.entry(field) {
                Some(entry) => {
                    let diesel = build.fuel() == FuelKind::Diesel;
                    let same = |d: f64| (entry.si - d).abs() <= 1e-9 * d.abs().max(entry.si.abs());
                    !field.spec().default_si(diesel).is_some_and(same)
                }
                // Fitted to points of the housing.
                None => field == Field::TurbineExponent && build.turbine_law().fit.is_some(),
            },
            Subject::Breathing => build
                .with_curve(CurveField::Breathing, None)
                .is_ok_and(|plain| plain.breathing().curve != build.breathing().curve),
            Subject::MapFlow | Subject::MapEfficiency | Subject::MapSurge => false,
        }
    }
}

/// A range of factors that holds 1.
fn factors(low: f64, high: f64) -> (f64, f64) {
    (low.min(1.0), high.max(1.0))
}

/// Share of the table's spread that a guess keeps in this build: the one place where it is decided.
///
/// - All of it where nobody gave a value. An entry that is the default's own value counts as none:
///   choosing another unit or keeping what stands there tells nothing new.
/// - [`Guess::known`] of it where a person gave a value of their own: a quarter where a gauge gives it, since gauges and days differ; half where nothing on the
///   car shows it by itself, since such an entry is a better guess and still one.
/// - None where the entry is 0: it says that there is no such thing (no cooler, no filter).
/// - None of what changes nothing in this build.
///
/// What is chosen rather than guessed has no row in the table and no spread: the goal, λ, the engine's
/// sizes, the fuel, the air of the day, the limits.
#[must_use]
pub fn share_left(guess: &Guess, build: &Build) -> f64 {
    let subject = guess.subject;
    let is_none =
        matches!(subject, Subject::Field(field) if build.entry(field).is_some_and(|e| e.si == 0.0));
    if is_none || !subject.counts(build) {
        0.0
    } else if subject.is_given(build) {
        guess.known
    } else {
        1.0
    }
}

/// A guess in a build: its values, SI or a factor.
#[derive(Debug, Clone, Copy)]
pub struct Spread {
    /// Its row in the table.
    pub guess: Guess,
    /// Its values.
    pub values: Values,
    /// Someone gave the value in the middle.
    pub given: bool,
}

/// A spread as it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpreadReport {
    /// Key.
    pub id: &'static str,
    /// What the page calls it.
    pub label: &'static str,
    /// Middle, low and high, SI; a factor for a curve or a map.
    pub middle: f64,
    /// See [`Values::low`].
    pub low: f64,
    /// See [`Values::high`].
    pub high: f64,
    /// Someone gave the value in the middle.
    pub given: bool,
    /// What would settle it.
    pub settled_by: &'static str,
    /// Where the spread comes from.
    pub source: &'static str,
}

impl Spread {
    /// As it is shown.
    #[must_use]
    pub fn report(&self) -> SpreadReport {
        let range = self.values.range;
        SpreadReport {
            id: self.guess.subject.id(),
            label: self.guess.subject.label(),
            middle: self.values.middle,
            low: self.values.low.max(range.0),
            high: self.values.high.min(range.1),
            given: self.given,
            settled_by: self.guess.settled_by,
            source: self.guess.source,
        }
    }
}

/// Every guess of a build with its spread, those without one left out, in the order of the table.
#[must_use]
pub fn spreads(build: &Build) -> Vec<Spread> {
    let rows = GUESSES.iter().copied();
    rows.chain(known_guesses(build))
        .filter_map(|guess| spread(guess, build))
        .filter(|spread| !spread.values.is_fixed())
        .collect()
}

fn spread(guess: Guess, build: &Build) -> Option<Spread> {
    let middle = guess.subject.middle(build)?;
    let left = share_left(&guess, build);
    let diesel = build.fuel() == FuelKind::Diesel;
    let pick = |pair: (f64, f64)| left * if diesel { pair.1 } else { pair.0 };
    let one = match (guess.measure, guess.subject) {
        (Measure::Unit, Subject::Field(field)) => {
            let unit = field.spec().unit();
            unit.to_si(1.0) - unit.to_si(0.0)
        }
        _ => middle,
    };
    Some(Spread {
        guess,
        values: Values {
            shape: guess.shape,
            middle,
            low: middle - one * pick(guess.below),
            high: middle + one * pick(guess.above),
            range: guess.subject.range(build),
        },
        given: guess.subject.is_given(build),
    })
}
