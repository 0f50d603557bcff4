//! The answer as plain sentences, composed from a match. Pure: the page only sets it in type.

use crate::show::{TIE, percent, shown, speed};
use airpath::quantity::{Kind, System};
use airpath::run::{Held, LimitKind, LimitReport, Match};

/// A run of words of one weight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words {
    /// The words, with the spaces around them.
    pub text: String,
    /// A value or a name, set in bold.
    pub strong: bool,
}

/// A sentence.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
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
        Self { warns: true, words: Vec::new() }
    }
    fn say(mut self, text: impl Into<String>) -> Self {
        self.words.push(Words { text: text.into(), strong: false });
        self
    }
    fn stress(mut self, text: impl Into<String>) -> Self {
        self.words.push(Words { text: text.into(), strong: true });
        self
    }

    /// The sentence as it is read out.
    pub fn plain(&self) -> String {
        self.words.iter().map(|w| w.text.as_str()).collect()
    }
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
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
        let all: Vec<String> =
            self.lines.iter().chain(&self.notes).map(Sentence::plain).collect();
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
        format!("from {} to {}{TIE}rev/min", speed(from, 10.0), speed(to, 10.0))
    }
}

/// The answer to a match, results in `system`.
pub fn answer(found: &Match, system: System) -> Answer {
    let mut answer = Answer::default();
    let boost = shown(Kind::GaugePressure, system);
    let power = shown(Kind::Power, system);
    let Some(best) = found.speeds.get(found.most_power) else {
        answer.lines.push(
            Sentence::warning().stress("No engine speed could be worked out.").say(" See below why."),
        );
        answer.notes.extend(found.unsolved.iter().map(|u| Sentence::warning().say(u.to_string())));
        answer.strip.push(Sentence::warning().say("no answer"));
        return answer;
    };

    answer.lines.push(
        Sentence::new()
            .stress(power.text(best.power_w))
            .say(format!(" at {}{TIE}rev/min on ", speed(best.engine_speed_rev_min, 1.0)))
            .stress(boost.text(best.boost_pa))
            .say(" of boost."),
    );
    answer.strip.push(Sentence::new().stress(power.text(best.power_w)));

    let most_asked = found.speeds.iter().map(|s| s.boost_asked_pa).fold(0.0, f64::max);
    if most_asked > 0.0 {
        thresholds(found, system, &mut answer);
    }
    if let Some(first) = found.limits.first() {
        answer.lines.push(gives_out(first));
        let left = if first.room < PAST {
            Sentence::warning().say(format!("{} past by ", short(first.kind))).stress(percent(-first.room))
        } else {
            Sentence::warning().say(format!("{} ", short(first.kind))).stress(percent(first.room.max(0.0)))
        };
        answer.strip.push(left);
    }

    if let Some(asked) = found.boost_for_power_pa {
        answer.notes.push(
            Sentence::new().say("The power asked takes ").stress(boost.text(asked)).say(" of boost."),
        );
    }
    if let Some(reason) = &found.power_out_of_reach {
        answer.notes.push(Sentence::warning().say(reason.clone()));
    }
    let others: Vec<String> = found
        .limits
        .iter()
        .skip(1)
        .filter(|l| l.room < PAST)
        .map(|l| {
            let at = speed(l.at_rev_min, 1.0);
            format!("{} by {} at {at}", short(l.kind), percent(-l.room))
        })
        .collect();
    if !others.is_empty() {
        answer.notes.push(
            Sentence::warning().stress("Also past its limit: ").say(format!("{}.", others.join("; "))),
        );
    }
    for limit in found.limits.iter().skip(1) {
        if let Some(range) = limit.holds_boost {
            answer.notes.push(match limit.kind {
                LimitKind::Gate => creeps(range),
                kind => Sentence::new().say(format!(
                    "{} holds boost below what was asked {}.",
                    subject(kind).0,
                    span(range)
                )),
            });
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
    answer.notes.extend(found.unsolved.iter().map(|u| Sentence::warning().say(u.to_string())));
    if let Some(dyno) = found.dyno_power {
        answer.notes.push(
            Sentence::new()
                .say("By the dyno's fuel consumption it would be ")
                .stress(power.text(dyno.power_w))
                .say(format!(
                    ", {} {} than worked out.",
                    percent(dyno.disagreement.abs()),
                    if dyno.disagreement < 0.0 { "less" } else { "more" }
                )),
        );
    }
    if found.estimated_map {
        answer.notes.push(
            Sentence::new()
                .stress("Estimated map: ")
                .say("the compressor's lines are worked out from its wheel's sizes, not measured."),
        );
    }
    if found.speeds.iter().any(|s| s.extrapolated && s.held != Held::Drive) {
        answer.notes.push(Sentence::new().say(
            "Part of the route lies beyond what the map covers (drawn hollow); trust it less.",
        ));
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
fn thresholds(found: &Match, system: System, answer: &mut Answer) {
    let boost = shown(Kind::GaugePressure, system);
    let surge_between = |low: f64, high: f64| {
        found.limits.iter().any(|l| {
            l.kind == LimitKind::Surge && l.holds_boost.is_some_and(|(a, b)| a <= high && b >= low)
        })
    };
    match (found.drive_threshold_rev_min, found.usable_threshold_rev_min) {
        (Some(drive), Some(usable)) if usable - drive > 25.0 => {
            let clear =
                if surge_between(drive, usable) { "right of surge" } else { "within every limit" };
            answer.lines.push(
                Sentence::new()
                    .say("The turbine can drive nine tenths of the boost asked from ")
                    .stress(speed(drive, 10.0))
                    .say(format!("; {clear} it is there from "))
                    .stress(format!("{}{TIE}rev/min", speed(usable, 10.0)))
                    .say("."),
            );
            answer.strip.push(Sentence::new().say("boost from ").stress(speed(usable, 10.0)));
        }
        (_, Some(usable)) => {
            answer.lines.push(
                Sentence::new()
                    .say("Nine tenths of the boost asked is there from ")
                    .stress(format!("{}{TIE}rev/min", speed(usable, 10.0)))
                    .say("."),
            );
            answer.strip.push(Sentence::new().say("boost from ").stress(speed(usable, 10.0)));
        }
        (drive, None) => {
            let most = found.speeds.iter().max_by(|a, b| a.boost_pa.total_cmp(&b.boost_pa));
            let Some(most) = most else { return };
            let mut line = Sentence::warning().stress("The boost asked is never reached:").say(format!(
                " the most is {} of {} at {}{TIE}rev/min",
                boost.text(most.boost_pa),
                boost.text(most.boost_asked_pa),
                speed(most.engine_speed_rev_min, 1.0)
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
            answer.strip.push(Sentence::warning().say("boost never reached"));
        }
    }
}

/// What gives out first, with the room left and where.
fn gives_out(limit: &LimitReport) -> Sentence {
    let (name, plural) = subject(limit.kind);
    let at = format!(" at {}{TIE}rev/min.", speed(limit.at_rev_min, 1.0));
    if let (LimitKind::Gate, Some(range)) = (limit.kind, limit.holds_boost) {
        return creeps(range);
    }
    if limit.room < PAST && limit.holds_boost.is_none() {
        let (is, its) = if plural { ("are", "their") } else { ("is", "its") };
        return Sentence::warning()
            .stress(format!("{name} {is} past {its} limit"))
            .say(" by ")
            .stress(percent(-limit.room))
            .say(at);
    }
    let gives = if plural { "give" } else { "gives" };
    let line = Sentence::warning().stress(format!("{name} {gives} out first:"));
    match limit.holds_boost {
        Some(range) => line.say(format!(" it holds boost below what was asked {}.", span(range))),
        None => line.say(" ").stress(format!("{} left", percent(limit.room.max(0.0)))).say(at),
    }
}
