//! The list of keyboard shortcuts.
//!
//! Keys that are plain characters work only on the plot or slide that has the keyboard, so that
//! nothing spoken or typed sets them off (WCAG 2.2, 2.1.4).

use super::shapes::{list, press};
use leptos::prelude::*;
use wasm_bindgen::JsCast;

const ID: &str = "keys";

/// What is pressed where, and what it does.
const KEYS: [(&str, &[(&str, &str)]); 4] = [
    (
        "Anywhere",
        &[
            ("Tab, Shift Tab", "go on, go back"),
            ("Ctrl Z", "undo"),
            ("Ctrl Shift Z, Ctrl Y", "redo"),
            ("Escape", "close what is open"),
            ("Ctrl /", "this list"),
        ],
    ),
    (
        "On the slide and on the traces",
        &[
            ("← →", "engine speed, 50 rev/min a step"),
            ("Page Up, Page Down", "500 rev/min a step"),
            ("Home, End", "lowest, highest speed"),
        ],
    ),
    (
        "On the compressor map",
        &[
            (
                "← → ↑ ↓",
                "read values at a spot; with Shift in larger steps",
            ),
            ("Enter", "engine speed nearest to the spot"),
            ("Escape", "stop reading"),
        ],
    ),
    (
        "On either plot",
        &[
            ("+ −", "zoom in, zoom out"),
            ("0", "reset zoom"),
            ("?", "this list"),
            (
                "Wheel",
                "zoom; with Ctrl also before the plot has the keyboard",
            ),
        ],
    ),
];

fn dialog() -> Option<web_sys::HtmlDialogElement> {
    document().get_element_by_id(ID)?.dyn_into().ok()
}

/// Whether the list is open.
pub fn is_open() -> bool {
    dialog().is_some_and(|dialog| dialog.open())
}

/// Opens the list; when it is closed, the browser gives the keyboard back to where it was.
pub fn show() {
    if let Some(dialog) = dialog()
        && !dialog.open()
    {
        let _ = dialog.show_modal();
    }
}

/// The list, shut until it is shown.
pub fn keys_list() -> AnyView {
    let groups = list(KEYS.iter().map(|(place, keys)| {
        let rows =
            list(keys.iter().map(|(key, does)| {
                view! { <dt><kbd>{*key}</kbd></dt> <dd>{*does}</dd> }.into_any()
            }));
        view! { <h3>{*place}</h3> <dl>{rows}</dl> }.into_any()
    }));
    let close = press(|| {
        if let Some(dialog) = dialog() {
            dialog.close();
        }
    });
    view! {
        <dialog id=ID aria-labelledby="keys-title">
            <header>
                <h2 id="keys-title">"Keys"</h2>
                <button type="button" class="small" data-act="keys-close" on:click=close>"Close"</button>
            </header>
            {groups}
            <p class="quiet">"Letters, digits and signs work only where the keyboard is, on a plot or the slide. With fingers: drag across for the engine speed, two fingers or a double tap zoom, a finger that rests on the map reads it."</p>
        </dialog>
    }
    .into_any()
}
