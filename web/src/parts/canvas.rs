//! A plot on a canvas: its size, its frame, and the hand on it: mouse, fingers, keys.
//!
//! One finger moves the shared engine speed and leaves scrolling up and down to the page; two
//! fingers zoom; a finger that rests reads values, as a mouse does that only points.

use super::keys;
use super::picture;
use super::shapes::{perhaps, press};
use crate::plots::frame;
use crate::plots::geometry::{Point, Rect};
use crate::plots::pen::Pen;
use crate::plots::view::{STEP, View};
use leptos::html::{Canvas, Div};
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{KeyboardEvent, PointerEvent, TouchEvent, WheelEvent};

/// A finger that rests this long reads values.
const LONG_PRESS: Duration = Duration::from_millis(450);
/// A second tap within this many milliseconds and pixels zooms in.
const DOUBLE: (f64, f64) = (320.0, 28.0);
/// A finger that has moved less has not moved, CSS pixels.
const STILL: f64 = 7.0;
/// The cursor is taken up within this many CSS pixels.
const REACH: f64 = 26.0;

/// Width and height, CSS pixels.
type Size = (f64, f64);

/// Keeps `size` at the inner size of an element, CSS pixels.
pub fn watch_size(element: &web_sys::Element, size: RwSignal<Size>) {
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

/// How a plot is zoomed, read and stepped through.
#[derive(Clone, Copy)]
pub struct Zoom {
    /// What is in view.
    pub view: RwSignal<View>,
    /// Whether it zooms up and down too, not only across.
    pub both: bool,
    /// The spot that is read, in the plot's own quantities, if it can be read.
    pub spot: Option<RwSignal<Option<(f64, f64)>>>,
    /// The box between the axes.
    pub inside: fn(Size) -> Rect,
    /// Where the cursor stands.
    pub home: fn(Size) -> Option<Point>,
    /// The spot under a point.
    pub read: fn(Point, Size) -> Option<(f64, f64)>,
    /// Takes a key (with Shift or not); whether it was one of its own.
    pub key: fn(&str, bool, Size) -> bool,
    /// The least, the present and the largest value, of a plot that is a slide for its reader.
    pub value: Option<Signal<(f64, f64, f64)>>,
    /// What it is called.
    pub title: &'static str,
}

impl Zoom {
    /// Shares of what is in view, from the left and from the bottom.
    fn share(&self, point: Point, size: Size) -> (f64, f64) {
        let place = (self.inside)(size);
        (
            (point.0 - place.x) / place.width,
            1.0 - (point.1 - place.y) / place.height,
        )
    }

    fn set(&self, view: View) {
        let next = if self.both {
            view
        } else {
            View {
                up: View::default().up,
                ..view
            }
        };
        if self.view.get_untracked() != next {
            frame::input_came(frame::now());
            self.view.set(next);
        }
    }

    fn by(&self, factor: f64, about: Point, size: Size) {
        let mut view = self.view.get_untracked();
        let share = self.share(about, size);
        if !self.both {
            // Kept in step, so that all but whole is noticed across alone.
            view.up = view.across;
        }
        self.set(view.zoomed(factor, (share.0, if self.both { share.1 } else { share.0 })));
    }

    fn pan(&self, from: Point, to: Point, size: Size) {
        let place = (self.inside)(size);
        let view = self.view.get_untracked();
        self.set(view.moved(
            (from.0 - to.0) / place.width,
            (to.1 - from.1) / place.height,
        ));
    }

    fn grabs(&self, point: Point, size: Size) -> bool {
        (self.home)(size).is_some_and(|home| {
            (home.0 - point.0).abs() < REACH && (!self.both || (home.1 - point.1).abs() < REACH)
        })
    }

    fn read_at(&self, point: Point, size: Size) {
        if let Some(spot) = self.spot {
            let place = (self.inside)(size);
            let read = place
                .grown(6.0)
                .holds(point)
                .then(|| (self.read)(point, size));
            spot.set(read.flatten());
        }
    }

    fn forget_spot(&self) {
        if let Some(spot) = self.spot
            && spot.with_untracked(Option::is_some)
        {
            spot.set(None);
        }
    }
}

/// What the hand is doing.
#[derive(Clone, Copy, PartialEq, Default)]
enum Doing {
    #[default]
    Nothing,
    /// A finger is down and has not said what it wants.
    Waiting,
    Cursor,
    Panning,
    Pinching,
    Reading,
}

/// The hand on one plot.
#[derive(Default)]
struct Hand {
    doing: Doing,
    /// Pointers that are down, and where.
    down: Vec<(i32, Point)>,
    start: Point,
    last_tap: Option<(f64, Point)>,
    resting: Option<TimeoutHandle>,
}

impl Hand {
    fn rest_no_more(&mut self) {
        if let Some(timer) = self.resting.take() {
            timer.clear();
        }
    }

    /// Distance and middle of two fingers.
    fn spread(&self) -> Option<(f64, Point)> {
        let [(_, a), (_, b)] = self.down.as_slice() else {
            return None;
        };
        Some((far(*a, *b).max(1.0), ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0)))
    }

    fn is_still(&self, point: Point) -> bool {
        far(self.start, point) < STILL
    }
}

