//! One address space over all files: a span is two `u32`, and the file map says where that is.

use std::borrow::Cow;

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC};
use std::ops::Range;

/// A stretch of text, as byte offsets into the address space of [`Files`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// The first byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A stretch of a text, bytes, whose first byte has an address.
    #[must_use]
    pub fn within(base: u32, bytes: Range<usize>) -> Span {
        let at = |i: usize| u32::try_from(i).ok().and_then(|i| base.checked_add(i));
        let at = |i| at(i).unwrap_or_else(|| bug!("byte {i} behind address {base} has no address"));
        Span { start: at(bytes.start), end: at(bytes.end) }
    }

    /// Where it stands in a text whose first byte has an address, bytes.
    #[must_use]
    pub fn bytes(self, base: u32) -> Range<usize> {
        let at = |address: u32| match address.checked_sub(base) {
            Some(at) => at as usize,
            None => bug!("address {address} stands before {base}"),
        };
        at(self.start)..at(self.end)
    }

    /// Its words in a text whose first byte has an address.
    #[must_use]
    pub fn of(self, text: &str, base: u32) -> &str {
        text.get(self.bytes(base)).unwrap_or_else(|| bug!("{self:?} is no part of the text at {base}"))
    }

    /// The shortest span that holds both.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// An empty span at the end of this one.
    #[must_use]
    pub fn tail(self) -> Span {
        Span { start: self.end, end: self.end }
    }
}

/// A position as a person names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place<'a> {
    /// The file's name as it was given.
    pub file: &'a str,
    /// Line, from 1.
    pub line: u32,
    /// Column, from 1, in characters.
    pub column: u32,
}

/// What is written as `%` and two digits in a path of a URI: all but what RFC 3986 reserves for nothing, and the stroke.
pub const IN_PATHS: &AsciiSet =
    &NON_ALPHANUMERIC.remove(b'/').remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// A text whose lines end in a line feed, perhaps behind a carriage return: one alone, as old Macs ended lines, becomes a line feed.
/// Every byte keeps its place.
#[must_use]
pub fn line_ends(text: &str) -> Cow<'_, str> {
    let alone = |at: usize| text.as_bytes().get(at + 1) != Some(&b'\n');
    if !text.match_indices('\r').any(|(at, _)| alone(at)) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.char_indices().map(|(at, c)| if c == '\r' && alone(at) { '\n' } else { c }).collect())
}

#[derive(Clone)]
struct File {
    name: String,
    text: String,
    base: u32,
    line_starts: Vec<u32>,
}

/// The files read so far, each with its own stretch of addresses.
#[derive(Default)]
pub struct Files {
    files: Vec<File>,
}

impl Files {
    /// The largest recipe that is read: 16 MiB, which is a few hundred thousand steps.
    pub const LARGEST: usize = 16 << 20;

