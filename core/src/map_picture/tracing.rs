//! What was marked on a picture of a compressor map.

use super::plane::{CORNERS, Plane, PlaneError, Spot};
use crate::air_way::compressor::{MapPoint, MapReference, WheelSizes};
use crate::map_files::{ConversionError, OUTLET_DIAMETER, Outlet, flow_factor, flow_units};
use crate::map_fit::{EfficiencyIsland, MapTrace, TracedLine, TracedPlace, TracedPoint};
use crate::quantity::Unit;
use serde::{Deserialize, Serialize};

/// Fewest spots of a line's curve, and of an island's way round.
const FEWEST: usize = 3;

/// Efficiency that a static pressure ratio's outlet temperature is worked out with where none is
/// traced: a tenth more or less changes the pressure ratio by some 0.1 per cent.
const MIDDLING: f64 = 0.72;

/// What a stroke is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Meaning {
    /// A line of this corrected shaft speed, rev/min.
    SpeedLine(f64),
    /// The surge line.
    SurgeLine,
    /// An island, or a part of one, of this isentropic efficiency, 0 to 1.
    Island(f64),
}

/// Something that was marked, spot by spot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stroke {
    /// What it is.
    pub meaning: Meaning,
    /// Where it is, in the order of marking.
    pub spots: Vec<Spot>,
}

/// Something on the picture that can be taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grip {
    /// A corner, by its place in [`Tracing::corners`].
    Corner(usize),
    /// A spot of a stroke: which stroke, which of its spots.
    Spot(usize, usize),
}

/// What was marked on a picture: corners, what their values are, and strokes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tracing {
    /// Width and height of the picture, pixels.
    pub picture: (f64, f64),
    /// Where the map's grid crosses: at low flow and low pressure ratio, high flow and low, high and
    /// high, low flow and high.
    pub corners: [Spot; 4],
    /// Low and high flow of the corners, in the unit.
    pub flows: (f64, f64),
    /// Symbol of the unit of flow, one of [`flow_units`].
    pub flow_unit: String,
    /// Low and high pressure ratio of the corners.
    pub ratios: (f64, f64),
    /// What the map's flows and speeds refer to.
    pub reference: MapReference,
    /// Inside diameter where the outlet pressure was measured, m, of a map of static pressure at the
    /// outlet; `None` for a total-to-total map.
    pub static_outlet_m: Option<f64>,
    /// What was marked.
    pub strokes: Vec<Stroke>,
}

/// Why nothing can be made of a tracing.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TracingError {
    /// The corners.
    #[error(transparent)]
    Plane(#[from] PlaneError),
    /// A unit of flow that is not known.
    #[error("“{found}” is no unit of flow; choose one of the list.")]
    FlowUnit {
        /// What was found.
        found: String,
    },
    /// A static pressure ratio that cannot be made a total one.
    #[error(transparent)]
    Basis(#[from] ConversionError),
    /// An outlet that is not entered yet, or cannot be.
    #[error(
        "The outlet's inside diameter, which turns static pressure into total, is {found:.1} mm; enter 5 to 500 mm, or choose “total to total”."
    )]
    Outlet {
        /// What was found, mm.
        found: f64,
    },
    /// A spot that lies beyond the page.
    #[error(
        "A spot of {stroke} lies beyond the page that the corners show; move it or the corners."
    )]
    Beyond {
        /// Of what.
        stroke: String,
    },
}

impl Meaning {
    /// What to call it in a message.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::SpeedLine(speed) => format!("the line of {speed:.0} rev/min"),
            Self::SurgeLine => "the surge line".to_owned(),
            Self::Island(efficiency) => format!("the island of {:.1} %", 100.0 * efficiency),
        }
    }
}

impl Tracing {
    /// A tracing with nothing marked: the corners stand an eighth inside the picture.
    ///
    /// `picture` is its width and height, pixels.
    #[must_use]
    pub fn new(picture: (f64, f64), reference: MapReference) -> Self {
        let (left, right) = (0.125 * picture.0, 0.875 * picture.0);
        let (top, bottom) = (0.125 * picture.1, 0.875 * picture.1);
        Self {
            picture,
            corners: [(left, bottom), (right, bottom), (right, top), (left, top)],
            flows: (0.0, 0.5),
            flow_unit: "kg/s".to_owned(),
            ratios: (1.0, 4.0),
            reference,
            static_outlet_m: None,
            strokes: Vec::new(),
        }
    }

