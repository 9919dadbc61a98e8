//! The formula of each law of the tables, by its name: inputs in the order and the units of the table.

use std::f64::consts::{FRAC_PI_4, PI};

use crate::steel::catalogue::flow::{
    ALLOYED_030C, C15, C22, MEDIUM_CARBON, MNS30, S355J2, ekelund_mpa, misaka_mpa,
};
use crate::steel::catalogue::law::Formula;
use crate::steel::catalogue::{carbon, conversion, rolls, scale_in_air};
use crate::steel::constants::{GAS, GAS_ROUNDED, KELVIN};
use crate::steel::grades::{Composition, window};
use crate::steel::laws::conductivity::conductivity_w_mk;
use crate::steel::laws::cooling::{Cooling, flat_mm};
use crate::steel::laws::critical::{Traces, ac1_c, ac3_c};
use crate::steel::laws::diffusion::{agren_m2_s, arrhenius};
use crate::steel::laws::expansion::elongation;
use crate::steel::laws::flow_stress::shida_mpa;
use crate::steel::laws::growth::{
    austenite_left_percent, hardened_percent, linear_percent, martensite_start_c,
};
use crate::steel::laws::hammer::{anvil_efficiency, blow_energy_j, small_hammer_energy_j};
use crate::steel::laws::hardenability::{ideal_diameter_from_mm, ideal_diameter_mm};
use crate::steel::laws::hardening::reached_hrc;
use crate::steel::laws::hardness::{as_quenched_hrc, end_quench_ratio, half_martensite_hrc, unhardened_hrc};
use crate::steel::laws::heat_capacity::{enthalpy_j_kg, heat_capacity_j_kgk};
use crate::steel::laws::heating::Through;
use crate::steel::laws::hensel_spittel::{C45, stress_mpa};
use crate::steel::laws::press_load::{PLANE_STRAIN, bite_force_kn, largest_bite_mm};
use crate::steel::laws::quench::{Depth, end_quench_mm, ideal_round_mm};
use crate::steel::laws::rolls::{Pass, wusatowski};
use crate::steel::laws::scale::skin_mm;
use crate::steel::laws::solidus::{hirai_c, second_c};
use crate::steel::laws::spread::{ALONG_LIMIT, open_die};
use crate::steel::laws::tempering::{parameter, tempered_hrc};
use crate::steel::laws::upset_rule::FREE_LENGTH;
use crate::steel::laws::work::ideal_work_j;
use crate::steel::laws::{contrast, decarb, stainless, twist};

/// Rows of `name: (inputs) formula`; `steel s` stands for the eight inputs of a composition. Too few inputs give NaN.
macro_rules! formulas {
    ($($name:literal: $(steel $s:ident)? ($($x:ident),*) $body:expr;)*) => {
        &[$(($name, |inputs: &[f64]| {
            $(let Some($s) = composition(inputs) else { return f64::NAN };
            let inputs = inputs.get(8..).unwrap_or(&[]);)?
            formulas!(@of inputs, ($($x),*) $body)
        })),*]
    };
    (@of $inputs:ident, () $body:expr) => {{ let _ = $inputs; $body }};
    (@of $inputs:ident, ($($x:ident),+) $body:expr) => {
        if let [$($x,)+ ..] = *$inputs { $body } else { f64::NAN }
    };
}

