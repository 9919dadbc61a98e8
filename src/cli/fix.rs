//! Mending what was written wrong, as far as the findings of reading know how. What a step or a target asks stays the smith's.

use super::disk::{Disk, Named};
use super::output::Options;
use super::work::planned;
use super::write::exchange;
use crate::source::{Diagnostic, Fix, line_ends};
use crate::workshop::{Document, Job};

/// A mend may lay bare what the next one mends; more rounds than that are not run (project figure).
const ROUNDS: usize = 8;

/// Mends a file where it cannot be read as it stands, in one go; what was done, a sentence each.
///
/// # Errors
/// A sentence that says what cannot be read or written; the file is as it was then.
pub fn fix(path: &Named, options: &Options) -> Result<Vec<String>, String> {
    if path.is_stream() {
        return Err("`--fix` writes into the file: name one".to_owned());
    }
    let document = Disk::document(path)?;
    let was = &document.text;
    let (mut made, mut done) = (was.clone(), Vec::new());
    let mut job = read(&document, &made, options)?;
    for _ in 0..ROUNDS {
        let fixes = fixes(&job);
        if fixes.is_empty() {
            break;
        }
        let mut text = made.clone();
        let mut said = Vec::new();
        for fix in fixes.iter().rev() {
            let (from, to) = ((fix.span.start - job.own) as usize, (fix.span.end - job.own) as usize);
            if !text.is_char_boundary(from) || !text.is_char_boundary(to) {
                return Err(format!("`{path}` has changed meanwhile: nothing is written"));
            }
            let at = job.files.place(fix.span);
            let place = format!("{}:{}:{}", at.file, at.line, at.column);
            said.push(match (text.get(from..to).unwrap_or_default(), fix.text.as_str()) {
                (gone, "") => format!("{place}: `{gone}` is taken away"),
                ("", new) => format!("{place}: `{new}` is put in"),
                (gone, new) => format!("{place}: `{new}` instead of `{gone}`"),
            });
            text.replace_range(from..to, &fix.text);
        }
        // A mend that leaves no less to mend is none.
        let after = read(&document, &text, options)?;
        if after.found.len() >= job.found.len() {
            break;
        }
        done.extend(said.into_iter().rev());
        (job, made) = (after, text);
    }
    if made != *was {
        exchange(path, was, &made)?;
    }
    Ok(done)
}

/// Reads another text in the place of a document's.
fn read(document: &Document, text: &str, options: &Options) -> Result<Job, String> {
    let (name, path) = (document.name.clone(), document.path.clone());
    planned(Document { name, path, text: line_ends(text).into_owned() }, options, &options.set)
}

/// The edits of one round: each finding's, where all of them lie in the file itself and apart from those before it.
fn fixes(job: &Job) -> Vec<Fix> {
    let mut taken: Vec<Fix> = Vec::new();
    let own = |fix: &Fix| job.files.whole(fix.span).is_some_and(|(_, _, base)| base == job.own);
    for found in &job.found {
        let Diagnostic { fix, also, .. } = found;
        let edits: Vec<Fix> = [fix, also].into_iter().flatten().map(|fix| (**fix).clone()).collect();
        let apart =
            |fix: &Fix| taken.iter().all(|t| fix.span.end < t.span.start || t.span.end < fix.span.start);
        if edits.iter().all(|fix| own(fix) && apart(fix)) {
            taken.extend(edits);
        }
    }
    taken.sort_by_key(|fix| fix.span.start);
    taken
}
