//! A bar losing heat to still air: radiation and convection from a body of one temperature throughout.
//!
//! The lumped model is good while [`Cooling::biot`] stays below 0.1 (textbook examples of Incropera, Cengel and
//! Holman, read through worked copies). Anvil, tongs and dies are not in it.

use crate::steel::conductivity::conductivity_w_mk;
use crate::steel::heat_capacity::heat_capacity_j_kgk;
use crate::steel::inputs::KELVIN;
use crate::steel::quadrature::area;

/// Stefan and Boltzmann's constant, W/(m2 K4).
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// Where the curve of heat capacity must be cut so that each part is smooth enough for eight points: its kinks,
/// and closer cuts towards the peak at 735 C.
const CUTS_C: [f64; 10] = [20.0, 300.0, 600.0, 680.0, 715.0, 728.0, 735.0, 742.0, 755.0, 790.0];
const LAST_CUT_C: f64 = 900.0;

/// A body in its surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cooling {
    /// Volume over surface, mm: see [`flat_mm`] and [`round_mm`].
    pub volume_over_surface_mm: f64,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// Emissivity of the surface, 0 to 1.
    pub emissivity: f64,
    /// Heat transfer by convection, W/m2K.
    pub convection_w_m2k: f64,
    /// Temperature of the air and of what the body looks at, C.
    pub surroundings_c: f64,
}

/// Volume over surface, mm, of a long flat bar (or square) of `width` by `thickness` mm: `w t / (2 (w + t))`.
pub fn flat_mm(width: f64, thickness: f64) -> f64 {
    width * thickness / (2.0 * (width + thickness))
}

/// Volume over surface, mm, of a long round bar: `d/4`.
pub fn round_mm(diameter: f64) -> f64 {
    diameter / 4.0
}

impl Cooling {
    /// Steel with scale in a shop of 20 C: density 7850 kg/m3, emissivity 0.8 (usual textbook value, from
    /// memory), convection 25 W/m2K (project figure, taken from the fire-design rules).
    pub const fn in_still_air(volume_over_surface_mm: f64) -> Self {
        Self {
            volume_over_surface_mm,
            density_kg_m3: 7850.0,
            emissivity: 0.8,
            convection_w_m2k: 25.0,
            surroundings_c: 20.0,
        }
    }

    /// Heat transfer by radiation alone, W/m2K, of a surface at `t_c` C.
    pub fn radiation_w_m2k(&self, t_c: f64) -> f64 {
        let (t, s) = (t_c + KELVIN, self.surroundings_c + KELVIN);
        self.emissivity * STEFAN_BOLTZMANN * (t + s) * (t * t + s * s)
    }

    /// Heat transfer in all, W/m2K, of a surface at `t_c` C.
    pub fn transfer_w_m2k(&self, t_c: f64) -> f64 {
        self.convection_w_m2k + self.radiation_w_m2k(t_c)
    }

    /// Biot number of steel at `t_c` C: below 0.1 the inside is about as hot as the skin.
    pub fn biot(&self, t_c: f64) -> f64 {
        self.transfer_w_m2k(t_c) * self.volume_over_surface_mm / 1000.0 / conductivity_w_mk(t_c)
    }

    /// Seconds from `from_c` to `to_c` (C) with the specific heat of steel. Cooling or warming.
    ///
    /// Infinity where the surroundings never bring the body there.
    pub fn time_s(&self, from_c: f64, to_c: f64) -> f64 {
        self.time_with(heat_capacity_j_kgk, from_c, to_c)
    }

