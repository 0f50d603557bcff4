//! Writes both formats, so that what is read back is the same to the bit.
//!
//! Each kind of value is written in the unit of [`MapFile::units`] if every value of that kind can be
//! reached in it; rounding leaves a few values of some units out of reach, and then all of that kind
//! are in SI.

use super::assemble::{Row, Rows};
use super::json::{JsonMap, JsonPoint, JsonReference, JsonUnits};
use super::problems::figure;
use super::units::exact_number;
use super::{
    ConversionError, FileLine, FilePoint, MAP_VERSION, MapFile, MapFileError, MapUnits,
    OUTLET_DIAMETER, Place, PressureBasis, check_name, json,
};
use crate::air_way::compressor::{MapData, MapReference};
use crate::quantity::Unit;

/// How a table is set, so that a spreadsheet of any country opens it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CsvStyle {
    /// Cells set apart by commas, decimals by a point.
    Commas,
    /// Cells set apart by semicolons, decimals by a comma.
    Semicolons,
    /// Cells set apart by tabs, decimals by a point.
    Tabs,
}

impl CsvStyle {
    fn separator(self) -> &'static str {
        match self {
            Self::Commas => ",",
            Self::Semicolons => ";",
            Self::Tabs => "\t",
        }
    }

    fn number(self, number: f64) -> String {
        let text = number.to_string();
        match self {
            Self::Semicolons => text.replace('.', ","),
            Self::Commas | Self::Tabs => text,
        }
    }
}

/// A map in the numbers and units of its file.
struct Numbers {
    units: MapUnits,
    flow_factor: f64,
    temperature: f64,
    pressure: f64,
    outlet: Option<f64>,
}

impl Numbers {
    fn of(map: &MapFile) -> Self {
        let plain = MapUnits::plain();
        let mut units = map.units;
        let number = |si: f64, unit: &Unit| exact_number(si, unit.scale, unit.offset);
        let MapReference {
            temperature_k,
            pressure_pa,
        } = map.reference;
        let temperature = number(temperature_k, units.temperature).unwrap_or_else(|| {
            units.temperature = plain.temperature;
            temperature_k
        });
        let pressure = number(pressure_pa, units.pressure).unwrap_or_else(|| {
            units.pressure = plain.pressure;
            pressure_pa
        });
        let outlet = map.outlet_diameter_m.map(|diameter| {
            number(diameter, units.length).unwrap_or_else(|| {
                units.length = plain.length;
                diameter
            })
        });
        let reach = |si: f64, factor: f64| exact_number(si, factor, 0.0).is_some();
        let points = || map.lines.iter().flat_map(|line| &line.points);
        let speed_scale = units.speed.scale;
        if !map
            .lines
            .iter()
            .all(|line| reach(line.speed_rev_min, speed_scale))
        {
            units.speed = plain.speed;
        }
        let flow_factor = units.flow_factor(map.reference);
        let of_lines = points().map(|point| point.flow_kg_s);
        let of_surge = map.surge_line.iter().map(|point| point.flow_kg_s);
        if !of_lines
            .chain(of_surge)
            .all(|flow| reach(flow, flow_factor))
        {
            units.flow = plain.flow;
        }
        let efficiency_scale = units.efficiency.scale;
        let mut efficiencies = points().filter_map(|point| point.efficiency);
        if !efficiencies.all(|efficiency| reach(efficiency, efficiency_scale)) {
            units.efficiency = plain.efficiency;
        }
        Self {
            flow_factor: units.flow_factor(map.reference),
            units,
            temperature,
            pressure,
            outlet,
        }
    }

    fn speed(&self, speed: f64) -> f64 {
        exact_number(speed, self.units.speed.scale, 0.0).unwrap_or(speed)
    }

    fn flow(&self, flow: f64) -> f64 {
        exact_number(flow, self.flow_factor, 0.0).unwrap_or(flow)
    }

    fn efficiency(&self, efficiency: f64) -> f64 {
        exact_number(efficiency, self.units.efficiency.scale, 0.0).unwrap_or(efficiency)
    }
}

