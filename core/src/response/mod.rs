//! How quickly boost comes: from light load to full throttle, and through a pull in gear.
//!
//! The match says where the shaft settles; here it has yet to get there. Three things take time: the
//! rotor has to be turned, the volume between compressor and valves has to be filled, and the
//! exhaust manifold has to be warmed. Everything else follows them at once, by the same rooms of the
//! air's way as in the match: the compressor is read at its shaft speed, the pressure before the
//! turbine is what passes the exhaust. The gate is shut until boost is there.
//!
//! Left of surge the rotor passes through on the map carried on, as it does in the match; a sample
//! says so. A speed line that is level or rises with flow cannot fill a volume steadily (that is what
//! surge is), so what fills meets a resistance there ([`Field::FillingSlope`]); it is gone where
//! nothing fills, and the state that is settled at is that of the match.
//!
//! The steps in time are those of Dormand & Prince's method, by a library.

mod instant;
mod integrate;
pub mod pull;
mod report;
mod spool;
mod start;

pub use integrate::Work;
pub use pull::{Pull, PullSample};
pub use report::{CurvePoint, Reach, Sample, Spool, SpoolCurve};

use crate::air_way::compressor::MapError;
use crate::air_way::turbine::estimated_inertia;
use crate::balance::{Plant, Trail, Unsettled};
use crate::build::{Build, Turbocharger};
use crate::fields::Field;
use crate::formula;
use crate::run::{Effort, Match, SolveError};

formula! {
    /// How fast a shaft gains speed, rad/s², from the powers on it in W, its inertia in kg m² and its
    /// speed in rad/s.
    pub fn shaft_acceleration(turbine, compressor, bearing, inertia, speed) =
        (turbine - compressor - bearing) / (inertia * speed);
    source "second law for what turns";

    /// How fast the pressure of a volume rises, Pa/s, with what flows in and out in kg/s.
    pub fn filling_rate(gas_constant, temperature, volume, inflow, outflow) =
        gas_constant * temperature / volume * (inflow - outflow);
    source "ideal gas law; the charge keeps the temperature of what flows in";

    /// Pressure once two volumes are joined, Pa.
    pub fn joined_pressure(first, first_volume, second, second_volume) =
        (first * first_volume + second * second_volume) / (first_volume + second_volume);
    source "energy of an ideal gas of constant heat capacity is p V/(γ − 1)";

    /// Share of the way from the gas's temperature to the wall's that the gas is cooled, from that
    /// towards the temperature without a drop after long running, and where the wall settles.
    pub fn wall_effectiveness(settled, wall_share) = settled / (1.0 - wall_share * (1.0 - settled));
    source "two resistances in a row, gas to wall and wall to outside; the first law";

    /// Temperature at the turbine, K, beside a manifold wall at its own.
    pub fn cooled_by_wall(ports, effectiveness, wall) = ports - effectiveness * (ports - wall);
    source "definition of effectiveness (Incropera & DeWitt, ch. 11)";

    /// How fast the wall warms, K/s: what the gas brings (flow in kg/s, heat capacity in J/(kg K)) less
    /// what leaves outwards, over the wall's heat capacity in J/K.
    pub fn wall_warming(flow, heat_capacity, effectiveness, ports, wall, settled, wall_share, outside, capacity) =
        flow * heat_capacity
            * (effectiveness * (ports - wall)
                - settled / (wall_share * (1.0 - settled)) * (wall - outside))
            / capacity;
    source "first law over the wall";

    /// Resistance that what fills the volume meets, Pa s/kg, where the pressure delivered changes with
    /// flow by `delivered` in Pa s/kg.
    pub fn filling_resistance(delivered, slope, pressure, flow) =
        (delivered + slope * pressure / flow).max(0.0);
    source "a judgement: keeps a volume behind a level or rising speed line from surging";
}

