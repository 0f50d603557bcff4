//! One instant on the way: what the shaft's speed, the pressure of the volume and the wall of the
//! exhaust manifold decide together.

use super::{
    IRON, ResponseError, cooled_by_wall, filling_rate, filling_resistance, shaft_acceleration,
    wall_effectiveness, wall_warming,
};
use crate::air_way::compressor::{LinePlace, compressor_work};
use crate::air_way::intake;
use crate::air_way::turbine::Expansion;
use crate::balance::{Burned, Plant, PressurePoint, SpeedPoint};
use crate::build::Build;
use crate::fields::Field;
use crate::quantity::{AbsolutePressure, PressureDifference, Temperature};
use crate::run::speed::{brake_power, swept_rate, torque};
use std::cell::Cell;
use std::f64::consts::PI;

/// Relative accuracy of an instant, of the place on the compressor's line with the engine's flow,
/// which only tells how it slopes, and of the place that fills. What the steps in time can tell
/// apart is a hundred times as large.
const ACCURACY: f64 = 1e-7;
const SLOPE_ACCURACY: f64 = 1e-6;
const PLACE_ACCURACY: f64 = 1e-9;
/// Most rounds of one instant.
const MOST_ROUNDS: usize = 60;
/// Least share of the outside pressure, and least shaft speed in rad/s, that a stage of the
/// integration may stray to.
const LEAST_PRESSURE: f64 = 0.05;
const LEAST_SPIN: f64 = 10.0;
/// Step of the line coordinate over which the slope of a speed line is taken.
const SLOPE_STEP: f64 = 1e-5;

/// What only counts while boost is coming.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Constants {
    /// Of one rotor, kg m².
    pub inertia: f64,
    pub inertia_estimated: bool,
    /// Volume from compressor to throttle, m³.
    pub pipes: f64,
    /// Volume from throttle to valves, m³.
    pub plenum: f64,
    /// Heat capacity of the exhaust manifold's wall, J/K.
    pub wall_capacity: f64,
    pub wall_share: f64,
    pub filling_slope: f64,
    /// Flow of the engine, kg/s, for a corrected one of 1 kg/s and 1 Pa at the inlet.
    flow_scale: f64,
    /// Pressure lost before the compressor at 1 kg/s, Pa.
    filter_loss: f64,
}

impl Constants {
    pub fn new(build: &Build, plant: &Plant) -> Self {
        let (inertia, inertia_estimated) = super::inertia(build);
        let (inlet, reference) = plant.map_temperatures();
        let density = intake::density(
            plant.outside.pressure.pa(),
            plant.outside.air.mixture.gas_constant(),
            plant.outside.temperature.kelvin(),
        );
        Self {
            inertia,
            inertia_estimated,
            pipes: build.get(Field::PipeVolume) * plant.displacement,
            plenum: build.get(Field::PlenumVolume) * plant.displacement,
            wall_capacity: build.get(Field::ManifoldMass) * IRON,
            wall_share: build.get(Field::ManifoldWallShare),
            filling_slope: build.get(Field::FillingSlope),
            flow_scale: plant.count
                / (plant.map.reference().pressure_pa * (inlet / reference).sqrt()),
            filter_loss: intake::filter_loss(
                plant.intake.rated_loss.pa(),
                1.0,
                plant.intake.rated_flow,
                plant.intake.reference_density,
                density,
            ),
        }
    }
}

/// What decides how much the compressor passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// It fills the volume, whose pressure is given.
    Open,
    /// The throttle lets pass what the engine takes, whatever the compressor gives.
    Throttled,
}

/// Where a search for an instant begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Guess {
    /// On the compressor's line: with the engine's flow, and with the flow that fills.
    kappa: [f64; 2],
    air: f64,
    p3: f64,
    t4: f64,
}

/// The compressor at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Compressor {
    pub place: LinePlace,
    /// Flow, kg/s, of all of them.
    pub flow: f64,
    /// J/kg.
    pub work: f64,
    /// How much of it came from the turbine as heat and not over the shaft, J/kg.
    pub heat: f64,
    /// Pressure that arrives behind the cooler.
    pub delivered: f64,
    pub outlet: Temperature,
    /// Temperature behind the cooler.
    pub cooled: Temperature,
    /// The engine's flow it was found beside, kg/s, and whether it depends on that.
    beside: f64,
    depends: bool,
}

