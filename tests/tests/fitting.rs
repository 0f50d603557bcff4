//! The swap sheet: what carries over from one turbocharger to another, what must change and to what.
//!
//! Velocities are worked out a second time here from the match's stations. Facts of the trade are named
//! where they stand: "common practice, no source".

#![cfg(not(target_arch = "wasm32"))]

use airpath::build::{
    Arrangement, Build, BuildFile, RecordFile, Turbocharger, from_link, on_shelf, to_link,
};
use airpath::desk::Candidate;
use airpath::desk::fitting::{
    Action, Because, Carries, ItemKind, Stream, SwapSheet, Value, Verdict,
};
use airpath::desk::fitting::{
    bearing_flow, bearing_pressure, bore_area, bore_of_area, dynamic_head, flow_number,
    flow_number_of_static, flow_number_of_total, mach_from_static, restrictor_area,
    restrictor_factor, static_pressure, static_temperature, velocity,
};
use airpath::fields::Field;
use airpath::run::{Match, StationReport};
use airpath::{example_build, solve_at};
use std::f64::consts::PI;
use std::sync::Arc;

fn kept(name: &str) -> Build {
    let path = format!("{}/builds/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a build that is kept");
    let file = BuildFile::from_json(&text).expect("a build file");
    file.into_build_from(on_shelf).expect("a sound build")
}

fn set(build: &Build, entries: &[(Field, &str)]) -> Build {
    entries.iter().fold(build.clone(), |build, (field, text)| {
        build
            .with_text(*field, text, field.spec().unit())
            .expect("in range")
    })
}

/// A vehicle that was measured.
fn measured(build: &Build) -> Build {
    set(
        build,
        &[
            (Field::IntakePipe, "80 mm"),
            (Field::HotPipe, "55 mm"),
            (Field::ColdPipe, "63 mm"),
            (Field::Downpipe, "76 mm"),
            (Field::OilPressure, "4.5 bar"),
            (Field::RoomLength, "300 mm"),
            (Field::RoomHeight, "220 mm"),
            (Field::InjectorFlow, "850 cm³/min"),
        ],
    )
}

fn example() -> Build {
    measured(&example_build().expect("the example is sound"))
}

/// A build with another turbocharger of the shelf.
fn with(build: &Build, id: &str, housing: usize, arrangement: Arrangement) -> Build {
    let candidate = Candidate {
        turbocharger: Arc::new(on_shelf(id).expect("on the shelf")),
        housing,
        arrangement,
    };
    candidate.on(build).expect("sound")
}

fn single(build: &Build, id: &str) -> Build {
    with(build, id, 0, Arrangement::Single)
}

fn solved(build: &Build) -> Match {
    solve_at(build, 6).expect("solvable")
}

fn sheet(from: &Build, to: &Build) -> SwapSheet {
    SwapSheet::new((from, &solved(from)), (to, &solved(to)))
}

fn verdict(sheet: &SwapSheet, kind: ItemKind) -> Verdict {
    sheet.item(kind).expect("a row").verdict
}

fn action(sheet: &SwapSheet, kind: ItemKind) -> &Action {
    &sheet.item(kind).expect("a row").action
}

/// Rows in which only what the two records and arrangements say counts: there, a swap back asks for as
/// much as the swap.
const RECORDED: [ItemKind; 12] = [
    ItemKind::Turbochargers,
    ItemKind::Inlet,
    ItemKind::Outlet,
    ItemKind::Manifold,
    ItemKind::TurbineFlange,
    ItemKind::TurbineHousing,
    ItemKind::Gate,
    ItemKind::ExhaustFlange,
    ItemKind::TurbineOutlet,
    ItemKind::OilFeed,
    ItemKind::OilRestrictor,
    ItemKind::OilDrain,
];

#[test]
fn the_same_again_asks_for_nothing() {
    let mut builds = vec![example()];
    for name in [
        "05-v8-5.0-pair",
        "07-diesel-four-2.0",
        "10-gate-too-small",
        "14-choke-cap",
        "28-spring-above-target",
    ] {
        builds.push(kept(name));
        builds.push(measured(&kept(name)));
    }
    for build in builds {
        let same = sheet(&build, &build);
        for item in &same.items {
            let at = format!("{}: {item:?}", build.name());
            assert!(
                matches!(item.verdict, Verdict::CarriesOver | Verdict::NotKnown),
                "{at}"
            );
            assert!(
                matches!(item.action, Action::Keep | Action::MeasureFirst),
                "{at}"
            );
            assert_eq!(item.from, item.to, "{at}");
            assert_eq!(
                item.verdict == Verdict::NotKnown,
                item.to == Value::NotKnown,
                "{at}"
            );
        }
    }
}

