//! Which build stands: one of those kept here, or a visitor; and what is done to those kept here.

use super::Store;
use crate::history::History;
use crate::keep::builds::{self, Listed};
use crate::keep::{self, Trouble};
use crate::later::{self, Links};
use crate::places::Place;
use airpath::build::{Build, BuildFile, LONGEST_NAME, RecordFile, Turbocharger, on_shelf};
use leptos::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;
use wasm_bindgen::JsValue;

/// Whose the build that stands is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Of {
    /// Kept here under this id.
    Own(String),
    /// It came by a link and is not kept.
    Visitor,
}

/// A build that stood, and whose it was: undo brings both back.
#[derive(Clone, Debug)]
pub struct Stand {
    /// The build.
    pub build: Arc<Build>,
    /// Whose.
    pub of: Of,
}

/// What was deleted last, so that it can be brought back.
#[derive(Clone, Debug, PartialEq)]
pub struct Deleted {
    id: String,
    raw: String,
    was_open: bool,
    /// What to call it.
    pub name: String,
}

/// What this tab knows of the storage that it shares with others.
#[derive(Default)]
pub struct Tab {
    /// The revision and the build that were read or written last, by id. Revision 0: not kept yet.
    known: BTreeMap<String, (u64, Arc<Build>)>,
    /// The person's own build, while a visitor stands.
    mine: Option<Stand>,
    /// The link that the visitor came by, with its "#".
    sent: String,
}

/// The build named for what it is, such as "(copy)": a name that is not taken and fits.
fn renamed(build: &Build, what: &str, taken: &[String]) -> Build {
    // A copy of a copy is the next copy.
    let whole = build.name();
    let base = match whole.rfind(&format!(" ({what}")) {
        Some(at) if whole.ends_with(')') => &whole[..at],
        _ => whole,
    };
    let name = |number: usize| {
        let behind = match number {
            1 => format!(" ({what})"),
            _ => format!(" ({what} {number})"),
        };
        let room = LONGEST_NAME - behind.chars().count();
        base.chars().take(room).collect::<String>() + &behind
    };
    let free = (1..=taken.len()).map(name).find(|n| !taken.contains(n));
    build
        .with_name(&free.unwrap_or_else(|| name(taken.len() + 1)))
        .unwrap_or_else(|_| build.clone())
}

/// The names of the builds kept here.
fn names() -> Vec<String> {
    let all = builds::list().into_iter();
    all.filter_map(|l| Some(l.build.ok()?.name().to_owned()))
        .collect()
}

/// The build to begin with, its id and revision, and what there is to tell.
pub(super) fn first(example: &Build) -> (Arc<Build>, Of, Tab, Option<String>) {
    let begin = |id: Option<String>, revision, build: Build, told: Option<String>| {
        let id = id.unwrap_or_else(builds::new_id);
        let build = Arc::new(build);
        let mut tab = Tab::default();
        tab.known.insert(id.clone(), (revision, build.clone()));
        builds::note_open(&id);
        (build, Of::Own(id), tab, told)
    };
    if keep::is_fresh() {
        return begin(None, 0, example.clone(), None);
    }
    builds::migrate();
    let told = builds::is_newer().then(|| Trouble::Newer.told().to_owned());
    let (in_tab, last) = builds::open_last();
    let wanted = in_tab.as_deref().or(last.as_deref());
    let found = match wanted.and_then(builds::read) {
        // What this tab began and never changed is not kept: it begins again.
        None if in_tab.is_some() => return begin(in_tab, 0, example.clone(), told),
        None => builds::list().into_iter().find(|l| l.build.is_ok()),
        found => found,
    };
    match found {
        None => begin(None, 0, example.clone(), told),
        Some(Listed {
            id,
            build: Ok(build),
            entry,
            ..
        }) => {
            let revision = entry.map_or(0, |e| e.revision);
            begin(Some(id), revision, build, told)
        }
        Some(Listed {
            build: Err(problem),
            ..
        }) => begin(
            None,
            0,
            example.clone(),
            Some(format!(
                "The build that was open last cannot be read, so the example is shown. It is not lost: Builds lists it and exports it as it is. {problem}"
            )),
        ),
    }
}

impl Store {
    /// What stands now.
    pub(super) fn standing(self) -> Stand {
        Stand {
            build: self.build.get_untracked(),
            of: self.of.get_untracked(),
        }
    }

    /// Whether a visitor stands.
    pub fn visiting(self) -> bool {
        self.of.with(|of| *of == Of::Visitor)
    }

