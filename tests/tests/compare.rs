//! Candidates side by side: what the account claims is held against matches solved afresh, figure by
//! figure, and causes against what changes when one side alone is changed.

use airpath::build::{Arrangement, Build, Turbocharger, whole_shelf};
use airpath::desk::Candidate;
use airpath::desk::compare::{Claim, Contest, Measure, NOTED};
use airpath::run::Match;
use std::sync::Arc;

const SPEEDS: usize = 63;

fn example() -> Build {
    airpath::example_build().expect("the example is sound")
}

fn shelf() -> Vec<Arc<Turbocharger>> {
    whole_shelf().into_iter().map(Arc::new).collect()
}

fn candidate(id: &str, a_over_r: f64, arrangement: Arrangement) -> Candidate {
    let turbocharger = shelf().into_iter().find(|t| t.id == id).expect(id);
    let housing = turbocharger
        .turbine
        .housings
        .iter()
        .position(|h| h.a_over_r == a_over_r)
        .expect("a housing of the shelf");
    Candidate {
        turbocharger,
        housing,
        arrangement,
    }
}

/// Every turbocharger of the shelf beside the two that follow it in size, middle housings.
fn trios() -> Vec<Vec<Candidate>> {
    let all: Vec<Candidate> = shelf()
        .into_iter()
        .map(|turbocharger| Candidate {
            housing: turbocharger.turbine.housings.len() / 2,
            turbocharger,
            arrangement: Arrangement::Single,
        })
        .collect();
    all.windows(3).map(<[Candidate]>::to_vec).collect()
}

fn contest(build: &Build, candidates: &[Candidate]) -> Contest {
    let mut contest = Contest::new(build, candidates, SPEEDS).expect("the shelf is sound");
    for place in 0..candidates.len() {
        contest.time(place);
    }
    contest
}

fn at(found: &Match, speed: f64) -> &airpath::run::SpeedReport {
    found
        .speeds
        .iter()
        .find(|s| s.engine_speed_rev_min == speed)
        .expect("a speed that was solved")
}

/// Asserts a claim on matches solved afresh.
fn holds(claim: &Claim, mine: &Match, theirs: Option<&Match>, reference: f64) {
    let told = format!("{claim:?}");
    let figure = |m: &Match| match claim.measure {
        Measure::BoostFrom => m.usable_threshold_rev_min,
        Measure::Torque => Some(at(m, claim.at_rev_min.expect("a speed")).torque_nm),
        Measure::MostPower => m.speeds.iter().map(|s| s.power_w).max_by(f64::total_cmp),
        Measure::BeforeTurbine => Some(
            at(m, claim.at_rev_min.expect("a speed"))
                .turbine_inlet
                .pressure_pa,
        ),
        Measure::Room(kind) | Measure::Past(kind) => {
            m.limits.iter().find(|l| l.kind == kind).map(|l| l.room)
        }
        // Its own check is `time_is_that_of_the_response`.
        Measure::TimeToBoost => None,
    };
    if claim.measure == Measure::TimeToBoost {
        assert_eq!(claim.at_rev_min, Some(reference), "{told}");
    } else {
        assert_eq!(claim.mine, figure(mine), "{told}");
    }
    let Some(theirs) = theirs else {
        let Measure::Past(kind) = claim.measure else {
            panic!("{told}");
        };
        let limit = mine
            .limits
            .iter()
            .find(|l| l.kind == kind)
            .expect("a limit");
        assert!(limit.room < 0.0 || limit.holds_boost.is_some(), "{told}");
        assert!(
            !claim.gain && claim.over_rev_min == limit.holds_boost,
            "{told}"
        );
        return;
    };
    if claim.measure != Measure::TimeToBoost {
        assert_eq!(claim.theirs, figure(theirs), "{told}");
    }
    let lower_is_better = matches!(
        claim.measure,
        Measure::BoostFrom | Measure::BeforeTurbine | Measure::TimeToBoost
    );
    match (claim.mine, claim.theirs) {
        (Some(a), Some(b)) => assert_eq!(claim.gain, (a < b) == lower_is_better, "{told}"),
        (a, _) => assert_eq!(claim.gain, a.is_some(), "{told}"),
    }
    if let (Some((compressor, turbine)), Some(apart)) = (claim.shares, claim.difference()) {
        let off = (compressor + turbine - apart).abs();
        assert!(off < 1e-9 * apart.abs().max(1.0), "{told}");
    }
    match claim.measure {
        Measure::MostPower => {
            let (here, there) = (claim.at_rev_min, claim.their_rev_min);
            let power = |m: &Match, speed: Option<f64>| at(m, speed.expect("a speed")).power_w;
            assert_eq!(claim.mine, Some(power(mine, here)), "{told}");
            assert_eq!(claim.theirs, Some(power(theirs, there)), "{told}");
        }
        Measure::BeforeTurbine => {
            let speed = claim.at_rev_min.expect("a speed");
            let apart = |s: f64| (at(mine, s).boost_pa - at(theirs, s).boost_pa).abs();
            assert!(apart(speed) < NOTED.same_boost_pa, "{told}");
            let above = mine.speeds.iter().map(|s| s.engine_speed_rev_min);
            assert!(
                above
                    .filter(|s| *s > speed)
                    .all(|s| apart(s) >= NOTED.same_boost_pa),
                "{told}"
            );
        }
        Measure::Torque => {
            let (from, to) = claim.over_rev_min.expect("a stretch");
            let most = [mine, theirs].map(|m| m.speeds[m.most_torque].torque_nm);
            let noted = NOTED.torque * most[0].max(most[1]);
            let sign = if claim.gain { 1.0 } else { -1.0 };
            let ahead = |s: f64| sign * (at(mine, s).torque_nm - at(theirs, s).torque_nm);
            let largest = ahead(claim.at_rev_min.expect("a speed"));
            for speed in mine.speeds.iter().map(|s| s.engine_speed_rev_min) {
                if (from..=to).contains(&speed) {
                    assert!(ahead(speed) >= noted && ahead(speed) <= largest, "{told}");
                }
            }
        }
        _ => {}
    }
}

