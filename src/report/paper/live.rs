//! The page that `watch --page` serves: the sheet, what is wrong, and what changed since the last save.

use super::data::sheet;
use super::html::{body, frame};
use super::markup::own;
use crate::report::changed::changed_text;
use crate::report::diagnostics::{Style, diagnostics};
use crate::report::tame::markup as text;
use crate::report::{BenchSheet, Page};
use crate::source::Diagnostic;

/// Where the page takes its script from, and where that asks which save is the last.
pub const SCRIPT_AT: &str = "/follow.js";
/// See [`SCRIPT_AT`].
pub const NOW_AT: &str = "/now";

/// Loads the page again once another save is the last; says so where nobody answers any more.
pub const SCRIPT: &str = "\
const shown = document.documentElement.dataset.saved;
setInterval(async () => {
  try {
    const now = await (await fetch('/now')).text();
    if (now !== shown) location.reload();
    document.getElementById('gone').hidden = true;
  } catch {
    document.getElementById('gone').hidden = false;
  }
}, 500);
";

/// What stands on the page after a save.
pub struct LivePage<'a> {
    /// The recipe as it was saved last.
    pub now: Page<'a>,
    /// As it was before.
    pub before: Option<Page<'a>>,
    /// How many cores draw its patterns.
    pub cores: usize,
}

impl LivePage<'_> {
    /// The page; `save` tells one save from the other.
    #[must_use]
    pub fn html(&self, save: &str) -> String {
        let now = &self.now;
        let mut told = String::new();
        if let Some(before) = &self.before {
            let changed = changed_text(before, now);
            told += &format!("<h2 id=\"changed\">since the last save</h2>\n{}", block(&changed));
        }
        let found: Vec<&Diagnostic> = now.verdict.faults.iter().chain(&now.verdict.warnings).collect();
        if !found.is_empty() {
            let found = diagnostics(&found, now.files, Style::Plain);
            told += &format!("<h2 id=\"found\">faults and warnings</h2>\n{}", block(&found));
        }
        let under = if now.verdict.workable() {
            let patterns = BenchSheet { page: *now, cores: self.cores }.patterns();
            body(&sheet(now), &patterns, now.units, &told)
        } else {
            format!(
                "<h1>{}</h1>\n<p class=\"verdict\">the recipe cannot be worked as written: its sheet is shown once that is mended</p>\n{told}",
                own(now.name)
            )
        };
        live(now.name, save, &under)
    }
}

/// The page of a recipe that cannot be read.
#[must_use]
pub fn unread_html(name: &str, why: &str, save: &str) -> String {
    live(name, save, &format!("<h1>{}</h1>\n<p class=\"verdict\">{}</p>\n", own(name), text(why)))
}

/// Lines as they are.
fn block(lines: &str) -> String {
    let lines: Vec<String> = lines.trim_end().lines().map(text).collect();
    format!("<pre>{}</pre>\n", lines.join("\n"))
}

fn live(name: &str, save: &str, under: &str) -> String {
    let gone = "<p id=\"gone\" class=\"mind\" hidden>nobody watches this recipe any more: what stands here may be old</p>\n";
    let head = format!(
        "<script src=\"{SCRIPT_AT}\" defer></script>\n<noscript><meta http-equiv=\"refresh\" content=\"2\"></noscript>\n"
    );
    let begin = format!("<!doctype html>\n<html lang=\"en\" data-saved=\"{save}\">\n");
    frame(&begin, name, &head, &(gone.to_owned() + under))
}
