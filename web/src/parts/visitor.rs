//! The strip that tells that a visitor stands: a build that came by a link and is not kept.

use super::shapes::{perhaps, press, toggle};
use crate::later;
use crate::places::Place;
use crate::store::use_store;
use leptos::prelude::*;

/// Says whose build is shown, and how it stays or goes.
#[component]
pub fn Visitor() -> AnyView {
    let store = use_store();
    let view = perhaps(move || {
        // A lesson is read without it.
        let shown = store.visiting() && store.place.get() != Place::Learn;
        shown.then(|| {
            let open = RwSignal::new(false);
            let name = store.build.with(|b| b.name().to_owned());
            view! {
                <section class="visitor" data-visitor="" aria-label="Shared with you">
                    <p>"Shared with you: "<b>"“"{name}"”"</b>". Yours, “"{store.mine()}"”, is as it was."</p>
                    <div class="buttons">
                        <button type="button" class="first" data-act="keep" on:click=press(move || store.keep_visitor())>"Keep it"</button>
                        {toggle(open, "what comes of each, and where they differ".to_owned(), "Hide yours", || "Beside yours".to_owned())}
                        <button type="button" data-act="back" on:click=press(move || store.back_to_mine())>"Back to mine"</button>
                    </div>
                    {perhaps(move || open.get().then(later::beside))}
                </section>
            }
            .into_any()
        })
    });
    view! { <div role="status">{view}</div> }.into_any()
}
