//! The builds kept on this device, one entry each, so that a broken one spoils no other.
//!
//! Nothing is written over unseen: who writes names the revision that was read last, and where
//! another tab has written since, the write is refused.

use super::entry::{self, Entry};
use super::{Trouble, allowed, get, set};
use airpath::build::{Build, BuildFile};
use gloo_storage::{LocalStorage, SessionStorage, Storage};

/// Before the id of each build's entry.
const ENTRY: &str = "airpath.kept.";
/// The schema of the whole, and which build was open last.
const INDEX: &str = "airpath.builds";
/// The build that this tab has open, in the tab's own storage.
const OPEN: &str = "airpath.open";
/// The visitor as it was sent and as it is now, in the tab's own storage.
const VISITOR: &str = "airpath.visitor";
/// Where schema 0 kept its one build, and one that it could not read.
const OLD: [&str; 2] = ["airpath.build", "airpath.build.unread"];

/// One of the builds kept here.
#[derive(Clone)]
pub struct Listed {
    /// Its key.
    pub id: String,
    /// The build, or why it cannot be read.
    pub build: Result<Build, String>,
    /// Written by a newer version of the page.
    pub newer: bool,
    /// What is known of it.
    pub entry: Option<Entry>,
}

/// A key that no other build has.
pub fn new_id() -> String {
    let random = js_sys::Math::random() * f64::from(u32::MAX);
    format!("{:x}{:08x}", js_sys::Date::now() as u64, random as u32)
}

/// What stands under a build's id, as it is.
pub fn raw(id: &str) -> Option<String> {
    let key = format!("{ENTRY}{id}");
    // What this page did not write may not be as it writes: then it is taken as it stands.
    get(&key).or_else(|| allowed().then(|| LocalStorage::raw().get_item(&key).ok()?)?)
}

/// Puts a text back under an id, as it was.
///
/// # Errors
/// Why not.
pub fn put_raw(id: &str, text: &str) -> Result<(), Trouble> {
    writable()?;
    set(&format!("{ENTRY}{id}"), text)
}

/// The id in the key of an entry, if it is one.
pub fn id_of(key: &str) -> Option<&str> {
    key.strip_prefix(ENTRY)
}

/// The ids of all builds kept here.
pub fn ids() -> Vec<String> {
    if !allowed() {
        return Vec::new();
    }
    let storage = LocalStorage::raw();
    let count = storage.length().unwrap_or(0);
    (0..count)
        .filter_map(|at| storage.key(at).ok()?)
        .filter_map(|key| id_of(&key).map(str::to_owned))
        .collect()
}

/// What is known of a build.
pub fn entry(id: &str) -> Option<entry::Kept> {
    raw(id).map(|text| entry::read(&text))
}

/// A build kept here.
pub fn read(id: &str) -> Option<Listed> {
    let (entry, build, newer) = match entry(id)? {
        entry::Kept::Entry(entry) => {
            let build = entry.build();
            (Some(entry), build, false)
        }
        entry::Kept::Newer(schema) => (
            None,
            Err(format!(
                "A newer version of this page wrote it (schema {schema}; this page knows {}). It is left as it is: load the page again for the newer version.",
                entry::SCHEMA
            )),
            true,
        ),
        entry::Kept::Unknown => (
            None,
            Err("What is kept of it is damaged. Export it as it is if somebody may mend it, or delete it.".to_owned()),
            false,
        ),
    };
    Some(Listed {
        id: id.to_owned(),
        build,
        newer,
        entry,
    })
}

/// Every build kept here, the one changed last first.
pub fn list() -> Vec<Listed> {
    let mut all: Vec<Listed> = ids().iter().filter_map(|id| read(id)).collect();
    let changed = |l: &Listed| l.entry.as_ref().map_or(0.0, |e| e.changed_ms);
    all.sort_by(|a, b| changed(b).total_cmp(&changed(a)).then(a.id.cmp(&b.id)));
    all
}

