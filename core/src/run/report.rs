//! What a match tells: plain data, SI, speeds in rev/min, ready to be shown or written as JSON.
//!
//! Pressures are absolute unless the name says `boost` or `loss`.

use serde::{Deserialize, Serialize};

/// A station of the air's way: total pressure, total temperature, mass flow.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StationReport {
    /// Pa.
    pub pressure_pa: f64,
    /// K.
    pub temperature_k: f64,
    /// kg/s, all turbochargers together.
    pub flow_kg_s: f64,
}

/// What decides the boost at a speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Held {
    /// The gate is shut and the turbine gives what it can: boost is building.
    Drive,
    /// The gate holds the boost asked for (or the spring's, where that is more).
    Gate,
    /// The gate is wide open and boost still rises above what was asked.
    Creep,
    /// Boost is held down to the surge line.
    Surge,
    /// The turbine or the shaft gives out because the compressor is past choke.
    Choke,
    /// Boost is held down to the largest shaft speed.
    ShaftSpeed,
}

/// Where the energy of the fuel goes, W. The shares add up to `fuel`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct EnergyAccount {
    /// Lower heating value of the fuel burned and unburned.
    pub fuel_w: f64,
    /// At the crank.
    pub brake_w: f64,
    /// Rubbing and auxiliaries.
    pub friction_w: f64,
    /// Into the cylinder walls, to the coolant.
    pub coolant_w: f64,
    /// Out of the charge cooler.
    pub charge_cooler_w: f64,
    /// Warm exhaust, above the air outside.
    pub exhaust_sensible_w: f64,
    /// Fuel that left unburned (carbon monoxide, hydrogen).
    pub exhaust_unburned_w: f64,
    /// Manifold and bearing heat, less what the intake took up under the bonnet.
    pub other_losses_w: f64,
    /// `fuel` less the sum of the rest, over `fuel`: what is left of the solver's work.
    pub imbalance: f64,
}

/// The match at one engine speed.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SpeedReport {
    /// Engine speed, rev/min.
    pub engine_speed_rev_min: f64,
    /// What decides the boost here.
    pub held: Held,
    /// Boost that was asked here, Pa gauge.
    pub boost_asked_pa: f64,
    /// Boost in the manifold, Pa gauge.
    pub boost_pa: f64,
    /// Boost the turbine could hold on the map continued left of surge and past the other caps,
    /// up to what was asked, Pa gauge.
    pub boost_drivable_pa: f64,
    /// Pressure before the turbine over manifold pressure at that boost.
    pub back_pressure_drivable_ratio: f64,
    /// Air outside.
    pub outside: StationReport,
    /// Station 1, compressor inlet.
    pub compressor_inlet: StationReport,
    /// Station 2, compressor outlet.
    pub compressor_outlet: StationReport,
    /// Station m, intake manifold (pressure static: a plenum).
    pub manifold: StationReport,
    /// Station 3, turbine inlet.
    pub turbine_inlet: StationReport,
    /// Station 4, turbine outlet (pressure static), turbine and gate streams mixed.
    pub turbine_outlet: StationReport,
    /// Compressor total-to-total pressure ratio.
    pub pressure_ratio: f64,
    /// Corrected flow of one compressor, kg/s at its map's reference.
    pub corrected_flow_kg_s: f64,
    /// Corrected speed of its shaft, rev/min at the map's reference.
    pub corrected_speed_rev_min: f64,
    /// Compressor efficiency, total-to-total; `None` where it windmills.
    pub compressor_efficiency: Option<f64>,
    /// Shaft speed, rev/min.
    pub shaft_speed_rev_min: f64,
    /// Flow above the surge line's at this pressure ratio, as a share of the flow; below 0 left
    /// of surge.
    pub surge_room: f64,
    /// Flow below this speed line's choke, as a share of the choke flow; 1 where the wheel stands.
    pub choke_room: f64,
    /// The point lies outside of what the map covers.
    pub extrapolated: bool,
    /// Power of one compressor, W.
    pub compressor_power_w: f64,
    /// Power of one turbine, W.
    pub turbine_power_w: f64,
    /// Loss in one turbocharger's bearings, W.
    pub bearing_power_w: f64,
    /// Turbine efficiency, total-to-static, without pulses.
    pub turbine_efficiency: f64,
    /// Blade speed over ideal gas speed.
    pub turbine_speed_ratio: f64,
    /// Turbine expansion ratio p3/p4.
    pub expansion_ratio: f64,
    /// Pressure before the turbine over manifold pressure.
    pub back_pressure_ratio: f64,
    /// Share of the exhaust that passes the gate.
    pub gate_share: f64,
    /// Gate area in use, m², each turbocharger.
    pub gate_area_m2: f64,
    /// Gate area in use over the largest.
    pub gate_opening: f64,
    /// Charge cooler effectiveness.
    pub cooler_effectiveness: f64,
    /// Pressure lost in filter and inlet, Pa.
    pub filter_loss_pa: f64,
    /// Pressure lost from compressor to manifold, Pa.
    pub cooler_loss_pa: f64,
    /// Pressure lost after the turbine, Pa.
    pub exhaust_loss_pa: f64,
    /// Volumetric efficiency with back pressure and temperature taken into account.
    pub volumetric_efficiency: f64,
    /// Dry air, kg/s.
    pub dry_air_kg_s: f64,
    /// Fuel, kg/s.
    pub fuel_kg_s: f64,
    /// Torque at the crank, N m.
    pub torque_nm: f64,
    /// Power at the crank, W.
    pub power_w: f64,
    /// Power at the wheels, W.
    pub wheel_power_w: f64,
    /// Brake mean effective pressure, Pa.
    pub bmep_pa: f64,
    /// Gross indicated mean effective pressure, Pa.
    pub gross_imep_pa: f64,
    /// Pumping mean effective pressure (a loss above 0), Pa.
    pub pmep_pa: f64,
    /// Friction mean effective pressure, Pa.
    pub fmep_pa: f64,
    /// Brake specific fuel consumption, kg/J; `None` where the engine makes no power.
    pub bsfc_kg_j: Option<f64>,
    /// Peak cylinder pressure, Pa.
    pub peak_pressure_pa: f64,
    /// Static flow each injector must have at its rated pressure for the duty allowed, m³/s.
    pub injector_needed_m3_s: f64,
    /// Share of the time the injectors that were entered stand open; `None` if none were.
    pub injector_duty: Option<f64>,
    /// The energy account.
    pub energy: EnergyAccount,
}

