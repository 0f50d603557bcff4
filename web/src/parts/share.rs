//! The link to the build that stands: to copy, to hand to the device, to scan.

use super::shapes::{list, live, perhaps, press};
use crate::store::{Store, use_store};
use airpath::build::{from_link, to_link};
use leptos::prelude::*;
use leptos::task::spawn_local;
use qrcodegen::{QrCode, QrCodeEcc};
use std::fmt::Write;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;

/// Longer than this a link is trouble to send and its code is trouble to scan: a line of a chat,
/// and a code of 105 modules, are still fine.
const LONG: usize = 600;

/// Clear space around a code, in modules (ISO/IEC 18004).
const QUIET_ZONE: i32 = 4;

/// The code of a text as the outline of its dark modules, and how many modules it is wide; `None`
/// where the text is too long for any code.
pub fn code(text: &str) -> Option<(String, i32)> {
    let code = QrCode::encode_binary(text.as_bytes(), QrCodeEcc::Low).ok()?;
    let mut outline = String::new();
    for y in 0..code.size() {
        let mut x = 0;
        while x < code.size() {
            let from = x;
            while code.get_module(x, y) {
                x += 1;
            }
            if x > from {
                let width = x - from;
                let _ = write!(outline, "M{from} {y}h{width}v1h-{width}z");
            }
            x += 1;
        }
    }
    Some((outline, code.size()))
}

/// The element that a selector finds first.
pub fn element<T: JsCast>(selector: &str) -> Option<T> {
    document().query_selector(selector).ok()??.dyn_into().ok()
}

/// Selects the link, so that it can be copied by hand.
fn select() {
    if let Some(input) = element::<web_sys::HtmlInputElement>("[data-share-link]") {
        let _ = input.focus();
        input.select();
    }
}

/// Shows the link, or puts it away.
pub fn share(store: Store, open: bool) {
    store.sharing.set(open);
    let next = if open {
        "[data-act=copy]"
    } else {
        "[data-act=share]"
    };
    request_animation_frame(move || {
        if let Some(button) = element::<web_sys::HtmlElement>(next) {
            let _ = button.focus();
        }
        if let Some(panel) = element::<web_sys::Element>("[data-share]") {
            panel.scroll_into_view();
        }
    });
}

/// The link to the build that stands.
#[component]
pub fn Share() -> AnyView {
    let store = use_store();
    perhaps(move || store.sharing.get().then(|| panel(store)))
}

fn panel(store: Store) -> AnyView {
    let said = RwSignal::new(String::new());
    let body = live(move || {
        said.set(String::new());
        let page = window().location().href().unwrap_or_default();
        let page = page.split('#').next().unwrap_or_default().to_owned();
        let (name, link) = store.build.with(|b| (b.name().to_owned(), to_link(b)));
        match link {
            Ok(link) => {
                // A long map goes rounded to fit.
                let whole = from_link(&link).is_ok_and(|back| store.build.with(|b| back == **b));
                let short = (!whole).then(|| {
                    view! { <p class="quiet" data-rounded="">"The compressor map is rounded to fit into the link: a few millionths of its axes, and of a map with many points not every one. An exported file carries it whole."</p> }
                        .into_any()
                });
                list([shown(said, name, page + &link)].into_iter().chain(short))
            }
            Err(error) => view! { <p>{error.to_string()}</p> }.into_any(),
        }
    });
    view! {
        <section class="share" data-share="" aria-label="Share this build">
            <header>
                <h2>"Share this build"</h2>
                <button type="button" class="small" data-act="unshare" on:click=press(move || share(store, false))>"Close"</button>
            </header>
            {body}
            <p role="status" data-said="">{said}</p>
        </section>
    }
    .into_any()
}

fn shown(said: RwSignal<String>, name: String, link: String) -> AnyView {
    let copy = {
        let link = link.clone();
        move || {
            let link = link.clone();
            spawn_local(async move {
                let navigator = window().navigator();
                // Without a secure address there is no clipboard to write to.
                let there = js_sys::Reflect::get(&navigator, &"clipboard".into());
                let copied = match there.is_ok_and(|c| c.is_object()) {
                    true => JsFuture::from(navigator.clipboard().write_text(&link))
                        .await
                        .is_ok(),
                    false => false,
                };
                if !copied {
                    select();
                }
                said.set(match copied {
                    true => "The link is copied.".to_owned(),
                    false => "This browser did not let the page copy. The link is selected: copy it yourself.".to_owned(),
                });
            });
        }
    };
    let can_share = js_sys::Reflect::has(&window().navigator(), &"share".into()).unwrap_or(false);
    let send = {
        let link = link.clone();
        move || {
            let data = web_sys::ShareData::new();
            data.set_title(&name);
            data.set_url(&link);
            spawn_local(async move {
                // Put away by the person: nothing to tell.
                let _ = JsFuture::from(window().navigator().share_with_data(&data)).await;
            });
        }
    };
    let mut buttons = vec![
        view! { <button type="button" class="first" data-act="copy" on:click=press(copy)>"Copy the link"</button> }.into_any(),
    ];
    if can_share {
        buttons.push(
            view! { <button type="button" data-act="send" on:click=press(send)>"Send…"</button> }
                .into_any(),
        );
    }
    let length = link.chars().count();
    let mut notes = vec!["It holds the whole build. Whoever opens it sees it beside their own; nothing is sent until you send it.".to_owned()];
    if length > LONG {
        notes.push(format!("It has {length} characters: some programs cut links as long as that. Then send the file (Export)."));
    }
    if link.starts_with("file:") {
        notes.push(
            "This page is a file on your device: the link opens only where that file is."
                .to_owned(),
        );
    }
    let picture = match code(&link) {
        Some((outline, size)) => view! {
            <figure>
                <svg viewBox=format!("{} {} {} {}", -QUIET_ZONE, -QUIET_ZONE, size + 2 * QUIET_ZONE, size + 2 * QUIET_ZONE)
                    role="img" aria-label="The link as a QR code" data-code="" shape-rendering="crispEdges">
                    <path d=outline/>
                </svg>
                <figcaption class="quiet">"Scan it to open the build on another device."</figcaption>
            </figure>
        }
        .into_any(),
        None => view! { <p class="quiet">"It is too long for a QR code."</p> }.into_any(),
    };
    view! {
        <div class="share-body">
            <div>
                <label><span class="unseen">"Link"</span>
                    <input type="text" readonly data-share-link="" value=link on:focus=move |_| select()/>
                </label>
                <div class="buttons">{list(buttons)}</div>
                {list(notes.into_iter().map(|note| view! { <p class="quiet">{note}</p> }.into_any()))}
            </div>
            {picture}
        </div>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use super::code;

    #[test]
    fn a_short_text_is_a_small_code_and_a_huge_one_is_none() {
        // ISO/IEC 18004: version 1 is 21 modules wide; each version adds four. The finder pattern
        // in the corner is seven modules wide.
        let (outline, size) = code("HELLO").expect("fits");
        assert_eq!(size, 21);
        assert!(outline.starts_with("M0 0h7v1h-7z"), "{outline}");
        // Version 40 with the least correction holds 2,953 bytes.
        assert_eq!(code(&"x".repeat(2_953)).map(|c| c.1), Some(177));
        assert_eq!(code(&"x".repeat(2_954)), None);
    }
}
