//! The pictures of the lessons that the match does not have.

use super::lessons::{Picture, Seen, strongest};
use crate::plots::chart;
use crate::plots::colours::{Palette, temperature};
use crate::plots::geometry::{Axis, Point, Rect};
use crate::plots::map::decimals;
use crate::plots::pen::{Align, Pen};
use crate::show::{Units, shown, speed};
use airpath::air_way::intake;
use airpath::quantity::Kind;
use airpath::response::Sample;
use airpath::run::{SpeedReport, StationReport};

/// What a picture is drawn from.
pub struct Scene<'a> {
    /// Which picture.
    pub picture: Picture,
    /// The lesson as it stands.
    pub seen: &'a Seen,
    /// What it is compared with.
    pub others: &'a [(f64, Seen)],
    /// Where the first control stands.
    pub first: f64,
    /// Units.
    pub units: Units,
    /// Colours.
    pub palette: &'a Palette,
}

/// Draws it; the map is drawn elsewhere.
pub fn draw(pen: &mut Pen, scene: &Scene<'_>) {
    match scene.picture {
        Picture::Columns => columns(pen, scene),
        Picture::Bars => bars(pen, scene),
        Picture::Housings => housings(pen, scene),
        Picture::Mixture => mixture(pen, scene),
        Picture::Lag => lag(pen, scene),
        Picture::Map => {}
    }
}

/// Pressures above vacuum, and beside them how many inlet pressures high they stand.
fn columns(pen: &mut Pen, scene: &Scene<'_>) {
    let (width, height) = pen.size;
    let Some((_, start)) = scene.others.first() else {
        return;
    };
    let (start, now) = (start.report(), scene.seen.report());
    let Palette {
        ink,
        ink2,
        paper,
        hold,
        steps,
        ..
    } = *scene.palette;
    let top = start.manifold.pressure_pa.max(now.manifold.pressure_pa);
    let axis = Axis::new((0.0, top), (height - 24.0, 26.0));
    let floor = axis.at(0.0);
    let pressure = shown(Kind::AbsolutePressure, scene.units);
    let gauge = shown(Kind::GaugePressure, scene.units);
    let half = width / 2.0;
    let broad = (half - 90.0).clamp(48.0, 260.0);
    for (left, report, name) in [(0.0, start, "At the beach"), (half + 6.0, now, "Here")] {
        let (outside, inlet) = (
            report.outside.pressure_pa,
            report.compressor_inlet.pressure_pa,
        );
        let manifold = report.manifold.pressure_pa;
        let middle = left + broad / 2.0;
        let block = |from: f64, to: f64| Rect {
            x: left,
            y: axis.at(to),
            width: broad,
            height: axis.at(from) - axis.at(to),
        };
        pen.block(block(0.0, outside), steps[4]);
        pen.block(block(outside, manifold), hold);
        if outside - inlet > 50.0 {
            // What the filter takes: the wheel breathes from below it.
            pen.block(block(inlet, outside), scene.palette.stop);
        }
        let mut two = |y: f64, value: String, what: &str, colour| {
            pen.text(&value, (middle, y - 8.0), Align::Middle, colour, true);
            pen.text(what, (middle, y + 8.0), Align::Middle, colour, false);
        };
        two(axis.at(inlet / 2.0), pressure.text(outside), "outside", ink);
        two(
            axis.at((outside + manifold) / 2.0),
            gauge.text(report.boost_pa),
            "of boost",
            hold.text_on(),
        );
        pen.text(
            &format!("{} absolute", pressure.text(manifold)),
            (left, axis.at(manifold) - 11.0),
            Align::Start,
            ink,
            false,
        );
        // The ladder: one rung is what the wheel breathes.
        let ladder = left + broad + 6.0;
        let mut from = 0.0;
        let mut count = 0;
        while from < manifold - 1.0 && inlet > 1000.0 {
            let to = (from + inlet).min(manifold);
            let rect = Rect {
                x: ladder,
                y: axis.at(to),
                width: 22.0,
                height: axis.at(from) - axis.at(to),
            };
            pen.block(rect, if count % 2 == 0 { steps[1] } else { steps[3] });
            pen.line(
                (ladder, axis.at(to)),
                (ladder + 22.0, axis.at(to)),
                ink,
                1.2,
            );
            count += 1;
            if rect.height > 16.0 && to - from > 0.9 * inlet {
                pen.text(&count.to_string(), rect.centre(), Align::Middle, ink, false);
            }
            from = to;
        }
        let words = ladder + 28.0;
        let flag = format!("{:.2}", report.pressure_ratio);
        let shift = pen.width(&flag, true) / 2.0 + 6.0;
        let y = axis.at(manifold) + 11.0;
        pen.flag(&flag, (words + shift, y), ink, paper);
        for (line, word) in ["times", "what it", "breathes"].iter().enumerate() {
            pen.text(
                word,
                (words, y + 20.0 + 15.0 * line as f64),
                Align::Start,
                ink2,
                false,
            );
        }
        pen.text(name, (left, height - 10.0), Align::Start, ink, true);
    }
    pen.line((0.0, floor), (width, floor), ink, 2.0);
    pen.text("vacuum", (width, height - 10.0), Align::End, ink2, false);
}

