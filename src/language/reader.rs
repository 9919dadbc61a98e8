//! From the grammar's nodes to quantities and names.

use std::borrow::Cow;

use super::ast::{Expr, Figure, Quantity};
use super::grammar::{Node, Rule};
use crate::forge::Name;
use crate::quantity::find_unit;
use crate::replay::Op;
use crate::source::Span;

/// Turns nodes of a line into parts of the tree.
pub struct Reader<'t> {
    /// The file as it is written.
    text: &'t str,
    /// The same, its comments made blank.
    bare: &'t str,
    /// The address of the file's first byte.
    file: u32,
    /// The address of the first byte of the line under way.
    pub line: u32,
}

impl<'t> Reader<'t> {
    /// A reader of a file at an address.
    pub fn new(text: &'t str, bare: &'t str, file: u32) -> Self {
        Reader { text, bare, file, line: file }
    }

    /// The address of the file's first byte.
    pub fn file(&self) -> u32 {
        self.file
    }

    /// The file, without its comments.
    pub fn whole(&self) -> &'t str {
        self.bare
    }

    /// The words of a span of the file.
    pub fn slice(&self, span: Span) -> &'t str {
        span.of(self.bare, self.file)
    }

    /// The span of the first word of a span.
    pub fn first(&self, span: Span) -> Span {
        let word = super::scan::first_word(self.slice(span));
        Span::within(span.start, 0..word.len())
    }

    /// Where a node of the current line stands.
    pub fn span(&self, node: &Node) -> Span {
        let inside = node.as_span();
        // The grammar takes blanks behind a node into it where more might have followed.
        Span::within(self.line, inside.start()..inside.start() + node.as_str().trim_end().len())
    }

    /// The comment that stands behind a span on its line, without its mark.
    pub fn comment_behind(&self, span: Span) -> String {
        let (_, behind) = self.text.split_at(span.bytes(self.file).end);
        let line = behind.lines().next().and_then(|line| line.split_once('#'));
        line.map_or(String::new(), |(_, doc)| doc.trim().to_owned())
    }

    /// The comment lines right above the line that a span begins on, as one text.
    pub fn comment_above(&self, span: Span) -> String {
        let (before, _) = self.text.split_at(span.bytes(self.file).start);
        let above = before.rsplit_once('\n').map_or("", |(above, _)| above);
        let docs = above.lines().rev().map_while(|line| line.trim().strip_prefix('#'));
        let mut lines: Vec<&str> = docs.map(str::trim).collect();
        lines.reverse();
        lines.join(" ")
    }

    /// A name.
    pub fn name(&self, node: &Node) -> Name {
        Name { text: node.as_str().to_owned(), span: self.span(node) }
    }

    /// A grade, without its quotes.
    pub fn grade(&self, node: &Node) -> Name {
        Name { text: node.as_str().trim_matches('"').to_owned(), span: self.span(node) }
    }

    /// Sizes, each with what stands behind it.
    pub fn sizes(&self, node: Node) -> Vec<Quantity> {
        node.into_inner().filter(|n| n.as_rule() == Rule::quantity).map(|n| self.quantity(n)).collect()
    }

    /// A quantity.
    pub fn quantity(&self, node: Node) -> Quantity {
        let span = self.span(&node);
        let (mut expr, mut tolerance) = (None, None);
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::tolerance => {}
                Rule::bound => tolerance = part.into_inner().find_map(|n| self.term(n)),
                _ => expr = self.term(part),
            }
        }
        Quantity { expr: expr.unwrap_or_else(|| bug!("a quantity of nothing")), tolerance, span }
    }

    /// A sum or a product: a row of terms with signs between them.
    fn expr(&self, node: Node) -> Expr {
        let span = self.span(&node);
        let (mut first, mut rest, mut op) = (None, Vec::new(), Op::Add);
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::plus => op = Op::Add,
                Rule::minus => op = Op::Subtract,
                Rule::times => op = Op::Multiply,
                Rule::over => op = Op::Divide,
                _ => {
                    let Some(term) = self.term(part) else { continue };
                    match first {
                        None => first = Some(term),
                        Some(_) => rest.push((op, term)),
                    }
                }
            }
        }
        match first {
            Some(only) if rest.is_empty() => only,
            Some(first) => Expr::Row(Box::new(first), rest, span),
            None => bug!("a sum of nothing"),
        }
    }

    fn term(&self, node: Node) -> Option<Expr> {
        let span = self.span(&node);
        Some(match node.as_rule() {
            Rule::product | Rule::sum => self.expr(node),
            Rule::factor => {
                let mut minus = false;
                let mut made = None;
                for part in node.into_inner() {
                    match part.as_rule() {
                        Rule::negative => minus = true,
                        Rule::open | Rule::close => {}
                        _ => made = self.term(part),
                    }
                }
                let made = made?;
                if minus { Expr::Minus(Box::new(made), span) } else { made }
            }
            Rule::figure => Expr::Figure(self.figure(node)),
            Rule::name => Expr::Name(self.name(&node)),
            Rule::ask => {
                let mut bounds = node.into_inner().filter(|n| n.as_rule() == Rule::sum).map(|n| self.expr(n));
                let within = bounds.next().zip(bounds.next()).map(Box::new);
                Expr::Ask(span, within)
            }
            _ => return None,
        })
    }

    fn figure(&self, node: Node) -> Figure {
        let span = self.span(&node);
        let (mut numbers, mut units) = (Vec::new(), Vec::new());
        let mut digit = 1.0;
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::number => {
                    numbers.push(number(part.as_str()));
                    digit = last_digit(part.as_str());
                }
                Rule::unit | Rule::second_unit => {
                    let mut unit = self.name(&part);
                    unit.text = house_unit(&unit.text).to_owned();
                    units.push(unit);
                }
                _ => {}
            }
        }
        let (mut numbers, mut units) = (numbers.into_iter(), units.into_iter());
        let (value, unit) = (numbers.next().unwrap_or_else(|| bug!("a figure of nothing")), units.next());
        Figure { value, unit, more: numbers.next().zip(units.next()), digit, span }
    }
}

