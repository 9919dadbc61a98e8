//! A bar losing heat to still air: radiation and convection from a body of one temperature throughout.
//!
//! The lumped model is good while `Cooling::biot` stays below 0.1 (textbook examples of Incropera, Cengel and
//! Holman, read through worked copies). Tongs and dies are not in it; an anvil is, where it is said.

use crate::steel::constants::{KELVIN, STEFAN_BOLTZMANN};
use crate::steel::laws::conductivity::conductivity_w_mk;
use crate::steel::laws::heat_capacity::heat_capacity_j_kgk;
use crate::steel::laws::quadrature::area;

/// Where the curve of heat capacity must be cut so that each part is smooth enough for eight points: its kinks,
/// and closer cuts towards the peak at 735 C.
const CUTS_C: [f64; 11] = [20.0, 300.0, 600.0, 680.0, 715.0, 728.0, 735.0, 742.0, 755.0, 790.0, 900.0];

/// Heat that passes into an anvil from what lies on it, W/(m2 K), over the loss to air: stands for 700 under a body that warms, 700 being the middle of 400 to
/// 1000 for scaled work under its own weight (from memory). Against finite differences (tests/oracle, anvil.csv, 3 to 40 mm): within 20 %.
const ANVIL_W_M2K: f64 = 400.0;