/// Pressure, temperature and density after the compressor and in the manifold, over the inlet's.
fn bars(pen: &mut Pen, scene: &Scene<'_>) {
    let (width, height) = pen.size;
    let report = scene.seen.report();
    let Palette {
        ink,
        ink2,
        hold,
        rise,
        ..
    } = *scene.palette;
    let inlet = report.compressor_inlet;
    // The gas constant is the same at all three, so it drops out of the comparison.
    let density = |s: StationReport| intake::density(s.pressure_pa, 1.0, s.temperature_k);
    let axis = Axis::new((0.0, 2.1), (82.0, width - 8.0));
    let each = (height - 24.0) / 2.0;
    let groups = [
        ("After the compressor", report.compressor_outlet),
        ("In the manifold", report.manifold),
    ];
    let one = axis.at(1.0);
    for (place, (name, station)) in groups.into_iter().enumerate() {
        let top = place as f64 * each;
        pen.text(name, (0.0, top + 12.0), Align::Start, ink, true);
        let rows = [
            (
                "pressure",
                station.pressure_pa / inlet.pressure_pa,
                shown(Kind::AbsolutePressure, scene.units).text(station.pressure_pa),
                hold,
            ),
            (
                "temperature",
                station.temperature_k / inlet.temperature_k,
                shown(Kind::Temperature, scene.units).text(station.temperature_k),
                temperature(station.temperature_k),
            ),
            (
                "density",
                density(station) / density(inlet),
                String::new(),
                rise,
            ),
        ];
        let step = (each - 30.0) / 3.0;
        for (row, (label, times, value, colour)) in rows.into_iter().enumerate() {
            let y = top + 26.0 + step * row as f64;
            let middle = y + (step - 6.0) / 2.0;
            pen.text(label, (0.0, middle), Align::Start, ink2, false);
            pen.block(
                Rect {
                    x: axis.at(0.0),
                    y,
                    width: axis.at(times) - axis.at(0.0),
                    height: step - 6.0,
                },
                colour,
            );
            let words = if value.is_empty() {
                format!("× {times:.2}")
            } else {
                format!("× {times:.2}, {value}")
            };
            let room = pen.width(&words, true) + 8.0;
            // Inside of its bar, before the line that marks 1, where it fits.
            let from = axis.at(0.0);
            if one - from > room {
                pen.text(
                    &words,
                    (from + 6.0, middle),
                    Align::Start,
                    colour.text_on(),
                    true,
                );
            } else {
                pen.text(
                    &words,
                    (axis.at(times) - 4.0, middle),
                    Align::End,
                    colour.text_on(),
                    true,
                );
            }
        }
    }
    pen.dashed(&[(one, 20.0), (one, height - 20.0)], ink, 1.4, 4.0, 3.0);
    pen.text(
        "1: what the compressor breathes",
        (one, height - 9.0),
        Align::Middle,
        ink2,
        false,
    );
}

/// A curve of a strip.
struct Curve {
    points: Vec<Point>,
    bold: bool,
}