#[test]
fn another_compressor_on_the_same_frame_leaves_the_exhaust_side() {
    let build = example();
    let (from, to) = (single(&build, "birch-58"), single(&build, "birch-66"));
    let there = sheet(&from, &to);
    for kind in [
        ItemKind::Turbochargers,
        ItemKind::Manifold,
        ItemKind::TurbineFlange,
        ItemKind::TurbineHousing,
        ItemKind::Gate,
        ItemKind::GateSpring,
        ItemKind::ExhaustFlange,
        ItemKind::TurbineOutlet,
        ItemKind::OilFeed,
        ItemKind::OilRestrictor,
        ItemKind::OilDrain,
        ItemKind::Coolant,
        ItemKind::TurbineHousingWidth,
    ] {
        assert_eq!(verdict(&there, kind), Verdict::CarriesOver, "{kind:?}");
    }
    // The hose of 57 mm gives way to one of 63.5 mm.
    let Action::Reducer { from_m, to_m } = action(&there, ItemKind::Inlet) else {
        panic!("{:?}", there.item(ItemKind::Inlet));
    };
    assert!(to_m > from_m);
    // The next A/R fits the cartridge.
    let next = with(&build, "birch-66", 1, Arrangement::Single);
    let housing = sheet(&from, &next);
    let other = Action::OtherHousing { a_over_r: 0.72 };
    assert_eq!(action(&housing, ItemKind::TurbineHousing), &other);
    // Of another frame it does not.
    let frame = sheet(&from, &single(&build, "alder-57"));
    assert_eq!(
        action(&frame, ItemKind::TurbineHousing),
        &Action::ComesWithIt
    );
}

#[test]
fn a_ball_bearing_wants_a_restrictor_and_coolant() {
    let build = example();
    // Journal bearings, no coolant; ball bearings with coolant and a restrictor of 1.0 mm.
    let (journal, ball) = (single(&build, "ash-79"), single(&build, "rowan"));
    let (there, back) = (sheet(&journal, &ball), sheet(&ball, &journal));
    assert_eq!(action(&there, ItemKind::Coolant), &Action::AddCoolantLines);
    assert_eq!(verdict(&there, ItemKind::Coolant), Verdict::Change);
    assert_eq!(action(&back, ItemKind::Coolant), &Action::CloseCoolantLines);
    let fit = Action::FitRestrictor { bore_m: 1.0e-3 };
    assert_eq!(action(&there, ItemKind::OilRestrictor), &fit);
    assert_eq!(
        action(&back, ItemKind::OilRestrictor),
        &Action::RemoveRestrictor
    );
    // A journal bearing that can have coolant may run without. Common practice, no source.
    let cooled = single(&build, "alder-57");
    let optional = sheet(&journal, &cooled);
    assert_eq!(verdict(&optional, ItemKind::Coolant), Verdict::Optional);
    assert_eq!(
        verdict(&optional, ItemKind::OilRestrictor),
        Verdict::CarriesOver
    );
}

#[test]
fn a_ball_bearing_over_forty_psi_takes_thirty_thousandths() {
    // Common practice, no source: over 40 psi, 0.030 in.
    let build = example();
    let mut record = on_shelf("rowan").expect("on the shelf");
    record.connections.oil_restrictor_m = None;
    record.name = "Unstated".to_owned();
    let unstated = build.fitted_with(Arc::new(record), 0).expect("sound");
    let journal = single(&build, "ash-79");
    let at = |pressure: &str| {
        let entry = [(Field::OilPressure, pressure)];
        sheet(&set(&journal, &entry), &set(&unstated, &entry))
    };
    let high = at("41 psi");
    let item = high.item(ItemKind::OilRestrictor).expect("a row");
    let Action::FitRestrictor { bore_m } = item.action else {
        panic!("{item:?}");
    };
    assert!((bore_m / 0.0254 - 0.030).abs() < 1e-9);
    assert!(matches!(
        item.because,
        Because::Bearing {
            by_practice: true,
            ..
        }
    ));
    assert_eq!(
        verdict(&at("39 psi"), ItemKind::OilRestrictor),
        Verdict::CarriesOver
    );
    let blind = build.with(Field::OilPressure, None).expect("may be blank");
    let unstated = blind
        .fitted_with(unstated.turbocharger().clone(), 0)
        .expect("sound");
    let unknown = sheet(&single(&blind, "ash-79"), &unstated);
    assert_eq!(
        verdict(&unknown, ItemKind::OilRestrictor),
        Verdict::NotKnown
    );
    assert_eq!(unknown.oil, (None, None));
    // The model stands beside it, with its own answer and how far that is trusted.
    let oil = at("65 psi").oil.1.expect("a pressure");
    let bore = oil.bore_for_wanted.expect("above what is wanted");
    assert!(!oil.flow_entered && bore.least_m < bore.bore_m && bore.bore_m < bore.most_m);
    let (_, with) = oil.with.expect("practice's restrictor");
    assert!(with.pressure_pa < oil.without.pressure_pa && with.flow_m3_s < oil.without.flow_m3_s);
}

