//! The lessons: what each says, what can be moved, what is asked, and whether that is reached.
//!
//! All numbers come from the core: a lesson turns its controls into a build and reads the match.

use crate::show::{TIE, Units, percent, shown, shown_inertia, speed};
use airpath::build::{Build, Turbocharger};
use airpath::fields::Field;
use airpath::quantity::Kind;
use airpath::response::{Detail, Reach, Response, Spool};
use airpath::run::{Held, Match, SpeedReport};
use std::sync::Arc;

/// How many lessons there are.
pub const COUNT: usize = 7;

/// Where the controls of a lesson stand, each in the unit of its control.
pub type Settings = [f64; 3];

/// What a control moves.
#[derive(Clone, Copy, PartialEq)]
pub enum Turns {
    /// A field, in the unit of its row.
    Field(Field),
    /// Which turbocharger of the shelf, from the smallest.
    Size,
    /// Which housing of the turbocharger, from the tightest.
    Housing,
    /// The engine speed that is read, rev/min.
    Speed,
}

/// A control.
pub struct Control {
    /// What it is called.
    pub label: &'static str,
    /// What it moves.
    pub turns: Turns,
    /// From where to where, and in which steps.
    pub range: (f64, f64, f64),
    /// Where it stands at the start.
    pub start: f64,
}

/// What the picture of a lesson is.
#[derive(Clone, Copy, PartialEq)]
pub enum Picture {
    /// Pressures as heights above vacuum, at the start and now.
    Columns,
    /// Pressure, temperature and density as multiples of what the compressor breathes.
    Bars,
    /// The compressor map with the running line.
    Map,
    /// Boost and back pressure over engine speed, for every housing.
    Housings,
    /// Power and exhaust heat over λ.
    Mixture,
    /// Boost and shaft speed over time, at the start and now.
    Lag,
}

/// A lesson.
pub struct Lesson {
    /// Its name in the list.
    pub name: &'static str,
    /// Its question.
    pub title: &'static str,
    /// A few sentences.
    pub text: &'static str,
    /// Its picture.
    pub picture: Picture,
    /// What is set once, in the unit of each field's row.
    fixed: &'static [(Field, &'static str)],
    /// What can be moved.
    pub controls: &'static [Control],
    /// The engine speed that is read where no control moves it, rev/min.
    reads_at: f64,
    /// How many engine speeds are solved.
    speeds: usize,
    /// The step whose formula is shown.
    pub step: &'static str,
    /// What to take away.
    pub lesson: &'static str,
    /// What can break.
    pub caution: &'static str,
}

const fn control(label: &'static str, turns: Turns, range: (f64, f64, f64), start: f64) -> Control {
    Control {
        label,
        turns,
        range,
        start,
    }
}

const SIZES: (f64, f64, f64) = (0.0, 2.0, 1.0);
const SPEEDS: (f64, f64, f64) = (1000.0, 7200.0, 200.0);

