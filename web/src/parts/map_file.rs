//! A compressor map from a file: it becomes that of the turbocharger which stands, in a record of
//! the person's own.

use super::own::{as_own, fit_own};
use crate::store::Store;
use airpath::build::Turbocharger;
use airpath::map_files::{self, CsvStyle, MapFile};
use airpath::map_fit::{MapFit, MapOfFile, map_of_file};
use leptos::prelude::*;

/// Most remarks about a file that are told one by one.
const MOST_REMARKS: usize = 4;

/// How well a fit follows its points, in words.
fn how_well(fit: &MapFit) -> String {
    let per_cent = |share: f64| format!("{:.1}", 100.0 * share);
    let distance = &fit.total.distance;
    let worst = distance.worst.map_or(0.0, |w| w.value.abs());
    let efficiency = match fit.efficiency_estimated {
        true => " The file has no efficiency: it is estimated from the wheel’s sizes.".to_owned(),
        false => format!(
            " Efficiency: {} points rms.",
            per_cent(fit.total.efficiency.root_mean_square())
        ),
    };
    format!(
        " Something was missing, so a smooth map was fitted to its points: {} % of the axes rms, {} % at worst.{efficiency}",
        per_cent(distance.root_mean_square()),
        per_cent(worst)
    )
}

/// Takes the map of a file into the turbocharger that stands.
pub fn take(store: Store, file: &str, bytes: &[u8]) {
    let told = |text: String| store.notice.set(Some(text));
    let refused = |why: String| {
        told(format!(
            "The map “{file}” was not taken, and nothing has changed. {why}"
        ));
    };
    let reading = match map_files::read(bytes) {
        Ok(reading) => reading,
        Err(error) => return refused(error.to_string()),
    };
    let (before, housing) = store
        .build
        .with_untracked(|b| (b.turbocharger().clone(), b.housing_index()));
    let wheel = &before.compressor.wheel;
    let made = match map_of_file(&reading.map, wheel) {
        Ok(made) => made,
        Err(error) => return refused(error.to_string()),
    };
    let mut own = as_own(Turbocharger::clone(&before));
    own.compressor.map = made.map().clone();
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    own.name = match reading.map.name.trim() {
        "" => stem.chars().take(40).collect(),
        name => name.chars().take(40).collect(),
    };
    own.notes = format!(
        "Map read from a file; wheels, housings and connections as those of {}.",
        before.name
    );
    if let Err(error) = own.check() {
        return refused(error.to_string());
    }
    let (lines, points) = (reading.map.lines.len(), reading.map.point_count());
    let mut text = format!(
        "The map “{file}” is taken: {lines} lines, {points} points, for a wheel of {:.0}/{:.0} mm.",
        wheel.inducer_m * 1e3,
        wheel.exducer_m * 1e3
    );
    if let MapOfFile::Fitted(fit) = &made {
        text += &how_well(fit);
    }
    for warning in reading.warnings.iter().take(MOST_REMARKS) {
        text += &format!(" {warning}");
    }
    if reading.warnings.len() > MOST_REMARKS {
        let more = reading.warnings.len() - MOST_REMARKS;
        text += &format!(" And {more} more remarks.");
    }
    match fit_own(store, own, housing) {
        Ok(()) => told(text),
        Err(why) => refused(why),
    }
}

/// The measured map that stands, as a table for a spreadsheet; the example of the format where the
/// map is an estimate.
pub fn table(store: Store) -> (String, String) {
    let turbocharger = store.build.with_untracked(|b| b.turbocharger().clone());
    let own = MapFile::from_map_data(&turbocharger.name, &turbocharger.compressor.map)
        .ok()
        .and_then(|map| map.to_csv(CsvStyle::Commas).ok());
    match own {
        Some(text) => (turbocharger.name.clone(), text),
        None => ("example".to_owned(), map_files::EXAMPLE_CSV.to_owned()),
    }
}
