//! Texts to try: what the repo knows of recipes, cut up and sewn together, what the grammar allows and nobody would write, and
//! what the second interpreter's generator makes up.

use heatbook::language::vocabulary;
use pest_meta::ast::{Expr, RuleType};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

pub type Dice = Pcg64Mcg;

/// Figures that have hurt somebody.
const FIGURES: &[&str] = &[
    "0",
    "1",
    "2",
    "3",
    "7",
    "0.1",
    "0.001",
    "1e9",
    "1000",
    "9999",
    "40000",
    "1000000",
    "4294967296",
    "18446744073709551616",
    "99999999999999999999999",
    "0.00000000000000000001",
    "1/2",
    "2 1/4",
    "1/0",
    "0/1",
    "-1",
    "-0",
    ".5",
    "1.",
    "1,5",
    "100",
    "1200",
    "850",
    "1e400",
    "(1 / 3)",
    "(1 / 0)",
    "(0 / 0)",
    "?",
    "? in 1 .. 4",
    "3 +- 0.1",
    "3 +- 400",
];

/// Letters that have hurt somebody.
const LETTERS: &[&str] = &[
    "\"",
    "#",
    "{",
    "}",
    "(",
    ")",
    ",",
    ":",
    "=",
    "..",
    "?",
    "+-",
    "±",
    "×",
    "°",
    "''",
    "”",
    "%",
    "\n",
    "\r\n",
    "\r",
    "\t",
    "\u{a0}",
    "\u{feff}",
    "\u{200b}",
    "é",
    "Ж",
    "🔥",
    "x",
    "-",
    "_",
    "/",
    "*",
    "+",
    ";",
    ".",
    "-offcut-1",
    " ",
    "\n\n",
    "\"\"",
    "'",
    "`",
    "\\",
    "--",
    "1",
    "# ",
];

/// Letters that may drive a terminal.
const CONTROL: &[&str] = &[
    "\u{1b}[31m",
    "\u{1b}]0;t\u{7}",
    "\u{9b}2J",
    "\u{202e}",
    "\u{2066}",
    "\r",
    "\u{8}",
    "\0",
    "\u{7f}",
    "\u{85}",
    "\u{2028}",
];

/// All there is to make texts from.
pub struct Words {
    /// What was wrong once.
    pub found: Vec<String>,
    /// Whole recipes and logs.
    pub seeds: Vec<String>,
    /// Build logs, each with its recipe.
    pub logs: Vec<(String, String)>,
    lines: Vec<String>,
    dictionary: Vec<String>,
    rules: BTreeMap<String, (RuleType, Expr)>,
    line_rules: Vec<String>,
}

fn files(folder: &Path, ending: &str, found: &mut Vec<PathBuf>) {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            files(&path, ending, found);
        } else if path.extension().is_some_and(|e| e == ending) {
            found.push(path);
        }
    }
}

pub fn dice(seed: u64) -> Dice {
    Pcg64Mcg::seed_from_u64(seed)
}

pub fn one<'a, T>(all: &'a [T], dice: &mut Dice) -> &'a T {
    &all[dice.random_range(0..all.len())]
}

impl Words {
    pub fn new() -> Words {
        let texts = |folder: &str| -> Vec<String> {
            let mut paths = Vec::new();
            files(Path::new(folder), "heat", &mut paths);
            paths.iter().map(|p| std::fs::read_to_string(p).unwrap()).collect()
        };
        let found = texts("tests/fuzz/found");
        let mut seeds: Vec<String> =
            ["tests/faults", "tests/fuzz/found", "recipes", "examples"].into_iter().flat_map(texts).collect();
        let mut logs = Vec::new();
        for folder in ["examples/coal-wharf", "examples/lock-keeper"] {
            let read = |name: &str| std::fs::read_to_string(Path::new(folder).join(name)).unwrap();
            logs.push((read("recipe.heat"), read("build.heat")));
        }
        // The samples of the manual: whatever stands four blanks in.
        let mut pages = Vec::new();
        files(Path::new("src/manual"), "txt", &mut pages);
        for page in pages {
            let text = std::fs::read_to_string(page).unwrap();
            let mut sample = String::new();
            for line in text.lines().chain([""]) {
                match line.strip_prefix("    ") {
                    Some(line) if !line.starts_with("file ") => sample += &format!("{line}\n"),
                    _ if sample.is_empty() => {}
                    _ => seeds.push(std::mem::take(&mut sample)),
                }
            }
        }
        let mut lines: Vec<String> = seeds
            .iter()
            .flat_map(|s| s.lines())
            .chain(vocabulary().iter().map(|t| t.form))
            .filter(|l| !l.trim().is_empty() && l.len() < 400)
            .map(|l| l.trim().to_owned())
            .collect();
        lines.sort();
        lines.dedup();
        let mut dictionary: Vec<String> =
            vocabulary().iter().flat_map(|t| t.spellings()).map(str::to_owned).collect();
        dictionary.extend(heatbook::steel::grades::all().iter().map(|g| g.name.to_owned()));
        let grammar = std::fs::read_to_string("grammar/heatbook.pest").unwrap();
        let pairs = pest_meta::parser::parse(pest_meta::parser::Rule::grammar_rules, &grammar).unwrap();
        let rules: BTreeMap<String, (RuleType, Expr)> = pest_meta::parser::consume_rules(pairs)
            .unwrap()
            .into_iter()
            .map(|r| (r.name, (r.ty, r.expr)))
            .collect();
        let line_rules =
            rules.keys().filter(|n| n.ends_with("_line") || n.ends_with("_head")).cloned().collect();
        Words { found, seeds, logs, lines, dictionary, rules, line_rules }
    }

