//! What stands beside the board: the values of the corners, what the map refers to, the wheel, and
//! what was marked, line by line.

use super::{Desk, Fitted, Hand, efficiency_of, number, speed_of};
use crate::parts::shapes::{list, live, perhaps, press, words};
use airpath::build::{RECORD, RecordSpec};
use airpath::map_files::flow_units;
use airpath::map_picture::{Meaning, Tracing};
use airpath::quantity::{Kind, read, write_number};
use leptos::prelude::*;
use std::sync::Arc;

/// A typed value with its fault.
fn entry(
    id: &'static str,
    label: &'static str,
    unit: &'static str,
    value: impl Fn() -> String + Send + Sync + 'static,
    put: impl Fn(&str) -> Result<(), String> + 'static,
) -> AnyView {
    let wrong = RwSignal::new(None::<String>);
    let change: Box<dyn FnMut(web_sys::Event)> = Box::new(move |event| {
        wrong.set(put(&event_target_value(&event)).err());
    });
    let fault = perhaps(move || {
        wrong.get().map(|why| {
            view! { <div class="fault" role="alert"><i class="mark" aria-hidden="true"></i><p>{why}</p></div> }
                .into_any()
        })
    });
    view! {
        <div class="field">
            <label for=id>{label}</label>
            <span></span>
            <input id=id data-trace=id type="text" inputmode="decimal" autocomplete="off" spellcheck="false"
                prop:value=words(value) on:change=change/>
            <span class="unit">{unit}</span>
            {fault}
        </div>
    }
    .into_any()
}

/// One of the corners' values.
fn axis(
    desk: Desk,
    id: &'static str,
    label: &'static str,
    get: fn(&Tracing) -> f64,
    set: fn(&mut Tracing, f64),
) -> AnyView {
    entry(
        id,
        label,
        "",
        move || {
            desk.tracing
                .with(|t| t.as_ref().map_or(String::new(), |t| get(t).to_string()))
        },
        move |text| {
            let value = number(text, Kind::Ratio)?;
            if !(0.0..=1e6).contains(&value) {
                return Err(format!(
                    "{value} does not lie between 0 and 1,000,000: enter the value that stands on the axis."
                ));
            }
            desk.change(|t| set(t, value));
            Ok(())
        },
    )
}

/// A row of the turbocharger's table, for a number that is not in a record yet.
fn row(link: &str) -> Option<&'static RecordSpec> {
    RECORD.iter().find(|spec| spec.link == link)
}

/// A number with the unit and range of a row of the table.
fn ranged(
    id: &'static str,
    link: &'static str,
    label: &'static str,
    get: impl Fn() -> f64 + Send + Sync + 'static,
    set: impl Fn(f64) + 'static,
) -> AnyView {
    let Some(spec) = row(link) else {
        return ().into_any();
    };
    entry(
        id,
        label,
        spec.unit,
        move || {
            let text = write_number(get(), spec.unit(), 3);
            match text.contains('.') {
                true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
                false => text,
            }
        },
        move |text| {
            let value = read(text, spec.kind, spec.unit())
                .map_err(|e| e.to_string())?
                .si;
            if !spec.holds(value) {
                return Err(format!(
                    "{label}: {text} does not lie between {} and {} {}.",
                    spec.range.0, spec.range.1, spec.unit
                ));
            }
            set(value);
            Ok(())
        },
    )
}

/// The unit of the flow axis.
fn flow_unit(desk: Desk) -> AnyView {
    let options = live(move || {
        let now = desk
            .tracing
            .with(|t| t.as_ref().map_or(String::new(), |t| t.flow_unit.clone()));
        list(flow_units().map(|unit| {
            view! { <option value=unit.symbol selected=unit.symbol == now>{unit.symbol}</option> }
                .into_any()
        }))
    });
    let choose = crate::parts::shapes::text(move |unit| desk.change(|t| t.flow_unit = unit));
    view! {
        <div class="choice">
            <label for="t-unit">"Unit of flow"</label>
            <select id="t-unit" data-trace="t-unit" on:change=choose>{options}</select>
        </div>
    }
    .into_any()
}

