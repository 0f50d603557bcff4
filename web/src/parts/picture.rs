//! A picture of a plot as a file: drawn anew at three device pixels to one of CSS, with its title
//! and the name of the build, on the paper of the theme.

use crate::plots::pen::Pen;
use crate::show::speed;
use crate::store::Store;
use leptos::prelude::*;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Blob, CanvasRenderingContext2d, Element, HtmlCanvasElement, HtmlImageElement};

/// Pixels of the picture in one CSS pixel: enough for print.
const SCALE: f64 = 3.0;
/// The margin around the plot, and the room for the title above it, CSS pixels.
const MARGIN: f64 = 16.0;
const HEAD: f64 = 60.0;

type Draw = Rc<dyn Fn(&mut Pen)>;
type Known = (&'static str, Draw, RwSignal<(f64, f64)>);

thread_local! {
    static PLOTS: RefCell<Vec<Known>> = const { RefCell::new(Vec::new()) };
}

/// Makes a canvas known, so that it can be drawn into a picture.
pub fn register(name: &'static str, draw: Draw, size: RwSignal<(f64, f64)>) {
    PLOTS.with_borrow_mut(|plots| {
        plots.retain(|(known, ..)| *known != name);
        plots.push((name, draw, size));
    });
}

/// Hands a file to the browser to save.
pub fn hand_over(name: &str, file: &Blob) -> Option<()> {
    let address = web_sys::Url::create_object_url_with_blob(file).ok()?;
    let link: web_sys::HtmlAnchorElement = document().create_element("a").ok()?.dyn_into().ok()?;
    link.set_href(&address);
    link.set_download(name);
    link.click();
    // The browser has taken the address by now or never will.
    set_timeout(
        move || {
            let _ = web_sys::Url::revoke_object_url(&address);
        },
        std::time::Duration::from_secs(30),
    );
    Some(())
}

fn new_canvas() -> Option<HtmlCanvasElement> {
    document().create_element("canvas").ok()?.dyn_into().ok()
}

/// The sheet that a plot of `size` goes on, with what stands above it.
struct Sheet {
    canvas: HtmlCanvasElement,
    context: CanvasRenderingContext2d,
    file: String,
}

impl Sheet {
    fn new(store: Store, name: &str, title: &str, size: (f64, f64)) -> Option<Self> {
        let canvas = new_canvas()?;
        let (width, height) = (size.0 + 2.0 * MARGIN, size.1 + HEAD + MARGIN);
        canvas.set_width((width * SCALE).round() as u32);
        canvas.set_height((height * SCALE).round() as u32);
        let context: CanvasRenderingContext2d = canvas.get_context("2d").ok()??.dyn_into().ok()?;
        let palette = store.palette.get_untracked();
        context.scale(SCALE, SCALE).ok()?;
        context.set_fill_style_str(&palette.paper.css());
        context.fill_rect(0.0, 0.0, width, height);
        context.set_text_baseline("middle");
        let build = store.build.with_untracked(|b| b.name().to_owned());
        let at = speed(store.engine_speed.get_untracked(), 10.0);
        let lines = [
            ("bold 16px", title.to_owned(), palette.ink, 22.0),
            (
                "13px",
                format!("{build}, at {at} rev/min"),
                palette.ink2,
                44.0,
            ),
        ];
        for (font, text, colour, y) in lines {
            context.set_font(&format!("{font} {}", crate::plots::pen::FAMILY));
            context.set_fill_style_str(&colour.css());
            let most = width - 2.0 * MARGIN;
            let _ = context.fill_text_with_max_width(&text, MARGIN, y, most);
        }
        let stem = super::header::file_name(&build);
        let stem = stem.trim_end_matches(".airpath.json");
        Some(Self {
            canvas,
            context,
            file: format!("{stem}-{name}.png"),
        })
    }

    /// Saves it.
    fn save(self, store: Store) {
        let file = self.file;
        let done = Closure::once_into_js(move |blob: Option<Blob>| {
            if blob.and_then(|blob| hand_over(&file, &blob)).is_none() {
                refused(store);
            }
        });
        if self.canvas.to_blob(done.unchecked_ref()).is_err() {
            refused(store);
        }
    }
}

fn refused(store: Store) {
    store.notice.set(Some(
        "This browser did not let the page save a picture. A screenshot of the plot does the same."
            .to_owned(),
    ));
}

/// What a drawing takes from the style sheet; a picture of its own does not know it.
const STYLES: [&str; 11] = [
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "stroke-dashoffset",
    "stroke-linejoin",
    "paint-order",
    "font-family",
    "font-size",
    "font-weight",
    "font-variant-numeric",
];

/// A drawing as an address of its own, with its styles written into it.
fn address_of(drawing: &Element, size: (f64, f64)) -> Option<String> {
    let copy: Element = drawing.clone_node_with_deep(true).ok()?.dyn_into().ok()?;
    copy.set_attribute("width", &size.0.to_string()).ok()?;
    copy.set_attribute("height", &size.1.to_string()).ok()?;
    let (from, to) = (
        drawing.query_selector_all("*").ok()?,
        copy.query_selector_all("*").ok()?,
    );
    for place in 0..from.length() {
        let from: Element = from.item(place)?.dyn_into().ok()?;
        let to: Element = to.item(place)?.dyn_into().ok()?;
        let style = window().get_computed_style(&from).ok()??;
        let words: Vec<String> = STYLES
            .iter()
            .map(|name| {
                let value = style.get_property_value(name).unwrap_or_default();
                format!("{name}:{}", value.replace('"', "'"))
            })
            .collect();
        to.set_attribute("style", &words.join(";")).ok()?;
    }
    let text = web_sys::XmlSerializer::new()
        .ok()?
        .serialize_to_string(&copy)
        .ok()?;
    let text: String = js_sys::encode_uri_component(&text).into();
    Some(format!("data:image/svg+xml;charset=utf-8,{text}"))
}

fn of_canvas(store: Store, name: &str, title: &str) -> Option<()> {
    let (draw, size) = PLOTS.with_borrow(|plots| {
        plots
            .iter()
            .find(|(known, ..)| *known == name)
            .map(|(_, draw, size)| (draw.clone(), size.get_untracked()))
    })?;
    let sheet = Sheet::new(store, name, title, size)?;
    let plot = new_canvas()?;
    draw(&mut Pen::new(&plot, size, SCALE)?);
    let (x, y) = (MARGIN, HEAD);
    sheet
        .context
        .draw_image_with_html_canvas_element_and_dw_and_dh(&plot, x, y, size.0, size.1)
        .ok()?;
    sheet.save(store);
    Some(())
}

fn of_drawing(store: Store, name: &str, title: &str) -> Option<()> {
    let selector = format!("svg[data-plot={name}]");
    let drawing = document().query_selector(&selector).ok()??;
    let rect = drawing.get_bounding_client_rect();
    let size = (rect.width(), rect.height());
    let sheet = Sheet::new(store, name, title, size)?;
    let image = HtmlImageElement::new().ok()?;
    image.set_src(&address_of(&drawing, size)?);
    let loaded = image.clone();
    let ready = Closure::once_into_js(move || {
        let drawn = sheet
            .context
            .draw_image_with_html_image_element_and_dw_and_dh(
                &loaded, MARGIN, HEAD, size.0, size.1,
            );
        match drawn {
            Ok(()) => sheet.save(store),
            Err(_) => refused(store),
        }
    });
    image.set_onload(Some(ready.unchecked_ref()));
    let failed = Closure::once_into_js(move || refused(store));
    image.set_onerror(Some(failed.unchecked_ref()));
    Some(())
}

/// Saves a picture of a plot.
pub fn save(store: Store, name: &str, title: &str) {
    if of_canvas(store, name, title)
        .or_else(|| of_drawing(store, name, title))
        .is_none()
    {
        refused(store);
    }
}
