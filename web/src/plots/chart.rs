//! Strips over one axis, of any curves: what is drawn beside the match uses it.

use super::colours::{Colour, Palette};
use super::geometry::{Axis, Point, Rect, round_up};
use super::labels::Labels;
use super::pen::{Align, Pen};

/// Height of the head, where the cursor's flag stands, and of the foot, with the axis.
const HEAD: f64 = 28.0;
const FOOT: f64 = 40.0;

/// How a curve is told from its neighbours, without colour alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stroke {
    /// Ink, whole.
    Plain,
    /// The colour of what is held, whole and wider.
    Strong,
    /// Ink, dashed.
    Dashed,
}

/// A curve: what it is called and its points in the units shown.
#[derive(Clone, Debug)]
pub struct Curve {
    /// What it is called; nothing for the only one of its strip.
    pub name: String,
    /// How it is drawn.
    pub stroke: Stroke,
    /// Its points, in order along the axis; one that is not a number leaves a gap.
    pub points: Vec<Point>,
}

/// An area between two curves.
#[derive(Clone, Debug)]
pub struct Area {
    /// What it is called.
    pub name: String,
    /// Across, low, high.
    pub points: Vec<(f64, f64, f64)>,
}

/// A strip.
#[derive(Clone, Debug)]
pub struct Strip {
    /// What it shows.
    pub title: String,
    /// The unit and what else follows the title.
    pub unit: String,
    /// Decimals of its values.
    pub decimals: usize,
    /// Whether the axis begins at nothing.
    pub from_zero: bool,
    /// Its curves.
    pub curves: Vec<Curve>,
    /// Areas behind them.
    pub areas: Vec<Area>,
}

impl Strip {
    /// A strip of curves alone, from nothing up.
    pub fn new(title: &str, unit: &str, decimals: u8, curves: Vec<Curve>) -> Self {
        Self {
            title: title.to_owned(),
            unit: unit.to_owned(),
            decimals: usize::from(decimals),
            from_zero: true,
            curves,
            areas: Vec::new(),
        }
    }
}

impl Curve {
    /// A curve.
    pub fn new(name: &str, stroke: Stroke, points: Vec<Point>) -> Self {
        Self {
            name: name.to_owned(),
            stroke,
            points,
        }
    }
}

/// A chart.
#[derive(Clone, Debug)]
pub struct Chart {
    /// What the axis across is, with its unit.
    pub across: String,
    /// Its ends.
    pub ends: (f64, f64),
    /// The cursor: where, and what its flag says.
    pub cursor: Option<(f64, String)>,
    /// From top to bottom.
    pub strips: Vec<Strip>,
    /// What stands in place of the strips where there is nothing to draw.
    pub nothing: String,
}

/// The axis across, for a plot of this width.
pub fn axis(ends: (f64, f64), width: f64) -> Axis {
    Axis::new(ends, (4.0, (width - 12.0).max(5.0)))
}

/// Runs of points that are numbers.
fn runs(points: &[Point]) -> Vec<Vec<Point>> {
    let mut runs: Vec<Vec<Point>> = vec![Vec::new()];
    for point in points {
        if point.0.is_finite() && point.1.is_finite() {
            if let Some(last) = runs.last_mut() {
                last.push(*point);
            }
        } else {
            runs.push(Vec::new());
        }
    }
    runs.retain(|run| !run.is_empty());
    runs
}

/// A value between the points of a curve.
pub fn value_at(points: &[Point], across: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
        let inside = (x1..=x2).contains(&across) && y1.is_finite() && y2.is_finite();
        inside.then(|| {
            let share = if x2 > x1 {
                (across - x1) / (x2 - x1)
            } else {
                0.0
            };
            y1 + share * (y2 - y1)
        })
    })
}

