//! Everything that is refused, with the whole message a person sees.

use super::super::{
    EXAMPLE_JSON, LARGEST_FILE, MOST_POINTS, MapFileError, REFERENCE_PRESSURE,
    REFERENCE_TEMPERATURE, read,
};
use super::{HEAD, HEADER, ROWS, file, map, message, refused};
use crate::air_way::compressor::MapData;

/// The message about bytes that are refused.
fn of_bytes(bytes: &[u8]) -> String {
    read(bytes).expect_err("refused").to_string()
}

#[test]
fn no_map_at_all() {
    let empty = "The file is empty; a map file begins with “airpath_map, 1” or, as JSON, with {.";
    assert_eq!(message(""), empty);
    assert_eq!(message("\u{feff} \r\n\t\n"), empty);
    assert_eq!(message("# only\n# comments\n"), empty);
    assert_eq!(
        of_bytes(&vec![b' '; LARGEST_FILE + 1]),
        "The file has 8000001 bytes and at most 8000000 are read; leave out what is not the map."
    );
    let no_text = "Line 2 of the file holds a byte (0xFF) that is no text in UTF-8; save it as “CSV UTF-8” or as JSON.";
    assert_eq!(of_bytes(b"airpath_map,1\n\xff\xfe"), no_text);
    // What a spreadsheet saves as text in UTF-16.
    assert_eq!(
        of_bytes(b"\xff\xfea\0i\0"),
        no_text.replace("Line 2", "Line 1")
    );
    assert_eq!(
        of_bytes(b"a\0i\0"),
        no_text.replace("Line 2", "Line 1").replace("0xFF", "0x00")
    );
    assert_eq!(
        message("\n\nspeed,flow\n1,2\n"),
        "Line 3 of the file is “speed”; the first row of a map file must be “airpath_map, 1”. Add that row."
    );
    let rubbish = "\u{1}\u{202e}".repeat(3000);
    assert_eq!(
        message(&rubbish),
        "Line 1 of the file has 12000 bytes and at most 4096 are read; break it into rows."
    );
    assert_eq!(
        message(&"\u{1}\u{202e}".repeat(300)),
        format!(
            "Line 1 of the file is “{}…”; the first row of a map file must be “airpath_map, 1”. Add that row.",
            "\u{fffd}".repeat(60)
        )
    );
    assert_eq!(
        message("airpath_map,2\n"),
        "The map file is of version “2”; this program reads version 1. Update the program, or write the file again as version 1."
    );
    assert_eq!(
        message("airpath_map,1\n\"name,a\n"),
        "Line 2 of the file has a quotation mark that is not closed; close it in the same line or remove it."
    );
}

#[test]
fn rows_before_the_table() {
    let changed = |from: &str, to: &str| message(&file(HEADER, ROWS).replace(from, to));
    assert_eq!(
        changed("basis,total-to-total", "base,total-to-total"),
        "Line 4 of the file begins with “base”, which is neither a key nor the header of the table; keys are name, reference temperature, reference pressure, basis, outlet diameter, and a header names speed, flow and pressure ratio. Correct it, or begin the line with # to make it a comment."
    );
    assert_eq!(
        changed("basis,total-to-total", "basis,static"),
        "Line 4 of the file: the basis is “static”; write total-to-total or total-to-static, as the map's source says."
    );
    assert_eq!(
        changed("basis,total-to-total\n", ""),
        "The file has no row “basis”; add it above the table, as “basis, total-to-total” or “basis, total-to-static”."
    );
    assert_eq!(
        changed("reference temperature,298.15,K\n", ""),
        "The file has no row “reference temperature”; add it above the table, such as “reference temperature, 25, °C”."
    );
    assert_eq!(
        changed("reference pressure,100,kPa\n", ""),
        "The file has no row “reference pressure”; add it above the table, such as “reference pressure, 100, kPa”."
    );
    assert_eq!(
        changed("100,kPa", "100,kPa\nreference pressure,100,kPa"),
        "Line 4 of the file gives reference pressure a second time; keep one of them."
    );
    assert_eq!(
        changed("298.15,K", "298.15"),
        "Line 2 of the file: reference temperature has no unit; it must be one of °C, °F, K, in the cell after the number."
    );
    assert_eq!(
        changed("298.15,K", "298.15,bar"),
        "Line 2 of the file: the unit of reference temperature is “bar”; it must be one of °C, °F, K, in the cell after the number."
    );
    assert_eq!(
        changed("298.15,K", "298.15,°C"),
        "Line 2 of the file: reference temperature is “298.15 °C”; it must lie between -23.15 and 76.85 °C: correct it or its unit."
    );
    assert_eq!(
        changed("100,kPa", "none,kPa"),
        "Line 3 of the file: reference pressure is “none”; write a number and, in the next cell, its unit."
    );
    assert_eq!(
        changed("100,kPa", "1e99,kPa"),
        "Line 3 of the file: reference pressure is “1e99 kPa”; it must lie between 50 and 120 kPa: correct it or its unit."
    );
    let long = "x".repeat(81);
    assert_eq!(
        changed("basis", &format!("name,{long}\nbasis")),
        format!(
            "Line 4 of the file: the name is “{}…”; write at most 80 characters, none of them a control sign.",
            "x".repeat(60)
        )
    );
    assert_eq!(
        changed("basis", "name,a, b\nbasis"),
        "Line 4 of the file: name is “a … b”; the row has a cell too many: remove it, or put a text that holds the separator in quotation marks."
    );
    assert_eq!(
        changed("basis", "outlet diameter,51,m\nbasis"),
        "Line 4 of the file: outlet diameter is “51 m”; it must lie between 0.005 and 0.5 m: correct it or its unit."
    );
    assert_eq!(
        message(&format!("airpath_map,1\n{HEAD}")),
        "The file has no header; add a row that names the columns, such as “speed [rev/min], flow [kg/s], pressure ratio, efficiency [%]”."
    );
}

