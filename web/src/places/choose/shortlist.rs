//! The shortlist: every turbocharger there is, each housing, one and a pair, screened for the engine that
//! stands and ranked by what the person values.

use super::labour::{Heard, Labour, begin};
use super::picks::Pick;
use super::{Desk, title, typed_number};
use crate::keep::{self, own};
use crate::parts::shapes::{list, live, perhaps, press, text, toggle, whether, words};
use crate::show::{TIE, Units, percent, shown, speed};
use crate::store::use_store;
use airpath::build::{Build, Turbocharger};
use airpath::desk::Candidate;
use airpath::desk::job::{Job, Piece, screened};
use airpath::desk::shortlist::{
    LIMIT_ROWS, LeastRoom, Look, Placed, RANGES, Rejection, Screen, Weights, Why, Wish, Wishes,
};
use airpath::fields::Field;
use airpath::quantity::Kind;
use airpath::run::LimitKind;
use leptos::prelude::*;
use std::cell::RefCell;
use std::sync::Arc;

/// Places and rejections that are shown at first.
const SHOWN: usize = 8;

/// What was screened.
#[derive(Clone)]
struct Screened {
    screen: Arc<Screen>,
    shelf: Arc<Vec<Arc<Turbocharger>>>,
    looks: Arc<Vec<Look>>,
    /// How long it took, ms.
    took: f64,
}

/// Where it stands.
#[derive(Clone)]
enum State {
    /// Not asked for.
    Idle,
    /// On its way: done, of how many.
    Going(usize, usize),
    /// Done, for this build.
    Done(Screened),
    /// Not to be had, and why.
    Failed(String),
}

thread_local! {
    static LABOUR: RefCell<Option<Labour>> = const { RefCell::new(None) };
    /// What came in, by the place of its candidate.
    static CAME: RefCell<Vec<Option<Look>>> = const { RefCell::new(Vec::new()) };
    /// The limits as they were set last, for when the reader comes back.
    static WISHES: RefCell<Option<Wishes>> = const { RefCell::new(None) };
    /// What was screened last, likewise.
    static LAST: RefCell<Option<(Arc<Build>, Screened)>> = const { RefCell::new(None) };
}

/// The limits as they were set last.
pub fn limits_set() -> Wishes {
    WISHES.with_borrow(Clone::clone).unwrap_or_default()
}

/// The weights as they were set last.
pub fn weights() -> Weights {
    let mut weights = Weights::default();
    let kept = keep::wishes().unwrap_or_default();
    let numbers: Vec<f64> = kept.split(' ').filter_map(|n| n.parse().ok()).collect();
    if let &[early, middle, top, margin] = numbers.as_slice() {
        weights = Weights {
            early,
            middle,
            top,
            margin,
        };
    }
    weights
}

fn weight(weights: &mut Weights, wish: Wish) -> &mut f64 {
    match wish {
        Wish::Early => &mut weights.early,
        Wish::Middle => &mut weights.middle,
        Wish::Top => &mut weights.top,
        Wish::Margin => &mut weights.margin,
    }
}

/// The sliders of what is valued.
pub fn wishes(desk: Desk) -> AnyView {
    let store = desk.store;
    let ends = move || {
        store.solved.with(|s| {
            let speeds = s.as_ref().map(|s| &s.found.speeds);
            let first = speeds
                .and_then(|s| s.first())
                .map_or(0.0, |s| s.engine_speed_rev_min);
            let last = speeds
                .and_then(|s| s.last())
                .map_or(1.0, |s| s.engine_speed_rev_min);
            (first, last)
        })
    };
    let sliders = list(Wish::ALL.iter().enumerate().map(|(place, wish)| {
        let wish = *wish;
        let over = words(move || match RANGES.get(place) {
            Some(range) => {
                let (low, high) = ends();
                let at = |share: f64| speed(low + share * (high - low), 50.0);
                format!("{} to {}", at(range.shares.0), at(range.shares.1))
            }
            None => "before the tightest limit".to_owned(),
        });
        let value = move || desk.weights.with(|w| *weight(&mut w.clone(), wish));
        let slid = text(move |value: String| {
            if let Ok(value) = value.parse::<f64>() {
                desk.weights.update(|w| *weight(w, wish) = value / 100.0);
                let kept = desk.weights.with_untracked(|w| {
                    format!("{} {} {} {}", w.early, w.middle, w.top, w.margin)
                });
                store.told(keep::keep_wishes(&kept));
            }
        });
        view! {
            <label class="wish"><span><b>{wish.label()}</b> " " {over}</span>
                <input type="range" min="0" max="100" step="5" data-wish=format!("{wish:?}").to_lowercase()
                    prop:value=words(move || format!("{:.0}", 100.0 * value()))
                    aria-valuetext=words(move || percent(value())) on:input=slid/>
            </label>
        }
        .into_any()
    }));
    view! { <div class="wishes" role="group" aria-label="What you value">{sliders}</div> }
        .into_any()
}