/// A limit that may stop or warn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// Compressor surge.
    Surge,
    /// Compressor choke.
    Choke,
    /// Largest shaft speed.
    ShaftSpeed,
    /// Gate too small: boost creeps.
    Gate,
    /// Turbine inlet temperature.
    TurbineInlet,
    /// Compressor outlet temperature.
    CompressorOutlet,
    /// Pressure before the turbine over manifold pressure.
    BackPressure,
    /// Injector duty.
    Injectors,
    /// Peak cylinder pressure.
    PeakPressure,
    /// Range of the manifold pressure sensor.
    Sensor,
}

impl LimitKind {
    /// What the page calls it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            LimitKind::Surge => "Surge",
            LimitKind::Choke => "Choke",
            LimitKind::ShaftSpeed => "Shaft speed",
            LimitKind::Gate => "Gate opening",
            LimitKind::TurbineInlet => "Turbine inlet heat",
            LimitKind::CompressorOutlet => "Compressor heat",
            LimitKind::BackPressure => "Back pressure",
            LimitKind::Injectors => "Injectors",
            LimitKind::PeakPressure => "Peak cylinder pressure",
            LimitKind::Sensor => "Pressure sensor",
        }
    }

    /// Key of the step that works out its room (see [`crate::working`]).
    #[must_use]
    pub const fn working(self) -> &'static str {
        match self {
            LimitKind::Surge => "room_surge",
            LimitKind::Choke => "room_choke",
            LimitKind::ShaftSpeed => "room_shaft_speed",
            LimitKind::Gate => "room_gate",
            LimitKind::TurbineInlet => "room_turbine_inlet",
            LimitKind::CompressorOutlet => "room_compressor_outlet",
            LimitKind::BackPressure => "room_back_pressure",
            LimitKind::Injectors => "room_injectors",
            LimitKind::PeakPressure => "room_peak_pressure",
            LimitKind::Sensor => "room_sensor",
        }
    }

    /// Whether it holds boost down; the others warn.
    #[must_use]
    pub const fn caps(self) -> bool {
        matches!(
            self,
            LimitKind::Surge | LimitKind::Choke | LimitKind::ShaftSpeed | LimitKind::Gate
        )
    }
}