    /// A line that the grammar allows.
    fn grown(&self, dice: &mut Dice) -> String {
        let mut out = String::new();
        self.grow(&Expr::Ident(one(&self.line_rules, dice).clone()), true, 0, dice, &mut out);
        out
    }

    fn grow(&self, expr: &Expr, blanks: bool, depth: usize, dice: &mut Dice, out: &mut String) {
        if out.len() > 600 {
            return;
        }
        let mut again = |inside: &Expr, least: u32, most: u32, dice: &mut Dice| {
            let most = if depth > 24 { least } else { most };
            for i in 0..dice.random_range(least..=most) {
                if blanks && i > 0 {
                    out.push(' ');
                }
                self.grow(inside, blanks, depth + 1, dice, out);
            }
        };
        match expr {
            Expr::Str(text) | Expr::Insens(text) => out.push_str(text),
            Expr::Range(from, to) => {
                let ends = [from, to].map(|c| c.chars().next().unwrap_or('a') as u32);
                out.extend(char::from_u32(dice.random_range(ends[0]..=ends[1].max(ends[0]))));
            }
            Expr::Ident(name) => match (name.as_str(), self.rules.get(name)) {
                ("ident" | "name", _) if dice.random_ratio(3, 4) => {
                    let names = ["p", "b", "dark", "blade", "billet", "d-1", "é", "core", "bar", "mm2x"];
                    out.push_str(one::<&str>(&names, dice));
                }
                ("number", _) => out.push_str(one::<&str>(FIGURES, dice)),
                ("grade", _) if dice.random_ratio(3, 4) => {
                    out.push_str(one::<&str>(&["1084", "15N20", "52100", "W2"], dice))
                }
                (_, Some((ty, inside))) => {
                    let blanks = blanks && !matches!(ty, RuleType::Atomic | RuleType::CompoundAtomic);
                    self.grow(inside, blanks, depth + 1, dice, out);
                }
                ("ASCII_DIGIT", _) => out.push(char::from(b'0' + dice.random_range(0..10))),
                ("LETTER" | "ASCII_ALPHANUMERIC", _) => out.push(*one(&['a', 'b', 'z', 'é'], dice)),
                ("ANY", _) => out.push_str(one::<&str>(&["a", " ", "/", "🔥"], dice)),
                _ => {}
            },
            Expr::Seq(first, second) => {
                self.grow(first, blanks, depth + 1, dice, out);
                if blanks && !out.ends_with(' ') {
                    out.push(' ');
                }
                self.grow(second, blanks, depth + 1, dice, out);
            }
            Expr::Choice(..) => {
                let (mut all, mut rest) = (Vec::new(), expr);
                while let Expr::Choice(first, second) = rest {
                    all.push(&**first);
                    rest = second;
                }
                all.push(rest);
                let chosen = if depth > 24 { all[0] } else { *one(&all, dice) };
                self.grow(chosen, blanks, depth + 1, dice, out);
            }
            Expr::Opt(inside) => again(inside, 0, 1, dice),
            Expr::Rep(inside) => again(inside, 0, 3, dice),
            Expr::RepOnce(inside) | Expr::RepMin(inside, _) => again(inside, 1, 3, dice),
            Expr::RepExact(inside, n) | Expr::RepMinMax(inside, n, _) | Expr::RepMax(inside, n) => {
                again(inside, *n, *n, dice);
            }
            _ => {}
        }
    }

    /// A recipe, or what was one.
    pub fn recipe(&self, dice: &mut Dice) -> String {
        let mut text = if dice.random_ratio(1, 4) {
            crate::second::generate::recipe(dice.random()).text()
        } else {
            one(&self.seeds, dice).clone()
        };
        for _ in 0..dice.random_range(0..7) {
            text = self.changed(&text, dice);
        }
        short(text)
    }

