//! The pages of `explain`: what a word means, as text and as JSON.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::manual::{Broken, CodePage, Example, Page, Part, Sample, Topic, pages};
use crate::quantity::{Units, turned};
use crate::replay::RecipeDoc;
use crate::source::{Diagnostic, Files, quoted};

use super::answer::{Answer, Table};
use super::diagnostics::{Record, records, severity};
use super::fold::{code, fold, words};

/// Words in lines of at most so many columns, each `deep` blanks in; the first begins with `head`.
fn wrapped(head: &str, text: &str, deep: usize, wide: usize) -> String {
    let blanks = " ".repeat(deep);
    // A head that is too long takes a line of its own.
    let long = deep > 0 && head.chars().count() >= deep;
    let (above, first) = if long { (head, blanks.clone()) } else { ("", format!("{head:<deep$}")) };
    let lines: Vec<String> = text.lines().flat_map(|line| words(line, wide, &first, &blanks)).collect();
    format!("{above}{}{}\n", if long { "\n" } else { "" }, lines.join("\n").trim_end())
}

/// What is explained: all of it, or one topic.
pub struct TopicsPage(pub Option<Topic>);

/// Names by topic.
#[derive(Serialize, JsonSchema)]
pub struct TopicsJson {
    topics: BTreeMap<&'static str, Vec<&'static str>>,
}

impl Answer for TopicsPage {
    type Json = TopicsJson;
    const SCHEMA: &'static str = "heatbook-topics-1";

    fn text(&self, wide: usize) -> String {
        if let Some(topic) = self.0 {
            return topic_text(topic, wide);
        }
        let lists: Vec<String> = Topic::ALL.into_iter().map(|topic| topic_text(topic, wide)).collect();
        let told = "`heatbook explain NAME` tells what one of them means; with a recipe file, what its recipes take\n";
        lists.join("\n") + "\n" + told
    }

    fn json(&self) -> TopicsJson {
        let mut topics: BTreeMap<&'static str, Vec<&str>> = BTreeMap::new();
        for page in pages().iter().filter(|p| self.0.is_none_or(|t| t == p.topic)) {
            topics.entry(page.topic.word()).or_default().push(&page.name);
        }
        TopicsJson { topics }
    }

    fn csv(&self) -> Option<Table> {
        let topics = self.json().topics.into_iter();
        let rows = topics.flat_map(|(topic, names)| {
            names.into_iter().map(move |n| [topic, n].map(str::to_owned).to_vec())
        });
        Some(Table::new(["topic", "name"], rows))
    }
}

/// The names of one topic.
fn topic_text(topic: Topic, wide: usize) -> String {
    let mut names: Vec<&str> = Vec::new();
    for page in pages().iter().filter(|p| p.topic == topic) {
        // Two clauses may go by one word.
        if !names.contains(&page.name.as_str()) {
            names.push(&page.name);
        }
    }
    let mut text = format!("{} (`explain {} NAME`)", topic.many(), topic.word());
    if topic == Topic::Guide {
        let pages = pages().iter().filter(|p| p.topic == topic);
        text.push('\n');
        text.extend(pages.map(|page| wrapped(&format!("  {}", page.name), &page.doc, 24, wide)));
        return text;
    }
    let mut column = wide;
    for (i, name) in names.iter().enumerate() {
        let name = if i + 1 < names.len() { format!("{name},") } else { (*name).to_owned() };
        let length = name.chars().count() + 1;
        if column + length > wide {
            text += "\n  ";
            column = 2;
        } else {
            text.push(' ');
        }
        text += &name;
        column += length;
    }
    text + "\n"
}

/// Pages, one behind another.
pub struct ExplainPage<'a> {
    /// The pages.
    pub pages: &'a [&'a Page],
    /// The reader's units: what they show is turned to them.
    pub units: Units,
}

impl<'a> Answer for ExplainPage<'a> {
    type Json = PagesJson<'a>;
    const SCHEMA: &'static str = "heatbook-explain-1";

    fn text(&self, wide: usize) -> String {
        self.pages.iter().map(|page| page_text(page, self.units, wide)).collect::<Vec<_>>().join("\n")
    }

    fn json(&self) -> PagesJson<'a> {
        PagesJson { pages: self.pages.iter().map(|p| page_json(p)).collect() }
    }
}

/// Codes whose recipes hang on tenths of a mm, or on digits: rounded to a tape they would say nothing (tests find these).
pub const FINE: [&str; 3] = ["more_steel", "passes_hot", "slipped_digits"];

