//! Strips over one engine-speed axis: power, torque, pressures, shaft speed, gate.

use super::colours::{Colour, Palette};
use super::geometry::{Axis, Point, Rect, hatching, round_up};
use super::labels::Labels;
use super::pen::{Align, Pen};
use super::view::{View, seen};
use crate::show::{Shown, Units, shown, speed};
use crate::store::{Likely, Span};
use airpath::numeric::put_in_order;
use airpath::quantity::Kind;
use airpath::run::{LimitKind, Match, SpeedReport};
use std::sync::Arc;

/// Height of the head, where the cursor's flag stands, and of the foot, with the speeds.
const HEAD: f64 = 28.0;
const FOOT: f64 = 26.0;

/// Everything that the traces are drawn from.
pub struct TraceScene<'a> {
    /// The match.
    pub found: &'a Match,
    /// Which of its speeds the cursor is at.
    pub cursor: usize,
    /// Units.
    pub units: Units,
    /// Colours.
    pub palette: &'a Palette,
    /// Largest shaft speed, rev/min, if it is known.
    pub largest_shaft_speed: Option<f64>,
    /// What is likely, if it was asked for.
    pub likely: Option<Arc<Likely>>,
}

/// One curve of a strip.
struct Trace {
    name: &'static str,
    value: fn(&SpeedReport) -> f64,
    held: bool,
}

/// One strip.
struct Strip {
    title: &'static str,
    unit: String,
    shown: Shown,
    from_zero: bool,
    traces: Vec<Trace>,
    limit: Option<f64>,
    mark_most: bool,
    /// What is likely of its first trace.
    likely: Span,
}

fn strips(scene: &TraceScene<'_>) -> Vec<Strip> {
    let trace = |value| {
        vec![Trace {
            name: "",
            value,
            held: false,
        }]
    };
    let power = shown(Kind::Power, scene.units);
    let torque = shown(Kind::Torque, scene.units);
    let pressure = shown(Kind::AbsolutePressure, scene.units);
    let shaft = Shown {
        unit: shaft_unit(),
        decimals: 1,
    };
    let share = shown(Kind::Fraction, scene.units);
    let likely = |of: fn(&Likely) -> &Span| -> Span {
        scene
            .likely
            .as_deref()
            .map_or_else(Vec::new, |l| of(l).clone())
    };
    vec![
        Strip {
            title: "Power",
            unit: format!("{} at the crank", power.unit.symbol),
            shown: power,
            from_zero: true,
            traces: trace(|s| s.power_w),
            limit: None,
            mark_most: true,
            likely: likely(|l| &l.power),
        },
        Strip {
            title: "Torque",
            unit: torque.unit.symbol.to_owned(),
            shown: torque,
            from_zero: true,
            traces: trace(|s| s.torque_nm),
            limit: None,
            mark_most: true,
            likely: Vec::new(),
        },
        Strip {
            title: "Pressure",
            unit: format!("{} absolute", pressure.unit.symbol),
            shown: pressure,
            from_zero: false,
            traces: vec![
                Trace {
                    name: "manifold",
                    value: |s| s.manifold.pressure_pa,
                    held: true,
                },
                Trace {
                    name: "before the turbine",
                    value: |s| s.turbine_inlet.pressure_pa,
                    held: false,
                },
            ],
            limit: None,
            mark_most: false,
            likely: likely(|l| &l.manifold),
        },
        Strip {
            title: "Shaft",
            unit: "thousand rev/min".to_owned(),
            shown: shaft,
            from_zero: true,
            traces: trace(|s| rad_s(s.shaft_speed_rev_min)),
            limit: scene.largest_shaft_speed.map(rad_s),
            mark_most: false,
            likely: Vec::new(),
        },
        Strip {
            title: "Past the gate",
            unit: "% of the exhaust".to_owned(),
            shown: share,
            from_zero: true,
            traces: trace(|s| s.gate_share),
            limit: None,
            mark_most: false,
            likely: Vec::new(),
        },
    ]
}

/// Thousands of rev/min, as the table of units knows them.
fn shaft_unit() -> &'static airpath::quantity::Unit {
    Kind::ShaftSpeed
        .unit("k rev/min")
        .unwrap_or_else(|| Kind::ShaftSpeed.metric())
}

fn rad_s(rev_min: f64) -> f64 {
    Kind::ShaftSpeed.metric().to_si(rev_min)
}

/// The first and the last engine speed, rev/min.
pub fn ends(found: &Match) -> (f64, f64) {
    let first = found.speeds.first().map_or(0.0, |s| s.engine_speed_rev_min);
    let last = found.speeds.last().map_or(1.0, |s| s.engine_speed_rev_min);
    (first, last.max(first + 1.0))
}