/// Draws a chart.
pub fn draw(pen: &mut Pen, chart: &Chart, palette: &Palette) {
    let (width, height) = pen.size;
    let Palette {
        ink,
        ink2,
        paper,
        rule,
        ..
    } = *palette;
    if !chart.nothing.is_empty() {
        pen.text(
            &chart.nothing,
            (0.5 * width, 0.5 * height),
            Align::Middle,
            ink2,
            false,
        );
        return;
    }
    let axis = axis(chart.ends, width);
    let each = (height - HEAD - FOOT) / chart.strips.len().max(1) as f64;
    for (number, strip) in chart.strips.iter().enumerate() {
        let top = HEAD + number as f64 * each;
        draw_strip(pen, chart, strip, &axis, (top, top + each), palette);
        let last = number + 1 == chart.strips.len();
        pen.line(
            (0.0, top + each),
            (width, top + each),
            if last { ink } else { rule },
            1.0,
        );
    }
    let foot = height - FOOT;
    let marks = axis.marks(if width < 400.0 { 5 } else { 8 });
    let digits = super::map::decimals(&marks);
    for mark in marks {
        let x = axis.at(mark);
        pen.line((x, foot), (x, foot + 4.0), ink, 1.0);
        let text = crate::show::group(&format!("{mark:.digits$}"));
        let half = pen.width(&text, false) / 2.0;
        pen.text(
            &text,
            (x.clamp(half, width - half), foot + 14.0),
            Align::Middle,
            ink2,
            false,
        );
    }
    pen.text(
        &chart.across,
        (0.5 * width, foot + 30.0),
        Align::Middle,
        ink2,
        false,
    );
    if let Some((at, text)) = &chart.cursor
        && (chart.ends.0..=chart.ends.1).contains(at)
    {
        pen.flag(text, (axis.at(*at), 11.0), ink, paper);
    }
}

fn colour(stroke: Stroke, palette: &Palette) -> Colour {
    match stroke {
        Stroke::Plain | Stroke::Dashed => palette.ink,
        Stroke::Strong => palette.hold,
    }
}

fn draw_strip(
    pen: &mut Pen,
    chart: &Chart,
    strip: &Strip,
    axis: &Axis,
    (top, bottom): (f64, f64),
    palette: &Palette,
) {
    let Palette {
        ink,
        ink2,
        paper,
        steps,
        ..
    } = *palette;
    let values = || {
        let curves = strip
            .curves
            .iter()
            .flat_map(|c| c.points.iter().map(|p| p.1));
        let areas = strip.areas.iter().flat_map(|a| a.points.iter());
        curves
            .chain(areas.flat_map(|p| [p.1, p.2]))
            .filter(|v| v.is_finite())
    };
    let most = values().fold(f64::NEG_INFINITY, f64::max);
    let least = values().fold(if strip.from_zero { 0.0 } else { f64::INFINITY }, f64::min);
    let (least, most) = if most.is_finite() && least.is_finite() {
        (least, most.max(least + 1e-9))
    } else {
        (0.0, 1.0)
    };
    let scale = Axis::new(
        (least, least + round_up(most - least)),
        (bottom - 5.0, top + 22.0),
    );
    let place = |(x, y): Point| (axis.at(x), scale.at(y));
    let mut labels = Labels::new(Rect {
        x: 0.0,
        y: top,
        width: pen.size.0,
        height: bottom - top + 6.0,
    });
    for area in &strip.areas {
        let high = area.points.iter().map(|p| place((p.0, p.2)));
        let low = area.points.iter().rev().map(|p| place((p.0, p.1)));
        let outline: Vec<Point> = high.chain(low).collect();
        if outline.len() > 3 {
            pen.fill(&outline, steps[2]);
        }
    }
    for curve in &strip.curves {
        let colour = colour(curve.stroke, palette);
        for run in runs(&curve.points) {
            let run: Vec<Point> = run.into_iter().map(place).collect();
            match curve.stroke {
                Stroke::Plain => pen.path(&run, colour, 2.2),
                Stroke::Strong => pen.path(&run, colour, 3.0),
                Stroke::Dashed => pen.dashed(&run, colour, 2.0, 8.0, 5.0),
            }
            labels.block_line(&run, 4.0);
        }
    }
    let title_width = pen.width(&strip.title, true);
    labels.block(Rect {
        x: 0.0,
        y: top + 3.0,
        width: title_width + 8.0 + pen.width(&strip.unit, false),
        height: 18.0,
    });
    if let Some((at, _)) = &chart.cursor {
        read_at(
            pen,
            strip,
            *at,
            axis,
            &scale,
            (top, bottom),
            palette,
            &mut labels,
        );
    }
    let (from, to) = (axis.at(axis.range().0), axis.at(axis.range().1));
    let name = |pen: &mut Pen, labels: &mut Labels, name: &str, points: &[Point]| {
        let width = pen.width(name, false) + 6.0;
        let mut places = Vec::new();
        for share in [0.72, 0.6, 0.82, 0.45, 0.3, 0.9, 0.18, 0.08] {
            let across = from + share * (to - from);
            let Some(p) = points.iter().find(|p| p.0 >= across) else {
                continue;
            };
            for side in [-1.0, 1.0] {
                places.push(Rect::around((p.0, p.1 + side * 12.0), width, 15.0));
            }
        }
        if let Some(place) = labels.place(&places) {
            pen.rimmed(name, place.centre(), Align::Middle, (ink, paper), false);
        }
    };
    for curve in strip.curves.iter().filter(|c| !c.name.is_empty()) {
        let points: Vec<Point> = curve
            .points
            .iter()
            .filter(|p| p.1.is_finite())
            .map(|p| place(*p))
            .collect();
        name(pen, &mut labels, &curve.name, &points);
    }
    for area in strip.areas.iter().filter(|a| !a.name.is_empty()) {
        let points: Vec<Point> = area.points.iter().map(|p| place((p.0, p.2))).collect();
        name(pen, &mut labels, &area.name, &points);
    }
    pen.rimmed(
        &strip.title,
        (0.0, top + 12.0),
        Align::Start,
        (ink, paper),
        true,
    );
    pen.rimmed(
        &strip.unit,
        (title_width + 5.0, top + 12.0),
        Align::Start,
        (ink2, paper),
        false,
    );
}

