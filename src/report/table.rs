//! Tables, and which bars of a step they show.

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};

use crate::forge::Form;
use crate::piece::{Lot, LotId};
use crate::replay::StepDone;

use super::Page;
use super::fold::{HARD, columns, glued, words};

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

/// Blanks between two columns.
const GAP: usize = 2;
/// Words beside figures are not folded narrower than this: rows are told in lines then.
const ROOM: usize = 32;

/// A table with its head and nothing drawn; the columns from `right` on are figures, which stay on one line.
///
/// Where it is wider than the page, words are folded; where even that does not fit, each row is told in lines.
pub fn table<H: ToString>(
    head: impl IntoIterator<Item = H>,
    rows: impl IntoIterator<Item = Vec<String>>,
    right: usize,
    wide: usize,
) -> String {
    let head: Vec<String> = head.into_iter().map(|h| h.to_string()).collect();
    let rows: Vec<Vec<String>> =
        rows.into_iter().map(|row| row.iter().map(|cell| glued(cell)).collect()).collect();
    let column = |i: usize| rows.iter().filter_map(move |row| row.get(i));
    let widest = |words: &mut dyn Iterator<Item = &str>| words.map(columns).max().unwrap_or(0);
    // The least that a column can do with: a figure's own width, of words the longest.
    let figures = right < head.len();
    let least = |(i, head): (usize, &String)| {
        let cells = if i >= right {
            widest(&mut column(i).map(String::as_str))
        } else {
            let room = if figures { widest(&mut column(i).map(String::as_str)).min(ROOM) } else { 0 };
            widest(&mut column(i).flat_map(|cell| cell.split(' '))).max(room)
        };
        cells.max(widest(&mut head.split_whitespace()))
    };
    let least: Vec<usize> = head.iter().enumerate().map(least).collect();
    if least.iter().map(|w| w + GAP).sum::<usize>() > wide + GAP {
        return told(&head, &rows, right, wide);
    }
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    if head.iter().any(|h| !h.is_empty()) {
        table.set_header(&head);
    }
    table.add_rows(&rows);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(u16::try_from(wide + GAP).unwrap_or(u16::MAX));
    for ((i, column), least) in table.column_iter_mut().enumerate().zip(least) {
        column.set_padding((0, 2));
        let least = Width::Fixed(u16::try_from(least + GAP).unwrap_or(u16::MAX));
        column.set_constraint(ColumnConstraint::LowerBoundary(least));
        if i >= right {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table.lines().map(|line| line.trim_end().replace(HARD, " ") + "\n").collect()
}

/// Rows as lines: the words in front, then each figure behind its head; where all are words, the first stands in front.
fn told(head: &[String], rows: &[Vec<String>], right: usize, wide: usize) -> String {
    const DEEP: &str = "    ";
    let front = if right >= head.len() { 1 } else { right.max(1) };
    let line = |row: &Vec<String>| {
        let first: Vec<&str> =
            row.iter().take(front).map(String::as_str).filter(|cell| !cell.is_empty()).collect();
        let mut rest: Vec<String> = Vec::new();
        for (head, cell) in head.iter().zip(row).skip(front).filter(|(_, cell)| !cell.is_empty()) {
            match rest.last_mut() {
                // What has no head of its own belongs to the figure before it.
                Some(last) if head.is_empty() => *last += &format!(", {cell}"),
                _ if head.is_empty() => rest.push(cell.clone()),
                _ => rest.push(format!("{head} {cell}")),
            }
        }
        let whole =
            |told: String| if columns(&told) + DEEP.len() < wide { told.replace(' ', HARD) } else { told };
        let rest: Vec<String> = rest.into_iter().map(whole).collect();
        let mut lines = words(&first.join("  "), wide, "", DEEP);
        lines.extend(
            words(&rest.join("; "), wide, DEEP, DEEP).into_iter().map(|line| line.replace(HARD, " ")),
        );
        lines.into_iter().map(|line| line + "\n").collect::<String>()
    };
    rows.iter().map(line).collect()
}

/// The same behind a blank line; nothing where there is no row.
pub fn section(head: &[&str], rows: Vec<Vec<String>>, right: usize, wide: usize) -> String {
    if rows.is_empty() { String::new() } else { format!("\n{}", table(head, rows, right, wide)) }
}
