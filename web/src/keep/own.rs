//! A person's own turbochargers, one entry each in the form of their file, so that a broken one spoils
//! no other. A build holds its turbocharger in full: what happens here changes no build.

use super::{Trouble, allowed, get, set};
use airpath::build::{RecordFile, Turbocharger};
use gloo_storage::{LocalStorage, Storage};

/// Before the key of each.
const ENTRY: &str = "airpath.turbocharger.";

/// What the key of one's own begins with.
pub const OWN: &str = "own-";

/// One of them.
pub struct Listed {
    /// Its key.
    pub id: String,
    /// The turbocharger, or why it cannot be read.
    pub turbocharger: Result<Turbocharger, String>,
}

/// Whether a key is of one's own.
pub fn is_own(id: &str) -> bool {
    id.starts_with(OWN)
}

/// Whether a key of the storage is that of such an entry.
pub fn is_key(key: &str) -> bool {
    key.starts_with(ENTRY)
}

/// What stands under a key, as it is.
pub fn raw(id: &str) -> Option<String> {
    get(&format!("{ENTRY}{id}"))
}

/// Puts a text back under a key, as it was.
///
/// # Errors
/// Why not.
pub fn put_raw(id: &str, text: &str) -> Result<(), Trouble> {
    set(&format!("{ENTRY}{id}"), text)
}

/// The keys of all.
pub fn ids() -> Vec<String> {
    if !allowed() {
        return Vec::new();
    }
    let storage = LocalStorage::raw();
    (0..storage.length().unwrap_or(0))
        .filter_map(|at| storage.key(at).ok()?)
        .filter_map(|key| key.strip_prefix(ENTRY).map(str::to_owned))
        .collect()
}

/// One of them.
pub fn read(id: &str) -> Option<Listed> {
    let text = raw(id)?;
    let turbocharger = RecordFile::from_json(&text)
        .map_err(|error| error.to_string())
        .and_then(|mut file| file.turbochargers.pop().ok_or_else(String::new));
    Some(Listed {
        id: id.to_owned(),
        turbocharger,
    })
}

/// All, by name.
pub fn list() -> Vec<Listed> {
    let mut all: Vec<Listed> = ids().iter().filter_map(|id| read(id)).collect();
    let name = |listed: &Listed| match &listed.turbocharger {
        Ok(t) => t.name.to_lowercase(),
        Err(_) => String::new(),
    };
    all.sort_by(|a, b| name(a).cmp(&name(b)).then(a.id.cmp(&b.id)));
    all
}

/// Keeps one under its own key.
///
/// # Errors
/// Why not.
pub fn write(turbocharger: &Turbocharger) -> Result<(), Trouble> {
    if !allowed() {
        return Err(Trouble::Forbidden);
    }
    let text = RecordFile::new(vec![turbocharger.clone()]).to_json();
    put_raw(&turbocharger.id, &text)
}

/// Takes one away.
pub fn remove(id: &str) {
    if allowed() {
        LocalStorage::delete(format!("{ENTRY}{id}"));
    }
}