/// The lessons, in order.
pub static LESSONS: [Lesson; COUNT] = [
    Lesson {
        name: "Gauge, absolute, ratio",
        title: "Why is 14.7 psi a ratio of 2.0 at the beach and 2.2 on the pass?",
        text: "A gauge reads pressure above the air outside. A compressor works by how many times it multiplies the absolute pressure at its own inlet. Higher up there is less air outside (at 1,500 m or 4,900 ft a sixth less), so the same boost is a larger multiple. A filter takes away more, and the compressor must make up for it. Here cooler and pipes lose nothing.",
        picture: Picture::Columns,
        fixed: &[
            (Field::BoostTarget, "14.7 psi"),
            (Field::CoolerLoss, "0 kPa"),
        ],
        controls: &[
            control(
                "Altitude",
                Turns::Field(Field::Altitude),
                (0.0, 3000.0, 50.0),
                0.0,
            ),
            control(
                "Filter loses, at rated flow",
                Turns::Field(Field::FilterLoss),
                (0.0, 12.0, 0.5),
                0.0,
            ),
        ],
        reads_at: 5600.0,
        speeds: 32,
        step: "pressure_ratio",
        lesson: "Read the map with absolute pressures, at the wheel’s own inlet: boost alone does not say how hard a compressor works.",
        caution: "A shaft that just copes at sea level can overspeed on a pass, or behind a clogged filter. Overspeed can burst a wheel.",
    },
    Lesson {
        name: "Density makes power",
        title: "The boost is the same. Why is there more power?",
        text: "An engine burns a mass of air, and its cylinders take in a volume: what counts is density. Compressing heats the air, the more so the worse the compressor’s efficiency, and heat takes back part of the density that pressure gave. The charge cooler returns much of it.",
        picture: Picture::Bars,
        fixed: &[
            (Field::Altitude, "0 m"),
            (Field::AirTemperature, "25 °C"),
            (Field::BoostTarget, "0.9 bar"),
        ],
        controls: &[
            control(
                "Cooler effectiveness",
                Turns::Field(Field::CoolerEffectiveness),
                (0.0, 90.0, 1.0),
                50.0,
            ),
            control("Turbocharger", Turns::Size, SIZES, 0.0),
        ],
        reads_at: 5600.0,
        speeds: 32,
        step: "charge_density",
        lesson: "Boost is what the gauge shows; density is what the engine burns. A cooler charge also keeps further from knock.",
        caution: "More air needs more fuel. Fuelling and ignition must be set for it, or the mixture runs lean.",
    },
    Lesson {
        name: "Reading the map",
        title: "Where does this engine run on the compressor?",
        text: "Across: how much air. Up: how many times the pressure. Thin lines join points of one shaft speed; rings join points of one efficiency, best inside. Surge bounds the map on the left, choke on the right, the shaft’s largest speed above. The thick line is where this engine runs, from idle to redline.",
        picture: Picture::Map,
        fixed: &[],
        controls: &[
            control("Turbocharger", Turns::Size, SIZES, 0.0),
            control(
                "Boost asked",
                Turns::Field(Field::BoostTarget),
                (0.4, 1.8, 0.05),
                0.8,
            ),
            control("Engine speed", Turns::Speed, SPEEDS, 5000.0),
        ],
        reads_at: 0.0,
        speeds: 32,
        step: "compressor_efficiency",
        lesson: "A good match crosses the best island where the engine spends its time under boost, with room to surge, choke and shaft speed.",
        caution: "",
    },
    Lesson {
        name: "What drives the wheel",
        title: "Why is a small housing early, and what does it cost at the top?",
        text: "The exhaust drives the turbine. A smaller housing A/R makes the gas push from a higher pressure, so boost is there earlier; at high speed that same pressure stands against the pistons. The picture shows the boost that the turbine can hold up; whether the compressor would surge there is lesson 5.",
        picture: Picture::Housings,
        fixed: &[],
        controls: &[
            control("Turbine housing", Turns::Housing, SIZES, 0.0),
            control("Engine speed", Turns::Speed, SPEEDS, 5000.0),
        ],
        reads_at: 0.0,
        speeds: 63,
        step: "turbine_power",
        lesson: "Early boost is paid for with back pressure at the top. Choose the largest housing that is early enough.",
        caution: "",
    },
    Lesson {
        name: "Surge and choke",
        title: "What happens at the map’s left and right edge?",
        text: "Left of surge the flow is too small for the pressure: it breaks down and comes back, many times a second. At choke the air reaches the speed of sound inside, and more shaft speed brings hardly more flow, only heat. Airpath holds boost down to the surge line; a car does not do that by itself.",
        picture: Picture::Map,
        fixed: &[],
        controls: &[
            control("Turbocharger", Turns::Size, SIZES, 1.0),
            control(
                "Boost asked",
                Turns::Field(Field::BoostTarget),
                (0.1, 1.8, 0.02),
                1.5,
            ),
            control("Engine speed", Turns::Speed, SPEEDS, 3200.0),
        ],
        reads_at: 0.0,
        speeds: 32,
        step: "corrected_flow",
        lesson: "Ask for little boost where the flow is small, and choose a wheel that is not at its end at redline.",
        caution: "Sustained surge hammers bearings and wheels until they fail. Running in choke overheats the air and can overspeed the shaft.",
    },
    Lesson {
        name: "λ, power, exhaust heat",
        title: "How rich for power, and how rich for the turbine?",
        text: "λ is the air there is over the air that burns all fuel; below 1 is rich. A little rich makes the most power: no oxygen is left over, and more of the heat turns into work (“Ideal efficiency” in All numbers). Richer still, fuel that finds no oxygen only takes heat up: power falls slowly, the exhaust cools fast. Read at redline, boost the same.",
        picture: Picture::Mixture,
        fixed: &[],
        controls: &[control(
            "Mixture λ",
            Turns::Field(Field::Lambda),
            (0.72, 0.96, 0.01),
            0.96,
        )],
        reads_at: 7200.0,
        speeds: 2,
        step: "released_share",
        lesson: "Best power lies a little rich; richer trades a little power and much fuel for a cooler turbine.",
        caution: "This is no tune. Lean under boost can knock and melt pistons in seconds: tune on a dyno, with a wideband sensor and knock sensing.",
    },
    Lesson {
        name: "Lag",
        title: "The throttle is open. Why is there no boost yet?",
        text: "The wheel has to be spun up by exhaust that only boost would bring. A rotor’s inertia grows with the fifth power of its wheels’ diameter: a small one answers at once, a large one may never get there at low engine speed. A cold manifold takes heat that the turbine then lacks, and pipes have to be filled. Read at 4,400 rev/min, from light load.",
        picture: Picture::Lag,
        fixed: &[(Field::BoostTarget, "1 bar")],
        controls: &[
            control("Turbocharger", Turns::Size, SIZES, 2.0),
            control(
                "Exhaust manifold warm",
                Turns::Field(Field::WarmManifold),
                (0.0, 100.0, 10.0),
                0.0,
            ),
        ],
        reads_at: 4400.0,
        speeds: 32,
        step: "turbine_power",
        lesson: "Lag is the price of a wheel larger than the power asks for: no map shows it.",
        caution: "Boost that comes late comes with a jump of torque: in a bend or on a wet road it can break the grip of the tyres.",
    },
];

