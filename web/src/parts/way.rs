//! The air's way: its profile, and its parts as the way into editing.

use super::canvas::watch_size;
use super::shapes::{Press, list, press, told, words as told_words};
use crate::plots::frame;
use crate::plots::way::{WayScene, draw, part_at, spoken};
use crate::show::{Units, percent, shown};
use crate::store::{Solved, use_store};
use airpath::build::FuelKind;
use airpath::fields::{Field, Part};
use airpath::quantity::{Kind, Unit, write};
use airpath::run::SpeedReport;
use leptos::html::Div;
use leptos::prelude::*;
use leptos::svg::Svg;
use std::rc::Rc;

/// The profile.
#[component]
pub fn WayPlot() -> AnyView {
    let store = use_store();
    let holder = NodeRef::<Div>::new();
    let picture = NodeRef::<Svg>::new();
    let size = RwSignal::new((0.0, 0.0));
    let mark = frame::register(Rc::new(move || {
        let Some(picture) = picture.get_untracked() else {
            return;
        };
        let (width, height) = size.get_untracked();
        if width < 1.0 || height < 1.0 {
            return;
        }
        let inside = store.solved.with_untracked(|solved| {
            solved.as_ref().map_or_else(String::new, |solved| {
                draw(&WayScene {
                    found: &solved.found,
                    cursor: store.cursor.get_untracked(),
                    units: store.units.get_untracked(),
                    arrangement: solved.build.arrangement(),
                    size: (width, height),
                })
            })
        });
        let _ = picture.set_attribute("viewBox", &format!("0 0 {width} {height}"));
        picture.set_inner_html(&inside);
    }));
    Effect::new(move |_| {
        if let Some(element) = holder.get() {
            watch_size(&element, size);
        }
    });
    Effect::new(move |_| {
        size.track();
        store.solved.track();
        store.cursor.track();
        store.units.track();
        mark();
    });
    let words = Memo::new(move |_| {
        let (cursor, units) = (store.cursor.get(), store.units.get());
        store.solved.with(|s| {
            s.as_ref()
                .map(|s| spoken(&s.found, cursor, units))
                .unwrap_or_default()
        })
    });
    let pressed: Press = Box::new(move |event| {
        let Some(holder) = holder.get_untracked() else {
            return;
        };
        let rect = holder.get_bounding_client_rect();
        if rect.width() > 0.0 {
            let share = (f64::from(event.client_x()) - rect.left()) / rect.width();
            store.part.set(None);
            store.part.set(Some(part_at(share)));
        }
    });
    view! {
        <div class="profile" node_ref=holder on:click=pressed>
            <svg node_ref=picture data-plot="way" role="img" aria-label=words></svg>
        </div>
    }
    .into_any()
}

fn written(si: f64, unit: &'static Unit) -> String {
    write(si, unit, unit.decimals.min(2))
}

/// The most telling fact of a part, in a few characters.
fn fact(part: Part, solved: &Solved, report: &SpeedReport, units: Units) -> String {
    let build = &solved.build;
    let entered = |field: Field| crate::entry_text::unit_of(build, field, None, units.system);
    let loss = shown(Kind::PressureDifference, units);
    match part {
        Part::Goal => match build.optional(Field::PowerTarget) {
            Some(power) => written(power, entered(Field::PowerTarget)),
            None if build.boost_curve().is_some() => "curve".to_owned(),
            None => written(build.get(Field::BoostTarget), entered(Field::BoostTarget)),
        },
        Part::Outside => shown(Kind::AbsolutePressure, units).text(report.outside.pressure_pa),
        Part::Filter => loss.text(-report.filter_loss_pa),
        Part::Compressor => report
            .compressor_efficiency
            .map_or_else(|| "windmills".to_owned(), percent),
        Part::Cooler => percent(report.cooler_effectiveness),
        Part::Engine => written(build.get(Field::Displacement), entered(Field::Displacement)),
        Part::Fuel => match (build.fuel(), build.get(Field::EthanolShare)) {
            (FuelKind::Diesel, _) => "diesel".to_owned(),
            (FuelKind::Petrol, share) if share > 0.0 => format!("E{:.0}", share * 100.0),
            (FuelKind::Petrol, _) => "petrol".to_owned(),
        },
        Part::Turbine => format!("A/R {:.2}", build.housing().a_over_r),
        Part::Gate => percent(report.gate_share),
        Part::Tailpipe => loss.text(-report.exhaust_loss_pa),
        Part::Driveline => percent(build.get(Field::DrivelineEfficiency)),
        Part::Response => match build.optional(Field::WarmManifold) {
            Some(warm) => format!("{} warm", percent(warm)),
            None => "light load".to_owned(),
        },
        Part::Vehicle => written(build.get(Field::VehicleMass), entered(Field::VehicleMass)),
        Part::Fitting => build.optional(Field::ColdPipe).map_or_else(
            || "pipes, oil, room".to_owned(),
            |bore| written(bore, entered(Field::ColdPipe)),
        ),
        Part::Limits => solved.found.limits.first().map_or_else(
            || "none".to_owned(),
            |l| match l.room {
                past if past < -0.005 => format!("{} past", percent(-past)),
                room => format!("{} left", percent(room.max(0.0))),
            },
        ),
    }
}

/// Every part as a button that opens its fields.
#[component]
pub fn PartButtons() -> AnyView {
    let store = use_store();
    let button = move |part: Part| {
        let words = Memo::new(move |_| {
            let (cursor, units) = (store.cursor.get(), store.units.get());
            store.solved.with(|s| {
                let solved = s.as_ref()?;
                let report = solved.found.speeds.get(cursor)?;
                Some(fact(part, solved, report, units))
            })
        });
        view! {
            <button
                type="button"
                data-part=part.label().to_lowercase()
                aria-pressed=told(move || store.part.get() == Some(part))
                on:click=press(move || {
                    // Opened anew even when it is open, so that it comes into view again.
                    store.part.set(None);
                    store.part.set(Some(part));
                })
            >
                <b>{part.label()}</b>
                <span>{told_words(move || words.get().unwrap_or_default())}</span>
            </button>
        }
        .into_any()
    };
    view! { <nav class="parts" aria-label="Parts to change">{list(Part::ALL.map(button))}</nav> }
        .into_any()
}
