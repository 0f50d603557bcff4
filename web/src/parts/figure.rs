//! A plot with its title and, at a press, its table.

use super::shapes::{perhaps, press, toggle, whether, words};
use crate::later;
use crate::store::use_store;
use leptos::prelude::*;

/// A titled section that holds a plot and can show the same numbers as a table.
#[component]
pub fn Figure(
    /// Its id and `data-table`.
    name: &'static str,
    /// Its title.
    title: &'static str,
    /// What follows the title, in a lighter weight.
    #[prop(into)]
    note: Signal<String>,
    /// The plot.
    plot: AnyView,
    /// Makes the table.
    table: fn() -> AnyView,
) -> AnyView {
    let store = use_store();
    let open = RwSignal::new(false);
    view! {
        <section class=format!("figure {name}") aria-labelledby=format!("{name}-title")>
            <header>
                <h2 id=format!("{name}-title")>{title} " " <small>{note}</small></h2>
                <div class="figure-tools">
                    <button type="button" class="small" data-picture=name aria-label=format!("Picture: save {title} as an image")
                        on:click=press(move || later::save_picture(store, name, title))>"Picture"</button>
                    {toggle(open, title.to_owned(), "Hide table", || "Table".to_owned())}
                </div>
            </header>
            {plot}
            <div id=format!("{name}-table") class="table" tabindex=words(move || if open.get() { "0" } else { "-1" }.to_owned())
                role="group" aria-label=format!("Table: {title}") hidden=whether(move || !open.get())>
                {perhaps(move || open.get().then(table))}
            </div>
        </section>
    }
    .into_any()
}
