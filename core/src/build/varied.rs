//! A build with other values in many of its fields at once.

use super::{Build, BuildError, CurveField, Entry};
use crate::fields::Field;
use crate::numeric::Curve;

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

    /// The same build as another engine of its kind, without what was asked of or fitted to this one:
    /// `cylinders` of them, revving to `redline` in rad/s, its breathing curve stretched along with the
    /// redline (an engine that revs higher has ports and cams that breathe best higher up: a judgement).
    /// Power asked, boost over engine speed, injectors and the consumption from a dyno go.
    ///
    /// # Errors
    /// A number of cylinders or a redline that its field does not take.
    pub(crate) fn as_engine(&self, cylinders: f64, redline: f64) -> Result<Self, BuildError> {
        let entry = |field: Field, si: f64| {
            let unit = self.unit(field);
            Some(Entry { si, unit })
        };
        let stretch = redline / self.get(Field::Redline);
        let mut build = self
            .with(Field::Cylinders, entry(Field::Cylinders, cylinders))?
            .with(Field::Redline, entry(Field::Redline, redline))?;
        for field in [Field::PowerTarget, Field::InjectorFlow, Field::DynoBsfc] {
            build.entries[field as usize] = None;
        }
        build.boost_curve = None;
        if stretch != 1.0 {
            let mut breathing = build.breathing.clone();
            breathing.curve = stretched(&breathing.curve, stretch);
            build = build.with_curve(CurveField::Breathing, Some(breathing))?;
        }
        Ok(build)
    }
}

/// A breathing curve with its engine speeds times a factor, cut off where its range ends, which is
/// above any redline and below any idle speed.
fn stretched(curve: &Curve, factor: f64) -> Curve {
    let spec = CurveField::Breathing.spec();
    let unit = spec.x.0.unit(spec.x.1).unwrap_or_else(|| spec.x.0.metric());
    let (low, high) = (unit.to_si(spec.x_range.0), unit.to_si(spec.x_range.1));
    let moved: Vec<(f64, f64)> = curve
        .points()
        .into_iter()
        .map(|(x, y)| (x * factor, y))
        .collect();
    let inside = |x: f64| x > low && x < high;
    let mut points: Vec<(f64, f64)> = moved.iter().copied().filter(|p| inside(p.0)).collect();
    let at = |x: f64| curve.at(x / factor);
    if moved.first().is_some_and(|p| p.0 <= low) {
        points.insert(0, (low, at(low)));
    }
    if moved.last().is_some_and(|p| p.0 >= high) {
        points.push((high, at(high)));
    }
    Curve::new(&points).unwrap_or_else(|_| curve.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_build;

    #[test]
    fn another_engine_breathes_alike_against_its_redline() {
        let build = example_build().expect("ours");
        let redline = build.get(Field::Redline);
        for factor in [0.4, 0.9, 1.0, 2.2] {
            let other = build.as_engine(6.0, factor * redline).expect("in range");
            assert_eq!(other.get(Field::Cylinders), 6.0);
            assert_eq!(other.optional(Field::InjectorFlow), None);
            for share in [0.2, 0.5, 0.8, 1.0] {
                let (here, there) = (share * redline, share * factor * redline);
                let (a, b) = (
                    build.breathing().curve.at(here),
                    other.breathing().curve.at(there),
                );
                assert!((a / b - 1.0).abs() < 1e-9, "{factor}, {share}: {a} {b}");
            }
        }
        assert!(build.as_engine(4.0, 0.1 * redline).is_err());
        assert!(build.as_engine(40.0, redline).is_err());
        assert!(build.as_engine(f64::NAN, redline).is_err());
    }

    #[test]
    fn a_stretched_curve_stays_in_its_range() {
        let curve = Curve::new(&[(30.0, 0.8), (400.0, 1.0), (1900.0, 0.7)]).expect("rising");
        for factor in [0.3, 3.0] {
            for (x, _) in stretched(&curve, factor).points() {
                assert!((20.9..2094.5).contains(&x), "{x}");
            }
        }
    }
}
