//! How fast a place in a quenched section cools, as the ideal round whose middle cools alike.
//!
//! Grossmann's construction: two places harden alike where they take as long to come half-way to the bath. The bar's
//! heat equation is solved by its series, a rectangle as the product of two slabs; H = h/(2 lambda), so that the Biot
//! number of a slab of thickness t is H t (exact). Constant properties, as in the construction.

use std::f64::consts::{LN_2, PI};

use crate::quantity::newton_between;

/// What a piece is quenched in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Medium {
    /// Oil that stands still.
    StillOil,
    /// Oil, the piece or the bath moved.
    MovedOil,
    /// A quench oil made to be fast, moved.
    FastOil,
    /// Still water.
    Water,
    /// Still brine.
    Brine,
    /// Still air.
    Air,
    /// Between metal plates.
    Plates,
}

/// A place in a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// The middle of the broad face, under any skin that lost its carbon.
    Surface,
    /// The middle.
    Middle,
}

/// Flats thinner than this boil moved oil harder, mm (the reference, 3.2).
const THIN_MM: f64 = 6.5;
/// Half of the stretch of times that is looked through, as a logarithm: a factor of a million.
const LONGEST: f64 = 13.8;
/// Terms of a slab's series: the surface of 100 mm in brine needs about ten.
const TERMS: usize = 16;
/// `alpha t / R^2` at which the middle of a round is half-way down in an ideal quench (exact, the reference 3.2).
const IDEAL: f64 = 0.200_524;
/// The square that cools as a round does has so much less side (computed there: 1.03 to 1.08).
pub(crate) const ROUND_AS_SQUARE: f64 = 1.055;

impl Medium {
    /// Whether it is oil.
    #[must_use]
    pub(crate) fn is_oil(self) -> bool {
        matches!(self, Medium::StillOil | Medium::MovedOil | Medium::FastOil)
    }

    /// Severity H, per inch, on a section of this thickness.
    ///
    /// Still oil 0.3 and water 1: a bearing supplier's note, read. Moved oil 0.5, fast oil 0.7, brine 2, air 0.02: Grossmann's
    /// table through a code, and from memory. Moved or fast oil on thin flats 1.0: the reference, project figure. Plates: no
    /// figure was found; they are taken as the fastest air of that table, 0.08.
    #[must_use]
    pub(crate) fn severity_per_in(self, thick_mm: f64) -> f64 {
        match self {
            Medium::MovedOil | Medium::FastOil if thick_mm < THIN_MM => 1.0,
            Medium::StillOil => 0.3,
            Medium::MovedOil => 0.5,
            Medium::FastOil => 0.7,
            Medium::Water => 1.0,
            Medium::Brine => 2.0,
            Medium::Air => 0.02,
            Medium::Plates => 0.08,
        }
    }
}

/// A slab's cooling: roots and weights of its series.
struct Slab {
    half_mm: f64,
    terms: [(f64, f64); TERMS],
}

impl Slab {
    /// A slab of this thickness, mm, under H per mm, seen at its middle or on its face.
    fn new(thick: f64, severity: f64, depth: Depth) -> Slab {
        let biot = severity * thick;
        let mut n = 0.0;
        let terms = [(); TERMS].map(|()| {
            // z tan z = Bi, one root in each stretch of pi.
            let from = n * PI;
            let guess = if n == 0.0 {
                (biot / (1.0 + 4.0 * biot / (PI * PI))).sqrt()
            } else {
                from + (biot / from).atan()
            };
            let z = newton_between(from, from + PI / 2.0, guess, 1e-12, |z| {
                let (sin, cos) = (z.sin().abs(), z.cos().abs());
                (z * sin - biot * cos, (1.0 + biot) * sin + z * cos)
            });
            n += 1.0;
            let weight = 4.0 * z.sin() / (2.0 * z + (2.0 * z).sin());
            (z * z, if depth == Depth::Middle { weight } else { weight * z.cos() })
        });
        Slab { half_mm: 0.5 * thick, terms }
    }

    /// The logarithm of what is left of the temperature above the bath, after `alpha t` in mm2, and its slope over that of the time.
    fn left(&self, diffused: f64) -> (f64, f64) {
        let fourier = diffused / (self.half_mm * self.half_mm);
        let (mut left, mut slope) = (0.0, 0.0);
        for (root, weight) in self.terms {
            let now = weight * (-root * fourier).exp();
            (left, slope) = (left + now, slope - root * fourier * now);
        }
        let left = f64::max(left, f64::MIN_POSITIVE);
        (left.ln(), slope / left)
    }
}

/// Diameter of the ideally quenched round whose middle cools like this place of a rectangle, mm.
#[must_use]
pub fn ideal_round_mm([thick, wide]: [f64; 2], severity_per_in: f64, depth: Depth) -> f64 {
    let severity = severity_per_in / 25.4;
    let (across, along) = (Slab::new(thick, severity, depth), Slab::new(wide, severity, Depth::Middle));
    let gone = |log: f64| {
        let ((a, slope), (b, other)) = (across.left(log.exp()), along.left(log.exp()));
        (-(a + b + LN_2), -(slope + other))
    };
    let size = 2.0 * thick.ln();
    let [face, middle] = about_rounds_mm([thick, wide], severity_per_in);
    let about = if depth == Depth::Middle { middle } else { face };
    let guess = (IDEAL * about * about / 4.0).ln();
    let half = newton_between(size - LONGEST, size + LONGEST, guess, 1e-12, gone);
    2.0 * (half.exp() / IDEAL).sqrt()
}

