//! A turbocharger's numbers, words and housings, to be changed: the one that stands, which becomes one
//! of the person's own by it, or one of those kept here.

use super::shapes::{list, live, perhaps, press, text, words};
use crate::keep::builds::new_id;
use crate::keep::own::{self, OWN, is_own};
use crate::show::group;
use crate::store::{Store, use_store};
use airpath::build::{
    Bearing, CompressorRecord, GateKind, HOUSING_RATIO, HOUSING_SWALLOWING, Housing, HousingEntry,
    Origin, RECORD, RecordPart, RecordSpec, Turbocharger,
};
use airpath::quantity::{read, write_number};
use leptos::prelude::*;
use std::sync::Arc;

/// What is added to the name of one that was changed.
const CHANGED: &str = ", changed";

/// Decimals that a value is shown with at most.
const DECIMALS: u8 = 4;

/// Which turbocharger is changed.
#[derive(Clone, PartialEq)]
pub enum Whose {
    /// That of the build that stands.
    Standing,
    /// The one kept here under this key.
    Kept(String),
}

/// The record as one of the person's own.
pub fn as_own(mut turbocharger: Turbocharger) -> Turbocharger {
    if !is_own(&turbocharger.id) {
        turbocharger.id = format!("{OWN}{}", new_id());
        turbocharger.name += CHANGED;
    }
    turbocharger
}

/// One of the person's own stands, with this housing, and is kept among them.
///
/// # Errors
/// Why it cannot be.
pub fn fit_own(store: Store, own: Turbocharger, housing: usize) -> Result<(), String> {
    let housing = housing.min(own.turbine.housings.len().saturating_sub(1));
    let own = Arc::new(own);
    let edited = store
        .build
        .with_untracked(|b| b.with_turbocharger(own.clone(), housing))
        .map_err(|error| error.to_string())?;
    store.edit("turbocharger", "Turbocharger", Ok(edited));
    store.left_field();
    store.keep_own(&own);
    Ok(())
}

impl Whose {
    /// The record.
    pub fn record(&self, store: Store) -> Option<Turbocharger> {
        match self {
            Whose::Standing => Some(
                store
                    .build
                    .with_untracked(|b| Turbocharger::clone(b.turbocharger())),
            ),
            Whose::Kept(id) => own::read(id)?.turbocharger.ok(),
        }
    }

    /// The same, following what changes it.
    fn follow(&self, store: Store) -> Option<Turbocharger> {
        match self {
            Whose::Standing => store.build.track(),
            Whose::Kept(_) => store.owned.track(),
        }
        self.record(store)
    }

    /// Puts a changed record in its place. One that is kept here and stands is changed in both.
    fn put(&self, store: Store, changed: Turbocharger) -> Result<(), String> {
        changed.check().map_err(|error| error.to_string())?;
        let (standing, housing) = store
            .build
            .with_untracked(|b| (b.turbocharger().id.clone(), b.housing_index()));
        match self {
            Whose::Standing => fit_own(store, as_own(changed), housing),
            Whose::Kept(id) if *id == standing => fit_own(store, changed, housing),
            Whose::Kept(_) => {
                store.keep_own(&changed);
                Ok(())
            }
        }
    }

    /// The record, to be changed.
    fn now(&self, store: Store) -> Result<Turbocharger, String> {
        self.record(store)
            .ok_or_else(|| "It is no longer kept here: it was deleted in another tab.".to_owned())
    }

    fn change(&self, store: Store, change: impl FnOnce(&mut Turbocharger)) -> Result<(), String> {
        let now = self.now(store)?;
        let mut changed = now.clone();
        change(&mut changed);
        if changed == now {
            return Ok(());
        }
        self.put(store, changed)
    }
}

/// A sheet of numbers: whose they are, and the record as it stands, read once for all of its rows.
#[derive(Clone)]
struct Sheet {
    store: Store,
    whose: Whose,
    record: Memo<Option<Turbocharger>>,
}

