//! The compressor map with the engine's route across it.

use super::colours::{Colour, Palette};
use super::geometry::{Axis, Point, Rect, hatching, round_up};
use super::labels::{Labels, Rank, Wanted, settle};
use super::map_shape::{MapShape, MapSpot};
use super::pen::{Align, Pen};
use super::view::{View, seen};
use crate::sentence;
use crate::show::{Units, group, percent, shown, speed};
use airpath::air_way::compressor::CompressorMap;
use airpath::numeric::put_in_order;
use airpath::quantity::Kind;
use airpath::run::{Held, LimitKind, LimitReport, Match, SpeedReport};

/// Width of the route, CSS pixels.
const ROUTE: f64 = 4.0;

/// Everything that the map is drawn from.
pub struct MapScene<'a> {
    /// The compressor.
    pub shape: &'a MapShape,
    /// The match.
    pub found: &'a Match,
    /// Which of its speeds the cursor is at.
    pub cursor: usize,
    /// Units of the axes.
    pub units: Units,
    /// Colours.
    pub palette: &'a Palette,
}

/// How a reader looks at the map.
#[derive(Clone, Copy, Default)]
pub struct Looking {
    /// What is in view.
    pub view: View,
    /// The spot that is read, with two hairlines through it.
    pub spot: Option<MapSpot>,
}

/// A label and how it is written.
enum Said {
    /// One line: text, its colour and rim, whether it is bold.
    Line(String, (Colour, Colour), bool),
    /// A limit: lines, all but the last bold, and a leader to its spot.
    Limit(Vec<String>, Point),
}

type Asked = Vec<Wanted<Said>>;

/// Where flow and pressure ratio stand on the plot.
pub struct MapFrame {
    flow: Axis,
    ratio: Axis,
}

/// The box between the axes for a size in CSS pixels.
pub fn inside((width, height): (f64, f64)) -> Rect {
    Rect {
        x: 44.0,
        y: 34.0,
        width: (width - 14.0 - 44.0).max(1.0),
        height: (height - 30.0 - 34.0).max(1.0),
    }
}

impl MapFrame {
    /// Lays the axes out for what is in view.
    pub fn of_view(shape: &MapShape, found: &Match, size: (f64, f64), view: &View) -> Self {
        let (mut flow, mut ratio) = shape.reach();
        for report in &found.speeds {
            flow = flow.max(report.corrected_flow_kg_s);
            ratio = ratio.max(report.pressure_ratio);
        }
        let place = inside(size);
        let flows = (0.0, round_up(flow * 1.04));
        let ratios = (1.0, 1.0 + round_up((ratio - 1.0) * 1.05));
        Self {
            flow: seen(flows, view.across, (place.x, place.x + place.width)),
            ratio: seen(ratios, view.up, (place.y + place.height, place.y)),
        }
    }

    /// The spot under a point of the plot, held between the axes.
    pub fn spot(&self, point: Point) -> MapSpot {
        (self.flow.value(point.0), self.ratio.value(point.1))
    }

    /// A spot moved by shares of what is in view, held there.
    pub fn moved(&self, spot: MapSpot, across: f64, up: f64) -> MapSpot {
        let by = |axis: &Axis, value: f64, share: f64| {
            let (low, high) = axis.range();
            (value + share * (high - low)).clamp(low, high)
        };
        (by(&self.flow, spot.0, across), by(&self.ratio, spot.1, up))
    }

    /// Left, right, top and bottom of the box between the axes.
    fn sides(&self) -> (f64, f64, f64, f64) {
        let ((x0, x1), (y0, y1)) = (self.flow.range(), self.ratio.range());
        (
            self.flow.at(x0),
            self.flow.at(x1),
            self.ratio.at(y1),
            self.ratio.at(y0),
        )
    }

    /// Where a spot stands.
    pub fn at(&self, spot: MapSpot) -> Point {
        (self.flow.at(spot.0), self.ratio.at(spot.1))
    }

