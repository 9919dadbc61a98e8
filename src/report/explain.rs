//! The pages of `explain`: what a word means, as text and as JSON.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::Serialize;

use crate::manual::{Broken, CodePage, Example, Page, Part, Sample, Topic, pages};
use crate::source::Severity;

/// Lines are broken here.
const WIDE: usize = 100;

/// Words in lines of at most [`WIDE`] columns, each `deep` blanks in; the first begins with `head`.
fn wrapped(head: &str, text: &str, deep: usize) -> String {
    let mut made = format!("{head:<deep$}");
    if made.chars().count() > deep {
        // The head takes a line of its own.
        made = format!("{head}\n{}", " ".repeat(deep));
    }
    let mut column = deep;
    let mut first = true;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if !first && column + 1 + length > WIDE {
            made += "\n";
            made += &" ".repeat(deep);
            column = deep;
        } else if !first {
            made.push(' ');
            column += 1;
        }
        made += word;
        column += length;
        first = false;
    }
    made.trim_end().to_owned() + "\n"
}

/// All topics, by kind.
#[must_use]
pub fn topics_text() -> String {
    let lists: Vec<String> = Topic::ALL.into_iter().map(topic_text).collect();
    let told =
        "`heatbook explain NAME` tells what one of them means; with a recipe file, what its recipes take\n";
    lists.join("\n") + "\n" + told
}

/// The names of one topic.
#[must_use]
pub fn topic_text(topic: Topic) -> String {
    let mut names: Vec<&str> = Vec::new();
    for page in pages().iter().filter(|p| p.topic == topic) {
        // Two clauses may go by one word.
        if !names.contains(&page.name.as_str()) {
            names.push(&page.name);
        }
    }
    let mut text = format!("{} (`explain {} NAME`)", topic.many(), topic.word());
    let mut column = WIDE;
    for (i, name) in names.iter().enumerate() {
        let name = if i + 1 < names.len() { format!("{name},") } else { (*name).to_owned() };
        let length = name.chars().count() + 1;
        if column + length > WIDE {
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
#[must_use]
pub fn explain_text(found: &[&Page]) -> String {
    found.iter().map(|page| page_text(page)).collect::<Vec<_>>().join("\n")
}

fn page_text(page: &Page) -> String {
    let mut text = format!("{} ({})\n", page.name, page.topic.word());
    text += &wrapped("", &format!("  {}", page.doc), 2);
    let deep = 2 + 2 + page.facts.iter().map(|(word, _)| word.chars().count()).max().unwrap_or(0);
    if !page.facts.is_empty() {
        text.push('\n');
    }
    for (word, fact) in &page.facts {
        text += &wrapped(&format!("  {word}"), fact, deep);
    }
    if !page.parts.is_empty() {
        let head = if page.topic == Topic::Law { "figures" } else { "clauses" };
        let _ = writeln!(text, "\n  {head}");
        for part in &page.parts {
            let written = part.forms.first().map_or(part.word, String::as_str);
            text += &wrapped(&format!("    {written}"), &format!("{} ({})", part.doc, part.takes), 28);
            if part.forms.len() > 1 {
                let further: Vec<String> = part.forms.iter().skip(1).map(|f| format!("`{f}`")).collect();
                text += &wrapped("", &format!("or {}", further.join(", ")), 28);
            }
        }
    }
    let (own, shared): (Vec<&CodePage>, Vec<&CodePage>) =
        page.codes.iter().copied().partition(|c| c.is_own());
    if !own.is_empty() {
        text += "\n  faults and warnings\n";
        for code in own {
            text += &wrapped(&format!("    {}", code.code), code.means, 28);
        }
    }
    if !shared.is_empty() {
        let names: Vec<&str> = shared.iter().map(|c| c.code.name()).collect();
        text += &wrapped("    and, as elsewhere", &names.join(", "), 28);
    }
    match &page.example {
        Some(Example::Recipe(sample)) => text += &recipe("an example, which passes", sample),
        Some(Example::Command(line)) => {
            let _ = write!(text, "\n  an example\n    {line}\n");
        }
        None => {}
    }
    if let Some(broken) = &page.broken {
        text += &broken_text(broken);
    }
    text
}

fn broken_text(broken: &Broken) -> String {
    let by = broken.asked_by.map_or(String::new(), |command| format!(" when `heatbook {command}` asks"));
    let mut text = recipe(&format!("this gives `{}`{by}", broken.code), &broken.fails);
    text += &recipe("mended", &broken.mended);
    text
}

fn recipe(head: &str, sample: &Sample) -> String {
    let mut text = format!("\n  {head}\n");
    let files = sample.shown();
    for (name, written) in &files {
        if files.len() > 1 {
            let _ = writeln!(text, "    {name}:");
        }
        let deep = if files.len() > 1 { "      " } else { "    " };
        for line in written.lines() {
            let _ = writeln!(text, "{deep}{line}");
        }
    }
    text
}

#[derive(Serialize)]
struct ListJson<'a> {
    schema: &'static str,
    topics: BTreeMap<&'static str, Vec<&'a str>>,
}

/// All topics as JSON.
#[must_use]
pub fn topics_json() -> String {
    let mut topics: BTreeMap<&'static str, Vec<&str>> = BTreeMap::new();
    for page in pages() {
        topics.entry(page.topic.word()).or_default().push(&page.name);
    }
    json(&ListJson { schema: "heatbook-topics-1", topics })
}

#[derive(Serialize)]
struct PagesJson<'a> {
    schema: &'static str,
    pages: Vec<PageJson<'a>>,
}

#[derive(Serialize)]
struct PageJson<'a> {
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

#[derive(Serialize)]
struct PartJson<'a> {
    word: &'a str,
    forms: &'a [String],
    takes: &'a str,
    doc: &'a str,
}

