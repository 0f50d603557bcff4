//! The answer as plain sentences, composed from a match. Pure: the page only sets it in type.

use crate::show::{TIE, Units, percent, shown, speed};
use airpath::build::Build;
use airpath::fields::Field;
use airpath::quantity::Kind;
use airpath::run::{Held, LimitKind, LimitReport, Match};

/// A number that opens its working: the step's key, and the engine speed in rev/min it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opens {
    /// Key of the step.
    pub key: &'static str,
    /// Engine speed, rev/min.
    pub at: f64,
}

/// A run of words of one weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// The words, with the spaces around them.
    pub text: String,
    /// A value or a name, set in bold.
    pub strong: bool,
    /// The working that it opens.
    pub opens: Option<Opens>,
}

/// A sentence.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sentence {
    /// Marked with the triangle: the limit that gives out first, or what went wrong.
    pub warns: bool,
    /// Its words.
    pub words: Vec<Words>,
}

impl Sentence {
    fn new() -> Self {
        Self::default()
    }
    fn warning() -> Self {
        Self {
            warns: true,
            words: Vec::new(),
        }
    }
    fn say(mut self, text: impl Into<String>) -> Self {
        self.words.push(Words {
            text: text.into(),
            strong: false,
            opens: None,
        });
        self
    }
    fn stress(mut self, text: impl Into<String>) -> Self {
        self.words.push(Words {
            text: text.into(),
            strong: true,
            opens: None,
        });
        self
    }
    /// A figure that opens its working.
    fn figure(mut self, text: impl Into<String>, key: &'static str, at: f64) -> Self {
        self.words.push(Words {
            text: text.into(),
            strong: true,
            opens: Some(Opens { key, at }),
        });
        self
    }

    /// The sentence as it is read out.
    pub fn plain(&self) -> String {
        self.words.iter().map(|w| w.text.as_str()).collect()
    }
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answer {
    /// What stands large: power, threshold, what gives out first.
    pub lines: Vec<Sentence>,
    /// What else has to be said.
    pub notes: Vec<Sentence>,
    /// Three or four words for when the answer is scrolled away: power, threshold, limit.
    pub strip: Vec<Sentence>,
}

impl Answer {
    /// The answer as it is read out.
    pub fn plain(&self) -> String {
        let all: Vec<String> = self
            .lines
            .iter()
            .chain(&self.notes)
            .map(Sentence::plain)
            .collect();
        all.join(" ")
    }
}

/// A limit as the subject of a sentence, and whether it is a plural.
fn subject(kind: LimitKind) -> (&'static str, bool) {
    match kind {
        LimitKind::Gate => ("The wastegate", false),
        LimitKind::Injectors => ("The injectors", true),
        LimitKind::Sensor => ("The pressure sensor", false),
        other => (other.label(), false),
    }
}

/// A limit in a word or two, for the strip.
fn short(kind: LimitKind) -> &'static str {
    match kind {
        LimitKind::Surge => "surge",
        LimitKind::Choke => "choke",
        LimitKind::ShaftSpeed => "shaft speed",
        LimitKind::Gate => "gate",
        LimitKind::TurbineInlet => "turbine heat",
        LimitKind::CompressorOutlet => "compressor heat",
        LimitKind::BackPressure => "back pressure",
        LimitKind::Injectors => "injectors",
        LimitKind::PeakPressure => "cylinder pressure",
        LimitKind::Sensor => "sensor",
    }
}

/// Room is past its limit when it would be written as −1 % or more.
const PAST: f64 = -0.005;

/// What decides boost at an engine speed, in a few words.
pub fn held(held: Held) -> &'static str {
    match held {
        Held::Drive => "boost building",
        Held::Gate => "boost held by the gate",
        Held::Creep => "boost creeping, gate wide open",
        Held::Surge => "boost held down at surge",
        Held::Choke => "boost held down at choke",
        Held::ShaftSpeed => "boost held down by shaft speed",
    }
}

fn span((from, to): (f64, f64)) -> String {
    if (to - from).abs() < 10.0 {
        format!("at {}{TIE}rev/min", speed(from, 10.0))
    } else {
        format!(
            "from {} to {}{TIE}rev/min",
            speed(from, 10.0),
            speed(to, 10.0)
        )
    }
}