fn rev(value: f64) -> String {
    speed(value, 10.0)
}

/// Why a candidate is rejected, in a sentence.
pub fn because(rejection: &Rejection, units: Units) -> String {
    let from = rejection.from_rev_min.map(rev);
    let to = rejection.to_rev_min.map(rev);
    let over = match (from.as_deref(), to.as_deref()) {
        (Some(from), Some(to)) if from == to => format!(" at {from}"),
        (Some(from), Some(to)) => format!(" from {from} to {to}"),
        (Some(from), None) => format!(" above {from}"),
        (None, Some(to)) => format!(" up to {to}"),
        (None, None) => String::new(),
    };
    let missing = || format!("{:.1}{TIE}%", 100.0 * rejection.by);
    let pressure = || shown(Kind::GaugePressure, units).text(rejection.by);
    match rejection.why {
        Why::Room(LimitKind::Choke) => {
            format!(
                "Chokes{over}, or is too near it: {} of room missing.",
                missing()
            )
        }
        Why::Room(LimitKind::ShaftSpeed) => {
            format!(
                "Its shaft is too fast{over}: {} of room missing.",
                missing()
            )
        }
        Why::Room(LimitKind::Surge) => format!("Surges{over}."),
        Why::Room(kind) => format!("{}: {} of room missing{over}.", kind.label(), missing()),
        Why::Creep => format!(
            "The gate is too small{over}: boost creeps by {}.",
            pressure()
        ),
        Why::NeverReached => format!(
            "Never reaches the boost asked: {} short at best.",
            pressure()
        ),
        Why::Late => format!("Boost comes {}{TIE}rev/min too late.", rev(rejection.by)),
        Why::Short => format!("Boost is {} short{over}.", pressure()),
        Why::Power => format!(
            "{} too little power.",
            shown(Kind::Power, units).text(rejection.by)
        ),
        Why::Unsolved => format!("{:.0} engine speeds did not settle.", rejection.by),
        Why::Unfit => "It cannot be fitted to this build.".to_owned(),
    }
}

/// What a candidate does, in a line.
fn in_short(look: &Look, units: Units) -> String {
    let power = shown(Kind::Power, units);
    let from = look
        .usable_threshold_rev_min
        .map_or("no full boost".to_owned(), |at| {
            format!("boost from {}", rev(at))
        });
    format!(
        "{} at {}; {from}; {} at {}",
        power.text(look.most_power.0),
        rev(look.most_power.1),
        shown(Kind::Torque, units).text(look.most_torque.0),
        rev(look.most_torque.1),
    )
}

/// Why a candidate stands where it stands.
fn reason(placed: &Placed, wishes: &Wishes, look: &Look) -> String {
    let strong = |scores: &[f64; 4], sign: f64| {
        let all = Wish::ALL.iter().zip(scores);
        all.max_by(|a, b| (sign * a.1).total_cmp(&(sign * b.1)))
            .map(|(wish, _)| wish.label().to_lowercase())
            .unwrap_or_default()
    };
    let mut said = format!(
        "Best at {}, weakest at {}",
        strong(&placed.scores, 1.0),
        strong(&placed.scores, -1.0)
    );
    if let Some((_, kind)) = look.margin(wishes) {
        said += &format!(
            "; {} is the nearest to its least",
            kind.label().to_lowercase()
        );
    }
    said.push('.');
    if let Some(below) = &placed.below
        && let Some((wish, by)) = below.carries.filter(|c| c.1 >= 0.005)
    {
        said += &format!(
            " Ahead of the next by {} ({:+.2})",
            wish.label().to_lowercase(),
            by
        );
        if let Some((wish, by)) = below.costs.filter(|c| c.1 >= 0.005) {
            said += &format!(
                ", behind it by {} ({:.2})",
                wish.label().to_lowercase(),
                -by
            );
        }
        said.push('.');
    }
    said.replace("(-", "(−")
}

