//! From rows in any order to lines in order, whichever format they came from.

use super::units::NO_UNIT;
use super::{
    Column, FileLine, FilePoint, MOST_LINES, MOST_POINTS, MapFileError, MapUnits, MapWarning,
    Mistake, Place, Problem, SurgePoint, crossing,
};
use crate::air_way::compressor::MapReference;
use crate::quantity::Unit;
use std::collections::BTreeMap;

/// Most mistakes that are listed; a wrong unit makes every row one.
const MOST_MISTAKES: usize = 20;

/// Most warnings that are listed.
const MOST_WARNINGS: usize = 20;

/// Least and largest of each, in SI and rev/min: those of the maps themselves.
const SPEED: (f64, f64) = (500.0, 600_000.0);
/// kg/s.
const FLOW: (f64, f64) = (1e-4, 20.0);
/// Of pressures.
const PRESSURE_RATIO: (f64, f64) = (1.0 + 1e-6, 12.0);
/// Share.
const EFFICIENCY: (f64, f64) = (0.02, 0.95);

/// A point as it stands in the file, in the file's units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// Where it stands.
    pub place: Place,
    /// `None` for a point of the surge line alone.
    pub speed: Option<f64>,
    /// In the flow unit.
    pub flow: f64,
    /// Of pressures.
    pub pressure_ratio: f64,
    /// In the efficiency unit.
    pub efficiency: Option<f64>,
    /// Whether it is marked as surge.
    pub at_surge: bool,
}

/// Mistakes so far.
#[derive(Debug, Default)]
pub(super) struct Mistakes {
    listed: Vec<Mistake>,
    more: usize,
}

impl Mistakes {
    /// One more.
    pub fn add(&mut self, mistake: Mistake) {
        if self.listed.len() < MOST_MISTAKES {
            self.listed.push(mistake);
        } else {
            self.more += 1;
        }
    }

    /// The error that they make, if there are any.
    pub fn done(self) -> Result<(), MapFileError> {
        if self.listed.is_empty() {
            return Ok(());
        }
        Err(MapFileError::Mistakes {
            mistakes: self.listed,
            more: self.more,
        })
    }
}

/// Gathers rows, checking each value as it comes.
pub(super) struct Rows {
    units: MapUnits,
    flow_factor: f64,
    /// Number of each column in a table, from 1; nothing in JSON.
    pub cells: BTreeMap<&'static str, usize>,
    /// What is wrong so far.
    pub mistakes: Mistakes,
    points: Vec<(f64, Placed)>,
    surge_line: Vec<(SurgePoint, Place)>,
}

/// A point and where it stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placed {
    /// The point, in SI.
    pub point: FilePoint,
    /// Where it stands.
    pub place: Place,
}

/// Lines in order, and what was done to have them so.
pub(super) struct Assembled {
    /// As [`super::MapFile::lines`].
    pub lines: Vec<FileLine>,
    /// As [`super::MapFile::surge_line`].
    pub surge_line: Vec<SurgePoint>,
    /// What was repaired.
    pub warnings: Vec<MapWarning>,
}

impl Rows {
    /// No rows yet.
    pub fn new(units: MapUnits, reference: MapReference) -> Self {
        Self {
            units,
            flow_factor: units.flow_factor(reference),
            cells: BTreeMap::new(),
            mistakes: Mistakes::default(),
            points: Vec::new(),
            surge_line: Vec::new(),
        }
    }

    /// Notes a mistake.
    pub fn mistake(&mut self, place: Place, column: Column, problem: Problem) {
        let cell = self.cells.get(column.name()).copied();
        self.mistakes.add(Mistake {
            place,
            cell,
            column: Some(column),
            problem,
        });
    }

