//! How sure the match is: a thousand ways that it may turn out, worked out beside the page; what is
//! likely, how much room is likely left, and which guess matters most.

use super::work::{job, sample, study};
use super::{rested, spool::seconds};
use crate::beside::{self, Gang, Told};
use crate::parts::own;
use crate::parts::shapes::{list, live, perhaps, press, toggle, words};
use crate::plots::frame;
use crate::show::{TIE, Units, percent, shown, speed};
use crate::store::{Likely, Span, Store, use_store};
use airpath::build::Build;
use airpath::quantity::Kind;
use airpath::response::reference_speed;
use airpath::spread::{Band, Bands, Matter, Outcome, SampleResult, Study, read_samples};
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use std::sync::Arc;
use std::time::Duration;

/// How many ways.
const SAMPLES: u32 = 1000;
/// Which: the same each time, so that the same build gives the same answer.
const SEED: u32 = 1;
/// How long edits must rest before what was asked for once is worked out anew.
const REST: Duration = Duration::from_millis(1200);
/// Guesses of a ranking that are shown.
const SHOWN: usize = 5;
/// Milliseconds that the page may be held at once where it has to do the work itself.
const HELD: f64 = 10.0;

/// Where it stands.
#[derive(Clone)]
enum State {
    /// Not asked, or no longer of this build.
    Idle,
    /// On its way: how many are done.
    Going(usize),
    /// Done, for this build.
    Done(Arc<Build>, Arc<Bands>),
    /// Not to be had, and why.
    Failed(String),
}

/// What is on its way.
struct Run {
    number: u32,
    build: Arc<Build>,
    study: Study,
    results: Vec<SampleResult>,
    gang: Option<Gang>,
    began: f64,
}

thread_local! {
    static RUN: RefCell<Option<Run>> = const { RefCell::new(None) };
    /// How many there were: what comes in from an earlier one is not taken.
    static RUNS: Cell<u32> = const { Cell::new(0) };
}

fn stop() {
    RUN.with(|run| *run.borrow_mut() = None);
}

/// Samples of the run of this number came in; whether there are enough.
fn took(number: u32, came: Vec<SampleResult>) -> Option<usize> {
    RUN.with(|run| {
        let mut run = run.borrow_mut();
        let run = run.as_mut().filter(|run| run.number == number)?;
        run.results.extend(came);
        Some(run.results.len())
    })
}

fn finish(store: Store, state: RwSignal<State>, number: u32) {
    let done = RUN.with(|run| {
        let mut run = run.borrow_mut();
        if run.as_ref().is_some_and(|run| run.number == number) {
            run.take()
        } else {
            None
        }
    });
    let Some(mut run) = done else { return };
    // In the order of their numbers, whichever worker was the quicker: the same sums to the bit.
    airpath::numeric::put_in_order(&mut run.results, |r| f64::from(r.sample));
    let bands = run.study.summarise(&run.results);
    frame::measure("airpath: study", run.began, frame::now());
    store
        .likely
        .set(Some(Arc::new(likely(store, &run.build, &bands))));
    let _ = state.try_set(State::Done(run.build, Arc::new(bands)));
}

/// What the plots show of the bands.
fn likely(store: Store, build: &Build, bands: &Bands) -> Likely {
    let outside = store.solved.with_untracked(|s| {
        let first = s.as_ref().and_then(|s| s.found.speeds.first());
        first.map_or(f64::NAN, |s| s.outside.pressure_pa)
    });
    let ends = |band: &Band| band.p10.zip(band.p90);
    let span = |of: &[Band], above: f64| -> Span {
        let speeds = bands.speeds_rev_min.iter().zip(of);
        speeds
            .filter_map(|(speed, band)| {
                let (low, high) = ends(band)?;
                Some((*speed, low + above, high + above))
            })
            .collect()
    };
    let time = bands.time_to_boost_s.as_ref().and_then(ends);
    Likely {
        most_power: ends(&bands.peak_power_w),
        power: span(&bands.power_w, 0.0),
        manifold: span(&bands.boost_pa, outside),
        time: time
            .map(|(low, high)| vec![(reference_speed(build), low, high)])
            .unwrap_or_default(),
    }
}

