//! The example, units against conversions by hand, spellings, and total-to-static.

use super::super::{EXAMPLE_CSV, EXAMPLE_JSON, PressureBasis};
use super::{HEADER, ROWS, file, map, sound, warnings};
use crate::air_way::compressor::{CompressorMap, MapReference};
use approx::assert_relative_eq;

/// Factors have seven digits in NIST SP 811; half of the last is 5e-8 of 1.
const PRINTED: f64 = 1e-7;

#[test]
fn the_example_is_read() {
    let reading = sound(EXAMPLE_CSV);
    let map = &reading.map;
    assert_eq!(map.name, "Invented stage, 71 mm");
    assert_eq!(map.reference.temperature_k, 298.15);
    assert_eq!(map.reference.pressure_pa, 100_000.0);
    assert_eq!(map.basis, PressureBasis::TotalToTotal);
    assert_eq!(map.outlet_diameter_m, Some(51.0 * 1e-3));
    let speeds: Vec<f64> = map.lines.iter().map(|line| line.speed_rev_min).collect();
    assert_eq!(speeds, [60_000.0, 90_000.0, 120_000.0]);
    assert_eq!(map.point_count(), 12);
    assert_eq!(map.lines[1].points[2].efficiency, None);
    assert_eq!(map.lines[1].points[1].efficiency, Some(76.8 * 0.01));
    assert_eq!(map.lines[1].points[1].flow_kg_s, 0.196);
    let surge: Vec<(Option<f64>, f64)> = map
        .surge_points()
        .map(|(speed, point)| (speed, point.pressure_ratio))
        .collect();
    assert_eq!(
        surge,
        [
            (Some(60_000.0), 1.42),
            (Some(90_000.0), 2.05),
            (Some(120_000.0), 3.02),
            (None, 2.5)
        ]
    );
    assert_eq!(
        warnings(EXAMPLE_CSV),
        ["1 of 12 points have no efficiency; nothing was put in their place."]
    );
    assert_eq!(reading, sound(EXAMPLE_JSON));
}

/// The flow of a point that is given as 10 of a unit; other values are sound with it.
fn ten(unit: &str) -> f64 {
    let header = format!("speed [rev/min],flow [{unit}],pressure ratio,efficiency");
    let rows = "60000,10,1.4,0.7\n60000,11,1.3,0.7\n90000,12,2,0.7\n90000,13,1.9,0.7\n";
    map(&file(&header, rows)).lines[0].points[0].flow_kg_s
}

#[test]
fn mass_flows() {
    assert_eq!(ten("kg/s"), 10.0);
    assert_eq!(ten("g/s"), 0.01);
    assert_relative_eq!(ten("kg/min"), 0.166_666_7, max_relative = 3e-7);
    assert_relative_eq!(ten("kg/h"), 0.002_777_778, max_relative = 2e-7);
    // NIST SP 811, B.8: pound per minute 7.559 873 E-03 kg/s, pound per second 4.535 924 E-01.
    assert_relative_eq!(ten("lb/min"), 0.075_598_73, max_relative = PRINTED);
    assert_relative_eq!(ten("lbs/min"), 0.075_598_73, max_relative = PRINTED);
    assert_relative_eq!(ten("lb/s"), 4.535_924, max_relative = PRINTED);
}

#[test]
fn volume_flows() {
    // By hand, at 298.15 K and 100 kPa with R = 287.05 J/(kg K) of dry air (ISO 2533: 287.052 87):
    // 100 000/(287.052 87 × 298.15) = 1.168 434 kg/m³. The core's R is that of the gas constant and
    // its own composition, 1e-5 away at the most.
    let density = 1.168_434;
    let near = 2e-5;
    assert_relative_eq!(ten("m3/s"), 10.0 * density, max_relative = near);
    assert_relative_eq!(ten("m³/min"), density / 6.0, max_relative = near);
    assert_relative_eq!(ten("m3/h"), density / 360.0, max_relative = near);
    assert_relative_eq!(ten("L/s"), 0.01 * density, max_relative = near);
    // NIST SP 811, B.8: cubic foot per minute 4.719 474 E-04 m³/s, per second 2.831 685 E-02.
    assert_relative_eq!(ten("cfm"), 4.719_474e-3 * density, max_relative = near);
    assert_relative_eq!(ten("ft3/s"), 0.283_168_5 * density, max_relative = near);
}

#[test]
fn a_volume_flow_goes_by_the_reference_state() {
    let header = "speed [rev/min],flow [m3/s],pressure ratio,efficiency";
    let one = map(&file(header, ROWS));
    let warm = file(header, ROWS)
        .replace("298.15,K", "100,°F")
        .replace("100,kPa", "14.5,psi");
    let two = map(&warm);
    // NIST SP 811, B.8: (100 + 459.67)/1.8 = 310.928 K; 14.5 × 6 894.757 = 99 973.98 Pa.
    assert_relative_eq!(
        two.reference.temperature_k,
        310.927_8,
        max_relative = PRINTED
    );
    assert_relative_eq!(two.reference.pressure_pa, 99_973.98, max_relative = PRINTED);
    let (one, two) = (one.lines[0].points[0], two.lines[0].points[0]);
    // p/T: 0.999 739 8 × 298.15/310.927 8.
    assert_relative_eq!(
        two.flow_kg_s / one.flow_kg_s,
        0.958_654_8,
        max_relative = 2e-7
    );
}

