//! Flow stress of a layered bar from that of its steels.
//!
//! Welded layers that are pressed together thin alike, so each carries its share: the rule of mixtures, Voigt's upper
//! bound (textbook standard, from memory).

/// Mean flow stress in MPa of layers with volume shares `shares` (any scale) and flow stresses `stresses_mpa`.
///
/// Pairs are taken as far as the shorter list goes. NaN where there is none, or where the shares come to nothing.
#[must_use]
pub fn mean_layered(shares: &[f64], stresses_mpa: &[f64]) -> f64 {
    mean_of_pairs(shares.iter().copied().zip(stresses_mpa.iter().copied()))
}

/// The same from pairs of share and stress in MPa, without any list.
#[must_use]
pub fn mean_of_pairs(pairs: impl Iterator<Item = (f64, f64)>) -> f64 {
    let (mut sum, mut whole) = (0.0, 0.0);
    for (share, stress_mpa) in pairs {
        sum += share * stress_mpa;
        whole += share;
    }
    sum / whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::near;

    // Algebra: equal stresses stay, shares need not add up to 1, one layer is itself.
    #[test]
    fn rule_of_mixtures() {
        near(mean_layered(&[0.25, 0.75], &[100.0, 60.0]), 70.0, 1e-12);
        near(mean_layered(&[1.0, 3.0], &[100.0, 60.0]), 70.0, 1e-12);
        near(mean_layered(&[0.4], &[82.0]), 82.0, 1e-12);
        assert!(mean_layered(&[], &[]).is_nan());
    }
}
