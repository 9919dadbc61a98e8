//! What fire and quench leave in a bar besides its sizes: how far its carbon has travelled, and how hard it is.

use super::axis::Axis;
use crate::steel::laws::quench::Medium;

/// Hardened, and perhaps tempered since.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hard {
    /// Quenched from, °C.
    pub from_c: f64,
    /// The hottest temper since, °C, and the hours at it; none yet at 0 hours.
    pub temper_c: f64,
    /// Hours at that temper in all.
    pub hours: f64,
    /// How far tempering has given its growth back, 0 to 1 of the first stage.
    pub given_back: f64,
    /// In what.
    pub medium: Medium,
    /// Thickness and width in that quench, mm.
    pub section: [f64; 2],
}

/// The past of a bar since it was stock or was last put together from parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Past {
    /// Along thickness, width and length: carbon's diffusivity over the square of the stretch, summed over
    /// time in the fire, mm2. Divided by the square of a layer as it was laid, it is that layer's `Fo`.
    pub spent: [f64; 3],
    /// How far each size was forged, as a factor; what was burnt, sawn or ground off does not count.
    pub stretch: [f64; 3],
    /// How deep the broad faces, and the edges, have lost half of their carbon, mm: an estimate.
    pub lost: [f64; 2],
    /// Hardened or not.
    pub hard: Option<Hard>,
    /// Density over that of the soft steel: hardened steel takes more room.
    pub light: f64,
    /// Whether its ends are as the forging left them: no plain end, with fishtails and laps.
    pub rough: bool,
}

impl Past {
    /// Of fresh stock, or a fresh pile.
    pub const NONE: Past =
        Past { spent: [0.0; 3], stretch: [1.0; 3], lost: [0.0; 2], hard: None, light: 1.0, rough: false };

    /// The same past told along other axes: `of` says for each of them which it was. Ends are told no skin, as the saw leaves them.
    #[must_use]
    pub fn along(self, of: impl Fn(Axis) -> Axis) -> Past {
        let told = |sizes: [f64; 3]| Axis::each(|axis| of(axis).of(sizes));
        let [faces, edges] = self.lost;
        let [faces, edges, _] = told([faces, edges, 0.0]);
        Past { spent: told(self.spent), stretch: told(self.stretch), lost: [faces, edges], ..self }
    }

    /// Adds time in the fire: `d_mm2` is diffusivity times time for a bar that does not change, `seen` what part of
    /// it each axis saw as it was forged meanwhile, `stretch` how far each was forged.
    pub fn soak(&mut self, d_mm2: f64, seen: [f64; 3], stretch: [f64; 3]) {
        let sums = self.spent.iter_mut().zip(&mut self.stretch);
        for ((spent, so_far), (seen, more)) in sums.zip(seen.into_iter().zip(stretch)) {
            *spent += d_mm2 * seen / (*so_far * *so_far);
            *so_far *= more;
        }
    }

    /// Takes off the skin that has lost carbon what goes off the faces and the edges, mm.
    pub fn strip(&mut self, off: [f64; 2]) {
        for (lost, off) in self.lost.iter_mut().zip(off) {
            *lost = (*lost - off).max(0.0);
        }
    }
}
