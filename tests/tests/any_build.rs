//! Any valid build, every field anywhere in its range, gets an answer or a named refusal, in
//! bounded work; and what was solved adds up.
//!
//! A million of them in the long run, with how the work is distributed. The slowest it met are kept
//! in `builds/hard/`, and `benches/hard_builds.rs` times them.

use airpath::build::{
    Arrangement, Bearing, Build, BuildFile, CurveField, EnteredCurve, Entry, FuelKind,
    RailReference, Turbocharger, shelf,
};
use airpath::fields::{Default, FIELDS, Field};
use airpath::numeric::Curve;
use airpath::quantity::Kind;
use airpath::run::{Held, Match};
use airpath::solve_at;
use airpath_tests::hostile::Dice;
use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Instant;

/// Most turbocharger states that working out one engine speed may take, mean over a build.
const MOST_STATES_A_SPEED: u64 = 9000;

/// How many builds one seed makes.
const BUILDS_A_SEED: usize = 1000;

/// A build with each field left alone, in its usual range, anywhere in its range, or at an end;
/// the wild ones also with curves and a turbocharger's record anywhere in theirs. `true` beside it
/// where every field is usual.
fn roll(dice: &mut Dice, shelf: &[Arc<Turbocharger>]) -> (Build, bool) {
    let wildness = dice.below(4);
    let mut turbocharger = shelf[dice.below(shelf.len())].clone();
    if wildness >= 2 && dice.below(4) == 0 {
        turbocharger = Arc::new(roll_turbocharger(dice, &turbocharger));
    }
    let housing = dice.below(turbocharger.turbine.housings.len());
    let mut build = Build::new("any", turbocharger.clone())
        .and_then(|b| b.with_turbocharger(turbocharger, housing))
        .expect("the shelf is sound");
    for spec in &FIELDS {
        if spec.field == Field::PowerTarget && dice.below(20) > 0 {
            continue;
        }
        let blank = matches!(spec.default, Default::Blank(_));
        let (low, high) = match (wildness, dice.below(if blank { 6 } else { 3 })) {
            (0, _) | (_, 3..) => continue,
            (1, _) => spec.usual,
            (2, 0) => spec.range,
            (2, _) => spec.usual,
            (_, 0) => (spec.range.0, spec.range.0),
            (_, 1) => (spec.range.1, spec.range.1),
            (_, _) => spec.range,
        };
        let mut value = dice.between(low, high);
        if spec.kind == Kind::Count {
            value = value.round();
        }
        let unit = spec.unit();
        // A redline below idle is refused; the build before stands then.
        if let Ok(next) = build.with(
            spec.field,
            Some(Entry {
                si: unit.to_si(value),
                unit,
            }),
        ) {
            build = next;
        }
    }
    if wildness >= 2 {
        for field in CurveField::ALL {
            if dice.below(4) == 0 {
                build = build
                    .with_curve(field, Some(roll_curve(dice, field)))
                    .expect("within its range");
            }
        }
    }
    if dice.below(2) == 0 {
        build = build.with_arrangement(Arrangement::Pair);
    }
    if dice.below(3) == 0 {
        build = build.with_fuel(FuelKind::Diesel);
    }
    if dice.below(3) == 0 {
        build = build.with_rail_reference(RailReference::Outside);
    }
    (build, wildness < 2)
}

/// A curve of one to eight points anywhere in its range.
fn roll_curve(dice: &mut Dice, field: CurveField) -> EnteredCurve {
    let spec = field.spec();
    let unit = |(kind, symbol): (Kind, &str)| kind.unit(symbol).unwrap_or_else(|| kind.metric());
    let (x_unit, y_unit) = (unit(spec.x), unit(spec.y));
    let mut x: Vec<f64> = (0..=dice.below(8))
        .map(|_| dice.between(spec.x_range.0, spec.x_range.1))
        .collect();
    x.sort_by(f64::total_cmp);
    x.dedup();
    let points: Vec<(f64, f64)> = x
        .into_iter()
        .map(|x| {
            let y = dice.between(spec.y_range.0, spec.y_range.1);
            (x_unit.to_si(x), y_unit.to_si(y))
        })
        .collect();
    EnteredCurve {
        curve: Curve::new(&points).expect("finite and rising"),
        x_unit,
        y_unit,
    }
}

