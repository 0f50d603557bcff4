//! The lessons.

use leptos::prelude::*;

/// The lessons.
#[component]
pub fn Learn() -> AnyView {
    view! { <main class="learn"><h2>"Learn"</h2></main> }.into_any()
}