    fn all(&self, spots: &[MapSpot]) -> Vec<Point> {
        spots.iter().map(|s| self.at(*s)).collect()
    }

    /// The report whose place on the route is nearest to a point of the plot.
    pub fn nearest(&self, found: &Match, point: Point) -> Option<usize> {
        let distance = |report: &SpeedReport| {
            let (x, y) = self.at((report.corrected_flow_kg_s, report.pressure_ratio));
            (x - point.0).hypot(y - point.1)
        };
        (0..found.speeds.len())
            .min_by(|a, b| distance(&found.speeds[*a]).total_cmp(&distance(&found.speeds[*b])))
    }
}

/// Draws what is in view of the map.
pub fn draw_as_seen(pen: &mut Pen, scene: &MapScene<'_>, looking: &Looking) {
    let frame = MapFrame::of_view(scene.shape, scene.found, pen.size, &looking.view);
    let place = inside(pen.size);
    let whole = looking.view.is_whole();
    let mut labels = Labels::new(if whole {
        Rect {
            x: 0.0,
            y: 0.0,
            width: pen.size.0,
            height: pen.size.1,
        }
    } else {
        place
    });
    if !whole {
        // The button that brings everything back stands in this corner.
        labels.block(Rect {
            x: place.x + place.width - 84.0,
            y: place.y + place.height - 72.0,
            width: 84.0,
            height: 50.0,
        });
        pen.clip(place);
    }
    ground(pen, scene, &frame);
    walls(pen, scene, &frame);
    let route = route(pen, scene, &frame);
    if !whole {
        pen.unclip();
    }
    axes(pen, scene, &frame, &mut labels);
    for wall in [&scene.shape.surge, &scene.shape.choke] {
        labels.block_line(&frame.all(wall), 5.0);
    }
    for (_, run) in &route {
        labels.block_line(run, ROUTE + 3.0);
    }
    cursor(pen, scene, &frame, &mut labels, looking.spot.is_none());
    if let Some(spot) = looking.spot {
        crosshair(pen, scene, &frame, spot);
    }
    let mut asked = Asked::new();
    limit_label(pen, scene, &frame, &mut labels, &mut asked);
    wall_names(pen, scene, &frame, &mut asked);
    contour_labels(pen, scene, &frame, &labels, &mut asked);
    spot_labels(pen, scene, &frame, &mut asked);
    route_names(pen, scene, &route, &mut asked);
    for (place, said) in settle(&mut labels, asked) {
        write(pen, scene.palette, place, &said);
    }
}

/// Writes a label where it has found room.
fn write(pen: &mut Pen, palette: &Palette, place: Rect, said: &Said) {
    let Palette {
        ink,
        ink2,
        paper,
        stop,
        ..
    } = *palette;
    let centre = place.centre();
    match said {
        Said::Line(text, colours, bold) => {
            pen.rimmed(text, centre, Align::Middle, *colours, *bold);
        }
        Said::Limit(lines, spot) => {
            // A leader from the spot to the near edge of the words.
            let to = (
                spot.0.clamp(place.x, place.x + place.width),
                if centre.1 < spot.1 {
                    place.y + place.height
                } else {
                    place.y
                },
            );
            if (to.0 - spot.0).hypot(to.1 - spot.1) > 10.0 {
                pen.path(&[*spot, to], paper, 3.0);
                pen.path(&[*spot, to], ink, 1.0);
                pen.disc(*spot, 5.0, stop);
            }
            for (number, line) in lines.iter().enumerate() {
                let strong = number + 1 < lines.len();
                let colour = if strong { ink } else { ink2 };
                let at = (centre.0, place.y + 9.0 + 16.0 * number as f64);
                pen.rimmed(line, at, Align::Middle, (colour, paper), strong);
            }
        }
    }
}

