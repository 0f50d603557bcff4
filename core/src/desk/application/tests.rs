//! Which way bounds move, that the search finds all there is, and that it answers the same each time.

use super::*;
use crate::build::whole_shelf;
use crate::example_build;
use std::collections::BTreeMap;
use std::sync::Arc;

fn candidate(id: &str, housing: usize) -> Candidate {
    let shelf = whole_shelf();
    let record = shelf.iter().find(|t| t.id == id).expect("on the shelf");
    Candidate {
        turbocharger: Arc::new(record.clone()),
        housing,
        arrangement: Arrangement::Single,
    }
}

fn survey_of(build: &Build, candidate: &Candidate, setting: usize, keep: &InHand) -> Survey {
    let settings = Setting::usual(build);
    Survey::new(build, candidate, &settings[setting], keep).expect("sound")
}

fn survey(id: &str, housing: usize, keep: &InHand) -> Survey {
    let build = example_build().expect("ours");
    survey_of(&build, &candidate(id, housing), 0, keep)
}

fn span(survey: &Survey, boost: f64) -> Span {
    let rows = survey.clone().with_boosts(&[boost]).rows();
    let row = rows.into_iter().next().expect("a row");
    row.span.expect("something suits")
}

/// The place in [`IN_HAND`] of what is kept before a limit.
fn place_of(bound: Bound) -> Option<usize> {
    IN_HAND
        .iter()
        .position(|spec| spec.label == bound.label())
        .or((bound == Bound::LateBoost).then_some(0))
}

#[test]
fn every_row_of_what_is_kept_has_its_own_place() {
    let default = InHand::default();
    assert_eq!(default, default.held());
    for (place, spec) in IN_HAND.iter().enumerate() {
        let mut changed = default;
        *(spec.place)(&mut changed) = f64::NAN;
        assert_eq!(changed.held(), default, "{}", spec.label);
        *(spec.place)(&mut changed) = 7.0;
        for (other, row) in IN_HAND.iter().enumerate() {
            let moved = (row.get)(&changed) != (row.get)(&default);
            assert_eq!(moved, other == place, "{} {}", spec.label, row.label);
        }
        assert_eq!((spec.get)(&changed.held()), spec.range.1);
        assert!(spec.range.0 <= spec.default && spec.default <= spec.range.1);
    }
    for (place, bound) in BOUNDS.into_iter().enumerate() {
        assert_eq!(bound as usize, place);
        let kept = place_of(bound).is_some();
        assert_eq!(kept, bound != Bound::BoostFalls, "{bound:?}");
    }
}

/// Each limit kept 5 % further away and then, where it sets a bound, let come nearer by those 5 %: that
/// must move the bound outwards, and the other one not inwards.
#[test]
fn relaxing_the_limit_that_sets_a_bound_moves_it_outwards() {
    const BY: f64 = 0.05;
    const BOOSTS: [f64; 5] = [0.4e5, 0.9e5, 1.4e5, 1.7e5, 1.9e5];
    let mut seen: BTreeMap<String, (f64, f64)> = BTreeMap::new();
    for (id, housing) in [
        ("hazel-44", 2),
        ("rowan", 1),
        ("hornbeam", 1),
        ("oak-92", 3),
    ] {
        let relaxed = survey(id, housing, &InHand::default()).with_boosts(&BOOSTS);
        let relaxed = relaxed.rows();
        for bound in BOUNDS {
            let Some(place) = place_of(bound) else {
                continue;
            };
            let mut strict = InHand::default();
            // Boost that must be there 5 % sooner; the others are room.
            *(IN_HAND[place].place)(&mut strict) += match bound {
                Bound::LateBoost => -BY * strict.late,
                _ => BY,
            };
            let strict = survey(id, housing, &strict).with_boosts(&BOOSTS);
            for (before, after) in strict.rows().iter().zip(&relaxed) {
                let Some(before) = &before.span else { continue };
                let after = after.span.as_ref().expect("no narrower");
                let low = before.low.displacement_m3 / after.low.displacement_m3;
                let high = after.high.displacement_m3 / before.high.displacement_m3;
                assert!(
                    low.min(high) > 0.995,
                    "{id} {housing} {bound:?}: {low} {high}"
                );
                for (end, out) in [(before.low, low), (before.high, high)] {
                    if end.bound == bound {
                        // Another limit may stand right behind it.
                        assert!(out > 0.998, "{id} {housing} {bound:?}: {out}");
                        let (least, most) = seen.entry(format!("{bound:?}")).or_insert((out, out));
                        (*least, *most) = (least.min(out), most.max(out));
                    }
                }
            }
        }
    }
    println!("{seen:?}");
    for bound in ["LateBoost", "Surge", "Choke", "ShaftSpeed", "Gate"] {
        let (_, most) = seen.get(bound).expect("sets a bound");
        assert!(*most > 1.03, "{bound} hardly moves: {seen:?}");
    }
}

