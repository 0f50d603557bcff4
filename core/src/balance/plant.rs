//! A build made ready to be solved: every room of the air's way with its inputs.

use crate::air_way::State;
use crate::air_way::ambient::Outside;
use crate::air_way::charge_cooler::ChargeCooler;
use crate::air_way::compressor::{
    CompressorMap, MapError, Reading, compressor_work, corrected_flow, shaft_speed,
};
use crate::air_way::engine::breathing::{
    Breathing, Charge, humid_air_flow, slope_without_overlap, vapour_ratio,
};
use crate::air_way::engine::combustion::{
    Combustion, fuel_flow, gross_power, heat_released, ideal_efficiency, port_enthalpy,
    released_share, work_share,
};
use crate::air_way::engine::friction::{Friction, mean_piston_speed};
use crate::air_way::engine::fuel::Fuel;
use crate::air_way::exhaust::Exhaust;
use crate::air_way::exhaust_manifold::ExhaustManifold;
use crate::air_way::intake::{Intake, density};
use crate::air_way::turbine::Turbine;
use crate::air_way::wastegate::largest_area;
use crate::build::{Build, FuelKind};
use crate::fields::Field;
use crate::gas::{HumidAir, Mixture, Products};
use crate::quantity::{AbsolutePressure, PressureDifference, Temperature, TemperatureDifference};
use crate::run::Effort;

/// A build made ready.
#[derive(Debug, Clone)]
pub struct Plant {
    /// Air outside.
    pub outside: Outside,
    /// Filter and inlet.
    pub intake: Intake,
    /// Compressor map.
    pub map: CompressorMap,
    /// Charge cooler.
    pub cooler: ChargeCooler,
    /// Breathing.
    pub breathing: Breathing,
    /// Combustion.
    pub combustion: Combustion,
    /// Friction and pumping.
    pub friction: Friction,
    /// Fuel.
    pub fuel: Fuel,
    /// λ.
    pub lambda: f64,
    /// Combustion products.
    pub products: Products,
    /// Exhaust manifold.
    pub manifold: ExhaustManifold,
    /// Turbine.
    pub turbine: Turbine,
    /// Exhaust system.
    pub exhaust: Exhaust,
    /// How many turbochargers.
    pub count: f64,
    /// Swept volume, m³.
    pub displacement: f64,
    /// Stroke, m.
    pub stroke: f64,
    /// Largest gate opening, m², each.
    pub gate_area: f64,
    /// Gate discharge.
    pub gate_discharge: f64,
    /// Largest shaft speed, rev/min.
    pub shaft_speed_limit: f64,
    /// Pressure ratio from which surge holds boost down.
    pub surge_from_ratio: f64,
    inlet_temperature: Temperature,
    inlet_enthalpy: f64,
}

/// What does not change at one engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedPoint {
    /// rev/min.
    pub speed: f64,
    /// Volumetric efficiency from the breathing curve.
    pub efficiency: f64,
    /// Mean piston speed, m/s.
    pub piston_speed: f64,
}

/// What does not change at one engine speed and manifold pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressurePoint {
    /// The engine speed.
    pub speed: SpeedPoint,
    /// Manifold pressure.
    pub pm: AbsolutePressure,
    /// Share of the heat released that goes into the walls.
    wall_share: f64,
}