    /// The name of the person's own build while a visitor stands.
    pub fn mine(self) -> String {
        self.tab.with_value(|tab| {
            let name = tab.mine.as_ref().map(|s| s.build.name().to_owned());
            name.unwrap_or_default()
        })
    }

    /// The person's own build while a visitor stands.
    pub fn my_build(self) -> Option<Arc<Build>> {
        self.tab
            .with_value(|tab| tab.mine.as_ref().map(|s| s.build.clone()))
    }

    /// Something among the kept builds has changed.
    fn listed(self) {
        self.kept.update(|k| *k += 1);
    }

    /// Keeps one of the person's own turbochargers.
    pub fn keep_own(self, own: &Turbocharger) {
        self.told(keep::own::write(own));
        self.own_changed();
    }

    /// Something among the person's own turbochargers has changed.
    pub fn own_changed(self) {
        self.owned.update(|o| *o += 1);
    }

    fn know(self, id: &str, revision: u64, build: Arc<Build>) {
        self.tab.update_value(|tab| {
            tab.known.insert(id.to_owned(), (revision, build));
        });
    }

    /// Another build stands, perhaps somebody else's.
    pub(super) fn stand_as(self, stand: Stand) {
        if self.of.get_untracked() != stand.of {
            self.keep_now();
            self.of.set(stand.of.clone());
            if let Of::Own(id) = &stand.of {
                builds::note_open(id);
            }
            self.settle_address();
        }
        self.stand(stand.build);
    }

    /// Another build takes the place of the one that stands; undo brings that back.
    fn open_as(self, build: Arc<Build>, of: Of) {
        self.keep_now();
        let before = Arc::new(self.standing());
        self.history.update_value(|h: &mut History<Stand>| {
            h.pause();
            h.edit(before, "open");
            h.pause();
        });
        self.notice.set(None);
        self.stand_as(Stand { build, of });
        self.settle_inputs();
    }

    /// A build comes to those kept here, and stands.
    pub fn open_build(self, build: Build) {
        self.open_as(Arc::new(build), Of::Own(builds::new_id()));
        self.keep_now();
    }

    /// A new build from the worked example; it is kept once it is changed.
    pub fn open_example(self) {
        if let Some(build) = airpath::example_build() {
            let (id, build) = (builds::new_id(), Arc::new(build));
            self.know(&id, 0, build.clone());
            self.open_as(build, Of::Own(id));
        }
    }

    /// The most power of the build that stands, if it was worked out.
    fn power(self, build: &Build) -> Option<f64> {
        self.solved.with_untracked(|solved| {
            let solved = solved.as_ref().filter(|s| *s.build == *build)?;
            let best = solved.found.speeds.get(solved.found.most_power)?;
            Some(best.power_w)
        })
    }

    /// Keeps the build that stands, if it is not kept as it is.
    pub(super) fn keep_standing(self) {
        let Stand { build, of } = self.standing();
        let Of::Own(id) = of else {
            let sent = self.tab.with_value(|tab| tab.sent.clone());
            // A visitor came by a link: they can be read and written by now.
            let links = self.links.get_value();
            if let Some(Ok(now)) = links.map(|links| (links.write)(&build)) {
                builds::note_visitor(&sent, &now);
            }
            return;
        };
        let known = self.tab.with_value(|tab| tab.known.get(&id).cloned());
        if known.as_ref().is_some_and(|(_, kept)| **kept == *build) {
            return;
        }
        let seen = known.map_or(0, |(revision, _)| revision);
        let power = self.power(&build);
        match builds::write(&id, seen, &build, power) {
            Ok(revision) => {
                self.know(&id, revision, build);
                self.told(Ok(()));
            }
            Err(Trouble::Changed) => self.part_ways(&id, &build, power),
            Err(trouble) => self.told(Err(trouble)),
        }
        self.listed();
    }

    /// Another tab has changed the build that stands: this tab's edit goes on as a copy.
    fn part_ways(self, id: &str, build: &Build, power: Option<f64>) {
        let name = build.name().to_owned();
        let copy = Arc::new(renamed(build, "from another tab", &names()));
        let new = builds::new_id();
        match builds::write(&new, 0, &copy, power) {
            Ok(revision) => self.know(&new, revision, copy.clone()),
            Err(trouble) => return self.told(Err(trouble)),
        }
        builds::note_open(&new);
        let (old, new) = (Of::Own(id.to_owned()), Of::Own(new));
        self.history.update_value(|h| {
            h.change(|stand| {
                if stand.of == old {
                    Arc::make_mut(stand).of = new.clone();
                }
            });
        });
        self.notice.set(Some(format!(
            "“{name}” was changed in another tab at the same time. Both are kept: what you entered here goes on as “{}”, and Builds lists the other.",
            copy.name()
        )));
        self.of.set(new);
        self.build.set(copy);
        self.solve();
    }

