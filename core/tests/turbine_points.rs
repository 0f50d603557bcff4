//! A turbine by measured points of its flow.

use airpath::air_way::turbine::SwallowingPoint;
use airpath::build::{Build, BuildFile, Origin, Turbocharger};
use airpath::fields::Field;
use airpath::working::Working;
use std::sync::Arc;

fn example() -> Build {
    airpath::example_build().expect("ours")
}

/// Points of a law.
fn points(swallowing: f64, exponent: f64, ratios: &[f64]) -> Vec<SwallowingPoint> {
    let flow = |ratio: f64| swallowing * (1.0 - ratio.powf(-exponent)).sqrt();
    let point = |ratio: &f64| SwallowingPoint {
        expansion_ratio: *ratio,
        flow_parameter: flow(*ratio),
    };
    ratios.iter().map(point).collect()
}

fn with_points(points: Vec<SwallowingPoint>) -> Turbocharger {
    let build = example();
    let mut record = build.turbocharger().as_ref().clone();
    let housing = &mut record.turbine.housings[build.housing_index()];
    housing.swallowing = Some(9e-5);
    housing.swallowing_points = points;
    record.id = "my-own".to_owned();
    record
}

fn built(record: Turbocharger) -> Build {
    let build = example();
    let housing = build.housing_index();
    build
        .with_turbocharger(Arc::new(record), housing)
        .expect("sound")
}

/// Points of a law are as good as the law entered.
#[test]
fn points_do_what_their_law_does() {
    let (swallowing, exponent) = (2.5e-5, 1.9);
    let by_points = built(with_points(points(
        swallowing,
        exponent,
        &[1.2, 1.5, 2.0, 2.6],
    )));
    let entered = example()
        .with_text(
            Field::TurbineSwallowing,
            "2.5",
            Field::TurbineSwallowing.spec().unit(),
        )
        .and_then(|b| {
            b.with_text(
                Field::TurbineExponent,
                "1.9",
                Field::TurbineExponent.spec().unit(),
            )
        })
        .expect("in range");
    let (a, b) = (
        airpath::solve(&by_points).expect("solves"),
        airpath::solve(&entered).expect("solves"),
    );
    for (a, b) in a.speeds.iter().zip(&b.speeds) {
        approx::assert_relative_eq!(a.power_w, b.power_w, max_relative = 1e-5);
    }
    // With one point the usual exponent stays; what is entered goes before the points.
    let one = built(with_points(points(2.5e-5, 1.6, &[2.0]))).turbine_law();
    approx::assert_relative_eq!(one.swallowing, 2.5e-5, max_relative = 1e-9);
    assert_eq!(one.exponent, 1.6);
    let unit = Field::TurbineSwallowing.spec().unit();
    let overridden = by_points
        .with_text(Field::TurbineSwallowing, "3.1", unit)
        .expect("in range");
    let law = overridden.turbine_law();
    assert!((law.swallowing - 3.1e-5).abs() < 1e-12 && law.fit.is_none());
    let kept = by_points
        .with_text(
            Field::TurbineExponent,
            "1.6",
            Field::TurbineExponent.spec().unit(),
        )
        .expect("in range")
        .turbine_law();
    assert!(kept.exponent == 1.6 && kept.fit.is_some_and(|fit| fit.largest > 0.01));
    let known = by_points.knowledge().swallowing;
    assert_eq!(known.origin, Origin::Measured);
    assert!(known.uncertainty.half_width < example().knowledge().swallowing.uncertainty.half_width);
}

/// The working shows the exponent of the points.
#[test]
fn the_working_names_the_points() {
    let build = built(with_points(points(2.5e-5, 1.9, &[1.2, 1.5, 2.0, 2.6])));
    let found = airpath::solve(&build).expect("solves");
    let report = &found.speeds[found.speeds.len() / 2];
    let working = Working::at(&build, &found, report).expect("solved");
    let step = working.steps.iter().find(|s| s.key == "turbine_exponent");
    approx::assert_relative_eq!(step.expect("shown").value, 1.9, max_relative = 1e-6);
}

/// A file holds the points; one without them is read as before.
#[test]
fn points_pass_through_a_file() {
    let build = built(with_points(points(2.5e-5, 1.9, &[1.2, 2.6, 2.0])));
    let text = BuildFile::from_build(&build).to_json();
    assert!(text.contains("swallowing_points"));
    let again = BuildFile::from_json(&text).and_then(BuildFile::into_build);
    assert_eq!(again, Ok(build));
    let plain = BuildFile::from_build(&built(with_points(Vec::new()))).to_json();
    assert!(!plain.contains("swallowing_points"));
}

/// What is wrong with a point is said with its number.
#[test]
fn wrong_points_are_named() {
    let refused = |points: Vec<SwallowingPoint>| {
        let error = with_points(points).check().expect_err("wrong");
        error.to_string()
    };
    let mut wrong = points(2.5e-5, 1.9, &[1.2, 2.6, 2.0]);
    wrong[1].expansion_ratio = 0.9;
    assert!(
        refused(wrong.clone())
            .ends_with("point 2, expansion ratio: 0.9 does not lie between 1.02 and 12."),
        "{}",
        refused(wrong)
    );
    let mut wrong = points(2.5e-5, 1.9, &[1.2, 2.6, 2.0]);
    wrong[2].flow_parameter = f64::NAN;
    assert!(refused(wrong).contains("point 3, swallowing: NaN"));
    let mut wrong = points(2.5e-5, 1.9, &[1.02]);
    wrong[0].flow_parameter = 2.9e-4;
    assert!(refused(wrong).contains("fitted to its points, swallowing: 1"));
    let many = points(2.5e-5, 1.9, &[1.5; 65]);
    assert!(refused(many).contains("longer than 64"));
}
