//! The strip that tells that a visitor stands: a build that came by a link and is not kept.

use super::shapes::{perhaps, press};
use crate::store::use_store;
use leptos::prelude::*;

/// Says whose build is shown, and how it stays or goes.
#[component]
pub fn Visitor() -> AnyView {
    let store = use_store();
    let view = perhaps(move || {
        store.visiting().then(|| {
            let name = store.build.with(|b| b.name().to_owned());
            view! {
                <section class="visitor" data-visitor="" aria-label="Shared with you">
                    <p>"Shared with you: "<b>"“"{name}"”"</b>". Yours, “"{store.mine()}"”, is as it was."</p>
                    <div class="buttons">
                        <button type="button" class="first" data-act="keep" on:click=press(move || store.keep_visitor())>"Keep it"</button>
                        <button type="button" data-act="back" on:click=press(move || store.back_to_mine())>"Back to mine"</button>
                    </div>
                </section>
            }
            .into_any()
        })
    });
    view! { <div role="status">{view}</div> }.into_any()
}
