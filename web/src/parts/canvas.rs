//! A plot on a canvas: its size, its frame, and the pointer on it.

use crate::plots::frame;
use crate::plots::geometry::Point;
use crate::plots::pen::Pen;
use leptos::html::{Canvas, Div};
use leptos::prelude::*;
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// Keeps `size` at the inner size of an element, CSS pixels.
pub fn watch_size(element: &web_sys::Element, size: RwSignal<(f64, f64)>) {
    let changed = Closure::<dyn FnMut(js_sys::Array)>::new(move |entries: js_sys::Array| {
        for entry in entries.iter() {
            if let Ok(entry) = entry.dyn_into::<web_sys::ResizeObserverEntry>() {
                let rect = entry.content_rect();
                let now = (rect.width(), rect.height());
                // What has left the page is told of its last size when its signal is gone.
                if size.try_get_untracked().is_some_and(|before| before != now) {
                    size.set(now);
                }
            }
        }
    });
    if let Ok(observer) = web_sys::ResizeObserver::new(changed.as_ref().unchecked_ref()) {
        observer.observe(element);
        // It is let go with the page: there are few of them.
        changed.forget();
    }
}

/// A canvas that is drawn when `depends` reads a signal that changes, and picked by the pointer.
#[component]
pub fn CanvasPlot(
    /// Its `data-plot`.
    name: &'static str,
    /// What it says, for a reader who does not see it.
    #[prop(into)]
    spoken: Signal<String>,
    /// Draws it.
    draw: Rc<dyn Fn(&mut Pen)>,
    /// Reads every signal that it is drawn from.
    depends: fn(),
    /// Takes a point that was pressed or dragged to, and the plot's size.
    pick: fn(Point, (f64, f64)),
) -> AnyView {
    let frame_ref = NodeRef::<Div>::new();
    let canvas_ref = NodeRef::<Canvas>::new();
    let size = RwSignal::new((0.0, 0.0));
    let mark = frame::register(Rc::new(move || {
        // It may have left the page since it was marked out of date.
        let Some(canvas) = canvas_ref.try_get_untracked().flatten() else {
            return;
        };
        let ratio = window().device_pixel_ratio();
        if let Some(mut pen) = Pen::new(&canvas, size.get_untracked(), ratio) {
            draw(&mut pen);
        }
    }));
    Effect::new(move |_| {
        if let Some(element) = frame_ref.get() {
            watch_size(&element, size);
        }
    });
    Effect::new(move |_| {
        size.get();
        depends();
        mark();
    });

    let pressed = Rc::new(Cell::new(false));
    let (down, moved) = (pressed.clone(), pressed.clone());
    let at = move |event: &web_sys::PointerEvent| {
        pick(
            (f64::from(event.offset_x()), f64::from(event.offset_y())),
            size.get_untracked(),
        );
    };
    view! {
        <div class=format!("canvas {name}") node_ref=frame_ref>
            <canvas
                node_ref=canvas_ref
                data-plot=name
                role="img"
                aria-label=spoken
                on:pointerdown=move |event| {
                    down.set(true);
                    if let Some(canvas) = canvas_ref.get_untracked() {
                        let _ = canvas.set_pointer_capture(event.pointer_id());
                    }
                    at(&event);
                }
                on:pointermove=move |event| {
                    if moved.get() {
                        at(&event);
                    }
                }
                on:pointerup={
                    let pressed = pressed.clone();
                    move |_| pressed.set(false)
                }
                on:pointercancel=move |_| pressed.set(false)
            ></canvas>
        </div>
    }
    .into_any()
}