/// The answer to a match, results in `units`.
pub fn answer(found: &Match, units: Units) -> Answer {
    let mut answer = Answer::default();
    let boost = shown(Kind::GaugePressure, units);
    let power = shown(Kind::Power, units);
    let Some(best) = found.speeds.get(found.most_power) else {
        answer.lines.push(
            Sentence::warning()
                .stress("No engine speed could be worked out.")
                .say(" See below why."),
        );
        answer.notes.extend(
            found
                .unsolved
                .iter()
                .map(|u| Sentence::warning().say(u.to_string())),
        );
        answer.strip.push(Sentence::warning().say("no answer"));
        return answer;
    };

    answer.lines.push(
        Sentence::new()
            .figure(power.text(best.power_w), "power", best.engine_speed_rev_min)
            .say(format!(
                " at {}{TIE}rev/min on ",
                speed(best.engine_speed_rev_min, 10.0)
            ))
            .figure(
                boost.text(best.boost_pa),
                "boost",
                best.engine_speed_rev_min,
            )
            .say(" of boost."),
    );
    answer.strip.push(Sentence::new().figure(
        power.text(best.power_w),
        "power",
        best.engine_speed_rev_min,
    ));

    let most_asked = found
        .speeds
        .iter()
        .map(|s| s.boost_asked_pa)
        .fold(0.0, f64::max);
    if most_asked > 0.0 {
        thresholds(found, units, &mut answer);
    }
    let creeping =
        |limit: &LimitReport| limit.kind == LimitKind::Gate && limit.holds_boost.is_some();
    let creep = found.limits.iter().find(|l| creeping(l));
    if let Some(range) = creep.and_then(|l| l.holds_boost) {
        answer.lines.push(creeps(range));
    }
    if let Some(first) = found.limits.first() {
        if !creeping(first) {
            let mut line = gives_out(first);
            // Where boost is held back low down, people ask what is next at the top.
            let next = found.limits.iter().find(|l| l.holds_boost.is_none());
            if let Some(next) = next.filter(|_| first.holds_boost.is_some()) {
                let (name, _) = subject(next.kind);
                line = line
                    .say(format!(" Next, {}: ", name.to_lowercase()))
                    .figure(
                        format!("{} left", percent(next.room.max(0.0))),
                        next.kind.working(),
                        next.at_rev_min,
                    )
                    .say(format!(" at {}{TIE}rev/min.", speed(next.at_rev_min, 10.0)));
            }
            answer.lines.push(line);
        }
        let left = if creeping(first) {
            Sentence::warning().say("boost creeps")
        } else if let Some((_, to)) = first.holds_boost {
            Sentence::warning()
                .say(format!("{} to ", short(first.kind)))
                .stress(speed(to, 10.0))
        } else if first.room < PAST {
            Sentence::warning()
                .say(format!("{} past by ", short(first.kind)))
                .figure(percent(-first.room), first.kind.working(), first.at_rev_min)
        } else {
            Sentence::warning()
                .say(format!("{} ", short(first.kind)))
                .figure(
                    percent(first.room.max(0.0)),
                    first.kind.working(),
                    first.at_rev_min,
                )
        };
        answer.strip.push(left);
    }

    answer.notes.push(
        Sentence::new()
            .say("At the wheels ")
            .figure(
                power.text(best.wheel_power_w),
                "wheel_power",
                best.engine_speed_rev_min,
            )
            .say("."),
    );
    match (&found.power_out_of_reach, found.boost_for_power_pa) {
        (Some(reason), _) => answer.notes.push(Sentence::warning().say(reason.clone())),
        (None, Some(asked)) => answer.notes.push(
            Sentence::new()
                .say("The power asked takes ")
                .figure(boost.text(asked), "boost_goal", best.engine_speed_rev_min)
                .say(" of boost."),
        ),
        (None, None) => {}
    }
    let others: Vec<String> = found
        .limits
        .iter()
        .skip(1)
        .filter(|l| l.room < PAST)
        .map(|l| {
            let at = speed(l.at_rev_min, 10.0);
            format!("{} by {} at {at}", short(l.kind), percent(-l.room))
        })
        .collect();
    if !others.is_empty() {
        answer.notes.push(
            Sentence::warning()
                .stress("Also past its limit: ")
                .say(format!("{}.", others.join("; "))),
        );
    }
    for limit in found.limits.iter().skip(1).filter(|l| !creeping(l)) {
        if let Some(range) = limit.holds_boost {
            let name = subject(limit.kind).0;
            let words = format!("{name} holds boost back {}.", span(range));
            answer.notes.push(Sentence::new().say(words));
        }
    }
    for fold in &found.folds {
        answer.notes.push(Sentence::warning().say(format!(
            "Boost jumps from {} to {} at {}{TIE}rev/min: the shaft's balance folds there, so expect a sudden step.",
            boost.text(fold.from_boost_pa),
            boost.text(fold.to_boost_pa),
            speed(fold.at_rev_min, 10.0)
        )));
    }
    answer.notes.extend(
        found
            .unsolved
            .iter()
            .map(|u| Sentence::warning().say(u.to_string())),
    );
    if let Some(dyno) = found.dyno_power {
        answer.notes.push(
            Sentence::new()
                .say("By the dyno's fuel consumption it would be ")
                .stress(power.text(dyno.power_w))
                .say(format!(
                    ", {} {} than worked out.",
                    percent(dyno.disagreement.abs()),
                    if dyno.disagreement < 0.0 {
                        "less"
                    } else {
                        "more"
                    }
                )),
        );
    }
    if found.estimated_map {
        answer.notes.push(
            Sentence::new()
                .stress("Estimated map: ")
                .say("from the wheel’s sizes, not measured."),
        );
    }
    if found
        .speeds
        .iter()
        .any(|s| s.extrapolated && !matches!(s.held, Held::Drive | Held::Surge))
    {
        answer.notes.push(
            Sentence::new()
                .say("Part of the route lies beyond the map (drawn hollow): trust it less."),
        );
    }
    answer
}

