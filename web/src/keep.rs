//! What is kept on this device: the build, the choice of units, light or dark.
//!
//! Storage may be full or forbidden; the page works without it and says so once.

use crate::store::Theme;
use airpath::build::{Build, BuildFile};
use airpath::quantity::System;
use gloo_storage::{LocalStorage, Storage};

const BUILD: &str = "airpath.build";
const UNREAD: &str = "airpath.build.unread";
const SYSTEM: &str = "airpath.units";
const THEME: &str = "airpath.theme";
const HINT: &str = "airpath.hint";

/// Why nothing could be kept.
pub const NOT_KEPT: &str = "This browser keeps nothing for this page (its storage is full or switched off): what you enter is lost on reload. Export the build to keep it.";

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

fn set(key: &str, value: &str) -> Result<(), &'static str> {
    if allowed() {
        LocalStorage::set(key, value).map_err(|_| NOT_KEPT)
    } else {
        Err(NOT_KEPT)
    }
}

/// The build kept last: `None` if there is none, an error's words if it cannot be read.
///
/// The address with "?fresh" sets it aside: the way out if a kept build should ever break the page.
pub fn build() -> Option<Result<Build, String>> {
    if leptos::prelude::window()
        .location()
        .search()
        .is_ok_and(|s| s == "?fresh")
    {
        return None;
    }
    let text = get(BUILD)?;
    let read = BuildFile::from_json(&text).and_then(BuildFile::into_build);
    Some(read.map_err(|error| {
        // What cannot be read today may be read by tomorrow's page: it is not written over.
        let _ = set(UNREAD, &text);
        format!("The build kept on this device could not be read, so the example is shown: {error}")
    }))
}

/// Keeps a build.
///
/// # Errors
/// [`NOT_KEPT`].
pub fn keep_build(build: &Build) -> Result<(), &'static str> {
    set(BUILD, &BuildFile::from_build(build).to_json())
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
/// [`NOT_KEPT`].
pub fn keep_system(system: System) -> Result<(), &'static str> {
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
/// [`NOT_KEPT`].
pub fn keep_theme(theme: Theme) -> Result<(), &'static str> {
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
