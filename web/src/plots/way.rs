//! The air's way as a height profile: height is absolute pressure, colour is temperature.
//!
//! Written as SVG, so that its words are text and its colours follow the style sheet.

use super::colours::temperature;
use crate::show::{Units, percent, shown, speed};
use airpath::build::Arrangement;
use airpath::fields::Part;
use airpath::quantity::Kind;
use airpath::run::{Match, SpeedReport, StationReport};
use std::fmt::Write;

/// Where each stretch ends, as shares of the width: a level at a station, then the slope of a part.
const LEVELS: [(f64, f64); 7] = [
    (0.0, 0.145),
    (0.185, 0.285),
    (0.335, 0.435),
    (0.475, 0.585),
    (0.625, 0.735),
    (0.785, 0.9),
    (0.935, 1.0),
];

/// Width, CSS pixels, from which there is room for words beside the numbers.
const WIDE: f64 = 1000.0;

/// The parts whose slopes lie between the levels.
const SLOPES: [Part; 6] = [
    Part::Filter,
    Part::Compressor,
    Part::Cooler,
    Part::Engine,
    Part::Turbine,
    Part::Tailpipe,
];

/// Everything that the profile is drawn from.
pub struct WayScene<'a> {
    /// The match.
    pub found: &'a Match,
    /// Which of its speeds the cursor is at.
    pub cursor: usize,
    /// Units.
    pub units: Units,
    /// One turbocharger or two.
    pub arrangement: Arrangement,
    /// Width and height, CSS pixels.
    pub size: (f64, f64),
}

/// A station's number, report, and words for a wide plot.
pub fn stations(report: &SpeedReport) -> [(&'static str, &'static str, StationReport); 7] {
    // The way ends where it began: outside, at outside pressure, with the exhaust's own heat.
    let open_air = StationReport {
        pressure_pa: report.outside.pressure_pa,
        ..report.turbine_outlet
    };
    [
        ("0", "outside", report.outside),
        ("1", "into the wheel", report.compressor_inlet),
        ("2", "out of the wheel", report.compressor_outlet),
        ("m", "in the manifold", report.manifold),
        ("3", "before the turbine", report.turbine_inlet),
        ("4", "after the turbine", report.turbine_outlet),
        ("", "open air", open_air),
    ]
}

/// The part whose slope or level is at a share of the width.
pub fn part_at(share: f64) -> Part {
    let slope = LEVELS.windows(2).zip(SLOPES).find(|(pair, _)| {
        share < (pair[1].0 + pair[1].1) / 2.0 && share >= (pair[0].0 + pair[0].1) / 2.0
    });
    match slope {
        Some((_, part)) => part,
        None if share < 0.5 => Part::Outside,
        None => Part::Tailpipe,
    }
}

