//! A shelf screened: the few engine speeds of a look say what a full match says, rejections are real,
//! weights move ranks the right way and no candidate moves another.

#![cfg(not(target_arch = "wasm32"))]

use airpath::build::{Build, BuildFile, Turbocharger, whole_shelf};
use airpath::desk::Candidate;
use airpath::desk::shortlist::{Look, POWER_REACHED, Placed, Screen, Weights, Why, Wish, Wishes};
use airpath::fields::Field;
use airpath::run::{Match, THRESHOLD_SHARE};
use airpath::{example_build, solve};
use std::sync::Arc;

fn kept(name: &str) -> Build {
    let path = format!("{}/builds/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a build that is kept");
    let file = BuildFile::from_json(&text).expect("a build file");
    file.into_build().expect("a sound build")
}

fn example() -> Build {
    example_build().expect("the example is sound")
}

fn shelf() -> Vec<Arc<Turbocharger>> {
    whole_shelf().into_iter().map(Arc::new).collect()
}

fn screen(build: &Build) -> Screen {
    Screen::new(build, Wishes::default()).expect("sound")
}

fn name(look: &Look) -> String {
    format!(
        "{} {} {:?}",
        look.turbocharger, look.housing, look.arrangement
    )
}

/// Room, or share of what was asked, by which a look at few speeds and a full match may disagree on a
/// verdict: less than any limit is known to.
const CLOSE_CALL: f64 = 0.006;

/// Whether a rejection is borne out by a full match.
fn is_real(why: Why, found: &Match, build: &Build, wishes: &Wishes) -> bool {
    let short = |s: &airpath::run::SpeedReport| {
        s.boost_pa < (THRESHOLD_SHARE + CLOSE_CALL) * s.boost_asked_pa
    };
    match why {
        Why::Room(kind) => {
            let least = wishes.least_room(kind).expect("asked for");
            let limit = found.limits.iter().find(|limit| limit.kind == kind);
            limit.is_some_and(|limit| limit.room < least + CLOSE_CALL)
        }
        Why::Creep => found
            .speeds
            .iter()
            .any(|s| s.boost_pa > s.boost_asked_pa + 4_000.0),
        Why::NeverReached => found.usable_threshold_rev_min.is_none(),
        Why::Late => found.usable_threshold_rev_min > wishes.boost_by_rev_min,
        Why::Short => found
            .speeds
            .iter()
            .any(|s| Some(s.engine_speed_rev_min) > found.usable_threshold_rev_min && short(s)),
        Why::Power => {
            let asked = build.optional(Field::PowerTarget).unwrap_or(0.0);
            let least = wishes
                .least_power_w
                .unwrap_or(0.0)
                .max(POWER_REACHED * asked);
            found.speeds[found.most_power].power_w < least * (1.0 + CLOSE_CALL)
        }
        Why::Unsolved => !found.unsolved.is_empty(),
        Why::Unfit => false,
    }
}

#[test]
fn every_rejection_is_real_and_every_threshold_right() {
    for (build, wishes) in [
        (
            example(),
            Wishes {
                boost_by_rev_min: Some(3300.0),
                least_power_w: Some(225e3),
                ..Wishes::default()
            },
        ),
        (kept("05-v8-5.0-pair"), Wishes::default()),
    ] {
        let screen = Screen::new(&build, wishes.clone()).expect("sound");
        let all = screen.candidates(&shelf());
        let (mut rejected, mut kinds) = (0, Vec::new());
        for (candidate, look) in all.iter().zip(screen.looks(&all)) {
            let fitted = candidate.on(&build).expect("sound");
            let found = solve(&fitted).expect("solves");
            for rejection in &look.rejections {
                rejected += 1;
                if !kinds.contains(&rejection.why) {
                    kinds.push(rejection.why);
                }
                let why = rejection.why;
                assert!(
                    is_real(why, &found, &fitted, &wishes),
                    "{}: {rejection:?}",
                    name(&look)
                );
            }
            let ends = [
                (
                    look.usable_threshold_rev_min,
                    found.usable_threshold_rev_min,
                ),
                (look.drive_threshold_rev_min, found.drive_threshold_rev_min),
            ];
            for (coarse, fine) in ends {
                // None where the other just reaches it.
                let (Some(coarse), Some(fine)) = (coarse, fine) else {
                    continue;
                };
                assert!(
                    (coarse - fine).abs() < 40.0,
                    "{}: {coarse} {fine}",
                    name(&look)
                );
            }
            // Of what is out of the question the few speeds may miss the peak.
            let power = found.speeds[found.most_power].power_w;
            let near = if look.rejections.is_empty() {
                0.005
            } else {
                0.1
            };
            assert!(
                (look.most_power.0 / power - 1.0).abs() < near,
                "{}",
                name(&look)
            );
        }
        println!("{}: {rejected} rejections of {kinds:?}", build.name());
        assert!(rejected > 50 && kinds.len() >= 6, "{rejected} {kinds:?}");
    }
}

