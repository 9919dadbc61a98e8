//! What the language server tells of the words of a document: colours, what a call takes, what a selection grows to, parts laid
//! out, what each piece measures, and its picture.

use std::collections::{BTreeMap, BTreeSet};

use crate::client::{Client, Session, URI};
use crate::common::files_below;
use base64::Engine as _;
use serde_json::{Value, json};

const TEXT: &str = "\
let finish = 0.4 mm
# Bars that are laid by turns.
recipe slab(
  bars: count = 4, # so many dark ones
  skin: length = 1 mm,
) {
  stock dark = bars bars of 1084, 3 x 40 x 120 mm
  stock bright = 3 bars of 15N20, 1.5 x 40 x 120 mm
  stack p = alternate dark, bright
  weld p at 1230 C, thinning 15 %, heats 3
  grind p edges skin
  give p
}
stock blade = slab(bars = 4)
draw blade to 7 mm thick, heats 2
grind blade faces finish
";

/// A word as it is coloured: where it stands, what it says, what it is, as a selector of the protocol's names.
struct Coloured {
    line: usize,
    from: usize,
    word: String,
    selector: String,
}

/// The words of an answer: each behind the one before, inside its line, none over another.
fn coloured(text: &str, legend: &Value, answer: &Value) -> Vec<Coloured> {
    let numbers: Vec<usize> =
        answer["result"]["data"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap() as usize).collect();
    let name = |of: &str, at: usize| legend[of][at].as_str().unwrap().to_owned();
    let lines: Vec<&str> = text.split('\n').collect();
    let (mut line, mut column, mut end) = (0, 0, 0);
    let mut made = Vec::new();
    for token in numbers.chunks(5) {
        if token[0] > 0 {
            (line, column, end) = (line + token[0], 0, 0);
        }
        column += token[1];
        assert!(column >= end && token[2] > 0, "words run into one another in line {line} of {text}");
        end = column + token[2];
        let word = lines[line].get(column..end).unwrap_or_else(|| panic!("no word there: {line} {column}"));
        let more = (0..3).filter(|bit| token[4] >> bit & 1 == 1).map(|bit| name("tokenModifiers", bit));
        let selector =
            std::iter::once(name("tokenTypes", token[3])).chain(more).collect::<Vec<_>>().join(".");
        made.push(Coloured { line, from: column, word: word.to_owned(), selector });
    }
    made
}

fn ask(client: &mut Client, text: &str) -> Vec<Coloured> {
    let answer = client.ask("textDocument/semanticTokens/full", json!({ "textDocument": { "uri": URI } }));
    let legend = client.agreed["capabilities"]["semanticTokensProvider"]["legend"].clone();
    coloured(text, &legend, &answer)
}

#[test]
fn words_are_coloured_by_what_they_are() {
    let text = "use \"x.heat\"\nlet gap = 2 mm # narrow\nshop {\n  forge gas, 1200 C\n}\nrecipe r(n: count = 2, of-it: steel = 1084) {\n  \
        stock s = n bars of of-it, 3 x 40 x 120 mm\n  give s\n}\nstock b = r(n = 3)\nharden b from 815 C in fast oil\ntarget b {\n  hardness >= 58 HRC\n}\n\
        draw b to 1/2in thik\n";
    let mut client = Client::start(&["utf-8"]);
    client.open(URI, text);
    let words = ask(&mut client, text);
    let is = |line: usize, word: &str| {
        let found = words.iter().find(|w| w.line == line && w.word == word);
        found.map_or("", |w| w.selector.as_str())
    };
    for (line, word, selector) in [
        (0, "use", "keyword.declaration"),
        (0, "\"x.heat\"", "string"),
        (1, "gap", "variable.declaration.readonly"),
        (1, "2", "number"),
        (1, "mm", "number.unit"),
        (1, "# narrow", "comment"),
        (3, "forge", "modifier"),
        (3, "gas", "enumMember"),
        (5, "r", "function.declaration"),
        (5, "n", "parameter.declaration"),
        (5, "count", "type"),
        (5, "steel", "type"),
        (5, "1084", "enumMember"),
        (6, "stock", "keyword"),
        (6, "n", "parameter"),
        (6, "bars", "modifier"),
        (6, "of-it", "parameter"),
        (6, "x", "modifier"),
        (7, "s", "variable"),
        (9, "r", "function"),
        (9, "=", "operator"),
        (10, "in", "modifier"),
        (10, "fast oil", "enumMember"),
        (11, "target", "keyword.declaration"),
        (11, "b", "variable"),
        (12, "hardness", "property"),
        (12, "HRC", "number.unit"),
        // A line at fault keeps its colours.
        (14, "draw", "keyword"),
        (14, "1/2", "number"),
        (14, "in", "number.unit"),
        (14, "thik", ""),
    ] {
        assert_eq!(is(line, word), selector, "{word} of line {line}");
    }
    // A part of it is told as in the whole.
    let range = json!({ "start": { "line": 9, "character": 0 }, "end": { "line": 10, "character": 3 } });
    let params = json!({ "textDocument": { "uri": URI }, "range": range });
    let part = client.ask("textDocument/semanticTokens/range", params);
    let legend = client.agreed["capabilities"]["semanticTokensProvider"]["legend"].clone();
    let part: Vec<(usize, String)> =
        coloured(text, &legend, &part).into_iter().map(|w| (w.line, w.word)).collect();
    let whole = words.iter().filter(|w| w.line == 9 || w.line == 10 && w.from < 3);
    assert_eq!(part, whole.map(|w| (w.line, w.word.clone())).collect::<Vec<_>>());
}

