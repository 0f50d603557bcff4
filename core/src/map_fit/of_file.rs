//! From a map's file to a map: as it stands where nothing is missing, else fitted.

use super::{MapFit, MapFitError, MapTrace, TracedLine, TracedPlace, TracedPoint, fit};
use crate::air_way::compressor::{MapData, WheelSizes};
use crate::map_files::{ConversionError, MapFile};

/// How a map came of a file.
#[derive(Debug, Clone, PartialEq)]
pub enum MapOfFile {
    /// Its points are the map's own.
    AsItStands(MapData),
    /// Something stands in the way of that, such as a missing efficiency: its points were fitted.
    Fitted(Box<MapFit>),
}

impl MapOfFile {
    /// The map.
    #[must_use]
    pub fn map(&self) -> &MapData {
        match self {
            Self::AsItStands(map) => map,
            Self::Fitted(fit) => &fit.map,
        }
    }
}

/// Why no map comes of a file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MapOfFileError {
    /// Static pressure ratios that cannot be turned into total ones.
    #[error(transparent)]
    Basis(#[from] ConversionError),
    /// Points that cannot be fitted.
    #[error(transparent)]
    Fit(#[from] MapFitError),
}

/// A map of a file, total to total: as it stands if the wheel's map can be made of it, else fitted.
///
/// `wheel` is the wheel that the map belongs to: its exducer gives the tip speed, and where the
/// file has no efficiency at all, it is estimated from its sizes.
///
/// # Errors
/// Where the pressure ratios are static and cannot be converted, and where the points cannot be
/// fitted; each says what to do.
pub fn map_of_file(file: &MapFile, wheel: &WheelSizes) -> Result<MapOfFile, MapOfFileError> {
    let file = file.to_total_to_total()?;
    if let Ok(map) = file.to_map_data()
        && super::ready(&map, wheel.exducer_m).is_ok()
    {
        return Ok(MapOfFile::AsItStands(map));
    }
    let lines = file.lines.iter().map(|line| TracedLine {
        speed_rev_min: line.speed_rev_min,
        points: line
            .points
            .iter()
            .map(|point| TracedPoint {
                flow_kg_s: point.flow_kg_s,
                pressure_ratio: point.pressure_ratio,
                efficiency: point.efficiency,
            })
            .collect(),
    });
    let surge_line = file.surge_points().map(|(_, point)| TracedPlace {
        flow_kg_s: point.flow_kg_s,
        pressure_ratio: point.pressure_ratio,
    });
    let fitted = fit(&MapTrace {
        reference: file.reference,
        exducer_m: wheel.exducer_m,
        wheel: Some(*wheel),
        lines: lines.collect(),
        islands: Vec::new(),
        efficiency_points: Vec::new(),
        surge_line: surge_line.collect(),
    })?;
    Ok(MapOfFile::Fitted(Box::new(fitted)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::shelf;
    use crate::map_files::{CsvStyle, MapFile, read};

    /// The map of a turbocharger on the shelf as if it had been measured.
    fn file() -> (MapFile, WheelSizes) {
        let turbocharger = shelf().swap_remove(1);
        let data = MapData {
            estimated: false,
            ..turbocharger.compressor.map
        };
        let file = MapFile::from_map_data("Rowan", &data).expect("measured");
        (file, turbocharger.compressor.wheel)
    }

    #[test]
    fn a_whole_file_is_taken_as_it_stands() {
        let (file, wheel) = file();
        let text = file.to_csv(CsvStyle::Commas).expect("sound");
        let again = read(text.as_bytes()).expect("its own").map;
        let map = map_of_file(&again, &wheel).expect("whole");
        let MapOfFile::AsItStands(map) = map else {
            panic!("fitted");
        };
        let before = file.to_map_data().expect("whole");
        assert_eq!(map, before);
    }

    #[test]
    fn a_file_with_gaps_is_fitted() {
        let (mut file, wheel) = file();
        for line in &mut file.lines {
            line.points[1].efficiency = None;
        }
        let MapOfFile::Fitted(fit) = map_of_file(&file, &wheel).expect("enough is there") else {
            panic!("an efficiency is missing");
        };
        assert!(!fit.efficiency_estimated);
        let off = fit.total.distance.root_mean_square();
        // What a fitted curve may leave of a map that is none of its own form.
        assert!(off < 0.01, "{off}");
    }
}