/// Curves over one axis, with a mark where they stand now.
fn strip(
    pen: &mut Pen,
    palette: &Palette,
    (title, across): (&str, &Axis),
    (top, bottom): (f64, f64),
    curves: &[Curve],
    here: Point,
    says: &str,
) -> Axis {
    let Palette {
        ink,
        ink2,
        paper,
        rule,
        hold,
        edge,
        ..
    } = *palette;
    let all = || curves.iter().flat_map(|c| c.points.iter().map(|p| p.1));
    let (least, most) = (
        all().fold(f64::INFINITY, f64::min),
        all().fold(f64::NEG_INFINITY, f64::max),
    );
    let least = if least > 0.0 && least < 0.5 * most {
        0.0
    } else {
        least
    };
    let axis = Axis::new((least, most), (bottom - 8.0, top + 26.0));
    for mark in axis.marks(4) {
        let y = axis.at(mark);
        pen.line(
            (across.at(across.range().0), y),
            (across.at(across.range().1), y),
            rule,
            1.0,
        );
        let digits = decimals(&axis.marks(4));
        pen.text(
            &format!("{mark:.digits$}"),
            (across.at(across.range().0) - 6.0, y),
            Align::End,
            ink2,
            false,
        );
    }
    for curve in curves {
        let line: Vec<Point> = curve
            .points
            .iter()
            .map(|p| (across.at(p.0), axis.at(p.1)))
            .collect();
        pen.path(
            &line,
            if curve.bold { hold } else { edge },
            if curve.bold { 3.0 } else { 1.4 },
        );
    }
    let spot = (across.at(here.0), axis.at(here.1));
    pen.line((spot.0, top + 22.0), (spot.0, bottom), ink, 1.2);
    pen.disc(spot, 5.5, ink);
    pen.disc(spot, 3.5, paper);
    pen.rimmed(title, (0.0, top + 10.0), Align::Start, (ink, paper), true);
    let flag = pen.width(says, true) / 2.0 + 6.0;
    pen.flag(
        says,
        (
            spot.0
                .clamp(pen.width(title, true) + flag + 10.0, pen.size.0),
            top + 11.0,
        ),
        ink,
        paper,
    );
    axis
}

/// Marks along the foot.
fn foot(pen: &mut Pen, palette: &Palette, across: &Axis, title: &str) {
    let height = pen.size.1;
    let marks = across.marks(if pen.size.0 < 400.0 { 4 } else { 7 });
    let digits = decimals(&marks);
    pen.line(
        (across.at(across.range().0), height - 36.0),
        (across.at(across.range().1), height - 36.0),
        palette.ink,
        1.2,
    );
    for mark in marks {
        let words = if digits == 0 {
            speed(mark, 1.0)
        } else {
            format!("{mark:.digits$}")
        };
        pen.text(
            &words,
            (across.at(mark), height - 26.0),
            Align::Middle,
            palette.ink2,
            false,
        );
    }
    pen.text(
        title,
        (across.at(across.range().1), height - 9.0),
        Align::End,
        palette.ink2,
        false,
    );
}

/// Boost and shaft speed over time, at the start and now.
fn lag(pen: &mut Pen, scene: &Scene<'_>) {
    /// Longest that is shown, s: what never comes would leave the rest no room.
    const LONGEST: f64 = 3.0;
    let gauge = shown(Kind::GaugePressure, scene.units);
    let curves = |value: &dyn Fn(&Sample) -> f64| -> Vec<chart::Curve> {
        let start = scene.others.first().map(|(_, seen)| seen);
        [
            ("at the start", chart::Stroke::Dashed, start),
            ("now", chart::Stroke::Strong, Some(scene.seen)),
        ]
        .into_iter()
        .filter_map(|(name, stroke, seen)| {
            let trace = &seen?.spool.as_ref()?.trace;
            let shown = trace.iter().filter(|s| s.time_s <= LONGEST);
            let points = shown.map(|s| (s.time_s, value(s))).collect();
            Some(chart::Curve::new(name, stroke, points))
        })
        .collect()
    };
    let boost = curves(&|s| gauge.unit.from_si(s.boost_pa));
    let last = boost
        .iter()
        .flat_map(|c| c.points.last())
        .map(|p| p.0)
        .fold(0.2, f64::max);
    let time = scene.seen.spool.as_ref().and_then(|s| s.reach.time());
    let shaft = curves(&|s| s.shaft_speed_rev_min / 1e3);
    let chart = chart::Chart {
        across: "Seconds after the throttle is opened".to_owned(),
        ends: (0.0, last),
        cursor: time.map(|time| (time, format!("{time:.2} s: 90 %"))),
        strips: vec![
            chart::Strip::new("Boost", gauge.unit.symbol, gauge.decimals, boost),
            chart::Strip::new("Shaft", "thousand rev/min", 1, shaft),
        ],
        nothing: String::new(),
    };
    chart::draw(pen, &chart, scene.palette);
}