/// The text of a page that is written to be read from the top, for a terminal: paragraphs in lines of at most so many columns,
/// and what is shown of files and commands as it stands, four blanks in.
fn read_from_the_top(page: &str, wide: usize) -> String {
    let (mut text, mut open, mut shown) = (String::new(), String::new(), false);
    let told = |open: &mut String| {
        if open.is_empty() {
            return String::new();
        }
        let (first, next) = if open.starts_with("- ") { ("", "  ") } else { ("", "") };
        let lines = words(&std::mem::take(open), wide, first, next);
        lines.into_iter().map(|line| line + "\n").collect::<String>()
    };
    for line in page.lines() {
        let fence = line.starts_with("```");
        if fence || shown || line.is_empty() || line.starts_with(['#', '-']) {
            text += &told(&mut open);
        }
        if fence {
            shown = !shown;
        } else if shown {
            text += &if line.is_empty() { "\n".to_owned() } else { fold(&format!("    {line}"), wide) };
        } else if line.is_empty() {
            text.push('\n');
        } else {
            open += if open.is_empty() { "" } else { " " };
            open += &without_links(line.trim_start_matches('#').trim());
        }
    }
    text + &told(&mut open)
}

/// A line with the words of its links, `[words](where)`, and without where they lead.
fn without_links(line: &str) -> String {
    let mut text = String::new();
    let mut rest = line;
    while let Some((before, (words, behind))) =
        rest.split_once('[').and_then(|(before, link)| Some((before, link.split_once("](")?)))
    {
        text += before;
        text += words;
        rest = behind.split_once(')').map_or("", |(_, behind)| behind);
    }
    text + rest
}

fn page_text(page: &Page, units: Units, wide: usize) -> String {
    if page.topic == Topic::Guide {
        return page.facts.iter().map(|(_, text)| read_from_the_top(text, wide)).collect();
    }
    // What a unit, a law or a steel of the table is stays in its own figures; so does what hangs on tenths of a mm.
    let own =
        matches!(page.topic, Topic::Unit | Topic::Law | Topic::Steel) || FINE.contains(&page.name.as_str());
    let inch = units == Units::Inch && !own;
    let turn = |text: &str| if inch { turned(text, |_| false) } else { text.to_owned() };
    let mut text = format!("{} ({})\n", page.name, page.topic.word());
    text += &wrapped("", &turn(&page.doc), 2, wide);
    let deep = 2 + 2 + page.facts.iter().map(|(word, _)| word.chars().count()).max().unwrap_or(0);
    if !page.facts.is_empty() {
        text.push('\n');
    }
    for (word, fact) in &page.facts {
        text += &wrapped(&format!("  {word}"), &turn(fact), deep, wide);
    }
    if !page.parts.is_empty() {
        let head = if page.topic == Topic::Law { "figures" } else { "clauses" };
        let _ = writeln!(text, "\n  {head}");
        for part in &page.parts {
            let written = turn(part.forms.first().map_or(part.word, String::as_str));
            text += &wrapped(
                &format!("    {written}"),
                &turn(&format!("{} ({})", part.doc, part.takes)),
                28,
                wide,
            );
            if part.forms.len() > 1 {
                let further = quoted(part.forms.iter().skip(1).map(String::as_str));
                text += &wrapped("", &turn(&format!("or {further}")), 28, wide);
            }
        }
    }
    let (own, shared): (Vec<&CodePage>, Vec<&CodePage>) =
        page.codes.iter().copied().partition(|c| c.is_own());
    if !own.is_empty() {
        text += "\n  faults and warnings\n";
        for code in own {
            text += &wrapped(&format!("    {}", code.code), &turn(code.means), 28, wide);
        }
    }
    if !shared.is_empty() {
        let names: Vec<&str> = shared.iter().map(|c| c.code.name()).collect();
        text += &wrapped("    and, as elsewhere", &names.join(", "), 28, wide);
    }
    match &page.example {
        Some(Example::Recipe(sample)) => text += &recipe("an example, which passes", sample, inch, wide),
        Some(Example::Command(line)) => {
            let _ = write!(text, "\n  an example\n    {line}\n");
        }
        None => {}
    }
    if let Some(broken) = &page.broken {
        text += &broken_text(broken, inch, wide);
    }
    text
}

fn broken_text(broken: &Broken, inch: bool, wide: usize) -> String {
    let by = broken.asked_by.map_or(String::new(), |command| format!(" when `heatbook {command}` asks"));
    recipe(&format!("this gives `{}`{by}", broken.code), &broken.fails, inch, wide)
        + &recipe("mended", &broken.mended, inch, wide)
}

fn recipe(head: &str, sample: &Sample, inch: bool, wide: usize) -> String {
    let mut text = format!("\n  {head}\n");
    let files = sample.shown();
    for (name, written) in &files {
        if files.len() > 1 {
            let _ = writeln!(text, "    {name}:");
        }
        let deep = if files.len() > 1 { "      " } else { "    " };
        let written = if inch { turned(written, |_| false) } else { written.clone() };
        for line in written.lines() {
            text += &code(line, deep, wide);
        }
    }
    text
}

