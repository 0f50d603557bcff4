//! The working behind every number: evaluated as it is shown, it gives the number that is shown.

use airpath::air_way::turbine::SwallowingPoint;
use airpath::build::{Build, BuildFile};
use airpath::fields::Field;
use airpath::gas::HumidAir;
use airpath::run::{Held, Match};
use airpath::solve_at;
use airpath::working::{Origin, Step, Working, figure};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// Every build of the second solution: engines, fuels, altitudes, single and pair, every limit.
fn builds() -> Vec<(String, Build)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/builds");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the builds are there")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.extension().is_some_and(|e| e == "json"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).expect("readable");
            let build = BuildFile::from_json(&text)
                .and_then(BuildFile::into_build)
                .expect("valid");
            (
                path.file_stem()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned(),
                build,
            )
        })
        .chain(std::iter::once(measured()))
        .collect()
}

/// A build with a measured map whose slow lines hold heat, and measured points of the turbine's flow.
fn measured() -> (String, Build) {
    let build = airpath::example_build().expect("ours");
    let mut record = build.turbocharger().as_ref().clone();
    record.id = "measured".to_owned();
    record.compressor.map.estimated = false;
    let air = HumidAir::new(0.0).mixture;
    for line in record.compressor.map.lines.iter_mut().take(2) {
        for point in &mut line.points {
            let ideal = air.isentropic_work(298.15, point.pressure_ratio);
            point.efficiency = ideal / (ideal / point.efficiency + 500.0 / point.flow_kg_s);
        }
        line.points.retain(|point| point.efficiency > 0.05);
    }
    let housing = build.housing_index();
    record.turbine.housings[housing].swallowing_points =
        [(1.2, 1.3e-5), (1.6, 1.95e-5), (2.4, 2.3e-5), (3.0, 2.4e-5)]
            .map(|(expansion_ratio, flow_parameter)| SwallowingPoint {
                expansion_ratio,
                flow_parameter,
            })
            .to_vec();
    let build = build.with_turbocharger(Arc::new(record), housing);
    ("measured".to_owned(), build.expect("sound"))
}

/// Runs a check on the working of several speeds of every build.
fn each(speeds: usize, mut check: impl FnMut(&str, &Build, &Match, usize, &Working)) {
    let mut held = HashSet::new();
    for (name, build) in builds() {
        let found = solve_at(&build, speeds).expect("solvable");
        for (i, report) in found.speeds.iter().enumerate() {
            held.insert(format!("{:?}", report.held));
            let working = Working::at(&build, &found, report).expect("solvable");
            let place = format!("{name} at {:.0}", report.engine_speed_rev_min);
            check(&place, &build, &found, i, &working);
        }
    }
    for what in [
        Held::Drive,
        Held::Gate,
        Held::Creep,
        Held::Surge,
        Held::ShaftSpeed,
    ] {
        assert!(
            held.contains(&format!("{what:?}")),
            "no build shows {what:?}"
        );
    }
}

#[test]
fn every_formula_gives_its_number() {
    let mut worst: (f64, String) = (0.0, String::new());
    let (mut count, mut bounded) = (0, 0);
    each(17, |place, _, _, _, working| {
        for step in &working.steps {
            let Origin::Formula {
                formula,
                inputs,
                bound,
            } = &step.origin
            else {
                continue;
            };
            assert_eq!(formula.arguments.len(), inputs.len(), "{}", step.key);
            let values = working
                .values(inputs)
                .unwrap_or_else(|| panic!("{place}: {}", step.key));
            let worked = formula
                .evaluate(&values)
                .unwrap_or_else(|e| panic!("{}: {e}", step.key));
            if bound.is_some() {
                bounded += 1;
                continue;
            }
            count += 1;
            // The unknowns that are found together close to a part in 1e9; what that can do to
            // this formula, input by input, is what it may miss by.
            let slack: f64 = (0..values.len())
                .map(|i| {
                    let mut moved = values.clone();
                    moved[i] *= 1.0 + 1e-9;
                    (formula.evaluate(&moved).expect("readable") - worked).abs()
                })
                .sum::<f64>()
                + 1e-12 * step.value.abs()
                + 1e-15;
            let miss = (worked - step.value).abs() / slack;
            if miss > worst.0 {
                worst = (
                    miss,
                    format!("{place}: {} {worked} {}", step.key, step.value),
                );
            }
        }
    });
    println!("{count} formulas, {bounded} held at a bound; worst {worst:?}");
    assert!(count > 10_000);
    assert!(worst.0 < 1.0, "{worst:?}");
}