fn creeps(range: (f64, f64)) -> Sentence {
    Sentence::warning().stress("Boost creeps").say(format!(
        " above what was asked {}: the gate is wide open and too small.",
        span(range)
    ))
}

/// From where boost is there: what the turbine can drive, and what is usable within the limits.
fn thresholds(found: &Match, units: Units, answer: &mut Answer) {
    let boost = shown(Kind::GaugePressure, units);
    let surge_between = |low: f64, high: f64| {
        found.limits.iter().any(|l| {
            l.kind == LimitKind::Surge && l.holds_boost.is_some_and(|(a, b)| a <= high && b >= low)
        })
    };
    match (
        found.drive_threshold_rev_min,
        found.usable_threshold_rev_min,
    ) {
        (Some(drive), Some(usable)) if usable - drive > 25.0 => {
            let clear = if surge_between(drive, usable) {
                "right of surge"
            } else {
                "within every limit"
            };
            answer.lines.push(
                Sentence::new()
                    .say("The turbine can drive nine tenths of it from ")
                    .figure(speed(drive, 10.0), "drive_threshold", drive)
                    .say(format!("; {clear} it is there from "))
                    .figure(
                        format!("{}{TIE}rev/min", speed(usable, 10.0)),
                        "usable_threshold",
                        usable,
                    )
                    .say("."),
            );
            answer.strip.push(Sentence::new().say("boost from ").figure(
                speed(usable, 10.0),
                "usable_threshold",
                usable,
            ));
        }
        (_, Some(usable)) => {
            answer.lines.push(
                Sentence::new()
                    .say("Nine tenths of it is there from ")
                    .figure(
                        format!("{}{TIE}rev/min", speed(usable, 10.0)),
                        "usable_threshold",
                        usable,
                    )
                    .say("."),
            );
            answer.strip.push(Sentence::new().say("boost from ").figure(
                speed(usable, 10.0),
                "usable_threshold",
                usable,
            ));
        }
        (drive, None) => {
            let most = found
                .speeds
                .iter()
                .max_by(|a, b| a.boost_pa.total_cmp(&b.boost_pa));
            let Some(most) = most else { return };
            let mut line = Sentence::warning()
                .stress("The boost asked is never reached:")
                .say(format!(
                    " the most is {} of {} at {}{TIE}rev/min",
                    boost.text(most.boost_pa),
                    boost.text(most.boost_asked_pa),
                    speed(most.engine_speed_rev_min, 10.0)
                ));
            line = match most.held {
                Held::Drive => line.say(", where the turbine drives no more"),
                Held::Surge => line.say(", where surge holds it down"),
                Held::Choke => line.say(", where the compressor chokes"),
                Held::ShaftSpeed => line.say(", where the largest shaft speed holds it down"),
                Held::Gate | Held::Creep => line,
            };
            if let Some(drive) = drive {
                line = line.say(format!(
                    "; the turbine alone could drive nine tenths of it from {}",
                    speed(drive, 10.0)
                ));
            }
            answer.lines.push(line.say("."));
            answer
                .strip
                .push(Sentence::warning().say("boost never reached"));
        }
    }
}