/// Whether the whole was written by a newer version of the page: then it is not touched.
fn writable() -> Result<(), Trouble> {
    let index = get(INDEX).unwrap_or_default();
    let schema = index.split(' ').next().and_then(|w| w.parse::<u32>().ok());
    match schema {
        Some(schema) if schema > entry::SCHEMA => Err(Trouble::Newer),
        _ => Ok(()),
    }
}

/// Whether there are kept builds that this version may not touch.
pub fn is_newer() -> bool {
    writable() == Err(Trouble::Newer)
}

/// Keeps a build, if nobody else wrote to its entry since revision `seen` (0: it is new).
///
/// # Errors
/// Why not; [`Trouble::Changed`] where another tab was there.
pub fn write(id: &str, seen: u64, build: &Build, power_w: Option<f64>) -> Result<u64, Trouble> {
    if !allowed() {
        return Err(Trouble::Forbidden);
    }
    writable()?;
    match entry(id) {
        Some(entry::Kept::Entry(there)) if there.revision != seen => return Err(Trouble::Changed),
        Some(entry::Kept::Newer(_) | entry::Kept::Unknown) => return Err(Trouble::Changed),
        _ => {}
    }
    let revision = seen + 1;
    let kept = Entry {
        revision,
        changed_ms: js_sys::Date::now(),
        power_w,
        file: BuildFile::from_build(build).to_json(),
    };
    set(&format!("{ENTRY}{id}"), &kept.write())?;
    Ok(revision)
}

/// Takes a build's entry away.
pub fn remove(id: &str) {
    if allowed() {
        LocalStorage::delete(format!("{ENTRY}{id}"));
    }
}

/// Notes which build this tab has open; a new tab opens it too.
pub fn note_open(id: &str) {
    let _ = set_tab(OPEN, id);
    if writable().is_ok() {
        let _ = set(INDEX, &format!("{} {id}", entry::SCHEMA));
    }
}

/// The build that this tab had open, and the one that any tab had open last.
pub fn open_last() -> (Option<String>, Option<String>) {
    let index = get(INDEX).and_then(|i| i.split_once(' ').map(|(_, id)| id.to_owned()));
    (get_tab(OPEN), index)
}

/// What schema 0 kept becomes entries of their own; its keys go once they are written.
pub fn migrate() {
    if !allowed() || is_newer() {
        return;
    }
    for key in OLD {
        let Some(text) = get(key).or_else(|| LocalStorage::raw().get_item(key).ok()?) else {
            continue;
        };
        let text = match entry::read(&text) {
            entry::Kept::Entry(old) => Entry {
                revision: 1,
                changed_ms: js_sys::Date::now(),
                ..old
            }
            .write(),
            _ => text,
        };
        let id = new_id();
        if set(&format!("{ENTRY}{id}"), &text).is_ok() {
            LocalStorage::delete(key);
            if key == OLD[0] {
                note_open(&id);
            }
        }
    }
}

fn tab_allowed() -> bool {
    matches!(leptos::prelude::window().session_storage(), Ok(Some(_)))
}

fn get_tab(key: &str) -> Option<String> {
    if tab_allowed() {
        SessionStorage::get(key).ok()
    } else {
        None
    }
}

fn set_tab(key: &str, value: &str) -> Result<(), Trouble> {
    if tab_allowed() {
        SessionStorage::set(key, value).map_err(|_| Trouble::Full)
    } else {
        Err(Trouble::Forbidden)
    }
}

/// Notes how a visitor stands now, so that a reload finds what was changed.
pub fn note_visitor(sent: &str, now: &str) {
    let _ = set_tab(VISITOR, &format!("{sent} {now}"));
}

/// The link to a visitor as it was left, if it came by the link `sent`.
pub fn visitor(sent: &str) -> Option<String> {
    let noted = get_tab(VISITOR)?;
    let (came_by, now) = noted.split_once(' ')?;
    (came_by == sent).then(|| now.to_owned())
}