/// What the lessons start from.
pub struct Base {
    /// The worked example.
    pub example: Build,
    /// The turbochargers, smallest first.
    pub shelf: Vec<Arc<Turbocharger>>,
}

/// A lesson worked out.
pub struct Seen {
    /// The build.
    pub build: Build,
    /// Its match.
    pub found: Match,
    /// Which speed is read.
    pub at: usize,
    /// The way to boost there, of a lesson that shows it.
    pub spool: Option<Spool>,
}

impl Seen {
    /// The report that is read.
    pub fn report(&self) -> &SpeedReport {
        &self.found.speeds[self.at]
    }

    fn last(&self) -> &SpeedReport {
        &self.found.speeds[self.found.speeds.len() - 1]
    }
}

impl Lesson {
    /// Where the controls stand at the start.
    pub fn start(&self) -> Settings {
        let mut start = [0.0; 3];
        for (place, control) in self.controls.iter().enumerate() {
            start[place] = control.start;
        }
        start
    }

    /// The build that the controls make.
    pub fn build(&self, base: &Base, settings: &Settings) -> Option<Build> {
        let mut build = base.example.with_name(self.name).ok()?;
        for (field, text) in self.fixed {
            build = build.with_text(*field, text, field.spec().unit()).ok()?;
        }
        for (control, value) in self.controls.iter().zip(settings) {
            build = match control.turns {
                Turns::Field(field) => {
                    let unit = field.spec().unit();
                    build.with_text(field, &format!("{value:.3}"), unit).ok()?
                }
                Turns::Size => {
                    let chosen = base.shelf.get(*value as usize)?.clone();
                    // Its middle housing.
                    let housing = chosen.turbine.housings.len() / 2;
                    build.with_turbocharger(chosen, housing).ok()?
                }
                Turns::Housing => {
                    let chosen = build.turbocharger().clone();
                    build.with_turbocharger(chosen, *value as usize).ok()?
                }
                Turns::Speed => build,
            };
        }
        Some(build)
    }

