//! `heatbook explain TOPIC`: what a word of the language means; `explain FILE`: the recipes of a file that can be called.

use std::ffi::OsString;

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Format, Options, Stop};
use super::work::read;
use crate::manual::{self, Topic};
use crate::quantity::Units;
use crate::report::{ExplainPage, RecipesPage, TopicsPage};

/// Explains a word of the language, a code, or the recipes of a file.
#[derive(Args, Debug)]
pub struct Explain {
    /// A verb, clause, unit, steel, law, entry or code, perhaps with its kind before it (`clause spread`); or a recipe file,
    /// perhaps with the one recipe of it that is meant
    #[arg(value_name = "TOPIC or FILE")]
    words: Vec<OsString>,
}

impl Explain {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let words: Vec<_> = self.words.iter().map(|word| word.to_string_lossy()).collect();
        let asked = words.join(" ").trim().to_owned();
        let Some(first) = self.words.first().filter(|_| !asked.is_empty()) else {
            return options.respond(&TopicsPage(None));
        };
        let first = Named::from(first);
        let file = first.is_stream() || first.to_string().ends_with(".heat");
        let found = if file || first.path().is_file() { Vec::new() } else { manual::find(&asked) };
        if !found.is_empty() {
            return options.respond(&ExplainPage {
                pages: &found,
                units: options.units_asked().unwrap_or(Units::Metric),
            });
        }
        if file || first.path().exists() {
            return recipes(&first, words.get(1).map(AsRef::as_ref), options);
        }
        let topic = Topic::of(&asked).ok_or_else(|| unknown(&asked))?;
        options.respond(&TopicsPage(Some(topic)))
    }
}

/// What to say of a word that has no page.
fn unknown(asked: &str) -> String {
    let meant = manual::nearest(asked).map_or(String::new(), |name| format!("; did you mean `{name}`"));
    // A pasted page is not repeated whole.
    let asked: String = asked.chars().take(60).collect();
    format!(
        "nothing is told of `{asked}`, and there is no such file{meant}; `heatbook explain` lists what is"
    )
}

/// The recipes of a file, or the one that is named.
fn recipes(file: &Named, named: Option<&str>, options: &Options) -> Done {
    let job = read(file, options)?;
    let all = &job.plan.recipes;
    let recipes: Vec<_> = all.iter().filter(|r| named.is_none_or(|wanted| wanted == r.name)).collect();
    if recipes.is_empty() {
        let names: Vec<&str> = all.iter().map(|r| r.name.as_str()).collect();
        return Err(Stop::Usage(if names.is_empty() {
            format!("no `recipe NAME(…) {{ … }}` stands in `{file}`")
        } else {
            format!("`{file}` has no such recipe; it has {}", names.join(", "))
        }));
    }
    options.respond(&RecipesPage { files: &job.files, recipes, found: &job.found })?;
    if job.found.is_empty() {
        return Ok(Exit::Met);
    }
    if options.format != Format::Json {
        options.findings(&job.found.iter().collect::<Vec<_>>(), &job.files);
    }
    Ok(Exit::Fault)
}