impl Sheet {
    fn new(whose: &Whose) -> Self {
        let (store, followed) = (use_store(), whose.clone());
        Self {
            store,
            whose: whose.clone(),
            record: Memo::new(move |_| followed.follow(store)),
        }
    }

    /// Something of the record; nothing where it is gone.
    fn read<T: Default>(&self, read: impl FnOnce(&Turbocharger) -> T) -> T {
        self.record
            .with(|record| record.as_ref().map(read).unwrap_or_default())
    }

    fn change(&self, change: impl FnOnce(&mut Turbocharger)) -> Result<(), String> {
        self.whose.change(self.store, change)
    }

    /// The same for what has no place of its own to say what is wrong.
    fn change_or_tell(&self, change: impl FnOnce(&mut Turbocharger)) {
        if let Err(why) = self.change(change) {
            self.store.notice.set(Some(why));
        }
    }
}

/// A number as it is shown: without the zeros behind.
fn written(spec: &RecordSpec, value: f64) -> String {
    let text = write_number(value * spec.si, spec.unit(), DECIMALS);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// What was typed into a row, as the record holds it.
fn typed(spec: &RecordSpec, text: &str) -> Result<Option<f64>, String> {
    match text.trim() {
        "" if !spec.needed => Ok(None),
        text => read(text, spec.kind, spec.unit())
            .map(|reading| Some(reading.si / spec.si))
            .map_err(|error| error.to_string()),
    }
}

/// An input with its fault: what it shows, and what takes what was typed.
fn input(
    (key, label, unit, range): (String, &'static str, Option<&'static str>, String),
    value: impl Fn() -> String + Send + Sync + 'static,
    put: impl Fn(&str) -> Result<(), String> + 'static,
) -> AnyView {
    let id = format!("r-{key}");
    let wrong = RwSignal::new(None::<String>);
    let help = RwSignal::new(false);
    let change: Box<dyn FnMut(web_sys::Event)> = Box::new(move |event| {
        wrong.set(put(&event_target_value(&event)).err());
    });
    let fault = perhaps(move || {
        wrong.get().map(|why| {
            view! { <div class="fault" role="alert"><i class="mark" aria-hidden="true"></i><p>{why}</p></div> }
                .into_any()
        })
    });
    let ask = (!range.is_empty()).then(|| {
        view! {
            <button type="button" class="ask" aria-label=format!("Help: {label}") aria-expanded=words(move || help.get().to_string())
                on:click=press(move || help.update(|h| *h = !*h))>"?"</button>
        }
        .into_any()
    });
    let explained = {
        let range = range.clone();
        perhaps(move || {
            let range = range.clone();
            help.get()
                .then(|| view! { <p class="quiet help">{range}</p> }.into_any())
        })
    };
    view! {
        <div class="field" class:words=unit.is_none()>
            <label for=id.clone()>{label}</label>
            {ask.unwrap_or_else(|| view! { <span></span> }.into_any())}
            <input id=id data-record=key type="text" inputmode=if unit.is_some() { "decimal" } else { "text" } autocomplete="off" spellcheck="false"
                aria-description=range prop:value=words(value) on:change=change/>
            {unit.map(|unit| view! { <span class="unit">{unit}</span> }.into_any())}
            {fault}
            {explained}
        </div>
    }
    .into_any()
}

/// What it is, and between what.
fn help(spec: &RecordSpec) -> String {
    let (low, high) = spec.range;
    format!(
        "{} {} to {} {}.",
        spec.help,
        group(&low.to_string()),
        group(&high.to_string()),
        spec.unit
    )
}

fn row(sheet: &Sheet, spec: &'static RecordSpec) -> AnyView {
    let (shown, changed) = (sheet.clone(), sheet.clone());
    input(
        (
            spec.link.to_owned(),
            spec.label,
            Some(spec.unit),
            help(spec),
        ),
        move || {
            let value = shown.read(|record| (spec.get)(record));
            value.map_or_else(String::new, |value| written(spec, value))
        },
        move |text| {
            let value = typed(spec, text)?;
            let now = changed.whose.now(changed.store)?;
            if (spec.get)(&now) == value {
                return Ok(());
            }
            let record = now
                .with_number(spec, value)
                .map_err(|error| error.to_string())?;
            changed.whose.put(changed.store, record)
        },
    )
}

/// A text of the record: key, label, help, get, set.
type Words = (
    &'static str,
    &'static str,
    &'static str,
    fn(&Turbocharger) -> &String,
    fn(&mut Turbocharger, String),
);

const NAMES: [Words; 4] = [
    ("name", "Name", "", |t| &t.name, |t, s| t.name = s),
    (
        "notes",
        "Notes",
        "Whatever is worth saying: where it came from, who it is for. It goes with the turbocharger.",
        |t| &t.notes,
        |t, s| t.notes = s,
    ),
    (
        "price",
        "Price",
        "What it costs, in your own words and money. It goes with the turbocharger and stands on its swap sheet.",
        |t| &t.price,
        |t, s| t.price = s,
    ),
    (
        "availability",
        "To be had",
        "Whether, where and how soon it can be had, in your own words. It stands on its swap sheet.",
        |t| &t.availability,
        |t, s| t.availability = s,
    ),
];

const JOINTS: [Words; 4] = [
    (
        "turbine-flange",
        "Turbine flange",
        "Between manifold and turbine: shape, bolts, opening.",
        |t| &t.connections.turbine_flange,
        |t, s| t.connections.turbine_flange = s,
    ),
    (
        "exhaust-flange",
        "Exhaust flange",
        "Between turbine and downpipe: shape, bolts or clamp.",
        |t| &t.connections.exhaust_flange,
        |t, s| t.connections.exhaust_flange = s,
    ),
    (
        "oil-feed",
        "Oil feed",
        "Thread or fitting of the oil feed.",
        |t| &t.connections.oil_feed,
        |t, s| t.connections.oil_feed = s,
    ),
    (
        "coolant",
        "Coolant",
        "Thread or fitting of the coolant; blank where there is none.",
        |t| &t.connections.coolant,
        |t, s| t.connections.coolant = s,
    ),
];

fn word_row(sheet: &Sheet, (key, label, help, get, set): Words) -> AnyView {
    let (shown, changed) = (sheet.clone(), sheet.clone());
    input(
        (key.to_owned(), label, None, help.to_owned()),
        move || shown.read(|t| get(t).clone()),
        move |text| changed.change(|t| set(t, text.trim().to_owned())),
    )
}

/// One of two, as a list.
fn either(
    sheet: &Sheet,
    key: &'static str,
    label: &'static str,
    options: [&'static str; 2],
    second: fn(&Turbocharger) -> bool,
    set: fn(&mut Turbocharger, bool),
) -> AnyView {
    let (shown, changed) = (sheet.clone(), sheet.clone());
    let is = Memo::new(move |_| shown.read(second));
    let choose = text(move |value| changed.change_or_tell(|t| set(t, value == "1")));
    view! {
        <div class="choice">
            <label for=format!("r-{key}")>{label}</label>
            <select id=format!("r-{key}") data-record=key on:change=choose>
                <option value="0" selected=move || !is.get()>{options[0]}</option>
                <option value="1" selected=move || is.get()>{options[1]}</option>
            </select>
        </div>
    }
    .into_any()
}

/// What a housing passes, where that comes from and how far to trust it.
fn swallows(turbocharger: &Turbocharger, housing: usize) -> String {
    let known = turbocharger.knowledge(housing).swallowing;
    let how = match known.origin {
        Origin::Estimated => "estimated from wheel and A/R",
        Origin::Entered => "as entered",
        Origin::Measured => "fitted to measured points",
    };
    format!(
        "Passes {} {}, {how}, ±{:.1} %.",
        written(&HOUSING_SWALLOWING, known.value),
        HOUSING_SWALLOWING.unit,
        100.0 * known.uncertainty.half_width
    )
}

/// The turbine housings: each with its A/R, what it swallows and its entry.
fn housings(sheet: &Sheet) -> AnyView {
    let count = {
        let sheet = sheet.clone();
        Memo::new(move |_| sheet.read(|t| t.turbine.housings.len()))
    };
    let one = {
        let sheet = sheet.clone();
        move |at: usize| {
            let number = |spec: &'static RecordSpec,
                          get: fn(&Housing) -> Option<f64>,
                          set: fn(&mut Housing, Option<f64>)| {
                let (shown, changed) = (sheet.clone(), sheet.clone());
                input(
                    (
                        format!("{}-{at}", spec.id),
                        spec.label,
                        Some(spec.unit),
                        help(spec),
                    ),
                    move || {
                        let value = shown.read(|t| t.turbine.housings.get(at).and_then(get));
                        value.map_or_else(String::new, |value| written(spec, value))
                    },
                    move |text| {
                        let value = typed(spec, text)?;
                        changed.change(|t| {
                            if let Some(housing) = t.turbine.housings.get_mut(at) {
                                set(housing, value);
                            }
                        })
                    },
                )
            };
            let (shown, entered, removed) = (sheet.clone(), sheet.clone(), sheet.clone());
            let of_flow = sheet.clone();
            let twin = Memo::new(move |_| {
                shown.read(|t| {
                    t.turbine.housings.get(at).map(|h| h.entry) == Some(HousingEntry::Twin)
                })
            });
            let swallows = words(move || of_flow.read(|t| swallows(t, at)));
            let choose = text(move |value| {
                let entry = match value.as_str() {
                    "1" => HousingEntry::Twin,
                    _ => HousingEntry::Single,
                };
                entered.change_or_tell(|t| {
                    if let Some(housing) = t.turbine.housings.get_mut(at) {
                        housing.entry = entry;
                    }
                });
            });
            let remove = move || {
                removed.change_or_tell(|t| {
                    if t.turbine.housings.len() > 1 && at < t.turbine.housings.len() {
                        t.turbine.housings.remove(at);
                    }
                });
            };
            view! {
                <fieldset class="housing"><legend>{format!("Housing {}", at + 1)}</legend>
                    {number(&HOUSING_RATIO, |h| Some(h.a_over_r), |h, v| if let Some(v) = v { h.a_over_r = v; })}
                    {number(&HOUSING_SWALLOWING, |h| h.swallowing, |h, v| h.swallowing = v)}
                    <p class="quiet">{swallows}</p>
                    <div class="choice">
                        <label for=format!("r-entry-{at}")>"Entry"</label>
                        <select id=format!("r-entry-{at}") on:change=choose>
                            <option value="0" selected=move || !twin.get()>"One passage"</option>
                            <option value="1" selected=move || twin.get()>"Two passages"</option>
                        </select>
                    </div>
                    <button type="button" class="small" aria-label=format!("Remove housing {}", at + 1)
                        disabled=Signal::derive(move || count.get() < 2) on:click=press(remove)>"Remove"</button>
                </fieldset>
            }
            .into_any()
        }
    };
    let all = live(move || list((0..count.get()).map(&one)));
    let added = sheet.clone();
    let add = move || {
        added.change_or_tell(|t| {
            if let Some(last) = t.turbine.housings.last().cloned() {
                // A step up, as housings are usually staggered.
                t.turbine.housings.push(Housing {
                    a_over_r: (120.0 * last.a_over_r).round() / 100.0,
                    swallowing: None,
                    swallowing_points: Vec::new(),
                    entry: last.entry,
                });
            }
        });
    };
    view! {
        {all}
        <button type="button" class="small" data-act="add-housing" on:click=press(add)>"Another housing"</button>
    }
    .into_any()
}

fn part(sheet: &Sheet, part: RecordPart) -> AnyView {
    let rows = list(
        RECORD
            .iter()
            .filter(|s| s.part == part)
            .map(|spec| row(sheet, spec)),
    );
    let more = match part {
        RecordPart::Turbine => housings(sheet),
        RecordPart::Shaft => list([
            either(
                sheet,
                "bearing",
                "Bearings",
                ["Journal", "Ball"],
                |t| t.bearing == Bearing::Ball,
                |t, ball| {
                    t.bearing = if ball {
                        Bearing::Ball
                    } else {
                        Bearing::Journal
                    }
                },
            ),
            either(
                sheet,
                "bearing-loss",
                "Turbine efficiency",
                ["Of the gas alone", "With the bearings’ loss in it"],
                |t| t.bearing_in_efficiency,
                |t, within| t.bearing_in_efficiency = within,
            ),
        ]),
        RecordPart::Gate => either(
            sheet,
            "gate-kind",
            "Gate sits",
            ["In the turbine housing", "On the manifold"],
            |t| t.gate.kind == GateKind::External,
            |t, external| {
                t.gate.kind = if external {
                    GateKind::External
                } else {
                    GateKind::Internal
                };
            },
        ),
        RecordPart::Connections => list(JOINTS.map(|words| word_row(sheet, words))),
        RecordPart::Compressor | RecordPart::Map => ().into_any(),
    };
    view! { <fieldset class="record"><legend>{part.label()}</legend>{rows}{more}</fieldset> }
        .into_any()
}

/// How far to trust a compressor map, in words.
pub fn within(compressor: &CompressorRecord) -> String {
    let sure = compressor.map.uncertainty(&compressor.wheel);
    format!(
        "±{:.0} % in flow, ±{:.1} points in efficiency, ±{:.0} % in the flow at surge",
        100.0 * sure.flow.half_width,
        100.0 * sure.efficiency.half_width,
        100.0 * sure.surge_flow.half_width,
    )
}

/// What its compressor map is, and how far to trust it.
fn about_map(turbocharger: &Turbocharger) -> String {
    let within = within(&turbocharger.compressor);
    if !turbocharger.compressor.map.estimated {
        return format!(
            "Its compressor map was measured or traced, and stays as it is when a size is changed: {within}."
        );
    }
    let claim = match turbocharger.flow_claim() {
        Some(claim) if !claim.agrees() => format!(
            " The flow claimed is {:.2} times what the sizes give: one of them is to be doubted.",
            claim.ratio
        ),
        _ => String::new(),
    };
    format!("Its compressor map is an estimate that follows the wheel’s sizes: {within}.{claim}")
}

/// Every number, word and housing of a turbocharger.
pub fn sheet(whose: &Whose) -> AnyView {
    let parts = [
        RecordPart::Compressor,
        RecordPart::Map,
        RecordPart::Turbine,
        RecordPart::Shaft,
        RecordPart::Gate,
        RecordPart::Connections,
    ];
    let sheet = Sheet::new(whose);
    let (shown, asked) = (sheet.clone(), sheet.clone());
    let estimated = Memo::new(move |_| shown.read(|t| t.compressor.map.estimated));
    let estimate = move || {
        let store = asked.store;
        let done = asked.whose.now(store).and_then(|record| {
            let record = record.with_estimated_map();
            asked
                .whose
                .put(store, record.map_err(|error| error.to_string())?)
        });
        if let Err(why) = done {
            store.notice.set(Some(why));
        }
    };
    let anew = perhaps(move || {
        let estimate = estimate.clone();
        (!estimated.get()).then(|| {
            view! { <button type="button" class="small" data-act="estimate-map" on:click=press(estimate)>"Estimate its map from the sizes instead"</button> }
                .into_any()
        })
    });
    let of_map = sheet.clone();
    let said = words(move || of_map.read(about_map));
    view! {
        <div class="record-sheet" data-record-sheet="">
            <p class="quiet">{said}</p>
            {anew}
            {list(NAMES.map(|words| word_row(&sheet, words)))}
            {list(parts.map(|p| part(&sheet, p)))}
        </div>
    }
    .into_any()
}

/// The turbocharger that stands.
pub fn numbers() -> AnyView {
    let become_own = "Change something, and the turbocharger becomes your own: it is kept with this build and among your turbochargers.";
    view! {
        <p class="quiet">{become_own}</p>
        {sheet(&Whose::Standing)}
    }
    .into_any()
}
