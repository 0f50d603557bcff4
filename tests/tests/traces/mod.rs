//! Traces of maps that are known: points scattered by a small generator with a seed, and contours of
//! efficiency.

// Each test file takes what it needs.
#![allow(dead_code)]

use airpath::air_way::compressor::{
    CompressorMap, MapData, MapPoint, MapReference, WheelSizes, estimate,
};
use airpath::fields::Field;
use airpath::map_fit::{EfficiencyIsland, MapTrace, TracedLine, TracedPlace, TracedPoint};

/// Numbers that look random and are the same every time.
///
/// Marsaglia's xorshift (J. Stat. Softw. 8, 2003, no. 14), and the sum of twelve uniform numbers as
/// a normal one.
pub struct Scatter(u64);

impl Scatter {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Mean 0, standard deviation 1.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

pub const REFERENCE: MapReference = MapReference {
    temperature_k: 298.15,
    pressure_pa: 100_000.0,
};

pub const WHEEL: WheelSizes = WheelSizes {
    inducer_m: 0.054,
    exducer_m: 0.071,
    hub_ratio: 0.3,
    blades: 14.0,
    backsweep_deg: 35.0,
    throat_share: 0.59,
    peak_efficiency: None,
    design_mach: None,
    outlet_width_m: None,
    claimed_flow_kg_s: None,
};

pub fn ready(map: &MapData, exducer: f64) -> CompressorMap {
    let default = |field: Field| field.spec().default_si(false).expect("has a default");
    CompressorMap::new(
        map,
        exducer,
        default(Field::ShutoffHead),
        default(Field::LockedRotorLoss),
    )
    .expect("a fitted or estimated map is sound")
}

/// The estimator's map, without its slowest lines, which hardly any picture shows.
pub fn known() -> MapData {
    let mut map = estimate(&WHEEL, REFERENCE, 545.0);
    map.lines.drain(..2);
    map
}

/// Largest flow and largest pressure rise: one unit of each axis.
pub fn axes(map: &MapData) -> (f64, f64) {
    let points = || map.lines.iter().flat_map(|line| &line.points);
    (
        points().map(|p| p.flow_kg_s).fold(0.0, f64::max),
        points().map(|p| p.pressure_ratio - 1.0).fold(0.0, f64::max),
    )
}

/// A trace of a map's own points, places scattered by `share` of the axes and efficiencies by
/// `share` of 1 (standard deviations), without efficiencies if `blind`.
pub fn trace_of(map: &MapData, exducer: f64, share: f64, seed: u64, blind: bool) -> MapTrace {
    let axes = axes(map);
    let mut scatter = Scatter::new(seed);
    let lines = map
        .lines
        .iter()
        .map(|line| TracedLine {
            speed_rev_min: line.speed_rev_min,
            points: line
                .points
                .iter()
                .map(|p| TracedPoint {
                    flow_kg_s: p.flow_kg_s + share * axes.0 * scatter.normal(),
                    pressure_ratio: p.pressure_ratio + share * axes.1 * scatter.normal(),
                    efficiency: (!blind).then(|| p.efficiency + share * scatter.normal()),
                })
                .collect(),
        })
        .collect();
    MapTrace {
        reference: map.reference,
        exducer_m: exducer,
        wheel: None,
        lines,
        islands: Vec::new(),
        efficiency_points: Vec::new(),
        surge_line: Vec::new(),
    }
}

/// The contour of one efficiency of a map: where lines of constant speed pass through it, every
/// place scattered.
pub fn island(
    map: &CompressorMap,
    axes: (f64, f64),
    efficiency: f64,
    share: f64,
    scatter: &mut Scatter,
) -> EfficiencyIsland {
    let speeds = map.speeds();
    let (first, last) = (speeds[0], speeds[speeds.len() - 1]);
    let mut places = Vec::new();
    for part in 0..=24 {
        let speed = first + (last - first) * f64::from(part) / 24.0;
        let on = |along: u32| map.on_line(speed, f64::from(along) / 200.0);
        let mut before = on(0);
        for along in 1..=200 {
            let here = on(along);
            let (a, b) = (before.efficiency - efficiency, here.efficiency - efficiency);
            if a * b < 0.0 {
                let t = a / (a - b);
                let mix = |p: f64, q: f64| p + t * (q - p);
                places.push(TracedPlace {
                    flow_kg_s: mix(before.flow_kg_s, here.flow_kg_s)
                        + share * axes.0 * scatter.normal(),
                    pressure_ratio: mix(before.pressure_ratio, here.pressure_ratio)
                        + share * axes.1 * scatter.normal(),
                });
            }
            before = here;
        }
    }
    EfficiencyIsland { efficiency, places }
}

/// How far a place lies from the line of `speed` of a map, in units of the axes, normal to the line;
/// beyond its ends, which lie where the last point happened to be traced, normal to where it heads.
pub fn distance(map: &CompressorMap, axes: (f64, f64), speed: f64, point: &MapPoint) -> f64 {
    let mut nearest = f64::INFINITY;
    let mut before: Option<(f64, f64)> = None;
    let p = (point.flow_kg_s / axes.0, point.pressure_ratio / axes.1);
    for along in 0..=400 {
        let here = map.on_line(speed, f64::from(along) / 400.0);
        let b = (here.flow_kg_s / axes.0, here.pressure_ratio / axes.1);
        if let Some(a) = before {
            let chord = (b.0 - a.0, b.1 - a.1);
            let square = chord.0 * chord.0 + chord.1 * chord.1;
            let t = ((p.0 - a.0) * chord.0 + (p.1 - a.1) * chord.1) / square;
            let t = t.clamp(
                if along == 1 { f64::NEG_INFINITY } else { 0.0 },
                if along == 400 { f64::INFINITY } else { 1.0 },
            );
            nearest = nearest.min((p.0 - a.0 - t * chord.0).hypot(p.1 - a.1 - t * chord.1));
        }
        before = Some(b);
    }
    nearest
}
