//! Writes the shelf of turbochargers from their wheel sizes: `cargo run -p airpath --example shelf`.
//!
//! With `--check` it compares instead, and fails where the data is stale.

use airpath::air_way::compressor::{MapReference, WheelSizes, estimate};
use airpath::build::{Bearing, CompressorRecord, GateRecord, Housing, TurbineRecord, Turbocharger};
use std::process::ExitCode;

/// The state that the shelf's maps refer to: a gas-stand practice, 545 °R and 28.4 inHg.
const REFERENCE: MapReference = MapReference {
    temperature_k: 302.8,
    pressure_pa: 96_200.0,
};

/// Largest tip speed of the compressor wheels, m/s: a judgement for cast aluminium.
const LARGEST_TIP_SPEED: f64 = 545.0;

struct Recipe {
    id: &'static str,
    name: &'static str,
    exducer_mm: f64,
    inducer_mm: f64,
    blades: f64,
    compressor_efficiency: f64,
    turbine_mm: f64,
    turbine_exducer_mm: f64,
    turbine_efficiency: f64,
    inlet_limit_c: f64,
    bearing: Bearing,
    a_over_r: &'static [f64],
    gate_mm: f64,
    gate_lift_mm: f64,
    notes: &'static str,
}

const RECIPES: [Recipe; 3] = [
    Recipe {
        id: "hazel",
        name: "Hazel",
        exducer_mm: 49.0,
        inducer_mm: 36.5,
        blades: 12.0,
        compressor_efficiency: 0.755,
        turbine_mm: 43.5,
        turbine_exducer_mm: 38.0,
        turbine_efficiency: 0.655,
        inlet_limit_c: 950.0,
        bearing: Bearing::Journal,
        a_over_r: &[0.43, 0.54, 0.66],
        gate_mm: 24.0,
        gate_lift_mm: 7.0,
        notes: "Invented. A quick one for engines up to two litres.",
    },
    Recipe {
        id: "rowan",
        name: "Rowan",
        exducer_mm: 71.0,
        inducer_mm: 54.0,
        blades: 14.0,
        compressor_efficiency: 0.785,
        turbine_mm: 59.0,
        turbine_exducer_mm: 52.0,
        turbine_efficiency: 0.685,
        inlet_limit_c: 980.0,
        bearing: Bearing::Ball,
        a_over_r: &[0.67, 0.83, 1.04],
        gate_mm: 40.0,
        gate_lift_mm: 10.0,
        notes: "Invented. For two to two and a half litres that rev, or a pair on a big V8.",
    },
    Recipe {
        id: "hornbeam",
        name: "Hornbeam",
        exducer_mm: 88.0,
        inducer_mm: 68.0,
        blades: 14.0,
        compressor_efficiency: 0.79,
        turbine_mm: 74.0,
        turbine_exducer_mm: 64.0,
        turbine_efficiency: 0.685,
        inlet_limit_c: 980.0,
        bearing: Bearing::Ball,
        a_over_r: &[0.78, 0.96, 1.18],
        gate_mm: 45.0,
        gate_lift_mm: 11.0,
        notes: "Invented. For three litres and more.",
    },
];

/// Five significant digits: as good as any gas stand, and short.
fn rounded(value: f64) -> f64 {
    format!("{value:.4e}").parse().unwrap_or(value)
}

fn make(recipe: &Recipe) -> Turbocharger {
    let wheel = WheelSizes {
        inducer_m: recipe.inducer_mm / 1e3,
        exducer_m: recipe.exducer_mm / 1e3,
        hub_ratio: 0.3,
        blades: recipe.blades,
        backsweep_deg: 35.0,
        throat_share: 0.59,
        peak_efficiency: Some(recipe.compressor_efficiency),
        design_mach: None,
    };
    let mut map = estimate(&wheel, REFERENCE, LARGEST_TIP_SPEED);
    for line in &mut map.lines {
        line.speed_rev_min = rounded(line.speed_rev_min);
        for point in &mut line.points {
            point.flow_kg_s = rounded(point.flow_kg_s);
            point.pressure_ratio = rounded(point.pressure_ratio);
            point.efficiency = rounded(point.efficiency);
        }
    }
    let largest = LARGEST_TIP_SPEED / (std::f64::consts::PI * wheel.exducer_m) * 60.0;
    Turbocharger {
        id: recipe.id.to_owned(),
        name: recipe.name.to_owned(),
        compressor: CompressorRecord { wheel, map },
        turbine: TurbineRecord {
            inducer_m: recipe.turbine_mm / 1e3,
            exducer_m: recipe.turbine_exducer_mm / 1e3,
            peak_efficiency: recipe.turbine_efficiency,
            inlet_limit_k: recipe.inlet_limit_c + 273.15,
            housings: recipe
                .a_over_r
                .iter()
                .map(|a_over_r| Housing {
                    a_over_r: *a_over_r,
                    swallowing: None,
                })
                .collect(),
        },
        largest_speed_rev_min: (largest / 1000.0).floor() * 1000.0,
        bearing: recipe.bearing,
        bearing_in_efficiency: false,
        gate: GateRecord {
            diameter_m: recipe.gate_mm / 1e3,
            lift_m: recipe.gate_lift_mm / 1e3,
        },
        notes: recipe.notes.to_owned(),
    }
}

fn main() -> ExitCode {
    let shelf: Vec<Turbocharger> = RECIPES.iter().map(make).collect();
    let Ok(text) = serde_json::to_string(&shelf) else {
        return ExitCode::FAILURE;
    };
    // One turbocharger and one speed line a row: a change shows where it is.
    let text = text
        .replace("{\"id\"", "\n{\"id\"")
        .replace("{\"speed_rev_min\"", "\n {\"speed_rev_min\"")
        .replace("],\"turbine\"", "],\n \"turbine\"")
        + "\n";
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/data/turbochargers.json");
    if std::env::args().any(|a| a == "--check") {
        if std::fs::read_to_string(path).is_ok_and(|kept| kept == text) {
            return ExitCode::SUCCESS;
        }
        eprintln!(
            "core/data/turbochargers.json is stale; run: cargo run -p airpath --example shelf"
        );
        return ExitCode::FAILURE;
    }
    match std::fs::write(path, text) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{path}: {error}");
            ExitCode::FAILURE
        }
    }
}
