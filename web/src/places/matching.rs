//! The match: the answer, the plots on one engine speed, and the parts that can be changed.

use crate::later;
use crate::parts::answer::{AnswerBlock, Spoken, Strip, composed};
use crate::parts::canvas::{CanvasPlot, Zoom};
use crate::parts::figure::Figure;
use crate::parts::hint::hint;
use crate::parts::in_turn::in_turn;
use crate::parts::room::Room;
use crate::parts::shapes::{perhaps, press, whether, words};
use crate::parts::slide::Slide;
use crate::parts::way::{PartButtons, WayPlot};
use crate::parts::when_near::when_near;
use crate::parts::working::all_numbers_button;
use crate::plots::geometry::Point;
use crate::plots::map::{Looking, MapFrame, MapScene};
use crate::plots::map_shape::MapSpot;
use crate::plots::pen::Pen;
use crate::plots::traces::{TraceScene, largest_shaft_speed, speed_axis};
use crate::plots::{map, traces};
use crate::show::speed;
use crate::store::{Solved, use_store};
use airpath::fields::Part;
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use std::rc::Rc;
use std::time::Duration;

/// How long after the last key a reading of the map is told.
const TOLD_AFTER: Duration = Duration::from_millis(500);

/// Width and height, CSS pixels.
type Size = (f64, f64);

/// Everything that the canvases are drawn from.
fn depends() {
    let store = use_store();
    store.solved.track();
    store.cursor.track();
    store.units.track();
    store.palette.track();
    store.likely.track();
}

fn with_solved<T: Default>(take: impl FnOnce(&Solved) -> T) -> T {
    use_store()
        .solved
        .with_untracked(|s| s.as_ref().map(|s| take(s)).unwrap_or_default())
}

/// Moves the cursor to one of the match's speeds.
fn go_to(index: Option<usize>) {
    let rev_min = with_solved(|s| {
        index
            .and_then(|i| s.found.speeds.get(i))
            .map(|r| r.engine_speed_rev_min)
    });
    if let Some(rev_min) = rev_min {
        use_store().move_cursor(rev_min);
    }
}

/// The map's axes as they are seen.
fn map_frame(solved: &Solved, size: Size) -> MapFrame {
    let view = use_store().seen.map.get_untracked();
    MapFrame::of_view(&solved.shape, &solved.found, size, &view)
}

fn pick_on_map(point: Point, size: Size) {
    go_to(with_solved(|s| map_frame(s, size).nearest(&s.found, point)));
}

/// Where the cursor runs on the map.
fn running(solved: &Solved) -> Option<MapSpot> {
    let report = solved
        .found
        .speeds
        .get(use_store().cursor.get_untracked())?;
    Some((report.corrected_flow_kg_s, report.pressure_ratio))
}

fn home_on_map(size: Size) -> Option<Point> {
    with_solved(|s| Some(map_frame(s, size).at(running(s)?)))
}

fn read_on_map(point: Point, size: Size) -> Option<MapSpot> {
    with_solved(|s| Some(map_frame(s, size).spot(point)))
}

/// The arrow keys read the map at a spot, from where the engine runs; Enter goes to the engine
/// speed nearest to it.
fn key_on_map(key: &str, shift: bool, size: Size) -> bool {
    let spot = use_store().seen.spot;
    let step = if shift { 0.1 } else { 0.02 };
    let (across, up) = match key {
        "ArrowRight" => (step, 0.0),
        "ArrowLeft" => (-step, 0.0),
        "ArrowUp" => (0.0, step),
        "ArrowDown" => (0.0, -step),
        "Enter" => {
            if let Some(at) = spot.get_untracked() {
                let point = with_solved(|s| Some(map_frame(s, size).at(at)));
                if let Some(point) = point {
                    pick_on_map(point, size);
                }
            }
            return true;
        }
        _ => return false,
    };
    let next = with_solved(|s| {
        let from = spot.get_untracked().or_else(|| running(s))?;
        Some(map_frame(s, size).moved(from, across, up))
    });
    spot.set(next);
    true
}

fn pick_on_traces(point: Point, size: Size) {
    let view = use_store().seen.traces.get_untracked();
    go_to(with_solved(|s| {
        traces::nearest(&s.found, size.0, point.0, &view)
    }));
}

fn home_on_traces(size: Size) -> Option<Point> {
    let store = use_store();
    with_solved(|s| {
        let report = s.found.speeds.get(store.cursor.get_untracked())?;
        let axis = speed_axis(&s.found, size.0, &store.seen.traces.get_untracked());
        Some((axis.at(report.engine_speed_rev_min), size.1 / 2.0))
    })
}