/// What gives out first, with the room left and where.
fn gives_out(limit: &LimitReport) -> Sentence {
    let (name, plural) = subject(limit.kind);
    let at = format!(" at {}{TIE}rev/min.", speed(limit.at_rev_min, 10.0));
    if limit.room < PAST && limit.holds_boost.is_none() {
        let (is, its) = if plural {
            ("are", "their")
        } else {
            ("is", "its")
        };
        return Sentence::warning()
            .stress(format!("{name} {is} past {its} limit"))
            .say(" by ")
            .figure(percent(-limit.room), limit.kind.working(), limit.at_rev_min)
            .say(at);
    }
    let gives = if plural { "give" } else { "gives" };
    let line = Sentence::warning().stress(format!("{name} {gives} out first:"));
    match limit.holds_boost {
        Some(range) => line.say(format!(" it holds boost back {}.", span(range))),
        None => line
            .say(" ")
            .figure(
                format!("{} left", percent(limit.room.max(0.0))),
                limit.kind.working(),
                limit.at_rev_min,
            )
            .say(at),
    }
}

/// The span that the most power, W, is likely to lie in.
pub fn likely((low, high): (f64, f64), units: Units) -> Sentence {
    let power = shown(Kind::Power, units);
    Sentence::new()
        .say("Likely ")
        .stress(format!("{} to {}", power.number(low), power.text(high)))
        .say(", eight times in ten.")
}