#[test]
fn a_larger_compressor_on_the_same_turbine_wants_larger_engines() {
    let keep = InHand::default();
    let ends = |id: &str, housing: usize, boost: f64| {
        let span = span(&survey(id, housing, &keep), boost);
        (span.low.displacement_m3, span.high.displacement_m3)
    };
    for boost in [0.6e5, 1.2e5] {
        // Rising in the exducer of one family; then from family to family.
        for ids in [
            ["rowan-67", "rowan", "rowan-75"],
            ["hazel", "rowan", "hornbeam"],
        ] {
            let found = ids.map(|id| ends(id, 1, boost));
            for pair in found.windows(2) {
                assert!(pair[1].0 > 1.01 * pair[0].0, "{ids:?} {boost}: {found:?}");
                assert!(pair[1].1 > 1.01 * pair[0].1, "{ids:?} {boost}: {found:?}");
            }
        }
    }
    // A larger housing drives later, which counts where late boost is what bounds.
    for (id, smaller, boost) in [
        ("hazel-44", 1, 1.5e5),
        ("oak-92", 2, 0.9e5),
        ("oak-92", 2, 1.5e5),
    ] {
        let found =
            [smaller, smaller + 1].map(|housing| span(&survey(id, housing, &keep), boost).low);
        assert!(
            found.iter().all(|end| end.bound == Bound::LateBoost),
            "{found:?}"
        );
        let [a, b] = found.map(|end| end.displacement_m3);
        assert!(b > 1.01 * a, "{id} {boost}: {found:?}");
    }
}

#[test]
fn a_pair_suits_twice_the_engine() {
    let build = example_build().expect("ours");
    let keep = InHand::default();
    let one = span(&survey_of(&build, &candidate("rowan", 1), 0, &keep), 1.2e5);
    let pair = span(&survey_of(&build, &candidate("rowan", 1), 2, &keep), 1.2e5);
    // Twice the displacement in twice the cylinders: each turbocharger sees the same engine.
    for (a, b) in [(one.low, pair.low), (one.high, pair.high)] {
        assert_eq!(a.bound, b.bound);
        assert!((b.displacement_m3 / a.displacement_m3 / 2.0 - 1.0).abs() < 0.005);
        assert!((b.wheel_power_w / a.wheel_power_w / 2.0 - 1.0).abs() < 0.01);
    }
}

#[test]
fn rows_are_the_same_in_any_order_and_after_their_text() {
    let survey = survey("rowan", 1, &InHand::default());
    let rows = survey.rows();
    let again = Survey::clone(&survey);
    let mut backwards: Vec<Row> = (0..again.len())
        .rev()
        .filter_map(|i| again.row(i))
        .collect();
    let window = survey.window(&rows);
    assert_eq!(survey.window(&backwards), window);
    backwards.reverse();
    assert_eq!(rows, backwards);
    assert_eq!(read_rows(&write_rows(&rows)), Some(rows.clone()));
    assert!(survey.row(survey.len()).is_none());
    assert!(read_rows("[1]").is_none());
    // The outline is closed.
    let ends = window
        .outline
        .iter()
        .zip(window.outline.iter().cycle().skip(1));
    for (piece, next) in ends {
        assert_eq!(piece.to, next.from);
    }
}

/// A few numbers of the window against looks of their own, between the rows.
#[test]
fn the_shape_between_rows_is_that_of_the_solver() {
    let survey = survey("rowan", 1, &InHand::default());
    let window = survey.window(&survey.rows());
    let summary = window.summary.clone().expect("something suits");
    let (low, high) = summary.displacement_m3;
    for share in [0.15, 0.4, 0.65, 0.9] {
        let displacement = low.value + share * (high.value - low.value);
        let ((least, _), (most, _)) = window.boost_at(displacement).expect("inside");
        assert!(most > least);
        // Between rows the wall is straight: within a twentieth of a bar.
        assert!(
            survey.look(displacement, most - 5e3).suits(),
            "{share} {most}"
        );
        assert!(
            !survey.look(displacement, most + 5e3).suits(),
            "{share} {most}"
        );
    }
    let top = summary.boost_pa.1;
    assert!(survey.look(top.at.displacement_m3, top.value).suits());
    assert!(!survey.look(top.at.displacement_m3, top.value + 2e3).suits());
    assert!(window.boost_at(0.9 * low.value).is_none());
    assert!(window.displacement_at(1.01 * top.value).is_none());
    let grid = window.power_grid(7).expect("something suits");
    assert_eq!(grid.wheel_power_w.len(), 7 * grid.boost_pa.len());
    for (i, boost) in grid.boost_pa.iter().enumerate() {
        for (j, displacement) in grid.displacement_m3.iter().enumerate() {
            let look = survey.look(*displacement, *boost);
            let power = grid.wheel_power_w[i * 7 + j];
            assert!(power.is_finite());
            if look.suits() {
                assert!(
                    (power / look.wheel_power_w - 1.0).abs() < 0.01,
                    "{look:?} {power}"
                );
            }
        }
    }
}

