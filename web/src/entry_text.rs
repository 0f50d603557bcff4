//! What an input shows, and when it may be written to. Pure.

use airpath::build::Build;
use airpath::fields::{Default, Field};
use airpath::quantity::{System, Unit, read, write_exact, write_number};

/// The unit that a field is shown in: the one it was entered in, else the one chosen for it, else
/// that of the page.
pub fn unit_of(
    build: &Build,
    field: Field,
    chosen: Option<&'static Unit>,
    system: System,
) -> &'static Unit {
    if let Some(entry) = build.entry(field) {
        return entry.unit;
    }
    let spec = field.spec();
    chosen.unwrap_or(match system {
        System::Imperial if spec.unit().system != System::Both => spec.kind.imperial(),
        _ => spec.unit(),
    })
}

/// The number that an input shows, without its unit; empty for a field that is blank.
pub fn shown(build: &Build, field: Field, unit: &'static Unit) -> String {
    build
        .optional(field)
        .map_or_else(String::new, |si| number(si, unit))
}

/// A number as short as it can be: exact if that is short, else rounded as suits the unit.
pub fn number(si: f64, unit: &'static Unit) -> String {
    let exact = write_exact(si, unit);
    let exact = exact.strip_suffix(unit.symbol).unwrap_or(&exact).trim_end();
    if exact.len() <= 7 {
        return exact.to_owned();
    }
    let value = unit.from_si(si).abs();
    // Four figures at least, for small numbers in large units.
    let figures = if value > 0.0 {
        (3.0 - value.log10().floor()).clamp(0.0, 8.0) as u8
    } else {
        0
    };
    let rounded = write_number(si, unit, unit.decimals.max(figures));
    if rounded.contains('.') && !rounded.contains('e') {
        rounded
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned()
    } else {
        rounded
    }
}

/// Whether a text already says what the build holds, so that it must not be written over: a
/// person may be in the middle of typing it ("1.", "0.50", "18 psi").
pub fn says_it(text: &str, build: &Build, field: Field, unit: &'static Unit) -> bool {
    let held = build.optional(field);
    match (read(text, field.spec().kind, unit), held) {
        (Ok(reading), Some(si)) => {
            let close = (reading.si - si).abs() <= 1e-9 * si.abs().max(reading.si.abs());
            close
                && (!reading.unit_was_typed
                    || build.entry(field).is_some_and(|e| e.unit == reading.unit))
        }
        (Err(_), None) => text.trim().is_empty(),
        _ => false,
    }
}

/// What a blank field means, if it may be blank.
pub fn blank_means(field: Field) -> Option<&'static str> {
    match field.spec().default {
        Default::Blank(meaning) => Some(meaning),
        _ => None,
    }
}

/// What a blank field shows: the turbocharger's own value where that is what counts, else "blank".
pub fn placeholder(build: &Build, field: Field, unit: &'static Unit) -> String {
    if blank_means(field).is_none() {
        return String::new();
    }
    let turbocharger = build.turbocharger();
    let own = match field {
        Field::ShaftSpeedLimit => Some(
            field
                .spec()
                .kind
                .metric()
                .to_si(turbocharger.largest_speed_rev_min),
        ),
        Field::TurbineInletLimit => Some(turbocharger.turbine.inlet_limit_k),
        Field::TurbinePeakEfficiency => Some(turbocharger.turbine.peak_efficiency),
        Field::TurbineSwallowing => build.housing().swallowing,
        Field::GateDiameter => Some(turbocharger.gate.diameter_m),
        // The turbocharger's lift goes with its own valve only.
        Field::GateLift if build.optional(Field::GateDiameter).is_none() => {
            Some(turbocharger.gate.lift_m)
        }
        _ => None,
    };
    own.map_or_else(|| "blank".to_owned(), |si| number(si, unit))
}

/// The field's default in a unit, if it has one.
pub fn default_text(field: Field, unit: &'static Unit, diesel: bool) -> Option<String> {
    let si = field.spec().default_si(diesel)?;
    Some(
        format!("{} {}", number(si, unit), unit.symbol)
            .trim_end()
            .to_owned(),
    )
}

/// The usual range in a unit.
pub fn usual_text(field: Field, unit: &'static Unit) -> String {
    let spec = field.spec();
    let text = |value: f64| number(spec.unit().to_si(value), unit);
    format!(
        "{} to {} {}",
        text(spec.usual.0),
        text(spec.usual.1),
        unit.symbol
    )
    .trim_end()
    .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use airpath::quantity::Kind;

    fn example() -> Build {
        airpath::example_build().unwrap_or_else(|| panic!("the example is sound"))
    }

    #[test]
    fn half_typed_numbers_are_left_alone() {
        let bar = Kind::GaugePressure.metric();
        let typed = |text: &str| {
            let build = example().with_text(Field::BoostTarget, text, bar);
            build.unwrap_or_else(|e| panic!("{e}"))
        };
        for text in ["1.2", "1,2", "1.20", " 1.2 ", "1.2 bar"] {
            let build = typed(text);
            assert!(says_it(text, &build, Field::BoostTarget, bar), "{text}");
        }
        let build = typed("18 psi");
        let psi = unit_of(&build, Field::BoostTarget, None, System::Metric);
        assert_eq!(psi.symbol, "psi");
        assert!(says_it("18 psi", &build, Field::BoostTarget, psi));
        assert_eq!(shown(&build, Field::BoostTarget, psi), "18");
        assert!(!says_it("1.2", &build, Field::BoostTarget, psi));
    }

    #[test]
    fn what_was_not_entered_follows_the_page() {
        let build = example();
        let field = Field::CoolerLoss;
        let build = build.with(field, None).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(unit_of(&build, field, None, System::Metric).symbol, "kPa");
        assert_eq!(unit_of(&build, field, None, System::Imperial).symbol, "psi");
    }

    #[test]
    fn long_numbers_are_rounded_for_reading() {
        let psi = Kind::GaugePressure.imperial();
        assert_eq!(number(psi.to_si(18.0), psi), "18");
        // 1.25 bar over 6 894.757 Pa in a psi (NIST SP 811, B.8).
        assert_eq!(number(125_000.0, psi), "18.13");
    }
}