/// The profile as the inside of an `<svg>`.
pub fn draw(scene: &WayScene<'_>) -> String {
    let Some(report) = scene.found.speeds.get(scene.cursor) else {
        return String::new();
    };
    let (width, height) = scene.size;
    let wide = width >= WIDE;
    let stations = stations(report);
    // Room for the gate's arch and the labels above, for the shaft below.
    let (top, base) = (if wide { 52.0 } else { 60.0 }, height - 34.0);
    let most = scene
        .found
        .speeds
        .iter()
        .flat_map(|s| [s.turbine_inlet.pressure_pa, s.compressor_outlet.pressure_pa])
        .fold(report.outside.pressure_pa * 1.2, f64::max);
    let x = |share: f64| share * width;
    let y = |pressure: f64| base - (base - top) * (pressure / most).clamp(0.0, 1.0);

    let mut svg = String::with_capacity(6000);
    svg.push_str(
        "<defs><linearGradient id=\"heat\" gradientUnits=\"userSpaceOnUse\" x1=\"0\" y1=\"0\"",
    );
    let _ = write!(svg, " x2=\"{width:.0}\" y2=\"0\">");
    for ((from, to), (_, _, station)) in LEVELS.iter().zip(&stations) {
        let colour = temperature(station.temperature_k).css();
        let _ = write!(
            svg,
            "<stop offset=\"{from}\" stop-color=\"{colour}\"/><stop offset=\"{to}\" stop-color=\"{colour}\"/>"
        );
    }
    svg.push_str("</linearGradient></defs>");

    // The ground: every level and the slopes between, down to vacuum.
    let mut ridge = String::new();
    for ((from, to), (_, _, station)) in LEVELS.iter().zip(&stations) {
        let level = y(station.pressure_pa);
        let _ = write!(
            ridge,
            "{:.1},{level:.1} {:.1},{level:.1} ",
            x(*from),
            x(*to)
        );
    }
    let _ = write!(
        svg,
        "<polygon points=\"0,{base} {ridge}{width:.1},{base}\" fill=\"url(#heat)\"/>\
         <polyline points=\"{ridge}\" class=\"ridge\"/>\
         <line x1=\"0\" y1=\"{base}\" x2=\"{width:.1}\" y2=\"{base}\" class=\"base\"/>"
    );
    let outside = y(report.outside.pressure_pa);
    let _ = write!(
        svg,
        "<line x1=\"{:.1}\" y1=\"{outside:.1}\" x2=\"{:.1}\" y2=\"{outside:.1}\" class=\"outside under\"/>\
         <line x1=\"{:.1}\" y1=\"{outside:.1}\" x2=\"{:.1}\" y2=\"{outside:.1}\" class=\"outside\"/>",
        x(LEVELS[1].1),
        x(LEVELS[5].0),
        x(LEVELS[1].1),
        x(LEVELS[5].0),
    );
    gate(&mut svg, report, &x, &y, wide);
    levels(&mut svg, scene, report, &x, &y, base);
    between(&mut svg, scene, report, &x, &y, base, wide);
    shaft(&mut svg, scene, report, &x, base, wide);
    svg
}

fn text(svg: &mut String, at: (f64, f64), anchor: &str, class: &str, words: &str) {
    let _ = write!(
        svg,
        "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\" class=\"{class}\">{words}</text>",
        at.0, at.1
    );
}

/// The gate: a pipe from before the turbine past it, as wide as its share of the exhaust.
fn gate(
    svg: &mut String,
    report: &SpeedReport,
    x: &dyn Fn(f64) -> f64,
    y: &dyn Fn(f64) -> f64,
    wide: bool,
) {
    let (from, to) = (x(LEVELS[4].1 - 0.012), x(LEVELS[5].0 + 0.018));
    let (start, end) = (
        y(report.turbine_inlet.pressure_pa),
        y(report.turbine_outlet.pressure_pa),
    );
    let radius = (to - from) / 2.0;
    let arch = start.min(end) - if wide { 10.0 } else { 8.0 };
    let path = format!(
        "M{from:.1},{:.1} V{arch:.1} A{radius:.1},{:.1} 0 0 1 {to:.1},{arch:.1} V{:.1}",
        start + 3.0,
        radius.min(26.0),
        end + 1.0
    );
    let colour = temperature(report.turbine_inlet.temperature_k).css();
    let share = report.gate_share.clamp(0.0, 1.0);
    if share < 0.002 {
        let _ = write!(svg, "<path d=\"{path}\" class=\"shut\"/>");
    } else {
        let bore = 3.0 + 14.0 * share.sqrt();
        let _ = write!(
            svg,
            "<path d=\"{path}\" class=\"pipe\" style=\"stroke-width:{:.1}px\"/>\
             <path d=\"{path}\" class=\"gas\" style=\"stroke-width:{bore:.1}px;stroke:{colour}\"/>",
            bore + 5.0
        );
    }
    let words = if share < 0.002 {
        "<tspan class=\"v\">gate shut</tspan>".to_owned()
    } else if wide {
        format!(
            "<tspan class=\"v\">{}</tspan> past the gate",
            percent(share)
        )
    } else {
        format!("<tspan class=\"v\">{}</tspan> gate", percent(share))
    };
    if wide {
        text(
            svg,
            (to + 16.0, (arch + 4.0).max(14.0)),
            "start",
            "w",
            &words,
        );
    } else {
        text(svg, (x(1.0) - 2.0, 14.0), "end", "w", &words);
    }
}