#[test]
fn speeds_and_efficiencies() {
    let speed = |unit: &str, slow: &str, fast: &str| {
        let header = format!("speed [{unit}],flow [kg/s],pressure ratio,efficiency [%]");
        let rows =
            format!("{slow},0.1,1.4,70\n{slow},0.2,1.3,65.5\n{fast},0.2,2,70\n{fast},0.3,1.8,60\n");
        let line = map(&file(&header, &rows)).lines[0].clone();
        assert_eq!(line.points[1].efficiency, Some(65.5 * 0.01));
        line.speed_rev_min
    };
    assert_eq!(speed("rpm", "60000", "90000"), 60_000.0);
    assert_eq!(speed("k rev/min", "60", "90"), 60_000.0);
    assert_eq!(speed("Hz", "1000", "1500"), 60_000.0);
    // NIST SP 811, B.8: 1 rev/min = 0.104 719 8 rad/s; half of its last digit is 5e-7 of it.
    assert_relative_eq!(
        speed("rad/s", "6283.188", "9000"),
        60_000.0,
        max_relative = 5e-7
    );
}

/// One map in every spelling that is allowed.
#[test]
fn spellings() {
    let plain = sound(&file(HEADER, ROWS));
    let text = file(HEADER, ROWS);
    let semicolons = text.replace(',', ";").replace('.', ",");
    let tabs = text.replace(',', "\t").replace('.', ",");
    for (what, other) in [
        ("byte order mark", format!("\u{feff}{text}")),
        ("line ends", text.replace('\n', "\r\n")),
        ("old line ends", text.replace('\n', "\r")),
        ("blank lines", text.replace('\n', "\n\n  \n")),
        ("empty rows", text.replace('\n', "\n,,,\n")),
        (
            "comments",
            text.replace('\n', "\n# 5\" of a thing\n \"# a, b\"\n"),
        ),
        ("semicolons, decimal comma", semicolons),
        ("tabs, decimal comma", tabs),
        (
            "quotation marks",
            text.replace("basis,total-to-total", "\"basis\", \"total-to-total\""),
        ),
        ("spaces", text.replace(',', " , ")),
        (
            "capitals",
            text.replace("basis,total-to-total", "Basis,Total to total"),
        ),
        ("one cell", text.replace("100,kPa", "100 kPa")),
        ("round brackets", text.replace("[kg/s]", "(kg/s)")),
        (
            "names",
            text.replace("pressure ratio,", "Pressure_Ratio [-],"),
        ),
        ("trailing cells", text.replace(",0.7\n", ",0.7,,,\n")),
    ] {
        let reading = super::read(other.as_bytes());
        let reading = reading.unwrap_or_else(|error| panic!("{what}: {error}"));
        assert_eq!(reading, plain, "{what}");
    }
}

#[test]
fn columns_in_any_order() {
    let rows = "no,70,1.4,0.1,60000\n,,1.3,0.2,60000\nyes,70,2,0.2,90000\n,60,1.8,0.3,90000\n";
    let header = "surge,efficiency [%],pressure ratio,flow [kg/s],speed [rev/min]";
    let map = map(&file(header, rows));
    assert_eq!(map.lines[0].points[1].flow_kg_s, 0.2);
    assert_eq!(map.lines[0].points[1].efficiency, None);
    assert!(map.lines[1].points[0].at_surge);
    assert!(!map.lines[0].points[0].at_surge);
}

#[test]
fn a_map_is_made_where_nothing_is_missing() {
    let read = map(&file(HEADER, ROWS));
    let data = read.to_map_data().expect("sound");
    assert!(!data.estimated);
    assert_eq!(
        data.reference,
        MapReference {
            temperature_k: 298.15,
            pressure_pa: 100_000.0
        }
    );
    assert_eq!(data.lines.len(), 2);
    assert_eq!(data.lines[1].points[1].efficiency, 0.74);
    assert!(CompressorMap::new(&data, 0.071, 1.1, 10.0).is_ok());
    assert_eq!(
        map(EXAMPLE_CSV)
            .to_map_data()
            .expect_err("one is missing")
            .to_string(),
        "1 point(s) have no efficiency, the first at 90000 rev/min and 0.248 kg/s; fill them in, \
         leave them out, or have the map fitted."
    );
    let few = file(
        HEADER,
        "60000,0.1,1.4,0.7\n60000,0.2,1.3,0.7\n90000,0.2,2,0.7\n",
    );
    assert_eq!(
        map(&few).to_map_data().expect_err("too few").to_string(),
        "Speed line 1 of the compressor map has 2 point(s); at least three are needed. Correct those \
         points, or have the map fitted."
    );
}

