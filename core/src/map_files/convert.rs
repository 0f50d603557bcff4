//! From what was read to a map: total-to-static made total-to-total, and the last check.

use super::{ConversionError, FileLine, FilePoint, MapFile, PressureBasis, SurgePoint};
use crate::air_way::compressor::{MapData, MapPoint, MapReference, SpeedLine};
use crate::formula;
use crate::gas::{HumidAir, Mixture};

/// Largest Mach number at the outlet. Beyond it, friction in any pipe would choke the flow, and the
/// static pressure at a tap says little of the total (a judgement, no source).
const LARGEST_MACH: f64 = 0.8;

formula! {
    /// What the flow through the outlet asks for: (M² (1 + (γ − 1)/2 M²)), from flow in kg/s, total
    /// temperature in K, static pressure in Pa, area in m².
    pub fn outlet_flow_squared(flow, gas_constant, temperature, gamma, pressure, area) =
        flow.powi(2) * gas_constant * temperature / (gamma * (pressure * area).powi(2));
    source "continuity of a perfect gas, m = p A M √(γ/(R T)) with T0/T = 1 + (γ − 1)/2 M² (NACA Report 1135, 1953, eq. 43; its number from memory)";

    /// Mach number squared that gives it: the root of a quadratic equation.
    pub fn mach_squared(asked, gamma) =
        ((1.0 + 2.0 * (gamma - 1.0) * asked).sqrt() - 1.0) / (gamma - 1.0);
    source "the quadratic equation M² (1 + (γ − 1)/2 M²) = a";

    /// Total over static pressure.
    pub fn total_over_static(mach_squared, gamma) =
        (1.0 + 0.5 * (gamma - 1.0) * mach_squared).powf(gamma / (gamma - 1.0));
    source "NACA Report 1135, 1953, eq. 44; its number from memory";
}

/// The outlet of a compressor at its map's reference state.
pub(crate) struct Outlet {
    air: Mixture,
    inlet_temperature: f64,
    inlet_pressure: f64,
    diameter: f64,
    area: f64,
}

impl Outlet {
    /// An outlet of this inside diameter, m.
    pub(crate) fn new(reference: MapReference, diameter: f64) -> Self {
        Self {
            air: HumidAir::new(0.0).mixture,
            inlet_temperature: reference.temperature_k,
            inlet_pressure: reference.pressure_pa,
            diameter,
            area: 0.25 * core::f64::consts::PI * diameter * diameter,
        }
    }

    /// Isentropic work up to a pressure ratio, J/kg.
    pub(crate) fn work(&self, ratio: f64) -> f64 {
        self.air.isentropic_work(self.inlet_temperature, ratio)
    }

    /// Total-to-total pressure ratio of a point of the line of this speed.
    ///
    /// # Errors
    /// Where the flow through the outlet would be too fast.
    pub(crate) fn total_ratio(
        &self,
        speed: Option<f64>,
        flow: f64,
        ratio: f64,
        efficiency: f64,
    ) -> Result<f64, ConversionError> {
        let (total, mach) = self.total(flow, ratio, efficiency);
        if mach <= LARGEST_MACH {
            return Ok(total);
        }
        Err(ConversionError::OutletTooSmall {
            speed,
            flow,
            diameter: 1e3 * self.diameter,
            mach,
        })
    }

    /// Total-to-total pressure ratio and the Mach number, from total-to-static pressure ratio and
    /// efficiency.
    ///
    /// The work is that of the efficiency given, so that the outlet's total temperature is known;
    /// the flow is uniform over the outlet, and the air dry.
    fn total(&self, flow: f64, ratio: f64, efficiency: f64) -> (f64, f64) {
        let Self {
            air,
            inlet_temperature,
            inlet_pressure,
            area,
            ..
        } = self;
        let work = air.isentropic_work(*inlet_temperature, ratio) / efficiency;
        let enthalpy = air.enthalpy(*inlet_temperature) + work;
        let temperature = air.temperature_from_enthalpy(enthalpy, *inlet_temperature);
        let gamma = air.gamma(temperature);
        let gas_constant = air.gas_constant();
        let asked = outlet_flow_squared(
            flow,
            gas_constant,
            temperature,
            gamma,
            ratio * inlet_pressure,
            *area,
        );
        let squared = mach_squared(asked, gamma);
        (ratio * total_over_static(squared, gamma), squared.sqrt())
    }
}

