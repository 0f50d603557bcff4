//! The one table of inputs: id, label, unit, range, usual, default, source, help.
//!
//! Validation, error messages, the page's labels and help, the build file and
//! its schema all come from this table. A range or a default stands here and
//! nowhere else. Values are written in the unit named beside them, as a person
//! of the trade would say them; [`Spec`] converts to SI.

use crate::quantity::{Kind, Unit};
use serde::Serialize;

/// The part of the air's way a field belongs to, in the order the air meets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// What is asked of the match.
    Goal,
    /// The air outside.
    Outside,
    /// Filter and inlet duct.
    Filter,
    /// Compressor.
    Compressor,
    /// Charge cooler and its pipes.
    Cooler,
    /// The engine itself: breathing, combustion, friction.
    Engine,
    /// Fuel and its delivery.
    Fuel,
    /// Exhaust manifold and turbine.
    Turbine,
    /// Wastegate.
    Gate,
    /// Exhaust system after the turbine.
    Tailpipe,
    /// Driveline, for power at the wheels.
    Driveline,
    /// How quickly boost comes: where it starts from, what has to be filled, turned and warmed.
    Response,
    /// The vehicle, for a pull in gear.
    Vehicle,
    /// What the vehicle has for a turbocharger to be joined to: pipes, oil, room.
    Fitting,
    /// What the parts are allowed to bear.
    Limits,
}

impl Part {
    /// Every part, in the order the air meets it.
    pub const ALL: [Part; 15] = [
        Part::Goal,
        Part::Outside,
        Part::Filter,
        Part::Compressor,
        Part::Cooler,
        Part::Engine,
        Part::Fuel,
        Part::Turbine,
        Part::Gate,
        Part::Tailpipe,
        Part::Driveline,
        Part::Response,
        Part::Vehicle,
        Part::Fitting,
        Part::Limits,
    ];

    /// What the page calls the part.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Part::Goal => "Goal",
            Part::Outside => "Outside",
            Part::Filter => "Filter",
            Part::Compressor => "Compressor",
            Part::Cooler => "Cooler",
            Part::Engine => "Engine",
            Part::Fuel => "Fuel",
            Part::Turbine => "Turbine",
            Part::Gate => "Gate",
            Part::Tailpipe => "Tailpipe",
            Part::Driveline => "Driveline",
            Part::Response => "Response",
            Part::Vehicle => "Vehicle",
            Part::Fitting => "Fitting",
            Part::Limits => "Limits",
        }
    }
}

/// What stands in a field that nobody has filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Default {
    /// One value, in the field's unit.
    Value(f64),
    /// One value with spark ignition, another with a diesel.
    ByIgnition {
        /// Petrol and ethanol blends.
        spark: f64,
        /// Diesel.
        compression: f64,
    },
    /// The field may stay blank; the text says what is used then.
    Blank(&'static str),
}

/// One row of the table of inputs.
#[derive(Debug, Clone, Copy)]
pub struct Spec {
    /// The field.
    pub field: Field,
    /// Key in build files; never changes its meaning.
    pub id: &'static str,
    /// Where it belongs.
    pub part: Part,
    /// Short name on the page.
    pub label: &'static str,
    /// What is measured.
    pub kind: Kind,
    /// Symbol of the unit that `range`, `usual` and `default` are written in.
    pub unit: &'static str,
    /// Least and greatest value taken, in `unit`.
    pub range: (f64, f64),
    /// What is seen in practice, in `unit`.
    pub usual: (f64, f64),
    /// What stands in it to begin with.
    pub default: Default,
    /// A closure constant of the model rather than a fact of the car.
    pub closure: bool,
    /// What it is and where to find it on the car.
    pub help: &'static str,
    /// Where the range, the usual values and the default come from.
    pub source: &'static str,
}

impl Spec {
    /// The unit that the row is written in.
    #[must_use]
    pub fn unit(&self) -> &'static Unit {
        // The table spells a unit by its symbol: no need for the reader's tolerance of spelling.
        let units = self.kind.units();
        units
            .iter()
            .find(|unit| unit.symbol == self.unit)
            .unwrap_or_else(|| self.kind.metric())
    }

    /// Least and greatest value taken, SI.
    #[must_use]
    pub fn range_si(&self) -> (f64, f64) {
        let unit = self.unit();
        (unit.to_si(self.range.0), unit.to_si(self.range.1))
    }

    /// What stands in the field when nobody has filled it, SI; `None` where it may stay blank.
    #[must_use]
    pub fn default_si(&self, diesel: bool) -> Option<f64> {
        let value = match self.default {
            Default::Value(value) => value,
            Default::ByIgnition { spark, compression } => {
                if diesel {
                    compression
                } else {
                    spark
                }
            }
            Default::Blank(_) => return None,
        };
        Some(self.unit().to_si(value))
    }

    /// Whether an SI value lies in the range, ends included (to a part in 1e12, so that an end
    /// entered in another unit is still an end).
    #[must_use]
    pub fn holds(&self, si: f64) -> bool {
        let (low, high) = self.range_si();
        let slack = 1e-12 * low.abs().max(high.abs());
        si.is_finite() && si >= low - slack && si <= high + slack
    }
}

