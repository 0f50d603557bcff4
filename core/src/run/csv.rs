//! The solved speeds as a table for a spreadsheet (RFC 4180: comma, line ends of two signs, a heading).

use super::{Held, Match, SpeedReport};
use crate::quantity::{Kind, Unit};

/// A column: its heading, what is measured, its value in SI; `None` leaves the cell empty.
type Column = (&'static str, Kind, fn(&SpeedReport) -> Option<f64>);

/// Columns with a unit, in the order the air meets them. Pressures are absolute unless the heading says
/// boost or loss.
const COLUMNS: [Column; 38] = [
    ("Boost asked", Kind::GaugePressure, |s| {
        Some(s.boost_asked_pa)
    }),
    ("Boost", Kind::GaugePressure, |s| Some(s.boost_pa)),
    ("Torque", Kind::Torque, |s| Some(s.torque_nm)),
    ("Power at the crank", Kind::Power, |s| Some(s.power_w)),
    ("Power at the wheels", Kind::Power, |s| {
        Some(s.wheel_power_w)
    }),
    ("Outside pressure", Kind::AbsolutePressure, |s| {
        Some(s.outside.pressure_pa)
    }),
    ("Outside temperature", Kind::Temperature, |s| {
        Some(s.outside.temperature_k)
    }),
    ("Air flow", Kind::MassFlow, |s| {
        Some(s.compressor_inlet.flow_kg_s)
    }),
    ("Filter loss", Kind::PressureDifference, |s| {
        Some(s.filter_loss_pa)
    }),
    ("Compressor inlet pressure", Kind::AbsolutePressure, |s| {
        Some(s.compressor_inlet.pressure_pa)
    }),
    ("Compressor inlet temperature", Kind::Temperature, |s| {
        Some(s.compressor_inlet.temperature_k)
    }),
    ("Corrected flow of one compressor", Kind::MassFlow, |s| {
        Some(s.corrected_flow_kg_s)
    }),
    ("Pressure ratio", Kind::Ratio, |s| Some(s.pressure_ratio)),
    ("Compressor efficiency", Kind::Fraction, |s| {
        s.compressor_efficiency
    }),
    ("Room to surge", Kind::Fraction, |s| Some(s.surge_room)),
    ("Room to choke", Kind::Fraction, |s| Some(s.choke_room)),
    ("Compressor outlet pressure", Kind::AbsolutePressure, |s| {
        Some(s.compressor_outlet.pressure_pa)
    }),
    ("Compressor outlet temperature", Kind::Temperature, |s| {
        Some(s.compressor_outlet.temperature_k)
    }),
    ("Cooler effectiveness", Kind::Fraction, |s| {
        Some(s.cooler_effectiveness)
    }),
    ("Cooler loss", Kind::PressureDifference, |s| {
        Some(s.cooler_loss_pa)
    }),
    ("Manifold pressure", Kind::AbsolutePressure, |s| {
        Some(s.manifold.pressure_pa)
    }),
    ("Manifold temperature", Kind::Temperature, |s| {
        Some(s.manifold.temperature_k)
    }),
    ("Volumetric efficiency", Kind::Fraction, |s| {
        Some(s.volumetric_efficiency)
    }),
    ("Fuel", Kind::MassFlow, |s| Some(s.fuel_kg_s)),
    (
        "Fuel for each unit of work",
        Kind::SpecificConsumption,
        |s| s.bsfc_kg_j,
    ),
    ("Pressure before the turbine", Kind::AbsolutePressure, |s| {
        Some(s.turbine_inlet.pressure_pa)
    }),
    ("Temperature before the turbine", Kind::Temperature, |s| {
        Some(s.turbine_inlet.temperature_k)
    }),
    ("Before the turbine over manifold", Kind::Ratio, |s| {
        Some(s.back_pressure_ratio)
    }),
    ("Turbine efficiency", Kind::Fraction, |s| {
        Some(s.turbine_efficiency)
    }),
    ("Turbine expansion ratio", Kind::Ratio, |s| {
        Some(s.expansion_ratio)
    }),
    ("Exhaust past the gate", Kind::Fraction, |s| {
        Some(s.gate_share)
    }),
    ("Gate opening", Kind::Fraction, |s| Some(s.gate_opening)),
    ("Pressure after the turbine", Kind::AbsolutePressure, |s| {
        Some(s.turbine_outlet.pressure_pa)
    }),
    ("Temperature after the turbine", Kind::Temperature, |s| {
        Some(s.turbine_outlet.temperature_k)
    }),
    ("Exhaust system loss", Kind::PressureDifference, |s| {
        Some(s.exhaust_loss_pa)
    }),
    ("Peak cylinder pressure", Kind::AbsolutePressure, |s| {
        Some(s.peak_pressure_pa)
    }),
    ("Injector duty", Kind::Fraction, |s| s.injector_duty),
    ("Power of one turbine", Kind::Power, |s| {
        Some(s.turbine_power_w)
    }),
];

/// What decides the boost, in a word.
const fn word(held: Held) -> &'static str {
    match held {
        Held::Drive => "building",
        Held::Gate => "gate",
        Held::Creep => "creep",
        Held::Surge => "surge",
        Held::Choke => "choke",
        Held::ShaftSpeed => "shaft speed",
    }
}