/// The few speeds against 120: verdicts but for close calls, totals, and order but for near ties.
#[test]
fn few_speeds_rank_as_many_do() {
    for build in [
        example(),
        kept("05-v8-5.0-pair"),
        kept("07-diesel-four-2.0"),
    ] {
        let screen = screen(&build);
        let all = screen.candidates(&shelf());
        let (few, many) = (
            screen.looks(&all),
            screen.clone().with_speeds(120).looks(&all),
        );
        for (a, b) in few.iter().zip(&many) {
            let worst = |look: &Look| look.rejections.first().map_or(0.0, |r| r.outside);
            if a.rejections.is_empty() != b.rejections.is_empty() {
                assert!(worst(a).max(worst(b)) < CLOSE_CALL, "{}", name(a));
            }
        }
        let (few, many) = (screen.rank(&few), screen.rank(&many));
        let total = |look: usize| many.iter().find(|p| p.look == look).map(|p| p.total);
        let both: Vec<(&Placed, f64)> = few
            .iter()
            .filter_map(|p| Some((p, total(p.look)?)))
            .collect();
        let (mut off, mut swapped, mut widest, mut pairs) = (0.0_f64, 0, 0.0_f64, 0);
        for (i, (placed, fine)) in both.iter().enumerate() {
            off = off.max((placed.total - fine).abs());
            for (_, below) in &both[i + 1..] {
                pairs += 1;
                if below > fine {
                    swapped += 1;
                    widest = widest.max(below - fine);
                }
            }
        }
        println!(
            "{}: totals off by {off:.4}; {swapped} of {pairs} pairs swapped, {widest:.4} apart at most",
            build.name()
        );
        assert!(off < 0.03 && widest < 0.03, "{off} {widest}");
        assert!(swapped * 100 < pairs, "{swapped} of {pairs}");
    }
}

/// A build that asks for a power: each candidate gets the boost that a full match finds for it.
#[test]
fn a_power_is_reached_with_the_boost_of_a_full_match() {
    let build = kept("25-power-asked");
    let screen = screen(&build);
    let all = screen.candidates(&shelf());
    let mut seen = 0;
    for candidate in all.iter().step_by(5) {
        let look = screen.look(candidate);
        let found = solve(&candidate.on(&build).expect("sound")).expect("solves");
        let short = look.rejections.iter().any(|r| r.why == Why::Power);
        assert_eq!(short, found.power_out_of_reach.is_some(), "{}", name(&look));
        let (Some(coarse), Some(fine)) = (look.boost_for_power_pa, found.boost_for_power_pa) else {
            panic!("a power was asked");
        };
        // Past a limit more boost hardly gives more power, and the boost for one says little.
        if look.rejections.is_empty() {
            seen += 1;
            // The most torque may lie between two of the few speeds; above it there is as much as the
            // boost may be off by.
            let torque = found.speeds[found.most_torque].torque_nm;
            let off = look.most_torque.0 / torque - 1.0;
            assert!((-0.06..0.03).contains(&off), "{}: {off}", name(&look));
            assert!(
                (coarse - fine).abs() < 2_500.0,
                "{}: {coarse} {fine}",
                name(&look)
            );
        }
    }
    assert!(seen > 10, "{seen}");
}