/// A plain sweep, by steps of 3 %, finds nothing that the search has not found, and no hole in what it has.
#[test]
fn a_plain_sweep_finds_the_same() {
    const RATIO: f64 = 1.03;
    for (id, housing) in [("elder-38", 0), ("rowan", 1), ("oak-92", 3)] {
        let survey = survey(id, housing, &InHand::default());
        let (mut spans, mut empty) = (0, 0);
        for row in survey.rows().iter().step_by(2) {
            let (low, high) = match &row.span {
                Some(span) => (span.low.displacement_m3, span.high.displacement_m3),
                None => (f64::INFINITY, 0.0),
            };
            *(if row.span.is_some() {
                &mut spans
            } else {
                &mut empty
            }) += 1;
            let mut displacement = survey.range().0;
            while displacement < survey.range().1 {
                // Closer to a bound than it is bisected to, either may be.
                let near = [low, high].map(|bound| (displacement / bound - 1.0).abs());
                if near.iter().all(|off| *off > 0.005) {
                    let inside = displacement > low && displacement < high;
                    let look = survey.look(displacement, row.boost_pa);
                    assert_eq!(look.suits(), inside, "{id} {look:?} {low} {high}");
                }
                displacement *= RATIO;
            }
        }
        assert!(spans > 4 && empty > 1, "{id}: {spans}, {empty}");
    }
}

#[test]
fn where_nothing_suits_it_is_said_what_stands_against() {
    let survey = survey("hazel", 0, &InHand::default()).with_boosts(&[4e5, f64::NAN, 3.9e5, 4e5]);
    assert_eq!(survey.boosts(), [3.9e5, 4e5]);
    let rows = survey.rows();
    for row in &rows {
        let closest = row.closest.expect("too much boost");
        assert!(row.span.is_none() && closest.slack < 0.0);
        assert_eq!(
            closest.slack,
            survey
                .look(closest.displacement_m3, row.boost_pa)
                .tightest()
                .1
        );
    }
    let window = survey.window(&rows);
    assert!(window.summary.is_none() && window.outline.is_empty());
    assert!(window.boost_at(2e-3).is_none() && window.power_grid(5).is_none());
    assert!(survey.window(&[]).summary.is_none());
}

#[test]
fn a_window_that_reaches_the_end_of_the_search_says_so() {
    let build = example_build().expect("ours");
    let setting = Setting {
        redline_rev_min: 4500.0,
        ..Setting::usual(&build)[2].clone()
    };
    let survey = Survey::new(
        &build,
        &candidate("oak-100", 2),
        &setting,
        &InHand::default(),
    );
    let survey = survey.expect("sound");
    let span = span(&survey, 0.9e5);
    assert_eq!(span.high.bound, Bound::Search);
    assert_eq!(span.high.displacement_m3, survey.range().1);
    assert_ne!(span.low.bound, Bound::Search);
}

#[test]
fn what_an_engine_cannot_have_is_refused() {
    let build = example_build().expect("ours");
    let usual = &Setting::usual(&build)[0];
    for (cylinders, redline_rev_min) in [
        (0.0, 7000.0),
        (4.0, 100.0),
        (4.0, 1e6),
        (f64::NAN, 7000.0),
        (4.0, f64::NAN),
        (f64::INFINITY, 7000.0),
    ] {
        let setting = Setting {
            cylinders,
            redline_rev_min,
            ..usual.clone()
        };
        let refused = Survey::new(&build, &candidate("rowan", 1), &setting, &InHand::default());
        assert!(
            matches!(refused, Err(ApplicationError::Build(_))),
            "{setting:?}"
        );
    }
    let refused = Survey::new(&build, &candidate("rowan", 9), usual, &InHand::default());
    assert!(refused.is_err());
}

/// An odd base, at the ends of the ranges of what the sheet changes, still gives one.
#[test]
fn odd_engines_have_a_sheet() {
    let build = example_build().expect("ours");
    for (stroke, displacement, redline) in [(200.0, 0.2, 16_000.0), (30.0, 15.0, 2000.0)] {
        let set = |build: Build, field: Field, value: f64| {
            let unit = field.spec().unit();
            build
                .with_text(field, &value.to_string(), unit)
                .expect("in range")
        };
        let odd = set(build.clone(), Field::Stroke, stroke);
        let odd = set(odd, Field::Displacement, displacement);
        let setting = Setting {
            name: String::new(),
            cylinders: 16.0,
            arrangement: Arrangement::Single,
            redline_rev_min: redline,
        };
        let survey = Survey::new(&odd, &candidate("rowan", 1), &setting, &InHand::default());
        let survey = survey.expect("sound").with_boosts(&[0.0, 1e5]);
        let (low, high) = survey.range();
        assert!(low <= high && low > 0.0, "{low} {high}");
        for row in survey.rows() {
            assert!(row.span.is_some() != row.closest.is_some());
        }
    }
}