/// The box that the curves stand in, for a size in CSS pixels.
pub fn inside((width, height): (f64, f64)) -> Rect {
    Rect {
        x: 4.0,
        y: HEAD,
        width: (width - 16.0).max(1.0),
        height: (height - HEAD - FOOT).max(1.0),
    }
}

/// The axis of engine speed, rev/min, for a plot of this width.
pub fn speed_axis(found: &Match, width: f64, view: &View) -> Axis {
    let place = inside((width, 0.0));
    seen(ends(found), view.across, (place.x, place.x + place.width))
}

/// The report whose engine speed is nearest to a place across the plot.
pub fn nearest(found: &Match, width: f64, x: f64, view: &View) -> Option<usize> {
    let rev_min = speed_axis(found, width, view).value(x);
    crate::cursor::nearest(found, rev_min)
}

/// Draws all strips over the engine speeds in view. Their heights stay as they are.
pub fn draw_as_seen(pen: &mut Pen, scene: &TraceScene<'_>, view: &View) {
    let (width, height) = pen.size;
    let axis = speed_axis(scene.found, width, view);
    let strips = strips(scene);
    let each = (height - HEAD - FOOT) / strips.len() as f64;
    let Palette {
        ink,
        ink2,
        paper,
        rule,
        ..
    } = *scene.palette;
    let here = scene.found.speeds.get(scene.cursor);

    for (number, strip) in strips.iter().enumerate() {
        let top = HEAD + number as f64 * each;
        draw_strip(pen, scene, strip, &axis, (top, top + each));
        let colour = if number + 1 == strips.len() {
            ink
        } else {
            rule
        };
        pen.line((0.0, top + each), (width, top + each), colour, 1.0);
    }
    let marks = axis.marks(if width < 400.0 { 5 } else { 8 });
    for mark in marks {
        let x = axis.at(mark);
        pen.line((x, height - FOOT), (x, height - FOOT + 4.0), ink, 1.0);
        let half = pen.width(&speed(mark, 1.0), false) / 2.0;
        let x = x.clamp(half, width - half);
        pen.text(
            &speed(mark, 1.0),
            (x, height - FOOT + 14.0),
            Align::Middle,
            ink2,
            false,
        );
    }
    if let Some(report) = here.filter(|r| in_view(&axis, r)) {
        let text = format!("{} rev/min", speed(report.engine_speed_rev_min, 10.0));
        // The button that brings everything back stands in the corner.
        let most = width - pen.width(&text, true) / 2.0 - 112.0;
        let x = axis.at(report.engine_speed_rev_min);
        let x = if view.is_whole() { x } else { x.min(most) };
        pen.flag(&text, (x, 11.0), ink, paper);
    }
}

fn in_view(axis: &Axis, report: &SpeedReport) -> bool {
    let (low, high) = axis.range();
    (low - 0.5..=high + 0.5).contains(&report.engine_speed_rev_min)
}

