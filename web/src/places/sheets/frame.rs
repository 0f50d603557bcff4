//! What every sheet has: its head, and at the foot the title block with cautions and the link.

use crate::parts::shapes::list;
use crate::parts::share::code;
use crate::store::Store;
use airpath::build::to_link;
use leptos::prelude::*;

/// A link with more characters than this makes a code too fine for a printer and a phone.
const LONGEST: usize = 900;
/// Clear space around a code, in modules (ISO/IEC 18004).
const QUIET_ZONE: i32 = 4;

/// A cell of the title block: what it is, and its lines.
pub type Cell = (&'static str, Vec<String>);

/// The link to the build that stands, with its address.
fn link(store: Store) -> Option<String> {
    let page = window().location().href().unwrap_or_default();
    let page = page.split('#').next().unwrap_or_default().to_owned();
    // What is opened from a disk is nowhere else.
    if page.starts_with("file:") {
        return None;
    }
    let link = store.build.with(|b| to_link(b)).ok()?;
    Some(page + &link)
}

fn link_code(store: Store) -> AnyView {
    let link = link(store);
    let drawn = link
        .as_ref()
        .filter(|link| link.len() <= LONGEST)
        .and_then(|link| code(link));
    match (link, drawn) {
        (Some(link), Some((outline, size))) => {
            let whole = size + 2 * QUIET_ZONE;
            view! {
                <a class="code" href=link data-link-code="" aria-label="The build as a link">
                    <svg viewBox=format!("{} {} {whole} {whole}", -QUIET_ZONE, -QUIET_ZONE) role="img" aria-label="The link as a QR code" shape-rendering="crispEdges">
                        <path d=outline/>
                    </svg>
                </a>
            }
            .into_any()
        }
        (Some(link), None) => view! {
            <p class="code"><a href=link>"The build as a link"</a>" is too long for a code: its map is measured. Ask for the exported file."</p>
        }
        .into_any(),
        (None, _) => view! { <p class="code">"This page is a file on a device: no link leads to it. Ask for the exported file."</p> }.into_any(),
    }
}

/// A sheet: what kind, whose, its body, and the cells of its title block.
pub fn sheet(
    store: Store,
    kind: &'static str,
    about: String,
    body: AnyView,
    cells: Vec<Cell>,
) -> AnyView {
    let cells = list(cells.into_iter().map(|(label, lines)| {
        let mut lines = lines.into_iter();
        let first = lines.next().map(|line| view! { <b>{line}</b> });
        let rest = list(lines.map(|line| view! { <span>{line}</span> }.into_any()));
        view! { <div><small>{label}</small>{first}{rest}</div> }.into_any()
    }));
    view! {
        <article class="sheet" data-sheet=kind aria-label=kind>
            <header>
                <svg class="logo" viewBox="0 0 52 36" aria-hidden="true"><path d="M2 25h8l8-20h8l3 5h4l3-7h6l6 22h2"/><path class="thin" d="M2 33h48"/></svg>
                <b>{kind}</b>
                <span>{about}</span>
            </header>
            {body}
            <footer class="title-block">
                {cells}
                <div class="warns">
                    <b>"Estimates, not a tune. "</b>
                    "Too much shaft speed can burst a wheel; a lean or knocking engine fails; hot oil, fuel and exhaust burn. Fitting and tuning are for qualified people, on a dyno with mixture and knock sensing. The local vehicle law decides. Not for aircraft."
                </div>
                {link_code(store)}
            </footer>
        </article>
    }
    .into_any()
}
