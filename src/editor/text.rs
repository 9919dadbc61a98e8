//! Places in a text: bytes here, lines and columns with an editor. A column counts bytes or UTF-16 units, as was agreed.

use lsp_types::{Position, PositionEncodingKind, Range};

/// What a column counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// Bytes of UTF-8.
    Utf8,
    /// Units of UTF-16: what an editor means that says nothing.
    #[default]
    Utf16,
}

impl Encoding {
    /// The first of what an editor offers that is known here.
    pub fn agreed(offered: Option<&[PositionEncodingKind]>) -> Encoding {
        let known = |kind: &PositionEncodingKind| match kind.as_str() {
            "utf-8" => Some(Encoding::Utf8),
            "utf-16" => Some(Encoding::Utf16),
            _ => None,
        };
        offered.unwrap_or(&[]).iter().find_map(known).unwrap_or_default()
    }

    /// The name of it.
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
        }
    }

    fn width(self, c: char) -> usize {
        match self {
            Encoding::Utf8 => c.len_utf8(),
            Encoding::Utf16 => c.len_utf16(),
        }
    }
}

/// A text with the places where its lines begin.
#[derive(Clone, Copy, Debug)]
pub struct Text<'t> {
    /// The text.
    pub text: &'t str,
    starts: &'t [usize],
    encoding: Encoding,
}

/// Where the lines of a text begin. As the protocol has it, a line ends in a line feed, a carriage return, or both in this order.
pub fn starts(text: &str) -> Vec<usize> {
    let next = text.bytes().skip(1).chain([0]);
    let ends = |(b, next): (u8, u8)| b == b'\n' || b == b'\r' && next != b'\n';
    let ends = text.bytes().zip(next).enumerate().filter(|(_, pair)| ends(*pair)).map(|(i, _)| i + 1);
    std::iter::once(0).chain(ends).collect()
}

impl<'t> Text<'t> {
    /// A text with its lines.
    pub fn new(text: &'t str, starts: &'t [usize], encoding: Encoding) -> Self {
        Text { text, starts, encoding }
    }

    /// The line (from 0) that a byte stands in, and where the line begins.
    fn line(&self, at: usize) -> (usize, usize) {
        let line = self.starts.partition_point(|s| *s <= at).saturating_sub(1);
        (line, self.starts.get(line).copied().unwrap_or_else(|| bug!("a text has no line {line}")))
    }

    /// A byte as an editor names its place; one inside a letter counts as the letter's first.
    pub fn position(&self, at: usize) -> Position {
        let at = at.min(self.text.len());
        let (line, start) = self.line(at);
        let before = self.text.get(start..).unwrap_or("").char_indices().take_while(|(i, _)| start + i < at);
        let inside = before.filter(|(i, c)| start + i + c.len_utf8() <= at);
        let column: usize = inside.map(|(_, c)| self.encoding.width(c)).sum();
        let small = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Position { line: small(line), character: small(column) }
    }

    /// A stretch of bytes as an editor names it.
    pub fn range(&self, start: usize, end: usize) -> Range {
        Range { start: self.position(start), end: self.position(end.max(start)) }
    }

    /// The byte at an editor's place: a column behind the line's end is its end, a line behind the last the text's end.
    pub fn offset(&self, position: Position) -> usize {
        let line = position.line as usize;
        let Some(start) = self.starts.get(line).copied() else { return self.text.len() };
        let end = self.starts.get(line + 1).copied().unwrap_or(self.text.len());
        let words = self.text.get(start..end).unwrap_or("").trim_end_matches(['\n', '\r']);
        let (mut at, mut column) = (start, 0);
        for c in words.chars() {
            column += self.encoding.width(c);
            if column > position.character as usize {
                break;
            }
            at += c.len_utf8();
        }
        at
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_what_was_agreed() {
        // é: 2 bytes, 1 unit of UTF-16; 🔥 (U+1F525): 4 bytes, 2 units.
        let text = "x\r\né🔥 b\n";
        let starts = starts(text);
        let b = text.find('b').unwrap();
        for (encoding, column) in [(Encoding::Utf8, 7), (Encoding::Utf16, 4)] {
            let text = Text::new(text, &starts, encoding);
            let place = Position { line: 1, character: column };
            assert_eq!(text.position(b), place);
            assert_eq!(text.offset(place), b);
        }
    }

    #[test]
    fn places_beyond_the_text_are_drawn_in() {
        let text = "ab\r\né";
        let starts = starts(text);
        let text = Text::new(text, &starts, Encoding::Utf16);
        assert_eq!(text.offset(Position { line: 0, character: 99 }), 2);
        assert_eq!(text.offset(Position { line: 9, character: 0 }), 6);
        // Inside the letter é, and behind everything.
        assert_eq!(text.position(5), Position { line: 1, character: 0 });
        assert_eq!(text.position(99), Position { line: 1, character: 1 });
    }

    #[test]
    fn every_letter_goes_there_and_back() {
        let text = "a°é\n🔥𝄞 x\n\n±\rb\r\r\nc";
        let starts = starts(text);
        for encoding in [Encoding::Utf8, Encoding::Utf16] {
            let text = Text::new(text, &starts, encoding);
            // A line's end is one place, however many bytes it has.
            for (at, _) in
                text.text.char_indices().filter(|(at, c)| *c != '\n' || text.text.as_bytes()[at - 1] != b'\r')
            {
                assert_eq!(text.offset(text.position(at)), at);
            }
            assert_eq!(text.position(text.text.find('c').unwrap()), Position { line: 6, character: 0 });
        }
    }
}
