//! A compressor map traced from a picture: what was marked, the fit over it, and the map that comes of
//! it, in a turbocharger of the person's own.

mod board;
mod form;
mod load;
mod look;
mod paint;

use crate::history::History;
use crate::keep;
use crate::parts::own::{as_own, fit_own};
use crate::parts::shapes::{list, live, perhaps, press, words};
use crate::places::Place;
use crate::plots::frame;
use crate::plots::geometry::Point;
use crate::plots::map_shape::{MapSpot, contours_at};
use crate::show::group;
use crate::store::{Store, use_store};
use airpath::air_way::compressor::WheelSizes;
use airpath::build::Turbocharger;
use airpath::map_files::flow_factor;
use airpath::map_fit::{self, MapFit, fit};
use airpath::map_picture::{Grip, Meaning, Tracing};
use airpath::quantity::{Kind, read};
use leptos::html::Input;
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use look::Look;
use std::sync::Arc;
use std::time::Duration;

/// How long marking must rest before the map is fitted anew.
const REST: Duration = Duration::from_millis(120);

/// What a press on the board does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// Puts the corners on the grid.
    Corners,
    /// Marks a speed line.
    Speed,
    /// Marks the surge line.
    Surge,
    /// Marks an island of efficiency.
    Island,
    /// Takes hold of any spot or corner, to put it elsewhere.
    Correct,
    /// Moves the picture.
    Move,
}

impl Hand {
    const ALL: [Hand; 6] = [
        Hand::Corners,
        Hand::Speed,
        Hand::Surge,
        Hand::Island,
        Hand::Correct,
        Hand::Move,
    ];

    const fn label(self) -> &'static str {
        match self {
            Hand::Corners => "Corners",
            Hand::Speed => "Speed line",
            Hand::Surge => "Surge line",
            Hand::Island => "Efficiency",
            Hand::Correct => "Correct",
            Hand::Move => "Move picture",
        }
    }
}

/// A fitted map, ready to be drawn.
pub struct Over {
    /// The fit.
    pub fit: MapFit,
    /// Its speed lines.
    pub lines: Vec<Vec<MapSpot>>,
    /// Its lines of the efficiencies that were marked.
    pub contours: Vec<Vec<MapSpot>>,
}

/// What came of what was marked so far.
#[derive(Clone)]
pub enum Fitted {
    /// Nothing yet, and why.
    Not(String),
    /// A map.
    Map(Arc<Over>),
}

/// Everything about the tracing that is on the board.
#[derive(Clone, Copy)]
pub struct Desk {
    store: Store,
    /// What was marked; none before there is a picture.
    pub tracing: RwSignal<Option<Arc<Tracing>>>,
    /// What came of it.
    pub fit: RwSignal<Fitted>,
    /// What a press does.
    pub hand: RwSignal<Hand>,
    /// The speed and the efficiency that are typed for what is marked next.
    pub value: RwSignal<(String, String)>,
    /// What was marked or picked last.
    pub picked: RwSignal<Option<Grip>>,
    /// Where a finger is that holds something, CSS pixels.
    pub under: RwSignal<Option<Point>>,
    /// Size of the board, CSS pixels.
    pub size: RwSignal<(f64, f64)>,
    /// What the board shows.
    pub look: RwSignal<Look>,
    /// Something to tell once.
    pub told: RwSignal<String>,
    /// What the map is to be called.
    name: RwSignal<String>,
    /// The wheel that it belongs to.
    wheel: RwSignal<WheelSizes>,
    history: StoredValue<History<Tracing>>,
    can: RwSignal<(bool, bool)>,
    resting: StoredValue<Option<TimeoutHandle>>,
    value_input: NodeRef<Input>,
}

/// The value of a text in the first unit, as it is inside.
fn number(text: &str, kind: Kind) -> Result<f64, String> {
    let unit = match kind {
        Kind::Fraction => kind.unit("%").unwrap_or(kind.metric()),
        _ => kind.metric(),
    };
    read(text, kind, unit)
        .map(|reading| reading.si)
        .map_err(|error| error.to_string())
}