fn draw_strip(
    pen: &mut Pen,
    scene: &TraceScene<'_>,
    strip: &Strip,
    axis: &Axis,
    (top, bottom): (f64, f64),
) {
    let Palette {
        ink,
        ink2,
        paper,
        hold,
        steps,
        ..
    } = *scene.palette;
    let speeds = &scene.found.speeds;
    let likely = &strip.likely;
    let all = || {
        speeds
            .iter()
            .flat_map(|s| strip.traces.iter().map(|t| (t.value)(s)))
    };
    let most = all()
        .fold(f64::NEG_INFINITY, f64::max)
        .max(likely.iter().map(|b| b.2).fold(f64::NEG_INFINITY, f64::max))
        .max(strip.limit.unwrap_or(f64::NEG_INFINITY));
    let least = if strip.from_zero {
        all().fold(0.0, f64::min)
    } else {
        all().fold(f64::INFINITY, f64::min)
    };
    if !(most.is_finite() && least.is_finite()) {
        return;
    }
    let most = if most - least < 1e-9 {
        least + 1.0
    } else {
        most
    };
    let ceiling = least
        + if strip.limit.is_some() {
            (most - least) * 1.04
        } else {
            round_up(most - least)
        };
    let height = Axis::new((least, ceiling), (bottom - 5.0, top + 22.0));

    let curve = |trace: &Trace| -> Vec<Point> {
        speeds
            .iter()
            .map(|s| (axis.at(s.engine_speed_rev_min), height.at((trace.value)(s))))
            .collect()
    };
    let mut labels = Labels::new(Rect {
        x: 0.0,
        y: top,
        width: pen.size.0,
        height: bottom - top + 8.0,
    });
    let curves: Vec<Vec<Point>> = strip.traces.iter().map(curve).collect();
    let (from, to) = (axis.at(axis.range().0), axis.at(axis.range().1));
    pen.clip(Rect {
        x: from - 2.0,
        y: top - 8.0,
        width: to - from + 4.0,
        height: bottom - top + 16.0,
    });
    let area: Vec<Point> = {
        let place = |speed, value| (axis.at(speed), height.at(value));
        let high = likely.iter().map(|b| place(b.0, b.2));
        high.chain(likely.iter().rev().map(|b| place(b.0, b.1)))
            .collect()
    };
    if area.len() > 3 {
        pen.fill(&area, steps[2]);
    }
    if let [manifold, before] = curves.as_slice() {
        costs_power(pen, manifold, before, steps[2]);
    }
    if let Some(limit) = strip.limit {
        let y = height.at(limit);
        let wall = [(from, y), (to, y)];
        pen.line(wall[0], wall[1], ink, 1.4);
        labels.block(Rect {
            x: 0.0,
            y: y - 6.0,
            width: pen.size.0,
            height: 8.0,
        });
        pen.paths(&hatching(&wall, 8.0, 5.0), ink, 0.9);
    }
    for (trace, points) in strip.traces.iter().zip(&curves) {
        pen.path(points, if trace.held { hold } else { ink }, 2.4);
        labels.block_line(points, 4.0);
    }
    pen.unclip();

    let title_width = pen.width(strip.title, true);
    let mut unit = strip.unit.clone();
    if let Some(limit) = strip.limit {
        unit = format!("{unit}, largest {}", strip.shown.number(limit));
    }
    let words = Rect {
        x: 0.0,
        y: top + 3.0,
        width: title_width + 8.0 + pen.width(&unit, false),
        height: 18.0,
    };
    labels.block(words);

    readouts(pen, scene, strip, axis, &height, (top, bottom), &mut labels);
    if strip.mark_most {
        mark_most(
            pen,
            scene,
            strip,
            &strip.traces[0],
            axis,
            &height,
            &mut labels,
        );
    }
    for (trace, points) in strip
        .traces
        .iter()
        .zip(&curves)
        .filter(|(t, _)| !t.name.is_empty())
    {
        let width = pen.width(trace.name, false) + 6.0;
        let up = if trace.held { -1.0 } else { 1.0 };
        let mut places = Vec::new();
        for share in [0.3, 0.4, 0.2, 0.5, 0.6, 0.7, 0.12, 0.8, 0.88] {
            let across = from + share * (to - from);
            let Some(p) = points.iter().find(|p| p.0 >= across) else {
                continue;
            };
            for side in [up, -up] {
                places.push(Rect::around((p.0, p.1 + side * 12.0), width, 15.0));
            }
        }
        if let Some(place) = labels.place(&places) {
            pen.rimmed(
                trace.name,
                place.centre(),
                Align::Middle,
                (ink, paper),
                false,
            );
        }
    }
    pen.rimmed(
        strip.title,
        (0.0, top + 12.0),
        Align::Start,
        (ink, paper),
        true,
    );
    pen.rimmed(
        &unit,
        (title_width + 5.0, top + 12.0),
        Align::Start,
        (ink2, paper),
        false,
    );
}

/// Shades where the pressure before the turbine is above that of the manifold: there the engine
/// works to push its exhaust out.
fn costs_power(pen: &mut Pen, manifold: &[Point], before: &[Point], shade: Colour) {
    // Whole stretches at a time: areas side by side would show their seams.
    let mut upper: Vec<Point> = Vec::new();
    let mut lower: Vec<Point> = Vec::new();
    let mut close = |upper: &mut Vec<Point>, lower: &mut Vec<Point>| {
        if upper.len() > 1 {
            let area: Vec<Point> = upper.iter().chain(lower.iter().rev()).copied().collect();
            pen.fill(&area, shade);
        }
        upper.clear();
        lower.clear();
    };
    for (m, b) in manifold.iter().zip(before) {
        // y points down: before the turbine is higher where its y is less.
        if b.1 < m.1 {
            upper.push(*b);
            lower.push(*m);
        } else {
            close(&mut upper, &mut lower);
        }
    }
    close(&mut upper, &mut lower);
}