    /// It as a text to be kept.
    #[must_use]
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// One that was kept; `None` if the text is none.
    #[must_use]
    pub fn from_json(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    /// What a corner is called.
    #[must_use]
    pub fn corner_name(corner: usize) -> &'static str {
        CORNERS.get(corner).copied().unwrap_or_default()
    }

    /// The unit of flow.
    ///
    /// # Errors
    /// When it is not known.
    pub fn unit(&self) -> Result<&'static Unit, TracingError> {
        flow_units()
            .find(|unit| unit.symbol == self.flow_unit)
            .ok_or_else(|| TracingError::FlowUnit {
                found: self.flow_unit.clone(),
            })
    }

    /// The plane of the corners: its flows are in kg/s, its pressure ratios on the map's own basis.
    ///
    /// # Errors
    /// What is wrong with the corners or their values.
    pub fn plane(&self) -> Result<Plane, TracingError> {
        let factor = flow_factor(self.unit()?, self.reference);
        // A message must speak of the values as they were entered.
        Plane::new(&self.corners, self.flows, self.ratios, self.picture)?;
        let flows = (self.flows.0 * factor, self.flows.1 * factor);
        Ok(Plane::new(&self.corners, flows, self.ratios, self.picture)?)
    }

    /// What lies nearest to a spot, no further than `reach` pixels. A spot goes before a corner,
    /// and a spot of the stroke `first` before all others.
    #[must_use]
    pub fn near(&self, spot: Spot, reach: f64, first: Option<usize>) -> Option<Grip> {
        let far = |other: Spot| (other.0 - spot.0).hypot(other.1 - spot.1);
        let spots = |index: usize| {
            let of = self.strokes.get(index).into_iter();
            of.flat_map(|stroke| &stroke.spots)
                .enumerate()
                .map(move |(at, place)| (Grip::Spot(index, at), far(*place)))
        };
        let nearest = |all: &mut dyn Iterator<Item = (Grip, f64)>| {
            all.filter(|(_, far)| *far <= reach)
                .min_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(grip, _)| grip)
        };
        first
            .and_then(|index| nearest(&mut spots(index)))
            .or_else(|| nearest(&mut (0..self.strokes.len()).flat_map(spots)))
            .or_else(|| {
                let corners = self.corners.iter().enumerate();
                nearest(&mut corners.map(|(at, place)| (Grip::Corner(at), far(*place))))
            })
    }

    /// Where something is.
    #[must_use]
    pub fn place(&self, grip: Grip) -> Option<Spot> {
        match grip {
            Grip::Corner(at) => self.corners.get(at).copied(),
            Grip::Spot(stroke, at) => self.strokes.get(stroke)?.spots.get(at).copied(),
        }
    }

    /// The same with something elsewhere; within the picture.
    #[must_use]
    pub fn with_place(&self, grip: Grip, spot: Spot) -> Self {
        let mut changed = self.clone();
        let place = match grip {
            Grip::Corner(at) => changed.corners.get_mut(at),
            Grip::Spot(stroke, at) => changed
                .strokes
                .get_mut(stroke)
                .and_then(|stroke| stroke.spots.get_mut(at)),
        };
        if let Some(place) = place {
            *place = self.inside(spot);
        }
        changed
    }

    /// The same with a spot more of this meaning; and where it went.
    #[must_use]
    pub fn with_spot(&self, meaning: Meaning, spot: Spot) -> (Self, Grip) {
        let mut changed = self.clone();
        let at = changed.strokes.iter().position(|s| s.meaning == meaning);
        let at = at.unwrap_or_else(|| {
            changed.strokes.push(Stroke {
                meaning,
                spots: Vec::new(),
            });
            changed.strokes.len() - 1
        });
        let spots = &mut changed.strokes[at].spots;
        spots.push(self.inside(spot));
        let grip = Grip::Spot(at, spots.len() - 1);
        (changed, grip)
    }

    /// The same without a spot; a stroke goes with its last. Corners stay.
    #[must_use]
    pub fn without(&self, grip: Grip) -> Self {
        let mut changed = self.clone();
        if let Grip::Spot(stroke, at) = grip
            && let Some(of) = changed.strokes.get_mut(stroke)
            && at < of.spots.len()
        {
            of.spots.remove(at);
            if of.spots.is_empty() {
                changed.strokes.remove(stroke);
            }
        }
        changed
    }

    /// The same with another meaning of a stroke, such as a speed that was read wrongly; `None` where
    /// another stroke has that meaning.
    #[must_use]
    pub fn with_meaning(&self, stroke: usize, meaning: Meaning) -> Option<Self> {
        let taken = |(at, other): (usize, &Stroke)| at != stroke && other.meaning == meaning;
        if self.strokes.iter().enumerate().any(taken) {
            return None;
        }
        let mut changed = self.clone();
        changed.strokes.get_mut(stroke)?.meaning = meaning;
        Some(changed)
    }

    /// The same without a stroke.
    #[must_use]
    pub fn without_stroke(&self, stroke: usize) -> Self {
        let mut changed = self.clone();
        if stroke < changed.strokes.len() {
            changed.strokes.remove(stroke);
        }
        changed
    }

    /// A spot held within the picture.
    fn inside(&self, (x, y): Spot) -> Spot {
        let held = |value: f64, most: f64| {
            if value.is_finite() {
                value.clamp(0.0, most.max(0.0))
            } else {
                0.0
            }
        };
        (held(x, self.picture.0), held(y, self.picture.1))
    }

    /// Flows and pressure ratios of what was marked, total to total, for a fit. Lines of fewer than
    /// three spots are left out: they are still being marked. An island of one or two is a place whose
    /// efficiency is known, such as the best of the map.
    ///
    /// `wheel` is the wheel that the map belongs to.
    ///
    /// # Errors
    /// What is wrong with the corners, and what cannot be converted.
    pub fn to_trace(&self, wheel: &WheelSizes) -> Result<MapTrace, TracingError> {
        let plane = self.plane()?;
        if let Some(diameter) = self.static_outlet_m
            && !(OUTLET_DIAMETER.0..=OUTLET_DIAMETER.1).contains(&diameter)
        {
            return Err(TracingError::Outlet {
                found: 1e3 * diameter,
            });
        }
        let outlet = self
            .static_outlet_m
            .map(|diameter| Outlet::new(self.reference, diameter));
        let total = |speed: Option<f64>, (flow, ratio): (f64, f64), efficiency: f64| match &outlet {
            Some(outlet) => outlet.total_ratio(speed, flow, ratio, efficiency),
            None => Ok(ratio),
        };
        let mut trace = MapTrace {
            reference: self.reference,
            exducer_m: wheel.exducer_m,
            wheel: Some(*wheel),
            lines: Vec::new(),
            islands: Vec::new(),
            efficiency_points: Vec::new(),
            surge_line: Vec::new(),
        };
        for stroke in &self.strokes {
            let mut values = Vec::with_capacity(stroke.spots.len());
            for spot in &stroke.spots {
                let value = plane.value(*spot).ok_or_else(|| TracingError::Beyond {
                    stroke: stroke.meaning.words(),
                })?;
                values.push(value);
            }
            if values.len() < FEWEST && matches!(stroke.meaning, Meaning::SpeedLine(_)) {
                continue;
            }
            match stroke.meaning {
                Meaning::SpeedLine(speed_rev_min) => {
                    let mut points = Vec::with_capacity(values.len());
                    for value in values {
                        points.push(TracedPoint {
                            flow_kg_s: value.0,
                            pressure_ratio: total(Some(speed_rev_min), value, MIDDLING)?,
                            efficiency: None,
                        });
                    }
                    trace.lines.push(TracedLine {
                        speed_rev_min,
                        points,
                    });
                }
                Meaning::SurgeLine if values.len() < 2 => {}
                Meaning::SurgeLine => {
                    for value in values {
                        trace.surge_line.push(TracedPlace {
                            flow_kg_s: value.0,
                            pressure_ratio: total(None, value, MIDDLING)?,
                        });
                    }
                }
                Meaning::Island(efficiency) => match &outlet {
                    // One or two spots are places by themselves, such as the best of the map.
                    None if values.len() < FEWEST => {
                        let places = values.into_iter();
                        trace.efficiency_points.extend(places.map(
                            |(flow_kg_s, pressure_ratio)| MapPoint {
                                flow_kg_s,
                                pressure_ratio,
                                efficiency,
                            },
                        ));
                    }
                    None => trace.islands.push(EfficiencyIsland {
                        efficiency,
                        places: values
                            .into_iter()
                            .map(|(flow_kg_s, pressure_ratio)| TracedPlace {
                                flow_kg_s,
                                pressure_ratio,
                            })
                            .collect(),
                    }),
                    // Total to total, its efficiency is no longer the same all round.
                    Some(outlet) => {
                        for value in values {
                            let ratio = outlet.total_ratio(None, value.0, value.1, efficiency)?;
                            trace.efficiency_points.push(MapPoint {
                                flow_kg_s: value.0,
                                pressure_ratio: ratio,
                                efficiency: efficiency * outlet.work(ratio) / outlet.work(value.1),
                            });
                        }
                    }
                },
            }
        }
        Ok(trace)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::shelf;
    use crate::map_fit::fit;

    /// A page before a camera, wide and tilted.
    fn corners() -> [Spot; 4] {
        [
            (130.0, 1010.0),
            (1370.0, 905.0),
            (1265.0, 150.0),
            (220.0, 95.0),
        ]
    }

    fn tracing() -> Tracing {
        let map = &shelf().swap_remove(1).compressor.map;
        Tracing {
            corners: corners(),
            flows: (0.0, 60.0),
            flow_unit: "lb/min".to_owned(),
            ratios: (1.0, 4.0),
            ..Tracing::new((1500.0, 1100.0), map.reference)
        }
    }

    /// A known map marked on a tilted picture comes back.
    #[test]
    fn a_marked_map_comes_back() {
        let turbocharger = shelf().swap_remove(1);
        let (map, wheel) = (&turbocharger.compressor.map, turbocharger.compressor.wheel);
        let mut tracing = tracing();
        let plane = tracing.plane().expect("a page");
        for line in &map.lines[3..] {
            for point in line.points.iter().step_by(2) {
                let spot = plane
                    .spot((point.flow_kg_s, point.pressure_ratio))
                    .expect("in sight");
                (tracing, _) = tracing.with_spot(Meaning::SpeedLine(line.speed_rev_min), spot);
            }
        }
        let trace = tracing.to_trace(&wheel).expect("marked");
        assert_eq!(trace.lines.len(), map.lines.len() - 3);
        for (found, line) in trace.lines.iter().zip(&map.lines[3..]) {
            for (point, known) in found.points.iter().zip(line.points.iter().step_by(2)) {
                assert!((point.flow_kg_s - known.flow_kg_s).abs() < 1e-9);
                assert!((point.pressure_ratio - known.pressure_ratio).abs() < 1e-8);
            }
        }
        // No efficiency was marked: the wheel's is estimated, and said to be.
        assert!(fit(&trace).expect("a map").efficiency_estimated);
    }

    #[test]
    fn spots_are_taken_moved_and_removed() {
        let one = Meaning::SpeedLine(90_000.0);
        let (tracing, first) = tracing().with_spot(one, (300.0, 400.0));
        let (tracing, second) = tracing.with_spot(one, (320.0, 400.0));
        let (tracing, surge) = tracing.with_spot(Meaning::SurgeLine, (310.0, 400.0));
        assert_eq!(tracing.near((302.0, 401.0), 30.0, None), Some(first));
        // The stroke in hand goes first, then the nearest of all.
        assert_eq!(tracing.near((309.0, 400.0), 30.0, Some(0)), Some(first));
        assert_eq!(tracing.near((309.0, 400.0), 30.0, None), Some(surge));
        assert_eq!(tracing.near((600.0, 600.0), 30.0, None), None);
        let corner = tracing.near((1260.0, 155.0), 30.0, Some(0));
        assert_eq!(corner, Some(Grip::Corner(2)));
        // Never off the picture.
        let moved = tracing.with_place(second, (-5.0, f64::NAN));
        assert_eq!(moved.place(second), Some((0.0, 0.0)));
        let gone = tracing.without(surge);
        assert_eq!(gone.strokes.len(), 1);
        let gone = gone.without(first).without(first);
        assert!(gone.strokes.is_empty());
        assert_eq!(gone.without(first), gone);
    }

    #[test]
    fn a_speed_is_corrected_but_never_stands_twice() {
        let (one, other) = (Meaning::SpeedLine(90_000.0), Meaning::SpeedLine(110_000.0));
        let (tracing, _) = tracing().with_spot(one, (300.0, 400.0));
        let (tracing, _) = tracing.with_spot(other, (300.0, 300.0));
        assert_eq!(tracing.with_meaning(0, other), None);
        assert_eq!(tracing.with_meaning(5, one), None);
        let changed = tracing.with_meaning(0, Meaning::SpeedLine(95_000.0));
        let changed = changed.expect("free");
        assert_eq!(changed.strokes[0].meaning, Meaning::SpeedLine(95_000.0));
        assert_eq!(changed.strokes[1], tracing.strokes[1]);
    }

    #[test]
    fn volume_flows_and_static_pressure_are_converted() {
        let wheel = shelf().swap_remove(1).compressor.wheel;
        let line = Meaning::SpeedLine(110_000.0);
        let mut marked = tracing();
        for spot in [(500.0, 500.0), (600.0, 510.0), (700.0, 560.0)] {
            (marked, _) = marked.with_spot(line, spot);
        }
        let mass = marked.to_trace(&wheel).expect("marked");
        let volume = Tracing {
            flow_unit: "ft³/min".to_owned(),
            ..marked.clone()
        };
        let volume = volume.to_trace(&wheel).expect("marked");
        // A pound a minute for each cubic foot a minute: the density in lb/ft³ (1 lb/ft³ is
        // 16.018463 kg/m³, NIST SP 811) of air at the reference state, R 287.05 J/(kg K) (ISO 2533).
        let reference = marked.reference;
        let density = reference.pressure_pa / (287.05 * reference.temperature_k) / 16.018_463;
        let ratio = volume.lines[0].points[1].flow_kg_s / mass.lines[0].points[1].flow_kg_s;
        assert!((ratio / density - 1.0).abs() < 2e-4, "{ratio} {density}");

        let (still, _) = marked.with_spot(Meaning::Island(0.74), (500.0, 520.0));
        let (still, _) = still.with_spot(Meaning::Island(0.74), (560.0, 480.0));
        let (still, _) = still.with_spot(Meaning::Island(0.74), (620.0, 540.0));
        let still = Tracing {
            static_outlet_m: Some(0.051),
            ..still
        };
        let total = still.to_trace(&wheel).expect("marked");
        assert!(total.islands.is_empty() && total.efficiency_points.len() == 3);
        // The best point by itself is a place.
        let (best, _) = marked.with_spot(Meaning::Island(0.785), (560.0, 520.0));
        let best = best.to_trace(&wheel).expect("marked");
        assert!(best.islands.is_empty() && best.efficiency_points.len() == 1);
        assert!((best.efficiency_points[0].efficiency - 0.785).abs() < 1e-12);
        for (point, before) in total.lines[0].points.iter().zip(&mass.lines[0].points) {
            assert!(point.pressure_ratio > before.pressure_ratio);
        }
        assert!(total.efficiency_points.iter().all(|p| p.efficiency > 0.74));
        let blank = Tracing {
            static_outlet_m: Some(0.0),
            ..still.clone()
        };
        let error = blank.to_trace(&wheel).expect_err("no outlet");
        assert!(error.to_string().contains("is 0.0 mm; enter 5 to 500 mm"));
        let narrow = Tracing {
            static_outlet_m: Some(0.012),
            ..still
        };
        assert!(matches!(
            narrow.to_trace(&wheel),
            Err(TracingError::Basis(ConversionError::OutletTooSmall { .. }))
        ));
    }

    #[test]
    fn it_is_kept_as_json() {
        let (tracing, _) = tracing().with_spot(Meaning::Island(0.78), (300.5, 400.25));
        let (tracing, _) = tracing.with_spot(Meaning::SurgeLine, (1.0 / 3.0, 2.0));
        assert_eq!(Tracing::from_json(&tracing.to_json()), Some(tracing));
        assert_eq!(Tracing::from_json("{}"), None);
    }
}
