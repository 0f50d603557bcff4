//! Every station by itself: whatever comes in, mass, atoms and energy come out again.
//!
//! Each property is a balance or a definition, worked out from the states that a station reports,
//! not the station's own formula written down twice. What is algebraic closes to a part in 1e9;
//! where a looser figure stands, its reason stands beside it.
#![cfg(not(target_arch = "wasm32"))]

mod random;

use airpath::air_way::State;
use airpath::air_way::ambient::{Outside, standard_atmosphere};
use airpath::air_way::charge_cooler::{ChargeCooler, crossflow_effectiveness};
use airpath::air_way::engine::breathing::Breathing;
use airpath::air_way::engine::friction::{Friction, mean_piston_speed};
use airpath::air_way::engine::fuel::Fuel;
use airpath::air_way::exhaust::Exhaust;
use airpath::air_way::exhaust_manifold::ExhaustManifold;
use airpath::air_way::intake::Intake;
use airpath::air_way::turbine::Turbine;
use airpath::air_way::wastegate::{largest_area, nozzle_flux};
use airpath::balance::Plant;
use airpath::compressor_map;
use airpath::fields::Field;
use airpath::gas::{HumidAir, Products, SPECIES, UNIVERSAL_GAS_CONSTANT, saturation_pressure};
use airpath::quantity::{AbsolutePressure, PressureDifference, Temperature, TemperatureDifference};
use airpath::run::Effort;
use proptest::prelude::*;
use random::{close, draws, text, try_cases};

/// Places of the species in a mixture.
const N2: usize = 0;
const O2: usize = 1;
const AR: usize = 2;
const CO2: usize = 3;
const H2O: usize = 4;
const CO: usize = 5;
const H2: usize = 6;

/// What is algebraic closes to this.
const ALGEBRA: f64 = 1e-9;

fn pressure(pa: f64) -> AbsolutePressure {
    AbsolutePressure::new(pa)
}

fn kelvin(k: f64) -> Temperature {
    Temperature::new(k)
}

/// Petrol with any share of ethanol, or diesel.
fn fuels() -> impl Strategy<Value = Fuel> {
    prop_oneof![
        3 => (0.0..=1.0f64).prop_map(Fuel::petrol),
        1 => Just(Fuel::diesel()),
    ]
}

/// Air that is weighed by the column above it: dp/dH = −ρ g.
#[test]
fn the_atmosphere_carries_its_own_weight() {
    try_cases(256, 20_000, &(-400.0..5000.0f64), |altitude| {
        const STEP: f64 = 1.0;
        let (p, t) = standard_atmosphere(altitude);
        let (above, below) = (
            standard_atmosphere(altitude + STEP).0,
            standard_atmosphere(altitude - STEP).0,
        );
        // Gas constant and gravity of ISO 2533:1975.
        let density = p.pa() / (287.052_87 * t.kelvin());
        let weight = density * 9.806_65;
        // A central difference over 1 m is off by the third derivative, parts in 1e9.
        close!(
            "weight",
            (below.pa() - above.pa()) / (2.0 * STEP),
            weight,
            1e-7
        );
        Ok(())
    });
}

/// Partial pressures make up the whole, and vapour is what the humidity says.
#[test]
fn humid_air_is_the_sum_of_its_parts() {
    let any = (50e3..110e3f64, 233.15..328.15f64, 0.0..=1.0f64);
    try_cases(256, 20_000, &any, |(p, t, humidity)| {
        let outside = Outside::new(0.0, Some(pressure(p)), kelvin(t), humidity);
        let air = &outside.air;
        let vapour = air.mixture.mole_fractions()[H2O] * p;
        close!(
            "vapour pressure",
            vapour,
            humidity * saturation_pressure(kelvin(t)).pa(),
            p,
            ALGEBRA
        );
        close!(
            "dry and vapour",
            outside.dry_pressure().pa() + vapour,
            p,
            ALGEBRA
        );
        let dry = HumidAir::new(0.0);
        let water = UNIVERSAL_GAS_CONSTANT / SPECIES[H2O].molar_mass;
        let share = air.dry_share();
        close!("shares", share * (1.0 + air.humidity_ratio), 1.0, ALGEBRA);
        close!(
            "gas constant by mass",
            air.mixture.gas_constant(),
            share * dry.mixture.gas_constant() + (1.0 - share) * water,
            ALGEBRA
        );
        Ok(())
    });
}