#[test]
fn points_left_of_surge_are_left_out_of_a_map() {
    let header = "speed [rev/min],flow [kg/s],pressure ratio,efficiency,surge";
    let rows = ROWS
        .replace("0.6\n", "0.6,\n60000,0.08,1.38,0.65,\n")
        .replace("60000,0.1,1.4,0.7\n", "60000,0.1,1.4,0.7,yes\n");
    let data = map(&file(header, &rows)).to_map_data().expect("sound");
    assert_eq!(data.lines[0].points[0].flow_kg_s, 0.1);
    assert_eq!(data.lines[0].points.len(), 3);
}

#[test]
fn total_to_static_is_made_total_to_total() {
    // By hand: at 298.15 K, 100 kPa, γ = 1.4, R = 287.05 J/(kg K), cp = 1004.7 J/(kg K), total-to-static
    // ratio 2 and efficiency 0.75: T02 = 298.15 (1 + (2^(2/7) − 1)/0.75) = 385.2 K. At M = 0.3,
    // T2 = 385.2/1.018 = 378.4 K, ρ = 200 000/(287.05 × 378.4) = 1.841 kg/m³, speed of sound
    // 390.0 m/s, so that 0.423 0 kg/s pass 50 mm.
    // NACA Report 1135, table I (from memory; 1.018^(−3.5) = 0.939 47): p/p0 = 0.9395 at M = 0.3. Half of its last digit is 5e-5; air at
    // 385 K has γ = 1.396 and cp 1012 J/(kg K) at its mean, which moves p0/p − 1 by some per mille.
    let rows = "60000,0.1,1.4,0.7\n60000,0.15,1.35,0.72\n60000,0.2,1.2,0.6\n\
                90000,0.423,2,0.75\n90000,0.43,1.98,0.74\n90000,0.44,1.9,0.74\n";
    let text = file(HEADER, rows).replace("total-to-total", "total-to-static");
    let without = map(&text);
    assert_eq!(without.basis, PressureBasis::TotalToStatic);
    assert_eq!(
        without.to_map_data().expect_err("no diameter").to_string(),
        "The map's pressure ratios are total-to-static and its outlet diameter is not given, so that \
         they cannot be made total-to-total; add the row “outlet diameter”, such as 50 mm."
    );
    let with = map(&text.replace("basis", "outlet diameter,50,mm\nbasis"));
    let total = with.to_total_to_total().expect("sound");
    assert_eq!(total.basis, PressureBasis::TotalToTotal);
    let point = total.lines[1].points[0];
    assert_relative_eq!(point.pressure_ratio, 2.0 / 0.939_5, max_relative = 3e-4);
    // The work stays: efficiency rises as PR^(2/7) − 1 does, with γ = 1.4: within half a per cent.
    let rise = |ratio: f64| ratio.powf(2.0 / 7.0) - 1.0;
    let expected = 0.75 * rise(2.0 / 0.939_5) / rise(2.0);
    assert_relative_eq!(
        point.efficiency.unwrap_or(0.0),
        expected,
        max_relative = 5e-3
    );
    assert_eq!(with.to_map_data(), total.to_map_data());
    let narrow = map(&text.replace("basis", "outlet diameter,20,mm\nbasis"));
    let error = narrow.to_map_data().expect_err("too narrow").to_string();
    assert!(
        error.starts_with("At 0.15 kg/s and 60000 rev/min the flow through an outlet of 20 mm"),
        "{error}"
    );
}

#[test]
fn a_point_without_efficiency_is_made_total_to_total_without_one() {
    let rows = "60000,0.1,1.4,0.75\n60000,0.15,1.35,0.65\n60000,0.2,1.2,0.6\n\
                90000,0.423,2,0.75\n90000,0.43,1.98,0.74\n90000,0.44,1.9,0.74\n,0.2,1.6,,yes\n";
    let header = format!("{HEADER},surge");
    let text = file(&header, rows).replace(
        "basis,total-to-total",
        "outlet diameter,50,mm\nbasis,total-to-static",
    );
    let total = |text: &str| map(text).to_total_to_total().expect("sound");
    let (with, without) = (
        total(&text),
        total(&text.replace("0.423,2,0.75", "0.423,2,")),
    );
    let (a, b) = (with.lines[1].points[0], without.lines[1].points[0]);
    assert_eq!(b.efficiency, None);
    // The mean efficiency is 0.696, a fourteenth less: by hand, T02 rises from 385.2 to 391.9 K, and
    // with it the dynamic head, 6.4 % of the pressure, by 1.7 %: 0.11 % of the pressure ratio.
    assert_relative_eq!(
        b.pressure_ratio / a.pressure_ratio,
        1.001_1,
        max_relative = 2e-4
    );
    assert!(without.surge_line[0].pressure_ratio > 1.6);
}
