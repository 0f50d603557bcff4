//! Rows of what a turbocharger is bolted to: manifold, housing, gate, downpipe.

use super::Side;
use super::air::downpipe;
use super::item::{Action, Because, Item, ItemKind, Value, Verdict};
use crate::build::{GateKind, Turbocharger};
use crate::fields::Field;

/// By how much two bores may differ and still be one size, m: what a hose and its clamp take up. A
/// judgement, no source.
const SAME_SIZE: f64 = 1e-3;

/// By how much the diameters of one wheel may differ from record to record, m. A judgement, no source.
const SAME_WHEEL: f64 = 5e-5;

/// By how much two springs may differ and be the same, Pa. A judgement, no source.
const SAME_SPRING: f64 = 1e3;

/// How much boost a controller can hold over what the spring alone does, and who says so.
const OVER_SPRING: (f64, &str) = (2.0, "common practice, no source: about twice the spring's");

/// Whether two lengths are of different size.
pub(super) fn differs(a: f64, b: f64) -> bool {
    (a - b).abs() > SAME_SIZE
}

pub(super) const KEEP: (Verdict, Action) = (Verdict::CarriesOver, Action::Keep);
pub(super) const MEASURE: (Verdict, Action) = (Verdict::NotKnown, Action::MeasureFirst);

/// Words without what does not matter in them; `None` where there are none.
fn words(text: &str) -> Option<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    (!words.is_empty()).then(|| words.join(" ").to_lowercase())
}

/// Whether two texts say the same; `None` where one is blank.
pub(super) fn same_words(a: &str, b: &str) -> Option<bool> {
    Some(words(a)? == words(b)?)
}

pub(super) fn said(text: &str) -> Value {
    match words(text) {
        Some(_) => Value::Words(text.to_owned()),
        None => Value::NotKnown,
    }
}

pub(super) fn length(m: Option<f64>) -> Value {
    m.map_or(Value::NotKnown, Value::Length)
}

/// A row about each turbocharger.
pub(super) fn each(
    kind: ItemKind,
    (a, from): (&Side, Value),
    (b, to): (&Side, Value),
    (verdict, action): (Verdict, Action),
    because: Because,
) -> Item {
    Item {
        kind,
        from,
        to,
        verdict,
        action,
        because,
        count: (a.count, b.count),
    }
}

/// A row that compares what two records say in words.
pub(super) fn said_alike(
    kind: ItemKind,
    (a, b): (&Side, &Side),
    of: fn(&Turbocharger) -> &str,
    other: Action,
) -> Item {
    let (from, to) = (of(a.turbocharger()), of(b.turbocharger()));
    let outcome = match same_words(from, to) {
        Some(true) => KEEP,
        Some(false) => (Verdict::Change, other),
        None => MEASURE,
    };
    each(
        kind,
        (a, said(from)),
        (b, said(to)),
        outcome,
        Because::Records,
    )
}

/// A row that compares two bores; `other` is what is done from one to another.
pub(super) fn bores(
    kind: ItemKind,
    (a, b): (&Side, &Side),
    of: fn(&Turbocharger) -> Option<f64>,
    other: fn(f64, f64) -> Action,
) -> Item {
    let (from, to) = (of(a.turbocharger()), of(b.turbocharger()));
    let outcome = match (from, to) {
        (Some(from_m), Some(to_m)) if differs(from_m, to_m) => {
            (Verdict::Change, other(from_m, to_m))
        }
        (Some(_), Some(_)) => KEEP,
        _ => MEASURE,
    };
    each(
        kind,
        (a, length(from)),
        (b, length(to)),
        outcome,
        Because::Records,
    )
}

/// How many turbochargers there are.
pub(super) fn turbochargers(a: &Side, b: &Side) -> Item {
    let values = (Value::Count(a.count), Value::Count(b.count));
    each(
        ItemKind::Turbochargers,
        (a, values.0),
        (b, values.1),
        KEEP,
        Because::Count,
    )
}

/// From manifold to downpipe.
pub(super) fn exhaust(a: &Side, b: &Side) -> Vec<Item> {
    vec![
        manifold(a, b),
        said_alike(
            ItemKind::TurbineFlange,
            (a, b),
            |t| &t.connections.turbine_flange,
            Action::NewFlange,
        ),
        housing(a, b),
        gate(a, b),
        spring(a, b),
        said_alike(
            ItemKind::ExhaustFlange,
            (a, b),
            |t| &t.connections.exhaust_flange,
            Action::NewFlange,
        ),
        bores(
            ItemKind::TurbineOutlet,
            (a, b),
            |t| t.connections.turbine_outlet_m,
            |from_m, to_m| Action::Reducer { from_m, to_m },
        ),
        downpipe(a, b),
    ]
}

fn manifold(a: &Side, b: &Side) -> Item {
    let value = |side: &Side| Value::Manifold {
        turbochargers: side.count,
        entry: side.build.housing().entry,
    };
    let (from, to) = (value(a), value(b));
    let (verdict, action) = match from == to {
        true => KEEP,
        false => (Verdict::Change, Action::NewManifold),
    };
    Item {
        kind: ItemKind::Manifold,
        from,
        to,
        verdict,
        action,
        because: Because::Records,
        count: (1, 1),
    }
}

