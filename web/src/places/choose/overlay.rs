//! What is overlaid: every quantity of every candidate over engine speed, and the same as a table.

use super::{Desk, Solved};
use crate::parts::shapes::{list, live};
use crate::plots::geometry::Point;
use crate::plots::overlay::{Overlay, Strip};
use crate::show::{Units, percent, shown, speed};
use airpath::desk::compare::Contender;
use airpath::quantity::Kind;
use airpath::run::{LimitKind, SpeedReport};
use leptos::prelude::*;

/// A quantity over engine speed.
struct Quantity {
    title: &'static str,
    after: &'static str,
    kind: Option<Kind>,
    value: fn(&SpeedReport, &Contender) -> f64,
    from_zero: bool,
    wall: Option<f64>,
    line: Option<(f64, &'static str)>,
}

/// The largest shaft speed that a contender may have, rev/min.
fn largest(contender: &Contender) -> f64 {
    let limits = &contender.found.limits;
    let limit = limits.iter().find(|l| l.kind == LimitKind::ShaftSpeed);
    limit.map_or(f64::NAN, |l| l.limit)
}

/// Every strip, in their order.
const QUANTITIES: [Quantity; 5] = [
    Quantity {
        title: "Torque",
        after: "at the crank",
        kind: Some(Kind::Torque),
        value: |s, _| s.torque_nm,
        from_zero: false,
        wall: None,
        line: None,
    },
    Quantity {
        title: "Power",
        after: "at the crank",
        kind: Some(Kind::Power),
        value: |s, _| s.power_w,
        from_zero: true,
        wall: None,
        line: None,
    },
    Quantity {
        title: "Boost",
        after: "",
        kind: Some(Kind::GaugePressure),
        value: |s, _| s.boost_pa,
        from_zero: true,
        wall: None,
        line: None,
    },
    Quantity {
        title: "Back pressure",
        after: "× manifold; above 1 it costs power",
        kind: None,
        value: |s, _| s.back_pressure_ratio,
        from_zero: false,
        wall: None,
        line: Some((1.0, "")),
    },
    Quantity {
        title: "Shaft",
        after: "% of each one’s largest speed",
        kind: None,
        value: |s, c| 100.0 * s.shaft_speed_rev_min / largest(c),
        from_zero: true,
        wall: Some(100.0),
        line: None,
    },
];

/// What is drawn.
pub fn of(solved: &Solved, times: &[Vec<Point>], units: Units, cursor: f64) -> Overlay {
    let contenders = &solved.contest.contenders;
    let mut strips: Vec<Strip> = QUANTITIES
        .iter()
        .map(|q| {
            let shown = q.kind.map(|kind| shown(kind, units));
            let unit = shown.map_or("", |s| s.unit.symbol);
            let curves = contenders.iter().map(|c| {
                let point = |s: &SpeedReport| {
                    let value = (q.value)(s, c);
                    let value = shown.map_or(value, |s| s.unit.from_si(value));
                    (s.engine_speed_rev_min, value)
                };
                c.found.speeds.iter().map(point).collect()
            });
            Strip {
                title: q.title.to_owned(),
                unit: format!("{unit} {}", q.after).trim().to_owned(),
                decimals: shown.map_or(if q.wall.is_some() { 0 } else { 2 }, |s| {
                    usize::from(s.decimals)
                }),
                from_zero: q.from_zero,
                wall: q.wall,
                line: q.line,
                curves: curves.collect(),
            }
        })
        .collect();
    strips.push(Strip {
        title: "Time to boost".to_owned(),
        unit: "s, from light load".to_owned(),
        decimals: 1,
        from_zero: true,
        wall: None,
        line: None,
        curves: times.to_vec(),
    });
    Overlay {
        names: solved.names.clone(),
        ends: super::ends(&solved.contest).unwrap_or((0.0, 1.0)),
        cursor,
        strips,
    }
}

/// What a reader who listens is told of it.
pub fn spoken(solved: &Solved, at: &str) -> String {
    let all: Vec<String> = solved.names.clone();
    format!(
        "Torque, power, boost, back pressure, shaft speed and time to boost of {} over engine speed, read at {at} rev/min. The table has the numbers.",
        all.join(", ")
    )
}

/// The same as a table: torque, power, boost, pressure before the turbine, shaft speed of each.
pub fn table(desk: Desk) -> AnyView {
    live(move || {
        let units = desk.store.units.get();
        desk.solved.with(|solved| match solved {
            Some(solved) => desk.times.with(|times| whole(solved, times, units)),
            None => ().into_any(),
        })
    })
}

/// A column: heading and cell.
type Column = (String, Box<dyn Fn(&SpeedReport) -> String>);

fn columns(units: Units) -> Vec<Column> {
    let of = |name: &str, kind: Kind, value: fn(&SpeedReport) -> f64| -> Column {
        let shown = shown(kind, units);
        (
            format!("{name}, {}", shown.unit.symbol),
            Box::new(move |s| shown.number(value(s))),
        )
    };
    vec![
        of("Torque", Kind::Torque, |s| s.torque_nm),
        of("Power", Kind::Power, |s| s.power_w),
        of("Boost", Kind::GaugePressure, |s| s.boost_pa),
        of("Before the turbine", Kind::AbsolutePressure, |s| {
            s.turbine_inlet.pressure_pa
        }),
        (
            "Shaft speed, rev/min".to_owned(),
            Box::new(|s| speed(s.shaft_speed_rev_min, 100.0)),
        ),
        (
            "Past the gate".to_owned(),
            Box::new(|s| percent(s.gate_share)),
        ),
    ]
}

fn whole(solved: &Solved, times: &[Vec<Point>], units: Units) -> AnyView {
    let columns = columns(units);
    let head = list(columns.iter().flat_map(|(heading, _)| {
        solved.names.iter().map(move |name| {
            view! { <th scope="col">{format!("{heading}: {name}")}</th> }.into_any()
        })
    }));
    let rows = list(solved.contest.speeds().into_iter().map(|at| {
        let cells = list(columns.iter().flat_map(|(_, cell)| {
            solved.contest.contenders.iter().map(move |contender| {
                let text = contender.at(at).map_or("–".to_owned(), cell);
                view! { <td>{text}</td> }.into_any()
            })
        }));
        view! { <tr><th scope="row">{speed(at, 1.0)}</th>{cells}</tr> }.into_any()
    }));
    let times = list(solved.names.iter().zip(times).map(|(name, points)| {
        let cells: Vec<String> = points
            .iter()
            .map(|(at, time): &Point| match time.is_finite() {
                true => format!("{}: {time:.1} s", speed(*at, 10.0)),
                false => format!("{}: never", speed(*at, 10.0)),
            })
            .collect();
        view! { <tr><th scope="row">{name.clone()}</th><td class="long">{cells.join("; ")}</td></tr> }
            .into_any()
    }));
    view! {
        <table data-table="side"><caption>"Candidates over engine speed"</caption>
            <thead><tr><th scope="col">"Engine speed, rev/min"</th>{head}</tr></thead>
            <tbody>{rows}</tbody></table>
        <table data-table="side-times"><caption>"Time to boost from light load, by engine speed in rev/min"</caption><tbody>{times}</tbody></table>
    }
    .into_any()
}
