//! At most one drawing in an animation frame: plots say that they are out of date and are drawn
//! together.
//!
//! The first change in a frame is drawn as soon as everything that follows from it is known, so
//! that the next refresh of the screen shows it; what changes again before that refresh waits for
//! the next frame.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsCast;

/// From an input event to the frame that shows its effect, in the browser's performance log.
const INPUT_TO_PAINT: &str = "airpath: input to paint";
/// Measures are dropped after this many, so that a long session does not fill the log.
const MOST_MEASURES: u32 = 2000;

/// A plot that can be out of date.
struct Plot {
    stale: Rc<Cell<bool>>,
    draw: Rc<dyn Fn()>,
}

thread_local! {
    static PLOTS: RefCell<Vec<Plot>> = const { RefCell::new(Vec::new()) };
    /// A drawing is on its way.
    static ASKED: Cell<bool> = const { Cell::new(false) };
    /// Drawn since the last refresh of the screen.
    static DRAWN: Cell<bool> = const { Cell::new(false) };
    static INPUT_AT: Cell<Option<f64>> = const { Cell::new(None) };
    static MEASURED: Cell<u32> = const { Cell::new(0) };
}

/// Milliseconds since the page began to load.
pub fn now() -> f64 {
    leptos::prelude::window()
        .performance()
        .map_or(0.0, |p| p.now())
}

/// Notes that what came in at `at` milliseconds has an effect that is still to be painted.
pub fn input_came(at: f64) {
    INPUT_AT.with(|first| first.set(first.get().or(Some(at))));
}

/// Registers a plot; the handle that is returned marks it out of date.
pub fn register(draw: Rc<dyn Fn()>) -> impl Fn() + Clone {
    let stale = Rc::new(Cell::new(false));
    let handle = stale.clone();
    PLOTS.with(|plots| {
        let mut plots = plots.borrow_mut();
        // A plot that nobody can mark any more has left the page.
        plots.retain(|p| Rc::strong_count(&p.stale) > 1);
        plots.push(Plot { stale, draw });
    });
    move || {
        handle.set(true);
        ask();
    }
}

fn ask() {
    if ASKED.with(|asked| asked.replace(true)) {
        return;
    }
    if DRAWN.with(Cell::get) {
        leptos::prelude::request_animation_frame(paint);
    } else {
        // Twice round the queue of what is about to run: everything else that follows from the
        // change comes first.
        leptos::prelude::queue_microtask(|| leptos::prelude::queue_microtask(paint));
    }
}

fn paint() {
    ASKED.with(|asked| asked.set(false));
    if !DRAWN.with(|drawn| drawn.replace(true)) {
        leptos::prelude::request_animation_frame(|| DRAWN.with(|drawn| drawn.set(false)));
    }
    let due: Vec<Rc<dyn Fn()>> = PLOTS.with(|plots| {
        plots
            .borrow()
            .iter()
            .filter(|p| p.stale.replace(false))
            .map(|p| p.draw.clone())
            .collect()
    });
    let began = now();
    for draw in due {
        draw();
    }
    measure("airpath: draw", began, now());
    if let Some(at) = INPUT_AT.with(Cell::take) {
        measure(INPUT_TO_PAINT, at, now());
    }
}

/// Writes a measure into the browser's performance log.
pub fn measure(name: &str, from: f64, to: f64) {
    let Some(performance) = leptos::prelude::window().performance() else {
        return;
    };
    let count = MEASURED.with(|m| m.replace(m.get() + 1));
    if count >= MOST_MEASURES {
        performance.clear_measures();
        MEASURED.with(|m| m.set(0));
    }
    // `measure(name, { start, end })` (User Timing level 3); web-sys has the older form only.
    let options = js_sys::Object::new();
    let set = |key: &str, value: f64| {
        js_sys::Reflect::set(&options, &key.into(), &value.into()).unwrap_or(false)
    };
    if set("start", from) && set("end", to) {
        let method = js_sys::Reflect::get(&performance, &"measure".into());
        if let Some(method) = method
            .ok()
            .and_then(|m| m.dyn_into::<js_sys::Function>().ok())
        {
            let _ = method.call2(&performance, &name.into(), &options);
        }
    }
}