/// How much room is left before a limit, at the engine speed where it is least.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LimitReport {
    /// Which limit.
    pub kind: LimitKind,
    /// Room left as a share of the limit (of the flow, for surge; of the largest area, for the
    /// gate); below 0 past it. Temperatures count from 0 °C.
    pub room: f64,
    /// Engine speed where the room is least, rev/min.
    pub at_rev_min: f64,
    /// The value there, in the limit's SI unit.
    pub value: f64,
    /// The limit, in the same.
    pub limit: f64,
    /// Engine speeds between which it holds boost below what was asked (or, for the gate, above),
    /// rev/min.
    pub holds_boost: Option<(f64, f64)>,
}

/// Boost jumps as engine speed rises: the shaft's balance folds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fold {
    /// Engine speed, rev/min.
    pub at_rev_min: f64,
    /// Boost just below, Pa gauge.
    pub from_boost_pa: f64,
    /// Boost just above, Pa gauge.
    pub to_boost_pa: f64,
}

/// A speed at which no answer was found.
#[derive(Debug, Clone, PartialEq, Serialize, thiserror::Error)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[error(
    "No answer at {engine_speed_rev_min:.0} rev/min: {equation} did not settle (residual {residual:.3e}). Everything else stands. Please export this build and report it."
)]
pub struct Unsolved {
    /// Engine speed, rev/min.
    pub engine_speed_rev_min: f64,
    /// Which equation.
    pub equation: &'static str,
    /// What was left of it, relative.
    pub residual: f64,
}

/// A dyno's correction factor, shown beside the physics and never mixed into it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DynoCorrection {
    /// Which standard and form.
    pub standard: &'static str,
    /// Factor on measured power.
    pub factor: f64,
    /// Within the standard's own bounds.
    pub in_bounds: bool,
}

/// Power by the fuel consumption that a dyno measured, beside what was worked out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DynoPower {
    /// Power at the crank, W, from the fuel flow worked out and the consumption entered.
    pub power_w: f64,
    /// That over the power worked out, less 1.
    pub disagreement: f64,
}

/// How much work the solver had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Effort {
    /// Compressor map readings.
    pub map_readings: u64,
    /// Gas states worked out (a temperature from an enthalpy, or an isentropic change).
    pub gas_states: u64,
    /// Turbocharger states worked out.
    pub states: u64,
    /// Engine speeds solved.
    pub speeds: u64,
    /// States after which the speed at hand is given up.
    #[serde(skip)]
    pub(crate) give_up_at: u64,
}

/// Version of the answer that [`AnswerFile`] writes.
pub const ANSWER_VERSION: u32 = 1;

/// The answer as it is written for scripts: a match, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct AnswerFile {
    /// Always 1.
    pub airpath_answer: u32,
    /// The build's name.
    pub build: String,
    /// Why there is no match, in sentences.
    pub refused: Option<String>,
    /// The match.
    pub r#match: Option<Match>,
}

/// The whole match.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Match {
    /// Every engine speed from idle to redline, rising.
    pub speeds: Vec<SpeedReport>,
    /// Lowest engine speed at which the turbine can drive 90 % of the boost asked, on the map
    /// continued left of surge, rev/min.
    pub drive_threshold_rev_min: Option<f64>,
    /// Lowest engine speed with 90 % of the boost asked within all limits that cap, rev/min.
    pub usable_threshold_rev_min: Option<f64>,
    /// Boost solved for a power that was asked, Pa gauge.
    pub boost_for_power_pa: Option<f64>,
    /// Why a power that was asked cannot be had; the match is then the most there is.
    pub power_out_of_reach: Option<String>,
    /// Index into `speeds` of the most power.
    pub most_power: usize,
    /// Index into `speeds` of the most torque.
    pub most_torque: usize,
    /// Every limit that applies, least room first.
    pub limits: Vec<LimitReport>,
    /// Jumps of boost over engine speed.
    pub folds: Vec<Fold>,
    /// Speeds without an answer.
    pub unsolved: Vec<Unsolved>,
    /// The map was estimated from wheel sizes.
    pub estimated_map: bool,
    /// Correction factors of the dyno standards for this air.
    pub dyno_corrections: Vec<DynoCorrection>,
    /// Power by an entered fuel consumption.
    pub dyno_power: Option<DynoPower>,
    /// How much work it was.
    pub effort: Effort,
}
