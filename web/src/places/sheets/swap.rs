//! The swap sheet: what carries over from what is fitted to another, what must change and to what.

use super::drawing::{Anchor, Drawing};
use super::{Sheets, frame, writeup};
use crate::parts::shapes::{list, live};
use crate::places::choose::title;
use crate::plots::geometry::Point;
use crate::show::{Shown, TIE, Units, percent, shown, speed};
use crate::store::{Solved, Store};
use airpath::build::{Bearing, GateKind, HousingEntry, Turbocharger};
use airpath::desk::Candidate;
use airpath::desk::compare::stopped_by;
use airpath::desk::fitting::{
    Action, Because, CHARGE_CEILING, EXHAUST_CEILING, Figures, INTAKE_CEILING, Item, ItemKind,
    OIL_PRACTICE, Oil, Stream, SwapSheet, Value, Verdict,
};
use airpath::fields::Field;
use airpath::quantity::Kind;
use airpath::run::Match;
use leptos::prelude::*;

/// A length of a part: no decimals that say nothing, but for bores a tenth of a millimetre wide.
fn length(m: f64, units: Units) -> String {
    let shown = shown(Kind::Length, units);
    let decimals = if m < 0.003 {
        shown.decimals + 1
    } else {
        shown.decimals
    };
    let number = Shown { decimals, ..shown }.number(m);
    let number = match number.contains('.') {
        true => number.trim_end_matches('0').trim_end_matches('.'),
        false => &number,
    };
    format!("{number}{TIE}{}", shown.unit.symbol)
}

/// Twin entry is told, as the exception.
fn passages(entry: HousingEntry) -> &'static str {
    match entry {
        HousingEntry::Single => "",
        HousingEntry::Twin => ", twin entry",
    }
}

/// What stands before or after, in words.
fn value(value: &Value, units: Units) -> String {
    match value {
        Value::Nothing => "none".to_owned(),
        Value::NotKnown => "not known".to_owned(),
        Value::Count(count) => count.to_string(),
        Value::Length(m) => length(*m, units),
        Value::GaugePressure(pa) => shown(Kind::GaugePressure, units).text(*pa),
        Value::Flow(flow) => shown(Kind::MassFlow, units).text(*flow),
        Value::Loss(pa) => format!("loses {}", shown(Kind::PressureDifference, units).text(*pa)),
        Value::Duty(share) => format!("{} of the time", percent(*share)),
        Value::VolumeFlow(flow) => shown(Kind::VolumeFlow, units).text(*flow),
        Value::Words(words) => words.clone(),
        Value::Housing { a_over_r, entry } => format!("A/R {a_over_r:.2}{}", passages(*entry)),
        Value::Gate { kind, diameter_m } => {
            let place = match kind {
                GateKind::Internal => "internal",
                GateKind::External => "external",
            };
            format!("{}, {place}", length(*diameter_m, units))
        }
        Value::Manifold {
            turbochargers,
            entry,
        } => match turbochargers {
            1 => format!("for one{}", passages(*entry)),
            many => format!("for {many}{}", passages(*entry)),
        },
    }
}

