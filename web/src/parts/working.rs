//! The working of a number: its formula, the values put in, its source, and where each value came
//! from, each of which opens in turn.

use super::shapes::{list, perhaps, press, words};
use crate::show::{TIE, Units, group, shown};
use crate::store::{Store, use_store};
use airpath::build::Build;
use airpath::fields::{Field, Part};
use airpath::formula::symbol;
use airpath::quantity::write_exact;
use airpath::working::{Measure, Origin, Step, Working, significant};
use leptos::html::H2;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// Significant figures of a value in a list.
const FIGURES: i32 = 4;

/// A number that opens its working, at an engine speed in rev/min.
pub fn figure(text: String, key: &'static str, at: f64) -> AnyView {
    view! { <button type="button" class="opens" data-opens=key data-at=at.to_string()>{text}</button> }
        .into_any()
}

/// The same in a long table, where a stop at every number would hold a keyboard up: the speed is
/// chosen on the slide, and "All numbers" has each.
pub fn figure_of_many(text: String, key: &'static str, at: f64) -> AnyView {
    view! { <button type="button" class="opens" tabindex="-1" data-opens=key data-at=at.to_string()>{text}</button> }
        .into_any()
}

/// The working at the shared engine speed.
fn worked(store: Store) -> Option<Working> {
    let cursor = store.cursor.get();
    store.solved.with(|solved| {
        let solved = solved.as_ref()?;
        let report = solved.found.speeds.get(cursor)?;
        Working::at(&solved.build, &solved.found, report).ok()
    })
}

/// A value in the reader's units.
fn written(step: &Step, units: Units) -> String {
    match step.measure {
        Measure::In(unit) => format!("{}{TIE}{unit}", significant(step.value, FIGURES)),
        Measure::Kind(kind) => {
            let unit = shown(kind, units).unit;
            let number = significant(unit.from_si(step.value), FIGURES);
            match unit.symbol {
                "" => number,
                symbol => format!("{number}{TIE}{symbol}"),
            }
        }
    }
}

/// Where a value comes from, in a few words.
fn origin(step: &Step, build: &Build) -> String {
    match &step.origin {
        Origin::Formula {
            bound: Some(bound), ..
        } => format!("held: {bound}"),
        Origin::Formula { .. } => "worked out".to_owned(),
        Origin::Entered(field) => build.entry(*field).map_or_else(String::new, |entry| {
            let typed = group(&write_exact(entry.si, entry.unit));
            format!("{}: you entered {typed}", step.part.label())
        }),
        Origin::Assumed(_) => format!("{}: nothing entered, the default stands", step.part.label()),
        Origin::Given(by) => by.clone(),
        Origin::Constant(source) => format!("a constant: {source}"),
        Origin::Read { off, .. } => format!("read off: {off}"),
        Origin::Meeting { .. } => "found where two sides meet".to_owned(),
    }
}

fn math(symbol_text: &str) -> AnyView {
    let inside = format!("<math>{}</math>", symbol(symbol_text).mathml);
    view! { <span class="symbol" inner_html=inside></span> }.into_any()
}

/// A row of a list: symbol, name, where it comes from, value; pressed, it opens.
fn row(step: &Step, build: &Build, units: Units) -> AnyView {
    view! {
        <li>
            <button type="button" data-step=step.key>
                {math(step.symbol)}
                <span class="what"><b>{step.name}</b> <small>{origin(step, build)}</small></span>
                <span class="value">{written(step, units)}</span>
                <i aria-hidden="true">"›"</i>
            </button>
        </li>
    }
    .into_any()
}

/// Every number that is worked out, by the part it belongs to.
fn all(working: &Working, build: &Build, units: Units) -> AnyView {
    list(Part::ALL.into_iter().filter_map(|part| {
        let of_part: Vec<&Step> = working
            .steps
            .iter()
            .filter(|s| s.part == part && !s.origin.inputs().is_empty())
            .collect();
        (!of_part.is_empty()).then(|| {
            let rows = list(of_part.into_iter().map(|step| row(step, build, units)));
            view! { <h3>{part.label()}</h3> <ul class="values">{rows}</ul> }.into_any()
        })
    }))
}

