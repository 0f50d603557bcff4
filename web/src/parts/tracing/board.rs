//! The hand on the board: fingers, mouse, keys.
//!
//! A finger that comes down brings up the glass; where it is lifted the spot stays, so that it can be
//! put to the pixel. One that comes down on a spot takes hold of it. Two fingers and the wheel move
//! and enlarge the picture.

use super::look::Look;
use super::{Desk, Hand, load, paint};
use crate::parts::canvas::watch_size;
use crate::plots::frame;
use crate::plots::geometry::Point;
use airpath::map_picture::{Grip, Tracing};
use leptos::html::{Canvas, Div};
use leptos::prelude::*;
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use web_sys::{KeyboardEvent, PointerEvent, WheelEvent};

/// What a press on a spot reaches, CSS pixels: a finger, and a mouse.
const REACH: (f64, f64) = (20.0, 8.0);
/// A step of the keys, CSS pixels; with Shift the larger.
const STEPS: (f64, f64) = (1.0, 12.0);
/// A step of the keys and buttons that enlarge.
pub const ENLARGE: f64 = 1.5;

/// What the hand is doing.
#[derive(Clone, Default)]
enum Doing {
    #[default]
    Nothing,
    /// It holds something; the tracing as it was before.
    Holding(Grip, Arc<Tracing>),
    Moving,
    Pinching,
}

#[derive(Default)]
struct Fingers {
    doing: Doing,
    down: Vec<(i32, Point)>,
}

