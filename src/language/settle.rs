//! What is offered for a line is read once more with it in: what the line then lacks is offered along, and what else is wrong with the
//! line is told with it.

use std::collections::{BTreeMap, BTreeSet};

use super::{format, parse, vocabulary, wording};
use crate::forge;
use crate::source::{Code, Diagnostic, Files, Fix, Span};

/// How often a text is read again at the most (project figure).
const MOST: usize = 24;
/// Steps that are planned again in all, so many bytes of text being as much as one of them: about a tenth of a second (estimated).
const PATIENCE: usize = 20_000;
const BYTES: usize = 32;
/// How often what an offer lacks is put in.
const ROUNDS: usize = 3;

/// The address of the file behind each `use`.
type Uses = BTreeMap<Span, u32>;

/// Words in the place of others, and where addresses behind them go.
struct Edit {
    at: Span,
    words: String,
}

impl Edit {
    fn of(fix: &Fix) -> Edit {
        Edit { at: fix.span, words: fix.text.clone() }
    }

    /// The words that it put in.
    fn made(&self) -> Span {
        Span::within(self.at.start, 0..self.words.len())
    }

    /// Where an address of the text before stands after it.
    fn forth(&self, at: u32) -> u32 {
        let before = at <= self.at.start || at < self.at.end;
        if before { at } else { (at - self.at.end) + self.made().end }
    }

    /// Where a span of the text after it stood before; nothing where it touches what was put in.
    fn back(&self, span: Span) -> Option<Span> {
        let made = self.made();
        let to = |at: u32| if at >= made.end { (at - made.end) + self.at.end } else { at };
        let apart = span.end <= made.start || span.start >= made.end;
        apart.then(|| Span { start: to(span.start), end: to(span.end) })
    }
}

/// Tries what faults offer: `again` reads other files, whose plan has about so many steps, to what is wrong with them. What there is no
/// patience left for is said not to be tried.
pub fn settle(
    files: &Files,
    uses: &Uses,
    steps: usize,
    faults: Vec<Diagnostic>,
    again: impl FnMut(&Files, &Uses, &dyn Fn(u32) -> u32) -> Vec<Diagnostic>,
) -> Vec<Diagnostic> {
    tried(files, uses, steps, faults, again).into_iter().map(in_style).collect()
}

/// A fault with the line that its help offers in the house style.
fn in_style(mut fault: Diagnostic) -> Diagnostic {
    let Some(help) = &mut fault.help else { return fault };
    let begins = ["write `", "say it in full, as in `"].into_iter().find(|words| help.starts_with(words));
    let Some(from) = begins.map(str::len) else { return fault };
    let line = help.get(from..).and_then(|rest| rest.split('`').next()).unwrap_or_default();
    if let Some(styled) = format::offered(line) {
        let end = from + line.len();
        help.replace_range(from..end, &styled);
    }
    fault
}

