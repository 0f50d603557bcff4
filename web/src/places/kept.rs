//! The builds kept on this device: opened, copied, renamed, deleted, and all of them as a file.

use crate::keep::builds::{self, Listed};
use crate::parts::header::{download, file_name};
use crate::parts::shapes::{list, live, perhaps, press};
use crate::parts::share::element;
use crate::show::shown;
use crate::store::{Of, Store, use_store};
use airpath::build::Build;
use airpath::fields::Field;
use airpath::quantity::{Kind, write};
use leptos::prelude::*;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Element, HtmlElement, HtmlInputElement};

/// When something was changed, in words.
fn when(ms: f64) -> Option<String> {
    if ms <= 0.0 {
        return None;
    }
    let style = js_sys::Object::new();
    for (key, value) in [("dateStyle", "medium"), ("timeStyle", "short")] {
        js_sys::Reflect::set(&style, &key.into(), &value.into()).ok()?;
    }
    let date = js_sys::Date::new(&JsValue::from_f64(ms));
    Some(date.to_locale_string("en-GB", &style).into())
}

/// What is asked of a build: power if it is, else boost.
fn asked(build: &Build) -> String {
    let field = match build.entry(Field::PowerTarget) {
        Some(_) => Field::PowerTarget,
        None if build.boost_curve().is_some() => return "boost over engine speed".to_owned(),
        None => Field::BoostTarget,
    };
    let unit = build.unit(field);
    format!("{} asked", write(build.get(field), unit, unit.decimals))
}

/// The builds kept on this device.
#[component]
pub fn Kept() -> AnyView {
    let store = use_store();
    // What was typed last is in the list too.
    store.keep_now();
    let by_name = RwSignal::new(false);
    let renaming: RwSignal<Option<String>> = RwSignal::new(None);
    let act = move |event: web_sys::MouseEvent| {
        let target = event.target().and_then(|t| t.dyn_into::<Element>().ok());
        if let Some(button) = target.and_then(|t| t.closest("[data-do]").ok().flatten()) {
            act(store, renaming, by_name, &button);
        }
    };
    let keys = move |event: web_sys::KeyboardEvent| {
        let target = event
            .target()
            .and_then(|t| t.dyn_into::<HtmlInputElement>().ok());
        if let Some(input) = target {
            match event.key().as_str() {
                "Enter" => rename(store, renaming, &input.value()),
                "Escape" => renaming.set(None),
                _ => {}
            }
        }
    };
    let sorting = live(move || {
        let choice = |what: &'static str, label: &'static str, chosen: bool| {
            view! { <button type="button" class="small" data-do=what aria-pressed=chosen.to_string()>{label}</button> }.into_any()
        };
        let by_name = by_name.get();
        list([
            choice("by-change", "Last changed", !by_name),
            choice("by-name", "Name", by_name),
        ])
    });
    let gone = perhaps(move || {
        store.deleted.get().map(|gone| {
            view! {
                <div class="notice" data-deleted="">
                    <p>{gone.name}" is deleted."</p>
                    <button type="button" class="small" on:click=press(move || store.bring_back())>"Undo"</button>
                </div>
            }
            .into_any()
        })
    });
    view! {
        <main class="kept" on:click=act on:keydown=keys>
            <h2>"Builds kept on this device"</h2>
            <div class="buttons">
                <button type="button" data-do="new">"New from the example"</button>
                <button type="button" data-do="import">"Import"</button>
                <button type="button" data-do="export-all">"Export all"</button>
            </div>
            <div role="status">{gone}</div>
            <div class="sorting" role="group" aria-label="Sorted by"><span>"Sorted by"</span>{sorting}</div>
            {live(move || rows(store, renaming, by_name.get()))}
            <p class="quiet">"They are in this browser alone. “Export all” puts every one into one file, which “Import” reads anywhere."</p>
        </main>
    }
    .into_any()
}