/// A turbocharger of the shelf with one or more of its numbers anywhere in their ranges; those of
/// the shelf where the record is refused. The ranges are those that the schema of the build file
/// states.
fn roll_turbocharger(dice: &mut Dice, of: &Turbocharger) -> Turbocharger {
    let mut rolled = of.clone();
    let often = 1 + dice.below(4);
    let mut roll = |value: &mut f64, low: f64, high: f64| {
        if dice.below(4) < often {
            *value = dice.between(low, high);
        }
    };
    let wheel = &mut rolled.compressor.wheel;
    roll(&mut wheel.inducer_m, 0.01, 0.3);
    roll(&mut wheel.exducer_m, 0.015, 0.4);
    roll(&mut wheel.hub_ratio, 0.1, 0.8);
    roll(&mut wheel.throat_share, 0.2, 1.0);
    let turbine = &mut rolled.turbine;
    roll(&mut turbine.inducer_m, 0.015, 0.4);
    roll(&mut turbine.exducer_m, 0.01, 0.4);
    roll(&mut turbine.peak_efficiency, 0.3, 0.9);
    roll(&mut turbine.inlet_limit_k, 700.0, 1500.0);
    for housing in &mut turbine.housings {
        roll(&mut housing.a_over_r, 0.1, 4.0);
        let mut swallowing = 0.0;
        roll(&mut swallowing, 1e-6, 3e-4);
        if swallowing > 0.0 {
            housing.swallowing = Some(swallowing);
        }
    }
    roll(&mut rolled.largest_speed_rev_min, 1e4, 5e5);
    roll(&mut rolled.gate.diameter_m, 0.004, 0.15);
    roll(&mut rolled.gate.lift_m, 0.0005, 0.08);
    if dice.below(2) == 0 {
        rolled.bearing = Bearing::Journal;
    }
    rolled.bearing_in_efficiency = dice.below(2) == 0;
    if rolled.check().is_ok() {
        rolled
    } else {
        of.clone()
    }
}

/// Everything that must hold of an answer.
fn check(build: &Build, found: &Match) {
    let text = || BuildFile::from_build(build).to_json();
    for s in &found.speeds {
        let numbers = serde_json::to_value(s).expect("plain data");
        let all = numbers.as_object().expect("an object");
        for (name, value) in all {
            let may_be_missing = matches!(
                name.as_str(),
                "compressor_efficiency" | "bsfc_kg_j" | "injector_duty"
            );
            assert!(
                !value.is_null() || may_be_missing,
                "{name} is not a number:\n{}",
                text()
            );
        }
        // Boost that creeps beyond what is followed still has power left over, which the account
        // shows; everywhere else the shaft's balance closes it: to a millionth, of the fuel's power
        // or of the shafts' (one or two) where an engine full of air burns hardly any fuel, and to a hundredth
        // of a watt where the rotor all but stands.
        let followed = s.boost_pa < 7.9e5;
        if followed {
            let shaft = s.compressor_power_w.abs() + s.bearing_power_w;
            let closes = 1e-6 * s.energy.fuel_w.max(2.0 * shaft) + 0.01;
            assert!(
                (s.energy.imbalance * s.energy.fuel_w).abs() < closes,
                "{:?} at {}: {}\n{}",
                s.held,
                s.engine_speed_rev_min,
                s.energy.imbalance,
                text()
            );
        }
        assert!((0.0..=1.0).contains(&s.gate_share), "{}", text());
        if s.held != Held::Creep {
            assert!(
                s.boost_pa <= s.boost_asked_pa * (1.0 + 1e-9) + 1.0,
                "{}",
                text()
            );
            assert!(s.boost_pa <= s.boost_drivable_pa + 1.0, "{}", text());
        }
    }
}

/// One build that took much work.
#[derive(Clone)]
struct Hard {
    states: u64,
    micros: u64,
    seed: u64,
    number: usize,
    file: String,
}

/// How many of the hardest are kept.
const KEPT: usize = 3;

/// What came of many builds. Everything but the times is the same on every machine.
#[derive(Default)]
struct Tally {
    builds: usize,
    solved: usize,
    unsolved: usize,
    by_equation: BTreeMap<&'static str, usize>,
    most_states_a_speed: u64,
    /// Turbocharger states of each build.
    states: Vec<u64>,
    /// Microseconds of each build.
    micros: Vec<u64>,
    most_states: Vec<Hard>,
    longest: Vec<Hard>,
    failures: Vec<String>,
}

