//! The application sheet: on which engines what is fitted belongs, at which boost, over which speeds,
//! for which power, each bound with the limit that sets it.

use super::drawing::{Anchor, Drawing};
use super::{Sheets, frame};
use crate::app::is_phone;
use crate::parts::shapes::{list, live, press, text, toggle};
use crate::places::choose::labour::{Heard, Labour, begin};
use crate::places::choose::typed_number;
use crate::plots::geometry::{Axis, Point};
use crate::show::{Units, percent, shown, speed};
use crate::store::{Store, use_store};
use airpath::build::{Arrangement, Bearing, Build};
use airpath::desk::Candidate;
use airpath::desk::application::{Bound, IN_HAND, InHand, Row, Setting, Side, Survey, Window};
use airpath::desk::job::{Job, Piece};
use airpath::fields::Field;
use airpath::quantity::Kind;
use contour::ContourBuilder;
use leptos::prelude::*;
use std::cell::RefCell;
use std::sync::Arc;

/// Most settings on a sheet.
const MOST: usize = 5;
/// Displacements along which power is drawn.
const ACROSS: usize = 40;
/// Lines of equal power, about.
const POWERS: usize = 4;

/// One setting surveyed.
#[derive(Clone)]
pub struct Surveyed {
    window: Arc<Window>,
}

/// A sheet: what was asked, of which build, and what came.
type Sheet = (Asked, Arc<Build>, Vec<Surveyed>);

/// Where it stands.
#[derive(Clone)]
pub enum State {
    /// Rows that are done, of how many.
    Going(usize, usize),
    /// Done, for this build.
    Done(Arc<Build>, Vec<Surveyed>),
    /// Not to be had, and why.
    Failed(String),
}

/// What is asked of the sheet.
#[derive(Clone, PartialEq)]
pub struct Asked {
    settings: Vec<Setting>,
    in_hand: InHand,
}

thread_local! {
    static LABOUR: RefCell<Option<Labour>> = const { RefCell::new(None) };
    static CAME: RefCell<Vec<Row>> = const { RefCell::new(Vec::new()) };
    /// The last sheet, for when the reader comes back.
    static LAST: RefCell<Option<Sheet>> = const { RefCell::new(None) };
    static ASKED: RefCell<Option<Asked>> = const { RefCell::new(None) };
}

/// What is asked to begin with: what was asked last, else the usual settings.
fn asked(build: &Build) -> Asked {
    ASKED.with_borrow(Clone::clone).unwrap_or_else(|| Asked {
        settings: Setting::usual(build).to_vec(),
        in_hand: InHand::default(),
    })
}

/// Surveys one setting after another.
fn survey(build: Arc<Build>, asked: Asked, state: RwSignal<State>, done: Vec<Surveyed>) {
    let at = done.len();
    let Some(setting) = asked.settings.get(at).cloned() else {
        LABOUR.with_borrow_mut(|labour| *labour = None);
        LAST.with_borrow_mut(|last| *last = Some((asked, build.clone(), done.clone())));
        let _ = state.try_set(State::Done(build, done));
        return;
    };
    let candidate = Candidate::of(&build);
    let survey_of = match Survey::new(&build, &candidate, &setting, &asked.in_hand) {
        Ok(survey) => Arc::new(survey),
        Err(error) => {
            let _ = state.try_set(State::Failed(format!("{}: {error}", setting.name)));
            return;
        }
    };
    let (rows, all) = (survey_of.len(), survey_of.len() * asked.settings.len());
    CAME.with_borrow_mut(Vec::clear);
    let in_hand = asked.in_hand;
    let of = {
        let build = build.clone();
        move |range| Job::survey(&build, &setting, &in_hand, range)
    };
    let labour = begin(rows, of, move |heard| match heard {
        Heard::Piece(Piece::Rows(_, more)) => {
            let count = CAME.with_borrow_mut(|came| {
                for row in more {
                    // What is told twice is the same.
                    came.retain(|r: &Row| r.boost_pa != row.boost_pa);
                    came.push(row);
                }
                came.len()
            });
            let _ = state.try_set(State::Going(at * rows + count, all));
        }
        Heard::Piece(Piece::Looks(..)) => {}
        Heard::Done => {
            let came = CAME.with_borrow_mut(std::mem::take);
            let mut done = done.clone();
            done.push(Surveyed {
                window: Arc::new(survey_of.window(&came)),
            });
            let (build, asked) = (build.clone(), asked.clone());
            // The next begins when this one's workers are gone.
            set_timeout(
                move || survey(build, asked, state, done),
                std::time::Duration::ZERO,
            );
        }
        Heard::Failed(why) => {
            let _ = state.try_set(State::Failed(why));
        }
    });
    LABOUR.with_borrow_mut(|kept| *kept = Some(labour));
}

