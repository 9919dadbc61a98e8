//! The formatter: the same recipe, the same comments, the same again the second time; and no file half written.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::common::{FIRST, Said, all_bits, cases, files_below, heatbook, plan, read};
use heatbook::language::format;
use heatbook::quantity::Units;
use heatbook::replay::build;
use proptest::prelude::*;

/// What a recipe comes to: sizes to the last bit, faults, verdicts, and what its recipes say of themselves.
fn comes_to(source: &str) -> String {
    let (plan, found) = read(source);
    let made = build(&plan, &[], Units::Metric);
    let codes: Vec<&str> = found.iter().chain(&made.faults).map(|f| f.code.name()).collect();
    let met: Vec<Option<bool>> = made.lines.iter().map(|l| l.judged.map(|j| j.met)).collect();
    format!("{:?} {codes:?} {met:?} {:?}", all_bits(&made), plan.recipes)
}

/// The sizes alone, to the last bit.
fn sizes(source: &str) -> Vec<[u64; 4]> {
    all_bits(&build(&plan(source), &[], Units::Metric))
}

fn comments(text: &str) -> Vec<&str> {
    text.lines().filter_map(|l| l.find('#').and_then(|at| l.get(at..))).map(str::trim_end).collect()
}

#[test]
fn shipped_files_are_in_the_house_style() {
    for folder in ["examples", "recipes"] {
        for path in files_below(folder, "heat") {
            let text = fs::read_to_string(&path).unwrap();
            assert_eq!(format(&text, 0).unwrap(), text, "{}: run `heatbook fmt`", path.display());
        }
    }
}

#[test]
fn every_fixture_means_the_same_and_stays_put() {
    let mut formatted = 0;
    for path in ["tests/faults", "examples", "recipes"].iter().flat_map(|f| files_below(f, "heat")) {
        let text = fs::read_to_string(&path).unwrap();
        // One that cannot be read is refused, and that is all.
        let Ok(made) = format(&text, 0) else { continue };
        formatted += 1;
        assert_eq!(format(&made, 0).unwrap(), made, "{}", path.display());
        assert_eq!(comes_to(&made), comes_to(&text), "{}", path.display());
        assert_eq!(comments(&made), comments(&text), "{}", path.display());
    }
    assert!(formatted > 60, "{formatted}");
}

#[test]
fn the_house_style() {
    let messy = "\n\n#one\nshop{forge gas,1200C   #hot\npower   hammer 40kg,180 blows per min\n   kerf 2mm\n\n\n# loss\n\
                 scale 0.05mm per heat#skin\n}\nlet finish=3mm   # a\nlet longer = 1 1/2 in-(2mm*2)\n\
                 stock b=r( a=2 ,\n   # here\nbb=40mm)\nstack p=b,\n b turned\n\ndraw p to -finish+(9mm) thick,heats 3\n\n";
    let styled = "\
#one
shop {
  forge        gas, 1200 C  #hot
  power hammer 40 kg, 180 blows per min
  kerf         2 mm

  # loss
  scale 0.05 mm per heat  #skin
}
let finish = 3 mm  # a
let longer = 1 1/2 in - (2 mm * 2)
stock b = r(a = 2,
  # here
  bb = 40 mm)
stack p = b,
  b turned

draw p to -finish + (9 mm) thick, heats 3
";
    // `in-(` is read as the unit and a minus only with a blank behind it.
    let messy = messy.replace("in-(", "in - (");
    assert_eq!(format(&messy, 0).unwrap(), styled);
    assert_eq!(format("", 0).unwrap(), "");
    assert_eq!(format("# only\n\n\n\n# these", 0).unwrap(), "# only\n\n# these\n");
    let crlf = format(&FIRST.replace('\n', "\r\n"), 0).unwrap();
    assert_eq!(crlf, FIRST.replace('\n', "\r\n"));
    assert_eq!(format(&format!("\u{feff}{FIRST}"), 0).unwrap(), format!("\u{feff}{FIRST}"));
}

/// Marks for inches and feet are written as the house writes them.
#[test]
fn marks_for_inches_stand_behind_their_figure() {
    for (written, styled) in [
        ("let a=1/8\" # fine\n", "let a = 1/8 in  # fine\n"),
        ("let a = 4 '\n", "let a = 4 ft\n"),
        ("let a = 1 1/2”\n", "let a = 1 1/2 in\n"),
        ("let a = 2 ''\n", "let a = 2 in\n"),
    ] {
        assert_eq!(format(written, 0).unwrap(), styled);
        assert_eq!(format(styled, 0).unwrap(), styled);
    }
}