/// What stands behind a field: what it is, and where its range comes from.
fn about_field(store: Store, field: Field) -> AnyView {
    let spec = field.spec();
    let change = press(move || store.change(field));
    view! {
        <p>{spec.help}</p>
        <p><b>"Source "</b> {spec.source}</p>
        <p><button type="button" class="small" data-change=spec.id on:click=change>{format!("Change “{}”", spec.label)}</button></p>
    }
    .into_any()
}

/// The working of one step.
fn one(store: Store, working: &Working, step: &Step, build: &Build, units: Units) -> AnyView {
    let equations = working.mathml(step).map(|(symbols, values)| {
        view! {
            <div class="equations" tabindex="0" role="group" aria-label="Formula">
                <div inner_html=symbols></div>
                <div inner_html=values></div>
            </div>
        }
        .into_any()
    });
    let inputs: Vec<&Step> = step
        .origin
        .inputs()
        .into_iter()
        .filter_map(|key| working.step(key))
        .collect();
    let from = (!inputs.is_empty()).then(|| {
        let rows = list(inputs.into_iter().map(|input| row(input, build, units)));
        view! { <h3>"Where each value comes from"</h3> <ul class="values">{rows}</ul> }.into_any()
    });
    let words: AnyView = match &step.origin {
        Origin::Formula { formula, bound, .. } => {
            let bound = bound.map(|b| format!(" Here it is held: {b}."));
            view! { <p><b>"Source "</b> {formula.source} {bound}</p> }.into_any()
        }
        Origin::Read { off, source, .. } => {
            view! { <p>"Read off " {off.clone()} "."</p> <p><b>"Source "</b> {source.clone()}</p> }
                .into_any()
        }
        Origin::Meeting { why, .. } => view! { <p>{*why}</p> }.into_any(),
        Origin::Entered(field) | Origin::Assumed(field) => {
            let says = origin(step, build);
            let about = about_field(store, *field);
            view! { <p>{says} "."</p> {about} }.into_any()
        }
        Origin::Given(_) | Origin::Constant(_) => {
            view! { <p>{origin(step, build)} "."</p> }.into_any()
        }
    };
    let together = step.together.then(|| {
        view! { <p class="quiet">"One of the numbers that are found together: the way back comes round to it, and closes to one part in a billion."</p> }.into_any()
    });
    view! { {equations} {from} {words} {together} }.into_any()
}

/// How much smaller a formula may be written, so that it is still read.
const SMALLEST: f64 = 0.75;

/// Writes formulas that are wider than the sheet smaller; what is still too wide is scrolled.
fn fit() {
    let Ok(all) = document().query_selector_all(".equations > div") else {
        return;
    };
    for place in 0..all.length() {
        let line = all
            .item(place)
            .and_then(|l| l.dyn_into::<web_sys::HtmlElement>().ok());
        let Some(line) = line else { continue };
        let style = line.style();
        let _ = style.remove_property("--fit");
        let (room, wanted) = (line.client_width(), line.scroll_width());
        if wanted > room {
            let share = f64::from(room) / f64::from(wanted) - 0.01;
            let _ = style.set_property("--fit", &share.max(SMALLEST).to_string());
        }
    }
}

