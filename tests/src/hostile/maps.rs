//! Map files, as a table and as JSON: what must hold of any, and how they are made.

use super::{Dice, LONGEST_MESSAGE, ODD_TEXTS, edit_text, mark, number_text, place, raw_token};
use super::{quantity_text, sentence, start, unit_text};
use airpath::map_files::{
    CsvStyle, EXAMPLE_CSV, EXAMPLE_JSON, MapFile, MapFileError, MapReading, read,
};
use airpath::quantity::Kind;
use serde_json::{Value, json};
use std::sync::LazyLock;

/// Longest message of a list of mistakes, characters.
const LONGEST_LIST: usize = 21 * 400;

/// Most warnings of a file: twenty, and that there are more.
const MOST_WARNINGS: usize = 21;

/// A map file: refused with a message that helps, or taken and written back as the same in every
/// form.
pub fn map_file(bytes: &[u8]) {
    let reading = match read(bytes) {
        Ok(reading) => reading,
        Err(error) => return refusal(bytes, &error),
    };
    let MapReading { map, warnings } = reading;
    let text = || start(&String::from_utf8_lossy(bytes));
    assert!(warnings.len() <= MOST_WARNINGS, "{warnings:?}");
    for warning in &warnings {
        sentence(&warning.to_string(), LONGEST_MESSAGE);
    }
    assert_eq!(map.check(), Ok(()), "{}", text());
    for style in [CsvStyle::Commas, CsvStyle::Semicolons, CsvStyle::Tabs] {
        same(&map, map.to_csv(style), &text);
    }
    same(&map, map.to_json(), &text);
    match map.to_map_data() {
        Ok(data) => {
            assert!(!data.estimated, "{}", text());
            assert!(data.check().is_ok(), "{}", text());
        }
        Err(error) => sentence(&error.to_string(), LONGEST_MESSAGE),
    }
}

/// Whether a text that was written reads as the same map.
fn same(map: &MapFile, written: Result<String, MapFileError>, text: &dyn Fn() -> String) {
    let written = written.unwrap_or_else(|error| panic!("not written: {error}\n{}", text()));
    let again = read(written.as_bytes())
        .unwrap_or_else(|error| panic!("what was written is refused: {error}\n{written}"));
    // Values are the same to the bit; a unit that cannot reach one of them has become SI.
    let again = MapFile {
        units: map.units,
        ..again.map
    };
    assert!(again == *map, "the map changed:\n{}\n{written}", text());
}

/// A refusal names the place, what stands there, and what would be taken.
fn refusal(bytes: &[u8], error: &MapFileError) {
    let message = error.to_string();
    let last_line = 1 + bytes
        .iter()
        .filter(|byte| matches!(byte, b'\n' | b'\r'))
        .count();
    let in_file = |line: usize| {
        assert!(line >= 1 && line <= last_line, "{message}");
        assert!(message.contains(&format!("ine {line}")), "{message}");
    };
    if let MapFileError::Mistakes { mistakes, .. } = error {
        assert!(!mistakes.is_empty());
        let length = message.chars().count();
        assert!(length <= LONGEST_LIST, "{length} characters: {message}");
        for mistake in mistakes {
            sentence(&mistake.to_string(), LONGEST_MESSAGE);
        }
        return;
    }
    sentence(&message, LONGEST_MESSAGE);
    // What turns text round or does not show stays out of messages.
    assert!(
        !message.contains(|sign: char| sign.is_control() || sign == '\u{202e}'),
        "{message:?}"
    );
    match error {
        MapFileError::NotText { line, .. }
        | MapFileError::FirstRow { line, .. }
        | MapFileError::LineTooLong { line, .. }
        | MapFileError::OpenQuote { line }
        | MapFileError::UnknownKey { line, .. }
        | MapFileError::Twice { line, .. }
        | MapFileError::UnknownColumn { line, .. }
        | MapFileError::MixedDecimals { line, .. } => in_file(*line),
        // A file that ends too soon ends a line further on.
        MapFileError::Shape { line, .. } => assert!(*line <= last_line + 1, "{message}"),
        _ => {}
    }
}

/// Tables to begin with: the example in each style, and the smallest.
pub fn map_table_seeds() -> Vec<Vec<u8>> {
    let example = read(EXAMPLE_CSV.as_bytes()).expect("the example is sound");
    let styles = [CsvStyle::Commas, CsvStyle::Semicolons, CsvStyle::Tabs];
    let mut seeds: Vec<Vec<u8>> = styles
        .iter()
        .map(|style| {
            example
                .map
                .to_csv(*style)
                .expect("it is sound")
                .into_bytes()
        })
        .collect();
    seeds.push(EXAMPLE_CSV.as_bytes().to_vec());
    seeds.push(
        "airpath_map,1\nreference temperature,85,°F\nreference pressure,28.4,inHg\nbasis,total-to-static\n\
         outlet diameter,2,in\nflow [cfm],speed [krpm],pressure ratio,efficiency [%]\n\
         200,60,1.4,70\n300,60,1.3,\n400,90,1.9,71\n500,90,1.7,65\n"
            .to_owned()
            .into_bytes(),
    );
    seeds
}

/// JSON files to begin with: the example, and the smallest.
pub fn map_json_seeds() -> Vec<Vec<u8>> {
    let small = json!({
        "airpath_map": 1,
        "reference": { "temperature": "85 °F", "pressure": "28.4 inHg" },
        "basis": "total-to-static",
        "units": { "speed": "krpm", "flow": "lb/min" },
        "lines": [
            { "speed": 60, "points": [{ "flow": 10, "pressure_ratio": 1.4, "efficiency": 0.7 }] },
            { "speed": 90, "points": [{ "flow": 20, "pressure_ratio": 1.9 }] },
        ],
    });
    vec![
        EXAMPLE_JSON.as_bytes().to_vec(),
        small.to_string().into_bytes(),
    ]
}