/// First law at constant pressure and isentropes, from 250 to 2,500 K: dh = cp dT, ds = cp dT/T,
/// and a way there and back by the entropy.
#[test]
fn gas_properties_agree_with_each_other() {
    let any = (fuels(), 0.7..2.0f64, 250.0..2500.0f64, 0.1..8.0f64);
    try_cases(256, 20_000, &any, |(fuel, lambda, t, ratio)| {
        let gas = Products::new(&fuel.elements, lambda, &HumidAir::new(0.01)).mixture;
        const STEP: f64 = 0.05;
        let slope = |f: &dyn Fn(f64) -> f64| (f(t + STEP) - f(t - STEP)) / (2.0 * STEP);
        // The difference of two enthalpies of 1e6 J/kg over 0.1 K keeps nine digits; the
        // published polynomials meet at 1,000 K with a step in slope of parts in 1e5.
        let tolerance = if (t - 1000.0).abs() < 2.0 * STEP {
            1e-3
        } else {
            1e-6
        };
        let cp = gas.heat_capacity(t);
        close!("dh/dT", slope(&|t| gas.enthalpy(t)), cp, tolerance);
        close!("ds/dT", slope(&|t| gas.entropy(t)), cp / t, tolerance);
        let end = gas.isentropic_temperature(t, ratio);
        close!(
            "entropy kept",
            gas.entropy(end) - gas.entropy(t),
            gas.gas_constant() * ratio.ln(),
            gas.gas_constant(),
            ALGEBRA
        );
        close!(
            "there and back by enthalpy",
            gas.temperature_from_enthalpy(gas.enthalpy(t), 600.0),
            t,
            ALGEBRA
        );
        Ok(())
    });
}

/// Turbulent loss: the same loss coefficient Δp ρ/ṁ² at every state, and the quoted loss at the
/// quoted state; what is lost is what is missing; nothing leaks.
#[test]
fn the_intake_loses_by_dynamic_head() {
    let any = (
        (50e3..110e3f64, 233.0..328.0f64, 0.0..0.5f64),
        (0.0..5e3f64, 0.05..0.6f64, 0.5..1.6f64, 0.0..40.0f64),
    );
    let seen = std::cell::Cell::new((0u32, 0u32));
    try_cases(256, 20_000, &any, |(outside, inputs)| {
        let ((p, t, flow), (loss, rated, density, rise)) = (outside, inputs);
        let intake = Intake {
            rated_loss: PressureDifference::new(loss),
            rated_flow: rated,
            reference_density: density,
            rise: TemperatureDifference::new(rise),
        };
        let r = 287.05;
        let at = |p: f64, flow: f64| {
            intake.pass(
                State {
                    pressure: pressure(p),
                    temperature: kelvin(t),
                    flow,
                },
                r,
            )
        };
        let (state, lost) = at(p, flow);
        close!(
            "what is left and lost",
            state.pressure.pa() + lost.pa(),
            p,
            ALGEBRA
        );
        close!("warmed", state.temperature.kelvin() - t, rise, t, ALGEBRA);
        prop_assert_eq!(state.flow, flow);
        prop_assert!(state.pressure.pa() >= 0.1 * p * (1.0 - ALGEBRA));
        let held = state.pressure.pa() <= 0.1 * p * (1.0 + ALGEBRA);
        seen.set((seen.get().0 + 1, seen.get().1 + u32::from(!held)));
        if !held {
            let coefficient = lost.pa() * p / (r * t) / (flow * flow).max(1e-12);
            close!(
                "loss coefficient",
                coefficient,
                loss * density / (rated * rated),
                loss * density / (rated * rated) + 1e-3,
                ALGEBRA
            );
        }
        // At the quoted flow and density it is the quoted loss.
        close!(
            "quoted",
            at(density * r * t, rated).1.pa(),
            loss,
            loss + 1e-6,
            ALGEBRA
        );
        Ok(())
    });
    let (all, free) = seen.get();
    assert!(free * 10 > all * 8, "{free} of {all} were not starved");
}

