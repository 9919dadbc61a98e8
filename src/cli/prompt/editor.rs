//! Lines from a terminal, with history, completion and hints; or from a pipe, as they come.

use std::borrow::Cow;
use std::io::{BufRead as _, ErrorKind};
use std::path::PathBuf;

use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::highlight::{CmdKind, Highlighter};
use rustyline::hint::Hinter;
use rustyline::history::DefaultHistory;
use rustyline::validate::{ValidationContext, ValidationResult, Validator};
use rustyline::{CompletionType, Config, Context, Editor, Helper};

use super::super::output::print;
use crate::forge;
use crate::manual::{self, Topic};
use crate::study::Side;

/// Words that the prompt itself knows.
pub const COMMANDS: [&str; 18] = [
    "what if", "why", "targets", "rack", "fill", "sweep", "nudge", "odds", "picture", "steels", "undo",
    "redo", "show", "load", "save", "help", "explain", "quit",
];

/// What a session has that can be named: completion offers it.
#[derive(Default)]
pub struct Offers {
    /// Pieces, those on the rack too, `let`s and recipes.
    pub names: Vec<String>,
    /// The addresses of figures, for `what if`.
    pub addresses: Vec<String>,
}

/// What comes from whoever types.
pub enum Typed<'l> {
    /// A line, or several that belong together.
    Lines(&'l str),
    /// A line that is no text.
    NoText,
    /// That nothing more comes; a person may be asked whether that is meant.
    End,
}

/// What comes of it.
pub struct Acted {
    /// Whether the session goes on.
    pub goes: bool,
    /// What can be named now; nothing where nobody types.
    pub offers: Offers,
}

/// Calls `act` for each line, or each run of lines that belong together, until it says no or nothing comes any more.
pub fn each(at_terminal: bool, offers: Offers, mut act: impl FnMut(Typed) -> Acted) {
    if at_terminal && at_keyboard(offers, &mut act).is_some() {
        return;
    }
    let (mut open, mut from) = (String::new(), std::io::stdin().lock());
    loop {
        let mut line = Vec::new();
        match from.read_until(b'\n', &mut line) {
            Ok(0) | Err(_) => break,
            Ok(_) => {}
        }
        let goes = match String::from_utf8(line) {
            Ok(line) => {
                open += line.trim_end_matches(['\n', '\r']);
                open.push('\n');
                goes_on(&open) || act(Typed::Lines(&std::mem::take(&mut open))).goes
            }
            Err(_) => act(Typed::NoText).goes,
        };
        if !goes {
            return;
        }
    }
    if !open.trim().is_empty() {
        act(Typed::Lines(&open));
    }
}

