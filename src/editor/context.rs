//! Where the cursor stands in a line that is being typed: the words before it, and the word under way. Works on text that
//! cannot be parsed yet.

use super::documents::View;

/// A place in a line that is being typed.
pub struct Context<'t> {
    /// The word that the innermost block begins with; nothing at the top of the file.
    pub block: Option<&'t str>,
    /// The words before the one under way, without commas; signs are words of their own.
    pub words: Vec<&'t str>,
    /// Where the word under way begins, bytes.
    pub start: usize,
    /// Where the line begins, bytes.
    pub line: usize,
    /// Whether a comma stands right before it.
    pub comma: bool,
}

/// The context of a byte; `None` in a comment or a text in quotes.
pub fn context<'v>(view: &'v View, offset: usize) -> Option<Context<'v>> {
    let analysis = view.analysis;
    let text = view.text.text;
    let at = analysis.address(offset);
    if analysis.lines().comments.iter().any(|c| c.start < at && at <= c.end) {
        return None;
    }
    let line = line_start(view, offset);
    let ahead = text.get(line..offset)?;
    if ahead.bytes().filter(|b| *b == b'"').count() % 2 == 1 {
        return None;
    }
    let begun = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '%' | '°' | '/');
    let back = ahead.char_indices().rev().take_while(|(_, c)| begun(*c)).last();
    let start = back.map_or(offset, |(i, _)| line + i);
    let partial = text.get(start..offset)?;
    // `9m`: only what stands behind the digits is under way, and the figure is a word before it.
    let digits = partial.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/'))).unwrap_or(0);
    let start = start + digits;
    let mut words: Vec<&str> = Vec::new();
    let before = text.get(line..start)?;
    for row in before.lines() {
        // A line that goes on may have a comment behind its comma.
        words.extend(cut(row.split('#').next().unwrap_or("")));
    }
    let comma = words.last() == Some(&",");
    words.retain(|w| *w != ",");
    let block = analysis.lines().block_at(analysis.address(line)).map(|b| b.word.as_str());
    Some(Context { block, words, start, line, comma })
}

/// Where the logical line begins that a byte stands in.
fn line_start(view: &View, offset: usize) -> usize {
    let analysis = view.analysis;
    let text = view.text.text;
    let own = |address: u32| address.saturating_sub(analysis.own) as usize;
    let physical = text.get(..offset).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let before = analysis.lines().lines.iter().rev().find(|l| own(l.start) <= offset);
    let Some(line) = before else { return physical };
    let brace = |b: &str| b.contains(['{', '}']);
    if offset <= own(line.end) {
        return own(line.start);
    }
    // Behind the line's words: on the same row, or after the comma that it ends with.
    let between = text.get(own(line.end)..offset).unwrap_or("");
    let goes_on = !between.contains('\n') && !brace(between) || between.trim_start().starts_with(',');
    let behind_block = text.get(physical..offset).and_then(|t| t.rfind(['{', '}'])).map(|i| physical + i + 1);
    if goes_on { own(line.start) } else { behind_block.unwrap_or(physical) }
}

/// The words of a row; commas, brackets and signs are words.
fn cut(row: &str) -> Vec<&str> {
    let sign = |c: char| matches!(c, ',' | '(' | ')' | '=' | ':' | '<' | '>' | '{');
    let mut words = Vec::new();
    for word in row.split_whitespace() {
        let mut rest = word;
        while let Some(at) = rest.find(sign) {
            let (front, back) = rest.split_at(at);
            let width = back.chars().next().map_or(0, char::len_utf8);
            let (mark, behind) = back.split_at(width);
            words.extend([front, mark].into_iter().filter(|w| !w.is_empty()));
            rest = behind;
        }
        if !rest.is_empty() {
            words.push(rest);
        }
    }
    words
}
