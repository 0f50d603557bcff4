//! A curve as a list of points that can be typed into.

use super::shapes::{
    fault as fault_box, leave, live, perhaps, press, text, toggle, whether, words,
};
use crate::entry_text::number;
use crate::store::use_store;
use airpath::build::{CurveField, EnteredCurve};
use airpath::fields::Field;
use airpath::numeric::Curve;
use airpath::quantity::{Kind, Unit, read};
use leptos::prelude::*;

/// A point as typed.
#[derive(Clone)]
struct Typed {
    id: u32,
    x: String,
    y: String,
}

/// Units of a curve's two axes.
fn units(field: CurveField, curve: Option<&EnteredCurve>) -> (&'static Unit, &'static Unit) {
    let spec = field.spec();
    let unit = |kind: Kind, symbol: &str| kind.unit(symbol).unwrap_or_else(|| kind.metric());
    curve.map_or((unit(spec.x.0, spec.x.1), unit(spec.y.0, spec.y.1)), |c| {
        (c.x_unit, c.y_unit)
    })
}

/// Reads every point; the first that cannot be read says why.
fn read_points(
    field: CurveField,
    points: &[Typed],
    units: (&'static Unit, &'static Unit),
) -> Result<EnteredCurve, String> {
    let spec = field.spec();
    let mut read_all = Vec::with_capacity(points.len());
    for (number, point) in points.iter().enumerate() {
        let cell = |text: &str, kind, unit| {
            read(text, kind, unit).map_err(|e| format!("Point {}: {e}", number + 1))
        };
        let (x, y) = (
            cell(&point.x, spec.x.0, units.0)?,
            cell(&point.y, spec.y.0, units.1)?,
        );
        // A unit may be typed anywhere; the column keeps its own, which the other points are in.
        read_all.push((x.si, y.si));
    }
    let curve = Curve::new(&read_all).map_err(|e| e.to_string())?;
    Ok(EnteredCurve {
        curve,
        x_unit: units.0,
        y_unit: units.1,
    })
}