/// The scopes of the colours file that list a word, by word: at the start of a line (`true`), or anywhere.
fn listed() -> BTreeMap<(bool, String), BTreeSet<String>> {
    let file: Value =
        serde_json::from_str(&std::fs::read_to_string("grammar/heatbook.tmLanguage.json").unwrap()).unwrap();
    let mut all: BTreeMap<(bool, String), BTreeSet<String>> = BTreeMap::new();
    for rule in ["verbs", "statements", "entries", "tests", "kinds", "elements", "reserved", "fires", "small"]
    {
        let rule = &file["repository"][rule];
        let words = rule["match"].as_str().unwrap();
        let start = words.starts_with('^');
        // The longest row of alternatives is the list.
        let rows = words.split("(?:").map(|row| row.split(')').next().unwrap());
        for spelling in rows.max_by_key(|row| row.matches('|').count()).unwrap().split('|') {
            let spelling = spelling.replace("\\s+", " ");
            let name = rule["name"].as_str().unwrap();
            for word in [spelling.as_str()].into_iter().chain(spelling.split(' ')) {
                let places = if start { vec![true] } else { vec![true, false] };
                for place in places {
                    all.entry((place, word.to_owned())).or_default().insert(name.to_owned());
                }
            }
        }
    }
    assert!(all.len() > 250);
    all
}

/// Where the colours file lists a word, the server says nothing else of it: the extension says which of its colours are which of the server's.
/// And no word that is listed is left without a colour, in a recipe that can be read.
#[test]
fn the_server_colours_words_as_the_colours_file_does() {
    let package: Value =
        serde_json::from_str(&std::fs::read_to_string("grammar/package.json").unwrap()).unwrap();
    let scopes = &package["contributes"]["semanticTokenScopes"][0]["scopes"];
    let listed = listed();
    let (mut client, mut seen, mut compared) = (Client::start(&["utf-8"]), BTreeSet::new(), 0);
    for folder in ["examples", "recipes", "tests/faults"] {
        // Of those that are at fault, every fourth.
        let step = if folder == "tests/faults" { 4 } else { 1 };
        for path in files_below(folder, "heat").into_iter().step_by(step) {
            let text = std::fs::read_to_string(&path).unwrap();
            client.open(URI, &text);
            let words = ask(&mut client, &text);
            let lines: Vec<&str> = text.split('\n').collect();
            for Coloured { line, from, word, selector } in &words {
                // As an editor chooses: of the rows that say nothing which the word is not, the one that says most.
                let is: BTreeSet<&str> = selector.split('.').collect();
                let fits = |row: &&String| row.split('.').all(|part| is.contains(part));
                let row = scopes
                    .as_object()
                    .unwrap()
                    .keys()
                    .filter(fits)
                    .max_by_key(|row| row.matches('.').count());
                let row = row.unwrap_or_else(|| panic!("no colours for {selector}"));
                let own = scopes[row].as_array().unwrap();
                seen.insert(row.clone());
                let first = word.chars().next().unwrap();
                match selector.split('.').next().unwrap() {
                    "comment" => assert_eq!(first, '#'),
                    "string" => assert_eq!(first, '"'),
                    "keyword" | "modifier" | "property" | "type" => {
                        let start = lines[*line][..*from].trim().is_empty();
                        let Some(theirs) = listed.get(&(start, word.to_lowercase())) else { continue };
                        let agreed = own.iter().any(|scope| theirs.contains(scope.as_str().unwrap()));
                        assert!(agreed, "{}:{line}: `{word}` is {selector}, and {theirs:?}", path.display());
                        compared += 1;
                    }
                    _ => {}
                }
            }
            if folder == "tests/faults" {
                continue;
            }
            for (n, line) in text.split('\n').enumerate() {
                let covered = |at: usize| {
                    words.iter().any(|w| w.line == n && w.from <= at && at < w.from + w.word.len())
                };
                let part = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_');
                let mut at = 0;
                for word in line.split(|c| !part(c)) {
                    assert!(
                        !listed.contains_key(&(line[..at].trim().is_empty(), word.to_owned())) || covered(at),
                        "{}:{n}: `{word}` has no colour in {line:?}",
                        path.display()
                    );
                    at += word.len() + line[at + word.len()..].chars().next().map_or(0, char::len_utf8);
                }
            }
        }
    }
    assert!(compared > 3000, "{compared}");
    // Every row of the extension is one that some word has.
    let all: BTreeSet<String> = scopes.as_object().unwrap().keys().cloned().collect();
    assert_eq!(all, seen);
}

