//! scratch
use airpath::*;
fn main() {
    let b = example_build().expect("example");
    let t0 = std::time::Instant::now();
    let m = solve(&b).unwrap();
    println!("{:?}", t0.elapsed());
    println!("effort {:?} drive {:?} usable {:?} folds {:?} unsolved {:?}", m.effort, m.drive_threshold_rev_min, m.usable_threshold_rev_min, m.folds, m.unsolved);
    for s in m.speeds.iter().step_by(6) {
        println!("{:5.0} {:?} b {:.3} drv {:.3} PR {:.3} W {:.4} N {:6.0} eta {:.3} T2 {:.0} Tm {:.0} r {:.3} T3 {:.0} T4 {:.0} ER {:.2} gate {:.2}/{:.2} P {:.1} Tq {:.0} bsfc {:.0} sr {:.2} cr {:.2} x {} imb {:.1e}",
          s.engine_speed_rev_min, s.held, s.boost_pa/1e5, s.boost_drivable_pa/1e5, s.pressure_ratio, s.corrected_flow_kg_s, s.shaft_speed_rev_min, s.compressor_efficiency.unwrap_or(0.0), s.compressor_outlet.temperature_k-273.15, s.manifold.temperature_k-273.15, s.back_pressure_ratio, s.turbine_inlet.temperature_k-273.15, s.turbine_outlet.temperature_k-273.15, s.expansion_ratio, s.gate_share, s.gate_opening, s.power_w/1e3, s.torque_nm, s.bsfc_kg_j.unwrap_or(0.0)*3.6e9, s.surge_room, s.choke_room, s.extrapolated, s.energy.imbalance);
    }
    for l in &m.limits { println!("{:?}", l); }
    let t0 = std::time::Instant::now();
    for _ in 0..20 { std::hint::black_box(solve(&b).unwrap()); }
    println!("{:?}", t0.elapsed()/20);
    let map = compressor_map(&b).unwrap();
    for n in map.speeds() { for a in [0.0,0.25,0.5,0.75,1.0] { let p = map.on_line(*n,a); print!("({:.3} {:.2} {:.3}) ", p.flow_kg_s,p.pressure_ratio,p.efficiency);} println!("ch {:.3} sf {:.3} N {n}", map.choke_flow(*n), map.surge_flow(map.on_line(*n,0.0).pressure_ratio)); }
}