#[derive(Serialize)]
struct CodeJson<'a> {
    code: &'a str,
    severity: &'static str,
    means: &'a str,
}

#[derive(Serialize)]
struct BrokenJson<'a> {
    code: &'a str,
    asked_by: &'a str,
    files: Vec<FileJson>,
    mended: Vec<FileJson>,
}

#[derive(Serialize)]
struct FileJson {
    name: String,
    text: String,
}

/// Pages as JSON; recipes in them are as they run, every line of them.
#[must_use]
pub fn explain_json(found: &[&Page]) -> String {
    json(&PagesJson { schema: "heatbook-explain-1", pages: found.iter().map(|p| page_json(p)).collect() })
}

fn json(value: &impl Serialize) -> String {
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}

fn files(sample: &Sample) -> Vec<FileJson> {
    sample.written().into_iter().map(|(name, text)| FileJson { name, text }).collect()
}

fn page_json(page: &Page) -> PageJson<'_> {
    PageJson {
        topic: page.topic.word(),
        name: &page.name,
        also: &page.also,
        doc: &page.doc,
        facts: page.facts.iter().map(|(word, text)| (*word, text.as_str())).collect(),
        parts: page.parts.iter().map(part_json).collect(),
        codes: page.codes.iter().map(|c| code_json(c)).collect(),
        example: match &page.example {
            Some(Example::Recipe(sample)) => Some(files(sample)),
            _ => None,
        },
        command: match &page.example {
            Some(Example::Command(line)) => Some(line),
            _ => None,
        },
        broken: page.broken.as_ref().map(|b| BrokenJson {
            code: b.code.name(),
            asked_by: b.asked_by.unwrap_or("check"),
            files: files(&b.fails),
            mended: files(&b.mended),
        }),
    }
}

fn part_json(part: &Part) -> PartJson<'_> {
    PartJson { word: part.word, forms: &part.forms, takes: &part.takes, doc: &part.doc }
}

fn code_json(code: &CodePage) -> CodeJson<'_> {
    let severity = match code.code.severity() {
        Severity::Fault => "fault",
        Severity::Warning => "warning",
    };
    CodeJson { code: code.code.name(), severity, means: code.means }
}
