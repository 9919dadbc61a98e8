//! The language server over real pipes: what is agreed, what is refused, and that nothing an editor types leaves it confused.

use std::fmt::Write as _;

use crate::client::Client;
use crate::common::file;
use heatbook::language::{self, Memo, Uses};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::{Value, json};

const URI: &str = "untitled:recipe.heat";

fn at(uri: &str, line: u32, character: u32) -> Value {
    json!({ "textDocument": { "uri": uri }, "position": { "line": line, "character": character } })
}

#[test]
fn columns_count_what_was_agreed() {
    // `note "é🔥" ` is 14 bytes (é has 2, 🔥 has 4) and 11 units of UTF-16 (1 and 2).
    let text = "# é🔥\nnote \"é🔥\" extra\n";
    for (offered, agreed) in [
        (vec!["utf-8", "utf-16"], "utf-8"),
        (vec!["utf-16"], "utf-16"),
        (vec![], "utf-16"),
        (vec!["utf-32", "utf-8"], "utf-8"),
    ] {
        let mut client = Client::start(&offered);
        assert_eq!(client.agreed["capabilities"]["positionEncoding"], agreed);
        client.open(URI, text);
        let found = client.findings(URI, 1);
        let column = if agreed == "utf-8" { 14 } else { 11 };
        let range = json!({
            "start": { "line": 1, "character": column }, "end": { "line": 1, "character": column + 5 },
        });
        assert_eq!(found[0]["range"], range, "{found:?}");
        // A comment in front of nothing, and a piece behind letters of several widths.
        let second =
            "note \"é🔥\"\nstock b = 1 bar of 1084, 3 x 40 x 120 mm # é🔥\nlet é = 2 mm\nlet w = é + wdith\n";
        client.change(URI, 2, second);
        let found = client.findings(URI, 2);
        let width = if agreed == "utf-8" { 2 } else { 1 };
        assert_eq!(found[0]["code"], "unknown_figure");
        assert_eq!(found[0]["range"]["start"]["character"], json!("let w = ".len() + width + " + ".len()));
        // The other way round: a hover at that column finds the name behind é.
        let hover = client.ask("textDocument/hover", at(URI, 3, 8));
        assert_eq!(hover["result"]["range"]["end"]["character"], json!(8 + width), "{hover}");
        client.ask("shutdown", Value::Null);
        client.tell("exit", Value::Null);
        assert_eq!(client.end(), (Some(0), String::new()));
    }
}

#[test]
fn what_is_not_known_is_refused_and_the_rest_goes_on() {
    let mut client = Client::silent();
    let early = client.ask("textDocument/hover", at(URI, 0, 0));
    assert_eq!(early["error"]["code"], -32002);
    let agreed = client.ask("initialize", json!({ "capabilities": {} }));
    assert!(agreed["result"]["capabilities"]["hoverProvider"].as_bool().unwrap());
    assert_eq!(client.ask("initialize", json!({ "capabilities": {} }))["error"]["code"], -32600);
    for method in ["textDocument/sharpen", "$/unheard", "workspace/unheard"] {
        let answer = client.ask(method, json!({ "anything": [1, 2] }));
        assert_eq!(answer["error"]["code"], -32601, "{answer}");
        assert!(answer["error"]["message"].as_str().unwrap().contains(method));
    }
    // Params that make no sense, a document that is not open, notifications of neither kind.
    assert_eq!(client.ask("textDocument/hover", json!({ "position": "here" }))["error"]["code"], -32602);
    assert_eq!(client.ask("textDocument/hover", at("file:///nowhere.heat", 9, 9))["result"], Value::Null);
    client.tell("textDocument/didOpen", json!({ "nothing": true }));
    client.tell("textDocument/unheard", json!(null));
    client.open(URI, "stock b = 1 bar of 1084, 3 x 40 x 120 mm\n");
    assert!(client.findings(URI, 1).is_empty());
    assert_eq!(client.ask("shutdown", Value::Null)["result"], Value::Null);
    assert_eq!(client.ask("textDocument/hover", at(URI, 0, 0))["error"]["code"], -32600);
    client.tell("exit", Value::Null);
    assert_eq!(client.end(), (Some(0), String::new()));
}

#[test]
fn a_malformed_message_ends_it_in_a_sentence() {
    let ends: [&[u8]; 5] = [
        b"Content-Length: 18446744073709551615\r\n\r\n{}",
        b"Content-Length: -4\r\n\r\n{}",
        b"GET / HTTP/1.1\r\n\r\n",
        b"Content-Length: 400\r\n\r\n{}",
        b"\xff\xfe\x00\x00\r\n\r\n",
    ];
    for bytes in ends {
        let mut client = Client::start(&[]);
        client.raw(bytes);
        let (code, said) = client.end();
        assert_eq!(code, Some(2), "{said}");
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains("the editor sent what is no message"), "{said}");
    }
    // An editor that goes without a word, and one that goes without `shutdown`.
    assert_eq!(Client::start(&[]).end().0, Some(1));
    let mut client = Client::start(&[]);
    client.tell("exit", Value::Null);
    assert_eq!(client.end().0, Some(1));
}

