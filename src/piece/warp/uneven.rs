//! The hand: a bar that comes out of a step wavy, and is ground flat.
//!
//! Its layers rise and fall together, by a smooth random height over the face (Gaussian, by a sum of waves whose lengths are normal about
//! the one said: Shinozuka & Deodatis 1991, from memory; 95 % within the figure, what is beyond is held at it), and the grinder takes off
//! what stands out on both faces: of the thickness, the figure is lost on each side. A shear: every volume stays but for that.
//!
//! Left out: the two faces differ in truth, and hollows are squeezed too. The same seed gives the same hand on every machine.

use std::f64::consts::TAU;

use super::super::line::Point;

/// Waves that are summed (project figure).
const WAVES: usize = 48;
/// Places each way in which the height is looked at for sums: so many to the length from hill to hill, within these limits (project figures;
/// a wave shorter than a third of it is one in some hundred).
const PER_HILL: f64 = 3.0;
const PLACES: [f64; 2] = [16.0, 128.0];
/// How many heights are told apart, each of as many places.
const HEIGHTS: usize = 32;

/// An uneven step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uneven {
    /// What the grinder takes of the thickness in all, as a share.
    pub far: f64,
    /// From hill to hill, about, mm: heights so far apart have hardly to do with each other.
    pub over: f64,
    /// Which hand.
    pub seed: u64,
    /// Thickness, width and length before it is ground, mm.
    pub size: [f64; 3],
}

impl Uneven {
    /// The place in the thickness before, of one now where the layers lie so high.
    pub(crate) fn was(&self, now: f64, height: f64) -> f64 {
        now * (1.0 - self.far) + self.far * height
    }
}

/// It made ready to be asked of many points.
#[derive(Clone, Debug)]
pub struct Wavy {
    uneven: Uneven,
    /// Of each wave: its turns along and across, and where it begins, radians to the whole.
    waves: Vec<[f64; 3]>,
}

/// Numbers from a seed (splitmix64, Steele and others 2014), the same on every machine.
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

impl Wavy {
    /// Makes it ready.
    #[must_use]
    pub fn new(uneven: Uneven) -> Wavy {
        let [_, wide, long] = uneven.size;
        let mut numbers = Numbers(uneven.seed);
        let waves = (0..WAVES)
            .map(|_| {
                // Two normal numbers (Box and Muller 1958): the covariance is exp(-r^2 / (2 over^2)).
                let (far, turn) = ((-2.0 * (1.0 - numbers.next()).ln()).sqrt(), TAU * numbers.next());
                let (along, across) = (far * turn.cos(), far * turn.sin());
                [along * long / uneven.over, across * wide / uneven.over, TAU * numbers.next()]
            })
            .collect();
        Wavy { uneven, waves }
    }

    /// How high the layers lie at a place of the face, 0 to 1.
    fn height(&self, across: f64, along: f64) -> f64 {
        let wave =
            |[by_along, by_across, begins]: &[f64; 3]| (by_along * along + by_across * across + begins).cos();
        Self::of_waves(self.waves.iter().map(wave).sum())
    }

    /// Where what lies at a point now lay before.
    #[must_use]
    pub fn back(&self, [s, v, u]: Point) -> Point {
        [self.was(s, self.height(v, u)), v, u]
    }

    /// Where what lay at a point lies now; outside of the piece it was ground off.
    #[must_use]
    pub fn onward(&self, [s, v, u]: Point) -> Point {
        [(s - self.uneven.far * self.height(v, u)) / (1.0 - self.uneven.far), v, u]
    }

    /// The place in the thickness before, of one now where the layers lie so high.
    pub(crate) fn was(&self, now: f64, height: f64) -> f64 {
        self.uneven.was(now, height)
    }

    /// The height in the middle of the face.
    pub(crate) fn middle(&self) -> f64 {
        self.height(0.5, 0.5)
    }

    /// Places across and along in which heights are looked at: in all as many for each height that is told apart.
    fn places(&self) -> [usize; 2] {
        let [_, wide, long] = self.uneven.size;
        let [least, most] = PLACES;
        let places = |mm: f64| (PER_HILL * mm / self.uneven.over).clamp(least, most);
        let up = |places: f64, by: f64| ((places / by).ceil() * by) as usize;
        [up(places(wide), 4.0), up(places(long), 8.0)]
    }

    /// Heights that stand each for as much of the face.
    pub(crate) fn heights(&self) -> Vec<f64> {
        let [across, along] = self.places();
        let step = 1.0 / along as f64;
        let mut all = Vec::with_capacity(across * along);
        let mut row = vec![0.0; along];
        for i in 0..across {
            let v = (i as f64 + 0.5) / across as f64;
            row.fill(0.0);
            for [by_along, by_across, begins] in &self.waves {
                // From place to place a wave goes on by the same angle: two sines a row are enough.
                let (mut sin, mut cos) = (by_across * v + begins + by_along * step / 2.0).sin_cos();
                let (by_sin, by_cos) = (by_along * step).sin_cos();
                for height in &mut row {
                    *height += cos;
                    (sin, cos) = (sin * by_cos + cos * by_sin, cos * by_cos - sin * by_sin);
                }
            }
            all.extend(row.iter().map(|sum| Self::of_waves(*sum)));
        }
        all.sort_by(f64::total_cmp);
        all.chunks(all.len() / HEIGHTS).map(|some| some.iter().sum::<f64>() / some.len() as f64).collect()
    }

    /// The height that a sum of waves makes, 0 to 1: 95 % of a normal height lie within two sigma.
    fn of_waves(sum: f64) -> f64 {
        let sigma = sum * (2.0 / WAVES as f64).sqrt();
        (0.5 + sigma / 4.0).clamp(0.0, 1.0)
    }

    /// How much work its heights are, as places that a sum looks at.
    pub(crate) fn work(&self) -> usize {
        let [across, along] = self.places();
        across * along
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hand_is_as_uneven_as_said_and_the_same_for_the_same_seed() {
        let of = |seed: u64| Wavy::new(Uneven { far: 0.1, over: 15.0, seed, size: [6.0, 600.0, 900.0] });
        let wavy = of(7);
        let all: Vec<f64> = (0..200)
            .flat_map(|i| (0..200).map(move |j| (f64::from(i) / 200.0, f64::from(j) / 200.0)))
            .map(|(v, u)| wavy.height(v, u))
            .collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        let held = all.iter().filter(|h| **h <= 0.0 || **h >= 1.0).count() as f64 / all.len() as f64;
        assert!((mean - 0.5).abs() < 0.02 && (0.02..0.08).contains(&held), "{mean} {held}");
        assert_eq!(of(7).height(0.3, 0.4).to_bits(), wavy.height(0.3, 0.4).to_bits());
        assert_ne!(of(8).height(0.3, 0.4).to_bits(), wavy.height(0.3, 0.4).to_bits());
        // Covariance exp(-r^2 / (2 over^2)): e^(-1/2) of the whole a length apart, next to nothing three lengths apart.
        let with = |by: f64| {
            let pairs = (0..40_000).map(|i| {
                let (v, u) = (f64::from(i % 200) / 250.0, f64::from(i / 200) / 250.0);
                (wavy.height(v, u) - mean) * (wavy.height(v + by / 600.0, u) - mean)
            });
            pairs.sum::<f64>()
        };
        let (near, far) = (with(15.0) / with(0.0), with(45.0) / with(0.0));
        assert!((near - 0.607).abs() < 0.12 && far.abs() < 0.15, "{near} {far}");
    }
}