/// What to do, with its numbers.
fn action(item: &Item, units: Units) -> String {
    let mm = |m: f64| length(m, units);
    let part = match item.kind {
        ItemKind::TurbineOutlet | ItemKind::Downpipe => "pipe",
        _ => "hose",
    };
    match &item.action {
        Action::Keep => String::new(),
        Action::Reducer { from_m, to_m } => {
            format!("a {part} of {}, or a reducer to {}", mm(*to_m), mm(*from_m))
        }
        Action::OtherDrain { bore_m } => format!("a drain of {} all the way", mm(*bore_m)),
        Action::WiderPipe { bore_m } => format!("a pipe of {} or more inside", mm(*bore_m)),
        Action::LargerFilter { flow_kg_s } => format!(
            "a filter for {} would lose less",
            shown(Kind::MassFlow, units).text(*flow_kg_s)
        ),
        Action::LargerCooler { flow_kg_s } => format!(
            "a cooler for {} would lose less",
            shown(Kind::MassFlow, units).text(*flow_kg_s)
        ),
        Action::LargerInjectors { flow_m3_s } => format!(
            "injectors of {} or more each",
            shown(Kind::VolumeFlow, units).text(*flow_m3_s)
        ),
        Action::OtherHousing { a_over_r } => {
            format!("the A/R {a_over_r:.2} housing on the cartridge that is there")
        }
        Action::AddExternalGate { diameter_m } | Action::OtherGate { diameter_m } => {
            format!("a gate of {} on the manifold", mm(*diameter_m))
        }
        Action::SofterSpring { most_pa } => format!(
            "a spring of {} at most",
            shown(Kind::GaugePressure, units).text(*most_pa)
        ),
        Action::StifferSpring { least_pa } => format!(
            "a spring of {} or more would hold it better",
            shown(Kind::GaugePressure, units).text(*least_pa)
        ),
        Action::FitRestrictor { bore_m } => format!("a restrictor of {} in the feed", mm(*bore_m)),
        Action::MakeRoom { missing_m } => format!("{} too little room", mm(*missing_m)),
        Action::Add { count } => format!("{count} more of the same"),
        Action::TakeOff { count } => format!("take {count} off and close what it was joined to"),
        other => {
            let label = other.label();
            let mut letters = label.chars();
            let first = letters.next().map(|c| c.to_lowercase().to_string());
            first.unwrap_or_default() + letters.as_str()
        }
    }
}

/// A stream in a pipe, in words.
fn stream(stream: &Stream, units: Units) -> String {
    let speed = Shown {
        decimals: 0,
        ..shown(Kind::Speed, units)
    };
    format!(
        "{}, Mach {:.2}",
        speed.text(stream.velocity_m_s),
        stream.mach
    )
}

/// What a verdict rests on, where it says more than the columns.
fn because(item: &Item, units: Units) -> String {
    match &item.because {
        Because::Speed { from, to, ceiling } => match (from, to) {
            (_, Some(to)) => {
                let was = from.as_ref().map_or(String::new(), |from| {
                    format!(" (was {})", stream(from, units))
                });
                let over = if to.mach > ceiling.mach {
                    "over"
                } else {
                    "under"
                };
                format!("{}{was}, {over} {:.2}", stream(to, units), ceiling.mach)
            }
            _ if item.verdict == Verdict::NotKnown => "its bore is not entered".to_owned(),
            _ => String::new(),
        },
        Because::Duty { allowed, .. } if item.to != Value::NotKnown => {
            format!("{} is the most", percent(*allowed))
        }
        Because::Frame { same_wheel, .. } => match same_wheel {
            true => "same turbine wheel".to_owned(),
            false => "another turbine wheel".to_owned(),
        },
        Because::Creep { to: true, .. } => "boost creeps with it wide open".to_owned(),
        Because::Boost {
            least_pa,
            most_pa,
            over_spring,
        } if item.verdict != Verdict::CarriesOver => {
            let boost = shown(Kind::GaugePressure, units);
            let asked = if least_pa == most_pa {
                boost.text(*most_pa)
            } else {
                format!("{} to {}", boost.number(*least_pa), boost.text(*most_pa))
            };
            format!(
                "{asked} asked; a controller holds up to {:.0} times the spring’s (common practice)",
                over_spring.0
            )
        }
        Because::Bearing {
            to, by_practice, ..
        } => {
            let bearing = match to {
                Bearing::Ball => "ball bearing",
                Bearing::Journal => "journal bearing",
            };
            let says = match (item.kind, by_practice, &item.to) {
                (ItemKind::OilRestrictor, false, Value::Length(_)) => ", as its record states",
                (ItemKind::OilRestrictor, true, Value::Length(_)) => ", by practice",
                _ => "",
            };
            format!("{bearing}{says}")
        }
        Because::Room(room) if item.verdict != Verdict::CarriesOver => match room {
            Some(room) => format!("{} there is", length(*room, units)),
            None => "room not entered".to_owned(),
        },
        _ => String::new(),
    }
}

/// A change in words: "26 kW more".
fn change(before: f64, after: f64, write: &dyn Fn(f64) -> String, words: (&str, &str)) -> String {
    let apart = write((after - before).abs());
    if !apart.contains(|c: char| ('1'..='9').contains(&c)) {
        return "the same".to_owned();
    }
    format!("{apart} {}", if after > before { words.0 } else { words.1 })
}