/// The working that is open.
#[component]
pub fn WorkingSheet() -> AnyView {
    let store = use_store();
    let working = Memo::new(move |_| {
        store
            .working
            .with(Option::is_some)
            .then(|| worked(store).map(Arc::new))
            .flatten()
    });
    let title = NodeRef::<H2>::new();
    // What is opened is read from its title on; when it is closed, reading goes on where it was.
    let opener: StoredValue<Option<String>> = StoredValue::new(None);
    Effect::new(move |before: Option<Option<usize>>| {
        let length = store.working.with(|w| w.as_ref().map(Vec::len));
        if length.is_some() && length != before.flatten() {
            if before.flatten().is_none() {
                opener.set_value(store.working.with_untracked(|w| {
                    w.as_ref()
                        .and_then(|w| w.first())
                        .map(|key| format!("main [data-opens={key}]"))
                }));
            }
            if let Some(title) = title.get() {
                let _ = title.focus();
                // On a phone the sheet is the page; on a desk it scrolls by itself.
                if crate::app::is_phone() {
                    window().scroll_to_with_x_and_y(0.0, 0.0);
                } else if let Some(sheet) = title.closest(".working").ok().flatten() {
                    sheet.set_scroll_top(0);
                }
            }
        } else if length.is_none()
            && before.flatten().is_some()
            && store.part.get_untracked().is_none()
            && let Some(selector) = opener.get_value()
            && let Ok(Some(element)) = document().query_selector(&selector)
            && let Ok(element) = element.dyn_into::<web_sys::HtmlElement>()
        {
            request_animation_frame(move || {
                let _ = element.focus();
            });
        }
        length
    });
    // One listener for every row.
    let pressed = move |event: web_sys::MouseEvent| {
        let key = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
            .and_then(|t| t.closest("[data-step]").ok().flatten())
            .and_then(|t| t.get_attribute("data-step"));
        let Some(key) = key.and_then(|key| {
            working.with_untracked(|w| w.as_ref().and_then(|w| Some(w.step(&key)?.key.to_owned())))
        }) else {
            return;
        };
        store.working.update(|trail| {
            let Some(trail) = trail else { return };
            match trail.iter().position(|k| *k == key) {
                // Round again: the trail goes back to where it was.
                Some(place) => trail.truncate(place + 1),
                None => trail.push(key),
            }
        });
    };
    let back = move || {
        store.working.update(|open| {
            if let Some(trail) = open
                && trail.pop().is_none()
            {
                *open = None;
            }
        });
    };
    Effect::new(move |_| {
        working.track();
        store.working.track();
        store.units.track();
        request_animation_frame(fit);
    });
    perhaps(move || {
        let mut trail = store.working.get()?;
        let working = working.get()?;
        // A number that there is not at this speed.
        trail.retain(|key| working.step(key).is_some());
        let units = store.units.get();
        let build = store.solved.with(|s| s.as_ref().map(|s| s.build.clone()))?;
        let at = crate::show::speed(working.engine_speed_rev_min, 1.0);
        let crumbs = (!trail.is_empty()).then(|| {
            let start = press(move || store.working.set(Some(Vec::new())));
            let steps = trail.iter().enumerate().map(|(place, key)| {
                let name = working.step(key).map_or("", |s| s.name);
                if place + 1 == trail.len() {
                    view! { <li aria-current="page">{name}</li> }.into_any()
                } else {
                    view! { <li><button type="button" data-step=key.clone()>{name}</button></li> }
                        .into_any()
                }
            });
            view! {
                <nav aria-label="How you came here"><ol class="trail">
                    <li><button type="button" on:click=start>"All numbers"</button></li>
                    {list(steps)}
                </ol></nav>
            }
            .into_any()
        });
        let step = trail.last().and_then(|key| working.step(key));
        let (name, value) = step.map_or_else(
            || ("All numbers".to_owned(), String::new()),
            |step| (step.name.to_owned(), written(step, units)),
        );
        let inside = match step {
            Some(step) => one(store, &working, step, &build, units),
            None => all(&working, &build, units),
        };
        Some(
            view! {
                <aside class="working" aria-labelledby="working-title" on:click=pressed>
                    {crumbs}
                    <header>
                        <h2 id="working-title" tabindex="-1" node_ref=title>{name} " " <b data-working="">{value}</b></h2>
                        <p class="quiet">{format!("at {at} rev/min")}</p>
                    </header>
                    {inside}
                    <div class="ends">
                        <button type="button" data-act="working-back" on:click=press(back)>"Back"</button>
                        <button type="button" data-act="working-close" on:click=press(move || store.working.set(None))>"Close"</button>
                    </div>
                </aside>
            }
            .into_any(),
        )
    })
}

/// Opens the list of all numbers.
pub fn all_numbers_button() -> AnyView {
    let store = use_store();
    let pressed = words(move || store.working.with(|w| w.is_some().to_string()));
    view! { <button type="button" class="small" data-opens="" aria-expanded=pressed>"All numbers"</button> }
        .into_any()
}