/// On the map of the shelf's compressors: more head at the same flow takes a faster shaft and more
/// work; the second law caps the efficiency.
#[test]
fn a_compressor_turns_faster_for_more_head() {
    let any = (draws(), 0.05..1.3f64, 1.02..3.5f64, 1.001..1.2f64);
    let seen = std::cell::Cell::new((0u32, 0u32));
    try_cases(256, 20_000, &any, |(draw, share, ratio, more)| {
        let build = draw.build();
        let map = compressor_map(&build).expect("sound");
        let flow = share
            * build
                .turbocharger()
                .compressor
                .map
                .lines
                .last()
                .and_then(|line| line.points.last())
                .expect("has points")
                .flow_kg_s;
        let best = build
            .turbocharger()
            .compressor
            .map
            .lines
            .iter()
            .flat_map(|line| &line.points)
            .fold((1.0f64, 0.0f64), |(least, most), p| {
                (least.min(p.efficiency), most.max(p.efficiency))
            });
        let (low, high) = (map.read(flow, ratio), map.read(flow, ratio * more));
        // At choke a line is vertical: flow alone sets the speed, and head may read a hair either
        // way where lines are blended.
        let choking = flow > 0.97 * low.choke_flow;
        let least = if choking { 1.0 - 1e-3 } else { 1.0 };
        prop_assert!(high.speed > least * low.speed, "{low:?} {high:?}");
        let (speed, work) = map.speed_and_work(flow, ratio);
        prop_assert_eq!((speed, work), (low.speed, low.work));
        let air = HumidAir::new(0.0).mixture;
        let ideal = air.isentropic_work(map.reference().temperature_k, ratio);
        seen.set((
            seen.get().0 + 1,
            seen.get().1 + u32::from(!low.extrapolated),
        ));
        // On the map the efficiency lies among those of its points; where work is interpolated
        // across a corner of the slowest line it may fall short of the worst of them.
        if !low.extrapolated {
            let efficiency = ideal / low.work;
            prop_assert!(
                efficiency > 0.8 * best.0 && efficiency < 1.01 * best.1,
                "{efficiency} {low:?} {best:?}"
            );
        }
        // What the gas is given is no more than wheels of this kind can give: Δh < U₂².
        let tip =
            std::f64::consts::PI * build.turbocharger().compressor.wheel.exducer_m * low.speed
                / 60.0;
        prop_assert!(low.work < 1.2 * tip * tip, "{low:?}");
        Ok(())
    });
    let (all, inside) = seen.get();
    assert!(inside * 10 > all, "{inside} of {all} lie on the map");
}

/// Heat taken from the charge by the definition of effectiveness; bounds of parallel flow and
/// counterflow; the quoted effectiveness at the quoted flow; no more than the second law allows.
#[test]
fn the_cooler_keeps_to_its_effectiveness() {
    let any = (
        (0.05..0.98f64, 0.0..=1.0f64, 0.0..=0.6f64, 0.05..0.6f64),
        (0.0..20e3f64, 250.0..350.0f64, 0.0..200.0f64),
        (0.05..3.0f64, 60e3..400e3f64),
    );
    let seen = std::cell::Cell::new((0u32, 0u32));
    try_cases(256, 20_000, &any, |(size, inputs, at)| {
        let (effectiveness, capacity, exponent, rated) = size;
        let (loss, coolant, hotter) = inputs;
        let (share, pm) = at;
        let cooler = ChargeCooler::new(
            effectiveness,
            capacity,
            exponent,
            rated,
            PressureDifference::new(loss),
            kelvin(coolant),
        );
        let (flow, t2) = (share * rated, coolant + hotter);
        let tm = cooler.cool(flow, kelvin(t2)).kelvin();
        let e = cooler.effectiveness(flow);
        close!("definition", t2 - tm, e * (t2 - coolant), t2, ALGEBRA);
        prop_assert!(tm >= coolant - 1e-9 && tm <= t2 + 1e-9);
        close!(
            "quoted",
            cooler.effectiveness(rated),
            effectiveness,
            ALGEBRA
        );
        prop_assert!(
            cooler.effectiveness(1.1 * flow) <= e + ALGEBRA,
            "rises with flow"
        );
        // The tabulated curve against the exact relation: 48 knots of a smooth curve.
        let units = units(effectiveness, capacity);
        seen.set((seen.get().0 + 1, seen.get().1 + u32::from(units.is_some())));
        // Where no size of cooler reaches what was quoted, the core keeps to what was quoted.
        if let Some(units) = units {
            // Nor may the cooling stream leave hotter than the charge enters, to the same accuracy.
            prop_assert!(e * capacity * share <= 1.0 + 2e-3, "{e} at {share}");
            let (n, c) = (units * share.powf(-exponent), capacity * share);
            let exact = if c <= 1.0 {
                crossflow_effectiveness(n, c)
            } else {
                crossflow_effectiveness(n * c, 1.0 / c) / c
            };
            close!("off the quoted flow", e, exact.min(0.999), 1.0, 2e-3);
        }
        let lost = cooler.loss(flow, pressure(pm)).pa();
        close!(
            "loss coefficient",
            lost * pm,
            loss * share * share * 2e5,
            loss * 2e5,
            ALGEBRA
        );
        Ok(())
    });
    let (all, real) = seen.get();
    assert!(
        real * 10 > all * 8,
        "{real} of {all} are coolers that can be"
    );
}

