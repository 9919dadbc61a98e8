//! The run as CSV: a row a step, mm and g.

use crate::piece::Cause;

use super::Page;
use super::table::shown_lot;

/// The run as CSV.
#[must_use]
pub fn run_csv(page: &Page) -> String {
    let mut rows = vec![
        "n,line,verb,piece,bars,thickness_mm,width_mm,length_mm,volume_mm3,mass_g,layers,bands,scale_g,kerf_g,ground_g,trimmed_g,heats"
            .split(',')
            .map(str::to_owned)
            .collect::<Vec<_>>(),
    ];
    for (index, planned) in page.plan.steps.iter().enumerate() {
        let mut row = vec![
            (index + 1).to_string(),
            page.files.line(planned.span).to_string(),
            planned.word.word.to_owned(),
            planned.piece.clone(),
        ];
        match shown_lot(page, index) {
            Some(lot) => {
                let (bar, makeup) = (&lot.bar, &page.build.bench.makeup);
                row.push(lot.count.to_string());
                row.extend(
                    [bar.calliper_thick(), bar.calliper_wide(), bar.long, bar.volume(), bar.mass]
                        .map(|v| v.to_string()),
                );
                row.push(makeup.layers(bar.node).to_string());
                row.push(crate::piece::bands(makeup, bar.node, bar.thick).to_string());
            }
            None => row.extend(vec![String::new(); 8]),
        }
        let ledger = &page.build.ledger;
        row.extend(
            [Cause::Scale, Cause::Kerf, Cause::Ground, Cause::Trimmed]
                .map(|cause| ledger.lost_in(index, cause).to_string()),
        );
        row.push(ledger.heats_in(index).to_string());
        rows.push(row);
    }
    write(&rows)
}

/// Rows as CSV text.
pub fn write(rows: &[Vec<String>]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        // Writing to memory does not fail; a row that did would be missing, and the caller's test would see it.
        let _ = writer.write_record(row);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}
