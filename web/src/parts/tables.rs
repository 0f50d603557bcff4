//! The same numbers as the plots, as tables.

use super::shapes::{list, live};
use super::working::{figure, figure_of_many};
use crate::plots::way::stations;
use crate::sentence::held;
use crate::show::{Shown, Units, percent, shown, speed};
use crate::store::use_store;
use airpath::quantity::Kind;
use airpath::run::SpeedReport;
use leptos::prelude::*;

/// One column of a table over engine speed: its heading, the working that its numbers open (empty
/// for words), and its cell.
type Column = (String, &'static str, Box<dyn Fn(&SpeedReport) -> String>);

/// A cell: a number that opens its working, or words.
fn cell(text: String, opens: &'static str, at: f64) -> AnyView {
    if opens.is_empty() || !text.contains(|c: char| c.is_ascii_digit()) {
        text.into_any()
    } else {
        figure_of_many(text, opens, at)
    }
}

fn heading(name: &str, shown: &Shown) -> String {
    if shown.unit.symbol.is_empty() {
        name.to_owned()
    } else {
        format!("{name}, {}", shown.unit.symbol)
    }
}

/// A table with a row for every engine speed.
fn over_speed(
    name: &'static str,
    caption: &'static str,
    columns: fn(Units) -> Vec<Column>,
) -> AnyView {
    let store = use_store();
    let body = live(move || {
        let columns = columns(store.units.get());
        let head = list(
            columns
                .iter()
                .map(|(name, ..)| view! { <th scope="col">{name.clone()}</th> }.into_any()),
        );
        let rows = store.solved.with(|solved| {
            list(solved.iter().flat_map(|s| &s.found.speeds).map(|report| {
                let cells = list(columns.iter().map(|(_, opens, text)| {
                    let inside = cell(text(report), opens, report.engine_speed_rev_min);
                    view! { <td>{inside}</td> }.into_any()
                }));
                view! { <tr><th scope="row">{speed(report.engine_speed_rev_min, 1.0)}</th>{cells}</tr> }.into_any()
            }))
        });
        view! {
            <thead><tr><th scope="col">"Engine speed, rev/min"</th>{head}</tr></thead>
            <tbody>{rows}</tbody>
        }
        .into_any()
    });
    view! { <table data-table=name><caption>{caption}</caption>{body}</table> }.into_any()
}

/// The running line.
pub fn map_table() -> AnyView {
    over_speed("map", "Where it runs on the compressor", |units| {
        let flow = shown(Kind::MassFlow, units);
        vec![
            (
                heading("Corrected flow", &flow),
                "corrected_flow",
                Box::new(move |s| flow.number(s.corrected_flow_kg_s)),
            ),
            (
                "Pressure ratio".into(),
                "pressure_ratio",
                Box::new(|s| format!("{:.2}", s.pressure_ratio)),
            ),
            (
                "Efficiency".into(),
                "compressor_efficiency",
                Box::new(|s| s.compressor_efficiency.map_or("windmills".into(), percent)),
            ),
            (
                "Corrected shaft speed, rev/min".into(),
                "corrected_speed",
                Box::new(|s| speed(s.corrected_speed_rev_min, 100.0)),
            ),
            (
                "Room to surge".into(),
                "room_surge",
                Box::new(|s| percent(s.surge_room)),
            ),
            (
                "Room to choke".into(),
                "room_choke",
                Box::new(|s| percent(s.choke_room)),
            ),
            ("Boost".into(), "", Box::new(|s| held(s.held).into())),
            (
                "Map".into(),
                "",
                Box::new(|s| {
                    if s.extrapolated {
                        "extrapolated"
                    } else {
                        "covered"
                    }
                    .into()
                }),
            ),
        ]
    })
}

/// The traces.
pub fn traces_table() -> AnyView {
    over_speed("traces", "Traces over engine speed", |units| {
        let power = shown(Kind::Power, units);
        let torque = shown(Kind::Torque, units);
        let boost = shown(Kind::GaugePressure, units);
        let pressure = shown(Kind::AbsolutePressure, units);
        let consumption = shown(Kind::SpecificConsumption, units);
        vec![
            (
                heading("Power at the crank", &power),
                "power",
                Box::new(move |s| power.number(s.power_w)),
            ),
            (
                heading("Power at the wheels", &power),
                "wheel_power",
                Box::new(move |s| power.number(s.wheel_power_w)),
            ),
            (
                heading("Torque", &torque),
                "torque",
                Box::new(move |s| torque.number(s.torque_nm)),
            ),
            (
                heading("Boost", &boost),
                "boost",
                Box::new(move |s| boost.number(s.boost_pa)),
            ),
            (
                heading("Manifold, absolute", &pressure),
                "manifold_pressure",
                Box::new(move |s| pressure.number(s.manifold.pressure_pa)),
            ),
            (
                heading("Before the turbine, absolute", &pressure),
                "before_turbine",
                Box::new(move |s| pressure.number(s.turbine_inlet.pressure_pa)),
            ),
            (
                "Shaft speed, rev/min".into(),
                "shaft_speed",
                Box::new(|s| speed(s.shaft_speed_rev_min, 100.0)),
            ),
            (
                "Past the gate".into(),
                "gate_share",
                Box::new(|s| percent(s.gate_share)),
            ),
            (
                heading("Fuel for each unit of work", &consumption),
                "bsfc",
                Box::new(move |s| s.bsfc_kg_j.map_or("–".into(), |b| consumption.number(b))),
            ),
        ]
    })
}

/// The workings of pressure, temperature and flow at each station, in their order.
const STATION_WORKINGS: [(&str, &str, &str); 6] = [
    ("outside_pressure", "air_temperature", "air_flow"),
    ("inlet_pressure", "inlet_temperature", "air_flow"),
    ("outlet_pressure", "outlet_temperature", "air_flow"),
    ("manifold_pressure", "manifold_temperature", "air_flow"),
    (
        "before_turbine",
        "turbine_inlet_temperature",
        "exhaust_flow",
    ),
    ("after_turbine", "after_turbine_temperature", "exhaust_flow"),
];

/// The stations at the cursor's engine speed.
pub fn way_table() -> AnyView {
    let store = use_store();
    let body = live(move || {
        let units = store.units.get();
        let pressure = shown(Kind::AbsolutePressure, units);
        let heat = shown(Kind::Temperature, units);
        let flow = shown(Kind::MassFlow, units);
        let cursor = store.cursor.get();
        let rows = store.solved.with(|solved| {
            let report = solved.as_ref().and_then(|s| s.found.speeds.get(cursor));
            let at = report.map_or(0.0, |r| r.engine_speed_rev_min);
            let all = report.into_iter().flat_map(stations).zip(STATION_WORKINGS);
            list(all.map(|((id, place, station), opens)| {
                view! {
                    <tr>
                        <th scope="row">{id} ", " {place}</th>
                        <td>{figure(pressure.number(station.pressure_pa), opens.0, at)}</td>
                        <td>{figure(heat.number(station.temperature_k), opens.1, at)}</td>
                        <td>{figure(flow.number(station.flow_kg_s), opens.2, at)}</td>
                    </tr>
                }
                .into_any()
            }))
        });
        view! {
            <thead>
                <tr>
                    <th scope="col">"Station"</th>
                    <th scope="col">{heading("Absolute pressure", &pressure)}</th>
                    <th scope="col">{heading("Temperature", &heat)}</th>
                    <th scope="col">{heading("Flow", &flow)}</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        }
        .into_any()
    });
    view! { <table data-table="way"><caption>"The air’s way at the engine speed chosen"</caption>{body}</table> }
        .into_any()
}
