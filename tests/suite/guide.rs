//! The guide says what the program says: each command of a page is run beside the files that the page shows, and the page with
//! the new answers in it must be the page, but for lines left out at a `...`. `HEATBOOK_GUIDE=overwrite` writes the answers anew.

use std::path::{Path, PathBuf};

use heatbook::language::format;
use heatbook::manual::{self, Topic};
use snapbox::{Assert, Data};

use crate::common::{called, files_below, shell_words};

fn pages() -> Vec<PathBuf> {
    files_below("src/manual/guide", "md")
}

/// What a page runs and shows.
#[derive(Default)]
struct Ran {
    commands: usize,
    /// The files that it brings into the house style itself.
    formatted: Vec<String>,
    /// The recipes and logs that it shows, by the names of their files.
    shown: Vec<(String, String)>,
}

/// A page with what its commands say today, run in this folder.
fn retold(page: &str, folder: &Path) -> (String, Ran) {
    let (mut made, mut ran) = (String::new(), Ran::default());
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        made += &format!("{line}\n");
        let Some(kind) = line.strip_prefix("```") else { continue };
        let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
        let text: String = block.iter().map(|line| format!("{line}\n")).collect();
        if let Some((_, file)) = kind.split_once(' ') {
            std::fs::write(folder.join(file), &text).unwrap();
            ran.shown.push((file.to_owned(), text.clone()));
        }
        made += &if kind == "console" { answered(&block, folder, &mut ran) } else { text };
        made += "```\n";
    }
    (made, ran)
}

/// The commands of a block, each with its answer. Lines that begin with `> ` are typed to the command above them.
fn answered(block: &[&str], folder: &Path, ran: &mut Ran) -> String {
    let mut made = String::new();
    for command in block.iter().filter(|line| line.starts_with("$ ")) {
        made += &format!("{command}\n");
        let (line, code) = command.split_once(" # exit ").unwrap_or((command, "0"));
        let args = shell_words(line.strip_prefix("$ heatbook ").expect(line));
        if let ["fmt", file] = args.as_slice() {
            ran.formatted.push((*file).to_owned());
        }
        let own = block.iter().skip_while(|line| *line != command).skip(1);
        let typed = own.take_while(|line| !line.starts_with("$ ")).filter(|line| line.starts_with("> "));
        let typed: Vec<&str> = typed.copied().collect();
        let said = |typed: &[&str]| {
            let input: String =
                typed.iter().map(|line| format!("{}\n", line.trim_start_matches("> "))).collect();
            let said = called(folder, &args, &input);
            assert_eq!(said.code.to_string(), code, "{line}: {}", said.all());
            said
        };
        if args.first() == Some(&"prompt") {
            // Each line has its answer below it: what is said more with it than without it.
            let mut before = String::new();
            for n in 0..=typed.len() {
                made += &n.checked_sub(1).map_or(String::new(), |last| format!("{}\n", typed[last]));
                let now = said(&typed[..n]).out;
                made += &shown(now.strip_prefix(&before).expect(&now));
                before = now;
            }
        } else {
            made.extend(typed.iter().map(|line| format!("{line}\n")));
            made += &shown(&said(&typed).all());
        }
        ran.commands += 1;
    }
    made
}

/// An answer as a page shows it: without blank lines behind it.
fn shown(answer: &str) -> String {
    let answer = answer.trim_end();
    if answer.is_empty() { String::new() } else { format!("{answer}\n") }
}

#[test]
fn every_command_of_the_guide_says_what_the_page_shows() {
    let mut commands = 0;
    for path in pages() {
        let page = std::fs::read_to_string(&path).unwrap();
        let folder = tempfile::tempdir().unwrap();
        let (made, ran) = retold(&page, folder.path());
        Assert::new().action_env("HEATBOOK_GUIDE").eq(made, Data::read_from(&path, None));
        for (file, text) in ran.shown.iter().filter(|(file, _)| !ran.formatted.contains(file)) {
            assert_eq!(format(text, 0).ok().as_ref(), Some(text), "{}: {file}", path.display());
        }
        assert!(page.contains("cautions") && page.contains("cannot be seen from"), "{}", path.display());
        commands += ran.commands;
    }
    assert!(commands >= 25, "{commands}");
}

/// What the page on sheets shows of one stands on that sheet, cell by cell.
#[test]
fn the_step_that_is_explained_stands_on_its_sheet() {
    let page = std::fs::read_to_string("src/manual/guide/reading-a-sheet.md").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let (_, ran) = retold(&page, folder.path());
    assert!(ran.commands > 0);
    let sheet = std::fs::read_to_string(folder.path().join("first.html")).unwrap();
    let words: String = sheet.split('<').filter_map(|tag| Some(tag.split_once('>')?.1)).collect();
    let step = page.split("```text\n").nth(1).unwrap().split("```").next().unwrap();
    let cells = step.lines().flat_map(|line| line.split("  ")).map(str::trim);
    for cell in cells.filter(|cell| !cell.is_empty() && *cell != "____") {
        assert!(words.contains(cell), "`{cell}` is not on the sheet:\n{words}");
    }
}

#[test]
fn every_page_is_told_by_explain_and_led_to_by_the_readme() {
    let told = manual::pages().iter().filter(|page| page.topic == Topic::Guide);
    let mut told: Vec<String> = told.map(|page| page.name.clone()).collect();
    told.sort();
    let written: Vec<String> =
        pages().iter().map(|path| path.file_stem().unwrap().to_string_lossy().into_owned()).collect();
    assert_eq!(told, written);
    let readme = std::fs::read_to_string("README.md").unwrap();
    for page in pages() {
        assert!(readme.contains(&format!("({})", page.display())), "{}", page.display());
        let text = std::fs::read_to_string(&page).unwrap();
        // Links among the pages lead to pages.
        for link in text.split("](").skip(1).map(|rest| rest.split(')').next().unwrap()) {
            assert!(page.with_file_name(link).is_file(), "{}: {link}", page.display());
        }
    }
    let said = crate::common::heatbook(&["explain", "guide"]).out;
    assert!(said.contains("first-billet") && said.contains("Your first billet, in ten minutes"), "{said}");
    let said = crate::common::heatbook(&["explain", "first-billet"]).out;
    assert!(said.contains("    stock dark   = 4 bars of 1084") && !said.contains("```"), "{said}");
    assert!(said.contains("reading a sheet") && !said.contains("]("), "{said}");
    assert!(!said.contains("\n\n\n"), "{said}");
}

/// What is packed says of which version it tells.
#[test]
fn the_changes_begin_with_this_version() {
    let changes = std::fs::read_to_string("src/manual/changes.md").unwrap();
    let newest = changes.lines().find_map(|line| line.strip_prefix("## ")).unwrap();
    assert!(newest.starts_with(env!("CARGO_PKG_VERSION")), "{newest}");
}