    /// Another tab wrote to the storage: `key` says where, `None` if all was cleared.
    pub fn other_tab(self, key: Option<&str>) {
        self.listed();
        if key.is_none_or(keep::own::is_key) {
            self.own_changed();
        }
        let Of::Own(open) = self.of.get_untracked() else {
            return;
        };
        if key.is_some_and(|key| builds::id_of(key) != Some(&open)) {
            return;
        }
        let seen = self
            .tab
            .with_value(|tab| tab.known.get(&open).map_or(0, |k| k.0));
        let name = self.build.with_untracked(|b| b.name().to_owned());
        match builds::entry(&open) {
            None if seen > 0 => {
                // It stands here only: the next change, or leaving the page, keeps it again.
                self.tab.update_value(|tab| {
                    tab.known.remove(&open);
                });
                self.notice.set(Some(format!(
                    "“{name}” was deleted in another tab. It is still open here, and is kept again when you leave this page or change it. To let it go, open another build first."
                )));
            }
            Some(keep::entry::Kept::Entry(there)) if there.revision != seen => {
                self.notice.set(Some(format!(
                    "“{name}” was changed in another tab. To see that here, open it in Builds. What you change here first is kept as a copy: nothing is overwritten."
                )));
            }
            _ => {}
        }
    }

    /// Opens one of the builds kept here.
    pub fn open_kept(self, id: &str) {
        self.keep_now();
        let Some(found) = builds::read(id) else {
            self.listed();
            return;
        };
        let revision = found.entry.as_ref().map_or(0, |e| e.revision);
        match found.build {
            Ok(build) => {
                let build = Arc::new(build);
                self.know(id, revision, build.clone());
                if self.standing().of == Of::Own(id.to_owned())
                    && *self.build.get_untracked() == *build
                {
                    self.notice.set(None);
                } else {
                    self.open_as(build, Of::Own(id.to_owned()));
                }
                self.go(Place::Match);
            }
            Err(problem) => self.notice.set(Some(problem)),
        }
        self.listed();
    }

    /// Makes a copy of one of the builds kept here.
    pub fn copy_kept(self, id: &str) {
        self.keep_now();
        if let Some(Listed {
            build: Ok(build),
            entry,
            ..
        }) = builds::read(id)
        {
            let copy = renamed(&build, "copy", &names());
            let power = entry.and_then(|e| e.power_w);
            self.told(builds::write(&builds::new_id(), 0, &copy, power).map(|_| ()));
        }
        self.listed();
    }

    /// Gives one of the builds kept here another name; whether it could be.
    pub fn rename_kept(self, id: &str, name: &str) -> bool {
        let mut done = true;
        if self.standing().of == Of::Own(id.to_owned()) {
            let edited = self.build.with_untracked(|b| b.with_name(name));
            match edited {
                Ok(build) => {
                    self.edit("name", "Name", Ok(build));
                    self.left_field();
                    self.settle_inputs();
                    self.keep_now();
                }
                Err(error) => {
                    self.notice.set(Some(error.to_string()));
                    done = false;
                }
            }
        } else if let Some(Listed {
            build: Ok(build),
            entry: Some(entry),
            ..
        }) = builds::read(id)
        {
            match build.with_name(name) {
                Ok(build) => {
                    let written = builds::write(id, entry.revision, &build, entry.power_w);
                    self.told(written.map(|_| ()));
                    // An undo that leads back here starts from what is kept now.
                    self.tab.update_value(|tab| {
                        tab.known.remove(id);
                    });
                    if let Ok(revision) = written {
                        self.know(id, revision, Arc::new(build));
                    }
                }
                Err(error) => {
                    self.notice.set(Some(error.to_string()));
                    done = false;
                }
            }
        }
        self.listed();
        done
    }

