//! Tables, and which bars of a step they show.

use comfy_table::{CellAlignment, Table, presets};

use crate::forge::Form;
use crate::piece::{Lot, LotId};
use crate::replay::StepDone;

use super::Page;

/// The lot that stands for a step: the piece that it names, or the first that it makes.
pub fn step_lot(page: &Page, index: usize) -> Option<LotId> {
    let planned = page.plan.steps.get(index)?;
    if page.build.done.get(index) != Some(&StepDone::Done) {
        return None;
    }
    if planned.word.form == Form::Tests {
        return planned.takes.first().copied();
    }
    let named = |l: &&LotId| page.plan.ground.lot_name(**l) == planned.piece;
    let shelf = |l: &&LotId| !page.plan.ground.lots[**l].racked;
    let given = || planned.gives.iter().filter(shelf);
    given().find(named).or_else(|| given().next()).copied()
}

/// The bars that stand for a step.
pub fn shown_lot<'a>(page: &Page<'a>, index: usize) -> Option<&'a Lot> {
    page.build.lot(step_lot(page, index)?)
}

/// A table with a line under its head and nothing else drawn; the columns from `right` on are figures.
pub fn table<H: ToString>(
    head: impl IntoIterator<Item = H>,
    rows: impl IntoIterator<Item = Vec<String>>,
    right: usize,
) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(head);
    table.add_rows(rows);
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 2));
        if i >= right {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table.lines().map(|line| line.trim_end().to_owned() + "\n").collect()
}

/// The same behind a blank line; nothing where there is no row.
pub fn section(head: &[&str], rows: Vec<Vec<String>>, right: usize) -> String {
    if rows.is_empty() { String::new() } else { format!("\n{}", table(head, rows, right)) }
}
