//! How much room is left before each limit, and where it is least.

use super::{Held, LimitKind, LimitReport, Run, SpeedReport};
use crate::fields::Field;
use crate::formula;
use crate::numeric::put_in_order;

/// Pressure ratio below which a compressor is not at work, so that surge and choke say nothing.
const AT_WORK: f64 = 1.15;

formula! {
    /// Room left before a limit, as a share of it.
    pub fn room(value, limit) = 1.0 - value / limit;
    source "definition";

    /// Room left before a temperature limit in K, as a share of it counted from 0 °C.
    pub fn warm_room(value, limit) = 1.0 - (value - 273.15) / (limit - 273.15);
    source "definition";

    /// Room right of the surge line, as a share of the flow.
    pub fn surge_room(surge_flow, flow) = 1.0 - surge_flow / flow;
    source "definition";
}

/// What one speed has to say about a limit: room, value, limit.
type Look = (f64, f64, f64);

/// A limit, what holding boost down to it is called, and how to look at it.
type Row<'a> = (
    LimitKind,
    Option<Held>,
    &'a dyn Fn(&SpeedReport) -> Option<Look>,
);

/// Every limit that applies, least room first.
pub(super) fn limits(run: &Run, speeds: &[SpeedReport]) -> Vec<LimitReport> {
    let build = run.build;
    let turbine_limit = build
        .optional(Field::TurbineInletLimit)
        .unwrap_or(build.turbocharger().turbine.inlet_limit_k);
    let outlet_limit = build.get(Field::CompressorOutletLimit);
    let back_limit = build.get(Field::BackPressureLimit);
    let peak_limit = build.get(Field::PeakPressureLimit);
    let sensor_limit = build.get(Field::SensorLimit);
    let duty = build.get(Field::InjectorDuty);
    let shaft_limit = run.plant.shaft_speed_limit;
    let share = |value: f64, limit: f64| (room(value, limit), value, limit);
    let warm = |value: f64, limit: f64| (warm_room(value, limit), value, limit);
    let working = |s: &SpeedReport| s.pressure_ratio > AT_WORK;

    let kinds: [Row; 10] = [
        (LimitKind::Surge, Some(Held::Surge), &|s| {
            working(s).then_some((
                s.surge_room,
                s.corrected_flow_kg_s,
                s.corrected_flow_kg_s * (1.0 - s.surge_room),
            ))
        }),
        (LimitKind::Choke, Some(Held::Choke), &|s| {
            working(s).then_some((
                s.choke_room,
                s.corrected_flow_kg_s,
                s.corrected_flow_kg_s / (1.0 - s.choke_room),
            ))
        }),
        (LimitKind::ShaftSpeed, Some(Held::ShaftSpeed), &|s| {
            Some(share(s.shaft_speed_rev_min, shaft_limit))
        }),
        (LimitKind::Gate, Some(Held::Creep), &|s| {
            (s.held != Held::Drive).then_some((
                room(s.gate_area_m2, run.plant.gate_area),
                s.gate_area_m2,
                run.plant.gate_area,
            ))
        }),
        (LimitKind::TurbineInlet, None, &|s| {
            Some(warm(s.turbine_inlet.temperature_k, turbine_limit))
        }),
        (LimitKind::CompressorOutlet, None, &|s| {
            Some(warm(s.compressor_outlet.temperature_k, outlet_limit))
        }),
        (LimitKind::BackPressure, None, &|s| {
            Some(share(s.back_pressure_ratio, back_limit))
        }),
        (LimitKind::Injectors, None, &|s| {
            s.injector_duty.map(|d| share(d, duty))
        }),
        (LimitKind::PeakPressure, None, &|s| {
            Some(share(s.peak_pressure_pa, peak_limit))
        }),
        (LimitKind::Sensor, None, &|s| {
            Some(share(s.manifold.pressure_pa, sensor_limit))
        }),
    ];
    let mut reports = Vec::new();
    for (kind, cap, look) in kinds {
        let mut worst: Option<(Look, f64)> = None;
        let mut holds: Option<(f64, f64)> = None;
        for s in speeds {
            let speed = s.engine_speed_rev_min;
            if cap == Some(s.held) {
                holds = Some((holds.map_or(speed, |h| h.0), speed));
            }
            if let Some(here) = look(s)
                && worst.is_none_or(|(w, _)| here.0 < w.0)
            {
                worst = Some((here, speed));
            }
        }
        if let Some(((room, value, limit), at)) = worst {
            reports.push(LimitReport {
                kind,
                room,
                at_rev_min: at,
                value,
                limit,
                holds_boost: holds,
            });
        }
    }
    put_in_order(&mut reports, |r| r.room);
    reports
}