/// The keys of the slide, on the traces.
fn key_on_traces(key: &str, _shift: bool, _size: Size) -> bool {
    let store = use_store();
    let to = with_solved(|s| {
        let (low, high) = traces::ends(&s.found);
        let by = |least: f64| {
            let from = store.engine_speed.get_untracked();
            Some(crate::cursor::step(&s.found, from, least))
        };
        match key {
            "ArrowRight" | "ArrowUp" => by(50.0),
            "ArrowLeft" | "ArrowDown" => by(-50.0),
            "PageUp" => by(500.0),
            "PageDown" => by(-500.0),
            "Home" => Some(low),
            "End" => Some(high),
            _ => None,
        }
    });
    if let Some(to) = to {
        store.move_cursor(to);
    }
    to.is_some()
}

/// Keeps the cursor in view of the traces: the view follows it, never the other way round.
fn follow_cursor() {
    let store = use_store();
    Effect::new(move |_| {
        let cursor = store.cursor.get();
        let view = store.seen.traces.get_untracked();
        let share = with_solved(|s| {
            let (low, high) = traces::ends(&s.found);
            let at = s.found.speeds.get(cursor)?.engine_speed_rev_min;
            Some((at - low) / (high - low))
        });
        let (from, to) = view.across;
        if let Some(share) = share.filter(|_| !view.is_whole()) {
            let beyond = (share - to).max(0.0) + (share - from).min(0.0);
            if beyond != 0.0 {
                store.seen.traces.set(view.moved(beyond / (to - from), 0.0));
            }
        }
    });
}

/// What is read at the spot: shown above the map, and told once keys rest.
fn map_reading() -> AnyView {
    let store = use_store();
    let read = Memo::new(move |_| {
        let (spot, units) = (store.seen.spot.get()?, store.units.get());
        store.solved.track();
        store.with_map(|map| map::reading(spot, map, units))
    });
    let told = RwSignal::new(String::new());
    let timer: StoredValue<Option<TimeoutHandle>> = StoredValue::new(None);
    Effect::new(move |_| {
        let text = read.get().map(|r| r.1).unwrap_or_default();
        // A mouse that only points is not followed by word of mouth.
        let has_keyboard = matches!(
            document().query_selector("canvas[data-plot=map]:focus-visible"),
            Ok(Some(_))
        );
        timer.update_value(|timer| {
            if let Some(timer) = timer.take() {
                timer.clear();
            }
            if has_keyboard {
                *timer = set_timeout_with_handle(move || told.set(text), TOLD_AFTER).ok();
            }
        });
    });
    view! {
        <p class="read-off" aria-hidden="true" hidden=whether(move || read.with(Option::is_none))>
            {words(move || read.get().map(|r| r.0).unwrap_or_default())}
        </p>
        <div class="unseen" role="status" data-told="map">{told}</div>
    }
    .into_any()
}

fn map_plot() -> AnyView {
    let store = use_store();
    let draw = move |pen: &mut Pen| {
        store.solved.with_untracked(|solved| {
            let Some(solved) = solved else { return };
            let palette = store.palette.get_untracked();
            map::draw_as_seen(
                pen,
                &MapScene {
                    shape: &solved.shape,
                    found: &solved.found,
                    cursor: store.cursor.get_untracked(),
                    units: store.units.get_untracked(),
                    palette: &palette,
                },
                &Looking {
                    view: store.seen.map.get_untracked(),
                    spot: store.seen.spot.get_untracked(),
                },
            );
        });
    };
    let spoken = Memo::new(move |_| {
        let (cursor, units) = (store.cursor.get(), store.units.get());
        store.solved.with(|s| {
            s.as_ref()
                .map(|s| map::spoken(&s.found, cursor, units))
                .unwrap_or_default()
        })
    });
    let zoom = Zoom {
        view: store.seen.map,
        both: true,
        spot: Some(store.seen.spot),
        inside: map::inside,
        home: home_on_map,
        read: read_on_map,
        key: key_on_map,
        value: None,
        title: "Compressor map",
    };
    view! {
        <div class="with-reading">
            <CanvasPlot name="map" spoken draw=Rc::new(draw) depends=Rc::new(depends) pick=pick_on_map zoom/>
            {map_reading()}
        </div>
    }
    .into_any()
}

fn traces_plot() -> AnyView {
    let store = use_store();
    let draw = move |pen: &mut Pen| {
        store.solved.with_untracked(|solved| {
            let Some(solved) = solved else { return };
            let palette = store.palette.get_untracked();
            traces::draw_as_seen(
                pen,
                &TraceScene {
                    found: &solved.found,
                    cursor: store.cursor.get_untracked(),
                    units: store.units.get_untracked(),
                    palette: &palette,
                    largest_shaft_speed: largest_shaft_speed(&solved.found),
                    likely: store.likely.get_untracked(),
                },
                &store.seen.traces.get_untracked(),
            );
        });
    };
    let spoken = Memo::new(move |_| {
        let (cursor, units) = (store.cursor.get(), store.units.get());
        store.solved.with(|s| {
            s.as_ref()
                .map(|s| traces::spoken(&s.found, cursor, units))
                .unwrap_or_default()
        })
    });
    follow_cursor();
    let value = Signal::derive(move || {
        let at = store.engine_speed.get();
        store.solved.with(|s| {
            s.as_ref().map_or((0.0, at, at), |s| {
                let (low, high) = traces::ends(&s.found);
                (low, at, high)
            })
        })
    });
    let zoom = Zoom {
        view: store.seen.traces,
        both: false,
        spot: None,
        inside: traces::inside,
        home: home_on_traces,
        read: |_, _| None,
        key: key_on_traces,
        value: Some(value),
        title: "Traces: engine speed, rev/min",
    };
    view! { <CanvasPlot name="traces" spoken draw=Rc::new(draw) depends=Rc::new(depends) pick=pick_on_traces zoom/> }
        .into_any()
}

