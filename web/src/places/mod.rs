//! The places of the page.

pub mod choose;
pub mod kept;
pub mod learn;
pub mod matching;
pub mod sheets;
pub mod shelf;

use crate::parts::shapes::{list, press};
use crate::store::use_store;
use leptos::prelude::*;

/// Where the reader is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The match.
    Match,
    /// Which one: candidates side by side, a shortlist, sizes from the demand.
    Choose,
    /// Sheets to print and hand over.
    Sheets,
    /// The lessons.
    Learn,
    /// Turbochargers: those that come with the page, and the person's own.
    Shelf,
    /// The builds kept on this device.
    Builds,
    /// A compressor map is traced from a picture.
    Trace,
}

impl Place {
    /// Every place that has a button, in the order of the buttons.
    pub const ALL: [Place; 6] = [
        Place::Match,
        Place::Choose,
        Place::Sheets,
        Place::Shelf,
        Place::Learn,
        Place::Builds,
    ];

    /// What its button says.
    pub const fn label(self) -> &'static str {
        match self {
            Place::Match => "Match",
            Place::Choose => "Choose",
            Place::Sheets => "Sheets",
            Place::Learn => "Learn",
            Place::Shelf => "Shelf",
            Place::Builds => "Builds",
            Place::Trace => "Trace",
        }
    }
}

/// The buttons that lead from place to place.
#[component]
pub fn Places() -> AnyView {
    let store = use_store();
    let button = |place: Place| {
        view! {
            <button
                type="button"
                data-place=place.label().to_lowercase()
                aria-current=move || (store.place.get() == place).then_some("page")
                on:click=press(move || store.go(place))
            >
                {place.label()}
            </button>
        }
        .into_any()
    };
    view! { <nav class="places" aria-label="Places">{list(Place::ALL.map(button))}</nav> }
        .into_any()
}