impl Tally {
    fn add(&mut self, other: Tally) {
        self.builds += other.builds;
        self.solved += other.solved;
        self.unsolved += other.unsolved;
        for (equation, count) in other.by_equation {
            *self.by_equation.entry(equation).or_insert(0) += count;
        }
        self.most_states_a_speed = self.most_states_a_speed.max(other.most_states_a_speed);
        self.states.extend(other.states);
        self.micros.extend(other.micros);
        self.most_states.extend(other.most_states);
        self.longest.extend(other.longest);
        self.failures.extend(other.failures);
        self.keep_hardest();
    }

    /// Ties go to the earlier build, so that the order in which threads end does not matter.
    fn keep_hardest(&mut self) {
        let place = |hard: &Hard| (hard.seed, hard.number);
        self.most_states
            .sort_by_key(|hard| (std::cmp::Reverse(hard.states), place(hard)));
        self.longest
            .sort_by_key(|hard| (std::cmp::Reverse(hard.micros), place(hard)));
        self.most_states.truncate(KEPT);
        self.longest.truncate(KEPT);
    }

    fn is_hard(&self, states: u64, micros: u64) -> bool {
        let least_states = self.most_states.get(KEPT - 1).map_or(0, |h| h.states);
        let least_micros = self.longest.get(KEPT - 1).map_or(0, |h| h.micros);
        states > least_states || micros > least_micros
    }

    fn text(&self) -> String {
        let spread = |values: &[u64], scale: f64, digits: usize| {
            let mut sorted = values.to_vec();
            sorted.sort_unstable();
            let at = |share: f64| {
                let place = (share * (sorted.len().saturating_sub(1)) as f64).round() as usize;
                sorted.get(place).map_or(0.0, |v| *v as f64 / scale)
            };
            format!(
                "p50 {:.digits$}, p99 {:.digits$}, p99.9 {:.digits$}, most {:.digits$}",
                at(0.5),
                at(0.99),
                at(0.999),
                at(1.0)
            )
        };
        let mut text = format!(
            "{} builds: {} speeds solved, {} not ({:?}); most states a speed {}\n\
             states a build: {}\nms a build: {}\n",
            self.builds,
            self.solved,
            self.unsolved,
            self.by_equation,
            self.most_states_a_speed,
            spread(&self.states, 1.0, 0),
            spread(&self.micros, 1000.0, 2),
        );
        for (what, hardest) in [("states", &self.most_states), ("time", &self.longest)] {
            for hard in hardest {
                text += &format!(
                    "most {what}: {} states, {:.2} ms, seed {} number {}\n",
                    hard.states,
                    hard.micros as f64 / 1000.0,
                    hard.seed,
                    hard.number
                );
            }
        }
        text
    }

    /// Usual builds always settle. Of the absurd ones (a filter that starves the engine, an exhaust
    /// that holds ten bar) a few per cent are refused by name, after a bounded amount of work.
    fn judge(&self) {
        println!("{}", self.text());
        assert!(
            self.failures.is_empty(),
            "{} of {} builds failed, the first of them:\n{}",
            self.failures.len(),
            self.builds,
            self.failures[..self.failures.len().min(3)].join("\n")
        );
        assert!(
            self.unsolved * 25 <= self.solved,
            "{} speeds of {} did not settle: {:?}",
            self.unsolved,
            self.solved,
            self.by_equation
        );
    }
}

/// Solves one build and checks everything that must hold of it.
fn one(build: &Build, usual: bool, speeds: usize) -> Match {
    let found = solve_at(build, speeds).expect("the map is sound");
    let text = || BuildFile::from_build(build).to_json();
    assert!(
        !usual || found.unsolved.is_empty(),
        "{:?}\n{}",
        found.unsolved,
        text()
    );
    assert!(
        found.speeds.len() + found.unsolved.len() >= speeds,
        "a speed has neither an answer nor a name:\n{}",
        text()
    );
    for miss in &found.unsolved {
        assert!(!miss.equation.is_empty(), "refused by no name:\n{}", text());
    }
    let states = found.effort.states / found.effort.speeds.max(1);
    assert!(
        states < MOST_STATES_A_SPEED,
        "a speed took {states} states:\n{}",
        text()
    );
    check(build, &found);
    found
}

