//! The table of differences: a column for each candidate, with its map and its account.

use super::account::{self, Said};
use super::{Desk, Solved, read_at};
use crate::parts::canvas::CanvasPlot;
use crate::parts::shapes::{list, live, press};
use crate::parts::working::figure;
use crate::plots::geometry::Point;
use crate::plots::map_shape::MapSpot;
use crate::plots::overlay::{Mark, SmallMap, draw_map};
use crate::plots::pen::Pen;
use crate::show::{TIE, Units, percent, shown, shown_inertia, speed};
use airpath::desk::compare::{Claim, MOST, Row, RowKind};
use airpath::quantity::Kind;
use airpath::run::LimitKind;
use leptos::prelude::*;
use std::rc::Rc;

/// The names of the small maps.
const MAPS: [&str; MOST] = ["map-0", "map-1", "map-2", "map-3"];

/// Claims of one kind that are shown of each.
const CLAIMS: usize = 5;

/// The working that a row's figures open, of what is fitted.
const fn opens(kind: RowKind) -> &'static str {
    match kind {
        RowKind::MostPower | RowKind::Power => "power",
        RowKind::MostTorque | RowKind::Torque => "torque",
        RowKind::Boost => "boost",
        RowKind::BeforeTurbine => "before_turbine",
        RowKind::ShaftSpeed => "shaft_speed",
        RowKind::Efficiency => "compressor_efficiency",
        RowKind::OutletHeat => "outlet_temperature",
        RowKind::TurbineHeat => "turbine_inlet_temperature",
        RowKind::GateShare => "gate_share",
        _ => "",
    }
}

/// A value as the number that is shown, so that differences are those of what is read.
fn as_shown(row: &Row, si: f64, units: Units) -> f64 {
    let to = |value: f64, step: f64| (value / step).round() * step;
    match (row.kind, row.kind.kind()) {
        (RowKind::TimeToBoost, _) => to(si, 0.1),
        (RowKind::ShaftSpeed, _) => to(si, 100.0),
        (_, None) => to(si, 10.0),
        (_, Some(Kind::Fraction)) => to(si, 0.01),
        (_, Some(Kind::Ratio)) => to(si, 0.01),
        (RowKind::Inertia, _) => si,
        (_, Some(kind)) => {
            let shown = shown(kind, units);
            let step = 10f64.powi(-i32::from(shown.decimals));
            shown.unit.to_si(to(shown.unit.from_si(si), step))
        }
    }
}

/// A value of a row, and what differs from the first, in words.
fn written(row: &Row, place: usize, units: Units) -> (String, String) {
    let value = row.values.get(place).copied().flatten();
    let kind = row.kind.kind();
    let text = |si: f64, apart: bool| match (row.kind, kind) {
        (RowKind::TimeToBoost, _) => format!("{si:.1}{TIE}s"),
        (RowKind::ShaftSpeed, _) => speed(si, 100.0),
        (RowKind::Inertia, _) => shown_inertia().text(si),
        (_, Some(Kind::Fraction)) => percent(si),
        (_, Some(Kind::Ratio)) => format!("{si:.2}"),
        // A difference of temperatures is not a temperature.
        (_, Some(Kind::Temperature)) if apart => {
            shown(Kind::TemperatureDifference, units).number(si)
        }
        (_, Some(kind)) if apart => shown(kind, units).number(si),
        (_, Some(kind)) => shown(kind, units).text(si),
        (_, None) => speed(si, 10.0),
    };
    let never = match row.kind {
        RowKind::FullBoostFrom | RowKind::DrivenFrom | RowKind::TimeToBoost => "never",
        RowKind::Efficiency => "windmills",
        _ => "not known",
    };
    let mut said = value.map_or(never.to_owned(), |v| text(v, false));
    if let Some(at) = row.at.get(place).copied().flatten() {
        said += &format!(" at {}", speed(at, 10.0));
    }
    let first = row.values.first().copied().flatten();
    let difference = value
        .zip(first)
        .map(|(v, f)| as_shown(row, v, units) - as_shown(row, f, units));
    let apart = match (row.kind, difference) {
        (_, None) => String::new(),
        _ if place == 0 => String::new(),
        (_, Some(apart)) => {
            let amount = text(apart.abs(), true);
            let nothing = !amount.contains(|c: char| ('1'..='9').contains(&c));
            match (row.kind, apart > 0.0) {
                _ if nothing => String::new(),
                (RowKind::FullBoostFrom | RowKind::DrivenFrom, later) => {
                    format!("{amount} {}", if later { "later" } else { "sooner" })
                }
                (RowKind::TimeToBoost, later) => {
                    format!("{amount} {}", if later { "longer" } else { "quicker" })
                }
                (_, true) => format!("+{amount}"),
                (_, false) => format!("−{amount}"),
            }
        }
    };
    (said, apart)
}

