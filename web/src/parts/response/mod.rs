//! How quickly boost comes, and how sure all of it is.

mod pull;
mod spool;
mod sure;
mod work;

pub use pull::pull;
pub use spool::spool;
pub use sure::sure;
pub use work::work;

use crate::parts::canvas::CanvasPlot;
use crate::parts::shapes::press;
use crate::plots::chart::{self, Chart};
use crate::plots::pen::Pen;
use crate::store::use_store;
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use std::rc::Rc;
use std::time::Duration;

/// How long an edit or the cursor must rest before this is worked out anew.
const REST: Duration = Duration::from_millis(350);

/// Does something once changes rest; a newer change comes in its place.
fn rested(resting: StoredValue<Option<TimeoutHandle>>, after: Duration, act: impl Fn() + 'static) {
    resting.update_value(|resting| {
        if let Some(timer) = resting.take() {
            timer.clear();
        }
        *resting = set_timeout_with_handle(act, after).ok();
    });
}

/// A chart on a canvas.
fn plot(name: &'static str, chart: RwSignal<Chart>, spoken: Signal<String>) -> AnyView {
    let store = use_store();
    let draw = move |pen: &mut Pen| {
        let palette = store.palette.get_untracked();
        if let Some(chart) = chart.try_get_untracked() {
            chart::draw(pen, &chart, &palette);
        }
    };
    let depends = move || {
        chart.track();
        store.palette.track();
    };
    view! { <CanvasPlot name spoken draw=Rc::new(draw) depends=Rc::new(depends) pick=|_, _| ()/> }
        .into_any()
}

/// A chart with nothing in it yet.
fn empty(nothing: &str) -> Chart {
    Chart {
        across: String::new(),
        ends: (0.0, 1.0),
        cursor: None,
        strips: Vec::new(),
        nothing: nothing.to_owned(),
    }
}

/// A button that saves a plot as a picture.
fn picture(name: &'static str, title: &'static str, says: &'static str) -> AnyView {
    let store = use_store();
    let save = press(move || crate::later::save_picture(store, name, title));
    view! { <button type="button" class="small" data-picture=name aria-label=format!("{says}: save {title} as an image") on:click=save>{says}</button> }
        .into_any()
}