#[test]
fn every_claim_is_in_the_numbers() {
    let build = example();
    let mut claims = 0;
    for trio in trios() {
        let contest = contest(&build, &trio);
        // Solved afresh, not by the contest.
        let found: Vec<Match> = trio
            .iter()
            .map(|c| {
                let fitted = build
                    .with_turbocharger(c.turbocharger.clone(), c.housing)
                    .expect("the shelf is sound");
                airpath::solve_at(&fitted, SPEEDS).expect("the shelf is sound")
            })
            .collect();
        for (place, account) in contest.account().iter().enumerate() {
            assert!(account.gains.iter().all(|c| c.gain));
            assert!(account.losses.iter().all(|c| !c.gain));
            for claim in account.gains.iter().chain(&account.losses) {
                assert_ne!(claim.against, Some(place));
                let theirs = claim.against.map(|other| &found[other]);
                holds(claim, &found[place], theirs, contest.reference_rev_min);
                claims += 1;
            }
            // Heaviest first, and drawbacks are there as strengths are.
            let in_order = |all: &[Claim]| all.windows(2).all(|p| p[0].weight >= p[1].weight);
            assert!(in_order(&account.gains) && in_order(&account.losses));
        }
    }
    assert!(claims > 200, "{claims}");
}

#[test]
fn what_one_gains_another_gives_up() {
    let build = example();
    let two = [
        candidate("hazel", 0.54, Arrangement::Single),
        candidate("rowan", 0.83, Arrangement::Single),
    ];
    let contest = contest(&build, &two);
    let [first, second] = <[_; 2]>::try_from(contest.account()).expect("two");
    let held = |all: &[Claim]| -> Vec<_> {
        let pairs = all.iter().filter(|c| c.against.is_some());
        pairs
            .map(|c| (format!("{:?}", c.measure), c.mine, c.theirs))
            .collect()
    };
    let turned =
        |all: &[Claim]| -> Vec<_> { held(all).into_iter().map(|(m, a, b)| (m, b, a)).collect() };
    assert_eq!(held(&first.gains), turned(&second.losses));
    assert_eq!(held(&first.losses), turned(&second.gains));
    assert!(!first.gains.is_empty() && !first.losses.is_empty());
    // The small one is quicker, the large one stronger at the top.
    assert!(first.gains.iter().any(|c| c.measure == Measure::BoostFrom));
    assert!(
        first
            .gains
            .iter()
            .any(|c| c.measure == Measure::TimeToBoost)
    );
    assert!(second.gains.iter().any(|c| c.measure == Measure::MostPower));
    assert!(
        second
            .gains
            .iter()
            .any(|c| c.measure == Measure::BeforeTurbine)
    );
}