fn tried(
    files: &Files,
    uses: &Uses,
    steps: usize,
    faults: Vec<Diagnostic>,
    mut again: impl FnMut(&Files, &Uses, &dyn Fn(u32) -> u32) -> Vec<Diagnostic>,
) -> Vec<Diagnostic> {
    if faults.iter().all(|f| f.fix.is_none()) {
        return faults;
    }
    let mut left = (PATIENCE / (steps + files.size() / BYTES).max(1)).min(MOST);
    let known: BTreeSet<String> = faults.iter().map(|f| f.message.clone()).collect();
    let mut tried = |edit: &Edit| {
        left = left.checked_sub(1)?;
        let to = |span: Span| Span { start: edit.forth(span.start), end: edit.forth(span.end) };
        let files = files.with(edit.at, &edit.words)?;
        let uses = uses.iter().map(|(span, base)| (to(*span), edit.forth(*base))).collect();
        let line = files.line_of(edit.made())?;
        let found = again(&files, &uses, &|at| edit.forth(at));
        let here = |f: &Diagnostic| line.start <= f.span().start && f.span().start < line.end;
        let new = found.into_iter().filter(|f| here(f) && !known.contains(&f.message)).collect::<Vec<_>>();
        Some((files, new))
    };
    let mut made = Vec::new();
    for mut fault in faults {
        let Some(fix) = fault.fix.as_deref().filter(|_| fault.also.is_none()) else {
            made.push(fault);
            continue;
        };
        let mut edit = Edit::of(fix);
        let mut round = 0;
        let mut others = Vec::new();
        loop {
            let Some((now, new)) = tried(&edit) else {
                fault.help = fault.help.map(|help| format!("{help} (not tried)"));
                break;
            };
            let (own, apart): (Vec<_>, Vec<_>) = new.into_iter().partition(|f| edit.back(f.span()).is_none());
            // Read in smiths' other words it can be too crooked for what is put in.
            let right = || files.line_of(edit.at).and_then(|at| parse::put_right(files.text(at)));
            let crooked = || apart.iter().any(unread) || (own.iter().any(unread) && right().is_some());
            if !unread(&fault) && crooked() {
                let line = right();
                // What else is wrong with it is seen with the mend in the words that it is read in.
                let mended = files.line_of(edit.at).zip(line.as_ref()).and_then(|(at, line)| {
                    let (old, mut places) = (files.text(edit.at), line.match_indices(files.text(edit.at)));
                    let one = !old.is_empty() && places.next().is_some() && places.next().is_none();
                    one.then(|| Edit { at, words: line.replacen(old, &edit.words, 1) })
                });
                if let Some((edit, (_, new))) = mended.and_then(|edit| Some((edit.at, tried(&edit)?))) {
                    others.extend(new.into_iter().filter(|other| !unread(other)).map(|mut other| {
                        other.labels.iter_mut().for_each(|label| label.span = edit);
                        Diagnostic { fix: None, also: None, ..other }
                    }));
                }
                let whole = || parse::put_right(now.text(now.line_of(edit.made())?));
                fault.fix = None;
                fault.help = line
                    .map(|line| format!("first write the line as `{}`", line.trim()))
                    .or_else(|| whole().map(|line| format!("write `{}`", line.trim())))
                    .or_else(|| form(&now, &edit))
                    .or(fault.help);
                break;
            }
            if round == 0 {
                others.extend(apart.into_iter().filter_map(|mut other| {
                    for label in &mut other.labels {
                        label.span = edit.back(label.span)?;
                    }
                    other.fix = other
                        .fix
                        .and_then(|fix| Some(Box::new(Fix { span: edit.back(fix.span)?, text: fix.text })));
                    Some(other)
                }));
            }
            let Some(first) = own.into_iter().next() else { break };
            // Which piece a target is of is the smith's.
            if first.code == Code::UnknownName && edit.words.trim_start().starts_with("target ") {
                break;
            }
            // A piece that nothing makes is told besides, where the line as it is written speaks of it.
            if let Some(besides) = in_the_line(files, &now, &edit, &first) {
                others.extend((round == 0).then_some(besides));
                break;
            }
            round += 1;
            match first.fix.as_deref().filter(|_| round < ROUNDS).and_then(|fix| put(files, &now, &edit, fix))
            {
                Some((whole, line)) => {
                    fault.help = Some(format!("write `{line}`"));
                    fault.fix = Some(Box::new(Fix { span: whole.at, text: whole.words.clone() }));
                    edit = whole;
                }
                // What is offered is not all that is needed, and nobody knows the rest: the form is said.
                None => {
                    fault.fix = None;
                    let own = fault.help.take();
                    // What is called how, and where a piece went, is nothing that the line said.
                    let of_names = [Code::UnknownName, Code::Spent].contains(&first.code);
                    let help = first.help.filter(|help| help.contains('`') && !of_names);
                    // What the line lacks is said behind it as it is offered, so that its own figures stay.
                    let adds = help.as_ref().is_some_and(|help| help.starts_with("add "));
                    let whole = own.as_ref().filter(|own| adds && own.starts_with("write `"));
                    let both = whole
                        .zip(help.as_ref())
                        .map(|(own, help)| format!("{own}; this still lacks something: {help}"));
                    fault.help = both.or(help).or_else(|| form(&now, &edit)).or(own);
                    break;
                }
            }
        }
        // What the whole line as it is offered mends along is told with it.
        others.retain(|other| {
            round == 0 || other.span().start < edit.at.start || other.span().end > edit.at.end
        });
        made.push(fault);
        made.extend(others);
    }
    made
}

/// Whether a line could not be read, whatever it may mean.
fn unread(fault: &Diagnostic) -> bool {
    let codes = [
        Code::Syntax,
        Code::Unfinished,
        Code::UnknownUnit,
        Code::UnknownVerb,
        Code::ClauseUnknown,
        Code::UnknownEntry,
        Code::ReservedName,
    ];
    codes.contains(&fault.code)
}

/// A fault of an edited line that says that there is no such piece, where the line had the name before.
fn in_the_line(files: &Files, now: &Files, edit: &Edit, fault: &Diagnostic) -> Option<Diagnostic> {
    let [label] = fault.labels.as_slice() else { return None };
    let name = now.text(label.span);
    let line = files.line_of(edit.at).filter(|_| fault.code == Code::UnknownName && fault.fix.is_none())?;
    let text = files.text(line);
    // Where the verb is another, so may the piece be.
    let verb = |line: &str| line.split_whitespace().next().map(vocabulary::house_verb);
    if verb(text) != verb(now.text(now.line_of(edit.made())?)) {
        return None;
    }
    let (at, _) = wording::strange(text).into_iter().find(|(at, _)| text.get(at.clone()) == Some(name))?;
    let mut fault = fault.clone();
    fault.labels.iter_mut().for_each(|label| label.span = Span::within(line.start, at.clone()));
    Some(fault)
}

/// The form of the verb of an edited line.
fn form(files: &Files, edit: &Edit) -> Option<String> {
    let line = files.text(files.line_of(edit.made())?);
    let word = forge::word(line.split_whitespace().next()?)?;
    Some(format!("the form is `{}`", word.example))
}

/// Two edits of one line, the second in the text that the first makes, as one of the whole line; and the line then.
fn put(files: &Files, now: &Files, first: &Edit, second: &Fix) -> Option<(Edit, String)> {
    let line = now.line_of(first.made())?;
    let text = now.text(line);
    let (Some(start), Some(end)) =
        (second.span.start.checked_sub(line.start), second.span.end.checked_sub(line.start))
    else {
        return None;
    };
    let words = format!("{}{}{}", text.get(..start as usize)?, second.text, text.get(end as usize..)?);
    let at = files.line_of(first.at)?;
    let line = words.trim().to_owned();
    (!words.contains('\n')).then_some((Edit { at, words }, line))
}
