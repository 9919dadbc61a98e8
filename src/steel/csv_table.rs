//! The tables of this room that are kept as CSV.

use csv::StringRecord;
use serde::de::DeserializeOwned;

/// A row of a table of ours.
pub(crate) struct Row<'a> {
    columns: &'a StringRecord,
    cells: &'a StringRecord,
}

impl Row<'_> {
    /// The cell of a column.
    pub(crate) fn cell(&self, column: &str) -> &str {
        let of = |(name, cell)| (name == column).then_some(cell);
        match self.columns.iter().zip(self.cells).find_map(of) {
            Some(cell) => cell,
            None => bug!("a table of steels has no column `{column}`"),
        }
    }
}

/// Every row of a table of ours, by its cells: cheaper where a run begins with it.
pub(crate) fn rows<T>(text: &str, of: impl Fn(&Row) -> T) -> Vec<T> {
    let broken = |e: csv::Error| -> ! { bug!("a table of steels is broken: {e}") };
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let columns = reader.headers().cloned().unwrap_or_else(|e| broken(e));
    let (mut cells, mut rows) = (StringRecord::new(), Vec::new());
    while reader.read_record(&mut cells).unwrap_or_else(|e| broken(e)) {
        rows.push(of(&Row { columns: &columns, cells: &cells }));
    }
    rows
}

/// Every row of a table of ours.
pub(crate) fn read<T: DeserializeOwned>(text: &str) -> Vec<T> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows =
        reader.deserialize().map(|row| row.unwrap_or_else(|e| bug!("a table of steels is broken: {e}")));
    rows.collect()
}