/// Every formula.
pub(super) const FORMULAS: &[(&str, Formula)] = formulas! {
    "bar-mass": (thick, wide, long, density) thick * wide * 1e-6 * density * long;
    "round-mass": (d, long, density) FRAC_PI_4 * d * d * 1e-6 * density * long;
    "expansion": (t) elongation(t);
    "cold-size": (hot, t) hot / (1.0 + elongation(t));
    "heat-capacity": (t) heat_capacity_j_kgk(t);
    "heat-content": (g, t) g / 1000.0 * enthalpy_j_kg(t);
    "conductivity": (t) conductivity_w_mk(t);
    "cooling-time": (w, h, from, to, e, k, air) in_air(w, h, e, k, air).time_s(from, to);
    "cooling-after": (w, h, from, s, e, k, air) in_air(w, h, e, k, air).temperature_after_c(from, s);
    "cooling-on-anvil": (w, h, from, to) {
        Cooling::in_still_air(flat_mm(w, h)).on_anvil(w / (2.0 * (w + h))).time_s(from, to)
    };
    "heating-through": (w, h, from, to, fire) Through::of(fire, from, to).minutes([w, h]);
    "cooling-by-radiation": (w, h, from, to, e, air, c) in_air(w, h, e, 0.0, air).radiation_only_s(c, from, to);
    "biot": (w, h, t, e, k, air) in_air(w, h, e, k, air).biot(t);

    "skin": (t, minutes, factor) skin_mm(t, minutes, factor);
    "scale-in-air": (t, minutes) scale_in_air::thickness_um(t, minutes);
    "scale-in-air-second": (t, minutes) {
        let kp_cm2_s = 6.1 * (-169_452.0 / (GAS_ROUNDED * (t + KELVIN))).exp();
        (kp_cm2_s * minutes * 60.0).sqrt() * 1e4
    };
    "scale-recession": (t, minutes) scale_in_air::recession_um(t, minutes);
    "scale-loss": (side, t, minutes) {
        let left = (side - 2e-3 * scale_in_air::recession_um(t, minutes)) / side;
        if left < 0.0 { 100.0 } else { 100.0 * (1.0 - left * left) }
    };
    "decarb-carbon": (c, um, t, minutes, surface) {
        carbon::at_depth_percent(c, surface, um, decarb::skin_m2_s(t, c), minutes * 60.0)
    };
    "decarb-depth": (c, t, minutes, fraction) carbon::depth_um(fraction, decarb::skin_m2_s(t, c), minutes * 60.0);
    "decarb-under-scale": (c, t, minutes, burnt) {
        1e3 * decarb::grown_mm(0.0, decarb::skin_m2_s(t, c) * 6e7 * minutes, 1e-3 * burnt)
    };
    "carbon-diffusion": (t) carbon::callister_m2_s(t);
    "carbon-diffusion-raghavan": (t) arrhenius(0.7e-4, 157e3, t);
    "carbon-diffusion-carburising": (t) arrhenius(0.15e-4, 135e3, t);
    "carbon-diffusion-agren": (t, c) agren_m2_s(t, c);
    "carbon-diffusion-lee": steel s (al, t) carbon::lee_m2_s(t, &s, al);
    "nickel-diffusion": (t) arrhenius((-86.0 / GAS).exp(), 286e3, t);
    "manganese-diffusion": (t) arrhenius(1.6e-5, 262e3, t);
    "contrast-centres": (fo) contrast::centres(fo);
    "contrast-means": (fo) contrast::means(fo);
    "contrast-time": (first, second, t, c) {
        let period = (first + second) * 1e-3;
        period * period / (4.0 * PI * PI * agren_m2_s(t, c))
    };
    "solidus": steel s () hirai_c(&s);
    "solidus-second": steel s () second_c(&s);
    "solidus-third": steel s () 1534.0 - 2.29 * (80.5 * s.c + 17.8 * s.si + 3.75 * s.mn);
    "solidus-chord": (c) 1495.0 - 178.9 * (c - 0.17);
    "liquidus": steel s () {
        1537.0 - (88.0 * s.c + 8.0 * s.si + 5.0 * s.mn + 4.0 * s.ni + 2.0 * s.mo + 2.0 * s.v + 1.5 * s.cr)
    };
    "forging-highest": (c) told(window::by_carbon(c).highest.map(|l| l.t_c));
    "forging-lowest": (c) told(window::by_carbon(c).lowest.map(|l| l.t_c));
    "burning": (c) told(window::by_carbon(c).burning.map(|l| l.t_c));
    "grain-size": steel s (t, minutes) {
        let q = 89_098.0 + 3581.0 * s.c + 1211.0 * s.ni + 1443.0 * s.cr + 4031.0 * s.mo;
        // That code adds 273 rather than 273.15.
        76_671.0 * (-q / (GAS * (t + 273.0))).exp() * (minutes * 60.0).powf(0.211)
    };
    "grain-size-half-carbon": (t, minutes) {
        1.128e5 * (-113_727.0 / (GAS_ROUNDED * (t + KELVIN))).exp() * (minutes * 60.0).powf(0.3389)
    };

    "ac1": steel s (cu, p, al, arsenic, ti) ac1_c(&s, &Traces { cu, p, al, arsenic, ti });
    "ac3": steel s (cu, p, al, arsenic, ti) ac3_c(&s, &Traces { cu, p, al, arsenic, ti });
    "ac1-mill": steel s (cu, _p, al, _arsenic, ti, nb, b) {
        750.8 - 26.6 * s.c + 17.6 * s.si - 11.6 * s.mn - 22.9 * cu - 23.0 * s.ni + 24.1 * s.cr + 22.5 * s.mo
            - 39.7 * s.v - 5.7 * ti + 232.4 * nb - 169.4 * al - 894.7 * b
    };
    "ac3-mill": steel s (cu, _p, al, _arsenic, ti, nb, b) {
        937.2 - 436.5 * s.c + 56.0 * s.si - 19.7 * s.mn - 16.3 * cu - 26.6 * s.ni - 4.9 * s.cr + 38.1 * s.mo
            + 124.8 * s.v + 136.3 * ti - 19.1 * nb + 198.4 * al + 3315.0 * b
    };
    "ac1-grange": steel s () celsius(1333.0 - 25.0 * s.mn + 40.0 * s.si - 26.0 * s.ni + 42.0 * s.cr);
    "ac3-grange": steel s () {
        celsius(1570.0 - 323.0 * s.c - 25.0 * s.mn + 80.0 * s.si - 32.0 * s.ni - 3.0 * s.cr)
    };
    "martensite-start": steel s () martensite_start_c(&s);
    "martensite-start-andrews": steel s () andrews_c(&s);
    "martensite-start-kung": steel s () andrews_c(&s) - 7.5 * s.si;
    "martensite-start-steven": steel s () {
        561.0 - 474.0 * s.c - 33.0 * s.mn - 17.0 * s.cr - 17.0 * s.ni - 21.0 * s.mo
    };
    "martensite-start-ingber": steel s () {
        530.2 - 290.3 * s.c - 35.5 * s.mn - 6.8 * s.si - 17.2 * s.ni - 20.8 * s.cr - 10.4 * s.mo
            - 75.0 * (1.0 - (-0.96 * s.c).exp())
    };
    "bainite-start": steel s () 637.0 - 58.0 * s.c - 35.0 * s.mn - 15.0 * s.ni - 34.0 * s.cr - 41.0 * s.mo;
    "bainite-start-steven": steel s () {
        830.0 - 270.0 * s.c - 90.0 * s.mn - 37.0 * s.ni - 70.0 * s.cr - 83.0 * s.mo
    };
    "retained-austenite": (ms, t, alpha) austenite_left_percent(ms, t, alpha);
    "hardness-as-quenched": (c) told(as_quenched_hrc(c));
    "hardness-maynier": steel s (rate) {
        127.0 + 949.0 * s.c + 27.0 * s.si + 11.0 * s.mn + 8.0 * s.ni + 16.0 * s.cr + 21.0 * rate.log10()
    };
    "tempering-parameter": (t, hours, constant) parameter(t, hours, constant);
    "hardness-tempered": (c, t, hours) told(tempered_hrc(c, t, hours));
    "hv-of-hrc": (hrc) told(conversion::hv_of_hrc(hrc));
    "hbw-of-hrc": (hrc) told(conversion::hbw_of_hrc(hrc));
    "hrc-of-hv": (hv) told(conversion::hrc_of_hv(hv));
    "hrc-of-hbw": (hbw) told(conversion::hrc_of_hbw(hbw));
    "ideal-diameter": steel s (cu, zr) told(ideal_diameter_mm(&s, cu, zr));
    "ideal-diameter-rich": steel s (from) told(ideal_diameter_from_mm(&s, from));
    "quench-middle": (thick, wide, severity) ideal_round_mm([thick, wide], severity, Depth::Middle);
    "quench-surface": (thick, wide, severity) ideal_round_mm([thick, wide], severity, Depth::Surface);
    "end-quench-place": (round) end_quench_mm(round);
    "end-quench-ratio": (diameter, place) end_quench_ratio(diameter, place);
    "hardness-half-martensite": (c) half_martensite_hrc(c);
    "hardness-unhardened": (c) unhardened_hrc(c);
    "hardness-reached": steel s (diameter, round) told(reached_hrc(&s, diameter, round));
    "growth-on-hardening": (c, carbide, austenite) linear_percent(hardened_percent(c, carbide, austenite));
    "growth-from-austenite": (c) 4.64 - 0.53 * c;

    "spread-open-die": (bite, width) open_die(bite / width);
    "spread-along": (tool, long) (1.0 - open_die(tool / long)).clamp(0.0, ALONG_LIMIT);
    "spread-width": (width, from, to, s) width * (from / to).powf(s);
    "spread-length": (length, from, to, s) length * (from / to).powf(1.0 - s);
    "bite-thinnest": (from) from / 1.3;
    "bite-least": (thick) 1.0 / 3.0 * thick;
    "rolls-largest-draft": (friction, radius) friction * friction * radius;
    "rolls-force": (stress, width, radius, draft) stress * width * (radius * draft).sqrt() * 1e-3;

    "flow-stress-shida": (c, t, strain, rate) shida_mpa(c, t, strain, rate);
    "strain-rate": (m_per_s, thick) m_per_s * 1000.0 / thick;
    "flow-stress-c15": (t, strain, rate) stress_mpa(&C15, t, strain, rate);
    "flow-stress-c22": (t, strain, rate) stress_mpa(&C22, t, strain, rate);
    "flow-stress-c45": (t, strain, rate) stress_mpa(&C45, t, strain, rate);
    "flow-stress-s355": (t, strain, rate) stress_mpa(&S355J2, t, strain, rate);
    "flow-stress-11mns30": (t, strain, rate) stress_mpa(&MNS30, t, strain, rate);
    "flow-stress-alloyed": (t, strain, rate) stress_mpa(&ALLOYED_030C, t, strain, rate);
    "flow-stress-alloyed-measured": (t, rate) MEDIUM_CARBON.at_mpa(t, rate);
    "flow-stress-304-measured": (t, rate) stainless::MEASURED.at_mpa(t, rate);
    "flow-stress-304": (t, rate) stainless::sinh_law_mpa(t, rate);
    "flow-stress-misaka": (c, t, strain, rate) misaka_mpa(c, t, strain, rate);
    "flow-stress-ekelund": (t, c, mn, cr) ekelund_mpa(t, c, mn, cr);

    "press-bite": (stress, width, bite, thick) bite_force_kn(stress, width, bite, thick);
    "press-largest-bite": (kn, stress, width, thick) largest_bite_mm(kn, stress, width, thick);
    "press-along": (stress, tool, long, thick) bite_force_kn(stress, long, tool, thick);
    "press-strip": (stress, half, thick) PLANE_STRAIN * stress * (1.0 + half / (2.0 * thick));
    "press-strip-sliding": (stress, friction, half, thick) PLANE_STRAIN * stress * (1.0 + friction * half / thick);
    "press-disc": (stress, friction, d, h) stress * disc_mm2(d) * (1.0 + friction * d / (3.0 * h)) * 1e-3;
    "press-disc-shape-factor": (stress, friction, d, h) {
        stress * disc_mm2(d) * (1.0 + 0.4 * friction * d / h) * 1e-3
    };
    "press-area": (kn, pressure) kn * 1000.0 / pressure;
    "work": (volume, stress, strain, efficiency) ideal_work_j(volume, stress, strain) / efficiency;
    "work-warming": (stress, strain, share, density, capacity) share * stress * 1e6 * strain / (density * capacity);
    "hammer-energy": (ram) small_hammer_energy_j(ram);
    "hammer-blow": (ram, speed) blow_energy_j(ram, speed);
    "anvil-efficiency": (anvil, ram) anvil_efficiency(anvil, ram);
    "hammer-blows": (work, blow, useful, anvil) work / (useful * anvil * blow);
    "upset-free-length": (d) FREE_LENGTH * d;
    "upset-stock": (head, bar) head / bar;
    "barrel-volume": (face, belly, height) PI * height * (2.0 * belly * belly + face * face) / 12.0;
    "weld-exposure": (from, to) 100.0 * ((from - to) / from);
    "weld-expansion": (percent) 100.0 * (percent / 100.0 / (1.0 - percent / 100.0));
    "weld-strength-cold": (percent) 100.0 * (percent / 100.0 * (2.0 - percent / 100.0));
    "twist-shear": (side, pitch) corner_shear(side, pitch);
    "twist-angle": (side, pitch) corner_shear(side, pitch).atan().to_degrees();
    "twist-strain": (side, pitch) twist::equivalent_strain(corner_shear(side, pitch));
    "twist-stretch": (side, pitch) corner_shear(side, pitch).hypot(1.0);
    "twist-tightest": (side) twist::tightest_pitch_mm(corner_mm(side), twist::STRAIN_WARNS);
    "twist-torque-square": (stress, side) stress / 3f64.sqrt() * side.powi(3) / 3.0 * 1e-3;
    "twist-torque-round": (stress, d) {
        std::f64::consts::TAU / 3.0 * stress / 3f64.sqrt() * (0.5 * d).powi(3) * 1e-3
    };

    "rolls-wusatowski": (w, h0, h1, r) pass(w, h0, h1, r).width_with_mm(wusatowski::coefficient(pass(w, h0, h1, r)));
    "rolls-sparling": (w, h0, h1, r) rolls::sparling_mm(pass(w, h0, h1, r));
    "rolls-hill": (w, h0, h1, r) rolls::hill_mm(pass(w, h0, h1, r));
    "rolls-roux": (w, h0, h1, r) rolls::roux_mm(pass(w, h0, h1, r));
    "rolls-marini": (w, h0, h1, r, friction) rolls::marini_mm(pass(w, h0, h1, r), friction);
    "rolls-el-kalay-sparling": (w, h0, h1, r) rolls::el_kalay_sparling_mm(pass(w, h0, h1, r));
    "rolls-helmi-alexander": (w, h0, h1, r) rolls::helmi_alexander_mm(pass(w, h0, h1, r));
    "rolls-beese": (w, h0, h1, r) rolls::beese_mm(pass(w, h0, h1, r));
    "rolls-shibahara": (w, h0, h1, r) rolls::shibahara_mm(pass(w, h0, h1, r));
    "rolls-ekelund": (w, h0, h1, r, t) rolls::ekelund_mm(pass(w, h0, h1, r), t);
};