    /// Adds a file, its lines ended as [`line_ends`] says, and returns the address of its first byte, or `None` when the address space
    /// is full.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> Option<u32> {
        let (name, mut text) = (name.into(), text.into());
        if let Cow::Owned(even) = line_ends(&text) {
            text = even;
        }
        let behind =
            |base: u32, text: &str| base.checked_add(u32::try_from(text.len()).ok()?)?.checked_add(1);
        let base = self.files.last().map_or(Some(0), |file| behind(file.base, &file.text))?;
        behind(base, &text)?;
        let mut line_starts = vec![0];
        line_starts.extend((0u32..).zip(text.bytes()).filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1));
        self.files.push(File { name, text, base, line_starts });
        Some(base)
    }

    /// The same files with other words in the place of some, every other word at its address; `None` where they are longer than those
    /// and the blanks behind them.
    #[must_use]
    pub fn rewritten(&self, span: Span, words: &str) -> Option<Files> {
        let mut files = self.files.clone();
        let file = files.iter_mut().find(|file| Some(file.base) == self.file_of(span).map(|f| f.base))?;
        let from = span.start.checked_sub(file.base)? as usize;
        let old = span.end.checked_sub(span.start)? as usize;
        let behind = file.text.get(from + old..)?;
        let room = old + behind.bytes().take_while(|b| *b == b' ').count();
        let place = from..from + words.len().max(old);
        if words.len() > room || !file.text.is_char_boundary(from) {
            return None;
        }
        file.text.replace_range(place, &format!("{words:old$}"));
        Some(Files { files })
    }

    /// The same files with other words in the place of some: addresses behind them move along. `None` where they have no room.
    #[must_use]
    pub fn with(&self, span: Span, words: &str) -> Option<Files> {
        let base = self.file_of(span)?.base;
        let mut files = Files::default();
        for file in &self.files {
            let mut text = file.text.clone();
            if file.base == base {
                let at = span.bytes(base);
                text.get(at.clone())?;
                text.replace_range(at, words);
            }
            files.add(file.name.clone(), text)?;
        }
        Some(files)
    }

    /// Bytes of all files.
    #[must_use]
    pub fn size(&self) -> usize {
        self.files.iter().map(|file| file.text.len()).sum()
    }

    /// The lines that a span stands on, without the end of the last.
    #[must_use]
    pub fn line_of(&self, span: Span) -> Option<Span> {
        let file = self.file_of(span)?;
        let at = span.bytes(file.base);
        let start = file.text.get(..at.start)?.rfind('\n').map_or(0, |i| i + 1);
        let end = file.text.get(at.end..)?.find('\n').map_or(file.text.len(), |i| at.end + i);
        Some(Span::within(file.base, start..end))
    }

    /// The names of all files, as they were given.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|file| file.name.as_str())
    }

    /// The text of a span; empty where the span lies outside.
    #[must_use]
    pub fn text(&self, span: Span) -> &str {
        self.file_of(span)
            .and_then(|f| {
                f.text.get(span.start.checked_sub(f.base)? as usize..span.end.checked_sub(f.base)? as usize)
            })
            .unwrap_or("")
    }

    /// Whether any of the files says this.
    #[must_use]
    pub fn holds(&self, words: &str) -> bool {
        self.files.iter().any(|file| file.text.contains(words))
    }

    /// The words of a span on one line, with a blank between them.
    #[must_use]
    pub fn words(&self, span: Span) -> String {
        self.text(span).split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// File, line and column of the start of a span.
    #[must_use]
    pub fn place(&self, span: Span) -> Place<'_> {
        let Some(file) = self.file_of(span) else { return Place { file: "", line: 1, column: 1 } };
        let offset = span.start - file.base;
        let line = file.line_starts.partition_point(|s| *s <= offset).max(1);
        let start = file.line_starts.get(line - 1).copied().unwrap_or(0);
        let before = file.text.get(start as usize..offset as usize).unwrap_or("");
        // A file is no longer than its addresses go: these counts fit.
        Place { file: &file.name, line: line as u32, column: before.chars().count() as u32 + 1 }
    }

    /// The line number of the start of a span, from 1.
    #[must_use]
    pub fn line(&self, span: Span) -> u32 {
        self.place(span).line
    }

    /// The stretch of one line (from 1) of the file that begins at `base`; `None` where it has no such line.
    #[must_use]
    pub fn line_span(&self, base: u32, line: u32) -> Option<Span> {
        let file = self.file_of(Span { start: base, end: base })?;
        let at = (line as usize).checked_sub(1)?;
        let start = *file.line_starts.get(at)?;
        let length = u32::try_from(file.text.len()).ok()?;
        let end = file.line_starts.get(at + 1).copied().unwrap_or(length.saturating_add(1));
        Some(Span { start: base.checked_add(start)?, end: base.checked_add(end)? })
    }

    /// Name, text and first address of the file that a span starts in.
    #[must_use]
    pub fn whole(&self, span: Span) -> Option<(&str, &str, u32)> {
        self.file_of(span).map(|f| (f.name.as_str(), f.text.as_str(), f.base))
    }

    /// The text of the file that begins at `base`; empty where none does.
    #[must_use]
    pub fn text_from(&self, base: u32) -> &str {
        self.whole(Span { start: base, end: base }).map_or("", |(_, text, _)| text)
    }

    fn file_of(&self, span: Span) -> Option<&File> {
        let after = self.files.partition_point(|f| f.base <= span.start);
        self.files.get(after.checked_sub(1)?)
    }
}

#[cfg(test)]
mod tests {
    use super::{Files, Span};

    #[test]
    fn places_are_found_in_the_right_file() {
        let mut files = Files::default();
        let a = files.add("a.heat", "one\ntwo °\n").unwrap();
        let b = files.add("b.heat", "three").unwrap();
        assert_eq!(a, 0);
        let place = files.place(Span { start: b + 2, end: b + 3 });
        assert_eq!((place.file, place.line, place.column), ("b.heat", 1, 3));
        let place = files.place(Span { start: 10, end: 10 });
        assert_eq!((place.file, place.line, place.column), ("a.heat", 2, 6));
        assert_eq!(files.text(Span { start: 4, end: 7 }), "two");
    }

    #[test]
    fn other_words_stand_where_there_is_room() {
        let mut files = Files::default();
        files.add("a.heat", "repeat 9 {\n").unwrap();
        let nine = Span { start: 7, end: 8 };
        let with = |words: &str| files.rewritten(nine, words).map(|f| f.text_from(0).to_owned());
        assert_eq!(with("8").as_deref(), Some("repeat 8 {\n"));
        assert_eq!(with("10").as_deref(), Some("repeat 10{\n"));
        assert_eq!(with("100"), None);
        let ten = files.rewritten(nine, "10").unwrap();
        let back = ten.rewritten(Span { start: 7, end: 9 }, "9").unwrap();
        assert_eq!(back.text_from(0), "repeat 9 {\n");
    }

    #[test]
    fn lines_end_in_three_ways() {
        let text = "one\rtwo °\r\nthree\n\rfive\r";
        let mut files = Files::default();
        let base = files.add("a.heat", text).unwrap();
        for (words, line) in [("one", 1), ("two", 2), ("three", 3), ("five", 5)] {
            let at = text.find(words).unwrap() as u32;
            assert_eq!(files.line(Span { start: at, end: at }), line, "{words}");
        }
        assert_eq!(files.text_from(base), "one\ntwo °\r\nthree\n\nfive\n");
    }
}