    /// Deletes one of the builds kept here; [`Store::bring_back`] undoes it.
    pub fn delete_kept(self, id: &str) {
        self.keep_now();
        let Some(raw) = builds::raw(id) else {
            self.listed();
            return;
        };
        let name = match builds::read(id).map(|l| l.build) {
            Some(Ok(build)) if build.name().trim().is_empty() => {
                "The build without a name".to_owned()
            }
            Some(Ok(build)) => format!("“{}”", build.name()),
            _ => "The unreadable entry".to_owned(),
        };
        let was_open = self.standing().of == Of::Own(id.to_owned());
        builds::remove(id);
        self.deleted.set(Some(Deleted {
            id: id.to_owned(),
            raw,
            was_open,
            name,
        }));
        if was_open {
            // Not written again on leaving: what stands is as it was kept.
            let next = builds::list().into_iter().find(|l| l.build.is_ok());
            match next {
                Some(Listed {
                    id,
                    build: Ok(build),
                    entry,
                    ..
                }) => {
                    let build = Arc::new(build);
                    self.know(&id, entry.map_or(0, |e| e.revision), build.clone());
                    self.open_as(build, Of::Own(id));
                }
                _ => self.open_example(),
            }
        }
        // An undo of the edits that leads back to it keeps it again.
        self.tab.update_value(|tab| {
            tab.known.remove(id);
        });
        self.listed();
    }

    /// Undoes the last deletion.
    pub fn bring_back(self) {
        let Some(gone) = self.deleted.get_untracked() else {
            return;
        };
        // An undo of the edits may have brought it back before.
        let put = match builds::raw(&gone.id) {
            Some(_) => Ok(()),
            None => builds::put_raw(&gone.id, &gone.raw),
        };
        match put {
            Ok(()) => {
                self.deleted.set(None);
                if gone.was_open {
                    self.open_kept(&gone.id);
                    self.go(Place::Builds);
                }
            }
            Err(trouble) => self.told(Err(trouble)),
        }
        self.listed();
    }

    /// Every build kept here, and the one that stands, in one file.
    pub fn export_all(self) -> String {
        self.keep_now();
        let quoted = |text: &str| {
            let text = js_sys::JSON::stringify(&JsValue::from_str(text));
            text.map(String::from).unwrap_or_default()
        };
        let mut all: Vec<String> = Vec::new();
        let mut ids = builds::ids();
        ids.sort();
        for id in &ids {
            let Some(found) = builds::read(id) else {
                continue;
            };
            all.push(match (&found.build, &found.entry) {
                (Ok(_), Some(entry)) => format!(
                    "{{\"id\": {}, \"changed_ms\": {:.0}, \"build\": {}}}",
                    quoted(id),
                    entry.changed_ms,
                    entry.file.trim_end()
                ),
                // What cannot be read here may be elsewhere.
                _ => format!(
                    "{{\"id\": {}, \"as_it_is\": {}}}",
                    quoted(id),
                    quoted(&builds::raw(id).unwrap_or_default())
                ),
            });
        }
        // Not kept: the example as it came, a visitor, or all of it where storage is forbidden.
        let Stand { build, of } = self.standing();
        if !matches!(&of, Of::Own(id) if ids.contains(id)) {
            let file = BuildFile::from_build(&build).to_json();
            all.push(format!("{{\"build\": {}}}", file.trim_end()));
        }
        // The person's own turbochargers, each a file of its own.
        let mut own = keep::own::ids();
        own.sort();
        let own: Vec<String> = own
            .iter()
            .filter_map(|id| Some(keep::own::raw(id)?.trim_end().to_owned()))
            .filter(|text| js_sys::JSON::parse(text).is_ok())
            .collect();
        format!(
            "{{\"airpath_builds\": 1, \"builds\": [\n{}\n], \"turbochargers\": [\n{}\n]}}\n",
            all.join(",\n"),
            own.join(",\n")
        )
    }

    /// Takes in the turbochargers of a file; how many came and how many were here already.
    ///
    /// # Errors
    /// Why they cannot be read or kept.
    fn take_turbochargers(self, text: &str) -> Result<(usize, usize), String> {
        let file = RecordFile::from_json(text).map_err(|error| error.to_string())?;
        let (mut taken, mut there) = (0, 0);
        for mut record in file.turbochargers {
            let kept = keep::own::read(&record.id).and_then(|l| l.turbocharger.ok());
            if kept.as_ref() == Some(&record) {
                there += 1;
                continue;
            }
            // Another is here under its key, or it is one of the shelf: it gets a key of its own.
            if kept.is_some() || !keep::own::is_own(&record.id) {
                record.id = format!("{}{}", keep::own::OWN, builds::new_id());
            }
            keep::own::write(&record).map_err(|trouble| trouble.told().to_owned())?;
            taken += 1;
        }
        self.own_changed();
        Ok((taken, there))
    }

