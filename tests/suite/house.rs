//! The laws of the house that can be read off the sources.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use crate::common::{files_below, plan, read};
use heatbook::forge::Blades;

/// The rooms from the ground up: nobody imports from a floor above.
const FLOORS: &[&[&str]] = &[
    &["bug"],
    &["vocabulary"],
    &["quantity"],
    &["source"],
    &["steel"],
    &["piece"],
    &["spec"],
    &["forge"],
    &["replay"],
    &["language"],
    &["workshop"],
    &["study"],
    &["manual"],
    &["report"],
    &["cli", "editor"],
];

fn floor(room: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.contains(&room))
}

#[test]
fn no_floor_imports_from_one_above() {
    let mut looked = 0;
    for path in files_below(Path::new("src"), "rs") {
        let inside = path.strip_prefix("src").unwrap();
        let room = inside.components().next().unwrap().as_os_str().to_str().unwrap();
        let Some(own) = floor(room) else {
            assert!(matches!(room, "lib.rs" | "main.rs" | "bug.rs" | "vocabulary.rs"), "{room} has no floor");
            continue;
        };
        for (n, line) in fs::read_to_string(&path).unwrap().lines().enumerate() {
            for part in line.split("crate::").skip(1) {
                let other: String = part.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                let Some(theirs) = floor(&other) else { continue };
                looked += 1;
                assert!(theirs <= own, "{}:{}: {room} imports from {other}", path.display(), n + 1);
            }
        }
    }
    assert!(looked > 100, "only {looked} imports were looked at");
}

/// Whether a place of a source, blanks aside, holds something against a word in quotes: what stands before it, and behind it.
fn holds_against(before: &str, behind: &str) -> bool {
    let comes = ["==", "!=", "==Some(", "!=Some(", "|", "starts_with(", "ends_with(", "eq(", "strip_prefix("];
    let goes = ["=>", "|", ")=>", ")|", ")if", "=="];
    comes.iter().any(|sign| before.ends_with(sign)) || goes.iter().any(|sign| behind.starts_with(sign))
}

