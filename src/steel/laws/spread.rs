//! Spread under flat dies: how much of a squeeze goes into width instead of length.
//!
//! `S = ln(w1/w0) / ln(h0/h1)`: 0 is plane strain, 1 is no growth in length. The definition is algebra; the
//! coefficient of Tomlinson and Stringer is **from memory**: no source that could be opened prints it.

/// Bite over width beyond which Tomlinson and Stringer's parabola would bend down again (computed from its maximum).
pub(crate) const RATIO_LIMIT: f64 = 3.33;
/// Largest coefficient with the tool along the bar. Project figure, no source.
pub(crate) const ALONG_LIMIT: f64 = 0.75;

/// Spread coefficient across the bar between flat dies, plain number, after Tomlinson and Stringer 1959 (from memory).
///
/// `b_over_w`: length of bar under the die in one bite over the width of the bar; held to 0 .. 3.33. Trust it from
/// 0.25 to 2 and to squeezes of 30 %. NaN in, NaN out.
#[must_use]
pub(crate) fn open_die(b_over_w: f64) -> f64 {
    let x = b_over_w.clamp(0.0, RATIO_LIMIT);
    0.14 + 0.36 * x - 0.054 * x * x
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{near, prints};

    // Outside the project: constant volume alone fixes the limit 250000/1600, whatever the spread law says.
    #[test]
    fn square_to_square_ends_where_volume_says() {
        let (mut w, mut h, mut l) = (50.0, 50.0, 100.0);
        let table =
            [(53.539, 116.737), (44.218, 141.344), (41.403, 150.954), (40.477, 154.408), (40.163, 155.614)];
        let mut squeeze = |w: &mut f64, h: &mut f64| {
            let s = open_die(25.0 / *w);
            l *= (*h / 40.0).powf(1.0 - s);
            *w *= (*h / 40.0).powf(s);
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
}