/// Two hairlines through the spot that is read, with what they read on the axes.
fn crosshair(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, spot: MapSpot) {
    let Palette { ink, paper, .. } = *scene.palette;
    let (x, y) = frame.at(spot);
    let (left, right, top, bottom) = frame.sides();
    if !inside(pen.size).grown(0.5).holds((x, y)) {
        return;
    }
    for (from, to) in [((left, y), (right, y)), ((x, top), (x, bottom))] {
        pen.line(from, to, paper, 3.0);
        pen.line(from, to, ink, 1.0);
    }
    pen.disc((x, y), 4.5, paper);
    pen.disc((x, y), 3.0, ink);
    let ratio = format!("{:.2}", spot.1);
    let flow = shown(Kind::MassFlow, scene.units).number(spot.0);
    pen.framed_flag(&ratio, (left - 24.0, y), ink, paper);
    pen.framed_flag(&flow, (x, bottom + 15.0), ink, paper);
}

/// Efficiency in five steps with their contours, and the lines of constant speed.
fn ground(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame) {
    let palette = scene.palette;
    pen.fill(&frame.all(&scene.shape.outline), palette.steps[0]);
    for (step, (_, areas)) in scene.shape.bands.iter().enumerate() {
        let colour = palette.steps[(step + 1).min(4)];
        for area in areas {
            pen.fill(&frame.all(area), colour);
        }
    }
    let count = scene.shape.lines.len();
    for (_, line) in scene.shape.lines.iter().take(count.saturating_sub(1)) {
        pen.dashed(&frame.all(line), palette.ink2, 0.9, 1.5, 3.0);
    }
    // In sunlight the fills are gone: the contours carry the map alone.
    for (_, lines) in &scene.shape.contours {
        for line in lines {
            pen.path(&frame.all(line), palette.ink2, 1.4);
        }
    }
}

/// Surge, choke and the largest speed, hatched on the side that cannot be entered.
fn walls(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame) {
    let (shape, ink) = (scene.shape, scene.palette.ink);
    let surge = frame.all(&shape.surge);
    let top = shape
        .lines
        .last()
        .map(|(_, line)| frame.all(line))
        .unwrap_or_default();
    let choke: Vec<Point> = frame.all(&shape.choke).into_iter().rev().collect();
    if shape.estimated {
        // An estimated wall is as wide as it is unsure of itself: a band, its middle dashed.
        for wall in [&surge, &choke] {
            pen.path(wall, scene.palette.steps[3], 11.0);
        }
    }
    for wall in [&surge, &top, &choke] {
        if shape.estimated {
            pen.dashed(wall, ink, 2.0, 7.0, 4.0);
        } else {
            pen.path(wall, ink, 2.0);
        }
        let length = if shape.estimated { 8.5 } else { 6.5 };
        pen.paths(&hatching(wall, 9.0, length), ink, 1.0);
    }
}

