//! Candidates side by side: strips over engine speed, and the small maps.

use super::colours::{Colour, Palette};
use super::geometry::{Axis, Point, Rect, dashes, hatching, round_up};
use super::map_shape::{MapShape, MapSpot};
use super::pen::{Align, Pen};
use crate::show::group;

/// Height of the head, where the cursor's flag stands, and of the foot, with the axis.
const HEAD: f64 = 30.0;
const FOOT: f64 = 26.0;
/// Least distance between labels, CSS pixels.
const APART: f64 = 15.0;

/// How one candidate is told from the others: a hue and a dash of its own, so that either is enough.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    place: usize,
}

impl Mark {
    /// The mark of the candidate at a place.
    pub const fn of(place: usize) -> Self {
        Self { place }
    }

    fn colour(self, palette: &Palette) -> Colour {
        [palette.ink, palette.hold, palette.third, palette.rise][self.place % 4]
    }

    /// Lengths drawn and left out, in turn; none for a whole line.
    pub const fn dash(self) -> &'static [f64] {
        match self.place % 4 {
            0 => &[],
            1 => &[7.0, 4.0],
            2 => &[10.0, 3.0, 2.5, 3.0],
            _ => &[2.5, 3.0],
        }
    }

    /// The name of its colour in the style sheet.
    pub const fn token(self) -> &'static str {
        ["--ink", "--hold", "--third", "--rise"][self.place % 4]
    }

    /// Draws a line in it.
    pub fn path(self, pen: &mut Pen, points: &[Point], palette: &Palette, width: f64) {
        let colour = self.colour(palette);
        match *self.dash() {
            [] => pen.path(points, colour, width),
            [on, off] => pen.paths(&dashes(points, on, off), colour, width),
            [long, gap, short, _] => {
                // A dot stands in the middle of each gap between two dashes.
                let whole = long + 2.0 * gap + short;
                pen.paths(&dashes(points, long, whole - long), colour, width);
                let after = cut(points, long + gap);
                pen.paths(&dashes(&after, short, whole - short), colour, width);
            }
            _ => {}
        }
    }
}

/// A line without its first piece of this length.
fn cut(points: &[Point], length: f64) -> Vec<Point> {
    let mut left = length;
    for (place, pair) in points.windows(2).enumerate() {
        let step = (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1);
        if step > left {
            let t = left / step;
            let at = (
                pair[0].0 + t * (pair[1].0 - pair[0].0),
                pair[0].1 + t * (pair[1].1 - pair[0].1),
            );
            let mut rest = vec![at];
            rest.extend(&points[place + 1..]);
            return rest;
        }
        left -= step;
    }
    Vec::new()
}

