//! The turbochargers that come with Airpath. All invented.
//!
//! They are data, written by `cargo run -p airpath --example shelf`: the few at the front of the
//! shelf, which a page can start with, and the rest by family, which is ten times as much and can
//! be left for later.

use super::turbocharger::Turbocharger;

/// The front of the shelf.
const FRONT: &str = include_str!("../../data/turbochargers.json");

/// The rest, a file for each family: what its keys begin with, and its text.
const FAMILIES: [(&str, &str); 8] = [
    ("elder-", include_str!("../../data/shelf/elder.json")),
    ("hazel-", include_str!("../../data/shelf/hazel.json")),
    ("alder-", include_str!("../../data/shelf/alder.json")),
    ("birch-", include_str!("../../data/shelf/birch.json")),
    ("rowan-", include_str!("../../data/shelf/rowan.json")),
    ("ash-", include_str!("../../data/shelf/ash.json")),
    ("hornbeam-", include_str!("../../data/shelf/hornbeam.json")),
    ("oak-", include_str!("../../data/shelf/oak.json")),
];

fn read(text: &str) -> Vec<Turbocharger> {
    serde_json::from_str(text).unwrap_or_default()
}

/// The turbochargers at the front of the shelf, smallest first.
///
/// Reading the data takes a moment: call it once and keep the answer.
#[must_use]
pub fn shelf() -> Vec<Turbocharger> {
    read(FRONT)
}

/// Every turbocharger on the shelf, smallest exducer first.
///
/// Reading the data takes ten times as long as [`shelf`]: call it once and keep the answer.
#[must_use]
pub fn whole_shelf() -> Vec<Turbocharger> {
    let mut all = shelf();
    all.extend(FAMILIES.iter().flat_map(|(_, text)| read(text)));
    crate::numeric::put_in_order(&mut all, |t| t.compressor.wheel.exducer_m);
    all
}

/// The turbocharger of the front of the shelf with this key.
#[must_use]
pub fn in_front(id: &str) -> Option<Turbocharger> {
    shelf().into_iter().find(|t| t.id == id)
}

/// The turbocharger of the whole shelf with this key; only its family is read.
#[must_use]
pub fn on_shelf(id: &str) -> Option<Turbocharger> {
    let family = FAMILIES.iter().find(|(front, _)| id.starts_with(front));
    match family {
        Some((_, text)) => read(text).into_iter().find(|t| t.id == id),
        None => in_front(id),
    }
}

#[cfg(test)]
mod tests {
    use super::{on_shelf, shelf, whole_shelf};
    use crate::build::Build;
    use std::collections::BTreeSet;
    use std::sync::Arc;

    #[test]
    fn the_shelf_reads_and_is_sound() {
        let all = whole_shelf();
        assert!(all.len() >= 24, "{}", all.len());
        assert!(shelf().iter().all(|t| all.contains(t)));
        let ids: BTreeSet<&str> = all.iter().map(|t| t.id.as_str()).collect();
        assert_eq!(ids.len(), all.len(), "a key stands twice");
        for turbocharger in &all {
            assert_eq!(on_shelf(&turbocharger.id).as_ref(), Some(turbocharger));
            assert_eq!(turbocharger.check(), Ok(()), "{}", turbocharger.name);
            let build = Build::new("", Arc::new(turbocharger.clone())).expect("checked");
            let map = crate::compressor_map(&build);
            assert!(map.is_ok(), "{}: {:?}", turbocharger.name, map.err());
            let housings = turbocharger.turbine.housings.len();
            assert!((2..=4).contains(&housings), "{}", turbocharger.name);
        }
        let size = |t: &super::Turbocharger| t.compressor.wheel.exducer_m;
        assert!(size(&all[0]) <= 0.036 && size(&all[all.len() - 1]) >= 0.099);
    }

    #[test]
    fn a_family_shares_its_turbine_and_housings() {
        let all = whole_shelf();
        for one in &all {
            let alike = |t: &&super::Turbocharger| {
                t.turbine == one.turbine
                    && t.connections.turbine_flange == one.connections.turbine_flange
            };
            assert!(all.iter().filter(alike).count() >= 3, "{}", one.name);
        }
    }
}