fn axes(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, labels: &mut Labels) {
    let Palette { ink, ink2, .. } = *scene.palette;
    let flow_unit = shown(Kind::MassFlow, scene.units);
    let (left, right, top, bottom) = frame.sides();
    pen.line((left, top), (left, bottom), ink, 1.2);
    pen.line((left, bottom), (right, bottom), ink, 1.2);

    // Marks are round in the unit shown, not in kg/s.
    let (low, high) = frame.flow.range();
    let own = Axis::new(
        (flow_unit.unit.from_si(low), flow_unit.unit.from_si(high)),
        (left, right),
    );
    let most = if pen.size.0 < 340.0 { 5 } else { 7 };
    let marks = own.marks(most);
    let digits = decimals(&marks);
    // The cursor's own flow stands in a box among them: what it would cover is left out.
    let here = scene.found.speeds.get(scene.cursor).map(|report| {
        let flow = report.corrected_flow_kg_s;
        let half = pen.width(&flow_unit.number(flow), true) / 2.0 + 8.0;
        (frame.flow.at(flow), half)
    });
    for mark in marks {
        let x = own.at(mark);
        pen.line((x, bottom), (x, bottom + 5.0), ink, 1.2);
        let half = pen.width(&format!("{mark:.digits$}"), false) / 2.0;
        if here.is_some_and(|(at, flag)| (at - x).abs() < flag + half) {
            continue;
        }
        pen.text(
            &format!("{mark:.digits$}"),
            (x, bottom + 15.0),
            Align::Middle,
            ink2,
            false,
        );
    }
    let marks = frame.ratio.marks(7);
    let digits = decimals(&marks);
    for mark in marks {
        let y = frame.ratio.at(mark);
        pen.line((left - 5.0, y), (left, y), ink, 1.2);
        pen.text(
            &format!("{mark:.digits$}"),
            (left - 8.0, y),
            Align::End,
            ink2,
            false,
        );
    }
    pen.text("pressure ratio", (0.0, 10.0), Align::Start, ink2, false);
    labels.block(Rect {
        x: 0.0,
        y: 0.0,
        width: pen.width("pressure ratio", false),
        height: 20.0,
    });
    let title = format!("corrected flow, {}", flow_unit.unit.symbol);
    let width = pen.width(&title, false);
    let place = Rect {
        x: right - width,
        y: bottom - 20.0,
        width,
        height: 16.0,
    };
    labels.block(place);
    pen.rimmed(
        &title,
        (right, bottom - 12.0),
        Align::End,
        (ink2, scene.palette.paper),
        false,
    );
    labels.block(Rect {
        x: 0.0,
        y: bottom,
        width: pen.size.0,
        height: 30.0,
    });
    labels.block(Rect {
        x: 0.0,
        y: top,
        width: left,
        height: bottom - top,
    });
}

/// Decimals that tell round marks apart.
pub fn decimals(marks: &[f64]) -> usize {
    (0..4)
        .find(|digits| {
            let power = 10f64.powi(*digits as i32);
            marks
                .iter()
                .all(|m| (m * power - (m * power).round()).abs() < 1e-6 * power)
        })
        .unwrap_or(4)
}

/// How a piece of the route is drawn.
#[derive(PartialEq, Clone, Copy)]
struct Look {
    held: HeldLook,
    hollow: bool,
}

#[derive(PartialEq, Clone, Copy)]
enum HeldLook {
    Building,
    Held,
    Limit,
}

impl Look {
    fn of(report: &SpeedReport) -> Self {
        let held = match report.held {
            Held::Drive => HeldLook::Building,
            Held::Gate => HeldLook::Held,
            Held::Creep | Held::Surge | Held::Choke | Held::ShaftSpeed => HeldLook::Limit,
        };
        // Held down at surge it runs along the last flow that the map covers, not beyond it.
        Self {
            held,
            hollow: report.extrapolated && report.held != Held::Surge,
        }
    }

    fn colour(self, palette: &Palette) -> Colour {
        match self.held {
            HeldLook::Building => palette.rise,
            HeldLook::Held => palette.hold,
            HeldLook::Limit => palette.stop,
        }
    }
}