/// Whether one turbocharger's housing fits the other's cartridge, as far as wheel, flanges and gate tell:
/// the contour of a wheel is not in a record.
fn frame(a: &Turbocharger, b: &Turbocharger) -> (bool, Option<bool>) {
    let near = |a: f64, b: f64| (a - b).abs() <= SAME_WHEEL;
    let same_wheel = near(a.turbine.inducer_m, b.turbine.inducer_m)
        && near(a.turbine.exducer_m, b.turbine.exducer_m);
    if a == b {
        return (true, Some(true));
    }
    let same_gate = a.gate.kind == b.gate.kind
        && (a.gate.kind == GateKind::External || near(a.gate.diameter_m, b.gate.diameter_m));
    let (one, other) = (&a.connections, &b.connections);
    let flanges = [
        same_words(&one.turbine_flange, &other.turbine_flange),
        same_words(&one.exhaust_flange, &other.exhaust_flange),
    ];
    let same_joints = if !same_gate || flanges.contains(&Some(false)) {
        Some(false)
    } else if flanges.contains(&None) {
        None
    } else {
        Some(true)
    };
    (same_wheel, same_joints)
}

fn housing(a: &Side, b: &Side) -> Item {
    let value = |side: &Side| Value::Housing {
        a_over_r: side.build.housing().a_over_r,
        entry: side.build.housing().entry,
    };
    let (same_wheel, same_joints) = frame(a.turbocharger(), b.turbocharger());
    let (from, to) = (a.build.housing(), b.build.housing());
    let same_housing = (from.a_over_r - to.a_over_r).abs() < 1e-6 && from.entry == to.entry;
    let outcome = match (same_wheel, same_joints) {
        (false, _) | (_, Some(false)) => (Verdict::Change, Action::ComesWithIt),
        (true, None) => MEASURE,
        (true, Some(true)) if same_housing => KEEP,
        (true, Some(true)) => (
            Verdict::Change,
            Action::OtherHousing {
                a_over_r: to.a_over_r,
            },
        ),
    };
    let because = Because::Frame {
        same_wheel,
        same_joints,
    };
    each(
        ItemKind::TurbineHousing,
        (a, value(a)),
        (b, value(b)),
        outcome,
        because,
    )
}

fn gate(a: &Side, b: &Side) -> Item {
    let value = |(kind, diameter_m)| Value::Gate { kind, diameter_m };
    let (from, to) = (a.gate(), b.gate());
    let creeps = (a.creeps(), b.creeps());
    let diameter_m = to.1;
    let outcome = match (from.0, to.0) {
        (GateKind::Internal, GateKind::External) => {
            (Verdict::Change, Action::AddExternalGate { diameter_m })
        }
        (GateKind::External, GateKind::Internal) => (Verdict::Change, Action::CloseGatePort),
        (GateKind::External, _) if differs(from.1, to.1) => {
            (Verdict::Change, Action::OtherGate { diameter_m })
        }
        (GateKind::External, _) => KEEP,
        // A gate in the housing goes where the housing goes.
        (GateKind::Internal, _) => match frame(a.turbocharger(), b.turbocharger()) {
            (true, Some(true)) if !differs(from.1, to.1) => KEEP,
            (true, None) => MEASURE,
            _ => (Verdict::Change, Action::ComesWithIt),
        },
    };
    let outcome = match outcome {
        KEEP if creeps.1 && !creeps.0 => (Verdict::Change, Action::LargerGate),
        outcome => outcome,
    };
    let because = Because::Creep {
        from: creeps.0,
        to: creeps.1,
    };
    each(
        ItemKind::Gate,
        (a, value(from)),
        (b, value(to)),
        outcome,
        because,
    )
}

/// What a gate's spring alone holds, Pa gauge: in a turbine housing the record's, else as entered.
fn spring_of(side: &Side) -> Option<f64> {
    let gate = side.turbocharger().gate;
    let record = gate.spring_pa.filter(|_| gate.kind == GateKind::Internal);
    let entered = || side.build.entry(Field::GateSpring).map(|e| e.si);
    record.or_else(entered)
}

fn spring(a: &Side, b: &Side) -> Item {
    // What was entered about an actuator in a housing says nothing of another turbocharger's.
    let told = b.gate().0 == GateKind::External
        || b.turbocharger().gate.spring_pa.is_some()
        || a.turbocharger() == b.turbocharger()
        || a.build.entry(Field::GateSpring) != b.build.entry(Field::GateSpring);
    let springs = (spring_of(a), spring_of(b).filter(|_| told));
    let (least_pa, most_pa) = b.boost_asked();
    let same_kind = a.gate().0 == b.gate().0;
    let outcome = match springs {
        (Some(from), Some(to)) if same_kind && (from - to).abs() <= SAME_SPRING => KEEP,
        (_, Some(to)) if to > least_pa => {
            (Verdict::Change, Action::SofterSpring { most_pa: least_pa })
        }
        (_, Some(to)) if to * OVER_SPRING.0 < most_pa => (
            Verdict::Change,
            Action::StifferSpring {
                least_pa: most_pa / OVER_SPRING.0,
            },
        ),
        (_, Some(_)) => (Verdict::Change, Action::ComesWithIt),
        _ => MEASURE,
    };
    let value = |spring: Option<f64>| spring.map_or(Value::NotKnown, Value::GaugePressure);
    let because = Because::Boost {
        least_pa,
        most_pa,
        over_spring: OVER_SPRING,
    };
    each(
        ItemKind::GateSpring,
        (a, value(springs.0)),
        (b, value(springs.1)),
        outcome,
        because,
    )
}
