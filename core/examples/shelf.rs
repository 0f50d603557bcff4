//! Writes the shelf of turbochargers from their wheel sizes: `cargo run -p airpath --example shelf`.
//!
//! With `--check` it compares instead, and fails where the data is stale.

use airpath::air_way::compressor::{MapReference, WheelSizes, estimate};
use airpath::build::{
    Bearing, CompressorRecord, Connections, GateKind, GateRecord, Housing, HousingEntry,
    TurbineRecord, Turbocharger,
};
use std::process::ExitCode;

/// The state that the shelf's maps refer to: a gas-stand practice, 545 °R and 28.4 inHg.
const REFERENCE: MapReference = MapReference {
    temperature_k: 302.8,
    pressure_pa: 96_200.0,
};

/// Largest tip speed of the compressor wheels, m/s: a judgement for cast aluminium.
const LARGEST_TIP_SPEED: f64 = 545.0;

/// A frame: what turbochargers share that differ only in their compressor. Within it a swap leaves
/// the exhaust side and the lines as they are.
struct Family {
    /// The file it goes into, and the front of its keys.
    id: &'static str,
    name: &'static str,
    turbine_mm: f64,
    turbine_exducer_mm: f64,
    turbine_efficiency: f64,
    inlet_limit_c: f64,
    bearing: Bearing,
    a_over_r: &'static [f64],
    entry: HousingEntry,
    gate: GateKind,
    gate_mm: f64,
    gate_lift_mm: f64,
    turbine_flange: &'static str,
    exhaust_flange: &'static str,
    oil_feed: &'static str,
    oil_restrictor_mm: Option<f64>,
    oil_drain_mm: f64,
    coolant: &'static str,
    /// Spring of an actuator in the turbine housing, bar; `None` where it is not known.
    spring_bar: Option<f64>,
    /// Whether its outer sizes are known.
    measured: bool,
    wheels: &'static [Wheel],
}

/// A compressor of a family.
struct Wheel {
    /// Key and name, where it has its own; else the family's with the exducer's size.
    named: Option<(&'static str, &'static str)>,
    exducer_mm: f64,
    inducer_mm: f64,
    blades: f64,
    splitters: f64,
    efficiency: f64,
    /// Flows of the estimate are multiplied by this, and efficiency leans by the other from the
    /// slowest line to the fastest: no two castings are scalings of one another.
    flow: f64,
    lean: f64,
    notes: &'static str,
}

/// A compressor with the family's name.
const fn wheel(
    exducer_mm: f64,
    inducer_mm: f64,
    (blades, splitters): (f64, f64),
    efficiency: f64,
    (flow, lean): (f64, f64),
    notes: &'static str,
) -> Wheel {
    Wheel {
        named: None,
        exducer_mm,
        inducer_mm,
        blades,
        splitters,
        efficiency,
        flow,
        lean,
        notes,
    }
}

/// One with a name of its own.
const fn named(id: &'static str, name: &'static str, wheel: Wheel) -> Wheel {
    Wheel {
        named: Some((id, name)),
        ..wheel
    }
}