/// Heat capacity of iron, J/(kg K): cast iron between 600 and 1,000 K (Incropera & DeWitt, table A.1,
/// gives pure iron 574 at 600 K and 680 at 800 K, plain carbon steel 559 and 685; from memory).
const IRON: f64 = 600.0;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ResponseError {
    /// The compressor map cannot be used.
    #[error(transparent)]
    Map(#[from] MapError),
    /// The state that boost would settle at was not found.
    #[error(
        "No answer at {speed:.0} rev/min: {equation} did not settle (residual {residual:.3e}). Please export this build and report it."
    )]
    Unsettled {
        /// Engine speed, rev/min.
        speed: f64,
        /// Which equation.
        equation: &'static str,
        /// What was left of it, relative.
        residual: f64,
    },
    /// A state on the way was not found or is no number.
    #[error(
        "The way to boost at {speed:.0} rev/min ends {time:.3} s after the throttle is opened: {equation} did not settle. Please export this build and report it."
    )]
    Lost {
        /// Engine speed, rev/min.
        speed: f64,
        /// Seconds after the throttle was opened.
        time: f64,
        /// Which equation.
        equation: &'static str,
    },
    /// The integration took more steps than it may.
    #[error(
        "The way to boost was given up {time:.3} s after the throttle was opened, after {steps} steps. Please export this build and report it."
    )]
    TooManySteps {
        /// Seconds after the throttle was opened.
        time: f64,
        /// How many steps were taken.
        steps: usize,
    },
    /// A step in time became too short to go on.
    #[error(
        "The way to boost was given up {time:.3} s after the throttle was opened: no step in time is short enough. Please export this build and report it."
    )]
    StepTooShort {
        /// Seconds after the throttle was opened.
        time: f64,
    },
    /// A pull that ends before it begins.
    #[error(
        "The pull is asked from {from:.0} to {to:.0} rev/min. Raise “Pull to” (or, where it is blank, the redline) or lower “Pull from”."
    )]
    PullSpeeds {
        /// Engine speed it begins at, rev/min.
        from: f64,
        /// Engine speed it ends at, rev/min.
        to: f64,
    },
    /// The engine does not move the vehicle any faster.
    #[error(
        "At {speed:.0} rev/min the engine no longer makes the vehicle faster, so the pull never comes to its end. Take a lower gear or a higher “Pull from”, or lower “Pull to”."
    )]
    Stalls {
        /// Engine speed, rev/min.
        speed: f64,
    },
}

impl From<SolveError> for ResponseError {
    fn from(error: SolveError) -> Self {
        match error {
            SolveError::Map(error) => Self::Map(error),
        }
    }
}

/// Puts the engine speed to an equation that did not settle.
fn unsettled(speed: f64) -> impl Fn(Unsettled) -> ResponseError {
    move |error| ResponseError::Unsettled {
        speed,
        equation: error.equation,
        residual: error.residual,
    }
}

/// The moment of inertia of one rotor, kg m², and whether it is estimated: what the build has
/// entered, else the turbocharger's, else [`estimated_inertia`].
#[must_use]
pub fn inertia(build: &Build) -> (f64, bool) {
    let turbocharger: &Turbocharger = build.turbocharger();
    let known = build
        .optional(Field::RotorInertia)
        .or(turbocharger.inertia_kg_m2);
    match known {
        Some(inertia) => (inertia, false),
        None => (
            estimated_inertia(
                build.get(Field::CompressorWheelInertia),
                turbocharger.compressor.wheel.exducer_m,
                build.get(Field::TurbineWheelInertia),
                turbocharger.turbine.inducer_m,
            ),
            true,
        ),
    }
}

/// Engine speed, rev/min, whose time to boost stands for a build where one figure must do: the
/// middle between idle and redline, to the next 250.
#[must_use]
pub fn reference_speed(build: &Build) -> f64 {
    let per_min = 60.0 / std::f64::consts::TAU;
    let middle = 0.5 * (build.get(Field::IdleSpeed) + build.get(Field::Redline)) * per_min;
    250.0 * (middle / 250.0).round()
}

/// How much of the way is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// The time alone: as little work as it takes.
    Time,
    /// Samples all along, for a plot.
    Trace,
}

/// A build made ready to be asked how quickly boost comes.
pub struct Response<'a> {
    build: &'a Build,
    plant: Plant,
    /// One boost for all speeds, Pa gauge, in place of what the build asks.
    boost: Option<f64>,
    constants: instant::Constants,
    trail: Trail,
    effort: Effort,
}

impl<'a> Response<'a> {
    /// Makes a build ready. Where power is asked, this finds the boost for it, which takes as long
    /// as a match does; [`Response::beside`] saves that.
    ///
    /// # Errors
    /// A compressor map that cannot be used.
    pub fn new(build: &'a Build) -> Result<Self, ResponseError> {
        let boost = match build.optional(Field::PowerTarget) {
            Some(_) => crate::run::solve_at(build, 2)?.boost_for_power_pa,
            None => None,
        };
        Ok(Self::with_plant(build, Plant::new(build)?, boost))
    }

    /// The same beside a match of the build, which knows the boost for a power that was asked.
    ///
    /// # Errors
    /// A compressor map that cannot be used.
    pub fn beside(build: &'a Build, found: &Match) -> Result<Self, ResponseError> {
        Ok(Self::with_plant(
            build,
            Plant::new(build)?,
            found.boost_for_power_pa,
        ))
    }

    /// The same with a plant that is ready: `boost` in Pa gauge takes the place of what the build
    /// asks.
    #[must_use]
    pub fn with_plant(build: &'a Build, plant: Plant, boost: Option<f64>) -> Self {
        Self {
            build,
            constants: instant::Constants::new(build, &plant),
            plant,
            boost,
            trail: Trail::default(),
            effort: Effort::default(),
        }
    }

