//! What the goal asks for: wheel sizes, trim and housing from the demand alone, and which turbochargers
//! come nearest to them.

use super::shortlist::because;
use super::{Desk, every, title};
use crate::parts::shapes::{list, live, press, toggle};
use crate::show::{Shown, TIE, Units, percent, shown, speed};
use airpath::build::Arrangement;
use airpath::desk::Candidate;
use airpath::desk::shortlist::{Rejection, Why};
use airpath::desk::sizing::{Asked, Because, End, How, Near, Proposal, Sizing, Span, Step, Unit};
use airpath::quantity::Kind;
use leptos::prelude::*;
use std::sync::Arc;

/// Nearest turbochargers that are shown.
const NEAREST: usize = 5;

fn length(units: Units) -> Shown {
    shown(Kind::Length, units)
}

/// A value of a step with its unit.
fn value(step: &Step, units: Units) -> String {
    match step.unit {
        Unit::RevPerMin => format!("{}{TIE}rev/min", speed(step.value, 10.0)),
        Unit::Work => format!("{:.1}{TIE}kJ/kg", step.value / 1e3),
        Unit::Kind(Kind::Ratio) => format!("{:.3}", step.value),
        Unit::Kind(Kind::Fraction) => percent(step.value),
        Unit::Kind(kind) => {
            let shown = shown(kind, units);
            let decimals = match kind {
                Kind::Swallowing => shown.decimals.min(2),
                _ => shown.decimals,
            };
            Shown { decimals, ..shown }.text(step.value)
        }
    }
}

/// Where a step comes from, in words.
fn how(step: &Step, all: &[Step]) -> (String, String) {
    let name = |key: &&str| {
        let found = all.iter().find(|s| s.key == *key);
        found.map_or(String::new(), |s| s.name.to_lowercase())
    };
    match &step.how {
        How::Formula { formula, inputs } => {
            let from: Vec<String> = inputs.iter().map(name).collect();
            (
                format!("from {}", from.join(", ")),
                format!("Source: {}.", formula.source),
            )
        }
        How::Build(field) => (
            format!("“{}” of the build", field.spec().label),
            format!("Source: {}", field.spec().source),
        ),
        How::Assumed(why) => ("assumed".to_owned(), (*why).to_owned()),
        How::Solved(why) => ("solved".to_owned(), (*why).to_owned()),
    }
}

/// An end of a range, with what sets it.
fn end(end: &End, write: &dyn Fn(f64) -> String) -> String {
    let size = write(end.size);
    match &end.set_by {
        Some(why) => format!("{size} ({})", against(why)),
        None => format!("{size} (as far as was looked)"),
    }
}

/// What stands against the next size, in a word or two: at the end itself it is by next to nothing.
fn against(rejection: &Rejection) -> String {
    match rejection.why {
        Why::Room(kind) => kind.label().to_lowercase(),
        Why::Creep => "gate".to_owned(),
        Why::NeverReached | Why::Short => "boost short".to_owned(),
        Why::Late => "boost too late".to_owned(),
        Why::Power => "power short".to_owned(),
        Why::Unsolved => "no answer".to_owned(),
        Why::Unfit => "no such housing is made".to_owned(),
    }
}

fn range(label: &'static str, span: &Span, write: &dyn Fn(f64) -> String) -> AnyView {
    view! {
        <tr><th scope="row">{label}</th><td>{end(&span.smallest, write)}</td><td>{end(&span.largest, write)}</td></tr>
    }
    .into_any()
}

fn proposal(proposal: &Proposal, units: Units, first: bool) -> AnyView {
    let sizes = &proposal.sizes;
    let mm = |m: f64| length(units).text(m);
    let many = match proposal.arrangement {
        Arrangement::Single => "One turbocharger",
        Arrangement::Pair => "Two alike, each",
    };
    let swallowing = shown(Kind::Swallowing, units);
    let swallows = |v: f64| {
        Shown {
            decimals: 2,
            ..swallowing
        }
        .text(v)
    };
    let rejections: Vec<String> = proposal
        .look
        .rejections
        .iter()
        .map(|r| because(r, units))
        .collect();
    let meets = match rejections.is_empty() {
        true => String::new(),
        false => format!(
            " Solved back it does not hold every limit: {}",
            rejections.join(" ")
        ),
    };
    let from = proposal.look.usable_threshold_rev_min;
    let from = from.map_or("no full boost".to_owned(), |at| {
        format!("boost from {}", speed(at, 10.0))
    });
    let text = format!(
        "{} at {} from {} of air at a pressure ratio of {:.2}; {from}.{meets}",
        shown(Kind::Power, units).text(proposal.look.most_power.0),
        speed(proposal.look.most_power.1, 10.0),
        shown(Kind::MassFlow, units).text(proposal.air_kg_s),
        proposal.pressure_ratio,
    );
    let open = RwSignal::new(false);
    let steps = proposal.steps.clone();
    let working = live(move || {
        if !open.get() {
            return ().into_any();
        }
        let rows = list(steps.iter().map(|step| {
            let (from, why) = how(step, &steps);
            let formula = step.mathml(&steps).map(|(symbols, values)| {
                view! { <div class="equations" tabindex="0" role="group" aria-label="Formula"><div inner_html=symbols></div><div inner_html=values></div></div> }
            });
            view! {
                <li data-step=step.key><span><b>{step.name}</b> " " {from}</span><b>{value(step, units)}</b>
                    {formula}<small>{why}</small></li>
            }
            .into_any()
        }));
        view! { <ol class="steps">{rows}</ol> }.into_any()
    });
    view! {
        <section class="proposal" class:first=first data-proposal=if proposal.arrangement == Arrangement::Pair { "pair" } else { "single" }>
            <h3>{many}{first.then_some(": proposed")}</h3>
            <p class="sizes-line"><b>{format!("Compressor {} / {}", mm(sizes.inducer_m), mm(sizes.exducer_m))}</b>{format!(", trim {:.0}; ", sizes.trim())}
                <b>{format!("turbine {}", mm(sizes.turbine_inducer_m))}</b>{format!(", A/R {:.2}, swallowing {}", sizes.a_over_r, swallows(sizes.swallowing))}</p>
            <p>{text}</p>
            <div class="scroll"><table class="spans">
                <thead><tr><th scope="col">"May be"</th><th scope="col">"from"</th><th scope="col">"to"</th></tr></thead>
                <tbody>
                    {range("Compressor inducer", &proposal.inducer, &mm)}
                    {range("Swallowing", &proposal.swallowing, &swallows)}
                </tbody></table></div>
            {toggle(open, format!("of sizes for {}", many.to_lowercase()), "Hide the reasoning", || "The reasoning, step by step".to_owned())}
            {working}
        </section>
    }
    .into_any()
}