/// A row of two figures: what it was and what it becomes.
fn was_and_is(
    label: String,
    from: Option<String>,
    to: Option<String>,
    ends: (f64, f64),
) -> AnyView {
    let width = 200.0;
    let mut drawing = Drawing::new(width, 40.0);
    let (a, b) = (
        ends.0 * (width - 60.0) + 30.0,
        ends.1 * (width - 60.0) + 30.0,
    );
    drawing.line(&[(0.0, 30.0), (width, 30.0)], "rail");
    drawing.line(&[(a, 30.0), (b, 30.0)], "span");
    drawing.disc((a, 30.0), 5.0, "spot");
    drawing.disc((b, 30.0), 5.5, "dot");
    let text = |value: &Option<String>| value.clone().unwrap_or_else(|| "never".to_owned());
    // The two figures keep apart.
    let (mut x, mut y) = (a, b);
    if (x - y).abs() < 56.0 {
        let middle = 0.5 * (x + y);
        let sign = if x <= y { 1.0 } else { -1.0 };
        (x, y) = (middle - 28.0 * sign, middle + 28.0 * sign);
    }
    let held = |x: f64| x.clamp(24.0, width - 24.0);
    drawing.text(&text(&from), (held(x), 16.0), Anchor::Middle, "mark");
    drawing.text(&text(&to), (held(y), 16.0), Anchor::Middle, "label strong");
    let told = format!("{label}: was {}, becomes {}", text(&from), text(&to));
    let drawn = drawing.finish(&told);
    view! { <div><b>{label}</b><div inner_html=drawn></div></div> }.into_any()
}

fn figures((from, to): (&Figures, &Figures), units: Units) -> AnyView {
    let share = |a: f64, b: f64| {
        let most = a.max(b).max(1e-9);
        (a / most, b / most)
    };
    // From half of the larger on, so that a tenth is to be seen.
    let close = |a: f64, b: f64| {
        let (a, b) = share(a, b);
        ((2.0 * a - 1.0).max(0.0), (2.0 * b - 1.0).max(0.0))
    };
    let power = shown(Kind::Power, units);
    let never = |v: Option<f64>| v.map(|v| speed(v, 10.0));
    let threshold = |f: &Figures| f.usable_threshold_rev_min;
    let room = |f: &Figures| f.least_room;
    let room_text = |f: &Figures| room(f).map(|(_, room)| percent(room));
    let kind = |f: &Figures| {
        room(f)
            .map_or("none", |(kind, _)| kind.label())
            .to_lowercase()
    };
    let least = match (kind(from), kind(to)) {
        (was, is) if was == is => format!("Least room: {is}"),
        (was, is) => format!("Least room: {is}, was {was}"),
    };
    let rooms = (
        room(from).map_or(0.0, |r| r.1.clamp(0.0, 0.4) / 0.4),
        room(to).map_or(0.0, |r| r.1.clamp(0.0, 0.4) / 0.4),
    );
    view! {
        <div class="dumbbells">
            {was_and_is(format!("Most power, {}", power.unit.symbol), Some(power.number(from.power_w)), Some(power.number(to.power_w)), close(from.power_w, to.power_w))}
            {was_and_is("Boost from, rev/min".to_owned(), never(threshold(from)), never(threshold(to)),
                close(threshold(from).unwrap_or(0.0), threshold(to).unwrap_or(0.0)))}
            {was_and_is(least, room_text(from), room_text(to), rooms)}
        </div>
    }
    .into_any()
}

/// The outer sizes that are drawn.
struct Envelope {
    length: f64,
    height: f64,
    compressor: f64,
    turbine: f64,
}

fn envelope(t: &Turbocharger) -> Option<Envelope> {
    let c = &t.connections;
    Some(Envelope {
        length: c.length_m?,
        height: c.height_m?,
        compressor: c.compressor_housing_m?,
        turbine: c.turbine_housing_m?,
    })
}