fn composition(inputs: &[f64]) -> Option<Composition> {
    match *inputs {
        [c, mn, si, cr, ni, v, w, mo, ..] => Some(Composition { c, mn, si, cr, ni, v, w, mo }),
        _ => None,
    }
}

fn told(figure: Option<f64>) -> f64 {
    figure.unwrap_or(f64::NAN)
}

fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// A long flat bar in a shop.
fn in_air(wide: f64, thick: f64, emissivity: f64, convection_w_m2k: f64, surroundings_c: f64) -> Cooling {
    let still = Cooling::in_still_air(flat_mm(wide, thick));
    Cooling { emissivity, convection_w_m2k, surroundings_c, ..still }
}

/// Ms, C: Andrews 1965, the straight form.
fn andrews_c(s: &Composition) -> f64 {
    539.0 - 423.0 * s.c - 30.4 * s.mn - 17.7 * s.ni - 12.1 * s.cr - 7.5 * s.mo
}

fn disc_mm2(diameter_mm: f64) -> f64 {
    0.25 * PI * diameter_mm * diameter_mm
}

/// Radius in mm of the corner of a square bar: the hardest worked fibre.
fn corner_mm(side_mm: f64) -> f64 {
    side_mm * std::f64::consts::FRAC_1_SQRT_2
}

fn corner_shear(side_mm: f64, pitch_mm: f64) -> f64 {
    twist::shear_of_turns(corner_mm(side_mm), 1.0, pitch_mm)
}

fn pass(width_mm: f64, before_mm: f64, after_mm: f64, radius_mm: f64) -> Pass {
    Pass { width_mm, before_mm, after_mm, radius_mm }
}