/// The page does what is left itself, a little at a time.
fn alone(store: Store, state: RwSignal<State>, number: u32) {
    let more = RUN.with(|run| {
        let mut run = run.borrow_mut();
        let run = run.as_mut().filter(|run| run.number == number)?;
        let began = frame::now();
        while (run.results.len() as u32) < SAMPLES && frame::now() - began < HELD {
            let next = run.results.len() as u32;
            run.results.push(sample(&run.study, next));
        }
        Some(run.results.len())
    });
    match more {
        None => {}
        Some(done) if done as u32 >= SAMPLES => finish(store, state, number),
        // Where the answer has left the page, nothing is left to do.
        Some(done) if state.try_set(State::Going(done)).is_some() => {}
        Some(_) => {
            set_timeout(move || alone(store, state, number), Duration::ZERO);
        }
    }
}

fn run(store: Store, state: RwSignal<State>) {
    stop();
    let build = store.build.get_untracked();
    let began = frame::now();
    let study = match study(&build, SEED) {
        Ok(study) => study,
        Err(why) => return state.set(State::Failed(why)),
    };
    let number = RUNS.with(|runs| runs.replace(runs.get() + 1));
    state.set(State::Going(0));
    let workers = beside::count() as u32;
    let jobs: Vec<String> = (0..workers)
        .map(|at| {
            let share = |at: u32| SAMPLES * at / workers;
            job(&build, SEED, share(at), share(at + 1))
        })
        .collect();
    RUN.with(|run| {
        *run.borrow_mut() = Some(Run {
            number,
            build,
            study,
            results: Vec::new(),
            gang: None,
            began,
        });
    });
    let hear = move |told| match told {
        Told::Piece(text) => {
            if let Some(done) = read_samples(&text).and_then(|came| took(number, came)) {
                let _ = state.try_set(State::Going(done));
            }
        }
        Told::Done => finish(store, state, number),
        Told::Failed => {
            // From the beginning, without them.
            RUN.with(|run| {
                if let Some(run) = run.borrow_mut().as_mut() {
                    run.results.clear();
                    run.gang = None;
                }
            });
            set_timeout(move || alone(store, state, number), Duration::ZERO);
        }
    };
    let gang = (workers > 0).then(|| beside::start(jobs, hear)).flatten();
    let working = gang.is_some();
    RUN.with(|run| {
        if let Some(run) = run.borrow_mut().as_mut() {
            run.gang = gang;
        }
    });
    if !working {
        set_timeout(move || alone(store, state, number), Duration::ZERO);
    }
}

/// A band in words: its two ends, or what is never reached.
fn span(band: &Band, text: impl Fn(f64) -> String, never: &str) -> String {
    match (band.p10, band.p90) {
        (Some(low), Some(high)) if text(low) == text(high) => text(low),
        (Some(low), Some(high)) => format!("{} to {}", text(low), text(high)),
        (Some(low), None) => format!("{} to {never}", text(low)),
        (None, _) => never.to_owned(),
    }
}

/// What is likely, in a sentence.
fn account(build: &Build, bands: &Bands, units: Units) -> String {
    let power = shown(Kind::Power, units);
    let rev = |value: f64| speed(value, 10.0);
    let mut said = format!(
        "Likely (eight times in ten): {}{TIE}{}",
        span(&bands.peak_power_w, |v| power.number(v), "nothing"),
        power.unit.symbol,
    );
    said += &format!(
        "; the turbine drives nine tenths of the boost from {} rev/min, right of surge from {}",
        span(&bands.drive_threshold_rev_min, rev, "never"),
        span(&bands.usable_threshold_rev_min, rev, "never"),
    );
    if let Some(time) = &bands.time_to_boost_s {
        said += &format!(
            "; time to boost at {} rev/min {}",
            rev(reference_speed(build)),
            span(time, seconds, "never"),
        );
    }
    said.push('.');
    if bands.target_missed > 0.0 {
        said += &format!(
            " The goal is missed in {} of the cases.",
            percent(bands.target_missed)
        );
    }
    let first = bands
        .rankings
        .iter()
        .find(|r| r.outcome == Outcome::PeakPower)
        .and_then(|r| r.guesses.first());
    if let Some(first) = first {
        said += &format!(
            " For power, “{}” matters most; what would settle it: {}",
            first.label,
            uncapped(first.settled_by)
        );
    }
    said
}

