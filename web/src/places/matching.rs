//! The match: the answer, the plots on one engine speed, and the parts that can be changed.

use crate::parts::answer::{AnswerBlock, Spoken, Strip, composed};
use crate::parts::canvas::CanvasPlot;
use crate::parts::figure::Figure;
use crate::parts::in_turn::in_turn;
use crate::parts::part::PartFields;
use crate::parts::room::Room;
use crate::parts::shapes::{perhaps, press, whether, words};
use crate::parts::slide::Slide;
use crate::parts::tables::{map_table, traces_table, way_table};
use crate::parts::way::{PartButtons, WayPlot};
use crate::parts::working::{WorkingSheet, all_numbers_button};
use crate::plots::geometry::Point;
use crate::plots::map::{MapFrame, MapScene};
use crate::plots::pen::Pen;
use crate::plots::traces::{TraceScene, largest_shaft_speed};
use crate::plots::{map, traces};
use crate::show::speed;
use crate::store::{Solved, use_store};
use airpath::fields::Part;
use leptos::prelude::*;
use std::rc::Rc;

/// Everything that the canvases are drawn from.
fn depends() {
    let store = use_store();
    store.solved.track();
    store.cursor.track();
    store.units.track();
    store.palette.track();
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

fn pick_on_map(point: Point, size: (f64, f64)) {
    go_to(with_solved(|s| {
        MapFrame::new(&s.shape, &s.found, size).nearest(&s.found, point)
    }));
}

fn pick_on_traces(point: Point, size: (f64, f64)) {
    go_to(with_solved(|s| traces::nearest(&s.found, size.0, point.0)));
}

fn map_plot() -> AnyView {
    let store = use_store();
    let draw = move |pen: &mut Pen| {
        store.solved.with_untracked(|solved| {
            let Some(solved) = solved else { return };
            let palette = store.palette.get_untracked();
            map::draw(
                pen,
                &MapScene {
                    shape: &solved.shape,
                    found: &solved.found,
                    cursor: store.cursor.get_untracked(),
                    units: store.units.get_untracked(),
                    palette: &palette,
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
    view! { <CanvasPlot name="map" spoken draw=Rc::new(draw) depends pick=pick_on_map/> }.into_any()
}

fn traces_plot() -> AnyView {
    let store = use_store();
    let draw = move |pen: &mut Pen| {
        store.solved.with_untracked(|solved| {
            let Some(solved) = solved else { return };
            let palette = store.palette.get_untracked();
            traces::draw(
                pen,
                &TraceScene {
                    found: &solved.found,
                    cursor: store.cursor.get_untracked(),
                    units: store.units.get_untracked(),
                    palette: &palette,
                    largest_shaft_speed: largest_shaft_speed(&solved.found),
                },
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
    view! { <CanvasPlot name="traces" spoken draw=Rc::new(draw) depends pick=pick_on_traces/> }
        .into_any()
}

/// The match.
#[component]
pub fn Matching() -> AnyView {
    let store = use_store();
    let said = composed();
    let away = RwSignal::new(false);
    let at = Memo::new(move |_| {
        let cursor = store.cursor.get();
        store.solved.with(|s| {
            let report = s.as_ref().and_then(|s| s.found.speeds.get(cursor));
            report
                .map(|r| speed(r.engine_speed_rev_min, 10.0))
                .unwrap_or_default()
        })
    });
    let editing = move || store.part.get().is_some();
    let reading = move || store.working.with(Option::is_some);
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
                <div class="plots">
                    <Figure name="map" title="Where it runs on the compressor" note="" plot=map_plot() table=map_table/>
                    <Figure name="traces" title="Traces over engine speed" note="" plot=traces_plot() table=traces_table/>
                    <Room/>
                    <Figure
                        name="way"
                        title="The air’s way"
                        note=words(move || format!("at {} rev/min: height is absolute pressure, colour is temperature", at.get()))
                        plot=view! { <WayPlot/> }.into_any()
                        table=way_table
                    />
                    <div class="more">{all_numbers_button()}</div>
                    <PartButtons/>
                </div>
                <div class="inputs">
                    {in_turn(Part::ALL, |part| view! { <PartFields part/> }.into_any())}
                    <nav class="turn" aria-label="Neighbouring parts">
                        {turn(-1)} {turn(1)}
                    </nav>
                </div>
            </main>
            <WorkingSheet/>
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