/// Draws the running line; its pieces are returned, to keep labels off them.
fn route(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame) -> Vec<(Look, Vec<Point>)> {
    let speeds = &scene.found.speeds;
    let palette = scene.palette;
    // Pieces of one look; a jump (fold) or a gap (an unsolved speed) starts a new one.
    let mut runs: Vec<(Look, Vec<Point>)> = Vec::new();
    let mut jumps: Vec<[Point; 2]> = Vec::new();
    for (i, report) in speeds.iter().enumerate() {
        let point = frame.at((report.corrected_flow_kg_s, report.pressure_ratio));
        let look = Look::of(report);
        let before = i.checked_sub(1).map(|b| &speeds[b]);
        let jumped = before.is_some_and(|b| {
            let between =
                |at: f64| at > b.engine_speed_rev_min && at <= report.engine_speed_rev_min;
            scene.found.folds.iter().any(|f| between(f.at_rev_min))
                || scene
                    .found
                    .unsolved
                    .iter()
                    .any(|u| between(u.engine_speed_rev_min))
        });
        match runs.last_mut() {
            Some((last, points)) if !jumped => {
                points.push(point);
                if *last != look {
                    runs.push((look, vec![point]));
                }
            }
            Some((_, points)) => {
                if let Some(end) = points.last() {
                    jumps.push([*end, point]);
                }
                runs.push((look, vec![point]));
            }
            None => runs.push((look, vec![point])),
        }
    }
    for (_, run) in &runs {
        pen.path(run, palette.paper, ROUTE + 3.0);
    }
    for jump in &jumps {
        pen.dashed(jump, palette.ink2, 1.2, 2.0, 3.0);
    }
    for (look, run) in &runs {
        let colour = look.colour(palette);
        if look.held == HeldLook::Building {
            pen.dashed(run, colour, ROUTE, 7.0, 4.0);
        } else {
            pen.path(run, colour, ROUTE);
        }
        if look.hollow {
            pen.path(run, palette.paper, ROUTE - 2.2);
        }
    }
    runs
}

/// Says along each long piece of the route what holds boost there.
fn route_names(
    pen: &mut Pen,
    scene: &MapScene<'_>,
    route: &[(Look, Vec<Point>)],
    asked: &mut Asked,
) {
    let Palette { ink, paper, .. } = *scene.palette;
    for (look, run) in route {
        let (Some(from), Some(to)) = (run.first(), run.last()) else {
            continue;
        };
        let text = match (look.held, look.hollow) {
            (_, true) => "beyond the map",
            (HeldLook::Building, _) => "boost building",
            (HeldLook::Held, _) => "held by the gate",
            (HeldLook::Limit, _) => "held at a limit",
        };
        let width = pen.width(text, false) + 4.0;
        if (to.0 - from.0).hypot(to.1 - from.1) < 40.0 {
            continue;
        }
        let mut places = Vec::new();
        for share in [0.5, 0.35, 0.65, 0.25, 0.8] {
            let Some((x, y)) = run.get((share * (run.len() - 1) as f64) as usize) else {
                continue;
            };
            for (dx, dy) in [
                (0.0, -16.0),
                (0.0, 16.0),
                (width / 2.0 + 10.0, 4.0),
                (-width / 2.0 - 10.0, -4.0),
            ] {
                places.push(Rect::around((x + dx, y + dy), width, 15.0));
            }
        }
        asked.push(Wanted {
            rank: Rank::Spot,
            places,
            what: Said::Line(text.to_owned(), (ink, paper), false),
        });
    }
}

/// The ring at the cursor's engine speed, with what it reads on the axes.
fn cursor(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, labels: &mut Labels, flags: bool) {
    let Some(report) = scene.found.speeds.get(scene.cursor) else {
        return;
    };
    let Palette { ink, paper, .. } = *scene.palette;
    let (x, y) = frame.at((report.corrected_flow_kg_s, report.pressure_ratio));
    let (left, _, _, bottom) = frame.sides();
    if !inside(pen.size).grown(0.5).holds((x, y)) {
        return;
    }
    pen.dashed(&[(left, y), (x - 10.0, y)], ink, 1.2, 2.0, 3.0);
    pen.dashed(&[(x, y + 10.0), (x, bottom)], ink, 1.2, 2.0, 3.0);
    labels.block_line(&[(left, y), (x, y)], 3.0);
    labels.block_line(&[(x, y), (x, bottom)], 3.0);
    pen.ring((x, y), 9.5, paper, 4.5);
    pen.ring((x, y), 9.5, ink, 2.2);
    labels.block(Rect::around((x, y), 23.0, 23.0));
    // While another spot is read, the axes say what that one is.
    if flags {
        let ratio = format!("{:.2}", report.pressure_ratio);
        labels.block(pen.flag(&ratio, (left - 24.0, y), ink, paper));
        let flow = shown(Kind::MassFlow, scene.units).number(report.corrected_flow_kg_s);
        labels.block(pen.flag(&flow, (x, bottom + 15.0), ink, paper));
    }
}