/// A corrected speed in rev/min.
pub fn speed_of(text: &str) -> Result<f64, String> {
    let per_min = 60.0 / std::f64::consts::TAU;
    let unit = Kind::ShaftSpeed.unit("rev/min");
    let speed = read(
        text,
        Kind::ShaftSpeed,
        unit.unwrap_or(Kind::ShaftSpeed.metric()),
    )
    .map_err(|error| error.to_string())?
    .si * per_min;
    // To a tenth: what is typed in rev/min comes back as it was.
    let speed = (10.0 * speed).round() / 10.0;
    match (500.0..=600_000.0).contains(&speed) {
        true => Ok(speed),
        false => Err(format!(
            "A speed line’s speed of {} rev/min does not lie between 500 and 600,000 rev/min: enter it as it stands at the line.",
            group(&format!("{speed:.0}"))
        )),
    }
}

/// An efficiency, 0 to 1; a number above 1 is in per cent.
pub fn efficiency_of(text: &str) -> Result<f64, String> {
    let mut efficiency = number(text, Kind::Fraction)?;
    if text.trim().parse::<f64>().is_ok_and(|n| n <= 1.0) {
        efficiency *= 100.0;
    }
    match (0.02..=0.95).contains(&efficiency) {
        true => Ok(efficiency),
        false => Err(format!(
            "An efficiency of {:.1} % does not lie between 2 and 95 %: enter it as it stands at the island.",
            100.0 * efficiency
        )),
    }
}

impl Desk {
    fn new(store: Store) -> Self {
        let turbocharger = store.build.with_untracked(|b| b.turbocharger().clone());
        let desk = Self {
            store,
            tracing: RwSignal::new(None),
            fit: RwSignal::new(Fitted::Not(String::new())),
            hand: RwSignal::new(Hand::Corners),
            value: RwSignal::new((String::new(), String::new())),
            picked: RwSignal::new(None),
            under: RwSignal::new(None),
            size: RwSignal::new((0.0, 0.0)),
            look: RwSignal::new(Look::whole((1.0, 1.0), (1.0, 1.0))),
            told: RwSignal::new(String::new()),
            name: RwSignal::new("Traced".to_owned()),
            wheel: RwSignal::new(turbocharger.compressor.wheel),
            history: StoredValue::new(History::default()),
            can: RwSignal::new((false, false)),
            resting: StoredValue::new(None),
            value_input: NodeRef::new(),
        };
        // Back from elsewhere: the picture is still there.
        if load::size().is_some() {
            desk.picture_came();
        }
        desk
    }

    /// A picture is there: what was marked on one of its size before is taken up again.
    pub fn picture_came(self) {
        let Some(size) = load::size() else { return };
        let before = keep::tracing()
            .and_then(|text| Tracing::from_json(&text))
            .filter(|tracing| tracing.picture == size);
        let told = match &before {
            Some(tracing) if !tracing.strokes.is_empty() => {
                "What you marked on a picture of this size is here again. “Start anew” takes it away."
            }
            _ => "",
        };
        let reference = self.store.build.with_untracked(|b| {
            let map = &b.turbocharger().compressor.map;
            map.reference
        });
        let tracing = before.unwrap_or_else(|| Tracing::new(size, reference));
        self.history.set_value(History::default());
        self.can.set((false, false));
        self.picked.set(None);
        self.told.set(told.to_owned());
        self.tracing.set(Some(Arc::new(tracing)));
        self.look.set(Look::whole(self.size.get_untracked(), size));
        self.fit_soon();
    }

    /// What a press would mark; none where its value is not known.
    fn meaning_of(hand: Hand, value: &(String, String)) -> Option<Meaning> {
        match hand {
            Hand::Speed => speed_of(&value.0).ok().map(Meaning::SpeedLine),
            Hand::Surge => Some(Meaning::SurgeLine),
            Hand::Island => efficiency_of(&value.1).ok().map(Meaning::Island),
            Hand::Corners | Hand::Correct | Hand::Move => None,
        }
    }

    /// What a press would mark.
    pub fn meaning_untracked(self) -> Option<Meaning> {
        let hand = self.hand.get_untracked();
        self.value
            .with_untracked(|value| Self::meaning_of(hand, value))
    }

    /// Asks for the value of what is to be marked.
    pub fn ask_for_value(self) {
        let hand = self.hand.get_untracked();
        let (typed, read) = self.value.with_untracked(|value| match hand {
            Hand::Island => (value.1.clone(), efficiency_of(&value.1)),
            _ => (value.0.clone(), speed_of(&value.0)),
        });
        let text = match (typed.trim().is_empty(), read.err()) {
            (false, Some(why)) => why,
            _ if hand == Hand::Island => {
                "First enter the efficiency that stands at the island, 74 % for example.".to_owned()
            }
            _ => "First enter the speed that stands at the line, 110000 rev/min for example."
                .to_owned(),
        };
        self.told.set(text);
        if let Some(input) = self.value_input.get_untracked() {
            let _ = input.focus();
        }
    }