#[test]
fn a_comment_behind_the_last_parameter_stays_there() {
    let head = "recipe bar(bars: count = 3,  # how many\n  across: length = 40 mm  # how wide\n) {\n";
    let body = "  stock b = bars bars of 1084, 4 x across x 120 mm\n  give b\n}\n";
    let source = format!("{head}{body}");
    let made = format(&source, 0).unwrap();
    assert_eq!((format(&made, 0).unwrap(), comments(&made)), (made.clone(), comments(&source)));
    // More comments on lines of their own may stand before the bracket.
    let more = source.replace("# how wide\n", "# how wide\n  # at the forge\n\n  # not at the anvil\n");
    let made = format(&more, 0).unwrap();
    assert_eq!((format(&made, 0).unwrap(), comments(&made)), (made.clone(), comments(&more)));
    let called = "stock p = bar(bars = 4,\n  across = 30 mm  # narrow\n)\n";
    assert_eq!(format(called, 0).unwrap(), called);
}

/// A comma that nothing follows is said where it stands, and never lost.
#[test]
fn a_stray_comma_is_a_fault() {
    for text in [
        "repeat 2 {\n  heat b for 3 min,# hot\n}\n",
        "repeat 2 {\n  turn b,\n}\n",
        "repeat 2 { turn b, }\n",
        "turn b,",
        "turn b, # so\n",
    ] {
        let Err(heatbook::language::Unformatted::Faults(faults)) = format(text, 0) else { panic!("{text}") };
        assert_eq!(faults.iter().map(|f| f.code.name()).collect::<Vec<_>>(), ["dangling_comma"], "{text}");
    }
}

/// The first recipe without its comment, so that every place below is outside of one.
fn first() -> &'static str {
    FIRST.split_once('\n').unwrap().1
}

/// Every place of a recipe where a comment may stand: behind each line, between lines, and behind each comma inside a line.
fn places(source: &str) -> Vec<(usize, bool)> {
    let mut found = Vec::new();
    for (at, c) in source.char_indices() {
        match c {
            '\n' => found.extend([(at, false), (at + 1, true)]),
            ',' => found.push((at + 1, true)),
            _ => {}
        }
    }
    found
}

fn with_comments(source: &str, chosen: &[(usize, bool)]) -> String {
    let mut made = source.to_owned();
    for (n, (at, own)) in chosen.iter().enumerate().rev() {
        let end = if *own { "\n" } else { "" };
        made.insert_str(*at, &format!(" # c{n} \"x, {{ y{end}"));
    }
    made
}

const SHORT: &str = "\
recipe bar(bars: count = 3, across: length = 40 mm) {
  stock b = bars bars of 1084, 4 x across x 120 mm
  repeat 2 {
    heat b for 3 min at 1000 C
  }
  give b
}
shop {
  forge gas, 1200 C
  kerf  2 mm
}
stock p = bar(bars = 4, across = 30 mm)
stack q = p
weld q at 1230 C, thinning 15 %, heats 3
cut q at 60 mm into one, two
target one {
  width  >= 28 mm everywhere
  length = 60 mm +- 1 mm
}
";

#[test]
fn a_comment_in_every_place() {
    for source in [first(), SHORT] {
        let plain = sizes(source);
        let all = places(source);
        for chosen in all.iter().map(std::slice::from_ref).chain(std::iter::once(all.as_slice())) {
            let text = with_comments(source, chosen);
            let made = format(&text, 0).unwrap_or_else(|e| panic!("{e:?}\n{text}"));
            assert_eq!(comments(&made), comments(&text), "{text}\n{made}");
            assert_eq!(comments(&made).len(), comments(source).len() + chosen.len());
            assert_eq!(format(&made, 0).unwrap(), made, "{text}");
            assert_eq!(sizes(&made), plain, "{text}\n{made}");
        }
    }
}