/// Total or static pressure at the outlet.
fn basis(desk: Desk) -> AnyView {
    let is_static = Memo::new(move |_| {
        desk.tracing
            .with(|t| t.as_ref().is_some_and(|t| t.static_outlet_m.is_some()))
    });
    let choose = crate::parts::shapes::text(move |value| {
        // It has to be entered: nothing else tells it.
        let outlet = (value == "static").then_some(0.0);
        desk.change(|t| t.static_outlet_m = outlet);
    });
    let outlet = perhaps(move || {
        is_static.get().then(|| {
            ranged(
                "t-outlet",
                "Co",
                "Outlet, inside",
                move || {
                    desk.tracing
                        .with(|t| t.as_ref().and_then(|t| t.static_outlet_m))
                        .unwrap_or(0.0)
                },
                move |value| desk.change(|t| t.static_outlet_m = Some(value)),
            )
        })
    });
    view! {
        <div class="choice">
            <label for="t-basis">"Pressure ratio is"</label>
            <select id="t-basis" data-trace="t-basis" on:change=choose>
                <option value="total" selected=move || !is_static.get()>"total to total"</option>
                <option value="static" selected=move || is_static.get()>"total to static"</option>
            </select>
        </div>
        {outlet}
    }
    .into_any()
}

/// What was marked, a row each.
fn strokes(desk: Desk) -> AnyView {
    let rows = live(move || {
        let Some(tracing) = desk.tracing.get() else {
            return ().into_any();
        };
        if tracing.strokes.is_empty() {
            return view! { <p class="quiet">"Nothing is marked yet."</p> }.into_any();
        }
        let mut order: Vec<usize> = (0..tracing.strokes.len()).collect();
        let rank = |at: &usize| match tracing.strokes[*at].meaning {
            Meaning::SurgeLine => -1.0,
            Meaning::SpeedLine(speed) => speed,
            Meaning::Island(efficiency) => 1e9 + efficiency,
        };
        order.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
        list(order.into_iter().map(|at| stroke(desk, &tracing, at)))
    });
    view! { <ul class="strokes">{rows}</ul> }.into_any()
}

/// How far a line's spots lie from the fitted one.
fn off(desk: Desk, meaning: Meaning) -> Option<String> {
    desk.fit.with(|fit| {
        let Fitted::Map(over) = fit else { return None };
        let Meaning::SpeedLine(speed) = meaning else {
            return None;
        };
        let line = over.fit.lines.iter().find(|l| l.speed_rev_min == speed)?;
        let share = line.residuals.distance.root_mean_square();
        Some(format!(", {:.2} % off", 100.0 * share))
    })
}

fn stroke(desk: Desk, tracing: &Arc<Tracing>, at: usize) -> AnyView {
    let meaning = tracing.strokes[at].meaning;
    let count = tracing.strokes[at].spots.len();
    let (text, unit) = match meaning {
        Meaning::SpeedLine(speed) => (speed.to_string(), "rev/min"),
        Meaning::Island(efficiency) => {
            let text = format!("{:.2}", 100.0 * efficiency);
            let text = text.trim_end_matches('0').trim_end_matches('.');
            (text.to_owned(), "%")
        }
        Meaning::SurgeLine => (String::new(), ""),
    };
    let go_on = move || {
        let (hand, text) = match meaning {
            Meaning::SpeedLine(speed) => (Hand::Speed, Some((true, speed.to_string()))),
            Meaning::Island(efficiency) => (
                Hand::Island,
                Some((false, format!("{:.2}", 100.0 * efficiency))),
            ),
            Meaning::SurgeLine => (Hand::Surge, None),
        };
        if let Some((speed, text)) = text {
            desk.value.update(|value| {
                if speed {
                    value.0 = text;
                } else {
                    value.1 = text;
                }
            });
        }
        desk.hand.set(Hand::Move);
        desk.hand.set(hand);
    };
    let correct: Box<dyn FnMut(web_sys::Event)> = Box::new(move |event| {
        let typed = event_target_value(&event);
        let wanted = match meaning {
            Meaning::SpeedLine(_) => speed_of(&typed).map(Meaning::SpeedLine),
            Meaning::Island(_) => efficiency_of(&typed).map(Meaning::Island),
            Meaning::SurgeLine => return,
        };
        let Some(before) = desk.tracing.get_untracked() else {
            return;
        };
        match wanted.map(|wanted| before.with_meaning(at, wanted)) {
            Ok(Some(changed)) => {
                desk.tracing.set(Some(Arc::new(changed)));
                desk.done(before);
            }
            Ok(None) => {
                desk.told.set(format!(
                    "There is already a line of {typed}: correct that one, or take one of the two away."
                ));
            }
            Err(why) => desk.told.set(why),
        }
    });
    let remove = move || {
        if let Some(before) = desk.tracing.get_untracked() {
            desk.picked.set(None);
            desk.tracing.set(Some(Arc::new(before.without_stroke(at))));
            desk.done(before);
        }
    };
    let name = match meaning {
        Meaning::SurgeLine => view! { <b>"Surge line"</b> }.into_any(),
        _ => view! {
            <label><span class="unseen">{meaning.words()}</span>
                <input type="text" inputmode="decimal" value=text on:change=correct/>
            </label>
        }
        .into_any(),
    };
    let spots = words(move || {
        let plural = if count == 1 { "spot" } else { "spots" };
        let off = off(desk, meaning).unwrap_or_default();
        format!("{unit} {count} {plural}{off}")
            .trim_start()
            .to_owned()
    });
    let words = meaning.words();
    view! {
        <li data-stroke=words.clone()>
            {name}
            <span class="quiet">{spots}</span>
            <button type="button" class="small" aria-label=format!("Go on with {words}") on:click=press(go_on)>"Go on"</button>
            <button type="button" class="small" aria-label=format!("Remove {words}") on:click=press(remove)>"Remove"</button>
        </li>
    }
    .into_any()
}

