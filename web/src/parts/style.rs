//! Style sheets of parts that come later: they come with the part's code, not with a first visit.
//!
//! A sheet that is made by the program is none of the inline ones that the page's policy forbids.

use leptos::prelude::{document, window};
use std::cell::RefCell;
use wasm_bindgen::{JsCast, JsValue};

thread_local! {
    /// The names of those that are worn.
    static WORN: RefCell<Vec<&'static str>> = const { RefCell::new(Vec::new()) };
}

/// Puts a style sheet on the page, once; a browser that knows no such sheets shows the part plainly.
pub fn wear(name: &'static str, text: &str) {
    let first = WORN.with_borrow_mut(|worn| {
        let first = !worn.contains(&name);
        if first {
            worn.push(name);
        }
        first
    });
    if first {
        let _ = put_on(text);
    }
}

fn put_on(text: &str) -> Result<(), JsValue> {
    let make: js_sys::Function =
        js_sys::Reflect::get(&window(), &"CSSStyleSheet".into())?.dyn_into()?;
    let sheet = js_sys::Reflect::construct(&make, &js_sys::Array::new())?;
    let fill: js_sys::Function = js_sys::Reflect::get(&sheet, &"replaceSync".into())?.dyn_into()?;
    fill.call1(&sheet, &text.into())?;
    let document = document();
    let key = JsValue::from_str("adoptedStyleSheets");
    let worn = js_sys::Reflect::get(&document, &key)?;
    let all = js_sys::Array::from(&worn);
    all.push(&sheet);
    js_sys::Reflect::set(&document, &key, &all)?;
    Ok(())
}