#[test]
fn time_is_that_of_the_response() {
    let build = example();
    let two = [
        candidate("rowan", 0.83, Arrangement::Single),
        candidate("rowan", 1.04, Arrangement::Single),
    ];
    let contest = contest(&build, &two);
    for (candidate, contender) in two.iter().zip(&contest.contenders) {
        let fitted = candidate.on(&build).expect("the shelf is sound");
        let spool = airpath::response::time_to_boost(&fitted, contest.reference_rev_min);
        let expected = spool.expect("there is an answer").reach.time();
        // Solved for another number of speeds, it begins its search elsewhere.
        match (contender.time_to_boost(contest.reference_rev_min), expected) {
            (Some(a), Some(b)) => assert!((a / b - 1.0).abs() < 1e-3, "{a} {b}"),
            (a, b) => assert_eq!(a, b),
        }
    }
}

/// Another housing on the same turbocharger is the turbine's doing alone, and another compressor on
/// the same turbine the compressor's; where both differ, a larger housing delays and unloads.
#[test]
fn causes_are_told_apart() {
    let build = example();
    let one = Arrangement::Single;
    let housing = contest(
        &build,
        &[candidate("rowan", 0.83, one), candidate("rowan", 1.04, one)],
    );
    assert!(housing.causes(1).is_none(), "plain by itself");
    let both = contest(
        &build,
        &[
            candidate("rowan", 0.83, one),
            candidate("rowan-67", 1.04, one),
        ],
    );
    let causes = both.causes(1).expect("both sides differ");
    let of = |contest: &Contest, place: usize| contest.contenders[place].found.clone();
    // Where surge decides, it is the compressor's line that does: what the turbine drives is asked here.
    let threshold = |m: &Match| m.drive_threshold_rev_min;
    let (compressor, turbine) = causes
        .shares(&of(&both, 1), &of(&both, 0), threshold)
        .expect("boost is reached by all four");
    assert!(turbine > 0.0, "the larger housing delays: {turbine}");
    // The turbine's share lies between what it makes on either compressor.
    let alone = threshold(&of(&housing, 1)).zip(threshold(&of(&housing, 0)));
    let (later, sooner) = alone.expect("boost is reached");
    let with_the_other = contest(
        &build,
        &[
            candidate("rowan-67", 0.83, one),
            candidate("rowan-67", 1.04, one),
        ],
    );
    let (b, a) = (
        threshold(&of(&with_the_other, 1)).expect("reached"),
        threshold(&of(&with_the_other, 0)).expect("reached"),
    );
    let mean = 0.5 * ((later - sooner) + (b - a));
    assert!(
        (turbine - mean).abs() < 1.0,
        "{turbine} {mean} {compressor}"
    );
    let pressure = |m: &Match| Some(m.speeds.last()?.turbine_inlet.pressure_pa);
    let (_, turbine) = causes
        .shares(&of(&both, 1), &of(&both, 0), pressure)
        .expect("solved at the redline");
    assert!(turbine < 0.0, "the larger housing unloads: {turbine}");
}

/// A pair against a single: no half of either is to be had, so no cause is named.
#[test]
fn a_pair_stands_beside_a_single() {
    let build = example();
    let contest = contest(
        &build,
        &[
            candidate("rowan", 0.83, Arrangement::Single),
            candidate("hazel", 0.54, Arrangement::Pair),
        ],
    );
    assert!(contest.causes(1).is_none());
    let accounts = contest.account();
    assert_eq!(accounts.len(), 2);
    for row in contest.rows(5000.0) {
        assert_eq!(row.values.len(), 2);
        assert_eq!(row.difference(0).unwrap_or(0.0), 0.0);
    }
}