fn candidate(screened: &Screened, look: &Look) -> Option<Candidate> {
    let turbocharger = screened.shelf.iter().find(|t| t.id == look.turbocharger)?;
    Some(Candidate {
        turbocharger: turbocharger.clone(),
        housing: look.housing,
        arrangement: look.arrangement,
    })
}

fn bars(scores: &[f64; 4]) -> AnyView {
    list(Wish::ALL.iter().zip(scores).map(|(wish, score)| {
        let length = 100.0 * score.clamp(0.0, 1.0);
        view! {
            <span class="score"><small>{wish.label()}</small><i style=format!("width:{length:.0}%") aria-hidden="true"></i><b>{format!("{score:.2}").replace('-', "−")}</b></span>
        }
        .into_any()
    }))
}

fn placed_row(
    desk: Desk,
    screened: &Screened,
    wishes: &Wishes,
    placed: &Placed,
    units: Units,
) -> AnyView {
    let Some(look) = screened.looks.get(placed.look) else {
        return ().into_any();
    };
    let Some(candidate) = candidate(screened, look) else {
        return ().into_any();
    };
    let pick = Pick::of(&candidate);
    let there = whether(move || {
        let fitted = desk.store.build.with(|b| Pick::of(&Candidate::of(b)));
        fitted == pick || desk.others.with(|o| o.contains(&pick))
    });
    let says = words(move || {
        if there.get() {
            "Is beside"
        } else {
            "Put beside"
        }
        .to_owned()
    });
    let name = title(&candidate);
    let shown_name = name.clone();
    let add = candidate.clone();
    view! {
        <li data-placed=look.turbocharger.clone() data-housing=look.housing.to_string()>
            <div class="about">
                <p><b>{format!("{}. {shown_name}", placed.place)}</b> " " <span class="total">{format!("{:.2}", placed.total).replace('-', "−")}</span></p>
                <p>{in_short(look, units)}</p>
                <p class="quiet">{reason(placed, wishes, look)}</p>
                <div class="scores">{bars(&placed.scores)}</div>
            </div>
            <div class="acts">
                <button type="button" class="small" data-do="beside" aria-label=words(move || format!("{}: {name}", says.get())) disabled=there
                    on:click=press(move || desk.put_beside(&add))>{says}</button>
            </div>
        </li>
    }
    .into_any()
}

fn result(
    desk: Desk,
    screened: &Screened,
    more: RwSignal<bool>,
    rejected: RwSignal<bool>,
) -> AnyView {
    let store = desk.store;
    let units = store.units.get();
    let screen = (*screened.screen).clone().with_weights(desk.weights.get());
    let ranked = screen.rank(&screened.looks);
    let out = screen.rejected(&screened.looks);
    let count = if more.get() { ranked.len() } else { SHOWN };
    let rows = list(
        ranked
            .iter()
            .take(count)
            .map(|placed| placed_row(desk, screened, screen.wishes(), placed, units)),
    );
    let said = match ranked.len() {
        0 => "None holds every limit. The nearest is first below.".to_owned(),
        n => format!("{n} of {} hold every limit.", screened.looks.len()),
    };
    let show_out = rejected.get() || ranked.is_empty();
    let outs = show_out.then(|| {
        // The nearest to being let in first: the worst are of no use to anybody.
        list(out.iter().rev().map(|rejected| {
            let look = screened.looks.get(rejected.look);
            let name = look.and_then(|l| candidate(screened, l)).map_or(String::new(), |c| title(&c));
            let why: Vec<String> = rejected.reasons.iter().take(2).map(|r| because(r, units)).collect();
            view! { <li data-rejected=look.map(|l| l.turbocharger.clone())><b>{name}</b> " " {why.join(" ")}</li> }.into_any()
        }))
    });
    let all = ranked.len() > SHOWN;
    view! {
        <p role="status" data-screened="">{said} <span class="quiet">{format!(" {} ways to fit one, solved in {:.1} s.", screened.looks.len(), screened.took / 1e3)}</span></p>
        <ol class="builds placed">{rows}</ol>
        {all.then(|| toggle(more, "of the shortlist".to_owned(), "Show fewer", || "Show all".to_owned()))}
        {toggle(rejected, "of the shelf".to_owned(), "Hide what is rejected", move || format!("What is rejected, and why ({})", out.len()))}
        {outs.map(|outs| view! { <ul class="rejected" tabindex="0" aria-label="Rejected, the nearest first">{outs}</ul> })}
    }
    .into_any()
}