#[test]
fn columns() {
    let with = |header: &str| message(&file(header, ROWS));
    assert_eq!(
        with("speed [rev/min],flow [kg/s],pressure ratio,eficiency"),
        "Line 5 of the file, column 4: there is no column “eficiency”; columns are speed, flow, pressure ratio, efficiency and surge. Rename or remove it."
    );
    assert_eq!(
        with("speed [rev/min],flow [kg/s],efficiency"),
        "The file has no column “pressure ratio”; add it to the header."
    );
    assert_eq!(
        with("speed [rev/min],flow [kg/s],pressure ratio"),
        "The file has no column “efficiency”; add it to the header with its unit, such as “efficiency [%]”; cells may be blank, but not all."
    );
    assert_eq!(
        with("flow [kg/s],pressure ratio,efficiency"),
        "The file has no column “speed”; add it to the header with its unit, such as “speed [rev/min]”."
    );
    assert_eq!(
        with("speed [rpm],pressure ratio,efficiency"),
        "The file has no column “flow”; add it to the header with its unit, such as “flow [kg/s]”."
    );
    assert_eq!(
        with("speed [rpm],speed [rpm],flow [kg/s],pressure ratio,efficiency"),
        "Line 5 of the file gives speed a second time; keep one of them."
    );
    assert_eq!(
        with("speed [rpm],flow,pressure ratio,efficiency"),
        "Line 5 of the file, column 2: flow has no unit; it must be one of kg/s, g/s, kg/min, kg/h, lb/min, lb/s, m³/s, m³/min, m³/h, litre/s, ft³/min, ft³/s, such as “flow [kg/s]”."
    );
    assert_eq!(
        with("speed [mph],flow [kg/s],pressure ratio,efficiency"),
        "Line 5 of the file, column 1: the unit of speed is “mph”; it must be one of rev/min, k rev/min, rev/s, rad/s, such as “speed [rev/min]”."
    );
    assert_eq!(
        with("speed [rpm],flow [kg/s],pressure ratio,efficiency [K]"),
        "Line 5 of the file, column 4: the unit of efficiency is “K”; it must be one of fraction, %, such as “efficiency [%]”."
    );
    assert_eq!(
        with("speed [rpm],flow [kg/s],pressure ratio [bar],efficiency"),
        "Line 5 of the file, column 3: the unit of pressure ratio is “bar”; it must be one of 1, -: a ratio has no unit, so leave the brackets out."
    );
}