fn run(seed: u64, count: usize, speeds: usize, shelf: &[Arc<Turbocharger>]) -> Tally {
    let mut dice = Dice::new(seed);
    let mut tally = Tally::default();
    for number in 0..count {
        let (build, usual) = roll(&mut dice, shelf);
        let start = Instant::now();
        // A build that fails, by a panic of the core's too, does not hide those after it.
        let found = catch_unwind(AssertUnwindSafe(|| one(&build, usual, speeds)));
        let micros = u64::try_from(start.elapsed().as_micros()).unwrap_or(u64::MAX);
        tally.builds += 1;
        let found = match found {
            Ok(found) => found,
            Err(panic) => {
                let said = panic
                    .downcast_ref::<String>()
                    .cloned()
                    .or_else(|| panic.downcast_ref::<&str>().map(ToString::to_string))
                    .unwrap_or_default();
                let file = BuildFile::from_build(&build).to_json();
                tally
                    .failures
                    .push(format!("seed {seed}, number {number}: {said}\n{file}"));
                continue;
            }
        };
        for miss in &found.unsolved {
            *tally.by_equation.entry(miss.equation).or_insert(0) += 1;
        }
        tally.unsolved += found.unsolved.len();
        tally.solved += found.speeds.len();
        let effort = found.effort;
        tally.most_states_a_speed = tally
            .most_states_a_speed
            .max(effort.states / effort.speeds.max(1));
        tally.states.push(effort.states);
        tally.micros.push(micros);
        if tally.is_hard(effort.states, micros) {
            let hard = Hard {
                states: effort.states,
                micros,
                seed,
                number,
                file: BuildFile::from_build(&build).to_json(),
            };
            tally.most_states.push(hard.clone());
            tally.longest.push(hard);
            tally.keep_hardest();
        }
    }
    tally
}

/// The kept builds: file name and text.
fn hard_builds() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("builds/hard");
    let mut files: Vec<(String, String)> = fs::read_dir(folder)
        .expect("a folder of hard builds")
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let name = path.file_name().expect("a name").to_string_lossy();
            (name.into_owned(), fs::read_to_string(&path).expect("text"))
        })
        .collect();
    files.sort();
    files
}

#[test]
fn any_valid_build_is_answered() {
    let shelf: Vec<_> = shelf().into_iter().map(Arc::new).collect();
    run(1, 1500, 9, &shelf).judge();
}

/// The hardest of a million, at as many speeds as the page asks for.
#[test]
fn the_hardest_builds_are_answered() {
    let files = hard_builds();
    assert!(files.len() >= 2, "only {} hard builds", files.len());
    for (name, text) in files {
        let build = BuildFile::from_json(&text)
            .and_then(BuildFile::into_build)
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        for speeds in [5, 60] {
            let found = one(&build, false, speeds);
            println!(
                "{name} at {speeds} speeds: {} states, {} speeds solved, {} not",
                found.effort.states,
                found.speeds.len(),
                found.unsolved.len()
            );
        }
    }
}

/// A million, for the long run: two threads share the seeds. The distribution and the hardest
/// builds are written beside the build's own files, under `tmp/hard_builds`; `AIRPATH_SEEDS` is how
/// many seeds of a thousand builds are tried.
#[test]
#[ignore = "long"]
fn a_million_builds_are_answered() {
    let shelf: Vec<_> = shelf().into_iter().map(Arc::new).collect();
    let seeds: u64 = std::env::var("AIRPATH_SEEDS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(1000);
    let next = AtomicU64::new(0);
    let all = Mutex::new((Tally::default(), 0u64));
    let work = || {
        loop {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= seeds {
                break;
            }
            let tally = run(1000 + seed, BUILDS_A_SEED, 5, &shelf);
            let (all, done) = &mut *all.lock().expect("failures are caught");
            all.add(tally);
            *done += 1;
            if done.is_multiple_of(100) {
                println!("{}{} failed", all.text(), all.failures.len());
            }
        }
    };
    std::thread::scope(|scope| {
        scope.spawn(work);
        scope.spawn(work);
    });
    let (tally, _) = all.into_inner().expect("failures are caught");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("hard_builds");
    fs::create_dir_all(&folder).expect("a folder for the hardest");
    fs::write(folder.join("distribution.txt"), tally.text()).expect("written");
    fs::write(folder.join("failures.txt"), tally.failures.join("\n")).expect("written");
    for (what, hardest) in [("states", &tally.most_states), ("time", &tally.longest)] {
        for (place, hard) in hardest.iter().enumerate() {
            let name = format!("{what}-{}.json", place + 1);
            fs::write(folder.join(name), &hard.file).expect("written");
        }
    }
    tally.judge();
}