    /// Boost asked at an engine speed in rev/min, Pa gauge.
    fn asked(&self, speed: f64) -> f64 {
        crate::run::asked(self.build, self.boost, speed)
    }
}

/// How long boost takes at one engine speed in rev/min, from light load to 90 % of what is asked,
/// with every sample of the way.
///
/// # Errors
/// What did not settle, by name; a compressor map that cannot be used. Boost that never comes is no
/// error: it is a [`Reach`].
pub fn time_to_boost(build: &Build, speed: f64) -> Result<Spool, ResponseError> {
    Response::new(build)?.time_to_boost(speed, Detail::Trace)
}

/// The time to boost at `count` engine speeds from idle to redline (2 to 200; held to that range).
///
/// # Errors
/// A compressor map that cannot be used. A speed without an answer is no error: its point says why.
pub fn curve(build: &Build, count: usize) -> Result<SpoolCurve, ResponseError> {
    Ok(Response::new(build)?.curve(count))
}

/// A pull in gear, beside the same with boost at once.
///
/// # Errors
/// As [`time_to_boost`], speeds that make no pull, and a vehicle that does not gain speed.
pub fn pull(build: &Build) -> Result<Pull, ResponseError> {
    Response::new(build)?.pull()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sizes and figures of three rotors, as they are said of wheels of that size (from memory, no
    /// source, ±35 %).
    #[test]
    fn estimates_an_inertia() {
        for (compressor, turbine, expected) in [
            (0.049, 0.0435, 1.4e-5),
            (0.071, 0.059, 7.2e-5),
            (0.088, 0.074, 2.2e-4),
        ] {
            let found = estimated_inertia(18.0, compressor, 55.0, turbine);
            assert!((found / expected - 1.0).abs() < 0.03, "{found} {expected}");
        }
    }

    /// A reader with a calculator gets what is computed.
    #[test]
    fn every_formula_can_be_read() {
        use crate::formula::Formula;
        let formulas: [(&Formula, f64); 12] = [
            (
                &estimated_inertia::FORMULA,
                estimated_inertia(1.1, 1.2, 1.3, 1.4),
            ),
            (
                &shaft_acceleration::FORMULA,
                shaft_acceleration(1.1, 1.2, 1.3, 1.4, 1.5),
            ),
            (
                &filling_rate::FORMULA,
                filling_rate(1.1, 1.2, 1.3, 1.4, 1.5),
            ),
            (
                &joined_pressure::FORMULA,
                joined_pressure(1.1, 1.2, 1.3, 1.4),
            ),
            (&wall_effectiveness::FORMULA, wall_effectiveness(1.1, 1.2)),
            (&cooled_by_wall::FORMULA, cooled_by_wall(1.1, 1.2, 1.3)),
            (
                &wall_warming::FORMULA,
                wall_warming(1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9),
            ),
            (
                &filling_resistance::FORMULA,
                filling_resistance(1.1, 1.2, 1.3, 1.4),
            ),
            (&pull::road_speed::FORMULA, pull::road_speed(1.1, 1.2, 1.3)),
            (
                &pull::wheel_force::FORMULA,
                pull::wheel_force(1.1, 1.2, 1.3, 1.4),
            ),
            (
                &pull::resistance::FORMULA,
                pull::resistance(1.1, 1.2, 1.3, 1.4, 1.5, 1.6),
            ),
            (
                &pull::acceleration::FORMULA,
                pull::acceleration(1.1, 1.2, 1.3, 1.4),
            ),
        ];
        for (formula, value) in formulas {
            let values: Vec<f64> = (1..=formula.arguments.len())
                .map(|i| 1.0 + 0.1 * i as f64)
                .collect();
            let read = formula.evaluate(&values).expect("readable");
            assert!(
                (read - value).abs() < 1e-12 * value.abs(),
                "{}: {read} {value}",
                formula.name
            );
        }
    }

    #[test]
    fn what_is_entered_comes_before_the_record_and_that_before_the_estimate() {
        let build = crate::example_build().expect("sound");
        assert!(inertia(&build).1);
        let mut turbocharger = (**build.turbocharger()).clone();
        turbocharger.inertia_kg_m2 = Some(5e-5);
        let recorded = build
            .with_turbocharger(std::sync::Arc::new(turbocharger), build.housing_index())
            .expect("sound");
        assert_eq!(inertia(&recorded), (5e-5, false));
        let spec = Field::RotorInertia.spec();
        let entered = recorded
            .with_text(Field::RotorInertia, "800 g cm²", spec.unit())
            .expect("in range");
        assert!((inertia(&entered).0 - 8e-5).abs() < 1e-12 && !inertia(&entered).1);
    }
}
