//! Draws the board: the picture, what was marked, the fitted map, and the glass that enlarges what is
//! under a finger.

use super::look::Look;
use super::{Desk, Fitted, Hand, load};
use crate::plots::geometry::Point;
use airpath::map_picture::{Grip, Meaning, Plane, Spot, Tracing};
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// Okabe & Ito (Color Universal Design, 2008), on a white edge so that they are seen on any picture.
const LINE: &str = "#0072b2";
const SURGE: &str = "#d55e00";
const ISLAND: &str = "#7b3294";
const FIT: &str = "#009e73";
const CORNER: &str = "#000000";
const EDGE: &str = "#ffffff";

/// Radius of the glass and how much it enlarges beyond the board, CSS pixels.
const GLASS: f64 = 62.0;
const ENLARGED: f64 = 3.0;

struct Brush<'a> {
    context: &'a CanvasRenderingContext2d,
    look: Look,
}

impl Brush<'_> {
    fn path(&self, spots: impl Iterator<Item = Spot>) -> bool {
        self.context.begin_path();
        let mut count = 0;
        for spot in spots {
            let (x, y) = self.look.board(spot);
            if count == 0 {
                self.context.move_to(x, y);
            } else {
                self.context.line_to(x, y);
            }
            count += 1;
        }
        count > 1
    }

    fn line(&self, spots: impl Iterator<Item = Spot>, colour: &str, width: f64, dashed: bool) {
        if !self.path(spots) {
            return;
        }
        self.context.set_stroke_style_str(EDGE);
        self.context.set_line_width(width + 2.5);
        self.context.stroke();
        let dashes = js_sys::Array::new();
        if dashed {
            dashes.push(&7.0.into());
            dashes.push(&5.0.into());
        }
        let _ = self.context.set_line_dash(&dashes);
        self.context.set_stroke_style_str(colour);
        self.context.set_line_width(width);
        self.context.stroke();
        let _ = self.context.set_line_dash(&js_sys::Array::new());
    }

    fn dot(&self, spot: Spot, radius: f64, colour: &str) {
        let (x, y) = self.look.board(spot);
        for (radius, colour) in [(radius + 1.5, EDGE), (radius, colour)] {
            self.context.begin_path();
            let _ = self.context.arc(x, y, radius, 0.0, std::f64::consts::TAU);
            self.context.set_fill_style_str(colour);
            self.context.fill();
        }
    }

    fn ring(&self, spot: Spot, radius: f64) {
        let (x, y) = self.look.board(spot);
        for (width, colour) in [(5.0, EDGE), (2.5, CORNER)] {
            self.context.begin_path();
            let _ = self.context.arc(x, y, radius, 0.0, std::f64::consts::TAU);
            self.context.set_stroke_style_str(colour);
            self.context.set_line_width(width);
            self.context.stroke();
        }
    }

    fn words(&self, text: &str, (x, y): Point, colour: &str) {
        self.context
            .set_font(&format!("bold 12px {}", crate::plots::pen::FAMILY));
        self.context.set_line_width(4.0);
        self.context.set_line_join("round");
        self.context.set_stroke_style_str(EDGE);
        let _ = self.context.stroke_text(text, x, y);
        self.context.set_fill_style_str(colour);
        let _ = self.context.fill_text(text, x, y);
    }
}

const fn colour(meaning: Meaning) -> &'static str {
    match meaning {
        Meaning::SpeedLine(_) => LINE,
        Meaning::SurgeLine => SURGE,
        Meaning::Island(_) => ISLAND,
    }
}

fn short(meaning: Meaning) -> String {
    match meaning {
        Meaning::SpeedLine(speed) => crate::show::group(&format!("{speed:.0}")),
        Meaning::SurgeLine => "surge".to_owned(),
        Meaning::Island(efficiency) => format!("{:.1} %", 100.0 * efficiency),
    }
}

/// What was marked.
fn marks(brush: &Brush, tracing: &Tracing, desk: Desk, size: (f64, f64)) {
    let held = desk.picked.get_untracked();
    let meaning = desk.meaning_untracked();
    for (at, stroke) in tracing.strokes.iter().enumerate() {
        let colour = colour(stroke.meaning);
        let current = meaning == Some(stroke.meaning);
        for (place, spot) in stroke.spots.iter().enumerate() {
            brush.dot(*spot, if current { 4.5 } else { 3.5 }, colour);
            if held == Some(Grip::Spot(at, place)) {
                brush.ring(*spot, 9.0);
            }
        }
        // Named at its last spot, inside the board.
        let last = stroke
            .spots
            .iter()
            .copied()
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(last) = last {
            let (x, y) = brush.look.board(last);
            let text = short(stroke.meaning);
            let x = x.min(size.0 - 9.0 * text.len() as f64).max(4.0);
            brush.words(&text, (x + 8.0, y - 8.0), colour);
        }
    }
}