    /// Works the lesson out; `None` where there is no answer at all.
    pub fn see(&self, base: &Base, settings: &Settings) -> Option<Seen> {
        let build = self.build(base, settings)?;
        let found = airpath::solve_at(&build, self.speeds).ok()?;
        let rev_min = self
            .controls
            .iter()
            .zip(settings)
            .find(|(c, _)| c.turns == Turns::Speed)
            .map_or(self.reads_at, |(_, value)| *value);
        let at = crate::cursor::nearest(&found, rev_min)?;
        let spool = (self.picture == Picture::Lag).then(|| {
            let mut response = Response::beside(&build, &found).ok()?;
            response.time_to_boost(rev_min, Detail::Trace).ok()
        });
        Some(Seen {
            spool: spool.flatten(),
            build,
            found,
            at,
        })
    }

    /// What the lesson is compared with: its start, every housing, or every λ.
    pub fn others(&self, base: &Base) -> Vec<(f64, Seen)> {
        let start = self.start();
        let (low, high, step) = self.controls[0].range;
        let steps = match self.picture {
            Picture::Columns | Picture::Bars | Picture::Lag => {
                return self
                    .see(base, &start)
                    .map(|s| (start[0], s))
                    .into_iter()
                    .collect();
            }
            Picture::Map => return Vec::new(),
            Picture::Housings => step,
            Picture::Mixture => 2.0 * step,
        };
        let count = ((high - low) / steps).round() as usize;
        (0..=count)
            .filter_map(|i| {
                let mut settings = start;
                settings[0] = low + i as f64 * steps;
                Some((settings[0], self.see(base, &settings)?))
            })
            .collect()
    }
}

/// A control's value in words.
pub fn written(base: &Base, control: &Control, value: f64, units: Units) -> String {
    match control.turns {
        Turns::Field(field) => {
            let spec = field.spec();
            shown(spec.kind, units).text(spec.unit().to_si(value))
        }
        Turns::Size => base
            .shelf
            .get(value as usize)
            .map_or_else(String::new, |t| {
                let millimetres = Kind::Length.metric().from_si(t.compressor.wheel.exducer_m);
                format!("{}, {millimetres:.0} mm wheel", t.name)
            }),
        Turns::Housing => {
            let housing = base
                .example
                .turbocharger()
                .turbine
                .housings
                .get(value as usize);
            housing.map_or_else(String::new, |h| format!("A/R {:.2}", h.a_over_r))
        }
        Turns::Speed => format!("{} rev/min", speed(value, 1.0)),
    }
}

/// Ends of what is asked; each is checked against the core in the tests below.
mod goal {
    /// Pressure ratio of lesson 1, and how near is near enough.
    pub const RATIO: (f64, f64) = (2.30, 0.01);
    /// Loss of its clean filter, kPa.
    pub const CLEAN: f64 = 2.0;
    /// Air of lesson 2, over that at the start.
    pub const AIR: f64 = 1.05;
    /// Efficiency and boost (Pa) of lesson 3.
    pub const EFFICIENCY: f64 = 0.78;
    /// See above.
    pub const BOOST: f64 = 120_000.0;
    /// Engine speed (rev/min) by which lesson 4 wants boost, and the back pressure it allows.
    pub const EARLY: f64 = 2800.0;
    /// See above.
    pub const BACK: f64 = 1.20;
    /// Room before surge that lesson 5 wants, the boost (Pa) that it wants it on, and the room before
    /// choke at redline.
    pub const ROOM: f64 = 0.10;
    /// See above.
    pub const SURGE_BOOST: f64 = 120_000.0;
    /// See above.
    pub const CHOKE_ROOM: f64 = 0.05;
    /// Kelvins that lesson 6 wants off, and the share of power it leaves.
    pub const COOLER: f64 = 40.0;
    /// See above.
    pub const POWER: f64 = 0.98;
    /// Seconds that lesson 7 allows.
    pub const LAG: f64 = 0.55;
}