impl MapFile {
    /// A measured map as a file holds it, in plain units (rev/min, kg/s, fraction, K, Pa).
    ///
    /// # Errors
    /// When the map is an estimate, or cannot be used.
    pub fn from_map_data(name: &str, data: &MapData) -> Result<Self, ConversionError> {
        if data.estimated {
            return Err(ConversionError::Estimated);
        }
        data.check()?;
        let lines = data.lines.iter().map(|line| FileLine {
            speed_rev_min: line.speed_rev_min,
            points: line
                .points
                .iter()
                .map(|point| FilePoint {
                    flow_kg_s: point.flow_kg_s,
                    pressure_ratio: point.pressure_ratio,
                    efficiency: Some(point.efficiency),
                    at_surge: false,
                })
                .collect(),
        });
        Ok(Self {
            name: name.trim().to_owned(),
            reference: data.reference,
            basis: PressureBasis::TotalToTotal,
            outlet_diameter_m: None,
            lines: lines.collect(),
            surge_line: Vec::new(),
            units: MapUnits::plain(),
        })
    }

    /// Whether reading would give the same map: values in their ranges, lines and points in order.
    ///
    /// # Errors
    /// What is wrong, by speed line and point.
    pub fn check(&self) -> Result<(), MapFileError> {
        let place = || "The map".to_owned();
        check_name("The map", &self.name)?;
        json::check_reference(self.reference, &place())?;
        if let Some(diameter) = self.outlet_diameter_m {
            let metre = MapUnits::plain().length;
            json::check_head(
                (diameter, metre),
                ("outlet diameter", place()),
                OUTLET_DIAMETER,
            )?;
        }
        let mut rows = Rows::new(MapUnits::plain(), self.reference);
        for (l, line) in self.lines.iter().enumerate() {
            for (p, point) in line.points.iter().enumerate() {
                rows.push(Row {
                    place: Place::Point(l + 1, p + 1),
                    speed: Some(line.speed_rev_min),
                    flow: point.flow_kg_s,
                    pressure_ratio: point.pressure_ratio,
                    efficiency: point.efficiency,
                    at_surge: point.at_surge,
                })?;
            }
        }
        for (p, point) in self.surge_line.iter().enumerate() {
            rows.push(Row {
                place: Place::SurgePoint(p + 1),
                speed: None,
                flow: point.flow_kg_s,
                pressure_ratio: point.pressure_ratio,
                efficiency: None,
                at_surge: true,
            })?;
        }
        let assembled = rows.finish()?;
        let what = if assembled.lines.len() != self.lines.len() {
            Some("a speed line has no points, or two have one speed".to_owned())
        } else if let Some((_, line)) = assembled
            .lines
            .iter()
            .zip(&self.lines)
            .find(|(sorted, line)| sorted != line)
        {
            let speed = figure(line.speed_rev_min);
            Some(format!("the line of {speed} rev/min is out of order"))
        } else if assembled.surge_line != self.surge_line {
            Some("the surge line is out of order".to_owned())
        } else {
            None
        };
        match what {
            Some(what) => Err(MapFileError::NotInOrder { what }),
            None => Ok(()),
        }
    }

