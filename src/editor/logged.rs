//! Build logs: the steps that their entries speak of.

use std::fmt::Write as _;

use crate::forge::Form;
use crate::replay::Planned;
use crate::source::Span;

use super::documents::View;
use super::figures;

/// A label of a log: `weld 2`, or `line 12`, and where it stands in its line, bytes.
struct Label<'t> {
    word: &'t str,
    number: u32,
    from: usize,
    to: usize,
}

/// The label that a line of a log begins with.
fn label(line: &str) -> Option<Label<'_>> {
    let behind = line.trim_start().strip_prefix("at ")?.trim_start();
    let from = line.len() - behind.len();
    let (label, _) = behind.split_once(':').unwrap_or((behind, ""));
    let label = label.trim_end();
    let (word, number) = label.rsplit_once(' ')?;
    let number = number.parse().ok()?;
    Some(Label { word: word.trim_end(), number, from, to: from + label.len() })
}

/// A step that can be measured, by what a log calls it: the verb and its count.
fn steps<'v>(view: &View<'v>) -> impl Iterator<Item = (String, &'v Planned)> + use<'v> {
    let analysis = view.analysis;
    let steps = analysis.plan.steps.iter().filter(|s| matches!(s.word.form, Form::Work | Form::Stack));
    steps.filter_map(|s| Some((format!("{} {}", s.word.word, s.nth?), s)))
}

/// What entries behind `at` could speak of, in the order of the work, without those that are read already: the label, and the words of the step.
pub fn unread(view: &View) -> Vec<(String, String)> {
    let read: Vec<Label> = view.text.text.lines().filter_map(label).collect();
    let lines = |s: &Planned| view.analysis.files.line(s.span);
    let told = |name: &str, s: &Planned| {
        read.iter().any(|l| {
            if l.word == "line" { l.number == lines(s) } else { format!("{} {}", l.word, l.number) == name }
        })
    };
    let left = steps(view).filter(|(name, s)| !told(name, s));
    left.map(|(name, s)| (name, view.analysis.files.words(s.span))).collect()
}

/// The label under a place of a log, and the steps that it speaks of.
pub fn at<'v>(view: &View<'v>, offset: usize) -> Option<(Span, Vec<&'v Planned>)> {
    if !view.analysis.is_log() {
        return None;
    }
    let text = view.text.text;
    let start = text.get(..offset)?.rfind('\n').map_or(0, |at| at + 1);
    let label = label(text.get(start..)?.lines().next()?)?;
    let (from, to) = (start + label.from, start + label.to);
    if !(from..=to).contains(&offset) {
        return None;
    }
    let named = format!("{} {}", label.word, label.number);
    let meant = |name: &str, s: &Planned| {
        if label.word == "line" { view.analysis.files.line(s.span) == label.number } else { name == named }
    };
    let found = steps(view).filter(|(name, s)| meant(name, s)).map(|(_, s)| s).collect();
    Some((Span { start: view.analysis.address(from), end: view.analysis.address(to) }, found))
}

/// What is told of a label: the words of its step, and what the piece comes to behind it.
pub fn told(view: &View, steps: &[&Planned]) -> Option<String> {
    let step = steps.first()?;
    let files = &view.analysis.files;
    let mut told = format!("line {} of the recipe: `{}`\n\n", files.line(step.span), files.words(step.span));
    if let [_, more @ ..] = steps
        && !more.is_empty()
    {
        let _ = writeln!(told, "worked {} times; of the first:  ", steps.len());
    }
    let shown = step.gives.first().and_then(|lot| figures::told(view.analysis, *lot));
    let shown = shown.unwrap_or_else(|| "not made: a fault stands in the way".to_owned());
    let _ = writeln!(told, "as foretold, after this step: {shown}");
    Some(told)
}