fn said(said: Said, claim: Option<&Claim>) -> AnyView {
    let mark = said
        .warns
        .then(|| view! { <i class="mark" aria-hidden="true"></i> });
    let figure = |value: Option<f64>| value.map(|v| v.to_string());
    view! {
        <p data-claim=claim.map(|c| format!("{:?}", c.measure))
            data-mine=claim.and_then(|c| figure(c.mine)) data-theirs=claim.and_then(|c| figure(c.theirs))
            data-at-speed=claim.and_then(|c| figure(c.at_rev_min)) data-against=claim.and_then(|c| c.against.map(|a| a.to_string()))>
            {mark}{said.text}
        </p>
    }
    .into_any()
}

/// A small map, drawn from what is solved.
fn small_map(desk: Desk, place: usize) -> AnyView {
    let store = desk.store;
    let name = MAPS[place.min(MOST - 1)];
    let paint = move |pen: &mut Pen| {
        let palette = store.palette.get_untracked();
        let units = store.units.get_untracked();
        desk.solved.with_untracked(|solved| {
            let Some(solved) = solved else { return };
            let (Some(shape), Some(contender)) = (
                solved.shapes.get(place),
                solved.contest.contenders.get(place),
            ) else {
                return;
            };
            let spots = |s: &airpath::run::SpeedReport| (s.corrected_flow_kg_s, s.pressure_ratio);
            let route: Vec<MapSpot> = contender.found.speeds.iter().map(spots).collect();
            let all = solved.shapes.iter().map(|s| s.reach());
            let runs = solved.contest.contenders.iter();
            let runs = runs.flat_map(|c| c.found.speeds.iter().map(spots));
            let reach = all
                .chain(runs)
                .fold((0.0f64, 1.0f64), |m, p| (m.0.max(p.0), m.1.max(p.1)));
            draw_map(
                pen,
                &SmallMap {
                    shape,
                    route: &route,
                    here: contender
                        .near(store.engine_speed.get_untracked())
                        .map(spots),
                    reach,
                    mark: Mark::of(place),
                    flow: shown(Kind::MassFlow, units).unit,
                },
                &palette,
            );
        });
    };
    let depends = move || {
        desk.solved.track();
        store.engine_speed.track();
        store.palette.track();
        store.units.track();
    };
    let spoken = Signal::derive(move || {
        let at = read_at(store);
        desk.solved.with(|s| {
            let solved = s.as_ref();
            let name = solved.and_then(|s| s.names.get(place)).cloned().unwrap_or_default();
            let here = solved
                .and_then(|s| s.contest.contenders.get(place))
                .and_then(|c| c.near(at));
            here.map_or_else(String::new, |s| {
                format!(
                    "{name} on its map: pressure ratio {:.2}, surge {} away, choke {} away, at {} rev/min",
                    s.pressure_ratio,
                    percent(s.surge_room),
                    percent(s.choke_room),
                    speed(at, 10.0)
                )
            })
        })
    });
    view! { <CanvasPlot name spoken draw=Rc::new(paint) depends=Rc::new(depends) pick=|_: Point, _| ()/> }
        .into_any()
}

/// A line in the candidate's hue and dash.
fn sample(place: usize) -> AnyView {
    let mark = Mark::of(place);
    let dash: Vec<String> = mark.dash().iter().map(f64::to_string).collect();
    view! {
        <svg class="sample" viewBox="0 0 44 6" aria-hidden="true">
            <path d="M0 3h44" style=format!("stroke:var({})", mark.token()) stroke-dasharray=dash.join(" ")/>
        </svg>
    }
    .into_any()
}

