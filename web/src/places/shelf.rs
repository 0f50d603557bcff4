//! Turbochargers: the person's own, to be made, changed, copied, deleted and handed on; and those that
//! come with the page.

use crate::keep::builds::new_id;
use crate::keep::own::{self, Listed, OWN};
use crate::parts::header::{download, file_name};
use crate::parts::own::{Whose, fit_own, sheet};
use crate::parts::shapes::{list, live, perhaps, press, words};
use crate::parts::share::element;
use crate::places::Place;
use crate::show::{group, shown};
use crate::store::{Store, use_store};
use airpath::build::{RecordFile, Turbocharger};
use airpath::quantity::Kind;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlElement};

/// What was deleted last.
#[derive(Clone)]
struct Gone {
    id: String,
    raw: String,
    name: String,
}

/// What is looked at in this place.
#[derive(Clone, Copy)]
struct Here {
    store: Store,
    /// The one whose numbers are shown.
    open: RwSignal<Option<String>>,
    gone: RwSignal<Option<Gone>>,
}

/// The name of a copy: one that is not taken.
fn copy_name(name: &str) -> String {
    let taken: Vec<String> = own::list()
        .into_iter()
        .filter_map(|l| Some(l.turbocharger.ok()?.name))
        .collect();
    let base: String = name.chars().take(60).collect();
    (1..=taken.len() + 1)
        .map(|number| match number {
            1 => format!("{base} (copy)"),
            _ => format!("{base} (copy {number})"),
        })
        .find(|name| !taken.contains(name))
        .unwrap_or(base)
}

impl Here {
    /// The turbocharger of a key: one's own, or one of the shelf.
    fn of(self, id: &str) -> Option<Turbocharger> {
        match own::read(id) {
            Some(listed) => listed.turbocharger.ok(),
            None => self
                .store
                .shelf
                .with_untracked(|s| s.iter().find(|t| t.id == id).map(|t| (**t).clone())),
        }
    }

    /// Keeps another among one's own, and shows its numbers.
    fn add(self, mut turbocharger: Turbocharger) {
        turbocharger.id = format!("{OWN}{}", new_id());
        self.store.keep_own(&turbocharger);
        self.open.set(Some(turbocharger.id.clone()));
        // Its numbers may be far below.
        request_animation_frame(move || {
            let row = element::<HtmlElement>(&format!("[data-own=\"{}\"]", turbocharger.id));
            if let Some(row) = row {
                row.scroll_into_view();
            }
        });
    }

    fn copy(self, id: &str) {
        if let Some(mut turbocharger) = self.of(id) {
            turbocharger.name = copy_name(&turbocharger.name);
            self.add(turbocharger);
        }
    }

    /// A new one from sizes alone: those of the one that stands, to begin with.
    fn add_by_sizes(self) {
        let now = self
            .store
            .build
            .with_untracked(|b| Turbocharger::clone(b.turbocharger()));
        match now.with_estimated_map() {
            Ok(mut turbocharger) => {
                turbocharger.notes = format!("Begun from {}.", turbocharger.name);
                turbocharger.name = "New".to_owned();
                self.add(turbocharger);
            }
            Err(error) => self.store.notice.set(Some(error.to_string())),
        }
    }

    fn fit(self, id: &str) {
        let Some(turbocharger) = self.of(id) else {
            return self.store.own_changed();
        };
        // The housing nearest in A/R to the one that stands.
        let wanted = self.store.build.with_untracked(|b| b.housing().a_over_r);
        let far = |i: &usize| (turbocharger.turbine.housings[*i].a_over_r - wanted).abs();
        let housing = (0..turbocharger.turbine.housings.len())
            .min_by(|a, b| far(a).total_cmp(&far(b)))
            .unwrap_or(0);
        let name = turbocharger.name.clone();
        let fitted = if own::is_own(id) {
            fit_own(self.store, turbocharger, housing)
        } else {
            let edited = self
                .store
                .build
                .with_untracked(|b| b.with_turbocharger(Arc::new(turbocharger), housing));
            self.store.edit("turbocharger", "Turbocharger", edited);
            self.store.left_field();
            Ok(())
        };
        match fitted {
            Ok(()) => {
                self.store.go(Place::Match);
                self.store
                    .notice
                    .set(Some(format!("“{name}” is fitted to this build.")));
            }
            Err(why) => self.store.notice.set(Some(why)),
        }
    }

