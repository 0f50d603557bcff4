//! The compressor map with the engine's route across it.

use super::colours::{Colour, Palette};
use super::geometry::{Axis, Labels, Point, Rect, hatching, round_up};
use super::map_shape::{MapShape, MapSpot};
use super::pen::{Align, Pen};
use crate::sentence;
use crate::show::{Units, group, percent, shown, speed};
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

/// Where flow and pressure ratio stand on the plot.
pub struct MapFrame {
    flow: Axis,
    ratio: Axis,
}

impl MapFrame {
    /// Lays the axes out for a size in CSS pixels.
    pub fn new(shape: &MapShape, found: &Match, size: (f64, f64)) -> Self {
        let (mut flow, mut ratio) = shape.reach();
        for report in &found.speeds {
            flow = flow.max(report.corrected_flow_kg_s);
            ratio = ratio.max(report.pressure_ratio);
        }
        let (width, height) = size;
        Self {
            flow: Axis::new((0.0, round_up(flow * 1.04)), (44.0, width - 14.0)),
            ratio: Axis::new(
                (1.0, 1.0 + round_up((ratio - 1.0) * 1.05)),
                (height - 30.0, 34.0),
            ),
        }
    }

    fn at(&self, spot: MapSpot) -> Point {
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

/// Draws the whole map.
pub fn draw(pen: &mut Pen, scene: &MapScene<'_>) {
    let frame = MapFrame::new(scene.shape, scene.found, pen.size);
    let mut labels = Labels::new(Rect {
        x: 0.0,
        y: 0.0,
        width: pen.size.0,
        height: pen.size.1,
    });
    ground(pen, scene, &frame);
    walls(pen, scene, &frame);
    axes(pen, scene, &frame, &mut labels);
    let route = route(pen, scene, &frame);
    for (_, run) in &route {
        labels.block_line(run, ROUTE + 3.0);
    }
    cursor(pen, scene, &frame, &mut labels);
    limit_labels(pen, scene, &frame, &mut labels);
    wall_names(pen, scene, &frame, &mut labels);
    contour_labels(pen, scene, &frame, &mut labels);
    spot_labels(pen, scene, &frame, &mut labels);
    route_names(pen, scene, &route, &mut labels);
}

/// Efficiency in five steps, and the lines of constant speed.
fn ground(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame) {
    let palette = scene.palette;
    pen.fill(&frame.all(&scene.shape.outline), palette.steps[0]);
    for (step, (_, areas)) in scene.shape.bands.iter().enumerate() {
        let colour = palette.steps[(step + 1).min(4)];
        for area in areas {
            let area = frame.all(area);
            pen.fill(&area, colour);
            pen.path(&area, palette.edge, 0.7);
        }
    }
    let count = scene.shape.lines.len();
    for (_, line) in scene.shape.lines.iter().take(count.saturating_sub(1)) {
        pen.path(&frame.all(line), palette.ink2, 0.9);
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
    let (left, bottom) = (frame.flow.at(0.0), frame.ratio.at(1.0));
    let right = frame.flow.at(frame.flow.range().1);
    let top = frame.ratio.at(frame.ratio.range().1);
    pen.path(&[(left, top), (left, bottom), (right, bottom)], ink, 1.2);

    // Marks are round in the unit shown, not in kg/s.
    let (low, high) = frame.flow.range();
    let own = Axis::new(
        (flow_unit.unit.from_si(low), flow_unit.unit.from_si(high)),
        (left, right),
    );
    let most = if pen.size.0 < 340.0 { 5 } else { 7 };
    let marks = own.marks(most);
    let digits = decimals(&marks);
    for mark in marks {
        let x = own.at(mark);
        pen.line((x, bottom), (x, bottom + 5.0), ink, 1.2);
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
    labels: &mut Labels,
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
        if let Some(place) = labels.place(&places) {
            pen.rimmed(text, place.centre(), Align::Middle, (ink, paper), false);
        }
    }
}

/// The ring at the cursor's engine speed, with what it reads on the axes.
fn cursor(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, labels: &mut Labels) {
    let Some(report) = scene.found.speeds.get(scene.cursor) else {
        return;
    };
    let Palette { ink, paper, .. } = *scene.palette;
    let (x, y) = frame.at((report.corrected_flow_kg_s, report.pressure_ratio));
    let (left, bottom) = (frame.flow.at(0.0), frame.ratio.at(1.0));
    pen.dashed(&[(left, y), (x - 10.0, y)], ink, 1.2, 2.0, 3.0);
    pen.dashed(&[(x, y + 10.0), (x, bottom)], ink, 1.2, 2.0, 3.0);
    labels.block_line(&[(left, y), (x, y)], 3.0);
    labels.block_line(&[(x, y), (x, bottom)], 3.0);
    pen.ring((x, y), 9.5, paper, 4.5);
    pen.ring((x, y), 9.5, ink, 2.2);
    let ratio = format!("{:.2}", report.pressure_ratio);
    labels.block(pen.flag(&ratio, (left - 24.0, y), ink, paper));
    let flow = shown(Kind::MassFlow, scene.units).number(report.corrected_flow_kg_s);
    labels.block(pen.flag(&flow, (x, bottom + 15.0), ink, paper));
    labels.block(Rect::around((x, y), 23.0, 23.0));
}

/// Names the limit that gives out first, at its place on the route.
fn limit_labels(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, labels: &mut Labels) {
    let Some(first) = scene.found.limits.first() else {
        return;
    };
    // Where it holds boost down, the end of that stretch tells more than the worst of many noughts.
    let at = first.holds_boost.map_or(first.at_rev_min, |(_, to)| to);
    let Some(report) = at_speed(scene.found, at) else {
        return;
    };
    let Palette {
        ink,
        ink2,
        paper,
        stop,
        ..
    } = *scene.palette;
    let spot = frame.at((report.corrected_flow_kg_s, report.pressure_ratio));
    pen.disc(spot, 6.5, paper);
    pen.disc(spot, 5.0, stop);
    labels.block(Rect::around(spot, 13.0, 13.0));

    let (strong, plain) = limit_words(first, at);
    let width = pen.width(&strong, true).max(pen.width(&plain, false)) + 4.0;
    let height = 34.0;
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
    // Its last resort: the corner under the title, which nothing else may take.
    places.push(Rect {
        x: pen.size.0 - width,
        y: 22.0,
        width,
        height,
    });
    let Some(place) = labels.place_always(&places) else {
        return;
    };
    let centre = place.centre();
    // A leader from the spot to the near edge of the words.
    let to = (
        spot.0.clamp(place.x, place.x + place.width),
        if centre.1 < spot.1 {
            place.y + height
        } else {
            place.y
        },
    );
    if (to.0 - spot.0).hypot(to.1 - spot.1) > 10.0 {
        pen.line(spot, to, ink, 1.0);
        pen.disc(spot, 5.0, stop);
    }
    pen.rimmed(
        &strong,
        (centre.0, place.y + 9.0),
        Align::Middle,
        (ink, paper),
        true,
    );
    pen.rimmed(
        &plain,
        (centre.0, place.y + 25.0),
        Align::Middle,
        (ink2, paper),
        false,
    );
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
fn wall_names(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, labels: &mut Labels) {
    let Palette { ink, paper, .. } = *scene.palette;
    let shape = scene.shape;
    let mark = if shape.estimated { ", estimated" } else { "" };
    let mut name = |text: &str, spots: &[MapSpot], sides: &[f64], bold: bool| {
        let width = pen.width(text, bold) + 4.0;
        let mut places = Vec::new();
        for share in [0.55, 0.45, 0.65, 0.35, 0.75, 0.25, 0.85] {
            let Some(spot) = spots.get((share * (spots.len().max(1) - 1) as f64) as usize) else {
                continue;
            };
            let (x, y) = frame.at(*spot);
            for side in sides {
                places.push(Rect::around(
                    (x + side * (width / 2.0 + 12.0), y + side * 4.0),
                    width,
                    16.0,
                ));
            }
        }
        if let Some(place) = labels.place(&places) {
            pen.rimmed(text, place.centre(), Align::Middle, (ink, paper), bold);
        }
    };
    name(&format!("surge{mark}"), &shape.surge, &[-1.0], true);
    name(&format!("choke{mark}"), &shape.choke, &[1.0], true);

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
    if let Some(place) = labels.place(&places) {
        pen.rimmed(&text, place.centre(), Align::Middle, (ink, paper), false);
    }
}

/// Efficiencies of the contours, and speeds of the lines at their ends.
fn contour_labels(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, labels: &mut Labels) {
    let Palette {
        ink,
        ink2,
        paper,
        steps,
        ..
    } = *scene.palette;
    for (step, (level, areas)) in scene.shape.bands.iter().enumerate().rev() {
        let text = percent(*level);
        let width = pen.width(&text, false) + 4.0;
        let mut places: Vec<Rect> = Vec::new();
        for area in areas {
            let points = frame.all(area);
            let count = points.len();
            // Low on the contour first, where the route seldom runs.
            let mut order: Vec<&Point> = points.iter().step_by((count / 24).max(1)).collect();
            order.sort_unstable_by(|a, b| b.1.total_cmp(&a.1));
            places.extend(
                order
                    .into_iter()
                    .map(|p| Rect::around((p.0, p.1 - 10.0), width, 15.0)),
            );
        }
        if let Some(place) = labels.place(&places) {
            pen.rimmed(
                &text,
                place.centre(),
                Align::Middle,
                (ink, steps[(step + 1).min(4)]),
                false,
            );
        }
    }
    let count = scene.shape.lines.len();
    for (rev_min, line) in scene.shape.lines.iter().take(count.saturating_sub(1)).rev() {
        let Some(end) = line.last() else { continue };
        let (x, y) = frame.at(*end);
        let text = group(&format!("{:.0}", rev_min / 1e3));
        let width = pen.width(&text, false) + 4.0;
        let place = Rect::around((x + 12.0 + width / 2.0, y + 6.0), width, 15.0);
        if let Some(place) = labels.place(&[place]) {
            pen.rimmed(&text, place.centre(), Align::Middle, (ink2, paper), false);
        }
    }
}

/// Engine speeds along the route.
fn spot_labels(pen: &mut Pen, scene: &MapScene<'_>, frame: &MapFrame, labels: &mut Labels) {
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
        if let Some(place) = labels.place(&places) {
            pen.rimmed(&text, place.centre(), Align::Middle, (ink, paper), false);
        }
    }
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