fn row(name: String, band: &Band, text: &dyn Fn(f64) -> String, never: &str) -> AnyView {
    let cell = |value: Option<f64>| value.map_or_else(|| never.to_owned(), text);
    view! {
        <tr><th scope="row">{name}</th><td>{cell(band.p10)}</td><td>{cell(band.p50)}</td><td>{cell(band.p90)}</td></tr>
    }
    .into_any()
}

fn table(build: &Build, bands: &Bands, units: Units) -> AnyView {
    let power = shown(Kind::Power, units);
    let torque = shown(Kind::Torque, units);
    let rev = |value: f64| format!("{} rev/min", speed(value, 10.0));
    let mut rows = vec![
        row(
            "Most power".to_owned(),
            &bands.peak_power_w,
            &|v| power.text(v),
            "none",
        ),
        row(
            "Most torque".to_owned(),
            &bands.peak_torque_nm,
            &|v| torque.text(v),
            "none",
        ),
        row(
            "Boost driven from".to_owned(),
            &bands.drive_threshold_rev_min,
            &rev,
            "never",
        ),
        row(
            "Right of surge from".to_owned(),
            &bands.usable_threshold_rev_min,
            &rev,
            "never",
        ),
    ];
    if let Some(time) = &bands.time_to_boost_s {
        let name = format!("Time to boost at {}", rev(reference_speed(build)));
        rows.push(row(name, time, &|v| seconds(v), "never"));
    }
    for limit in &bands.limits {
        let name = format!("Room: {}", limit.kind.label());
        rows.push(row(name, &limit.room, &|room| percent_of(room), "none"));
    }
    let limits = list(bands.limits.iter().filter(|l| l.past > 0.0).map(|l| {
        view! { <li>{format!("{} is passed in {} of the cases.", l.kind.label(), percent(l.past))}</li> }
            .into_any()
    }));
    view! {
        <div class="table" tabindex="0" role="group" aria-label="What is likely">
        <table data-table="sure"><caption>"One in ten lies below the first, half below the second, one in ten above the third"</caption>
            <thead><tr><td></td><th scope="col">"1 in 10 below"</th><th scope="col">"Half"</th><th scope="col">"1 in 10 above"</th></tr></thead>
            <tbody>{list(rows)}</tbody></table>
        </div>
        <ul class="past">{limits}</ul>
    }
    .into_any()
}

/// A sentence's first letter small, to go on with.
fn uncapped(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_lowercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}

fn percent_of(room: f64) -> String {
    match room < 0.0 {
        true => format!("{} past", percent(-room)),
        false => percent(room),
    }
}

fn guess(matter: &Matter) -> AnyView {
    let way = if matter.coefficient < 0.0 {
        "falls with it"
    } else {
        "rises with it"
    };
    let length = 100.0 * matter.coefficient.abs().min(1.0);
    view! {
        <li>
            <span><b>{matter.label}</b>{format!(" · {way}, {:.2}", matter.coefficient)}</span>
            <i class="weight" style=format!("width:{length:.0}%") aria-hidden="true"></i>
            <span class="quiet">{format!("Settled by {}", uncapped(matter.settled_by))}</span>
        </li>
    }
    .into_any()
}

