//! Which one: candidates side by side on the engine that stands, a shortlist of the whole shelf, and the
//! sizes that the goal asks for.

mod account;
mod choice;
pub mod labour;
mod overlay;
mod picks;
mod shortlist;
mod sizes;
mod table;

pub use choice::{Choice, candidate_choice};
pub use picks::{every, find, nearest_housing, title};

use crate::parts::canvas::CanvasPlot;
use crate::parts::shapes::{list, live, perhaps, press, text, toggle, whether, words};
use crate::parts::style::wear;
use crate::plots::geometry::Point;
use crate::plots::map_shape::{MapShape, top_speed};
use crate::plots::overlay::{Overlay, draw};
use crate::plots::pen::Pen;
use crate::show::{group, speed};
use crate::store::{Store, speeds, use_store};
use airpath::build::Turbocharger;
use airpath::desk::Candidate;
use airpath::desk::compare::{Account, Contest, MOST};
use airpath::desk::shortlist::{Weights, Wishes};
use airpath::quantity::{Kind, Unit};
use airpath::response::{Detail, Response};
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use picks::{Pick, short_names};
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

/// How long edits must rest before candidates are solved again.
const REST: Duration = Duration::from_millis(120);
/// Engine speeds at which time to boost is worked out for each candidate.
const TIMES: usize = 14;

/// A map that was traced: of which turbocharger, up to which speed.
type Traced = (Arc<Turbocharger>, f64, Arc<MapShape>);

thread_local! {
    /// Maps that were traced, so that an edit of the engine does not trace them again.
    static TRACED: RefCell<Vec<Traced>> = const { RefCell::new(Vec::new()) };
}

/// Candidates solved, with what is drawn of them.
#[derive(Clone)]
pub struct Solved {
    /// The candidates.
    pub contest: Arc<Contest>,
    /// The map of each.
    pub shapes: Vec<Arc<MapShape>>,
    /// Short names.
    pub names: Vec<String>,
    /// The account of each, once it is worked out.
    pub accounts: Vec<Account>,
}

/// The state of the desk.
#[derive(Clone, Copy)]
pub struct Desk {
    store: Store,
    /// What stands beside the fitted one.
    pub others: RwSignal<Vec<Pick>>,
    /// How much each thing that is valued counts.
    pub weights: RwSignal<Weights>,
    /// What comes before it.
    pub wishes: RwSignal<Wishes>,
    /// What came of it.
    pub solved: RwSignal<Option<Solved>>,
    /// Time to boost of each over engine speed, s; not a number where it never comes. Grows until
    /// complete.
    pub times: RwSignal<Vec<Vec<Point>>>,
    /// Why nothing did.
    failed: RwSignal<Option<String>>,
    /// Which of several workings-out is the last.
    number: StoredValue<u32>,
    resting: StoredValue<Option<TimeoutHandle>>,
}

/// The map of a candidate's turbocharger, traced once.
fn shape(candidate: &Candidate, contest: &Contest, place: usize) -> Arc<MapShape> {
    let Some(contender) = contest.contenders.get(place) else {
        return Arc::default();
    };
    let top = top_speed(&contender.found);
    let same = |t: &&Traced| {
        *t.0 == *candidate.turbocharger && ((t.1 - top).abs() <= 2e-3 * top || t.1 == top)
    };
    let known = TRACED.with_borrow(|all| all.iter().find(same).map(|t| t.2.clone()));
    known.unwrap_or_else(|| {
        let Ok(map) = airpath::compressor_map(&contender.build) else {
            return Arc::default();
        };
        let shape = Arc::new(MapShape::trace(&map, top));
        TRACED.with_borrow_mut(|all| {
            all.truncate(11);
            all.insert(0, (candidate.turbocharger.clone(), top, shape.clone()));
        });
        shape
    })
}

impl Desk {
    fn new(store: Store) -> Self {
        Self {
            store,
            others: RwSignal::new(picks::first(store)),
            weights: RwSignal::new(shortlist::weights()),
            wishes: RwSignal::new(shortlist::limits_set()),
            solved: RwSignal::new(None),
            times: RwSignal::new(Vec::new()),
            failed: RwSignal::new(None),
            number: StoredValue::new(0),
            resting: StoredValue::new(None),
        }
    }

    /// What is fitted, and what stands beside it.
    fn candidates(self) -> Vec<Candidate> {
        let fitted = self.store.build.with_untracked(|b| Candidate::of(b));
        let others = self.others.get_untracked();
        let mut all = vec![fitted];
        for other in others.iter().filter_map(|p| p.candidate(self.store)) {
            if !all.contains(&other) && all.len() < MOST {
                all.push(other);
            }
        }
        all
    }