fn litres(v: f64, units: Units) -> String {
    let shown = shown(Kind::Volume, units);
    let decimals = if shown.unit.symbol == "litre" {
        1
    } else {
        shown.decimals
    };
    crate::show::Shown { decimals, ..shown }.number(v)
}

fn litres_with_unit(v: f64, units: Units) -> String {
    format!(
        "{} {}",
        litres(v, units),
        shown(Kind::Volume, units).unit.symbol
    )
}

/// A bound as a wall is named.
fn wall(bound: Bound) -> String {
    bound.label().to_lowercase()
}

/// One window, drawn.
fn drawn(window: &Window, engine: Option<Point>, name: &str, size: Point, units: Units) -> String {
    let volume = shown(Kind::Volume, units).unit;
    let boost = shown(Kind::GaugePressure, units).unit;
    let power = shown(Kind::Power, units);
    let mut drawing = Drawing::new(size.0, size.1);
    let spot = |p: &airpath::desk::application::Place| {
        (volume.from_si(p.displacement_m3), boost.from_si(p.boost_pa))
    };
    let corners: Vec<Point> = window.outline.iter().map(|s| spot(&s.from)).collect();
    let own = engine.map(|(v, b)| (volume.from_si(v), boost.from_si(b)));
    let all = || corners.iter().copied().chain(own);
    let ends = |of: fn(&Point) -> f64| {
        all().fold((f64::INFINITY, f64::NEG_INFINITY), |m, p| {
            (m.0.min(of(&p)), m.1.max(of(&p)))
        })
    };
    let ((x0, x1), (_, y1)) = (ends(|p| p.0), ends(|p| p.1));
    if !x0.is_finite() {
        return String::new();
    }
    let room = 0.12 * (x1 - x0).max(0.1);
    let across = Axis::new(((x0 - room).max(0.0), x1 + room), (36.0, size.0 - 10.0));
    let up = Axis::new((0.0, 1.12 * y1), (size.1 - 34.0, 20.0));
    let place = |p: Point| (across.at(p.0), up.at(p.1));
    let outline: Vec<Point> = corners.iter().map(|p| place(*p)).collect();
    drawing.area(&outline, "step step2");
    // Lines of equal power, by marching squares on the grid that was solved.
    if let Some(grid) = window.power_grid(ACROSS) {
        let (columns, rows) = (grid.displacement_m3.len(), grid.boost_pa.len());
        let values: Vec<f64> = grid
            .wheel_power_w
            .iter()
            .map(|p| power.unit.from_si(*p))
            .collect();
        let most = values
            .iter()
            .copied()
            .filter(|v| v.is_finite())
            .fold(0.0, f64::max);
        let levels = Axis::new((0.0, most.max(1e-9)), (0.0, 1.0)).marks(POWERS + 2);
        let lines = ContourBuilder::new(columns, rows, true).lines(&values, &levels);
        let between = |all: &[f64], at: f64| {
            let at = (at - 0.5).clamp(0.0, (all.len() - 1) as f64);
            let low = at.floor() as usize;
            let high = (low + 1).min(all.len() - 1);
            all[low] + (at - low as f64) * (all[high] - all[low])
        };
        for line in lines.unwrap_or_default() {
            let mut longest: Vec<Point> = Vec::new();
            for points in &line.geometry().0 {
                let run: Vec<Point> = points
                    .coords()
                    .map(|c| {
                        // Along the edge of the grid there is no line, only its end.
                        let edge = |at: f64, count: usize| at < 0.51 || at > count as f64 - 0.51;
                        if edge(c.x, columns) || edge(c.y, rows) {
                            return (f64::NAN, f64::NAN);
                        }
                        let v = between(&grid.displacement_m3, c.x);
                        let b = between(&grid.boost_pa, c.y);
                        (v, b)
                    })
                    .collect();
                // Only what lies in the window.
                for inside in run.split(|p| !holds(window, *p)) {
                    let inside: Vec<Point> = inside
                        .iter()
                        .map(|p| place((volume.from_si(p.0), boost.from_si(p.1))))
                        .collect();
                    drawing.line(&inside, "curve thin");
                    if inside.len() > longest.len() {
                        longest = inside;
                    }
                }
            }
            if longest.len() > 3 {
                let middle = longest[longest.len() / 2];
                let text = format!("{:.0}", line.threshold());
                drawing.text(
                    &text,
                    (middle.0, middle.1 + 4.0),
                    Anchor::Middle,
                    "mark rimmed",
                );
            }
        }
    }
    // Walls, a run for each limit: hatched outside, named once.
    let mut runs: Vec<(Bound, Side, Vec<Point>)> = Vec::new();
    for piece in &window.outline {
        let (from, to) = (place(spot(&piece.from)), place(spot(&piece.to)));
        match runs.last_mut() {
            Some(last) if last.0 == piece.bound && last.1 == piece.side => last.2.push(to),
            _ => runs.push((piece.bound, piece.side, vec![from, to])),
        }
    }
    let middle = {
        let n = outline.len().max(1) as f64;
        let sum = outline
            .iter()
            .fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
        (sum.0 / n, sum.1 / n)
    };
    let mut named: Vec<Bound> = Vec::new();
    for (bound, _, run) in &runs {
        if *bound == Bound::Search {
            drawing.line(run, "dotted");
            continue;
        }
        drawing.line(run, "wall");
        // The window lies on one side of its wall: strokes go to the other.
        let (a, b) = (run[0], run[run.len() - 1]);
        let turn = (b.0 - a.0) * (middle.1 - a.1) - (b.1 - a.1) * (middle.0 - a.0);
        let mut along = run.clone();
        if turn < 0.0 {
            along.reverse();
        }
        drawing.hatch(&along, 9.0, 6.0);
        let length = (b.0 - a.0).hypot(b.1 - a.1);
        if length > 34.0 && !named.contains(bound) {
            named.push(*bound);
            let at = run[run.len() / 2];
            let before = run[(run.len() / 2).saturating_sub(1)];
            let mut degrees = (at.1 - before.1).atan2(at.0 - before.0).to_degrees();
            if degrees > 90.0 {
                degrees -= 180.0;
            } else if degrees <= -90.0 {
                degrees += 180.0;
            }
            // Outwards from the middle of the window.
            let (dx, dy) = (at.0 - middle.0, at.1 - middle.1);
            let far = dx.hypot(dy).max(1.0);
            let spot = (at.0 + 17.0 * dx / far, at.1 + 17.0 * dy / far);
            drawing.turned(&wall(*bound), spot, degrees, "label strong rimmed");
        }
    }
    if let Some(own) = own {
        let at = place(own);
        drawing.disc(at, 4.5, "dot");
        let (x, anchor) = if at.0 > 0.6 * size.0 {
            (-9.0, Anchor::End)
        } else {
            (9.0, Anchor::Start)
        };
        let short: String = name.chars().take(24).collect();
        drawing.text(
            &short,
            (at.0 + x, at.1 + 4.0),
            anchor,
            "label strong rimmed",
        );
    }
    let titles = (
        format!("engine, {}", volume.symbol),
        format!("boost, {}", boost.symbol),
    );
    drawing.axes(&across, &up, (&titles.0, &titles.1), (7, 5));
    let told = format!("Window of engines and boost: {}", window.setting.name);
    drawing.finish(&told)
}