/// What a lesson asks.
pub fn question(number: usize, units: Units) -> String {
    let pressure = shown(Kind::GaugePressure, units);
    match number {
        0 => format!(
            "Fit a clean filter, which loses {} at rated flow, and find the altitude where the compressor works at a ratio of {:.2}.",
            shown(Kind::PressureDifference, units).text(goal::CLEAN * 1000.0),
            goal::RATIO.0
        ),
        1 => format!(
            "Get {} more air into the engine than at the start, on the same boost.",
            percent(goal::AIR - 1.0)
        ),
        2 => format!(
            "Choose turbocharger and boost so that at redline the engine runs inside the {} ring, on {} or more.",
            percent(goal::EFFICIENCY),
            pressure.text(goal::BOOST)
        ),
        3 => format!(
            "Choose the housing that can hold 90{TIE}% of the boost by {} rev/min and keeps back pressure at redline under {:.2} times the manifold’s.",
            speed(goal::EARLY, 1.0),
            goal::BACK
        ),
        4 => format!(
            "This boost would surge. Keep asking {} or more: what is the lowest engine speed with {} of the flow to spare before surge? The wheel must not choke at redline.",
            pressure.text(goal::SURGE_BOOST),
            percent(goal::ROOM)
        ),
        6 => format!(
            "Get 90{TIE}% of the boost within {:.2}{TIE}s, with the largest turbocharger that can.",
            goal::LAG
        ),
        _ => format!(
            "Find the λ of most power. Then make the exhaust at least {} cooler than it is there, and keep {} of that power.",
            shown(Kind::TemperatureDifference, units).text(goal::COOLER),
            percent(goal::POWER)
        ),
    }
}

/// The seen with the most power.
pub fn strongest(others: &[(f64, Seen)]) -> Option<&(f64, Seen)> {
    others
        .iter()
        .max_by(|a, b| a.1.last().power_w.total_cmp(&b.1.last().power_w))
}

