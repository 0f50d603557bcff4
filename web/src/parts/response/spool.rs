//! Time to boost: a curve over engine speed, and the way there at the engine speed of the cursor.

use super::{REST, empty, picture, plot, rested};
use crate::parts::shapes::{list, live, toggle, whether, words};
use crate::plots::chart::{Area, Chart, Curve, Strip, Stroke};
use crate::plots::frame;
use crate::plots::geometry::Point;
use crate::sentence::held;
use crate::show::{Shown, Units, shown, shown_inertia, speed};
use crate::store::{Span, use_store};
use airpath::build::Build;
use airpath::quantity::Kind;
use airpath::response::{CurvePoint, Detail, Reach, Response, Sample, Spool};
use airpath::run::Match;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// Engine speeds of the curve.
const SPEEDS: usize = 18;

/// Seconds with two decimals.
pub fn seconds(s: f64) -> String {
    format!("{s:.2}\u{a0}s")
}

/// What comes of opening the throttle, in words.
fn outcome(reach: &Reach, units: Units) -> String {
    let boost = shown(Kind::GaugePressure, units);
    match reach {
        Reach::At { time_s } => seconds(*time_s),
        Reach::Never { boost_pa, why } => format!(
            "never: it settles at {}, {}",
            boost.text(*boost_pa),
            held(*why)
        ),
        Reach::Later { after_s, boost_pa } => format!(
            "not within {after_s:.0} s: {} by then",
            boost.text(*boost_pa)
        ),
    }
}

/// The curve, a speed at a time, so that the page stays awake.
#[derive(Clone, Default)]
struct Times {
    build: Option<Arc<Build>>,
    points: Vec<CurvePoint>,
    spool: Option<Arc<Spool>>,
}

fn sweep(found: &Match) -> Vec<f64> {
    let first = found
        .speeds
        .first()
        .map_or(1000.0, |s| s.engine_speed_rev_min);
    let last = found
        .speeds
        .last()
        .map_or(2000.0, |s| s.engine_speed_rev_min);
    (0..SPEEDS)
        .map(|at| first + (last - first) * at as f64 / (SPEEDS - 1) as f64)
        .collect()
}

fn curve_chart(times: &Times, cursor: f64, likely: &Span) -> Chart {
    /// Half the width of the box for what is likely at one engine speed, rev/min.
    const BROAD: f64 = 60.0;
    let ends = times
        .points
        .first()
        .zip(times.points.last())
        .map_or((0.0, 1.0), |(a, b)| {
            (a.engine_speed_rev_min, b.engine_speed_rev_min)
        });
    let time = |point: &CurvePoint| {
        point
            .reach
            .as_ref()
            .and_then(Reach::time)
            .unwrap_or(f64::NAN)
    };
    let points: Vec<(f64, f64)> = times
        .points
        .iter()
        .map(|p| (p.engine_speed_rev_min, time(p)))
        .collect();
    if points.iter().all(|p| !p.1.is_finite()) {
        return empty("Boost never comes at any engine speed.");
    }
    Chart {
        across: "Engine speed, rev/min".to_owned(),
        ends,
        cursor: Some((cursor, format!("{} rev/min", speed(cursor, 10.0)))),
        strips: vec![Strip {
            areas: likely
                .iter()
                .map(|(speed, low, high)| Area {
                    name: "likely".to_owned(),
                    points: [-BROAD, BROAD]
                        .map(|beside| (speed + beside, *low, *high))
                        .to_vec(),
                })
                .collect(),
            ..Strip::new(
                "Time to boost",
                "s, to 90 % of what is asked",
                2,
                vec![Curve::new("", Stroke::Strong, points)],
            )
        }],
        nothing: String::new(),
    }
}

