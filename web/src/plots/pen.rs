//! Draws on a canvas in CSS pixels: lines, dashes, areas, text and ink boxes.

use super::colours::Colour;
use super::geometry::{Point, Rect};
use super::sharp::{FINE, Sharp};
use plotters_backend::text_anchor::{HPos, Pos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, FontFamily,
    FontStyle, FontTransform,
};
use plotters_canvas::CanvasBackend;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// The system's own sans-serif, as in the style sheet.
pub const FAMILY: &str =
    "-apple-system, 'Segoe UI', Roboto, 'Liberation Sans', system-ui, sans-serif";

/// Size of labels on plots, CSS pixels; never less on a screen.
pub const LABEL: f64 = 12.0;

/// Which end of a text its point is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// The text starts there.
    Start,
    /// The text's middle is there.
    Middle,
    /// The text ends there.
    End,
}

struct Stroke(BackendColor, u32);

impl BackendStyle for Stroke {
    fn color(&self) -> BackendColor {
        self.0
    }
    fn stroke_width(&self) -> u32 {
        self.1
    }
}

struct Lettering {
    colour: BackendColor,
    size: f64,
    bold: bool,
    align: Align,
}

impl BackendTextStyle for Lettering {
    type FontError = std::convert::Infallible;
    fn color(&self) -> BackendColor {
        self.colour
    }
    fn size(&self) -> f64 {
        self.size
    }
    fn transform(&self) -> FontTransform {
        FontTransform::None
    }
    fn style(&self) -> FontStyle {
        if self.bold {
            FontStyle::Bold
        } else {
            FontStyle::Normal
        }
    }
    fn anchor(&self) -> Pos {
        let across = match self.align {
            Align::Start => HPos::Left,
            Align::Middle => HPos::Center,
            Align::End => HPos::Right,
        };
        Pos::new(across, VPos::Center)
    }
    fn family(&self) -> FontFamily<'_> {
        FontFamily::Name(FAMILY)
    }
    fn layout_box(&self, text: &str) -> Result<((i32, i32), (i32, i32)), Self::FontError> {
        // Only asked by plotters' own layout, which is not used: labels are measured by the canvas.
        Ok((
            (0, 0),
            (text.len() as i32 * self.size as i32 / 2, self.size as i32),
        ))
    }
    fn draw<E, DrawFunc: FnMut(i32, i32, BackendColor) -> Result<(), E>>(
        &self,
        _: &str,
        _: (i32, i32),
        _: DrawFunc,
    ) -> Result<Result<(), E>, Self::FontError> {
        Ok(Ok(()))
    }
}

/// A pen over one canvas, measuring in CSS pixels.
pub struct Pen {
    backend: Sharp,
    context: CanvasRenderingContext2d,
    /// Grid steps in one CSS pixel.
    grid: f64,
    /// Width and height, CSS pixels.
    pub size: (f64, f64),
}

impl Pen {
    /// Takes a canvas of `size` CSS pixels up, gives it the device's pixels and wipes it; `None`
    /// where the browser has no canvas.
    pub fn new(canvas: &HtmlCanvasElement, size: (f64, f64), ratio: f64) -> Option<Self> {
        let ratio = ratio.clamp(1.0, 4.0);
        let (width, height) = (
            (size.0 * ratio).round() as u32,
            (size.1 * ratio).round() as u32,
        );
        if width == 0 || height == 0 {
            return None;
        }
        // Setting the size wipes the canvas, even to the same: it is only done when it changes.
        if canvas.width() != width || canvas.height() != height {
            canvas.set_width(width);
            canvas.set_height(height);
            // Exactly as large on the page as it has pixels: a fraction more would blur them all.
            let style = canvas.style();
            for (side, pixels) in [("width", width), ("height", height)] {
                let _ = style.set_property(side, &format!("{}px", f64::from(pixels) / ratio));
            }
        }
        let context: CanvasRenderingContext2d = canvas.get_context("2d").ok()??.dyn_into().ok()?;
        let fine = f64::from(FINE);
        context
            .set_transform(1.0 / fine, 0.0, 0.0, 1.0 / fine, 0.0, 0.0)
            .ok()?;
        context.clear_rect(0.0, 0.0, f64::from(width) * fine, f64::from(height) * fine);
        context.set_line_join("round");
        context.set_line_cap("butt");
        let backend = Sharp::new(CanvasBackend::with_canvas_object(canvas.clone())?);
        Some(Self {
            backend,
            context,
            grid: ratio * fine,
            size,
        })
    }