/// Transfer units of a crossflow cooler by bisection; `None` where no size reaches it.
fn units(effectiveness: f64, capacity: f64) -> Option<f64> {
    let (mut low, mut high) = (0.0, 50.0);
    if crossflow_effectiveness(high, capacity) < effectiveness {
        return None;
    }
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if crossflow_effectiveness(middle, capacity) < effectiveness {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(0.5 * (low + high))
}

/// Crossflow lies between parallel flow and counterflow (Incropera & DeWitt, table 11.3), and the
/// heat that both streams see is the same: ε(N, C) C = ε' of the larger stream.
#[test]
fn crossflow_lies_between_parallel_flow_and_counterflow() {
    try_cases(256, 20_000, &(0.01..12.0f64, 0.001..0.999f64), |(n, c)| {
        let parallel = (1.0 - (-n * (1.0 + c)).exp()) / (1.0 + c);
        let counter = (1.0 - (-n * (1.0 - c)).exp()) / (1.0 - c * (-n * (1.0 - c)).exp());
        let e = crossflow_effectiveness(n, c);
        prop_assert!(
            e >= parallel - 1e-12 && e <= counter + 1e-12,
            "{parallel} {e} {counter}"
        );
        prop_assert!(crossflow_effectiveness(1.01 * n, c) >= e);
        prop_assert!(crossflow_effectiveness(n, (c + 0.001).min(1.0)) <= e + 1e-12);
        Ok(())
    });
}

/// The cylinders are filled by volume: the moles of air, water and fuel vapour, at the temperature
/// that evaporation leaves, take up efficiency × displacement each two turns.
#[test]
fn the_cylinders_are_filled_by_volume() {
    let any = (
        (1e-4..8e-3f64, 0.0..0.4f64, 0.0..0.6f64, 300.0..345.0f64),
        (0.0..0.04f64, 0.0..0.08f64, 0.046..0.17f64, 0.0..60e3f64),
        (
            500.0..9000.0f64,
            0.6..1.1f64,
            60e3..400e3f64,
            280.0..420.0f64,
        ),
        0.5..2.5f64,
    );
    try_cases(256, 20_000, &any, |(engine, charge, at, back)| {
        let (displacement, overlap, exponent, reference) = engine;
        let (humidity, vapour, vapour_mass, evaporation) = charge;
        let (speed, curve, pm, tm) = at;
        let breathing = Breathing {
            displacement,
            overlap_slope: overlap,
            temperature_exponent: exponent,
            reference_temperature: kelvin(reference),
            dry_gas_constant: HumidAir::new(0.0).mixture.gas_constant(),
            humidity_ratio: humidity,
            vapour_ratio: vapour,
            vapour_molar_mass: vapour_mass,
            evaporation_heat: evaporation,
        };
        let cp = 1010.0;
        let fill = |p3: f64, tm: f64| {
            breathing.charge(speed, curve, pressure(pm), kelvin(tm), pressure(p3), cp)
        };
        let charge = fill(back * pm, tm);
        let dry_mass = HumidAir::new(0.0).mixture.molar_mass();
        let moles = charge.dry_air
            * (1.0 / dry_mass + humidity / SPECIES[H2O].molar_mass + vapour / vapour_mass);
        let mixed = tm - evaporation / cp;
        let volume = moles * UNIVERSAL_GAS_CONSTANT * mixed / pm;
        close!(
            "volume",
            volume,
            charge.efficiency * displacement * speed / 60.0 / 2.0,
            ALGEBRA
        );
        // Without back pressure beyond the manifold's, at the reference temperature: the curve.
        close!("curve", fill(pm, reference).efficiency, curve, ALGEBRA);
        // More back pressure never fills better.
        prop_assert!(fill(1.05 * back * pm, tm).dry_air <= charge.dry_air);
        Ok(())
    });
}

/// Atoms are conserved from fuel and air to exhaust, lean and rich; the mass with them; rich gas
/// keeps the frozen water-gas quotient, lean gas has no fuel left.
#[test]
fn atoms_that_enter_the_cylinder_leave_it() {
    let any = (fuels(), 0.65..3.0f64, 0.0..0.04f64);
    let seen = std::cell::Cell::new((0u32, 0u32));
    try_cases(512, 20_000, &any, |(fuel, lambda, humidity)| {
        let air = HumidAir::new(humidity);
        let gas = Products::new(&fuel.elements, lambda, &air).mixture;
        let out = gas.mole_fractions();
        // One kilogram of fuel.
        let fuel_moles = 1.0 / fuel.elements.molar_mass();
        let dry = lambda * fuel.stoichiometric_ratio;
        let air_moles = dry * (1.0 + humidity) / air.mixture.molar_mass();
        let into = |species: usize| air.mixture.mole_fractions()[species] * air_moles;
        // Nitrogen goes through unchanged and tells how many moles leave.
        let moles = into(N2) / out[N2];
        let leave = |species: usize| out[species] * moles;
        let f = &fuel.elements;
        let atoms = [
            (
                "carbon",
                f.carbon * fuel_moles + into(CO2),
                leave(CO2) + leave(CO),
            ),
            (
                "hydrogen",
                f.hydrogen * fuel_moles + 2.0 * into(H2O),
                2.0 * (leave(H2O) + leave(H2)),
            ),
            (
                "oxygen",
                f.oxygen * fuel_moles + 2.0 * into(O2) + 2.0 * into(CO2) + into(H2O),
                2.0 * leave(O2) + 2.0 * leave(CO2) + leave(H2O) + leave(CO),
            ),
            ("argon", into(AR), leave(AR)),
        ];
        for (atom, enters, leaves) in atoms {
            close!(atom, enters, leaves, ALGEBRA);
        }
        // Atomic weights of the fuel and molar masses of the species are rounded by their
        // publishers to 1e-5 of themselves.
        close!(
            "mass",
            1.0 + dry * (1.0 + humidity),
            moles * gas.molar_mass(),
            2e-5
        );
        if lambda < 1.0 {
            close!(
                "water-gas quotient",
                out[CO] * out[H2O],
                3.5 * out[CO2] * out[H2],
                1e-2,
                ALGEBRA
            );
            prop_assert_eq!(out[O2], 0.0);
            prop_assert!(out[CO] > 0.0);
        } else {
            prop_assert_eq!(out[CO] + out[H2], 0.0);
            prop_assert!(out[O2] >= 0.0);
        }
        seen.set((seen.get().0 + 1, seen.get().1 + u32::from(lambda < 1.0)));
        prop_assert!(out.iter().all(|x| *x >= 0.0));
        Ok(())
    });
    let (all, rich) = seen.get();
    assert!(rich * 20 > all && rich < all, "{rich} of {all} are rich");
}

/// Work at the crank: pumping is the loop between the two manifolds plus the valves; rubbing rises
/// with peak pressure and piston speed.
#[test]
fn pumping_is_the_loop_between_the_manifolds() {
    let any = (
        (
            0.5..1.3f64,
            0.1..0.6f64,
            0.001..0.01f64,
            0.01..0.2f64,
            1e-4..2e-3f64,
        ),
        (0.0..40e3f64, 15.0..20.0f64, 1.1..1.3f64),
        (3.0..25.0f64, 60e3..400e3f64, 90e3..600e3f64, 0.5..4.0f64),
    );
    try_cases(256, 20_000, &any, |(rubbing, valves, at)| {
        let friction = Friction {
            factor: rubbing.0,
            constant: rubbing.1,
            peak: rubbing.2,
            speed: rubbing.3,
            speed_squared: rubbing.4,
            valve_loss: PressureDifference::new(valves.0),
            valve_speed: valves.1,
            valve_density: valves.2,
            peak_base: 60.0,
            peak_slope: 45.0,
        };
        let (up, pm, p3, density) = at;
        let pmep =
            |up: f64, p3: f64, density: f64| friction.pmep(up, pressure(p3), pressure(pm), density);
        let all = pmep(up, p3, density);
        let loop_only = pmep(0.0, p3, density);
        close!("loop", loop_only, p3 - pm, p3 + pm, ALGEBRA);
        // Valve loss is dynamic head: four times at twice the speed, twice at twice the density.
        let valve = all - loop_only;
        prop_assert!(valve >= 0.0);
        close!(
            "speed",
            pmep(2.0 * up, p3, density) - loop_only,
            4.0 * valve,
            p3 + pm + valve,
            ALGEBRA
        );
        close!(
            "density",
            pmep(up, p3, 2.0 * density) - loop_only,
            2.0 * valve,
            p3 + pm + valve,
            ALGEBRA
        );
        close!(
            "quoted",
            pmep(valves.1, pm, valves.2),
            valves.0,
            valves.0 + 1.0,
            ALGEBRA
        );
        let peak = friction.peak_pressure(pressure(pm));
        let fmep = friction.fmep(up, peak);
        // Each term by itself: differences of the whole.
        let more_peak = friction.fmep(up, peak + PressureDifference::new(1e5));
        close!(
            "peak",
            more_peak - fmep,
            rubbing.0 * rubbing.2 * 1e5,
            fmep,
            ALGEBRA
        );
        close!(
            "no speed",
            friction.fmep(0.0, pressure(0.0)),
            rubbing.0 * rubbing.1 * 1e5,
            ALGEBRA
        );
        let by_speed = |up: f64| friction.fmep(up, peak) - friction.fmep(0.0, peak);
        close!(
            "piston speed",
            by_speed(2.0 * up) - 2.0 * by_speed(up),
            2.0 * rubbing.0 * rubbing.4 * up * up * 1e5,
            fmep,
            ALGEBRA
        );
        // Two strokes each turn.
        close!(
            "piston",
            mean_piston_speed(6000.0, up / 100.0),
            up * 2.0,
            ALGEBRA
        );
        Ok(())
    });
}

/// The manifold takes heat from gas hotter than its wall and never cools it beyond.
#[test]
fn the_exhaust_manifold_cools_towards_its_wall() {
    let any = (
        (
            0.0..150.0f64,
            0.0..1.0f64,
            280.0..700.0f64,
            300.0..1200.0f64,
            1.0..6.0f64,
        ),
        (0.05..0.6f64, 0.001..2.0f64, 300.0..1500.0f64),
    );
    try_cases(256, 20_000, &any, |(inputs, at)| {
        let (drop, exponent, wall, span, cap) = inputs;
        let (rated, share, port) = at;
        let manifold = ExhaustManifold {
            drop: TemperatureDifference::new(drop),
            flow_exponent: exponent,
            wall: kelvin(wall),
            span: TemperatureDifference::new(span),
            cap,
            rated_flow: rated,
        };
        let cool = |port: f64, share: f64| manifold.cool(kelvin(port), share * rated).kelvin();
        let t = cool(port, share);
        prop_assert!(t >= wall.min(port) - 1e-9 && t <= wall.max(port) + 1e-9);
        prop_assert!((port - t).abs() <= cap * drop + 1e-9);
        // A larger flow is cooled less, hotter gas leaves hotter.
        prop_assert!((port - cool(port, 1.1 * share)).abs() <= (port - t).abs() + 1e-9);
        prop_assert!(cool(port + 1.0, share) > t - 1e-9);
        // The quoted drop at the quoted flow and temperature, which lies above the wall by more.
        if drop <= span {
            close!(
                "quoted",
                wall + span - cool(wall + span, 1.0),
                drop,
                wall + span,
                ALGEBRA
            );
        }
        Ok(())
    });
}

/// Flow: similarity in pressure and temperature, and the inlet pressure that passes it. Work: from
/// the entropy, at an efficiency that is best at the best speed ratio, and no more than an ideal
/// turbine's.
#[test]
fn the_turbine_keeps_to_its_laws() {
    let any = (
        (
            0.8e-5..6e-5f64,
            1.2..2.5f64,
            0.6..0.8f64,
            0.6..0.7f64,
            0.0..0.3f64,
        ),
        (
            90e3..140e3f64,
            1.0005..5.0f64,
            700.0..1300.0f64,
            0.0..2.3f64,
        ),
        (fuels(), 0.75..1.5f64),
    );
    try_cases(256, 20_000, &any, |(inputs, at, (fuel, lambda))| {
        let (swallowing, exponent, peak, best, pulses) = inputs;
        let (p4, ratio, t3, speed_share) = at;
        let diameter = 0.06;
        let turbine = Turbine {
            swallowing,
            exponent,
            peak_efficiency: peak,
            best_speed_ratio: best,
            pulse_gain: pulses,
            wheel: diameter,
            bearing: 600.0,
        };
        let p3 = ratio * p4;
        let flow = turbine.flow(pressure(p3), kelvin(t3), pressure(p4));
        close!(
            "inlet pressure that passes it",
            turbine.inlet_pressure(flow, kelvin(t3), pressure(p4)).pa(),
            p3,
            ALGEBRA
        );
        close!(
            "nothing is missed",
            turbine.pressure_miss(flow, kelvin(t3), pressure(p4), pressure(p3)),
            0.0,
            1.0,
            ALGEBRA
        );
        close!(
            "similar in pressure",
            turbine.flow(pressure(1.7 * p3), kelvin(t3), pressure(1.7 * p4)),
            1.7 * flow,
            ALGEBRA
        );
        close!(
            "similar in temperature",
            turbine.flow(pressure(p3), kelvin(4.0 * t3), pressure(p4)),
            0.5 * flow,
            ALGEBRA
        );
        prop_assert!(turbine.flow(pressure(1.01 * p3), kelvin(t3), pressure(p4)) > flow);
        prop_assert!(flow <= swallowing * p3 / t3.sqrt());

        let gas = Products::new(&fuel.elements, lambda, &HumidAir::new(0.01)).mixture;
        // The end of the ideal expansion by bisection on entropy.
        let (mut low, mut high) = (0.5 * t3, t3);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            let kept = gas.entropy(middle) - gas.entropy(t3) - gas.gas_constant() * (p4 / p3).ln();
            if kept > 0.0 {
                high = middle
            } else {
                low = middle
            }
        }
        let ideal = gas.enthalpy(t3) - gas.enthalpy(0.5 * (low + high));
        let spouting = (2.0 * ideal).sqrt();
        let shaft = |share: f64| share * best * spouting * 60.0 / (std::f64::consts::PI * diameter);
        let expand =
            |share: f64| turbine.expand(&gas, pressure(p3), kelvin(t3), pressure(p4), shaft(share));
        let e = expand(speed_share);
        // Near no expansion the ideal work is a difference of large enthalpies.
        let scale = ideal + 1e-6 * gas.enthalpy(t3);
        close!("speed ratio", e.speed_ratio, speed_share * best, 1.0, 1e-6);
        close!("work", e.steady_work, e.efficiency * ideal, scale, ALGEBRA);
        close!(
            "pulses",
            e.work,
            e.steady_work * (1.0 + pulses / ratio),
            scale,
            ALGEBRA
        );
        close!("best", expand(1.0).efficiency, peak, 1e-6);
        prop_assert!(e.efficiency <= peak * (1.0 + 1e-6));
        close!("standing", expand(0.0).efficiency, 0.0, 1.0, 1e-9);
        close!(
            "as much below as above",
            expand(2.0 - speed_share).efficiency,
            e.efficiency,
            1.0,
            1e-6
        );
        // A parabola with no clamp: the wheel brakes beyond twice the best speed.
        close!(
            "parabola",
            e.efficiency,
            peak * speed_share * (2.0 - speed_share),
            1.0,
            1e-6
        );
        close!("bearing", turbine.bearing_power(1e5), 600.0, ALGEBRA);
        close!("bearing", turbine.bearing_power(2e5), 2400.0, ALGEBRA);
        Ok(())
    });
}

