//! Random builds for the property tests, and how many of them are tried.

// Each test file takes what it needs.
#![allow(dead_code)]

use airpath::build::{Arrangement, Build, BuildFile, Entry, FuelKind, Turbocharger, shelf};
use airpath::fields::{FIELDS, Field};
use airpath::quantity::Kind;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestCaseResult, TestRunner};
use std::fmt::Debug;
use std::sync::{Arc, OnceLock};

/// Tries a property on `usual` cases, or on as many as `PROPTEST_CASES` asks for, `most` at most.
/// The same cases on every machine, unless `PROPTEST_RNG_SEED` says otherwise.
pub fn try_cases<S>(
    usual: u32,
    most: u32,
    strategy: &S,
    property: impl Fn(S::Value) -> TestCaseResult,
) where
    S: Strategy,
    S::Value: Debug,
{
    let mut config = Config::default();
    config.cases = match std::env::var("PROPTEST_CASES") {
        Ok(_) => config.cases.min(most).max(usual),
        Err(_) => usual,
    };
    if config.rng_seed == RngSeed::Random {
        config.rng_seed = RngSeed::Fixed(1);
    }
    config.failure_persistence = None;
    // Whole matches are compared: a case that fails is made simpler only so far.
    config.max_shrink_iters = 400;
    if let Err(failure) = TestRunner::new(config).run(strategy, property) {
        panic!("{failure}");
    }
}

/// Relative difference, against the larger of the two.
pub fn apart(a: f64, b: f64) -> f64 {
    if a == b {
        0.0
    } else {
        (a - b).abs() / a.abs().max(b.abs())
    }
}

/// Fails the case where two values differ by more than `tolerance` of `scale`.
macro_rules! close {
    ($what:expr, $a:expr, $b:expr, $scale:expr, $tolerance:expr) => {{
        let (a, b, scale): (f64, f64, f64) = ($a, $b, $scale);
        prop_assert!(
            (a - b).abs() <= $tolerance * scale.abs(),
            "{}: {a:.12e} against {b:.12e}, {:.2e} of {scale:.6e} apart",
            $what,
            (a - b).abs() / scale.abs()
        );
    }};
    ($what:expr, $a:expr, $b:expr, $tolerance:expr) => {{
        let (a, b): (f64, f64) = ($a, $b);
        close!($what, a, b, a.abs().max(b.abs()), $tolerance)
    }};
}
pub(crate) use close;

/// The turbochargers to draw from.
pub fn turbochargers() -> &'static [Arc<Turbocharger>] {
    static SHELF: OnceLock<Vec<Arc<Turbocharger>>> = OnceLock::new();
    SHELF.get_or_init(|| shelf().into_iter().map(Arc::new).collect())
}

/// What goes into the tank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tank {
    Petrol,
    Ethanol,
    Diesel,
}

/// A build to be made: where in its usual range each field lies, 0 to 1.
#[derive(Debug, Clone)]
pub struct Draw {
    pub turbocharger: usize,
    pub housing: usize,
    pub arrangement: Arrangement,
    pub tank: Tank,
    pub places: Vec<f64>,
    /// How large the engine is for the compressor, 0 to 1.
    pub size: f64,
}

/// Builds in usual ranges, engine and compressor of matching sizes.
pub fn draws() -> impl Strategy<Value = Draw> {
    (
        0..turbochargers().len(),
        0usize..3,
        prop_oneof![3 => Just(Arrangement::Single), 2 => Just(Arrangement::Pair)],
        prop_oneof![
            2 => Just(Tank::Petrol),
            1 => Just(Tank::Ethanol),
            1 => Just(Tank::Diesel)
        ],
        prop::collection::vec(0.0..=1.0f64, Field::COUNT),
        0.0..=1.0f64,
    )
        .prop_map(
            |(turbocharger, housing, arrangement, tank, places, size)| Draw {
                turbocharger,
                housing,
                arrangement,
                tank,
                places,
                size,
            },
        )
}

/// Usual range of a field, in its own unit; the table's is that of a boosted petrol engine.
fn usual(field: Field, tank: Tank) -> (f64, f64) {
    match (field, tank) {
        (Field::Lambda, Tank::Diesel) => (1.25, 1.5),
        (Field::CompressionRatio, Tank::Diesel) => (14.0, 18.0),
        (Field::Redline, Tank::Diesel) => (4000.0, 5000.0),
        (Field::EvaporatedShare, Tank::Diesel) => (0.0, 0.0),
        (Field::RealCycleFactor, Tank::Diesel) => (0.80, 0.87),
        (Field::EthanolShare, Tank::Petrol) => (0.0, 10.0),
        (Field::EthanolShare, Tank::Ethanol) => (51.0, 85.0),
        (field, _) => field.spec().usual,
    }
}

/// The build with a field set in the table's unit.
pub fn with(build: &Build, field: Field, value: f64) -> Build {
    let unit = field.spec().unit();
    let entry = Entry {
        si: unit.to_si(value),
        unit,
    };
    build
        .with(field, Some(entry))
        .unwrap_or_else(|error| panic!("{error}"))
}

/// Fields that would decide what another asks for.
const LEFT_BLANK: [Field; 5] = [
    Field::PowerTarget,
    Field::Barometer,
    Field::TurbineSwallowing,
    Field::ShaftSpeedLimit,
    Field::GateLift,
];

impl Draw {
    /// The build, its engine sized so that the compressor is neither far too small nor too large.
    pub fn build(&self) -> Build {
        self.build_without(&[])
    }

    /// The same with some fields left at their defaults.
    pub fn build_without(&self, left: &[Field]) -> Build {
        let turbocharger = turbochargers()[self.turbocharger].clone();
        let fuel = match self.tank {
            Tank::Diesel => FuelKind::Diesel,
            _ => FuelKind::Petrol,
        };
        let mut build = Build::new("drawn", turbocharger.clone())
            .and_then(|b| b.with_turbocharger(turbocharger.clone(), self.housing))
            .expect("the shelf is sound")
            .with_arrangement(self.arrangement)
            .with_fuel(fuel);
        for (spec, place) in FIELDS.iter().zip(&self.places) {
            let field = spec.field;
            if LEFT_BLANK.contains(&field) || left.contains(&field) {
                continue;
            }
            let (low, high) = usual(field, self.tank);
            let mut value = low + (high - low) * place;
            if spec.kind == Kind::Count {
                value = value.round();
            }
            build = with(&build, field, value);
        }
        // An engine takes 0.119 kg/s for each litre near its peak (the default rated flow), a
        // diesel at its lower speeds and leaner mixture about two thirds of it.
        let largest = turbocharger
            .compressor
            .map
            .lines
            .iter()
            .flat_map(|line| &line.points)
            .map(|point| point.flow_kg_s)
            .fold(0.0, f64::max);
        let litre = if fuel == FuelKind::Diesel {
            0.08
        } else {
            0.119
        };
        let share = 0.5 + 0.3 * self.size;
        let size = share * largest * self.arrangement.count() / litre;
        with(&build, Field::Displacement, size.clamp(0.2, 15.0))
    }
}

/// A build as the text of its file, for a message.
pub fn text(build: &Build) -> String {
    BuildFile::from_build(build).to_json()
}
