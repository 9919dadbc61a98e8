//! The house style: one blank where blanks stand, two to indent, columns in line, every comment in its place.
//!
//! Only blanks and line ends change, and words that are read for those of the house. What comes out is read again and held against what went in, word for word, rule for rule and
//! comment for comment: where it differs, nothing is given out.

use super::grammar::Rule;
use super::layout::{Row, laid_out};
use super::parse;
use super::words::{Bit, Sort, bits};
use crate::source::{Code, Diagnostic, line_ends};

/// Why a file is not formatted.
#[derive(Debug)]
pub enum Unformatted {
    /// It cannot be read.
    Faults(Vec<Diagnostic>),
    /// A line of the result would be longer than any that is read.
    TooLong,
    /// The result would not be the same recipe: a bug of ours.
    Changed,
}

/// A file's text in the house style; `base` is the address of its first byte, for the faults.
///
/// # Errors
/// What cannot be read in it; or that the result would not have been the same recipe.
pub fn format(text: &str, base: u32) -> Result<String, Unformatted> {
    let text = &*line_ends(text);
    // The house's words stand in the place of others that were read: both are read as the same recipe.
    let (faults, put_right) = parse::reworded(text, base);
    if !faults.is_empty() {
        return Err(Unformatted::Faults(faults));
    }
    let text = put_right.as_deref().unwrap_or(text);
    let bits = |text: &str, base| parse::written(text, base, |written| bits(text, base, written));
    let before = bits(text, base).map_err(Unformatted::Faults)?;
    let made = styled(text, &before);
    let long = |faults: Vec<Diagnostic>| faults.iter().any(|fault| fault.code == Code::LineTooLong);
    let after = bits(&made, 0)
        .map_err(|faults| if long(faults) { Unformatted::TooLong } else { Unformatted::Changed })?;
    if signature(text, &before) == signature(&made, &after) { Ok(made) } else { Err(Unformatted::Changed) }
}

/// A line that is offered, in the house style, whether it stands among the steps, in a target or in a shop; none where it is no line.
pub fn offered(line: &str) -> Option<String> {
    ["", "target t {\n", "shop {\n"].into_iter().find_map(|head| {
        let text = if head.is_empty() { format!("{line}\n") } else { format!("{head}{line}\n}}\n") };
        let made = parse::written(&text, 0, |written| styled(&text, &bits(&text, 0, written))).ok()?;
        let rest = made.strip_prefix(head)?.trim();
        if head.is_empty() {
            return Some(rest.to_owned());
        }
        // What stands in columns in its block has one blank by itself.
        Some(rest.strip_suffix('}')?.split_whitespace().collect::<Vec<_>>().join(" "))
    })
}

/// What must not change: each word with the rules above it, each brace and comment, and whether a comment stands behind something.
fn signature<'b>(text: &str, bits: &'b [Bit]) -> Vec<(&'b Sort, &'b str, &'b [Rule], bool)> {
    let mut end = None;
    let mut made = Vec::with_capacity(bits.len());
    for bit in bits {
        let behind = bit.sort == Sort::Comment && end.is_some_and(|end| breaks(text, end, bit.at.0) == 0);
        made.push((&bit.sort, bit.text.as_str(), bit.path.as_slice(), behind));
        end = Some(bit.at.1);
    }
    made
}

fn breaks(text: &str, from: usize, to: usize) -> usize {
    text.get(from..to).map_or(0, |between| between.bytes().filter(|b| *b == b'\n').count())
}

/// Of each bit, whether a line goes on behind it and the comments behind that: each bit is looked at once.
fn inside(bits: &[Bit]) -> Vec<bool> {
    let mut goes_on = false;
    let mut made: Vec<bool> = Vec::with_capacity(bits.len());
    for bit in bits.iter().rev() {
        made.push(goes_on);
        if bit.sort != Sort::Comment {
            goes_on = matches!(bit.sort, Sort::Word(..)) && !bit.first;
        }
    }
    made.reverse();
    made
}

/// Goes through the bits and makes rows of them.
fn styled(text: &str, bits: &[Bit]) -> String {
    let mut rows: Vec<Row> = Vec::new();
    let (mut depth, mut forced, mut end) = (0usize, true, 0);
    let mut before: Option<&Bit> = None;
    let inside = inside(bits);
    for (bit, inside) in bits.iter().zip(inside) {
        let lines = breaks(text, end, bit.at.0);
        end = bit.at.1;
        let opens_file = rows.is_empty();
        let behind_open = before.is_some_and(|b| b.sort == Sort::Open);
        let blank = lines >= 2 && !opens_file && !behind_open;
        match &bit.sort {
            Sort::Comment if lines == 0 && !opens_file => {
                if let Some(row) = rows.last_mut() {
                    row.comment = Some(bit.text.clone());
                }
                before = Some(bit);
                // What follows stands on the next line in any case.
                forced = true;
                continue;
            }
            Sort::Comment => {
                let mut row = Row::new(depth, blank);
                row.comment = Some(bit.text.clone());
                row.goes_on = inside;
                rows.push(row);
                forced = true;
            }
            Sort::Open => {
                if let Some(row) = rows.last_mut() {
                    row.text += if row.text.is_empty() { "{" } else { " {" };
                    row.block = true;
                }
                depth += 1;
                forced = true;
            }
            Sort::Close => {
                depth = depth.saturating_sub(1);
                let mut row = Row::new(depth, false);
                row.text.push('}');
                row.block = true;
                rows.push(row);
                forced = true;
            }
            Sort::Word(rule, parent) => {
                if forced || lines > 0 || bit.first {
                    let mut row = Row::new(depth, blank && bit.first);
                    row.goes_on = !bit.first;
                    row.closes = *rule == Some(Rule::close);
                    rows.push(row);
                } else if let Some(row) = rows.last_mut()
                    && before.is_some_and(|b| blank_between(b, *rule, *parent))
                {
                    row.text.push(' ');
                }
                if let Some(row) = rows.last_mut() {
                    row.word(*rule, &bit.path, &bit.text, bit.first);
                }
                forced = false;
            }
        }
        before = Some(bit);
    }
    let line_end =
        if text.split_once('\n').is_some_and(|(first, _)| first.ends_with('\r')) { "\r\n" } else { "\n" };
    let mark = if text.starts_with('\u{feff}') { "\u{feff}" } else { "" };
    let made = laid_out(&rows, line_end);
    format!("{mark}{made}")
}

/// Whether a blank stands between two words of a line.
fn blank_between(before: &Bit, rule: Option<Rule>, parent: Rule) -> bool {
    let Sort::Word(was, _) = before.sort else { return true };
    // The sign of a currency stands right before its figure.
    if was == Some(Rule::currency) && !matches!(rule, Some(Rule::kw_per | Rule::dots)) {
        return false;
    }
    let closing = matches!(rule, Some(Rule::comma | Rule::colon | Rule::close));
    let opening = matches!(was, Some(Rule::open | Rule::negative));
    // The brackets of a call and of a recipe's head stand right behind the name.
    let called = rule == Some(Rule::open) && matches!(parent, Rule::call | Rule::recipe_head);
    !(closing || opening || called)
}