/// What follows the answer, piece by piece in the order of reading.
fn plot(which: u8) -> AnyView {
    let store = use_store();
    let at = move || {
        let cursor = store.cursor.get();
        store.solved.with(|s| {
            let report = s.as_ref().and_then(|s| s.found.speeds.get(cursor));
            report
                .map(|r| speed(r.engine_speed_rev_min, 10.0))
                .unwrap_or_default()
        })
    };
    match which {
        0 => view! { <Figure name="map" title="Where it runs on the compressor" note="" plot=map_plot() table=later::map_table/> }.into_any(),
        1 => view! { <Figure name="traces" title="Traces over engine speed" note="" plot=traces_plot() table=later::traces_table/> }.into_any(),
        2 => view! { <Room/> }.into_any(),
        3 => when_near("slot slot-spool", later::spool),
        4 => when_near("slot slot-pull", later::pull),
        5 => view! {
            <Figure
                name="way"
                title="The air’s way"
                note=words(move || format!("at {} rev/min: height is absolute pressure, colour is temperature", at()))
                plot=view! { <WayPlot/> }.into_any()
                table=later::way_table
            />
        }
        .into_any(),
        6 => view! { <div class="more">{all_numbers_button()}</div> }.into_any(),
        _ => view! { <PartButtons/> }.into_any(),
    }
}

/// The match.
#[component]
pub fn Matching() -> AnyView {
    let store = use_store();
    let said = composed();
    let away = RwSignal::new(false);
    let editing = move || store.part.get().is_some();
    let reading = move || store.working.with(Option::is_some);
    // Once it was opened it stays, and remembers what opened it.
    let opened = Memo::new(move |before| before == Some(&true) || reading());
    let neighbour = move |step: isize| {
        let part = store.part.get()?;
        let at = Part::ALL.iter().position(|p| *p == part)? as isize + step;
        Part::ALL.get(usize::try_from(at).ok()?).copied()
    };
    let turn = move |step: isize| {
        perhaps(move || {
            let part = neighbour(step)?;
            let (class, label) = if step < 0 {
                ("", format!("‹ {}", part.label()))
            } else {
                ("next", format!("{} ›", part.label()))
            };
            let go = press(move || store.part.set(Some(part)));
            Some(
                view! { <button type="button" class=class on:click=go>{label}</button> }.into_any(),
            )
        })
    };
    let done = move || {
        let part = store.part.get_untracked();
        store.left_field();
        store.part.set(None);
        // Back to the button that opened it.
        if let Some(part) = part {
            let button = format!("[data-part={}]", part.label().to_lowercase());
            if let Ok(Some(button)) = document().query_selector(&button)
                && let Ok(button) = wasm_bindgen::JsCast::dyn_into::<web_sys::HtmlElement>(button)
            {
                request_animation_frame(move || {
                    button.scroll_into_view();
                    let _ = button.focus();
                });
            }
        }
    };
    view! {
        <div class="match" class:editing=whether(editing) class:reading=whether(reading)>
            <Strip said away/>
            <main>
                <AnswerBlock said away/>
                <div class="slot-sure">{later::sure()}</div>
                {hint()}
                <div class="plots">
                    {in_turn(0..8, plot)}
                </div>
                <div class="inputs">
                    {later::inputs()}
                    <nav class="turn" aria-label="Neighbouring parts">
                        {turn(-1)} {turn(1)}
                    </nav>
                </div>
            </main>
            {perhaps(move || opened.get().then(later::working))}
            <section class="dock" aria-label="Engine speed and undo">
                <Slide/>
                <div class="sheet-buttons">
                    <button type="button" data-act="undo" disabled=whether(move || !store.can.get().0 && store.faults.with(Vec::is_empty)) on:click=press(move || store.undo())>"Undo"</button>
                    <button type="button" data-act="redo" disabled=whether(move || !store.can.get().1) on:click=press(move || store.redo())>"Redo"</button>
                    <button type="button" class="done" on:click=press(done)>"Done"</button>
                </div>
            </section>
            <Spoken said/>
        </div>
    }
    .into_any()
}