/// Whether a displacement and boost lie in a window.
fn holds(window: &Window, (displacement, boost): Point) -> bool {
    window
        .boost_at(displacement)
        .is_some_and(|((low, _), (high, _))| (low..=high).contains(&boost))
}

/// The boost that windows are told at in a sentence: the build's own, held to where there is one.
fn told_at(build: &Build) -> f64 {
    // Where a power was asked for, the boost that was found for it.
    let of_power = use_store()
        .solved
        .with_untracked(|s| s.as_ref().and_then(|s| s.found.boost_for_power_pa));
    let asks = build.optional(Field::PowerTarget).is_some();
    of_power
        .filter(|_| asks)
        .unwrap_or_else(|| build.get(Field::BoostTarget))
}

fn lead(build: &Build, all: &[Surveyed], units: Units) -> AnyView {
    let boost = told_at(build);
    let lines: Vec<String> = all
        .iter()
        .map(|s| {
            let name = &s.window.setting.name;
            match s.window.displacement_at(boost) {
                Some(((low, small), (high, large))) => format!(
                    "{name}: {} to {} ({} below, {} above).",
                    litres(low, units),
                    litres_with_unit(high, units),
                    wall(small),
                    wall(large)
                ),
                None => format!("{name}: none at this boost."),
            }
        })
        .collect();
    view! {
        <p class="lead">{format!("At {} of boost. ", shown(Kind::GaugePressure, units).text(boost))}{lines.join(" ")}</p>
    }
    .into_any()
}

