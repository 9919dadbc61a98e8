//! Spread under flat dies: how much of a squeeze goes into width instead of length.
//!
//! `S = ln(w1/w0) / ln(h0/h1)`: 0 is plane strain, 1 is no growth in length. The definition is algebra; the
//! coefficient of Tomlinson and Stringer is **from memory**: no source that could be opened prints it.

use crate::steel::catalogue::inputs::{at, must, or};
use crate::steel::catalogue::law::{Law, Mark};

/// Bite over width beyond which Tomlinson and Stringer's parabola would bend down again (computed from its maximum).
pub const RATIO_LIMIT: f64 = 3.33;
/// Largest coefficient with the tool along the bar. Project figure, no source.
pub const ALONG_LIMIT: f64 = 0.75;
/// Length of a tool laid along the bar where none is stated, mm. Project figure, no source.
pub const TOOL_LENGTH_MM: f64 = 40.0;
/// By how much published spread laws differ, as a share of the width gained. Own comparison of ten laws
/// on two passes (see `rolls`), not published.
pub const LAWS_DIFFER_BY: f64 = 0.30;

/// Spread coefficient across the bar between flat dies, plain number, after Tomlinson and Stringer 1959 (from memory).
///
/// `b_over_w`: length of bar under the die in one bite over the width of the bar; held to 0 .. 3.33. Trust it from
/// 0.25 to 2 and to squeezes of 30 %. NaN in, NaN out.
#[must_use]
pub fn open_die(b_over_w: f64) -> f64 {
    let x = b_over_w.clamp(0.0, RATIO_LIMIT);
    0.14 + 0.36 * x - 0.054 * x * x
}

/// Spread coefficient with the tool along the bar, plain number: what would be length is now width (project figure).
///
/// `b_over_length`: stated width of the tool over its length. At most 0.75. NaN in, NaN out.
#[must_use]
pub fn along(b_over_length: f64) -> f64 {
    (1.0 - open_die(b_over_length)).clamp(0.0, ALONG_LIMIT)
}

/// Width in mm after a squeeze from `h0_mm` to `h1_mm` with spread coefficient `s`.
#[must_use]
pub fn width_after_mm(w0_mm: f64, h0_mm: f64, h1_mm: f64, s: f64) -> f64 {
    w0_mm * (h0_mm / h1_mm).powf(s)
}

/// Length in mm after a squeeze from `h0_mm` to `h1_mm` with spread coefficient `s`.
#[must_use]
pub fn length_after_mm(l0_mm: f64, h0_mm: f64, h1_mm: f64, s: f64) -> f64 {
    l0_mm * (h0_mm / h1_mm).powf(1.0 - s)
}

/// Thickness in mm that brings the width from `w0_mm` to `w1_mm`; not finite where `s` is 0.
#[must_use]
pub fn thickness_for_width_mm(h0_mm: f64, w0_mm: f64, w1_mm: f64, s: f64) -> f64 {
    h0_mm * (-(w1_mm / w0_mm).ln() / s).exp()
}

/// Thickness in mm that brings the length from `l0_mm` to `l1_mm`; not finite where `s` is 1.
#[must_use]
pub fn thickness_for_length_mm(h0_mm: f64, l0_mm: f64, l1_mm: f64, s: f64) -> f64 {
    h0_mm * (-(l1_mm / l0_mm).ln() / (1.0 - s)).exp()
}

/// Spread coefficient that a measured squeeze shows, plain number; not finite where the thickness did not change.
#[must_use]
pub fn seen(w0_mm: f64, w1_mm: f64, h0_mm: f64, h1_mm: f64) -> f64 {
    (w1_mm / w0_mm).ln() / (h0_mm / h1_mm).ln()
}

/// The narrowest and widest width in mm that the published laws allow beside a computed one.
#[must_use]
pub fn width_band_mm(w0_mm: f64, w1_mm: f64) -> (f64, f64) {
    let doubt = LAWS_DIFFER_BY * (w1_mm - w0_mm).abs();
    (w1_mm - doubt, w1_mm + doubt)
}