fn housings(pen: &mut Pen, scene: &Scene<'_>) {
    let (width, height) = pen.size;
    let palette = scene.palette;
    let speeds = &scene.seen.found.speeds;
    let (Some(first), Some(last)) = (speeds.first(), speeds.last()) else {
        return;
    };
    let across = Axis::new(
        (first.engine_speed_rev_min, last.engine_speed_rev_min),
        (40.0, width - 24.0),
    );
    let report = scene.seen.report();
    let middle = (height - 36.0) / 2.0;
    let gauge = shown(Kind::GaugePressure, scene.units);
    let boost = |s: &SpeedReport| gauge.unit.from_si(s.boost_drivable_pa);
    let back = |s: &SpeedReport| s.back_pressure_drivable_ratio;
    let curves = |value: &dyn Fn(&SpeedReport) -> f64| -> Vec<Curve> {
        let mut curves: Vec<Curve> = scene
            .others
            .iter()
            .map(|(housing, seen)| Curve {
                points: seen
                    .found
                    .speeds
                    .iter()
                    .map(|s| (s.engine_speed_rev_min, value(s)))
                    .collect(),
                bold: (housing - scene.first).abs() < 0.5,
            })
            .collect();
        curves.sort_by_key(|c| c.bold);
        curves
    };
    let at = report.engine_speed_rev_min;
    let title = format!("Boost the turbine can hold, {}", gauge.unit.symbol);
    strip(
        pen,
        palette,
        (&title, &across),
        (0.0, middle),
        &curves(&boost),
        (at, boost(report)),
        &gauge.number(report.boost_drivable_pa),
    );
    let says = format!("{:.2}", back(report));
    strip(
        pen,
        palette,
        ("Before the turbine, × manifold", &across),
        (middle, height - 36.0),
        &curves(&back),
        (at, back(report)),
        &says,
    );
    foot(pen, palette, &across, "rev/min; thin: the other housings");
}

fn mixture(pen: &mut Pen, scene: &Scene<'_>) {
    let (width, height) = pen.size;
    let palette = scene.palette;
    let (Some(first), Some(last)) = (scene.others.first(), scene.others.last()) else {
        return;
    };
    let across = Axis::new((first.0, last.0), (46.0, width - 24.0));
    let middle = (height - 36.0) / 2.0;
    let (power, heat) = (
        shown(Kind::Power, scene.units),
        shown(Kind::Temperature, scene.units),
    );
    let curve = |value: &dyn Fn(&SpeedReport) -> f64| {
        vec![Curve {
            points: scene
                .others
                .iter()
                .map(|(lambda, seen)| (*lambda, value(seen.report())))
                .collect(),
            bold: true,
        }]
    };
    let report = scene.seen.report();
    let make = |s: &SpeedReport| power.unit.from_si(s.power_w);
    let warm = |s: &SpeedReport| heat.unit.from_si(s.turbine_inlet.temperature_k);
    let title = format!("Power, {}", power.unit.symbol);
    let axis = strip(
        pen,
        palette,
        (&title, &across),
        (0.0, middle),
        &curve(&make),
        (scene.first, make(report)),
        &power.number(report.power_w),
    );
    if let Some((lambda, best)) = strongest(scene.others) {
        let spot = (across.at(*lambda), axis.at(make(best.report())));
        pen.ring(spot, 7.0, palette.rise, 2.4);
        pen.rimmed(
            "most",
            (spot.0, spot.1 + 17.0),
            Align::Middle,
            (palette.ink, palette.paper),
            false,
        );
    }
    let title = format!("Exhaust before the turbine, {}", heat.unit.symbol);
    strip(
        pen,
        palette,
        (&title, &across),
        (middle, height - 36.0),
        &curve(&warm),
        (scene.first, warm(report)),
        &heat.number(report.turbine_inlet.temperature_k),
    );
    foot(pen, palette, &across, "mixture λ: rich on the left");
}
