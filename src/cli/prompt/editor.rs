//! Lines from a terminal, with history, completion and hints; or from a pipe, as they come.

use std::borrow::Cow;
use std::io::BufRead as _;
use std::path::PathBuf;

use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::highlight::{CmdKind, Highlighter};
use rustyline::hint::Hinter;
use rustyline::history::DefaultHistory;
use rustyline::validate::{ValidationContext, ValidationResult, Validator};
use rustyline::{Config, Context, Editor, Helper};

use super::super::output::answer;
use super::COMMANDS;
use crate::forge;
use crate::steel::grades;

/// Calls `act` for each line, or each run of lines that belong together, until it says no or nothing comes any more.
pub fn each(at_terminal: bool, mut act: impl FnMut(&str) -> bool) {
    if at_terminal && at_keyboard(&mut act).is_some() {
        return;
    }
    let mut open = String::new();
    for line in std::io::stdin().lock().lines() {
        let Ok(line) = line else { return };
        open += &line;
        open.push('\n');
        if goes_on(&open) {
            continue;
        }
        if !act(&std::mem::take(&mut open)) {
            return;
        }
    }
    if !open.trim().is_empty() {
        act(&open);
    }
}

/// Nothing where no editor can be had.
fn at_keyboard(act: &mut impl FnMut(&str) -> bool) -> Option<()> {
    let config = Config::builder().auto_add_history(true).build();
    let mut editor: Editor<Words, DefaultHistory> = Editor::with_config(config).ok()?;
    editor.set_helper(Some(Words));
    let history = history();
    if let Some(path) = &history {
        let _ = editor.load_history(path);
    }
    answer("heatbook: `help` says what can be done here, Ctrl-D ends it\n");
    loop {
        match editor.readline("> ") {
            Ok(line) => {
                let goes = act(&line);
                if let Some(path) = &history {
                    // Added to, so that two prompts side by side do not lose each other's lines.
                    let _ = editor.append_history(path);
                }
                if !goes {
                    return Some(());
                }
            }
            // Ctrl-C drops the line under way.
            Err(ReadlineError::Interrupted) => {}
            Err(_) => return Some(()),
        }
    }
}

/// Where the lines typed are kept, where the system says where such things go.
fn history() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let folder =
        set("XDG_STATE_HOME").or_else(|| set("HOME").map(|h| h.join(".local/state")))?.join("heatbook");
    std::fs::create_dir_all(&folder).ok()?;
    Some(folder.join("history"))
}

/// Whether more must come: a block is open, or the last line ends in a comma.
fn goes_on(text: &str) -> bool {
    let (mut open, mut last) = (0i64, ' ');
    for line in text.lines() {
        let mut quoted = false;
        for c in line.chars() {
            match c {
                '"' => quoted = !quoted,
                '#' if !quoted => break,
                '{' | '(' if !quoted => open += 1,
                '}' | ')' if !quoted => open -= 1,
                _ => {}
            }
            if !c.is_whitespace() {
                last = c;
            }
        }
    }
    open > 0 || last == ','
}

struct Words;

/// What may stand at the start of a line.
fn beginnings() -> impl Iterator<Item = &'static str> {
    let verbs = forge::WORDS.iter().map(|w| w.word);
    verbs.chain(["let", "steel", "note", "shop {", "target", "repeat", "use"]).chain(COMMANDS)
}

impl Completer for Words {
    type Candidate = String;

    fn complete(&self, line: &str, at: usize, _: &Context<'_>) -> rustyline::Result<(usize, Vec<String>)> {
        let before = line.get(..at).unwrap_or("");
        let start = before.rfind(|c: char| c.is_whitespace() || matches!(c, ',' | '(')).map_or(0, |i| i + 1);
        let typed = before.get(start..).unwrap_or("");
        let mut found: Vec<String> = if before.get(..start).unwrap_or("").trim().is_empty() {
            beginnings().filter(|w| w.starts_with(typed)).map(str::to_owned).collect()
        } else {
            let verb = before.split_whitespace().next().and_then(forge::word);
            let clauses = verb.into_iter().flat_map(|w| w.clauses).map(|c| c.word());
            let units = ["mm", "in", "kg", "lb", "min", "tonf"];
            let grades = grades::all().iter().map(|g| g.name.as_str());
            let names = before.split(|c: char| c.is_whitespace() || c == ',').filter(|w| w.len() > 2);
            let all = clauses.chain(units).chain(grades).chain(names);
            all.filter(|w| w.starts_with(typed) && *w != typed).map(str::to_owned).collect()
        };
        found.sort();
        found.dedup();
        Ok((start, found))
    }
}

impl Hinter for Words {
    type Hint = String;

    fn hint(&self, line: &str, at: usize, _: &Context<'_>) -> Option<String> {
        // Behind a verb alone: how its line goes on.
        let verb = line.trim_start().strip_suffix(' ').filter(|_| at == line.len())?;
        let example = forge::word(verb)?.example;
        example.strip_prefix(verb).map(|rest| rest.trim_start().to_owned())
    }
}

impl Highlighter for Words {
    /// What begins the line stands out, once it is a word that is known: a slip is seen before it is sent.
    fn highlight<'l>(&self, line: &'l str, _: usize) -> Cow<'l, str> {
        let first = line.split_whitespace().next().unwrap_or("");
        let known = beginnings().any(|w| w.split(' ').next() == Some(first));
        match line.split_once(first) {
            Some((before, after)) if known && !first.is_empty() && std::env::var_os("NO_COLOR").is_none() => {
                Cow::Owned(format!("{before}\x1b[1m{first}\x1b[0m{after}"))
            }
            _ => Cow::Borrowed(line),
        }
    }

    fn highlight_char(&self, _: &str, _: usize, _: CmdKind) -> bool {
        true
    }
}

impl Validator for Words {
    fn validate(&self, context: &mut ValidationContext<'_>) -> rustyline::Result<ValidationResult> {
        let more = goes_on(context.input());
        Ok(if more { ValidationResult::Incomplete } else { ValidationResult::Valid(None) })
    }
}

impl Helper for Words {}

#[cfg(test)]
mod tests {
    use super::goes_on;

    #[test]
    fn a_block_and_a_trailing_comma_go_on() {
        assert!(goes_on("target b {\n"));
        assert!(goes_on("stack b = a,\n"));
        assert!(goes_on("stack b = a, # and\n"));
        assert!(!goes_on("target b {\n  width >= 3 mm\n}\n"));
        assert!(!goes_on("note \"a { and a ,\"\n"));
        assert!(!goes_on("# {\n"));
    }
}