/// Names the limit that gives out first, at its place on the route, where that is in view.
fn limit_label(
    pen: &mut Pen,
    scene: &MapScene<'_>,
    frame: &MapFrame,
    labels: &mut Labels,
    asked: &mut Asked,
) {
    let Some(first) = scene.found.limits.first() else {
        return;
    };
    // Where it holds boost down, the end of that stretch tells more than the worst of many noughts.
    let at = first.holds_boost.map_or(first.at_rev_min, |(_, to)| to);
    let Some(report) = at_speed(scene.found, at) else {
        return;
    };
    let Palette { paper, stop, .. } = *scene.palette;
    let spot = frame.at((report.corrected_flow_kg_s, report.pressure_ratio));
    if !inside(pen.size).grown(0.5).holds(spot) {
        return;
    }
    pen.disc(spot, 6.5, paper);
    pen.disc(spot, 5.0, stop);
    labels.block(Rect::around(spot, 13.0, 13.0));

    let (strong, plain) = limit_words(first, at);
    // Where the map is narrow, the bold words stand in two lines.
    let mut lines = match strong.split_once(' ') {
        Some((first, rest)) if pen.size.0 < 420.0 && strong.len() > 12 => {
            vec![first.to_owned(), rest.to_owned()]
        }
        _ => vec![strong],
    };
    lines.push(plain);
    let width = lines.iter().map(|l| pen.width(l, true)).fold(0.0, f64::max) + 4.0;
    let height = 2.0 + 16.0 * lines.len() as f64;
    let half = width / 2.0;
    let mut places = Vec::new();
    for (dx, dy) in [
        (-half - 10.0, -30.0),
        (-half - 14.0, 24.0),
        (-half - 4.0, -50.0),
        (half + 16.0, -34.0),
        (half + 16.0, 34.0),
        (0.0, -40.0),
        (0.0, 40.0),
        (-half - 16.0, -34.0),
        (-half - 16.0, 34.0),
        (half + 30.0, 0.0),
        (0.0, -62.0),
        (0.0, 66.0),
        (-half - 40.0, -60.0),
        (half + 40.0, 70.0),
        (half + 60.0, 110.0),
    ] {
        places.push(Rect::around((spot.0 + dx, spot.1 + dy), width, height));
    }
    asked.push(Wanted {
        rank: Rank::Limit,
        places,
        what: Said::Limit(lines, spot),
    });
}

fn limit_words(limit: &LimitReport, at: f64) -> (String, String) {
    let name = limit.kind.label().to_lowercase();
    let at = speed(at, 10.0);
    if limit.kind == LimitKind::Gate && limit.holds_boost.is_some() {
        (
            "boost creeps".to_owned(),
            format!("gate wide open, to {at}"),
        )
    } else if limit.holds_boost.is_some() {
        (format!("{name} holds boost"), format!("to {at}"))
    } else if limit.room < -0.005 {
        (
            format!("{} past", percent(-limit.room)),
            format!("{name}, at {at}"),
        )
    } else {
        (
            format!("{} left", percent(limit.room.max(0.0))),
            format!("{name}, at {at}"),
        )
    }
}

fn at_speed(found: &Match, rev_min: f64) -> Option<&SpeedReport> {
    found.speeds.iter().min_by(|a, b| {
        (a.engine_speed_rev_min - rev_min)
            .abs()
            .total_cmp(&(b.engine_speed_rev_min - rev_min).abs())
    })
}

