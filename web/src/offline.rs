//! The page without a connection, and new versions of it.
//!
//! The service worker (`web/offline/service-worker.js`) keeps the page on the device. When it has
//! a new version ready, this says so once nobody is typing; the version is applied at a press of a
//! button and never otherwise, and what was entered is kept first.

use crate::parts::shapes::{perhaps, press};
use crate::store::{Store, use_store};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{HtmlInputElement, ServiceWorkerContainer, ServiceWorkerRegistration};

/// What the service worker takes for the person's word.
const TAKE_OVER: &str = "take over";

/// How long the keyboard must have left a field before something may move on the page.
const REST: Duration = Duration::from_millis(600);

/// The service workers of this browser: none from a disk, where the address is not secure, and in
/// some private windows.
fn container() -> Option<ServiceWorkerContainer> {
    let root = document().document_element()?;
    if root.has_attribute("data-one-file") {
        return None;
    }
    let navigator = window().navigator();
    let there = js_sys::Reflect::get(&navigator, &"serviceWorker".into()).ok()?;
    there.is_object().then(|| there.unchecked_into())
}

/// Whether somebody may be in the middle of typing.
fn is_typing() -> bool {
    document()
        .active_element()
        .and_then(|element| element.dyn_into::<HtmlInputElement>().ok())
        .is_some_and(|input| input.type_() == "text")
}

/// Calls a function with no arguments for as long as the page stands.
fn forever(act: impl Fn() + 'static) -> js_sys::Function {
    Closure::<dyn FnMut()>::new(act)
        .into_js_value()
        .unchecked_into()
}

/// The versions of the page that this tab knows of.
#[derive(Clone, Copy)]
struct Versions {
    container: StoredValue<ServiceWorkerContainer, LocalStorage>,
    registration: StoredValue<Option<ServiceWorkerRegistration>, LocalStorage>,
    /// A new one is ready.
    ready: RwSignal<bool>,
    /// It is announced.
    announced: RwSignal<bool>,
    /// The person has agreed.
    agreed: RwSignal<bool>,
    /// Why it was not applied.
    refused: RwSignal<Option<String>>,
}

impl Versions {
    /// Registers the service worker and watches for new ones.
    fn watch(self) {
        spawn_local(async move {
            let registering = self.container.with_value(|c| c.register("./sw.js"));
            // Without it the page works as before, with a connection: see `WithoutConnection`.
            let registration: ServiceWorkerRegistration = match JsFuture::from(registering).await {
                Ok(registration) if registration.is_object() => registration.unchecked_into(),
                Ok(error) | Err(error) => {
                    let words = "Airpath is not kept for use without a connection:";
                    web_sys::console::warn_2(&words.into(), &error);
                    return;
                }
            };
            self.registration.set_value(Some(registration.clone()));
            let look = forever(move || self.look());
            let arrives = {
                let (registration, look) = (registration.clone(), look);
                forever(move || {
                    if let Some(worker) = registration.installing() {
                        worker.set_onstatechange(Some(&look));
                    }
                })
            };
            registration.set_onupdatefound(Some(&arrives));
            // One may have begun to arrive before there was anybody to hear of it.
            let _ = arrives.call0(&JsValue::NULL);
            self.look();
        });
        let had_one = RwSignal::new(self.controlled());
        let changed = forever(move || {
            if self.agreed.get_untracked() {
                let _ = window().location().reload();
            } else if had_one.get_untracked() {
                // Another tab has agreed: this one still shows the old version.
                self.ready.set(true);
                self.announce();
            }
            had_one.set(true);
        });
        self.container
            .with_value(|c| c.set_oncontrollerchange(Some(&changed)));
        window_event_listener_untyped("focusout", move |_| {
            if self.ready.get_untracked() {
                set_timeout(move || self.announce(), REST);
            }
        });
        // A page on a phone may stand open for weeks: it looks for a new version when it is seen.
        window_event_listener_untyped("visibilitychange", move |_| {
            if !document().hidden() {
                self.registration.with_value(|r| {
                    if let Some(Ok(update)) = r.as_ref().map(ServiceWorkerRegistration::update) {
                        // Without a connection there is none to be found, which is no mistake.
                        spawn_local(async move {
                            let _ = JsFuture::from(update).await;
                        });
                    }
                });
            }
        });
    }

    fn controlled(self) -> bool {
        self.container.with_value(|c| c.controller().is_some())
    }

    /// Looks whether a new version waits; the first one does not count.
    fn look(self) {
        let waits = self
            .registration
            .with_value(|r| r.as_ref().is_some_and(|r| r.waiting().is_some()));
        if waits && self.controlled() {
            self.ready.set(true);
            self.announce();
        }
    }

    /// Says that a new version is ready, unless somebody is typing.
    fn announce(self) {
        if self.ready.get_untracked() && !is_typing() {
            self.announced.set(true);
        }
    }

    /// Applies the new version, if nothing that was entered is lost by it.
    fn agree(self, store: Store) {
        let before = self.refused.get_untracked();
        let lost = store.would_be_lost();
        // What a person cannot mend, such as full storage, is said once; the second press counts.
        if lost.is_some() && (lost != before || store.faults.with_untracked(|f| !f.is_empty())) {
            self.refused.set(lost);
            return;
        }
        self.agreed.set(true);
        let waiting = self
            .registration
            .with_value(|r| r.as_ref().and_then(ServiceWorkerRegistration::waiting));
        match waiting {
            // The page is loaded again as soon as the new version has taken over.
            Some(worker) => {
                let _ = worker.post_message(&TAKE_OVER.into());
            }
            None => {
                let _ = window().location().reload();
            }
        }
    }
}

/// Keeps the page on the device, and the strip that announces a new version.
#[component]
pub fn NewVersion() -> AnyView {
    let store = use_store();
    let Some(container) = container() else {
        return ().into_any();
    };
    let versions = Versions {
        container: StoredValue::new_local(container),
        registration: StoredValue::new_local(None),
        ready: RwSignal::new(false),
        announced: RwSignal::new(false),
        agreed: RwSignal::new(false),
        refused: RwSignal::new(None),
    };
    versions.watch();
    let strip = perhaps(move || {
        versions.announced.get().then(|| {
            view! {
                <div class="notice" data-new-version="">
                    <p>"A new version is ready. What you entered stays. "{move || versions.refused.get()}</p>
                    <button type="button" class="small" data-act="update" on:click=press(move || versions.agree(store))>"Update"</button>
                </div>
            }
            .into_any()
        })
    });
    view! { <div role="status">{strip}</div> }.into_any()
}

/// Says whether the page opens without a connection, and if not, why.
#[component]
pub fn WithoutConnection() -> AnyView {
    let root = document().document_element();
    let words = if root.is_some_and(|root| root.has_attribute("data-one-file")) {
        "This is Airpath as one file: it needs no connection."
    } else {
        match container() {
            None => {
                "Airpath opens only with a connection here: this browser keeps no page for use without one. The address must be secure (https), and some private windows never keep any."
            }
            Some(container) if container.controller().is_some() => {
                "Airpath is kept on this device: it opens without a connection."
            }
            Some(_) => {
                "Airpath is not kept on this device yet: it opens only with a connection. If that stays so, the browser's storage is full or switched off."
            }
        }
    };
    view! { <aside class="notice" data-without-connection=""><p>{words}</p></aside> }.into_any()
}