impl Fingers {
    fn spread(&self) -> Option<(f64, Point)> {
        let [(_, a), (_, b)] = self.down.as_slice() else {
            return None;
        };
        let far = (a.0 - b.0).hypot(a.1 - b.1).max(1.0);
        Some((far, ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0)))
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Event {
    Down,
    Move,
    Up,
    Cancel,
}

/// Takes hold of what is under a point, or marks a new spot there.
fn take(desk: Desk, point: Point, reach: f64) -> Option<(Grip, Arc<Tracing>)> {
    let before = desk.tracing.get_untracked()?;
    let look = desk.look.get_untracked();
    let spot = look.picture(point);
    let reach = reach / look.scale;
    match desk.hand.get_untracked() {
        Hand::Move => None,
        Hand::Correct => before
            .near(spot, 2.0 * reach, None)
            .map(|grip| (grip, before)),
        Hand::Corners => {
            // The nearest corner comes to the finger.
            let far = |at: &usize| {
                let corner = before.corners[*at];
                (corner.0 - spot.0).hypot(corner.1 - spot.1)
            };
            let at = (0..4).min_by(|a, b| far(a).total_cmp(&far(b)))?;
            Some((Grip::Corner(at), before))
        }
        _ => {
            let Some(meaning) = desk.meaning_untracked() else {
                desk.ask_for_value();
                return None;
            };
            let current = before.strokes.iter().position(|s| s.meaning == meaning);
            // Lines lie close together: only what is marked now is taken hold of.
            let near = before.near(spot, reach, current);
            if let Some(grip) = near.filter(|grip| match grip {
                Grip::Spot(stroke, _) => Some(*stroke) == current,
                Grip::Corner(_) => false,
            }) {
                return Some((grip, before));
            }
            let (marked, grip) = before.with_spot(meaning, spot);
            desk.tracing.set(Some(Arc::new(marked)));
            Some((grip, before))
        }
    }
}

/// Puts what is held under a point.
fn put(desk: Desk, grip: Grip, point: Point) {
    let spot = desk.look.get_untracked().picture(point);
    let moved = desk
        .tracing
        .with_untracked(|t| t.as_ref().map(|t| t.with_place(grip, spot)));
    if let Some(moved) = moved {
        desk.tracing.set(Some(Arc::new(moved)));
    }
}

fn follow(fingers: &RefCell<Fingers>, what: Event, event: &PointerEvent, desk: Desk) {
    let point = (f64::from(event.offset_x()), f64::from(event.offset_y()));
    let id = event.pointer_id();
    let mut own = fingers.borrow_mut();
    match what {
        Event::Down => {
            own.down.retain(|(known, _)| *known != id);
            own.down.push((id, point));
            own.down.truncate(2);
            if own.down.len() == 2 {
                // The first finger did not mean to mark.
                if let Doing::Holding(_, before) = std::mem::take(&mut own.doing) {
                    desk.tracing.set(Some(before));
                }
                desk.under.set(None);
                own.doing = Doing::Pinching;
                return;
            }
            own.doing = Doing::Nothing;
            let reach = match event.pointer_type().as_str() {
                "mouse" => REACH.1,
                _ => REACH.0,
            };
            let moves = event.button() == 1 || desk.hand.get_untracked() == Hand::Move;
            if moves {
                own.doing = Doing::Moving;
            } else if let Some((grip, before)) = take(desk, point, reach) {
                own.doing = Doing::Holding(grip, before);
                desk.picked.set(Some(grip));
                desk.under.set(Some(point));
                if matches!(grip, Grip::Corner(_)) {
                    put(desk, grip, point);
                }
            }
        }
        Event::Move => {
            let before = own.spread();
            let Some(place) = own.down.iter().position(|(known, _)| *known == id) else {
                return;
            };
            let from = own.down[place].1;
            own.down[place].1 = point;
            let after = own.spread();
            match &own.doing {
                Doing::Holding(grip, _) => {
                    put(desk, *grip, point);
                    desk.under.set(Some(point));
                }
                Doing::Moving => desk.moved((point.0 - from.0, point.1 - from.1)),
                Doing::Pinching => {
                    if let (Some((was, middle)), Some((is, to))) = (before, after) {
                        desk.moved((to.0 - middle.0, to.1 - middle.1));
                        desk.enlarged(is / was, to);
                    }
                }
                Doing::Nothing => {}
            }
        }
        Event::Up => {
            own.down.retain(|(known, _)| *known != id);
            desk.under.set(None);
            if let Doing::Holding(_, before) = std::mem::take(&mut own.doing) {
                desk.done(before);
            }
        }
        Event::Cancel => {
            own.down.clear();
            desk.under.set(None);
            if let Doing::Holding(_, before) = std::mem::take(&mut own.doing) {
                desk.tracing.set(Some(before));
            }
        }
    }
}

/// A key on the board: arrows move what was marked or picked last, Enter marks beside it.
fn pressed(event: &KeyboardEvent, desk: Desk) {
    if event.ctrl_key() || event.meta_key() || event.alt_key() {
        return;
    }
    let size = desk.size.get_untracked();
    let middle = (0.5 * size.0, 0.5 * size.1);
    let step = if event.shift_key() { STEPS.1 } else { STEPS.0 };
    let nudge = |across: f64, down: f64| {
        let look = desk.look.get_untracked();
        let held = desk.picked.get_untracked().and_then(|grip| {
            let tracing = desk.tracing.get_untracked()?;
            Some((grip, tracing.place(grip)?, tracing))
        });
        match held {
            Some((grip, spot, before)) if desk.hand.get_untracked() != Hand::Move => {
                let at = look.board(spot);
                put(desk, grip, (at.0 + across * step, at.1 + down * step));
                desk.done(before);
            }
            _ => desk.moved((-across * step, -down * step)),
        }
    };
    match event.key().as_str() {
        "ArrowLeft" => nudge(-1.0, 0.0),
        "ArrowRight" => nudge(1.0, 0.0),
        "ArrowUp" => nudge(0.0, -1.0),
        "ArrowDown" => nudge(0.0, 1.0),
        "Enter" => {
            // Beside the last, so that both can be seen; the first in the middle.
            let look = desk.look.get_untracked();
            let last = desk.picked.get_untracked().and_then(|grip| {
                desk.tracing
                    .with_untracked(|t| t.as_ref().and_then(|t| t.place(grip)))
            });
            let at = last.map_or(middle, |spot| {
                let (x, y) = look.board(spot);
                (x + 2.0 * REACH.0, y)
            });
            if let Some((grip, before)) = take(desk, at, REACH.1) {
                desk.picked.set(Some(grip));
                desk.done(before);
            }
        }
        "Delete" | "Backspace" => desk.remove_picked(),
        "+" | "=" => desk.enlarged(ENLARGE, middle),
        "-" | "−" => desk.enlarged(1.0 / ENLARGE, middle),
        "0" => desk.show_whole(),
        _ => return,
    }
    event.prevent_default();
}

/// The board.
pub fn board(desk: Desk) -> AnyView {
    let frame_ref = NodeRef::<Div>::new();
    let canvas_ref = NodeRef::<Canvas>::new();
    let mark = frame::register(Rc::new(move || {
        if let Some(canvas) = canvas_ref.try_get_untracked().flatten() {
            paint::board(&canvas, desk);
        }
    }));
    Effect::new(move |_| {
        if let Some(element) = frame_ref.get() {
            watch_size(&element, desk.size);
        }
    });
    // A board of another size shows the whole again; the first time it shows it at all.
    Effect::new(move |before: Option<(f64, f64)>| {
        let size = desk.size.get();
        if let Some(picture) = load::size()
            && before != Some(size)
        {
            desk.look.set(Look::whole(size, picture));
        }
        size
    });
    Effect::new(move |_| {
        desk.size.track();
        desk.look.track();
        desk.tracing.track();
        desk.fit.track();
        desk.picked.track();
        desk.under.track();
        desk.hand.track();
        desk.value.track();
        mark();
    });
    let fingers = Rc::new(RefCell::new(Fingers::default()));
    let on = |what: Event| -> Box<dyn FnMut(PointerEvent)> {
        let fingers = fingers.clone();
        Box::new(move |event: PointerEvent| {
            if what == Event::Down {
                if event.button() > 1 {
                    return;
                }
                // The browser gives the board the keyboard itself, and does not scroll to it, which would
                // move the picture away from under the finger.
                if let Some(canvas) = canvas_ref.get_untracked() {
                    let _ = canvas.set_pointer_capture(event.pointer_id());
                }
            }
            follow(&fingers, what, &event, desk);
        })
    };
    let key: Box<dyn FnMut(KeyboardEvent)> = Box::new(move |event| pressed(&event, desk));
    let wheel: Box<dyn FnMut(WheelEvent)> = Box::new(move |event| {
        event.prevent_default();
        let pixels = event.delta_y() * [1.0, 16.0, 400.0][event.delta_mode().min(2) as usize];
        let point = (f64::from(event.offset_x()), f64::from(event.offset_y()));
        if event.shift_key() {
            desk.moved((-pixels, 0.0));
        } else {
            desk.enlarged((-pixels * 0.002).exp().clamp(0.25, 4.0), point);
        }
    });
    let menu: Box<dyn FnMut(web_sys::MouseEvent)> = Box::new(|event| event.prevent_default());
    view! {
        <div class="board" node_ref=frame_ref>
            <canvas node_ref=canvas_ref data-board="" tabindex="0" role="application" aria-roledescription="picture of a map"
                aria-label=Signal::derive(move || desk.spoken())
                on:pointerdown=on(Event::Down)
                on:pointermove=on(Event::Move)
                on:pointerup=on(Event::Up)
                on:pointercancel=on(Event::Cancel)
                on:keydown=key
                on:wheel=wheel
                on:contextmenu=menu
            ></canvas>
        </div>
    }
    .into_any()
}
