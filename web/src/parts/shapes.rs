//! The few shapes that views are made of.
//!
//! Every closure has a type of its own, and what draws it is compiled for each: through these the
//! page holds one copy instead of a hundred, which a first visit need not download.

use leptos::prelude::*;
use std::sync::Arc;
use web_sys::{Event, FocusEvent, MouseEvent};

/// What takes a press.
pub type Press = Box<dyn FnMut(MouseEvent)>;

/// A piece of the page that follows the signals it reads.
pub fn live(view: impl Fn() -> AnyView + Send + Sync + 'static) -> AnyView {
    let view: Arc<dyn Fn() -> AnyView + Send + Sync> = Arc::new(view);
    (move || view()).into_any()
}

/// A piece that is there or not.
pub fn perhaps(view: impl Fn() -> Option<AnyView> + Send + Sync + 'static) -> AnyView {
    live(move || view().unwrap_or_else(|| ().into_any()))
}

/// A text that follows the signals it reads.
pub fn words(text: impl Fn() -> String + Send + Sync + 'static) -> Signal<String> {
    Signal::derive(text)
}

/// A yes or no that follows the signals it reads.
pub fn whether(yes: impl Fn() -> bool + Send + Sync + 'static) -> Signal<bool> {
    Signal::derive(yes)
}

/// "true" or "false", for states that a screen reader tells.
pub fn told(yes: impl Fn() -> bool + Send + Sync + 'static) -> Signal<String> {
    Signal::derive(move || yes().to_string())
}

/// Does something when pressed.
pub fn press(act: impl Fn() + 'static) -> Press {
    Box::new(move |_| act())
}

/// Takes the text of an input as it is typed, or a choice as it is made.
pub fn text(take: impl Fn(String) + 'static) -> Box<dyn FnMut(Event)> {
    Box::new(move |event| take(event_target_value(&event)))
}

/// Does something when focus leaves.
pub fn leave(act: impl Fn() + 'static) -> Box<dyn FnMut(FocusEvent)> {
    Box::new(move |_| act())
}

/// A list of views.
pub fn list(views: impl IntoIterator<Item = AnyView>) -> AnyView {
    views.into_iter().collect::<Vec<_>>().into_any()
}

/// A small button that shows and hides something.
pub fn toggle(
    open: RwSignal<bool>,
    label: String,
    shown: &'static str,
    hidden: impl Fn() -> String + Send + Sync + 'static,
) -> AnyView {
    let says = words(move || {
        if open.get() {
            shown.to_owned()
        } else {
            hidden()
        }
    });
    view! {
        <button type="button" class="small" aria-expanded=told(move || open.get())
            aria-label=words(move || format!("{}: {label}", says.get()))
            on:click=press(move || open.update(|o| *o = !*o))>
            {says}
        </button>
    }
    .into_any()
}

/// What is wrong, marked, with what else belongs to it.
pub fn fault(key: &'static str, problem: String, remedy: Option<AnyView>) -> AnyView {
    view! {
        <div class="fault" data-error-of=key id=format!("{key}-fault")>
            <i class="mark" aria-hidden="true"></i>
            <p>{problem}</p>
            {remedy}
        </div>
    }
    .into_any()
}