/// Every family, by turbine. All invented; sizes such as are seen in practice.
const FAMILIES: [Family; 8] = [
    Family {
        id: "elder",
        name: "Elder",
        turbine_mm: 33.0,
        turbine_exducer_mm: 28.5,
        turbine_efficiency: 0.615,
        inlet_limit_c: 950.0,
        bearing: Bearing::Journal,
        a_over_r: &[0.30, 0.38, 0.47],
        entry: HousingEntry::Single,
        gate: GateKind::Internal,
        gate_mm: 18.0,
        gate_lift_mm: 5.5,
        turbine_flange: "triangle, three M8 studs, 32 mm opening",
        exhaust_flange: "round, five M6 studs",
        oil_feed: "M10×1.0 banjo",
        oil_restrictor_mm: None,
        oil_drain_mm: 13.0,
        coolant: "",
        spring_bar: Some(0.4),
        measured: true,
        wheels: &[
            wheel(
                35.0,
                25.5,
                (10.0, 5.0),
                0.70,
                (1.0, 0.0),
                "Invented. For a small three-cylinder.",
            ),
            wheel(
                38.0,
                27.5,
                (10.0, 5.0),
                0.715,
                (0.98, 0.01),
                "Invented. For one litre to one and a quarter.",
            ),
            wheel(
                41.0,
                30.0,
                (12.0, 6.0),
                0.725,
                (1.01, 0.0),
                "Invented. The most its turbine wheel carries well.",
            ),
        ],
    },
    Family {
        id: "hazel",
        name: "Hazel",
        turbine_mm: 43.5,
        turbine_exducer_mm: 38.0,
        turbine_efficiency: 0.655,
        inlet_limit_c: 950.0,
        bearing: Bearing::Journal,
        a_over_r: &[0.43, 0.54, 0.66],
        entry: HousingEntry::Single,
        gate: GateKind::Internal,
        gate_mm: 24.0,
        gate_lift_mm: 7.0,
        turbine_flange: "triangle, three M8 studs, 42 mm opening",
        exhaust_flange: "round, five M8 studs",
        oil_feed: "M12×1.25 banjo",
        oil_restrictor_mm: None,
        oil_drain_mm: 15.0,
        coolant: "two M14×1.5",
        spring_bar: Some(0.5),
        measured: true,
        wheels: &[
            wheel(
                44.0,
                32.5,
                (12.0, 6.0),
                0.735,
                (1.0, 0.0),
                "Invented. Boost before anything else, up to 1.6 litres.",
            ),
            wheel(
                46.5,
                35.5,
                (12.0, 6.0),
                0.745,
                (1.02, -0.01),
                "Invented. A high trim: flow of the next size on a smaller wheel.",
            ),
            named(
                "hazel",
                "Hazel",
                wheel(
                    49.0,
                    36.5,
                    (12.0, 6.0),
                    0.755,
                    (1.0, 0.0),
                    "Invented. A quick one for engines up to two litres.",
                ),
            ),
            wheel(
                52.0,
                38.0,
                (12.0, 6.0),
                0.755,
                (0.98, 0.01),
                "Invented. The top of its frame: watch the turbine.",
            ),
        ],
    },
    Family {
        id: "alder",
        name: "Alder",
        turbine_mm: 50.0,
        turbine_exducer_mm: 44.0,
        turbine_efficiency: 0.665,
        inlet_limit_c: 950.0,
        bearing: Bearing::Journal,
        a_over_r: &[0.48, 0.63, 0.82],
        entry: HousingEntry::Single,
        gate: GateKind::Internal,
        gate_mm: 28.0,
        gate_lift_mm: 8.0,
        turbine_flange: "rectangle, four M10 studs, 60×45 mm opening",
        exhaust_flange: "round, five M8 studs",
        oil_feed: "M12×1.25 banjo",
        oil_restrictor_mm: None,
        oil_drain_mm: 16.0,
        coolant: "two M14×1.5",
        spring_bar: None,
        measured: false,
        wheels: &[
            wheel(
                54.0,
                39.5,
                (12.0, 6.0),
                0.755,
                (1.0, 0.0),
                "Invented. For two litres that tow as well.",
            ),
            wheel(
                57.0,
                41.0,
                (12.0, 6.0),
                0.765,
                (0.97, 0.01),
                "Invented. A low trim: wide to the left, for high boost low down.",
            ),
            wheel(
                57.5,
                43.5,
                (12.0, 6.0),
                0.76,
                (1.02, -0.01),
                "Invented. The same wheel opened up: more flow, surge nearer.",
            ),
            wheel(
                60.0,
                45.0,
                (12.0, 6.0),
                0.765,
                (1.0, 0.0),
                "Invented. For two to two and a half litres.",
            ),
        ],
    },
    Family {
        id: "birch",
        name: "Birch",
        turbine_mm: 54.0,
        turbine_exducer_mm: 48.0,
        turbine_efficiency: 0.68,
        inlet_limit_c: 980.0,
        bearing: Bearing::Ball,
        a_over_r: &[0.61, 0.72, 0.83],
        entry: HousingEntry::Single,
        gate: GateKind::Internal,
        gate_mm: 31.0,
        gate_lift_mm: 9.0,
        turbine_flange: "rectangle, four M10 studs, 60×45 mm opening",
        exhaust_flange: "clamp, 76 mm",
        oil_feed: "M11×1.0",
        oil_restrictor_mm: Some(0.9),
        oil_drain_mm: 16.0,
        coolant: "two M14×1.5",
        spring_bar: Some(0.7),
        measured: true,
        wheels: &[
            wheel(
                58.0,
                43.5,
                (14.0, 7.0),
                0.77,
                (1.0, 0.0),
                "Invented. Quick for its flow: ball bearings and a light wheel.",
            ),
            wheel(
                62.0,
                47.0,
                (14.0, 7.0),
                0.78,
                (1.0, 0.01),
                "Invented. For two litres that rev.",
            ),
            wheel(
                66.0,
                50.0,
                (14.0, 7.0),
                0.78,
                (0.99, 0.0),
                "Invented. The most its turbine wheel carries well.",
            ),
        ],
    },
    Family {
        id: "rowan",
        name: "Rowan",
        turbine_mm: 59.0,
        turbine_exducer_mm: 52.0,
        turbine_efficiency: 0.685,
        inlet_limit_c: 980.0,
        bearing: Bearing::Ball,
        a_over_r: &[0.67, 0.83, 1.04],
        entry: HousingEntry::Single,
        gate: GateKind::External,
        gate_mm: 40.0,
        gate_lift_mm: 10.0,
        turbine_flange: "rectangle, four M10 studs, 75×55 mm opening",
        exhaust_flange: "clamp, 76 mm",
        oil_feed: "M11×1.0",
        oil_restrictor_mm: Some(1.0),
        oil_drain_mm: 19.0,
        coolant: "two M14×1.5",
        spring_bar: None,
        measured: true,
        wheels: &[
            wheel(
                67.0,
                50.5,
                (14.0, 7.0),
                0.785,
                (1.0, 0.01),
                "Invented. The quick one of its frame.",
            ),
            named(
                "rowan",
                "Rowan",
                wheel(
                    71.0,
                    54.0,
                    (14.0, 7.0),
                    0.785,
                    (1.0, 0.0),
                    "Invented. For two to two and a half litres that rev, or a pair on a big V8.",
                ),
            ),
            wheel(
                75.0,
                57.0,
                (14.0, 7.0),
                0.785,
                (0.99, 0.0),
                "Invented. For those who rev past eight thousand.",
            ),
        ],
    },
    Family {
        id: "ash",
        name: "Ash",
        turbine_mm: 68.0,
        turbine_exducer_mm: 60.0,
        turbine_efficiency: 0.68,
        inlet_limit_c: 950.0,
        bearing: Bearing::Journal,
        a_over_r: &[0.84, 1.0, 1.15],
        entry: HousingEntry::Twin,
        gate: GateKind::External,
        gate_mm: 44.0,
        gate_lift_mm: 11.0,
        turbine_flange: "rectangle with a divider, four M10 studs, 100×50 mm opening",
        exhaust_flange: "clamp, 89 mm",
        oil_feed: "M12×1.25 banjo",
        oil_restrictor_mm: None,
        oil_drain_mm: 19.0,
        coolant: "",
        spring_bar: None,
        measured: true,
        wheels: &[
            wheel(
                76.0,
                56.5,
                (14.0, 7.0),
                0.775,
                (1.0, 0.0),
                "Invented. Twin entry, for fours and sixes with a divided manifold.",
            ),
            wheel(
                79.0,
                60.0,
                (14.0, 7.0),
                0.78,
                (1.01, 0.0),
                "Invented. For three litres at moderate boost.",
            ),
            wheel(
                83.0,
                63.0,
                (14.0, 7.0),
                0.785,
                (1.0, -0.01),
                "Invented. Oil alone cools it: let it idle before it is shut off.",
            ),
        ],
    },
    Family {
        id: "hornbeam",
        name: "Hornbeam",
        turbine_mm: 74.0,
        turbine_exducer_mm: 64.0,
        turbine_efficiency: 0.685,
        inlet_limit_c: 980.0,
        bearing: Bearing::Ball,
        a_over_r: &[0.78, 0.96, 1.18],
        entry: HousingEntry::Single,
        gate: GateKind::External,
        gate_mm: 45.0,
        gate_lift_mm: 11.0,
        turbine_flange: "rectangle, four M10 studs, 100×55 mm opening",
        exhaust_flange: "clamp, 89 mm",
        oil_feed: "M12×1.5",
        oil_restrictor_mm: Some(1.1),
        oil_drain_mm: 19.0,
        coolant: "two M18×1.5",
        spring_bar: None,
        measured: false,
        wheels: &[
            wheel(
                81.0,
                62.0,
                (14.0, 7.0),
                0.785,
                (1.0, 0.01),
                "Invented. For two and a half litres and high boost.",
            ),
            wheel(
                84.5,
                65.0,
                (14.0, 7.0),
                0.79,
                (1.0, 0.0),
                "Invented. For three litres that rev.",
            ),
            named(
                "hornbeam",
                "Hornbeam",
                wheel(
                    88.0,
                    68.0,
                    (14.0, 7.0),
                    0.79,
                    (1.0, 0.0),
                    "Invented. For three litres and more.",
                ),
            ),
        ],
    },
    Family {
        id: "oak",
        name: "Oak",
        turbine_mm: 82.0,
        turbine_exducer_mm: 72.0,
        turbine_efficiency: 0.69,
        inlet_limit_c: 980.0,
        bearing: Bearing::Ball,
        a_over_r: &[0.96, 1.15, 1.32, 1.5],
        entry: HousingEntry::Twin,
        gate: GateKind::External,
        gate_mm: 50.0,
        gate_lift_mm: 12.5,
        turbine_flange: "rectangle with a divider, four M12 studs, 115×60 mm opening",
        exhaust_flange: "clamp, 102 mm",
        oil_feed: "M12×1.5",
        oil_restrictor_mm: Some(1.2),
        oil_drain_mm: 22.0,
        coolant: "two M18×1.5",
        spring_bar: None,
        measured: true,
        wheels: &[
            wheel(
                92.0,
                70.0,
                (14.0, 7.0),
                0.79,
                (1.0, 0.0),
                "Invented. For a large six.",
            ),
            wheel(
                96.0,
                73.5,
                (14.0, 7.0),
                0.79,
                (0.99, 0.01),
                "Invented. For large engines at high boost.",
            ),
            wheel(
                100.0,
                76.0,
                (14.0, 7.0),
                0.79,
                (1.0, 0.0),
                "Invented. The largest here.",
            ),
        ],
    },
];