/// Names the walls.
fn wall_names(pen: &Pen, scene: &MapScene<'_>, frame: &MapFrame, asked: &mut Asked) {
    let Palette { ink, paper, .. } = *scene.palette;
    let shape = scene.shape;
    let mark = if shape.estimated { ", estimated" } else { "" };
    let mut name = |text: &str, spots: &[MapSpot], side: f64, bold: bool| {
        let width = pen.width(text, bold) + 4.0;
        let mut places = Vec::new();
        // From a little above the middle outwards.
        let mut shares: Vec<f64> = (1..20).map(|i| f64::from(i) / 20.0).collect();
        put_in_order(&mut shares, |s| (s - 0.62).abs());
        for share in shares {
            let Some(spot) = spots.get((share * (spots.len().max(1) - 1) as f64) as usize) else {
                continue;
            };
            let (x, y) = frame.at(*spot);
            for away in [14.0, 22.0] {
                places.push(Rect::around(
                    (x + side * (width / 2.0 + away), y + side * 4.0),
                    width,
                    16.0,
                ));
            }
        }
        asked.push(Wanted {
            rank: Rank::Wall,
            places,
            what: Said::Line(text.to_owned(), (ink, paper), bold),
        });
    };
    name(&format!("surge{mark}"), &shape.surge, -1.0, true);
    name(&format!("choke{mark}"), &shape.choke, 1.0, true);

    let Some((top, line)) = shape.lines.last() else {
        return;
    };
    // The lines are of corrected speed; the limit is named as the shaft turns.
    let largest = scene
        .found
        .limits
        .iter()
        .find(|l| l.kind == LimitKind::ShaftSpeed)
        .map(|l| l.limit);
    let text = if let Some(largest) = largest {
        format!(
            "{} thousand rev/min, the shaft’s largest",
            group(&format!("{:.0}", largest / 1e3))
        )
    } else {
        format!("{} thousand rev/min", group(&format!("{:.0}", top / 1e3)))
    };
    let width = pen.width(&text, false) + 4.0;
    let highest = line
        .iter()
        .copied()
        .fold((0.0, 0.0), |a: MapSpot, b| if b.1 > a.1 { b } else { a });
    let (x, y) = frame.at(highest);
    let inside = |x: f64| (x - width / 2.0).clamp(0.0, (pen.size.0 - width).max(0.0));
    let places: Vec<Rect> = [
        (x + 60.0, y - 20.0),
        (x + 120.0, y - 20.0),
        (x + 20.0, y - 22.0),
        (x + 120.0, y - 34.0),
    ]
    .iter()
    .map(|(x, y)| Rect {
        x: inside(*x),
        y: y - 8.0,
        width,
        height: 16.0,
    })
    .collect();
    asked.push(Wanted {
        rank: Rank::Wall,
        places,
        what: Said::Line(text, (ink, paper), false),
    });
}

/// Efficiencies on the contours, and speeds of the lines at their ends.
fn contour_labels(
    pen: &Pen,
    scene: &MapScene<'_>,
    frame: &MapFrame,
    labels: &Labels,
    asked: &mut Asked,
) {
    let Palette {
        ink,
        ink2,
        paper,
        steps,
        ..
    } = *scene.palette;
    // The best island first: it is what the others are measured against.
    for (step, (level, lines)) in scene.shape.contours.iter().enumerate().rev() {
        let text = percent(*level);
        let width = pen.width(&text, false) + 2.0;
        // On the line itself, as on a walking map, and where most is free around it.
        let mut spots: Vec<(f64, Point)> = Vec::new();
        for line in lines {
            let points = frame.all(line);
            let ends = points.len() / 12;
            let inner = points.iter().skip(ends).take(points.len() - 2 * ends);
            for point in inner.step_by((points.len() / 24).max(1)) {
                spots.push((labels.clearance(*point, 28.0), *point));
            }
        }
        put_in_order(&mut spots, |s| -s.0);
        asked.push(Wanted {
            rank: Rank::Contour,
            places: spots
                .into_iter()
                .map(|(_, p)| Rect::around(p, width, 14.0))
                .collect(),
            what: Said::Line(text, (ink, steps[(step + 1).min(4)]), false),
        });
    }
    let count = scene.shape.lines.len();
    for (rev_min, line) in scene.shape.lines.iter().take(count.saturating_sub(1)).rev() {
        let Some(end) = line.last() else { continue };
        let (x, y) = frame.at(*end);
        let text = group(&format!("{:.0}", rev_min / 1e3));
        let width = pen.width(&text, false) + 4.0;
        let places = [(14.0, 6.0), (18.0, 10.0), (22.0, 2.0), (10.0, 16.0)]
            .map(|(dx, dy)| Rect::around((x + dx + width / 2.0, y + dy), width, 15.0));
        asked.push(Wanted {
            rank: Rank::Contour,
            places: places.to_vec(),
            what: Said::Line(text, (ink2, paper), false),
        });
    }
}