#[test]
fn a_call_tells_what_it_takes() {
    let told = |line: &str| -> Option<(String, Option<u64>)> {
        let mut session = Session::new(&format!("{TEXT}{line}"));
        let answer = session.ask("signatureHelp", &format!("finish\n{line}"), 7 + line.len(), json!({}));
        let label = answer["result"]["signatures"][0]["label"].as_str()?.to_owned();
        Some((label, answer["result"]["activeParameter"].as_u64()))
    };
    let label = "slab(bars: count = 4, skin: length = 1 mm)";
    for (line, active) in [
        ("stock n = slab(", Some(0)),
        ("stock n = slab(ski", Some(1)),
        ("stock n = slab(skin = ", Some(1)),
        ("stock n = slab(skin = (1 mm + ", Some(1)),
        ("stock n = slab(skin = 1 mm, ", Some(0)),
        ("stock n = slab(bars = 3,\n  ", Some(1)),
        ("stock n = slab(bars = 3, skin = 1 mm, ", None),
    ] {
        assert_eq!(told(line), Some((label.to_owned(), active)), "{line}");
    }
    for line in ["stock n = ", "stock n = slab()", "stock n = slub(", "draw blade to (3 mm + ", "# slab("] {
        assert_eq!(told(line), None, "{line}");
    }
    let mut session = Session::new(TEXT);
    let answer = session.ask("signatureHelp", "slab(bars = 4)", 6, json!({}));
    let signature = &answer["result"]["signatures"][0];
    assert_eq!(signature["documentation"]["value"], "Bars that are laid by turns.");
    assert_eq!(signature["parameters"][0]["documentation"]["value"], "so many dark ones", "{answer}");
}

/// From the inside out: the word, the clause, the line, the block, the file.
#[test]
fn a_selection_grows_by_what_belongs_together() {
    let mut session = Session::new(TEXT);
    let mut grown = |words: &str, behind: usize| -> Vec<String> {
        let place = session.place(words, behind);
        let answer = session.ask("selectionRange", words, behind, json!({ "positions": [place] }));
        let mut at = &answer["result"][0];
        let mut all = Vec::new();
        while !at.is_null() {
            let place = |p: &Value| {
                let line = p["line"].as_u64().unwrap() as usize;
                let start: usize = TEXT.split_inclusive('\n').take(line).map(str::len).sum();
                start + p["character"].as_u64().unwrap() as usize
            };
            let (from, to) = (place(&at["range"]["start"]), place(&at["range"]["end"]));
            all.push(TEXT[from..to].to_owned());
            at = &at["parent"];
        }
        all
    };
    let block = &TEXT[TEXT.find("recipe").unwrap()..TEXT.find("stock blade").unwrap() - 1];
    let line = "weld p at 1230 C, thinning 15 %, heats 3";
    assert_eq!(grown("15 %", 0), ["15", "thinning 15 %", line, block, TEXT]);
    assert_eq!(
        grown("blade to", 1),
        ["blade", "draw blade to 7 mm thick", "draw blade to 7 mm thick, heats 2", TEXT]
    );
    let (head, _) = block.split_once(" {").unwrap();
    assert_eq!(grown("count = 4", 1), ["count", "bars: count = 4", head, block, TEXT]);
    assert_eq!(grown("many dark", 1)[..2], ["many", "# so many dark ones"]);
    assert_eq!(grown("faces finish\n", 13).last().unwrap(), TEXT);
}

