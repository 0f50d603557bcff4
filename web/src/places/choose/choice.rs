//! Fields that choose a candidate: a turbocharger, its housing, how many.

use super::{every, find, nearest_housing};
use crate::parts::shapes::{list, live, text, words};
use crate::show::named_with_sizes;
use crate::store::Store;
use airpath::build::Arrangement;
use airpath::desk::Candidate;
use leptos::prelude::*;

/// Chooses a turbocharger with its housing and, where that counts, how many.
pub struct Choice {
    /// What is chosen.
    pub to: RwSignal<Option<Candidate>>,
    /// Its `data-…` name.
    pub key: &'static str,
    /// What it is for.
    pub label: &'static str,
    /// What stands where nothing is chosen.
    pub none: &'static str,
    /// Whether one or a pair is asked for.
    pub pair: bool,
    /// What stands beside the fields: a button.
    pub more: Option<AnyView>,
    /// What else is to be said.
    pub note: &'static str,
}

pub fn candidate_choice(store: Store, choice: Choice) -> AnyView {
    let Choice {
        to,
        key,
        label,
        none,
        pair,
        more,
        note,
    } = choice;
    let id = Memo::new(move |_| to.with(|to| to.as_ref().map(|c| c.turbocharger.id.clone())));
    let options = live(move || {
        store.owned.track();
        let now = id.get();
        let nothing = view! { <option value="" selected=now.is_none()>{none}</option> }.into_any();
        let all = every(store).into_iter().map(|t| {
            let words = named_with_sizes(&t);
            view! { <option value=t.id.clone() selected=now.as_ref() == Some(&t.id)>{words}</option> }.into_any()
        });
        list(std::iter::once(nothing).chain(all))
    });
    let choose_one = text(move |id: String| {
        let fitted = store.build.with_untracked(|b| Candidate::of(b));
        to.set(find(store, &id).map(|turbocharger| Candidate {
            housing: nearest_housing(&turbocharger, fitted.a_over_r()),
            turbocharger,
            arrangement: fitted.arrangement,
        }));
    });
    let housings = live(move || {
        let to = to.get();
        let chosen = to.as_ref().map_or(0, |c| c.housing);
        let all = to
            .iter()
            .flat_map(|c| &c.turbocharger.turbine.housings)
            .enumerate();
        list(all.map(|(i, h)| {
            view! { <option value=i.to_string() selected=i == chosen>{format!("{:.2}", h.a_over_r)}</option> }.into_any()
        }))
    });
    let housing = text(move |value: String| {
        to.update(|to| {
            if let (Some(to), Ok(housing)) = (to, value.parse()) {
                to.housing = housing;
            }
        });
    });
    let many = text(move |value: String| {
        to.update(|to| {
            if let Some(to) = to {
                to.arrangement = if value == "2" {
                    Arrangement::Pair
                } else {
                    Arrangement::Single
                };
            }
        });
    });
    let is_pair = move || {
        to.with(|to| {
            to.as_ref()
                .is_some_and(|c| c.arrangement == Arrangement::Pair)
        })
    };
    let attribute = move |what: &str| format!("{key}-{what}");
    let many = pair.then(|| {
        view! {
            <label><span>"How many"</span><select data-choice=attribute("pair") prop:value=words(move || if is_pair() { "2" } else { "1" }.to_owned()) on:change=many>
                <option value="1">"One"</option><option value="2">"Two alike"</option></select></label>
        }
    });
    view! {
        <div class="adding not-printed" role="group" aria-label=label>
            <label><span>{label}</span><select data-choice=attribute("turbocharger") on:change=choose_one>{options}</select></label>
            <label><span>"A/R"</span><select data-choice=attribute("housing") on:change=housing>{housings}</select></label>
            {many}
            {more}
            <p class="quiet">{note}</p>
        </div>
    }
    .into_any()
}
