//! The table of forging temperatures, `forging_temps.csv` beside this file, read once.

use std::sync::OnceLock;

use serde::Deserialize;

use crate::steel::csv_table;
use crate::steel::mark::Mark;

/// One row of the table: temperatures in C, `None` where the source has none. Its columns of sources and notes
/// are for who reads the table itself.
#[derive(Debug, Deserialize)]
pub(crate) struct Row {
    /// What the row is about, as its source calls it.
    pub material: String,
    /// Short names of the steels that the row is used for, with `; ` between; may be empty.
    pub grades: String,
    /// Carbon, %, where the row is a step of the ladder by carbon.
    pub carbon_percent: Option<f64>,
    /// Carbon, %, where its lowest temperature is a step of the ladder by carbon.
    pub carbon_percent_for_lowest: Option<f64>,
    /// Forging is begun no colder than this.
    pub start_min_c: Option<f64>,
    /// The highest temperature to forge at.
    pub highest_c: Option<f64>,
    /// Do not forge below this.
    pub lowest_c: Option<f64>,
    /// The steel burns at this.
    pub burning_c: Option<f64>,
    /// How far to trust the row, as a word.
    mark: String,
    /// How far to trust the burning temperature, as a word; may be empty.
    burning_mark: String,
}

impl Row {
    /// Whether the row is used for the steel of this short name.
    pub(crate) fn serves(&self, name: &str) -> bool {
        self.grades.split(';').any(|g| g.trim() == name)
    }

    /// How far to trust the row.
    pub(crate) fn mark(&self) -> Mark {
        Mark::named(&self.mark)
    }

    /// How far to trust its burning temperature.
    pub(crate) fn burning_mark(&self) -> Mark {
        Mark::named(&self.burning_mark)
    }
}

const TABLE: &str = include_str!("forging_temps.csv");

/// Every row, in the order of the table.
pub(crate) fn rows() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| csv_table::read(TABLE))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::grades;

    #[test]
    fn every_row_is_read() {
        // 39 rows in the reference, section 10.2.
        assert_eq!(rows().len(), 39);
        assert_eq!(rows().len(), TABLE.trim().lines().count() - 1);
        for row in rows() {
            let known = ["read", "carrier", "memory"];
            assert!(known.contains(&row.mark.as_str()), "{}", row.material);
            let burns = row.burning_c.is_some();
            assert_eq!(burns, known.contains(&row.burning_mark.as_str()));
        }
        for row in csv_table::read::<std::collections::BTreeMap<String, String>>(TABLE) {
            assert!(!row["source"].is_empty() && !row["source"].contains("://"), "{row:?}");
        }
    }

    #[test]
    fn fahrenheit_in_the_notes() {
        // The sources print F; their figures stand in the notes, so a slip in conversion shows here.
        for (material, f) in [("SAE 5160", 2200.0), ("AISI D2", 1950.0), ("nickel", 2003.0)] {
            let row = rows().iter().find(|r| r.material == material);
            let c = row.and_then(|r| r.highest_c).unwrap_or(f64::NAN);
            assert!((c - (f - 32.0) / 1.8).abs() < 1.0, "{material} {c}");
        }
    }

    #[test]
    fn steels_named_exist_and_have_one_row() {
        for row in rows() {
            for name in row.grades.split(';').map(str::trim).filter(|n| !n.is_empty()) {
                let grade = grades::find(name).map(|g| g.name.as_str());
                assert_eq!(grade, Some(name));
                assert_eq!(rows().iter().filter(|r| r.serves(name)).count(), 1, "{name}");
            }
        }
    }
}