/// Velocity, m/s, and Mach number in a bore by repeated substitution from a total or static pressure, with
/// a gas constant and a heat capacity from outside.
fn by_hand(
    station: &StationReport,
    flow: f64,
    bore_m: f64,
    (r, cp): (f64, f64),
    is_static: bool,
) -> (f64, f64) {
    let area = PI / 4.0 * bore_m * bore_m;
    let gamma = cp / (cp - r);
    let mut v = 0.0;
    let mut t = station.temperature_k;
    for _ in 0..200 {
        t = station.temperature_k - v * v / (2.0 * cp);
        let p = match is_static {
            true => station.pressure_pa,
            false => station.pressure_pa * (t / station.temperature_k).powf(gamma / (gamma - 1.0)),
        };
        v = flow * r * t / (p * area);
    }
    (v, v / (gamma * r * t).sqrt())
}

fn stream(sheet: &SwapSheet, kind: ItemKind) -> Stream {
    match sheet.item(kind).expect("a row").because {
        Because::Speed { to: Some(to), .. } => to,
        other => panic!("{other:?}"),
    }
}

#[test]
fn velocities_are_those_of_the_stations() {
    // Dry air and the exhaust of CH1.87 at λ 0.8, without ethanol or vapour: gas constant and heat capacity
    // by Cantera 3.2.0 (nasa_gas.yaml), rows 03 and 10 of `rows/`, at 300, 400 and 1,100 K. The petrol here
    // has CH1.90, which raises the gas constant by 0.1 %; the heat capacity moves a velocity by less.
    let dry = set(
        &example(),
        &[
            (Field::RelativeHumidity, "0 %"),
            (Field::EthanolShare, "0 %"),
            (Field::Lambda, "0.8"),
        ],
    );
    const NEAR: f64 = 0.004;
    for pair in [false, true] {
        let build = match pair {
            false => dry.clone(),
            true => with(&dry, "hazel", 0, Arrangement::Pair),
        };
        let found = solved(&build);
        let same = sheet(&build, &build);
        let share = if pair { 0.5 } else { 1.0 };
        type Pick = fn(&airpath::run::SpeedReport) -> &StationReport;
        let rows: [(ItemKind, Pick, f64, f64, f64, f64, bool); 4] = [
            (
                ItemKind::IntakePipe,
                |s| &s.compressor_inlet,
                share,
                0.080,
                287.05,
                1004.8,
                false,
            ),
            (
                ItemKind::HotPipe,
                |s| &s.compressor_outlet,
                share,
                0.055,
                287.05,
                1014.2,
                false,
            ),
            (
                ItemKind::ColdPipe,
                |s| &s.manifold,
                1.0,
                0.063,
                287.05,
                1006.5,
                true,
            ),
            (
                ItemKind::Downpipe,
                |s| &s.turbine_outlet,
                share,
                0.076,
                300.32,
                1306.6,
                true,
            ),
        ];
        for (kind, station, share, bore, r, cp, is_static) in rows {
            let told = stream(&same, kind);
            let s = found
                .speeds
                .iter()
                .find(|s| s.engine_speed_rev_min == told.at_rev_min)
                .expect("a speed of the match");
            let at = station(s);
            let (v, mach) = by_hand(at, share * at.flow_kg_s, bore, (r, cp), is_static);
            assert!(
                (told.velocity_m_s / v - 1.0).abs() < NEAR,
                "{kind:?}: {told:?}, {v}"
            );
            assert!(
                (told.mach / mach - 1.0).abs() < NEAR,
                "{kind:?}: {told:?}, {mach}"
            );
            let own = pair && kind != ItemKind::ColdPipe;
            assert_eq!(told.carries == Carries::Half, own, "{kind:?}");
            // At no other speed is it faster.
            for s in &found.speeds {
                let at = station(s);
                let (_, mach) = by_hand(at, share * at.flow_kg_s, bore, (r, cp), is_static);
                assert!(mach < (1.0 + NEAR) * told.mach, "{kind:?}");
            }
        }
    }
}