/// Lines of every form; `@` stands for a figure.
const LINES: &[&str] = &[
    "let a = @ mm + @ in * @",
    "let b = -(@ mm - @ thou) / @",
    "steel old-file = like W1, carbon @ %, manganese @ %",
    "note \"mind , the # seam = here\"",
    "stock s = @ bars of \"1.2235\", @ x @ x @ mm",
    "stock r = @ rounds of 1095, @ x @ in",
    "stock f = e-offcut-1 from rack",
    "stock b = made(bars = @, grade = W2, thick = @ mm)",
    "stack p = alternate s, r",
    "stack p = @ of s turned, r flipped, s side by side, trimmed",
    "stack p = @ of s, r in can @ x @ x @ mm, wall @ in of \"1.2235\", powder of 1084, packed @ %, ground off",
    "weld p at @ °C, thinning @ %, soak @ min, dry",
    "draw p to @ mm thick, @ in wide hot at @ C, with flat die @ mm, bite @ mm, spread @",
    "spread p to ? in @ .. @ mm wide with peen @ mm, heats @",
    "cut p into @, kerf @ mm, keep rest",
    "cut p into low, mid, top",
    "cut p @ mm off each end",
    "grind p faces @ mm, edges @ mm +- @ mm, ends @ mm",
    "join s to p on edge, at @ C for @ min",
    "fold p in @",
    "turn p",
    "harden p from @ C in oil",
    "temper p at @ F for @ h, @ times",
    "measure p: @ mm thick, @ mm wide, @ lb @ oz, hot at @ C",
    "expect p: width >= @ mm everywhere, thickness of s @ .. @ mm, layers = @",
    "repeat @ {",
    "shop {\n  forge gas, @ C, neutral\n  power hammer @ kg, face @ mm, @ blows per min\n  price of 1084 @ per kg\n  scale none\n}",
    "target p {\n  width from heel to @ mm from tip >= @ mm\n  share of s <= @ %\n  mass = @ g +- @ g\n}",
    "recipe made(bars: count = @, grade: steel = 1084, thick: length = @ mm, body: piece) {",
];

/// A recipe of such lines: sound words, whatever they come to.
fn generated(picks: &[(u8, u16)]) -> String {
    let (mut text, mut open) = (String::new(), 0);
    for (pick, n) in picks {
        let mut line = LINES[usize::from(*pick) % LINES.len()];
        if line.ends_with("}") || line.starts_with("recipe") {
            text += &"}\n".repeat(std::mem::take(&mut open));
        }
        if line.ends_with(" {") && open > 20 {
            line = "turn p";
        }
        open += usize::from(line.ends_with(" {"));
        let mut n = usize::from(*n);
        for (i, part) in line.split('@').enumerate() {
            if i > 0 {
                text += ["3", "1.5", ".070", "3/16", "1 1/2", "12"][n % 6];
                n /= 3;
            }
            text += part;
        }
        text.push('\n');
    }
    text + &"}\n".repeat(open)
}

/// More blanks, tabs, other line ends and no blanks where none are needed, as the dice say.
fn shaken(source: &str, seed: &[u8]) -> String {
    let mut dice = seed.iter().cycle();
    let (mut text, mut quoted) = (String::new(), false);
    for c in source.chars() {
        quoted ^= c == '"';
        match (c, if quoted { None } else { dice.next() }) {
            (' ', Some(1)) => text.push_str("   "),
            (' ', Some(2)) => text.push('\t'),
            (' ', Some(3)) => text.push_str(" \u{a0}"),
            ('\n', Some(1)) => text.push_str("  \n"),
            ('\n', Some(2)) => text.push_str("\r\n"),
            (',', Some(1)) => text.push_str(" ,"),
            ('}', Some(1)) => text.push_str(" } "),
            _ => text.push(c),
        }
    }
    text
}

proptest! {
    #![proptest_config(cases(200))]
    #[test]
    fn generated_recipes_keep_their_words_and_comments(
        picks in proptest::collection::vec((any::<u8>(), any::<u16>()), 1..30),
        seed in proptest::collection::vec(0u8..8, 400),
        keep in proptest::collection::vec(any::<bool>(), 64),
    ) {
        let source = generated(&picks);
        let styled = format(&source, 0).map_err(|e| TestCaseError::fail(format!("{e:?}\n{source}")))?;
        prop_assert_eq!(format(&styled, 0).unwrap(), styled.clone());
        let made = format(&shaken(&source, &seed), 0).unwrap();
        prop_assert_eq!(made.replace('\r', ""), styled);
        // Quotes hide commas from `places`: what stands inside of them is no place for a comment.
        let bare = source.replace("mind , the # seam = here", "mind");
        let chosen: Vec<(usize, bool)> =
            places(&bare).into_iter().zip(keep.iter().cycle()).filter(|(_, k)| **k).map(|(p, _)| p).collect();
        let text = with_comments(&bare, &chosen);
        let made = format(&text, 0).map_err(|e| TestCaseError::fail(format!("{e:?}\n{text}")))?;
        prop_assert_eq!(comments(&made), comments(&text));
        prop_assert_eq!(comments(&made).len(), chosen.len());
        prop_assert_eq!(format(&made, 0).unwrap(), made);
    }
}