fn rankings(bands: &Bands) -> AnyView {
    list(
        bands
            .rankings
            .iter()
            .filter(|r| !r.guesses.is_empty())
            .map(|ranking| {
                let of = match ranking.outcome {
                    Outcome::PeakPower => "power",
                    Outcome::DriveThreshold => "where boost is driven from",
                    Outcome::UsableThreshold => "where it is right of surge",
                    Outcome::TimeToBoost => "time to boost",
                };
                let sure = ranking.r_squared.map_or_else(String::new, |r| {
                    format!("Together they account for {} of it.", percent(r))
                });
                view! {
                    <section class="ranking"><h3>{format!("What matters most to {of}")}</h3>
                        <ol>{list(ranking.guesses.iter().take(SHOWN).map(guess))}</ol>
                        <p class="quiet">{sure}</p>
                    </section>
                }
                .into_any()
            }),
    )
}

/// How sure the match is.
pub fn sure() -> AnyView {
    let store = use_store();
    let state = RwSignal::new(State::Idle);
    let asked = RwSignal::new(false);
    let open = RwSignal::new(false);
    let resting = StoredValue::new(None);
    Effect::new(move |_| {
        let build = store.build.get();
        let stands = state.with_untracked(|s| match s {
            State::Done(of, _) => **of == *build,
            State::Going(_) => {
                RUN.with(|run| run.borrow().as_ref().is_some_and(|r| r.build == build))
            }
            _ => false,
        });
        if stands {
            return;
        }
        stop();
        store.likely.set(None);
        if !matches!(state.get_untracked(), State::Idle) {
            state.set(State::Idle);
        }
        // Once it was asked for it is kept up.
        if asked.get_untracked() {
            rested(resting, REST, move || {
                if asked.try_get_untracked() == Some(true) {
                    run(store, state);
                }
            });
        }
    });
    let begin = move || {
        asked.set(true);
        run(store, state);
    };
    let cancel = move || {
        asked.set(false);
        stop();
        state.set(State::Idle);
    };
    let body = live(move || {
        let units = store.units.get();
        match state.get() {
            State::Idle => view! {
                <button type="button" class="small" data-act="how-sure" on:click=press(begin)>"How sure is this?"</button>
                <span class="quiet">{if asked.get() { "It is worked out anew once you rest." } else { "" }}</span>
            }
            .into_any(),
            State::Going(done) => view! {
                <span>{format!("Working through {SAMPLES} ways it may turn out: {done} done.")}</span>
                <progress max=SAMPLES.to_string() value=done.to_string()></progress>
                <button type="button" class="small" data-act="cancel-study" on:click=press(cancel)>"Cancel"</button>
            }
            .into_any(),
            State::Failed(why) => view! { <p class="fault"><i class="mark" aria-hidden="true"></i>{why}</p> }.into_any(),
            State::Done(build, bands) => view! {
                <p data-likely="">{account(&build, &bands, units)}</p>
                {toggle(open, "how sure this is".to_owned(), "Hide what lies behind", || "What lies behind".to_owned())}
            }
            .into_any(),
        }
    });
    let detail = perhaps(move || {
        let units = store.units.get();
        match state.get() {
            State::Done(build, bands) if open.get() => Some(
                view! {
                    {table(&build, &bands, units)}
                    <div class="rankings">{rankings(&bands)}</div>
                    <p class="quiet">{words(move || format!("{SAMPLES} ways, each guess drawn from its spread by itself; what you entered yourself spreads less. The grey bands on the plots are the same eight in ten. It covers the guesses in this table, not a fault in the engine or a wrong entry."))}</p>
                }
                .into_any(),
            ),
            _ => None,
        }
    });
    // An estimate says how far it may be off, before anyone asks.
    let estimated = perhaps(move || {
        let within = store.build.with(|build| {
            let compressor = &build.turbocharger().compressor;
            compressor.map.estimated.then(|| own::within(compressor))
        })?;
        let words = format!("The compressor map is an estimate: {within}.");
        Some(view! { <p class="quiet" data-estimated="">{words}</p> }.into_any())
    });
    on_cleanup(stop);
    view! { <div class="sure" data-sure=""><div class="sure-line" role="status">{body}</div>{estimated}{detail}</div> }.into_any()
}
