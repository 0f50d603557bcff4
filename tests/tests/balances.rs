//! Every speed of a solved match closes: mass, pressure, energy, flow and power, worked out again
//! from what is reported, for random builds in usual ranges.
//!
//! What is algebraic closes to a part in 1e9. What was solved closes to a part in 1e6.
#![cfg(not(target_arch = "wasm32"))]

mod random;

use airpath::air_way::ambient::Outside;
use airpath::air_way::engine::fuel::Fuel;
use airpath::air_way::turbine::estimated_swallowing;
use airpath::air_way::wastegate::{largest_area, nozzle_flux};
use airpath::build::{Arrangement, Build, FuelKind};
use airpath::fields::Field;
use airpath::gas::{Mixture, Products, SPECIES, UNIVERSAL_GAS_CONSTANT};
use airpath::quantity::{AbsolutePressure, Temperature};
use airpath::run::{Held, Match, SpeedReport};
use airpath::{compressor_map, solve_at};
use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;
use random::{Tank, close, draws, text, try_cases};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

/// What is algebraic closes to this.
const ALGEBRA: f64 = 1e-9;
/// What was solved closes to this.
const SOLVED: f64 = 1e-6;
/// A rotor slower than this stands: nothing moves it and it moves nothing, rev/min.
const STANDING: f64 = 10.0;

/// The gases of a build, made anew from what was entered.
struct Gases {
    outside: Outside,
    fuel: Fuel,
    exhaust: Mixture,
}

