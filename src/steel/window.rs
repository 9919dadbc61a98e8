//! Between which temperatures a steel is forged, by the handbook rows of `forging_temps.csv`.

use std::sync::OnceLock;

use serde::Deserialize;

use super::grades::Grade;

#[derive(Clone, Debug, Deserialize)]
struct Row {
    grades: String,
    carbon_percent: Option<f64>,
    carbon_percent_for_lowest: Option<f64>,
    highest_c: Option<f64>,
    lowest_c: Option<f64>,
}

fn rows() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let mut reader = csv::Reader::from_reader(include_str!("forging_temps.csv").as_bytes());
        reader.deserialize::<Row>().filter_map(Result::ok).collect()
    })
}

fn of(
    grade: &Grade,
    limit: impl Fn(&Row) -> Option<f64>,
    carbon: impl Fn(&Row) -> Option<f64>,
) -> Option<f64> {
    let named =
        rows().iter().find(|r| r.grades.split(';').any(|g| g.trim() == grade.name) && limit(r).is_some());
    if let Some(row) = named {
        return limit(row);
    }
    let mut points: Vec<(f64, f64)> = rows().iter().filter_map(|r| Some((carbon(r)?, limit(r)?))).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let c = grade.composition.c;
    let above = points.iter().position(|p| p.0 >= c);
    let (low, high) = match above {
        None => return points.last().map(|p| p.1),
        Some(0) => return points.first().map(|p| p.1),
        Some(i) => (*points.get(i - 1)?, *points.get(i)?),
    };
    Some(low.1 + (high.1 - low.1) * (c - low.0) / (high.0 - low.0).max(1e-12))
}

/// The highest temperature at which a steel is forged, C: its own row, else by carbon between the rows of
/// plain carbon steel (carried and from memory, see the table).
#[must_use]
pub fn highest_c(grade: &Grade) -> f64 {
    of(grade, |r| r.highest_c, |r| r.carbon_percent).unwrap_or(1150.0)
}

/// The lowest temperature at which a steel is still forged, C; likewise.
#[must_use]
pub fn lowest_c(grade: &Grade) -> f64 {
    of(grade, |r| r.lowest_c, |r| r.carbon_percent_for_lowest).unwrap_or(850.0)
}