/// One turbocharger from the side and along its shaft: blocks of the sizes that are stated. What is
/// between them is a sketch.
fn outline(drawing: &mut Drawing, e: &Envelope, scale: f64, centre: (Point, Point), class: &str) {
    let (side, along) = centre;
    let x = |share: f64| side.0 + scale * e.length * (share - 0.5);
    let mut block = |from: f64, to: f64, high: f64, round: f64| {
        let height = scale * high;
        drawing.block(
            (x(from), side.1 - height / 2.0),
            (x(to) - x(from), height),
            round,
            class,
        );
    };
    block(0.0, 0.12, 0.45 * e.compressor, 2.0);
    block(0.12, 0.40, e.compressor, 9.0);
    block(0.40, 0.60, 0.34 * e.compressor.min(e.turbine), 2.0);
    block(0.60, 0.88, e.turbine, 9.0);
    block(0.88, 1.0, 0.5 * e.turbine, 2.0);
    let wider = scale * e.compressor.max(e.turbine) / 2.0;
    drawing.disc(along, wider, class);
    let height = scale * e.height;
    let wide = 0.3 * scale * e.compressor;
    drawing.block(
        (along.0 + wider - wide, along.1 + wider - height),
        (wide, height - wider),
        2.0,
        class,
    );
}

fn sizes(from: &Candidate, to: &Candidate, units: Units) -> AnyView {
    let (old, new) = (envelope(&from.turbocharger), envelope(&to.turbocharger));
    let Some(new) = new else {
        return view! { <p class="quiet">"Outer sizes of the new one are not known: measure before ordering."</p> }.into_any();
    };
    let (width, height) = (680.0, 168.0);
    let largest = |value: fn(&Envelope) -> f64| old.as_ref().map_or(0.0, value).max(value(&new));
    let tall = largest(|e| e.height.max(e.compressor).max(e.turbine));
    let scale = (300.0 / largest(|e| e.length)).min(118.0 / tall);
    let centre = ((200.0, 68.0), (520.0, 74.0));
    let mut drawing = Drawing::new(width, height);
    outline(&mut drawing, &new, scale, centre, "body");
    if let Some(old) = &old {
        outline(&mut drawing, old, scale, centre, "ghost");
    }
    let half = scale * new.length / 2.0;
    let foot = 143.0;
    let (left, right) = (centre.0.0 - half, centre.0.0 + half);
    drawing.line(&[(left, foot), (right, foot)], "thin");
    for end in [left, right] {
        drawing.line(&[(end, foot - 5.0), (end, foot + 5.0)], "thin");
    }
    let mm = |m: f64| length(m, units);
    let was = |value: fn(&Envelope) -> f64| {
        old.as_ref().map_or("was not known".to_owned(), |old| {
            format!("was {}", mm(value(old)))
        })
    };
    let text = format!("{} long, {}", mm(new.length), was(|e| e.length));
    drawing.text(&text, (centre.0.0, foot + 16.0), Anchor::Middle, "label");
    let text = format!("{} high, {}", mm(new.height), was(|e| e.height));
    drawing.text(&text, (centre.1.0, foot + 16.0), Anchor::Middle, "label");
    let told = format!("Outer sizes: {}; {}", mm(new.length), mm(new.height));
    let drawn = drawing.finish(&told);
    let key = match old {
        Some(_) => format!(
            "Solid {}, dashed {} that is fitted. Sizes as stated, shapes a sketch.",
            to.turbocharger.name, from.turbocharger.name
        ),
        None => format!(
            "{}. Sizes as stated, shapes a sketch; those of {} are not known.",
            to.turbocharger.name, from.turbocharger.name
        ),
    };
    view! { <figure><div class="scroll" tabindex="0" role="group" aria-label="Drawing: outer sizes" inner_html=drawn></div><figcaption>{key}</figcaption></figure> }.into_any()
}

/// The model of oil beside practice.
fn oil_model(oil: &Oil, units: Units) -> String {
    let pressure = shown(Kind::GaugePressure, units);
    let flow = shown(Kind::VolumeFlow, units);
    let mut said = format!(
        "A rough model of oil, beside practice: {} reaches the bearing with no restrictor ({})",
        pressure.text(oil.without.pressure_pa),
        flow.text(oil.without.flow_m3_s)
    );
    if let Some((bore, at)) = &oil.with {
        said += &format!(
            "; {} behind one of {}",
            pressure.text(at.pressure_pa),
            length(*bore, units)
        );
    }
    if let Some(bore) = &oil.bore_for_wanted {
        said += &format!(
            "; {} would bring it to {} ({} to {}, as the bearing’s flow is {})",
            length(bore.bore_m, units),
            oil.wanted_pa
                .map(|pa| pressure.text(pa))
                .unwrap_or_default(),
            length(bore.least_m, units),
            length(bore.most_m, units),
            if oil.flow_entered {
                "entered"
            } else {
                "guessed"
            }
        );
    }
    said.push('.');
    said
}