    fn delete(self, id: &str) {
        let Some(raw) = own::raw(id) else {
            return self.store.own_changed();
        };
        let name = match own::read(id).map(|l| l.turbocharger) {
            Some(Ok(turbocharger)) => format!("“{}”", turbocharger.name),
            _ => "The unreadable entry".to_owned(),
        };
        own::remove(id);
        self.gone.set(Some(Gone {
            id: id.to_owned(),
            raw,
            name,
        }));
        self.store.own_changed();
        request_animation_frame(|| {
            if let Some(undo) = element::<HtmlElement>("[data-gone] button") {
                let _ = undo.focus();
            }
        });
    }

    fn bring_back(self) {
        if let Some(gone) = self.gone.get_untracked() {
            match own::put_raw(&gone.id, &gone.raw) {
                Ok(()) => self.gone.set(None),
                Err(trouble) => self.store.told(Err(trouble)),
            }
            self.store.own_changed();
        }
    }

    fn save(self, name: &str, text: &str) {
        if download(name, text, "application/json").is_none() {
            self.store.notice.set(Some(
                "This browser did not let the page save a file.".to_owned(),
            ));
        }
    }

    fn export(self, id: &str) {
        match self.of(id) {
            Some(turbocharger) => {
                let name = file_name(&format!("{} turbocharger", turbocharger.name));
                self.save(&name, &RecordFile::new(vec![turbocharger]).to_json());
            }
            // What cannot be read here may be elsewhere.
            None => self.save(
                &file_name("turbocharger as it is"),
                &own::raw(id).unwrap_or_default(),
            ),
        }
    }

    fn export_all(self) {
        let all: Vec<Turbocharger> = own::list()
            .into_iter()
            .filter_map(|l| l.turbocharger.ok())
            .collect();
        if all.is_empty() {
            return self.store.notice.set(Some(
                "There are none of your own yet: nothing was saved.".to_owned(),
            ));
        }
        self.save(
            "airpath-turbochargers.json",
            &RecordFile::new(all).to_json(),
        );
    }

    fn act(self, what: &str, id: &str) {
        match what {
            "fit" => self.fit(id),
            "numbers" => self.open.update(|open| {
                *open = (open.as_deref() != Some(id)).then(|| id.to_owned());
            }),
            "copy" => self.copy(id),
            "delete" => self.delete(id),
            "export" => self.export(id),
            "from-sizes" => self.add_by_sizes(),
            "from-picture" => self.store.go(Place::Trace),
            "export-all" => self.export_all(),
            "import" => {
                if let Some(picker) = element::<HtmlElement>("[data-import]") {
                    picker.click();
                }
            }
            _ => {}
        }
    }
}

/// What there is to say of one in a line.
fn facts(turbocharger: &Turbocharger, store: Store) -> String {
    let wheel = &turbocharger.compressor.wheel;
    let points = turbocharger.compressor.map.lines.iter();
    let most = points
        .flat_map(|line| line.points.iter().map(|p| p.flow_kg_s))
        .fold(0.0, f64::max);
    let housings: Vec<String> = turbocharger
        .turbine
        .housings
        .iter()
        .map(|h| format!("{:.2}", h.a_over_r))
        .collect();
    let map = match turbocharger.compressor.map.estimated {
        true => "map estimated",
        false => "map measured or traced",
    };
    format!(
        "Compressor {:.1}/{:.1} mm, turbine {:.1}/{:.1} mm · up to {} · {} rev/min · A/R {} · {map}",
        wheel.inducer_m * 1e3,
        wheel.exducer_m * 1e3,
        turbocharger.turbine.inducer_m * 1e3,
        turbocharger.turbine.exducer_m * 1e3,
        shown(Kind::MassFlow, store.units.get()).text(most),
        group(&format!("{:.0}", turbocharger.largest_speed_rev_min)),
        housings.join(", "),
    )
}

fn button(what: &'static str, label: &'static str, name: &str) -> AnyView {
    view! { <button type="button" class="small" data-do=what aria-label=format!("{label}: {name}")>{label}</button> }
        .into_any()
}

fn own_row(here: Here, listed: Listed) -> AnyView {
    let store = here.store;
    let id = listed.id.clone();
    let fitted = {
        let id = id.clone();
        Memo::new(move |_| store.build.with(|b| b.turbocharger().id == id))
    };
    let (about, acts) = match &listed.turbocharger {
        Ok(turbocharger) => {
            let name = turbocharger.name.clone();
            let now = perhaps(move || {
                fitted
                    .get()
                    .then(|| view! { <b class="now-fitted">" fitted now"</b> }.into_any())
            });
            (
                view! {
                    <p><b>{name.clone()}</b>{now}</p>
                    <p class="quiet">{facts(turbocharger, store)}</p>
                    <p class="quiet">{turbocharger.notes.clone()}</p>
                }
                .into_any(),
                list([
                    button("fit", "Fit", &name),
                    button("numbers", "Numbers", &name),
                    button("copy", "Copy", &name),
                    button("export", "Export", &name),
                    button("delete", "Delete", &name),
                ]),
            )
        }
        Err(problem) => (
            view! { <p><i class="mark" aria-hidden="true"></i><b>"Cannot be read"</b></p><p class="quiet">{problem.clone()}</p> }.into_any(),
            list([
                button("export", "Export as it is", "unreadable entry"),
                button("delete", "Delete", "unreadable entry"),
            ]),
        ),
    };
    view! {
        <li data-own=id class:now=fitted>
            <div class="about">{about}</div>
            <div class="acts">{acts}</div>
        </li>
    }
    .into_any()
}