    /// Takes in the text of a file: one build, which then stands, or all of them from an export.
    /// What is wrong with it is told and nothing changes.
    pub fn open_file(self, name: &str, text: &str) {
        self.keep_now();
        let refused = |why: String| {
            self.notice.set(Some(format!(
                "“{name}” was not opened, and nothing has changed. {why}"
            )));
        };
        let whole = js_sys::JSON::parse(text);
        if whole.is_err() && text.contains("\"airpath_builds\"") {
            return refused(
                "It is an export of many builds, but not a whole one: its end may be cut off. Fetch the file again.".to_owned(),
            );
        }
        let parsed = whole.unwrap_or(JsValue::NULL);
        let part = |of: &JsValue, key: &str| {
            js_sys::Reflect::get(of, &key.into()).unwrap_or(JsValue::UNDEFINED)
        };
        if parsed.is_object() && !part(&parsed, "airpath_turbochargers").is_undefined() {
            match self.take_turbochargers(text) {
                Ok((taken, there)) => {
                    self.go(Place::Shelf);
                    self.notice.set(Some(format!(
                        "From “{name}”: {taken} turbochargers taken in, {there} were here already."
                    )));
                }
                Err(why) => refused(why),
            }
            return;
        }
        if !parsed.is_object() || part(&parsed, "airpath_builds").is_undefined() {
            return match BuildFile::from_json(text).and_then(|file| file.into_build_from(on_shelf))
            {
                Ok(build) => self.take_in(build),
                Err(error) => refused(error.to_string()),
            };
        }
        if part(&parsed, "airpath_builds").as_f64() != Some(1.0) {
            return refused(
                "It is an export of a newer version of this page. Load the page again.".to_owned(),
            );
        }
        // An export of an earlier version has no turbochargers.
        let items = |key: &str| {
            let list = part(&parsed, key);
            match js_sys::Array::is_array(&list) {
                true => js_sys::Array::from(&list),
                false => js_sys::Array::new(),
            }
        };
        let (mut taken, mut there, mut wrong) = (0, 0, Vec::new());
        let mut kept: Vec<Build> = builds::list()
            .into_iter()
            .filter_map(|l| l.build.ok())
            .collect();
        let mut raws: Vec<String> = builds::ids()
            .iter()
            .filter_map(|id| builds::raw(id))
            .collect();
        for item in items("builds").iter() {
            let id = part(&item, "id").as_string();
            // A build that is here already under this id keeps it, and this one gets another.
            let free = |id: Option<String>| {
                id.filter(|id| id.len() <= 40 && builds::raw(id).is_none())
                    .unwrap_or_else(builds::new_id)
            };
            let written = if let Some(raw) = part(&item, "as_it_is").as_string() {
                if raws.contains(&raw) {
                    there += 1;
                    continue;
                }
                raws.push(raw.clone());
                builds::put_raw(&free(id), &raw)
            } else {
                let json = js_sys::JSON::stringify(&part(&item, "build"));
                let json = json.map_or(String::new(), |j| j.as_string().unwrap_or_default());
                let mut build = match BuildFile::from_json(&json)
                    .and_then(|file| file.into_build_from(on_shelf))
                {
                    Ok(build) => build,
                    Err(error) => {
                        wrong.push(error.to_string());
                        continue;
                    }
                };
                if kept.contains(&build) {
                    there += 1;
                    continue;
                }
                let key = free(id.clone());
                if id.is_some_and(|id| id != key) {
                    build = renamed(&build, "imported", &names());
                }
                kept.push(build.clone());
                builds::write(&key, 0, &build, None).map(|_| ())
            };
            match written {
                Ok(()) => taken += 1,
                Err(trouble) => {
                    wrong.push(trouble.told().to_owned());
                    break;
                }
            }
        }
        for item in items("turbochargers").iter() {
            let json = js_sys::JSON::stringify(&item);
            let json = json.map_or(String::new(), |j| j.as_string().unwrap_or_default());
            match self.take_turbochargers(&json) {
                Ok((came, were)) => {
                    taken += came;
                    there += were;
                }
                Err(why) => wrong.push(why),
            }
        }
        self.go(Place::Builds);
        self.listed();
        let mut told = format!("From “{name}”: {taken} taken in, {there} were here already.");
        if let Some(first) = wrong.first() {
            told += &format!(" {} could not be: {first}", wrong.len());
        }
        self.notice.set(Some(told));
    }