    /// Works everything out, the quickest first: what is overlaid, then times, then the account.
    fn work(self) {
        let candidates = self.candidates();
        let build = self.store.build.get_untracked();
        let number = self.number.get_value() + 1;
        self.number.set_value(number);
        match Contest::new(&build, &candidates, speeds(&build)) {
            Ok(contest) => {
                let shapes = candidates
                    .iter()
                    .enumerate()
                    .map(|(place, c)| shape(c, &contest, place))
                    .collect();
                let names = short_names(&candidates.iter().collect::<Vec<_>>());
                self.failed.set(None);
                self.times.set(vec![Vec::new(); candidates.len()]);
                let accounts = contest.account();
                self.solved.set(Some(Solved {
                    accounts,
                    contest: Arc::new(contest),
                    shapes,
                    names,
                }));
                set_timeout(move || self.time(number, 0), Duration::ZERO);
            }
            Err(error) => {
                self.solved.set(None);
                self.failed.set(Some(error.to_string()));
            }
        }
    }

    /// Time to boost of one candidate after another, then the account with it.
    fn time(self, number: u32, place: usize) {
        if self.number.try_get_value() != Some(number) {
            return;
        }
        let Some(Some(mut solved)) = self.solved.try_get_untracked() else {
            return;
        };
        let count = solved.contest.contenders.len();
        let contest = Arc::make_mut(&mut solved.contest);
        contest.time(place);
        let last = place + 1 >= count;
        if last {
            solved.accounts = contest.account();
        }
        self.solved.set(Some(solved));
        if last {
            set_timeout(move || self.curve(number, 0), Duration::ZERO);
        } else {
            set_timeout(move || self.time(number, place + 1), Duration::ZERO);
        }
    }

    /// Time to boost over engine speed, a point of one candidate at a time.
    fn curve(self, number: u32, point: usize) {
        if self.number.try_get_value() != Some(number) {
            return;
        }
        let Some(Some(solved)) = self.solved.try_get_untracked() else {
            return;
        };
        let count = solved.contest.contenders.len();
        let (place, at) = (point % count, point / count);
        if at >= TIMES {
            return;
        }
        let contest = solved.contest.clone();
        if let Some(contender) = contest.contenders.get(place)
            && let Some((low, high)) = ends(&contest)
        {
            let speed = low + (high - low) * at as f64 / (TIMES - 1) as f64;
            let time = Response::beside(&contender.build, &contender.found)
                .and_then(|mut r| r.time_to_boost(speed, Detail::Time))
                .ok()
                .and_then(|spool| spool.reach.time())
                .filter(|_| contender.has_boost(speed));
            self.times.update(|times| {
                if let Some(points) = times.get_mut(place) {
                    points.push((speed, time.unwrap_or(f64::NAN)));
                }
            });
        }
        set_timeout(move || self.curve(number, point + 1), Duration::ZERO);
    }

    fn picked(self, others: Vec<Pick>) {
        picks::keep(self.store, &others);
        self.others.set(others);
    }

    /// Puts a candidate beside the others; the last makes room where there are too many.
    pub fn put_beside(self, candidate: &Candidate) {
        let mut others = self.others.get_untracked();
        let pick = Pick::of(candidate);
        if others.contains(&pick) {
            return;
        }
        others.retain(|p| p.candidate(self.store).is_some());
        others.truncate(MOST - 2);
        others.push(pick);
        self.picked(others);
    }

    /// Takes the candidate at a place away.
    fn take_away(self, candidate: &Candidate) {
        let mut others = self.others.get_untracked();
        let pick = Pick::of(candidate);
        others.retain(|p| *p != pick);
        self.picked(others);
    }

    /// Fits a candidate in the build that stands; what was fitted stands beside it.
    pub fn fit(self, candidate: &Candidate) {
        let store = self.store;
        let before = store.build.with_untracked(|b| Candidate::of(b));
        let mut others = self.others.get_untracked();
        let (old, new) = (Pick::of(&before), Pick::of(candidate));
        match others.iter_mut().find(|p| **p == new) {
            Some(place) => *place = old,
            None => {
                others.truncate(MOST - 2);
                others.insert(0, old);
            }
        }
        let edited = store.build.with_untracked(|b| candidate.on(b));
        self.picked(others);
        store.edit("turbocharger", "Turbocharger", edited);
        store.left_field();
    }
}

/// What stood beside the fitted one last.
pub fn beside(store: Store) -> Vec<Candidate> {
    let picks = picks::first(store);
    picks.iter().filter_map(|p| p.candidate(store)).collect()
}