    fn at(&self, point: Point) -> BackendCoord {
        (
            (point.0 * self.grid).round() as i32,
            (point.1 * self.grid).round() as i32,
        )
    }

    fn stroke(&self, colour: Colour, width: f64) -> Stroke {
        Stroke(colour.into(), (width * self.grid).round().max(1.0) as u32)
    }

    // A canvas refuses nothing that is drawn here; what it might refuse would only leave a stroke out.

    /// A line through points.
    pub fn path(&mut self, points: &[Point], colour: Colour, width: f64) {
        let style = self.stroke(colour, width);
        let path: Vec<BackendCoord> = points.iter().map(|p| self.at(*p)).collect();
        let _ = self.backend.draw_path(path, &style);
    }

    /// A line from one point to another; upright and level ones lie on whole device pixels.
    pub fn line(&mut self, from: Point, to: Point, colour: Colour, width: f64) {
        if from.0 != to.0 && from.1 != to.1 {
            self.path(&[from, to], colour, width);
            return;
        }
        let fine = FINE as i32;
        let pixels = (width * self.grid / f64::from(FINE)).round().max(1.0) as i32;
        // An odd number of pixels lies about the middle of one, an even number about an edge.
        let snap = |at: i32| {
            if pixels % 2 == 1 {
                at.div_euclid(fine) * fine + fine / 2
            } else {
                (at + fine / 2).div_euclid(fine) * fine
            }
        };
        let (mut a, mut b) = (self.at(from), self.at(to));
        if from.0 == to.0 {
            a.0 = snap(a.0);
            b.0 = a.0;
        } else {
            a.1 = snap(a.1);
            b.1 = a.1;
        }
        let style = Stroke(colour.into(), (pixels * fine) as u32);
        let _ = self.backend.draw_path([a, b], &style);
    }

    /// Draws only inside of a box until [`Pen::unclip`].
    pub fn clip(&mut self, rect: Rect) {
        self.context.save();
        self.context.begin_path();
        self.context.rect(
            rect.x * self.grid,
            rect.y * self.grid,
            rect.width * self.grid,
            rect.height * self.grid,
        );
        self.context.clip();
    }

    /// Draws everywhere again.
    pub fn unclip(&mut self) {
        self.context.restore();
    }

    /// A dashed line through points: `on` drawn, `off` left out, in CSS pixels.
    pub fn dashed(&mut self, points: &[Point], colour: Colour, width: f64, on: f64, off: f64) {
        self.paths(&super::geometry::dashes(points, on, off), colour, width);
    }

    /// Many lines at one stroke: hatching has hundreds, and one by one they cost more than all
    /// else on the plot.
    pub fn paths(&mut self, paths: &[impl AsRef<[Point]>], colour: Colour, width: f64) {
        self.context.set_stroke_style_str(&colour.css());
        self.context
            .set_line_width(f64::from(self.stroke(colour, width).1));
        self.context.begin_path();
        for path in paths {
            for (place, point) in path.as_ref().iter().enumerate() {
                let (x, y) = self.at(*point);
                if place == 0 {
                    self.context.move_to(f64::from(x), f64::from(y));
                } else {
                    self.context.line_to(f64::from(x), f64::from(y));
                }
            }
        }
        self.context.stroke();
    }