    /// The map as the text of a table.
    ///
    /// # Errors
    /// What reading the text would refuse or change; see [`MapFile::check`].
    pub fn to_csv(&self, style: CsvStyle) -> Result<String, MapFileError> {
        self.check()?;
        let numbers = Numbers::of(self);
        let units = &numbers.units;
        let between = style.separator();
        let mut text = String::new();
        let mut row = |cells: &[&str]| {
            text.push_str(&cells.join(between));
            text.push('\n');
        };
        row(&["airpath_map", &MAP_VERSION.to_string()]);
        if !self.name.is_empty() {
            row(&["name", &format!("\"{}\"", self.name.replace('"', "\"\""))]);
        }
        for (key, number, unit) in [
            (
                "reference temperature",
                Some(numbers.temperature),
                units.temperature,
            ),
            ("reference pressure", Some(numbers.pressure), units.pressure),
            ("outlet diameter", numbers.outlet, units.length),
        ] {
            if let Some(number) = number {
                row(&[key, &style.number(number), unit.symbol]);
            }
        }
        row(&["basis", self.basis.name()]);
        row(&[
            &format!("speed [{}]", units.speed.symbol),
            &format!("flow [{}]", units.flow.symbol),
            "pressure ratio",
            &format!("efficiency [{}]", units.efficiency.symbol),
            "surge",
        ]);
        for line in &self.lines {
            let speed = style.number(numbers.speed(line.speed_rev_min));
            for point in &line.points {
                let efficiency = point.efficiency.map(|share| numbers.efficiency(share));
                row(&[
                    &speed,
                    &style.number(numbers.flow(point.flow_kg_s)),
                    &style.number(point.pressure_ratio),
                    &efficiency.map_or(String::new(), |number| style.number(number)),
                    if point.at_surge { "yes" } else { "" },
                ]);
            }
        }
        for point in &self.surge_line {
            row(&[
                "",
                &style.number(numbers.flow(point.flow_kg_s)),
                &style.number(point.pressure_ratio),
                "",
                "yes",
            ]);
        }
        Ok(text)
    }

    /// The map as the text of a JSON file, one line a point.
    ///
    /// # Errors
    /// What reading the text would refuse or change; see [`MapFile::check`].
    pub fn to_json(&self) -> Result<String, MapFileError> {
        self.check()?;
        let numbers = Numbers::of(self);
        let units = &numbers.units;
        let with_unit = |number: f64, unit: &Unit| format!("{number} {}", unit.symbol);
        let head = JsonMap {
            airpath_map: MAP_VERSION,
            name: self.name.clone(),
            reference: JsonReference {
                temperature: with_unit(numbers.temperature, units.temperature),
                pressure: with_unit(numbers.pressure, units.pressure),
            },
            basis: self.basis.name().to_owned(),
            outlet_diameter: numbers.outlet.map(|number| with_unit(number, units.length)),
            units: JsonUnits {
                speed: units.speed.symbol.to_owned(),
                flow: units.flow.symbol.to_owned(),
                efficiency: Some(units.efficiency.symbol.to_owned()),
            },
            lines: Vec::new(),
            surge_line: Vec::new(),
        };
        // Indented by the library, a point would take five lines.
        let mut text = serde_json::to_string_pretty(&head).unwrap_or_default();
        text.truncate(text.strip_suffix("\n}").map_or(0, str::len));
        text.push_str(",\n  \"lines\": [");
        for (l, line) in self.lines.iter().enumerate() {
            let speed = json::number(numbers.speed(line.speed_rev_min));
            let comma = if l > 0 { "," } else { "" };
            text.push_str(&format!(
                "{comma}\n    {{\n      \"speed\": {speed},\n      \"points\": ["
            ));
            let points = line.points.iter().map(|point| JsonPoint {
                flow: numbers.flow(point.flow_kg_s),
                pressure_ratio: point.pressure_ratio,
                efficiency: point.efficiency.map(|share| numbers.efficiency(share)),
                surge: point.at_surge,
            });
            points_in_lines(&mut text, points, 8);
            text.push_str("\n      ]\n    }");
        }
        text.push_str("\n  ]");
        if !self.surge_line.is_empty() {
            text.push_str(",\n  \"surge_line\": [");
            let points = self.surge_line.iter().map(|point| JsonPoint {
                flow: numbers.flow(point.flow_kg_s),
                pressure_ratio: point.pressure_ratio,
                efficiency: None,
                surge: false,
            });
            points_in_lines(&mut text, points, 4);
            text.push_str("\n  ]");
        }
        text.push_str("\n}\n");
        Ok(text)
    }
}

fn points_in_lines(text: &mut String, points: impl Iterator<Item = JsonPoint>, indent: usize) {
    for (p, point) in points.enumerate() {
        let comma = if p > 0 { "," } else { "" };
        let point = serde_json::to_string(&point).unwrap_or_default();
        text.push_str(&format!("{comma}\n{:indent$}{point}", ""));
    }
}