const KNOWN: &str = "\
shop {
  forge gas, 1200 C
  press 25 tonf, flat die 40 mm
}
let finish = 0.4 mm
recipe bar(bars: count = 4, dark: steel = 1084) {
  stock d = bars bars of dark, 3 x 40 x 120 mm
  stock l = 3 bars of 15N20, 1.5 x 40 x 120 mm
  stack p = alternate d, l
  weld p at 1230 C, thinning 15 %, heats 3
  give p
}
stock blade = bar()
draw blade to 7 mm thick, 40 mm wide, heats 4
grind blade faces finish
target blade {
  width >= 44 mm everywhere
  thickness of d >= 1 mm
  layers = 7
}
";

fn edited(text: &str, dice: &mut Pcg64Mcg) -> String {
    const BITS: &str = "{|}|(|)|\"|#|,|\n|\r\n| |=|x|?|é|🔥|+-|..|1/0|-offcut-1|mm|\u{feff}|\0|repeat 9999 {\n|\
        recipe bar(p: piece) {\n|give p\n|stock d = bar()\n|target blade {\n|use \"other.heat\"\n|\
        build of \"other.heat\"\n|99999999999999999999|of|weld p\n";
    let bits: Vec<&str> = BITS.split('|').collect();
    let letters: Vec<usize> = text.char_indices().map(|(i, _)| i).chain([text.len()]).collect();
    let from = letters[dice.random_range(0..letters.len())];
    let bit = bits[dice.random_range(0..bits.len())];
    match dice.random_range(0..4) {
        0 => format!("{}{bit}{}", &text[..from], &text[from..]),
        1 => {
            let behind: Vec<usize> = letters.iter().copied().filter(|i| *i >= from).take(30).collect();
            let to = behind[dice.random_range(0..behind.len())];
            format!("{}{}", &text[..from], &text[to..])
        }
        2 => {
            let lines: Vec<&str> = text.lines().collect();
            let line = if lines.is_empty() { "" } else { lines[dice.random_range(0..lines.len())] };
            format!("{}\n{line}\n{}", &text[..from], &text[from..])
        }
        _ => format!("{}{bit}", &text[..from]),
    }
}

#[test]
fn two_thousand_random_edits_leave_nothing_behind() {
    let mut client = Client::start(&["utf-8"]);
    let mut dice = Pcg64Mcg::seed_from_u64(0x5eed);
    client.open(URI, KNOWN);
    let (mut text, mut version) = (KNOWN.to_owned(), 1);
    let asked: Vec<&str> = "hover completion definition references prepareRename documentSymbol inlayHint \
        formatting rename codeAction semanticTokens/full semanticTokens/range signatureHelp selectionRange \
        rangeFormatting codeLens documentHighlight foldingRange documentLink"
        .split(' ')
        .collect();
    for round in 0..2000 {
        text = if text.len() > 4000 || round % 40 == 0 { KNOWN.to_owned() } else { edited(&text, &mut dice) };
        version += 1;
        client.change(URI, version, &text);
        if round % 4 == 0 {
            // Any question at any place is answered, if only with a refusal.
            let what = asked[dice.random_range(0..asked.len())];
            let (line, column) = (dice.random_range(0..40), dice.random_range(0..60));
            let place = json!({ "line": line, "character": column });
            let params = json!({
                "textDocument": { "uri": URI }, "position": place, "positions": [place], "newName": "other",
                "range": { "start": { "line": 0, "character": 0 }, "end": place },
                "context": { "includeDeclaration": true, "diagnostics": [], "triggerKind": 1, "isRetrigger": false },
                "options": { "tabSize": 2, "insertSpaces": true },
            });
            let answer = client.ask(&format!("textDocument/{what}"), params);
            assert!(answer.get("result").is_some() || answer["error"]["code"] == -32803, "{what}: {answer}");
        }
        if round % 100 == 0 {
            client.forget();
        }
    }
    client.change(URI, version + 1, KNOWN);
    let told = client.last_findings(URI, version + 1);
    let mut fresh = Client::start(&["utf-8"]);
    fresh.open(URI, KNOWN);
    assert_eq!(told, fresh.last_findings(URI, 1));
    let codes: Vec<&Value> = told.iter().map(|f| &f["code"]).collect();
    assert!(codes.contains(&&json!("target_missed")), "{codes:?}");
    // Mended, it has nothing left; closed, neither.
    client.change(URI, version + 2, "");
    assert!(client.last_findings(URI, version + 2).is_empty());
    client.tell("textDocument/didClose", json!({ "textDocument": { "uri": URI } }));
    client.ask("shutdown", Value::Null);
    client.tell("exit", Value::Null);
    assert_eq!(client.end(), (Some(0), String::new()));
}

