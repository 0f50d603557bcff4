//! The head of the page: the build's name, undo and redo, units, light or dark, the build's file.

use super::keys;
use super::picture::hand_over;
use super::shapes::{
    fault as fault_box, leave, perhaps, press, text as text_of, told, whether, words,
};
use super::share::share;
use crate::later;
use crate::store::{Store, Theme, use_store};
use airpath::build::BuildFile;
use airpath::quantity::System;
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen_futures::JsFuture;

/// A file's name from a build's: letters and digits, the rest hyphens.
pub fn file_name(name: &str) -> String {
    let plain: String = name
        .to_lowercase()
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .collect();
    let parts: Vec<&str> = plain.split('-').filter(|p| !p.is_empty()).collect();
    let stem: String = parts.join("-").chars().take(60).collect();
    format!(
        "{}.airpath.json",
        if stem.is_empty() { "build" } else { &stem }
    )
}

/// Hands a text to the browser as a file to save.
pub fn download(name: &str, text: &str, kind: &str) -> Option<()> {
    let parts = js_sys::Array::of1(&text.into());
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(kind);
    let blob = web_sys::Blob::new_with_str_sequence_and_options(&parts, &options).ok()?;
    hand_over(name, &blob)
}

/// Hands the build that stands to the browser as a file to save.
pub fn export(store: Store) {
    let (file, text) = store
        .build
        .with_untracked(|b| (file_name(b.name()), BuildFile::from_build(b).to_json()));
    if download(&file, &text, "application/json").is_none() {
        store.notice.set(Some(
            "This browser did not let the page save a file.".to_owned(),
        ));
    }
}

/// The head of the page.
#[component]
pub fn Header() -> AnyView {
    let store = use_store();
    let menu = RwSignal::new(false);
    let name = NodeRef::<Input>::new();
    let picker = NodeRef::<Input>::new();
    Effect::new(move |_| {
        store.revision.track();
        let stands = store.build.with(|b| b.name().to_owned());
        if let Some(name) = name.get()
            && name.value() != stands
            && store
                .faults
                .with_untracked(|f| !f.iter().any(|f| f.key == "name"))
        {
            name.set_value(&stands);
        }
    });
    let rename = move |text: String| {
        let edited = store.build.with_untracked(|b| b.with_name(&text));
        store.edit("name", "Name", edited);
    };
    let fault = Memo::new(move |_| {
        store
            .faults
            .with(|f| f.iter().find(|f| f.key == "name" && f.shown).cloned())
    });
    let import = move || {
        let Some(input) = picker.get_untracked() else {
            return;
        };
        let Some(file) = input.files().and_then(|f| f.get(0)) else {
            return;
        };
        spawn_local(async move {
            match JsFuture::from(file.text())
                .await
                .ok()
                .and_then(|t| t.as_string())
            {
                Some(text) => later::open_file(store, file.name(), text).await,
                None => store
                    .notice
                    .set(Some(format!("“{}” could not be read.", file.name()))),
            }
            // So that the same file can be picked again.
            input.set_value("");
        });
        menu.set(false);
    };
    let system = move || {
        if store.system.get() == System::Imperial {
            "Imperial"
        } else {
            "Metric"
        }
    };
    let theme = move || match store.theme.get() {
        Theme::Auto => "Light: auto",
        Theme::Light => "Light",
        Theme::Dark => "Dark",
    };
    view! {
        <header class="head">
            <svg class="logo" viewBox="0 0 52 34" aria-hidden="true">
                <path d="M2,28 H10 L18,8 H26 L29,12 H33 L36,5 H42 L48,28 H50"/><path d="M2,33 H50" class="thin"/>
            </svg>
            <h1 class="brand">"Airpath"</h1>
            <label class="name">
                <span class="unseen">"Name of the build"</span>
                <input data-field="name" node_ref=name type="text" autocomplete="off" spellcheck="false"
                    on:input=text_of(rename)
                    on:blur=leave(move || store.left_field())/>
            </label>
            <button type="button" class="small menu" aria-expanded=told(move || menu.get()) aria-controls="tools"
                on:click=press(move || menu.update(|m| *m = !*m))>
                {words(move || if menu.get() { "Close" } else { "Menu" }.to_owned())}
            </button>
            <div id="tools" class="tools" class:open=menu>
                <button type="button" class="small" data-act="undo" disabled=whether(move || !store.can.get().0 && store.faults.with(Vec::is_empty))
                    on:click=press(move || store.undo())>"Undo"</button>
                <button type="button" class="small" data-act="redo" disabled=whether(move || !store.can.get().1)
                    on:click=press(move || store.redo())>"Redo"</button>
                <button type="button" class="small" data-act="units" aria-label=words(move || format!("{}: units. Change", system()))
                    on:click=press(move || {
                        let other = if store.system.get_untracked() == System::Imperial { System::Metric } else { System::Imperial };
                        store.choose_system(other);
                    })>{words(move || system().to_owned())}</button>
                <button type="button" class="small" data-act="theme" aria-label=words(move || format!("{}: light or dark. Change", theme()))
                    on:click=press(move || store.choose_theme(store.theme.get_untracked().next()))>{words(move || theme().to_owned())}</button>
                <button type="button" class="small" data-act="share" aria-expanded=told(move || store.sharing.get())
                    on:click=press(move || { share(store, !store.sharing.get_untracked()); menu.set(false); })>"Share"</button>
                <button type="button" class="small" data-act="export" on:click=press(move || { export(store); menu.set(false); })>"Export"</button>
                <button type="button" class="small" data-act="import" on:click=press(move || {
                    if let Some(picker) = picker.get_untracked() {
                        picker.click();
                    }
                })>"Import"</button>
                <input class="unseen" tabindex="-1" aria-hidden="true" type="file" accept=".json,application/json" data-import="" node_ref=picker
                    on:change=text_of(move |_| import())/>
                <button type="button" class="small" data-act="keys" on:click=press(move || { keys::show(); menu.set(false); })>"Keys"</button>
                <button type="button" class="small" data-act="example" on:click=press(move || { store.open_example(); menu.set(false); })>"Start from the example"</button>
            </div>
            {perhaps(move || fault.get().map(|fault| fault_box("name", fault.problem, None)))}
        </header>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use super::file_name;

    #[test]
    fn a_file_is_named_for_its_build() {
        assert_eq!(file_name("Hill-climb 2.2"), "hill-climb-2-2.airpath.json");
        assert_eq!(file_name("  ../\\ "), "build.airpath.json");
    }
}