/// Compressor, cooler and engine at a manifold pressure and a pressure before the turbine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Engine {
    /// Volumetric efficiency with back pressure and temperature.
    pub volumetric_efficiency: f64,
    /// Dry air, kg/s.
    pub dry_air: f64,
    /// Humid air, kg/s.
    pub air: f64,
    /// Fuel, kg/s.
    pub fuel: f64,
    /// Exhaust gas, kg/s.
    pub exhaust: f64,
    /// Compressor inlet.
    pub inlet: State,
    /// Lost before it.
    pub filter_loss: PressureDifference,
    /// Lost between compressor and manifold.
    pub cooler_loss: PressureDifference,
    /// Compressor outlet.
    pub outlet: State,
    /// Total-to-total pressure ratio.
    pub pressure_ratio: f64,
    /// Corrected flow of one compressor, kg/s.
    pub corrected_flow: f64,
    /// Corrected speed of its shaft, rev/min.
    pub corrected_speed: f64,
    /// Work of the compressor on the air, J/kg, heat from the turbine included.
    pub compressor_work: f64,
    /// Of it the heat from the turbine, J/kg, which the shaft does not give.
    pub compressor_heat: f64,
    /// Shaft speed, rev/min.
    pub shaft_speed: f64,
    /// Manifold temperature that follows.
    pub manifold_temperature: Temperature,
    /// Heat released, W.
    pub released: f64,
    /// Gross indicated power, W.
    pub gross: f64,
    /// Pumping mean effective pressure, Pa.
    pub pmep: f64,
    /// Heat into the walls, W.
    pub wall: f64,
    /// Gas temperature at the ports.
    pub port_temperature: Temperature,
    /// Gas temperature at the turbine.
    pub turbine_temperature: Temperature,
}

/// What burning a charge gives, up to the ports.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Burned {
    /// Fuel, kg/s.
    pub fuel: f64,
    /// Exhaust gas, kg/s.
    pub exhaust: f64,
    /// Heat released, W.
    pub released: f64,
    /// Gross indicated power, W.
    pub gross: f64,
    /// Pumping mean effective pressure, Pa.
    pub pmep: f64,
    /// Heat into the walls, W.
    pub wall: f64,
    /// Gas temperature at the ports.
    pub port_temperature: Temperature,
}

impl Plant {
    /// Makes a build ready.
    ///
    /// # Errors
    /// What is wrong with the compressor map.
    pub fn new(build: &Build) -> Result<Self, MapError> {
        let turbocharger = build.turbocharger();
        let map = CompressorMap::new(
            &turbocharger.compressor.map,
            turbocharger.compressor.wheel.exducer_m,
            build.get(Field::ShutoffHead),
            build.get(Field::LockedRotorLoss),
        )?;
        Ok(Self::with_map(build, map))
    }