    /// A build log with its recipe.
    pub fn log(&self, dice: &mut Dice) -> (String, String) {
        let (mut recipe, mut log) = one(&self.logs, dice).clone();
        for _ in 0..dice.random_range(0..5) {
            log = self.changed(&log, dice);
        }
        if dice.random_ratio(1, 2) {
            recipe = self.changed(&recipe, dice);
        }
        (short(recipe), short(log))
    }

    /// Something to type: a word, a figure, letters, a line.
    pub fn bit(&self, dice: &mut Dice) -> String {
        match dice.random_range(0..8) {
            0 => format!("{}\n", one(&self.lines, dice)),
            1 => format!("{}\n", self.grown(dice)),
            2 | 3 => (*one(FIGURES, dice)).to_owned(),
            4 | 5 => (*one(LETTERS, dice)).to_owned(),
            _ => format!("{} ", one(&self.dictionary, dice)),
        }
    }

    /// A line about a piece of a text.
    pub fn line(&self, text: &str, dice: &mut Dice) -> String {
        let line = if dice.random_ratio(1, 5) { self.grown(dice) } else { one(&self.lines, dice).clone() };
        let made: Vec<&str> = text
            .lines()
            .filter_map(|l| l.trim().strip_prefix("stock ").or_else(|| l.trim().strip_prefix("stack ")))
            .filter_map(|l| l.split_whitespace().next())
            .collect();
        let mut words: Vec<&str> = line.split(' ').collect();
        if let ([_, name, ..], false) = (words.as_mut_slice(), made.is_empty())
            && dice.random_ratio(4, 5)
        {
            *name = *one(&made, dice);
        }
        words.join(" ")
    }

    /// The text with one thing changed.
    pub fn changed(&self, text: &str, dice: &mut Dice) -> String {
        let lines: Vec<&str> = text.split('\n').collect();
        let at = dice.random_range(0..lines.len());
        let put = |new: &[&str]| [&lines[..at], new, &lines[at..]].concat().join("\n");
        let place = letter(text, dice);
        match dice.random_range(0..20) {
            0 => [&lines[..at], &lines[at + 1..]].concat().join("\n"),
            1 => put(&[lines[at]]),
            2 => put(&[*one::<&str>(&lines, dice)]),
            3..=6 => put(&[self.line(text, dice).as_str()]),
            7..=10 => {
                let with = *one(FIGURES, dice);
                replaced(text, dice, |c| c.is_ascii_digit() || c == '.', with)
            }
            11 | 12 => {
                let with = one::<String>(&self.dictionary, dice);
                replaced(text, dice, char::is_alphabetic, with)
            }
            13 => format!("{}{}{}", &text[..place], one(LETTERS, dice), &text[place..]),
            14 => {
                let behind =
                    text[place..].char_indices().map(|(i, _)| place + i).nth(dice.random_range(0..30));
                format!("{}{}", &text[..place], &text[behind.unwrap_or(text.len())..])
            }
            15 => {
                let times = one(&["0", "1", "2", "3", "100", "9999", "?"], dice);
                let to = dice.random_range(at..lines.len());
                let (head, tail) = (format!("repeat {times} {{"), "}");
                [&lines[..at], &[head.as_str()], &lines[at..=to], &[tail], &lines[to + 1..]]
                    .concat()
                    .join("\n")
            }
            16 => {
                let other = one(&self.seeds, dice);
                format!("{}{}", &text[..place], &other[letter(other, dice)..])
            }
            17 => match dice.random_range(0..4) {
                0 => text.replace('\n', "\r\n"),
                1 => text.replace(' ', "\t"),
                2 => format!("\u{feff}{text}"),
                _ => text.replace(" mm", " in"),
            },
            18 => format!("{text}\n{}", self.line(text, dice)),
            _ => format!("{}{}{}", &text[..place], self.bit(dice), &text[place..]),
        }
    }

    /// The text with what may drive a terminal in it.
    pub fn driving(&self, text: &str, dice: &mut Dice) -> String {
        let place = letter(text, dice);
        format!("{}{}{}", &text[..place], one(CONTROL, dice), &text[place..])
    }
}

/// Where some letter begins.
pub fn letter(text: &str, dice: &mut Dice) -> usize {
    let mut at = dice.random_range(0..=text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Nobody learns more from a text that has grown by a hundred splices.
fn short(mut text: String) -> String {
    let mut end = text.len().min(12_000);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    text.truncate(end);
    text
}

/// The text with one run of letters of a sort replaced.
fn replaced(text: &str, dice: &mut Dice, is: impl Fn(char) -> bool, with: &str) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (i, c) in text.char_indices().filter(|(_, c)| is(*c)) {
        match runs.last_mut() {
            Some((_, to)) if *to == i => *to = i + c.len_utf8(),
            _ => runs.push((i, i + c.len_utf8())),
        }
    }
    if runs.is_empty() {
        return format!("{text} {with}");
    }
    let (from, to) = *one(&runs, dice);
    format!("{}{with}{}", &text[..from], &text[to..])
}
