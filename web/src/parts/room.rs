//! Room left before every limit: the wall is the limit, the dot's distance is the room.

use super::shapes::{list, live, perhaps, toggle, whether, words};
use super::working::figure;
use crate::show::{Shown, TIE, Units, percent, shown, speed};
use crate::store::use_store;
use airpath::quantity::Kind;
use airpath::run::{LimitKind, LimitReport};
use leptos::prelude::*;

/// Room, as a share of the limit, at which the line reaches the right end.
const FULL: f64 = 0.6;

/// A value beside its limit, in words.
pub fn value_of_limit(limit: &LimitReport, units: Units) -> String {
    let (value, most) = (limit.value, limit.limit);
    let both = |shown: Shown| format!("{} of {}", shown.number(value), shown.text(most));
    match limit.kind {
        LimitKind::ShaftSpeed => {
            format!(
                "{} of {}{TIE}rev/min",
                speed(value, 100.0),
                speed(most, 100.0)
            )
        }
        LimitKind::Surge | LimitKind::Choke => both(shown(Kind::MassFlow, units)),
        LimitKind::Gate => both(Shown {
            decimals: 0,
            ..shown(Kind::Area, Units::new(units.system))
        }),
        LimitKind::TurbineInlet | LimitKind::CompressorOutlet => {
            both(shown(Kind::Temperature, units))
        }
        LimitKind::BackPressure => both(shown(Kind::Ratio, units)),
        LimitKind::Injectors => both(shown(Kind::Fraction, units)),
        LimitKind::PeakPressure => both(Shown {
            decimals: 0,
            ..shown(Kind::AbsolutePressure, units)
        }),
        LimitKind::Sensor => both(shown(Kind::AbsolutePressure, units)),
    }
}

/// Every limit with its margin and the engine speed where it is least.
#[component]
pub fn Room() -> AnyView {
    let store = use_store();
    let open = RwSignal::new(false);
    let rows = live(move || {
        let (units, full) = (store.units.get(), open.get());
        store.solved.with(|solved| {
            let limits = solved
                .iter()
                .flat_map(|s| s.found.limits.iter().enumerate());
            list(limits.map(|(number, limit)| row(limit, number == 0, units, full)))
        })
    });
    view! {
        <section class="figure room" aria-labelledby="room-title">
            <header>
                <h2 id="room-title">"Room left " <small>"where it is least"</small></h2>
                {toggle(open, "room left".to_owned(), "Hide table", || "Table".to_owned())}
            </header>
            <div class="scroll" tabindex=words(move || if open.get() { "0" } else { "-1" }.to_owned()) role="group" aria-label="Room left">
            <table data-table="room" class="room" class:full=open>
                <caption class="unseen">"Room left before each limit"</caption>
                <thead class:unseen=whether(move || !open.get())>
                    <tr>
                        <th scope="col">"Limit"</th>
                        <td class="bar"></td>
                        <th scope="col">"Room"</th>
                        <th scope="col">"rev/min"</th>
                        {perhaps(move || open.get().then(|| view! { <th scope="col">"There, of the limit"</th> }.into_any()))}
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
            </div>
        </section>
    }
    .into_any()
}

fn row(limit: &LimitReport, first: bool, units: Units, full: bool) -> AnyView {
    let room = limit.room;
    let past = room < -0.005;
    let length = (room.clamp(0.0, FULL) / FULL * 100.0).max(0.0);
    let words = if past {
        format!("{} past", percent(-room))
    } else {
        percent(room.max(0.0))
    };
    let kind = if past {
        "bar past"
    } else if room > FULL {
        "bar beyond"
    } else {
        "bar"
    };
    let there = value_of_limit(limit, units);
    view! {
        <tr class:first=first class:past=past>
            <th scope="row">{limit.kind.label()}</th>
            <td class=kind aria-hidden="true"><i style=format!("width:{length:.1}%")></i></td>
            <td class="left">{figure(words, limit.kind.working(), limit.at_rev_min)}</td>
            <td class="at">{speed(limit.at_rev_min, 10.0)}</td>
            {full.then(|| view! { <td>{there}</td> }.into_any())}
        </tr>
    }
    .into_any()
}