fn number_word(count: usize) -> String {
    const WORDS: [&str; 13] = [
        "No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten",
        "Eleven", "Twelve",
    ];
    WORDS
        .get(count)
        .map_or_else(|| count.to_string(), |w| (*w).to_owned())
}

fn things(count: usize) -> &'static str {
    if count == 1 {
        "thing changes"
    } else {
        "things change"
    }
}

fn verdict_mark(verdict: Verdict) -> AnyView {
    match verdict {
        Verdict::NotKnown => view! { <i class="mark" aria-hidden="true"></i> }.into_any(),
        Verdict::Change => view! { <span class="sign" aria-hidden="true">"→"</span> }.into_any(),
        Verdict::CarriesOver => {
            view! { <span class="sign" aria-hidden="true">"="</span> }.into_any()
        }
        Verdict::Optional => view! { <span class="sign" aria-hidden="true">"○"</span> }.into_any(),
    }
}

fn body(store: Store, from: &Solved, to: &Candidate, sheet: &SwapSheet, found: &Match) -> AnyView {
    let units = store.units.get();
    let before = Candidate::of(&from.build);
    // Outer sizes that are no trouble stand in the drawing alone.
    let drawn = envelope(&before.turbocharger).is_some() && envelope(&to.turbocharger).is_some();
    let told = |item: &&Item| {
        let plain = match item.kind {
            ItemKind::Turbochargers => true,
            ItemKind::Length
            | ItemKind::Height
            | ItemKind::CompressorHousing
            | ItemKind::TurbineHousingWidth => drawn,
            _ => false,
        };
        !(plain && item.verdict == Verdict::CarriesOver)
    };
    let items: Vec<&Item> = sheet.items.iter().filter(told).collect();
    let count = |verdict: Verdict| items.iter().filter(|i| i.verdict == verdict).count();
    let (changes, unknown) = (count(Verdict::Change), count(Verdict::NotKnown));
    let carries = count(Verdict::CarriesOver);
    let power = shown(Kind::Power, units);
    let (a, b) = (&sheet.figures.0, &sheet.figures.1);
    let boost = match (a.usable_threshold_rev_min, b.usable_threshold_rev_min) {
        (Some(x), Some(y)) => format!(
            "full boost {}",
            change(
                x,
                y,
                &|v| format!("{}{TIE}rev/min", speed(v, 10.0)),
                ("later", "sooner")
            )
        ),
        (Some(_), None) => "full boost never".to_owned(),
        (None, Some(y)) => format!("full boost from {}, which there never was", speed(y, 10.0)),
        (None, None) => "still no full boost".to_owned(),
    };
    let rows = list(items.iter().enumerate().map(|(n, item)| {
        let todo = action(item, units);
        let why = because(item, units);
        let count = match item.count {
            (1, 1) => String::new(),
            (x, y) if x == y => format!(" × {x}"),
            (x, y) => format!(" × {x} → {y}"),
        };
        view! {
            <tr data-item=format!("{:?}", item.kind) data-verdict=format!("{:?}", item.verdict)>
                <td>{(n + 1).to_string()}</td>
                <th scope="row">{item.kind.label()}{count}</th><td>{value(&item.from, units)}</td><td>{value(&item.to, units)}</td>
                <td>{verdict_mark(item.verdict)} " " {item.verdict.label().to_lowercase()}</td>
                <td>{todo}<small>{why}</small></td>
            </tr>
        }
        .into_any()
    }));
    let measure: Vec<String> = items
        .iter()
        .enumerate()
        .filter(|(_, i)| i.verdict == Verdict::NotKnown)
        .map(|(n, i)| format!("{} ({})", i.kind.label().to_lowercase(), n + 1))
        .collect();
    let still = match measure.is_empty() {
        true => "Nothing that the sheet asks for is missing.".to_owned(),
        false => format!("Measure or ask for: {}.", measure.join(", ")),
    };
    let oil = sheet.oil.1.as_ref().map(|oil| oil_model(oil, units));
    let t = &to.turbocharger;
    let own: Vec<String> = [("Price", &t.price), ("To be had", &t.availability)]
        .into_iter()
        .filter(|(_, words)| !words.is_empty())
        .map(|(label, words)| format!("{label}: {words}"))
        .collect();
    view! {
        <h2>{format!("From {} to {}", title(&before), title(to))}</h2>
        <p class="lead"><b>{format!("{} {}, {} carry over, ", number_word(changes), things(changes), number_word(carries).to_lowercase())}
            <i class="mark" aria-hidden="true"></i>{format!(" {} not known.", number_word(unknown).to_lowercase())}</b>
            {format!(" It ends with {} and {boost}.", change(a.power_w, b.power_w, &|v| power.text(v), ("more", "less")))}</p>
        {stopped_by(found).map(|limit| {
            let kind = limit.kind.label().to_lowercase();
            let how = match limit.holds_boost {
                Some((from, to)) => format!("holds boost down from {} to {}", speed(from, 10.0), speed(to, 10.0)),
                None => format!("is passed by {} at {}", percent(-limit.room), speed(limit.at_rev_min, 10.0)),
            };
            view! { <p class="lead" data-stopped=""><i class="mark" aria-hidden="true"></i><b>"Not for this goal as it stands: "</b>{format!("{kind} {how} rev/min.")}</p> }
        })}
        {figures((a, b), units)}
        {sizes(&before, to, units)}
        <div class="scroll" tabindex="0" role="group" aria-label="Table: what carries over and what changes"><table class="swap"><caption class="unseen">"In the order the air meets them"</caption>
            <thead><tr><td></td><th scope="col">"Part"</th><th scope="col">{format!("{}, fitted", before.turbocharger.name)}</th><th scope="col">{t.name.clone()}</th><th scope="col">"So"</th><th scope="col">"What to do, and why"</th></tr></thead>
            <tbody>{rows}</tbody></table></div>
        <div class="two">
            <p class="quiet"><b>"Before the first start "</b>"(common practice). Prime the oil, see that the drain falls all the way, leak-test the pipes. Start at the spring’s boost; go up only on the dyno."</p>
            <p class="quiet"><b>"Still to do. "</b>{still}{(!own.is_empty()).then(|| format!(" {}.", own.join(". ")))}</p>
        </div>
        <p class="quiet"><b>"Ceilings. "</b>{format!("Intake Mach {:.2} ({}); charge {:.2} ({}); exhaust {:.2} ({}). Oil: {OIL_PRACTICE}; it needs its coolant lines, a journal bearing may run without.", INTAKE_CEILING.mach, INTAKE_CEILING.source, CHARGE_CEILING.mach, CHARGE_CEILING.source, EXHAUST_CEILING.mach, EXHAUST_CEILING.source)}</p>
        {oil.map(|oil| view! { <p class="quiet">{oil}</p> })}
    }
    .into_any()
}