/// An ideal nozzle by continuity: density at the throat times the speed that the enthalpy drop
/// gives; at the speed of sound once it chokes, and no more from there.
#[test]
fn the_gate_is_a_nozzle() {
    let any = (
        100e3..600e3f64,
        700.0..1300.0f64,
        0.05..0.9999f64,
        1.25..1.4f64,
        280.0..300.0f64,
    );
    let seen = std::cell::Cell::new((0u32, 0u32));
    try_cases(256, 20_000, &any, |(p, t, ratio, gamma, r)| {
        let flux = |ratio: f64| nozzle_flux(pressure(p), kelvin(t), pressure(ratio * p), gamma, r);
        let cp = gamma * r / (gamma - 1.0);
        let sonic = (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0));
        let throat = ratio.max(sonic);
        let cold = t * throat.powf((gamma - 1.0) / gamma);
        let speed = (2.0 * cp * (t - cold)).sqrt();
        let density = throat * p / (r * cold);
        // With hardly any drop the speed is a small difference of temperatures.
        close!(
            "continuity",
            flux(ratio),
            density * speed,
            density * speed + 1.0,
            ALGEBRA
        );
        seen.set((seen.get().0 + 1, seen.get().1 + u32::from(ratio < sonic)));
        if ratio < sonic {
            close!("sound", speed, (gamma * r * cold).sqrt(), ALGEBRA);
            close!("choked", flux(0.5 * ratio), flux(ratio), ALGEBRA);
        } else {
            prop_assert!(flux(0.999 * ratio) > flux(ratio) * (1.0 - 1e-12));
        }
        prop_assert_eq!(flux(1.0), 0.0);
        Ok(())
    });
    let (all, choked) = seen.get();
    assert!(
        choked * 10 > all && choked * 10 < all * 9,
        "{choked} of {all} choke"
    );
    // Curtain and seat are equal at a lift of a quarter of the diameter.
    let seat = std::f64::consts::FRAC_PI_4 * 0.04 * 0.04;
    assert!((largest_area(0.04, 0.01) / seat - 1.0).abs() < ALGEBRA);
    assert!((largest_area(0.04, 0.02) / seat - 1.0).abs() < ALGEBRA);
    assert!((largest_area(0.04, 0.005) / seat - 0.5).abs() < ALGEBRA);
}

