//! What is kept on this device: the builds, the choice of units, light or dark.
//!
//! Storage may be full or forbidden; the page works without it and says so once.

pub mod builds;
pub mod entry;
pub mod own;

use crate::store::Theme;
use airpath::quantity::System;
use gloo_storage::{LocalStorage, Storage};

const SYSTEM: &str = "airpath.units";
const THEME: &str = "airpath.theme";
const HINT: &str = "airpath.hint";
const LESSONS: &str = "airpath.lessons";
const TRACING: &str = "airpath.tracing";
const BESIDE: &str = "airpath.beside";
const WISHES: &str = "airpath.wishes";

/// Why something was not kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The browser does not let the page keep anything.
    Forbidden,
    /// There is no room left.
    Full,
    /// Another tab, or a newer version of the page, has written there since.
    Changed,
    /// A newer version of the page has taken over what is kept.
    Newer,
}

impl Trouble {
    /// Whether a text tells of something that is not kept.
    pub fn is_told_in(text: &str) -> bool {
        [Trouble::Forbidden, Trouble::Full, Trouble::Newer]
            .iter()
            .any(|trouble| trouble.told() == text)
    }

    /// What happened and what to do.
    pub const fn told(self) -> &'static str {
        match self {
            Trouble::Forbidden => {
                "This browser lets the page keep nothing: what you enter is lost on reload. Export the build to keep it, or allow storage for this page."
            }
            Trouble::Full => {
                "This browser's storage for the page is full: your last changes are not kept and would be lost on reload. Export them, then delete builds that you no longer need."
            }
            Trouble::Changed => "Another tab has changed this build.",
            Trouble::Newer => {
                "A newer version of this page keeps its builds here. They are left as they are, and nothing is kept until you load the page again. Export what you change; Builds lists what is there."
            }
        }
    }
}

/// Whether the browser lets the page use its storage at all; asked first, as asking for what is in
/// a forbidden one panics.
fn allowed() -> bool {
    matches!(leptos::prelude::window().local_storage(), Ok(Some(_)))
}

fn get(key: &str) -> Option<String> {
    if allowed() {
        LocalStorage::get(key).ok()
    } else {
        None
    }
}

fn set(key: &str, value: &str) -> Result<(), Trouble> {
    if allowed() {
        LocalStorage::set(key, value).map_err(|_| Trouble::Full)
    } else {
        Err(Trouble::Forbidden)
    }
}

/// Whether the address asks for the example instead of what is kept ("?fresh"): the way out if a
/// kept build should ever break the page.
pub fn is_fresh() -> bool {
    leptos::prelude::window()
        .location()
        .search()
        .is_ok_and(|s| s == "?fresh")
}

/// The units chosen last.
pub fn system() -> Option<System> {
    match get(SYSTEM)?.as_str() {
        "metric" => Some(System::Metric),
        "imperial" => Some(System::Imperial),
        _ => None,
    }
}

/// Keeps the choice of units.
///
/// # Errors
/// Why not.
pub fn keep_system(system: System) -> Result<(), Trouble> {
    set(
        SYSTEM,
        if system == System::Imperial {
            "imperial"
        } else {
            "metric"
        },
    )
}

/// The theme chosen last.
pub fn theme() -> Option<Theme> {
    Theme::from_name(&get(THEME)?)
}

/// Keeps the theme.
///
/// # Errors
/// Why not.
pub fn keep_theme(theme: Theme) -> Result<(), Trouble> {
    set(THEME, theme.name())
}

/// Whether the hint of a first visit has done its work.
pub fn hint_done() -> bool {
    get(HINT).is_some()
}

/// Keeps that it has. Where nothing can be kept it only comes again, which nobody need be told.
pub fn keep_hint_done() {
    let _ = set(HINT, "done");
}

/// Which lessons have been answered, one bit each from the first.
pub fn lessons() -> u8 {
    get(LESSONS).and_then(|t| t.parse().ok()).unwrap_or(0)
}

/// Keeps which lessons have been answered.
///
/// # Errors
/// Why they could not be kept.
pub fn keep_lessons(answered: u8) -> Result<(), Trouble> {
    set(LESSONS, &answered.to_string())
}

/// What was marked on a picture of a map last, without the picture.
pub fn tracing() -> Option<String> {
    get(TRACING)
}

/// Keeps what was marked on a picture of a map.
///
/// # Errors
/// Why it could not be kept.
pub fn keep_tracing(text: &str) -> Result<(), Trouble> {
    set(TRACING, text)
}

/// Candidates that stood beside what is fitted last.
pub fn beside() -> Option<String> {
    get(BESIDE)
}

/// Keeps the candidates that stand beside what is fitted.
///
/// # Errors
/// Why they could not be kept.
pub fn keep_beside(text: &str) -> Result<(), Trouble> {
    set(BESIDE, text)
}

/// What the person values, as it was set last.
pub fn wishes() -> Option<String> {
    get(WISHES)
}

/// Keeps what the person values.
///
/// # Errors
/// Why it could not be kept.
pub fn keep_wishes(text: &str) -> Result<(), Trouble> {
    set(WISHES, text)
}
