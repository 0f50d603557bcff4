//! The compressor map as lines and areas in flow and pressure ratio, ready to be drawn.

use airpath::air_way::compressor::CompressorMap;
use airpath::run::{LimitKind, Match};
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
    /// Efficiency and the lines along which it is just that good, without the map's own edge.
    pub contours: Vec<(f64, Vec<Vec<MapSpot>>)>,
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

        let (bands, contours) = bands(map, &speed_at, |best| {
            let steps = STEPS.iter().rev();
            steps
                .map(|below| ((best * 100.0).floor() - below) / 100.0)
                .collect()
        });
        Self {
            bands,
            contours,
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

/// The largest shaft speed of a match as a corrected speed, rev/min at the map's reference, at the
/// inlet air of the fastest point.
pub fn top_speed(found: &Match) -> f64 {
    let limits = &found.limits;
    let limit = limits.iter().find(|l| l.kind == LimitKind::ShaftSpeed);
    let speeds = found.speeds.iter();
    let fastest = speeds.max_by(|a, b| a.shaft_speed_rev_min.total_cmp(&b.shaft_speed_rev_min));
    match (limit, fastest) {
        (Some(limit), Some(at)) if at.shaft_speed_rev_min > 0.0 => {
            limit.limit * at.corrected_speed_rev_min / at.shaft_speed_rev_min
        }
        _ => f64::INFINITY,
    }
}

/// Lines of these efficiencies on a map, between its slowest and fastest line.
pub fn contours_at(map: &CompressorMap, efficiencies: &[f64]) -> Vec<Vec<MapSpot>> {
    let speeds = map.speeds();
    let Some((&first, &last)) = speeds.first().zip(speeds.last()) else {
        return Vec::new();
    };
    let mut levels = efficiencies.to_vec();
    levels.sort_by(f64::total_cmp);
    let speed_at = |share: f64| first + share * (last - first);
    let (_, contours) = bands(map, &speed_at, |_| levels.clone());
    contours.into_iter().flat_map(|(_, lines)| lines).collect()
}

/// Levels and what is drawn at each.
type Levels = Vec<(f64, Vec<Vec<MapSpot>>)>;

/// Areas of at least an efficiency, by marching squares over speed and place along the line; and
/// their edges where those are not the map's.
fn bands(
    map: &CompressorMap,
    speed_at: &dyn Fn(f64) -> f64,
    levels: impl Fn(f64) -> Vec<f64>,
) -> (Levels, Levels) {
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
    let thresholds = levels(best);
    let traced = ContourBuilder::new(COLUMNS, ROWS, true).contours(&values, &thresholds);
    let mut areas: Levels = Vec::new();
    let mut lines: Levels = Vec::new();
    for contour in traced.unwrap_or_default() {
        let (shapes, threshold) = contour.into_inner();
        let (mut of_areas, mut of_lines) = (Vec::new(), Vec::new());
        for shape in &shapes {
            let ring: Vec<Place> = shape
                .exterior()
                .coords()
                .map(|c| (c.x - 0.5, c.y - 0.5))
                .collect();
            let drawn = |places: &[Place]| -> Vec<MapSpot> {
                places.iter().map(|p| between(&spots, p.0, p.1)).collect()
            };
            of_lines.extend(inner(&ring).iter().map(|line| drawn(line)));
            of_areas.push(drawn(&ring));
        }
        areas.push((threshold, of_areas));
        lines.push((threshold, of_lines));
    }
    (areas, lines)
}

/// A place on the mesh: column and row.
type Place = (f64, f64);

/// The stretches of a closed ring that do not run along the edge of the mesh.
fn inner(ring: &[Place]) -> Vec<Vec<Place>> {
    let edge = |(column, row): Place| {
        column <= 0.0 || row <= 0.0 || column >= (COLUMNS - 1) as f64 || row >= (ROWS - 1) as f64
    };
    let Some(start) = ring.iter().position(|p| edge(*p)) else {
        return vec![ring.to_vec()];
    };
    // Round once from a place on the edge. The ring's last place is its first again.
    let count = ring.len().saturating_sub(1).max(1);
    let mut lines = Vec::new();
    let mut line: Vec<Place> = Vec::new();
    for step in 0..=count {
        let place = ring[(start + step) % count];
        line.push(place);
        if edge(place) {
            if line.len() > 2 {
                lines.push(std::mem::take(&mut line));
            }
            line = vec![place];
        }
    }
    lines
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contours_leave_the_edge_out() {
        let (right, below) = ((COLUMNS - 1) as f64, 0.0);
        // From the edge in and back, along the edge, and closed.
        let ring = [
            (4.0, 3.0),
            (6.0, 3.0),
            (right, 2.0),
            (right, below),
            (3.0, below),
            (4.0, 3.0),
        ];
        let lines = inner(&ring);
        assert_eq!(
            lines,
            [vec![(3.0, below), (4.0, 3.0), (6.0, 3.0), (right, 2.0)]]
        );
        let island = [(4.0, 3.0), (6.0, 3.0), (5.0, 5.0), (4.0, 3.0)];
        assert_eq!(inner(&island), [island.to_vec()]);
    }
}