#[test]
fn values() {
    let with = |row: &str| message(&file(HEADER, &format!("{ROWS}{row}\n")));
    assert_eq!(
        with("60000,0.1,0.9,0.7"),
        "Line 12 of the file, column 3 (pressure ratio): 0.9 cannot be; it must lie between 1.000001 and 12: correct it, or leave this point out."
    );
    assert_eq!(
        with("60000,-0.1,1.4,0.7"),
        "Line 12 of the file, column 2 (flow): -0.1 kg/s cannot be; it must lie between 0.0001 and 20 kg/s: correct it or its unit."
    );
    assert_eq!(
        with("60000,0.1,1.4,70"),
        "Line 12 of the file, column 4 (efficiency): 70 cannot be; it must lie between 0.02 and 0.95: correct it or its unit, or leave it out where it is not known."
    );
    assert_eq!(
        with("60,1e300,1.4,0.7"),
        "Line 12 of the file, column 1 (speed): 60 rev/min cannot be; it must lie between 500 and 600000 rev/min: correct it or its unit.\n\
         Line 12 of the file, column 2 (flow): 1e300 kg/s cannot be; it must lie between 0.0001 and 20 kg/s: correct it or its unit."
    );
    assert_eq!(
        with("60000,,1.4,0.7"),
        "Line 12 of the file, column 2 (flow): the flow is missing; write it, or delete the whole row."
    );
    assert_eq!(
        with(",0.1,1.4,0.7"),
        "Line 12 of the file, column 1 (speed): the speed is missing; write it, or delete the whole row."
    );
    for text in [
        "nan",
        "inf",
        "60 000",
        "60'000",
        "\"60,000\"",
        "0x10",
        "60000 rpm",
        "6..0",
    ] {
        let shown = text.trim_matches('"');
        assert_eq!(
            with(&format!("{text},0.1,1.4,0.7")),
            format!(
                "Line 12 of the file, column 1 (speed): “{shown}” is not a number; write digits and one decimal mark, without marks between thousands and without a unit."
            )
        );
    }
    assert_eq!(
        with("60000,0,1,1,4"),
        "Line 12 of the file, column 5: “4” stands right of the last column of the header; remove it, or, where decimals have a comma, set cells apart with semicolons."
    );
    assert_eq!(
        message(&file(
            &format!("{HEADER},surge"),
            "60000,0.1,1.4,0.7,perhaps\n"
        )),
        "Line 6 of the file, column 5 (surge): “perhaps” is neither yes nor no; write yes where the compressor is at surge, else nothing."
    );
    let mixed = file(HEADER, ROWS)
        .replace(',', ";")
        .replace("90000;0.2;2;", "90000;0,2;2;");
    assert_eq!(
        message(&mixed),
        "Line 9 of the file has a decimal comma and line 2 the other mark; write all decimals in one way, and no marks between thousands."
    );
    // A unit that is wrong makes every row one mistake; twenty are listed.
    let many = message(&file(HEADER, &"60000,0.1,1.4,70\n".repeat(1000)));
    assert_eq!(many.lines().count(), 21);
    assert!(many.ends_with("\nAnd 980 more of the kind."), "{many}");
    // The range is in the file's own unit: 20 kg/s are 2645.547 lb/min (NIST SP 811, B.8).
    let pounds = file(&HEADER.replace("kg/s", "lb/min"), "60000,3000,1.4,0.7\n");
    assert_eq!(
        message(&pounds),
        "Line 6 of the file, column 2 (flow): 3000 lb/min cannot be; it must lie between 0.01322774 and 2645.547 lb/min: correct it or its unit."
    );
}

#[test]
fn lines_together() {
    let with = |rows: &str| message(&file(HEADER, rows));
    assert_eq!(
        with(""),
        "The file has no points; add a row for each point below the header."
    );
    assert_eq!(
        with("60000,0.1,1.4,0.7\n60000,0.2,1.3,0.7\n"),
        "The map has 1 speed line(s) and needs at least 2; add the points of another speed."
    );
    assert_eq!(
        with("60000,0.1,1.4,\n90000,0.2,1.3,\n"),
        "None of the 2 points has an efficiency, and a map needs some; fill the column “efficiency” where it is known."
    );
    assert_eq!(
        with(&format!("{ROWS}90000,0.3,1.6,0.66\n")),
        "The points at line 11 of the file and at line 12 of the file are one point (90000 rev/min, 0.3 kg/s) with efficiencies 0.65 and 0.66; keep one of them."
    );
    assert_eq!(
        with(&ROWS.replace("60000,0.2,1.2,0.6\n", "60000,0.22,2.1,0.6\n")),
        "The speed lines of 60000 and 90000 rev/min cross: at line 8 of the file, 0.22 kg/s, the pressure ratio 2.1 of the slower line lies above both neighbours on the other, 1.9 and 2. Correct one of them, or give both lines one speed if they are one."
    );
    assert_eq!(
        with(&format!("{ROWS}90000,0.12,1.3,0.6\n")),
        "The speed lines of 60000 and 90000 rev/min cross: at line 12 of the file, 0.12 kg/s, the pressure ratio 1.3 of the faster line lies below both neighbours on the other, 1.35 and 1.4. Correct one of them, or give both lines one speed if they are one."
    );
    let speeds: String = (0..201)
        .map(|n| format!("{},0.1,1.4,0.7\n", 60_000 + n))
        .collect();
    assert_eq!(
        with(&speeds),
        "The map has 201 different speeds and at most 200 are read; give the points of one speed line the same speed."
    );
}