fn summary(all: &[Surveyed], units: Units) -> AnyView {
    let boost = shown(Kind::GaugePressure, units);
    let power = shown(Kind::Power, units);
    let rows = list(all.iter().map(|s| {
        let name = s.window.setting.name.clone();
        let Some(summary) = &s.window.summary else {
            let why = s
                .window
                .rows
                .iter()
                .filter_map(|r| r.closest)
                .max_by(|a, b| a.slack.total_cmp(&b.slack))
                .map_or(String::new(), |c| {
                    format!("nearest {}: {} and {}", litres_with_unit(c.displacement_m3, units), wall(c.smaller), wall(c.larger))
                });
            return view! { <tr><th scope="row">{name}</th><td colspan="4">{format!("none; {why}")}</td></tr> }.into_any();
        };
        let (v, b, p) = (&summary.displacement_m3, &summary.boost_pa, &summary.wheel_power_w);
        let speeds = summary.engine_speed_rev_min.map_or("–".to_owned(), |(from, to)| {
            format!("{} to {}", speed(from, 50.0), speed(to, 50.0))
        });
        view! {
            <tr data-setting=name.clone()>
                <th scope="row">{name.clone()}</th>
                <td>{format!("{} to {}", litres(v.0.value, units), litres(v.1.value, units))}<small>{format!("{}; {}", wall(v.0.bound), wall(v.1.bound))}</small></td>
                <td>{format!("{} to {}", boost.number(b.0.value), boost.number(b.1.value))}<small>{format!("{}; {}", wall(b.0.bound), wall(b.1.bound))}</small></td>
                <td>{speeds}</td>
                <td>{format!("{} to {}", power.number(p.0.value), power.number(p.1.value))}<small>{format!("{}; {}", wall(p.0.bound), wall(p.1.bound))}</small></td>
            </tr>
        }
        .into_any()
    }));
    view! {
        <div class="scroll" tabindex="0" role="group" aria-label="Table: windows"><table class="windows"><thead><tr><th scope="col">"Arrangement"</th><th scope="col">{format!("Engines, {}", shown(Kind::Volume, units).unit.symbol)}</th>
            <th scope="col">{format!("Boost, {}", boost.unit.symbol)}</th><th scope="col">"Boost over, rev/min"</th><th scope="col">{format!("At the wheels, {}", power.unit.symbol)}</th></tr></thead>
            <tbody>{rows}</tbody></table></div>
    }
    .into_any()
}