fn far(a: Point, b: Point) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// What happened to a pointer.
#[derive(Clone, Copy, PartialEq)]
enum Event {
    Down,
    Move,
    Up,
    Cancel,
    Leave,
}

type Pick = fn(Point, Size);

/// Follows one pointer.
fn follow(
    hand: &Rc<RefCell<Hand>>,
    what: Event,
    event: &PointerEvent,
    size: Size,
    pick: Pick,
    zoom: Option<Zoom>,
) {
    let point = (f64::from(event.offset_x()), f64::from(event.offset_y()));
    let id = event.pointer_id();
    let mouse = event.pointer_type() == "mouse";
    let mut own = hand.borrow_mut();
    match what {
        Event::Down => {
            own.rest_no_more();
            own.down.retain(|(known, _)| *known != id);
            own.down.push((id, point));
            own.down.truncate(2);
            if own.down.len() == 2 {
                own.doing = if zoom.is_some() {
                    Doing::Pinching
                } else {
                    Doing::Nothing
                };
                return;
            }
            own.start = point;
            let pans =
                zoom.is_some_and(|z| !z.view.get_untracked().is_whole() && !z.grabs(point, size));
            if !mouse {
                own.doing = Doing::Waiting;
                if let Some(zoom) = zoom.filter(|z| z.spot.is_some()) {
                    let later = hand.clone();
                    // A timer runs outside of the page's tree, where the store is not to be had.
                    let owner = Owner::current();
                    let rest = move || {
                        let mut own = later.borrow_mut();
                        if own.doing == Doing::Waiting {
                            own.doing = Doing::Reading;
                            drop(own);
                            if let Some(owner) = &owner {
                                owner.with(|| zoom.read_at(point, size));
                            }
                        }
                    };
                    own.resting = set_timeout_with_handle(rest, LONG_PRESS).ok();
                }
            } else if pans {
                own.doing = Doing::Panning;
            } else {
                own.doing = Doing::Cursor;
                drop(own);
                pick(point, size);
            }
        }
        Event::Move => {
            let before = own.spread();
            let Some(place) = own.down.iter().position(|(known, _)| *known == id) else {
                drop(own);
                // A mouse that only points reads.
                if mouse && let Some(zoom) = zoom {
                    zoom.read_at(point, size);
                }
                return;
            };
            let from = own.down[place].1;
            own.down[place].1 = point;
            if own.doing == Doing::Waiting && !own.is_still(point) {
                own.rest_no_more();
                let start = own.start;
                let pans = zoom
                    .is_some_and(|z| !z.view.get_untracked().is_whole() && !z.grabs(start, size));
                let down_or_up = (point.1 - start.1).abs() > (point.0 - start.0).abs();
                let free = pans && zoom.is_some_and(|z| z.both);
                own.doing = match (down_or_up && !free, pans) {
                    // The page scrolls.
                    (true, _) => Doing::Nothing,
                    (_, true) => Doing::Panning,
                    (_, false) => Doing::Cursor,
                };
            }
            let (doing, after) = (own.doing, own.spread());
            drop(own);
            match (doing, zoom) {
                (Doing::Cursor, _) => pick(point, size),
                (Doing::Panning, Some(zoom)) => zoom.pan(from, point, size),
                (Doing::Reading, Some(zoom)) => zoom.read_at(point, size),
                (Doing::Pinching, Some(zoom)) => {
                    if let (Some((was, middle)), Some((is, to))) = (before, after) {
                        zoom.pan(middle, to, size);
                        zoom.by(is / was, to, size);
                    }
                }
                _ => {}
            }
        }
        Event::Up => {
            own.rest_no_more();
            own.down.retain(|(known, _)| *known != id);
            let doing = own.doing;
            if !own.down.is_empty() {
                return;
            }
            own.doing = Doing::Nothing;
            let tapped = own.is_still(point)
                && !matches!(doing, Doing::Nothing | Doing::Pinching | Doing::Reading);
            if !tapped {
                own.last_tap = None;
                return;
            }
            let now = frame::now();
            let double = own
                .last_tap
                .is_some_and(|(at, place)| now - at < DOUBLE.0 && far(place, point) < DOUBLE.1);
            own.last_tap = (!double).then_some((now, point));
            drop(own);
            if let Some(zoom) = zoom.filter(|_| double) {
                zoom.by(STEP * STEP, point, size);
            } else if doing != Doing::Cursor {
                if let Some(zoom) = zoom.filter(|_| !mouse) {
                    zoom.forget_spot();
                }
                pick(point, size);
            }
        }
        Event::Cancel => {
            own.rest_no_more();
            own.down.clear();
            own.doing = Doing::Nothing;
        }
        Event::Leave => {
            if mouse && own.down.is_empty() {
                drop(own);
                if let Some(zoom) = zoom {
                    zoom.forget_spot();
                }
            }
        }
    }
}

