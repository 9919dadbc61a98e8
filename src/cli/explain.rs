//! `heatbook explain FILE`: the recipes of a file that can be called, and what each parameter means.

use std::fmt::Write as _;

use clap::Args;

use super::Exit;
use super::output::{Options, answer, warn_line};
use super::run::Read;

/// Explains the recipes of a file that can be called.
#[derive(Args, Debug)]
pub struct Explain {
    /// A recipe file
    file: String,
    /// Only the recipe of this name
    recipe: Option<String>,
}

impl Explain {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let read = match Read::new(&self.file, options, &options.set) {
            Ok(read) => read,
            Err(message) => {
                warn_line(&message);
                return Exit::Usage;
            }
        };
        let mut text = String::new();
        for recipe in &read.plan.recipes {
            if self.recipe.as_ref().is_some_and(|wanted| *wanted != recipe.name) {
                continue;
            }
            let _ = writeln!(text, "{}: {}", recipe.name, recipe.doc);
            for param in &recipe.params {
                let default = match param.default {
                    Some(span) => format!(" = {}", read.files.text(span)),
                    None => " (must be told)".to_owned(),
                };
                let doc = if param.doc.is_empty() { String::new() } else { format!(": {}", param.doc) };
                let _ = writeln!(text, "  {}, {}{default}{doc}", param.name, param.kind);
            }
            let first = recipe.params.first().map_or(String::new(), |p| {
                let value = p.default.map_or("…".to_owned(), |span| read.files.text(span).to_owned());
                format!("{} = {value}", p.name)
            });
            let _ = writeln!(text, "  called like: stock billet = {}({first})", recipe.name);
        }
        if text.is_empty() {
            let all: Vec<&str> = read.plan.recipes.iter().map(|r| r.name.as_str()).collect();
            let what = if all.is_empty() {
                format!("no `recipe NAME(…) {{ … }}` stands in `{}`", self.file)
            } else {
                format!("`{}` has no such recipe; it has {}", self.file, all.join(", "))
            };
            warn_line(&what);
            return Exit::Usage;
        }
        answer(&text);
        if read.found.is_empty() {
            Exit::Met
        } else {
            options.findings(&read.found.iter().collect::<Vec<_>>(), &read.files);
            Exit::Fault
        }
    }
}