/// The seeds of tables, made once.
static TABLES: LazyLock<Vec<Vec<u8>>> = LazyLock::new(map_table_seeds);

/// The seeds of JSON files, made once.
static FILES: LazyLock<Vec<Vec<u8>>> = LazyLock::new(map_json_seeds);

/// What a cell may hold, right or wrong.
fn cell(dice: &mut Dice) -> String {
    match dice.below(8) {
        0 => dice.text(ODD_TEXTS).to_owned(),
        1 => number_text(dice),
        2 => format!("{:.4}", dice.between(0.0, 1.0)),
        3 => format!("{:.3}", dice.between(1.0, 5.0)),
        4 => format!("{}", 10_000 * (1 + dice.below(15))),
        5 => dice
            .text(&[
                "",
                "yes",
                "no",
                "\"",
                "\"a\"\"b\"",
                "#",
                "total-to-static",
                "1",
            ])
            .to_owned(),
        6 => {
            let kinds = [Kind::Temperature, Kind::AbsolutePressure, Kind::Length];
            let kind = *dice.of(&kinds);
            if dice.below(2) == 0 {
                unit_text(dice, kind)
            } else {
                quantity_text(dice, kind)
            }
        }
        _ => {
            let name = dice.text(&[
                "speed",
                "flow",
                "pressure ratio",
                "efficiency",
                "surge",
                "name",
                "basis",
            ]);
            let unit = dice.text(&[
                "rev/min", "krpm", "Hz", "rad/s", "kg/s", "kg/min", "lb/min", "cfm", "m3/h", "%",
                "1", "", "bar",
            ]);
            format!("{name} [{unit}]")
        }
    }
}

/// A table from another one.
pub fn mutate_map_table(dice: &mut Dice, bytes: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let text = if text.starts_with("airpath_map") && dice.below(8) > 0 {
        text.into_owned()
    } else {
        String::from_utf8_lossy(&TABLES[dice.below(TABLES.len())]).into_owned()
    };
    let mut separator = [",", ";", "\t"]
        .into_iter()
        .find(|mark| {
            text.lines()
                .next()
                .is_some_and(|first| first.contains(mark))
        })
        .unwrap_or(",");
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for _ in 0..=dice.below(3) {
        let at = dice.below(lines.len());
        let to = dice.below(lines.len() + 1);
        match dice.below(9) {
            // A cell, most often.
            0..=3 => {
                let mut cells: Vec<&str> = lines[at].split(separator).collect();
                let new = cell(dice);
                let place = dice.below(cells.len());
                cells[place] = &new;
                lines[at] = cells.join(separator);
            }
            4 => {
                let line = lines[at].clone();
                lines.insert(to, line);
            }
            5 => {
                let line = lines.remove(at);
                lines.insert(dice.below(lines.len() + 1), line);
            }
            6 => {
                let new = dice.text(&[",", ";", "\t"]);
                for line in &mut lines {
                    *line = line.replace(separator, new);
                }
                separator = new;
            }
            7 => lines.insert(to, dice.text(ODD_TEXTS).to_owned()),
            _ => {
                let new = cell(dice);
                lines[at] += separator;
                lines[at] += &new;
            }
        }
        if lines.is_empty() {
            break;
        }
    }
    let end = dice.text(&["\n", "\n", "\n", "\r\n", "\r"]);
    let mut new = lines.join(end).into_bytes();
    if dice.below(6) == 0 {
        edit_text(dice, &mut new);
    }
    new
}

/// A JSON file from another one.
pub fn mutate_map_json(dice: &mut Dice, bytes: &[u8]) -> Vec<u8> {
    let mut tree = match serde_json::from_slice::<Value>(bytes) {
        Ok(tree @ Value::Object(_)) if dice.below(8) > 0 => tree,
        _ => serde_json::from_slice(&FILES[dice.below(FILES.len())]).expect("the seeds are JSON"),
    };
    let mut raw = Vec::new();
    for _ in 0..=dice.below(3) {
        let inside = place(dice, &mut tree);
        match dice.below(6) {
            0 => {
                *inside = mark(raw.len());
                raw.push(raw_token(dice));
            }
            1 => *inside = Value::String(cell(dice)),
            2 => *inside = json!(dice.between(0.0, 2.0)),
            3 => {
                if let Value::Array(list) = inside {
                    let at = dice.below(list.len());
                    if let Some(copy) = list.get(at).cloned() {
                        list.insert(dice.below(list.len() + 1), copy);
                    }
                }
            }
            4 => {
                if let Value::Array(list) = inside {
                    list.reverse();
                }
            }
            _ => {
                if let Value::Object(map) = inside {
                    let at = dice.below(map.len());
                    if let Some(key) = map.keys().nth(at).cloned()
                        && let Some(value) = map.remove(&key)
                        && dice.below(2) == 0
                    {
                        map.insert(key + dice.text(ODD_TEXTS), value);
                    }
                }
            }
        }
    }
    let mut text = tree.to_string();
    for (n, token) in raw.iter().enumerate() {
        text = text.replace(&mark(n).to_string(), token);
    }
    let mut new = text.into_bytes();
    if dice.below(6) == 0 {
        edit_text(dice, &mut new);
    }
    new
}