/// Fifty thousand points are read, one more is not.
#[test]
fn many_points() {
    let mut rows = String::new();
    for n in 0..MOST_POINTS {
        let (line, step) = (n % 50, n / 50);
        let flow = 0.1 + 0.000_1 * step as f64;
        let ratio = 1.2 + 0.1 * line as f64 - 0.000_01 * step as f64;
        rows += &format!("{},{flow:.4},{ratio:.5},0.7\n", 60_000 + 1000 * line);
    }
    let text = file(HEADER, &rows);
    assert_eq!(map(&text).point_count(), MOST_POINTS);
    assert_eq!(
        message(&format!("{text}60000,0.1,1.4,0.7\n")),
        "The map has more than 50000 points; leave points out until 50000 or fewer are left."
    );
}

#[test]
fn json() {
    let changed = |from: &str, to: &str| {
        assert!(EXAMPLE_JSON.contains(from), "{from}");
        message(&EXAMPLE_JSON.replace(from, to))
    };
    assert_eq!(
        changed("\"basis\"", "\"base\""),
        "This is not a map file: unknown field `base`, expected one of `airpath_map`, `name`, `reference`, `basis`, `outlet_diameter`, `units`, `lines`, `surge_line` (line 5, column 8). Correct it there."
    );
    assert_eq!(
        changed("\"basis\": \"total-to-total\",", ""),
        "This is not a map file: missing field `basis` (line 40, column 1). Correct it there."
    );
    assert_eq!(
        changed("0.078", "\"0.078\""),
        "This is not a map file: invalid type: string \"0.078\", expected f64 (line 12, column 25). Correct it there."
    );
    assert!(changed("0.078", "1e999").contains("number out of range (line 12,"));
    assert_eq!(
        changed("0.078", "78"),
        "Speed line 1, point 1 (flow): 78 kg/s cannot be; it must lie between 0.0001 and 20 kg/s: correct it or its unit."
    );
    assert_eq!(
        changed("0.188", "0"),
        "Surge line, point 1 (flow): 0 kg/s cannot be; it must lie between 0.0001 and 20 kg/s: correct it or its unit."
    );
    assert_eq!(
        changed("25 °C", "25"),
        "“reference.temperature”: reference temperature has no unit; it must be one of °C, °F, K, in the text after the number."
    );
    assert_eq!(
        changed("25 °C", "warm"),
        "“reference.temperature”: reference temperature is “warm”; “warm” is not a number: type digits, with a point or a comma for decimals, then the unit; 3/4 is typed 0.75."
    );
    assert_eq!(
        changed("100 kPa", "1 kPa"),
        "“reference.pressure”: reference pressure is “1 kPa”; it must lie between 50 and 120 kPa: correct it or its unit."
    );
    assert_eq!(
        changed("\"kg/s\"", "\"kg\""),
        "“units.flow”: the unit of flow is “kg”; it must be one of kg/s, g/s, kg/min, kg/h, lb/min, lb/s, m³/s, m³/min, m³/h, litre/s, ft³/min, ft³/s."
    );
    assert_eq!(
        changed("total-to-total", "static"),
        "“basis”: the basis is “static”; write total-to-total or total-to-static, as the map's source says."
    );
    assert_eq!(
        changed("\"airpath_map\": 1", "\"airpath_map\": 7"),
        "The map file is of version 7; this program reads version 1. Update the program, or write the file again as version 1."
    );
    // A newer file may have another shape; the version is what matters then.
    assert!(matches!(
        refused("{\"airpath_map\":2,\"new\":[]}"),
        MapFileError::Version { .. }
    ));
    assert!(matches!(refused("{"), MapFileError::Shape { line: 1, .. }));
    let long = changed("\"basis\"", &format!("\"{}\"", "x".repeat(100_000)));
    assert!(long.chars().count() < 400, "{long}");
}

/// The ranges of reference states are those that a map takes.
#[test]
fn reference_states_are_those_of_maps() {
    let sound = map(&file(HEADER, ROWS)).to_map_data().expect("sound");
    let with = |temperature_k, pressure_pa| {
        let mut data: MapData = sound.clone();
        data.reference.temperature_k = temperature_k;
        data.reference.pressure_pa = pressure_pa;
        data.check().is_ok()
    };
    let (cold, hot) = REFERENCE_TEMPERATURE;
    let (low, high) = REFERENCE_PRESSURE;
    assert!(with(cold, low) && with(hot, high));
    assert!(!with(cold - 0.01, low) && !with(hot + 0.01, low));
    assert!(!with(cold, low - 1.0) && !with(cold, high + 1.0));
}