fn nearest(desk: Desk, near: &Near, shelf: &[Arc<airpath::build::Turbocharger>]) -> AnyView {
    let Some(turbocharger) = shelf.get(near.on_shelf) else {
        return ().into_any();
    };
    let candidate = Candidate {
        turbocharger: turbocharger.clone(),
        housing: near.housing,
        arrangement: near.arrangement,
    };
    let off = |share: f64| format!("{:+.0}{TIE}%", 100.0 * share).replace('-', "−");
    let name = title(&candidate);
    let words = format!(
        "flow {}, inducer {}, turbine wheel {}, swallowing {}",
        off(near.flow),
        off(near.inducer),
        off(near.turbine),
        off(near.swallowing)
    );
    view! {
        <li data-near=turbocharger.id.clone()><div class="about"><p><b>{name.clone()}</b></p><p class="quiet">{words}</p></div>
            <div class="acts"><button type="button" class="small" aria-label=format!("Put beside: {name}") on:click=press(move || desk.put_beside(&candidate))>"Put beside"</button></div></li>
    }
    .into_any()
}

/// Sizes for the goal that stands.
pub fn sizes(desk: Desk) -> AnyView {
    let store = desk.store;
    let found = RwSignal::new(None::<Result<Arc<Sizing>, String>>);
    Effect::new(move |before: Option<()>| {
        store.build.track();
        desk.wishes.track();
        if before.is_some() && found.with_untracked(Option::is_some) {
            found.set(None);
        }
    });
    let run = move || {
        let build = store.build.get_untracked();
        let asked = Asked {
            wishes: desk.wishes.get_untracked(),
            ..Asked::default()
        };
        let began = crate::plots::frame::now();
        let sizing = Sizing::new(&build, &asked);
        crate::plots::frame::measure("airpath: sizes", began, crate::plots::frame::now());
        found.set(Some(
            sizing.map(Arc::new).map_err(|error| error.to_string()),
        ));
    };
    let body = live(move || {
        match found.get() {
        None => view! {
            <button type="button" data-act="sizes" on:click=press(run)>"Work the sizes out"</button>
            <p class="quiet">"From engine, place, fuel and goal alone, before any turbocharger is chosen: wheels, trim and housing, with the reasoning."</p>
        }
        .into_any(),
        Some(Err(why)) => view! { <p role="alert">{why}</p> }.into_any(),
        Some(Ok(sizing)) => {
            let units = store.units.get();
            let proposed = sizing.proposed;
            let because = match sizing.because {
                Because::OnlyOne => "only it meets the goal within the limits",
                Because::Earlier => "it has the boost clearly earlier",
                Because::LighterRotors => "neither is clearly earlier, and two small rotors gain speed sooner",
                Because::Simpler => "neither is clearly earlier, and one is simpler",
            };
            let many = match proposed {
                Arrangement::Single => "One is proposed",
                Arrangement::Pair => "A pair is proposed",
            };
            // What is proposed first.
            let first = sizing.proposals().filter(|p| p.arrangement == proposed);
            let second = sizing.proposals().filter(|p| p.arrangement != proposed);
            let shown = list(
                first
                    .chain(second)
                    .map(|p| proposal(p, units, p.arrangement == proposed)),
            );
            let shelf = every(store);
            let near = sizing.nearest(&shelf);
            let near = near.iter().filter(|n| n.arrangement == proposed).take(NEAREST);
            let near = list(near.map(|n| nearest(desk, n, &shelf)));
            view! {
                <p role="status">{format!("{many}: {because}.")}</p>
                {shown}
                <h3>"Nearest to what is proposed"</h3>
                <ul class="builds">{near}</ul>
            }
            .into_any()
        }
    }
    });
    view! {
        <section class="figure sizing" aria-labelledby="sizing-title">
            <header><h2 id="sizing-title">"What the goal asks for"</h2></header>
            {body}
        </section>
    }
    .into_any()
}
