//! Every bad input, and the whole message that a person sees.

use airpath::build::{Build, BuildFile, CurveField, EnteredCurve};
use airpath::fields::Field;
use airpath::numeric::Curve;
use airpath::{example_build, example_file};

fn build() -> Build {
    example_build().expect("the example is sound")
}

fn typed(field: Field, text: &str) -> String {
    match build().with_text(field, text, field.spec().unit()) {
        Ok(_) => "taken".to_owned(),
        Err(error) => error.to_string(),
    }
}

fn file(change: impl Fn(&str) -> String) -> String {
    match BuildFile::from_json(&change(example_file())).and_then(BuildFile::into_build) {
        Ok(_) => "taken".to_owned(),
        Err(error) => error.to_string(),
    }
}

#[test]
fn entries() {
    let all = [
        typed(Field::CompressionRatio, "92"),
        typed(Field::CompressionRatio, ""),
        typed(Field::CompressionRatio, "nan"),
        typed(Field::CompressionRatio, "1e999"),
        typed(Field::BoostTarget, "5 bar"),
        typed(Field::BoostTarget, "18 psi"),
        typed(Field::BoostTarget, "18 psia"),
        typed(Field::BoostTarget, "eighteen"),
        typed(Field::Displacement, "2200"),
        typed(Field::Displacement, "134 in³"),
        typed(Field::Redline, "900"),
        typed(Field::Cylinders, "4.5"),
        typed(Field::Barometer, ""),
        typed(Field::Lambda, "0,82"),
    ]
    .join("\n");
    insta::assert_snapshot!(all, @r#"
Compression ratio: 92 is above 23, the most this field takes. A decimal point may be missing: 9.2?
Compression ratio: It is empty. Enter a value from 6 to 23.
Compression ratio: “nan” is not a number: type digits, with a point or a comma for decimals, then the unit; 3/4 is typed 0.75. It takes 6 to 23.
Compression ratio: “1e999” is too large or too small to calculate with: type zero or a number between 1e-300 and 1e300 in size. It takes 6 to 23.
Boost asked: 5 bar is above 4 bar, the most this field takes. A decimal point may be missing: 0.5 bar?
taken
Boost asked: “psia” is absolute pressure, and gauge pressure is asked for: take the ambient pressure off and type the rest in bar, kPa, psi, inHg, kgf/cm², mbar, Pa. It takes 0 to 4 bar.
Boost asked: “eighteen” is not a number: type digits, with a point or a comma for decimals, then the unit; 3/4 is typed 0.75. It takes 0 to 4 bar.
Capacity: 2200 is above 15 litre, the most this field takes. A decimal point may be missing: 2.2 litre?
taken
Redline: 900 is below 2000 rev/min, the least this field takes. A digit may be missing: 9000 rev/min?
Cylinders: “4.5” is not a whole number: type one without decimals, such as 4. It takes 1 to 16.
taken
taken
"#);
}

#[test]
fn files() {
    let all = [
        file(|t| t.to_owned()),
        file(|t| t.replace("\"airpath_build\": 1", "\"airpath_build\": 2")),
        file(|t| t[..200].to_owned()),
        file(|_| "[]".to_owned()),
        file(|t| t.replace("rowan", "willow")),
        file(|t| t.replace("0.83", "0.5")),
        file(|t| {
            t.replace("\"lambda\"", "\"lamda\"")
                .replace("1.25 bar", "125 bar")
        }),
        file(|t| t.replace("2000 rev/min", "500 rev/min")),
        file(|t| t.replace("\"90 %\"", "\"900 %\"")),
    ]
    .join("\n--\n");
    insta::assert_snapshot!(all, @r#"
taken
--
The file is of version 2; this app reads version 1. Update the app, or export the build again from where it came.
--
This is not a build file: EOF while parsing an object (line 10, column 0). Export one to compare.
--
This is not a build file: it does not begin with { (line 1, column 1). Export one to compare.
--
There is no turbocharger “willow” on the shelf; it holds hazel, rowan, hornbeam. Name one of them or give the record in full.
--
Turbocharger “Rowan” has no housing of A/R 0.5; it has 0.67, 0.83, 1.04.
--
Boost asked: 125 bar is above 4 bar, the most this field takes. A decimal point may be missing: 1.25 bar?
Unknown key: there is no field or curve “lamda”. Was “lambda” meant? Remove it or correct its spelling; the schema lists every key.
--
Breathing: Point 2 of the curve does not lie to the right of the one before; sort the points and remove doubles.
--
Breathing: Point 2 has 900 %; it must lie between 30 and 140 %. Correct the point.
"#);
}

/// What is read is written back the same, entry for entry and unit for unit.
#[test]
fn a_file_comes_back() {
    let before = build();
    let again = BuildFile::from_json(&BuildFile::from_build(&before).to_json())
        .and_then(BuildFile::into_build)
        .expect("our own file");
    assert_eq!(before, again);
    let metric = before.with_text(
        Field::BoostTarget,
        "18.13 psi",
        Field::BoostTarget.spec().unit(),
    );
    let imperial = metric
        .expect("in range")
        .with_name("in psi")
        .expect("short");
    let again = BuildFile::from_json(&BuildFile::from_build(&imperial).to_json())
        .and_then(BuildFile::into_build)
        .expect("our own file");
    assert_eq!(imperial, again);
}

/// The same build entered in other units gives the same answer.
#[test]
fn units_do_not_matter() {
    let metric = build();
    let mut imperial = metric.clone();
    for field in Field::ALL {
        if let Some(entry) = metric.entry(*field) {
            let unit = field.spec().kind.imperial();
            let text = airpath::quantity::write_exact(entry.si, unit);
            imperial = imperial
                .with_text(*field, &text, unit)
                .expect("the same value");
        }
    }
    let (a, b) = (
        airpath::solve(&metric).expect("solves"),
        airpath::solve(&imperial).expect("solves"),
    );
    for (a, b) in a.speeds.iter().zip(&b.speeds) {
        approx::assert_relative_eq!(a.power_w, b.power_w, max_relative = 1e-8);
        approx::assert_relative_eq!(
            a.shaft_speed_rev_min,
            b.shaft_speed_rev_min,
            max_relative = 1e-6
        );
    }
}

/// The same build gives the same match, to the bit.
#[test]
fn a_match_repeats_to_the_bit() {
    let solve = || airpath::solve(&build()).expect("solves");
    assert_eq!(solve(), solve());
}

/// A curve with an absurd point is refused by name; a sound one and the default are taken.
#[test]
fn curves_are_checked() {
    let plain = build();
    let sound = plain
        .curve(CurveField::Breathing)
        .expect("always there")
        .clone();
    let mut points = sound.curve.points();
    points[1].1 = 9.0;
    let absurd = EnteredCurve {
        curve: Curve::new(&points).expect("rising"),
        ..sound.clone()
    };
    let error = plain.with_curve(CurveField::Breathing, Some(absurd));
    assert_eq!(
        error.expect_err("900 %").to_string(),
        "Breathing: Point 2 has 900 %; it must lie between 30 and 140 %. Correct the point."
    );
    assert_eq!(
        plain.with_curve(CurveField::Breathing, Some(sound)),
        Ok(plain.clone())
    );
    let default = plain
        .with_curve(CurveField::Breathing, None)
        .expect("sound");
    assert_ne!(default, plain, "the example has a curve of its own");
}

/// A number that is usual in the field's own unit is offered in that, not in the one typed last.
#[test]
fn another_unit_is_offered() {
    let cubic_inch = Field::Displacement
        .spec()
        .kind
        .unit("in³")
        .expect("an engine's");
    let error = build()
        .with_text(Field::Displacement, "2.0", cubic_inch)
        .expect_err("33 cm³");
    let airpath::build::BuildError::Fields(errors) = error else {
        panic!("{error:?}");
    };
    let error = &errors[0];
    assert!(
        error
            .problem
            .ends_with("Another unit may be meant: 2 litre?"),
        "{}",
        error.problem
    );
    let suggested = error.suggestion.expect("a suggestion");
    assert_eq!((suggested.si, suggested.unit.symbol), (0.002, "litre"));
}

/// A name holds nothing that turns the words around it.
#[test]
fn a_name_shows_all_its_signs() {
    let named = build()
        .with_name("a\u{202e}b\u{2067}c\u{7}d עברית 🏁")
        .expect("short");
    assert_eq!(named.name(), "abcd עברית 🏁");
}
