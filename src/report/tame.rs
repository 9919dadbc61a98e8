//! Text that is shown: what could drive a terminal, or turn about what is read, has a stand-in that is seen.

use std::borrow::Cow;
use std::fmt::Write as _;

/// Whether a character is no letter to be read but a command to whatever shows it: control characters (C0, C1, delete), and those
/// that turn the direction of what follows (Unicode Standard Annex #9, the explicit formatting characters and the marks) or begin a
/// line of their own (U+2028, U+2029).
fn commands(c: char) -> bool {
    let turns =
        matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    turns || c.is_control() && c != '\t'
}

/// Text for one line of a page: what could drive a terminal is marked, line ends too.
pub(super) fn tame(text: &str) -> String {
    text.chars().map(|c| if commands(c) { '\u{fffd}' } else { c }).collect()
}

/// Text between tags or within quotes; what would turn its direction or drive anything has a stand-in.
pub(super) fn markup(words: &str) -> String {
    let mut made = String::with_capacity(words.len());
    for c in tame(words).chars() {
        match c {
            '&' => made += "&amp;",
            '<' => made += "&lt;",
            '>' => made += "&gt;",
            '"' => made += "&quot;",
            '\'' => made += "&#39;",
            '\t' => made.push(' '),
            c => made.push(c),
        }
    }
    made
}

/// Text for one line of a page, each mark as long as what it stands for: every place stays where it is. Lines stay lines.
pub(super) fn tame_in_place(text: &str) -> String {
    let stand_in = |c: char| match c.len_utf8() {
        1 => '?',
        2 => '¿',
        _ => '\u{fffd}',
    };
    text.chars().map(|c| if commands(c) && !matches!(c, '\n' | '\r') { stand_in(c) } else { c }).collect()
}

/// A whole text as it may be shown, whatever it was put together from: the last gate before a terminal or a pipe. Lines end as they
/// did; colours (`ESC [ figures m`) pass where they are `ours`, which holds for text whose other parts were tamed before.
#[must_use]
pub fn shown(text: &str, ours: bool) -> Cow<'_, str> {
    if !text.chars().any(|c| commands(c) && c != '\n') {
        return Cow::Borrowed(text);
    }
    let mut made = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let colour = if ours { colour(rest) } else { "" };
        let passes = if rest.starts_with("\r\n") { "\r\n" } else { colour };
        if passes.is_empty() {
            made.push(if commands(c) && c != '\n' { '\u{fffd}' } else { c });
            rest = rest.get(c.len_utf8()..).unwrap_or("");
        } else {
            made += passes;
            rest = rest.get(passes.len()..).unwrap_or("");
        }
    }
    Cow::Owned(made)
}

/// The change of colour that a text begins with; empty where it begins with none.
fn colour(text: &str) -> &str {
    let Some(behind) = text.strip_prefix("\u{1b}[") else { return "" };
    let figures = behind.len() - behind.trim_start_matches(|c: char| c.is_ascii_digit() || c == ';').len();
    if behind.get(figures..).is_some_and(|end| end.starts_with('m')) {
        text.get(..figures + 3).unwrap_or("")
    } else {
        ""
    }
}

/// JSON with such characters as escapes; in JSON they stand nowhere but in its texts.
pub(super) fn escaped(json: String) -> String {
    if !json.chars().any(|c| commands(c) && c != '\n') {
        return json;
    }
    let mut made = String::with_capacity(json.len());
    for c in json.chars() {
        if commands(c) && c != '\n' {
            let _ = write!(made, "\\u{:04x}", u32::from(c));
        } else {
            made.push(c);
        }
    }
    made
}

#[cfg(test)]
mod tests {
    use super::{escaped, shown, tame_in_place};

    #[test]
    fn nothing_passes_but_lines_tabs_and_colours_of_ours() {
        let text = "a\u{1b}[31mb\u{1b}]0;x\u{7}\u{9b}c\u{202e}d\u{7f}\re\r\nf\tg\n";
        let ours = shown(text, true);
        assert_eq!(ours, "a\u{1b}[31mb\u{fffd}]0;x\u{fffd}\u{fffd}c\u{fffd}d\u{fffd}\u{fffd}e\r\nf\tg\n");
        assert_eq!(shown(text, false), ours.replace('\u{1b}', "\u{fffd}"));
        // Whatever else begins as a colour does: moves, erasure, a colour without an end.
        for other in ["\u{1b}[2J", "\u{1b}[1;1H", "\u{1b}[3", "\u{1b}[", "\u{1b}", "\u{1b}[?25l"] {
            assert!(!shown(other, true).contains('\u{1b}'), "{other:?}");
        }
        assert_eq!(shown("plain ° text\n", false), "plain ° text\n");
    }

    #[test]
    fn marks_in_place_are_as_long_as_what_they_stand_for() {
        let text = "a\u{1b}b\u{9b}c\u{202e}d\u{61c}\r\n";
        assert_eq!(tame_in_place(text), "a?b¿c\u{fffd}d¿\r\n");
    }

    #[test]
    fn json_says_the_same_in_escapes() {
        let text = "\u{9b}\u{202e}\u{7f}\u{1b}\n";
        let json = escaped(serde_json::to_string_pretty(&[text]).unwrap());
        assert!(!json.chars().any(|c| c != '\n' && super::commands(c)), "{json:?}");
        assert_eq!(serde_json::from_str::<Vec<String>>(&json).unwrap(), [text]);
    }
}
