//! Rows of the air's way: filter, pipes, cooler, injectors.

use super::item::{Action, Because, Item, ItemKind, Value, Verdict};
use super::joints::{differs, length};
use super::stream::{Place, Stream, fastest};
use super::{Side, most};
use crate::fields::Field;

/// Those rows, in the order the air meets them; the hoses on the compressor are between the pipes.
pub(super) fn items(a: &Side, b: &Side) -> Vec<Item> {
    let of = |side: &Side| side.turbocharger().connections.inlet_m;
    let inlet = hose(ItemKind::Inlet, Place::Intake, (a, of(a)), (b, of(b)));
    let of = |side: &Side| side.turbocharger().connections.outlet_m;
    let outlet = hose(ItemKind::Outlet, Place::Hot, (a, of(a)), (b, of(b)));
    vec![
        filter(a, b),
        pipe(ItemKind::IntakePipe, Place::Intake, Field::IntakePipe, a, b),
        inlet,
        outlet,
        pipe(ItemKind::HotPipe, Place::Hot, Field::HotPipe, a, b),
        cooler(a, b),
        pipe(ItemKind::ColdPipe, Place::Cold, Field::ColdPipe, a, b),
        injectors(a, b),
    ]
}

/// The downpipe, which stands among the joints of the exhaust.
pub(super) fn downpipe(a: &Side, b: &Side) -> Item {
    pipe(ItemKind::Downpipe, Place::Exhaust, Field::Downpipe, a, b)
}

fn stream(place: Place, bore_m: Option<f64>, side: &Side) -> Option<Stream> {
    fastest(place, bore_m?, side.build, &side.gases, side.found)
}

/// How many of it each side has.
fn counts(place: Place, a: &Side, b: &Side) -> (u8, u8) {
    match place.is_own() {
        true => (a.count, b.count),
        false => (1, 1),
    }
}

/// A pipe of the vehicle's: does the new flow outgrow it?
fn pipe(kind: ItemKind, place: Place, field: Field, a: &Side, b: &Side) -> Item {
    let bores = (a.build.optional(field), b.build.optional(field));
    let (from, to) = (stream(place, bores.0, a), stream(place, bores.1, b));
    let ceiling = place.ceiling();
    let faster = |a: &Stream, b: &Stream| b.mach > a.mach || (b.choked && !a.choked);
    let (verdict, action) = match (bores, from, to) {
        ((Some(_), Some(_)), Some(a), Some(b)) if b.mach > ceiling.mach && faster(&a, &b) => (
            Verdict::Change,
            Action::WiderPipe {
                bore_m: b.bore_wanted_m,
            },
        ),
        ((Some(there), Some(entered)), Some(_), Some(_)) if differs(there, entered) => (
            Verdict::Change,
            Action::Reducer {
                from_m: there,
                to_m: entered,
            },
        ),
        ((Some(_), Some(_)), Some(_), Some(_)) => (Verdict::CarriesOver, Action::Keep),
        _ => (Verdict::NotKnown, Action::MeasureFirst),
    };
    Item {
        kind,
        from: length(bores.0),
        to: length(bores.1),
        verdict,
        action,
        because: Because::Speed { from, to, ceiling },
        count: counts(place, a, b),
    }
}

/// A hose on the compressor: its bore is the outside diameter of what it is pushed over.
fn hose(
    kind: ItemKind,
    place: Place,
    (a, from_m): (&Side, Option<f64>),
    (b, to_m): (&Side, Option<f64>),
) -> Item {
    let (verdict, action) = match (from_m, to_m) {
        (Some(from_m), Some(to_m)) if differs(from_m, to_m) => {
            (Verdict::Change, Action::Reducer { from_m, to_m })
        }
        (Some(_), Some(_)) => (Verdict::CarriesOver, Action::Keep),
        _ => (Verdict::NotKnown, Action::MeasureFirst),
    };
    Item {
        kind,
        from: length(from_m),
        to: length(to_m),
        verdict,
        action,
        because: Because::Speed {
            from: stream(place, from_m, a),
            to: stream(place, to_m, b),
            ceiling: place.ceiling(),
        },
        count: counts(place, a, b),
    }
}