/// Hoses and pipes come in steps, outside diameter in mm.
const HOSES: [f64; 14] = [
    32.0, 38.0, 45.0, 51.0, 57.0, 63.5, 70.0, 76.0, 83.0, 89.0, 102.0, 114.0, 127.0, 140.0,
];

/// The next size of hose or pipe.
fn hose(at_least_mm: f64) -> f64 {
    let next = HOSES.iter().find(|size| **size >= at_least_mm);
    next.copied().unwrap_or(at_least_mm.round())
}

/// Five significant digits: as good as any gas stand, and short.
fn rounded(value: f64) -> f64 {
    format!("{value:.4e}").parse().unwrap_or(value)
}

fn make(family: &Family, recipe: &Wheel) -> Turbocharger {
    let wheel = WheelSizes {
        inducer_m: recipe.inducer_mm / 1e3,
        exducer_m: recipe.exducer_mm / 1e3,
        hub_ratio: 0.3,
        blades: recipe.blades,
        backsweep_deg: 35.0,
        throat_share: 0.59,
        peak_efficiency: Some(recipe.efficiency),
        design_mach: None,
        outlet_width_m: None,
        claimed_flow_kg_s: None,
    };
    let mut map = estimate(&wheel, REFERENCE, LARGEST_TIP_SPEED);
    let count = map.lines.len() as f64;
    for (at, line) in map.lines.iter_mut().enumerate() {
        line.speed_rev_min = rounded(line.speed_rev_min);
        let lean = 1.0 + recipe.lean * ((at as f64 + 0.5) / count - 0.5);
        for point in &mut line.points {
            point.flow_kg_s = rounded(point.flow_kg_s * recipe.flow);
            point.pressure_ratio = rounded(point.pressure_ratio);
            point.efficiency = rounded(point.efficiency * lean);
        }
    }
    let largest = LARGEST_TIP_SPEED / (std::f64::consts::PI * wheel.exducer_m) * 60.0;
    let (id, name) = match recipe.named {
        Some((id, name)) => (id.to_owned(), name.to_owned()),
        None => {
            let size = recipe.exducer_mm;
            let key = format!("{}-{size}", family.id).replace('.', "-");
            (key, format!("{} {size}", family.name))
        }
    };
    // Outer sizes such as are seen in practice, to a millimetre. Invented.
    let outer = |mm: f64| family.measured.then_some(mm.round() / 1e3);
    Turbocharger {
        id,
        name,
        compressor: CompressorRecord {
            wheel,
            splitters: Some(recipe.splitters),
            map,
        },
        turbine: TurbineRecord {
            inducer_m: family.turbine_mm / 1e3,
            exducer_m: family.turbine_exducer_mm / 1e3,
            peak_efficiency: family.turbine_efficiency,
            inlet_limit_k: family.inlet_limit_c + 273.15,
            housings: family
                .a_over_r
                .iter()
                .map(|a_over_r| Housing {
                    a_over_r: *a_over_r,
                    swallowing: None,
                    swallowing_points: Vec::new(),
                    entry: family.entry,
                })
                .collect(),
        },
        largest_speed_rev_min: (largest / 1000.0).floor() * 1000.0,
        bearing: family.bearing,
        bearing_in_efficiency: false,
        gate: GateRecord {
            kind: family.gate,
            diameter_m: family.gate_mm / 1e3,
            lift_m: family.gate_lift_mm / 1e3,
            spring_pa: family.spring_bar.map(|bar| bar * 1e5),
        },
        inertia_kg_m2: None,
        connections: Connections {
            inlet_m: Some(hose(1.2 * recipe.inducer_mm) / 1e3),
            outlet_m: Some(hose(0.68 * recipe.exducer_mm) / 1e3),
            turbine_flange: family.turbine_flange.to_owned(),
            exhaust_flange: family.exhaust_flange.to_owned(),
            turbine_outlet_m: Some(hose(1.1 * family.turbine_exducer_mm) / 1e3),
            oil_feed: family.oil_feed.to_owned(),
            oil_restrictor_m: family.oil_restrictor_mm.map(|mm| mm / 1e3),
            oil_drain_m: Some(family.oil_drain_mm / 1e3),
            coolant: family.coolant.to_owned(),
            length_m: outer(2.1 * family.turbine_mm + 1.1 * recipe.exducer_mm),
            height_m: outer(2.3 * family.turbine_mm.max(recipe.exducer_mm)),
            compressor_housing_m: outer(2.15 * recipe.exducer_mm),
            turbine_housing_m: outer(2.05 * family.turbine_mm),
        },
        // As large frames weigh in practice, to half a kilogram.
        mass_kg: Some((2.0 * 2.1e-3 * family.turbine_mm.powi(2)).round() / 2.0),
        price: String::new(),
        availability: String::new(),
        notes: recipe.notes.to_owned(),
    }
}