    /// A value in SI, or a note that it cannot be.
    fn value(
        &mut self,
        (place, column): (Place, Column),
        value: f64,
        (factor, unit): (f64, &'static Unit),
        (low, high): (f64, f64),
    ) -> Option<f64> {
        let si = value * factor;
        if si.is_finite() && si >= low && si <= high {
            return Some(si);
        }
        let problem = Problem::OutOfRange {
            value,
            low: low / factor,
            high: high / factor,
            unit: if unit.symbol == "fraction" {
                ""
            } else {
                unit.symbol
            },
        };
        self.mistake(place, column, problem);
        None
    }

    /// Takes a row, or notes what is wrong with it.
    ///
    /// # Errors
    /// When there are more rows than are read.
    pub fn push(&mut self, row: Row) -> Result<(), MapFileError> {
        if self.points.len() + self.surge_line.len() >= MOST_POINTS {
            return Err(MapFileError::TooManyPoints);
        }
        let MapUnits {
            speed: speed_unit,
            flow: flow_unit,
            efficiency: efficiency_unit,
            ..
        } = self.units;
        let place = row.place;
        let speed = row.speed.map(|speed| {
            let unit = (speed_unit.scale, speed_unit);
            self.value((place, Column::Speed), speed, unit, SPEED)
        });
        let flow_scale = (self.flow_factor, flow_unit);
        let flow = self.value((place, Column::Flow), row.flow, flow_scale, FLOW);
        let ratio = self.value(
            (place, Column::PressureRatio),
            row.pressure_ratio,
            (1.0, &NO_UNIT),
            PRESSURE_RATIO,
        );
        let efficiency = row.efficiency.map(|efficiency| {
            let unit = (efficiency_unit.scale, efficiency_unit);
            self.value((place, Column::Efficiency), efficiency, unit, EFFICIENCY)
        });
        let (Some(flow_kg_s), Some(pressure_ratio)) = (flow, ratio) else {
            return Ok(());
        };
        match speed {
            Some(Some(speed)) => {
                let point = FilePoint {
                    flow_kg_s,
                    pressure_ratio,
                    efficiency: efficiency.flatten(),
                    at_surge: row.at_surge,
                };
                self.points.push((speed, Placed { point, place }));
            }
            None if row.at_surge => {
                let point = SurgePoint {
                    flow_kg_s,
                    pressure_ratio,
                };
                self.surge_line.push((point, place));
            }
            // A row without speed is a point of surge alone or a mistake; the other is noted.
            None => self.mistake(place, Column::Speed, Problem::Missing),
            Some(None) => {}
        }
        Ok(())
    }

    /// Lines in order.
    ///
    /// # Errors
    /// What is wrong with any value, or with the lines together.
    pub fn finish(self) -> Result<Assembled, MapFileError> {
        self.mistakes.done()?;
        let mut warnings = Warnings::default();
        let count = self.points.len();
        if count == 0 {
            return Err(MapFileError::Lacking {
                what: "points",
                remedy: "add a row for each point below the header",
            });
        }
        let without = self
            .points
            .iter()
            .filter(|(_, placed)| placed.point.efficiency.is_none())
            .count();
        if without == count {
            return Err(MapFileError::NoEfficiency { points: count });
        }
        let mut lines = gather(self.points, &mut warnings)?;
        let mut merged = Merged::default();
        for (speed, points) in &mut lines {
            sort(*speed, points, &mut warnings);
            merge(*speed, points, &mut merged)?;
        }
        let mut surge_line = self.surge_line;
        surge_line.sort_by(|(a, _), (b, _)| {
            let by_flow = a.flow_kg_s.total_cmp(&b.flow_kg_s);
            by_flow.then(a.pressure_ratio.total_cmp(&b.pressure_ratio))
        });
        surge_line.dedup_by(|(next, place), (kept, first)| {
            let same = next == kept;
            if same {
                merged.add(*place, *first);
            }
            same
        });
        if let Some((place, first)) = merged.first {
            warnings.add(MapWarning::Merged {
                count: merged.count,
                place,
                first,
            });
        }
        for (speed, points) in &lines {
            look_at_line(*speed, points, &mut warnings);
        }
        if without > 0 {
            warnings.add(MapWarning::EfficienciesMissing {
                count: without,
                points: count,
            });
        }
        for pair in lines.windows(2) {
            if let [slower, faster] = pair {
                crossing::look_at_pair(slower, faster, &mut warnings)?;
            }
        }
        let lines = lines
            .into_iter()
            .map(|(speed_rev_min, points)| FileLine {
                speed_rev_min,
                points: points.into_iter().map(|placed| placed.point).collect(),
            })
            .collect();
        Ok(Assembled {
            lines,
            surge_line: surge_line.into_iter().map(|(point, _)| point).collect(),
            warnings: warnings.done(),
        })
    }
}

/// Warnings so far.
#[derive(Default)]
pub(super) struct Warnings {
    listed: Vec<MapWarning>,
    more: usize,
}

impl Warnings {
    /// One more.
    pub fn add(&mut self, warning: MapWarning) {
        if self.listed.len() < MOST_WARNINGS {
            self.listed.push(warning);
        } else {
            self.more += 1;
        }
    }