#[test]
fn a_reader_with_a_calculator_gets_the_number_shown() {
    let read = |step: &Step| -> f64 {
        let (text, _) = figure(step);
        let shown: f64 = text
            .replace(',', "")
            .replace('−', "-")
            .parse()
            .expect("a number");
        // Back from the unit shown to the one the formula is in.
        let exact = step.value;
        if exact == 0.0 {
            return 0.0;
        }
        let unrounded = match step.measure {
            airpath::working::Measure::Kind(kind) => {
                airpath::working::in_equations(kind).map_or(shown, |unit| unit.to_si(shown))
            }
            airpath::working::Measure::In(_) => shown,
        };
        assert!(
            (unrounded / exact - 1.0).abs() < 6e-5,
            "{}: {text} for {exact}",
            step.key
        );
        unrounded
    };
    each(5, |place, _, _, _, working| {
        for step in &working.steps {
            let Origin::Formula {
                formula,
                inputs,
                bound: None,
            } = &step.origin
            else {
                continue;
            };
            let shown: Vec<f64> = inputs
                .iter()
                .map(|key| read(working.step(key).expect("a step")))
                .collect();
            let worked = formula.evaluate(&shown).expect("readable");
            // Five figures put in: what each may be off by, added up.
            let exact = working.values(inputs).expect("steps");
            let slack: f64 = (0..exact.len())
                .map(|i| {
                    let mut moved = exact.clone();
                    moved[i] *= 1.0 + 5e-5;
                    (formula.evaluate(&moved).expect("readable") - step.value).abs()
                })
                .sum::<f64>()
                + 1e-9 * step.value.abs();
            assert!(
                (worked - step.value).abs() <= 1.2 * slack + 1e-12,
                "{place}: {} is {worked}, shown {}",
                step.key,
                step.value
            );
        }
    });
}

#[test]
fn every_way_back_ends_at_what_was_entered_given_or_known() {
    each(9, |place, _, _, _, working| {
        let steps: HashMap<&str, &Step> = working.steps.iter().map(|s| (s.key, s)).collect();
        assert_eq!(
            steps.len(),
            working.steps.len(),
            "{place}: a key stands twice"
        );
        // Depth-first; the unknowns that are found together end the way, and everything else must
        // come to an end without coming round.
        fn walk<'a>(
            key: &'a str,
            steps: &HashMap<&str, &'a Step>,
            on_the_way: &mut Vec<&'a str>,
            done: &mut HashSet<&'a str>,
            place: &str,
        ) {
            assert!(
                !on_the_way.contains(&key),
                "{place}: {on_the_way:?} comes round to {key}"
            );
            let Some(step) = steps.get(key) else {
                panic!("{place}: no step {key}")
            };
            if step.together || !done.insert(step.key) {
                return;
            }
            on_the_way.push(step.key);
            let inputs = step.origin.inputs();
            if inputs.is_empty() {
                let may_end = match &step.origin {
                    Origin::Formula { .. } | Origin::Meeting { .. } => false,
                    Origin::Read { off, .. } => !off.is_empty(),
                    _ => true,
                };
                assert!(may_end, "{place}: {key} comes from nowhere");
            }
            for input in inputs {
                walk(input, steps, on_the_way, done, place);
            }
            on_the_way.pop();
        }
        let mut done = HashSet::new();
        for step in &working.steps {
            for input in step.origin.inputs() {
                walk(input, &steps, &mut Vec::new(), &mut done, place);
            }
        }
        // Two numbers with one symbol could not be told apart in an equation.
        let mut symbols: HashMap<&str, &str> = HashMap::new();
        for step in &working.steps {
            if let Some(other) = symbols.insert(step.symbol, step.key) {
                panic!("{place}: {other} and {} are both {}", step.key, step.symbol);
            }
        }
    });
}

