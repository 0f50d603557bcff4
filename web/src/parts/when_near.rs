//! Views that come once their place is in sight: what they work out is not worth a moment of a page
//! that nobody has scrolled so far.

use super::shapes::perhaps;
use leptos::html::Div;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// Sets `here` once an element is in sight.
fn watch(element: &web_sys::Element, here: RwSignal<bool>) {
    let seen = Closure::<dyn FnMut(js_sys::Array)>::new(move |entries: js_sys::Array| {
        let near = entries.iter().any(|entry| {
            entry
                .dyn_into::<web_sys::IntersectionObserverEntry>()
                .is_ok_and(|entry| entry.is_intersecting())
        });
        if near && here.try_get_untracked() == Some(false) {
            here.set(true);
        }
    });
    if let Ok(observer) = web_sys::IntersectionObserver::new(seen.as_ref().unchecked_ref()) {
        observer.observe(element);
        // Its place stays as long as the page.
        seen.forget();
    }
}

/// A view that comes once its place, of this class, is in sight.
pub fn when_near(class: &'static str, view: fn() -> AnyView) -> AnyView {
    let here = RwSignal::new(false);
    let place = NodeRef::<Div>::new();
    Effect::new(move |_| {
        if let Some(element) = place.get() {
            watch(&element, here);
        }
    });
    view! { <div class=class node_ref=place>{perhaps(move || here.get().then(view))}</div> }
        .into_any()
}