    /// An edit is complete: it can be undone, is kept, and the map is fitted anew.
    pub fn done(self, before: Arc<Tracing>) {
        let now = self.tracing.get_untracked();
        if now.as_ref() == Some(&before) {
            return;
        }
        self.told.set(String::new());
        self.history.update_value(|history| {
            history.pause();
            history.edit(before, "mark");
        });
        self.settled();
    }

    fn settled(self) {
        self.can.set(self.history.with_value(History::can));
        if let Some(now) = self.tracing.get_untracked() {
            self.store.told(keep::keep_tracing(&now.to_json()));
        }
        self.fit_soon();
    }

    /// The same with a change.
    pub fn change(self, change: impl FnOnce(&mut Tracing)) {
        if let Some(before) = self.tracing.get_untracked() {
            let mut changed = Tracing::clone(&before);
            change(&mut changed);
            self.tracing.set(Some(Arc::new(changed)));
            self.done(before);
        }
    }

    fn undo(self, again: bool) {
        let Some(now) = self.tracing.get_untracked() else {
            return;
        };
        let mut other = None;
        self.history.update_value(|history| {
            other = match again {
                false => history.undo(now),
                true => history.redo(now),
            };
        });
        if let Some(other) = other {
            self.picked.set(None);
            self.tracing.set(Some(other));
            self.settled();
        }
    }

    /// Takes away the spot that was marked or picked last.
    pub fn remove_picked(self) {
        if let (Some(grip), Some(before)) =
            (self.picked.get_untracked(), self.tracing.get_untracked())
        {
            self.tracing.set(Some(Arc::new(before.without(grip))));
            // On to the one before, so that several can be taken back.
            self.picked.set(match grip {
                Grip::Spot(stroke, at) if at > 0 => Some(Grip::Spot(stroke, at - 1)),
                _ => None,
            });
            self.done(before);
        }
    }

    /// Moves the picture by CSS pixels.
    pub fn moved(self, by: Point) {
        if let Some(picture) = load::size() {
            let board = self.size.get_untracked();
            self.look
                .update(|look| *look = look.moved(by, board, picture));
        }
    }

    /// Enlarges the picture about a point of the board.
    pub fn enlarged(self, by: f64, about: Point) {
        if let Some(picture) = load::size() {
            let board = self.size.get_untracked();
            self.look
                .update(|look| *look = look.zoomed(by, about, board, picture));
        }
    }

    /// Shows all of the picture.
    pub fn show_whole(self) {
        if let Some(picture) = load::size() {
            self.look
                .set(Look::whole(self.size.get_untracked(), picture));
        }
    }

    fn fit_soon(self) {
        self.resting.update_value(|resting| {
            if let Some(timer) = resting.take() {
                timer.clear();
            }
            *resting = set_timeout_with_handle(move || self.fit_now(), REST).ok();
        });
    }

    fn fit_now(self) {
        let Some(Some(tracing)) = self.tracing.try_get_untracked() else {
            return;
        };
        let wheel = self.wheel.get_untracked();
        let began = frame::now();
        // What lies over the picture is on the picture's own basis.
        let as_drawn = Tracing {
            static_outlet_m: None,
            ..Tracing::clone(&tracing)
        };
        let found = match tracing.to_trace(&wheel) {
            Ok(_) => over(&as_drawn, &wheel),
            Err(error) => Err(error.to_string()),
        };
        frame::measure("airpath: fit map", began, frame::now());
        self.fit.set(match found {
            Ok(over) => Fitted::Map(Arc::new(over)),
            Err(why) => Fitted::Not(why),
        });
    }

