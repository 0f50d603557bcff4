//! Views that come one after the other, each in a task of its own.
//!
//! All fields at once would hold a phone's processor for as long as the answer takes: what is
//! looked at first comes first, and in between the page answers to touch.

use super::shapes::{list, perhaps};
use leptos::prelude::*;
use std::time::Duration;

/// Lets the next one come as soon as the browser is free, until all are there.
fn next(here: RwSignal<usize>, count: usize) {
    set_timeout(
        move || {
            // The page may be gone by then.
            let come = here.try_update(|here| {
                *here += 1;
                *here
            });
            if come.is_some_and(|come| come < count) {
                next(here, count);
            }
        },
        Duration::ZERO,
    );
}

/// The views of these things, in their order, each as soon as the browser is free.
pub fn in_turn<T: Copy + Send + Sync + 'static>(
    things: impl IntoIterator<Item = T>,
    view: fn(T) -> AnyView,
) -> AnyView {
    let here = RwSignal::new(0);
    let views: Vec<AnyView> = things
        .into_iter()
        .enumerate()
        .map(|(index, thing)| {
            let come = Memo::new(move |_| here.get() > index);
            perhaps(move || come.get().then(|| view(thing)))
        })
        .collect();
    next(here, views.len());
    list(views)
}
