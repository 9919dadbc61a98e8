//! A measured table of flow stress over temperature and rate, and what lies between its entries.

/// A table of flow stress: one row a temperature, one column a rate. Both axes rise.
pub struct Table {
    /// Temperatures of the rows, C.
    pub temps_c: &'static [f64],
    /// Rates of the columns, 1/s.
    pub rates_per_s: &'static [f64],
    /// Flow stresses, MPa, row by row.
    pub rows_mpa: &'static [&'static [f64]],
}

impl Table {
    /// Flow stress in MPa: straight between temperatures and between logarithms of the rate.
    ///
    /// NaN outside the table: what was not measured is not guessed.
    #[must_use]
    pub(crate) fn at_mpa(&self, temp_c: f64, rate_per_s: f64) -> f64 {
        self.find(temp_c, rate_per_s).unwrap_or(f64::NAN)
    }

    fn find(&self, temp_c: f64, rate_per_s: f64) -> Option<f64> {
        let (row, down) = gap(self.temps_c, temp_c, |x| x)?;
        let (column, across) = gap(self.rates_per_s, rate_per_s, f64::ln)?;
        let in_row = |row: usize| {
            let entries = self.rows_mpa.get(row)?;
            Some(mix(*entries.get(column)?, *entries.get(column + 1)?, across))
        };
        Some(mix(in_row(row)?, in_row(row + 1)?, down))
    }
}

fn mix(from: f64, to: f64, share: f64) -> f64 {
    from + (to - from) * share
}

/// The pair of neighbours on a rising axis that holds `x`, and how far along it lies on the given scale.
fn gap(axis: &[f64], x: f64, scale: fn(f64) -> f64) -> Option<(usize, f64)> {
    axis.windows(2).enumerate().find_map(|(place, pair)| match pair {
        [low, high] if (*low..=*high).contains(&x) => {
            Some((place, (scale(x) - scale(*low)) / (scale(*high) - scale(*low))))
        }
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::near;

    const SMALL: Table = Table {
        temps_c: &[900.0, 1000.0],
        rates_per_s: &[0.1, 10.0],
        rows_mpa: &[&[40.0, 80.0], &[20.0, 50.0]],
    };

    // Algebra: corners, the middle of each side, the middle; nothing outside.
    #[test]
    fn between_and_beyond() {
        near(SMALL.at_mpa(900.0, 0.1), 40.0, 1e-12);
        near(SMALL.at_mpa(1000.0, 10.0), 50.0, 1e-12);
        near(SMALL.at_mpa(900.0, 1.0), 60.0, 1e-12);
        near(SMALL.at_mpa(950.0, 1.0), 47.5, 1e-12);
        for (temp, rate) in [(899.0, 1.0), (1001.0, 1.0), (950.0, 0.05), (950.0, 11.0), (f64::NAN, 1.0)] {
            assert!(SMALL.at_mpa(temp, rate).is_nan());
        }
    }
}