/// A key on a plot that has the keyboard.
fn pressed(event: &KeyboardEvent, size: Size, zoom: Zoom) {
    if event.ctrl_key() || event.meta_key() || event.alt_key() {
        return;
    }
    let place = (zoom.inside)(size);
    let centre = (zoom.home)(size)
        .filter(|home| place.holds(*home))
        .unwrap_or(place.centre());
    match event.key().as_str() {
        "+" | "=" => zoom.by(STEP, centre, size),
        "-" | "−" => zoom.by(1.0 / STEP, centre, size),
        "0" => zoom.set(View::default()),
        "?" => keys::show(),
        "Escape" => {
            zoom.forget_spot();
            return;
        }
        key if (zoom.key)(key, event.shift_key(), size) => {}
        _ => return,
    }
    event.prevent_default();
}

/// The wheel: it zooms with Control held or on a plot that has the keyboard, else the page scrolls.
fn turned(event: &WheelEvent, canvas: &web_sys::Element, size: Size, zoom: Zoom) {
    let has_keyboard = document().active_element().is_some_and(|a| a == *canvas);
    if !(event.ctrl_key() || event.meta_key() || has_keyboard) {
        return;
    }
    event.prevent_default();
    // Lines and pages count for as many pixels as usual; fingers on a pad send small steps.
    let pixels = event.delta_y() * [1.0, 16.0, 400.0][event.delta_mode().min(2) as usize];
    let each = if event.ctrl_key() && pixels.abs() < 40.0 {
        0.01
    } else {
        0.002
    };
    let factor = (-pixels * each).exp().clamp(0.25, 4.0);
    let point = (f64::from(event.offset_x()), f64::from(event.offset_y()));
    zoom.by(factor, point, size);
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
    depends: Rc<dyn Fn()>,
    /// Takes a point that was pressed or dragged to, and the plot's size.
    pick: fn(Point, (f64, f64)),
    /// How it is zoomed, read and stepped through, if it is.
    #[prop(optional)]
    zoom: Option<Zoom>,
) -> AnyView {
    let frame_ref = NodeRef::<Div>::new();
    let canvas_ref = NodeRef::<Canvas>::new();
    let size = RwSignal::new((0.0, 0.0));
    picture::register(name, draw.clone(), size);
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
        if let Some(zoom) = zoom {
            zoom.view.track();
            if let Some(spot) = zoom.spot {
                spot.track();
            }
        }
        mark();
    });

    let hand = Rc::new(RefCell::new(Hand::default()));
    let on = |what: Event| -> Box<dyn FnMut(PointerEvent)> {
        let hand = hand.clone();
        Box::new(move |event: PointerEvent| {
            if what == Event::Down {
                if event.button() != 0 {
                    return;
                }
                if let Some(canvas) = canvas_ref.get_untracked() {
                    let _ = canvas.set_pointer_capture(event.pointer_id());
                }
            }
            follow(&hand, what, &event, size.get_untracked(), pick, zoom);
        })
    };
    // Two fingers, and one that reads, are the plot's: the page must not scroll under them.
    let ours = || -> Box<dyn FnMut(TouchEvent)> {
        let hand = hand.clone();
        Box::new(move |event: TouchEvent| {
            let reading = hand.borrow().doing == Doing::Reading;
            if zoom.is_some() && event.cancelable() && (reading || event.touches().length() > 1) {
                event.prevent_default();
            }
        })
    };
    let key: Box<dyn FnMut(KeyboardEvent)> = Box::new(move |event| {
        if let Some(zoom) = zoom {
            pressed(&event, size.get_untracked(), zoom);
        }
    });
    let wheel: Box<dyn FnMut(WheelEvent)> = Box::new(move |event| {
        if let (Some(zoom), Some(canvas)) = (zoom, canvas_ref.get_untracked()) {
            turned(&event, &canvas, size.get_untracked(), zoom);
        }
    });
    // A finger that rests would open the browser's menu.
    let menu: Box<dyn FnMut(web_sys::MouseEvent)> = Box::new(move |event| {
        if zoom.is_some() {
            event.prevent_default();
        }
    });
    let zoomed = move || zoom.is_some_and(|z| !z.view.get().is_whole());
    let reset = perhaps(move || {
        let whole = move || {
            if let Some(zoom) = zoom {
                zoom.set(View::default());
            }
            if let Some(canvas) = canvas_ref.get_untracked() {
                let _ = canvas.focus();
            }
        };
        zoomed().then(|| {
            view! { <button type="button" class="small reset" data-reset=name on:click=press(whole)>"Reset zoom"</button> }
                .into_any()
        })
    });
    let value = zoom.and_then(|z| z.value);
    let number = move |take: fn((f64, f64, f64)) -> f64| {
        Signal::derive(move || value.map(|v| format!("{:.0}", take(v.get()))))
    };
    let title = zoom.map(|z| z.title);
    let role = match (zoom, value) {
        (None, _) => "img",
        (Some(_), None) => "application",
        (Some(_), Some(_)) => "slider",
    };
    view! {
        <div class=format!("canvas {name}") class:zoomed=Signal::derive(zoomed) node_ref=frame_ref>
            <canvas
                node_ref=canvas_ref
                data-plot=name
                role=role
                tabindex=zoom.map(|_| "0")
                aria-roledescription=zoom.map(|_| "plot")
                aria-label=Signal::derive(move || match (value, title) {
                    (Some(_), Some(title)) => title.to_owned(),
                    _ => spoken.get(),
                })
                aria-valuemin=number(|v| v.0)
                aria-valuenow=number(|v| v.1)
                aria-valuemax=number(|v| v.2)
                aria-valuetext=Signal::derive(move || value.map(|_| spoken.get()))
                on:pointerdown=on(Event::Down)
                on:pointermove=on(Event::Move)
                on:pointerup=on(Event::Up)
                on:pointercancel=on(Event::Cancel)
                on:pointerleave=on(Event::Leave)
                on:touchstart=ours()
                on:touchmove=ours()
                on:keydown=key
                on:wheel=wheel
                on:contextmenu=menu
            ></canvas>
            {reset}
        </div>
    }
    .into_any()
}