    /// Makes a build ready with a map that was made ready before, which takes the place of its
    /// turbocharger's.
    #[must_use]
    pub fn with_map(build: &Build, map: CompressorMap) -> Self {
        let get = |field| build.get(field);
        let difference = |field| PressureDifference::new(build.get(field));
        let kelvins = |field| TemperatureDifference::new(build.get(field));
        let outside = Outside::new(
            get(Field::Altitude),
            build.optional(Field::Barometer).map(AbsolutePressure::new),
            Temperature::new(get(Field::AirTemperature)),
            get(Field::RelativeHumidity),
        );
        let displacement = get(Field::Displacement);
        let rated_flow = get(Field::RatedFlow) * displacement;
        let turbocharger = build.turbocharger();
        let intake = Intake {
            rated_loss: difference(Field::FilterLoss),
            rated_flow,
            reference_density: get(Field::FilterReferenceDensity),
            rise: kelvins(Field::InletAirRise),
        };
        let cooler = ChargeCooler::new(
            get(Field::CoolerEffectiveness),
            get(Field::CoolerCapacityRatio),
            get(Field::CoolerFlowExponent),
            rated_flow,
            difference(Field::CoolerLoss),
            outside.temperature + kelvins(Field::CoolingRise),
        );
        let mut fuel = match build.fuel() {
            FuelKind::Petrol => Fuel::petrol(get(Field::EthanolShare)),
            FuelKind::Diesel => Fuel::diesel(),
        };
        if let Some(heat) = build.optional(Field::HeatingValue) {
            fuel.heating_value = heat;
        }
        if let Some(ratio) = build.optional(Field::StoichiometricRatio) {
            fuel.stoichiometric_ratio = ratio;
        }
        let lambda = get(Field::Lambda);
        let compression_ratio = get(Field::CompressionRatio);
        let overlap_slope = build
            .optional(Field::OverlapSlope)
            .unwrap_or_else(|| slope_without_overlap(get(Field::ResidualGamma), compression_ratio));
        let evaporated = vapour_ratio(
            get(Field::EvaporatedShare),
            lambda,
            fuel.stoichiometric_ratio,
        );
        let breathing = Breathing {
            displacement,
            overlap_slope,
            temperature_exponent: get(Field::BreathingTemperatureExponent),
            reference_temperature: Temperature::new(get(Field::BreathingReferenceTemperature)),
            dry_gas_constant: HumidAir::new(0.0).mixture.gas_constant(),
            humidity_ratio: outside.air.humidity_ratio,
            vapour_ratio: evaporated,
            vapour_molar_mass: fuel.vapour_molar_mass,
            evaporation_heat: evaporated * fuel.vaporisation_heat,
        };
        let ideal = ideal_efficiency(
            build.ideal_cycle().curve.at(lambda),
            compression_ratio,
            get(Field::CycleExponent),
        );
        let combustion = Combustion {
            released_share: released_share(
                lambda,
                get(Field::CombustionCompleteness),
                get(Field::RichSlope),
            ),
            work_share: work_share(ideal, get(Field::RealCycleFactor), get(Field::SparkFactor)),
            wall_share: get(Field::WallHeat),
            wall_exponent: get(Field::WallHeatExponent),
            wall_speed: rev_per_min(get(Field::WallHeatReferenceSpeed)),
            wall_pressure: get(Field::WallHeatReferencePressure),
        };
        let friction = Friction {
            factor: get(Field::FrictionFactor),
            constant: get(Field::FrictionConstant) * 1e-5,
            peak: get(Field::FrictionPeak),
            speed: get(Field::FrictionSpeed),
            speed_squared: get(Field::FrictionSpeedSquared),
            valve_loss: difference(Field::PumpingLoss),
            valve_speed: get(Field::PumpingReferenceSpeed),
            valve_density: get(Field::PumpingReferenceDensity),
            peak_base: get(Field::PeakPressureBase) * 1e-5,
            peak_slope: get(Field::PeakPressureSlope),
        };
        let manifold = ExhaustManifold {
            drop: kelvins(Field::ManifoldDrop),
            flow_exponent: get(Field::ManifoldFlowExponent),
            wall: Temperature::new(get(Field::ManifoldWall)),
            span: kelvins(Field::ManifoldSpan),
            cap: get(Field::ManifoldCap),
            rated_flow,
        };
        let wheel = turbocharger.turbine.inducer_m;
        let law = build.turbine_law();
        let bearing = if turbocharger.bearing_in_efficiency {
            0.0
        } else {
            get(Field::BearingPower)
        };
        let turbine = Turbine {
            swallowing: law.swallowing * get(Field::PulseFlow),
            exponent: law.exponent,
            peak_efficiency: build
                .optional(Field::TurbinePeakEfficiency)
                .unwrap_or(turbocharger.turbine.peak_efficiency),
            best_speed_ratio: get(Field::TurbineBestSpeedRatio),
            pulse_gain: get(Field::PulseGain),
            wheel,
            bearing,
        };
        let gate_diameter = build.optional(Field::GateDiameter);
        // A gate entered by its diameter alone opens until the seat is the narrower.
        let gate_lift = build
            .optional(Field::GateLift)
            .unwrap_or(match gate_diameter {
                Some(diameter) => diameter / 4.0,
                None => turbocharger.gate.lift_m,
            });
        let inlet_temperature = outside.temperature + intake.rise;
        Self {
            inlet_enthalpy: outside.air.mixture.enthalpy(inlet_temperature.kelvin()),
            inlet_temperature,
            intake,
            map,
            cooler,
            breathing,
            combustion,
            friction,
            fuel,
            lambda,
            products: Products::new(&fuel.elements, lambda, &outside.air),
            manifold,
            turbine,
            exhaust: Exhaust {
                rated_loss: difference(Field::ExhaustLoss),
                rated_flow,
            },
            count: build.arrangement().count(),
            displacement,
            stroke: get(Field::Stroke),
            gate_area: largest_area(
                gate_diameter.unwrap_or(turbocharger.gate.diameter_m),
                gate_lift,
            ),
            gate_discharge: get(Field::GateDischarge),
            surge_from_ratio: get(Field::SurgeFromRatio),
            shaft_speed_limit: build
                .optional(Field::ShaftSpeedLimit)
                .map_or(turbocharger.largest_speed_rev_min, rev_per_min),
            outside,
        }
    }