macro_rules! fields {
    ($( $(#[$closure:ident])? $name:ident = $id:literal, $part:ident, $kind:ident, $unit:literal,
        $low:literal .. $high:literal, usual $ulow:literal .. $uhigh:literal, $default:expr;
        $label:literal, $help:literal, $source:literal; )*) => {
        /// Every numeric input of a build.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Field { $( #[doc = $label] $name, )* }

        impl Field {
            /// Every field, in the order of the table.
            pub const ALL: &'static [Field] = &[ $( Field::$name, )* ];
            /// How many fields there are.
            pub const COUNT: usize = Self::ALL.len();
        }

        /// The table itself, one row a field, in the order the air meets them.
        pub static FIELDS: [Spec; Field::COUNT] = [ $( Spec {
            field: Field::$name, id: $id, part: Part::$part, label: $label, kind: Kind::$kind,
            unit: $unit, range: ($low, $high), usual: ($ulow, $uhigh), default: $default,
            closure: fields!(@closure $($closure)?), help: $help, source: $source,
        }, )* ];
    };
    (@closure) => { false };
    (@closure closure) => { true };
}

use self::Default::{Blank, ByIgnition, Value};

fields! {
    // ---- Goal ------------------------------------------------------------------------------
    BoostTarget = "boost_target", Goal, GaugePressure, "bar", 0.0 .. 4.0, usual 0.4 .. 2.0, Value(1.25);
        "Boost asked", "Pressure in the intake manifold above the air outside, that the wastegate is set to hold.",
        "Common practice, no source.";
    PowerTarget = "power_target", Goal, Power, "kW", 20.0 .. 1500.0, usual 100.0 .. 500.0, Blank("boost is asked for directly");
        "Power asked", "Power at the crank. When it is filled, the boost that gives it is worked out and the boost asked is set aside.",
        "Common practice, no source.";

    // ---- Outside ---------------------------------------------------------------------------
    Altitude = "altitude", Outside, Altitude, "m", -400.0 .. 5000.0, usual 0.0 .. 2500.0, Value(0.0);
        "Altitude", "Height above the sea; gives the air pressure by the standard atmosphere. A barometer reading, if filled, wins.",
        "ISO 2533:1975.";
    Barometer = "barometer", Outside, AbsolutePressure, "kPa", 50.0 .. 110.0, usual 75.0 .. 103.0, Blank("the standard atmosphere at the altitude");
        "Barometer", "Air pressure where the car is, as a barometer there reads it (not reduced to sea level).",
        "ISO 2533:1975 gives 54.0 kPa at 5,000 m; 108.4 kPa is the highest ever recorded at sea level (from memory).";
    AirTemperature = "air_temperature", Outside, Temperature, "°C", -40.0 .. 55.0, usual 0.0 .. 35.0, Value(25.0);
        "Air", "Temperature of the air outside, in the shade.",
        "25 °C is the reference of ISO 1585.";
    RelativeHumidity = "relative_humidity", Outside, Fraction, "%", 0.0 .. 100.0, usual 20.0 .. 80.0, Value(40.0);
        "Humidity", "Relative humidity of the air outside. Water vapour takes the place of air: only dry air burns fuel.",
        "ASHRAE Handbook, Fundamentals: saturation pressure after Hyland and Wexler 1983.";

    // ---- Filter ----------------------------------------------------------------------------
    FilterLoss = "filter_loss", Filter, PressureDifference, "kPa", 0.0 .. 15.0, usual 1.0 .. 4.0, Value(2.0);
        "Loses", "Pressure lost from outside to the compressor's inlet at the rated flow: filter, airbox and duct. A dirty filter doubles it.",
        "Common practice, no source.";
    RatedFlow = "rated_flow", Filter, MassFlowPerVolume, "kg/s per litre", 0.02 .. 0.3, usual 0.08 .. 0.16, Value(0.119);
        "Rated flow", "The flow, for each litre of engine, at which the losses of filter, cooler, manifold and tailpipe are quoted.",
        "A judgement, no source: about 2 bar absolute in the manifold near peak power.";
    FilterReferenceDensity = "filter_reference_density", Filter, Density, "kg/m³", 0.5 .. 1.6, usual 1.1 .. 1.25, Value(1.2);
        "Quoted at density", "Density of the air at which the filter's loss is quoted.",
        "Dry air at 20 °C and 101.3 kPa, rounded.";
    InletAirRise = "inlet_air_rise", Filter, TemperatureDifference, "K", 0.0 .. 40.0, usual 3.0 .. 15.0, Value(8.0);
        "Warms under the bonnet", "How much warmer the air is at the compressor than outside.",
        "Common practice, no source: 3 to 15 K.";

    // ---- Compressor ------------------------------------------------------------------------
    #[closure] ShutoffHead = "shutoff_head", Compressor, Ratio, "", 0.6 .. 1.1, usual 0.8 .. 1.0, Value(0.9);
        "Head at no flow", "How the map goes on left of surge: the head at no flow over the head at surge, on a line of constant speed.",
        "From memory, no source; shapes only what lies left of surge.";
    #[closure] LockedRotorLoss = "locked_rotor_loss", Compressor, Ratio, "", 0.3 .. 5.0, usual 1.0 .. 2.5, Value(1.5);
        "Loss at standstill", "Pressure lost through a compressor that stands still, in dynamic heads at its throat. Bounds how it windmills off boost.",
        "From memory, no source.";

    #[closure] SurgeFromRatio = "surge_from_ratio", Compressor, Ratio, "", 1.0 .. 1.6, usual 1.05 .. 1.2, Value(1.1);
        "Surge counts from", "Pressure ratio from which surge holds boost down. Below it hardly any pressure is made, and nothing surges that anybody would notice.",
        "Common practice, no source.";

    // ---- Cooler ----------------------------------------------------------------------------
    CoolerEffectiveness = "cooler_effectiveness", Cooler, Fraction, "%", 0.0 .. 98.0, usual 70.0 .. 85.0, Value(77.0);
        "Effectiveness", "Share of the way from the compressor's outlet temperature down to the cooling air that the charge is cooled, at the rated flow. 0 with no cooler.",
        "Common practice, no source: 70 to 85 % for air coolers.";
    CoolerFlowExponent = "cooler_flow_exponent", Cooler, Ratio, "", 0.0 .. 1.0, usual 0.2 .. 0.6, Value(0.4);
        "Falls with flow by", "Number of transfer units falls as flow to this power; 0 keeps effectiveness constant.",
        "Turbulent duct flow gives a conductance that rises with flow to the power 0.6 to 0.8 (Incropera & DeWitt, eq. 8.60), so NTU falls by 0.2 to 0.4.";
    CoolerCapacityRatio = "cooler_capacity_ratio", Cooler, Ratio, "", 0.0 .. 1.0, usual 0.1 .. 0.6, Value(0.2);
        "Heat capacity ratio", "Charge flow times its heat capacity over that of the cooling air or water, at the rated flow.",
        "A judgement, no source.";
    CoolerLoss = "cooler_loss", Cooler, PressureDifference, "kPa", 0.0 .. 60.0, usual 6.0 .. 18.0, Value(11.0);
        "Loses", "Pressure lost from the compressor's outlet to the manifold at the rated flow and 2 bar absolute: pipes, cooler and open throttle.",
        "Common practice, no source: 6 to 18 kPa.";
    CoolingRise = "cooling_rise", Cooler, TemperatureDifference, "K", 0.0 .. 60.0, usual 3.0 .. 15.0, Value(9.0);
        "Cooled by air warmer than outside by", "Temperature of the air (or, for a water loop, of the water) that meets the cooler, above the air outside. Ice water would be below it and is not covered.",
        "Common practice, no source: 3 to 15 K for air, 10 to 30 K for a water loop.";

    // ---- Engine ----------------------------------------------------------------------------
    Displacement = "displacement", Engine, Volume, "litre", 0.2 .. 15.0, usual 1.0 .. 6.5, Value(2.0);
        "Capacity", "Swept volume of all cylinders.",
        "From the car's papers.";
    Cylinders = "cylinders", Engine, Count, "", 1.0 .. 16.0, usual 3.0 .. 8.0, Value(4.0);
        "Cylinders", "How many. Fuel is shared over them, one injector each.",
        "From the car's papers.";
    Stroke = "stroke", Engine, Length, "mm", 30.0 .. 200.0, usual 75.0 .. 100.0, Value(90.0);
        "Stroke", "Piston travel; with engine speed it gives mean piston speed, which sets friction.",
        "From the workshop manual.";
    CompressionRatio = "compression_ratio", Engine, Ratio, "", 6.0 .. 23.0, usual 8.0 .. 11.0, Value(9.0);
        "Compression ratio", "Volume with the piston down over volume with it up.",
        "From the workshop manual. Boosted petrol 8 to 11, diesel 14 to 18: common practice, no source.";
    IdleSpeed = "idle_speed", Engine, EngineSpeed, "rev/min", 400.0 .. 3000.0, usual 700.0 .. 1200.0, Value(1000.0);
        "From", "Lowest engine speed worked out.",
        "Common practice, no source.";
    Redline = "redline", Engine, EngineSpeed, "rev/min", 2000.0 .. 16000.0, usual 4500.0 .. 8000.0, Value(7200.0);
        "Redline", "Highest engine speed worked out.",
        "From the workshop manual.";
    OverlapSlope = "overlap_slope", Engine, Ratio, "", 0.0 .. 0.4, usual 0.05 .. 0.25, Blank("1/(γ(r − 1)) from the compression ratio: no valve overlap");
        "Breathing lost to back pressure", "How much breathing falls as pressure before the turbine rises over manifold pressure. Long valve overlap up to 0.25.",
        "Taylor, The Internal-Combustion Engine in Theory and Practice: residual gas without valve overlap.";
    #[closure] ResidualGamma = "residual_gamma", Engine, Ratio, "", 1.2 .. 1.4, usual 1.3 .. 1.38, Value(1.36);
        "Residual gas γ", "Ratio of heat capacities of the gas left in the cylinder, in Taylor's relation.",
        "Taylor; value a judgement, no source.";
    BreathingTemperatureExponent = "breathing_temperature_exponent", Engine, Ratio, "", 0.0 .. 0.6, usual 0.0 .. 0.5, Value(0.4);
        "Breathing gains with heat by", "Exponent n of (Tm/Tref): a hot charge takes up less heat from the ports, so cooling gains less than density alone.",
        "Heywood 1988, section 6.2.4: square root at most; 0.3 to 0.5 a judgement.";
    #[closure] BreathingReferenceTemperature = "breathing_reference_temperature", Engine, Temperature, "K", 280.0 .. 400.0, usual 300.0 .. 345.0, Value(340.0);
        "Breathing quoted at", "Manifold temperature at which the breathing curve holds.",
        "A judgement, no source.";
    Lambda = "lambda", Engine, Ratio, "", 0.6 .. 4.0, usual 0.78 .. 0.9, ByIgnition { spark: 0.82, compression: 1.35 };
        "Mixture λ", "Air over the air that burns all fuel, at full load. Below 1 is rich. For a diesel the smoke limit.",
        "Common practice, no source: boosted petrol 0.78 to 0.9, diesel 1.25 to 1.5.";
    EvaporatedShare = "evaporated_share", Engine, Fraction, "%", 0.0 .. 100.0, usual 20.0 .. 70.0, ByIgnition { spark: 35.0, compression: 0.0 };
        "Fuel that cools the charge", "Share of the fuel that evaporates in the charge before the intake valve closes, and takes its heat from it. About 30 % with port injection, 60 % direct.",
        "A judgement, no source.";
    #[closure] CombustionCompleteness = "combustion_completeness", Engine, Fraction, "%", 90.0 .. 100.0, usual 97.0 .. 99.5, Value(98.5);
        "Burned completely", "Share of the fuel's heat released at λ 1 and leaner.",
        "Heywood 1988, figure 3-9 (from memory).";
    #[closure] RichSlope = "rich_slope", Engine, Ratio, "", 0.8 .. 1.8, usual 1.2 .. 1.5, Value(1.34);
        "Heat lost to a rich mixture", "Fall of the share of heat released for each unit of λ below 1: unburned carbon monoxide and hydrogen.",
        "Derived from water-gas-shift-frozen CO and H₂.";
    #[closure] CycleExponent = "cycle_exponent", Engine, Ratio, "", 0.2 .. 0.4, usual 0.25 .. 0.3, Value(0.27);
        "Gain with compression", "Exponent e in 1 − r^−e by which ideal efficiency moves from ratio 9 to another.",
        "Fuel-air cycles, fitted.";
    #[closure] RealCycleFactor = "real_cycle_factor", Engine, Ratio, "", 0.6 .. 1.0, usual 0.8 .. 0.94, ByIgnition { spark: 0.885, compression: 0.835 };
        "Real over ideal work", "Gross indicated work over that of the ideal fuel-air cycle: heat lost while burning, time, blow-down.",
        "Taylor: about 0.85 to 0.92; diesel 0.80 to 0.87.";
    #[closure] SparkFactor = "spark_factor", Engine, Ratio, "", 0.8 .. 1.0, usual 0.92 .. 1.0, ByIgnition { spark: 0.95, compression: 0.975 };
        "Spark held back", "Work with the spark that knock allows over work with the best spark. 1 where knock does not limit.",
        "A judgement, no source: 0.92 to 0.98 on pump fuel, near 1 on E85.";
    #[closure] FrictionFactor = "friction_factor", Engine, Ratio, "", 0.5 .. 1.3, usual 0.75 .. 1.0, Value(0.88);
        "Friction, against the formula", "Multiplies the friction formula: a modern engine has less.",
        "A judgement, no source: 0.75 to 1.0.";
    #[closure] FrictionConstant = "friction_constant", Engine, PressureDifference, "bar", 0.0 .. 1.0, usual 0.1 .. 0.6, Value(0.4);
        "Friction, constant", "Constant of the friction formula.",
        "Chen & Flynn 1965 (SAE 650733); coefficients from memory.";
    #[closure] FrictionPeak = "friction_peak", Engine, Ratio, "", 0.0 .. 0.02, usual 0.003 .. 0.008, Value(0.005);
        "Friction, with peak pressure", "Friction mean effective pressure for each unit of peak cylinder pressure.",
        "Chen & Flynn 1965 (SAE 650733); coefficients from memory.";
    #[closure] FrictionSpeed = "friction_speed", Engine, Ratio, "", 0.0 .. 0.3, usual 0.05 .. 0.17, Value(0.09);
        "Friction, with piston speed", "Friction mean effective pressure for each m/s of mean piston speed, in bar.",
        "Chen & Flynn 1965 (SAE 650733); coefficients from memory.";
    #[closure] FrictionSpeedSquared = "friction_speed_squared", Engine, Ratio, "", 0.0 .. 0.005, usual 0.0005 .. 0.0015, Value(0.0009);
        "Friction, with piston speed squared", "Friction mean effective pressure for each (m/s)² of mean piston speed, in bar.",
        "Chen & Flynn 1965 (SAE 650733); coefficients from memory.";
    #[closure] PumpingLoss = "pumping_loss", Engine, PressureDifference, "bar", 0.0 .. 1.0, usual 0.1 .. 0.3, Value(0.2);
        "Valve loss", "Pumping mean effective pressure spent in the valves at the reference piston speed and charge density, beside that from back pressure.",
        "A judgement, no source: 0.1 to 0.3 bar.";
    #[closure] PumpingReferenceSpeed = "pumping_reference_speed", Engine, Speed, "m/s", 5.0 .. 30.0, usual 15.0 .. 20.0, Value(17.0);
        "Valve loss quoted at", "Mean piston speed at which the valve loss is quoted.",
        "A judgement, no source.";
    #[closure] PumpingReferenceDensity = "pumping_reference_density", Engine, Density, "kg/m³", 0.5 .. 3.0, usual 1.1 .. 1.3, Value(1.2);
        "Valve loss quoted at density", "Density of the charge at which the valve loss is quoted.",
        "A judgement, no source.";
    #[closure] PeakPressureBase = "peak_pressure_base", Engine, AbsolutePressure, "bar", 30.0 .. 120.0, usual 50.0 .. 90.0, ByIgnition { spark: 60.0, compression: 75.0 };
        "Peak pressure at 1 bar", "Highest pressure in the cylinder with 1 bar absolute in the manifold; with spark ignition as knock allows.",
        "A judgement, no source: petrol at compression ratio 9, diesel at 16.";
    #[closure] PeakPressureSlope = "peak_pressure_slope", Engine, Ratio, "", 10.0 .. 80.0, usual 35.0 .. 60.0, ByIgnition { spark: 45.0, compression: 55.0 };
        "Peak pressure for each bar", "How much the highest pressure in the cylinder rises for each bar of manifold pressure.",
        "A judgement, no source: petrol at compression ratio 9, diesel at 16.";
    #[closure] WallHeat = "wall_heat", Engine, Fraction, "%", 5.0 .. 50.0, usual 18.0 .. 25.0, ByIgnition { spark: 21.5, compression: 19.0 };
        "Heat to the walls", "Share of the heat released that goes into the cylinder walls at 6,000 rev/min and 2 bar absolute.",
        "A judgement, no source: 18 to 25 % petrol, 16 to 22 % diesel.";
    #[closure] WallHeatExponent = "wall_heat_exponent", Engine, Ratio, "", 0.0 .. 0.5, usual 0.15 .. 0.3, Value(0.22);
        "Wall heat falls by", "Wall heat share falls as (speed × manifold pressure) to this power.",
        "From turbulent heat transfer, Nu ∝ Re^0.8, softened; a judgement.";
    #[closure] WallHeatReferenceSpeed = "wall_heat_reference_speed", Engine, EngineSpeed, "rev/min", 1000.0 .. 12000.0, usual 5000.0 .. 7000.0, Value(6000.0);
        "Wall heat quoted at", "Engine speed at which the wall heat share is quoted.",
        "A judgement, no source.";
    #[closure] WallHeatReferencePressure = "wall_heat_reference_pressure", Engine, AbsolutePressure, "bar", 0.5 .. 4.0, usual 1.5 .. 2.5, Value(2.0);
        "Wall heat quoted at pressure", "Manifold pressure at which the wall heat share is quoted.",
        "A judgement, no source.";
    DynoBsfc = "dyno_bsfc", Engine, SpecificConsumption, "g/kWh", 180.0 .. 700.0, usual 300.0 .. 420.0, Blank("worked out");
        "BSFC from a dyno", "Brake specific fuel consumption measured on a dyno at peak power. When filled, power by it stands beside the power worked out, with how far they disagree.",
        "Common practice, no source.";

    // ---- Fuel ------------------------------------------------------------------------------
    EthanolShare = "ethanol_share", Fuel, Fraction, "%", 0.0 .. 100.0, usual 0.0 .. 85.0, Value(10.0);
        "Ethanol", "Ethanol in the petrol, by volume. Pump fuel is 0 to 10 %, E85 51 to 85 %. Not used for diesel.",
        "EN 228 and ASTM D5798 (limits from memory).";
    HeatingValue = "heating_value", Fuel, SpecificEnergy, "MJ/kg", 15.0 .. 55.0, usual 26.0 .. 44.0, Blank("from the blend");
        "Heat in the fuel", "Lower heating value of the liquid fuel.",
        "Heywood 1988, table D.4.";
    StoichiometricRatio = "stoichiometric_ratio", Fuel, Ratio, "", 4.0 .. 20.0, usual 9.0 .. 14.8, Blank("from the blend");
        "Air to burn it", "Mass of dry air that burns one mass of fuel at λ 1.",
        "Heywood 1988, table D.4.";
    InjectorFlow = "injector_flow", Fuel, VolumeFlow, "cm³/min", 50.0 .. 5000.0, usual 300.0 .. 1500.0, Blank("what is needed is worked out, nothing is checked");
        "Injector, each", "Static flow of one injector at the pressure it is quoted at.",
        "From the injector's data sheet.";
    InjectorRatedPressure = "injector_rated_pressure", Fuel, PressureDifference, "bar", 1.0 .. 200.0, usual 3.0 .. 4.0, Value(3.0);
        "Quoted at", "Pressure across the injector at which its flow is quoted.",
        "Common practice, no source: 3 bar.";
    RailPressure = "rail_pressure", Fuel, GaugePressure, "bar", 1.0 .. 3000.0, usual 3.0 .. 5.0, Value(3.0);
        "Rail", "Fuel pressure in the rail with the manifold at outside pressure.",
        "From the workshop manual.";
    InjectorDuty = "injector_duty", Fuel, Fraction, "%", 40.0 .. 100.0, usual 80.0 .. 90.0, Value(85.0);
        "Open at most", "Largest share of the time an injector may stand open.",
        "Common practice, no source: 80 to 85 %.";

    // ---- Turbine ---------------------------------------------------------------------------
    #[closure] ManifoldDrop = "manifold_drop", Turbine, TemperatureDifference, "K", 0.0 .. 150.0, usual 35.0 .. 90.0, Value(62.0);
        "Cools in the manifold by", "Temperature that the exhaust loses from the ports to the turbine at the rated flow and 1,200 K.",
        "A judgement, no source: 35 to 90 K.";
    #[closure] ManifoldFlowExponent = "manifold_flow_exponent", Turbine, Ratio, "", 0.0 .. 1.0, usual 0.3 .. 0.5, Value(0.4);
        "Less with flow by", "The drop falls as flow to this power.",
        "A judgement, no source.";
    #[closure] ManifoldWall = "manifold_wall", Turbine, Temperature, "K", 280.0 .. 700.0, usual 350.0 .. 500.0, Value(400.0);
        "No drop below", "Gas temperature at which the manifold takes no heat.",
        "A judgement, no source.";
    #[closure] ManifoldSpan = "manifold_span", Turbine, TemperatureDifference, "K", 300.0 .. 1200.0, usual 700.0 .. 900.0, Value(800.0);
        "Drop quoted this far above", "How far above that temperature the drop is quoted.",
        "A judgement, no source.";
    #[closure] ManifoldCap = "manifold_cap", Turbine, Ratio, "", 1.0 .. 6.0, usual 2.0 .. 4.0, Value(3.0);
        "Drop at most, times", "The drop never exceeds the quoted one by more than this factor.",
        "A judgement, no source.";
    TurbineSwallowing = "turbine_swallowing", Turbine, Swallowing, "×10⁻⁵ kg√K/(s Pa)", 0.2 .. 15.0, usual 0.8 .. 6.0, Blank("the housing's");
        "Swallowing", "Largest m√T3/p3 the turbine passes. Overrides the chosen housing's.",
        "From a gas stand.";
    #[closure] TurbineExponent = "turbine_exponent", Turbine, Ratio, "", 1.2 .. 2.5, usual 1.5 .. 2.0, Value(1.6);
        "Swallowing exponent", "k in m√T3/p3 = W √(1 − ER^−k).",
        "Eriksson & Nielsen 2014 (form); value a judgement; Stodola has 2.";
    TurbinePeakEfficiency = "turbine_peak_efficiency", Turbine, Fraction, "%", 40.0 .. 85.0, usual 64.0 .. 75.0, Blank("the turbocharger's");
        "Turbine efficiency, best", "Total-to-static, at the best speed. Overrides the turbocharger's.",
        "From a gas stand.";
    #[closure] TurbineBestSpeedRatio = "turbine_best_speed_ratio", Turbine, Ratio, "", 0.5 .. 0.85, usual 0.62 .. 0.7, Value(0.66);
        "Best U/C0", "Blade speed at the wheel's inducer tip over the gas speed of an ideal expansion, where the turbine does best.",
        "Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, ch. 8.";
    #[closure] PulseGain = "pulse_gain", Turbine, Ratio, "", 0.0 .. 0.6, usual 0.03 .. 0.3, Value(0.1);
        "Pulses, a", "Exhaust pulses raise the turbine's work by 1 + a/ER. Two cylinders an entry 0.2 to 0.45, three 0.15 to 0.35, four on one entry 0.05 to 0.2, six or more 0 to 0.07.",
        "A judgement, no source.";
    #[closure] PulseFlow = "pulse_flow", Turbine, Ratio, "", 0.85 .. 1.0, usual 0.93 .. 1.0, Value(1.0);
        "Pulses, flow", "A pulsing flow passes less through the turbine than a steady one, by this factor.",
        "A judgement, no source: 0.93 to 1.0.";
    #[closure] BearingPower = "bearing_power", Turbine, Power, "kW", 0.0 .. 3.0, usual 0.3 .. 0.9, Value(0.6);
        "Bearing loss", "Power lost in the bearings at 100,000 rev/min with a 60 mm turbine wheel. Ball bearings 0.3 to 0.5, journal 0.6 to 0.9.",
        "A judgement, no source. Scales with speed squared and wheel size cubed.";

    // ---- Gate ------------------------------------------------------------------------------
    GateSpring = "gate_spring", Gate, GaugePressure, "bar", 0.0 .. 3.0, usual 0.3 .. 1.0, Value(0.5);
        "Spring", "Boost that the wastegate's spring alone holds. Less than that cannot be asked for.",
        "From the actuator's data sheet.";
    GateDiameter = "gate_diameter", Gate, Length, "mm", 5.0 .. 100.0, usual 20.0 .. 50.0, Blank("the turbocharger's own gate");
        "Valve", "Diameter of the wastegate's valve seat, one for each turbocharger.",
        "From the gate's data sheet, or a calliper.";
    GateLift = "gate_lift", Gate, Length, "mm", 1.0 .. 50.0, usual 6.0 .. 14.0, Blank("a quarter of the valve's diameter, beyond which the seat is the narrower");
        "Opens by", "How far the valve lifts. Curtain area counts until the seat is narrower.",
        "From the gate's data sheet.";
    #[closure] GateDischarge = "gate_discharge", Gate, Ratio, "", 0.3 .. 1.0, usual 0.6 .. 0.8, Value(0.7);
        "Gate discharge", "Share of the ideal nozzle flow that passes the gate.",
        "A judgement, no source: about 0.7.";

    // ---- Tailpipe --------------------------------------------------------------------------
    ExhaustLoss = "exhaust_loss", Tailpipe, PressureDifference, "kPa", 0.0 .. 100.0, usual 5.0 .. 60.0, Value(13.0);
        "Loses", "Pressure lost from the turbine's outlet to the open air at the rated flow, 1,000 K and 101.3 kPa outside. Open 5 to 15, large bore with catalyst 15 to 30, stock 30 to 60.",
        "Common practice, no source.";

    // ---- Driveline -------------------------------------------------------------------------
    DrivelineEfficiency = "driveline_efficiency", Driveline, Fraction, "%", 60.0 .. 100.0, usual 82.0 .. 92.0, Value(86.0);
        "Reaches the wheels", "Share of the crank's power that a roller dyno sees at the wheels.",
        "Common practice, no source: 82 to 92 %.";

    // ---- Response --------------------------------------------------------------------------
    LightLoad = "light_load", Response, AbsolutePressure, "kPa", 15.0 .. 100.0, usual 30.0 .. 70.0, ByIgnition { spark: 40.0, compression: 70.0 };
        "Light load before", "Pressure in the intake manifold before the throttle is opened to full, with the mixture of full load. A diesel, which has no throttle, is taken to burn as little as if it had one.",
        "A judgement, no source: a car at a steady road speed.";
    WarmManifold = "warm_manifold", Response, Fraction, "%", 0.0 .. 100.0, usual 0.0 .. 100.0, Blank("as warm as long light load makes it");
        "Exhaust manifold warm", "0 % is cold, as warm as the air outside; 100 % is as hot as long full load at that engine speed makes it. A cold one takes heat that the turbine then lacks.",
        "A choice of where to begin.";
    PipeVolume = "pipe_volume", Response, Ratio, "", 0.3 .. 20.0, usual 2.0 .. 5.0, Value(3.0);
        "Pipes and cooler, times capacity", "Volume between compressor and throttle over the engine's capacity. It has to be filled before boost is there.",
        "Common practice, no source: some 2 m of pipe and a cooler of a few litres.";
    PlenumVolume = "plenum_volume", Response, Ratio, "", 0.1 .. 8.0, usual 0.7 .. 1.5, Value(1.0);
        "Intake manifold, times capacity", "Volume between throttle and valves over the engine's capacity.",
        "Common practice, no source.";
    ManifoldMass = "manifold_mass", Response, Mass, "kg", 0.5 .. 100.0, usual 4.0 .. 15.0, Value(8.0);
        "Exhaust manifold, mass", "Manifold and the part of the turbine housing that the gas meets, all of them together. Iron of this mass has to be warmed.",
        "Common practice, no source: 2 to 4 kg for each litre of the engine.";
    RotorInertia = "rotor_inertia", Response, Inertia, "g cm²", 1.0 .. 200000.0, usual 50.0 .. 3000.0, Blank("the turbocharger's, or estimated from its wheels");
        "Rotor inertia", "Moment of inertia of one shaft with its wheels. Overrides the turbocharger's.",
        "From the turbocharger's maker, or swung on two threads.";
    #[closure] CompressorWheelInertia = "compressor_wheel_inertia", Response, Density, "kg/m³", 5.0 .. 60.0, usual 12.0 .. 25.0, Value(18.0);
        "Inertia of the compressor wheel", "Its moment of inertia over the fifth power of its largest diameter, where the rotor's is estimated.",
        "A judgement, from memory: aluminium; with the turbine wheel's ±35 %.";
    #[closure] TurbineWheelInertia = "turbine_wheel_inertia", Response, Density, "kg/m³", 10.0 .. 150.0, usual 36.0 .. 75.0, Value(55.0);
        "Inertia of the turbine wheel", "Its moment of inertia over the fifth power of its largest diameter, where the rotor's is estimated.",
        "A judgement, from memory: nickel alloy, shaft included; ±35 %.";
    #[closure] ManifoldWallShare = "manifold_wall_share", Response, Fraction, "%", 20.0 .. 95.0, usual 60.0 .. 85.0, Value(75.0);
        "Manifold wall settles at", "How far the wall's temperature comes from that without a drop towards the gas's, after long running at the same load. What is left of the way is between gas and wall.",
        "A judgement, no source: a manifold under long full load glows, some 150 to 200 K below the gas.";
    #[closure] FillingSlope = "filling_slope", Response, Ratio, "", 0.02 .. 2.0, usual 0.05 .. 0.2, Value(0.1);
        "Filling meets a slope of", "Where a speed line falls less steeply with flow than this (in pressure over pressure for flow over flow), or rises, what fills the volume meets a resistance that makes up the rest: without it the volume alone would surge. It is gone where nothing fills.",
        "A judgement, no source; only how pressure follows the shaft, never where it settles.";

    // ---- Vehicle ---------------------------------------------------------------------------
    VehicleMass = "vehicle_mass", Vehicle, Mass, "kg", 100.0 .. 20000.0, usual 900.0 .. 2000.0, Value(1300.0);
        "Mass", "With driver and fuel.",
        "From the car's papers, or a weighbridge.";
    OverallRatio = "overall_ratio", Vehicle, Ratio, "", 0.8 .. 60.0, usual 4.0 .. 8.0, Value(5.5);
        "Gear × final drive", "Turns of the engine for one turn of the wheels, in the gear of the pull.",
        "From the workshop manual; the default is a third gear.";
    TyreRadius = "tyre_radius", Vehicle, Length, "mm", 120.0 .. 900.0, usual 280.0 .. 340.0, Value(310.0);
        "Tyre radius", "Rolling radius: distance in one turn over 2π.",
        "From the tyre's data sheet.";
    DragArea = "drag_area", Vehicle, Area, "m²", 0.1 .. 10.0, usual 0.55 .. 0.9, Value(0.7);
        "Drag area", "Drag coefficient times frontal area.",
        "Common practice, no source: 0.55 to 0.9 m² for cars.";
    RollingResistance = "rolling_resistance", Vehicle, Fraction, "%", 0.3 .. 15.0, usual 0.9 .. 2.0, Value(1.3);
        "Rolling resistance", "Force to keep it rolling over its weight.",
        "Common practice, no source: 0.9 to 2 % on a road.";
    RotatingMass = "rotating_mass", Vehicle, Fraction, "%", 0.0 .. 150.0, usual 4.0 .. 20.0, Value(8.0);
        "Allowance for what turns", "Inertia of engine, driveline and wheels as a share of the mass; more in a low gear.",
        "Common practice, no source: 5 to 10 % in third gear.";
    PullFrom = "pull_from", Vehicle, EngineSpeed, "rev/min", 500.0 .. 14000.0, usual 1500.0 .. 3000.0, Value(2500.0);
        "Pull from", "Engine speed at which the throttle is opened.",
        "A choice.";
    PullTo = "pull_to", Vehicle, EngineSpeed, "rev/min", 1000.0 .. 16000.0, usual 4500.0 .. 7500.0, Blank("the redline");
        "Pull to", "Engine speed at which the pull ends.",
        "A choice.";

    // ---- Fitting ---------------------------------------------------------------------------
    IntakePipe = "intake_pipe", Fitting, Length, "mm", 20.0 .. 250.0, usual 57.0 .. 102.0, Blank("not known");
        "Intake pipe", "Inside diameter of the pipe between filter and compressor, where it is narrowest. With a pair, of each compressor's own.",
        "A calliper.";
    HotPipe = "hot_pipe", Fitting, Length, "mm", 15.0 .. 200.0, usual 38.0 .. 70.0, Blank("not known");
        "Hot charge pipe", "Inside diameter of the pipe between compressor and charge cooler, where it is narrowest. With a pair, of each compressor's own.",
        "A calliper.";
    ColdPipe = "cold_pipe", Fitting, Length, "mm", 15.0 .. 200.0, usual 51.0 .. 83.0, Blank("not known");
        "Cold charge pipe", "Inside diameter of the pipe between charge cooler and throttle, where it is narrowest. It carries all the charge.",
        "A calliper.";
    Downpipe = "downpipe", Fitting, Length, "mm", 20.0 .. 250.0, usual 51.0 .. 102.0, Blank("not known");
        "Downpipe", "Inside diameter of the first pipe after the turbine, where it is narrowest. With a pair, of each turbine's own.",
        "A calliper.";
    OilPressure = "oil_pressure", Fitting, GaugePressure, "bar", 0.3 .. 15.0, usual 3.0 .. 6.0, Blank("not known");
        "Oil pressure", "Oil pressure where the turbocharger's feed is taken, with hot oil, at high engine speed.",
        "From a gauge, or the workshop manual.";
    BearingOilFlow = "bearing_oil_flow", Fitting, VolumeFlow, "litre/min", 0.05 .. 30.0, usual 0.5 .. 4.0, Blank("a rough figure for the kind of bearing");
        "Oil through the bearing", "Hot oil that one turbocharger passes with 3 bar at its own oil inlet and no restrictor.",
        "Caught from the drain in a measuring jug.";
    #[closure] RestrictorDischarge = "restrictor_discharge", Fitting, Ratio, "", 0.4 .. 1.0, usual 0.6 .. 0.8, Value(0.7);
        "Restrictor discharge", "Share of the ideal flow that passes the oil restrictor's bore.",
        "0.6 for a sharp edge (ISO 5167-2), some 0.8 for a bore longer than wide (any hydraulics text, from memory); between them a judgement.";
    RoomLength = "room_length", Fitting, Length, "mm", 50.0 .. 2000.0, usual 180.0 .. 400.0, Blank("not known");
        "Room along the shaft", "Length that there is for a turbocharger, from where the intake pipe can begin to where the downpipe can.",
        "A rule.";
    RoomHeight = "room_height", Fitting, Length, "mm", 50.0 .. 2000.0, usual 150.0 .. 350.0, Blank("not known");
        "Room in height", "Height that there is for a turbocharger, square to its shaft.",
        "A rule.";

    // ---- Limits ----------------------------------------------------------------------------
    ShaftSpeedLimit = "shaft_speed_limit", Limits, ShaftSpeed, "rev/min", 20000.0 .. 400000.0, usual 80000.0 .. 250000.0, Blank("the turbocharger's");
        "Shaft speed", "Largest speed of the shaft. Overspeed can burst a wheel.",
        "From the turbocharger's data sheet.";
    TurbineInletLimit = "turbine_inlet_limit", Limits, Temperature, "°C", 500.0 .. 1150.0, usual 850.0 .. 1050.0, Blank("the turbocharger's");
        "Turbine inlet", "Hottest exhaust the turbine may see for long.",
        "From the turbocharger's data sheet.";
    CompressorOutletLimit = "compressor_outlet_limit", Limits, Temperature, "°C", 80.0 .. 300.0, usual 180.0 .. 230.0, Value(210.0);
        "Compressor outlet", "Hottest air at the compressor's outlet: cast aluminium, hoses and oil in the bearing.",
        "Common practice, no source.";
    BackPressureLimit = "back_pressure_limit", Limits, Ratio, "", 0.8 .. 4.0, usual 1.5 .. 2.5, Value(2.0);
        "Back pressure", "Pressure before the turbine over manifold pressure.",
        "Common practice, no source.";
    PeakPressureLimit = "peak_pressure_limit", Limits, AbsolutePressure, "bar", 40.0 .. 300.0, usual 90.0 .. 180.0, ByIgnition { spark: 140.0, compression: 180.0 };
        "Peak cylinder pressure", "Largest pressure the pistons, rods, head and gasket stand.",
        "Common practice, no source; ask who built the engine.";
    SensorLimit = "sensor_limit", Limits, AbsolutePressure, "bar", 1.0 .. 7.0, usual 2.5 .. 4.0, Value(3.0);
        "Manifold pressure sensor", "Largest absolute pressure the engine's sensor reads.",
        "From the sensor's data sheet.";
}

impl Field {
    /// The field's row in the table.
    #[must_use]
    pub fn spec(self) -> &'static Spec {
        &FIELDS[self as usize]
    }

    /// The field with this key, if there is one.
    #[must_use]
    pub fn by_id(id: &str) -> Option<Field> {
        FIELDS
            .iter()
            .find(|spec| spec.id == id)
            .map(|spec| spec.field)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_sound() {
        let mut ids = std::collections::BTreeSet::new();
        for (index, spec) in FIELDS.iter().enumerate() {
            assert_eq!(spec.field as usize, index, "{}", spec.id);
            assert!(ids.insert(spec.id), "{} stands twice", spec.id);
            assert_eq!(spec.unit().symbol, spec.unit, "{}", spec.id);
            assert!(spec.range.0 < spec.range.1, "{}", spec.id);
            assert!(
                spec.range.0 <= spec.usual.0 && spec.usual.1 <= spec.range.1,
                "{}: usual",
                spec.id
            );
            for diesel in [false, true] {
                if let Some(default) = spec.default_si(diesel) {
                    assert!(
                        spec.holds(default),
                        "{}: default outside its range",
                        spec.id
                    );
                }
            }
            assert!(
                spec.help.ends_with('.') && spec.source.ends_with('.'),
                "{}",
                spec.id
            );
        }
    }
}