/// Everything at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Instant {
    pub speed: f64,
    pub piston_speed: f64,
    /// Shaft speed, rev/min.
    pub shaft_speed: f64,
    pub pressure: AbsolutePressure,
    pub wall: f64,
    pub compressor: Compressor,
    /// Humid air that the engine takes, kg/s.
    pub air: f64,
    pub burned: Burned,
    pub p3: AbsolutePressure,
    pub t3: Temperature,
    pub p4: AbsolutePressure,
    pub expansion: Expansion,
    pub compressor_power: f64,
    pub turbine_power: f64,
    pub bearing_power: f64,
    /// Rates of shaft speed in rad/s², pressure in Pa/s, wall temperature in K/s.
    pub rates: [f64; 3],
    guess: Guess,
}

impl Instant {
    /// Where a neighbour may begin.
    pub fn guess(&self) -> Guess {
        self.guess
    }

    /// Power left over on one shaft, W.
    pub fn surplus(&self) -> f64 {
        self.turbine_power - self.compressor_power - self.bearing_power
    }

    /// Torque at the crank, N m.
    pub fn torque(&self, plant: &Plant) -> f64 {
        let swept = swept_rate(plant.displacement, self.speed);
        let peak = plant.friction.peak_pressure(self.pressure);
        let fmep = plant.friction.fmep(self.piston_speed, peak);
        let power = brake_power(self.burned.gross / swept, self.burned.pmep, fmep, swept);
        torque(power, self.speed)
    }
}

/// What is solved at an instant.
const EQUATION: &str = "the flow through engine and turbine";

/// Instants one after another: each begins where the last one was found.
pub(super) struct Instants<'a> {
    pub rig: Rig<'a>,
    guess: Cell<Guess>,
}

impl<'a> Instants<'a> {
    pub fn new(rig: Rig<'a>, guess: Guess) -> Self {
        Self {
            rig,
            guess: Cell::new(guess),
        }
    }

    /// The instant at `time` in s.
    ///
    /// # Errors
    /// It does not settle.
    pub fn at(
        &self,
        point: &SpeedPoint,
        states: [f64; 3],
        time: f64,
    ) -> Result<Instant, ResponseError> {
        let near = Some(self.guess.get());
        let found = [near, None]
            .into_iter()
            .find_map(|guess| self.rig.instant(point, states, Way::Open, guess))
            .ok_or(ResponseError::Lost {
                speed: point.speed,
                time,
                equation: EQUATION,
            })?;
        self.guess.set(found.guess);
        Ok(found)
    }
}

/// Whether two flows are as good as the same.
fn near(a: f64, b: f64) -> bool {
    (a / b - 1.0).abs() <= ACCURACY
}

/// A plant on its way.
#[derive(Clone, Copy)]
pub(super) struct Rig<'a> {
    pub plant: &'a Plant,
    pub constants: &'a Constants,
}