/// Hard limits, which come first.
fn limits(desk: Desk) -> AnyView {
    let rows = list(LIMIT_ROWS.iter().filter(|row| row.least.is_some()).map(|row| {
        let kind = row.kind;
        let label = kind.label();
        let value = move || {
            desk.wishes.with(|w| w.least_room(kind)).map_or(String::new(), |room| format!("{:.0}", 100.0 * room))
        };
        let typed = text(move |typed: String| {
            let blank = typed.trim().is_empty();
            let percent = (Kind::Fraction, Kind::Fraction.metric());
            let room = match blank {
                true => None,
                // Half of a limit is more than anybody keeps.
                false => match typed_number(desk.store, label, &typed, percent, (-50.0, 50.0)) {
                    Some(room) => Some(room / 100.0),
                    None => return,
                },
            };
            desk.wishes.update(|w| {
                w.rooms.retain(|r| r.kind != kind);
                w.rooms.extend(room.map(|room| LeastRoom { kind, room }));
            });
        });
        view! { <label><span>{label}</span><span><input type="text" inputmode="decimal" size="4" data-least=format!("{kind:?}").to_lowercase() prop:value=words(value) on:change=typed/>" % left"</span></label> }
            .into_any()
    }));
    let by = move || {
        desk.wishes
            .with(|w| w.boost_by_rev_min)
            .map_or(String::new(), |at| format!("{at:.0}"))
    };
    let typed = text(move |typed: String| {
        let number = match typed.trim().is_empty() {
            true => None,
            false => {
                let unit = (Kind::EngineSpeed, Field::Redline.spec().unit());
                let range = (
                    Field::IdleSpeed.spec().range.0,
                    Field::Redline.spec().range.1,
                );
                match typed_number(desk.store, "Boost there by", &typed, unit, range) {
                    Some(number) => Some(number),
                    None => return,
                }
            }
        };
        desk.wishes.update(|w| w.boost_by_rev_min = number);
    });
    view! {
        <div class="hard-limits" role="group" aria-label="Hard limits">
            {rows}
            <label><span>"Boost there by"</span><span><input type="text" inputmode="numeric" size="6" data-least="boost-by" placeholder="any" prop:value=words(by) on:change=typed/>" rev/min"</span></label>
            <p class="quiet">"A blank limit rejects nothing. Defaults are judgements, no source."</p>
        </div>
    }
    .into_any()
}

fn run(desk: Desk, state: RwSignal<State>) {
    let store = desk.store;
    let build = store.build.get_untracked();
    let wishes = Wishes {
        weights: desk.weights.get_untracked(),
        ..desk.wishes.get_untracked()
    };
    let screen = match Screen::new(&build, wishes.clone()) {
        Ok(screen) => Arc::new(screen),
        Err(error) => return state.set(State::Failed(error.to_string())),
    };
    let own: Vec<Turbocharger> = own::list()
        .into_iter()
        .filter_map(|l| l.turbocharger.ok())
        .collect();
    let shelf = Arc::new(screened(own.clone()));
    let count = Candidate::all(&shelf).len();
    CAME.with_borrow_mut(|came| *came = vec![None; count]);
    state.set(State::Going(0, count));
    let began = crate::plots::frame::now();
    let of = {
        let build = build.clone();
        move |range| Job::screen(&build, &wishes, &own, range)
    };
    let labour = begin(count, of, move |heard| match heard {
        Heard::Piece(Piece::Looks(from, looks)) => {
            let done = CAME.with_borrow_mut(|came| {
                for (place, look) in looks.into_iter().enumerate() {
                    if let Some(slot) = came.get_mut(from + place) {
                        *slot = Some(look);
                    }
                }
                came.iter().flatten().count()
            });
            let _ = state.try_set(State::Going(done, count));
        }
        Heard::Piece(Piece::Rows(..)) => {}
        Heard::Done => {
            let looks: Vec<Look> = CAME.with_borrow_mut(|came| came.drain(..).flatten().collect());
            let took = crate::plots::frame::now() - began;
            crate::plots::frame::measure("airpath: screen", began, began + took);
            let screened = Screened {
                screen: screen.clone(),
                shelf: shelf.clone(),
                looks: Arc::new(looks),
                took,
            };
            LAST.with_borrow_mut(|last| *last = Some((build.clone(), screened.clone())));
            let _ = state.try_set(State::Done(screened));
        }
        Heard::Failed(why) => {
            let _ = state.try_set(State::Failed(why));
        }
    });
    LABOUR.with_borrow_mut(|kept| *kept = Some(labour));
}