/// A file of turbochargers as text; `None` if they cannot be written.
fn text_of(shelf: &[Turbocharger]) -> Option<String> {
    let text = serde_json::to_string(shelf).ok()?;
    // One turbocharger and one speed line a row: a change shows where it is.
    let text = text
        .replace("{\"id\"", "\n{\"id\"")
        .replace("{\"speed_rev_min\"", "\n {\"speed_rev_min\"")
        .replace("],\"turbine\"", "],\n \"turbine\"");
    Some(text + "\n")
}

fn main() -> ExitCode {
    let check = std::env::args().any(|a| a == "--check");
    let mut files: Vec<(String, Vec<Turbocharger>)> =
        vec![("turbochargers".to_owned(), Vec::new())];
    for family in &FAMILIES {
        let mut others = Vec::new();
        for wheel in family.wheels {
            let made = make(family, wheel);
            match wheel.named {
                Some(_) => files[0].1.push(made),
                None => others.push(made),
            }
        }
        files.push((format!("shelf/{}", family.id), others));
    }
    for (name, shelf) in files {
        let Some(text) = text_of(&shelf) else {
            return ExitCode::FAILURE;
        };
        let path = format!("{}/data/{name}.json", env!("CARGO_MANIFEST_DIR"));
        if check {
            if std::fs::read_to_string(&path).is_ok_and(|kept| kept == text) {
                continue;
            }
            eprintln!("core/data/{name}.json is stale; run: cargo run -p airpath --example shelf");
            return ExitCode::FAILURE;
        }
        if let Err(error) = std::fs::write(&path, text) {
            eprintln!("{path}: {error}");
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}