/// What the gate's spring makes of a boost that is asked below it.
pub fn spring(build: &Build, units: Units) -> Option<Sentence> {
    let (asked, spring) = (build.get(Field::BoostTarget), build.get(Field::GateSpring));
    let ruled = build.optional(Field::PowerTarget).is_some() || build.boost_curve().is_some();
    (asked < spring && !ruled).then(|| {
        let boost = shown(Kind::GaugePressure, units);
        Sentence::new().stress("Spring: ").say(format!(
            "it holds the gate shut to {}, so {} cannot be had; fit a weaker one to ask for less.",
            boost.text(spring),
            boost.text(asked)
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use airpath::quantity::System;

    fn found() -> Match {
        let build = airpath::example_build().unwrap_or_else(|| panic!("the example is sound"));
        airpath::solve(&build).unwrap_or_else(|e| panic!("{e}"))
    }

    fn said(found: &Match) -> String {
        answer(found, Units::new(System::Metric))
            .plain()
            .replace(TIE, " ")
    }

    fn limit(kind: LimitKind, room: f64, holds_boost: Option<(f64, f64)>) -> LimitReport {
        LimitReport {
            kind,
            room,
            at_rev_min: 7_200.0,
            value: 1.0,
            limit: 1.0,
            holds_boost,
        }
    }

    #[test]
    fn power_comes_first_with_its_speed_and_boost() {
        let mut found = found();
        let best = found.most_power;
        found.speeds[best].power_w = 232_400.0;
        found.speeds[best].engine_speed_rev_min = 6_996.0;
        found.speeds[best].boost_pa = 130_200.0;
        assert!(said(&found).starts_with("232 kW at 7,000 rev/min on 1.30 bar of boost. "));
        // 130.2 kPa over 6.894 757 kPa in a psi (NIST SP 811, B.8).
        let imperial = answer(&found, Units::new(System::Imperial))
            .plain()
            .replace(TIE, " ");
        assert!(
            imperial.starts_with("312 hp at 7,000 rev/min on 18.9 psi of boost. "),
            "{imperial}"
        );
    }

    #[test]
    fn both_thresholds_are_told_where_they_differ() {
        let mut found = found();
        found.drive_threshold_rev_min = Some(2_301.0);
        found.usable_threshold_rev_min = Some(2_764.0);
        found.limits = vec![limit(LimitKind::Surge, 0.0, Some((2_300.0, 2_750.0)))];
        let words = said(&found);
        assert!(
            words.contains(
                "The turbine can drive nine tenths of it from 2,300; right of surge it is there from 2,760 rev/min."
            ),
            "{words}"
        );
        assert!(
            words.contains(
                "Surge gives out first: it holds boost back from 2,300 to 2,750 rev/min."
            )
        );

        found.usable_threshold_rev_min = Some(2_310.0);
        let words = said(&found);
        assert!(
            words.contains("Nine tenths of it is there from 2,310 rev/min."),
            "{words}"
        );
        assert!(!words.contains("The turbine can drive"));
    }

    #[test]
    fn what_comes_next_is_told_where_boost_is_held_back() {
        let mut found = found();
        found.limits = vec![
            limit(LimitKind::Surge, 0.0, Some((1_800.0, 3_250.0))),
            limit(LimitKind::TurbineInlet, 0.14, None),
        ];
        let words = said(&found);
        assert!(
            words.contains(
                "from 1,800 to 3,250 rev/min. Next, turbine inlet heat: 14 % left at 7,200 rev/min."
            ),
            "{words}"
        );
    }

    #[test]
    fn boost_that_is_never_reached_is_said_with_what_stops_it() {
        let mut found = found();
        found.drive_threshold_rev_min = None;
        found.usable_threshold_rev_min = None;
        for report in &mut found.speeds {
            report.boost_pa = 60_000.0;
            report.boost_asked_pa = 125_000.0;
            report.held = Held::Drive;
        }
        let words = said(&found);
        assert!(
            words.contains("The boost asked is never reached: the most is 0.60 bar of 1.25 bar"),
            "{words}"
        );
        assert!(
            words.contains("where the turbine drives no more."),
            "{words}"
        );
        let strip: Vec<String> = answer(&found, Units::new(System::Metric))
            .strip
            .iter()
            .map(Sentence::plain)
            .collect();
        assert!(strip.contains(&"boost never reached".to_owned()));
    }

    #[test]
    fn what_gives_out_first_has_its_room_and_place() {
        let mut found = found();
        found.limits = vec![limit(LimitKind::ShaftSpeed, 0.041, None)];
        assert!(said(&found).contains("Shaft speed gives out first: 4 % left at 7,200 rev/min."));
        found.limits = vec![limit(LimitKind::Injectors, 0.2, None)];
        assert!(said(&found).contains("The injectors give out first: 20 % left at 7,200 rev/min."));
        found.limits = vec![
            limit(LimitKind::TurbineInlet, -0.06, None),
            limit(LimitKind::Sensor, -0.02, None),
        ];
        let words = said(&found);
        assert!(
            words.contains("Turbine inlet heat is past its limit by 6 % at 7,200 rev/min."),
            "{words}"
        );
        assert!(
            words.contains("Also past its limit: sensor by 2 % at 7,200."),
            "{words}"
        );
        found.limits = vec![limit(LimitKind::Gate, 0.0, Some((3_000.0, 7_200.0)))];
        assert!(
            said(&found).contains("Boost creeps above what was asked from 3,000 to 7,200 rev/min")
        );
    }

    #[test]
    fn jumps_gaps_and_estimates_are_told() {
        let mut found = found();
        found.estimated_map = true;
        found.folds = vec![airpath::run::Fold {
            at_rev_min: 2_900.0,
            from_boost_pa: 40_000.0,
            to_boost_pa: 90_000.0,
        }];
        found.unsolved = vec![airpath::run::Unsolved {
            engine_speed_rev_min: 6_850.0,
            equation: "the shaft's balance",
            residual: 3.1e-3,
        }];
        let words = said(&found);
        assert!(
            words.contains("Boost jumps from 0.40 bar to 0.90 bar at 2,900 rev/min"),
            "{words}"
        );
        assert!(
            words.contains("No answer at 6850 rev/min: the shaft's balance did not settle"),
            "{words}"
        );
        assert!(words.contains("Estimated map"), "{words}");
    }

    #[test]
    fn nothing_solved_is_said_and_does_not_panic() {
        let mut found = found();
        found.speeds.clear();
        assert!(said(&found).contains("No engine speed could be worked out."));
    }
}