    /// One build from a file stands; if the very same is kept here, that one.
    fn take_in(self, build: Build) {
        let same = builds::list()
            .into_iter()
            .find(|l| l.build.as_ref() == Ok(&build));
        match same {
            Some(same) => self.open_kept(&same.id),
            None => {
                self.open_build(build);
                self.go(Place::Match);
            }
        }
    }

    /// Opens the build that the address carries after its "#", if it does, as a visitor.
    pub async fn visit_address(self) {
        let hash = window().location().hash().unwrap_or_default();
        let visiting = self.of.get_untracked() == Of::Visitor;
        if hash.len() < 2 || (visiting && self.tab.with_value(|tab| tab.sent == hash)) {
            return;
        }
        let Ok(links) = later::links().await else {
            return self.notice.set(Some(
                "The shared build was not opened: the part of Airpath that reads links is not on this device yet and could not be fetched. With a connection, load this page again.".to_owned(),
            ));
        };
        self.links.set_value(Some(links));
        self.visit(hash, links);
    }

    fn visit(self, hash: String, links: Links) {
        let build = match (links.read)(&hash) {
            Ok(build) => build,
            Err(error) => {
                self.notice.set(Some(format!(
                    "The shared build was not opened; your own builds are as they were. {error}"
                )));
                return;
            }
        };
        // What was changed about this visitor before a reload.
        let left = builds::visitor(&hash).and_then(|link| (links.read)(&link).ok());
        self.keep_now();
        let mine = self.standing();
        self.tab.update_value(|tab| {
            if mine.of != Of::Visitor {
                tab.mine = Some(mine);
            }
            tab.sent = hash;
        });
        self.open_as(Arc::new(left.unwrap_or(build)), Of::Visitor);
        self.go(Place::Match);
    }

    /// The address carries the visitor's link while one stands, and nothing once none does.
    fn settle_address(self) {
        let location = window().location();
        let hash = location.hash().unwrap_or_default();
        let visiting = self.of.get_untracked() == Of::Visitor;
        let wanted = match visiting {
            true => self.tab.with_value(|tab| tab.sent.clone()),
            false => String::new(),
        };
        if hash == wanted {
            return;
        }
        if let (Ok(history), Ok(href)) = (window().history(), location.href()) {
            let page = href.split('#').next().unwrap_or_default();
            let state = history.state().unwrap_or(JsValue::NULL);
            let _ = history.replace_state_with_url(&state, "", Some(&format!("{page}{wanted}")));
        }
    }

    /// The visitor stays: it is kept beside the person's own builds.
    pub fn keep_visitor(self) {
        if self.of.get_untracked() != Of::Visitor {
            return;
        }
        let own = Of::Own(builds::new_id());
        self.history.update_value(|h| {
            h.change(|stand| {
                if stand.of == Of::Visitor {
                    Arc::make_mut(stand).of = own.clone();
                }
            });
        });
        if let Of::Own(id) = &own {
            builds::note_open(id);
        }
        self.of.set(own);
        self.settle_address();
        self.keep_now();
    }

    /// Back to the person's own build; undo brings the visitor back.
    pub fn back_to_mine(self) {
        let mut mine = None;
        self.tab.update_value(|tab| mine = tab.mine.take());
        if let Some(Stand { build, of }) = mine {
            self.open_as(build, of);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::renamed;
    use airpath::build::LONGEST_NAME;

    #[test]
    fn a_copy_is_named_for_what_it_is_and_fits() {
        let build = airpath::example_build().expect("the example is sound");
        let name = |taken: &[String]| renamed(&build, "copy", taken).name().to_owned();
        assert_eq!(name(&[]), "Hill-climb 2.2 (copy)");
        let (first, second) = (name(&[]), "Hill-climb 2.2 (copy 2)".to_owned());
        assert_eq!(name(std::slice::from_ref(&first)), second);
        assert_eq!(name(&[first, second]), "Hill-climb 2.2 (copy 3)");
        let long = build.with_name(&"é".repeat(LONGEST_NAME)).expect("fits");
        let copy = renamed(&long, "copy", &[]);
        assert_eq!(copy.name().chars().count(), LONGEST_NAME);
        assert!(copy.name().ends_with(" (copy)"));
    }
}