impl MapFile {
    /// The same map with total-to-total pressure ratios and efficiencies.
    ///
    /// At each point the work, and with it the outlet's total temperature, follows from the
    /// total-to-static efficiency; continuity through the outlet then gives the Mach number there,
    /// and that the total pressure ([`outlet_flow_squared()`], [`mach_squared()`],
    /// [`total_over_static()`]). Efficiency rises as the isentropic work does, as the work itself is
    /// what it was. A point without efficiency gets the outlet temperature of the map's mean
    /// efficiency, and goes on without one: a tenth more or less in efficiency changes its pressure
    /// ratio by some 0.1 per cent at a pressure ratio of 2 and a Mach number of 0.3. A map that is total-to-total comes back as
    /// it is.
    ///
    /// # Errors
    /// When the outlet diameter is not given, or the flow through it would be too fast.
    pub fn to_total_to_total(&self) -> Result<Self, ConversionError> {
        if self.basis == PressureBasis::TotalToTotal {
            return Ok(self.clone());
        }
        let diameter = self
            .outlet_diameter_m
            .ok_or(ConversionError::NoOutletDiameter)?;
        let outlet = Outlet::new(self.reference, diameter);
        let given: Vec<f64> = self
            .lines
            .iter()
            .flat_map(|line| &line.points)
            .filter_map(|point| point.efficiency)
            .collect();
        let mean = given.iter().sum::<f64>() / given.len().max(1) as f64;
        let total = |speed: Option<f64>, flow: f64, ratio: f64, efficiency: Option<f64>| {
            outlet.total_ratio(speed, flow, ratio, efficiency.unwrap_or(mean))
        };
        let work = |ratio: f64| outlet.work(ratio);
        let mut lines = Vec::with_capacity(self.lines.len());
        for line in &self.lines {
            let mut points = Vec::with_capacity(line.points.len());
            for point in &line.points {
                let speed = Some(line.speed_rev_min);
                let ratio = point.pressure_ratio;
                let pressure_ratio = total(speed, point.flow_kg_s, ratio, point.efficiency)?;
                points.push(FilePoint {
                    pressure_ratio,
                    efficiency: point
                        .efficiency
                        .map(|efficiency| efficiency * work(pressure_ratio) / work(ratio)),
                    ..*point
                });
            }
            lines.push(FileLine {
                speed_rev_min: line.speed_rev_min,
                points,
            });
        }
        let mut surge_line = Vec::with_capacity(self.surge_line.len());
        for point in &self.surge_line {
            surge_line.push(SurgePoint {
                flow_kg_s: point.flow_kg_s,
                pressure_ratio: total(None, point.flow_kg_s, point.pressure_ratio, None)?,
            });
        }
        Ok(Self {
            basis: PressureBasis::TotalToTotal,
            lines,
            surge_line,
            ..self.clone()
        })
    }

    /// A measured map, checked, of what was read as it is. A total-to-static map is made
    /// total-to-total first ([`MapFile::to_total_to_total`]).
    ///
    /// On a line with a point marked as surge, points at less flow are left out, as a map's line
    /// begins at surge. The surge line's points without a speed have no place in a map and are left
    /// out too.
    ///
    /// # Errors
    /// When an efficiency or the outlet diameter is missing, or what the map has against the lines.
    pub fn to_map_data(&self) -> Result<MapData, ConversionError> {
        let map = self.to_total_to_total()?;
        let mut missing = 0;
        let mut first = None;
        let mut lines = Vec::with_capacity(map.lines.len());
        for line in &map.lines {
            // Of several marks the last is the one that all others lie left of.
            let begin = line.points.iter().rposition(|point| point.at_surge);
            let mut points = Vec::with_capacity(line.points.len());
            for point in line.points.iter().skip(begin.unwrap_or(0)) {
                match point.efficiency {
                    Some(efficiency) => points.push(MapPoint {
                        flow_kg_s: point.flow_kg_s,
                        pressure_ratio: point.pressure_ratio,
                        efficiency,
                    }),
                    None => {
                        missing += 1;
                        first = first.or(Some((line.speed_rev_min, point.flow_kg_s)));
                    }
                }
            }
            lines.push(SpeedLine {
                speed_rev_min: line.speed_rev_min,
                points,
            });
        }
        if let Some((speed, flow)) = first {
            return Err(ConversionError::EfficiencyMissing {
                count: missing,
                speed,
                flow,
            });
        }
        let data = MapData {
            reference: map.reference,
            estimated: false,
            lines,
        };
        data.check()?;
        Ok(data)
    }
}