/// A sound recipe of a thousand lines: bars welded, drawn, cropped, ground and judged, one after the other.
fn long_recipe() -> String {
    let mut text = String::from("shop {\n  forge gas, 1200 C\n  press 25 tonf, flat die 40 mm\n}\n");
    for i in 0.. {
        let _ = write!(
            text,
            "stock dark{i} = 4 bars of 1084, 3 x 40 x 120 mm\nstock bright{i} = 3 bars of 15N20, 1.5 x 40 x 120 mm\n\
             stack p{i} = alternate dark{i}, bright{i}\nweld p{i} at 1230 C, thinning 15 %, heats 3\n\
             draw p{i} to 9 mm thick, 40 mm wide, heats 4\ncut p{i} 8 mm off each end\ngrind p{i} faces 0.4 mm\n\
             target p{i} {{\n  width >= 36 mm everywhere\n  layers = 7\n}}\n"
        );
        if text.lines().count() >= 1000 {
            return text;
        }
    }
    text
}

/// A key costs the lines that it changed, and not the thousand around them. (How long it takes: `tests/benches/runs.rs`.)
#[test]
fn a_key_costs_the_lines_that_it_changed() {
    let text = long_recipe();
    let mut memo = Memo::default();
    let mut read = |text: &str| {
        let (files, base) = file(text);
        let before = memo.read();
        memo.turn();
        let _ = language::read_with(&files, base, None, &Uses::new(), Vec::new(), &mut memo);
        memo.read() - before
    };
    // Each line is read once, and of those that say the same only the first: the targets ask alike. The shop is no statement.
    let (shop, targets) = (4, text.matches("target").count());
    assert_eq!(read(&text), text.lines().count() - shop - 2 * targets - 2 * (targets - 1));
    assert_eq!(read(&text), 0);
    // A key in a comment, one in a figure, one that leaves the line at fault, and a line that moves all others down.
    assert_eq!(read(&format!("{text}# typed\n")), 0);
    assert_eq!(read(&text.replacen("to 9 mm thick", "to 9.1 mm thick", 1)), 1);
    assert!(read(&text.replacen("heats 4", "heats", 1)) <= 2);
    assert!(read(&format!("note \"above all\"\n{text}")) <= 2);
}

/// A line that no form reads is tried in other words once, however many keys are struck elsewhere; and what it needs besides is read with the
/// text around it when nobody types.
#[test]
fn a_garbled_line_costs_once() {
    let text = format!("{}drwa p1 to 9 mm thick, haets 4\n", long_recipe());
    let mut memo = Memo::default();
    let mut read = |text: &str, hurried: bool| {
        let (files, base) = file(text);
        let before = (memo.read(), memo.tries());
        memo.turn();
        memo.hurry(hurried);
        let (_, _, faults) = language::read_with(&files, base, None, &Uses::new(), Vec::new(), &mut memo);
        assert_eq!(faults.len(), 1, "{faults:?}");
        ((memo.read() - before.0, memo.tries() - before.1), faults[0].fix.is_some(), memo.owes())
    };
    let ((_, tries), offered, owed) = read(&text, true);
    assert!((5..400).contains(&tries) && offered && owed, "{tries}");
    // A key elsewhere: the line itself, which is kept as nothing, and the one that was changed.
    let ((lines, tries), offered, owed) = read(&text.replacen("to 9 mm thick", "to 9.1 mm thick", 1), true);
    assert!(lines <= 2 && tries == 0 && offered && owed, "{lines} {tries}");
    // Nobody types: the text is read once more for each round of an offer, and no line of it but the one.
    let ((lines, tries), offered, owed) = read(&text, false);
    assert!(lines <= 8 && tries < 400 && offered && !owed, "{lines} {tries}");
}

/// A burst of keys is answered with what the last one comes to; a missed target's search for mends holds none of them up.
#[test]
fn a_thousand_lines_are_checked_while_one_types() {
    let text = long_recipe();
    let mut client = Client::start(&["utf-8"]);
    client.open(URI, &text);
    let found = client.last_findings(URI, 1);
    assert!(found.iter().all(|f| f["severity"] == 2), "{found:?}");
    let missed = text.replacen("width >= 36 mm", "width >= 76 mm", 1);
    for (version, text) in (2..).zip([&text, &missed].repeat(5)) {
        client.change(URI, version, &text.replacen("to 9 mm thick", &format!("to 9.{version} mm thick"), 1));
        let faults = client.findings(URI, version).iter().filter(|f| f["severity"] == 1).count();
        assert_eq!(faults, usize::from(*text == missed), "{version}");
    }
}