impl Gases {
    fn of(build: &Build) -> Self {
        let get = |field| build.get(field);
        let outside = Outside::new(
            get(Field::Altitude),
            build.optional(Field::Barometer).map(AbsolutePressure::new),
            Temperature::new(get(Field::AirTemperature)),
            get(Field::RelativeHumidity),
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
        let exhaust = Products::new(&fuel.elements, get(Field::Lambda), &outside.air).mixture;
        Self {
            outside,
            fuel,
            exhaust,
        }
    }
}

/// Largest shaft speed that the build allows, rev/min.
fn shaft_limit(build: &Build) -> f64 {
    build
        .optional(Field::ShaftSpeedLimit)
        .map_or(build.turbocharger().largest_speed_rev_min, |si| {
            si * 60.0 / TAU
        })
}

/// Largest opening of a gate, m².
fn gate_area(build: &Build) -> f64 {
    let own = build.turbocharger().gate;
    let entered = build.optional(Field::GateDiameter);
    let lift = build
        .optional(Field::GateLift)
        .unwrap_or(entered.map_or(own.lift_m, |d| d / 4.0));
    largest_area(entered.unwrap_or(own.diameter_m), lift)
}

/// Mass and pressure from station to station.
fn mass_and_pressure(build: &Build, gases: &Gases, s: &SpeedReport) -> TestCaseResult {
    let get = |field| build.get(field);
    let air = s.outside.flow_kg_s;
    for station in [&s.compressor_inlet, &s.compressor_outlet, &s.manifold] {
        close!("air", station.flow_kg_s, air, ALGEBRA);
    }
    let burned = air + s.fuel_kg_s;
    for station in [&s.turbine_inlet, &s.turbine_outlet] {
        close!("exhaust", station.flow_kg_s, burned, ALGEBRA);
    }
    let dry = s.dry_air_kg_s;
    close!("dry", dry, air * gases.outside.air.dry_share(), ALGEBRA);
    close!(
        "mixture",
        dry / s.fuel_kg_s,
        get(Field::Lambda) * gases.fuel.stoichiometric_ratio,
        ALGEBRA
    );

    let (p0, p1) = (s.outside.pressure_pa, s.compressor_inlet.pressure_pa);
    let (p2, pm) = (s.compressor_outlet.pressure_pa, s.manifold.pressure_pa);
    let (p3, p4) = (s.turbine_inlet.pressure_pa, s.turbine_outlet.pressure_pa);
    close!("outside", p0, gases.outside.pressure.pa(), ALGEBRA);
    close!("filter", p0 - p1, s.filter_loss_pa, p0, ALGEBRA);
    close!("cooler", p2 - pm, s.cooler_loss_pa, p2, ALGEBRA);
    close!("tailpipe", p4 - p0, s.exhaust_loss_pa, p4, ALGEBRA);
    close!("boost", pm - p0, s.boost_pa, p0, ALGEBRA);
    close!("compressor", p2 / p1, s.pressure_ratio, ALGEBRA);
    close!("turbine", p3 / p4, s.expansion_ratio, ALGEBRA);
    close!("engine", p3 / pm, s.back_pressure_ratio, ALGEBRA);
    prop_assert!(p3 >= p4 && p2 >= pm && p0 >= p1);

    // Losses by dynamic head, from the quoted ones; the gas after the turbine was solved.
    let rated = get(Field::RatedFlow) * get(Field::Displacement);
    let share = air / rated;
    let density = p0 / (gases.outside.air.mixture.gas_constant() * s.outside.temperature_k);
    close!(
        "filter loss",
        s.filter_loss_pa,
        get(Field::FilterLoss) * share * share * get(Field::FilterReferenceDensity) / density,
        p0,
        ALGEBRA
    );
    close!(
        "cooler loss",
        s.cooler_loss_pa,
        get(Field::CoolerLoss) * share * share * 2e5 / pm,
        p2,
        ALGEBRA
    );
    let share = burned / rated;
    close!(
        "tailpipe loss",
        s.exhaust_loss_pa,
        get(Field::ExhaustLoss) * share * share * s.turbine_outlet.temperature_k / 1000.0
            * 101_325.0
            / p0,
        p4,
        SOLVED
    );

    // The cylinders are filled by volume.
    let evaporated =
        get(Field::EvaporatedShare) / (get(Field::Lambda) * gases.fuel.stoichiometric_ratio);
    let cp = gases
        .outside
        .air
        .mixture
        .heat_capacity(s.manifold.temperature_k);
    let mixed = s.manifold.temperature_k - evaporated * gases.fuel.vaporisation_heat / cp;
    let dry_mass = airpath::gas::HumidAir::new(0.0).mixture.molar_mass();
    let moles = dry
        * (1.0 / dry_mass
            + gases.outside.air.humidity_ratio / SPECIES[4].molar_mass
            + evaporated / gases.fuel.vapour_molar_mass);
    let volume = moles * UNIVERSAL_GAS_CONSTANT * mixed / pm;
    let swept = get(Field::Displacement) * s.engine_speed_rev_min / 120.0;
    close!("filling", volume, s.volumetric_efficiency * swept, SOLVED);
    Ok(())
}

/// Compressor, cooler, engine: first law at each, from temperatures and gas properties.
fn cold_side(build: &Build, gases: &Gases, s: &SpeedReport) -> TestCaseResult {
    let get = |field| build.get(field);
    let count = build.arrangement().count();
    let air = &gases.outside.air.mixture;
    let flow = s.outside.flow_kg_s;
    let (t0, t1) = (s.outside.temperature_k, s.compressor_inlet.temperature_k);
    let (t2, tm) = (s.compressor_outlet.temperature_k, s.manifold.temperature_k);
    close!(
        "under the bonnet",
        t1 - t0,
        get(Field::InletAirRise),
        t1,
        ALGEBRA
    );
    close!(
        "compressor power",
        count * s.compressor_power_w,
        flow * (air.enthalpy(t2) - air.enthalpy(t1)),
        flow * 1005.0 * t1,
        ALGEBRA
    );
    if let Some(efficiency) = s.compressor_efficiency {
        // The end of the ideal compression, by entropy.
        let ideal = air.isentropic_temperature(t1, s.pressure_ratio);
        close!(
            "entropy",
            air.entropy(ideal) - air.entropy(t1),
            air.gas_constant() * s.pressure_ratio.ln(),
            air.gas_constant(),
            ALGEBRA
        );
        close!(
            "compressor efficiency",
            efficiency * (air.enthalpy(t2) - air.enthalpy(t1)),
            air.enthalpy(ideal) - air.enthalpy(t1),
            1005.0 * t1,
            ALGEBRA
        );
        prop_assert!(t2 > t1);
    }
    // In corrected terms the compressor runs on its map.
    let map = compressor_map(build).expect("sound");
    let theta = t1 / map.reference().temperature_k;
    let delta = s.compressor_inlet.pressure_pa / map.reference().pressure_pa;
    let corrected = flow / count * theta.sqrt() / delta;
    close!("corrected flow", s.corrected_flow_kg_s, corrected, ALGEBRA);
    let reading = map.read(corrected, s.pressure_ratio);
    let shaft = s.shaft_speed_rev_min;
    close!(
        "corrected speed",
        shaft / theta.sqrt(),
        reading.speed,
        shaft + 1.0,
        ALGEBRA
    );
    close!(
        "work by the map",
        s.compressor_power_w * count / flow,
        reading.work * theta,
        1005.0 * t1,
        ALGEBRA
    );
    // The cooler: definition of effectiveness. The manifold's temperature was solved.
    let coolant = t0 + get(Field::CoolingRise);
    close!(
        "cooler",
        t2 - tm,
        s.cooler_effectiveness * (t2 - coolant),
        tm,
        SOLVED
    );
    Ok(())
}

/// Cylinders and exhaust manifold, turbine and gate, shaft.
fn hot_side(build: &Build, gases: &Gases, s: &SpeedReport) -> TestCaseResult {
    let get = |field| build.get(field);
    let count = build.arrangement().count();
    let (air, gas) = (&gases.outside.air.mixture, &gases.exhaust);
    let (p3, p4) = (s.turbine_inlet.pressure_pa, s.turbine_outlet.pressure_pa);
    let (t3, t4) = (
        s.turbine_inlet.temperature_k,
        s.turbine_outlet.temperature_k,
    );
    let exhaust = s.turbine_inlet.flow_kg_s;
    let swept = get(Field::Displacement) * s.engine_speed_rev_min / 120.0;

    // Cylinders: what the fuel releases and the charge brings goes into work, walls and gas.
    let fuel = s.fuel_kg_s * gases.fuel.heating_value;
    let rich = (1.0 - get(Field::Lambda)).max(0.0);
    let released = fuel * get(Field::CombustionCompleteness) * (1.0 - get(Field::RichSlope) * rich);
    let hot = (released + s.manifold.flow_kg_s * air.enthalpy(s.manifold.temperature_k)
        - (s.gross_imep_pa - s.pmep_pa) * swept
        - s.energy.coolant_w)
        / exhaust;
    let port = gas.temperature_from_enthalpy(hot, 1100.0);
    // Exhaust manifold: heat goes to the wall by the share of flow and of heat above it.
    let rated = get(Field::RatedFlow) * get(Field::Displacement);
    let above = port - get(Field::ManifoldWall);
    let by_flow = (exhaust / rated).powf(-get(Field::ManifoldFlowExponent));
    let cap = get(Field::ManifoldCap);
    let drop =
        get(Field::ManifoldDrop) * (by_flow * above / get(Field::ManifoldSpan)).clamp(-cap, cap);
    // Never past the wall.
    let drop = if above >= 0.0 {
        drop.min(above)
    } else {
        drop.max(above)
    };
    close!("cylinders and manifold", port - t3, drop, t3, SOLVED);
    let bonnet = s.outside.flow_kg_s
        * (air.enthalpy(s.compressor_inlet.temperature_k) - air.enthalpy(s.outside.temperature_k));
    close!(
        "losses of manifold and bearings",
        s.energy.other_losses_w,
        exhaust * (gas.enthalpy(port) - gas.enthalpy(t3)) + count * s.bearing_power_w - bonnet,
        fuel,
        SOLVED
    );

    // Turbine: flow by its swallowing, work by entropy and efficiency, the wheel's own size.
    let turbocharger = build.turbocharger();
    let wheel = turbocharger.turbine.inducer_m;
    let housing = build.housing();
    let swallowing = build
        .optional(Field::TurbineSwallowing)
        .or(housing.swallowing)
        .unwrap_or_else(|| estimated_swallowing(wheel, housing.a_over_r));
    let through = exhaust / count * (1.0 - s.gate_share);
    let opened = swallowing * get(Field::PulseFlow) * p3 / t3.sqrt();
    close!(
        "turbine flow, squared",
        (through / opened).powi(2),
        1.0 - (p4 / p3).powf(get(Field::TurbineExponent)),
        1.0,
        SOLVED
    );
    let ideal = gas.enthalpy(t3) - gas.enthalpy(gas.isentropic_temperature(t3, p4 / p3));
    let spouting = (2.0 * ideal).sqrt();
    let tip = PI * wheel * s.shaft_speed_rev_min / 60.0;
    let ratio = tip / spouting;
    close!(
        "speed ratio",
        s.turbine_speed_ratio,
        ratio,
        ratio + 1e-3,
        SOLVED
    );
    let peak = build
        .optional(Field::TurbinePeakEfficiency)
        .unwrap_or(turbocharger.turbine.peak_efficiency);
    let x = ratio / get(Field::TurbineBestSpeedRatio);
    close!(
        "turbine efficiency",
        s.turbine_efficiency,
        peak * x * (2.0 - x),
        1.0 + x * x,
        SOLVED
    );
    let work = s.turbine_efficiency * ideal * (1.0 + get(Field::PulseGain) * p4 / p3);
    // Enthalpies near no expansion are small differences of large ones.
    let scale = s.turbine_power_w.abs() + 1e-6 * through * gas.enthalpy(t3);
    close!(
        "turbine power",
        s.turbine_power_w,
        through * work,
        scale,
        SOLVED
    );

    // Mixing: what both turbines take is all that the gas loses between 3 and 4.
    close!(
        "first law of turbine and gate",
        exhaust * (gas.enthalpy(t3) - gas.enthalpy(t4)),
        count * s.turbine_power_w,
        count * s.turbine_power_w.abs() + 0.01 * exhaust * gas.enthalpy(t3),
        SOLVED
    );

    // Gate: an opening of the area reported passes what the turbine does not.
    let past = exhaust / count * s.gate_share;
    let flux = nozzle_flux(
        AbsolutePressure::new(p3),
        Temperature::new(t3),
        AbsolutePressure::new(p4),
        gas.gamma(t3),
        gas.gas_constant(),
    );
    close!(
        "gate",
        get(Field::GateDischarge) * s.gate_area_m2 * flux,
        past,
        exhaust / count,
        SOLVED
    );
    close!(
        "opening",
        s.gate_opening * gate_area(build),
        s.gate_area_m2,
        gate_area(build),
        ALGEBRA
    );

    // Shaft.
    let quoted = get(Field::BearingPower) * (wheel / 0.060).powi(3);
    close!(
        "bearing",
        s.bearing_power_w,
        quoted * (s.shaft_speed_rev_min / 1e5).powi(2),
        quoted,
        ALGEBRA
    );
    if s.shaft_speed_rev_min > STANDING && s.boost_pa < 7.9e5 {
        let taken = s.compressor_power_w.abs() + s.bearing_power_w;
        close!(
            "shaft",
            s.turbine_power_w,
            s.compressor_power_w + s.bearing_power_w,
            taken,
            // The root itself is taken at a part in 1e6 of the power.
            1.01 * SOLVED
        );
    }
    Ok(())
}

/// Crank and the account of all energy: the fuel's against everything that leaves, taken from
/// stations and pressures, beside the account reported.
fn whole(build: &Build, gases: &Gases, s: &SpeedReport) -> TestCaseResult {
    let get = |field| build.get(field);
    let (air, gas) = (&gases.outside.air.mixture, &gases.exhaust);
    let swept = get(Field::Displacement) * s.engine_speed_rev_min / 120.0;
    close!(
        "brake",
        s.bmep_pa,
        s.gross_imep_pa - s.pmep_pa - s.fmep_pa,
        s.gross_imep_pa,
        ALGEBRA
    );
    close!(
        "power",
        s.power_w,
        s.bmep_pa * swept,
        s.gross_imep_pa * swept,
        ALGEBRA
    );
    close!(
        "torque",
        s.torque_nm * s.engine_speed_rev_min * TAU / 60.0,
        s.power_w,
        s.gross_imep_pa * swept,
        ALGEBRA
    );
    close!(
        "wheels",
        s.wheel_power_w,
        s.power_w * get(Field::DrivelineEfficiency),
        s.gross_imep_pa * swept,
        ALGEBRA
    );
    if let Some(bsfc) = s.bsfc_kg_j {
        close!("consumption", bsfc * s.power_w, s.fuel_kg_s, ALGEBRA);
    }
    // Pumping: the loop between the manifolds plus the valves.
    let up = 2.0 * get(Field::Stroke) * s.engine_speed_rev_min / 60.0;
    let density = s.manifold.pressure_pa / (air.gas_constant() * s.manifold.temperature_k);
    let valves =
        get(Field::PumpingLoss) * (up / get(Field::PumpingReferenceSpeed)).powi(2) * density
            / get(Field::PumpingReferenceDensity);
    let (p3, pm) = (s.turbine_inlet.pressure_pa, s.manifold.pressure_pa);
    close!("pumping", s.pmep_pa, p3 - pm + valves, p3 + pm, SOLVED);

    let h = |t: f64| air.enthalpy(t);
    let flow = s.outside.flow_kg_s;
    let account = &s.energy;
    let fuel = s.fuel_kg_s * gases.fuel.heating_value;
    close!("fuel", account.fuel_w, fuel, ALGEBRA);
    close!("at the crank", account.brake_w, s.power_w, fuel, ALGEBRA);
    close!(
        "rubbing",
        account.friction_w,
        s.fmep_pa * swept,
        fuel,
        ALGEBRA
    );
    let cooler = flow * (h(s.compressor_outlet.temperature_k) - h(s.manifold.temperature_k));
    close!("cooler", account.charge_cooler_w, cooler, fuel, ALGEBRA);
    let into = flow * h(s.outside.temperature_k);
    let exhaust = s.turbine_outlet.flow_kg_s * gas.enthalpy(s.turbine_outlet.temperature_k);
    close!(
        "exhaust",
        account.exhaust_sensible_w,
        exhaust - into,
        fuel,
        ALGEBRA
    );
    let rich = (1.0 - get(Field::Lambda)).max(0.0);
    let burned = get(Field::CombustionCompleteness) * (1.0 - get(Field::RichSlope) * rich);
    close!(
        "unburned",
        account.exhaust_unburned_w,
        fuel * (1.0 - burned),
        fuel,
        ALGEBRA
    );
    let parts = account.brake_w
        + account.friction_w
        + account.coolant_w
        + account.charge_cooler_w
        + account.exhaust_sensible_w
        + account.exhaust_unburned_w
        + account.other_losses_w;
    close!(
        "what is missing",
        account.imbalance,
        (fuel - parts) / fuel,
        1.0,
        ALGEBRA
    );
    if s.boost_pa < 7.9e5 {
        close!("account", parts, fuel, SOLVED);
    }
    // Injectors: all fuel in the share of time allowed, by the square root of pressure.
    let each = s.fuel_kg_s / gases.fuel.density / get(Field::Cylinders);
    let flow = s.injector_needed_m3_s
        * get(Field::InjectorDuty)
        * (get(Field::RailPressure) / get(Field::InjectorRatedPressure)).sqrt();
    close!("injectors", flow, each, ALGEBRA);
    if let Some(duty) = s.injector_duty {
        close!(
            "duty",
            duty * get(Field::InjectorFlow),
            s.injector_needed_m3_s * get(Field::InjectorDuty),
            ALGEBRA
        );
    }
    Ok(())
}

/// What is said to decide the boost is what decides it.
fn decided(build: &Build, s: &SpeedReport) -> TestCaseResult {
    let asked = build
        .get(Field::BoostTarget)
        .max(build.get(Field::GateSpring));
    close!("asked", s.boost_asked_pa, asked, ALGEBRA);
    let p = s.outside.pressure_pa + asked;
    match s.held {
        Held::Gate => close!("held", s.manifold.pressure_pa, p, ALGEBRA),
        Held::Drive => {
            prop_assert_eq!(s.gate_area_m2, 0.0);
            close!("shut", s.gate_share, 0.0, 1.0, ALGEBRA);
            prop_assert!(s.boost_pa < asked);
        }
        Held::ShaftSpeed => {
            // At no boost the gate can do no more.
            if s.boost_pa > 1.0 {
                close!("speed", s.shaft_speed_rev_min, shaft_limit(build), SOLVED);
            }
        }
        Held::Surge => {
            if s.boost_pa > 1.0 {
                let by_ratio = 1.0 - s.pressure_ratio / build.get(Field::SurgeFromRatio);
                close!("surge", s.surge_room.max(by_ratio), 0.0, 1.0, SOLVED);
            }
        }
        Held::Creep => {
            close!("wide open", s.gate_opening, 1.0, ALGEBRA);
            // Beyond what was asked, or beyond the cap that a larger gate would have held.
            let by_ratio = 1.0 - s.pressure_ratio / build.get(Field::SurgeFromRatio);
            prop_assert!(
                s.boost_pa > asked
                    || s.shaft_speed_rev_min > shaft_limit(build)
                    || s.surge_room.max(by_ratio) < 0.0
            );
        }
        Held::Choke => prop_assert!(s.choke_room < 0.0),
    }
    if s.held != Held::Creep {
        prop_assert!(
            s.shaft_speed_rev_min <= shaft_limit(build) * (1.0 + SOLVED) || s.boost_pa < 1.0
        );
        prop_assert!(s.boost_pa <= asked * (1.0 + ALGEBRA));
    }
    Ok(())
}

/// A threshold lies between the last speed that has less than 90 % and the first that has more.
fn thresholds(found: &Match) -> TestCaseResult {
    between(found, found.drive_threshold_rev_min, |s| {
        s.boost_drivable_pa
    })?;
    between(found, found.usable_threshold_rev_min, |s| s.boost_pa)
}

fn between(
    found: &Match,
    threshold: Option<f64>,
    boost: fn(&SpeedReport) -> f64,
) -> TestCaseResult {
    let first = found
        .speeds
        .iter()
        .position(|s| boost(s) >= 0.9 * s.boost_asked_pa);
    prop_assert_eq!(first.is_some(), threshold.is_some());
    if let (Some(first), Some(threshold)) = (first, threshold) {
        let high = found.speeds[first].engine_speed_rev_min;
        let low = first
            .checked_sub(1)
            .map_or(high, |i| found.speeds[i].engine_speed_rev_min);
        prop_assert!(low <= threshold && threshold <= high);
    }
    Ok(())
}

#[test]
fn every_speed_of_a_match_closes() {
    let seen: RefCell<BTreeMap<String, u32>> = RefCell::default();
    try_cases(400, 20_000, &draws(), |draw| {
        let build = draw.build();
        let gases = Gases::of(&build);
        let found = solve_at(&build, 12).expect("sound");
        prop_assert!(
            found.unsolved.is_empty(),
            "{:?}\n{}",
            found.unsolved,
            text(&build)
        );
        for s in &found.speeds {
            let checked = mass_and_pressure(&build, &gases, s)
                .and_then(|()| cold_side(&build, &gases, s))
                .and_then(|()| hot_side(&build, &gases, s))
                .and_then(|()| whole(&build, &gases, s))
                .and_then(|()| decided(&build, s));
            if let Err(error) = checked {
                return Err(TestCaseError::fail(format!(
                    "{error} at {} rev/min, held by {:?}, shaft {:.0} rev/min\n{}",
                    s.engine_speed_rev_min,
                    s.held,
                    s.shaft_speed_rev_min,
                    text(&build)
                )));
            }
            let mut seen = seen.borrow_mut();
            for key in [
                format!("{:?}", s.held),
                format!("{:?}", draw.tank),
                format!("{:?}", draw.arrangement),
            ] {
                *seen.entry(key).or_default() += 1;
            }
        }
        thresholds(&found)
    });
    // Every way to hold boost, every fuel, one turbocharger and two were among them.
    let seen = seen.into_inner();
    println!("speeds: {seen:?}");
    for held in [
        Held::Drive,
        Held::Gate,
        Held::Creep,
        Held::Surge,
        Held::Choke,
        Held::ShaftSpeed,
    ] {
        let count = seen.get(&format!("{held:?}")).copied().unwrap_or(0);
        assert!(count >= 10, "{held:?}: {count}");
    }
    for key in [
        format!("{:?}", Tank::Petrol),
        format!("{:?}", Tank::Ethanol),
        format!("{:?}", Tank::Diesel),
        format!("{:?}", Arrangement::Single),
        format!("{:?}", Arrangement::Pair),
    ] {
        assert!(seen.get(&key).copied().unwrap_or(0) >= 500, "{key}");
    }
}
