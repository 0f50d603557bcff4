//! The control of the shared engine speed: a slide with − and +, coloured by what holds boost.

use super::shapes::{list, live, press, text, words};
use crate::cursor::{nearest, step};
use crate::sentence::held;
use crate::show::speed;
use crate::store::use_store;
use airpath::run::{Held, Match};
use leptos::html::Input;
use leptos::prelude::*;

/// A stretch of the track, shares of its length.
#[derive(Clone, PartialEq)]
struct Stretch {
    look: &'static str,
    from: f64,
    to: f64,
}

fn stretches(found: &Match) -> Vec<Stretch> {
    let (Some(first), Some(last)) = (found.speeds.first(), found.speeds.last()) else {
        return Vec::new();
    };
    let (low, high) = (first.engine_speed_rev_min, last.engine_speed_rev_min);
    let share = |rev_min: f64| ((rev_min - low) / (high - low).max(1.0)).clamp(0.0, 1.0);
    let mut stretches: Vec<Stretch> = Vec::new();
    for (i, report) in found.speeds.iter().enumerate() {
        let look = match report.held {
            Held::Drive => "rise",
            Held::Gate => "hold",
            Held::Creep | Held::Surge | Held::Choke | Held::ShaftSpeed => "stop",
        };
        let at = report.engine_speed_rev_min;
        let next = found
            .speeds
            .get(i + 1)
            .map_or(at, |n| n.engine_speed_rev_min);
        let end = share((at + next) / 2.0);
        match stretches.last_mut() {
            Some(last) if last.look == look => last.to = end,
            Some(last) => {
                let from = last.to;
                stretches.push(Stretch {
                    look,
                    from,
                    to: end,
                });
            }
            None => stretches.push(Stretch {
                look,
                from: 0.0,
                to: end,
            }),
        }
    }
    stretches
}

/// The slide.
#[component]
pub fn Slide() -> AnyView {
    let store = use_store();
    let input = NodeRef::<Input>::new();
    let ends = Memo::new(move |_| {
        store.solved.with(|s| {
            let speeds = s.as_ref().map(|s| &s.found.speeds);
            let end = |report: Option<&airpath::run::SpeedReport>| {
                report.map_or(0.0, |r| r.engine_speed_rev_min)
            };
            (
                end(speeds.and_then(|s| s.first())),
                end(speeds.and_then(|s| s.last())),
            )
        })
    });
    let track = Memo::new(move |_| {
        store
            .solved
            .with(|s| s.as_ref().map(|s| stretches(&s.found)).unwrap_or_default())
    });
    let at = Memo::new(move |_| {
        let cursor = store.cursor.get();
        store.solved.with(|s| {
            let report = s.as_ref().and_then(|s| s.found.speeds.get(cursor));
            report
                .map(|r| (speed(r.engine_speed_rev_min, 10.0), held(r.held)))
                .unwrap_or_default()
        })
    });
    // The slide is written to only from outside, never while it is being dragged.
    Effect::new(move |_| {
        let (value, _) = (store.engine_speed.get(), ends.get());
        if let Some(input) = input.get() {
            let own: f64 = input.value().parse().unwrap_or(f64::NAN);
            if (own - value.round()).abs() > 0.5 || own.is_nan() {
                input.set_value(&format!("{value:.0}"));
            }
        }
    });
    let go = move |least: f64| {
        let from = store.engine_speed.get_untracked();
        let to = store
            .solved
            .with_untracked(|s| s.as_ref().map(|s| step(&s.found, from, least)));
        if let Some(to) = to {
            store.move_cursor(to);
        }
    };
    let drag = move |text: String| {
        let Ok(value) = text.parse::<f64>() else {
            return;
        };
        let snapped = store.solved.with_untracked(|s| {
            s.as_ref().and_then(|s| {
                nearest(&s.found, value).map(|i| s.found.speeds[i].engine_speed_rev_min)
            })
        });
        store.move_cursor(snapped.unwrap_or(value));
    };
    let key: Box<dyn FnMut(web_sys::KeyboardEvent)> =
        Box::new(move |event: web_sys::KeyboardEvent| {
            let least = match event.key().as_str() {
                "ArrowRight" | "ArrowUp" => 50.0,
                "ArrowLeft" | "ArrowDown" => -50.0,
                "PageUp" => 500.0,
                "PageDown" => -500.0,
                "?" => {
                    super::keys::show();
                    event.prevent_default();
                    return;
                }
                _ => return,
            };
            event.prevent_default();
            go(least);
        });
    let colours = live(move || {
        track.with(|t| {
            list(t.iter().map(|s| {
                let place = format!(
                    "left:{:.2}%;width:{:.2}%",
                    s.from * 100.0,
                    (s.to - s.from) * 100.0
                );
                view! { <i class=s.look style=place></i> }.into_any()
            }))
        })
    });
    view! {
        <div class="slide" role="group" aria-label="Engine speed">
            <p class="says" aria-hidden="true">"Engine speed " <b data-speed="">{words(move || at.with(|a| a.0.clone()))}</b> " rev/min"
                <span class="held">{words(move || at.with(|a| a.1.to_owned()))}</span></p>
            <button type="button" class="square" aria-label="Engine speed down" on:click=press(move || go(-100.0))>"−"</button>
            <div class="rail">
                <div class="track" aria-hidden="true">
                    <div class="groove">{colours}</div>
                </div>
                <input
                    id="engine-speed"
                    type="range"
                    node_ref=input
                    step="1"
                    min=words(move || ends.get().0.to_string())
                    max=words(move || ends.get().1.to_string())
                    aria-label="Engine speed, rev/min"
                    aria-valuetext=words(move || at.with(|(speed, held)| format!("{speed} rev/min, {held}")))
                    on:input=text(drag)
                    on:keydown=key
                />
            </div>
            <button type="button" class="square" aria-label="Engine speed up" on:click=press(move || go(100.0))>"+"</button>
        </div>
    }
    .into_any()
}
