//! Citations against each other: a volume fits its year, a name has one spelling, and whatever is told says where it comes from.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use crate::common::check;

/// Journals by the words that end their names: the year of a volume is `first + volume / a year`, or stands in a list. All of it from memory, and held together by what is
/// cited.
const JOURNALS: &[(&str, Runs)] = &[
    ("Acta Metall.", Runs::Yearly(1952)),
    ("Scripta Metall.", Runs::Yearly(1966)),
    ("Rev. Metall.", Runs::Yearly(1903)),
    ("JSTP", Runs::Yearly(1959)),
    ("Mater. Sci. Technol.", Runs::Yearly(1984)),
    ("Metall. Mater. Trans. B", Runs::Yearly(1969)),
    ("ISIJ Int.", Runs::Yearly(1960)),
    ("J. Mater. Eng. Perform.", Runs::Yearly(1991)),
    ("Brit. Weld. J.", Runs::Yearly(1953)),
    ("Proc. IMechE", Runs::Yearly(1786)),
    ("BIT", Runs::Yearly(1960)),
    ("Hagane", Runs::Yearly(1914)),
    ("Sci. Technol. Adv. Mater.", Runs::Yearly(1999)),
    ("steel research int.", Runs::Yearly(1929)),
    ("Oxid. Met.", Runs::Among(&[(58, 2002), (59, 2003), (60, 2003)])),
    ("Trans. AIME", Runs::Among(&[(162, 1945)])),
    ("J. Iron Steel Inst.", Runs::Among(&[(183, 1956), (193, 1959), (203, 1965), (206, 1968)])),
];

