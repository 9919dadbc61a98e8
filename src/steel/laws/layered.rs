//! Flow stress of a layered bar from that of its steels.
//!
//! Welded layers that are pressed together thin alike, so each carries its share: the rule of mixtures, Voigt's upper
//! bound (textbook standard, from memory).

/// Mean flow stress in MPa of layers, from pairs of their share of the volume (any scale) and flow stress in MPa. NaN where
/// there is none, or where the shares come to nothing.
#[must_use]
pub(crate) fn mean_of_pairs(pairs: impl Iterator<Item = (f64, f64)>) -> f64 {
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
    use crate::steel::testing::near;

    // Algebra: equal stresses stay, shares need not add up to 1, one layer is itself.
    #[test]
    fn rule_of_mixtures() {
        near(mean_of_pairs([(0.25, 100.0), (0.75, 60.0)].into_iter()), 70.0, 1e-12);
        near(mean_of_pairs([(1.0, 100.0), (3.0, 60.0)].into_iter()), 70.0, 1e-12);
        near(mean_of_pairs([(0.4, 82.0)].into_iter()), 82.0, 1e-12);
        assert!(mean_of_pairs([].into_iter()).is_nan());
    }
}
