//! What is chosen rather than typed: turbocharger, housing, arrangement, fuel, rail.

use super::shapes::{list, live, perhaps, press, text, toggle, told, words};
use crate::keep;
use crate::later;
use crate::places::Place;
use crate::show::{TIE, group, named_with_sizes};
use crate::store::use_store;
use airpath::build::{Arrangement, Bearing, FuelKind, RailReference, Turbocharger};
use airpath::map_files::LARGEST_FILE;
use airpath::quantity::{Kind, System, write_number};
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;
use wasm_bindgen_futures::JsFuture;

/// A pair of choices, one of which holds.
fn either(
    id: &'static str,
    label: &'static str,
    options: [&'static str; 2],
    second: impl Fn() -> bool + Send + Sync + Copy + 'static,
    choose: impl Fn(bool) + Send + Sync + Copy + 'static,
) -> AnyView {
    let option = move |at: usize| {
        let is = move || second() == (at == 1);
        view! {
            <button type="button" role="radio" aria-checked=told(is)
                tabindex=words(move || if is() { "0" } else { "-1" }.to_owned())
                on:click=press(move || choose(at == 1))>
                {options[at]}
            </button>
        }
    };
    let key: Box<dyn FnMut(web_sys::KeyboardEvent)> =
        Box::new(move |event: web_sys::KeyboardEvent| {
            if !matches!(
                event.key().as_str(),
                "ArrowLeft" | "ArrowRight" | "ArrowUp" | "ArrowDown"
            ) {
                return;
            }
            event.prevent_default();
            let to = !second();
            choose(to);
            let group: Option<web_sys::Element> = event
                .current_target()
                .and_then(|t| wasm_bindgen::JsCast::dyn_into(t).ok());
            let button = group.and_then(|g| g.children().item(u32::from(to)));
            if let Some(button) =
                button.and_then(|b| wasm_bindgen::JsCast::dyn_into::<web_sys::HtmlElement>(b).ok())
            {
                let _ = button.focus();
            }
        });
    view! {
        <div class="choice">
            <span id=format!("{id}-label")>{label}</span>
            <div class="either" role="radiogroup" data-choice=id aria-labelledby=format!("{id}-label") on:keydown=key>
                {option(0)} {option(1)}
            </div>
        </div>
    }
    .into_any()
}

/// What has to be joined to the engine and the vehicle, as far as it is known.
fn connections(t: &Turbocharger, size: impl Fn(f64) -> String) -> String {
    let c = &t.connections;
    let words = |label: &str, text: &str| (!text.is_empty()).then(|| format!("{label} {text}"));
    let length = |label: &str, m: Option<f64>| m.map(|m| format!("{label} {}", size(m)));
    let all: Vec<String> = [
        words("turbine flange:", &c.turbine_flange),
        words("exhaust flange:", &c.exhaust_flange),
        length("exhaust outlet", c.turbine_outlet_m),
        length("air inlet", c.inlet_m),
        length("air outlet", c.outlet_m),
        words("oil feed", &c.oil_feed),
        length("oil restrictor", c.oil_restrictor_m),
        length("oil drain", c.oil_drain_m),
        words("coolant", &c.coolant),
    ]
    .into_iter()
    .flatten()
    .collect();
    match all.is_empty() {
        true => String::new(),
        false => format!("Connections: {}.", all.join("; ")),
    }
}

/// A map of one's own from a file, and the one that stands as a file.
fn map_file() -> AnyView {
    let store = use_store();
    let picker = NodeRef::<Input>::new();
    let sizes = RwSignal::new(false);
    let take = move || {
        let Some(input) = picker.get_untracked() else {
            return;
        };
        let Some(file) = input.files().and_then(|f| f.get(0)) else {
            return;
        };
        if file.size() > LARGEST_FILE as f64 {
            store.notice.set(Some(format!(
                "“{}” was not taken, and nothing has changed. It has more than {} MB, the most of a map’s file: save the table alone.",
                file.name(),
                LARGEST_FILE / 1_000_000
            )));
            return;
        }
        spawn_local(async move {
            match JsFuture::from(file.array_buffer()).await {
                Ok(buffer) => {
                    let bytes = js_sys::Uint8Array::new(&buffer).to_vec();
                    later::take_map(store, file.name(), bytes).await;
                }
                Err(_) => store
                    .notice
                    .set(Some(format!("“{}” could not be read.", file.name()))),
            }
            // So that the same file can be picked again.
            input.set_value("");
        });
    };
    let pick = move || {
        if let Some(input) = picker.get_untracked() {
            input.click();
        }
    };
    let estimated = move || {
        store
            .build
            .with(|b| b.turbocharger().compressor.map.estimated)
    };
    let save = words(move || {
        if estimated() {
            "An example file"
        } else {
            "Map as a file"
        }
        .to_owned()
    });
    view! {
        <div class="choice-files">
            <input class="unseen" tabindex="-1" aria-hidden="true" type="file" accept=".csv,.json,.txt,.tsv" data-map-file=""
                node_ref=picker on:change=press_change(take)/>
            <button type="button" class="small" data-act="map-from-file" on:click=press(pick)>"Map from a file"</button>
            <button type="button" class="small" data-act="map-from-picture" on:click=press(move || store.go(Place::Trace))>"Map from a picture"</button>
            <button type="button" class="small" data-act="map-to-file" on:click=press(move || later::save_map(store))>{save}</button>
            {toggle(sizes, "of the turbocharger".to_owned(), "Hide its numbers", || "Its numbers".to_owned())}
        </div>
        {perhaps(move || sizes.get().then(later::own_numbers))}
        <p class="quiet">"A measured map as a table or JSON, for this wheel: lines of speed with flow, pressure ratio and efficiency in the units that you have. The example shows how. It stays on this device."</p>
    }
    .into_any()
}

/// Does something when a choice has changed.
fn press_change(act: impl Fn() + 'static) -> Box<dyn FnMut(web_sys::Event)> {
    Box::new(move |_| act())
}

/// Which turbocharger, from the shelf, and how many.
#[component]
pub fn TurbochargerChoice() -> AnyView {
    let store = use_store();
    let now = Memo::new(move |_| store.build.with(|b| b.turbocharger().clone()));
    let own = Memo::new(move |_| {
        store.owned.track();
        let all = keep::own::list().into_iter();
        all.filter_map(|l| l.turbocharger.ok().map(Arc::new))
            .collect::<Vec<_>>()
    });
    let options = live(move || {
        let (now, shelf, own) = (now.get(), store.shelf.get(), own.get());
        let option = |t: &Arc<Turbocharger>| {
            let words = named_with_sizes(t);
            view! { <option value=t.id.clone() selected=**t == *now>{words}</option> }.into_any()
        };
        // One that is only in this build, or differs from what is kept under its key.
        let alone = (!shelf.contains(&now) && !own.contains(&now)).then(|| option(&now));
        let own = (!own.is_empty()).then(|| {
            view! { <optgroup label="Yours">{list(own.iter().map(option))}</optgroup> }.into_any()
        });
        let shelf =
            view! { <optgroup label="On the shelf">{list(shelf.iter().map(option))}</optgroup> }
                .into_any();
        list([alone, own, Some(shelf)].into_iter().flatten())
    });
    let choose = move |id: String| {
        let found = own
            .with_untracked(|own| own.iter().find(|t| t.id == id).cloned())
            .or_else(|| {
                store
                    .shelf
                    .with_untracked(|s| s.iter().find(|t| t.id == id).cloned())
            });
        let Some(chosen) = found else {
            return;
        };
        // The housing nearest in A/R to the one that stands.
        let wanted = store.build.with_untracked(|b| b.housing().a_over_r);
        let far = |i: &usize| (chosen.turbine.housings[*i].a_over_r - wanted).abs();
        let housing = (0..chosen.turbine.housings.len())
            .min_by(|a, b| far(a).total_cmp(&far(b)))
            .unwrap_or(0);
        let edited = store
            .build
            .with_untracked(|b| b.with_turbocharger(chosen.clone(), housing));
        store.edit("turbocharger", "Turbocharger", edited);
        store.left_field();
    };
    let facts = live(move || {
        let t = now.get();
        let imperial = store.system.get() == System::Imperial;
        let unit = if imperial {
            Kind::Length.imperial()
        } else {
            Kind::Length.metric()
        };
        let size = |m: f64| write_number(m, unit, if imperial { 2 } else { 1 });
        let wheel = &t.compressor.wheel;
        let bearing = match t.bearing {
            Bearing::Ball => "ball bearings",
            Bearing::Journal => "journal bearings",
        };
        let speed = group(&format!("{:.0}", t.largest_speed_rev_min));
        let words = format!(
            "Compressor inducer {}, exducer {}{TIE}{}, trim {:.0}; turbine inducer {}, exducer {}{TIE}{}; largest {speed}{TIE}rev/min; {bearing}; gate {}{TIE}{}.",
            size(wheel.inducer_m),
            size(wheel.exducer_m),
            unit.symbol,
            t.compressor.trim(),
            size(t.turbine.inducer_m),
            size(t.turbine.exducer_m),
            unit.symbol,
            size(t.gate.diameter_m),
            unit.symbol,
        );
        let joined = connections(&t, |m| format!("{}{TIE}{}", size(m), unit.symbol));
        view! { <p class="quiet">{words} " " {t.notes.clone()}</p> <p class="quiet">{joined}</p> }
            .into_any()
    });
    let pair = Memo::new(move |_| store.build.with(|b| b.arrangement() == Arrangement::Pair));
    view! {
        <div class="choice">
            <label for="f-turbocharger">"Turbocharger"</label>
            <select id="f-turbocharger" data-field="turbocharger" on:change=text(choose)>
                {options}
            </select>
        </div>
        {facts}
        {map_file()}
        {either("arrangement", "How many", ["One", "Two alike"], move || pair.get(), move |second| {
            let arrangement = if second { Arrangement::Pair } else { Arrangement::Single };
            let edited = store.build.with_untracked(|b| b.with_arrangement(arrangement));
            store.edit("arrangement", "How many", Ok(edited));
            store.left_field();
        })}
    }
    .into_any()
}

/// Which turbine housing.
#[component]
pub fn HousingChoice() -> AnyView {
    let store = use_store();
    let now = Memo::new(move |_| {
        store
            .build
            .with(|b| (b.turbocharger().clone(), b.housing_index()))
    });
    let options = live(move || {
        let (t, chosen) = now.get();
        list(t.turbine.housings.iter().enumerate().map(|(i, h)| {
            let words = format!("{:.2}", h.a_over_r);
            view! { <option value=i.to_string() selected=i == chosen>{words}</option> }.into_any()
        }))
    });
    let choose = move |value: String| {
        let Ok(housing) = value.parse::<usize>() else {
            return;
        };
        let edited = store
            .build
            .with_untracked(|b| b.with_turbocharger(b.turbocharger().clone(), housing));
        store.edit("housing", "Housing A/R", edited);
        store.left_field();
    };
    view! {
        <div class="choice">
            <label for="f-housing">"Housing A/R"</label>
            <select id="f-housing" data-field="housing" on:change=text(choose)>{options}</select>
        </div>
    }
    .into_any()
}

/// What burns.
#[component]
pub fn FuelChoice() -> AnyView {
    let store = use_store();
    let diesel = Memo::new(move |_| store.build.with(|b| b.fuel() == FuelKind::Diesel));
    either(
        "fuel",
        "Fuel",
        ["Petrol", "Diesel"],
        move || diesel.get(),
        move |second| {
            let fuel = if second {
                FuelKind::Diesel
            } else {
                FuelKind::Petrol
            };
            let edited = store.build.with_untracked(|b| b.with_fuel(fuel));
            store.edit("fuel", "Fuel", Ok(edited));
            store.left_field();
        },
    )
}

/// What the fuel pressure regulator follows.
#[component]
pub fn RailChoice() -> AnyView {
    let store = use_store();
    let outside = Memo::new(move |_| {
        store
            .build
            .with(|b| b.rail_reference() == RailReference::Outside)
    });
    either(
        "rail_reference",
        "Rail above",
        ["Manifold", "Outside air"],
        move || outside.get(),
        move |second| {
            let reference = if second {
                RailReference::Outside
            } else {
                RailReference::Manifold
            };
            let edited = store
                .build
                .with_untracked(|b| b.with_rail_reference(reference));
            store.edit("rail_reference", "Rail above", Ok(edited));
            store.left_field();
        },
    )
}