enum Runs {
    /// One volume a year; the year before the first.
    Yearly(u32),
    /// Other runs: the volumes that are cited.
    Among(&'static [(u32, u32)]),
}

impl Runs {
    fn fits(&self, volume: u32, year: u32) -> bool {
        match self {
            Runs::Yearly(before) => before + volume == year,
            Runs::Among(list) => list.contains(&(volume, year)),
        }
    }
}

fn texts(under: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(under).unwrap() {
        let path = entry.unwrap().path();
        let ends = path.extension().and_then(|e| e.to_str()).unwrap_or("");
        if path.is_dir() {
            texts(&path, found);
        } else if ["rs", "txt", "csv", "md"].contains(&ends) {
            found.push(path);
        }
    }
}

/// All that is written in the program and its pages, each file as one line without the marks of comments.
fn written() -> Vec<(PathBuf, String)> {
    let mut found = vec![PathBuf::from("README.md"), PathBuf::from("DEVELOPERS.md")];
    for under in ["src", "examples", "recipes"] {
        texts(Path::new(under), &mut found);
    }
    let flat = |text: &str| {
        let lines = text.lines().map(|l| l.trim().trim_start_matches(['/', '!']).trim());
        lines.collect::<Vec<_>>().join(" ")
    };
    found.into_iter().map(|path| (path.clone(), flat(&fs::read_to_string(&path).unwrap()))).collect()
}

/// The volumes cited in a text, each with the words before it and its year.
fn cited(text: &str) -> Vec<(&str, u32, u32)> {
    let mut all = Vec::new();
    for (at, _) in text.match_indices(" (") {
        let Some(inside) = text.get(at + 2..at + 7) else { continue };
        let Some(year) = inside.strip_suffix(')').and_then(|y| y.parse::<u32>().ok()) else { continue };
        if !(1850..2100).contains(&year) {
            continue;
        }
        // `93(5) (2022)`: the issue behind the volume.
        let before = &text[..at];
        let before = match before.rfind('(') {
            Some(issue) if before.ends_with(')') && before.len() - issue < 7 => &before[..issue],
            _ => before,
        };
        let digits = before.bytes().rev().take_while(u8::is_ascii_digit).count();
        let (words, volume) = before.split_at(before.len() - digits);
        if let (true, Ok(volume)) = (words.ends_with(' '), volume.parse()) {
            all.push((words, volume, year));
        }
    }
    all
}

#[test]
fn volumes_fit_their_years() {
    let mut looked = BTreeSet::new();
    for (path, text) in written() {
        let mut last = None;
        for (words, volume, year) in cited(&text) {
            let named = JOURNALS.iter().find(|(name, _)| words.trim_end().ends_with(name));
            // `J. JSTP 9 (1968) no. 85 and 10 (1969)`: the same one goes on.
            let journal = if words.ends_with(" and ") { last } else { named };
            let near = &words[words.len().saturating_sub(40)..];
            let Some((name, runs)) = journal else {
                panic!("{}: what is cited here? {near}", path.display())
            };
            assert!(runs.fits(volume, year), "{}: {near}{volume} ({year})", path.display());
            looked.insert((*name, volume, year));
            last = journal;
        }
        // Numbers of a journal on the web: the year first.
        for (at, _) in text.match_indices("Metals 20") {
            let rest = &text[at + "Metals ".len()..];
            let (year, rest) = rest.split_once(", ").unwrap();
            let volume: u32 = rest[..rest.find(|c: char| !c.is_ascii_digit()).unwrap()].parse().unwrap();
            assert_eq!(year.parse(), Ok(2010 + volume), "{}", path.display());
            assert!(rest.contains('('), "{}: no issue", path.display());
            looked.insert(("Metals", volume, 2010 + volume));
        }
    }
    // A journal that nothing cites is no rule.
    for (name, _) in JOURNALS {
        assert!(looked.iter().any(|(seen, ..)| seen == name), "{name} is cited nowhere");
    }
    assert!(looked.len() >= 20, "{looked:?}");
}

/// Whether two words differ by one letter, more, less or another.
fn near(a: &str, b: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let same = a.iter().zip(&b).take_while(|(a, b)| a == b).count();
    let tail =
        |a: &[char], b: &[char]| a.iter().rev().zip(b.iter().rev()).take_while(|(a, b)| a == b).count();
    let most = a.len().max(b.len());
    a != b && a.len().abs_diff(b.len()) <= 1 && same + tail(&a[same..], &b[same..]) + 1 >= most
}

#[test]
fn a_name_is_spelled_one_way() {
    let mut names: BTreeMap<String, String> = BTreeMap::new();
    let mut add = |from: &str, text: &str| {
        for word in text.split(|c: char| !c.is_alphabetic() && c != '.') {
            let name = word.trim_start_matches(|c: char| !c.is_alphabetic());
            // An abbreviation is no name.
            let whole = name.chars().count() >= 5 && name.chars().all(char::is_alphabetic);
            if whole && name.chars().next().is_some_and(char::is_uppercase) {
                names.entry(name.to_owned()).or_insert_with(|| from.to_owned());
            }
        }
    };
    for law in heatbook::steel::laws() {
        add(law.name, law.source);
    }
    for (path, text) in written() {
        for (words, ..) in cited(&text) {
            // Who wrote it stands before it.
            let from = words.char_indices().rev().nth(60).map_or(0, |(at, _)| at);
            add(&path.display().to_string(), &words[from..]);
        }
    }
    assert!(names.len() > 60, "{}", names.len());
    let plural = |a: &str, b: &str| a.strip_suffix('s') == Some(b);
    // A house of books and an author.
    let two = |a: &str, b: &str| (a, b) == ("Springer", "Stringer");
    for (a, from) in &names {
        for (b, there) in names.range(a.clone()..).skip(1) {
            let alike = near(&a.to_lowercase(), &b.to_lowercase()) && !plural(b, a) && !two(a, b);
            assert!(!alike, "`{a}` ({from}) and `{b}` ({there})");
        }
    }
}

/// What a source line may lean on: whoever reads it learns whether it was read, and where, or that it is ours.
const SEEN: &[&str] = &[
    "through",
    "seen",
    "read",
    "quoted",
    "memory",
    "worked copies",
    "textbook",
    "own fit",
    "project figure",
    "project parameter",
    "common practice",
    "geometry",
    "by a code",
    "computed",
    "standard",
    "abstract",
    "first page",
    "derived",
    "on a page",
    "on pages",
    "on public charts",
    "pages",
    "a page",
    "handbook",
    "a worked",
    "EN ",
    "ASTM ",
    "doi ",
    "arXiv",
    "constant volume",
    "balance",
    "definition",
    "force over pressure",
    "difference of",
];

#[test]
fn every_source_says_how_it_was_seen() {
    for law in heatbook::steel::laws() {
        // The mark, shown behind it, has a test beside the catalogue.
        let said =
            law.source.bytes().any(|b| b.is_ascii_digit()) || SEEN.iter().any(|s| law.source.contains(s));
        assert!(said, "{}: {}", law.name, law.source);
    }
    let mut looked = BTreeSet::new();
    let mut files = Vec::new();
    for under in ["examples", "examples/commissions", "recipes"] {
        let of = |e: fs::DirEntry| Some(e.path()).filter(|p| p.extension().is_some_and(|x| x == "heat"));
        files.extend(fs::read_dir(under).unwrap().filter_map(|e| of(e.unwrap())));
    }
    for path in files.iter().filter(|p| !p.ends_with("asked-galley.heat")) {
        for assumed in &check(&fs::read_to_string(path).unwrap()).build.ledger.assumed {
            looked.insert((assumed.what, assumed.source));
        }
    }
    assert!(looked.len() > 20, "{looked:?}");
    for (what, source) in looked {
        let said = SEEN.iter().any(|s| source.contains(s))
            || source.contains("no data")
            || source.contains("counted");
        assert!(said, "{what}: {source}");
    }
}
