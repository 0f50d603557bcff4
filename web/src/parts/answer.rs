//! The answer: the sentence with its limit, the cautions beside it, the strip it shrinks to.

use super::shapes::{list, live, perhaps, whether};
use super::working::figure;
use crate::sentence::{Answer, Sentence, answer, likely, spring};
use crate::store::use_store;

use leptos::html::Section;
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use std::time::Duration;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// How long after the last change the answer is read out.
const SPOKEN_AFTER: Duration = Duration::from_millis(600);

/// What everyone has to know before they rely on an answer.
const CAUTIONS: [&str; 7] = [
    "These are estimates from simplified physics and from what was entered. They help to choose and to compare; they are not a tune.",
    "A turbocharger that runs too fast can burst its wheel, and the pieces can leave the housing.",
    "An engine that runs too lean, or that knocks, can fail within seconds.",
    "Hot oil, fuel and exhaust burn; a leak near the turbine can start a fire.",
    "Have it fitted and tuned by qualified people, on a dyno, with a wideband sensor and knock sensing.",
    "Law on emissions and vehicles differs by place; the local rule decides, and so do insurance and approval.",
    "Not for aircraft.",
];

fn set_in_type(sentence: &Sentence) -> AnyView {
    let mark = sentence
        .warns
        .then(|| view! { <i class="mark" aria-hidden="true"></i> }.into_any());
    let words = sentence.words.iter().map(|w| {
        let text = w.text.clone();
        if let Some(opens) = w.opens {
            figure(text, opens.key, opens.at)
        } else if w.strong {
            view! { <b>{text}</b> }.into_any()
        } else {
            text.into_any()
        }
    });
    list(mark.into_iter().chain(words))
}

/// Why the answer is stale, if it is.
fn why(stale: Memo<Option<String>>) -> AnyView {
    perhaps(move || {
        stale
            .get()
            .map(|why| view! { <p class="why">{why}</p> }.into_any())
    })
}

/// The answer, the reason it may be stale, and the cautions.
#[component]
pub fn AnswerBlock(
    /// The composed answer.
    said: Memo<Answer>,
    /// Set while the answer is out of sight.
    away: RwSignal<bool>,
) -> AnyView {
    let store = use_store();
    let section = NodeRef::<Section>::new();
    Effect::new(move |_| {
        if let Some(section) = section.get() {
            watch_sight(&section, away);
        }
    });
    let stale = Memo::new(move |_| store.stale());
    let lines = live(move || {
        said.with(|said| {
            list(
                said.lines
                    .iter()
                    .map(|l| view! { <p>{set_in_type(l)}</p> }.into_any()),
            )
        })
    });
    let notes = live(move || {
        said.with(|said| {
            list(
                said.notes
                    .iter()
                    .map(|l| view! { <li>{set_in_type(l)}</li> }.into_any()),
            )
        })
    });
    let why = why(stale);
    view! {
        <section class="answer" node_ref=section aria-label="Answer" class:stale=whether(move || stale.with(Option::is_some))>
            <div>
                <div data-answer="">{lines}</div>
                {why}
            </div>
            <div>
            <ul class="notes">{notes}</ul>
            <details class="cautions">
                <summary>
                    "An estimate, not a tune: that takes qualified people and a dyno. "
                    <b>"All cautions"</b>
                </summary>
                <ul>{list(CAUTIONS.map(|c| view! { <li>{c}</li> }.into_any()))}</ul>
            </details>
            </div>
        </section>
    }
    .into_any()
}

/// Keeps `away` at whether an element is out of sight.
fn watch_sight(element: &web_sys::Element, away: RwSignal<bool>) {
    let seen = Closure::<dyn FnMut(js_sys::Array)>::new(move |entries: js_sys::Array| {
        if let Some(entry) = entries.iter().last()
            && let Ok(entry) = entry.dyn_into::<web_sys::IntersectionObserverEntry>()
        {
            away.set(!entry.is_intersecting());
        }
    });
    if let Ok(observer) = web_sys::IntersectionObserver::new(seen.as_ref().unchecked_ref()) {
        observer.observe(element);
        // The answer stays as long as the page.
        seen.forget();
    }
}

/// The answer in a line, at the top while the answer itself is out of sight.
#[component]
pub fn Strip(
    /// The composed answer.
    said: Memo<Answer>,
    /// Whether the answer is out of sight.
    away: RwSignal<bool>,
) -> AnyView {
    let store = use_store();
    let stale = Memo::new(move |_| store.stale());
    let words = live(move || {
        said.with(|said| {
            list(
                said.strip
                    .iter()
                    .map(|l| view! { <span>{set_in_type(l)}</span> }.into_any()),
            )
        })
    });
    view! {
        <aside
            class="strip"
            aria-label="The answer in short"
            class:shown=away
            class:stale=whether(move || stale.with(Option::is_some))
            data-stale=Signal::derive(move || stale.with(Option::is_some).then(String::new))
        >
            <div class="figures">{words}</div>
            {why(stale)}
        </aside>
    }
    .into_any()
}

/// Reads the answer out once changes rest.
#[component]
pub fn Spoken(
    /// The composed answer.
    said: Memo<Answer>,
) -> AnyView {
    let store = use_store();
    let words = RwSignal::new(String::new());
    let timer: StoredValue<Option<TimeoutHandle>> = StoredValue::new(None);
    Effect::new(move |before: Option<()>| {
        let text = match store.stale() {
            Some(why) => why,
            None => said.with(Answer::plain),
        };
        // The first answer is read with the page itself.
        if before.is_none() {
            return;
        }
        timer.update_value(|timer| {
            if let Some(timer) = timer.take() {
                timer.clear();
            }
            *timer = set_timeout_with_handle(move || words.set(text), SPOKEN_AFTER).ok();
        });
    });
    view! { <div class="unseen" role="status" aria-live="polite">{words}</div> }.into_any()
}

/// The answer to the match that stands.
pub fn composed() -> Memo<Answer> {
    let store = use_store();
    Memo::new(move |_| {
        let units = store.units.get();
        store.solved.with(|s| {
            let Some(s) = s else {
                return Answer::default();
            };
            let mut said = answer(&s.found, units);
            said.notes.extend(spring(&s.build, units));
            if let Some(span) = store.likely.with(|l| l.as_ref().and_then(|l| l.most_power)) {
                let at = said.lines.len().min(1);
                said.lines.insert(at, likely(span, units));
            }
            said
        })
    })
}