/// The hairline and the values at the cursor.
fn readouts(
    pen: &mut Pen,
    scene: &TraceScene<'_>,
    strip: &Strip,
    axis: &Axis,
    height: &Axis,
    (top, bottom): (f64, f64),
    labels: &mut Labels,
) {
    let report = scene.found.speeds.get(scene.cursor);
    let Some(report) = report.filter(|r| in_view(axis, r)) else {
        return;
    };
    let Palette { ink, paper, .. } = *scene.palette;
    let x = axis.at(report.engine_speed_rev_min);
    pen.line((x, top), (x, bottom), ink, 1.2);
    labels.block_line(&[(x, top), (x, bottom)], 1.0);
    let mut spots: Vec<(f64, String)> = strip
        .traces
        .iter()
        .map(|t| {
            let value = (t.value)(report);
            (height.at(value), strip.shown.number(value))
        })
        .collect();
    // The upper value stands above its dot, the lower one below.
    put_in_order(&mut spots, |s| s.0);
    let count = spots.len();
    for (number, (y, text)) in spots.into_iter().enumerate() {
        pen.disc((x, y), 4.6, ink);
        pen.disc((x, y), 2.8, paper);
        labels.block(Rect::around((x, y), 10.0, 10.0));
        let width = pen.width(&text, true) + 4.0;
        let (up, down) = (y - 12.5, y + 13.5);
        let order = if number + 1 == count && count > 1 {
            [down, up]
        } else {
            [up, down]
        };
        let mut places = Vec::new();
        for y in order {
            let y = y.clamp(top + 8.0, bottom - 2.0);
            places.push(Rect::around((x - width / 2.0 - 7.0, y), width, 15.0));
            places.push(Rect::around((x + width / 2.0 + 7.0, y), width, 15.0));
        }
        let fits = |p: &Rect| p.x >= 0.0 && p.x + p.width <= pen.size.0;
        let places: Vec<Rect> = places.into_iter().filter(fits).collect();
        if let Some(place) = labels.place(&places).or(places.first().copied()) {
            labels.block(place);
            pen.rimmed(&text, place.centre(), Align::Middle, (ink, paper), true);
        }
    }
}

/// A dot where a curve is highest, with its value.
fn mark_most(
    pen: &mut Pen,
    scene: &TraceScene<'_>,
    strip: &Strip,
    trace: &Trace,
    axis: &Axis,
    height: &Axis,
    labels: &mut Labels,
) {
    let most = scene
        .found
        .speeds
        .iter()
        .max_by(|a, b| (trace.value)(a).total_cmp(&(trace.value)(b)));
    let Some(most) = most.filter(|most| in_view(axis, most)) else {
        return;
    };
    let Palette {
        ink, ink2, paper, ..
    } = *scene.palette;
    let value = (trace.value)(most);
    let (x, y) = (axis.at(most.engine_speed_rev_min), height.at(value));
    pen.disc((x, y), 3.2, ink);
    let text = format!(
        "{} at {}",
        strip.shown.number(value),
        speed(most.engine_speed_rev_min, 10.0)
    );
    let width = pen.width(&text, false) + 4.0;
    let x = x.clamp(width / 2.0, pen.size.0 - width / 2.0);
    let places = [
        Rect::around((x, y + 14.0), width, 15.0),
        Rect::around((x, y - 13.0), width, 15.0),
        Rect::around((x, y + 18.0), width, 15.0),
        Rect::around((x - 60.0, y + 16.0), width, 15.0),
        Rect::around((x - 60.0, y - 15.0), width, 15.0),
    ];
    if let Some(place) = labels.place(&places) {
        pen.rimmed(&text, place.centre(), Align::Middle, (ink2, paper), false);
    }
}

/// The largest shaft speed, rev/min, from the limits of a match.
pub fn largest_shaft_speed(found: &Match) -> Option<f64> {
    let limit = found
        .limits
        .iter()
        .find(|l| l.kind == LimitKind::ShaftSpeed)?;
    Some(limit.limit)
}

/// What the traces say at the cursor, for a reader who does not see them.
pub fn spoken(found: &Match, cursor: usize, units: Units) -> String {
    let Some(report) = found.speeds.get(cursor) else {
        return String::new();
    };
    format!(
        "Traces over engine speed. At {} rev/min: power {}, torque {}, manifold {}, before the turbine {}.",
        speed(report.engine_speed_rev_min, 10.0),
        shown(Kind::Power, units).text(report.power_w),
        shown(Kind::Torque, units).text(report.torque_nm),
        shown(Kind::AbsolutePressure, units).text(report.manifold.pressure_pa),
        shown(Kind::AbsolutePressure, units).text(report.turbine_inlet.pressure_pa),
    )
}
