//! The account of candidates side by side, in sentences made of its figures.

use crate::show::{TIE, Units, percent, shown, speed};
use airpath::desk::compare::{Account, Claim, Contest, Measure, Suits};
use airpath::fields::Field;
use airpath::quantity::Kind;
use airpath::run::LimitKind;

/// A sentence and whether it warns.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// The words.
    pub text: String,
    /// Marked as a limit that is passed.
    pub warns: bool,
}

fn rev(value: f64) -> String {
    speed(value, 10.0)
}

/// A time as it is told.
pub fn seconds(time: f64) -> String {
    format!("{time:.1}{TIE}s")
}

/// A limit as the subject of a sentence.
fn limit(kind: LimitKind) -> &'static str {
    match kind {
        LimitKind::Gate => "The wastegate",
        other => other.label(),
    }
}

/// How far a claim's figures lie apart as they are read: the difference of what is written.
fn apart(claim: &Claim, units: Units) -> Option<f64> {
    let kind = match claim.measure {
        Measure::BoostFrom => None,
        Measure::Torque => Some(Kind::Torque),
        Measure::MostPower => Some(Kind::Power),
        Measure::BeforeTurbine => Some(Kind::AbsolutePressure),
        _ => return claim.difference().map(f64::abs),
    };
    let read = |value: f64| match kind {
        None => 10.0 * (value / 10.0).round(),
        Some(kind) => {
            let shown = shown(kind, units);
            let step = 10f64.powi(i32::from(shown.decimals));
            let number = (shown.unit.from_si(value) * step).round() / step;
            shown.unit.to_si(number)
        }
    };
    Some((read(claim.mine?) - read(claim.theirs?)).abs())
}

/// A share of a difference in words: which side makes it, and how much.
fn cause(claim: &Claim, amount: &dyn Fn(f64) -> String) -> Option<String> {
    let (compressor, turbine) = claim.shares?;
    let whole = claim.difference()?;
    if whole == 0.0 {
        return None;
    }
    let (of_turbine, of_compressor) = (turbine / whole, compressor / whole);
    // From four fifths on the rest is not worth a word: a judgement, no source.
    let nearly_all = 0.8..=1.2;
    let said = if nearly_all.contains(&of_turbine) {
        "the turbine’s doing".to_owned()
    } else if nearly_all.contains(&of_compressor) {
        "the compressor’s doing".to_owned()
    } else if of_turbine > 1.2 {
        format!(
            "the turbine alone would make {}, the compressor takes {} back",
            amount(turbine.abs()),
            amount(compressor.abs())
        )
    } else if of_compressor > 1.2 {
        format!(
            "the compressor alone would make {}, the turbine takes {} back",
            amount(compressor.abs()),
            amount(turbine.abs())
        )
    } else {
        format!(
            "the turbine makes {} of it, the compressor {}",
            amount(turbine.abs()),
            amount(compressor.abs())
        )
    };
    Some(said)
}