/// The hairline and the values at the cursor.
#[allow(clippy::too_many_arguments)]
fn read_at(
    pen: &mut Pen,
    strip: &Strip,
    at: f64,
    axis: &Axis,
    scale: &Axis,
    (top, bottom): (f64, f64),
    palette: &Palette,
    labels: &mut Labels,
) {
    let Palette { ink, paper, .. } = *palette;
    let (low, high) = axis.range();
    if !(low..=high).contains(&at) {
        return;
    }
    let x = axis.at(at);
    pen.line((x, top), (x, bottom), ink, 1.2);
    labels.block_line(&[(x, top), (x, bottom)], 1.0);
    for curve in &strip.curves {
        let Some(value) = value_at(&curve.points, at) else {
            continue;
        };
        let y = scale.at(value);
        pen.disc((x, y), 4.6, ink);
        pen.disc((x, y), 2.8, paper);
        labels.block(Rect::around((x, y), 10.0, 10.0));
        let text = crate::show::group(&format!("{value:.*}", strip.decimals));
        let width = pen.width(&text, true) + 4.0;
        let mut places = Vec::new();
        for y in [y - 12.5, y + 13.5] {
            let y = y.clamp(top + 8.0, bottom - 2.0);
            places.push(Rect::around((x - width / 2.0 - 7.0, y), width, 15.0));
            places.push(Rect::around((x + width / 2.0 + 7.0, y), width, 15.0));
        }
        places.retain(|p| p.x >= 0.0 && p.x + p.width <= pen.size.0);
        if let Some(place) = labels.place(&places) {
            pen.rimmed(&text, place.centre(), Align::Middle, (ink, paper), true);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gap_is_no_line_and_has_no_value() {
        let points = [
            (0.0, 1.0),
            (1.0, 2.0),
            (2.0, f64::NAN),
            (3.0, 4.0),
            (4.0, 5.0),
        ];
        assert_eq!(runs(&points).len(), 2);
        assert_eq!(value_at(&points, 0.5), Some(1.5));
        assert_eq!(value_at(&points, 1.5), None);
        assert_eq!(value_at(&points, 3.5), Some(4.5));
        assert_eq!(value_at(&points, 9.0), None);
    }
}