/// The worth of the last digit of a number: `0.1` of `31.5`, `1/16` of `1 3/16`.
fn last_digit(text: &str) -> f64 {
    let text = house_number(text);
    if let Some((_, under)) = text.split_once('/') {
        return 1.0 / digits(under);
    }
    let decimals = text.split_once('.').map_or(0, |(_, part)| part.trim().len());
    10f64.powi(-i32::try_from(decimals).unwrap_or(i32::MAX))
}

/// A unit as the house writes it; one that is refused stays as it stands.
pub fn house_unit(text: &str) -> &str {
    find_unit(text).map_or(text, |unit| unit.word)
}

/// A number as the house writes it: `1½` is `1 1/2`.
pub fn house_number(text: &str) -> Cow<'_, str> {
    const VULGAR: [(char, &str); 7] =
        [('½', "1/2"), ('¼', "1/4"), ('¾', "3/4"), ('⅛', "1/8"), ('⅜', "3/8"), ('⅝', "5/8"), ('⅞', "7/8")];
    if text.is_ascii() {
        return Cow::Borrowed(text);
    }
    let text = text.replace('⁄', "/");
    let sign = VULGAR.iter().find_map(|(sign, plain)| Some((text.strip_suffix(*sign)?, *plain)));
    Cow::Owned(match sign {
        None => text,
        Some((before, plain)) => match before.trim_end_matches(|c: char| c == '-' || c.is_whitespace()) {
            "" => plain.to_owned(),
            whole => format!("{whole} {plain}"),
        },
    })
}

/// `12`, `.070`, `3/16`, `1 1/2`, `1-1/2`.
fn number(text: &str) -> f64 {
    let parts = |c: char| c == '-' || c.is_whitespace();
    let text = &*house_number(text);
    match text.split_once('/') {
        None => digits(text),
        Some((top, under)) => match top.rsplit_once(parts) {
            None => digits(top) / digits(under),
            Some((whole, top)) => digits(whole.trim_end_matches(parts)) + digits(top) / digits(under),
        },
    }
}

/// Digits, perhaps with a point.
fn digits(text: &str) -> f64 {
    text.trim().parse().unwrap_or_else(|_| bug!("`{text}` is no number"))
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn fractions_are_read_as_shops_write_them() {
        // A ruler's marks: 1 1/2 is 1.5, 3/16 is 0.1875.
        assert_eq!(number("1 1/2"), 1.5);
        assert_eq!(number("1-1/2"), 1.5);
        assert_eq!(number("3/16"), 0.1875);
        assert_eq!(number(".070"), 0.07);
        assert_eq!(number("12"), 12.0);
        assert_eq!(number("1½"), 1.5);
        assert_eq!(number("1 ⅜"), 1.375);
        assert_eq!(number("¼"), 0.25);
        assert_eq!(number("3⁄16"), 0.1875);
    }
}