fn way_chart(spool: &Spool, units: Units) -> Chart {
    let of = |value: &dyn Fn(&Sample) -> f64| -> Vec<(f64, f64)> {
        spool.trace.iter().map(|s| (s.time_s, value(s))).collect()
    };
    let in_unit =
        |shown: Shown, value: fn(&Sample) -> f64| of(&move |s| shown.unit.from_si(value(s)));
    let strip = |title: &str, unit: &str, decimals, stroke, points: Vec<Point>| {
        Strip::new(title, unit, decimals, vec![Curve::new("", stroke, points)])
    };
    let boost = shown(Kind::GaugePressure, units);
    let before = shown(Kind::AbsolutePressure, units);
    let torque = shown(Kind::Torque, units);
    let last = spool.trace.last().map_or(1.0, |s| s.time_s);
    Chart {
        across: "Seconds after the throttle is opened".to_owned(),
        ends: (0.0, last.max(0.05)),
        cursor: spool
            .reach
            .time()
            .map(|time| (time, format!("{}: 90 %", seconds(time)))),
        strips: vec![
            strip(
                "Boost",
                boost.unit.symbol,
                boost.decimals,
                Stroke::Strong,
                in_unit(boost, |s| s.boost_pa),
            ),
            strip(
                "Shaft",
                "thousand rev/min",
                1,
                Stroke::Plain,
                of(&|s| s.shaft_speed_rev_min / 1e3),
            ),
            strip(
                "Before the turbine",
                &format!("{} absolute", before.unit.symbol),
                before.decimals,
                Stroke::Plain,
                in_unit(before, |s| s.turbine_inlet_pa),
            ),
            strip(
                "Torque",
                torque.unit.symbol,
                torque.decimals,
                Stroke::Plain,
                in_unit(torque, |s| s.torque_nm),
            ),
        ],
        nothing: String::new(),
    }
}

/// What is said of the way at the cursor.
fn account(spool: &Spool, units: Units) -> String {
    let at = speed(spool.engine_speed_rev_min, 10.0);
    let inertia = shown_inertia();
    let rotor = match spool.inertia_estimated {
        true => format!(
            "Rotor inertia {} is estimated from the wheels, ±35 %.",
            inertia.text(spool.inertia_kg_m2)
        ),
        false => format!(
            "Rotor inertia {} as entered.",
            inertia.text(spool.inertia_kg_m2)
        ),
    };
    let boost = shown(Kind::GaugePressure, units);
    let comes = match &spool.reach {
        Reach::At { time_s } => format!(
            "At {at} rev/min, from light load, 90 % of {} is there after {}.",
            boost.text(spool.boost_asked_pa),
            seconds(*time_s)
        ),
        other => format!(
            "At {at} rev/min 90 % of {} comes {}.",
            boost.text(spool.boost_asked_pa),
            outcome(other, units)
        ),
    };
    let through = match spool.through_surge {
        true => " On its way it passes left of the surge line.",
        false => "",
    };
    format!("{comes}{through} {rotor}")
}

/// Works out what is missing, a speed at a time.
fn go_on(times: RwSignal<Times>) {
    let store = use_store();
    let step = move || {
        let Some(solved) = store.solved.get_untracked() else {
            return false;
        };
        let Some(done) = times.try_with_untracked(|t| t.points.len()) else {
            return false;
        };
        let speeds = sweep(&solved.found);
        let Some(speed) = speeds.get(done).copied() else {
            return false;
        };
        let began = frame::now();
        let Ok(mut response) = Response::beside(&solved.build, &solved.found) else {
            return false;
        };
        // As many as fit into a frame.
        let mut at = done;
        let mut next = Some(speed);
        let mut found = Vec::new();
        while let Some(speed) = next {
            let spool = response.time_to_boost(speed, Detail::Time);
            let (asked, reach, problem) = match spool {
                Ok(spool) => (spool.boost_asked_pa, Some(spool.reach), None),
                Err(error) => (f64::NAN, None, Some(error.to_string())),
            };
            found.push(CurvePoint {
                engine_speed_rev_min: speed,
                boost_asked_pa: asked,
                reach,
                problem,
            });
            at += 1;
            next = speeds
                .get(at)
                .copied()
                .filter(|_| frame::now() - began < 8.0);
        }
        frame::measure("airpath: times to boost", began, frame::now());
        times
            .try_update(|t| t.points.extend(found))
            .is_some_and(|()| at < speeds.len())
    };
    fn again(step: impl Fn() -> bool + Clone + 'static) {
        set_timeout(
            move || {
                if step() {
                    again(step);
                }
            },
            Duration::ZERO,
        );
    }
    again(step);
}

