//! Drawings for paper, as SVG: lines stay lines at any size, and take their colours from the sheet.

use crate::plots::geometry::{Axis, Point, hatching};
use crate::plots::map_shape::{MapShape, MapSpot};
use crate::show::group;
use std::fmt::Write;

/// A drawing that grows.
pub struct Drawing {
    width: f64,
    height: f64,
    body: String,
}

/// Where a text stands from its place.
#[derive(Clone, Copy)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

impl Anchor {
    const fn word(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

/// A text that is safe inside of a drawing.
fn safe(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

fn d(points: &[Point]) -> String {
    let mut d = String::with_capacity(points.len() * 12);
    for (place, (x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{x:.1} {y:.1}", if place == 0 { 'M' } else { 'L' });
    }
    d
}

impl Drawing {
    /// An empty one, in units of its own.
    pub const fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            body: String::new(),
        }
    }

    /// A line through points, in a class of the style sheet.
    pub fn line(&mut self, points: &[Point], class: &str) {
        if points.len() > 1 {
            let _ = write!(self.body, r#"<path class="{class}" d="{}"/>"#, d(points));
        }
    }

    /// An area.
    pub fn area(&mut self, points: &[Point], class: &str) {
        if points.len() > 2 {
            let _ = write!(self.body, r#"<path class="{class}" d="{}z"/>"#, d(points));
        }
    }

    /// Short strokes on the side of a line that cannot be entered: its left, going along it.
    pub fn hatch(&mut self, points: &[Point], gap: f64, length: f64) {
        let all: String = hatching(points, gap, length).iter().map(|s| d(s)).collect();
        let _ = write!(self.body, r#"<path class="hatch" d="{all}"/>"#);
    }

    /// A text.
    pub fn text(&mut self, text: &str, at: Point, anchor: Anchor, class: &str) {
        let _ = write!(
            self.body,
            r#"<text class="{class}" x="{:.1}" y="{:.1}" text-anchor="{}">{}</text>"#,
            at.0,
            at.1,
            anchor.word(),
            safe(text)
        );
    }

    /// A text along a direction, in degrees clockwise.
    pub fn turned(&mut self, text: &str, at: Point, degrees: f64, class: &str) {
        let _ = write!(
            self.body,
            r#"<text class="{class}" x="{:.1}" y="{:.1}" text-anchor="middle" transform="rotate({degrees:.1} {:.1} {:.1})">{}</text>"#,
            at.0,
            at.1,
            at.0,
            at.1,
            safe(text)
        );
    }

    /// A disc.
    pub fn disc(&mut self, at: Point, radius: f64, class: &str) {
        let _ = write!(
            self.body,
            r#"<circle class="{class}" cx="{:.1}" cy="{:.1}" r="{radius:.1}"/>"#,
            at.0, at.1
        );
    }

    /// A box with rounded corners.
    pub fn block(&mut self, (x, y): Point, (width, height): Point, round: f64, class: &str) {
        let _ = write!(
            self.body,
            r#"<rect class="{class}" x="{x:.1}" y="{y:.1}" width="{width:.1}" height="{height:.1}" rx="{round:.1}"/>"#
        );
    }

    /// Axes with round marks along the left and the foot.
    pub fn axes(&mut self, across: &Axis, up: &Axis, titles: (&str, &str), marks: (usize, usize)) {
        let ((x0, x1), (y0, y1)) = (across.range(), up.range());
        let (left, right) = (across.at(x0), across.at(x1));
        let (foot, top) = (up.at(y0), up.at(y1));
        self.line(&[(left, top), (left, foot), (right, foot)], "axis");
        let along = across.marks(marks.0);
        let digits = crate::plots::map::decimals(&along);
        for mark in along {
            let x = across.at(mark);
            self.line(&[(x, foot), (x, foot + 4.0)], "axis");
            let text = group(&format!("{mark:.digits$}"));
            self.text(&text, (x, foot + 15.0), Anchor::Middle, "mark");
        }
        let along = up.marks(marks.1);
        let digits = crate::plots::map::decimals(&along);
        for mark in along {
            let y = up.at(mark);
            self.line(&[(left - 4.0, y), (left, y)], "axis");
            let text = group(&format!("{mark:.digits$}"));
            self.text(&text, (left - 7.0, y + 4.0), Anchor::End, "mark");
        }
        self.text(titles.0, (right, foot + 28.0), Anchor::End, "mark");
        self.text(titles.1, (left - 30.0, top - 9.0), Anchor::Start, "mark");
    }

    /// The drawing as a text of SVG, with what is told of it.
    pub fn finish(self, told: &str) -> String {
        format!(
            r#"<svg class="drawing" viewBox="0 0 {} {}" role="img" aria-label="{}">{}</svg>"#,
            self.width,
            self.height,
            safe(told),
            self.body
        )
    }
}

/// A compressor map with the running line, for paper.
pub struct PaperMap<'a> {
    /// The compressor.
    pub shape: &'a MapShape,
    /// Where the engine runs on it.
    pub route: &'a [MapSpot],
    /// Spots of the running line to be named.
    pub spots: &'a [(MapSpot, String)],
    /// The unit of flow.
    pub flow: &'static airpath::quantity::Unit,
}

/// Draws a compressor map.
pub fn map(map: &PaperMap<'_>, size: Point, told: &str) -> String {
    let mut drawing = Drawing::new(size.0, size.1);
    let most = map
        .route
        .iter()
        .fold(map.shape.reach(), |m, p| (m.0.max(p.0), m.1.max(p.1)));
    let flow = Axis::new((0.0, 1.04 * map.flow.from_si(most.0)), (34.0, size.0 - 8.0));
    let ratio = Axis::new((1.0, 1.0 + 1.05 * (most.1 - 1.0)), (size.1 - 32.0, 22.0));
    let at = |spot: &MapSpot| (flow.at(map.flow.from_si(spot.0)), ratio.at(spot.1));
    let all = |spots: &[MapSpot]| spots.iter().map(at).collect::<Vec<Point>>();
    drawing.area(&all(&map.shape.outline), "step step1");
    for (step, (_, areas)) in map.shape.bands.iter().enumerate() {
        for area in areas {
            drawing.area(&all(area), &format!("step step{}", (step + 2).min(5)));
        }
    }
    let count = map.shape.lines.len();
    for (_, line) in map.shape.lines.iter().take(count.saturating_sub(1)) {
        drawing.line(&all(line), "dotted");
    }
    for (_, lines) in &map.shape.contours {
        for line in lines {
            drawing.line(&all(line), "thin");
        }
    }
    let fastest = map
        .shape
        .lines
        .last()
        .map(|(_, line)| all(line))
        .unwrap_or_default();
    let choke: Vec<Point> = all(&map.shape.choke).into_iter().rev().collect();
    let wall = if map.shape.estimated {
        "wall guessed"
    } else {
        "wall"
    };
    for line in [all(&map.shape.surge), fastest, choke] {
        drawing.line(&line, wall);
        drawing.hatch(&line, 8.0, 5.0);
    }
    let route = all(map.route);
    drawing.line(&route, "route rim");
    drawing.line(&route, "route");
    for (spot, text) in map.spots {
        let place = at(spot);
        drawing.disc(place, 4.0, "spot");
        let beside = place.0 + 60.0 < size.0;
        let (x, anchor) = if beside {
            (8.0, Anchor::Start)
        } else {
            (-8.0, Anchor::End)
        };
        drawing.text(text, (place.0 + x, place.1 + 14.0), anchor, "label rimmed");
    }
    let title = format!("corrected flow, {}", map.flow.symbol);
    drawing.axes(&flow, &ratio, (&title, "pressure ratio"), (6, 6));
    drawing.finish(told)
}

/// A strip of curves over one axis, for paper.
pub struct PaperStrip {
    /// What it shows, with its unit.
    pub title: String,
    /// Its curves: a class of the style sheet, a name, points in the unit shown.
    pub curves: Vec<(&'static str, String, Vec<Point>)>,
}

/// Draws strips above one another.
pub fn strips(all: &[PaperStrip], ends: (f64, f64), size: Point, told: &str) -> String {
    let mut drawing = Drawing::new(size.0, size.1);
    let across = Axis::new(ends, (34.0, size.0 - 8.0));
    let each = (size.1 - 34.0) / all.len().max(1) as f64;
    for (number, strip) in all.iter().enumerate() {
        let (top, foot) = (number as f64 * each, (number + 1) as f64 * each);
        let most = strip
            .curves
            .iter()
            .flat_map(|c| c.2.iter().map(|p| p.1))
            .filter(|v| v.is_finite())
            .fold(1e-9, f64::max);
        let up = Axis::new((0.0, 1.06 * most), (foot, top + 20.0));
        drawing.text(
            &strip.title,
            (34.0, top + 12.0),
            Anchor::Start,
            "label strong",
        );
        drawing.line(
            &[(34.0, top + 20.0), (34.0, foot), (size.0 - 8.0, foot)],
            "axis",
        );
        let marks = up.marks(4);
        let digits = crate::plots::map::decimals(&marks);
        for mark in marks {
            let y = up.at(mark);
            drawing.line(&[(30.0, y), (34.0, y)], "axis");
            let text = group(&format!("{mark:.digits$}"));
            drawing.text(&text, (27.0, y + 4.0), Anchor::End, "mark");
        }
        for (order, (class, name, points)) in strip.curves.iter().enumerate() {
            for run in points.split(|p| !p.1.is_finite()) {
                let run: Vec<Point> = run.iter().map(|p| (across.at(p.0), up.at(p.1))).collect();
                drawing.line(&run, class);
            }
            let last = points.iter().rev().find(|p| p.1.is_finite());
            if let Some(last) = last.filter(|_| !name.is_empty()) {
                // The first above its line, the others below theirs.
                let aside = if order == 0 { -5.0 } else { 13.0 };
                let at = (across.at(last.0), up.at(last.1) + aside);
                drawing.text(name, at, Anchor::End, "mark rimmed");
            }
        }
    }
    let foot = all.len() as f64 * each;
    for mark in across.marks(6) {
        let x = across.at(mark);
        drawing.line(&[(x, foot), (x, foot + 4.0)], "axis");
        let text = group(&format!("{mark:.0}"));
        drawing.text(&text, (x, foot + 15.0), Anchor::Middle, "mark");
    }
    drawing.text("rev/min", (size.0 - 8.0, foot + 28.0), Anchor::End, "mark");
    drawing.finish(told)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_a_drawing() {
        let mut drawing = Drawing::new(10.0, 10.0);
        drawing.text("<b> & \"", (1.0, 2.0), Anchor::Start, "mark");
        let text = drawing.finish("a \"b\"");
        assert!(
            text.contains("&lt;b&gt; &amp; &quot;") && text.contains("a &quot;b&quot;"),
            "{text}"
        );
    }
}