    /// What a screen reader tells of the board.
    pub fn spoken(self) -> String {
        let Some(tracing) = self.tracing.get() else {
            return "No picture yet.".to_owned();
        };
        let spots: usize = tracing.strokes.iter().map(|s| s.spots.len()).sum();
        let picked = self.picked.get().and_then(|grip| {
            let (flow, ratio) = tracing.plane().ok()?.value(tracing.place(grip)?)?;
            let what = match grip {
                Grip::Corner(at) => format!("Corner at {}", Tracing::corner_name(at)),
                Grip::Spot(stroke, at) => format!(
                    "Spot {} of {}",
                    at + 1,
                    tracing.strokes.get(stroke)?.meaning.words()
                ),
            };
            Some(format!(
                " {what}: {flow:.4} kg/s, pressure ratio {ratio:.3}."
            ))
        });
        format!(
            "Picture of a map with {} lines and {spots} spots marked. Arrows move the spot, Enter marks the next, Delete takes one away, plus and minus enlarge.{}",
            tracing.strokes.len(),
            picked.unwrap_or_default()
        )
    }

    /// Takes the map into a turbocharger of the person's own, which then stands.
    fn take(self) {
        let Some(tracing) = self.tracing.get_untracked() else {
            return;
        };
        match own_of(self, &tracing) {
            Ok((own, told)) => {
                let store = self.store;
                let housing = store.build.with_untracked(|b| b.housing_index());
                if let Err(why) = fit_own(store, own, housing) {
                    return self.told.set(format!("The map was not taken. {why}"));
                }
                store.go(Place::Match);
                store.notice.set(Some(told));
            }
            Err(why) => self.told.set(format!("The map was not taken. {why}")),
        }
    }
}

/// A map over the picture.
fn over(tracing: &Tracing, wheel: &WheelSizes) -> Result<Over, String> {
    let trace = tracing.to_trace(wheel).map_err(|e| e.to_string())?;
    if trace.lines.len() < 2 {
        let marked = tracing
            .strokes
            .iter()
            .filter(|s| matches!(s.meaning, Meaning::SpeedLine(_)))
            .count();
        return Err(match marked {
            0 => "Put the corners on the map’s grid, enter their values, then mark the speed lines.".to_owned(),
            _ => "A map comes of two speed lines with three spots each; more of both make it better. Five to ten spots a line, closer where it bends, are plenty. Two fingers, the wheel or + enlarge the picture.".to_owned(),
        });
    }
    let found = fit(&trace).map_err(|e| e.to_string())?;
    let made = map_fit::ready(&found.map, wheel.exducer_m).map_err(|e| e.to_string())?;
    let lines = found.map.lines.iter().map(|line| {
        let points = line.points.iter();
        points.map(|p| (p.flow_kg_s, p.pressure_ratio)).collect()
    });
    let marked: Vec<f64> = trace.islands.iter().map(|i| i.efficiency).collect();
    Ok(Over {
        lines: lines.collect(),
        contours: contours_at(&made, &marked),
        fit: found,
    })
}

/// The turbocharger that comes of a tracing, and what there is to tell of it.
fn own_of(desk: Desk, tracing: &Tracing) -> Result<(Turbocharger, String), String> {
    let wheel = desk.wheel.get_untracked();
    let trace = tracing.to_trace(&wheel).map_err(|e| e.to_string())?;
    let found = fit(&trace).map_err(|e| e.to_string())?;
    let before = desk
        .store
        .build
        .with_untracked(|b| b.turbocharger().clone());
    let mut own = as_own(Turbocharger::clone(&before));
    let name = desk.name.get_untracked();
    own.name = match name.trim() {
        "" => "Traced".to_owned(),
        name => name.chars().take(40).collect(),
    };
    own.compressor.wheel = wheel;
    own.compressor.map = found.map.clone();
    let how_well = residuals(&found, tracing);
    own.notes = format!(
        "Map traced from a picture. {how_well} Turbine, housings and connections as those of {}.",
        before.name
    );
    own.check().map_err(|e| e.to_string())?;
    let told = format!(
        "“{}” is fitted to this build with the traced map: {} speed lines. {how_well}",
        own.name,
        found.map.lines.len()
    );
    Ok((own, told))
}

