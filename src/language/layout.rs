//! Rows of a formatted file, and the columns that run through them.

use super::grammar::Rule;

/// Rows longer than this do not push the comments of their neighbours further out, characters (project figure).
const WIDEST: usize = 76;

/// One line of the formatted file.
#[derive(Debug, Default)]
pub struct Row {
    /// Blocks around it.
    depth: usize,
    /// Whether an empty line stands before it.
    blank: bool,
    /// Its words.
    pub text: String,
    /// The comment behind them, or alone.
    pub comment: Option<String>,
    /// Whether it opens or closes a block.
    pub block: bool,
    /// Whether it goes on from the row before.
    pub goes_on: bool,
    /// Whether it begins with the bracket that closes.
    pub closes: bool,
    /// What it is lined up with, and where its column begins.
    column: Option<(String, usize)>,
    first_word: String,
}

impl Row {
    /// An empty row.
    pub fn new(depth: usize, blank: bool) -> Row {
        Row { depth, blank, ..Row::default() }
    }

    /// Adds a word. What is lined up: the `=` of like lines, what stands behind a shop's entry, and behind what a target tests.
    pub fn word(&mut self, rule: Option<Rule>, path: &[Rule], text: &str, first: bool) {
        let line = path.first().copied();
        if first {
            text.clone_into(&mut self.first_word);
        } else if self.column.is_none() && !self.goes_on {
            let bound = rule == Some(Rule::equals)
                && matches!(
                    line,
                    Some(Rule::let_line | Rule::steel_line | Rule::stock_line | Rule::stack_line)
                );
            let entry = line == Some(Rule::shop_line);
            let tested = line == Some(Rule::target_line)
                && path.iter().any(|r| matches!(r, Rule::wanted | Rule::zone));
            if bound || entry || tested {
                let group = match line {
                    Some(Rule::shop_line) => "shop".to_owned(),
                    Some(Rule::target_line) => "target".to_owned(),
                    _ => self.first_word.clone(),
                };
                self.column = Some((group, self.text.len()));
            }
        }
        self.text += text;
    }

    fn indent(&self) -> usize {
        2 * (self.depth + usize::from(self.goes_on && !self.closes))
    }
}

fn width(text: &str) -> usize {
    text.chars().count()
}

/// The rows as text, columns in line.
pub fn laid_out(rows: &[Row], line_end: &str) -> String {
    let mut made = String::new();
    let joins = |a: &Row, b: &Row| a.depth == b.depth && !a.block && !b.block && !b.blank;
    for rows in rows.chunk_by(joins) {
        paragraph(rows, line_end, &mut made);
    }
    made
}

/// Rows that are lined up with each other.
fn paragraph(rows: &[Row], line_end: &str, made: &mut String) {
    let mut texts: Vec<String> = rows.iter().map(|r| r.text.clone()).collect();
    let mut run: Vec<usize> = Vec::new();
    let mut group: Option<&str> = None;
    for (i, row) in rows.iter().enumerate() {
        // Comments and rows that go on do not part a column; other rows do.
        if row.goes_on || row.text.is_empty() {
            continue;
        }
        let own = row.column.as_ref().map(|(group, _)| group.as_str());
        if own != group {
            lined_up(rows, &run, &mut texts);
            run.clear();
            group = own;
        }
        run.push(i);
    }
    lined_up(rows, &run, &mut texts);
    let length = |row: &Row, text: &str| row.indent() + width(text);
    let commented = rows.iter().zip(&texts).filter(|(r, _)| r.comment.is_some() && !r.text.is_empty());
    let column = commented.map(|(r, t)| length(r, t)).filter(|l| *l <= WIDEST).max().unwrap_or(0) + 2;
    for (row, text) in rows.iter().zip(&texts) {
        if row.blank {
            *made += line_end;
        }
        *made += &" ".repeat(row.indent());
        *made += text;
        if let Some(comment) = &row.comment {
            if !text.is_empty() {
                let length = length(row, text);
                *made += &" ".repeat(column.max(length + 2) - length);
            }
            *made += comment;
        }
        *made += line_end;
    }
}

/// Puts blanks before the columns of some rows.
fn lined_up(rows: &[Row], run: &[usize], texts: &mut [String]) {
    let before = |i: usize| {
        let row = rows.get(i)?;
        let (_, column) = row.column.as_ref()?;
        Some((*column, width(row.text.get(..*column)?)))
    };
    let widest = run.iter().filter_map(|i| before(*i)).map(|(_, w)| w).max().unwrap_or(0);
    for i in run {
        if let (Some((column, width)), Some(text)) = (before(*i), texts.get_mut(*i)) {
            text.insert_str(column, &" ".repeat(widest - width));
        }
    }
}