/// Does what a button says.
fn act(
    store: Store,
    renaming: RwSignal<Option<String>>,
    by_name: RwSignal<bool>,
    button: &Element,
) {
    let id = button
        .closest("[data-build]")
        .ok()
        .flatten()
        .and_then(|row| row.get_attribute("data-build"))
        .unwrap_or_default();
    let save = |name: &str, text: &str| {
        if download(name, text, "application/json").is_none() {
            store.notice.set(Some(
                "This browser did not let the page save a file.".to_owned(),
            ));
        }
    };
    match button.get_attribute("data-do").unwrap_or_default().as_str() {
        "open" => store.open_kept(&id),
        "copy" => store.copy_kept(&id),
        "delete" => {
            store.delete_kept(&id);
            // The button that had the keyboard is gone: on to the way back.
            focus("[data-deleted] button");
        }
        "export" => save(
            &file_name("entry-as-it-is"),
            &builds::raw(&id).unwrap_or_default(),
        ),
        "rename" => {
            renaming.set(Some(id));
            focus("[data-rename]");
        }
        "renamed" => {
            let input = element::<HtmlInputElement>("[data-rename]");
            rename(
                store,
                renaming,
                &input.map(|i| i.value()).unwrap_or_default(),
            );
        }
        "as-it-was" => renaming.set(None),
        "new" => {
            store.open_example();
            store.go(crate::places::Place::Match);
        }
        "import" => {
            if let Some(picker) = element::<HtmlElement>("[data-import]") {
                picker.click();
            }
        }
        "export-all" => save("airpath-builds.json", &store.export_all()),
        "by-name" => by_name.set(true),
        "by-change" => by_name.set(false),
        _ => {}
    }
}

fn rename(store: Store, renaming: RwSignal<Option<String>>, name: &str) {
    if let Some(id) = renaming.get_untracked() {
        // What is too long stays where it can be shortened.
        if store.rename_kept(&id, name.trim()) {
            renaming.set(None);
        }
    }
}

fn focus(selector: &'static str) {
    request_animation_frame(move || {
        if let Some(found) = element::<HtmlElement>(selector) {
            let _ = found.focus();
            if let Some(input) = found.dyn_ref::<HtmlInputElement>() {
                input.select();
            }
        }
    });
}

fn rows(store: Store, renaming: RwSignal<Option<String>>, by_name: bool) -> AnyView {
    store.kept.track();
    let open = store.of.get();
    let being_renamed = renaming.get();
    let mut all = builds::list();
    if by_name {
        let name = |l: &Listed| {
            l.build
                .as_ref()
                .map_or(String::new(), |b| b.name().to_lowercase())
        };
        all.sort_by_key(name);
    }
    let nothing = all.is_empty().then(|| {
        view! { <p>"None yet. The example is kept as soon as you change it; a shared build once you press “Keep it”."</p> }
    });
    let rows = all.into_iter().map(|kept| {
        let is_open = open == Of::Own(kept.id.clone());
        let renamed = being_renamed.as_ref() == Some(&kept.id);
        row(store, kept, is_open, renamed)
    });
    view! { {nothing} <ul class="builds">{list(rows)}</ul> }.into_any()
}

fn row(store: Store, kept: Listed, is_open: bool, renamed: bool) -> AnyView {
    let button = |what: &'static str, label: &'static str, name: &str| {
        view! { <button type="button" class="small" data-do=what aria-label=format!("{label}: {name}")>{label}</button> }.into_any()
    };
    let (about, buttons) = match &kept.build {
        Ok(_) if renamed => (
            view! {
                <label><span class="unseen">"New name"</span>
                    <input type="text" data-rename="" autocomplete="off" spellcheck="false"
                        value=kept.build.as_ref().map_or(String::new(), |b| b.name().to_owned())/>
                </label>
            }
            .into_any(),
            vec![
                button("renamed", "Save", "the new name"),
                button("as-it-was", "Leave it", "the old name"),
            ],
        ),
        Ok(build) => {
            let entry = kept.entry.as_ref();
            let units = store.units.get();
            let power = entry.and_then(|e| e.power_w);
            let facts = [
                is_open.then(|| "open now".to_owned()),
                Some(build.turbocharger().name.clone()),
                Some(asked(build)),
                power.map(|p| format!("makes {}", shown(Kind::Power, units).text(p))),
                entry.and_then(|e| when(e.changed_ms)),
            ];
            let facts: Vec<String> = facts.into_iter().flatten().collect();
            let name = match build.name() {
                "" => "Without a name",
                name => name,
            };
            (
                view! {
                    <button type="button" class="open" data-do="open">{name.to_owned()}</button>
                    <p class="quiet">{facts.join(" · ")}</p>
                }
                .into_any(),
                [("copy", "Copy"), ("rename", "Rename"), ("delete", "Delete")]
                    .map(|(what, label)| button(what, label, name))
                    .into(),
            )
        }
        Err(problem) => {
            let mut buttons = vec![button("export", "Export as it is", "unreadable entry")];
            if !kept.newer {
                buttons.push(button("delete", "Delete", "unreadable entry"));
            }
            (
                view! { <p><i class="mark" aria-hidden="true"></i><b>"Cannot be read"</b></p><p class="quiet">{problem.clone()}</p> }.into_any(),
                buttons,
            )
        }
    };
    view! {
        <li data-build=kept.id class:now=is_open>
            <div class="about">{about}</div>
            <div class="acts">{list(buttons)}</div>
        </li>
    }
    .into_any()
}