#[test]
fn lines_are_laid_out_by_themselves() {
    let crooked = "stock  b = 2 bars of 1084,\n    3 x 40 x 120 mm\ndraw   b to 2 mm thick\ngrind   b   faces 0.1 mm\n\n\n\nlet  a=3 mm\n";
    let mut session = Session::new(crooked);
    let mut laid = |first: u32, (last, column): (u32, u32)| {
        let range = json!({ "start": { "line": first, "character": 3 }, "end": { "line": last, "character": column } });
        let more = json!({ "range": range, "options": { "tabSize": 2, "insertSpaces": true } });
        let answer = session.ask("rangeFormatting", "stock", 0, more);
        session.applied(&json!({ "changes": { URI: answer["result"] } }))
    };
    let whole = heatbook::language::format(crooked, 0).unwrap();
    assert_eq!(laid(0, (9, 0)), whole);
    assert_eq!(laid(2, (2, 9)), crooked.replace("draw   b", "draw b"));
    // One that ends before the first letter of a line leaves the line as it is.
    assert_eq!(laid(2, (3, 0)), crooked.replace("draw   b", "draw b"));
    // Blank lines that are too many go with the line behind them.
    assert_eq!(laid(7, (7, 9)), crooked.replace("\n\n\nlet  a=3", "\nlet a = 3"));
    // Those at the end of a text go with none.
    let mut open = Session::new("stock  b = 1 bar of 1084, 6 x 40 x 120 mm\ngrind   b edges 2 mm\n\n\n");
    let range = json!({ "start": { "line": 1, "character": 0 }, "end": { "line": 1, "character": 5 } });
    let more = json!({ "range": range, "options": { "tabSize": 2, "insertSpaces": true } });
    let answer = open.ask("rangeFormatting", "stock", 0, more);
    assert_eq!(
        open.applied(&json!({ "changes": { URI: answer["result"] } })),
        "stock  b = 1 bar of 1084, 6 x 40 x 120 mm\ngrind b edges 2 mm\n\n\n"
    );
    // Whatever is laid out, it is the same recipe.
    for first in 0..8 {
        for last in first..8 {
            assert_eq!(
                heatbook::language::format(&laid(first, (last, 4)), 0).unwrap(),
                whole,
                "{first} {last}"
            );
        }
    }
    // A text that cannot be read is left alone: its findings say why.
    session.change(&format!("{crooked}drwa b\n"));
    let more = json!({ "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 3, "character": 0 } }, "options": { "tabSize": 2, "insertSpaces": true } });
    assert!(session.ask("rangeFormatting", "stock", 0, more)["result"].is_null());
}

#[test]
fn no_clause_is_offered_twice_and_lets_are() {
    for (line, there, absent) in [
        ("draw blade to 9 mm thick, heats 2, ", "at", "heats"),
        ("draw blade with flat die 40 mm, ", "bite", "with"),
        ("weld blade at 1230 C, dry, ", "heats", "dry"),
        ("cut blade 8 mm off each end, ", "kerf", "8 mm off each end"),
        ("draw blade to 9 mm thick, ", "to", "x"),
        ("draw blade to ", "finish", "heats"),
        ("draw blade to 9 mm + ", "finish", "heats"),
        ("stock n = 3 bars of 1084, ", "finish", "heats"),
        ("stock n = 3 bars of 1084, 3 x ", "finish", "heats"),
        ("target blade {\n  thickness >= ", "finish", "of"),
    ] {
        let mut session = Session::new(&format!("{TEXT}{line}"));
        let offers = session.offers(line);
        assert!(offers.iter().any(|o| o == there), "{line:?}: {offers:?}");
        assert!(offers.iter().all(|o| o != absent), "{line:?}: {offers:?}");
    }
}

#[test]
fn files_are_offered_behind_use() {
    let folder = tempfile::tempdir().unwrap();
    let top = std::fs::canonicalize(folder.path()).unwrap();
    std::fs::create_dir(top.join("parts")).unwrap();
    for name in ["own words.heat", "parts/bars.heat", "note.txt", "a.heat"] {
        std::fs::write(top.join(name), "").unwrap();
    }
    let uri = format!("file://{}/a.heat", top.display());
    let mut client = Client::start(&["utf-8"]);
    for (version, text, column, put) in [
        (2, "use ", 4, "\"own words.heat\""),
        (3, "use \"", 5, "\"own words.heat\""),
        (4, "use \"own w", 10, "\"own words.heat\""),
        (5, "use \"\"", 5, "\"own words.heat"),
        (6, "build of \"", 10, "\"own words.heat\""),
    ] {
        client.open(&uri, "");
        client.change(&uri, version, text);
        let place = json!({ "textDocument": { "uri": uri }, "position": { "line": 0, "character": column } });
        let answer = client.ask("textDocument/completion", place);
        let labels: Vec<&str> =
            answer["result"].as_array().unwrap().iter().map(|o| o["label"].as_str().unwrap()).collect();
        assert_eq!(labels, ["own words.heat", "parts/bars.heat"], "{text}");
        assert_eq!(answer["result"][0]["textEdit"]["newText"], put, "{text}");
        let from = text.find(['"']).unwrap_or(4);
        assert_eq!(answer["result"][0]["textEdit"]["range"]["start"]["character"], from, "{text}");
    }
    client.change(&uri, 7, "use \"own words.heat\" ");
    let place = json!({ "textDocument": { "uri": uri }, "position": { "line": 0, "character": 21 } });
    let answer = client.ask("textDocument/completion", place);
    assert!(answer["result"].as_array().is_none_or(Vec::is_empty), "{answer}");
}

/// What each piece measures stands over the line that last made it or changed it, in the recipe's own units.
#[test]
fn each_piece_is_measured_where_it_was_last_made() {
    let text = "stock b = 2 bars of 1084, 1/4 x 2 x 8 in\ndraw b to 1/8 in thick, heats 2\nrepeat 2 {\n  grind b faces 1/64 in\n}\nstock c = 1 bar of 15N20, 1/4 x 2 x 8 in\n";
    let mut session = Session::new(text);
    let answer = session.ask("codeLens", "stock", 0, json!({}));
    let lenses: Vec<(u64, &str)> = answer["result"]
        .as_array()
        .unwrap()
        .iter()
        .map(|l| (l["range"]["start"]["line"].as_u64().unwrap(), l["command"]["title"].as_str().unwrap()))
        .collect();
    let [(3, b), (5, c)] = lenses.as_slice() else { panic!("{answer}") };
    // Two runs of 1/64 in off each face of 1/8 in.
    assert!(
        b.starts_with("b, last of 2 runs: 2 bars, 1/16 x ") && b.contains(" lb each")
            || b.contains(" oz each"),
        "{b}"
    );
    assert!(c.starts_with("c: 1/4 x 2 x 8 in, "), "{c}");
    assert_eq!(answer["result"][0]["command"]["command"], "");
    // An editor can say that it wants none.
    let client = Client::agreeing(json!({ "capabilities": {}, "initializationOptions": { "lens": false } }));
    assert!(client.agreed["capabilities"]["codeLensProvider"].is_null());
}

/// A picture of the pattern, small, where the editor says that it shows some, and nowhere else.
#[test]
fn the_pattern_is_seen_in_the_hover() {
    let start = |formats: Value, wishes: Value| {
        let hover = json!({ "hover": { "contentFormat": formats } });
        let general = json!({ "positionEncodings": ["utf-8"] });
        Client::agreeing(json!({
            "capabilities": { "general": general, "textDocument": hover },
            "initializationOptions": wishes,
        }))
    };
    let twist = std::fs::read_to_string("examples/ferry-galley.heat").unwrap();
    let twist =
        format!("{twist}\nstock plain = 1 bar of 1084, 3 x 40 x 120 mm\ndraw plain to 2 mm thick, heats 2\n");
    let mut session = Session::with(start(json!(["markdown"]), json!({ "pictures": true })), &twist);
    let name = "billet";
    let told = session.hover(&format!("weld {name}"), 6);
    let data = told.split("](data:image/png;base64,").nth(1).unwrap_or_else(|| panic!("{told}"));
    let data = data.strip_suffix(')').unwrap();
    assert!(data.len() <= 40_000, "{}", data.len());
    let bytes = base64::engine::general_purpose::STANDARD.decode(data).unwrap();
    let reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let (wide, tall) = (reader.info().width, reader.info().height);
    // Twelve thousand dots, and what frames them.
    assert!((200..=600).contains(&wide) && wide * tall < 60_000, "{wide} x {tall}");
    assert!(!session.hover("draw plain", 6).contains("](data:"));
    for (formats, wishes) in
        [(json!(["plaintext"]), json!({ "pictures": true })), (json!(["markdown"]), json!({}))]
    {
        let mut session = Session::with(start(formats, wishes), &twist);
        assert!(!session.hover(&format!("weld {name}"), 6).contains("](data:"));
    }
}
