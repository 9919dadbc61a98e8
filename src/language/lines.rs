//! The lines that are no steps and open no block: what each says, from the grammar to the tree.

use super::ast::{Allow, Statement, Steel};
use super::clauses;
use super::grammar::{Node, Rule, next};
use super::parse::Parse;
use super::syntax::Line;
use crate::source::{Code, Diagnostic, Span};

impl Parse<'_, '_> {
    pub(super) fn let_line(&mut self, span: Span) -> Option<Statement> {
        let mut parts = self.line(Rule::let_line, span, Line::Other("let finish = 3 mm"))?.into_inner();
        let name = self.reader.name(&next(&mut parts, Rule::name)?);
        Some(Statement::Let(name, self.reader.quantity(next(&mut parts, Rule::quantity)?)))
    }

    pub(super) fn mark_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::mark_line, span, Line::Other("mark blade ricasso at 40 mm"))?;
        let mut parts = node.into_inner();
        let piece = self.reader.name(&next(&mut parts, Rule::name)?);
        let mark = self.reader.name(&next(&mut parts, Rule::name)?);
        if ["heel", "tip"].contains(&mark.text.as_str()) {
            let message = format!("`{}` is an end of every blade, and no name for a place of it", mark.text);
            let fault = Diagnostic::new(Code::ReservedName, message, mark.span, "marked here");
            return self.fail(fault.help("call it something else, such as `ricasso`"));
        }
        Some(Statement::Mark(piece, mark, self.reader.quantity(next(&mut parts, Rule::quantity)?)))
    }

    pub(super) fn units_line(&mut self, span: Span) -> Option<Statement> {
        let family = self.part(Rule::units_line, span, Line::Other("units in"), Rule::unit_family)?;
        Some(Statement::Units(family.as_str().eq_ignore_ascii_case("in"), span))
    }

    pub(super) fn steel_line(&mut self, span: Span) -> Option<Statement> {
        let node =
            self.line(Rule::steel_line, span, Line::Other("steel my-file = like W1, carbon 1.15 %"))?;
        let mut parts = node.into_inner();
        let name = self.reader.grade(&next(&mut parts, Rule::grade)?);
        let like = self.reader.grade(&next(&mut parts, Rule::grade)?);
        let content = |part: Node| {
            let mut parts = part.into_inner();
            let element = parts.next().and_then(|e| clauses::word(&e));
            element.zip(parts.next().map(|q| self.reader.quantity(q)))
        };
        let contents = parts.filter(|part| part.as_rule() == Rule::content).filter_map(content).collect();
        Some(Statement::Steel(Steel { name, like, contents, span }))
    }

    pub(super) fn note_line(&mut self, span: Span) -> Option<Statement> {
        let text = self.part(Rule::note_line, span, Line::Other("note \"mind the seam\""), Rule::text)?;
        Some(Statement::Note(text.as_str().trim_matches('"').to_owned(), span))
    }

    /// A warning that is answered; `everywhere` where it stands in a shop.
    pub(super) fn allow_line(&mut self, span: Span, everywhere: bool) -> Option<Statement> {
        let sample = "allow hot_for_steel \"the fire is what it is\"";
        let mut parts = self.line(Rule::allow_line, span, Line::Other(sample))?.into_inner();
        let name = self.reader.name(&next(&mut parts, Rule::code)?);
        let reason = next(&mut parts, Rule::text)?.as_str().trim_matches('"').to_owned();
        Some(Statement::Allow(Allow { name, reason, span, everywhere }))
    }

    pub(super) fn use_line(&mut self, span: Span) -> Option<Statement> {
        let before = self.faults.len();
        let text = self.part(Rule::use_line, span, Line::Other("use \"ladder.heat\""), Rule::text);
        // `use the feather from recipes/feather.heat`: what is called so is the file.
        let words =
            self.reader.slice(span).split_whitespace().map(|word| word.trim_matches(['"', '\'', ',', '`']));
        if let (None, Some(file)) = (&text, words.rev().find(|word| word.ends_with(".heat"))) {
            let line = format!("use \"{file}\"");
            let said = self.faults.split_off(before).into_iter().next();
            if let Some(fault) = said {
                self.faults.push(fault.help(format!("write `{line}`")).fix(span, line));
            }
        }
        let text = text?;
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
        let name = self.part(Rule::give_line, span, Line::Other("give billet"), Rule::name)?;
        Some(Statement::Give(self.reader.name(&name), span))
    }
}