    /// The constants of one engine speed in rev/min.
    #[must_use]
    pub fn at_speed(&self, build: &Build, speed: f64) -> SpeedPoint {
        SpeedPoint {
            speed,
            efficiency: build
                .breathing()
                .curve
                .at(speed * std::f64::consts::TAU / 60.0),
            piston_speed: mean_piston_speed(speed, self.stroke),
        }
    }

    /// The constants of one engine speed and manifold pressure.
    #[must_use]
    pub fn at_pressure(&self, speed: &SpeedPoint, pm: AbsolutePressure) -> PressurePoint {
        let wall_share = self.combustion.wall_share(speed.speed, pm.pa());
        PressurePoint {
            speed: *speed,
            pm,
            wall_share,
        }
    }

    /// What the compressor's map says of a settled state.
    #[must_use]
    pub fn reading(&self, engine: &Engine) -> Reading {
        self.map.read(engine.corrected_flow, engine.pressure_ratio)
    }

    /// The gas before and after the turbine.
    #[must_use]
    pub fn gas(&self) -> &Mixture {
        &self.products.mixture
    }

    /// Corrected flow of one compressor, kg/s, from the engine's air flow and inlet pressure.
    fn corrected_flow(&self, air: f64, inlet: AbsolutePressure) -> f64 {
        corrected_flow(
            air / self.count,
            self.inlet_temperature.kelvin(),
            self.map.reference().temperature_k,
            inlet.pa(),
            self.map.reference().pressure_pa,
        )
    }

    /// Air flow, kg/s, that the engine takes at manifold state (pm, tm) with p3 = pm: a first
    /// look at how much there is.
    #[must_use]
    pub fn plain_air_flow(&self, point: &SpeedPoint, pm: AbsolutePressure, tm: Temperature) -> f64 {
        let cp = self.outside.air.mixture.heat_capacity(tm.kelvin());
        let charge = self
            .breathing
            .charge(point.speed, point.efficiency, pm, tm, pm, cp);
        humid_air_flow(charge.dry_air, self.outside.air.humidity_ratio)
    }

    /// Pressure at the compressor's inlet at an air flow in kg/s, and the corrected flow.
    #[must_use]
    pub fn inlet_at(&self, air: f64) -> (AbsolutePressure, f64) {
        let outside = State {
            pressure: self.outside.pressure,
            temperature: self.outside.temperature,
            flow: air,
        };
        let (inlet, _) = self
            .intake
            .pass(outside, self.outside.air.mixture.gas_constant());
        (inlet.pressure, self.corrected_flow(air, inlet.pressure))
    }

    /// Compressor, cooler and engine at manifold pressure `pm`, pressure before the turbine `p3`
    /// and assumed manifold temperature `tm`; the manifold temperature that follows is in the
    /// answer, and the two agree once settled.
    #[must_use]
    pub fn engine(
        &self,
        at: &PressurePoint,
        p3: AbsolutePressure,
        tm: Temperature,
        effort: &mut Effort,
    ) -> Engine {
        let (charge, air) = self.breathe(at, p3, tm);
        let air_gas = &self.outside.air.mixture;
        let outside = State {
            pressure: self.outside.pressure,
            temperature: self.outside.temperature,
            flow: air,
        };
        let (inlet, filter_loss) = self.intake.pass(outside, air_gas.gas_constant());
        let cooler_loss = self.cooler.loss(air, at.pm);
        let p2 = at.pm + cooler_loss;
        let pressure_ratio = p2.pa() / inlet.pressure.pa();
        let corrected_flow = self.corrected_flow(air, inlet.pressure);
        let (corrected_speed, work) = self.map.speed_and_work(corrected_flow, pressure_ratio);
        effort.map_readings += 1;
        let (inlet_k, reference_k) = self.map_temperatures();
        let heat = self.map.heat(corrected_speed, corrected_flow, work);
        let compressor_heat = compressor_work(heat, inlet_k, reference_k);
        let compressor_work = compressor_work(work, inlet_k, reference_k);
        let t2 = self.outlet_temperature(compressor_work);
        let manifold_temperature = self.cooler.cool(air, t2);
        let burned = self.burn(at, p3, tm, &charge, air);
        let turbine_temperature = self.manifold.cool(burned.port_temperature, burned.exhaust);
        effort.gas_states += 2;
        Engine {
            volumetric_efficiency: charge.efficiency,
            dry_air: charge.dry_air,
            air,
            fuel: burned.fuel,
            exhaust: burned.exhaust,
            inlet,
            filter_loss,
            cooler_loss,
            outlet: State {
                pressure: p2,
                temperature: t2,
                flow: air,
            },
            pressure_ratio,
            corrected_flow,
            corrected_speed,
            compressor_work,
            compressor_heat,
            shaft_speed: shaft_speed(corrected_speed, inlet_k, reference_k),
            manifold_temperature,
            released: burned.released,
            gross: burned.gross,
            pmep: burned.pmep,
            wall: burned.wall,
            port_temperature: burned.port_temperature,
            turbine_temperature,
        }
    }

