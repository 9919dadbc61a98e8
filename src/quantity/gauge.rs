//! Gauges of steel sheet.

/// The Manufacturers' Standard Gauge of uncoated steel sheet, inches as they are listed: from memory, and rounded to a tenth of a thousandth.
/// Other gauges (wire, stainless, other metals) have other figures.
const SHEET: &[(u32, &str)] = &[
    (3, "0.2391"),
    (4, "0.2242"),
    (5, "0.2092"),
    (6, "0.1943"),
    (7, "0.1793"),
    (8, "0.1644"),
    (9, "0.1495"),
    (10, "0.1345"),
    (11, "0.1196"),
    (12, "0.1046"),
    (13, "0.0897"),
    (14, "0.0747"),
    (15, "0.0673"),
    (16, "0.0598"),
    (17, "0.0538"),
    (18, "0.0478"),
    (19, "0.0418"),
    (20, "0.0359"),
    (21, "0.0329"),
    (22, "0.0299"),
    (23, "0.0269"),
    (24, "0.0239"),
    (25, "0.0209"),
    (26, "0.0179"),
];

/// The thickness of steel sheet of a gauge, inches as one would write them.
#[must_use]
pub fn sheet(gauge: u32) -> Option<&'static str> {
    SHEET.iter().find(|(number, _)| *number == gauge).map(|(_, inches)| *inches)
}

#[cfg(test)]
mod tests {
    use super::{SHEET, sheet};

    /// The gauge is set by weight, at 41.82 lb a square foot to an inch of thickness (from memory): sixteen gauge weighs 2.5 lb a
    /// square foot, so 2.5 / 41.82 = 0.0598 in.
    #[test]
    fn a_gauge_is_a_weight() {
        for (gauge, lb) in [(10, 5.625), (12, 4.375), (14, 3.125), (16, 2.5), (18, 2.0), (20, 1.5), (24, 1.0)]
        {
            let inches: f64 = sheet(gauge).unwrap().parse().unwrap();
            assert!((inches - lb / 41.82).abs() < 6e-5, "{gauge}");
        }
        let thickness = |row: &(u32, &str)| row.1.parse::<f64>().unwrap();
        assert!(SHEET.windows(2).all(|two| thickness(&two[0]) > thickness(&two[1]) && two[0].0 < two[1].0));
    }
}