/// A strip: one quantity of every candidate.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Strip {
    /// What it shows.
    pub title: String,
    /// The unit and what else follows the title.
    pub unit: String,
    /// Decimals of its values.
    pub decimals: usize,
    /// Whether its axis begins at nothing.
    pub from_zero: bool,
    /// A value that cannot be passed: a wall.
    pub wall: Option<f64>,
    /// A value worth a line, and what it means.
    pub line: Option<(f64, &'static str)>,
    /// The points of each candidate, rising; one that is not a number leaves a gap.
    pub curves: Vec<Vec<Point>>,
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overlay {
    /// What the candidates are called, short.
    pub names: Vec<String>,
    /// Ends of the engine speeds.
    pub ends: (f64, f64),
    /// The engine speed that is read.
    pub cursor: f64,
    /// From top to bottom.
    pub strips: Vec<Strip>,
}

/// Room for the names and values right of the strips.
fn margin(width: f64) -> f64 {
    if width < 430.0 { 104.0 } else { 150.0 }
}

/// The axis of engine speeds.
pub fn axis(ends: (f64, f64), width: f64) -> Axis {
    Axis::new(ends, (4.0, (width - margin(width)).max(40.0)))
}

/// A value at the cursor: that of the nearest point.
fn read(points: &[Point], at: f64) -> Option<f64> {
    let near = |p: &&Point| (p.0 - at).abs();
    let point = points
        .iter()
        .filter(|p| p.1.is_finite())
        .min_by(|a, b| near(a).total_cmp(&near(b)))?;
    // Beside a gap there is none.
    let step = points
        .windows(2)
        .map(|p| p[1].0 - p[0].0)
        .fold(1.0, f64::max);
    ((point.0 - at).abs() <= step).then_some(point.1)
}

/// Moves wanted places apart, in their order, between two ends.
fn spread(mut wanted: Vec<f64>, (low, high): (f64, f64)) -> Vec<f64> {
    for place in 1..wanted.len() {
        wanted[place] = wanted[place].max(wanted[place - 1] + APART);
    }
    let over = wanted.last().map_or(0.0, |last| (last - high).max(0.0));
    for (place, at) in wanted.iter_mut().enumerate() {
        *at = (*at - over).max(low + APART * place as f64);
    }
    wanted
}

/// Draws it.
pub fn draw(pen: &mut Pen, overlay: &Overlay, palette: &Palette) {
    let (width, height) = pen.size;
    let Palette {
        ink,
        ink2,
        paper,
        rule,
        ..
    } = *palette;
    let axis = axis(overlay.ends, width);
    let right = axis.at(overlay.ends.1);
    let each = (height - HEAD - FOOT) / overlay.strips.len().max(1) as f64;
    let x = axis.at(overlay.cursor);
    for (number, strip) in overlay.strips.iter().enumerate() {
        let top = HEAD + number as f64 * each;
        let last = number + 1 == overlay.strips.len();
        pen.line(
            (0.0, top + each),
            (right, top + each),
            if last { ink } else { rule },
            1.0,
        );
        draw_strip(pen, overlay, strip, (&axis, x), (top, top + each), palette);
    }
    pen.line((x, HEAD - 8.0), (x, height - FOOT), ink, 1.2);
    let foot = height - FOOT;
    for mark in axis.marks(if width < 500.0 { 4 } else { 7 }) {
        let at = axis.at(mark);
        pen.line((at, foot), (at, foot + 4.0), ink, 1.0);
        let text = group(&format!("{mark:.0}"));
        let half = pen.width(&text, false) / 2.0;
        let at = at.clamp(half, right - half.min(8.0));
        pen.text(&text, (at, foot + 14.0), Align::Middle, ink2, false);
    }
    pen.text("rev/min", (width, foot + 14.0), Align::End, ink2, false);
    let flag = format!("{} rev/min", crate::show::speed(overlay.cursor, 10.0));
    let box_ = pen.flag(&flag, (x, 11.0), ink, paper);
    let says = "here";
    if box_.x + box_.width + pen.width(says, false) + 8.0 < width {
        pen.text(says, (width, 11.0), Align::End, ink2, false);
    }
}

fn draw_strip(
    pen: &mut Pen,
    overlay: &Overlay,
    strip: &Strip,
    (axis, cursor): (&Axis, f64),
    (top, bottom): (f64, f64),
    palette: &Palette,
) {
    let Palette {
        ink, ink2, paper, ..
    } = *palette;
    let right = axis.at(overlay.ends.1);
    let values = || {
        let points = strip.curves.iter().flatten().map(|p| p.1);
        points.chain(strip.wall).filter(|v| v.is_finite())
    };
    let most = values().fold(f64::NEG_INFINITY, f64::max);
    let least = values().fold(if strip.from_zero { 0.0 } else { f64::INFINITY }, f64::min);
    if !most.is_finite() || !least.is_finite() {
        pen.text(&strip.title, (0.0, top + 12.0), Align::Start, ink, true);
        pen.text(
            "nothing to show",
            (0.0, top + 30.0),
            Align::Start,
            ink2,
            false,
        );
        return;
    }
    let scale = Axis::new(
        (least, least + 1.02 * (most - least).max(1e-9)),
        (bottom - 5.0, top + 24.0),
    );
    if let Some((value, says)) = strip.line.filter(|(v, _)| (least..=most).contains(v)) {
        let y = scale.at(value);
        pen.dashed(&[(0.0, y), (right, y)], ink2, 1.0, 1.5, 3.0);
        pen.rimmed(says, (4.0, y - 9.0), Align::Start, (ink2, paper), false);
    }
    if let Some(wall) = strip.wall {
        let y = scale.at(wall);
        let line = [(0.0, y), (right, y)];
        pen.path(&line, ink, 1.4);
        pen.paths(&hatching(&line, 9.0, 6.0), ink, 1.0);
    }
    // The first lies on top: the others are held against it.
    for (place, curve) in strip.curves.iter().enumerate().rev() {
        for run in curve.split(|p| !p.1.is_finite()) {
            let run: Vec<Point> = run.iter().map(|p| (axis.at(p.0), scale.at(p.1))).collect();
            if run.len() > 1 {
                Mark::of(place).path(pen, &run, palette, 2.4);
            }
        }
    }
    let mut labels: Vec<(usize, f64, Option<f64>)> = strip
        .curves
        .iter()
        .enumerate()
        .filter_map(|(place, curve)| {
            let last = curve.iter().rev().find(|p| p.1.is_finite())?;
            Some((place, scale.at(last.1), read(curve, overlay.cursor)))
        })
        .collect();
    labels.sort_by(|a, b| a.1.total_cmp(&b.1));
    let wanted: Vec<f64> = labels.iter().map(|l| l.1).collect();
    let places = spread(wanted, (top + 8.0, bottom - 7.0));
    for ((place, from, value), at) in labels.into_iter().zip(places) {
        let colour = Mark::of(place).colour(palette);
        pen.path(
            &[(right, from), (right + 8.0, at), (right + 12.0, at)],
            colour,
            1.2,
        );
        let text = value.map_or("–".to_owned(), |v| {
            group(&format!("{v:.*}", strip.decimals))
        });
        let room = pen.size.0 - right - 22.0 - pen.width(&text, true);
        let name = overlay.names.get(place).map_or("", String::as_str);
        let name = fitted(pen, name, room);
        pen.text(&name, (right + 16.0, at), Align::Start, ink, false);
        pen.text(&text, (pen.size.0, at), Align::End, ink, true);
        if let Some(value) = value {
            let spot = (cursor, scale.at(value));
            pen.disc(spot, 4.6, ink);
            pen.disc(spot, 2.8, paper);
        }
    }
    pen.rimmed(
        &strip.title,
        (0.0, top + 12.0),
        Align::Start,
        (ink, paper),
        true,
    );
    let after = pen.width(&strip.title, true) + 5.0;
    pen.rimmed(
        &strip.unit,
        (after, top + 12.0),
        Align::Start,
        (ink2, paper),
        false,
    );
}

/// As much of a name as there is room for.
fn fitted(pen: &Pen, name: &str, room: f64) -> String {
    if pen.width(name, false) <= room {
        return name.to_owned();
    }
    let mut letters: Vec<char> = name.chars().collect();
    while letters.len() > 1 {
        letters.pop();
        let short: String = letters.iter().collect::<String>().trim_end().to_owned() + "…";
        if pen.width(&short, false) <= room {
            return short;
        }
    }
    String::new()
}

/// A compressor map with one running line, small.
pub struct SmallMap<'a> {
    /// The compressor.
    pub shape: &'a MapShape,
    /// Where the engine runs on it, gaps left out.
    pub route: &'a [MapSpot],
    /// Where it runs at the cursor.
    pub here: Option<MapSpot>,
    /// Largest flow and pressure ratio of the axes, the same for all side by side.
    pub reach: MapSpot,
    /// Whose line.
    pub mark: Mark,
    /// Flow in the unit shown from kg/s.
    pub flow: &'static airpath::quantity::Unit,
}