/// Time to boost.
pub fn spool() -> AnyView {
    let store = use_store();
    let times = RwSignal::new(Times::default());
    let (resting, resting_way) = (StoredValue::new(None), StoredValue::new(None));
    let owner = Owner::current();
    // The curve belongs to the match.
    Effect::new(move |before: Option<bool>| {
        store.solved.track();
        let owner = owner.clone();
        let begin = move || {
            let Some(owner) = &owner else { return };
            owner.with(|| {
                let build = store.solved.get_untracked().map(|s| s.build.clone());
                let same = times.try_with_untracked(|t| t.build == build);
                if same != Some(false) {
                    return;
                }
                times.set(Times {
                    build,
                    points: Vec::new(),
                    spool: times.with_untracked(|t| t.spool.clone()),
                });
                go_on(times);
            });
        };
        let after = if before.is_none() {
            Duration::from_millis(30)
        } else {
            REST
        };
        rested(resting, after, begin);
        true
    });
    // The way belongs to the cursor.
    Effect::new(move |before: Option<bool>| {
        store.solved.track();
        store.cursor.track();
        let follow = move || {
            let found = store.solved.with_untracked(|s| {
                let solved = s.as_ref()?;
                let at = solved.found.speeds.get(store.cursor.get_untracked())?;
                let began = frame::now();
                let mut response = Response::beside(&solved.build, &solved.found).ok()?;
                let spool = response.time_to_boost(at.engine_speed_rev_min, Detail::Trace);
                frame::measure("airpath: way to boost", began, frame::now());
                spool.ok()
            });
            let _ = times.try_update(|t| t.spool = found.map(Arc::new));
        };
        let after = if before.is_none() {
            Duration::from_millis(60)
        } else {
            REST
        };
        rested(resting_way, after, follow);
        true
    });
    let curve = RwSignal::new(empty("Working it out."));
    let way = RwSignal::new(empty("Working it out."));
    Effect::new(move |_| {
        let cursor = store.engine_speed.get();
        let likely = store.likely.get();
        let none = Span::new();
        let likely = likely.as_ref().map_or(&none, |l| &l.time);
        times.with(|t| {
            if t.points.len() == SPEEDS {
                curve.set(curve_chart(t, cursor, likely));
            }
        });
    });
    Effect::new(move |_| {
        let units = store.units.get();
        times.with(|t| {
            way.set(match &t.spool {
                Some(spool) if !spool.trace.is_empty() => way_chart(spool, units),
                _ => empty("No answer at this engine speed."),
            });
        });
    });
    let said = words(move || {
        let units = store.units.get();
        times.with(|t| {
            t.spool
                .as_ref()
                .map_or_else(String::new, |spool| account(spool, units))
        })
    });
    let open = RwSignal::new(false);
    let table = live(move || {
        let units = store.units.get();
        let rows = times.with(|t| {
            list(t.points.iter().map(|p| {
                let text = match (&p.reach, &p.problem) {
                    (Some(reach), _) => outcome(reach, units),
                    (None, Some(problem)) => problem.clone(),
                    (None, None) => String::new(),
                };
                view! { <tr><th scope="row">{speed(p.engine_speed_rev_min, 10.0)}</th><td>{text}</td></tr> }
                    .into_any()
            }))
        });
        view! {
            <table data-table="spool"><caption>"Time to 90 % of the boost asked, from light load"</caption>
                <thead><tr><th scope="col">"Engine speed, rev/min"</th><th scope="col">"Time to boost"</th></tr></thead>
                <tbody>{rows}</tbody></table>
        }
        .into_any()
    });
    view! {
        <section class="figure spool" aria-labelledby="spool-title">
            <header>
                <h2 id="spool-title">"Time to boost " <small>"throttle opened at a steady engine speed"</small></h2>
                <div class="figure-tools">{picture("spool", "Time to boost", "Picture")}{picture("way-to-boost", "The way to boost", "Picture of the way")}{toggle(open, "Time to boost".to_owned(), "Hide table", || "Table".to_owned())}</div>
            </header>
            <p class="said" data-spool="">{said}</p>
            {plot("spool", curve, said)}
            {plot("way-to-boost", way, said)}
            <div class="table" tabindex=words(move || if open.get() { "0" } else { "-1" }.to_owned()) role="group" aria-label="Table: time to boost" hidden=whether(move || !open.get())>
                {table}
            </div>
        </section>
    }
    .into_any()
}