#[test]
fn sides_meet() {
    let mut worst: (f64, String) = (0.0, String::new());
    each(17, |place, _, _, _, working| {
        for step in &working.steps {
            let Origin::Meeting { left, right, .. } = &step.origin else {
                continue;
            };
            let values = working.values(&[left, right]).expect("steps");
            let miss = (values[0] - values[1]).abs() / values[1].abs().max(1e-9);
            if miss > worst.0 {
                worst = (miss, format!("{place}: {left} {right} {values:?}"));
            }
        }
    });
    println!("worst meeting {worst:?}");
    // What the shaft is balanced to.
    assert!(worst.0 < 1e-8, "{worst:?}");
}

#[test]
fn every_number_of_the_report_has_a_working() {
    each(5, |place, _, found, i, working| {
        let s = &found.speeds[i];
        let mut numbers = vec![
            ("boost_asked", s.boost_asked_pa),
            ("boost", s.boost_pa),
            ("outside_pressure", s.outside.pressure_pa),
            ("air_temperature", s.outside.temperature_k),
            ("inlet_pressure", s.compressor_inlet.pressure_pa),
            ("inlet_temperature", s.compressor_inlet.temperature_k),
            ("outlet_pressure", s.compressor_outlet.pressure_pa),
            ("outlet_temperature", s.compressor_outlet.temperature_k),
            ("manifold_pressure", s.manifold.pressure_pa),
            ("manifold_temperature", s.manifold.temperature_k),
            ("before_turbine", s.turbine_inlet.pressure_pa),
            ("turbine_inlet_temperature", s.turbine_inlet.temperature_k),
            ("after_turbine", s.turbine_outlet.pressure_pa),
            ("after_turbine_temperature", s.turbine_outlet.temperature_k),
            ("air_flow", s.outside.flow_kg_s),
            ("exhaust_flow", s.turbine_inlet.flow_kg_s),
            ("pressure_ratio", s.pressure_ratio),
            ("corrected_flow", s.corrected_flow_kg_s),
            ("corrected_speed", s.corrected_speed_rev_min),
            ("shaft_speed", s.shaft_speed_rev_min),
            ("room_surge", s.surge_room),
            ("compressor_power", s.compressor_power_w),
            ("turbine_power", s.turbine_power_w),
            ("bearing_here", s.bearing_power_w),
            ("expansion_ratio", s.expansion_ratio),
            ("back_pressure", s.back_pressure_ratio),
            ("gate_share", s.gate_share),
            ("gate_area", s.gate_area_m2),
            ("effectiveness", s.cooler_effectiveness),
            ("lost_in_filter", s.filter_loss_pa),
            ("lost_in_cooler", s.cooler_loss_pa),
            ("lost_in_exhaust", s.exhaust_loss_pa),
            ("volumetric_efficiency", s.volumetric_efficiency),
            ("dry_air", s.dry_air_kg_s),
            ("fuel_flow", s.fuel_kg_s),
            ("torque", s.torque_nm),
            ("power", s.power_w),
            ("wheel_power", s.wheel_power_w),
            ("brake_pressure", s.bmep_pa),
            ("gross_pressure", s.gross_imep_pa),
            ("pumping_pressure", s.pmep_pa),
            ("friction_pressure", s.fmep_pa),
            ("peak_pressure", s.peak_pressure_pa),
            ("injector_needed", s.injector_needed_m3_s),
            ("fuel_energy", s.energy.fuel_w),
            ("friction_power", s.energy.friction_w),
            ("wall_power", s.energy.coolant_w),
            ("cooler_heat", s.energy.charge_cooler_w),
            ("exhaust_warmth", s.energy.exhaust_sensible_w),
            ("unburned", s.energy.exhaust_unburned_w),
            ("other_losses", s.energy.other_losses_w),
        ];
        if s.choke_room < 1.0 {
            numbers.push(("room_choke", s.choke_room));
        }
        numbers.extend(
            s.compressor_efficiency
                .map(|e| ("compressor_efficiency", e)),
        );
        numbers.extend(s.bsfc_kg_j.map(|e| ("bsfc", e)));
        numbers.extend(s.injector_duty.map(|e| ("injector_duty_here", e)));
        if s.turbine_speed_ratio > 0.0 {
            numbers.push(("speed_ratio", s.turbine_speed_ratio));
            numbers.push(("turbine_efficiency", s.turbine_efficiency));
        }
        for (key, value) in numbers {
            let step = working
                .step(key)
                .unwrap_or_else(|| panic!("{place}: no working for {key}"));
            let miss = (step.value - value).abs() / value.abs().max(1e-9);
            assert!(
                miss < 1e-8,
                "{place}: {key} is {} in its working, {value} reported",
                step.value
            );
        }
        // The limits as the answer names them, at the speed where each is tightest.
        for limit in &found.limits {
            if (limit.at_rev_min - s.engine_speed_rev_min).abs() > 1e-6 {
                continue;
            }
            let key = limit.kind.working();
            let step = working
                .step(key)
                .unwrap_or_else(|| panic!("{place}: no working for {key}"));
            assert!((step.value - limit.room).abs() < 1e-8, "{place}: {key}");
        }
    });
}