fn gives_up(all: &[Surveyed], units: Units) -> String {
    let boost = shown(Kind::GaugePressure, units);
    let facts = all.iter().filter_map(|s| {
        let summary = s.window.summary.as_ref()?;
        let said: Vec<String> = summary
            .gives_up
            .iter()
            .filter(|f| f.bound != Bound::Search)
            .take(2)
            .map(|f| {
                let wall = wall(f.bound);
                match f.side {
                    Side::Larger | Side::Above => format!(
                        "{wall} takes boost from larger engines: {} at {}, {} at {}",
                        boost.text(f.low.boost_pa),
                        litres_with_unit(f.low.displacement_m3, units),
                        boost.text(f.high.boost_pa),
                        litres_with_unit(f.high.displacement_m3, units),
                    ),
                    Side::Smaller | Side::Below => format!(
                        "{wall} keeps it from engines under {} at {}, under {} at {}",
                        litres_with_unit(f.low.displacement_m3, units),
                        boost.text(f.low.boost_pa),
                        litres_with_unit(f.high.displacement_m3, units),
                        boost.text(f.high.boost_pa),
                    ),
                }
            })
            .collect();
        (!said.is_empty()).then(|| format!("{}: {}.", s.window.setting.name, said.join("; ")))
    });
    // One tells of the others: they are alike at their own sizes.
    facts.take(1).collect::<Vec<_>>().join(" ")
}

fn in_hand_words(in_hand: &InHand) -> String {
    let each: Vec<String> = IN_HAND
        .iter()
        .skip(1)
        .filter(|s| (s.get)(in_hand) > 0.0)
        .map(|s| {
            format!(
                "{} of {}",
                percent((s.get)(in_hand)),
                s.label.to_lowercase()
            )
        })
        .collect();
    format!(
        "“Too late” is boost after {} of the redline. In hand: {}.",
        percent(in_hand.late),
        each.join(", ")
    )
}

fn body(build: &Build, asked: &Asked, all: &[Surveyed], units: Units) -> AnyView {
    let own = (
        build.get(Field::Displacement),
        build.get(Field::BoostTarget),
    );
    let fits = |w: &Window| {
        w.setting.arrangement == build.arrangement()
            && w.setting.cylinders == build.get(Field::Cylinders)
    };
    let figure = |s: &Surveyed, size: Point| {
        let engine = fits(&s.window).then_some(own);
        let picture = drawn(&s.window, engine, build.name(), size, units);
        let empty = picture.is_empty();
        view! {
            <figure data-window=s.window.setting.name.clone()><figcaption><b>{s.window.setting.name.clone()}</b>
                {format!(" to {} rev/min. Lines: {} at the wheels. Walls: what stops it.", speed(s.window.setting.redline_rev_min, 10.0), shown(Kind::Power, units).unit.symbol)}</figcaption>
                <div inner_html=picture></div>{empty.then_some("No engine suits it within these limits.")}</figure>
        }
        .into_any()
    };
    // On a phone no wider than its screen, so that it can be read there.
    let wide = match is_phone() {
        true => (345.0, 220.0),
        false => (700.0, 248.0),
    };
    let first = all.first().map(|s| figure(s, wide));
    let rest = list(all.iter().skip(1).map(|s| figure(s, (345.0, 182.0))));
    let solved: usize = all.iter().map(|s| s.window.rows.len()).sum();
    let t = build.turbocharger();
    let guess = match t.compressor.map.estimated {
        true => {
            " Its map is estimated: the surge line, which sets most of the smallest engines, is known to some 15 %."
        }
        false => "",
    };
    view! {
        <h2>{format!("Where {} belongs", t.name)}</h2>
        {lead(build, all, units)}
        {first}
        <div class="two">{rest}</div>
        {summary(all, units)}
        <div class="two">
            <p class="quiet"><b>"What it gives up. "</b>{gives_up(all, units)}</p>
            <p class="quiet"><b>"How it was found. "</b>{format!("{solved} boosts, each followed over engine size by solving from {} of the redline to the redline. Stroke grows with the cylinder; breathing is stretched to the redline. Injectors, cylinder pressure and sensor are the engine’s and bound nothing here. {}{guess}", percent(asked.in_hand.late), in_hand_words(&asked.in_hand))}</p>
        </div>
    }
    .into_any()
}