/// A claim in a sentence.
pub fn say(claim: &Claim, names: &[String], units: Units, reference: f64) -> Said {
    let other = claim
        .against
        .and_then(|i| names.get(i))
        .map_or("the other", String::as_str);
    let at = claim.at_rev_min.map(rev).unwrap_or_default();
    let warns = claim.stops;
    let more = |claim: &Claim| claim.difference().is_some_and(|d| d > 0.0);
    let by = apart(claim, units).unwrap_or_default();
    let over = claim.over_rev_min.map(|(a, b)| (rev(a), rev(b)));
    let with_cause = |text: String, amount: &dyn Fn(f64) -> String| match cause(claim, amount) {
        Some(cause) => format!("{text} ({cause})."),
        None => format!("{text}."),
    };
    let text = match claim.measure {
        Measure::BoostFrom => match (claim.mine, claim.theirs) {
            (Some(mine), Some(_)) => with_cause(
                format!(
                    "Boost from {}, {} rev/min {} than {other}",
                    rev(mine),
                    rev(by),
                    if more(claim) { "later" } else { "sooner" }
                ),
                &rev,
            ),
            (Some(mine), None) => format!("Boost from {}; {other} never has it.", rev(mine)),
            (None, theirs) => format!(
                "Never has nine tenths of the boost asked; {other} has from {}.",
                theirs.map(rev).unwrap_or_default()
            ),
        },
        Measure::Torque => {
            let torque = shown(Kind::Torque, units);
            let (from, to) = over.unwrap_or_default();
            let ahead = if more(claim) { "ahead of" } else { "behind" };
            with_cause(
                format!(
                    "{} {} at {at}; {ahead} {other} from {from} to {to}",
                    torque.text(by),
                    if more(claim) { "more" } else { "less" },
                ),
                &|v| torque.text(v),
            )
        }
        Measure::MostPower => {
            let power = shown(Kind::Power, units);
            let there = claim.their_rev_min.map(rev).unwrap_or_default();
            with_cause(
                format!(
                    "{} {} at most: {} at {at}, {other} {} at {there}",
                    power.text(by),
                    if more(claim) { "more" } else { "less" },
                    power.number(claim.mine.unwrap_or_default()),
                    power.text(claim.theirs.unwrap_or_default()),
                ),
                &|v| power.text(v),
            )
        }
        Measure::BeforeTurbine => {
            let pressure = shown(Kind::AbsolutePressure, units);
            with_cause(
                format!(
                    "{} {} before the turbine than {other} for the same boost at {at}",
                    pressure.text(by),
                    if more(claim) { "more" } else { "less" },
                ),
                &|v| pressure.text(v),
            )
        }
        Measure::TimeToBoost => {
            let when = rev(reference);
            match (claim.mine, claim.theirs) {
                (Some(mine), Some(theirs)) => format!(
                    "{} to boost at {when}; {other} takes {}.",
                    seconds(mine),
                    seconds(theirs)
                ),
                (Some(mine), None) => format!(
                    "{} to boost at {when}, where {other} never has it.",
                    seconds(mine)
                ),
                (None, theirs) => format!(
                    "Boost never comes at {when}; {other} takes {}.",
                    theirs.map(seconds).unwrap_or_default()
                ),
            }
        }
        Measure::Room(kind) => format!(
            "{}: {} left, {other} {}.",
            limit(kind),
            percent(claim.mine.unwrap_or_default()),
            percent(claim.theirs.unwrap_or_default()),
        ),
        Measure::Past(kind) => match (over, kind) {
            (Some((from, to)), LimitKind::Gate) => {
                format!("The wastegate is wide open and boost creeps from {from} to {to}.")
            }
            (Some((from, to)), _) => {
                format!("{} holds boost down from {from} to {to}.", limit(kind))
            }
            (None, _) => format!(
                "{} is passed by {} at {at}.",
                limit(kind),
                percent(-claim.mine.unwrap_or_default())
            ),
        },
    };
    Said { text, warns }
}

/// Stretches of engine speed in words.
fn spans(all: &[(f64, f64)]) -> String {
    let each: Vec<String> = all
        .iter()
        .map(|(from, to)| format!("{} and {}", rev(*from), rev(*to)))
        .collect();
    each.join(", and between ")
}

/// Whom a candidate suits.
pub fn suits(suits: &Suits) -> Said {
    let mut said = match (
        suits.alone_over_rev_min.as_slice(),
        suits.best_over_rev_min.as_slice(),
    ) {
        ([], []) => "None of these speeds: another is stronger everywhere.".to_owned(),
        ([], best) => format!(
            "An engine kept between {}: as strong as the best there.",
            spans(best)
        ),
        (alone, _) => format!(
            "An engine kept between {}: nothing here is as strong.",
            spans(alone)
        ),
    };
    if let Some((kind, room)) = suits.in_hand {
        said += &format!(
            " {} of {} in hand: for a hotter day, a higher road or more boost.",
            percent(room),
            kind.label().to_lowercase()
        );
    }
    if let Some(kind) = suits.past {
        said += &format!(
            " Not for this goal as it stands: {}.",
            kind.label().to_lowercase()
        );
    }
    Said {
        text: said,
        warns: suits.past.is_some(),
    }
}

