//! Links that were sent long ago still open, and nothing that stands after a "#" does harm.
//!
//! The links below are frozen: they were written by version 1 and lie in somebody's letters. What
//! they say was checked against the tables of fields and units by hand when they were frozen.

use airpath::build::{
    Arrangement, Build, BuildFile, CurveField, FuelKind, LONGEST_LINK, RailReference, from_link,
    shelf, to_link,
};
use airpath::fields::{FIELDS, Field, Part};
use airpath::quantity::System;
use std::collections::BTreeSet;
use std::sync::Arc;

/// The worked example, version 1.
const EXAMPLE: &str = "#1=170-eb06b478_naHill-2d-climb.2-2e-2_turowan_ho0.83_bt1.25b_al900m_at14c_rh70p_di2.2l_cy4_st94mm_co9_rl7200r_la0.82_et10p_if850cm_brr,p,1000,82,2000,90,3000,95,5000,100,6000,98,7200,85";

/// The same with the fields of response and vehicle, which came later, version 1.
const MORE: &str = "#1=883-e36ca148_naZw-f6-lf-3a-.a-5f-b-2c-.100.-25-_tuhazel_ho0.54_arp_fud_rao_bt18.13s_pt402.3h_al0ft_ba12.91s_at77f_rh40p_fl0.2901s_rf15.74ll_fd0.07491lf_ir14.4f_sh0.9_lr1.5_sr1.1_ce77p_cf0.4_cc0.2_cl1.595s_cr16.2f_di122ci_cy4_st3.543in_co9_id1000r_rl7200r_os0.15_rg1.36_be0.4_bf152.3f_la1.35_es0p_cb98.5p_rs1.34_cx0.27_rc0.835_sf0.975_ff0.88_fc5.802s_fp0.005_fs0.09_fq0.0009_pl2.901s_ps55.77fs_pd0.07491lf_pb1088s_pk55_wh19p_we0.22_ws6000r_wp29.01s_db0.5918l_et10p_hv15050b_sc11.9_if900cm_ip43.51s_rp43.51s_iy85p_md111.6f_mf0.4_mw260.3f_ms1440f_mc3_ts3.4x_te1.6_tp69.5p_tb0.66_pg0.1_pf1_bp0.8046h_gs7.252s_gd1.378in_gl0.3937in_gc0.7_el1.885s_de86p_ll10.15s_wm50p_pv3_nv1_mm17.64lb_ri0.5211li_ci1.124lf_ti3.434lf_mk75p_fi0.1_vm2866lb_or5.5_ty12.2in_da1085in_rr1.3p_rm8p_pa2500r_pz6000r_sl165000r_tl1742f_ol410f_bl2_pm2611s_sn43.51s_brr,p,1500,81.5,5200,96_bcr,b,2000,0.4,3000.5,1.1_ic,p,0.8,47,2,51";

/// Every field, every unit family, both curves, a pair of turbochargers, diesel, version 1.
const EVERYTHING: &str = "#1=746-9534b640_naZw-f6-lf-3a-.a-5f-b-2c-.100.-25-_tuhazel_ho0.54_arp_fud_rao_bt18.13s_pt402.3h_al0ft_ba12.91s_at77f_rh40p_fl0.2901s_rf15.74ll_fd0.07491lf_ir14.4f_sh0.9_lr1.5_sr1.1_ce77p_cf0.4_cc0.2_cl1.595s_cr16.2f_di122ci_cy4_st3.543in_co9_id1000r_rl7200r_os0.15_rg1.36_be0.4_bf152.3f_la1.35_es0p_cb98.5p_rs1.34_cx0.27_rc0.835_sf0.975_ff0.88_fc5.802s_fp0.005_fs0.09_fq0.0009_pl2.901s_ps55.77fs_pd0.07491lf_pb1088s_pk55_wh19p_we0.22_ws6000r_wp29.01s_db0.5918l_et10p_hv15050b_sc11.9_if900cm_ip43.51s_rp43.51s_iy85p_md111.6f_mf0.4_mw260.3f_ms1440f_mc3_ts3.4x_te1.6_tp69.5p_tb0.66_pg0.1_pf1_bp0.8046h_gs7.252s_gd1.378in_gl0.3937in_gc0.7_el1.885s_de86p_sl165000r_tl1742f_ol410f_bl2_pm2611s_sn43.51s_brr,p,1500,81.5,5200,96_bcr,b,2000,0.4,3000.5,1.1_ic,p,0.8,47,2,51";