impl Rig<'_> {
    /// Engine's flow, kg/s, and inlet pressure, Pa, at a corrected flow of one compressor.
    fn flow_of(&self, corrected: f64) -> (f64, f64) {
        let outside = self.plant.outside.pressure.pa();
        // m = a p1 with p1 = p0 − c m².
        let a = corrected * self.constants.flow_scale;
        let c = self.constants.filter_loss;
        let flow = 2.0 * a * outside / (1.0 + (1.0 + 4.0 * a * a * c * outside).sqrt());
        let inlet = self.plant.inlet_at(flow).0.pa();
        // The loss is bounded where a filter is absurd: there the flow is what the bound leaves.
        (a * inlet, inlet)
    }

    /// Flow, kg/s, and pressure behind the cooler, Pa, at a place on a line, beside a manifold
    /// pressure.
    fn delivered(&self, place: &LinePlace, manifold: AbsolutePressure) -> (f64, f64) {
        let (flow, inlet) = self.flow_of(place.flow);
        let loss: PressureDifference = self.plant.cooler.loss(flow, manifold);
        (flow, inlet * place.pressure_ratio - loss.pa())
    }

    fn compressor(
        &self,
        shaft_speed: f64,
        manifold: AbsolutePressure,
        air: f64,
        way: Way,
        near: &mut [f64; 2],
    ) -> Compressor {
        let (plant, map) = (self.plant, &self.plant.map);
        let (inlet, reference) = plant.map_temperatures();
        let speed = shaft_speed / (inlet / reference).sqrt();
        let enough = match way {
            Way::Open => SLOPE_ACCURACY,
            Way::Throttled => PLACE_ACCURACY,
        };
        let at_engine = map.place_at_flow(speed, plant.inlet_at(air).1, near[0], enough);
        near[0] = at_engine.kappa;
        let (place, depends) = match way {
            Way::Throttled => (at_engine, true),
            Way::Open => self.filling(speed, manifold, air, &at_engine, near[1]),
        };
        near[1] = place.kappa;
        let (flow, delivered) = self.delivered(&place, manifold);
        let work = compressor_work(place.work, inlet, reference);
        let heat = compressor_work(map.heat(speed, place.flow, place.work), inlet, reference);
        let outlet = plant.outlet_temperature(work);
        Compressor {
            place,
            flow,
            work,
            heat,
            delivered,
            outlet,
            cooled: plant.cooler.cool(flow, outlet),
            beside: air,
            depends,
        }
    }

    /// The place on the line of `speed` that fills a volume at `manifold` pressure, beside the place
    /// with the engine's flow `air`, and whether it depends on that flow.
    fn filling(
        &self,
        speed: f64,
        manifold: AbsolutePressure,
        air: f64,
        at_engine: &LinePlace,
        near: f64,
    ) -> (LinePlace, bool) {
        let map = &self.plant.map;
        let pressure = manifold.pa();
        let around = [-SLOPE_STEP, SLOPE_STEP]
            .map(|step| self.delivered(&map.place(speed, at_engine.kappa + step), manifold));
        let slope = (around[1].1 - around[0].1) / (around[1].0 - around[0].0);
        let resistance = filling_resistance(
            if slope.is_finite() { slope } else { 0.0 },
            self.constants.filling_slope,
            pressure,
            air,
        );
        let excess = |place: &LinePlace| {
            let (flow, delivered) = self.delivered(place, manifold);
            (delivered - pressure - resistance * (flow - air)) / pressure
        };
        // More than the engine takes where more pressure is delivered than there is; less where less.
        let (low, high) = map.kappa_span();
        let span = if excess(at_engine) > 0.0 {
            (low, at_engine.kappa)
        } else {
            (at_engine.kappa, high)
        };
        let place = map.seek(speed, near, span, PLACE_ACCURACY, excess);
        (place, resistance > 0.0)
    }

    /// What a gas at the ports comes to beside the wall: temperature at the turbine and the wall's
    /// rate in K/s.
    pub fn beside_wall(&self, ports: Temperature, flow: f64, wall: f64) -> (Temperature, f64) {
        let settled = self.plant.manifold.share(ports, flow).clamp(0.0, 0.999);
        let effectiveness = wall_effectiveness(settled, self.constants.wall_share);
        let t3 = cooled_by_wall(ports.kelvin(), effectiveness, wall);
        let rate = wall_warming(
            flow,
            self.plant.gas().heat_capacity(ports.kelvin()),
            effectiveness,
            ports.kelvin(),
            wall,
            settled,
            self.constants.wall_share,
            self.plant.manifold.wall.kelvin(),
            self.constants.wall_capacity,
        );
        (Temperature::new(t3), rate)
    }

    /// Temperature, K, that the wall settles at beside a gas at the ports.
    pub fn settled_wall(&self, ports: Temperature, flow: f64) -> f64 {
        let settled = self.plant.manifold.share(ports, flow).clamp(0.0, 0.999);
        let outside = self.plant.manifold.wall.kelvin();
        outside + self.constants.wall_share * (1.0 - settled) * (ports.kelvin() - outside)
    }

    /// The instant at an engine speed, shaft speed in rad/s, manifold pressure in Pa and wall
    /// temperature in K, the gate shut; `None` where it does not settle.
    pub fn instant(
        &self,
        point: &SpeedPoint,
        [spin, pressure, wall]: [f64; 3],
        way: Way,
        guess: Option<Guess>,
    ) -> Option<Instant> {
        let plant = self.plant;
        let outside = plant.outside.pressure;
        let shaft_speed = spin.max(LEAST_SPIN) * 30.0 / PI;
        let manifold = AbsolutePressure::new(pressure.max(LEAST_PRESSURE * outside.pa()));
        let at = plant.at_pressure(point, manifold);
        let mut here = guess.unwrap_or_else(|| Guess {
            kappa: [0.0; 2],
            air: plant.plain_air_flow(point, manifold, plant.outside.temperature),
            p3: 1.1 * outside.pa(),
            t4: 900.0,
        });
        let mut before: Option<(f64, f64)> = None;
        let mut compressor: Option<Compressor> = None;
        for _ in 0..MOST_ROUNDS {
            // The engine's flow hardly moves it, if at all.
            let compressor = match compressor {
                Some(known) if !known.depends || near(known.beside, here.air) => known,
                _ => *compressor.insert(self.compressor(
                    shaft_speed,
                    manifold,
                    here.air,
                    way,
                    &mut here.kappa,
                )),
            };
            let found = self.round(&at, shaft_speed, wall, compressor, &here)?;
            let each = found.burned.exhaust / plant.count;
            let miss = plant
                .turbine
                .pressure_miss(each, found.t3, found.p4, found.p3);
            let rest = (found.air / here.air - 1.0)
                .abs()
                .max((found.guess.t4 / here.t4 - 1.0).abs());
            if !(miss.is_finite() && rest.is_finite()) {
                return None;
            }
            if miss.abs() <= ACCURACY && rest <= ACCURACY {
                return Some(found);
            }
            // By a secant over ln p3 where there is one; the others follow.
            let place = here.p3.ln();
            let slope = match before {
                Some((x, y)) if (place - x).abs() > 1e-12 => {
                    ((miss - y) / (place - x)).clamp(-2.0, -0.5)
                }
                _ => -1.0,
            };
            before = Some((place, miss));
            here = Guess {
                p3: here.p3 * (-miss / slope).clamp(-0.7, 0.7).exp(),
                air: found.air,
                ..found.guess
            };
        }
        None
    }

    /// One round: everything from a guess at the pressure before the turbine and the temperature
    /// behind it.
    fn round(
        &self,
        at: &PressurePoint,
        shaft_speed: f64,
        wall: f64,
        compressor: Compressor,
        here: &Guess,
    ) -> Option<Instant> {
        let plant = self.plant;
        if here.air.is_nan() || here.air <= 0.0 {
            return None;
        }
        let guessed = AbsolutePressure::new(here.p3);
        let (charge, air) = plant.breathe(at, guessed, compressor.cooled);
        let burned = plant.burn(at, guessed, compressor.cooled, &charge, air);
        let (t3, warming) = self.beside_wall(burned.port_temperature, burned.exhaust, wall);
        let loss = plant.exhaust.loss(
            burned.exhaust,
            Temperature::new(here.t4),
            plant.outside.pressure,
        );
        let p4 = plant.outside.pressure + loss;
        let each = burned.exhaust / plant.count;
        let p3 = guessed;
        let expansion = plant.turbine.expand(plant.gas(), p3, t3, p4, shaft_speed);
        let carried = compressor.flow * compressor.heat / burned.exhaust;
        let after = plant.gas().enthalpy(t3.kelvin()) - expansion.work - carried;
        let t4 = plant.gas().temperature_from_enthalpy(after, here.t4);
        let compressor_power = compressor.flow / plant.count * (compressor.work - compressor.heat);
        let turbine_power = each * expansion.work;
        let bearing_power = plant.turbine.bearing_power(shaft_speed);
        let rates = [
            shaft_acceleration(
                turbine_power,
                compressor_power,
                bearing_power,
                self.constants.inertia,
                shaft_speed * PI / 30.0,
            ),
            filling_rate(
                plant.outside.air.mixture.gas_constant(),
                compressor.cooled.kelvin(),
                self.constants.pipes + self.constants.plenum,
                compressor.flow,
                air,
            ),
            warming,
        ];
        Some(Instant {
            speed: at.speed.speed,
            piston_speed: at.speed.piston_speed,
            shaft_speed,
            pressure: at.pm,
            wall,
            compressor,
            air,
            burned,
            p3,
            t3,
            p4,
            expansion,
            compressor_power,
            turbine_power,
            bearing_power,
            rates,
            guess: Guess { air, t4, ..*here },
        })
    }
}