#[test]
fn what_was_entered_is_told_apart_from_what_is_assumed() {
    let (_, build) = builds().swap_remove(0);
    let found = solve_at(&build, 3).expect("solvable");
    let working = Working::at(&build, &found, &found.speeds[2]).expect("solvable");
    for step in &working.steps {
        match step.origin {
            Origin::Entered(field) => assert!(build.entry(field).is_some(), "{}", step.key),
            Origin::Assumed(field) => assert!(build.entry(field).is_none(), "{}", step.key),
            _ => {}
        }
    }
}

#[test]
fn every_formula_is_written_in_mathml() {
    each(3, |place, _, _, _, working| {
        for step in &working.steps {
            let written = working.mathml(step);
            let worked_out = !step.origin.inputs().is_empty();
            if !worked_out {
                continue;
            }
            let (symbols, values) = written.unwrap_or_else(|| panic!("{place}: {}", step.key));
            for text in [symbols, values] {
                assert!(!text.contains('?'), "{place}: {text}");
                // Every tag that opens closes, in order.
                let mut open = Vec::new();
                for piece in text.split('<').skip(1) {
                    let tag = piece.split('>').next().unwrap_or_default();
                    if let Some(name) = tag.strip_prefix('/') {
                        assert_eq!(open.pop(), Some(name), "{text}");
                    } else if !tag.ends_with('/') {
                        open.push(tag.split(' ').next().unwrap_or_default());
                    }
                }
                assert!(open.is_empty(), "{text}");
            }
        }
    });
}

#[test]
fn a_value_held_at_a_bound_says_so() {
    let (_, build) = builds().swap_remove(0);
    let text = |field: Field, text: &str| build.with_text(field, text, field.spec().unit());
    let build = text(Field::WallHeat, "50")
        .and_then(|b| {
            let field = Field::WallHeatExponent;
            b.with_text(field, "0.5", field.spec().unit())
        })
        .expect("in range");
    let found = solve_at(&build, 9).expect("solvable");
    let working = Working::at(&build, &found, &found.speeds[0]).expect("solvable");
    let step = working.step("wall_share").expect("a step");
    assert_eq!(step.value, 0.6);
    let Origin::Formula {
        formula,
        inputs,
        bound: Some(_),
    } = &step.origin
    else {
        panic!("{:?}", step.origin);
    };
    let free = formula.evaluate(&working.values(inputs).expect("steps"));
    assert!(free.expect("readable") > 0.6);
    let (_, values) = working.mathml(step).expect("a formula");
    assert!(values.contains('≠'), "{values}");
}
