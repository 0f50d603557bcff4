//! The numbers of the turbocharger that stands, to be changed: it becomes one of the person's own.

use super::shapes::{list, perhaps, words};
use crate::show::group;
use crate::store::{Store, use_store};
use airpath::build::{RECORD, RecordPart, RecordSpec, Turbocharger};
use airpath::quantity::{read, write_number};
use leptos::prelude::*;
use std::sync::Arc;

/// What the key of one's own record begins with.
const OWN: &str = "own-";

/// What is added to the name of one that was changed.
const CHANGED: &str = ", changed";

/// Decimals that a value is shown with at most.
const DECIMALS: u8 = 4;

/// The record as one of the person's own.
pub fn as_own(mut turbocharger: Turbocharger) -> Turbocharger {
    if !turbocharger.id.starts_with(OWN) {
        turbocharger.id = format!("{OWN}{}", turbocharger.id);
        turbocharger.name += CHANGED;
    }
    turbocharger
}

/// A number of the record, as it is shown.
fn shown(spec: &RecordSpec, turbocharger: &Turbocharger) -> String {
    (spec.get)(turbocharger).map_or_else(String::new, |value| {
        let text = write_number(value * spec.si, spec.unit(), DECIMALS);
        // Without the zeros behind.
        match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
            false => text,
        }
    })
}

/// Puts what was typed into the record; what is wrong with it.
fn put(store: Store, spec: &'static RecordSpec, text: &str) -> Result<(), String> {
    let (now, housing) = store
        .build
        .with_untracked(|b| (b.turbocharger().clone(), b.housing_index()));
    let value = match text.trim() {
        "" if !spec.needed => None,
        text => Some(
            read(text, spec.kind, spec.unit())
                .map_err(|error| error.to_string())?
                .si
                / spec.si,
        ),
    };
    if (spec.get)(&now) == value {
        return Ok(());
    }
    let changed = now
        .with_number(spec, value)
        .map_err(|error| error.to_string())?;
    let edited = store
        .build
        .with_untracked(|b| b.with_turbocharger(Arc::new(as_own(changed)), housing));
    if let Err(error) = &edited {
        return Err(error.to_string());
    }
    store.edit("turbocharger", "Turbocharger", edited);
    store.left_field();
    Ok(())
}

fn row(spec: &'static RecordSpec) -> AnyView {
    let store = use_store();
    let id = format!("r-{}", spec.link);
    let wrong = RwSignal::new(None::<String>);
    let value = words(move || store.build.with(|b| shown(spec, b.turbocharger())));
    let change: Box<dyn FnMut(web_sys::Event)> = Box::new(move |event| {
        wrong.set(put(store, spec, &event_target_value(&event)).err());
    });
    let fault = perhaps(move || {
        wrong.get().map(|why| {
            view! { <div class="fault" role="alert"><i class="mark" aria-hidden="true"></i><p>{why}</p></div> }
                .into_any()
        })
    });
    let (low, high) = spec.range;
    let range = format!(
        "{} {} to {} {}.",
        spec.help,
        group(&low.to_string()),
        group(&high.to_string()),
        spec.unit
    );
    view! {
        <div class="field">
            <label for=id.clone() title=range.clone()>{spec.label}</label>
            <span></span>
            <input id=id data-record=spec.link type="text" inputmode="decimal" autocomplete="off" spellcheck="false"
                aria-description=range prop:value=value on:change=change/>
            <span class="unit">{spec.unit}</span>
            {fault}
        </div>
    }
    .into_any()
}

/// Every number of the record, part by part.
pub fn numbers() -> AnyView {
    let parts = [
        RecordPart::Compressor,
        RecordPart::Map,
        RecordPart::Turbine,
        RecordPart::Shaft,
        RecordPart::Gate,
        RecordPart::Connections,
    ];
    let groups = list(parts.map(|part| {
        let rows = list(RECORD.iter().filter(|s| s.part == part).map(row));
        view! { <fieldset class="record"><legend>{part.label()}</legend>{rows}</fieldset> }
            .into_any()
    }));
    view! {
        <div class="record-sheet" data-record-sheet="">
            <p class="quiet">"Change a number, and the turbocharger becomes your own, kept with this build. An estimated map follows the wheel’s sizes: ±6 % in flow, ±2.5 points in efficiency."</p>
            {groups}
        </div>
    }
    .into_any()
}