/// Rated flow of filter and cooler, kg/s.
fn rated(side: &Side) -> f64 {
    side.build.get(Field::RatedFlow) * side.build.get(Field::Displacement)
}

/// Whether a part that was good for `limit` is asked for more than that, and more than before.
fn outgrown(from: f64, to: f64, limit: f64) -> bool {
    to > limit && to > from
}

fn filter(a: &Side, b: &Side) -> Item {
    let loss = |side: &Side| most(side.found, |s| s.filter_loss_pa);
    loaded(ItemKind::Filter, a, b, (loss(a), loss(b)), |flow_kg_s| {
        Action::LargerFilter { flow_kg_s }
    })
}

fn cooler(a: &Side, b: &Side) -> Item {
    let is_there = |side: &Side| side.build.get(Field::CoolerEffectiveness) > 0.0;
    let loss = |side: &Side| most(side.found, |s| s.cooler_loss_pa);
    let item = loaded(ItemKind::Cooler, a, b, (loss(a), loss(b)), |flow_kg_s| {
        Action::LargerCooler { flow_kg_s }
    });
    if is_there(a) || is_there(b) {
        return item;
    }
    Item {
        from: Value::Nothing,
        to: Value::Nothing,
        verdict: Verdict::CarriesOver,
        action: Action::Keep,
        ..item
    }
}

/// A part whose loss is quoted at the rated flow.
fn loaded(
    kind: ItemKind,
    a: &Side,
    b: &Side,
    losses: (Option<f64>, Option<f64>),
    larger: fn(f64) -> Action,
) -> Item {
    let flow = |side: &Side| most(side.found, |s| s.compressor_inlet.flow_kg_s).unwrap_or(0.0);
    let (flow_kg_s, rated_kg_s) = ((flow(a), flow(b)), rated(b));
    let (verdict, action) = match losses {
        (Some(_), Some(_)) if outgrown(flow_kg_s.0, flow_kg_s.1, rated_kg_s) => {
            (Verdict::Optional, larger(flow_kg_s.1))
        }
        (Some(_), Some(_)) => (Verdict::CarriesOver, Action::Keep),
        _ => (Verdict::NotKnown, Action::MeasureFirst),
    };
    let value = |loss: Option<f64>| loss.map_or(Value::NotKnown, Value::Loss);
    Item {
        kind,
        from: value(losses.0),
        to: value(losses.1),
        verdict,
        action,
        because: Because::Flow {
            rated_kg_s,
            rated_entered: b.build.entry(Field::RatedFlow).is_some(),
            flow_kg_s,
            loss_pa: (losses.0.unwrap_or(0.0), losses.1.unwrap_or(0.0)),
        },
        count: (1, 1),
    }
}

fn injectors(a: &Side, b: &Side) -> Item {
    let needed = |side: &Side| most(side.found, |s| s.injector_needed_m3_s);
    let needed = (needed(a), needed(b));
    let duty = |side: &Side| most(side.found, |s| s.injector_duty.unwrap_or(f64::NAN));
    let known = |side: &Side| duty(side).filter(|duty| duty.is_finite());
    let duties = (known(a), known(b));
    let allowed = b.build.get(Field::InjectorDuty);
    let (verdict, action) = match (duties, needed.1) {
        ((Some(from), Some(to)), Some(flow_m3_s)) if outgrown(from, to, allowed) => {
            (Verdict::Change, Action::LargerInjectors { flow_m3_s })
        }
        ((Some(_), Some(_)), _) => (Verdict::CarriesOver, Action::Keep),
        _ => (Verdict::NotKnown, Action::MeasureFirst),
    };
    let value = |duty: Option<f64>| duty.map_or(Value::NotKnown, Value::Duty);
    Item {
        kind: ItemKind::Injectors,
        from: value(duties.0),
        to: value(duties.1),
        verdict,
        action,
        because: Because::Duty {
            allowed,
            needed_m3_s: (needed.0.unwrap_or(0.0), needed.1.unwrap_or(0.0)),
        },
        count: (1, 1),
    }
}