/// Puts the whole shelf up, once: the match needs the front of it alone.
pub fn whole_shelf(store: Store) {
    if store.shelf.with_untracked(|s| s.len()) < 10 {
        let whole = airpath::build::whole_shelf();
        store.shelf.set(whole.into_iter().map(Arc::new).collect());
    }
}

/// The engine speed that is read, rev/min: one that was solved, whatever engine was read before.
pub fn read_at(store: Store) -> f64 {
    let (cursor, speed) = (store.cursor.get(), store.engine_speed.get());
    store.solved.with(|s| {
        let report = s.as_ref().and_then(|s| s.found.speeds.get(cursor));
        report.map_or(speed, |r| r.engine_speed_rev_min)
    })
}

/// A number that was typed, in `unit`; what is wrong with it is told, and what stood before stands.
pub fn typed_number(
    store: Store,
    label: &str,
    typed: &str,
    unit: (Kind, &'static Unit),
    (low, high): (f64, f64),
) -> Option<f64> {
    let (kind, unit) = unit;
    let read = airpath::quantity::read(typed, kind, unit).map(|r| unit.from_si(r.si));
    match read {
        // What a conversion leaves is not to be told from the end itself.
        Ok(value) if value >= low - 1e-9 && value <= high + 1e-9 => {
            store.notice.set(None);
            Some(value)
        }
        _ => {
            let typed: String = typed.chars().take(40).collect();
            let ends = format!(
                "{} to {} {}",
                group(&low.to_string()),
                group(&high.to_string()),
                unit.symbol
            );
            store.notice.set(Some(format!(
                "“{label}”: “{typed}” is not taken, and what stood there before counts. Enter {}.",
                ends.trim()
            )));
            None
        }
    }
}

/// The ends of the engine speeds.
fn ends(contest: &Contest) -> Option<(f64, f64)> {
    let all = contest.speeds();
    Some((*all.first()?, *all.last()?))
}

/// Where the hand points on the strips.
fn pick(point: Point, size: (f64, f64)) {
    let store = use_store();
    let ends = store.solved.with_untracked(|s| {
        let speeds = &s.as_ref()?.found.speeds;
        Some((
            speeds.first()?.engine_speed_rev_min,
            speeds.last()?.engine_speed_rev_min,
        ))
    });
    if let Some(ends) = ends {
        let axis = crate::plots::overlay::axis(ends, size.0);
        store.move_cursor(axis.value(point.0).clamp(ends.0, ends.1));
    }
}

fn strips(desk: Desk) -> AnyView {
    let store = desk.store;
    let overlay = Memo::new(move |_| {
        let (units, cursor) = (store.units.get(), read_at(store));
        desk.solved.with(|solved| {
            solved.as_ref().map_or_else(Overlay::default, |s| {
                desk.times
                    .with(|times| overlay::of(s, times, units, cursor))
            })
        })
    });
    let paint = move |pen: &mut Pen| {
        let palette = store.palette.get_untracked();
        if let Some(overlay) = overlay.try_get_untracked() {
            draw(pen, &overlay, &palette);
        }
    };
    let depends = move || {
        overlay.track();
        store.palette.track();
    };
    let spoken = words(move || {
        let at = speed(read_at(store), 10.0);
        desk.solved.with(|s| {
            s.as_ref()
                .map_or_else(String::new, |s| overlay::spoken(s, &at))
        })
    });
    let open = RwSignal::new(false);
    let range = move || {
        desk.solved
            .with(|s| s.as_ref().and_then(|s| ends(&s.contest)))
            .unwrap_or((0.0, 1.0))
    };
    let slid = text(move |value: String| {
        if let Ok(value) = value.parse() {
            store.move_cursor(value);
        }
    });
    view! {
        <section class="figure side" aria-labelledby="side-title">
            <header>
                <h2 id="side-title">"Over engine speed"</h2>
                <div class="figure-tools">
                    <button type="button" class="small" data-picture="side" aria-label="Picture: save the candidates over engine speed as an image"
                        on:click=press(move || crate::later::save_picture(store, "side", "Candidates over engine speed"))>"Picture"</button>
                    {toggle(open, "Candidates over engine speed".to_owned(), "Hide table", || "Table".to_owned())}
                </div>
            </header>
            <label class="read-at"><span>"Read at"</span>
                <input type="range" data-read-at="" step="50"
                    min=words(move || format!("{:.0}", range().0)) max=words(move || format!("{:.0}", range().1))
                    prop:value=words(move || format!("{:.0}", store.engine_speed.get()))
                    aria-valuetext=words(move || format!("{} rev/min", speed(store.engine_speed.get(), 10.0)))
                    on:input=slid/>
            </label>
            <CanvasPlot name="side" spoken draw=Rc::new(paint) depends=Rc::new(depends) pick/>
            <div class="table" tabindex=words(move || if open.get() { "0" } else { "-1" }.to_owned()) role="group"
                aria-label="Table: candidates over engine speed" hidden=whether(move || !open.get())>
                {perhaps(move || open.get().then(|| overlay::table(desk)))}
            </div>
        </section>
    }
    .into_any()
}

/// Chooses one more.
fn adding(desk: Desk) -> AnyView {
    let to = RwSignal::new(None::<Candidate>);
    let add = move || {
        if let Some(candidate) = to.get_untracked() {
            desk.put_beside(&candidate);
            to.set(None);
        }
    };
    let button = view! { <button type="button" data-choice="beside-go" disabled=whether(move || to.with(Option::is_none)) on:click=press(add)>"Add"</button> }
        .into_any();
    candidate_choice(
        desk.store,
        Choice {
            to,
            key: "beside",
            label: "Put beside",
            none: "Choose one",
            pair: true,
            more: Some(button),
            note: "Four are the most: the last gives way.",
        },
    )
}

/// The place.
#[component]
pub fn Choose() -> AnyView {
    wear("desk", include_str!("../../../styles/desk.css"));
    let store = use_store();
    whole_shelf(store);
    let desk = Desk::new(store);
    Effect::new(move |before: Option<bool>| {
        store.solved.track();
        store.owned.track();
        desk.others.track();
        let go = move || {
            if desk.number.try_get_value().is_some() {
                desk.work();
            }
        };
        if before.is_none() {
            go();
        } else {
            desk.resting.update_value(|resting| {
                if let Some(timer) = resting.take() {
                    timer.clear();
                }
                *resting = set_timeout_with_handle(go, REST).ok();
            });
        }
        true
    });
    // Which comes first by what is valued, and whether it holds every limit.
    let order = Memo::new(move |_| {
        let candidates = desk.solved.with(|s| {
            s.as_ref().map(|s| {
                let all = s.contest.contenders.iter();
                (
                    all.map(|c| c.candidate.clone()).collect::<Vec<_>>(),
                    s.contest.clone(),
                )
            })
        });
        let (candidates, contest) = candidates?;
        let build = &contest.contenders.first()?.build;
        shortlist::verdict(desk, build, &candidates)
    });
    let verdict = words(move || {
        let first = order.with(|o| o.as_ref().and_then(|o| o.first().copied()));
        let named = |place: usize| {
            desk.solved.with(|s| {
                let contender = s.as_ref().and_then(|s| s.contest.contenders.get(place));
                contender.map_or(String::new(), |c| title(&c.candidate))
            })
        };
        let count = desk
            .solved
            .with(|s| s.as_ref().map_or(0, |s| s.contest.contenders.len()));
        match first {
            _ if count < 2 => "Nothing stands beside what is fitted. ".to_owned(),
            None => String::new(),
            Some((0, true)) => format!("Of these keep {}. ", named(0)),
            Some((place, true)) => format!(
                "Of these {} comes first, by the weights below. ",
                named(place)
            ),
            Some((place, false)) => format!(
                "None of these holds every limit; {} comes nearest. ",
                named(place)
            ),
        }
    });
    let short = live(move || {
        let units = store.units.get();
        let lines = desk.solved.with(|s| {
            s.as_ref().map_or_else(Vec::new, |s| {
                account::in_short(&s.contest, &s.accounts, &s.names, units)
            })
        });
        list(lines.into_iter().map(|said| {
            let mark = said
                .warns
                .then(|| view! { <i class="mark" aria-hidden="true"></i> });
            view! { <p>{mark}{said.text}</p> }.into_any()
        }))
    });
    let fitted = words(move || {
        store
            .build
            .with(|b| format!("Fitted now: {}. ", title(&Candidate::of(b))))
    });
    let failed = perhaps(move || {
        desk.failed
            .get()
            .map(|why| view! { <div class="notice" role="alert"><p>{why}</p></div> }.into_any())
    });
    view! {
        <main class="choose">
            <div class="answer short" data-short="">
                <h1 class="unseen">"Which one"</h1>
                <p data-verdict=""><b>{verdict}</b> <span class="now-fitted">{fitted}</span></p>
                {short}
                <p class="cautions">"Estimates, not a tune: "<b>"every one of them is fitted and tuned by qualified people"</b>", on a dyno with mixture and knock sensing. Too much shaft speed can burst a wheel."</p>
            </div>
            {failed}
            <div class="beside-each-other">
                <div class="by-speed">{strips(desk)} {adding(desk)} {shortlist::shortlist(desk)} {sizes::sizes(desk)}</div>
                {table::table(desk)}
            </div>
        </main>
    }
    .into_any()
}