/// With the fields of fitting too, which came last, version 1.
const FITTING: &str = "#1=966-aeec6726_naZw-f6-lf-3a-.a-5f-b-2c-.100.-25-_tuhazel_ho0.54_arp_fud_rao_bt18.13s_pt402.3h_al0ft_ba12.91s_at77f_rh40p_fl0.2901s_rf15.74ll_fd0.07491lf_ir14.4f_sh0.9_lr1.5_sr1.1_ce77p_cf0.4_cc0.2_cl1.595s_cr16.2f_di122ci_cy4_st3.543in_co9_id1000r_rl7200r_os0.15_rg1.36_be0.4_bf152.3f_la1.35_es0p_cb98.5p_rs1.34_cx0.27_rc0.835_sf0.975_ff0.88_fc5.802s_fp0.005_fs0.09_fq0.0009_pl2.901s_ps55.77fs_pd0.07491lf_pb1088s_pk55_wh19p_we0.22_ws6000r_wp29.01s_db0.5918l_et10p_hv15050b_sc11.9_if900cm_ip43.51s_rp43.51s_iy85p_md111.6f_mf0.4_mw260.3f_ms1440f_mc3_ts3.4x_te1.6_tp69.5p_tb0.66_pg0.1_pf1_bp0.8046h_gs7.252s_gd1.378in_gl0.3937in_gc0.7_el1.885s_de86p_ll10.15s_wm50p_pv3_nv1_mm17.64lb_ri0.5211li_ci1.124lf_ti3.434lf_mk75p_fi0.1_vm2866lb_or5.5_ty12.2in_da1085in_rr1.3p_rm8p_pa2500r_pz6000r_xi3.13in_xh2.126in_xc2.638in_xd3.012in_xp65.27s_xf2.25lm_xk0.7_xl11.42in_xt9.843in_sl165000r_tl1742f_ol410f_bl2_pm2611s_sn43.51s_brr,p,1500,81.5,5200,96_bcr,b,2000,0.4,3000.5,1.1_ic,p,0.8,47,2,51";

/// Which of the frozen links first had the fields of a part.
fn came(part: Part) -> u8 {
    match part {
        Part::Response | Part::Vehicle => 1,
        Part::Fitting => 2,
        _ => 0,
    }
}

/// Every field at its default or in the middle of its usual range, in imperial units where it has
/// them, of the parts that had come by then.
fn everything(by_then: u8) -> Build {
    let turbocharger = Arc::new(shelf().swap_remove(0));
    let mut build = Build::new("Zwölf: a_b, 100 %", turbocharger.clone())
        .and_then(|b| b.with_turbocharger(turbocharger, 1))
        .expect("sound");
    for spec in FIELDS.iter().filter(|s| came(s.part) <= by_then) {
        let unit = spec.unit();
        let middle = unit.to_si(0.5 * (spec.usual.0 + spec.usual.1));
        let shown = match spec
            .kind
            .units()
            .iter()
            .any(|u| u.system == System::Imperial)
        {
            true => spec.kind.imperial(),
            false => unit,
        };
        let value = spec.default_si(true).unwrap_or(middle);
        let text = format!("{:.3e}", shown.from_si(value));
        build = build
            .with_text(spec.field, &text, shown)
            .expect("in its range");
    }
    for (field, points) in [
        (CurveField::Breathing, [(1500.0, 81.5), (5200.0, 96.0)]),
        (CurveField::BoostCurve, [(2000.0, 0.4), (3000.5, 1.1)]),
        (CurveField::IdealCycle, [(0.8, 47.0), (2.0, 51.0)]),
    ] {
        let text: Vec<String> = points
            .iter()
            .map(|(x, y)| format!("[\"{x}\", \"{y}\"]"))
            .collect();
        let mut file = BuildFile::from_build(&build);
        file.curves.insert(
            field.spec().id.to_owned(),
            serde_json::from_str(&format!("[{}]", text.join(","))).expect("pairs"),
        );
        build = file.into_build().expect("in range");
    }
    build
        .with_arrangement(Arrangement::Pair)
        .with_fuel(FuelKind::Diesel)
        .with_rail_reference(RailReference::Outside)
}

#[test]
fn frozen_links_of_version_1_open() {
    let example = airpath::example_build().expect("the example is sound");
    assert_eq!(from_link(EXAMPLE), Ok(example));
    assert_eq!(from_link(EVERYTHING), Ok(everything(0)));
    assert_eq!(from_link(MORE), Ok(everything(1)));
    assert_eq!(from_link(FITTING), Ok(everything(2)));
}

