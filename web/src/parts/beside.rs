//! A visitor beside the person's own build: what comes of each, and where they differ.

use super::shapes::{list, live};
use crate::sentence::answer;
use crate::show::{Units, group};
use crate::store::{Store, speeds, use_store};
use airpath::build::{Arrangement, Build, CurveField, FuelKind, RailReference};
use airpath::fields::FIELDS;
use airpath::quantity::write_exact;
use leptos::prelude::*;
use std::sync::Arc;

/// A row: what it is about, the visitor's, one's own.
type Row = (&'static str, String, String);

/// What a match comes to, as the strip says it.
fn in_short(build: &Build, units: Units) -> String {
    match airpath::solve_at(build, speeds(build)) {
        Ok(found) => {
            let strip = answer(&found, units).strip;
            let all: Vec<String> = strip.iter().map(|line| line.plain()).collect();
            all.join("; ")
        }
        Err(error) => error.to_string(),
    }
}

/// What was chosen rather than typed.
fn choices(build: &Build) -> [(&'static str, String); 5] {
    let many = match build.arrangement() {
        Arrangement::Single => "One",
        Arrangement::Pair => "Two alike",
    };
    let fuel = match build.fuel() {
        FuelKind::Petrol => "Petrol",
        FuelKind::Diesel => "Diesel",
    };
    let rail = match build.rail_reference() {
        RailReference::Manifold => "Manifold",
        RailReference::Outside => "Outside air",
    };
    let turbo = build.turbocharger();
    [
        ("Turbocharger", turbo.name.clone()),
        ("Housing A/R", build.housing().a_over_r.to_string()),
        ("How many", many.to_owned()),
        ("Fuel", fuel.to_owned()),
        ("Rail above", rail.to_owned()),
    ]
}

/// Where two builds differ.
fn differences(theirs: &Build, mine: &Build) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for ((label, a), (_, b)) in choices(theirs).into_iter().zip(choices(mine)) {
        if a != b {
            rows.push((label, a, b));
        }
    }
    if theirs.turbocharger() != mine.turbocharger()
        && theirs.turbocharger().name == mine.turbocharger().name
    {
        rows.push((
            "Turbocharger",
            "another record".to_owned(),
            "of the same name".to_owned(),
        ));
    }
    for spec in FIELDS {
        let (a, b) = (theirs.entry(spec.field), mine.entry(spec.field));
        // The same number in another unit is the same.
        if a.map(|e| e.si) == b.map(|e| e.si) {
            continue;
        }
        let written = |build: &Build| match build.entry(spec.field) {
            Some(entry) => group(&write_exact(entry.si, entry.unit)),
            None => match build.optional(spec.field) {
                Some(si) => format!("blank ({})", group(&write_exact(si, spec.unit()))),
                None => "blank".to_owned(),
            },
        };
        rows.push((spec.label, written(theirs), written(mine)));
    }
    for field in CurveField::ALL {
        let (a, b) = (theirs.curve(field), mine.curve(field));
        if a != b {
            let points = |c: Option<&airpath::build::EnteredCurve>| match c {
                Some(c) => format!("{} points", c.curve.points().len()),
                None => "none".to_owned(),
            };
            let (a, mut b) = (points(a), points(b));
            if a == b {
                b += ", others";
            }
            rows.push((field.spec().label, a, b));
        }
    }
    rows
}

/// The visitor beside one's own build.
pub fn beside() -> AnyView {
    let store = use_store();
    live(move || match store.my_build() {
        Some(mine) if store.visiting() => table(store, &store.build.get(), &mine),
        _ => ().into_any(),
    })
}

fn table(store: Store, theirs: &Arc<Build>, mine: &Arc<Build>) -> AnyView {
    let units = store.units.get();
    let differ = differences(theirs, mine);
    let count = differ.len();
    let says = match count {
        0 => "Every entry is the same.".to_owned(),
        1 => "One entry differs.".to_owned(),
        _ => format!("{count} entries differ."),
    };
    let mut rows = vec![(
        "In short",
        in_short(theirs, units),
        in_short(mine, Units::of(mine, store.system.get())),
    )];
    rows.extend(differ);
    let rows = list(rows.into_iter().map(|(label, a, b)| {
        view! { <tr><th scope="row">{label}</th> <td>{a}</td> <td>{b}</td></tr> }.into_any()
    }));
    view! {
        <table class="beside" data-beside="">
            <caption>{says}</caption>
            <thead><tr><td></td><th scope="col">"Shared"</th><th scope="col">"Yours"</th></tr></thead>
            <tbody>{rows}</tbody>
        </table>
    }
    .into_any()
}
