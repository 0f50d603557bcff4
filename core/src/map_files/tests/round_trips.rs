//! What is written reads back as the same, to the bit, units and all.

use super::super::{
    CsvStyle, EXAMPLE_CSV, FileLine, FilePoint, MapFile, MapUnits, PressureBasis, SurgePoint, units,
};
use super::{HEADER, ROWS, file, map, sound};
use crate::air_way::compressor::MapReference;
use crate::quantity::Kind;
use proptest::prelude::*;

const STYLES: [CsvStyle; 3] = [CsvStyle::Commas, CsvStyle::Semicolons, CsvStyle::Tabs];

/// The texts of a map in every form.
fn written(map: &MapFile) -> Vec<String> {
    let mut all: Vec<String> = STYLES
        .iter()
        .map(|style| map.to_csv(*style).expect("sound"))
        .collect();
    all.push(map.to_json().expect("sound"));
    all
}

#[test]
fn the_example() {
    let first = sound(EXAMPLE_CSV);
    for text in written(&first.map) {
        assert_eq!(sound(&text), first, "{text}");
    }
    assert!(
        first
            .map
            .to_json()
            .expect("sound")
            .contains("\"temperature\": \"25 °C\"")
    );
    let text = first.map.to_csv(CsvStyle::Semicolons).expect("sound");
    assert!(text.contains("\n90000;0,196;2,01;76,8;\n"), "{text}");
}

#[test]
fn every_unit() {
    let flows = [
        "kg/s", "g/s", "kg/min", "kg/h", "lb/min", "lb/s", "m³/s", "m³/min", "m³/h", "litre/s",
        "ft³/min", "ft³/s",
    ];
    for flow in flows {
        let unit = units::flow_unit(flow).expect("a unit");
        let kg = |flow: f64| {
            let factor = MapUnits {
                flow: unit,
                ..MapUnits::plain()
            }
            .flow_factor(MapReference {
                temperature_k: 298.15,
                pressure_pa: 100_000.0,
            });
            // What a person would have typed.
            format!("{:.3}", flow / factor)
        };
        let header = format!("speed [k rev/min],flow [{flow}],pressure ratio,efficiency [%]");
        let rows = format!(
            "60,{},1.4,70.1\n60,{},1.35,71.3\n90.5,{},2,70\n90.5,{},1.9,68.7\n",
            kg(0.101),
            kg(0.199),
            kg(0.2),
            kg(0.3)
        );
        let first = map(&file(&header, &rows));
        for text in written(&first) {
            let again = map(&text);
            assert_eq!(again, first, "{text}");
            assert_eq!(again.units.flow.symbol, flow);
        }
    }
}

#[test]
fn what_reading_would_change_is_not_written() {
    let mut turned = map(&file(HEADER, ROWS));
    turned.lines.reverse();
    assert_eq!(
        turned.to_json().expect_err("out of order").to_string(),
        "The map cannot be written as it is: the line of 90000 rev/min is out of order. Put lines in \
         order of rising speed, points in order of rising flow, each once."
    );
    let mut wrong = map(&file(HEADER, ROWS));
    wrong.lines[1].points[2].flow_kg_s = f64::NAN;
    assert_eq!(
        wrong
            .to_csv(CsvStyle::Commas)
            .expect_err("no number")
            .to_string(),
        "Speed line 2, point 3 (flow): NaN kg/s cannot be; it must lie between 0.0001 and 20 kg/s: \
         correct it or its unit."
    );
    let mut named = map(&file(HEADER, ROWS));
    named.name = "a\nb".to_owned();
    assert!(named.to_csv(CsvStyle::Commas).is_err());
    let mut cold = map(&file(HEADER, ROWS));
    cold.reference.temperature_k = 10.0;
    assert!(cold.to_json().is_err());
}

/// Any map at all: values to the last bit, units as they come.
fn any_map() -> impl Strategy<Value = MapFile> {
    let point = (
        1e-4..20.0,
        0.0..1.0,
        proptest::option::of(0.02..0.95),
        any::<bool>(),
    );
    let line = (500.0..600_000.0, proptest::collection::vec(point, 1..8));
    let lines = proptest::collection::vec(line, 2..5);
    let surge = proptest::collection::vec((1e-4..20.0, 1.000_001..12.0), 0..4);
    let head = (
        "[^\\p{Cc}]{0,80}",
        250.0..350.0,
        5e4..1.2e5,
        proptest::option::of(0.005..0.5),
        any::<bool>(),
    );
    (head, lines, surge, any::<[usize; 6]>()).prop_map(|(head, lines, surge, at)| {
        let (name, temperature_k, pressure_pa, outlet_diameter_m, total): (String, _, _, _, bool) =
            head;
        let kind = |kind: Kind, at: usize| &kind.units()[at % kind.units().len()];
        let flows: Vec<String> = units::known_flow().split(", ").map(str::to_owned).collect();
        let speeds: Vec<String> = units::known_speed()
            .split(", ")
            .map(str::to_owned)
            .collect();
        let shares = ["%", "fraction"];
        type Given = (f64, Vec<(f64, f64, Option<f64>, bool)>);
        let mut lines: Vec<Given> = lines;
        lines.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        let lines = lines.into_iter().enumerate().map(|(l, (speed, points))| {
            let mut points: Vec<FilePoint> = points
                .into_iter()
                .enumerate()
                .map(|(p, (flow_kg_s, share, efficiency, at_surge))| FilePoint {
                    flow_kg_s,
                    // A band of its own for each line, so that they do not cross.
                    pressure_ratio: 1.1 + 2.0 * (l as f64 + share),
                    // A map needs some efficiency.
                    efficiency: efficiency.or((p == 0).then_some(0.7)),
                    at_surge,
                })
                .collect();
            points.sort_by(|a, b| a.flow_kg_s.total_cmp(&b.flow_kg_s));
            FileLine {
                speed_rev_min: speed,
                points,
            }
        });
        let mut surge_line: Vec<SurgePoint> = surge
            .into_iter()
            .map(|(flow_kg_s, pressure_ratio)| SurgePoint {
                flow_kg_s,
                pressure_ratio,
            })
            .collect();
        surge_line.sort_by(|a, b| a.flow_kg_s.total_cmp(&b.flow_kg_s));
        MapFile {
            name: name.trim().to_owned(),
            reference: MapReference {
                temperature_k,
                pressure_pa,
            },
            basis: if total {
                PressureBasis::TotalToTotal
            } else {
                PressureBasis::TotalToStatic
            },
            outlet_diameter_m,
            lines: lines.collect(),
            surge_line,
            units: MapUnits {
                speed: units::speed_unit(&speeds[at[0] % speeds.len()]).expect("known"),
                flow: units::flow_unit(&flows[at[1] % flows.len()]).expect("known"),
                efficiency: units::efficiency_unit(shares[at[2] % 2]).expect("known"),
                temperature: kind(Kind::Temperature, at[3]),
                pressure: kind(Kind::AbsolutePressure, at[4]),
                length: kind(Kind::Length, at[5]),
            },
        }
    })
}

proptest! {
    #[test]
    fn any_map_comes_back(map in any_map()) {
        prop_assert_eq!(map.check(), Ok(()));
        for text in written(&map) {
            let again = sound(&text).map;
            // A value that a unit cannot reach is written in SI, and with it all of its kind.
            let same = MapFile { units: map.units, ..again.clone() };
            prop_assert_eq!(&same, &map, "{}", text);
            prop_assert_eq!(sound(&again.to_json().expect("sound")).map, again);
        }
    }
}