/// Pages; recipes in them are as they run, every line of them.
#[derive(Serialize, JsonSchema)]
pub struct PagesJson<'a> {
    pages: Vec<PageJson<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct PageJson<'a> {
    topic: &'static str,
    name: &'a str,
    also: &'a [String],
    doc: &'a str,
    facts: BTreeMap<&'static str, &'a str>,
    parts: Vec<PartJson<'a>>,
    codes: Vec<CodeJson<'a>>,
    example: Option<Vec<FileJson>>,
    command: Option<&'a str>,
    broken: Option<BrokenJson<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct PartJson<'a> {
    word: &'a str,
    forms: &'a [String],
    takes: &'a str,
    doc: &'a str,
}

#[derive(Serialize, JsonSchema)]
pub struct CodeJson<'a> {
    code: &'a str,
    severity: &'static str,
    means: &'a str,
}

#[derive(Serialize, JsonSchema)]
pub struct BrokenJson<'a> {
    code: &'a str,
    asked_by: &'a str,
    files: Vec<FileJson>,
    mended: Vec<FileJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct FileJson {
    name: String,
    text: String,
}

fn files(sample: &Sample) -> Vec<FileJson> {
    sample.written().into_iter().map(|(name, text)| FileJson { name, text }).collect()
}

fn page_json(page: &Page) -> PageJson<'_> {
    let (example, command) = match &page.example {
        Some(Example::Recipe(sample)) => (Some(files(sample)), None),
        Some(Example::Command(line)) => (None, Some(line.as_str())),
        None => (None, None),
    };
    let parts =
        page.parts.iter().map(|Part { word, forms, takes, doc }| PartJson { word, forms, takes, doc });
    let codes = page.codes.iter().map(|CodePage { code, means, .. }| CodeJson {
        code: code.name(),
        severity: severity(code.severity()),
        means,
    });
    PageJson {
        topic: page.topic.word(),
        name: &page.name,
        also: &page.also,
        doc: &page.doc,
        facts: page.facts.iter().map(|(word, text)| (*word, text.as_str())).collect(),
        parts: parts.collect(),
        codes: codes.collect(),
        example,
        command,
        broken: page.broken.as_ref().map(|b| BrokenJson {
            code: b.code.name(),
            asked_by: b.asked_by.unwrap_or("check"),
            files: files(&b.fails),
            mended: files(&b.mended),
        }),
    }
}

/// The recipes of a file that can be called.
pub struct RecipesPage<'a> {
    /// The files.
    pub files: &'a Files,
    /// The recipes.
    pub recipes: Vec<&'a RecipeDoc>,
    /// What is wrong with the file.
    pub found: &'a [Diagnostic],
}

#[derive(Serialize, JsonSchema)]
pub struct RecipesJson<'a> {
    recipes: Vec<RecipeJson<'a>>,
    faults: Vec<Record<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct RecipeJson<'a> {
    name: &'a str,
    doc: &'a str,
    params: Vec<ParamJson<'a>>,
    called_like: String,
}

#[derive(Serialize, JsonSchema)]
pub struct ParamJson<'a> {
    name: &'a str,
    kind: &'a str,
    /// What is taken where nothing is told; nothing where it must be.
    default: Option<&'a str>,
    doc: &'a str,
}

impl<'a> Answer for RecipesPage<'a> {
    type Json = RecipesJson<'a>;
    const SCHEMA: &'static str = "heatbook-recipes-2";

    fn text(&self, _: usize) -> String {
        let mut text = String::new();
        for recipe in self.json().recipes {
            let _ = writeln!(text, "{}: {}", recipe.name, recipe.doc);
            for ParamJson { name, kind, default, doc } in recipe.params {
                let default = default.map_or(" (must be told)".to_owned(), |d| format!(" = {d}"));
                let doc = if doc.is_empty() { String::new() } else { format!(": {doc}") };
                let _ = writeln!(text, "  {name}, {kind}{default}{doc}");
            }
            let _ = writeln!(text, "  called like: {}", recipe.called_like);
        }
        text
    }

    fn json(&self) -> RecipesJson<'a> {
        let recipes = self.recipes.iter().map(|recipe| {
            let params = recipe.params.iter().map(|p| ParamJson {
                name: &p.name,
                kind: p.kind,
                default: p.default.map(|span| self.files.text(span)),
                doc: &p.doc,
            });
            let params: Vec<ParamJson> = params.collect();
            let first = params.first().map(|p| format!("{} = {}", p.name, p.default.unwrap_or("…")));
            let called_like = format!("stock billet = {}({})", recipe.name, first.unwrap_or_default());
            RecipeJson { name: &recipe.name, doc: &recipe.doc, params, called_like }
        });
        RecipesJson { recipes: recipes.collect(), faults: records(self.found, self.files) }
    }
}
