//! Lines no wider than the reader's page: words stay whole, what does not fit goes on below.

use std::collections::BTreeSet;

use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm, wrap};

/// Columns where nothing else is known, and the most where there is no terminal (project figure).
pub const COLUMNS: usize = 100;

/// Columns of a piece of text.
pub(super) fn columns(text: &str) -> usize {
    // What most cells of a long table are is not gone through letter by letter.
    if text.bytes().all(|b| matches!(b, b' '..=b'~')) {
        return text.len();
    }
    textwrap::core::display_width(text)
}

/// A blank that no line is broken at.
pub(super) const HARD: &str = "\u{a0}";

/// Words that stand behind a figure, and are not parted from it.
const UNITS: [&str; 21] = [
    "thou", "mm", "in", "ft", "lb", "oz", "g", "kg", "C", "F", "%", "HRC", "min", "h", "s", "kN", "US",
    "tonf", "kJ", "ft-lbf", "deg",
];

/// A text whose figures hold on to their units and fractions: `4 lb 2.5 oz`, `1 1/2 in`.
pub(super) fn glued(text: &str) -> String {
    if !text.contains(' ') {
        return text.to_owned();
    }
    let quoted = quoted_blanks(text);
    let (mut made, mut blank) = (String::with_capacity(text.len() + 8), 0);
    for (i, word) in text.split(' ').enumerate() {
        let bare = word.trim_end_matches([',', ';', ':', ')', '.', '`']);
        let figure = made.ends_with(|c: char| c.is_ascii_digit());
        let fraction =
            bare.split_once('/').is_some_and(|(a, b)| [a, b].iter().all(|n| n.parse::<u8>().is_ok()));
        let ton = bare == "tonf" && made.ends_with("US");
        let line = made.ends_with("line") && !bare.is_empty() && bare.bytes().all(|b| b.is_ascii_digit());
        // `1 lb / 9.8 oz`, `by 3/16 in / - 4 thou`: two that are told together, and the sign of a figure.
        let number = word.starts_with(|c: char| c.is_ascii_digit());
        let next =
            bare == "/" || (made.ends_with(" /") || made.ends_with("\u{a0}/")) && (number || bare == "-");
        let minus = number && (made.ends_with(" -") || made.ends_with("\u{a0}-"));
        if i > 0 {
            let quote = quoted.contains(&blank);
            blank += 1;
            let own = figure && (fraction || UNITS.contains(&bare)) || ton || line || quote || next || minus;
            made += if own { HARD } else { " " };
        }
        made += word;
    }
    made
}

/// Words in back-ticks that are longer than this may be broken, columns (project figure).
const QUOTED: usize = 40;

/// The blanks, by their number in a text, that stand inside words in back-ticks.
fn quoted_blanks(text: &str) -> BTreeSet<usize> {
    let (mut made, mut blank) = (BTreeSet::new(), 0);
    let marks = text.matches('`').count();
    if marks < 2 {
        return made;
    }
    for (nth, part) in text.split('`').enumerate() {
        let blanks = part.matches(' ').count();
        // What stands behind an odd mark is quoted, where another ends it.
        if nth % 2 == 1 && columns(part) <= QUOTED && nth < marks {
            made.extend(blank..blank + blanks);
        }
        blank += blanks;
    }
    made
}

/// Words in lines of at most so many columns, the first behind `first`, the others behind `next`.
pub(super) fn words(text: &str, wide: usize, first: &str, next: &str) -> Vec<String> {
    let options = Options::new(wide).initial_indent(first).subsequent_indent(next);
    let options =
        options.word_separator(WordSeparator::AsciiSpace).word_splitter(WordSplitter::NoHyphenation);
    let text = glued(text);
    let lines = wrap(&text, options.break_words(false).wrap_algorithm(WrapAlgorithm::FirstFit));
    lines.into_iter().map(|line| line.trim_end().replace(HARD, " ")).collect()
}

/// A page with its long lines folded; what is folded stands two columns deeper than the line it belongs to.
#[must_use]
pub fn fold(text: &str, wide: usize) -> String {
    let line = |line: &str| {
        if columns(line) <= wide {
            return format!("{line}\n");
        }
        let inner = line.trim_start();
        let blanks = line.get(..line.len() - inner.len()).unwrap_or("");
        let lines = words(inner, wide, blanks, &format!("{blanks}  "));
        lines.into_iter().map(|line| line + "\n").collect()
    };
    text.lines().map(line).collect()
}

/// A line of a recipe, broken behind its commas, where it may go on in the next.
pub(super) fn code(line: &str, deep: &str, wide: usize) -> String {
    let mut text = deep.to_owned();
    let mut column = columns(deep);
    if column + columns(line) <= wide {
        return format!("{deep}{line}\n");
    }
    let blanks = line.len() - line.trim_start().len();
    let next = format!("\n{deep}{}  ", " ".repeat(blanks));
    for (i, part) in line.split_inclusive(", ").enumerate() {
        if i > 0 && column + columns(part.trim_end()) > wide {
            text.truncate(text.trim_end().len());
            text += &next;
            column = columns(&next);
        }
        text += part;
        column += columns(part);
    }
    text + "\n"
}

#[cfg(test)]
mod tests {
    use super::{code, fold};

    #[test]
    fn words_stay_whole_and_what_is_folded_stands_deeper() {
        assert_eq!(fold("  one two three four\nfive\n", 12), "  one two\n    three\n    four\nfive\n");
        assert_eq!(fold("it is 1 1/2 in\n", 8), "it is\n  1 1/2 in\n");
        assert_eq!(fold("an-unbreakable-word of a smith\n", 10), "an-unbreakable-word\n  of a\n  smith\n");
    }

    #[test]
    fn what_is_told_together_is_not_broken() {
        assert_eq!(fold("it asks 1 lb / 9.8 oz\n", 16), "it asks\n  1 lb / 9.8 oz\n");
        assert_eq!(fold("off by 3/16 in / - 4 thou\n", 22), "off by\n  3/16 in / - 4 thou\n");
        assert_eq!(fold("say `cut b into 2` now\n", 17), "say\n  `cut b into 2`\n  now\n");
    }

    #[test]
    fn a_recipe_is_broken_behind_commas_only() {
        let line = "draw b to 9 mm thick, 40 mm wide, heats 5";
        assert_eq!(code(line, "  ", 24), "  draw b to 9 mm thick,\n    40 mm wide, heats 5\n");
    }
}