#[test]
fn a_swap_back_mirrors_the_swap() {
    let build = example();
    let builds = [
        single(&build, "hazel"),
        single(&build, "birch-62"),
        single(&build, "birch-66"),
        single(&build, "rowan"),
        single(&build, "ash-79"),
        with(&build, "elder-38", 1, Arrangement::Pair),
    ];
    let matches: Vec<Match> = builds.iter().map(solved).collect();
    let sides: Vec<(&Build, &Match)> = builds.iter().zip(&matches).collect();
    let (mut same, mut other) = (0, 0);
    for (at, a) in sides.iter().enumerate() {
        for b in &sides[at + 1..] {
            let (there, back) = (SwapSheet::new(*a, *b), SwapSheet::new(*b, *a));
            assert_eq!(there.figures.0, back.figures.1);
            assert_eq!(there.figures.1, back.figures.0);
            assert_eq!((&there.oil.0, &there.oil.1), (&back.oil.1, &back.oil.0));
            for (one, two) in there.items.iter().zip(&back.items) {
                assert_eq!((&one.from, &one.to), (&two.to, &two.from));
                assert_eq!((one.count.0, one.count.1), (two.count.1, two.count.0));
                if RECORDED.contains(&one.kind) {
                    assert_eq!(one.verdict, two.verdict, "{one:?}\n{two:?}");
                    match one.verdict {
                        Verdict::CarriesOver => same += 1,
                        _ => other += 1,
                    }
                }
                if let (Action::Reducer { from_m, to_m }, Action::Reducer { from_m: f, to_m: t }) =
                    (&one.action, &two.action)
                {
                    assert_eq!((from_m, to_m), (t, f));
                }
            }
        }
    }
    assert!(same > 10 && other > 10, "{same} {other}");
}

#[test]
fn injectors_that_are_told_are_large_enough() {
    let build = set(&example(), &[(Field::InjectorFlow, "420 cm³/min")]);
    let small = single(&build, "hazel");
    let less = set(&small, &[(Field::BoostTarget, "0.5 bar")]);
    let more = single(&build, "rowan");
    let there = sheet(&less, &more);
    let Action::LargerInjectors { flow_m3_s } = *action(&there, ItemKind::Injectors) else {
        panic!("{:?}", there.item(ItemKind::Injectors));
    };
    let text = format!("{} cm³/min", flow_m3_s * 6e7);
    let larger = set(&more, &[(Field::InjectorFlow, &text)]);
    let most = solved(&larger)
        .speeds
        .iter()
        .filter_map(|s| s.injector_duty)
        .fold(0.0, f64::max);
    assert!((most / larger.get(Field::InjectorDuty) - 1.0).abs() < 1e-6);
    let back = sheet(&more, &less);
    assert_eq!(verdict(&back, ItemKind::Injectors), Verdict::CarriesOver);
}

#[test]
fn room_is_made_where_it_is_missing() {
    let build = set(&example(), &[(Field::RoomLength, "200 mm")]);
    let (from, to) = (single(&build, "hazel"), single(&build, "oak-96"));
    let there = sheet(&from, &to);
    let length = to.turbocharger().connections.length_m.expect("measured");
    let Action::MakeRoom { missing_m } = *action(&there, ItemKind::Length) else {
        panic!("{:?}", there.item(ItemKind::Length));
    };
    assert!((missing_m - (length - 0.2)).abs() < 1e-12);
    // What is shorter than what is there fits where that is; what was not measured may not.
    assert_eq!(
        verdict(&sheet(&to, &from), ItemKind::Length),
        Verdict::CarriesOver
    );
    let blank = sheet(&from, &single(&build, "hornbeam"));
    assert_eq!(verdict(&blank, ItemKind::Length), Verdict::NotKnown);
}