const TOMLINSON: &str = "A. Tomlinson, J. D. Stringer, J. Iron Steel Inst. 193 (1959), about p. 157: citation and \
    constants from memory, not verified";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "spread-open-die",
        title: "spread coefficient between flat dies",
        formula: "S = 0.14 + 0.36 x - 0.054 x^2, x = bite/width held to 0 .. 3.33",
        inputs: &[
            must("bite", "mm", "length of bar under the die in one bite", 0.0, 1000.0),
            must("width", "mm", "width of the bar before the squeeze", 1.0, 1000.0),
        ],
        gives: "spread coefficient",
        unit: "",
        validity: "hot steel, bite/width 0.25 to 2, squeezes to about 30 % (engineering judgement); \
            the laws differ by about 30 % of the width gained",
        source: TOMLINSON,
        mark: Mark::Memory,
        eval: |i| open_die(at(i, 0) / at(i, 1)),
    },
    Law {
        name: "spread-along",
        title: "spread coefficient with the tool along the bar",
        formula: "S = 1 - S_open(tool width / tool length), at most 0.75",
        inputs: &[
            must("tool", "mm", "width of the tool", 0.0, 500.0),
            or("tool-length", "mm", "length of the tool", 1.0, 1000.0, TOOL_LENGTH_MM),
        ],
        gives: "spread coefficient",
        unit: "",
        validity: "peen, fuller or round die laid along the bar",
        source: "project figure, no source: Tomlinson and Stringer's law turned through a right angle",
        mark: Mark::Project,
        eval: |i| along(at(i, 0) / at(i, 1)),
    },
    Law {
        name: "spread-width",
        title: "width after a squeeze",
        formula: "w1 = w0 (h0/h1)^S",
        inputs: &[
            must("width", "mm", "width before", 0.1, 10_000.0),
            must("thickness", "mm", "thickness before", 0.1, 1000.0),
            must("to", "mm", "thickness after", 0.1, 1000.0),
            must("spread", "", "spread coefficient", 0.0, 1.0),
        ],
        gives: "width after",
        unit: "mm",
        validity: "any squeeze; the coefficient is where the doubt lies",
        source: "the definition of the coefficient, solved for the width",
        mark: Mark::Read,
        eval: |i| width_after_mm(at(i, 0), at(i, 1), at(i, 2), at(i, 3)),
    },
    Law {
        name: "spread-length",
        title: "length after a squeeze",
        formula: "l1 = l0 (h0/h1)^(1 - S)",
        inputs: &[
            must("length", "mm", "length before", 0.1, 100_000.0),
            must("thickness", "mm", "thickness before", 0.1, 1000.0),
            must("to", "mm", "thickness after", 0.1, 1000.0),
            must("spread", "", "spread coefficient", 0.0, 1.0),
        ],
        gives: "length after",
        unit: "mm",
        validity: "any squeeze; volume is kept exactly",
        source: "constant volume: Groover, Fundamentals of Modern Manufacturing, ch. 18, eq. 18.3",
        mark: Mark::Read,
        eval: |i| length_after_mm(at(i, 0), at(i, 1), at(i, 2), at(i, 3)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};

    // Computed: the reference's own table of the formula.
    #[test]
    fn coefficient_table_computed() {
        for (x, s) in [
            (0.25, 0.2266),
            (1.0 / 3.0, 0.2540),
            (0.5, 0.3065),
            (0.75, 0.3796),
            (1.0, 0.4460),
            (1.5, 0.5585),
            (2.0, 0.6440),
            (3.333, 0.7400),
        ] {
            prints(open_die(x), s, 4);
        }
    }

    // Computed: four bars of the reference.
    #[test]
    fn bars_computed() {
        for (w0, h0, l0, b, h1, s, w1, l1) in [
            (50.0, 50.0, 100.0, 25.0, 40.0, 0.3065, 53.539, 116.737),
            (40.0, 30.0, 150.0, 40.0, 24.0, 0.4460, 44.186, 169.738),
            (25.0, 25.0, 200.0, 50.0, 20.0, 0.6440, 28.864, 216.536),
            (50.0, 25.0, 100.0, 25.0, 20.0, 0.3065, 53.539, 116.737),
        ] {
            let got = open_die(b / w0);
            prints(got, s, 4);
            prints(width_after_mm(w0, h0, h1, got), w1, 3);
            prints(length_after_mm(l0, h0, h1, got), l1, 3);
        }
    }

    // Outside the project: constant volume alone fixes the limit 250000/1600, whatever the spread law says.
    #[test]
    fn square_to_square_ends_where_volume_says() {
        let (mut w, mut h, mut l) = (50.0, 50.0, 100.0);
        let table =
            [(53.539, 116.737), (44.218, 141.344), (41.403, 150.954), (40.477, 154.408), (40.163, 155.614)];
        let mut squeeze = |w: &mut f64, h: &mut f64| {
            let s = open_die(25.0 / *w);
            l = length_after_mm(l, *h, 40.0, s);
            *w = width_after_mm(*w, *h, 40.0, s);
            *h = 40.0;
            l
        };
        for (width, length) in table {
            let now = squeeze(&mut w, &mut h);
            prints(w, width, 3);
            prints(now, length, 3);
            std::mem::swap(&mut w, &mut h);
        }
        let mut last = 0.0;
        for _ in 0..60 {
            last = squeeze(&mut w, &mut h);
            std::mem::swap(&mut w, &mut h);
        }
        near(last, 250_000.0 / 1600.0, 1e-9);
    }

    // Computed: the clamp, the turned law, and the inverse forms.
    #[test]
    fn limits_and_inverses_computed() {
        near(open_die(9.0), open_die(RATIO_LIMIT), 1e-15);
        near(open_die(-1.0), 0.14, 1e-15);
        near(along(0.0), 0.75, 1e-15);
        near(along(12.0 / 40.0), 0.75, 1e-15);
        near(along(2.0), 0.356, 1e-12);
        let w1 = width_after_mm(40.0, 12.0, 9.0, 0.7);
        near(thickness_for_width_mm(12.0, 40.0, w1, 0.7), 9.0, 1e-12);
        near(seen(40.0, w1, 12.0, 9.0), 0.7, 1e-12);
        let l1 = length_after_mm(90.0, 12.0, 9.0, 0.7);
        near(thickness_for_length_mm(12.0, 90.0, l1, 0.7), 9.0, 1e-12);
        assert!(open_die(f64::NAN).is_nan() && along(f64::NAN).is_nan());
        let (low, high) = width_band_mm(50.0, 52.0);
        near(low, 51.4, 1e-12);
        near(high, 52.6, 1e-12);
    }
}