/// Settings and what is kept in hand, to be changed.
fn controls(store: Store, asked: RwSignal<Asked>) -> AnyView {
    let open = RwSignal::new(false);
    let settings = live(move || {
        let all = asked.with(|a| a.settings.clone());
        let count = all.len();
        list(all.into_iter().enumerate().map(|(place, setting)| {
            let away = move || {
                asked.update(|a| {
                    a.settings.remove(place);
                });
            };
            let named = text(move |name: String| {
                let name: String = name.chars().take(40).collect();
                asked.update(|a| if let Some(s) = a.settings.get_mut(place) { s.name = name });
            });
            let cylinders = text(move |typed: String| {
                let spec = Field::Cylinders.spec();
                let unit = (spec.kind, spec.unit());
                if let Some(n) = typed_number(store, spec.label, &typed, unit, spec.range) {
                    // There are no halves of them.
                    let n = n.round();
                    asked.update(|a| if let Some(s) = a.settings.get_mut(place) { s.cylinders = n });
                }
            });
            let redline = text(move |typed: String| {
                let spec = Field::Redline.spec();
                let unit = (spec.kind, spec.unit());
                if let Some(n) = typed_number(store, spec.label, &typed, unit, spec.range) {
                    asked.update(|a| if let Some(s) = a.settings.get_mut(place) { s.redline_rev_min = n });
                }
            });
            let pair = setting.arrangement == Arrangement::Pair;
            let many = text(move |value: String| {
                let arrangement = if value == "2" { Arrangement::Pair } else { Arrangement::Single };
                asked.update(|a| if let Some(s) = a.settings.get_mut(place) { s.arrangement = arrangement });
            });
            view! {
                <li><label><span>"Called"</span><input type="text" maxlength="40" value=setting.name.clone() on:change=named/></label>
                    <label><span>"Cylinders, 1 to 16"</span><input type="text" inputmode="numeric" class="short" value=setting.cylinders.to_string() on:change=cylinders/></label>
                    <label><span>"How many"</span><select on:change=many><option value="1" selected=!pair>"One"</option><option value="2" selected=pair>"Two alike"</option></select></label>
                    <label><span>"Redline, rev/min"</span><input type="text" inputmode="numeric" class="short" value=format!("{:.0}", setting.redline_rev_min) on:change=redline/></label>
                    {(count > 1).then(|| view! { <button type="button" class="small" aria-label=format!("Remove {}", setting.name) on:click=press(away)>"Remove"</button> })}</li>
            }
            .into_any()
        }))
    });
    let add = move || {
        asked.update(|a| {
            let last = a.settings.last().cloned();
            if let Some(mut setting) = last.filter(|_| a.settings.len() < MOST) {
                setting.name = "Another".to_owned();
                a.settings.push(setting);
            }
        });
    };
    let hands = list(IN_HAND.iter().enumerate().map(|(place, spec)| {
        let value = asked.with_untracked(|a| format!("{:.0}", 100.0 * (spec.get)(&a.in_hand)));
        let typed = text(move |typed: String| {
            let spec = &IN_HAND[place];
            let percent = (Kind::Fraction, Kind::Fraction.metric());
            let range = (100.0 * spec.range.0, 100.0 * spec.range.1);
            if let Some(share) = typed_number(store, spec.label, &typed, percent, range) {
                asked.update(|a| *(spec.place)(&mut a.in_hand) = share / 100.0);
            }
        });
        let unit = if place == 0 { " % of redline" } else { " % in hand" };
        let range = format!("{}, {:.0} to {:.0} %", spec.label, 100.0 * spec.range.0, 100.0 * spec.range.1);
        view! { <label title=spec.source><span>{spec.label}</span><span><input type="text" inputmode="decimal" aria-label=range data-in-hand=place.to_string() value=value on:change=typed/>{unit}</span></label> }
            .into_any()
    }));
    view! {
        <div class="not-printed">
            {toggle(open, "of the application sheet".to_owned(), "Hide settings", || "Settings and room in hand".to_owned())}
            <div hidden=move || !open.get()>
                <ul class="settings">{settings}</ul>
                <button type="button" class="small" data-act="add-setting" on:click=press(add)>"Add an arrangement"</button>
                <div class="hard-limits" role="group" aria-label="Room to keep in hand">{hands}</div>
            </div>
        </div>
    }
    .into_any()
}