/// Everything beside the board.
pub fn form(desk: Desk) -> AnyView {
    let wheel = move |id,
                      link,
                      label,
                      get: fn(&airpath::air_way::compressor::WheelSizes) -> f64,
                      set: fn(&mut airpath::air_way::compressor::WheelSizes, f64)| {
        ranged(
            id,
            link,
            label,
            move || desk.wheel.with(get),
            move |value| {
                desk.wheel.update(|wheel| set(wheel, value));
                desk.fit_soon();
            },
        )
    };
    let name: Box<dyn FnMut(web_sys::Event)> =
        Box::new(move |event| desk.name.set(event_target_value(&event)));
    let anew = move || {
        desk.change(|t| *t = Tracing::new(t.picture, t.reference));
        desk.picked.set(None);
    };
    view! {
        <fieldset class="record"><legend>"What is marked"</legend>
            {strokes(desk)}
        </fieldset>
        <fieldset class="record"><legend>"Values at the corners"</legend>
            {axis(desk, "t-flow-low", "Flow, low", |t| t.flows.0, |t, v| t.flows.0 = v)}
            {axis(desk, "t-flow-high", "Flow, high", |t| t.flows.1, |t, v| t.flows.1 = v)}
            {flow_unit(desk)}
            {axis(desk, "t-ratio-low", "Pressure ratio, low", |t| t.ratios.0, |t, v| t.ratios.0 = v)}
            {axis(desk, "t-ratio-high", "Pressure ratio, high", |t| t.ratios.1, |t, v| t.ratios.1 = v)}
            {basis(desk)}
        </fieldset>
        <fieldset class="record"><legend>"What the map refers to"</legend>
            {ranged("t-temperature", "Mt", "Temperature", move || desk.tracing.with(|t| t.as_ref().map_or(298.15, |t| t.reference.temperature_k)), move |v| desk.change(|t| t.reference.temperature_k = v))}
            {ranged("t-pressure", "Mp", "Pressure", move || desk.tracing.with(|t| t.as_ref().map_or(1e5, |t| t.reference.pressure_pa)), move |v| desk.change(|t| t.reference.pressure_pa = v))}
        </fieldset>
        <fieldset class="record"><legend>"The turbocharger"</legend>
            <div class="field">
                <label for="t-name">"Name"</label><span></span>
                <input id="t-name" data-trace="t-name" type="text" autocomplete="off" value=desk.name.get_untracked() on:change=name/>
                <span></span>
            </div>
            {wheel("t-inducer", "Wi", "Inducer", |w| w.inducer_m, |w, v| w.inducer_m = v)}
            {wheel("t-exducer", "We", "Exducer", |w| w.exducer_m, |w, v| w.exducer_m = v)}
        </fieldset>
        <div class="buttons"><button type="button" class="small" data-act="start-anew" on:click=press(anew)>"Start anew"</button></div>
    }
    .into_any()
}