/// How far what was marked lies from the fitted map.
fn residuals(found: &MapFit, tracing: &Tracing) -> String {
    let unit = tracing.unit().ok();
    let factor = unit.map_or(1.0, |unit| flow_factor(unit, tracing.reference));
    let symbol = unit.map_or("kg/s", |unit| unit.symbol);
    let decimals = unit.map_or(4, |unit| usize::from(unit.decimals) + 1);
    let total = &found.total;
    let worst = |r: &map_fit::Residual| r.worst.map_or(0.0, |w| w.value.abs());
    let efficiency = match found.efficiency_estimated {
        true => "Efficiency is estimated from the wheel’s sizes, ±2.5 points.".to_owned(),
        false => format!(
            "Efficiency {:.1} points rms, {:.1} at worst.",
            100.0 * total.efficiency.root_mean_square(),
            100.0 * worst(&total.efficiency)
        ),
    };
    format!(
        "Off the marked spots by {:.2} % of the axes rms, {:.2} % at worst; in flow {:.decimals$} {symbol} rms, {:.decimals$} at worst; in pressure ratio {:.3} rms, {:.3} at worst. {efficiency}",
        100.0 * total.distance.root_mean_square(),
        100.0 * worst(&total.distance),
        total.flow.root_mean_square() / factor,
        worst(&total.flow) / factor,
        total.pressure_ratio.root_mean_square(),
        worst(&total.pressure_ratio),
    )
}

/// What a press does, and the value of what it marks.
fn hands(desk: Desk) -> AnyView {
    let choices = list(Hand::ALL.map(|hand| {
        let chosen = move || desk.hand.get() == hand;
        let choose = move || {
            desk.hand.set(hand);
            desk.picked.set(None);
            if matches!(hand, Hand::Speed | Hand::Island) && desk.meaning_untracked().is_none() {
                desk.ask_for_value();
            } else {
                desk.told.set(String::new());
            }
        };
        view! {
            <button type="button" class="small" data-hand=hand.label() aria-pressed=words(move || chosen().to_string())
                on:click=press(choose)>{hand.label()}</button>
        }
        .into_any()
    }));
    let value = live(move || {
        let (label, unit, island) = match desk.hand.get() {
            Hand::Speed => ("Speed of the line", "rev/min", false),
            Hand::Island => ("Efficiency of the island", "%", true),
            // Its room stays, so that the picture does not move under the finger.
            _ => return view! { <div class="value-of"></div> }.into_any(),
        };
        let now = desk
            .value
            .with_untracked(|v| if island { v.1.clone() } else { v.0.clone() });
        let take: Box<dyn FnMut(web_sys::Event)> = Box::new(move |event| {
            let text = event_target_value(&event);
            desk.value.update(|v| {
                if island {
                    v.1 = text;
                } else {
                    v.0 = text;
                }
            });
        });
        view! {
            <label class="value-of">
                <span>{label}</span>
                <input data-value="" type="text" inputmode="decimal" autocomplete="off" node_ref=desk.value_input value=now on:input=take/>
                <span class="unit">{unit}</span>
            </label>
        }
        .into_any()
    });
    view! {
        <div class="marking" role="group" aria-label="A tap on the picture">{choices}</div>
        {value}
    }
    .into_any()
}

/// Opens a picture from a file; pasted and dropped ones come by the page's own events.
fn opening(desk: Desk) -> AnyView {
    let picker = NodeRef::<Input>::new();
    let take: Box<dyn FnMut(web_sys::Event)> = Box::new(move |_| {
        if let Some(input) = picker.get_untracked() {
            if let Some(file) = input.files().and_then(|f| f.get(0)) {
                let name = file.name();
                load::take(desk, file.into(), name);
            }
            input.set_value("");
        }
    });
    let pick = move || {
        if let Some(input) = picker.get_untracked() {
            input.click();
        }
    };
    view! {
        <input class="unseen" tabindex="-1" aria-hidden="true" type="file" accept="image/png,image/jpeg,image/webp,image/*" data-map-picture=""
            node_ref=picker on:change=take/>
        <button type="button" class="small" data-act="open-picture" on:click=press(pick)>"Open a picture"</button>
        <button type="button" class="small" data-act="paste-picture" on:click=press(move || load::paste(desk))>"Paste"</button>
    }
    .into_any()
}

