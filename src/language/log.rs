//! Build logs: which recipe was built, when, and what was measured after which step.

use std::collections::BTreeMap;

use super::ast::{Label, Logged, Statement};
use super::clauses::clause;
use super::grammar::{Node, Rule};
use super::reader::Reader;
use crate::source::Span;

/// Reads a line of a log.
pub fn statement(reader: &Reader, rule: Rule, node: Node, span: Span) -> Option<Statement> {
    let mut parts = node.into_inner();
    match rule {
        Rule::build_line => {
            let text = parts.find(|p| p.as_rule() == Rule::text)?;
            Some(Statement::BuildOf(text.as_str().trim_matches('"').to_owned(), reader.span(&text)))
        }
        Rule::when_line => {
            let words: Vec<String> = parts
                .filter(|p| matches!(p.as_rule(), Rule::date | Rule::text))
                .map(|p| p.as_str().trim_matches('"').to_owned())
                .collect();
            Some(Statement::When(words.join(", "), span))
        }
        _ => {
            let label = parts.find(|p| p.as_rule() == Rule::label)?;
            let label_span = reader.span(&label);
            let (mut word, mut number) = (String::new(), None);
            for part in label.into_inner() {
                match part.as_rule() {
                    Rule::label_word => part.as_str().clone_into(&mut word),
                    // More than there can be is more than there are.
                    _ => number = Some(part.as_str().parse().unwrap_or(u32::MAX)),
                }
            }
            let label =
                if word == "line" { Label::Line(number?) } else { Label::Verb(word, number.unwrap_or(1)) };
            let readings = parts.filter_map(|part| clause(reader, part)).collect();
            Some(Statement::At(Logged { label, label_span, readings, span }))
        }
    }
}

/// A log entry, and the stretch of the recipe that its line number means.
pub struct Entry<'s> {
    /// As written.
    pub logged: &'s Logged,
    /// The line of the recipe, where it is asked for by line.
    pub line: Option<Span>,
    /// Whether its step was met.
    pub met: bool,
}

/// What a log says, found quickly by the step that it speaks of.
#[derive(Default)]
pub struct Log<'s> {
    /// As written, in order.
    pub entries: Vec<Entry<'s>>,
    by_verb: BTreeMap<(String, u32), Vec<usize>>,
    by_line: BTreeMap<u32, (u32, Vec<usize>)>,
}

impl<'s> Log<'s> {
    /// Sorts entries by what they speak of.
    pub fn new(entries: Vec<Entry<'s>>) -> Self {
        let mut log = Log { entries, ..Log::default() };
        for (i, entry) in log.entries.iter().enumerate() {
            match (&entry.logged.label, entry.line) {
                (Label::Verb(verb, n), _) => log.by_verb.entry((verb.clone(), *n)).or_default().push(i),
                (Label::Line(_), Some(line)) => {
                    log.by_line.entry(line.start).or_insert_with(|| (line.end, Vec::new())).1.push(i);
                }
                (Label::Line(_), None) => {}
            }
        }
        log
    }

    /// The entries that speak of this step and were not met yet.
    pub fn of(&self, verb: &str, count: u32, span: Span) -> Vec<usize> {
        if self.entries.is_empty() {
            return Vec::new();
        }
        let by_verb = self.by_verb.get(&(verb.to_owned(), count));
        let line = self.by_line.range(..=span.start).next_back().filter(|(_, (end, _))| span.start < *end);
        let by_line = line.map(|(_, (_, list))| list);
        let all = by_verb.into_iter().flatten().chain(by_line.into_iter().flatten());
        let mut found: Vec<usize> =
            all.copied().filter(|i| self.entries.get(*i).is_some_and(|e| !e.met)).collect();
        found.sort_unstable();
        found
    }
}
