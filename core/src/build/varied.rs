//! A build with other values in many of its fields at once.

use super::{Build, Entry};
use crate::fields::Field;

impl Build {
    /// The same build with other values, SI, in some fields, its breathing curve times a factor, and,
    /// if `boost` is given in Pa gauge, with that asked at every speed in place of what was asked.
    ///
    /// Values must be finite; they are held to the ranges of their fields, so that the build stays
    /// valid.
    pub(crate) fn varied(
        &self,
        values: impl IntoIterator<Item = (Field, f64)>,
        breathing: f64,
        boost: Option<f64>,
    ) -> Self {
        let mut build = self.clone();
        let mut set = |field: Field, si: f64| {
            let (low, high) = field.spec().range_si();
            build.entries[field as usize] = Some(Entry {
                si: si.max(low).min(high),
                unit: self.unit(field),
            });
        };
        for (field, si) in values {
            set(field, si);
        }
        if let Some(boost) = boost {
            set(Field::BoostTarget, boost);
            build.entries[Field::PowerTarget as usize] = None;
            build.boost_curve = None;
        }
        if breathing != 1.0 {
            build.breathing.curve = build.breathing.curve.times(breathing);
        }
        build
    }
}