/// The points of a curve, each a pair of inputs.
#[component]
pub fn CurveEditor(
    /// Which.
    field: CurveField,
) -> AnyView {
    let store = use_store();
    let spec = field.spec();
    let (id, label) = (spec.id, spec.label);
    let open = RwSignal::new(false);
    let points: RwSignal<Vec<Typed>> = RwSignal::new(Vec::new());
    let next_id = StoredValue::new(0_u32);
    let fresh = move || {
        next_id.update_value(|n| *n += 1);
        next_id.get_value()
    };
    let here = Memo::new(move |_| store.build.with(|b| b.curve(field).is_some()));
    let axes = Memo::new(move |_| store.build.with(|b| units(field, b.curve(field))));
    let load = move || {
        let axes = axes.get_untracked();
        let typed = store.build.with_untracked(|b| {
            b.curve(field).map_or_else(Vec::new, |curve| {
                curve
                    .curve
                    .points()
                    .iter()
                    .map(|(x, y)| Typed {
                        id: fresh(),
                        x: number(*x, axes.0),
                        y: number(*y, axes.1),
                    })
                    .collect()
            })
        });
        points.set(typed);
    };
    Effect::new(move |_| {
        store.revision.track();
        here.track();
        load();
    });
    let apply = move || {
        let read = points.with_untracked(|p| read_points(field, p, axes.get_untracked()));
        match read {
            Ok(curve) => {
                let edited = store
                    .build
                    .with_untracked(|b| b.with_curve(field, Some(curve)));
                store.edit(id, label, edited);
            }
            Err(problem) => store.fault_in_words(id, label, problem),
        }
    };
    let set = move |point: u32, second: bool, text: String| {
        // Typed text is kept without telling the view: the input already shows it.
        points.update_untracked(|points| {
            if let Some(point) = points.iter_mut().find(|p| p.id == point) {
                if second {
                    point.y = text
                } else {
                    point.x = text
                }
            }
        });
        apply();
    };
    let remove = move |point: u32| {
        points.update(|points| points.retain(|p| p.id != point));
        apply();
        store.left_field();
    };
    let add = move || {
        let last = points.with_untracked(|p| p.last().cloned());
        let y = last.map_or_else(String::new, |p| p.y);
        points.update(|points| {
            points.push(Typed {
                id: fresh(),
                x: String::new(),
                y,
            })
        });
    };
    let begin = move || {
        // A boost curve begins level, at the boost asked, over all speeds.
        let edited = store.build.with_untracked(|b| {
            let (x, y) = (b.get(Field::IdleSpeed), b.get(Field::BoostTarget));
            let (x_unit, y_unit) = (Kind::EngineSpeed.metric(), b.unit(Field::BoostTarget));
            let end = b.get(Field::Redline);
            let curve = Curve::new(&[(x, y), (end, y)]).unwrap_or_else(|_| Curve::level(y));
            b.with_curve(
                field,
                Some(EnteredCurve {
                    curve,
                    x_unit,
                    y_unit,
                }),
            )
        });
        store.edit(id, label, edited);
        open.set(true);
    };
    let back = move || {
        let edited = store.build.with_untracked(|b| b.with_curve(field, None));
        store.edit(id, label, edited);
        store.settle_inputs();
    };
    let fault = Memo::new(move |_| {
        store
            .faults
            .with(|f| f.iter().find(|f| f.key == id && f.shown).cloned())
    });
    let heading = move |first: bool| {
        let (kind, unit) = if first {
            (spec.x.0, axes.get().0)
        } else {
            (spec.y.0, axes.get().1)
        };
        let name = match (field, first) {
            (CurveField::IdealCycle, true) => "λ",
            (CurveField::Breathing, false) => "breathing",
            (CurveField::BoostCurve, false) => "boost",
            (CurveField::IdealCycle, false) => "efficiency",
            _ => kind.name(),
        };
        format!("{name} {}", unit.symbol)
    };
    let row = move |point: Typed| {
        let key = point.id;
        let cell = move |typed: String, second: bool| {
            view! {
                <input
                    type="text" inputmode="decimal" autocomplete="off" autocapitalize="off" spellcheck="false"
                    data-curve=id value=typed
                    aria-label=words(move || heading(!second))
                    on:input=text(move |typed| set(key, second, typed))
                    on:blur=leave(move || store.left_field())
                />
            }
        };
        view! {
            <li>
                {cell(point.x, false)}
                {cell(point.y, true)}
                <button type="button" class="ask" aria-label="Remove this point" on:click=press(move || remove(key))>"×"</button>
            </li>
        }
    };
    let editor = perhaps(move || {
        (here.get() && open.get()).then(|| {
            view! {
                <p class="quiet">{spec.help} " Source: " {spec.source}</p>
                <div class="curve-head" aria-hidden="true"><span>{words(move || heading(true))}</span><span>{words(move || heading(false))}</span></div>
                <ol class="points">
                    <For each=move || points.get() key=|p| p.id children=row/>
                </ol>
                <div class="buttons">
                    <button type="button" class="small" on:click=press(add)>"Add a point"</button>
                    <button type="button" class="small" on:click=press(back)>
                        {if field == CurveField::BoostCurve { "Back to one value" } else { "Put the default back" }}
                    </button>
                </div>
            }
            .into_any()
        })
    });
    let fault_view = perhaps(move || fault.get().map(|fault| fault_box(id, fault.problem, None)));
    view! {
        <div class="curve" class:bad=whether(move || fault.with(Option::is_some))>
            <div class="curve-title">
                <span>{label}</span>
                {live(move || if here.get() {
                    toggle(open, label.to_owned(), "Hide points", move || format!("{} points", points.with(Vec::len)))
                } else {
                    view! { <button type="button" class="small" on:click=press(begin)>"Use a curve"</button> }.into_any()
                })}
            </div>
            {editor}
            {fault_view}
        </div>
    }
    .into_any()
}
