//! The sheet's rows on builds of the shelf.

use super::*;
use crate::build::{Connections, on_shelf};
use crate::desk::Candidate;
use crate::{example_build, solve_at};
use std::sync::Arc;

fn set(build: &Build, entries: &[(Field, &str)]) -> Build {
    entries.iter().fold(build.clone(), |build, (field, text)| {
        build
            .with_text(*field, text, field.spec().unit())
            .expect("in range")
    })
}

/// The worked example with a vehicle that was measured.
fn measured() -> Build {
    let build = example_build().expect("ours");
    set(
        &build,
        &[
            (Field::IntakePipe, "76 mm"),
            (Field::HotPipe, "51 mm"),
            (Field::ColdPipe, "60 mm"),
            (Field::Downpipe, "76 mm"),
            (Field::OilPressure, "4.5 bar"),
            (Field::RoomLength, "260 mm"),
            (Field::RoomHeight, "200 mm"),
        ],
    )
}

/// The same with another turbocharger, its first housing.
fn with(build: &Build, id: &str, arrangement: Arrangement) -> Build {
    let turbocharger = Arc::new(on_shelf(id).expect("on the shelf"));
    let candidate = Candidate {
        turbocharger,
        housing: 0,
        arrangement,
    };
    candidate.on(build).expect("sound")
}

fn sheet(from: &Build, to: &Build) -> SwapSheet {
    let solve = |build: &Build| solve_at(build, 5).expect("solvable");
    SwapSheet::new((from, &solve(from)), (to, &solve(to)))
}

fn verdict(sheet: &SwapSheet, kind: ItemKind) -> Verdict {
    sheet.item(kind).expect("a row").verdict
}

#[test]
fn fitting_the_same_changes_nothing() {
    for build in [example_build().expect("ours"), measured()] {
        let same = sheet(&build, &build);
        for item in &same.items {
            let ok = matches!(item.verdict, Verdict::CarriesOver | Verdict::NotKnown);
            assert!(ok && item.from == item.to, "{item:?}");
        }
        assert_eq!(same.figures.0, same.figures.1);
        assert_eq!(same.oil.0, same.oil.1);
    }
    // With the vehicle measured only the injectors' and the gate's facts can be missing.
    let build = measured();
    let same = sheet(&build, &build);
    let unknown = same.items.iter().filter(|i| i.verdict == Verdict::NotKnown);
    let unknown: Vec<ItemKind> = unknown.map(|i| i.kind).collect();
    assert_eq!(unknown, [ItemKind::GateSpring]);
}

#[test]
fn rows_stand_once_and_have_words() {
    let build = measured();
    let all = sheet(&build, &with(&build, "oak-96", Arrangement::Single));
    for (at, item) in all.items.iter().enumerate() {
        assert!(!item.kind.label().is_empty() && !item.action.label().is_empty());
        assert!(!item.verdict.label().is_empty());
        assert!(
            all.items[at + 1..]
                .iter()
                .all(|other| other.kind != item.kind)
        );
    }
}

#[test]
fn what_is_blank_is_not_known() {
    let build = example_build().expect("ours");
    let mut bare = build.turbocharger().as_ref().clone();
    bare.connections = Connections::default();
    bare.gate.spring_pa = None;
    bare.name = "Bare".to_owned();
    let bare = build.fitted_with(Arc::new(bare), 1).expect("sound");
    for other in [&build, &bare] {
        let there = sheet(&bare, other);
        for kind in [
            ItemKind::IntakePipe,
            ItemKind::Inlet,
            ItemKind::Outlet,
            ItemKind::HotPipe,
            ItemKind::ColdPipe,
            ItemKind::TurbineFlange,
            ItemKind::GateSpring,
            ItemKind::ExhaustFlange,
            ItemKind::TurbineOutlet,
            ItemKind::Downpipe,
            ItemKind::OilFeed,
            ItemKind::OilRestrictor,
            ItemKind::OilDrain,
            ItemKind::Coolant,
            ItemKind::Length,
            ItemKind::Height,
            ItemKind::CompressorHousing,
            ItemKind::TurbineHousingWidth,
        ] {
            assert_eq!(verdict(&there, kind), Verdict::NotKnown, "{kind:?}");
            let back = sheet(other, &bare);
            assert_eq!(verdict(&back, kind), Verdict::NotKnown, "{kind:?}");
        }
        assert_eq!(there.oil, (None, None));
    }
    // The wheel is the same, and whether the housing fits is not known; with another wheel it is.
    let to = sheet(&bare, &build);
    assert_eq!(verdict(&to, ItemKind::TurbineHousing), Verdict::NotKnown);
    let other = sheet(&bare, &with(&build, "oak-96", Arrangement::Single));
    let housing = other.item(ItemKind::TurbineHousing).expect("a row");
    assert_eq!(housing.action, Action::ComesWithIt);
}