    /// What the cylinders take at a manifold pressure and temperature and a pressure before the
    /// turbine, and the humid air, kg/s, that it comes with.
    #[must_use]
    pub(crate) fn breathe(
        &self,
        at: &PressurePoint,
        p3: AbsolutePressure,
        tm: Temperature,
    ) -> (Charge, f64) {
        let point = &at.speed;
        let cp = self.outside.air.mixture.heat_capacity(tm.kelvin());
        let charge = self
            .breathing
            .charge(point.speed, point.efficiency, at.pm, tm, p3, cp);
        let air = humid_air_flow(charge.dry_air, self.outside.air.humidity_ratio);
        (charge, air)
    }

    /// What burning the charge gives, up to the ports.
    #[must_use]
    pub(crate) fn burn(
        &self,
        at: &PressurePoint,
        p3: AbsolutePressure,
        tm: Temperature,
        charge: &Charge,
        air: f64,
    ) -> Burned {
        let (point, air_gas) = (&at.speed, &self.outside.air.mixture);
        let fuel = fuel_flow(charge.dry_air, self.lambda, self.fuel.stoichiometric_ratio);
        let exhaust = air + fuel;
        let released = heat_released(
            fuel,
            self.fuel.heating_value,
            self.combustion.released_share,
        );
        let gross = gross_power(released, self.combustion.work_share);
        let density = density(at.pm.pa(), air_gas.gas_constant(), tm.kelvin());
        let pmep = self.friction.pmep(point.piston_speed, p3, at.pm, density);
        let swept = self.displacement * point.speed / 120.0;
        let wall = released * at.wall_share;
        let enthalpy = port_enthalpy(
            released,
            air,
            air_gas.enthalpy(tm.kelvin()),
            gross,
            pmep * swept,
            wall,
            exhaust,
        );
        let port_temperature =
            Temperature::new(self.gas().temperature_from_enthalpy(enthalpy, 1150.0));
        Burned {
            fuel,
            exhaust,
            released,
            gross,
            pmep,
            wall,
            port_temperature,
        }
    }

    /// Temperatures, K, that scale the compressor's map: that of the air at its inlet, and that of
    /// its reference.
    #[must_use]
    pub(crate) fn map_temperatures(&self) -> (f64, f64) {
        (
            self.inlet_temperature.kelvin(),
            self.map.reference().temperature_k,
        )
    }

    /// Temperature at the compressor's outlet from its work in J/kg.
    #[must_use]
    pub(crate) fn outlet_temperature(&self, work: f64) -> Temperature {
        let t2 = self.outside.air.mixture.temperature_from_enthalpy(
            self.inlet_enthalpy + work,
            self.inlet_temperature.kelvin() + work / 1010.0,
        );
        Temperature::new(t2)
    }
}

/// rev/min from rad/s.
fn rev_per_min(rad_per_s: f64) -> f64 {
    rad_per_s * 60.0 / std::f64::consts::TAU
}
