//! The builds kept on this device.

use leptos::prelude::*;

/// The builds kept on this device.
#[component]
pub fn Kept() -> AnyView {
    view! { <main class="kept"><h2>"Builds"</h2></main> }.into_any()
}
