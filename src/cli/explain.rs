//! `heatbook explain TOPIC`: what a word of the language means; `explain FILE`: the recipes of a file that can be called.

use std::fmt::Write as _;
use std::path::Path;

use clap::Args;

use super::exit::Exit;
use super::output::{Format, Options, answer};
use super::work::{read, usage};
use crate::manual::{self, Topic};
use crate::report::{explain_json, explain_text, topic_text, topics_json, topics_text};

/// Explains a word of the language, a code, or the recipes of a file.
#[derive(Args, Debug)]
pub struct Explain {
    /// A verb, clause, unit, steel, law, entry or code, perhaps with its kind before it (`clause spread`); or a recipe file,
    /// perhaps with the one recipe of it that is meant
    #[arg(value_name = "TOPIC or FILE")]
    words: Vec<String>,
}

impl Explain {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let asked = self.words.join(" ").trim().to_owned();
        let Some(first) = self.words.first().filter(|_| !asked.is_empty()) else {
            answer(&match options.format {
                Format::Json => topics_json(),
                Format::Table | Format::Csv => topics_text(),
            });
            return Exit::Met;
        };
        let file = first == "-" || Path::new(first).extension().is_some_and(|e| e == "heat");
        let found = if file || Path::new(first).is_file() { Vec::new() } else { manual::find(&asked) };
        if !found.is_empty() {
            answer(&match options.format {
                Format::Json => explain_json(&found),
                Format::Table | Format::Csv => explain_text(&found),
            });
            return Exit::Met;
        }
        if file || Path::new(first).exists() {
            return recipes(first, self.words.get(1), options);
        }
        if let Some(topic) = Topic::of(&asked) {
            answer(&topic_text(topic));
            return Exit::Met;
        }
        usage(unknown(&asked))
    }
}

/// What to say of a word that has no page.
fn unknown(asked: &str) -> String {
    if crate::language::is_later(asked) {
        return format!("`{asked}` is a word of the language that this version does not read yet");
    }
    let meant = manual::nearest(asked).map_or(String::new(), |name| format!("; did you mean `{name}`"));
    // A pasted page is not repeated whole.
    let asked: String = asked.chars().take(60).collect();
    format!(
        "nothing is told of `{asked}`, and there is no such file{meant}; `heatbook explain` lists what is"
    )
}

/// The recipes of a file, or the one that is named.
fn recipes(file: &str, named: Option<&String>, options: &Options) -> Exit {
    let job = match read(file, options) {
        Ok(job) => job,
        Err(message) => return usage(message),
    };
    let mut text = String::new();
    for recipe in &job.plan.recipes {
        if named.is_some_and(|wanted| *wanted != recipe.name) {
            continue;
        }
        let _ = writeln!(text, "{}: {}", recipe.name, recipe.doc);
        for param in &recipe.params {
            let default = match param.default {
                Some(span) => format!(" = {}", job.files.text(span)),
                None => " (must be told)".to_owned(),
            };
            let doc = if param.doc.is_empty() { String::new() } else { format!(": {}", param.doc) };
            let _ = writeln!(text, "  {}, {}{default}{doc}", param.name, param.kind);
        }
        let first = recipe.params.first().map_or(String::new(), |p| {
            let value = p.default.map_or("…".to_owned(), |span| job.files.text(span).to_owned());
            format!("{} = {value}", p.name)
        });
        let _ = writeln!(text, "  called like: stock billet = {}({first})", recipe.name);
    }
    if text.is_empty() {
        let all: Vec<&str> = job.plan.recipes.iter().map(|r| r.name.as_str()).collect();
        let what = if all.is_empty() {
            format!("no `recipe NAME(…) {{ … }}` stands in `{file}`")
        } else {
            format!("`{file}` has no such recipe; it has {}", all.join(", "))
        };
        return usage(what);
    }
    answer(&text);
    if job.found.is_empty() {
        Exit::Met
    } else {
        options.findings(&job.found.iter().collect::<Vec<_>>(), &job.files);
        Exit::Fault
    }
}