#[test]
fn what_is_written_today_is_what_was_frozen() {
    // Were a key or a unit's letters to change their meaning, both directions would still agree
    // with each other; they would not agree with this.
    let example = airpath::example_build().expect("the example is sound");
    assert_eq!(to_link(&example).as_deref(), Ok(EXAMPLE));
    assert_eq!(to_link(&everything(0)).as_deref(), Ok(EVERYTHING));
    assert_eq!(to_link(&everything(1)).as_deref(), Ok(MORE));
    assert_eq!(to_link(&everything(2)).as_deref(), Ok(FITTING));
    assert!(
        EXAMPLE.len() < 600,
        "a usual build is sent in under 600 characters"
    );
    let keys: BTreeSet<&str> = FITTING.split('_').map(|entry| &entry[..2]).collect();
    assert!(keys.len() >= Field::COUNT, "a field is missing");
}

/// A small generator (splitmix64, Steele, Lea & Flood 2014): the same links on every machine.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }
}

/// CRC-32, written a second time, so that a changed link can be made to pass the first check.
fn crc(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                0xedb8_8320 ^ (crc >> 1)
            } else {
                crc >> 1
            };
        }
    }
    !crc
}

/// One to four changes to a link's signs; half of the results are given a right length and check,
/// so that what lies behind these is reached.
fn mutated(dice: &mut Dice, link: &str) -> String {
    const SIGNS: &[&str] = &[
        "0",
        "1",
        "9",
        ".",
        "-",
        ",",
        "_",
        "=",
        "e",
        "a",
        "z",
        "%",
        "%2C",
        "#",
        "\u{0}",
        "é",
        "𝄞",
        "1e308",
        "-1",
        "nan",
        "inf",
        "_br",
        "_bt1b",
        "_Ml1,1,1,1",
        "_Uh",
        "99999999999999999999",
    ];
    let head = link.find('_').map_or(0, |at| at + 1);
    let resealed = dice.below(2) == 0;
    let mut signs: Vec<char> = link.chars().skip(if resealed { head } else { 0 }).collect();
    for _ in 0..=dice.below(4) {
        let at = dice.below(signs.len().max(1));
        match dice.below(5) {
            0 if at < signs.len() => {
                signs.remove(at);
            }
            1 => signs.truncate(at),
            2 if at < signs.len() => {
                let to = dice.below(signs.len());
                signs.swap(at, to);
            }
            3 => {
                let piece: Vec<char> = signs.iter().skip(at).take(20).copied().collect();
                signs.splice(at.min(signs.len())..at.min(signs.len()), piece);
            }
            _ => {
                let piece = SIGNS[dice.below(SIGNS.len())].chars();
                signs.splice(at.min(signs.len())..at.min(signs.len()), piece);
            }
        }
    }
    let text: String = signs.into_iter().collect();
    if resealed {
        format!("#1={}-{:08x}_{text}", text.len(), crc(text.as_bytes()))
    } else {
        text
    }
}

#[test]
fn no_changed_link_does_harm() {
    let own = own_turbocharger();
    let seeds = [EXAMPLE, EVERYTHING, &own];
    let mut dice = Dice(20_261_125);
    let (mut taken, mut refused) = (0, BTreeSet::new());
    for _ in 0..200_000 {
        let seed = seeds[dice.below(seeds.len())];
        let link = mutated(&mut dice, seed);
        match from_link(&link) {
            // Whatever is taken is a whole build: it can be written and read again.
            Ok(build) => {
                taken += 1;
                let again = to_link(&build).expect("what came in fits");
                assert!(again.len() <= LONGEST_LINK);
                let back = from_link(&again).expect("what was written is read");
                assert_eq!(to_link(&back).as_deref(), Ok(&*again), "from {link}");
            }
            Err(error) => {
                let told = error.to_string();
                assert!(
                    told.len() > 20 && told.chars().count() < 1_500,
                    "{told}\nfrom {link}"
                );
                refused.insert(
                    told.split_whitespace()
                        .take(4)
                        .collect::<Vec<_>>()
                        .join(" "),
                );
            }
        }
    }
    // The mutations reach both sides of every check.
    assert!(taken > 1_000, "only {taken} were taken");
    assert!(refused.len() > 20, "only these refusals: {refused:?}");
}

/// A link with a turbocharger of its own, measured at few points.
fn own_turbocharger() -> String {
    let mut own = shelf().swap_remove(0);
    own.name = "Own".to_owned();
    for line in &mut own.compressor.map.lines {
        let last = line.points.len() - 1;
        line.points = [0, last / 2, last].map(|at| line.points[at]).to_vec();
    }
    let build = Build::new("Own", Arc::new(own)).expect("sound");
    to_link(&build).expect("short enough")
}

#[test]
fn the_longest_text_is_refused_before_work() {
    let began = std::time::Instant::now();
    for text in [
        "_".repeat(10_000_000),
        "#1=".to_owned() + &"9".repeat(10_000_000),
    ] {
        assert!(from_link(&text).is_err());
    }
    // A length is compared, nothing else: a second would be a thousand times too long.
    assert!(began.elapsed().as_secs_f64() < 1.0);
}