/// Which columns there are: made anew only when the candidates change, so that the keyboard stays.
fn heads(desk: Desk, solved: &Solved) -> AnyView {
    let first = solved.contest.contenders.first();
    let size = |c: &airpath::desk::Candidate| c.turbocharger.compressor.wheel.exducer_m;
    let fitted = first.map_or(0.0, |c| size(&c.candidate));
    list(solved.contest.contenders.iter().enumerate().map(|(place, contender)| {
        let candidate = contender.candidate.clone();
        let t = &candidate.turbocharger;
        let note = match size(&candidate) - fitted {
            _ if place == 0 => "fitted now",
            d if d < -0.0005 => "smaller",
            d if d > 0.0005 => "larger",
            _ => "same compressor size",
        };
        let many = if candidate.arrangement.count() > 1.0 { "two, " } else { "" };
        let sizes = format!(
            "{many}{:.1} and {:.1} mm, A/R {:.2}",
            t.compressor.wheel.exducer_m * 1e3,
            t.turbine.inducer_m * 1e3,
            candidate.a_over_r()
        );
        let (name, fit, away) = (t.name.clone(), candidate.clone(), candidate.clone());
        let buttons = (place > 0).then(|| view! {
            <div class="acts">
                <button type="button" class="small" data-do="fit" aria-label=format!("Fit {name} to the build")
                    on:click=press(move || desk.fit(&fit))>"Fit"</button>
                <button type="button" class="small" data-do="away" aria-label=format!("Remove {name}")
                    on:click=press(move || desk.take_away(&away))>"Remove"</button>
            </div>
        });
        view! {
            <th scope="col" data-contender=place.to_string()>
                {sample(place)}
                <b>{name.clone()}</b> " " <span class="quiet">{note}</span>
                <span class="sizes">{sizes}</span>
                {buttons}
            </th>
        }
        .into_any()
    }))
}

fn figures(solved: &Solved, units: Units, cursor: f64, of_the_answer: bool) -> AnyView {
    let count = solved.contest.contenders.len();
    let mut rows = Vec::new();
    let first = RowKind::ALL.iter().position(|k| *k == RowKind::DrivenFrom);
    let rest = first.unwrap_or(0);
    let all = solved.contest.rows(cursor).into_iter().enumerate();
    for (_, row) in all.filter(|(n, _)| (*n < rest) == of_the_answer) {
        let at = match row.kind {
            RowKind::TimeToBoost => {
                format!(" at {}", speed(solved.contest.reference_rev_min, 10.0))
            }
            kind if kind.at_cursor() => format!(" at {}", speed(cursor, 10.0)),
            _ => String::new(),
        };
        let cells = list((0..count).map(|place| {
            let (value, apart) = written(&row, place, units);
            let key = opens(row.kind);
            // What is fitted is the match's own: its figures open.
            let value =
                if place == 0 && !key.is_empty() && row.values.first().copied().flatten().is_some()
                {
                    let at = row.at.first().copied().flatten().unwrap_or(cursor);
                    figure(value, key, at)
                } else {
                    view! { <b>{value}</b> }.into_any()
                };
            view! { <td>{value} " " <span class="apart">{apart}</span></td> }.into_any()
        }));
        rows.push(
            view! { <tr data-row=format!("{:?}", row.kind)><th scope="row">{row.kind.label()}{at}</th>{cells}</tr> }
                .into_any(),
        );
        if row.kind == RowKind::MostTorque {
            rows.push(gives_out(solved));
        }
    }
    list(rows)
}

/// What gives out first, of each.
fn gives_out(solved: &Solved) -> AnyView {
    let cells = list(solved.contest.contenders.iter().map(|contender| {
        let said = match contender.gives_out_first() {
            None => Said {
                text: "nothing".to_owned(),
                warns: false,
            },
            Some(limit) => {
                let name = limit.kind.label().to_lowercase();
                // Surge on the way up to boost is told too, as the match tells it.
                let surge = contender.found.limits.iter().find_map(|l| {
                    let on_the_way = l.kind == LimitKind::Surge && !contender.is_stopped_by(l);
                    l.holds_boost.filter(|_| on_the_way)
                });
                let name = match surge {
                    Some((_, to)) if limit.kind != LimitKind::Surge => {
                        format!("surge, up to {}; then {name}", speed(to, 10.0))
                    }
                    _ => name,
                };
                match limit.holds_boost {
                    Some((from, _)) => Said {
                        text: format!("{name}, reached at {}", speed(from, 10.0)),
                        warns: true,
                    },
                    None if limit.room < 0.0 => Said {
                        text: format!(
                            "{name}, passed by {} at {}",
                            percent(-limit.room),
                            speed(limit.at_rev_min, 10.0)
                        ),
                        warns: true,
                    },
                    None => Said {
                        text: format!(
                            "{name}, {} left at {}",
                            percent(limit.room),
                            speed(limit.at_rev_min, 10.0)
                        ),
                        warns: false,
                    },
                }
            }
        };
        let mark = said
            .warns
            .then(|| view! { <i class="mark" aria-hidden="true"></i> });
        view! { <td>{mark}{said.text}</td> }.into_any()
    }));
    view! { <tr data-row="GivesOut"><th scope="row">"Gives out first"</th>{cells}</tr> }.into_any()
}