/// Raising one weight never ranks a candidate that is worse in that wish above one that it was below.
#[test]
fn weights_move_ranks_the_right_way() {
    let screen = screen(&example());
    let all = screen.candidates(&shelf());
    let looks = screen.looks(&all);
    let base = Weights::default();
    let before = screen.rank(&looks);
    for (i, wish) in Wish::ALL.iter().enumerate() {
        let more = match wish {
            Wish::Early => Weights { early: 1.0, ..base },
            Wish::Middle => Weights {
                middle: 1.0,
                ..base
            },
            Wish::Top => Weights { top: 1.0, ..base },
            Wish::Margin => Weights {
                margin: 1.0,
                ..base
            },
        };
        let after = screen.clone().with_weights(more).rank(&looks);
        let place = |look: usize| after.iter().position(|p| p.look == look);
        let mut moved = 0;
        for (n, a) in before.iter().enumerate() {
            for b in &before[n + 1..] {
                if place(b.look) < place(a.look) {
                    moved += 1;
                    assert!(b.scores[i] > a.scores[i], "{wish:?}");
                }
            }
        }
        assert!(moved > 0, "{wish:?} moves nothing");
    }
    // One wish alone ranks by it alone.
    let alone = Weights {
        early: 1.0,
        middle: 0.0,
        top: 0.0,
        margin: 0.0,
    };
    let ranked = screen.clone().with_weights(alone).rank(&looks);
    let torque = |p: &Placed| looks[p.look].means[0].torque_nm;
    assert!(ranked.windows(2).all(|p| torque(&p[0]) >= torque(&p[1])));
}

/// Neither the order of the shelf nor a candidate more changes what is said of another.
#[test]
fn no_candidate_moves_another() {
    let screen = screen(&example());
    let all = screen.candidates(&shelf());
    let named = |looks: &[Look]| -> Vec<(String, u64)> {
        let ranked = screen.rank(looks);
        let named = ranked.iter();
        named
            .map(|p| (name(&looks[p.look]), p.total.to_bits()))
            .collect()
    };
    let looks = screen.looks(&all);
    let ranked = named(&looks);
    let backwards: Vec<Candidate> = all.iter().rev().cloned().collect();
    assert_eq!(named(&screen.looks(&backwards)), ranked);
    // In pieces, as workers take them.
    let pieces: Vec<Look> = all
        .chunks(7)
        .flat_map(|piece| screen.looks(piece))
        .collect();
    assert_eq!(pieces, looks);
    // Every third taken away: the rest keep their order and totals.
    let some: Vec<Look> = looks
        .iter()
        .enumerate()
        .filter(|(i, _)| i % 3 != 0)
        .map(|(_, look)| look.clone())
        .collect();
    let left = named(&some);
    let kept: Vec<_> = ranked
        .iter()
        .filter(|one| left.contains(one))
        .cloned()
        .collect();
    assert_eq!(left, kept);
    // What is fitted in the build decides nothing.
    let other = all[40].on(&example()).expect("sound");
    let from_other = Screen::new(&other, Wishes::default()).expect("sound");
    assert_eq!(from_other.look(&all[20]), screen.look(&all[20]));
}

#[test]
fn looks_go_through_json_and_reasons_add_up() {
    let screen = screen(&example());
    let all = screen.candidates(&shelf());
    let looks = screen.looks(&all);
    let text = serde_json::to_string(&looks).expect("plain data");
    let back: Vec<Look> = serde_json::from_str(&text).expect("plain data");
    assert_eq!(back, looks);
    assert!(text.len() < 2_500 * looks.len(), "{}", text.len());
    let wishes = serde_json::to_string(screen.wishes()).expect("plain data");
    let back: Wishes = serde_json::from_str(&wishes).expect("plain data");
    assert_eq!(&back, screen.wishes());

    let (ranked, rejected) = (screen.rank(&looks), screen.rejected(&looks));
    assert_eq!(ranked.len() + rejected.len(), looks.len());
    let worst: Vec<f64> = rejected.iter().map(|r| r.reasons[0].outside).collect();
    assert!(worst.windows(2).all(|w| w[0] >= w[1]));
    for (i, placed) in ranked.iter().enumerate() {
        assert_eq!(placed.place, i + 1);
        if let (Some(below), Some(next)) = (placed.below, ranked.get(i + 1)) {
            assert_eq!(below.look, next.look);
            // What carries it is more than what costs it, taken over all four wishes.
            let carried = below.carries.map_or(0.0, |c| c.1);
            assert!(placed.total - next.total <= 4.0 * carried + 1e-12);
            let above = next.above.expect("not the first");
            assert_eq!(above.costs, below.carries);
            assert_eq!(above.carries, below.costs);
        }
    }
    // A reason names where it begins: what chokes does so at the top.
    let tops = looks.iter().flat_map(|l| &l.rejections);
    let chokes = tops.filter(|r| r.why == Why::Room(airpath::run::LimitKind::Choke));
    assert!(chokes.clone().count() > 3);
    assert!(
        chokes
            .clone()
            .any(|r| r.from_rev_min.is_some() && r.to_rev_min.is_none())
    );
}
