//! Every step of one engine speed, in the order the air meets them.

use super::{Measure, Origin, Step};
use crate::air_way::engine::breathing;
use crate::air_way::engine::combustion;
use crate::air_way::engine::friction;
use crate::air_way::{
    ambient, charge_cooler, compressor, exhaust, exhaust_manifold, intake, turbine, wastegate,
};
use crate::balance::Plant;
use crate::build::{Arrangement, Build, CurveField, FuelKind, RailReference};
use crate::fields::{Field, Part};
use crate::formula;
use crate::formula::Formula;
use crate::gas::{
    self, H2O, HumidAir, SPECIES, UNIVERSAL_GAS_CONSTANT, dry_air_molar_mass, saturation_pressure,
};
use crate::quantity::{AbsolutePressure, Kind, Temperature};
use crate::run::{
    self, Effort, Held, LimitKind, Match, SolveError, SpeedReport, THRESHOLD_SHARE, limits, speed,
};

formula! {
    /// Two put together.
    pub fn sum(a, b) = a + b;
    source "definition";
    /// One less another.
    pub fn difference(a, b) = a - b;
    source "definition";
    /// One times another.
    pub fn product(a, b) = a * b;
    source "definition";
    /// One over another.
    pub fn quotient(a, b) = a / b;
    source "definition";
}

/// Where the properties of gases come from.
const PROPERTIES: &str =
    "NASA polynomials of each species (McBride, Gordon & Reno 1993), mixed by mole fraction";

const RATIO: Measure = Measure::Kind(Kind::Ratio);
const FRACTION: Measure = Measure::Kind(Kind::Fraction);
const COUNT: Measure = Measure::Kind(Kind::Count);
const PRESSURE: Measure = Measure::Kind(Kind::AbsolutePressure);
const GAUGE: Measure = Measure::Kind(Kind::GaugePressure);
const LOSS: Measure = Measure::Kind(Kind::PressureDifference);
const TEMPERATURE: Measure = Measure::Kind(Kind::Temperature);
const KELVINS: Measure = Measure::Kind(Kind::TemperatureDifference);
const FLOW: Measure = Measure::Kind(Kind::MassFlow);
const POWER: Measure = Measure::Kind(Kind::Power);
const ENERGY: Measure = Measure::In("J/kg");
const GAS_CONSTANT: Measure = Measure::In("J/(kg K)");
const TURNS: Measure = Measure::In("rev/min");
const LENGTH: Measure = Measure::Kind(Kind::Length);
const DENSITY: Measure = Measure::Kind(Kind::Density);
const SPEED: Measure = Measure::Kind(Kind::Speed);
const AREA: Measure = Measure::Kind(Kind::Area);

/// Collects steps.
struct Writer<'a> {
    build: &'a Build,
    part: Part,
    steps: Vec<Step>,
}

