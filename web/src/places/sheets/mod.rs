//! Sheets to print and hand over.

mod application;
mod drawing;
mod frame;
mod swap;
mod writeup;

use crate::parts::header::{download, file_name};
use crate::parts::shapes::{list, live, press, text, told};
use crate::parts::style::wear;
use crate::places::choose::{self, Choice, candidate_choice};
use crate::show::shown;
use crate::store::{Store, use_store};
use airpath::desk::Candidate;
use leptos::prelude::*;
use std::cell::{Cell, RefCell};

/// Which sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Which {
    /// The build and its answer.
    Build,
    /// Where what is fitted belongs.
    Application,
    /// What changes with another in its place.
    Swap,
}

impl Which {
    const ALL: [Which; 3] = [Which::Build, Which::Application, Which::Swap];

    const fn label(self) -> &'static str {
        match self {
            Which::Build => "Build",
            Which::Application => "Application",
            Which::Swap => "Swap",
        }
    }
}

thread_local! {
    /// Whom sheets are prepared for and by whom: in memory alone, a customer's name is not kept.
    static NAMES: RefCell<(String, String)> = RefCell::default();
}

thread_local! {
    /// The sheet that was looked at last.
    static LEFT: Cell<Which> = const { Cell::new(Which::Build) };
    /// What was chosen to be fitted instead, last.
    static TO: RefCell<Option<Candidate>> = const { RefCell::new(None) };
    /// What the application sheet was of, last.
    static OF: RefCell<Option<Candidate>> = const { RefCell::new(None) };
}

/// What the swap sheet goes to at first: what was chosen last, else the first that stands beside.
fn first(store: Store) -> Option<Candidate> {
    let fitted = store.build.with_untracked(|b| Candidate::of(b));
    TO.with_borrow(Clone::clone)
        .or_else(|| choose::beside(store).into_iter().next())
        .filter(|c| *c != fitted)
}

/// The state of the place.
#[derive(Clone, Copy)]
pub struct Sheets {
    store: Store,
    which: RwSignal<Which>,
    /// What is to be fitted in place of what is fitted.
    to: RwSignal<Option<Candidate>>,
    /// What the application sheet is of; nothing for what is fitted.
    of: RwSignal<Option<Candidate>>,
    /// Whom the sheet is for.
    whom: RwSignal<String>,
    /// Who made it.
    by: RwSignal<String>,
}

impl Sheets {
    fn save_table(self) {
        let store = self.store;
        let units = store.units.get_untracked();
        let made = store.solved.with_untracked(|solved| {
            let solved = solved.as_ref()?;
            let text = solved.found.to_csv(|kind| shown(kind, units).unit);
            let stem = file_name(solved.build.name());
            Some((stem.trim_end_matches(".airpath.json").to_owned(), text))
        });
        let saved = made
            .and_then(|(stem, text)| download(&format!("{stem}-speeds.csv"), &text, "text/csv"));
        if saved.is_none() {
            store.notice.set(Some(
                "This browser did not let the page save a file.".to_owned(),
            ));
        }
    }
}

/// Chooses what is to be fitted in place of what is fitted.
fn swap_to(sheets: Sheets) -> AnyView {
    candidate_choice(
        sheets.store,
        Choice {
            to: sheets.to,
            key: "swap",
            label: "To be fitted",
            none: "Choose one",
            pair: true,
            more: None,
            note: "Pipes, oil pressure and room are entered under Match, Fitting. What is not entered is said not to be known.",
        },
    )
}

/// Chooses which turbocharger the application sheet is of.
fn application_of(sheets: Sheets) -> AnyView {
    candidate_choice(
        sheets.store,
        Choice {
            to: sheets.of,
            key: "application",
            label: "Turbocharger",
            none: "The one that is fitted",
            pair: false,
            more: None,
            note: "Place, day, fuel and the kind of engine are those of the build that stands.",
        },
    )
}

/// The place.
#[component]
pub fn SheetsPlace() -> AnyView {
    wear("desk", include_str!("../../../styles/desk.css"));
    wear("sheets", include_str!("../../../styles/sheets.css"));
    let store = use_store();
    choose::whole_shelf(store);
    let (whom, by) = NAMES.with_borrow(Clone::clone);
    let sheets = Sheets {
        store,
        which: RwSignal::new(LEFT.get()),
        to: RwSignal::new(first(store)),
        of: RwSignal::new(OF.with_borrow(Clone::clone)),
        whom: RwSignal::new(whom),
        by: RwSignal::new(by),
    };
    Effect::new(move |_| {
        LEFT.set(sheets.which.get());
        let to = sheets.to.get();
        TO.with_borrow_mut(|kept| *kept = to);
        let of = sheets.of.get();
        OF.with_borrow_mut(|kept| *kept = of);
    });
    Effect::new(move |_| {
        let names = (sheets.whom.get(), sheets.by.get());
        NAMES.with_borrow_mut(|kept| *kept = names);
    });
    let tabs = list(Which::ALL.map(|which| {
        view! {
            <button type="button" data-which=which.label().to_lowercase() aria-pressed=told(move || sheets.which.get() == which)
                on:click=press(move || sheets.which.set(which))>{which.label()}</button>
        }
        .into_any()
    }));
    let body = live(move || match sheets.which.get() {
        Which::Build => writeup::writeup(sheets),
        Which::Application => list([application_of(sheets), application::application(sheets)]),
        Which::Swap => list([swap_to(sheets), swap::swap(sheets)]),
    });
    let print = move || {
        if window().print().is_err() {
            store.notice.set(Some(
                "This browser did not let the page print. Its own menu may.".to_owned(),
            ));
        }
    };
    view! {
        <main class="sheets">
            <h1 class="unseen">"Sheets"</h1>
            <div class="sheet-tools">
                <div class="sorting" role="group" aria-label="Which sheet">{tabs}</div>
                <label><span>"Prepared for"</span><input type="text" maxlength="60" data-whom="" prop:value=sheets.whom on:input=text(move |t| sheets.whom.set(t))/></label>
                <label><span>"By, on"</span><input type="text" maxlength="60" data-by="" prop:value=sheets.by on:input=text(move |t| sheets.by.set(t))/></label>
                <button type="button" class="first" data-act="print" on:click=press(print)>"Print"</button>
                <button type="button" data-act="speeds-table" on:click=press(move || sheets.save_table())>"Speeds as a table"</button>
            </div>
            <p class="quiet not-printed">"One page, A4 or Letter; the browser’s print dialogue also saves it as a PDF. Pictures of the plots are saved beside each plot. Names stay on this sheet: they are not kept."</p>
            {body}
        </main>
    }
    .into_any()
}