/// Whether the question is answered, and what to tell: the number reached and what is still off.
pub fn verdict(
    number: usize,
    settings: &Settings,
    seen: &Seen,
    others: &[(f64, Seen)],
    units: Units,
) -> (bool, String) {
    let report = seen.report();
    let pressure = shown(Kind::GaugePressure, units);
    match number {
        0 => {
            let ratio = report.pressure_ratio;
            let now = format!("Now {ratio:.2}");
            if (settings[1] - goal::CLEAN).abs() > 0.01 {
                let loss = shown(Kind::PressureDifference, units);
                let (set, clean) = (
                    loss.text(settings[1] * 1000.0),
                    loss.text(goal::CLEAN * 1000.0),
                );
                (
                    false,
                    format!("{now}, with a filter that loses {set}: set it to {clean}."),
                )
            } else if ratio < goal::RATIO.0 - goal::RATIO.1 {
                (false, format!("{now}: go higher."))
            } else if ratio > goal::RATIO.0 + goal::RATIO.1 {
                (false, format!("{now}: go lower."))
            } else {
                let height = shown(Kind::Altitude, units).text(settings[0]);
                (true, format!("{now}, at {height}."))
            }
        }
        1 => {
            let Some((_, start)) = others.first() else {
                return (false, String::new());
            };
            let gain = report.dry_air_kg_s / start.report().dry_air_kg_s - 1.0;
            let now = format!("Now {:+.1}{}% air", gain * 100.0, TIE).replace('-', "−");
            let held = report.held == Held::Gate;
            if !held {
                (
                    false,
                    format!(
                        "{now}, but boost is only {}: this compressor cannot hold it.",
                        pressure.text(report.boost_pa)
                    ),
                )
            } else if gain < goal::AIR - 1.0 {
                (
                    false,
                    format!("{now}: cool the charge more, or heat it less."),
                )
            } else {
                let power = report.power_w / start.report().power_w - 1.0;
                // Another turbocharger brings another turbine: not all of the power is the air's.
                let why = if settings[1] == 0.0 {
                    ""
                } else {
                    "; its turbine also holds the exhaust back less"
                };
                (
                    true,
                    format!("{now}, and {:+.1}{}% power{why}.", power * 100.0, TIE),
                )
            }
        }
        2 => {
            let last = seen.last();
            let efficiency = last.compressor_efficiency.unwrap_or(0.0);
            let share = format!("{:.1}{}%", efficiency * 100.0, TIE);
            let now = format!("At redline {share} on {}", pressure.text(last.boost_pa));
            if last.held == Held::Choke || (efficiency < goal::EFFICIENCY && last.choke_room < 0.05)
            {
                (
                    false,
                    format!("{now}: past choke. This wheel is too small."),
                )
            } else if efficiency < goal::EFFICIENCY && last.choke_room > 0.4 {
                (
                    false,
                    format!("{now}: left of the ring. This wheel is too large."),
                )
            } else if efficiency < goal::EFFICIENCY {
                (false, format!("{now}: above the ring. Lower the boost."))
            } else if last.boost_pa < goal::BOOST - 100.0 {
                (false, format!("{now}: inside the ring. Raise the boost."))
            } else {
                (true, format!("{now}."))
            }
        }
        3 => {
            let back = seen.last().back_pressure_ratio;
            let from = seen.found.drive_threshold_rev_min;
            let early = from.is_some_and(|n| n <= goal::EARLY);
            let when = from.map_or("never".to_owned(), |n| {
                format!("{} rev/min", speed(n, 10.0))
            });
            let now = format!(
                "90{TIE}% of the boost from {when}; back pressure {back:.2} times the manifold’s at redline"
            );
            match (early, back <= goal::BACK) {
                (true, true) => (true, format!("{now}.")),
                (false, _) => (false, format!("{now}: too late. Go smaller.")),
                (_, false) => (false, format!("{now}: too much. Go larger.")),
            }
        }
        4 => {
            let boost = pressure.text(report.boost_pa);
            let place = speed(report.engine_speed_rev_min, 1.0);
            // No minus before a zero.
            let room = format!("{:.1}{}%", report.surge_room.max(0.0) * 100.0, TIE);
            let now = format!("At {place}: {boost}, {room} to spare");
            let spare = |s: &SpeedReport| s.held == Held::Gate && s.surge_room >= goal::ROOM;
            let lowest = seen
                .found
                .speeds
                .iter()
                .position(|s| spare(s) && s.boost_pa >= goal::SURGE_BOOST - 100.0);
            if report.boost_asked_pa < goal::SURGE_BOOST - 100.0 {
                let least = pressure.text(goal::SURGE_BOOST);
                (
                    false,
                    format!("{now}, but you ask too little: {least} at least."),
                )
            } else if seen.last().choke_room < goal::CHOKE_ROOM {
                (
                    false,
                    format!("{now}, but this wheel chokes at redline: choose a larger one."),
                )
            } else if report.held == Held::Surge {
                (
                    false,
                    format!("At {place}: surge. More than {boost} cannot be held. Go faster."),
                )
            } else if report.held != Held::Gate {
                (
                    false,
                    format!("{now}: the boost asked is not there. Try another engine speed."),
                )
            } else if !spare(report) {
                (false, format!("{now}: too near. Go faster."))
            } else if lowest.is_some_and(|lowest| lowest < seen.at) {
                (false, format!("{now}: more than is needed. Go slower."))
            } else {
                (true, format!("{now}. Slower than this, ask for less."))
            }
        }
        6 => {
            let Some(spool) = &seen.spool else {
                return (false, String::new());
            };
            let now = match &spool.reach {
                Reach::At { time_s } => format!("Now {time_s:.2}{TIE}s"),
                Reach::Never { boost_pa, .. } => {
                    format!("Now never: it settles at {}", pressure.text(*boost_pa))
                }
                Reach::Later { after_s, .. } => format!("Now more than {after_s:.0}{TIE}s"),
            };
            let time = spool.reach.time().unwrap_or(f64::INFINITY);
            if time > goal::LAG && settings[0] > 1.5 {
                (false, format!("{now}. This wheel is too large."))
            } else if time > goal::LAG {
                (false, format!("{now}: too slow. Warm the manifold."))
            } else if settings[0] < 0.5 {
                (
                    false,
                    format!("{now}: soon enough, but a larger wheel can too."),
                )
            } else {
                (true, format!("{now}."))
            }
        }
        _ => {
            let Some((lambda, best)) = strongest(others) else {
                return (false, String::new());
            };
            let (now, best) = (seen.last(), best.last());
            let share = now.power_w / best.power_w;
            let cooler = best.turbine_inlet.temperature_k - now.turbine_inlet.temperature_k;
            let difference = shown(Kind::TemperatureDifference, units);
            let says = format!(
                "Now {:.1}{}% of the most power, exhaust {} {}",
                share * 100.0,
                TIE,
                difference.text(cooler.abs()),
                if cooler < 0.0 { "hotter" } else { "cooler" }
            );
            if (settings[0] - lambda).abs() < 0.005 {
                (
                    false,
                    format!("{says}: this is the λ of most power. Now go richer."),
                )
            } else if cooler < goal::COOLER {
                (false, format!("{says}: richer."))
            } else if share < goal::POWER {
                (false, format!("{says}: too rich."))
            } else {
                (true, format!("{says}."))
            }
        }
    }
}