#[test]
fn what_was_added_to_a_record_travels_and_old_records_read() {
    let added = [
        "spring_pa",
        "length_m",
        "height_m",
        "compressor_housing_m",
        "turbine_housing_m",
        "price",
        "availability",
    ];
    let mut old = on_shelf("hazel").expect("on the shelf");
    old.id = "own".to_owned();
    old.gate.spring_pa = None;
    old.connections.length_m = None;
    old.connections.height_m = None;
    old.connections.compressor_housing_m = None;
    old.connections.turbine_housing_m = None;
    // What is not known leaves no trace: this is the text of an old record.
    let text = serde_json::to_string(&old).expect("text");
    for key in added {
        assert!(!text.contains(&format!("\"{key}\":")), "{key}");
    }
    assert_eq!(
        serde_json::from_str::<Turbocharger>(&text).ok().as_ref(),
        Some(&old)
    );
    let mut own = old.clone();
    own.gate.spring_pa = Some(61_000.0);
    own.connections.length_m = Some(0.231);
    own.connections.height_m = Some(0.19);
    own.connections.compressor_housing_m = Some(0.155);
    own.connections.turbine_housing_m = Some(0.125);
    own.price = "900, used".to_owned();
    own.availability = "a friend’s shed".to_owned();
    let text = serde_json::to_string(&own).expect("text");
    for key in added {
        assert!(text.contains(&format!("\"{key}\":")), "{key}");
    }
    let file = RecordFile::new(vec![old, own.clone()]);
    assert_eq!(RecordFile::from_json(&file.to_json()), Ok(file));
    let build = example().fitted_with(Arc::new(own), 1).expect("sound");
    let file = BuildFile::from_build(&build).to_json();
    let back = BuildFile::from_json(&file).and_then(|f| f.into_build_from(on_shelf));
    assert_eq!(back.as_ref(), Ok(&build));
    // An estimated map that was changed does not travel to the digit in a link; what was added does.
    let back = from_link(&to_link(&build).expect("a link")).expect("its own");
    let (one, two) = (build.turbocharger(), back.turbocharger());
    assert_eq!(
        (&one.price, &one.availability),
        (&two.price, &two.availability)
    );
    assert_eq!((&one.gate, &one.connections), (&two.gate, &two.connections));
    let mut long = build.turbocharger().as_ref().clone();
    long.price = "9".repeat(81);
    assert!(long.check().is_err());
}

#[test]
fn what_is_shown_is_what_is_computed() {
    let near = |shown: Option<f64>, computed: f64| {
        let shown = shown.expect("readable");
        assert!((shown / computed - 1.0).abs() < 1e-12, "{shown} {computed}");
    };
    macro_rules! shown {
        ($($name:ident($($value:expr),*);)*) => { $(
            near($name::FORMULA.evaluate(&[$($value),*]).ok(), $name($($value),*));
        )* };
    }
    shown! {
        bore_area(0.063);
        bore_of_area(0.0031);
        flow_number(0.3, 287.0, 300.0, 1e5, 0.003);
        flow_number_of_total(0.3, 1.4);
        flow_number_of_static(0.3, 1.4);
        mach_from_static(0.36, 1.4);
        static_temperature(300.0, 0.3, 1.4);
        static_pressure(1e5, 0.3, 1.4);
        velocity(0.3, 1.4, 287.0, 295.0);
        dynamic_head(9e4, 0.3, 1.4);
        bearing_flow(2e5, 1.7e-5, 3e5);
        restrictor_factor(820.0, 5.6e-11, 0.7, 7.9e-7);
        bearing_pressure(4.5e5, 2e-6);
        restrictor_area(1.5e-5, 0.7, 820.0, 1.7e5);
    }
}

#[test]
fn a_filter_and_a_cooler_that_are_outgrown_are_told() {
    let build = set(&example(), &[(Field::RatedFlow, "0.09 kg/s per litre")]);
    let (from, to) = (single(&build, "hazel"), single(&build, "rowan"));
    let there = sheet(&from, &to);
    let most = there.figures.1.flow_kg_s;
    assert!(most > 0.09 * 2.2 && there.figures.0.flow_kg_s < most);
    let larger = Action::LargerFilter { flow_kg_s: most };
    assert_eq!(action(&there, ItemKind::Filter), &larger);
    let larger = Action::LargerCooler { flow_kg_s: most };
    assert_eq!(action(&there, ItemKind::Cooler), &larger);
    // Nothing has to be done: the match holds with their losses.
    assert_eq!(verdict(&there, ItemKind::Filter), Verdict::Optional);
    let back = sheet(&to, &from);
    assert_eq!(verdict(&back, ItemKind::Cooler), Verdict::CarriesOver);
}

#[test]
fn a_drain_is_never_reduced() {
    let build = example();
    let there = sheet(&single(&build, "hazel"), &single(&build, "oak-96"));
    let drain = Action::OtherDrain { bore_m: 0.022 };
    assert_eq!(action(&there, ItemKind::OilDrain), &drain);
}