fn accounts(solved: &Solved, units: Units) -> AnyView {
    if solved.contest.contenders.len() < 2 {
        return ().into_any();
    }
    let reference = solved.contest.reference_rev_min;
    let row = |name: &'static str, key: &'static str, cell: &dyn Fn(usize) -> AnyView| {
        let cells = list((0..solved.accounts.len()).map(|place| {
            let inside = cell(place);
            view! { <td>{inside}</td> }.into_any()
        }));
        view! { <tr class="account" data-row=key><th scope="row">{name}</th>{cells}</tr> }
            .into_any()
    };
    let claims = |all: &[Claim], nothing: &'static str| {
        if all.is_empty() {
            return view! { <p class="quiet">{nothing}</p> }.into_any();
        }
        list(all.iter().take(CLAIMS).map(|claim| {
            said(
                account::say(claim, &solved.names, units, reference),
                Some(claim),
            )
        }))
    };
    list([
        row("Gains", "Gains", &|place| {
            claims(&solved.accounts[place].gains, "Nothing worth a word.")
        }),
        row("Gives up", "GivesUp", &|place| {
            claims(&solved.accounts[place].losses, "Nothing worth a word.")
        }),
        row("Suits", "Suits", &|place| {
            said(account::suits(&solved.accounts[place].suits), None)
        }),
    ])
}

/// The table.
pub fn table(desk: Desk) -> AnyView {
    let store = desk.store;
    // Which candidates there are; the figures follow in bodies of their own.
    let which = Memo::new(move |_| {
        desk.solved.with(|s| {
            s.as_ref().map_or_else(Vec::new, |s| {
                let all = s.contest.contenders.iter();
                all.map(|c| super::Pick::of(&c.candidate)).collect()
            })
        })
    });
    let head = live(move || {
        which.track();
        desk.solved
            .with_untracked(|s| s.as_ref().map_or_else(|| ().into_any(), |s| heads(desk, s)))
    });
    let maps = live(move || {
        let count = which.with(Vec::len);
        list((0..count).map(|place| view! { <td>{small_map(desk, place)}</td> }.into_any()))
    });
    let figures = |of_the_answer: bool| {
        live(move || {
            let units = store.units.get();
            // The answer's own figures do not follow the engine speed that is read.
            let cursor = match of_the_answer {
                true => untrack(|| read_at(store)),
                false => read_at(store),
            };
            desk.solved.with(|s| {
                s.as_ref().map_or_else(
                    || ().into_any(),
                    |s| figures(s, units, cursor, of_the_answer),
                )
            })
        })
    };
    let accounts = live(move || {
        let units = store.units.get();
        desk.solved.with(|s| {
            s.as_ref()
                .map_or_else(|| ().into_any(), |s| accounts(s, units))
        })
    });
    view! {
        <div class="contest-frame" tabindex="0" role="group" aria-label="Table: differences">
            <table class="contest" data-table="contest">
                <caption class="unseen">"Candidates side by side, each held against the first"</caption>
                <thead><tr><td></td>{head}</tr></thead>
                <tbody><tr class="maps"><th scope="row">"Where it runs" <span class="quiet">"pressure ratio over corrected flow"</span></th>{maps}</tr></tbody>
                <tbody>{figures(true)}</tbody>
                <tbody>{accounts}</tbody>
                <tbody>{figures(false)}</tbody>
            </table>
        </div>
    }
    .into_any()
}