/// Engine speeds along the route.
fn spot_labels(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, asked: &mut Asked) {
    let Palette { ink, paper, .. } = *scene.palette;
    let speeds = &scene.found.speeds;
    let narrow = pen.size.0 < 300.0;
    for pair in speeds.windows(2) {
        let thousand = (pair[1].engine_speed_rev_min / 1000.0).floor() * 1000.0;
        let (a, b) = (pair[0].engine_speed_rev_min, pair[1].engine_speed_rev_min);
        if !(thousand > a && thousand <= b) {
            continue;
        }
        let t = (thousand - a) / (b - a);
        let mix = |from: f64, to: f64| from + t * (to - from);
        let spot = (
            mix(pair[0].corrected_flow_kg_s, pair[1].corrected_flow_kg_s),
            mix(pair[0].pressure_ratio, pair[1].pressure_ratio),
        );
        let (x, y) = frame.at(spot);
        if !inside(pen.size).holds((x, y)) {
            continue;
        }
        pen.disc((x, y), 2.0, paper);
        if narrow {
            continue;
        }
        let text = speed(thousand, 1.0);
        let width = pen.width(&text, false) + 4.0;
        let places = [
            Rect::around((x, y + 15.0), width, 15.0),
            Rect::around((x, y - 15.0), width, 15.0),
            Rect::around((x + width / 2.0 + 8.0, y + 8.0), width, 15.0),
            Rect::around((x - width / 2.0 - 8.0, y - 8.0), width, 15.0),
        ];
        asked.push(Wanted {
            rank: Rank::Spot,
            places: places.to_vec(),
            what: Said::Line(text, (ink, paper), false),
        });
    }
}

/// What is read at a spot of the map: in few words, and for a reader who does not see it.
pub fn reading(spot: MapSpot, map: &CompressorMap, units: Units) -> (String, String) {
    let read = map.spot(spot.0, spot.1);
    let turns = group(&format!("{:.0}", read.speed_rev_min / 1e3));
    let beyond = if read.extrapolated {
        ", beyond the map"
    } else {
        ""
    };
    let room = if read.surge_room < 0.0 {
        format!("{} left of surge{beyond}", percent(-read.surge_room))
    } else {
        format!("{} right of surge{beyond}", percent(read.surge_room))
    };
    let efficiency = read.efficiency.map_or_else(
        || "windmills".to_owned(),
        |e| format!("{} efficient", percent(e)),
    );
    let short = format!("{efficiency}, {turns} thousand rev/min corrected\n{room}");
    let long = format!(
        "Corrected flow {}, pressure ratio {:.2}: {efficiency}, {turns} thousand rev/min corrected, {room}.",
        shown(Kind::MassFlow, units).text(spot.0),
        spot.1
    );
    (short, long)
}

/// What the map says at the cursor, for a reader who does not see it.
pub fn spoken(found: &Match, cursor: usize, units: Units) -> String {
    let Some(report) = found.speeds.get(cursor) else {
        return String::new();
    };
    format!(
        "Compressor map. At {} rev/min: corrected flow {}, pressure ratio {:.2}, {}.",
        speed(report.engine_speed_rev_min, 10.0),
        shown(Kind::MassFlow, units).text(report.corrected_flow_kg_s),
        report.pressure_ratio,
        sentence::held(report.held)
    )
}