/// Turbulent loss again, by flow² over density.
#[test]
fn the_exhaust_loses_by_dynamic_head() {
    let any = (
        0.0..100e3f64,
        0.05..0.6f64,
        0.0..1.0f64,
        500.0..1300.0f64,
        50e3..110e3f64,
    );
    try_cases(256, 20_000, &any, |(loss, rated, flow, t4, p0)| {
        let exhaust = Exhaust {
            rated_loss: PressureDifference::new(loss),
            rated_flow: rated,
        };
        let lost = exhaust.loss(flow, kelvin(t4), pressure(p0)).pa();
        let coefficient = loss * 101_325.0 / (rated * rated * 1000.0);
        close!(
            "loss coefficient",
            lost * p0 / t4,
            coefficient * flow * flow,
            coefficient + 1e-9,
            ALGEBRA
        );
        let quoted = exhaust
            .loss(rated, kelvin(1000.0), pressure(101_325.0))
            .pa();
        close!("quoted", quoted, loss, loss + 1e-9, ALGEBRA);
        Ok(())
    });
}

/// Compressor, cooler and cylinders strung together at any state, settled or not: what one room
/// hands on the next one gets, and the energy that enters leaves.
#[test]
fn the_rooms_hand_on_all_they_get() {
    let any = (
        draws(),
        (0.15..1.0f64, 0.7..3.0f64, 0.6..2.0f64, 290.0..400.0f64),
    );
    try_cases(256, 20_000, &any, |(draw, (speed, boost, back, tm))| {
        let build = draw.build();
        let plant = Plant::new(&build).expect("sound");
        let get = |field| build.get(field);
        let rev = get(Field::Redline) * 60.0 / std::f64::consts::TAU * speed;
        let (p0, t0) = (
            plant.outside.pressure.pa(),
            plant.outside.temperature.kelvin(),
        );
        let pm = boost * p0;
        let p3 = back * pm;
        let point = plant.at_speed(&build, rev);
        let at = plant.at_pressure(&point, pressure(pm));
        let e = plant.engine(&at, pressure(p3), kelvin(tm), &mut Effort::default());
        let (air, gas) = (&plant.outside.air.mixture, plant.gas());
        let text = || text(&build);

        // Mass.
        close!("exhaust", e.exhaust, e.air + e.fuel, ALGEBRA);
        close!(
            "humid air",
            e.air,
            e.dry_air * (1.0 + plant.outside.air.humidity_ratio),
            ALGEBRA
        );
        close!(
            "mixture",
            e.dry_air / e.fuel,
            get(Field::Lambda) * plant.fuel.stoichiometric_ratio,
            ALGEBRA
        );

        // Pressure.
        close!(
            "filter",
            e.inlet.pressure.pa() + e.filter_loss.pa(),
            p0,
            ALGEBRA
        );
        close!(
            "cooler",
            e.outlet.pressure.pa() - e.cooler_loss.pa(),
            pm,
            ALGEBRA
        );
        close!(
            "ratio",
            e.pressure_ratio,
            e.outlet.pressure.pa() / e.inlet.pressure.pa(),
            ALGEBRA
        );

        // The map is asked in corrected terms and answers in them (SAE J1826).
        let t1 = e.inlet.temperature.kelvin();
        close!("inlet", t1, t0 + get(Field::InletAirRise), ALGEBRA);
        let reference = plant.map.reference();
        let theta = t1 / reference.temperature_k;
        let delta = e.inlet.pressure.pa() / reference.pressure_pa;
        let count = build.arrangement().count();
        close!(
            "corrected flow",
            e.corrected_flow,
            e.air / count * theta.sqrt() / delta,
            ALGEBRA
        );
        let reading = plant.map.read(e.corrected_flow, e.pressure_ratio);
        close!(
            "shaft",
            e.shaft_speed,
            reading.speed * theta.sqrt(),
            e.shaft_speed + 1.0,
            ALGEBRA
        );
        close!(
            "work",
            e.compressor_work,
            reading.work * theta,
            e.compressor_work.abs() + 1.0,
            ALGEBRA
        );

        // Energy of the compressor and the cooler. The temperatures of the air are known to 1e-12,
        // so their enthalpies to 1e-12 of cp T.
        let t2 = e.outlet.temperature.kelvin();
        let thermal = 1005.0 * t1;
        close!(
            "first law of the compressor",
            air.enthalpy(t2) - air.enthalpy(t1),
            e.compressor_work,
            thermal,
            ALGEBRA
        );
        let tc = t0 + get(Field::CoolingRise);
        let effectiveness = plant.cooler.effectiveness(e.air);
        close!(
            "effectiveness",
            t2 - e.manifold_temperature.kelvin(),
            effectiveness * (t2 - tc),
            t2,
            ALGEBRA
        );

        // Energy of the cylinders: the fuel's heat less what stays unburned, and the charge's
        // own; out go work to the piston, less what the piston spends on pumping, wall heat and
        // hot gas.
        let swept = get(Field::Displacement) * rev / 120.0;
        let pump = (p3 - pm) * swept
            + get(Field::PumpingLoss)
                * (2.0 * get(Field::Stroke) * rev / 60.0 / get(Field::PumpingReferenceSpeed))
                    .powi(2)
                * (pm / (air.gas_constant() * tm) / get(Field::PumpingReferenceDensity))
                * swept;
        close!("pumping", e.pmep * swept, pump, (p3 + pm) * swept, ALGEBRA);
        let fuel = e.fuel * plant.fuel.heating_value;
        let rich = (1.0 - get(Field::Lambda)).max(0.0);
        let burned = get(Field::CombustionCompleteness) * (1.0 - get(Field::RichSlope) * rich);
        close!("released", e.released, fuel * burned, ALGEBRA);
        let port = e.port_temperature.kelvin();
        close!(
            "first law of the cylinders",
            e.released + e.air * air.enthalpy(tm),
            e.gross - pump + e.wall + e.exhaust * gas.enthalpy(port),
            fuel,
            ALGEBRA
        );
        prop_assert!(e.gross > 0.0 && e.gross < 0.6 * e.released, "{}", text());
        prop_assert!(e.wall > 0.0 && e.wall < e.released, "{}", text());
        let t3 = e.turbine_temperature.kelvin();
        let wall = get(Field::ManifoldWall);
        prop_assert!(t3 <= port.max(wall) && t3 >= port.min(wall), "{}", text());
        Ok(())
    });
}
