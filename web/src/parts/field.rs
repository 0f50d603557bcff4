//! One field: label, help, input, unit, and what is wrong with what was typed.

use super::shapes::{fault as fault_box, leave, perhaps, press, text, told, whether, words};
use crate::entry_text::{
    blank_means, default_text, number, placeholder, says_it, shown, unit_of, usual_text,
};
use crate::store::use_store;
use airpath::build::{Entry, FuelKind};
use airpath::fields::Field;
use airpath::quantity::Unit;
use leptos::html::Input;
use leptos::prelude::*;

/// A row of the table of inputs as a person meets it.
#[component]
pub fn FieldRow(
    /// Which.
    field: Field,
) -> AnyView {
    let store = use_store();
    let spec = field.spec();
    let input = NodeRef::<Input>::new();
    let chosen: RwSignal<Option<&'static Unit>> = RwSignal::new(None);
    let helping = RwSignal::new(false);
    let held = Memo::new(move |_| {
        store
            .build
            .with(|b| (b.optional(field), b.entry(field).map(|e| e.unit)))
    });
    let unit = Memo::new(move |_| {
        let system = store.system.get();
        let chosen = chosen.get();
        held.track();
        store
            .build
            .with_untracked(|b| unit_of(b, field, chosen, system))
    });
    let fault = Memo::new(move |_| {
        store
            .faults
            .with(|f| f.iter().find(|f| f.key == spec.id && f.shown).cloned())
    });

    // The build's number goes into the input only when the text there says something else.
    let write = move || {
        let Some(input) = input.get_untracked() else {
            return;
        };
        let unit = unit.get_untracked();
        store.build.with_untracked(|build| {
            let text = shown(build, field, unit);
            if input.value() != text {
                input.set_value(&text);
            }
        });
    };
    Effect::new(move |_| {
        held.track();
        store.revision.track();
        input.track();
        let unit = unit.get();
        let Some(node) = input.get_untracked() else {
            return;
        };
        let faulty = store
            .faults
            .with_untracked(|f| f.iter().any(|f| f.key == spec.id));
        let said = store
            .build
            .with_untracked(|b| says_it(&node.value(), b, field, unit));
        if !said && !faulty {
            write();
        }
    });
    let typed = move |text: String| store.type_into(field, &text, unit.get_untracked());
    let left = move || {
        store.left_field();
        let faulty = store
            .faults
            .with_untracked(|f| f.iter().any(|f| f.key == spec.id));
        if !faulty {
            write();
        }
    };

    // The unit button goes on to the next unit; the quantity stays. A text that is wrong in one
    // unit may be right in the next: it is read again.
    let next_unit = move || {
        let units = spec.kind.units();
        let now = unit.get_untracked();
        let place = units
            .iter()
            .position(|u| u.symbol == now.symbol)
            .unwrap_or(0);
        let next = &units[(place + 1) % units.len()];
        chosen.set(Some(next));
        let faulty = store
            .faults
            .with_untracked(|f| f.iter().any(|f| f.key == spec.id));
        if faulty {
            if let Some(node) = input.get_untracked() {
                let text = node.value();
                store.type_into(field, &text, next);
            }
        } else if let Some(entry) = store.build.with_untracked(|b| b.entry(field)) {
            let edited = store.build.with_untracked(|b| {
                b.with(
                    field,
                    Some(Entry {
                        si: entry.si,
                        unit: next,
                    }),
                )
            });
            store.edit(spec.id, spec.label, edited);
            write();
        }
    };
    // The suggestion goes in as it is written on the button.
    let put = move |Entry { si, unit }: Entry| {
        store.type_into(field, &number(si, unit), unit);
        write();
    };
    let to_default = move || {
        let edited = store.build.with_untracked(|b| b.with(field, None));
        store.edit(spec.id, spec.label, edited);
        write();
    };

    let id = spec.id;
    let symbol = words(move || unit.get().symbol.to_owned());
    let unit_button = if spec.kind.units().len() > 1 {
        view! {
            <button
                type="button"
                class="unit"
                data-unit-of=id
                title="Next unit"
                aria-label=words(move || format!("{}, unit of {}. Next unit", symbol.get(), spec.label))
                on:click=press(next_unit)
            >
                {symbol}
            </button>
        }
        .into_any()
    } else {
        view! { <span class="unit" data-unit-of=id>{symbol}</span> }.into_any()
    };
    let fault_view = perhaps(move || {
        let fault = fault.get()?;
        let remedy = fault.suggestion.map(|entry| {
            let Entry { si, unit } = entry;
            let words = format!("Use {} {}", number(si, unit), unit.symbol);
            view! { <button type="button" class="remedy" on:click=press(move || put(entry))>{words}</button> }.into_any()
        });
        Some(fault_box(id, fault.problem, remedy))
    });
    let entered = move || held.get().1.is_some();
    let help_view = perhaps(move || {
        if !helping.get() {
            return None;
        }
        let usual = words(move || format!("Usual {}.", usual_text(field, unit.get())));
        let back = perhaps(move || {
            let unit = unit.get();
            let diesel = store.build.with(|b| b.fuel() == FuelKind::Diesel);
            entered().then(|| {
                let words = match blank_means(field) {
                    Some(_) => "Leave it blank".to_owned(),
                    None => format!("Back to the default, {}", default_text(field, unit, diesel).unwrap_or_default()),
                };
                view! { <button type="button" class="small" on:click=press(to_default)>{words}</button> }.into_any()
            })
        });
        let blank = blank_means(field)
            .map(|means| format!(" Blank: {means}."))
            .unwrap_or_default();
        Some(
            view! {
                <div class="help-text">
                    <p>{spec.help} {blank}</p>
                    <p><b>{usual}</b> " Source: " {spec.source}</p>
                    {back}
                </div>
            }
            .into_any(),
        )
    });
    view! {
        <div class="field" class:bad=whether(move || fault.with(Option::is_some))>
            <label for=format!("f-{id}")>{spec.label}</label>
            <button
                type="button"
                class="ask"
                aria-label=format!("What is {}?", spec.label)
                aria-expanded=told(move || helping.get())
                on:click=press(move || helping.update(|h| *h = !*h))
            >
                "?"
            </button>
            <input
                id=format!("f-{id}")
                data-field=id
                node_ref=input
                type="text"
                inputmode="decimal"
                autocomplete="off"
                autocapitalize="off"
                spellcheck="false"
                enterkeyhint="done"
                class:entered=whether(entered)
                placeholder=words(move || {
                    let unit = unit.get();
                    store.build.with(|b| placeholder(b, field, unit))
                })
                aria-invalid=told(move || fault.with(Option::is_some))
                aria-describedby=format!("{id}-fault")
                on:input=text(typed)
                on:blur=leave(left)
            />
            {unit_button}
            {fault_view}
            {help_view}
        </div>
    }
    .into_any()
}
