//! The compressor map as lines and areas in flow and pressure ratio, ready to be drawn.

use airpath::air_way::compressor::CompressorMap;
use contour::ContourBuilder;

/// A point of the map: corrected flow in kg/s, pressure ratio.
pub type MapSpot = (f64, f64);

/// Columns (speeds) and rows (places along a line) of the mesh that contours are traced on.
const COLUMNS: usize = 36;
const ROWS: usize = 28;
/// Points of a drawn line.
const FINE: usize = 40;

/// Efficiency below the best at which each step begins, high to low, in hundredths.
const STEPS: [f64; 4] = [1.0, 4.0, 8.0, 14.0];

/// Lines and areas of a compressor map.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MapShape {
    /// Lines of constant corrected speed (rev/min), from surge to choke.
    pub lines: Vec<(f64, Vec<MapSpot>)>,
    /// The surge line, upward.
    pub surge: Vec<MapSpot>,
    /// Where the lines choke, upward.
    pub choke: Vec<MapSpot>,
    /// The whole of it, closed.
    pub outline: Vec<MapSpot>,
    /// Efficiency and the areas at least as good, worst first.
    pub bands: Vec<(f64, Vec<Vec<MapSpot>>)>,
    /// Whether the map was estimated.
    pub estimated: bool,
}

fn line(map: &CompressorMap, speed: f64) -> Vec<MapSpot> {
    (0..=FINE)
        .map(|i| {
            let point = map.on_line(speed, i as f64 / FINE as f64);
            (point.flow_kg_s, point.pressure_ratio)
        })
        .collect()
}

impl MapShape {
    /// Traces a map from its slowest line up to `top`, a corrected speed in rev/min.
    pub fn trace(map: &CompressorMap, top: f64) -> Self {
        let speeds = map.speeds();
        let Some((&first, &last)) = speeds.first().zip(speeds.last()) else {
            return Self::default();
        };
        let top = if top.is_finite() {
            top.clamp(first * 1.02, last * 1.25)
        } else {
            last
        };
        let mut lines: Vec<(f64, Vec<MapSpot>)> = speeds
            .iter()
            .filter(|s| **s < top * 0.985)
            .map(|s| (*s, line(map, *s)))
            .collect();
        lines.push((top, line(map, top)));

        let speed_at = |share: f64| first + share * (top - first);
        let edge = |along: f64| -> Vec<MapSpot> {
            (0..=FINE)
                .map(|i| {
                    let point = map.on_line(speed_at(i as f64 / FINE as f64), along);
                    (point.flow_kg_s, point.pressure_ratio)
                })
                .collect()
        };
        let (surge, choke) = (edge(0.0), edge(1.0));
        let mut outline = surge.clone();
        outline.extend(line(map, top));
        outline.extend(choke.iter().rev());
        outline.extend(line(map, first).into_iter().rev());

        Self {
            bands: bands(map, &speed_at),
            lines,
            surge,
            choke,
            outline,
            estimated: map.estimated(),
        }
    }

    /// The largest flow and pressure ratio in it.
    pub fn reach(&self) -> MapSpot {
        self.outline
            .iter()
            .fold((0.0, 1.0), |most, p| (p.0.max(most.0), p.1.max(most.1)))
    }
}

/// Areas of at least an efficiency, by marching squares over speed and place along the line.
fn bands(map: &CompressorMap, speed_at: &dyn Fn(f64) -> f64) -> Vec<(f64, Vec<Vec<MapSpot>>)> {
    let mut spots = Vec::with_capacity(COLUMNS * ROWS);
    let mut values = Vec::with_capacity(COLUMNS * ROWS);
    for row in 0..ROWS {
        for column in 0..COLUMNS {
            let speed = speed_at(column as f64 / (COLUMNS - 1) as f64);
            let point = map.on_line(speed, row as f64 / (ROWS - 1) as f64);
            spots.push((point.flow_kg_s, point.pressure_ratio));
            values.push(if point.efficiency.is_finite() {
                point.efficiency
            } else {
                0.0
            });
        }
    }
    let best = values.iter().copied().fold(0.0, f64::max);
    let thresholds: Vec<f64> = STEPS
        .iter()
        .rev()
        .map(|below| ((best * 100.0).floor() - below) / 100.0)
        .collect();
    let traced = ContourBuilder::new(COLUMNS, ROWS, true).contours(&values, &thresholds);
    let spot = |x: f64, y: f64| between(&spots, x - 0.5, y - 0.5);
    traced
        .unwrap_or_default()
        .into_iter()
        .map(|contour| {
            let (shapes, threshold) = contour.into_inner();
            let areas = shapes
                .iter()
                .map(|p| p.exterior().coords().map(|c| spot(c.x, c.y)).collect())
                .collect();
            (threshold, areas)
        })
        .collect()
}

/// The spot at a place between those of the mesh.
fn between(spots: &[MapSpot], column: f64, row: f64) -> MapSpot {
    let column = column.clamp(0.0, (COLUMNS - 1) as f64);
    let row = row.clamp(0.0, (ROWS - 1) as f64);
    let (i, j) = (
        (column as usize).min(COLUMNS - 2),
        (row as usize).min(ROWS - 2),
    );
    let (s, t) = (column - i as f64, row - j as f64);
    let at = |i: usize, j: usize| spots[j * COLUMNS + i];
    let mix = |a: MapSpot, b: MapSpot, t: f64| (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1));
    mix(
        mix(at(i, j), at(i + 1, j), s),
        mix(at(i, j + 1), at(i + 1, j + 1), s),
        t,
    )
}