/// The place where a map is traced.
#[component]
pub fn Trace() -> AnyView {
    let store = use_store();
    let desk = Desk::new(store);
    let pasted = window_event_listener(leptos::ev::paste, move |event| {
        if let Some(file) = load::of_transfer(event.clipboard_data()) {
            event.prevent_default();
            load::take(desk, file.into(), "The pasted picture".to_owned());
        }
    });
    let over = window_event_listener(leptos::ev::dragover, |event| event.prevent_default());
    let dropped = window_event_listener(leptos::ev::drop, move |event| {
        event.prevent_default();
        if let Some(file) = load::of_transfer(event.data_transfer()) {
            let name = file.name();
            load::take(desk, file.into(), name);
        }
    });
    let keys = window_event_listener(leptos::ev::keydown, move |event| {
        if event.key() == "Escape" {
            desk.told.set(String::new());
        }
    });
    on_cleanup(move || {
        pasted.remove();
        over.remove();
        dropped.remove();
        keys.remove();
    });
    let there = Memo::new(move |_| desk.tracing.with(Option::is_some));
    let able = move |act: fn(Desk),
                     enabled: fn(Desk) -> bool,
                     name: &'static str,
                     label: &'static str,
                     said: &'static str| {
        view! {
            <button type="button" class="small" data-act=name aria-label=said disabled=Signal::derive(move || !enabled(desk))
                on:click=press(move || act(desk))>{label}</button>
        }
        .into_any()
    };
    let tools = perhaps(move || {
        there.get().then(|| {
            list([
                able(
                    |d| d.undo(false),
                    |d| d.can.get().0,
                    "trace-undo",
                    "Undo",
                    "Undo",
                ),
                able(
                    |d| d.undo(true),
                    |d| d.can.get().1,
                    "trace-redo",
                    "Redo",
                    "Redo",
                ),
                able(
                    Desk::remove_picked,
                    |d| matches!(d.picked.get(), Some(Grip::Spot(..))),
                    "remove-spot",
                    "Remove spot",
                    "Remove spot: the one that was marked or picked last",
                ),
                able(
                    |d| {
                        let (w, h) = d.size.get_untracked();
                        d.enlarged(board::ENLARGE, (0.5 * w, 0.5 * h));
                    },
                    |_| true,
                    "enlarge",
                    "+",
                    "Enlarge",
                ),
                able(
                    |d| {
                        let (w, h) = d.size.get_untracked();
                        d.enlarged(1.0 / board::ENLARGE, (0.5 * w, 0.5 * h));
                    },
                    |_| true,
                    "reduce",
                    "−",
                    "Make smaller",
                ),
                able(
                    Desk::show_whole,
                    |_| true,
                    "whole",
                    "Whole",
                    "Show the whole picture",
                ),
            ])
        })
    });
    let status = words(move || {
        let told = desk.told.get();
        if !told.is_empty() {
            return told;
        }
        if !there.get() {
            return String::new();
        }
        desk.fit.with(|fit| match fit {
            Fitted::Not(why) => why.clone(),
            Fitted::Map(over) => desk.tracing.with_untracked(|tracing| {
                let how_well = tracing.as_ref().map(|t| residuals(&over.fit, t));
                format!("Green is the fitted map. {}", how_well.unwrap_or_default())
            }),
        })
    });
    let work = perhaps(move || {
        there.get().then(|| {
            view! {
                <div class="board-side">
                    {hands(desk)}
                    {board::board(desk)}
                </div>
                <div class="form-side">
                    <p class="residuals" role="status" data-residuals="">{status}</p>
                    <div class="buttons">
                        <button type="button" class="done" data-act="take-map" disabled=Signal::derive(move || desk.fit.with(|f| matches!(f, Fitted::Not(_))))
                            on:click=press(move || desk.take())>"Take this map"</button>
                    </div>
                    {form::form(desk)}
                </div>
            }
            .into_any()
        })
    });
    let before = perhaps(move || {
        (!there.get()).then(|| {
            view! {
                <p>"Open a picture of a compressor map: a PNG, a JPEG or a WebP, a photograph too, taken as straight as you can. It may be turned or at an angle; the four corners put that right. A lens that bends straight lines is not."</p>
                <p role="status" data-residuals="">{words(move || desk.told.get())}</p>
            }
            .into_any()
        })
    });
    view! {
        <main class="trace">
            <header>
                <h2>"A map from a picture"</h2>
                <button type="button" class="small" data-act="leave-tracing" on:click=press(move || store.go(Place::Match))>"Back"</button>
            </header>
            <div class="buttons">{opening(desk)} {tools}</div>
            {before}
            <div class="tracing-work">{work}</div>
            <p class="quiet">"The picture stays on this device: it is in no link and in no file, and is gone when the page is closed. What you marked is kept, and comes back with a picture of the same size."</p>
        </main>
    }
    .into_any()
}