/// The shortlist.
pub fn shortlist(desk: Desk) -> AnyView {
    let store = use_store();
    let build = store.build.get_untracked();
    let last = LAST.with_borrow(|last| {
        let (of, screened) = last.as_ref()?;
        let wishes = Wishes {
            weights: screened.screen.wishes().weights,
            ..desk.wishes.get_untracked()
        };
        let same = *of == build && *screened.screen.wishes() == wishes;
        same.then(|| screened.clone())
    });
    let state = RwSignal::new(last.map_or(State::Idle, State::Done));
    let (more, rejected) = (RwSignal::new(false), RwSignal::new(false));
    let hard = RwSignal::new(false);
    Effect::new(move |before: Option<()>| {
        store.build.track();
        let wishes = desk.wishes.get();
        WISHES.with_borrow_mut(|kept| *kept = Some(wishes));
        store.owned.track();
        // What was screened is of another engine now, or of other limits.
        if before.is_some() && !matches!(state.get_untracked(), State::Idle) {
            LABOUR.with_borrow_mut(|labour| *labour = None);
            state.set(State::Idle);
        }
    });
    let cancel = move || {
        LABOUR.with_borrow_mut(|labour| *labour = None);
        state.set(State::Idle);
    };
    let body = live(move || {
        match state.get() {
        State::Idle => view! {
            <button type="button" class="first" data-act="screen" on:click=press(move || run(desk, state))>"Screen every turbocharger"</button>
            <p class="quiet">"Each of yours and of the shelf, every housing, one and a pair, solved on this engine for this goal. Limits first; what holds them is ranked by what you value. Of torque and power 1 is what an ideal turbocharger would give this engine, and 0 hardly worth having; of room, 1 is ample."</p>
        }
        .into_any(),
        State::Going(done, count) => view! {
            <div class="sure-line" role="status"><span>{format!("{done} of {count} solved.")}</span>
                <progress max=count.to_string() value=done.to_string()></progress>
                <button type="button" class="small" data-act="cancel-screen" on:click=press(cancel)>"Cancel"</button></div>
        }
        .into_any(),
        State::Done(screened) => result(desk, &screened, more, rejected),
        State::Failed(why) => view! { <p role="alert">{why}</p> }.into_any(),
    }
    });
    view! {
        <section class="figure shortlist" aria-labelledby="shortlist-title">
            <header><h2 id="shortlist-title">"Shortlist"</h2>
                <div class="figure-tools">{toggle(hard, "of the shortlist".to_owned(), "Hide limits", || "Limits".to_owned())}</div></header>
            {wishes(desk)}
            {perhaps(move || hard.get().then(|| limits(desk)))}
            {body}
        </section>
    }
    .into_any()
}

/// The place of each candidate by what is valued, best first; those that a limit stops are last.
pub fn verdict(desk: Desk, build: &Build, candidates: &[Candidate]) -> Option<Vec<(usize, bool)>> {
    let wishes = Wishes {
        weights: desk.weights.get(),
        ..desk.wishes.get()
    };
    let screen = Screen::new(build, wishes).ok()?;
    let looks = screen.looks(candidates);
    let mut order: Vec<(usize, bool)> = screen
        .rank(&looks)
        .into_iter()
        .map(|p| (p.look, true))
        .collect();
    order.extend(
        screen
            .rejected(&looks)
            .into_iter()
            .rev()
            .map(|r| (r.look, false)),
    );
    Some(order)
}