#[test]
fn a_pair_takes_two_of_everything() {
    let single = measured();
    let pair = single.with_arrangement(Arrangement::Pair);
    let (there, back) = (sheet(&single, &pair), sheet(&pair, &single));
    for kind in [
        ItemKind::Turbochargers,
        ItemKind::IntakePipe,
        ItemKind::Inlet,
        ItemKind::HotPipe,
        ItemKind::TurbineHousing,
        ItemKind::Downpipe,
        ItemKind::OilFeed,
        ItemKind::OilDrain,
        ItemKind::Coolant,
    ] {
        let item = there.item(kind).expect("a row");
        assert_eq!(item.action, Action::Add { count: 1 }, "{kind:?}");
        assert_eq!(item.count, (1, 2));
        let item = back.item(kind).expect("a row");
        assert_eq!(item.action, Action::TakeOff { count: 1 }, "{kind:?}");
    }
    let manifold = there.item(ItemKind::Manifold).expect("a row");
    assert_eq!(manifold.action, Action::NewManifold);
    assert_eq!(verdict(&there, ItemKind::ColdPipe), Verdict::CarriesOver);
    // Half of the flow in each hot pipe, all of it in the cold one.
    let carries = |kind| match there.item(kind).expect("a row").because {
        Because::Speed { to: Some(to), .. } => to.carries,
        other => panic!("{other:?}"),
    };
    assert_eq!(carries(ItemKind::HotPipe), Carries::Half);
    assert_eq!(carries(ItemKind::ColdPipe), Carries::All);
}

#[test]
fn a_pipe_that_is_outgrown_is_told_with_its_bore() {
    let build = measured();
    let less = with(&build, "hazel", Arrangement::Single);
    let less = set(&less, &[(Field::BoostTarget, "0.5 bar")]);
    let intake = |build: &Build, bore_m: f64| {
        let found = solve_at(build, 5).expect("solvable");
        let gases = Gases::of(build);
        stream::fastest(stream::Place::Intake, bore_m, build, &gases, &found).expect("it runs")
    };
    // A pipe with two hundredths to spare, and then twice the boost.
    let bore = format!("{} mm", 1020.0 * intake(&less, 0.06).bore_wanted_m);
    let less = set(&less, &[(Field::IntakePipe, &bore)]);
    let more = set(&less, &[(Field::BoostTarget, "1 bar")]);
    let there = sheet(&less, &more);
    let item = there.item(ItemKind::IntakePipe).expect("a row");
    let Action::WiderPipe { bore_m } = item.action else {
        panic!("{item:?}");
    };
    assert_eq!(item.verdict, Verdict::Change);
    // With that bore it just keeps within the ceiling.
    let mach = intake(&more, bore_m).mach;
    assert!((mach / INTAKE_CEILING.mach - 1.0).abs() < 1e-9, "{mach}");
    // The other way round nothing has to be done.
    let back = sheet(&more, &less);
    assert_eq!(verdict(&back, ItemKind::IntakePipe), Verdict::CarriesOver);
}

#[test]
fn a_spring_is_held_against_the_boost_asked() {
    let build = measured();
    let action = |id: &str, boost: &str| {
        let from = set(&build, &[(Field::BoostTarget, boost)]);
        let to = with(&from, id, Arrangement::Single);
        let there = sheet(&from, &to);
        there
            .item(ItemKind::GateSpring)
            .expect("a row")
            .action
            .clone()
    };
    // The record says 0.5 bar.
    let softer = Action::SofterSpring { most_pa: 0.4e5 };
    assert_eq!(action("hazel", "0.4 bar"), softer);
    let stiffer = Action::StifferSpring { least_pa: 0.6e5 };
    assert_eq!(action("hazel", "1.2 bar"), stiffer);
    assert_eq!(action("hazel", "0.8 bar"), Action::ComesWithIt);
    assert_eq!(action("alder-54", "0.8 bar"), Action::MeasureFirst);
    // A spring that was entered is that of the actuator there, not of the next one in a housing.
    let there = with(&build, "alder-54", Arrangement::Single);
    let there = set(&there, &[(Field::GateSpring, "0.6 bar")]);
    let mut next = there.turbocharger().as_ref().clone();
    next.name = "Next".to_owned();
    let next = there.fitted_with(Arc::new(next), 0).expect("sound");
    let item = |from, to| {
        let there = sheet(from, to);
        there.item(ItemKind::GateSpring).expect("a row").to.clone()
    };
    let entered = Value::GaugePressure(there.get(Field::GateSpring));
    assert_eq!(item(&there, &there), entered);
    assert_eq!(item(&there, &next), Value::NotKnown);
}
