//! The shop of a plan, and what used files bring besides recipes: lets, steels, and entries that the own shop leaves out.

use std::collections::BTreeMap;

use super::ast::{self, Clause, Statement};
use super::planner::Planner;
use crate::forge::{Entry, Key};
use crate::source::{Code, Diagnostic, Span};

/// Entries that a shop may state more than once.
fn many(key: &str) -> bool {
    key == "price"
}

/// What an entry states: its word, and the tool that a spread is of.
fn stated(entry: &Clause<&'static str>) -> (&'static str, &'static str) {
    let tool = entry.args.iter().find_map(|a| match a {
        ast::Arg::Word(word, _) if entry.key == Key::Spread.word() => Some(*word),
        _ => None,
    });
    (entry.key, tool.unwrap_or(""))
}

impl Planner<'_> {
    /// The lets that a shop may use come first, then the shop: it holds for the whole file.
    pub(super) fn shop(&mut self, own: &[Statement], used: &[Vec<Statement>]) {
        let mut first: Option<Span> = None;
        let ours: Vec<&str> = own
            .iter()
            .filter_map(|s| if let Statement::Let(name, _) = s { Some(name.text.as_str()) } else { None })
            .collect();
        for statement in used.iter().flatten() {
            if let Statement::Let(name, quantity) = statement
                && !ours.contains(&name.text.as_str())
            {
                self.figures.bind(name, quantity);
            }
        }
        for statement in own {
            match statement {
                Statement::Let(name, quantity) | Statement::Mark(_, name, quantity) => {
                    self.figures.bind(name, quantity);
                }
                Statement::Broken(Some(name)) => self.figures.broken(&name.text),
                _ => {}
            }
        }
        let mut seen: BTreeMap<(&str, &str), Span> = BTreeMap::new();
        for statement in own {
            let Statement::Shop(entries, span) = statement else { continue };
            if let Some(first) = first {
                let fault = Diagnostic::new(
                    Code::TwoShops,
                    "a recipe is worked in one shop",
                    *span,
                    "a second shop here",
                );
                self.faults
                    .push(fault.and(first, "the first is here").help("put all entries into one block"));
                continue;
            }
            first = Some(*span);
            for entry in entries {
                if let Some(before) = seen.insert(stated(entry), entry.span).filter(|_| !many(entry.key)) {
                    let message = format!("the shop states its `{}` twice", entry.key);
                    let fault =
                        Diagnostic::new(Code::EntryTwice, message, entry.span, "stated once more here");
                    self.faults.push(fault.and(before, "first stated here").help("keep one of the two"));
                    continue;
                }
                self.enter(entry);
            }
        }
        // What the file's own shop leaves out, a used one may state.
        for statement in used.iter().flatten() {
            let Statement::Shop(entries, _) = statement else { continue };
            for entry in entries.iter().filter(|e| !seen.contains_key(&stated(e))) {
                self.enter(entry);
            }
        }
    }

    fn enter(&mut self, entry: &Clause<&'static str>) {
        let (_, tool) = stated(entry);
        let address = match entry.args.first() {
            _ if !tool.is_empty() => format!("shop {} with {tool}", entry.key),
            Some(ast::Arg::Name(of)) => format!("shop {} of {}", entry.key, of.text),
            Some(ast::Arg::Grade(of)) => format!("shop {} of {}", entry.key, of.text),
            _ => format!("shop {}", entry.key),
        };
        let args = self.args(&entry.args, &address);
        let entry = Entry { word: entry.key, span: entry.span, args };
        self.faults.extend(entry.unsound(|slot| self.figures.value(slot)));
        self.shop.enter(&entry, &mut self.faults);
    }

    /// Steels of used files, where the file has none of that name itself.
    pub(super) fn used_steels(&mut self, own: &[Statement], used: &[Vec<Statement>]) {
        let ours: Vec<&str> = own
            .iter()
            .filter_map(
                |s| if let Statement::Steel { name, .. } = s { Some(name.text.as_str()) } else { None },
            )
            .collect();
        for statement in used.iter().flatten() {
            if let Statement::Steel { name, like, contents, span } = statement
                && !ours.contains(&name.text.as_str())
            {
                self.steel(name, like, contents, *span);
            }
        }
    }
}