/// What the picture shows, as names and values.
pub fn readings(number: usize, seen: &Seen, units: Units) -> Vec<(&'static str, String)> {
    let report = seen.report();
    let absolute = |pa: f64| shown(Kind::AbsolutePressure, units).text(pa);
    let warm = |kelvin: f64| shown(Kind::Temperature, units).text(kelvin);
    let room = |share: f64| percent(share);
    let boost = shown(Kind::GaugePressure, units).text(report.boost_pa);
    let power = shown(Kind::Power, units).text(report.power_w);
    let flow = shown(Kind::MassFlow, units);
    let efficiency = report
        .compressor_efficiency
        .map_or_else(|| "windmills".to_owned(), percent);
    let ratio = format!("{:.2}", report.pressure_ratio);
    let turns = format!("{} rev/min", speed(report.shaft_speed_rev_min, 100.0));
    match number {
        0 => vec![
            ("Outside", absolute(report.outside.pressure_pa)),
            (
                "At the wheel",
                absolute(report.compressor_inlet.pressure_pa),
            ),
            ("Manifold", absolute(report.manifold.pressure_pa)),
            (
                "Filter takes",
                shown(Kind::PressureDifference, units).text(report.filter_loss_pa),
            ),
            ("Shaft", turns),
        ],
        1 => vec![
            ("Boost", boost),
            ("Compressor", efficiency),
            ("After it", warm(report.compressor_outlet.temperature_k)),
            ("Manifold", warm(report.manifold.temperature_k)),
            ("Air", flow.text(report.dry_air_kg_s)),
            ("Power", power),
        ],
        2 => vec![
            ("Corrected flow", flow.text(report.corrected_flow_kg_s)),
            ("Pressure ratio", ratio),
            ("Efficiency", efficiency),
            ("Shaft", turns),
        ],
        3 => vec![
            (
                "Boost it can hold",
                shown(Kind::GaugePressure, units).text(report.boost_drivable_pa),
            ),
            (
                "Back pressure",
                format!("{:.2}{}×", report.back_pressure_drivable_ratio, TIE),
            ),
            ("Past the gate", percent(report.gate_share)),
            ("Power", power),
        ],
        4 => vec![
            ("Boost", boost),
            ("Before surge", room(report.surge_room)),
            ("Before choke", room(report.choke_room)),
            ("Efficiency", efficiency),
        ],
        6 => {
            let spool = seen.spool.as_ref();
            let inertia = shown_inertia();
            let first = spool.and_then(|s| s.trace.first());
            let time = spool.and_then(|s| s.reach.time());
            vec![
                (
                    "Time to boost",
                    time.map_or_else(|| "never".to_owned(), |t| format!("{t:.2}{TIE}s")),
                ),
                (
                    "Rotor inertia",
                    spool.map_or_else(String::new, |s| inertia.text(s.inertia_kg_m2)),
                ),
                (
                    "Shaft at first",
                    first.map_or_else(String::new, |s| {
                        format!("{} rev/min", speed(s.shaft_speed_rev_min, 100.0))
                    }),
                ),
                ("Shaft in the end", turns),
            ]
        }
        _ => vec![
            ("Power", power),
            (
                "Before the turbine",
                warm(report.turbine_inlet.temperature_k),
            ),
            (
                "Fuel",
                report.bsfc_kg_j.map_or_else(String::new, |b| {
                    shown(Kind::SpecificConsumption, units).text(b)
                }),
            ),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use airpath::quantity::System;

    fn base() -> Base {
        Base {
            example: airpath::example_build().expect("the example is sound"),
            shelf: airpath::build::shelf().into_iter().map(Arc::new).collect(),
        }
    }

    fn told(number: usize, settings: Settings) -> (bool, String) {
        let (base, units) = (base(), Units::new(System::Metric));
        let lesson = &LESSONS[number];
        let seen = lesson.see(&base, &settings).expect("it solves");
        verdict(number, &settings, &seen, &lesson.others(&base), units)
    }

    /// Every question is open at the start, and the controls can answer it; nearby settings that
    /// should not answer it do not.
    #[test]
    fn every_question_is_open_at_the_start_and_can_be_answered() {
        let answers: [(Settings, Settings); COUNT] = [
            ([1900.0, 2.0, 0.0], [1900.0, 6.0, 0.0]),
            ([88.0, 0.0, 0.0], [70.0, 0.0, 0.0]),
            ([1.0, 1.25, 5000.0], [1.0, 1.8, 5000.0]),
            ([1.0, 5000.0, 0.0], [2.0, 5000.0, 0.0]),
            ([1.0, 1.5, 3800.0], [1.0, 1.5, 4400.0]),
            ([0.82, 0.0, 0.0], [0.9, 0.0, 0.0]),
            ([1.0, 90.0, 0.0], [0.0, 0.0, 0.0]),
        ];
        for (number, (right, wrong)) in answers.into_iter().enumerate() {
            for (settings, expected) in [
                (LESSONS[number].start(), false),
                (right, true),
                (wrong, false),
            ] {
                let (answered, says) = told(number, settings);
                assert_eq!(
                    answered,
                    expected,
                    "lesson {}: {settings:?}: {says}",
                    number + 1
                );
                assert!(
                    says.ends_with('.') && says.chars().any(|c| c.is_ascii_digit()),
                    "{says}"
                );
            }
        }
    }

    /// ISO 2533:1975, table 1: 101,325 Pa at sea level, 84,556 Pa at 1,500 m (values from memory);
    /// 14.7 psi is 101,353 Pa (NIST SP 811, B.8).
    #[test]
    fn the_first_lesson_keeps_what_its_title_says() {
        for (altitude, outside) in [(0.0, 101_325.0), (1500.0, 84_556.0)] {
            let seen = LESSONS[0]
                .see(&base(), &[altitude, 0.0, 0.0])
                .expect("it solves");
            let expected = (outside + 101_353.0) / outside;
            // Both pressures are given to a pascal: that is a part in 100,000 of the ratio.
            assert!((seen.report().pressure_ratio - expected).abs() < 3e-5);
        }
    }

    #[test]
    fn a_lesson_is_short() {
        for (number, lesson) in LESSONS.iter().enumerate() {
            let question = question(number, Units::new(System::Metric));
            let words = [lesson.text, lesson.lesson, lesson.caution, &question]
                .iter()
                .map(|t| t.split_whitespace().count())
                .sum::<usize>();
            assert!(words <= 135, "lesson {} has {words} words", number + 1);
        }
    }
}