    /// As [`Cooling::time_s`], for a body of any specific heat (J/kgK at a temperature in C).
    pub fn time_with(&self, capacity: impl Fn(f64) -> f64, from_c: f64, to_c: f64) -> f64 {
        let s = self.surroundings_c;
        let (away, left) = (from_c - s, to_c - s);
        if from_c == to_c {
            return 0.0;
        }
        if away.is_nan() || left.is_nan() {
            return f64::NAN;
        }
        if away * left <= 0.0 || left.abs() > away.abs() {
            return f64::INFINITY;
        }
        let (low, high) = (from_c.min(to_c), from_c.max(to_c));
        let cuts = CUTS_C.iter().chain([&LAST_CUT_C]).copied();
        let inside = cuts.filter(|cut| low < *cut && *cut < high);
        let mut start = low;
        let mut sum = 0.0;
        for end in inside.chain([high]) {
            sum += self.part(&capacity, start, end);
            start = end;
        }
        self.density_kg_m3 * self.volume_over_surface_mm / 1000.0 * sum
    }

    /// Integral of c/h over ln|T - surroundings|: in that variable the slow end of cooling is smooth.
    fn part(&self, capacity: &impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
        let s = self.surroundings_c;
        let side = if low >= s { 1.0 } else { -1.0 };
        let (first, last) = ((low - s).abs().ln(), (high - s).abs().ln());
        // One piece a factor e of distance keeps the eight points good to about ten figures.
        let pieces = (last - first).abs().ceil().clamp(1.0, 800.0);
        let step = (last - first) / pieces;
        let mut sum = 0.0;
        let mut piece = 0.0;
        while piece < pieces {
            let from = first + piece * step;
            sum += area(from, from + step, |u| {
                let t = s + side * u.exp();
                capacity(t) / self.transfer_w_m2k(t)
            });
            piece += 1.0;
        }
        sum.abs()
    }

    /// Temperature, C, that steel at `from_c` C has after `seconds`: the inverse of [`Cooling::time_s`].
    ///
    /// Negative or missing times give NaN.
    pub fn temperature_after_c(&self, from_c: f64, seconds: f64) -> f64 {
        let s = self.surroundings_c;
        let slowness = self.density_kg_m3 * self.volume_over_surface_mm / 1000.0;
        if from_c == s || seconds == 0.0 {
            return from_c;
        }
        if !(seconds > 0.0 && slowness > 0.0 && from_c.is_finite() && s.is_finite()) {
            return f64::NAN;
        }
        let side = if from_c > s { 1.0 } else { -1.0 };
        let start = (from_c - s).abs().ln();
        // No steel cools faster than with the smallest specific heat and the largest transfer on the way.
        let fastest = self.transfer_w_m2k(from_c.max(s)) / (slowness * heat_capacity_j_kgk(20.0));
        let (mut low, mut high) = (start - seconds * fastest, start);
        if low < -700.0 {
            low = -700.0;
        }
        // Not from the start itself: its rounded logarithm may lie a hair on the far side.
        let mut u = 0.5 * (low + high);
        for _ in 0..100 {
            let t = s + side * u.exp();
            let miss = self.time_s(from_c, t) - seconds;
            if miss < 0.0 {
                high = u;
            } else {
                low = u;
            }
            let slope = -slowness * heat_capacity_j_kgk(t) / self.transfer_w_m2k(t);
            let newton = u - miss / slope;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let moved = (next - u).abs();
            u = next;
            if moved <= 1e-13 * u.abs().max(1.0) {
                break;
            }
        }
        s + side * u.exp()
    }

    /// Seconds from `from_c` to `to_c` (C) by radiation alone with a constant specific heat: the closed form.
    ///
    /// NaN where the surroundings lie between the two.
    pub fn radiation_only_s(&self, capacity_j_kgk: f64, from_c: f64, to_c: f64) -> f64 {
        let s = self.surroundings_c + KELVIN;
        let (t, start) = (to_c + KELVIN, from_c + KELVIN);
        if (t - s) * (start - s) <= 0.0 {
            return f64::NAN;
        }
        let term = |t: f64| ((s + t) / (s - t)).abs().ln() + 2.0 * (t / s).atan();
        let slowness = self.density_kg_m3 * self.volume_over_surface_mm / 1000.0 * capacity_j_kgk;
        slowness / (4.0 * self.emissivity * STEFAN_BOLTZMANN * s.powi(3)) * (term(t) - term(start))
    }
}
