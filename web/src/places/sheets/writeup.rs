//! The write-up: one sheet that a customer can keep, with the build, the answer, the plots, the limits,
//! what to join, the cautions and the link.

use super::drawing::{PaperMap, PaperStrip, map, strips};
use super::{Sheets, frame};
use crate::parts::room::value_of_limit;
use crate::parts::shapes::{list, live};
use crate::places::choose::title;
use crate::plots::geometry::Point;
use crate::sentence::answer;
use crate::show::{Units, group, percent, shown, speed};
use crate::store::{Solved, Store};
use airpath::build::{Arrangement, Bearing, Build, FuelKind, Turbocharger};
use airpath::desk::Candidate;
use airpath::fields::{FIELDS, Field, Part};
use airpath::quantity::{Kind, write_exact};
use airpath::run::SpeedReport;
use leptos::prelude::*;

/// Limits that are listed.
const LIMITS: usize = 6;

/// What was entered, part by part.
fn entered(build: &Build) -> Vec<(&'static str, String)> {
    let mut parts: Vec<(&'static str, Vec<String>)> = Vec::new();
    for part in Part::ALL {
        let mut all: Vec<String> = FIELDS
            .iter()
            .filter(|spec| spec.part == part && !spec.closure)
            .filter(|spec| {
                // A diesel has no ethanol in it.
                build.fuel() == FuelKind::Petrol || spec.field != Field::EthanolShare
            })
            .filter_map(|spec| {
                let entry = build.entry(spec.field)?;
                let value = group(&write_exact(entry.si, entry.unit));
                Some(format!("{} {value}", spec.label.to_lowercase()))
            })
            .collect();
        if part == Part::Fuel {
            all.insert(
                0,
                match build.fuel() {
                    FuelKind::Petrol => "petrol",
                    FuelKind::Diesel => "diesel",
                }
                .to_owned(),
            );
        }
        if !all.is_empty() {
            parts.push((part.label(), all));
        }
    }
    let joined = |(name, all): (&'static str, Vec<String>)| (name, all.join("; "));
    parts.into_iter().map(joined).collect()
}

/// What has to be joined, as far as it is known; what is not is said to be.
pub fn joints(t: &Turbocharger, units: Units) -> Vec<(&'static str, String)> {
    let c = &t.connections;
    let length = |m: Option<f64>| {
        m.map_or("not known".to_owned(), |m| {
            shown(Kind::Length, units).text(m)
        })
    };
    let words = |text: &str| match text {
        "" => "not known".to_owned(),
        text => text.to_owned(),
    };
    let bearing = match t.bearing {
        Bearing::Ball => "ball bearings",
        Bearing::Journal => "journal bearings",
    };
    vec![
        ("Air inlet, hose", length(c.inlet_m)),
        ("Air outlet, hose", length(c.outlet_m)),
        ("Turbine flange", words(&c.turbine_flange)),
        ("Exhaust joint", words(&c.exhaust_flange)),
        ("Oil feed", words(&c.oil_feed)),
        (
            "Oil restrictor",
            c.oil_restrictor_m.map_or_else(
                || match t.bearing {
                    Bearing::Ball => "not known".to_owned(),
                    Bearing::Journal => "none".to_owned(),
                },
                |m| shown(Kind::Length, units).text(m),
            ),
        ),
        ("Oil drain", length(c.oil_drain_m)),
        (
            "Coolant",
            match c.coolant.as_str() {
                "" => "none".to_owned(),
                text => text.to_owned(),
            },
        ),
        ("Bearings", bearing.to_owned()),
        (
            "Mass",
            t.mass_kg
                .map_or("not known".to_owned(), |m| shown(Kind::Mass, units).text(m)),
        ),
    ]
}

fn rows(all: Vec<(&'static str, String)>) -> AnyView {
    list(all.into_iter().map(|(label, value)| {
        view! { <tr><th scope="row">{label}</th><td>{value}</td></tr> }.into_any()
    }))
}

fn drawings(solved: &Solved, units: Units) -> (String, String) {
    let spot = |s: &SpeedReport| (s.corrected_flow_kg_s, s.pressure_ratio);
    let route: Vec<_> = solved.found.speeds.iter().map(spot).collect();
    let mut spots = Vec::new();
    let threshold = solved.found.usable_threshold_rev_min;
    let near = |at: f64| {
        let far = |s: &&SpeedReport| (s.engine_speed_rev_min - at).abs();
        let all = solved.found.speeds.iter();
        all.min_by(|a, b| far(a).total_cmp(&far(b)))
    };
    if let Some(s) = threshold.and_then(near) {
        spots.push((spot(s), speed(s.engine_speed_rev_min, 50.0)));
    }
    if let Some(s) = solved.found.speeds.last() {
        spots.push((spot(s), speed(s.engine_speed_rev_min, 50.0)));
    }
    let flow = shown(Kind::MassFlow, units).unit;
    let drawn = map(
        &PaperMap {
            shape: &solved.shape,
            route: &route,
            spots: &spots,
            flow,
        },
        (360.0, 226.0),
        "Where it runs on the compressor",
    );
    let curve = |kind: Kind, value: fn(&SpeedReport) -> f64| -> Vec<Point> {
        let unit = shown(kind, units).unit;
        let speeds = solved.found.speeds.iter();
        speeds
            .map(|s| (s.engine_speed_rev_min, unit.from_si(value(s))))
            .collect()
    };
    let titled = |name: &str, kind: Kind| format!("{name}, {}", shown(kind, units).unit.symbol);
    let all = [
        PaperStrip {
            title: titled("Power", Kind::Power),
            curves: vec![
                (
                    "curve",
                    "crank".to_owned(),
                    curve(Kind::Power, |s| s.power_w),
                ),
                (
                    "curve dashed",
                    "wheels".to_owned(),
                    curve(Kind::Power, |s| s.wheel_power_w),
                ),
            ],
        },
        PaperStrip {
            title: titled("Torque", Kind::Torque),
            curves: vec![("curve", String::new(), curve(Kind::Torque, |s| s.torque_nm))],
        },
        PaperStrip {
            title: titled("Boost", Kind::GaugePressure),
            curves: vec![
                (
                    "curve",
                    String::new(),
                    curve(Kind::GaugePressure, |s| s.boost_pa),
                ),
                (
                    "curve dashed",
                    String::new(),
                    curve(Kind::GaugePressure, |s| s.boost_asked_pa),
                ),
            ],
        },
    ];
    let speeds = &solved.found.speeds;
    let ends = (
        speeds.first().map_or(0.0, |s| s.engine_speed_rev_min),
        speeds.last().map_or(1.0, |s| s.engine_speed_rev_min),
    );
    let curves = strips(
        &all,
        ends,
        (340.0, 214.0),
        "Power, torque and boost over engine speed",
    );
    (drawn, curves)
}

/// The outside air in a few words.
pub fn place_and_day(build: &Build, solved: &Solved, units: Units) -> String {
    let outside = solved.found.speeds.first().map(|s| s.outside);
    let air = outside.map_or_else(String::new, |o| {
        format!(
            "{}, {}",
            shown(Kind::AbsolutePressure, units).text(o.pressure_pa),
            shown(Kind::Temperature, units).text(o.temperature_k)
        )
    });
    let altitude = build.get(Field::Altitude);
    format!(
        "{} above the sea, {air}",
        shown(Kind::Altitude, units).text(altitude)
    )
}

/// Who it is for and by, and blank lines for what is written by hand.
pub fn for_whom(sheets: Sheets) -> frame::Cell {
    let (whom, by) = (sheets.whom.get(), sheets.by.get());
    let or_blank = |text: String| {
        if text.trim().is_empty() {
            " ".to_owned()
        } else {
            text
        }
    };
    (
        "Prepared for; by, on",
        vec![or_blank(whom), or_blank(by), " ".to_owned()],
    )
}

fn body(store: Store, solved: &Solved) -> AnyView {
    let units = store.units.get();
    let build = &solved.build;
    let said = answer(&solved.found, units);
    let lines = list(said.lines.iter().map(|line| {
        let mark = line
            .warns
            .then(|| view! { <i class="mark" aria-hidden="true"></i> });
        let words = list(line.words.iter().map(|w| match w.strong {
            true => view! { <b>{w.text.clone()}</b> }.into_any(),
            false => w.text.clone().into_any(),
        }));
        view! { <p class="lead">{mark}{words}</p> }.into_any()
    }));
    let (map, curves) = drawings(solved, units);
    let limits = list(
        solved
            .found
            .limits
            .iter()
            .take(LIMITS)
            .enumerate()
            .map(|(n, limit)| {
                let room = match (limit.holds_boost, limit.room < 0.0) {
                    (Some(_), _) => "holds boost".to_owned(),
                    (None, true) => format!("{} past", percent(-limit.room)),
                    (None, false) => percent(limit.room),
                };
                let mark = (n == 0).then(|| view! { <i class="mark" aria-hidden="true"></i> });
                view! {
            <tr><th scope="row">{mark}{limit.kind.label()}</th><td><b>{room}</b></td>
                <td>{value_of_limit(limit, units)}</td><td>{speed(limit.at_rev_min, 10.0)}</td></tr>
        }
        .into_any()
            }),
    );
    let notes = list(
        said.notes
            .iter()
            .take(3)
            .map(|note| view! { <li>{note.plain()}</li> }.into_any()),
    );
    let t = build.turbocharger();
    let many = match build.arrangement() {
        Arrangement::Single => "One",
        Arrangement::Pair => "Two alike, each as below",
    };
    let mut turbocharger = vec![
        ("How many", many.to_owned()),
        (
            "Compressor",
            format!(
                "{:.1} / {:.1} mm",
                t.compressor.wheel.inducer_m * 1e3,
                t.compressor.wheel.exducer_m * 1e3
            ),
        ),
        (
            "Turbine",
            format!(
                "{:.1} / {:.1} mm, A/R {:.2}",
                t.turbine.inducer_m * 1e3,
                t.turbine.exducer_m * 1e3,
                build.housing().a_over_r
            ),
        ),
    ];
    turbocharger.extend(joints(t, units));
    let map_is = match solved.found.estimated_map {
        true => " Its compressor map is estimated from the wheel’s sizes.",
        false => "",
    };
    view! {
        <h2>{build.name().to_owned()}</h2>
        {lines}
        <div class="two">
            <figure><figcaption><b>"Where it runs"</b> " on the compressor of " {title(&Candidate::of(build))}</figcaption><div inner_html=map></div></figure>
            <figure><figcaption><b>"Over engine speed"</b></figcaption><div inner_html=curves></div></figure>
        </div>
        <div class="two">
            <section>
                <h3>"Room left"</h3>
                <table><thead><tr><th scope="col">"Limit"</th><th scope="col">"Left"</th><th scope="col">"Value"</th><th scope="col">"At, rev/min"</th></tr></thead><tbody>{limits}</tbody></table>
                <ul class="notes">{notes}</ul>
                <h3>"What was entered"</h3>
                <table class="facts"><tbody>{rows(entered(build))}</tbody></table>
                <p class="quiet">{format!("All else is as usual.{map_is}")}</p>
            </section>
            <section>
                <h3>"To fit it"</h3>
                <table class="facts"><tbody>{rows(turbocharger)}</tbody></table>
                <h3>"Before the first start"</h3>
                <p class="quiet">"Common practice: prime the oil; see that the drain falls all the way and is not kinked; leak-test the pipes; check the gate’s travel. Start at the spring’s boost and go up only on the dyno."</p>
            </section>
        </div>
    }
    .into_any()
}

/// The write-up of the build that stands.
pub fn writeup(sheets: Sheets) -> AnyView {
    let store = sheets.store;
    live(move || {
        let Some(solved) = store.solved.get() else {
            return ().into_any();
        };
        let units = store.units.get();
        let build = &solved.build;
        let cells = vec![
            (
                "Build",
                vec![
                    build.name().to_owned(),
                    title(&Candidate::of(build)),
                    place_and_day(build, &solved, units),
                ],
            ),
            for_whom(sheets),
        ];
        let about = "what the engine will do with this turbocharger".to_owned();
        frame::sheet(store, "Build sheet", about, body(store, &solved), cells)
    })
}
