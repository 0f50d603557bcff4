//! One line for a first visit; it goes away for good when it is followed or closed.

use super::shapes::{perhaps, press};
use crate::keep;
use crate::store::use_store;
use leptos::prelude::*;

/// The line under the answer.
pub fn hint() -> AnyView {
    let store = use_store();
    let shown = RwSignal::new(!keep::hint_done());
    let done = move || {
        if shown.get_untracked() {
            shown.set(false);
            keep::keep_hint_done();
        }
    };
    Effect::new(move |_| {
        if store.working.with(Option::is_some) || store.part.with(Option::is_some) {
            done();
        }
    });
    perhaps(move || {
        shown.get().then(|| {
            view! {
                <div class="hint" data-hint="">
                    <p>"Tap a dotted number to see its working; tap a part below to change it."</p>
                    <button type="button" class="small" on:click=press(done)>"Got it"</button>
                </div>
            }
            .into_any()
        })
    })
}