    /// An area.
    pub fn fill(&mut self, points: &[Point], colour: Colour) {
        let style = self.stroke(colour, 1.0);
        let path: Vec<BackendCoord> = points.iter().map(|p| self.at(*p)).collect();
        let _ = self.backend.fill_polygon(path, &style);
    }

    /// A disc.
    pub fn disc(&mut self, centre: Point, radius: f64, colour: Colour) {
        let style = self.stroke(colour, 1.0);
        let radius = (radius * self.grid).round() as u32;
        let _ = self
            .backend
            .draw_circle(self.at(centre), radius, &style, true);
    }

    /// A ring.
    pub fn ring(&mut self, centre: Point, radius: f64, colour: Colour, width: f64) {
        let style = self.stroke(colour, width);
        let radius = (radius * self.grid).round() as u32;
        let _ = self
            .backend
            .draw_circle(self.at(centre), radius, &style, false);
    }

    /// A filled box.
    pub fn block(&mut self, rect: Rect, colour: Colour) {
        let style = self.stroke(colour, 1.0);
        let (from, to) = (
            self.at((rect.x, rect.y)),
            self.at((rect.x + rect.width, rect.y + rect.height)),
        );
        let _ = self.backend.draw_rect(from, to, &style, true);
    }

    /// A text of [`LABEL`] size, its middle at the height of `at`.
    pub fn text(&mut self, text: &str, at: Point, align: Align, colour: Colour, bold: bool) {
        let style = Lettering {
            colour: colour.into(),
            size: LABEL * self.grid,
            bold,
            align,
        };
        let _ = self.backend.draw_text(text, &style, self.at(at));
    }

    /// The same with a rim of `rim`, so that it reads on lines.
    pub fn rimmed(
        &mut self,
        text: &str,
        at: Point,
        align: Align,
        colours: (Colour, Colour),
        bold: bool,
    ) {
        let (colour, rim) = colours;
        self.set_font(bold);
        self.context.set_text_align(match align {
            Align::Start => "start",
            Align::Middle => "center",
            Align::End => "end",
        });
        self.context.set_text_baseline("middle");
        self.context.set_stroke_style_str(&rim.css());
        self.context.set_line_width(3.0 * self.grid);
        let (x, y) = self.at(at);
        let _ = self.context.stroke_text(text, f64::from(x), f64::from(y));
        self.text(text, at, align, colour, bold);
    }

    /// A value in a box of ink, centred at `at` and held inside the plot.
    pub fn flag(&mut self, text: &str, at: Point, ink: Colour, paper: Colour) -> Rect {
        let width = self.width(text, true) + 12.0;
        let x = (at.0 - width / 2.0).clamp(0.0, (self.size.0 - width).max(0.0));
        let y = (at.1 - 10.0).clamp(0.0, (self.size.1 - 20.0).max(0.0));
        let rect = Rect {
            x,
            y,
            width,
            height: 20.0,
        };
        self.block(rect, ink);
        self.text(
            text,
            (x + width / 2.0, y + 10.5),
            Align::Middle,
            paper,
            true,
        );
        rect
    }

    /// The same with ink on paper, in a frame of ink.
    pub fn framed_flag(&mut self, text: &str, at: Point, ink: Colour, paper: Colour) {
        let rect = self.flag(text, at, ink, paper);
        self.block(rect.grown(-1.5), paper);
        let centre = (rect.x + rect.width / 2.0, rect.y + 10.5);
        self.text(text, centre, Align::Middle, ink, true);
    }

    fn set_font(&self, bold: bool) {
        let weight = if bold { "bold" } else { "normal" };
        self.context
            .set_font(&format!("{weight} {}px {FAMILY}", LABEL * self.grid));
    }

    /// How wide a text is, CSS pixels.
    pub fn width(&self, text: &str, bold: bool) -> f64 {
        self.set_font(bold);
        self.context
            .measure_text(text)
            .map_or(text.chars().count() as f64 * LABEL * 0.56, |m| {
                m.width() / self.grid
            })
    }
}
