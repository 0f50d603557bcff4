//! Airpath's page: a thin shell over the core. It holds what was entered and shows what was found;
//! it works out no physics.

mod app;
mod beside;
mod cursor;
mod entry_text;
mod history;
mod keep;
mod later;
mod offline;
mod parts;
mod places;
mod plots;
mod sentence;
mod show;
mod store;

use app::App;
use leptos::prelude::*;

/// Tells on the page that the program has stopped, and how to go on.
fn stopped(why: &std::panic::PanicHookInfo<'_>) {
    web_sys::console::error_1(&why.to_string().into());
    let Some(body) = document().body() else {
        return;
    };
    let Ok(notice) = document().create_element("div") else {
        return;
    };
    notice.set_class_name("notice");
    let _ = notice.set_attribute("role", "alert");
    // Words of our own only: what went wrong is in the console.
    notice.set_inner_html(
        "<p>Airpath met a mistake of its own and has stopped. What you entered last is kept on this device. \
         <a href=\"\">Load the page again</a>, or, if that does not help, \
         <a href=\"?fresh\">start from the example</a>.</p>",
    );
    let _ = body.prepend_with_node_1(&notice);
}

fn main() {
    // Beside the page there is nothing to show.
    if beside::is_beside() {
        return;
    }
    std::panic::set_hook(Box::new(stopped));
    // Each in a task of its own: the browser has just been busy with the program itself, and
    // answers to touch in between.
    in_a_moment(|| {
        // It stays as long as the page.
        let owner = Owner::new();
        let store = owner.with(store::Store::open);
        in_a_moment(move || {
            if let Some(store) = store {
                store.begin();
            }
            wasm_bindgen_futures::spawn_local(async move {
                // A build that came by a link is what is seen first.
                if let Some(store) = store {
                    store.visit_address().await;
                }
                in_a_moment(move || mount(owner, store));
            });
        });
    });
}

fn mount(owner: Owner, store: Option<store::Store>) {
    // What stood here while the page was loading.
    if let Some(loading) = document().get_element_by_id("loading") {
        loading.remove();
    }
    owner.with(|| leptos::mount::mount_to_body(move || view! { <App store/> }));
    std::mem::forget(owner);
}

fn in_a_moment(act: impl FnOnce() + 'static) {
    set_timeout(act, std::time::Duration::ZERO);
}
