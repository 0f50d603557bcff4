//! The turbochargers that come with Airpath. All invented.

use super::turbocharger::Turbocharger;

/// The shelf as data; written by `cargo run -p airpath --example shelf`.
const SHELF: &str = include_str!("../../data/turbochargers.json");

/// Every turbocharger on the shelf, smallest first.
///
/// Reading the data takes a moment: call it once and keep the answer.
#[must_use]
pub fn shelf() -> Vec<Turbocharger> {
    serde_json::from_str(SHELF).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_shelf_reads_and_is_sound() {
        let shelf = super::shelf();
        assert!(shelf.len() >= 3);
        for turbocharger in shelf {
            assert_eq!(turbocharger.check(), Ok(()), "{}", turbocharger.name);
        }
    }
}