/// Pressure above each level, temperature and flow within, the station's number on the base line.
fn levels(
    svg: &mut String,
    scene: &WayScene<'_>,
    report: &SpeedReport,
    x: &dyn Fn(f64) -> f64,
    y: &dyn Fn(f64) -> f64,
    base: f64,
) {
    let wide = scene.size.0 >= WIDE;
    let pressure = shown(Kind::AbsolutePressure, scene.units);
    let heat = shown(Kind::Temperature, scene.units);
    let flow = shown(Kind::MassFlow, scene.units);
    let stations = stations(report);
    let last = stations.len() - 1;
    for (number, ((from, to), (id, place, station))) in LEVELS.iter().zip(&stations).enumerate() {
        let middle = x((from + to) / 2.0);
        let (at, anchor) = match number {
            0 => (2.0, "start"),
            n if n == last => (scene.size.0 - 2.0, "end"),
            // The gate's pipe stands close: its neighbours step aside.
            4 if wide => (x(0.663), "middle"),
            4 => (x(from + 0.033), "middle"),
            5 if wide => (x(0.868), "middle"),
            5 => (x(0.876), "middle"),
            _ => (middle, "middle"),
        };
        let ground = temperature(station.temperature_k).text_on().css();
        let above = y(station.pressure_pa) - 8.0;
        let value = pressure.number(station.pressure_pa);
        let words = if !wide || number == last {
            let unit = if number == 0 && !wide {
                format!(" {}", pressure.unit.symbol)
            } else {
                String::new()
            };
            format!("<tspan class=\"v\">{value}</tspan>{unit}")
        } else {
            let unit = if number == 0 {
                format!("{} ", pressure.unit.symbol)
            } else {
                String::new()
            };
            format!("<tspan class=\"v\">{value}</tspan> {unit}{place}")
        };
        // The last level is open air: its pressure is the first one's, said once on a phone.
        if wide || number != last {
            text(svg, (at, above), anchor, "w", &words);
        }
        let degrees = heat.number(station.temperature_k);
        if number < last {
            let words = if wide {
                let passes = if number == 0 {
                    String::new()
                } else {
                    format!(" {} {}", flow.number(station.flow_kg_s), flow.unit.symbol)
                };
                format!(
                    "<tspan class=\"v\">{degrees}</tspan> {}{passes}",
                    heat.unit.symbol
                )
            } else if number == 0 {
                format!("{degrees}°")
            } else {
                format!("<tspan class=\"v\">{degrees}</tspan>°")
            };
            let _ = write!(
                svg,
                "<text x=\"{at:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\" class=\"w on\" style=\"fill:{ground};stroke:{}\">{words}</text>",
                base - 14.0,
                temperature(station.temperature_k).css()
            );
        }
        if !id.is_empty() && wide {
            let spot = if number == 0 { 14.0 } else { middle };
            let _ = write!(
                svg,
                "<circle cx=\"{spot:.1}\" cy=\"{base}\" r=\"9\" class=\"stop\"/>"
            );
            text(svg, (spot, base + 4.0), "middle", "s", id);
        }
    }
}