impl Match {
    /// The solved speeds as comma-separated values, a row each, in the units that `unit` gives for
    /// each kind, to the digits that a number holds.
    #[must_use]
    pub fn to_csv(&self, unit: impl Fn(Kind) -> &'static Unit) -> String {
        let mut heads = vec![
            "Engine speed [rev/min]".to_owned(),
            "Boost is held by".to_owned(),
            "Shaft speed [rev/min]".to_owned(),
            "Corrected shaft speed [rev/min]".to_owned(),
        ];
        heads.extend(
            COLUMNS
                .iter()
                .map(|(name, kind, _)| match unit(*kind).symbol {
                    "" => (*name).to_owned(),
                    symbol => format!("{name} [{symbol}]"),
                }),
        );
        heads.push("Map".to_owned());
        let mut rows = vec![heads.join(",")];
        for s in &self.speeds {
            let mut cells = vec![
                s.engine_speed_rev_min.to_string(),
                word(s.held).to_owned(),
                s.shaft_speed_rev_min.to_string(),
                s.corrected_speed_rev_min.to_string(),
            ];
            cells.extend(COLUMNS.iter().map(|(_, kind, value)| {
                let number = |si| unit(*kind).from_si(si).to_string();
                value(s).map_or_else(String::new, number)
            }));
            cells.push(
                if s.extrapolated {
                    "carried on"
                } else {
                    "covered"
                }
                .to_owned(),
            );
            rows.push(cells.join(","));
        }
        rows.push(String::new());
        rows.join("\r\n")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_every_cell_and_says_what_was_solved() {
        let build = crate::example_build().expect("the example is sound");
        let found = crate::solve(&build).expect("the example is sound");
        let text = found.to_csv(Kind::metric);
        let mut lines = text.split("\r\n");
        let heads: Vec<&str> = lines.next().expect("a heading").split(',').collect();
        let rows: Vec<Vec<&str>> = lines
            .filter(|l| !l.is_empty())
            .map(|l| l.split(',').collect())
            .collect();
        assert_eq!(rows.len(), found.speeds.len());
        assert!(rows.iter().all(|row| row.len() == heads.len()));
        let column = |name: &str| {
            let found = heads.iter().position(|h| h.starts_with(name));
            found.unwrap_or_else(|| panic!("no column {name}"))
        };
        for (row, s) in rows.iter().zip(&found.speeds) {
            let read = |name: &str| row[column(name)].parse::<f64>().expect("a number");
            assert_eq!(read("Engine speed"), s.engine_speed_rev_min);
            let kilowatts = read("Power at the crank [kW]");
            assert!((kilowatts * 1e3 - s.power_w).abs() < 1e-6);
            let bar = read("Boost [bar]");
            assert!((bar * 1e5 - s.boost_pa).abs() < 1e-6);
        }
    }
}
