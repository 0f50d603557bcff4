//! Which candidates stand beside what is fitted: kept on this device by key, not by record.

use crate::keep::{self, own};
use crate::store::Store;
use airpath::build::{Arrangement, Turbocharger};
use airpath::desk::Candidate;
use leptos::prelude::*;
use std::sync::Arc;

/// A candidate by the key of its turbocharger.
#[derive(Clone, Debug, PartialEq)]
pub struct Pick {
    /// Key of the turbocharger, on the shelf or among the person's own.
    pub id: String,
    /// Which housing, from 0.
    pub housing: usize,
    /// Whether there are two.
    pub pair: bool,
}

impl Pick {
    /// The key of a candidate.
    pub fn of(candidate: &Candidate) -> Self {
        Self {
            id: candidate.turbocharger.id.clone(),
            housing: candidate.housing,
            pair: candidate.arrangement == Arrangement::Pair,
        }
    }

    /// As it is kept: how many, which housing, and the key.
    fn write(&self) -> String {
        let many = if self.pair { 2 } else { 1 };
        format!("{many} {} {}", self.housing, self.id)
    }

    /// From what was kept; `None` where that is no such line.
    fn read(line: &str) -> Option<Self> {
        let mut words = line.splitn(3, ' ');
        let (many, housing) = (words.next()?, words.next()?.parse().ok()?);
        Some(Self {
            id: words.next()?.to_owned(),
            housing,
            pair: many == "2",
        })
    }

    /// The candidate, if there still is such a turbocharger with such a housing.
    pub fn candidate(&self, store: Store) -> Option<Candidate> {
        let turbocharger = find(store, &self.id)?;
        (self.housing < turbocharger.turbine.housings.len()).then_some(Candidate {
            turbocharger,
            housing: self.housing,
            arrangement: if self.pair {
                Arrangement::Pair
            } else {
                Arrangement::Single
            },
        })
    }
}

/// The turbocharger of a key: the person's own, one of the shelf, or the one that is fitted.
pub fn find(store: Store, id: &str) -> Option<Arc<Turbocharger>> {
    let own = own::read(id)
        .and_then(|l| l.turbocharger.ok())
        .map(Arc::new);
    own.or_else(|| {
        store
            .shelf
            .with_untracked(|s| s.iter().find(|t| t.id == id).cloned())
    })
    .or_else(|| {
        let fitted = store.build.with_untracked(|b| b.turbocharger().clone());
        (fitted.id == id).then_some(fitted)
    })
}

/// Every turbocharger there is to choose from: the person's own first, then the shelf.
pub fn every(store: Store) -> Vec<Arc<Turbocharger>> {
    let own = own::list().into_iter().filter_map(|l| l.turbocharger.ok());
    let mut all: Vec<Arc<Turbocharger>> = own.map(Arc::new).collect();
    all.extend(store.shelf.get());
    all
}

/// The candidates that were picked last; where there are none yet, the neighbours of what is fitted:
/// the next smaller and the next larger compressor of the shelf on another turbine wheel.
pub fn first(store: Store) -> Vec<Pick> {
    if let Some(text) = keep::beside() {
        return text.lines().filter_map(Pick::read).collect();
    }
    let fitted = store.build.with_untracked(|b| Candidate::of(b));
    let size = |t: &Turbocharger| t.compressor.wheel.exducer_m;
    let here = size(&fitted.turbocharger);
    let shelf = store.shelf.get_untracked();
    let others = || {
        let apart = shelf
            .iter()
            .filter(|t| t.turbine != fitted.turbocharger.turbine);
        apart.map(|t| (size(t) - here, t))
    };
    let smaller = others()
        .filter(|(d, _)| *d < 0.0)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let larger = others()
        .filter(|(d, _)| *d > 0.0)
        .min_by(|a, b| a.0.total_cmp(&b.0));
    [smaller, larger]
        .into_iter()
        .flatten()
        .map(|(_, t)| Pick {
            id: t.id.clone(),
            housing: nearest_housing(t, fitted.a_over_r()),
            pair: fitted.arrangement == Arrangement::Pair,
        })
        .collect()
}

/// The housing nearest in A/R.
pub fn nearest_housing(turbocharger: &Turbocharger, a_over_r: f64) -> usize {
    let far = |i: &usize| (turbocharger.turbine.housings[*i].a_over_r - a_over_r).abs();
    (0..turbocharger.turbine.housings.len())
        .min_by(|a, b| far(a).total_cmp(&far(b)))
        .unwrap_or(0)
}

/// Keeps the candidates.
pub fn keep(store: Store, picks: &[Pick]) {
    let lines: Vec<String> = picks.iter().map(Pick::write).collect();
    store.told(keep::keep_beside(&lines.join("\n")));
}

/// What a candidate is called: its name, its housing, and whether there are two.
pub fn title(candidate: &Candidate) -> String {
    let many = match candidate.arrangement {
        Arrangement::Single => "",
        Arrangement::Pair => "two ",
    };
    format!(
        "{many}{} {:.2}",
        candidate.turbocharger.name,
        candidate.a_over_r()
    )
}

/// Short names that tell candidates apart: the name alone, and no more than is needed with it.
pub fn short_names(candidates: &[&Candidate]) -> Vec<String> {
    let name = |c: &Candidate| c.turbocharger.name.clone();
    let alike = |c: &Candidate| candidates.iter().filter(|o| name(o) == name(c)).count() > 1;
    candidates
        .iter()
        .map(|c| if alike(c) { title(c) } else { name(c) })
        .collect()
}