/// The same rounds for surface and middle in closed form, within 10 % of the series (tests/oracle, quench.csv): for what a run of sizes
/// hangs on. Flat and round by the reference, 3.2; between them, and at the face, own fit.
#[must_use]
pub fn about_rounds_mm([a, b]: [f64; 2], severity_per_in: f64) -> [f64; 2] {
    let (thick, wide) = (a.min(b) / 25.4, a.max(b) / 25.4);
    let round = ROUND_AS_SQUARE * thick;
    let square = round * round + 1.729 * round / severity_per_in;
    let flat = 1.889 * thick * thick + 3.457 * thick / severity_per_in;
    let (biot, ratio) = (severity_per_in * thick, thick / wide);
    let middle = flat + (square - flat) * ratio;
    let surface = middle / (1.0 + 0.6 * biot * (1.0 + (1.0 - 0.6 * ratio) * biot));
    [surface, middle].map(|square| 25.4 * square.sqrt())
}

/// Ideal round against distance from the end of an end-quenched bar: both in mm (ASTM A255, table 9, through
/// a code; between the rows straight lines).
const END_QUENCH: [(f64, f64); 17] = [
    (0.0, 0.0),
    (1.0, 8.4),
    (3.0, 22.9),
    (5.0, 36.3),
    (7.0, 48.2),
    (9.0, 59.5),
    (11.0, 68.6),
    (13.0, 76.4),
    (15.0, 84.0),
    (17.0, 90.1),
    (19.0, 97.1),
    (21.0, 103.7),
    (25.0, 114.9),
    (29.0, 124.7),
    (35.0, 137.1),
    (41.0, 148.3),
    (49.0, 160.5),
];

/// Place on the end-quenched bar that cools like the middle of an ideal round, mm from the end; the last row beyond it.
#[must_use]
pub(crate) fn end_quench_mm(ideal_round_mm: f64) -> f64 {
    let rows = END_QUENCH.iter().zip(END_QUENCH.iter().skip(1));
    let within = rows.into_iter().find(|(_, (_, to))| ideal_round_mm <= *to);
    match within {
        Some(((j, from), (next, to))) => j + (next - j) * (ideal_round_mm - from) / (to - from),
        None => 49.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    fn round_mm(diameter: f64, h: f64, depth: Depth) -> f64 {
        ideal_round_mm([diameter / ROUND_AS_SQUARE; 2], h, depth)
    }

    #[test]
    fn exact_critical_diameters() {
        // The reference, 3.2, solved there for a cylinder, mm; here as the square that cools alike: within 4 %.
        for (ideal, h, critical) in [
            (25.4, 0.36, 5.07),
            (25.4, 1.0, 11.5),
            (25.4, 2.0, 16.4),
            (50.8, 0.36, 18.3),
            (50.8, 1.0, 32.8),
            (101.6, 0.36, 56.7),
            (101.6, 1.0, 80.6),
        ] {
            within(round_mm(critical, h, Depth::Middle), ideal, 0.04 * ideal);
        }
        // Its closed form for a wide flat, inches: DI^2 = 1.889 t^2 + 3.457 t/H, error under 1 %.
        for (t, h) in [(0.2, 0.3), (0.5, 0.5), (1.0, 1.0), (2.0, 1.0)] {
            let closed: f64 = 1.889 * t * t + 3.457 * t / h;
            let got = ideal_round_mm([25.4 * t, 25_400.0], h, Depth::Middle) / 25.4;
            within(got, closed.sqrt(), 0.02 * got);
        }
    }

    #[test]
    fn places_on_the_end_quenched_bar() {
        // The reference, 3.5, computed there for rounds: surface and middle, mm from the end. The middle of a square's face
        // cools slower than a round's surface: 20 % are left to it.
        for (d, h, surface, middle) in [
            (12.7, 0.36, 5.4, 5.8),
            (25.4, 0.36, 8.0, 9.4),
            (50.8, 0.36, 12.4, 18.1),
            (25.4, 1.0, 4.0, 5.9),
            (50.8, 1.0, 4.9, 11.5),
        ] {
            let at = |depth| end_quench_mm(round_mm(d, h, depth));
            within(at(Depth::Surface), surface, 0.2 * surface);
            within(at(Depth::Middle), middle, 0.05 * middle);
        }
        // A bearing supplier's note, read: 12.5 mm on the end-quenched bar is a 75 mm round in an ideal quench.
        within(end_quench_mm(75.0), 12.5, 0.3);
    }

    #[test]
    fn faces_cool_first_and_thick_bars_last() {
        for h in [0.02, 0.3, 1.0, 5.0] {
            let both = |t: f64| [Depth::Surface, Depth::Middle].map(|d| ideal_round_mm([t, 40.0], h, d));
            let all: Vec<[f64; 2]> = [1.0, 4.0, 10.0, 30.0, 60.0].map(both).to_vec();
            assert!(all.iter().all(|[surface, middle]| surface < middle), "{all:?}");
            assert!(all.windows(2).all(|w| w[0][1] < w[1][1]), "{all:?}");
        }
    }
}