/// The application sheet of what is fitted.
pub fn application(sheets: Sheets) -> AnyView {
    let store = sheets.store;
    let first = store.build.with_untracked(|b| asked(b));
    let asked = RwSignal::new(first);
    let state = RwSignal::new(State::Going(0, 1));
    Effect::new(move |_| {
        let (want, build) = (asked.get(), store.build.get());
        let build = match sheets.of.get() {
            None => build,
            Some(of) => match of.on(&build) {
                Ok(fitted) => Arc::new(fitted),
                Err(error) => return state.set(State::Failed(error.to_string())),
            },
        };
        ASKED.with_borrow_mut(|kept| *kept = Some(want.clone()));
        let known = LAST.with_borrow(|last| {
            let last = last.as_ref()?;
            (last.0 == want && last.1 == build).then(|| last.2.clone())
        });
        match known {
            Some(all) => state.set(State::Done(build, all)),
            None => {
                state.set(State::Going(0, 1));
                survey(build, want, state, Vec::new());
            }
        }
    });
    on_cleanup(|| LABOUR.with_borrow_mut(|labour| *labour = None));
    let sheet = live(move || {
        match state.get() {
        State::Going(done, all) => view! {
            <div class="sure-line" role="status"><span>{format!("{done} of {all} boosts surveyed.")}</span>
                <progress max=all.to_string() value=done.to_string()></progress></div>
        }
        .into_any(),
        State::Failed(why) => view! { <p role="alert">{why}</p> }.into_any(),
        State::Done(build, all) => {
            let units = store.units.get();
            let t = build.turbocharger();
            let bearing = match t.bearing {
                Bearing::Ball => "ball bearings",
                Bearing::Journal => "journal bearings",
            };
            let cells = vec![
                (
                    "Turbocharger",
                    vec![
                        format!("{}, A/R {:.2}", t.name, build.housing().a_over_r),
                        format!("{:.1} / {:.1} mm", t.compressor.wheel.inducer_m * 1e3, t.compressor.wheel.exducer_m * 1e3),
                        format!("turbine {:.1} mm, {bearing}", t.turbine.inducer_m * 1e3),
                        format!("largest {} rev/min", speed(t.largest_speed_rev_min, 100.0)),
                    ],
                ),
                (
                    "Conditions",
                    vec![
                        shown(Kind::Altitude, units).text(build.get(Field::Altitude)) + " above the sea",
                        shown(Kind::Temperature, units).text(build.get(Field::AirTemperature)),
                        format!("λ {:.2}, cooler {}", build.get(Field::Lambda), percent(build.get(Field::CoolerEffectiveness))),
                    ],
                ),
            ];
            let about = format!("{}, housing A/R {:.2}", t.name, build.housing().a_over_r);
            frame::sheet(store, "Application sheet", about, body(&build, &asked.get_untracked(), &all, units), cells)
        }
    }
    });
    view! { {controls(store, asked)} {sheet} }.into_any()
}