/// Nothing where no editor can be had.
fn at_keyboard(offers: Offers, act: &mut impl FnMut(Typed) -> Acted) -> Option<()> {
    // Several that are offered are listed, as shells do.
    let config = Config::builder().auto_add_history(true).completion_type(CompletionType::List).build();
    let mut editor: Editor<Words, DefaultHistory> = Editor::with_config(config).ok()?;
    editor.set_helper(Some(Words { offers }));
    let history = history();
    if let Some(path) = &history {
        let _ = editor.load_history(path);
    }
    print("heatbook: `help` says what can be done here, Ctrl-D ends it\n");
    loop {
        let Acted { goes, offers } = match editor.readline("> ") {
            Ok(line) => act(Typed::Lines(&line)),
            // Ctrl-C drops the line under way.
            Err(ReadlineError::Interrupted) => continue,
            Err(ReadlineError::Eof) => act(Typed::End),
            Err(ReadlineError::Io(error)) if error.kind() == ErrorKind::InvalidData => act(Typed::NoText),
            Err(_) => return Some(()),
        };
        if let Some(words) = editor.helper_mut() {
            words.offers = offers;
        }
        if let Some(path) = &history {
            // Added to, so that two prompts side by side do not lose each other's lines.
            let _ = editor.append_history(path);
        }
        if !goes {
            return Some(());
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

struct Words {
    offers: Offers,
}

/// What may stand at the start of a line.
fn beginnings() -> impl Iterator<Item = &'static str> {
    let verbs = forge::WORDS.iter().map(|w| w.word);
    verbs.chain(["let", "steel", "note", "shop {", "target", "repeat", "use"]).chain(COMMANDS)
}

/// The names of a topic's pages; what is refused is not offered.
fn named<'w>(topic: Topic) -> impl Iterator<Item = &'w str> {
    let pages = manual::pages().iter().filter(move |p| p.topic == topic && !p.is_refused());
    pages.map(|p| p.name.as_str())
}

/// The first word of the block that is open behind these lines.
fn open_block(lines: &str) -> Option<&str> {
    let mut open = Vec::new();
    for line in lines.lines().map(str::trim) {
        if line.ends_with('{') {
            open.push(line.split_whitespace().next().unwrap_or(""));
        } else if line.starts_with('}') {
            open.pop();
        }
    }
    open.pop()
}

impl Words {
    /// What may stand at the end of a text, and where what is typed of it begins.
    fn offered(&self, before: &str) -> (usize, Vec<String>) {
        let line_at = before.rfind('\n').map_or(0, |i| i + 1);
        let line = before.get(line_at..).unwrap_or("");
        let address = line.strip_prefix("what if ").or_else(|| line.strip_prefix("sweep "));
        if let Some(typed) = address.filter(|typed| !typed.contains('=')) {
            return (
                before.len() - typed.len(),
                alike(self.offers.addresses.iter().map(String::as_str), typed),
            );
        }
        if let Some(typed) = line.strip_prefix("load ").or_else(|| line.strip_prefix("save ")) {
            return (before.len() - typed.len(), files(typed));
        }
        if let Some(typed) = line.strip_prefix("help ").or_else(|| line.strip_prefix("explain ")) {
            return (before.len() - typed.len(), alike(Topic::ALL.into_iter().flat_map(named), typed));
        }
        let start = line.rfind(|c: char| c.is_whitespace() || matches!(c, ',' | '(')).map_or(0, |i| i + 1);
        let (said, typed) = (line.get(..start).unwrap_or(""), line.get(start..).unwrap_or(""));
        let at = line_at + start;
        let inside = open_block(before.get(..line_at).unwrap_or(""));
        if said.trim().is_empty() {
            return match inside {
                Some("shop") => (at, alike(named(Topic::Shop), typed)),
                Some("target") => (at, alike(named(Topic::Target), typed)),
                _ => (at, alike(beginnings(), typed)),
            };
        }
        let first = line.split_whitespace().next();
        let verb = first.and_then(forge::word);
        let mut all: Vec<&str> = self.offers.names.iter().map(String::as_str).collect();
        all.extend(verb.into_iter().flat_map(|w| w.clauses()).map(|c| c.word()));
        if first == Some("picture") {
            all.extend(Side::ALL.iter().map(|side| side.told().0));
        }
        if first == Some("why") {
            all.extend(["thickness", "width", "length", "mass"]);
        }
        if inside == Some("target") || verb.is_some_and(|w| w.form == forge::Form::Tests) {
            all.extend(named(Topic::Target));
        }
        all.extend(named(Topic::Unit).chain(named(Topic::Steel)));
        // Words of the line under way, such as a name that it gives.
        all.extend(before.split(|c: char| c.is_whitespace() || c == ',').filter(|w| w.len() > 2));
        (at, alike(all.into_iter(), typed))
    }
}

/// The recipes, and the folders, that a path can go on to; a folder ends in `/`. What hides is offered to whoever asks for it.
fn files(typed: &str) -> Vec<String> {
    let (folder, begun) = typed.rsplit_once('/').map_or(("", typed), |(folder, begun)| (folder, begun));
    let root = if typed.starts_with('/') && folder.is_empty() { "/" } else { "." };
    let within = if folder.is_empty() { root } else { folder };
    let Ok(entries) = std::fs::read_dir(within) else { return Vec::new() };
    let named = entries.flatten().filter_map(|entry| {
        let name = entry.file_name().into_string().ok()?;
        let is_folder = entry.path().is_dir();
        let end = if is_folder { "/" } else { "" };
        let shown = name.starts_with(begun) && (begun.starts_with('.') || !name.starts_with('.'));
        let before = typed.get(..typed.len() - begun.len())?;
        (shown && (is_folder || name.ends_with(".heat"))).then(|| format!("{before}{name}{end}"))
    });
    let mut found: Vec<String> = named.filter(|path| path != typed).collect();
    found.sort();
    found
}

/// Those that begin with what is typed, and go on.
fn alike<'w>(all: impl Iterator<Item = &'w str>, typed: &str) -> Vec<String> {
    let mut found: Vec<String> =
        all.filter(|w| w.starts_with(typed) && *w != typed).map(str::to_owned).collect();
    found.sort();
    found.dedup();
    found
}

impl Completer for Words {
    type Candidate = String;

    fn complete(&self, line: &str, at: usize, _: &Context<'_>) -> rustyline::Result<(usize, Vec<String>)> {
        Ok(self.offered(line.get(..at).unwrap_or("")))
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
        let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        match line.split_once(first) {
            Some((before, after)) if known && !first.is_empty() && !plain => {
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
    use super::{Offers, Words, goes_on};

    /// What is offered behind a text, in a session with a few names.
    fn offered(before: &str) -> (String, Vec<String>) {
        let all = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect();
        let offers = Offers {
            names: all(&["billet", "billet-offcut-1", "dark"]),
            addresses: all(&["dark thick", "dark wide", "weld 1 thinning"]),
        };
        let (at, found) = Words { offers }.offered(before);
        (before.split_at(at).0.to_owned(), found)
    }

    #[test]
    fn pieces_and_figures_of_the_session_are_offered() {
        assert_eq!(
            offered("draw bil"),
            ("draw ".to_owned(), vec!["billet".into(), "billet-offcut-1".into()])
        );
        assert_eq!(offered("why width da"), ("why width ".to_owned(), vec!["dark".into()]));
        assert_eq!(offered("stack p = alternate dark, bil").1, ["billet", "billet-offcut-1"]);
        assert_eq!(offered("what if dark t"), ("what if ".to_owned(), vec!["dark thick".into()]));
        assert_eq!(offered("sweep dark w").1, ["dark wide"]);
        assert_eq!(offered("picture billet acr").1, ["across"]);
        assert_eq!(offered("explain target_mi").1, ["target_missed"]);
        assert_eq!(offered("what if dark thick = 4 m").1, ["min", "mm", "mm2", "mm3"]);
    }

    #[test]
    fn what_a_block_takes_is_offered_in_it() {
        assert_eq!(offered("shop {\n  ke"), ("shop {\n  ".to_owned(), vec!["kerf".into()]));
        assert_eq!(offered("target billet {\n  wi").1, ["width"]);
        assert_eq!(offered("shop {\n  kerf 2 mm\n}\nwel").1, ["weld"]);
        assert_eq!(offered("help target_mi").1, ["target_missed"]);
    }

    #[test]
    fn files_to_load_are_offered() {
        // Tests run at the top of the sources.
        assert_eq!(offered("load examples/ferry").1, ["examples/ferry-galley.heat"]);
        assert_eq!(offered("load examples/lo").1, ["examples/lock-keeper/", "examples/loose-galley.heat"]);
        assert!(offered("load ").1.iter().all(|path| path.ends_with('/') && !path.starts_with('.')));
        assert_eq!(offered("load none/").1, Vec::<String>::new());
    }

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
