//! Airpath's page.
use leptos::prelude::*;
fn main() {
    leptos::mount::mount_to_body(|| leptos::prelude::view! { <p>"Airpath"</p> });
}