    fn done(mut self) -> Vec<MapWarning> {
        if self.more > 0 {
            self.listed.push(MapWarning::More { count: self.more });
        }
        self.listed
    }
}

/// Points that stood in the file before.
#[derive(Default)]
struct Merged {
    count: usize,
    first: Option<(Place, Place)>,
}

impl Merged {
    fn add(&mut self, dropped: Place, kept: Place) {
        self.count += 1;
        self.first = self.first.or(Some((dropped, kept)));
    }
}

/// A speed in rev/min and its points.
pub(super) type Line = (f64, Vec<Placed>);

/// Points by speed, the slowest first.
fn gather(points: Vec<(f64, Placed)>, warnings: &mut Warnings) -> Result<Vec<Line>, MapFileError> {
    // Speeds are positive, and the bits of positive numbers are in the numbers' order.
    let mut by_speed: BTreeMap<u64, Vec<Placed>> = BTreeMap::new();
    let (mut fastest, mut unsorted) = (0.0, None);
    for (speed, placed) in points {
        let line = by_speed.entry(speed.to_bits()).or_default();
        if line.is_empty() && speed < fastest && unsorted.is_none() {
            unsorted = Some(placed.place);
        }
        fastest = f64::max(fastest, speed);
        line.push(placed);
    }
    let count = by_speed.len();
    if count > MOST_LINES {
        return Err(MapFileError::TooManyLines { count });
    }
    if count < 2 {
        return Err(MapFileError::TooFewLines { count });
    }
    if let Some(place) = unsorted {
        warnings.add(MapWarning::LinesSorted { place });
    }
    Ok(by_speed
        .into_iter()
        .map(|(bits, points)| (f64::from_bits(bits), points))
        .collect())
}

/// Puts the points of a line in order of rising flow, then of falling pressure ratio.
fn sort(speed: f64, points: &mut [Placed], warnings: &mut Warnings) {
    let falls = points
        .windows(2)
        .find(|pair| pair[1].point.flow_kg_s < pair[0].point.flow_kg_s);
    if let Some(pair) = falls {
        warnings.add(MapWarning::PointsSorted {
            speed,
            place: pair[1].place,
        });
    }
    points.sort_by(|a, b| {
        let by_flow = a.point.flow_kg_s.total_cmp(&b.point.flow_kg_s);
        by_flow.then(b.point.pressure_ratio.total_cmp(&a.point.pressure_ratio))
    });
}

/// Keeps each point once. What one of two leaves out, the other may say.
fn merge(speed: f64, points: &mut Vec<Placed>, merged: &mut Merged) -> Result<(), MapFileError> {
    let mut kept: Vec<Placed> = Vec::with_capacity(points.len());
    for next in points.drain(..) {
        let same = kept.last_mut().filter(|last| {
            last.point.flow_kg_s == next.point.flow_kg_s
                && last.point.pressure_ratio == next.point.pressure_ratio
        });
        let Some(last) = same else {
            kept.push(next);
            continue;
        };
        if let (Some(one), Some(two)) = (last.point.efficiency, next.point.efficiency)
            && one != two
        {
            return Err(MapFileError::Contradiction {
                first: last.place,
                second: next.place,
                speed,
                flow: next.point.flow_kg_s,
                one,
                two,
            });
        }
        last.point.efficiency = last.point.efficiency.or(next.point.efficiency);
        last.point.at_surge |= next.point.at_surge;
        merged.add(next.place, last.place);
    }
    *points = kept;
    Ok(())
}

fn look_at_line(speed: f64, points: &[Placed], warnings: &mut Warnings) {
    if points.len() < 3 {
        warnings.add(MapWarning::FewPoints {
            speed,
            count: points.len(),
        });
    }
    let mut later = points.iter().skip(1);
    if let Some(placed) = later.find(|placed| placed.point.at_surge) {
        warnings.add(MapWarning::SurgeNotFirst {
            place: placed.place,
            speed,
        });
    }
}
