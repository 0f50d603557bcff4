//! The fields of one part of the air's way.

use super::choices::{FuelChoice, HousingChoice, RailChoice, TurbochargerChoice};
use super::curve::CurveEditor;
use super::field::FieldRow;
use super::in_turn::in_turn;
use super::shapes::{list, perhaps, toggle, whether, words};
use crate::store::use_store;
use airpath::build::{CurveField, whole_shelf};
use airpath::fields::{FIELDS, Field, Part};
use leptos::html::H2;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;
use wasm_bindgen::JsCast;

/// The id of a part's section.
pub fn section_id(part: Part) -> String {
    format!("part-{}", part.label().to_lowercase())
}

fn fields(part: Part, closure: bool) -> Vec<Field> {
    FIELDS
        .iter()
        .filter(|s| s.part == part && s.closure == closure)
        .map(|s| s.field)
        .collect()
}

fn rows(fields: Vec<Field>) -> AnyView {
    list(
        fields
            .into_iter()
            .map(|field| view! { <FieldRow field/> }.into_any()),
    )
}

/// What a dyno's sheet would multiply by in this air; shown beside the physics, never mixed in.
fn corrections() -> AnyView {
    let store = use_store();
    let text = words(move || {
        store.solved.with(|solved| {
            let all = solved.iter().flat_map(|s| &s.found.dyno_corrections);
            let each: Vec<String> = all
                .map(|c| {
                    let bounds = if c.in_bounds { "" } else { ", outside its bounds" };
                    format!("{:.3} by {}{bounds}", c.factor, c.standard)
                })
                .collect();
            format!("A dyno’s correction factor in this air: {}. The power above is what this air gives, without it.", each.join("; "))
        })
    });
    view! { <p class="quiet">{text}</p> }.into_any()
}

/// Which of two goals rules, where both are entered.
fn ruling() -> AnyView {
    let store = use_store();
    perhaps(move || {
        let both = store.build.with(|b| {
            b.entry(Field::PowerTarget).is_some() && b.entry(Field::BoostTarget).is_some()
        });
        both.then(|| view! { <p class="quiet">"Power is asked: boost is what that takes. “Boost asked” counts again once “Power asked” is blank."</p> }.into_any())
    })
}

/// A part's choices, fields and, at a press, its closure constants.
#[component]
pub fn PartFields(
    /// Which.
    part: Part,
) -> AnyView {
    let store = use_store();
    let more = RwSignal::new(false);
    let title = NodeRef::<H2>::new();
    let open = move || store.part.get() == Some(part);
    // When the part is opened, that is where reading and the keyboard go on.
    Effect::new(move |_| {
        if open()
            && let Some(title) = title.get()
        {
            title.scroll_into_view();
            let _ = title.focus();
        }
    });
    // A field that was asked for comes into view, with the constants if it is one of them.
    Effect::new(move |_| {
        let Some(field) = store.wanted.get().filter(|f| f.spec().part == part) else {
            return;
        };
        if field.spec().closure {
            more.set(true);
        }
        store.wanted.set(None);
        request_animation_frame(move || {
            let input = document().get_element_by_id(&format!("f-{}", field.spec().id));
            if let Some(input) = input.and_then(|i| i.dyn_into::<web_sys::HtmlElement>().ok()) {
                input.scroll_into_view();
                let _ = input.focus();
            }
        });
    });
    let closure = fields(part, true);
    let curves = |which: CurveField| view! { <CurveEditor field=which/> }.into_any();
    let choices = match part {
        Part::Compressor => Some(view! { <TurbochargerChoice/> }.into_any()),
        Part::Turbine => Some(view! { <HousingChoice/> }.into_any()),
        Part::Fuel => Some(view! { <FuelChoice/> }.into_any()),
        _ => None,
    };
    let after = match part {
        Part::Goal => Some(list([ruling(), curves(CurveField::BoostCurve)])),
        Part::Engine => Some(curves(CurveField::Breathing)),
        Part::Fuel => Some(view! { <RailChoice/> }.into_any()),
        Part::Driveline => Some(corrections()),
        _ => None,
    };
    let count = closure.len() + usize::from(part == Part::Engine);
    let more_rows = perhaps(move || {
        more.get().then(|| {
            let cycle = (part == Part::Engine).then(|| curves(CurveField::IdealCycle));
            list([rows(closure.clone())].into_iter().chain(cycle))
        })
    });
    let more_button = (count > 0).then(|| {
        let of = format!("constants of the model, {}", part.label());
        toggle(more, of, "Fewer", move || format!("{count} more"))
    });
    view! {
        <section class="part" class:open=whether(open) id=section_id(part) aria-labelledby=format!("{}-title", section_id(part))>
            <header>
                <h2 id=format!("{}-title", section_id(part)) tabindex="-1" node_ref=title>{part.label()}</h2>
                {more_button}
            </header>
            {choices}
            {rows(fields(part, false))}
            {after}
            {more_rows}
        </section>
    }
    .into_any()
}

/// The fields of every part, one part after the other.
pub fn inputs() -> AnyView {
    let shelf = use_store().shelf;
    // Reading it takes a moment, and nobody chooses as soon as the page stands.
    set_timeout(
        move || shelf.set(whole_shelf().into_iter().map(Arc::new).collect()),
        Duration::from_millis(300),
    );
    in_turn(Part::ALL, |part| view! { <PartFields part/> }.into_any())
}
