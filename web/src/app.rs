//! The page as a whole: its state, its theme, its head and its place.

use crate::keep::Trouble;
use crate::later;
use crate::offline::{NewVersion, WithoutConnection};
use crate::parts::header::{Header, export};
use crate::parts::keys::{self, keys_list};
use crate::parts::shapes::{perhaps, press, whether};
use crate::parts::visitor::Visitor;
use crate::places::matching::Matching;
use crate::places::{Place, Places};
use crate::plots::colours::Palette;
use crate::store::{Store, Theme, use_store};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// The page.
#[component]
pub fn App(
    /// The page's state; none if its example is broken.
    store: Option<Store>,
) -> AnyView {
    let Some(store) = store else {
        return view! { <p class="notice">"The example that ships with this page is broken. Please report it."</p> }
            .into_any();
    };
    provide_context(store);
    wear_theme();
    listen();
    view! {
        <Header/>
        <Places/>
        {perhaps(move || store.sharing.get().then(later::share))}
        <NewVersion/>
        <Notice/>
        <Visitor/>
        // The match stays as it is while another place is read.
        <div class="place" hidden=whether(move || store.place.get() != Place::Match)><Matching/></div>
        {perhaps(move || match store.place.get() {
            Place::Match => None,
            Place::Choose => Some(later::choose()),
            Place::Sheets => Some(later::sheets()),
            Place::Learn => Some(later::learn()),
            Place::Trace => Some(later::tracing()),
            Place::Shelf => Some(later::shelf_place()),
            Place::Builds => Some(view! { {later::kept()}<WithoutConnection/> }.into_any()),
        })}
        {keys_list()}
    }
    .into_any()
}

/// Puts the theme on the page and reads its colours, now and whenever the device changes its mind.
fn wear_theme() {
    let store = use_store();
    let read = move || {
        let Some(root) = document().document_element() else {
            return;
        };
        let theme = store.theme.get_untracked();
        let _ = match theme {
            Theme::Auto => root.remove_attribute("data-theme"),
            _ => root.set_attribute("data-theme", theme.name()),
        };
        if let Ok(Some(style)) = window().get_computed_style(&root) {
            store.palette.set(Palette::read(|name| {
                style.get_property_value(name).unwrap_or_default()
            }));
        }
    };
    // Now, while there is hardly a page whose style would have to be found for it.
    read();
    Effect::new(move |before: Option<()>| {
        store.theme.track();
        if before.is_some() {
            read();
        }
    });
    for question in ["(prefers-color-scheme: dark)", "(prefers-contrast: more)"] {
        if let Ok(Some(media)) = window().match_media(question) {
            let changed = Closure::<dyn FnMut()>::new(read);
            media.set_onchange(Some(changed.as_ref().unchecked_ref()));
            // Both the question and its answer stay as long as the page.
            changed.forget();
            std::mem::forget(media);
        }
    }
}

/// Marks the entry of the browser's history that an open part makes.
const SHEET: &str = "part";

fn history() -> Option<web_sys::History> {
    window().history().ok()
}

/// Whether the page is laid out for a phone, as in the style sheet.
pub fn is_phone() -> bool {
    matches!(window().match_media("(max-width: 767px)"), Ok(Some(media)) if media.matches())
}

/// Whether the page is touched rather than pointed at.
fn is_touched() -> bool {
    matches!(window().match_media("(pointer: coarse)"), Ok(Some(media)) if media.matches())
}

/// What the window tells: it moved to a screen of another sharpness, it goes away, keys.
fn listen() {
    let store = use_store();
    window_event_listener(leptos::ev::resize, move |_| store.palette.update(|_| ()));
    // A page that is left may never come back: what was just typed is kept.
    window_event_listener_untyped("pagehide", move |_| store.keep_now());
    // What another tab keeps is seen here; a link pasted into the address is opened.
    window_event_listener(leptos::ev::storage, move |event| {
        store.other_tab(event.key().as_deref())
    });
    window_event_listener_untyped("hashchange", move |_| spawn_local(store.visit_address()));
    // A number that opens its working says so by attributes: one listener serves them all.
    window_event_listener(leptos::ev::click, move |event| {
        let figure = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
            .and_then(|t| t.closest("[data-opens]").ok().flatten());
        if let Some(figure) = figure
            && let Some(key) = figure.get_attribute("data-opens")
        {
            let at = figure
                .get_attribute("data-at")
                .and_then(|at| at.parse().ok());
            // The working stands beside the match.
            if store.place.get_untracked() == Place::Choose {
                store.go(Place::Match);
            }
            store.open_working(&key, at);
        }
    });
    // On a phone an open part fills the screen: going back closes it.
    Effect::new(move |before: Option<bool>| {
        let open = store.part.get().is_some() || store.working.with(Option::is_some);
        if open && before == Some(false) && is_phone() {
            let _ = history().map(|h| h.push_state(&SHEET.into(), ""));
        } else if !open && before == Some(true) {
            // Closed by a button: the entry that was made for it goes too.
            if let Some(history) = history()
                && history
                    .state()
                    .is_ok_and(|s| s.as_string().as_deref() == Some(SHEET))
            {
                let _ = history.back();
            }
        }
        open
    });
    window_event_listener_untyped("popstate", move |_| {
        if store.part.get_untracked().is_some() {
            store.left_field();
            store.part.set(None);
        }
        store.working.set(None);
    });
    window_event_listener(leptos::ev::keydown, move |event| {
        if event.key() == "/" && (event.ctrl_key() || event.meta_key()) {
            keys::show();
            event.prevent_default();
            return;
        }
        // The browser itself closes the list of keys.
        if keys::is_open() {
            return;
        }
        if event.key() == "Escape" && store.working.with_untracked(Option::is_some) {
            store.working.set(None);
            return;
        }
        let typing = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::HtmlInputElement>().ok())
            .filter(|input| input.type_() == "text");
        if let Some(input) = typing {
            // "Done" on a phone's keyboard: the number is complete, the keyboard goes away.
            if event.key() == "Enter" && is_touched() {
                let _ = input.blur();
            }
            // The browser's own undo is at work in a text input.
            return;
        }
        if !(event.ctrl_key() || event.meta_key()) || event.alt_key() {
            return;
        }
        match (event.key().to_lowercase().as_str(), event.shift_key()) {
            ("z", false) => store.undo(),
            ("z", true) | ("y", false) => store.redo(),
            _ => return,
        }
        event.prevent_default();
    });
}

/// Something to tell once.
#[component]
fn Notice() -> AnyView {
    let store = use_store();
    let view = perhaps(move || {
        store.notice.get().map(|text| {
            // What cannot be kept can be saved as a file.
            let offer = |text: &str| Trouble::is_told_in(text).then(|| view! { <button type="button" class="small" data-offer="" on:click=press(move || export(store))>"Export"</button> });
            view! {
                <div class="notice" data-notice="">
                    <p>{text.clone()}</p>
                    {offer(&text)}
                    <button type="button" class="small" on:click=press(move || store.notice.set(None))>"Close"</button>
                </div>
            }
            .into_any()
        })
    });
    view! { <div role="alert">{view}</div> }.into_any()
}