/// What is said between the levels: pressure ratio and efficiency, boost, back pressure; on a
/// phone the flows in the corners.
fn between(
    svg: &mut String,
    scene: &WayScene<'_>,
    report: &SpeedReport,
    x: &dyn Fn(f64) -> f64,
    y: &dyn Fn(f64) -> f64,
    base: f64,
    wide: bool,
) {
    let flow = shown(Kind::MassFlow, scene.units);
    let boost = shown(Kind::GaugePressure, scene.units);
    let within = |svg: &mut String,
                  level: usize,
                  down: f64,
                  station: &StationReport,
                  words: &str| {
        let colour = temperature(station.temperature_k).text_on().css();
        let at = y(station.pressure_pa) + down;
        if at < base - 32.0 {
            let (from, to) = LEVELS[level];
            let _ = write!(
                svg,
                "<text x=\"{:.1}\" y=\"{at:.1}\" text-anchor=\"middle\" class=\"w\" style=\"fill:{colour}\">{words}</text>",
                x((from + to) / 2.0)
            );
        }
    };
    if wide {
        let ratio = format!(
            "<tspan class=\"v\">{:.2}</tspan> pressure ratio",
            report.pressure_ratio
        );
        within(svg, 2, 26.0, &report.compressor_outlet, &ratio);
        if let Some(efficiency) = report.compressor_efficiency {
            let words = format!("{} efficient", percent(efficiency));
            within(svg, 2, 44.0, &report.compressor_outlet, &words);
        }
        let back = format!(
            "<tspan class=\"v\">{:.2}</tspan> × manifold",
            report.back_pressure_ratio
        );
        within(svg, 4, 26.0, &report.turbine_inlet, &back);
        let words = format!(
            "<tspan class=\"v\">{}</tspan> boost",
            boost.number(report.boost_pa)
        );
        within(svg, 3, 26.0, &report.manifold, &words);
    } else {
        within(svg, 3, 20.0, &report.manifold, "boost");
        let value = format!(
            "<tspan class=\"v\">{}</tspan>",
            boost.number(report.boost_pa)
        );
        within(svg, 3, 36.0, &report.manifold, &value);
        let air = format!(
            "<tspan class=\"v\">{}</tspan> {} air",
            flow.number(report.compressor_inlet.flow_kg_s),
            flow.unit.symbol
        );
        text(svg, (2.0, 14.0), "start", "w", &air);
        let exhaust = format!(
            "<tspan class=\"v\">{}</tspan> exhaust",
            flow.number(report.turbine_inlet.flow_kg_s)
        );
        text(svg, (2.0, 32.0), "start", "w", &exhaust);
        text(svg, (x(1.0) - 2.0, base + 18.0), "end", "w", "0 is vacuum");
    }
}

/// The shaft below: from the turbine to the compressor, with its power and speed.
fn shaft(
    svg: &mut String,
    scene: &WayScene<'_>,
    report: &SpeedReport,
    x: &dyn Fn(f64) -> f64,
    base: f64,
    wide: bool,
) {
    let power = shown(Kind::Power, scene.units);
    let (from, to) = (x(0.31), x(0.76));
    let (high, low) = (base + 6.0, base + 22.0);
    let each = if scene.arrangement == Arrangement::Pair {
        ", each of two"
    } else {
        ""
    };
    let lead = if wide {
        "the turbine turns the compressor: "
    } else {
        "shaft "
    };
    let digits = usize::from(wide);
    let words = format!(
        "{lead}<tspan class=\"v\">{:.digits$}</tspan> {} at <tspan class=\"v\">{}</tspan>{}{each}",
        power.unit.from_si(report.compressor_power_w),
        power.unit.symbol,
        speed(report.shaft_speed_rev_min, 100.0),
        if wide { " rev/min" } else { "" }
    );
    let middle = (from + to) / 2.0;
    let _ = write!(
        svg,
        "<path d=\"M{to:.1},{high} V{low} H{from:.1} V{high} m-5,6 l5,-6 l5,6\" class=\"shaft\"/>"
    );
    // The words stand on the line, rimmed with paper.
    text(svg, (middle, low + 4.0), "middle", "w rim", &words);
}

/// What the profile says, for a reader who does not see it.
pub fn spoken(found: &Match, cursor: usize, units: Units) -> String {
    let Some(report) = found.speeds.get(cursor) else {
        return String::new();
    };
    let pressure = shown(Kind::AbsolutePressure, units);
    let heat = shown(Kind::Temperature, units);
    let mut words = format!(
        "The air's way at {} rev/min:",
        speed(report.engine_speed_rev_min, 10.0)
    );
    for (_, place, station) in stations(report).iter().take(6) {
        let _ = write!(
            words,
            " {place} {}, {};",
            pressure.text(station.pressure_pa),
            heat.text(station.temperature_k)
        );
    }
    let _ = write!(words, " {} past the gate.", percent(report.gate_share));
    words
}