/// A body in its surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cooling {
    /// Volume over surface, mm: see `flat_mm`.
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
pub(crate) fn flat_mm(width: f64, thickness: f64) -> f64 {
    width * thickness / (2.0 * (width + thickness))
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

    /// The same body with this share of its surface on an anvil.
    #[must_use]
    pub fn on_anvil(mut self, share: f64) -> Self {
        self.convection_w_m2k += ANVIL_W_M2K * share;
        self
    }

    /// Heat transfer by radiation alone, W/m2K, of a surface at `t_c` C.
    pub(crate) fn radiation_w_m2k(&self, t_c: f64) -> f64 {
        let (t, s) = (t_c + KELVIN, self.surroundings_c + KELVIN);
        self.emissivity * STEFAN_BOLTZMANN * (t + s) * (t * t + s * s)
    }

    /// Heat transfer in all, W/m2K, of a surface at `t_c` C.
    pub(crate) fn transfer_w_m2k(&self, t_c: f64) -> f64 {
        self.convection_w_m2k + self.radiation_w_m2k(t_c)
    }

    /// Biot number of steel at `t_c` C: below 0.1 the inside is about as hot as the skin.
    pub(crate) fn biot(&self, t_c: f64) -> f64 {
        self.transfer_w_m2k(t_c) * self.volume_over_surface_mm / 1000.0 / conductivity_w_mk(t_c)
    }

    /// How long it takes to lose one degree at a temperature, s/K.
    pub fn seconds_per_k(&self, t_c: f64) -> f64 {
        let slowness = self.density_kg_m3 * self.volume_over_surface_mm / 1000.0;
        slowness * heat_capacity_j_kgk(t_c) / (self.transfer_w_m2k(t_c) * (t_c - self.surroundings_c))
    }

    /// Seconds from `from_c` to `to_c` (C) with the specific heat of steel. Cooling or warming.
    ///
    /// Infinity where the surroundings never bring the body there.
    pub fn time_s(&self, from_c: f64, to_c: f64) -> f64 {
        self.time_with(heat_capacity_j_kgk, from_c, to_c)
    }

    /// As [`Cooling::time_s`], for a body of any specific heat (J/kgK at a temperature in C).
    pub(crate) fn time_with(&self, capacity: impl Fn(f64) -> f64, from_c: f64, to_c: f64) -> f64 {
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
        let inside = CUTS_C.into_iter().filter(|cut| low < *cut && *cut < high);
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
        let (mut low, mut high) = ((start - seconds * fastest).max(-700.0), start);
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
    pub(crate) fn radiation_only_s(&self, capacity_j_kgk: f64, from_c: f64, to_c: f64) -> f64 {
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

#[cfg(test)]
mod tests {
    use crate::steel::laws::cooling::{Cooling, flat_mm};
    use crate::steel::laws::heat_capacity::heat_capacity_j_kgk;
    use crate::steel::testing::{near, within};

    #[test]
    fn textbook_ball() {
        // Holman, example 4.1: steel ball of 50 mm, 450 to 150 C in air of 100 C: 5818 s.
        let ball = Cooling {
            volume_over_surface_mm: 50.0 / 6.0,
            density_kg_m3: 7800.0,
            emissivity: 0.0,
            convection_w_m2k: 10.0,
            surroundings_c: 100.0,
        };
        within(ball.time_with(|_| 460.0, 450.0, 150.0), 5818.0, 0.5);
        within(10.0 * 0.05 / 6.0 / 35.0, 0.0024, 5e-5);
    }

    #[test]
    fn textbook_panel() {
        // Incropera, example 5.3: 3 mm aluminium panel warmed in an oven of 175 C, then cooled in 25 C: 123.07 s
        // to 150 C, 987 s in all (printed); end of warming 174.75 C, cooling 563.3 s, 986.3 s in all (computed).
        let oven = Cooling {
            volume_over_surface_mm: 1.5,
            density_kg_m3: 2770.0,
            emissivity: 0.8,
            convection_w_m2k: 40.0,
            surroundings_c: 175.0,
        };
        let shop = Cooling { convection_w_m2k: 10.0, surroundings_c: 25.0, ..oven };
        let aluminium = |_: f64| 875.0;
        let warm = oven.time_with(aluminium, 25.0, 150.0);
        within(warm, 123.07, 0.05);
        within(oven.time_with(aluminium, 150.0, 174.75), 300.0, 2.0);
        let cool = shop.time_with(aluminium, 174.75, 37.0);
        // The example takes 273 for 273.15, which is worth 0.3 s.
        within(cool, 563.3, 0.4);
        within(warm + 300.0 + cool, 987.0, 1.1);
        within(oven.radiation_w_m2k(150.0), 15.0, 0.05);
        within(shop.radiation_w_m2k(150.0), 8.76, 0.05);
    }

    #[test]
    fn textbook_bead() {
        // Cengel, example 4-1: 99 % of the way in 10 s (its inputs from memory: 1 mm bead, 8500 kg/m3,
        // 320 J/kgK, 210 W/m2K).
        let bead = Cooling {
            volume_over_surface_mm: 1.0 / 6.0,
            density_kg_m3: 8500.0,
            emissivity: 0.0,
            convection_w_m2k: 210.0,
            surroundings_c: 0.0,
        };
        within(bead.time_with(|_| 320.0, 100.0, 1.0), 10.0, 0.1);
    }

    #[test]
    fn radiation_only_computed() {
        // Reference, 3.4: 25 mm square, 1200 to 900 C, 72.03 s closed and integrated; 71.84 s against 0 K.
        let bar = Cooling { convection_w_m2k: 0.0, ..Cooling::in_still_air(flat_mm(25.0, 25.0)) };
        within(bar.radiation_only_s(650.0, 1200.0, 900.0), 72.03, 6e-3);
        let integrated = bar.time_with(|_| 650.0, 1200.0, 900.0);
        near(integrated, bar.radiation_only_s(650.0, 1200.0, 900.0), 1e-9);
        let space = Cooling { surroundings_c: -273.15 + 1e-3, ..bar };
        within(space.time_with(|_| 650.0, 1200.0, 900.0), 71.84, 6e-3);
        assert!(bar.radiation_only_s(650.0, 1200.0, 10.0).is_nan());
    }

    #[test]
    fn still_air_table_computed() {
        // Reference, table 3.5: seconds from 1200 C to 1100, 1000, 900, 850 and 800 C.
        for (bar, times) in [
            (flat_mm(25.0, 25.0), [15.0, 34.4, 60.1, 76.6, 97.8]),
            (flat_mm(50.0, 10.0), [10.0, 22.9, 40.1, 51.1, 65.2]),
            (flat_mm(30.0, 6.0), [6.0, 13.8, 24.1, 30.7, 39.1]),
        ] {
            let ends = [1100.0, 1000.0, 900.0, 850.0, 800.0];
            for (to, seconds) in ends.into_iter().zip(times) {
                within(Cooling::in_still_air(bar).time_s(1200.0, to), seconds, 0.06);
            }
        }
        within(Cooling::in_still_air(6.25).time_s(1200.0, 900.0), 60.15, 6e-3);
        within(flat_mm(50.0, 10.0), 4.1667, 5e-5);
        // Times go exactly with volume over surface.
        let (thin, thick) = (Cooling::in_still_air(2.5), Cooling::in_still_air(6.25));
        within(thick.time_s(1200.0, 300.0) / thin.time_s(1200.0, 300.0), 2.5, 1e-12);
    }

    #[test]
    fn transfer_computed() {
        // Reference, below table 3.5.
        let bar = Cooling::in_still_air(6.25);
        within(bar.radiation_w_m2k(1000.0), 121.3, 0.06);
        within(bar.radiation_w_m2k(1000.0) * 980.0 / 1000.0, 118.8, 0.06);
        within(bar.radiation_w_m2k(1200.0), 180.8, 0.06);
        within(bar.radiation_w_m2k(1200.0) * 1180.0 / 1000.0, 213.3, 0.06);
        within(bar.biot(1000.0), 0.033, 6e-4);
        within(Cooling::in_still_air(12.5).biot(1000.0), 0.067, 6e-4);
    }

    #[test]
    fn the_peak_is_integrated_well_computed() {
        // Against a plain midpoint sum of 400 000 steps over the whole way.
        let bar = Cooling::in_still_air(5.0);
        let mut sum = 0.0;
        for i in 0..400_000 {
            let t = 1200.0 - 1150.0 * (f64::from(i) + 0.5) / 400_000.0;
            let step = 1150.0 / 400_000.0;
            sum += 39.25 * heat_capacity_j_kgk(t) / (bar.transfer_w_m2k(t) * (t - 20.0)) * step;
        }
        near(bar.time_s(1200.0, 50.0), sum, 1e-6);
        // In pieces or at once.
        let pieces = bar.time_s(1200.0, 733.0) + bar.time_s(733.0, 50.0);
        near(pieces, bar.time_s(1200.0, 50.0), 1e-9);
    }

    #[test]
    fn there_and_back_computed() {
        let bar = Cooling::in_still_air(4.0);
        for to in [1150.0, 900.0, 740.0, 735.0, 731.0, 600.0, 100.0, 21.0] {
            within(bar.temperature_after_c(1200.0, bar.time_s(1200.0, to)), to, 1e-6);
        }
        let fire = Cooling { surroundings_c: 1250.0, ..bar };
        for to in [100.0, 735.0, 1100.0, 1249.0] {
            within(fire.temperature_after_c(20.0, fire.time_s(20.0, to)), to, 1e-6);
        }
        within(bar.temperature_after_c(1200.0, 1e9), 20.0, 1e-9);
        assert_eq!(bar.temperature_after_c(1200.0, 0.0), 1200.0);
        assert!(bar.temperature_after_c(1200.0, -1.0).is_nan());
        assert!(bar.time_s(800.0, 900.0).is_infinite());
        assert!(bar.time_s(800.0, 10.0).is_infinite());
        assert!(bar.time_s(f64::NAN, 10.0).is_nan());
    }

    #[test]
    fn fire_step_computed() {
        // EN 1993-1-2, 4.2.5.1 in the standard fire (reference, 3.6): gas temperature at the end of each step of 5 s.
        for (section, after) in [
            (200.0, [295.0, 555.8, 683.6, 734.4, 828.8, 942.0]),
            (100.0, [179.9, 394.9, 566.9, 677.7, 768.4, 938.2]),
        ] {
            let mut t = 20.0;
            for step in 1..=720_u32 {
                let gas: f64 = 20.0 + 345.0 * (8.0 * f64::from(step) / 12.0 + 1.0).log10();
                let radiated = 0.7 * 5.67e-8 * ((gas + 273.0).powi(4) - (t + 273.0_f64).powi(4));
                let flux = 25.0 * (gas - t) + radiated;
                t += section / (heat_capacity_j_kgk(t) * 7850.0) * flux * 5.0;
                for (minutes, want) in [5, 10, 15, 20, 30, 60].into_iter().zip(after) {
                    if step == minutes * 12 {
                        within(t, want, 0.06);
                    }
                }
            }
        }
    }
}