/// Key, name, symbol.
type Label = (&'static str, &'static str, &'static str);

impl Writer<'_> {
    #[inline(never)]
    fn push(&mut self, label: Label, measure: Measure, value: f64, origin: Origin) {
        self.steps.push(Step {
            key: label.0,
            name: label.1,
            symbol: label.2,
            measure,
            value,
            origin,
            together: false,
            part: self.part,
        });
    }

    /// The last step is an unknown found together with others.
    fn together(&mut self) {
        if let Some(step) = self.steps.last_mut() {
            step.together = true;
        }
    }

    /// A field's value, under the field's own key.
    #[inline(never)]
    fn field(&mut self, field: Field, symbol: &'static str) {
        let spec = field.spec();
        let value = self.build.get(field);
        self.field_as(
            field,
            (spec.id, spec.label, symbol),
            Measure::Kind(spec.kind),
            value,
        );
    }

    /// A field's value, written otherwise than the field is.
    #[inline(never)]
    fn field_as(&mut self, field: Field, label: Label, measure: Measure, value: f64) {
        let origin = if self.build.entry(field).is_some() {
            Origin::Entered(field)
        } else {
            Origin::Assumed(field)
        };
        let part = std::mem::replace(&mut self.part, field.spec().part);
        self.push(label, measure, value, origin);
        self.part = part;
    }

    #[inline(never)]
    fn formula(
        &mut self,
        label: Label,
        measure: Measure,
        value: f64,
        formula: &'static Formula,
        inputs: &[&'static str],
    ) {
        self.bounded(label, measure, value, formula, inputs, None);
    }

    /// A formula whose value is held at a bound where `bound` says so.
    #[inline(never)]
    fn bounded(
        &mut self,
        label: Label,
        measure: Measure,
        value: f64,
        formula: &'static Formula,
        inputs: &[&'static str],
        bound: Option<&'static str>,
    ) {
        self.push(
            label,
            measure,
            value,
            Origin::Formula {
                formula,
                inputs: inputs.to_vec(),
                bound,
            },
        );
    }

    #[inline(never)]
    fn read(
        &mut self,
        label: Label,
        measure: Measure,
        value: f64,
        off: impl Into<String>,
        source: impl Into<String>,
        inputs: &[&'static str],
    ) {
        self.push(
            label,
            measure,
            value,
            Origin::Read {
                off: off.into(),
                source: source.into(),
                inputs: inputs.to_vec(),
            },
        );
    }

    fn given(&mut self, label: Label, measure: Measure, value: f64, by: impl Into<String>) {
        self.push(label, measure, value, Origin::Given(by.into()));
    }
}

/// `Some(what)` where a value was held and is not what its formula gives.
fn held(formula: f64, value: f64, what: &'static str) -> Option<&'static str> {
    ((formula - value).abs() > 1e-12 * formula.abs().max(value.abs())).then_some(what)
}

/// What every chapter of a working reads from.
struct Speed<'a> {
    build: &'a Build,
    found: &'a Match,
    at: &'a SpeedReport,
    plant: Plant,
    engine: crate::balance::Engine,
    expansion: turbine::Expansion,
    /// Engine speed, rev/min.
    n: f64,
}

pub(super) fn steps(
    build: &Build,
    found: &Match,
    at: &SpeedReport,
) -> Result<Vec<Step>, SolveError> {
    let plant = Plant::new(build)?;
    let n = at.engine_speed_rev_min;
    let pm = AbsolutePressure::new(at.manifold.pressure_pa);
    let p3 = AbsolutePressure::new(at.turbine_inlet.pressure_pa);
    let point = plant.at_speed(build, n);
    let engine = plant.engine(
        &plant.at_pressure(&point, pm),
        p3,
        Temperature::new(at.manifold.temperature_k),
        &mut Effort::default(),
    );
    let expansion = plant.turbine.expand(
        plant.gas(),
        p3,
        Temperature::new(at.turbine_inlet.temperature_k),
        AbsolutePressure::new(at.turbine_outlet.pressure_pa),
        at.shaft_speed_rev_min,
    );
    let speed = Speed {
        build,
        found,
        at,
        plant,
        engine,
        expansion,
        n,
    };
    let mut w = Writer {
        build,
        part: Part::Goal,
        steps: Vec::with_capacity(180),
    };
    goal(&mut w, &speed);
    outside(&mut w, &speed);
    filter(&mut w, &speed);
    compressor_steps(&mut w, &speed);
    cooler(&mut w, &speed);
    fuel(&mut w, &speed);
    breathing_steps(&mut w, &speed);
    combustion_steps(&mut w, &speed);
    crank(&mut w, &speed);
    exhaust_side(&mut w, &speed);
    gate(&mut w, &speed);
    injectors(&mut w, &speed);
    rooms(&mut w, &speed);
    account(&mut w, &speed);
    Ok(w.steps)
}

/// Surge holds boost down to the ratio from which it counts, and not to the surge line itself.
fn at_least_ratio(s: &Speed) -> bool {
    let line = s.plant.reading(&s.engine).surge_flow;
    let off_line = (s.at.corrected_flow_kg_s / line - 1.0).abs();
    (s.at.pressure_ratio / s.plant.surge_from_ratio - 1.0).abs() < off_line
}

fn goal(w: &mut Writer, s: &Speed) {
    w.part = Part::Goal;
    w.given(
        ("engine_speed", "Engine speed", "n"),
        TURNS,
        s.n,
        "the engine speed marked on every plot",
    );
    w.given(
        ("count", "Turbochargers", "z"),
        COUNT,
        s.plant.count,
        match s.build.arrangement() {
            Arrangement::Single => "one was chosen",
            Arrangement::Pair => "a pair was chosen, each with half of the flow",
        },
    );
    let target = ("boost_goal", "Boost asked", "p_goal");
    if let Some(boost) = s.found.boost_for_power_pa {
        w.field(Field::PowerTarget, "P_goal");
        w.read(
            target,
            GAUGE,
            boost,
            "a search over boost, until the most power is what was asked",
            "bracketed root of the whole match",
            &["power_target"],
        );
    } else if let Some(curve) = s.build.boost_curve() {
        w.read(
            target,
            GAUGE,
            curve.curve.at(s.n * std::f64::consts::TAU / 60.0),
            "the boost curve that was entered",
            CurveField::BoostCurve.spec().source,
            &["engine_speed"],
        );
    } else {
        let value = s.build.get(Field::BoostTarget);
        w.field_as(Field::BoostTarget, target, GAUGE, value);
    }
    w.field(Field::GateSpring, "p_spring");
    w.formula(
        (
            "boost_asked",
            "Boost asked, no less than the spring",
            "p_ask",
        ),
        GAUGE,
        s.at.boost_asked_pa,
        &run::boost_asked::FORMULA,
        &["boost_goal", "gate_spring"],
    );
    let boost = ("boost", "Boost", "p_b");
    let (left, right, why) = match s.at.held {
        Held::Gate => (
            "boost",
            "boost_asked",
            "The wastegate opens as far as holds the boost asked.",
        ),
        Held::Drive => (
            "turbine_power",
            "shaft_demand",
            "The gate is shut. Boost rises until the compressor takes all that the turbine gives; of several such places the shaft settles at the lowest.",
        ),
        Held::Creep => (
            "gate_area",
            "gate_largest",
            "The gate is wide open, and the turbine still gets more gas than the boost asked needs.",
        ),
        Held::Surge if at_least_ratio(s) => (
            "pressure_ratio",
            "surge_from_ratio",
            "The compressor would surge at any pressure ratio above this one, from which surge counts.",
        ),
        Held::Surge => (
            "corrected_flow",
            "surge_flow",
            "Boost is held down to where the compressor would surge.",
        ),
        Held::Choke => (
            "turbine_power",
            "shaft_demand",
            "The compressor is past choke: every gram more costs so much work that turbine or shaft give out.",
        ),
        Held::ShaftSpeed => (
            "shaft_speed",
            "shaft_speed_limit",
            "Boost is held down to the largest shaft speed.",
        ),
    };
    w.push(
        boost,
        GAUGE,
        s.at.boost_pa,
        Origin::Meeting { left, right, why },
    );
    w.together();
    w.formula(
        ("manifold_pressure", "Pressure in the manifold", "p_m"),
        PRESSURE,
        s.at.manifold.pressure_pa,
        &sum::FORMULA,
        &["outside_pressure", "boost"],
    );
    w.given(
        (
            "threshold_share",
            "Share of the boost asked that counts as there",
            "x",
        ),
        FRACTION,
        THRESHOLD_SHARE,
        "common practice, no source",
    );
    let thresholds = [
        (
            ("drive_threshold", "Boost from, by the turbine", "n_drive"),
            s.found.drive_threshold_rev_min,
            "the lowest engine speed at which the turbine can drive that share of the boost asked, on the map continued left of surge",
        ),
        (
            ("usable_threshold", "Boost from", "n_boost"),
            s.found.usable_threshold_rev_min,
            "the lowest engine speed with that share of the boost asked, within everything that holds boost down",
        ),
    ];
    for (label, value, off) in thresholds {
        if let Some(value) = value {
            w.read(
                label,
                TURNS,
                value,
                off,
                "the balance of the shaft, solved from idle upwards",
                &["threshold_share", "boost_asked"],
            );
        }
    }
}

fn outside(w: &mut Writer, s: &Speed) {
    w.part = Part::Outside;
    let outside = &s.plant.outside;
    let pressure = ("outside_pressure", "Air pressure outside", "p_0");
    if s.build.optional(Field::Barometer).is_some() {
        w.field_as(Field::Barometer, pressure, PRESSURE, outside.pressure.pa());
    } else {
        w.field(Field::Altitude, "H");
        w.formula(
            pressure,
            PRESSURE,
            outside.pressure.pa(),
            &ambient::standard_pressure::FORMULA,
            &["altitude"],
        );
    }
    w.field(Field::AirTemperature, "T_0");
    w.field(Field::RelativeHumidity, "φ");
    let t = outside.temperature;
    w.formula(
        ("saturation_pressure", "Saturation pressure of water", "p_s"),
        PRESSURE,
        saturation_pressure(t).pa(),
        if t.kelvin() < 273.15 {
            &gas::saturation_over_ice::FORMULA
        } else {
            &gas::saturation_over_water::FORMULA
        },
        &["air_temperature"],
    );
    let vapour = outside.pressure.pa() - outside.dry_pressure().pa();
    w.bounded(
        ("vapour_outside", "Water vapour in the air outside", "p_v"),
        PRESSURE,
        vapour,
        &gas::vapour_pressure::FORMULA,
        &["relative_humidity", "saturation_pressure"],
        held(
            outside.relative_humidity * saturation_pressure(t).pa(),
            vapour,
            "at most half of the air pressure",
        ),
    );
    w.push(
        ("molar_ratio", "Water over dry air, by molar mass", "M_w/a"),
        RATIO,
        SPECIES[H2O].molar_mass / dry_air_molar_mass(),
        Origin::Constant("IUPAC atomic weights; dry air of the US Standard Atmosphere 1976"),
    );
    w.formula(
        ("humidity_ratio", "Water with each kilogram of dry air", "w"),
        RATIO,
        outside.air.humidity_ratio,
        &gas::humidity_ratio::FORMULA,
        &["molar_ratio", "vapour_outside", "outside_pressure"],
    );
    w.read(
        ("air_gas_constant", "Gas constant of the air", "R_a"),
        GAS_CONSTANT,
        outside.air.mixture.gas_constant(),
        "the mixture of dry air and water vapour",
        "molar gas constant over mean molar mass",
        &["humidity_ratio"],
    );
    w.formula(
        ("outside_density", "Density of the air outside", "ρ_0"),
        DENSITY,
        intake::density(
            outside.pressure.pa(),
            outside.air.mixture.gas_constant(),
            t.kelvin(),
        ),
        &intake::density::FORMULA,
        &["outside_pressure", "air_gas_constant", "air_temperature"],
    );
    w.formula(
        ("dry_pressure", "Pressure of the dry air outside", "p_d"),
        PRESSURE,
        outside.dry_pressure().pa(),
        &difference::FORMULA,
        &["outside_pressure", "vapour_outside"],
    );
    if s.build.fuel() == FuelKind::Petrol {
        let dry = outside.dry_pressure();
        w.formula(
            (
                "sae_j1349",
                "Dyno factor, SAE J1349, without boost control",
                "c_SAE",
            ),
            RATIO,
            ambient::sae_j1349(dry, t),
            &ambient::sae_j1349_factor::FORMULA,
            &["dry_pressure", "air_temperature"],
        );
        w.formula(
            ("iso_1585", "Dyno factor, ISO 1585, spark ignition", "c_ISO"),
            RATIO,
            ambient::iso_1585_spark(dry, t),
            &ambient::iso_1585_spark_factor::FORMULA,
            &["dry_pressure", "air_temperature"],
        );
    }
}

fn filter(w: &mut Writer, s: &Speed) {
    w.part = Part::Filter;
    w.field(Field::RatedFlow, "ṁ_litre");
    w.field(Field::Displacement, "V");
    w.formula(
        ("rated_flow_all", "Flow at which losses are quoted", "ṁ_r"),
        FLOW,
        s.plant.intake.rated_flow,
        &product::FORMULA,
        &["rated_flow", "displacement"],
    );
    w.field(Field::FilterLoss, "Δp_r0");
    w.field(Field::FilterReferenceDensity, "ρ_r");
    let p0 = s.plant.outside.pressure.pa();
    let free = intake::filter_loss(
        s.plant.intake.rated_loss.pa(),
        s.at.outside.flow_kg_s,
        s.plant.intake.rated_flow,
        s.plant.intake.reference_density,
        intake::density(
            p0,
            s.plant.outside.air.mixture.gas_constant(),
            s.plant.outside.temperature.kelvin(),
        ),
    );
    w.bounded(
        ("lost_in_filter", "Lost in filter and inlet", "Δp_0"),
        LOSS,
        s.at.filter_loss_pa,
        &intake::filter_loss::FORMULA,
        &[
            "filter_loss",
            "air_flow",
            "rated_flow_all",
            "filter_reference_density",
            "outside_density",
        ],
        (free > 0.9 * p0).then_some("at most nine tenths of the air pressure"),
    );
    w.formula(
        ("inlet_pressure", "Pressure at the compressor", "p_1"),
        PRESSURE,
        s.at.compressor_inlet.pressure_pa,
        &difference::FORMULA,
        &["outside_pressure", "lost_in_filter"],
    );
    w.field(Field::InletAirRise, "ΔT_0");
    w.formula(
        ("inlet_temperature", "Temperature at the compressor", "T_1"),
        TEMPERATURE,
        s.at.compressor_inlet.temperature_k,
        &sum::FORMULA,
        &["air_temperature", "inlet_air_rise"],
    );
}

fn compressor_steps(w: &mut Writer, s: &Speed) {
    w.part = Part::Compressor;
    let air = &s.plant.outside.air.mixture;
    let record = s.build.turbocharger();
    let reference = s.plant.map.reference();
    let reading = s.plant.reading(&s.engine);
    let map_source = if s.plant.map.estimated() {
        format!("{}’s map, estimated from wheel sizes", record.name)
    } else {
        format!("{}’s map", record.name)
    };
    let stated = format!("stated with {}’s map", record.name);
    w.formula(
        ("flow_each", "Air through one compressor", "ṁ_c"),
        FLOW,
        quotient(s.engine.air, s.plant.count),
        &quotient::FORMULA,
        &["air_flow", "count"],
    );
    w.given(
        ("map_temperature", "The map’s own temperature", "T_ref"),
        TEMPERATURE,
        reference.temperature_k,
        stated.clone(),
    );
    w.given(
        ("map_pressure", "The map’s own pressure", "p_ref"),
        PRESSURE,
        reference.pressure_pa,
        stated,
    );
    w.formula(
        ("corrected_flow", "Corrected flow", "W"),
        FLOW,
        s.at.corrected_flow_kg_s,
        &compressor::corrected_flow::FORMULA,
        &[
            "flow_each",
            "inlet_temperature",
            "map_temperature",
            "inlet_pressure",
            "map_pressure",
        ],
    );
    w.formula(
        ("outlet_pressure", "Pressure after the compressor", "p_2"),
        PRESSURE,
        s.at.compressor_outlet.pressure_pa,
        &sum::FORMULA,
        &["manifold_pressure", "lost_in_cooler"],
    );
    w.formula(
        ("pressure_ratio", "Pressure ratio", "Π"),
        RATIO,
        s.at.pressure_ratio,
        &quotient::FORMULA,
        &["outlet_pressure", "inlet_pressure"],
    );
    let at = ["corrected_flow", "pressure_ratio"];
    w.read(
        ("corrected_speed", "Corrected shaft speed", "N_c"),
        TURNS,
        s.at.corrected_speed_rev_min,
        "the compressor map: the speed line through this point",
        map_source.clone(),
        &at,
    );
    w.formula(
        ("shaft_speed", "Shaft speed", "N"),
        TURNS,
        s.at.shaft_speed_rev_min,
        &compressor::shaft_speed::FORMULA,
        &["corrected_speed", "inlet_temperature", "map_temperature"],
    );
    w.read(
        (
            "reference_work",
            "Work on each kilogram, at the map’s state",
            "Δh_ref",
        ),
        ENERGY,
        reading.work,
        "the compressor map: work input at this point",
        map_source.clone(),
        &at,
    );
    w.formula(
        ("compressor_work", "Work on each kilogram of air", "Δh_c"),
        ENERGY,
        s.engine.compressor_work,
        &compressor::compressor_work::FORMULA,
        &["reference_work", "inlet_temperature", "map_temperature"],
    );
    let enthalpy = "the enthalpy of humid air, above 25 °C";
    w.read(
        ("inlet_enthalpy", "Enthalpy before the compressor", "h_1"),
        ENERGY,
        air.enthalpy(s.at.compressor_inlet.temperature_k),
        enthalpy,
        PROPERTIES,
        &["inlet_temperature", "humidity_ratio"],
    );
    w.formula(
        ("outlet_enthalpy", "Enthalpy after the compressor", "h_2"),
        ENERGY,
        sum(
            air.enthalpy(s.at.compressor_inlet.temperature_k),
            s.engine.compressor_work,
        ),
        &sum::FORMULA,
        &["inlet_enthalpy", "compressor_work"],
    );
    w.read(
        (
            "outlet_temperature",
            "Temperature after the compressor",
            "T_2",
        ),
        TEMPERATURE,
        s.at.compressor_outlet.temperature_k,
        "the temperature at which humid air has this enthalpy",
        PROPERTIES,
        &["outlet_enthalpy", "humidity_ratio"],
    );
    if let Some(efficiency) = s.at.compressor_efficiency {
        w.read(
            ("ideal_work", "Least work for this pressure ratio", "Δh_s"),
            ENERGY,
            air.isentropic_work(s.at.compressor_inlet.temperature_k, s.at.pressure_ratio),
            "an isentropic compression of humid air",
            PROPERTIES,
            &["inlet_temperature", "pressure_ratio", "humidity_ratio"],
        );
        w.formula(
            ("compressor_efficiency", "Compressor efficiency", "η_c"),
            FRACTION,
            efficiency,
            &quotient::FORMULA,
            &["ideal_work", "compressor_work"],
        );
    }
    let shaft_work = if s.engine.compressor_heat > 0.0 {
        w.read(
            (
                "reference_heat",
                "Of it heat from the turbine, at the map’s state",
                "q_ref",
            ),
            ENERGY,
            reading.heat,
            "the compressor map: work of its slow lines beyond what the fast ones let expect",
            map_source.clone(),
            &["corrected_speed", "corrected_flow", "reference_work"],
        );
        w.formula(
            ("compressor_heat", "Heat from the turbine in the air", "q_c"),
            ENERGY,
            s.engine.compressor_heat,
            &compressor::compressor_work::FORMULA,
            &["reference_heat", "inlet_temperature", "map_temperature"],
        );
        w.formula(
            (
                "shaft_work",
                "Work that the shaft does on the air",
                "Δh_shaft",
            ),
            ENERGY,
            difference(s.engine.compressor_work, s.engine.compressor_heat),
            &difference::FORMULA,
            &["compressor_work", "compressor_heat"],
        );
        "shaft_work"
    } else {
        "compressor_work"
    };
    w.formula(
        ("compressor_power", "Power that one compressor takes", "P_c"),
        POWER,
        s.at.compressor_power_w,
        &product::FORMULA,
        &["flow_each", shaft_work],
    );
    w.read(
        ("surge_flow", "Flow at which it would surge", "W_s"),
        FLOW,
        reading.surge_flow,
        "the map’s surge line at this pressure ratio",
        map_source.clone(),
        &["pressure_ratio"],
    );
    w.field(Field::SurgeFromRatio, "Π_surge");
    w.formula(
        ("room_surge", "Room before surge", "r_surge"),
        FRACTION,
        s.at.surge_room,
        &limits::surge_room::FORMULA,
        &["surge_flow", "corrected_flow"],
    );
    if reading.choke_flow > 0.0 {
        w.read(
            ("choke_flow", "Flow at which this speed line chokes", "W_k"),
            FLOW,
            reading.choke_flow,
            "the map: where one per cent more flow costs several per cent of head",
            map_source,
            &["corrected_speed"],
        );
        w.formula(
            ("room_choke", "Room before choke", "r_choke"),
            FRACTION,
            s.at.choke_room,
            &limits::room::FORMULA,
            &["corrected_flow", "choke_flow"],
        );
    }
}

fn cooler(w: &mut Writer, s: &Speed) {
    w.part = Part::Cooler;
    w.field(Field::CoolerLoss, "Δp_r2");
    w.formula(
        ("lost_in_cooler", "Lost in cooler and pipes", "Δp_2"),
        LOSS,
        s.at.cooler_loss_pa,
        &charge_cooler::cooler_loss::FORMULA,
        &[
            "cooler_loss",
            "air_flow",
            "rated_flow_all",
            "manifold_pressure",
        ],
    );
    w.field(Field::CoolerEffectiveness, "ε_r");
    w.field(Field::CoolerCapacityRatio, "C_r");
    w.field(Field::CoolerFlowExponent, "e_k");
    w.read(
        ("effectiveness", "Effectiveness at this flow", "ε"),
        FRACTION,
        s.at.cooler_effectiveness,
        "a crossflow exchanger, both streams unmixed, whose transfer units follow from the effectiveness at the rated flow",
        "Mason 1955; Shah & Sekulić, Fundamentals of Heat Exchanger Design, table 3.3",
        &[
            "cooler_effectiveness",
            "cooler_capacity_ratio",
            "cooler_flow_exponent",
            "air_flow",
            "rated_flow_all",
        ],
    );
    w.field(Field::CoolingRise, "ΔT_k");
    let coolant = s.plant.outside.temperature.kelvin() + s.build.get(Field::CoolingRise);
    w.formula(
        (
            "coolant_temperature",
            "Air (or water) that meets the cooler",
            "T_k",
        ),
        TEMPERATURE,
        coolant,
        &sum::FORMULA,
        &["air_temperature", "cooling_rise"],
    );
    w.formula(
        ("manifold_temperature", "Temperature in the manifold", "T_m"),
        TEMPERATURE,
        s.at.manifold.temperature_k,
        &charge_cooler::cooled::FORMULA,
        &["outlet_temperature", "effectiveness", "coolant_temperature"],
    );
    w.together();
}

fn fuel(w: &mut Writer, s: &Speed) {
    w.part = Part::Fuel;
    let diesel = s.build.fuel() == FuelKind::Diesel;
    let (off, inputs): (&str, &[&'static str]) = if diesel {
        ("the properties of diesel", &[])
    } else {
        w.field(Field::EthanolShare, "x_E");
        (
            "the blend of petrol and ethanol, by mass",
            &["ethanol_share"],
        )
    };
    let source = "Heywood 1988, table D.4";
    let fuel = &s.plant.fuel;
    if s.build.optional(Field::HeatingValue).is_some() {
        w.field(Field::HeatingValue, "H_u");
    } else {
        w.read(
            ("heating_value", "Heat in the fuel", "H_u"),
            Measure::Kind(Kind::SpecificEnergy),
            fuel.heating_value,
            off,
            source,
            inputs,
        );
    }
    if s.build.optional(Field::StoichiometricRatio).is_some() {
        w.field(Field::StoichiometricRatio, "L_st");
    } else {
        w.read(
            (
                "stoichiometric_ratio",
                "Air to burn one kilogram of fuel",
                "L_st",
            ),
            RATIO,
            fuel.stoichiometric_ratio,
            off,
            "atom balance; IUPAC atomic weights",
            inputs,
        );
    }
    w.read(
        ("fuel_density", "Density of the fuel", "ρ_f"),
        DENSITY,
        fuel.density,
        off,
        source,
        inputs,
    );
    w.read(
        ("vaporisation_heat", "Heat to evaporate the fuel", "Δh_v"),
        ENERGY,
        fuel.vaporisation_heat,
        off,
        source,
        inputs,
    );
    w.read(
        (
            "vapour_gas_constant",
            "Gas constant of the fuel’s vapour",
            "R_f",
        ),
        GAS_CONSTANT,
        UNIVERSAL_GAS_CONSTANT / fuel.vapour_molar_mass,
        off,
        source,
        inputs,
    );
    w.field(Field::Lambda, "λ");
    w.formula(
        ("fuel_flow", "Fuel", "ṁ_f"),
        FLOW,
        s.at.fuel_kg_s,
        &combustion::fuel_flow::FORMULA,
        &["dry_air", "lambda", "stoichiometric_ratio"],
    );
    w.formula(
        ("exhaust_flow", "Exhaust gas", "ṁ_g"),
        FLOW,
        s.at.turbine_inlet.flow_kg_s,
        &sum::FORMULA,
        &["air_flow", "fuel_flow"],
    );
}

fn breathing_steps(w: &mut Writer, s: &Speed) {
    w.part = Part::Engine;
    let b = &s.plant.breathing;
    let (pm, tm) = (s.at.manifold.pressure_pa, s.at.manifold.temperature_k);
    let p3 = s.at.turbine_inlet.pressure_pa;
    let curve = s.plant.at_speed(s.build, s.n).efficiency;
    w.read(
        ("breathing_curve", "Breathing, off the curve", "η_0"),
        FRACTION,
        curve,
        "the breathing curve",
        CurveField::Breathing.spec().source,
        &["engine_speed"],
    );
    if s.build.optional(Field::OverlapSlope).is_some() {
        w.field(Field::OverlapSlope, "s");
    } else {
        w.field(Field::ResidualGamma, "γ_r");
        w.field(Field::CompressionRatio, "r");
        w.formula(
            ("overlap_slope", "Breathing lost to back pressure", "s"),
            RATIO,
            b.overlap_slope,
            &breathing::slope_without_overlap::FORMULA,
            &["residual_gamma", "compression_ratio"],
        );
    }
    let free = breathing::residual_factor(b.overlap_slope, p3, pm);
    let residual = free.max(0.05);
    w.bounded(
        ("residual_factor", "What back pressure leaves of it", "f_p"),
        RATIO,
        residual,
        &breathing::residual_factor::FORMULA,
        &["overlap_slope", "before_turbine", "manifold_pressure"],
        held(
            free,
            residual,
            "at least 0.05: beyond, exhaust fills the cylinder",
        ),
    );
    w.field(Field::BreathingReferenceTemperature, "T_η");
    w.field(Field::BreathingTemperatureExponent, "e_T");
    let heat = if b.temperature_exponent > 0.0 {
        breathing::heat_factor(tm, b.reference_temperature.kelvin(), b.temperature_exponent)
    } else {
        1.0
    };
    w.formula(
        ("heat_factor", "What a hot charge gains", "f_T"),
        RATIO,
        heat,
        &breathing::heat_factor::FORMULA,
        &[
            "manifold_temperature",
            "breathing_reference_temperature",
            "breathing_temperature_exponent",
        ],
    );
    w.formula(
        ("volumetric_efficiency", "Volumetric efficiency", "η_v"),
        FRACTION,
        s.at.volumetric_efficiency,
        &breathing::volumetric_efficiency::FORMULA,
        &["breathing_curve", "residual_factor", "heat_factor"],
    );
    w.field(Field::EvaporatedShare, "x_v");
    w.formula(
        (
            "vapour_ratio",
            "Fuel vapour with each kilogram of dry air",
            "y_f",
        ),
        RATIO,
        b.vapour_ratio,
        &breathing::vapour_ratio::FORMULA,
        &["evaporated_share", "lambda", "stoichiometric_ratio"],
    );
    w.formula(
        ("evaporation_heat", "Heat that it takes from the air", "q_v"),
        ENERGY,
        b.evaporation_heat,
        &product::FORMULA,
        &["vapour_ratio", "vaporisation_heat"],
    );
    let air = &s.plant.outside.air.mixture;
    let cp = air.heat_capacity(tm);
    w.read(
        ("charge_heat_capacity", "Heat capacity of the charge", "c_p"),
        GAS_CONSTANT,
        cp,
        "the heat capacity of humid air",
        PROPERTIES,
        &["manifold_temperature", "humidity_ratio"],
    );
    let free = breathing::charge_temperature(tm, b.evaporation_heat, cp);
    let mixed = free.max(150.0);
    w.bounded(
        (
            "charge_temperature",
            "Temperature of the charge, fuel mixed in",
            "T_c",
        ),
        TEMPERATURE,
        mixed,
        &breathing::charge_temperature::FORMULA,
        &[
            "manifold_temperature",
            "evaporation_heat",
            "charge_heat_capacity",
        ],
        held(free, mixed, "at least 150 K"),
    );
    w.push(
        ("dry_gas_constant", "Gas constant of dry air", "R_d"),
        GAS_CONSTANT,
        HumidAir::new(0.0).mixture.gas_constant(),
        Origin::Constant("US Standard Atmosphere 1976"),
    );
    w.push(
        ("water_gas_constant", "Gas constant of water vapour", "R_w"),
        GAS_CONSTANT,
        UNIVERSAL_GAS_CONSTANT / SPECIES[H2O].molar_mass,
        Origin::Constant("IUPAC atomic weights; SI gas constant"),
    );
    let gas_constant = breathing::charge_gas_constant(
        b.dry_gas_constant,
        b.humidity_ratio,
        UNIVERSAL_GAS_CONSTANT / SPECIES[H2O].molar_mass,
        b.vapour_ratio,
        UNIVERSAL_GAS_CONSTANT / b.vapour_molar_mass,
    );
    w.formula(
        ("charge_gas_constant", "Gas constant of the charge", "R_c"),
        GAS_CONSTANT,
        gas_constant,
        &breathing::charge_gas_constant::FORMULA,
        &[
            "dry_gas_constant",
            "humidity_ratio",
            "water_gas_constant",
            "vapour_ratio",
            "vapour_gas_constant",
        ],
    );
    w.formula(
        ("dry_air", "Dry air into the cylinders", "ṁ_d"),
        FLOW,
        s.at.dry_air_kg_s,
        &breathing::dry_air_flow::FORMULA,
        &[
            "volumetric_efficiency",
            "displacement",
            "engine_speed",
            "manifold_pressure",
            "charge_gas_constant",
            "charge_temperature",
        ],
    );
    w.formula(
        ("air_flow", "Air", "ṁ"),
        FLOW,
        s.engine.air,
        &breathing::humid_air_flow::FORMULA,
        &["dry_air", "humidity_ratio"],
    );
}

fn combustion_steps(w: &mut Writer, s: &Speed) {
    w.part = Part::Engine;
    let c = &s.plant.combustion;
    w.field(Field::CombustionCompleteness, "η_b");
    w.field(Field::RichSlope, "s_λ");
    w.formula(
        ("released_share", "Share of the fuel’s heat released", "x_b"),
        FRACTION,
        c.released_share,
        &combustion::released_share::FORMULA,
        &["lambda", "combustion_completeness", "rich_slope"],
    );
    w.formula(
        ("heat", "Heat released", "Q"),
        POWER,
        s.engine.released,
        &combustion::heat_released::FORMULA,
        &["fuel_flow", "heating_value", "released_share"],
    );
    let at_nine = s.build.ideal_cycle().curve.at(s.build.get(Field::Lambda));
    w.read(
        (
            "ideal_at_nine",
            "Ideal efficiency at compression ratio 9",
            "η_9",
        ),
        FRACTION,
        at_nine,
        "the curve of the ideal fuel-air cycle over λ",
        CurveField::IdealCycle.spec().source,
        &["lambda"],
    );
    if w.steps.iter().all(|step| step.key != "compression_ratio") {
        w.field(Field::CompressionRatio, "r");
    }
    w.field(Field::CycleExponent, "e_r");
    let ideal = combustion::ideal_efficiency(
        at_nine,
        s.build.get(Field::CompressionRatio),
        s.build.get(Field::CycleExponent),
    );
    w.formula(
        ("ideal_efficiency", "Ideal efficiency", "η_i"),
        FRACTION,
        ideal,
        &combustion::ideal_efficiency::FORMULA,
        &["ideal_at_nine", "compression_ratio", "cycle_exponent"],
    );
    w.field(Field::RealCycleFactor, "f_real");
    w.field(Field::SparkFactor, "f_spark");
    w.formula(
        ("work_share", "Gross indicated efficiency", "η_g"),
        FRACTION,
        c.work_share,
        &combustion::work_share::FORMULA,
        &["ideal_efficiency", "real_cycle_factor", "spark_factor"],
    );
    w.formula(
        ("gross_power", "Gross indicated power", "P_g"),
        POWER,
        s.engine.gross,
        &combustion::gross_power::FORMULA,
        &["heat", "work_share"],
    );
    w.field(Field::WallHeat, "x_r");
    let reference = Field::WallHeatReferenceSpeed;
    w.field_as(
        reference,
        (reference.spec().id, reference.spec().label, "n_w"),
        TURNS,
        c.wall_speed,
    );
    w.field(Field::WallHeatReferencePressure, "p_w");
    w.field(Field::WallHeatExponent, "e_w");
    let pm = s.at.manifold.pressure_pa;
    let free = combustion::wall_share(
        c.wall_share,
        s.n,
        pm,
        c.wall_speed,
        c.wall_pressure,
        c.wall_exponent,
    );
    let share = c.wall_share(s.n, pm);
    w.bounded(
        ("wall_share", "Share of the heat into the walls", "x_w"),
        FRACTION,
        share,
        &combustion::wall_share::FORMULA,
        &[
            "wall_heat",
            "engine_speed",
            "manifold_pressure",
            "wall_heat_reference_speed",
            "wall_heat_reference_pressure",
            "wall_heat_exponent",
        ],
        held(free, share, "at most 60 %"),
    );
    w.formula(
        ("wall_power", "Heat into the walls, to the coolant", "Q_w"),
        POWER,
        s.engine.wall,
        &product::FORMULA,
        &["heat", "wall_share"],
    );
}

fn crank(w: &mut Writer, s: &Speed) {
    w.part = Part::Engine;
    let f = &s.plant.friction;
    let pm = s.at.manifold.pressure_pa;
    w.field(Field::Stroke, "l");
    let piston = friction::mean_piston_speed(s.n, s.plant.stroke);
    w.formula(
        ("piston_speed", "Mean piston speed", "u_p"),
        SPEED,
        piston,
        &friction::mean_piston_speed::FORMULA,
        &["engine_speed", "stroke"],
    );
    w.field(Field::PeakPressureBase, "p_base");
    w.field(Field::PeakPressureSlope, "s_peak");
    let free = friction::peak_pressure(f.peak_base * 1e5, f.peak_slope, pm);
    w.bounded(
        ("peak_pressure", "Peak cylinder pressure", "p_max"),
        PRESSURE,
        s.at.peak_pressure_pa,
        &friction::peak_pressure::FORMULA,
        &[
            "peak_pressure_base",
            "peak_pressure_slope",
            "manifold_pressure",
        ],
        held(free, s.at.peak_pressure_pa, "at least manifold pressure"),
    );
    w.field(Field::FrictionFactor, "f_f");
    w.field(Field::FrictionConstant, "a_0");
    w.field(Field::FrictionPeak, "a_1");
    w.field(Field::FrictionSpeed, "a_2");
    w.field(Field::FrictionSpeedSquared, "a_3");
    w.formula(
        (
            "friction_pressure",
            "Friction mean effective pressure",
            "p_f",
        ),
        LOSS,
        s.at.fmep_pa,
        &friction::friction_pressure::FORMULA,
        &[
            "friction_factor",
            "friction_constant",
            "friction_peak",
            "peak_pressure",
            "friction_speed",
            "friction_speed_squared",
            "piston_speed",
        ],
    );
    w.formula(
        ("charge_density", "Density in the manifold", "ρ_m"),
        DENSITY,
        intake::density(
            pm,
            s.plant.outside.air.mixture.gas_constant(),
            s.at.manifold.temperature_k,
        ),
        &intake::density::FORMULA,
        &[
            "manifold_pressure",
            "air_gas_constant",
            "manifold_temperature",
        ],
    );
    w.field(Field::PumpingLoss, "p_v0");
    w.field(Field::PumpingReferenceSpeed, "u_r");
    w.field(Field::PumpingReferenceDensity, "ρ_v");
    w.formula(
        ("pumping_pressure", "Pumping mean effective pressure", "p_p"),
        LOSS,
        s.at.pmep_pa,
        &friction::pumping_pressure::FORMULA,
        &[
            "before_turbine",
            "manifold_pressure",
            "pumping_loss",
            "piston_speed",
            "pumping_reference_speed",
            "charge_density",
            "pumping_reference_density",
        ],
    );
    w.formula(
        ("swept_rate", "Volume swept while breathing", "V̇"),
        Measure::In("m³/s"),
        speed::swept_rate(s.plant.displacement, s.n),
        &speed::swept_rate::FORMULA,
        &["displacement", "engine_speed"],
    );
    w.formula(
        (
            "gross_pressure",
            "Gross indicated mean effective pressure",
            "p_g",
        ),
        LOSS,
        s.at.gross_imep_pa,
        &quotient::FORMULA,
        &["gross_power", "swept_rate"],
    );
    w.formula(
        ("power", "Power at the crank", "P"),
        POWER,
        s.at.power_w,
        &speed::brake_power::FORMULA,
        &[
            "gross_pressure",
            "pumping_pressure",
            "friction_pressure",
            "swept_rate",
        ],
    );
    w.formula(
        ("torque", "Torque at the crank", "M"),
        Measure::Kind(Kind::Torque),
        s.at.torque_nm,
        &speed::torque::FORMULA,
        &["power", "engine_speed"],
    );
    w.formula(
        ("brake_pressure", "Brake mean effective pressure", "p_e"),
        LOSS,
        s.at.bmep_pa,
        &quotient::FORMULA,
        &["power", "swept_rate"],
    );
    if let Some(bsfc) = s.at.bsfc_kg_j {
        w.formula(
            ("bsfc", "Brake specific fuel consumption", "b_e"),
            Measure::Kind(Kind::SpecificConsumption),
            bsfc,
            &quotient::FORMULA,
            &["fuel_flow", "power"],
        );
    }
    w.field(Field::DrivelineEfficiency, "η_d");
    w.part = Part::Driveline;
    w.formula(
        ("wheel_power", "Power at the wheels", "P_w"),
        POWER,
        s.at.wheel_power_w,
        &product::FORMULA,
        &["power", "driveline_efficiency"],
    );
}

fn exhaust_side(w: &mut Writer, s: &Speed) {
    w.part = Part::Turbine;
    let (air, gas) = (&s.plant.outside.air.mixture, s.plant.gas());
    let products =
        "the products of combustion: complete when lean, frozen water-gas shift when rich";
    let mixture: [&'static str; 2] = ["lambda", "humidity_ratio"];
    let with = |first: &'static str| [&[first][..], &mixture].concat();
    w.read(
        ("charge_enthalpy", "Enthalpy in the manifold", "h_m"),
        ENERGY,
        air.enthalpy(s.at.manifold.temperature_k),
        "the enthalpy of humid air, above 25 °C",
        PROPERTIES,
        &["manifold_temperature", "humidity_ratio"],
    );
    w.formula(
        ("pumping_power", "Power spent on pumping", "P_p"),
        POWER,
        s.at.pmep_pa * speed::swept_rate(s.plant.displacement, s.n),
        &product::FORMULA,
        &["pumping_pressure", "swept_rate"],
    );
    let port_enthalpy = combustion::port_enthalpy(
        s.engine.released,
        s.engine.air,
        air.enthalpy(s.at.manifold.temperature_k),
        s.engine.gross,
        s.engine.pmep * speed::swept_rate(s.plant.displacement, s.n),
        s.engine.wall,
        s.engine.exhaust,
    );
    w.formula(
        (
            "port_enthalpy",
            "Enthalpy of the exhaust at the ports",
            "h_p",
        ),
        ENERGY,
        port_enthalpy,
        &combustion::port_enthalpy::FORMULA,
        &[
            "heat",
            "air_flow",
            "charge_enthalpy",
            "gross_power",
            "pumping_power",
            "wall_power",
            "exhaust_flow",
        ],
    );
    let port = s.engine.port_temperature.kelvin();
    w.read(
        ("port_temperature", "Temperature at the ports", "T_p"),
        TEMPERATURE,
        port,
        format!("the temperature at which {products} have this enthalpy"),
        PROPERTIES,
        &with("port_enthalpy"),
    );
    let m = &s.plant.manifold;
    w.field(Field::ManifoldDrop, "ΔT_r");
    w.field(Field::ManifoldFlowExponent, "e_m");
    w.field(Field::ManifoldWall, "T_wall");
    w.field(Field::ManifoldSpan, "ΔT_span");
    let free = exhaust_manifold::manifold_drop(
        m.drop.kelvin(),
        s.engine.exhaust,
        m.rated_flow,
        m.flow_exponent,
        port,
        m.wall.kelvin(),
        m.span.kelvin(),
    );
    let drop = port - s.at.turbine_inlet.temperature_k;
    // Bounds act in absurd builds only; below them the two agree to rounding.
    let bound = ((free - drop).abs() > 1e-9 * port)
        .then_some("bounded: by the largest drop, and by the wall’s temperature");
    w.bounded(
        ("manifold_drop_here", "Lost in the exhaust manifold", "ΔT_3"),
        KELVINS,
        drop,
        &exhaust_manifold::manifold_drop::FORMULA,
        &[
            "manifold_drop",
            "exhaust_flow",
            "rated_flow_all",
            "manifold_flow_exponent",
            "port_temperature",
            "manifold_wall",
            "manifold_span",
        ],
        bound,
    );
    w.formula(
        (
            "turbine_inlet_temperature",
            "Temperature before the turbine",
            "T_3",
        ),
        TEMPERATURE,
        s.at.turbine_inlet.temperature_k,
        &difference::FORMULA,
        &["port_temperature", "manifold_drop_here"],
    );

    let record = s.build.turbocharger();
    let recorded = format!("{}’s record", record.name);
    w.given(
        (
            "turbine_wheel",
            "Turbine wheel, where the gas enters",
            "D_t",
        ),
        LENGTH,
        record.turbine.inducer_m,
        recorded.clone(),
    );
    let t = &s.plant.turbine;
    let steady = (
        "steady_swallowing",
        "Swallowing of the turbine, steady",
        "W_t",
    );
    let swallowing = Measure::Kind(Kind::Swallowing);
    let housing = s.build.housing();
    let law = s.build.turbine_law();
    if let Some(value) = s.build.optional(Field::TurbineSwallowing) {
        w.field_as(Field::TurbineSwallowing, steady, swallowing, value);
    } else if let Some(fit) = law.fit {
        w.given(
            steady,
            swallowing,
            fit.swallowing,
            format!("{recorded}, fitted to this housing’s points"),
        );
    } else if let Some(value) = housing.swallowing {
        w.given(
            steady,
            swallowing,
            value,
            format!("{recorded}, for this housing"),
        );
    } else {
        w.given(
            ("a_over_r", "Housing A/R", "A/R"),
            RATIO,
            housing.a_over_r,
            "the housing that was chosen",
        );
        w.formula(
            steady,
            swallowing,
            turbine::estimated_swallowing(record.turbine.inducer_m, housing.a_over_r),
            &turbine::estimated_swallowing::FORMULA,
            &["turbine_wheel", "a_over_r"],
        );
    }
    w.field(Field::PulseFlow, "f_pulse");
    w.formula(
        ("swallowing", "Swallowing with pulses", "W_3"),
        swallowing,
        t.swallowing,
        &product::FORMULA,
        &["steady_swallowing", "pulse_flow"],
    );
    if law.fit.is_some_and(|fit| fit.exponent_fitted) {
        let spec = Field::TurbineExponent.spec();
        w.given(
            (spec.id, spec.label, "k"),
            RATIO,
            law.exponent,
            format!("{recorded}, fitted to this housing’s points"),
        );
    } else {
        w.field(Field::TurbineExponent, "k");
    }
    w.formula(
        ("exhaust_each", "Exhaust of one turbocharger", "ṁ_3"),
        FLOW,
        s.engine.exhaust / s.plant.count,
        &quotient::FORMULA,
        &["exhaust_flow", "count"],
    );
    let shut = s.at.gate_area_m2 <= 0.0;
    let (left, right, why) = if shut {
        (
            "turbine_flow",
            "exhaust_each",
            "The gate is shut: pressure rises until all of the gas passes the turbine.",
        )
    } else if s.at.held == Held::Creep {
        (
            "gate_area",
            "gate_largest",
            "The gate is wide open: pressure rises until gate and turbine together pass all of the gas.",
        )
    } else {
        (
            "turbine_power",
            "shaft_demand",
            "The gate opens until the turbine gives just what compressor and bearings take.",
        )
    };
    w.push(
        ("before_turbine", "Pressure before the turbine", "p_3"),
        PRESSURE,
        s.at.turbine_inlet.pressure_pa,
        Origin::Meeting { left, right, why },
    );
    w.together();
    w.formula(
        (
            "back_pressure",
            "Back pressure over boost, both absolute",
            "p_3/m",
        ),
        RATIO,
        s.at.back_pressure_ratio,
        &quotient::FORMULA,
        &["before_turbine", "manifold_pressure"],
    );
    w.field(Field::ExhaustLoss, "Δp_r4");
    w.part = Part::Tailpipe;
    w.formula(
        ("lost_in_exhaust", "Lost after the turbine", "Δp_4"),
        LOSS,
        s.at.exhaust_loss_pa,
        &exhaust::exhaust_loss::FORMULA,
        &[
            "exhaust_loss",
            "exhaust_flow",
            "rated_flow_all",
            "after_turbine_temperature",
            "outside_pressure",
        ],
    );
    w.formula(
        ("after_turbine", "Pressure after the turbine", "p_4"),
        PRESSURE,
        s.at.turbine_outlet.pressure_pa,
        &sum::FORMULA,
        &["outside_pressure", "lost_in_exhaust"],
    );
    w.part = Part::Turbine;
    w.formula(
        ("expansion_ratio", "Expansion ratio", "π_t"),
        RATIO,
        s.at.expansion_ratio,
        &quotient::FORMULA,
        &["before_turbine", "after_turbine"],
    );
    let (p3, t3) = (
        s.at.turbine_inlet.pressure_pa,
        s.at.turbine_inlet.temperature_k,
    );
    let p4 = s.at.turbine_outlet.pressure_pa;
    let turbine_flow = t.flow(
        AbsolutePressure::new(p3),
        Temperature::new(t3),
        AbsolutePressure::new(p4),
    );
    w.formula(
        ("turbine_flow", "Gas through one turbine", "ṁ_t"),
        FLOW,
        turbine_flow,
        &turbine::turbine_flow::FORMULA,
        &[
            "swallowing",
            "before_turbine",
            "turbine_inlet_temperature",
            "after_turbine",
            "turbine_exponent",
        ],
    );
    let ideal = -gas.isentropic_work(t3, (p4 / p3).min(1.0)).min(0.0);
    w.read(
        ("ideal_turbine_work", "Most work in each kilogram", "Δh_is"),
        ENERGY,
        ideal,
        format!("an isentropic expansion of {products}"),
        PROPERTIES,
        &[
            "turbine_inlet_temperature",
            "expansion_ratio",
            "lambda",
            "humidity_ratio",
        ],
    );
    w.formula(
        ("gas_speed", "Gas speed of an ideal expansion", "C_0"),
        SPEED,
        turbine::ideal_gas_speed(ideal),
        &turbine::ideal_gas_speed::FORMULA,
        &["ideal_turbine_work"],
    );
    let tip = turbine::tip_speed(t.wheel, s.at.shaft_speed_rev_min);
    w.formula(
        ("tip_speed", "Blade speed where the gas enters", "U"),
        SPEED,
        tip,
        &turbine::tip_speed::FORMULA,
        &["turbine_wheel", "shaft_speed"],
    );
    if ideal > 0.0 {
        w.formula(
            ("speed_ratio", "Blade speed over gas speed", "U/C_0"),
            RATIO,
            s.at.turbine_speed_ratio,
            &quotient::FORMULA,
            &["tip_speed", "gas_speed"],
        );
    }
    let peak = Field::TurbinePeakEfficiency;
    let label = (peak.spec().id, peak.spec().label, "η_best");
    if s.build.optional(peak).is_some() {
        w.field_as(peak, label, FRACTION, t.peak_efficiency);
    } else {
        w.given(label, FRACTION, t.peak_efficiency, recorded.clone());
    }
    w.field(Field::TurbineBestSpeedRatio, "b");
    w.formula(
        ("steady_work", "Work of each kilogram, steady", "Δh_t0"),
        ENERGY,
        s.expansion.steady_work,
        &turbine::steady_work::FORMULA,
        &[
            "turbine_peak_efficiency",
            "tip_speed",
            "gas_speed",
            "turbine_best_speed_ratio",
        ],
    );
    if ideal > 0.0 {
        w.formula(
            ("turbine_efficiency", "Turbine efficiency, steady", "η_t"),
            FRACTION,
            s.at.turbine_efficiency,
            &quotient::FORMULA,
            &["steady_work", "ideal_turbine_work"],
        );
    }
    w.field(Field::PulseGain, "a");
    w.formula(
        ("turbine_work", "Work of each kilogram, with pulses", "Δh_t"),
        ENERGY,
        s.expansion.work,
        &turbine::pulsed_work::FORMULA,
        &["steady_work", "pulse_gain", "expansion_ratio"],
    );
    w.formula(
        ("turbine_power", "Power that one turbine gives", "P_t"),
        POWER,
        product(turbine_flow, s.expansion.work),
        &product::FORMULA,
        &["turbine_flow", "turbine_work"],
    );
    if record.bearing_in_efficiency {
        w.given(
            ("bearing_power", "Bearing loss", "P_q"),
            POWER,
            0.0,
            format!("{recorded}: the turbine’s efficiency holds it already"),
        );
    } else {
        w.field(Field::BearingPower, "P_q");
    }
    w.formula(
        ("bearing_here", "Lost in the bearings", "P_b"),
        POWER,
        s.at.bearing_power_w,
        &turbine::bearing_loss::FORMULA,
        &["bearing_power", "turbine_wheel", "shaft_speed"],
    );
    w.formula(
        ("shaft_demand", "Power that one shaft takes", "P_s"),
        POWER,
        s.at.compressor_power_w + s.at.bearing_power_w,
        &sum::FORMULA,
        &["compressor_power", "bearing_here"],
    );
    let h3 = gas.enthalpy(t3);
    w.read(
        (
            "turbine_inlet_enthalpy",
            "Enthalpy before the turbine",
            "h_3",
        ),
        ENERGY,
        h3,
        format!("the enthalpy of {products}, above 25 °C"),
        PROPERTIES,
        &with("turbine_inlet_temperature"),
    );
    let share = turbine_flow / (s.engine.exhaust / s.plant.count);
    w.formula(
        (
            "turbine_share",
            "Share of the gas through the turbine",
            "x_t",
        ),
        FRACTION,
        share,
        &quotient::FORMULA,
        &["turbine_flow", "exhaust_each"],
    );
    let heated = s.engine.compressor_heat > 0.0;
    let (key, name, symbol) = (
        "mixed_enthalpy",
        "Enthalpy after the turbine, gate mixed in",
        "h_4",
    );
    w.formula(
        match heated {
            false => (key, name, symbol),
            true => ("before_carrying", name, "h_mix"),
        },
        ENERGY,
        wastegate::mixed_enthalpy(h3, share, s.expansion.work),
        &wastegate::mixed_enthalpy::FORMULA,
        &["turbine_inlet_enthalpy", "turbine_share", "turbine_work"],
    );
    if heated {
        let carried = product(s.engine.air, s.engine.compressor_heat);
        w.formula(
            (
                "carried_heat",
                "Heat carried over to the compressors",
                "Q_c",
            ),
            POWER,
            carried,
            &product::FORMULA,
            &["air_flow", "compressor_heat"],
        );
        let each = quotient(carried, s.engine.exhaust);
        w.formula(
            ("carried_each", "For each kilogram of exhaust", "q_g"),
            ENERGY,
            each,
            &quotient::FORMULA,
            &["carried_heat", "exhaust_flow"],
        );
        let mixed = wastegate::mixed_enthalpy(h3, share, s.expansion.work);
        w.formula(
            (key, "Enthalpy after the turbine, less that heat", symbol),
            ENERGY,
            difference(mixed, each),
            &difference::FORMULA,
            &["before_carrying", "carried_each"],
        );
    }
    w.read(
        (
            "after_turbine_temperature",
            "Temperature after the turbine",
            "T_4",
        ),
        TEMPERATURE,
        s.at.turbine_outlet.temperature_k,
        format!("the temperature at which {products} have this enthalpy"),
        PROPERTIES,
        &with("mixed_enthalpy"),
    );
    w.together();
}

fn gate(w: &mut Writer, s: &Speed) {
    w.part = Part::Gate;
    let record = s.build.turbocharger();
    let diameter = Field::GateDiameter;
    let lift = Field::GateLift;
    let entered = s.build.optional(diameter);
    let label = (diameter.spec().id, "Diameter of the gate’s seat", "d_g");
    match entered {
        Some(value) => w.field_as(diameter, label, LENGTH, value),
        None => w.given(
            label,
            LENGTH,
            record.gate.diameter_m,
            format!("{}’s record", record.name),
        ),
    }
    let label = (lift.spec().id, "Largest lift of the gate", "l_g");
    match (s.build.optional(lift), entered) {
        (Some(value), _) => w.field_as(lift, label, LENGTH, value),
        (None, Some(value)) => w.given(
            label,
            LENGTH,
            value / 4.0,
            "a quarter of the seat’s diameter: beyond, the seat is the narrower",
        ),
        (None, None) => w.given(
            label,
            LENGTH,
            record.gate.lift_m,
            format!("{}’s record", record.name),
        ),
    }
    w.formula(
        ("gate_largest", "Largest gate area", "A_max"),
        AREA,
        s.plant.gate_area,
        &wastegate::largest_area::FORMULA,
        &["gate_diameter", "gate_lift"],
    );
    if s.at.gate_area_m2 <= 0.0 {
        let shut = "the gate is shut";
        w.given(("gate_area", "Gate area in use", "A_g"), AREA, 0.0, shut);
        w.given(("gate_share", "Past the gate", "x_g"), FRACTION, 0.0, shut);
        return;
    }
    let gas = s.plant.gas();
    let t3 = s.at.turbine_inlet.temperature_k;
    let (p3, p4) = (
        s.at.turbine_inlet.pressure_pa,
        s.at.turbine_outlet.pressure_pa,
    );
    let each = s.engine.exhaust / s.plant.count;
    let flow = each * s.at.gate_share;
    w.formula(
        ("gate_flow", "Gas past one gate", "ṁ_g1"),
        FLOW,
        flow,
        &difference::FORMULA,
        &["exhaust_each", "turbine_flow"],
    );
    w.formula(
        ("gate_share", "Past the gate", "x_g"),
        FRACTION,
        s.at.gate_share,
        &quotient::FORMULA,
        &["gate_flow", "exhaust_each"],
    );
    let gamma = gas.gamma(t3);
    w.read(
        ("gas_gamma", "Ratio of heat capacities of the gas", "γ"),
        RATIO,
        gamma,
        "the products of combustion",
        PROPERTIES,
        &["turbine_inlet_temperature", "lambda", "humidity_ratio"],
    );
    w.read(
        ("gas_constant", "Gas constant of the exhaust gas", "R_g"),
        GAS_CONSTANT,
        gas.gas_constant(),
        "the products of combustion",
        "molar gas constant over mean molar mass",
        &["lambda", "humidity_ratio"],
    );
    let critical = wastegate::critical_ratio(gamma);
    w.formula(
        (
            "critical_ratio",
            "Pressure ratio at which a throat is sonic",
            "π_c",
        ),
        RATIO,
        critical,
        &wastegate::critical_ratio::FORMULA,
        &["gas_gamma"],
    );
    let ratio = wastegate::throat_ratio(p4, p3, critical);
    w.formula(
        (
            "throat_ratio",
            "Pressure ratio over the gate that counts",
            "π_g",
        ),
        RATIO,
        ratio,
        &wastegate::throat_ratio::FORMULA,
        &["after_turbine", "before_turbine", "critical_ratio"],
    );
    let flux = wastegate::flux_at(p3, t3, gas.gas_constant(), gamma, ratio);
    w.formula(
        (
            "gate_flux",
            "Flow through each square metre of an ideal throat",
            "G",
        ),
        Measure::In("kg/(s m²)"),
        flux,
        &wastegate::flux_at::FORMULA,
        &[
            "before_turbine",
            "turbine_inlet_temperature",
            "gas_constant",
            "gas_gamma",
            "throat_ratio",
        ],
    );
    w.field(Field::GateDischarge, "C_d");
    w.formula(
        ("gate_area", "Gate area in use", "A_g"),
        AREA,
        s.at.gate_area_m2,
        &wastegate::gate_area::FORMULA,
        &["gate_flow", "gate_discharge", "gate_flux"],
    );
}

fn injectors(w: &mut Writer, s: &Speed) {
    w.part = Part::Fuel;
    w.field(Field::Cylinders, "z_c");
    w.field(Field::InjectorRatedPressure, "Δp_inj");
    w.field(Field::RailPressure, "p_rail");
    let rail = s.build.get(Field::RailPressure);
    let label = ("across_injector", "Pressure across the injector", "Δp_i");
    let across = match s.build.rail_reference() {
        RailReference::Manifold => {
            w.given(
                label,
                LOSS,
                rail.max(1e4),
                "the regulator holds the rail’s pressure above the manifold’s",
            );
            rail.max(1e4)
        }
        RailReference::Outside => {
            let free = difference(rail, s.at.boost_pa);
            let across = free.max(1e4);
            w.bounded(
                label,
                LOSS,
                across,
                &difference::FORMULA,
                &["rail_pressure", "boost"],
                held(free, across, "at least 0.1 bar"),
            );
            across
        }
    };
    let each = speed::injector_flow(
        s.engine.fuel,
        s.plant.fuel.density,
        s.build.get(Field::Cylinders),
        s.build.get(Field::InjectorRatedPressure),
        across,
    );
    let volume_flow = Measure::Kind(Kind::VolumeFlow);
    w.formula(
        ("injector_each", "What one injector must pass", "q_i"),
        volume_flow,
        each,
        &speed::injector_flow::FORMULA,
        &[
            "fuel_flow",
            "fuel_density",
            "cylinders",
            "injector_rated_pressure",
            "across_injector",
        ],
    );
    w.field(Field::InjectorDuty, "d_max");
    w.formula(
        ("injector_needed", "Injector needed, each", "q_need"),
        volume_flow,
        s.at.injector_needed_m3_s,
        &quotient::FORMULA,
        &["injector_each", "injector_duty"],
    );
    if let Some(duty) = s.at.injector_duty {
        w.field(Field::InjectorFlow, "q_inj");
        w.formula(
            ("injector_duty_here", "Injectors open", "d"),
            FRACTION,
            duty,
            &quotient::FORMULA,
            &["injector_each", "injector_flow"],
        );
    }
}

fn rooms(w: &mut Writer, s: &Speed) {
    w.part = Part::Limits;
    let record = s.build.turbocharger();
    let recorded = format!("{}’s record", record.name);
    let applies = |kind: LimitKind| s.found.limits.iter().find(|l| l.kind == kind);
    let shaft = Field::ShaftSpeedLimit;
    let label = (shaft.spec().id, "Largest shaft speed", "N_max");
    if s.build.optional(shaft).is_some() {
        w.field_as(shaft, label, TURNS, s.plant.shaft_speed_limit);
    } else {
        w.given(label, TURNS, s.plant.shaft_speed_limit, recorded.clone());
    }
    w.formula(
        (
            "room_shaft_speed",
            "Room before the largest shaft speed",
            "r_N",
        ),
        FRACTION,
        limits::room(s.at.shaft_speed_rev_min, s.plant.shaft_speed_limit),
        &limits::room::FORMULA,
        &["shaft_speed", "shaft_speed_limit"],
    );
    w.formula(
        ("room_gate", "Gate left", "r_g"),
        FRACTION,
        limits::room(s.at.gate_area_m2, s.plant.gate_area),
        &limits::room::FORMULA,
        &["gate_area", "gate_largest"],
    );
    let inlet = Field::TurbineInletLimit;
    let label = (inlet.spec().id, "Hottest gas the turbine may see", "T_3max");
    let limit = s
        .build
        .optional(inlet)
        .unwrap_or(record.turbine.inlet_limit_k);
    if s.build.optional(inlet).is_some() {
        w.field_as(inlet, label, TEMPERATURE, limit);
    } else {
        w.given(label, TEMPERATURE, limit, recorded);
    }
    w.formula(
        (
            "room_turbine_inlet",
            "Room before the turbine’s heat limit",
            "r_T3",
        ),
        FRACTION,
        limits::warm_room(s.at.turbine_inlet.temperature_k, limit),
        &limits::warm_room::FORMULA,
        &["turbine_inlet_temperature", "turbine_inlet_limit"],
    );
    w.field(Field::CompressorOutletLimit, "T_2max");
    w.formula(
        (
            "room_compressor_outlet",
            "Room before the compressor’s heat limit",
            "r_T2",
        ),
        FRACTION,
        limits::warm_room(
            s.at.compressor_outlet.temperature_k,
            s.build.get(Field::CompressorOutletLimit),
        ),
        &limits::warm_room::FORMULA,
        &["outlet_temperature", "compressor_outlet_limit"],
    );
    let plain = [
        (
            Field::BackPressureLimit,
            "p_3max",
            (
                "room_back_pressure",
                "Room before the back pressure limit",
                "r_p3",
            ),
            s.at.back_pressure_ratio,
            "back_pressure",
            LimitKind::BackPressure,
        ),
        (
            Field::PeakPressureLimit,
            "p_limit",
            (
                "room_peak_pressure",
                "Room before the peak pressure limit",
                "r_max",
            ),
            s.at.peak_pressure_pa,
            "peak_pressure",
            LimitKind::PeakPressure,
        ),
        (
            Field::SensorLimit,
            "p_sensor",
            ("room_sensor", "Room before the sensor’s end", "r_s"),
            s.at.manifold.pressure_pa,
            "manifold_pressure",
            LimitKind::Sensor,
        ),
    ];
    for (field, symbol, label, value, key, kind) in plain {
        if applies(kind).is_some() {
            w.field(field, symbol);
            w.formula(
                label,
                FRACTION,
                limits::room(value, s.build.get(field)),
                &limits::room::FORMULA,
                &[key, field.spec().id],
            );
        }
    }
    if let Some(duty) = s.at.injector_duty {
        w.formula(
            ("room_injectors", "Room before the injectors’ limit", "r_d"),
            FRACTION,
            limits::room(duty, s.build.get(Field::InjectorDuty)),
            &limits::room::FORMULA,
            &["injector_duty_here", "injector_duty"],
        );
    }
}

fn account(w: &mut Writer, s: &Speed) {
    w.part = Part::Engine;
    let air = &s.plant.outside.air.mixture;
    let energy = &s.at.energy;
    w.formula(
        ("fuel_energy", "Energy in the fuel", "Q_f"),
        POWER,
        energy.fuel_w,
        &product::FORMULA,
        &["fuel_flow", "heating_value"],
    );
    w.formula(
        ("friction_power", "Rubbing and auxiliaries", "P_f"),
        POWER,
        energy.friction_w,
        &product::FORMULA,
        &["friction_pressure", "swept_rate"],
    );
    w.formula(
        ("cooler_heat", "Heat out of the charge cooler", "Q_k"),
        POWER,
        energy.charge_cooler_w,
        &speed::heat_given::FORMULA,
        &["air_flow", "outlet_enthalpy", "charge_enthalpy"],
    );
    w.read(
        ("outside_enthalpy", "Enthalpy of the air outside", "h_0"),
        ENERGY,
        air.enthalpy(s.plant.outside.temperature.kelvin()),
        "the enthalpy of humid air, above 25 °C",
        PROPERTIES,
        &["air_temperature", "humidity_ratio"],
    );
    w.formula(
        ("exhaust_warmth", "Warmth of the exhaust", "Q_4"),
        POWER,
        energy.exhaust_sensible_w,
        &speed::exhaust_warmth::FORMULA,
        &[
            "exhaust_flow",
            "mixed_enthalpy",
            "air_flow",
            "outside_enthalpy",
        ],
    );
    w.formula(
        ("unburned", "Fuel that left unburned", "Q_u"),
        POWER,
        energy.exhaust_unburned_w,
        &difference::FORMULA,
        &["fuel_energy", "heat"],
    );
    w.formula(
        (
            "other_losses",
            "Heat of exhaust manifold and bearings, less that taken up by the intake",
            "Q_o",
        ),
        POWER,
        energy.other_losses_w,
        &speed::other_losses::FORMULA,
        &[
            "exhaust_flow",
            "port_enthalpy",
            "turbine_inlet_enthalpy",
            "count",
            "bearing_here",
            "air_flow",
            "inlet_enthalpy",
            "outside_enthalpy",
        ],
    );
}