/// Inch marks spelt out, and no point behind a word: the house writes units so.
fn plain(letters: &str) -> String {
    let letters: Vec<char> = letters.replace('"', "in").chars().collect();
    let point = |i: usize| {
        let behind_word = i > 0 && letters[i - 1].is_alphabetic();
        letters[i] == '.' && behind_word && letters.get(i + 1) != Some(&'.')
    };
    (0..letters.len()).filter(|i| !point(*i)).map(|i| letters[i]).collect()
}

proptest! {
    #![proptest_config(cases(600))]
    #[test]
    fn slips_of_the_keys_lose_nothing(
        edits in proptest::collection::vec((any::<u16>(), 0usize..3, "[-+ \\n\\t,(){}#\"=?x.0-9a-z°µ\u{a0}]{1,4}"), 1..6),
    ) {
        // Letters put in, taken away and written over: it is refused, or all its words and comments are there again, or the same recipe.
        for source in [first(), SHORT] {
            let mut text: Vec<char> = source.chars().collect();
            for (at, sort, typed) in &edits {
                let at = usize::from(*at) % text.len();
                let end = (at + sort * typed.len()).min(text.len());
                text.splice(at..end, typed.chars());
            }
            let text: String = text.into_iter().collect();
            if let Ok(made) = format(&text, 0) {
                let letters = |t: &str| plain(&t.chars().filter(|c| !c.is_whitespace()).collect::<String>());
                // What is read in other words is written in the house's, and is the same recipe.
                if letters(&made) != letters(&text) {
                    let read = |text: &str| {
                        let worked = crate::common::check(text);
                        let values = worked.plan.values.0.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
                        let said = worked.verdict.faults.iter().map(|f| (f.code.name(), f.message.clone()));
                        (values, said.collect::<Vec<_>>())
                    };
                    prop_assert_eq!(read(&made), read(&text), "{}", made);
                }
                prop_assert_eq!(format(&made, 0).unwrap(), made);
            }
        }
    }
}

#[test]
fn the_command_changes_only_what_it_should() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.heat");
    let (file, text) = (path.to_str().unwrap(), || fs::read_to_string(&path).unwrap());
    let messy = FIRST.replace("  kerf  2 mm", "kerf 2mm");
    fs::write(&path, &messy).unwrap();
    assert_eq!((heatbook(&["fmt", "--check", file]).code, text()), (1, messy.clone()));
    let said = heatbook(&["fmt", "--diff", file]).out;
    assert!(said.contains("-kerf 2mm") && said.contains("+  kerf  2 mm"), "{said}");
    assert_eq!(text(), messy);
    assert_eq!(heatbook(&["fmt", file]).code, 0);
    assert_eq!(text(), FIRST);
    // A file from elsewhere: the difference that patches it holds its line ends.
    fs::write(&path, messy.replace('\n', "\r\n")).unwrap();
    let said = heatbook(&["fmt", "--diff", file]).out;
    assert!(said.contains("-kerf 2mm\r\n") && said.contains("+  kerf  2 mm\r\n"), "{said:?}");
    // A fault stands where it was written, though words before it are put in the house's.
    fs::write(&path, "stock p 2 bars 1084, 4 x 40 x 200 mm\nfoo\nweld p, thinning 12 %\n").unwrap();
    let said = heatbook(&["fmt", file, "--error-format", "short"]).err;
    assert!(said.contains(":2:1:") && !said.contains(":3:"), "{said}");
    // What cannot be read is left as it is.
    fs::write(&path, "stock = 3\n").unwrap();
    let Said { code, err, .. } = heatbook(&["fmt", file]);
    assert_eq!((code, text().as_str()), (1, "stock = 3\n"));
    assert!(err.contains("left as it is"));
}

/// A file-size limit of nothing: first as an error (the disk is full), then as a signal that kills the process while it writes.
#[cfg(unix)]
#[test]
fn a_full_disk_and_a_kill_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.heat");
    let messy = FIRST.replace("  kerf  2 mm", "kerf 2mm");
    fs::write(&path, &messy).unwrap();
    let run = |trap: &str, path: &Path| {
        let line = format!("{trap} ulimit -f 0; exec \"$0\" fmt \"$1\"");
        let mut shell = Command::new("sh");
        shell.args(["-c", &line, env!("CARGO_BIN_EXE_heatbook")]).arg(path);
        shell.stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap()
    };
    let full = run("trap '' XFSZ;", &path);
    assert_eq!(full.code(), Some(2));
    assert_eq!(fs::read_to_string(&path).unwrap(), messy);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left lying about");
    let killed = run("", &path);
    assert_ne!(killed.code(), Some(0));
    assert_eq!(fs::read_to_string(&path).unwrap(), messy);
}