/// Draws a small map.
pub fn draw_map(pen: &mut Pen, map: &SmallMap<'_>, palette: &Palette) {
    let (width, height) = pen.size;
    let Palette {
        ink, ink2, paper, ..
    } = *palette;
    let inside = Rect {
        x: 22.0,
        y: 6.0,
        width: (width - 30.0).max(10.0),
        height: (height - 26.0).max(10.0),
    };
    let most = map.flow.from_si(map.reach.0);
    let flow = Axis::new((0.0, most * 1.03), (inside.x, inside.x + inside.width));
    let top = 1.0 + round_up(map.reach.1 - 1.0);
    let ratio = Axis::new((1.0, top), (inside.y + inside.height, inside.y));
    let at = |spot: &MapSpot| (flow.at(map.flow.from_si(spot.0)), ratio.at(spot.1));
    let all = |spots: &[MapSpot]| spots.iter().map(at).collect::<Vec<Point>>();
    pen.fill(&all(&map.shape.outline), palette.steps[0]);
    for (step, (_, areas)) in map.shape.bands.iter().enumerate() {
        for area in areas {
            pen.fill(&all(area), palette.steps[(step + 1).min(4)]);
        }
    }
    for (_, lines) in &map.shape.contours {
        for line in lines {
            pen.path(&all(line), ink2, 0.8);
        }
    }
    let surge = all(&map.shape.surge);
    let fastest = map
        .shape
        .lines
        .last()
        .map(|(_, line)| all(line))
        .unwrap_or_default();
    let choke: Vec<Point> = all(&map.shape.choke).into_iter().rev().collect();
    for wall in [&surge, &fastest, &choke] {
        if map.shape.estimated {
            pen.dashed(wall, ink, 1.4, 5.0, 3.0);
        } else {
            pen.path(wall, ink, 1.4);
        }
        pen.paths(&hatching(wall, 7.0, 4.0), ink, 0.8);
    }
    let route = all(map.route);
    pen.path(&route, paper, 5.5);
    map.mark.path(pen, &route, palette, 3.0);
    pen.line(
        (inside.x, inside.y),
        (inside.x, inside.y + inside.height),
        ink,
        1.0,
    );
    let foot = inside.y + inside.height;
    pen.line((inside.x, foot), (inside.x + inside.width, foot), ink, 1.0);
    let marks = flow.marks(3);
    let digits = super::map::decimals(&marks);
    for mark in marks {
        let x = flow.at(mark);
        pen.line((x, foot), (x, foot + 4.0), ink, 1.0);
        let text = format!("{mark:.digits$}");
        let half = pen.width(&text, false) / 2.0;
        pen.text(
            &text,
            (x.min(width - half), foot + 13.0),
            Align::Middle,
            ink2,
            false,
        );
    }
    for mark in ratio.marks(4) {
        let y = ratio.at(mark);
        pen.line((inside.x - 4.0, y), (inside.x, y), ink, 1.0);
        pen.text(
            &format!("{mark:.0}"),
            (inside.x - 7.0, y),
            Align::End,
            ink2,
            false,
        );
    }
    if let Some(here) = map.here {
        let spot = at(&here);
        pen.ring(spot, 6.5, paper, 4.0);
        pen.ring(spot, 6.5, ink, 2.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_moved_apart_and_stay_in_order() {
        let places = spread(vec![10.0, 12.0, 90.0, 91.0], (8.0, 96.0));
        assert!(
            places.windows(2).all(|p| p[1] - p[0] >= APART - 1e-9),
            "{places:?}"
        );
        assert!(places[0] >= 8.0 && places[3] <= 96.0 + 1e-9, "{places:?}");
    }

    #[test]
    fn a_line_is_cut_at_its_length() {
        let rest = cut(&[(0.0, 0.0), (3.0, 4.0), (6.0, 8.0)], 7.5);
        assert_eq!(rest.len(), 2);
        assert!((rest[0].0 - 4.5).abs() < 1e-9 && (rest[0].1 - 6.0).abs() < 1e-9);
        assert!(cut(&[(0.0, 0.0), (1.0, 0.0)], 2.0).is_empty());
    }

    #[test]
    fn a_gap_has_no_value() {
        let points = [
            (0.0, 1.0),
            (100.0, 2.0),
            (200.0, f64::NAN),
            (300.0, f64::NAN),
            (400.0, 5.0),
        ];
        assert_eq!(read(&points, 90.0), Some(2.0));
        assert_eq!(read(&points, 260.0), None);
    }
}