fn shelf_row(here: Here, turbocharger: &Arc<Turbocharger>) -> AnyView {
    let store = here.store;
    let id = turbocharger.id.clone();
    let fitted = {
        let id = id.clone();
        Memo::new(move |_| store.build.with(|b| b.turbocharger().id == id))
    };
    let name = turbocharger.name.clone();
    let facts = facts(turbocharger, store);
    view! {
        <li data-own=id class:now=fitted>
            <div class="about"><p><b>{name.clone()}</b></p><p class="quiet">{facts}</p></div>
            <div class="acts">{button("fit", "Fit", &name)} {button("copy", "Copy to yours", &name)}</div>
        </li>
    }
    .into_any()
}

/// The turbochargers that there are.
#[component]
pub fn Shelf() -> AnyView {
    let store = use_store();
    let here = Here {
        store,
        open: RwSignal::new(None),
        gone: RwSignal::new(None),
    };
    let act = move |event: web_sys::MouseEvent| {
        let target = event.target().and_then(|t| t.dyn_into::<Element>().ok());
        let Some(button) = target.and_then(|t| t.closest("[data-do]").ok().flatten()) else {
            return;
        };
        let id = button
            .closest("[data-own]")
            .ok()
            .flatten()
            .and_then(|row| row.get_attribute("data-own"))
            .unwrap_or_default();
        here.act(&button.get_attribute("data-do").unwrap_or_default(), &id);
    };
    let gone = perhaps(move || {
        here.gone.get().map(|gone| {
            view! {
                <div class="notice" data-gone="">
                    <p>{gone.name}" is deleted. Builds that use it keep it."</p>
                    <button type="button" class="small" on:click=press(move || here.bring_back())>"Undo"</button>
                </div>
            }
            .into_any()
        })
    });
    let yours = live(move || {
        store.owned.track();
        let all = own::list();
        if all.is_empty() {
            return view! { <p>"None yet. Make one from wheel sizes, from a picture or a file of its map, or copy one below."</p> }
                .into_any();
        }
        view! { <ul class="builds">{list(all.into_iter().map(|l| own_row(here, l)))}</ul> }
            .into_any()
    });
    // Apart from the rows, so that typing in it does not make it anew.
    let numbers = live(move || {
        let Some(id) = here.open.get() else {
            return ().into_any();
        };
        let whose = Whose::Kept(id);
        if whose.record(store).is_none() {
            return ().into_any();
        }
        let named = whose.clone();
        let name = words(move || {
            store.owned.track();
            named.record(store).map_or_else(String::new, |t| t.name)
        });
        view! {
            <section class="numbers-of" data-numbers="">
                <header><h3>{name}</h3>
                    <button type="button" class="small" on:click=press(move || here.open.set(None))>"Close"</button>
                </header>
                {sheet(&whose)}
            </section>
        }
        .into_any()
    });
    let shelf = live(move || {
        let all = store.shelf.get();
        list(all.iter().map(|t| shelf_row(here, t)))
    });
    view! {
        <main class="kept shelf" on:click=act>
            <h2>"Turbochargers"</h2>
            <h3>"Yours"</h3>
            <div class="buttons">
                <button type="button" data-do="from-sizes">"New from wheel sizes"</button>
                <button type="button" data-do="from-picture">"New from a picture of its map"</button>
                <button type="button" data-do="import">"Import"</button>
                <button type="button" data-do="export-all">"Export yours"</button>
            </div>
            <div role="status">{gone}</div>
            {yours}
            {numbers}
            <p class="quiet">"Yours are in this browser alone, and in the builds that use them. A map’s table is taken under Match, Compressor, “Map from a file”."</p>
            <h3>"On the shelf"</h3>
            <p class="quiet">"All invented, in families that share turbines and housings."</p>
            <ul class="builds">{shelf}</ul>
        </main>
    }
    .into_any()
}
