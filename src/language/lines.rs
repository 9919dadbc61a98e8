//! The lines that are no steps and open no block: what each says, from the grammar to the tree.

use super::ast::Statement;
use super::clauses;
use super::grammar::Rule;
use super::parse::Parse;
use super::syntax::Line;
use crate::source::{Code, Diagnostic, Span};

impl Parse<'_, '_> {
    pub(super) fn let_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::let_line, span, Line::Other("let finish = 3 mm"))?;
        let (mut name, mut quantity) = (None, None);
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::name => name = Some(self.reader.name(&part)),
                Rule::quantity => quantity = Some(self.reader.quantity(part)),
                _ => {}
            }
        }
        Some(Statement::Let(name?, quantity?))
    }

    pub(super) fn mark_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::mark_line, span, Line::Other("mark blade ricasso at 40 mm"))?;
        let (mut names, mut at) = (Vec::new(), None);
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::name => names.push(self.reader.name(&part)),
                Rule::quantity => at = Some(self.reader.quantity(part)),
                _ => {}
            }
        }
        let mut names = names.into_iter();
        let (piece, mark) = (names.next()?, names.next()?);
        if matches!(mark.text.as_str(), "heel" | "tip") {
            let message = format!("`{}` is an end of every blade, and no name for a place of it", mark.text);
            let fault = Diagnostic::new(Code::ReservedName, message, mark.span, "marked here");
            self.faults.push(fault.help("call it something else, such as `ricasso`"));
            return None;
        }
        Some(Statement::Mark(piece, mark, at?))
    }

    pub(super) fn steel_line(&mut self, span: Span) -> Option<Statement> {
        let node =
            self.line(Rule::steel_line, span, Line::Other("steel my-file = like W1, carbon 1.15 %"))?;
        let (mut grades, mut contents) = (Vec::new(), Vec::new());
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::grade => grades.push(self.reader.grade(&part)),
                Rule::content => {
                    let mut parts = part.into_inner();
                    let element = parts.next().and_then(|e| clauses::word(&e));
                    contents.extend(element.zip(parts.next().map(|q| self.reader.quantity(q))));
                }
                _ => {}
            }
        }
        let mut grades = grades.into_iter();
        Some(Statement::Steel { name: grades.next()?, like: grades.next()?, contents, span })
    }

    pub(super) fn note_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::note_line, span, Line::Other("note \"mind the seam\""))?;
        let text = node.into_inner().find(|n| n.as_rule() == Rule::text)?;
        Some(Statement::Note(text.as_str().trim_matches('"').to_owned(), span))
    }

    pub(super) fn use_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::use_line, span, Line::Other("use \"ladder.heat\""))?;
        let text = node.into_inner().find(|n| n.as_rule() == Rule::text)?;
        let at = self.reader.span(&text);
        Some(Statement::Use(text.as_str().trim_matches('"').to_owned(), at))
    }

    /// A line of a build log.
    pub(super) fn log_line(&mut self, first: &str, span: Span) -> Option<Statement> {
        let (rule, sample) = match first {
            "build" => (Rule::build_line, "build of \"ferry-galley.heat\""),
            "on" => (Rule::when_line, "on 2026-03-02 \"first trial\""),
            _ => (Rule::at_line, "at weld 2: 31.5 mm thick, 41 mm wide, 388 mm long, 3.62 kg"),
        };
        let node = self.line(rule, span, Line::Other(sample))?;
        super::log::statement(&self.reader, rule, node, span)
    }

    pub(super) fn give_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::give_line, span, Line::Other("give billet"))?;
        let name = node.into_inner().find(|n| n.as_rule() == Rule::name)?;
        Some(Statement::Give(self.reader.name(&name), span))
    }
}
