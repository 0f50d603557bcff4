//! Rows of the lines to a turbocharger, oil and coolant, and of the room that it takes.

use super::Side;
use super::item::{Action, Because, Item, ItemKind, Value, Verdict};
use super::joints::{KEEP, MEASURE, bores, each, length, said, said_alike, same_words};
use super::oil::{OIL_PRACTICE, Restrictor, restrictor};
use crate::build::{Bearing, Turbocharger};
use crate::fields::Field;

/// What practice says of coolant.
const COOLANT_PRACTICE: &str = "common practice, no source: a ball bearing needs its coolant lines, a journal bearing may run without";

/// Oil and coolant.
pub(super) fn lines(a: &Side, b: &Side) -> Vec<Item> {
    vec![
        said_alike(
            ItemKind::OilFeed,
            (a, b),
            |t| &t.connections.oil_feed,
            Action::NewFitting,
        ),
        oil_restrictor(a, b),
        bores(
            ItemKind::OilDrain,
            (a, b),
            |t| t.connections.oil_drain_m,
            // A larger drain stays: only the fitting on it is another.
            |from_m, bore_m| match bore_m > from_m {
                true => Action::OtherDrain { bore_m },
                false => Action::NewFitting,
            },
        ),
        coolant(a, b),
    ]
}

fn oil_restrictor(a: &Side, b: &Side) -> Item {
    let takes = (restrictor(a.build), restrictor(b.build));
    let bore = |restrictor: Restrictor| match restrictor {
        Restrictor::Stated(m) | Restrictor::Practice(m) => Value::Length(m),
        Restrictor::None => Value::Nothing,
        Restrictor::NotKnown => Value::NotKnown,
    };
    let (from, to) = (bore(takes.0), bore(takes.1));
    let outcome = match (&from, &to) {
        (_, Value::NotKnown) => MEASURE,
        (Value::NotKnown, Value::Length(bore_m)) => {
            (Verdict::NotKnown, Action::FitRestrictor { bore_m: *bore_m })
        }
        (Value::NotKnown, _) => MEASURE,
        // Bores of a restrictor are a tenth of a millimetre apart: they are the same or not.
        (from, to) if from == to => KEEP,
        (_, Value::Length(bore_m)) => (Verdict::Change, Action::FitRestrictor { bore_m: *bore_m }),
        _ => (Verdict::Change, Action::RemoveRestrictor),
    };
    let because = Because::Bearing {
        from: a.turbocharger().bearing,
        to: b.turbocharger().bearing,
        by_practice: !matches!(takes.1, Restrictor::Stated(_)),
        practice: OIL_PRACTICE,
    };
    each(
        ItemKind::OilRestrictor,
        (a, from),
        (b, to),
        outcome,
        because,
    )
}

/// The coolant of a record: blank where it tells of its other connections means none, but for a ball
/// bearing, which needs it.
fn coolant_of(side: &Side) -> Value {
    let turbocharger = side.turbocharger();
    let connections = &turbocharger.connections;
    match said(&connections.coolant) {
        Value::NotKnown if turbocharger.bearing == Bearing::Journal && !connections.is_blank() => {
            Value::Nothing
        }
        value => value,
    }
}

fn coolant(a: &Side, b: &Side) -> Item {
    let (from, to) = (coolant_of(a), coolant_of(b));
    let bearing = b.turbocharger().bearing;
    let outcome = match (&from, &to) {
        (Value::Nothing, Value::Words(_)) => match bearing {
            Bearing::Ball => (Verdict::Change, Action::AddCoolantLines),
            Bearing::Journal => (Verdict::Optional, Action::AddCoolantLines),
        },
        (Value::Words(_), Value::Nothing) => (Verdict::Change, Action::CloseCoolantLines),
        (Value::Words(from), Value::Words(to)) => match same_words(from, to) {
            Some(true) => KEEP,
            _ => (Verdict::Change, Action::NewFitting),
        },
        (Value::Nothing, Value::Nothing) => KEEP,
        _ => MEASURE,
    };
    let because = Because::Bearing {
        from: a.turbocharger().bearing,
        to: bearing,
        by_practice: false,
        practice: COOLANT_PRACTICE,
    };
    each(ItemKind::Coolant, (a, from), (b, to), outcome, because)
}

/// Outer sizes against the room that there is, or else against what fits now.
pub(super) fn room(a: &Side, b: &Side) -> Vec<Item> {
    type Size = fn(&Turbocharger) -> Option<f64>;
    let rows: [(ItemKind, Option<Field>, Size); 4] = [
        (ItemKind::Length, Some(Field::RoomLength), |t| {
            t.connections.length_m
        }),
        (ItemKind::Height, Some(Field::RoomHeight), |t| {
            t.connections.height_m
        }),
        (ItemKind::CompressorHousing, None, |t| {
            t.connections.compressor_housing_m
        }),
        (ItemKind::TurbineHousingWidth, None, |t| {
            t.connections.turbine_housing_m
        }),
    ];
    let row = |(kind, field, size): (ItemKind, Option<Field>, Size)| {
        let (from, to) = (size(a.turbocharger()), size(b.turbocharger()));
        let room = field.and_then(|field| b.build.optional(field));
        let outcome = match (from, to, room) {
            // It is in its place already.
            (Some(from), Some(to), _) if to <= from && b.count <= a.count => KEEP,
            (_, Some(to), Some(room)) if to <= room => KEEP,
            (_, Some(to), Some(room)) => (
                Verdict::Change,
                Action::MakeRoom {
                    missing_m: to - room,
                },
            ),
            _ => MEASURE,
        };
        Item {
            kind,
            from: length(from),
            to: length(to),
            verdict: outcome.0,
            action: outcome.1,
            because: Because::Room(room),
            // A place is found for each, not added or taken off.
            count: (1, 1),
        }
    };
    rows.into_iter().map(row).collect()
}
