//! The tables of this room that are kept as CSV.

use serde::de::DeserializeOwned;

/// Every row of a table of ours.
pub(crate) fn read<T: DeserializeOwned>(text: &str) -> Vec<T> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows =
        reader.deserialize().map(|row| row.unwrap_or_else(|e| bug!("a table of steels is broken: {e}")));
    rows.collect()
}
