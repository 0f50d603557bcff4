//! A pull in gear, beside the same with boost at once.

use super::spool::seconds;
use super::{REST, empty, picture, plot, rested};
use crate::parts::shapes::{list, live, press, toggle, whether, words};
use crate::plots::chart::{Chart, Curve, Strip, Stroke};
use crate::plots::frame;
use crate::show::{Shown, Units, shown, speed};
use crate::store::use_store;
use airpath::fields::Part;
use airpath::quantity::{Kind, System};
use airpath::response::{Pull, PullSample, Response};
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// km/h or mph in one m/s: exact by definition of the hour and the mile.
fn road(units: Units) -> (&'static str, f64) {
    match units.system {
        System::Imperial => ("mph", 3600.0 / 1609.344),
        _ => ("km/h", 3.6),
    }
}

fn chart(pull: &Pull, units: Units) -> Chart {
    let both = |value: &dyn Fn(&PullSample) -> f64| -> Vec<Curve> {
        [
            ("with lag", Stroke::Strong, &pull.samples),
            ("boost at once", Stroke::Dashed, &pull.at_once),
        ]
        .into_iter()
        .map(|(name, stroke, samples)| {
            let points = samples.iter().map(|s| (s.time_s, value(s)));
            Curve::new(name, stroke, points.collect())
        })
        .collect()
    };
    let in_unit =
        |shown: Shown, value: fn(&PullSample) -> f64| both(&move |s| shown.unit.from_si(value(s)));
    let boost = shown(Kind::GaugePressure, units);
    let torque = shown(Kind::Torque, units);
    let (road_unit, factor) = road(units);
    Chart {
        across: "Seconds after the throttle is opened".to_owned(),
        ends: (0.0, pull.time_s.max(pull.time_at_once_s).max(0.1)),
        cursor: None,
        strips: vec![
            Strip::new(
                "Boost",
                boost.unit.symbol,
                boost.decimals,
                in_unit(boost, |s| s.boost_pa),
            ),
            Strip::new(
                "Shaft",
                "thousand rev/min",
                1,
                both(&|s| s.shaft_speed_rev_min / 1e3),
            ),
            Strip::new(
                "Torque",
                torque.unit.symbol,
                torque.decimals,
                in_unit(torque, |s| s.torque_nm),
            ),
            Strip::new("Engine", "rev/min", 0, both(&|s| s.engine_speed_rev_min)),
            Strip::new(
                "Vehicle",
                road_unit,
                1,
                both(&move |s| s.road_speed_m_s * factor),
            ),
        ],
        nothing: String::new(),
    }
}

fn account(pull: &Pull, units: Units) -> String {
    let (Some(first), Some(last)) = (pull.samples.first(), pull.samples.last()) else {
        return String::new();
    };
    let (unit, factor) = road(units);
    let length = match units.system {
        System::Imperial => format!("{:.0} ft", pull.lost_m / 0.3048),
        _ => format!("{:.1} m", pull.lost_m),
    };
    format!(
        "From {} to {} rev/min ({:.0} to {:.0} {unit}) takes {}; with boost at once it would take {}. Waiting for boost costs {} and {length}.",
        speed(first.engine_speed_rev_min, 10.0),
        speed(last.engine_speed_rev_min, 10.0),
        first.road_speed_m_s * factor,
        last.road_speed_m_s * factor,
        seconds(pull.time_s),
        seconds(pull.time_at_once_s),
        seconds(pull.lost_s),
    )
}

/// A pull in gear.
pub fn pull() -> AnyView {
    let store = use_store();
    let found: RwSignal<Option<Result<Arc<Pull>, String>>> = RwSignal::new(None);
    let resting = StoredValue::new(None);
    Effect::new(move |before: Option<bool>| {
        store.solved.track();
        let begin = move || {
            let came = store.solved.with_untracked(|s| {
                let solved = s.as_ref()?;
                let began = frame::now();
                let pull = Response::beside(&solved.build, &solved.found)
                    .and_then(|mut response| response.pull());
                frame::measure("airpath: pull", began, frame::now());
                Some(pull.map(Arc::new).map_err(|error| error.to_string()))
            });
            let _ = found.try_set(came);
        };
        let after = if before.is_none() {
            Duration::from_millis(120)
        } else {
            REST + REST
        };
        rested(resting, after, begin);
        true
    });
    let drawn = RwSignal::new(empty("Working it out."));
    Effect::new(move |_| {
        let units = store.units.get();
        found.with(|found| match found {
            Some(Ok(pull)) => drawn.set(chart(pull, units)),
            Some(Err(_)) => drawn.set(empty("There is no such pull.")),
            None => {}
        });
    });
    let said = words(move || {
        let units = store.units.get();
        found.with(|found| match found {
            Some(Ok(pull)) => account(pull, units),
            Some(Err(why)) => why.clone(),
            None => String::new(),
        })
    });
    let open = RwSignal::new(false);
    let table = live(move || {
        let units = store.units.get();
        let (unit, factor) = road(units);
        let boost = shown(Kind::GaugePressure, units);
        let rows = found.with(|found| {
            let Some(Ok(pull)) = found else {
                return ().into_any();
            };
            // A row every tenth of the way.
            let count = pull.samples.len();
            let step = (count / 20).max(1);
            list(pull.samples.iter().step_by(step).map(|s| {
                view! {
                    <tr><th scope="row">{format!("{:.2}", s.time_s)}</th>
                    <td>{speed(s.engine_speed_rev_min, 1.0)}</td>
                    <td>{boost.number(s.boost_pa)}</td>
                    <td>{format!("{:.1}", s.road_speed_m_s * factor)}</td>
                    <td>{format!("{:.1}", s.distance_m)}</td></tr>
                }
                .into_any()
            }))
        });
        view! {
            <table data-table="pull"><caption>"The pull with lag"</caption>
                <thead><tr><th scope="col">"Seconds"</th><th scope="col">"Engine, rev/min"</th>
                <th scope="col">{format!("Boost, {}", boost.unit.symbol)}</th>
                <th scope="col">{format!("Vehicle, {unit}")}</th><th scope="col">"Way, m"</th></tr></thead>
                <tbody>{rows}</tbody></table>
        }
        .into_any()
    });
    view! {
        <section class="figure pull" aria-labelledby="pull-title">
            <header>
                <h2 id="pull-title">"A pull in gear " <small>"full throttle, on the level"</small></h2>
                <div class="figure-tools">
                    {picture("pull", "A pull in gear", "Picture")}
                    <button type="button" class="small" data-act="vehicle" on:click=press(move || store.part.set(Some(Part::Vehicle)))>"Vehicle"</button>
                    {toggle(open, "A pull in gear".to_owned(), "Hide table", || "Table".to_owned())}
                </div>
            </header>
            <p class="said" data-pull="">{said}</p>
            {plot("pull", drawn, said)}
            <div class="table" tabindex=words(move || if open.get() { "0" } else { "-1" }.to_owned()) role="group" aria-label="Table: a pull in gear" hidden=whether(move || !open.get())>{table}</div>
        </section>
    }
    .into_any()
}
