//! A picture comes in: picked, pasted or dropped, turned upright as it says itself, and made smaller
//! if it is larger than a finger can use. It stays in this page's memory.

use super::Desk;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::cell::RefCell;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, CanvasRenderingContext2d, HtmlCanvasElement, ImageBitmap};

/// Longest side that is kept, pixels: a map's lines on a large photograph are still several wide.
const LONGEST: f64 = 2400.0;
/// Largest file that is opened, bytes: more than a phone's photograph has.
const LARGEST: f64 = 60e6;
/// Shortest side that anything can be marked on, pixels.
const SHORTEST: f64 = 100.0;

thread_local! {
    /// The picture that is traced. It outlives the place, so that one can look elsewhere and come back.
    static PICTURE: RefCell<Option<HtmlCanvasElement>> = const { RefCell::new(None) };
}

/// Does something with the picture, if there is one.
pub fn with_picture<T>(act: impl FnOnce(&HtmlCanvasElement) -> T) -> Option<T> {
    PICTURE.with(|picture| picture.borrow().as_ref().map(act))
}

/// Its width and height, pixels.
pub fn size() -> Option<(f64, f64)> {
    with_picture(|p| (f64::from(p.width()), f64::from(p.height())))
}

/// The picture of a file as a canvas of its own, no longer than [`LONGEST`].
async fn decode(blob: &Blob) -> Result<HtmlCanvasElement, JsValue> {
    let bitmap: ImageBitmap = JsFuture::from(window().create_image_bitmap_with_blob(blob)?)
        .await?
        .dyn_into()?;
    let (width, height) = (f64::from(bitmap.width()), f64::from(bitmap.height()));
    let scale = (LONGEST / width.max(height)).min(1.0);
    let canvas: HtmlCanvasElement = document().create_element("canvas")?.dyn_into()?;
    canvas.set_width((width * scale).round().max(1.0) as u32);
    canvas.set_height((height * scale).round().max(1.0) as u32);
    let context: CanvasRenderingContext2d =
        canvas.get_context("2d")?.ok_or(JsValue::NULL)?.dyn_into()?;
    // Where it is see-through it is paper.
    context.set_fill_style_str("#ffffff");
    let (width, height) = (f64::from(canvas.width()), f64::from(canvas.height()));
    context.fill_rect(0.0, 0.0, width, height);
    context.draw_image_with_image_bitmap_and_dw_and_dh(&bitmap, 0.0, 0.0, width, height)?;
    bitmap.close();
    Ok(canvas)
}

/// Takes a picture in.
pub fn take(desk: Desk, blob: Blob, name: String) {
    let refused = move |why: &str| desk.told.set(format!("“{name}” was not opened. {why}"));
    if blob.size() > LARGEST {
        return refused("It has more than 60 MB: take a smaller picture of the map.");
    }
    spawn_local(async move {
        match decode(&blob).await {
            Ok(canvas) if f64::from(canvas.width().min(canvas.height())) < SHORTEST => refused(
                "It has less than 100 pixels across: nothing could be marked on it. Take a larger picture.",
            ),
            Ok(canvas) => {
                PICTURE.with(|picture| *picture.borrow_mut() = Some(canvas));
                desk.picture_came();
            }
            Err(_) => refused(
                "This browser cannot read it as a picture: take a PNG, a JPEG or a WebP, or a photograph of the map on a screen or on paper.",
            ),
        }
    });
}

/// The first picture among what was pasted or dropped.
pub fn of_transfer(transfer: Option<web_sys::DataTransfer>) -> Option<web_sys::File> {
    let files = transfer?.files()?;
    (0..files.length())
        .filter_map(|at| files.get(at))
        .find(|file| file.type_().starts_with("image/"))
}

/// A picture from the clipboard, where the browser lets the page ask for it.
pub fn paste(desk: Desk) {
    spawn_local(async move {
        let clipboard = window().navigator().clipboard();
        let found: Result<Option<Blob>, JsValue> = async {
            let items: js_sys::Array = JsFuture::from(clipboard.read()).await?.dyn_into()?;
            for item in items.iter() {
                let types = js_sys::Array::from(&js_sys::Reflect::get(&item, &"types".into())?);
                let image = types
                    .iter()
                    .filter_map(|t| t.as_string())
                    .find(|t| t.starts_with("image/"));
                if let Some(kind) = image {
                    let get: js_sys::Function =
                        js_sys::Reflect::get(&item, &"getType".into())?.dyn_into()?;
                    let blob: js_sys::Promise = get.call1(&item, &kind.into())?.dyn_into()?;
                    return Ok(Some(JsFuture::from(blob).await?.dyn_into()?));
                }
            }
            Ok(None)
        }
        .await;
        match found {
            Ok(Some(blob)) => take(desk, blob, "The pasted picture".to_owned()),
            Ok(None) => desk.told.set(
                "There is no picture in the clipboard: copy one first, or open it from a file."
                    .to_owned(),
            ),
            Err(_) => desk.told.set(
                "This browser did not let the page look into the clipboard: press Control and V, or open the picture from a file.".to_owned(),
            ),
        }
    });
}