/// What the whole comes to, in two sentences: what the first gives up, and to which.
pub fn in_short(
    contest: &Contest,
    accounts: &[Account],
    names: &[String],
    units: Units,
) -> Vec<Said> {
    let mut all = Vec::new();
    for (contender, name) in contest.contenders.iter().zip(names) {
        let asked = contender.build.optional(Field::PowerTarget);
        let peak = contender.peak().map_or(0.0, |s| s.power_w);
        if let Some(asked) = asked.filter(|_| contender.found.power_out_of_reach.is_some())
            && peak < asked
        {
            let power = shown(Kind::Power, units);
            all.push(Said {
                text: format!(
                    "{name} gives {} of {} asked.",
                    power.number(peak),
                    power.text(asked)
                ),
                warns: true,
            });
        }
    }
    for (place, account) in accounts.iter().enumerate().skip(1) {
        let Some(name) = names.get(place) else {
            continue;
        };
        let part = |claims: &[Claim]| {
            let first = claims.iter().find(|c| c.against.is_some())?;
            let said = phrase(first, units, contest.reference_rev_min)?;
            Some(said)
        };
        let gains = part(&account.gains);
        let losses = part(&account.losses);
        let past = account.losses.iter().find_map(|c| match c.measure {
            Measure::Past(kind) if c.stops => Some((kind, c.over_rev_min)),
            _ => None,
        });
        let mut text = match (gains, losses) {
            (Some(gain), Some(loss)) => format!("{name} {gain} and {loss}"),
            (Some(one), None) | (None, Some(one)) => format!("{name} {one}"),
            (None, None) => format!("{name} is much the same"),
        };
        if let Some((kind, over)) = past {
            text += &match over {
                Some((from, _)) => format!(
                    "; {} stops it from {}",
                    kind.label().to_lowercase(),
                    rev(from)
                ),
                None => format!("; {} is passed", kind.label().to_lowercase()),
            };
        }
        text.push('.');
        all.push(Said {
            text,
            warns: past.is_some(),
        });
    }
    all
}

/// A claim as what a candidate does.
fn phrase(claim: &Claim, units: Units, reference: f64) -> Option<String> {
    let by = apart(claim, units);
    let verb = if claim.gain { "gives" } else { "costs" };
    let at = claim.at_rev_min.map(rev).unwrap_or_default();
    Some(match claim.measure {
        Measure::BoostFrom => match by {
            Some(by) if claim.gain => format!("has boost {} rev/min sooner", rev(by)),
            Some(by) => format!("has boost {} rev/min later", rev(by)),
            None if claim.gain => "has boost that the first never has".to_owned(),
            None => "never has the boost".to_owned(),
        },
        Measure::Torque => format!("{verb} {} at {at}", shown(Kind::Torque, units).text(by?)),
        Measure::MostPower => {
            format!("{verb} {} at the most", shown(Kind::Power, units).text(by?))
        }
        Measure::BeforeTurbine => format!(
            "{} {} before the turbine",
            if claim.gain { "saves" } else { "adds" },
            shown(Kind::AbsolutePressure, units).text(by?)
        ),
        Measure::TimeToBoost => match by {
            Some(by) if claim.gain => format!("is {} quicker at {}", seconds(by), rev(reference)),
            Some(by) => format!("is {} slower at {}", seconds(by), rev(reference)),
            None if claim.gain => format!("has boost at {}", rev(reference)),
            None => format!("never has boost at {}", rev(reference)),
        },
        Measure::Room(kind) => format!(
            "has {} of {} left",
            percent(claim.mine?),
            kind.label().to_lowercase()
        ),
        Measure::Past(_) => return None,
    })
}