/// The swap sheet from what is fitted to what was chosen.
pub fn swap(sheets: Sheets) -> AnyView {
    let store = sheets.store;
    live(move || {
        let (Some(solved), Some(to)) = (store.solved.get(), sheets.to.get()) else {
            return view! { <p>"Choose what is to be fitted in its place."</p> }.into_any();
        };
        let made = to
            .on(&solved.build)
            .map_err(|error| error.to_string())
            .and_then(|build| {
                let found = airpath::solve_at(&build, crate::store::speeds(&build));
                found
                    .map(|found| (build, found))
                    .map_err(|error| error.to_string())
            });
        let (build, found) = match made {
            Ok(made) => made,
            Err(why) => return view! { <p role="alert">{why}</p> }.into_any(),
        };
        let units = store.units.get();
        let sheet = SwapSheet::new((&solved.build, &solved.found), (&build, &found));
        let cells = vec![
            (
                "Build",
                vec![
                    solved.build.name().to_owned(),
                    writeup::place_and_day(&solved.build, &solved, units),
                    shown(Kind::GaugePressure, units).text(
                        solved
                            .found
                            .boost_for_power_pa
                            .unwrap_or_else(|| solved.build.get(Field::BoostTarget)),
                    ),
                ],
            ),
            writeup::for_whom(sheets),
        ];
        let about = solved.build.name().to_owned();
        frame::sheet(
            store,
            "Swap sheet",
            about,
            body(store, &solved, &to, &sheet, &found),
            cells,
        )
    })
}