/// The area that the corners span.
fn corners(brush: &Brush, tracing: &Tracing, desk: Desk) {
    let marking = desk.hand.get_untracked() == Hand::Corners;
    let round = tracing.corners.iter().chain(tracing.corners.first());
    brush.line(
        round.copied(),
        CORNER,
        if marking { 2.0 } else { 1.0 },
        true,
    );
    if !marking {
        return;
    }
    let values = [
        (tracing.flows.0, tracing.ratios.0),
        (tracing.flows.1, tracing.ratios.0),
        (tracing.flows.1, tracing.ratios.1),
        (tracing.flows.0, tracing.ratios.1),
    ];
    for (at, (corner, (flow, ratio))) in tracing.corners.iter().zip(values).enumerate() {
        brush.ring(*corner, 11.0);
        brush.dot(*corner, 2.0, CORNER);
        let (x, y) = brush.look.board(*corner);
        let down = if at < 2 { 26.0 } else { -18.0 };
        let text = format!("{flow} · {ratio}");
        let along = if at == 1 || at == 2 {
            x - 7.0 * text.len() as f64
        } else {
            x
        };
        brush.words(&text, (along.max(4.0), y + down), CORNER);
    }
}

/// The fitted map over the picture.
fn fitted(brush: &Brush, plane: &Plane, fit: &Fitted) {
    let Fitted::Map(found) = fit else {
        return;
    };
    for line in &found.lines {
        brush.line(line.iter().filter_map(|v| plane.spot(*v)), FIT, 2.0, false);
    }
    for line in &found.contours {
        brush.line(line.iter().filter_map(|v| plane.spot(*v)), FIT, 1.5, true);
    }
}

/// The glass, out of the finger's way.
fn glass(
    brush: &Brush,
    picture: &HtmlCanvasElement,
    at: Point,
    size: (f64, f64),
    below: &dyn Fn(&Brush),
) {
    let context = brush.context;
    let margin = GLASS + 6.0;
    // In the corner that the finger is not near.
    let left = at.0 > 0.5 * size.0;
    let centre = (if left { margin } else { size.0 - margin }, margin);
    let spot = brush.look.picture(at);
    let scale = brush.look.scale * ENLARGED;
    context.save();
    context.begin_path();
    let _ = context.arc(centre.0, centre.1, GLASS, 0.0, std::f64::consts::TAU);
    context.set_fill_style_str(EDGE);
    context.fill();
    context.clip();
    let enlarged = Brush {
        context,
        look: Look {
            scale,
            origin: (centre.0 - scale * spot.0, centre.1 - scale * spot.1),
        },
    };
    draw_picture(context, picture, enlarged.look);
    below(&enlarged);
    context.restore();
    for (width, colour) in [(3.0, EDGE), (1.0, CORNER)] {
        context.set_stroke_style_str(colour);
        context.set_line_width(width);
        context.begin_path();
        for (from, to) in [((-14.0, 0.0), (14.0, 0.0)), ((0.0, -14.0), (0.0, 14.0))] {
            context.move_to(centre.0 + from.0, centre.1 + from.1);
            context.line_to(centre.0 + to.0, centre.1 + to.1);
        }
        context.stroke();
        context.begin_path();
        let _ = context.arc(centre.0, centre.1, GLASS, 0.0, std::f64::consts::TAU);
        context.stroke();
    }
}

fn draw_picture(context: &CanvasRenderingContext2d, picture: &HtmlCanvasElement, look: Look) {
    let _ = context.draw_image_with_html_canvas_element_and_dw_and_dh(
        picture,
        look.origin.0,
        look.origin.1,
        look.scale * f64::from(picture.width()),
        look.scale * f64::from(picture.height()),
    );
}

/// Draws the board.
pub fn board(canvas: &HtmlCanvasElement, desk: Desk) {
    let size = desk.size.get_untracked();
    let ratio = window().device_pixel_ratio().clamp(1.0, 4.0);
    let (width, height) = ((size.0 * ratio).round(), (size.1 * ratio).round());
    if width < 1.0 || height < 1.0 {
        return;
    }
    if f64::from(canvas.width()) != width || f64::from(canvas.height()) != height {
        canvas.set_width(width as u32);
        canvas.set_height(height as u32);
    }
    let Some(context) = canvas
        .get_context("2d")
        .ok()
        .flatten()
        .and_then(|c| c.dyn_into::<CanvasRenderingContext2d>().ok())
    else {
        return;
    };
    let _ = context.set_transform(ratio, 0.0, 0.0, ratio, 0.0, 0.0);
    context.clear_rect(0.0, 0.0, size.0, size.1);
    let brush = Brush {
        context: &context,
        look: desk.look.get_untracked(),
    };
    load::with_picture(|picture| {
        draw_picture(&context, picture, brush.look);
        desk.tracing.with_untracked(|tracing| {
            let Some(tracing) = tracing else { return };
            corners(&brush, tracing, desk);
            if let Ok(plane) = tracing.plane() {
                desk.fit.with_untracked(|fit| fitted(&brush, &plane, fit));
            }
            marks(&brush, tracing, desk, size);
            if let Some(at) = desk.under.get_untracked() {
                glass(&brush, picture, at, size, &|brush| {
                    // Whatever else is marked there, but not what the finger holds.
                    for stroke in &tracing.strokes {
                        for spot in &stroke.spots {
                            brush.dot(*spot, 2.0, colour(stroke.meaning));
                        }
                    }
                });
            }
        });
    });
}