#[test]
fn nobody_outside_the_forge_goes_by_a_verbs_name() {
    assert!(holds_against("s.word.word==", "{") && holds_against("matches!(w,Some(\"a\"|", "))"));
    assert!(holds_against("", "=>1,") && !holds_against("vec![", ",") && !holds_against("What::Edge=>", ","));
    let mut found = Vec::new();
    for path in files_below(Path::new("src"), "rs").iter().filter(|p| !p.starts_with("src/forge")) {
        let text = fs::read_to_string(path).unwrap();
        let text: String = text.split("#[cfg(test)]").next().unwrap().split_whitespace().collect();
        for word in heatbook::forge::WORDS {
            let quoted = format!("\"{}\"", word.word);
            for (at, _) in text.match_indices(&quoted) {
                if holds_against(&text[..at], &text[at + quoted.len()..]) {
                    found.push(format!("{}: {quoted}", path.display()));
                }
            }
            // Lines of a recipe are written by the verb's entry.
            for begins in [format!("\"{}{{", word.word), format!("\\n{}{{", word.word)] {
                if path.starts_with("src/study") && text.contains(&begins) {
                    found.push(format!("{} writes a `{}` of its own", path.display(), word.word));
                }
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn what_a_verbs_entry_says_of_blades_is_true() {
    let shaped = "stock b = 1 bar of 1084, 5 x 40 x 200 mm\nprofile b to 190 mm long, 38 mm wide\n";
    let bar = "stock b = 1 bar of 1084, 8 x 8 x 200 mm\n";
    let tried = |recipe: &str| heatbook::replay::build(&plan(recipe), &[], heatbook::quantity::Units::Metric);
    for word in heatbook::forge::WORDS {
        let ways: Vec<String> = match (word.word, word.blades) {
            ("stock", _) => continue,
            (_, Blades::Some(ways)) => {
                let way = |way: &&str| {
                    if way.starts_with("to") { "to 150 mm long" } else { "9 mm off the tip end" }
                };
                ways.iter().map(|w| word.write("b", &[way(w)])).collect()
            }
            ("stack", _) => vec![word.write("c", &["b"])],
            ("join", _) => vec![format!(
                "stock c = 1 bar of 1084, 5 x 40 x 200 mm\n{}",
                word.write("b", &["to c on edge"])
            )],
            ("wrap", _) => {
                vec![format!("stock c = 1 bar of 1084, 2 x 90 x 200 mm\n{}", word.write("b", &["with c"]))]
            }
            ("measure", _) => vec![word.write("b", &["38 mm wide"])],
            ("expect", _) => vec![word.write("b", &["width >= 1 mm"])],
            _ => {
                let clauses = word.example.splitn(3, ' ').nth(2).unwrap_or("");
                let clauses = clauses.replace("62 mm", "50 mm").replace("400 mm", "150 mm");
                vec![word.write("b", &[&clauses])]
            }
        };
        for way in ways {
            let build = tried(&format!("{shaped}{way}"));
            let refused = build.faults.iter().any(|f| f.code.name() == "shaped");
            // A test changes nothing, and may look at anything.
            let works = word.blades != Blades::Never || word.form == heatbook::forge::Form::Tests;
            assert_eq!(works, !refused, "{way}: {:?}", build.faults);
            if word.blades == Blades::Makes {
                let build = tried(&format!("{bar}{way}"));
                let made = build.standing.iter().filter_map(|l| build.lot(*l)).all(|l| l.bar.blade.is_some());
                assert!(made || !build.faults.is_empty(), "{way} makes no blade of a bar");
            }
        }
    }
}

/// What `Cargo.toml` promises is what the packages need that it builds on: the newest of their minimum Rust versions.
#[test]
fn the_minimum_rust_version_is_the_true_one() {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    // Only what this machine builds with is at hand offline.
    let rustc = std::process::Command::new("rustc").arg("-vV").output().unwrap();
    let rustc = String::from_utf8(rustc.stdout).unwrap();
    let host = rustc.lines().find_map(|l| l.strip_prefix("host: ")).unwrap();
    let args = ["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform", host];
    let out = std::process::Command::new(cargo).args(args).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let all: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let version = |of: &serde_json::Value| -> Option<Vec<u32>> {
        of["rust_version"]
            .as_str()
            .map(|v| v.split('.').chain(["0"]).take(3).map(|n| n.parse().unwrap()).collect())
    };
    let packages = all["packages"].as_array().unwrap();
    let [own] = packages.iter().filter(|p| p["source"].is_null()).collect::<Vec<_>>()[..] else {
        panic!("one package is ours")
    };
    // What only tests are built with counts too: they are run on that version as well.
    let newest = packages.iter().filter(|p| !p["source"].is_null()).filter_map(version).max().unwrap();
    let who: Vec<&str> = packages
        .iter()
        .filter(|p| version(p).as_ref() == Some(&newest))
        .filter_map(|p| p["name"].as_str())
        .collect();
    assert_eq!(version(own).unwrap(), newest, "{who:?}");
}

#[test]
fn every_verb_has_an_example_that_parses() {
    for word in heatbook::forge::WORDS {
        assert!(word.example.starts_with(word.word), "{}", word.example);
        let (_, faults) = read(word.example);
        let syntax: Vec<_> = faults
            .iter()
            .filter(|f| matches!(f.code.name(), "syntax" | "unfinished" | "unknown_verb"))
            .collect();
        assert!(syntax.is_empty(), "{}: {syntax:?}", word.example);
        for form in word.forms {
            let read = heatbook::language::format(&format!("{form}\n"), 0);
            assert_eq!(read.ok().as_deref().map(str::trim_end), Some(*form));
        }
    }
}

/// The files of a room that still import each other, by room, and why they may.
const CIRCLES: &[(&str, &str)] = &[];

/// The files of `src` as modules: the paths that each one writes (in a `use` or written out), and those that it only hands
/// on by `pub use`; comments and tests left out.
struct Modules(BTreeMap<String, [Vec<String>; 2]>);

impl Modules {
    fn of(dir: &Path) -> Modules {
        let mut texts = BTreeMap::new();
        for path in files_below(dir, "rs") {
            let inside = path.strip_prefix(dir).unwrap().with_extension("");
            let names = inside.iter().map(|n| n.to_str().unwrap()).filter(|n| !matches!(*n, "mod" | "lib"));
            let text = fs::read_to_string(&path).unwrap();
            let code = text.lines().take_while(|l| l.trim() != "#[cfg(test)]");
            let code = code.filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
            texts.insert(names.collect::<Vec<_>>().join("::"), written(&code));
        }
        Modules(texts)
    }

    /// A path from the crate on; nothing where it leads out of it.
    fn absolute(&self, module: &str, path: &str) -> Option<String> {
        let mut at: Vec<&str> = module.split("::").filter(|s| !s.is_empty()).collect();
        let names: Vec<&str> = path.split("::").map(str::trim).filter(|s| !s.is_empty()).collect();
        let mut names = names.as_slice();
        match names.first()? {
            &"crate" => (at, names) = (Vec::new(), &names[1..]),
            &"super" | &"self" => {
                while let Some((first @ (&"super" | &"self"), rest)) = names.split_first() {
                    names = rest;
                    if *first == "super" {
                        at.pop()?;
                    }
                }
            }
            first => {
                let child = at.iter().chain([first]).copied().collect::<Vec<_>>().join("::");
                self.0.contains_key(&child).then_some(())?;
            }
        }
        Some(at.into_iter().chain(names.iter().copied()).collect::<Vec<_>>().join("::"))
    }

    /// The module in which what a path names is written down.
    fn home(&self, path: &str) -> String {
        let names: Vec<&str> = path.split("::").filter(|n| !matches!(*n, "self" | "*")).collect();
        let deepest = (0..=names.len()).rev().find(|n| self.0.contains_key(&names[..*n].join("::"))).unwrap();
        let module = names[..deepest].join("::");
        let Some(name) = names.get(deepest) else { return module };
        let [_, hands_on] = &self.0[&module];
        let mut hands_on = hands_on.iter().filter_map(|path| self.absolute(&module, path));
        let handed = hands_on.find(|p| p.rsplit("::").next() == Some(name));
        handed.map_or(module, |path| self.home(&path))
    }
}

/// The paths that a file writes, and those that it hands on.
fn written(text: &str) -> [Vec<String>; 2] {
    let (mut uses, mut hands_on) = (Vec::new(), Vec::new());
    let mut rest = String::new();
    for statement in text.split_inclusive([';', '}']) {
        rest.push_str(statement);
        let Some(at) = rest.rfind("use ").filter(|at| is_use(&rest, *at)) else { continue };
        if !statement.ends_with(';') {
            continue;
        }
        let before = rest[..at].trim_end();
        let list = if before.ends_with("pub") || before.ends_with(')') { &mut hands_on } else { &mut uses };
        expand("", rest[at + 4..].trim_end_matches(';'), list);
        rest.truncate(statement_of(&rest, at));
    }
    for start in ["crate::", "super::"] {
        for (at, _) in rest.match_indices(start) {
            let before = rest[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | ':' | '$')) {
                continue;
            }
            let word = |c: &char| c.is_alphanumeric() || matches!(c, '_' | ':');
            uses.push(rest[at..].chars().take_while(word).collect());
        }
    }
    [uses, hands_on]
}

/// Whether a `use` at this place begins a statement.
fn is_use(text: &str, at: usize) -> bool {
    let before = text[..statement_of(text, at)].trim_end();
    before.is_empty() || before.ends_with([';', '}', ']', '{'])
}

/// Where the statement begins whose `use` is at this place: who may see it stands before.
fn statement_of(text: &str, at: usize) -> usize {
    let before = text[..at].trim_end();
    match before.rsplit_once("pub") {
        Some((before, "" | "(crate)" | "(super)")) => before.len(),
        Some((before, inside)) if inside.starts_with("(in ") && inside.ends_with(')') => before.len(),
        _ => at,
    }
}

/// Writes out the paths of a `use`.
fn expand(before: &str, tree: &str, paths: &mut Vec<String>) {
    let Some((head, inside)) = tree.split_once('{') else {
        let name = tree.split(" as ").next().unwrap().trim();
        if !name.is_empty() {
            paths.push(format!("{before}{name}"));
        }
        return;
    };
    let (mut depth, mut from) = (0, 0);
    let inside = inside.trim_end().strip_suffix('}').unwrap();
    let before = format!("{before}{}", head.trim());
    for (at, c) in inside.char_indices().chain([(inside.len(), ',')]) {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                expand(&before, &inside[from..at], paths);
                from = at + 1;
            }
            _ => {}
        }
    }
}

#[test]
fn no_two_files_import_each_other() {
    let modules = Modules::of(Path::new("src"));
    let imports: BTreeMap<&str, BTreeSet<String>> = modules
        .0
        .iter()
        .map(|(module, [uses, _])| {
            let paths = uses.iter().filter_map(|path| modules.absolute(module, path));
            let homes = paths.map(|path| modules.home(&path)).filter(|home| home != module);
            (module.as_str(), homes.collect())
        })
        .collect();
    assert!(imports["piece::makeup"].contains("piece::view"), "{:?}", imports["piece::makeup"]);
    assert!(imports["spec::judge"].contains("piece::makeup"), "{:?}", imports["spec::judge"]);
    let reached = |from: &str| {
        let (mut seen, mut open) = (BTreeSet::new(), vec![from.to_owned()]);
        while let Some(module) = open.pop() {
            open.extend(imports[module.as_str()].iter().filter(|m| seen.insert((*m).clone())).cloned());
        }
        seen
    };
    let reach: BTreeMap<&str, BTreeSet<String>> = imports.keys().map(|m| (*m, reached(m))).collect();
    let mut circles = BTreeSet::new();
    for (module, theirs) in &reach {
        if theirs.contains(*module) {
            circles.insert(
                theirs.iter().filter(|m| reach[m.as_str()].contains(*module)).cloned().collect::<Vec<_>>(),
            );
        }
    }
    let room = |circle: &Vec<String>| circle[0].split("::").next().unwrap().to_owned();
    let unknown: Vec<_> =
        circles.iter().filter(|c| CIRCLES.iter().all(|(known, _)| room(c) != *known)).collect();
    assert!(unknown.is_empty(), "these files import each other: {unknown:#?}");
    for (known, why) in CIRCLES {
        assert!(circles.iter().any(|c| room(c) == *known), "no circle is left in {known} ({why})");
    }
}
